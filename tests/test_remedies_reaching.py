"""Floats of the list for a range that the present float has no room to show, against rooms by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings

ACROSS, RHO, UPPER = 0.05, 983.2, 3.0
AREA = math.pi / 4 * ACROSS**2
Part = tuple[str, float, float]
"""Name, length and immersion [mm]."""


def mass(length: float, depth: float) -> float:
    """Grams of a float that is so deep in the liquid, whose upper part displaces vapour."""
    return 1e3 * AREA * (RHO * depth + UPPER * (length - depth)) / 1e3


def columns(parts: list[Part]) -> dict[str, list[Any]]:
    n = len(parts)
    return {
        "float_part": [name for name, _, _ in parts],
        "float_mass": [f"{mass(length, depth):.4f} g" for _, length, depth in parts],
        "float_diameter": [f"{ACROSS * 1e3:.1f} mm"] * n,
        "float_length": [f"{length} mm" for _, length, _ in parts],
        "magnet_height": [f"{depth} mm" for _, _, depth in parts],
        "float_ends": ["flat"] * n,
        "float_max_pressure": ["40 barg"] * n,
        "float_max_temperature": ["200 degC"] * n,
        "magnet_max_temperature": ["200 degC"] * n,
    }


def remedy(parts: list[Part], **row: Any) -> Remedy:
    full = SOUND | {"fluid": "Blend 7", "float_material": None} | row
    gauges = gauges_of({name: [cell] for name, cell in full.items()}, columns(parts))
    item = find_rule("range-not-reachable")
    hit = next(one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
    found = remedy_of(item, gauges, Settings(), hit)
    assert found is not None
    return found


def proposed(found: Remedy) -> list[str]:
    return [str(one.value) for one in found.options if one.name == "float_part"]


SHORT: Part = ("KX-1", 150.0, 110.0)
LONG: Part = ("KX-2", 220.0, 178.0)
TALL: Part = ("KX-3", 250.0, 110.0)


def test_a_listed_float_that_fits_and_reaches_is_named_with_the_room_that_it_needs() -> None:
    """The present float is 181 mm deep; KX-1 needs 110 mm below and 150 - 110 above 1000 of 1000 mm."""
    found = remedy([SHORT, LONG, TALL], room_below="120 mm", room_above="60 mm")
    assert proposed(found) == ["KX-1"]
    assert "KX-1, which reads" in found.text
    assert "needs 110 mm of the 120 mm below the lower connection and 40 mm of the 60 mm above" in found.text
    assert found.text.startswith("Make the room below the lower connection 1")
    numbers = next(one for one in found.options if one.name == "float_part").numbers
    assert numbers["room_below_needed_mm"] == pytest.approx(110, abs=0.01)
    assert numbers["room_above_needed_mm"] == pytest.approx(40, abs=0.01)


def test_the_calculation_of_the_room_stands_beside() -> None:
    found = remedy([SHORT, LONG], room_below="120 mm", room_above="60 mm")
    works = dict(found.further)
    below = works["room below the lower connection for KX-1"]
    above = works["room above the upper connection for KX-1"]
    assert below.fires and above.fires
    assert below.numbers()["x"] == pytest.approx(0.110, abs=1e-5)
    assert above.numbers()["x"] == pytest.approx(0.040, abs=1e-5)


def test_where_none_reaches_it_is_said_how_much_all_lack() -> None:
    found = remedy([LONG, TALL, ("KX-4", 240.0, 172.0)], room_below="100 mm", room_above="300 mm")
    assert proposed(found) == []
    # 110, 172 and 178 mm of 100
    assert "None of the float list fits: all lack room to show the range" in found.text
    assert "the least KX-3 with 10 mm below the lower connection" in found.text


def test_one_float_that_lacks_room_is_told_with_what_it_needs_and_what_there_is() -> None:
    found = remedy([LONG], room_below="120 mm", room_above="300 mm")
    assert (
        "the nearest is KX-2: needs 178 mm below the lower connection to show the range, there are 120 mm"
        in (found.text)
    )


def test_a_float_that_reaches_but_breaks_another_limit_is_not_proposed() -> None:
    found = remedy([SHORT], room_below="120 mm", room_above="60 mm", design_pressure="45 barg")
    assert proposed(found) == []
    assert "its limit is 40 barg" in found.text


def test_a_range_that_starts_above_the_connection_needs_so_much_less_room() -> None:
    low = {"visible_low": "50 mm", "visible_range": "900 mm"}
    found = remedy([LONG], room_below="128 mm", room_above="60 mm", **low)
    assert proposed(found) == ["KX-2"]
    assert "needs 128 mm of the 128 mm below the lower connection and 0 mm of the 60 mm above" in found.text


def test_no_other_finding_proposes_a_float_that_has_no_room() -> None:
    row = SOUND | {"fluid": "Blend 7", "float_max_pressure": "8 barg", "float_material": None}
    for room, names in (("120 mm", ["KX-1"]), ("400 mm", ["KX-1", "KX-2"])):
        full = row | {"room_below": room}
        gauges = gauges_of({name: [cell] for name, cell in full.items()}, columns([SHORT, LONG]))
        item = find_rule("float-pressure-exceeded")
        (hit,) = (one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
        found = remedy_of(item, gauges, Settings(), hit)
        assert found is not None and sorted(proposed(found)) == names


@settings(max_examples=8, deadline=None)
@given(
    st.lists(st.tuples(st.integers(120, 300), st.integers(40, 70)), min_size=1, max_size=6),
    st.integers(60, 170),
    st.integers(20, 150),
)
def test_every_part_that_is_proposed_has_room_enough(
    drawn: list[tuple[int, int]], below: int, above: int
) -> None:
    parts: list[Part] = [
        (f"KX-{at}", float(length), float(length * share // 100)) for at, (length, share) in enumerate(drawn)
    ]
    found = remedy(parts, room_below=f"{below} mm", room_above=f"{above} mm")
    spare = Settings().travel_missing_mm
    enough = {
        name for name, length, depth in parts if depth <= below + spare and length - depth <= above + spare
    }
    roomy = set(proposed(remedy(parts, room_below="175 mm", room_above="500 mm")))
    assert set(proposed(found)) == enough & roomy
