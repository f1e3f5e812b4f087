"""Level in a chamber against the level in its vessel."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from xlfuncs.gauge import chamber, reasons

levels = st.floats(0.0, 20.0)
liquids = st.floats(400.0, 1800.0)
vapours = st.floats(0.0, 100.0)


def reason(function: Callable[..., Any], *arguments: Any) -> str:
    with reasons() as why:
        result = function(*arguments)
    assert np.isnan(result)
    return str(why.at(result))


@given(levels, liquids, liquids, vapours)
def test_vessel_level_is_the_inverse_of_chamber_level(
    level: float, vessel: float, own: float, vapour: float
) -> None:
    found = chamber.chamber_level(level, vessel, own, vapour)
    assert chamber.vessel_level(found, vessel, own, vapour) == pytest.approx(level, rel=1e-12)


@given(levels, liquids, liquids, vapours, st.floats(20.0, 30.0))
def test_pressures_are_equal_at_the_lower_connection(
    level: float, vessel: float, own: float, vapour: float, top: float
) -> None:
    # the balance itself, written out for both columns up to a common height
    found = chamber.chamber_level(level, vessel, own, vapour)
    in_vessel = vessel * level + vapour * (top - level)
    in_chamber = own * found + vapour * (top - found)
    assert in_chamber == pytest.approx(in_vessel, rel=1e-12)


@given(levels, liquids, st.floats(1.001, 1.5), vapours)
def test_a_denser_chamber_stands_lower(level: float, vessel: float, times: float, vapour: float) -> None:
    assume(level > 1e-6)
    assert chamber.chamber_error(level, vessel, vessel * times, vapour) < 0
    assert chamber.chamber_error(level, vessel * times, vessel, vapour) > 0


@given(levels, liquids, vapours)
def test_equal_densities_stand_equally_high(level: float, density: float, vapour: float) -> None:
    assert chamber.chamber_error(level, density, density, vapour) == pytest.approx(0.0, abs=1e-12)


def test_the_error_grows_with_the_vapour_density() -> None:
    errors = chamber.chamber_error(1.0, 700.0, 850.0, np.array([0.0, 20.0, 50.0]))
    assert (np.diff(errors) < 0).all()


def test_table_agrees_with_the_functions_and_spans_the_range() -> None:
    headings, *rows = chamber.chamber_table(1.2, 798.0, 960.0, 20.0, 7)
    vessel, own, error, percent = np.array(rows).T
    assert len(headings) == 4
    assert vessel == pytest.approx(np.linspace(0, 1200, 7))
    assert own == pytest.approx(1e3 * chamber.chamber_level(vessel / 1e3, 798.0, 960.0, 20.0))
    assert error == pytest.approx(own - vessel)
    assert percent == pytest.approx(100 * error / 1200)


def test_a_warmer_chamber_overflows_at_the_upper_connection() -> None:
    _, *rows = chamber.chamber_table(1.0, 960.0, 900.0, 1.0)
    assert max(row[1] for row in rows) == 1000.0
    assert rows[-1][2] == 0.0
    assert float(rows[2][2]) > 0


def test_what_cannot_be_used() -> None:
    assert "chamber_density must be above the density of the upper fluid" in reason(
        chamber.chamber_level, 1.0, 800.0, 10.0, 20.0
    )
    assert "vessel_density must be above upper_density" in reason(
        chamber.vessel_level, 1.0, 10.0, 800.0, 20.0
    )
    assert "vessel_level must not be negative" in reason(chamber.chamber_level, -0.1, 800.0, 900.0)
    assert "upper_density must not be negative" in reason(chamber.chamber_level, 0.1, 800.0, 900.0, -1.0)
    for bad in ((0.0, 800.0, 900.0), (1.0, 800.0, 900.0, 0.0, 2.5), (1.0, 800.0, 900.0, 0.0, 1.0)):
        with reasons() as why:
            table = chamber.chamber_table(*bad)
        assert len(table) == 2
        assert np.isnan(table[1]).all()
        assert why


@pytest.mark.parametrize("above", [0.001, 0.1, 0.4])
def test_a_vessel_filled_above_the_upper_connection_is_refused_both_ways(above: float) -> None:
    """The chamber is filled from its upper connection then, and measures nothing."""
    distance = 1.2
    fills = "the vessel stands above the upper connection"
    assert fills in reason(chamber.chamber_level, distance + above, 640.0, 780.0, 22.0, 30.0, distance)
    assert np.isfinite(chamber.chamber_level(distance, 640.0, 780.0, 22.0, 30.0, distance))
    overflows = "the chamber would stand above its upper connection"
    assert overflows in reason(chamber.vessel_level, distance + above, 640.0, 780.0, 22.0, 30.0, distance)
    # the chamber nearly full of heavier liquid: the vessel would be over-full
    assert fills in reason(chamber.vessel_level, distance, 640.0, 780.0, 22.0, 22.0, distance)


def test_array_equals_loop_of_scalars() -> None:
    vessel = np.array([[0.1], [0.5]])
    own = np.array([800.0, 900.0, 5.0])
    block = chamber.chamber_level(vessel, 850.0, own, 10.0)
    assert block.shape == (2, 3)
    for i, level in enumerate(vessel[:, 0]):
        for j, density in enumerate(own):
            np.testing.assert_equal(block[i, j], chamber.chamber_level(level, 850.0, density, 10.0))
    assert isinstance(chamber.chamber_level(0.1, 850.0, 900.0), np.float64)
