"""Ordinary formulas: the evaluator against stated values, and against LibreOffice Calc."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.ordinary import CELLS, FORMULAS, NEWER
from tests.test_recalculate import calculated, kept
from xlfuncs.cli import main
from xlfuncs.hosts.calc import office
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.spreadsheet.book import BookCells, FormulaCell, SheetCells
from xlfuncs.spreadsheet.cell_values import CellError
from xlfuncs.spreadsheet.evaluate import Calculation
from xlfuncs.spreadsheet.inplace import Workbook
from xlfuncs.spreadsheet.tree import Area
from xlfuncs.worksheet import call
from xlfuncs.worksheet.cells import FUNCTIONS


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


def test_the_day_is_that_of_the_calculation() -> None:
    before = date.today()
    found, after = value("TODAY()"), date.today()
    assert found in {float((day - date(1899, 12, 30)).days) for day in (before, after)}
    assert 0 <= value("NOW()") - value("TODAY()") < 1


@pytest.mark.calc
def test_a_filtered_list_is_summed_as_calc_sums_it(tmp_path: Path) -> None:
    """SUBTOTAL passes over what a filter hides, AGGREGATE only where it is told to pass over hidden rows."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "T"
    for value_ in ("v", 1, 2, 4, 8, 16, "=SUBTOTAL(9,A2:A3)"):
        sheet.append([value_])
    sheet.auto_filter.ref = "A1:A6"
    sheet.auto_filter.add_filter_column(0, ["1", "2", "4", "16"])
    sheet.row_dimensions[5].hidden = True
    formulas = [f"AGGREGATE(9,{option},A2:A7)" for option in range(8)]
    formulas += [
        "AGGREGATE(14,6,A2:A7,2)",
        "AGGREGATE(14,5,A2:A7,2)",
        "SUBTOTAL(9,A2:A7)",
        "SUBTOTAL(109,A2:A7)",
    ]
    for row, formula in enumerate(formulas, 10):
        sheet.cell(row, 5).value = f"={later(formula)}"
    path = tmp_path / "filtered.xlsx"
    book.save(path)
    area = f"E10:E{9 + len(formulas)}"
    steps: list[dict[str, Any]] = [
        {"do": "open", "path": str(path)},
        {"do": "read", "areas": {"T": [area]}},
    ]
    (rows,) = office.run(steps)[-1]["T"]
    with Workbook(path) as file:
        ours = Calculation(file.cells, FUNCTIONS).values
    found = [ours["T", row, 5] for row in range(10, 10 + len(formulas))]
    assert found == [row[0] for row in rows]
    assert found == [31.0, 23.0, 31.0, 23.0, 34.0, 26.0, 34.0, 26.0, 8.0, 4.0, 23.0, 23.0]


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
    steps: list[dict[str, Any]] = [
        {"do": "open", "path": str(tmp_path / "ordinary.xlsx")},
        {"do": "read", "areas": areas},
    ]
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
    *("COVARIANCE.S(", "COVARIANCE.P(", "PERCENTILE.EXC("),
    *("QUARTILE.EXC(", "RANK.AVG(", "NORM.S.DIST(", "NORM.INV(", "CONFIDENCE.NORM(", "BITAND("),
    *("CONCAT(", "TEXTJOIN(", "UNICHAR(", "DAYS(", "ISFORMULA(", "BASE(", "DECIMAL(", "FORMULATEXT("),
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
    "FACT(-1)": "Err:502",
    "SLOPE(B2:B6,C2:C5)": "Err:502",
    "YEAR(1)": 1899.0,
    **dict.fromkeys(("DEC2HEX(255,1)", 'HEX2DEC("g")', "DEC2BIN(512)", "COMBIN(2,5)"), "Err:502"),
    "MMULT(A8:C8,A8:C8)": "Err:502",
    "GEOMEAN(0,1)": 0.0,
    "PERCENTILE.EXC(B2:B6,0.1)": "Err:504",
    "PERCENTRANK(B2:B6,1000)": "#VALUE!",
    'DGET(A1:E6,"Part",D1:D2)': "Err:502",
    "YEARFRAC(H1,H1+1,9)": "Err:502",
    'TEXT(3,"0.##")': "3",
}
"""What LibreOffice Calc 7.4 gives instead."""


# --- conditions, whole columns, blanks ------------------------------------------------------------------


def test_blanks_beyond_the_last_used_cell_count_where_a_condition_takes_them() -> None:
    cells = {"A1": "x", "A2": "y"}
    assert value('COUNTIF(A:A,"x")', cells) == 1.0
    assert value('COUNTIF(A1:A100,"<>x")', cells) == 99.0
    assert value('COUNTIF(A1:A100,"")', cells) == 98.0
    assert value('SUMIF(A:A,"<>x",B:B)', {**cells, "B1": 5, "B2": 7, "B40": 1}) == 8.0


