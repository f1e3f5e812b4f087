"""The VBA module, run by LibreOffice's VBA support, with calls that go through xlwings' own server.

Replaced is what LibreOffice has not: the library of Windows behind `Connected`, `Value2`, `CVErr` (an error
is the text 'error 2042' here), and arrays of two dimensions across its bridge.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from pyopenvba import ExcelFile

from tests.calc_office import CalcOffice, SharedOffice
from xlfuncs.hosts.excel import addin
from xlfuncs.worksheet import call

pytestmark = pytest.mark.calc
HERE = Path(__file__).parent

CONNECTED = """\
Private Function Connected() As Object
    Dim loader, factory
    If server Is Nothing Then
        loader = CreateUnoService("com.sun.star.loader.Python")
        factory = loader.activate("xlfuncs.excel.StandIn", "", "@FILE@", Nothing)
        server = factory.createInstanceWithArgumentsAndContext(Array("@COMMAND@"), GetDefaultContext())
    End If
    Set Connected = server
End Function

Private Function Square(ByVal found As Variant) As Variant
    Dim r As Long, c As Long, made() As Variant
    Square = found
    If Not IsArray(found) Then Exit Function
    If Not IsArray(found(0)) Then Exit Function
    ReDim made(0 To UBound(found), 0 To UBound(found(0)))
    For r = 0 To UBound(found)
        For c = 0 To UBound(found(0))
            made(r, c) = found(r)(c)
        Next
    Next
    Square = made
End Function

Private Function Refused(ByVal number As Variant) As Variant
    Refused = "error " & number
End Function

"""
TRUSTED = """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Common/Security/Scripting">
<prop oor:name="MacroSecurityLevel" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def runnable() -> str:
    """The module as LibreOffice can run it."""
    text = addin.module().replace("\r\n", "\n")
    text, cut = re.subn(r"(?ms)^#If Win64.*?^#End If\n", "", text)
    text, declares = re.subn(r"(?m)^Private Declare .*\n", "", text)
    text, connected = re.subn(r"(?ms)^Private Function Connected.*?^End Function\n", "", text)
    assert (cut, declares, connected) == (1, 1, 1)
    command = json.dumps([sys.executable, "-I", str(HERE / "excel_stand_in.py")]).replace('"', '""')
    file = (HERE / "excel_in_calc.py").as_uri()
    ours = CONNECTED.replace("@FILE@", file).replace("@COMMAND@", command)
    for old, new in (
        ("Asked = Connected().CallUDF(PYTHON_MODULE, (what), (cells))", None),
        (".Value2", ".Value"),
        ("CVErr(", "Refused("),
        ("' --- a call from a cell", f"{ours}' --- a call from a cell"),
    ):
        assert old in text
        text = text.replace(old, new or f"Asked = Square({old.removeprefix('Asked = ')})")
    return text.replace("\n", "\r\n")


@pytest.fixture(scope="module")
def offices(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SharedOffice]:
    folder = tmp_path_factory.mktemp("vba")
    (folder / "profile" / "user").mkdir(parents=True)
    (folder / "profile" / "user" / "registrymodifications.xcu").write_text(TRUSTED)
    with ExcelFile.create_new(folder / "book.xlsm") as book:
        project = book.vba_project()
        project.delete_module("Module1")
        project.add_module(addin.MODULE, runnable())
        book.save()
    with SharedOffice(lambda: opened(folder)) as shared:
        yield shared


@contextmanager
def opened(folder: Path) -> Iterator[CalcOffice]:
    with CalcOffice(folder / "profile") as office:
        office.do("open", path=str(folder / "book.xlsm"))
        office.do("fill", cell="A1", rows=[[280.0], [290.0], [300.0]])
        office.do("formulas", cells={"B1": '="0.85 SG"', "B3": "=1/0"})
        yield office


@pytest.fixture
def calc(offices: SharedOffice) -> CalcOffice:
    """A LibreOffice with a workbook that holds the module."""
    return offices.running()


def value(calc: CalcOffice, formula: str) -> Any:
    """What a formula gives."""
    calc.do("formulas", cells={"Z1": formula})
    return calc.read("Z1")[0][0]


