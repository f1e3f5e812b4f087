"""The functions as Excel gets them: xlwings' own marshalling and VBA generation, COM substituted."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import types
import zipfile
from pathlib import Path
from typing import Any

import pytest

from xlfuncs import __version__
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.excel import addin, errors, setup
from xlfuncs.spreadsheet.block import as_block
from xlfuncs.spreadsheet.inplace import Workbook
from xlfuncs.worksheet import call, catalogue

ROOT = Path(__file__).parent.parent

CALLS = {
    # each argument: a value typed into the formula, or {"cells": rows} for a reference
    "typed": ("LG_IMMERSION", [280.0, 50.0, 200.0, 850.0]),
    "cell": ("LG_IMMERSION", [{"cells": [[280.0]]}, 50.0, 200.0, {"cells": [["0.85 SG"]]}]),
    "column": ("LG_IMMERSION", [{"cells": [[280.0], [290.0], [None], ["x"]]}, 50.0, 200.0, 850.0]),
    "row": ("LG_IMMERSION", [{"cells": [[280.0, 290.0]]}, 50.0, 200.0, 850.0]),
    "blank options": ("LG_IMMERSION", [280.0, 50.0, 200.0, 850.0, *[{"cells": [[None]]}] * 3]),
    "unit": ("LG_IMMERSION", [280.0, 50.0, 200.0, 850.0, None, None, "in"]),
    "missing cell": ("LG_IMMERSION", [280.0, 50.0, 200.0, {"cells": [[None]]}]),
    "wrong": ("LG_IMMERSION", [-280.0, 50.0, 200.0, 850.0]),
    "sinks": ("LG_IMMERSION", [400.0, 50.0, 200.0, 850.0]),
    "TRUE": ("LG_IMMERSION", [True, 50.0, 200.0, 850.0]),
    "reason": ("LG_REASON", ["LG_IMMERSION", 280.0, 50.0, 200.0, {"cells": [[None]]}]),
    "reason of an error": ("LG_REASON", ["LG_IMMERSION", {"cells": [["#DIV/0!"]]}, 50.0, 200.0, 850.0]),
    "error typed": ("LG_IMMERSION", [280.0, 50.0, 200.0, 850.0, "#DIV/0!"]),
    "error cell": ("LG_IMMERSION", [280.0, 50.0, 200.0, 850.0, {"cells": [["#DIV/0!"]]}]),
    "flag": ("LG_LEVEL_TO_CURRENT", [250.0, 0.0, 1000.0, True]),
    "two cells": ("LG_DENSITY_WINDOW", [280.0, 50.0, 200.0, 150.0, 10.0]),
    "table": ("LG_CALIBRATION_TABLE", [0.0, 1000.0, 3.0]),
    "text": ("LG_VERSION", []),
    "currency": ("LG_LEVEL_TO_CURRENT", [{"cells": [["decimal 250"]]}, 0.0, 1000.0]),
}

SCRIPT = """
import json, sys
from decimal import Decimal
sys.path.insert(0, {tests!r})
import excel_stand_in as excel

udfs = excel.start()
module = "xlfuncs.hosts.excel.udfs"
book = excel.FakeBook(excel.com_error())
udfs.import_udfs(module, book)
before = sorted(sys.modules)

def element(value):
    if value == "#DIV/0!":
        return excel.DIV0
    if isinstance(value, str) and value.startswith("error "):
        return int(value[6:]) - 2146828288
    return Decimal(value[8:]) if isinstance(value, str) and value.startswith("decimal ") else value

def argument(value):
    if isinstance(value, dict):
        return excel.FakeRange([[element(cell) for cell in row] for row in value["cells"]])
    return excel.MISSING if value is None else element(value)

def call(name, arguments):
    function = getattr(sys.modules[module], name)
    count = len(function.__xlfunc__["args"])
    given = [argument(a) for a in arguments] + [excel.MISSING] * (count - len(arguments))
    return udfs.call_udf(module, name, tuple(given), book, excel.FakeRange([[None]]))

def plain(result):  # each error as its number in VBA
    if isinstance(result, list):
        return [plain(cell) for cell in result]
    if isinstance(result, excel.Variant):
        assert result.varianttype == 10  # VT_ERROR
        return {{"error": result.value + 2146828288}}
    return result

