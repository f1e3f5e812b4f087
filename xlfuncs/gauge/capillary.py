"""Capillary force on a float, and the surface tension of water.

The contact line of length pi D pulls the float down where the liquid wets it and lifts it where it does not.
Wetting changes with dirt and with the way the level came, so that the band either way is what counts.

Source: statics (surface tension times the length of the line, Young's angle of contact).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.data import load
from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, not_negative, refuse, scalar
from xlfuncs.gauge.floats import Texts, stiffness
from xlfuncs.gauge.model import Float, Fluids
from xlfuncs.gauge.response import shifts


def capillary_force(diameter: ArrayLike, surface_tension: ArrayLike, contact_angle: ArrayLike = 0.0) -> Array:
    """Force of the contact line [N]: pi D gamma cos(contact_angle), gamma [N/m], angle [rad]."""
    gamma = not_negative("surface_tension", surface_tension)
    angle = np.asarray(contact_angle, dtype=np.float64)
    angle = refuse(
        angle, (angle < 0) | (angle > np.pi), "contact_angle must lie between 0 and 180 degrees", UNUSABLE
    )
    across = np.asarray(diameter, dtype=np.float64)
    return scalar(np.asarray(np.pi * across * gamma * np.abs(np.cos(angle))))


def capillary_band(
    diameter: ArrayLike,
    lower_density: ArrayLike,
    surface_tension: ArrayLike,
    upper_density: ArrayLike = 0.0,
    contact_angle: ArrayLike = 0.0,
    mass: ArrayLike | None = None,
    length: ArrayLike | None = None,
    ends: Texts = "flat",
) -> Array:
    """How far the contact line can draw or lift a float, either way [m]: 4 gamma cos a/(D (rho_l - rho_u) g).

    surface_tension (at an interface: interfacial tension) [N/m]; contact_angle [rad], 0: the liquid wets
    the float fully, which is the most. That is while the surface is at the straight part. With mass [kg] and
    length [m] it is what the float gives way by, its ends counted, and NaN with the reason where it is drawn
    under or lifted out (`response.shifts`); without them where the band is more than the diameter, as no
    float is shorter than wide (common practice, no source).

    >>> float(round(capillary_band(0.05, 1000.0, 0.03, 950.0), 5))
    0.00489
    """
    force = capillary_force(diameter, surface_tension, contact_angle)
    if mass is not None or length is not None:
        held = Float(_stated("mass", mass), diameter, _stated("length", length), ends=ends)
        return scalar(np.asarray(np.maximum(*shifts(held, Fluids(lower_density, upper_density), force))))
    band = np.asarray(force / stiffness(diameter, lower_density, upper_density))
    wide = "the contact line would shift the float by more than its diameter: state mass and length"
    return scalar(refuse(band, band > np.asarray(diameter) * (1 + 1e-9), wide))


def _stated(name: str, value: ArrayLike | None) -> Array:
    number = np.asarray(np.nan if value is None else value, dtype=np.float64)
    return refuse(number, np.isnan(number), f"{name} is missing: state both mass and length", MISSING)


def water_surface_tension(temperature: ArrayLike) -> Array:
    """Surface tension of water against its vapour [N/m] at a temperature [K]: B tau^mu (1 + b tau).

    tau = 1 - T/Tc. From the triple point to the critical point, NaN with the reason outside.

    Source: IAPWS R1-76(2014).

    >>> float(round(1e3 * water_surface_tension(293.15), 2))
    72.74
    """
    table = load("water")["surface_tension"]
    kelvin = np.asarray(temperature, dtype=np.float64)
    critical = table["critical_temperature"]
    outside = (kelvin < 273.13) | (kelvin > critical)
    kelvin = refuse(kelvin, outside, "temperature is outside 0.01 to 373.946 degC, where water has a surface")
    tau = 1 - kelvin / critical
    return scalar(np.asarray(table["factor"] * tau ** table["exponent"] * (1 + table["slope"] * tau)))
