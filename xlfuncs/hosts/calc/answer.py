"""One call from a Calc cell, answered."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from xlfuncs.spreadsheet.block import as_block, result, single
from xlfuncs.worksheet import find
from xlfuncs.worksheet.spec import REASON_PREFIX, Argument


def answer(name: str, cells: Sequence[Any]) -> Any:
    """The value of a function as Calc takes it: float, str, or a list of rows of these.

    `cells` are as Basic hands them on: numbers, texts, None for a blank cell or an argument left out at
    the end, rows for a range, and the number 0 for an argument left out between two others.
    """
    arguments = find(name).arguments
    given: list[Any] = [single(cell) if isinstance(cell, (list, tuple)) else cell for cell in cells]
    doubts = []
    for position, cell in enumerate(given):
        if isinstance(cell, (int, float)) and cell == 0:
            argument = arguments[position] if position < len(arguments) else None
            if argument is None or argument.kind in ("choice", "text", "table"):
                given[position] = None
            elif _doubtful(argument):
                doubts.append(_doubt(argument))
    if doubts:
        return REASON_PREFIX + "; ".join(doubts)
    return single([[_cell(cell) for cell in row] for row in as_block(result(name, given))])


@cache
def _doubtful(argument: Argument) -> bool:
    """Whether 0 means something else than leaving the argument out."""
    if argument.required or argument.kind == "any":
        return False
    if argument.default is None:
        return True
    return not isinstance(argument.default, str) and bool(argument.default)


def _doubt(argument: Argument) -> str:
    zero = f'"0 {argument.unit}"' if argument.unit else '"0"'
    usual = "" if argument.default is None else f" ({argument.default:g} {argument.unit}".rstrip() + ")"
    return (
        f"{argument.name}: Calc cannot tell 0 from an argument left out; write {zero} for 0, "
        f'or "" for the default{usual}'
    )


def _cell(value: Any) -> Any:
    if isinstance(value, (bool, int)):
        return float(value)
    return "" if value is None else value
