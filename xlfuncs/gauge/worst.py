"""One operating model of a float in its chamber: between which limits may the indicator stand?

The reading of a level is that level plus what is known to shift it. Every effect has a lowest and a highest
contribution; they are summed at each operating case, and the worst of the cases counts::

    lowest = chamber level + offset + heat + wear + tilt - friction - capillary - movement - k u
    highest likewise, with the other signs

- offset: the float balance at the case's densities, layers between the fluids included;
- chamber: the level in the chamber against the vessel's, where their liquids differ in density;
- heat: float and scale grow with their metals from 20 degC to the case's temperature;
- wear: the loss of wall by corrosion, from none to the stated one;
- friction and capillary: forces over the restoring stiffness, either way;
- tilt: the float leans in its bore, which brings magnet and surface nearer to each other;
- movement: the liquid that follows the level pushes the float ahead, and what stands below the lower
  connection holds it back (`response.follow`); the loss in the connections keeps the chamber behind the
  vessel (`nozzle.head_lost`); rising and falling;
- uncertainty: the coverage factor times the standard uncertainty of the offset.

Each has the limits of the float: no force beyond the buoyancy that is left or the weight, no shift beyond
the ride height or the immersion. A magnet that is known not to turn the indicator gives no reading
(`coupling`). What data are missing for is not counted and is named: the reading is then
the worst of what is counted, and no more.

Columns in SI; every field broadcasts. A value of NaN has a reason: the float sinks, is drawn under, is lifted
out, hangs fast, or rests on a stop at that level.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.gauge._reasons import Array, reasons, refuse, scalar
from xlfuncs.gauge.capillary import capillary_force
from xlfuncs.gauge.chamber import chamber_level
from xlfuncs.gauge.coupling import OUT_OF_REACH, follow_speed, lateral_play, magnet_reach
from xlfuncs.gauge.floats import Texts, magnet_inside
from xlfuncs.gauge.hot import corroded, expands, growth
from xlfuncs.gauge.layers import immersed
from xlfuncs.gauge.model import Float, Fluids, Gauge, Movement, Spread, stated_or
from xlfuncs.gauge.nozzle import head_lost
from xlfuncs.gauge.response import REYNOLDS_LIMIT, follow, gap_reynolds, shifts
from xlfuncs.gauge.stability import greatest_tilt, metacentre
from xlfuncs.gauge.uncertainty import offset_uncertainty

EFFECTS = (
    "chamber",
    "offset",
    "heat",
    "wear",
    "tilt",
    "friction",
    "capillary",
    "movement",
    "uncertainty",
)


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
    each: list[dict[str, Share]] = []
    for at, fluids in enumerate(gauge.cases):
        same = next((i for i in range(at) if _alike(gauge.cases[i], fluids)), None)
        each.append(_case(gauge, fluids, true, missing) if same is None else each[same])
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


def _alike(one: Fluids, other: Fluids) -> bool:
    """Whether two cases are one, number for number: many indexes state one density and one temperature."""
    if one.layers or other.layers:
        return False
    pairs = ((getattr(one, name), getattr(other, name)) for name in _OF_FLUIDS)
    return all(a is b or np.array_equal(a, b, equal_nan=True) for a, b in pairs)


_OF_FLUIDS = tuple(item.name for item in fields(Fluids) if item.name != "layers")


def worst_deviation(gauge: Gauge) -> Worst:
    """The worst reading less the level, where the float stands clear of the lower connection.

    That is so from a level of its immersion upwards; nearer to the connection it follows a moving level less
    well (`response.follow`).
    """
    clear = np.asarray(gauge.float.length, dtype=np.float64)
    found = worst_reading(gauge, clear)
    return found._replace(low=found.low - clear, high=found.high - clear)


def _place(effect: str) -> int:
    """Where an effect stands in `EFFECTS`, by its first word; the coupling, which is none, last."""
    name = effect.split()[0]
    return EFFECTS.index(name) if name in EFFECTS else len(EFFECTS)


def _case(gauge: Gauge, fluids: Fluids, level: Array, missing: dict[str, str]) -> dict[str, Share]:
    """Share of every effect at one operating case."""
    plane = np.asarray(magnet_inside(gauge.float.magnet_height, gauge.float.length))
    depth = immersed(gauge.float, fluids)
    offset = plane - depth
    in_chamber = _chamber(gauge, fluids, level)
    _note(missing, "friction", gauge.movement.drag_force, "drag_force")
    _note(missing, "uncertainty", gauge.spread.mass, "u_mass")
    shift = level + in_chamber.low
    depth = _on_stops(gauge, depth, shift)
    forced = {
        "friction": _either_way(gauge, fluids, gauge.movement.drag_force, offset),
        "capillary": _capillary(gauge, fluids, offset, missing),
    }
    ahead, forced["movement"] = _movement(gauge, fluids, shift, missing)
    depth = _together(gauge, depth, {**forced, "movement": ahead})
    depth = _coupled(gauge, depth, missing)
    return {
        "chamber": in_chamber,
        "offset": Share(plane - depth, plane - depth),
        "heat": _heat(gauge, fluids, offset, shift, missing),
        "wear": _wear(gauge, fluids, offset),
        "tilt": _tilt(gauge, fluids, offset, missing),
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
    vessel = stated_or(fluids.vessel_density, fluids.lower_density)
    above = stated_or(fluids.vessel_upper_density, fluids.upper_density)
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
    change = np.where(by == 1, 0.0, np.asarray(float_.magnet_height) * by - immersed(big, fluids) - offset)
    by = _grown(gauge.chamber.metal, kelvin, "chamber", missing)
    change = change + np.where(by == 1, 0.0, (level + offset + change) * (1 / by - 1))
    return Share(change, change)


def _grown(metal: Texts, kelvin: Array, part: str, missing: dict[str, str]) -> Array:
    """Hot over cold length of a part; 1, and noted, where metal or temperature is not known."""
    named = np.asarray(metal, dtype=object)
    tabulated = {name: expands(str(name)) for name in set(named.flat)}
    known = np.array([tabulated[name] for name in named.flat], dtype=np.bool_).reshape(named.shape)
    if not known.all():
        missing.setdefault("heat", f"material of the {part}")
    names, known, at = np.broadcast_arrays(named, known, kelvin)
    if not known.any():
        return np.ones(at.shape)
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
    worn = corroded(float_, loss)
    change = np.asarray(worn.magnet_height) - immersed(worn, fluids) - offset
    return Share(np.minimum(change, 0.0), np.maximum(change, 0.0))


def _tilt(gauge: Gauge, fluids: Fluids, offset: Array, missing: dict[str, str]) -> Share:
    """What leaning does to the height of the magnet above the surface: offset (cos a - 1).

    The volume below the surface stays, so that the depth along the axis does. None where the float is known
    to stand upright; to the greatest angle where it is top-heavy or nothing says that it is not.
    """
    float_, bore = gauge.float, np.asarray(gauge.chamber.bore, dtype=np.float64)
    if np.isnan(bore).any():
        missing.setdefault("tilt", "chamber_bore")
    zero = 0 * offset
    if np.isnan(bore).all():
        return Share(zero, zero)
    with reasons():  # a float that does not fit its bore is refused where it moves
        lean = np.nan_to_num(greatest_tilt(float_.diameter, float_.length, bore))
    height = _height(float_, fluids)
    lies, top_heavy = lean > np.pi / 4, height < 0
    if np.any(lies & np.isnan(height)):
        missing.setdefault("tilt", "centre_of_gravity")
    still = (height >= 0) | (lies & ~top_heavy)
    change = np.where(still, 0.0, offset * (np.cos(lean) - 1))
    change = refuse(change, lies & top_heavy, _LIES)
    return Share(np.minimum(change, 0.0), np.maximum(change, 0.0))


def _height(float_: Float, fluids: Fluids) -> Array:
    """Metacentric height; NaN where the centre of gravity is not stated."""
    centre = np.asarray(float_.centre_of_gravity, dtype=np.float64)
    if np.isnan(centre).all():
        return centre
    return np.asarray(metacentre(float_, fluids) - centre)


_LIES = "the float is top-heavy and short for its bore: it lies down; lower its centre of gravity"


def _coupled(gauge: Gauge, depth: Array, missing: dict[str, str]) -> Array:
    """The immersion, refused where the magnet is known not to turn the indicator."""
    float_, chamber = gauge.float, gauge.chamber
    known = {
        "flux": float_.flux,
        "flux_distance": float_.flux_distance,
        "indicator_distance": chamber.indicator_distance,
        "needed_flux": chamber.needed_flux,
    }
    for name, value in known.items():
        if np.isnan(np.asarray(value, dtype=np.float64)).any():
            missing.setdefault(_COUPLING, name)
    if _COUPLING in missing and all(np.isnan(np.asarray(x, dtype=np.float64)).all() for x in known.values()):
        return depth
    far = np.asarray(chamber.indicator_distance, dtype=np.float64)
    with reasons():  # a float that does not fit its bore is refused where it moves
        far = far + np.nan_to_num(lateral_play(float_.diameter, chamber.bore))
    reach = magnet_reach(float_.flux, float_.flux_distance, chamber.needed_flux)
    depth = refuse(depth, np.asarray(far > reach * (1 + 1e-9)), OUT_OF_REACH)
    return _slow_enough(gauge, depth, far)


_COUPLING = "coupling of magnet and indicator"
_TOO_FAST = "the float passes the indicator faster than that turns: it does not follow"


def _slow_enough(gauge: Gauge, depth: Array, far: Array) -> Array:
    float_, chamber = gauge.float, gauge.chamber
    if np.isnan(np.asarray(chamber.turning_time, dtype=np.float64)).all():
        return depth
    with reasons():
        speed = follow_speed(
            float_.flux,
            float_.flux_distance,
            chamber.needed_flux,
            far,
            chamber.turning_time,
            float_.magnetised,
        )
    return refuse(depth, np.asarray(gauge.movement.level_rate) > speed * (1 + 1e-9), _TOO_FAST)


def _either_way(gauge: Gauge, fluids: Fluids, force: ArrayLike, offset: Array) -> Share:
    """What a force on the float, down or up, does to it, within its limits."""
    holding = np.nan_to_num(np.asarray(force, dtype=np.float64))
    if not fluids.layers and not holding.any():
        zero = 0 * (offset + holding)
        return Share(zero, zero)
    down, up = shifts(gauge.float, fluids, holding)
    return Share(-np.asarray(down), np.asarray(up))


def _capillary(gauge: Gauge, fluids: Fluids, offset: Array, missing: dict[str, str]) -> Share:
    gamma = _note(missing, "capillary", fluids.surface_tension, "surface_tension")
    force = capillary_force(gauge.float.diameter, gamma)
    return _either_way(gauge, fluids, force, offset)


def _movement(gauge: Gauge, fluids: Fluids, level: Array, missing: dict[str, str]) -> tuple[Share, Share]:
    """The float ahead of the moving level, or behind it; that less the chamber behind its vessel.

    A chamber behind a rising level is empty at the worst, one behind a falling level full to the upper
    connection, where the distance is stated.
    """
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
    ahead = _ahead(gauge, fluids, rate, level, missing)
    narrow, along = (np.asarray(x, dtype=np.float64) for x in (chamber.nozzle_bore, chamber.nozzle_length))
    behind = head_lost(chamber, fluids, gauge.movement)
    if np.isnan(narrow + along).any():
        missing.setdefault("movement through the connections", "nozzle_bore and nozzle_length")
    ahead = np.where(able, ahead, 0.0)
    behind = np.where(able & ~np.isnan(narrow + along), behind, 0.0)
    room = stated_or(np.asarray(chamber.distance, dtype=np.float64) - level, np.inf)
    rising, falling = ahead - np.minimum(behind, level), np.minimum(behind, room) - ahead
    size = np.abs(ahead)
    return Share(-size, size), Share(np.minimum(rising, falling), np.maximum(rising, falling))


def _ahead(gauge: Gauge, fluids: Fluids, rate: Array, level: Array, missing: dict[str, str]) -> Array:
    """`response.follow`; 0, and noted, where the flow past the float is not laminar."""
    float_, bore = gauge.float, gauge.chamber.bore
    fast = gap_reynolds(float_.diameter, bore, fluids.lower_density, fluids.viscosity, rate) > REYNOLDS_LIMIT
    if np.any(fast):
        missing.setdefault("movement", "the flow past the float is not laminar")
    slow = np.where(fast, 0.0, rate)
    return np.asarray(follow(float_, fluids, gauge.chamber, Movement(slow), level))


def _uncertainty(gauge: Gauge, fluids: Fluids) -> Share:
    spread = gauge.spread
    known = Spread(
        stated_or(spread.mass, 0.0),
        stated_or(spread.diameter, 0.0),
        stated_or(spread.magnet_height, 0.0),
        stated_or(spread.lower_density, 0.0),
        stated_or(spread.upper_density, 0.0),
    )
    u = offset_uncertainty(gauge.float, fluids, known)
    wide = spread.coverage * np.asarray(u)
    return Share(-wide, wide)
