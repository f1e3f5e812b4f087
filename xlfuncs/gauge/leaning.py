"""Which single answer a diagnosis rests on: people misread a hydrometer, and weigh a float wet.

What is looked at is independent under a cause, so that it is taken back by dividing its probability out of
the evidence (`xlfuncs.gauge.questions`); a number (the float's mass, a sample's density) is fitted with the
readings, so that the diagnosis is made anew without it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from xlfuncs.gauge.causes import NONE, Cause
from xlfuncs.gauge.diagnosis import Diagnosis, Finding, diagnose
from xlfuncs.gauge.questions import Question, log_of_answer, log_of_answers_to_none, numbers, questions
from xlfuncs.gauge.readings import Case

HOLDS = 0.5
"""Weight that a cause keeps without an answer, from which it does not rest on that answer."""


@dataclass(frozen=True, slots=True)
class Leaning:
    """An answer without which another cause is as likely."""

    question: Question
    answer: bool | float
    instead: tuple[Finding, ...]
    """What comes first without it, weighed anew, the best first."""


def leaning(found: Diagnosis) -> Leaning | None:
    """The answer without which the first cause loses most; None where it stands without any one of them."""
    case = found.case
    measured = [question for question, _ in numbers(case)]
    looked = [q for q in questions().values() if q.name in case.answers and q not in measured]
    trials = [(q, _without(found, q)) for q in looked] + [(q, _unmeasured(found, q)) for q in measured]
    first = found.findings[0].cause.name
    left = [
        (next((f.weight for f in ranked if f.cause.name == first), 0.0), q, ranked) for q, ranked in trials
    ]
    weight, question, ranked = min(left, key=lambda trial: trial[0], default=(1.0, None, ()))
    if question is None or weight >= HOLDS:
        return None
    others = [f for f in ranked if f.cause.name != first]
    alike = tuple(f for f in others if f.weight >= others[0].weight / 2)
    return Leaning(question, case.answers[question.name], alike)


def _without(found: Diagnosis, question: Question) -> tuple[Finding, ...]:
    """The findings as weighed without the answer to a question."""
    logs = np.array([f.log_evidence - _share(found.case, f.cause, question) for f in found.findings])
    weights = np.exp(logs - logs.max())
    weighed = [
        replace(f, weight=float(w)) for f, w in zip(found.findings, weights / weights.sum(), strict=True)
    ]
    return tuple(sorted(weighed, key=lambda f: -f.weight))


def _unmeasured(found: Diagnosis, question: Question) -> tuple[Finding, ...]:
    """The findings without a number that was measured."""
    case = found.case
    rest = {name: a for name, a in case.answers.items() if name != question.name}
    again = diagnose(
        case.gauge, case.readings, case.level_noise, case.density_noise, answers=rest, guided=True
    )
    return again.findings


def _share(case: Case, cause: Cause, question: Question) -> float:
    """What the answer adds to ln of a cause's evidence."""
    if cause is not NONE:
        return log_of_answer(case, cause, question)
    rest = {name: a for name, a in case.answers.items() if name != question.name}
    return log_of_answers_to_none(case) - log_of_answers_to_none(replace(case, answers=rest))
