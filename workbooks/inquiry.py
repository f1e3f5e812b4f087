"""The data of an inquiry: what a quote needs, an invented example, and what to ask where it is missing.

A quantity may be typed with its unit ('0.85 SG', '4.5 in'). The name of its key, as in `check`, is then the
number in its unit, or an empty text where it is missing or cannot be read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Input:
    """One datum of the inquiry. `ask` is what to ask where it is missing; "" where it may be left out."""

    key: str
    label: str
    value: Any = None
    unit: str = ""
    ask: str = ""
    choices: tuple[str, ...] = ()
    low: float | None = 0
    """Least number; None for a text."""
    need: str = ""
    """Formula that says when it is needed; "" always."""
    check: str = ""
    """Formula that tells what is wrong with a value that is given; "" where there is nothing."""
    number: str = "General"
    liquid: str = ""
    """Formula that says when it is the density of a liquid, whose plain number may be a specific gravity."""

    @property
    def quantity(self) -> bool:
        """Whether it is a number that has a unit."""
        return self.low is not None and not self.choices


GROUPS: dict[str, tuple[Input, ...]] = {
    "Gauge": (
        Input("gauge_tag", "Tag", "LG-7105", low=None),
        Input("duty", "Service", "Day tank, unit 71", low=None),
        Input(
            *("service", "Level or interface", "level"),
            ask="Level of one liquid, or the interface of two?",
            choices=("level", "interface"),
        ),
        Input("visible_range", "Visible range", 1200, "mm", "Visible range, or distance of the connections?"),
        Input("chamber_bore", "Chamber bore", 67, "mm", "Bore of the chamber, or leave it to the maker?"),
        Input(
            "chamber_diameter", "Chamber outside diameter", 73, "mm", "Outside diameter, for the heat loss?"
        ),
        Input(
            "flange_class", "Flange class", "300", "", "Class of the flanges?", ("150", "300", "600", "900")
        ),
        Input(
            *("material_group", "Flange material group", None),
            ask="Material of the flanges, for their rating?",
            choices=("1.1", "2.1", "2.2", "2.3"),
        ),
    ),
    "Fluid": (
        Input("fluid", "Fluid", "Stillmere gas oil", "", "Which fluid?", low=None),
        Input(
            "density_low",
            "Density, lowest",
            842,
            "kg/m3",
            "Lowest density in operation (hottest, lightest)?",
            liquid="TRUE",
        ),
        Input(
            *("density_normal", "Density, normal", 855, "kg/m3", "Density at normal operating temperature?"),
            liquid="TRUE",
            check='IF(COUNT(density_low,density_high)<2,"",IF(OR(density_normal<density_low,'
            'density_normal>density_high),"is not between lowest and highest",""))',
        ),
        Input(
            *(
                "density_high",
                "Density, highest",
                868,
                "kg/m3",
                "Highest density in operation (coldest, heaviest)?",
            ),
            liquid="TRUE",
            check='IF(density_high<density_low,"is below the lowest density","")',
        ),
        Input(
            *("density_cold", "Density, cold start-up", 890, "kg/m3", "Density at the coldest start-up?"),
            liquid="TRUE",
        ),
        Input(
            *("upper_density", "Density above the surface", 1.5, "kg/m3"),
            ask="Density of the vapour, or of the upper liquid?",
            liquid='service="interface"',
            check='IF(AND(service="interface",upper_density<=300),"is a gas: give the upper liquid\'s",'
            'IF(AND(service="level",upper_density>300),"is a liquid: is this an interface?",""))',
        ),
        Input("viscosity", "Viscosity, operating", 6, "mPa.s", "Viscosity in operation, for the lag?"),
        Input(
            *("viscosity_cold", "Viscosity, cold start-up", None, "mPa.s"),
            ask="Viscosity at the coldest start-up: does the float still move?",
            need='density_cold<>""',
        ),
        Input("pour_point", "Pour or freezing point", 6, "degC", "Pour or freezing point?", low=-273),
    ),
    "Conditions": (
        Input("operating_pressure", "Operating pressure", 3, "barg", "Operating pressure?", low=-1),
        Input(
            "operating_temperature", "Operating temperature", 60, "degC", "Operating temperature?", low=-273
        ),
        Input("design_pressure", "Design pressure", 6, "barg", "Design pressure?", low=-1),
        Input("design_temperature", "Design temperature", 120, "degC", "Design temperature?", low=-273),
        Input(
            "test_pressure",
            "Hydrostatic test pressure",
            None,
            "barg",
            "Test pressure: is the float in there?",
        ),
        Input(
            "minimum_ambient",
            "Lowest ambient temperature",
            -15,
            "degC",
            "Lowest ambient temperature?",
            low=-273,
        ),
    ),
    "Signal and tracing": (
        Input("transmitter", "Transmitter", "yes", "", "With transmitter?", ("yes", "no")),
        Input(
            "range_low", "Lower range value", 0, "mm", "Level at 4 mA?", low=-1e5, need='transmitter="yes"'
        ),
        Input(
            *("range_high", "Upper range value", 1200, "mm", "Level at 20 mA?"),
            low=-1e5,
            need='transmitter="yes"',
            check='IF(range_low="","",IF(range_high<=range_low,"is not above the lower range value",IF(AND('
            "ISNUMBER(visible_range),OR(range_low<-1,range_high>N(visible_range)+1)),"
            '"range is not within the visible range","")))',
        ),
        *(
            Input(
                *(f"set_{name.lower()}", f"Switch {name}", point, "mm"),
                low=-1e5,
                check=f"IF(AND(ISNUMBER(visible_range),OR(set_{name.lower()}<0,set_{name.lower()}>visible_range)),"
                '"is not within the visible range","")',
            )
            for name, point in (("LSHH", None), ("LSH", 1050), ("LSL", 150), ("LSLL", None))
        ),
        Input(
            *("temperature_class", "Temperature class", None),
            ask="Explosion protection: zone, gas group, temperature class?",
            choices=("none", "T1", "T2", "T3", "T4", "T5", "T6"),
        ),
        Input("maintain", "Temperature to maintain", 40, "degC", "Temperature to maintain?", low=-273),
        Input("insulation", "Insulation thickness", 40, "mm", "Insulation thickness?"),
        Input("wind_speed", "Wind", 10, "m/s"),
    ),
    "Limits of this check": (
        Input("tolerance", "Permitted reading offset", 10, "mm", "Permitted offset?"),
        Input("reserve", "Least share above the surface", 0.1, "", "Least share?", number="0 %"),
        Input("level_rate", "Rate of level change", 10, "mm/s", "How fast does the level move?"),
    ),
}
SWITCHES = ("LSHH", "LSH", "LSL", "LSLL")
INPUTS = tuple(item for group in GROUPS.values() for item in group)
