"""The rule transmitter-outside-visible-range."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.remedies import ranges
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.geometry.shared import ROUNDING, any_mentioned, range_ends, range_hits
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings


@rule(
    "transmitter-outside-visible-range",
    Severity.ERROR,
    thresholds=("transmitter_outside_mm",),
    calculate=signal_workings.outside,
    remedy=ranges.whole_range,
    when=lambda gauges: any_mentioned(gauges, "lrv", "urv"),
    needs=("lrv", "urv", "visible_range"),
    assumes=("visible_low",),
    covers=("transmitter-range-mismatch",),
    passing={"urv": "1000.8 mm", "stated_current": None},
    firing={"urv": "1080 mm", "stated_current": None},
)
def transmitter_outside_visible_range(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The transmitter's range goes beyond the visible range.

    Finds: an LRV or URV outside the visible range by more than 1 mm (common practice, no source).
    Why: the transmitter never reaches 4 or 20 mA, and what it sends there cannot be checked by eye.
    Mend: set LRV and URV to the ends of the visible range, or correct the range.
    """
    low, high = gauges.visible_ends
    bottom, top = range_ends(gauges)
    slack = settings.transmitter_outside_mm * MM + ROUNDING
    yield from range_hits(gauges, bottom < low - slack, top > high + slack, "outside")
