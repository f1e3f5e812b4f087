"""Stories from the field: gauges with something wrong, made step by step in time, and what is written down.

The physics here is this module's own: the float cut into slices, columns of liquid summed, the flow through
the legs and the friction followed in steps of time. Nothing is taken from `xlfuncs`. Each story has one or
two faults, or one that no list of causes holds. Everything follows from a seed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

NOISE, DENSITY_NOISE = 0.002, 0.005
"""m of each level read, and the share of a density: standard uncertainties."""
_PLAIN = 4 * math.sqrt(2) * NOISE
"""A difference between two levels that were read which noise does not give."""
GRAVITY = 9.81
STEP = 0.5
"""s"""
SLICES = 1500

Array = Any


@dataclass(frozen=True)
class Body:
    """A float. kg, m, kg/m3."""

    mass: float
    diameter: float
    length: float
    ends: str
    design: float
    """The density in which it reads true."""


BODIES = (
    Body(0.280, 0.050, 0.200, "flat", 850.0),
    Body(0.350, 0.050, 0.250, "hemispherical", 850.0),
    Body(0.520, 0.060, 0.300, "elliptical", 800.0),
    Body(0.430, 0.050, 0.300, "hemispherical", 985.0),
    Body(0.255, 0.046, 0.260, "flat", 720.0),
)
INTERFACE = Body(0.466, 0.050, 0.260, "flat", 1000.0)


@lru_cache(maxsize=64)
def slices(body: Body) -> tuple[Array, Array]:
    """Heights of cuts above the bottom, and the volume below each."""
    edges = np.linspace(0.0, body.length, SLICES + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    radius = body.diameter / 2
    cap = {"flat": 0.0, "hemispherical": radius, "elliptical": radius / 2}[body.ends]
    end = np.minimum(middle, body.length - middle)
    width = np.full(SLICES, radius)
    if cap:
        inside = end < cap
        width[inside] = radius * np.sqrt(1 - (1 - end[inside] / cap) ** 2)
    volume = np.concatenate([[0.0], np.cumsum(math.pi * width**2 * np.diff(edges))])
    return edges, volume


def depth(body: Body, lower: float, upper: float) -> float:
    """Depth of the bottom below the surface: the displaced mass is the float's. Its length where it sinks."""
    edges, volume = slices(body)
    displaced = lower * volume + upper * (volume[-1] - volume)
    return float(np.interp(body.mass, displaced, edges))


def balanced(level: float, vessel: Callable[[Array], Array], chamber: float, upper: float) -> float:
    """Level in the chamber whose column weighs as much as the vessel's, summed over slices."""
    if level <= 0:
        return level
    z = (np.arange(200) + 0.5) / 200 * level
    head = float(np.mean(vessel(z)) * level - upper * level)
    return head / (chamber - upper)


@dataclass(frozen=True)
class World:
    """A gauge as it really is. Fields that are not named in a fault are those of a sound one."""

    body: Body
    plane: float
    """Magnet plane above the float's bottom."""
    upper: float
    distance: float
    bore: float
    density: float
    """Of the liquid in the vessel."""
    chamber_ratio: float = 1.0
    holdup: float = 0.0
    """Share of gas at the top of the vessel's liquid; half of it at the bottom."""
    leg: float = 0.022
    """Clear bore of the lower leg [m]."""
    loss: float = 5.0
    lower_shut: bool = False
    upper_shut: bool = False
    gas_pressure: float = 3e5
    pocket: float = 0.0
    band: Callable[[float], float] | None = None
    seconds: float = 0.05
    stuck_at: float | None = None
    """Height of the magnet plane at which the float stays."""
    ceiling: float = 9.0
    floor: float = -9.0
    inverted: bool = False
    sunk: bool = False
    room: float = 0.25
    scale: float = 0.0
    dead: tuple[float, float] | None = None
    indicator_at: float | None = None
    sender_at: float | None = None
    mounting: float = 0.0
    low: float = 0.0
    high: float = 1.0
    """What 4 and 20 mA really stand for, as shares of the distance."""
    backwards: bool = False
    step: float = 0.0
    root: bool = False
    damping: float = 0.0
    set_point: float = 0.7
    """Share of the distance at which the switch really acts."""
    datum: float = 0.0
    """What the reference level is too high."""
    reference_gain: float = 1.0
    surge: float = 0.0
    stray: tuple[float, float] | None = None
    """A field of something else: where, and how far it pulls the indicator."""
    inches: bool = False
    elsewhere: float = 0.0
    """Share of another vessel's level in the chamber's."""


