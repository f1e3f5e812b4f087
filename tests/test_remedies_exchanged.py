"""Floats that changed places, put back: the worst reading of each gauge, and what the float still breaks."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings

Row = dict[str, Any]
AREA = math.pi / 4 * 0.05**2
PLANE = 0.181
LIQUIDS = (983.2, 860.0, 740.0)


def of_float(rho: float) -> float:
    """Grams of a float of 50 x 250 mm with its magnet in the surface of a liquid, under 3 kg/m3."""
    return 1e3 * AREA * ((rho - 3) * PLANE + 3 * 0.25)


def ring(*floats: float, **of_all: Any) -> list[Row]:
    """Gauges in the liquids above, each with a float for another one: by hand 1 to 3, and so on."""
    return [
        {
            "tag": f"LG-{at}",
            "fluid": "Blend 7",
            "fluid_density": f"{rho} kg/m3",
            "float_part": f"KX-{made_for:.0f}",
            "float_serial": f"F-{at}",
            "float_mass": f"{of_float(made_for):.1f} g",
            "float_design_density": None,
            "operating_temperature": "20 degC",
            "serial": f"QX-{at}",
        }
        | of_all
        for at, (rho, made_for) in enumerate(zip(LIQUIDS, floats, strict=False), start=1)
    ]


def table(rows: list[Row]) -> Gauges:
    full = [SOUND | row for row in rows]
    return gauges_of({name: [row.get(name) for row in full] for name in full[0]})


def remedies(rows: list[Row]) -> dict[str, Remedy]:
    gauges, item = table(rows), find_rule("floats-exchanged")
    hits = [one for one in item.check(gauges, Settings()) if isinstance(one, Hit)]
    made = {hit.tag: remedy_of(item, gauges, Settings(), hit) for hit in hits}
    return {tag: one for tag, one in made.items() if one is not None}


def worst(remedy: Remedy) -> tuple[float, float]:
    numbers = remedy.options[0].numbers
    return numbers["worst_reading_low_mm"], numbers["worst_reading_high_mm"]


def uncertainty(rho: float) -> float:
    """Millimetres by which rounding shifts a reading: of 0.1 g, of the nominal 50 mm and of whole mm."""
    half_mass, half_plane = 0.05e-3, 0.5e-3
    by_mass = half_mass / 3**0.5 / (AREA * (rho - 3))
    return 2e3 * math.hypot(by_mass, half_plane / 3**0.5)


def test_each_of_three_gauges_is_told_how_all_of_them_read_with_their_floats_put_back() -> None:
    """Lowest and highest reading lie about none, since each float was made for its liquid."""
    found = remedies(ring(860.0, 740.0, 983.2))
    assert list(found) == ["LG-1", "LG-2", "LG-3"]
    for tag, remedy in found.items():
        low, high = worst(remedy)
        assert low < 0 < high and max(-low, high) < 5
        assert min(-low, high) >= uncertainty(LIQUIDS[int(tag[-1]) - 1]) - 0.05
        others = [other for other in found if other != tag]
        _, _, then = remedy.text.partition("Put back so, ")
        assert sorted(re.findall(r"LG-\d", then)) == others
        assert then.count("at worst") == 2
        for other in others:
            first, last = worst(found[other])
            assert f"{other} reads {first:+.1f} to {last:+.1f} mm at worst" in then


def test_the_cold_offset_and_the_worst_reading_are_told_apart() -> None:
    remedy = remedies(ring(860.0, 740.0, 983.2))["LG-1"]
    low, high = worst(remedy)
    cold = remedy.options[0].numbers["offset_mm"]
    assert f"its cold offset is {round(cold, 1) + 0.0:+.1f} mm here, " in remedy.text
    assert f"mm here, it reads {low:+.1f} to {high:+.1f} mm at worst" in remedy.text


def test_the_calculation_of_each_gauge_stands_beside() -> None:
    remedy = remedies(ring(860.0, 740.0, 983.2))["LG-1"]
    works = [remedy.calculation, *(work for _, work in remedy.further)]
    assert [name for name, _ in remedy.further] == [
        "LG-3 with its float put back",
        "LG-2 with its float put back",
    ] or [name for name, _ in remedy.further] == [
        "LG-2 with its float put back",
        "LG-3 with its float put back",
    ]
    assert len(works) == 3
    for work in works:
        assert work is not None and work.fires  # within the tolerance
    first = works[0]
    assert first is not None
    low, high = worst(remedy)
    assert 1e3 * abs(first.numbers()["w"]) == pytest.approx(max(-low, high), abs=1e-6)


def test_a_limit_that_the_float_put_back_breaks_is_named_where_it_breaks_it() -> None:
    rows = ring(860.0, 983.2)
    rows[0] |= {"float_max_temperature": "100 degC"}  # goes to LG-2, which is designed for 120 degC
    found = remedies(rows)
    assert "still breaks a limit" not in found["LG-1"].text.partition("Put back so, ")[0]
    for text in (
        found["LG-2"].text.partition("Put back so, ")[0],
        found["LG-1"].text.partition("Put back so, ")[2],
    ):
        assert "still breaks a limit" in text
        assert "100 degC" in text and "(float-temperature-exceeded)" in text


def test_a_limit_that_the_floats_leave_with_their_gauge_is_no_longer_named() -> None:
    rows = ring(860.0, 983.2)
    rows[0] |= {"test_pressure": "50 barg"}  # of the gauge: it stays, whichever float is in it
    rows[1] |= {"float_max_pressure": "60 barg"}
    assert "still breaks a limit" not in remedies(rows)["LG-1"].text
    rows[1] |= {"float_max_pressure": "45 barg"}
    first = remedies(rows)["LG-1"].text.partition("Put back so, ")[0]
    assert "45 barg" in first and "(float-test-pressure-exceeded)" in first


def test_what_is_wrong_with_the_chamber_is_no_limit_of_the_float() -> None:
    acid: Row = {
        "fluid": "Hydrochloric acid 15 %",
        "float_material": "Alloy C-276",
        "chamber_material": "316L",
    }
    for remedy in remedies(ring(860.0, 983.2, **acid)).values():
        assert "wetted-material-unfit" not in remedy.text
    for remedy in remedies(ring(860.0, 983.2, **acid | {"float_material": "316L"})).values():
        assert remedy.text.count("(wetted-material-unfit)") == 2


def test_a_float_that_only_reads_right_when_cold_is_said_to_be_beyond_the_tolerance() -> None:
    rows = ring(860.0, 983.2, viscosity="40 mPa.s", level_rate="150 mm/s")
    for remedy in remedies(rows).values():
        assert "beyond the tolerance of 10 mm" in remedy.text or "no worst reading" in remedy.text
