"""How probable readings are under a cause.

Readings and what a cause predicts for them (`xlfuncs.gauge.faulty`) are compared by

    chi2 = r' C^-1 r,    C = D + u u'

r: readings less predictions; D: noise, where indicator and transmitter share what the float does; u: what
the common error of the stated density does to each (first order, JCGM 100:2008, 5.1.2). The evidence of a
cause is

    integral of exp(-(chi2 + ln det C)/2) over its parameters' range, divided by the range

so that a cause that could explain almost anything is charged for it (Occam's factor: MacKay, Information
Theory, Inference, and Learning Algorithms, 2003, chapter 28; BIC, Schwarz 1978, is its limit for many
readings). What was seen besides (`xlfuncs.gauge.questions`) multiplies it.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import fields
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.causes import Cause
from xlfuncs.gauge.faulty import SOUND, from_indicator, predict
from xlfuncs.gauge.questions import log_of_answers_to_none, log_of_looks, log_of_numbers, numbers
from xlfuncs.gauge.readings import Case

_NONE: dict[str, Any] = load("diagnosis")["none"]
_POINTS = 161
"""Values of one parameter that are tried, first over its range, then near the best."""
_FINER = 20
"""Fine values for each coarse one."""
_NEAR = 6
"""How many values before and behind the best one are near it."""
_SIDE = 41
_SIDE_OF_PAIR = 21
"""Values along each of two parameters of one cause, and of two causes."""
_ZOOMS = 4
_CLOSE = 2
"""Cells around the best one that are gone over again with a finer grid."""
_LOOSE_SAMPLE = 0.2
"""Standard deviation of ln of a sample's density for what is in no list."""


class _Residuals(NamedTuple):
    """Readings less predictions, made uncorrelated but for the common error of the stated density."""

    values: Array
    variance: Array
    acted: Array
    """Probability of `acted` for each reading."""


class Comparison:
    """Which readings can be compared with predictions, and their residuals."""

    def __init__(self, case: Case) -> None:
        read, self.case = case.readings, case
        self.shown, self.sent = ~np.isnan(read.indicated), ~np.isnan(case.signal)
        # without a true level, indicator and signal can still be held against each other
        self.apart = ~case.placed & self.shown & self.sent
        self.indicated = np.flatnonzero((case.placed | self.apart) & self.shown)
        self.signal = np.flatnonzero((case.placed | self.apart) & self.sent)
        self.sampled = np.flatnonzero(~np.isnan(read.sample_density))
        self.sample = np.log(read.sample_density / read.density)
        told = (case.placed | self.shown) & (not math.isnan(case.gauge.set_point))
        self.switched = np.flatnonzero(told & ~np.isnan(read.switch))
        self.state = read.switch[self.switched]
        self.fits = _fits_of(case)

    @property
    def count(self) -> int:
        apart = int(self.apart.sum())
        return len(self.indicated) + len(self.signal) - apart + len(self.sampled)

    def residuals(self, cause: Cause, values: Array, scale: float = 1.0) -> _Residuals:
        """For each row of values of the parameters; `scale`: actual over stated density."""
        case, read = self.case, self.case.readings
        state = cause.state(case, values)
        p = predict(case, state, scale)
        # a sample is taken for the vessel's own until something else was seen to come from the bottom
        spread = state.sample_spread if case.answers.get("bottom") else 0.0
        first = _beyond(read.indicated - p.indicated, case.beyond)
        second = _beyond(case.signal - p.signal, case.saturated)
        share = np.where(self.shown, p.shared / p.indicated_variance, 0.0)
        second = second - share * np.where(self.shown, first, 0.0)
        first_variance = p.indicated_variance
        second_variance = p.signal_variance - share * p.shared
        acted = p.acted
        if self.apart.any():
            # the float may be anywhere: what follows it tells nothing, what follows the indicator does
            middle, wide = case.top / 2, case.top**2 / 12
            level, slope = from_indicator(case, state, read.indicated)
            own = case.level_noise**2
            stepped = own + np.asarray(state.step) ** 2 / 12
            stays = ~np.isnan(state.indicator)
            alone = (
                np.where(stays, read.indicated - state.indicator, read.indicated - middle),
                np.where(stays, own, wide),
                np.where(stays, case.signal - middle, _alone(case, case.signal - level, slope)),
                np.where(stays, wide, stepped + slope**2 * own),
            )
            ours = (first, first_variance, second, second_variance)
            first, first_variance, second, second_variance = (
                np.where(self.apart, a, b) for a, b in zip(alone, ours, strict=True)
            )
        shape = (len(values), len(read))
        parts = (
            (first, first_variance, self.indicated),
            (second, second_variance, self.signal),
            (self.sample - p.sample, case.density_noise**2 + spread**2, self.sampled),
        )
        return _Residuals(
            np.concatenate([np.broadcast_to(r, shape)[:, at] for r, _, at in parts], axis=1),
            np.concatenate([np.broadcast_to(v, shape)[:, at] for _, v, at in parts], axis=1),
            np.broadcast_to(acted, shape)[:, self.switched],
        )


