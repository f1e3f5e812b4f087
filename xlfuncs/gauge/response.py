"""How fast a float follows the level: viscous drag in the chamber, lag, and the dead band of friction.

The float is a closed cylinder of radius r, coaxial in a chamber of bore radius R. Its immersed part
drags; the flow in the gap is laminar and fully developed. Left out: end effects, the upper fluid's drag,
eccentricity (a float that touches the wall drags less), inertia of the liquid, and the inlet length of
the gap, which adds to the drag where Re is high. A curved end counts as a cylinder of the same depth.

Two motions of the liquid are covered:

- It is at rest and flows back past the float. Drag per length, viscosity and velocity is then, with
  x = ln(R/r), 2 pi/(x - tanh x), which is 2 pi/(ln(R/r) - (R^2 - r^2)/(R^2 + r^2)). So it is below the lower
  connection, where the chamber is closed (`lag`).
- It moves with the level, as above the connection through which the chamber fills, and none passes the
  float. The moving liquid then pushes the float ahead of the level, with tanh x times that drag (`lead`).

Which of them a float meets is decided by where it stands (`follow`): with the level at the lower connection
all of it is below, with the level an immersion higher none.

Source of the first: Bird, Stewart and Lightfoot, 2nd ed., problem 2C.4; Lohrenz, Swift and Kurata 1960.
The second is the same momentum balance with no flow past the float. The tests solve both numerically.

Viscosities are dynamic [Pa s]. The drag is that of the immersion at rest, to first order: a float that is
drawn down drags more by the share that it goes deeper, one that is lifted less. What it does to the immersion
follows from the float's shape, so that a curved end at the surface gives way more. A time refers to small
displacements.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.data import load
from xlfuncs.gauge import STANDARD_GRAVITY
from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse, scalar
from xlfuncs.gauge.floats import (
    Shape,
    depth_of,
    shape_of,
    volume_displaced,
    volume_under,
    waterline_radius,
)
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement

REYNOLDS_LIMIT: float = load("response")["laminar"]["reynolds"]


def _x_minus_tanh(x: Array) -> Array:
    """x - tanh x without cancellation, for x > 0.

    x cosh x - sinh x = sum of 2 n x^(2 n + 1)/(2 n + 1)!, whose terms are all positive.
    """
    small = np.minimum(x, 1.0)
    term, total = small.copy(), np.zeros_like(small)
    for n in range(1, 11):
        term = term * small**2 / (2 * n * (2 * n + 1))
        total = total + 2 * n * term
    return np.where(x < 1.0, total / np.cosh(small), x - np.tanh(x))


def _log_ratio(diameter: ArrayLike, chamber_bore: ArrayLike) -> Array:
    """ln(R/r), with its digits in a narrow gap."""
    across = positive("diameter", diameter)
    bore = positive("chamber_bore", chamber_bore)
    gap = refuse(bore - across, bore <= across, "chamber_bore must be above the float's diameter", UNUSABLE)
    return np.asarray(np.log1p(gap / across))


def drag_coefficient(diameter: ArrayLike, chamber_bore: ArrayLike) -> Array:
    """Drag per immersed length, dynamic viscosity and velocity [-] in liquid at rest: 2 pi/(x - tanh x).

    x = ln(chamber_bore/diameter); lengths in m. NaN where the bore is not above the diameter.

    >>> float(round(drag_coefficient(0.05, 0.06), 4))
    3151.539
    """
    return scalar(np.asarray(2 * np.pi / _x_minus_tanh(_log_ratio(diameter, chamber_bore))))


def gap_reynolds(
    diameter: ArrayLike,
    chamber_bore: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
    velocity: ArrayLike,
) -> Array:
    """Reynolds number of the gap [-] for a float that moves in liquid at rest: density u 2 (R - r)/viscosity.

    u is the mean velocity of the liquid against the float, velocity R^2/(R^2 - r^2).
    """
    across, bore, rho, mu, v = (
        np.asarray(x, dtype=np.float64) for x in (diameter, chamber_bore, density, viscosity, velocity)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        return scalar(np.asarray(rho * v * bore**2 / (bore + across) / mu))


class _Afloat(NamedTuple):
    immersed: Array
    """Depth of the float's bottom [m]."""
    dry: Array
    """Ride height [m]."""
    stiffness: Array
    """Restoring force per displacement, at the waterline where the float rides [N/m]."""
    reserve: Array
    """Force that pushes the float under [N]: no drag downwards can be met by more."""
    weight: Array
    """Force that lifts the float out of the lower fluid [N]: no drag upwards can be met by more."""
    displaced: Array
    """Volume below the surface [m3]."""
    per_volume: Array
    """Force by which a volume more below the surface lifts the float [N/m3]."""
    shape: Shape

    def drawn(self, force: Array) -> Array:
        """How far a force downwards draws the float down [m], where it stays afloat."""
        below = np.minimum(self.displaced + force / self.per_volume, self.shape.volume)
        return np.asarray(depth_of(below, self.shape) - self.immersed)

    def raised(self, force: Array) -> Array:
        """How far a force upwards lifts the float [m], where it stays in the lower fluid."""
        below = np.maximum(self.displaced - force / self.per_volume, 0.0)
        return np.asarray(self.immersed - depth_of(below, self.shape))


