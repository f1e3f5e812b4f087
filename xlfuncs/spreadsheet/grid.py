"""The raw cells of one sheet, with the addresses that the spreadsheet shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.spreadsheet.address import column_letter

_WIDEST_MERGE: Final = 50
"""Columns of a merged range that still holds one value, and is no title."""

Range = tuple[int, int, int, int]
"""First row, first column, last row, last column; counted from 1."""


@dataclass(slots=True)
class Grid:
    """Values of a sheet. Blank cells are ""; error cells hold the error text ('#REF!')."""

    sheet: str
    values: NDArray[np.object_]
    """Two-dimensional; blank rows and columns may be left out."""
    rows: NDArray[np.int64]
    """Spreadsheet row of each row of `values`, rising."""
    cols: NDArray[np.int64]
    """Spreadsheet column of each column of `values`, rising."""
    hidden: bool = False
    """The whole sheet is hidden."""
    hidden_rows: frozenset[int] = frozenset()
    hidden_cols: frozenset[int] = frozenset()
    merges: list[Range] = field(default_factory=list)
    struck: frozenset[tuple[int, int]] = frozenset()
    """(row, column) of cells whose text is struck through."""
    uncalculated: frozenset[tuple[int, int]] = frozenset()
    """(row, column) of formulas without a kept value."""
    blind: bool = False
    """The reader could not tell error cells from blank ones, nor hidden or struck-through cells."""
    _down: dict[int, list[tuple[int, int, int]]] | None = None
    has_formulas: bool = True
    """False where a search of the sheet saw none."""
    shaped: dict[tuple[int, str], NDArray[np.bool_]] = field(default_factory=dict)
    """Which cells of a column are shaped as keys of a kind of list: it is asked again and again."""

    @classmethod
    def empty(cls, sheet: str) -> Grid:
        return cls(sheet, np.empty((0, 0), dtype=object), np.empty(0, np.int64), np.empty(0, np.int64))

    @classmethod
    def dense(cls, sheet: str, rows: Sequence[Sequence[Any]], first_row: int = 1, first_col: int = 1) -> Grid:
        """A grid of rows of one length, the first of which stands in `first_row`."""
        if not rows or not rows[0]:
            return cls.empty(sheet)
        values = np.empty((len(rows), len(rows[0])), dtype=object)
        values[:] = rows
        return cls.block(sheet, values, first_row, first_col)

    @classmethod
    def block(cls, sheet: str, values: NDArray[np.object_], first_row: int = 1, first_col: int = 1) -> Grid:
        """A grid of adjacent rows and columns."""
        return cls(
            sheet,
            values,
            np.arange(first_row, first_row + values.shape[0], dtype=np.int64),
            np.arange(first_col, first_col + values.shape[1], dtype=np.int64),
        )

    @classmethod
    def sparse(cls, sheet: str, cells: dict[tuple[int, int], Any]) -> Grid:
        """A grid of scattered cells, without the blank rows and columns between them."""
        if not cells:
            return cls.empty(sheet)
        rows = np.unique(np.fromiter((row for row, _ in cells), np.int64, len(cells)))
        cols = np.unique(np.fromiter((col for _, col in cells), np.int64, len(cells)))
        at_row = {row: number for number, row in enumerate(rows.tolist())}
        at_col = {col: number for number, col in enumerate(cols.tolist())}
        values = np.full((len(rows), len(cols)), "", dtype=object)
        for (row, col), value in cells.items():
            values[at_row[row], at_col[col]] = value
        return cls(sheet, values, rows, cols)

    def merged_down(self, col: int) -> list[tuple[int, int, int]]:
        """(first row, first column, last row) of the merged ranges over several rows that cover a column."""
        if not self.merges:
            return []
        if self._down is None:
            self._down = {}
            for top, left, bottom, right in self.merges:
                if bottom > top and right - left < _WIDEST_MERGE:
                    for covered in range(left, right + 1):
                        self._down.setdefault(covered, []).append((top, left, bottom))
        return self._down.get(col, [])

    def put(self, cells: dict[tuple[int, int], Any]) -> None:
        """Set the values at some (row, column); the grid grows where they lie outside."""
        rows = {row: i for i, row in enumerate(self.rows.tolist())}
        cols = {col: j for j, col in enumerate(self.cols.tolist())}
        if all(row in rows and col in cols for row, col in cells):
            for (row, col), value in cells.items():
                self.values[rows[row], cols[col]] = value
        else:
            wider = Grid.sparse(self.sheet, {(row, col): value for row, col, value in self.filled()} | cells)
            self.values, self.rows, self.cols = wider.values, wider.rows, wider.cols

    def value(self, row: int, col: int) -> Any:
        """The value at a spreadsheet row and column, "" where there is none."""
        i, j = int(np.searchsorted(self.rows, row)), int(np.searchsorted(self.cols, col))
        if i < len(self.rows) and j < len(self.cols) and self.rows[i] == row and self.cols[j] == col:
            return self.values[i, j]
        return ""

    def filled(self) -> Iterator[tuple[int, int, Any]]:
        """(row, column, value) of every cell that is not blank."""
        for i, row in enumerate(self.values.tolist()):
            for j, value in enumerate(row):
                if value != "":
                    yield int(self.rows[i]), int(self.cols[j]), value

    def address(self, i: int, j: int) -> str:
        """'H14' of the cell at an index into `values`."""
        return f"{column_letter(int(self.cols[j]))}{int(self.rows[i])}"
