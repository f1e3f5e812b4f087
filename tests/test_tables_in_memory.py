"""The table of a list: cells merged, parted and joined, ranges, per cent, and what is in doubt, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists.found import Found, Layout
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import attempt, find_layouts
from xlfuncs.lists.model import Column, State
from xlfuncs.lists.tables import Made, choices, make
from xlfuncs.spreadsheet.grid import Range
from xlfuncs.vocabulary.meaning import Kind, read_heading

Rows = list[list[Any]]
TAGS = ["LG-1", "LG-2", "LG-3", "LG-4"]
DENSITY = ["Density kg/m3", 850, 860, 870, 880]
RANGE = ["Visible range mm", 1000, 500, 1000, None]


def made(
    *columns: Sequence[Any], above: Rows | None = None, merges: Sequence[Range] = (), name: str = "Index"
) -> Made:
    """The table of columns beside the tags of four gauges, their headings first."""
    rows = [list(row) for row in zip(["Tag", *TAGS], *columns, strict=True)]
    rows = [["" if value is None else value for value in row] for row in [*(above or []), *rows]]
    grid = sheet(rows, merges)
    grid.sheet = name
    layout = attempt(grid, len(above or []), "gauges", Instructions())
    assert layout is not None
    return make(grid, layout)


def column(name: str, *columns: Sequence[Any], merges: Sequence[Range] = ()) -> Column:
    return made(DENSITY, *columns, merges=merges).table.columns[name]


def under(
    fields: Sequence[str], heads: Sequence[str], rows: Rows, kind: Kind = "gauges", **found: Any
) -> Made:
    """The table of columns that are known to be fields; `found`: what else was found of the last one."""
    columns = {
        name: Found(name, j, heads[j], f"{'ABCDEFGH'[j]}1", **(found if name == fields[-1] else {}))
        for j, name in enumerate(fields)
    }
    return make(sheet([list(heads), *rows]), Layout(kind, (0,), 1, len(rows) + 1, columns))


# --- a list and its rows -----------------------------------------------------------------------------------


def test_rows_of_a_float_list_are_counted_as_its_own() -> None:
    fields = ["float_part", "float_mass", "float_diameter"]
    rows: Rows = [["QF-1", 300, 50], ["QF-2", 310, 50]]
    found = under(fields, ["Part no.", "Mass g", "OD mm"], rows, "floats")
    assert found.rows["float list"].tolist() == [2, 3]
    assert "audited" not in found.rows
    gauges = made(DENSITY, RANGE)
    assert gauges.rows["audited"].tolist() == [2, 3, 4, 5]
    assert "float list" not in gauges.rows


def test_a_list_without_a_row_has_no_values() -> None:
    found = under(["tag", "fluid_density"], ["Tag", "Density kg/m3"], [])
    assert len(found.table) == 0


@pytest.mark.parametrize(("rows", "read"), [(10, True), (11, False), (1, True), (40, False)])
def test_the_title_of_a_list_stands_in_the_ten_rows_above_it(rows: int, read: bool) -> None:
    """A tag of no level gauge with a chamber's sizes is one where the title says what all are."""
    above: Rows = [["Magnetic level gauges", "", "", ""], *[["", "", "", ""]] * (rows - 1)]
    distance = ["C-C mm", 900, 900, 900, 900]
    columns = [["Tag", "QX-101", *TAGS[1:]], DENSITY, distance, RANGE]
    cells = [["" if value is None else value for value in row] for row in zip(*columns, strict=True)]
    grid = sheet([*above, *cells])
    layout = attempt(grid, rows, "gauges", Instructions())
    assert layout is not None
    tags = make(grid, layout).table.columns["tag"].text.tolist()
    assert ("QX-101" in tags) is read


def test_what_became_of_the_rows_of_other_instruments_is_told_by_why() -> None:
    kinds = ["Type", "magnetic", "radar", "reflex", "radar"]
    found = made(DENSITY, RANGE, kinds)
    assert found.rows["audited"].tolist() == [2]
    assert found.rows["other instrument"].tolist() == [3, 5]
    assert found.rows["level glass without float"].tolist() == [4]


