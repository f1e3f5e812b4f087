"""Calling a worksheet function as a cell does: units, ranges, blanks and what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.errors import XlfuncsError
from xlfuncs.units import units_for
from xlfuncs.worksheet import Refusal, call, catalogue, find
from xlfuncs.worksheet.help import formula, help_text
from xlfuncs.worksheet.spec import Function

FUNCTIONS = list(catalogue().values())
BY_NAME = pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.name)


def close(ours: Any, answer: Any, tolerance: float) -> bool:
    """The example's answer, whatever its shape."""
    if isinstance(answer, (list, tuple)):
        ours = ours.tolist() if isinstance(ours, np.ndarray) else ours
        if len(ours) == 1 and isinstance(ours[0], (list, tuple)) and not isinstance(answer[0], (list, tuple)):
            ours = ours[0]
        return len(ours) == len(answer) and all(
            close(a, b, tolerance) for a, b in zip(ours, answer, strict=True)
        )
    if isinstance(answer, str) or answer is None:
        return bool(ours == answer)
    return bool(ours == pytest.approx(answer, rel=tolerance, abs=1e-12))


@BY_NAME
def test_the_example_gives_its_answer(function: Function) -> None:
    ours = call(function.name, *function.example.arguments)
    assert close(ours, function.example.answer, function.example.tolerance), ours


@BY_NAME
def test_the_help_shows_every_argument_the_example_and_the_source(function: Function) -> None:
    text = help_text(function)
    for argument in function.named:
        assert argument.name in text
    assert formula(function) in text
    assert function.source.split()[0] in text
    assert max(map(len, text.splitlines()[1:])) <= 120


@BY_NAME
def test_a_word_instead_of_a_number_is_refused_with_the_argument_named(function: Function) -> None:
    for position, argument in enumerate(function.arguments):
        if argument.kind not in ("quantity", "number"):
            continue
        arguments = list(function.example.arguments)
        arguments += [None] * (position + 1 - len(arguments))
        arguments[position] = "banana"
        result = call(function.name, *arguments)
        assert isinstance(result, Refusal), result
        assert result.kind == "unusable"
        assert argument.name in result.reason and "banana" in result.reason


@BY_NAME
def test_required_arguments_are_asked_for_all_at_once(function: Function) -> None:
    required = [a.name for a in function.arguments if a.required]
    if required:
        result = call(function.name)
        assert isinstance(result, Refusal)
        assert result.error == "#N/A"
        assert all(name in result.reason for name in required)


@BY_NAME
def test_too_many_arguments_are_counted(function: Function) -> None:
    result = call(function.name, *range(1, 40))
    assert isinstance(result, Refusal) and "39 arguments given" in result.reason


@BY_NAME
def test_an_unknown_unit_of_the_result_is_refused(function: Function) -> None:
    if not function.takes_unit:
        return
    arguments = list(function.example.arguments)[: len(function.arguments)]
    arguments += [None] * (len(function.arguments) - len(arguments))
    result = call(function.name, *arguments, "furlong per lux")
    assert isinstance(result, Refusal) and "unit:" in result.reason


def test_a_text_with_a_unit_is_the_number() -> None:
    plain = call("LG_IMMERSION", 280, 50, 200, 850)
    assert call("LG_IMMERSION", "0.28 kg", "5 cm", "0.2 m", "0.85 g/cm3") == pytest.approx(plain, rel=1e-12)
    assert call("LG_IMMERSION", 280, 50, 200, 850, None, None, "cm") == pytest.approx(plain / 10, rel=1e-12)
    assert call("lg_immersion", 280, 50, 200, 850) == plain


@given(st.sampled_from(list(units_for("length"))), st.floats(0.04, 0.06))
def test_the_unit_of_an_argument_does_not_matter(unit: str, metres: float) -> None:
    number = call("LG_CONVERT", metres, "m", unit)
    plain = call("LG_FLOAT_DENSITY", 280, metres * 1e3, 200)
    assert call("LG_FLOAT_DENSITY", 280, f"{number!r} {unit}", 200) == pytest.approx(plain, rel=1e-9)


