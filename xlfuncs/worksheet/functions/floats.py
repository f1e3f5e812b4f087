"""Declarations: the float balance."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Float and fluid"

MASS = Argument("mass", "mass of the float, magnets included", "g", "mass", low=0)
DIAMETER = Argument("diameter", "outside diameter of the float", "mm", "length", low=0)
LENGTH = Argument("length", "length of the float over all, ends included", "mm", "length", low=0)
MAGNET_HEIGHT = Argument("magnet_height", "magnet plane above the float's bottom", "mm", "length", low=0)
LOWER = Argument("lower_density", "density of the (lower) liquid", "kg/m3", "density", low=0, liquid="surely")
UPPER = Argument(
    "upper_density",
    "density of the vapour or the liquid above the surface",
    "kg/m3",
    "density",
    default=0,
    low=0,
    liquid="maybe",
)
ENDS = Argument(
    "ends",
    "shape of the ends: flat, hemispherical, elliptical (2:1), torispherical (DIN 28011) or korbbogen"
    " (DIN 28013), or bottom/top as in 'flat/hemispherical'",
    kind="choice",
    default="flat",
    choices=("flat", "hemispherical", "elliptical", "torispherical", "korbbogen"),
)

BALANCE = "Archimedes' principle (statics textbooks); volumes of cylinder, spherical and ellipsoidal cap"
UPRIGHT = "The float is taken as guided and upright in its chamber; tilt, wetting and friction are left out."

FUNCTIONS = (
    Function(
        name="LG_IMMERSION",
        summary="Depth of the float's bottom below the surface",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, LOWER, UPPER, ENDS),
        result=Result("immersion", "mm", "length"),
        call="xlfuncs.gauge.floats:immersion",
        example=Example((280, 50, 200, 850), 167.768034129810),
        source=BALANCE,
        notes=(UPRIGHT,),
    ),
    Function(
        name="LG_RIDE_HEIGHT",
        summary="Height of the float's top above the surface",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, LOWER, UPPER, ENDS),
        result=Result("ride height", "mm", "length"),
        call="xlfuncs.gauge.floats:ride_height",
        example=Example((350, 50, 250, 850, 5, "hemispherical"), 32.0964067894),
        source=BALANCE,
        notes=(UPRIGHT,),
    ),
    Function(
        name="LG_READING_OFFSET",
        summary="Indicated minus true level: positive reads high",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, MAGNET_HEIGHT, LOWER, UPPER, ENDS),
        result=Result("reading offset", "mm", "length"),
        call="xlfuncs.gauge.floats:reading_offset",
        example=Example((280, 50, 200, 150, "0.8 SG"), -28.4289172574),
        source=BALANCE,
        notes=(
            UPRIGHT,
            "The scale is taken to start at the bottom connection; a shifted scale adds its own offset.",
        ),
    ),
    Function(
        name="LG_INTERFACE_OFFSET",
        summary="Indicated minus true interface level of a float between two liquids",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            MAGNET_HEIGHT,
            LOWER,
            Argument(
                "upper_density", "density of the upper liquid", "kg/m3", "density", low=0, liquid="surely"
            ),
            ENDS,
            Argument(
                "layer_thickness",
                "thickness of the rag layer or emulsion between the liquids",
                "mm",
                "length",
                default=0,
                low=0,
            ),
            Argument(
                "layer_density",
                "density of that layer; when blank it falls from the lower to the upper liquid's",
                "kg/m3",
                "density",
                default=None,
                low=0,
                liquid="surely",
            ),
            Argument(
                "upper_thickness",
                "height of the upper liquid, from the top of that layer; it covers the float when blank",
                "mm",
                "length",
                default=None,
                low=0,
            ),
            Argument("gas_density", "density of the gas above it", "kg/m3", "density", default=0, low=0),
        ),
        result=Result("reading offset", "mm", "length"),
        call="xlfuncs.gauge.layers:interface_offset",
        example=Example((380, 50, 220, 90, 1000, 800), 2.33794600),
        source=BALANCE,
        notes=(
            UPRIGHT,
            "The true interface is the middle of the layer between the liquids.",
            "A thin upper liquid lets the float's top into the gas: state upper_thickness.",
        ),
    ),
    Function(
        name="LG_IMPLIED_DENSITY",
        summary="Lower density that explains an observed reading offset",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            MAGNET_HEIGHT,
            Argument("reading_offset", "indicated minus true level, as observed", "mm", "length"),
            UPPER,
            ENDS,
        ),
        result=Result("density", "kg/m3", "density"),
        call="xlfuncs.gauge.floats:implied_density",
        example=Example((280, 50, 200, 150, -17.768034129810), 850.0),
        source=BALANCE,
        notes=(UPRIGHT,),
    ),
    Function(
        name="LG_DENSITY_WINDOW",
        summary="Lowest and highest lower density for which the offset stays within a tolerance",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            MAGNET_HEIGHT,
            Argument("tolerance", "permitted reading offset, either way", "mm", "length", low=0),
            UPPER,
            ENDS,
        ),
        result=Result("lowest and highest density", "kg/m3", "density", shape="row"),
        call="xlfuncs.gauge.floats:density_window",
        example=Example((280, 50, 200, 167.768034129810, 10), (802.184899, 903.876588)),
        source=BALANCE,
        notes=(UPRIGHT, "At a lowest density equal to the float's mean density the float is just awash."),
    ),
    Function(
        name="LG_MAGNET_HEIGHT",
        summary="Magnet plane above the float's bottom for which the offset is zero",
        category=CATEGORY,
        arguments=(
            MASS,
            DIAMETER,
            LENGTH,
            Argument(
                "design_density",
                "density at which it shall read true",
                "kg/m3",
                "density",
                low=0,
                liquid="surely",
            ),
            UPPER,
            ENDS,
        ),
        result=Result("magnet height", "mm", "length"),
        call="xlfuncs.gauge.floats:magnet_height",
        example=Example((280, 50, 200, 850), 167.768034129810),
        source=BALANCE,
        notes=(UPRIGHT,),
    ),
    Function(
        name="LG_FLOAT_DENSITY",
        summary="Mean density of the float: it floats where this is below the liquid's",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, ENDS),
        result=Result("mean density", "kg/m3", "density"),
        call="xlfuncs.gauge.floats:float_density",
        example=Example((380, 50, 200), 967.662053),
        source=BALANCE,
    ),
    Function(
        name="LG_FLOAT_RESERVE",
        summary="Share of the float's volume above the surface, 0 to 1",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, LOWER, UPPER, ENDS),
        result=Result("share above the surface"),
        call="xlfuncs.gauge.floats:reserve",
        example=Example((280, 50, 200, 850), 0.161159829),
        source=BALANCE,
        notes=(UPRIGHT,),
    ),
    Function(
        name="LG_FLOAT_BUOYANCY",
        summary="Force left to push the float wholly under: what overcomes friction and deposits",
        category=CATEGORY,
        arguments=(MASS, DIAMETER, LENGTH, LOWER, UPPER, ENDS),
        result=Result("net buoyancy reserve", "N", "force"),
        call="xlfuncs.gauge.floats:net_buoyancy",
        example=Example((280, 50, 200, 850), 0.527541082),
        source=BALANCE,
        notes=(UPRIGHT,),
    ),
    Function(
        name="LG_FLOAT_STIFFNESS",
        summary="Restoring force per millimetre of displacement",
        category=CATEGORY,
        arguments=(DIAMETER, LOWER, UPPER),
        result=Result("stiffness", "N/mm", "stiffness"),
        call="xlfuncs.gauge.floats:stiffness",
        example=Example((50, 850), 0.0163670154),
        source=BALANCE,
        notes=("Holds while the surface is at the straight part of the float.",),
    ),
)
