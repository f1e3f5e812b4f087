"""Declarations: uncertainty of the reading offset."""

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
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

GUM = "JCGM 100:2008 (GUM), 5.1.2 and 5.1.3: first order, uncorrelated"

_ARGUMENTS = (
    MASS,
    DIAMETER,
    LENGTH,
    MAGNET_HEIGHT,
    LOWER,
    Argument("u_mass", "standard uncertainty of the mass", "g", "mass", low=0),
    Argument("u_diameter", "standard uncertainty of the diameter", "mm", "length", low=0),
    Argument("u_magnet_height", "standard uncertainty of the magnet height", "mm", "length", low=0),
    Argument("u_density", "standard uncertainty of the lower density", "kg/m3", "density", low=0),
    UPPER,
    ENDS,
    Argument(
        "u_upper_density",
        "standard uncertainty of the upper density",
        "kg/m3",
        "density",
        default=0,
        low=0,
    ),
)
_NOTES = (
    "A standard uncertainty is one standard deviation; twice the result covers about 95 %.",
    "A tolerance of +-a with nothing else known of it has the standard uncertainty a/sqrt(3).",
    "Length and scale are taken as exact.",
    UPRIGHT,
)

FUNCTIONS = (
    Function(
        name="LG_OFFSET_UNCERTAINTY",
        summary="Standard uncertainty of the reading offset",
        category=CATEGORY,
        arguments=_ARGUMENTS,
        result=Result("standard uncertainty", "mm", "length"),
        call="xlfuncs.gauge.uncertainty:offset_uncertainty",
        example=Example((280, 50, 200, 150, 850, 1, 0.1, 0.5, 5), 1.42594983),
        source=GUM,
        notes=_NOTES,
    ),
    Function(
        name="LG_OFFSET_CONTRIBUTIONS",
        summary="What mass, diameter, magnet height and both densities each contribute to that uncertainty",
        category=CATEGORY,
        arguments=_ARGUMENTS,
        result=Result(
            "contributions of mass, diameter, magnet height, density, upper density",
            "mm",
            "length",
            shape="row",
        ),
        call="xlfuncs.gauge.uncertainty:offset_contributions",
        example=Example(
            (280, 50, 200, 150, 850, 1, 0.1, 0.5, 5), (0.59917155, 0.67107751, 0.5, 0.98690494, 0)
        ),
        source=GUM,
        notes=("The largest of the five is the datum to ask for.", *_NOTES),
    ),
)
