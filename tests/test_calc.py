"""The functions in a real LibreOffice Calc without a window, in a profile of its own.

A machine without LibreOffice fails here: nothing is skipped.
"""

from __future__ import annotations

import marshal
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from openpyxl.worksheet.formula import ArrayFormula

from tests.test_recalculate import ORDINARY
from xlfuncs import __version__
from xlfuncs.hosts import selfcheck
from xlfuncs.hosts.calc import office
from xlfuncs.hosts.calc.answer import answer
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.block import as_block
from xlfuncs.spreadsheet.cell_values import CellError
from xlfuncs.spreadsheet.evaluate import Calculation, functions_used
from xlfuncs.spreadsheet.inplace import Workbook
from xlfuncs.worksheet import Refusal, call, catalogue
from xlfuncs.worksheet.cells import FUNCTIONS

pytestmark = pytest.mark.calc

ROOT = Path(__file__).parent.parent
DEMOS = sorted(
    path
    for path in (ROOT / "workbooks").glob("*.xlsx")
    if any(path.name in line for line in (ROOT / "workbooks" / "build.py").read_text().splitlines())
)
FLOAT = (280, 50, 200)
MANY = 10_000

OTHER_RULES = {
    # Calc has other rules than Excel here: TRUE is a number, 0^0 is 1, a text is never summed, some errors
    # have other names, and functions of later versions of Excel are missing
    "TRUE>5",
    '1&"x"&TRUE',
    '1E+20&""',
    "0^0",
    'SUM(1,"2")',
    "SQRT(-1)",
    "IFNA(#N/A,7)",
    'MID("abcd",0,2)',
    "INDEX({1,2;3,4},3,1)",
    'MATCH("b*",{"abc","bcd"},0)',
    "ROW()",
    "XLOOKUP(2,{1,2},{10,20})",
    'XLOOKUP(3,{1,2},{10,20},"none")',
    "_xlfn.XLOOKUP(1,{1,2},{10,20})",
}

SINGLE = {
    "A1": ("LG_IMMERSION", (*FLOAT, 850)),
    "A2": ("LG_IMMERSION", (*FLOAT, "0.85 SG", None, None, "in")),
    "A3": ("LG_IMMERSION", (*FLOAT, 850, "")),
    "A4": ("LG_LEVEL_TO_CURRENT", (250, 0, 1000, True)),
    "A5": ("LG_LEVEL_TO_CURRENT", (250, 0, 1000, False)),
    "A6": ("LG_CURRENT_STATUS", (3.6,)),
    "A7": ("LG_VERSION", ()),
    "A8": ("LG_FLOAT_COLLAPSE", (50, 1, 200, "316L", "0 degC")),
    "A9": ("LG_FLOAT_COLLAPSE", (50, 1, 200, "316L", 20, "", 2)),
    # what is wrong is said in the cell, in the declared words
    "A10": ("LG_IMMERSION", FLOAT),
    "A11": ("LG_IMMERSION", (-280, 50, 200, 850)),
    "A12": ("LG_IMMERSION", (*FLOAT, "0.85 psi")),
    "A13": ("LG_IMMERSION", (280, "1,500 mm", 200, 850)),
    "A14": ("LG_IMMERSION", (*FLOAT, 850, 0, "conical")),
    "A15": ("LG_IMMERSION", (*FLOAT, 850, None, None, "kg")),
    "A16": ("LG_IMMERSION", (*FLOAT, 200)),
    "A17": ("LG_DENSITY", ("no such fluid", 20)),
    "A18": ("LG_IMMERSION", (*FLOAT, 850, 0, "flat", "in", 5)),
    "A19": ("LG_VERSION", (1,)),
}
"""Cells and the calls in them; None is an argument left out."""


