"""The rule formula-overwritten."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from xlfuncs.audit.examples import Formula
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import formula_hit, shown_value
from xlfuncs.audit.settings import Settings
from xlfuncs.spreadsheet.book import BookCells
from xlfuncs.spreadsheet.cell_values import NotUnderstood
from xlfuncs.spreadsheet.evaluate import evaluate
from xlfuncs.spreadsheet.kept import Kept, filled, relative
from xlfuncs.spreadsheet.tree import Notes
from xlfuncs.worksheet.cells import FUNCTIONS

MOSTLY = 0.8
"""Share of a column's rows that must hold the same formula to make the rest stand out."""


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
                    here = filled(sheet.formulas[example, column].text, (example, column), (row, column))
                    due = _given(book, here, sheet.name, row, column)
                    gives = "" if due is None else f", which gives {shown_value(due)} in this row"
                    yield formula_hit(
                        gauges,
                        sheet.name,
                        row,
                        column,
                        f"{shown_value(value)} was typed where {count} of {len(rows)} rows have a formula"
                        f"{gives}",
                        found=shown_value(value),
                        expected=None if due is None else shown_value(due),
                        evidence={"formula": here} | ({} if due is None else {"formula_gives": due}),
                    )


def _given(book: BookCells, formula: str, sheet: str, row: int, column: int) -> float | None:
    """The number that a formula would give in a cell; None where it gives none that is understood."""
    try:
        due = evaluate(formula, Kept(book, FUNCTIONS), sheet, row, column, False, Notes())
    except NotUnderstood:
        return None
    return float(due) if isinstance(due, (int, float)) and not isinstance(due, bool) else None
