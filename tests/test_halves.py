"""A long worksheet parsed in two halves: the same cells as when it is parsed whole, or not cut at all."""

from __future__ import annotations

import os
import random
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.generator.layouts import build, choose
from tests.generator.style import draw
from tests.test_reader import MUTATED, NS, packed, sheet_xml, sound, spoil, tiny, unpacked
from xlfuncs.spreadsheet import halves, ooxml, opening
from xlfuncs.spreadsheet.compiled import Meanwhile, calamine_grids
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.package import Package

MOST = 1_000_000
SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture(autouse=True)
def every_sheet_is_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(halves, "SHORTEST", 0)
    monkeypatch.setattr(ooxml, "PIECE", 1500)


def _cells(grid: Grid) -> dict[tuple[int, int], Any]:
    return {(row, col): (type(value), value) for row, col, value in grid.filled()}


def _whole(path: Path, name: str) -> Grid:
    """As the ordinary way gives it."""
    with Package(path) as package:
        others = set(package.worksheets) - {name}
        ((_, found),) = ooxml.scan_all(package, others).items()
    (grid,) = (grid for grid in calamine_grids(path, without=others) if grid.sheet == name)
    found.put_into(grid)
    return grid


def _cut(path: Path, most: int = MOST) -> dict[str, Grid]:
    """Sheets read in halves, each compared with the whole one."""
    with Package(path) as package:
        found = halves.read_halves(package, most, Meanwhile())
    for name, grid in found.items():
        other = _whole(path, name)
        assert _cells(grid) == _cells(other)
        for what in ("hidden", "hidden_rows", "hidden_cols", "struck", "uncalculated", "has_formulas"):
            assert getattr(grid, what) == getattr(other, what), what
        assert sorted(grid.merges) == sorted(other.merges)
    return found


def test_layouts_as_contractors_make_them(tmp_path: Path) -> None:
    cut = 0
    for number in range(40):
        style = draw(number)
        if style.writer != "libreoffice" and style.suffix in (".xlsx", ".xlsm"):
            cut += len(_cut(build(tmp_path, style, choose(style, 10)).path))
    assert cut > 10


VALUES = st.one_of(st.none(), st.integers(-5, 5000), st.floats(-1e6, 1e6), st.text("abc LG-19", max_size=9))


@given(
    st.lists(st.lists(VALUES, max_size=6), min_size=1, max_size=30),
    st.integers(1, 1000),
    st.sampled_from(["", '<mergeCells><mergeCell ref="A2:B3"/></mergeCells>']),
)
def test_any_rows(tmp_path_factory: pytest.TempPathFactory, rows: Any, first: int, after: str) -> None:
    _cut(tiny(tmp_path_factory.mktemp("any") / "s.xlsx", sheet_xml(rows, after, first)))


LONG = [[f"LG-{number}", "Water", number + 0.5] for number in range(40)]


def _with(old: str, new: str) -> str:
    return sheet_xml(LONG).replace(old, new, 1)


def test_a_plain_list_is_cut(tmp_path: Path) -> None:
    book = tiny(tmp_path / "s.xlsx", sheet_xml(LONG), sheet_xml([["x"]]), sheet_xml(LONG[::-1]))
    assert list(_cut(book)) == ["sheet1", "sheet3"]
    assert [grid.sheet for grid in opening.open_grids(book)] == ["sheet1", "sheet2", "sheet3"]
    assert len(opening.open_grids(book)[2].rows) == 40


def test_columns_of_the_lower_half_may_lie_elsewhere(tmp_path: Path) -> None:
    rows = [[None, "a", 1.5]] * 30 + [["z", None, None, "further right"]] * 30
    (grid,) = _cut(tiny(tmp_path / "s.xlsx", sheet_xml(rows))).values()
    assert grid.value(60, 1) == "z"
    assert grid.value(60, 4) == "further right"


