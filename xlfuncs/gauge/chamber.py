"""Level in an external chamber against the level in its vessel, when their liquids differ in density.

Both columns stand between the same two connections and share the vapour above them. At the lower
connection their pressures are equal; with heights above that connection::

    h_chamber (rho_chamber - rho_vapour) = h_vessel (rho_vessel - rho_vapour)

Hydrostatics. It holds while the lower connection is covered, the upper one is above both levels,
both valves are open and nothing flows. Densities are taken as uniform along each column.

Shapes: all arguments broadcast. NaN has a reason.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge._reasons import UNUSABLE, Floats, not_negative, positive, refuse, scalar


def _excesses(
    vessel_density: ArrayLike, chamber_density: ArrayLike, vapour_density: ArrayLike
) -> tuple[Floats, Floats]:
    """How much heavier the liquids in vessel and chamber are than the vapour above them [kg/m3]."""
    vapour = not_negative("vapour_density", vapour_density)
    in_vessel = positive("vessel_density", vessel_density) - vapour
    in_chamber = positive("chamber_density", chamber_density) - vapour
    return (
        refuse(in_vessel, in_vessel <= 0, "vessel_density must be above vapour_density", UNUSABLE),
        refuse(in_chamber, in_chamber <= 0, "chamber_density must be above vapour_density", UNUSABLE),
    )


def chamber_level(
    vessel_level: ArrayLike,
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    vapour_density: ArrayLike = 0.0,
) -> Floats:
    """Level in the chamber [m] when the vessel's is `vessel_level` [m], both above the lower connection.

    h_c = h_v (rho_l - rho_v) / (rho_c - rho_v). Densities [kg/m3] of the liquid in the vessel, of the
    liquid in the chamber and of the vapour above both.

    NaN with a reason: a level below the lower connection (the chamber does not follow it), a liquid
    not heavier than the vapour.

    Source: hydrostatics.

    >>> float(round(chamber_level(0.5, 798.3678, 960.1703, 20.08995), 6))
    0.413942
    """
    in_vessel, in_chamber = _excesses(vessel_density, chamber_density, vapour_density)
    return scalar(np.asarray(not_negative("vessel_level", vessel_level) * in_vessel / in_chamber))


def vessel_level(
    chamber_level: ArrayLike,
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    vapour_density: ArrayLike = 0.0,
) -> Floats:
    """Level in the vessel [m] that a level in the chamber [m] stands for: inverse of `chamber_level`.

    h_v = h_c (rho_c - rho_v) / (rho_l - rho_v). Arguments, validity and source as there.

    >>> float(round(vessel_level(0.413942, 798.3678, 960.1703, 20.08995), 6))
    0.5
    """
    in_vessel, in_chamber = _excesses(vessel_density, chamber_density, vapour_density)
    return scalar(np.asarray(not_negative("chamber_level", chamber_level) * in_chamber / in_vessel))


def chamber_error(
    vessel_level: ArrayLike,
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    vapour_density: ArrayLike = 0.0,
) -> Floats:
    """Chamber level minus vessel level [m]; positive: the chamber stands too high.

    Arguments, validity and source as in `chamber_level`.

    >>> float(round(chamber_error(0.5, 798.3678, 960.1703, 20.08995), 6))
    -0.086058
    """
    found = chamber_level(vessel_level, vessel_density, chamber_density, vapour_density)
    return scalar(np.asarray(found - np.asarray(vessel_level, dtype=np.float64)))


def chamber_table(
    connection_distance: float,
    vessel_density: float,
    chamber_density: float,
    vapour_density: float = 0.0,
    points: float = 5,
) -> list[list[str | float]]:
    """Chamber level and its error at evenly spaced vessel levels from 0 to the connection distance.

    `connection_distance` [m], densities [kg/m3], `points` (2 to 101); scalars. Returns rows, headings
    first: vessel level, chamber level, error [mm], error [percent of the connection distance]. Where a
    warmer chamber would stand above the upper connection, it overflows into the vessel and stands
    there; such a row shows that level, which is no longer a measure of the vessel's.

    NaN with a reason, in a table of one row: as in `chamber_level`; a distance not above zero.

    Source: hydrostatics.
    """
    headings: list[str | float] = ["vessel level, mm", "chamber level, mm", "error, mm", "error, percent"]
    whole = bool(points == np.floor(points)) and 2 <= points <= 101
    count = refuse(np.float64(points), not whole, "points must be a whole number from 2 to 101", UNUSABLE)
    distance = positive("connection_distance", connection_distance)
    full = chamber_level(distance, vessel_density, chamber_density, vapour_density)
    if np.isnan(full + count):
        return [headings, [np.nan] * len(headings)]
    vessel = np.linspace(0.0, 1.0, int(count)) * distance
    chamber = np.minimum(chamber_level(vessel, vessel_density, chamber_density, vapour_density), distance)
    error = chamber - vessel
    columns = (1e3 * vessel, 1e3 * chamber, 1e3 * error, 100 * error / distance)
    return [headings, *np.stack(columns, axis=1).tolist()]
