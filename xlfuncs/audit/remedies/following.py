"""What lets a float follow the level: another float, a thinner liquid, a wider chamber, a slower level."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

import numpy as np

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.floats import Wanted, proposed
from xlfuncs.audit.remedies.gaps import wider_gaps
from xlfuncs.audit.remedies.trial import Trial, body_of
from xlfuncs.audit.remedies.values import bound
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import proposals
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import choice, floats, reasons, viscosity
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement
from xlfuncs.gauge.response import REYNOLDS_LIMIT as LAMINAR
from xlfuncs.gauge.response import follow, gap_reynolds

WIDEST: Final = 100
"""Millimetres by which a chamber may be wider than its float, at most (common practice, no source)."""
_HALVINGS: Final = 18
"""Of four decades: what comes is shown with three or four digits."""


@dataclass(frozen=True)
class Moving:
    """A gauge's own float beside a moving level."""

    gauges: Gauges
    settings: Settings
    record: int

    @cached_property
    def duty(self) -> choice.Duty | None:
        return duty_of(self.gauges, self.settings, self.record)

    @cached_property
    def now(self) -> dict[str, float]:
        """Viscosity, bore and rate as they are, in SI."""
        gauges, record = self.gauges, self.record
        rate = gauges.or_default("level_rate", self.settings.level_rate_mm_s * 1e-3)
        return {
            "viscosity": float(gauges.high("viscosity")[record]),
            "chamber_bore": float(gauges.si("chamber_bore")[record]),
            "level_rate": float(rate[record]),
        }

    @property
    def diameter(self) -> float:
        return float(self.gauges.float_shape[1][self.record])

    def lag(self, **changed: float) -> float:
        """How far it is behind at the lower connection, as the rule float-lags has it [m].

        Infinite where it is drawn under, NaN where the flow past it is not laminar or data are not stated; of
        the shapes of ends that it may have the worst.
        """
        now = self.now | changed
        gauges, record = self.gauges, self.record
        mass, diameter, length = (float(part[record]) for part in gauges.float_shape[:3])
        rho, upper = float(gauges.densities[0][record]), float(gauges.upper[record])
        if np.isnan(sum(now.values()) + mass + diameter + length + rho + upper):
            return np.nan
        if gap_reynolds(diameter, now["chamber_bore"], rho, now["viscosity"], now["level_rate"]) > LAMINAR:
            return np.nan
        stated = gauges.given("float_ends")[record]
        found = []
        for ends in (str(gauges.ends[record]),) if stated else floats.ENDS:
            with reasons():
                if np.isnan(floats.ride_height(mass, diameter, length, rho, upper, ends)):
                    continue
                state = Fluids(rho, upper, now["viscosity"]), Chamber(now["chamber_bore"])
                body = Float(mass, diameter, length, ends=ends)
                behind = -float(follow(body, *state, Movement(now["level_rate"]), 0.0))
            found.append(np.inf if np.isnan(behind) else behind)
        return max(found, default=np.nan)

    def enough(self, **changed: float) -> bool:
        """Whether it then lags by no more than the tolerance, and the gauge reads within it at worst: unless
        it would not in a liquid without viscosity either, which is another finding."""
        if not self.lag(**changed) <= self.settings.offset_tolerance_mm * 1e-3:
            return False
        return self._reads(**changed) or not self._reads(**(changed | {"viscosity": _NO_DRAG}))

    def _reads(self, **changed: float) -> bool:
        key = tuple(sorted(changed.items()))
        if key not in self._known:
            self._known[key] = self._within(self.now | changed)
        return self._known[key]

    @cached_property
    def _known(self) -> dict[tuple[tuple[str, float], ...], bool]:
        """Whether it reads within the tolerance, of what was asked before."""
        return {}

    def _within(self, now: dict[str, float]) -> bool:
        body, duty = body_of(self.gauges, self.record), self.duty
        if body is None or duty is None:
            return True
        thin = tuple(replace(one, viscosity=now["viscosity"]) for one in duty.conditions)
        moved = replace(duty, conditions=thin, chamber_bore=now["chamber_bore"], level_rate=now["level_rate"])
        low, high = Trial(self.gauges, self.record, moved).reading(body)
        return bool(max(-low, high) <= duty.tolerance * (1 + 1e-9))

    def most(self, name: str) -> float:
        """The most of a quantity, below what there is, with which it does; NaN: none, in laminar flow."""
        high, low = self.now[name], self.now[name] * _LEAST
        for _ in range(_HALVINGS):
            middle = float(np.sqrt(low * high))
            fits = np.isnan(self.lag(**{name: middle})) or self.enough(**{name: middle})
            low, high = (middle, high) if fits else (low, middle)
        return low if self.enough(**{name: low}) else np.nan

    def narrowest(self) -> float:
        """The narrowest bore, by whole millimetres above the diameter, in which it does; NaN: none is."""
        bores = self.diameter + np.arange(1, WIDEST + 1) * 1e-3
        present = self.now["chamber_bore"] * (1 + _HAIR)
        wider = [bore for bore in bores.tolist() if not bore <= present]
        return next((bore for bore in wider if self.enough(chamber_bore=bore)), np.nan)


