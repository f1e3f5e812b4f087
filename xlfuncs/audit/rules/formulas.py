"""Rules about the formulas of the workbook and what is hidden in it."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from xlfuncs.audit.examples import Formula
from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.settings import Settings
from xlfuncs.lists.columns import is_placeholder
from xlfuncs.lists.model import State
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.evaluate import BookCells, FormulaCell, evaluate, functions_used
from xlfuncs.spreadsheet.formula import (
    NAME,
    Area,
    CellError,
    Constant,
    Notes,
    NotUnderstood,
    parse,
    walk,
)
from xlfuncs.spreadsheet.kept import Kept, relative
from xlfuncs.worksheet.cells import FUNCTIONS

CLOSE = 1e-6
"""Relative difference up to which two results are the same."""
DIGITS = 1e-9
"""Relative difference up to which two numbers in cells are the same: programs write 10 digits or more."""
MOSTLY = 0.8
"""Share of a column's rows that must hold the same formula to make the rest stand out."""


def _tag_of(gauges: Gauges, sheet: str, row: int) -> tuple[int, str]:
    """Number and tag of the gauge in a row of the index; -1 and "" where there is none."""
    record = gauges.records.get((sheet, row), -1)
    return (record, gauges.tag(record)) if record >= 0 else (-1, "")


def _hit(gauges: Gauges, sheet: str, row: int, column: int, message: str, **details: Any) -> Hit:
    record, tag = _tag_of(gauges, sheet, row)
    return Hit(record, sheet, f"{column_letter(column)}{row}", tag, message, **details)


def _shown(value: Any) -> Measure:
    return Measure(float(value) if isinstance(value, (int, float)) else str(value))


def _same(kept: Any, due: Any) -> bool:
    if isinstance(kept, CellError) and isinstance(due, CellError) and due.reason:
        return kept != NAME  # refused in the program that saved the file as well
    if isinstance(kept, (int, float)) and isinstance(due, (int, float)):
        return math.isclose(kept, due, rel_tol=CLOSE, abs_tol=1e-12)
    return bool(kept == due) or {kept, due} == {None, ""}


class _Answer(NamedTuple):
    """What a formula with one of our functions keeps, and what it gives."""

    sheet: str
    row: int
    column: int
    formula: FormulaCell
    kept: Any
    due: Any
    """Of an array formula: its first cell."""
    refused: list[tuple[str, CellError]]


def _answers(book: BookCells, refusing: bool = False) -> Iterator[_Answer]:
    """Every formula with one of our functions that can be evaluated from the values that the file keeps.

    `refusing`: only those in which a function may refuse, as far as that shows without evaluating them.
    """
    cells = Kept(book, FUNCTIONS)
    for sheet in book.sheets.values():
        for (row, column), formula in sorted(sheet.formulas.items()):
            if refusing and not _may_refuse(formula.text, sheet.values.get((row, column))):
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
            yield _Answer(
                sheet.name, row, column, formula, sheet.values.get((row, column)), due, notes.refused
            )


class _Moved(Kept):
    """The values that a file keeps, as they are read; one of the numbers moved in its last digits."""

    def __init__(self, book: BookCells) -> None:
        super().__init__(book, FUNCTIONS)
        self.read: dict[tuple[str, int, int], float] = {}
        self.moved: tuple[str, int, int] | None = None

    def _number(self, place: tuple[str, int, int], value: Any) -> Any:
        if isinstance(value, float):
            self.read[place] = value
            return value * (1 + DIGITS) if place == self.moved else value
        return value

    def value(self, sheet: str, row: int, column: int) -> Any:
        return self._number((sheet, row, column), super().value(sheet, row, column))

    def block(self, area: Area) -> Block:
        return [
            [self._number((area.sheet, area.top + r, area.left + c), cell) for c, cell in enumerate(row)]
            for r, row in enumerate(super().block(area))
        ]


_MOST = 64
"""Numbers that are moved one by one."""


def _as_exact(book: BookCells, answer: _Answer) -> bool:
    """Whether a kept number is as near to the due one as the digits of the numbers behind it allow.

    Near zero a result is the small difference of large numbers, and its own digits say nothing: what
    counts is how far it moves with the last digits of each number that the formula reads.
    """
    if not (isinstance(answer.kept, float) and isinstance(answer.due, float)):
        return False
    cells = _Moved(book)

    def result() -> float:
        array = answer.formula.fills is not None
        found = evaluate(answer.formula.text, cells, answer.sheet, answer.row, answer.column, array)
        found = found[0][0] if isinstance(found, list) else found
        return found if isinstance(found, float) else math.nan

    result()
    apart = abs(answer.kept - answer.due)
    typed = (n.content for n in walk(parse(answer.formula.text)) if isinstance(n, Constant))
    scale = max((abs(n) for n in (*cells.read.values(), *typed) if isinstance(n, float)), default=0.0)
    if apart > CLOSE * scale or len(cells.read) > _MOST:
        return apart <= DIGITS * scale
    allowed = 1e-12 * scale
    for place in list(cells.read):
        cells.moved = place
        allowed += abs(result() - answer.due)
    return apart <= allowed


