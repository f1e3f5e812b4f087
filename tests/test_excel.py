"""The functions as Excel gets them: xlwings' own COM server, COM substituted; the add-in; installing it."""

from __future__ import annotations

import json
import re
import site
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest
from antlr4 import CommonTokenStream, InputStream
from antlr4.error.ErrorListener import ErrorListener
from antlr4_vba.vbaLexer import vbaLexer
from antlr4_vba.vbaParser import vbaParser
from oletools.olevba import VBA_Parser
from openxml_audit import OpenXmlValidator

import xlfuncs
from xlfuncs import __version__
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts import actions
from xlfuncs.hosts.checks import Check
from xlfuncs.hosts.excel import addin, errors, menu, setup
from xlfuncs.spreadsheet.block import as_block
from xlfuncs.spreadsheet.inplace import Workbook
from xlfuncs.worksheet import call, catalogue

ROOT = Path(__file__).parent.parent
MISSING = {"missing": True}
"""An optional argument that was left out."""

CALLS: dict[str, tuple[str, list[Any]]] = {
    # each argument: a value, or the rows of a range, as VBA reads them; {"error": number} is an error value
    "typed": ("LG_IMMERSION", [280, 50, 200, 850]),
    "text": ("LG_IMMERSION", [280, 50, 200, "0.85 SG"]),
    "column": ("LG_IMMERSION", [[[280], [290], [None], ["x"]], 50, 200, 850]),
    "row": ("LG_IMMERSION", [[[280, 290]], 50, 200, 850]),
    "array constant": ("LG_IMMERSION", [[280, 290], 50, 200, 850]),
    "left out": ("LG_IMMERSION", [280, 50, 200, 850, MISSING, MISSING, MISSING]),
    "blank options": ("LG_IMMERSION", [280, 50, 200, 850, None, None, None]),
    "unit": ("LG_IMMERSION", [280, 50, 200, 850, MISSING, MISSING, "in"]),
    "missing cell": ("LG_IMMERSION", [280, 50, 200, None]),
    "wrong": ("LG_IMMERSION", [-280, 50, 200, 850]),
    "sinks": ("LG_IMMERSION", [400, 50, 200, 850]),
    "TRUE": ("LG_IMMERSION", [True, 50, 200, 850]),
    "reason": ("LG_REASON", ["LG_IMMERSION", 280, 50, 200, None]),
    "reason of an error": ("LG_REASON", ["LG_IMMERSION", {"error": 2007}, 50, 200, 850]),
    "error": ("LG_IMMERSION", [280, 50, 200, 850, {"error": 2007}]),
    "error in a column": ("LG_IMMERSION", [[[280], [{"error": 2007}]], 50, 200, 850]),
    "flag": ("LG_LEVEL_TO_CURRENT", [250, 0, 1000, True]),
    "two cells": ("LG_DENSITY_WINDOW", [280, 50, 200, 150, 10]),
    "table": ("LG_CALIBRATION_TABLE", [0, 1000, 3]),
    "no argument": ("LG_VERSION", []),
}


def serve(calls: list[list[Any]]) -> list[Any]:
    """Results of calls of the server, in a process that is started as Excel starts it: without the user's."""
    done = subprocess.run(
        [sys.executable, "-I", str(ROOT / "tests" / "excel_stand_in.py")],
        input="\n".join(map(json.dumps, calls)),
        capture_output=True,
        text=True,
        check=False,
    )
    assert not done.returncode, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.fixture(scope="module")
def excel() -> dict[str, Any]:
    """What Excel's VBA gets for each call."""
    calls = dict(CALLS)
    for number in range(2000, 2051):
        cell = {"error": number}
        calls[f"option {number}"] = ("LG_FLOAT_COLLAPSE", [50, 0.5, 200, "316L", 20, "flat", cell])
        calls[f"error {number}"] = ("LG_FLOAT_COLLAPSE", [50, cell, 200, "316L", 20])
        calls[f"column {number}"] = ("LG_FLOAT_COLLAPSE", [50, [[0.5], [cell]], 200, "316L", 20])
        calls[f"trace {number}"] = ("LG_TRACE_CHECK", [20, cell])
    for name, function in catalogue().items():
        given = [as_block(v) if isinstance(v, (list, tuple)) else v for v in function.example.arguments]
        calls[f"example {name}"] = (name, [MISSING if v is None else v for v in given])
    found = serve([["answer", [name, *arguments]] for name, arguments in calls.values()])
    return dict(zip(calls, found, strict=True))


