"""Sheets as the compiled reader (python-calamine) gives them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path
from typing import IO, Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.spreadsheet.grid import Grid

MAX_MERGES: Final = 200_000
"""Merged ranges of a sheet that are heeded."""
_AT_ONCE: Final = 200
"""Rows whose cells the processor keeps at hand."""
_BLANK_ABOVE: Final = 2
"""Blank rows for each row of a sheet up to which it is quicker to step over them than to hold all rows."""


@dataclass(frozen=True)
class Meanwhile:
    """Other work for the time that it takes to read a long workbook."""

    prepare: Callable[[], object] = lambda: None
    """Called in another thread while the compiled reader is at work."""


def calamine_grids(
    file: Path | IO[bytes], before_sheets: Callable[[], None] = lambda: None, without: Collection[str] = ()
) -> list[Grid]:
    """The sheets of a workbook, blank ones for those in `without`.

    `before_sheets` is called when the file is open.
    """
    import python_calamine

    out = []
    with python_calamine.CalamineWorkbook.from_object(file) as book:
        before_sheets()
        for number, about in enumerate(book.sheets_metadata):
            if about.typ != python_calamine.SheetTypeEnum.WorkSheet:
                continue
            sheets = [] if about.name in without else [book.get_sheet_by_index(number)]
            rows = max((sheet.end[0] + 1 for sheet in sheets if sheet.end is not None), default=0)
            grid = stacked(about.name, sheets, rows) or Grid.empty(about.name)
            grid.hidden = about.visible != python_calamine.SheetVisibleEnum.Visible
            out.append(grid)
    return out


def stacked(name: str, sheets: Iterable[Any], rows: int) -> Grid | None:
    """A grid of the reader's sheets, one below the other, the lowest of which ends within `rows`.

    None where they overlap.
    """
    values = np.empty((0, 0), dtype=object)
    merges: Sequence[Any] = ()
    top = left = end = 0
    for sheet in sheets:
        if sheet.start is None:
            continue
        first, first_col = sheet.start
        if not values.size:
            top, left, end = first, first_col, first
            values = _room(rows - top, sheet.width)
        if first < end:
            return None
        if first_col < left or first_col + sheet.width > left + values.shape[1]:
            leftmost, right = min(left, first_col), max(left + values.shape[1], first_col + sheet.width)
            wider = _room(rows - top, right - leftmost)
            wider[: end - top] = ""
            wider[: end - top, left - leftmost :][:, : values.shape[1]] = values[: end - top]
            values, left = wider, leftmost
        last, here = sheet.end[0] + 1, slice(first_col - left, first_col - left + sheet.width)
        values[end - top : first - top] = ""
        if sheet.width < values.shape[1]:
            values[first - top : last - top] = ""
        _fill(values[first - top : last - top, here], sheet)
        end = last
        merges = sheet.merged_cell_ranges or merges
    grid = Grid.block(name, values[: end - top], top + 1, left + 1)
    grid.merges = [
        (first_row + 1, first_col + 1, last_row + 1, last_col + 1)
        for (first_row, first_col), (last_row, last_col) in merges[:MAX_MERGES]
    ]
    return grid


def _room(rows: int, cols: int) -> NDArray[np.object_]:
    """For cells by column: that is how they are read."""
    return np.empty((rows, cols), dtype=object, order="F")


def _fill(values: NDArray[np.object_], sheet: Any) -> None:
    """Put the cells of a sheet into an array, a few rows at a time, while they are at hand."""
    if sheet.start[0] <= _BLANK_ABOVE * sheet.height:
        rows = islice(sheet.iter_rows(), sheet.start[0], None)  # it begins with the blank rows above
    else:
        rows = iter(sheet.to_python(skip_empty_area=True))
    for at in range(0, sheet.height, _AT_ONCE):
        some = values[at : min(at + _AT_ONCE, sheet.height)]
        cells = chain.from_iterable(islice(rows, len(some)))
        some[:] = np.fromiter(cells, object, some.size).reshape(some.shape)
