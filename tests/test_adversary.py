"""Nonsense gets a reason of one line: never a number, never an exception, never a wait."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from xlfuncs.worksheet import Refusal, call, catalogue
from xlfuncs.worksheet.spec import Function

FUNCTIONS = list(catalogue().values())
BY_NAME = pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.name)

NONSENSE: tuple[Any, ...] = (
    *(True, False, np.nan, np.inf, 1e300, -1e300, 10**400, 1j, b"5", {}, date(2026, 3, 2)),
    *("x", "TRUE", "#REF!", "#N/A", "1,500 mm", "--5", "=1+1", "5 mm 6", "1e999", "nan", "-"),
    *("10..20 mm", ">5 mm", "1 2 3 4", "0x10", "1_000", "5 apples", "⅓ cup", "9" * 5000),
)
"""What is no number of anything."""
CELLS: tuple[Any, ...] = (
    *NONSENSE,
    *(None, "", 0, -1, 1, 1e-300, "4.5 in", "0.82 SG", "150 psig", "water", "316L", "flat"),
    *([], [[]], [[1, 2], [3]], [1, 2, 3], [[[1]]], [[None, "x"], [True, 1]], timedelta(1), object()),
    *(np.zeros((2, 0)), np.array([1.0, np.nan]), np.array("x", dtype=object), np.float32(2.5), [[[1], {}]]),
)


def _refused(value: Any) -> bool:
    return isinstance(value, Refusal) and bool(value.reason) and "\n" not in value.reason


def _each(result: Any) -> list[Any]:
    """Every cell of a result."""
    if isinstance(result, np.ndarray):
        return list(result.flat)
    if isinstance(result, (list, tuple)):
        return [cell for part in result for cell in _each(part)]
    return [result]


@BY_NAME
def test_nonsense_is_refused_in_a_cell_and_in_a_range(function: Function) -> None:
    for position, argument in enumerate(function.arguments):
        if argument.kind not in ("quantity", "number"):
            continue
        arguments = [*function.example.arguments, *([None] * len(function.arguments))]
        for value in NONSENSE:
            for cell in (value, [[value], [value]]):
                arguments[position] = cell
                result = call(function.name, *arguments[: len(function.arguments)])
                assert all(map(_refused, _each(result))), f"{argument.name} {value!r:.40}: {result!r:.200}"


@BY_NAME
def test_a_range_without_cells_in_any_place_is_borne(function: Function) -> None:
    for position in range(len(function.arguments)):
        arguments = [*function.example.arguments, *([None] * len(function.arguments))]
        ranges: tuple[Any, ...] = ([], [[]], np.zeros((2, 0)))
        for empty in ranges:
            arguments[position] = empty
            for cell in _each(call(function.name, *arguments[: len(function.arguments)])):
                assert _refused(cell) or isinstance(cell, (float, str)), cell


@BY_NAME
@settings(max_examples=60, deadline=5000)
@given(data=st.data())
def test_any_cells_give_numbers_texts_or_reasons(function: Function, data: st.DataObject) -> None:
    sound = [*function.example.arguments, *([None] * len(function.arguments))]
    arguments = [
        data.draw(st.one_of(st.just(sound[i]), st.sampled_from(CELLS)))
        for i in range(len(function.arguments))
    ]
    arguments += data.draw(st.lists(st.sampled_from(CELLS), max_size=2))
    for cell in _each(call(function.name, *arguments)):
        assert cell is not None
        assert not isinstance(cell, (float, np.floating)) or np.isfinite(cell)
        assert isinstance(cell, (float, int, str, Refusal, np.generic)), cell
        assert not isinstance(cell, Refusal) or (_refused(cell) and len(cell.reason) <= 4010)


@pytest.mark.parametrize(
    "function", [f for f in FUNCTIONS if f.result.shape == "table"], ids=lambda f: f.name
)
@settings(max_examples=150, deadline=5000)
@given(data=st.data())
def test_any_cell_of_a_table_may_be_anything(function: Function, data: st.DataObject) -> None:
    arguments = list(function.example.arguments)
    for i, argument in enumerate(function.arguments[: len(arguments)]):
        if argument.kind != "table":
            continue
        rows = [list(row) for row in arguments[i]]
        for _ in range(data.draw(st.integers(0, 4))):
            row = data.draw(st.sampled_from(rows))
            row[data.draw(st.integers(0, len(row) - 1))] = data.draw(st.sampled_from(CELLS))
        if data.draw(st.booleans()):  # a row that is shorter than the headings
            rows[-1] = rows[-1][:-1]
        arguments[i] = rows
    for cell in _each(call(function.name, *arguments)):
        assert not isinstance(cell, (float, np.floating)) or np.isfinite(cell)


def test_what_a_reason_quotes_is_cut() -> None:
    reason = call("LG_DENSITY", "a" * 100_000, 20)
    assert _refused(reason)
    assert len(reason.reason) < 300
    assert "density instead" in reason.reason  # what to do is still said