def test_ranges_of_a_condition_must_be_alike() -> None:
    assert value('SUMIFS(B2:B6,D2:D5,"level")') == "#VALUE!"
    assert value('COUNTIFS(B2:B6,">1",D2:D6)') == "#VALUE!"


def test_an_error_among_the_cells_that_meet_a_condition_is_the_result() -> None:
    cells = {"A1": "x", "A2": "y", "B1": CellError("#N/A"), "B2": 5}
    assert value('SUMIF(A1:A2,"x",B1:B2)', cells) == "#N/A"
    assert value('SUMIF(A1:A2,"y",B1:B2)', cells) == 5.0
    assert value('COUNTIF(B1:B2,"#N/A")', cells) == 1.0


@pytest.mark.parametrize(
    ("criterion", "expected"),
    [
        ("5", 2.0),
        (">4", 1.0),
        ("<>5", 4.0),
        ("true", 1.0),
        ("f?ve", 1.0),
        ("=five", 1.0),
        ("~*", 0.0),
        ("<0", 1.0),
    ],
)
def test_criteria_tell_numbers_texts_and_truths_apart(criterion: str, expected: float) -> None:
    assert value(f'COUNTIF(G1:G6,"{criterion}")') == expected


# --- partial results ------------------------------------------------------------------------------------


def test_a_partial_result_passes_over_others_and_over_hidden_rows_that_are_known() -> None:
    cells = {"A1": 1, "A2": 2, "A3": "=SUBTOTAL(9,A1:A2)", "A4": 4, "A5": "=SUBTOTAL(9,A1:A4)"}
    book = calculated(cells).book
    assert Calculation(book, FUNCTIONS).values["S", 5, 1] == 7.0
    sheet = book.sheets["s"]
    sheet.formulas[6, 1] = FormulaCell("SUBTOTAL(109,A1:A4)")
    sheet.formulas[7, 1] = FormulaCell("AGGREGATE(9,5,A1:A4)")
    sheet.hidden.add(4)
    book.trusted = False
    found = Calculation(book, FUNCTIONS)
    assert found.values["S", 5, 1] == 7.0  # hidden by hand
    assert found.values["S", 6, 1] == 3.0
    assert found.values["S", 7, 1] == 6.0  # this kind counts other partial results
    sheet.filtered.add(Area("S", 1, 1, 4, 1))
    assert Calculation(book, FUNCTIONS).values["S", 5, 1] == 3.0  # hidden by a filter


# --- other workbooks, several sheets ----------------------------------------------------------------------


def book_of(sheets: dict[str, dict[tuple[int, int], Any]], formulas: dict[tuple[int, int], str]) -> BookCells:
    """Sheets with values; formulas, keeping 0, on the first one."""
    book = BookCells({})
    for name, values in sheets.items():
        cells = SheetCells(name, dict(values), rows=9, columns=9)
        book.sheets[name.casefold()] = cells
    first = next(iter(book.sheets.values()))
    for place, formula in formulas.items():
        first.formulas[place] = FormulaCell(formula)
        first.values[place] = 0.0
    return book


def test_what_the_file_keeps_of_another_workbook_is_used_and_said() -> None:
    book = book_of(
        {"S": {}},
        {
            (1, 1): "LG_IMMERSION([1]Floats!$B$2,50,200,850)",
            (2, 1): 'VLOOKUP("F-2",[1]Floats!A:B,2,FALSE)',
            (3, 1): "LG_IMMERSION(A2,50,200,850)",
            (4, 1): "'[1]Floats'!B9+1",
        },
    )
    book.trusted = False
    book.links["1"] = {"floats": {(2, 1): "F-1", (2, 2): 280.0, (3, 1): "F-2", (3, 2): 290.0}}
    found = Calculation(book, FUNCTIONS)
    assert found.values["S", 1, 1] == call("LG_IMMERSION", 280, 50, 200, 850)
    assert found.values["S", 2, 1] == 290.0
    assert found.values["S", 3, 1] == call("LG_IMMERSION", 290, 50, 200, 850)
    assert found.values["S", 4, 1] == 1.0
    assert found.links == {
        ("S", 1, 1): ["[1]Floats!$B$2"],
        ("S", 2, 1): ["[1]Floats!A:B"],
        ("S", 4, 1): ["'[1]Floats'!B9"],
    }
    assert not found.left


