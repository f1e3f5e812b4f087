"""The float balance: how deep a guided float rides and what the indicator therefore shows.

Archimedes' principle for a closed float between a lower and an upper fluid (vapour is an upper
fluid like any other)::

    V(h) rho_lower + (V - V(h)) rho_upper = m

V(h) is the volume below the surface when the float's bottom is h below it. A float is a circular
cylinder, upright in its chamber; each end is flat, hemispherical, 2:1 semi-ellipsoidal or dished. It is
guided: tilt, capillary force, motion and heat are in `xlfuncs.gauge.worst`, which adds them.

Source of every relation here: Archimedes' principle (any statics textbook); volumes of cylinder,
spherical and ellipsoidal cap are elementary geometry.

Shapes: all arguments broadcast against each other. `ends` is one of `ALL_ENDS`, 'bottom/top', or an
array of them.
A value of NaN has a reason (`xlfuncs.gauge.reasons`): the float sinks, it hangs free in the upper
fluid, or an argument is out of its range.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final, NamedTuple, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.gauge import STANDARD_GRAVITY
from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse, scalar, span

Texts = str | NDArray[Any]

ENDS = ("flat", "hemispherical", "elliptical")
"""Shapes taken in turn where none is stated."""
DISHED = ("torispherical", "korbbogen")
"""Crown and knuckle in the proportions of DIN 28011 and DIN 28013."""
ALL_ENDS = (*ENDS, *DISHED)


_HALVINGS = 60
"""From the depth of an end to less than a double can tell apart."""

SINKS = "the float sinks: its mean density is not below lower_density; choose a lighter float"
HANGS_FREE = "the float hangs free in the upper fluid: its mean density is not above upper_density"


class _End(NamedTuple):
    """One end: depth along the axis [m], and crown and knuckle over the diameter (NaN: a spheroid)."""

    depth: Array
    crown: Array
    knuckle: Array

    @property
    def dished(self) -> NDArray[np.bool_]:
        return np.asarray(~np.isnan(self.crown))

    @property
    def any_dished(self) -> bool:
        crown: object = self.crown
        if type(crown) is np.float64:  # one shape for all floats
            return bool(crown == crown)
        return bool(self.dished.any())


class Shape(NamedTuple):
    """Radius, both ends and length over all [m], checked."""

    radius: Array
    bottom: _End
    top: _End
    length: Array

    @property
    def area(self) -> Array:
        return np.pi * self.radius**2

    @property
    def ends(self) -> Array:
        """Depth of both ends together [m]."""
        return self.bottom.depth + self.top.depth

    @property
    def volume(self) -> Array:
        below, above = _end_volume(self.bottom, self), _end_volume(self.top, self)
        if below is above:  # no volume: flat ends
            return self.area * self.length
        return self.area * (self.length - self.ends) + below + above


@cache
def _end_table() -> dict[str, tuple[float, float, float]]:
    """Depth, crown and knuckle over the diameter by the name of the shape."""
    table = load("ends")
    found = {name: (table["spheroid"][name], np.nan, np.nan) for name in ENDS}
    for name in DISHED:
        crown, knuckle = table["dished"][name]["crown"], table["dished"][name]["knuckle"]
        depth = crown - np.sqrt((crown - knuckle) ** 2 - (0.5 - knuckle) ** 2)
        found[name] = (float(depth), crown, knuckle)
    return found


def split_ends(ends: str) -> tuple[str, str]:
    """Shapes of bottom and top: 'flat/hemispherical', or one word for both.

    ValueError for a word that is no shape.

    >>> split_ends("flat/hemispherical"), split_ends("flat")
    (('flat', 'hemispherical'), ('flat', 'flat'))
    """
    bottom, _, top = (part.strip() for part in ends.partition("/"))
    for name in (bottom, top or bottom):
        if name not in _end_table():
            raise ValueError(f"ends is '{ends}': use one of {', '.join(ALL_ENDS)}, or bottom/top")
    return bottom, top or bottom


@cache
def _end_numbers(ends: str) -> tuple[tuple[Array, ...], tuple[Array, ...]]:
    """Depth, crown and knuckle of bottom and top over the diameter, for one shape of all floats."""
    bottom, top = (tuple(map(np.float64, _end_table()[name])) for name in split_ends(ends))
    return bottom, top  # type: ignore[return-value]


def _ends(diameter: Array, ends: Texts) -> tuple[_End, _End]:
    """Bottom and top of floats."""
    table = _end_table()
    if isinstance(ends, str):
        bottom, top = _end_numbers(ends)
        return _End(bottom[0] * diameter, *bottom[1:]), _End(top[0] * diameter, *top[1:])
    names = np.asarray(ends)
    if names.size and names.shape == np.shape(diameter) and (names == names.flat[0]).all():
        return _ends(diameter, str(names.flat[0]))
    number = np.full(names.shape, -1)
    pairs = [(name, name) for name in table]
    for at, name in enumerate(table):
        number[names == name] = at
        if (number >= 0).all():
            break
    else:
        for name in {str(name) for name in names[number < 0].flat}:
            number[names == name] = len(pairs)
            pairs.append(split_ends(name))
    rows = np.array([[table[pair[side]] for pair in pairs] for side in (0, 1)], dtype=np.float64)
    of_each = np.asarray(np.moveaxis(rows[:, number], -1, 1))
    return _End(*_scaled(of_each[0], diameter)), _End(*_scaled(of_each[1], diameter))


def _scaled(shares: NDArray[np.float64], diameter: Array) -> tuple[Array, Array, Array]:
    depth, crown, knuckle = shares
    return np.asarray(depth * diameter), np.asarray(crown), np.asarray(knuckle)


def ends_length(diameter: ArrayLike, ends: Texts) -> Array:
    """Depth of both ends together [m], which a length without the ends lacks.

    0 for flat ends, one diameter for hemispherical ones, half of it for 2:1 semi-ellipsoids (geometry).
    Shapes: the arguments broadcast against each other.
    """
    bottom, top = _ends(positive("diameter", diameter), ends)
    return np.asarray(bottom.depth + top.depth)


def shape_of(diameter: ArrayLike, length: ArrayLike, ends: Texts) -> Shape:
    across = positive("diameter", diameter)
    overall = positive("length", length)
    bottom, top = _ends(across, ends)
    overall = refuse(
        overall,
        overall < (bottom.depth + top.depth) * (1 - 1e-12),
        "length is over all and must be at least the depth of both ends (one diameter when hemispherical)",
        UNUSABLE,
    )
    return Shape(across / 2, bottom, top, overall)


def _knuckle_integral(u: Array, offset: Array, knuckle: Array) -> Array:
    """Integral of (offset + sqrt(knuckle^2 - u^2))^2 over u, for |u| <= knuckle."""
    root = np.sqrt(np.maximum(knuckle**2 - u**2, 0.0))
    turn = np.arcsin(np.clip(u / knuckle, -1.0, 1.0))
    return np.asarray(offset**2 * u + offset * (u * root + knuckle**2 * turn) + knuckle**2 * u - u**3 / 3)


def _dish(depth: Array, end: _End, shape: Shape) -> Array:
    """Volume of the lowest `depth` of a dished end: crown, then knuckle (a torus); NaN for others."""
    across = 2 * shape.radius
    z, whole = depth / across, end.depth / across
    offset = 0.5 - end.knuckle
    tilt = np.arcsin(offset / (end.crown - end.knuckle))
    edge = end.crown * (1 - np.cos(tilt))
    in_crown = np.minimum(z, edge)
    crown = np.pi * in_crown**2 * (end.crown - in_crown / 3)
    u = np.maximum(z, edge) - whole
    ring = _knuckle_integral(u, offset, end.knuckle) - _knuckle_integral(edge - whole, offset, end.knuckle)
    return np.asarray((crown + np.pi * ring) * across**3)


def _spheroid(depth: Array, end: _End, shape: Shape) -> Array:
    """Volume of the lowest `depth` of a spherical cap, stretched along the axis."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(end.depth > 0, depth / end.depth, 0.0)
    return np.asarray(shape.area * end.depth * share**2 * (1 - share / 3))


