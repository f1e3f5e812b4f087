"""CONVERT between units, by their spelling in spreadsheet programs."""

from __future__ import annotations

from functools import cache
from typing import Any

from xlfuncs.data import load
from xlfuncs.spreadsheet.cell_values import NA, CellError, number, text


@cache
def _units() -> dict[str, tuple[str, float, float]]:
    """Spelling -> (quantity, scale, offset): SI = number * scale + offset."""
    found: dict[str, tuple[str, float, float]] = {}
    prefixes: dict[str, float] = load("convert")["prefixes"]["factors"]
    for quantity, block in load("convert").items():
        for spelling, unit in block.get("units", {}).items():
            scale, offset = unit if isinstance(unit, list) else (unit, 0.0)
            found.setdefault(spelling, (quantity, float(scale), float(offset)))
        for spelling in block.get("prefixed", ()):
            _, scale, offset = found[spelling]
            for prefix, factor in prefixes.items():
                found.setdefault(prefix + spelling, (quantity, scale * factor, offset))
    return found


def _convert(value: Any, source: Any, target: Any) -> Any:
    found = number(value)
    for one in (found, source, target):
        if isinstance(one, CellError):
            return one
    one_, other = _units().get(text(source)), _units().get(text(target))
    if one_ is None or other is None or one_[0] != other[0]:
        return NA
    return (float(found) * one_[1] + one_[2] - other[2]) / other[1]


CELLWISE = {"CONVERT": (3, 3, _convert)}