@dataclass(frozen=True)
class Plan:
    """What is done to the level, and when it is read: (level as a share, direction, rate in m/s)."""

    reads: tuple[tuple[float, int, float], ...]
    current: bool = True
    sample: bool = False
    switch: bool = False
    still_known: bool = True


@dataclass
class Story:
    """What a person has: data of the gauge, readings, and for the judge what is really wrong."""

    truth: tuple[str, ...]
    outside: bool
    gauge: dict[str, float | str]
    readings: dict[str, Array]
    world: World
    healthy: dict[str, Array] = field(default_factory=dict)
    """The same readings of a sound gauge, same noise."""

    @property
    def visible(self) -> bool:
        """Something differs from a sound gauge by more than noise does."""
        for name in ("level", "indicated", "current", "sample_density", "switch"):
            unit = {
                "level": _PLAIN,
                "indicated": _PLAIN,
                "current": 0.016 * _PLAIN / float(self.gauge["urv"]),
            }
            limit = unit.get(
                name, 0.5 if name == "switch" else 4 * math.sqrt(2) * DENSITY_NOISE * self.world.density
            )
            with np.errstate(invalid="ignore"):
                gap = np.abs(self.readings[name] - self.healthy[name])
            if np.nan_to_num(gap).max(initial=0.0) > limit:
                return True
        return False


def _history(world: World, plan: Plan) -> tuple[Array, list[int]]:
    """(level at each step, the steps at which it is read)."""
    levels, at = [0.45 * world.distance] * 400, []
    for share, direction, rate in plan.reads:
        target = share * world.distance
        start = target - direction * 0.12 * world.distance if direction else target
        levels += list(np.linspace(levels[-1], start, max(2, int(abs(start - levels[-1]) / 0.004 / STEP))))
        if direction:
            steps = max(2, int(abs(target - start) / rate / STEP))
            levels += list(np.linspace(start, target, steps))
            at.append(len(levels) - 1)
            levels += [levels[-1]] * 40
        else:
            levels += [target] * 900
            at.append(len(levels) - 1)
    return np.array(levels), at


def _chamber(world: World, line: Array, rng: np.random.Generator) -> Array:
    """Level in the chamber at each step."""
    height = world.distance

    def vessel(z: Array) -> Array:
        return world.density * (1 - world.holdup * (0.5 + 0.5 * z / height))

    own = world.density * world.chamber_ratio
    grid = np.linspace(-0.1, 1.5 * height, 200)
    target: NDArray[np.float64] = np.asarray(
        np.interp(line, grid, [balanced(x, vessel, own, world.upper) for x in grid]) + world.pocket
    )
    if world.elsewhere:
        other = height * (0.5 + 0.2 * np.sin(np.arange(len(line)) * STEP / 900 + rng.uniform(0, 6)))
        target = (1 - world.elsewhere) * target + world.elsewhere * other
    if world.surge:
        target = target + world.surge * np.sin(np.arange(len(line)) * STEP * 0.9 + rng.uniform(0, 6))
    level, made = float(target[0]), np.empty(len(line))
    gas = max(height * 1.05 - level, 0.05)
    share = (world.leg / world.bore) ** 2
    for i, wanted in enumerate(target):
        if world.upper_shut:
            # the trapped gas is compressed until both columns balance
            stiffness = world.gas_pressure / gas / (world.density * GRAVITY)
            wanted = target[0] + (wanted - target[0]) / (1 + stiffness)
        if not world.lower_shut:
            gap = float(wanted) - level
            speed = share * math.sqrt(2 * GRAVITY * abs(gap) / world.loss)
            level += math.copysign(min(speed * STEP, abs(gap)), gap)
        made[i] = level
    return made


