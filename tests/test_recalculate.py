"""Formulas evaluated without a spreadsheet program, and their results put into a copy of the file."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table

from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.recalculate import Report, recalculate
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.book import BookCells, FormulaCell, SheetCells
from xlfuncs.spreadsheet.cell_values import CellError, NotUnderstood
from xlfuncs.spreadsheet.evaluate import Calculation, functions_used
from xlfuncs.spreadsheet.formula import parse, without_prefixes
from xlfuncs.spreadsheet.inplace import Edit, Workbook
from xlfuncs.spreadsheet.tree import Area
from xlfuncs.worksheet import call, catalogue
from xlfuncs.worksheet.cells import FUNCTIONS, own_name

WORKBOOKS = Path(__file__).parent.parent / "workbooks"


# --- formulas -----------------------------------------------------------------------------------------


def calculated(cells: Mapping[str, Any], more: Mapping[str, Mapping[str, Any]] | None = None) -> Calculation:
    """A workbook with the sheet 'S' (and more), where a text that begins with '=' is a formula."""
    book = BookCells({})
    for name, content in {"S": cells, **(more or {})}.items():
        sheet = SheetCells(name)
        for address, value in content.items():
            column, row = split_address(address)
            sheet.rows, sheet.columns = max(sheet.rows, row), max(sheet.columns, column)
            if isinstance(value, str) and value.startswith("="):
                sheet.formulas[row, column] = FormulaCell(value[1:])
            elif value is not None:
                value = float(value) if isinstance(value, int) and not isinstance(value, bool) else value
                sheet.values[row, column] = value
        book.sheets[name.casefold()] = sheet
    return Calculation(book, FUNCTIONS)


def value(formula: str, **cells: Any) -> Any:
    return calculated({**cells, "Z9": f"={formula}"}).values["S", 9, 26]


ORDINARY = [
    ("1+2*3", 7.0),
    ("(1+2)*3", 9.0),
    ("-2^2", 4.0),  # the sign binds closer than the power, as in every spreadsheet program
    ("2^3^2", 64.0),
    ("2^-1", 0.5),
    ("10-3-2", 5.0),
    ("50%", 0.5),
    ("200*5%", 10.0),
    ("1=1", True),
    ('"a"="A"', True),
    ('"b">"a"', True),
    ('"1">2', True),
    ("TRUE>5", True),
    ("1<>2", True),
    ("2>=2", True),
    ('1&"x"&TRUE', "1xTRUE"),
    ('0.1+0.2&""', "0.3"),
    ('1E+20&""', "1E+20"),
    ('"3"+1', 4.0),
    ('"x"+1', "#VALUE!"),
    ("1/0", "#DIV/0!"),
    ("1/0+1", "#DIV/0!"),
    ("0^0", "#NUM!"),
    ("(-8)^0.5", "#NUM!"),
    ("10^400", "#NUM!"),
    ("#N/A", "#N/A"),
    ("A1+1", 1.0),
    ('A1=""', True),
    ("A1=0", True),
    ('A1&"x"', "x"),
    ('"say ""so"""', 'say "so"'),
    ("SUM(1,2,3)", 6.0),
    ("SUM({1,2;3,4})", 10.0),
    ('SUM(1,"2")', 3.0),
    ("MIN(3,1,2)", 1.0),
    ("MAX(3,1,2)", 3.0),
    ("AVERAGE(1,2)", 1.5),
    ("ROUND(2.5,0)", 3.0),
    ("ROUND(-2.5,0)", -3.0),
    ("ROUND(1.005,2)", 1.01),
    ("ROUND(1234.5,-2)", 1200.0),
    ("ROUNDUP(1.001,2)", 1.01),
    ("ROUNDDOWN(-1.009,2)", -1.0),
    ("INT(-1.5)", -2.0),
    ("MOD(-3,2)", 1.0),
    ("MOD(3,0)", "#DIV/0!"),
    ("ABS(-2)", 2.0),
    ("SQRT(-1)", "#NUM!"),
    ("IF(1>2,1/0,5)", 5.0),
    ("IF(0,1)", False),
    ("IF(1,,2)", 0.0),
    ("IFERROR(1/0,7)", 7.0),
    ("IFERROR(3,1/0)", 3.0),
    ("IFNA(1/0,7)", "#DIV/0!"),
    ("IFNA(#N/A,7)", 7.0),
    ("AND(TRUE,1)", True),
    ("OR(FALSE,0)", False),
    ("NOT(FALSE)", True),
    ("AND(1/0,FALSE)", "#DIV/0!"),
    ('LEFT("abc",2)', "ab"),
    ('RIGHT("abc",2)', "bc"),
    ('MID("abcd",2,2)', "bc"),
    ('MID("abcd",0,2)', "#VALUE!"),
    ('LEN("abc")', 3.0),
    ('TRIM("  a   b ")', "a b"),
    ('UPPER("ab")', "AB"),
    ('VALUE("1.5")', 1.5),
    ('CONCATENATE("a",1)', "a1"),
    ('EXACT("a","A")', False),
    ("ISBLANK(A1)", True),
    ("ISNUMBER(1/0)", False),
    ("ISERROR(1/0)", True),
    ("ISNA(#N/A)", True),
    ('ISTEXT("")', True),
    ("INDEX({1,2;3,4},2,1)", 3.0),
    ("INDEX({1,2;3,4},3,1)", "#REF!"),
    ("INDEX({5,6,7},2)", 6.0),
    ("SUM(INDEX({1,2;3,4},0,2))", 6.0),
    ("MATCH(3,{1,2,3},0)", 3.0),
    ("MATCH(2.5,{1,2,3})", 2.0),
    ("MATCH(2.5,{3,2,1},-1)", 1.0),
    ('MATCH("b*",{"abc","bcd"},0)', 2.0),
    ("MATCH(9,{1,2,3},0)", "#N/A"),
    ("CHOOSE(2,1/0,5)", 5.0),
    ("ROWS({1;2})", 2.0),
    ("COLUMNS(A1:C2)", 3.0),
    ("ROW()", 9.0),
    ("COLUMN(C3)", 3.0),
    ("SUMPRODUCT({1,2},{3,4})", 11.0),
    ("SUMPRODUCT(--({1,2,3}>1))", 2.0),
    ("XLOOKUP(2,{1,2},{10,20})", 20.0),
    ('XLOOKUP(3,{1,2},{10,20},"none")', "none"),
    ("_xlfn.XLOOKUP(1,{1,2},{10,20})", 10.0),
]
"""Formulas in a workbook whose cells are blank, in Z9, and their values."""