def test_a_column_gives_a_column_and_a_bad_row_spoils_only_itself() -> None:
    result = call("LG_IMMERSION", [[280], [None], [600], ["x"]], 50, 200, [[850], [None], [850], [850]])
    assert result.shape == (4, 1)
    assert result[0, 0] == call("LG_IMMERSION", 280, 50, 200, 850)
    # a row that is still empty has no result either: an empty text would compare above every limit
    assert [cell.error for cell in result[1:, 0]] == ["#N/A", "#NUM!", "#VALUE!"]
    assert "mass: missing" in result[1, 0].reason and "lower_density: missing" in result[1, 0].reason
    assert "the float sinks" in result[2, 0].reason
    assert "mass" in result[3, 0].reason


def test_a_column_against_a_row_gives_a_block() -> None:
    result = call("LG_IMMERSION", [[280], [290]], 50, 200, [[850, 900, 1000]])
    assert result.shape == (2, 3)
    assert result[1, 2] == call("LG_IMMERSION", 290, 50, 200, 1000)


def test_ranges_of_other_sizes_are_refused() -> None:
    result = call("LG_IMMERSION", [[280], [290]], 50, 200, [[850], [900], [1000]])
    assert isinstance(result, Refusal)
    assert "mass 2x1" in result.reason and "lower_density 3x1" in result.reason


def test_texts_with_units_may_stand_in_a_range() -> None:
    result = call("LG_IMMERSION", [["280 g"], [280.0]], 50, 200, [["0.85 g/cc"], [850]])
    assert result[0, 0] == pytest.approx(result[1, 0], rel=1e-12)


def test_a_row_result_from_a_column_fills_two_columns() -> None:
    result = call("LG_DENSITY_WINDOW", [[280], [290]], 50, 200, 160, 10)
    assert result.shape == (2, 2)
    assert list(result[1]) == call("LG_DENSITY_WINDOW", 290, 50, 200, 160, 10)


def test_a_blank_optional_cell_means_the_default() -> None:
    assert call("LG_IMMERSION", 280, 50, 200, 850, None, "") == call(
        "LG_IMMERSION", 280, 50, 200, 850, 0, "flat"
    )


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((280, 50, 200, "10 barg"), "lower_density"),
        ((-1, 50, 200, 850), "mass: -1 g is outside the valid range, 0 g and above"),
        ((True, 50, 200, 850), "TRUE is not a number"),
        ((float("nan"), 50, 200, 850), "mass: is not a finite number"),
        (("1,500 g", 50, 200, 850), "mass"),
        (("270-290 g", 50, 200, 850), "is a range; give one number"),
        ((280, 50, 200, 850, 0, "conical"), "'conical' is not one of flat, hemispherical, elliptical"),
    ],
)
def test_wrong_input_gives_a_reason_never_a_number(arguments: tuple[Any, ...], words: str) -> None:
    result = call("LG_IMMERSION", *arguments)
    assert isinstance(result, Refusal) and words in result.reason
    assert "\n" not in result.reason
    assert result.error == "#VALUE!"