calls = json.load(sys.stdin)
print(json.dumps({{
    "vba": book.VBProject.VBComponents.text,
    "helps": book.helps,
    "results": {{key: plain(call(*c)) for key, c in calls.items()}},
    "loaded": before,
    "pro": sys.modules["xlwings"].__pro__,
}}))
"""


def reference(value: Any) -> Any:
    """A value of an example as an argument: ranges and every other cell as references."""
    if value is None:
        return None
    # Excel knows no other numbers than floats: an integer is an error value
    return {
        "cells": [[float(cell) if type(cell) is int else cell for cell in row] for row in as_block(value)]
    }


@pytest.fixture(scope="module")
def excel() -> dict[str, Any]:
    """What xlwings gives when Excel imports the functions and calls them."""
    calls: dict[str, Any] = {**CALLS}
    for number in range(2000, 2051):
        cells = {"cells": [[f"error {number}"]]}
        calls[f"error {number}"] = ("LG_FLOAT_COLLAPSE", [50.0, 0.5, 200.0, "316L", 20.0, "flat", cells])
        calls[f"typed error {number}"] = ("LG_FLOAT_COLLAPSE", [50.0, f"error {number}", 200.0, "316L"])
    for name, function in catalogue().items():
        calls[f"example {name}"] = (name, [reference(value) for value in function.example.arguments])
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT.format(tests=str(ROOT / "tests"))],
        input=json.dumps(calls),
        capture_output=True,
        text=True,
        check=False,
    )
    assert not done.returncode, done.stderr
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def test_cells_ranges_and_blanks_arrive_as_they_are(excel: dict[str, Any]) -> None:
    results = excel["results"]
    one = call("LG_IMMERSION", 280, 50, 200, 850)
    assert results["typed"] == results["blank options"] == [[one]]
    assert results["cell"] == [[call("LG_IMMERSION", 280, 50, 200, "0.85 SG")]]
    column = call("LG_IMMERSION", [[280.0], [290.0]], 50, 200, 850)
    assert results["column"] == [*column.tolist(), [{"error": 2042}], [{"error": 2015}]]
    assert results["row"] == as_block(call("LG_IMMERSION", [[280.0, 290.0]], 50, 200, 850))
    assert results["unit"] == [[pytest.approx(one / 25.4)]]
    assert results["flag"] == [[call("LG_LEVEL_TO_CURRENT", 250, 0, 1000, True)]]
    assert results["currency"] == [[call("LG_LEVEL_TO_CURRENT", 250, 0, 1000)]]
    assert results["text"] == [[f"xlfuncs {__version__}"]]


def test_rows_and_tables_come_as_arrays_that_excel_spills(excel: dict[str, Any]) -> None:
    assert excel["results"]["two cells"] == [call("LG_DENSITY_WINDOW", 280, 50, 200, 150, 10)]
    assert excel["results"]["table"] == as_block(call("LG_CALIBRATION_TABLE", 0, 1000, 3))


def test_a_refusal_is_an_error_value_of_excel(excel: dict[str, Any]) -> None:
    results = excel["results"]
    assert results["missing cell"] == [[{"error": 2042}]]
    assert results["wrong"] == results["TRUE"] == [[{"error": 2015}]]
    assert results["sinks"] == [[{"error": 2036}]]
    # an error is passed on: never the default instead of an optional cell with an error
    assert results["error typed"] == results["error cell"] == [[{"error": 2007}]]
    assert results["reason"] == [[call("LG_REASON", "LG_IMMERSION", 280, 50, 200)]]
    passed_on = "mass: the cell it refers to holds #DIV/0!; mend that one first"
    assert results["reason of an error"] == [[passed_on]]


def test_every_error_value_is_an_error_and_never_a_number(excel: dict[str, Any]) -> None:
    known = set(errors.NUMBERS.values())
    for number in range(2000, 2051):
        expected = [[{"error": number if number in known else 2015}]]
        assert excel["results"][f"error {number}"] == expected
        assert excel["results"][f"typed error {number}"] == expected


@pytest.mark.parametrize("name", catalogue())
def test_every_example_agrees_through_the_marshalling(name: str, excel: dict[str, Any]) -> None:
    example = catalogue()[name].example
    found = excel["results"][f"example {name}"]
    direct = as_block(call(name, *example.arguments))
    expected = as_block(example.answer)
    assert [len(row) for row in found] == [len(row) for row in direct]
    for row, straight, answer in zip(found, direct, expected, strict=True):
        for cell, same, wanted in zip(row, straight, answer, strict=True):
            assert cell == same
            if isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
                assert cell == pytest.approx(wanted, rel=example.tolerance, abs=1e-12)
            else:
                assert cell == ("" if wanted is None else wanted)


VBA_WORDS = set(
    """
    And As Boolean ByRef Byte ByVal Call Case CBool CByte CCur CDate CDbl CInt CLng Close Const CSng
    CStr Currency CVar Date Debug Declare Dim Do Double Each Else ElseIf Empty End Enum Eqv Erase Error
    Event Exit False For Friend Function Get Global GoSub GoTo If Imp Implements In Input Integer Is Let
    Like Lock Long Loop LSet Me Mod New Next Not Nothing Null On Open Option Optional Or ParamArray
    Preserve Print Private Public Put RaiseEvent ReDim Rem Resume Return RSet Seek Select Set Single
    Static Stop String Sub Tab Then To True Type TypeOf Unlock Until Variant Wend While With WithEvents
    Write Xor caller
    """.lower().split()
)
"""Reserved words of VBA (from memory, after Microsoft's VBA language specification), and one of xlwings."""


@pytest.mark.parametrize("name", catalogue())
def test_the_vba_wrapper_has_every_argument_in_order(name: str, excel: dict[str, Any]) -> None:
    function = catalogue()[name]
    arguments = [(a.name if a.required else f"Optional {a.name}") for a in function.arguments]
    names = [a.name for a in function.arguments]
    if function.takes_unit:
        arguments.append("Optional unit")
        names.append("unit")
    assert f"\nFunction {name}({', '.join(arguments)})\n" in excel["vba"]
    called = f'{name} = XLPy.CallUDF("{addin.UDF_MODULE}", "{name}", Array({", ".join(names)}), '
    assert called + "ActiveWorkbook, Application.Caller)" in excel["vba"]
    assert not {n.lower() for n in names} & VBA_WORDS
    assert len(set(names)) == len(names)
    assert max(len(line) for line in excel["vba"].splitlines()) < 1023  # the longest line VBA takes


@pytest.mark.parametrize("name", catalogue())
def test_the_function_wizard_gets_a_help_for_every_argument(name: str, excel: dict[str, Any]) -> None:
    function, help_ = catalogue()[name], excel["helps"][name]
    assert help_["Description"].startswith(function.summary)
    assert help_["Category"] == f"xlfuncs: {function.category}"
    texts = help_["ArgumentDescriptions"] or []
    assert len(texts) == len(function.arguments) + function.takes_unit
    for argument, text in zip(function.arguments, texts, strict=False):
        assert argument.meaning in text
        assert argument.unit in text
    assert all(len(text) < 255 for text in [help_["Description"], *texts])  # what Excel cuts off


def test_the_vba_module_holds_our_functions_and_nothing_else(excel: dict[str, Any]) -> None:
    assert re.findall(r"^Function (\w+)\(", excel["vba"], re.MULTILINE) == sorted(catalogue())
    assert "Application.Volatile" not in excel["vba"]
    assert set(excel["helps"]) == set(catalogue())


def test_only_the_free_part_of_xlwings_is_needed(excel: dict[str, Any]) -> None:
    assert excel["pro"] is False


def test_the_functions_are_declared_without_the_physics() -> None:
    code = (
        f"import xlwings, sys; before = set(sys.modules); import {addin.UDF_MODULE}; "
        "print(*set(sys.modules) - before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not {m.partition(".")[0] for m in done.stdout.split()} & {"pint", "CoolProp", "openpyxl", "rich"}
    assert "xlfuncs.gauge" not in done.stdout.split()


# --- the add-in file ----------------------------------------------------------------------------------


def test_the_add_in_is_the_template_with_our_settings(tmp_path: Path) -> None:
    target = tmp_path / addin.NAME
    addin.build(target)
    with Workbook(target) as book:
        (sheet,) = book.cells.sheets.values()
        assert sheet.name == addin.SHEET
        rows = {str(value).casefold(): row for (row, column), value in sheet.values.items() if column == 1}
        found = {key: sheet.values.get((row, 2)) for key, row in rows.items()}
    assert found["interpreter_win"] == sys.executable
    assert found["udf modules"] == addin.UDF_MODULE
    assert found["add_workbook_to_pythonpath"] == "false"
    # xlwings reads the settings downwards until the first blank key
    assert sorted(rows.values()) == list(range(1, len(rows) + 1))
    with zipfile.ZipFile(addin.template()) as template, zipfile.ZipFile(target) as made:
        assert made.testzip() is None
        assert made.namelist() == template.namelist()
        assert made.read("xl/vbaProject.bin") == template.read("xl/vbaProject.bin")
        assert b'"_myaddin.conf"' not in made.read("xl/workbook.xml")


# --- installing, with Windows substituted ---------------------------------------------------------------


class FakeWindows(setup.Windows):
    """A Windows with an Excel on it."""

    def __init__(self, folder: Path, **registry: Any) -> None:
        self.folder = folder
        self.values = {"CurVer": "Excel.Application.16", "Platform": "x64", "AccessVBOM": 1, **registry}
        self.open = False
        self.done: list[str] = []
        self.fails: Exception | None = None

    def registry(self, path: str, value: str = "") -> Any:
        if "Policies" in path:
            return self.values.get("policy")
        return self.values.get(value or path.rpartition("\\")[2])

    def running(self) -> bool:
        return self.open

    def start_folder(self) -> Path:
        return self.folder

    def import_functions(self, book: Any) -> None:
        if self.fails:
            raise self.fails
        self.done.append(f"import into {Path(book.path).name}")

    def excel(self) -> Any:
        def opened(path: str) -> Any:
            return types.SimpleNamespace(
                path=path,
                Save=lambda: self.done.append("save"),
                Close=lambda changes: self.done.append("close"),
            )

        return types.SimpleNamespace(
            Workbooks=types.SimpleNamespace(Open=opened), Quit=lambda: self.done.append("quit")
        )


@pytest.fixture
def windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeWindows:
    """A Python of python.org in a folder with the libraries that xlwings installs there."""
    import xlwings

    python = tmp_path / "Python" / "python.exe"
    python.parent.mkdir()
    for bits in (32, 64):
        (python.parent / f"xlwings{bits}-{xlwings.__version__}.dll").touch()
    monkeypatch.setattr(sys, "executable", str(python))
    return FakeWindows(tmp_path / "XLSTART")


def test_one_command_installs_the_add_in_with_its_functions(windows: FakeWindows) -> None:
    lines = list(setup.install(windows))
    assert windows.done == ["import into xlfuncs.xlam", "save", "close", "quit"]
    assert (windows.folder / "xlfuncs.xlam").exists()
    assert "type =LG_VERSION() in a cell" in lines[-1]
    assert all(check.passed for check in setup.checks(windows))
    assert list(setup.remove(windows)) == [f"deleted {windows.folder / 'xlfuncs.xlam'}"]
    assert [c.name for c in setup.checks(windows) if not c.passed] == ["add-in"]


def test_without_trust_it_says_what_to_click(windows: FakeWindows) -> None:
    windows.values["AccessVBOM"] = 0
    lines = list(setup.install(windows))
    assert "tick 'Trust access to the VBA project object model'" in lines[-1]
    assert (windows.folder / "xlfuncs.xlam").exists()
    assert not windows.done
    assert [c.name for c in setup.checks(windows) if not c.passed] == ["access to VBA"]


def test_a_policy_of_the_company_counts_before_the_users_own_setting(windows: FakeWindows) -> None:
    windows.values["policy"] = 0
    found = setup.find_excel(windows)
    assert found is not None
    assert not found.trusted


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"CurVer": None}, "Excel was not found.*xlfuncs install calc"),
        ({"open": True}, "Excel is running; close all its windows"),
        ({"python": "C:\\Users\\x\\AppData\\Local\\Microsoft\\WindowsApps\\python.exe"}, "python.org"),
        ({"library": True}, r"xlwings64-.*missing from.*pip install --force-reinstall"),
    ],
)
def test_each_obstacle_is_named_before_anything_is_written(
    windows: FakeWindows, change: dict[str, Any], message: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    windows.open = change.get("open", False)
    if "CurVer" in change:
        windows.values["CurVer"] = None
    if "python" in change:
        monkeypatch.setattr(sys, "executable", change["python"])
    if "library" in change:
        for library in Path(sys.executable).parent.glob("xlwings64*"):
            library.unlink()
    with pytest.raises(XlfuncsError, match=message):
        list(setup.install(windows))
    assert not windows.folder.exists()


def test_excel_is_closed_and_the_way_by_hand_shown_when_it_refuses(windows: FakeWindows) -> None:
    windows.fails = RuntimeError("Programmatic access to Visual Basic Project is not trusted")
    with pytest.raises(XlfuncsError, match=r"not trusted.*Trust Center.*ImportPythonUDFsToAddin"):
        list(setup.install(windows))
    assert windows.done == ["quit"]


def test_an_add_in_of_another_python_is_noticed(
    windows: FakeWindows, monkeypatch: pytest.MonkeyPatch
) -> None:
    list(setup.install(windows))
    monkeypatch.setattr(sys, "executable", str(Path(sys.executable).with_name("other.exe")))
    broken = [check for check in setup.checks(windows) if not check.passed]
    assert [check.name for check in broken] == ["Python of the add-in"]
    assert broken[0].mend == "run 'xlfuncs install excel'"


def test_macros_that_are_off_without_notice_are_noticed(windows: FakeWindows) -> None:
    list(setup.install(windows))
    windows.values["VBAWarnings"] = 4
    assert [check.name for check in setup.checks(windows) if not check.passed] == ["macros"]


def test_elsewhere_the_command_points_to_calc_and_recalculate(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["install", "excel"]) == 2
    text = capsys.readouterr().err
    assert "on Windows only" in text
    assert "xlfuncs install calc" in text
    assert "xlfuncs recalculate" in text
    assert main(["install", "excel", "--in-process"]) == 2
