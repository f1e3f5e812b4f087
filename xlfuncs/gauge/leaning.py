"""Which single answer a diagnosis rests on: people misread a hydrometer, and look at the wrong valve.

Answers are independent under a cause, so that one is taken back by dividing its probability out of the
evidence (`xlfuncs.gauge.questions`); no fit is made anew. A weighed float stays: it is fitted with the
readings.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from xlfuncs.gauge.causes import NONE, Cause
from xlfuncs.gauge.diagnosis import Diagnosis, Finding
from xlfuncs.gauge.questions import Question, log_of_answer, log_of_answers_to_none, questions
from xlfuncs.gauge.readings import Case

HOLDS = 0.5
"""Weight that a cause keeps without an answer, from which it does not rest on that answer."""


@dataclass(frozen=True, slots=True)
class Leaning:
    """An answer without which another cause is as likely."""

    question: Question
    answer: bool
    instead: tuple[Finding, ...]
    """What comes first without it, weighed anew, the best first."""


def leaning(found: Diagnosis) -> Leaning | None:
    """The answer without which the first cause loses most; None where it stands without any one of them."""
    case = found.case
    looked = [q for q in questions().values() if not q.mass and q.name in case.answers]
    trials = [(q, _without(found, q)) for q in looked]
    first = found.findings[0].cause
    left = [(next(f.weight for f in ranked if f.cause is first), q, ranked) for q, ranked in trials]
    weight, question, ranked = min(left, key=lambda trial: trial[0], default=(1.0, None, ()))
    if question is None or weight >= HOLDS:
        return None
    others = [f for f in ranked if f.cause is not first]
    alike = tuple(f for f in others if f.weight >= others[0].weight / 2)
    return Leaning(question, bool(case.answers[question.name]), alike)


def _without(found: Diagnosis, question: Question) -> tuple[Finding, ...]:
    """The findings as weighed without the answer to a question."""
    logs = np.array([f.log_evidence - _share(found.case, f.cause, question) for f in found.findings])
    weights = np.exp(logs - logs.max())
    weighed = [
        replace(f, weight=float(w)) for f, w in zip(found.findings, weights / weights.sum(), strict=True)
    ]
    return tuple(sorted(weighed, key=lambda f: -f.weight))


def _share(case: Case, cause: Cause, question: Question) -> float:
    """What the answer adds to ln of a cause's evidence."""
    if cause is not NONE:
        return log_of_answer(case, cause, question)
    rest = {name: a for name, a in case.answers.items() if name != question.name}
    return log_of_answers_to_none(case) - log_of_answers_to_none(replace(case, answers=rest))
