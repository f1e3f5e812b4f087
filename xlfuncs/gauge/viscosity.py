"""Viscosity over temperature, and margins above the pour and freezing points.

Shapes: all arguments broadcast. Kinematic viscosity in m2/s (1 mm2/s = 1 cSt), dynamic in Pa.s.
NaN has a reason: outside the range of the equation, or points that contradict each other.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge._reasons import UNUSABLE, Array, positive, refuse, scalar
from xlfuncs.gauge.density import liquid_property
from xlfuncs.gauge.fluids import freezing_temperature

_table = load("viscosity")["astm_d341"]
_LOW, _HIGH = _table["kinematic_viscosity_mm2_s"]
_COLDEST, _HOTTEST = _table["temperature_degC"]
_EXPONENT = _table["exponent"]
_START = _table["inverse_exponent"]
_BEYOND = _table["beyond_K"]


def _z(nu: Array) -> Array:
    """Z of the general relation for a viscosity in mm2/s."""
    a, b, c = _EXPONENT
    return np.asarray(nu + 0.7 + np.exp(a + b * nu + c * nu * nu))


def _from_z(z: Array) -> Array:
    """Viscosity in mm2/s for a Z: the standard's inverse as the start, then Newton on `_z` itself."""
    a, b, c = _EXPONENT
    x = np.minimum(z - 0.7, 30.0)  # beyond that the exponential is nothing
    nu = z - 0.7 - np.exp(_START[0] + _START[1] * x + _START[2] * x**2 + _START[3] * x**3)
    for _ in range(8):
        small = np.exp(a + b * nu + c * nu * nu)
        nu = nu - (nu + 0.7 + small - z) / (1 + small * (b + 2 * c * nu))
    return np.asarray(nu)


def _usable(name: str, viscosity: ArrayLike) -> Array:
    """Kinematic viscosity in mm2/s within the range of the relation."""
    nu = np.asarray(viscosity, dtype=np.float64) * 1e6
    outside = (nu < _LOW * (1 - 1e-9)) | (nu > _HIGH * (1 + 1e-9))
    return refuse(nu, outside, f"{name} is outside {_LOW:g} to {_HIGH:g} mm2/s, the range of ASTM D341")


def _warm(name: str, temperature: ArrayLike) -> Array:
    kelvin = np.asarray(temperature, dtype=np.float64)
    celsius = kelvin - ZERO_CELSIUS
    outside = (celsius < _COLDEST - 1e-9) | (celsius > _HOTTEST + 1e-9)
    wrong = f"{name} is outside {_COLDEST:g} to {_HOTTEST:g} degC, the range of ASTM D341"
    return refuse(kelvin, outside, wrong)


def _near(name: str, kelvin: Array, temperature_1: ArrayLike, temperature_2: ArrayLike) -> Array:
    """Temperatures near the two points of a line."""
    first, second = np.asarray(temperature_1, np.float64), np.asarray(temperature_2, np.float64)
    far = (kelvin < np.minimum(first, second) - _BEYOND - 1e-9) | (
        kelvin > np.maximum(first, second) + _BEYOND + 1e-9
    )
    wrong = f"{name} is more than {_BEYOND:g} K outside the two points: measure a nearer one"
    return refuse(kelvin, far, wrong)


def _line(
    temperature_1: ArrayLike, viscosity_1: ArrayLike, temperature_2: ArrayLike, viscosity_2: ArrayLike
) -> tuple[Array, Array]:
    """A and B of log10 log10 Z = A - B log10 T through two points."""
    log_1 = np.log10(_warm("temperature_1", temperature_1))
    log_2 = np.log10(_warm("temperature_2", temperature_2))
    w_1 = np.log10(np.log10(_z(_usable("viscosity_1", viscosity_1))))
    w_2 = np.log10(np.log10(_z(_usable("viscosity_2", viscosity_2))))
    apart = refuse(
        log_2 - log_1, log_2 == log_1, "temperature_2 equals temperature_1: give two points", UNUSABLE
    )
    slope = scalar(np.asarray((w_1 - w_2) / apart))
    slope = refuse(
        slope, slope <= 0, "viscosity must fall as the temperature rises: check the two points", UNUSABLE
    )
    return w_1 + slope * log_1, slope


