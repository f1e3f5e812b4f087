"""Whether a float of a wanted mass can be made: its shell and its magnets, and what would have to change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.remedies.doubted import Body, Doubted, beside, between, by_right, cold, reads
from xlfuncs.audit.remedies.duties import beyond, crushed
from xlfuncs.audit.remedies.trial import Trial
from xlfuncs.audit.remedy import Option
from xlfuncs.data import load
from xlfuncs.gauge import choice, reasons, sizing
from xlfuncs.gauge.strength import find_material, permitted_pressure

LONGER: Final = 2.0
"""Length over the present one, up to which a longer float is looked for (common practice, no source)."""
WIDER: Final = (0.0, 0.010, 0.020)
"""Metres by which float and chamber are made wider, in turn (common practice, no source)."""
TRIMMED: Final = 0.001
"""Share of its mass to which the float of an interface is trimmed (common practice, no source)."""
PROVEN: Final = "which the maker has to prove"
_WARM: Final = 293.15
"""Temperature of the metal where none is stated [K]."""


@dataclass(frozen=True)
class Shell:
    """Whether a float can be made so light."""

    possible: bool
    said: str = ""
    """Where it can: of what its mass is made; where not: why. "" where the present float tells it."""
    numbers: dict[str, float] = field(default_factory=dict)
    changes: dict[str, float] = field(default_factory=dict)
    """Its wall and what that bears, where it is made for the test."""


def shell_for(
    gauges: Gauges, record: int, duty: choice.Duty, wanted: float, present: float, size: sizing.Body
) -> Shell:
    """Whether a float of this size and metal can have the mass `wanted` [kg].

    A heavier one than the present float is made with ballast. A lighter one has at least its shell, with
    the stated wall or the thinnest that bears the design pressure, by its strength or by the list, and its
    magnets. Where the test is above what it bears, a wall that bears the test as well is preferred.
    """
    limit = float(gauges.low("float_max_pressure")[record])
    test = float(gauges.high("test_pressure")[record])
    proof = _proof(gauges, record, duty, wanted, size) if beyond(test, limit) or wanted < present else None
    out = crushed(gauges, record, limit)
    if wanted >= present:
        none = out and f"no wall that bears the test leaves that mass: {out}"
        return proof or Shell(True, none if _computed(size) else out)
    if find_material(size.material) is None:
        return Shell(True, "if its shell can be made so light: state the float's metal", {})
    stated = float(gauges.si("float_wall")[record])
    gram, long = partial(gauges.say, record, "float_mass"), partial(gauges.say, record, "float_wall")
    with reasons():
        thinnest = _thinnest(duty, size)
        listed = float(gauges.low("float_max_pressure")[record])
        if stated < thinnest and listed >= np.nan_to_num(duty.design_pressure):
            thinnest = stated  # the list itself says that this wall bears it
        least = _mass(size, thinnest)
        usual = _mass(size, stated) if stated >= thinnest else np.nan
    magnets = size.magnets
    if np.isnan(least) and not np.isnan(thinnest):
        return Shell(True, "if its shell can be made so light", {})
    if np.isnan(least):
        return Shell(
            False, f"no wall of {size.material} bears the design pressure at this diameter and length"
        )
    if usual + magnets <= wanted and not (out and proof):
        said = f"{gram(usual)} of it its shell, as thick as now{out and f'; {out}'}"
        return Shell(True, said, _numbers(stated, usual, size))
    if proof is not None:
        return proof
    instead = "" if np.isnan(usual) else f" instead of {long(stated)}, with which the shell is {gram(usual)}"
    if least + magnets <= wanted:
        weak = _too_thin(gauges, record, duty, size, thinnest) if _computed(size) else out and f"; {out}"
        said = f"{gram(least)} of it its shell, with a wall of {long(thinnest)}{instead}{weak}"
        return Shell(True, said, _numbers(thinnest, least, size))
    said = (
        f"its shell of {size.material} alone weighs {gram(least)} with a wall of {long(thinnest)}, the"
        f" thinnest that bears the design pressure, and its magnets about {gram(magnets)}"
    )
    if least > present:
        said += f" (the present float of {gram(present)} is lighter than that: check its wall and metal)"
    return Shell(False, said)


def _computed(size: sizing.Body) -> bool:
    """Whether the mass of a shell tells what it bears: not of flat ends, nor of ends whose mass is open."""
    known = find_material(size.material) is not None and size.ends != "flat"
    return known and not np.isnan(_mass(size, 1e-3))


def _proof(gauges: Gauges, record: int, duty: choice.Duty, wanted: float, size: sizing.Body) -> Shell | None:
    """The shell with the thinnest wall that bears the test as well; None where none leaves that mass."""
    test = float(gauges.high("test_pressure")[record])
    if np.isnan(test) or not _computed(size):
        return None
    tested = replace(duty, design_pressure=float(np.fmax(test, duty.design_pressure)))
    with reasons():
        wall = _thinnest(tested, size)
        metal = _mass(size, wall)
    if not metal + size.magnets <= wanted:
        return None
    bears, say = _permitted(duty, size, wall), partial(gauges.say, record)
    ballast = ", and ballast" if metal + size.magnets < wanted * (1 - 1e-3) else ""
    shell = f"{say('float_mass', metal)} of it its shell, with a wall of {say('float_wall', wall)}{ballast}"
    said = f"{shell}, computed to bear {say('test_pressure', bears)}, the test as well, {PROVEN}"
    changes = {"float_wall": wall, "float_max_pressure": bears}
    return Shell(True, said, _numbers(wall, metal, size), changes)


def _too_thin(gauges: Gauges, record: int, duty: choice.Duty, size: sizing.Body, wall: float) -> str:
    """That a wall does not bear the test; "" where it does."""
    out = crushed(gauges, record, _permitted(duty, size, wall))
    return out and f"; no wall that bears the test leaves that mass: {out}"


def _permitted(duty: choice.Duty, size: sizing.Body, wall: float) -> float:
    """What a wall bears at the design temperature [Pa gauge]."""
    warm = _warm(duty).design_temperature
    with reasons():
        shell = (size.diameter, wall, size.max_length, size.material, warm, size.ends)
        return float(np.asarray(permitted_pressure(*shell, duty.safety_factor)))


def larger(trial: Trial, size: sizing.Body, doubt: Doubted | None = None) -> Iterator[Option]:
    """A float of the same metal that does: longer, else wider; none where none does.

    Of each width one that withstands the hydrostatic test as well, where there is one.
    """
    duty = trial.duty
    test = float(trial.gauges.high("test_pressure")[trial.record])
    tested = (test,) if test > np.nan_to_num(duty.design_pressure) else ()
    allowance = TRIMMED if duty.interface else None
    for more in WIDER:
        across, bore = size.diameter + more, duty.chamber_bore + more
        room = replace(duty, chamber_bore=bore)
        wide = sizing.Body(across, size.material, LONGER * size.max_length, size.ends)
        for pressure in (*tested, duty.design_pressure):
            strong = _warm(replace(room, design_pressure=pressure))
            key = f"sized {strong} {wide} {allowance}"  # a gauge has several findings of one float
            try:
                found = trial.gauges.derived(key, partial(_sized, strong, wide, allowance))
            except ValueError:
                return
            if found is None:
                continue
            body = (found.mass, across, found.length, found.magnet_height, size.ends)
            if replace(trial, duty=room).does(body):
                yield _as_sized(replace(trial, duty=room), found, bore if more else np.nan, doubt)
                return


def _sized(duty: choice.Duty, wide: sizing.Body, allowance: float | None) -> sizing.Sized | None:
    with reasons():
        return sizing.shortest_float(duty, wide, allowance)


def _trimmed(trial: Trial, body: Body) -> str:
    """How finely the mass of an interface's float has to be made, and how it reads at the ends of that."""
    ends = [trial.reading((body[0] * share, *body[1:])) for share in (1 - TRIMMED, 1 + TRIMMED)]
    low, high = 1e3 * min(end[0] for end in ends), 1e3 * max(end[1] for end in ends)
    return f", its mass trimmed to {choice.percent(TRIMMED)} (at the ends of which it {reads(low, high)})"


