"""Why a gauge reads wrong: causes ranked by how well each explains the readings and what was seen.

The evidence of each cause (`xlfuncs.gauge.evidence`) times its prior, scaled to a sum of 1, is its weight.
Beforehand all single causes count as equally likely, 'none of these' as much as one of them, and each pair of
causes at once as much less as `data/diagnosis.toml` says. Pairs are tried where no single cause explains what
was read.

A cause is only named where it is `RATIO` times as likely as any other, none of these included, explains the
readings within their noise, has no parameter at the end of what was thought possible, and no other explains
readings and answers nearly as well (`PARTED`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from xlfuncs.data import load
from xlfuncs.gauge._reasons import IMPOSSIBLE, MISSING, Refused, reasons
from xlfuncs.gauge.causes import AS_DESIGNED, CAUSES, NONE, Cause
from xlfuncs.gauge.evidence import Comparison, Fit, evidence_of_none, fit
from xlfuncs.gauge.pairs import lookalikes, pairs
from xlfuncs.gauge.questions import denied, log_of_looks, unexplained
from xlfuncs.gauge.readings import DENSITY_NOISE, LEVEL_NOISE, Case, Gauge, Readings

_DATA: dict[str, Any] = load("diagnosis")
RATIO: float = _DATA["verdict"]["ratio"]
"""The best cause counts as found when its weight is this many times the next one's."""
_RATIO_OF_PAIR: float = _DATA["verdict"]["pair"]
"""The same for two causes at once: no list holds all pairs."""
PARTED: float = _DATA["verdict"]["parted"]
"""A cause is not decided on while another explains readings and answers within this factor: the range that
was thought possible parts nothing."""
_PROBABILITY_OF_PAIR: float = _DATA["fit"]["pair"]
SOUND_FROM: float = _DATA["verdict"]["sound"]
SETTLED: float = _DATA["verdict"]["settled"]
LEAST_PROBABILITY: float = _DATA["fit"]["probability"]
"""Of a misfit, below which noise does not explain it."""
_PRIOR_OF_NONE = math.log(_DATA["prior"]["none"])
_PRIOR_OF_PAIR = math.log(_DATA["prior"]["pair"])
_LIKELY_PAIRS = 40
"""So many pairs with a cause that acts like another are tried at the most."""
_DOUBTFUL = 0.05
"""Probability of the best single cause's misfit below which pairs are tried."""

FOUND = "most likely"
UNTOLD = "cannot tell"
UNEXPLAINED = "none of these"
NOTHING_WRONG = "nothing wrong shows"
"""As designed comes first; what is not ruled out would be too small to show in these readings."""


