"""What shifts a reading beside the float balance: heat, tilt, movement and uncertainty, in elementary steps.

Each is written for a surface at the straight part of the float. Where the model's own number is another,
since the surface reaches a curved end, that number stands and says so.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import copysign

from xlfuncs.audit.rounding import FIELDS, half_digits, listed_half_digits
from xlfuncs.audit.working import Table, Working
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import STANDARD_GRAVITY, materials

STOKES = "annular Stokes flow past a float in liquid at rest"
LEAD = "annular Stokes flow: the wall holds back the liquid that follows the level"
STRAIGHT = "balance of weight and buoyancy (Archimedes), surface at the straight part"
_WHOLE = "the whole model: the surface is at an end of the float, or the forces act on each other"

_Write = Callable[[Working, float], float]


def share(work: Working, effect: str, number: float) -> str:
    """Write down one effect that the model gave as `number` [m]; its symbol.

    The float grows at the highest operating temperature, and shrinks at the lowest.
    """
    symbol = f"e_{effect}"
    if effect == "heat":
        ends = ("high", "low") if work.states("operating_temperature") else ()
        ways: list[_Write] = [partial(_heat, end=end) for end in ends]
    else:
        ways = [_WRITTEN[effect]] if effect in _WRITTEN else []
    if not any(work.tried(partial(write, work, number), number) for write in ways):
        work.computed(symbol, effect, number, "m", "LG_WORST_READING", _WHOLE, "*")
    return symbol


def drag_coefficient(work: Working) -> None:
    """k, by the float's diameter and the chamber's bore."""
    x = "LN(D/d)"
    under = f"({x}-(EXP(2*{x})-1)/(EXP(2*{x})+1))"
    work.step("k", "drag per immersed length, viscosity and velocity", f"2*PI()/{under}", "", STOKES)


def _heat(work: Working, number: float, end: str) -> float:
    """The float grows or shrinks with its metal; mass and fluids are those of the case."""
    work.cell("T", "operating_temperature", end)
    alloy = materials.read(work.text("metal", "float_material")).alloy
    entry = next(one for one in load("expansion").values() if alloy in one["alloys"])
    rows = Table(
        [celsius + ZERO_CELSIUS for celsius in entry["temperature"]],
        [alpha * 1e-6 for alpha in entry["value"]],
        "K",
        "1/K",
        str(entry["source"]),
    )
    work.on_line("a", f"mean expansion of {entry['label']} from 20 degC", "T", rows)
    work.step("x_T", "growth in length", f"a*(T-{20 + ZERO_CELSIUS})", "", "linear expansion")
    below = ("c_b*(1+x_T)+", "-V_b*(1+x_T)^3") if "c_b" in work.numbers else ("", "")
    hotter = f"{below[0]}((m-rho_u*V*(1+x_T)^3)/(rho-rho_u){below[1]})/(A*(1+x_T)^2)"
    work.step("h_T", "immersion at that temperature", hotter, "m", STRAIGHT)
    name = "heat: offset at that temperature less that at 20 degC"
    return work.step("e_heat", name, "z*(1+x_T)-h_T-e", "m")


def _tilt(work: Working, number: float) -> float:
    """The float leans in its bore: the magnet comes nearer to the surface."""
    bore(work)
    lean = "(d*D+L*SQRT(d^2+L^2-D^2))/(d^2+L^2)"
    source = "both rims touch the bore: d cos a + L sin a = D"
    work.step("cos_a", "cosine of the greatest tilt", lean, "", source)
    return work.step("e_tilt", "tilt", "e*(cos_a-1)", "m", "the depth along the axis stays")


def _movement(work: Working, number: float) -> float:
    """The liquid that follows the level pushes the float ahead."""
    work.cell("mu", "viscosity", "high")
    bore(work)
    if "level_rate" in work.proposed or work.gauges.given("level_rate")[work.record]:
        work.cell("v_l", "level_rate")
    else:
        work.setting("v_l", "level_rate_mm_s", 1e-3, "m/s")
    work.constant("g", "standard gravity", STANDARD_GRAVITY, "m/s2", "ISO 80000-3, CGPM 1901")
    drag_coefficient(work)
    work.step("F", "push of the liquid", "k*mu*h*v_l*(D^2-d^2)/(D^2+d^2)", "N", LEAD)
    name = f"movement: ahead of a {'falling' if number < 0 else 'rising'} level"
    return work.step("e_movement", name, f"{_sign(number)}F/(A*(rho-rho_u)*g)", "m", STRAIGHT)


def _uncertainty(work: Working, number: float) -> float:
    """The rounding of the list: mass, diameter and magnet height."""
    table = load("model")
    for symbol, name, unit in (
        ("u_m", "mass", "kg"),
        ("u_d", "diameter", "m"),
        ("u_z", "magnet_height", "m"),
    ):
        halves, said = _digits(work, name)
        text = f"standard uncertainty of the {name.replace('_', ' ')}"
        work.constant(symbol, text, halves / 3**0.5, unit, said)
    factor = float(table["coverage"]["factor"])
    work.constant("k_u", "coverage factor", factor, "", str(table["coverage"]["source"]))
    work.step(
        "u_1", "standard uncertainty of the immersion by the mass", "u_m/((rho-rho_u)*A)", "m", STRAIGHT
    )
    across = "2*m/(PI()*(rho-rho_u))*(1/(d-u_d)^2-1/(d+u_d)^2)"
    if "c_b" in work.numbers:
        across += "-u_d/d*(c_b-V_b/A+rho_u/(rho-rho_u)*(c_b-V_b/A+c_t-V_t/A))"
    work.step("u_2", "standard uncertainty of the immersion by the diameter", f"ABS({across})", "m", STRAIGHT)
    expression = f"{_sign(number)}k_u*SQRT(u_1^2+u_2^2+u_z^2)"
    return work.step("e_uncertainty", "uncertainty", expression, "m", "JCGM 100:2008, 5.1.2")


def _digits(work: Working, name: str) -> tuple[float, str]:
    """Half the last digit of a number of the float that is meant, and how it is said."""
    if work.of_float(FIELDS[name]):
        halves, said = listed_half_digits(work.gauges, name)
        return float(halves[work.listed_at]), str(said[work.listed_at])
    halves, said = half_digits(work.gauges, name)
    return float(halves[work.floats_of]), str(said[work.floats_of])


def bore(work: Working) -> None:
    """D, the bore of the chamber."""
    if "D" not in work.numbers:
        work.cell("D", "chamber_bore")


def _sign(number: float) -> str:
    return "-" if copysign(1.0, number) < 0 else ""


_WRITTEN: dict[str, _Write] = {
    "tilt": _tilt,
    "movement": _movement,
    "uncertainty": _uncertainty,
}