def _as_sized(trial: Trial, found: sizing.Sized, bore: float, doubt: Doubted | None) -> Option:
    """A float of its own size, in the bore that it needs; NaN: in the present one."""
    size = found.body
    gram, long = (partial(trial.gauges.say, trial.record, name) for name in ("float_mass", "float_length"))
    body = (found.mass, size.diameter, found.length, found.magnet_height, size.ends)
    low, high = (1e3 * end for end in trial.reading(body))
    there = by_right(body, doubt)
    away = "" if doubt is None else f" at {doubt.stated} but {cold(*there)} at {doubt.right}"
    trimmed = _trimmed(trial, body) if trial.duty.interface else ""
    chamber = "" if np.isnan(bore) else f", in a chamber of {long(bore)}"
    text = (
        f"a float of {long(size.diameter)} x {long(found.length)} of {size.material} with a wall of"
        f" {long(found.wall)}, {gram(found.mass)} ({gram(found.metal_mass)} of it its shell) and its"
        f" magnet plane {long(found.magnet_height)} above the bottom{trimmed}{chamber}, which"
        f" reads {between(low, high)} at worst{away}{_bears(trial, found)}"
    )
    changes = {
        "float_mass": found.mass,
        "float_diameter": size.diameter,
        "float_length": found.length,
        "float_wall": found.wall,
        "magnet_height": found.magnet_height,
        "float_max_pressure": found.permitted_pressure,
        "float_max_temperature": trial.duty.design_temperature,
        "magnet_max_temperature": trial.duty.design_temperature,
    } | ({} if np.isnan(bore) else {"chamber_bore": bore})
    numbers = {
        "diameter_mm": size.diameter * 1e3,
        "length_mm": found.length * 1e3,
        "mass_g": found.mass * 1e3,
        "magnet_height_mm": found.magnet_height * 1e3,
        "worst_reading_low_mm": low,
        "worst_reading_high_mm": high,
    }
    numbers |= beside(doubt, there) | _numbers(found.wall, found.metal_mass, size)
    return Option(text, "", None, numbers, changes)


