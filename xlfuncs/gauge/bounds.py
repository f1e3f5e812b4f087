"""What bounds a gauge in every operating case, beside its reading: travel, stability, coupling, swings.

The functions take a whole `Gauge` of `xlfuncs.gauge.model` and answer for the worst of its cases. What is not
stated is NaN, as are the results that need it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.gauge._reasons import Array, scalar
from xlfuncs.gauge.chamber import column_beside, excesses
from xlfuncs.gauge.coupling import flux_at, follow_speed, lateral_play, magnet_reach
from xlfuncs.gauge.layers import immersed
from xlfuncs.gauge.model import Fluids, Gauge, stated_or
from xlfuncs.gauge.stability import column_period, float_period, metacentre
from xlfuncs.gauge.switches import float_travel


class Reach(NamedTuple):
    """Levels in the vessel above the lower connection [m] that the float follows in every case."""

    low: Array
    """Above 0: the float rests on its lower stop before the level is at the lower connection."""
    high: Array
    """Below the distance of the connections: it touches its upper stop before."""
    low_case: NDArray[np.int64]
    """Number of the case that decides."""
    high_case: NDArray[np.int64]


def reach(gauge: Gauge) -> Reach:
    """Between which levels the float moves freely in every case: `switches.float_travel` at the worst.

    The lightest lower fluid decides below, where the float hangs deepest, and the heaviest above. NaN where
    length, distance or room are not stated, and with the reason where the float follows no level.
    """
    ends = [_reach_of(gauge, fluids) for fluids in gauge.cases]
    low, low_case = _worst([low for low, _ in ends], largest=True)
    high, high_case = _worst([high for _, high in ends], largest=False)
    return Reach(low, high, low_case, high_case)


def _reach_of(gauge: Gauge, fluids: Fluids) -> tuple[Array, Array]:
    chamber = gauge.chamber
    depth = immersed(gauge.float, fluids)
    ends = float_travel(depth, gauge.float.length, chamber.distance, chamber.below, chamber.above)
    vessel = stated_or(fluids.vessel_density, fluids.lower_density)
    above = stated_or(fluids.vessel_upper_density, fluids.upper_density)
    in_vessel, in_chamber, apart = excesses(vessel, fluids.lower_density, above, fluids.upper_density)
    column = column_beside(apart, chamber.distance)
    # beyond the connections the chamber overflows or runs empty: it follows no level there either
    low, high = (
        scalar(np.clip((level * in_chamber - column) / in_vessel, 0.0, chamber.distance)) for level in ends
    )
    return low, high


class Standing(NamedTuple):
    """How upright a float stands, at the worst case."""

    metacentre: Array
    """Highest centre of gravity above the bottom with which it stands [m]."""
    height: Array
    """Metacentric height [m]; negative: top-heavy. NaN where the centre of gravity is not stated."""
    case: NDArray[np.int64]


def standing(gauge: Gauge) -> Standing:
    """Metacentre and metacentric height at the worst of the cases.

    Where the centre of gravity is not stated, `stability.lowest_centre_of_gravity` tells the least that it
    can be: above the metacentre the float is top-heavy whatever is inside.
    """
    float_ = gauge.float
    least, case = _worst([metacentre(float_, fluids) for fluids in gauge.cases], largest=False)
    centre = np.asarray(float_.centre_of_gravity, dtype=np.float64)
    return Standing(least, scalar(np.asarray(least - centre)), case)


class Coupling(NamedTuple):
    """What the magnet does at the indicator, with the float at the far wall of its chamber."""

    flux: Array
    """Flux density there, in the unit of the float's."""
    largest_gap: Array
    """Distance from the chamber's axis at which the indicator would just turn [m]."""
    highest_rate: Array
    """Of the level, at which it still turns [m/s]; NaN where its turning time is not stated."""


def coupling(gauge: Gauge) -> Coupling:
    """Whether the indicator can follow: NaN where the flux at a distance or what is needed is not stated."""
    float_, chamber = gauge.float, gauge.chamber
    play = lateral_play(float_.diameter, chamber.bore)
    far = np.asarray(chamber.indicator_distance, dtype=np.float64) + play
    known = (float_.flux, float_.flux_distance)
    return Coupling(
        flux_at(*known, far),
        scalar(np.asarray(magnet_reach(*known, chamber.needed_flux) - play)),
        follow_speed(*known, chamber.needed_flux, far, chamber.turning_time, float_.magnetised),
    )


class Swings(NamedTuple):
    """Periods without damping [s]: a level that moves in the same time makes either swing beyond it."""

    float: Array
    """Of the float, the longest of the cases."""
    column: Array
    """Of the column between chamber and vessel."""


def swings(gauge: Gauge, level: ArrayLike) -> Swings:
    """Periods of float and column at a level [m] above the lower connection."""
    float_, chamber = gauge.float, gauge.chamber
    each = [float_period(float_, fluids, chamber) for fluids in gauge.cases]
    column = column_period(level, chamber.bore, chamber.nozzle_bore, chamber.nozzle_length)
    return Swings(_worst(each, largest=True)[0], column)


def _worst(each: Sequence[ArrayLike], *, largest: bool) -> tuple[Array, NDArray[np.int64]]:
    """The largest or least of the cases, NaN where any is, and which it is."""
    stack = np.stack(np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in each)))
    found = stack.max(axis=0) if largest else stack.min(axis=0)
    return scalar(np.asarray(found)), (stack.argmax(axis=0) if largest else stack.argmin(axis=0))[()]
