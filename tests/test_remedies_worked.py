"""What a remedy says in numbers has its calculation: further parts, the nearest one, shells, tests."""

from __future__ import annotations

import math
from typing import Any

import pytest

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings

Row = dict[str, Any]
AREA = math.pi / 4 * 0.05**2


def remedy(slug: str, *rows: Row, floats: list[Row] | None = None) -> Remedy:
    full = [SOUND | {"fluid": "Blend 7", "float_design_density": None} | row for row in rows]

    def columns(of: list[Row]) -> dict[str, list[Any]]:
        return {name: [row.get(name) for row in of] for name in dict.fromkeys(n for row in of for n in row)}

    gauges = gauges_of(columns(full), None if floats is None else columns(floats))
    hit = next(one for one in find_rule(slug).check(gauges, Settings()) if isinstance(one, Hit))
    found = remedy_of(find_rule(slug), gauges, Settings(), hit)
    assert found is not None
    return found


def numbers(work: Calculation | None) -> dict[str, float]:
    assert work is not None
    return work.numbers()


def part(name: str, grams: float, **other: Any) -> Row:
    sizes = {"float_diameter": "50 mm", "float_length": "250 mm", "magnet_height": "181 mm"}
    limits = {"float_max_pressure": "40 barg", "float_max_temperature": "200 degC"}
    return {"float_part": name, "float_mass": f"{grams} g", "float_ends": "flat"} | sizes | limits | other


LIGHT: Row = {"fluid_density": "880 kg/m3", "float_material": None, "float_wall": None}


def test_the_second_and_third_part_have_their_worst_readings_worked_out() -> None:
    floats = [part(f"KX-{at}", 313 + 2 * at) for at in range(4)]
    found = remedy("offset-exceeds-tolerance", LIGHT, floats=floats)
    fit = [one for one in found.options if one.name == "float_part"]
    assert len(fit) == 4
    works = dict(found.further)
    for option in fit[1:3]:
        work = works[f"{option.value} in this gauge"]
        assert work.fires
        worst = max(-option.numbers["worst_reading_low_mm"], option.numbers["worst_reading_high_mm"])
        assert 1e3 * abs(numbers(work)["w"]) == pytest.approx(worst, abs=1e-6)
    assert f"{fit[3].value} in this gauge" not in works


def test_the_limits_that_the_nearest_part_breaks_are_worked_out() -> None:
    """20 g too heavy, or too weak by 2 bar, or too wide: the test does not hold."""
    for nearest, symbol, value in (
        (part("KX-1", 370), "w", None),
        (part("KX-1", 313, float_max_pressure="8 barg"), "p_more", -2e5),
        (part("KX-1", 313, float_max_temperature="110 degC"), "T_more", -10.0),
    ):
        found = remedy("offset-exceeds-tolerance", LIGHT, floats=[nearest])
        work = dict(found.further)["KX-1 in this gauge"]
        assert not work.fires
        if value is not None:
            assert numbers(work)[symbol] == pytest.approx(value)
    # h = (m - rho_u V)/(A (rho - rho_u)) of 370 g in 880 kg/m3 under 3
    found = remedy("offset-exceeds-tolerance", LIGHT, floats=[part("KX-1", 370)])
    depth = (0.370 - 3 * AREA * 0.25) / (AREA * 877)
    assert numbers(dict(found.further)["KX-1 in this gauge"])["e"] == pytest.approx(0.181 - depth, abs=1e-9)


def test_a_part_that_does_not_go_into_the_bore_fails_by_that() -> None:
    wide = part("KX-1", 515, float_diameter="64 mm")
    found = remedy("offset-exceeds-tolerance", LIGHT | {"viscosity": None}, floats=[wide])
    work = dict(found.further)["KX-1 in this gauge"]
    assert not work.fires and numbers(work)["d"] > numbers(work)["D"]


@pytest.mark.parametrize("ends", ["hemispherical", "elliptical"])
def test_of_what_a_float_to_be_made_weighs_its_shell_is_worked_out(ends: str) -> None:
    """Surface at mid-wall times wall times density; half a 2:1 spheroid has 1.380 pi R^2 (geometry)."""
    row: Row = {"float_ends": ends, "fluid_density": "820 kg/m3", "magnet_height": "190 mm"}
    row |= {"float_material": "titanium grade 2", "float_wall": "0.8 mm", "float_mass": "330 g"}
    found = remedy("offset-exceeds-tolerance", row | {"design_pressure": "4 barg"})
    option = next(one for one in found.options if one.name == "float_mass")
    works = dict(found.further)
    work = works.get("the float to be made", found.calculation)
    now = numbers(work)
    r, t = 0.025 - 0.0004, 0.0008
    depth, cap = (0.025, 2.0) if ends == "hemispherical" else (0.0125, 1.3802)
    metal = 2 * math.pi * r * t * (0.25 - 2 * depth) + 2 * cap * math.pi * r**2 * t
    assert now["m_s"] == pytest.approx(now["rho_m"] * metal, rel=1e-4)
    assert 1e3 * now["m_s"] == pytest.approx(option.numbers["shell_g"], rel=1e-9)
    assert now["m_s"] + now["m_m"] + now["m_b"] == pytest.approx(now["m"], rel=1e-12)
    assert now["m_b"] >= 0


def test_a_test_pressure_has_its_factor() -> None:
    rows = [{"tag": f"LG-{at}", "test_pressure": "15 barg"} for at in range(1, 7)]
    rows[0] |= {"test_pressure": "8 barg"}
    found = remedy("test-pressure-low", *rows)
    usual, least = found.calculation, dict(found.further)["the least test pressure"]
    now = numbers(usual)
    assert (now["f_u"], now["p_u"], now["p_t"]) == (1.5, 15e5, 15e5)
    assert usual is not None and usual.fires and least.fires
    assert numbers(least)["p_min"] == pytest.approx(numbers(least)["f"] * 10e5)
    alone = remedy("test-pressure-low", rows[0])
    assert "f_u" not in numbers(alone.calculation)


def test_each_thickness_of_insulation_and_each_metal_has_its_own() -> None:
    row: Row = dict.fromkeys(("tracer_output", "maintain_temperature", "sheath_temperature"))
    row |= {"tracing": "none"}
    found = remedy("tracing-missing", row | {"fluid": "Water", "insulation_thickness": None})
    works = [found.calculation, *(work for _, work in found.further)]
    assert [round(1e3 * numbers(one)["s"], 6) for one in works] == [25, 50, 100]
    for one, option in zip(works, found.options[1:], strict=True):
        assert one is not None and one.fires
        assert option.value is not None
        assert numbers(one)["q_min"] == pytest.approx(float(option.value.value), rel=1e-3)
    metals = remedy("chamber-magnetic", {"chamber_material": "A105"})
    assert len(metals.further) == len(metals.options) - 1
    assert all(work.fires for _, work in metals.further)


def test_a_tracer_that_is_too_weak_has_both_ways_worked_out() -> None:
    found = remedy("tracing-underpowered", {"tracer_output": "9 W/m", "insulation_thickness": "25 mm"})
    works = [found.calculation, *(work for _, work in found.further)]
    assert len(works) == len(found.options) == 2
    assert all(one is not None and one.fires for one in works)
