"""Declarations: level, current and the loop."""

from xlfuncs.data import load
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Level, current, switches"

FAILURE_CURRENT: float = load("signal")["loop"]["failure_current"]
"""mA."""

LEVEL = Argument("level", "level, from the same zero as lrv and urv", "mm", "length")
CURRENT = Argument("current", "loop current", "mA", "current", low=0)
LRV = Argument("lrv", "lower range value: the lower end of the range", "mm", "length")
URV = Argument("urv", "upper range value: the upper end of the range", "mm", "length")
REVERSE = Argument("reverse", "TRUE where the current falls as the level rises", kind="flag", default=False)
PITCH = Argument("pitch", "distance from one switch or sensor of the chain to the next", "mm", "length")
OVERLAP = Argument(
    "overlap",
    "TRUE where the magnet closes one and two neighbouring switches in turn",
    kind="flag",
    default=False,
)

LINE = "IEC 60381-1 (4 to 20 mA), NAMUR NE 43 (3.8 to 20.5 mA)"
RANGE = "lrv is the lower level and urv the higher one, also for a falling signal: reverse says which way."

FUNCTIONS = (
    Function(
        name="LG_LEVEL_TO_CURRENT",
        summary="Loop current for a level",
        category=CATEGORY,
        arguments=(LEVEL, LRV, URV, REVERSE),
        result=Result("loop current", "mA", "current"),
        call="xlfuncs.gauge.signal:level_to_current",
        example=Example((372.5, 0, 1000), 9.96),
        source=LINE,
        notes=(
            RANGE,
            "A level for which the current would leave 3.8 to 20.5 mA gives a reason, not a number.",
        ),
    ),
    Function(
        name="LG_CURRENT_TO_LEVEL",
        summary="Level that a loop current states",
        category=CATEGORY,
        arguments=(CURRENT, LRV, URV, REVERSE),
        result=Result("level", "mm", "length"),
        call="xlfuncs.gauge.signal:current_to_level",
        example=Example((13.8, 0, 1000), 612.5),
        source=LINE,
        notes=(RANGE, "A current outside 3.8 to 20.5 mA states no level and gives a reason."),
    ),
    Function(
        name="LG_CURRENT_STATUS",
        summary="What a loop current means: measuring, below range, above range, failure low or failure high",
        category=CATEGORY,
        arguments=(CURRENT,),
        result=Result("status", text=True),
        call="xlfuncs.gauge.signal:current_status",
        example=Example((3.6,), "failure low"),
        source="NAMUR NE 43, edition 2021-07-26",
        notes=(
            "A device set to other failure currents than NE 43 names needs its own limits.",
            "Safety functions follow the device's safety manual, not this text.",
        ),
    ),
    Function(
        name="LG_CALIBRATION_TABLE",
        summary="Evenly spaced calibration points: percent, level, current and its limits",
        category=CATEGORY,
        arguments=(
            LRV,
            URV,
            Argument(
                "points", "number of points, both ends included", kind="number", default=5, low=2, high=101
            ),
            Argument(
                "tolerance",
                "permitted deviation of the current, percent of 16 mA",
                "%",
                "percent",
                default=0.5,
                low=0,
                high=100,
            ),
            REVERSE,
        ),
        result=Result("percent, level in mm, current in mA, low and high limit in mA", shape="table"),
        call="xlfuncs.gauge.signal:calibration_table",
        example=Example(
            (0, 1000, 3),
            [
                ["percent", "level, mm", "current, mA", "low limit, mA", "high limit, mA"],
                [0.0, 0.0, 4.0, 3.92, 4.08],
                [50.0, 500.0, 12.0, 11.92, 12.08],
                [100.0, 1000.0, 20.0, 19.92, 20.08],
            ],
        ),
        source="IEC 60381-1; five points and 0.5 % are common practice, no source",
        notes=(RANGE, "Take the points with the level rising, and again falling, to see hysteresis."),
    ),
    Function(
        name="LG_LOOP_RESISTANCE",
        summary="Largest loop resistance with which the transmitter still signals failure",
        category=CATEGORY,
        arguments=(
            Argument("supply", "voltage of the supply", "V", "voltage", low=0),
            Argument(
                "minimum_voltage", "lowest voltage at the transmitter's terminals", "V", "voltage", low=0
            ),
            Argument(
                "failure_current",
                "largest current that the transmitter draws",
                "mA",
                "current",
                default=FAILURE_CURRENT,
                low=20,
            ),
        ),
        result=Result("loop resistance", "ohm", "resistance"),
        call="xlfuncs.gauge.signal:loop_resistance",
        example=Example((24, 12, 22.5), 533.333333),
        source="Ohm's law, at the failure current, not at 20 mA",
        notes=(
            "Use the lowest supply voltage that the loop sees, at the barrier's output where there is one.",
            "In a hazardous area the certificates (entity parameters) and the local code decide as well.",
        ),
    ),
    Function(
        name="LG_RERANGED_CURRENT",
        summary="Current after a change of range, for the level that gave a current before it",
        category=CATEGORY,
        arguments=(
            CURRENT,
            LRV,
            URV,
            Argument("new_lrv", "lower range value after the change", "mm", "length"),
            Argument("new_urv", "upper range value after the change", "mm", "length"),
            REVERSE,
            Argument("new_reverse", "reverse after the change", kind="flag", default=False),
        ),
        result=Result("loop current", "mA", "current"),
        call="xlfuncs.gauge.signal:reranged_current",
        example=Example((12, 0, 1000, 0, 2000), 8.0),
        source=LINE,
        notes=(RANGE, "The range of the control system's input has to change with the transmitter's."),
    ),
    Function(
        name="LG_RANGE_FOUND",
        summary="Levels at 4 and 20 mA as two readings of a transmitter show them",
        category=CATEGORY,
        arguments=(
            Argument("level_1", "first level, read at the gauge", "mm", "length"),
            Argument("current_1", "current at the first level", "mA", "current", low=0),
            Argument("level_2", "second level, read at the gauge", "mm", "length"),
            Argument("current_2", "current at the second level", "mA", "current", low=0),
        ),
        result=Result("level at 4 mA and level at 20 mA", "mm", "length", shape="row"),
        call="xlfuncs.gauge.signal:range_found",
        example=Example((250, 8, 750, 16), (0.0, 1000.0)),
        source=LINE,
        notes=("Take the readings far apart: an error of the current counts more, the closer they are.",),
    ),
    Function(
        name="LG_CURRENT_STEP",
        summary="Change of the current from one step of a stepped sensor to the next",
        category=CATEGORY,
        arguments=(PITCH, LRV, URV, OVERLAP),
        result=Result("step of the current", "mA", "current"),
        call="xlfuncs.gauge.signal:current_step",
        example=Example((10, 0, 1000), 0.16),
        source=LINE,
    ),
    Function(
        name="LG_STEP_UNCERTAINTY",
        summary="Standard uncertainty of a level known to within one step of the sensor",
        category=CATEGORY,
        arguments=(PITCH, OVERLAP),
        result=Result("standard uncertainty", "mm", "length"),
        call="xlfuncs.gauge.signal:step_uncertainty",
        example=Example((10,), 2.88675135),
        source="JCGM 100:2008 (GUM), 4.3.7 and F.2.2.1",
    ),
)
