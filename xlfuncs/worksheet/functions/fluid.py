"""Declarations: densities, saturation, viscosity and freezing of fluids."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Fluid"

FLUID = Argument(
    "fluid", "name of a pure fluid, such as water, BFW, propane or NH3, in six languages", kind="text"
)
TEMPERATURE = Argument("temperature", "working temperature", "degC", "temperature")
LIQUID_PRESSURE = Argument(
    "pressure",
    "pressure; the saturated liquid when blank",
    "barg",
    "pressure_absolute",
    default=None,
)
GROUP = Argument(
    "group",
    "crude, product (refined) or lubricant",
    kind="choice",
    choices=("crude", "product", "lubricant"),
)
DENSITY_15 = Argument("density_15", "density at 15 degC", "kg/m3", "density", low=0, liquid="surely")
TEMPERATURE_1 = Argument("temperature_1", "temperature of the first point", "degC", "temperature")
TEMPERATURE_2 = Argument("temperature_2", "temperature of the second point", "degC", "temperature")
VISCOSITY_1 = Argument(
    "viscosity_1", "kinematic viscosity at the first point", "mm2/s", "kinematic_viscosity", low=0
)
VISCOSITY_2 = Argument(
    "viscosity_2", "kinematic viscosity at the second point", "mm2/s", "kinematic_viscosity", low=0
)
LOWEST = Argument("minimum_temperature", "lowest temperature to expect", "degC", "temperature")

DENSITY = Result("density", "kg/m3", "density")

EQUATION_OF_STATE = "reference equations of state in CoolProp; water and steam IAPWS R6-95"
PETROLEUM = "API MPMS 11.1:2004 (ASTM D1250-04)"
D341 = "ASTM D341"

GAUGE = "A plain number is gauge pressure in bar; an absolute one is written with its unit, '2 bara'."
PURE = "Pure fluids only: a mixture, a solution or an unknown name gives 'unknown fluid', never a guess."
OIL_RANGE = (
    "610.6 to 1163.5 kg/m3 at the reference temperature (lubricant from 800.9), -50 to 150 degC.",
    "Dissolved gas is not allowed for: live oil is lighter.",
)
OIL_UNPRESSED = "At atmospheric pressure; at 50 bar most oils are 0.3 to 0.6 % denser."
WALTHER = (
    "0.21 to 2e7 mm2/s and -70 to 370 degC, between the cloud point and the start of boiling.",
    "At most 30 K beyond the two points, which are taken well apart.",
    "Near the pour point an oil is thicker than the equation says.",
)

FUNCTIONS = (
    Function(
        name="LG_DENSITY",
        summary="Density of a pure liquid at a temperature, saturated or under pressure",
        category=CATEGORY,
        arguments=(FLUID, TEMPERATURE, LIQUID_PRESSURE),
        result=DENSITY,
        call="xlfuncs.gauge.density:liquid_density",
        example=Example(("water", 20), 998.1618, 1e-7),
        source=EQUATION_OF_STATE,
        notes=(PURE, GAUGE, "Where the fluid is vapour at the stated pressure there is no result."),
    ),
    Function(
        name="LG_VAPOUR_DENSITY",
        summary="Density of the vapour above a pure liquid",
        category=CATEGORY,
        arguments=(
            FLUID,
            Argument(
                "temperature",
                "temperature; saturation at the pressure when blank",
                "degC",
                "temperature",
                default=None,
            ),
            Argument(
                "pressure",
                "pressure; saturation at the temperature when blank",
                "barg",
                "pressure_absolute",
                default=None,
            ),
        ),
        result=Result("vapour density", "kg/m3", "density"),
        call="xlfuncs.gauge.density:vapour_density",
        example=Example(("steam", None, "40 bara"), 20.08995, 1e-6),
        source=EQUATION_OF_STATE,
        notes=(
            PURE,
            GAUGE,
            "With both temperature and pressure: the superheated vapour.",
            "A vessel blanketed with another gas has that gas above the liquid: give its density instead.",
        ),
    ),
    Function(
        name="LG_SATURATION_TEMPERATURE",
        summary="Temperature at which a pure liquid boils at a pressure",
        category=CATEGORY,
        arguments=(FLUID, Argument("pressure", "pressure", "barg", "pressure_absolute", low=-1.01325)),
        result=Result("saturation temperature", "degC", "temperature"),
        call="xlfuncs.gauge.fluids:saturation_temperature",
        example=Example(("water", "10 bara"), 179.8780, 1e-6),
        source=EQUATION_OF_STATE,
        notes=(PURE, GAUGE),
    ),
    Function(
        name="LG_SATURATION_PRESSURE",
        summary="Pressure at which a pure liquid boils at a temperature",
        category=CATEGORY,
        arguments=(FLUID, TEMPERATURE),
        result=Result("saturation pressure", "barg", "pressure_absolute"),
        call="xlfuncs.gauge.fluids:saturation_pressure",
        example=Example(("propane", 40), 12.6810, 1e-5),
        source=EQUATION_OF_STATE,
        notes=(PURE, "Gauge pressure; 'bara' as the last argument gives it absolute."),
    ),
    Function(
        name="LG_OIL_DENSITY",
        summary="Density of a petroleum liquid at a temperature, from its density at 15 degC",
        category=CATEGORY,
        arguments=(DENSITY_15, TEMPERATURE, GROUP),
        result=DENSITY,
        call="xlfuncs.gauge.density:oil_density",
        example=Example((850, 50, "crude"), 824.4948796, 1e-8),
        source=PETROLEUM,
        notes=(*OIL_RANGE, OIL_UNPRESSED, "API gravity and SG 60/60: use LG_OIL_DENSITY_FROM_API."),
    ),
    Function(
        name="LG_OIL_DENSITY_FROM_API",
        summary="Density of a petroleum liquid at a temperature, from its API gravity or SG at 60 degF",
        category=CATEGORY,
        arguments=(
            Argument(
                "density_60",
                "API gravity, or density or SG at 60 degF",
                "degAPI",
                "density",
                low=-10.1,
                high=100.1,
                liquid="surely",
            ),
            TEMPERATURE,
            GROUP,
        ),
        result=DENSITY,
        call="xlfuncs.gauge.density:oil_density_60",
        example=Example((35, 60, "crude"), 816.5295794, 1e-8),
        source=PETROLEUM,
        notes=(*OIL_RANGE, OIL_UNPRESSED),
    ),
    Function(
        name="LG_OIL_DENSITY_UNDER_PRESSURE",
        summary="Density of a petroleum liquid at a temperature and pressure, from its density at 15 degC",
        category=CATEGORY,
        arguments=(
            DENSITY_15,
            TEMPERATURE,
            GROUP,
            Argument("pressure", "gauge pressure", "barg", "pressure_gauge", low=0),
        ),
        result=DENSITY,
        call="xlfuncs.gauge.density:oil_density",
        example=Example((850, 50, "crude", 50), 828.1918956, 1e-8),
        source=PETROLEUM,
        notes=(*OIL_RANGE, "Pressure up to 103.4 bar gauge."),
    ),
    Function(
        name="LG_OIL_DENSITY_15",
        summary="Density at 15 degC of a petroleum liquid measured at another temperature",
        category=CATEGORY,
        arguments=(
            Argument(
                "density",
                "density measured, or hydrometer reading",
                "kg/m3",
                "density",
                low=0,
                liquid="surely",
            ),
            Argument("temperature", "temperature of the measurement", "degC", "temperature"),
            GROUP,
            Argument(
                "hydrometer",
                "TRUE: the reading of a glass hydrometer made for 15 degC",
                kind="flag",
                default=False,
            ),
        ),
        result=Result("density at 15 degC", "kg/m3", "density"),
        call="xlfuncs.gauge.density:density_at_15",
        example=Example((779, 25, "crude", True), 786.65, 1e-5),
        source="API MPMS 11.1:2004 (ASTM D1250-04); hydrometer: ASTM D1250, Tables 53",
        notes=OIL_RANGE,
    ),
    Function(
        name="LG_DENSITY_AT",
        summary="Density of any liquid at a temperature, from two measured points",
        category=CATEGORY,
        arguments=(
            TEMPERATURE,
            TEMPERATURE_1,
            Argument("density_1", "density at the first point", "kg/m3", "density", low=0, liquid="surely"),
            TEMPERATURE_2,
            Argument("density_2", "density at the second point", "kg/m3", "density", low=0, liquid="surely"),
        ),
        result=DENSITY,
        call="xlfuncs.gauge.density:density_between",
        example=Example((40, 20, 850, 60, 822), 836),
        source="linear interpolation",
        notes=("Beyond a point the line is followed by at most the distance between the two.",),
    ),
    Function(
        name="LG_EXPANDED_DENSITY",
        summary="Density of any liquid at a temperature, from one point and its expansion coefficient",
        category=CATEGORY,
        arguments=(
            Argument("density_1", "density at the known point", "kg/m3", "density", low=0, liquid="surely"),
            Argument("temperature_1", "temperature of the known point", "degC", "temperature"),
            Argument("expansion", "volumetric expansion coefficient per K", kind="number", low=0, high=0.01),
            TEMPERATURE,
        ),
        result=DENSITY,
        call="xlfuncs.gauge.density:expanded_density",
        example=Example((850, 15, 0.0008, 65), 817.307692),
        source="definition of the volumetric expansion coefficient",
    ),
    Function(
        name="LG_VISCOSITY_AT",
        summary="Kinematic viscosity of a petroleum liquid at a temperature, from two measured points",
        category=CATEGORY,
        arguments=(TEMPERATURE, TEMPERATURE_1, VISCOSITY_1, TEMPERATURE_2, VISCOSITY_2),
        result=Result("kinematic viscosity", "mm2/s", "kinematic_viscosity"),
        call="xlfuncs.gauge.viscosity:viscosity_at",
        example=Example((70, 40, 100, 100, 11.4), 27.67984),
        source=D341,
        notes=WALTHER,
    ),
    Function(
        name="LG_TEMPERATURE_FOR_VISCOSITY",
        summary="Temperature at which a petroleum liquid has a kinematic viscosity",
        category=CATEGORY,
        arguments=(
            Argument("viscosity", "kinematic viscosity wanted", "mm2/s", "kinematic_viscosity", low=0),
            TEMPERATURE_1,
            VISCOSITY_1,
            TEMPERATURE_2,
            VISCOSITY_2,
        ),
        result=Result("temperature", "degC", "temperature"),
        call="xlfuncs.gauge.viscosity:temperature_for_viscosity",
        example=Example((27.67984, 40, 100, 100, 11.4), 70),
        source=D341,
        notes=WALTHER,
    ),
    Function(
        name="LG_FLUID_VISCOSITY",
        summary="Dynamic viscosity of a pure liquid at a temperature, saturated or under pressure",
        category=CATEGORY,
        arguments=(FLUID, TEMPERATURE, LIQUID_PRESSURE),
        result=Result("dynamic viscosity", "mPa.s", "dynamic_viscosity"),
        call="xlfuncs.gauge.viscosity:liquid_viscosity",
        example=Example(("water", 20, "1.01325 bara"), 1.0015963, 1e-5),
        source="water IAPWS R12-08; others the correlations in CoolProp",
        notes=(PURE, GAUGE, "Some fluids have no published viscosity equation: no result."),
    ),
    Function(
        name="LG_DYNAMIC_VISCOSITY",
        summary="Dynamic viscosity from kinematic viscosity and density at the same temperature",
        category=CATEGORY,
        arguments=(
            Argument("kinematic_viscosity", "kinematic viscosity", "mm2/s", "kinematic_viscosity", low=0),
            Argument(
                "density", "density at the same temperature", "kg/m3", "density", low=0, liquid="surely"
            ),
        ),
        result=Result("dynamic viscosity", "mPa.s", "dynamic_viscosity"),
        call="xlfuncs.gauge.viscosity:dynamic_viscosity",
        example=Example((100, 850), 85),
        source="definition (ISO 80000-4)",
    ),
    Function(
        name="LG_POUR_MARGIN",
        summary="How far the lowest temperature stays above the pour point; negative: it no longer flows",
        category=CATEGORY,
        arguments=(LOWEST, Argument("pour_point", "pour point of the liquid", "degC", "temperature")),
        result=Result("margin", "K", "temperature_difference"),
        call="xlfuncs.gauge.viscosity:pour_margin",
        example=Example((-15, -9), -6),
        source="difference of temperatures; pour point by ISO 3016 or ASTM D97",
        notes=("Above its pour point a liquid can still be too thick for the float: check the viscosity.",),
    ),
    Function(
        name="LG_FREEZING_POINT",
        summary="Freezing point of a pure fluid at atmospheric pressure",
        category=CATEGORY,
        arguments=(FLUID,),
        result=Result("freezing point", "degC", "temperature"),
        call="xlfuncs.gauge.fluids:freezing_temperature",
        example=Example(("benzene",), 5.538, 1e-5),
        source="CRC Handbook of Chemistry and Physics, 95th edition, by way of the library chemicals",
        notes=(PURE, "Dissolved substances lower the freezing point; for oils use the pour point."),
    ),
    Function(
        name="LG_FREEZING_MARGIN",
        summary="Lowest temperature above a pure fluid's freezing point; negative: it freezes",
        category=CATEGORY,
        arguments=(FLUID, LOWEST),
        result=Result("margin", "K", "temperature_difference"),
        call="xlfuncs.gauge.viscosity:freezing_margin",
        example=Example(("water", -20), -20),
        source="CRC Handbook of Chemistry and Physics, 95th edition, by way of the library chemicals",
        notes=(PURE,),
    ),
    Function(
        name="LG_FLUID_NAME",
        summary="The pure fluid that a name is taken for, or why it is unknown",
        category=CATEGORY,
        arguments=(FLUID,),
        result=Result("fluid", text=True),
        call="xlfuncs.gauge.fluids:recognised",
        example=Example(("Kesselspeisewasser",), "Water"),
        source="list of names in six languages, formulae and refrigerant numbers (ISO 817)",
    ),
)
