"""The rule float-list-repeats."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges, label, part_key, stated_shape
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.remedies.repeats import row_that_holds
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.data.words import means
from xlfuncs.gauge import materials, ratings
from xlfuncs.lists.model import Column

_SAME: Final = 0.002
"""Relative difference of two numbers that comes from rounding (common practice, no source)."""


@rule(
    "float-list-repeats",
    Severity.ERROR,
    remedy=row_that_holds,
    passing=({"float_part": "ZF-261"}, {"float_part": "ZF-262"}),
    firing=({"float_part": "ZF-261"}, {"float_part": "ZF-261", "float_max_pressure": "38 barg"}),
)
def float_list_repeats(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One part stands twice in a float list, with different data.

    Finds: a part number on two rows of the float lists that state different values of a field: numbers that
        differ by more than 0.2 % (common practice, no source), ends, materials or services that are not the
        same in other words.
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
                case={"here": record, "there": earlier},
            )


_READ: Final[dict[str, Callable[[str], object]]] = {
    "float_ends": stated_shape,
    "float_material": lambda text: materials.read(text).family or None,
    "magnet_material": lambda text: _known(ratings.magnet_limit(text)),
    "float_service": lambda text: next((word for word in ("interface", "level") if means(text, word)), None),
}
"""What the texts of a float are understood as; None for one that is not: words alone are no difference."""


def _known(number: object) -> float | None:
    limit = float(np.asarray(number))
    return None if np.isnan(limit) else limit


def _differ(name: str, column: Column, one: int, other: int) -> bool:
    if not (column.given[one] and column.given[other]):
        return False
    if name in _READ:
        mine, theirs = (_READ[name](str(column.text[record])) for record in (one, other))
        return None not in (mine, theirs) and mine != theirs
    if load("fields")[name]["kind"] != "quantity":
        return False
    first, second = column.number(one), column.number(other)
    return bool(abs(first - second) > _SAME * max(abs(first), abs(second)) and not np.isclose(first, second))


def _stated(column: Column, record: int) -> str:
    raw = column.raw[record]
    number = isinstance(raw, (int, float)) and not isinstance(raw, bool)
    return f"{raw:g} {column.unit[record]}".strip() if number else str(raw)