def test_numbers_texts_and_cells_reach_python(calc: CalcOffice) -> None:
    assert value(calc, "=LG_IMMERSION(280;50;200;850)") == pytest.approx(
        call("LG_IMMERSION", 280, 50, 200, 850)
    )
    assert value(calc, "=LG_IMMERSION(A2;50;200;B1)") == pytest.approx(
        call("LG_IMMERSION", 290, 50, 200, "0.85 SG")
    )
    assert value(calc, "=LG_VERSION()") == call("LG_VERSION")


def test_a_blank_cell_is_blank_and_a_refusal_an_error(calc: CalcOffice) -> None:
    assert value(calc, "=LG_IMMERSION(C1;50;200;850)") == "error 2042"
    assert value(calc, "=LG_IMMERSION(-1;50;200;850)") == "error 2015"
    assert value(calc, "=LG_IMMERSION(400;50;200;850)") == "error 2036"
    assert value(calc, '=LG_REASON("LG_IMMERSION";400;50;200;850)') == call(
        "LG_REASON", "LG_IMMERSION", 400, 50, 200, 850
    )


def test_ranges_give_arrays(calc: CalcOffice) -> None:
    calc.do("array", range="E1:E3", formula="=LG_IMMERSION(A1:A3;50;200;850)")
    expected = call("LG_IMMERSION", [[280], [290], [300]], 50, 200, 850)
    assert calc.read("E1:E3") == pytest.approx(expected)
    calc.do("array", range="F1:G1", formula="=LG_DENSITY_WINDOW(280;50;200;150;10)")
    assert calc.read("F1:G1")[0] == pytest.approx(call("LG_DENSITY_WINDOW", 280, 50, 200, 150, 10))
    calc.do("array", range="H1:L5", formula="=LG_CALIBRATION_TABLE(0;1000;3)")
    assert calc.read("H1:L4") == [list(row) for row in call("LG_CALIBRATION_TABLE", 0, 1000, 3)]


def test_a_refused_element_is_an_error_among_results(calc: CalcOffice) -> None:
    calc.do("array", range="N1:N5", formula="=LG_IMMERSION(A1:A5;50;200;850)")
    assert [row[0] for row in calc.read("N4:N5")] == ["error 2042"] * 2


@pytest.mark.parametrize("area", ["A:A", "A1:A1048576"])
def test_a_whole_column_ends_where_its_last_value_does(calc: CalcOffice, area: str) -> None:
    calc.do("fill", cell="M40", rows=[["elsewhere"]])  # the used range goes further down than the argument
    expected = call("LG_IMMERSION", [[280], [290], [300]], 50, 200, 850)
    assert value(calc, f"=ROWS(LG_IMMERSION({area};50;200;850))") == 3
    assert value(calc, f"=SUM(LG_IMMERSION({area};50;200;850))") == pytest.approx(expected.sum())


def test_a_whole_column_from_a_row_on_keeps_its_first_row(calc: CalcOffice) -> None:
    assert value(calc, "=ROWS(LG_IMMERSION(A2:A1048576;50;200;850))") == 2
    assert value(calc, "=INDEX(LG_IMMERSION(A2:A1048576;50;200;850);1;1)") == pytest.approx(
        call("LG_IMMERSION", 290, 50, 200, 850)
    )


def test_whole_columns_of_different_length_are_cut_alike(calc: CalcOffice) -> None:
    calc.do("fill", cell="O1", rows=[[850.0], [860.0]])
    assert value(calc, "=ROWS(LG_IMMERSION(A:A;50;200;O:O))") == 3


def test_a_range_that_does_not_reach_the_end_is_taken_as_it_is(calc: CalcOffice) -> None:
    assert value(calc, "=ROWS(LG_IMMERSION(A1:A9;50;200;850))") == 9


def test_an_empty_column_is_one_blank_cell(calc: CalcOffice) -> None:
    assert value(calc, "=LG_IMMERSION(Q:Q;50;200;850)") == "error 2042"
