"""Ranges and currents as they should be, with what has to move along."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.ceilings import hits_of
from xlfuncs.audit.remedies.taken import after, along, brought, changes_of, tried
from xlfuncs.audit.remedies.values import MM, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import signal


def ends(gauges: Gauges, record: int) -> tuple[float, float]:
    """Ends of the visible range."""
    low, high = gauges.visible_ends
    return float(low[record]), float(high[record])


def sound_ends(gauges: Gauges, settings: Settings, record: int) -> tuple[float, float]:
    """Ends of the visible range, the upper one no higher than the connections allow."""
    low, high = ends(gauges, record)
    if not too_long(gauges, settings, record):
        return low, high
    return low, low + float(gauges.si("connection_distance")[record])


def too_long(gauges: Gauges, settings: Settings, record: int) -> bool:
    """Whether the visible range itself is found to exceed the connections."""
    found = hits_of(gauges, settings, "range-exceeds-connections")
    return any(hit.record == record and hit.field == "visible_range" for hit in found)


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
    low, high = sound_ends(gauges, settings, hit.record)
    lrv, urv = (float(gauges.si(name)[hit.record]) for name in ("lrv", "urv"))
    if np.isnan(low + high + lrv + urv):
        return None
    first = ""
    if too_long(gauges, settings, hit.record):
        most = gauges.say(hit.record, "visible_range", high - low)
        first = (
            "Settle the visible range first, which is longer than the connections are apart"
            f" (range-exceeds-connections). With at most {most}: "
        )
        near = settings.transmitter_mismatch_mm * MM
        if abs(min(lrv, urv) - low) <= near and abs(max(lrv, urv) - high) <= near:
            return Remedy(f"{first}LRV and URV are right as they stand.")
    falling = urv < lrv
    option = _both(gauges, hit.record, *((high, low) if falling else (low, high)))
    reverse = bool(gauges.says("action", "reverse")[hit.record])
    current = current_at(gauges, hit.record, low, high, falling or reverse)
    then = f"; {current[0].text} then" if current else ""
    more = along(*((one.name, one.value) for one in current))
    text = f"{first}{'set' if first else 'Set'} {option.text}{then}."
    return Remedy(text, (replace(option, along=(*option.along, *more)),))


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
        low, high = sound_ends(gauges, settings, record)
        if not high > low:
            return None
        lrv, urv = high, low
    rising = _both(gauges, record, urv, lrv)
    if same:
        changed = with_current(gauges, settings, record, rising)
        return Remedy(f"Set {changed.text}.", (changed,))
    reverse = Option("the reverse action", "action", Measure("reverse"))
    where = "as 'reverse' in a column of its own, headed 'Transmitter action'"
    said, falls = _by_current(gauges, settings, record, urv, lrv)
    if falls is True:
        return Remedy(f"{said} falling signal: state {reverse.text}, {where}.", (reverse,))
    if falls is False:
        text = f"{said} rising signal: set {rising.text}, after a look at the transmitter's own settings."
        return Remedy(text, (rising,))
    changed = with_current(gauges, settings, record, rising)
    text = (
        "Ask first whether the transmitter acts in reverse, so that its signal falls as the level rises."
        f" If it does, state {reverse.text}, {where}. If not, set {changed.text}."
    )
    return Remedy(f"{said}. {text}" if said else text, (reverse, changed))


def _by_current(
    gauges: Gauges, settings: Settings, record: int, low: float, high: float
) -> tuple[str, bool | None]:
    """Of which signal the stated current speaks, and whether that one falls; None where it tells neither."""
    name = "stated_level" if gauges.mentioned("stated_level")[record] else "normal_level"
    level, stated = (float(gauges.si(one)[record]) for one in (name, "stated_current"))
    if np.isnan(level + stated) or not high > low:
        return "", None
    near = settings.current_tolerance_ma * 1e-3
    rising, falling = (
        bool(abs(float(signal.held_current(level, low, high, way)) - stated) <= near) for way in (False, True)
    )
    said = f"The stated {gauges.measure(record, 'stated_current')} at {gauges.say(record, name, level)}"
    if rising == falling:
        other = "to both signals" if rising else "neither to a rising nor to a falling signal"
        return f"{said} belongs {other}", None
    return f"{said} belongs to a", falling


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
    """The range that holds the level clear of its ends, or the level within the range."""
    record, level = hit.record, float(hit.evidence["level_mm"]) * MM
    low, high = sound_ends(gauges, settings, record)
    off = settings.offset_tolerance_mm * MM
    if hit.case["transmitter"]:
        lrv, urv = (float(gauges.si(name)[record]) for name in ("lrv", "urv"))
        below = level < min(lrv, urv)
        name = "lrv" if below == (lrv <= urv) else "urv"
        clear = max(level - off, min(low, level)) if below else min(level + off, max(high, level))
        option = with_current(gauges, settings, record, whole(gauges, record, name, clear))
        return Remedy(f"Set {option.text}, where the signal shall follow that level.", (option,))
    if np.isnan(low + high):
        return None
    least, most = min(low, level), max(high, level)
    span = f"{gauges.say(record, hit.field, least)} to {gauges.say(record, hit.field, most)}"
    nearest = _within(gauges, record, hit.field, level, (low, high), off)
    what = "Where it stands" if hit.field == "normal_level" else "What it alarms or trips"
    whose = f"{what} is the process's to decide."
    distance = float(gauges.si("connection_distance")[record])
    if most - least > distance + settings.transmitter_outside_mm * MM:
        text = (
            f"The connections allow no range from {span}: set {nearest.text}, or ask for other connections."
        )
        return Remedy(f"{text} {whose}", (nearest,))
    if level > high:
        most = max(level, float(np.fmin(level + off, least + distance)))
    else:
        least = min(level, float(np.fmax(level - off, most - distance)))
    span = f"{gauges.say(record, hit.field, least)} to {gauges.say(record, hit.field, most)}"
    value = gauges.measure(record, "visible_range", most - least)
    wider = Option(f"a visible range of {value}, from {span}", "visible_range", value)
    if least < low:
        wider = replace(wider, along=along(("visible_low", gauges.measure(record, "visible_low", least))))
    wider = following(gauges, settings, record, wider, (least, most))
    text = f"The gauge shows that level with {wider.text}; or set {nearest.text}. {whose}"
    return Remedy(text, (wider, nearest))


def _within(
    gauges: Gauges, record: int, field: str, level: float, now: tuple[float, float], off: float
) -> Option:
    """A level that comes into the range, clear of its end by as much as the reading may be off."""
    low, high = now
    clear = off if high - low > 2 * off else 0.0
    end = low + clear if level < low else high - clear
    option = whole(gauges, record, field, end, "that level at")
    return replace(option, text=f"{option.text} or {'higher' if level < low else 'lower'}")
