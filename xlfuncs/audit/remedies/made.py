"""Floats and scales to be made: another mass, the magnet elsewhere, a scale for the operating densities.

Each is centred between its lowest and its highest reading over all cases, with all that the worst reading
counts, and is proposed only where it then reads within the tolerance and is another than what there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from xlfuncs.audit.remedies import apart
from xlfuncs.audit.remedies.doubted import Body, Doubted, beside, by_right, cold, in_doubt, offsets
from xlfuncs.audit.remedies.duties import beyond, density_field, said_by, set_by
from xlfuncs.audit.remedies.shells import LONGER, WIDER, larger, shell_for
from xlfuncs.audit.remedies.trial import SEEN, Trial, body_of
from xlfuncs.audit.remedy import Option
from xlfuncs.gauge import choice, floats, reasons, sizing
from xlfuncs.gauge.strength import find_material

ROOM = 293.15
"""Temperature at which a float is measured [K]."""
CLEARANCE = 0.010
"""Metres by which a bore is wider than the float that is made for it (common practice, no source)."""
SIZED = 10
"""Gauges of a book for which a larger float is sized (common practice, no source)."""


@dataclass(frozen=True)
class Made:
    """What would have to be made."""

    options: tuple[Option, ...] = ()
    impossible: str = ""
    """Why the present float, or one of its size, cannot be made to do."""


def made(trial: Trial, doubt: Doubted | None = None, *, sized: bool = True) -> Made:
    """A float with another mass or of another size, the present one with its magnet elsewhere, a scale.

    Where the cases alone are too far apart for any of them: that, and what would help. `sized`: whether a
    larger float is looked for where none of this size does, which takes seconds.
    """
    body = body_of(trial.gauges, trial.record)
    if body is None:
        return Made((), _unknown(trial, ("mass", "diameter", "length", "magnet height", "shape of ends")))
    if weak := _limits(trial):
        grown, note = _larger(trial, _size(trial, body), doubt) if sized else ([], "")
        return Made(tuple(grown), f"this float, or one like it, cannot stay: {weak}{note}")
    heavier = _centred_mass(trial, body)
    options, impossible, size = _of_another_mass(trial, body, heavier, doubt)
    options = [*options, *_moved(trial, body, doubt), *scale(trial, doubt)]
    if not options and not impossible:
        found = apart.too_wide(trial, body, heavier)
        options, impossible = list(found.options), found.said
        size = _size(trial, body) if impossible else None
    if size is not None:
        grown, note = _larger(trial, size, doubt) if sized else ([], "")
        return Made((*grown, *options), impossible + note)
    return Made(tuple(options), impossible)


def _limits(trial: Trial) -> str:
    """What keeps the present float out whatever it reads: its limits, of pressure the stated one if any."""
    with reasons():
        numbers = choice.Judgement(trial.own, trial.duty, said_by(trial.gauges, trial.record))
        own = numbers.candidate(0)
    stated = float(trial.own.max_pressure[0])
    borne = not np.isnan(stated) and not beyond(trial.duty.design_pressure, stated)
    kinds = {"temperature"} if borne else {"pressure", "temperature"}
    return "; ".join(why for kind, why in zip(own.kinds, own.reasons, strict=False) if kind in kinds)


def new_float(trial: Trial, doubt: Doubted | None = None) -> Made:
    """A float of the metal and ends of the present one, sized for the duty; none where they are not known."""
    gauges, record, bore = trial.gauges, trial.record, trial.duty.chamber_bore
    diameter, length = (float(part[record]) for part in gauges.float_shape[1:3])
    metal = str(gauges.texts("float_material")[record])
    if lacking := _unknown(trial, ("diameter", "length", "shape of ends", "metal")):
        return Made((), lacking)
    if diameter >= bore:
        diameter = bore - CLEARANCE
    if diameter <= 0:
        return Made()
    found, note = _larger(trial, sizing.Body(diameter, metal, length, str(gauges.ends[record])), doubt)
    return Made(tuple(found), note.removeprefix("; ").replace(" does either", " does"))


def _unknown(trial: Trial, needed: Sequence[str]) -> str:
    """That no float is computed, by what is not known of the present one; "" where all of it is."""
    gauges, record = trial.gauges, trial.record
    mass, diameter, length = (float(part[record]) for part in gauges.float_shape[:3])
    known = {
        "mass": not np.isnan(mass),
        "diameter": not np.isnan(diameter),
        "length": not np.isnan(length),
        "magnet height": not np.isnan(gauges.si("magnet_height")[record]),
        "shape of ends": bool(gauges.given("float_ends")[record]),
        "metal": find_material(str(gauges.texts("float_material")[record])) is not None,
    }
    lacking = [name for name in needed if not known[name]]
    if not lacking:
        return ""
    verb = "are" if lacking[1:] else "is"
    return f"no float is computed for it, since the present one's {' and '.join(lacking)} {verb} not known"


def _centred_mass(trial: Trial, body: Body) -> Body | None:
    """The float with the mass for which it is as far below as above the level at worst."""
    mass = _balanced(body, trial.duty)
    wanted = trial.centred(lambda m: (m, *body[1:]), mass, _per_mass(body, trial.duty))
    return (wanted, *body[1:]) if wanted > 0 else None


def _of_another_mass(
    trial: Trial, body: Body, heavier: Body | None, doubt: Doubted | None
) -> tuple[list[Option], str, sizing.Body | None]:
    """The mass with which a float of this size does; where it cannot be made, why, and its size."""
    if heavier is None or not trial.does(heavier):
        return [], "", None
    gauges, record = trial.gauges, trial.record
    mass, diameter, length, plane, _ = body
    say = partial(gauges.say, record)
    wanted = heavier[0]
    if say("float_mass", wanted) == say("float_mass", mass):
        return [], "", None
    size = _size(trial, body)
    shell = shell_for(gauges, record, trial.duty, wanted, mass, size)
    if not shell.possible:
        why = f"a float of this size would have to weigh {say('float_mass', wanted)} and cannot be made:"
        return [], f"{why} {shell.said}", size
    low, high = (1e3 * end for end in trial.reading(heavier))
    there = by_right(heavier, doubt)
    text = (
        f"a float of this size ({say('float_diameter', diameter)} x {say('float_length', length)}, magnet"
        f" plane {say('magnet_height', plane)} above the bottom) of {say('float_mass', wanted)}"
        f"{f' ({shell.said})' if shell.said else ''}, which {in_doubt(doubt, low, high, there)}"
    )
    numbers = {"mass_g": wanted * 1e3} | _reading(low, high) | shell.numbers | beside(doubt, there)
    value = gauges.measure(record, "float_mass", wanted)
    return [Option(text, "float_mass", value, numbers, {"float_mass": wanted} | shell.changes)], "", None


def _larger(trial: Trial, size: sizing.Body, doubt: Doubted | None) -> tuple[Sequence[Option], str]:
    """A longer or wider float that does, for the first gauges of a book."""
    sized: list[int] = trial.gauges.derived("sized floats", list)
    if trial.record not in sized and len(sized) >= SIZED:
        return [], f"; a larger one is sized for {SIZED} gauges of a book, since it takes seconds"
    sized += [trial.record] if trial.record not in sized else []
    if find_material(size.material) is None:
        return [], ""
    say = partial(trial.gauges.say, trial.record)
    bounds = (
        say("float_diameter", size.diameter + max(WIDER)),
        say("float_length", LONGER * size.max_length),
    )
    found = list(larger(trial, size, doubt))
    return found, "" if found else f"; no float of its metal up to {' x '.join(bounds)} does either"


def _size(trial: Trial, body: Body) -> sizing.Body:
    _, diameter, length, _, ends = body
    metal = str(trial.gauges.texts("float_material")[trial.record])
    return sizing.Body(diameter, metal, length, ends)


def _moved(trial: Trial, body: Body, doubt: Doubted | None) -> Iterator[Option]:
    """The present float with its magnet elsewhere."""
    gauges, record = trial.gauges, trial.record
    mass, diameter, length, plane, ends = body
    moved = trial.centred(lambda z: (mass, diameter, length, z, ends), plane, 1.0)
    elsewhere = (mass, diameter, length, moved, ends)
    if np.isnan(moved) or abs(moved - plane) < SEEN or not trial.does(elsewhere):
        return
    low, high = (1e3 * end for end in trial.reading(elsewhere))
    there = by_right(elsewhere, doubt)
    height = gauges.say(record, "magnet_height", moved)
    text = f"this float with its magnet plane {height} above the bottom"
    text += f", which {in_doubt(doubt, low, high, there)}"
    numbers = {"magnet_height_mm": moved * 1e3} | _reading(low, high) | beside(doubt, there)
    value = gauges.measure(record, "magnet_height", moved)
    yield Option(text, "magnet_height", value, numbers, {"magnet_height": moved})


def scale(trial: Trial, doubt: Doubted | None = None) -> Iterator[Option]:
    """A scale that stands as far off as the present float reads in the middle of its cases."""
    body = body_of(trial.gauges, trial.record)
    if body is None:
        return
    low, high = trial.reading(body)
    middle, half = (low + high) / 2, (high - low) / 2
    if abs(middle) < SEEN or not half <= trial.duty.tolerance * (1 + 1e-9) or not trial.stands(body):
        return
    rho = density_of(trial, body, middle)
    if np.isnan(rho):
        return
    where = trial.gauges.measure(trial.record, density_field(trial.gauges, trial.record), rho)
    side = "higher" if middle > 0 else "lower"
    room = trial.gauges.say(trial.record, "operating_temperature", ROOM)
    measured = f" (with the float at {room})" if np.isfinite(trial.duty.heat_at).any() else ""
    text = f"a scale made for {where}{measured}, set {set_by(trial.gauges, trial.record, middle)} {side}"
    if half >= SEEN:
        text += f", which leaves {half * 1e3:.1f} mm either way at worst"
    text += "; transmitter and switches follow the float: move them by as much"
    text += " (the sheet cannot state it: accept the finding then)"
    numbers = {"scale_density_kg_m3": rho, "scale_shift_mm": middle * 1e3, "left_mm": half * 1e3}
    if doubt is not None:
        lowest, highest = offsets(body, doubt.duty)
        there = 1e3 * (lowest - middle), 1e3 * (highest - middle)
        text += f", with which it {cold(*there)} at {doubt.right}"
        numbers |= beside(doubt, there)
    yield Option(text, "", where, numbers)


def density_of(trial: Trial, body: Body, offset: float) -> float:
    """Density at which the float's offset is so much [kg/m3]: that for which a scale is made."""
    upper = sum(one.upper_density for one in trial.duty.conditions) / len(trial.duty.conditions)
    mass, diameter, length, plane, ends = body
    with reasons():
        return float(floats.implied_density(mass, diameter, length, plane, offset, upper, ends))


def _reading(low: float, high: float) -> dict[str, float]:
    return {"worst_reading_low_mm": low, "worst_reading_high_mm": high}


def _mean(duty: choice.Duty) -> tuple[float, float]:
    """Lower and upper density in the middle of the cases."""
    number = len(duty.conditions)
    lower = sum(one.lower_density for one in duty.conditions) / number
    return lower, sum(one.upper_density for one in duty.conditions) / number


def _balanced(body: Body, duty: choice.Duty) -> float:
    """Mass with which the float reads true at the middle of the densities [kg], by buoyancy alone."""
    _, diameter, length, plane, ends = body
    lower, upper = _mean(duty)
    with reasons():
        below = float(floats.immersed_volume(plane, diameter, length, ends))
        whole = float(floats.volume(diameter, length, ends))
    return lower * below + upper * (whole - below)


def _per_mass(body: Body, duty: choice.Duty) -> float:
    """By how much the reading rises with the mass, about [m/kg]."""
    lower, upper = _mean(duty)
    return -1 / (np.pi / 4 * body[1] ** 2 * (lower - upper))
