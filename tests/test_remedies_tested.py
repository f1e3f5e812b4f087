"""Floats to be made where the hydrostatic test is above what the present one bears."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.remedies_hold import tried
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge.strength import permitted_pressure

TITANIUM: dict[str, Any] = {
    "float_ends": "hemispherical",
    "float_material": "titanium grade 2",
    "float_wall": "0.8 mm",
    "float_mass": "250 g",
    "fluid": "Blend 7",
    "fluid_density": "820 kg/m3",
    "float_design_density": None,
    "magnet_height": "190 mm",
    "float_max_pressure": "15 barg",
    "design_temperature": "120 degC",
    "design_pressure": "4 barg",
}


def columns(**row: Any) -> dict[str, list[Any]]:
    return {name: [cell] for name, cell in (SOUND | TITANIUM | row).items()}


def remedy(slug: str, **row: Any) -> Remedy:
    gauges, item = gauges_of(columns(**row)), find_rule(slug)
    hit = next(one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
    found = remedy_of(item, gauges, Settings(), hit)
    assert found is not None
    return found


def of_mass(found: Remedy) -> Option:
    return next(one for one in found.options if one.name == "float_mass")


def bears(wall: float, length: float = 0.25) -> float:
    """Permitted pressure [barg] of titanium of 50 mm at 120 degC, a third of its collapse pressure."""
    return (
        float(permitted_pressure(0.05, wall, length, "titanium grade 2", 393.15, "hemispherical", 3.0)) / 1e5
    )


def shell(wall: float) -> float:
    """Grams of 50 x 250 mm with hemispheres, 4510 kg/m3, at mid-wall."""
    r = 0.025 - wall / 2
    return 4510e3 * (2 * math.pi * r * wall * 0.2 + 4 * math.pi * r**2 * wall)


@pytest.mark.parametrize("present", ["250 g", "320 g"])
def test_a_float_of_another_mass_has_a_wall_that_bears_the_test_where_its_mass_allows_it(
    present: str,
) -> None:
    found = remedy("offset-exceeds-tolerance", test_pressure="20 barg", float_mass=present)
    option = of_mass(found)
    wall = option.numbers["wall_mm"] / 1e3
    assert bears(wall) >= 20 > bears(wall - 1e-4)  # the thinnest, in steps of a tenth
    assert option.numbers["shell_g"] == pytest.approx(shell(wall), rel=2e-3)
    assert option.numbers["shell_g"] + option.numbers["magnets_g"] <= option.numbers["mass_g"]
    assert option.changes["float_max_pressure"] / 1e5 == pytest.approx(bears(wall), rel=1e-6)
    assert "the test as well, which the maker has to prove" in option.text
    assert "take it out before the test" not in option.text


def test_where_no_wall_that_bears_the_test_leaves_the_mass_that_is_said() -> None:
    option = of_mass(remedy("offset-exceeds-tolerance", test_pressure="60 barg"))
    assert shell(0.002) > option.numbers["mass_g"] and bears(0.002) < 60
    said = "no wall that bears the test leaves that mass: take it out before the test at 60 barg"
    assert f"{said}: its limit is 15 barg" in option.text


@pytest.mark.parametrize("unknown", [{"float_material": None}, {"float_ends": "flat"}])
def test_what_cannot_be_computed_is_not_claimed(unknown: dict[str, Any]) -> None:
    option = of_mass(remedy("offset-exceeds-tolerance", test_pressure="20 barg", **unknown))
    assert "take it out before the test at 20 barg: its limit is 15 barg" in option.text
    assert "no wall" not in option.text and "as well" not in option.text


@pytest.mark.parametrize("test", [None, "14 barg"])
def test_without_a_test_above_its_limit_nothing_is_said_of_it(test: str | None) -> None:
    assert "test" not in of_mass(remedy("offset-exceeds-tolerance", test_pressure=test)).text


def made(found: Remedy) -> Option:
    return next(one for one in found.options if "float_length" in one.changes)


def test_a_float_of_its_own_size_withstands_the_test_as_well_where_one_does() -> None:
    found = remedy("float-pressure-exceeded", float_max_pressure="3 barg", test_pressure="15 barg")
    option = made(found)
    assert option.changes["float_max_pressure"] >= 15e5
    assert bears(option.changes["float_wall"], option.changes["float_length"]) >= 15
    assert "before the test" not in option.text
    thin = made(remedy("float-pressure-exceeded", float_max_pressure="3 barg", test_pressure=None))
    assert bears(thin.changes["float_wall"], thin.changes["float_length"]) < 15


def test_where_none_withstands_the_test_the_one_for_the_design_pressure_is_named_and_that_is_said() -> None:
    option = made(remedy("float-pressure-exceeded", float_max_pressure="3 barg", test_pressure="400 barg"))
    assert option.changes["float_max_pressure"] >= 4e5
    said = (
        "none of this diameter up to 500 mm long bears the test as well: take it out before the test at 400"
    )
    assert said in option.text


@pytest.mark.parametrize("slug", ["offset-exceeds-tolerance", "float-pressure-exceeded"])
def test_a_float_that_is_made_for_the_test_brings_no_finding(slug: str) -> None:
    limit = "3 barg" if slug == "float-pressure-exceeded" else "15 barg"
    gauges = gauges_of(columns(test_pressure="15.1 barg", float_max_pressure=limit))
    found = [one for one in tried(gauges, Settings()) if one.rule == slug]
    assert found and not [one for one in found if one.stays or one.new]