def test_where_nothing_is_kept_of_another_workbook_the_cells_own_value_stays() -> None:
    formulas = {(1, 1): "LG_IMMERSION([2]Floats!B2,50,200,850)", (2, 1): "[2]!Mass*2", (3, 1): "A1+A2"}
    book = book_of({"S": {}}, formulas)
    first = book.sheets["s"]
    first.values |= {(1, 1): 167.0, (2, 1): 560.0, (3, 1): 727.0}
    found = Calculation(book, FUNCTIONS)
    assert {place[1]: found.values[place] for place in found.values} == {1: 167.0, 2: 560.0, 3: 727.0}
    assert found.links["S", 1, 1] == [
        "its own value was kept for the reference [2]Floats!B2 to another workbook"
    ]
    assert found.links["S", 2, 1] == ["[2]!Mass"]
    never = book_of({"S": {}}, formulas)
    never.sheets["s"].values.clear()
    found = Calculation(never, FUNCTIONS)
    none = "the file keeps no value of the reference [2]Floats!B2 to another workbook"
    assert found.uncalculated["S", 1, 1].startswith(none)
    assert found.uncalculated["S", 3, 1].startswith("it needs S!A1, where the file keeps no value")
    assert found.values["S", 1, 1] == "#N/A"
    assert found.left.keys() == {("S", 2, 1)}


def test_one_range_on_several_sheets_is_taken_together() -> None:
    sheets = {name: {(1, 1): number} for name, number in (("Sum", 0.0), ("A 1", 1.0), ("B", 2.0), ("C", 4.0))}
    formulas = {
        (2, 2): "SUM('A 1:C'!A1)",
        (3, 2): "AVERAGE(B:C!$A$1)",
        (4, 2): "MAX(B:B!A1:A9,3)",
        (5, 2): "COUNT('c:a 1'!A:A)",
        (6, 2): "SUM(B:None!A1)",
    }
    book = book_of(sheets, formulas)
    book.trusted = False
    found = Calculation(book, FUNCTIONS).values
    assert [found["Sum", row, 2] for row in range(2, 7)] == [7.0, 3.0, 3.0, 3.0, "#REF!"]
    spread = book_of(sheets, {(2, 2): 'LG_CONVERT(B:C!A1,"in","mm")'})
    assert Calculation(spread, FUNCTIONS).uncalculated == {
        ("Sum", 2, 2): "several ranges in place of one value is not known here"
    }


def test_a_change_on_one_of_several_sheets_is_seen() -> None:
    book = book_of({"S": {}, "A": {}, "B": {(1, 1): 2.0}}, {(1, 1): "SUM(A:B!A1)"})
    book.sheets["s"].values[1, 1] = 3.0
    assert Calculation(book, FUNCTIONS).values["S", 1, 1] == 3.0  # kept, as long as nothing has changed
    book.sheets["s"].values[1, 1] = 3.0
    book.sheets["a"].formulas[1, 1] = FormulaCell('LG_CONVERT(1,"m","m")')
    assert Calculation(book, FUNCTIONS).values["S", 1, 1] == 3.0
    book.sheets["s"].values[1, 1] = 99.0
    assert Calculation(book, FUNCTIONS).values["S", 1, 1] == 3.0


def test_a_link_is_read_from_its_file_and_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active["A1"] = "=LG_IMMERSION([1]Floats!B2,50,200,850)"
    book.active["A3"] = "hidden"
    book.active.row_dimensions[3].hidden = True
    book.save(tmp_path / "plain.xlsx")
    office_ns = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    link = (
        '<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><externalBook '
        f'xmlns:r="{office_ns}" r:id="rId1"><sheetNames><sheetName val="Other"/><sheetName val="Floats"/>'
        '</sheetNames><sheetDataSet><sheetData sheetId="1"><row r="2">'
        '<cell r="A2" t="str"><v>F-1</v></cell><cell r="B2"><v>280</v></cell>'
        '<cell r="C2" t="e"><v>#N/A</v></cell><cell r="D2" t="b"><v>1</v></cell></row>'
        "</sheetData></sheetDataSet></externalBook></externalLink>"
    )
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"
    with zipfile.ZipFile(tmp_path / "plain.xlsx") as old, zipfile.ZipFile(tmp_path / "in.xlsx", "w") as out:
        for name in old.namelist():
            data = old.read(name).decode()
            if name == "xl/workbook.xml":
                data = data.replace(
                    "</sheets>",
                    f'</sheets><externalReferences><externalReference xmlns:r="{office_ns}" r:id="rId77"/>'
                    "</externalReferences>",
                )
            if name == "xl/_rels/workbook.xml.rels":
                data = data.replace(
                    "</Relationships>",
                    f'<Relationship Id="rId77" Type="{office_ns}/externalLink" '
                    'Target="externalLinks/externalLink1.xml"/></Relationships>',
                )
            if name == "[Content_Types].xml":
                override = f'<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="{kind}"/>'
                data = data.replace("</Types>", f"{override}</Types>")
            out.writestr(name, data)
        out.writestr("xl/externalLinks/externalLink1.xml", link)
    with Workbook(tmp_path / "in.xlsx") as found:
        assert found.cells.links == {
            "1": {"floats": {(2, 1): "F-1", (2, 2): 280.0, (2, 3): "#N/A", (2, 4): True}}
        }
        assert found.cells.sheets["sheet"].hidden == {3}
    assert main(["recalculate", str(tmp_path / "in.xlsx"), "-o", str(tmp_path / "out.xlsx")]) == 0
    with Workbook(tmp_path / "out.xlsx") as found:
        assert found.cells.sheets["sheet"].values[1, 1] == call("LG_IMMERSION", 280, 50, 200, 850)
    said = capsys.readouterr().err
    assert "1 x calculated with values that the file keeps of another workbook" in said
    assert "Sheet!A1: [1]Floats!B2" in said


