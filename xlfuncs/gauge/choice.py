"""Which floats of a list suit a duty, in which order, and why the others do not.

Every float is held against every condition of the duty by the float balance, the strength of its shell
and the worst reading of `xlfuncs.gauge.worst`: offset, uncertainty, movement and heat together. Extremes of
the offset need no search: it and the share above the surface both rise with the lower and with the upper
density, so that the pairs (lowest, lowest) and (highest, highest) bound all others.

What a list does not state is named, never assumed: such a float is not judged. SI units throughout.
The thresholds of `Duty` are those of the audit: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge._reasons import Array, reasons
from xlfuncs.gauge.floats import ENDS, density_window, float_density, reading_offset, reserve
from xlfuncs.gauge.model import (
    Chamber,
    Float,
    Fluids,
    Gauge,
    Movement,
    Spread,
    usual_spread,
)
from xlfuncs.gauge.response import REYNOLDS_LIMIT, gap_reynolds
from xlfuncs.gauge.strength import find_material, permitted_pressure
from xlfuncs.gauge.worst import Worst, worst_deviation

LIQUID_FROM = 300.0
"""Density of an upper fluid [kg/m3] from which it counts as a liquid (common practice, no source)."""

Mask = NDArray[np.bool_]
Status = Literal["fits", "not judged", "rejected"]

_SLACK = 1e-9
"""Relative (of lengths: m) difference that is rounding, so that units do not decide."""


@dataclass(frozen=True)
class Condition:
    """One state of the fluids. Densities [kg/m3], viscosity [Pa s] or NaN."""

    name: str
    lower_density: float
    upper_density: float = 0.0
    operating: bool = True
    """False for a start-up: the float must float there, and its offset is stated, not judged."""
    viscosity: float = np.nan


@dataclass(frozen=True)
class Duty:
    """What a float has to do. NaN where a condition is not stated: it is then not checked."""

    conditions: tuple[Condition, ...]
    design_pressure: float = np.nan
    """Pa gauge."""
    design_temperature: float = np.nan
    """K."""
    tolerance: float = 0.010
    """How far the indicator may stand from the level, either way, with everything that is counted [m]."""
    minimum_reserve: float = 0.10
    """Least share of the volume above the surface; at an interface on either side of it."""
    chamber_bore: float = np.nan
    level_rate: float = 0.010
    """m/s."""
    safety_factor: float = 3.0
    """Collapse pressure over permitted pressure."""
    spread: Spread = field(default_factory=usual_spread)
    """Standard uncertainties of the floats' data."""
    corrosion: float = 0.0
    """Loss of wall all over to reckon with [m]."""
    lowest_temperature: float = np.nan
    """Lowest at which it has to read right [K]: a cold float is smaller, and its scale shorter."""
    heat_at: tuple[float, ...] = ()
    """Temperatures at which it has to read right [K], NaN: as measured; (): as measured, at the lowest and at
    the design temperature."""
    service: Literal["level", "interface", ""] = ""
    """"" : an interface where the upper fluid is a liquid by its density."""

    def __post_init__(self) -> None:
        for item in self.conditions:
            if not item.lower_density > 0:
                raise ValueError("the lower density must be above 0")
            if not 0 <= item.upper_density < item.lower_density:
                raise ValueError(
                    f"the upper density of {item.upper_density:.5g} kg/m3 must be 0 or more and below the"
                    f" lower density of {item.lower_density:.5g} kg/m3"
                )
            if item.viscosity <= 0:
                raise ValueError("the viscosity must be above 0")
        if not any(item.operating for item in self.conditions):
            raise ValueError("give the density at operating conditions")
        if not self.tolerance > 0:
            raise ValueError("the tolerance must be above 0")
        most = 0.5 if self.interface else 1.0
        if not 0 <= self.minimum_reserve < most:
            raise ValueError(f"the minimum reserve is a share: 0 to below {most:g}")
        if not self.safety_factor >= 1:
            raise ValueError("the safety factor must be 1 or above")
        if self.chamber_bore <= 0 or not self.level_rate >= 0:
            raise ValueError("the chamber bore must be above 0 and the level rate must not be negative")

    @cached_property
    def interface(self) -> bool:
        """Whether the float rides between two liquids."""
        if self.service:
            return self.service == "interface"
        return any(c.upper_density > LIQUID_FROM for c in self.conditions if c.operating)

    def of_each(self, name: str) -> Array:
        """A property of the conditions as a row, against the column of the floats."""
        return np.array([[getattr(item, name) for item in self.conditions]])


