"""The invented plant of the demo workbooks: its gauges, with data that agree with each other.

Densities and viscosities of pure fluids are computed with CoolProp at the stated operating temperature
and pressure and rounded as an index would state them. Fluids with invented names have invented data.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from CoolProp.CoolProp import PropsSI
from floats import FLOATS, Float

from xlfuncs.gauge.fluids import resolve
from xlfuncs.worksheet import call

PLANT = "Tarnquill Works"
DISCLAIMER = (
    "The plant, its fluids with made-up names, the floats, part numbers, serials and all data are invented"
    " for demonstration. Nothing here is a basis for design or operation."
)
AREAS = {
    "10": "Solvent storage",
    "20": "Reaction",
    "30": "Separation",
    "40": "Utilities",
    "50": "Oils and tank yard",
}
ATMOSPHERE_BAR = 1.01325
TRACERS = (10, 15, 20, 30, 45, 60)
"""Outputs of the invented tracing cables, W/m."""

CHAMBERS = {50: (73.0, 66.9), 60: (88.9, 82.8)}
"""Float diameter -> outside diameter and bore of its chamber, mm: pipe 2 1/2 and 3 inch, schedule 10S
(ASME B36.19M, from memory)."""


def liquid_property(fluid: str, celsius: float, barg: float, name: str) -> float:
    """`D` [kg/m3] or `V` [Pa s] of a pure fluid, by CoolProp."""
    kelvin, pascal = celsius + 273.15, (barg + ATMOSPHERE_BAR) * 1e5
    return float(PropsSI(name, "T", kelvin, "P", pascal, resolve(fluid) or fluid))


@dataclass(frozen=True)
class Gauge:
    """One gauge. Temperatures in degC, pressures in barg, densities in kg/m3, lengths in mm, mPa s."""

    area: str
    number: int
    service: str
    fluid: str
    temperature: float
    pressure: float
    design_temperature: float
    design_pressure: float
    part: str
    distance: int
    stated_density: float | None = None
    """For fluids with invented names."""
    stated_viscosity: float | None = None
    upper_fluid: str = "Blanket gas"
    stated_upper: float | None = None
    freezing: float | None = None
    pour_point: float | None = None
    minimum_ambient: float = -15
    maintain: float | None = None
    """Kept by tracing; None: not traced."""
    level_rate: float = 5
    chamber_material: str = "316L"
    flange_class: int = 150
    insulation: int = 40
    switches: bool = True
    transmitter: bool = True

    @property
    def tag(self) -> str:
        return f"LG-{self.number}"

    @cached_property
    def float_(self) -> Float:
        return next(f for f in FLOATS if f.part == self.part)

    @property
    def service_type(self) -> str:
        return self.float_.service

    @property
    def pure(self) -> bool:
        return self.stated_density is None

    @cached_property
    def density(self) -> float:
        if self.stated_density is not None:
            return self.stated_density
        return round(liquid_property(self.fluid, self.temperature, self.pressure, "D"), 1)

    def density_at(self, warmer: float) -> float | None:
        """Of a pure fluid, so many kelvin warmer."""
        if not self.pure or self.service_type == "interface":
            return None
        return round(liquid_property(self.fluid, self.temperature + warmer, self.pressure, "D"), 1)

    @cached_property
    def upper_density(self) -> float:
        if self.stated_upper is not None:
            return self.stated_upper
        if self.upper_fluid != "Blanket gas":
            return round(liquid_property(self.upper_fluid, self.temperature, self.pressure, "D"), 1)
        # nitrogen and the liquid's own vapour, each at its partial pressure (Dalton)
        kelvin, vapour_pressure, vapour = self.temperature + 273.15, 0.0, 0.0
        if self.pure:
            fluid = resolve(self.fluid)
            vapour_pressure = float(PropsSI("P", "T", kelvin, "Q", 1, fluid))
            vapour = float(PropsSI("D", "T", kelvin, "Q", 1, fluid))
        rest = (self.pressure + ATMOSPHERE_BAR) * 1e5 - vapour_pressure
        return round(vapour + float(PropsSI("D", "T", kelvin, "P", rest, "Nitrogen")), 2)

    @cached_property
    def viscosity(self) -> float | None:
        if self.stated_viscosity is not None or not self.pure:
            return self.stated_viscosity
        return float(f"{liquid_property(self.fluid, self.temperature, self.pressure, 'V') * 1e3:.3g}")

    @property
    def chamber_diameter(self) -> float:
        return CHAMBERS[int(self.float_.diameter)][0]

    @property
    def chamber_bore(self) -> float:
        return CHAMBERS[int(self.float_.diameter)][1]

    @property
    def material_group(self) -> str:
        """Of ASME B16.5."""
        return {"316L": "2.3", "304L": "2.3", "316": "2.2"}[self.chamber_material]

    @property
    def visible(self) -> int:
        return self.distance

    def set_point(self, share: float) -> int | None:
        return round(self.visible * share / 5) * 5 if self.switches else None

    @cached_property
    def tracer_output(self) -> int | None:
        """The smallest tracing cable with a quarter more than the heat loss in a gale."""
        if self.maintain is None:
            return None
        loss = call(
            "LG_HEAT_LOSS",
            *(self.maintain, self.minimum_ambient, self.chamber_diameter, self.insulation, 0.04, 10, 0.9),
        )
        return next(output for output in TRACERS if output >= 1.25 * float(loss))


def _gauges() -> tuple[Gauge, ...]:
    water = {"freezing": 0.0, "maintain": 10.0}
    indoors = {"minimum_ambient": 18.0}
    g = Gauge
    return (
        # solvent storage: outdoors, nitrogen blanket
        g("10", 1001, "Butane day tank V-1001", "n-Butane", 20, 3.0, 65, 4.0, "KV-101", 1200),
        g("10", 1002, "Isobutane day tank V-1002", "Isobutane", 15, 3.2, 65, 4.0, "KV-101", 1200),
        g("10", 1003, "Pentane tank V-1003", "n-Pentane", 20, 0.8, 65, 6.0, "KV-102", 1600),
        g("10", 1004, "Isopentane tank V-1004", "Isopentane", 15, 1.0, 65, 6.0, "KV-102", 1600),
        g("10", 1005, "Hexane tank V-1005", "n-Hexane", 20, 0.3, 80, 3.5, "KV-104", 2000),
        g("10", 1006, "Heptane tank V-1006", "n-Heptane", 35, 0.3, 80, 3.5, "KV-104", 2000),
        g("10", 1007, "Ethanol tank V-1007", "Ethanol", 25, 0.2, 65, 3.5, "KV-106", 1800),
        g("10", 1008, "Ethanol tank V-1008", "Ethanol", 25, 0.2, 65, 3.5, "KV-106", 1800),
        g("10", 1009, "Acetone tank V-1009", "Acetone", 20, 0.2, 65, 3.5, "KV-106", 1800, None, 0.32),
        g(
            *("10", 1010, "Cyclohexane tank V-1010", "Cyclohexane", 25, 0.2, 65, 3.5, "KV-106", 1800),
            freezing=6.5,
            maintain=20,
        ),
        g("10", 1011, "Toluene tank V-1011", "Toluene", 25, 0.2, 80, 3.5, "KV-107", 1800),
        g(
            *("10", 1012, "Benzene tank V-1012", "Benzene", 25, 0.2, 80, 3.5, "KV-107", 1800),
            freezing=5.5,
            maintain=20,
        ),
        # reaction: in a heated building
        g("20", 2001, "Feed drum V-2001", "Toluene", 40, 4.0, 120, 10.0, "KV-108", 900, **indoors),
        g(
            *("20", 2002, "Recycle drum V-2002", "Benzene", 45, 5.0, 120, 10.0, "KV-108", 900),
            **indoors,
            freezing=5.5,
        ),
        g("20", 2003, "Xylene make-up drum V-2003", "o-Xylene", 35, 2.0, 120, 8.0, "KV-108", 800, **indoors),
        g("20", 2004, "Ethanol feed drum V-2004", "Ethanol", 40, 3.0, 100, 6.0, "KV-105", 800, **indoors),
        g(
            *(
                "20",
                2005,
                "Acetone feed drum V-2005",
                "Acetone",
                40,
                3.0,
                100,
                6.0,
                "KV-105",
                800,
                None,
                0.27,
            ),
            **indoors,
        ),
        g("20", 2006, "Hexane wash drum V-2006", "n-Hexane", 40, 1.5, 100, 5.0, "KV-103", 1000, **indoors),
        g("20", 2007, "Hot heptane drum V-2007", "n-Heptane", 60, 2.0, 120, 5.0, "KV-103", 1000, **indoors),
        g(
            *("20", 2008, "Decane stripper bottom C-2008", "n-Decane", 110, 1.0, 200, 5.0, "KV-103", 1400),
            **indoors,
        ),
        g(
            *(
                "20",
                2009,
                "Reactor quench tank V-2009",
                "Demineralised water",
                50,
                6.0,
                150,
                8.0,
                "KV-112",
                700,
            ),
            **indoors,
            freezing=0,
        ),
        g(
            *("20", 2010, "Catalyst pot V-2010", "Quenol 12", 60, 2.0, 120, 5.0, "KV-109", 500, 862, 4.2),
            **indoors,
            pour_point=-20,
        ),
        # separation: indoors; interface gauges among them
        g(
            *("30", 3001, "Hexane decanter D-3001", "Water", 30, 1.0, 80, 5.0, "KV-121", 700),
            **indoors,
            upper_fluid="n-Hexane",
            freezing=0,
        ),
        g(
            *("30", 3002, "Toluene decanter D-3002", "Water", 30, 1.0, 80, 5.0, "KV-122", 700),
            **indoors,
            upper_fluid="Toluene",
            freezing=0,
        ),
        g(
            *("30", 3003, "Octane decanter D-3003", "Water", 30, 0.5, 80, 4.0, "KV-125", 700),
            **indoors,
            upper_fluid="n-Octane",
            freezing=0,
        ),
        g(
            *("30", 3004, "Oil settler D-3004", "Sodex liquor", 40, 2.0, 90, 6.0, "KV-123", 800, 1010, 0.9),
            **indoors,
            freezing=-12,
            upper_fluid="Virelite oil 20",
            stated_upper=880,
        ),
        g(
            *("30", 3005, "Brine settler D-3005", "Sodex brine", 40, 2.0, 90, 6.0, "KV-124", 800, 1180, 1.6),
            **indoors,
            freezing=-20,
            upper_fluid="Quenol 8",
            stated_upper=820,
        ),
        g("30", 3006, "Solvent receiver V-3006", "Ethylbenzene", 40, 0.5, 100, 5.0, "KV-109", 900, **indoors),
        g(
            *(
                "30",
                3007,
                "Acetone column sump C-3007",
                "Acetone",
                35,
                1.0,
                120,
                6.0,
                "KV-105",
                900,
                None,
                0.29,
            ),
            **indoors,
        ),
        g(
            *(
                "30",
                3008,
                "Wash liquor tank V-3008",
                "Amerol liquor",
                50,
                1.0,
                100,
                6.0,
                "KV-115",
                900,
                1052,
                1.8,
            ),
            **indoors,
            freezing=-8,
        ),
        g(
            *("30", 3009, "Brine tank V-3009", "Sodex brine", 35, 0.5, 90, 6.0, "KV-116", 900, 1188, 1.7),
            **indoors,
            freezing=-20,
        ),
        # utilities: outdoors, water traced
        g(
            *("40", 4001, "Boiler feed tank V-4001", "Boiler feed water", 105, 2.0, 150, 4.0, "KV-111", 1200),
            **water,
        ),
        g("40", 4002, "Hot water tank V-4002", "Water", 90, 2.0, 140, 4.0, "KV-111", 1200, **water),
        g(
            *("40", 4003, "Condensate tank V-4003", "Steam condensate", 95, 1.5, 150, 6.0, "KV-111", 1000),
            **water,
        ),
        g(
            *(
                "40",
                4004,
                "Demineralised water tank V-4004",
                "Demineralised water",
                20,
                0.1,
                60,
                3.0,
                "KV-114",
                2000,
            ),
            **water,
        ),
        g(
            *(
                "40",
                4005,
                "Cooling water head tank V-4005",
                "Cooling water",
                30,
                0.5,
                60,
                3.0,
                "KV-114",
                1500,
            ),
            **water,
        ),
        g(
            *("40", 4006, "Fire water pressure tank V-4006", "Fire water", 15, 8.0, 60, 10.0, "KV-113", 1500),
            **water,
        ),
        g("40", 4007, "Ammonia receiver V-4007", "Ammonia", -30, 1.5, 50, 4.5, "KV-104", 900),
        # oils and tank yard: outdoors
        g(
            *(
                "50",
                5001,
                "Seal oil tank V-5001",
                "Virelite oil 32",
                45,
                1.0,
                100,
                6.0,
                "KV-110",
                800,
                902,
                28,
            ),
            pour_point=-10,
            maintain=25,
            level_rate=2,
        ),
        g(
            *(
                "50",
                5002,
                "Lube oil header tank V-5002",
                "Virelite oil 46",
                50,
                0.5,
                100,
                6.0,
                "KV-110",
                800,
                898,
                30,
            ),
            pour_point=-8,
            maintain=25,
            level_rate=2,
        ),
        g(
            *(
                "50",
                5003,
                "Hot oil expansion vessel V-5003",
                "Therquil HT",
                180,
                0.5,
                300,
                6.0,
                "KV-110",
                1000,
                884,
                1.1,
            ),
            pour_point=-20,
            maintain=20,
            flange_class=300,
        ),
        g(
            *("50", 5004, "Wax melt tank V-5004", "Lumelle wax", 95, 0.3, 150, 4.0, "KV-103", 900, 668, 5.5),
            pour_point=58,
            maintain=75,
            insulation=60,
            level_rate=2,
        ),
        g(
            *("50", 5005, "Slop tank V-5005", "Quenol slop", 40, 0.2, 90, 4.0, "KV-109", 1500, 868, 12),
            pour_point=5,
            maintain=25,
            level_rate=2,
            transmitter=False,
        ),
        g(
            *(
                "50",
                5006,
                "Flush oil tank V-5006",
                "Virelite oil 10",
                30,
                0.2,
                80,
                3.5,
                "KV-107",
                1200,
                846,
                9.5,
            ),
            pour_point=-30,
            switches=False,
        ),
    )


GAUGES = _gauges()


@dataclass(frozen=True)
class Other:
    """An instrument of the index that is no gauge."""

    area: str
    tag: str
    service: str
    instrument: str
    fluid: str
    temperature: float
    pressure: float
    design_temperature: float
    design_pressure: float


OTHERS = (
    Other("10", "PT-1021", "Butane day tank V-1001", "Pressure transmitter", "n-Butane", 20, 3.0, 65, 4.0),
    Other("10", "TT-1022", "Benzene tank V-1012", "Temperature transmitter", "Benzene", 25, 0.2, 80, 3.5),
    Other("20", "PT-2021", "Reactor R-2020", "Pressure transmitter", "Quenol 12", 60, 2.0, 120, 5.0),
    Other("20", "TT-2022", "Reactor R-2020", "Temperature transmitter", "Quenol 12", 60, 2.0, 120, 5.0),
    Other("30", "PG-3021", "Octane decanter D-3003", "Pressure gauge", "n-Octane", 30, 0.5, 80, 4.0),
    Other(
        "40",
        "FT-4021",
        "Boiler feed water to B-4020",
        "Flow transmitter",
        "Boiler feed water",
        105,
        2.0,
        150,
        4.0,
    ),
    Other(
        "50",
        "TT-5021",
        "Hot oil expansion vessel V-5003",
        "Temperature transmitter",
        "Therquil HT",
        180,
        0.5,
        300,
        6.0,
    ),
)
