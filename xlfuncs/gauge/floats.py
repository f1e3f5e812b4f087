"""The float balance: how deep a guided float rides and what the indicator therefore shows.

Archimedes' principle for a closed float between a lower and an upper fluid (vapour is an upper
fluid like any other)::

    V(h) rho_lower + (V - V(h)) rho_upper = m

V(h) is the volume below the surface when the float's bottom is h below it. A float is a circular
cylinder, upright in its chamber, with both ends flat, hemispherical or 2:1 semi-ellipsoidal. It is
guided, so that tilt is not modelled; meniscus and wetting are left out.

Source of every relation here: Archimedes' principle (any statics textbook); volumes of cylinder,
spherical and ellipsoidal cap are elementary geometry.

Shapes: all arguments broadcast against each other. `ends` is one of `ENDS`, or an array of them.
A value of NaN has a reason (`xlfuncs.gauge.reasons`): the float sinks, it hangs free in the upper
fluid, or an argument is out of its range.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.gauge import STANDARD_GRAVITY
from xlfuncs.gauge._reasons import UNUSABLE, Floats, not_negative, positive, refuse, scalar

ENDS = ("flat", "hemispherical", "elliptical")

_END_DEPTH = {"flat": 0.0, "hemispherical": 0.5, "elliptical": 0.25}
"""Axial depth of one end as a share of the diameter; 2:1 semi-ellipsoid: half the radius."""


_SINKS = "the float sinks: its mean density is not below lower_density; choose a lighter float"
_FREE = "the float hangs free in the upper fluid: its mean density is not above upper_density"


class _Shape(NamedTuple):
    """Radius, depth of one end and length over all [m], checked."""

    radius: Floats
    end: Floats
    length: Floats

    @property
    def area(self) -> Floats:
        return np.pi * self.radius**2

    @property
    def volume(self) -> Floats:
        # an end of depth c holds 2/3 of the cylinder around it
        return self.area * (self.length - 2 / 3 * self.end)


def _end_share(ends: str | NDArray[Any]) -> Floats:
    if isinstance(ends, str):
        share = _END_DEPTH.get(ends)
        if share is None:
            raise ValueError(f"ends is '{ends}': use one of {', '.join(ENDS)}")
        return np.float64(share)  # type: ignore[return-value]
    names = np.asarray(ends)
    shares = np.full(names.shape, np.nan)
    for name, share in _END_DEPTH.items():
        shares[names == name] = share
    if np.isnan(shares).any():
        wrong = names[np.isnan(shares)].flat[0]
        raise ValueError(f"ends is '{wrong}': use one of {', '.join(ENDS)}")
    return shares


def ends_length(diameter: ArrayLike, ends: str | NDArray[Any]) -> Floats:
    """Depth of both ends together [m], which a length without the ends lacks.

    0 for flat ends, one diameter for hemispherical ones, half of it for 2:1 semi-ellipsoids (geometry).
    Shapes: the arguments broadcast against each other.
    """
    return np.asarray(2 * _end_share(ends) * positive("diameter", diameter))


def _shape(diameter: ArrayLike, length: ArrayLike, ends: str | NDArray[Any]) -> _Shape:
    across = positive("diameter", diameter)
    overall = positive("length", length)
    end = _end_share(ends) * across
    overall = refuse(
        overall,
        overall < 2 * end * (1 - 1e-12),
        "length is over all and must be at least the depth of both ends (one diameter when hemispherical)",
        UNUSABLE,
    )
    return _Shape(across / 2, end, overall)


def _cap_volume(depth: Floats, shape: _Shape) -> Floats:
    """Volume of the lowest `depth` of an end: a spherical cap, stretched along the axis."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(shape.end > 0, depth / shape.end, 0.0)
    return np.asarray(shape.area * shape.end * share**2 * (1 - share / 3))


def _cap_depth(volume: Floats, shape: _Shape) -> Floats:
    """Inverse of `_cap_volume`: s^2 (1 - s/3) = y for s = depth / end, in closed form."""
    with np.errstate(invalid="ignore", divide="ignore"):
        y = np.where(shape.end > 0, volume / (shape.area * shape.end), 0.0)
    # The root of s^3 - 3 s^2 + 3 y = 0 between 0 and 1, written with the half angle, which keeps its digits
    # for a nearly empty cap: cos(3 t) = 1 - 3 y / 2, s = 1 - 2 cos(t + pi/3).
    t = 2 / 3 * np.arcsin(np.sqrt(np.clip(y, 0.0, 2 / 3) * 0.75))
    s = 2 * np.sin(t / 2) ** 2 + np.sqrt(3.0) * np.sin(t)
    return np.asarray(s * shape.end)


