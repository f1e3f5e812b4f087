"""Declarations: what adds to the float balance, and the sum of it."""

from xlfuncs.worksheet.functions.floats import (
    CATEGORY,
    DIAMETER,
    ENDS,
    LENGTH,
    LOWER,
    MAGNET_HEIGHT,
    MASS,
    UPPER,
)
from xlfuncs.worksheet.functions.response import BORE, RATE, VISCOSITY
from xlfuncs.worksheet.spec import Argument, Example, Function, Result

NOZZLE_BORE = Argument(
    "nozzle_bore", "inside diameter of the connection to the vessel", "mm", "length", low=0
)
NOZZLE_LENGTH = Argument("nozzle_length", "length of that connection", "mm", "length", low=0)
TENSION = Argument(
    "surface_tension",
    "surface tension, at an interface the interfacial tension, as 0.072 or '72 mN/m'",
    "N/m",
    "surface_tension",
    low=0,
)
DRAG = Argument(
    "drag_force",
    "force that holds the float: friction, deposits, drag of magnetic followers and switches",
    "N",
    "force",
    default=0,
    low=0,
)

FLUX = Argument(
    "flux", "flux density of the magnet at flux_distance, in mT or as needed_flux", kind="number", low=0
)
FLUX_DISTANCE = Argument(
    "flux_distance", "from the middle of the magnet to where that was measured", "mm", "length", low=0
)
NEEDED_FLUX = Argument(
    "needed_flux", "flux density that turns the indicator, in the same unit", kind="number", low=0
)
DIPOLE = "dipole field: falls with the third power of the distance"
FAR = "From about twice the magnet's size away; iron between or behind changes the field."


def _open(argument: Argument) -> Argument:
    """The same argument, left out when blank."""
    return Argument(
        argument.name,
        argument.meaning,
        argument.unit,
        argument.quantity,
        default=None,
        low=argument.low,
        liquid=argument.liquid,
    )


def _density(name: str, meaning: str, **more: object) -> Argument:
    return Argument(name, meaning, "kg/m3", "density", low=0, **more)  # type: ignore[arg-type]


def _u(name: str, meaning: str, unit: str, quantity: str) -> Argument:
    return Argument(name, f"standard uncertainty of the {meaning}", unit, quantity, default=0, low=0)


WORST = (
    "sum of the effects at every pair of lowest and highest densities: Archimedes' principle; hydrostatics;"
    " Bird, Stewart and Lightfoot, problem 2C.4; Darcy and Weisbach; JCGM 100:2008"
)

