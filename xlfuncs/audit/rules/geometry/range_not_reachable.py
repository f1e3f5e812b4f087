"""The rule range-not-reachable."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies.reaching import float_that_reaches
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.float_fluid.shared import GEOMETRY, Variant, left_open, variants
from xlfuncs.audit.rules.geometry.shared import any_mentioned
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import travel
from xlfuncs.gauge import Array, floats, reasons

ROOMS = ("room_below", "room_above")


def _has_room(gauges: Gauges) -> Mask:
    return any_mentioned(gauges, *ROOMS)


@rule(
    "range-not-reachable",
    Severity.ERROR,
    thresholds=("travel_missing_mm",),
    calculate=travel.reach,
    remedy=float_that_reaches,
    when=_has_room,
    needs=(*GEOMETRY, "known_ends", "any_density", "any_upper", "visible_range"),
    assumes=(*ROOMS, "visible_low", "connection_distance"),
    passing={"room_below": "200 mm", "room_above": "100 mm"},
    firing=({"room_below": "120 mm"}, {"room_above": "40 mm"}),
)
def range_not_reachable(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float has no room to show an end of the range.

    Finds: room below the lower connection that is less than the float's immersion at the lower end of the
        visible range, or room above the upper connection that is less than its top needs at the upper end,
        by more than 1 mm (common practice, no source). The lightest liquid decides at the bottom, the densest
        at the top. A room that is not stated is not judged.
    Why: the float rests on the bottom of the chamber or touches its top while the level moves on: the gauge
        shows the same for every level beyond, and a switch or an alarm there stays silent.
    Mend: lengthen the chamber at that end, shorten the visible range, or take a shorter float.
    """
    depths = [_depths(gauges, variant) for variant in variants(gauges)]
    low, high = gauges.visible_ends
    top = high + gauges.float_shape[2] - gauges.si("connection_distance")
    short = {
        "room_below": np.stack([each.max(axis=0) - low - gauges.low("room_below") for each in depths]),
        "room_above": np.stack([top - each.min(axis=0) - gauges.low("room_above") for each in depths]),
    }
    for field, missing in short.items():
        with np.errstate(invalid="ignore"):
            beyond = missing > settings.travel_missing_mm * MM + 1e-9
        certain = np.logical_and.reduce(beyond)
        yield from left_open(gauges, np.asarray(np.logical_or.reduce(beyond) & ~certain))
        least = np.argmin(np.where(np.isnan(missing), np.inf, missing), axis=0)
        for record in np.flatnonzero(certain).tolist():
            at = int(least[record])
            yield _hit(gauges, record, field, float(missing[at, record]), at)
    asked = _has_room(gauges) & ~np.isnan(gauges.densities[0])
    with reasons() as why:
        depth = _depths(gauges, variants(gauges)[0])[0]
    yield from unexplained(asked, depth, why, "a float that floats")


def _depths(gauges: Gauges, variant: Variant) -> Array:
    """Immersion [m] at each pair of densities; NaN where the float does not float."""
    mass, diameter, length, _ = gauges.float_shape
    ends, pairs = variant
    return np.stack([floats.immersion(mass, diameter, length, *pair, ends) for pair in pairs])


def _hit(gauges: Gauges, record: int, field: str, missing: float, number: int) -> Hit:
    ends, pairs = variants(gauges)[number]
    depths = _depths(gauges, (ends, pairs))[:, record]
    below = field == "room_below"
    at = int(np.argmax(depths) if below else np.argmin(depths))
    lower, upper = (float(part[record]) for part in pairs[at])
    room = float(gauges.low(field)[record])
    end = gauges.visible_ends[0 if below else 1][record]
    where = "below the lower" if below else "above the upper"
    stop = "rests on the bottom of" if below else "touches the top of"
    needed = gauges.say(record, field, room + missing)
    shown = gauges.say(record, "visible_range", float(end))
    return gauge_hit(
        gauges,
        record,
        field,
        f"the float needs {needed} {where} connection to show {shown},"
        f" there are {gauges.say(record, field, room)}: it {stop} the chamber"
        f" {gauges.say(record, field, missing)} before",
        expected=gauges.measure(record, field, room + missing),
        evidence={
            "room_mm": room / MM,
            "needed_mm": (room + missing) / MM,
            "immersion_mm": float(depths[at]) / MM,
            "density_kg_m3": lower,
        },
        case={"ends": str(ends[record]), "lower": lower, "upper": upper},
    )
