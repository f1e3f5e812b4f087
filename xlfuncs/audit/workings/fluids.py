"""Densities, boiling and viscosity, as the rules compute them."""

from __future__ import annotations

import numpy as np

from xlfuncs.audit.gauges import ATMOSPHERE
from xlfuncs.audit.operating import liquid_at
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import Working
from xlfuncs.audit.workings.balance import stated_density
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge.fluids import resolve, saturation_pressure

STATES = "reference equation of state of the pure fluid (CoolProp, IAPWS-95)"
OILS = "API MPMS 11.1"


def reference_density(work: Working, hit: Hit) -> None:
    """The stated density against that of the fluid at operating conditions."""
    work.text("fluid", "fluid")
    rho, reference = (float(hit.evidence[f"{name}_density_kg_m3"]) for name in ("stated", "reference"))
    low = rho < reference
    stated_density(work, "rho", rho)
    work.cell("T", "operating_temperature", "high" if low else "low")
    if work.gauges.given("operating_pressure")[work.record]:
        work.cell("p", "operating_pressure", "low" if low else "high")
    work.setting("x_max", "density_deviation")
    _boiling(work, "p_s", "T", str(work.gauges.texts("fluid")[work.record]))
    oil = work.gauges.by_api_gravity[work.record] and not work.gauges.known_fluid[work.record]
    function, source = ("gauge.density.oil_density_60", OILS) if oil else ("LG_DENSITY_AT", STATES)
    work.computed("rho_T", "density at operating conditions", reference, "kg/m3", function, source)
    work.step("x", "deviation of the stated density", "rho/rho_T-1", "")
    work.judge("ABS(x)>x_max", "x", "x_max")


def _boiling(work: Working, symbol: str, at: str, fluid: str) -> None:
    """Put in the pressure of a boiling liquid, where the stated one is within the margin below it."""
    if "p" not in work.numbers or resolve(fluid) is None:
        return
    stated, margin = work.numbers["p"] + ATMOSPHERE, work.settings.boiling_margin_k
    names = np.array([fluid], dtype=object)
    taken = float(liquid_at(names, np.array([work.numbers[at]]), np.array([stated]), margin)[0])
    if taken > stated:
        name = f"pressure taken instead of p: saturation at {at}, so that the fluid is liquid"
        source = f"the stated state is vapour, and within {margin:g} K of boiling"
        work.constant(symbol, name, taken - ATMOSPHERE, "Pa", source, (at, "p"))


def saturation(work: Working, boiling: float) -> None:
    """T_s, the saturation temperature at operating pressure."""
    work.text("fluid", "fluid")
    work.cell("p", "operating_pressure", "low")
    work.computed("T_s", "saturation temperature", boiling, "K", "LG_SATURATION_TEMPERATURE", STATES)


def boils(work: Working, hit: Hit) -> None:
    """Distance of the operating temperature from saturation."""
    saturation(work, float(hit.evidence["saturation_temperature_degC"]) + ZERO_CELSIUS)
    work.cell("T", "operating_temperature", "high")
    work.setting("x_min", "boiling_margin_k", 1.0, "K difference")
    work.step("x", "distance from saturation", "T_s-T", "K difference")
    _kept_off(work)
    names = np.array([str(work.gauges.texts("fluid")[work.record])], dtype=object)
    least = float(saturation_pressure(names, np.array([work.numbers["T"] + work.numbers["x_min"]]))[0])
    if np.isfinite(least):
        name = "least pressure that keeps the distance: saturation at T+x_min"
        work.computed("p_ok", name, least - ATMOSPHERE, "Pa", "LG_SATURATION_PRESSURE", STATES)
    work.judge("x<x_min", "x", "x_min")


def kept_too_hot(work: Working, hit: Hit) -> None:
    """Maintain temperature against saturation."""
    saturation(work, float(hit.evidence["saturation_temperature_degC"]) + ZERO_CELSIUS)
    work.cell("T_m", "maintain_temperature", "high")
    work.setting("x_min", "boiling_margin_k", 1.0, "K difference")
    _kept_off(work)
    work.judge("T_m>=T_s", "T_m", "T_s")


def _kept_off(work: Working) -> None:
    """The highest temperature that keeps its distance from boiling: what would do."""
    work.step("T_ok", "highest temperature that keeps the distance", "T_s-x_min", "K")


def viscosity(work: Working, hit: Hit) -> None:
    """Operating viscosity against the limit."""
    work.cell("mu", "viscosity", "high")
    work.setting("mu_max", "viscosity_limit_mpas", 1e-3, "Pa.s")
    work.judge("mu>mu_max", "mu", "mu_max")


def chamber_level(work: Working, hit: Hit) -> None:
    """The column in the chamber that weighs as much as that in the vessel."""
    work.text("fluid", "fluid" if work.gauges.given("fluid")[work.record] else "service")
    work.cell("T_v", "operating_temperature")
    work.cell("T_c", str(hit.case["field"]))
    if work.gauges.given("operating_pressure")[work.record]:
        work.cell("p", "operating_pressure", "low")
    if work.gauges.given("upper_density")[work.record]:
        stated_density(work, "rho_u", float(work.gauges.upper[work.record]), ("upper_density",))
    else:
        work.assume("rho_u", "density of the vapour above", 0.0, "kg/m3")
    work.assume("h", "level in the vessel", float(hit.case["level"]), "m", "upper end of the range")
    work.setting("x_max", "offset_tolerance_mm", 1e-3, "m")
    for symbol, where in (("rho_v", "vessel"), ("rho_c", "chamber")):
        _boiling(work, f"p_{where[0]}", f"T_{where[0]}", str(hit.case["fluid"]))
        name = f"density of the liquid in the {where}"
        work.computed(symbol, name, float(hit.case[where]), "kg/m3", "LG_DENSITY_AT", STATES)
    work.step("h_c", "level in the chamber", "h*(rho_v-rho_u)/(rho_c-rho_u)", "m", "balance of both columns")
    work.step("x", "error of the chamber", "h_c-h", "m")
    work.judge("ABS(x)>x_max", "x", "x_max")