@dataclass(frozen=True, slots=True)
class Finding:
    """How well one cause explains the readings."""

    cause: Cause
    values: tuple[float, ...]
    """Fitted parameters in SI units."""
    uncertainties: tuple[float, ...]
    """Their standard uncertainties."""
    chi2: float
    misfit: float
    """chi2 for each degree of freedom; near 1 where the cause explains the readings; NaN for none."""
    probability: float
    """Of a chi2 as large or larger, if this is the cause."""
    weight: float = 0.0
    log_evidence: float = -math.inf
    """ln of evidence and prior."""
    at_end: bool = False
    """A parameter lies at the end of what was thought possible."""
    log_likelihood: float = -math.inf
    """ln of the likelihood of the fitted values, answers included."""

    @property
    def value(self) -> float:
        """The first parameter; NaN for a cause without one."""
        return self.values[0] if self.values else math.nan

    @property
    def uncertainty(self) -> float:
        """Of the first parameter."""
        return self.uncertainties[0] if self.uncertainties else math.nan


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The causes, best first."""

    case: Case
    findings: tuple[Finding, ...]
    verdict: str
    untested: tuple[tuple[Cause, str], ...]
    """Causes that the readings cannot test, and what they lack."""
    withheld: tuple[str, ...] = ()
    """What was written down and not read, for which 'nothing wrong' is not said though nothing else shows."""

    @property
    def rivals(self) -> tuple[Finding, ...]:
        """The findings that cannot be told from the best one, itself included."""
        alike = self.twins
        return tuple(f for f in self.findings if f.weight * RATIO > self.findings[0].weight or f in alike)

    @property
    def twins(self) -> tuple[Finding, ...]:
        """Causes that explain readings and answers as well as the first: only a question parts them."""
        return _twins(self.findings)


def diagnose(
    gauge: Gauge,
    readings: Readings,
    level_noise: float = LEVEL_NOISE,
    density_noise: float = DENSITY_NOISE,
    causes: Sequence[Cause] = CAUSES,
    answers: Mapping[str, bool | float] | None = None,
    guided: bool = False,
    not_read: Sequence[str] = (),
) -> Diagnosis:
    """Rank the causes by how well they explain the readings and the answers.

    `level_noise` [m] is the standard uncertainty of indicated minus true level, and of signal minus
    indicated; `density_noise` (relative) that of the stated density and of a sample. ValueError where the
    readings hold nothing to compare. `guided`: what is read tells little yet and questions follow, so that
    causes that the readings cannot test count as well. `not_read`: columns that were written down and not
    understood; beside them nothing is said to be right.
    """
    case = Case(gauge, readings, level_noise, density_noise, dict(answers or {}))
    guided = guided or bool(case.answers)
    with reasons():  # a float that sinks at one trial value is no fault of the caller's
        data = Comparison(case)
        if not data.count and not len(data.switched) and not guided:
            raise Refused(
                "observations hold nothing to compare: give the true level beside the indicated one, or the"
                " current with LRV and URV beside the indicated level",
                MISSING,
            )
        lacking = [(cause, cause.needs(case)) for cause in causes]
        tested = [c for c, what in lacking if not what or (guided and c.concerns(case))]
        found = [_finding(data, cause) for cause in tested]
        found.append(_none(data))
        if _wants_pairs(case, found):
            found += _pairs(data, causes)
    ranked = _ranked(found)
    untested = tuple((cause, what) for cause, what in lacking if cause not in tested)
    verdict = _verdict(ranked)
    if verdict == FOUND and denied(case, ranked[0].cause):
        verdict = UNTOLD
    if verdict == NOTHING_WRONG and not (data.count and case.level_known):
        verdict = UNTOLD  # nothing was read yet, or indicator and current agree with each other alone
    sound = ranked[0].cause is AS_DESIGNED and (verdict == NOTHING_WRONG or ranked[0].weight >= SETTLED)
    withheld = tuple(not_read) if sound else ()
    return Diagnosis(case, ranked, UNTOLD if withheld else verdict, untested, withheld)


def _wants_pairs(case: Case, found: Sequence[Finding]) -> bool:
    """No single cause explains readings and answers, or only one with two parameters, as two causes have."""
    best = max(found, key=lambda f: f.log_evidence)
    if denied(case, best.cause) or unexplained(case, best.cause):
        return True
    misfits = max(f.probability for f in found if f.cause is not NONE) < _DOUBTFUL
    return misfits or best.cause is NONE or len(best.values) > 1 or best.cause.scatters


def _pairs(data: Comparison, causes: Sequence[Cause]) -> list[Finding]:
    """Two causes at once, also with one that acts like one of the two where what was seen makes it likely."""
    case = data.case
    made = [_finding(data, pair) for pair in pairs(case, causes)]
    likely: dict[tuple[Cause, ...], tuple[float, Cause]] = {}
    for f in made:
        read = f.log_evidence - log_of_looks(case, f.cause)
        for pair in lookalikes(case, f.cause, causes):
            log = max(read + log_of_looks(case, pair), likely.get(pair.both, (-math.inf, pair))[0])
            likely[pair.both] = (log, pair)
    ranked = sorted(likely.values(), key=lambda at: -at[0])[:_LIKELY_PAIRS]
    least = max((f.log_evidence for f in made), default=0.0)
    least = max([least, *(log for log, _ in ranked)]) - math.log(RATIO * PARTED)
    return made + [_finding(data, pair) for log, pair in ranked if log > least]


def _ranked(found: Sequence[Finding]) -> tuple[Finding, ...]:
    highest = max(f.log_evidence for f in found)
    if np.isneginf(highest):
        raise Refused("no cause can give such readings: check the float's data and the densities", IMPOSSIBLE)
    raw = [math.exp(f.log_evidence - highest) for f in found]
    weighed = [replace(f, weight=w / sum(raw)) for f, w in zip(found, raw, strict=True)]
    # where two explain the readings equally well, the order is that of the list
    return tuple(sorted(weighed, key=lambda f: -round(f.log_evidence, 6)))


def _twins(ranked: Sequence[Finding]) -> tuple[Finding, ...]:
    best = ranked[0]
    if best.cause in (NONE, AS_DESIGNED):
        return ()
    least = best.log_likelihood - math.log(PARTED)
    return tuple(
        f
        for f in ranked[1:]
        if f.log_likelihood > least
        and f.cause not in (NONE, AS_DESIGNED)
        and bool(f.cause.both) == bool(best.cause.both)
        and not (f.cause.mended and f.cause.mended == best.cause.mended)
    )


def _verdict(ranked: Sequence[Finding]) -> str:
    best = ranked[0]
    rivals = [f for f in ranked if f.weight * RATIO > best.weight]
    known = [f for f in rivals if f.cause is not NONE]
    if not known or max(f.probability for f in known) < LEAST_PROBABILITY:
        return UNEXPLAINED
    if best.cause is NONE:
        return UNEXPLAINED if best.weight > 0.5 else UNTOLD
    if best.cause is AS_DESIGNED:
        return NOTHING_WRONG if best.probability >= SOUND_FROM else UNTOLD
    if best.cause.both and (
        ranked[1].weight * _RATIO_OF_PAIR > best.weight or best.probability < _PROBABILITY_OF_PAIR
    ):
        return UNTOLD
    if len(rivals) > 1 or best.at_end or best.probability < LEAST_PROBABILITY or _twins(ranked):
        return UNTOLD
    return FOUND


def _finding(data: Comparison, cause: Cause) -> Finding:
    made: Fit = fit(data, cause)
    freedom = data.count - len(made.values)
    return Finding(
        made.form or cause,
        made.values,
        made.uncertainties,
        made.chi2,
        made.chi2 / max(freedom, 1),
        _chance(made.chi2, freedom),
        log_evidence=made.log_evidence + (_PRIOR_OF_PAIR if cause.both else 0.0),
        at_end=made.at_end,
        log_likelihood=made.log_likelihood,
    )


def _none(data: Comparison) -> Finding:
    log = evidence_of_none(data) + _PRIOR_OF_NONE
    return Finding(NONE, (), (), math.nan, math.nan, math.nan, log_evidence=log)


def _chance(chi2: float, freedom: int) -> float:
    """Probability of a chi2 as large or larger: Wilson and Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684."""
    if freedom < 1 or math.isnan(chi2):
        return 1.0
    if math.isinf(chi2):
        return 0.0
    width = 2 / (9 * freedom)
    return 0.5 * math.erfc(((chi2 / freedom) ** (1 / 3) - 1 + width) / math.sqrt(2 * width))
