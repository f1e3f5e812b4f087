"""How often the diagnosis is right on stories of a forward model of their own (`tests.field_stories`).

    python -m tests.diagnosis_trials [STORIES OF EACH [SEED]]

prints the confusion matrix, decided and wrong apart, and the steps to the cause by guided questions and in a
fixed order.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from tests.field_stories import (
    DENSITY_NOISE,
    FAULTS,
    NOISE,
    OUTSIDE,
    PAIRS,
    Story,
    read_again,
    scant,
    seen,
    stories,
    tell,
)
from xlfuncs.gauge.causes import Cause
from xlfuncs.gauge.diagnosis import FOUND, NOTHING_WRONG, UNEXPLAINED, Diagnosis, diagnose
from xlfuncs.gauge.guide import LEVEL_MINUTES, READING_TIMES, Step, next_step, settled
from xlfuncs.gauge.observations import other_level
from xlfuncs.gauge.questions import opening_cost, questions
from xlfuncs.gauge.readings import Gauge, Readings

EACH, SEED = 3, 20261127

NAMES = {
    "as designed": "as designed",
    "density": "density not as stated",
    "upside down": "float upside down",
    "heavier": "float heavier (deposit, or liquid inside)",
    "sunk": "float sunk (flooded or collapsed)",
    "scale": "scale shifted",
    "chamber": "chamber colder or hotter than the vessel",
    "stuck": "float stuck",
    "drags": "float drags",
    "late": "float follows late (viscous liquid)",
    "indicator": "indicator does not follow the float",
    "mounting": "transmitter mounted too high or low",
    "range": "transmitter range off",
    "steps": "transmitter steps",
    "switch": "switch off its set point, or dead",
    "lower valve": "lower valve shut or leg plugged",
    "upper valve": "upper valve shut or leg plugged",
    "restricted leg": "leg or valve restricted",
    "gas pocket": "gas pocket in a leg or the chamber",
    "other float": "float of another gauge",
    "aerated": "vessel aerated or foaming",
    "vapour density": "density above not as stated",
    "datum": "reference level off by a fixed amount",
    "reference density": "reference level off in proportion (its density)",
    "reversed": "transmitter reversed",
    "frozen": "transmitter frozen",
    "both ends": "LRV and URV both off",
    "lost magnet": "magnet lost or weak",
    "dead elements": "indicator elements dead in part",
    "ceiling": "float cannot rise past a height",
    "floor": "float cannot sink past a height",
    "hang-ups": "float hangs unevenly (debris, particles)",
}
"""Fault of a story -> cause of the diagnosis."""


def causes_of(cause: Cause) -> frozenset[str]:
    return frozenset(c.name for c in cause.both or (cause,))


class Outcome(NamedTuple):
    truth: tuple[str, ...]
    wanted: frozenset[str]
    """Empty where the truth is in no list."""
    named: frozenset[str]
    """The causes that come first."""
    verdict: str
    among: bool
    """The truth is among what cannot be told apart."""
    readings: int

    @property
    def decided(self) -> bool:
        return self.verdict in (FOUND, NOTHING_WRONG)

    @property
    def right(self) -> bool:
        return self.named == self.wanted


def outcome(story: Story, found: Diagnosis) -> Outcome:
    wanted = frozenset() if story.outside else frozenset(NAMES[n] for n in story.truth)
    return Outcome(
        story.truth,
        wanted,
        causes_of(found.findings[0].cause),
        found.verdict,
        wanted in [causes_of(f.cause) for f in found.rivals],
        len(found.case.readings),
    )


def diagnosed(story: Story, **more: Any) -> Diagnosis:
    return diagnose(Gauge(**story.gauge), Readings(**story.readings), **more)  # type: ignore[arg-type]


@cache
def outcomes(each: int = EACH, seed: int = SEED) -> tuple[Outcome, ...]:
    return tuple(outcome(story, diagnosed(story)) for story in stories(each, seed))


@dataclass(frozen=True)
class Search:
    """Questions until a cause is named."""

    steps: int
    minutes: float
    decided: bool
    right: bool


def search(story: Story, guided: bool, seed: int) -> Search:
    """Ask, by what an answer tells or in the plain order, until a cause is settled or nothing is left."""
    answers: dict[str, bool | float] = {}
    skipped, opened = set[str](), set[str]()
    readings = dict(story.readings)
    steps, minutes, times_read = 0, 0.0, 0
    plain = iter(questions())
    found: Diagnosis | None = None
    while True:
        if found is None:
            gauge = Gauge(**story.gauge)  # type: ignore[arg-type]
            found = diagnose(gauge, Readings(**readings), answers=answers, guided=True)
        name: str | None = None
        step = next_step(found, opened, skipped) if guided else None
        if not settled(found) and not guided:
            step = None
            if "readings" not in skipped:  # a fixed order begins with a second reading
                step = Step(0.0, LEVEL_MINUTES, readings=other_level(found.case))
            else:
                name = next((n for n in plain if questions()[n].fits(found.case)), None)
        if step is not None and step.readings is not None:
            planned = step.readings
            more = read_again(story, planned.level, np.nan_to_num(planned.direction), seed + steps)
            readings = {k: np.concatenate([readings[k], more[k]]) for k in readings}
            steps, minutes, found = steps + 1, minutes + step.cost, None
            times_read += 1
            if not guided or times_read >= READING_TIMES:
                skipped.add("readings")
            continue
        if step is not None and step.question is not None:
            name = step.question.name
        if name is None:
            result = outcome(story, found)
            decided = settled(found)
            return Search(steps, minutes, decided, decided and result.right)
        asked = questions()[name]
        steps += 1
        minutes += asked.minutes + opening_cost(asked.opens, opened)
        opened.add(asked.opens)
        # the same person sees the same in either order
        place = list(questions()).index(name)
        answer = seen(story, name, np.random.default_rng([seed, place]))
        if answer is None:
            skipped.add(name)
        else:
            answers[name], found = answer, None


@cache
def searches(
    seed: int = SEED, each: int = 1, every: int = 1
) -> tuple[tuple[Search, ...], tuple[Search, ...]]:
    """(guided, in the plain order) for stories with one reading, of every fault that can be seen.

    `every`: of every second fault, of every third ...
    """
    rng = np.random.default_rng(seed)
    told = []
    for name in [name for name in FAULTS if name not in ("as designed", "steps", "switch")][::every]:
        for _ in range(each):
            for _ in range(200):
                story = tell((name,), rng, scant)
                if story.visible:
                    told.append(story)
                    break
    # both ways of a story after one another: the fits to its first reading are kept for so long
    both = [tuple(search(s, guided, seed + i) for guided in (True, False)) for i, s in enumerate(told)]
    return tuple(zip(*both, strict=True))  # type: ignore[return-value]


def lines(made: tuple[Outcome, ...], sought: tuple[tuple[Search, ...], tuple[Search, ...]]) -> Iterator[str]:
    """The confusion matrix and the shares, as text."""
    decided = [o for o in made if o.decided]
    wrong = [o for o in decided if not o.right]
    yield (
        f"Diagnosis: {len(made)} stories of an independent forward model, levels to {1e3 * NOISE:g} mm,"
        f" density to {100 * DENSITY_NOISE:g} %"
    )
    yield f"{'what was wrong':<44}{'right':>6}{'wrong':>6}{'open, in':>9}{'open, out':>10}{'none':>6}"
    for truth in [*((n,) for n in FAULTS), *PAIRS, *((n,) for n in OUTSIDE)]:
        of = [o for o in made if o.truth == truth]
        count = Counter(_kind(o) for o in of)
        name = " + ".join(truth) + (" (in no list)" if truth[0] in OUTSIDE else "")
        cells = (count["right"], count["wrong"], count["open, in"], count["open, out"], count["none"])
        widths = (6, 6, 9, 10, 6)
        yield f"{name:<44}" + "".join(f"{c or '.':>{w}}" for c, w in zip(cells, widths, strict=True))
    for o in wrong:
        yield f"decided and wrong: {' + '.join(o.truth)} -> {', '.join(sorted(o.named))}"
    yield (
        f"decided {len(decided)}; decided and wrong {len(wrong)}: {len(wrong) / max(len(made), 1):.1%} of"
        " all,"
        f" {len(wrong) / max(len(decided), 1):.1%} of the decided"
    )
    for text, runs in zip(("guided questions", "fixed order"), sought, strict=True):
        yield (
            f"{text}: one reading, then {np.mean([r.steps for r in runs]):.1f} steps and"
            f" {np.mean([r.minutes for r in runs]):.0f} minutes with risk; of {len(runs)} stories"
            f" {sum(r.decided for r in runs)} decided, {sum(r.right for r in runs)} right"
        )


def _kind(o: Outcome) -> str:
    if o.decided:
        return "right" if o.right else "wrong"
    if o.verdict == UNEXPLAINED:
        return "none"
    return "open, in" if o.among else "open, out"


if __name__ == "__main__":
    each, seed = (
        (int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else SEED)
        if len(sys.argv) > 1
        else (EACH, SEED)
    )
    print("\n".join(lines(outcomes(each, seed), searches())))
