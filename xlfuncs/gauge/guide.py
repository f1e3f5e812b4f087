"""What to look at or read next: what an answer would tell, for the time and the risk that it takes.

What an answer tells is the mutual information of answer and cause, in bits (Shannon, Bell Syst. Tech. J. 27
(1948) 379; Lindley, Ann. Math. Stat. 27 (1956) 986, for experiments): the entropy of the answers to be
expected less the mean of their entropies under each cause, with the causes' present weights. The question
with most bits for its minutes comes next; what opens something counts its risk as minutes
(`data/questions.toml`).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

import numpy as np

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array, reasons
from xlfuncs.gauge.causes import NONE, Cause
from xlfuncs.gauge.diagnosis import FOUND, NOTHING_WRONG, SETTLED, UNTOLD, Diagnosis, Finding
from xlfuncs.gauge.observations import Outlook, other_level, ways
from xlfuncs.gauge.questions import (
    OTHER_FLOAT,
    WEIGHING,
    Question,
    denied,
    opening_cost,
    questions,
    sign_of_none,
    sign_probability,
)
from xlfuncs.gauge.readings import FALLING, RISING, Case, Readings

_GUIDE: dict[str, Any] = load("questions")["guide"]
_LEAST_BITS: float = _GUIDE["least_bits"]
LEVEL_MINUTES: float = _GUIDE["level"]
READING_TIMES: int = _GUIDE["times"]
"""Readings are asked for so many times at most, so that a search ends."""
_LEAST_WEIGHT = 1e-4
"""A cause of less weight is not asked about."""
_NEAREST = 3
"""Of so many causes the sign is looked for before none of the list is said."""
_DRAWS = 60
_SEED = 7


@dataclass(frozen=True, slots=True)
class Step:
    """What comes next."""

    bits: float
    cost: float
    """Minutes, with those of opening something that is not open yet, and its risk."""
    question: Question | None = None
    readings: Readings | None = None
    """Readings to be taken: levels and directions, without what they will show."""

    @property
    def worth(self) -> float:
        """Bits for each minute."""
        return self.bits / self.cost


def settled(found: Diagnosis) -> bool:
    """A cause is named, or nothing is wrong, or one cause is all but certain."""
    best = found.findings[0]
    sure = best.weight >= SETTLED and found.verdict == UNTOLD and not best.at_end and not found.withheld
    sure = sure and not best.cause.scatters and not found.twins and not denied(found.case, best.cause)
    return sure or found.verdict in (FOUND, NOTHING_WRONG)


def next_step(found: Diagnosis, opened: Collection[str] = (), skipped: Collection[str] = ()) -> Step | None:
    """The step that tells most for its cost; None where none tells anything, or nothing is left to confirm.

    `opened`: what is open already. `skipped`: questions that were not looked at, 'readings' among them.
    """
    if found.withheld:
        return None  # what was not read comes first
    if settled(found):
        question = confirming(found, opened, skipped)
        return None if question is None else Step(0.0, question.minutes, question)
    steps = list(_steps(found, opened, skipped))
    if steps:
        return max(steps, key=lambda s: s.worth)
    question = _of_the_nearest(found, opened, skipped)
    return None if question is None else Step(0.0, question.minutes, question)


def confirming(
    found: Diagnosis, opened: Collection[str] = (), skipped: Collection[str] = ()
) -> Question | None:
    """What the cause that was found would nearly always show, where it opens little more.

    A cause that is in no list may read like one that is. None where something of the kind was answered; of
    two causes at once for each.
    """
    return _confirming(found.case, found.findings[0].cause, opened, skipped)


def _of_the_nearest(found: Diagnosis, opened: Collection[str], skipped: Collection[str]) -> Question | None:
    """The same for what comes nearest, where nothing of the list explains what was read and seen."""
    case, best = found.case, found.findings[0].cause
    if best is not NONE and not denied(case, best):
        return None
    near = [f.cause for f in found.findings if f.cause is not NONE and not denied(case, f.cause)]
    singles = dict.fromkeys(c for cause in near for c in cause.both or (cause,))
    with_sign = (c for c in singles if any(_cheap(q, opened) for q in _signs(case, c)))
    asked = (_confirming(case, cause, opened, skipped) for cause in islice(with_sign, _NEAREST))
    return next((question for question in asked if question is not None), None)


def _signs(case: Case, cause: Cause) -> list[Question]:
    """What the cause nearly always shows."""
    return [q for q in _to_look_at(case) if sign_probability(q, cause) >= _GUIDE["confirms"]]


def _cheap(question: Question, opened: Collection[str]) -> bool:
    """It opens little more."""
    return opening_cost(question.opens, opened) <= float(_GUIDE["confirms_for"])


def _confirming(case: Case, of: Cause, opened: Collection[str], skipped: Collection[str]) -> Question | None:
    for cause in of.both or (of,):
        shown = _signs(case, cause)
        if any(q.name in case.answers for q in shown):
            continue
        for question in sorted(shown, key=lambda q: -sign_probability(q, cause)):
            if _cheap(question, opened) and question.name not in skipped:
                return question
    return None


def _to_look_at(case: Case) -> list[Question]:
    return [q for q in questions().values() if not q.mass and q.fits(case)]


def _steps(found: Diagnosis, opened: Collection[str], skipped: Collection[str]) -> list[Step]:
    alike = found.twins
    likely = [f for f in found.findings if f.weight > _LEAST_WEIGHT or f in alike]
    weights = _weights(found, likely)
    made = []
    for question in questions().values():
        if question.name in found.case.answers or question.name in skipped or not question.fits(found.case):
            continue
        bits = _mass_bits(found.case, likely, weights) if question.mass else _bits(question, likely, weights)
        made.append(Step(bits, question.minutes + opening_cost(question.opens, opened), question))
    if "readings" not in skipped:
        made += _readings(found.case, likely, weights)
    return [step for step in made if step.bits > _LEAST_BITS]


def _weights(found: Diagnosis, likely: Sequence[Finding]) -> Array:
    """Weights by which a question is chosen: what explains all as well as the first counts as much as it."""
    alike, best = found.twins, found.findings[0]
    made = np.array(
        [
            max(f.weight, best.weight * math.exp(min(f.log_likelihood - best.log_likelihood, 0.0)))
            if f in alike
            else f.weight
            for f in likely
        ]
    )
    return np.asarray(made / made.sum())


def _entropy(p: Array) -> Array:
    p = np.clip(p, 1e-12, 1 - 1e-12)
    return np.asarray(-(p * np.log2(p) + (1 - p) * np.log2(1 - p)))


def _bits(question: Question, likely: Sequence[Finding], weights: Array) -> float:
    p = np.array([sign_of_none() if f.cause is NONE else sign_probability(question, f.cause) for f in likely])
    return float(_entropy(np.asarray(weights @ p)) - weights @ _entropy(p))


def _mass_bits(case: Case, likely: Sequence[Finding], weights: Array) -> float:
    own = case.gauge.mass
    means = np.array([own + added_mass(case, f) for f in likely])
    spreads = np.array([_mass_spread(case, f) for f in likely])
    return _continuous(means[:, np.newaxis], spreads[:, np.newaxis] ** 2, weights)


def added_mass(case: Case, finding: Finding) -> float:
    """What a float that is taken out weighs more than stated, under a cause [kg]."""
    if finding.cause is NONE:
        return 0.0
    mass = finding.cause.state(case, np.array([finding.values])).mass
    return float(np.asarray(mass).reshape(-1)[0])


def _mass_spread(case: Case, finding: Finding) -> float:
    if OTHER_FLOAT in (c.name for c in finding.cause.both or (finding.cause,)):
        return 0.3 * case.gauge.mass
    if finding.cause is NONE:
        return 0.2 * case.gauge.mass
    return math.hypot(WEIGHING, finding.uncertainty if added_mass(case, finding) else 0.0)


def _readings(case: Case, likely: Sequence[Finding], weights: Array) -> list[Step]:
    made = []
    with reasons():
        for rows, cost in _not_yet_read(case):
            trial = replace(case, readings=rows, usual=case.usual_rate)
            keep = np.array([f.cause is not NONE for f in likely])
            if keep.sum() < 2:  # nothing to tell apart
                continue
            looks = [Outlook.of(trial, f, False) for f in likely if f.cause is not NONE]
            channels = ["indicated", *(["signal"] if case.gauge.urv > case.gauge.lrv else [])]
            means = np.array([np.concatenate([getattr(o.mean, c)[0] for c in channels]) for o in looks])
            spread = np.array([np.concatenate([o.variance(c) + o.open(c) for c in channels]) for o in looks])
            sound = ~np.isnan(means).any(axis=1) & ~np.isnan(spread).any(axis=1)
            share = weights[keep][sound]
            if len(share) > 1:
                bits = _continuous(means[sound], spread[sound], share / share.sum())
                made.append(Step(bits * float(share.sum()), cost, readings=rows))
    return made


def _not_yet_read(case: Case) -> list[tuple[Readings, float]]:
    """Readings that would be new, with their minutes: the same one again tells little but of its noise."""
    read = case.readings
    placed = read.level[~np.isnan(read.level)]
    elsewhere = other_level(case)
    made = []
    if np.min(np.abs(placed - elsewhere.level[0]), initial=math.inf) > _GUIDE["near"] * case.top:
        made.append((elsewhere, LEVEL_MINUTES))
    if not {RISING, FALLING} <= set(read.direction.tolist()):
        made.append((ways(case), _GUIDE["both_ways"]))
    return made


def _continuous(means: Array, variances: Array, weights: Array) -> float:
    """Mutual information of a vector of numbers, each normal under each cause, and the cause."""
    rng = np.random.default_rng(_SEED)
    noise = rng.normal(size=(1, _DRAWS, means.shape[1]))
    drawn = means[:, np.newaxis] + np.sqrt(variances)[:, np.newaxis] * noise
    gap = drawn[:, :, np.newaxis] - means
    logs = -0.5 * (gap**2 / variances + np.log(variances)).sum(axis=-1)
    own = np.take_along_axis(logs, np.arange(len(means))[:, np.newaxis, np.newaxis], axis=2)[:, :, 0]
    top = logs.max(axis=2)
    mixed = top + np.log(np.exp(logs - top[:, :, np.newaxis]) @ weights)
    return float(max(weights @ (own - mixed).mean(axis=1), 0.0) / math.log(2))
