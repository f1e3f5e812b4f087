"""The raw cells of one sheet, with the addresses that the spreadsheet shows."""

from __future__ import annotations

import hashlib
from array import array
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, field
from itertools import count
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.spreadsheet.address import column_letter

_WIDEST_MERGE: Final = 50
"""Columns of a merged range that still holds one value, and is no title."""

Range = tuple[int, int, int, int]
"""First row, first column, last row, last column; counted from 1."""


_BITS: Final = 20
"""Of a column's number in a packed place."""
_KINDS: Final = 250
"""Different texts that the error cells of a sheet may hold; each further one is "#VALUE!"."""


def _once_each(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """The different numbers in order. `np.unique` loads numpy's masked arrays: as long as to read a sheet."""
    if (numbers[1:] > numbers[:-1]).all():
        return numbers
    inorder = np.sort(numbers)
    return inorder[np.diff(inorder, prepend=inorder[:1] - 1) > 0]


def _both(one: NDArray[np.int64], other: NDArray[np.int64]) -> NDArray[np.int64]:
    """The different numbers of both, in order."""
    return _once_each(np.concatenate((one, other)))


def different(rows: NDArray[np.int64], cols: NDArray[np.int64]) -> int:
    """How many different places there are among some rows and columns."""
    if (rows[1:] > rows[:-1]).all():  # as in a column without merged cells
        return len(rows)
    return len(_once_each(rows << _BITS | cols))


AT_ONCE: Final = 4096
"""Cells of a long column that the processor keeps at hand while they are looked at several times."""


def numbered(values: list[Any]) -> tuple[NDArray[np.intp], dict[Any, int]]:
    """(number of each value, the different values with their numbers) in the order in which they come."""
    known: defaultdict[Any, int] = defaultdict(count().__next__)  # a new value takes the next number
    numbers = np.fromiter(map(known.__getitem__, values), np.intp, len(values))
    return numbers, dict(known)


class Places(Set[tuple[int, int]]):
    """Cells by row and column. Of a long sheet there may be millions: each takes eight bytes."""

    def __init__(self, places: Iterable[tuple[int, int]] = ()) -> None:
        self._packed = _once_each(np.fromiter((row << _BITS | col for row, col in places), np.int64))

    @classmethod
    def packed(cls, places: array[int]) -> Places:
        """Of what `pack` gives."""
        out = cls()
        out._packed = _once_each(np.frombuffer(places, np.int64)) if places else out._packed
        return out

    def __contains__(self, place: object) -> bool:
        wanted = pack(*place)  # type: ignore[misc]
        at = int(np.searchsorted(self._packed, wanted))
        return at < len(self._packed) and int(self._packed[at]) == wanted

    def __iter__(self) -> Iterator[tuple[int, int]]:
        return ((place >> _BITS, place & (1 << _BITS) - 1) for place in map(int, self._packed))

    def __len__(self) -> int:
        return len(self._packed)


def pack(row: int, col: int) -> int:
    """A place as one number."""
    return row << _BITS | col


class Errors:
    """Texts of error cells, of which there may be millions too."""

    def __init__(self) -> None:
        self._places = array("q")
        self._kinds = array("B")
        self._texts: dict[str, int] = {}

    def add(self, row: int, col: int, text: str) -> None:
        kind = self._texts.setdefault(text, len(self._texts)) if len(self._texts) < _KINDS else None
        self._places.append(pack(row, col))
        self._kinds.append(self._texts.setdefault("#VALUE!", _KINDS) if kind is None else kind)

    def __len__(self) -> int:
        return len(self._places)

    def put_into(self, grid: Grid) -> None:
        """Set the cells of a grid."""
        texts = np.full(256, "#VALUE!", dtype=object)
        texts[list(self._texts.values())] = list(self._texts)
        places = np.frombuffer(self._places, np.int64)
        grid.set_cells(
            places >> _BITS, places & (1 << _BITS) - 1, texts[np.frombuffer(self._kinds, np.uint8)]
        )


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
    struck: Set[tuple[int, int]] = frozenset()
    """(row, column) of cells whose text is struck through."""
    uncalculated: Set[tuple[int, int]] = frozenset()
    """(row, column) of formulas without a kept value."""
    blind: bool = False
    """The reader could not tell error cells from blank ones, nor hidden or struck-through cells."""
    lost: bool = False
    """The workbook lists the sheet, but the file does not hold it."""
    _down: dict[int, list[tuple[int, int, int]]] | None = None
    has_formulas: bool = True
    """False where a search of the sheet saw none."""
    shaped: dict[tuple[int, str], NDArray[np.bool_]] = field(default_factory=dict)
    """Which cells of a column are shaped as keys of a kind of list: it is asked again and again."""

    @classmethod
    def empty(cls, sheet: str) -> Grid:
        return cls(sheet, np.empty((0, 0), dtype=object), np.empty(0, np.int64), np.empty(0, np.int64))

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
        rows = _once_each(np.fromiter((row for row, _ in cells), np.int64, len(cells)))
        cols = _once_each(np.fromiter((col for _, col in cells), np.int64, len(cells)))
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

    def put(self, cells: Mapping[tuple[int, int], Any]) -> None:
        """Set the values at some (row, column); the grid grows where they lie outside."""
        if not cells:
            return
        rows, cols = np.array(list(cells), dtype=np.int64).T
        values = np.empty(len(cells), dtype=object)
        values[:] = list(cells.values())
        self.set_cells(rows, cols, values)

    def set_cells(
        self, rows: NDArray[np.int64], cols: NDArray[np.int64], values: NDArray[np.object_]
    ) -> None:
        """Set the value at each of some rows and columns; the grid grows where they lie outside."""
        all_rows, all_cols = _both(self.rows, rows), _both(self.cols, cols)
        if len(all_rows) > len(self.rows) or len(all_cols) > len(self.cols):
            wider = np.full((len(all_rows), len(all_cols)), "", dtype=object, order="F")
            at = np.ix_(np.searchsorted(all_rows, self.rows), np.searchsorted(all_cols, self.cols))
            wider[at] = self.values
            self.values, self.rows, self.cols = wider, all_rows, all_cols
        self.values[np.searchsorted(self.rows, rows), np.searchsorted(self.cols, cols)] = values

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


def digest_of(grids: Iterable[Grid]) -> str:
    """SHA-256 of the cells of some sheets, where there is no file of which to take it."""
    found = hashlib.sha256()
    for grid in grids:
        for cell in grid.filled():
            found.update(repr((grid.sheet, *cell)).encode())
    return found.hexdigest()
