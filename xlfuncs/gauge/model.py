"""What a gauge is made of: float, chamber, fluids, movement, and what is uncertain about them.

Columns in SI; every field broadcasts over arrays, and nothing changes after it is made. The names of the
fields are the arguments of the worksheet functions (`xlfuncs.gauge.parts`). NaN and "" stand for what is not
stated.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.floats import Texts

NAN = float("nan")


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
    centre_of_gravity: ArrayLike = NAN
    """Above the bottom, magnets and ballast included."""
    flux: ArrayLike = NAN
    """Flux density of the magnet at flux_distance from its middle, in any unit."""
    flux_distance: ArrayLike = NAN
    magnetised: Texts = "along"
    """Its axis: along its path, or across, towards the indicator."""


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
    indicator_distance: ArrayLike = NAN
    """From the chamber's axis to what turns in the indicator."""
    needed_flux: ArrayLike = NAN
    """Flux density that turns it, in the unit of the float's."""
    turning_time: ArrayLike = NAN
    """How long it must have that flux."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer between the lower and the upper fluid: thickness [m], density at its foot and top [kg/m3]."""

    thickness: ArrayLike
    density: ArrayLike
    density_top: ArrayLike | None = None
    """None: one density."""


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


def stated_or(value: ArrayLike, other: ArrayLike) -> Array:
    """`value`, and `other` where it is not stated."""
    number = np.asarray(value, dtype=np.float64)
    return np.asarray(np.where(np.isnan(number), other, number))
