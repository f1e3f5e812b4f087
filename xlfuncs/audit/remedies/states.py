"""Pressures, temperatures and materials as they should be: bounds of a gauge that is right."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import ATMOSPHERE, Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies import ceilings
from xlfuncs.audit.remedies.values import bound, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.balance import lag_in
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import density, fluids, ratings, reasons, response, viscosity
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement


def higher_test(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The test pressure that the design pressure and the code's factor ask for."""
    design = float(gauges.high("design_pressure")[hit.record])
    factor = float(hit.evidence["test_pressure_factor"])
    option = bound(gauges, hit.record, "test_pressure", design * factor, "test pressure")
    by = f"{factor:g} times the design pressure" if factor != 1 else "the design pressure"
    text = f"Needed: {option.text} or more, {by}"
    usual = _usual_factor(gauges, hit.record)
    if np.isnan(usual) or usual <= factor * 1.005:
        return Remedy(f"{text}.", (option,))
    like = bound(gauges, hit.record, "test_pressure", design * usual, "test pressure")
    others = f"as the others of this list are tested at {usual:g} times their design pressure: {like.value}"
    return Remedy(f"{text}; {others}.", (like, option))


def _usual_factor(gauges: Gauges, record: int) -> float:
    """Test over design pressure of nine in ten of the other gauges, five or more; NaN where they differ."""
    test, design = gauges.low("test_pressure"), gauges.high("design_pressure")
    with np.errstate(invalid="ignore", divide="ignore"):
        times = np.where(design > 0, test / design, np.nan)
    times[record] = np.nan
    times = times[~np.isnan(times)]
    if times.size < 5:
        return np.nan
    usual = round(float(np.median(times)), 2)
    return usual if np.mean(np.abs(times / usual - 1) < 0.005) >= 0.9 else np.nan


