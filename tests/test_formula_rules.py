"""The rules about formulas, on cells in memory: what is stale, what refuses, what cannot be told."""

from __future__ import annotations

import types
from typing import Any

import pytest

from xlfuncs.audit.registry import Hit, Rule
from xlfuncs.audit.rules.formulas.formula_path import formula_path
from xlfuncs.audit.rules.formulas.function_refused import function_refused
from xlfuncs.audit.rules.formulas.result_stale import result_stale
from xlfuncs.audit.rules.formulas.shared import refused_cells
from xlfuncs.audit.settings import Settings
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.book import BookCells, FormulaCell, SheetCells
from xlfuncs.spreadsheet.cell_values import CellError
from xlfuncs.worksheet import call

BODY = (280.0, 50.0, 200.0)


def gauges(cells: dict[str, Any], formulas: dict[str, tuple[str, Any]]) -> Any:
    """A sheet with values, and with formulas that keep a value each."""
    sheet = SheetCells("S", rows=100, columns=20)
    for address, value in cells.items():
        column, row = split_address(address)
        sheet.values[row, column] = float(value) if isinstance(value, int) else value
    for address, (formula, kept) in formulas.items():
        column, row = split_address(address)
        sheet.formulas[row, column] = FormulaCell(formula)
        if kept is not None:
            sheet.values[row, column] = kept
    return types.SimpleNamespace(
        formulas=BookCells({"s": sheet}), records={}, derived=lambda _what, compute: compute()
    )


def found(item: Rule, of: Any) -> list[tuple[str, str]]:
    hits = list(item.check(of, Settings()))
    assert all(isinstance(hit, Hit) for hit in hits)
    return [(hit.cell, hit.message) for hit in hits if isinstance(hit, Hit)]


# --- stale ----------------------------------------------------------------------------------------------

OFFSET = "LG_READING_OFFSET(A1,B1,C1,D1,E1)"


def near_zero(kept: float, magnet: float, density: float = 850.0) -> list[tuple[str, str]]:
    cells = dict(zip(("A1", "B1", "C1", "D1", "E1"), (*BODY, magnet, density), strict=True))
    return found(result_stale, gauges(cells, {"F1": (OFFSET, kept)}))


def test_near_zero_the_digits_of_the_inputs_decide() -> None:
    depth = call("LG_IMMERSION", *BODY, 850)
    magnet = depth - 0.01407
    due = call("LG_READING_OFFSET", *BODY, magnet, 850)
    assert due == pytest.approx(-0.01407, abs=1e-12)
    # a magnet height of ten digits moves the offset by 1e-8 mm: -0.01407 is kept, -0.01407 is due
    rounded = float(f"{magnet:.10g}")
    assert abs(call("LG_READING_OFFSET", *BODY, rounded, 850) / due - 1) > 1e-6
    assert near_zero(due, rounded) == []
    assert near_zero(due + 1e-7, magnet) == []
    ((cell, message),) = near_zero(due + 1e-5, magnet)
    assert cell == "F1"
    assert message.startswith("the cell keeps ")


def test_away_from_zero_six_digits_decide() -> None:
    due = call("LG_READING_OFFSET", *BODY, 150, 850)
    assert near_zero(due * (1 + 9e-7), 150) == []
    assert near_zero(due * (1 + 1.05e-6), 150) != []
    assert near_zero(due, 150, 849.0) != []


def test_a_small_result_of_small_numbers_is_held_to_its_own_digits() -> None:
    # N/mm: the inputs are thousands of times as large, and do not excuse a wrong fourth digit
    cells = {"A1": 50, "B1": 850}
    due = call("LG_FLOAT_STIFFNESS", 50, 850)
    formula = "LG_FLOAT_STIFFNESS(A1,B1)"
    assert found(result_stale, gauges(cells, {"C1": (formula, due * (1 + 5e-7))})) == []
    assert len(found(result_stale, gauges(cells, {"C1": (formula, due * (1 + 1e-4))}))) == 1


def test_a_difference_of_cells_around_a_function_counts_as_well() -> None:
    cells = {"A1": 280, "B1": 167.7680341}
    formula = "LG_IMMERSION(A1,50,200,850)-B1"
    due = call("LG_IMMERSION", 280, 50, 200, 850) - 167.7680341
    assert abs(due) < 1e-7
    assert found(result_stale, gauges(cells, {"C1": (formula, due + 2e-8)})) == []
    assert len(found(result_stale, gauges(cells, {"C1": (formula, due + 1e-5)}))) == 1


def test_a_result_near_zero_moves_with_the_tenth_digit_of_its_input() -> None:
    # 0.016 mA/mm: 1e-9 of 500 mm moves it by 8e-9 mA, and the 1000 mm of the range are held to 1e-12
    cells, formula = {"A1": 500}, "LG_LEVEL_TO_CURRENT(A1,0,1000)-12"
    assert found(result_stale, gauges(cells, {"B1": (formula, 8.9e-9)})) == []
    assert len(found(result_stale, gauges(cells, {"B1": (formula, 9.1e-9)}))) == 1