@pytest.mark.parametrize(("formula", "expected"), ORDINARY)
def test_ordinary_formulas(formula: str, expected: Any) -> None:
    found = value(formula)
    assert found == expected
    assert type(found) is (
        CellError if isinstance(expected, str) and expected.startswith("#") else type(expected)
    )


def test_ranges_pass_over_texts_and_blanks() -> None:
    cells = {"A1": 1, "A2": "text", "A4": 3, "A5": True}
    assert value("SUM(A1:A5)", **cells) == 4.0
    assert value("COUNT(A1:A5)", **cells) == 2.0
    assert value("COUNTA(A1:A5)", **cells) == 4.0
    assert value("AVERAGE(A:A)", **cells) == 2.0
    assert value("SUM($A$1:A2,A4)", **cells) == 4.0


def test_lookups_in_ranges() -> None:
    cells = {"A1": "F-1", "A2": "F-2", "B1": 280, "B2": 350, "C1": "F-2"}
    assert value("INDEX(B1:B2,MATCH(C1,A1:A2,0))", **cells) == 350.0
    assert value("VLOOKUP(C1,$A$1:$B$2,2,FALSE)", **cells) == 350.0
    assert value("VLOOKUP(C1,A:B,3,FALSE)", **cells) == "#REF!"
    assert value('VLOOKUP("F-9",A:B,2,FALSE)', **cells) == "#N/A"


def test_a_range_outside_an_array_formula_means_the_cell_beside_it() -> None:
    cells = {"A8": 1, "A9": 2, "A10": 3}
    assert value("A8:A10*10", **cells) == 20.0
    assert value("A1:A3*10", **cells) == "#VALUE!"
    assert value("@A8:A10", **cells) == 2.0


def test_other_sheets_are_found_whatever_their_case() -> None:
    more = {"My float's list": {"B2": 5}}
    found = calculated({"A1": "='my float''s LIST'!B2*2", "A2": "=nowhere!B2"}, more).values
    assert found["S", 1, 1] == 10.0
    assert found["S", 2, 1] == "#REF!"


def test_our_functions_take_cells_blanks_and_texts_as_in_the_sheet() -> None:
    cells = {"A1": 280, "A2": "50 mm", "A3": "0.85 SG"}
    assert value("LG_IMMERSION(A1,A2,200,A3,A4)", **cells) == call(
        "LG_IMMERSION", 280, "50 mm", 200, "0.85 SG"
    )
    assert value('lg_immersion(A1,A2,200,A3,,,"in")/2', **cells) == pytest.approx(
        call("LG_IMMERSION", 280, "50 mm", 200, "0.85 SG", None, None, "in") / 2
    )
    assert value("LG_IMMERSION(1/0,A2,200,A3)", **cells) == "#DIV/0!"
    assert value("INDEX(LG_DENSITY_WINDOW(A1,A2,200,150,10),1,2)", **cells) == pytest.approx(
        call("LG_DENSITY_WINDOW", 280, "50 mm", 200, 150, 10)[1]
    )


def test_what_stands_before_the_name_of_a_function_is_ignored() -> None:
    for prefix in (
        "'C:\\Users\\a b\\[x]old.xlam'!",
        "old.xlam!",
        "[1]!",
        "_xll.",
        "_xldudf_",
        "ORG.LG.",
        "@",
    ):
        assert value(f'{prefix}LG_CONVERT(1,"in","mm")') == pytest.approx(25.4)
        plain = without_prefixes(f'=1+{prefix}LG_CONVERT(1,"in","mm")', own_name)
        assert plain == '=1+LG_CONVERT(1,"in","mm")' or prefix == "@"
    assert own_name("NOT_LG_IMMERSION") is None


def test_functions_used_are_found_also_behind_names() -> None:
    assert functions_used("IF(A1,x.xlam!lg_immersion(1),2)", FUNCTIONS) == {"LG_IMMERSION"}
    assert functions_used("SUM(A1)", FUNCTIONS) == set()
    assert not FUNCTIONS.mentioned("SUM(A1)")


REFUSED = 'LG_FLOAT_COLLAPSE(50,,200,"316L")'
SUNK = "LG_IMMERSION(400,50,200,850)"
AS_ANY_ERROR = [
    (REFUSED, "#N/A"),
    (SUNK, "#NUM!"),
    ("LG_IMMERSION(-1,50,200,850)", "#VALUE!"),
    (f'IF({REFUSED}>40,"OK","FAIL")', "#N/A"),
    (f'IF({SUNK}<200,"OK","FAIL")', "#NUM!"),
    (f"AND({REFUSED}>40,TRUE)", "#N/A"),
    (f"OR({REFUSED}>40,TRUE)", "#N/A"),
    (f"NOT({REFUSED}>40)", "#N/A"),
    (f"MAX(1,{REFUSED})", "#N/A"),
    (f"MIN({SUNK},1)", "#NUM!"),
    (f"SUM(1,{REFUSED})", "#N/A"),
    (f"AVERAGE({SUNK},1)", "#NUM!"),
    (f"{REFUSED}+1", "#N/A"),
    (f'{SUNK}&" mm"', "#NUM!"),
    (f"ROUND({SUNK},1)", "#NUM!"),
    (f"SUMPRODUCT({{1,2}}*{SUNK})", "#NUM!"),
    (f"INDEX({SUNK},1,1)", "#NUM!"),
    (f"IFERROR({REFUSED},7)", 7.0),
    (f"IFNA({REFUSED},7)", 7.0),
    (f"IFNA({SUNK},7)", "#NUM!"),
    (f"ISNA({REFUSED})", True),
    (f"ISNA({SUNK})", False),
    (f"ISERR({SUNK})", True),
    (f"ISERROR({SUNK})", True),
    (f"ISNUMBER({SUNK})", False),
    (f"ISTEXT({SUNK})", False),
    (f"ERROR.TYPE({REFUSED})", 7.0),
    (f"ERROR.TYPE({SUNK})", 6.0),
    ("ERROR.TYPE(LG_IMMERSION(-1,50,200,850))", 3.0),
    ("ERROR.TYPE(1)", "#N/A"),
    (f"LG_SWITCH_LEVEL(500,150,{SUNK})", "#NUM!"),
    (
        'LG_REASON("LG_SWITCH_LEVEL",500,150,1/0)',
        "immersion: the cell it refers to holds #DIV/0!; mend that one first",
    ),
    ('LG_REASON("LG_IMMERSION",280,50,200,850)', ""),
    (
        'LG_REASON("LG_IMMERSION",400,50,200,850)',
        "the float sinks: its mean density is not below lower_density; choose a lighter float",
    ),
    ("LG_IMMERSION(TRUE,50,200,850)", "#VALUE!"),
    ("LG_IMMERSION(A1,50,200,850)", "#VALUE!"),
    ("LG_IMMERSION(A2,50,200,850)", "#N/A"),
]
"""A1 holds TRUE, A2 nothing."""


