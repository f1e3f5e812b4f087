"""What several of the rules of this family need."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.registry import Hit, gauge_hit
from xlfuncs.audit.remedies.values import MM, SWITCHES
from xlfuncs.gauge import Array
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.vocabulary.words import says_normal_level

ROUNDING = 1e-9
"""Difference of two lengths that comes from rounding [m]."""


def letters(field: str) -> str:
    return field.removeprefix("switch_").upper()


def any_mentioned(gauges: Gauges, *fields: str) -> Mask:
    return np.asarray(np.logical_or.reduce([gauges.mentioned(name) for name in fields]), dtype=np.bool_)


def range_ends(gauges: Gauges) -> tuple[Array, Array]:
    """The lower and the higher of LRV and URV [m]."""
    lrv, urv = gauges.si("lrv"), gauges.si("urv")
    return np.minimum(lrv, urv), np.maximum(lrv, urv)


def falls(gauges: Gauges) -> Mask:
    return gauges.says("action", "reverse")


def action_unclear(gauges: Gauges) -> Mask:
    """Where something is stated as the transmitter's action that is neither direct nor reverse."""
    return gauges.unusable("action") | ~gauges.given("known_action")


def at_normal_level(gauges: Gauges) -> Mask:
    """Where the heading of the stated current says that it is the one at the normal level."""
    said = {
        (table.sheet, found.column)
        for table in gauges.book.gauges
        for found in table.recognised
        if found.field == "stated_current" and says_normal_level(found.heading)
    }
    if not said:
        return np.zeros(gauges.n, dtype=np.bool_)
    current = gauges.column("stated_current")
    here = [
        (sheet, column_letter(column)) in said if column > 0 else False
        for sheet, column in zip(current.sheet.tolist(), current.col.tolist(), strict=True)
    ]
    return np.array(here, dtype=np.bool_) & ~gauges.mentioned("stated_level")


def range_hits(gauges: Gauges, at_bottom: Mask, at_top: Mask, side: str) -> Iterator[Hit]:
    """One hit for each gauge, at LRV or, if only the upper end is off, at URV."""
    low, high = gauges.visible_ends
    lrv, urv = gauges.si("lrv"), gauges.si("urv")
    for record in np.flatnonzero(at_bottom | at_top).tolist():
        falling = urv[record] < lrv[record]
        lower_end = bool(at_bottom[record])
        field = "lrv" if lower_end != falling else "urv"
        value = float(gauges.si(field)[record])
        end = float(low[record] if lower_end else high[record])
        say = partial(gauges.say, record, field)
        yield gauge_hit(
            gauges,
            record,
            field,
            f"{field.upper()} is {say(value)}, {say(abs(value - end))} {side}"
            f" the visible range, which {'begins' if lower_end else 'ends'} at {say(end)}",
            expected=gauges.measure(record, field, end),
            evidence={
                "lrv_mm": float(lrv[record] / MM),
                "urv_mm": float(urv[record] / MM),
                "visible_low_mm": float(low[record] / MM),
                "visible_high_mm": float(high[record] / MM),
            },
        )


def neighbours(gauges: Gauges, wrong: Callable[[Array], Mask]) -> list[tuple[int, str, str]]:
    """(gauge, lower, upper) of set points that follow each other and whose distance [m] is `wrong`."""
    found = []
    for at, lower in enumerate(SWITCHES):
        between = np.zeros(gauges.n, dtype=np.bool_)
        for upper in SWITCHES[at + 1 :]:
            with np.errstate(invalid="ignore"):
                here = wrong(gauges.si(upper) - gauges.si(lower)) & ~between
            found += [(record, lower, upper) for record in np.flatnonzero(here).tolist()]
            between |= gauges.given(upper)
    return sorted(found, key=lambda entry: entry[0])
