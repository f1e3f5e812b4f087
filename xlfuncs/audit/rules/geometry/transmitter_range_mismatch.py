"""The rule transmitter-range-mismatch."""

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
    "transmitter-range-mismatch",
    Severity.WARNING,
    thresholds=("transmitter_mismatch_mm",),
    calculate=signal_workings.inside,
    remedy=ranges.whole_range,
    when=lambda gauges: any_mentioned(gauges, "lrv", "urv"),
    needs=("lrv", "urv", "visible_range"),
    assumes=("visible_low",),
    passing={"lrv": "4 mm", "stated_current": None},
    firing={"lrv": "60 mm", "stated_current": None},
)
def transmitter_range_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The transmitter's 0 and 100 % are not the ends of the visible range.

    Finds: an LRV or URV inside the visible range, but more than 5 mm from its end (common practice, no
        source).
    Why: indicator and control room show different percentages for the same level.
    Mend: set LRV and URV to the ends of the visible range, or confirm that the difference is wanted.
    """
    low, high = gauges.visible_ends
    bottom, top = range_ends(gauges)
    slack = settings.transmitter_mismatch_mm * MM + ROUNDING
    yield from range_hits(gauges, bottom > low + slack, top < high - slack, "inside")
