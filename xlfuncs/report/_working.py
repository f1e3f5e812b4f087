"""The calculation of a finding in a page: inputs with their cells, equations, numbers, and the test."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.calculation import Calculation
from xlfuncs.report import _words as words
from xlfuncs.report._words import escaped as _t

MOST = 500
"""Calculations in one page: with more it opens too slowly. The JSON has them all."""


def _number(number: float, unit: str) -> str:
    text = (
        f"{number:,.0f}" if 1e6 <= abs(number) < 1e12 else f"{number:.6g}"
    )  # 1,034,214 Pa can be read aloud
    return f"{text} {unit}".strip()


def table(calculation: Calculation) -> str:
    """The calculation from the cells to the verdict, each number as the sheet has it and in SI."""
    head = "".join(f'<th scope="col">{name}</th>' for name in ("", "", "As stated", "SI", "From"))
    body = "".join((*_inputs(calculation), *_steps(calculation)))
    return (
        f'<table class="work"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{_end(calculation)}'
    )


def _line(symbol: str, name: str, shown: str, number: str, origin: str) -> str:
    cells = (f"<i>{_t(symbol)}</i>", _t(name), _t(shown), _t(number), origin)
    return f"<tr>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


def _inputs(calculation: Calculation) -> Iterator[str]:
    for value in calculation.inputs:
        origin = words.reference(value.sheet, value.cell) if value.origin == "cell" else value.origin
        if value.origin == "setting":
            origin = f"setting {value.stated}"
        number = "" if value.number is None else _number(value.number, value.unit)
        told = _t("; ".join(filter(None, (origin, value.note))))
        yield _line(value.symbol, value.name, value.shown, number, told)


def _steps(calculation: Calculation) -> Iterator[str]:
    for step in calculation.steps:
        equation = f"{step.symbol} = {step.expression}" if step.expression else f"by {step.function}"
        source = f' <span class="soft">{_t(step.source)}</span>' if step.source else ""
        told = f"<code>{_t(equation)}</code>{source}"
        yield _line(step.symbol, step.name, step.shown, _number(step.number, step.unit), told)


def _end(calculation: Calculation) -> str:
    if not calculation.test:
        return f"<p>{_t(words.sentence(calculation.note))}</p>" if calculation.note else ""
    note = f" {_t(words.sentence(calculation.note))}" if calculation.note else ""
    verdict = "it holds, so this is a finding" if calculation.fires else "it does not hold"
    return f"<p>Judged by <code>{_t(calculation.test)}</code>: {verdict}.{note}</p>"
