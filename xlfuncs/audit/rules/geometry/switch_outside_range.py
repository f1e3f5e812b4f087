"""The rule switch-outside-range."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import setpoints
from xlfuncs.audit.remedies.values import MM, SWITCHES
from xlfuncs.audit.rules.geometry.shared import any_mentioned, letters
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings


def _has_switch(gauges: Gauges) -> Mask:
    return any_mentioned(gauges, *SWITCHES)


@rule(
    "switch-outside-range",
    Severity.ERROR,
    calculate=signal_workings.switch_outside,
    remedy=setpoints.into_range,
    when=_has_switch,
    needs=("visible_range",),
    assumes=("visible_low", *SWITCHES),
    passing={"switch_lshh": "990 mm"},
    firing={"switch_lshh": "1040 mm"},
)
def switch_outside_range(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A set point where the float never comes.

    Finds: a set point outside the visible range.
    Why: the float does not travel there, so the switch stays silent.
    Mend: move the set point into the visible range, or correct the range.
    """
    low, high = gauges.visible_ends
    for name in SWITCHES:
        point = gauges.si(name)
        with np.errstate(invalid="ignore"):
            outside = (point < low - 1e-9) | (point > high + 1e-9)
        for record in np.flatnonzero(outside).tolist():
            say = partial(gauges.say, record, name)
            yield gauge_hit(
                gauges,
                record,
                name,
                f"{letters(name)} at {say(point[record])} is outside the visible range,"
                f" {say(low[record])} {'upwards' if np.isnan(high[record]) else f'to {say(high[record])}'}",
                expected=gauges.measure(
                    record, name, float(np.clip(point[record], low[record], high[record]))
                ),
                evidence={
                    "set_point_mm": float(point[record] / MM),
                    "visible_low_mm": float(low[record] / MM),
                    "visible_high_mm": float(high[record] / MM),
                },
            )