@pytest.mark.parametrize(
    ("name", "arguments", "error", "kind"),
    [
        ("LG_FLOAT_COLLAPSE", (50, None, 200, "316L"), "#N/A", "missing"),
        ("LG_SHELL_MASS", (60, 1, 300, "316L", "flat"), "#N/A", "missing"),
        ("LG_VAPOUR_DENSITY", ("water",), "#N/A", "missing"),
        ("LG_DIAGNOSE", ([["Mass"], [280]], [["Level", "Shown"], [500, 400]]), "#N/A", "missing"),
        ("LG_IMMERSION", (-280, 50, 200, 850), "#VALUE!", "unusable"),
        ("LG_IMMERSION", (0, 50, 200, 850), "#VALUE!", "unusable"),
        ("LG_IMMERSION", (280, 50, 200, 850, 900), "#VALUE!", "unusable"),
        ("LG_DENSITY", ("crude oil", 20), "#VALUE!", "unusable"),
        ("LG_DENSITY", ([["crude oil"], ["water"]], 20), "#VALUE!", "unusable"),
        ("LG_FLOAT_COLLAPSE", (50, 0.5, 200, "unobtainium"), "#VALUE!", "unusable"),
        ("LG_LEVEL_TO_CURRENT", (500, 1000, 0), "#VALUE!", "unusable"),
        ("LG_IMMERSION", (400, 50, 200, 850), "#NUM!", "impossible"),
        ("LG_IMMERSION", (280, 50, 200, 1000, 990), "#NUM!", "impossible"),
        ("LG_CURRENT_TO_LEVEL", (3.6, 0, 1000), "#NUM!", "impossible"),
        ("LG_DENSITY", ("water", 400), "#NUM!", "impossible"),
        ("LG_FLANGE_RATING", (300, "1.1", 700), "#NUM!", "impossible"),
        ("LG_SIZE_FLOAT", (60, "316L", 400, 550, 580, 12, 20, 60), "#NUM!", "impossible"),
        ("LG_IMMERSION", ("#DIV/0!", 50, 200, 850), "#DIV/0!", "passed on"),
        ("LG_IMMERSION", (280, "#NAME?", 200, None), "#NAME?", "passed on"),
        ("LG_IMMERSION", ("x", None, "#REF!", 850), "#REF!", "passed on"),
        ("LG_IMMERSION", ("x", None, 200, 850), "#VALUE!", "unusable"),
    ],
)
def test_the_error_value_says_what_is_wrong(
    name: str, arguments: tuple[Any, ...], error: str, kind: str
) -> None:
    result = call(name, *arguments)
    found = result[0, 0] if isinstance(result, np.ndarray) else result
    assert isinstance(found, Refusal), found
    assert (found.error, found.kind) == (error, kind)
    asked = call("LG_REASON", name, *arguments)
    assert (asked[0, 0] if isinstance(asked, np.ndarray) else asked) == found.reason


def test_a_refusal_cannot_be_taken_for_a_value() -> None:
    result = call("LG_FLOAT_COLLAPSE", 50, None, 200, "316L")
    with pytest.raises(TypeError):
        assert result > 40
    assert not isinstance(result, (str, float, int))
    assert str(result).startswith("#N/A (wall: missing; ")


def test_a_refusal_as_an_argument_is_passed_on_with_its_reason() -> None:
    sunk = call("LG_IMMERSION", 400, 50, 200, 850)
    result = call("LG_SWITCH_LEVEL", 500, 150, sunk)
    assert result.error == "#NUM!"
    assert "immersion: the cell it refers to has no result, #NUM! (the float sinks" in result.reason
    column = call("LG_SWITCH_LEVEL", 500, 150, [[sunk], [167.8], ["#N/A"]])
    assert [cell.error for cell in column[[0, 2], 0]] == ["#NUM!", "#N/A"]
    assert column[1, 0] == call("LG_SWITCH_LEVEL", 500, 150, 167.8)


def test_reasons_of_ranges_rows_and_tables_stand_at_their_places() -> None:
    masses = [[280], [400], [None]]
    asked = call("LG_REASON", "lg_immersion", masses, 50, 200, 850)
    assert asked.shape == (3, 1)
    assert [text.split(":")[0] for text in asked[:, 0]] == ["", "the float sinks", "mass"]
    assert call("LG_REASON", "LG_CALIBRATION_TABLE", 0, 1000, 3) == [[""] * 5] * 4
    assert call("LG_REASON", "LG_DENSITY_WINDOW", 280, 50, 200, 150, 10) == ["", ""]
    assert call("LG_REASON", "LG_IMMERSION", 280, 50, 200, 850) == ""
    assert call("LG_REASON", "LG_REASON").startswith("name: missing")


