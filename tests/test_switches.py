"""Switches: the moving float simulated step by step, inverses, limits of travel."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from xlfuncs.gauge import reasons
from xlfuncs.gauge.floats import immersion, reading_offset
from xlfuncs.gauge.switches import float_travel, reset_level, set_point, switch_check, switch_level

FLOAT: dict[str, Any] = {"mass": 0.28, "diameter": 0.05, "length": 0.2, "lower_density": 850.0}
DEPTH = immersion(**FLOAT)
CHAMBER: dict[str, Any] = {"length": 0.2, "connection_distance": 1.0, "room_below": 0.25, "room_above": 0.1}


def magnet_plane(
    level: float | NDArray[np.float64],
    magnet_height: float,
    room_below: float = 0.25,
    room_above: float = 0.1,
    distance: float = 1.0,
) -> Any:
    """Where the magnet is when the float follows the level between its stops."""
    bottom = np.clip(level - DEPTH, -room_below, distance + room_above - FLOAT["length"])
    return bottom + magnet_height


@pytest.mark.parametrize("point", [0.1, 0.45, 0.9])
@pytest.mark.parametrize("magnet_height", [0.12, 0.16, 0.19])
def test_acts_where_the_moving_magnet_passes(point: float, magnet_height: float) -> None:
    levels = np.linspace(0.0, 1.0, 100_001)
    passed = magnet_plane(levels, magnet_height) >= point
    assert passed.any()
    assert switch_level(point, magnet_height, DEPTH) == pytest.approx(levels[passed.argmax()], abs=1.1e-5)


@given(point=st.floats(0, 3), magnet_height=st.floats(0, 0.2))
def test_acts_early_by_the_reading_offset(point: float, magnet_height: float) -> None:
    # a float that reads high acts below the true level
    offset = reading_offset(0.28, 0.05, 0.2, magnet_height, 850.0)
    assert switch_level(point, magnet_height, DEPTH) == pytest.approx(point - offset, abs=1e-12)


@given(level=st.floats(0, 3), magnet_height=st.floats(0, 0.3), depth=st.floats(0, 0.3))
def test_set_point_inverts_the_level(level: float, magnet_height: float, depth: float) -> None:
    point = set_point(level, magnet_height, depth)
    assert switch_level(point, magnet_height, depth) == pytest.approx(level, abs=1e-12)


def test_a_lighter_fluid_makes_the_switch_act_late() -> None:
    densities = np.linspace(720, 1000, 30)
    depths = immersion(0.28, 0.05, 0.2, densities)
    assert (np.diff(switch_level(0.5, 0.16, depths)) < 0).all()


def test_reset_lies_on_the_side_that_the_level_came_from() -> None:
    acts = switch_level(0.5, 0.16, DEPTH)
    high = reset_level(0.5, 0.16, DEPTH, 0.012, "rising")
    low = reset_level(0.5, 0.16, DEPTH, 0.012, "falling")
    assert acts - high == pytest.approx(0.012)
    assert low - acts == pytest.approx(0.012)
    assert reset_level(0.5, 0.16, DEPTH, 0.0) == acts
    with pytest.raises(ValueError, match="action is 'up'"):
        reset_level(0.5, 0.16, DEPTH, 0.012, "up")


def test_travel_is_where_the_simulated_magnet_moves() -> None:
    levels = np.linspace(0.0, 1.0, 100_001)
    for below, above in ((0.25, 0.25), (0.05, 0.02), (0.1, 0.0), (0.0, 0.2)):
        plane = magnet_plane(levels, 0.16, below, above)
        moving = levels[:-1][np.diff(plane) > 0]
        lowest, highest = float_travel(DEPTH, 0.2, 1.0, below, above)
        assert lowest == pytest.approx(moving[0], abs=2e-5)
        assert highest == pytest.approx(moving[-1], abs=2e-5)


def test_a_chamber_with_room_follows_all_levels_between_the_connections() -> None:
    low, high = float_travel(DEPTH, 0.2, 1.0, 0.3, 0.3)
    assert low == 0.0 and high == 1.0


def test_check_says_what_is_wrong() -> None:
    case: dict[str, Any] = {"magnet_height": 0.16, "immersion": DEPTH, **CHAMBER}
    assert switch_check(0.5, **case) == "feasible"
    # a level of the upper connection itself is not passed
    assert str(switch_check(1.2, **case)).startswith(
        "never acts: 1207.8 mm is not below the highest level, 1000.0 mm"
    )
    assert str(switch_check(-0.05, **case)).startswith("never acts")
    tight = {**case, "room_below": 0.05}
    assert str(switch_check(0.12, **tight)).startswith("feasible")
    assert switch_check(0.11, **tight) == ("never acts: 117.8 mm is not above the lowest level, 117.8 mm")
    late = switch_check(0.115, **tight, differential=0.02, action="rising")
    assert str(late).startswith("never resets")
    assert switch_check(0.115, **tight, differential=0.02, action="falling") == "feasible"


@given(point=st.floats(-0.5, 1.5), below=st.floats(0.0, 0.3), above=st.floats(0.0, 0.3))
def test_check_agrees_with_the_simulated_float(point: float, below: float, above: float) -> None:
    text = switch_check(point, 0.16, DEPTH, 0.2, 1.0, below, above)
    low, high = magnet_plane(np.array([0.0, 1.0]), 0.16, below, above)
    if abs(point - low) > 1e-9 and abs(point - high) > 1e-9:
        assert (text == "feasible") == (low < point < high)


def test_reasons_and_ranges() -> None:
    case: dict[str, Any] = {"magnet_height": 0.16, "immersion": np.array([DEPTH, 0.25, DEPTH]), "length": 0.2}
    chamber: dict[str, Any] = {
        "connection_distance": np.array([1.0, 1.0, 0.1]),
        "room_below": 0.05,
        "room_above": 0.02,
    }
    with reasons() as why:
        texts = switch_check(0.5, **case, **chamber)
    assert list(texts) == ["feasible", "", ""]
    found = why.at(texts)
    assert found[0] == ""
    assert "immersion must not exceed the length" in found[1]
    assert "no way to go" in found[2]
    with reasons() as why:
        levels = switch_level(0.5, np.array([0.16, -0.1]), DEPTH)
    assert "magnet_height must not be negative" in why.at(levels)[1]
