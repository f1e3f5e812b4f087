"""Declarations: unit conversion, reasons and the version."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

MOST = 28
"""Arguments that LG_REASON hands on: more than any function takes."""

FUNCTIONS = (
    Function(
        name="LG_CONVERT",
        summary="A number from one unit to another",
        category="Fluid",
        arguments=(
            Argument("value", "the number to convert", kind="number"),
            Argument("from_unit", "its unit, e.g. degAPI, psig, mm2/s", kind="text"),
            Argument("to_unit", "the unit wanted", kind="text"),
        ),
        result=Result("converted number"),
        call="xlfuncs.worksheet.convert:convert",
        example=Example((35, "degAPI", "SG"), 0.849849850),
        source="Unit definitions (BIPM SI brochure, NIST SP 811); degAPI = 141.5/SG - 131.5 at 60 degF",
        notes=(
            "Gauge and absolute pressure differ by the standard atmosphere, 1.01325 bar.",
            "A pressure unit without g or a converts only to another such unit.",
        ),
    ),
    Function(
        name="LG_REASON",
        summary="Why a function shows an error value for its arguments; an empty text where it answers",
        category="Field",
        arguments=(
            Argument("name", "name of the function, in quotes", kind="text"),
            *(
                Argument(f"argument_{n}", "its arguments, as they stand in it", kind="any", default=None)
                for n in range(1, MOST + 1)
            ),
        ),
        result=Result("reason", shape="any", text=True),
        call="xlfuncs.worksheet.why:reason",
        example=Example(
            ("LG_IMMERSION", 400, 50, 200, 850),
            "the float sinks: its mean density is not below lower_density; choose a lighter float",
        ),
        source="this package",
        notes=(
            "#N/A: data is missing. #VALUE!: an argument cannot be used. #NUM!: physics has no answer.",
            "For ranges it gives the reason of each element, for a table that of each cell.",
        ),
        repeats=MOST,
    ),
    Function(
        name="LG_VERSION",
        summary="Version of the functions behind this sheet",
        category="Field",
        arguments=(),
        result=Result("version", text=True),
        call="xlfuncs.worksheet.convert:version",
        example=Example((), "xlfuncs 0.1.0"),
        source="this package",
    ),
)