def _cap_volume(depth: Array, end: _End, shape: Shape) -> Array:
    """Volume of the lowest `depth` of an end."""
    round_ = _spheroid(depth, end, shape)
    return np.where(end.dished, _dish(depth, end, shape), round_) if end.any_dished else round_


_NO_VOLUME: Final = cast(Array, np.float64(0.0))


def _end_volume(end: _End, shape: Shape) -> Array:
    """Volume of a whole end: 2/3 of the cylinder around it for a spheroid."""
    depth: object = end.depth
    if type(depth) is np.float64 and depth == 0.0:  # flat
        return _NO_VOLUME
    round_ = 2 / 3 * shape.area * end.depth
    return np.where(end.dished, _dish(end.depth, end, shape), round_) if end.any_dished else round_


def _cap_depth(volume: Array, end: _End, shape: Shape) -> Array:
    """Inverse of `_cap_volume`."""
    round_ = _spheroid_depth(volume, end, shape)
    if not end.any_dished:
        return round_
    low, high = np.zeros_like(round_), np.broadcast_to(end.depth, round_.shape).copy()
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        little = _dish(middle, end, shape) < volume
        low, high = np.where(little, middle, low), np.where(little, high, middle)
    return np.where(end.dished, (low + high) / 2, round_)


def _spheroid_depth(volume: Array, end: _End, shape: Shape) -> Array:
    """Inverse of `_spheroid`: s^2 (1 - s/3) = y for s = depth / end, in closed form."""
    with np.errstate(invalid="ignore", divide="ignore"):
        y = np.where(end.depth > 0, volume / (shape.area * end.depth), 0.0)
    # The root of s^3 - 3 s^2 + 3 y = 0 between 0 and 1, written with the half angle, which keeps its digits
    # for a nearly empty cap: cos(3 t) = 1 - 3 y / 2, s = 1 - 2 cos(t + pi/3).
    t = 2 / 3 * np.arcsin(np.sqrt(np.clip(y, 0.0, 2 / 3) * 0.75))
    s = 2 * np.sin(t / 2) ** 2 + np.sqrt(3.0) * np.sin(t)
    return np.asarray(s * end.depth)


