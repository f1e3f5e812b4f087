"""Causes of a wrong reading: each one or two parameters with a range, and the state that a gauge is then in.

Which one explains a set of readings is found by `xlfuncs.gauge.diagnosis`; the physics is in
`xlfuncs.gauge.faulty`. What a cause can do at the most is common practice, no source (`data/diagnosis.toml`).
SI units.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.faulty import State, Value
from xlfuncs.gauge.readings import Case

_RANGES: dict[str, Any] = load("diagnosis")["ranges"]

Change = Callable[..., dict[str, Any]]
"""(case, values of each parameter) -> fields of the state that differ."""


class Parameter(NamedTuple):
    """What of a cause is fitted."""

    name: str
    unit: str
    span: Callable[[Case], tuple[float, float]]
    """Lowest and highest value."""
    shown: Callable[[Case, float], float] = lambda case, value: value * 1e3
    """The value, in SI units, as a number of `unit`."""
    natural: tuple[bool, bool] = (False, False)
    """Whether an end is one of nature (no friction, no deposit), not one of what was thought possible."""


@dataclass(frozen=True, slots=True, eq=False)  # each is one of its own
class Cause:
    """One thing that can be wrong."""

    name: str
    part: str
    """reference, liquid, chamber, float, indicator, transmitter or switch; two at once are of two parts."""
    change: Change
    parameters: tuple[Parameter, ...] = ()
    needs: Callable[[Case], str] = lambda case: ""
    """Which data are missing to test the cause, "" if none."""
    free_density: bool = False
    """The stated density counts for nothing."""
    mend: str = ""
    """What to do about it."""
    service: str = ""
    """"level" or "interface", where it concerns only one of them."""
    scatters: bool = False
    """It explains readings by their scatter, which with another cause would explain almost anything."""
    both: tuple[Cause, ...] = ()
    """The two causes that this one is made of."""
    forms: tuple[Cause, ...] = ()
    """Other ways in which the same cause acts; each counts as much as this one."""
    simple: Cause | None = None
    """The form with one parameter that stands for it in a pair of causes."""
    mended: str = ""
    """Causes with the same word here are one to whoever mends them."""
    paired: bool = True
    """It is tried with any other cause; one that acts as another of its part where that one is likely."""
    alone: tuple[Cause, ...] = ()
    """Forms with one parameter that stand for it in such a pair."""

    @property
    def in_float(self) -> bool:
        """Gone with a clean spare float."""
        return self.part == "float"

    def concerns(self, case: Case) -> bool:
        """The gauge can have it."""
        if self.part == "transmitter" and not case.gauge.urv > case.gauge.lrv:
            return False
        if self.part == "switch" and math.isnan(case.gauge.set_point):
            return False
        return not self.service or case.interface == (self.service == "interface")

    def state(self, case: Case, values: Array) -> State:
        """The state for values of the parameters: an array with a row for each trial, a column for each."""
        columns = [values[:, at : at + 1] for at in range(len(self.parameters))]
        return State(**self.change(case, *columns))

    def spans(self, case: Case) -> Array:
        """Lowest and highest value of each parameter, a row for each."""
        return np.array([p.span(case) for p in self.parameters], dtype=np.float64).reshape(-1, 2)


# --- what a cause needs -----------------------------------------------------------------------------


def _level(case: Case) -> str:
    read = ~np.isnan(case.readings.indicated) | ~np.isnan(case.signal)
    return "" if (case.placed & read).any() else "the true level beside a reading"


def _wet(case: Case) -> str:
    wet = ~np.isnan(case.readings.level) & ~case.drained
    return _level(case) or ("" if wet.any() else "the true level beside a reading")


def _shown_twice(case: Case) -> str:
    """For what indicator and transmitter show differently."""
    return _currents(1)(case) and _level(case)


def _looked_square(case: Case) -> str:
    """It reads like a shifted scale: only a look parts them."""
    looked = {"square_on", "scale_zero"} & set(case.answers)
    return _shown_twice(case) or (
        "" if looked else "a look at the scale's zero, or at the indicator square on"
    )


def _indicated(case: Case) -> str:
    return "" if (~np.isnan(case.readings.indicated)).any() else "readings of the indicator"


def _moving(case: Case) -> str:
    return _level(case) or (
        "" if (case.placed & (case.motion != 0)).any() else "readings with a moving level"
    )


def _two_columns(case: Case) -> str:
    if case.interface:
        return "a level gauge: this one shows an interface"
    return _wet(case)


def _two_liquids(case: Case) -> str:
    return _wet(case) if case.interface else "an interface gauge: this one shows a level"


def _currents(least: int) -> Callable[[Case], str]:
    def needs(case: Case) -> str:
        told = ~np.isnan(case.readings.indicated) | case.placed
        enough = int((told & ~np.isnan(case.signal)).sum()) >= least
        return "" if enough else f"currents with LRV and URV, {least} or more"

    return needs


def _switched(case: Case) -> str:
    if math.isnan(case.gauge.set_point) or np.isnan(case.readings.switch).all():
        return "states of a switch and its set point"
    return "" if case.placed.any() or ~np.isnan(case.readings.indicated).all() else "levels beside the states"


def _left_behind(case: Case) -> str:
    return _level(case) or _currents(1)(case)


def _on_stop(case: Case) -> str:
    return "" if (case.drained & case.placed).any() else "a reading of the drained chamber, and room below"


# --- ranges -----------------------------------------------------------------------------------------


def _within(name: str) -> Callable[[Case], tuple[float, float]]:
    low, high = _RANGES[name]
    return lambda case: (low, high)


def _shift(name: str) -> Callable[[Case], tuple[float, float]]:
    reach = _RANGES[name] / 1e3
    return lambda case: (-reach, reach)


def _up_to(name: str) -> Callable[[Case], tuple[float, float]]:
    return lambda case: (0.0, _RANGES[name] / 1e3)


def _on_scale(case: Case) -> tuple[float, float]:
    return -0.05, case.top + 0.05


def _deposit_span(case: Case) -> tuple[float, float]:
    area = math.pi / 4 * case.gauge.diameter**2
    lift = case.stated_density - case.gauge.upper_density
    return 0.0, _RANGES["deposit"] / 1e3 * area * lift


def _worn_span(case: Case) -> tuple[float, float]:
    return -_RANGES["worn"] * case.gauge.mass, 0.0


def _sunk_span(case: Case) -> tuple[float, float]:
    g = case.gauge
    if not math.isnan(g.room_below):
        stop = g.magnet_height + g.scale_shift - g.room_below
        return stop - 0.01, stop + 0.01
    # most gauges leave the float room to show an empty vessel as empty
    return -g.length, 0.05


def _late_span(case: Case) -> tuple[float, float]:
    return 0.0, _RANGES["lag"] / 1e3 / (float(np.max(np.abs(case.rate))) or case.usual_rate)


def _span_of(case: Case) -> float:
    return case.gauge.urv - case.gauge.lrv


def _zero_span(case: Case) -> tuple[float, float]:
    reach = _RANGES["zero"] * _span_of(case)
    return -reach, reach


_AT_ZERO = (True, False)
_PLAIN = lambda case, value: value  # noqa: E731
_SHIFT = Parameter("shift", "mm", _shift("shift"))
_DATUM = Parameter("shift", "mm", _shift("datum"))
"""As far as from a tank's floor to the lower nozzle."""
_HEIGHT = Parameter("at", "mm", _on_scale)
_SPAN = Parameter("span", "mm", _within("span"), lambda case, value: value * _span_of(case) * 1e3)