def test_columns_without_a_value_are_none_of_the_table() -> None:
    found = made(
        DENSITY, RANGE, ["Viscosity mPa.s", None, None, None, None], ["C-C mm", None, None, 9e2, None]
    )
    assert "viscosity" not in found.table.columns
    assert "connection_distance" in found.table.columns


def test_a_column_that_was_not_understood_is_filled_or_not() -> None:
    found = made(DENSITY, RANGE, ["Zork", "x", "", "", ""], ["Zeta", "", " ", "", ""])
    assert [(one.heading, one.filled) for one in found.table.unrecognised] == [
        ("Zork", True),
        ("Zeta", False),
    ]


def test_no_confidence_is_more_than_certain() -> None:
    fields = ["tag", "fluid_density", "visible_range", "viscosity"]
    heads = ["Tag", "Density kg/m3", "Visible mm", "Viscosity mPa.s"]
    rows: Rows = [["LG-1", 850, 900, 5]]
    told: dict[str, Any] = {"score": 1.06, "runner_up": "viscosity_max", "runner_up_score": 1.04}
    known = under(fields, heads, rows, **told).table.recognised[-1]
    assert (known.confidence, known.runner_up_confidence) == (1.0, 1.0)
    less = under(fields, heads, rows, score=0.9, runner_up="viscosity_max", runner_up_score=0.8)
    assert (less.table.recognised[-1].confidence, less.table.recognised[-1].runner_up_confidence) == (
        0.9,
        0.8,
    )

    def doubted(score: float) -> tuple[float, float]:
        columns = {name: Found(name, j, heads[j], "A1") for j, name in enumerate(fields[:3])}
        other = Found("", 3, "Zork", "D1", score=score, doubted="viscosity")
        (left,) = make(
            sheet([heads, *rows]), Layout("gauges", (0,), 1, 2, columns, [other])
        ).table.unrecognised
        return left.confidence, left.runner_up_confidence

    assert doubted(1.06) == (1.0, 1.0)
    assert doubted(0.75) == (0.75, 0.75)


# --- cells -------------------------------------------------------------------------------------------------


def test_a_value_merged_over_rows_counts_for_each_and_stands_where_it_begins() -> None:
    cells = ["Viscosity mPa.s", 5, None, 7, None]
    found = column("viscosity", cells, merges=[(2, 3, 3, 3)])
    assert found.raw.tolist()[:3] == [5, 5, 7]
    assert [found.address(i) for i in range(3)] == ["C2", "C2", "C4"]
    assert not found.given[3]
    both = column("viscosity", cells, merges=[(4, 3, 5, 3), (2, 3, 3, 3)])
    assert both.raw.tolist() == [5, 5, 7, 7]


def test_a_heading_that_is_merged_with_the_cell_below_it_is_no_value() -> None:
    cells = ["Viscosity mPa.s", None, 6, 7, 8]
    found = column("viscosity", cells, merges=[(1, 3, 2, 3)])
    assert not found.given[0]
    assert found.given[1:].all()
    assert found.address(0) == "C2"


def test_parts_below_a_gauge_give_what_its_row_leaves_blank() -> None:
    fields = ["tag", "fluid", "fluid_density", "viscosity", "design_pressure", "float_mass", "float_part"]
    heads = ["Tag", "Fluid", "Density kg/m3", "Viscosity mPa.s", "Design barg", "Mass g", "Part"]
    rows: Rows = [
        ["LG-1", "Oil", 850, 5, "", "", ""],
        ["", "Float", "", "", "", 300, "QF-1"],
        ["", "Cover", "", "", 10, "", ""],
        ["LG-2", "Oil", 860, 6, "", "", ""],
    ]
    found = under(fields, heads, rows)
    columns = found.table.columns
    assert columns["tag"].text.tolist() == ["LG-1", "LG-2"]
    assert columns["float_mass"].raw.tolist() == [300, None]
    assert [columns["float_mass"].address(i) for i in range(2)] == ["F3", "F5"]
    assert columns["design_pressure"].address(0) == "E4"
    assert columns["fluid"].text.tolist() == ["Oil", "Oil"], "what its own row says counts"
    assert columns["fluid_density"].address(0) == "C2"
    assert found.rows["component"].tolist() == [3, 4]
    blank = under(fields, heads, [*rows, ["LG-3", "", 870, 7, "", "", ""]]).table.columns["fluid"]
    assert blank.address(2) == "B6"