def _beyond(difference: Array, way: Array) -> Array:
    """Nothing where the reading is an end beyond which nothing is shown, and the prediction lies there."""
    return np.where(way * difference < 0, 0.0, difference)


def _alone(case: Case, difference: Array, slope: Array) -> Array:
    """Signal less what the indicator makes it, where either may be at an end: the float may be beyond it."""
    return _beyond(_beyond(difference, case.saturated), -np.sign(slope) * case.beyond)


def likelihood(data: Comparison, cause: Cause, values: Array) -> tuple[Array, Array]:
    """(ln of the likelihood of readings and of answers by numbers, chi2) for each row of values.

    -inf where it is impossible.
    """
    case = data.case
    r, variance, acted = data.residuals(cause, values)
    chi2 = (r**2 / variance).sum(axis=1)
    log = -0.5 * np.log(variance).sum(axis=1)
    if not cause.free_density:
        step = 1e-4
        moved = data.residuals(cause, values, 1 + step).values
        common = np.nan_to_num((moved - r) / math.log1p(step)) * case.density_noise
        # C = D + u u': inverse and determinant by Sherman and Morrison
        spread = 1 + (common**2 / variance).sum(axis=1)
        chi2 = chi2 - (r * common / variance).sum(axis=1) ** 2 / spread
        log = log - 0.5 * np.log(spread)
    if len(data.switched):
        log = log + np.log(np.where(data.state == 1, acted, 1 - acted)).sum(axis=1)
    log = log - 0.5 * chi2 + log_of_numbers(case, cause, values)
    return np.where(np.isnan(log), -np.inf, log), chi2


class Fit(NamedTuple):
    """A cause fitted to the readings."""

    values: tuple[float, ...]
    """Of its parameters, in SI units."""
    uncertainties: tuple[float, ...]
    chi2: float
    log_evidence: float
    at_end: bool
    """A value lies at an end of what was thought possible."""
    log_likelihood: float = -math.inf
    """ln of the likelihood of these values, answers included: no range is charged for."""
    form: Cause | None = None
    """The form of the cause that fits, where it is not the first."""


def fit(data: Comparison, cause: Cause) -> Fit:
    """The most likely values of a cause's parameters, and its evidence."""
    made = data.fits.get(cause)
    if made is None:
        made = data.fits[cause] = _fitted(data, cause)
    looks = log_of_looks(data.case, cause)  # the same for all values
    made = made._replace(log_evidence=made.log_evidence + looks, log_likelihood=made.log_likelihood + looks)
    for form in cause.forms:
        made = _either(made, fit(data, form)._replace(form=form))
    return made._replace(log_evidence=made.log_evidence - math.log(len(cause.forms) + 1))


def _fitted(data: Comparison, cause: Cause) -> Fit:
    """The fit to readings and numbers, without what was looked at."""
    if not cause.parameters:
        log, chi2 = likelihood(data, cause, np.zeros((1, 0)))
        return Fit((), (), float(chi2[0]), float(log[0]), False, float(log[0]))
    return _line(data, cause) if len(cause.parameters) == 1 else _plane(data, cause)


def _fits_of(case: Case) -> dict[Cause, Fit]:
    """The fits made so far of these readings and numbers: a look changes none of them."""
    asked = tuple((question.name, answer) for question, answer in numbers(case))
    columns = tuple(getattr(case.readings, f.name).tobytes() for f in fields(case.readings))
    return _kept(
        case.gauge,
        columns,
        case.level_noise,
        case.density_noise,
        case.usual,
        bool(case.answers.get("bottom")),
        asked,
    )


@lru_cache(maxsize=2)
def _kept(*of: Hashable) -> dict[Cause, Fit]:
    return {}


def _either(one: Fit, other: Fit) -> Fit:
    """The better of two forms of a cause, with the evidence of both."""
    best = max(one, other, key=lambda f: f.log_evidence)
    if np.isneginf(best.log_evidence):
        return best
    return best._replace(log_evidence=float(np.logaddexp(one.log_evidence, other.log_evidence)))


