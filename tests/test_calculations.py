"""The calculation of a finding: its numbers are the rule's own, and its test says what the rule says."""

from __future__ import annotations

import json
import math
import pickle
from dataclasses import replace
from pathlib import Path

import pytest

import xlfuncs
from tests.layouts import LAYOUTS, build
from tests.test_recalculate import calculated as of_cells
from xlfuncs.audit.calculation import Calculation, Later, evaluate, formula, symbols
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult, Finding
from xlfuncs.audit.registry import rules
from xlfuncs.report._working import all_of, table, unfolded

DEMO = Path(__file__).parents[1] / "workbooks" / "contractor_index.xlsx"


@pytest.fixture(scope="module")
def demo() -> AuditResult:
    return xlfuncs.audit(str(DEMO))


def computed(result: AuditResult) -> list[tuple[str, Calculation]]:
    return [(f.rule, f.calculation) for f in result.findings if f.calculation is not None]


@pytest.fixture(scope="module")
def offset(tmp_path_factory: pytest.TempPathFactory) -> Finding:
    """A gauge that reads wrong: 880 kg/m3 with a float for 983."""
    row = {"fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    planted = build(tmp_path_factory.mktemp("offset") / "offset.xlsx", LAYOUTS[0], [row])
    return next(f for f in audit_book(planted.path).findings if f.rule == "offset-exceeds-tolerance")


def test_every_test_fires_on_its_own_numbers(demo: AuditResult) -> None:
    found = computed(demo)
    assert {"floats-exchanged", "transmitter-outside-visible-range"} <= {rule for rule, _ in found}
    assert [rule for rule, calculation in found if calculation.test and not calculation.fires] == []


def test_the_offset_is_the_one_that_the_finding_states(offset: Finding) -> None:
    assert offset.calculation is not None
    stated = float(offset.evidence["reading_offset_mm"])
    assert offset.calculation.numbers()["e"] * 1e3 == pytest.approx(stated, abs=1e-6)


def test_the_window_of_the_message_stands_in_the_calculation(offset: Finding) -> None:
    assert offset.calculation is not None
    numbers = offset.calculation.numbers()
    for symbol, name in (("rho_lo", "window_low_kg_m3"), ("rho_hi", "window_high_kg_m3")):
        assert numbers[symbol] == pytest.approx(float(offset.evidence[name]), rel=1e-9)
        below = (numbers["m"] - numbers["rho_u"] * numbers["V"]) / (numbers[symbol] - numbers["rho_u"])
        offset_there = numbers["z"] - below / numbers["A"]
        assert abs(offset_there) == pytest.approx(numbers["e_max"], rel=1e-9)


def test_another_density_in_the_calculation_changes_the_verdict(offset: Finding) -> None:
    calculation = offset.calculation
    assert calculation is not None
    now = calculation.numbers()
    right = now["rho_u"] + (now["rho"] - now["rho_u"]) * now["h"] / now["z"]
    again = calculation.again({"rho": right})
    assert again["e"] == pytest.approx(0, abs=1e-12)
    assert not evaluate(calculation.test, again)


def test_a_cell_that_is_linked_gives_its_number(demo: AuditResult) -> None:
    linked = [v for _, c in computed(demo) for v in c.inputs if v.scale is not None]
    assert linked
    for value in linked:
        assert float(value.stated) * float(value.scale or 0) + value.offset == pytest.approx(value.number)
        assert value.cell and value.sheet


def test_a_calculation_stands_in_the_json_and_survives_a_pickle(demo: AuditResult) -> None:
    plain = json.loads(json.dumps(demo.to_dict(), allow_nan=False))
    calculations = [f["calculation"] for f in plain["findings"] if f["calculation"]]
    assert len(calculations) == len(computed(demo))
    parts = {"inputs", "steps", "test", "result", "limit", "elementary", "note", "same", "bounds", "stands"}
    assert set(calculations[0]) == parts | {"one_case"}
    again = pickle.loads(pickle.dumps(demo.findings))
    assert [f.calculation for f in again] == [f.calculation for f in demo.findings]


@pytest.mark.parametrize(
    ("expression", "answer"),
    [
        ("2+3*x^2", 50.0),
        ("-x+MIN(1,x,0.5)", -3.5),
        ("MAX(1,x)/SQRT(x)", 2.0),
        ("IF(x>3,EXP(0),1/0)", 1.0),
        ("LN(x)", math.log(4)),
        ("MIN(x)+MAX(x)", 8.0),
    ],
)
def test_an_expression_is_evaluated_as_a_spreadsheet_does(expression: str, answer: float) -> None:
    assert evaluate(expression, {"x": 4.0}) == pytest.approx(answer)


@pytest.mark.parametrize("expression", ["1/0", "SQRT(-1)", "LN(0)", "(-1)^0.5"])
def test_what_has_no_number_is_nan(expression: str) -> None:
    assert math.isnan(evaluate(expression, {}))


def test_symbols_become_cells_and_functions_stay() -> None:
    assert formula("MAX(m,m_max)/PI()", {"m": "A1", "m_max": "Index!B2"}) == "MAX(A1,Index!B2)/PI()"
    assert symbols("MAX(m,m_max)/PI()") == ["m", "m_max"]


STATED = {
    "floats-exchanged": {"offset_with_the_other_mm": ("e", 1e-3)},
    "test-pressure-low": {"test_pressure_barg": ("p_t", 1e5), "design_pressure_barg": ("p", 1e5)},
    "offset-exceeds-tolerance": {"reading_offset_mm": ("e", 1e-3), "density_kg_m3": ("rho", 1.0)},
    "float-sinks": {"float_density_kg_m3": ("rho_f", 1.0), "fluid_density_kg_m3": ("rho", 1.0)},
    "float-barely-floats": {"share_above_surface": ("s", 1.0)},
    "interface-float-outside-fluids": {"float_density_kg_m3": ("rho_f", 1.0)},
    "interface-density-gap-small": {"density_gap_kg_m3": ("g", 1.0)},
    "design-density-mismatch": {"deviation": ("x", 1.0)},
    "float-lags": {"lag_mm": ("e", 1e-3)},
    "worst-reading-exceeds-tolerance": {"worst_reading_mm": ("w", 1e-3), "offset_mm": ("e", 1e-3)},
    "densities-swapped": {"upper_density_kg_m3": ("rho_u", 1.0), "lower_density_kg_m3": ("rho", 1.0)},
    "fluid-boils-in-chamber": {"margin_K": ("x", 1.0)},
    "float-wider-than-chamber": {"float_diameter_mm": ("d", 1e-3), "chamber_bore_mm": ("D", 1e-3)},
    "viscosity-too-high": {"viscosity_mPas": ("mu", 1e-3)},
    "float-pressure-exceeded": {
        "design_pressure_barg": ("p", 1e5),
        "float_max_pressure_barg": ("p_max", 1e5),
    },
    "float-test-pressure-exceeded": {"test_pressure_barg": ("p", 1e5)},
    "float-collapses": {"permitted_pressure_bar": ("p_max", 1e5)},
    "flange-rating-exceeded": {"design_pressure_barg": ("p", 1e5)},
    "range-exceeds-connections": {"range_mm": ("v", 1e-3), "connection_distance_mm": ("c", 1e-3)},
    "transmitter-outside-visible-range": {"lrv_mm": ("lrv", 1e-3), "visible_high_mm": ("v_high", 1e-3)},
    "transmitter-range-mismatch": {"urv_mm": ("urv", 1e-3), "visible_low_mm": ("v_low", 1e-3)},
    "current-inconsistent": {"computed_current_mA": ("i_due", 1e-3), "stated_current_mA": ("i", 1e-3)},
    "switch-outside-range": {"set_point_mm": ("x", 1e-3)},
    "switch-spacing-small": {"spacing_mm": ("x", 1e-3)},
    "tracing-underpowered": {"heat_loss_W_m": ("q_loss", 1.0), "required_W_m": ("q_min", 1.0)},
}
"""Rule -> number of its finding -> symbol of its calculation, and the size of the unit."""
WOULD_DO = {"T_ok", "p_ok", "lev_i", "x_1ok", "x_2ok"}
"""Symbols of steps that say what would do."""
COMPUTED = [item for item in rules().values() if item.calculate is not None]


@pytest.fixture(scope="module", params=COMPUTED, ids=lambda item: item.slug)
def example(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Finding:
    item = request.param
    planted = build(tmp_path_factory.mktemp("book") / "firing.xlsx", LAYOUTS[0], item.firing)
    return next(f for f in audit_book(planted.path).findings if f.rule == item.slug)


@pytest.mark.parametrize("design", ["120 degC", None])
def test_the_calculation_of_a_cold_float_names_its_lowest_temperature(
    tmp_path: Path, design: str | None
) -> None:
    item = rules()["worst-reading-exceeds-tolerance"]
    cold = {"fluid_density": "940 kg/m3", "viscosity": None, "float_material": "316L"}
    cold |= {"operating_temperature": "-196 to 20 degC", "design_temperature": design}
    planted = build(tmp_path / "cold.xlsx", LAYOUTS[0], ({**item.firing[0], **cold},))
    found = next(f for f in audit_book(planted.path).findings if f.rule == item.slug)
    assert found.calculation is not None and found.calculation.fires
    numbers = found.calculation.numbers()
    assert numbers["T"] == pytest.approx(77.15)
    assert numbers["x_T"] == pytest.approx(-12.95e-6 * 216)
    assert numbers["e_heat"] * 1e3 == pytest.approx(found.evidence["heat_mm"], rel=1e-6)


def test_a_rule_and_its_calculation_agree(example: Finding) -> None:
    calculation = example.calculation
    assert calculation is not None
    numbers = calculation.numbers()
    assert all(math.isfinite(number) for number in numbers.values())
    assert calculation.fires or not calculation.test
    for name, (symbol, size) in STATED.get(example.rule, {}).items():
        stated = float(example.evidence[name]) * size
        assert numbers[symbol] == pytest.approx(stated, rel=1e-9, abs=1e-6 * size), name


def test_the_equations_hold_for_their_own_numbers(example: Finding) -> None:
    calculation = example.calculation
    assert calculation is not None
    numbers = calculation.numbers()
    assert [one.otherwise for one in calculation.bounds if not evaluate(one.expression, numbers)] == []
    places = {(one.sheet, one.cell) for one in calculation.inputs if one.number is not None}
    assert not [one for one in calculation.stands if (one.sheet, one.cell) in places]


def test_what_would_do_is_what_the_remedy_says(demo: AuditResult) -> None:
    """Ethanol boils at 186.86 degF, and 177.86 keeps 5 K; 9.2 mA on 0 to 36 in are 11.7 in."""
    shown = {(f.rule, s.symbol): s.shown for f in demo.findings if f.calculation for s in f.calculation.steps}
    assert shown["tracing-boils-fluid", "T_ok"] == "177.86 degF"
    assert shown["current-inconsistent", "lev_i"] == "297.18 mm (11.7 in)"
    assert shown["switch-spacing-small", "x_2ok"].endswith("(30.984 in)")
    assert shown["fluid-boils-in-chamber", "p_ok"].split()[1] == "psig"


def test_a_printed_page_has_the_calculation_of_each_remedy(demo: AuditResult) -> None:
    """Also where the finding itself compares texts and has none; and a finding names where it stands."""
    only = next(
        (number, f)
        for number, f in enumerate(demo.findings, 1)
        if f.calculation is None and f.remedy is not None and f.remedy.calculation is not None
    )
    assert "Calculation 1" in unfolded(1, only[1], printed=True)
    printed = "".join(all_of([only]))
    assert 'id="w1"' in printed and "Calculation of the remedy" in printed and "Judged by" in printed


def test_a_printed_page_has_what_a_remedy_computes_of_a_part_that_does_not_fit(demo: AuditResult) -> None:
    """Even where neither the finding nor the remedy has a calculation of its own."""
    one = next(f for f in demo.findings if f.remedy is not None and f.remedy.further)
    assert one.remedy is not None and one.cure is not None
    left = replace(one.remedy, calculation=None)
    bare = replace(one, work=None, cure=Later(lambda: left))
    printed = "".join(all_of([(1, bare)]))
    assert f"Calculation of {one.remedy.further[0][0]}" in printed


def test_a_long_source_stands_once_below_the_table(demo: AuditResult) -> None:
    worst = next(f for f in demo.findings if f.rule == "worst-reading-exceeds-tolerance")
    assert worst.calculation is not None
    notes = [one.note for one in worst.calculation.inputs if "over water at 60 degF" in one.note]
    page = table(worst.calculation)
    assert len(notes) > 1 and page.count("over water at 60 degF") == 1


def test_what_is_left_of_a_zero_is_shown_as_none(demo: AuditResult) -> None:
    every = [c for f in demo.findings for c in (f.calculation, f.remedy and f.remedy.calculation) if c]
    numbers = [s.number for c in every for s in c.steps if s.number and s.unit == "m"]
    assert min(map(abs, numbers)) > 1e-9


def test_a_calculation_in_a_book_of_inches_shows_inches_beside_millimetres(demo: AuditResult) -> None:
    steps = [s for f in demo.findings if f.calculation for s in f.calculation.steps]
    assert all(" in)" in s.shown for s in steps if s.unit == "m")
    assert not [
        s.shown for s in steps if s.unit == "Pa" and s.shown.split()[-1] not in ("psig", "psi", "MPa")
    ]


def test_a_computed_density_names_the_pressure_of_a_boiling_liquid(tmp_path: Path) -> None:
    """Ethanol at 82 degC and 0.1 barg is vapour; a liquid there is at 0.152 barg (Schroeder et al. 2014)."""
    row = {"fluid": "Ethanol", "fluid_density": "768 kg/m3", "operating_temperature": "45 degC"}
    row |= {"chamber_temperature": "82 degC", "operating_pressure": "0.1 barg"}
    result = audit_book(build(tmp_path / "hot.xlsx", LAYOUTS[0], [row]).path)
    found = next(f for f in result.findings if f.rule == "chamber-colder")
    assert found.calculation is not None
    assert found.calculation.numbers()["p_c"] == pytest.approx(15176, abs=30)
    assert "p_v" not in found.calculation.numbers()


def test_every_input_says_where_it_comes_from(example: Finding) -> None:
    calculation = example.calculation
    assert calculation is not None and calculation.inputs
    for value in calculation.inputs:
        assert value.shown
        assert (value.origin == "cell") == bool(value.cell)
        assert value.origin == "cell" or value.stated or value.note or value.number is None, value
    used = {s for step in calculation.steps for s in symbols(step.expression)} | set(
        symbols(calculation.test)
    )
    unused = [s.symbol for s in calculation.steps if s.symbol not in used and s.symbol != calculation.result]
    assert not set(unused) - {"V", "A", "T_o", "rho_lo", "rho_hi", "e_ahead", "x_f"} - WOULD_DO
    assert used <= set(calculation.numbers())


def calculated(text: str) -> float:
    return float(of_cells({"A1": f"={text}"}).values["S", 1, 1])


def test_a_formula_evaluates_as_the_calculation_does(example: Finding) -> None:
    """Written as formulas in a row of cells, the steps give the same in the spreadsheet's own arithmetic."""
    calculation = example.calculation
    assert calculation is not None
    numbers = calculation.numbers()
    where = {symbol: f"({number!r})".replace("e", "E") for symbol, number in numbers.items()}
    for step in calculation.steps:
        if step.expression:
            assert calculated(formula(step.expression, where)) == pytest.approx(step.number, rel=1e-9), step
    if calculation.test:
        assert calculated(f"IF({formula(calculation.test, where)},1,0)") == 1