@pytest.mark.parametrize(("formula", "expected"), AS_ANY_ERROR)
def test_a_refusal_is_an_error_as_any_other(formula: str, expected: Any) -> None:
    found = value(formula, A1=True)
    assert found == expected
    assert isinstance(found, CellError) == (isinstance(expected, str) and expected.startswith("#"))


def test_a_refusal_in_an_array_spoils_its_own_element_only() -> None:
    cells = {"A1": 280, "A2": 400, "A4": "x"}
    book = with_array(cells, "C1", "C1:C4", "IF(LG_IMMERSION(A1:A4,50,200,850)>160,1,0)", dynamic=False)
    found = Calculation(book, FUNCTIONS).values
    assert [found["S", row, 3] for row in range(1, 5)] == [1.0, "#NUM!", "#N/A", "#VALUE!"]
    assert value("SUM(LG_IMMERSION({280;400},50,200,850))") == "#NUM!"
    assert value("COUNT(LG_IMMERSION({280;400},50,200,850))") == 1.0


def test_a_calculation_knows_which_function_refused_and_why() -> None:
    cells = {
        "A1": f"=IF({REFUSED}>40,1,2)",
        "A2": f'=IFERROR({SUNK},"-")',
        "A3": "=LG_SWITCH_LEVEL(500,150,A1)",
        "A4": "=A1*2",
        "A5": "=LG_SWITCH_LEVEL(500,150,160)",
    }
    found = calculated(cells)
    reasons = {place[1]: found.values[place].reason for place in found.values if place[1] in (1, 3, 4)}
    assert reasons[1].startswith("wall: missing; give the wall thickness")
    assert reasons[3].startswith("immersion: the cell it refers to has no result, #N/A (wall: missing; ")
    assert reasons[4] == reasons[1]
    named = {
        place[1]: [(name, str(error)) for name, error in found.refused[place]] for place in found.refused
    }
    assert named == {
        1: [("LG_FLOAT_COLLAPSE", "#N/A")],
        2: [("LG_IMMERSION", "#NUM!")],
        3: [("LG_SWITCH_LEVEL", "#N/A")],
    }


@pytest.mark.parametrize(
    "formula",
    [
        "BAHTTEXT(A1)",
        "[1]Sheet1!A1",
        "'C:\\x\\[other.xlsx]Sheet 1'!A1",
        "[1]!Name",
        "(A1,B1)+1",
        "A1:B2 B1:C2",
        "A1#",
        "IF(1,2,3,4)",
        "1+",
        "LET(1,1,2)",
        "RAND()",
        'YEAR("5 May 2024")',
        'TEXT(A1,"# ?/?")',
        'TEXT(A1,"[>100]0;0.0")',
        'TEXT(A1,"00-00")',
        'INDIRECT("R1C1",FALSE)',
    ],
)
def test_what_is_not_known_is_named_and_not_guessed(formula: str) -> None:
    found = calculated({"Z9": f'=LG_CONVERT({formula},"mm","mm")', "A1": '=LG_CONVERT(1,"in","mm")'})
    why = found.uncalculated["S", 9, 26]
    assert why.endswith("is not known here") or why.startswith("the file keeps no value of the reference")
    assert found.values["S", 9, 26] == "#N/A"
    assert found.values["S", 1, 1] == pytest.approx(25.4)


def test_only_what_our_functions_need_must_be_known() -> None:
    found = calculated({"A1": "=BAHTTEXT(1)", "A2": '=LG_CONVERT(1,"in","mm")', "A3": "=A1&2"})
    assert found.values["S", 2, 1] == pytest.approx(25.4)
    assert found.left == {
        ("S", 1, 1): "the function BAHTTEXT",
        ("S", 3, 1): "it needs S!A1, where the function BAHTTEXT",
    }
    found = calculated({"A1": "=BAHTTEXT(1)", "A3": '=LG_CONVERT(A1,"in","mm")', "A4": "=IFERROR(A3,0)"})
    assert found.uncalculated == {
        ("S", 3, 1): "it needs S!A1, where the function BAHTTEXT is not known here",
        ("S", 4, 1): "it needs S!A3, where it needs S!A1, where the function BAHTTEXT is not known here",
    }
    assert found.values["S", 4, 1] == "#N/A"  # 0 would be a guess: the result is not known


def test_a_name_that_is_no_function_of_ours_gets_the_nearest() -> None:
    found = calculated({"Z9": "=LG_IMERSION(1,2,3)", "A1": '=LG_CONVERT(1,"in","mm")'})
    assert re.search("LG_IMERSION.*LG_IMMERSION", found.uncalculated["S", 9, 26])
    assert found.values["S", 1, 1] == pytest.approx(25.4)


