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
TEMPERATURE = Argument(
    "temperature",
    "design temperature of the metal; it may be blank only with a modulus",
    "degC",
    "temperature",
    default=None,
)
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
ROUND = (
    "The factor has to cover out-of-roundness, welds, dents, corrosion and creep: of 3 a float that is 0.5 %"
    " out of round keeps 1.2 to 1.8 up to first yield; LG_FLOAT_STRENGTH shows it."
)
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
        example=Example((50, 0.5, 3, "316L", 20), 6.72782307),
        source="circular plate on a simple support (Roark, Table 24, case 10a), first yield at its centre",
        notes=(
            CAUTION,
            "The shell is taken not to hold the plate's edge fixed, which is on the safe side for the plate.",
            "The plate bends the shell beside it: LG_FLOAT_STRENGTH; up to a fifth of the diameter thick.",
        ),
    ),
    Function(
        name="LG_FLOAT_STRENGTH",
        summary="Every failure of a float under pressure, what its number covers, what is not checked",
        category=CATEGORY,
        arguments=(
            DIAMETER,
            WALL,
            LENGTH,
            Argument("material", "material by name (316L, titanium grade 2, alloy 625)", kind="text"),
            Argument("temperature", "design temperature of the metal", "degC", "temperature"),
            ENDS,
            SAFETY_FACTOR,
            Argument(
                "out_of_roundness",
                "deviation from the circle over the radius",
                "%",
                "ratio",
                default=0.5,
                low=0,
                high=10,
            ),
            Argument("end_wall", "thickness of flat ends", "mm", "length", default=None, low=0),
        ),
        result=Result("failure, pressure, over permitted, covers", shape="table"),
        call="xlfuncs.gauge.strength:strength_table",
        example=Example(
            (50, 0.5, 200, "316L", 20, "flat", 3, 0.5, 3),
            (
                ("failure", "pressure, bar", "over permitted", "covers"),
                ("permitted", 4.488212123, 1, "the lowest failure over 3"),
                ("shell buckles", 13.46463637, 3, "a perfect shell"),
                ("shell yields", 34.34343434, 7.651918716, "a perfect shell"),
                ("flat end yields", 20.18346922, 4.496995389, "a plate on a simple support, its centre"),
                (
                    "shell yields beside the flat end",
                    8.183693919,
                    1.823375031,
                    "first yield of the shell beside the plate; the weld is not checked",
                ),
                ("first yield", 7.692908359, 1.714025128, "a shell out of round by 0.5 % of its radius"),
                ("not checked", "", "", "welds, dents, creep, fatigue"),
            ),
        ),
        source=SHELL + "; first yield: Timoshenko and Gere; plate: Roark; junction: Timoshenko and Woinowsky",
        notes=(CAUTION, "Out-of-roundness of 0.5 % is common practice for welded tube, no source."),
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
