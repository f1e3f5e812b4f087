"""A workbook as its file keeps it: cells, formulas and the values stored with them; nothing is calculated."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.book import BookCells, OfBook, SheetCells
from xlfuncs.spreadsheet.inplace import Workbook
from xlfuncs.spreadsheet.ooxml import column_number
from xlfuncs.spreadsheet.package import Broken, Package
from xlfuncs.spreadsheet.tree import Area

_REFERENCE = re.compile(r"(\$?)([A-Z]{1,3})(\$?)(\d+)(?![\d(])")
_FORMULA = re.compile(rb"<(?:[^\s<>/:]+:)?f[\s/>]")
MOST_FORMULAS = 1_000_000
"""Formulas of a workbook that are held at once: each takes about 400 bytes."""


def formula_cells(path: Path) -> BookCells | None:
    """All cells of an .xlsx or .xlsm file with formulas; None for a file without, or of another format.

    A file without formulas is only searched, not parsed. XlfuncsError where a part of it is damaged.
    """
    if not zipfile.is_zipfile(path):
        return None
    try:
        with Package(path) as package:
            count = _formulas(package)
    except Broken as why:
        raise XlfuncsError(f"{path}: a sheet of it is damaged: {why}; get an intact copy") from why
    if count > MOST_FORMULAS:
        raise XlfuncsError(
            f"{path}: holds {count:,} formulas, more than {MOST_FORMULAS:,}: audit its sheets one by one"
        )
    if not count:
        return None
    with Workbook(path) as book:
        return book.cells


def _formulas(package: Package) -> int:
    """How many formulas stand in the sheets; 1 where that cannot be seen without parsing."""
    if not package.main or package.binary:
        return 0
    count = 0
    for part in package.worksheets.values():
        if b"\0" in package.head(part):
            return 1
        tail = b""
        for piece in package.pieces(part):
            if b"f" in piece:
                count += len(_FORMULA.findall(tail + piece))
            tail = piece[piece.rfind(b"<") :] if piece.rfind(b"<") > len(piece) - 40 else b""
    return count


def relative(formula: str, row: int, column: int) -> str:
    """A formula with its references as distances, so that copies of it down a column are equal."""

    def distance(match: re.Match[str]) -> str:
        fixed_column, letters, fixed_row, digits = match.groups()
        across = letters if fixed_column else f"C[{column_number(letters) - column}]"
        return across + (digits if fixed_row else f"R[{int(digits) - row}]")

    return _REFERENCE.sub(distance, formula)


def filled(formula: str, origin: tuple[int, int], here: tuple[int, int]) -> str:
    """A formula of one (row, column) as it reads when it is copied to another; #REF! beyond the sheet.

    >>> filled("ROUND(1.5*R12,0)+$A$1", (12, 20), (82, 20))
    'ROUND(1.5*R82,0)+$A$1'
    """

    def moved(match: re.Match[str]) -> str:
        fixed_column, letters, fixed_row, digits = match.groups()
        column = column_number(letters) + (0 if fixed_column else here[1] - origin[1])
        row = int(digits) + (0 if fixed_row else here[0] - origin[0])
        if row < 1 or column < 1:
            return "#REF!"
        return f"{fixed_column}{column_letter(column)}{fixed_row}{row}"

    return _REFERENCE.sub(moved, formula)


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
