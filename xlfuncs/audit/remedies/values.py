"""Values as they should be: bounds, rooms, flange classes."""

from __future__ import annotations

from math import ceil, floor, log10
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.strength import sufficient
from xlfuncs.data import load
from xlfuncs.gauge import Array, classes, ratings, reasons
from xlfuncs.units import UnitError, converter

MM = 1e-3
SWITCHES = ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh")
"""In the order in which their set points must rise."""


def usual(others: Array, within: float, few: int = 3) -> float:
    """What nearly all of some values are, as far as `within`; NaN where they are fewer or differ.

    From how many on theirs tells what is usual is common practice, no source.
    """
    if len(others) < few:
        return np.nan
    middle = float(np.median(others))
    return middle if np.mean(np.abs(others - middle) < within) >= _MOST else np.nan


_MOST = 0.9
"""Share of the others that has to agree (common practice, no source)."""


def whole(gauges: Gauges, record: int, field: str, si: float, what: str | None = None) -> Option:
    """A field set to a value."""
    value = gauges.measure(record, field, si)
    name = field.removeprefix("switch_").upper() if what is None else what
    return Option(f"{name} {value}".strip(), field, value)


def bound(
    gauges: Gauges,
    record: int,
    field: str,
    si: float,
    what: str = "",
    *,
    down: bool = False,
) -> Option:
    """A field set to a bound, rounded to the safe side as it is shown. `down`: an upper bound.

    Of temperatures, pressures and densities that are computed it is one digit further on that side: what is
    typed as it is printed is clear of the limit.
    """
    value = gauges.measure(record, field, si)
    down ^= falls(field, value)
    if value is not None and not isinstance(value.value, str) and value.value:
        size = 10.0 ** max(0, 3 - floor(log10(abs(value.value))))  # as a report shows it
        scaled = value.value * size
        rounded = floor(scaled + 1e-6) if down else ceil(scaled - 1e-6)
        if abs(rounded - scaled) > 1e-6 and load("fields")[field].get("quantity") in _COMPUTED:
            rounded += -1 if down else 1
        value = Measure(rounded / size, value.unit)
    return Option(f"{what or field.removeprefix('switch_').upper()} {value}", field, value)


_COMPUTED: Final = frozenset({"temperature", "pressure_gauge", "density"})
"""Quantities of which a limit that is no round number was computed, from data that have their own digits."""


def falls(field: str, value: Measure | None) -> bool:
    """Whether a larger number is a smaller value: a vacuum, and degrees API."""
    if value is None:
        return False
    try:
        return not converter(value.unit, str(load("fields")[field]["quantity"]), assume=True).rising
    except UnitError:
        return False


def or_more(option: Option) -> str:
    """The option as a lower bound: 'or more', but 'or less' of a vacuum."""
    return f"{option.text} or {'less' if falls(option.name, option.value) else 'more'}"


