"""Declarations: heat loss, tracing, cooling and freezing."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Heat and ratings"

MAINTAIN = Argument("maintain_temperature", "temperature that the chamber is kept at", "degC", "temperature")
AMBIENT = Argument("ambient_temperature", "temperature of the surrounding air", "degC", "temperature")
OUTSIDE = Argument("outside_diameter", "outside diameter of the chamber", "mm", "length", low=0)
THICKNESS = Argument("insulation_thickness", "thickness of the insulation, 0 for none", "mm", "length", low=0)
CONDUCTIVITY = Argument(
    "conductivity",
    "conductivity of the insulation, or glass wool, rock wool, calcium silicate, cellular glass",
    "W/m/K",
    "conductivity",
    kind="named",
    default=0.04,
    low=0,
    high=0.5,
    slip=(0.5, "mW/m/K"),
)
"""Above 0.5 W/(m K) nothing insulates (common practice, no source)."""
WIND = Argument("wind", "wind across the chamber", "m/s", "velocity", default=0, low=0)
EMISSIVITY = Argument("emissivity", "of the cladding", kind="number", default=0.9, low=0, high=1)
START = Argument("start_temperature", "temperature of the contents when heating stops", "degC", "temperature")
WALL = Argument("wall", "wall thickness of the chamber", "mm", "length", low=0)
DENSITY = Argument("density", "density of the contents", "kg/m3", "density", low=0, liquid="surely")
HEAT_CAPACITY = Argument(
    "heat_capacity", "of the contents", "kJ/kg/K", "heat_capacity", low=0, high=20, slip=(20.0, "J/kg/K")
)
"""Only hydrogen and helium have more than 6 (common practice, no source)."""
LOSS = Argument("heat_loss", "heat loss at the lowest ambient temperature", "W/m", "power_per_length", low=0)
TRACER = Argument(
    "tracer_output", "output of the tracer at the maintain temperature", "W/m", "power_per_length", low=0
)
ALLOWANCE = Argument(
    "length_allowance",
    "plain length that loses as much as flanges, supports and indicator strip, over the traced length",
    "1",
    "ratio",
    default=0,
    low=0,
)
MARGIN = Argument("margin", "output over loss that is asked for", "1", "ratio", default=1.2, low=1)

BALANCE = (
    "conduction through a cylinder (ISO 12241); films of Churchill and Chu (1975) and of Churchill and"
    " Bernstein (1977), Stefan-Boltzmann radiation; air of the U.S. Standard Atmosphere, 1976"
)
COVER_ONLY = "Flanges, supports and the indicator strip lose heat as well: allow for them as extra length."
HAZARD = (
    "Tracing in hazardous areas follows the certificate, the maker's manual and the local code"
    " (IEC/IEEE 60079-30 series)."
)
STAGNANT = (
    "Heat in the wall and the outside film are left out, so that the time comes out short: on the safe side."
)
FILM_TEMPERATURE = "Natural convection is that of a vertical plate of 1 m; sun and rain are left out."

FUNCTIONS = (
    Function(
        name="LG_HEAT_LOSS",
        summary="Heat loss of an insulated vertical chamber per metre; negative where heat is gained",
        category=CATEGORY,
        arguments=(MAINTAIN, AMBIENT, OUTSIDE, THICKNESS, CONDUCTIVITY, WIND, EMISSIVITY),
        result=Result("heat loss", "W/m", "power_per_length"),
        call="xlfuncs.gauge.heat:heat_loss",
        example=Example((150, 20, 60.3, 50, 0.05), 38.8456348),
        source=BALANCE,
        notes=(COVER_ONLY, FILM_TEMPERATURE),
    ),
    Function(
        name="LG_SURFACE_TEMPERATURE",
        summary="Temperature of the cladding of an insulated vertical chamber",
        category=CATEGORY,
        arguments=(MAINTAIN, AMBIENT, OUTSIDE, THICKNESS, CONDUCTIVITY, WIND, EMISSIVITY),
        result=Result("surface temperature", "degC", "temperature"),
        call="xlfuncs.gauge.heat:surface_temperature",
        example=Example((150, 20, 60.3, 50, 0.05), 29.1060384),
        source=BALANCE,
        notes=(
            "Bare metal at flanges and the indicator strip is as hot as the chamber: guard against touch.",
            FILM_TEMPERATURE,
        ),
    ),
    Function(
        name="LG_INSULATION_CONDUCTIVITY",
        summary="Thermal conductivity of an insulation at its mean temperature",
        category=CATEGORY,
        arguments=(
            Argument("insulation", "glass wool, rock wool, calcium silicate or cellular glass", kind="text"),
            Argument("temperature", "mean temperature of the insulation", "degC", "temperature"),
        ),
        result=Result("conductivity", "W/m/K", "conductivity"),
        call="xlfuncs.gauge.heat:insulation_conductivity",
        example=Example(("glass wool", 60), 0.038),
        source="Thermal Insulation Handbook, Thermal Insulation Association of Southern Africa, 2001",
        notes=("The maker's declared value decides; wet or crushed insulation conducts several times more.",),
    ),
    Function(
        name="LG_TRACE_MARGIN",
        summary="Tracer output over heat loss: 1 is just enough",
        category=CATEGORY,
        arguments=(TRACER, LOSS, ALLOWANCE),
        result=Result("ratio of output to loss"),
        call="xlfuncs.gauge.heat:trace_margin",
        example=Example((30, 20, 0.25), 1.2),
        source="definition",
        notes=(
            "A self-limiting tracer gives less when warm: use its output at the maintain temperature.",
            HAZARD,
        ),
    ),
    Function(
        name="LG_TRACE_OUTPUT",
        summary="Tracer output that is needed per metre, with allowance and margin",
        category=CATEGORY,
        arguments=(LOSS, ALLOWANCE, MARGIN),
        result=Result("tracer output", "W/m", "power_per_length"),
        call="xlfuncs.gauge.heat:trace_output",
        example=Example((20, 0.25), 30),
        source="definition; the margin 1.2 is common practice, no source",
        notes=(
            "A self-limiting tracer gives less when warm: use its output at the maintain temperature.",
            HAZARD,
        ),
    ),
    Function(
        name="LG_TRACE_CHECK",
        summary="'adequate', or the first reason why tracing is not",
        category=CATEGORY,
        arguments=(
            Argument("pour_point", "pour or freezing point of the liquid", "degC", "temperature"),
            Argument("minimum_ambient", "lowest ambient temperature", "degC", "temperature"),
            MAINTAIN,
            Argument(
                "saturation_temperature",
                "boiling point at the lowest operating pressure",
                "degC",
                "temperature",
            ),
            Argument(
                "limit_temperature",
                "lowest limit of float, magnet, electronics and temperature class",
                "degC",
                "temperature",
            ),
            TRACER,
            LOSS,
            MARGIN,
        ),
        result=Result("verdict", text=True),
        call="xlfuncs.gauge.heat:trace_check",
        example=Example((10, -20, 60, 100, 150, 30, 20), "adequate"),
        source="common practice, no source; the principles are those of IEC/IEEE 60079-30-2",
        notes=(
            "The highest temperature with the tracer stuck on is not judged here.",
            HAZARD,
        ),
    ),
    Function(
        name="LG_MAINTAIN_WINDOW",
        summary="Lowest and highest temperature at which a traced chamber may be kept",
        category=CATEGORY,
        arguments=(
            Argument("freezing_temperature", "freezing or pour point of the liquid", "degC", "temperature"),
            Argument(
                "saturation_temperature",
                "boiling point at the lowest operating pressure",
                "degC",
                "temperature",
            ),
            Argument(
                "viscosity_temperature",
                "temperature below which the liquid is too viscous for the float",
                "degC",
                "temperature",
                default=None,
            ),
            Argument("float_limit", "limit of the float", "degC", "temperature", default=None),
            Argument("magnet_limit", "limit of the float's magnet", "degC", "temperature", default=None),
            Argument(
                "electronics_limit", "limit of switch or transmitter", "degC", "temperature", default=None
            ),
            Argument("surface_limit", "limit of the temperature class", "degC", "temperature", default=None),
            Argument("margin", "kept from each bound", "K", "temperature_difference", default=5, low=0),
        ),
        result=Result("lowest and highest temperature", "degC", "temperature", shape="row"),
        call="xlfuncs.gauge.heat:maintain_window",
        example=Example((0, 100, None, None, 80), (5.0, 75.0)),
        source="definition; the margin of 5 K is common practice, no source",
        notes=("A blank bound is left out: an unknown limit is not a safe one.", HAZARD),
    ),
    Function(
        name="LG_COOLED_TEMPERATURE",
        summary="Temperature of a stagnant chamber some time after its tracing has failed",
        category=CATEGORY,
        arguments=(
            Argument("time", "time since heating stopped", "h", "time", low=0),
            START,
            AMBIENT,
            OUTSIDE,
            WALL,
            THICKNESS,
            DENSITY,
            HEAT_CAPACITY,
            CONDUCTIVITY,
        ),
        result=Result("temperature", "degC", "temperature"),
        call="xlfuncs.gauge.heat:cooled_temperature",
        example=Example((1, 60, -20, 60.3, 3.9, 50, 998, 4.182), 52.2116494),
        source="lumped capacity (textbooks; ISO 12241)",
        notes=("Valid down to the freezing point.", STAGNANT),
    ),
    Function(
        name="LG_FREEZE_TIME",
        summary="Time until an untraced, stagnant chamber reaches freezing, or with latent heat has frozen",
        category=CATEGORY,
        arguments=(
            START,
            Argument("freezing_temperature", "freezing point of the contents", "degC", "temperature"),
            AMBIENT,
            OUTSIDE,
            WALL,
            THICKNESS,
            DENSITY,
            HEAT_CAPACITY,
            Argument(
                "latent_heat",
                "latent heat of freezing, or the share of it that may freeze",
                "kJ/kg",
                "latent_heat",
                default=0,
                low=0,
            ),
            CONDUCTIVITY,
        ),
        result=Result("time", "h", "time"),
        call="xlfuncs.gauge.heat:freeze_time",
        example=Example((5, 0, -18, 60.3, 3.9, 25, 1000, 4.19, 0, 0.035), 1.69589893),
        source="ISO 12241; ASHRAE Handbook Fundamentals (2019), time to freeze",
        notes=(
            STAGNANT,
            "Dead legs, drains and flanges freeze first.",
            "'unlimited': the ambient is not below freezing.",
        ),
    ),
)
