"""The rule float-list-repeats."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges, label, part_key
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.model import Column

_SAME: Final = 0.002
"""Relative difference of two numbers that comes from rounding (common practice, no source)."""


@rule(
    "float-list-repeats",
    Severity.ERROR,
    passing=({"float_part": "ZF-261"}, {"float_part": "ZF-262"}),
    firing=({"float_part": "ZF-261"}, {"float_part": "ZF-261", "float_max_pressure": "38 barg"}),
)
def float_list_repeats(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One part stands twice in a float list, with different data.

    Finds: a part number on two rows of the float lists that state different values of a field.
    Why: a gauge with this part is checked against one of them, and may get the other.
    Mend: give each float its own part number, or delete the row that does not hold.
    """
    parts = gauges.listed.get("float_part")
    if parts is None:
        return
    first: dict[str, int] = {}
    for record, text in enumerate(parts.text.tolist()):
        earlier = first.setdefault(part_key(text), record) if text else record
        if earlier == record:
            continue
        name = next(
            (name for name, column in gauges.listed.items() if _differ(name, column, earlier, record)), ""
        )
        if name:
            column = gauges.listed[name]
            here, there = (_stated(column, one) for one in (record, earlier))
            yield Hit(
                -1,
                str(column.sheet[record]),
                column.address(record),
                text,
                f"part {text}: {label(name)} is {here} here and {there} in"
                f" {column.sheet[earlier]}!{column.address(earlier)}",
                name,
                Measure(here),
                Measure(there),
            )


def _differ(name: str, column: Column, one: int, other: int) -> bool:
    if load("fields")[name]["kind"] != "quantity" or not (column.given[one] and column.given[other]):
        return False
    first, second = column.number(one), column.number(other)
    return bool(abs(first - second) > _SAME * max(abs(first), abs(second)) and not np.isclose(first, second))


def _stated(column: Column, record: int) -> str:
    raw = column.raw[record]
    number = isinstance(raw, (int, float)) and not isinstance(raw, bool)
    return f"{raw:g} {column.unit[record]}".strip() if number else str(raw)
