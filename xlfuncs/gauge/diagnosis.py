"""Why a gauge reads wrong: causes ranked by how well each explains the readings, and what to read next.

Readings and what a cause predicts for them (`xlfuncs.gauge.causes`) are compared by

    chi2 = r' C^-1 r,    C = diag(noise^2) + u u'

r: readings less predictions; u: what the common error of the stated density does to each (first order,
JCGM 100:2008, 5.1.2). The least-squares value of the cause's parameter is the fitted one. A cause's weight is

    integral of exp(-(chi2 + ln det C)/2) over the parameter's range, divided by the range

so that a cause that could explain almost anything is charged for it (Occam's factor: MacKay, Information
Theory, Inference, and Learning Algorithms, 2003, chapter 28; BIC, Schwarz 1978, is its limit for many
readings). The weights are scaled to a sum of 1: beforehand all causes count as equally likely.

Left out: two causes at once, and an error of the true level that is common to all readings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from xlfuncs.data import load
from xlfuncs.gauge._reasons import IMPOSSIBLE, MISSING, Array, Refused, reasons
from xlfuncs.gauge.causes import (
    AS_DESIGNED,
    CAUSES,
    DENSITY_NOISE,
    LEVEL_NOISE,
    Case,
    Cause,
    Expected,
    Gauge,
    Readings,
)

_DATA = load("diagnosis")
RATIO: float = _DATA["verdict"]["ratio"]
"""The best cause counts as found when its weight is this many times the next one's."""
_LEAST_PROBABILITY: float = _DATA["fit"]["probability"]

_POINTS = 161
"""Values of a parameter that are tried, first over its range, then near the best."""
_NEAR = 6
"""How many values before and behind the best one are near it."""
_MISTAKEN = 0.01
"""Chance that a switch's state was taken down wrong: common practice, no source."""

FOUND = "most likely"
UNTOLD = "cannot tell"
UNEXPLAINED = "no cause explains the readings"
NOTHING_WRONG = "nothing wrong shows"
"""As designed comes first; what is not ruled out would be too small to show in these readings."""


class Prediction(NamedTuple):
    """What a cause predicts: one row for each value of its parameter, one column for each reading."""

    indicated: Array
    signal: Array
    """Level that the transmitter states."""
    sample: Array
    """ln of the sample's density over the stated one."""
    acted: Array
    """Probability that the switch has acted."""
    indicated_variance: Array
    """Of indicated less predicted level."""
    signal_variance: Array


def predict(case: Case, cause: Cause, value: Array, scale: float = 1.0) -> Prediction:
    """What `cause` predicts for the true levels of `case`, with the parameter values `value` (a column).

    `scale`: actual over stated density.
    """
    expected = cause.model(case, value, scale)
    shown = expected.magnet + expected.indicated_shift if expected.held is None else expected.held
    float_variance = _float_variance(case, expected)
    own = case.level_noise**2
    return Prediction(
        *np.broadcast_arrays(
            shown,
            expected.signal(expected.magnet),
            expected.sample + math.log(scale),
            _acted(case, expected.magnet, expected.set_point),
            own + (float_variance if expected.held is None else 0.0),
            own + float_variance + expected.signal_variance,
        )
    )


def _float_variance(case: Case, expected: Expected) -> Array:
    """Variance of the magnet's height about the predicted one; the true level has its own error."""
    level_error = np.where(case.drained | (not expected.follows), 0.0, case.level_noise**2)
    return np.asarray(level_error + expected.magnet_variance)


def _acted(case: Case, height: Array, moved: Array | float) -> Array:
    """Probability that the switch has acted with the magnet plane at `height`."""
    g = case.gauge
    if math.isnan(g.set_point):
        return np.full_like(height, 0.5)
    half = g.differential / 2
    sign = -1.0 if g.falling_switch else 1.0
    point = np.where(np.isnan(moved), g.set_point, moved) - sign * half
    past = sign * (height - point) / math.hypot(case.level_noise, half)
    # the normal distribution function within 0.01 (logistic approximation)
    share = 1 / (1 + np.exp(-np.clip(1.702 * past, -50, 50)))
    return np.asarray(_MISTAKEN + (1 - 2 * _MISTAKEN) * share)


class _Residuals(NamedTuple):
    """Readings less predictions, made uncorrelated but for the common error of the stated density."""

    values: Array
    variance: Array
    acted: Array
    """Probability of `acted` for each reading."""


