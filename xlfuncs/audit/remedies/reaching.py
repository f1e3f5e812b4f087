"""The range that a float cannot show: more room, a shorter range, or a float that shows it."""

from __future__ import annotations

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.floats import Wanted, proposed
from xlfuncs.audit.remedies.values import more_room
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings


def float_that_reaches(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """More room or a shorter range; parts of the list that fit the gauge and show its range in the room."""
    roomier = more_room(gauges, settings, hit)
    duty = duty_of(gauges, settings, hit.record)
    listed = None if duty is None else proposed(Wanted(gauges, settings, hit.record, duty, reaching=True))
    if roomier is None or listed is None:
        return roomier or listed
    text = f"{roomier.text} {listed.text}"
    return Remedy(text, (*roomier.options, *listed.options), listed.calculation, listed.further)