def typed(value: Any) -> str:
    """An argument as typed into a formula in Calc's own language."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return f"{str(value).upper()}()"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def cells_of(book: Path) -> dict[str, list[str]]:
    """The range that holds the formulas of each sheet, as `read` takes it."""
    areas = {}
    with Workbook(book) as found:
        for sheet in found.cells.sheets.values():
            if sheet.formulas:
                rows, columns = zip(*sheet.formulas, strict=True)
                first, last = (min(rows), min(columns)), (max(rows), max(columns))
                areas[sheet.name] = [f"{column_letter(first[1])}{first[0]}:{column_letter(last[1])}{last[0]}"]
    return areas


def by_cell(read: dict[str, list[Any]], areas: dict[str, list[str]]) -> dict[tuple[str, int, int], Any]:
    """What `read` gave, by sheet, row and column."""
    values = {}
    for sheet, blocks in read.items():
        left, top = split_address(areas[sheet][0].partition(":")[0])
        for r, row in enumerate(blocks[0]):
            for c, value in enumerate(row):
                values[sheet, top + r, left + c] = value
    return values


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder: Path = tmp_path_factory.mktemp("calc")
    selfcheck.write(folder / "selfcheck.xlsx")
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "S"
    for row, (formula, _) in enumerate(ORDINARY, 100):
        sheet.cell(row, 26).value = f"={formula}"
    book.save(folder / "ordinary.xlsx")
    return {path.stem: path for path in folder.glob("*.xlsx")} | {"": folder}


@pytest.fixture(scope="module")
def session(files: dict[str, Path]) -> dict[str, Any]:
    """One LibreOffice with worker process, through which all that needs a document goes."""
    steps: list[dict[str, Any]] = []
    names: list[str] = []

    def do(name: str, **step: Any) -> None:
        names.append(name)
        steps.append(step)

    def reopened(name: str, path: Path, areas: dict[str, list[str]]) -> None:
        for kind, form in (("ods", "calc8"), ("xlsx", "Calc MS Excel 2007 XML")):
            saved = files[""] / f"{name}-saved.{kind}"
            do(f"{name}.store.{kind}", do="store", path=str(saved), filter=form)
        do(f"{name}.open.ods", do="open", path=str(files[""] / f"{name}-saved.ods"))
        do(f"{name}.read.ods", do="read", areas=areas)

    do("new", do="open", path=None)
    do("python", do="python")
    formulas = {
        cell: f"={name}({';'.join(map(typed, arguments))})" for cell, (name, arguments) in SINGLE.items()
    }
    do("set", do="formulas", cells=formulas)
    do("column", do="fill", cell="C1", rows=[[280.0], [290.0], [""], ["x"]])
    do("arrays", do="array", range="D1:D4", formula="=LG_IMMERSION(C1:C4;50;200;850)")
    do("window", do="array", range="E1:F1", formula="=LG_DENSITY_WINDOW(280;50;200;150;10)")
    do("table", do="array", range="E3:I6", formula="=LG_CALIBRATION_TABLE(0;1000;3)")
    more = {
        "J1": "=LG_IMMERSION(C1:C1;50;200;850;C3)",
        "J2": "=SUM(LG_IMMERSION(C1:C2;50;200;850))",
        "J3": "=LG_IMMERSION(1/0;50;200;850)",
        "J4": '=IFERROR(LG_IMMERSION(1/0;50;200;850);"caught")',
        "J5": '=LG_FLOAT_COLLAPSE(50;1;200;"316L";;;2)',
        "J6": '=LG_IMMERSION(280;50;200;850;;"hemispherical")',
        "J7": '=LG_REASON("LG_FLOAT_COLLAPSE";50;1;200;"316L";;;2)',
        "J8": '=LG_FLOAT_COLLAPSE(50;;200;"316L")',
        "J9": '=IF(LG_FLOAT_COLLAPSE(50;;200;"316L")>40;"OK";"FAIL")',
        "J10": '=AND(LG_FLOAT_COLLAPSE(50;;200;"316L")>40;TRUE())',
        "J11": "=MAX(1;LG_IMMERSION(400;50;200;850))",
        "J12": "=IFERROR(LG_IMMERSION(400;50;200;850);7)",
        "J13": "=ISNA(LG_IMMERSION(400;50;200;850))",
        "J14": "=ERROR.TYPE(LG_IMMERSION(400;50;200;850))",
        "J15": '=LG_REASON("LG_IMMERSION";400;50;200;850)',
        "J16": '=LG_REASON("LG_IMMERSION";280;50;200;850)',
    }
    do("more", do="formulas", cells=more)
    do("read", do="read", areas={"Sheet1": ["A1:A19", "D1:D4", "E1:F1", "E3:I6", "J1:J16"]})
    do("store", do="store", path=str(files[""] / "new-saved.xlsx"), filter="Calc MS Excel 2007 XML")
    do("reopen", do="open", path=str(files[""] / "new-saved.xlsx"))
    do("texts", do="texts", cells=["A1", "A2", "D1", "J2"])
    do("read again", do="read", areas={"Sheet1": ["A1:A19", "D1:D4", "E1:F1", "E3:I6", "J1:J16"]})
    do("masses", do="fill", cell="A101", rows=[[280 + n / 1000] for n in range(MANY)])
    do(
        "many",
        do="fill",
        cell="B101",
        rows=[[f"=LG_IMMERSION(A{n};50;200;850)"] for n in range(101, 101 + MANY)],
    )
    do("seconds", do="calculate")
    do("many values", do="read", areas={"Sheet1": [f"B101:B{100 + MANY}"]})
    areas = {"S": [f"Z100:Z{99 + len(ORDINARY)}"]}
    do("ordinary open", do="open", path=str(files["ordinary"]))
    do("ordinary", do="read", areas=areas)
    for path in (files["selfcheck"], *DEMOS):
        areas = cells_of(path)
        own = files[""] / f"{path.stem}-own.xlsx"  # another test's office may have the file open
        shutil.copy(path, own)
        do(f"{path.stem}.open", do="open", path=str(own))
        do(f"{path.stem}.read", do="read", areas=areas)
        reopened(path.stem, path, areas)
    return dict(zip(names, office.run(steps), strict=True))


def same(found: Any, expected: Any) -> bool:
    if isinstance(expected, (Refusal, CellError)):
        return bool(found == {"error": getattr(expected, "error", expected)})
    if isinstance(expected, (int, float)) and not isinstance(expected, bool):
        return isinstance(found, float) and found == pytest.approx(expected, rel=1e-9, abs=1e-12)
    return bool(found == expected)


def test_a_single_cell_shows_what_the_library_gives(session: dict[str, Any]) -> None:
    (column, *_) = session["read"]["Sheet1"]
    for (cell, (name, arguments)), (found,) in zip(SINGLE.items(), column, strict=True):
        assert same(found, call(name, *arguments)), (cell, found)


def test_ranges_rows_and_tables_fill_their_cells(session: dict[str, Any]) -> None:
    _, array, window, table, _ = session["read"]["Sheet1"]
    expected = call("LG_IMMERSION", [[280.0], [290.0], [""], ["x"]], 50, 200, 850)
    assert all(same(a, b) for a, b in zip((row[0] for row in array), expected.ravel(), strict=True))
    assert all(same(a, b) for a, b in zip(window[0], call("LG_DENSITY_WINDOW", *FLOAT, 150, 10), strict=True))
    wanted = as_block(call("LG_CALIBRATION_TABLE", 0, 1000, 3))
    assert all(same(a, b) for x, y in zip(table, wanted, strict=True) for a, b in zip(x, y, strict=True))


def test_blank_cells_errors_and_arguments_left_out(session: dict[str, Any]) -> None:
    *_, column = session["read"]["Sheet1"]
    blank, total, error, caught, doubt, skipped, why = (cell for (cell,) in column[:7])
    assert same(blank, call("LG_IMMERSION", *FLOAT, 850))
    assert same(total, sum(call("LG_IMMERSION", m, 50, 200, 850) for m in (280, 290)))
    assert error == {"error": "#DIV/0!"}
    assert caught == "caught"
    # Calc hands over 0 for the temperature, which a plate at 0 degC would be as well: never guessed
    assert doubt == {"error": "#VALUE!"}
    assert why.startswith("temperature: Calc cannot tell 0 from an argument left out")
    assert same(skipped, call("LG_IMMERSION", *FLOAT, 850, None, "hemispherical"))


def test_a_refusal_is_an_error_value_of_calc(session: dict[str, Any]) -> None:
    *_, column = session["read"]["Sheet1"]
    missing, *checks = (cell for (cell,) in column[7:])
    assert missing == {"error": "#N/A"}
    assert checks == [
        {"error": "#N/A"},
        {"error": "#N/A"},
        {"error": "#NUM!"},
        7.0,
        False,
        6.0,
        call("LG_REASON", "LG_IMMERSION", 400, 50, 200, 850),
        "",
    ]


def test_saving_keeps_formulas_and_plain_names(session: dict[str, Any], files: dict[str, Path]) -> None:
    assert session["texts"] == [
        "=LG_IMMERSION(280;50;200;850)",
        '=LG_IMMERSION(280;50;200;"0.85 SG";;;"in")',
        "{=LG_IMMERSION(C1:C4;50;200;850)}",
        "=SUM(LG_IMMERSION(C1:C2;50;200;850))",
    ]
    assert session["read again"] == session["read"]
    sheet = openpyxl.load_workbook(files[""] / "new-saved.xlsx").worksheets[0]
    assert sheet["A1"].value == "=LG_IMMERSION(280,50,200,850)"
    assert isinstance(sheet["D1"].value, ArrayFormula)
    assert sheet["D1"].value.text == "=LG_IMMERSION(C1:C4,50,200,850)"


def test_ten_thousand_formulas_are_calculated_anew(session: dict[str, Any]) -> None:
    found = np.ravel(session["many values"]["Sheet1"][0])
    expected = call("LG_IMMERSION", [[280 + n / 1000] for n in range(MANY)], 50, 200, 850).ravel()
    np.testing.assert_allclose(found, expected, rtol=1e-9)
    assert session["seconds"] < 60


def test_calc_agrees_with_the_evaluator_on_ordinary_formulas(session: dict[str, Any]) -> None:
    (rows,) = session["ordinary"]["S"]
    for (formula, expected), (found,) in zip(ORDINARY, rows, strict=True):
        found = found["error"] if isinstance(found, dict) else found
        assert same(found, expected) != (formula in OTHER_RULES), (formula, found)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.name)
def test_a_demo_workbook_shows_the_values_of_the_library(session: dict[str, Any], path: Path) -> None:
    areas = cells_of(path)
    ours = formula_texts(path)
    with Workbook(path) as book:
        book.cells.trusted = False  # as Calc, which takes no kept value
        expected = Calculation(book.cells, FUNCTIONS).values
    for form in (f"{path.stem}.read", f"{path.stem}.read.ods"):
        found = by_cell(session[form], areas)
        for place in ours:  # one is called by way of an add-in's file, which is taken out when it is opened
            assert same(found[place], expected[place]), (form, place, found[place])


def formula_texts(path: Path) -> dict[tuple[str, int, int], str]:
    with Workbook(path) as book:
        return {
            (sheet.name, *place): formula.text
            for sheet in book.cells.sheets.values()
            for place, formula in sheet.formulas.items()
            if functions_used(formula.text, FUNCTIONS)
        }


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.name)
def test_names_survive_in_a_demo_workbook_that_calc_has_saved(
    session: dict[str, Any], files: dict[str, Path], path: Path
) -> None:
    saved = formula_texts(files[""] / f"{path.stem}-saved.xlsx")
    original = formula_texts(path)
    assert saved.keys() == original.keys()
    for place, text in original.items():
        assert functions_used(saved[place], FUNCTIONS) == functions_used(text, FUNCTIONS)


@pytest.fixture(scope="module")
def in_process(files: dict[str, Path]) -> dict[str, Any]:
    """The self-check in a LibreOffice whose own Python runs the functions."""
    areas = cells_of(files["selfcheck"])
    steps: list[dict[str, Any]] = [
        {"do": "open", "path": str(files["selfcheck"])},
        {"do": "python"},
        {"do": "read", "areas": areas},
    ]
    *_, version, read = office.run(steps, in_process=True)
    return {"python": version["version"], "selfcheck.read": read}


def checked(session: dict[str, Any], form: str, name: str, files: dict[str, Path]) -> list[Any]:
    """Results of the self-check for one function."""
    areas = cells_of(files["selfcheck"])
    found = by_cell(session[form], areas)
    with Workbook(files["selfcheck"]) as book:
        values = book.cells.sheets[selfcheck.SHEET.casefold()].values
    rows = [row for (row, column), value in values.items() if column == 1 and value == name]
    assert rows
    return [(found[selfcheck.SHEET, row, 3], values[row, 4], found[selfcheck.SHEET, row, 5]) for row in rows]


@pytest.mark.parametrize("name", catalogue())
def test_every_example_agrees_in_calc_by_worker_in_process_and_from_ods(
    name: str, session: dict[str, Any], in_process: dict[str, Any], files: dict[str, Path]
) -> None:
    tolerance = catalogue()[name].example.tolerance
    everywhere = (
        checked(session, "selfcheck.read", name, files),
        checked(session, "selfcheck.read.ods", name, files),
        checked(in_process, "selfcheck.read", name, files),
    )
    assert everywhere[0] == everywhere[1]
    for worker, process in zip(everywhere[0], everywhere[2], strict=True):
        found, expected, verdict = worker
        assert verdict == process[2] == "pass"
        assert same(found, process[0])
        if isinstance(expected, float):
            assert found == pytest.approx(expected, rel=tolerance, abs=1e-12)
        else:
            assert found == expected


def test_the_selfcheck_sums_up(session: dict[str, Any], files: dict[str, Path]) -> None:
    found = by_cell(session["selfcheck.read"], cells_of(files["selfcheck"]))
    assert str(found[selfcheck.SHEET, 2, 1]).startswith("all ")


# --- recalculate with Calc ----------------------------------------------------------------------------


def test_calc_fills_in_what_the_evaluator_does_not_know(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"] = '=TEXT(200,"0")'
    sheet["A2"] = "='C:\\x\\old.xlam'!LG_IMMERSION(280,50,VALUE(A1),850)"
    sheet["A3"] = "=A2>100"
    sheet["A4"] = "=1/0"
    sheet["A5"] = '=LG_IMMERSION(280,50,200,"x")'
    book.save(tmp_path / "in.xlsx")
    report = recalculate(tmp_path / "in.xlsx", tmp_path / "out.xlsx", with_calc=True)
    found = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True).worksheets[0]
    assert found["A2"].value == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850), rel=1e-9)
    assert found["A3"].value is True
    assert found["A4"].value == "#DIV/0!"
    assert report.by == "LibreOffice Calc"
    refused = call("LG_IMMERSION", 280, 50, 200, "x")
    assert report.reasons == {"Sheet!A5": f"{refused.error}: {refused.reason}"}
    assert found["A5"].value == "#VALUE!"
    kept = openpyxl.load_workbook(tmp_path / "out.xlsx").worksheets[0]
    assert kept["A2"].value == sheet["A2"].value


def test_an_ods_is_recalculated_by_calc(
    session: dict[str, Any], files: dict[str, Path], tmp_path: Path
) -> None:
    path = files[""] / "selfcheck-saved.ods"
    report = recalculate(path, tmp_path / "out.ods", values=True, with_calc=True)
    assert report.formulas >= len(catalogue())
    import python_calamine

    sheet = python_calamine.load_workbook(tmp_path / "out.ods").get_sheet_by_name(selfcheck.SHEET).to_python()
    assert str(sheet[1][0]).startswith("all ")
    content = subprocess.run(
        ["unzip", "-p", str(tmp_path / "out.ods"), "content.xml"], capture_output=True, check=True
    ).stdout.decode()
    assert 'formula="of:=LG_' not in content


# --- the worker process and the answers ---------------------------------------------------------------


def test_the_worker_answers_one_message_after_the_other_and_survives_nonsense() -> None:
    requests = [("LG_VERSION", ()), ("LG_NONE", ()), 5, ("LG_IMMERSION", (280, 50, 200, 850))]
    requests += [("LG_DENSITY_WINDOW", (280, 50, 200, 150, 10)), ("LG_IMMERSION", (280, 50))]
    done = subprocess.run(
        [sys.executable, "-P", "-m", "xlfuncs.hosts.calc.worker"],
        input=b"".join(map(message, requests)) + message(("LG_VERSION", ()))[:-1],
        capture_output=True,
        check=True,
    )
    replies = []
    rest = done.stdout
    while rest:
        end = 4 + int.from_bytes(rest[:4], "little")
        replies.append(marshal.loads(rest[4:end]))
        rest = rest[end:]
    results = [result for result, others in replies if not others]
    assert results[0] == f"xlfuncs {__version__}"
    assert results[1]["failed"].startswith("XlfuncsError: there is no worksheet function 'LG_NONE'")
    assert results[2]["failed"].startswith("TypeError")
    assert results[3] == call("LG_IMMERSION", 280, 50, 200, 850)
    assert results[4] == [call("LG_DENSITY_WINDOW", 280, 50, 200, 150, 10)]
    assert results[5] == answer("LG_IMMERSION", (280, 50))
    assert len(results) == 6  # the last message was cut off
    assert done.stderr == b""


def message(content: Any) -> bytes:
    """As the bridge sends it to the worker."""
    packed = marshal.dumps(content, 2)
    return len(packed).to_bytes(4, "little") + packed


def test_zero_for_an_argument_left_out_is_never_taken_for_a_number() -> None:
    for function in catalogue().values():
        for position, argument in enumerate(function.arguments):
            if argument.required or argument.default in (0, False):
                continue
            cells = [*function.example.arguments]
            cells += [None] * (position + 1 - len(cells))
            cells[position] = 0
            found = answer(function.name, cells)
            cells[position] = None
            if argument.kind in ("choice", "text", "table", "any"):
                assert as_block(found) == as_block(answer(function.name, cells)), argument.name
            else:
                assert found == {"error": 519}, argument.name
                cells[position] = 0
                why = answer("LG_REASON", [function.name, *cells])
                assert why.startswith(f"{argument.name}: Calc cannot tell 0"), argument.name


def test_one_where_true_may_be_meant_is_never_taken_for_a_size() -> None:
    assert answer("LG_IMMERSION", (1.0, 50, 200, 850)) == {"error": 519}
    why = answer("LG_REASON", ("LG_IMMERSION", 1.0, 50, 200, 850))
    assert why == 'mass: Calc cannot tell 1 from TRUE, which is no number; write "1 g" if that is meant'
    assert answer("LG_FLOAT_DENSITY", ("1 g", 50, 200)) == call("LG_FLOAT_DENSITY", "1 g", 50, 200)
    column = answer("LG_FLOAT_DENSITY", (((280.0,), (1.0,)), 50, 200))
    assert column == [[call("LG_FLOAT_DENSITY", 280, 50, 200)], [{"error": 519}]]
    assert answer("LG_READING_OFFSET", (280, 50, 200, 150, 850, 1)) == call(
        "LG_READING_OFFSET", 280, 50, 200, 150, 850, 1
    )
