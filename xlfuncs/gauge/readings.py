"""What is known of a gauge that reads wrong, and what was read and seen: columns in SI.

Heights count from the centre line of the lower process connection; NaN where nothing is known.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.signal import current_to_level

NAN = math.nan
_DATA: dict[str, Any] = load("diagnosis")
LEVEL_NOISE: float = _DATA["noise"]["level"] / 1e3
DENSITY_NOISE: float = _DATA["noise"]["density"] / 100
USUAL_RATE: float = _DATA["observation"]["level_rate"] / 1e3
INTERFACE: float = _DATA["observation"]["interface"]
"""Upper over lower density from which a gauge shows an interface."""

SATURATED_LOW, SATURATED_HIGH, _NEAR = 3.8e-3, 20.5e-3, 0.1e-3
_AT_END = 3.0
"""Noises from the end of a scale within which the indicator may stand beyond it."""
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
    scale_shift: float = 0.0
    """Added to the magnet plane's height: the scale and the range are set for the float by so much."""
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
    limit: Array = field(default_factory=_none)
    """-1 where the indicator stands at `indicated` or below, 1 where there or above."""

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
    answers: Mapping[str, bool | float] = field(default_factory=dict)
    """What was seen besides readings: question -> its answer (`xlfuncs.gauge.questions`)."""
    usual: float = NAN
    """Rate by which a choked leg is counted, where it is that of other readings [m/s]."""

    @cached_property
    def level_known(self) -> bool:
        """Where the level is was read besides at the gauge itself; or its chamber was drained."""
        return not bool(np.isnan(self.readings.level).all()) or bool((self.readings.drained == 1).any())

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
    def usual_rate(self) -> float:
        """Rate at which most moving readings were taken."""
        if not math.isnan(self.usual):
            return self.usual
        moving = np.abs(self.rate)[self.motion != 0]
        return float(np.median(moving)) if len(moving) else USUAL_RATE

    @cached_property
    def interface(self) -> bool:
        """The gauge shows an interface."""
        return self.gauge.upper_density > INTERFACE * self.stated_density

    @cached_property
    def top(self) -> float:
        """Upper end of what the indicator can show."""
        if self.gauge.visible_range > 0:
            return self.gauge.visible_range
        return 1.2 * float(np.nanmax([*self.readings.level, *self.readings.indicated, 0.1]))

    @cached_property
    def beyond(self) -> Array:
        """-1 where the indicator may stand below what is written down, 1 where above, else 0."""
        read, limit = self.readings.indicated, np.nan_to_num(self.readings.limit)
        near = _AT_END * self.level_noise
        at_end = np.where(np.abs(read) <= near, -1.0, 0.0)
        if self.gauge.visible_range > 0:
            at_end = np.where(np.abs(read - self.gauge.visible_range) <= near, 1.0, at_end)
        return np.asarray(np.where(limit != 0, limit, at_end))

    @cached_property
    def saturated(self) -> Array:
        """The same of the level that the current states: it ends at 3.8 and 20.5 mA (NE 43)."""
        low = self.readings.current <= SATURATED_LOW + _NEAR
        high = self.readings.current >= SATURATED_HIGH - _NEAR
        way = np.where(low, -1.0, np.where(high, 1.0, 0.0))
        return np.asarray(-way if self.gauge.reverse else way)

    @cached_property
    def stated_density(self) -> float:
        return float(np.nanmean(self.readings.density))
