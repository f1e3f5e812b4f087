"""Values as they should be: ranges, currents, set points, flange classes."""

from __future__ import annotations

import itertools
from math import ceil, floor, log10

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.strength import sufficient
from xlfuncs.data import load
from xlfuncs.gauge import classes, ratings, reasons, signal

MM = 1e-3
SWITCHES = ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh")
"""In the order in which their set points must rise."""


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
    """A field set to a bound, rounded to the safe side as it is shown."""
    value = gauges.measure(record, field, si)
    if value is not None and not isinstance(value.value, str) and value.value:
        size = 10.0 ** max(0, 3 - floor(log10(abs(value.value))))  # as a report shows it
        scaled = value.value * size
        rounded = floor(scaled + 1e-6) if down else ceil(scaled - 1e-6)
        value = Measure(rounded / size, value.unit)
    return Option(f"{what or field.removeprefix('switch_').upper()} {value}", field, value)


def _ends(gauges: Gauges, record: int) -> tuple[float, float]:
    """Ends of the visible range."""
    low = float(gauges.or_default("visible_low", 0.0)[record])
    return low, low + float(gauges.si("visible_range")[record])


def whole_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """LRV and URV at the ends of the visible range, and the current of the stated level then."""
    low, high = _ends(gauges, hit.record)
    lrv, urv = (float(gauges.si(name)[hit.record]) for name in ("lrv", "urv"))
    if np.isnan(low + high + lrv + urv):
        return None
    falling = urv < lrv
    first, last = (high, low) if falling else (low, high)
    options = [whole(gauges, hit.record, "lrv", first), whole(gauges, hit.record, "urv", last)]
    current = _current(gauges, hit.record, low, high, falling)
    then = f"; {current[0].text} then" if current else ""
    return Remedy(f"Set {options[0].text} and {options[1].text}{then}.", (*options, *current))


def _current(gauges: Gauges, record: int, low: float, high: float, falling: bool) -> list[Option]:
    """The current that belongs to the stated level."""
    level = float(gauges.si("stated_level")[record])
    if np.isnan(level) or not gauges.given("stated_current")[record] or not high > low:
        return []
    due = float(signal.held_current(level, low, high, falling))
    value = gauges.measure(record, "stated_current", due)
    if np.isnan(due):
        return []
    return [
        Option(
            f"the current at {gauges.say(record, 'stated_level', level)} is {value}", "stated_current", value
        )
    ]


