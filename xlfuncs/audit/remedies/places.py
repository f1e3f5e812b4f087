"""Heights, ranges and serials as they should be."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.ranges import ends, following
from xlfuncs.audit.remedies.taken import along, brought, tried
from xlfuncs.audit.remedies.values import bound, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import Array
from xlfuncs.lists.tags import bare_serial

DENSITIES = ("fluid_density_min", "fluid_density", "fluid_density_max")


def overlapping(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The height of the upper gauge, or the range of the lower one, with which they overlap enough."""
    record = hit.record
    if "beside" in hit.case:
        field = str(hit.case["field"])
        if field == "fluid":
            return None
        value = whole(gauges, record, field, float(gauges.si(field)[int(hit.case["beside"])]), "")
        return Remedy(f"If the other gauge is right: {value.text}.", (value,))
    lacking = settings.stacked_overlap_mm * 1e-3 - float(hit.evidence["overlap_mm"]) * 1e-3
    height = float(gauges.si("connection_elevation")[record]) - lacking
    lower = bound(gauges, record, "connection_elevation", height, "its lower connection at", down=True)
    other = _longer(gauges, settings, int(hit.case["lower"]), lacking)
    if other is None:
        return Remedy(f"Needed: {lower.text} or lower.", (lower,))
    text = f"Needed: {lower.text} or lower; or {other.text}."
    return Remedy(text, (lower, Option(other.text, "", other.value)))


def _longer(gauges: Gauges, settings: Settings, below: int, lacking: float) -> Option | None:
    """A longer visible range of the gauge below, with its transmitter's; None where that breaks another
    rule, as it does where the range already reaches from connection to connection."""
    low, high = ends(gauges, below)
    tag = gauges.tag(below) or f"row {gauges.row[below]}"
    longer = bound(gauges, below, "visible_range", high - low + lacking, f"a visible range of {tag} of")
    longer = replace(longer, text=f"{longer.text} or more, upwards")
    longer = following(gauges, settings, below, longer, (low, high + lacking))
    return None if brought(gauges, settings, below, longer) else longer


@tried
def around_the_interface(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The connections between which the interface stands, with the upper one in the upper liquid."""
    record, level = hit.record, float(hit.evidence[f"{hit.field}_mm"]) / 1e3
    if hit.field == "liquid_top":
        option = bound(gauges, record, "connection_distance", level, "the upper connection at", down=True)
        option = _range_along(gauges, settings, record, option, level)
        return Remedy(f"Needed: {option.text} or lower, so that it is in the upper liquid.", (option,))
    if level < 0:
        down = gauges.say(record, hit.field, -level)
        return Remedy(f"Needed: the lower connection {down} further down, or lower still.")
    option = bound(gauges, record, "connection_distance", level, "the upper connection at")
    option = _range_along(gauges, settings, record, option, level)
    return Remedy(f"Needed: {option.text} or higher, and in the upper liquid.", (option,))


def _range_along(gauges: Gauges, settings: Settings, record: int, option: Option, level: float) -> Option:
    """Other connections with the visible range, and the transmitter's, that go with them."""
    low, high = ends(gauges, record)
    shorter = option.value is not None and high - low > float(gauges.si("connection_distance")[record]) - 1e-9
    if np.isnan(high) or not (shorter or high < level):
        return option
    value = gauges.measure(record, "visible_range", level - low)
    text = f"{option.text} and a visible range of {value}"
    option = replace(option, text=text, along=along(("visible_range", value)))
    return following(gauges, settings, record, option, (low, level))


@tried
def in_order(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The stated densities, the least as the lowest."""
    record = hit.record
    fields = [name for name in DENSITIES if gauges.given(name)[record]]
    values = sorted(float(gauges.si(name)[record]) for name in fields)
    if np.isnan(values).any():
        return None
    words = {"fluid_density_min": "lowest", "fluid_density": "operating", "fluid_density_max": "highest"}
    options = [
        whole(gauges, record, name, value, words[name]) for name, value in zip(fields, values, strict=True)
    ]
    text = ", ".join(option.text for option in options)
    more = along(*((option.name, option.value) for option in options[1:]))
    return Remedy(f"If they only changed places: {text}.", (replace(options[0], text=text, along=more),))


def own_serial(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """Which gauge bears the serial that is noted, and the serial that would be right."""
    noted, own = str(hit.evidence["noted_serial"]), str(hit.evidence["gauge_serial"])
    option = Option(f"serial {own}", hit.field, Measure(own))
    bearers = [
        gauges.tag(at) or f"row {gauges.row[at]}"
        for at, text in enumerate(gauges.texts("serial").tolist())
        if at != hit.record and bare_serial(str(text)) == bare_serial(noted)
    ]
    whose = (
        f"{noted} is the serial of {', '.join(bearers)}" if bearers else f"No gauge here has serial {noted}"
    )
    return Remedy(f"{whose}; if the list is wrong: {option.text}.", (option,))


def serial_in_step(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The serial that the others lead to, where they count on with the gauges' serials or with the rows."""
    read = "read it on site"
    for count, by in ((_ending(gauges, "serial"), "the gauges' serials"), (gauges.row, "the rows")):
        numbers = _ending(gauges, "float_serial")
        pair = (hit.record, int(hit.case["other"]))
        apart = np.delete(numbers - count, pair)
        apart = apart[~np.isnan(apart)]
        if len(apart) < _STEPS or len(set(apart.tolist())) > 1:
            continue
        for record in pair:
            due = count[record] + apart[0]
            if due == numbers[record] or np.isnan(due) or (numbers == due).any():
                continue
            text = _with_ending(str(gauges.texts("float_serial")[record]), int(due))
            option = Option(f"{gauges.tag(record)} has float {text}", "float_serial", Measure(text))
            return Remedy(f"The other serials count on with {by}: if so, {option.text}; {read}.", (option,))
    return Remedy(f"No number tells which gauge has this float: {read}.")


_STEPS: Final = 3
"""Other serials from which on they tell how the serials count on (common practice, no source)."""


def _ending(gauges: Gauges, field: str) -> Array:
    """The number at the end of each serial; NaN where there is none."""
    found = (re.search(r"\d{1,9}$", str(text).strip()) for text in gauges.texts(field).tolist())
    return np.array([float(one[0]) if one else np.nan for one in found])


def _with_ending(text: str, number: int) -> str:
    """A serial with another number at its end, as many digits long."""
    return re.sub(r"\d{1,9}$", lambda old: f"{number:0{len(old[0])}d}", text.strip())
