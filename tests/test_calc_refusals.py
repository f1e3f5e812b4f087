"""A refusal in the formulas that stand around it: LibreOffice Calc and `recalculate` show the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.formula import ArrayFormula

from xlfuncs.hosts.calc import office
from xlfuncs.hosts.recalculate import recalculate

pytestmark = pytest.mark.calc

MISSING = 'LG_FLOAT_COLLAPSE(50,,200,"316L")'
SINKS = "LG_IMMERSION(280,50,200,200)"
USELESS = 'LG_IMMERSION(280,50,200,"0.85 psi")'
AROUND: list[tuple[str, Any]] = [
    (MISSING, "#N/A"),
    (SINKS, "#NUM!"),
    (USELESS, "#VALUE!"),
    (f'IF({MISSING}>40,"OK","FAIL")', "#N/A"),
    (f'IF({SINKS}>40,"OK","FAIL")', "#NUM!"),
    (f"AND({MISSING}>40,TRUE)", "#N/A"),
    (f"OR({MISSING}>40,TRUE)", "#N/A"),
    (f"NOT({SINKS}>40)", "#NUM!"),
    (f"MAX(1,{MISSING})", "#N/A"),
    (f"SUM(1,{SINKS})", "#NUM!"),
    (f'IFERROR({SINKS},"caught")', "caught"),
    (f"ISNA({MISSING})", True),
    (f"ERROR.TYPE({SINKS})", 6.0),
    (f"ERROR.TYPE({USELESS})", 3.0),
    ("LG_IMMERSION(TRUE,50,200,850)", "#VALUE!"),
    ("LG_IMMERSION(A1,50,200,850)", "#VALUE!"),
    ("LG_IMMERSION(A2,50,200,850)", "#DIV/0!"),
    ("SUM(LG_IMMERSION(A3:A5,50,200,850))", "#NUM!"),
    ("LG_READING_OFFSET(280,50,200,LG_MAGNET_HEIGHT(280,50,200,200),850)", "#NUM!"),
    (
        'LG_REASON("LG_FLOAT_COLLAPSE",50,,200,"316L")',
        "wall: missing; give the wall thickness of the float in mm, or as text with its unit",
    ),
    (
        'LG_REASON("LG_IMMERSION",280,50,200,200)',
        "the float sinks: its mean density is not below lower_density; choose a lighter float",
    ),
]
"""Formulas, and what they show."""


def test_calc_and_recalculate_show_the_same_around_a_refusal(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Index"
    given: list[Any] = [True, "=1/0", 280, 5000, "TBC"]
    for row, content in enumerate(given, 1):
        sheet.cell(row, 1).value = content
    for row, (formula, _) in enumerate(AROUND, 1):
        sheet.cell(row, 2).value = f"={formula}"
    sheet["C1"] = ArrayFormula("C1:C3", "=LG_IMMERSION(A3:A5,50,200,850)")
    book.save(tmp_path / "book.xlsx")
    areas = {"Index": [f"B1:B{len(AROUND)}", "C1:C3"]}
    steps: list[dict[str, Any]] = [
        {"do": "open", "path": str(tmp_path / "book.xlsx")},
        {"do": "read", "areas": areas},
    ]
    around, array = office.run(steps)[-1]["Index"]
    shown = [row[0]["error"] if isinstance(row[0], dict) else row[0] for row in around]
    assert dict(zip([formula for formula, _ in AROUND], shown, strict=True)) == dict(AROUND)
    assert array[0][0] == pytest.approx(167.768, abs=1e-3)
    assert [row[0] for row in array[1:]] == [{"error": "#NUM!"}, {"error": "#VALUE!"}]  # by element

    report = recalculate(tmp_path / "book.xlsx", tmp_path / "out.xlsx")
    values = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True)["Index"]
    assert [values.cell(row, 2).value for row in range(1, len(AROUND) + 1)] == [value for _, value in AROUND]
    assert [values.cell(row, 3).value for row in (2, 3)] == ["#NUM!", "#VALUE!"]
    assert "wall: missing" in report.reasons["Index!B4"]
    assert "the float sinks" in report.reasons["Index!B18"]
    assert "the float sinks" in report.reasons["Index!C2"]
    assert "LG_IMMERSION gives #NUM!: the float sinks" in report.caught["Index!B11"]
