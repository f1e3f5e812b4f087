"""Declarations: how the float follows the level."""

from xlfuncs.worksheet.functions.floats import CATEGORY, DIAMETER, ENDS, LENGTH, LOWER, MASS, UPPER
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

VISCOSITY = Argument("viscosity", "dynamic viscosity of the liquid", "mPa.s", "dynamic_viscosity", low=0)
BORE = Argument("chamber_bore", "inside diameter of the chamber", "mm", "length", low=0)
RATE = Argument("level_rate", "rate at which the level moves", "mm/s", "velocity", low=0)

ANNULUS = (
    "momentum balance of the annulus: Bird, Stewart and Lightfoot, 2nd ed., problem 2C.4;"
    " Lohrenz, Swift and Kurata (1960)"
)
LAMINAR = (
    "Laminar flow in a coaxial gap, Re up to 2000; end effects, the upper fluid's drag and touching the"
    " wall are left out."
)
BOUND = (
    "The liquid is taken as at rest, which is the upper bound: where it moves with the level the float runs"
    " ahead instead, by LG_FLOAT_LEAD."
)
SMALL = (
    "Linear about the rest position, with the drag of the immersion there; beyond the float's ride height or"
    " immersion there is no number: it is drawn under or lifted out."
)

_MOTION = (MASS, DIAMETER, LENGTH, LOWER, VISCOSITY, BORE, RATE, UPPER, ENDS)

FUNCTIONS = (
    Function(
        name="LG_FLOAT_LAG",
        summary="How far the float stays behind a moving level in a viscous liquid at rest",
        category=CATEGORY,
        arguments=_MOTION,
        result=Result("lag", "mm", "length"),
        call="xlfuncs.gauge.response:lag",
        example=Example((280, 50, 200, 850, 50, 60, 10), 16.1522272),
        source=ANNULUS,
        notes=(BOUND, LAMINAR, SMALL, "A rising level is read low by it, a falling one high."),
    ),
    Function(
        name="LG_FLOAT_LEAD",
        summary="How far a viscous liquid that moves with the level pushes the float ahead of it",
        category=CATEGORY,
        arguments=_MOTION,
        result=Result("lead", "mm", "length"),
        call="xlfuncs.gauge.response:lead",
        example=Example((280, 50, 200, 850, 50, 60, 10), 2.91269671),
        source=ANNULUS + "; with no flow past the float",
        notes=(
            "Holds for a chamber that fills and empties through its lower connection.",
            LAMINAR,
            SMALL,
            "A rising level is read high by it, a falling one low.",
        ),
    ),
    Function(
        name="LG_VISCOSITY_LIMIT",
        summary="Dynamic viscosity at which the float lags by a given amount",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            LOWER,
            BORE,
            RATE,
            Argument("lag", "lag that is accepted", "mm", "length", low=0),
            UPPER,
            ENDS,
        ),
        result=Result("dynamic viscosity", "mPa.s", "dynamic_viscosity"),
        call="xlfuncs.gauge.response:viscosity_limit",
        example=Example((280, 50, 200, 850, 60, 10, 10), 30.9554833),
        source=ANNULUS,
        notes=(BOUND, LAMINAR, SMALL),
    ),
    Function(
        name="LG_FLOAT_TIME_CONSTANT",
        summary="Time in which a displaced float comes back to 37 % of its displacement",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, LOWER, VISCOSITY, BORE, UPPER, ENDS),
        result=Result("time constant", "s", "time"),
        call="xlfuncs.gauge.response:time_constant",
        example=Example((280, 50, 200, 850, 200, 60), 6.46089088),
        source=ANNULUS,
        notes=(
            "Holds while the float creeps back; where it would swing instead the cell says so.",
            LAMINAR,
        ),
    ),
    Function(
        name="LG_FRICTION_BAND",
        summary="How far the level moves, either way, before a float held by friction follows",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            LOWER,
            Argument(
                "drag_force",
                "force that holds the float: friction, deposits, drag of magnetic followers and switches",
                "N",
                "force",
                low=0,
            ),
            UPPER,
            ENDS,
        ),
        result=Result("half the dead band", "mm", "length"),
        call="xlfuncs.gauge.response:friction_band",
        example=Example((280, 50, 200, 850, 0.05), 3.05492472),
        source="Archimedes' principle: force over restoring stiffness",
        notes=(
            "Readings on a rising and a falling level differ by twice the result.",
            "A force that neither buoyancy nor weight overcomes holds the float fast: no number then.",
        ),
    ),
)
