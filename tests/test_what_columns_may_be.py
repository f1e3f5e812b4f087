"""What a column that was not understood may hold, and which rows make headings of lists, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists.evidence import profile
from xlfuncs.lists.guess import may_be
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.vocabulary.meaning import Kind, read_heading

Rows = list[list[Any]]


def may(heading: str, cells: Sequence[Any], *taken: str, kind: Kind = "gauges") -> tuple[str, ...]:
    return may_be(heading, read_heading(heading, "", kind), profile(cells), taken, kind)


def test_a_column_may_be_what_its_heading_names_more_than_in_one_word() -> None:
    assert may("Range", [500, 600]) == ("visible_range", "transmitter_range")
    assert may("Range", [500, 600], "visible_range") == ("transmitter_range",)
    assert "tag" not in may("Old tag", ["x", "y"])
    assert may("Float mass", [300, 310], kind="floats") == ("float_mass",)


@pytest.mark.parametrize(("numbers", "taken"), [(6, False), (7, True), (10, True)])
def test_numbers_below_a_strange_heading_are_what_they_usually_are(numbers: int, taken: bool) -> None:
    cells = [850.0 + n * n for n in range(numbers)] + ["blue"] * (10 - numbers)
    assert ("fluid_density" in may("Zork", cells)) is taken
    assert "fluid_density" in may("Zork", [850.0 + n * n for n in range(13)] + ["blue"] * 7)
    assert "fluid_density" not in may("Zork", [5e6 + n * n for n in range(10)])
    assert "fluid_density" not in may("Zork", cells, "fluid_density")
    assert "viscosity" not in may("Zork", [5.0, 6.0, 8.0], kind="floats")
    assert may("Zork", [*range(1, 11)]) == ()


def test_a_unit_tells_the_quantity() -> None:
    assert may("Zork (mPa.s)", [5, 6]) == ("viscosity", "viscosity_min", "viscosity_max")
    assert "design_pressure" in may("Zork (barg)", [5, 6])
    assert "fluid_density" not in may("Zork (barg)", [5, 6])
    assert may("Zork", ["5 W/m", "6 W/m"]) == ("tracer_output",)


@pytest.mark.parametrize(("share", "taken"), [(0.7, False), (0.8, True), (1.0, True)])
def test_texts_tell_a_field_by_three_quarters_of_its_shape(share: float, taken: bool) -> None:
    count = round(10 * share)
    cells = ["SS 316"] * count + ["blue"] * (10 - count)
    assert ("chamber_material" in may("Zork", cells)) is taken
    numbers = ["SS 316"] * 3 + [5.0] * 7
    assert "chamber_material" not in may("Zork", numbers)


# --- headings of lists -----------------------------------------------------------------------------------

HEADS = ["Tag", "Fluid", "Density kg/m3", "Viscosity mPa.s", "Design press barg"]


def body(count: int, start: int = 1) -> Rows:
    return [[f"LG-{n}", "Oil", 850 + n, 5, 10] for n in range(start, start + count)]


def layouts(rows: Rows) -> list[tuple[tuple[int, ...], int]]:
    return [(one.headings, one.last) for one in find_layouts(sheet(rows), Instructions())]


def test_units_above_or_below_the_headings_belong_to_them() -> None:
    plain = ["Tag", "Fluid", "Density", "Viscosity", "Design press"]
    units = ["", "", "kg/m3", "mPa.s", "barg"]
    assert layouts([plain, units, *body(3)]) == [((0, 1), 5)]
    assert layouts([units, plain, *body(3)]) == [((0, 1), 5)]
    (above,) = find_layouts(sheet([units, plain, *body(3)]), Instructions())
    assert above.columns["fluid_density"].unit == "kg/m3"
    more = ["no.", "name", "of it all", "of it all", "of it all"]
    assert layouts([plain, units, more, *body(3)])[0][0][:2] == (0, 1)


def test_headings_that_are_repeated_down_a_sheet_make_one_list() -> None:
    assert layouts([HEADS, *body(4), HEADS, *body(4, 11)]) == [((0,), 10)]
    assert layouts([["Title"], HEADS, *body(4), [""], HEADS, *body(4, 11)]) == [((1,), 12)]


def test_other_headings_below_make_another_list() -> None:
    other = ["Part no.", "Float mass g", "Float diameter mm", "Float length mm"]
    floats: Rows = [[f"QF-{n}", 300, 50, 250] for n in range(3)]
    assert layouts([HEADS, *body(4), [""], other, *floats]) == [((0,), 6), ((6,), 10)]
    assert len(layouts([HEADS, *body(4), [""], other[:2], *floats])) == 1
    moved = ["Tag", "Density kg/m3", "Fluid", "Design press barg", "C-C mm"]
    rows: Rows = [[f"LG-{n}", 850, "Oil", 10, 900] for n in range(20, 23)]
    assert layouts([HEADS, *body(4), [""], moved, *rows]) == [((0,), 6), ((6,), 10)]


def test_headings_in_two_languages_are_one_row_with_its_translation() -> None:
    german = ["Tag", "Medium", "Dichte kg/m3", "Viskosität mPa.s", "Auslegungsdruck barg"]
    for first, second in ((german, HEADS), (HEADS, german)):
        (found,) = find_layouts(sheet([first, second, *body(3)]), Instructions())
        assert {"tag", "fluid_density", "viscosity", "design_pressure"} <= found.columns.keys()


@pytest.mark.parametrize(("rows", "lists"), [(20, 20), (22, 20)])
def test_a_sheet_holds_twenty_lists_at_most(rows: int, lists: int) -> None:
    every: Rows = []
    for n in range(rows):
        turned = HEADS if n % 2 else [HEADS[0], *HEADS[:0:-1]]
        block = body(2, 10 * n)
        every += [turned, *([row[0], *(row[1:] if n % 2 else row[:0:-1])] for row in block), [""]]
    assert len(layouts(every)) == lists
