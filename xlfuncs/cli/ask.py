"""`xlfuncs diagnose --ask`: questions in the terminal, the one that tells most for its cost first."""

from __future__ import annotations

import math
from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, field, fields, replace
from typing import Any, TextIO

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge.diagnosis import Diagnosis, diagnose
from xlfuncs.gauge.guide import READING_TIMES, Step, next_step
from xlfuncs.gauge.questions import Question, questions
from xlfuncs.gauge.readings import FALLING, RISING, Gauge, Readings
from xlfuncs.report.repair import Asked, said
from xlfuncs.units import UnitError, parse

YES = frozenset({"y", "yes", "j", "ja", "oui", "si", "true", "1"})
NO = frozenset({"n", "no", "nein", "non", "false", "0"})
NOT_NOW = frozenset({"s", "skip", "not now", "not open"})
STOP = frozenset({"q", "quit", "stop", "end"})
UNDO = frozenset({"u", "undo", "back"})
_KNOWN = ("readings", "answers", "asked", "opened", "skipped", "times_read")
"""What an answer changes."""
_FAR = 5.0
"""A mass or a density so many times the stated one, or less, is a slip of the unit."""
_WAYS = {RISING: "rising", FALLING: "falling"}


class _NotNow(Exception):
    """What this question needs is not opened now."""


class _Stop(Exception):
    """The person wants no more questions."""


class _Undo(Exception):
    """The last answer is taken back."""


