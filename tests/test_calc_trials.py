"""What a user of Calc does in an hour beside typing: each tried in a real office, the processes counted."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from textwrap import dedent
from typing import Any

import openpyxl
import pytest

from tests.calc_office import CalcOffice, SharedOffice
from xlfuncs.cli import main
from xlfuncs.worksheet import call

pytestmark = pytest.mark.calc


@pytest.fixture(scope="module")
def offices(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SharedOffice]:
    folder = tmp_path_factory.mktemp("office") / "profile"
    assert main(["install", "calc", "--profile", str(folder)]) == 0
    with SharedOffice(lambda: CalcOffice(folder)) as shared:
        yield shared
        office = shared.running()
        office.do("quit")
        assert office.gone()


@pytest.fixture
def calc(offices: SharedOffice) -> Iterator[CalcOffice]:
    """A new document with three floats and their immersions; one worker at most after the trial."""
    office = offices.running()
    office.do("open", path=None)
    rows = [["Tag", "Mass", "Density"], ["B", 280, 850], ["C", 300, 900], ["A", 290, 800]]
    office.do("fill", cell="A1", rows=rows)
    office.do("fill", cell="D2", rows=[[f"=LG_IMMERSION(B{row};50;200;C{row})"] for row in (2, 3, 4)])
    assert column(office) == [immersion(280, 850), immersion(300, 900), immersion(290, 800)]
    yield office
    if office.ended:  # for which the trial has failed
        return
    assert len(office.workers()) <= 1
    assert len(office.processes()) <= 4
    office.do("close")


def immersion(mass: Any, density: Any) -> Any:
    return pytest.approx(call("LG_IMMERSION", mass, 50, 200, density))


def column(calc: CalcOffice, area: str = "D2:D4") -> list[Any]:
    return [row[0] for row in calc.read(area)]


def run(calc: CalcOffice, code: str) -> Any:
    return calc.do("run", code=dedent(code))


def command(calc: CalcOffice, name: str, **values: Any) -> None:
    calc.do("command", name=f".uno:{name}", **{"with": values})


# --- moving and copying ---------------------------------------------------------------------------------


def test_cells_that_are_cut_and_pasted_take_their_references_along(calc: CalcOffice) -> None:
    calc.do("select", range="B2:C4")
    command(calc, "Cut")
    calc.do("select", range="G2")
    command(calc, "Paste")
    assert calc.do("texts", cells=["D2"]) == ["=LG_IMMERSION(G2;50;200;H2)"]
    calc.type(G2="281")
    assert column(calc)[0] == immersion(281, 850)


def test_a_column_is_inserted_and_one_that_is_needed_deleted_and_brought_back(calc: CalcOffice) -> None:
    calc.do("select", range="B1")
    command(calc, "InsertColumnsBefore")
    assert column(calc, "E2:E4")[0] == immersion(280, 850)
    calc.do("select", range="C1")
    command(calc, "DeleteColumns")
    assert column(calc)[0] == {"error": "#REF!"}
    command(calc, "Undo")
    assert column(calc, "E2:E4")[2] == immersion(290, 800)


def test_values_are_pasted_without_their_formulas(calc: CalcOffice) -> None:
    calc.do("select", range="D2:D4")
    command(calc, "Copy")
    calc.do("select", range="F2")
    command(calc, "PasteOnlyValue")
    assert calc.do("texts", cells=["F2"])[0].startswith("167.76")
    calc.type(B2="281")
    assert calc.value("F2") == immersion(280, 850)


def test_cells_are_dragged_down_as_a_series(calc: CalcOffice) -> None:
    run(calc, "sheet.getCellRangeByName('B2:B9').fillAuto(0, 3)")
    run(calc, "sheet.getCellRangeByName('C2:D9').fillAuto(0, 3)")
    for row in calc.read("B2:D9"):
        assert row[2] == immersion(row[0], row[1]) or isinstance(row[2], dict)
    assert calc.do("texts", cells=["D9"]) == ["=LG_IMMERSION(B9;50;200;C9)"]


def test_a_sheet_is_copied_renamed_hidden_and_deleted(calc: CalcOffice) -> None:
    run(
        calc,
        """
        document.Sheets.copyByName("Sheet1", "Copy", 1)
        document.Sheets.getByName("Copy").getCellRangeByName("B2").setValue(285)
        document.Sheets.getByName("Copy").setName("Kopie 2")
        document.Sheets.getByName("Kopie 2").IsVisible = False
        sheet.getCellRangeByName("E2").setFormula("=LG_IMMERSION($'Kopie 2'.B2;50;200;850)")
        """,
    )
    assert calc.read("D2", "Kopie 2") == [[immersion(285, 850)]]
    assert calc.value("E2") == immersion(285, 850)
    run(calc, "document.Sheets.removeByName('Kopie 2')")
    assert calc.value("E2") == {"error": "#REF!"}
    assert column(calc)[0] == immersion(280, 850)


def test_a_sheet_is_copied_to_another_document_which_outlives_the_first(
    calc: CalcOffice, tmp_path: Path
) -> None:
    title = run(calc, "gave = document.getTitle()")
    calc.do("open", path=None)
    other = run(calc, "gave = document.getTitle()")
    calc.do("front", title=title)
    # As the menu does: importSheet, called from another process, takes no lock of LibreOffice's and now and
    # then ends it, whatever the formulas are.
    command(calc, "Move", DocName=other, Index=1, Copy=True)
    calc.do("front", title=other)
    command(calc, "JumpToTable", Nr=1)
    (name, *_) = calc.do("sheets")
    calc.do("save", path=str(tmp_path / "other.ods"), filter="calc8")
    calc.type(B2="283")
    assert calc.read("D2:D3", name) == [[immersion(283, 850)], [immersion(300, 900)]]
    calc.do("close")
    calc.do("front", title=title)
    assert column(calc)[0] == immersion(280, 850)


# --- order and view -------------------------------------------------------------------------------------


def test_rows_are_sorted_with_their_formulas(calc: CalcOffice) -> None:
    calc.do("select", range="A1:D4")
    command(calc, "DataSort", ByRows=True, HasHeader=True, Col1=1, Ascending1=True)
    assert column(calc, "A2:A4") == ["A", "B", "C"]
    assert column(calc) == [immersion(290, 800), immersion(280, 850), immersion(300, 900)]


def test_rows_are_filtered_and_counted(calc: CalcOffice) -> None:
    calc.type(D6="=SUBTOTAL(9,D2:D4)", D7="=SUM(D2:D4)")
    run(
        calc,
        """
        area = sheet.getCellRangeByName("A1:D4")
        filtered = area.createFilterDescriptor(True)
        filtered.ContainsHeader = True
        entry = uno.createUnoStruct("com.sun.star.sheet.TableFilterField")
        entry.Field, entry.IsNumeric, entry.NumericValue = 1, True, 280
        entry.Operator = uno.Enum("com.sun.star.sheet.FilterOperator", "GREATER")
        filtered.setFilterFields((entry,))
        area.filter(filtered)
        """,
    )
    shown = sum(call("LG_IMMERSION", mass, 50, 200, density) for mass, density in ((300, 900), (290, 800)))
    assert calc.value("D6") == pytest.approx(shown)
    assert calc.value("D7") == pytest.approx(shown + call("LG_IMMERSION", 280, 50, 200, 850))


def test_rows_are_grouped_and_cells_merged(calc: CalcOffice) -> None:
    run(calc, "sheet.getCellRangeByName('F2:G3').merge(True)")
    calc.type(F2="=LG_IMMERSION(B2,50,200,C2)")
    assert calc.value("F2") == immersion(280, 850)


def test_a_condition_of_a_format_calls_a_function(calc: CalcOffice) -> None:
    run(
        calc,
        """
        area = sheet.getCellRangeByName("A2:A4")
        style = document.createInstance("com.sun.star.style.CellStyle")
        document.StyleFamilies.getByName("CellStyles").insertByName("Deep", style)
        style.CellBackColor = 0xFF0000
        entries = area.ConditionalFormat
        entries.addNew((
            property("Operator", uno.Enum("com.sun.star.sheet.ConditionOperator", "FORMULA")),
            property("Formula1", "LG_IMMERSION(B2;50;200;C2)>180"),
            property("StyleName", "Deep"),
        ))
        area.ConditionalFormat = entries
        remote.do_command({"name": ".uno:Calculate"})
        """,
    )
    assert column(calc)[2] == immersion(290, 800)


# --- inputs ---------------------------------------------------------------------------------------------


def test_useless_inputs_are_typed_one_after_the_other(calc: CalcOffice) -> None:
    for typed in ("abc", "-5", "=1/0", "", "=NA()", "5/6/2024", "1e400", "280 g", "'280", "0"):
        calc.type(B2=typed)
        found = calc.value("D2")
        if typed in ("280 g", "'280"):
            assert found == immersion(280, 850)
        else:
            assert isinstance(found, dict), (typed, found)
    calc.type(B2="280", E2='=LG_REASON("LG_IMMERSION",B2,50,200,C2)')
    assert calc.value("D2") == immersion(280, 850)
    assert calc.value("E2") == ""


def test_names_in_small_letters_and_wrong_numbers_of_arguments(calc: CalcOffice) -> None:
    calc.type(F1="=lg_immersion(B2,50,200,C2)", F2="=LG_IMMERSION()", F3="=LG_IMMERSION(1,2,3,4,5,6,7,8,9)")
    assert calc.value("F1") == immersion(280, 850)
    assert calc.value("F2") == {"error": "#N/A"}
    assert calc.value("F3") == {"error": "#VALUE!"}
    calc.type(F4="=LG_IMERSION(B2,50,200,C2)")
    assert calc.value("F4") == {"error": "#NAME?"}


def test_named_cells_and_columns(calc: CalcOffice) -> None:
    calc.do("name", name="density", content="$Sheet1.$C$2")
    calc.do("name", name="masses", content="$Sheet1.$B$2:$B$4")
    calc.type(F2="=LG_IMMERSION(B2,50,200,density)")
    assert calc.value("F2") == immersion(280, 850)
    calc.do("array", range="G2:G4", formula="=LG_IMMERSION(masses;50;200;density)")
    assert column(calc, "G2:G4") == [immersion(mass, 850) for mass in (280, 300, 290)]
    calc.type(C2="851")
    assert column(calc, "G2:G4") == [immersion(mass, 851) for mass in (280, 300, 290)]


def test_an_array_formula_is_typed_changed_and_taken_away(calc: CalcOffice) -> None:
    calc.do("array", range="F2:F4", formula="=LG_IMMERSION(B2:B4;50;200;C2:C4)")
    assert column(calc, "F2:F4") == column(calc)
    calc.type(B3="abc")
    assert column(calc, "F2:F4") == [immersion(280, 850), {"error": "#VALUE!"}, immersion(290, 800)]
    calc.do("select", range="F2:F4")
    command(calc, "ClearContents")
    assert column(calc, "F2:F4") == ["", "", ""]


def test_formulas_are_found_and_replaced(calc: CalcOffice) -> None:
    gave = run(
        calc,
        """
        search = sheet.createReplaceDescriptor()
        search.SearchString, search.ReplaceString = "50,200", "60,210"
        gave = sheet.replaceAll(search)
        """,
    )
    assert gave == 3
    assert column(calc)[0] == pytest.approx(call("LG_IMMERSION", 280, 60, 210, 850))
    run(
        calc,
        """
        search = sheet.createReplaceDescriptor()
        search.SearchString, search.ReplaceString = "LG_IMMERSION", "LG_RIDE_HEIGHT"
        sheet.replaceAll(search)
        """,
    )
    assert column(calc)[0] == pytest.approx(call("LG_RIDE_HEIGHT", 280, 60, 210, 850))


def test_a_protected_sheet_calculates(calc: CalcOffice) -> None:
    run(
        calc,
        """
        free = uno.createUnoStruct("com.sun.star.util.CellProtection")
        sheet.getCellRangeByName("B2:C4").CellProtection = free
        sheet.protect("secret")
        """,
    )
    calc.type(B2="281")
    assert column(calc)[0] == immersion(281, 850)
    run(calc, "sheet.unprotect('secret')")


def test_calculation_is_switched_off_and_asked_for(calc: CalcOffice) -> None:
    run(calc, "document.enableAutomaticCalculation(False)")
    calc.type(B2="281")
    command(calc, "Calculate")
    assert column(calc)[0] == immersion(281, 850)
    run(calc, "document.enableAutomaticCalculation(True)")


# --- what Calc itself does with formulas ------------------------------------------------------------------


def test_a_goal_is_sought(calc: CalcOffice) -> None:
    found = run(
        calc,
        """
        formula = sheet.getCellRangeByName("D2").getCellAddress()
        variable = sheet.getCellRangeByName("B2").getCellAddress()
        goal = document.seekGoal(formula, variable, "150")
        gave = [goal.Divergence, goal.Result]
        """,
    )
    assert found[1] == pytest.approx(280 * 150 / call("LG_IMMERSION", 280, 50, 200, 850), rel=1e-4)


def test_multiple_operations_put_other_inputs_in(calc: CalcOffice) -> None:
    calc.type(
        F2="270", F3="275", G2="=MULTIPLE.OPERATIONS(D$2,B$2,F2)", G3="=MULTIPLE.OPERATIONS(D$2,B$2,F3)"
    )
    assert column(calc, "G2:G3") == [immersion(270, 850), immersion(275, 850)]


def test_a_circle_is_an_error_of_its_own_cells(calc: CalcOffice) -> None:
    calc.type(F2="=LG_IMMERSION(G2,50,200,850)", G2="=F2+1")
    assert calc.value("F2") == {"error": "Err:522"}
    assert column(calc)[0] == immersion(280, 850)
    calc.type(G2="280")
    assert calc.value("F2") == immersion(280, 850)


def test_iterations_of_a_circle_end(calc: CalcOffice) -> None:
    run(calc, "document.IsIterationEnabled, document.IterationCount = True, 20")
    calc.type(F2="280", G2="=LG_IMMERSION(280+H2*0.01,50,200,850)", H2="=G2")
    number = calc.value("G2")
    assert isinstance(number, float) or number == {"error": "Err:523"}
    run(calc, "document.IsIterationEnabled = False")


def test_if_choose_lookup_and_sumproduct_around_the_functions(calc: CalcOffice) -> None:
    calc.type(
        F1='=IF(D2>160,"deep","high")',
        F2="=SUMPRODUCT(LG_IMMERSION(B2:B4,50,200,C2:C4))",
        F3='=VLOOKUP("C",A2:D4,4,0)',
        F4="=IFERROR(LG_IMMERSION(900,50,200,850),-1)",
        F5="=MAX(D2:D4)-MIN(D2:D4)",
        F6="=INDEX(LG_CALIBRATION_TABLE(0,1000),2,3)",
        F7="=AVERAGE(LG_DENSITY_WINDOW(280,50,200,160,10))",
    )
    assert calc.value("F1") == "deep"
    assert calc.value("F2") == pytest.approx(sum(column(calc)))
    assert calc.value("F3") == immersion(300, 900)
    assert calc.value("F4") == -1
    assert calc.value("F6") == 4
    assert calc.value("F7") == pytest.approx(sum(call("LG_DENSITY_WINDOW", 280, 50, 200, 160, 10)) / 2)


# --- files and the office -----------------------------------------------------------------------------------


def test_a_document_is_reloaded_and_opened_read_only(calc: CalcOffice, tmp_path: Path) -> None:
    path = str(tmp_path / "work.ods")
    calc.do("save", path=path, filter="calc8")
    calc.do("close")
    calc.do("open", path=path)
    command(calc, "Reload")
    calc.do("front", title="work")
    assert column(calc)[0] == immersion(280, 850)
    calc.do("close")
    Path(path).chmod(0o444)
    calc.do("open", path=path)
    assert column(calc)[1] == immersion(300, 900)


@pytest.mark.parametrize(
    ("ending", "named"),
    [("csv", "Text - txt - csv (StarCalc)"), ("pdf", "calc_pdf_Export"), ("html", "HTML (StarCalc)")],
)
def test_results_are_exported(calc: CalcOffice, tmp_path: Path, ending: str, named: str) -> None:
    path = tmp_path / f"out.{ending}"
    calc.do("store", path=str(path), filter=named)
    if ending == "pdf":
        assert path.read_bytes().startswith(b"%PDF")
    else:
        assert "167.76" in path.read_text(errors="replace")


@pytest.mark.parametrize(
    ("ending", "named"),
    [
        ("xls", "MS Excel 97"),
        ("fods", "OpenDocument Spreadsheet Flat XML"),
        ("xlsx", "Calc MS Excel 2007 XML"),
    ],
)
def test_other_formats_bring_the_formulas_back(
    calc: CalcOffice, tmp_path: Path, ending: str, named: str
) -> None:
    path = str(tmp_path / f"work.{ending}")
    calc.do("save", path=path, filter=named)
    calc.do("close")
    calc.do("open", path=path)
    calc.type(B2="281")
    assert column(calc) == [immersion(281, 850), immersion(300, 900), immersion(290, 800)]


def test_two_documents_refer_to_one_another(calc: CalcOffice, tmp_path: Path) -> None:
    path = tmp_path / "list.ods"
    calc.do("save", path=str(path), filter="calc8")
    title = run(calc, "gave = document.getTitle()")
    calc.do("open", path=None)
    calc.type(A1=f"='{path.as_uri()}'#$Sheet1.B2", A2="=LG_IMMERSION(A1,50,200,850)")
    assert calc.value("A2") == immersion(280, 850)
    calc.do("close")
    calc.do("front", title=title)


def test_a_cell_of_another_workbook_that_is_not_there_is_an_error(calc: CalcOffice, tmp_path: Path) -> None:
    calc.type(F1=f"='{(tmp_path / 'none.ods').as_uri()}'#$Sheet1.B2", F2="=LG_IMMERSION(F1,50,200,850)")
    assert isinstance(calc.value("F2"), dict)
    assert column(calc)[0] == immersion(280, 850)


def test_a_large_sheet_is_filled_while_another_is_open(calc: CalcOffice) -> None:
    calc.do("fill", cell="F1", rows=[[270 + n / 100] for n in range(2000)])
    calc.do("fill", cell="G1", rows=[[f"=LG_IMMERSION(F{n};50;200;$C$2)"] for n in range(1, 2001)])
    calc.type(C2="860")
    assert calc.value("G2000") == immersion(270 + 19.99, 860)
    assert column(calc)[0] == immersion(280, 860)


def test_an_xlsx_that_another_program_wrote_is_worked_in(calc: CalcOffice, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in (["Mass", "Immersion"], [280, "=LG_IMMERSION(A2,50,200,850)"], [290, "=_xlfn.IFNA(B2,0)"]):
        book.active.append(row)
    book.save(tmp_path / "made.xlsx")
    title = run(calc, "gave = document.getTitle()")
    calc.do("open", path=str(tmp_path / "made.xlsx"))
    assert calc.read("B2:B3", "Sheet") == [[immersion(280, 850)], [immersion(280, 850)]]
    calc.do("close")
    calc.do("front", title=title)


def test_an_office_that_writes_decimal_commas(tmp_path: Path) -> None:
    folder = tmp_path / "profile"
    assert main(["install", "calc", "--profile", str(folder)]) == 0
    settings = folder / "user" / "registrymodifications.xcu"
    german = (
        '<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">'
        "<value>de-DE</value></prop></item>\n</oor:items>"
    )
    settings.write_text(settings.read_text().replace("</oor:items>", german))
    with CalcOffice(folder) as office:
        office.type(A1="280,5", A2="0,85 SG", A3="=LG_IMMERSION(A1;50;200;A2)")
        office.type(
            A4='=LG_IMMERSION(280,5;"5 cm";200;"0,85 SG")', A5='=LG_REASON("LG_IMMERSION";900;50;200;A2)'
        )
        assert office.value("A1") == 280.5
        assert office.value("A3") == pytest.approx(call("LG_IMMERSION", 280.5, 50, 200, "0.85 SG"))
        assert office.value("A4") == office.value("A3")
        assert "the float sinks" in office.value("A5")
        path = tmp_path / "deutsch.xlsx"
        office.do("save", path=str(path), filter="Calc MS Excel 2007 XML")
        formula = openpyxl.load_workbook(path).worksheets[0]["A4"].value
        assert formula == '=LG_IMMERSION(280.5,"5 cm",200,"0,85 SG")'
        assert len(office.workers()) == 1
