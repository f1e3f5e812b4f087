"""Uncertainty of the reading offset from what is known of the float and the fluid.

Law of propagation of uncertainty, first order, uncorrelated inputs (JCGM 100:2008, 5.1.2)::

    u^2 = sum over x of [ (f(x + u_x) - f(x - u_x)) / 2 ]^2

f is the reading offset and each difference is one input's contribution, c u_x, with the sensitivity c
taken across the input's own uncertainty (5.1.3, note 2). Nothing is differentiated by hand, so that it
holds for every shape of end. Length and scale are taken as exact.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, reasons, refuse, scalar
from xlfuncs.gauge.floats import reading_offset, shape_of
from xlfuncs.gauge.model import Float, Fluids, Spread


def offset_contributions(
    float_: Float, fluids: Fluids, spread: Spread
) -> tuple[Array, Array, Array, Array, Array]:
    """What mass, diameter, magnet height, lower and upper density each contribute to the uncertainty [m].

    Each result is |f(x + u_x) - f(x - u_x)|/2 for the standard uncertainty u_x, in the unit of x: kg, m, m,
    kg/m3. All broadcast. NaN with the reason: a
    negative uncertainty, one as large as its quantity, or a float that within it may sink or hang free.
    """
    stated = {
        "mass": float_.mass,
        "diameter": float_.diameter,
        "lower_density": fluids.lower_density,
        "upper_density": fluids.upper_density,
    }
    values = {name: np.asarray(value, dtype=np.float64) for name, value in stated.items()}
    shape = shape_of(float_.diameter, float_.length, float_.ends)
    closed = shape.length <= shape.ends * (1 + 1e-9)

    def offset(**changed: Array) -> Array:
        now = values | changed
        # a float without a straight part, such as a sphere, keeps its shape
        overall = np.where(closed, shape.length * now["diameter"] / values["diameter"], shape.length)
        return reading_offset(
            now["mass"],
            now["diameter"],
            overall,
            float_.magnet_height,
            now["lower_density"],
            now["upper_density"],
            float_.ends,
        )

    at_rest = offset()

    def contribution(name: str, u_name: str, u: ArrayLike) -> Array:
        step = not_negative(u_name, u)
        if not np.any(step):
            return scalar(np.asarray(0 * at_rest + 0 * step))
        step = refuse(
            step,
            step >= values[name],
            f"{u_name} must be below {name}: it is one standard deviation",
            UNUSABLE,
        )
        with reasons():  # what spoils a step is said below, in terms of the float as stated
            above, below = offset(**{name: values[name] + step}), offset(**{name: values[name] - step})
        lost = np.isnan(above - below) & ~np.isnan(at_rest) & ~np.isnan(step)
        text = f"within {u_name} the float may sink or hang free, so the offset has no uncertainty to state"
        return refuse(scalar(np.asarray(np.abs(above - below) / 2)), lost, text)

    # the offset is magnet_height less something that does not depend on it
    plane = scalar(np.asarray(not_negative("u_magnet_height", spread.magnet_height) + 0 * at_rest))
    return (
        contribution("mass", "u_mass", spread.mass),
        contribution("diameter", "u_diameter", spread.diameter),
        plane,
        contribution("lower_density", "u_density", spread.lower_density),
        contribution("upper_density", "u_upper_density", spread.upper_density),
    )


def offset_uncertainty(float_: Float, fluids: Fluids, spread: Spread) -> Array:
    """Standard uncertainty of the reading offset [m]: root of the sum of squares of `offset_contributions`.

    First order: where the offset bends within one uncertainty (a float near its limit of floating, or with
    the surface in a curved end) it is an approximation. A tolerance of +-a with nothing known inside it has
    the standard uncertainty a/sqrt(3) (JCGM 100:2008, 4.3.7). NaN as `offset_contributions`.
    """
    return scalar(np.asarray(np.sqrt(sum(x**2 for x in offset_contributions(float_, fluids, spread)))))
