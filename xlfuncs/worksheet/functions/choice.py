"""Declarations: which float of a list suits, and which float would."""

from dataclasses import replace

from xlfuncs.worksheet.functions.floats import (
    CATEGORY,
    DIAMETER,
    ENDS,
    LENGTH,
    LOWER,
    MAGNET_HEIGHT,
    MASS,
    UPPER,
    UPRIGHT,
)
from xlfuncs.worksheet.functions.response import BORE, RATE, VISCOSITY
from xlfuncs.worksheet.functions.strength import CAUTION, SAFETY_FACTOR, WALL
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

LOWEST = Argument(
    "lower_density_min",
    "lowest density of the (lower) liquid in operation",
    "kg/m3",
    "density",
    low=0,
    liquid="surely",
)
HIGHEST = Argument(
    "lower_density_max",
    "highest density of the (lower) liquid in operation",
    "kg/m3",
    "density",
    low=0,
    liquid="surely",
)
DESIGN_PRESSURE = Argument(
    "design_pressure", "design pressure; blank: not checked", "barg", "pressure_gauge", default=None
)
DESIGN_TEMPERATURE = Argument(
    "design_temperature", "design temperature; blank: not checked", "degC", "temperature", default=None
)
LOWEST_TEMPERATURE = Argument(
    "lowest_temperature",
    "lowest temperature at which it has to read right; blank: not looked at",
    "degC",
    "temperature",
    default=None,
)
TOLERANCE = Argument("tolerance", "permitted reading offset, either way", "mm", "length", default=10, low=0)
RESERVE = Argument(
    "minimum_reserve",
    "least share of the float above the surface; at an interface on either side of it",
    kind="number",
    default=0.1,
    low=0,
    high=1,
)
MATERIAL = Argument("material", "metal by name (316L, titanium grade 2, alloy 625)", kind="text")

JUDGED = (
    "Archimedes' principle for offset and reserve; von Mises (1929) and NASA SP-8032 for the collapse of the"
    " shell; worst reading as LG_WORST_READING. Thresholds: common practice, no source"
)
OPEN_DATA = (
    "Where upper_density is blank, no vapour and a heavy one are looked at (55 kg/m3, or 100 g/mol at the"
    " design pressure); where ends are blank, each shape. The verdict is given if it is the same for all,"
    " with the change by each above 1 mm, and else what it would be with which."
)
START = "The cold start-up is held against floating only; the offset there is stated, not judged."