DROWNED = "the drag draws the float under the surface: it has no lag there; heat the liquid or widen the gap"
LIFTED = "the drag lifts the float out of the liquid: it has no rest position there"
STUCK = "the force is more than the float's buoyancy or weight meets: it does not follow at all"


def _held_down(force: Array, shift: Array, afloat: _Afloat, why: str = DROWNED) -> Array:
    """`shift` [m] by a force that draws the float down, NaN where it goes under."""
    under = (force > afloat.reserve * (1 + 1e-9)) | (shift > afloat.dry * (1 + 1e-9))
    return refuse(shift, under, why)


def _lifted(force: Array, shift: Array, afloat: _Afloat, why: str = LIFTED) -> Array:
    """`shift` [m] by a force that lifts the float, NaN where it leaves the lower fluid."""
    out = (force > afloat.weight * (1 + 1e-9)) | (shift > afloat.immersed * (1 + 1e-9))
    return refuse(shift, out, why)


def _afloat(float_: Float, fluids: Fluids) -> _Afloat:
    shape = shape_of(float_.diameter, float_.length, float_.ends)
    displaced, lower, upper = volume_displaced(float_.mass, shape, fluids.lower_density, fluids.upper_density)
    depth = depth_of(displaced, shape)
    share = (waterline_radius(depth, shape) / shape.radius) ** 2
    per_volume = (lower - upper) * STANDARD_GRAVITY
    reserve_ = per_volume * (shape.volume - displaced)
    weight = np.asarray(float_.mass, dtype=np.float64) * STANDARD_GRAVITY
    hanging = weight - upper * shape.volume * STANDARD_GRAVITY
    across = share * per_volume * shape.area
    return _Afloat(depth, shape.length - depth, across, reserve_, hanging, displaced, per_volume, shape)


def _either_way(force: Array, afloat: _Afloat) -> Array:
    """The farther of what a force shifts the float down and up [m]."""
    return np.asarray(np.maximum(afloat.drawn(force), afloat.raised(force)))


def _laminar(reynolds: Array, value: Array, cause: str) -> Array:
    return refuse(
        value,
        reynolds > REYNOLDS_LIMIT,
        f"the flow past the float is not laminar (Re above {REYNOLDS_LIMIT:g}): {cause}",
    )


def _drag(
    float_: Float, afloat: _Afloat, fluids: Fluids, chamber: Chamber, movement: Movement
) -> tuple[Array, Array]:
    """Drag of the float that moves with the level in liquid at rest [N], and the gap's Reynolds number."""
    mu, rate = positive("viscosity", fluids.viscosity), not_negative("level_rate", movement.level_rate)
    drag = drag_coefficient(float_.diameter, chamber.bore) * mu * afloat.immersed * rate
    return drag, gap_reynolds(float_.diameter, chamber.bore, fluids.lower_density, mu, rate)


