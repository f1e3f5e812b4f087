"""One operating model of a float in its chamber: between which limits may the indicator stand?

The reading of a level is that level plus what is known to shift it. Every effect has a lowest and a highest
contribution; they are summed at each operating case, and the worst of the cases counts::

    lowest = chamber level + offset + heat + wear - friction - capillary - movement - k u
    highest likewise, with the other signs

- offset: the float balance at the case's densities, layers between the fluids included;
- chamber: the level in the chamber against the vessel's, where their liquids differ in density;
- heat: float and scale grow with their metals from 20 degC to the case's temperature;
- wear: the loss of wall by corrosion, from none to the stated one;
- friction and capillary: forces over the restoring stiffness, either way;
- movement: the liquid that follows the level pushes the float ahead (`response.lead`), the loss in the
  connections keeps the chamber behind the vessel (`nozzle.nozzle_lag`); rising and falling;
- uncertainty: the coverage factor times the standard uncertainty of the offset.

Each has the limits of the float: no force beyond the buoyancy that is left or the weight, no shift beyond
the ride height or the immersion. What data are missing for is not counted and is named: the reading is then
the worst of what is counted, and no more.

Columns in SI; every field broadcasts. A value of NaN has a reason: the float sinks, is drawn under, is lifted
out, hangs fast, or rests on a stop at that level.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array, reasons, refuse, scalar
from xlfuncs.gauge.capillary import capillary_force
from xlfuncs.gauge.chamber import chamber_level
from xlfuncs.gauge.floats import Texts, immersion, magnet_inside
from xlfuncs.gauge.hot import corroded, expands, growth
from xlfuncs.gauge.layers import Layer, layered_immersion
from xlfuncs.gauge.nozzle import nozzle_lag
from xlfuncs.gauge.response import REYNOLDS_LIMIT, gap_reynolds, lead, shifts
from xlfuncs.gauge.uncertainty import offset_uncertainty

NAN = float("nan")

EFFECTS = (
    "chamber",
    "offset",
    "heat",
    "wear",
    "friction",
    "capillary",
    "movement",
    "uncertainty",
)


@dataclass(frozen=True, slots=True)
class Float:
    """A closed float, as columns. NaN and "" where nothing is stated."""

    mass: ArrayLike
    diameter: ArrayLike
    length: ArrayLike
    """Over all, ends included."""
    magnet_height: ArrayLike = NAN
    """Magnet plane above the bottom."""
    ends: Texts = "flat"
    """One shape, or bottom/top."""
    wall: ArrayLike = NAN
    metal: Texts = ""
    """Name of the metal, "" where it is not stated."""
    metal_density: ArrayLike = NAN


@dataclass(frozen=True, slots=True)
class Chamber:
    """What the float moves in, and what joins it to the vessel."""

    bore: ArrayLike = NAN
    metal: Texts = ""
    """Metal of chamber and scale."""
    distance: ArrayLike = NAN
    """Centre to centre of the process connections."""
    below: ArrayLike = NAN
    """Room for the float under the lower connection."""
    above: ArrayLike = NAN
    """Room for the float over the upper connection."""
    nozzle_bore: ArrayLike = NAN
    nozzle_length: ArrayLike = NAN
    loss_coefficient: ArrayLike = NAN


@dataclass(frozen=True, slots=True)
class Fluids:
    """The fluids of one operating case. Densities are those in the chamber."""

    lower_density: ArrayLike
    upper_density: ArrayLike = 0.0
    viscosity: ArrayLike = NAN
    """Dynamic, of the lower fluid."""
    surface_tension: ArrayLike = NAN
    """Of the surface, or of the interface."""
    temperature: ArrayLike = NAN
    """Of float, chamber and scale [K]."""
    layers: tuple[Layer, ...] = ()
    """Between lower and upper fluid, from the lowest; the level is the top of the lower fluid."""
    vessel_density: ArrayLike = NAN
    """Of the lower fluid in the vessel; NaN: as in the chamber."""
    vessel_upper_density: ArrayLike = NAN


@dataclass(frozen=True, slots=True)
class Movement:
    """How the level moves, and what holds the float."""

    level_rate: ArrayLike = 0.0
    drag_force: ArrayLike = 0.0
    """Friction, deposits, followers and switches [N]."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard uncertainties, and the wear to reckon with."""

    mass: ArrayLike = 0.0
    diameter: ArrayLike = 0.0
    magnet_height: ArrayLike = 0.0
    lower_density: ArrayLike = 0.0
    upper_density: ArrayLike = 0.0
    coverage: float = 2.0
    """k: 2 covers about 95 % (JCGM 100:2008, 6.3.3)."""
    wear: ArrayLike = 0.0
    """Loss of wall all over [m]."""


