"""Declarations: unit conversion and the version."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

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