def test_a_cell_of_two_tags_has_a_column_for_each_and_a_lone_one_is_the_gauges() -> None:
    heads = ["Gauge tag / Transmitter tag", "Density kg/m3", "Visible range mm"]
    rows = [[cell, 850, 900] for cell in ("LG-1 / LT-1", "LG-2 / LT-2", "LG-3 / LT-3", "LG-4", "blue")]
    grid = sheet([heads, *rows])
    layout = attempt(grid, 0, "gauges", Instructions())
    assert layout is not None
    columns = make(grid, layout).table.columns
    assert columns["tag"].text.tolist()[:4] == ["LG-1", "LG-2", "LG-3", "LG-4"]
    assert columns["transmitter_tag"].text.tolist()[:4] == ["LT-1", "LT-2", "LT-3", ""]


# --- fields that share a cell, or stand in two -------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "same"),
    [
        ("C-C = visible range mm", True),
        ("C-C (= visible range) mm", True),
        ("C-C mm", False),
        ("C-C = length mm", False),
    ],
)
def test_one_number_is_the_distance_and_the_range_where_the_heading_says_both(
    heading: str, same: bool
) -> None:
    found = made(DENSITY, [heading, 900, 800, 700, 600]).table.columns
    assert ("visible_range" in found and "connection_distance" in found) is same


def test_a_heading_of_two_quantities_with_a_value_for_each_is_not_one_number() -> None:
    cells = ["C-C / visible range mm", "1200 / 900", "1200 / 800", "1200 / 700", "1200 / 600"]
    found = made(DENSITY, cells).table.columns
    assert found["connection_distance"].low.tolist() == [1.2] * 4
    assert found["visible_range"].low.tolist() == pytest.approx([0.9, 0.8, 0.7, 0.6])


def test_a_centre_distance_within_the_range_goes_to_its_own_column() -> None:
    cells = ["Visible range mm", "c/c 1500", 900, 800, 700]
    stated = ["C-C mm", 1200, 1000, 900, 800]
    assert column("connection_distance", cells, stated).low[0] == 1.2
    blank = column("connection_distance", cells, ["C-C mm", None, 1000, 900, 800])
    assert (blank.low[0], blank.address(0), blank.address(1)) == (1.5, "C2", "D3")


@pytest.mark.parametrize(
    ("cell", "pressure", "temperature"),
    [
        ("10 / 120", 1e6, 393.15),
        ("10\n120", 1e6, 393.15),
        ("10 @ 120", 1e6, 393.15),
        ("10 | 120", 1e6, 393.15),
        ("10", None, None),
        ("10 / 20 / 30", None, None),
        ("-", None, None),
        ("#REF!", None, None),
        (None, None, None),
    ],
)
def test_a_pressure_and_a_temperature_of_one_cell(
    cell: str | None, pressure: float | None, temperature: float | None
) -> None:
    heading = "Design P/T (barg / degC)"
    columns = made(DENSITY, [heading, cell, "16 / 200", "16 / 200", "16 / 200"]).table.columns
    for name, due in (("design_pressure", pressure), ("design_temperature", temperature)):
        found = columns[name]
        assert found.given.tolist() == [due is not None, True, True, True]
        assert due is None or found.low[0] == pytest.approx(due)
        assert bool(found.state[0] == State.BLANK) is (cell is None)
        assert bool(found.state[0] == State.UNREADABLE) is (cell in ("10", "10 / 20 / 30"))


@pytest.mark.parametrize("more", [["C-C", "mm", 900], []])
def test_both_units_of_a_pair_stand_in_the_row_of_units(more: list[Any]) -> None:
    """In a narrow list too, where they are one of two cells of units."""
    rows: Rows = [["Tag", "Density", "Design P/T", *more[:1]], ["", "kg/m3", "psig / degF", *more[1:2]]]
    rows += [[tag, 850, "100 / 212", *more[2:]] for tag in TAGS]
    grid = sheet(rows)
    (layout,) = find_layouts(grid, Instructions())
    assert layout.headings == (0, 1)
    columns = make(grid, layout).table.columns
    assert columns["design_temperature"].low[0] == pytest.approx(373.15)
    assert columns["design_pressure"].low[0] == pytest.approx(689476, rel=1e-4)


