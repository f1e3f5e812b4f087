"""The rule alarm-outside-range."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import ranges
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.geometry.shared import any_mentioned, range_ends
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings
from xlfuncs.gauge import Array

LEVELS = {
    "level_low_low": "LLLL",
    "level_low": "LLL",
    "normal_level": "normal level",
    "level_high": "HLL",
    "level_high_high": "HHLL",
}
"""Levels of the process that a gauge has to show -> how a person calls them."""


def _has_level(gauges: Gauges) -> Mask:
    return any_mentioned(gauges, *LEVELS)


@rule(
    "alarm-outside-range",
    Severity.ERROR,
    thresholds=("transmitter_outside_mm",),
    calculate=signal_workings.alarm,
    remedy=ranges.wider_range,
    when=_has_level,
    needs=("visible_range",),
    assumes=("visible_low", "lrv", "urv", *LEVELS),
    passing={"level_high": "900 mm", "normal_level": "500 mm"},
    firing=({"level_high_high": "1050 mm"}, {"normal_level": "-20 mm"}, {"level_low": "1 mm", "lrv": "4 mm"}),
)
def alarm_outside_range(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """A level of the process that the gauge cannot show or signal.

    Finds: a normal level, or a low or high level of the process at which it alarms or trips, outside the
        visible range, or outside the transmitter's range by more than 1 mm (common practice, no source).
        Levels are above the lower connection, as the ranges are.
    Why: the operator sees no level there, and an alarm made of the signal never comes, since the current
        stays at its end.
    Mend: widen the visible range and the transmitter's to hold the level, or correct the level.
    """
    low, high = gauges.visible_ends
    first, last = range_ends(gauges)
    slack = settings.transmitter_outside_mm * MM + 1e-9
    for name, letters in LEVELS.items():
        least, most = gauges.low(name), gauges.high(name)
        with np.errstate(invalid="ignore"):
            unseen = (least < low - 1e-9) | (most > high + 1e-9)
            silent = ~unseen & ((least < first - slack) | (most > last + slack))
        yield Undecided(gauges.given(name) & np.isnan(low + high), "visible range")
        for record in np.flatnonzero(unseen | silent).tolist():
            seen = bool(silent[record])
            ends = (first, last) if seen else (low, high)
            yield _hit(gauges, record, name, letters, "transmitter's" if seen else "visible", ends)


def _hit(gauges: Gauges, record: int, name: str, letters: str, which: str, ends: tuple[Array, Array]) -> Hit:
    low, high = float(ends[0][record]), float(ends[1][record])
    least, most = float(gauges.low(name)[record]), float(gauges.high(name)[record])
    end = "low" if low - least > most - high else "high"
    level = least if end == "low" else most
    say = [gauges.say(record, name, value) for value in (level, low, high)]
    return gauge_hit(
        gauges,
        record,
        name,
        f"{letters} at {say[0]} is outside the {which} range, {say[1]} to {say[2]}",
        expected=gauges.measure(record, name, float(np.clip(level, low, high))),
        evidence={
            "level_mm": level / MM,
            "range_low_mm": low / MM,
            "range_high_mm": high / MM,
            "range": which,
        },
        case={"transmitter": which != "visible", "end": end},
    )