@pytest.mark.parametrize(("inputs", "stale"), [(64, 1), (65, 0)])
def test_of_more_than_64_inputs_the_largest_number_decides(inputs: int, stale: int) -> None:
    # one by one they move the result by 1e-8 mA at most; a ninth digit of 1000 mm is 1e-6
    column = {f"A{row}": 500 / inputs for row in range(1, inputs + 1)}
    formula = f"LG_LEVEL_TO_CURRENT(SUM(A1:A{inputs}),0,1000)-12"
    assert len(found(result_stale, gauges(column, {"B1": (formula, 5e-7)}))) == stale


def test_a_number_that_is_kept_where_the_function_refuses_is_stale_with_the_reason() -> None:
    ((_, message),) = found(result_stale, gauges({}, {"A1": ("LG_IMMERSION(400,50,200,850)", 167.8)}))
    assert message == (
        "the cell keeps 167.8, its formula gives #NUM!, since the float sinks: its mean density is not below"
        " lower_density; choose a lighter float"
    )


@pytest.mark.parametrize(
    ("kept", "stale"),
    [(CellError("#NUM!"), False), (CellError("#VALUE!"), False), (CellError("#NAME?"), True), (None, False)],
)
def test_an_error_that_is_kept_is_stale_only_where_the_functions_were_missing(kept: Any, stale: bool) -> None:
    of = gauges({}, {"A1": ("LG_IMMERSION(400,50,200,850)", kept)})
    assert bool(found(result_stale, of)) is stale


# --- refused --------------------------------------------------------------------------------------------

REFUSED = 'LG_FLOAT_COLLAPSE(50,,200,"316L")'


def test_each_cell_in_which_a_function_refuses_is_listed_with_the_reason() -> None:
    formulas = {
        "A1": (REFUSED, CellError("#N/A")),
        "A2": (f'IF({REFUSED}>40,"OK","FAIL")', CellError("#N/A")),
        "A3": (f"MAX(1,LG_IMMERSION(400,50,200,850),{REFUSED})", CellError("#NUM!")),
        "A4": (f'IFERROR({REFUSED},"OK")', "OK"),
        "A5": (f"IFERROR({REFUSED},40)", 40.0),
        "A6": (f'IFERROR({REFUSED},"-")', "-"),
        "A7": (f'IFERROR({REFUSED},"")', ""),
        "A8": ("LG_IMMERSION(280,50,200,850)", 167.8),
        "A9": ("1/0", CellError("#DIV/0!")),
        "B1": ("LG_SWITCH_LEVEL(500,150,A1)", CellError("#N/A")),
        "B2": (f'IF(ISERROR({REFUSED}),"FAIL","OK")', "FAIL"),
    }
    of = gauges({}, formulas)
    missing = "wall: missing; give the wall thickness of the float in mm, or as text with its unit"
    why = f"LG_FLOAT_COLLAPSE: {missing}"
    sinks = (
        "LG_IMMERSION: the float sinks: its mean density is not below lower_density; choose a lighter float"
    )
    assert found(function_refused, of) == [
        ("A1", why),
        ("B1", "LG_SWITCH_LEVEL: immersion: the cell it refers to holds #N/A; mend that one first"),
        ("A2", why),
        ("B2", f"the cell shows FAIL all the same; {why}"),
        ("A3", f"{sinks}; {why}"),
        ("A4", f"the cell shows OK all the same; {why}"),
        ("A5", f"the cell shows 40 all the same; {why}"),
    ]
    assert refused_cells(of) == {("S", row, 1) for row in (1, 2, 3)} | {("S", 1, 2)}


# --- what cannot be told --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "formula",
    [
        "LG_IMMERSION([1]Floats!B2,50,200,850)",
        "LG_IMMERSION('C:\\x\\[floats.xlsx]Sheet 1'!B2,50,200,850)",
        "LG_IMMERSION([1]!Mass,50,200,850)",
        "LG_IMMERSION(SUM(A:C!B2),50,200,850)",
        "LG_IMMERSION(S:S!B2,50,200,850)",
        "LG_IMMERSION(UNHEARD.OF(1),50,200,850)",
        "LG_IMMERSION(A1:B2 B1:C2,50,200,850)",
        "LG_IMMERSION(,,",
        "old.xlam!LG_IMMERSION(A1:B2 B1:C2)",
        "LG_NEVER_HEARD(1)",
        "LG_IMMERSION(F1,50,200,850)",
    ],
)
def test_no_formula_stops_the_rules(formula: str) -> None:
    of = gauges({"B2": 280}, {"F1": (formula, 7.0)})
    for item in (result_stale, function_refused, formula_path):
        for cell, _ in found(item, of):
            assert cell == "F1"


def test_what_the_file_keeps_of_another_workbook_is_compared() -> None:
    formula = "LG_IMMERSION([1]Floats!B2,50,200,850)"
    due = call("LG_IMMERSION", 280, 50, 200, 850)
    for kept, stale in ((due, 0), (150.0, 1)):
        of = gauges({}, {"A1": (formula, kept)})
        of.formulas.links["1"] = {"floats": {(2, 2): 280.0}}
        assert len(found(result_stale, of)) == stale