def usual_spread() -> Spread:
    """What is taken of a listed float where nothing is stated: the rounding of the list."""
    table = load("model")
    mass, diameter, magnet = (
        table["spread"][name] / 1e3 / np.sqrt(3) for name in ("mass", "diameter", "magnet_height")
    )
    return Spread(mass, diameter, magnet, coverage=table["coverage"]["factor"])


@dataclass(frozen=True, slots=True)
class Gauge:
    """A float in its chamber, with every operating case."""

    float: Float
    cases: tuple[Fluids, ...]
    chamber: Chamber = field(default_factory=Chamber)
    movement: Movement = field(default_factory=Movement)
    spread: Spread = field(default_factory=Spread)


class Share(NamedTuple):
    """Lowest and highest contribution of an effect to the reading [m]."""

    low: Array
    high: Array


class Worst(NamedTuple):
    """The lowest and the highest reading, and what makes each."""

    low: Array
    high: Array
    low_shares: dict[str, Array]
    """Contribution of each effect at the case with the lowest reading."""
    high_shares: dict[str, Array]
    low_case: NDArray[np.int64]
    """Number of the case."""
    high_case: NDArray[np.int64]
    missing: tuple[str, ...]
    """Effects that are not counted, each with what is needed: 'movement: chamber_bore'."""


def worst_reading(gauge: Gauge, level: ArrayLike) -> Worst:
    """Lowest and highest reading for a level [m] in the vessel above the lower connection, which is zero.

    The shares of each effect sum to the reading less the level. NaN with the reason where any case has none.
    """
    true = np.asarray(level, dtype=np.float64)
    missing: dict[str, str] = {}
    each = [_case(gauge, fluids, true, missing) for fluids in gauge.cases]
    lows = np.stack(np.broadcast_arrays(*(true + sum(s.low for s in shares.values()) for shares in each)))
    highs = np.stack(np.broadcast_arrays(*(true + sum(s.high for s in shares.values()) for shares in each)))
    at_low = np.argmin(np.where(np.isnan(lows), -np.inf, lows), axis=0)
    at_high = np.argmax(np.where(np.isnan(highs), np.inf, highs), axis=0)

    def picked(at: NDArray[np.int64], side: str) -> dict[str, Array]:
        return {
            name: scalar(
                np.choose(at, [np.broadcast_to(getattr(shares[name], side), at.shape) for shares in each])
            )
            for name in EFFECTS
        }

    return Worst(
        scalar(np.take_along_axis(lows, at_low[None], 0)[0]),
        scalar(np.take_along_axis(highs, at_high[None], 0)[0]),
        picked(at_low, "low"),
        picked(at_high, "high"),
        at_low[()],
        at_high[()],
        tuple(f"{name}: {missing[name]}" for name in sorted(missing, key=_place)),
    )


def _place(effect: str) -> int:
    """Where an effect stands in `EFFECTS`, by its first word."""
    return EFFECTS.index(effect.split()[0])


def _case(gauge: Gauge, fluids: Fluids, level: Array, missing: dict[str, str]) -> dict[str, Share]:
    """Share of every effect at one operating case."""
    plane = np.asarray(magnet_inside(gauge.float.magnet_height, gauge.float.length))
    depth = _immersion(gauge.float, fluids)
    offset = plane - depth
    in_chamber = _chamber(gauge, fluids, level)
    _note(missing, "friction", gauge.movement.drag_force, "drag_force")
    _note(missing, "uncertainty", gauge.spread.mass, "u_mass")
    shift = level + in_chamber.low
    depth = _on_stops(gauge, depth, shift)
    forced = {
        "friction": _either_way(gauge, fluids, gauge.movement.drag_force),
        "capillary": _capillary(gauge, fluids, missing),
    }
    ahead, forced["movement"] = _movement(gauge, fluids, missing)
    depth = _together(gauge, depth, {**forced, "movement": ahead})
    return {
        "chamber": in_chamber,
        "offset": Share(plane - depth, plane - depth),
        "heat": _heat(gauge, fluids, offset, shift, missing),
        "wear": _wear(gauge, fluids, offset),
        **forced,
        "uncertainty": _uncertainty(gauge, fluids),
    }


