"""Causes of a wrong reading, each as a forward model: what gauge, transmitter, density sample and switch show
for a true level, if this is what is wrong.

A cause has one parameter with a range, or none. Which one explains a set of readings is found by
`xlfuncs.gauge.diagnosis`. The physics is that of `floats` (balance), `chamber` (two columns) and `signal`
(scaling). What a cause can do at the most is common practice, no source (`data/diagnosis.toml`).

SI units; heights count from the centre line of the lower process connection; NaN where nothing is known.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.chamber import chamber_level
from xlfuncs.gauge.floats import immersion
from xlfuncs.gauge.signal import current_to_level

NAN = math.nan
_DATA = load("diagnosis")
_RANGES: dict[str, Any] = _DATA["ranges"]
LEVEL_NOISE: float = _DATA["noise"]["level"] / 1e3
DENSITY_NOISE: float = _DATA["noise"]["density"] / 100
USUAL_RATE: float = _DATA["observation"]["level_rate"] / 1e3

RISING, STILL, FALLING = 1.0, 0.0, -1.0


@dataclass(frozen=True, slots=True)
class Gauge:
    """What is known of a gauge."""

    mass: float
    diameter: float
    length: float
    magnet_height: float
    ends: str = "flat"
    upper_density: float = 0.0
    lrv: float = NAN
    urv: float = NAN
    reverse: bool = False
    visible_range: float = NAN
    room_below: float = NAN
    """How far the float's bottom can go below the lower connection."""
    set_point: float = NAN
    differential: float = 0.0
    falling_switch: bool = False
    """The switch acts on a falling level."""


def _none() -> Array:
    return np.empty(0)


@dataclass(frozen=True)
class Readings:
    """Columns of n readings, NaN where one was not taken. A column left out holds NaN."""

    density: Array
    """Stated density of the (lower) liquid in the vessel."""
    level: Array = field(default_factory=_none)
    """True level in the vessel, by another means."""
    indicated: Array = field(default_factory=_none)
    current: Array = field(default_factory=_none)
    sample_density: Array = field(default_factory=_none)
    """Measured on liquid from the chamber, at its temperature."""
    direction: Array = field(default_factory=_none)
    """RISING, STILL or FALLING."""
    level_rate: Array = field(default_factory=_none)
    switch: Array = field(default_factory=_none)
    """1 acted, 0 not."""
    drained: Array = field(default_factory=_none)
    """1 where the chamber is isolated and drained and the float on its stop."""

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            column = np.asarray(value, dtype=np.float64) if len(value) else np.full(len(self.density), NAN)
            if column.shape != (len(self.density),):
                raise ValueError(f"{name} has {len(column)} readings, density {len(self.density)}")
            object.__setattr__(self, name, column)

    def __len__(self) -> int:
        return len(self.density)


@dataclass(frozen=True)
class Case:
    """Gauge and readings, with what the causes need of them."""

    gauge: Gauge
    readings: Readings
    level_noise: float = LEVEL_NOISE
    """Standard uncertainty of each level that is read: by the other means, on the indicator, from the current
    [m]."""
    density_noise: float = DENSITY_NOISE
    """Relative standard uncertainty of the stated density, and of a sample."""

    @cached_property
    def signal(self) -> Array:
        """Level that the current states."""
        g = self.gauge
        if not g.urv > g.lrv:
            return np.full(len(self.readings), NAN)
        return np.asarray(current_to_level(self.readings.current, g.lrv, g.urv, g.reverse))

    @cached_property
    def drained(self) -> NDArray[np.bool_]:
        return np.asarray(self.readings.drained == 1.0)

    @cached_property
    def placed(self) -> NDArray[np.bool_]:
        """Where it is known how high the float should stand."""
        on_stop = np.full(len(self.readings), not math.isnan(self.gauge.room_below))
        return np.where(self.drained, on_stop, ~np.isnan(self.readings.level))

    @cached_property
    def motion(self) -> Array:
        """Direction; still where none is stated."""
        return np.nan_to_num(self.readings.direction)

    @cached_property
    def rate(self) -> Array:
        """Level rate, positive upwards; a usual one where none is stated."""
        stated = np.abs(self.readings.level_rate)
        usual = USUAL_RATE if np.isnan(stated).all() else float(np.nanmedian(stated))
        return np.asarray(self.motion * np.where(np.isnan(stated), usual, stated))

    @cached_property
    def top(self) -> float:
        """Upper end of what the indicator can show."""
        if self.gauge.visible_range > 0:
            return self.gauge.visible_range
        return 1.2 * float(np.nanmax([*self.readings.level, *self.readings.indicated, 0.1]))

    @cached_property
    def stated_density(self) -> float:
        return float(np.nanmean(self.readings.density))

    def afloat(
        self,
        scale: Array | float = 1.0,
        *,
        mass: Array | float = 0.0,
        level: Array | None = None,
        inverted: bool = False,
    ) -> Array:
        """Height of the magnet plane: by the level, or on the stop of a drained chamber.

        `scale`: actual over stated density. `mass`: added to the float's. `level`: in the chamber, if not
        the vessel's.
        """
        g, r = self.gauge, self.readings
        plane = g.length - g.magnet_height if inverted else g.magnet_height
        depth = immersion(g.mass + mass, g.diameter, g.length, r.density * scale, g.upper_density, g.ends)
        here = r.level if level is None else level
        return np.asarray(np.where(self.drained, plane - g.room_below, here + plane - depth))


