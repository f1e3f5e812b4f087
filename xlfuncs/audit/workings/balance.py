"""The float balance, as the rules compute it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import DENSITIES
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import SI, Working
from xlfuncs.audit.workings import effects
from xlfuncs.data import load
from xlfuncs.gauge import STANDARD_GRAVITY, floats, response
from xlfuncs.gauge.model import Float, Fluids

MODEL = "sum of the effects at one case"
BALANCE = "balance of weight and buoyancy (Archimedes)"
GEOMETRY = "geometry"
METACENTRE = "hydrostatics (metacentre, Bouguer 1746)"
_DEPTH = {"flat": "0", "hemispherical": "d/2", "elliptical": "d/4"}
"""Depth of an end that is half of a spheroid."""


def shape(work: Working, ends: str) -> None:
    """Mass, size and volume of the float: m, d, L, A, V."""
    work.cell("m", "float_mass")
    work.cell("d", "float_diameter")
    work.cell("L", "float_length")
    stated = work.states("float_ends")
    work.text("ends", "float_ends", default=ends)
    work.step("A", "cross-section of the float", "PI()/4*d^2", "m2", GEOMETRY)
    bottom, top = floats.split_ends(ends)
    if ends != "flat" or not stated:
        for which, letter in ((bottom, "b"), (top, "t")):
            _end(work, which, letter)
        work.step("V", "volume of the float", "A*(L-c_b-c_t)+V_b+V_t", "m3", GEOMETRY)
    else:
        work.step("V", "volume of the float", "A*L", "m3", GEOMETRY)


def _end(work: Working, which: str, letter: str) -> None:
    """Depth and volume of one end: c_b and V_b, or c_t and V_t."""
    side = "bottom" if letter == "b" else "top"
    if which in _DEPTH:
        work.step(f"c_{letter}", f"depth of the {which} {side}", _DEPTH[which], "m", GEOMETRY)
        work.step(f"V_{letter}", f"volume of the {which} {side}", f"2/3*A*c_{letter}", "m3", GEOMETRY)
        return
    across = work.numbers["d"]
    depth = float(floats.ends_length(across, which)) / 2
    both = float(floats.volume(across, 2 * depth, which))
    source = "crown and knuckle in the proportions of DIN 28011 and DIN 28013"
    name = f"of the {which} {side}, over the diameter"
    work.constant(f"x_{letter}", f"depth {name}", depth / across, "", source)
    work.constant(f"y_{letter}", f"volume {name}'s cube", both / 2 / across**3, "", source)
    work.step(f"c_{letter}", f"depth of the {which} {side}", f"x_{letter}*d", "m", source)
    work.step(f"V_{letter}", f"volume of the {which} {side}", f"y_{letter}*d^3", "m3", source)


def densities(work: Working, lower: float, upper: float) -> None:
    """The two fluids of one case: rho and rho_u [kg/m3], each from the cell in which it stands."""
    stated_density(work, "rho", lower)
    if work.gauges.given("upper_density")[work.record]:
        stated_density(work, "rho_u", upper, ("upper_density",))
    else:
        work.assume("rho_u", "density of the vapour above", upper, "kg/m3")


def stated_density(work: Working, symbol: str, number: float, names: tuple[str, ...] = DENSITIES) -> None:
    """The cell, and its end, that states a density."""
    for name in names:
        work.ask(name)
    lowest, highest = (float(end[work.record]) for end in work.gauges.densities)
    work.one_case |= names == DENSITIES and lowest != highest
    for name in names:
        column = work.gauges.column(name)
        if not column.given[work.record]:
            continue
        for end in ("low", "high"):
            if float(getattr(column, end)[work.record]) == number:
                work.cell(symbol, name, end)
                return
    work.cell(symbol, names[0])


def immersion(work: Working, ends: str, at: str = "") -> None:
    """V_s, the volume below the surface, and h, the depth of the float's bottom.

    `at`: "_d" for those at the design density.
    """
    h, under, rho = f"h{at}", f"V_s{at}", f"rho{at}"
    where = " at the design density" if at else ""
    work.step(under, f"volume below the surface{where}", f"(m-rho_u*V)/({rho}-rho_u)", "m3", BALANCE)
    now = work.numbers
    if floats.split_ends(ends) == ("flat", "flat"):
        work.holds(f"AND({under}>=0,{under}<=V)", f"the float sinks or hangs free{where}")
        work.step(h, f"immersion{where}", f"{under}/A", "m", GEOMETRY)
    elif now["V_b"] <= now[under] <= now["V"] - now["V_t"]:
        work.holds(f"AND({under}>=V_b,{under}<=V-V_t)", f"the surface is at an end of the float{where}")
        name = f"immersion{where} (surface at the straight part)"
        work.step(h, name, f"c_b+({under}-V_b)/A", "m", GEOMETRY)
    else:
        depth = floats.immersion(now["m"], now["d"], now["L"], now[rho], now["rho_u"], ends)
        name = f"immersion{where} (surface at an end)"
        work.computed(h, name, float(depth), "m", "LG_IMMERSION", GEOMETRY, (*"mdL", rho, "rho_u"))


def offset(work: Working, hit: Hit) -> None:
    """Reading offset against the tolerance."""
    ends, lower, upper = case_of(hit)
    shape(work, ends)
    work.cell("z", "magnet_height")
    densities(work, lower, upper)
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    immersion(work, ends)
    work.step(
        "e", "reading offset: indicated minus true", "z-h", "m", "the indicator follows the magnet plane"
    )
    _window(work, hit)
    work.judge("ABS(e)>e_max", "e", "e_max", note_of_shape(work))


def _window(work: Working, hit: Hit) -> None:
    """The densities for which the float reads within the tolerance, and the one for which it reads true."""
    if "window_low_kg_m3" not in hit.evidence:
        return
    curved = "c_b" in work.numbers
    named = (
        ("rho_lo", "lowest density within the tolerance", "z+e_max", "window_low_kg_m3"),
        ("rho_hi", "highest density within the tolerance", "z-e_max", "window_high_kg_m3"),
    )
    for symbol, name, depth, evidence in named:
        under = f"(V_b+A*({depth}-c_b))" if curved else f"(A*({depth}))"
        density = f"rho_u+(m-rho_u*V)/{under}"
        number = float(hit.evidence[evidence])
        if not work.tried(partial(work.step, symbol, name, density, "kg/m3", effects.STRAIGHT), number):
            work.computed(symbol, name, number, "kg/m3", "LG_DENSITY_WINDOW", BALANCE)


def case_of(hit: Hit) -> tuple[str, float, float]:
    """Shape of the ends and the two densities of the case that was decided."""
    return str(hit.case["ends"]), float(hit.case["lower"]), float(hit.case["upper"])


def note_of_shape(work: Working) -> str:
    """That a shape was taken, where none is stated."""
    if work.gauges.given("float_ends")[work.record]:
        return ""
    return (
        "No shape of ends is stated: this is the one that reads nearest to the truth; the others read worse."
    )


def mean_density(work: Working, hit: Hit) -> None:
    """Mean density of the float against the lowest density of the fluid."""
    ends = _lightest(work)
    shape(work, ends)
    stated_density(work, "rho", lowest_density(work))
    work.step("rho_f", "mean density of the float", "m/V", "kg/m3", "mass over volume")
    work.judge("rho_f>=rho", "rho_f", "rho", _whatever_shape(work))


def between(work: Working, hit: Hit) -> None:
    """Mean density of the float between those of the two liquids."""
    ends = _lightest(work)
    shape(work, ends)
    densities(work, lowest_density(work), float(work.gauges.high("upper_density")[work.record]))
    work.step("rho_f", "mean density of the float", "m/V", "kg/m3", "mass over volume")
    work.judge("OR(rho_f>=rho,rho_f<=rho_u)", "rho_f", "", _whatever_shape(work))


def reserve(work: Working, hit: Hit) -> None:
    """Share of the float above the surface."""
    ends = _lightest(work)
    shape(work, ends)
    densities(work, lowest_density(work), float(work.gauges.uppers[0][work.record]))
    work.setting("s_min", "float_reserve_minimum")
    work.step("V_s", "volume below the surface", "(m-rho_u*V)/(rho-rho_u)", "m3", BALANCE)
    work.step("s", "share of the float above the surface", "1-V_s/V", "", GEOMETRY)
    work.judge("s<s_min", "s", "s_min", _whatever_shape(work))


def gap(work: Working, hit: Hit) -> None:
    """Difference of the two densities of an interface."""
    densities(work, lowest_density(work), float(work.gauges.high("upper_density")[work.record]))
    work.setting("g_min", "interface_gap_minimum_kg_m3", 1.0, "kg/m3")
    work.step("g", "difference of the densities", "rho-rho_u", "kg/m3")
    work.judge("g<g_min", "g", "g_min")


def swapped(work: Working, hit: Hit) -> None:
    """The upper fluid against the lower one."""
    densities(work, lowest_density(work), float(work.gauges.high("upper_density")[work.record]))
    work.judge("rho_u>=rho", "rho_u", "rho")


def design_density(work: Working, hit: Hit) -> None:
    """Operating density against the one that the float was made for."""
    if hit.case:
        _at_design_density(work, hit)
        return
    work.cell("rho_d", "float_design_density")
    stated_density(work, "rho", float(hit.evidence["density_kg_m3"]))
    work.setting("x_max", "design_density_tolerance")
    work.step("x", "deviation", "rho/rho_d-1", "")
    work.judge("ABS(x)>x_max", "x", "x_max")


def _at_design_density(work: Working, hit: Hit) -> None:
    """Reading offset, the magnet plane taken where the surface is at the design density."""
    ends, lower, upper = case_of(hit)
    shape(work, ends)
    work.cell("rho_d", "float_design_density")
    densities(work, lower, upper)
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    immersion(work, ends, "_d")
    immersion(work, ends)
    source = "the magnet plane is taken at the surface at the design density"
    work.step("e", "reading offset: indicated minus true", "h_d-h", "m", source)
    work.judge("ABS(e)>e_max", "e", "e_max", note_of_shape(work))


def density_order(work: Working, hit: Hit) -> None:
    """Lowest, operating and highest density in their order."""
    given = work.gauges.given
    tests = []
    work.setting("k", "density_order_tolerance")
    if given("fluid_density_min")[work.record]:
        work.cell("rho_min", "fluid_density_min")
    if given("fluid_density_max")[work.record]:
        work.cell("rho_max", "fluid_density_max")
    if {"rho_min", "rho_max"} <= work.numbers.keys():
        tests.append("rho_min>rho_max")
    if given("fluid_density")[work.record]:
        if "rho_min" in work.numbers:
            work.cell("rho_l", "fluid_density", "low")
            tests.append("rho_l<rho_min*(1-k)")
        if "rho_max" in work.numbers:
            work.cell("rho_h", "fluid_density", "high")
            tests.append("rho_h>rho_max*(1+k)")
    work.judge(f"OR({','.join(tests)})")


def float_fits(work: Working, hit: Hit) -> None:
    """The magnet plane inside the float, and the length that its ends need."""
    work.cell("L", "float_length")
    if hit.field == "magnet_height":
        work.cell("z", "magnet_height")
        work.judge("z>L", "z", "L")
        return
    work.cell("d", "float_diameter")
    ends = str(work.gauges.ends[work.record])
    work.step("A", "cross-section of the float", "PI()/4*d^2", "m2", GEOMETRY)
    for which, letter in zip(floats.split_ends(ends), "bt", strict=True):
        _end(work, which, letter)
    work.step("c", "depth of both ends", "c_b+c_t", "m", GEOMETRY)
    work.judge("L<c*(1-1E-9)", "L", "c")


def conflict(work: Working, hit: Hit) -> None:
    """The index's statement of a float against the float list's."""
    gauges, field = work.gauges, hit.field
    work.cell("a", field)
    work.listed("b", field, int(gauges.float_row[work.record]))
    work.setting("k", "float_data_tolerance")
    unit = SI[load("fields")[field]["quantity"]]
    work.step("x", "difference", "ABS(a-b)", unit)
    work.step("x_max", "permitted difference", "k*ABS(b)", unit)
    work.judge("x>x_max", "x", "x_max")


def level_rate(work: Working, symbol: str) -> None:
    """How fast the level moves: as stated, else as the settings have it."""
    if "level_rate" in work.proposed or work.gauges.given("level_rate")[work.record]:
        work.cell(symbol, "level_rate")
    else:
        work.setting(symbol, "level_rate_mm_s", 1e-3, "m/s")


def lag_of(work: Working, ends: str) -> None:
    """e, the lag of the float, and B, the force that pushes it under, against its drag F."""
    shape(work, ends)
    densities(work, lowest_density(work), float(work.gauges.upper[work.record]))
    work.cell("mu", "viscosity", "high")
    work.cell("D", "chamber_bore")
    level_rate(work, "w")
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    work.constant("g", "standard gravity", STANDARD_GRAVITY, "m/s2", "ISO 80000-3, CGPM 1901")
    immersion(work, ends)
    effects.drag_coefficient(work)
    work.step("F", "drag", "k*mu*h*w", "N", effects.STOKES)
    now = work.numbers
    float_ = Float(now["m"], now["d"], now["L"], ends=ends)
    section = float(response.restoring(float_, Fluids(now["rho"], now["rho_u"])))
    if "c_b" not in now or now["c_b"] <= now["h"] <= now["L"] - now["c_t"]:
        if "c_b" in now:
            work.holds("AND(h>=c_b,h<=L-c_t)", "the surface is at an end of the float")
        work.step("c", "restoring force per length", "A*(rho-rho_u)*g", "N/m", BALANCE)
    else:
        name, function = "restoring force per length", "gauge.response.restoring"
        work.computed("c", name, section, "N/m", function, BALANCE, "*")
    work.step("B", "force that pushes the float under", "(rho-rho_u)*(V-V_s)*g", "N", BALANCE)
    work.step("e", "lag", "F/c", "m", "linear about the rest position")


def lag(work: Working, hit: Hit) -> None:
    """The float behind the level, by viscous drag in liquid at rest."""
    lag_of(work, str(hit.case["ends"]))
    if "lead_mm" in hit.evidence:
        name = "ahead of the level higher up, where the liquid moves too"
        ahead = "F*(D^2-d^2)/(D^2+d^2)/c"
        lead = float(hit.evidence["lead_mm"]) * 1e-3
        if not work.tried(lambda: work.step("e_ahead", name, ahead, "m", effects.LEAD), lead):
            work.computed("e_ahead", name, lead, "m", "gauge.response.lead", effects.LEAD)
    work.judge("OR(e>e_max,F>B)", "e", "e_max", "A drag above the force that is left draws the float under.")


def worst(work: Working, hit: Hit) -> None:
    """Offset, uncertainty, movement, tilt and heat, added up for the worst case."""
    ends = str(work.gauges.ends[work.record])
    lower, upper = float(hit.case["lower"]), float(hit.case["upper"])
    shape(work, ends)
    work.cell("z", "magnet_height")
    densities(work, lower, upper)
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    immersion(work, ends)
    for field in _MOVES:
        work.ask(field)
    parts = {effect: float(value) * 1e-3 for effect, value in hit.case["parts"].items()}
    terms = summed(work, "reading offset", parts)
    side = "e<=0" if work.numbers["e"] <= 0 else "e>=0"
    whatever = "+".join(f"ABS({term})" for term in terms)
    work.holds(f"OR({side},{whatever}<=e_max)", "the float reads worst on the other side")
    work.judge("ABS(w)>e_max*(1+1E-9)", "w", "e_max")


def summed(work: Working, name: str, shares: Mapping[str, float]) -> list[str]:
    """w, the reading less the level: e, the offset, and what else shifts the reading at that case [m].

    Returns the symbols that are summed.
    """
    work.step("e", name, "z-h", "m", "the indicator follows the magnet plane")
    terms = ["e"]
    for effect, value in shares.items():
        if abs(value) > _DUST and effect != "offset":
            terms.append(effects.share(work, effect, value))
    work.step("w", "worst reading less true level", "+".join(terms), "m", MODEL)
    return terms


_MOVES = (
    "viscosity", "chamber_bore", "level_rate", "operating_temperature", "design_temperature",
    "float_material",
)  # fmt: skip
"""Fields on which the effects beside the balance depend."""
_DUST = 1e-12
"""What the subtraction of numbers leaves of an effect that is none [m]."""


def lowest_density(work: Working) -> float:
    """Lowest stated density of the (lower) fluid."""
    return float(work.gauges.densities[0][work.record])


def _lightest(work: Working) -> str:
    """Shape of the ends: the stated one, else that with the most volume, which is the lightest float."""
    gauges, record = work.gauges, work.record
    if gauges.given("float_ends")[record]:
        return str(gauges.ends[record])
    mass, diameter, length, _ = (column[record] for column in gauges.float_shape)
    volumes = [floats.float_density(mass, diameter, length, ends) for ends in floats.ENDS]
    return floats.ENDS[int(np.nanargmin(volumes))]


def _whatever_shape(work: Working) -> str:
    if work.gauges.given("float_ends")[work.record]:
        return ""
    return "No shape of ends is stated: with any other the float is denser still."


def with_anothers_float(work: Working, hit: Hit) -> None:
    """Reading offset with the float of another gauge, within the tolerance."""
    gauges, other = work.gauges, int(hit.case["other"])
    ends = str(hit.case["ends"])
    work.floats_of = other
    shape(work, ends)
    work.cell("z", "magnet_height")
    work.floats_of = work.record
    mass, diameter, length, _ = (column[other] for column in gauges.float_shape)
    plane, upper = float(gauges.si("magnet_height")[other]), float(gauges.upper[work.record])
    lower = max(
        (float(end[work.record]) for end in gauges.densities),
        key=lambda rho: abs(float(floats.reading_offset(mass, diameter, length, plane, rho, upper, ends))),
    )
    densities(work, lower, upper)
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    immersion(work, ends)
    work.step("e", "reading offset with it", "z-h", "m", "the indicator follows the magnet plane")
    tag = gauges.tag(other)
    note = f"With the float of {tag}: it reads right here, its own does not." if tag else ""
    work.judge("ABS(e)<=e_max", "e", "e_max", note)


def stability(work: Working, hit: Hit) -> None:
    """The metacentre above the centre of gravity."""
    ends = str(hit.case["ends"])
    shape(work, ends)
    work.cell("z_g", "float_centre_of_gravity", "high")
    densities(work, float(hit.case["lower"]), float(hit.case["upper"]))
    immersion(work, ends)
    if floats.split_ends(ends) == ("flat", "flat"):
        buoyant = "(rho*A*h^2/2+rho_u*A*(L^2-h^2)/2)/m"
        work.step("z_b", "moment of the buoyancy over the mass", buoyant, "m", GEOMETRY)
        work.step("b", "metacentre above that", "(rho-rho_u)*PI()/4*(d/2)^4/m", "m", METACENTRE)
        work.step("GM", "metacentric height", "z_b+b-z_g", "m", METACENTRE)
    else:
        height = float(hit.evidence["metacentric_height_mm"]) / 1e3
        work.computed("GM", "metacentric height", height, "m", "LG_METACENTRIC_HEIGHT", METACENTRE, "*")
    work.judge("GM<=0", "GM")
