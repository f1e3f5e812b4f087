"""Set points of switches as they should be, and which of two is the wrong one."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.ranges import ends, sound_ends
from xlfuncs.audit.remedies.taken import brought, tried
from xlfuncs.audit.remedies.values import MM, SWITCHES, bound, usual, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings

LOW: Final = ("switch_lsll", "switch_lsl")


def points_of(gauges: Gauges, record: int) -> dict[str, float]:
    """The stated set points, in the order in which they must rise [m]."""
    return {name: float(gauges.si(name)[record]) for name in SWITCHES if gauges.given(name)[record]}


def on_its_side(gauges: Gauges, record: int, field: str, point: float) -> bool:
    """Whether a low switch is in the lower half of the visible range, a high one in the upper (common
    practice, no source); true where the range is not stated."""
    middle = sum(ends(gauges, record)) / 2
    return bool(np.isnan(middle) or ((point <= middle) if field in LOW else (point >= middle)))


def odd_one(gauges: Gauges, record: int, lower: str, upper: str) -> str:
    """Of two set points in the wrong order the one that is wrong; "" where that cannot be told.

    It is in the wrong half of the range, or the only one without which all others rise.
    """
    points = points_of(gauges, record)
    astray = [one for one in (lower, upper) if not on_its_side(gauges, record, one, points[one])]
    if len(astray) == 1:
        return astray[0]
    without = [one for one in (lower, upper) if _rising({k: v for k, v in points.items() if k != one})]
    return without[0] if len(without) == 1 else ""


def _rising(points: Mapping[str, float]) -> bool:
    return all(a < b for a, b in itertools.pairwise(points.values()))


def _exchanged(gauges: Gauges, settings: Settings, record: int) -> Option | None:
    """The same set points in their order; None where they would be too near, or in the wrong half."""
    stated = points_of(gauges, record)
    sorted_ = dict(zip(stated, sorted(stated.values()), strict=True))
    near = [b - a for a, b in itertools.pairwise(sorted_.values())]
    if any(gap < settings.switch_spacing_mm * MM - 1e-9 for gap in near):
        return None
    if not all(on_its_side(gauges, record, name, point) for name, point in sorted_.items()):
        return None
    moved = [
        whole(gauges, record, name, point)
        for name, point in sorted_.items()
        if abs(point - stated[name]) > 1e-9
    ]
    more = tuple((one.name, one.value) for one in moved[1:] if one.value is not None)
    return Option(", ".join(one.text for one in moved), moved[0].name, moved[0].value, along=more)


def _usual(gauges: Gauges, record: int, field: str) -> float:
    """Where the others of the same range have this set point [m]; NaN where they differ or are few."""
    span, points = gauges.si("visible_range"), gauges.si(field)
    with np.errstate(invalid="ignore"):
        like = (np.abs(span - span[record]) < MM) & ~np.isnan(points)
    like[record] = False
    return usual(points[like], MM)


def _rises_there(points: Mapping[str, float], name: str, point: float) -> bool:
    """Whether a set point is between its neighbours where it would come to; never where it is NaN."""
    there = {**points, name: point}
    return all(there[low] < there[high] for low, high in itertools.pairwise(there) if name in (low, high))


def in_order(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The set points in their order, where they changed places; else where the wrong one should be."""
    record = hit.record
    if (changed := _exchanged(gauges, settings, record)) is not None:
        return Remedy(f"In their order: {changed.text}.", (changed,))
    odd = str(hit.case["odd"])
    if not odd:
        return None
    point = float(gauges.si(odd)[record])
    name = odd.removeprefix("switch_").upper()
    half = "a low switch in the upper" if odd in LOW else "a high switch in the lower"
    at = gauges.say(record, odd, point)
    why = "" if on_its_side(gauges, record, odd, point) else f", {half} half of the range"
    there = _usual(gauges, record, odd)
    option = whole(gauges, record, odd, there)
    if not _rises_there(points_of(gauges, record), odd, there) or brought(gauges, settings, record, option):
        return Remedy(f"{name} {at} is the one that does not fit{why}: correct it.")
    alike = f"the others of this list with this range have {option.text}"
    return Remedy(f"{name} {at} is the one that does not fit{why}; {alike}.", (option,))


def apart(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The upper set point moved up by what is lacking, or the lower one down, where there is room."""
    record = hit.record
    least = settings.switch_spacing_mm * MM
    lower = str(hit.case["below"])
    below, above = float(gauges.si(lower)[record]), float(gauges.si(hit.field)[record])
    options = []
    for name, point in ((hit.field, below + least), (lower, above - least)):
        option = bound(gauges, record, name, point, down=name == lower)
        if on_its_side(gauges, record, name, point) and not brought(gauges, settings, record, option):
            options.append(option)
    if not options:
        return None
    return Remedy(f"Set {' or '.join(option.text for option in options)}.", tuple(options))


def _room(gauges: Gauges, settings: Settings, record: int, field: str) -> tuple[float, float, str]:
    """Within which heights a set point is clear of the ends of the visible range, by as much as the reading
    may be off, and of those beside it, and from what it is clear; the range alone where no room is left, or
    where it is not stated."""
    low, high = sound_ends(gauges, settings, record)
    least, off = settings.switch_spacing_mm * MM, settings.offset_tolerance_mm * MM
    points = {name: point for name, point in points_of(gauges, record).items() if low <= point <= high}
    order = SWITCHES.index(field) if field in SWITCHES else -1
    below = [point + least for name, point in points.items() if SWITCHES.index(name) < order]
    above = [point - least for name, point in points.items() if SWITCHES.index(name) > order >= 0]
    room = max([low + off, *below]), min([high - off, *above])
    if not room[0] <= room[1]:
        return low, high, ""
    beside = " and of the switches beside it" if room != (low + off, high - off) else ""
    return *room, f", clear of the end of travel{beside}"


@tried
def into_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The set point at the nearest place of the visible range at which the float reaches the switch."""
    record = hit.record
    low, high, clear = _room(gauges, settings, record, hit.field)
    if np.isnan(low + high):
        return None
    point = float(np.clip(gauges.si(hit.field)[record], low, high))
    down = point >= high
    option = bound(gauges, record, hit.field, point, down=down)
    lowest = bound(gauges, record, hit.field, low).value
    highest = bound(gauges, record, hit.field, high, down=True).value
    text = f"Set it within {lowest} to {highest}{clear}; the nearest is {option.text}."
    return Remedy(
        f"{text} What it trips is the process's: change it as the plant's own rules ask.", (option,)
    )
