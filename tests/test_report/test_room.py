"""The numbers of findings in the annotated copy hide no value."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from typing import Any

import openpyxl
import pytest
from openpyxl.styles import Alignment
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.report._room import HEIGHT, Looks, Room, Spot
from xlfuncs.spreadsheet.splice import Splice

BOX = 13
"""Pixels of a box with one digit."""


def page_of(book: openpyxl.Workbook, tmp_path: Any) -> tuple[Splice, Splice]:
    book.save(tmp_path / "a.xlsx")
    with zipfile.ZipFile(tmp_path / "a.xlsx") as package:
        sheet, styles = package.read("xl/worksheets/sheet1.xml"), package.read("xl/styles.xml")
    return Splice(sheet, depth=1), Splice(styles)


@pytest.fixture
def sheet() -> Worksheet:
    page = openpyxl.Workbook().active
    assert page is not None
    for column, width in zip("ABCDE", (9, 8, 8, 8, 9), strict=True):
        page.column_dimensions[column].width = width
    return page


def spots(sheet: Worksheet, tmp_path: Any, *cells: str) -> Mapping[str, Spot]:
    book = sheet.parent
    assert book is not None
    page, styles = page_of(book, tmp_path)
    room = Room(page, Looks(styles), lambda cell: sheet[cell].value, cells)
    return {cell: room.spot(cell, BOX) for cell in cells}


def test_a_short_number_leaves_room_at_its_left_and_a_text_at_its_right(
    sheet: Worksheet, tmp_path: Any
) -> None:
    sheet["B2"], sheet["C2"] = 870, "316L"
    found = spots(sheet, tmp_path, "B2", "C2")
    assert found["B2"] == Spot(1, 0, 1, 0)
    assert found["C2"].column == 2 and found["C2"].left == 8 * 7 + 5 - BOX


def test_what_the_format_shows_decides(sheet: Worksheet, tmp_path: Any) -> None:
    """862 in a format of three decimals leaves no room, and the blank cell beside it does."""
    sheet["B2"], sheet["C2"], sheet["D2"] = 862, 862, 862
    sheet["C2"].number_format = "0.00000"
    found = spots(sheet, tmp_path, "B2", "C2")
    assert found["B2"].column == 1
    assert found["C2"].column == 3 and found["C2"].left == 0  # in D, left of its own number


@pytest.mark.parametrize(("text", "column"), [("", 0), ("oil", 0), ("a long name", 1)])
def test_a_neighbour_has_room_where_it_is_blank_or_short(
    text: str, column: int, sheet: Worksheet, tmp_path: Any
) -> None:
    sheet["A2"], sheet["B2"], sheet["C2"] = text or None, 12345678, 12345678
    assert spots(sheet, tmp_path, "B2")["B2"].column == column


def test_text_that_runs_over_blank_cells_is_not_covered(sheet: Worksheet, tmp_path: Any) -> None:
    sheet["A2"], sheet["C2"], sheet["D2"] = "a service of many words", 12345678, 12345678
    found = spots(sheet, tmp_path, "C2")["C2"]
    assert found.between and found.row == 0


def test_without_any_room_a_number_stands_over_the_border_of_the_rows(
    sheet: Worksheet, tmp_path: Any
) -> None:
    for column in "ABCDE":
        sheet[f"{column}2"] = 1234567890
    sheet.row_dimensions[1].height = 15
    found = spots(sheet, tmp_path, "B2")["B2"]
    assert found.between and (found.row, found.top) == (0, 15)


def test_two_numbers_never_take_one_place(sheet: Worksheet, tmp_path: Any) -> None:
    sheet["A2"], sheet["C2"], sheet["D2"], sheet["E2"] = 12345678, 12345678, 12345678, 12345678
    sheet["B3"], sheet["C3"] = "steel", 12345678
    found = spots(sheet, tmp_path, "A2", "C2", "B3", "C3")
    places = [(spot.column, spot.left, spot.row, spot.top) for spot in found.values()]
    assert len(set(places)) == 4
    assert found["C3"].column == 3 and found["C2"].between


def test_a_tall_row_has_room_above_its_words(sheet: Worksheet, tmp_path: Any) -> None:
    sheet["B2"] = "Pressure"
    sheet["B2"].alignment = Alignment(vertical="bottom")
    sheet.row_dimensions[2].height = (19 + HEIGHT) * 0.75
    assert spots(sheet, tmp_path, "B2")["B2"] == Spot(1, 0, 1, 0)
    sheet["B2"].alignment = Alignment(vertical="top")
    assert spots(sheet, tmp_path, "B2")["B2"].column != 1 or spots(sheet, tmp_path, "B2")["B2"].between


def test_a_merged_neighbour_gives_no_room(sheet: Worksheet, tmp_path: Any) -> None:
    sheet["C2"], sheet["D2"] = 12345678, 12345678
    sheet.merge_cells("A2:B2")
    assert spots(sheet, tmp_path, "C2")["C2"].between
