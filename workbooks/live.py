"""Workbooks with many formulas: each is evaluated by the package and its result kept in the cell.

The workbook is written twice. The first draft has no results; the package calculates it as a whole, and the
second one keeps what was found.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sheets import Style, kept, workbook
from xlsxwriter.workbook import Format, Workbook
from xlsxwriter.worksheet import Worksheet

from xlfuncs.spreadsheet.evaluate import Calculation
from xlfuncs.spreadsheet.inplace import Workbook as Cells
from xlfuncs.worksheet.cells import FUNCTIONS

Values = Mapping[tuple[str, int, int], Any]
"""Sheet, row and column from 1 -> result."""


class Live:
    """A sheet whose formulas get their results from a calculation of the whole workbook."""

    def __init__(self, sheet: Worksheet, values: Values) -> None:
        self.sheet, self._values = sheet, values

    def _value(self, row: int, column: int) -> Any:
        return kept(self._values.get((self.sheet.name, row + 1, column + 1), 0))

    def formula(self, row: int, column: int, text: str, form: Format) -> None:
        """A formula in one cell; rows and columns from 0."""
        self.sheet.write_formula(row, column, text, form, self._value(row, column))

    def table(self, row: int, column: int, call: str, forms: list[list[Format]], instead: str = "-") -> None:
        """A function's table, each cell by a formula of its own: some programs drop what an array kept.

        `instead` stands in the cells where the function has no table to give.
        """
        for i, line in enumerate(forms):
            for j, form in enumerate(line):
                self.formula(
                    row + i, column + j, f'=IFERROR(INDEX({call},{i + 1},{j + 1}),"{instead}")', form
                )


def write(path: Path, title: str, comments: str, draw: Callable[[Workbook, Style, Values], None]) -> None:
    """`draw` writes the sheets; it is called twice, the second time with the results."""
    with TemporaryDirectory() as folder:
        draft = Path(folder) / "draft.xlsx"
        with workbook(draft, title, comments) as (book, style):
            draw(book, style, {})
            book.calc_on_load = True  # no result in the draft counts
        with Cells(draft) as cells:
            found = Calculation(cells.cells, FUNCTIONS)
    if found.left:
        raise ValueError(f"not calculated: {found.left}")
    with workbook(path, title, comments) as (book, style):
        draw(book, style, found.values)
