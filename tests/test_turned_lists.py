"""Lists that do not stand upright: rows tried as headings, units and titles beside them, in memory."""

from __future__ import annotations

from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from tests.test_shapes_in_memory import GAUGES, HEADS
from xlfuncs.lists import turned
from xlfuncs.lists.upright import Records

Rows = list[list[Any]]
BELOW, COLUMNS = "a list with its headings below", "gauges in columns"
UNITS = ["", "", "kg/m3", "mPa.s", "barg"]


def found(rows: Rows, shape: str) -> list[Records]:
    return [one for one in turned.records_of(sheet(rows)) if one.shape == shape]


def flipped(rows: Rows) -> Rows:
    return [list(column) for column in zip(*rows, strict=True)]


@pytest.mark.parametrize(("heads", "tried"), [(1, 1), (3, 3), (4, 3), (6, 3)])
def test_three_rows_are_tried_as_headings(heads: int, tried: int) -> None:
    words = ["Density", "Viscosity", "Design pressure", "Design temperature"]
    rows = [["Tag", *words[n % 4 :], *words[: n % 4]] for n in range(heads)]
    assert len(found([*GAUGES, *rows], BELOW)) == tried


def test_the_units_beside_the_headings_are_cells_of_the_list() -> None:
    (one,) = found([*GAUGES, UNITS, HEADS], BELOW)
    assert one.used == {(5, col) for col in range(1, 6)}
    assert found([*GAUGES, HEADS], BELOW)[0].used == set()
    (columns,) = found(flipped([HEADS, UNITS, *GAUGES]), COLUMNS)
    assert columns.used == {(row, 2) for row in range(1, 6)}
    assert [one.unit for one in columns.properties] == UNITS
    assert len(columns.records) == 4


def test_a_label_with_a_unit_and_no_value_is_no_title_of_a_section() -> None:
    def above(unit: str) -> tuple[str, ...]:
        heads = [*HEADS[:4], "Process", HEADS[4]]
        units = [*UNITS[:4], unit, UNITS[4]]
        rows = [heads, units, *([*row[:4], "", row[4]] for row in GAUGES)]
        (one,) = found(flipped(rows), COLUMNS)
        return one.properties[-1].above

    assert above("") == ("Process",)
    assert above("mm") == ()


def test_without_a_column_of_units_a_label_without_values_is_a_title() -> None:
    heads = [*HEADS[:4], "Process", HEADS[4]]
    rows = [heads, *([*row[:4], "", row[4]] for row in GAUGES)]
    (one,) = found(flipped(rows), COLUMNS)
    assert [each.above for each in one.properties][3:] == [(), ("Process",), ("Process",)]
    assert [each.unit for each in one.properties] == [""] * 6


def test_tags_without_a_heading_of_their_own_are_known_by_their_cells() -> None:
    rows = [["Zork", *HEADS[1:]], *GAUGES]
    (one,) = found(flipped(rows), COLUMNS)
    assert [each.known for each in one.properties] == ["tag", "", "", "", ""]
    (named,) = found(flipped([HEADS, *GAUGES]), COLUMNS)
    assert [each.known for each in named.properties] == [""] * 5