@dataclass
class Talk:
    """A search by questions: what is known so far."""

    gauge: Gauge
    readings: Readings
    level_noise: float
    density_noise: float
    density: float
    """Stated, for readings that are taken now [kg/m3]."""
    out: TextIO
    ask: Callable[[str], str] = field(default=lambda prompt: input(prompt))
    answers: dict[str, bool | float] = field(default_factory=dict)
    asked: list[Asked] = field(default_factory=list)
    opened: set[str] = field(default_factory=set)
    skipped: set[str] = field(default_factory=set)
    times_read: int = 0
    not_read: list[str] = field(default_factory=list)
    """Columns of the book that were not understood."""
    before: list[dict[str, Any]] = field(default_factory=list)
    """What was known before each step, so that it can be taken back."""

    def found(self) -> Diagnosis:
        return diagnose(
            self.gauge,
            self.readings,
            self.level_noise,
            self.density_noise,
            answers=self.answers,
            guided=True,
            not_read=self.not_read,
        )

    def say(self, text: str = "") -> None:
        print(text, file=self.out)

    def run(self) -> Diagnosis:
        """Ask until a cause is settled, nothing is left to ask, or the person stops."""
        self.say(
            "Answer y or n; Enter: not looked; s: not opened now; u: take the last answer back; q: stop."
            " Numbers may have a unit."
        )
        while True:
            found = self.found()
            step = next_step(found, self.opened, self.skipped)
            if step is None:  # settled, or nothing is left to ask
                return found
            self._standing(found)
            known = self._known()
            try:
                self._take(step)
                self.before.append(known)
            except _Undo:
                self._restore(self.before.pop() if self.before else known)
            except (_Stop, EOFError, KeyboardInterrupt):
                self.say()
                return self.found()

    def _standing(self, found: Diagnosis) -> None:
        named = [f"{f.cause.name} {f.weight:.2f}" for f in found.findings[:3] if f.weight >= 0.01]
        self.say(f"\nSo far: {'; '.join(named)}")

    def _known(self) -> dict[str, Any]:
        return {name: copy(getattr(self, name)) for name in _KNOWN}

    def _restore(self, known: dict[str, Any]) -> None:
        for name, value in known.items():
            setattr(self, name, value)

    def _take(self, step: Step) -> None:
        if step.question is not None:
            self._question(step.question)
        elif step.readings is not None:
            self._readings(step.readings)

    def _question(self, question: Question) -> None:
        if question.caution and question.opens not in self.opened:
            self.say(f"CAUTION before this: {question.caution}")
        self.say(f"{question.text} (about {question.minutes:g} min)")
        try:
            answer = self._mass() if question.mass else self._yes_or_no(question.density)
        except _NotNow:
            self.skipped |= {q.name for q in questions().values() if q.opens == question.opens}
            return
        if answer is None:
            self.skipped.add(question.name)
            return
        self.opened.add(question.opens)
        self.answers[question.name] = answer
        self.asked.append(Asked(question.text, said(question, answer)))

    def _line(self, prompt: str) -> str:
        text = self.ask(prompt).strip()
        if text.lower() in STOP:
            raise _Stop
        if text.lower() in UNDO:
            raise _Undo
        if text.lower() in NOT_NOW:
            raise _NotNow
        return text

    def _yes_or_no(self, density: bool = False) -> bool | float | None:
        """`density`: a number is an answer as well."""
        while True:
            text = self._line("y, n, kg/m3 or Enter > " if density else "y/n/Enter > ").lower()
            if text in YES:
                return True
            if text in NO:
                return False
            if text in ("", "-", "?", "not looked", "dont know", "don't know"):
                return None
            if density and text[:1].isdigit():
                value = self._parsed(text, "density", "kg/m3", self.density)
                if value is not None:
                    return value
                continue
            self.say("y, n, Enter for 'not looked', u to take the last answer back, or q to stop")

    def _mass(self) -> float | None:
        return self._number("grams > ", "mass", "g", self.gauge.mass)

    def _number(self, prompt: str, quantity: str, unit: str, usual: float = math.nan) -> float | None:
        while True:
            text = self._line(prompt)
            if not text:
                return None
            value = self._parsed(text, quantity, unit, usual)
            if value is not None:
                return value

    def _parsed(self, text: str, quantity: str, unit: str, usual: float) -> float | None:
        """In SI; None, and why, for what is no such number or not of the size of the usual one."""
        try:
            value = float(parse(text, quantity, unit).si)
        except UnitError as why:
            self.say(str(why))
            return None
        if not math.isnan(usual) and not usual / _FAR < value < usual * _FAR:
            self.say(f"{text}: far from what is stated; give {unit}, or the number with its unit")
            return None
        return value

    def _level(self) -> float | None:
        try:
            return self._number("true level by other means, mm > ", "length", "mm")
        except _NotNow:
            return None

    def _readings(self, planned: Readings) -> None:
        taken = False
        for level, way in zip(planned.level, planned.direction, strict=True):
            how = _WAYS.get(float(way), "at rest")
            self.say(f"Bring the level to about {1e3 * level:.0f} mm and read with it {how}; Enter skips.")
            true = self._level()
            if true is None:
                continue
            shown = self._number("indicated, mm > ", "length", "mm")
            current = None
            if self.gauge.urv > self.gauge.lrv:
                current = self._number("current, mA > ", "current", "mA")
            if shown is None and current is None:
                continue
            taken = True
            self.readings = _more(self.readings, self.density, true, shown, current, float(way))
            text = f"{_shown(shown, 'mm')}{_shown(current, 'mA')}".strip()
            self.asked.append(Asked(f"Reading at {1e3 * true:.0f} mm, {how}", text))
        self.times_read += 1
        if not taken or self.times_read >= READING_TIMES:
            self.skipped.add("readings")


def _shown(value: float | None, unit: str) -> str:
    return "" if value is None else f"{1e3 * value:.4g} {unit} "


def _more(
    read: Readings, density: float, level: float, shown: float | None, current: float | None, way: float
) -> Readings:
    """The readings with one more."""
    nan = math.nan
    more = {
        "density": density,
        "level": level,
        "indicated": nan if shown is None else shown,
        "current": nan if current is None else current,
        "direction": way,
    }
    columns = {f.name: np.append(getattr(read, f.name), more.get(f.name, nan)) for f in fields(read)}
    return replace(read, **columns)


def no_readings(density: float) -> Readings:
    """None yet."""
    if math.isnan(density):
        raise XlfuncsError("the density of the liquid is not stated: add it to the gauge's data")
    return Readings(np.array([density]))
