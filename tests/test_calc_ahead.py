"""Calls from Calc that are answered before they come."""

from __future__ import annotations

import time
from typing import Any

import pytest

from xlfuncs.hosts.calc import ahead
from xlfuncs.hosts.calc.ahead import FIRST, PAUSE, Ahead
from xlfuncs.hosts.calc.answer import answer

MASSES = [240 + n / 8 for n in range(100)]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The time, as its last element."""
    now = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[-1])
    return now


def ask(functions: Ahead, calls: list[tuple[Any, ...]], name: str = "LG_IMMERSION") -> dict[Any, Any]:
    """Ask for calls as the bridge does, which asks for none that it knows; gives the results of all."""
    known: dict[Any, Any] = {}
    asked = 0
    for cells in calls:
        if cells not in known:
            asked += 1
            known[cells], others = functions.answer(name, cells)
            assert known[cells] == answer(name, cells)
            known.update(others)
    known["asked"] = asked
    return known


def test_the_calls_that_a_changed_argument_brings_are_worked_out_together(clock: list[float]) -> None:
    functions = Ahead()
    assert ask(functions, [(m, 50, 200, 850) for m in MASSES])["asked"] == len(MASSES)
    for density in (851, 860, 852.5):
        clock.append(clock[-1] + 2 * PAUSE)
        calls = [(m, 50, 200, density) for m in MASSES]
        found = ask(functions, calls)
        assert found["asked"] == FIRST
        for cells in calls:
            assert found[cells] == pytest.approx(answer("LG_IMMERSION", cells), rel=1e-12)


def test_of_two_arguments_with_one_value_the_changed_one_is_found(clock: list[float]) -> None:
    functions = Ahead()
    ask(functions, [(m, 50, 200, d) for d in (850, 900) for m in MASSES])
    clock.append(clock[-1] + 2 * PAUSE)
    found = ask(functions, [(m, 50, 250, d) for d in (850, 900) for m in MASSES])
    assert found["asked"] == FIRST


def test_a_text_that_is_the_same_in_all_calls_stays_one_argument(clock: list[float]) -> None:
    functions = Ahead()
    ask(functions, [(m, 50, 200, "0.85 SG", 0, "flat", "in") for m in MASSES])
    clock.append(clock[-1] + 2 * PAUSE)
    calls = [(m, 50, 200, "0.9 SG", 0, "flat", "in") for m in MASSES]
    found = ask(functions, calls)
    assert found["asked"] == FIRST
    for cells in calls:
        assert found[cells] == pytest.approx(answer("LG_IMMERSION", cells), rel=1e-12)


def test_new_values_in_every_row_are_asked_for_one_by_one(clock: list[float]) -> None:
    functions = Ahead()
    ask(functions, [(m, 50, 200, 850) for m in MASSES])
    clock.append(clock[-1] + 2 * PAUSE)
    assert ask(functions, [(m + 0.01, 50, 200, 850) for m in MASSES])["asked"] == len(MASSES)


@pytest.mark.parametrize("cell", [0, None, "", "250 g", True])
def test_cells_that_mean_something_else_in_a_range_are_asked_for_one_by_one(
    clock: list[float], cell: Any
) -> None:
    functions = Ahead()
    ask(functions, [(m, 50, 200, 850) for m in MASSES])
    functions._asked["LG_IMMERSION"][cell, 50, 200, 850] = None
    clock.append(clock[-1] + 2 * PAUSE)
    assert ask(functions, [(m, 50, 200, 860) for m in MASSES])["asked"] == len(MASSES)


def test_what_is_refused_is_asked_for_alone(clock: list[float]) -> None:
    functions = Ahead()
    masses = [*MASSES, 400]  # the last one sinks
    ask(functions, [(m, 50, 200, 850) for m in MASSES])
    functions._asked["LG_IMMERSION"][400, 50, 200, 850] = None
    clock.append(clock[-1] + 2 * PAUSE)
    found = ask(functions, [(m, 50, 200, 860) for m in masses])
    assert found["asked"] == FIRST + 1
    assert found[400, 50, 200, 860] == {"error": 503}


def test_tables_texts_and_ranges_are_not_guessed(clock: list[float]) -> None:
    functions = Ahead()
    for density in (850, 860):
        clock.append(clock[-1] + 2 * PAUSE)
        calls = [(m, 50, 200, 150, density) for m in MASSES]
        assert ask(functions, calls, "LG_DENSITY_WINDOW")["asked"] == len(MASSES)
        clock.append(clock[-1] + 2 * PAUSE)
        ranges = [(((m,), (m,)), 50, 200, density) for m in MASSES]
        assert ask(functions, ranges)["asked"] == len(MASSES)


def test_earlier_calls_take_no_more_than_their_room(
    clock: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ahead, "ROOM", 20)
    functions = Ahead()
    ask(functions, [(m, 50, 200, 850) for m in MASSES])
    asked = functions._asked["LG_IMMERSION"]
    assert len(asked) <= 20
    assert (MASSES[-1], 50, 200, 850) in asked