def test_cells_ranges_and_blanks_arrive_as_they_are(excel: dict[str, Any]) -> None:
    one = call("LG_IMMERSION", 280, 50, 200, 850)
    assert excel["typed"] == excel["blank options"] == excel["left out"] == one
    assert excel["text"] == call("LG_IMMERSION", 280, 50, 200, "0.85 SG")
    column = call("LG_IMMERSION", [[280.0], [290.0]], 50, 200, 850)
    assert excel["column"] == [*column.tolist(), [{"error": 2042}], [{"error": 2015}]]
    row = as_block(call("LG_IMMERSION", [[280.0, 290.0]], 50, 200, 850))
    assert [excel["row"]] == [excel["array constant"]] == row  # xlwings hands on a single row as a list
    assert excel["unit"] == pytest.approx(one / 25.4)
    assert excel["flag"] == call("LG_LEVEL_TO_CURRENT", 250, 0, 1000, True)
    assert excel["no argument"] == f"xlfuncs {__version__}"


def test_rows_and_tables_come_as_arrays(excel: dict[str, Any]) -> None:
    assert excel["two cells"] == call("LG_DENSITY_WINDOW", 280, 50, 200, 150, 10)
    assert excel["table"] == as_block(call("LG_CALIBRATION_TABLE", 0, 1000, 3))


def test_a_refusal_is_the_number_of_an_error_value(excel: dict[str, Any]) -> None:
    assert excel["missing cell"] == {"error": 2042}
    assert excel["wrong"] == excel["TRUE"] == {"error": 2015}
    assert excel["sinks"] == {"error": 2036}
    # an error is passed on: never the default instead of an optional cell with an error
    assert excel["error"] == {"error": 2007}
    assert excel["error in a column"][1] == [{"error": 2007}]
    assert excel["reason"] == call("LG_REASON", "LG_IMMERSION", 280, 50, 200)
    assert excel["reason of an error"] == "mass: the cell it refers to holds #DIV/0!; mend that one first"


@pytest.mark.parametrize("number", range(2000, 2051))
def test_every_error_value_is_an_error_and_never_a_number(number: int, excel: dict[str, Any]) -> None:
    expected = {"error": number if number in errors.NUMBERS.values() else 2015}
    assert excel[f"option {number}"] == excel[f"error {number}"] == excel[f"trace {number}"] == expected
    assert excel[f"column {number}"][1] == [expected]
    assert isinstance(excel[f"column {number}"][0][0], float)


def test_an_integer_of_a_macro_is_a_number() -> None:
    assert errors.taken(280) == 280.0
    assert type(errors.taken(280)) is float
    assert errors.taken(True) is True


def test_no_number_goes_back_as_an_integer() -> None:
    assert type(errors.shown(3)) is float
    assert errors.shown(True) is True
    assert errors.shown(None) == ""


@pytest.mark.parametrize("name", catalogue())
def test_every_example_agrees_through_the_server(name: str, excel: dict[str, Any]) -> None:
    example = catalogue()[name].example
    found = as_block(excel[f"example {name}"])
    direct = as_block(call(name, *example.arguments))
    expected = as_block(example.answer)
    assert [len(row) for row in found] == [len(row) for row in direct]
    for row, straight, answer in zip(found, direct, expected, strict=True):
        for cell, same, wanted in zip(row, straight, answer, strict=True):
            assert cell == ("" if same is None else same)
            if isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
                assert cell == pytest.approx(wanted, rel=example.tolerance, abs=1e-12)
            else:
                assert cell == ("" if wanted is None else wanted)


def test_the_server_takes_nothing_from_the_current_folder_or_the_environment(tmp_path: Path) -> None:
    for name in ("xlfuncs.py", "numpy.py", "json.py", "sitecustomize.py"):
        (tmp_path / name).write_text("raise SystemExit('run from the folder of a workbook')")
    done = subprocess.run(
        [sys.executable, "-I", str(ROOT / "tests" / "excel_stand_in.py")],
        input=json.dumps(["answer", ["LG_VERSION"]]),
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env={"PYTHONPATH": str(tmp_path), "SYSTEMROOT": ""},
    )
    assert json.loads(done.stdout) == f"xlfuncs {__version__}", done.stderr


