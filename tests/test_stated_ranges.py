"""Of a stated range the end that is beyond the limit decides, and the calculation takes that end."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.test_further_rules import AFLOAT, BRINE, COLD, DEPTH
from tests.test_rule_limits import BARE, INTERFACE, NO_PLANE, OIL, fires, mass_at, mass_of
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import calculation_of, find_rule, remedy_of

WATER_BY = {"operating_temperature": "20 to 90 degC", "fluid": "Water"}
"""Water has 998.4 kg/m3 at 20 degC and 965.5 at 90 degC, at 6 bar absolute (IAPWS-95)."""

RANGES: list[tuple[str, dict[str, Any], str, str]] = [
    ("float-sinks", {"float_mass": mass_of(700)}, "fluid_density", "690 to 900 kg/m3"),
    ("float-barely-floats", OIL | {"float_mass": mass_of(800)}, "fluid_density", "880 to 1000 kg/m3"),
    ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(0)}, "fluid_density", "800 to 880 kg/m3"),
    ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(0)}, "fluid_density", "880 to 960 kg/m3"),
    (
        "design-density-mismatch",
        BARE | {"float_design_density": "1000 kg/m3"},
        "fluid_density",
        "900 to 1000 kg/m3",
    ),
    (
        "design-density-mismatch",
        BARE | {"float_design_density": "1000 kg/m3"},
        "fluid_density",
        "1000 to 1100 kg/m3",
    ),
    ("design-density-mismatch", NO_PLANE, "fluid_density", "850 to 983 kg/m3"),
    ("design-density-mismatch", NO_PLANE, "fluid_density", "983 to 1200 kg/m3"),
    (
        "interface-float-outside-fluids",
        INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(950)},
        "fluid_density",
        "940 to 1000 kg/m3",
    ),
    (
        "interface-float-outside-fluids",
        INTERFACE | {"float_mass": mass_of(850)},
        "upper_density",
        "800 to 860 kg/m3",
    ),
    ("interface-density-gap-small", INTERFACE, "upper_density", "800 to 960 kg/m3"),
    (
        "interface-density-gap-small",
        INTERFACE | {"upper_density": "800 kg/m3"},
        "fluid_density",
        "840 to 1000 kg/m3",
    ),
    ("fluid-boils-in-chamber", {"operating_pressure": "0 barg"}, "operating_temperature", "60 to 97 degC"),
    ("fluid-boils-in-chamber", {"operating_temperature": "97 degC"}, "operating_pressure", "0 to 5 barg"),
    ("float-lags", {"fluid": "Blend 7"}, "viscosity", "1 to 150 mPa.s"),
    ("float-lags", {"fluid": "Blend 7", "viscosity": "60 mPa.s"}, "level_rate", "1 to 30 mm/s"),
    ("viscosity-too-high", {"chamber_bore": None, "tracing": "none"}, "viscosity", "20 to 300 mPa.s"),
    ("float-pressure-exceeded", {}, "design_pressure", "10 to 41 barg"),
    ("float-pressure-exceeded", {}, "float_max_pressure", "9 to 40 barg"),
    ("float-test-pressure-exceeded", {}, "test_pressure", "15 to 41 barg"),
    ("float-temperature-exceeded", {}, "design_temperature", "100 to 201 degC"),
    ("float-temperature-exceeded", {}, "float_max_temperature", "110 to 200 degC"),
    ("flange-rating-exceeded", {}, "design_pressure", "10 to 14 barg"),
    ("flange-rating-exceeded", {"design_pressure": "12.5 barg"}, "design_temperature", "100 to 200 degC"),
    ("range-exceeds-connections", {}, "connection_distance", "900 to 1000 mm"),
    ("transmitter-outside-visible-range", {}, "urv", "1000 to 1010 mm"),
    ("transmitter-range-mismatch", {}, "urv", "980 to 1000 mm"),
    (
        "tracing-missing",
        {"tracing": "none", "tracer_output": None, "freezing_point": "0 degC"},
        "minimum_ambient",
        "5 to 20 degC",
    ),
    (
        "tracing-missing",
        {"tracing": "none", "tracer_output": None, "minimum_ambient": "15 degC", "fluid": "Blend 7"},
        "freezing_point",
        "0 to 10 degC",
    ),
    ("tracing-underpowered", {}, "tracer_output", "10 to 40 W/m"),
    ("tracing-underpowered", {}, "insulation_thickness", "5 to 40 mm"),
    ("tracing-underpowered", {}, "maintain_temperature", "20 to 90 degC"),
    ("tracing-boils-fluid", {"operating_pressure": "0 barg"}, "maintain_temperature", "20 to 110 degC"),
    ("tracing-boils-fluid", {"maintain_temperature": "110 degC"}, "operating_pressure", "0 to 5 barg"),
    ("tracing-too-hot", {}, "sheath_temperature", "90 to 140 degC"),
    ("tracing-too-hot", {}, "transmitter_max_temperature", "80 to 120 degC"),
    ("tracing-too-hot", {}, "maintain_temperature", "20 to 140 degC"),
    ("operating-exceeds-design", {}, "operating_pressure", "5 to 11 barg"),
    ("operating-exceeds-design", {}, "operating_temperature", "60 to 130 degC"),
    ("test-pressure-low", {}, "test_pressure", "9 to 15 barg"),
    ("test-pressure-low", {}, "design_pressure", "10 to 16 barg"),
    ("alarm-outside-range", {}, "level_high_high", "900 to 1100 mm"),
    ("alarm-outside-range", {}, "normal_level", "-50 to 500 mm"),
    (
        "design-temperature-low",
        COLD | {"design_temperature_min": None, "float_min_temperature": "-40 degC"},
        "design_temperature_min",
        "-60 to -20 degC",
    ),
    ("design-temperature-low", COLD, "float_min_temperature", "-100 to -40 degC"),
    ("float-top-heavy", AFLOAT, "float_centre_of_gravity", "60 to 130 mm"),
    ("chamber-colder", {}, "chamber_temperature", "20 to 60 degC"),
    ("chamber-colder", {}, "chamber_temperature", "60 to 99 degC"),
    ("wetted-material-unfit", BRINE, "operating_temperature", "20 to 70 degC"),
    ("range-not-reachable", AFLOAT, "room_below", f"{DEPTH - 20} to {DEPTH + 20} mm"),
    (
        "interface-connection-outside",
        INTERFACE | {"upper_density": "800 kg/m3"},
        "normal_level",
        "500 to 1100 mm",
    ),
    (
        "interface-connection-outside",
        INTERFACE | {"upper_density": "800 kg/m3"},
        "liquid_top",
        "900 to 1200 mm",
    ),
    (
        "float-collapses",
        {"float_ends": "hemispherical", "magnet_height": "190.6 mm", "float_wall": "0.3 mm"},
        "design_pressure",
        "0.1 to 50 barg",
    ),
    ("float-wider-than-chamber", {}, "chamber_bore", "49 to 60 mm"),
    ("current-inconsistent", {}, "stated_current", "12 to 13 mA"),
    ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(0)}, "upper_density", "0 to 200 kg/m3"),
    ("density-not-at-operating-conditions", WATER_BY, "fluid_density", "930 to 998 kg/m3"),
    ("density-not-at-operating-conditions", WATER_BY, "fluid_density", "966 to 1040 kg/m3"),
    ("tracing-underpowered", {"tracer_output": "20 W/m"}, "minimum_ambient", "-80 to 0 degC"),
    ("tracing-underpowered", {"tracer_output": "20 W/m"}, "insulation_conductivity", "0.03 to 0.09 W/m/K"),
]
"""Rule, cells, a field, and a range of which one end alone is beyond the limit."""


@pytest.mark.parametrize(
    ("slug", "base", "field", "text"), RANGES, ids=[f"{i}-{e[0]}-{e[2]}" for i, e in enumerate(RANGES)]
)
def test_the_end_beyond_the_limit_decides(slug: str, base: dict[str, Any], field: str, text: str) -> None:
    found = re.fullmatch(r"(\S+) to (\S+) (.*)", text)
    assert found is not None
    low, high, unit = found.groups()
    alone = [fires(slug, base | {field: f"{end} {unit}"}) for end in (low, high)]
    assert sorted(map(bool, alone)) == [False, True]
    hits = fires(slug, base | {field: text})
    assert hits
    item = find_rule(slug)
    gauges = gauges_of({name: [cell] for name, cell in (SOUND | base | {field: text}).items()})
    for hit in hits:
        calculation = calculation_of(item, gauges, gauges.settings, hit)
        assert calculation is None or calculation.fires or not calculation.test
        remedy = remedy_of(item, gauges, gauges.settings, hit)
        assert remedy is None or remedy.text
