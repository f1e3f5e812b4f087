"""A workbook as its file keeps it: cells, formulas and the values stored with them; nothing is calculated."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.evaluate import BookCells, OfBook, SheetCells
from xlfuncs.spreadsheet.formula import Area
from xlfuncs.spreadsheet.inplace import Workbook
from xlfuncs.spreadsheet.ooxml import DAMAGED, column_number

_REFERENCE = re.compile(r"(\$?)([A-Z]{1,3})(\$?)(\d+)(?![\d(])")
_PIECE = 1 << 20


def formula_cells(path: Path) -> BookCells | None:
    """All cells of an .xlsx or .xlsm file with formulas; None for a file without, or of another format.

    A file without formulas is only searched, not parsed. XlfuncsError where a part of it is damaged.
    """
    try:
        if not zipfile.is_zipfile(path) or not _has_formulas(path):
            return None
    except DAMAGED as why:
        raise XlfuncsError(f"{path}: a sheet of it is damaged: {why}") from why
    with Workbook(path) as book:
        return book.cells


def _has_formulas(path: Path) -> bool:
    with zipfile.ZipFile(path) as book:
        for name in book.namelist():
            if not name.startswith("xl/worksheets/") or not name.endswith(".xml"):
                continue
            with book.open(name) as part:
                tail = b""
                while piece := part.read(_PIECE):
                    text = tail + piece
                    if b"<f>" in text or b"<f " in text:
                        return True
                    tail = piece[-4:]
    return False


def relative(formula: str, row: int, column: int) -> str:
    """A formula with its references as distances, so that copies of it down a column are equal."""

    def distance(match: re.Match[str]) -> str:
        fixed_column, letters, fixed_row, digits = match.groups()
        across = letters if fixed_column else f"C[{column_number(letters) - column}]"
        return across + (digits if fixed_row else f"R[{int(digits) - row}]")

    return _REFERENCE.sub(distance, formula)


class Kept(OfBook):
    """The `Cells` of a workbook with the values that its file keeps."""

    def _sheet(self, name: str) -> SheetCells:
        return self.book.sheets[name.casefold()]

    def value(self, sheet: str, row: int, column: int) -> Any:
        return self._sheet(sheet).values.get((row, column))

    def block(self, area: Area) -> Block:
        values = self._sheet(area.sheet).values
        _, top, left, bottom, right = self.used(area)
        columns = range(left, right + 1)
        return [[values.get((row, column)) for column in columns] for row in range(top, bottom + 1)]

    def spilled(self, sheet: str, row: int, column: int) -> Area | None:
        formula = self._sheet(sheet).formulas.get((row, column))
        return None if formula is None else formula.fills
