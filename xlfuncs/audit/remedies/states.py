"""Pressures, temperatures and materials as they should be: bounds of a gauge that is right."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import ATMOSPHERE, Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies import ceilings
from xlfuncs.audit.remedies.doubted import cold
from xlfuncs.audit.remedies.duties import by_so_much
from xlfuncs.audit.remedies.own_part import checked_by
from xlfuncs.audit.remedies.taken import alone, shown, tried
from xlfuncs.audit.remedies.trial import body_of
from xlfuncs.audit.remedies.values import bound, or_more, usual, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.strength import with_test
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import density, floats, fluids, ratings, reasons


@tried
def higher_test(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The test pressure that the design pressure and the code's factor ask for."""
    design = float(gauges.high("design_pressure")[hit.record])
    factor = float(hit.evidence["test_pressure_factor"])
    option = bound(gauges, hit.record, "test_pressure", design * factor, "test pressure")
    by = f"{factor:g} times the design pressure" if factor != 1 else "the design pressure"
    text = f"Needed: {or_more(option)}, {by}"
    least = with_test(gauges, settings, hit, design * factor)
    theirs, others_ = _usual_factor(gauges, hit.record)
    if np.isnan(theirs) or theirs <= factor * 1.005:
        return Remedy(f"{text}.", (option,), least)
    like = bound(gauges, hit.record, "test_pressure", design * theirs, "test pressure")
    others = f"as the others of this list are tested at {theirs:g} times their design pressure: {like.value}"
    shown_ = with_test(gauges, settings, hit, design * theirs, (theirs, others_))
    return Remedy(f"{text}; {others}.", (like, option), shown_, (("the least test pressure", least),))


def _usual_factor(gauges: Gauges, record: int) -> tuple[float, int]:
    """Test over design pressure of nine in ten of the other gauges, five or more, and how many they are; NaN
    where they differ."""
    test, design = gauges.low("test_pressure"), gauges.high("design_pressure")
    with np.errstate(invalid="ignore", divide="ignore"):
        times = np.where(design > 0, test / design, np.nan)
    times[record] = np.nan
    times = times[~np.isnan(times)]
    middle = float(np.median(times)) if times.size else np.nan
    return round(usual(times, 0.005 * middle, few=5), 2), times.size