def lag(float_: Float, fluids: Fluids, chamber: Chamber, movement: Movement) -> Array:
    """How far the float stays behind a level that moves at a steady rate [m].

    drag = coefficient x viscosity x immersion x level_rate, in liquid at rest, as with the level at the lower
    connection: the upper bound. It draws the float down until drag/((rho_l - rho_u) g) more of its volume is
    below the surface: by drag/stiffness, with stiffness = A (rho_l - rho_u) g, while the straight part meets
    the surface. A rising level is read low by it, a falling one high. Never beyond the ride height: a drag
    above the force that pushes the float under draws it under, and there is no lag.

    Viscosity [Pa s] and level_rate [m/s] are needed, and the bore. NaN with the reason:
    the float does not float, the bore is not above the diameter, or the flow is not laminar.
    """
    afloat = _afloat(float_, fluids)
    drag, reynolds = _drag(float_, afloat, fluids, chamber, movement)
    behind = _laminar(reynolds, afloat.drawn(drag), "level_rate is too high for it")
    return scalar(np.asarray(_held_down(drag, behind, afloat)))


FALLING = "a falling liquid draws the float under the surface: the reading has no limit there"
RAISED = "a falling level leaves the float hanging in the liquid below it: the reading has no limit there"


def _pushed(ahead: Array, behind: Array, afloat: _Afloat) -> Array:
    """Shift by forces along with a moving level and against it, one of which is 0 [m]: the farther way.

    NaN where it is drawn under or lifted out by either, on a rising or on a falling level.
    """
    shift = _held_down(ahead, _lifted(ahead, _either_way(ahead, afloat), afloat), afloat, FALLING)
    if not np.any(behind > 0):
        return shift
    left = _lifted(behind, _held_down(behind, _either_way(behind, afloat), afloat), afloat, RAISED)
    return np.asarray(shift - left)


def lead(float_: Float, fluids: Fluids, chamber: Chamber, movement: Movement) -> Array:
    """How far the liquid that moves with the level pushes the float ahead of it [m].

    (R^2 - r^2)/(R^2 + r^2) times `lag`: no liquid passes the float, but the chamber's wall holds the liquid
    back, and the pressure that drives it along lifts the float. A rising level is read high by it, a falling
    one low. Arguments and NaN as `lag`, whose limit of laminar flow is the stricter one; never beyond the
    immersion, where the float is lifted out, nor the ride height, where a falling liquid draws it under.
    """
    return follow(float_, fluids, chamber, movement, np.inf)


def follow(float_: Float, fluids: Fluids, chamber: Chamber, movement: Movement, level: ArrayLike) -> Array:
    """How far a moving level leaves the float behind (below 0) or pushes it ahead (above 0) [m].

    level: in the chamber, above the lower connection [m]. The part of the float below the connection stands
    in a closed end: what it displaces flows back past it, and holds it with the drag of `lag`. The liquid
    above follows the level, and pushes with tanh x of that. Both act along their part of the immersion h::

        force = coefficient x viscosity x level_rate x (tanh x (h - h_c) - h_c),  h_c = h - level in [0, h]

    So the float lags at the lower connection, and leads where the level is more than h/(1 + tanh x) above it.
    The farther of what a rising and a falling level do to it; NaN as `lag` and `lead`.
    """
    afloat = _afloat(float_, fluids)
    drag, reynolds = _drag(float_, afloat, fluids, chamber, movement)
    above = np.asarray(level, dtype=np.float64)
    with np.errstate(invalid="ignore", divide="ignore"):
        closed = np.clip(1 - above / afloat.immersed, 0.0, 1.0)
    along = np.tanh(_log_ratio(float_.diameter, chamber.bore)) * (1 - closed)
    force = drag * (along - closed)
    shift = _pushed(np.maximum(force, 0.0), np.maximum(-force, 0.0), afloat)
    return scalar(_laminar(reynolds, shift, "level_rate is too high for it"))


