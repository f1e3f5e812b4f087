"""Columns of a form that hold the values of several cases, bounds or offers side by side."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

from xlfuncs.data import load
from xlfuncs.lists.columns import is_placeholder
from xlfuncs.lists.form_labels import BELOW, Block, Label, Sheet, clean, has_value, is_uom
from xlfuncs.lists.form_properties import Properties, place_of, property_of
from xlfuncs.lists.upright import Place, Record, is_blank, is_unit_text
from xlfuncs.vocabulary.words import fold, slots, words_of


@dataclass(slots=True)
class _Case:
    """A column of a form that holds the values of one case."""

    col: int
    text: str
    bound: str
    """"minimum", "normal", "maximum", "design", or "" for a case by a name of its own."""


_BOUNDS: Final = {"minimum": "minimum", "normal": "normal", "maximum": "maximum", "design": "design"}

_NO_CASE: Final = ("stated", "uom", "filler", "stop", "item")


@lru_cache(maxsize=8192)
def bound_of(text: str) -> str | None:
    """Which bound or case a text names and nothing else; None for any other text."""
    words = words_of(text)
    if not words or len(words) > 3:
        return None
    slot = slots()
    names = {name for word in words for name in word.concepts if slot[name] in ("bound", "qualifier")}
    others = {
        name
        for word in words
        for name in word.concepts
        if slot[name] in ("subject", "quantity") and name != "ambient"
    }
    if others or not names & {*_BOUNDS, "cold", "operating"}:
        return None
    if names & {"operating"} and not names & {*_BOUNDS}:
        return "normal"
    return next((bound for bound in _BOUNDS if bound in names), "")


def cases_of(sheet: Sheet, i: int, cells: list[int]) -> list[_Case]:
    """The cases that a row names above the columns of their values; none for another row."""
    row = sheet.values[i]
    beside = next((j for j in cells[2:] if _over_labels(sheet, i, j)), len(row))
    cells = [j for j in cells if j < beside]
    texts = {j: clean(row[j]) for j in cells if isinstance(row[j], str)}
    if len(texts) != len(cells) or sheet.way == "below":
        return []
    texts = {j: text for j, text in texts.items() if not is_uom(row[j])}
    known = {j: bound for j, text in texts.items() if (bound := bound_of(text)) is not None}
    if len(known) < 2:
        return []
    first = min(known)
    return [_Case(j, text, known.get(j, "")) for j, text in texts.items() if j >= first]


def _over_labels(sheet: Sheet, i: int, j: int) -> bool:
    """Whether further labels stand below a cell of the row with the names of the cases, and no values."""
    below = [
        k for k in range(i + 1, min(i + 1 + BELOW, len(sheet.values))) if not is_blank(sheet.values[k][j])
    ]
    named = sum((k, j) in sheet.labels and has_value(sheet, k, j) for k in below)
    return (i, j) in sheet.labels and 2 * named > len(below)


def offers_of(sheet: Sheet, i: int, cells: list[int], block: Block) -> list[_Case]:
    """The columns right of that of the units, each with one offer's values ('Specified', 'Tenderer A')."""
    row = sheet.values[i]
    unit = next(j for j in cells if is_uom(row[j]))
    first = max(i + 1, block.top)
    rows = [k for k in range(first, block.bottom) if any((k, j) in sheet.labels for j in cells if j < unit)]
    given = {j: sum(not is_blank(sheet.values[k][j]) for k in rows) for j in cells if j > unit}
    full = [j for j, count in given.items() if count >= _FULL * len(rows)]
    numbers = [j for j in full if sum(isinstance(sheet.values[k][j], (int, float)) for k in rows) >= 2]
    if len(full) < 3 or len(numbers) < 2:
        return []
    for k in range(first, block.bottom):  # what an offer says is no label
        for j in range(full[0], block.right):
            sheet.labels.pop((k, j), None)
    return [_Case(j, clean(row[j]), "") for j in full]


_FULL: Final = 0.6
"""Share of the labels with a value in the column of an offer."""


def in_cases(sheet: Sheet, label: Label, block: Block, cases: list[_Case]) -> bool:
    """Whether the values of a label stand in the columns of the cases; a lone one in the first need not."""
    if label.col > cases[0].col:  # it stands right of them
        return False
    filled = [one for one in cases if not is_blank(sheet.values[label.row][one.col])]
    if any((label.row, one.col) in sheet.labels and has_value(sheet, label.row, one.col) for one in filled):
        return False
    return len(filled) > 1 or (len(filled) == 1 and filled[0] is not cases[0])


def take_cases(
    sheet: Sheet,
    label: Label,
    section: str,
    cases: list[_Case],
    record: Record,
    others: dict[str, dict[int, Place]],
    properties: Properties,
    seen: Counter[tuple[str, tuple[str, ...]]],
) -> None:
    row = sheet.values[label.row]
    units = [row[k] for k in range(label.col + 1, len(row)) if is_unit_text(row[k])]
    usual = -1
    for one in cases:
        value = row[one.col]
        if is_blank(value):
            continue
        if one.bound:
            above = one.text if one.bound == "design" else _OPERATING[one.bound]
            one_case = replace(
                property_of(sheet, label, section, above, sure=True), col=int(sheet.grid.cols[one.col])
            )
            j = properties.number(one_case, seen)
            record.cells[j] = place_of(sheet, label.row, one.col, value)
            record.units[j] = units[0] if units else ""
            usual = j if one.bound == "normal" else usual
        elif usual >= 0 and _adds_nothing(value):
            continue
        elif usual >= 0:
            others.setdefault(one.text, {})[usual] = place_of(sheet, label.row, one.col, value)
        else:  # cases with names of their own alone: the first is the gauge's, the others stand beside it
            j = properties.number(property_of(sheet, label, section), seen)
            usual = j
            record.cells[j] = place_of(sheet, label.row, one.col, value)
            record.units[j] = units[0] if units else ""


def _adds_nothing(value: Any) -> bool:
    """Whether an offer merely takes note of what is asked for ('Noted', '-')."""
    return isinstance(value, str) and (is_placeholder(value.strip(), True) or fold(value.strip()) in _noted())


@lru_cache(maxsize=1)
def _noted() -> frozenset[str]:
    return frozenset(fold(word) for words in load("form_words")["noted"].values() for word in words)


_OPERATING: Final = {"minimum": "operating minimum", "normal": "operating", "maximum": "operating maximum"}
"""What the columns of a form mean that give the lowest, usual and highest value in operation."""


def with_cases(record: Record, others: dict[str, dict[int, Place]], normal: str) -> list[Record]:
    if not record.cells:
        return []
    if not others:
        return [record]
    varying = {j for cells in others.values() for j in cells}
    out = [record]
    record.case = normal or "usual case"
    for name, cells in others.items():
        kept = {j: place for j, place in record.cells.items() if j not in varying}
        out.append(Record(kept | cells, dict(record.units), name))
    return out
