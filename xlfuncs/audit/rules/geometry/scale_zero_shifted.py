"""The rule scale-zero-shifted."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import values
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings


@rule(
    "scale-zero-shifted",
    Severity.ERROR,
    thresholds=("offset_tolerance_mm",),
    calculate=signal_workings.scale_zero,
    remedy=values.scale_at_zero,
    needs=("scale_zero",),
    when=lambda gauges: gauges.mentioned("scale_zero"),
    passing={"scale_zero": "0 mm"},
    firing={"scale_zero": "35 mm"},
)
def scale_zero_shifted(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The scale does not start at the bottom connection.

    Finds: a scale zero further from the centre line of the bottom process connection than the permitted
        reading offset (common practice, no source).
    Why: the whole scale is shifted: the indicator reads wrong by this distance at every level.
    Mend: mount the scale with its zero at the centre line of the bottom connection.
    """
    zero = gauges.si("scale_zero")
    with np.errstate(invalid="ignore"):
        off = np.abs(zero) > settings.offset_tolerance_mm * MM
    for record in np.flatnonzero(off).tolist():
        side = "above" if zero[record] > 0 else "below"
        reads = "low" if zero[record] > 0 else "high"
        off_by = gauges.say(record, "scale_zero", abs(zero[record]))
        yield gauge_hit(
            gauges,
            record,
            "scale_zero",
            f"scale zero is {off_by} {side} the bottom connection: the gauge reads {reads}",
            expected=gauges.measure(record, "scale_zero", 0.0),
            evidence={"reading_offset_mm": float(-zero[record] / MM)},
        )
