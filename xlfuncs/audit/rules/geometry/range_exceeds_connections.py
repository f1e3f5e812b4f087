"""The rule range-exceeds-connections."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import ranges
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.geometry.shared import ROUNDING, range_ends
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings


@rule(
    "range-exceeds-connections",
    Severity.ERROR,
    thresholds=("transmitter_outside_mm",),
    calculate=signal_workings.connections,
    remedy=ranges.shorter_range,
    needs=(("visible_range", "both_range_values"), "connection_distance"),
    assumes=("visible_range", "connection_arrangement"),
    passing={
        "visible_range": "1200 mm",
        "urv": "1200 mm",
        "stated_current": None,
        "connection_arrangement": "top / bottom",
    },
    firing=(
        {"visible_range": "1200 mm", "urv": "1200 mm", "stated_current": None},
        {"visible_range": None, "urv": "1200 mm", "stated_current": None},
    ),
)
def range_exceeds_connections(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The visible range is longer than the distance of the connections.

    Finds: a side-connected gauge whose visible range, or whose transmitter's where none is stated, is longer
        than the centre-to-centre distance of its process connections by more than 1 mm (common practice, no
        source). A gauge counts as side-connected unless it is stated to be connected at top or bottom.
    Why: beyond its connections the liquid in the chamber does not follow the vessel: that part of the
        scale shows nothing that exists.
    Mend: correct the range or the distance, or state how the gauge is connected.
    """
    elsewhere = gauges.says("connection_arrangement", "end_connected")
    elsewhere |= gauges.unusable("connection_arrangement")
    bottom, top = range_ends(gauges)
    stated, distance = gauges.si("visible_range"), gauges.si("connection_distance")
    span = np.where(np.isnan(stated), top - bottom, stated)
    with np.errstate(invalid="ignore"):
        over = ~elsewhere & (span > distance + settings.transmitter_outside_mm * MM + ROUNDING)
    for record in np.flatnonzero(over).tolist():
        field, words = ("urv", "transmitter's") if np.isnan(stated[record]) else ("visible_range", "visible")
        yield gauge_hit(
            gauges,
            record,
            field,
            f"the {words} range of {gauges.say(record, field, span[record])} is longer than the"
            f" {gauges.say(record, field, distance[record])} between the connections",
            expected=gauges.measure(record, field, float(distance[record])),
            evidence={
                "range_mm": float(span[record] / MM),
                "connection_distance_mm": float(distance[record] / MM),
            },
        )
