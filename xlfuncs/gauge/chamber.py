"""Level in an external chamber against the level in its vessel, when their liquids differ in density.

Both columns stand between the same two connections, at which their pressures are equal; above the level of
the lower fluid stands an upper one, vapour or a lighter liquid. With heights above the lower connection::

    h_chamber (rho_chamber - rho_upper) = h_vessel (rho_vessel - rho_upper)

and a term for the whole column where the upper fluids differ, too. Hydrostatics. It holds while the lower
connection is covered, the upper one is above both levels, both valves are open and nothing flows. Densities
are taken as uniform along each column.

Shapes: all arguments broadcast. NaN has a reason.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, not_negative, positive, refuse, scalar


def excesses(
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    upper_density: ArrayLike,
    chamber_upper_density: ArrayLike | None,
) -> tuple[Array, Array, Array]:
    """Lower over upper density in vessel and chamber, and upper in vessel over upper in chamber [kg/m3]."""
    upper = not_negative("upper_density", upper_density)
    beside = np.asarray(np.nan if chamber_upper_density is None else chamber_upper_density, dtype=np.float64)
    beside = not_negative("chamber_upper_density", np.where(np.isnan(beside), upper, beside))
    in_vessel = positive("vessel_density", vessel_density) - upper
    in_chamber = positive("chamber_density", chamber_density) - beside
    return (
        refuse(in_vessel, in_vessel <= 0, "vessel_density must be above upper_density", UNUSABLE),
        refuse(
            in_chamber,
            in_chamber <= 0,
            "chamber_density must be above the density of the upper fluid in the chamber",
            UNUSABLE,
        ),
        np.asarray(upper - beside),
    )


def column_beside(difference: Array, connection_distance: ArrayLike | None) -> Array:
    """Difference of the upper fluids times the height of the column in which it counts [kg/m2]."""
    height = np.asarray(np.nan if connection_distance is None else connection_distance, dtype=np.float64)
    absent = np.isnan(height) & (np.abs(difference) > 0)
    height = np.where(np.isnan(height), 0.0, positive("connection_distance", height))
    height = refuse(
        height,
        absent,
        "connection_distance is missing: upper fluids that differ count over its whole height",
        MISSING,
    )
    return np.asarray(difference * height)


_OVERFLOWS = "the level in the chamber would stand above its upper connection: it overflows into the vessel"
_FILLS = (
    "the level in the vessel stands above the upper connection: liquid enters the chamber there, and fills it"
)
_EMPTIES = "the level in the chamber would stand below its lower connection: the chamber does not follow"

_EMPTIED = "the level in the vessel would stand below the lower connection: the chamber does not follow it"


def _below(level: Array, connection_distance: ArrayLike | None, why: str) -> Array:
    """A level, refused where it is above the upper connection."""
    if connection_distance is None:
        return level
    return refuse(level, level > np.asarray(connection_distance, dtype=np.float64) * (1 + 1e-9), why)


def chamber_level(
    vessel_level: ArrayLike,
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    chamber_upper_density: ArrayLike | None = None,
    connection_distance: ArrayLike | None = None,
) -> Array:
    """Level in the chamber [m] when the vessel's is `vessel_level` [m], both above the lower connection.

    h_c (rho_c - rho_uc) = h_v (rho_l - rho_u) + H (rho_u - rho_uc). Densities [kg/m3] of the lower fluid in
    vessel and chamber, of the upper fluid in vessel and chamber (None or NaN: the same); the connection
    distance H [m] is needed where the upper fluids differ, as the oils over an interface do.

    NaN with a reason: a level below the lower connection (the chamber does not follow it) or, where the
    distance is stated, above the upper one; a lower fluid not heavier than the upper.

    Source: hydrostatics.

    >>> float(round(chamber_level(0.5, 798.3678, 960.1703, 20.08995), 6))
    0.413942
    """
    in_vessel, in_chamber, apart = excesses(
        vessel_density, chamber_density, upper_density, chamber_upper_density
    )
    height = _below(not_negative("vessel_level", vessel_level), connection_distance, _FILLS)
    found = (height * in_vessel + column_beside(apart, connection_distance)) / in_chamber
    found = _below(refuse(found, found < -1e-9, _EMPTIES), connection_distance, _OVERFLOWS)
    return scalar(np.asarray(found))


def vessel_level(
    chamber_level: ArrayLike,
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    chamber_upper_density: ArrayLike | None = None,
    connection_distance: ArrayLike | None = None,
) -> Array:
    """Level in the vessel [m] that a level in the chamber [m] stands for: inverse of `chamber_level`.

    Arguments, validity and source as there.

    >>> float(round(vessel_level(0.413942, 798.3678, 960.1703, 20.08995), 6))
    0.5
    """
    in_vessel, in_chamber, apart = excesses(
        vessel_density, chamber_density, upper_density, chamber_upper_density
    )
    height = _below(not_negative("chamber_level", chamber_level), connection_distance, _OVERFLOWS)
    found = (height * in_chamber - column_beside(apart, connection_distance)) / in_vessel
    found = _below(refuse(found, found < -1e-9, _EMPTIED), connection_distance, _FILLS)
    return scalar(np.asarray(found))


def chamber_error(
    vessel_level: ArrayLike,
    vessel_density: ArrayLike,
    chamber_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    chamber_upper_density: ArrayLike | None = None,
    connection_distance: ArrayLike | None = None,
) -> Array:
    """Chamber level minus vessel level [m]; positive: the chamber stands too high.

    Arguments, validity and source as in `chamber_level`.

    >>> float(round(chamber_error(0.5, 798.3678, 960.1703, 20.08995), 6))
    -0.086058
    """
    found = chamber_level(
        vessel_level,
        vessel_density,
        chamber_density,
        upper_density,
        chamber_upper_density,
        connection_distance,
    )
    return scalar(np.asarray(found - np.asarray(vessel_level, dtype=np.float64)))


def chamber_table(
    connection_distance: float,
    vessel_density: float,
    chamber_density: float,
    upper_density: float = 0.0,
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
    full = chamber_level(distance, vessel_density, chamber_density, upper_density)
    if np.isnan(full + count):
        return [headings, [np.nan] * len(headings)]
    vessel = np.linspace(0.0, 1.0, int(count)) * distance
    chamber = np.minimum(chamber_level(vessel, vessel_density, chamber_density, upper_density), distance)
    error = chamber - vessel
    columns = (1e3 * vessel, 1e3 * chamber, 1e3 * error, 100 * error / distance)
    return [headings, *np.stack(columns, axis=1).tolist()]
