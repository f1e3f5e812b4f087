"""The rule current-inconsistent."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import ranges
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.geometry.shared import action_unclear, at_normal_level, falls, range_ends
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings
from xlfuncs.gauge import signal


@rule(
    "current-inconsistent",
    Severity.ERROR,
    thresholds=("current_tolerance_ma",),
    calculate=signal_workings.current,
    remedy=ranges.right_current,
    when=lambda gauges: gauges.mentioned("stated_current"),
    needs=(("stated_level", "normal_level"), "stated_current", "lrv", "urv"),
    assumes=("stated_level", "normal_level", "action", "known_action"),
    passing={"stated_level": "372.5 mm", "stated_current": "9.96 mA"},
    firing={"stated_level": "372.5 mm", "stated_current": "10.96 mA"},
)
def current_inconsistent(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """A stated current does not belong to its level.

    Finds: a stated loop current that differs by more than 0.05 mA (common practice, no source) from the
        one that LRV, URV and the stated level give; 3.8 or 20.5 mA for a level beyond them (NAMUR NE 43).
        A column 'mA at normal level' is held against the normal level.
    Why: one of the four is wrong, and the loop is set by them.
    Mend: compute the current anew, or correct the range or the level.
    """
    normal = at_normal_level(gauges)
    level = np.where(normal, gauges.si("normal_level"), gauges.si("stated_level"))
    yield Undecided(gauges.given("stated_current") & np.isnan(level), label("stated_level"))
    low, high = range_ends(gauges)
    with np.errstate(invalid="ignore"):
        falling = falls(gauges) | (gauges.si("urv") < gauges.si("lrv"))
    due = np.asarray(signal.held_current(level, low, high, falling))
    stated = gauges.si("stated_current")
    with np.errstate(invalid="ignore"):
        wrong = np.abs(stated - due) > settings.current_tolerance_ma * MM
    wrong &= ~action_unclear(gauges)
    for record in np.flatnonzero(wrong).tolist():
        yield gauge_hit(
            gauges,
            record,
            "stated_current",
            f"{stated[record] / MM:.2f} mA is stated where LRV, URV and level give {due[record] / MM:.2f} mA",
            expected=gauges.measure(record, "stated_current", float(due[record])),
            evidence={
                "stated_current_mA": float(stated[record] / MM),
                "computed_current_mA": float(due[record] / MM),
            },
            case={"level": "normal_level" if normal[record] else "stated_level"},
        )
