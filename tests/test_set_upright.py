"""Records that were set upright, units in columns of their own, rows and columns that are cases, and which
shape of a sheet is taken, in memory: shares and counts on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists import abreast, case_rows
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import attempt, find_layouts
from xlfuncs.lists.shapes import same
from xlfuncs.lists.upright import (
    Place,
    Property,
    Record,
    Records,
    Shaped,
    is_blank,
    is_unit_text,
    plain_number,
    read,
)
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind

Rows = list[list[Any]]


def records(
    properties: Sequence[Property | str],
    rows: Rows,
    units: Rows | None = None,
    kinds: Sequence[Kind] = ("gauges", "floats"),
) -> Records:
    """Gauges with their values in the order of the properties; None for one that is not said."""
    named = [
        one if isinstance(one, Property) else Property(one, 1, j + 1) for j, one in enumerate(properties)
    ]
    grid = sheet([[one.text for one in named], *rows])
    made = []
    for i, row in enumerate(rows):
        cells = {j: Place(value, i + 2, j + 1) for j, value in enumerate(row) if value is not None}
        beside = {j: unit for j, unit in enumerate(units[i]) if unit} if units else {}
        made.append(Record(cells, beside))
    return Records(grid, "a form", named, made, kinds=tuple(kinds))


def shaped(*args: Any, **named: Any) -> Shaped | None:
    return read(records(*args, **named), Instructions())


NAMES = ["Tag", "Density", "Viscosity"]
GAUGES: Rows = [[f"LG-{n}", 850 + n, 5] for n in range(1, 4)]


def test_records_have_three_properties_and_no_more_than_four_hundred() -> None:
    assert shaped(NAMES, GAUGES) is not None
    assert shaped(NAMES[:2], [row[:2] for row in GAUGES]) is None
    assert shaped(NAMES, []) is None
    for more, made in ((397, True), (398, False), (420, False)):
        names = [*NAMES, *(f"Zork {n}" for n in range(more))]
        assert (shaped(names, [row + [1] * more for row in GAUGES[:1]]) is not None) is made


@pytest.mark.parametrize(("numbers", "made"), [(3, True), (2, False)])
def test_records_of_floats_have_a_part_and_three_numbers(numbers: int, made: bool) -> None:
    names = ["Float part no.", "Float mass g", "Float diameter mm", "Float length mm"][: numbers + 1]
    rows: Rows = [[f"QF-{n}", 300, 50, 250][: numbers + 1] for n in range(3)]
    if numbers == 2:
        names, rows = [*names, "Zork"], [[*row, 1] for row in rows]
    found = shaped(names, rows, kinds=("floats",))
    assert (found is not None) is made
    with_tags = shaped(
        ["Tag", *names[1:]], [[f"LG-{n}", *row[1:]] for n, row in enumerate(rows)], kinds=("gauges",)
    )
    assert (with_tags is not None) is made or numbers == 2


def fields(found: Shaped | None) -> set[str]:
    return set() if found is None else set(found.columns)


def test_two_names_of_one_thing_are_one_property_where_no_gauge_has_both() -> None:
    names = [*NAMES, "Operating density", "C-C distance mm"]
    apart = shaped(names, [["LG-1", 850, 5, None, 900], ["LG-2", None, 5, 900, 900]])
    assert apart is not None
    assert apart.made.table.columns["fluid_density"].raw.tolist() == [850, 900]
    both = shaped(names, [["LG-1", 850, 5, None, 1000], ["LG-2", 860, 5, 900, 1000]])
    assert both is not None
    assert "fluid_density" not in both.columns, "it is asked which is meant"
    units = [*NAMES[:1], "Density kg/m3", "Viscosity", "Density SG"]
    stated = shaped(units, [["LG-1", 850, 5, None], ["LG-2", None, 5, 0.9]])
    assert stated is not None
    assert stated.made.table.columns["fluid_density"].low.tolist() == pytest.approx([850, 899.1], abs=1)


def test_values_with_units_of_their_own_are_read_in_these() -> None:
    units: Rows = [["", "kg/m3", "mPa.s"], ["", "kg/m3", "mPa.s"], ["", "SG", "mPa.s"]]
    rows: Rows = [["LG-1", 850, 5], ["LG-2", 860, 5], ["LG-3", 0.9, 5]]
    found = shaped(NAMES, rows, units)
    assert found is not None
    density = found.made.table.columns["fluid_density"]
    assert density.low.tolist() == pytest.approx([850, 860, 899.1], abs=1)


@pytest.mark.parametrize(
    ("above", "text", "field"),
    [
        (("Float",), "Mass", "float_mass"),
        (("Float data",), "Mass", "float_mass"),
        (("Process",), "Mass", ""),
        (("Float of the new make",), "Length", ""),
        (("Float",), "Max. pressure", "float_max_pressure"),
    ],
)
def test_a_label_below_the_name_of_a_part_is_the_parts(above: tuple[str, ...], text: str, field: str) -> None:
    one = Property(text, 1, 4, above, sure=False)
    found = shaped([*NAMES, one], [[*row, 5] for row in GAUGES])
    assert found is not None
    assert field in {*found.columns, ""}
    assert field or not any(name.startswith("float_") for name in found.columns)


def test_what_a_reading_is_worth_is_what_was_understood_less_half_of_what_was_not() -> None:
    names = ["Tag", "Density", "Viscosity mPa.s"]
    full = shaped(names, GAUGES)
    lost = shaped(names, [*GAUGES[:2], ["LG-3", "blue?", 5]])
    same_tag = shaped(names, [["LG-1", 850, 5], ["LG-1", 860, 6]])
    assert full is not None
    assert lost is not None
    assert same_tag is not None
    assert full.worth == 9
    assert lost.worth == 8 - 0.5
    assert same_tag.worth == 5


def test_blank_cells_units_and_numbers_that_can_be_no_other() -> None:
    assert is_blank(" : ")
    assert is_blank("=")
    assert not is_blank("-")
    assert is_unit_text(" (kg) ")
    assert is_unit_text("barg / °C")
    assert not is_unit_text(" ")
    assert plain_number("0,925") == 0.925
    assert plain_number("12.5") == 12.5
    assert plain_number("1,500") == "1,500"
    assert plain_number("x") == "x"


# --- units in columns of their own -----------------------------------------------------------------------


def beside(*columns: tuple[str, list[Any]]) -> dict[str, int]:
    """Field -> the column that holds its units."""
    tags = ("Tag", [f"LG-{n}" for n in range(10)])
    rows = [list(row) for row in zip(*([name, *cells] for name, cells in (tags, *columns)), strict=True)]
    layout = attempt(sheet(rows), 0, "gauges", Instructions())
    assert layout is not None
    return layout.units_beside


def cells(value: Any, share: float = 1.0, other: Any = "blue") -> list[Any]:
    count = round(10 * share)
    return [value] * count + [other] * (10 - count)


def test_a_column_of_units_belongs_to_the_quantity_left_of_it_else_right() -> None:
    density, unit, pressure = (
        ("Density", cells(850)),
        ("Unit", cells("kg/m3")),
        ("Design pressure", cells(10)),
    )
    assert beside(density, unit) == {"fluid_density": 2}
    assert beside(unit, density) == {"fluid_density": 1}
    assert beside(pressure, unit, density) == {"fluid_density": 2}
    assert beside(density, unit, pressure) == {"fluid_density": 2}
    assert beside(("Density kg/m3", cells(850)), unit) == {}, "it states its own"
    assert beside(pressure, unit) == {}
    least, most = ("Density min", cells(800)), ("Density max", cells(900))
    assert beside(least, most, unit) == {"fluid_density_min": 3, "fluid_density_max": 3}
    assert beside(least, unit, most) == {"fluid_density_min": 2, "fluid_density_max": 2}
    assert beside(least, unit, most, unit) == {"fluid_density_min": 2, "fluid_density_max": 4}


def test_a_column_named_by_its_quantity_holds_the_units_of_all_of_it() -> None:
    columns = ("Pressure unit", cells("barg")), ("Fluid", cells("Oil")), ("Design pressure", cells(10))
    found = beside(*columns, ("Operating pressure", cells(5)), ("Density", cells(850)))
    assert found == {"design_pressure": 1, "operating_pressure": 1}


@pytest.mark.parametrize(
    ("share", "numbers", "taken"), [(1.0, 0.0, True), (0.4, 0.6, False), (0.5, 0.5, True)]
)
def test_a_column_of_units_is_half_of_numbers_at_most(share: float, numbers: float, taken: bool) -> None:
    found = beside(("Density", cells(850)), ("Unit", cells("kg/m3", share, 5)))
    assert (found == {"fluid_density": 2}) is taken


# --- rows and columns that are cases ----------------------------------------------------------------------

HEADS = ["Tag", "Case", "Density kg/m3", "Viscosity mPa.s", "C-C mm"]


def case_of(*rows: list[Any]) -> list[tuple[Any, str]]:
    grid = sheet([HEADS, *rows])
    found = list(case_rows.records_of(grid, find_layouts(grid, Instructions())))
    return [(record.cells[0].value, record.case) for one in found for record in one.records]


def test_rows_of_one_tag_with_names_of_cases_are_its_cases() -> None:
    first, second = ["LG-1", "normal", 850, 5, 1000], ["LG-1", "start-up", 900, 50, ""]
    other = ["LG-2", "normal", 860, 5, 1000]
    assert case_of(first, second, other) == [("LG-1", "normal"), ("LG-1", "start-up"), ("LG-2", "")]
    assert case_of(first, other) == []
    assert case_of(first, ["LG-1", "normal", 900, 50, ""], other) == []
    assert case_of(first, ["LG-1", "", 900, 50, ""], other) == []
    grid = sheet([HEADS, first, second, other])
    (found,) = case_rows.records_of(grid, find_layouts(grid, Instructions()))
    by_name = {one.text: j for j, one in enumerate(found.properties)}
    start_up = found.records[1].cells
    assert start_up[by_name["C-C mm"]].value == 1000, "what is no operating condition is the first one's"
    blank = sheet([HEADS, first, ["LG-1", "start-up", 900, "", ""], other])
    (found,) = case_rows.records_of(blank, find_layouts(blank, Instructions()))
    assert found.records[1].cells[by_name["Viscosity mPa.s"]].value == ""


def cases_abreast(*groups: Sequence[str]) -> list[str]:
    """The cases of a list with headings that name theirs, in front or behind."""
    heads = ["Tag", "Fluid", "C-C mm", "Visible mm"]
    for name, below in zip("123", groups, strict=False):
        heads += [f"Case {name} {text}" for text in below]
    body: Rows = [
        [f"LG-{n}", "Oil", *[800 + 10 * n + 7 * j for j in range(len(heads) - 2)]] for n in range(5)
    ]
    grid = sheet([heads, *body])
    found = list(abreast.records_of(grid, find_layouts(grid, Instructions())))
    return [record.case for one in found for record in one.records[: len(one.records) // 5]]


THREE = ["density kg/m3", "viscosity mPa.s", "oper. press barg"]


def test_groups_with_six_tenths_of_their_headings_in_common_are_cases() -> None:
    assert cases_abreast(THREE, THREE) == ["Case 1", "Case 2"]
    assert cases_abreast(THREE, THREE[:2]) == ["Case 1", "Case 2"]
    assert cases_abreast(THREE, THREE[:1]) == []
    assert cases_abreast(THREE) == []
    assert cases_abreast(THREE, THREE, THREE) == ["Case 1", "Case 2", "Case 3"]
    assert cases_abreast(THREE[:1], THREE[:1]) == ["Case 1", "Case 2"]
    assert cases_abreast(THREE[:1], THREE[1:2]) == []


def test_a_density_at_start_up_in_the_same_unit_is_a_case_of_its_own() -> None:
    def of(heading: str, unit: str = "kg/m3", *more: str) -> list[str]:
        heads = ["Tag", "Fluid", f"Density {unit}", "Viscosity mPa.s", heading, *more]
        body: Rows = [[f"LG-{n}", "Oil", 850, 5, 900, *[50] * len(more)] for n in range(4)]
        grid = sheet([heads, *body])
        found = list(abreast.records_of(grid, find_layouts(grid, Instructions())))
        return [record.case for one in found for record in one.records[:2]]

    assert of("Density at start-up kg/m3") == ["normal", "start-up"]
    assert of("Density at start-up SG") == []
    assert of("Viscosity at start-up mPa.s") == []
    assert of("Density at start-up kg/m3", "kg/m3", "Viscosity at start-up mPa.s") == ["normal", "start-up"]


# --- the shape that is taken ------------------------------------------------------------------------------


def test_shapes_are_the_same_whatever_they_count() -> None:
    assert same("a list with 2 cases side by side", "A list with 3 cases side by side")
    assert not same("a list", "a form")


def test_a_grid_of_one_block_has_the_places_of_its_sheet() -> None:
    grid = sheet([["a", "b"], ["c", "d"]])
    assert isinstance(grid, Grid)
    assert grid.address(1, 1) == "B2"
