"""Pressures and temperatures against their limits, as the rules compute them."""

from __future__ import annotations

import numpy as np

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.working import Table, Working
from xlfuncs.audit.workings import shells
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import ratings

ROUNDING = "rounding in another unit: 145 psi are 10 bar (common practice, no source)"


def _rounding(work: Working) -> None:
    work.constant("k", "relative difference that rounding explains", SAME_PRESSURE, "", ROUNDING)


def pressure(work: Working, hit: Hit) -> None:
    """A pressure against the float's maximum."""
    work.cell("p", hit.field, "high")
    work.cell("p_max", "float_max_pressure", "low")
    _rounding(work)
    work.judge("p>p_max*(1+k)", "p", "p_max")


def temperature(work: Working, hit: Hit) -> None:
    """Design (or operating) temperature against the lowest limit of float and magnet."""
    work.cell("T", hit.field, "high")
    limits = []
    for symbol, field in (("T_f", "float_max_temperature"), ("T_m", "magnet_max_temperature")):
        if work.gauges.given(field)[work.record]:
            work.cell(symbol, field, "low")
            limits.append(symbol)
    if "T_m" not in limits and work.gauges.given("magnet_material")[work.record]:
        name = work.text("magnet", "magnet_material")
        limit = float(ratings.magnet_limit(name))
        if not np.isnan(limit):
            work.constant("T_m", f"limit of {name}, lowest of its grades", limit, "K", "table of magnets")
            limits.append("T_m")
    work.step("T_max", "lowest limit", f"MIN({','.join(limits)})", "K")
    work.judge("T>T_max+1E-6", "T", "T_max")


def collapse(work: Working, hit: Hit) -> None:
    """Computed collapse pressure against the design pressure."""
    work.cell("t", "float_wall")
    work.cell("d", "float_diameter")
    work.cell("L", "float_length")
    work.text("ends", "float_ends", default=shells.strongest_ends(work))
    work.text("metal", "float_material")
    if work.gauges.given("design_temperature")[work.record]:
        work.cell("T", "design_temperature", "high")
    else:
        work.assume("T", "design temperature", 293.15, "K")
    work.cell("p", "design_pressure", "high")
    work.setting("S", "safety_factor")
    number = float(hit.evidence["collapse_pressure_bar"]) * 1e5
    if not work.tried(lambda: shells.collapse(work), number):
        name = "collapse pressure of an ideal shell: buckling or yield, whichever is lower"
        work.computed(
            "p_c",
            name,
            number,
            "Pa difference",
            "LG_FLOAT_COLLAPSE",
            "'xlfuncs functions LG_FLOAT_COLLAPSE'",
            "tdLT",
        )
    work.step("p_max", "permitted pressure", "p_c/S", "Pa difference", "safety factor")
    note = ""
    if work.states("float_max_pressure"):
        work.cell("p_f", "float_max_pressure", "low")
        work.step("x_f", "stated maximum pressure over the permitted one", "p_f/p_max", "")
        note = "The stated maximum pressure p_f does not decide: the dimensions of the float do."
    work.judge("p>p_max", "p", "p_max", note)


def flange(work: Working, hit: Hit) -> None:
    """Design pressure against the rating of the flanges."""
    work.text("flange", "flange_class")
    if "material_group" not in hit.evidence:
        _any_material(work, hit)
        return
    field = str(work.gauges.group_fields[work.record])
    work.text("material", field)
    work.cell("T", "design_temperature", "high")
    work.cell("p", "design_pressure", "high")
    _rounding(work)
    standard = str(hit.evidence["flange_standard"])
    rating = float(hit.evidence["flange_rating_barg"]) * 1e5
    group = str(hit.evidence["material_group"])
    _rating(work, str(work.gauges.flange_classes[work.record]), group, rating, standard)
    work.judge("p>p_max*(1+k)", "p", "p_max")


def _rating(work: Working, flange: str, group: str, rating: float, standard: str) -> None:
    """p_max, what the class carries at T: the straight line between two rows of the table, if it is one."""
    name = f"rating of {flange} in group {group} at design temperature"
    warm, bars, stepped = ratings.rating_rows(flange, group)
    table = Table(warm, bars, "K", "Pa", standard)
    if stepped or not work.tried(lambda: work.on_line("p_max", name, "T", table), rating):
        row = f"{standard}: the row at or below the temperature"
        work.constant("p_max", name, rating, "Pa", row, "T")


def sufficient(gauges: Gauges, settings: Settings, hit: Hit, flange: str, rating: float) -> Calculation:
    """Design pressure against the rating of another class of the same standard."""
    group, standard = (str(hit.evidence[name]) for name in ("material_group", "flange_standard"))
    return carried(gauges, settings, hit.record, flange, group, rating, standard)


def carried(
    gauges: Gauges, settings: Settings, record: int, flange: str, group: str, rating: float, standard: str
) -> Calculation:
    """Design pressure against the rating of a class in another metal."""
    work = Working(gauges, settings, record)
    work.cell("T", "design_temperature", "high")
    work.cell("p", "design_pressure", "high")
    _rating(work, flange, group, rating, standard)
    work.judge("p<=p_max", "p", "p_max")
    return work.done()


