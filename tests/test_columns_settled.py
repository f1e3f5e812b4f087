"""Fields that share a cell or stand in two, per cent of a range, what is said of each column: both sides."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.rows import save
from xlfuncs.lists.model import Book, Column
from xlfuncs.lists.reader import read_book

Rows = list[list[Any]]
TAGS = [f"LG-{n}" for n in range(1, 5)]
PLAIN = ["Density kg/m3", 850, 860, 870, 880]


def book(folder: Path, *columns: Sequence[Any]) -> Book:
    rows = [list(row) for row in zip(["Tag", *TAGS], PLAIN, *columns, strict=True)]
    return read_book(save(folder / "book.xlsx", Index=rows))


def column(folder: Path, name: str, *columns: Sequence[Any]) -> Column:
    (table,) = book(folder, *columns).gauges
    return table.columns[name]


def si(folder: Path, name: str, *columns: Sequence[Any]) -> list[tuple[float, float]]:
    found = column(folder, name, *columns)
    return [(round(low, 4), round(high, 4)) for low, high in zip(found.low, found.high, strict=True)]


def test_lowest_usual_and_highest_values_span_one_range(tmp_path: Path) -> None:
    columns = (
        ["Oper. temp min degC", 10, 10, None, "?"],
        ["Oper. temp degC", 50, None, 50, 50],
        ["Oper. temp max degC", 90, 90, 40, None],
    )
    found = column(tmp_path, "operating_temperature", *columns)
    kelvin = [(283.15, 363.15), (283.15, 363.15), (313.15, 323.15), (323.15, 323.15)]
    assert [*zip(found.low, found.high, strict=True)] == [pytest.approx(ends) for ends in kelvin]
    assert [found.address(i) for i in range(4)] == ["E2", "E3", "D4", "D5"], "the cell of the highest value"


def test_a_value_that_cannot_be_is_not_hidden_by_the_others(tmp_path: Path) -> None:
    columns = (["Oper. temp degC", 50, 50, 50, 50], ["Oper. temp max degC", 90, -400, 90, "#REF!"])
    found = column(tmp_path, "operating_temperature", *columns)
    assert [found.address(i) for i in range(4)] == ["D2", "D3", "D4", "D5"]
    assert found.given.tolist() == [True, False, True, False]


def test_a_visible_range_of_two_ends_is_a_place_and_a_length(tmp_path: Path) -> None:
    cells = ["Visible range mm", "100-1100", 900, "0 to 800", "1000 - 1000"]
    assert si(tmp_path, "visible_range", cells)[:3] == [(1.0, 1.0), (0.9, 0.9), (0.8, 0.8)]
    low = column(tmp_path, "visible_low", cells)
    assert [low.low[0], low.low[2]] == [0.1, 0.0]
    assert not low.given[1]


def test_a_transmitters_range_has_two_ends_whichever_comes_first(tmp_path: Path) -> None:
    cells = ["Transmitter range mm", "0-1000", "1000-0", "1,5 - 20", 500]
    lrv, urv = (column(tmp_path, name, cells) for name in ("lrv", "urv"))
    assert [lrv.low[0], urv.low[0]] == [0.0, 1.0]
    assert [lrv.low[1], urv.low[1]] == [1.0, 0.0]
    assert [lrv.low[2], urv.low[2]] == [0.0015, 0.02]
    assert not lrv.given[3]
    assert "holds one number, not a range" in lrv.problem[3]


def test_two_fields_of_one_cell(tmp_path: Path) -> None:
    cells = ["Design P/T (barg / degC)", "10 / 120", "16 / 200", "-", "10"]
    pressure, temperature = (
        column(tmp_path, f"design_{name}", cells) for name in ("pressure", "temperature")
    )
    assert pressure.low[:2].tolist() == pytest.approx([1e6, 1.6e6])
    assert temperature.low[:2].tolist() == pytest.approx([393.15, 473.15])
    assert pressure.given.tolist() == temperature.given.tolist() == [True, True, False, False]
    own = ["Design temp degC", 50, 60, 70, 80]
    assert column(tmp_path, "design_temperature", cells, own).low[0] == pytest.approx(323.15)


def test_a_centre_distance_within_the_column_of_the_range(tmp_path: Path) -> None:
    cells = ["Visible range mm", "c/c 1500", 900, 800, 700]
    distance = column(tmp_path, "connection_distance", cells)
    assert distance.low[0] == 1.5
    assert distance.given.tolist() == [True, False, False, False]
    assert column(tmp_path, "visible_range", cells).given.tolist() == [False, True, True, True]
    stated = ["C-C mm", 1200, 1000, 900, 800]
    assert column(tmp_path, "connection_distance", cells, stated).low[0] == 1.2


def test_one_number_for_the_distance_and_the_range(tmp_path: Path) -> None:
    cells = ["C-C = visible range mm", 900, 800, 700, 600]
    assert si(tmp_path, "connection_distance", cells) == si(tmp_path, "visible_range", cells)
    (table,) = book(tmp_path, cells, ["Visible range mm", 500, 500, 500, 500]).gauges
    assert table.columns["visible_range"].low[0] == 0.5
    (table,) = book(tmp_path, ["C-C mm", 900, 800, 700, 600]).gauges
    assert "visible_range" not in table.columns


RANGE = ["Visible range mm", 1000, 500, 1000, None]


@pytest.mark.parametrize(
    ("heading", "cells", "lengths"),
    [
        ("High alarm switch %", [80, 80, "90", 80], [0.8, 0.4, 0.9, None]),
        ("High alarm switch mm", ["80 %", 400, "90 %", "80 %"], [0.8, 0.4, 0.9, None]),
        ("High alarm switch mm", [800, 400, 900, 700], [0.8, 0.4, 0.9, 0.7]),
        ("High alarm switch %", ["80 mm", 80, 90, 80], [0.08, 0.4, 0.9, None]),
    ],
)
def test_set_points_in_per_cent_of_the_visible_range(
    heading: str, cells: list[Any], lengths: list[float | None], tmp_path: Path
) -> None:
    found = column(tmp_path, "switch_lsh", RANGE, [heading, *cells])
    for i, length in enumerate(lengths):
        assert found.given[i] == (length is not None)
        assert length is None or found.low[i] == pytest.approx(length)


def test_set_points_in_per_cent_beside_their_unit_and_from_the_lowest_visible_level(tmp_path: Path) -> None:
    low = ["Lowest visible level mm", 100, None, 0, None]
    found = column(tmp_path, "switch_lsh", RANGE, low, ["High alarm switch %", 50, 50, 50, 50])
    assert found.low[:3].tolist() == pytest.approx([0.6, 0.25, 0.5])
    beside = column(
        tmp_path, "switch_lsh", RANGE, ["High alarm switch", 50, 400, 50, 50], ["Unit", "%", "mm", "(%)", "%"]
    )
    assert beside.low[:3].tolist() == pytest.approx([0.5, 0.4, 0.5])


def test_a_kinematic_viscosity_takes_the_density_of_its_record(tmp_path: Path) -> None:
    rows: Rows = [
        ["Tag", "Density kg/m3", "Viscosity cSt", "C-C mm"],
        *([tag, rho, 10, 900] for tag, rho in zip(TAGS, [800, 900, None, 1000], strict=True)),
    ]
    (table,) = read_book(save(tmp_path / "book.xlsx", Index=rows)).gauges
    found = table.columns["viscosity"]
    assert found.low[[0, 1, 3]].tolist() == pytest.approx([0.008, 0.009, 0.01])
    assert not found.given[2]
    assert "no density beside it" in found.problem[2]


def test_a_value_in_both_units_of_its_heading(tmp_path: Path) -> None:
    cells = ["Design press. kPag (psig)", "140 (20.3)", "200 (29)", "200 (99)", "300 (43.5)"]
    found = column(tmp_path, "design_pressure", cells)
    assert found.low[:2].tolist() == pytest.approx([140e3, 200e3], rel=0.01)
    assert found.given.tolist() == [True, True, False, True]


# --- merged cells ----------------------------------------------------------------------------------------


def merged(folder: Path, *ranges: str, heads: int = 1) -> list[float]:
    path = folder / "merged.xlsx"
    rows: Rows = [["x"]] * (heads - 1) + [["Tag", "Density kg/m3", "C-C mm"]]
    rows += [[tag, rho, 900] for tag, rho in zip(TAGS, [800, None, 900, None], strict=True)]
    save(path, Index=rows)
    found = openpyxl.load_workbook(path)
    for one in ranges:
        found["Index"].merge_cells(one)
    found.save(path)
    (table,) = read_book(path).gauges
    return list(table.columns["fluid_density"].low)


def test_a_value_merged_over_several_rows_counts_for_each(tmp_path: Path) -> None:
    assert merged(tmp_path, "B2:B3")[:3] == [800, 800, 900]
    assert merged(tmp_path, "B2:B3", "B4:B5") == [800, 800, 900, 900]
    assert merged(tmp_path)[1] != 800
    assert merged(tmp_path, "B4:C5")[3] != 800


# --- what is said of columns -------------------------------------------------------------------------------


def test_no_column_is_surer_than_certain_and_a_doubtful_one_is_less(tmp_path: Path) -> None:
    found = book(tmp_path, ["Serial no.", *(f"A{n}" for n in range(440, 444))],
                 ["Label says", *(f"A{n}" for n in range(440, 444))], ["mPa.s", 5, 6, 7, 8],
                 ["Length mm", 300, 310, 320, 330])  # fmt: skip
    (table,) = found.gauges
    sure = {one.heading: one.confidence for one in table.recognised}
    assert sure["Tag"] == 1.0
    assert sure["Serial no."] == 1.0
    assert sure["mPa.s"] == 0.86
    (one,) = found.read
    read = {each.heading: each for each in one.columns}
    assert read["Serial no."].sure == 1.0
    assert read["mPa.s"].sure == pytest.approx(0.86)
    assert 0 < read["Length mm"].sure < 0.84


@pytest.mark.parametrize(
    ("densities", "count"),
    [([850, 0.9, 55, 870], "4 numbers"), ([850, 860, 870, 880], ""), ([55, None, None, None], "its number")],
)
def test_how_many_densities_are_left_out_for_want_of_a_unit(
    densities: list[Any], count: str, tmp_path: Path
) -> None:
    rows: Rows = [
        ["Tag", "Density", "C-C mm", "Visible mm"],
        *([tag, rho, 900, 800] for tag, rho in zip(TAGS, densities, strict=True)),
    ]
    found = read_book(save(tmp_path / "book.xlsx", Index=rows))
    told = [one.text for one in found.doubts if one.kind == "unit"]
    assert len(told) == bool(count)
    assert not count or f"{count} cannot be used, neither SG nor kg/m3 fits all of them" in told[0]
    (one,) = found.read
    assert [each.untold for each in one.columns if each.heading == "Density"] == [bool(count)]


def test_a_list_of_one_row_and_of_many_under_one_row_of_headings_and_two(tmp_path: Path) -> None:
    one = book(tmp_path, ["C-C mm", 900, 900, 900, 900]).read[0].line
    assert one == "Index: 4 rows under headings in row 1, 3 of 3 columns used"
    rows: Rows = [["Tag", "Density", "C-C"], ["", "kg/m3", "mm"], ["LG-1", 850, 900]]
    assert read_book(save(tmp_path / "one.xlsx", Index=rows)).read[0].line == (
        "Index: 1 row under headings in rows 1 to 2, 3 of 3 columns used"
    )
