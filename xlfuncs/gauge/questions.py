"""What a person sees at a gauge besides readings, and how probable each answer is under a cause.

A question has one answer that is a sign of something wrong. How often a cause shows it, and how often it is
seen without one, is common practice, no source (`data/questions.toml`). A weighed float is a number.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from xlfuncs.data import load
from xlfuncs.gauge._reasons import Array
from xlfuncs.gauge.causes import Cause
from xlfuncs.gauge.readings import Case

_DATA: dict[str, Any] = load("questions")
WEIGHING: float = load("diagnosis")["observation"]["float_weight"] / 1e3
_OF_NONE: float = _DATA["usual"]["none"]
SISTER = 0.03
"""How well the shift tells the mass of a sister's float: its ends and its magnet may differ."""
_CONFIRMS: float = _DATA["guide"]["confirms"]
MASS = "float_mass"
"""The question that is answered by a mass [kg]."""
SAMPLE = "sample"
"""The one that is answered by yes or no, or by a density [kg/m3]."""
_SAME_DENSITY: float = _DATA["numbers"]["same_density"]
_OTHER_SAMPLE: float = _DATA["numbers"]["other_sample"]
_WRONG: float = _DATA["numbers"]["wrong"]
_WRONG_MASS: float = _DATA["numbers"]["wrong_mass"]
_TOO_HEAVY: float = _DATA["numbers"]["too_heavy"]
_WRONG_DENSITY: float = _DATA["numbers"]["wrong_density"]


@dataclass(frozen=True, slots=True)
class Question:
    """Something to look at."""

    name: str
    text: str
    sign: bool
    """The answer, yes or no, that is a sign of something wrong."""
    minutes: float
    opens: str
    """What has to be opened: "" nothing, "drain", "vent", "chamber" or "housing"."""
    false: float
    """How often the sign is seen without a cause that gives it."""
    shows: dict[str, float]
    """Cause -> how often it gives the sign."""
    asks_for: str = ""
    """Only where the gauge has it: "transmitter", "switch" or "interface"."""
    after: str = ""
    """Only where this question gave its sign."""
    mass: bool = False
    """Answered by the float's mass."""
    density: bool = False
    """Answered by yes or no, or by a density."""

    def fits(self, case: Case) -> bool:
        """The gauge has what is asked for, and what was seen before leaves it open."""
        if self.after and not (self.after in case.answers and gives_sign(case, questions()[self.after])):
            return False
        has = {
            "transmitter": case.gauge.urv > case.gauge.lrv,
            "switch": not math.isnan(case.gauge.set_point),
            "interface": case.interface,
        }
        return has.get(self.asks_for, True)

    @property
    def cost(self) -> float:
        """Minutes, with those of the opening and its risk."""
        return self.minutes + opening_cost(self.opens, ())

    @property
    def caution(self) -> str:
        """What comes before it."""
        return str(_DATA["opens"].get(self.opens, {}).get("caution", ""))


def opening_cost(what: str, opened: Collection[str]) -> float:
    """Minutes that it takes to open something, and those that its risk is worth; 0 where it is open."""
    if not what or what in opened:
        return 0.0
    return float(_DATA["opens"][what]["minutes"] + _DATA["opens"][what]["risk"])


def sign_of_none() -> float:
    """How often what is in no list gives a sign: half of it shows nothing of what is asked."""
    return _OF_NONE / 2


@cache
def questions() -> dict[str, Question]:
    """The questions by name, in a plain order from outside to inside."""
    usual = _DATA["usual"]
    made = {}
    for name, entry in _DATA["questions"].items():
        made[name] = Question(
            name,
            entry["text"],
            entry["sign"] == "yes",
            entry["minutes"],
            entry.get("opens", ""),
            entry.get("false", usual["false"]),
            entry.get("shows", {}),
            entry.get("asks_for", ""),
            entry.get("after", ""),
            name == MASS,
            name == SAMPLE,
        )
    return made


def sign_probability(question: Question, cause: Cause) -> float:
    """How probable the sign is under a cause; two causes at once show it if either does."""
    if cause.both:
        one, other = (sign_probability(question, c) for c in cause.both)
        return 1 - (1 - one) * (1 - other)
    return max(question.shows.get(cause.name, question.false), question.false)


def denied(case: Case, cause: Cause) -> bool:
    """What the cause nearly always shows was looked for and not seen, and nothing else that it shows was."""
    for single in cause.both or (cause,):
        shown = [
            gives_sign(case, q)
            for q in questions().values()
            if not q.mass and q.name in case.answers and sign_probability(q, single) >= _CONFIRMS
        ]
        if shown and not any(shown):
            return True
    return False


def unexplained(case: Case, cause: Cause) -> bool:
    """A sign of something wrong was seen that the cause gives no more often than a sound gauge does."""
    looked = [q for q in questions().values() if not q.mass and q.name in case.answers]
    return any(gives_sign(case, q) and sign_probability(q, cause) <= q.false for q in looked)


def log_of_numbers(case: Case, cause: Cause, values: Array) -> Array:
    """ln of the probability of the answers by numbers, for each row of values of the cause's parameters."""
    log = np.zeros(len(values))
    for question, answer in numbers(case):
        of = mass_log if question.mass else sample_log
        log = log + of(case, cause, values, answer)
    return log