def test_the_reason_can_be_asked_for_with_all_arguments_of_any_function() -> None:
    handed_on = len(find("LG_REASON").arguments) - 1
    assert max(len(f.arguments) + f.takes_unit for f in FUNCTIONS if f.name != "LG_REASON") <= handed_on


def test_the_reason_of_a_function_that_is_not_there_is_refused() -> None:
    result = call("LG_REASON", "LG_IMERSION", 280)
    assert result.error == "#VALUE!"
    assert "did you mean LG_IMMERSION" in result.reason
    assert call("LG_REASON", [["LG_IMMERSION"], ["LG_CONVERT"]]).error == "#VALUE!"


def test_a_table_without_answer_refuses_in_each_cell() -> None:
    table = call("LG_CHAMBER_TABLE", 1000, 800, 960, 900)
    assert table[0][0] == "vessel level, mm"
    assert {cell.error for cell in table[1]} == {"#VALUE!"}
    assert "vessel_density must be above upper_density" in table[1][1].reason


LIQUIDS = [(f, i) for f in FUNCTIONS for i, a in enumerate(f.arguments) if a.liquid == "surely"]


@pytest.mark.parametrize(("function", "position"), LIQUIDS, ids=lambda v: getattr(v, "name", str(v)))
def test_a_plain_density_that_can_be_a_specific_gravity_is_asked_back(
    function: Function, position: int
) -> None:
    argument = function.arguments[position]
    arguments = [*function.example.arguments, *([None] * len(function.arguments))]
    for cell in (0.2, 0.85, 3.0, "0.85"):
        number = float(cell)
        for cells in (cell, [[cell], [cell]]):
            arguments[position] = cells
            result = call(function.name, *arguments[: len(function.arguments)])
            found = result[0, 0] if isinstance(result, np.ndarray) and result.ndim == 2 else result
            found = found[0] if isinstance(found, list) else found
            assert found.error == "#VALUE!"
            assert f"{argument.name}: {number:g} is hardly a liquid" in found.reason
            assert f'write "{number:g} SG"' in found.reason
    for cell in (0.1999, 3.001, "0.85 SG", f"0.85 {argument.unit}"):
        arguments[position] = cell
        result = call(function.name, *arguments[: len(function.arguments)])
        assert "hardly" not in str(result)


def test_an_upper_density_is_asked_back_where_it_can_be_a_gas_or_a_liquid() -> None:
    body = (380, 50, 200)
    asked = call("LG_IMMERSION", *body, 1000, 0.78)
    assert asked.error == "#VALUE!"
    assert 'write "0.78 SG" if that is meant, or "0.78 kg/m3"' in asked.reason
    gas, oil = (call("LG_IMMERSION", *body, 1000, text) for text in ("0.78 kg/m3", "0.78 SG"))
    assert gas > oil + 10
    # as a liquid it would not be lighter than the lower one: it is a gas
    assert call("LG_IMMERSION", 280, 50, 200, 850, 1.2) == call(
        "LG_IMMERSION", 280, 50, 200, 850, "1.2 kg/m3"
    )
    assert isinstance(call("LG_IMMERSION", 280, 50, 200, 850, 0.86), float)
    assert isinstance(call("LG_IMMERSION", 280, 50, 200, 850, 0.84), Refusal)
    column = call("LG_IMMERSION", 280, 50, 200, [[850], [850], [850]], [[0.5], [5], ["0.5 kg/m3"]])
    assert column[0, 0].error == "#VALUE!"
    assert all(isinstance(cell, float) for cell in column[1:, 0])
    # without a lower density the float's own decides: it would hang free in 0.75 SG
    assert isinstance(call("LG_IMPLIED_DENSITY", 280, 50, 200, 150, -17, 0.75), float)
    assert isinstance(call("LG_IMPLIED_DENSITY", 280, 50, 200, 150, -17, 0.5), Refusal)


