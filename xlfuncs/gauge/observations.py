"""What to read next: the cheapest observation in which two causes differ clearly.

Each observation is predicted with both causes at their fitted values; the difference counts in units of its
standard uncertainty: noise of the reading, and what the fitted values leave open. The order of cost is common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array, reasons
from xlfuncs.gauge.causes import AS_DESIGNED, NONE
from xlfuncs.gauge.diagnosis import Finding
from xlfuncs.gauge.faulty import Prediction, predict
from xlfuncs.gauge.questions import questions, sign_probability
from xlfuncs.gauge.readings import FALLING, RISING, STILL, Case, Readings
from xlfuncs.gauge.signal import SPAN, ZERO

_DATA = load("diagnosis")
CLEAR: float = _DATA["fit"]["separation"]
_TRAVEL: float = _DATA["observation"]["switch_travel"] / 1e3
_WEIGHING: float = _DATA["observation"]["float_weight"] / 1e3
_SURE = 0.1
"""Uncertainty of what is plainly seen or not, 0 or 1."""


@dataclass(frozen=True, slots=True)
class Next:
    """An observation that would tell two causes apart."""

    text: str
    separation: float
    """Predicted difference over its standard uncertainty."""


@dataclass(frozen=True, slots=True)
class _Observation:
    text: str
    rows: Callable[[Case], Readings | None]
    """The readings to be taken, without what they will show; None where they cannot be taken."""
    watch: tuple[str, ...] = ("indicated",)
    spare: bool = False
    """With a clean spare float."""
    float_out: bool = False


def _base(case: Case) -> int:
    """The reading to start from: the last one with a level."""
    wet = np.flatnonzero(~np.isnan(case.readings.level) & ~case.drained)
    return int(wet[-1]) if len(wet) else 0


def _rows(case: Case, levels: list[float], directions: list[float], fast: float = 1.0) -> Readings:
    rate = float(np.max(np.abs(case.rate))) or float("nan")
    n = len(levels)
    return Readings(
        np.full(n, case.readings.density[_base(case)]),
        level=np.array(levels),
        direction=np.array(directions),
        level_rate=np.full(n, rate * fast),
    )


def _here(case: Case) -> float:
    level = float(case.readings.level[_base(case)])
    return 0.5 * case.top if math.isnan(level) else level


def _same(case: Case) -> Readings:
    read, at = case.readings, _base(case)
    made = _rows(case, [_here(case)], [float(case.motion[at])])
    return replace(made, level_rate=read.level_rate[at : at + 1])


def _with_current(case: Case) -> Readings | None:
    if not case.gauge.urv > case.gauge.lrv or not np.isnan(case.signal).all():
        return None
    low, high = sorted((case.gauge.lrv, case.gauge.urv))
    return _same(case) if low <= _here(case) <= high else None


def _still(case: Case) -> Readings | None:
    return _rows(case, [_here(case)], [STILL]) if case.motion[_base(case)] else None


def other_level(case: Case) -> Readings:
    """Far from the levels read so far."""
    read = case.readings.level[~np.isnan(case.readings.level)]
    choices = np.array([0.1, 0.3, 0.5, 0.7, 0.9]) * case.top
    gap = [float(np.min(np.abs(read - level), initial=case.top)) for level in choices]
    made = _same(case)
    return replace(made, level=np.array([choices[int(np.argmax(gap))]]))


def _pair(fast: float) -> Callable[[Case], Readings]:
    return lambda case: _rows(case, [_here(case)] * 2, [RISING, FALLING], fast)


def _past_switch(case: Case) -> Readings | None:
    point = case.gauge.set_point
    if math.isnan(point):
        return None
    return _rows(case, [point - _TRAVEL, point + _TRAVEL], [RISING, RISING])


def _drained(case: Case) -> Readings | None:
    if math.isnan(case.gauge.room_below) or case.drained.any():
        return None
    return replace(_same(case), drained=np.ones(1))


OBSERVATIONS: tuple[_Observation, ...] = (
    _Observation("read the current as well", _with_current, ("signal",)),
    _Observation("let the level stand, then read again", _still),
    _Observation("read at the same level rising and falling", _pair(1.0)),
    _Observation("read at the same level rising and falling, three times as fast", _pair(3.0)),
    _Observation("read at another level", other_level, ("indicated", "signal")),
    _Observation("move the level past the switch", _past_switch, ("acted",)),
    _Observation("measure the density of a sample from the chamber", _same, ("sample",)),
    _Observation("isolate and drain the chamber, read with the float on its stop", _drained),
    _Observation("take the float out and weigh it", _same, (), float_out=True),
    _Observation("put in a clean spare float and read again", _same, spare=True),
)
"""Cheapest first."""


def next_observation(case: Case, one: Finding, other: Finding) -> Next:
    """The cheapest observation that tells two causes clearly apart; the best one where none does."""
    best = Next("", 0.0)
    if NONE in (one.cause, other.cause):
        return Next("read again: a reading is in error, or the cause is in no list", 0.0)
    with reasons():
        for observation in OBSERVATIONS:
            rows = observation.rows(case)
            if rows is None:
                continue
            trial = replace(case, readings=rows, usual=case.usual_rate)
            found = max(
                _differences(observation, trial, one, other), key=lambda n: n.separation, default=None
            )
            if found is not None and found.separation > best.separation:
                best = found
            if best.separation >= CLEAR:
                return best
    looked = _look(case, one, other)
    if looked.separation:
        return looked
    if best.separation < 1.0:
        return Next("no single reading tells it apart: have the maker look at float and gauge", 0.0)
    return best


def _differences(observation: _Observation, trial: Case, one: Finding, other: Finding) -> Iterator[Next]:
    """What each watched reading would show, for both causes."""
    if observation.float_out:
        yield from _seen(observation, trial, one, other)
        return
    a, b = (Outlook.of(trial, f, observation.spare) for f in (one, other))
    for channel in observation.watch:
        if channel == "signal" and not trial.gauge.urv > trial.gauge.lrv:
            continue
        first, second = getattr(a.mean, channel)[0], getattr(b.mean, channel)[0]
        variance = (a.variance(channel) + b.variance(channel)) / 2 + a.open(channel) + b.open(channel)
        gaps = np.nan_to_num(np.abs(first - second) / np.sqrt(variance))
        at = int(np.argmax(gaps))
        shown = [_shown(trial, channel, at, float(x[at])) for x in (first, second)]
        where = _where(trial, at) if len(gaps) > 1 or observation.rows is other_level else ""
        yield Next(_text(f"{observation.text}{where}", shown, one, other), float(gaps[at]))


def _text(what: str, shown: list[str], one: Finding, other: Finding) -> str:
    return f"{what}: {shown[0]} if {one.cause.name}, {shown[1]} if {other.cause.name}"


def _seen(observation: _Observation, trial: Case, one: Finding, other: Finding) -> Iterator[Next]:
    """What the float shows when it is taken out: its mass."""
    causes = (one, other)
    added = [_added_mass(trial, f) for f in causes]
    u = [f.uncertainty if _added_mass(trial, f) else 0.0 for f in causes]
    weights = [f"{(trial.gauge.mass + mass) * 1e3:.0f} g" for mass in added]
    gap = abs(added[0] - added[1]) / math.hypot(_WEIGHING, *u)
    yield Next(_text(observation.text, weights, one, other), gap)


def ways(case: Case) -> Readings:
    """At the same level rising and falling."""
    return _pair(1.0)(case)


def _added_mass(trial: Case, finding: Finding) -> float:
    mass = finding.cause.state(trial, np.array([finding.values])).mass
    return float(np.asarray(mass).reshape(-1)[0])


def _look(case: Case, one: Finding, other: Finding) -> Next:
    """The question that tells two causes clearly apart for the least time and risk."""
    best, least = Next("", 0.0), math.inf
    for question in questions().values():
        if question.mass or question.name in case.answers or not question.fits(case):
            continue
        p, q = (sign_probability(question, f.cause) for f in (one, other))
        if abs(p - q) > 0.6 and question.cost < least:
            words = ["yes" if (share > 0.5) == question.sign else "no" for share in (p, q)]
            best, least = Next(_text(f"look: {question.text}", words, one, other), 1 / _SURE), question.cost
    return best


@dataclass(frozen=True, slots=True)
class Outlook:
    """A cause's prediction at its fitted value, and a standard uncertainty of that value up and down."""

    mean: Prediction
    high: Prediction
    low: Prediction
    density_noise: float

    @classmethod
    def of(cls, trial: Case, finding: Finding, spare: bool) -> Outlook:
        cause = AS_DESIGNED if spare and finding.cause.in_float else finding.cause
        values = np.array(finding.values if cause.parameters else ())
        u = np.nan_to_num(np.array(finding.uncertainties if cause.parameters else ()))
        low, high = cause.spans(trial).T
        tried = (values, np.minimum(values + u, high), np.maximum(values - u, low))
        mean, up, down = (_rows_of(predict(trial, cause.state(trial, row[np.newaxis]))) for row in tried)
        return cls(mean, up, down, trial.density_noise)

    def variance(self, channel: str) -> Array:
        if channel == "sample":
            return np.full(self.mean.sample.shape[1], 2 * self.density_noise**2)
        if channel == "acted":
            return np.full(self.mean.acted.shape[1], _SURE**2)
        return np.asarray(getattr(self.mean, f"{channel}_variance")[0])

    def open(self, channel: str) -> Array:
        """What the uncertainty of the fitted value leaves open."""
        return np.asarray(((getattr(self.high, channel) - getattr(self.low, channel))[0] / 2) ** 2)


def _rows_of(made: Prediction) -> Prediction:
    return Prediction(*(np.atleast_2d(column) for column in made))


def _shown(trial: Case, channel: str, at: int, value: float) -> str:
    if math.isnan(value):
        return "nothing"
    if channel == "signal":
        g = trial.gauge
        share = (value - g.lrv) / (g.urv - g.lrv)
        return f"{(ZERO + SPAN * (1 - share if g.reverse else share)) * 1e3:.2f} mA"
    if channel == "sample":
        return f"{trial.readings.density[at] * math.exp(value):.0f} kg/m3"
    if channel == "acted":
        return "acts" if value > 0.5 else "does not act"
    return "below scale" if value < 0 else f"{value * 1e3:.0f} mm"


def _where(trial: Case, at: int) -> str:
    way = {RISING: " rising", FALLING: " falling"}.get(float(trial.motion[at]), "")
    return f", {trial.readings.level[at] * 1e3:.0f} mm{way}"