def _magnet(world: World, chamber: Array) -> Array:
    """Height of the magnet plane at each step."""
    b = world.body
    plane = b.length - world.plane if world.inverted else world.plane
    if world.sunk:
        return np.full(len(chamber), plane - world.room)
    rest = depth(b, world.density * world.chamber_ratio, world.upper)
    afloat = chamber - rest + plane
    if world.stuck_at is not None:
        return np.full(len(chamber), world.stuck_at)
    made = np.empty(len(chamber))
    here = float(afloat[0])
    follow = 1 - math.exp(-STEP / world.seconds)
    for i, wanted in enumerate(afloat):
        moved = here + follow * (float(wanted) - here)
        if world.band is not None:
            band = world.band(here)
            moved = min(max(here, float(wanted) - band), float(wanted) + band)
        here = max(min(moved, world.ceiling), world.floor, plane - world.room)
        made[i] = here
    return made


def _shown(world: World, magnet: Array) -> Array:
    """What the indicator shows at each step."""
    if world.indicator_at is not None:
        return np.full(len(magnet), world.indicator_at)
    shown = magnet.copy()
    if world.dead is not None:
        low, high = world.dead
        came_from = low
        for i, x in enumerate(magnet):
            if low < x < high:
                shown[i] = came_from
            else:
                came_from = low if x <= low else high
    if world.stray is not None:
        where, pull = world.stray
        shown = shown + pull * np.exp(-(((magnet - where) / 0.12) ** 2))
    shown = np.clip(shown, 0.0, world.distance) + world.scale
    return shown / 25.4 if world.inches else shown


def _sent(world: World, magnet: Array) -> Array:
    """Current at each step [A]."""
    d = world.distance
    seen = magnet + world.mounting
    if world.sender_at is not None:
        seen = np.full(len(magnet), world.sender_at)
    if world.step:
        seen = np.round(seen / world.step) * world.step
    if world.damping:
        filtered, here = np.empty(len(seen)), float(seen[0])
        for i, x in enumerate(seen):
            here += (float(x) - here) * STEP / world.damping
            filtered[i] = here
        seen = filtered
    share = (seen / d - world.low) / (world.high - world.low)
    if world.root:
        share = np.sqrt(np.maximum(share, 0.0))
    if world.backwards:
        share = 1 - share
    return np.clip(0.004 + 0.016 * share, 0.0038, 0.0205)


def observe(
    world: World, plan: Plan, stated_density: float, rng: np.random.Generator, errors: dict[str, Array]
) -> dict[str, Array]:
    """What is written down; `errors` are standard normal numbers for each kind of reading."""
    line, at = _history(world, plan)
    n = len(at)
    magnet = _magnet(world, _chamber(world, line, rng))
    seen = _shown(world, magnet)[at] + NOISE * errors["indicated"][:n]
    sent = _sent(world, magnet)[at] + 0.016 * NOISE / world.distance * errors["current"][:n]
    true = line[at] * world.reference_gain + world.datum + NOISE * errors["level"][:n]
    sample = np.full(n, np.nan)
    if plan.sample:
        own = world.density * world.chamber_ratio
        sample[-1] = own * (1 + DENSITY_NOISE * errors["sample"][0])
    switch = np.full(n, np.nan)
    if plan.switch:
        switch = (magnet[at] > world.set_point * world.distance).astype(float)
    return {
        "level": true,
        "indicated": seen,
        "current": sent if plan.current else np.full(n, np.nan),
        "direction": np.array([float(d) for _, d, _ in plan.reads]),
        "level_rate": np.array([r for _, _, r in plan.reads]),
        "sample_density": sample,
        "switch": switch,
        "density": np.full(n, stated_density),
    }


# --- plans ------------------------------------------------------------------------------------------

Rng = np.random.Generator


def thorough(rng: Rng) -> Plan:
    shares = np.array([0.2, 0.2, 0.5, 0.5, 0.5, 0.5, 0.8, 0.8, 0.5]) + rng.uniform(-0.06, 0.06, 9)
    ways = (1, -1, 1, -1, 1, -1, 1, -1, 0)
    rates = (0.003, 0.003, 0.003, 0.003, 0.008, 0.008, 0.003, 0.003, 0.0)
    reads = tuple(zip(shares.tolist(), ways, rates, strict=True))
    return Plan(reads, sample=True, switch=True)


