"""Declarations: strength of the float under pressure."""

from xlfuncs.worksheet.functions.floats import CATEGORY, DIAMETER, ENDS, LENGTH
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

WALL = Argument("wall", "wall thickness of the float", "mm", "length", low=0)
MATERIAL_OR_MODULUS = Argument(
    "material_or_modulus",
    "material by name (316L, titanium grade 2, alloy 625), or its elastic modulus",
    "GPa",
    "pressure_difference",
    kind="named",
)
TEMPERATURE = Argument("temperature", "temperature of the float", "degC", "temperature", default=20)
SAFETY_FACTOR = Argument(
    "safety_factor", "collapse pressure over permitted pressure", kind="number", default=3, low=1
)

SHELL = (
    "von Mises (1929) as simplified by Windenburg and Trilling (1934); NASA SP-8032 for curved ends;"
    " yield by Tresca on membrane stresses"
)
CAUTION = (
    "A check of a stated float, not its rating: the maker's rating, the pressure test and the code that"
    " applies at the place of use decide."
)
ROUND = "Dents and out-of-roundness, welds, corrosion and creep are left to the safety factor."
MODULUS_ONLY = "With a modulus in place of a name only elastic buckling is checked; yield is left out."
FLAT_ENDS = (
    "Flat ends are left out here, since their thickness is their own: check them with LG_FLAT_END_PRESSURE."
)

FUNCTIONS = (
    Function(
        name="LG_FLOAT_COLLAPSE",
        summary="Permitted pressure outside over inside a closed float: collapse pressure / safety_factor",
        category=CATEGORY,
        arguments=(DIAMETER, WALL, LENGTH, MATERIAL_OR_MODULUS, TEMPERATURE, ENDS, SAFETY_FACTOR),
        result=Result("permitted pressure", "bar", "pressure_difference"),
        call="xlfuncs.gauge.strength:permitted_pressure",
        example=Example((50, 0.5, 200, "193 GPa"), 4.43535555),
        source=SHELL,
        notes=(
            CAUTION,
            MODULUS_ONLY,
            FLAT_ENDS,
            ROUND,
            "The wall must be at most a tenth of the mean radius.",
            "A curved end lends the shell a third of its depth as length.",
        ),
    ),
    Function(
        name="LG_COLLAPSE_MODE",
        summary="What gives way first under pressure from outside, and what was not checked",
        category=CATEGORY,
        arguments=(DIAMETER, WALL, LENGTH, MATERIAL_OR_MODULUS, TEMPERATURE, ENDS),
        result=Result("governing mode", text=True),
        call="xlfuncs.gauge.strength:collapse_mode",
        example=Example((50, 0.5, 250, "316L", 20, "hemispherical"), "shell buckles in 3 lobes"),
        source=SHELL,
        notes=(CAUTION, MODULUS_ONLY, FLAT_ENDS),
    ),
    Function(
        name="LG_FLAT_END_PRESSURE",
        summary="Permitted pressure outside over inside for the flat ends of a float",
        category=CATEGORY,
        arguments=(
            DIAMETER,
            WALL,
            Argument("end_wall", "thickness of the flat end", "mm", "length", low=0),
            Argument("material", "material by name (316L, titanium grade 2, alloy 625)", kind="text"),
            TEMPERATURE,
            SAFETY_FACTOR,
        ),
        result=Result("permitted pressure", "bar", "pressure_difference"),
        call="xlfuncs.gauge.strength:permitted_flat_end_pressure",
        example=Example((50, 0.5, 3, "316L"), 6.72782307),
        source="circular plate on a simple support (Roark, Table 24, case 10a), first yield at its centre",
        notes=(
            CAUTION,
            "The shell is taken not to hold the plate's edge fixed, which is on the safe side.",
        ),
    ),
    Function(
        name="LG_GAS_FLOAT_PRESSURE",
        summary="Permitted pressure outside a float that is filled with gas under pressure",
        category=CATEGORY,
        arguments=(
            DIAMETER,
            WALL,
            LENGTH,
            MATERIAL_OR_MODULUS,
            Argument(
                "internal_pressure",
                "gas pressure in the float as filled and closed",
                "barg",
                "pressure_gauge",
            ),
            TEMPERATURE,
            Argument("fill_temperature", "temperature when it was closed", "degC", "temperature", default=20),
            ENDS,
            SAFETY_FACTOR,
        ),
        result=Result("permitted pressure outside", "barg", "pressure_gauge"),
        call="xlfuncs.gauge.strength:permitted_pressure_with_gas",
        example=Example((50, 0.6, 250, "titanium grade 2", 5, 80, 20, "hemispherical"), 10.2755651),
        source=SHELL + "; ideal gas at constant volume",
        notes=(
            CAUTION,
            "The gas counts with its pressure at the temperature, by the law of the ideal gas.",
            "A gas pressure that would bring the float to yield in an open vessel gives a reason.",
            FLAT_ENDS,
            "A pressurised float can burst when it is handled, heated or cut: treat it as a pressure vessel.",
        ),
    ),
)
