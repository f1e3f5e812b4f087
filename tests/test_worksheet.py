"""Calling a worksheet function as a cell does: units, ranges, blanks and what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.errors import XlfuncsError
from xlfuncs.units import units_for
from xlfuncs.worksheet import call, catalogue, find
from xlfuncs.worksheet._evaluate import Reason
from xlfuncs.worksheet.help import formula, help_text
from xlfuncs.worksheet.spec import REASON_PREFIX as PREFIX
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
    for argument in function.arguments:
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
        assert isinstance(result, Reason), result
        assert argument.name in result and "banana" in result


@BY_NAME
def test_required_arguments_are_asked_for_all_at_once(function: Function) -> None:
    required = [a.name for a in function.arguments if a.required]
    if required:
        result = call(function.name)
        assert isinstance(result, Reason)
        assert all(name in result for name in required)


@BY_NAME
def test_too_many_arguments_are_counted(function: Function) -> None:
    result = call(function.name, *range(1, 30))
    assert isinstance(result, Reason) and "29 arguments given" in result


@BY_NAME
def test_an_unknown_unit_of_the_result_is_refused(function: Function) -> None:
    if not function.takes_unit:
        return
    arguments = list(function.example.arguments)[: len(function.arguments)]
    arguments += [None] * (len(function.arguments) - len(arguments))
    result = call(function.name, *arguments, "furlong per lux")
    assert isinstance(result, Reason) and "unit:" in result


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
    assert result[1, 0] == ""
    assert "the float sinks" in result[2, 0] and result[2, 0].startswith(PREFIX)
    assert "mass" in result[3, 0]


def test_a_column_against_a_row_gives_a_block() -> None:
    result = call("LG_IMMERSION", [[280], [290]], 50, 200, [[850, 900, 1000]])
    assert result.shape == (2, 3)
    assert result[1, 2] == call("LG_IMMERSION", 290, 50, 200, 1000)


def test_ranges_of_other_sizes_are_refused() -> None:
    result = call("LG_IMMERSION", [[280], [290]], 50, 200, [[850], [900], [1000]])
    assert isinstance(result, Reason) and "mass 2x1" in result and "lower_density 3x1" in result


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
        ((PREFIX + "mass: missing", 50, 200, 850), "the cell it refers to has no result"),
    ],
)
def test_wrong_input_gives_a_reason_never_a_number(arguments: tuple[Any, ...], words: str) -> None:
    result = call("LG_IMMERSION", *arguments)
    assert isinstance(result, Reason) and words in result
    assert "\n" not in result


def test_every_bad_argument_is_named() -> None:
    result = call("LG_IMMERSION", "x", "y", 200, 850)
    assert "mass" in result and "diameter" in result


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
    assert "measure different things" in call("LG_CONVERT", 1, "kg", "m")
    assert call("LG_CONVERT", 1, "barg", "bara") == pytest.approx(2.01325)
    assert "barg or bara" in call("LG_CONVERT", 1, "bar", "bara")
