"""What to mend, and what the gauge will read then: lines for a terminal, and a page to print."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape

import numpy as np

from xlfuncs.gauge import reasons
from xlfuncs.gauge.causes import AS_DESIGNED, NONE
from xlfuncs.gauge.diagnosis import FOUND, NOTHING_WRONG, Diagnosis, Finding
from xlfuncs.gauge.faulty import SOUND, predict
from xlfuncs.gauge.guide import settled
from xlfuncs.gauge.leaning import leaning
from xlfuncs.gauge.questions import Question, denied
from xlfuncs.gauge.readings import Readings
from xlfuncs.gauge.signal import SPAN, ZERO
from xlfuncs.report.cautions import FIELD
from xlfuncs.report.diagnosis import fitted, withheld

_SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)
_STAYS = ("liquid", "reference")
"""Parts whose fault is outside the gauge: it reads as before until its float or data fit."""
_OPEN = 6
"""Causes that are named where none is settled."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question and what was answered."""

    text: str
    answer: str


def said(question: Question, answer: bool | float) -> str:
    """An answer as it is printed."""
    if question.mass:
        return f"{1e3 * answer:g} g"
    if isinstance(answer, bool):
        return "yes" if answer else "no"
    return f"{answer:g} kg/m3"


@dataclass(frozen=True, slots=True)
class AtLevel:
    """What a gauge shows at a true level: mm and mA."""

    level: float
    indicated: float
    current: float


def conclusion(found: Diagnosis) -> str:
    """The end of a search, in a sentence or two."""
    best = found.findings[0]
    if found.withheld:
        text = withheld(found)
        return f"{text[:1].upper()}{text[1:]}."
    if found.verdict == NOTHING_WRONG or (best.cause is AS_DESIGNED and settled(found)):
        return "Nothing wrong shows in these readings and answers."
    if best.cause is NONE:
        return "None of these: what is wrong is in no list, or a reading or an answer is in error."
    if settled(found):
        sure = "Most likely" if found.verdict == FOUND else f"All but certain (weight {best.weight:.2f})"
        return f"{sure}: {best.cause.name}{fitted(found, best, ', ')}."
    names = "; ".join(f"{f.cause.name} ({f.weight:.2f})" for f in found.rivals[:_OPEN])
    if len(found.rivals) == 1:
        return _alone(found, best)
    return f"Not settled. What cannot be told apart, with weights: {names}."


def _alone(found: Diagnosis, best: Finding) -> str:
    """What comes next to certain, and why it is not taken for so."""
    name = f"{best.cause.name}{fitted(found, best, ', ')}"
    if denied(found.case, best.cause):
        return (
            f"Not settled. The readings fit only {name}; what it would show was looked at and is not there:"
            " look again, or what is wrong is in no list."
        )
    return f"Not certain, though nothing else comes near: {name}."


def rests_on(found: Diagnosis) -> str:
    """The one answer on which the conclusion rests, and what is left if that was wrong; "" if none."""
    if not (settled(found) or found.findings[0].cause is NONE):
        return ""
    lean = leaning(found)
    if lean is None:
        return ""
    names = "; ".join(f"{f.cause.name} ({f.weight:.2f})" for f in lean.instead[:_OPEN])
    answer = said(lean.question, lean.answer)
    return f"This rests on one answer: {lean.question.text} {answer}. Look again; if it was wrong: {names}."


def mends(found: Diagnosis) -> list[str]:
    """What to do, for the cause that is settled, or for each that is left."""
    if found.verdict == NOTHING_WRONG:
        return []
    if found.withheld:
        return ["nothing yet: see to it that the columns that were not read are, and diagnose again"]
    left = found.findings[:1] if settled(found) else found.rivals[:_OPEN]
    if found.findings[0].cause is NONE:
        left = ()
    made = [
        f"{f.cause.name}: {f.cause.mend}" for f in left if f.cause.mend and not denied(found.case, f.cause)
    ]
    return made or ["read again, at other levels, with another reference; have the maker look at the gauge"]