_FUNCTION = re.compile(r"([\w.]+)\(")


def _may_refuse(formula: str, kept: Any) -> bool:
    """Whether one of our functions may refuse: not where a value is kept and nothing catches an error."""
    if kept is None or isinstance(kept, CellError) or not FUNCTIONS.mentioned(formula):
        return True
    return any(FUNCTIONS.own(name) is None for name in _FUNCTION.findall(formula))


def _calls_ours(formula: str) -> bool:
    """Whether one of our functions stands in a formula, as far as it is understood."""
    try:
        return bool(functions_used(formula, FUNCTIONS))
    except NotUnderstood:
        return True


def _says_nothing(value: Any) -> bool:
    """Whether a formula that catches an error shows nothing in its place, or that there is nothing."""
    return value is None or (isinstance(value, str) and (not value.strip() or is_placeholder(value, False)))


def refused_cells(gauges: Gauges) -> set[tuple[str, int, int]]:
    """Sheet, row and column of the cells that show an error since one of our functions refuses."""
    if gauges.formulas is None:
        return set()
    return {
        (answer.sheet, answer.row, answer.column)
        for answer in _answers(gauges.formulas, refusing=True)
        if isinstance(answer.due, CellError) and answer.due.reason
    }


@rule(
    "result-stale",
    Severity.ERROR,
    passing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
    firing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(600, 0, 1000)", 12.0)},
)
def result_stale(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A kept result is not what the function gives.

    Finds: a cell with one of the worksheet functions whose kept value differs from what the function gives
        for the values that its input cells hold now.
    Why: the workbook was changed where the functions could not run, or the value was typed over in the
        file: what the sheet shows does not belong to its data.
    Mend: recalculate the workbook ('xlfuncs recalculate BOOK -o OUT') and read the findings again.
    """
    book = gauges.formulas
    if book is None:
        return
    for answer in _answers(book):
        sheet, row, column, formula, kept, due, _ = answer
        if kept is not None and not _same(kept, due) and not _as_exact(book, answer):
            why = f", since {due.reason}" if isinstance(due, CellError) and due.reason else ""
            yield _hit(
                gauges,
                sheet,
                row,
                column,
                f"the cell keeps {_shown(kept)}, its formula gives {_shown(due)}{why}",
                found=_shown(kept),
                expected=_shown(due),
                evidence={"formula": formula.text},
            )


@rule(
    "never-calculated",
    Severity.WARNING,
    passing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
    firing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", None)},
)
def never_calculated(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A formula without a result.

    Finds: a cell of a needed column that holds a formula, but no value kept with it.
    Why: the workbook was written by a program that does not calculate; the audit cannot use the cell.
    Mend: open and save the workbook in a spreadsheet program, or run 'xlfuncs recalculate BOOK -o OUT'.
    """
    for columns in (gauges.own, gauges.listed):
        for column in columns.values():
            for record in np.flatnonzero(column.state == State.NEVER_CALCULATED).tolist():
                yield _hit(
                    gauges,
                    str(column.sheet[record]),
                    int(column.row[record]),
                    int(column.col[record]),
                    f"{label(column.field)} is a formula that was never calculated",
                )


@rule(
    "function-refused",
    Severity.WARNING,
    passing={"remarks": Formula('=IFERROR(LG_LEVEL_TO_CURRENT("x", 0, 1000), "-")', "-")},
    firing={
        "remarks": Formula('=IF(LG_LEVEL_TO_CURRENT("x", 0, 1000)>4, "OK", "FAIL")', CellError("#VALUE!"))
    },
    covers=("result-stale",),
)
def function_refused(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A worksheet function has no result.

    Finds: a cell that shows an error value because one of the worksheet functions in its formula refuses,
        and a cell whose formula catches that error and shows a number or a text all the same.
    Why: what the cell should say is not known; a number or a verdict put in its place hides that.
    Mend: do what the message says; LG_REASON gives it in the sheet.
    """
    book = gauges.formulas
    if book is None:
        return
    for sheet, row, column, formula, kept, due, refused in _answers(book, refusing=True):
        reasons = dict.fromkeys(f"{name}: {error.reason}" for name, error in refused)
        if not reasons or (not isinstance(due, CellError) and _says_nothing(due)):
            continue
        why = "; ".join(reasons)
        if not isinstance(due, CellError):
            why = f"the cell shows {_shown(due)} all the same; {why}"
        yield _hit(
            gauges,
            sheet,
            row,
            column,
            why,
            found=_shown(due if kept is None else kept),
            evidence={"formula": formula.text},
        )


@rule(
    "formula-path",
    Severity.WARNING,
    passing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
    firing={"stated_current": Formula("='C:\\tools\\sheet.xlam'!LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
)
def formula_path(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A path of another computer in a formula.

    Finds: a worksheet function called through the path of an add-in file.
    Why: on another computer the path does not exist; the cell shows #NAME? or a value that is never renewed.
    Mend: write the plain name of the function; 'xlfuncs recalculate BOOK -o OUT --plain-names' does it for
        the whole workbook.
    """
    book = gauges.formulas
    if book is None:
        return
    for sheet in book.sheets.values():
        for (row, column), formula in sorted(sheet.formulas.items()):
            upper = formula.text.upper()
            if "!LG_" in upper and _calls_ours(formula.text):
                at = upper.index("!LG_")
                yield _hit(
                    gauges,
                    sheet.name,
                    row,
                    column,
                    f"the formula calls its function through {formula.text[:at].lstrip('=')}",
                    evidence={"formula": formula.text},
                )


@rule(
    "formula-overwritten",
    Severity.WARNING,
    passing=tuple({"stated_current": Formula("=12", 12.0)} for _ in range(5)),
    firing=(*({"stated_current": Formula("=8+4", 12.0)} for _ in range(5)), {"stated_current": "12 mA"}),
)
def formula_overwritten(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A constant where the other rows have a formula.

    Finds: a typed value in a column of the index in which at least four rows and four fifths of them hold
        the same formula.
    Why: somebody typed over the formula; the value no longer follows the data of its row.
    Mend: copy the formula of the neighbouring rows into the cell, or note why the value is fixed.
    """
    book = gauges.formulas
    if book is None:
        return
    for table in gauges.book.gauges:
        sheet = book.sheets.get(table.sheet.casefold())
        if sheet is None:
            continue
        rows = sorted(set(table.row.tolist()))
        for column in sorted({c for _, c in sheet.formulas}):
            forms = {
                row: relative(sheet.formulas[row, column].text, row, column)
                for row in rows
                if (row, column) in sheet.formulas
            }
            if len(forms) < 4:
                continue
            (usual, count), *_ = Counter(forms.values()).most_common(1)
            if count < MOSTLY * len(rows):
                continue
            example = next(row for row, form in forms.items() if form == usual)
            for row in rows:
                value = sheet.values.get((row, column))
                if row not in forms and value not in (None, ""):
                    yield _hit(
                        gauges,
                        sheet.name,
                        row,
                        column,
                        f"{_shown(value)} was typed where {count} of {len(rows)} rows have a formula",
                        found=_shown(value),
                        evidence={"formula": sheet.formulas[example, column].text},
                    )


@rule(
    "row-hidden",
    Severity.NOTE,
    firing={"_hidden": True},
)
def row_hidden(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Audited data is hidden.

    Finds: a gauge in a hidden row or sheet, and a needed column that is hidden.
    Why: nobody looks at what is hidden, but formulas and lists still use it.
    Mend: show the row or column; delete what is no longer valid.
    """
    for table in (*gauges.book.gauges, *gauges.book.floats):
        for record in np.flatnonzero(table.hidden).tolist():
            row = int(table.row[record])
            what = "gauge" if table.kind == "gauges" else "float"
            name = table.columns.get("tag" if what == "gauge" else "float_part")
            cell = (name.address(record) if name else "") or f"A{row}"
            yield Hit(
                _tag_of(gauges, table.sheet, row)[0] if what == "gauge" else -1,
                table.sheet,
                cell,
                str(name.text[record]) if name else "",
                f"the {what}'s row {row} is hidden",
            )
        for found in table.recognised:
            if found.field in table.hidden_fields:
                yield Hit(
                    -1, found.sheet, found.heading_cell, "", f"the column of {label(found.field)} is hidden"
                )


RULES = (result_stale, never_calculated, function_refused, formula_path, formula_overwritten, row_hidden)