def between(
    lower: tuple[float, float],
    upper: tuple[float, float] = (0.0, 0.0),
    normal: float | None = None,
    viscosity: float = np.nan,
) -> tuple[Condition, ...]:
    """The operating conditions of a range of densities: both ends, and the normal density if given."""
    if lower[0] > lower[1] or upper[0] > upper[1]:
        raise ValueError("the lowest density is above the highest: exchange them")
    found = [Condition("lowest density", lower[0], upper[0], viscosity=viscosity)]
    if normal is not None:
        if not lower[0] * (1 - _SLACK) <= normal <= lower[1] * (1 + _SLACK):
            raise ValueError(
                f"the normal density of {normal:.5g} kg/m3 is not between the lowest of {lower[0]:.5g}"
                f" and the highest of {lower[1]:.5g} kg/m3"
            )
        found.append(Condition("normal density", normal, (upper[0] + upper[1]) / 2, viscosity=viscosity))
    found.append(Condition("highest density", lower[1], upper[1], viscosity=viscosity))
    return tuple(found)


@dataclass(frozen=True)
class FloatList:
    """n floats as columns; NaN and "" where the list states nothing."""

    part: NDArray[np.object_]
    mass: Array
    diameter: Array
    length: Array
    magnet_height: Array
    ends: NDArray[np.object_]
    """One of `ENDS`, or ""."""
    wall: Array
    material: NDArray[np.object_]
    max_pressure: Array
    """Pa gauge."""
    max_temperature: Array
    """K."""
    magnet_temperature: Array
    """K; what the magnet bears."""
    service: NDArray[np.object_]
    """"level", "interface" or ""."""
    trouble: Mapping[int, Mapping[str, str]] = field(default_factory=dict)
    """Float -> column -> why its cell could not be read."""

    def __len__(self) -> int:
        return len(self.part)


_TEXTS = ("part", "ends", "material", "service")
_COLUMNS = (
    *("mass", "diameter", "length", "magnet_height", "wall"),
    *("max_pressure", "max_temperature", "magnet_temperature"),
)


def float_list(
    columns: Mapping[str, Any], trouble: Mapping[int, Mapping[str, str]] | None = None
) -> FloatList:
    """Array from the columns that there are; `part` is one of them, the others may be left out."""
    n = len(columns["part"])
    full: dict[str, Any] = {name: np.full(n, "", dtype=object) for name in _TEXTS}
    full |= {name: np.full(n, np.nan) for name in _COLUMNS}
    for name, values in columns.items():
        kind = object if name in _TEXTS else np.float64
        full[name] = np.broadcast_to(np.asarray(values, dtype=kind), n)
    return FloatList(**full, trouble=trouble or {})


@dataclass(frozen=True)
class Candidate:
    """One float, judged. Lengths [m], densities [kg/m3], pressures [Pa], temperatures [K]; NaN unknown."""

    part: str
    status: Status
    rank: int | None
    """1 for the best; None where it does not fit."""
    reasons: tuple[str, ...]
    """Why it is rejected or not judged, the weightiest first."""
    remarks: tuple[str, ...]
    """What to know besides: what was not checked, how it behaves at start-up."""
    mean_density: float
    offsets: Mapping[str, float]
    """Reading offset by the name of the condition."""
    shares: Mapping[str, float]
    """Share of the volume above the surface by the name of the condition."""
    window: tuple[float, float]
    """Lower densities for which the offset stays within the tolerance."""
    worst_offset: float
    """Largest offset at operating conditions, without sign."""
    pressure_limit: float
    pressure_margin: float
    temperature_limit: float
    temperature_margin: float
    movement: float
    """Largest shift by a moving level at operating conditions."""
    reading: tuple[float, float]
    """Lowest and highest reading less the level at operating conditions, everything counted."""
    kinds: tuple[str, ...] = ()
    """Of each of the reasons for which it is rejected: what it breaks, 'pressure', 'reading' ..."""

    @property
    def verdict(self) -> str:
        """'fits', or the first reason why not."""
        return self.reasons[0] if self.reasons else "fits"


