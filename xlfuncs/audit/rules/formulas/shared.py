"""What several of the rules of this family need."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.book import BookCells, FormulaCell
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


def answers_of(book: BookCells, refusing: bool = False) -> Iterator[Answer]:
    """Every formula with one of our functions that can be evaluated from the values that the file keeps.

    `refusing`: only those in which a function may refuse, as far as that shows without evaluating them.
    """
    cells = Kept(book, FUNCTIONS)
    for sheet in book.sheets.values():
        for (row, column), formula in sorted(sheet.formulas.items()):
            if refusing and not may_refuse(formula.text, sheet.values.get((row, column))):
                continue
            notes = Notes()
            array = formula.fills is not None
            try:
                if not functions_used(formula.text, FUNCTIONS, cells, sheet.name):
                    continue
                due = evaluate(formula.text, cells, sheet.name, row, column, array, notes)
            except NotUnderstood:
                continue
            if isinstance(due, list):
                due = due[0][0]
            yield Answer(
                sheet.name, row, column, formula, sheet.values.get((row, column)), due, notes.refused
            )


def refusing_answers(gauges: Gauges) -> list[Answer]:
    """The answers of a book in which a function may refuse; two rules ask for them."""
    book = gauges.formulas
    return [] if book is None else gauges.derived("refusing", lambda: [*answers_of(book, refusing=True)])


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
