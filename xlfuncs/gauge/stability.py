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
from xlfuncs.gauge.floats import Shape, depth_of, shape_of, volume_displaced, waterline_radius
from xlfuncs.gauge.model import Chamber, Float, Fluids
from xlfuncs.gauge.response import moved_mass, restoring

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
"""Exact for the cubic and quartic moments of straight part and spheroids."""


def _moment(depth: Array, shape: Shape) -> Array:
    """First moment about the float's bottom of the volume of its lowest `depth` [m4]."""
    edges = (np.zeros_like(depth), shape.bottom.depth, shape.length - shape.top.depth, shape.length)
    total = np.zeros(np.shape(depth + shape.length))
    for start, end in itertools.pairwise(edges):
        low, high = np.minimum(start, depth), np.minimum(end, depth)
        half = (high - low) / 2
        for node, weight in zip(_NODES, _WEIGHTS, strict=True):
            z = low + half * (1 + node)
            total = total + weight * half * z * np.pi * waterline_radius(z, shape) ** 2
    return np.asarray(total)


def metacentre(float_: Float, fluids: Fluids) -> Array:
    """Metacentre above the float's bottom [m]: a float stands upright with its centre of gravity below it.

    (rho_l M_l + rho_u M_u)/m + (rho_l - rho_u) pi r^4/(4 m), with the first moments M of the volumes in both
    fluids about the float's bottom and the radius r of the waterline. NaN as `floats.immersion`.

    >>> float(round(metacentre(Float(0.28, 0.05, 0.2), Fluids(850.0)), 5))
    0.08482
    """
    shape = shape_of(float_.diameter, float_.length, float_.ends)
    below, lower, upper = volume_displaced(float_.mass, shape, fluids.lower_density, fluids.upper_density)
    depth = np.asarray(depth_of(below, shape))
    under = _moment(depth, shape)
    over = _moment(shape.length + 0 * depth, shape) - under
    weight = np.asarray(float_.mass, dtype=np.float64)
    buoyant = (lower * under + upper * over) / weight
    waterline = (lower - upper) * np.pi / 4 * waterline_radius(depth, shape) ** 4 / weight
    return scalar(np.asarray(buoyant + waterline))


def metacentric_height(float_: Float, fluids: Fluids) -> Array:
    """Height of the metacentre above the centre of gravity [m]; negative: the float is top-heavy.

    `metacentre` less the float's centre_of_gravity. NaN as `floats.immersion`.

    Source: hydrostatics (metacentre, Bouguer 1746).

    >>> float(round(metacentric_height(Float(0.28, 0.05, 0.2, centre_of_gravity=0.1), Fluids(850.0)), 5))
    -0.01518
    """
    long = positive("length", float_.length)
    centre = not_negative("centre_of_gravity", float_.centre_of_gravity)
    why = "centre_of_gravity is above the bottom and must not exceed the length"
    centre = refuse(centre, centre > long, why, UNUSABLE)
    return scalar(np.asarray(metacentre(float_, fluids) - centre))


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


def float_period(float_: Float, fluids: Fluids, chamber: Chamber) -> Array:
    """Time of one swing of a displaced float, without damping [s]: 2 pi sqrt(M/k).

    M is the mass of the float and of the liquid that it moves in the gap (`response.moved_mass`). In the time
    of a swing none leaves the chamber: what the float displaces rises beside it, in the section S - s that
    it leaves of the bore's, so that k is the stiffness at the waterline times S/(S - s). With a straight
    float and one liquid the gap cancels: 2 pi sqrt(immersion/g). NaN as `response.time_constant`.

    Source: spring and mass.
    """
    still = restoring(float_, fluids)
    gap = np.asarray(fluids.lower_density, np.float64) - np.asarray(fluids.upper_density, np.float64)
    bore = np.pi / 4 * np.asarray(chamber.bore, dtype=np.float64) ** 2
    k = still * bore / (bore - still / (gap * STANDARD_GRAVITY))
    return scalar(np.asarray(2 * np.pi * np.sqrt(moved_mass(float_, fluids, chamber) / k)))


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
