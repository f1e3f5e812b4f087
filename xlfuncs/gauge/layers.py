"""A float in a column of several liquids: thin layers, rag layers, emulsions.

Archimedes' principle over a profile of densities::

    integral of rho(z) A(z) dz over the float = m

with the float's cross-section A(z). Between the lowest and the highest fluid lie layers of stated thickness,
each of one density or with a density that falls along it; all that is heavier lies below. The volumes are
those of `xlfuncs.gauge.floats`; a layer whose density falls is cut into slices of one density.

Source: Archimedes' principle (statics textbooks).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse, scalar
from xlfuncs.gauge.floats import (
    HANGS_FREE,
    SINKS,
    Shape,
    immersion,
    magnet_inside,
    shape_of,
    volume_under,
)
from xlfuncs.gauge.model import Float, Fluids, Layer

_SLICES = 64
"""Slices of a layer whose density falls along it."""
_HALVINGS = 60
_AT_ONCE = 100_000
"""Levels of all floats together up to which they are taken in one array."""


def immersed(float_: Float, fluids: Fluids) -> Array:
    """Depth of the float's bottom below the top of the lower fluid [m], layers included."""
    if fluids.layers:
        return np.asarray(layered_immersion(float_, fluids))
    body = (float_.mass, float_.diameter, float_.length)
    return np.asarray(immersion(*body, fluids.lower_density, fluids.upper_density, float_.ends))


def layered_immersion(float_: Float, fluids: Fluids) -> Array:
    """Depth of the float's bottom below the top of the lower fluid [m]; negative where it is above it.

    Layers from the lowest; without any it is `floats.immersion`. Densities may not rise upwards.
    NaN with the reason: the float sinks to the bottom or hangs free in the upper fluid.
    """
    shape = shape_of(float_.diameter, float_.length, float_.ends)
    weight = positive("mass", float_.mass)
    lower = positive("lower_density", fluids.lower_density)
    upper = not_negative("upper_density", fluids.upper_density)
    slabs = list(_slabs(fluids.layers))
    levels = [np.asarray(0.0)]
    densities = [lower]
    for thickness, density in slabs:
        lower = refuse(lower, density > densities[-1] * (1 + 1e-12), _ORDER, UNUSABLE)
        levels.append(np.asarray(levels[-1] + thickness))
        densities.append(density)
    lower = refuse(lower, upper >= densities[-1], _ORDER, UNUSABLE)
    densities.append(upper)
    highest = levels[-1]
    full = weight - lower * shape.volume
    weight = refuse(weight, full >= 0, SINKS)
    weight = refuse(weight, weight <= upper * shape.volume, HANGS_FREE)
    every = np.broadcast_shapes(*map(np.shape, (weight, shape.volume, *levels, *densities)))
    low = np.array(np.broadcast_to(-highest, every))  # depth of the bottom below the top of the lower fluid
    high = np.array(np.broadcast_to(shape.length, every))
    at_once = low.size * len(levels) <= _AT_ONCE
    if at_once:
        feet, below = _stacked(levels, low.ndim), _stacked(densities[:-1], low.ndim)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if at_once:
            borne = _buoyancy_at_once(middle, shape, feet, below, densities[-1])
        else:
            borne = _buoyancy(middle, shape, levels, densities)
        light = borne < weight
        low, high = np.where(light, middle, low), np.where(light, high, middle)
    found = np.where(np.isnan(weight + lower), np.nan, (low + high) / 2)
    return scalar(np.asarray(found))


_ORDER = "the densities must fall from the lower fluid through the layers to the upper fluid"


def _slabs(layers: Sequence[Layer]) -> list[tuple[Array, Array]]:
    """Thickness and density of slabs of one density, from the lowest."""
    found: list[tuple[Array, Array]] = []
    for layer in layers:
        thickness = not_negative("layer_thickness", layer.thickness)
        foot = not_negative("layer_density", layer.density)
        if layer.density_top is None:
            found.append((thickness, foot))
            continue
        top = not_negative("layer_density", layer.density_top)
        slices = _SLICES if np.any(thickness > 0) else 1  # a sharp interface: there is nothing to slice
        for i in range(slices):
            found.append((thickness / slices, foot + (top - foot) * (i + 0.5) / slices))
    return found


def _buoyancy(depth: Array, shape: Shape, levels: Sequence[Array], densities: Sequence[Array]) -> Array:
    """Mass of the fluids displaced when the bottom is `depth` below the top of the lower fluid [kg]."""
    under = volume_under(np.clip(depth + levels[0], 0.0, shape.length), shape)
    total = densities[0] * under
    for level, density in zip(levels[1:], densities[1:-1], strict=True):
        now = volume_under(np.clip(depth + level, 0.0, shape.length), shape)
        total, under = total + density * (now - under), now
    return np.asarray(total + densities[-1] * (shape.volume - under))


def _stacked(arrays: Sequence[Array], dimensions: int) -> Array:
    """The arrays along a first axis, each with as many dimensions."""
    together = np.stack(np.broadcast_arrays(*arrays))
    missing = (1,) * (dimensions + 1 - together.ndim)
    return together.reshape(together.shape[:1] + missing + together.shape[1:])


def _buoyancy_at_once(depth: Array, shape: Shape, levels: Array, densities: Array, upper: Array) -> Array:
    """The same, all levels in one array: quicker where there are few floats and many slices."""
    under = volume_under(np.clip(depth + levels, 0.0, shape.length), shape)
    between = np.diff(under, axis=0, prepend=0.0)
    return np.asarray((densities * between).sum(axis=0) + upper * (shape.volume - under[-1]))


_LEFT = "the float has left the interface: it floats on the upper liquid, which is heavier than the float"


def interface_offset(
    float_: Float,
    fluids: Fluids,
    layer_thickness: ArrayLike = 0.0,
    layer_density: ArrayLike | None = None,
    upper_thickness: ArrayLike | None = None,
    gas_density: ArrayLike = 0.0,
) -> Array:
    """Indicated minus true interface level [m] of a float between two liquids.

    The interface is the middle of the layer of thickness layer_thickness [m] between the liquids, of the
    density layer_density [kg/m3]; None: one that falls from the lower to the upper liquid's. The upper
    liquid is upper_thickness [m] high, counted from the top of that layer, with gas of gas_density above
    it; None: it covers the float. NaN with the reason as in `layered_immersion`, and where the float has left
    the interface: it floats on the upper liquid.
    """
    plane = magnet_inside(float_.magnet_height, float_.length)
    thick = not_negative("layer_thickness", layer_thickness)
    upper = positive("upper_density", fluids.upper_density)
    given = np.asarray(np.nan if layer_density is None else layer_density, dtype=np.float64)
    foot = np.where(np.isnan(given), fluids.lower_density, given)
    top = np.where(np.isnan(given), upper, given)
    above = np.asarray(np.nan if upper_thickness is None else upper_thickness, dtype=np.float64)
    above = np.asarray(positive("upper_thickness", above))
    deep = np.isnan(above) if upper_thickness is None else np.zeros(above.shape, np.bool_)
    covered = np.where(deep, 2 * np.asarray(float_.length, dtype=np.float64) + thick, above)
    gas = np.where(deep, 0.0, not_negative("gas_density", gas_density))
    stack = (Layer(thick, foot, top), Layer(covered, upper))
    depth = layered_immersion(float_, Fluids(fluids.lower_density, gas, layers=stack))
    left = depth < -thick - 1e-12  # its bottom is above the layer
    depth = refuse(depth, left & deep, HANGS_FREE)
    depth = refuse(depth, left, _LEFT)
    return scalar(np.asarray(plane - depth - thick / 2))