def volume(diameter: ArrayLike, length: ArrayLike, ends: str | NDArray[Any] = "flat") -> Floats:
    """Volume of the float [m3].

    V = pi D^2/4 (L - 2 c) + 2 V_end, with V_end = pi D^3/12 for a hemisphere (c = D/2), pi D^3/24
    for a 2:1 semi-ellipsoid (c = D/4). diameter, length over all [m].
    """
    return _shape(diameter, length, ends).volume


def immersed_volume(
    immersion: ArrayLike, diameter: ArrayLike, length: ArrayLike, ends: str | NDArray[Any] = "flat"
) -> Floats:
    """Volume of the lowest `immersion` [m] of the float [m3], for 0 <= immersion <= length; else NaN."""
    shape = _shape(diameter, length, ends)
    depth = np.asarray(immersion, dtype=np.float64)
    depth = refuse(
        depth, (depth < 0) | (depth > shape.length), "immersion must lie between 0 and the length", UNUSABLE
    )
    bottom = _cap_volume(np.minimum(depth, shape.end), shape)
    straight = shape.area * np.clip(depth - shape.end, 0.0, np.maximum(shape.length - 2 * shape.end, 0.0))
    dry_top = np.minimum(shape.length - depth, shape.end)
    top = np.where(dry_top < shape.end, 2 / 3 * shape.area * shape.end - _cap_volume(dry_top, shape), 0.0)
    return scalar(bottom + straight + top)


def _depth(volume_below: Floats, shape: _Shape) -> Floats:
    """Inverse of `immersed_volume`, for volumes from 0 to the float's own."""
    end_volume = 2 / 3 * shape.area * shape.end
    above = shape.volume - volume_below
    in_bottom = volume_below < end_volume
    in_top = above < end_volume
    straight = shape.end + (volume_below - end_volume) / shape.area
    if not (np.any(in_bottom) or np.any(in_top)):
        return straight
    bottom = _cap_depth(np.minimum(volume_below, end_volume), shape)
    top = shape.length - _cap_depth(np.minimum(above, end_volume), shape)
    return scalar(np.where(in_bottom, bottom, np.where(in_top, top, straight)))