class _Comparison:
    """Which readings can be compared with predictions, and their residuals.

    Each level that is read, by the other means, on the indicator or from the current, has its own error.
    A signal is held against the indicator where there is one, since both follow the same float; what the
    error of the indicator then does to both is taken out of its own residual.
    """

    def __init__(self, case: Case) -> None:
        read, self.case = case.readings, case
        self.shown, self.sent = ~np.isnan(read.indicated), ~np.isnan(case.signal)
        self.height = np.flatnonzero(case.placed & (self.shown | self.sent))
        self.pair = np.flatnonzero(self.shown & self.sent)
        self.sampled = np.flatnonzero(~np.isnan(read.sample_density))
        self.sample = np.log(read.sample_density / read.density)
        told = (case.placed | self.shown) & (not math.isnan(case.gauge.set_point))
        self.switched = np.flatnonzero(told & ~np.isnan(read.switch))

    @property
    def count(self) -> int:
        return len(self.height) + len(self.pair) + len(self.sampled)

    def residuals(self, cause: Cause, value: Array, scale: float = 1.0) -> _Residuals:
        """For each value of the parameter (a column); `scale`: actual over stated density."""
        case, read, own = self.case, self.case.readings, self.case.level_noise**2
        expected = cause.model(case, value, scale)
        floating = _float_variance(case, expected)
        sent_variance = own + expected.signal_variance
        if expected.held is None:
            witness = read.indicated - expected.indicated_shift
            height = witness - expected.magnet
            pair, pair_variance = case.signal - expected.signal(witness), sent_variance + own
            share = np.where(self.sent, own / pair_variance, 0.0)
            height = height + share * np.where(self.sent, pair, 0.0)
            height_variance = floating + own - share * own
            magnet = np.where(self.shown, witness, expected.magnet)
        else:
            height, height_variance = read.indicated - expected.held, np.asarray(own)
            pair, pair_variance = case.signal - expected.signal(expected.magnet), sent_variance + floating
            # without a true level the signal tells nothing of a float that the indicator does not follow
            pair = np.where(case.placed, pair, height)
            pair_variance = np.where(case.placed, pair_variance, own)
            magnet = expected.magnet
        if not self.shown.all():
            alone = case.signal - expected.signal(expected.magnet)
            height = np.where(self.shown, height, alone)
            height_variance = np.where(self.shown, height_variance, sent_variance + floating)
        shape = (len(value), len(read))
        parts = (
            (height, height_variance, self.height),
            (pair, pair_variance, self.pair),
            (self.sample - expected.sample - math.log(scale), case.density_noise**2, self.sampled),
        )
        return _Residuals(
            np.concatenate([np.broadcast_to(r, shape)[:, at] for r, _, at in parts], axis=1),
            np.concatenate([np.broadcast_to(v, shape)[:, at] for _, v, at in parts], axis=1),
            np.broadcast_to(_acted(case, magnet, expected.set_point), shape)[:, self.switched],
        )


def _likelihood(with_: _Comparison, cause: Cause, value: Array) -> tuple[Array, Array]:
    """(ln of the likelihood, chi2) for each value of the parameter; -inf where it is impossible."""
    case, value = with_.case, value.reshape(-1, 1)
    r, variance, acted = with_.residuals(cause, value)
    chi2 = (r**2 / variance).sum(axis=1)
    log = -0.5 * np.log(variance).sum(axis=1)
    if not cause.free_density:
        step = 1e-4
        moved = with_.residuals(cause, value, 1 + step).values
        common = np.nan_to_num((moved - r) / math.log1p(step)) * case.density_noise
        # C = D + u u': inverse and determinant by Sherman and Morrison
        spread = 1 + (common**2 / variance).sum(axis=1)
        chi2 = chi2 - (r * common / variance).sum(axis=1) ** 2 / spread
        log = log - 0.5 * np.log(spread)
    if len(with_.switched):
        state = case.readings.switch[with_.switched]
        log = log + np.log(np.where(state == 1, acted, 1 - acted)).sum(axis=1)
    log = log - 0.5 * chi2
    return np.where(np.isnan(log), -np.inf, log), chi2


