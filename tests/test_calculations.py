"""The calculation of a finding: its numbers are the rule's own, and its test says what the rule says."""

from __future__ import annotations

import json
import math
import pickle
from pathlib import Path

import pytest

import xlfuncs
from xlfuncs.audit.calculation import Calculation, evaluate, formula, symbols
from xlfuncs.audit.model import AuditResult

DEMO = Path(__file__).parents[1] / "workbooks" / "contractor_index.xlsx"


@pytest.fixture(scope="module")
def demo() -> AuditResult:
    return xlfuncs.audit(str(DEMO))


def computed(result: AuditResult) -> list[tuple[str, Calculation]]:
    return [(f.rule, f.calculation) for f in result.findings if f.calculation is not None]


def test_every_test_fires_on_its_own_numbers(demo: AuditResult) -> None:
    found = computed(demo)
    assert {"offset-exceeds-tolerance", "transmitter-outside-visible-range"} <= {rule for rule, _ in found}
    assert [rule for rule, calculation in found if calculation.test and not calculation.fires] == []


def test_the_offset_is_the_one_that_the_finding_states(demo: AuditResult) -> None:
    finding = next(f for f in demo.findings if f.rule == "offset-exceeds-tolerance")
    assert finding.calculation is not None
    stated = float(finding.evidence["reading_offset_mm"])
    assert finding.calculation.numbers()["e"] * 1e3 == pytest.approx(stated, abs=1e-6)


def test_another_density_in_the_calculation_changes_the_verdict(demo: AuditResult) -> None:
    finding = next(f for f in demo.findings if f.rule == "offset-exceeds-tolerance")
    calculation = finding.calculation
    assert calculation is not None
    right = (
        calculation.numbers()["rho_u"]
        + (calculation.numbers()["rho"] - calculation.numbers()["rho_u"])
        * calculation.numbers()["h"]
        / (calculation.numbers()["z"])
    )
    again = calculation.again({"rho": right})
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
    assert set(calculations[0]) == {"inputs", "steps", "test", "result", "limit", "elementary", "note"}
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
