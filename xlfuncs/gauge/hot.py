"""Hot dimensions, and what wear takes off.

A length at a temperature, by the mean coefficient of linear expansion from 20 degC of its metal
(`xlfuncs/data/expansion.toml`); and a float that has lost wall all over to corrosion.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import materials
from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, not_negative, positive, refuse, scalar
from xlfuncs.gauge.floats import Texts, volume
from xlfuncs.gauge.model import Float

COLD = 20 + ZERO_CELSIUS
"""K at which sizes are measured, from which the coefficients count."""


@cache
def _tabulated() -> dict[str, str]:
    """Block of the table of expansion by block of the table of alloys."""
    return {alloy: name for name, entry in load("expansion").items() for alloy in entry["alloys"]}


def expands(name: str) -> bool:
    """Whether the expansion of a metal is tabulated."""
    return materials.read(name).alloy in _tabulated()


def growth(material: Texts, temperature: ArrayLike) -> Array:
    """Length at a temperature [K] over the length at 20 degC, by the name of the metal.

    1 + alpha (T - 20 degC). NaN with the reason: a metal or a temperature that is not in the table.
    """
    names, kelvin = np.broadcast_arrays(
        np.asarray(material, dtype=object), np.asarray(temperature, np.float64)
    )
    found = np.full(names.shape, np.nan)
    for name in {str(name) for name in names.flat}:
        here = names == name
        block = _tabulated().get(materials.read(name).alloy)
        if block is None:
            known = ", ".join(entry["label"] for entry in load("expansion").values())
            refuse(found, here, f"the expansion of '{name}' is not known here: use one of {known}", UNUSABLE)
            continue
        entry = load("expansion")[block]
        celsius = kelvin - ZERO_CELSIUS
        low, high = entry["temperature"][0], entry["temperature"][-1]
        outside = here & ((celsius < low - 1e-9) | (celsius > high + 1e-9))
        refuse(found, outside, f"temperature is outside {low:g} to {high:g} degC, known for {entry['label']}")
        alpha = np.interp(celsius, entry["temperature"], entry["value"]) * 1e-6
        found = np.where(here & ~outside, 1 + alpha * (celsius - 20), found)
    return scalar(found)


def hot_length(
    length: ArrayLike,
    material: Texts,
    temperature: ArrayLike,
    reference_temperature: ArrayLike = COLD,
) -> Array:
    """Length at a temperature [m] of a part that has `length` [m] at reference_temperature [K].

    >>> float(round(hot_length(0.5, "316L", 573.15), 6))
    0.50238
    """
    cold = growth(material, reference_temperature)
    return scalar(np.asarray(positive("length", length) * growth(material, temperature) / cold))


def surface(diameter: ArrayLike, length: ArrayLike, ends: Texts = "flat") -> Array:
    """Surface of the float [m2], from the slope of its volume where all of it grows by a layer.

    dV/ds for s all over; exact for flat and hemispherical ends, within 1 % for others.
    """
    step = 1e-6 * np.asarray(diameter, dtype=np.float64)
    thick, thin = (
        volume(np.asarray(diameter) + 2 * s, np.asarray(length) + 2 * s, ends) for s in (step, -step)
    )
    return scalar(np.asarray((thick - thin) / (2 * step)))


def corroded(float_: Float, loss: ArrayLike) -> Float:
    """The float after it has lost `loss` [m] of its wall all over: lighter, thinner, shorter.

    Its magnet stands nearer to its bottom. NaN with the reason: no density of the metal, or a loss that is
    not below the wall, where that is stated.
    """
    off = not_negative("loss", loss)
    wall, plane = (np.asarray(x, dtype=np.float64) for x in (float_.wall, float_.magnet_height))
    gone = off >= wall
    off = refuse(off, gone, "the loss is not below the wall: nothing is left of the float", UNUSABLE)
    heavy = refuse(
        np.asarray(float_.metal_density, np.float64),
        np.isnan(float_.metal_density),
        "the float's material is needed: it tells what the lost wall weighed",
        MISSING,
    )
    across, long = positive("diameter", float_.diameter), positive("length", float_.length)
    middle = surface(across - off, long - off, float_.ends)
    return replace(
        float_,
        mass=scalar(np.asarray(positive("mass", float_.mass) - middle * off * heavy)),
        diameter=scalar(np.asarray(across - 2 * off)),
        length=scalar(np.asarray(long - 2 * off)),
        magnet_height=scalar(np.asarray(plane - off)),
        wall=scalar(np.asarray(wall - off)),
    )
