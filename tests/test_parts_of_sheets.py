"""Exports of points, lists beside or above each other, notes, and sheets beyond a size, in memory."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.test_heads_and_rows import sheet
from tests.test_shapes_in_memory import BILL, EXPLAINED, NAMES, PAIRS
from xlfuncs.lists import abreast, bill, headed, keyed, legend, own, points
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.lists.pieces import pieces
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.upright import Records
from xlfuncs.spreadsheet.grid import Grid

Rows = list[list[Any]]

# --- an export of points ---------------------------------------------------------------------------------

HEADS = ["TAGNAME", "DESC", "PVEULO", "PVEUHI"]
POINTS: Rows = [["LT-1", "drum", 0, 1000], ["LT-2", "drum", 0, 900], ["blue", "x", 0, 1]]


def exported(rows: Rows) -> list[Records]:
    return list(points.records_of(sheet(rows)))


def test_an_export_has_a_tag_and_both_ends_of_a_range_among_four_parameters() -> None:
    (found,) = exported([HEADS, *POINTS])
    assert [one.known for one in found.properties] == ["tag", "service", "lrv", "urv"]
    assert [record.cells[3].value for record in found.records] == [1000, 900]
    assert exported([HEADS[:1] + HEADS[2:], *([row[0], *row[2:]] for row in POINTS)]) == []
    assert exported([[*HEADS[:3], "ZORK"], *POINTS]) == []
    assert exported([["ZORK", *HEADS[1:]], *POINTS]) == []
    assert exported([[*HEADS, "DESC"], *([*row, "x"] for row in POINTS)]) == []


@pytest.mark.parametrize(("above", "found"), [(29, True), (30, False), (32, False)])
def test_its_headings_stand_in_the_first_thirty_rows(above: int, found: bool) -> None:
    assert bool(exported([["x"]] * above + [HEADS, *POINTS])) is found


def test_of_two_names_of_a_point_the_transmitters_tag_counts() -> None:
    device = [["P-1001", *POINTS[0]], ["P-1002", *POINTS[1]]]
    (found,) = exported([["TAGNAME", *HEADS], *device])
    assert [record.cells[0].value for record in found.records] == ["LT-1", "LT-2"]


@pytest.mark.parametrize(("above", "ends"), [("Range", {"lrv", "urv"}), ("Alarm", set())])
def test_low_and_high_are_ends_of_a_range_below_a_heading_that_says_so(above: str, ends: set[str]) -> None:
    heads = ["TAGNAME", "DESC", "EU", "LO", "HI"]
    rows: Rows = [["LT-1", "drum", "MM", 0, 1000], ["LT-2", "drum", "MM", 0, 900], ["", "", "", "", "Range"]]
    found = exported([["", "", "", above], heads, *rows])
    assert {one.known for each in found for one in each.properties} & {"lrv", "urv"} == ends
    assert exported([heads, *rows]) == []


def test_the_unit_of_a_point_is_that_of_its_numbers() -> None:
    (found,) = exported([[*HEADS, "EU"], *([*row, "MM"] for row in POINTS)])
    assert [one.known for one in found.properties] == ["tag", "service", "lrv", "urv"]
    assert found.records[0].units == dict.fromkeys(range(4), "mm")
    (found,) = exported([HEADS, *POINTS])
    assert found.records[0].units == dict.fromkeys(range(4), "")


def test_it_counts_by_its_worth_where_it_has_tags_of_gauges() -> None:
    (plain,) = exported([HEADS, *POINTS])
    (gauges,) = exported([HEADS, *POINTS, ["LG-1", "drum", 0, 800]])
    assert (plain.least, gauges.least) == (0.5, 1.0)


# --- lists beside each other, and labels above a list ----------------------------------------------------

INDEX = ["Tag", "Fluid", "Density kg/m3", "Design pressure barg"]
FLOATS = ["Float part no.", "Float mass g", "Float diameter mm", "Float length mm"]


def gauges(count: int, start: int = 1) -> Rows:
    return [[f"LG-{n}", "Oil", 850 + n, 10] for n in range(start, start + count)]


def beside(left: Rows, right: Rows, gap: int = 1) -> list[Grid]:
    height, width = max(len(left), len(right)), max(map(len, left))
    rows = [
        [*(left[i] if i < len(left) else []), *[""] * width][:width]
        + [""] * gap
        + (right[i] if i < len(right) else [])
        for i in range(height)
    ]
    return pieces(sheet(rows), Instructions())


QF: Rows = [[f"QF-{n}", 300 + n, 50, 250] for n in range(4)]


def test_lists_on_both_sides_of_a_blank_column_are_lists_of_their_own() -> None:
    assert [grid.cols[0] for grid in beside([INDEX, *gauges(4)], [FLOATS, *QF])] == [1, 6]


def test_lists_without_a_blank_column_between_them_are_one() -> None:
    assert len(beside([INDEX, *gauges(4)], [FLOATS, *QF], gap=0)) == 1


def test_what_makes_no_list_beside_one_is_a_part_of_it() -> None:
    assert len(beside([INDEX, *gauges(4)], [["Remarks", "x", "y"], ["a", "b", "c"]])) == 1


@pytest.mark.parametrize("width", [3, 4])
def test_gauges_go_on_beside_a_list_of_three_columns(width: int) -> None:
    left, right = ([row[:width] for row in [INDEX, *gauges(4, start)]] for start in (1, 11))
    assert len(beside(left, right)) == 2


def test_a_column_of_no_cells_at_all_is_blank() -> None:
    """A file holds no cells of it."""
    grid = sheet([[*one, *other] for one, other in zip([INDEX, *gauges(4)], [FLOATS, *QF], strict=True)])
    assert len(pieces(grid, Instructions())) == 1
    grid.cols = np.array([1, 2, 3, 4, 6, 7, 8, 9])
    assert [one.cols[0] for one in pieces(grid, Instructions())] == [1, 6]


@pytest.mark.parametrize(("same", "lists"), [(0, 2), (2, 2), (3, 1), (4, 1)])
def test_more_than_half_of_the_same_tags_go_on_with_the_list(same: int, lists: int) -> None:
    right: Rows = [["Tag", "Viscosity mPa.s", "Design temperature degC"]]
    right += [[f"LG-{n if n <= same else 20 + n}", 5, 100] for n in range(1, 5)]
    assert len(beside([INDEX, *gauges(4)], right)) == lists


@pytest.mark.parametrize(("same", "lists"), [(10, 2), (11, 1)])
def test_eleven_of_twenty_tags_go_on_with_the_list(same: int, lists: int) -> None:
    right: Rows = [["Tag", "Viscosity mPa.s", "Design temperature degC"]]
    right += [[f"LG-{n if n <= same else 50 + n}", 5, 100] for n in range(1, 21)]
    assert len(beside([INDEX, *gauges(20)], right)) == lists


LABELS: Rows = [["Viscosity", 5, "mPa.s"], ["Design temperature", 100, "degC"], [""]]


def with_labels(rows: Rows) -> list[Records]:
    grid = sheet(rows)
    return list(headed.records_of(grid, find_layouts(grid, Instructions())))


def test_two_labels_above_a_list_are_its_gauges_too() -> None:
    (found,) = with_labels([*LABELS, INDEX, *gauges(3)])
    assert all(5 in [place.value for place in record.cells.values()] for record in found.records)
    assert with_labels([LABELS[0], [""], [""], INDEX, *gauges(3)]) == []
    assert with_labels([*LABELS[:2], INDEX, *gauges(3)]) == []
    assert with_labels([[""], *LABELS, INDEX, *gauges(3)])
    assert with_labels([INDEX, *gauges(3)]) == []


def test_a_list_of_floats_below_whose_rows_name_the_gauges_is_joined() -> None:
    def joined(*tags: str) -> list[bool]:
        floats: Rows = [[*FLOATS, "For"], *([f"QF-{n}", 300 + n, 50, 250, tag] for n, tag in enumerate(tags))]
        (found,) = with_labels([*LABELS, INDEX, *gauges(3), [""], *floats])
        return [300 in [place.value for place in record.cells.values()] for record in found.records]

    assert joined("LG-1", "LG-2") == [True, False, False]
    assert joined("LG-2", "LG-3") == [False, True, False]
    assert joined("LG-1", "LG-1") == [False] * 3
    assert joined("LG-1", "LG-9") == [False] * 3


# --- sheets beyond a size --------------------------------------------------------------------------------


def longer(rows: Rows, most: int) -> Grid:
    """A sheet of some rows and blank ones, one more than are looked at."""
    grid = sheet(rows)
    values = np.full((most + 1, grid.values.shape[1]), "", dtype=object)
    values[: len(rows)] = grid.values
    return Grid.block("Export", values)


PARTS: Rows = [
    BILL,
    [1, "LG-0", "", 850, ""],
    [2, "", "Float", "", 340],
    [1, "LG-1", "", 850, ""],
    [2, "", "Float", "", 3],
]
KEYED: Rows = [["Tag", "Data"], *([f"LG-{n}", PAIRS] for n in range(3))]


@pytest.mark.parametrize(
    ("way", "rows"),
    [
        (bill.records_of, PARTS),
        (keyed.records_of, KEYED),
        (points.records_of, [HEADS, *POINTS]),
        (lambda grid: legend.records_of(grid, legend.legends([sheet(NAMES)])), EXPLAINED),
    ],
    ids=["bill", "keyed", "points", "legend"],
)
def test_of_20_000_rows_and_more_only_plain_lists_are_read(
    way: Callable[[Grid], Iterator[Records]], rows: Rows
) -> None:
    """What looks at every row again is not tried."""
    assert list(way(longer(rows, 100)))
    assert not list(way(longer(rows, 20_000)))


def test_cases_side_by_side_are_not_looked_for_in_20_000_rows() -> None:
    cases: Rows = [
        ["Tag", "Case A density kg/m3", "Case B density kg/m3", "Fluid"],
        *([f"LG-{n}", 850, 700, "Oil"] for n in range(4)),
    ]
    grid = longer(cases, 20_002)
    assert not list(abreast.records_of(grid, find_layouts(grid, Instructions())))


def test_lists_beside_each_other_are_not_looked_for_in_5_000_rows() -> None:
    rows: Rows = [
        [*INDEX, "", *FLOATS],
        *([*row, "", f"QF-{n}", 300, 50, 250] for n, row in enumerate(gauges(3))),
    ]
    assert len(pieces(sheet(rows), Instructions())) == 2
    assert len(pieces(longer(rows, 5_000), Instructions())) == 1


def test_labels_above_a_list_are_not_looked_for_in_2_000_rows() -> None:
    grid = longer([*LABELS, INDEX, *gauges(3)], 2_005)
    assert not list(headed.records_of(grid, find_layouts(grid, Instructions())))


# --- sheets that a report has added ----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Findings", "Accepted", "Not checked", "Calculations", "Reading"])
def test_a_sheet_of_a_report_is_known_by_six_tenths_of_its_headings_and_four(name: str) -> None:
    heads = own.HEADS[name]
    least = max(4, -(-6 * len(heads) // 10))
    for kept in range(1, len(heads) + 1):
        rows: Rows = [["Somebody's title"], [*heads[:kept], "Zork"]]
        assert (own.heading_row(sheet(rows), name) == 1) is (kept >= least)
        assert own.is_own(sheet(rows)) is (kept >= least)


@pytest.mark.parametrize(("above", "found"), [(7, True), (8, False), (9, False)])
def test_it_is_looked_for_in_eight_rows(above: int, found: bool) -> None:
    rows: Rows = [["x"]] * above + [list(own.HEADS["Findings"])]
    assert own.is_own(sheet(rows)) is found


def test_a_sheet_with_one_heading_is_a_reports_by_the_sum_of_its_file() -> None:
    assert own.is_a(sheet([["This report"], ["sha256 of the workbook"]]), "Settings used")
    assert not own.is_own(sheet([["This report"], ["x"]]))
    assert own.is_a(sheet([list(own.HEADS["Findings"])]), "Findings")
    moved = sheet([list(own.HEADS["Settings used"]), ["sha256"]])
    moved.rows = moved.rows + 1
    assert not own.is_own(moved)


def test_a_sheet_below_a_title_is_that_of_a_report_whose_headings_it_has() -> None:
    moved = sheet([["Somebody's title"], list(own.HEADS["Findings"])])
    assert own.is_a(moved, "Findings")
    assert not own.is_a(moved, "Accepted")
    assert not own.is_a(sheet([["x"]]), "Findings")


# --- what a note says of all pressures -------------------------------------------------------------------


def unit(note: Rows, after: int = 0) -> str:
    rows = [["Tag", "Fluid", "Density kg/m3", "Design pressure bar"], *gauges(after or 3)]
    notes = sheet(note)
    notes.sheet = "Notes"
    book = read_book(Path("book.xlsx"), sheets=[sheet(rows), notes])
    (one,) = book.gauges
    return next(column.unit for column in one.recognised if column.field == "design_pressure")


def test_a_note_settles_plain_pressures_where_all_notes_agree() -> None:
    gauge, absolute = ["All pressures are gauge."], ["All pressures are absolute."]
    assert unit([gauge]) == "barg"
    assert unit([absolute]) == "bara"
    assert unit([gauge, absolute]) == "bar"
    assert unit([["x"]]) == "bar"
    assert unit([["All pressures are gauge.", "x"]]) == "barg"
    assert unit([["All pressures are gauge.", "x", "y"]]) == "bar"


def test_a_note_has_two_words_at_least() -> None:
    assert unit([["Pressures absolute"]]) == "bara"


@pytest.mark.parametrize(("length", "read"), [(400, True), (401, False)])
def test_a_note_has_400_characters_at_most(length: int, read: bool) -> None:
    assert (unit([["All pressures are gauge. ".ljust(length, "x")]]) == "barg") is read


@pytest.mark.parametrize(("before", "read"), [(59, True), (60, False)])
def test_notes_stand_at_either_end_of_a_sheet(before: int, read: bool) -> None:
    rows: Rows = [*[["x"]] * before, ["All pressures are gauge."], *[["x"]] * 120]
    assert (unit(rows) == "barg") is read
    assert (unit(rows[::-1]) == "barg") is read
    short: Rows = [*[["x"]] * 60, ["All pressures are gauge."], *[["x"]] * 59]
    assert unit(short) == "barg"
