"""Findings that say the same of every cell of a column, in one row of a page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from xlfuncs.audit.model import Finding
from xlfuncs.report import _consequence as consequence
from xlfuncs.report import _words as words
from xlfuncs.report._words import escaped as _t

Numbered = tuple[int, int, Finding]
"""Number of a finding, number of its workbook, the finding."""

RULES = frozenset({"number-as-text", "row-hidden"})
"""Notes on how a cell is written: none has a calculation or a remedy of its own."""
SINGLY = 3
"""As many of a column stand one by one."""


def folded(
    findings: Sequence[tuple[int, Finding]], area: Callable[[int, Finding], str]
) -> Iterator[tuple[Numbered, list[Numbered]]]:
    """The rows of a list: a finding, and those of the same column that stand in its row."""
    columns: dict[tuple[object, ...], list[Numbered]] = {}
    rows: list[list[Numbered]] = []
    for number, (book, f) in enumerate(findings, 1):
        here: list[Numbered] = []
        if f.rule in RULES:
            letters = re.sub(r"\d+", "", f.cell)
            key = (book, f.rule, f.sheet, letters, f.status, area(book, f), consequence.of(f))
            here = columns.setdefault(key, here)
        if not here:
            rows.append(here)
        here.append((number, book, f))
    parts = [part for row in rows for part in _parts(row)]
    for first, *others in sorted(parts, key=lambda part: part[0][0]):
        yield first, others


def _parts(row: list[Numbered]) -> list[list[Numbered]]:
    return [row] if len(row) > SINGLY else [[one] for one in row]


def more(others: Sequence[Numbered], printed: bool) -> str:
    """The further cells of a row, unfolded on demand; on paper their places alone."""
    if not others:
        return ""
    title = f"and {words.plural(len(others), 'more cell')} of this column"
    if printed:
        cells = ", ".join(f"{_t(f.cell)} ({_t(f.tag)})" if f.tag else _t(f.cell) for _, _, f in others)
        return f"<p>{title}: {cells}</p>"
    each = "".join(
        f'<li id="f{number}">{number}. {_t(f.tag)} {_t(f.cell)}: {_t(words.sentence(f.message))}</li>'
        for number, _, f in others
    )
    return f"<details><summary>{title}</summary><ul>{each}</ul></details>"
