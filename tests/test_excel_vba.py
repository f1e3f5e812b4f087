"""The VBA module against an Excel made of stand-ins, by an interpreter of VBA.

What LibreOffice has not is looked at here: the caller of a formula, `MacroOptions`, the ribbon, a server that
ends. The two functions of Windows' libraries are replaced by `Machine`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from pyopenvba.exceptions import VBARuntimeError
from pyopenvba.interpreter import (
    EMPTY,
    MISSING,
    HostBridge,
    Interpreter,
    VBAArray,
    VBAErrorValue,
    VBAInt,
    VBAObject,
)

from xlfuncs.hosts.excel import addin
from xlfuncs.worksheet import catalogue

LIBRARIES = """
Private Function LoadLibraryW(ByVal path As String) As Long
    LoadLibraryW = Machine.Load(path)
End Function

Private Function XLPyDLLActivateAuto(found As Variant, command As String, mode As Long) As Long
    If Machine.Starts Then
        Set found = Machine.Activate(command)
    Else
        found = "no Python"
        XLPyDLLActivateAuto = 1
    End If
End Function
"""


def module() -> str:
    """The module without the functions of Windows' libraries."""
    text = addin.module().replace("\r\n", "\n")
    text, cut = re.subn(
        r"(?ms)^#If Win64.*?^#End If\n", 'Private Const LIBRARY As String = "lib.dll"\n', text
    )
    text, declares = re.subn(r"(?m)^Private Declare .*\n", "", text)
    assert (cut, declares, text.count("StrPtr(path)")) == (1, 1, 1)
    return text.replace("StrPtr(path)", "path") + LIBRARIES


class Thing(VBAObject):
    """An object of Excel: members are values, or functions of their arguments."""

    def __init__(self, kind: str, **members: Any) -> None:
        self.vba_type_name = kind
        self.members = {name.lower(): value for name, value in members.items()}

    def vba_get(self, name: str, args: Sequence[Any] = (), named: dict[str, Any] | None = None) -> Any:
        if name.lower() not in self.members:
            raise VBARuntimeError(438, f"{self.vba_type_name} has no member {name}")
        found = self.members[name.lower()]
        if isinstance(found, Callable):  # type: ignore[arg-type]
            found = found(*args, **(named or {}))
        return EMPTY if found is None else found

    def vba_set(
        self,
        name: str,
        value: Any,
        args: Sequence[Any] = (),
        named: dict[str, Any] | None = None,
        *,
        by_ref: bool = False,
    ) -> None:
        if name.lower() not in self.members:
            raise VBARuntimeError(438, f"{self.vba_type_name} has no member {name}")
        self.members[name.lower()] = value


def array(rows: list[list[Any]]) -> VBAArray:
    """An array of two dimensions, as COM hands it over."""
    found = VBAArray([(0, len(rows) - 1), (0, len(rows[0]) - 1)])
    for r, row in enumerate(rows):
        for c, cell in enumerate(row):
            found.set([r, c], cell)
    return found


def flat(values: list[Any]) -> VBAArray:
    """An array of one dimension."""
    found = VBAArray([(0, len(values) - 1)])
    for n, value in enumerate(values):
        found.set([n], value)
    return found


def caller(
    formula: str, formula2: str | None = None, *, cells: int = 1, entered_as_array: bool = False
) -> Thing:
    """The cell of a formula; with `formula2` of an Excel that spills arrays."""
    new = {} if formula2 is None else {"HasSpill": False, "Formula2": formula2}
    count = Thing("Cells", Count=VBAInt(cells))
    return Thing("Range", Cells=count, HasArray=entered_as_array, Formula=formula, **new)