def usual(rng: Rng) -> Plan:
    shares = np.sort(rng.uniform(0.15, 0.85, 3))
    return Plan(tuple((float(s), 0, 0.0) for s in shares), current=bool(rng.random() < 0.8))


def scant(rng: Rng) -> Plan:
    return Plan(((float(rng.uniform(0.3, 0.7)), 0, 0.0),), current=bool(rng.random() < 0.5))


def both_ways(rng: Rng) -> Plan:
    mid = float(rng.uniform(0.35, 0.65))
    rate = float(rng.uniform(0.002, 0.006))
    return Plan(
        ((mid - 0.2, 1, rate), (mid + 0.2, 1, rate), (mid, -1, rate), (mid - 0.2, -1, rate), (mid, 0, 0.0))
    )


PLANS = (thorough, thorough, usual, both_ways, scant)


# --- faults -----------------------------------------------------------------------------------------

Fault = Callable[[World, Rng], World]


def _sign(rng: Rng, low: float, high: float) -> float:
    return float(rng.choice([-1.0, 1.0]) * rng.uniform(low, high))


def _density(w: World, rng: Rng) -> World:
    if rng.random() < 0.5:
        return replace(w, density=w.density * rng.uniform(1.05, 1.2))
    b = w.body
    full = slices(b)[1][-1]
    least = b.mass / full
    return replace(w, density=least + (w.density - least) * rng.uniform(0.4, 0.7))


def _heavier(w: World, rng: Rng) -> World:
    b = w.body
    full = slices(b)[1][-1] * w.density
    return replace(w, body=replace(b, mass=b.mass + (full - b.mass) * rng.uniform(0.25, 0.65)))


def _other_float(w: World, rng: Rng) -> World:
    others = [b for b in BODIES if b != w.body and b.diameter < w.bore]
    b = others[rng.integers(len(others))]
    return replace(w, body=b, plane=depth(b, b.design, w.upper))


def _gas(w: World, rng: Rng) -> World:
    return replace(w, pocket=_sign(rng, 0.02, 0.12))


def _vapour(w: World, rng: Rng) -> World:
    return replace(w, upper=w.upper + rng.uniform(150.0, 250.0))


def _hang_ups(w: World, rng: Rng) -> World:
    bands = rng.uniform(0.0, 0.05, 40)
    return replace(w, band=lambda z: float(bands[int(max(z, 0.0) / 0.05) % 40]))


def _friction(w: World, rng: Rng) -> World:
    band = float(rng.uniform(0.01, 0.04))
    return replace(w, band=lambda z: band)


def _part(w: World, rng: Rng) -> World:
    at = rng.uniform(0.3, 0.55) * w.distance
    return replace(w, dead=(at, at + rng.uniform(0.15, 0.3) * w.distance))


def _both_ends(w: World, rng: Rng) -> World:
    low = _sign(rng, 0.03, 0.1)
    # by the same amount they would be a shift of the sensor
    return replace(w, low=low, high=1 + low + _sign(rng, 0.03, 0.1))


def _lost(w: World, rng: Rng) -> World:
    at = rng.uniform(0.2, 0.8) * w.distance
    other = at if rng.random() < 0.5 else rng.uniform(0.2, 0.8) * w.distance
    return replace(w, indicator_at=at, sender_at=other, set_point=9.0)