class Extreme(NamedTuple):
    """The worst reading of a float over its operating conditions, with what makes it [m]."""

    condition: int
    """Number of the condition."""
    lower: float
    upper: float
    """Densities of the condition [kg/m3]."""
    reading: float
    shares: dict[str, float]


def choose(floats: FloatList, duty: Duty) -> list[Candidate]:
    """The floats, judged and in order: those that fit, those that lack data, those that are rejected.

    Fitting floats are ranked by their worst reading, the nearest first, then by the margins of pressure
    and temperature, the largest first. Of the rejected ones those that at least float come first, then
    those with fewer reasons, then the nearest. Floats that are equal in this keep the order of the list.
    """
    return ranked(Judgement(floats, duty))


def ranked(numbers: Judgement) -> list[Candidate]:
    """What `choose` gives, of numbers that are needed for more than that."""
    found = [numbers.candidate(i) for i in range(len(numbers.floats))]

    def key(item: Candidate) -> tuple[float, ...]:
        if item.status == "not judged":
            return (1,)
        if item.status == "rejected":
            lost = np.isnan(item.worst_offset)
            return (2, lost, len(item.reasons), round(item.mean_density if lost else item.worst_offset, 9))
        margins = (item.pressure_margin, item.temperature_margin)
        return (
            0,
            round(max(-item.reading[0], item.reading[1]), 9),
            *(0.0 if np.isnan(m) else -round(m, 3) for m in margins),
        )

    found.sort(key=key)
    return [
        replace(item, rank=place) if item.status == "fits" else item
        for place, item in enumerate(found, start=1)
    ]


def _picked(values: NDArray[Any], at: NDArray[np.int64]) -> NDArray[Any]:
    """Of each float and condition, the value at one of the temperatures."""
    return np.asarray(np.take_along_axis(values, at[:, None], 1)[:, 0])


@dataclass(frozen=True)
class Said:
    """How a verdict writes its numbers: in the units of the list that asks."""

    density: Callable[[float], str]
    pressure: Callable[[float], str]
    temperature: Callable[[float], str]
    length: Callable[[float], str] = lambda metres: mm(metres)
    rate: Callable[[float], str] = lambda rate: f"{mm(rate)}/s"
    cold: str = ""
    """What is said of an offset, which the float balance alone gives: ' (cold)'."""
    worst: str = ""
    """What is said of a reading in which everything is counted: ' at worst'."""


