"""Columns of units beside the quantities whose units they hold, in memory: shares on both sides."""

from __future__ import annotations

from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import attempt


def beside(*columns: tuple[str, list[Any]]) -> dict[str, int]:
    """Field -> the column that holds its units, of a list with a column of tags before the others."""
    tags = ("Tag", [f"LG-{n}" for n in range(len(columns[0][1]))])
    rows = [list(row) for row in zip(*([name, *cells] for name, cells in (tags, *columns)), strict=True)]
    layout = attempt(sheet(rows), 0, "gauges", Instructions())
    assert layout is not None
    return layout.units_beside


def some(rows: int, *parts: tuple[Any, int]) -> list[Any]:
    """So many of each, then blanks."""
    cells = [value for value, count in parts for _ in range(count)]
    return cells + [""] * (rows - len(cells))


@pytest.mark.parametrize(
    ("units", "others", "taken"), [(7, 3, False), (3, 1, True), (15, 5, True), (8, 2, True), (10, 0, True)]
)
def test_more_than_seven_tenths_of_a_column_without_a_heading_of_units_are_units(
    units: int, others: int, taken: bool
) -> None:
    rows = units + others
    found = beside(
        ("Density", [850 + n for n in range(rows)]), ("Zork", some(rows, ("kg/m3", units), ("blue", others)))
    )
    assert (found == {"fluid_density": 2}) is taken


@pytest.mark.parametrize(("numbers", "taken"), [(9, True), (10, True), (11, False), (12, False)])
def test_a_column_of_units_is_no_more_than_half_numbers(numbers: int, taken: bool) -> None:
    """Of twenty cells."""
    unit = some(20, ("kg/m3", 20 - numbers), (5, numbers))
    found = beside(("Density", [850 + n for n in range(20)]), ("Unit", unit))
    assert (found == {"fluid_density": 2}) is taken


def test_per_cent_is_the_unit_of_what_may_be_a_part_of_the_range() -> None:
    rows = 6
    alarm, density = ("High alarm switch", some(rows, (80, rows))), ("Density", some(rows, (850, rows)))
    unit = ("Unit", some(rows, ("%", rows)))
    assert beside(alarm, unit) == {"switch_lsh": 2}
    assert beside(density, unit) == {}
    assert beside(unit, alarm) == {"switch_lsh": 1}
    assert beside(("Unit", some(rows, ("mm", rows))), alarm) == {"switch_lsh": 1}
    assert beside(("Fluid", some(rows, ("Oil", rows))), unit) == {}


def test_one_column_of_units_is_that_of_all_of_its_quantity_beside_it() -> None:
    rows = 6
    low, high = ("Design temp", some(rows, (60, rows))), ("Operating temp", some(rows, (50, rows)))
    pressure = ("Design pressure", some(rows, (10, rows)))
    unit, barg = ("Unit", some(rows, ("degC", rows))), ("Unit", some(rows, ("barg", rows)))
    assert beside(low, high, unit) == {"operating_temperature": 3, "design_temperature": 3}
    assert beside(unit, low, high) == {"operating_temperature": 1, "design_temperature": 1}
    assert beside(low, unit, high) == {"operating_temperature": 2, "design_temperature": 2}
    assert beside(low, unit, high, unit) == {"design_temperature": 2, "operating_temperature": 4}
    assert beside(low, pressure, unit) == {}
    assert beside(low, pressure, barg) == {"design_pressure": 3}