def _line(data: Comparison, cause: Cause) -> Fit:
    """One parameter: a coarse and a fine row of values."""
    low, high = cause.spans(data.case)[0]
    coarse = np.linspace(low, high, _POINTS)
    rough, _ = likelihood(data, cause, coarse[:, np.newaxis])
    at = int(np.argmax(rough))
    first, last = max(at - _NEAR, 0), min(at + _NEAR, _POINTS - 1)
    # the coarse values are among the fine ones, so that no narrow peak is lost
    fine = np.linspace(coarse[first], coarse[last], _FINER * (last - first) + 1)
    close, chi2 = likelihood(data, cause, fine[:, np.newaxis])
    values = np.concatenate([coarse[:first], fine, coarse[last + 1 :]])
    logs = np.concatenate([rough[:first], close, rough[last + 1 :]])
    best = int(np.argmax(close))
    if np.isneginf(close[best]):
        return Fit((math.nan,), (math.nan,), math.inf, -math.inf, False)
    # a value that is just a stop's height may stand out alone: it is no peak
    density = np.exp(np.minimum(logs - close[best], 0.0))
    total = _integral(density, values)
    mean = _integral(density * values, values) / total
    u = math.sqrt(max(_integral(density * (values - mean) ** 2, values) / total, 0.0))
    evidence = float(close[best]) + math.log(total / (high - low))
    value = _peak(fine, close, best)
    at_end = _at_end(cause, data.case, (value,), (u,))
    return Fit((value,), (u,), float(chi2[best]), evidence, at_end, float(close[best]))


def _integral(y: Array, x: Array) -> float:
    return float(np.sum(np.diff(x) * (y[1:] + y[:-1]) / 2))


def _peak(x: Array, y: Array, at: int) -> float:
    """The maximum between the points, by a parabola; exact for a parameter that enters linearly."""
    if not 0 < at < len(x) - 1 or not np.isfinite(y[at - 1 : at + 2]).all():
        return float(x[at])
    left, right = y[at] - y[at - 1], y[at] - y[at + 1]
    bend = left + right
    return float(x[at] + (0.5 * (left - right) / bend * (x[at + 1] - x[at]) if bend > 0 else 0.0))


def _plane(data: Comparison, cause: Cause) -> Fit:
    """Two parameters: nested grids of cells, each finer around the best cell of the one before."""
    side = _SIDE_OF_PAIR if cause.both else _SIDE
    spans = cause.spans(data.case)
    box = spans.copy()
    logs, points, sizes = [], [], []
    best = (-math.inf, math.inf, np.full(2, math.nan))
    for zoom in range(_ZOOMS):
        cell = (box[:, 1] - box[:, 0]) / side
        axes = [low + (np.arange(side) + 0.5) * size for low, size in zip(box[:, 0], cell, strict=True)]
        grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
        log, chi2 = likelihood(data, cause, grid)
        at = int(np.argmax(log))
        if log[at] > best[0]:
            best = (float(log[at]), float(chi2[at]), grid[at])
        if np.isneginf(best[0]):
            return Fit((math.nan,) * 2, (math.nan,) * 2, math.inf, -math.inf, False)
        outside: NDArray[np.bool_] = np.full(len(grid), True)
        if zoom < _ZOOMS - 1:
            index = np.array(np.unravel_index(at, (side, side)))
            low, high = np.maximum(index - _CLOSE, 0), np.minimum(index + _CLOSE + 1, side)
            every = np.stack(np.unravel_index(np.arange(len(grid)), (side, side)), axis=-1)
            outside = np.asarray(((every < low) | (every >= high)).any(axis=1))
            box = np.stack([box[:, 0] + low * cell, box[:, 0] + high * cell], axis=-1)
        logs.append(log[outside])
        points.append(grid[outside])
        sizes.append(np.full(int(outside.sum()), float(np.prod(cell))))
    every_log, every_point = np.concatenate(logs), np.concatenate(points)
    mass = np.exp(every_log - best[0]) * np.concatenate(sizes)
    # where the likelihood is narrower than the finest cell
    total = max(float(mass.sum()), float(sizes[-1][0]))
    mean = (mass[:, np.newaxis] * every_point).sum(axis=0) / total
    u = np.sqrt((mass[:, np.newaxis] * (every_point - mean) ** 2).sum(axis=0) / total)
    area = float(np.prod(spans[:, 1] - spans[:, 0]))
    evidence = best[0] + math.log(total / area)
    values, us = tuple(map(float, best[2])), tuple(map(float, u))
    return Fit(values, us, best[1], evidence, _at_end(cause, data.case, values, us), best[0])


