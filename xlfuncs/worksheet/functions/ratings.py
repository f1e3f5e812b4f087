"""Declarations: ratings read from tables."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Heat and ratings"

GROUP = Argument(
    "material_group", "material group: 2.3 of ASME B16.5, 13E0 of EN 1092-1, 023a of JIS B 2220", kind="text"
)
TEMPERATURE = Argument("temperature", "temperature of the flange", "degC", "temperature")

FLANGES = "ASME B16.5-2009, Tables 2-1.1 to 2-3.12; EN 1092-1:2018, annexes F and G; JIS B 2220:2004"
FLANGES_ONLY = (
    "Rates the flange alone: bolts, gasket, chamber, welds and the code of the plant can permit less.",
    "Linear interpolation between temperatures, none between classes.",
    "Nothing below -29 degC, of PN and JIS below -10; austenitic groups go on to -198 degC, of PN to -196.",
)

FUNCTIONS = (
    Function(
        name="LG_FLANGE_RATING",
        summary="Greatest working gauge pressure of a flange class at a temperature",
        category=CATEGORY,
        arguments=(
            Argument(
                "flange_class", "ASME class such as 300 or '300#', 'PN 40', or '10K' of JIS", kind="text"
            ),
            GROUP,
            TEMPERATURE,
        ),
        result=Result("working pressure", "barg", "pressure_gauge"),
        call="xlfuncs.gauge.ratings:flange_rating",
        example=Example((300, "1.1", 175), 44.45),
        source=FLANGES,
        notes=(
            *FLANGES_ONLY,
            "Of JIS what every division of flanges carries; above 120 degC the division decides.",
            "Below -29 degC (EN: -10) austenitic groups keep theirs: memory of ASME B31.3 and EN 13445-2.",
            "Bolts and gasket are not looked at.",
        ),
    ),
    Function(
        name="LG_FLANGE_CLASS",
        summary="Lowest flange class that covers a gauge pressure at a temperature",
        category=CATEGORY,
        arguments=(
            Argument("pressure", "design pressure", "barg", "pressure_gauge", low=0),
            GROUP,
            TEMPERATURE,
        ),
        result=Result("flange class"),
        call="xlfuncs.gauge.ratings:lowest_class",
        example=Example((20, "2.3", 100), 300),
        source=FLANGES,
        notes=FLANGES_ONLY,
    ),
    Function(
        name="LG_MATERIAL_GROUP",
        summary="Material group of ASME B16.5 for a material's name, or 'unknown'",
        category=CATEGORY,
        arguments=(Argument("material", "name of the material, such as 316L or A105", kind="text"),),
        result=Result("material group", text=True),
        call="xlfuncs.gauge.ratings:group_of",
        example=Example(("316L",), "2.3"),
        source="ASME B16.5-2009, Table 1A",
        notes=(
            "Designations are compared as whole names; what is not listed is 'unknown', never guessed.",
            "A pipe (A106, A312) and a European number are not listed, though their grade may be.",
        ),
    ),
    Function(
        name="LG_MAGNET_LIMIT",
        summary="Highest working temperature of a magnet material, lowest grade",
        category=CATEGORY,
        arguments=(Argument("material", "alnico, SmCo5, Sm2Co17, SmCo, NdFeB or ferrite", kind="text"),),
        result=Result("highest working temperature", "degC", "temperature"),
        call="xlfuncs.gauge.ratings:magnet_limit",
        example=Example(("SmCo5",), 250),
        source="ranges over the grades from public tables of magnet materials; alnico and SmCo5 from memory",
        notes=(
            "The limit differs by grade and by the magnet's shape: the maker's figure decides.",
            "Above the limit part of the magnetisation is lost for good; the indicator may lose the float.",
        ),
    ),
    Function(
        name="LG_TEMPERATURE_CLASS",
        summary="Greatest surface temperature that a temperature class permits",
        category=CATEGORY,
        arguments=(
            Argument("temperature_class", "one class: T1 to T6, or T2A to T4A", kind="text"),
            Argument(
                "margin",
                "kept below the limit",
                "K",
                "temperature_difference",
                default=0,
                low=0,
            ),
        ),
        result=Result("surface temperature", "degC", "temperature"),
        call="xlfuncs.gauge.ratings:temperature_class_limit",
        example=Example(("T3",), 200),
        source="IEC 60079-0; NFPA 70, article 500, for the subdivided classes",
        notes=(
            "The process heats the equipment too: compare the limit with the hottest surface.",
            "In a hazardous area the certificate, its ambient range and the local code decide.",
        ),
    ),
)