FUNCTIONS = (
    Function(
        name="LG_CHOOSE_FLOAT",
        summary="Floats of a list that suit a duty, ranked, and why the others do not",
        category=CATEGORY,
        arguments=(
            Argument(
                "floats",
                "float list with headings: part, mass, diameter, length, ends, magnet height, and as known"
                " wall, material, maximum pressure, maximum temperature, magnet material, service",
                kind="table",
            ),
            LOWEST,
            HIGHEST,
            UPPER,
            DESIGN_PRESSURE,
            DESIGN_TEMPERATURE,
            TOLERANCE,
            RESERVE,
            replace(VISCOSITY, default=None),
            replace(BORE, default=None),
            replace(RATE, default=10),
            Argument(
                "cold_density",
                "density of the (lower) liquid at cold start-up; blank: no start-up is looked at",
                "kg/m3",
                "density",
                default=None,
                low=0,
                liquid="surely",
            ),
            Argument(
                "cold_upper_density",
                "density above the surface at start-up; blank: as in operation",
                "kg/m3",
                "density",
                default=None,
                low=0,
                liquid="maybe",
            ),
            replace(VISCOSITY, name="cold_viscosity", meaning="viscosity at start-up", default=None),
            SAFETY_FACTOR,
            replace(ENDS, meaning="shape of the ends where the list states none", default=None),
            LOWEST_TEMPERATURE,
        ),
        result=Result("rank, part, verdict and the figures behind it", shape="table"),
        call="xlfuncs.worksheet.choice:choose_float",
        example=Example(
            (
                [
                    ["Part", "Mass", "OD", "Length", "Ends", "Magnet height"],
                    ["A1", 280, 50, 200, "flat", 168],
                ],
                840,
                860,
            ),
            [
                [
                    "rank",
                    "part",
                    "verdict",
                    "offset at lowest density, mm",
                    "offset at highest density, mm",
                    "within tolerance from, kg/m3",
                    "within tolerance to, kg/m3",
                    "least share above surface",
                    "pressure margin, bar",
                    "temperature margin, K",
                    "movement, mm",
                    "offset at cold start-up, mm",
                    "remarks",
                ],
                [
                    1,
                    "A1",
                    "fits",
                    -1.76527263,
                    2.18275696,
                    801.139489,
                    902.549551,
                    0.151173637,
                    "-",
                    "-",
                    "-",
                    "-",
                    "-",
                ],
            ],
        ),
        source=JUDGED,
        notes=(
            "It fits within the tolerance at both densities, with the reserve, and with no margin below 0.",
            "Within means the worst reading: offset, uncertainty of the list, movement and heat together.",
            "Heat: at design_temperature and at lowest_temperature, where they are stated, as at 20 degC.",
            "What the list does not state is named in the verdict, never assumed.",
            "An upper density above 300 kg/m3 is taken for a liquid, which makes it an interface.",
            START,
            "Limits in the list need their unit in the heading, e.g. 'Max. pressure (barg)'.",
            UPRIGHT,
            CAUTION,
        ),
    ),
    Function(
        name="LG_CHECK_FLOAT",
        summary="The verdict on a float in its liquid, in words: sinks, reads 17 mm high, fits, not checked",
        category=CATEGORY,
        arguments=(
            *(
                replace(argument, default=None, said=True)
                for argument in (MASS, DIAMETER, LENGTH, MAGNET_HEIGHT, LOWER)
            ),
            replace(UPPER, default=None),
            TOLERANCE,
            replace(ENDS, default=None),
            Argument(
                "max_pressure",
                "highest pressure that the float bears",
                "barg",
                "pressure_gauge",
                default=None,
            ),
            DESIGN_PRESSURE,
            Argument(
                "max_temperature",
                "highest temperature that float and magnet bear",
                "degC",
                "temperature",
                default=None,
            ),
            DESIGN_TEMPERATURE,
            replace(VISCOSITY, default=None),
            replace(BORE, default=None),
            replace(RATE, default=10),
            Argument(
                "operating_temperature",
                "of the float, for its growth",
                "degC",
                "temperature",
                default=None,
            ),
            replace(MATERIAL, meaning="metal of the float, for its growth", default=""),
        ),
        result=Result("verdict", text=True),
        call="xlfuncs.worksheet.check:check_float",
        example=Example((280, 50, 200, 150, 850, 5, 10, "flat"), "reads 17.6 mm low"),
        source="Archimedes' principle; thresholds: common practice, no source",
        notes=(
            "The reading at one density; the density at the other end of its range needs a check of its own.",
            (
                "'may read 11 mm low': the offset is within the tolerance, and with the rounding of the"
                " float's data, a moving level (viscosity and chamber_bore) and heat (operating_temperature"
                " and material) it is not; 'lags up to 11 mm': behind a moving level. The limits are the"
                " audit's; both are looked at where the shape of ends is stated."
            ),
            "A blank cell is named: 'not checked: magnet height missing'.",
            OPEN_DATA,
            "Limits are compared where design_pressure or design_temperature is given.",
            "'fits, but barely floats': less than 10 % of the float above the surface.",
            UPRIGHT,
        ),
    ),
    Function(
        name="LG_SIZE_FLOAT",
        summary="The shortest float of a diameter and metal that would suit a duty, as a float list of one",
        category=CATEGORY,
        arguments=(
            DIAMETER,
            MATERIAL,
            Argument("max_length", "greatest length over all", "mm", "length", low=0),
            LOWEST,
            HIGHEST,
            UPPER,
            replace(DESIGN_PRESSURE, meaning="design pressure; blank: the thinnest wall is taken"),
            replace(
                DESIGN_TEMPERATURE, meaning="design temperature, for which the metal is taken", said=True
            ),
            TOLERANCE,
            replace(ENDS, default="hemispherical"),
            Argument(
                "inside_mass",
                "magnets and their holder, at the magnet height; a usual ring when blank",
                "g",
                "mass",
                default=0,
                low=0,
            ),
            RESERVE,
            Argument(
                "mass_allowance",
                "share by which the finished mass may be off, either way",
                kind="number",
                default=0.02,
                low=0,
                high=0.5,
            ),
            SAFETY_FACTOR,
            Argument(
                "corrosion_allowance",
                "loss of wall all over to reckon with",
                "mm",
                "length",
                default=0,
                low=0,
            ),
            replace(BORE, default=None),
            LOWEST_TEMPERATURE,
        ),
        result=Result("float data to ask a maker for, or why no such float exists", shape="table"),
        call="xlfuncs.worksheet.choice:size_float",
        example=Example(
            (60, "titanium grade 2", 400, 700, 740, 5, 10, 80),
            [
                [
                    "part",
                    "material",
                    "ends",
                    "mass, g",
                    "diameter, mm",
                    "length, mm",
                    "wall, mm",
                    "magnet height, mm",
                    "maximum pressure, barg",
                    "maximum temperature, degC",
                    "metal, g",
                    "flat end, mm",
                    "possible up to, mm",
                    "magnets and holder, g",
                    "ballast, g",
                    "metacentric height, mm",
                ],
                [
                    "proposed",
                    "titanium grade 2",
                    "hemispherical",
                    164.7,
                    60.0,
                    120.0,
                    0.7,
                    90.8,
                    10.5262855,
                    80.0,
                    70.1648485,
                    "-",
                    263.0,
                    43.0,
                    51.5351515,
                    0.582844322,
                ],
            ],
        ),
        source=JUDGED + "; densities of metals: public tables",
        notes=(
            "The wall is the thinnest, in steps of 0.1 mm, that bears the design pressure.",
            "The length is the shortest, in steps of 1 mm, from one and a half diameters up.",
            "The magnet plane lies half-way between the rides at both densities.",
            "The float suits with its mass as given and with its mass off by mass_allowance.",
            "Possible up to: the greatest length at which one can be made.",
            "What it weighs beside metal and magnets is ballast on its bottom, so that it stands upright.",
            "Its straight part is as long as the bore of the chamber, or as its diameter, or longer.",
            "The result can stand as the list of LG_CHOOSE_FLOAT.",
            CAUTION,
        ),
    ),
    Function(
        name="LG_SHELL_MASS",
        summary="Mass of the metal of an empty float: the least that a float of this size weighs",
        category=CATEGORY,
        arguments=(
            DIAMETER,
            WALL,
            LENGTH,
            MATERIAL,
            replace(ENDS, default="hemispherical"),
            Argument("end_wall", "thickness of flat ends", "mm", "length", default=None, low=0),
        ),
        result=Result("mass of the metal", "g", "mass"),
        call="xlfuncs.gauge.sizing:shell_mass",
        example=Example((60, 1, 300, "titanium grade 2"), 249.94797),
        source="geometry of cylinder, sphere and spheroid; densities of metals: public tables",
        notes=("Magnets, holders, ballast and welds come on top.",),
    ),
)