FAULTS: dict[str, Fault] = {
    "as designed": lambda w, g: w,
    "density": _density,
    "upside down": lambda w, g: replace(w, inverted=True),
    "heavier": _heavier,
    "sunk": lambda w, g: replace(w, sunk=True),
    "scale": lambda w, g: replace(w, scale=_sign(g, 0.01, 0.08)),
    "chamber": lambda w, g: replace(
        w, chamber_ratio=1 + float(g.choice([g.uniform(-0.05, -0.03), g.uniform(0.03, 0.15)]))
    ),
    "stuck": lambda w, g: replace(w, stuck_at=g.uniform(0.2, 0.9) * w.distance),
    "drags": _friction,
    "late": lambda w, g: replace(w, seconds=g.uniform(2.0, 8.0)),
    "indicator": lambda w, g: replace(w, indicator_at=g.uniform(0.1, 0.9) * w.distance),
    "mounting": lambda w, g: replace(w, mounting=_sign(g, 0.01, 0.08)),
    "range": lambda w, g: replace(w, high=1 + _sign(g, 0.03, 0.1)),
    "steps": lambda w, g: replace(w, step=g.uniform(0.025, 0.05)),
    "switch": lambda w, g: replace(w, set_point=float(g.choice([0.35, 0.95, 9.0]))),
    "lower valve": lambda w, g: replace(w, lower_shut=True),
    "upper valve": lambda w, g: replace(w, upper_shut=True, gas_pressure=g.uniform(1e5, 8e5)),
    "restricted leg": lambda w, g: replace(w, leg=g.uniform(0.003, 0.0045)),
    "gas pocket": _gas,
    "other float": _other_float,
    "aerated": lambda w, g: replace(w, holdup=g.uniform(0.08, 0.35)),
    "vapour density": _vapour,
    "datum": lambda w, g: replace(w, datum=_sign(g, 0.015, 0.1)),
    "reference density": lambda w, g: replace(w, reference_gain=1 + _sign(g, 0.04, 0.15)),
    "reversed": lambda w, g: replace(w, backwards=True),
    "frozen": lambda w, g: replace(w, sender_at=g.uniform(0.1, 0.9) * w.distance),
    "both ends": _both_ends,
    "lost magnet": _lost,
    "dead elements": _part,
    "ceiling": lambda w, g: replace(w, ceiling=g.uniform(0.3, 0.6) * w.distance),
    "floor": lambda w, g: replace(w, floor=g.uniform(0.4, 0.65) * w.distance),
    "hang-ups": _hang_ups,
}
"""Faults that a list of causes should hold."""

OUTSIDE: dict[str, Fault] = {
    "square root of the signal": lambda w, g: replace(w, root=True),
    "stray field": lambda w, g: replace(w, stray=(g.uniform(0.4, 0.6) * w.distance, _sign(g, 0.06, 0.15))),
    "joined to another vessel": lambda w, g: replace(w, elsewhere=g.uniform(0.4, 0.8)),
    "surging": lambda w, g: replace(w, surge=g.uniform(0.03, 0.1)),
    "slow filter": lambda w, g: replace(w, damping=g.uniform(30.0, 120.0)),
    "inches": lambda w, g: replace(w, inches=True),
}
"""Faults that no list holds."""

PAIRS = (
    ("scale", "mounting"),
    ("density", "both ends"),
    ("stuck", "frozen"),
    ("heavier", "scale"),
    ("drags", "mounting"),
    ("chamber", "scale"),
    ("reversed", "scale"),
    ("ceiling", "range"),
)


def sound(rng: Rng) -> tuple[World, dict[str, float | str], float]:
    """A sound gauge, what is stated of it, and the stated density."""
    body = BODIES[rng.integers(len(BODIES))]
    upper = float(rng.choice([1.2, 2.0, 8.0]))
    distance = float(rng.choice([0.7, 1.0, 1.5, 2.0]))
    plane = depth(body, body.design, upper)
    stated = body.design * rng.uniform(0.98, 1.02)
    world = World(
        body, plane, upper, distance, body.diameter + 0.012, stated * (1 + DENSITY_NOISE * rng.normal())
    )
    world = replace(world, room=plane + rng.uniform(0.02, 0.06))
    gauge: dict[str, float | str] = {
        "mass": body.mass,
        "diameter": body.diameter,
        "length": body.length,
        "magnet_height": plane,
        "ends": body.ends,
        "upper_density": upper,
        "lrv": 0.0,
        "urv": distance,
        "visible_range": distance,
        "set_point": 0.7 * distance,
    }
    return world, gauge, stated


def tell(names: tuple[str, ...], rng: Rng, make: Callable[[Rng], Plan]) -> Story:
    """A story with these faults, read by this plan."""
    world, gauge, stated = sound(rng)
    errors = {name: rng.normal(size=16) for name in ("level", "indicated", "current", "sample")}
    plan = make(rng)
    faulty = world
    for name in names:
        faulty = (FAULTS | OUTSIDE)[name](faulty, rng)
    seed = int(rng.integers(1 << 30))
    seen, healthy = (observe(w, plan, stated, np.random.default_rng(seed), errors) for w in (faulty, world))
    return Story(names, any(n in OUTSIDE for n in names), gauge, seen, faulty, healthy)


