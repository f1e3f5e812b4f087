"""The calculation of a finding in a page: inputs with their cells, equations, numbers, and the test."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from math import log10

from xlfuncs.audit.calculation import Calculation, Value, formula
from xlfuncs.audit.model import Finding
from xlfuncs.report import _words as words
from xlfuncs.report._words import escaped as _t

MOST = 500
"""Calculations in one page: with more it opens too slowly. The JSON has them all."""

VERDICTS = ("it holds, so this is a finding", "it does not hold")
REMEDIES = ("it holds, so this suffices", "it does not hold: this does not suffice")
FLOAT_FITS = ("it holds, so it reads within the tolerance", "it does not hold: it reads beyond the tolerance")


def _number(number: float, unit: str) -> str:
    text = (
        f"{number:,.0f}" if 1e6 <= abs(number) < 1e12 else f"{number:.6g}"
    )  # 1,034,214 Pa can be read aloud
    return f"{text} {unit}".strip()


def table(calculation: Calculation, verdicts: tuple[str, str] = VERDICTS) -> str:
    """The calculation from the cells to the verdict, each number as the sheet has it and in SI."""
    head = "".join(f'<th scope="col">{name}</th>' for name in ("", "", "As stated", "SI", "From"))
    sources: list[str] = []
    body = "".join((*_inputs(calculation, sources), *_steps(calculation)))
    rows = f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody>"
    told = "; ".join(f"[{number}] {_t(source)}" for number, source in enumerate(sources, 1))
    below = f'<p class="soft sources">Sources: {told}</p>' if told else ""
    return f'<table class="work">{rows}</table>{_end(calculation, verdicts)}{below}'


_LONG = 40
"""Characters of a source; a longer one stands below the table, once."""


def _cited(note: str, sources: list[str]) -> str:
    """A short note as it is, a long one by its number below the table."""
    if len(note) <= _LONG:
        return note
    if note not in sources:
        sources.append(note)
    return f"[{sources.index(note) + 1}]"


def _verdicts(calculation: Calculation) -> tuple[str, str]:
    return FLOAT_FITS if calculation.limit == "e_max" else REMEDIES


def _line(symbol: str, name: str, shown: str, number: str, origin: str) -> str:
    cells = (f"<i>{_t(symbol)}</i>", _t(name), _t(shown), _t(number), origin)
    return f"<tr>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


def _inputs(calculation: Calculation, sources: list[str]) -> Iterator[str]:
    for value in calculation.inputs:
        origin = words.reference(value.sheet, value.cell) if value.origin == "cell" else value.origin
        if value.origin == "setting":
            origin = f"setting {value.stated}"
        number = "" if value.number is None else _number(value.number, value.unit)
        told = _t("; ".join(filter(None, (origin, scaled(value), _cited(value.note, sources)))))
        yield _line(value.symbol, value.name, value.shown, number, told)


def scaled(value: Value) -> str:
    """How a cell's number became the one in SI, where that is more than a shift of the point."""
    if value.origin == "cell" and value.scale is None and value.link:
        return _through_link(value)
    scale = value.scale or 1.0
    if value.origin != "cell" or (log10(abs(scale)).is_integer() and not value.offset):
        return ""
    return f"{value.stated} x {scale:.9g}" + (f" + {value.offset:.9g}" if value.offset else "")


_SHIFT = re.compile(r"x(\*10*\.0|\*0\.0*1|\*1E-\d+)?\Z")
"""A link that shifts the point only."""


def _through_link(value: Value) -> str:
    """The conversion of a number that stands in a text, or on a scale that is no factor."""
    try:
        number = value.written.number(value.stated) if value.written else float(value.stated)
    except ValueError:  # a part of what several cells hold
        return ""
    if number is None or _SHIFT.match(value.link):
        return ""
    return formula(value.link, {"x": f"{number:.9g}"}).replace("*", " x ")


def _steps(calculation: Calculation) -> Iterator[str]:
    for step in calculation.steps:
        equation = f"{step.symbol} = {step.expression}" if step.expression else f"by {step.function}"
        source = f' <span class="soft">{_t(step.source)}</span>' if step.source else ""
        told = f"<code>{_t(equation)}</code>{source}"
        yield _line(step.symbol, step.name, step.shown, _number(step.number, step.unit), told)


def _end(calculation: Calculation, verdicts: tuple[str, str]) -> str:
    if not calculation.test:
        return f"<p>{_t(words.sentence(calculation.note))}</p>" if calculation.note else ""
    note = f" {_t(words.sentence(calculation.note))}" if calculation.note else ""
    verdict = verdicts[0] if calculation.fires else verdicts[1]
    return f"<p>Judged by <code>{_t(calculation.test)}</code>: {verdict}.{note}</p>"


def unfolded(number: int, f: Finding, printed: bool) -> str:
    """The calculations of a finding and of its remedy, unfolded on demand; on paper where they stand."""
    if number > MOST:
        return ""
    if printed:
        return f'<p><a href="#w{number}">Calculation {number}</a></p>' if _has_any(f) else ""
    return "".join(f"<details><summary>{title}</summary>{work}</details>" for title, work in _each(f))


def _has_any(f: Finding) -> bool:
    if f.calculation is not None:
        return True
    return f.remedy is not None and (f.remedy.calculation is not None or f.remedy.further != ())


def _each(f: Finding) -> Iterator[tuple[str, str]]:
    """Title and table of each calculation."""
    if (calculation := f.calculation) is not None:
        yield "Calculation", table(calculation)
    if (remedy := f.remedy) is not None and remedy.calculation is not None:
        yield "Calculation of the remedy", table(remedy.calculation, _verdicts(remedy.calculation))
    for name, work in () if remedy is None else remedy.further:
        yield f"Calculation of {_t(name)}", table(work, _verdicts(work))


def all_of(findings: Sequence[tuple[int, Finding]]) -> Iterator[str]:
    """The calculations of a printed page, by the numbers of their findings."""
    worked = [(number, f) for number, (_, f) in enumerate(findings[:MOST], 1) if _has_any(f)]
    if worked:
        yield "<h2>Calculations</h2>"
    for number, f in worked:
        title = f"{number}. {_t(f.tag) or 'no tag'}: {_t(f.rule)}"
        yield f'<section class="worked" id="w{number}"><h3>{title}</h3>'
        yield f"<p>{_t(words.sentence(f.message))}</p>"
        for name, work in _each(f):
            yield f"<h4>{name}</h4>{work}" if name != "Calculation" else work
        yield "</section>"