def test_a_reversed_range_keeps_its_ends() -> None:
    cells = ["Transmitter range mm", "0-1000", "1000-0", "500 - 500", 500]
    lrv, urv = (column(name, cells) for name in ("lrv", "urv"))
    assert [*zip(lrv.low, urv.low, strict=True)][:2] == [(0.0, 1.0), (1.0, 0.0)]
    for i in (2, 3):
        assert lrv.state[i] == urv.state[i] == State.UNREADABLE
        assert "holds one number, not a range" in lrv.problem[i]
    assert 0 not in lrv.problem


def test_the_end_of_a_range_in_a_column_of_its_own_counts_first() -> None:
    cells = ["Transmitter range mm", "0-1000", "0-1000", "0-1000", None]
    own = ["URV mm", 900, None, "TBC", 700]
    urv = column("urv", cells, own)
    assert urv.low[[0, 1, 3]].tolist() == pytest.approx([0.9, 1.0, 0.7])
    assert urv.state[2] == State.PLACEHOLDER
    assert [urv.address(i) for i in range(4)] == ["D2", "C3", "D4", "D5"]


def test_a_visible_range_of_two_ends_is_a_place_and_a_length() -> None:
    cells = ["Visible range mm", "100-1100", 900, "0 to 800", 700]
    assert column("visible_range", cells).low.tolist() == pytest.approx([1.0, 0.9, 0.8, 0.7])
    low = column("visible_low", cells)
    assert low.given.tolist() == [True, False, True, False]
    assert low.low[0] == 0.1
    assert "visible_low" not in made(DENSITY, ["Visible range mm", 900, 900, 800, 700]).table.columns


def test_the_widest_range_of_three_columns_and_the_cell_of_its_end() -> None:
    columns = (
        ["Oper. temp min degC", 10, 10, None, None],
        ["Oper. temp degC", 50, None, 50, None],
        ["Oper. temp max degC", 90, 90, 40, 70],
    )
    found = column("operating_temperature", *columns)
    ends = [(283.15, 363.15), (283.15, 363.15), (313.15, 323.15), (343.15, 343.15)]
    assert [*zip(found.low, found.high, strict=True)] == [pytest.approx(each) for each in ends]
    assert [found.address(i) for i in range(4)] == ["E2", "E3", "D4", "E5"]


# --- per cent of the visible range -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stated", "cell", "beside", "due"),
    [
        ("%", 80, "", 0.8),
        ("%", 80, "mm", 0.08),
        ("%", "80 %", "mm", 0.8),
        ("%", "80", "", 0.8),
        ("%", "80 mm", "", 0.08),
        ("mm", 80, "", 0.08),
        ("mm", "80 %", "", 0.8),
        ("mm", 80, "mm", 0.08),
        ("", 80, "%", 0.8),
        ("", 80, "(%)", 0.8),
        ("", 80, "mm", 0.08),
    ],
)
def test_a_set_point_in_per_cent_is_known_by_its_heading_the_unit_beside_it_or_its_cell(
    stated: str, cell: Any, beside: str, due: float
) -> None:
    columns = {
        name: Found(name, j, name, f"{'ABC'[j]}1", unit=unit)
        for j, (name, unit) in enumerate({"tag": "", "visible_range": "mm", "switch_lsh": stated}.items())
    }
    grid = sheet([["Tag", "Visible", "High", "Unit"], ["LG-1", 1000, cell, beside]])
    layout = Layout("gauges", (0,), 1, 2, columns, units_beside={"switch_lsh": 3})
    found = make(grid, layout)
    assert found.table.columns["switch_lsh"].low[0] == pytest.approx(due)
    assert found.table.columns["switch_lsh"].raw[0] == cell
    (one,) = [one for one in found.table.recognised if one.field == "switch_lsh"]
    assert one.heading == "switch_lsh"