def raised_design(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """Design conditions that hold the operating ones."""
    running = float(gauges.high(hit.field)[hit.record])
    field = hit.field.replace("operating", "design")
    option = bound(gauges, hit.record, field, running, field.replace("_", " "))
    return Remedy(f"If the operating value stands: {option.text} or more.", (option,))


def off_boiling(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The temperature up to which, and the pressure from which on, the fluid keeps its distance."""
    record, margin = hit.record, settings.boiling_margin_k
    name = str(gauges.texts("fluid")[record])
    hottest = float(gauges.high("operating_temperature")[record])
    boiling = float(hit.evidence["saturation_temperature_degC"]) + ZERO_CELSIUS
    cooler = bound(gauges, record, "operating_temperature", boiling - margin, "a temperature of", down=True)
    options = [cooler]
    with reasons():
        needed = float(fluids.saturation_pressure(name, hottest + margin)) - ATMOSPHERE
    if not np.isnan(needed):
        options.append(bound(gauges, record, "operating_pressure", needed, "a pressure of"))
    or_more = f", or {options[1].text} or more" if options[1:] else ""
    return Remedy(f"It keeps {margin:g} K from boiling at {cooler.text} or less{or_more}.", tuple(options))


def kept_below_boiling(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The highest temperature at which the tracer may keep the fluid."""
    most, also = _ceiling(gauges, settings, hit, ceilings.boiling(gauges, settings, hit)[hit.field])
    option = bound(gauges, hit.record, hit.field, most, "a maintain temperature of", down=True)
    margin = also or f", {settings.boiling_margin_k:g} K below saturation"
    return Remedy(f"Needed: {option.text} or less{margin}.", (option,))


def cooler_tracer(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """Each temperature of the tracer that is above the lowest limit, at that limit."""
    options, clauses = [], []
    for field, limit in ceilings.limited(gauges, settings, hit).items():
        least, also = _ceiling(gauges, settings, hit, limit, field)
        options.append(bound(gauges, hit.record, field, least, f"a {field.replace('_', ' ')} of", down=True))
        clauses.append(also)
    return Remedy(
        f"Needed: {' and '.join(option.text for option in options)} or less{''.join(clauses)}.",
        tuple(options),
    )


def _ceiling(gauges: Gauges, settings: Settings, hit: Hit, own: float, field: str = "") -> tuple[float, str]:
    """The bound of a cell's temperature by all findings that bound it from above."""
    others = {**ceilings.TRACER, "chamber-colder": no_hotter}
    return ceilings.strictest(gauges, settings, hit, field or hit.field, own, others)


def no_hotter(gauges: Gauges, settings: Settings, hit: Hit) -> dict[str, float]:
    """The temperature up to which a chamber hotter than its vessel stands right."""
    field, kelvin = str(hit.case["field"]), _standing_right(gauges, settings, hit)
    hotter = float(hit.case["chamber"]) < float(hit.case["vessel"])
    return {field: kelvin} if hotter and kelvin is not None else {}


def warmer_chamber(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The chamber's temperature from which on it stands right, and the scale that would show it."""
    case, record = hit.case, hit.record
    vessel, here = float(case["vessel"]), float(case["chamber"])
    above, colder, also = float(gauges.upper[record]), here > vessel, ""
    options = []
    kelvin = _standing_right(gauges, settings, hit)
    if kelvin is not None:
        field = str(case["field"])
        if not colder:
            kelvin, also = _ceiling(gauges, settings, hit, kelvin, field)
        options.append(bound(gauges, record, field, kelvin, "the chamber kept at", down=not colder))
    boils = [one for one in ceilings.hits_of(gauges, settings, "tracing-boils-fluid") if one.record == record]
    if colder or not boils:  # no scale is made for a boiling chamber
        shown = (here - above) / (vessel - above)
        text = f"a scale on which the chamber's millimetre counts {shown:.4f}"
        options.append(Option(text, "", None, {"scale": shown}))
    side = "or above" if colder else "or below"
    said = [f"{one.text} {side}{also}" if one.name else one.text for one in options]
    return Remedy(f"What would do: {'; or '.join(said)}.", tuple(options)) if said else None


def _standing_right(gauges: Gauges, settings: Settings, hit: Hit) -> float | None:
    """The chamber's temperature at which its error is the tolerance [K]; None: not found."""
    case, record = hit.case, hit.record
    vessel, here, level = (float(case[name]) for name in ("vessel", "chamber", "level"))
    above, allowed = float(gauges.upper[record]), settings.offset_tolerance_mm * 1e-3
    aim = level - allowed if here > vessel else level + allowed
    rho = above + level * (vessel - above) / aim
    return _temperature_of(gauges, settings, record, rho, str(case["field"]))


def _temperature_of(gauges: Gauges, settings: Settings, record: int, rho: float, field: str) -> float | None:
    """Temperature between chamber and vessel at which the liquid has this density [K]; None: not found."""
    name = str(gauges.texts("fluid" if gauges.given("fluid")[record] else "service")[record])
    pascal = float(gauges.low("operating_pressure")[record]) + ATMOSPHERE

    def excess(kelvin: float) -> float:
        boiling = float(fluids.saturation_pressure(name, kelvin)) * (1 + 1e-9)
        return float(density.liquid_density(name, kelvin, np.fmax(pascal, boiling))) - rho

    inside, vessel = (float(gauges.si(one)[record]) for one in (field, "operating_temperature"))
    with reasons():
        return _root(excess, min(inside, vessel), max(inside, vessel))


def _root(excess: Callable[[float], float], low: float, high: float) -> float | None:
    """Where a falling function is zero; None where it is not between the two."""
    if not excess(low) >= 0 >= excess(high):
        return None
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if excess(middle) > 0 else (low, middle)
    return (low + high) / 2


def for_the_cold(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """What is made for the cold: groups of the standard, or a frost extension."""
    if hit.case["of"] == "frost":
        option = Option("a frost extension", "frost_extension", Measure("yes"))
        return Remedy(f"Take {option.text}.", (option,))
    coldest = float(gauges.low("design_temperature_min")[hit.record])
    system = ratings.group_system(str(hit.evidence["material_group"]))
    tables = load("flange_ratings")[system]
    if not isinstance(next(iter(tables["group"].values())), dict):
        return None  # one lowest temperature stands for all groups of this standard
    fit = [
        group
        for group, block in tables["group"].items()
        if float(block.get("lowest", tables["lowest"])) + ZERO_CELSIUS <= coldest + 1e-6
    ]
    cold = gauges.say(hit.record, "design_temperature_min", coldest)
    if not fit:
        return Remedy(f"No group of this standard is rated from {cold} on: the code decides.")
    options = tuple(Option(f"group {group}", "material_group", Measure(group)) for group in fit)
    return Remedy(f"Groups of this standard that are rated from {cold} on: {', '.join(fit)}.", options)


def lower_ballast(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The metacentre, below which the centre of gravity has to be."""
    height = float(hit.evidence["metacentric_height_mm"]) + float(hit.evidence["centre_of_gravity_mm"])
    option = bound(gauges, hit.record, hit.field, height * 1e-3 - 1e-6, "a centre of gravity", down=True)
    return Remedy(
        f"Needed: {option.text} above the bottom or lower, by ballast or a longer float.", (option,)
    )


def listed_value(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The float list's value in the index."""
    number = float(gauges.listed[hit.field].take(gauges.float_row).value[hit.record])
    option = whole(gauges, hit.record, hit.field, number, "")
    return Remedy(f"If the float list is right: {option.text} here as well.", (option,))


def thin_enough(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The temperature from which on the fluid is thin enough, or the bore in which the float keeps up."""
    options = [*_warm_enough(gauges, settings, hit.record), *_wide_enough(gauges, settings, hit.record)]
    if not options:
        lacking = "a second viscosity with its temperature, or the float's mass and size"
        return Remedy(f"No number can be computed: state {lacking}.")
    bores = [option.changes["chamber_bore"] for option in options if "chamber_bore" in option.changes]
    shown = lag_in(gauges, settings, hit.record, bores[0]) if bores else None
    return Remedy(
        f"Needed: {'; or '.join(option.text for option in options)}, or more.", tuple(options), shown
    )


def _warm_enough(gauges: Gauges, settings: Settings, record: int) -> Iterator[Option]:
    """The temperature at which the viscosity is at its limit, from two stated points (ASTM D341)."""
    thin, thick = (float(end("viscosity")[record]) for end in (gauges.low, gauges.high))
    cold, hot = (float(end("operating_temperature")[record]) for end in (gauges.low, gauges.high))
    rho = float(gauges.densities[0][record])
    if np.isnan(thin + thick + cold + hot + rho) or not (thin < thick and cold < hot):
        return
    with reasons():
        limit = settings.viscosity_limit_mpas * 1e-3
        found = float(viscosity.temperature_for_viscosity(limit / rho, cold, thick / rho, hot, thin / rho))
    if not np.isnan(found):
        yield bound(gauges, record, "maintain_temperature", found, "tracing that keeps")


def _wide_enough(gauges: Gauges, settings: Settings, record: int) -> Iterator[Option]:
    """The bore in which a known float lags by no more than the tolerance."""
    mass, diameter, length, ends = (part[record] for part in gauges.float_shape)
    rho, upper = float(gauges.densities[0][record]), float(gauges.upper[record])
    if np.isnan(mass + diameter + length + rho + upper):
        return
    rate = float(gauges.or_default("level_rate", settings.level_rate_mm_s * 1e-3)[record])
    state = Fluids(rho, upper, float(gauges.high("viscosity")[record]))
    bores = diameter + np.arange(1, _WIDEST + 1) * 1e-3
    with reasons():
        lags = np.asarray(
            response.lag(Float(mass, diameter, length, ends=ends), state, Chamber(bores), Movement(rate))
        )
    with np.errstate(invalid="ignore"):
        enough = np.flatnonzero(lags * 1e3 <= settings.offset_tolerance_mm)
    if len(enough):
        wide = float(bores[enough[0]])
        yield replace(
            bound(gauges, record, "chamber_bore", wide, "a chamber bore of"), changes={"chamber_bore": wide}
        )


_WIDEST: Final = 100
"""Millimetres by which a chamber may be wider than its float, at most (common practice, no source)."""