def test_a_plain_pressure_is_gauge_pressure_in_every_function() -> None:
    for function in FUNCTIONS:
        for argument in function.arguments:
            if argument.quantity in ("pressure_gauge", "pressure_absolute"):
                assert argument.unit == "barg", (function.name, argument.name)
        if function.result.quantity in ("pressure_gauge", "pressure_absolute"):
            assert function.result.unit == "barg", function.name
    for name, before in (("LG_DENSITY", ("water", 150)), ("LG_SATURATION_TEMPERATURE", ("water",))):
        plain = call(name, *before, 9)
        assert plain == call(name, *before, "9 barg")
        assert plain == pytest.approx(call(name, *before, "10.01325 bara"), rel=1e-12)
        assert plain != call(name, *before, "9 bara")
        assert "gauge or absolute" in call(name, *before, "9 bar").reason
    boils = call("LG_SATURATION_PRESSURE", "water", 150)
    assert call("LG_SATURATION_TEMPERATURE", "water", boils) == pytest.approx(150, abs=1e-6)
    assert call("LG_SATURATION_PRESSURE", "water", 150, "bara") == pytest.approx(boils + 1.01325, rel=1e-12)
    assert call("LG_SATURATION_TEMPERATURE", "water", -0.5) == pytest.approx(
        call("LG_SATURATION_TEMPERATURE", "water", "0.51325 bara"), rel=1e-12
    )


def test_the_lower_density_comes_before_the_upper_one() -> None:
    for function in FUNCTIONS:
        names = [argument.name for argument in function.arguments]
        if "upper_density" in names and "lower_density" in names:
            assert names.index("lower_density") < names.index("upper_density"), function.name


def test_ends_may_be_stated_for_bottom_and_top() -> None:
    one = call("LG_IMMERSION", 350, 50, 250, 850, 5, "hemispherical")
    assert call("LG_IMMERSION", 350, 50, 250, 850, 5, "Hemispherical / hemispherical") == one
    # the surface is at the straight part: the missing third of a hemisphere hangs below, or does not
    flat_below = call("LG_IMMERSION", 350, 50, 250, 850, 5, "flat/hemispherical")
    assert flat_below == pytest.approx(
        call("LG_IMMERSION", 350, 50, 250, 850, 5, "hemispherical/flat") - 25 / 3, abs=0.2
    )
    assert "not one of" in call("LG_IMMERSION", 350, 50, 250, 850, 5, "flat/round").reason


def test_every_bad_argument_is_named() -> None:
    result = call("LG_IMMERSION", "x", "y", 200, 850)
    assert "mass" in result.reason and "diameter" in result.reason


def test_an_unlimited_window_says_so() -> None:
    low, high = call("LG_DENSITY_WINDOW", 280, 50, 200, 5, 10)
    assert isinstance(low, float) and high == "unlimited"


def test_a_name_that_is_not_there_is_answered_with_the_nearest() -> None:
    with pytest.raises(XlfuncsError, match="LG_IMMERSION"):
        find("LG_IMERSION")


def test_a_large_range_runs_as_one_array() -> None:
    numbers = np.linspace(700.0, 1200.0, 100_000).reshape(-1, 1)
    result = call("LG_IMMERSION", 200, 50, 200, numbers)
    assert result.shape == numbers.shape and result.dtype == np.float64


def test_units_of_other_quantities_do_not_convert() -> None:
    assert "measure different things" in call("LG_CONVERT", 1, "kg", "m").reason
    assert call("LG_CONVERT", 1, "barg", "bara") == pytest.approx(2.01325)
    assert "barg or bara" in call("LG_CONVERT", 1, "bar", "bara").reason
