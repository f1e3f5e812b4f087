"""Densities at working conditions: pure fluids, petroleum, and liquids known by measured values.

Pure fluids use the reference equation of state that CoolProp holds for each (water and steam:
IAPWS-95). Petroleum uses the procedure of API MPMS 11.1:2004 (ASTM D1250-04).

Shapes: all arguments broadcast; a fluid or group may be one text or an array of texts. NaN has a
reason: outside the range of the equation, not a liquid (or not a vapour), an unknown fluid.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, positive, refuse, scalar
from xlfuncs.gauge._state import AT_BOILING, boilable, celsius, evaluate, limits, saturable
from xlfuncs.gauge.fluids import each_fluid

GROUPS = ("crude", "product", "lubricant")
REFERENCES = ("15 degC", "60 degF")

_PSI = 6894.757293168361


# --- pure fluids ------------------------------------------------------------------------------------


def liquid_property(
    fluid: str | NDArray[Any], temperature: ArrayLike, pressure: ArrayLike | None, output: str
) -> Array:
    """`output` of the saturated liquid, or of the compressed liquid where a pressure is stated."""

    def compute(name: str, kelvin: Array, pascal: Array) -> Array:
        limit = limits(name)
        kelvin = saturable(name, kelvin)
        stated = positive("pressure", pascal)
        usable = refuse(
            stated,
            stated > limit.highest_pressure,
            f"pressure is above {limit.highest_pressure / 1e5:.4g} bar, "
            f"where the equation of state of {name} ends",
        )
        boiling = evaluate(name, "QT", 0.0, kelvin, "p")
        usable = refuse(
            usable,
            usable < boiling * (1 - AT_BOILING),
            f"{name} is vapour at this temperature and pressure: it has no liquid density there "
            "(is the pressure absolute?)",
        )
        saturated = np.isnan(pascal) | (usable <= boiling * (1 + AT_BOILING))
        at_boiling = evaluate(name, "QT", 0.0, np.where(saturated, kelvin, np.nan), output)
        if saturated.all():
            return at_boiling
        below = np.where(saturated | (usable >= limit.critical_pressure), np.nan, usable)
        above = np.where(usable >= limit.critical_pressure, usable, np.nan)
        compressed = evaluate(name, "PT", below, kelvin, output, "liquid")
        squeezed = evaluate(name, "PT", above, kelvin, output, "supercritical_liquid")
        return scalar(np.where(saturated, at_boiling, np.where(np.isnan(above), compressed, squeezed)))

    return each_fluid(fluid, compute, temperature, np.nan if pressure is None else pressure)


def liquid_density(
    fluid: str | NDArray[Any], temperature: ArrayLike, pressure: ArrayLike | None = None
) -> Array:
    """Density of a pure liquid [kg/m3], saturated or compressed.

    `fluid` by any name that `fluids.resolve` knows; `temperature` [K]; `pressure` [Pa absolute], None
    or NaN for the saturated liquid.

    Validity: from the triple point (0.02 K below it counts as on it) to below the critical point; the
    stated pressure at or above the saturation pressure and within the range of the equation of state.
    NaN with a reason elsewhere; in particular where the fluid is vapour.

    Source: the reference equation of state as in CoolProp; water IAPWS R6-95.

    >>> float(round(liquid_density("water", 293.15), 4))
    998.1618
    >>> float(round(liquid_density("water", 300.0, 3e6), 2))
    997.85
    """
    return liquid_property(fluid, temperature, pressure, "rhomass")


def vapour_density(
    fluid: str | NDArray[Any], temperature: ArrayLike | None = None, pressure: ArrayLike | None = None
) -> Array:
    """Density of the vapour above a liquid [kg/m3].

    Saturated at `temperature` [K] when no pressure is stated, saturated at `pressure` [Pa absolute]
    when no temperature is; with both, the vapour at that state (superheated). None or NaN: not stated.

    NaN with a reason: neither stated; a state without vapour (at or above the critical point when
    saturated, liquid or above the critical pressure when both are stated); an unknown fluid.

    Source: the reference equation of state as in CoolProp; water IAPWS R6-95.

    >>> float(round(vapour_density("propane", 293.15), 4))
    18.0823
    >>> float(round(vapour_density("steam", None, 4e6), 4))
    20.09
    """

    def compute(name: str, kelvin: Array, pascal: Array) -> Array:
        kelvin, pascal = np.broadcast_arrays(kelvin, pascal)
        no_t, no_p = np.isnan(kelvin), np.isnan(pascal)
        at_t = evaluate(name, "QT", 1.0, saturable(name, np.where(no_p, kelvin, np.nan)), "rhomass")
        at_p = evaluate(name, "PQ", boilable(name, np.where(no_t, pascal, np.nan)), 1.0, "rhomass")
        at_both = _superheated(name, np.where(no_p, np.nan, kelvin), np.where(no_t, np.nan, pascal))
        found = scalar(np.where(no_p, at_t, np.where(no_t, at_p, at_both)))
        return refuse(found, no_t & no_p, "give temperature or pressure", MISSING)

    return each_fluid(
        fluid,
        compute,
        np.nan if temperature is None else temperature,
        np.nan if pressure is None else pressure,
    )


def _superheated(name: str, kelvin: NDArray[np.float64], pascal: NDArray[np.float64]) -> Array:
    """Density of vapour at stated temperatures and pressures [kg/m3]."""
    limit = limits(name)
    kelvin = refuse(
        kelvin,
        ((kelvin < limit.coldest) | (kelvin > limit.hottest)) & ~np.isnan(pascal),
        f"temperature is outside {celsius(limit.coldest)} to {celsius(limit.hottest)}, "
        f"the range of the equation of state of {name}",
    )
    pressure = positive("pressure", pascal)
    pressure = refuse(
        pressure,
        pressure >= limit.critical_pressure,
        f"pressure is not below the critical point of {name} "
        f"({limit.critical_pressure / 1e5:.5g} bar absolute): there is no vapour beside a liquid",
    )
    boils = np.where((kelvin < limit.critical_temperature) & ~np.isnan(pressure), kelvin, np.nan)
    boiling = evaluate(name, "QT", 1.0, boils, "p")
    pressure = refuse(
        pressure,
        pressure > boiling * (1 + AT_BOILING),
        f"{name} is liquid at this temperature and pressure: it has no vapour density there",
    )
    on_edge = pressure >= boiling * (1 - AT_BOILING)
    saturated = evaluate(name, "QT", 1.0, np.where(on_edge, kelvin, np.nan), "rhomass")
    beyond = evaluate(name, "PT", np.where(on_edge, np.nan, pressure), kelvin, "rhomass", "gas")
    return scalar(np.where(on_edge, saturated, beyond))


# --- petroleum --------------------------------------------------------------------------------------


def _fahrenheit(degree: float) -> float:
    return (degree + 459.67) / 1.8


_STARTS = {"15 degC": 15 + ZERO_CELSIUS, "60 degF": _fahrenheit(60.0)}
"""K of each of `REFERENCES`."""


def _start(reference: str) -> float:
    """A reference temperature [K]."""
    if reference not in REFERENCES:
        raise ValueError(f"reference is '{reference}': use one of {', '.join(REFERENCES)}")
    return _STARTS[reference]


def _scale_68(kelvin: Array) -> Array:
    """Temperatures of the scale of 1990 [K] in degF of the scale of 1968."""
    celsius_ = kelvin - ZERO_CELSIUS
    x = celsius_ / 630
    change = np.zeros_like(x)
    for coefficient in reversed(load("petroleum")["scale"]["coefficients"]):
        change = (change + coefficient) * x
    return np.asarray(1.8 * (celsius_ - change) + 32)


class _Expansion(NamedTuple):
    """Of an oil: density at 60 degF of the scale of 1968 [kg/m3], expansion coefficient there [1/degF]."""

    density: Array
    alpha: Array


def _expansion(density: Array, group: str | NDArray[Any]) -> _Expansion:
    """Of oils by their density at 60 degF and their group (MPMS 11.1:2004, 11.1.6.1, steps 3 to 5)."""
    shape = np.broadcast_shapes(np.shape(density), np.shape(group))
    present = {group} if isinstance(group, str) else {str(g) for g in np.ravel(group)}
    if unknown := present - set(GROUPS):
        raise ValueError(f"group is '{min(unknown)}': use one of {', '.join(GROUPS)}")
    k = np.full((3, *shape), np.nan)
    for name in present:
        for band in load("petroleum")["60 degF"][name]:
            here = (np.asarray(group) == name) & (density >= band["above"])
            for i in range(3):
                k[i] = np.where(here, band[f"K{i}"], k[i])
    a = load("petroleum")["scale"]["shift"] / 2 * ((k[0] / density + k[1]) / density + k[2])
    b = (2 * k[0] + k[1] * density) / (k[0] + (k[1] + k[2] * density) * density)
    old = density * (1 + np.expm1(a * (1 + 0.8 * a)) / (1 + a * (1 + 1.6 * a) * b))
    return _Expansion(np.asarray(old), np.asarray((k[0] / old + k[1]) / old + k[2]))


def _correction_60(density: Array, kelvin: Array, group: str | NDArray[Any]) -> Array:
    """Density over density at 60 degF of oils at a temperature [K]."""
    scale = load("petroleum")["scale"]
    alpha = _expansion(density, group).alpha
    rise = _scale_68(kelvin) - scale["base"]
    return np.asarray(np.exp(-alpha * rise * (1 + 0.8 * alpha * (rise + scale["shift"]))))


_HALVINGS = 60
"""From the whole range of densities to less than a double can tell apart."""


def _at_60(observed: Array, kelvin: Array, group: str | NDArray[Any]) -> Array:
    """Density at 60 degF [kg/m3] of oils that have a density at a temperature, by halving."""
    ends = [end for limits in load("petroleum")["range"]["density"].values() for end in limits]
    shape = np.broadcast_shapes(np.shape(observed), np.shape(kelvin), np.shape(group))
    low, high = (np.full(shape, end) for end in (0.98 * min(ends), 1.02 * max(ends)))
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        light = middle * _correction_60(middle, kelvin, group) < observed
        low, high = np.where(light, middle, low), np.where(light, high, middle)
    return np.where(np.isnan(observed + kelvin), np.nan, (low + high) / 2)


_HAIR = 1e-9
"""Share by which a computed density may miss a limit on which it stands."""


def _within(density: ArrayLike, group: str | NDArray[Any], what: str, limits_of: str = "density") -> Array:
    """Densities for which the correction holds; others are refused."""
    rho = np.asarray(density, dtype=np.float64)
    for name, (low, high) in load("petroleum")["range"][limits_of].items():
        outside = (np.asarray(group) == name) & ((rho < low * (1 - _HAIR)) | (rho > high * (1 + _HAIR)))
        wrong = f"{what} is outside {low:g} to {high:g} kg/m3, the range for {name}"
        rho = refuse(rho, outside, wrong)
    return rho


def _correctable(temperature: ArrayLike) -> Array:
    low, high = (_fahrenheit(t) for t in load("petroleum")["range"]["temperature_degF"])
    kelvin = np.asarray(temperature, dtype=np.float64)
    outside = (kelvin < low - 1e-9) | (kelvin > high + 1e-9)
    return refuse(kelvin, outside, "temperature is outside -50 to 150 degC, the range of API MPMS 11.1")


def expansion_factor(alpha: ArrayLike, temperature_rise: ArrayLike) -> Array:
    """Volume correction factor for a known expansion coefficient: density over reference density.

    VCF = exp(-alpha dT (1 + 0.8 alpha dT)). `alpha` at the reference temperature [1/K],
    `temperature_rise` above it [K]; both broadcast.

    Source: API MPMS 11.1 / ASTM D1250, Tables 6C, 24C and 54C.

    >>> float(round(expansion_factor(910e-6 * 1.8, (30 - 60) / 1.8), 4))
    1.0271
    """
    x = np.asarray(alpha, np.float64) * np.asarray(temperature_rise, np.float64)
    return scalar(np.asarray(np.exp(-x * (1 + 0.8 * x))))


def volume_correction(
    density_ref: ArrayLike, temperature: ArrayLike, group: str | NDArray[Any], reference: str = "15 degC"
) -> Array:
    """Volume correction factor of a petroleum liquid: its density over its density at the reference.

    CTL = exp(-alpha dT (1 + 0.8 alpha (dT + 0.01375))), alpha = K0/rho*^2 + K1/rho* + K2 with constants by
    group (refined products have four bands by density), dT in degF above 60 degF, both in the temperature
    scale of 1968, rho* the density at 60 degF of that scale. One at 15 degC is first brought to 60 degF.

    `density_ref` [kg/m3] at the reference temperature, `temperature` [K], `group` one of "crude",
    "product", "lubricant"; `reference` "15 degC" or "60 degF". Returns the factor.

    Validity: density 610.6 to 1163.5 kg/m3 (lubricant from 800.9), -50 to 150 degC, at atmospheric or
    equilibrium pressure. NaN with a reason outside.

    Source: API MPMS 11.1:2004 (ASTM D1250-04), 11.1.6.1; constants and their origin in
    `data/petroleum.toml`.

    >>> float(round(volume_correction(850.0, 323.15, "crude"), 5))
    0.96999
    """
    start = _start(reference)
    rho = _within(density_ref, group, f"density at {reference}")
    kelvin = _correctable(temperature)
    if reference == "60 degF":
        return scalar(_correction_60(rho, kelvin, group))
    at_60 = _at_60(rho, np.asarray(start), group)
    return scalar(np.asarray(at_60 * _correction_60(at_60, kelvin, group) / rho))


def oil_density(
    density_15: ArrayLike,
    temperature: ArrayLike,
    group: str | NDArray[Any],
    pressure: ArrayLike = 0.0,
) -> Array:
    """Density of a petroleum liquid at working conditions, from its density at 15 degC.

    rho = rho15 VCF / (1 - F p), F = exp(a + b t + (c + d t)/rho*^2) 1e-5 per psi, t in degF.

    `density_15` [kg/m3] at 15 degC and atmospheric pressure, `temperature` [K], `group` as in
    `volume_correction`, `pressure` [Pa gauge]; all broadcast. Returns kg/m3.

    Validity as in `volume_correction`; pressure 0 to 103.4 bar gauge. Dissolved gas is not allowed
    for: live oil is lighter. NaN with a reason outside.

    Source: API MPMS 11.1:2004 (ASTM D1250-04), 11.1.6.1.

    >>> float(round(oil_density(771.0, 423.15, "product"), 2))
    647.42
    """
    return _oil(density_15, temperature, group, pressure, "15 degC")


def oil_density_60(
    density_60: ArrayLike, temperature: ArrayLike, group: str | NDArray[Any], pressure: ArrayLike = 0.0
) -> Array:
    """Density of a petroleum liquid at working conditions, from its density at 60 degF.

    As `oil_density`, for SG 60/60 and API gravity. `density_60` [kg/m3].

    >>> float(round(oil_density_60(850.0, 323.15, "crude"), 2))
    824.91
    """
    return _oil(density_60, temperature, group, pressure, "60 degF")


def _oil(
    density_ref: ArrayLike,
    temperature: ArrayLike,
    group: str | NDArray[Any],
    pressure: ArrayLike,
    reference: str,
) -> Array:
    kelvin = _correctable(temperature)
    rho_ref = np.asarray(density_ref, dtype=np.float64)
    thermal = rho_ref * volume_correction(rho_ref, kelvin, group, reference)
    low, high = (psi * _PSI for psi in load("petroleum")["range"]["pressure_psig"])
    pascal = np.asarray(pressure, dtype=np.float64)
    outside = (pascal < low) | (pascal > high * (1 + 1e-9))
    pascal = refuse(pascal, outside, "pressure is outside 0 to 103.4 bar gauge, the range of API MPMS 11.1")
    a, b, c, d = load("petroleum")["pressure"]["coefficients"]
    at_60 = rho_ref if reference == "60 degF" else _at_60(rho_ref, np.asarray(_start(reference)), group)
    t = _scale_68(kelvin)
    compressibility = 1e-5 / _PSI * np.exp(a + b * t + (c + d * t) / _expansion(at_60, group).density ** 2)
    return scalar(np.asarray(thermal / (1 - compressibility * pascal)))


def density_at_reference(
    density: ArrayLike,
    temperature: ArrayLike,
    group: str | NDArray[Any],
    reference: str = "15 degC",
    hydrometer: ArrayLike = False,
) -> Array:
    """Density at the reference temperature of a petroleum liquid measured at another temperature.

    Inverse of `volume_correction`: the density at 60 degF for which rho60 CTL is the measured one, by
    halving. With `hydrometer`, `density` is the reading of a glass hydrometer made for the reference
    temperature and is first multiplied by 1 - 2.3e-5 d - 2e-8 d^2, d in K above the reference.

    `density` [kg/m3], `temperature` [K]; all broadcast. Returns kg/m3. NaN with a reason as in
    `volume_correction`.

    Source: API MPMS 11.1:2004 (ASTM D1250-04), 11.1.6.2; hydrometer: ASTM D1250, Tables 53.

    >>> float(round(density_at_reference(779.0, 298.15, "crude", hydrometer=True), 2))
    786.65
    """
    start = _start(reference)
    kelvin = _correctable(temperature)
    rise = kelvin - start
    a, b = load("petroleum")["hydrometer"]["coefficients"]
    measured = _within(density, group, "density", "observed")
    observed = measured * np.where(hydrometer, 1 - a * rise - b * rise**2, 1.0)
    rho = _at_60(observed, kelvin, group)
    if reference == "15 degC":
        rho = rho * _correction_60(rho, np.asarray(start), group)
    return scalar(np.asarray(_within(rho, group, f"density at {reference}")))


def density_at_15(
    density: ArrayLike, temperature: ArrayLike, group: str | NDArray[Any], hydrometer: ArrayLike = False
) -> Array:
    """`density_at_reference` for 15 degC."""
    return density_at_reference(density, temperature, group, "15 degC", hydrometer)


# --- liquids known by measured values ---------------------------------------------------------------


def density_between(
    temperature: ArrayLike,
    temperature_1: ArrayLike,
    density_1: ArrayLike,
    temperature_2: ArrayLike,
    density_2: ArrayLike,
) -> Array:
    """Density of a liquid at a temperature, on the straight line through two measured points.

    rho = rho1 + (rho2 - rho1) (T - T1)/(T2 - T1). Temperatures [K], densities [kg/m3]; all broadcast.

    Validity: the line is followed beyond a point by at most the distance between the two (common
    practice, no source); it is poor near the critical point and near 4 degC for water. NaN with a
    reason: further away, equal temperatures, a density that rises with temperature.

    Source: linear interpolation.

    >>> float(round(density_between(313.15, 293.15, 850.0, 333.15, 822.0), 3))
    836.0
    """
    first, second = np.asarray(temperature_1, np.float64), np.asarray(temperature_2, np.float64)
    span = refuse(
        second - first, second == first, "temperature_2 equals temperature_1: give two points", UNUSABLE
    )
    fall = positive("density_2", density_2) - positive("density_1", density_1)
    fall = refuse(
        fall, fall * np.sign(span) > 0, "density rises with temperature: check the two points", UNUSABLE
    )
    with np.errstate(invalid="ignore"):
        share = (np.asarray(temperature, np.float64) - first) / span
    share = refuse(
        share,
        (share < -1 - 1e-9) | (share > 2 + 1e-9),
        "temperature is further from the two points than they are apart: measure a nearer one",
    )
    found = np.asarray(density_1, np.float64) + fall * share
    return scalar(np.asarray(positive("density", found)))


def expanded_density(
    density_1: ArrayLike, temperature_1: ArrayLike, expansion: ArrayLike, temperature: ArrayLike
) -> Array:
    """Density of a liquid at a temperature, from one point and its expansion coefficient.

    rho = rho1 / (1 + beta (T - T1)), beta the mean volumetric coefficient between the temperatures.

    `density_1` [kg/m3] at `temperature_1` [K], `expansion` [1/K], `temperature` [K]; all broadcast.

    Validity: beta (T - T1) between -0.3 and 0.3 (common practice, no source: beyond it beta is not
    constant). NaN with a reason outside, or for a coefficient that is negative.

    Source: definition of the volumetric expansion coefficient.

    >>> float(round(expanded_density(850.0, 288.15, 8e-4, 338.15), 4))
    817.3077
    """
    beta = np.asarray(expansion, dtype=np.float64)
    beta = refuse(beta, beta < 0, "expansion must not be negative", UNUSABLE)
    growth = beta * (np.asarray(temperature, np.float64) - np.asarray(temperature_1, np.float64))
    growth = refuse(
        growth,
        np.abs(growth) > 0.3,
        "expansion times temperature rise is beyond 0.3: check the unit (per K)",
        UNUSABLE,
    )
    return scalar(np.asarray(positive("density_1", density_1) / (1 + growth)))


# --- gas above a liquid -----------------------------------------------------------------------------


_AIR = frozenset(("air", "instrument air", "plant air", "luft", "aire", "aria", "ar"))
"""Air is a mixture, and no fluid of a level; above one it is a gas like any other."""


def gas_density(gas: str | NDArray[Any], temperature: ArrayLike, pressure: ArrayLike) -> Array:
    """Density of a gas above a liquid [kg/m3]: nitrogen, air, methane, hydrogen and other pure gases.

    `gas` by any name that `fluids.resolve` knows, or air; `temperature` [K], `pressure` [Pa absolute]; all
    broadcast. NaN with a reason: an unknown gas, a state where it is liquid, or one outside the range of its
    equation of state.

    Source: the reference equation of state as in CoolProp; dry air by Lemmon and others 2000.

    >>> float(round(gas_density("nitrogen", 293.15, 50e5), 2))
    57.81
    """
    names = np.asarray(gas, dtype=object)
    pascal, kelvin = np.asarray(pressure, np.float64), np.asarray(temperature, np.float64)
    is_air = np.array([str(name).strip().casefold() in _AIR for name in names.flat], dtype=np.bool_)
    air = is_air.reshape(names.shape)
    if air.all():
        return _gas("Air", kelvin, pascal)
    if not air.any():
        return each_fluid(gas, _gas, kelvin, pascal)
    names, air, kelvin, pascal = np.broadcast_arrays(names, air, kelvin, pascal)
    others = each_fluid(np.where(air, "Nitrogen", names), _gas, kelvin, np.where(air, np.nan, pascal))
    return scalar(np.where(air, _gas("Air", kelvin, np.where(air, pascal, np.nan)), others))


def _gas(name: str, kelvin: Array, pascal: Array) -> Array:
    limit = limits(name)
    kelvin = refuse(
        kelvin,
        (kelvin < limit.coldest) | (kelvin > limit.hottest),
        f"temperature is outside {celsius(limit.coldest)} to {celsius(limit.hottest)}, "
        f"the range of the equation of state of {name}",
    )
    pressure = positive("pressure", pascal)
    pressure = refuse(
        pressure,
        pressure > limit.highest_pressure,
        f"pressure is above {limit.highest_pressure / 1e5:.4g} bar, "
        f"where the equation of state of {name} ends",
    )
    cold = np.where(kelvin < limit.critical_temperature, kelvin, np.nan)
    boiling = evaluate(name, "QT", 1.0, cold, "p")
    pressure = refuse(
        pressure,
        pressure > boiling * (1 + AT_BOILING),
        f"{name} is liquid at this temperature and pressure: it is no gas above a level",
    )
    return evaluate(name, "PT", pressure, kelvin, "rhomass")
