"""Both sides of the limits of the physics."""

from __future__ import annotations

import pytest

from xlfuncs.worksheet import Refusal, call


def refused(*what: object) -> str:
    """The reason for which a function gives no number; "" where it gives one."""
    found = call(*what)  # type: ignore[arg-type]
    while isinstance(found, list):
        found = next((part for part in found if isinstance(part, (list, Refusal))), "")
    return found.reason if isinstance(found, Refusal) else ""


@pytest.mark.parametrize("points", [2, 3, 101])
def test_a_chamber_table_has_as_many_points_as_asked_for(points):
    table = call("LG_CHAMBER_TABLE", 1000, 800, 960, 0, points)
    assert len(table) == points + 1


@pytest.mark.parametrize("points", [1, 2.5, 102, 110])
def test_a_chamber_table_of_too_few_or_many_points_is_refused(points):
    assert "points" in refused("LG_CHAMBER_TABLE", 1000, 800, 960, 0, points)