@dataclass(frozen=True, slots=True)
class Expected:
    """What a cause predicts: one row for each value of its parameter, one column for each reading."""

    magnet: Array
    """Height of the magnet plane."""
    indicated_shift: Array | float = 0.0
    follows: bool = True
    """The float follows the level."""
    held: Array | None = None
    """Where the indicator stands, if it does not follow the magnet."""
    signal: Callable[[Array], Array] = lambda height: height
    """Level that the transmitter states for a height of the magnet plane."""
    sample: Array | float = 0.0
    """ln of the density in the chamber over the vessel's."""
    magnet_variance: Array | float = 0.0
    signal_variance: Array | float = 0.0
    set_point: Array | float = NAN
    """Where the switch really acts, if not at its set point."""


Model = Callable[[Case, Array, float], Expected]
"""(case, values of the parameter as a column, actual over stated density) -> what is expected."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that can be wrong."""

    name: str
    model: Model
    fitted: str = ""
    """What the parameter is; "" for a cause without one."""
    unit: str = ""
    """Of the parameter as shown."""
    span: Callable[[Case], tuple[float, float]] | None = None
    """Lowest and highest value of the parameter."""
    shown: Callable[[Case, float], float] = lambda case, value: value * 1e3
    """The parameter, in SI units, as a number of `unit`."""
    needs: Callable[[Case], str] = lambda case: ""
    """Which data are missing to test the cause, "" if none."""
    free_density: bool = False
    """The stated density counts for nothing."""
    in_float: bool = False
    """Gone with a clean spare float."""
    added_mass: bool = False
    """The parameter is a mass that weighing the float shows [kg]."""
    seen: str = ""
    """What is seen of it when the float is taken out."""


def _level(case: Case) -> str:
    read = ~np.isnan(case.readings.indicated) | ~np.isnan(case.signal)
    return "" if (case.placed & read).any() else "the true level beside a reading"


def _shown_twice(case: Case) -> str:
    """For what indicator and transmitter show differently."""
    return _currents(1)(case) and _level(case)


def _moving(case: Case) -> str:
    return _level(case) or (
        "" if (case.placed & (case.motion != 0)).any() else "readings with a moving level"
    )


def _two_columns(case: Case) -> str:
    wet = ~np.isnan(case.readings.level) & ~case.drained
    if case.gauge.upper_density > 0.5 * case.stated_density:
        return "a level gauge: this one shows an interface"
    return _level(case) or ("" if wet.any() else "the true level beside a reading")


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


def _within(name: str) -> Callable[[Case], tuple[float, float]]:
    low, high = _RANGES[name]
    return lambda case: (low, high)


def _shift(name: str) -> Callable[[Case], tuple[float, float]]:
    reach = _RANGES[name] / 1e3
    return lambda case: (-reach, reach)


def _up_to(name: str) -> Callable[[Case], tuple[float, float]]:
    return lambda case: (0.0, _RANGES[name] / 1e3)


def _density(case: Case, factor: float) -> float:
    return factor * case.stated_density


def _spread(case: Case, height: Array) -> Array:
    """One height for all readings."""
    return np.broadcast_to(height, (len(height), len(case.readings)))


def _as_designed(case: Case, value: Array, scale: float) -> Expected:
    return Expected(np.atleast_2d(case.afloat(scale)))


def _wrong_density(case: Case, factor: Array, scale: float) -> Expected:
    return Expected(case.afloat(factor * scale), sample=np.log(factor))


def _upside_down(case: Case, value: Array, scale: float) -> Expected:
    return Expected(np.atleast_2d(case.afloat(scale, inverted=True)))


def _heavier(case: Case, mass: Array, scale: float) -> Expected:
    return Expected(case.afloat(scale, mass=mass))


def _deposit_span(case: Case) -> tuple[float, float]:
    area = math.pi / 4 * case.gauge.diameter**2
    lift = case.stated_density - case.gauge.upper_density
    return 0.0, _RANGES["deposit"] / 1e3 * area * lift


def _held(case: Case, height: Array, scale: float) -> Expected:
    return Expected(_spread(case, height), follows=False)


def _sunk_span(case: Case) -> tuple[float, float]:
    g = case.gauge
    if not math.isnan(g.room_below):
        return g.magnet_height - g.room_below - 0.01, g.magnet_height - g.room_below + 0.01
    # most gauges leave the float room to show an empty vessel as empty
    return -g.length, 0.05


