"""Both sides of the limits of the physics."""

from __future__ import annotations

import pytest

from xlfuncs.worksheet import Refusal, call


def refused(*what: object) -> str:
    """The reason for which a function gives no number; "" where it gives one."""
    left = [call(*what)]  # type: ignore[arg-type]
    while left:
        part = left.pop()
        if isinstance(part, Refusal):
            return part.reason
        left += part if isinstance(part, list) else []
    return ""


@pytest.mark.parametrize("points", [2, 3, 101])
def test_a_chamber_table_has_as_many_points_as_asked_for(points: int) -> None:
    table = call("LG_CHAMBER_TABLE", 1000, 800, 960, 0, points)
    assert len(table) == points + 1


@pytest.mark.parametrize("points", [1, 2.5, 102, 110])
def test_a_chamber_table_of_too_few_or_many_points_is_refused(points: float) -> None:
    assert "points" in refused("LG_CHAMBER_TABLE", 1000, 800, 960, 0, points)


@pytest.mark.parametrize("points", [2, 3, 101])
def test_a_calibration_has_as_many_points_as_asked_for(points: int) -> None:
    assert len(call("LG_CALIBRATION_TABLE", 0, 1000, points)) == points + 1


@pytest.mark.parametrize("points", [1, 2.5, 102, 110])
def test_a_calibration_of_too_few_or_many_points_is_refused(points: float) -> None:
    assert "points" in refused("LG_CALIBRATION_TABLE", 0, 1000, points)


@pytest.mark.parametrize(("allowance", "why"), [(0.51, "mass_allowance"), (0.02, "")])
def test_a_mass_is_off_by_less_than_half(allowance: float, why: str) -> None:
    duty = (60, "titanium grade 2", 200, 700, 740, 5, None, 80, 10, "hemispherical", None, 0.1)
    assert why in refused("LG_SIZE_FLOAT", *duty, allowance)
    assert bool(why) == bool(refused("LG_SIZE_FLOAT", *duty, allowance))