@pytest.mark.parametrize(
    ("cells", "refused"),
    [
        ({"A1": '=LG_CONVERT(B1,"in","mm")', "B1": "=A1"}, "A1 B1"),
        ({"A1": '=LG_CONVERT(A1,"in","mm")'}, "A1"),
        # one of ours needs the circle, or the circle one of ours
        ({"A1": "=A1+1", "B1": '=LG_CONVERT(A1,"in","mm")'}, "B1"),
        ({"A1": "=A2+B1", "A2": "=A1", "B1": '=LG_CONVERT(1,"in","mm")'}, "A1 A2"),
    ],
)
def test_a_circle_that_one_of_ours_touches_is_refused_with_its_cells_and_the_rest_calculated(
    cells: dict[str, str], refused: str
) -> None:
    found = calculated(cells | {"E5": '=LG_CONVERT(2,"in","mm")', "E6": "=E5+1"})
    assert {f"{'ABCDE'[p[2] - 1]}{p[1]}" for p in found.uncalculated} == set(refused.split())
    for place, why in found.uncalculated.items():
        assert re.search(r"the formula refers to itself \(S!A1 -> .*break the circle", why)
        assert found.values[place] == "#N/A"
    assert (found.values["S", 5, 5], found.values["S", 6, 5]) == pytest.approx((50.8, 51.8))


def test_a_circle_that_none_of_ours_touches_is_left_alone() -> None:
    cells = {"A1": "=B1", "B1": "=C1*2", "C1": "=SUM(A1:A3)", "D1": "=C1+1", "E1": '=LG_CONVERT(1,"in","mm")'}
    book = calculated(dict.fromkeys(["A1", "B1", "C1", "D1"], 0)).book
    sheet = book.sheets["s"]
    for address, formula in cells.items():
        column, row = split_address(address)
        sheet.formulas[row, column] = FormulaCell(formula[1:])
        sheet.values[row, column] = 7.0
    sheet.columns = 5
    found = Calculation(book, FUNCTIONS)
    assert found.values["S", 1, 5] == pytest.approx(25.4)
    circle = {("S", 1, column) for column in (1, 2, 3)}
    assert found.left.keys() == circle | {("S", 1, 4)}
    assert not circle & found.values.keys()
    assert not circle & set(found.emptied())
    assert all("refers to itself" in why for why in found.left.values())


def test_a_cell_that_two_formulas_share_is_no_circle() -> None:
    found = calculated({"A1": "=B1+C1+D1", "B1": "=C1+D1", "C1": "=D1", "D1": "=1"})
    assert found.values["S", 1, 1] == 4.0


def test_a_branch_not_taken_is_no_circle() -> None:
    assert calculated({"A1": "=IF(B1>0,1,A2)", "A2": "=A1", "B1": 1}).values["S", 2, 1] == 1.0


def test_the_same_error_for_another_reason_is_another_argument() -> None:
    cells = {
        "A1": "=LG_IMMERSION(400,50,200,850)",
        "A2": "=LG_CURRENT_TO_LEVEL(3.6,0,1000)",
        "A3": "=LG_SWITCH_LEVEL(500,150,A1)",
        "A4": "=LG_SWITCH_LEVEL(500,150,A2)",
        "A5": "=LG_SWITCH_LEVEL(500,150,#NUM!)",
    }
    found = calculated(cells).values
    reasons = [found["S", row, 1].reason for row in (3, 4, 5)]
    assert "the float sinks" in reasons[0]
    assert "states no level" in reasons[1]
    assert reasons[2] == "immersion: the cell it refers to holds #NUM!; mend that one first"


def test_long_chains_need_no_recursion() -> None:
    cells = {f"A{row}": f"=A{row + 1}+1" for row in range(1, 5000)}
    assert calculated({**cells, "A5000": 1}).values["S", 1, 1] == 5000.0


numbers = st.floats(-1e6, 1e6, allow_nan=False).map(lambda x: round(x, 3))


@given(numbers, numbers, numbers.filter(bool), st.sampled_from("+-*"), st.sampled_from("+-*/"))
def test_arithmetic_agrees_with_python(a: float, b: float, c: float, one: str, two: str) -> None:
    text = f"{a!r}{one}{b!r}{two}{c!r}".replace("e-", "E-")
    found = value(text)
    expected = eval(text.replace("--", "- -"))
    assert found == pytest.approx(expected, rel=1e-12, abs=1e-300)


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        parse(f"={text}")
        why = "it was read"
    except NotUnderstood as error:
        why = str(error)
    assert why


# --- array formulas -----------------------------------------------------------------------------------


def with_array(cells: dict[str, Any], where: str, fills: str, formula: str, dynamic: bool) -> BookCells:
    book = calculated(cells).book
    sheet = book.sheets["s"]
    column, row = split_address(where)
    first, last = fills.split(":")
    left, top = split_address(first)
    right, bottom = split_address(last)
    sheet.formulas[row, column] = FormulaCell(formula, Area("S", top, left, bottom, right), dynamic)
    return book


def test_an_array_formula_fills_its_cells_and_no_others() -> None:
    book = with_array({"A1": 1, "A2": 2}, "C1", "C1:D3", "A1:A2*10", dynamic=False)
    found = Calculation(book, FUNCTIONS).values
    assert [found["S", row, 3] for row in (1, 2, 3)] == [10.0, 20.0, "#N/A"]
    assert [found["S", row, 4] for row in (1, 2, 3)] == [10.0, 20.0, "#N/A"]


