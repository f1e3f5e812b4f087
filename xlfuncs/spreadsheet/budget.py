"""How much memory the cells of a workbook would take, told before they are read.

The compiled reader asks for all of it at once, and ends the process where there is not enough. A file of a
few kilobytes can ask for gigabytes: a text of 32 kB that a million cells share, a row that is repeated.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.ooxml import Reach
from xlfuncs.spreadsheet.package import Package

ALLOWED: Final = 850_000_000
"""Bytes for the cells of a file of up to `ORDINARY` bytes; a larger file gets more in proportion.

With what the program itself takes that is less than 1 GiB.
"""
ORDINARY: Final = 20_000_000
MAX_CELLS: Final = 20_000_000
"""Cells of the rectangle that a sheet covers, up to which it is read as one block."""
CELL: Final = 130
"""Bytes for a cell with a value: in the compiled reader, in the grid, and in a column of the audit."""
ROW: Final = 1000
"""Bytes for a row of the index, in what the rules work out of it. Both were measured on lists of 100,000 rows
by 40 columns and of 300,000 by 5."""
_MARKUP: Final = 40
"""Bytes of XML around the text of a cell."""
_MERGE: Final = 250
"""Bytes for a merged range."""
_TEXT: Final = 56
"""Bytes for a shared text besides its letters."""
_SHARED_MARK: Final = np.frombuffer(b't="s"><v>', np.uint8)
_START_OF_TEXT: Final = np.frombuffer(b"<si", np.uint8)
_DIGITS: Final = 9


class Budget:
    """Adds up what the sheets of a workbook will take. XlfuncsError where it is too much."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._allowed = ALLOWED * max(1.0, path.stat().st_size / ORDINARY)
        self._used = 0.0
        self._cells = self._rows = 0
        self.lengths: NDArray[np.int64] = np.empty(0, np.int64)
        """Bytes of each shared text."""

    def take_strings(self, package: Package) -> None:
        """The shared texts of a workbook."""
        if not package.strings or package.binary:
            return
        starts, at = [], 0
        for piece in package.pieces(package.strings, 1 << 24):
            starts.append(_find(piece, _START_OF_TEXT) + at)
            at += len(piece)
        self.lengths = np.diff(np.concatenate([*starts, [at]])).astype(np.int64)
        self._take(2 * at + _TEXT * len(self.lengths), f"texts of {at / 1e6:,.0f} MB")

    def take(self, sheet: Reach, pieces: Callable[[], Iterable[bytes]]) -> None:
        """A worksheet, or a half of one, and the pieces of its XML."""
        self.take_cells(sheet.values, sheet.row)
        text = self._shared_text(sheet.shared, pieces)
        if sheet.inline and sheet.size > ALLOWED / 10:
            text += sum(map(_outside_of_tags, pieces()))
        self._take(2 * text, f"texts of {text / 1e6:,.0f} MB in its cells")
        self._take(_MERGE * sheet.merges, f"{sheet.merges:,} merged ranges")

    def take_cells(self, cells: int, rows: int) -> None:
        """Cells with a value, in so many rows."""
        self._cells += cells
        self._rows += min(rows, cells)
        what = f"{self._cells:,} cells with a value in {self._rows:,} rows"
        self._take(CELL * cells + ROW * min(rows, cells), what)

    def _shared_text(self, cells: int, pieces: Callable[[], Iterable[bytes]]) -> float:
        """Bytes of the texts in `cells` cells that hold the number of a shared text.

        The pieces of their XML are looked at only where long texts could stand in many cells.
        """
        longest = int(self.lengths.max(initial=0))
        if longest * cells < ALLOWED / 10:
            return 0.0
        total, seen = 0.0, 0
        for piece in pieces():
            numbers = shared_numbers(piece)
            numbers = numbers[numbers < len(self.lengths)]
            total += float(self.lengths[numbers].sum())
            seen += len(numbers)
        return total + max(0, cells - seen) * longest

    def _take(self, more: float, what: str) -> None:
        self._used += more
        if self._used > self._allowed:
            raise XlfuncsError(
                f"{self._path} holds {what}, more than are read of a file of its size: delete the sheets and "
                "rows that do not belong to the index, and save it again"
            )


def shared_numbers(piece: bytes) -> NDArray[np.int64]:
    """The numbers of the shared texts in the cells of a piece of XML, as spreadsheet programs write it."""
    codes = np.frombuffer(piece + b"<" * _DIGITS, np.uint8)
    at = _find(piece, _SHARED_MARK) + len(_SHARED_MARK)
    numbers = np.zeros(len(at), np.int64)
    open_ = np.ones(len(at), bool)
    for place in range(_DIGITS):
        digit = codes[at + place] - 48  # unsigned: what is below wraps round
        open_ &= digit < 10
        numbers = np.where(open_, numbers * 10 + digit, numbers)
    return numbers


def _outside_of_tags(piece: bytes) -> int:
    """Bytes of a piece of XML that are no markup."""
    codes = np.frombuffer(piece, np.uint8)
    opening, closing = np.flatnonzero(codes == 60), np.flatnonzero(codes == 62)
    if len(opening) != len(closing):
        return len(piece)
    return len(piece) - int(closing.sum() - opening.sum()) - len(closing)


def _find(piece: bytes, mark: NDArray[np.uint8]) -> NDArray[np.int64]:
    """Where a mark begins: the rarest of its bytes first."""
    codes = np.frombuffer(piece, np.uint8)
    size = len(codes) - len(mark) + 1
    if size <= 0:
        return np.empty(0, np.int64)
    at = np.flatnonzero(codes[:size] == mark[0])
    for offset in range(1, len(mark)):
        at = at[codes[at + offset] == mark[offset]]
    return at