def _scale(case: Case, shift: Array, scale: float) -> Expected:
    return Expected(np.atleast_2d(case.afloat(scale)), indicated_shift=shift)


def _chamber(case: Case, ratio: Array, scale: float) -> Expected:
    vessel = case.readings.density * scale
    level = chamber_level(
        np.maximum(case.readings.level, 0.0), vessel, ratio * vessel, case.gauge.upper_density
    )
    return Expected(case.afloat(ratio * scale, level=level), sample=np.log(ratio))


def _stuck_span(case: Case) -> tuple[float, float]:
    return -0.05, case.top + 0.05


def _drags(case: Case, band: Array, scale: float) -> Expected:
    # at rest the float is anywhere within the band
    return Expected(
        case.afloat(scale) - band * case.motion,
        magnet_variance=np.where(case.motion == 0, band**2 / 3, 0.0),
    )


def _late(case: Case, seconds: Array, scale: float) -> Expected:
    return Expected(case.afloat(scale) - seconds * case.rate)


def _late_span(case: Case) -> tuple[float, float]:
    fastest = float(np.max(np.abs(case.rate)))
    return 0.0, _RANGES["lag"] / 1e3 / (fastest or USUAL_RATE)


def _indicator(case: Case, height: Array, scale: float) -> Expected:
    return Expected(np.atleast_2d(case.afloat(scale)), held=_spread(case, height))


def _mounting(case: Case, shift: Array, scale: float) -> Expected:
    return Expected(np.atleast_2d(case.afloat(scale)), signal=lambda height: height + shift)


def _range(case: Case, span: Array, scale: float) -> Expected:
    lrv, stated = case.gauge.lrv, case.gauge.urv - case.gauge.lrv
    return Expected(
        np.atleast_2d(case.afloat(scale)), signal=lambda height: lrv + (height - lrv) * stated / span
    )


def _range_span(case: Case) -> tuple[float, float]:
    low, high = _RANGES["span"]
    span = case.gauge.urv - case.gauge.lrv
    return low * span, high * span


def _steps(case: Case, step: Array, scale: float) -> Expected:
    # within a step all is equally likely (JCGM 100:2008, 4.3.7)
    return Expected(np.atleast_2d(case.afloat(scale)), signal_variance=step**2 / 12)


def _switch(case: Case, height: Array, scale: float) -> Expected:
    return Expected(np.atleast_2d(case.afloat(scale)), set_point=height)


AS_DESIGNED = Cause("as designed", _as_designed)

CAUSES: tuple[Cause, ...] = (
    AS_DESIGNED,
    Cause(
        *("density not as stated", _wrong_density, "density", "kg/m3"),
        span=_within("density"),
        shown=_density,
        needs=_level,
        free_density=True,
    ),
    Cause("float upside down", _upside_down, needs=_level, in_float=True, seen="its top mark is down"),
    Cause(
        *("float heavier (deposit, or liquid inside)", _heavier, "added mass", "g"),
        span=_deposit_span,
        needs=_level,
        in_float=True,
        added_mass=True,
    ),
    Cause(
        *("float sunk (flooded or collapsed)", _held, "magnet plane at", "mm"),
        span=_sunk_span,
        needs=_level,
        in_float=True,
        seen="it is dented or holds liquid",
    ),
    Cause("scale shifted", _scale, "shift", "mm", span=_shift("shift"), needs=_shown_twice),
    Cause(
        *("chamber colder or hotter than the vessel", _chamber, "density in the chamber", "kg/m3"),
        span=_within("chamber"),
        shown=_density,
        needs=_two_columns,
    ),
    Cause("float stuck", _held, "magnet plane at", "mm", span=_stuck_span, needs=_level, in_float=True),
    Cause(
        "float drags",
        _drags,
        "behind either way",
        "mm",
        span=_up_to("friction"),
        needs=_moving,
        in_float=True,
    ),
    Cause(
        *("float follows late (viscous liquid)", _late, "delay", "s"),
        span=_late_span,
        shown=lambda case, value: value,
        needs=_moving,
    ),
    Cause(
        *("indicator does not follow the float", _indicator, "stands at", "mm"),
        span=_stuck_span,
        needs=_shown_twice,
    ),
    Cause(
        "transmitter mounted too high or low",
        _mounting,
        "shift",
        "mm",
        span=_shift("shift"),
        needs=_currents(1),
    ),
    Cause("transmitter range off", _range, "span", "mm", span=_range_span, needs=_currents(2)),
    Cause("transmitter steps", _steps, "step", "mm", span=_up_to("step"), needs=_currents(3)),
    Cause("switch off its set point, or dead", _switch, "acts at", "mm", span=_stuck_span, needs=_switched),
)
"""The one list of causes; the order is that of the report where two explain the readings equally well."""