def volume(diameter: ArrayLike, length: ArrayLike, ends: Texts = "flat") -> Array:
    """Volume of the float [m3].

    V = pi D^2/4 (L - c_bottom - c_top) + both ends, with pi D^3/12 for a hemisphere (c = D/2), pi D^3/24
    for a 2:1 semi-ellipsoid (c = D/4); dished ends by crown and knuckle. diameter, length over all [m].
    """
    return scalar(np.asarray(shape_of(diameter, length, ends).volume))


def immersed_volume(
    immersion: ArrayLike, diameter: ArrayLike, length: ArrayLike, ends: Texts = "flat"
) -> Array:
    """Volume of the lowest `immersion` [m] of the float [m3], for 0 <= immersion <= length; else NaN."""
    shape = shape_of(diameter, length, ends)
    depth = np.asarray(immersion, dtype=np.float64)
    depth = refuse(
        depth, (depth < 0) | (depth > shape.length), "immersion must lie between 0 and the length", UNUSABLE
    )
    return scalar(volume_under(depth, shape))


def volume_under(depth: Array, shape: Shape) -> Array:
    """Volume of the lowest `depth` of the float, for 0 <= depth <= length."""
    low, high = shape.bottom, shape.top
    bottom = _cap_volume(np.minimum(depth, low.depth), low, shape)
    straight = shape.area * np.clip(depth - low.depth, 0.0, np.maximum(shape.length - shape.ends, 0.0))
    dry_top = np.minimum(shape.length - depth, high.depth)
    wet_top = _end_volume(high, shape) - _cap_volume(dry_top, high, shape)
    return np.asarray(bottom + straight + np.where(dry_top < high.depth, wet_top, 0.0))


