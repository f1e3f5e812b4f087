"""Ordinary formulas: the evaluator against stated values, and against LibreOffice Calc."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.ordinary import CELLS, FORMULAS, NEWER
from tests.test_recalculate import calculated
from xlfuncs.hosts.calc import office
from xlfuncs.spreadsheet.formula import CellError


def value(formula: str, cells: Mapping[str, Any] = CELLS) -> Any:
    return calculated({**cells, "Z50": f"={formula}"}).values["S", 50, 26]


@pytest.mark.parametrize(("formula", "expected"), FORMULAS + NEWER)
def test_the_value_is_the_stated_one(formula: str, expected: Any) -> None:
    found = value(formula)
    if isinstance(expected, float):
        assert isinstance(found, float)
        assert found == pytest.approx(expected, rel=1e-12)
    else:
        assert found == expected
        assert isinstance(found, CellError) == (isinstance(expected, str) and expected.startswith("#"))


@pytest.mark.calc
def test_calc_gives_the_same(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "T"
    for address, content in CELLS.items():
        sheet[address] = content
    for row, (formula, _) in enumerate(FORMULAS, 101):
        sheet.cell(row, 26).value = f"={later(formula)}"
    book.save(tmp_path / "ordinary.xlsx")
    areas = {"T": [f"Z101:Z{100 + len(FORMULAS)}"]}
    steps = [{"do": "open", "path": str(tmp_path / "ordinary.xlsx")}, {"do": "read", "areas": areas}]
    (rows,) = office.run(steps)[-1]["T"]
    others = {}
    for (formula, expected), (found,) in zip(FORMULAS, rows, strict=True):
        shown = found["error"] if isinstance(found, dict) else found
        near = isinstance(expected, float) and isinstance(shown, float)
        if shown != (pytest.approx(expected, rel=1e-9) if near else expected):
            others[formula] = shown
    assert others == CALCS_OWN


LATER = (
    *("IFS(", "SWITCH(", "XOR(", "CEILING.MATH(", "FLOOR.MATH(", "AGGREGATE(", "MAXIFS(", "MINIFS("),
    *("CONCAT(", "TEXTJOIN(", "UNICHAR(", "DAYS("),
)


def later(formula: str) -> str:
    """Functions of later versions have a prefix in the file."""
    for name in LATER:
        start = 0
        while (at := formula.find(name, start)) >= 0:
            start = at + len(name)
            if at == 0 or not formula[at - 1].isalnum():
                formula = f"{formula[:at]}_xlfn.{formula[at:]}"
                start += 6
    return formula


CALCS_OWN: dict[str, Any] = {
    # other error values, TRUE as a number, a day 1 that is 31 December 1899, no point without digits
    "LARGE(B2:B6,9)": "#VALUE!",
    "SUBTOTAL(12,B2:B6)": "Err:502",
    'VLOOKUP("F-3",A2:E6,6,FALSE)': "Err:502",
    'CONVERT(1,"in","kg")': "Err:502",
    'COUNTIF(G1:G6,">0")': 2.0,
    "YEAR(1)": 1899.0,
    'TEXT(3,"0.##")': "3",
}
"""What LibreOffice Calc 7.4 gives instead."""