class Excel(HostBridge):
    """An Excel with the add-in, and what was asked of it."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, list[Any]]] = []
        self.answers: list[Any] = []
        self.started: list[str] = []
        self.loaded: list[str] = []
        self.helps: list[tuple[bool, dict[str, Any]]] = []
        self.settings = {"B2": "C:\\Python", "B3": '"C:\\Python\\python.exe" -I'}
        self.help = list(addin.help_rows())
        self.library = 1
        self.starts = True
        self.sheet = Thing("Worksheet", Range=self._setting, Cells=self._help)
        self.addin = Thing(
            "Workbook", Name="xlfuncs.xlam", Worksheets=lambda n: self.sheet, IsAddin=True, Saved=False
        )
        self.application = Thing(
            "Application", Caller=caller("=X()"), MacroOptions=self._macro_options, ScreenUpdating=True
        )
        self.machine = Thing("Machine", Load=self._load, Activate=self._activate, Starts=lambda: self.starts)
        self.others: dict[str, Any] = {}
        self.vba = Interpreter(self)
        self.vba.add_module(module())

    def global_object(self, name: str) -> Any:
        known = {"application": self.application, "thisworkbook": self.addin, "machine": self.machine}
        return {**known, **self.others}.get(name) or super().global_object(name)

    def _setting(self, place: str) -> Thing:
        return Thing("Range", Value=self.settings[place])

    def _help(self, row: int, column: int) -> Thing:
        value = self.help[int(row) - 6][int(column) - 1]
        return Thing("Range", Value=VBAInt(value) if isinstance(value, int) else value)

    def _macro_options(self, **options: Any) -> None:
        self.helps.append((self.addin.members["isaddin"], options))

    def _load(self, path: str) -> Any:
        self.loaded.append(path)
        return VBAInt(self.library)

    def _activate(self, command: str) -> Thing:
        self.started.append(command)
        return Thing("Server", CallUDF=self._call)

    def _call(self, script: str, what: str, cells: VBAArray) -> Any:
        self.calls.append((what, list(cells.items)))
        found = self.answers.pop(0)
        if isinstance(found, Exception):
            raise found
        return found

    def run(self, name: str, *arguments: Any) -> Any:
        """The value of a function of the module."""
        return self.vba.run(name, arguments)


@pytest.fixture
def excel() -> Excel:
    return Excel()


def test_python_is_started_once_by_what_stands_in_the_add_in(excel: Excel) -> None:
    excel.answers = [167.7, 168.9]
    assert excel.run("LG_IMMERSION", 280.0, 50.0, 200.0, 850.0) == 167.7
    assert excel.run("LG_IMMERSION", 281.0, 50.0, 200.0, 850.0) == 168.9
    assert excel.loaded == ["C:\\Python\\lib.dll"]
    assert excel.started == ['"C:\\Python\\python.exe" -I']
    assert excel.calls[0] == ("answer", ["LG_IMMERSION", 280.0, 50.0, 200.0, 850.0, EMPTY, EMPTY, EMPTY])


def test_an_integer_becomes_the_error_value_of_that_number(excel: Excel) -> None:
    rows = array([[1.0, VBAInt(2042)], ["text", True]])
    excel.answers = [VBAInt(2042), rows, flat([2.0, VBAInt(2036)])]
    assert excel.run("LG_VERSION") == VBAErrorValue(2042)
    excel.application.members["caller"] = caller("=SUM(LG_CALIBRATION_TABLE(0,1000,3))")
    found = excel.run("LG_CALIBRATION_TABLE", 0.0, 1000.0, 3.0)
    assert [found.get([0, 0]), found.get([0, 1]), found.get([1, 0])] == [1.0, VBAErrorValue(2042), "text"]
    row = excel.run("LG_DENSITY_WINDOW", 280.0, 50.0, 200.0, 150.0, 10.0)
    assert row.items == [2.0, VBAErrorValue(2036)]


def test_a_server_that_has_ended_is_started_anew_once(excel: Excel) -> None:
    gone = VBARuntimeError(-2147023174, "The RPC server is unavailable")
    excel.answers = [1.0, gone, 2.0, gone, gone]
    assert excel.run("LG_VERSION") == 1.0
    assert excel.run("LG_VERSION") == 2.0
    assert len(excel.started) == 2
    assert excel.run("LG_VERSION") == VBAErrorValue(2015)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"library": 0}, "C:\\Python\\lib.dll could not be loaded; run 'xlfuncs doctor'"),
        ({"starts": False}, "Python did not start; run 'xlfuncs doctor'; no Python"),
    ],
)
def test_without_python_each_function_refuses_and_the_reason_says_why(
    excel: Excel, change: dict[str, Any], reason: str
) -> None:
    for name, value in change.items():
        setattr(excel, name, value)
    assert excel.run("LG_IMMERSION", 280.0, 50.0, 200.0, 850.0) == VBAErrorValue(2015)
    assert excel.run("LG_REASON", "LG_IMMERSION", 280.0) == reason
    assert not excel.calls


def test_an_argument_of_several_areas_is_refused(excel: Excel) -> None:
    areas = Thing("Range", Areas=Thing("Areas", Count=VBAInt(2)))
    assert excel.run("LG_IMMERSION", areas, 50.0, 200.0, 850.0) == VBAErrorValue(2015)
    found = excel.run("LG_REASON", "LG_IMMERSION", areas)
    assert found == "an argument has several areas; give one range"


TWO_ROWS = [[1.0], [2.0]]
PLAIN = "=LG_IMMERSION(A1:A2,50,200,850)"


@pytest.mark.parametrize(
    ("place", "refused"),
    [
        (caller(PLAIN), True),  # Excel 2016 and 2019 would show the first result
        (caller("=1+lg_immersion(A1:A2,50,200,850)"), True),
        (caller("='C:\\x\\xlfuncs.xlam'!LG_IMMERSION(A1:A2,50,200,850)"), True),
        (caller("=SUM(LG_IMMERSION(A1:A2,50,200,850))"), False),
        (caller(PLAIN, entered_as_array=True), False),
        (caller(PLAIN, cells=2), False),
        (caller(PLAIN, PLAIN), False),  # it spills
        (caller(PLAIN, "=@LG_IMMERSION(A1:A2,50,200,850)"), True),
        (caller(PLAIN, "=@INDEX(LG_IMMERSION(A1:A2,50,200,850),2)"), False),
        (VBAErrorValue(2023), False),  # called by a macro
    ],
)
def test_one_cell_never_shows_the_first_of_many_results(excel: Excel, place: Any, refused: bool) -> None:
    excel.application.members["caller"] = place
    excel.answers = [array(TWO_ROWS)]
    found = excel.run("LG_IMMERSION", MISSING, 50.0, 200.0, 850.0)
    if refused:
        assert found == VBAErrorValue(2015)
    else:
        assert found.items == [1.0, 2.0]


def test_the_reason_says_why_one_cell_shows_an_error(excel: Excel) -> None:
    excel.application.members["caller"] = caller('=LG_REASON("LG_IMMERSION",A1:A2,50,200,850)')
    excel.answers = [array([[""], [""]])]
    found = excel.run("LG_REASON", "LG_IMMERSION", MISSING)
    assert found == "many results for one cell: enter it with Ctrl+Shift+Enter, without @"


def test_an_argument_left_out_is_blank_wherever_it_stands(excel: Excel) -> None:
    excel.answers = [VBAInt(2042)] * 2
    assert excel.run("LG_FLOAT_COLLAPSE", 50.0, MISSING, 200.0, "316L") == VBAErrorValue(2042)
    assert excel.calls[0][1][:5] == ["LG_FLOAT_COLLAPSE", 50.0, EMPTY, 200.0, "316L"]
    assert excel.run("LG_IMMERSION") == VBAErrorValue(2042)
    assert excel.calls[1][1] == ["LG_IMMERSION", *[EMPTY] * 7]


def test_one_result_is_shown_wherever_it_stands(excel: Excel) -> None:
    excel.application.members["caller"] = caller(PLAIN)
    excel.answers = [1.0, flat([1.0, 2.0])]
    assert excel.run("LG_IMMERSION", 280.0, 50.0, 200.0, 850.0) == 1.0
    assert excel.run("LG_DENSITY_WINDOW", 280.0, 50.0, 200.0, 150.0, 10.0).items == [1.0, 2.0]


def test_each_function_gets_its_help_while_the_add_in_is_visible(excel: Excel) -> None:
    excel.run("LG_Describe")
    assert [options["Macro"] for _, options in excel.helps] == [
        f"'xlfuncs.xlam'!{name}" for name in catalogue()
    ]
    assert not any(hidden for hidden, _ in excel.helps)
    for (_, options), row in zip(excel.helps, excel.help, strict=True):
        assert (options["Category"], options["Description"]) == (row[1], row[2])
        given = options.get("ArgumentDescriptions")
        assert (given.items if given else []) == row[4:]
    assert excel.addin.members["isaddin"] is True
    assert excel.addin.members["saved"] is True


def test_a_help_that_excel_does_not_take_is_left_out(excel: Excel) -> None:
    def refuse(**options: Any) -> None:
        raise VBARuntimeError(1004, "Cannot edit a macro on a hidden workbook")

    excel.application.members["macrooptions"] = refuse
    excel.run("LG_Describe")
    assert excel.addin.members["isaddin"] is True


# --- ribbon ---------------------------------------------------------------------------------------------


class Opened:
    """A workbook open in an Excel, and what the ribbon did with it."""

    def __init__(self, excel: Excel, path: str = "C:\\jobs", saved: bool = True) -> None:
        self.excel, self.done = excel, list[tuple[Any, ...]]()
        self.chosen = ""
        cell = Thing("Range", Address=lambda *plain: "B14" if plain else "$B$14")
        sheets = Thing("Sheet", Activate=lambda: self.done.append(("activate", self.chosen)))

        def choose(name: str) -> Thing:
            self.chosen = name
            return sheets

        self.book = Thing(
            "Workbook", Name="Index.xlsx", Path=path, Saved=saved, SaveCopyAs=self.note("copy"), Sheets=choose
        )
        self.texts: dict[int, Any] = {}
        new = Thing("Worksheet", Columns=self.column, Cells=self.cell)
        excel.others = {
            "activeworkbook": self.book,
            "activesheet": Thing("Worksheet", Name="LI Index"),
            "activecell": cell,
            "selection": Thing("Range", Address="$A$14:$C$16"),
            "workbooks": Thing("Workbooks", Add=lambda *file: self.add(new, *file)),
        }
        excel.application.members |= {
            "cursor": None,
            "statusbar": None,
            "dialogs": lambda number: Thing("Dialog", Show=lambda: self.done.append(("dialog", int(number)))),
            "getsaveasfilename": lambda *_: "C:\\jobs\\kept.xlsx",
        }

    def note(self, what: str) -> Callable[[Any], None]:
        return lambda value: self.done.append((what, value))

    def column(self, number: int) -> Thing:
        return Thing("Range", NumberFormat="", Font=Thing("Font", Name=""))

    def cell(self, row: int, column: int) -> Thing:
        self.texts[int(row)] = found = Thing("Range", Value="")
        return found

    def add(self, sheet: Thing, *file: str) -> Thing:
        self.done.append(("open", *file) if file else ("new", ""))
        return Thing("Workbook", Worksheets=lambda n: sheet)

    def press(self, tag: str, *answers: Any) -> list[str]:
        """What is said after a button was pressed."""
        self.excel.answers = list(answers)
        self.excel.run("LG_Ribbon", Thing("Control", Tag=tag))
        return [str(dialog[1]) for dialog in self.excel.vba.dialogs]


def test_a_button_hands_python_a_copy_and_opens_what_it_gives(excel: Excel) -> None:
    opened = Opened(excel)
    found = flat(["3 errors.", "C:\\temp\\Index - audited.xlsx", "Findings", "Index - audited", ""])
    assert opened.press("audit", "C:\\temp\\Index.xlsx", found) == ["3 errors."]
    assert opened.done == [
        ("copy", "C:\\temp\\Index.xlsx"),
        ("open", "C:\\temp\\Index - audited.xlsx"),
        ("activate", "Findings"),
    ]
    assert excel.calls == [
        ("copy_for", ["Index.xlsx"]),
        (
            "act",
            ["audit", "C:\\temp\\Index.xlsx", "Index.xlsx", "saved", "LI Index", "B14", "$A$14:$C$16", ""],
        ),
    ]


@pytest.mark.parametrize(
    ("path", "saved", "state"),
    [("C:\\x", True, "saved"), ("C:\\x", False, "changed"), ("", True, "unsaved"), ("", False, "unsaved")],
)
def test_python_is_told_whether_the_workbook_was_saved(
    excel: Excel, path: str, saved: bool, state: str
) -> None:
    opened = Opened(excel, path, saved)
    opened.press("reading", "copy.xlsx", flat(["", "", "", "", ""]))
    assert excel.calls[1][1][3] == state


def test_a_text_is_shown_in_a_workbook_of_its_own(excel: Excel) -> None:
    opened = Opened(excel)
    assert opened.press("explain", "copy.xlsx", flat(["", "", "", "Index!B14", "one\ntwo"])) == []
    assert [opened.texts[row].members["value"] for row in sorted(opened.texts)] == [
        "Index!B14",
        "",
        "one",
        "two",
    ]


def test_keeping_results_asks_where_to_and_can_be_left(excel: Excel) -> None:
    opened = Opened(excel)
    opened.press("keep", "copy.xlsx", flat(["Written.", "", "", "", ""]))
    assert excel.calls[1][1][-1] == "C:\\jobs\\kept.xlsx"
    excel.calls.clear()
    excel.application.members["getsaveasfilename"] = lambda *_: False
    opened.press("keep")
    assert not excel.calls


def test_insert_function_is_excels_own_dialog(excel: Excel) -> None:
    opened = Opened(excel)
    opened.press("insert")
    assert opened.done == [("dialog", 450)]
    assert not excel.calls


def test_what_goes_wrong_is_said(excel: Excel) -> None:
    opened = Opened(excel)
    excel.library = 0
    assert opened.press("audit") == ["C:\\Python\\lib.dll could not be loaded; run 'xlfuncs doctor'"]
    assert excel.application.members["statusbar"] is False
