"""Single cells, rows and long arrays take different ways through a call, and come to the same."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from xlfuncs.worksheet import Refusal, _blocks, _cell, _short_way, call, catalogue
from xlfuncs.worksheet.refusal import UNUSABLE

LONG = 2 * _blocks.BLOCK + 3
FLOAT = (280, 50, 200)

CELLWISE = [
    function.name
    for function in catalogue().values()
    if function.result.shape == "cell"
    and function.arguments
    and not any(argument.kind in ("table", "any") for argument in function.arguments)
]


@pytest.mark.parametrize("name", CELLWISE)
def test_a_single_cell_gives_what_a_column_does(name: str) -> None:
    given = catalogue()[name].example.arguments
    assert not any(isinstance(cell, (list, tuple)) for cell in given)
    single = call(name, *given)
    column = call(name, *[cell if cell is None else [[cell], [cell]] for cell in given])
    assert column.shape == (2, 1)
    assert column[0, 0] == column[1, 0] == single or np.isclose(column[0, 0], single, rtol=1e-14)


NUMBERS = sorted(
    {sign * m * 10.0**e for sign in (-1, 1) for m in (1, 2.7316, 5) for e in range(-6, 15)} | {0.0}
)


@pytest.mark.parametrize("name", catalogue())
def test_a_number_that_is_surely_sound_is_never_refused_on_a_closer_look(name: str) -> None:
    for argument in catalogue()[name].arguments:
        if argument.kind not in ("quantity", "number", "named"):
            continue
        slot = _short_way.Slot(argument)
        low, high = _cell.sure(argument)
        near = [low, high, np.nextafter(low, high), np.nextafter(high, low)]
        for number in [*NUMBERS, *map(float, near)]:
            if slot.numbers and low < number < high:
                si = _cell.single(argument, number)  # raises where it is refused
                assert number * slot.scale + slot.offset == pytest.approx(si, rel=1e-15, abs=1e-300)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (True, "TRUE is not a number"),
        (-1, "outside the valid range"),
        (float("nan"), "not a finite number"),
        (float("inf"), "not a finite number"),
        (1e16, "too large"),
        (10**400, "too large"),
        ("1 kg/m3", "mass"),
        ("#DIV/0!", "holds #DIV/0!"),
        ("", "missing"),
        (None, "missing"),
    ],
)
def test_what_a_single_cell_refuses_a_row_refuses_with_the_same_words(cell: Any, expected: str) -> None:
    single = call("LG_IMMERSION", cell, 50, 200, 850)
    row = call("LG_IMMERSION", [[280, cell]], 50, 200, 850)
    assert isinstance(single, Refusal)
    assert expected in single.reason
    assert row[0, 1] == single
    assert row[0, 0] == call("LG_IMMERSION", *FLOAT, 850)


@pytest.mark.parametrize("name", ["LG_IMMERSION", "LG_READING_OFFSET"])
@pytest.mark.parametrize("density", [0.2, 0.85, 3, "0.85"])
def test_a_plain_specific_gravity_is_asked_back_however_it_comes(name: str, density: Any) -> None:
    given = FLOAT if name == "LG_IMMERSION" else (*FLOAT, 150)
    for lower in (density, np.array([[density, density]]), [[density, density]]):
        found = call(name, *given, lower)
        first = found if isinstance(found, Refusal) else found[0, 0]
        assert first.error == UNUSABLE
        assert f'"{float(density):g} SG"' in first.reason


def test_a_text_that_was_read_once_is_read_as_before() -> None:
    for _ in range(3):
        assert call("LG_IMMERSION", *FLOAT, "0.85 SG") == pytest.approx(167.933, abs=1e-3)
        assert isinstance(call("LG_IMMERSION", *FLOAT, "0.85"), Refusal)
        assert call("LG_IMMERSION", *FLOAT, "850 kg/m3", None, "HEMISPHERICAL") == call(
            "LG_IMMERSION", *FLOAT, 850, 0, "hemispherical"
        )


def test_many_texts_do_not_pile_up() -> None:
    for number in range(_short_way.ROOM + 10):
        call("LG_IMMERSION", *FLOAT, f"{800 + number / 1000} kg/m3")
    (slot,) = (s for s in _short_way.slots_of(catalogue()["LG_IMMERSION"]) if s.name == "lower_density")
    assert len(slot.known) <= _short_way.ROOM


def test_a_long_array_gives_what_its_parts_give() -> None:
    masses = np.linspace(270, 300, LONG).reshape(-1, 1)
    densities = np.linspace(840, 860, LONG).reshape(-1, 1)
    found = call("LG_IMMERSION", masses, 50, 200, densities)
    assert found.dtype == np.float64
    assert found.shape == masses.shape
    for at in (0, _blocks.BLOCK - 1, _blocks.BLOCK, LONG - 1):
        assert found[at, 0] == call("LG_IMMERSION", float(masses[at, 0]), 50, 200, float(densities[at, 0]))


def test_a_long_row_and_a_long_list_give_the_same() -> None:
    masses = np.linspace(270, 300, LONG)
    column = call("LG_IMMERSION", masses.reshape(-1, 1), 50, 200, 850)
    np.testing.assert_array_equal(call("LG_IMMERSION", masses, 50, 200, 850), column[:, 0])
    np.testing.assert_array_equal(call("LG_IMMERSION", masses.reshape(-1, 1).tolist(), 50, 200, 850), column)


def test_one_bad_cell_of_a_long_array_refuses_alone() -> None:
    masses = np.full((LONG, 1), 280.0)
    bad = _blocks.BLOCK + 5
    masses[bad], masses[LONG - 1] = -1, 400
    found = call("LG_IMMERSION", masses, 50, 200, 850)
    assert found[bad, 0] == call("LG_IMMERSION", -1, 50, 200, 850)
    assert found[LONG - 1, 0] == call("LG_IMMERSION", 400, 50, 200, 850)
    assert sum(isinstance(cell, Refusal) for cell in found[:, 0]) == 2
    assert found[0, 0] == found[bad + 1, 0] == call("LG_IMMERSION", *FLOAT, 850)


def test_what_is_wrong_beside_a_long_array_refuses_it_as_a_whole() -> None:
    masses = np.full((LONG, 1), 280.0)
    assert call("LG_IMMERSION", masses, 50, 200, None) == call("LG_IMMERSION", 280, 50, 200, None)
    other = call("LG_IMMERSION", masses, np.full((LONG - 1, 1), 50.0), 200, 850)
    assert isinstance(other, Refusal)
    assert f"mass {LONG}x1, diameter {LONG - 1}x1" in other.reason


@pytest.mark.parametrize("rows", [[[280.0], [280.0, 290.0]], [[280.0, 290.0], []], [[280.0], "x"], [[], []]])
def test_rows_of_different_length_are_never_taken_for_numbers(rows: list[Any]) -> None:
    found = np.ravel(call("LG_IMMERSION", rows, 50, 200, 850))
    assert not any(isinstance(cell, float) and cell for cell in found)


def test_texts_and_flags_among_numbers_are_what_they_are() -> None:
    found = call("LG_IMMERSION", [["280"], [280], [True]], 50, 200, 850)
    assert found[0, 0] == found[1, 0] == call("LG_IMMERSION", *FLOAT, 850)
    assert "TRUE is not a number" in found[2, 0].reason


def test_an_argument_is_never_changed() -> None:
    masses = np.full((4, 1), 280.0)
    found = call("LG_IMMERSION", masses, 50, 200, 850)
    found[:] = 0
    assert (masses == 280.0).all()
    levels = np.full((4, 1), 250.0)
    call("LG_LEVEL_TO_CURRENT", levels, 0, 1000)[:] = 0
    assert (levels == 250.0).all()
