"""Headings over two rows, of two values, and units beside what is no unit; what cells leave of a score."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import page, sheet
from xlfuncs.lists.evidence import profile, units_in_cells, weigh
from xlfuncs.lists.heads import Head, heads_under, split_cell, with_parts


def under(*rows: Sequence[str]) -> list[tuple[str, tuple[str, ...], str]]:
    """Text, what stands above it, and unit of each heading of some rows."""
    found = heads_under(page(*rows), len(rows) - 1, len(rows), [])
    return [(one.text, one.above, one.unit_row) for one in found]


def parted(heading: str, *cells: str) -> list[tuple[str, list[Any]]]:
    """The headings that a heading stands for, each with its values."""
    grid = sheet([[heading], *([cell] for cell in cells)])
    found = with_parts(grid, 1, [Head(0, heading, (), True, "A1", "")])
    return [
        (one.text, [split_cell(cell, one.parts, one.shared)[max(one.part, 0)] for cell in cells])
        for one in found
    ]


@pytest.mark.parametrize(
    ("field", "cells", "left"),
    [
        ("float_mass", ["blue", "red"], 0.45),
        ("float_diameter", ["blue", "red"], 0.45),
        ("float_length", ["blue", "red"], 0.45),
        ("tag_letters", ["12", "13"], 0.45),
        ("fluid_density", [50, 60], 0.72),
        ("fluid_density", [50, 50, 50, 850, 850], 0.8),
        ("chamber_material", ["316L", "316L"], 1.06),
    ],
)
def test_what_cells_leave_of_a_headings_score(field: str, cells: list[Any], left: float) -> None:
    """Less than half for another kind, a fifth less for strange numbers, more for the very kind."""
    unit = {"float_mass": "g", "fluid_density": "kg/m3"}.get(field, "")
    assert weigh(field, unit, profile(cells)) == pytest.approx(left)


@pytest.mark.parametrize(
    ("text", "unit"), [("kgf/cm2 (gauge)", "kgf/cm2 g"), ("kgf/cm2 absolute", ""), ("millibar absolute", "")]
)
def test_more_than_fifteen_characters_behind_a_number_are_no_unit(text: str, unit: str) -> None:
    assert units_in_cells(profile([f"5 {text}"] * 3)) == unit


@pytest.mark.parametrize("names", [("Float", "P/N", "S/N"), ("LT", "0%", "100%"), ("Float", "S/N", "P/N")])
def test_short_headings_among_units_stand_below_the_open_rest_of_a_group(names: tuple[str, str, str]) -> None:
    group, first, second = names
    found = heads_under(page(["Tag", group, "", "Density"], ["", first, second, "kg/m3"]), 0, 1, ["kg/m3"])
    assert [(one.text, one.above, one.unit_row) for one in found] == [
        ("Tag", (), ""),
        (first, (group,), ""),
        (second, (group,), ""),
        ("Density", (), "kg/m3"),
    ]


@pytest.mark.parametrize(
    "names", [("LT", "0%", "100%"), ("Transmitter", "0%", "100%"), ("LT", "4 mA", "20 mA")]
)
def test_two_ends_below_the_open_rest_of_a_group_are_headings(names: tuple[str, str, str]) -> None:
    group, low, high = names
    assert under(["Tag", group, "", "Fluid"], ["", low, high, ""]) == [
        ("Tag", (), ""),
        (low, (group,), ""),
        (high, (group,), ""),
        ("Fluid", (), ""),
    ]


def test_min_is_a_minute_where_no_max_stands_beside_it() -> None:
    assert under(["Tag", "Temp", ""], ["", "min", "max"])[1:] == [
        ("min", ("Temp",), ""),
        ("max", ("Temp",), ""),
    ]
    assert under(["Tag", "Temp", ""], ["", "min", "x"])[1] == ("Temp", (), "min")
    assert page(["min", "-"]).is_units(0)
    assert page(["min", "min"]).is_units(0)
    assert not page(["min", "max", "-"]).is_units(0)


@pytest.mark.parametrize(
    ("heading", "names"),
    [
        ("Operating / design pressure", ["Operating pressure", "design pressure"]),
        ("Operating/design pressure", ["Operating pressure", "design pressure"]),
        ("Design / operating pressure", ["Design pressure", "operating pressure"]),
    ],
)
def test_the_unit_behind_the_last_of_two_values_of_one_quantity_is_that_of_both(
    heading: str, names: list[str]
) -> None:
    first, second = names
    assert parted(heading, "4 / 12 barg", "5 / 12 barg") == [
        (first, ["4 barg", "5 barg"]),
        (second, ["12 barg", "12 barg"]),
    ]


@pytest.mark.parametrize("names", [("Float mass", "Float length"), ("Float mass", "Float diameter")])
def test_the_unit_behind_the_last_of_two_values_of_two_quantities_is_its_own(names: tuple[str, str]) -> None:
    assert parted(" / ".join(names), "300 / 250 mm") == [(names[0], [300.0]), (names[1], ["250 mm"])]


@pytest.mark.parametrize("heading", ["Operating/oper. pressure", "Design/design pressure"])
def test_a_heading_that_names_one_field_twice_is_one(heading: str) -> None:
    assert len(parted(heading, "4 / 12", "5 / 12")) == 1


@pytest.mark.parametrize(
    "heading", ["Design pressure / temperature", "Design P/T (barg / °C)", "Design temp./press."]
)
def test_a_heading_of_two_quantities_in_one_field_is_not_parted(heading: str) -> None:
    assert parted(heading, "4 / 120", "5 / 120") == [(heading, ["4 / 120", "5 / 120"])]


@pytest.mark.parametrize(("blank", "seen"), [(358, 2), (359, 2), (360, 1), (380, 1)])
def test_what_a_column_is_is_told_by_360_rows(blank: int, seen: int) -> None:
    rows: list[list[Any]] = [["Fluid", "Density"], ["Oil", 850], *[["", 850]] * (blank - 1), ["Oil", 850]]
    assert page(*rows).profile(1, 0).filled == seen


def test_two_units_below_a_heading_of_two_values_are_one_for_each() -> None:
    def units(heading: str, cell: str, unit: str) -> list[str]:
        grid = sheet([[heading], [unit], [cell]])
        return [one.unit_row for one in with_parts(grid, 2, [Head(0, heading, (), True, "A1", unit)])]

    assert units("Float mass / Float length", "300 / 250", "g / mm") == ["g", "mm"]
    assert units("Float mass / Float length", "300 / 250", "mm") == ["mm", "mm"]
    assert units("Float mass / Float length / Float wall", "300 / 250 / 1", "g / mm") == ["g / mm"] * 3


@pytest.mark.parametrize(("columns", "filled"), [(501, True), (502, False), (540, False)])
def test_a_heading_merged_over_more_than_501_columns_is_none(columns: int, filled: bool) -> None:
    found = page(["Fluid", "", "x"], ["a", "b", "c"], merges=[(1, 1, 1, columns)])
    assert (found.spread[0][1] == "Fluid") is filled