@tried
def raised_design(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """Design conditions that hold the operating ones."""
    running = float(gauges.high(hit.field)[hit.record])
    field = hit.field.replace("operating", "design")
    option = bound(gauges, hit.record, field, running, field.replace("_", " "))
    rated = "where vessel, relief and gauge are rated for that"
    return Remedy(f"Check the operating value first. If it stands: {or_more(option)}, {rated}.", (option,))


@tried
def off_boiling(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The temperature up to which, and the pressure from which on, the fluid keeps its distance.

    A vessel that is stated at saturation lives there: no other state of it is proposed.
    """
    record, margin = hit.record, settings.boiling_margin_k
    service = str(gauges.texts("service")[record])
    accepted = f"accept it for its service{f' ({service})' if service else ''}, once for all its gauges"
    distance = float(hit.evidence["margin_K"])
    if abs(distance) <= _AT_SATURATION:
        return Remedy(
            f"It is stated at saturation: where the vessel lives there, {accepted}; else temperature or"
            " pressure is wrong."
        )
    name = str(gauges.texts("fluid")[record])
    hottest = float(gauges.high("operating_temperature")[record])
    boiling = float(hit.evidence["saturation_temperature_degC"]) + ZERO_CELSIUS
    cooler = bound(gauges, record, "operating_temperature", boiling - margin, "a temperature of", down=True)
    options = [cooler]
    with reasons():
        needed = float(fluids.saturation_pressure(name, hottest + margin)) - ATMOSPHERE
    if not np.isnan(needed):
        options.append(bound(gauges, record, "operating_pressure", needed, "a pressure of"))
    more = f", or {or_more(options[1])}" if options[1:] else ""
    keeps = by_so_much(gauges, record, "operating_temperature", margin)
    lives = f"; where it lives that near to boiling, {accepted}" if distance > 0 else ""
    return Remedy(f"It keeps {keeps} from boiling at {cooler.text} or less{more}{lives}.", tuple(options))


_AT_SATURATION: Final = 1.0
"""Kelvin from saturation that rounding of temperature and pressure explains (common practice, no source)."""


@tried
def kept_below_boiling(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The highest temperature at which the tracer may keep the fluid."""
    most, also = _ceiling(gauges, settings, hit, ceilings.boiling(gauges, settings, hit)[hit.field])
    option = bound(gauges, hit.record, hit.field, most, "a maintain temperature of", down=True)
    below = by_so_much(gauges, hit.record, hit.field, settings.boiling_margin_k)
    margin = also or f", {below} below saturation"
    return Remedy(f"Needed: {option.text} or less{margin}.", (option,))


@tried
def cooler_tracer(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """Each temperature of the tracer that is above the lowest limit, at that limit.

    Where the fluid is hotter than the float or its magnet bears, no tracer cures it.
    """
    fluid = float(gauges.high("operating_temperature")[hit.record])
    limit = float(hit.evidence["limit_degC"]) + ZERO_CELSIUS
    if fluid > limit and str(hit.evidence["limited_by"]).startswith(("float_", "magnet_")):
        hot = gauges.say(hit.record, "operating_temperature", fluid)
        return Remedy(
            f"The fluid itself is at {hot}, above that limit: no other tracer cures it, only a float and a"
            " magnet for that temperature."
        )
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
    others, field = {**ceilings.TRACER, "chamber-colder": no_hotter}, field or hit.field
    least, also = ceilings.strictest(gauges, settings, hit, field, own, others)
    then = alone(gauges, hit.record, {field: least})
    for slug, found in shown(then, settings).items():
        kelvin = others[slug](then, settings, found).get(field, least) if slug in others else least
        if kelvin < least:
            at_first = gauges.say(hit.record, field, own)
            least, also = kelvin, f", so that {slug} finds nothing then ({at_first} for this finding alone)"
    return least, also


def no_hotter(gauges: Gauges, settings: Settings, hit: Hit) -> dict[str, float]:
    """The temperature up to which a chamber hotter than its vessel stands right."""
    field, kelvin = str(hit.case["field"]), _standing_right(gauges, settings, hit)
    hotter = float(hit.case["chamber"]) < float(hit.case["vessel"])
    return {field: kelvin} if hotter and kelvin is not None else {}


@tried
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
    off = _reads_in(gauges, record, here, above)
    # no scale is made for a boiling chamber, nor for a float that does not show the chamber's own level
    if (colder or not boils) and not abs(off) > settings.offset_tolerance_mm * 1e-3:
        shown = (here - above) / (vessel - above)
        text = f"a scale on which the chamber's millimetre counts {shown:.4f}"
        options.append(Option(text, "", None, {"scale": shown}))
    side = "or above" if colder else "or below"
    said = [f"{one.text} {side}{also}" if one.name else one.text for one in options]
    return Remedy(f"What would do: {'; or '.join(said)}.", tuple(options)) if said else None


def wider_gap(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """How far the densities have to be apart, and what a gram does to the float as it is."""
    record, least = hit.record, settings.interface_gap_minimum_kg_m3
    lower, gap = float(gauges.densities[0][record]), float(hit.evidence["density_gap_kg_m3"])
    needed = bound(gauges, record, "upper_density", lower - least, down=True).value
    apart = by_so_much(gauges, record, "upper_density", least)
    text = (
        f"No float cures it. Needed: densities {apart} apart or more, with this lower one an upper one of"
        f" {needed} or less."
    )
    body, off = body_of(gauges, record), _reads_in(gauges, record, lower, lower - gap)
    if body is None or np.isnan(off):
        return Remedy(text)
    more, deposit = _about_a_gram(gauges, record)
    heavier = _reads_in(gauges, record, lower, lower - gap, more)
    moved = "under" if np.isnan(heavier) else f"by {abs(heavier - off) * 1e3:.1f} mm"
    return Remedy(
        f"{text} As stated this float {cold(off * 1e3, off * 1e3)}; {deposit} more (a deposit, its mass"
        f" rounded) moves it {moved}."
    )


def _about_a_gram(gauges: Gauges, record: int) -> tuple[float, str]:
    """A gram, or as much in one digit of the unit of the float's mass [kg]; and as it is said."""
    one = gauges.measure(record, "float_mass", 1e-3)
    if one is None or isinstance(one.value, str):
        return 1e-3, "1 g"
    digit = float(f"{one.value:.0e}")
    return 1e-3 * digit / one.value, str(Measure(digit, one.unit))


def _reads_in(gauges: Gauges, record: int, rho: float, above: float, more: float = 0.0) -> float:
    """How far the float shows beside the level of a liquid [m]; NaN where that is not known.

    `more`: what it weighs besides [kg].
    """
    body = body_of(gauges, record)
    if body is None:
        return np.nan
    mass, diameter, length, plane, ends = body
    with reasons():
        return float(floats.reading_offset(mass + more, diameter, length, plane, rho, above, ends))


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
    do = checked_by(hit.field)
    return Remedy(
        f"{do[0].upper()}{do[1:]}. If the float list is right: {option.text} here as well.", (option,)
    )
