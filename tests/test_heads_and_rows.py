"""Rows of headings, of units and of records, told apart in memory: each count and share on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from xlfuncs.lists.found import Found, Layout, has_tag, is_list
from xlfuncs.lists.heads import (
    Head,
    Page,
    heads_under,
    is_unit_cell,
    split_cell,
    split_units,
    with_parts,
)
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.lists.rows import find_rows, heads_revisions
from xlfuncs.spreadsheet.grid import Grid, Range
from xlfuncs.vocabulary.meaning import Kind

WORDS = ["Fluid", "Density", "Viscosity", "Design pressure", "Design temperature", "Service", "Float mass"]
"""Headings that are understood."""
STRANGE = [f"Zork{letter}" for letter in "abcdefghij"]


def sheet(rows: Sequence[Sequence[Any]], merges: Sequence[Range] = (), numbers: Sequence[int] = ()) -> Grid:
    width = max(map(len, rows))
    values = np.full((len(rows), width), "", dtype=object)
    for i, row in enumerate(rows):
        values[i, : len(row)] = row
    grid = Grid.block("Index", values)
    grid.merges = list(merges)
    if numbers:
        grid.rows = np.array(numbers, dtype=np.int64)
    return grid


def page(*rows: Sequence[Any], merges: Sequence[Range] = (), numbers: Sequence[int] = ()) -> Page:
    return Page(sheet(rows, merges, numbers), 0, len(rows))


# --- the top of a sheet ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "heading"), [(160, True), (161, False), (170, False)])
def test_a_text_of_more_than_160_characters_is_no_heading(length: int, heading: bool) -> None:
    text = "Fluid ".ljust(length, "x")
    assert page([text]).own == [[text if heading else ""]]


def test_headings_are_looked_for_in_200_columns() -> None:
    row = [f"Zork {n}" for n in range(230)]
    found = page(row)
    assert found.width == len(found.own[0]) == 200
    assert page(row[:7]).width == 7


@pytest.mark.parametrize(
    ("columns", "covered", "title"),
    [(10, 7, True), (10, 6, False), (6, 5, True), (5, 5, False), (20, 13, True)],
)
def test_a_merged_text_over_six_tenths_of_six_columns_or_more_is_a_title(
    columns: int, covered: int, title: bool
) -> None:
    top = ["Float data", *[""] * (columns - 1)]
    found = page(top, [f"Zork {n}" for n in range(columns)], merges=[(1, 1, 1, covered)])
    assert found.titles == ({0} if title else set())
    assert (found.spread[0][covered - 1] == "Float data") is not title
    assert found.is_group(0) is not title


@pytest.mark.parametrize(("rows", "filled"), [(20, True), (21, False), (22, False)])
def test_a_heading_merged_over_more_than_20_rows_is_none(rows: int, filled: bool) -> None:
    found = page(["Fluid", "a"], *[["", "b"]] * 24, merges=[(1, 1, 1 + rows, 1)])
    assert (found.spread[5][0] == "Fluid") is filled


def test_the_heading_of_a_merged_cell_stands_where_it_begins() -> None:
    found = page(["", "Float", "", ""], ["Tag", "Mass", "OD", "Fluid"], merges=[(1, 2, 1, 3)])
    assert found.address(0, 2) == found.address(0, 1) == "B1"
    assert found.address(1, 2) == "C2"


@pytest.mark.parametrize(("words", "group"), [(7, True), (8, False), (9, False)])
def test_a_lone_text_of_more_than_seven_words_is_a_remark(words: int, group: bool) -> None:
    text = " ".join(["Float", *["data"] * (words - 1)])
    found = page([text, "", ""], ["Mass", "OD", "Fluid"], merges=[(1, 1, 1, 2)])
    assert found.is_group(0) is group


@pytest.mark.parametrize(
    ("top", "group"),
    [
        (["Float", "Fluid"], True),
        (["Float"], False),
        (["Float", "Zorka"], False),
        (["Float", "Fluid", *STRANGE[:4]], True),
        (["Float", "Fluid", "Density", *STRANGE[:7]], True),
        (["Float", "Fluid", *STRANGE[:5]], False),
        (["Float mass", "Fluid", "Density", *STRANGE[:7], "Zorkk"], False),
        (["LG-101", "Fluid", "Density"], False),
    ],
)
def test_groups_that_are_not_merged_are_two_words_of_headings_and_three_tenths(
    top: list[str], group: bool
) -> None:
    assert page(top, ["Mass", "OD"]).is_group(0) is group


def test_a_row_with_a_gap_below_it_holds_no_groups() -> None:
    rows = ["Float", "Fluid"], ["Mass", "Density"]
    assert page(*rows).is_group(0)
    assert not page(*rows, numbers=[1, 3]).is_group(0)


@pytest.mark.parametrize(
    ("row", "like"),
    [
        (WORDS[:3], True),
        (WORDS[:2], False),
        ([*WORDS[:4], *STRANGE[:2]], True),
        ([*WORDS[:3], *STRANGE[:2]], False),
        ([*WORDS[:3], *STRANGE[:1]], True),
        ([*WORDS[:3], 5, 7], False),
        ([*WORDS[:3], 5], True),
        ([*WORDS[:3], "LG-101"], False),
    ],
)
def test_more_than_six_tenths_of_three_texts_are_headings(row: list[Any], like: bool) -> None:
    found = page(row)
    assert found.looks_like_headings(0) is like
    assert not found.looks_like_headings(1)


@pytest.mark.parametrize(
    ("row", "data"),
    [
        (["LG-101", "x"], True),
        ([5, 7], True),
        (["5", "7,5"], True),
        ([5, "x"], False),
        ([True, False, "x"], False),
        ([1, 2, 3], False),
        ([1, 2], True),
        ([1, 2, 4], True),
        ([4, 5, 6, 7], False),
    ],
)
def test_a_row_of_values_has_a_tag_or_two_numbers_that_do_not_count_the_columns(
    row: list[Any], data: bool
) -> None:
    assert page(row).is_data(0) is data


@pytest.mark.parametrize(
    ("row", "adds"),
    [(["Fluid", "Density"], True), (["Fluid"], False), (["Fluid", "Density", 5], False), ([5, 7], False)],
)
def test_a_second_row_of_headings_is_nothing_but_two_words(row: list[Any], adds: bool) -> None:
    assert page(row).adds(0) is adds
    assert not page(row).adds(1)


@pytest.mark.parametrize(
    ("named", "row", "on"),
    [
        (4, WORDS[:3], True),
        (4, WORDS[:2], False),
        (5, WORDS[:3], True),
        (6, WORDS[:3], False),
        (10, WORDS[:6], True),
        (10, WORDS[:5], False),
        (4, [*WORDS[:3], 5], False),
        (4, ["Fluid", "Density", "x", "y"], False),
        (4, ["Fluid", "Density", "Service", "y"], True),
        (4, ["kg", "mm", "bar"], False),
        (4, ["LG-101", "Fluid", "Density"], False),
    ],
)
def test_headings_go_on_below_the_units_over_six_tenths_of_the_columns(
    named: int, row: list[Any], on: bool
) -> None:
    found = page([f"Zork {n}" for n in range(named)], row)
    assert found.goes_on(1, 0) is on
    assert not found.goes_on(2, 0)


@pytest.mark.parametrize(
    ("row", "units"),
    [
        (["kg", "mm"], True),
        (["kg"], False),
        (["kg", "-"], True),
        (["-", "--"], False),
        (["kg", "mm", "bar", "Zorka", "Zorkb"], True),
        (["kg", "mm", "Zorka", "Zorkb"], False),
        (["kg", "mm", "-", "Zorka", "Zorkb"], True),
        (["kg", "-", "Zorka"], False),
        (["kg", "mm", 5, 7], False),
        (["kg", "5"], False),
        (["A", "B", "C", "mm"], False),
        (["A", "B", "mm", "kg"], True),
        (["min", "max", "kg", "mm", "bar"], True),
        (["min", "max"], False),
    ],
)
def test_units_stand_in_six_tenths_of_a_row_or_with_marks_in_all_of_it(row: list[Any], units: bool) -> None:
    assert page(row).is_units(0) is units


def _seen(*rows: Sequence[Any], numbers: Sequence[int] = ()) -> int:
    """How many cells of the first column, below a row of headings, tell what it is."""
    return page(*rows, numbers=numbers).profile(1, 0).filled


def test_rows_of_sections_and_notes_do_not_tell_what_a_column_is() -> None:
    head = WORDS[:5]
    full, lone = ["x1", "Oil", 850, 5, 10], ["Section"]
    assert _seen(head, full, lone, full, lone, full) == 3
    narrow = ["x1", "Oil", 850]
    assert _seen(head[:3], narrow, lone, narrow, lone, narrow) == 5
    four = ["x1", "Oil", 850, 5]
    assert _seen(head[:4], four, lone, four, lone, four) == 3
    assert _seen(head, lone, lone) == 2


@pytest.mark.parametrize(
    ("row", "ends"),
    [
        (WORDS[:3], True),
        (WORDS[:2], False),
        ([*WORDS[:3], *STRANGE[:2]], True),
        ([*WORDS[:3], *STRANGE[:3]], False),
        ([*WORDS[:3], 5, 7], True),
    ],
)
def test_a_column_ends_where_further_headings_stand_below_a_gap(row: list[Any], ends: bool) -> None:
    """Three of headings, and six tenths of the row."""
    body = [["x1", "Oil", 850, 5, 10, 1]] * 3
    after = [["y1", "Oil", 850, 5, 10, 1]] * 4
    for gap in ([[""]], [["Notes"]]):
        seen = _seen(WORDS[:6], *body, *gap, row, *after)
        assert (seen == 3) is ends or (seen == 4 and gap == [["Notes"]] and ends)
    assert _seen(WORDS[:6], *body, row, *after) == 8
    numbers = [1, 2, 3, 4, 9, 10, 11, 12, 13]
    assert _seen(WORDS[:6], *body, row, *after, numbers=numbers) == (3 if ends else 8)


def test_headings_that_begin_alike_are_read_without_that_word() -> None:
    def texts(*names: str) -> list[str]:
        return [head.text for head in heads_under(page(names), 0, 1, [])]

    names = ["ZK_TAG", "ZK_SERVICE", "ZK_FLUID", "ZK_DENSITY", "ZK_MASS"]
    assert texts(*names) == ["TAG", "SERVICE", "FLUID", "DENSITY", "MASS"]
    assert texts(*names[:4]) == names[:4]
    assert texts(*names[:4], "Mass") == ["TAG", "SERVICE", "FLUID", "DENSITY", "Mass"]
    assert texts(*names[:3], "Mass", "Fluid") == [*names[:3], "Mass", "Fluid"]
    floats = [name.replace("ZK", "FLOAT") for name in names]
    assert texts(*floats) == floats


def test_an_open_column_below_a_group_is_left_out_where_the_others_have_headings() -> None:
    def texts(count: int, given: int) -> list[str]:
        top = ["Float", *[""] * (count - 1), *["Tag"] * 6]
        under = [*WORDS[:given], *[""] * (count - given + 6)]
        found = page(top, under, ["x"] * (count + 6), merges=[(1, 1, 1, count)])
        return [head.text for head in heads_under(found, 1, 2, [])][:-5]

    assert texts(4, 2) == [*WORDS[:2], "Tag"]
    assert texts(4, 1) == ["Fluid", "Float", "Float", "Float", "Tag"]
    assert texts(5, 3) == [*WORDS[:3], "Tag"]
    assert texts(5, 2) == [*WORDS[:2], "Float", "Float", "Float", "Tag"]
    assert texts(2, 1) == ["Fluid", "Float", "Tag"]


# --- cells and headings of several values ---------------------------------------------------------------


def test_a_cell_of_two_units_has_the_units_of_two_values() -> None:
    assert split_units("barg / °C") == ["barg", "°C"]
    assert split_units("barg") == []
    assert split_units("barg / °C / mm") == []
    assert split_units("barg / zork") == []
    assert is_unit_cell("% of span")
    assert is_unit_cell("(barg / °C)")
    assert not is_unit_cell("Fluid")


def test_a_cell_holds_as_many_values_as_are_asked_for_or_none() -> None:
    assert split_cell("312.4 / 50 / 300", 3) == [312.4, 50.0, 300.0]
    assert split_cell("312.4 / 50", 3) == [""] * 3
    assert split_cell(5, 2) == ["", ""]
    assert split_cell("4 / 12 barg", 2, shared=True) == ["4 barg", "12 barg"]
    assert split_cell("4 / 12 barg", 2) == [4.0, "12 barg"]


def _parted(heading: str, cells: Sequence[Any]) -> list[str]:
    grid = sheet([[heading], *([cell] for cell in cells)])
    head = Head(0, heading, (), True, "A1", "")
    return [one.text for one in with_parts(grid, 1, [head])]


@pytest.mark.parametrize(("held", "parted"), [(6, True), (5, False), (10, True)])
def test_a_heading_of_several_names_has_six_tenths_of_cells_with_as_many_values(
    held: int, parted: bool
) -> None:
    cells = ["50 / 300"] * held + ["blue"] * (10 - held)
    both = ["Float diameter", "Float length"]
    assert _parted(" / ".join(both), cells) == (both if parted else [" / ".join(both)])
    assert _parted(" / ".join(both), [*cells, *[""] * 20]) == (both if parted else [" / ".join(both)])
    assert _parted(" / ".join(both), []) == [" / ".join(both)]
    assert _parted("Float diameter", cells) == ["Float diameter"]


# --- rows of records ------------------------------------------------------------------------------------

FIELDS = ("tag", "fluid", "fluid_density", "viscosity", "design_pressure", "remarks")
HEADINGS = ["Tag", "Fluid", "Density kg/m3", "Viscosity mPa.s", "Design pressure barg", "Remarks"]
RECORD = ["LG-101", "Oil", 850, 5, 10, ""]


def records(*rows: Sequence[Any], merges: Sequence[Range] = (), kind: Kind = "gauges") -> list[int]:
    """Which of some rows, between six records above and six below them, hold a record."""
    body = [[f"LG-{n}", *RECORD[1:]] for n in range(201, 213)]
    every: list[Sequence[Any]] = [HEADINGS, *body[:6], *rows, *body[6:]]
    shifted = [(top + 7, left, bottom + 7, right) for top, left, bottom, right in merges]
    grid = sheet(every, shifted)
    columns = {name: Found(name, j, HEADINGS[j], "") for j, name in enumerate(FIELDS)}
    if kind == "floats":
        columns["float_part"] = columns.pop("tag")
    found = find_rows(grid, Layout(kind, (0,), 1, len(every), columns))
    assert set(range(1, 7)) <= set(found.records.tolist())
    return [i - 7 for i in found.records.tolist() if 7 <= i < 7 + len(rows)]


@pytest.mark.parametrize(
    ("row", "record"),
    [
        (RECORD, True),
        (["Boiler 2"], False),
        (["LG-101"], True),
        (["", "Oil", 850, 5], True),
        (["", "Oil", 850], True),
        (["", "", 850], False),
        (["them", "", 850], True),
        (["them", "Oil"], False),
        (["2 of them", "Oil", "heavy"], True),
        (["them", "Oil", "heavy"], False),
        (["", "Oil", "heavy"], False),
        (["Tag", "Fluid", "Density kg/m3"], False),
        (["2 of them", "Fluid", 850, 5], True),
        (["2 of them", "Fluid", "Density kg/m3", "heavy", 7], True),
        (["2 of them", "Fluid", "Density kg/m3", 5], False),
        (["", "Oil", "kg/m3", "mPa.s"], False),
        (["", "", "kg/m3", "mPa.s", 10], True),
        (["x", "Oil", "of", "kg/m3", "5 barg"], True),
        (["Total", "", 850, 5], False),
        (["", "Total", 850, 5], False),
        (["-", "PT-101", 850, 5], False),
        (["-", "Oil", 850, 5], True),
        (["2 of them", "DENS_1", "ATTR_2", "ATTR_3"], False),
        (["TAG_NO", "FLUID_A", "ATTR_2", "ATTR_3"], False),
    ],
)
def test_what_a_row_without_a_tag_has_to_hold_to_be_a_record(row: list[Any], record: bool) -> None:
    assert records(row) == ([0] if record else [])


def _first(row: Sequence[Any]) -> bool:
    """Whether a row right below the headings is taken for a record."""
    every: list[Sequence[Any]] = [HEADINGS, row, *([f"LG-{n}", *RECORD[1:]] for n in range(201, 213))]
    columns = {name: Found(name, j, HEADINGS[j], "") for j, name in enumerate(FIELDS)}
    found = find_rows(sheet(every), Layout("gauges", (0,), 1, len(every), columns))
    return 1 in found.records.tolist()


@pytest.mark.parametrize(
    ("row", "record"),
    [
        ([1, 2, 3, 4, 5, 6], False),
        ([1, 2, 3, 4], False),
        (["LG-1", 2, 3, 4], True),
        (["LG-1", 2, 3, 4, 5], True),
        (["LG-1", 2, 3, 4, 5, 6], False),
        (["LG-1", 2, 3, 4, 6, 7], True),
        (["LG-1", "(2)", "(3)", "(4)", "(5)", "6"], False),
        (["A1", "B1", "C1", "D1"], False),
        (["A1", "B1", "C1", "D1", "x"], False),
        (["LG-1", "B1", "C1", "D1", "E1"], False),
        (["LG-1", "B1", "C1", "D1", "x"], True),
        (["LG-1", "B1", "C1"], True),
        (["LG101", "TAG_NO", "ATTR_12", "ATTR_13"], False),
        (["LG101", "A_1", "A_2"], True),
        (["LG101", "Oil", "ATTR", "OTHER"], False),
        (["LG101", "Oil", "ATTR", 5], True),
        (["2 of them", "Oil", "heavy"], False),
        (["2 of them", "Oil", 850], True),
    ],
)
def test_rows_that_count_or_name_the_columns_stand_below_the_headings(row: list[Any], record: bool) -> None:
    assert _first(row) is record


@pytest.mark.parametrize(("place", "looked_at"), [(4, True), (5, False)])
def test_such_rows_are_looked_for_in_the_first_five(place: int, looked_at: bool) -> None:
    body = [[f"LG-{n}", *RECORD[1:]] for n in range(201, 213)]
    every: list[Sequence[Any]] = [
        HEADINGS,
        *body[:place],
        ["LG101", "TAG_NO", "ATTR_12", "ATTR_13"],
        *body[place:],
    ]
    columns = {name: Found(name, j, HEADINGS[j], "") for j, name in enumerate(FIELDS)}
    found = find_rows(sheet(every), Layout("gauges", (0,), 1, len(every), columns))
    assert (1 + place in found.records.tolist()) is not looked_at


@pytest.mark.parametrize(("place", "looked_at"), [(3, True), (4, False)])
def test_and_in_the_last_three_above_the_next_list(place: int, looked_at: bool) -> None:
    body = [[f"LG-{n}", *RECORD[1:]] for n in range(201, 213)]
    every: list[Sequence[Any]] = [HEADINGS, *body]
    every.insert(len(every) - place + 1, ["LG101", "TAG_NO", "ATTR_12", "ATTR_13"])
    columns = {name: Found(name, j, HEADINGS[j], "") for j, name in enumerate(FIELDS)}
    found = find_rows(sheet(every), Layout("gauges", (0,), 1, len(every), columns))
    assert (len(every) - place in found.records.tolist()) is not looked_at


def test_a_key_alone_that_is_no_gauge_is_a_section_in_an_index_and_a_part_in_a_float_list() -> None:
    assert records(["V-101"], ["V-102", "Oil"]) == [1]
    assert records(["LG-101"]) == [0]
    assert records(["QF-101"], kind="floats") == [0]


@pytest.mark.parametrize(
    ("row", "revisions"),
    [
        (["Rev", "Date", "Description"], True),
        (["Rev", "Date"], True),
        (["Rev"], False),
        (["Rev", "Date", "Zork"], True),
        (["Rev", "Date", "Zork", "Zork"], False),
        (["Rev", "By", "Date", "Zork", "Zeta"], True),
        (["Remarks", "Service"], False),
        (["Rev", "Date", 5], False),
        (["Rev", "Date".ljust(40, "x")], False),
        (["Rev", "Date", "Description of the change that was made ."], False),
    ],
)
def test_a_table_of_revisions_is_known_by_six_tenths_of_its_headings(row: list[Any], revisions: bool) -> None:
    assert heads_revisions(row) is revisions


def test_below_a_table_of_revisions_only_tags_are_gauges() -> None:
    assert records(["Rev", "Date", "Description"], ["2 of them", "Oil", 850, 5], RECORD) == [2]
    assert records(["2 of them", "Oil", 850, 5], RECORD) == [0, 1]


@pytest.mark.parametrize(("rows", "one"), [(2, True), (49, True), (50, True), (51, False), (53, False)])
def test_rows_that_a_merged_tag_covers_belong_to_it(rows: int, one: bool) -> None:
    """Up to fifty rows."""
    more = [["", "Oil", 850 + n, 5] for n in range(rows - 1)]
    assert records(RECORD, *more, merges=[(1, 1, rows, 1)]) == ([0] if one else [*range(rows)])
    assert records(RECORD, *more, merges=[(1, 2, rows, 2)]) == [*range(rows)]


def test_parts_below_a_gauge_add_what_its_row_leaves_blank() -> None:
    gauge = ["LG-101", "Oil", "", 5, ""]
    assert records(gauge, ["", "Float", 850], ["", "Cover", "", "", 10]) == [0]
    assert records(gauge, ["", "Float", 850, 5], ["", "Cover", "", "", 10]) == [0, 1, 2]
    assert records(gauge, ["", "Float", 850]) == [0, 1]
    assert records(gauge, *[["", "Float", 850]] * 11) == [0]
    assert records(gauge, *[["", "Float", 850]] * 12) == [*range(13)]
    assert records(gauge, *[["", "Float", 850]] * 14) == [*range(15)]


# --- what makes a list ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("names", "kind", "made"),
    [
        ("tag fluid_density remarks", "gauges", True),
        ("tag fluid_density", "gauges", False),
        ("tag viscosity remarks", "gauges", True),
        ("tag remarks service", "gauges", False),
        ("tag float_part remarks", "gauges", True),
        ("tag_letters tag_number viscosity", "gauges", True),
        ("tag_letters viscosity remarks", "gauges", False),
        ("viscosity lrv urv remarks service", "gauges", True),
        ("viscosity lrv urv remarks", "gauges", False),
        ("viscosity lrv fluid remarks service", "gauges", False),
        ("float_part float_mass float_diameter", "floats", True),
        ("float_part float_mass", "floats", False),
        ("float_serial float_mass float_diameter", "floats", False),
        ("float_serial float_mass float_diameter float_length", "floats", True),
        ("float_mass float_diameter float_length", "floats", False),
    ],
)
def test_the_columns_that_make_a_list(names: str, kind: Kind, made: bool) -> None:
    columns = {name: Found(name, j, name, "") for j, name in enumerate(names.split())}
    assert is_list(columns, kind) is made
    assert has_tag(columns) is (names.startswith("tag ") or "tag_number" in names)


def test_an_l_beside_ll_and_h_is_a_heading_among_units() -> None:
    top = ["Range", "Normal", "Mid", "Current", "Switches mm", "Switches mm", "Switches mm", "Switches mm"]
    found = page(top, ["mm", "mm", "mm", "mA", "LL", "L", "H", "HH"], merges=[(1, 5, 1, 8)])
    heads = heads_under(found, 0, 1, ["mm"])
    assert [head.text for head in heads][4:] == ["LL", "L", "H", "HH"]


# --- which kind of list ----------------------------------------------------------------------------------

TYPES = ["Float type", "Duty", "Material", "Diameter mm", "Length mm", "Mass g", "Magnet height mm"]
TYPES += ["Made for SG", "Upper fluid kg/m3", "Max press barg", "Max temp degC", "Ends"]
Rows = list[list[Any]]

OF_TYPES: Rows = [
    ["ZF-066", "level", "316L", 50, 250, 285, 180, 0.66, "", 40, 200, "hemispherical"],
    ["ZF-079", "level", "316L", 50, 250, 340, 180, 0.79, "", 40, 200, "hemispherical"],
    ["ZF-I93", "interface", "316L", 60, 220, 500, 150, 1.0, 860, 40, 200, "hemispherical"],
]


def kind_of(*rows: list[Any]) -> str:
    (found,) = find_layouts(sheet([*rows]), Instructions())
    return found.kind


def test_a_list_without_tags_that_is_read_all_but_whole_as_floats_is_one() -> None:
    """One more of its headings would be understood in a list of gauges."""
    assert kind_of(TYPES, *OF_TYPES) == "floats"


def test_a_list_with_tags_and_a_gauges_own_columns_stays_one_of_gauges() -> None:
    rows = [[f"LG-{n}", *row, 1000, 0, 1000] for n, row in enumerate(OF_TYPES, 101)]
    assert kind_of(["Tag", *TYPES, "Visible range mm", "LRV mm", "URV mm"], *rows) == "gauges"


def test_gauges_whose_tags_are_not_understood_stay_gauges() -> None:
    heads = ["Zork", "Float type", "Visible range mm", "LRV mm", "URV mm", "Design pressure barg"]
    heads += ["Fluid density kg/m3", "Float mass g", "Float length mm"]
    rows: Rows = [[f"Q{n}", "ZF-066", 1000, 0, 1000, 10 + n, 800, 285, 250] for n in range(3)]
    assert kind_of(heads, *rows) == "gauges"