def other_way(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """LRV and URV exchanged, or the reverse action stated."""
    lrv, urv = (float(gauges.si(name)[hit.record]) for name in ("lrv", "urv"))
    if lrv == urv:
        low, high = _ends(gauges, hit.record)
        if not high > low:
            return None
        lrv, urv = high, low
    options = (
        whole(gauges, hit.record, "lrv", urv),
        whole(gauges, hit.record, "urv", lrv),
        Option("action: reverse", "action", Measure("reverse")),
    )
    both = f"{options[0].text} and {options[1].text}"
    text = f"Set {both}; or, where the signal shall fall, state the reverse action."
    return Remedy(text, options)


def right_current(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The current of the level, or the level of the current."""
    record = hit.record
    lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
    low, high = min(lrv, urv), max(lrv, urv)
    falling = bool(gauges.says("action", "reverse")[record] or urv < lrv)
    options = _current(gauges, record, low, high, falling)
    share = (float(gauges.si("stated_current")[record]) - 4e-3) / 16e-3
    if 0 <= share <= 1:
        level = high - share * (high - low) if falling else low + share * (high - low)
        field = str(hit.case["level"])
        value = gauges.measure(record, field, level)
        stated = gauges.measure(record, "stated_current")
        options.append(Option(f"the level of {stated} is {value}", field, value))
    if not options:
        return None
    return Remedy(f"As LRV and URV stand, {'; or '.join(option.text for option in options)}.", tuple(options))


def in_order(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The same set points in their order, where their distance does."""
    record = hit.record
    fields = [name for name in SWITCHES if gauges.given(name)[record]]
    points = sorted(float(gauges.si(name)[record]) for name in fields)
    if any(b - a < settings.switch_spacing_mm * MM - 1e-9 for a, b in itertools.pairwise(points)):
        return None
    options = [
        whole(gauges, record, name, point)
        for name, point in zip(fields, points, strict=True)
        if abs(point - float(gauges.si(name)[record])) > 1e-9
    ]
    return Remedy(f"In their order: {', '.join(option.text for option in options)}.", tuple(options))


def apart(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The upper set point moved up by what is lacking, or the lower one down, where there is room."""
    record = hit.record
    least = settings.switch_spacing_mm * MM
    lower = str(hit.case["below"])
    below, above = float(gauges.si(lower)[record]), float(gauges.si(hit.field)[record])
    low, high = _ends(gauges, record)
    options = []
    for name, point in ((hit.field, below + least), (lower, above - least)):
        others = [float(gauges.si(other)[record]) for other in SWITCHES if other not in (hit.field, lower)]
        free = all(np.isnan(other) or abs(other - point) >= least - 1e-9 for other in others)
        order = all(np.isnan(other) or (other < point) == (other < below) for other in others)
        inside = np.isnan(low + high) or low - 1e-9 <= point <= high + 1e-9
        if free and order and inside:
            options.append(bound(gauges, record, name, point, down=name == lower))
    if not options:
        return None
    return Remedy(f"Set {' or '.join(option.text for option in options)}.", tuple(options))


def into_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The set point at the end of the visible range."""
    low, high = _ends(gauges, hit.record)
    if np.isnan(low + high):
        return None
    point = float(np.clip(gauges.si(hit.field)[hit.record], low, high))
    option = whole(gauges, hit.record, hit.field, point)
    span = f"{gauges.say(hit.record, hit.field, low)} to {gauges.say(hit.record, hit.field, high)}"
    return Remedy(f"Set it within {span}; the nearest is {option.text}.", (option,))


def wider_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The range that holds the level."""
    record, level = hit.record, float(hit.evidence["level_mm"]) * MM
    if hit.case["transmitter"]:
        lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
        name = "lrv" if (level < min(lrv, urv)) == (lrv <= urv) else "urv"
        option = whole(gauges, record, name, level)
        return Remedy(f"Set {option.text}, where the signal shall follow that level.", (option,))
    low, high = _ends(gauges, record)
    if np.isnan(low + high):
        return None
    least, most = min(low, level), max(high, level)
    value = gauges.measure(record, "visible_range", most - least)
    span = f"{gauges.say(record, hit.field, least)} to {gauges.say(record, hit.field, most)}"
    nearest = whole(gauges, record, hit.field, low if level < low else high, "that level at")
    wider = Option(f"a visible range of {value}, from {span}", "visible_range", value)
    if most - least > float(gauges.si("connection_distance")[record]) + settings.transmitter_outside_mm * MM:
        text = (
            f"The connections allow no range from {span}: set {nearest.text}, or ask for other connections."
        )
        return Remedy(text, (nearest,))
    return Remedy(f"The gauge shows that level with {wider.text}; or set {nearest.text}.", (wider, nearest))


def more_room(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The room that the float needs, or what the gauge can show with the room that there is."""
    needed = float(hit.evidence["needed_mm"]) * MM
    option = bound(gauges, hit.record, hit.field, needed, _ROOM[hit.field])
    return Remedy(f"Make {option.text}.", (option,))


_ROOM = {
    "room_below": "the room below the lower connection",
    "room_above": "the room above the upper connection",
}


def scale_at_zero(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The scale's zero at the bottom connection."""
    off = float(gauges.si("scale_zero")[hit.record])
    option = whole(gauges, hit.record, "scale_zero", 0.0, "scale zero")
    side = "down" if off > 0 else "up"
    text = f"Move the scale {side} by {gauges.say(hit.record, 'scale_zero', abs(off))}."
    return Remedy(text, (option,))


def exchanged_densities(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The two densities the other way round."""
    record = hit.record
    lower, upper = float(gauges.densities[0][record]), float(gauges.high("upper_density")[record])
    if lower == upper:
        return None
    options = (
        whole(gauges, record, "fluid_density", upper, "lower fluid"),
        whole(gauges, record, "upper_density", lower, "upper fluid"),
    )
    return Remedy(f"If they were swapped: {options[0].text}, {options[1].text}.", options)


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
