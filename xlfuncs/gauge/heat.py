"""Heat loss, tracing, cooling and freezing of an insulated vertical chamber.

Lengths are in m, temperatures in K, heat flows in W per metre of chamber, conductivities in W/(m K),
wind in m/s. The chamber's wall and its inner film are left out: their resistance is small beside the
insulation's, and without them the loss comes out slightly high.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.data.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS
from xlfuncs.gauge import STANDARD_GRAVITY
from xlfuncs.gauge._names import squeeze
from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, positive, refuse
from xlfuncs.gauge._state import celsius

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m2 K4), exact to the digits shown (CODATA 2018)."""
_PLATE_HEIGHT = 1.0
_CLOSE = 1e-9
"""K, to which the surface temperature is solved."""


def _floats(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


# --- outside film -----------------------------------------------------------------------------------


def air_properties(temperature: ArrayLike) -> tuple[Array, Array, Array]:
    """Conductivity [W/(m K)], kinematic viscosity [m2/s] and Prandtl number of dry air at 1 atm.

    Sutherland's viscosity, the conductivity of the same standard, an ideal gas of constant heat
    capacity. Parameter: `temperature` [K]. From 220 to 500 K within 2.5 % of the reference equation of
    state in each property.

    Source: U.S. Standard Atmosphere, 1976, equations 51 and 53.

    >>> [float(round(x, 7)) for x in air_properties(300.0)]
    [0.026252, 1.57e-05, 0.7064795]
    """
    kelvin = positive("temperature", temperature)
    data = load("air")
    root = kelvin * np.sqrt(kelvin)
    viscosity = data["viscosity"]["beta"] * root / (kelvin + data["viscosity"]["sutherland"])
    law = data["conductivity"]
    conductivity = law["c"] * root / (kelvin + law["a"] * 10.0 ** (-law["b"] / kelvin))
    density = STANDARD_ATMOSPHERE / (data["gas"]["specific_gas_constant"] * kelvin)
    return conductivity, viscosity / density, viscosity * data["gas"]["heat_capacity"] / conductivity


def natural_nusselt(rayleigh: ArrayLike, prandtl: ArrayLike) -> Array:
    """Mean Nusselt number of natural convection on a vertical plate, over its height.

    Nu = (0.825 + 0.387 Ra^(1/6) / (1 + (0.492/Pr)^(9/16))^(8/27))^2, for Ra up to 1e12. A vertical
    cylinder counts as a plate where D/H >= 35/Gr^(1/4); on a slimmer one the film is somewhat better
    than this.

    Source: Churchill and Chu (1975), Int. J. Heat Mass Transfer 18, 1323.

    >>> float(round(natural_nusselt(2.63e9 * 0.69, 0.69), 8))
    147.16185224
    """
    spread = (1.0 + (0.492 / _floats(prandtl)) ** (9 / 16)) ** (8 / 27)
    return (0.825 + 0.387 * _floats(rayleigh) ** (1 / 6) / spread) ** 2


def forced_nusselt(reynolds: ArrayLike, prandtl: ArrayLike) -> Array:
    """Mean Nusselt number of a cylinder in cross flow, over its diameter.

    Nu = 0.3 + 0.62 Re^(1/2) Pr^(1/3) / (1 + (0.4/Pr)^(2/3))^(1/4) (1 + (Re/282000)^(5/8))^(4/5), for
    Re Pr above 0.2.

    Source: Churchill and Bernstein (1977), J. Heat Transfer 99, 300.

    >>> float(round(forced_nusselt(6071.0, 0.7), 8))
    40.63708594
    """
    re, pr = _floats(reynolds), _floats(prandtl)
    laminar = 0.62 * np.sqrt(re) * np.cbrt(pr) / (1.0 + (0.4 / pr) ** (2 / 3)) ** 0.25
    return _floats(0.3 + laminar * (1.0 + (re / 282000.0) ** 0.625) ** 0.8)[()]


def film_coefficient(
    surface_temperature: ArrayLike,
    ambient_temperature: ArrayLike,
    diameter: ArrayLike,
    wind: ArrayLike = 0.0,
    emissivity: ArrayLike = 0.9,
    height: ArrayLike = _PLATE_HEIGHT,
) -> Array:
    """Outside film of a vertical cylinder in air: convection and radiation together.

    Natural convection (vertical plate of the `height`) and wind across the cylinder are joined as the
    fourth root of the sum of fourth powers; radiation goes to surroundings at the ambient temperature:
    h_r = emissivity sigma (Ts^2 + Ta^2)(Ts + Ta). Air properties are taken at the mean of both
    temperatures.

    Parameters: temperatures [K], `diameter` and `height` [m], `wind` [m/s], `emissivity` [-]; all
    broadcast. Returns h [W/(m2 K)].

    Source: `natural_nusselt`, `forced_nusselt`; the exponent 4 for cross flow: Incropera and DeWitt,
    Fundamentals of Heat and Mass Transfer, section 9.9 (from memory). Sun and rain are left out.

    >>> float(round(film_coefficient(303.15, 293.15, 0.14), 2))
    8.58
    """
    warm, cold = _floats(surface_temperature), _floats(ambient_temperature)
    mean = (warm + cold) / 2.0
    conductivity, viscosity, prandtl = air_properties(mean)
    tall, wide, speed = _floats(height), _floats(diameter), _floats(wind)
    grashof = STANDARD_GRAVITY * np.abs(warm - cold) / mean * tall**3 / viscosity**2
    natural = natural_nusselt(grashof * prandtl, prandtl) * conductivity / tall
    blown = forced_nusselt(speed * wide / viscosity, prandtl) * conductivity / wide
    forced = np.where(speed == 0, 0.0, blown)
    radiation = _floats(emissivity) * STEFAN_BOLTZMANN * (warm**2 + cold**2) * (warm + cold)
    return _floats((natural**4 + forced**4) ** 0.25 + radiation)[()]


# --- insulation -------------------------------------------------------------------------------------


@cache
def _insulations() -> dict[str, dict[str, Any]]:
    return {squeeze(name): block for block in load("insulation").values() for name in block["names"]}


class _Conductivity:
    """Conductivity as given: numbers, names of insulations, or an array of both."""

    def __init__(self, name: str, given: Any) -> None:
        cells = np.asarray(given)
        self.tables: list[tuple[NDArray[np.bool_], Array, Array, str]] = []
        if cells.dtype.kind in "fiu":
            self.numbers = positive(name, cells)
            return
        cells = np.asarray(given, dtype=object)
        self.numbers = np.full(cells.shape, np.nan)
        for text in {cell for cell in cells.flat if isinstance(cell, str)}:
            here = np.asarray(cells == text, dtype=np.bool_)
            block = _insulations().get(squeeze(text))
            if block is None:
                known = ", ".join(b["names"][0] for b in load("insulation").values())
                reason = f"{name} '{text}' is not in the table: give W/m/K or one of {known}"
                self.numbers = refuse(self.numbers, here, reason, UNUSABLE)
            else:
                warm = np.array(block["temperature"], dtype=np.float64) + ZERO_CELSIUS
                self.tables.append((here, warm, np.array(block["conductivity"]), text))
        stated = np.array([isinstance(cell, (int, float)) for cell in cells.flat]).reshape(cells.shape)
        values = [float(cell) if isinstance(cell, (int, float)) else np.nan for cell in cells.flat]
        self.numbers = np.where(stated, positive(name, np.reshape(values, cells.shape)), self.numbers)

    def at(self, mean: Array) -> Array:
        """Conductivity at a mean temperature; beyond a table its end value, which `checked` refuses."""
        value = self.numbers
        for here, warm, conductivity, _ in self.tables:
            value = np.where(here, np.interp(mean, warm, conductivity), value)
        return value

    def checked(self, value: Array, mean: Array) -> Array:
        """`value`, refused where the mean temperature is beyond the table of the insulation."""
        for here, warm, _, text in self.tables:
            outside = here & ((mean < warm[0] - _CLOSE) | (mean > warm[-1] + _CLOSE))
            ends = f"{celsius(warm[0])} to {celsius(warm[-1])}"
            reason = (
                f"{text}: its mean temperature is outside the table, {ends}; give the conductivity in W/m/K"
            )
            value = refuse(value, outside, reason)
        return value


def insulation_conductivity(insulation: Any, temperature: ArrayLike) -> Array:
    """Thermal conductivity of an insulation at its mean temperature.

    Linear between the tabulated temperatures. Parameters: `insulation`, text or array of texts (glass
    wool, rock wool, calcium silicate, cellular glass); `temperature` [K]. Returns k [W/(m K)].

    NaN with a reason: an insulation or a temperature that is not in the table.

    Source: as stated beside each insulation in the table.

    >>> float(round(insulation_conductivity("glass wool", 60 + 273.15), 6))
    0.038
    """
    law = _Conductivity("insulation", insulation)
    mean = positive("temperature", temperature)
    return _floats(law.checked(law.at(mean), mean))[()]


# --- heat loss --------------------------------------------------------------------------------------


def _root(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Where `function` crosses zero between two arrays of ends (regula falsi, Illinois rule); NaN where
    it is NaN."""
    at_low, at_high = function(low), function(high)
    for _ in range(100):
        if not np.any(np.abs(at_high) > _CLOSE):
            break
        gap = at_high - at_low
        flat = gap == 0
        middle = np.where(flat, high, high - at_high * (high - low) / np.where(flat, 1.0, gap))
        at_middle = function(middle)
        crossed = at_middle * at_high < 0
        low = np.where(crossed, high, low)
        at_low = np.where(crossed, at_high, at_low / 2.0)
        high, at_high = middle, at_middle
    return np.where(np.abs(at_high) <= 1e3 * _CLOSE, high, np.nan)


def _balance(
    maintain_temperature: ArrayLike,
    ambient_temperature: ArrayLike,
    outside_diameter: ArrayLike,
    insulation_thickness: ArrayLike,
    conductivity: Any,
    wind: ArrayLike,
    emissivity: ArrayLike,
    height: ArrayLike,
) -> tuple[Array, Array]:
    """Heat loss [W/m] and surface temperature [K]."""
    inside = positive("maintain_temperature", maintain_temperature)
    outside = positive("ambient_temperature", ambient_temperature)
    diameter = positive("outside_diameter", outside_diameter)
    cover = diameter + 2.0 * not_negative("insulation_thickness", insulation_thickness)
    law = _Conductivity("conductivity", conductivity)
    speed, tall = not_negative("wind", wind), positive("height", height)
    emitted = not_negative("emissivity", emissivity)
    emitted = refuse(emitted, emitted > 1, "emissivity must be 0 to 1", UNUSABLE)

    def given_off(surface: Array) -> Array:
        film = film_coefficient(surface, outside, cover, speed, emitted, tall)
        return np.pi * cover * film * (surface - outside)

    def excess(surface: Array) -> Array:
        drop = (
            given_off(surface) * np.log(cover / diameter) / (2.0 * np.pi * law.at((inside + surface) / 2.0))
        )
        return inside - surface - drop

    shape = np.broadcast_shapes(
        *(x.shape for x in (inside, outside, cover, speed, emitted, tall, law.numbers))
    )
    surface = _root(excess, np.broadcast_to(outside, shape), np.broadcast_to(inside, shape))
    surface = law.checked(surface, (inside + surface) / 2.0)
    return given_off(surface), surface


def heat_loss(
    maintain_temperature: ArrayLike,
    ambient_temperature: ArrayLike,
    outside_diameter: ArrayLike,
    insulation_thickness: ArrayLike,
    conductivity: Any = 0.04,
    wind: ArrayLike = 0.0,
    emissivity: ArrayLike = 0.9,
    height: ArrayLike = _PLATE_HEIGHT,
) -> Array:
    """Heat loss of an insulated vertical chamber, per metre.

    q = (Ti - Ts) / (ln(Do/Di) / (2 pi k)) = pi Do h(Ts) (Ts - Ta), solved for the surface temperature
    Ts; h as in `film_coefficient`, k at the insulation's mean temperature. Negative where heat is
    gained. No insulation: Ts = Ti.

    Parameters: `maintain_temperature` Ti of the chamber, `ambient_temperature` Ta [K],
    `outside_diameter` Di of the chamber, `insulation_thickness` [m], `conductivity` [W/(m K)] or the
    name of an insulation, `wind` [m/s], `emissivity` of the cladding, `height` [m] for natural
    convection; all broadcast. Returns q [W/m].

    NaN with a reason: a size, temperature, conductivity or emissivity that is not possible; a named
    insulation outside its table.

    Source: conduction through a cylinder (textbooks, ISO 12241); films as named there. Flanges, supports
    and the indicator strip lose heat as well: see `trace_output`.

    >>> float(round(heat_loss(423.15, 293.15, 0.0603, 0.05, 0.05), 2))
    38.85
    """
    return _floats(
        _balance(
            maintain_temperature,
            ambient_temperature,
            outside_diameter,
            insulation_thickness,
            conductivity,
            wind,
            emissivity,
            height,
        )[0]
    )[()]


def surface_temperature(
    maintain_temperature: ArrayLike,
    ambient_temperature: ArrayLike,
    outside_diameter: ArrayLike,
    insulation_thickness: ArrayLike,
    conductivity: Any = 0.04,
    wind: ArrayLike = 0.0,
    emissivity: ArrayLike = 0.9,
    height: ArrayLike = _PLATE_HEIGHT,
) -> Array:
    """Temperature of the cladding of an insulated vertical chamber [K]; arguments as in `heat_loss`.

    Source: as in `heat_loss`. Bare metal at flanges and strips is as hot as the chamber itself.

    >>> float(round(surface_temperature(423.15, 293.15, 0.0603, 0.05, 0.05) - 273.15, 1))
    29.1
    """
    return _floats(
        _balance(
            maintain_temperature,
            ambient_temperature,
            outside_diameter,
            insulation_thickness,
            conductivity,
            wind,
            emissivity,
            height,
        )[1]
    )[()]


# --- tracing ----------------------------------------------------------------------------------------


def trace_margin(tracer_output: ArrayLike, heat_loss: ArrayLike, length_allowance: ArrayLike = 0.0) -> Array:
    """Tracer output over heat loss: 1 is just enough.

    output / (loss (1 + allowance)).

    Parameters: `tracer_output` at the maintain temperature and `heat_loss` [W/m]; `length_allowance` [-],
    the length of plain chamber that loses as much as the flanges, the supports and the indicator strip,
    over the traced length; all broadcast. Returns the ratio [-], infinite where no heat is lost.

    NaN with a reason: a negative argument.

    Source: definition.

    >>> float(trace_margin(30.0, 20.0, 0.25))
    1.2
    """
    output = not_negative("tracer_output", tracer_output)
    lost = not_negative("heat_loss", heat_loss) * (1.0 + not_negative("length_allowance", length_allowance))
    covered = np.where(np.isnan(output + lost), np.nan, np.inf)
    return _floats(np.where(lost > 0, output / np.where(lost > 0, lost, 1.0), covered))[()]


def trace_output(heat_loss: ArrayLike, length_allowance: ArrayLike = 0.0, margin: ArrayLike = 1.2) -> Array:
    """Tracer output that is needed per metre of chamber.

    loss (1 + allowance) margin; arguments as in `trace_margin`, `margin` [-] at least 1. Returns the
    output [W/m] at the maintain temperature: a self-limiting tracer gives less there than its rating.

    NaN with a reason: a negative argument, a margin below 1.

    Source: definition; the margin 1.2 is common practice, no source.

    >>> float(round(trace_output(20.0, 0.25), 6))
    30.0
    """
    safety = _floats(margin)
    safety = refuse(safety, safety < 1, "margin must be 1 or more", UNUSABLE)
    lost = not_negative("heat_loss", heat_loss) * (1.0 + not_negative("length_allowance", length_allowance))
    return lost * safety


def trace_check(
    pour_point: ArrayLike,
    minimum_ambient: ArrayLike,
    maintain_temperature: ArrayLike,
    saturation_temperature: ArrayLike,
    limit_temperature: ArrayLike,
    tracer_output: ArrayLike,
    heat_loss: ArrayLike,
    margin: ArrayLike = 1.2,
) -> NDArray[np.object_]:
    """'adequate', or the first reason why tracing is not.

    In this order: the maintain temperature is above the pour (or freezing) point, below the boiling
    point and not above the limit; the stated heat loss fits the lowest ambient temperature; the output
    covers the loss with its margin.

    Parameters: temperatures [K], `tracer_output` and `heat_loss` at the lowest ambient [W/m], `margin`
    [-]; all broadcast. Returns texts of their shape; "" where an argument is NaN.

    Source: common practice, no source; the principles are those of IEC/IEEE 60079-30-2.

    >>> str(trace_check(283.15, 253.15, 333.15, 373.15, 423.15, 30.0, 20.0))
    'adequate'
    """
    given = np.broadcast_arrays(
        *map(
            _floats,
            (
                pour_point,
                minimum_ambient,
                maintain_temperature,
                saturation_temperature,
                limit_temperature,
                tracer_output,
                heat_loss,
                margin,
            ),
        )
    )
    texts = np.full(given[0].shape, "", dtype=object)
    for at in map(tuple, np.argwhere(~np.isnan(sum(given)))):
        texts[at] = _shortcoming(*(float(values[at]) for values in given))
    return texts[()]


def _shortcoming(
    pour: float,
    ambient: float,
    kept: float,
    boiling: float,
    limit: float,
    output: float,
    loss: float,
    margin: float,
) -> str:
    held = f"maintain temperature {celsius(kept)}"
    if kept <= pour:
        return f"{held} is not above the pour point {celsius(pour)}"
    if kept >= boiling:
        return f"{held} is not below the boiling point {celsius(boiling)}"
    if kept > limit:
        return f"{held} is above the limit {celsius(limit)}"
    if kept > ambient and loss <= 0:
        return f"heat loss {loss:.4g} W/m does not fit an ambient of {celsius(ambient)}: it must be above 0"
    if output < margin * loss * (1.0 - 1e-12):
        return f"tracer output {output:.4g} W/m is below {margin:.4g} times the heat loss {loss:.4g} W/m"
    return "adequate"


def maintain_window(
    freezing_temperature: ArrayLike,
    saturation_temperature: ArrayLike,
    viscosity_temperature: ArrayLike | None = None,
    float_limit: ArrayLike | None = None,
    magnet_limit: ArrayLike | None = None,
    electronics_limit: ArrayLike | None = None,
    surface_limit: ArrayLike | None = None,
    margin: ArrayLike = 5.0,
) -> tuple[Array, Array]:
    """Lowest and highest temperature at which a traced chamber may be kept.

    From the highest of the lower bounds (freezing or pour point, temperature below which the liquid is
    too viscous for the float) plus the margin, to the lowest of the upper bounds (boiling point at the
    lowest operating pressure; limits of float, magnet, electronics; temperature class) less the margin.

    Parameters: temperatures [K], None or NaN for a bound that does not apply; `margin` [K]; all
    broadcast. Returns the two temperatures [K].

    NaN with a reason: no window is left; a negative margin; freezing or boiling point missing.

    Source: definition; the margin of 5 K is common practice, no source.

    >>> [float(round(x - 273.15, 2)) for x in maintain_window(273.15, 373.15, magnet_limit=353.15)]
    [5.0, 75.0]
    """
    apart = not_negative("margin", margin)
    lowest, highest = _floats(freezing_temperature), _floats(saturation_temperature)
    missing = np.isnan(lowest + highest)
    if viscosity_temperature is not None:
        lowest = np.fmax(lowest, viscosity_temperature)
    for limit in (float_limit, magnet_limit, electronics_limit, surface_limit):
        if limit is not None:
            highest = np.fmin(highest, limit)
    low, high = np.broadcast_arrays(lowest + apart, highest - apart)
    unusable = missing | np.isnan(low + high)
    none = "no window: the lower bounds and the margin reach the upper bounds"
    low, high = (np.where(unusable, np.nan, end) for end in (low, high))
    return refuse(low, low > high, none)[()], refuse(high, low > high, none)[()]


# --- cooling ----------------------------------------------------------------------------------------


def _contents(outside_diameter: ArrayLike, wall: ArrayLike, density: ArrayLike) -> tuple[Array, Array]:
    """Outside diameter [m] and mass of the contents [kg/m]."""
    diameter = positive("outside_diameter", outside_diameter)
    bore = diameter - 2.0 * not_negative("wall", wall)
    bore = refuse(bore, bore <= 0, "wall is half the outside_diameter or more", UNUSABLE)
    return diameter, positive("density", density) * np.pi / 4.0 * bore**2


def _resistance(diameter: Array, insulation_thickness: ArrayLike, conductivity: Any, mean: Array) -> Array:
    """Thermal resistance of the insulation alone [m K/W]."""
    thickness = _floats(insulation_thickness)
    bare = "insulation_thickness must be above 0: on a bare chamber the film decides, which is left out here"
    thickness = refuse(thickness, thickness <= 0, bare, UNUSABLE)
    law = _Conductivity("conductivity", conductivity)
    value = law.checked(law.at(mean), mean)
    return np.log(1.0 + 2.0 * thickness / diameter) / (2.0 * np.pi * value)


def cooled_temperature(
    time: ArrayLike,
    start_temperature: ArrayLike,
    ambient_temperature: ArrayLike,
    outside_diameter: ArrayLike,
    wall: ArrayLike,
    insulation_thickness: ArrayLike,
    density: ArrayLike,
    heat_capacity: ArrayLike,
    conductivity: Any = 0.04,
) -> Array:
    """Temperature of a stagnant chamber some time after its tracing has failed.

    T = Ta + (T0 - Ta) exp(-t / (m c R)), m the contents per metre, R = ln(Do/Di)/(2 pi k). The heat in
    the wall and the resistance of the outside film are left out, so that it cools faster than it will.

    Parameters: `time` [s], temperatures [K], `outside_diameter`, `wall`, `insulation_thickness` [m],
    `density` [kg/m3], `heat_capacity` [J/(kg K)], `conductivity` as in `heat_loss`; all broadcast.
    Returns T [K], valid down to the freezing point.

    NaN with a reason: a size, time or property that is not possible, no insulation.

    Source: lumped capacity (textbooks; ISO 12241, cooling of stagnant media).

    >>> kept = cooled_temperature(3600.0, 333.15, 253.15, 0.0603, 0.0039, 0.05, 998.0, 4182.0)
    >>> float(round(kept - 273.15, 2))
    52.21
    """
    diameter, mass = _contents(outside_diameter, wall, density)
    start = positive("start_temperature", start_temperature)
    ambient = positive("ambient_temperature", ambient_temperature)
    resistance = _resistance(diameter, insulation_thickness, conductivity, (start + ambient) / 2.0)
    constant = mass * positive("heat_capacity", heat_capacity) * resistance
    return ambient + (start - ambient) * np.exp(-not_negative("time", time) / constant)


def freeze_time(
    start_temperature: ArrayLike,
    freezing_temperature: ArrayLike,
    ambient_temperature: ArrayLike,
    outside_diameter: ArrayLike,
    wall: ArrayLike,
    insulation_thickness: ArrayLike,
    density: ArrayLike,
    heat_capacity: ArrayLike,
    latent_heat: ArrayLike = 0.0,
    conductivity: Any = 0.04,
) -> Array:
    """Time until a stagnant, untraced chamber has cooled to freezing and has frozen.

    t = m c R ln((T0 - Ta)/(Tf - Ta)) + m L R / (Tf - Ta), m the contents per metre and
    R = ln(Do/Di)/(2 pi k). With latent heat 0: until freezing begins. The heat in the wall and the
    resistance of the outside film are left out, so that the time comes out short.

    Parameters: temperatures [K], `outside_diameter`, `wall`, `insulation_thickness` [m], `density`
    [kg/m3], `heat_capacity` [J/(kg K)], `latent_heat` [J/kg], or the share of it that may freeze,
    `conductivity` as in `heat_loss`; all broadcast. Returns t [s], infinite where the ambient is not
    below the freezing point.

    NaN with a reason: a start that is not above the freezing point, a size or property that is not
    possible, no insulation.

    Source: ISO 12241, cooling and freezing times of stagnant media; ASHRAE Handbook Fundamentals (2019),
    time to freeze. Dead legs, flanges and drains freeze first.

    >>> seconds = freeze_time(278.15, 273.15, 255.15, 0.0603, 0.0039, 0.025, 1000.0, 4190.0, 0.0, 0.035)
    >>> float(round(seconds / 3600, 4))
    1.6959
    """
    diameter, mass = _contents(outside_diameter, wall, density)
    start, freezing = _floats(start_temperature), _floats(freezing_temperature)
    ambient = positive("ambient_temperature", ambient_temperature)
    warm = "start_temperature must be above freezing_temperature"
    start = refuse(start, start <= freezing, warm, UNUSABLE)
    mean = ((start + freezing) / 2.0 + ambient) / 2.0
    resistance = _resistance(diameter, insulation_thickness, conductivity, mean)
    never = freezing <= ambient
    head = np.where(never, 1.0, freezing - ambient)
    cooling = positive("heat_capacity", heat_capacity) * np.log(
        np.where(never, 2.0, (start - ambient) / head)
    )
    time = mass * resistance * (cooling + not_negative("latent_heat", latent_heat) / head)
    return _floats(np.where(never & ~np.isnan(time + start), np.inf, time))[()]
