"""Declarations: switches on the chamber."""

from xlfuncs.worksheet.functions.floats import LENGTH, MAGNET_HEIGHT
from xlfuncs.worksheet.functions.signal import CATEGORY
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

SET_POINT = Argument("set_point", "height of the switch above the lower connection", "mm", "length")
IMMERSION = Argument(
    "immersion", "depth of the float's bottom below the surface (LG_IMMERSION)", "mm", "length", low=0
)
DIFFERENTIAL = Argument(
    "differential", "travel of the float between acting and resetting", "mm", "length", low=0
)
ACTION = Argument(
    "action",
    "rising for a switch that acts on a rising level, falling for the other",
    kind="choice",
    default="rising",
    choices=("rising", "falling"),
)
DISTANCE = Argument(
    "connection_distance", "distance between the process connections, centre to centre", "mm", "length", low=0
)
ROOM_BELOW = Argument(
    "room_below", "how far the float's bottom can go below the lower connection", "mm", "length", low=0
)
ROOM_ABOVE = Argument(
    "room_above", "how far the float's top can go above the upper connection", "mm", "length", low=0
)

GEOMETRY = "geometry of a guided float: the switch acts when the magnet plane passes it"
ZERO = "Heights and levels count upwards from the centre line of the lower process connection."
SAFETY = "A switch of a safety function is tested with the real liquid; this is a check of the design."

FUNCTIONS = (
    Function(
        name="LG_SWITCH_LEVEL",
        summary="True level at which a switch on the chamber acts",
        category=CATEGORY,
        arguments=(SET_POINT, MAGNET_HEIGHT, IMMERSION),
        result=Result("level", "mm", "length"),
        call="xlfuncs.gauge.switches:switch_level",
        example=Example((500, 150, 167.768034), 517.768034),
        source=GEOMETRY,
        notes=(ZERO, SAFETY),
    ),
    Function(
        name="LG_SWITCH_SET_POINT",
        summary="Height at which to mount a switch that shall act at a true level",
        category=CATEGORY,
        arguments=(
            Argument("level", "true level at which it shall act", "mm", "length"),
            MAGNET_HEIGHT,
            IMMERSION,
        ),
        result=Result("height above the lower connection", "mm", "length"),
        call="xlfuncs.gauge.switches:set_point",
        example=Example((517.768034, 150, 167.768034), 500),
        source=GEOMETRY,
        notes=(ZERO, SAFETY),
    ),
    Function(
        name="LG_SWITCH_RESET",
        summary="True level at which a switch goes back",
        category=CATEGORY,
        arguments=(SET_POINT, MAGNET_HEIGHT, IMMERSION, DIFFERENTIAL, ACTION),
        result=Result("level", "mm", "length"),
        call="xlfuncs.gauge.switches:reset_level",
        example=Example((500, 150, 167.768034, 12), 505.768034),
        source=GEOMETRY,
        notes=(ZERO, SAFETY),
    ),
    Function(
        name="LG_FLOAT_TRAVEL",
        summary="Lowest and highest level that the float follows between its stops",
        category=CATEGORY,
        arguments=(IMMERSION, LENGTH, DISTANCE, ROOM_BELOW, ROOM_ABOVE),
        result=Result("lowest and highest level", "mm", "length", shape="row"),
        call="xlfuncs.gauge.switches:float_travel",
        example=Example((160, 200, 1000, 120, 20), (40, 980)),
        source=GEOMETRY,
        notes=(ZERO, "Limited to the levels between the connections, where chamber and vessel agree."),
    ),
    Function(
        name="LG_SWITCH_CHECK",
        summary="Whether a switch acts and resets within the float's travel",
        category=CATEGORY,
        arguments=(
            SET_POINT,
            MAGNET_HEIGHT,
            IMMERSION,
            LENGTH,
            DISTANCE,
            ROOM_BELOW,
            ROOM_ABOVE,
            Argument("differential", DIFFERENTIAL.meaning, DIFFERENTIAL.unit, "length", default=0, low=0),
            ACTION,
        ),
        result=Result("feasible, or what is wrong", text=True),
        call="xlfuncs.gauge.switches:switch_check",
        example=Example(
            (980, 150, 160, 200, 1000, 120, 20),
            "never acts: 990.0 mm is not below the highest level, 980.0 mm",
        ),
        source=GEOMETRY,
        notes=(ZERO, SAFETY),
    ),
)