def depth_of(volume_below: Array, shape: Shape) -> Array:
    """Inverse of `immersed_volume`, for volumes from 0 to the float's own."""
    low, high = _end_volume(shape.bottom, shape), _end_volume(shape.top, shape)
    if low is high or (np.ndim(low) == np.ndim(high) == 0 and low == high == 0):  # flat ends
        return volume_below / shape.area
    above = shape.volume - volume_below
    in_bottom, in_top = volume_below < low, above < high
    straight = shape.bottom.depth + (volume_below - low) / shape.area
    if not (in_bottom | in_top).any():
        return straight
    bottom = _cap_depth(np.minimum(volume_below, low), shape.bottom, shape)
    top = shape.length - _cap_depth(np.minimum(above, high), shape.top, shape)
    return scalar(np.where(in_bottom, bottom, np.where(in_top, top, straight)))


def waterline_radius(depth: Array, shape: Shape) -> Array:
    """Radius of the float's section at a depth [m] above its bottom."""
    dry = np.maximum(shape.length - depth, 0.0)
    below = _section(np.maximum(depth, 0.0), shape.bottom, shape)
    return np.where(dry < shape.top.depth, _section(dry, shape.top, shape), below)


def _section(depth: Array, end: _End, shape: Shape) -> Array:
    """Radius of an end's section at a depth from its tip; the float's own beyond the end."""
    with np.errstate(invalid="ignore", divide="ignore"):
        s = np.where(end.depth > 0, depth / end.depth, 1.0)
    found = shape.radius * np.where(s < 1, np.sqrt(np.maximum(s * (2 - s), 0.0)), 1.0)
    if not end.any_dished:
        return np.asarray(found)
    across = 2 * shape.radius
    z, whole = depth / across, end.depth / across
    edge = end.crown * (1 - np.cos(np.arcsin((0.5 - end.knuckle) / (end.crown - end.knuckle))))
    crown = np.sqrt(np.maximum(z * (2 * end.crown - z), 0.0))
    ring = 0.5 - end.knuckle + np.sqrt(np.maximum(end.knuckle**2 - (z - whole) ** 2, 0.0))
    dish = across * np.where(z < edge, crown, np.where(z < whole, ring, 0.5))
    return np.where(end.dished, dish, found)


def volume_displaced(
    mass: ArrayLike, shape: Shape, lower_density: ArrayLike, upper_density: ArrayLike
) -> tuple[Array, Array, Array]:
    """Volume below the surface that carries the float (NaN where it cannot ride there), both densities."""
    volume = shape.volume
    weight = positive("mass", mass)
    lower = positive("lower_density", lower_density)
    upper = not_negative("upper_density", upper_density)
    lower = refuse(lower, upper >= lower, "upper_density must be below lower_density", UNUSABLE)
    with np.errstate(invalid="ignore", divide="ignore"):
        borne, density = upper * volume, _less(lower, upper)
        below = _less(weight, borne) / density
    if np.ndim(below) and np.ndim(volume) == 0 and below.size:  # fewer passes over a long array
        low, high = _span_below(weight, borne, density, below)
        if low > 0 and high < volume:
            return below, lower, upper
    below = refuse(below, below >= volume, SINKS)
    below = refuse(below, below <= 0, HANGS_FREE)
    return below, lower, upper


def _span_below(weight: Array, borne: Array, density: Array, below: Array) -> tuple[float, float]:
    """Least and greatest volume below the surface; in one fluid that of the lightest and heaviest float."""
    if np.ndim(borne) or np.ndim(density):
        return span(below)
    low, high = (float((bound - borne) / density) for bound in span(weight))
    return low, high


def _less(value: Array, by: Array) -> Array:
    """value - by, without a pass over an array where there is nothing to take off."""
    return value if not np.ndim(by) and by == 0 else value - by


