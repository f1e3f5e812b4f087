"""Labels above a list that hold for all of its gauges, and a list of floats below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from tests.test_parts_of_sheets import FLOATS, INDEX, LABELS, Rows, gauges
from xlfuncs.lists import headed
from xlfuncs.lists.found import Found, Layout
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.lists.upright import Records

COLUMNS = ("tag", "fluid", "fluid_density", "design_pressure")


FLOAT = {
    "float_mass": Found("float_mass", 1, "Float mass g", "B8"),
    "float_part": Found("float_part", 2, "Part", "C8"),
}
"""Columns of a list of floats."""


def index(at: int, rows: int) -> Layout:
    """A list of gauges whose headings stand in a row, as it is found in a sheet."""
    columns = {name: Found(name, j, INDEX[j], f"{'ABCD'[j]}{at + 1}") for j, name in enumerate(COLUMNS)}
    return Layout("gauges", (at,), at + 1, at + 1 + rows, columns)


def said(found: Sequence[Records]) -> list[list[Any]]:
    """The values of each gauge."""
    return [[place.value for place in record.cells.values()] for one in found for record in one.records]


@pytest.mark.parametrize(("above", "taken"), [(3, True), (200, True), (201, False), (215, False)])
def test_a_list_begins_in_the_first_two_hundred_rows(above: int, taken: bool) -> None:
    rows = [*LABELS, *[[""]] * (above - len(LABELS)), INDEX, *gauges(2)]
    found = list(headed.records_of(sheet(rows), [index(above, 2)]))
    assert said(found) == (
        [["LG-1", "Oil", 851, 10, 5, 100], ["LG-2", "Oil", 852, 10, 5, 100]] if taken else []
    )


def test_labels_take_three_rows_with_the_gap_below_them() -> None:
    two: Rows = [["Viscosity:", 5, "mPa.s", "Design temperature:", 100, "degC"], [""]]
    for more, taken in ((0, False), (1, True)):
        rows = [*two, *[[""]] * more, INDEX, *gauges(2)]
        assert bool(list(headed.records_of(sheet(rows), [index(2 + more, 2)]))) is taken


@pytest.mark.parametrize(("rows", "taken"), [(2_000, True), (2_001, False), (2_100, False)])
def test_a_list_of_more_than_two_thousand_rows_is_read_without_the_labels(rows: int, taken: bool) -> None:
    every = [*LABELS, INDEX, *gauges(rows)]
    assert bool(list(headed.records_of(sheet(every), [index(3, rows)]))) is taken


def test_the_labels_add_just_so_much_that_they_are_taken_before_the_list_alone() -> None:
    (found,) = headed.records_of(sheet([*LABELS, INDEX, *gauges(2)]), [index(3, 2)])
    assert 1 < found.least < 1.01


def test_the_labels_are_those_of_a_list_of_gauges() -> None:
    parts: Rows = [[f"QF-{n}", 300 + n, 50, 250] for n in range(3)]
    grid = sheet([*LABELS, FLOATS, *parts])
    layouts = find_layouts(grid, Instructions())
    assert [one.kind for one in layouts] == ["floats"]
    assert list(headed.records_of(grid, layouts)) == []


def test_columns_of_several_values_in_a_cell_are_left_to_the_list() -> None:
    rows = [*LABELS, [*INDEX, "Float diameter x length"], *([*row, "50 x 250"] for row in gauges(2))]
    layout = index(3, 2)
    parts = [Found(name, 4, "Float diameter x length", "E4", part=n) for n, name in enumerate(("a", "b"))]
    layout = replace(layout, others=parts)
    assert said(list(headed.records_of(sheet(rows), [layout]))) == [
        ["LG-1", "Oil", 851, 10, 5, 100],
        ["LG-2", "Oil", 852, 10, 5, 100],
    ]
    whole = replace(layout, others=[replace(parts[0], part=-1)])
    assert said(list(headed.records_of(sheet(rows), [whole])))[0][4] == "50 x 250"


def test_a_list_below_is_joined_by_whole_columns_alone() -> None:
    floats: Rows = [["For", "Float mass g", "Float diameter x length", "Float part no."]]
    floats += [["LG-2", 300, "50 x 250", "QF-1"]]
    grid = sheet([*LABELS, INDEX, *gauges(2), [""], *floats])
    others = [
        Found("", 0, "For", "A8"),
        Found("", 2, "Float diameter x length", "C8", part=0),
        Found("", 2, "Float diameter x length", "C8", part=1),
    ]
    below = Layout(
        "floats", (7,), 8, 9, FLOAT | {"float_part": Found("float_part", 3, "Float part no.", "D8")}, others
    )
    (found,) = headed.records_of(grid, [index(3, 2), below])
    assert said([found]) == [["LG-1", "Oil", 851, 10, 5, 100], ["LG-2", "Oil", 852, 10, 5, 100, 300, "QF-1"]]
    assert [one.text for one in found.properties] == [
        *INDEX,
        "Viscosity",
        "Design temperature",
        "Float mass g",
        "Float part no.",
    ]
    assert found.properties[-2].known == "float_mass"


def test_a_list_above_is_not_joined() -> None:
    """Its rows say of which gauges they are, but its headings stand above the labels."""
    floats: Rows = [["For", "Float mass g", "Part"], ["LG-2", 300, "QF-1"], [""]]
    rows = [*floats, *LABELS, INDEX, *gauges(2)]
    above = Layout("floats", (0,), 1, 2, FLOAT,
                   [Found("", 0, "For", "A8")])  # fmt: skip
    (found,) = headed.records_of(sheet(rows), [above, index(6, 2)])
    assert all(300 not in values[:4] for values in said([found]))
    assert "Float mass g" not in [one.text for one in found.properties[: len(INDEX)]]


@pytest.mark.parametrize(
    ("tags", "named", "joined"),
    [
        (["LG-1", "LG-2"], ["LG-2"], [[], [300]]),
        (["LG-1", "LG-2"], ["LG-2", "LG-1"], [[301], [300]]),
        (["LG-1", "LG-1"], ["LG-1"], [[], []]),
        (["LG-1", "LG-2"], ["LG-2", "LG-2"], [[], []]),
        (["LG-1", "LG-2"], ["LG-3"], [[], []]),
        (["LG-1", "LG-2"], ["LG-1", "LG-2", "LG-3"], [[], []]),
    ],
)
def test_each_row_of_a_list_that_is_joined_names_one_gauge(
    tags: list[str], named: list[str], joined: list[list[int]]
) -> None:
    rows: Rows = [[tag, *row[1:]] for tag, row in zip(tags, gauges(2), strict=True)]
    floats: Rows = [
        ["For", "Float mass g", "Part"],
        *([tag, 300 + n, f"QF-{n}"] for n, tag in enumerate(named)),
    ]
    grid = sheet([*LABELS, INDEX, *rows, [""], *floats])
    below = Layout("floats", (7,), 8, 8 + len(named), FLOAT, [Found("", 0, "For", "A8")])
    found = list(headed.records_of(grid, [index(3, 2), below]))
    assert [values[6:7] for values in said(found)] == joined