def test_a_dynamic_array_grows_shrinks_and_is_blocked() -> None:
    cells = {"A1": 1, "A2": 2, "A3": 3, "F1": "=SUM(C:C)", "F2": "=SUM(ANCHORARRAY(C1))"}
    grown = Calculation(with_array(cells, "C1", "C1:C1", "A1:A3*10", dynamic=True), FUNCTIONS)
    assert grown.fills["S", 1, 3] == Area("S", 1, 3, 3, 3)
    assert grown.values["S", 1, 6] == grown.values["S", 2, 6] == 60.0
    book = with_array(cells, "C1", "C1:C4", "A1:A2*10", dynamic=True)
    book.sheets["s"].values |= {(row, 3): 99.0 for row in range(1, 5)}
    book.trusted = False
    shrunk = Calculation(book, FUNCTIONS)
    assert sorted(shrunk.emptied()) == [("S", 3, 3), ("S", 4, 3)]
    assert shrunk.values["S", 1, 6] == 30.0
    in_the_way = with_array({**cells, "C2": "in the way"}, "C1", "C1:C1", "A1:A3*10", dynamic=True)
    blocked = Calculation(in_the_way, FUNCTIONS)
    assert blocked.values["S", 1, 3] == "#SPILL!"
    assert ("S", 2, 3) not in blocked.values


# --- files --------------------------------------------------------------------------------------------


