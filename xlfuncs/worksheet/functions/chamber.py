"""Declarations: level in a chamber against the level in its vessel."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Level, current, switches"

VESSEL_LEVEL = Argument("vessel_level", "level in the vessel above the lower connection", "mm", "length")
DENSITIES = (
    Argument(
        "vessel_density", "density of the liquid in the vessel", "kg/m3", "density", low=0, liquid="surely"
    ),
    Argument(
        "chamber_density",
        "density of the liquid in the chamber, at its own temperature",
        "kg/m3",
        "density",
        low=0,
        liquid="surely",
    ),
    Argument(
        "upper_density",
        "density of the vapour, or of the liquid over an interface",
        "kg/m3",
        "density",
        default=0,
        low=0,
    ),
)

INTERFACE = (
    Argument(
        "chamber_upper_density",
        "density of the upper fluid in the chamber; as in the vessel when blank",
        "kg/m3",
        "density",
        default=None,
        low=0,
    ),
    Argument(
        "connection_distance",
        "centre to centre of the process connections; needed where the upper fluids differ",
        "mm",
        "length",
        default=None,
        low=0,
    ),
)

HYDROSTATICS = "hydrostatics: equal pressure at the lower connection"
OPEN = (
    "Heights above the lower connection; it must be covered, and the upper one above both levels.",
    "At an interface the lower connection is in the lower liquid, the upper one in the upper.",
    "Both connections open and nothing flowing; each column of uniform density.",
)

FUNCTIONS = (
    Function(
        name="LG_CHAMBER_LEVEL",
        summary="Level in the chamber for a level in the vessel, when their densities differ",
        category=CATEGORY,
        arguments=(VESSEL_LEVEL, *DENSITIES, *INTERFACE),
        result=Result("chamber level", "mm", "length"),
        call="xlfuncs.gauge.chamber:chamber_level",
        example=Example((500, 798.3678, 960.1703, 20.08995), 413.942197, 1e-8),
        source=HYDROSTATICS,
        notes=OPEN,
    ),
    Function(
        name="LG_VESSEL_LEVEL",
        summary="Level in the vessel that a level in the chamber stands for",
        category=CATEGORY,
        arguments=(
            Argument("chamber_level", "level in the chamber above the lower connection", "mm", "length"),
            *DENSITIES,
            *INTERFACE,
        ),
        result=Result("vessel level", "mm", "length"),
        call="xlfuncs.gauge.chamber:vessel_level",
        example=Example((413.942197, 798.3678, 960.1703, 20.08995), 500, 1e-8),
        source=HYDROSTATICS,
        notes=OPEN,
    ),
    Function(
        name="LG_CHAMBER_ERROR",
        summary="Chamber level minus vessel level: positive when the chamber stands too high",
        category=CATEGORY,
        arguments=(VESSEL_LEVEL, *DENSITIES, *INTERFACE),
        result=Result("error", "mm", "length"),
        call="xlfuncs.gauge.chamber:chamber_error",
        example=Example((500, 798.3678, 960.1703, 20.08995), -86.057803, 1e-8),
        source=HYDROSTATICS,
        notes=OPEN,
    ),
    Function(
        name="LG_CHAMBER_TABLE",
        summary="Chamber level and its error over the range between the connections",
        category=CATEGORY,
        arguments=(
            Argument(
                "connection_distance", "centre to centre of the process connections", "mm", "length", low=0
            ),
            *DENSITIES,
            Argument("points", "number of levels, evenly spaced", kind="number", default=5, low=2, high=101),
        ),
        result=Result("vessel level, chamber level, error", shape="table"),
        call="xlfuncs.gauge.chamber:chamber_table",
        example=Example(
            (1000, 800, 960, 0, 3),
            (
                ("vessel level, mm", "chamber level, mm", "error, mm", "error, percent"),
                (0, 0, 0, 0),
                (500, 416.6666666667, -83.3333333333, -8.33333333333),
                (1000, 833.3333333333, -166.6666666667, -16.66666666667),
            ),
        ),
        source=HYDROSTATICS,
        notes=(*OPEN, "A warmer chamber overflows at the upper connection and stands there."),
    ),
)
