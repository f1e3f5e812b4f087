"""The rule result-stale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from xlfuncs.audit.examples import Formula
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import Answer, answers_of, formula_hit, shown_value
from xlfuncs.audit.settings import Settings
from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.book import BookCells
from xlfuncs.spreadsheet.cell_values import NAME, CellError
from xlfuncs.spreadsheet.evaluate import evaluate
from xlfuncs.spreadsheet.formula import parse
from xlfuncs.spreadsheet.kept import Kept
from xlfuncs.spreadsheet.tree import Area, Constant, walk
from xlfuncs.worksheet.cells import FUNCTIONS

CLOSE = 1e-6
"""Relative difference up to which two results are the same."""


DIGITS = 1e-9
"""Relative difference up to which two numbers in cells are the same: programs write 10 digits or more."""


def _same(kept: Any, due: Any) -> bool:
    if isinstance(kept, CellError) and isinstance(due, CellError) and due.reason:
        return kept != NAME  # refused in the program that saved the file as well
    if isinstance(kept, (int, float)) and isinstance(due, (int, float)):
        return math.isclose(kept, due, rel_tol=CLOSE, abs_tol=1e-12)
    return bool(kept == due) or {kept, due} == {None, ""}


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


def _as_exact(book: BookCells, answer: Answer) -> bool:
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
    for answer in answers_of(gauges):
        sheet, row, column, formula, kept, due, _ = answer
        if kept is not None and not _same(kept, due) and not _as_exact(book, answer):
            why = f", since {due.reason}" if isinstance(due, CellError) and due.reason else ""
            yield formula_hit(
                gauges,
                sheet,
                row,
                column,
                f"the cell keeps {shown_value(kept)}, its formula gives {shown_value(due)}{why}",
                found=shown_value(kept),
                expected=shown_value(due),
                evidence={"formula": formula.text},
            )