def _displaced(
    mass: ArrayLike, shape: _Shape, lower_density: ArrayLike, upper_density: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Volume below the surface that carries the float (NaN where it cannot ride there), both densities."""
    weight = positive("mass", mass)
    lower = positive("lower_density", lower_density)
    upper = not_negative("upper_density", upper_density)
    lower = refuse(lower, upper >= lower, "upper_density must be below lower_density", UNUSABLE)
    with np.errstate(invalid="ignore", divide="ignore"):
        below = (weight - upper * shape.volume) / (lower - upper)
    below = refuse(below, below >= shape.volume, _SINKS)
    below = refuse(below, below <= 0, _FREE)
    return below, lower, upper


def immersion(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Depth of the float's bottom below the surface or interface [m].

    Solves V(h) = (m - rho_u V) / (rho_l - rho_u) for h, in closed form for every shape of end.

    mass [kg], diameter and length over all [m], densities [kg/m3]. NaN where the float sinks
    (mean density not below the lower fluid's) or hangs free (not above the upper fluid's).
    """
    shape = _shape(diameter, length, ends)
    below, _, _ = _displaced(mass, shape, lower_density, upper_density)
    return _depth(below, shape)


def ride_height(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Height of the float's top above the surface [m]: length - immersion. Arguments as `immersion`."""
    return np.asarray(length, dtype=np.float64) - immersion(
        mass, diameter, length, lower_density, upper_density, ends
    )


def _magnet_inside(magnet_height: ArrayLike, length: ArrayLike) -> Floats:
    plane = not_negative("magnet_height", magnet_height)
    outside = plane > np.asarray(length, dtype=np.float64)
    return refuse(
        plane, outside, "magnet_height is above the float's bottom and must not exceed the length", UNUSABLE
    )


def reading_offset(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    magnet_height: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Indicated minus true level [m]: magnet_height - immersion. Positive reads high.

    The indicator follows the magnet plane, magnet_height [m] above the float's bottom.
    Other arguments as `immersion`.
    """
    plane = _magnet_inside(magnet_height, length)
    return plane - immersion(mass, diameter, length, lower_density, upper_density, ends)


def float_density(
    mass: ArrayLike, diameter: ArrayLike, length: ArrayLike, ends: str | NDArray[Any] = "flat"
) -> Floats:
    """Mean density of the float [kg/m3]: mass over volume. It floats where this is below the fluid's."""
    return positive("mass", mass) / volume(diameter, length, ends)


def magnet_height(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    design_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Magnet plane above the float's bottom [m] for which the offset at design_density [kg/m3] is zero."""
    return immersion(mass, diameter, length, design_density, upper_density, ends)


def implied_density(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    magnet_height: ArrayLike,
    reading_offset: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Lower-fluid density [kg/m3] that explains an observed reading offset [m].

    The inverse of `reading_offset`, in closed form: with h = magnet_height - reading_offset,
    rho_l = rho_u + (m - rho_u V) / V(h). NaN where h is not inside the float.
    """
    shape = _shape(diameter, length, ends)
    plane = _magnet_inside(magnet_height, length)
    depth = plane - np.asarray(reading_offset, dtype=np.float64)
    outside = (depth <= 0) | (depth >= shape.length)
    depth = refuse(
        depth,
        outside,
        "reading_offset puts the surface outside the float, so no density explains it: check the float",
    )
    weight = positive("mass", mass)
    upper = not_negative("upper_density", upper_density)
    surplus = weight - upper * shape.volume
    surplus = refuse(surplus, surplus <= 0, _FREE)
    return scalar(upper + surplus / immersed_volume(depth, diameter, length, ends))


def density_window(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    magnet_height: ArrayLike,
    tolerance: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> tuple[Floats, Floats]:
    """Lowest and highest lower-fluid density [kg/m3] for which the offset stays within +-tolerance [m].

    A lighter fluid makes the float ride deeper and read low, so the lowest density is the one with
    offset -tolerance, limited to the float's mean density (below which it sinks: the window then
    starts just above the value given). The highest is infinite where the magnet plane is no higher
    than the tolerance above the bottom.
    """
    shape = _shape(diameter, length, ends)
    allowed = positive("tolerance", tolerance)
    plane = _magnet_inside(magnet_height, length)
    weight = positive("mass", mass)
    upper = not_negative("upper_density", upper_density)
    surplus = weight - upper * shape.volume
    surplus = refuse(surplus, surplus <= 0, _FREE)
    deepest = np.minimum(plane + allowed, shape.length)
    shallowest = np.maximum(plane - allowed, 0.0)
    with np.errstate(divide="ignore"):
        lowest = upper + surplus / immersed_volume(deepest, diameter, length, ends)
        highest = upper + surplus / immersed_volume(shallowest, diameter, length, ends)
    return scalar(lowest), scalar(highest)


def reserve(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Share of the float's volume above the surface, 0 to 1: 1 - V(h)/V. Arguments as `immersion`."""
    shape = _shape(diameter, length, ends)
    below, _, _ = _displaced(mass, shape, lower_density, upper_density)
    return 1 - below / shape.volume


def net_buoyancy(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: str | NDArray[Any] = "flat",
) -> Floats:
    """Force that pushing the float wholly under would take [N]: (rho_l - rho_u) (V - V(h)) g.

    This is what is left to overcome friction, deposits and magnetic drag. Arguments as `immersion`.
    """
    shape = _shape(diameter, length, ends)
    below, lower, upper = _displaced(mass, shape, lower_density, upper_density)
    return (lower - upper) * (shape.volume - below) * STANDARD_GRAVITY


def stiffness(diameter: ArrayLike, lower_density: ArrayLike, upper_density: ArrayLike = 0.0) -> Floats:
    """Restoring force per metre of displacement [N/m]: pi D^2/4 (rho_l - rho_u) g.

    Holds while the surface is at the straight part of the float.
    """
    across = positive("diameter", diameter)
    lower = positive("lower_density", lower_density)
    upper = not_negative("upper_density", upper_density)
    lower = refuse(lower, upper >= lower, "upper_density must be below lower_density", UNUSABLE)
    return np.pi / 4 * across**2 * (lower - upper) * STANDARD_GRAVITY