def _any_material(work: Working, hit: Hit) -> None:
    """Design pressure against the most that the class carries in any material."""
    work.cell("p", "design_pressure", "high")
    _rounding(work)
    rating = float(hit.evidence["flange_rating_barg"]) * 1e5
    name = "greatest rating of the class, in any material and at any temperature"
    work.constant("p_max", name, rating, "Pa", str(hit.evidence["flange_standard"]))
    work.judge("p>p_max*(1+k)", "p", "p_max")


def magnetic(work: Working, hit: Hit) -> None:
    """What the chamber is made of."""
    work.text("material", "chamber_material")
    work.judge("", note=f"{hit.evidence['material']} is {hit.evidence['family']}, by the table of materials.")


def conditions(work: Working, hit: Hit) -> None:
    """An operating condition against the design condition."""
    name = hit.field.removeprefix("operating_")
    symbol, rounding = ("p", SAME_PRESSURE) if name == "pressure" else ("T", 1e-6)
    work.cell(symbol, hit.field, "high")
    work.cell(f"{symbol}_max", f"design_{name}", "high")
    work.constant("k", "relative difference that rounding explains", rounding, "", ROUNDING)
    limit = f"{symbol}_max"
    work.judge(f"{symbol}>{limit}+ABS({limit})*k", symbol, limit)


def wide(work: Working, hit: Hit) -> None:
    """The float in its chamber."""
    work.cell("d", "float_diameter", "high")
    work.cell("D", "chamber_bore", "low")
    work.judge("d>=D", "d", "D")


def test_pressure(work: Working, hit: Hit) -> None:
    """Test pressure against the design pressure."""
    work.cell("p_t", "test_pressure", "low")
    work.cell("p", "design_pressure", "high")
    _rounding(work)
    _test_factor(work, hit)
    work.step("p_min", "test pressure that is needed", "p*f", "Pa")
    work.judge("p_t<p_min*(1-k)", "p_t", "p_min")


def with_test(
    gauges: Gauges, settings: Settings, hit: Hit, pressure: float, usual: tuple[float, int] | None = None
) -> Calculation:
    """Another test pressure against the one that is needed. `usual`: by how much the others of the list are
    tested above their design pressure, and how many they are."""
    work = Working(gauges, settings, hit.record)
    work.cell("p", "design_pressure", "high")
    _rounding(work)
    _test_factor(work, hit)
    work.step("p_min", "test pressure that is needed", "p*f", "Pa")
    work.propose("p_t", "test pressure", pressure, "Pa")
    if usual is not None:
        source = f"median of {usual[1]} others of this list, of which nine in ten have it"
        work.constant("f_u", "usual test pressure over design pressure", usual[0], "", source)
        work.step("p_u", "test pressure as the others have it", "p*f_u", "Pa")
    work.judge("p_t>=p_min*(1-k)", "p_t", "p_min")
    return work.done()


def _test_factor(work: Working, hit: Hit) -> None:
    """By how much the test has to be above design: the code's factor, the setting's where none is stated."""
    code = hit.case["code"]
    name = "test pressure over design pressure"
    if code is not None:
        work.text("code", "design_code")
        at_least = f"{name}: least of {code.name}, stress ratio 1"
        work.constant("f", at_least, code.factor, "", code.source)
    elif hit.case["known"]:
        work.setting("f", "test_pressure_factor")
    else:
        work.text("code", "design_code")
        work.assume("f", name, 1.0, "", "no code asks for less")


def cold(work: Working, hit: Hit) -> None:
    """Lowest design temperature against that from which on the material is rated."""
    work.cell("T", "design_temperature_min", "low")
    if hit.case["of"] in load("fields"):
        work.cell("T_min", str(hit.case["of"]), "high")
        work.judge("T<T_min-1E-6", "T", "T_min")
        return
    if hit.case["of"] == "frost":
        work.text("frost", "frost_extension", default="-")
        work.setting("T_min", "cryogenic_below_c", 1.0, "degC")
        work.step("T_K", "limit in kelvin", f"T_min+{ZERO_CELSIUS}", "K")
        work.judge("T<T_K-1E-6", "T", "T_K")
        return
    work.text("material", str(work.gauges.group_fields[work.record]))
    limit = float(hit.evidence["lowest_rated_degC"]) + ZERO_CELSIUS
    name = f"lowest rated temperature of group {hit.evidence['material_group']}"
    work.constant("T_min", name, limit, "K", "table of flange ratings")
    work.judge("T<T_min-1E-6", "T", "T_min")


def unfit(work: Working, hit: Hit) -> None:
    """The material against a published statement."""
    work.text("fluid", str(hit.case["fluid"]))
    work.text("material", hit.field)
    block = load("compatibility")["unfit"][hit.case["statement"]]
    note = f"{hit.evidence['family']} {block['why']}: {block['source']}"
    if "above" not in block:
        work.judge("", note=note)
        return
    work.cell("T", "operating_temperature", "high")
    limit = float(block["above"]) + ZERO_CELSIUS
    work.constant("T_min", "temperature from which on the statement holds", limit, "K", str(block["source"]))
    work.judge("T>=T_min", "T", "T_min", note)