class Judgement:
    """The numbers of every float at every condition, and what follows from them."""

    def __init__(self, floats: FloatList, duty: Duty, said: Said | None = None) -> None:
        self.floats, self.duty = floats, duty
        self.said = said or Said(kg, barg, celsius)
        known = np.isin(floats.ends, ENDS)
        ends = np.where(known, floats.ends, "flat").astype(str)
        length = np.where(known, floats.length, np.nan)
        body = (floats.mass, floats.diameter, length)
        m, d, long, shape = (value[:, None] for value in (*body, ends))
        lower, upper = duty.of_each("lower_density"), duty.of_each("upper_density")
        self.lower, self.upper = lower[0], upper[0]
        self.operating = np.array([c.operating for c in duty.conditions])
        with reasons() as why:
            self.mean = np.asarray(float_density(*body, ends))
        self.misfit = why.at(self.mean)
        """Why the stated size cannot be that of a float."""
        self.sinks = self.mean[:, None] >= lower
        self.free = (self.mean[:, None] <= upper) & (upper > 0)
        magnet = floats.magnet_height[:, None]
        self.offset = np.asarray(reading_offset(m, d, long, magnet, lower, upper, shape))
        self.share = np.asarray(reserve(m, d, long, lower, upper, shape))
        self.worst = np.abs(self.offset[:, self.operating]).max(axis=1)
        self._body, self._ends = body, ends
        self._reading(Float(m, d, long, magnet, shape, floats.wall[:, None], floats.material[:, None]))

    def _reading(self, float_: Float) -> None:
        """Everything that shifts the reading: every condition as measured, hottest and coldest."""
        duty = self.duty
        viscosity = duty.of_each("viscosity")
        metal = np.where(self.unknown_material, "", self.floats.material)
        stated = (duty.design_temperature, duty.lowest_temperature)
        kelvins = duty.heat_at or (np.nan, *dict.fromkeys(x for x in stated if not np.isnan(x)))
        side_by_side = (1, len(kelvins))  # one pass through the physics instead of one for each temperature
        fluids = Fluids(
            np.tile(duty.of_each("lower_density"), side_by_side),
            np.tile(duty.of_each("upper_density"), side_by_side),
            np.tile(viscosity, side_by_side),
            temperature=np.repeat(kelvins, len(duty.conditions))[None, :],
        )
        gauge = Gauge(
            replace(float_, metal=metal[:, None], metal_density=self._densities()[:, None]),
            (fluids,),
            Chamber(duty.chamber_bore),
            Movement(duty.level_rate),
            replace(duty.spread, wear=duty.corrosion),
        )
        with reasons() as why:
            every = worst_deviation(gauge)
        self.shown = self._over_temperatures(every, len(kelvins))
        texts = self._by_temperature(why.at(every.low), len(kelvins))
        self.no_reading = _picked(texts, self.shown.low_case)
        moved = np.abs(np.asarray(self.shown.high_shares["movement"]))
        unknown = np.isnan(viscosity + duty.chamber_bore)
        self.movement = np.broadcast_to(np.where(unknown, np.nan, moved), self.offset.shape)

    def _by_temperature(self, values: Any, count: int) -> NDArray[Any]:
        """What stands side by side, for each float by temperature and condition."""
        floats, conditions = self.offset.shape
        wide = np.broadcast_to(np.asarray(values), (floats, count * conditions))
        return wide.reshape(floats, count, conditions)

    def _over_temperatures(self, every: Worst, count: int) -> Worst:
        """The lowest and the highest reading of all temperatures; none where one of them has none."""
        low, high = (self._by_temperature(end, count) for end in (every.low, every.high))
        at_low = np.argmin(np.where(np.isnan(low), -np.inf, low), axis=1)
        at_high = np.argmax(np.where(np.isnan(high), np.inf, high), axis=1)

        def shares(of: Mapping[str, Array], at: NDArray[np.int64]) -> dict[str, Array]:
            return {name: _picked(self._by_temperature(one, count), at) for name, one in of.items()}

        return Worst(
            _picked(low, at_low),
            _picked(high, at_high),
            shares(every.low_shares, at_low),
            shares(every.high_shares, at_high),
            at_low,
            at_high,
            every.missing,
        )

    def _extremes(self) -> tuple[int, int]:
        """Operating conditions with the lowest and with the highest densities."""
        at = np.flatnonzero(self.operating)
        return int(at[np.argmin(self.lower[at])]), int(at[np.argmax(self.lower[at])])

    @cached_property
    def window(self) -> tuple[Array, Array]:
        """Lowest and highest lower density for which the offset stays within the tolerance."""
        low, high = self._extremes()
        plane, allowed = self.floats.magnet_height, self.duty.tolerance
        lowest, _ = density_window(*self._body, plane, allowed, self.upper[low], self._ends)
        _, highest = density_window(*self._body, plane, allowed, self.upper[high], self._ends)
        return np.asarray(lowest), np.asarray(highest)

    @cached_property
    def unknown_material(self) -> Mask:
        """Of which floats the list states a material that is not tabulated."""
        known = self._metals
        return np.array(
            [bool(name) and known[name] is None for name in self.floats.material.tolist()], dtype=np.bool_
        )

    @cached_property
    def _metals(self) -> dict[str, str | None]:
        """Material as the list has it -> its name in the table."""
        names = set(self.floats.material.tolist())
        return {name: find_material(str(name)) if name else None for name in names}

    @cached_property
    def _shells(self) -> tuple[Array, NDArray[np.object_]]:
        """What shell and curved ends are computed to bear, and why some are not."""
        floats, duty = self.floats, self.duty
        computed = np.full(len(floats), np.nan)
        why_not: NDArray[np.object_] = np.full(len(floats), "", dtype=object)
        length = self._body[2]
        able = (floats.material != "") & ~self.unknown_material & ~np.isnan(floats.wall + length)
        if able.any():
            thin = floats.wall[able] - duty.corrosion
            across, long = floats.diameter[able] - 2 * duty.corrosion, length[able] - 2 * duty.corrosion
            shell = (across, thin, long, floats.material[able])
            with reasons() as why:
                permitted = permitted_pressure(
                    *shell, duty.design_temperature, self._ends[able], duty.safety_factor
                )
            computed[able] = permitted
            why_not[able] = why.at(permitted)
        return computed, why_not

    @property
    def computed(self) -> Array:
        """Permitted pressure of shell and curved ends, where wall and material are stated."""
        return self._shells[0]

    @property
    def no_strength(self) -> NDArray[np.object_]:
        """Why the permitted pressure is not computed; "" where it is."""
        return self._shells[1]

    @cached_property
    def flat(self) -> Mask:
        return np.asarray(self.floats.ends == "flat")

    @cached_property
    def limit(self) -> Array:
        """The least of stated and computed pressure; a flat end is not in the computed one."""
        whole = np.where(self.flat, np.nan, self.computed)
        stated = self.floats.max_pressure
        return np.where(np.isnan(stated), whole, np.fmin(stated, self.computed))

    @cached_property
    def hottest(self) -> Array:
        """What float and magnet bear [K]."""
        return np.asarray(np.fmin(self.floats.max_temperature, self.floats.magnet_temperature))

    # --- what is wrong ----------------------------------------------------------------------------

    def checks(self) -> Iterator[tuple[str, Mask, Callable[[int], str]]]:
        """Every ground for rejection: of which kind it is, where it holds, and its text for a float."""
        duty, floats = self.duty, self.floats
        ours = "interface" if duty.interface else "level"
        yield (
            "service",
            (floats.service != "") & (floats.service != ours),
            lambda i: f"made for {floats.service[i]} service, the duty is {ours}",
        )
        sinks, free = _anywhere(self.sinks), _anywhere(self.free)
        yield "sinks", sinks, self._sinks
        yield "rises", free, self._free
        least = duty.minimum_reserve - _SLACK
        yield "reserve", ~sinks & _anywhere(self.share < least), self._reserve_above
        if duty.interface:
            yield "reserve", ~free & _anywhere(1 - self.share < least), self._reserve_below
        yield "reading", self.worst > duty.tolerance + _SLACK, self._offset
        wide: Mask = np.asarray(floats.diameter >= duty.chamber_bore * (1 - _SLACK))
        yield (
            "bore",
            wide,
            lambda i: (
                f"its diameter of {self.said.length(floats.diameter[i])} does not go into the bore of"
                f" {self.said.length(duty.chamber_bore)}"
            ),
        )
        need, hot = duty.design_pressure, duty.design_temperature
        slack = _SLACK * abs(need)
        over: Mask = np.asarray(need > floats.max_pressure + slack)
        yield (
            "pressure",
            over,
            lambda i: (
                f"its limit is {self.said.pressure(floats.max_pressure[i])},"
                f" the design pressure is {self.said.pressure(need)}"
            ),
        )
        yield "pressure", np.asarray(~over & (need > self.computed + slack)), self._collapse
        too_hot: Mask = np.asarray(hot > floats.max_temperature + 1e-6)
        yield "temperature", too_hot, partial(self._too_hot, "its limit is", floats.max_temperature)
        magnet = floats.magnet_temperature
        yield (
            "temperature",
            np.asarray(~too_hot & (hot > magnet + 1e-6)),
            partial(self._too_hot, "its magnet bears", magnet),
        )
        yield "reading", self._lost(), self._no_reading
        yield "reading", self._beyond() & ~(self.worst > duty.tolerance + _SLACK), self._sum

    def _too_hot(self, what: str, limit: Array, i: int) -> str:
        warm, say = self.duty.design_temperature, self.said.temperature
        return f"{what} {say(limit[i])}, the design temperature is {say(warm)}"

    def _sinks(self, i: int) -> str:
        at = int(np.argmin(self.lower))
        return f"sinks{self._where(at)}: its mean density is {self.said.density(self.mean[i])}"

    def _free(self, i: int) -> str:
        at = int(np.argmax(self.upper))
        start = "" if self.operating[at] else f" ({self.duty.conditions[at].name})"
        return (
            f"rises into the upper fluid of {self.said.density(self.upper[at])}{start}:"
            f" its mean density is {self.said.density(self.mean[i])}"
        )

    def _reserve_above(self, i: int) -> str:
        at = int(np.nanargmin(self.share[i]))
        return (
            f"only {percent(self.share[i, at])} of it stands above the {self._surface}{self._where(at)},"
            f" {percent(self.duty.minimum_reserve)} is the least"
        )

    def _reserve_below(self, i: int) -> str:
        at = int(np.nanargmax(self.share[i]))
        return (
            f"only {percent(1 - self.share[i, at])} of it hangs below the interface{self._where(at)},"
            f" {percent(self.duty.minimum_reserve)} is the least"
        )

    def _offset(self, i: int) -> str:
        at = int(np.argmax(np.where(self.operating, np.abs(self.offset[i]), 0.0)))
        return (
            f"reads {_reads(self.offset[i, at])}{self.said.cold}{self._where(at)}, the tolerance is"
            f" {mm(self.duty.tolerance)}"
        )

    def _collapse(self, i: int) -> str:
        say = self.said.pressure
        return (
            f"computed to bear {say(self.computed[i])} (collapse / {self.duty.safety_factor:g}),"
            f" the design pressure is {say(self.duty.design_pressure)}"
        )

    def _lost(self) -> Mask:
        """Floats that ride, and whose reading has no limit: drawn under, or lifted out."""
        low, high = np.asarray(self.shown.low), np.asarray(self.shown.high)
        gone = np.isnan(low + high) & ~np.isnan(self.offset) & (self.no_reading != "")
        return _anywhere(gone & self.operating)

    def _no_reading(self, i: int) -> str:
        gone = np.isnan(np.asarray(self.shown.low)[i]) & ~np.isnan(self.offset[i]) & self.operating
        return f"at {self.said.rate(self.duty.level_rate)} {self.no_reading[i, int(np.argmax(gone))]}"

    def spans(self) -> tuple[Array, Array]:
        """Lowest and highest reading less the level, over the operating conditions."""
        low, high = (np.broadcast_to(x, self.offset.shape) for x in (self.shown.low, self.shown.high))
        return low[:, self.operating].min(axis=1), high[:, self.operating].max(axis=1)

    def _beyond(self) -> Mask:
        low, high = self.spans()
        allowed = self.duty.tolerance + _SLACK
        with np.errstate(invalid="ignore"):
            return np.asarray((low < -allowed) | (high > allowed))

    def _sum(self, i: int) -> str:
        found = self.extreme(i)
        assert found is not None  # it reads beyond the tolerance
        parts = ", ".join(f"{name} {1e3 * x:+.1f}" for name, x in found.shares.items() if abs(x) >= 5e-5)
        return (
            f"may read {_reads(found.reading)}{self.said.worst}{self._where(found.condition)} ({parts} mm),"
            f" the tolerance is {mm(self.duty.tolerance)}"
        )

    def extreme(self, i: int) -> Extreme | None:
        """The farthest of the readings of float i; None where it has none."""
        low, high = self.spans()
        return None if np.isnan(low[i] + high[i]) else self.ends(i)[0 if -low[i] > high[i] else 1]

    def ends(self, i: int) -> tuple[Extreme, Extreme]:
        """The lowest and the highest reading of float i, which has some."""
        shown = self.shown
        return (
            self._end(i, shown.low, shown.low_shares, np.nanargmin),
            self._end(i, shown.high, shown.high_shares, np.nanargmax),
        )

    def _end(
        self, i: int, shown: Array, shares: Mapping[str, Array], pick: Callable[[Array], Any]
    ) -> Extreme:
        values = np.where(self.operating, np.broadcast_to(shown, self.offset.shape)[i], np.nan)
        at = int(pick(values))
        each = {name: float(np.broadcast_to(one, self.offset.shape)[i, at]) for name, one in shares.items()}
        return Extreme(at, float(self.lower[at]), float(self.upper[at]), float(values[at]), each)

    def _worst_movement(self) -> Array:
        return np.asarray(np.fmax.reduce(self.movement[:, self.operating], axis=1))

    def _densities(self) -> Array:
        """Density of each float's metal; NaN where it is not tabulated."""
        table = load("materials")
        found = [self._metals[name] for name in self.floats.material.tolist()]
        return np.array([np.nan if name is None else table[name]["density"]["value"] for name in found])

    @property
    def _surface(self) -> str:
        return "interface" if self.duty.interface else "surface"

    def _where(self, at: int) -> str:
        item = self.duty.conditions[at]
        above = f" under {self.said.density(item.upper_density)}" if self.duty.interface else ""
        start = "" if item.operating else f" ({item.name})"
        return f" at {self.said.density(item.lower_density)}{above}{start}"

    # --- what is not known ------------------------------------------------------------------------

    def missing(self, i: int) -> list[str]:
        """What has to be stated, or stated anew, before float i can be judged."""
        floats, duty = self.floats, self.duty
        trouble = floats.trouble.get(i, {})
        found = [f"{_words(name)} {why}" for name, why in trouble.items()]
        absent = [
            _words(name)
            for name in ("mass", "diameter", "length", "magnet_height")
            if np.isnan(getattr(floats, name)[i]) and name not in trouble
        ]
        if floats.ends[i] not in ENDS and "ends" not in trouble:
            absent.append("shape of the ends")
        if not np.isnan(duty.design_pressure) and np.isnan(self.limit[i]) and "max_pressure" not in trouble:
            absent.append("maximum pressure" + self._hint(i))
        if (
            not np.isnan(duty.design_temperature)
            and np.isnan(self.hottest[i])
            and not {"max_temperature", "magnet_temperature"} & trouble.keys()
        ):
            absent.append("maximum temperature")
        if absent:
            found.insert(0, f"the list states no {', no '.join(absent)}")
        if self.misfit[i]:
            found.append(str(self.misfit[i]))
        elif not 0 <= floats.magnet_height[i] <= floats.length[i] and not absent and not trouble:
            height = self.said.length(floats.magnet_height[i])
            found.append(f"the magnet height of {height} is not within the length")
        return found

    def _hint(self, i: int) -> str:
        """Why the wall does not tell the pressure."""
        if self.flat[i]:
            return " (flat ends have to be checked by their own thickness)"
        if self.unknown_material[i]:
            return f" (the strength of '{self.floats.material[i]}' is not known here)"
        if self.no_strength[i]:
            return f" ({self.no_strength[i]})"
        return ""

    def remarks(self, i: int) -> list[str]:
        """What to know besides the verdict."""
        floats, duty, found = self.floats, self.duty, []
        if not np.isnan(duty.design_pressure) and not np.isnan(self.limit[i]):
            if np.isnan(floats.max_pressure[i]):
                found.append("the list states no maximum pressure: the computed one was taken")
            elif np.isnan(self.computed[i]):
                lacks = "wall" if floats.material[i] else "wall and material"
                why = (self._hint(i) or f"{lacks} not stated").strip(" ()")
                found.append(f"collapse not computed: {why}")
            elif self.flat[i]:
                found.append("flat ends not computed: the list does not state their thickness")
        for at in np.flatnonzero(~self.operating).tolist():
            offset, moved = self.offset[i, at], self.movement[i, at]
            if abs(offset) > duty.tolerance:
                found.append(f"reads {_reads(offset)}{self._where(at)}")
            if moved > duty.tolerance:
                found.append(f"runs {mm(moved)} ahead of a moving level{self._where(at)}")
            elif np.isnan(np.asarray(self.shown.low)[i, at]) and self.no_reading[i, at]:
                found.append(f"{self.no_reading[i, at]}{self._where(at)}")
        viscosity = duty.of_each("viscosity")[0]
        fast = gap_reynolds(floats.diameter[i], duty.chamber_bore, self.lower, viscosity, duty.level_rate)
        if (~np.isnan(self.share[i]) & (fast > REYNOLDS_LIMIT)).any() and (
            floats.diameter[i] < duty.chamber_bore
        ):
            found.append("movement not computed: the flow past the float is not laminar")
        return found

    def candidate(self, i: int) -> Candidate:
        """Float i with its verdict; without its rank."""
        duty = self.duty
        broken = [(kind, text(i)) for kind, where, text in self._all_checks if where[i]]
        wrong = [text for _, text in broken]
        missing = self.missing(i)
        status: Status = "rejected" if wrong else "not judged" if missing else "fits"
        why = wrong or [f"not judged: {'; '.join(missing)}"] * bool(missing)
        remarks = [f"not judged further: {'; '.join(missing)}"] if wrong and missing else []
        names = [c.name for c in duty.conditions]
        return Candidate(
            part=str(self.floats.part[i]),
            status=status,
            rank=None,
            reasons=tuple(why),
            remarks=(*remarks, *self.remarks(i)),
            mean_density=float(self.mean[i]),
            offsets=dict(zip(names, self.offset[i].tolist(), strict=True)),
            shares=dict(zip(names, self.share[i].tolist(), strict=True)),
            window=(float(self.window[0][i]), float(self.window[1][i])),
            worst_offset=float(self.worst[i]),
            pressure_limit=float(self.limit[i]),
            pressure_margin=float(self.limit[i] - duty.design_pressure),
            temperature_limit=float(self.hottest[i]),
            temperature_margin=float(self.hottest[i] - duty.design_temperature),
            movement=float(self._worst_movement()[i]),
            reading=(float(self.spans()[0][i]), float(self.spans()[1][i])),
            kinds=tuple(kind for kind, _ in broken),
        )

    def failures(self) -> NDArray[np.int64]:
        """Number of grounds for rejection of each float."""
        counted: NDArray[np.int64] = np.sum(
            [where for _, where, _ in self._all_checks], axis=0, dtype=np.int64
        )
        return counted

    @cached_property
    def _all_checks(self) -> list[tuple[str, Mask, Callable[[int], str]]]:
        return list(self.checks())


def _words(column: str) -> str:
    """A column as a verdict names it: 'max_pressure' is the maximum pressure."""
    return column.replace("max_", "maximum ").replace("_", " ")


def _anywhere(mask: Any) -> Mask:
    """Array for which it holds at any condition."""
    return np.asarray(mask.any(axis=1))


def kg(density: float) -> str:
    """A density for a text."""
    return f"{density:.5g} kg/m3"


def mm(length: float) -> str:
    """A length for a text."""
    return f"{1e3 * length:.4g} mm"


def barg(pressure: float) -> str:
    """A pressure for a text."""
    return f"{pressure / 1e5:.4g} barg"


def celsius(temperature: float) -> str:
    """A temperature for a text."""
    return f"{temperature - ZERO_CELSIUS:.4g} degC"


def percent(share: float) -> str:
    """A share for a text."""
    return f"{100 * share:.3g} %"


def _reads(offset: float) -> str:
    return f"{mm(abs(offset))} {'high' if offset > 0 else 'low'}"