def stories(each: int, seed: int) -> list[Story]:
    """`each` stories of every fault, pair and outside fault, all of which can be seen in the readings."""
    rng = np.random.default_rng(seed)
    made: list[Story] = []
    for names in [*((n,) for n in FAULTS), *PAIRS, *((n,) for n in OUTSIDE)]:
        count = 0
        for trial in range(60 * each):
            story = tell(names, rng, PLANS[trial % len(PLANS)])
            if names == ("as designed",) or story.visible:
                made.append(story)
                count += 1
            if count == each:
                break
        if count < each:
            raise ValueError(f"{names}: {count} of {each} stories can be seen")
    return made


# --- what would be seen -----------------------------------------------------------------------------

SIGNS: dict[str, tuple[bool, tuple[str, ...], tuple[str, ...]]] = {
    # question: (the answer that is a sign, faults that show it nearly always, those that do half the time)
    "valves": (False, ("lower valve", "upper valve"), ()),
    "lower_valve": (False, ("lower valve",), ()),
    "reference": (False, ("datum", "reference density"), ()),
    "agitated": (True, ("aerated", "surging"), ()),
    "temperature": (True, ("chamber",), ("late",)),
    "thick": (True, ("late",), ()),
    "scale_zero": (False, ("scale",), ()),
    "square_on": (False, (), ()),
    "hand_magnet": (False, ("indicator", "dead elements"), ()),
    "float_field": (
        False,
        ("lost magnet", "stuck", "sunk", "lower valve"),
        ("upper valve", "ceiling", "floor"),
    ),
    "field_at_all": (False, ("lost magnet",), ()),
    "plumb": (False, (), ("drags",)),
    "sensor_mark": (False, ("mounting",), ()),
    "sensor_magnet": (False, ("frozen", "reversed"), ("slow filter",)),
    "range_set": (False, ("range", "both ends"), ("reversed",)),
    "foreign_magnet": (True, (), ("stray field",)),
    "loop_check": (False, (), ()),
    "bottom": (True, (), ()),
    "total": (False, (), ()),
    "steady": (False, (), ()),
    "magnet_place": (False, (), ()),
    "contact": (False, ("switch",), ()),
    "blow_down": (
        False,
        ("stuck", "sunk", "lower valve", "upper valve", "restricted leg", "indicator", "lost magnet"),
        ("ceiling", "floor"),
    ),
    "leg_flows": (False, ("lower valve", "restricted leg"), ()),
    "vented": (True, ("gas pocket",), ()),
    "layer": (True, (), ()),
    "vapour": (False, ("vapour density",), ()),
    "sample": (False, ("density", "chamber"), ()),
    "serial": (False, ("other float",), ()),
    "top_mark": (False, ("upside down",), ()),
    "particles": (True, ("hang-ups",), ("drags", "heavier", "stuck", "ceiling", "floor")),
    "whole": (False, ("sunk",), ("heavier",)),
    "in_water": (True, ("sunk",), ()),
    "stops": (False, (), ()),
    "free_way": (False, ("ceiling", "floor"), ("stuck", "drags", "hang-ups")),
}


def seen(story: Story, question: str, rng: Rng) -> bool | float | None:
    """What a person answers: now and then nothing, now and then the wrong thing. `float_mass` in kg."""
    if rng.random() < 0.05:
        return None
    if question == "float_mass":
        return story.world.body.mass + 0.001 * float(rng.normal())
    sign, always, half = SIGNS[question]
    chance = 0.02
    if any(name in always for name in story.truth):
        chance = 0.96
    elif any(name in half for name in story.truth):
        chance = 0.5
    return sign if rng.random() < chance else not sign


def read_again(story: Story, levels: Array, ways: Array, seed: int) -> dict[str, Array]:
    """Readings of the same gauge at other levels."""
    rng = np.random.default_rng(seed)
    distance = story.world.distance
    rate = 0.004
    reads = tuple(
        (float(level) / distance, int(way), rate if way else 0.0)
        for level, way in zip(levels, ways, strict=True)
    )
    errors = {name: rng.normal(size=16) for name in ("level", "indicated", "current", "sample")}
    return observe(story.world, Plan(reads), float(story.readings["density"][0]), rng, errors)