# --- LibreOffice Calc -------------------------------------------------------------------------------------


@pytest.mark.calc
def test_what_calc_does_not_know_is_never_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active["A1"] = '=LG_CONVERT(_xlfn.LET(_xlpm.x,1,_xlpm.x),"in","mm")'
    book.active["A2"] = "=A1*2"
    book.save(tmp_path / "in.xlsx")
    out = tmp_path / "out.xlsx"
    assert main(["recalculate", str(tmp_path / "in.xlsx"), "-o", str(out), "--with", "calc"]) == 1
    said = capsys.readouterr().err
    assert "2 x not calculated by LibreOffice" in said
    assert "Sheet!A1: a function or a name that is not known there" in said
    assert [kept(out, "Sheet")(cell) for cell in ("A1", "A2")] == ["#N/A", "#N/A"]
    assert recalculate(tmp_path / "in.xlsx", out).formulas == 1
    assert kept(out, "Sheet")("A2") == pytest.approx(50.8)


@pytest.mark.calc
def test_what_calc_cannot_calculate_and_none_of_ours_needs_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    ours, circle = '=LG_CONVERT(2,"in","mm")', {"B1": "=C1+1", "C1": "=B1+1"}
    for cell, formula in ({"A1": ours, "D1": "=NOSUCH(1)", "E1": "=D1+1"} | circle).items():
        book.active[cell] = formula
    book.save(tmp_path / "in.xlsx")
    out = tmp_path / "out.xlsx"
    assert main(["recalculate", str(tmp_path / "in.xlsx"), "-o", str(out), "--with", "calc"]) == 0
    said = capsys.readouterr().err
    assert "4 x left as it was" in said
    assert "Sheet!B1: the formula refers to itself" in said
    assert "Sheet!D1: a function or a name that is not known there" in said
    value = kept(out, "Sheet")
    assert [value(cell) for cell in ("A1", "B1", "C1", "D1", "E1")] == [50.8, None, None, None, None]
    book.active["F1"] = "=A1+B1"
    book.active["B1"] = "=C1+A1"
    book.save(tmp_path / "in.xlsx")
    assert main(["recalculate", str(tmp_path / "in.xlsx"), "-o", str(out), "--with", "calc"]) == 1
    said = capsys.readouterr().err
    assert "3 x not calculated by LibreOffice" in said
    assert "Sheet!B1: the formula refers to itself" in said
    value = kept(out, "Sheet")
    assert [value(cell) for cell in ("A1", "B1", "C1", "D1", "F1")] == [50.8, "#N/A", "#N/A", None, "#N/A"]


def test_days_from_1904_are_not_taken_for_others() -> None:
    book = calculated({"A1": 45417, "A2": "=YEAR(A1)"}).book
    book.from_1904 = True
    assert Calculation(book, FUNCTIONS).left == {
        ("S", 2, 1): "YEAR in a workbook that counts its days from 1904"
    }


def test_blank_cells_below_the_last_used_row_count_where_the_range_names_them(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0].append([280, "=SUMPRODUCT(LG_IMMERSION(A1:A2,50,200,850))"])
    book.worksheets[0]["C1"] = "=SUMPRODUCT(IFERROR(LG_IMMERSION(A:A,50,200,850),0))"
    book.save(tmp_path / "in.xlsx")
    recalculate(tmp_path / "in.xlsx", tmp_path / "out.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True).worksheets[0]
    assert sheet["B1"].value == "#N/A"
    assert sheet["C1"].value == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850))