def after(found: Diagnosis) -> list[AtLevel]:
    """What the gauge will read once that is mended, at five levels of its range."""
    case, best = found.case, found.findings[0]
    top = case.gauge.visible_range if case.gauge.visible_range > 0 else case.top
    levels = np.array(_SHARES) * top
    trial = replace(case, readings=Readings(np.full(len(levels), case.stated_density), level=levels))
    stays = settled(found) and best.cause.part in _STAYS
    with reasons():
        made = predict(trial, best.cause.state(trial, np.array([best.values])) if stays else SOUND)
    g = case.gauge
    share = (np.atleast_2d(made.signal)[0] - g.lrv) / (g.urv - g.lrv)
    current = 1e3 * (ZERO + SPAN * (1 - share if g.reverse else share))
    shown = np.clip(np.atleast_2d(made.indicated)[0], 0.0, top)
    return [AtLevel(*map(float, row)) for row in zip(1e3 * levels, 1e3 * shown, current, strict=True)]


def lines(found: Diagnosis) -> Iterator[str]:
    """For a terminal."""
    yield conclusion(found)
    if doubt := rests_on(found):
        yield doubt
    for text in mends(found):
        yield f"Mend: {text}"
    yield _after_heading(found)
    for row in after(found):
        current = "" if math.isnan(row.current) else f", {row.current:.2f} mA"
        yield f"  level {row.level:.0f} mm: shows {row.indicated:.0f} mm{current}"


def _after_heading(found: Diagnosis) -> str:
    best = found.findings[0]
    if settled(found) and best.cause.part in _STAYS:
        return "Until float and data fit the liquid or the datum, it goes on to read:"
    if not settled(found):
        return "A sound gauge would read, at rest:"
    return "Then it will read, at rest:"


def page(found: Diagnosis, tag: str, asked: Sequence[Asked]) -> str:
    """A page to print."""
    rows = "".join(
        f"<tr><td>{r.level:.0f}</td><td>{r.indicated:.0f}</td><td>{_current(r)}</td><td></td><td></td></tr>"
        for r in after(found)
    )
    seen = "".join(f"<tr><td>{escape(a.text)}</td><td>{escape(a.answer)}</td></tr>" for a in asked)
    answers = f"<h2>What was seen</h2><table><tr><th>Question</th><th>Answer</th></tr>{seen}</table>"
    title = f"Fault finding {escape(tag)}".rstrip()
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{_STYLE}</style></head><body><h1>{title}</h1>"
        f"<p class=end>{escape(conclusion(found))}</p>"
        f"<p>{escape(rests_on(found))}</p>"
        + "".join(f"<p><b>Mend.</b> {escape(text)}</p>" for text in mends(found))
        + f"<h2>{escape(_after_heading(found))}</h2><table><tr><th>True level, mm</th><th>Shows, mm</th>"
        f"<th>Current, mA</th><th>Shows, as left</th><th>Current, as left</th></tr>{rows}</table>"
        + (answers if seen else "")
        + "<h2>Before anything is opened</h2>"
        + "".join(f"<p>{escape(text)}</p>" for text in FIELD)
        + "<table class=sign><tr><td>Found by</td><td></td><td>Date</td><td></td></tr>"
        "<tr><td>Mended by</td><td></td><td>Date</td><td></td></tr></table></body></html>\n"
    )


def _current(row: AtLevel) -> str:
    return "" if math.isnan(row.current) else f"{row.current:.2f}"


_STYLE = (
    "body{font:11pt/1.35 sans-serif;max-width:180mm;margin:8mm auto;padding:0 4mm;color:#111}"
    "h1{font-size:17pt}h2{font-size:12.5pt;margin-top:7mm}"
    ".end{font-size:13pt;border:2px solid #2f4858;padding:3mm}"
    "table{border-collapse:collapse;width:100%}"
    "td,th{border:1px solid #888;padding:2mm;text-align:left;height:8mm}"
    ".sign td:nth-child(2){width:42%}.sign td:nth-child(4){width:24%}"
    "@page{size:A4;margin:14mm}@media print{body{margin:0}}"
)
