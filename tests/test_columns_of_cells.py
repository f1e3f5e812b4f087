"""Columns of cells to numbers and texts, in memory: each limit on both sides, each way to the unit."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import numpy as np
import pytest

from tests.test_cell_values import cells, column, shown, states, units_of
from xlfuncs.lists.columns import (
    blank_none,
    is_error,
    quantity_column,
    tell_density,
    text_column,
    times_density,
)
from xlfuncs.lists.model import State

# --- texts -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (4711, "4711"),
        (4711.0, "4711"),
        (0.1 + 0.2, "0.3"),
        (-7.0, "-7"),
        (999999999999999.0, "999999999999999"),
        (1e15, "1e+15"),
        (1.05e15, "1.05e+15"),
        (True, "TRUE"),
        (datetime(2026, 3, 2), "2026-03-02"),
        (date(2026, 3, 2), "2026-03-02"),
        (datetime(2026, 3, 2, 6, 30), "2026-03-02T06:30:00"),
        ("  two   words ", "two words"),
    ],
)
def test_a_value_in_a_column_of_texts_is_written_as_a_person_would(value: Any, text: str) -> None:
    found = text_column("serial", cells([value, "x"]))
    assert found.text.tolist() == [text, "x"]
    assert states(found) == ["OK", "OK"]


def test_blanks_errors_and_placeholders_among_texts_are_told() -> None:
    found = text_column("fluid", cells(["Water", "", "#REF!", "TBC", 5, " "]))
    assert states(found) == ["OK", "BLANK", "ERROR", "PLACEHOLDER", "OK", "BLANK"]
    assert found.text.tolist() == ["Water", "", "", "", "5", ""]
    assert found.raw.tolist() == ["Water", None, "#REF!", "TBC", 5, " "]
    assert states(text_column("fluid", cells(["TBC", "", "#REF!"]))) == ["PLACEHOLDER", "BLANK", "ERROR"]
    assert text_column("fluid", cells(["A1", "B2"])).text.tolist() == ["A1", "B2"]
    assert text_column("fluid", cells(["A1", "B2\nC3"])).text.tolist() == ["A1", "B2 C3"]
    assert text_column("fluid", cells(["A1", "TBC1 x", "TBC"])).text.tolist() == ["A1", "TBC1 x", ""]
    assert not is_error("Error") and is_error("#DIV/0!")


def test_true_and_one_are_two_texts() -> None:
    assert text_column("fluid", cells([True, 1, False, 0])).text.tolist() == ["TRUE", "1", "FALSE", "0"]


def test_blank_texts_are_none() -> None:
    given = np.array(["a", "", 0], dtype=object)
    assert blank_none(given).tolist() == ["a", None, 0]
    full = np.array(["a", 0], dtype=object)
    assert blank_none(full) is full


def test_a_formula_without_a_kept_value_is_no_blank() -> None:
    for made in (text_column, lambda name, some: quantity_column(name, some, "kg/m3").column):
        some = cells(["", "", 850])
        some.uncalculated = {(13, 8), (14, 8)}
        found = made("fluid_density", some)
        assert states(found) == ["BLANK", "NEVER_CALCULATED", "OK"]


def test_a_ditto_mark_below_a_blank_or_nothing_stays_as_it_is_among_texts() -> None:
    found = text_column("fluid", cells(['"', "Water", "", '"', "do."]))
    assert found.text.tolist() == ['"', "Water", "", '"', "do."]
    assert found.noted == {}
    other = cells(["Water", '"'])
    other.sheet[1] = "Other"
    assert text_column("fluid", other).noted == {}


def test_a_ditto_mark_in_the_first_row_of_a_record_without_a_cell_repeats_nothing() -> None:
    assert text_column("fluid", cells(["Water", '"'], [0, 12])).noted == {}
    assert text_column("fluid", cells(["Water", '"'], [1, 12])).noted == {1: "as H1"}


# --- numbers and their units -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("numbers", "unit"),
    [
        ([0.3, 3.0], "SG"),
        ([0.29, 0.9], ""),
        ([0.9, 3.01], ""),
        ([300.0, 3000.0], "kg/m3"),
        ([299.0, 900.0], ""),
        ([900.0, 3001.0], ""),
        ([0.9, 900.0], ""),
        ([np.nan, 0.9], "SG"),
        ([np.nan], ""),
    ],
)
def test_numbers_that_can_be_one_unit_only_tell_it(numbers: list[float], unit: str) -> None:
    assert tell_density(np.array(numbers)) == unit
    found = quantity_column("fluid_density", cells(numbers if numbers[0] == numbers[0] else [None]), "")
    assert (found.unit, found.source) == ((unit, "told") if unit and numbers[0] == numbers[0] else ("", ""))


def test_numbers_kept_as_texts_tell_the_density_as_well() -> None:
    found = quantity_column("fluid_density", cells([0.9, "850"]), "")
    assert (found.unit, found.untold) == ("", 2)
    assert states(found.column) == ["AMBIGUOUS", "AMBIGUOUS"]
    found = quantity_column("fluid_density", cells([850, "0.870 - 0.9", "see DS"]), "")
    assert found.unit == ""
    found = quantity_column("fluid_density", cells([850, "870", "see DS", None]), "")
    assert (found.unit, found.source, found.untold) == ("kg/m3", "told", 0)
    assert states(found.column) == ["OK", "TEXT_NUMBER", "UNREADABLE", "BLANK"]
    other = quantity_column("operating_pressure", cells([0.9, 0.8]), "")
    assert (other.unit, other.untold) == ("", 2)


@pytest.mark.parametrize(
    ("number", "unit"),
    [(0.3, "SG"), (3.0, "SG"), (0.29, ""), (3.1, ""), (300, "kg/m3"), (3000, "kg/m3"), (299, ""), (3001, "")],
)
def test_of_two_units_in_the_heading_the_number_tells_which(number: float, unit: str) -> None:
    found = quantity_column("fluid_density", cells([number]), "", ("SG", "kg/m3"))
    assert found.column.unit.tolist() == [unit]
    assert found.untold == (not unit)


def test_a_number_that_fits_two_units_of_the_heading_is_not_told() -> None:
    found = quantity_column("fluid_density", cells([0.9, 900.0, 30.0]), "", ("SG", "g/cm3", "kg/m3"))
    assert found.column.unit.tolist() == ["", "kg/m3", ""]
    found = quantity_column("design_pressure", cells([9.0]), "", ("barg", "psig"))
    assert (found.column.unit.tolist(), found.untold) == ([""], 1)


def test_a_density_beside_another_unit_is_told_by_those_without_one() -> None:
    found = quantity_column("fluid_density", cells([850, 0.9, 870]), "", units=units_of("", "SG", ""))
    assert found.column.unit.tolist() == ["kg/m3", "SG", "kg/m3"]
    assert (found.unit, found.source) == ("kg/m3", "told")


def test_the_unit_of_most_cells_is_that_of_a_column_without_one() -> None:
    found = quantity_column("design_pressure", cells(["10 barg", "150 psig", "12 barg"]), "")
    assert (found.unit, found.source) == ("barg", "cells")
    assert states(found.column) == ["OK", "OK", "OK"], "each cell states its own"
    found = quantity_column("design_pressure", cells(["10 barg", 12.0]), "barg")
    assert (found.unit, found.source) == ("barg", "")
    assert states(found.column) == ["TEXT_NUMBER", "OK"], "a number kept as text"
    found = quantity_column("visible_range", cells(["1200", "1.2 m", 900]), "")
    assert (found.unit, found.source) == ("mm", "assumed")
    assert states(found.column) == ["TEXT_NUMBER", "OK", "OK"]


def test_a_number_kept_as_text_whose_unit_cannot_be_told_is_counted() -> None:
    found = quantity_column("design_pressure", cells(["10", "12 barg", "see DS"]), "")
    assert found.untold == 1
    assert states(found.column) == ["AMBIGUOUS", "OK", "UNREADABLE"]
    found = quantity_column("design_pressure", cells(["10", "10", 12]), "", unfit="kg/h")
    assert found.untold == 0
    assert all("'kg/h' in the heading is none" in found.column.problem[i] for i in range(3))


def test_a_kinematic_viscosity_is_told_and_takes_its_density() -> None:
    found = quantity_column("viscosity", cells([10, "5 mPa.s", "20 cSt"]), "cSt")
    assert found.kinematic is not None and found.kinematic.tolist() == [True, False, True]
    density = column("fluid_density", "kg/m3", 800, 900, None)
    times_density(found.column, found.kinematic, density)
    assert found.column.low[:2].tolist() == pytest.approx([0.008, 0.005])
    assert states(found.column) == ["OK", "TEXT_NUMBER", "AMBIGUOUS"]
    assert quantity_column("viscosity", cells([10]), "mPa.s").kinematic is None


def test_a_number_beyond_what_its_field_can_be_is_impossible_and_one_within_is_not() -> None:
    found = column("fluid_density", "SG", 0.9, 870, "-5", "0.8 - 900", "TBC")
    assert states(found) == ["OK", "IMPOSSIBLE", "IMPOSSIBLE", "IMPOSSIBLE", "PLACEHOLDER"]
    assert found.problem[1] == "870 SG cannot be: check the number and its unit"
    assert shown(found, 0, "SG") == pytest.approx((0.9, 0.9))


def test_of_numbers_with_an_assumed_unit_those_above_zero_may_have_another() -> None:
    found = column("visible_range", "", 1200, 3.0e7, -4.0, 0.0)
    assert states(found) == ["OK", "AMBIGUOUS", "IMPOSSIBLE", "IMPOSSIBLE"]
    assert states(column("visible_range", "mm", 3.0e7)) == ["IMPOSSIBLE"]


def test_the_place_of_a_visible_range_is_no_length_beyond_its_limits() -> None:
    found = column("visible_range", "mm", "0-1200", "-50 to 1150", 0, "0")
    assert states(found) == ["OK", "OK", "IMPOSSIBLE", "IMPOSSIBLE"]
    assert states(column("connection_distance", "mm", "0-1200")) == ["IMPOSSIBLE"]


@pytest.mark.parametrize(("length", "read"), [(150, True), (200, True), (201, False), (215, False)])
def test_a_text_of_more_than_200_characters_is_no_quantity(length: int, read: bool) -> None:
    text = "850 " + "x" * (length - 4)
    found = column("fluid_density", "kg/m3", text)
    assert states(found) == ["UNREADABLE"]
    assert (found.problem[0] == f"{text[:40]!r} ... is a text of {length} characters") is not read


def test_an_ambient_temperature_is_a_placeholder_and_an_ambient_pressure_is_not() -> None:
    assert states(column("operating_temperature", "degC", "ambient", "AMB", 20)) == [
        "PLACEHOLDER", "PLACEHOLDER", "OK",
    ]  # fmt: skip
    assert states(column("visible_range", "mm", "ambient")) == ["UNREADABLE"]


# --- digits in groups of three ------------------------------------------------------------------------------


def test_digits_after_a_comma_are_grouped_where_the_divided_number_cannot_be() -> None:
    found = column("visible_range", "mm", "1,500")
    assert shown(found, 0, "mm") == pytest.approx((1500, 1500))
    assert found.noted[0] == "1.5 mm cannot be"
    found = column("urv", "mm", "1,500")
    assert states(found) == ["AMBIGUOUS"]
    assert "could be 1.5 mm or 1500 mm" in found.problem[0]
    found = column("visible_range", "mm", "1,500 m")
    assert states(found) == ["AMBIGUOUS"], "neither is proven"
    found = column("urv", "mm", "0.500 in")
    assert shown(found, 0, "in") == pytest.approx((0.5, 0.5))


# --- labels within a cell -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "text", "mm"),
    [
        ("connection_distance", "C/C 1200", 1200),
        ("connection_distance", "1200 c/c", 1200),
        ("connection_distance", "1200 (C-C)", 1200),
        ("float_length", "L=300", 300),
        ("float_length", "300 (L)", 300),
        ("float_length", "L 300", None),
        ("visible_range", "Zork 300", None),
    ],
)
def test_a_label_in_the_cell_of_its_field_is_passed_over(field: str, text: str, mm: float | None) -> None:
    found = column(field, "mm", text)
    assert found.given[0] == (mm is not None)
    assert mm is None or found.low[0] == pytest.approx(mm / 1000)


def test_both_ends_of_a_range_about_zero() -> None:
    found = column("transmitter_range", "mm", "±600", "+/- 600 mm", "-100 to 500")
    assert shown(found, 0, "mm") == shown(found, 1, "mm") == pytest.approx((-600, 600))
    assert shown(found, 2, "mm") == pytest.approx((-100, 500))


# --- values in two units -----------------------------------------------------------------------------------


def test_two_numbers_are_one_value_under_two_units_only() -> None:
    choices = ("kPag", "psig")
    assert column("operating_pressure", "", "20 (2.9)", choices=choices).given[0]
    assert not column("operating_pressure", "", "20 (2.9)", choices=(*choices, "barg")).given[0]
    assert not column("operating_pressure", "", "20 (9.9)", choices=choices).given[0]


def test_a_truth_a_date_and_a_time_are_no_quantity() -> None:
    found = column("fluid_density", "kg/m3", True, datetime(2026, 5, 3), 850, "blue")
    assert states(found) == ["UNREADABLE", "IMPOSSIBLE", "OK", "UNREADABLE"]
    assert "holds TRUE" in found.problem[0]
    assert "perhaps once a range such as 5-3" in found.problem[1]
    assert found.raw.tolist() == [True, datetime(2026, 5, 3), 850, "blue"]
    assert found.text.tolist() == ["", "", "", "blue"]


def test_a_ditto_mark_of_a_number_takes_its_unit_and_its_note() -> None:
    found = quantity_column(
        "design_pressure", cells([10, '"', '"']), "barg", units=units_of("psig", "", "do.")
    ).column
    assert found.unit.tolist() == ["psig"] * 3
    found = column("design_pressure", "", "10 psig (est.)", '"')
    assert found.noted == {0: "est", 1: "as H12; est"}
    assert State(int(found.state[1])).name == "OK"
    assert column("design_pressure", "", '"').problem[0].startswith('" repeats the cell above')