def _ratio(name: str, span: str) -> Parameter:
    return Parameter(name, "kg/m3", _within(span), lambda case, value: value * case.stated_density)


def _field(*names: str) -> Change:
    """The parameters are these fields of the state."""
    return lambda case, *values: dict(zip(names, values, strict=True))


def _heel(case: Case, shift: Value) -> dict[str, Any]:
    """A sample may be of either liquid."""
    return {"pocket": shift, "sample_spread": _RANGES["sample"]}


def _no_field(case: Case, indicator: Value, signal: Value | None = None) -> dict[str, Any]:
    frozen = indicator if signal is None else signal
    return {"indicator": indicator, "frozen": frozen, "no_field": True}


_STEADY = Cause(
    *("leg or valve restricted", "chamber"),
    lambda case, behind, power: {"choke": behind, "choke_power": power, "choke_spread": 0.0},
    (
        Parameter("behind by", "mm", _up_to("lag"), natural=_AT_ZERO),
        Parameter("power of the rate", "", _within("power"), _PLAIN, (True, True)),
    ),
    _moving,
    mend="rod out or flush the leg and the valve",
)
"""The level moved long enough for the chamber to stay behind by as much as it ever does."""
_RERANGED = Cause(
    *("LRV and URV both off", "transmitter", _field("zero"), (_SHIFT,), _currents(1)),
    mended="range",
    mend="set LRV and URV again",
)
"""Both by the same amount: what a sensor that is set too high or low does as well."""
_OFF_BY_SOME = replace(_RERANGED, name="loop current or its scaling off", mended="")
_SCALED = replace(_OFF_BY_SOME, change=_field("span"), parameters=(_SPAN,), needs=_currents(2))
_STEADY_LAMINAR = replace(
    _STEADY,
    change=lambda case, behind: {"choke": behind, "choke_spread": 0.0},
    parameters=_STEADY.parameters[:1],
)