@pytest.mark.parametrize(
    "xml",
    [
        pytest.param(_with('<row r="9">', "<!-- <row r='9'> --><row r='9'>"), id="comment"),
        pytest.param(_with("<t>LG-30</t>", "<t><![CDATA[<row r='3'>]]></t>"), id="character data"),
        pytest.param(_with('<row r="30">', "<?x <row r='30'> ?><row r='30'>"), id="instruction"),
        pytest.param(_with('<row r="35">', '<row r="2">').replace("35", "2"), id="rows out of order"),
        pytest.param(
            _with("</worksheet>", f"{sheet_xml(LONG).split('>', 1)[1].split('</worksheet')[0]}</worksheet>"),
            id="two lists",
        ),
        pytest.param(sheet_xml(LONG).replace(' r="', ' q="'), id="rows without numbers"),
        pytest.param(_with("</row></sheetData>", "</row>"), id="no end"),
        pytest.param(f"<worksheet {NS}><sheetData/></worksheet>", id="no rows"),
        pytest.param(
            _with("<sheetData>", "<cols>" + 60 * '<col min="1" max="2"/>' + "</cols><sheetData>"),
            id="long beginning",
        ),
    ],
)
def test_what_is_not_cut(tmp_path: Path, xml: str) -> None:
    try:
        assert _cut(tiny(tmp_path / "s.xlsx", xml)) == {}
    except AssertionError:
        raise
    except BaseException:
        pass  # broken XML: the caller takes any exception for a sheet that stays whole


def test_no_sheet_is_parsed_that_reaches_too_far(tmp_path: Path) -> None:
    far = sheet_xml(LONG).replace("</sheetData>", '<row r="9000"><c r="A9000"><v>1</v></c></row></sheetData>')
    assert _cut(tiny(tmp_path / "s.xlsx", far), 52 * 9000)
    assert _cut(tiny(tmp_path / "s.xlsx", far), 52 * 9000 - 1) == {}
    wide = sheet_xml(LONG).replace('r="C3"', 'r="XFD3"')
    assert _cut(tiny(tmp_path / "s.xlsx", wide), 16384 * 39) == {}


MERGED = '<mergeCells count="2"><mergeCell ref="A2:B3"/><mergeCell ref="A30:A33"/></mergeCells>'


@pytest.mark.parametrize("after", [MERGED, "<mergeCells/>", "<mergeCells></mergeCells>"])
@pytest.mark.parametrize("prefix", ["", "x:"])
def test_merged_ranges(tmp_path: Path, after: str, prefix: str) -> None:
    whole_columns = '<dataValidations><dataValidation sqref="A2:A1048576"/></dataValidations>'
    xml = sheet_xml(LONG, after + whole_columns)
    if prefix:
        xml = re.sub(r"<(/?)(?=\w)", r"<\1x:", xml).replace(" xmlns=", " xmlns:x=")
    (grid,) = _cut(tiny(tmp_path / "s.xlsx", xml)).values()
    assert len(grid.merges) == after.count("mergeCell ")


def test_details_of_both_halves(tmp_path: Path) -> None:
    xml = sheet_xml(LONG).replace('<row r="3">', '<row r="3" hidden="1">')
    xml = xml.replace('<row r="38">', '<row hidden="true" r="38">')
    xml = xml.replace('<c r="C36"><v>35.5</v>', '<c r="C36" t="e"><v>#REF!</v>')
    xml = xml.replace('<c r="C2"><v>1.5</v>', '<c r="C2"><f>1+1</f>')
    (grid,) = _cut(tiny(tmp_path / "s.xlsx", xml)).values()
    assert grid.hidden_rows == {3, 38}
    assert grid.value(36, 3) == "#REF!"
    assert grid.uncalculated == {(2, 3)}


def test_a_file_without_room_in_memory_is_read_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tiny(tmp_path / "s.xlsx", sheet_xml(LONG))
    monkeypatch.setattr(os, "memfd_create", lambda name: (_ for _ in ()).throw(OSError("no memory")))
    assert len(opening.open_grids(path)[0].rows) == 40


@MUTATED
@given(seed=st.integers(0, 2**32))
def test_spoilt_sheets(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    chance = random.Random(seed)
    path = tiny(tmp_path_factory.mktemp("spoilt") / "s.xlsx", sheet_xml(LONG), sheet_xml(LONG))
    parts: dict[str, Any] = unpacked(path)
    parts[SHEET] = bytearray(parts[SHEET])
    spoil(parts[SHEET], chance)
    packed(path, parts)
    try:
        with Package(path) as package:
            found = halves.read_halves(package, MOST, Meanwhile())
        whole = {name: _whole(path, name) for name in found}
    except Exception:  # broken XML
        return
    for name, grid in found.items():
        assert _cells(grid) == _cells(whole[name])


def test_a_sound_workbook_with_styles_and_shared_strings(tmp_path: Path) -> None:
    assert _cut(sound(tmp_path / "index.xlsx")).keys() <= {"Index"}