def test_lengths_beside_per_cent_are_in_the_unit_of_their_heading() -> None:
    found = column("switch_lsh", RANGE, ["High alarm switch mm", "80 %", 400, "90 %", 700])
    assert found.low.tolist() == pytest.approx([0.8, 0.4, 0.9, 0.7])
    inches = column("switch_lsh", RANGE, ["High alarm switch in", "80 %", 10, "90 %", 20])
    assert inches.low.tolist() == pytest.approx([0.8, 0.254, 0.9, 0.508])


def test_a_value_in_both_units_of_its_heading_has_to_agree_with_itself() -> None:
    cells = ["Design press. kPag (psig)", "140 (20.3)", "200 (29)", "200 (99)", "300 / 43.5"]
    found = column("design_pressure", cells)
    assert found.low[[0, 1, 3]].tolist() == pytest.approx([140e3, 200e3, 300e3], rel=0.01)
    assert found.given.tolist() == [True, True, False, True]
    assert "'200 kPag (99 psig)' states two values that differ" in found.problem[2]
    assert list(found.problem) == [2]
    one = column("design_pressure", ["Design press. kPag", "140 (20.3)", 200, 200, 300])
    assert one.given[1:].all()
    assert "psig" not in str(one.problem)


def test_per_cent_of_a_range_that_is_not_stated_is_no_length() -> None:
    found = column("switch_lsh", RANGE, ["High alarm switch %", 80, 80, 80, 80])
    assert found.given.tolist() == [True, True, True, False]
    assert found.raw.tolist() == [80] * 4


# --- doubts ------------------------------------------------------------------------------------------------


def test_numbers_whose_unit_stands_nowhere_are_counted() -> None:
    def told(name: str, *cells: Any) -> str:
        rows: Rows = [[tag, cell] for tag, cell in zip(TAGS, cells, strict=False)]
        (one,) = under(["tag", name], ["Tag", "Data"], rows).doubts
        assert one.kind == "unit"
        return one.text

    fits = "neither SG nor kg/m3 fits all of them"
    assert f"its number cannot be used, {fits}" in told("fluid_density", 55)
    assert f"2 numbers cannot be used, {fits}" in told("fluid_density", 55, 850)
    assert "2 numbers cannot be used, their unit stands nowhere" in told("design_pressure", 10, 20)


def test_a_unit_that_the_numbers_tell_is_told_by_the_cells() -> None:
    def source(heading: str, *cells: Any) -> str:
        found = made([heading, *cells], RANGE).table.recognised
        return next(one.unit_source for one in found if one.field == "fluid_density")

    assert source("Density", 850, 860, 870, 880) == "cells"
    assert source("Density kg/m3", 850, 860, 870, 880) == "heading"


def test_how_many_levels_without_a_lower_end_are_not_used() -> None:
    def told(*cells: Any) -> list[str]:
        found = made(DENSITY, ["Highest visible level mm", *cells], ["C-C mm", 900, 900, 900, 900])
        return [one.text for one in found.doubts if one.kind == "heading"]

    assert "its number was not used" in told(900, None, None, None)[0]
    assert "2 numbers were not used" in told(900, 900, None, None)[0]


@pytest.mark.parametrize(("score", "asked"), [(0.68, True), (0.67, False), (0.74, True), (0.9, True)])
def test_a_second_meaning_is_asked_from_0_68(score: float, asked: bool) -> None:
    found = Found("", 0, "Range", "A1", runner_up="transmitter_range", runner_up_score=score)
    found.reading = read_heading("Range")
    assert choices(found) == (["transmitter_range"] if asked else [])
    found.doubted = "visible_range"
    assert choices(found)[0] == "visible_range"
    foreign = Found("", 0, "Price", "A1", runner_up="urv", runner_up_score=score)
    foreign.reading = read_heading("Price")
    assert choices(foreign) == []


def test_a_kinematic_viscosity_takes_the_density_beside_it() -> None:
    found = column("viscosity", ["Viscosity cSt", 10, 10, 10, 10])
    assert found.low.tolist() == pytest.approx([0.0085, 0.0086, 0.0087, 0.0088])
    assert not np.isnan(found.low).any()