def viscosity_limit(
    float_: Float, fluids: Fluids, chamber: Chamber, movement: Movement, lag: ArrayLike
) -> Array:
    """Dynamic viscosity at which the float lags by `lag` [m] behind the level [Pa s].

    The inverse of the function `lag`. NaN with the reason as there, and where the
    flow at the limit would not be laminar.
    """
    rate, allowed = positive("level_rate", movement.level_rate), positive("lag", lag)
    afloat = _afloat(float_, fluids)
    coefficient = drag_coefficient(float_.diameter, chamber.bore)
    deep = np.minimum(afloat.immersed + allowed, afloat.shape.length)
    force = (volume_under(deep, afloat.shape) - afloat.displaced) * afloat.per_volume
    limit = force / (coefficient * afloat.immersed * rate)
    reach = "lag is more than the float's ride height: before it lags so far it is drawn under; ask for less"
    limit = _held_down(force, allowed, afloat, reach) * 0 + limit
    reynolds = gap_reynolds(float_.diameter, chamber.bore, fluids.lower_density, limit, rate)
    return scalar(np.asarray(_laminar(reynolds, limit, "viscosity does not decide the lag here")))


def restoring(float_: Float, fluids: Fluids) -> Array:
    """Restoring force per displacement where the float rides [N/m]: at a curved end less."""
    return _afloat(float_, fluids).stiffness


def moved_mass(float_: Float, fluids: Fluids, chamber: Chamber) -> Array:
    """Mass of the float and of the liquid that it moves in the gap, at the float's velocity [kg].

    rho pi r^2 h r^2/(R^2 - r^2) for the liquid (kinetic energy of plug flow).
    """
    across, bore = (np.asarray(x, dtype=np.float64) for x in (float_.diameter, chamber.bore))
    bore = refuse(bore, bore <= across, "chamber_bore must be above the float's diameter", UNUSABLE)
    with np.errstate(invalid="ignore", divide="ignore"):
        gap = across**2 / (bore**2 - across**2)
    liquid = np.asarray(fluids.lower_density) * np.pi / 4 * across**2 * _afloat(float_, fluids).immersed * gap
    return scalar(np.asarray(np.asarray(float_.mass, dtype=np.float64) + liquid))


def time_constant(float_: Float, fluids: Fluids, chamber: Chamber) -> Array:
    """Time in which a displaced float comes back to 1/e of its displacement [s]: c/k.

    c = coefficient x viscosity x immersion, in liquid at rest; k the stiffness as in `lag`. Holds
    while the float creeps. NaN with the reason where c^2 < 4 k M: there it swings, with no single time
    constant; M by `moved_mass`.
    """
    mu = positive("viscosity", fluids.viscosity)
    afloat = _afloat(float_, fluids)
    damping = drag_coefficient(float_.diameter, chamber.bore) * mu * afloat.immersed
    swings = damping**2 < 4 * afloat.stiffness * moved_mass(float_, fluids, chamber)
    return refuse(
        damping / afloat.stiffness,
        swings,
        "viscosity is low: the float swings about the level and has no single time constant",
    )


def friction_band(float_: Float, fluids: Fluids, movement: Movement) -> Array:
    """How far the level moves before the float follows, either way [m]; with a curved end the farther one.

    drag_force/stiffness while the straight part meets the surface (`lag`).

    drag_force [N] of the movement is what holds the float: friction on the wall, deposits, the magnetic drag
    of followers and switches. Between a rising and a falling level the readings differ by twice the result.
    NaN with the reason: a force that neither the buoyancy left nor the weight of
    the float overcomes, so that it hangs fast.
    """
    return scalar(np.asarray(np.maximum(*shifts(float_, fluids, movement.drag_force))))


def shifts(float_: Float, fluids: Fluids, drag_force: ArrayLike) -> tuple[Array, Array]:
    """How far a force [N] draws the float down, and how far it lifts it [m].

    NaN as `friction_band`. They differ where a curved end reaches the surface.
    """
    force = not_negative("drag_force", drag_force)
    afloat = _afloat(float_, fluids)
    down, up = afloat.drawn(force), afloat.raised(force)
    fast = _held_down(force, _lifted(force, np.maximum(down, up), afloat, STUCK), afloat, STUCK)
    return scalar(np.asarray(down + 0 * fast)), scalar(np.asarray(up + 0 * fast))
