"""Names, order and defaults of the worksheet functions, as they were agreed on before they were written.

Formulas in the files of users hold arguments by their place, so that neither may change. What a function has
learnt since stands behind, before the unit of the result.
"""

from __future__ import annotations

import re

import pytest

from xlfuncs.worksheet import catalogue
from xlfuncs.worksheet.help import constant
from xlfuncs.worksheet.spec import Argument

AGREED = """\
LG_IMMERSION(mass, diameter, length, lower_density, [upper_density 0], [ends flat], [unit])
LG_RIDE_HEIGHT(mass, diameter, length, lower_density, [upper_density 0], [ends flat], [unit])
LG_READING_OFFSET(mass, diameter, length, magnet_height, lower_density, [upper_density 0], [ends flat],
    [unit])
LG_INTERFACE_OFFSET(mass, diameter, length, magnet_height, lower_density, upper_density, [ends flat],
    [unit])
LG_IMPLIED_DENSITY(mass, diameter, length, magnet_height, reading_offset, [upper_density 0], [ends flat],
    [unit])
LG_DENSITY_WINDOW(mass, diameter, length, magnet_height, tolerance, [upper_density 0], [ends flat], [unit])
LG_MAGNET_HEIGHT(mass, diameter, length, design_density, [upper_density 0], [ends flat], [unit])
LG_FLOAT_DENSITY(mass, diameter, length, [ends flat], [unit])
LG_FLOAT_RESERVE(mass, diameter, length, lower_density, [upper_density 0], [ends flat])
LG_FLOAT_STIFFNESS(diameter, lower_density, [upper_density 0], [unit])
LG_OFFSET_UNCERTAINTY(mass, diameter, length, magnet_height, lower_density, u_mass, u_diameter,
    u_magnet_height, u_density, [upper_density 0], [ends flat], [unit])
LG_FLOAT_COLLAPSE(diameter, wall, length, material_or_modulus, [temperature], [ends flat], [safety_factor
    3], [unit])
LG_FLOAT_LAG(mass, diameter, length, lower_density, viscosity, chamber_bore, level_rate, [upper_density 0],
    [ends flat], [unit])
LG_VISCOSITY_LIMIT(mass, diameter, length, lower_density, chamber_bore, level_rate, lag, [upper_density 0],
    [ends flat], [unit])
LG_CHOOSE_FLOAT(floats, lower_density_min, lower_density_max, [upper_density 0], [design_pressure],
    [design_temperature], [tolerance 10])
LG_DENSITY(fluid, temperature, [pressure], [unit])
LG_VAPOUR_DENSITY(fluid, [temperature], [pressure], [unit])
LG_SATURATION_TEMPERATURE(fluid, pressure, [unit])
LG_OIL_DENSITY(density_15, temperature, group, [unit])
LG_VISCOSITY_AT(temperature, temperature_1, viscosity_1, temperature_2, viscosity_2, [unit])
LG_CONVERT(value, from_unit, to_unit)
LG_LEVEL_TO_CURRENT(level, lrv, urv, [reverse FALSE])
LG_CURRENT_TO_LEVEL(current, lrv, urv, [reverse FALSE], [unit])
LG_CURRENT_STATUS(current)
LG_CALIBRATION_TABLE(lrv, urv, [points 5], [tolerance 0.5])
LG_LOOP_RESISTANCE(supply, minimum_voltage, [failure_current 21.5], [unit])
LG_CHAMBER_LEVEL(vessel_level, vessel_density, chamber_density, [upper_density 0], [unit])
LG_VESSEL_LEVEL(chamber_level, vessel_density, chamber_density, [upper_density 0], [unit])
LG_SWITCH_LEVEL(set_point, magnet_height, immersion, [unit])
LG_HEAT_LOSS(maintain_temperature, ambient_temperature, outside_diameter, insulation_thickness,
    [conductivity 0.04], [wind 0], [emissivity 0.9], [unit])
LG_TRACE_MARGIN(tracer_output, heat_loss, [length_allowance 0])
LG_TRACE_CHECK(pour_point, minimum_ambient, maintain_temperature, saturation_temperature, limit_temperature,
    tracer_output, heat_loss, [margin 1.2])
LG_FREEZE_TIME(start_temperature, freezing_temperature, ambient_temperature, outside_diameter, wall,
    insulation_thickness, density, heat_capacity, [latent_heat 0], [conductivity 0.04])
LG_FLANGE_RATING(flange_class, material_group, temperature, [unit])
LG_MAGNET_LIMIT(material, [unit])
LG_DIAGNOSE(float, observations)
"""
# LG_FLOAT_COLLAPSE takes no temperature of its own accord: a metal is weaker when it is hot.


def _written(argument: Argument) -> str:
    if argument.required:
        return argument.name
    default = "" if argument.default is None else f" {constant(argument.default)}".replace('"', "")
    return f"[{argument.name}{default}]"


@pytest.mark.parametrize(
    "line", re.sub(r"\n    ", " ", AGREED).splitlines(), ids=lambda line: line.partition("(")[0]
)
def test_the_arguments_stand_in_their_places_with_their_defaults(line: str) -> None:
    name, _, inside = line.rstrip(")").partition("(")
    agreed = re.findall(r"\[[^\]]*\]|\w+", inside)
    function = catalogue()[name]
    unit = agreed.pop() if agreed[-1:] == ["[unit]"] else None
    ours = [_written(argument) for argument in function.arguments]
    assert ours[: len(agreed)] == agreed
    assert all(written.startswith("[") for written in ours[len(agreed) :])
    assert function.takes_unit or unit is None


def test_the_lower_liquid_comes_before_the_upper_one_everywhere() -> None:
    for function in catalogue().values():
        names = [argument.name for argument in function.arguments]
        if "lower_density" in names and "upper_density" in names:
            assert names.index("lower_density") < names.index("upper_density"), function.name


def test_a_plain_pressure_is_gauge_pressure_everywhere() -> None:
    for function in catalogue().values():
        for argument in function.arguments:
            if argument.name.endswith("pressure") and argument.quantity:
                assert argument.unit == "barg", f"{function.name}: {argument.name}"