def _at_end(cause: Cause, case: Case, values: tuple[float, ...], u: tuple[float, ...]) -> bool:
    """A value within its uncertainty of an end that is only what was thought possible."""
    for value, about, parameter in zip(values, u, cause.parameters, strict=True):
        low, high = parameter.span(case)
        near = max(min(about, 0.1 * (high - low)), 0.01 * (high - low))
        if (value - low < near and not parameter.natural[0]) or (
            high - value < near and not parameter.natural[1]
        ):
            return True
    return False


# --- none of these ----------------------------------------------------------------------------------


def evidence_of_none(data: Comparison) -> float:
    """ln of the evidence that the cause is in no list.

    Readings then lie about those of a sound gauge with a shift, a slope and a scatter of unknown size, in
    indicator and signal alike, in one of them, or in each for itself; the sizes are averaged over. Or one
    reading is wrong.
    """
    case, read = data.case, data.case.readings
    p = predict(case, SOUND)
    rows = [np.flatnonzero(case.placed & seen) for seen in (data.shown, data.sent)]
    lone = np.flatnonzero(data.apart)
    r = np.concatenate(
        [
            _beyond(read.indicated - p.indicated, case.beyond)[rows[0]],
            _beyond(case.signal - p.signal, case.saturated)[rows[1]],
        ]
    )
    row = np.concatenate(rows)
    sender = np.repeat([0, 1], [len(rows[0]), len(rows[1])])
    same_row = row[:, np.newaxis] == row
    variance, own = p.magnet_variance[row], case.level_noise**2
    base = np.where(same_row, variance, 0.0) + np.eye(len(r)) * own
    bump = predict(case, SOUND, 1 + 1e-4).magnet - p.magnet
    common = np.nan_to_num(bump[row]) / math.log1p(1e-4) * case.density_noise
    base = base + np.outer(common, common)
    where = np.nan_to_num(read.level / case.top - 0.5)[row]
    logs = [
        _normal_log(r, base + _spread(kind, sender, same_row, where, case.top, share))
        for kind in ("both", "each", "indicator", "signal")
        for share in _NONE["scatter"]
        if len(r)
    ]
    logs += _one_wrong(r, base, row.astype(np.float64), case.top)
    log = _mean_log(logs)
    for at in lone:
        wide = case.top**2 / 12
        log += _normal_one(float(read.indicated[at]) - case.top / 2, wide)
        log += _normal_one(float(case.signal[at] - read.indicated[at]), 2 * own + (0.1 * case.top) ** 2)
    for at in data.sampled:
        log += _normal_one(float(data.sample[at]), case.density_noise**2 + _LOOSE_SAMPLE**2)
    return log + len(data.switched) * math.log(0.5) + log_of_answers_to_none(case)


def _one_wrong(r: Array, base: Array, row: Array, top: float) -> list[float]:
    """The same where one reading is in error, or the level beside it: as likely as each spread."""
    if not len(r):
        return []
    wide = (_NONE["one"] * top) ** 2
    marks = [*np.eye(len(r)), *(np.asarray(row == at, dtype=np.float64) for at in np.unique(row))]
    return [_mean_log([_normal_log(r, base + wide * np.outer(mark, mark)) for mark in marks])]


def _mean_log(logs: list[float]) -> float:
    """ln of the mean of what `logs` are the logarithms of; 0 for none."""
    return math.log(np.mean(np.exp(np.array(logs) - max(logs)))) + max(logs) if logs else 0.0


def _spread(kind: str, sender: Array, same_row: Array, where: Array, top: float, share: float) -> Array:
    """Covariance of what a fault outside the list adds to the readings."""
    shift, slope, scatter = _NONE["shift"] * top, _NONE["slope"] * top, share * top
    together = same_row
    if kind == "each":
        together = same_row & (sender[:, np.newaxis] == sender)
    full = shift**2 + slope**2 * np.outer(where, where) + np.where(together, scatter**2, 0.0)
    if kind == "each":
        full = np.where(sender[:, np.newaxis] == sender, full, 0.0)
    if kind in ("indicator", "signal"):
        touched = sender == (1 if kind == "signal" else 0)
        full = np.where(np.outer(touched, touched), full, 0.0)
    return np.asarray(full)


def _normal_log(r: Array, covariance: Array) -> float:
    """ln of the normal density, without its 2 pi, as in `likelihood`."""
    _, log_det = np.linalg.slogdet(covariance)
    return float(-0.5 * (r @ np.linalg.solve(covariance, r) + log_det))


def _normal_one(r: float, variance: float) -> float:
    return -0.5 * (r * r / variance + math.log(variance))