def as_the_others(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The number in the unit in which it is among its neighbours."""
    taken = hit.case.get("taken")
    if taken is None:
        return None
    option = whole(gauges, hit.record, hit.field, float(taken), "")
    return Remedy(f"Taken in the other unit it is {option.text}, as its neighbours are.", (option,))


def more_room(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The room that the float needs, or what the gauge can show with the room that there is."""
    needed = float(hit.evidence["needed_mm"]) * MM
    option = bound(gauges, hit.record, hit.field, needed, f"the room {SIDES[hit.field]}")
    missing = needed - float(hit.evidence["room_mm"]) * MM
    low, high = (float(end[hit.record]) for end in gauges.visible_ends)
    side, end = ("below", low + missing) if hit.field == "room_below" else ("above", high - missing)
    shown = gauges.say(hit.record, "visible_range", end)
    return Remedy(f"Make {option.text}; or let the gauge show no level {side} {shown}.", (option,))


SIDES: Final = {
    "room_below": "below the lower connection",
    "room_above": "above the upper connection",
}
"""Room in the chamber -> where it is."""


def scale_at_zero(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The scale's zero at the bottom connection."""
    off = float(gauges.si("scale_zero")[hit.record])
    option = whole(gauges, hit.record, "scale_zero", 0.0, "scale zero")
    side = "down" if off > 0 else "up"
    text = f"Move the scale {side} by {gauges.say(hit.record, 'scale_zero', abs(off))}."
    begun = [
        what
        for field, what in (("visible_low", "the visible range"), ("lrv", "the transmitter's range"))
        if abs(float(gauges.si(field)[hit.record]) - off) <= settings.offset_tolerance_mm * MM
    ]
    if begun:
        begin = "begins" if len(begun) == 1 else "begin"
        text = (
            f"{' and '.join(begun)} {begin} there as well: ask first whether this zero is meant. If it is,"
            " each reading is a height above it, and transmitter, set points and drawings have to say so;"
            " have it accepted. If not:"
            f" {text[0].lower()}{text[1:]}"
        )
        text = f"{text[0].upper()}{text[1:]}"
    return Remedy(text, (option,))


def sufficient_class(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The lowest class of the same standard that does; where its table ends before, which one may."""
    record = hit.record
    stated = gauges.flange_classes[record]
    if "material_group" not in hit.evidence:
        return _class_at_least(gauges, record)
    group = gauges.material_groups[record]
    pressure, kelvin = (float(gauges.high(f"design_{name}")[record]) for name in ("pressure", "temperature"))
    perhaps: tuple[str, float] | None = None
    for number in load("flange_words")[stated.system]["numbers"]:
        rating = str(classes.Rating(stated.system, number))
        with reasons():
            least, most = (float(np.asarray(end)) for end in ratings.rating_bounds(rating, group, kelvin))
        if least >= pressure:
            name, option = _class_option(gauges, record, rating, least)
            text = f"{name[0].upper()}{name[1:]}, suffices for group {group} at this temperature."
            return Remedy(text, (option,), sufficient(gauges, settings, hit, rating, least))
        if perhaps is None and np.isnan(least) and most >= pressure:
            perhaps = rating, most
    if perhaps is not None:
        return _by_division(gauges, record, str(group), *perhaps)
    return Remedy(
        f"No class of this standard suffices for group {group} at this temperature: take another material."
    )


def _class_option(gauges: Gauges, record: int, rating: str, bound: float) -> tuple[str, Option]:
    name = f"{rating}, rated {gauges.say(record, 'design_pressure', bound)}"
    return name, Option(name, "flange_class", Measure(rating), {"flange_rating_barg": bound / 1e5})


def _by_division(gauges: Gauges, record: int, group: str, rating: str, most: float) -> Remedy:
    """Where the standard's table of some divisions ends below the design temperature."""
    ends = ratings.rated_until(rating, group)
    until, warm = (
        gauges.say(record, "design_temperature", kelvin)
        for kelvin in (ends, float(gauges.high("design_temperature")[record]))
    )
    carried = gauges.say(record, "design_pressure", most)
    name = f"{rating}, rated up to {carried} at {warm} by its division"
    text = (
        f"The standard's table for all divisions of group {group} ends at {until}; above, the division of the"
        f" flange decides, by its type and size. {name[0].upper()}{name[1:]}, is the lowest class that may"
        " suffice: look its division up."
    )
    option = Option(name, "flange_class", Measure(rating), {"highest_flange_rating_barg": most / 1e5})
    return Remedy(text, (option,))


def _class_at_least(gauges: Gauges, record: int) -> Remedy | None:
    """Where the material or the temperature is not known: the lowest class that does in some material."""
    stated, pressure = gauges.flange_classes[record], float(gauges.high("design_pressure")[record])
    for number in load("flange_words")[stated.system]["numbers"]:
        rating = str(classes.Rating(stated.system, number))
        if ratings.rating_ceiling(rating) >= pressure:
            return Remedy(
                f"{rating} at least; which class suffices is told by the flanges' material and the design"
                " temperature: state both."
            )
    return None
