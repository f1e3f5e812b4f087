"""Room in the chamber that the floats of a list need to show both ends of the visible range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.remedies.values import SIDES
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import choice, floats, reasons

REACH: Final = "reach"
"""The kind of that reason."""


@dataclass(frozen=True)
class Room:
    """What a float needs at each end, and what there is [m]; a room that is not stated is left out."""

    needed: Mapping[str, float]
    there: Mapping[str, float]
    decides: Mapping[str, choice.Condition]
    """The state of the fluids in which it needs most, at each end."""

    @property
    def lacking(self) -> dict[str, float]:
        """By how much each room is too short [m]; below zero: to spare."""
        return {field: need - self.there[field] for field, need in self.needed.items()}

    @property
    def worst(self) -> tuple[str, float]:
        """The end at which most is lacking, and how much [m]."""
        lacking = self.lacking
        field = max(lacking, key=lambda one: lacking[one])
        return field, lacking[field]


def rooms_of(gauges: Gauges, record: int, listed: choice.FloatList, duty: choice.Duty) -> dict[str, Room]:
    """Part -> room; none where the gauge states no room or no range, or of a float that does not float.

    The lightest liquid decides at the bottom, the densest at the top, as the rule range-not-reachable has it.
    """
    there = {field: float(gauges.low(field)[record]) for field in SIDES}
    low, high = (float(end[record]) for end in gauges.visible_ends)
    distance = float(gauges.si("connection_distance")[record])
    if np.isnan([*there.values()]).all():
        return {}
    shape = np.isin(listed.ends, floats.ENDS)
    ends = np.where(shape, listed.ends, "flat").astype(str)
    body = (listed.mass, listed.diameter, np.where(shape, listed.length, np.nan))
    with reasons():
        depths = np.stack(
            [
                np.asarray(floats.immersion(*body, one.lower_density, one.upper_density, ends))
                for one in duty.conditions
            ]
        )
    at = {"room_below": depths.argmax(axis=0), "room_above": depths.argmin(axis=0)}
    needed = {
        "room_below": depths.max(axis=0) - low,
        "room_above": high + listed.length - distance - depths.min(axis=0),
    }
    found = {}
    for number, part in enumerate(listed.part.tolist()):
        known = {
            field: float(needed[field][number])
            for field in SIDES
            if not np.isnan(needed[field][number] + there[field])
        }
        if known:
            decides = {field: duty.conditions[int(at[field][number])] for field in known}
            found[part] = Room(known, there, decides)
    return found


def cramped(
    one: choice.Candidate, room: Room | None, gauges: Gauges, settings: Settings, record: int
) -> choice.Candidate:
    """A part that lacks room to show an end of the range does not fit."""
    if room is None or one.status == "not judged":
        return one
    short = {field: by for field, by in room.lacking.items() if by > settings.travel_missing_mm * 1e-3 + 1e-9}
    if not short:
        return one
    told = " and ".join(f"{gauges.say(record, field, room.needed[field])} {SIDES[field]}" for field in short)
    there = " and ".join(gauges.say(record, field, room.there[field]) for field in short)
    why = f"needs {told} to show the range, there are {there}"
    return replace(one, status="rejected", rank=None, reasons=(*one.reasons, why), kinds=(*one.kinds, REACH))


def all_cramped(
    found: Sequence[choice.Candidate], rooms: Mapping[str, Room], gauges: Gauges, record: int
) -> str:
    """That all of several parts lack room, and which the least; "" where one does not."""
    if len(found) < 2 or not all(REACH in one.kinds for one in found):
        return ""
    part, (field, lacking) = min(
        ((one.part, rooms[one.part].worst) for one in found), key=lambda each: each[1][1]
    )
    least = gauges.say(record, field, lacking)
    return f"all lack room to show the range, the least {part} with {least} {SIDES[field]}"


def told(room: Room, gauges: Gauges, record: int) -> str:
    """What a part needs of the rooms that there are: `needs 182 mm of the 200 mm below the ...`."""
    each = [
        f"{gauges.say(record, field, max(need, 0.0))} of the {gauges.say(record, field, room.there[field])}"
        f" {SIDES[field]}"
        for field, need in room.needed.items()
    ]
    return f"needs {' and '.join(each)}"
