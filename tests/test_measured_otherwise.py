"""Columns of values, and dimensions that a sheet measures otherwise than the audit does, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from math import nan, pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists.measured import between_ends, from_bottom, over_all
from xlfuncs.lists.model import Column, State
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.relations import counted_from


def texts(*values: str) -> Any:
    return np.array(values, dtype=object)


def column(name: str, *values: float, words: Sequence[str] = (), states: Sequence[State] = ()) -> Column:
    """Numbers in SI, or words; NaN for what is blank."""
    n = len(words or values)
    numbers = np.array(values or [nan] * n, dtype=float)
    plain = [State.BLANK if np.isnan(number) and not words else State.OK for number in numbers]
    return Column(
        field=name,
        raw=np.array([None] * n, dtype=object),
        state=np.array(states or plain, dtype=np.uint8),
        low=numbers,
        high=numbers.copy(),
        text=texts(*(words or [""] * n)),
        unit=texts(*[""] * n),
        sheet=texts(*["Floats"] * n),
        row=np.arange(2, n + 2),
        col=np.full(n, 3),
    )


# --- columns ---------------------------------------------------------------------------------------------


def test_a_value_is_given_where_a_number_or_a_number_as_text_stands() -> None:
    found = column("float_mass", *range(len(State)), states=list(State))
    assert [state for state, given in zip(State, found.given, strict=True) if given] == [
        State.OK,
        State.TEXT_NUMBER,
    ]


def test_a_record_has_an_address_where_it_has_a_cell() -> None:
    found = column("float_mass", 1, 2, 3)
    found.row[1] = 0
    found.col[2] = 0
    assert [found.address(i) for i in range(3)] == ["C2", "", ""]
    found.row[1] = found.col[2] = 1
    assert [found.address(i) for i in range(3)] == ["C2", "C1", "A4"]


def test_records_are_taken_again_and_absent_ones_are_blank() -> None:
    found = column("float_mass", 1, 2, 3).take(np.array([2, -1, 0]))
    assert found.low.tolist()[::2] == [3, 1]
    assert np.isnan(found.low[1])
    assert found.state.tolist() == [State.OK, State.BLANK, State.OK]
    assert [found.address(i) for i in range(3)] == ["C4", "", "C2"]


# --- dimensions ------------------------------------------------------------------------------------------


def test_a_length_without_the_ends_gets_theirs() -> None:
    """None for flat ones, a diameter for hemispheres, half of it for 2:1 semi-ellipsoids."""
    columns = {
        "float_straight_length": column("float_straight_length", *[0.2] * 5),
        "float_ends": column("float_ends", words=["flat", "hemispherical", "elliptical", "", "odd"]),
        "float_diameter": column("float_diameter", *[0.05] * 5),
    }
    made = over_all(columns)
    assert made.column.low[:3].tolist() == pytest.approx([0.2, 0.25, 0.225])
    assert made.column.high[:3].tolist() == pytest.approx([0.2, 0.25, 0.225])
    assert made.lost == 2
    assert made.column.state.tolist()[3:] == [State.PLACEHOLDER] * 2
    assert "float_straight_length" not in columns
    assert over_all({"float_straight_length": column("float_straight_length", 0.2)}).lost == 1


def test_flat_ends_need_no_diameter() -> None:
    ends = column("float_ends", words=["flat", "hemispherical"])
    made = over_all({"float_straight_length": column("float_straight_length", 0.2, 0.2), "float_ends": ends})
    assert made.column.low[0] == pytest.approx(0.2)
    assert made.lost == 1


def test_a_magnet_measured_from_the_top_and_a_range_of_two_ends_are_brought_to_the_audits_way() -> None:
    made = from_bottom(
        {"magnet_from_top": column("x", 0.05, 0.05), "float_length": column("float_length", 0.25, nan)}
    )
    assert made.column.low[0] == pytest.approx(0.2)
    assert (made.lost, made.column.field) == (1, "magnet_height")
    made = between_ends(
        {"visible_high": column("x", 1.0, 1.0), "visible_low": column("visible_low", 0.1, nan)}
    )
    assert made.column.low[0] == pytest.approx(0.9)
    assert (made.lost, made.column.field) == (1, "visible_range")


# --- from where a magnet is counted ----------------------------------------------------------------------

DEPTH, LENGTH, DIAMETER, DENSITY = 0.1, 0.25, 0.05, 800.0
MASS = DEPTH * DENSITY * pi * DIAMETER**2 / 4
"""Of a float with flat ends that is immersed by DEPTH."""


def end_of(*planes: float, **changed: float) -> str:
    n = len(planes)
    values = {"length": LENGTH, "mass": MASS, "diameter": DIAMETER, "density": DENSITY} | changed
    return counted_from(
        np.array(planes), *(np.full(n, values[name]) for name in ("length", "mass", "diameter", "density"))
    )


def test_a_magnet_in_the_surface_is_counted_from_the_end_that_puts_it_there() -> None:
    assert end_of(*[DEPTH] * 3) == "bottom"
    assert end_of(*[LENGTH - DEPTH] * 3) == "top"
    assert end_of(*[DEPTH] * 2) == ""
    assert end_of(*[0.2] * 3) == ""


@pytest.mark.parametrize(
    ("plane", "end"),
    [
        (DEPTH - 0.03 * LENGTH + 1e-4, "bottom"),
        (DEPTH - 0.03 * LENGTH - 1e-4, ""),
        (DEPTH + DIAMETER / 6 + 0.03 * LENGTH - 1e-4, "bottom"),
        (DEPTH + DIAMETER / 6 + 0.03 * LENGTH + 1e-4, ""),
        (LENGTH - DEPTH + 0.03 * LENGTH - 1e-4, "top"),
        (LENGTH - DEPTH + 0.03 * LENGTH + 1e-4, ""),
    ],
)
def test_it_may_be_off_by_three_hundredths_of_the_length_and_by_rounded_ends(plane: float, end: str) -> None:
    assert end_of(*[plane] * 3) == end


@pytest.mark.parametrize(
    ("right", "of", "end"), [(4, 5, "bottom"), (3, 5, ""), (9, 11, "bottom"), (8, 11, "")]
)
def test_four_fifths_of_the_floats_tell_it(right: int, of: int, end: str) -> None:
    assert end_of(*[DEPTH] * right, *[0.2] * (of - right)) == end


@pytest.mark.parametrize(("both", "end"), [(1, "bottom"), (2, "")])
def test_a_fifth_may_be_counted_from_either_end(both: int, end: str) -> None:
    """Of six; a float of twice its immersion tells nothing."""
    lengths = np.array([2 * DEPTH] * both + [LENGTH] * (6 - both))
    n = np.ones(6)
    assert counted_from(DEPTH * n, lengths, MASS * n, DIAMETER * n, DENSITY * n) == end


@pytest.mark.parametrize("name", ["plane", "length", "mass", "diameter", "density"])
@pytest.mark.parametrize("missing", [0.0, -1.0, nan])
def test_floats_that_lack_a_number_do_not_count(name: str, missing: float) -> None:
    values = {"plane": DEPTH, "length": LENGTH, "mass": MASS, "diameter": DIAMETER, "density": DENSITY}
    arrays = {key: np.full(4, value) for key, value in values.items()}
    arrays[name][3] = missing
    assert counted_from(*arrays.values()) == "bottom"
    arrays[name][2] = missing
    assert counted_from(*arrays.values()) == ""


# --- the way in ------------------------------------------------------------------------------------------


def test_a_list_of_straight_lengths_is_read_with_the_ends() -> None:
    rows: list[list[Any]] = [
        ["Float part no.", "Float mass g", "Float diameter mm", "Float straight length mm", "Float ends"],
        ["QF-1", 300, 50, 200, "flat"],
        ["QF-2", 300, 50, 200, "hemispherical"],
    ]
    (table,) = read_book(Path("book.xlsx"), sheets=[sheet(rows)], need_index=False).floats
    assert table.columns["float_length"].low.tolist() == pytest.approx([0.2, 0.25])
