"""The rule float-not-in-list."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
    part_key,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies.floats import listed_float
from xlfuncs.audit.settings import Settings


@rule(
    "float-not-in-list",
    Severity.ERROR,
    remedy=listed_float,
    when=lambda gauges: gauges.given("float_list") | gauges.mentioned("float_part"),
    needs=("float_part", "float_list"),
    firing={"float_part": "ZF-999X", "float_mass": None, "float_diameter": None, "float_length": None},
)
def float_not_in_list(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float part is not in the float list.

    Finds: a row that names a float part which no float list of the workbook holds. Case and surplus
        blanks do not count.
    Why: nothing is known of the float, so nothing about the gauge's reading can be proved.
    Mend: correct the part number, or add the float with its mass, size and magnet height to the list.
    """
    if "float_part" not in gauges.listed:
        return
    listed = {part_key(text): str(text) for text in gauges.listed["float_part"].text if text}
    for record in np.flatnonzero(gauges.given("float_part") & (gauges.float_row < 0)).tolist():
        part = str(gauges.texts("float_part")[record])
        near = _nearest(part_key(part), listed)
        hint = f"; the nearest listed part is {listed[near]}" if near else ""
        yield gauge_hit(gauges, record, "float_part", f"float part {part} is not in the float list{hint}")


def _nearest(part: str, listed: Iterable[str]) -> str:
    """The listed part most like another; of those that are equally like it that with the nearest number."""
    from difflib import SequenceMatcher, get_close_matches

    near = get_close_matches(part, listed, _LOOKED_AT, 0.8)
    number = _number(part)

    def likeness(other: str) -> tuple[float, float]:
        alike = round(SequenceMatcher(None, part, other).ratio(), 9)
        return -alike, abs(_number(other) - number)

    return min(near, key=likeness, default="")


def _number(part: str) -> int:
    return int("".join(re.findall(r"\d+", part))[:15] or 0)


_LOOKED_AT = 20
"""Parts that are compared by their numbers, of those that are like enough."""
