"""The range that a float cannot show: more room, a shorter range, or a float that shows it."""

from __future__ import annotations

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.floats import Wanted, proposed
from xlfuncs.audit.remedies.ranges import sound_ends, too_long
from xlfuncs.audit.remedies.taken import after
from xlfuncs.audit.remedies.values import more_room
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings


def float_that_reaches(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """More room or a shorter range; parts of the list that fit the gauge and show its range in the room."""
    if (settled := _by_range(gauges, settings, hit)) is not None:
        return settled
    roomier = more_room(gauges, settings, hit)
    duty = duty_of(gauges, settings, hit.record)
    listed = None if duty is None else proposed(Wanted(gauges, settings, hit.record, duty, reaching=True))
    if roomier is None or listed is None:
        return roomier or listed
    text = f"{roomier.text} {listed.text}"
    return Remedy(text, (*roomier.options, *listed.options), listed.calculation, listed.further)


def _by_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """That a visible range within the connections is reached; None where it is within them, or is not."""
    record = hit.record
    if not too_long(gauges, settings, record):
        return None
    low, high = sound_ends(gauges, settings, record)
    if "range-not-reachable" in after(gauges, settings, record, {"visible_range": high - low}):
        return None
    most = gauges.say(record, "visible_range", high - low)
    return Remedy(
        "Settle the visible range first, which is longer than the connections are apart"
        f" (range-exceeds-connections): with at most {most} there is room enough."
    )