_LEAST: Final = 1e-4
"""Share of a viscosity or a rate below which nothing is looked for."""
_NO_DRAG: Final = 1e-9
"""A viscosity that moves no float [Pa s]."""
_HAIR: Final = 1e-9
"""A share by which a bore is no wider one."""


@dataclass
class Found:
    """What would do, and what could not be computed."""

    options: list[Option] = field(default_factory=list)
    lacking: list[str] = field(default_factory=list)


def follows(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Listed floats that lag within the tolerance; else what lets this one follow."""
    moving = Moving(gauges, settings, hit.record)
    listed = None
    if moving.duty is not None:
        listed = proposed(Wanted(gauges, settings, hit.record, moving.duty, lagging=True))
    found = Found()
    _thinner(moving, found)
    _wider(moving, found)
    _slower(moving, found)
    words = [listed.text] if listed else []
    if found.options:
        words.append(f"This float follows with {'; or with '.join(one.text for one in found.options)}.")
    words += [f"{one[0].upper()}{one[1:]}." for one in found.lacking]
    words += filter(None, [wider_gaps(gauges, hit.record, found.options)])
    options = (*(listed.options if listed else ()), *found.options)
    worked = _worked(moving, found.options)
    if listed is not None and listed.calculation is not None:
        return Remedy(" ".join(words), options, listed.calculation, tuple(worked)) if words else None
    first = worked[0][1] if worked else None
    return Remedy(" ".join(words), options, first, tuple(worked[1:])) if words else None


def _worked(moving: Moving, options: list[Option]) -> list[tuple[str, Calculation]]:
    """How far the float lags with each of some changes."""
    if not moving.gauges.given("float_ends")[moving.record]:
        return []
    asked = proposals.Asked(moving.gauges, moving.settings, moving.record)
    return [
        (f"the lag with {_bare(one.text)}", proposals.lag_with(asked, one.changes))
        for one in options
        if one.changes
    ]


def _bare(text: str) -> str:
    """What an option changes, without how far it may go and what it gives."""
    return text.partition(" or less")[0].partition(" or more")[0]


def _thinner(moving: Moving, found: Found) -> None:
    """The viscosity up to which this float follows, and the temperature at which the liquid is so thin."""
    limit = moving.most("viscosity")
    if np.isnan(limit):
        found.lacking.append(
            "no viscosity is computed: in no thinner liquid that passes it in laminar flow does this float"
            " follow within the tolerance"
        )
        return
    option = bound(moving.gauges, moving.record, "viscosity", limit, "a viscosity of", down=True)
    lag = moving.lag(viscosity=limit)
    text = f"{option.text} or less (it lags {lag * 1e3:.1f} mm then)"
    numbers = {"lag_mm": lag * 1e3, "viscosity_mPas": limit * 1e3}
    found.options.append(Option(text, option.name, option.value, numbers, {"viscosity": limit}))
    _warm_enough(moving, limit, found)


def _warm_enough(moving: Moving, limit: float, found: Found) -> None:
    """The temperature at which the viscosity is at its limit, where its relation is known."""
    gauges, record = moving.gauges, moving.record
    way = _relation(moving)
    if way is None:
        found.lacking.append(
            "the temperature for it is not computed: the fluid is none that is known here by its name, and"
            " one viscosity is stated; state a second one with its temperature"
        )
        return
    relation, source = way
    with reasons():
        kelvin = relation(limit)
    shown = gauges.say(record, "viscosity", limit)
    if np.isnan(kelvin):
        found.lacking.append(f"no temperature at which it has {shown} was found by {source}")
        return
    option = bound(gauges, record, "maintain_temperature", kelvin, "tracing that keeps")
    design = float(gauges.high("design_temperature")[record])
    if kelvin > design:
        found.lacking.append(
            f"it has {shown} only from {option.value} on ({source}), above the design temperature"
        )
        return
    numbers = {"maintain_temperature_degC": kelvin - ZERO_CELSIUS, "viscosity_mPas": limit * 1e3}
    text = f"{option.text} or more, at which it has that viscosity ({source})"
    found.options.append(Option(text, option.name, option.value, numbers))


def _relation(moving: Moving) -> tuple[Callable[[float], float], str] | None:
    """Temperature [K] for a viscosity [Pa s], and by what; None where nothing tells it."""
    gauges, record = moving.gauges, moving.record
    thin, thick = (float(end("viscosity")[record]) for end in (gauges.low, gauges.high))
    cold, hot = (float(end("operating_temperature")[record]) for end in (gauges.low, gauges.high))
    rho = float(gauges.densities[0][record])
    if not np.isnan(thin + thick + cold + hot + rho) and thin < thick and cold < hot:
        return (
            lambda limit: float(
                viscosity.temperature_for_viscosity(limit / rho, cold, thick / rho, hot, thin / rho)
            ),
            "ASTM D341 through both stated viscosities",
        )
    if gauges.known_fluid[record]:
        name = str(gauges.texts("fluid")[record])
        return lambda limit: _of_pure(name, limit, cold), f"the viscosity of {name} by temperature"
    return None


def _of_pure(name: str, limit: float, cold: float) -> float:
    """Temperature from the operating one on at which a pure liquid has a viscosity [K]; NaN: none."""
    low = cold if np.isfinite(cold) else ZERO_CELSIUS
    grid = np.arange(low, low + _WARMER, 0.5)
    mu = np.asarray(viscosity.liquid_viscosity(name, grid))
    with np.errstate(invalid="ignore"):
        thin = np.flatnonzero(mu <= limit)
    return float(grid[thin[0]]) if len(thin) else np.nan


_WARMER: Final = 300.0
"""Kelvin above the operating temperature up to which one is looked for."""


def _wider(moving: Moving, found: Found) -> None:
    """The bore in which this float follows."""
    bore = moving.narrowest()
    if np.isnan(bore):
        if np.isnan(moving.diameter + moving.now["viscosity"]):
            found.lacking.append("the bore is not computed: state the float's size")
            return
        long = moving.gauges.say(moving.record, "chamber_bore", moving.diameter + WIDEST * 1e-3)
        found.lacking.append(f"no bore up to {long} is enough")
        return
    found.options.append(_of_bore(moving, bore))


WALL: Final = 1e-3
"""Least wall of a chamber [m] (common practice, no source)."""


def _of_bore(moving: Moving, bore: float) -> Option:
    option = bound(moving.gauges, moving.record, "chamber_bore", bore, "a chamber bore of")
    lag = moving.lag(chamber_bore=bore)
    outside = float(moving.gauges.low("chamber_diameter")[moving.record])
    larger = ""
    if bore > outside - 2 * WALL:
        across = moving.gauges.say(moving.record, "chamber_diameter", outside)
        larger = f", a larger chamber than the present one of {across} outside"
    text = f"{option.text} or more{larger} (it lags {lag * 1e3:.1f} mm then)"
    return Option(text, option.name, option.value, {"lag_mm": lag * 1e3}, {"chamber_bore": bore})


def _slower(moving: Moving, found: Found) -> None:
    """The rate of the level up to which this float follows: often it is only taken."""
    rate = moving.most("level_rate")
    if np.isnan(rate):
        return
    option = bound(moving.gauges, moving.record, "level_rate", rate, "a level that moves", down=True)
    stated = moving.gauges.given("level_rate")[moving.record]
    usual = moving.gauges.say(moving.record, "level_rate", moving.settings.level_rate_mm_s * 1e-3)
    taken = "" if stated else f" ({usual} are taken, none is stated)"
    lag = moving.lag(level_rate=rate)
    numbers = {"lag_mm": lag * 1e3, "level_rate_mm_s": rate * 1e3}
    text = f"{option.text} or less{taken}"
    found.options.append(Option(text, option.name, option.value, numbers, {"level_rate": rate}))


def thin_enough(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The temperature from which on the fluid is thin enough, or the bore in which the float keeps up."""
    moving = Moving(gauges, settings, hit.record)
    found = Found()
    if _relation(moving) is not None:
        _warm_enough(moving, settings.viscosity_limit_mpas * 1e-3, found)
    bore = moving.narrowest()
    if not np.isnan(bore):
        found.options.append(_of_bore(moving, bore))
    if not found.options:
        lacking = "a second viscosity with its temperature, or the float's mass and size"
        return Remedy(f"No number can be computed: state {lacking}.")
    text = f"Needed: {'; or '.join(option.text for option in found.options)}."
    text = " ".join(filter(None, (text, wider_gaps(gauges, hit.record, found.options))))
    worked = _worked(moving, found.options)
    return Remedy(text, tuple(found.options), worked[0][1] if worked else None)
