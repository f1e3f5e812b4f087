"""Does the float stand upright in its chamber, how far can it tilt, and how fast does it swing.

Hydrostatics of a floating body (textbooks of naval architecture): upright is stable while the metacentre,
BM = I/V above the centre of buoyancy, is above the centre of gravity. With two fluids the displaced masses
of both count, and the waterline restores with the difference of their densities.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge import STANDARD_GRAVITY
from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse, scalar
from xlfuncs.gauge.floats import Texts, _Shape, _shape, _waterline_radius, immersion

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
"""Exact for the cubic and quartic moments of straight part and spheroids."""


def _moment(depth: Array, shape: _Shape) -> Array:
    """First moment about the float's bottom of the volume of its lowest `depth` [m4]."""
    edges = (np.zeros_like(depth), shape.bottom.depth, shape.length - shape.top.depth, shape.length)
    total = np.zeros(np.shape(depth + shape.length))
    for start, end in itertools.pairwise(edges):
        low, high = np.minimum(start, depth), np.minimum(end, depth)
        half = (high - low) / 2
        for node, weight in zip(_NODES, _WEIGHTS, strict=True):
            z = low + half * (1 + node)
            total = total + weight * half * z * np.pi * _waterline_radius(z, shape) ** 2
    return np.asarray(total)


def metacentre(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Metacentre above the float's bottom [m]: a float stands upright with its centre of gravity below it.

    (rho_l M_l + rho_u M_u)/m + (rho_l - rho_u) pi r^4/(4 m), with the first moments M of the volumes in both
    fluids about the float's bottom and the radius r of the waterline. Arguments and NaN as
    `floats.immersion`.

    >>> float(round(metacentre(0.28, 0.05, 0.2, 850.0), 5))
    0.08482
    """
    shape = _shape(diameter, length, ends)
    depth = np.asarray(immersion(mass, diameter, length, lower_density, upper_density, ends))
    lower, upper = (np.asarray(x, dtype=np.float64) for x in (lower_density, upper_density))
    under = _moment(depth, shape)
    over = _moment(shape.length + 0 * depth, shape) - under
    weight = np.asarray(mass, dtype=np.float64)
    buoyant = (lower * under + upper * over) / weight
    waterline = (lower - upper) * np.pi / 4 * _waterline_radius(depth, shape) ** 4 / weight
    return scalar(np.asarray(buoyant + waterline))


def metacentric_height(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    centre_of_gravity: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Height of the metacentre above the centre of gravity [m]; negative: the float is top-heavy.

    `metacentre` less centre_of_gravity [m] above the bottom, magnets and ballast included. Other arguments
    and NaN as `floats.immersion`.

    Source: hydrostatics (metacentre, Bouguer 1746).

    >>> float(round(metacentric_height(0.28, 0.05, 0.2, 0.1, 850.0), 5))
    -0.01518
    """
    long = positive("length", length)
    centre = not_negative("centre_of_gravity", centre_of_gravity)
    why = "centre_of_gravity is above the bottom and must not exceed the length"
    centre = refuse(centre, centre > long, why, UNUSABLE)
    return scalar(np.asarray(metacentre(mass, diameter, length, lower_density, upper_density, ends) - centre))


def lowest_centre_of_gravity(
    mass: ArrayLike,
    length: ArrayLike,
    shell_mass: ArrayLike,
    magnet_height: ArrayLike = 0.0,
    magnet_mass: ArrayLike = 0.0,
) -> Array:
    """The least height above the bottom that a float's centre of gravity can have [m].

    Shell [kg] with its centre half-way up (equal ends), magnets at their height, all the rest on the bottom::

        (shell_mass length/2 + magnet_mass magnet_height)/mass

    Where even that is above the `metacentre`, the float is top-heavy whatever is inside. NaN with the reason:
    shell and magnets weigh more than the float.
    """
    weight, long = positive("mass", mass), positive("length", length)
    shell, magnets = positive("shell_mass", shell_mass), not_negative("magnet_mass", magnet_mass)
    more = shell + magnets > weight * (1 + 1e-9)
    shell = refuse(shell, more, "shell and magnets weigh more than the float: check wall and mass", UNUSABLE)
    return scalar(
        np.asarray((shell * long / 2 + magnets * not_negative("magnet_height", magnet_height)) / weight)
    )


def greatest_tilt(diameter: ArrayLike, length: ArrayLike, chamber_bore: ArrayLike) -> Array:
    """Angle by which a float can lean in its chamber until both rims touch [rad].

    D cos a + L sin a = bore (geometry of the section along the axis; a float with flat ends, others lean
    a little more). A float no longer than its bore can lie down. Lengths [m].

    >>> float(round(np.degrees(greatest_tilt(0.05, 0.2, 0.06)), 3))
    2.884
    """
    across, long = positive("diameter", diameter), positive("length", length)
    bore = positive("chamber_bore", chamber_bore)
    bore = refuse(bore, bore <= across, "chamber_bore must be above the float's diameter", UNUSABLE)
    diagonal = np.hypot(across, long)
    with np.errstate(invalid="ignore"):
        lean = np.arctan2(long, across) - np.arccos(np.minimum(bore / diagonal, 1.0))
    return scalar(np.where(bore >= diagonal, np.pi / 2 + 0 * bore, lean))


def float_period(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    chamber_bore: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Time of one swing of a displaced float, without damping [s]: 2 pi sqrt(M/k).

    k is the stiffness at the waterline, M the mass of the float and of the liquid that it moves in the gap
    (rho pi r^2 h r^2/(R^2 - r^2), kinetic energy of plug flow). Arguments and NaN as
    `response.time_constant`.

    Source: spring and mass.
    """
    from xlfuncs.gauge.response import moved_mass, stiffness_afloat

    k = stiffness_afloat(mass, diameter, length, lower_density, upper_density, ends)
    heavy = moved_mass(mass, diameter, length, lower_density, chamber_bore, upper_density, ends)
    return scalar(np.asarray(2 * np.pi * np.sqrt(heavy / k)))


def column_period(
    level: ArrayLike, chamber_bore: ArrayLike, nozzle_bore: ArrayLike, nozzle_length: ArrayLike
) -> Array:
    """Time of one swing of the column between chamber and vessel, without damping [s].

    2 pi sqrt(l_e/g), l_e = level + nozzle_length (chamber_bore/nozzle_bore)^2: the chamber's column and that
    of the connection, which moves faster; the vessel is taken as wide. Lengths [m].

    Source: oscillating column (U-tube, textbooks of fluid mechanics).

    >>> float(round(column_period(0.5, 0.06, 0.024, 0.2), 3))
    2.654
    """
    height, wide = positive("level", level), positive("chamber_bore", chamber_bore)
    narrow, along = positive("nozzle_bore", nozzle_bore), not_negative("nozzle_length", nozzle_length)
    return scalar(np.asarray(2 * np.pi * np.sqrt((height + along * (wide / narrow) ** 2) / STANDARD_GRAVITY)))