def test_the_functions_are_declared_without_the_physics() -> None:
    code = (
        f"import xlwings, sys; before = set(sys.modules); import {addin.UDF_MODULE}; "
        "print(*set(sys.modules) - before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not {m.partition(".")[0] for m in done.stdout.split()} & {"pint", "CoolProp", "openpyxl", "rich"}
    assert "xlfuncs.gauge" not in done.stdout.split()


# --- the add-in file ----------------------------------------------------------------------------------


VBA_WORDS = set(
    """
    And As Boolean ByRef Byte ByVal Call Case CBool CByte CCur CDate CDbl CInt CLng Close Const CSng
    CStr Currency CVar Date Debug Declare Dim Do Double Each Else ElseIf Empty End Enum Eqv Erase Error
    Event Exit False For Friend Function Get Global GoSub GoTo If Imp Implements In Input Integer Is Let
    Like Lock Long Loop LSet Me Mod New Next Not Nothing Null On Open Option Optional Or ParamArray
    Preserve Print Private Public Put RaiseEvent ReDim Rem Resume Return RSet Seek Select Set Single
    Static Stop String Sub Tab Then To True Type TypeOf Unlock Until Variant Wend While With WithEvents
    Write Xor
    """.lower().split()
)
"""Reserved words of VBA (from memory, after Microsoft's VBA language specification)."""


@pytest.fixture(scope="module")
def target(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The add-in, built without Excel."""
    path = tmp_path_factory.mktemp("addin") / addin.NAME
    addin.build(path)
    return path


@pytest.fixture(scope="module")
def modules(target: Path) -> dict[str, str]:
    """Its VBA modules, as another program reads them."""
    parser = VBA_Parser(str(target))
    found = {name: text.replace("\r\n", "\n") for _, _, name, text in parser.extract_macros()}
    parser.close()
    return found


def test_another_program_reads_the_modules_back(modules: dict[str, str]) -> None:
    assert set(modules) == {"ThisWorkbook.cls", "Sheet1.cls", "xlfuncs.bas"}
    assert modules["xlfuncs.bas"].strip() == addin.module().replace("\r\n", "\n").strip()
    assert "Private Sub Workbook_Open()" in modules["ThisWorkbook.cls"]
    declared = re.findall(r"^Public Function (\w+)\(", modules["xlfuncs.bas"], re.MULTILINE)
    assert declared == list(catalogue())  # and no other function is offered in a cell
    assert max(map(len, modules["xlfuncs.bas"].splitlines())) < 1023  # the longest line VBA takes


@pytest.mark.parametrize("name", catalogue())
def test_the_vba_function_has_every_argument_in_order(name: str, modules: dict[str, str]) -> None:
    function = catalogue()[name]
    names = [a.name for a in function.arguments] + ["unit"] * function.takes_unit
    arguments = ", ".join(f"Optional {name}" for name in names)
    text = modules["xlfuncs.bas"]
    assert f"\nPublic Function {name}({arguments})\n" in text
    assert f'\n    {name} = Answer("{name}", Array({", ".join(names)}))\n' in text
    assert not {n.lower() for n in names} & VBA_WORDS
    assert len(set(names)) == len(names) <= 60  # the most VBA takes


class _Errors(ErrorListener):  # type: ignore[misc]
    def __init__(self) -> None:
        self.found: list[str] = []

    def syntaxError(
        self, recognizer: Any, symbol: Any, line: int, column: int, text: str, error: Any
    ) -> None:
        self.found.append(f"line {line}: {text}")


def grammar_errors(text: str) -> list[str]:
    """What the grammar of [MS-VBAL] finds wrong with a module."""
    errors_ = _Errors()
    lexer = vbaLexer(InputStream(text))
    parser = vbaParser(CommonTokenStream(lexer))
    for reader in (lexer, parser):
        reader.removeErrorListeners()
        reader.addErrorListener(errors_)
    parser.startRule()
    return errors_.found


def test_the_module_follows_the_grammar_of_vba() -> None:
    assert not grammar_errors(addin.module())
    assert not grammar_errors(f'Attribute VB_Name = "ThisWorkbook"\r\n{addin.opening()}')


def test_the_grammar_finds_what_is_not_vba() -> None:
    assert grammar_errors('Attribute VB_Name = "x"\r\nSub A()\r\n    If 1 Then\r\nEnd Sub\r\n')


def test_nothing_of_the_active_workbook_or_the_user_decides_what_runs() -> None:
    fixed = addin.module().split("' --- a call from a cell", 1)[0]
    assert "ActiveWorkbook" not in fixed
    assert "Environ" not in addin.module()
    assert "CurDir" not in addin.module()
    assert 'ThisWorkbook.Worksheets(1).Range("B3")' in fixed
    assert re.search(r"^-I -B -c ", addin.settings().command.removeprefix(f"{sys.executable} "))


def test_the_sheet_holds_the_settings_and_the_help(target: Path) -> None:
    with Workbook(target) as book:
        (sheet,) = book.cells.sheets.values()
    found = addin.settings()
    assert (sheet.values[2, 2], sheet.values[3, 2]) == (found.folder, found.command)
    rows = list(addin.help_rows())
    for number, row in enumerate(rows, 6):
        assert [sheet.values.get((number, column)) for column in range(1, len(row) + 1)] == row
    module = addin.module()
    assert f"FIRST_HELP As Long = 6\r\nPrivate Const LAST_HELP As Long = {5 + len(rows)}\r\n" in module


@pytest.mark.parametrize("row", list(addin.help_rows()), ids=lambda row: row[0])
def test_the_function_wizard_gets_a_help_for_every_argument(row: list[Any]) -> None:
    name, category, description, count, *texts = row
    function = catalogue()[name]
    assert description.startswith(function.summary)
    assert category == f"xlfuncs: {function.category}"
    assert len(texts) == count == len(function.arguments) + function.takes_unit
    for argument, text in zip(function.arguments, texts, strict=False):
        assert argument.meaning in text
        assert argument.unit in text
    assert all(len(text) < 256 for text in [description, *texts])  # what Excel cuts off


def test_the_file_is_the_same_each_time_and_names_nobody(target: Path, tmp_path: Path) -> None:
    again = tmp_path / addin.NAME
    addin.build(again)
    with zipfile.ZipFile(target) as first, zipfile.ZipFile(again) as second:
        assert first.testzip() is None
        assert first.namelist() == second.namelist()
        parts = [name for name in first.namelist() if name != "xl/vbaProject.bin"]
        assert all(first.read(name) == second.read(name) for name in parts)
        core = first.read("docProps/core.xml").decode()
    assert re.findall(r"<dc:creator>(.*?)<", core) == ["xlfuncs"]
    assert "lastModifiedBy" not in core


def schema_errors(path: Path) -> list[str]:
    """What Office's published schemas find wrong with a file, ribbon included."""
    found = OpenXmlValidator().validate(path).errors
    return [error.description for error in found if "inline-string" not in error.description]


def test_the_file_and_its_ribbon_follow_the_published_schemas(target: Path, tmp_path: Path) -> None:
    assert not schema_errors(target)
    spoilt = tmp_path / "spoilt.xlam"
    with zipfile.ZipFile(target) as source, zipfile.ZipFile(spoilt, "w") as made:
        for name in source.namelist():
            made.writestr(name, source.read(name).replace(b"<button id", b"<knob id"))
    assert schema_errors(spoilt)


RIBBON = ElementTree.parse(Path(addin.__file__).with_name("ribbon.xml"))
BUTTONS = RIBBON.findall(".//{*}button")


def test_every_button_of_the_ribbon_calls_the_module(modules: dict[str, str]) -> None:
    assert {b.get("label") for b in BUTTONS} == {
        "Audit this workbook",
        "How the sheet was read",
        "Insert function...",
        "Explain this cell",
        "Keep results",
        "Commissioning pack for the selected rows",
    }
    assert {b.get("onAction") for b in BUTTONS} == {"LG_Ribbon"}
    assert "\nPublic Sub LG_Ribbon(ByVal control As Object)\n" in modules["xlfuncs.bas"]
    assert len({b.get("id") for b in BUTTONS}) == len({b.get("tag") for b in BUTTONS}) == len(BUTTONS)


def test_every_button_is_an_action_or_excels_own_dialog() -> None:
    assert {b.get("tag") for b in BUTTONS} == {*actions._ACTIONS, "insert"}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A workbook as Excel saves it for the ribbon."""
    path = tmp_path / "Book1.xlsx"
    book = openpyxl.Workbook()
    book.worksheets[0].title = "Index"
    book.worksheets[0].append([280, "=LG_IMMERSION(A1,50,200,850)", "=LG_IMMERSION(A2,50,200,850)", "=1+1"])
    book.save(path)
    return path


def press(action: str, copy: Path, cell: str = "B1", selection: str = "$B$1", output: str = "") -> Any:
    """What a button gives, in a process of its own as ever."""
    return menu.act(action, str(copy), "Book1", "unsaved", "Index", cell, selection, output)


def test_explain_shows_inputs_and_result_or_the_reason(copy: Path) -> None:
    message, file, sheet, title, text = press("explain", copy)
    assert (message, file, sheet, title) == ("", "", "", "Index!B1")
    assert "167.768 mm" in text
    assert "missing; give the mass of the float" in press("explain", copy, "C1")[-1]
    assert "calls none of our functions" in press("explain", copy, "D1")[0]


def test_keep_writes_the_results_where_the_user_said(copy: Path) -> None:
    output = copy.with_name("kept.xlsx")
    message, file, *_ = press("keep", copy, output=str(output))
    assert f"Written: {output}" in message
    assert not file
    assert openpyxl.load_workbook(output, data_only=True)["Index"]["B1"].value == pytest.approx(
        167.768, abs=1e-3
    )
    assert "is there already" in press("keep", copy, output=str(output))[0]


def test_a_workbook_without_an_index_is_said_in_one_line(copy: Path) -> None:
    message, file, *_ = press("audit", copy)
    assert message.startswith("Book1")  # by the name that the user knows
    assert "\n" not in message
    assert not file


def test_an_audit_opens_under_a_name_of_its_own(tmp_path: Path) -> None:
    copy = tmp_path / "contractor_index.xlsx"
    copy.write_bytes((ROOT / "workbooks" / copy.name).read_bytes())
    found = menu.act("audit", str(copy), copy.name, "changed", "LI Index", "A1", "$A$1", "")
    assert re.match(r"\d\d errors, \d\d warnings", found[0])
    assert found[1:3] == (str(tmp_path / "contractor_index - audited.xlsx"), "Findings")
    assert found[2] in openpyxl.load_workbook(found[1], read_only=True).sheetnames


@pytest.mark.parametrize(
    ("selection", "expected"),
    [
        ("$B$14", [(14, 14)]),
        ("$A$14:$C$16", [(14, 16)]),
        ("$14:$16,$20:$20", [(14, 16), (20, 20)]),
        ("$A:$C", [(1, 1 << 20)]),
    ],
)
def test_the_rows_of_a_selection(selection: str, expected: list[tuple[int, int]]) -> None:
    assert menu.rows(selection) == expected


@pytest.mark.parametrize("lxml", ["True", "False"])
def test_the_pack_is_made_of_the_selected_rows(
    tmp_path: Path, lxml: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("OPENPYXL_LXML", lxml)  # with it, openpyxl writes the list of sheets differently
    copy = tmp_path / "contractor_index.xlsx"
    copy.write_bytes((ROOT / "workbooks" / copy.name).read_bytes())
    found = menu.act("pack", str(copy), copy.name, "saved", "LI Index", "A19", "$A$19:$C$20,$22:$22", "")
    assert found[0].startswith("3 records")
    assert Path(found[1]).is_file()
    assert len(openpyxl.load_workbook(found[1]).sheetnames) == 4
    nothing = menu.act("pack", str(copy), copy.name, "saved", "LI Index", "A1", "$A$1", "")
    assert "no gauge stands in the selected rows" in nothing[0]


@pytest.mark.parametrize(
    ("name", "saved"), [("Book1", "Book1.xlsx"), ("a.b.xlsm", "a.b.xlsm"), ("LIST.CSV", "LIST.CSV")]
)
def test_the_copy_has_the_ending_of_the_workbook(name: str, saved: str) -> None:
    assert menu.copy_for(name).name == saved


def test_a_title_with_signs_that_no_file_name_has(copy: Path) -> None:
    assert Path(menu._titled(str(copy), "a/b: 'c' [d]")).name == "a_b_ 'c' _d_.xlsx"


def test_an_action_that_ends_without_an_answer_is_said(copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(menu, "_COMMAND", ("-c", "raise SystemExit(3)"))
    assert press("explain", copy)[0] == "Book1: the program ended without an answer; run 'xlfuncs doctor'"


# --- installing, with Windows substituted ---------------------------------------------------------------


class FakeWindows(setup.Windows):
    """A Windows with an Excel on it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.registry_: dict[str, Any] = {
            r"SOFTWARE\Classes\Excel.Application\CurVer:": "Excel.Application.16",
            r"SOFTWARE\Microsoft\Office\ClickToRun\Configuration:Platform": "x64",
        }
        self.open = False
        self.machine = "win-amd64"
        self.user: list[str] = []
        self.letters = True
        self.broken = ""
        self.disabled: list[Any] = []

    def registry(self, path: str, value: str = "") -> Any:
        return self.registry_.get(f"{path}:{value}")

    def values(self, path: str) -> Any:
        assert path == r"SOFTWARE\Microsoft\Office\16.0\Excel\Resiliency\DisabledItems"
        return iter(self.disabled)

    def running(self) -> bool:
        return self.open

    def start_folder(self) -> Path:
        return self.folder

    def processor(self) -> str:
        return self.machine

    def of_the_user(self) -> list[str]:
        return self.user

    def spelt(self, text: str) -> bool:
        return self.letters

    def server(self) -> str:
        return self.broken

    def set(self, where: str, value: str, to: Any) -> None:
        """A setting of Office 16, of a policy where `where` begins with 'Policies'."""
        policy, _, path = where.rpartition("Policies ")
        root = rf"SOFTWARE\{'Policies' + chr(92) if policy or where.startswith('Policies') else ''}"
        self.registry_[rf"{root}Microsoft\Office\16.0\{path}:{value}"] = to


@pytest.fixture
def windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeWindows:
    """A Python of python.org in a folder with the libraries that xlwings installs there."""
    python = tmp_path / "Python" / "python.exe"
    python.parent.mkdir()
    for name in addin.library_names().values():
        (python.parent / name).touch()
    monkeypatch.setattr(sys, "executable", str(python))
    return FakeWindows(tmp_path / "XLSTART")


def broken(windows: FakeWindows) -> dict[str, Check]:
    """The checks that do not pass."""
    return {check.name: check for check in setup.checks(windows) if not check.passed}


def test_one_command_installs_the_add_in_with_its_functions(windows: FakeWindows) -> None:
    lines = list(setup.install(windows))
    assert f"with {len(catalogue())} functions" in lines[0]
    assert "type =LG_VERSION() in a cell" in lines[-1]
    assert not broken(windows)
    assert list(setup.remove(windows)) == [f"deleted {windows.folder / 'xlfuncs.xlam'}"]
    assert list(broken(windows)) == ["add-in"]


def test_the_settings_name_python_in_full_and_nothing_else_is_searched(windows: FakeWindows) -> None:
    list(setup.install(windows))
    found = addin.read(windows.folder / addin.NAME).settings
    assert found.folder == str(Path(sys.executable).parent)
    assert found.command == (
        f"{sys.executable} -I -B -c \"from xlfuncs.hosts.excel.server import serve; serve('$(CLSID)')\""
    )


def test_a_folder_with_a_space_is_quoted(windows: FakeWindows, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", r"C:\Program Files\Python\python.exe")
    assert addin.settings().command.startswith(r'"C:\Program Files\Python\python.exe" -I -B')


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"excel": None}, "Excel was not found.*xlfuncs install calc"),
        ({"open": True}, "Excel is running; close all its windows"),
        ({"python": "C:\\Users\\x\\AppData\\Local\\Microsoft\\WindowsApps\\python.exe"}, "python.org"),
        ({"library": True}, r"xlwings64-.*missing from.*pip install --force-reinstall"),
        ({"machine": "win-arm64"}, "no library for win-arm64: install the 64-bit Python for x64"),
        ({"user": ["xlwings"]}, "xlwings in a folder of the user.*without '--user'"),
        (
            {"letters": False},
            "cannot be passed on; install Python and xlfuncs in a folder with plain letters",
        ),
        ({"broken": "ModuleNotFoundError: No module named 'xlfuncs'"}, "No module.*pip install xlfuncs"),
    ],
)
def test_each_obstacle_is_named_before_anything_is_written(
    windows: FakeWindows, change: dict[str, Any], message: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in change.keys() & {"open", "machine", "letters", "broken", "user"}:
        setattr(windows, name, change[name])
    if "excel" in change:
        windows.registry_.clear()
    if "python" in change:
        monkeypatch.setattr(sys, "executable", change["python"])
    if "library" in change:
        for library in Path(sys.executable).parent.glob("xlwings64*"):
            library.unlink()
    with pytest.raises(XlfuncsError, match=message):
        list(setup.install(windows))
    assert not windows.folder.exists()


def test_packages_of_the_user_are_told_from_those_of_python(monkeypatch: pytest.MonkeyPatch) -> None:
    assert setup.Windows().of_the_user() == []
    root = Path(xlfuncs.__file__).parent.parent
    monkeypatch.setattr(site, "getusersitepackages", lambda: str(root))
    assert "xlfuncs" in setup.Windows().of_the_user()
    assert setup.Windows().processor() == sysconfig.get_platform()


def test_an_add_in_without_functions_is_noticed(
    windows: FakeWindows, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(addin, "module", lambda: 'Attribute VB_Name = "xlfuncs"\r\n')
    list(setup.install(windows))
    found = broken(windows)
    assert set(found) == {"functions of the add-in", "library of the add-in"}
    more = len(catalogue()) - 3
    assert re.fullmatch(
        rf"(LG_\w+, ){{2}}LG_\w+ and {more} more missing", found["functions of the add-in"].found
    )
    assert "xlfuncs install excel" in found["functions of the add-in"].mend


def test_an_add_in_that_cannot_be_read_is_noticed(windows: FakeWindows) -> None:
    list(setup.install(windows))
    (windows.folder / addin.NAME).write_bytes(b"PK no workbook")
    assert list(broken(windows)) == ["functions of the add-in"]


def test_an_add_in_for_an_older_library_is_noticed(
    windows: FakeWindows, monkeypatch: pytest.MonkeyPatch
) -> None:
    list(setup.install(windows))
    monkeypatch.setattr(addin, "xlwings_version", lambda: "9.9.9")
    for name in addin.library_names().values():
        (Path(sys.executable).parent / name).touch()
    assert list(broken(windows)) == ["library of the add-in"]


def test_an_add_in_of_another_version_is_noticed(
    windows: FakeWindows, monkeypatch: pytest.MonkeyPatch
) -> None:
    list(setup.install(windows))
    monkeypatch.setattr(xlfuncs, "__version__", "9.9.9")
    assert list(broken(windows)) == ["version of the add-in"]


def test_an_add_in_of_another_python_is_noticed(
    windows: FakeWindows, monkeypatch: pytest.MonkeyPatch
) -> None:
    list(setup.install(windows))
    monkeypatch.setattr(sys, "executable", str(Path(sys.executable).with_name("other.exe")))
    assert list(broken(windows)) == ["Python of the add-in"]


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ([], ""),
        ([(r"Excel\Security", "VBAWarnings", 4)], ""),  # the start folder is a trusted location
        ([(r"Excel\Security\Trusted Locations", "AllLocationsDisabled", 1)], ""),  # Excel asks
        (
            [
                (r"Excel\Security\Trusted Locations", "AllLocationsDisabled", 1),
                (r"Excel\Security", "VBAWarnings", 4),
            ],
            "disabled without notice",
        ),
        (
            [
                (r"Policies Excel\Security\Trusted Locations", "AllLocationsDisabled", 1),
                (r"Policies Excel\Security", "VBAWarnings", 3),
                (r"Excel\Security", "VBAWarnings", 2),
            ],
            "only signed ones",
        ),
        ([("Policies Common", "VbaOff", 1)], "switched off"),
        ([("Common", "VbaOff", 1)], "switched off"),
    ],
)
def test_macros_that_will_not_run_are_noticed(
    windows: FakeWindows, settings: list[tuple[str, str, int]], said: str
) -> None:
    for where, value, to in settings:
        windows.set(where, value, to)
    lines = list(setup.install(windows))
    found = broken(windows)
    assert list(found) == (["macros"] if said else [])
    if said:
        assert said in found["macros"].found
        by_policy = any(where.startswith("Policies") for where, _, _ in settings) or "switched off" in said
        assert ("administers the policies" in found["macros"].mend) == by_policy
        assert lines[-1].startswith("one thing remains: macros")


def test_an_add_in_that_excel_has_disabled_is_noticed(windows: FakeWindows) -> None:
    list(setup.install(windows))
    windows.disabled = ["text", b"\0\1" + r"c:\x\xlstart\xlfuncs.xlam".encode("utf-16-le")]
    assert list(broken(windows)) == ["not disabled after a crash"]


def test_elsewhere_the_command_points_to_calc_and_recalculate(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["install", "excel"]) == 2
    text = capsys.readouterr().err
    assert "on Windows only" in text
    assert "xlfuncs install calc" in text
    assert "xlfuncs recalculate" in text
    assert main(["install", "excel", "--in-process"]) == 2
