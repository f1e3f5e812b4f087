"""Answers to what was looked at, as a sheet holds them: a question in each row, its answer beside it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from xlfuncs.data import load
from xlfuncs.gauge.questions import Question, questions
from xlfuncs.units import UnitError, parse
from xlfuncs.worksheet.float_table import is_blank, squash

HEADINGS = ("question", "answer")
LEAST_DENSITY, MOST_DENSITY = 50.0, 25000.0
"""kg/m3 between which a liquid's density lies: liquid hydrogen is near 70, mercury near 13600."""
_SAYS_MORE = re.compile(r"\s*\w+\s*[,;:.!(-]")
"""An answer with a remark behind it: 'No, 25 mm too high'."""


def is_heading(cell: Any, which: str) -> bool:
    """A heading of such a table."""
    return isinstance(cell, str) and squash(cell).split(" ")[:1] in ([which], [f"{which}s"])


def question_of(text: Any) -> Question | None:
    """The question with this text or name; also with a text that sheets printed before have."""
    if not isinstance(text, str):
        return None
    plain, earlier = squash(text), load("observations")["earlier_questions"]
    return next(
        (
            q
            for q in questions().values()
            if plain in {squash(known) for known in (q.text, q.name, *earlier.get(q.name, ()))}
        ),
        None,
    )


def read_answers(rows: Sequence[Sequence[Any]], places: Sequence[str]) -> dict[str, bool | float]:
    """Answers by question; ValueError names the row of one that is none."""
    head = rows[0] if rows else []
    asked = next((i for i, cell in enumerate(head) if is_heading(cell, "question")), -1)
    told = next((i for i, cell in enumerate(head) if is_heading(cell, "answer")), -1)
    if asked < 0 or told < 0:
        raise ValueError("answers: the first row needs the headings Question and Answer")
    found: dict[str, bool | float] = {}
    for place, row in zip(places[1:], rows[1:], strict=True):
        if is_blank(row[told]) or is_blank(row[asked]):
            continue
        question = question_of(row[asked])
        if question is None:
            raise ValueError(f"{place}: '{row[asked]}' is none of the questions that --ask asks")
        answer = _answer(question, row[told], place)
        if answer is not None:
            found[question.name] = answer
    return found


def _answer(question: Question, cell: Any, place: str) -> bool | float | None:
    if question.mass:
        try:
            mass = float(parse(str(cell), "mass", "g").si)
        except UnitError as why:
            raise ValueError(f"{place}: {why}") from None
        return mass if mass > 0 else None
    if question.density and (isinstance(cell, float | int) and not isinstance(cell, bool)):
        cell = f"{cell:g}"
    if question.density and str(cell).strip()[:1].isdigit():
        return _density(str(cell), place)
    words = load("observations")["words"]
    plain = squash(str(cell)) if not isinstance(cell, bool) else ("yes" if cell else "no")
    first = plain.split(" ")[0] if _SAYS_MORE.match(str(cell)) else plain
    for group, value in (("yes", True), ("no", False), ("not_looked", None)):
        if {plain, first} & {squash(word) for word in words[group]}:
            return value
    raise ValueError(f"{place}: '{cell}' is none of yes, no, not looked")


def _density(text: str, place: str) -> float:
    try:
        density = float(parse(text, "density", "kg/m3").si)
    except UnitError as why:
        raise ValueError(f"{place}: {why}") from None
    if not LEAST_DENSITY < density < MOST_DENSITY:
        raise ValueError(f"{place}: {text}: no liquid's density in kg/m3; give the number with its unit")
    return density
