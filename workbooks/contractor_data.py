"""The gauges and floats of the contractor's index, with the faults that are planted in them."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import plant
from floats import ELLIP, FLAT, HEMI, NI, SS, TI, Float
from sheets import Broken, Stale, ThroughPath, Uncalculated

from xlfuncs.worksheet import call

INCH, OUNCE, PSI = 25.4, 28.349523125, 0.0689475729
"""mm, g, bar."""
SG = call("LG_CONVERT", 1, "SG", "kg/m3")

CHAMBERS = {2.0: (2.875, 2.635), 2.4: (3.5, 3.26)}
"""Float diameter -> outside diameter and bore of its chamber, in: pipe 2 1/2 and 3 inch, schedule 10S
(ASME B36.19M, from memory)."""


@dataclass(frozen=True)
class UsFloat(Float):
    """A float by its build, lengths in in and densities as SG, with what the contractor states of it."""

    @cached_property
    def metric(self) -> Float:
        return Float(
            *(self.part, self.material, self.ends, self.diameter * INCH, self.length * INCH),
            *(self.wall * INCH, self.magnet, self.inside, self.design_density * SG, self.upper_density * SG),
        )

    @cached_property
    def weight(self) -> float:
        """oz."""
        return round(self.metric.mass / OUNCE, 1)

    @cached_property
    def magnet_height(self) -> float:
        """in, for the weight as stated."""
        height = call(
            "LG_MAGNET_HEIGHT",
            *(f"{self.weight} oz", f"{self.diameter} in", f"{self.length} in"),
            *(f"{self.design_density} SG", f"{self.upper_density} SG", self.ends, "in"),
        )
        return round(float(height), 2)

    @property
    def service(self) -> str:
        return "Interface" if self.upper_density > 0.3 else "Level"

    @property
    def shape(self) -> str:
        return self.ends.capitalize()

    @property
    def metal(self) -> str:
        return {TI: "Titanium Gr 2", SS: "316L SS", NI: "Alloy 625"}[self.material]

    @property
    def max_pressure(self) -> int:
        """psig, down to 5."""
        return int(self.metric.max_pressure / PSI // 5 * 5)

    @property
    def max_temperature(self) -> int:
        """degF, down to 5."""
        return int((self.metric.max_temperature * 1.8 + 32) // 5 * 5)


US_FLOATS = (
    UsFloat("ZX-11", TI, HEMI, 2.4, 12.5, 0.040, "SmCo", 66, 0.575, 0.008),
    UsFloat("ZX-12", TI, HEMI, 2.4, 12, 0.047, "SmCo", 70, 0.655, 0.003),
    UsFloat("ZX-13", TI, HEMI, 2.0, 12, 0.047, "AlNiCo", 78, 0.785, 0.003),
    UsFloat("ZX-14", TI, HEMI, 2.0, 12, 0.059, "AlNiCo", 80, 0.862, 0.004),
    UsFloat("ZX-15", SS, ELLIP, 2.4, 12, 0.039, "SmCo", 90, 0.885, 0.002),
    UsFloat("ZX-16", NI, HEMI, 2.0, 12, 0.032, "SmCo", 92, 0.945, 0.003),
    UsFloat("ZX-17", TI, HEMI, 2.0, 12, 0.059, "AlNiCo", 118, 0.985, 0.005),
    UsFloat("ZX-18", SS, HEMI, 2.4, 11, 0.047, "NdFeB", 92, 0.990, 0.004),
    UsFloat("ZX-19", SS, FLAT, 2.4, 12, 0.032, "NdFeB", 130, 0.995, 0.002),
    UsFloat("ZX-20", SS, HEMI, 2.4, 12, 0.047, "SmCo", 150, 1.055, 0.003),
    UsFloat("ZX-31", SS, HEMI, 2.4, 8, 0.032, "SmCo", 249, 0.997, 0.859),
    UsFloat("ZX-32", SS, HEMI, 2.4, 8, 0.032, "SmCo", 192, 0.997, 0.651),
    UsFloat("ZX-33", TI, HEMI, 2.0, 8, 0.040, "SmCo", 212, 1.010, 0.880),
    # floats of one gauge each, whose own fault or limit decides there
    UsFloat("ZX-21", TI, HEMI, 2.0, 12, 0.059, "SmCo", 62, 0.740, 0.003),
    UsFloat("ZX-22", TI, HEMI, 2.0, 12, 0.024, "SmCo", 250, 0.985, 0.005, instead={"max_pressure": 300}),
    UsFloat("ZX-23", TI, HEMI, 2.0, 12, 0.059, "SmCo", 118, 0.985, 0.005, instead={"max_pressure": 110}),
    UsFloat("ZX-24", SS, HEMI, 2.4, 12, 0.039, "SmCo", 96, 0.905, 0.003, instead={"magnet_height": 12.65}),
    UsFloat(
        *("ZX-30", SS, HEMI, 2.4, 12, 0.039, "SmCo", 96, 0.950, 0.0),
        instead={"weight": "TBC", "length": "TBC", "magnet_height": "TBC", "wall": "TBC"},
    ),
    UsFloat("ZX-34", SS, HEMI, 2.4, 8, 0.032, "SmCo", 276, 0.995, 0.965),
)
BY_PART = {item.part: item for item in US_FLOATS}

AMBIENT, INSULATION = 10, 1.5
"""Minimum ambient temperature, degF, and insulation thickness, in."""

GAUGE = "Mag. Level Gauge"


@dataclass
class Line:
    """A line of the index. Temperatures in degF, pressures in psig, lengths in in, viscosity in cP."""

    tag: str
    service: str
    fluid: str
    operating: tuple[float, float]
    """Temperature and pressure."""
    design: tuple[float, float]
    part: str = ""
    distance: float = 36
    stated_sg: float | None = None
    """For fluids with invented names."""
    viscosity: float | None = None
    upper_fluid: str = "Blanket gas"
    upper_sg: float = 0.003
    pour_point: float | None = None
    freezing: float | None = None
    maintain: float | None = None
    level_rate: float | None = None
    ranged: bool = False
    """Whether the lowest and highest SG are stated too."""
    kind: str = GAUGE
    remark: str | None = None
    hidden: bool = False
    number: int = 0
    """Of the line, set when it is written."""
    instead: dict[str, Any] = field(default_factory=dict)
    """Planted: what stands in a cell instead of the right value."""

    @property
    def gauge(self) -> bool:
        return self.kind == GAUGE

    @property
    def item(self) -> UsFloat | None:
        return BY_PART.get(self.part)

    @property
    def loop(self) -> str:
        """Number of the equipment, of the serials and of the transmitter."""
        return re.findall(r"\d{4}", self.service)[-1]

    @property
    def sg(self) -> float:
        if self.stated_sg is not None:
            return self.stated_sg
        return self.sg_warmer(0)

    def sg_warmer(self, rise: float) -> float:
        """SG of a pure fluid, so many degF warmer."""
        celsius, bar = (self.operating[0] + rise - 32) / 1.8, self.operating[1] * PSI
        return round(plant.liquid_property(self.fluid, celsius, bar, "D") / SG, 3)

    @property
    def service_type(self) -> str:
        return self.item.service if self.item else "Level"

    @property
    def chamber(self) -> tuple[float, float]:
        """Outside diameter and bore."""
        return CHAMBERS[self.item.diameter if self.item else 2.0]

    @property
    def traced(self) -> bool:
        return self.gauge and self.maintain is not None

    @property
    def tracer_output(self) -> float:
        """W/ft: a quarter more than the heat loss in a gale, up to half a watt."""
        loss = call(
            "LG_HEAT_LOSS",
            *(f"{self.maintain} degF", f"{AMBIENT} degF", f"{self.chamber[0]} in", f"{INSULATION} in"),
            *(0.04, 10, 0.9, "W/ft"),
        )
        return round(1.25 * float(loss) * 2 + 0.5) / 2


def wet(tag: str, service: str, **more: Any) -> Line:
    """Traced warm water in a drum."""
    data: dict[str, Any] = {
        "fluid": "Water",
        "operating": (140, 60),
        "design": (300, 120),
        "part": "ZX-17",
        "upper_sg": 0.005,
        "freezing": 32,
        "maintain": 50,
    }
    return Line(tag, service, **(data | more))


def solvent(tag: str, service: str, **more: Any) -> Line:
    """Toluene under a blanket."""
    data = {"fluid": "Toluene", "operating": (95, 30), "design": (250, 120), "part": "ZX-14"}
    return Line(tag, service, **(data | more))


def oil(tag: str, service: str, fluid: str = "Virelite oil 22", **more: Any) -> Line:
    """An oil with a made-up name, thin enough to need no tracing."""
    data: dict[str, Any] = {
        "operating": (120, 15),
        "design": (220, 75),
        "part": "ZX-15",
        "stated_sg": 0.886,
        "viscosity": 14,
        "pour_point": -20,
        "upper_sg": 0.002,
    }
    return Line(tag, service, fluid, **(data | more))


def settler(tag: str, service: str, **more: Any) -> Line:
    """Toluene over water."""
    data: dict[str, Any] = {
        "operating": (86, 15),
        "design": (180, 75),
        "part": "ZX-31",
        "upper_fluid": "Toluene",
        "upper_sg": 0.859,
    }
    return wet(tag, service, **(data | more))


def other(
    tag: str, service: str, kind: str, fluid: str, operating: tuple[float, float], design: tuple[float, float]
) -> Line:
    """What is no magnetic level gauge."""
    return Line(tag, service, fluid, operating, design, kind=kind)


def blends(lower: str, sg: float, upper: str, upper_sg: float) -> dict[str, Any]:
    """Two liquids with made-up names; the lower one does not freeze."""
    return {
        "fluid": lower,
        "stated_sg": sg,
        "upper_fluid": upper,
        "upper_sg": upper_sg,
        "freezing": None,
        "pour_point": -30,
    }


UNSET: dict[str, Any] = {"check_level": None, "check_current": None}
"""Where the range itself is at fault, no current is stated."""

LINES: dict[str, tuple[Line, ...]] = {
    "AREA 200 - FEED AND SOLVENTS": (
        Line(
            "20-LG-2101", "Butane Drum V-2101", "n-Butane", (68, 45), (150, 55), "ZX-11", 48, upper_sg=0.008
        ),
        Line("20-LG-2102", "Pentane Drum V-2102", "n-Pentane", (50, 20), (150, 90), "ZX-12", 48, ranged=True),
        Line("20-LG-2103", "Hexane Drum V-2103", "n-Hexane", (77, 10), (150, 90), "ZX-12", 48, ranged=True),
        other("20-PT-2104", "Hexane Drum V-2103", "Pressure Transmitter", "n-Hexane", (77, 10), (150, 90)),
        Line("20-LG-2105", "Ethanol Tank V-2105", "Ethanol", (77, 15), (180, 110), "ZX-13", 60, ranged=True),
        Line("20-LG-2106", "Acetone Drum V-2106", "Acetone", (77, 15), (180, 110), "ZX-13", 48, ranged=True),
        solvent("20-LG-2107", "Toluene Drum V-2107", ranged=True),
        # floats for a lighter and for a denser liquid: mismatched pairs
        solvent("20-LG-2108", "Toluene Wash Drum V-2108", design=(250, 110), part="ZX-13"),
        Line("20-LG-2109", "Ethanol Recycle Drum V-2109", "Ethanol", (77, 15), (180, 110), "ZX-14"),
        solvent("20-LG-2110", "Quench Drum V-2110", part="ZX-77"),
        oil("20-LG-2111", "Light Ends Drum V-2111", "Quenol 3", part="ZX-14", stated_sg=0.640),
        oil("20-LG-2112", "Light Slop Drum V-2112", "Quenol 5", part="ZX-21", stated_sg=0.720),
        other(
            "20-TT-2113", "Toluene Drum V-2107", "Temperature Transmitter", "Toluene", (95, 30), (250, 120)
        ),
        oil(
            "20-LG-2114",
            "Inhibitor Drum V-2114",
            "Quenol 9",
            part="ZX-30",
            stated_sg=0.866,
            remark="Float data to follow",
        ),
        solvent("20-LG-2115", "Solvent Seal Pot V-2115", instead={"chamber_id": 1.939}),
        oil("20-LG-2116", "Additive Drum V-2116", "Quenol 10", part="ZX-24", stated_sg=0.903),
        solvent("20-LG-2117", "Recycle Toluene Drum V-2117", instead={"sg": 862}),
        solvent("20-LG-2118", "Toluene Surge Drum V-2118", instead={"sg": "0,859"}),
        solvent("20-LG-2119", "Toluene Knock-Out Pot V-2119", instead={"sg": Broken("=#REF!*1", "#REF!")}),
        solvent("20-LG-2120", "Dry Toluene Drum V-2120", instead={"temperature": "95 °F"}),
    ),
    "AREA 300 - SEPARATION": (
        settler("30-LG-3101", "Decanter D-3101"),
        settler("30-LG-3102", "Hexane Decanter D-3102", part="ZX-32", upper_fluid="n-Hexane", upper_sg=0.651),
        settler(
            *("30-LG-3103", "Oil Decanter D-3103"),
            part="ZX-33",
            **blends("Sodex liquor", 1.010, "Virelite oil 10", 0.880),
        ),
        settler("30-LG-3104", "Brine Decanter D-3104", **blends("Sodex brine", 1.060, "Quenol 14", 0.955)),
        settler(
            *("30-LG-3105", "Heavy Oil Decanter D-3105"),
            part="ZX-34",
            **blends("Amerol liquor", 0.995, "Virelite oil 460", 0.965),
        ),
        wet(
            "30-LG-3106",
            "Wash Water Drum V-3106",
            part="ZX-31",
            design=(300, 75),
            instead={"service_type": "Level"},
        ),
        settler("30-LG-3107", "Decanter D-3107", instead={"upper_sg": 1.021}),
        wet("30-LG-3108", "Hot Wash Drum V-3108", operating=(280, 90), stated_sg=1.0),
        wet("30-LG-3109", "Flash Drum V-3109", operating=(250, 15.5), design=(300, 75), part="ZX-16"),
        other("30-PG-3110", "Flash Drum V-3109", "Pressure Gauge", "Water", (250, 15.5), (300, 75)),
        oil("30-LG-3111", "Heavy Slop Drum V-3111", "Quenol slop", viscosity=190, level_rate=0.4),
        oil(
            *("30-LG-3112", "Pitch Drum V-3112", "Quenol pitch"),
            viscosity=350,
            remark="Chamber size by vendor",
            instead={"chamber_id": "By vendor"},
        ),
        wet("30-LG-3113", "Reflux Water Drum V-3113", instead={"visible": 40, "urv": 40, "check_level": 10}),
        wet("30-LG-3114", "Reflux Drum Boot V-3114", instead={"scale_zero": 1.5}),
        wet("30-LG-3115", "Stripper Feed Drum V-3115", instead={"urv": 38} | UNSET),
        wet("30-LG-3116", "Stripper Sump C-3116", instead={"lrv": 2} | UNSET),
        wet("30-LG-3117", "Absorber Sump C-3117", instead={"lrv": 36, "urv": 0} | UNSET),
        wet("30-LG-3118", "Lean Water Drum V-3118", instead={"check_current": 9.2}),
        wet("30-LG-3119", "Rich Water Drum V-3119", instead={"switch_lsl": 31, "switch_lsh": 30}),
        wet("30-LG-3120", "Water Surge Drum V-3120", instead={"switch_lshh": 37.5}),
        wet("30-LG-3121", "Condensate Pot V-3121", instead={"switch_lshh": 30.5}),
    ),
    "AREA 400 - UTILITIES": (
        wet("40-LG-4101", "Warm Water Tank V-4101", distance=60),
        wet(
            *("40-LG-4102", "Boiler Feed Tank V-4102"),
            fluid="Boiler feed water",
            operating=(230, 45),
            design=(300, 80),
            part="ZX-16",
        ),
        wet(
            *("40-LG-4103", "Cooling Water Head Tank V-4103"),
            fluid="Cooling water",
            operating=(85, 5),
            design=(150, 45),
            part="ZX-19",
        ),
        Line(
            "40-LG-4104",
            "Wash Liquor Tank V-4104",
            "Amerol liquor",
            (110, 15),
            (200, 100),
            "ZX-20",
            48,
            1.052,
            1.8,
        ),
        oil("40-LG-4105", "Seal Oil Tank V-4105", "Quenol seal", stated_sg=0.847),
        other(
            "40-LG-4106",
            "Seal Oil Tank V-4105",
            "Reflex Gauge Glass",
            "Virelite oil 22",
            (120, 15),
            (220, 75),
        ),
        wet("40-LG-4107", "Pressurized Water Drum V-4107", part="ZX-23", design=(300, 150)),
        wet("40-LG-4108", "Hot Water Drum V-4108", operating=(220, 60), design=(300, 100), part="ZX-16"),
        wet("40-LG-4109", "Tempered Water Tank V-4109", design=(250, 75), part="ZX-18"),
        wet("40-LG-4110", "Fire Water Drum V-4110", part="ZX-22"),
        wet("40-LG-4111", "Blowdown Drum V-4111", design=(450, 180)),
        wet("40-LG-4112", "Drain Drum V-4112", instead={"chamber_material": "A105"}),
        wet("40-LG-4113", "Potable Water Tank V-4113", instead={"float_gauge_serial": "HD-14311"}),
        wet("40-LG-4114", "Service Water Tank V-4114", instead={"float_serial": "F-4101"}),
        wet("40-LG-4115", "Raw Water Tank V-4115", maintain=None),
        wet("40-LG-4116", "Sump Water Tank V-4116", instead={"tracer_output": 2.5}),
        Line("40-LG-4117", "Ethanol Drum V-4117", "Ethanol", (77, 5), (180, 110), "ZX-13", maintain=200),
        wet("40-LG-4118", "Wash Tank V-4118", design=(170, 100), part="ZX-18", instead={"sheath": 210}),
    ),
    "AREA 500 - TANK YARD": (
        solvent("50-LG-5101", "Toluene Day Tank V-5101"),
        solvent("", "Toluene Transfer Pot V-5102"),
        solvent("50-LG-5103", "Toluene Return Tank V-5103"),
        solvent("50-LG-5103", "Toluene Return Tank V-5104", design=(250, 110), part="ZX-13"),
        solvent("50-MX-5105", "Toluene Blend Tank V-5105"),
        solvent("50-LG-5106", "Toluene Loading Pot V-5106", instead={"test_pressure": 110}),
        solvent("50-LG-5107", "Toluene Unloading Pot V-5107", instead={"offset": Stale(-0.21)}),
        solvent("50-LG-5108", "Toluene Drain Pot V-5108", hidden=True, remark="Moved from area 200"),
        other(
            "50-FT-5109", "Toluene Loading Line P-5109", "Flow Transmitter", "Toluene", (95, 30), (250, 120)
        ),
        solvent("50-LG-5110", "Toluene Sample Pot V-5110", instead={"test_pressure": Uncalculated()}),
        solvent("50-LG-5112", "Toluene Metering Pot V-5112", instead={"fluid": "Touluene"}),
        solvent(
            "50-LG-5113",
            "Toluene Dosing Pot V-5113",
            instead={"offset": ThroughPath("C:\\tools\\gauges.xlam")},
        ),
        solvent("50-LG-5114", "Toluene Filter Pot V-5114"),
        solvent(
            "50-LG-5115",
            "Toluene Metering Pot V-5115",
            ranged=True,
            instead={"sg_min": 0.860, "sg_max": 0.849},
        ),
        solvent("50-LG-5116", "Toluene Rundown Tank V-5116", operating=(95, 130)),
        solvent("50-LG-5117", "Toluene Slop Tank V-5117", instead={"float_pressure": 250}),
        oil("50-LG-5111", "Flush Oil Tank V-5111", instead={"pour_point": "\u221220"}),
    ),
}
"""By section. Every planted fault is listed in `tests/planted_faults.toml`."""