_DEAD = Cause(
    *("indicator elements dead in part", "indicator"),
    lambda case, about: {"dead": about, "dead_length": _RANGES["dead"] * case.top},
    (Parameter("about", "mm", _on_scale),),
    _level,
    mend="renew the elements that do not follow a hand magnet",
)
"""Over a usual length: where one edge lies tells nearly all of it."""
_HELD_BY_MAGNET = replace(
    _DEAD,
    name="foreign magnet at the indicator",
    mend="take away what is magnetic at the indicator: torch, tool, hand magnet",
)

_LOST = Cause(
    *("magnet lost or weak", "float", _no_field, (_HEIGHT,), _left_behind),
    mend="replace the float; compare the magnet's temperature limit with the operating temperature",
)
"""Both stand at the same height."""


def _cut_off(case: Case, height: Value) -> dict[str, Any]:
    """The upper liquid in the chamber stays as it was: the two columns balance on the lower one alone."""
    lower = case.stated_density
    return {"trapped": height, "compliance": (lower - case.gauge.upper_density) / lower}


AS_DESIGNED = Cause("as designed", "none", lambda case: {})
NONE = Cause("none of these", "none", lambda case: {})
"""What is in no list: readings are spread about those of a sound gauge, by how much is not known."""

CAUSES: tuple[Cause, ...] = (
    AS_DESIGNED,
    Cause(
        *("density not as stated", "liquid", _field("density"), (_ratio("density", "density"),), _level),
        free_density=True,
        mend="take the density measured as the stated one, and a float that fits it",
    ),
    Cause(
        *("float upside down", "float", lambda case: {"inverted": True}, (), _level),
        mend="put the float in with its top mark up",
    ),
    Cause(
        *("float heavier (deposit, or liquid inside)", "float", _field("mass")),
        (Parameter("added mass", "g", _deposit_span, natural=_AT_ZERO),),
        _level,
        mend="clean the float; a float still too heavy has liquid inside: replace it",
    ),
    Cause(
        *("float lighter (worn or corroded)", "float", _field("mass")),
        (Parameter("added mass", "g", _worn_span, natural=(False, True)),),
        _level,
        paired=False,
        mend="replace the float: its wall is thinner than it was",
    ),
    Cause(
        *("float sunk (flooded or collapsed)", "float", _field("held")),
        (Parameter("magnet plane at", "mm", _sunk_span, natural=(True, True)),),
        _level,
        mend="replace the float; compare its pressure rating with the design and test pressure",
    ),
    Cause(
        *("float of another gauge", "float", _field("plane"), (_SHIFT,), _level),
        mend="put in the float whose serial belongs to this gauge",
    ),
    Cause(
        *("magnet slipped in the float", "float", _field("plane"), (_SHIFT,), _level),
        paired=False,
        mend="replace the float, or set its scale by where the magnet is now",
    ),
    Cause(
        *("scale shifted", "indicator", _field("scale"), (_SHIFT,), _shown_twice),
        mend="set the scale's zero to the centre line of the lower connection",
    ),
    Cause(
        *("indicator read wrongly (parallax, wrong edge)", "indicator", _field("scale")),
        (Parameter("shift", "mm", _shift("parallax")),),
        _looked_square,
        paired=False,
        mend="read square on, at the edge that the maker states; correct what was noted",
    ),
    Cause(
        *("chamber leans (out of plumb)", "chamber", _field("lean")),
        (Parameter("by", "deg", _within("lean"), _PLAIN, _AT_ZERO),),
        _wet,
        paired=False,
        mend="set the chamber plumb; until then the reading times the cosine is the level",
    ),
    Cause(
        *("chamber colder or hotter than the vessel", "chamber", _field("chamber")),
        (_ratio("density in the chamber", "chamber"),),
        _two_columns,
        service="level",
        mend="insulate or trace the chamber, or correct the reading for both densities",
    ),
    Cause(
        *("vessel aerated or foaming", "chamber", _field("gas_low", "gas_high")),
        (
            Parameter("gas at the bottom", "%", _within("gas"), lambda case, value: value * 100, _AT_ZERO),
            Parameter("gas at the top", "%", _within("gas"), lambda case, value: value * 100, _AT_ZERO),
        ),
        _two_columns,
        service="level",
        mend="read with the vessel at rest; the chamber shows the liquid without its gas",
    ),
    Cause(
        *("density above not as stated", "liquid", _field("upper")),
        (Parameter("added density", "kg/m3", _within("upper"), _PLAIN, _AT_ZERO),),
        _level,
        mend="take the vapour's or upper liquid's density at operating conditions",
    ),
    Cause(
        *("emulsion or rag layer", "liquid", _field("pocket"), (_SHIFT,), _two_liquids),
        service="interface",
        mend="break or drain the layer; until then the gauge shows a height within it",
    ),
    Cause(
        *("gas pocket in a leg or the chamber", "chamber", _field("pocket"), (_SHIFT,), _wet),
        mend="vent the legs and the chamber; slope the legs",
    ),
    Cause(
        *("other liquid in the chamber's bottom", "chamber", _heel, (_SHIFT,), _two_columns),
        service="level",
        paired=False,
        mend="drain the chamber from its bottom until the vessel's own liquid comes; slope the lower leg",
    ),
    Cause(
        *("total level below the upper connection", "chamber", _cut_off, (_HEIGHT,), _two_liquids),
        service="interface",
        mend="raise the total level above the upper connection; then let both liquids into the chamber",
    ),
    Cause(
        *("lower valve shut or leg plugged", "chamber", _field("trapped"), (_HEIGHT,), _wet),
        mend="open the lower block valve slowly, by the permit; where it is open, clear its leg",
    ),
    Cause(
        *("upper valve shut or leg plugged", "chamber", _field("trapped", "compliance")),
        (
            _HEIGHT,
            Parameter("follows to", "%", _within("compliance"), lambda case, value: value * 100, _AT_ZERO),
        ),
        _wet,
        mend="open the upper block valve slowly, by the permit; where it is open, clear its leg",
    ),
    Cause(
        *("leg or valve restricted", "chamber", _field("choke", "choke_power")),
        (
            Parameter("behind by", "mm", _up_to("lag"), natural=_AT_ZERO),
            Parameter("power of the rate", "", _within("power"), _PLAIN, (True, True)),
        ),
        _moving,
        scatters=True,
        forms=(_STEADY,),
        simple=_STEADY_LAMINAR,
        mend="rod out or flush the leg and the valve",
    ),
    Cause(
        *("float stuck", "float", _field("held"), (_HEIGHT,), _level),
        mend="free and clean float and chamber; see whether the chamber is plumb and the float straight",
    ),
    Cause(
        *("float drags", "float", _field("band")),
        (Parameter("band", "mm", _up_to("friction"), natural=_AT_ZERO),),
        _moving,
        mend="clean float and chamber; see whether the chamber is plumb",
    ),
    Cause(
        *("float hangs unevenly (debris, particles)", "float", _field("hang")),
        (Parameter("hang-ups up to", "mm", _up_to("friction"), natural=_AT_ZERO),),
        _moving,
        scatters=True,
        mend="clean the magnet's particles and the debris off float and chamber",
    ),
    Cause(
        *("float follows late (viscous liquid)", "chamber", _field("lag")),
        (Parameter("time", "s", _late_span, _PLAIN, _AT_ZERO),),
        _moving,
        mend="trace the chamber, or wait until the reading stands",
    ),
    Cause(
        *("float cannot rise past a height", "float", _field("ceiling"), (_HEIGHT,), _level),
        mend="find what holds it: a dent, a weld, debris, a bent upper stop",
    ),
    Cause(
        *("float cannot sink past a height", "float", _field("floor"), (_HEIGHT,), _level),
        mend="find what holds it: a dent, a weld, debris, a bent lower stop",
    ),
    Cause(
        *("float stop bent or missing", "float", _field("stop"), (_SHIFT,), _on_stop),
        mend="renew the stop",
    ),
    Cause(
        *("indicator does not follow the float", "indicator", _field("indicator"), (_HEIGHT,), _shown_twice),
        mend="pass a hand magnet along it; renew what does not turn",
    ),
    Cause(
        *("indicator elements dead in part", "indicator", _field("dead", "dead_length")),
        (
            Parameter("about", "mm", _on_scale),
            Parameter("length", "mm", lambda case: (0.02, max(0.5 * case.top, 0.03))),
        ),
        lambda case: _indicated(case) or _level(case),
        simple=_DEAD,
        mend=_DEAD.mend,
    ),
    Cause(
        *("foreign magnet at the indicator", "indicator", _field("dead", "dead_length")),
        (
            Parameter("about", "mm", _on_scale),
            Parameter("length", "mm", lambda case: (0.02, max(0.5 * case.top, 0.03))),
        ),
        lambda case: _indicated(case) or _level(case),
        paired=False,
        alone=(_HELD_BY_MAGNET,),
        mend=_HELD_BY_MAGNET.mend,
    ),
    Cause(
        *("magnet lost or weak", "float", _no_field),
        (Parameter("indicator left at", "mm", _on_scale), Parameter("signal left at", "mm", _on_scale)),
        _left_behind,
        forms=(_LOST,),
        simple=_LOST,
        mend=_LOST.mend,
    ),
    Cause(
        *("transmitter mounted too high or low", "transmitter", _field("mounting"), (_SHIFT,), _currents(1)),
        mend="set the sensor to its mark, or trim the zero",
    ),
    Cause(
        *("transmitter range off", "transmitter", _field("span"), (_SPAN,), _currents(2)),
        mended="range",
        mend="set the span again",
    ),
    Cause(
        *("LRV and URV both off", "transmitter", _field("zero", "span")),
        (Parameter("LRV off by", "mm", _zero_span), _SPAN),
        _currents(3),
        forms=(_RERANGED,),
        paired=False,
        alone=(_RERANGED,),
        mended="range",
        mend="set LRV and URV again",
    ),
    Cause(
        *("loop current or its scaling off", "transmitter", _field("zero", "span")),
        (Parameter("4 mA off by", "mm", _zero_span), _SPAN),
        _currents(1),
        forms=(_OFF_BY_SOME, _SCALED),
        paired=False,
        alone=(_OFF_BY_SOME, _SCALED),
        mend="trim the transmitter's output; set the control system's range to LRV and URV",
    ),
    Cause(
        *("transmitter reversed", "transmitter", lambda case: {"reversed": True}, (), _currents(1)),
        mend="set the direct or reverse action that the data sheet states",
    ),
    Cause(
        *("transmitter frozen", "transmitter", _field("frozen"), (_HEIGHT,), _currents(1)),
        mend="see to the sensor and its electronics; take the loop out of simulation or hold",
    ),
    Cause(
        *("foreign magnet at the transmitter", "transmitter", _field("frozen"), (_HEIGHT,), _currents(1)),
        mend="take away what is magnetic at the sensor: torch, tool, hand magnet",
    ),
    Cause(
        *("transmitter steps", "transmitter", _field("step")),
        (Parameter("step", "mm", _up_to("step"), natural=_AT_ZERO),),
        _currents(3),
        scatters=True,
        mend="renew the dead reeds of the sensor",
    ),
    Cause(
        *("current unsteady (interference, earths)", "transmitter", _field("step")),
        (Parameter("over a width of", "mm", _up_to("step"), natural=_AT_ZERO),),
        _currents(3),
        scatters=True,
        mend="see to shield and earths of the loop; one earth only",
    ),
    Cause(
        *("switch off its set point, or dead", "switch", _field("set_point")),
        (Parameter("acts at", "mm", _on_scale, natural=(True, True)),),
        _switched,
        mend="move the switch to its set point; renew it if it does not change with a hand magnet",
    ),
    Cause(
        *("reference level off by a fixed amount", "reference", _field("reference"), (_DATUM,), _wet),
        mend="correct the datum of the other level; the gauge may be right",
    ),
    Cause(
        *("reference level off in proportion (its density)", "reference", _field("reference_gain")),
        (Parameter("reference over true", "", _within("reference"), _PLAIN),),
        _wet,
        mend="correct the density that the other transmitter is set to; the gauge may be right",
    ),
)
"""The one list of causes; the order is that of the report where two explain the readings equally well."""