@dataclass(frozen=True, slots=True)
class Finding:
    """How well one cause explains the readings."""

    cause: Cause
    value: float
    """Fitted parameter in SI units; NaN for a cause without one."""
    uncertainty: float
    """Standard uncertainty of `value`."""
    misfit: float
    """chi2 for each degree of freedom; near 1 where the cause explains the readings."""
    probability: float
    """Of a chi2 as large or larger, if this is the cause."""
    weight: float = 0.0
    log_evidence: float = -math.inf


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The causes, best first."""

    case: Case
    findings: tuple[Finding, ...]
    verdict: str
    untested: tuple[tuple[Cause, str], ...]
    """Causes that the readings cannot test, and what they lack."""

    @property
    def rivals(self) -> tuple[Finding, ...]:
        """The findings that cannot be told from the best one, itself included."""
        return tuple(f for f in self.findings if f.weight * RATIO > self.findings[0].weight)


def _fit(data: _Comparison, cause: Cause) -> Finding:
    case = data.case
    if cause.span is None:
        log, chi2 = _likelihood(data, cause, np.zeros(1))
        return _finding(cause, math.nan, math.nan, float(chi2[0]), data.count, float(log[0]))
    low, high = cause.span(case)
    coarse = np.linspace(low, high, _POINTS)
    rough, _ = _likelihood(data, cause, coarse)
    at = int(np.argmax(rough))
    first, last = max(at - _NEAR, 0), min(at + _NEAR, _POINTS - 1)
    fine = np.linspace(coarse[first], coarse[last], _POINTS)
    close, chi2 = _likelihood(data, cause, fine)
    values = np.concatenate([coarse[:first], fine, coarse[last + 1 :]])
    logs = np.concatenate([rough[:first], close, rough[last + 1 :]])
    best = int(np.argmax(close))
    if np.isneginf(close[best]):
        return _finding(cause, math.nan, math.nan, math.inf, data.count - 1, -math.inf)
    density = np.exp(logs - close[best])
    total = _integral(density, values)
    mean = _integral(density * values, values) / total
    u = math.sqrt(max(_integral(density * (values - mean) ** 2, values) / total, 0.0))
    evidence = float(close[best]) + math.log(total / (high - low))
    return _finding(cause, _peak(fine, close, best), u, float(chi2[best]), data.count - 1, evidence)


def _integral(y: Array, x: Array) -> float:
    return float(np.sum(np.diff(x) * (y[1:] + y[:-1]) / 2))


def _peak(x: Array, y: Array, at: int) -> float:
    """The maximum between the points, by a parabola; exact for a parameter that enters linearly."""
    if not 0 < at < len(x) - 1 or not np.isfinite(y[at - 1 : at + 2]).all():
        return float(x[at])
    left, right = y[at] - y[at - 1], y[at] - y[at + 1]
    bend = left + right
    return float(x[at] + (0.5 * (left - right) / bend * (x[at + 1] - x[at]) if bend > 0 else 0.0))


def _finding(cause: Cause, value: float, u: float, chi2: float, freedom: int, log: float) -> Finding:
    return Finding(cause, value, u, chi2 / max(freedom, 1), _chance(chi2, freedom), log_evidence=log)


def _chance(chi2: float, freedom: int) -> float:
    """Probability of a chi2 as large or larger: Wilson and Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684."""
    if freedom < 1 or math.isnan(chi2):
        return 1.0
    if math.isinf(chi2):
        return 0.0
    width = 2 / (9 * freedom)
    return 0.5 * math.erfc(((chi2 / freedom) ** (1 / 3) - 1 + width) / math.sqrt(2 * width))


def diagnose(
    gauge: Gauge,
    readings: Readings,
    level_noise: float = LEVEL_NOISE,
    density_noise: float = DENSITY_NOISE,
    causes: Sequence[Cause] = CAUSES,
) -> Diagnosis:
    """Rank the causes by how well they explain the readings.

    `level_noise` [m] is the standard uncertainty of indicated minus true level, and of signal minus
    indicated; `density_noise` (relative) that of the stated density and of a sample. ValueError where the
    readings hold nothing to compare.
    """
    case = Case(gauge, readings, level_noise, density_noise)
    with reasons():  # a float that sinks at one trial value is no fault of the caller's
        data = _Comparison(case)
        if not data.count and not len(data.switched):
            raise Refused(
                "observations hold nothing to compare: give the true level beside the indicated one, or the"
                " current with LRV and URV beside the indicated level",
                MISSING,
            )
        lacking = [(cause, cause.needs(case)) for cause in causes]
        found = [_fit(data, cause) for cause, what in lacking if not what]
    highest = max(f.log_evidence for f in found)
    if np.isneginf(highest):
        raise Refused("no cause can give such readings: check the float's data and the densities", IMPOSSIBLE)
    raw = [math.exp(f.log_evidence - highest) for f in found]
    ranked = sorted(
        (replace(f, weight=w / sum(raw)) for f, w in zip(found, raw, strict=True)), key=lambda f: -f.weight
    )
    best = ranked[0]
    if max(f.probability for f in ranked if f.weight * RATIO > best.weight) < _LEAST_PROBABILITY:
        verdict = UNEXPLAINED
    elif best.cause is AS_DESIGNED:
        verdict = NOTHING_WRONG
    elif len(ranked) > 1 and ranked[1].weight * RATIO > best.weight:
        verdict = UNTOLD
    else:
        verdict = FOUND
    untested = tuple((cause, what) for cause, what in lacking if what)
    return Diagnosis(case, tuple(ranked), verdict, untested)
