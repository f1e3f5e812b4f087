"""What several of the rules of this family need."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.book import BookCells, FormulaCell, Place
from xlfuncs.spreadsheet.cell_values import CellError, NotUnderstood
from xlfuncs.spreadsheet.evaluate import evaluate, functions_used
from xlfuncs.spreadsheet.kept import Kept
from xlfuncs.spreadsheet.tree import Notes
from xlfuncs.worksheet.cells import FUNCTIONS


def tag_of(gauges: Gauges, sheet: str, row: int) -> tuple[int, str]:
    """Number and tag of the gauge in a row of the index; -1 and "" where there is none."""
    record = gauges.records.get((sheet, row), -1)
    return (record, gauges.tag(record)) if record >= 0 else (-1, "")


def formula_hit(gauges: Gauges, sheet: str, row: int, column: int, message: str, **details: Any) -> Hit:
    record, tag = tag_of(gauges, sheet, row)
    return Hit(record, sheet, f"{column_letter(column)}{row}", tag, message, **details)


def shown_value(value: Any) -> Measure:
    return Measure(float(value) if isinstance(value, (int, float)) else str(value))


class Answer(NamedTuple):
    """What a formula with one of our functions keeps, and what it gives."""

    sheet: str
    row: int
    column: int
    formula: FormulaCell
    kept: Any
    due: Any
    """Of an array formula: its first cell."""
    refused: list[tuple[str, CellError]]


def answers_of(gauges: Gauges) -> Iterator[Answer]:
    """Every formula with one of our functions that can be evaluated from the values that the file keeps."""
    known = {(one.sheet, one.row, one.column): one for one in refusing_answers(gauges)}
    return iter(()) if gauges.formulas is None else _answers(gauges.formulas, known)


def refusing_answers(gauges: Gauges) -> list[Answer]:
    """The answers of a book in which a function may refuse, as far as that shows without evaluating them."""
    book = gauges.formulas
    return [] if book is None else gauges.derived("refusing", lambda: [*_answers(book, {}, refusing=True)])


def _answers(book: BookCells, known: Mapping[Place, Answer], refusing: bool = False) -> Iterator[Answer]:
    cells = Kept(book, FUNCTIONS)
    anywhere = any(map(FUNCTIONS.mentioned, book.names.values()))
    for sheet in book.sheets.values():
        for (row, column), formula in sorted(sheet.formulas.items()):
            kept = sheet.values.get((row, column))
            if not (anywhere or FUNCTIONS.mentioned(formula.text)):
                continue
            if refusing and not may_refuse(formula.text, kept):
                continue
            place = sheet.name, row, column
            answer = known.get(place) or _answer(cells, place, formula, kept)
            if answer is not None:
                yield answer


def _answer(cells: Kept, place: Place, formula: FormulaCell, kept: Any) -> Answer | None:
    """What a formula gives; None for one without our functions, and where something is not understood."""
    sheet, row, column = place
    notes = Notes()
    try:
        if not functions_used(formula.text, FUNCTIONS, cells, sheet):
            return None
        due = evaluate(formula.text, cells, sheet, row, column, formula.fills is not None, notes)
    except NotUnderstood:
        return None
    if isinstance(due, list):
        due = due[0][0]
    return Answer(sheet, row, column, formula, kept, due, notes.refused)


FUNCTION = re.compile(r"([\w.]+)\(")


def may_refuse(formula: str, kept: Any) -> bool:
    """Whether one of our functions may refuse: not where a value is kept and nothing catches an error."""
    if kept is None or isinstance(kept, CellError) or not FUNCTIONS.mentioned(formula):
        return True
    return any(FUNCTIONS.own(name) is None for name in FUNCTION.findall(formula))


def refused_cells(gauges: Gauges) -> set[tuple[str, int, int]]:
    """Sheet, row and column of the cells that show an error since one of our functions refuses."""
    return {
        (answer.sheet, answer.row, answer.column)
        for answer in refusing_answers(gauges)
        if isinstance(answer.due, CellError) and answer.due.reason
    }