_UNDER = "friction, capillary force and motion together can draw the float under: the reading has no limit"
_OUT = "friction, capillary force and motion together can lift the float out: the reading has no limit"


def _together(gauge: Gauge, depth: Array, forced: dict[str, Share]) -> Array:
    """The immersion, refused where the forces together are more than the float can meet."""
    down = sum(-share.low for share in forced.values())
    up = sum(share.high for share in forced.values())
    slack = 1 + 1e-9
    under = down > (np.asarray(gauge.float.length) - depth) * slack
    return refuse(refuse(depth, under, _UNDER), up > np.maximum(depth, 0.0) * slack, _OUT)


def _note(missing: dict[str, str], effect: str, value: ArrayLike, what: str) -> Array:
    """`value` with 0 where it is not stated, which is noted."""
    number = np.asarray(value, dtype=np.float64)
    if np.isnan(number).any():
        missing.setdefault(effect, what)
    return np.where(np.isnan(number), 0.0, number)


def _immersion(float_: Float, fluids: Fluids) -> Array:
    body = (float_.mass, float_.diameter, float_.length, fluids.lower_density)
    if fluids.layers:
        return np.asarray(layered_immersion(*body, fluids.layers, fluids.upper_density, float_.ends))
    return np.asarray(immersion(*body, fluids.upper_density, float_.ends))


_LOW_STOP = "at this level the float rests on the bottom of the chamber: it shows no lower level"
_HIGH_STOP = "at this level the float touches the top of the chamber: it shows no higher level"


def _on_stops(gauge: Gauge, depth: Array, level: Array) -> Array:
    """The immersion, refused where the float has no room for it."""
    chamber = gauge.chamber
    below, above, distance = (
        np.asarray(x, dtype=np.float64) for x in (chamber.below, chamber.above, chamber.distance)
    )
    with np.errstate(invalid="ignore"):
        low = level - depth < -below - 1e-9
        high = level - depth + np.asarray(gauge.float.length) > distance + above + 1e-9
    return refuse(refuse(depth, low, _LOW_STOP), high, _HIGH_STOP)


def _chamber(gauge: Gauge, fluids: Fluids, level: Array) -> Share:
    """Level in the chamber less that in the vessel."""
    vessel = np.asarray(fluids.vessel_density, dtype=np.float64)
    vessel = np.where(np.isnan(vessel), fluids.lower_density, vessel)
    above = np.asarray(fluids.vessel_upper_density, dtype=np.float64)
    above = np.where(np.isnan(above), fluids.upper_density, above)
    found = chamber_level(
        level, vessel, fluids.lower_density, above, fluids.upper_density, gauge.chamber.distance
    )
    return Share(found - level, found - level)


def _heat(gauge: Gauge, fluids: Fluids, offset: Array, level: Array, missing: dict[str, str]) -> Share:
    """What growth of float and scale does to the reading."""
    kelvin = np.asarray(fluids.temperature, dtype=np.float64)
    if np.isnan(kelvin).any():
        missing.setdefault("heat", "temperature")
    zero = 0 * (offset + level)
    if np.isnan(kelvin).all():
        return Share(zero, zero)
    float_ = gauge.float
    by = _grown(float_.metal, kelvin, "float", missing)
    big = replace(float_, diameter=np.asarray(float_.diameter) * by, length=np.asarray(float_.length) * by)
    change = np.where(by == 1, 0.0, np.asarray(float_.magnet_height) * by - _immersion(big, fluids) - offset)
    by = _grown(gauge.chamber.metal, kelvin, "chamber", missing)
    change = change + np.where(by == 1, 0.0, (level + offset + change) * (1 / by - 1))
    return Share(change, change)