def viscosity_at(
    temperature: ArrayLike,
    temperature_1: ArrayLike,
    viscosity_1: ArrayLike,
    temperature_2: ArrayLike,
    viscosity_2: ArrayLike,
) -> Array:
    """Kinematic viscosity of a petroleum liquid at a temperature, from two measured points.

    log10 log10 Z = A - B log10 T, Z = nu + 0.7 + exp(-1.47 - 1.84 nu - 0.51 nu^2), nu in mm2/s, T in K
    (Walther). Above 2 mm2/s the exponential is negligible: that is the short form.

    Temperatures [K], viscosities [m2/s]; all broadcast. Returns m2/s.

    Validity: 0.21 to 2e7 mm2/s, -70 to 370 degC, between the cloud point and the start of boiling; a
    Newtonian liquid; up to 30 K beyond the two points, which should lie well apart. NaN with a reason
    outside, for equal temperatures, and where the viscosity does not fall with temperature.

    Source: ASTM D341.

    >>> float(round(viscosity_at(343.15, 313.15, 100e-6, 373.15, 11.4e-6) * 1e6, 4))
    27.6798
    """
    a, b = _line(temperature_1, viscosity_1, temperature_2, viscosity_2)
    kelvin = _near("temperature", _warm("temperature", temperature), temperature_1, temperature_2)
    with np.errstate(over="ignore", invalid="ignore"):
        z = 10 ** (10 ** (a - b * np.log10(kelvin)))
        nu = np.where(z > 2 * _HIGH, np.inf, _from_z(np.minimum(z, 2 * _HIGH)))
    return _usable("the viscosity there", scalar(nu * 1e-6)) * 1e-6


def temperature_for_viscosity(
    viscosity: ArrayLike,
    temperature_1: ArrayLike,
    viscosity_1: ArrayLike,
    temperature_2: ArrayLike,
    viscosity_2: ArrayLike,
) -> Array:
    """Temperature at which a petroleum liquid has a viscosity: inverse of `viscosity_at`.

    What tracing must hold for the float to move freely. Arguments, validity and source as there.
    Returns K.

    >>> float(round(temperature_for_viscosity(27.67984e-6, 313.15, 100e-6, 373.15, 11.4e-6) - 273.15, 3))
    70.0
    """
    a, b = _line(temperature_1, viscosity_1, temperature_2, viscosity_2)
    w = np.log10(np.log10(_z(_usable("viscosity", viscosity))))
    found = _warm("the temperature for it", scalar(np.asarray(10 ** ((a - w) / b))))
    return _near("the temperature for it", found, temperature_1, temperature_2)


def liquid_viscosity(
    fluid: str | NDArray[Any], temperature: ArrayLike, pressure: ArrayLike | None = None
) -> Array:
    """Dynamic viscosity of a pure liquid [Pa.s], saturated or compressed.

    Arguments and validity as in `density.liquid_density`. NaN with a reason as there, and where no
    viscosity equation of the fluid has been published in CoolProp.

    Source: water IAPWS R12-08; others the reference correlation that CoolProp names for the fluid.

    >>> float(round(liquid_viscosity("water", 293.15, 101325.0) * 1e3, 4))
    1.0016
    """
    return liquid_property(fluid, temperature, pressure, "viscosity")


def dynamic_viscosity(kinematic_viscosity: ArrayLike, density: ArrayLike) -> Array:
    """Dynamic viscosity mu = nu rho [Pa.s] of `kinematic_viscosity` [m2/s] and `density` [kg/m3].

    Both at the same temperature; they broadcast.

    Source: definition (ISO 80000-4).

    >>> float(dynamic_viscosity(100e-6, 850.0))
    0.085
    """
    return positive("kinematic_viscosity", kinematic_viscosity) * positive("density", density)


def pour_margin(minimum_temperature: ArrayLike, pour_point: ArrayLike) -> Array:
    """How far the lowest temperature stays above the pour point [K]; negative: the liquid stops flowing.

    Temperatures [K]. Source: difference of two temperatures; pour point by ISO 3016 or ASTM D97.

    >>> float(pour_margin(258.15, 264.15))
    -6.0
    """
    lowest = positive("minimum_temperature", minimum_temperature)
    return scalar(np.asarray(lowest - positive("pour_point", pour_point)))


def freezing_margin(fluid: str | NDArray[Any], minimum_temperature: ArrayLike) -> Array:
    """How far the lowest temperature stays above a pure fluid's freezing point [K]; negative: it freezes.

    `minimum_temperature` [K]. Freezing points at atmospheric pressure as in
    `fluids.freezing_temperature`. NaN with a reason: an unknown fluid, or no tabulated value.

    >>> float(round(freezing_margin("benzene", 283.15), 3))
    4.462
    """
    lowest = positive("minimum_temperature", minimum_temperature)
    return scalar(np.asarray(lowest - freezing_temperature(fluid)))
