"""Ranges and currents as they should be, with what has to move along."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.taken import after, along, brought, changes_of, tried
from xlfuncs.audit.remedies.values import MM, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import signal


def ends(gauges: Gauges, record: int) -> tuple[float, float]:
    """Ends of the visible range."""
    low, high = gauges.visible_ends
    return float(low[record]), float(high[record])


def with_current(gauges: Gauges, settings: Settings, record: int, option: Option) -> Option:
    """An option with the current that belongs to the stated level then, where that is another."""
    found = after(gauges, settings, record, changes_of(option)).get("current-inconsistent")
    if found is None or found.expected is None:
        return option
    text = f"{option.text} and a current of {found.expected}"
    return replace(option, text=text, along=(*option.along, ("stated_current", found.expected)))


def following(
    gauges: Gauges, settings: Settings, record: int, option: Option, now: tuple[float, float]
) -> Option:
    """An option that changes the visible range, with LRV, URV and the current that follow it.

    `now`: the new ends. What stood at an end, or stands outside now, comes to the new one.
    """
    old, near = ends(gauges, record), settings.transmitter_mismatch_mm * MM
    moved = []
    for name in ("lrv", "urv"):
        value = float(gauges.si(name)[record])
        for was, to in zip(old, now, strict=True):
            if abs(value - was) <= near and abs(value - to) > near:
                moved.append((name, to))
                break
        else:
            if not np.isnan(value) and not now[0] - near <= value <= now[1] + near:
                moved.append((name, float(np.clip(value, *now))))
    if moved:
        added = [whole(gauges, record, name, to) for name, to in moved]
        more = along(*((one.name, one.value) for one in added))
        text = f"{option.text} with {' and '.join(one.text for one in added)}"
        option = replace(option, text=text, along=(*option.along, *more))
    return with_current(gauges, settings, record, option)


@tried
def shorter_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The range that the connections bound, or the connections that the range asks for."""
    record, distance = hit.record, float(gauges.si("connection_distance")[hit.record])
    if hit.field == "urv":
        lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
        name = "lrv" if urv < lrv else "urv"
        option = whole(gauges, record, name, min(lrv, urv) + distance)
        shorter = with_current(gauges, settings, record, option)
    else:
        low, _ = ends(gauges, record)
        option = whole(gauges, record, "visible_range", distance, "a visible range of")
        shorter = following(gauges, settings, record, option, (low, low + distance))
    apart = float(hit.evidence["range_mm"]) * 1e-3
    wider = whole(gauges, record, "connection_distance", apart, "connections")
    wider = replace(wider, text=f"{wider.text} apart")
    if brought(gauges, settings, record, shorter) and not brought(gauges, settings, record, wider):
        text = f"{wider.text[0].upper()}{wider.text[1:]}, if the range is right; or at most {shorter.text}."
        return Remedy(text, (wider, shorter))
    return Remedy(f"At most {shorter.text}; or {wider.text}.", (shorter, wider))


@tried
def whole_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """LRV and URV at the ends of the visible range, and the current of the stated level then."""
    low, high = ends(gauges, hit.record)
    lrv, urv = (float(gauges.si(name)[hit.record]) for name in ("lrv", "urv"))
    if np.isnan(low + high + lrv + urv):
        return None
    falling = urv < lrv
    first, last = (high, low) if falling else (low, high)
    option = _both(gauges, hit.record, first, last)
    reverse = bool(gauges.says("action", "reverse")[hit.record])
    current = current_at(gauges, hit.record, low, high, falling or reverse)
    then = f"; {current[0].text} then" if current else ""
    more = along(*((one.name, one.value) for one in current))
    return Remedy(f"Set {option.text}{then}.", (replace(option, along=(*option.along, *more)),))


def _both(gauges: Gauges, record: int, lrv: float, urv: float) -> Option:
    """LRV and URV together."""
    first, last = whole(gauges, record, "lrv", lrv), whole(gauges, record, "urv", urv)
    return replace(first, text=f"{first.text} and {last.text}", along=along(("urv", last.value)))


def current_at(gauges: Gauges, record: int, low: float, high: float, falling: bool) -> list[Option]:
    """The current that belongs to the stated level."""
    level = float(gauges.si("stated_level")[record])
    if np.isnan(level) or not gauges.given("stated_current")[record] or not high > low:
        return []
    due = float(signal.held_current(level, low, high, falling))
    value = gauges.measure(record, "stated_current", due)
    if np.isnan(due):
        return []
    at = gauges.say(record, "stated_level", level)
    return [Option(f"the current at {at} is {value}", "stated_current", value)]


@tried
def other_way(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """LRV and URV exchanged, or the reverse action stated; first what the stated current speaks for."""
    record = hit.record
    lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
    same = lrv == urv
    if same:
        low, high = ends(gauges, record)
        if not high > low:
            return None
        lrv, urv = high, low
    rising = _both(gauges, record, urv, lrv)
    reverse = Option("the reverse action", "action", Measure("reverse"))
    changed = with_current(gauges, settings, record, rising)
    if same:
        return Remedy(f"Set {changed.text}.", (changed,))
    if changed is not rising and not brought(gauges, settings, record, reverse):
        text = f"The stated current belongs to a falling signal: state {reverse.text}; or set {changed.text}."
        return Remedy(text, (reverse, changed))
    text = f"Set {changed.text}; or, where the signal shall fall, state {reverse.text}."
    return Remedy(text, (changed, reverse))


@tried
def right_current(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The current of the level, or the level of the current."""
    record = hit.record
    lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
    low, high = min(lrv, urv), max(lrv, urv)
    falling = bool(gauges.says("action", "reverse")[record] or urv < lrv)
    options = current_at(gauges, record, low, high, falling)
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


@tried
def wider_range(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The range that holds the level."""
    record, level = hit.record, float(hit.evidence["level_mm"]) * MM
    if hit.case["transmitter"]:
        lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
        name = "lrv" if (level < lrv) == (lrv <= urv) else "urv"  # it is outside of both
        option = with_current(gauges, settings, record, whole(gauges, record, name, level))
        return Remedy(f"Set {option.text}, where the signal shall follow that level.", (option,))
    low, high = ends(gauges, record)
    if np.isnan(low + high):
        return None
    least, most = min(low, level), max(high, level)
    span = f"{gauges.say(record, hit.field, least)} to {gauges.say(record, hit.field, most)}"
    nearest = whole(gauges, record, hit.field, low if level < low else high, "that level at")
    if most - least > float(gauges.si("connection_distance")[record]) + settings.transmitter_outside_mm * MM:
        text = (
            f"The connections allow no range from {span}: set {nearest.text}, or ask for other connections."
        )
        return Remedy(text, (nearest,))
    value = gauges.measure(record, "visible_range", most - least)
    wider = Option(f"a visible range of {value}, from {span}", "visible_range", value)
    if least < low:
        wider = replace(wider, along=along(("visible_low", gauges.measure(record, "visible_low", least))))
    wider = following(gauges, settings, record, wider, (least, most))
    return Remedy(f"The gauge shows that level with {wider.text}; or set {nearest.text}.", (wider, nearest))