FUNCTIONS = (
    Function(
        name="LG_WORST_READING",
        summary="Between which limits the indicator may stand at a level, with the share of each effect",
        category=CATEGORY,
        arguments=(
            Argument("level", "level in the vessel above the lower connection", "mm", "length"),
            MASS,
            DIAMETER,
            LENGTH,
            MAGNET_HEIGHT,
            _density("lower_density_min", "lowest density of the (lower) liquid", liquid="surely"),
            _density("lower_density_max", "highest; the same when blank", default=None, liquid="surely"),
            _density("upper_density_min", "lowest density above the surface", default=0, liquid="maybe"),
            _density("upper_density_max", "highest; the same when blank", default=None),
            ENDS,
            DRAG,
            _open(VISCOSITY),
            _open(BORE),
            Argument("level_rate", "rate at which the level moves", "mm/s", "velocity", default=10, low=0),
            _open(NOZZLE_BORE),
            _open(NOZZLE_LENGTH),
            _open(TENSION),
            Argument(
                "temperature", "of float and scale; 20 degC when blank", "degC", "temperature", default=None
            ),
            Argument("float_material", "metal of the float, for its growth", kind="text", default=""),
            Argument("chamber_material", "metal of chamber and scale", kind="text", default=""),
            _u("u_mass", "mass", "g", "mass"),
            _u("u_diameter", "diameter", "mm", "length"),
            _u("u_magnet_height", "magnet height", "mm", "length"),
            _u("u_density", "lower density", "kg/m3", "density"),
            _density("vessel_density", "of the liquid in the vessel, where it differs", default=None),
        ),
        result=Result("effect, lowest, highest, remark", shape="table"),
        call="xlfuncs.gauge.reading_table:reading_table",
        example=Example(
            (500, 280, 50, 200, 168, 850, None, 0, None, "flat", 0.05, 20, 60),
            (
                ("effect", "lowest, mm", "highest, mm", "remark"),
                ("reading", 496.0116686, 504.4519690, "worst of every case"),
                ("level", 500, 500, "in the vessel"),
                ("chamber", 0, 0, "level in the chamber less that in the vessel"),
                ("offset", 0.23196587, 0.23196587, "float balance at the case's densities"),
                ("heat", 0, 0, "float and scale at temperature"),
                ("wear", 0, 0, "loss of wall"),
                ("tilt", -0.000293827911, 0, "the float leans in its bore"),
                ("friction", -3.05492472, 3.05492472, "what holds the float"),
                ("capillary", 0, 0, "contact line"),
                ("movement", -1.16507868, 1.16507868, "the moving liquid, and the loss in the connections"),
                ("uncertainty", 0, 0, "twice the standard uncertainty"),
                ("not counted", "", "", "heat: temperature not stated"),
                ("not counted", "", "", "capillary: surface tension not stated"),
                (
                    "not counted",
                    "",
                    "",
                    "movement through the connections: nozzle bore and nozzle length not stated",
                ),
                ("not counted", "", "", "coupling of magnet and indicator: flux not stated"),
            ),
        ),
        source=WORST,
        notes=(
            "Each effect has the limits of the float: no shift beyond its ride height or its immersion.",
            "What is not stated is not counted, and is named below the sum.",
            "The chamber fills and empties through its connections: its liquid follows the level.",
            "Eccentric flow and the drag of an unknown follower are left out.",
            "Whether the magnet turns the indicator: LG_MAGNET_REACH and LG_FOLLOW_SPEED.",
        ),
    ),
    Function(
        name="LG_FLOAT_STABILITY",
        summary="Metacentric height of the float: negative, and it leans on the wall of the chamber",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            Argument(
                "centre_of_gravity",
                "centre of gravity above the float's bottom, magnets and ballast included",
                "mm",
                "length",
                low=0,
            ),
            LOWER,
            UPPER,
            ENDS,
        ),
        result=Result("metacentric height", "mm", "length"),
        call="xlfuncs.gauge.stability:metacentric_height",
        example=Example((280, 50, 200, 100, 850), -15.18463746),
        source="hydrostatics of floating bodies: metacentre above the centre of buoyancy by I/V",
        notes=("For small angles; the waterline is that of the float at rest.",),
    ),
    Function(
        name="LG_FLOAT_TILT",
        summary="Angle by which the float can lean until both rims touch the chamber",
        category=CATEGORY,
        arguments=(DIAMETER, LENGTH, BORE),
        result=Result("angle", "deg", "angle"),
        call="xlfuncs.gauge.stability:greatest_tilt",
        example=Example((50, 200, 60), 2.884150790),
        source="geometry: D cos a + L sin a = bore",
        notes=("Flat ends; a float with curved ones leans a little more.",),
    ),
    Function(
        name="LG_FLOAT_PERIOD",
        summary="Time of one swing of a displaced float, without damping",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, LOWER, BORE, UPPER, ENDS),
        result=Result("period", "s", "time"),
        call="xlfuncs.gauge.stability:float_period",
        example=Example((280, 50, 200, 850, 60), 0.8218151410),
        source="spring and mass: restoring stiffness, mass of the float and of the liquid in the gap",
        notes=(
            "A level that moves in the same time makes the float swing beyond it.",
            "In the time of a swing no liquid leaves the chamber: what the float displaces rises beside it.",
        ),
    ),
    Function(
        name="LG_COLUMN_PERIOD",
        summary="Time of one swing of the column between chamber and vessel, without damping",
        category=CATEGORY,
        arguments=(
            Argument("level", "level in the chamber above the lower connection", "mm", "length", low=0),
            BORE,
            NOZZLE_BORE,
            NOZZLE_LENGTH,
        ),
        result=Result("period", "s", "time"),
        call="xlfuncs.gauge.stability:column_period",
        example=Example((500, 60, 24, 200), 2.654230008),
        source="oscillating column (U-tube) with the connection's faster liquid",
        notes=("The vessel is taken as wide.",),
    ),
    Function(
        name="LG_CAPILLARY_BAND",
        summary="How far the contact line can draw or lift the float, either way",
        category=CATEGORY,
        arguments=(
            DIAMETER,
            LOWER,
            TENSION,
            UPPER,
            Argument(
                "contact_angle",
                "angle of contact: 0 where the liquid wets the float",
                "deg",
                "angle",
                default=0,
                low=0,
                high=180,
            ),
            _open(MASS),
            _open(LENGTH),
            ENDS,
        ),
        result=Result("half the band", "mm", "length"),
        call="xlfuncs.gauge.capillary:capillary_band",
        example=Example((50, 1000, 0.03, 950), 4.894637822),
        source="statics: surface tension times the length of the contact line over the restoring stiffness",
        notes=(
            "4 surface_tension cos(contact_angle) / (diameter g (lower less upper density)); g 9.80665 m/s2.",
            "That holds while the surface is at the straight part; with mass and length curved ends count.",
            "No number where the float is drawn under or lifted out, without a length above the diameter.",
        ),
    ),
    Function(
        name="LG_SURFACE_TENSION",
        summary="Surface tension of water against its vapour",
        category="Fluid",
        arguments=(Argument("temperature", "temperature of the water", "degC", "temperature"),),
        result=Result("surface tension", "N/m", "surface_tension"),
        call="xlfuncs.gauge.capillary:water_surface_tension",
        example=Example((20,), 0.0727361404),
        source="IAPWS R1-76(2014)",
        notes=("Dirt and surfactants lower it, often to less than half.",),
    ),
    Function(
        name="LG_NOZZLE_LAG",
        summary="How far the chamber's level stays behind the vessel's by the loss in the connections",
        category=CATEGORY,
        arguments=(
            BORE,
            NOZZLE_BORE,
            NOZZLE_LENGTH,
            LOWER,
            VISCOSITY,
            RATE,
            Argument(
                "loss_coefficient",
                "of entrance, outlet and open valve together; 1.5, without a valve, when blank",
                kind="number",
                default=None,
                low=0,
            ),
            UPPER,
            Argument(
                "connection_distance",
                "centre to centre of the connections: no chamber is behind by more; 20 m when blank",
                "mm",
                "length",
                default=None,
                low=0,
            ),
        ),
        result=Result("lag of the chamber", "mm", "length"),
        call="xlfuncs.gauge.nozzle:nozzle_lag",
        example=Example((60, 24, 200, 850, 200, 10), 16.96077461),
        source="Darcy and Weisbach; friction factor by Churchill (1977), laminar by Hagen and Poiseuille",
        notes=(
            "A rising level is read low by it, a falling one high.",
            "Developed flow; the upper connection's loss is left out.",
        ),
    ),
    Function(
        name="LG_MAGNET_REACH",
        summary="Largest distance from the magnet at which an indicator gets the flux that it needs",
        category=CATEGORY,
        arguments=(FLUX, FLUX_DISTANCE, NEEDED_FLUX),
        result=Result("distance from the middle of the magnet", "mm", "length"),
        call="xlfuncs.gauge.coupling:magnet_reach",
        example=Example((4, 30, 1), 47.62203156),
        source=DIPOLE,
        notes=(
            FAR,
            "The float may stand at the far wall of its chamber: take off half of bore less diameter.",
        ),
    ),
    Function(
        name="LG_FOLLOW_SPEED",
        summary="Highest speed of the float at which an indicator beside its path still turns",
        category=CATEGORY,
        arguments=(
            FLUX,
            FLUX_DISTANCE,
            NEEDED_FLUX,
            Argument("distance", "from the middle of the magnet to what turns", "mm", "length", low=0),
            Argument("turning_time", "how long it must have its flux", "s", "time", low=0),
            Argument(
                "magnetised",
                "axis of the magnet: along its path, or across, towards the indicator",
                kind="choice",
                default="along",
                choices=("along", "across"),
            ),
        ),
        result=Result("speed", "mm/s", "velocity"),
        call="xlfuncs.gauge.coupling:follow_speed",
        example=Example((4, 30, 1, 35, 0.02), 1533.811907),
        source=DIPOLE,
        notes=(FAR,),
    ),
    Function(
        name="LG_HOT_LENGTH",
        summary="Length of a metal part at a temperature",
        category=CATEGORY,
        arguments=(
            Argument("length", "length when cold", "mm", "length", low=0),
            Argument("material", "metal by name: 316L, 304L, titanium grade 2, alloy 625", kind="text"),
            Argument("temperature", "temperature of the part", "degC", "temperature"),
            Argument(
                "reference_temperature",
                "temperature at which it has that length",
                "degC",
                "temperature",
                default=20,
            ),
        ),
        result=Result("length", "mm", "length"),
        call="xlfuncs.gauge.hot:hot_length",
        example=Example((500, "316L", 300), 502.38),
        source=(
            "mean coefficients of EN 10088-1 (stainless steels; below 20 degC NIST's fit) and of public data"
            " sheets"
        ),
        notes=(
            "From -196 degC for stainless steels and titanium; a scale that grows shows fewer millimetres.",
        ),
    ),
    Function(
        name="LG_GAS_DENSITY",
        summary="Density of the gas above a liquid: nitrogen, air, methane, hydrogen and other pure gases",
        category="Fluid",
        arguments=(
            Argument("gas", "name of a pure gas, or air", kind="text"),
            Argument("temperature", "temperature of the gas", "degC", "temperature"),
            Argument("pressure", "pressure", "barg", "pressure_absolute"),
        ),
        result=Result("density", "kg/m3", "density"),
        call="xlfuncs.gauge.density:gas_density",
        example=Example(("nitrogen", 20, "50 bara"), 57.81458, 1e-5),
        source="reference equations of state in CoolProp",
        notes=(
            "A plain number is gauge pressure in bar; an absolute one is written with its unit, '50 bara'.",
            "A mixture other than dry air gives no result: state its density.",
        ),
    ),
)
