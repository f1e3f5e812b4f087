"""What a note beside the lists says of all their pressures: that they are gauge, or absolute.

A pressure in plain bar or psi can be either; most sheets say it once, above or below their lists.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Final, Literal

import numpy as np

from xlfuncs.data.constants import STANDARD_ATMOSPHERE
from xlfuncs.data.words import fold, listed, pattern_of
from xlfuncs.lists.model import Table
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import UnitError, converter
from xlfuncs.vocabulary.meaning import fields
from xlfuncs.vocabulary.words import concepts_of

Reference = Literal["gauge", "absolute"]
_NEAR: Final = 60
"""Rows at either end of a sheet in which notes are looked for."""
_FILLED: Final = 2
"""Cells of a row of notes."""
_WORDS: Final = 2
_SENTENCE: Final = re.compile(r"[.;\n。；]\s*|\s[-–]\s")


def settle_pressures(tables: Iterable[Table], grids: Sequence[Grid]) -> None:
    """Read the plain pressures of some lists as a note of their workbook says, if all of its notes agree."""
    plain = [
        (table, name)
        for table in tables
        for name, column in table.columns.items()
        if column.assumed and fields()[name].get("quantity") == "pressure_gauge"
    ]
    said = {reference for grid in grids for reference in _references(grid)} if plain else set()
    if len(said) == 1:
        (reference,) = said
        for table, name in plain:
            _settle(table, name, reference)


def _settle(table: Table, name: str, reference: Reference) -> None:
    column = table.columns[name]
    taken = {i: _TAKEN.fullmatch(note) for i, note in column.assumed.items()}
    told = {i: found for i, found in taken.items() if found is not None}
    if len(told) < int(column.given.sum()):
        return  # a plain unit among exact ones may be a slip
    column.unit, shift = column.unit.copy(), np.zeros(len(column))
    for i, found in told.items():
        exact = _exactly(found["plain"], reference)
        if exact:
            column.unit[i] = exact
            shift[i] = _SHIFTS[found["reference"], reference]
            del column.assumed[i]
    if shift.any():
        column.low, column.high = column.low + shift, column.high + shift
    for one in table.recognised:
        exact = _exactly(one.unit, reference) if one.field == name and one.unit else ""
        if exact:
            one.unit, one.unit_source = exact, "note"


_TAKEN: Final = re.compile(r"(?P<plain>.+) taken as .+ (?P<reference>gauge|absolute)")
"""What `xlfuncs.units` says of a plain unit."""
_SHIFTS: Final = {
    ("gauge", "gauge"): 0.0,
    ("gauge", "absolute"): -STANDARD_ATMOSPHERE,
    ("absolute", "gauge"): STANDARD_ATMOSPHERE,
    ("absolute", "absolute"): 0.0,
}
"""(what a number was taken for, what it is) -> Pa to be added; pressures are kept as gauge."""


@cache
def _exactly(unit: str, reference: Reference) -> str:
    """'bar' with what the note says: 'barg', 'bara'; "" for what says so itself, or is none."""
    for end in {"gauge": ("g", " g"), "absolute": ("a", " a")}[reference]:
        try:
            found = converter(unit + end, "pressure_gauge")
        except UnitError:
            continue
        return str(found.unit)
    return ""


def _references(grid: Grid) -> set[Reference]:
    n = len(grid.rows)
    rows = range(n) if n <= 2 * _NEAR else (*range(_NEAR), *range(n - _NEAR, n))
    out: set[Reference] = set()
    for i in rows:
        row = grid.values[i]
        filled = row[row != ""].tolist()
        if 0 < len(filled) <= _FILLED:
            for value in filled:
                if isinstance(value, str) and len(value) <= 400:
                    out |= {said for piece in _SENTENCE.split(value) if (said := _said(piece))}
    return out


def _said(text: str) -> Reference | None:
    """What a sentence says of pressures."""
    if "pressure" not in concepts_of(text):
        return None
    if len(text.split()) < _WORDS and not _UNSPACED.search(text):
        return None
    plain = fold(text)
    found: list[Reference] = [one for one in _REFERENCES if any(one_in(plain) for one_in in _tests(one))]
    if found == ["absolute"] and _GAUGE.search(plain):
        return None
    return found[0] if len(found) == 1 else None


_GAUGE: Final = re.compile(r"\bgau?ge\b|\bbarg\b|\bpsig\b")
"""'gauge or absolute' asks for either; the word alone is also that of the instrument."""


_REFERENCES: Final[tuple[Reference, ...]] = ("gauge", "absolute")


@cache
def _tests(reference: Reference) -> tuple[Callable[[str], object], ...]:
    """Tests of a folded sentence: whole words in scripts that part words by spaces, pieces in others."""
    words = tuple(map(fold, listed(f"pressures_{reference}")))
    spaced = tuple(
        sorted((word for word in words if not _UNSPACED.search(word)), key=lambda word: word.endswith("*"))
    )
    return (
        pattern_of(spaced).search,
        lambda text: any(word in text for word in words if _UNSPACED.search(word)),
    )


_UNSPACED: Final = re.compile(r"[\u0e00-\u0e7f\u3040-\u30ff\u4e00-\u9fff\uac00-\ud7af]")