def _grown(metal: Texts, kelvin: Array, part: str, missing: dict[str, str]) -> Array:
    """Hot over cold length of a part; 1, and noted, where metal or temperature is not known."""
    names, at = np.broadcast_arrays(np.asarray(metal, dtype=object), kelvin)
    known = np.array([expands(str(name)) for name in names.flat], dtype=np.bool_).reshape(names.shape)
    if not known.all():
        missing.setdefault("heat", f"material of the {part}")
    with reasons():  # a temperature that is not in the table is named, and not counted
        by = growth(np.where(known, names, _ANY_METAL), np.where(known, at, np.nan))
    if (known & ~np.isnan(at) & np.isnan(by)).any():
        missing.setdefault("heat", f"expansion of the {part} at that temperature")
    return np.where(np.isnan(by), 1.0, by)


_ANY_METAL = "316L"
"""Stands where nothing is computed."""


def _wear(gauge: Gauge, fluids: Fluids, offset: Array) -> Share:
    loss = np.asarray(gauge.spread.wear, dtype=np.float64)
    zero = 0 * offset
    if not (loss > 0).any():
        return Share(zero, zero)
    float_ = gauge.float
    wall = None if np.isnan(np.asarray(float_.wall, dtype=np.float64)).all() else float_.wall
    mass, across, long = corroded(
        float_.mass, float_.diameter, float_.length, loss, float_.metal_density, float_.ends, wall
    )
    worn = replace(float_, mass=mass, diameter=across, length=long)
    change = np.asarray(float_.magnet_height) - loss - _immersion(worn, fluids) - offset
    return Share(np.minimum(change, 0.0), np.maximum(change, 0.0))


def _body(float_: Float) -> tuple[ArrayLike, ArrayLike, ArrayLike]:
    return (float_.mass, float_.diameter, float_.length)


def _either_way(gauge: Gauge, fluids: Fluids, force: ArrayLike) -> Share:
    """What a force on the float, down or up, does to it, within its limits."""
    holding = np.nan_to_num(np.asarray(force, dtype=np.float64))
    body = (*_body(gauge.float), fluids.lower_density)
    down, up = shifts(*body, holding, fluids.upper_density, gauge.float.ends)
    return Share(-np.asarray(down), np.asarray(up))


def _capillary(gauge: Gauge, fluids: Fluids, missing: dict[str, str]) -> Share:
    gamma = _note(missing, "capillary", fluids.surface_tension, "surface_tension")
    force = capillary_force(gauge.float.diameter, gamma)
    return _either_way(gauge, fluids, force)


def _movement(gauge: Gauge, fluids: Fluids, missing: dict[str, str]) -> tuple[Share, Share]:
    """The float ahead of the liquid that follows the level; that less the chamber behind its vessel."""
    rate = np.asarray(gauge.movement.level_rate, dtype=np.float64)
    chamber, float_ = gauge.chamber, gauge.float
    needed = {"viscosity": fluids.viscosity, "chamber_bore": chamber.bore}
    for name, value in needed.items():
        if (rate > 0).any() and np.isnan(np.asarray(value, dtype=np.float64)).any():
            missing.setdefault("movement", name)
    mu, bore = (np.asarray(x, dtype=np.float64) for x in needed.values())
    able = ~np.isnan(mu + bore) & (rate > 0)
    if not able.any():
        zero = np.zeros(np.broadcast_shapes(able.shape, np.shape(float_.mass)))
        return Share(zero, zero), Share(zero, zero)
    ahead = _lead(gauge, fluids, rate, missing)
    narrow, along = (np.asarray(x, dtype=np.float64) for x in (chamber.nozzle_bore, chamber.nozzle_length))
    behind = nozzle_lag(
        bore,
        narrow,
        along,
        fluids.lower_density,
        mu,
        rate,
        chamber.loss_coefficient,
        fluids.upper_density,
    )
    if np.isnan(narrow + along).any():
        missing.setdefault("movement through the connections", "nozzle_bore and nozzle_length")
    ahead = np.where(able, ahead, 0.0)
    net = ahead - np.where(able & ~np.isnan(narrow + along), behind, 0.0)
    return Share(-ahead, ahead), Share(-np.abs(net), np.abs(net))


def _lead(gauge: Gauge, fluids: Fluids, rate: Array, missing: dict[str, str]) -> Array:
    """`response.lead`; 0, and noted, where the flow past the float is not laminar."""
    float_, bore = gauge.float, gauge.chamber.bore
    fast = gap_reynolds(float_.diameter, bore, fluids.lower_density, fluids.viscosity, rate) > REYNOLDS_LIMIT
    if np.any(fast):
        missing.setdefault("movement", "the flow past the float is not laminar")
    slow = np.where(fast, 0.0, rate)
    ahead = lead(
        *_body(float_),
        fluids.lower_density,
        fluids.viscosity,
        bore,
        slow,
        fluids.upper_density,
        float_.ends,
    )
    return np.asarray(ahead)