def immersion(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Depth of the float's bottom below the surface or interface [m].

    Solves V(h) = (m - rho_u V) / (rho_l - rho_u) for h, in closed form for every shape of end.

    mass [kg], diameter and length over all [m], densities [kg/m3]. NaN where the float sinks
    (mean density not below the lower fluid's) or hangs free (not above the upper fluid's).
    """
    shape = shape_of(diameter, length, ends)
    below, _, _ = volume_displaced(mass, shape, lower_density, upper_density)
    return depth_of(below, shape)


def ride_height(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Height of the float's top above the surface [m]: length - immersion. Arguments as `immersion`."""
    return np.asarray(length, dtype=np.float64) - immersion(
        mass, diameter, length, lower_density, upper_density, ends
    )


def magnet_inside(magnet_height: ArrayLike, length: ArrayLike) -> Array:
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
    ends: Texts = "flat",
) -> Array:
    """Indicated minus true level [m]: magnet_height - immersion. Positive reads high.

    The indicator follows the magnet plane, magnet_height [m] above the float's bottom.
    Other arguments as `immersion`.
    """
    plane = magnet_inside(magnet_height, length)
    return plane - immersion(mass, diameter, length, lower_density, upper_density, ends)


def float_density(mass: ArrayLike, diameter: ArrayLike, length: ArrayLike, ends: Texts = "flat") -> Array:
    """Mean density of the float [kg/m3]: mass over volume. It floats where this is below the fluid's."""
    return positive("mass", mass) / volume(diameter, length, ends)


def magnet_height(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    design_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Magnet plane above the float's bottom [m] for which the offset at design_density [kg/m3] is zero."""
    return immersion(mass, diameter, length, design_density, upper_density, ends)


def implied_density(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    magnet_height: ArrayLike,
    reading_offset: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Lower-fluid density [kg/m3] that explains an observed reading offset [m].

    The inverse of `reading_offset`, in closed form: with h = magnet_height - reading_offset,
    rho_l = rho_u + (m - rho_u V) / V(h). NaN where h is not inside the float.
    """
    shape = shape_of(diameter, length, ends)
    plane = magnet_inside(magnet_height, length)
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
    surplus = refuse(surplus, surplus <= 0, HANGS_FREE)
    return scalar(upper + surplus / immersed_volume(depth, diameter, length, ends))


def density_window(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    magnet_height: ArrayLike,
    tolerance: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> tuple[Array, Array]:
    """Lowest and highest lower-fluid density [kg/m3] for which the offset stays within +-tolerance [m].

    A lighter fluid makes the float ride deeper and read low, so the lowest density is the one with
    offset -tolerance, limited to the float's mean density (below which it sinks: the window then
    starts just above the value given). The highest is infinite where the magnet plane is no higher
    than the tolerance above the bottom.
    """
    shape = shape_of(diameter, length, ends)
    allowed = positive("tolerance", tolerance)
    plane = magnet_inside(magnet_height, length)
    weight = positive("mass", mass)
    upper = not_negative("upper_density", upper_density)
    surplus = weight - upper * shape.volume
    surplus = refuse(surplus, surplus <= 0, HANGS_FREE)
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
    ends: Texts = "flat",
) -> Array:
    """Share of the float's volume above the surface, 0 to 1: 1 - V(h)/V. Arguments as `immersion`."""
    shape = shape_of(diameter, length, ends)
    below, _, _ = volume_displaced(mass, shape, lower_density, upper_density)
    return 1 - below / shape.volume


def net_buoyancy(
    mass: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    lower_density: ArrayLike,
    upper_density: ArrayLike = 0.0,
    ends: Texts = "flat",
) -> Array:
    """Force that pushing the float wholly under would take [N]: (rho_l - rho_u) (V - V(h)) g.

    This is what is left to overcome friction, deposits and magnetic drag. Arguments as `immersion`.
    """
    shape = shape_of(diameter, length, ends)
    below, lower, upper = volume_displaced(mass, shape, lower_density, upper_density)
    return (lower - upper) * (shape.volume - below) * STANDARD_GRAVITY


def stiffness(diameter: ArrayLike, lower_density: ArrayLike, upper_density: ArrayLike = 0.0) -> Array:
    """Restoring force per metre of displacement [N/m]: pi D^2/4 (rho_l - rho_u) g.

    Holds while the surface is at the straight part of the float.
    """
    across = positive("diameter", diameter)
    lower = positive("lower_density", lower_density)
    upper = not_negative("upper_density", upper_density)
    lower = refuse(lower, upper >= lower, "upper_density must be below lower_density", UNUSABLE)
    return np.pi / 4 * across**2 * (lower - upper) * STANDARD_GRAVITY