def _bears(trial: Trial, found: sizing.Sized) -> str:
    """The pressure that its shell bears, and the temperature that its magnet has to bear."""
    duty, say = trial.duty, partial(trial.gauges.say, trial.record)
    told = []
    if np.isfinite(duty.design_pressure):
        out = crushed(trial.gauges, trial.record, found.permitted_pressure)
        longest = say("float_length", found.body.max_length)
        test = f" (none of this diameter up to {longest} long bears the test as well: {out})" if out else ""
        bears = say("design_pressure", found.permitted_pressure)
        told.append(f"its shell bears {bears} computed, {PROVEN}{test}")
    own = trial.own
    if np.fmin(own.max_temperature[0], own.magnet_temperature[0]) < duty.design_temperature:
        told.append(f"its magnet has to bear {say('design_temperature', duty.design_temperature)}")
    return f"; {' and '.join(told)}" if told else ""


def _warm(duty: choice.Duty) -> choice.Duty:
    """The duty with a temperature at which a metal has its strength."""
    return replace(duty, design_temperature=_WARM) if np.isnan(duty.design_temperature) else duty


def _thinnest(duty: choice.Duty, size: sizing.Body) -> float:
    """Thinnest wall that bears the design pressure, in steps of sizing [m]; NaN where none does."""
    table = load("sizing")
    step, first = table["steps"]["wall"], table["least"]["wall"]
    walls = np.arange(first, size.diameter * 1e3 / 10, step) / 1e3
    shell = (size.diameter, walls, size.max_length, size.material, _warm(duty).design_temperature, size.ends)
    bears = np.asarray(permitted_pressure(*shell, duty.safety_factor))
    needed = np.nan_to_num(duty.design_pressure)
    with np.errstate(invalid="ignore"):
        enough = np.flatnonzero(bears >= needed)
    return round(float(walls[enough[0]]), 9) if len(enough) else np.nan


def _mass(size: sizing.Body, wall: float) -> float:
    """Mass of the metal with a wall [kg], a flat end at least as thick; NaN where it is not computed."""
    try:
        shape = (size.diameter, wall, size.max_length, size.material, size.ends)
        return float(np.asarray(sizing.shell_mass(*shape, wall)))
    except ValueError:  # dished ends
        return np.nan


def _numbers(wall: float, metal: float, size: sizing.Body) -> dict[str, float]:
    return {"wall_mm": wall * 1e3, "shell_g": metal * 1e3, "magnets_g": size.magnets * 1e3}