def _uncertainty(gauge: Gauge, fluids: Fluids) -> Share:
    spread, float_ = gauge.spread, gauge.float
    u_mass, u_diameter, u_magnet, u_lower, u_upper = (
        np.nan_to_num(np.asarray(x, dtype=np.float64))
        for x in (
            spread.mass,
            spread.diameter,
            spread.magnet_height,
            spread.lower_density,
            spread.upper_density,
        )
    )
    u = offset_uncertainty(
        float_.mass,
        float_.diameter,
        float_.length,
        float_.magnet_height,
        fluids.lower_density,
        u_mass,
        u_diameter,
        u_magnet,
        u_lower,
        fluids.upper_density,
        float_.ends,
        u_upper,
    )
    wide = spread.coverage * np.asarray(u)
    return Share(-wide, wide)


# --- in a cell --------------------------------------------------------------------------------------


_NOTES = {
    "chamber": "level in the chamber less that in the vessel",
    "offset": "float balance at the case's densities",
    "heat": "float and scale at temperature",
    "wear": "loss of wall",
    "friction": "what holds the float",
    "capillary": "contact line",
    "movement": "the moving liquid, and the loss in the connections",
    "uncertainty": "twice the standard uncertainty",
}


def reading_table(
    level: float,
    mass: float,
    diameter: float,
    length: float,
    magnet_height: float,
    lower_density_min: float,
    lower_density_max: float | None = None,
    upper_density_min: float = 0.0,
    upper_density_max: float | None = None,
    ends: str = "flat",
    drag_force: float = 0.0,
    viscosity: float | None = None,
    chamber_bore: float | None = None,
    level_rate: float = 0.010,
    nozzle_bore: float | None = None,
    nozzle_length: float | None = None,
    surface_tension: float | None = None,
    temperature: float | None = None,
    float_material: str = "",
    chamber_material: str = "",
    u_mass: float = 0.0,
    u_diameter: float = 0.0,
    u_magnet_height: float = 0.0,
    u_density: float = 0.0,
    vessel_density: float | None = None,
) -> list[list[str | float]]:
    """`worst_reading` for every pair of the lowest and highest densities, as rows; scalars.

    Headings first: effect, its share in the lowest and in the highest reading [mm], what it is. What is not
    counted follows by name. A row of NaN with the reason where a case has no reading.
    """
    lower = _pair(lower_density_min, lower_density_max)
    upper = _pair(upper_density_min, upper_density_max)
    shared = (_nan(viscosity), _nan(surface_tension), _nan(temperature))
    cases = tuple(
        Fluids(low, high, *shared, vessel_density=_nan(vessel_density)) for low in lower for high in upper
    )
    gauge = Gauge(
        Float(mass, diameter, length, magnet_height, ends, metal=float_material),
        cases,
        Chamber(
            _nan(chamber_bore),
            chamber_material,
            nozzle_bore=_nan(nozzle_bore),
            nozzle_length=_nan(nozzle_length),
        ),
        Movement(level_rate, drag_force),
        Spread(u_mass, u_diameter, u_magnet_height, u_density),
    )
    found = worst_reading(gauge, level)
    headings: list[str | float] = ["effect", "lowest, mm", "highest, mm", "remark"]
    rows = [headings]
    rows.append(["reading", 1e3 * float(found.low), 1e3 * float(found.high), "worst of every case"])
    rows.append(["level", 1e3 * level, 1e3 * level, "in the vessel"])
    for name in EFFECTS:
        shares = (1e3 * float(found.low_shares[name]), 1e3 * float(found.high_shares[name]))
        rows.append([name, *shares, _NOTES[name]])
    for text in found.missing:
        effect, _, what = text.partition(": ")
        rows.append(["not counted", "", "", f"{effect}: {what.replace('_', ' ')} not stated"])
    return rows


def _nan(value: float | None) -> float:
    return NAN if value is None else float(value)


def _pair(low: float, high: float | None) -> Sequence[float]:
    return (low,) if high is None or high == low else (low, high)
