"""How far a float's magnet reaches, and how fast it may pass an indicator that has to turn.

At some distance a magnet is a dipole: its field falls with the third power of the distance, in every
direction. Where the flux density at one distance is known (measured, or stated by the maker), that at another
follows, and so does the largest distance at which an indicator still gets the flux that it needs.

An indicator beside the path of the magnet gets the component that turns it while the magnet is near. With
u the distance along the path over the gap, and the flux at u = 0 as 1::

    magnetised along the path      (1 - 2 u^2)/(1 + u^2)^(5/2)
    magnetised across the path     (1 - u^2/2)/(1 + u^2)^(5/2)

The length of path on which this is not below what is needed, over the time of turning, is the highest speed.

Holds from about twice the magnet's largest size away; iron between or behind changes the field. Fluxes in
any unit, the same for all.

Source: dipole field (textbooks of electrodynamics).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge._reasons import UNUSABLE, Array, positive, refuse, scalar
from xlfuncs.gauge.floats import Texts

AXES = ("along", "across")
"""How the magnet is magnetised: along its path, or towards the indicator."""
_HALVINGS = 60

OUT_OF_REACH = "the magnet's flux at that distance is below what the indicator needs: it does not turn"


def flux_at(flux: ArrayLike, flux_distance: ArrayLike, distance: ArrayLike) -> Array:
    """Flux density of the magnet at a distance, from that at another: flux (flux_distance/distance)^3.

    Distances [m] from the middle of the magnet, in the same direction.

    >>> float(round(flux_at(4.0, 0.030, 0.045), 4))
    1.1852
    """
    known, near = positive("flux", flux), positive("flux_distance", flux_distance)
    return scalar(np.asarray(known * (near / positive("distance", distance)) ** 3))


def magnet_reach(flux: ArrayLike, flux_distance: ArrayLike, needed_flux: ArrayLike) -> Array:
    """Largest distance from the magnet's middle at which an indicator gets the flux that it needs [m].

    flux_distance (flux/needed_flux)^(1/3).

    >>> float(round(magnet_reach(4.0, 0.030, 1.0), 6))
    0.047622
    """
    known, near = positive("flux", flux), positive("flux_distance", flux_distance)
    return scalar(np.asarray(near * np.cbrt(known / positive("needed_flux", needed_flux))))


def follow_speed(
    flux: ArrayLike,
    flux_distance: ArrayLike,
    needed_flux: ArrayLike,
    distance: ArrayLike,
    turning_time: ArrayLike,
    magnetised: Texts = "along",
) -> Array:
    """Highest speed of the float at which an indicator at `distance` [m] still turns [m/s].

    turning_time [s] is how long the indicator must have its flux. NaN with the reason: the indicator is out
    of reach even of a magnet that stands still.

    >>> float(round(follow_speed(4.0, 0.030, 1.0, 0.035, 0.020, "across"), 4))
    2.0479
    """
    gap, time = positive("distance", distance), positive("turning_time", turning_time)
    share = positive("needed_flux", needed_flux) / flux_at(flux, flux_distance, gap)
    share = refuse(share, share > 1, OUT_OF_REACH)
    return scalar(np.asarray(2 * _half_path(share, magnetised) * gap / time))


def _half_path(share: Array, magnetised: Texts) -> Array:
    """Distance along the path over the gap up to which the field has a share of its greatest."""
    names = np.asarray(magnetised, dtype=object)
    known = np.isin(names, AXES)
    if not known.all():
        raise ValueError(f"magnetised is '{names[~known].flat[0]}': use one of {', '.join(AXES)}")
    slope = np.where(names == "along", 2.0, 0.5)
    share, slope = np.broadcast_arrays(np.asarray(share, dtype=np.float64), slope)
    low, high = np.zeros(share.shape), 1 / np.sqrt(slope)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        enough = (1 - slope * middle**2) / (1 + middle**2) ** 2.5 > share
        low, high = np.where(enough, middle, low), np.where(enough, high, middle)
    return np.asarray(np.where(np.isnan(share), np.nan, (low + high) / 2))


def lateral_play(diameter: ArrayLike, chamber_bore: ArrayLike) -> Array:
    """How far the float's axis can stand beside that of its chamber [m]: half of what the bore leaves."""
    across, bore = positive("diameter", diameter), positive("chamber_bore", chamber_bore)
    bore = refuse(bore, bore <= across, "chamber_bore must be above the float's diameter", UNUSABLE)
    return scalar(np.asarray((bore - across) / 2))