def log_of_looks(case: Case, cause: Cause) -> float:
    """ln of the probability of all answers but numbers."""
    measured = {question.name for question, _ in numbers(case)}
    return sum(log_of_answer(case, cause, questions()[name]) for name in case.answers if name not in measured)


def numbers(case: Case) -> list[tuple[Question, float]]:
    """The questions that were answered by a number, and that."""
    asked = ((questions()[name], answer) for name, answer in case.answers.items())
    return [(q, float(a)) for q, a in asked if q.mass or (q.density and not isinstance(a, bool))]


def gives_sign(case: Case, question: Question) -> bool:
    """The answer is the sign of something wrong; a sample's density where it is not the stated one."""
    answer = case.answers[question.name]
    if question.density and not isinstance(answer, bool):
        return abs(answer / case.stated_density - 1) > _SAME_DENSITY
    return bool(answer) == question.sign


def log_of_answer(case: Case, cause: Cause, question: Question) -> float:
    """ln of the probability of the answer to a question that is looked at, under a cause."""
    return math.log(_of(case, question, sign_probability(question, cause)))


def _of(case: Case, question: Question, sign: float) -> float:
    return sign if gives_sign(case, question) else 1 - sign


def sample_log(case: Case, cause: Cause, values: Array, measured: float) -> Array:
    """ln of the density of ln of a sample's density, which may have been measured or taken wrongly."""
    state = cause.state(case, values)
    error = math.log(measured / case.stated_density) - np.log(np.asarray(state.density) * state.chamber)
    right = _normal(error, 2 * case.density_noise**2)
    if state.sample_spread:
        # heavier than the vessel's own where the chamber stands lower, lighter where higher
        side = np.where(error * np.asarray(state.pocket) < 0, 2.0, 0.0)
        right = (1 - _OTHER_SAMPLE) * right + _OTHER_SAMPLE * side * _normal(error, state.sample_spread**2)
    log = np.log((1 - _WRONG) * right + _WRONG * _normal(error, _WRONG_DENSITY**2))
    return np.asarray(np.broadcast_to(np.asarray(log).reshape(-1), len(values)))


def _normal(r: Array | float, variance: Array | float) -> Array:
    """The normal density."""
    return np.asarray(np.exp(-0.5 * np.square(r) / variance) / np.sqrt(2 * math.pi * variance))


def mass_log(case: Case, cause: Cause, values: Array, weighed: float) -> Array:
    """ln of the density of the weighed mass."""
    own = case.gauge.mass
    singles = cause.both or (cause,)
    if any(c.name == OTHER_FLOAT for c in singles):
        return _other_mass_log(case, cause, values, weighed)
    added = np.broadcast_to(np.asarray(cause.state(case, values).mass, dtype=np.float64), (len(values), 1))
    error = weighed - own - added[:, 0]
    return np.log((1 - _WRONG) * _normal(error, WEIGHING**2) + _WRONG * _misweighed(error, own))


def _misweighed(error: Array, own: float) -> Array:
    """Density of the error of a weight that is wrong: more often with what clings to the float."""
    share = np.where(error > 0, 2 * _TOO_HEAVY, 2 * (1 - _TOO_HEAVY))
    return np.asarray(share * _normal(error, (_WRONG_MASS * own) ** 2))


OTHER_FLOAT = "float of another gauge"


def _other_mass_log(case: Case, cause: Cause, values: Array, weighed: float) -> Array:
    """Of another gauge's float: of the same mass, of its shape and as heavy as the shift says, or of any."""
    own, more = case.gauge.mass, weighed - case.gauge.mass
    shift = np.broadcast_to(np.asarray(cause.state(case, values).plane, dtype=np.float64), (len(values), 1))[
        :, 0
    ]
    sister = -shift * sister_mass(case)
    alike = _normal(more - sister, WEIGHING**2 + (SISTER * sister) ** 2)
    same, wide = _normal(more, WEIGHING**2), _normal(more, (0.3 * own) ** 2)
    return np.asarray(np.log(0.1 * same + 0.45 * wide + 0.45 * alike))


def sister_mass(case: Case) -> float:
    """What a float of the same shape weighs more for each metre by which it rides deeper [kg/m]."""
    lift = case.stated_density - case.gauge.upper_density
    return math.pi / 4 * case.gauge.diameter**2 * lift


def log_of_answers_to_none(case: Case) -> float:
    """The same for what is in no list: it shows nothing of what is asked, or each sign may be seen."""
    log, shows_some, shows_none = 0.0, 0.0, 0.0
    for name, answer in case.answers.items():
        question = questions()[name]
        if question.density and not isinstance(answer, bool):
            error = math.log(answer / case.stated_density)
            log += math.log(
                0.5 * _normal(error, 2 * case.density_noise**2) + 0.5 * _normal(error, _WRONG_DENSITY**2)
            )
        elif question.mass:
            wide = (0.2 * case.gauge.mass) ** 2
            log += math.log(
                0.5 * _normal(float(answer) - case.gauge.mass, wide + WEIGHING**2)
                + 0.5 * _normal(float(answer) - case.gauge.mass, WEIGHING**2)
            )
        else:
            shows_some += math.log(_of(case, question, max(_OF_NONE, question.false)))
            shows_none += math.log(_of(case, question, question.false))
    return log + float(np.logaddexp(shows_some, shows_none)) - math.log(2)
