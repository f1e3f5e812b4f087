"""Cases of a gauge side by side and in rows, and what a shape must be worth to be taken, in memory."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.test_heads_and_rows import sheet
from tests.test_set_upright import cases_abreast, shaped
from xlfuncs.lists import abreast, case_rows
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.lists.shapes import choose
from xlfuncs.lists.tables import Made
from xlfuncs.lists.upright import worth_of
from xlfuncs.spreadsheet.grid import Grid, Range

Rows = list[list[Any]]


def cases(*rows: list[Any], merges: list[Range] | None = None) -> list[str]:
    """The cases of the first gauge."""
    grid = sheet(rows, merges or [])
    found = list(abreast.records_of(grid, find_layouts(grid, Instructions())))
    return [record.case for one in found for record in one.records if record.cells[0].value == "LG-1"]


# --- side by side ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("common", "made"), [(2, False), (3, True), (4, True)])
def test_cases_have_six_tenths_of_five_headings_in_common(common: int, made: bool) -> None:
    five = ["density kg/m3", "viscosity mPa.s", "oper. press barg", "oper. temp degC", "upper density kg/m3"]
    assert bool(cases_abreast(five, five[:common])) is made
    assert bool(cases_abreast(five[:common], five)) is made


def _over(text: str, columns: int) -> list[str]:
    """A heading over some columns."""
    return [text, *[""] * (columns - 1)]


def _bidders(*columns: str, repeated: int) -> list[str]:
    """The cases of columns below 'Bidder A' and the first of them again below 'Bidder B'."""
    n = len(columns)
    top = ["", "", "", "", *_over("Bidder A", n), *_over("Bidder B", repeated)]
    heads = ["Tag", "Fluid", "C-C mm", "Design press barg", *columns, *columns[:repeated]]
    body = [
        [f"LG-{k}", "Oil", 900, 10, *[800 + 10 * k + 7 * j for j in range(n + repeated)]] for k in (1, 2, 3)
    ]
    merges = [(1, 5, 1, 4 + n), (1, 5 + n, 1, 4 + n + repeated)]
    return cases(top, heads, *body, merges=merges)


def test_groups_of_two_columns_below_a_common_heading_are_cases() -> None:
    assert _bidders("Density kg/m3", "Viscosity mPa.s", repeated=2) == ["Bidder A", "Bidder B"]
    assert _bidders("Density kg/m3", "Viscosity mPa.s", "Float mass g", repeated=3) == [
        "Bidder A",
        "Bidder B",
    ]
    assert _bidders("Density kg/m3", "Viscosity mPa.s", repeated=1) == []
    assert _bidders("Density kg/m3", repeated=1) == []


def test_cases_stand_below_what_they_are_cases_of() -> None:
    def beneath(*own: str) -> list[str]:
        n = len(own)
        top = ["", "", "", *_over("Density kg/m3", n), *_over("Viscosity mPa.s", n)]
        heads = ["Tag", "Fluid", "C-C mm", *own, *own]
        body = [[f"LG-{k}", "Oil", 900, *[850 + k] * n, *[5 + k] * n] for k in (1, 2, 3)]
        return cases(top, heads, *body, merges=[(1, 4, 1, 3 + n), (1, 4 + n, 1, 3 + 2 * n)])

    assert beneath("Normal", "Case A", "Case B") == ["normal", "Case A", "Case B"]
    assert beneath("Case A", "Case B") == ["Case A", "Case B"]
    assert beneath("Normal", "Case A") == ["normal", "Case A"]
    assert beneath("Normal", "Zork") == []


# --- in rows ---------------------------------------------------------------------------------------------

IN_ROWS: Rows = [
    ["Tag", "Case", "Density kg/m3", "Viscosity mPa.s", "C-C mm"],
    ["LG-1", "normal", 850, 5, 1000],
    ["LG-1", "start-up", 900, 50, ""],
    ["LG-2", "normal", 860, 5, 1000],
]
ABREAST: Rows = [
    ["Tag", "Fluid", "Case A density kg/m3", "Case B density kg/m3", "Design pressure barg"],
    *([f"LG-{n}", "Oil", 850 + n, 700 + n, 10] for n in range(4)),
]


@pytest.mark.parametrize(("rows", "made"), [(20_000, True), (20_001, False), (21_000, False)])
def test_lists_of_more_than_20_000_rows_have_no_cases(rows: int, made: bool) -> None:
    for shape, given in ((case_rows, IN_ROWS), (abreast, ABREAST)):
        small = sheet(given)
        (layout,) = find_layouts(small, Instructions())
        values = np.full((rows + 1, small.values.shape[1]), "", dtype=object)
        values[: len(given)] = small.values
        whole = replace(layout, last=rows + 1)
        assert bool(list(shape.records_of(Grid.block("Index", values), [whole]))) is made


def test_gauges_that_stand_once_each_have_no_cases_in_rows() -> None:
    def of(*rows: list[Any]) -> list[str]:
        grid = sheet([IN_ROWS[0], *rows])
        found = case_rows.records_of(grid, find_layouts(grid, Instructions()))
        return [record.case for one in found for record in one.records]

    once = [[f"LG-{n}", case, 850 + n, 5, 1000] for n, case in enumerate(("normal", "summer", "winter"))]
    assert of(*once) == []
    assert of(*once, ["LG-2", "start-up", 900, 50, ""]) == ["", "", "winter", "start-up"]


def test_a_list_of_floats_has_no_cases() -> None:
    grid = sheet(IN_ROWS)
    (layout,) = find_layouts(grid, Instructions())
    assert list(case_rows.records_of(grid, [layout]))
    assert not list(case_rows.records_of(grid, [replace(layout, kind="floats")]))


# --- what a shape must be worth ----------------------------------------------------------------------------


def worth(values: int) -> Made:
    """A list in which so many values are understood."""
    rows: Rows = [[f"LG-{n}", 850, 5] for n in range(-(-values // 3))]
    for n in range(3 * len(rows) - values):
        rows[-1][2 - n] = ""
    found = shaped(["Tag", "Density kg/m3", "Viscosity mPa.s"], rows)
    assert found is not None and worth_of([found.made]) == values
    return found.made


BILL: Rows = [
    ["Level", "Tag", "Description", "Density kg/m3", "Float mass g"],
    *(row for n in (1, 2) for row in ([1, f"LG-{n}", "", 850, ""], [2, "", "Float", "", 340 + n])),
]
POINTS: Rows = [
    ["Gauge", "Tag", "Service", "Limit mm"],
    *([f"LG-{n}", f"{part}-{n}", "x", 500] for n in (1, 2) for part in ("LT", "LSH")),
]


@pytest.mark.parametrize(
    ("rows", "least"),
    [(IN_ROWS, 0.8), (ABREAST, 0.8), (BILL, 0.4), (POINTS, 0.2)],
    ids=["in rows", "side by side", "a bill", "points"],
)
def test_a_shape_is_taken_from_its_share_of_the_worth_of_a_plain_list(rows: Rows, least: float) -> None:
    grid = sheet(rows)
    layouts = find_layouts(grid, Instructions())
    own = choose(grid, layouts, [], Instructions())
    assert own.shaped is not None
    most = int(own.shaped.worth / least + 1e-9)
    assert choose(grid, layouts, [worth(most)], Instructions()).shape == own.shape
    assert choose(grid, layouts, [worth(most + 1)], Instructions()).shape == "a list"
    assert own.shaped.worth < 1.1 * least * most, "a tenth more would not be reached"
