"""Nonsense gets a reason of one line: never a number, never an exception, never a wait."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date, timedelta
from random import Random
from time import process_time
from typing import Any

import numpy as np
import pytest

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


def _chances(function: Function, count: int) -> Iterator[Random]:
    """As many chances, the same on every run of CI, others elsewhere; a failed one shows its arguments."""
    first = 0 if os.environ.get("CI") else Random().getrandbits(32)
    return (Random(f"{function.name} {first + n}") for n in range(count))


def _answers(function: Function, arguments: list[Any]) -> list[Any]:
    began = process_time()
    cells = _each(call(function.name, *arguments))
    assert process_time() - began < 5, f"a wait for {arguments!r:.2000}"
    return cells


def _is_answer(cell: Any) -> bool:
    """A finite number, a text or a reason of bounded length."""
    if isinstance(cell, Refusal):
        return _refused(cell) and len(cell.reason) <= 4010
    if isinstance(cell, (float, np.floating)):
        return bool(np.isfinite(cell))
    return isinstance(cell, (int, str, np.generic))


@BY_NAME
def test_any_cells_give_numbers_texts_or_reasons(function: Function) -> None:
    sound = [*function.example.arguments, *([None] * len(function.arguments))]
    for chance in _chances(function, 100):
        arguments = [chance.choice((sound[i], chance.choice(CELLS))) for i in range(len(function.arguments))]
        arguments += chance.choices(CELLS, k=chance.randint(0, 2))
        for cell in _answers(function, arguments):
            assert _is_answer(cell), f"{cell!r:.200} of {arguments!r:.2000}"


@pytest.mark.parametrize(
    "function", [f for f in FUNCTIONS if f.result.shape == "table"], ids=lambda f: f.name
)
def test_any_cell_of_a_table_may_be_anything(function: Function) -> None:
    for chance in _chances(function, 150):
        arguments = list(function.example.arguments)
        for i, argument in enumerate(function.arguments[: len(arguments)]):
            if argument.kind == "table":
                arguments[i] = _spoilt(arguments[i], chance)
        for cell in _answers(function, arguments):
            assert not isinstance(cell, (float, np.floating)) or np.isfinite(cell), f"{arguments!r:.2000}"


def _spoilt(table: Any, chance: Random) -> list[list[Any]]:
    """A table with some cells exchanged, and sometimes a row that is shorter than the headings."""
    rows = [list(row) for row in table]
    for _ in range(chance.randint(0, 4)):
        row = chance.choice(rows)
        row[chance.randrange(len(row))] = chance.choice(CELLS)
    if chance.random() < 0.5:
        rows[-1] = rows[-1][:-1]
    return rows


def test_what_a_reason_quotes_is_cut() -> None:
    reason = call("LG_DENSITY", "a" * 100_000, 20)
    assert _refused(reason)
    assert len(reason.reason) < 300
    assert "density instead" in reason.reason  # what to do is still said
