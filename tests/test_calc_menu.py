"""Our menu in Calc, its commands dispatched as the menu dispatches them, in a real office."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import openpyxl
import pytest
from msoffcrypto.format.ooxml import OOXMLFile

from tests.calc_office import CalcOffice
from xlfuncs.cli import main
from xlfuncs.hosts.calc import menu
from xlfuncs.hosts.calc.profile import has_menu
from xlfuncs.worksheet import call

pytestmark = pytest.mark.calc

BOOK = Path(__file__).parent.parent / "workbooks" / "contractor_index.xlsx"
Found = TypeVar("Found")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return Path(shutil.copy(BOOK, tmp_path / "index.xlsx"))


def until(found: Callable[[], Found], seconds: float = 60) -> Found:
    """The first answer that is not empty."""
    end = time.monotonic() + seconds
    while not (answer := found()):
        assert time.monotonic() < end, "nothing has come of it"
        time.sleep(0.1)
    return answer


def opened(calc: CalcOffice, word: str) -> str:
    """The title of a document that comes to be opened."""
    titles: list[str] = until(lambda: [title for title in calc.do("documents") if word in title])
    return titles[0]


def window(calc: CalcOffice, word: str) -> list[str]:
    """All texts in a dialog that comes to be opened."""
    until(lambda: [title for title in calc.do("windows") if word in title])
    return [text for part in calc.do("parts", window=word) for text in part[1:]]


def alone(calc: CalcOffice) -> None:
    """The process of a command has ended, and its folder is gone."""
    until(lambda: not [p for p in calc.processes() if "xlfuncs.hosts.actions" in p.cmdline()])


def test_every_entry_of_the_menu_is_there_and_on_the_tool_bar(next_document: CalcOffice) -> None:
    calc = next_document
    shown = calc.do("entries")
    assert shown["menu"] == [title for _, title in menu.ENTRIES]
    assert len(shown["bar"]) == len(menu.ENTRIES)
    assert shown["docked"]


def test_an_audit_opens_an_annotated_copy_and_leaves_the_workbook_alone(calc: CalcOffice, book: Path) -> None:
    before = book.read_bytes()
    calc.do("open", path=str(book))
    calc.do("menu", command="Audit")
    title = opened(calc, "audited")
    assert title == "index - audited"
    assert calc.do("front", title=title) == "Findings"
    assert until(lambda: calc.do("told"))
    heads, first = calc.read("A1:E2", "Findings")
    at = dict(zip(heads, first, strict=True))
    assert at["Severity"] == "error" and "!" in at["Cell"]
    assert calc.do("links", cell=f"{'ABCDE'[heads.index('Cell')]}2") == [at["Cell"]]
    calc.do("front", title="index.xlsx")
    assert not calc.do("modified")
    assert book.read_bytes() == before
    assert [p.name for p in book.parent.iterdir() if "~lock" not in p.name] == ["index.xlsx"]
    alone(calc)
    assert len(calc.workers()) <= 1


def test_what_has_not_been_saved_is_audited_and_kept(calc: CalcOffice, book: Path) -> None:
    before = book.read_bytes()
    calc.do("open", path=str(book))
    calc.type(H12="0.3")
    calc.do("menu", command="Audit")
    calc.do("front", title=opened(calc, "audited"))
    heads, *rows = calc.read("A1:E80", "Findings")
    at = heads.index("Rule")
    cells = [row[heads.index("Cell")] for row in rows if row[at] == "float-sinks"]
    assert "'LI Index'!H12" in cells
    calc.do("front", title="index.xlsx")
    assert calc.do("modified")
    assert calc.read("H12", "LI Index") == [[0.3]]
    assert book.read_bytes() == before


def test_a_workbook_that_its_user_opened_with_a_password_is_audited(
    calc: CalcOffice, book: Path, tmp_path: Path
) -> None:
    locked = tmp_path / "locked.xlsx"
    with book.open("rb") as plain, locked.open("wb") as file:
        OOXMLFile(plain).encrypt("secret", file)
    calc.do("open", path=str(locked), password="secret")
    calc.do("menu", command="Audit")
    calc.do("front", title=opened(calc, "locked - audited"))
    assert calc.read("B2", "Findings") == [["error"]]


def test_a_document_that_has_no_index_says_so_above_the_sheet(calc: CalcOffice) -> None:
    calc.type(A1="280")
    for command in ("Audit", "Explain", "Pack"):
        calc.do("menu", command=command)
        until(lambda: calc.do("told"))
        alone(calc)
        calc.do("untell")
    assert calc.do("documents") == ["Untitled 1"]
    assert calc.value("A1") == 280


def test_how_the_sheet_was_read_is_shown_to_be_corrected(calc: CalcOffice, book: Path) -> None:
    calc.do("open", path=str(book))
    calc.do("menu", command="Reading")
    assert calc.do("front", title=opened(calc, "how it was read")) == "Reading"
    assert calc.read("D1", "Reading") == [["Taken for"]]


def test_a_function_is_found_tried_and_inserted(next_document: CalcOffice) -> None:
    calc = next_document
    calc.type(A1="280", A2="0.85 SG")
    calc.do("select", range="B1")
    calc.do("menu", command="Insert")
    title = "Insert a function into Sheet1!B1"
    window(calc, title)
    calc.do("enter", window=title, field=0, text="depth bottom")
    assert "LG_IMMERSION" in window(calc, title)
    for field, text in enumerate(("A1", "50", "200"), 1):
        calc.do("enter", window=title, field=field, text=text)
    assert "to be given: lower_density" in window(calc, title)
    calc.do("enter", window=title, field=4, text="A2")
    immersion = call("LG_IMMERSION", 280, 50, 200, "0.85 SG")
    assert f"= {immersion:.6g} mm" in window(calc, title)
    calc.do("enter", window=title, field=1, text="900")
    assert any(text.startswith("#NUM!") and "sinks" in text for text in window(calc, title))
    calc.do("enter", window=title, field=1, text="A1")
    calc.do("press", window=title, name="Insert")
    until(lambda: title not in calc.do("windows"))
    assert calc.value("B1") == pytest.approx(immersion)
    assert calc.do("texts", cells=["B1"]) == ["=LG_IMMERSION(A1;50;200;A2)"]
    calc.do("command", name=".uno:Undo")
    assert calc.value("B1") == ""


def test_a_table_is_inserted_where_its_cells_are_free(next_document: CalcOffice) -> None:
    calc = next_document
    calc.type(C3="mine")
    calc.do("select", range="B1")
    calc.do("menu", command="Insert")
    title = "Insert a function into Sheet1!B1"
    window(calc, title)
    calc.do("enter", window=title, field=0, text="LG_CALIBRATION_TABLE")
    calc.do("enter", window=title, field=1, text="0")
    calc.do("enter", window=title, field=2, text="1000")
    calc.do("press", window=title, name="Insert")
    assert any("where something stands" in text for text in window(calc, title))
    assert calc.value("C3") == "mine"
    calc.type(C3="")
    calc.do("press", window=title, name="Insert")
    until(lambda: title not in calc.do("windows"))
    table = call("LG_CALIBRATION_TABLE", 0, 1000)
    assert calc.read(f"B1:{chr(65 + len(table[0]))}{len(table)}") == [
        [float(c) if isinstance(c, (int, float)) else c for c in row] for row in table
    ]


def test_a_name_and_a_range_of_another_sheet_are_taken_for_cells(next_document: CalcOffice) -> None:
    calc = next_document
    calc.do("name", name="mass", content="$Sheet1.$A$1")
    calc.do("sheet", name="Other one")
    calc.do("fill", cell="A1", rows=[[280]], sheet="Sheet1")
    calc.do("fill", cell="A1", rows=[[50], [200]], sheet="Other one")
    calc.do("select", range="C1")
    calc.do("menu", command="Insert")
    title = "Insert a function into Sheet1!C1"
    window(calc, title)
    for field, text in enumerate(("LG_IMMERSION", "mass", "'Other one'!A1", "$'Other one'.A2", "850")):
        calc.do("enter", window=title, field=field, text=text)
    calc.do("press", window=title, name="Insert")
    until(lambda: title not in calc.do("windows"))
    assert calc.value("C1") == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850))
    (formula,) = calc.do("texts", sheet="Sheet1", cells=["C1"])
    assert formula == "=LG_IMMERSION(mass;$'Other one'.A1;$'Other one'.A2;850)"


def test_selected_cells_become_an_argument(next_document: CalcOffice) -> None:
    calc = next_document
    calc.type(A1="280", A2="281")
    calc.do("select", range="C1")
    calc.do("menu", command="Insert")
    title = "Insert a function into Sheet1!C1"
    window(calc, title)
    calc.do("enter", window=title, field=0, text="LG_IMMERSION")
    calc.do("select", range="A1:A2")
    calc.do("press", window=title, name="Take selected cells")
    assert any("LG_IMMERSION(A1:A2" in text for text in window(calc, title))
    calc.do("press", window=title, name="Close")
    until(lambda: title not in calc.do("windows"))


def test_a_cell_is_explained(next_document: CalcOffice) -> None:
    calc = next_document
    calc.type(A1="280", B1="=LG_IMMERSION(A1,50,200,850)", B2="=IFERROR(LG_IMMERSION(A1,50,20,850),0)")
    calc.do("select", range="B1")
    calc.do("menu", command="Explain")
    told = "\n".join(window(calc, "Sheet1!B1"))
    assert "280 g" in told and "in A1" in told and "Archimedes" in told
    calc.do("press", window="Sheet1!B1", name="Close")
    calc.do("select", range="B2")
    calc.do("menu", command="Explain")
    assert "refuses: #NUM!" in "\n".join(window(calc, "Sheet1!B2"))
    calc.do("press", window="Sheet1!B2", name="Close")


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_results_are_kept_in_a_copy(calc: CalcOffice, tmp_path: Path, ending: str) -> None:
    calc.type(A1="280", B1="=LG_IMMERSION(A1,50,200,850)")
    calc.do("menu", command="Keep")
    assert any("has never been saved" in text for text in window(calc, "Keep results of Untitled 1"))
    output = tmp_path / f"kept.{ending}"
    calc.do("enter", window="Keep results", field=0, text="kept.doc")
    calc.do("press", window="Keep results", name="Write")
    assert any("the whole path of the copy" in text for text in window(calc, "Keep results"))
    calc.do("enter", window="Keep results", field=0, text=str(output))
    calc.do("press", window="Keep results", name="Write")
    until(output.exists)
    until(lambda: calc.do("told"))
    calc.do("open", path=str(output))
    assert calc.value("B1") == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850))
    if ending == "xlsx":
        kept = openpyxl.load_workbook(output, data_only=True).worksheets[0]["B1"].value
        assert kept == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850))


def test_a_commissioning_pack_of_the_selected_rows_is_opened(calc: CalcOffice, book: Path) -> None:
    calc.do("open", path=str(book))
    calc.do("select", range="A12:B14")
    calc.do("menu", command="Pack")
    calc.do("front", title=opened(calc, "commissioning"))
    assert calc.do("sheets") == ["Contents", "20-LG-2101", "20-LG-2102", "20-LG-2103"]


def test_cells_are_calculated_while_a_command_is_at_work(calc: CalcOffice, book: Path) -> None:
    calc.do("open", path=str(book))
    calc.do("menu", command="Audit")
    until(lambda: [p for p in calc.processes() if "xlfuncs.hosts.actions" in p.cmdline()])
    calc.do("front", title="Untitled 1")
    calc.type(A1="=LG_IMMERSION(280,50,200,850)")
    assert calc.value("A1") == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850))
    assert "index - audited" not in calc.do("documents")
    opened(calc, "audited")


def test_a_document_closed_meanwhile_takes_no_result_with_it(calc: CalcOffice, book: Path) -> None:
    calc.do("open", path=str(book))
    calc.do("menu", command="Audit")
    until(lambda: [p for p in calc.processes() if "xlfuncs.hosts.actions" in p.cmdline()])
    calc.do("close")
    assert opened(calc, "audited") == "index - audited"
    calc.do("front", title="Untitled 1")
    calc.do("menu", command="Insert")
    window(calc, "Insert a function")
    calc.do("open", path=None)
    calc.do("front", title="Untitled 1")
    calc.do("close")
    assert [title for title in calc.do("documents") if "Untitled" in title] == ["Untitled 3"]


def test_the_menu_works_where_the_functions_run_in_process(tmp_path: Path) -> None:
    folder = tmp_path / "profile"
    assert main(["install", "calc", "--in-process", "--profile", str(folder)]) == 0
    with CalcOffice(folder) as calc:
        calc.type(A1="=LG_IMMERSION(280,50,200,850)")
        calc.do("select", range="A1")
        calc.do("menu", command="Insert")
        window(calc, "Insert a function")
        calc.do("enter", window="Insert", field=0, text="LG_VERSION")
        assert "= xlfuncs" in "\n".join(window(calc, "Insert a function"))
        calc.do("press", window="Insert a function", name="Close")
        until(lambda: not [title for title in calc.do("windows") if "Insert" in title])
        calc.do("menu", command="Explain")
        assert "Archimedes" in "\n".join(window(calc, "Sheet1!A1"))
        assert calc.workers() == []


def test_a_command_ends_with_the_office(calc: CalcOffice, book: Path) -> None:
    calc.do("open", path=str(book))
    calc.do("menu", command="Audit")
    (process,) = until(lambda: [p for p in calc.processes() if "xlfuncs.hosts.actions" in p.cmdline()])
    for other in calc.processes():
        if other != process:
            other.kill()
    assert calc.gone()


def test_menu_and_tool_bar_go_with_the_functions(tmp_path: Path) -> None:
    folder = tmp_path / "profile"
    assert main(["install", "calc", "--profile", str(folder)]) == 0
    settings = folder / "user" / "registrymodifications.xcu"
    for _ in range(2):  # as written by us, and as LibreOffice wrote it anew
        with CalcOffice(folder) as office:
            assert len(office.do("entries")["menu"]) == len(menu.ENTRIES)
            office.do("quit")
            assert office.gone()
    assert has_menu(folder)  # as LibreOffice has written it
    assert main(["install", "calc", "--profile", str(folder)]) == 0
    assert settings.read_text().count("AddonUI/OfficeMenuBar") == 1
    assert main(["install", "calc", "--remove", "--profile", str(folder)]) == 0
    assert "xlfuncs" not in settings.read_text()
    assert not has_menu(folder)
    with CalcOffice(folder) as office:
        assert office.do("entries")["menu"] == []