@pytest.fixture
def index(tmp_path: Path) -> Path:
    """A small index as openpyxl writes it: no values are kept with the formulas."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "In dex"
    sheet.append(
        ["tag", "mass, g", "diameter", "length", "density", "immersion", "rounded", "reason", "prefix"]
    )
    for row in (2, 3, 4):
        sheet.append([f"LG-{row}", 270 + 10 * row, 50, "200 mm", "0.85 SG"])
        sheet.cell(row, 6).value = f"=LG_IMMERSION(B{row},C{row},D{row},E{row})"
        sheet.cell(row, 7).value = f'=ROUND(F{row},1)&" mm"'
        sheet.cell(row, 8).value = f"=LG_IMMERSION(-B{row},C{row},D{row},E{row})"
        sheet.cell(
            row, 9
        ).value = f'=\'C:\\x\\old.xlam\'!LG_RIDE_HEIGHT(B{row},C{row},D{row},E{row},,"flat","in")'
    sheet["A6"] = ArrayFormula("A6:B6", "=LG_DENSITY_WINDOW(B2,C2,D2,150,10)")
    sheet["A7"] = "=SUM(A6:B6)"
    sheet["A8"] = "=IF(F2>100,TRUE,FALSE)"
    sheet["A9"] = date(2024, 5, 6)
    sheet["A1"].font = Font(bold=True, color="FF0000")
    sheet["A1"].comment = Comment("kept", "us")
    sheet.conditional_formatting.add("F2:F4", CellIsRule("greaterThan", ["100"], font=Font(bold=True)))
    book.create_sheet("Other")["A1"] = "='In dex'!F2*2"
    path = tmp_path / "index.xlsx"
    book.save(path)
    return path


def kept(path: Path, sheet: str = "In dex") -> Callable[[str], Any]:
    found = openpyxl.load_workbook(path, data_only=True)[sheet]
    return lambda cell: found[cell].value


def formulas(path: Path, sheet: str = "In dex") -> Callable[[str], Any]:
    found = openpyxl.load_workbook(path)[sheet]
    return lambda cell: found[cell].value


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as file:
        assert file.testzip() is None
        return {name: file.read(name) for name in file.namelist()}


def edited(path: Path, part: str, *changes: tuple[str, str]) -> Path:
    """The file with texts of one part replaced."""
    target = path.with_name(f"edited-{path.name}")
    with zipfile.ZipFile(target, "w") as out:
        for name, data in parts(path).items():
            if name == part:
                for old, new in changes:
                    assert old in data.decode(), old
                    data = data.decode().replace(old, new).encode()
            out.writestr(name, data)
    return target


SHEET = "xl/worksheets/sheet1.xml"


def test_results_stand_in_the_cells_beside_their_formulas(index: Path, tmp_path: Path) -> None:
    report = recalculate(index, tmp_path / "out.xlsx")
    value, formula = kept(report.output), formulas(report.output)
    for row in (2, 3, 4):
        float_data = (270 + 10 * row, 50, "200 mm", "0.85 SG")
        immersion = call("LG_IMMERSION", *float_data)
        assert value(f"F{row}") == immersion
        assert value(f"G{row}") == f"{immersion:.1f} mm"
        assert value(f"H{row}") == "#VALUE!"
        assert value(f"I{row}") == call("LG_RIDE_HEIGHT", *float_data, None, "flat", "in")
        assert formula(f"F{row}") == f"=LG_IMMERSION(B{row},C{row},D{row},E{row})"
        assert formula(f"I{row}").startswith("='C:\\x\\old.xlam'!LG_RIDE_HEIGHT(")
    window = call("LG_DENSITY_WINDOW", 290, 50, "200 mm", 150, 10)
    assert [value("A6"), value("B6")] == window
    assert value("A7") == sum(window)
    assert value("A8") is True
    assert kept(report.output, "Other")("A1") == 2 * value("F2")
    assert isinstance(formula("A6"), ArrayFormula)
    assert report.formulas == 10
    assert set(report.reasons) == {"In dex!H2", "In dex!H3", "In dex!H4"}
    assert report.reasons["In dex!H2"].startswith("#VALUE!: mass: -290 g is outside the valid range")
    assert '<c r="H2" t="e"><f>' in parts(report.output)[SHEET].decode()
    assert not report.left


def test_everything_but_the_values_stays_byte_for_byte(index: Path, tmp_path: Path) -> None:
    recalculate(index, tmp_path / "out.xlsx")
    before, after = parts(index), parts(tmp_path / "out.xlsx")
    assert list(before) == list(after)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {SHEET, "xl/worksheets/sheet2.xml", "xl/workbook.xml"}
    high = call("LG_DENSITY_WINDOW", 290, 50, "200 mm", 150, 10)[1]
    added = f'<c r="B6"><v>{high!r}</v></c>'  # a cell that the array formula fills
    assert added in after[SHEET].decode()
    without = re.sub(r'<v>[^<]*</v>|<v ?/>|\st="\w+"', "", after[SHEET].decode().replace(added, ""))
    assert without == re.sub(r'<v>[^<]*</v>|<v ?/>|\st="\w+"', "", before[SHEET].decode())
    assert b"fullCalcOnLoad" in before["xl/workbook.xml"]
    assert b"fullCalcOnLoad" not in after["xl/workbook.xml"]
    assert kept(tmp_path / "out.xlsx")("A9").date() == date(2024, 5, 6)


def test_a_second_recalculation_changes_nothing(index: Path, tmp_path: Path) -> None:
    recalculate(index, tmp_path / "one.xlsx")
    report = recalculate(tmp_path / "one.xlsx", tmp_path / "two.xlsx")
    assert report.changed == 0
    assert parts(tmp_path / "one.xlsx") == parts(tmp_path / "two.xlsx")


def test_values_take_the_place_of_our_formulas_only(index: Path, tmp_path: Path) -> None:
    recalculate(index, tmp_path / "out.xlsx", values=True)
    formula = formulas(tmp_path / "out.xlsx")
    assert formula("F2") == call("LG_IMMERSION", 290, 50, "200 mm", "0.85 SG")
    assert formula("H2") == "#VALUE!"
    assert '<c r="H2" t="e"><v>#VALUE!</v></c>' in parts(tmp_path / "out.xlsx")[SHEET].decode()
    assert [formula("A6"), formula("B6")] == call("LG_DENSITY_WINDOW", 290, 50, "200 mm", 150, 10)
    assert formula("G2") == '=ROUND(F2,1)&" mm"'
    assert b"LG_" not in parts(tmp_path / "out.xlsx")[SHEET]
    assert kept(tmp_path / "out.xlsx")("G2") == f"{formula('F2'):.1f} mm"


def test_names_lose_the_add_in_file_before_them_when_asked(index: Path, tmp_path: Path) -> None:
    shared = edited(
        index,
        SHEET,
        (
            "<f>LG_IMMERSION(B2,C2,D2,E2)</f>",
            '<f t="shared" ref="F2:F3" si="0">old.xlam!LG_IMMERSION(B2,C2,D2,E2)</f>',
        ),
        ("<f>LG_IMMERSION(B3,C3,D3,E3)</f>", '<f t="shared" si="0"/>'),
        ("LG_DENSITY_WINDOW(", "[1]!LG_DENSITY_WINDOW("),
    )
    recalculate(index, tmp_path / "as before.xlsx")
    recalculate(shared, tmp_path / "plain.xlsx", plain_names=True)
    formula = formulas(tmp_path / "plain.xlsx")
    assert formula("I2") == '=LG_RIDE_HEIGHT(B2,C2,D2,E2,,"flat","in")'
    assert (formula("F2"), formula("F3")) == ("=LG_IMMERSION(B2,C2,D2,E2)", "=LG_IMMERSION(B3,C3,D3,E3)")
    assert formula("A6").text == "=LG_DENSITY_WINDOW(B2,C2,D2,150,10)"
    value, before = kept(tmp_path / "plain.xlsx"), kept(tmp_path / "as before.xlsx")
    for cell in ("F2", "F3", "I2", "I3", "A6", "B6", "A7"):
        assert value(cell) == before(cell)


def test_the_list_of_calculated_cells_goes_when_formulas_go(index: Path, tmp_path: Path) -> None:
    chained = tmp_path / "chained.xlsx"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"
    relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/calcChain"
    with zipfile.ZipFile(chained, "w") as out:
        for name, data in parts(index).items():
            if name == "[Content_Types].xml":
                entry = f'<Override PartName="/xl/calcChain.xml" ContentType="{kind}"/></Types>'
                data = data.replace(b"</Types>", entry.encode())
            if name == "xl/_rels/workbook.xml.rels":
                entry = f'<Relationship Id="rId99" Type="{relation}" Target="calcChain.xml"/></Relationships>'
                data = data.replace(b"</Relationships>", entry.encode())
            out.writestr(name, data)
        out.writestr("xl/calcChain.xml", '<calcChain><c r="F2" i="1"/></calcChain>')
    recalculate(chained, tmp_path / "kept.xlsx")
    assert "xl/calcChain.xml" in parts(tmp_path / "kept.xlsx")
    recalculate(chained, tmp_path / "values.xlsx", values=True)
    after = parts(tmp_path / "values.xlsx")
    assert "xl/calcChain.xml" not in after
    assert not any(b"calcChain" in data for data in after.values())
    openpyxl.load_workbook(tmp_path / "values.xlsx")


def test_a_kept_value_of_an_ordinary_formula_is_trusted_until_something_changes(
    index: Path, tmp_path: Path
) -> None:
    recalculate(index, tmp_path / "one.xlsx")
    unknown = edited(
        tmp_path / "one.xlsx",
        SHEET,
        ("IF(F2&gt;100,TRUE,FALSE)", "ISEVEN(A9)"),
        ("SUM(A6:B6)", "KURT(A6:B6)"),
    )
    report = recalculate(unknown, tmp_path / "two.xlsx")
    assert not report.left
    assert kept(report.output)("A7") == kept(tmp_path / "one.xlsx")("A7")
    changed = edited(unknown, SHEET, ("D2,150,10", "D2,151,10"))
    report = recalculate(changed, tmp_path / "three.xlsx")
    assert report.uncalculated == {"In dex!A7": "the function KURT is not known here"}
    assert kept(report.output)("A7") == "#N/A"
    with zipfile.ZipFile(report.output) as made:
        assert b"KURT(A6:B6)" in made.read(SHEET)


def test_shared_formulas_names_tables_and_bare_rows_are_read(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Mass, g", "Bore's"])
    for mass in (280, 290, 300):
        sheet.append([mass, None])
    sheet.add_table(Table(displayName="Floats", ref="A1:B4"))
    book.defined_names["Dia"] = DefinedName("Dia", attr_text="Sheet!$D$1")
    book.defined_names["Own"] = DefinedName("Own", attr_text='LG_CONVERT(1,"in","mm")')
    sheet["D1"] = 50
    sheet["E2"] = "=LG_IMMERSION(A2,Dia,200,850)"
    sheet["F2"] = "=LG_IMMERSION(Floats[[#This Row],[Mass, g]],Dia,200,850)"
    sheet["G2"] = "=SUM(Floats[Mass, g])"
    sheet["H2"] = "=COUNTA(Floats[#Headers])+ROWS(Floats[#All])"
    sheet["I2"] = "=Own*2"
    sheet["J2"] = "=Nothing+1"
    path = tmp_path / "tables.xlsx"
    book.save(path)
    shared = edited(
        path,
        SHEET,
        (
            "<f>LG_IMMERSION(A2,Dia,200,850)</f>",
            '<f t="shared" ref="E2:E4" si="0">LG_IMMERSION(A2,Dia,200,850)</f>',
        ),
        ('<row r="3">', "<row>"),
        (
            '<c r="A4" t="n"><v>300</v></c>',
            '<c r="A4" t="n"><v>300</v></c><c r="E4"><f t="shared" si="0"/></c>',
        ),
    )
    report = recalculate(shared, tmp_path / "out.xlsx")
    with Workbook(report.output) as found:
        value = found.cells.sheets["sheet"].values
    assert value[2, 5] == value[2, 6] == call("LG_IMMERSION", 280, 50, 200, 850)
    assert value[4, 5] == call("LG_IMMERSION", 300, 50, 200, 850)
    assert value[2, 7] == 870.0
    assert value[2, 8] == 6.0
    assert value[2, 9] == pytest.approx(50.8)
    assert value[2, 10] == "#NAME?"
    assert report.formulas == 4


def test_prefixes_of_the_file_format_are_kept(index: Path, tmp_path: Path) -> None:
    data = parts(index)[SHEET].decode()
    prefixed = re.sub(r"<(/?)(?![?/])", r"<\1x:", data).replace("xmlns=", "xmlns:x=")
    odd = edited(index, SHEET, (data[data.index("<worksheet") :], prefixed[prefixed.index("<x:worksheet") :]))
    recalculate(odd, tmp_path / "out.xlsx")
    recalculate(index, tmp_path / "plain.xlsx")
    with Workbook(tmp_path / "out.xlsx") as one, Workbook(tmp_path / "plain.xlsx") as two:
        assert one.cells.sheets["in dex"].values == two.cells.sheets["in dex"].values


def test_new_cells_are_put_in_their_order(index: Path, tmp_path: Path) -> None:
    """A dynamic array that grows into rows and cells which the file does not hold yet."""
    data = parts(index)[SHEET].decode()
    anchor = re.search(r'<c r="A6"[^>]*><f[^>]*>[^<]*</f><v ?/></c>', data)
    assert anchor
    new = '<c r="K4" cm="1"><f t="array" ref="K4">LG_IMMERSION(B2:B4,C2:C4,200,{850,900})</f><v/></c>'
    row = re.search(r'(<row r="4".*?)(</row>)', data)
    assert row
    path = edited(index, SHEET, (row[0], f"{row[1]}{new}{row[2]}"), (anchor[0], '<c r="A6"><v>1</v></c>'))
    report = recalculate(path, tmp_path / "out.xlsx")
    text = parts(report.output)[SHEET].decode()
    assert '<f t="array" ref="K4:L6">' in text
    addresses = [split_address(cell)[::-1] for cell in re.findall(r'<c r="([A-Z]+\d+)"', text)]
    assert addresses == sorted(addresses)
    rows = [int(number) for number in re.findall(r'<row r="(\d+)"', text)]
    assert rows == sorted(set(rows))
    value = kept(report.output)
    for r, mass in enumerate((290, 300, 310), 4):
        for column, density in (("K", 850), ("L", 900)):
            assert value(f"{column}{r}") == call("LG_IMMERSION", mass, 50, 200, density)


def test_texts_survive_with_their_odd_characters(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active["A1"] = "<&>\"'ü€ \n2"
    book.active["B1"] = '=A1&IF(LG_CONVERT(1,"in","mm")>0,"!","?")'
    book.save(tmp_path / "in.xlsx")
    for values in (False, True):
        recalculate(tmp_path / "in.xlsx", tmp_path / "out.xlsx", values=values)
        with Workbook(tmp_path / "out.xlsx") as found:
            assert found.cells.sheets["sheet"].values[1, 2] == "<&>\"'ü€ \n2!"


@given(
    st.dictionaries(
        st.tuples(st.integers(1, 6), st.integers(1, 5)),
        st.one_of(
            st.floats(allow_nan=False, allow_infinity=False),
            st.booleans(),
            st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8),
        ),
        max_size=12,
    )
)
def test_what_is_written_into_cells_is_read_back(cells: dict[tuple[int, int], Any]) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        book = openpyxl.Workbook()
        assert book.active is not None
        book.active["B2"], book.active["D4"], book.active["E4"] = "=1+1", "old", 3
        book.save(Path(folder) / "in.xlsx")
        with Workbook(Path(folder) / "in.xlsx") as found:
            before = {**found.cells.sheets["sheet"].values}
            edits = {place: Edit(value) for place, value in cells.items()}
            found.save(Path(folder) / "out.xlsx", {"Sheet": edits})
        with Workbook(Path(folder) / "out.xlsx") as found:
            assert found.cells.sheets["sheet"].values == {**before, **cells}
            assert found.cells.sheets["sheet"].formulas[2, 2].text == "1+1"
        openpyxl.load_workbook(Path(folder) / "out.xlsx")


# --- what is refused ----------------------------------------------------------------------------------


def test_nothing_is_written_over_the_workbook_or_half_written(index: Path, tmp_path: Path) -> None:
    before = index.read_bytes()
    with pytest.raises(XlfuncsError, match="is the workbook itself"):
        recalculate(index, index)
    broken = edited(index, SHEET, ("</sheetData>", ""))
    existing = tmp_path / "out.xlsx"
    existing.write_text("there before")
    with pytest.raises(XlfuncsError, match=r"edited-index.xlsx: the workbook is damaged"):
        recalculate(broken, existing)
    assert existing.read_text() == "there before"
    assert index.read_bytes() == before
    assert {p.name for p in tmp_path.iterdir()} == {"index.xlsx", "edited-index.xlsx", "out.xlsx"}


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("no.xlsx", None, "there is no such file"),
        ("text.xlsx", b"not a zip", "is not an .xlsx or .xlsm workbook, or is protected by a password"),
        ("old.xls", b"", "only .xlsx, .xlsm and .ods are recalculated"),
        ("list.ods", b"", "use '--with calc'"),
    ],
)
def test_a_file_that_cannot_be_read_is_named(
    name: str, content: bytes | None, message: str, tmp_path: Path
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(XlfuncsError, match=f"{name}: .*{re.escape(message)}"):
        recalculate(tmp_path / name, tmp_path / f"out{Path(name).suffix}")


def test_a_damaged_workbook_is_named(index: Path, tmp_path: Path) -> None:
    damaged = edited(index, SHEET, ("</sheetData>", ""))
    with pytest.raises(XlfuncsError, match=r"edited-index.xlsx: the workbook is damaged"):
        recalculate(damaged, tmp_path / "out.xlsx")
    doctype = edited(index, SHEET, ("<worksheet", '<!DOCTYPE w [<!ENTITY a "b">]><worksheet'))
    with pytest.raises(XlfuncsError, match="declares a document type"):
        recalculate(doctype, tmp_path / "out.xlsx")


def test_the_ending_of_the_copy_must_fit(index: Path, tmp_path: Path) -> None:
    with pytest.raises(XlfuncsError, match=r"give the copy the ending .xlsx"):
        recalculate(index, tmp_path / "out.xls")


# --- the self-check and the doctor -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def selfchecked(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Any, ...]]:
    """The rows of the self-check workbook, calculated here."""
    folder: Path = tmp_path_factory.mktemp("selfcheck")
    assert main(["doctor", "--self-check", str(folder / "in.xlsx")]) == 0
    recalculate(folder / "in.xlsx", folder / "out.xlsx")
    sheet = openpyxl.load_workbook(folder / "out.xlsx", data_only=True)["Self-check"]
    return list(sheet.iter_rows(values_only=True))


@pytest.mark.parametrize("name", catalogue())
def test_every_example_agrees_in_the_evaluator(name: str, selfchecked: list[tuple[Any, ...]]) -> None:
    rows = [row for row in selfchecked if row[0] == name]
    assert rows
    for _, _, result, expected, verdict, formula, _ in rows:
        assert verdict == "pass", (formula, result, expected)


def test_the_selfcheck_looks_at_error_values(selfchecked: list[tuple[Any, ...]]) -> None:
    rows = [row for row in selfchecked if row[0] == "error values"]
    assert [row[4] for row in rows] == ["pass"] * 4


def test_the_selfcheck_counts_its_failures(tmp_path: Path) -> None:
    main(["doctor", "--self-check", str(tmp_path / "in.xlsx")])
    book = openpyxl.load_workbook(tmp_path / "in.xlsx")
    sheet = book["Self-check"]
    checks = sum(isinstance(row[4], str) and row[4].startswith("=") for row in sheet.values)
    sheet["D5"] = sheet["D5"].value * 1.01 if isinstance(sheet["D5"].value, float) else "something else"
    sheet["C6"] = "=1/0"
    book.save(tmp_path / "in.xlsx")
    recalculate(tmp_path / "in.xlsx", tmp_path / "out.xlsx")
    value = kept(tmp_path / "out.xlsx", "Self-check")
    assert (value("E5"), value("E6")) == ("FAIL", "FAIL")
    assert value("A2") == f"{checks - 2} of {checks} checks pass"


def test_the_doctor_names_what_is_wrong_in_a_workbook(
    index: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XLFUNCS_SOFFICE", str(tmp_path / "none"))
    recalculate(index, tmp_path / "out.xlsx")
    sick = edited(tmp_path / "out.xlsx", SHEET, ("LG_IMMERSION(-B2", "LG_IMERSION(-B2"))
    text = parts(sick)[SHEET].decode()
    cell = re.search(r'<c r="F2"><f>[^<]*</f><v>[^<]*</v></c>', text)
    assert cell
    named = re.sub(r"<v>.*</v>", "<v>#NAME?</v>", cell[0]).replace('r="F2"', 'r="F2" t="e"')
    sick = edited(sick, SHEET, (cell[0], named))
    assert main(["doctor", str(sick)]) == 1
    shown = capsys.readouterr().out
    assert "ok  formulas with our functions: 10" in shown
    assert "!!  functions that do not exist: In dex!H2 (LG_IMERSION)" in shown
    assert "!!  formulas that name an add-in file: In dex!I2, In dex!I3, In dex!I4" in shown
    assert "!!  #NAME? kept in the file: In dex!F2" in shown
    assert "ok  never calculated: none" in shown
    assert "!!  LibreOffice: not found\n      XLFUNCS_SOFFICE: there is no file" in shown
    assert main(["doctor", str(index)]) == 1
    assert "!!  never calculated: In dex!F2, In dex!H2" in capsys.readouterr().out


# --- the command --------------------------------------------------------------------------------------


def test_the_command_says_what_it_did(
    index: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["recalculate", str(index), "-o", str(tmp_path / "out.xlsx")]) == 0
    shown = capsys.readouterr()
    assert not shown.out
    assert "out.xlsx: 10 formulas calculated by xlfuncs" in shown.err
    assert "3 x an error value, since a function refuses" in shown.err
    assert "In dex!H2: #VALUE!: mass: " in shown.err
    assert main(["recalculate", str(index), "-o", str(index)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_the_demo_index_keeps_what_the_library_gives(tmp_path: Path) -> None:
    path = WORKBOOKS / "instrument_index.xlsx"
    report: Report = recalculate(path, tmp_path / "out.xlsx")
    assert report.formulas > 100
    assert not report.left
    with Workbook(path) as before, Workbook(report.output) as after:
        for name, sheet in before.cells.sheets.items():
            fresh = after.cells.sheets[name].values
            for place in sheet.formulas:
                old, new = sheet.values[place], fresh[place]
                assert old == (new if isinstance(new, str | bool) else pytest.approx(new, rel=1e-6)), place
