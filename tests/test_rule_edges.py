"""Rules at edges that a limit alone does not show: what is compared, which way, and what is said of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.layouts import LAYOUTS, build
from tests.test_rule_limits import INTERFACE, OIL, fires, mass_at
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import SOUND, CellError, Formula, Unclear
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.registry import Hit, Undecided, find_rule
from xlfuncs.audit.settings import Settings


def several(slug: str, rows: Sequence[Mapping[str, Any]]) -> tuple[list[Hit], list[str]]:
    """What a rule finds in sound gauges that are changed, and what it says is missing."""
    names = dict.fromkeys([*SOUND, *(name for row in rows for name in row)])
    gauges = gauges_of({name: [{**SOUND, **row}.get(name) for row in rows] for name in names})
    found = list(find_rule(slug).check(gauges, gauges.settings))
    hits = [one for one in found if isinstance(one, Hit)]
    return hits, [one.missing for one in found if isinstance(one, Undecided) and one.where.any()]


def audited(folder: Path, *rows: dict[str, Any]) -> AuditResult:
    return audit_book(build(folder / "some.xlsx", LAYOUTS[0], rows).path)


# --- float and fluid ------------------------------------------------------------------------------------


def repeated(**columns: list[str]) -> list[str]:
    """Fields in which one part of a float list differs from itself."""
    gauges = gauges_of({"tag": ["LG-1"]}, {"float_part": ["F1", "F2", "F1"], **columns})
    found = find_rule("float-list-repeats").check(gauges, gauges.settings)
    return [hit.field for hit in found if isinstance(hit, Hit)]


def test_a_part_that_is_listed_twice_differs_by_more_than_its_rounding() -> None:
    assert repeated(float_mass=["350 g", "390 g", "350 g"]) == []
    assert repeated(float_mass=["350 g", "390 g", "350.701 g"]) == []  # 0.1999 % of the larger
    assert repeated(float_mass=["350 g", "390 g", "350.75 g"]) == ["float_mass"]  # 0.214 %
    assert repeated(float_material=["316L", "Titanium", "1.4404"]) == []
    assert repeated(float_material=["316L", "316L", "Titanium"]) == ["float_material"]


def test_the_chamber_stands_lower_when_colder_and_higher_when_hotter() -> None:
    assert "mm lower" in fires("chamber-colder", {"chamber_temperature": "30 degC"})[0].message
    assert "mm higher" in fires("chamber-colder", {"chamber_temperature": "90 degC"})[0].message


def test_a_float_is_drawn_under_by_a_creeping_liquid_alone() -> None:
    thick = {"fluid": "Blend 7", "viscosity": "5000 mPa.s", "level_rate": "20 mm/s"}
    assert "drawn under" in fires("float-lags", thick)[0].message
    quick = thick | {"viscosity": "1 mPa.s", "level_rate": "1000 mm/s"}
    hits, missing = several("float-lags", [quick])
    assert hits == []
    assert "not laminar" in missing[0]


def test_four_hundred_gauges_that_read_wrong_are_exchanged_and_no_more() -> None:
    def wrong(count: int) -> list[str]:
        rows = [OIL | {"tag": f"LG-{i}", "float_mass": mass_at(30)} for i in range(count)]
        return several("floats-exchanged", rows)[1]

    assert wrong(400) == []
    assert wrong(401) == ["fewer gauges that read wrong than 401: not every exchange is tried"]


def test_a_cold_design_temperature_is_the_lowest_one_and_bounds_nothing() -> None:
    cold = {"operating_temperature": "-20 degC", "design_temperature": "-40 degC"}
    assert fires("operating-exceeds-design", cold) == []
    assert [
        hit.field for hit in fires("operating-exceeds-design", cold | {"operating_pressure": "11 barg"})
    ] == ["operating_pressure"]


def test_a_boiling_liquid_has_the_density_of_its_temperature() -> None:
    # n-butane boils at 40 degC at 3.78 bar absolute (CoolProp)
    butane = {"fluid": "n-Butane", "operating_temperature": "40 degC", "fluid_density": "601 kg/m3"}
    slug = "density-not-at-operating-conditions"
    assert fires(slug, butane | {"operating_pressure": "2.75 barg"})
    hits, missing = several(slug, [butane | {"operating_pressure": "0.5 barg"}])
    assert hits == []
    assert "temperature and pressure at which the fluid is liquid" in missing[0]


def test_the_heavy_end_of_the_upper_fluid_counts() -> None:
    body = OIL | {"float_mass": mass_at(9)}
    assert fires("offset-exceeds-tolerance", body | {"upper_density": "0 to 5 kg/m3"}) == []
    assert fires("offset-exceeds-tolerance", body | {"upper_density": "0 to 60 kg/m3"})


WORST = {"fluid": "Blend 7", "fluid_density": "940 kg/m3", "viscosity": "60 mPa.s"}
WORST |= {"float_diameter": "50.0 mm"}


def test_the_worst_reading_is_told_with_its_parts_and_its_direction() -> None:
    (low,) = fires("worst-reading-exceeds-tolerance", WORST)
    assert "read low by" in low.message
    parts = {name: x for name, x in low.evidence.items() if name != "worst_reading_mm"}
    assert sum(float(x) for x in parts.values()) == pytest.approx(low.evidence["worst_reading_mm"], abs=0.2)
    assert {"offset_mm", "movement_mm", "uncertainty_mm"} <= set(parts)
    assert all(abs(float(x)) >= 0.05 for x in parts.values())
    assert all(f"{name.removesuffix('_mm')} " in low.message for name in parts)
    (high,) = fires("worst-reading-exceeds-tolerance", WORST | {"fluid_density": "1029 kg/m3"})
    assert "read high by" in high.message


def test_how_finely_the_list_states_a_float_is_what_its_column_shows() -> None:
    # u(d) moves the immersion by 2 h u/d; half a digit as a limit, over sqrt(3), twice (JCGM 100)
    def uncertain(diameter: str, **more: str) -> float:
        (hit,) = fires("worst-reading-exceeds-tolerance", WORST | {"float_diameter": diameter} | more)
        return abs(float(hit.evidence["uncertainty_mm"]))

    def expected(diameter: float, plane: float = 0.5) -> float:
        depth = 189.4  # 350 g, 50 mm, 940 kg/m3 under 3
        mass = 0.5e-3 / (math.pi / 4 * 0.05**2 * 937) * 1e3
        return 2 / math.sqrt(3) * math.hypot(2 * depth * diameter / 50, mass, plane)

    assert uncertain("50.0 mm") == pytest.approx(expected(0.05), rel=0.01)
    assert uncertain("50.01 mm") == pytest.approx(expected(0.005), rel=0.01)
    assert uncertain("1.968 in") == pytest.approx(expected(0.0127), rel=0.01)
    # whole millimetres, an eighth of an inch: nominal sizes, made nearer than that
    usual = pytest.approx(uncertain("50.0 mm"), rel=1e-3)
    assert uncertain("50 mm") == usual
    assert uncertain("1 31/32 in") == usual
    assert uncertain("50.0 mm", magnet_height="181.05 mm") < uncertain("50.0 mm", magnet_height="181 mm")


def test_the_worst_reading_looks_at_the_coldest_as_at_the_hottest() -> None:
    still = WORST | {"viscosity": None, "fluid_density": "940 kg/m3", "float_material": "316L"}
    assert fires("worst-reading-exceeds-tolerance", still | {"operating_temperature": "20 degC"}) == []
    (cold,) = fires("worst-reading-exceeds-tolerance", still | {"operating_temperature": "-196 to 20 degC"})
    assert float(cold.evidence["heat_mm"]) < -1 and "read low by" in cold.message


def test_the_worst_reading_is_for_gauges_whose_offset_is_within_the_tolerance() -> None:
    assert fires("worst-reading-exceeds-tolerance", WORST | {"fluid_density": "920 kg/m3"}) == []
    assert fires("worst-reading-exceeds-tolerance", WORST | {"fluid_density": "983 kg/m3"}) == []
    narrow = WORST | {"chamber_bore": "50 mm", "viscosity": "1 mPa.s", "fluid_density": "985 kg/m3"}
    assert fires("worst-reading-exceeds-tolerance", narrow) == []


def test_a_worst_reading_that_hangs_on_the_vapour_is_left_open() -> None:
    silent = WORST | {"upper_density": None, "operating_pressure": "40 barg", "design_pressure": "50 barg"}
    hits, missing = several("worst-reading-exceeds-tolerance", [silent | {"fluid_density": "990 kg/m3"}])
    assert hits == []
    assert missing == ["density of the upper fluid or vapour"] or missing == ["density of the upper fluid"]


# --- strength and tracing -------------------------------------------------------------------------------


def test_flanges_name_their_material_and_the_bound_of_their_system() -> None:
    over = {"design_pressure": "40 barg"}
    (stated,) = fires("flange-rating-exceeded", over)
    assert "class 150, group 2.3 at 120 degC" in stated.message and "at most" not in stated.message
    (named,) = fires("flange-rating-exceeded", over | {"material_group": None})
    assert "group 2.3 (316L) at 120 degC" in named.message
    (jis,) = fires("flange-rating-exceeded", over | {"flange_class": "JIS 10K", "material_group": None})
    assert "are rated at most " in jis.message


def test_a_grade_above_its_highest_temperature_is_not_decided() -> None:
    hot = {"design_temperature": "440 degC", "material_group": None, "chamber_material": "304L"}
    assert any(
        "does not permit above 425 degC" in text for text in several("flange-rating-exceeded", [hot])[1]
    )
    grouped = hot | {"flange_material": "316L", "chamber_material": "304L"}
    texts = several("flange-rating-exceeded", [grouped])[1]
    assert not any("rating of 304L" in text for text in texts)


def test_what_is_too_hot_is_the_hotter_of_sheath_and_maintain_temperature() -> None:
    (sheath,) = fires("tracing-too-hot", {"transmitter_max_temperature": "80 degC"})
    assert (sheath.field, sheath.message.split()[0]) == ("sheath_temperature", "sheath")
    both = {"maintain_temperature": "95 degC", "transmitter_max_temperature": "80 degC"}
    (kept,) = fires("tracing-too-hot", both)
    assert (kept.field, kept.message.split()[0]) == ("maintain_temperature", "maintain")


# --- geometry -------------------------------------------------------------------------------------------


def test_what_is_expected_is_the_nearest_end_of_the_range() -> None:
    for slug, field in (("switch-outside-range", "switch_lshh"), ("alarm-outside-range", "level_high_high")):
        (hit,) = fires(slug, {field: "1040 mm"})
        assert str(hit.expected) == "1000 mm"


def test_an_interface_that_is_outside_is_told_apart_from_an_upper_liquid_that_ends() -> None:
    apart = INTERFACE | {"upper_density": "800 kg/m3"}
    slug = "interface-connection-outside"
    assert "not between the connections" in fires(slug, apart | {"normal_level": "1100 mm"})[0].message
    assert "the upper liquid ends at 900 mm" in fires(slug, apart | {"liquid_top": "900 mm"})[0].message


# --- the sheet ------------------------------------------------------------------------------------------


def malformed(*tags: str) -> list[str]:
    return [hit.tag for hit in several("tag-malformed", [{"tag": tag} for tag in tags])[0]]


def test_letters_that_most_tags_share_are_a_scheme() -> None:
    assert malformed("GAUGE-1", "GAUGE-2", "GAUGE-3") == []
    assert malformed("GAUGE-1", "GAUGE-2") == ["GAUGE-1", "GAUGE-2"]
    assert malformed("GAUGE-1", "GAUGE-2", "GAUGE-3", "METER-4", "LG-5") == ["METER-4"]
    assert malformed("GAUGE-1", "GAUGE-2", "GAUGE-3", "LG-4", "LG-5", "LG-6") == [
        f"GAUGE-{i}" for i in (1, 2, 3)
    ]


def test_a_bound_is_read_as_a_bound() -> None:
    def noted(text: str) -> str:
        found = fires("number-as-text", {"viscosity": text})
        return next(hit.message for hit in found if hit.field == "viscosity")

    assert "read as at most 20 mPa.s" in noted("< 20 mPa.s est.")
    assert "read as 20 to 30 mPa.s" in noted("20 to 30 mPa.s est.")
    assert "read as 25 mPa.s" in noted("25 mPa.s est.")


def test_a_cell_with_an_error_value_is_named_once(tmp_path: Path) -> None:
    result = audited(tmp_path, {"fluid_density": CellError("#REF!")}, {}, {})
    assert [one.tag for one in result.findings if one.rule == "cell-error"] == ["LG-1000"]


def test_a_constant_among_formulas_stands_out_from_four_rows_and_four_fifths_on(tmp_path: Path) -> None:
    def typed(formulas: int, constants: int) -> int:
        rows: list[dict[str, Any]] = [{"stated_current": Formula("=8+4", 12.0)} for _ in range(formulas)]
        rows += [{"stated_current": "12 mA"} for _ in range(constants)]
        result = audited(tmp_path, *rows)
        return sum(one.rule == "formula-overwritten" for one in result.findings)

    assert typed(4, 1) == 1  # exactly four fifths
    assert typed(3, 1) == 0
    assert typed(6, 1) == 1  # 86 %
    assert typed(7, 2) == 0


def test_the_formula_that_is_missing_is_that_of_the_row_with_its_number(tmp_path: Path) -> None:
    first = 2
    rows: list[dict[str, Any]] = [
        {"stated_current": Formula(f"=ROW(A{row})+$A${first}*0+7", row + 7.0)} for row in range(first, 7)
    ]
    found = audited(tmp_path, *rows, {"stated_current": "12 mA"}).findings
    (one,) = (one for one in found if one.rule == "formula-overwritten")
    assert one.cell.endswith("7")
    assert one.evidence["formula"] == f"ROW(A7)+$A${first}*0+7"


def test_a_formula_without_a_value_and_a_hidden_row_are_named_at_their_gauge(tmp_path: Path) -> None:
    empty = {"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", None)}
    result = audited(tmp_path, {}, empty, {"_hidden": True})
    told = [(one.rule, one.tag) for one in result.findings]
    assert sorted(told) == [("never-calculated", "LG-1001"), ("row-hidden", "LG-1002")]
    assert "the gauge's row" in next(one.message for one in result.findings if one.rule == "row-hidden")


def test_a_column_in_doubt_says_what_waits_for_it(tmp_path: Path) -> None:
    doubtful = {"flange_class": Unclear("Connection", "150")}
    (one,) = audited(tmp_path, doubtful).findings
    assert (one.rule, one.tag) == ("reading-doubtful", "")
    assert "1 rule for 1 gauge wait for it" in one.message
    assert audited(tmp_path, {}).findings == []


def test_the_factor_of_a_code_is_asked_of_the_test_pressure() -> None:
    code = Settings(test_pressure_factor=1.3)
    assert fires("test-pressure-low", {"test_pressure": "13.0 barg"}, code) == []
    (hit,) = fires("test-pressure-low", {"test_pressure": "12.98 barg"}, code)
    assert "below 1.3 times the design pressure of 10 barg" in hit.message
    assert fires("test-pressure-low", {"test_pressure": "12.98 barg"}) == []


def test_the_vapour_that_is_not_stated_is_at_most_a_heavy_gas() -> None:
    # ideal gas of 0.1 kg/mol at 10 barg and 60 degC: p M/(R T), R of CODATA 2018
    rows = {name: [value] for name, value in SOUND.items()} | {
        "upper_density": [None],
        "operating_pressure": ["10 barg"],
        "operating_temperature": ["60 degC"],
    }
    none, most = gauges_of(rows).uppers
    assert none[0] == 0
    assert most[0] == pytest.approx((10e5 + 101325) * 0.1 / (8.314462618 * 333.15), rel=1e-6)


def test_pressures_differ_by_more_than_a_thousandth() -> None:
    limit = {"float_max_pressure": "20 barg"}
    assert fires("float-pressure-exceeded", limit | {"design_pressure": "20.019 barg"}) == []
    assert len(fires("float-pressure-exceeded", limit | {"design_pressure": "20.021 barg"})) == 1


def test_an_aggressive_fluid_in_an_unnamed_metal_is_said_to_be_unchecked(tmp_path: Path) -> None:
    bare = {"chamber_material": None, "float_material": None, "material_group": "2.3"}
    open_ = audited(tmp_path, bare | {"fluid": "Hydrochloric acid 15 %"}).not_checked
    assert "wetted-material-unfit" in {one.rule for one in open_}
    plain = audited(tmp_path, bare | {"fluid": "Blend 7"}).not_checked
    assert "wetted-material-unfit" not in {one.rule for one in plain}
