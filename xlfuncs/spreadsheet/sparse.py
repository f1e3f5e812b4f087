"""Reads an .xlsx cell by cell: for sheets that reach too far to be held as a block, and for files that the
compiled reader refuses. Slower, and it takes no more memory than the cells need.
"""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any, Final

import numpy as np

from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.ooxml import scan_all
from xlfuncs.spreadsheet.package import Package
from xlfuncs.spreadsheet.usual import usual

MAX_BLOCK: Final = 1_000_000
"""Cells, blank ones included, up to which a sheet is held as a block."""
MAX_SCATTERED: Final = 3_000_000
"""Cells with a value up to which scattered sheets are read."""


class TooManyCells(Exception):
    """More cells than are read one by one."""


def openpyxl_grids(path: Path) -> list[Grid]:
    """Sheets as openpyxl's parser gives them; of a scattered one without the blank rows and columns."""
    import openpyxl

    with usual(path) as package, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of extensions that do not matter for values
        book = openpyxl.load_workbook(package.stream(), read_only=True, data_only=True, keep_links=False)
        try:
            grids = [_grid(book, sheet) for sheet in book.worksheets]
        finally:
            book.close()
        _add_details(package, grids)
    return grids


def _add_details(package: Package, grids: list[Grid]) -> None:
    """What openpyxl does not tell of the cells, from the search of the XML."""
    try:
        scans = scan_all(package)
    except Exception:
        for grid in grids:
            grid.blind = True
        return
    for grid in grids:
        grid.lost = grid.sheet in package.lost
        if grid.sheet in scans:
            scans[grid.sheet].put_into(grid)


def _together(title: str, cells: dict[tuple[int, int], Any]) -> Grid | None:
    """Cells that stand close together as a block, as the compiled reader gives them; None for others."""
    if not cells:
        return None
    rows, cols = ([place[axis] for place in cells] for axis in (0, 1))
    top, left = min(rows), min(cols)
    height, width = max(rows) - top + 1, max(cols) - left + 1
    if height * width > MAX_BLOCK:
        return None
    values = np.full((height, width), "", dtype=object)
    for (row, col), value in cells.items():
        values[row - top, col - left] = value
    return Grid.block(title, values, top, left)


def _grid(book: Any, sheet: Any) -> Grid:
    from openpyxl.worksheet._reader import WorkSheetParser

    cells: dict[tuple[int, int], Any] = {}
    with sheet._get_source() as source:
        parser = WorkSheetParser(
            source,
            sheet._shared_strings,
            data_only=True,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        for _, row in parser.parse():
            for cell in row:
                if cell["value"] not in (None, ""):
                    cells[cell["row"], cell["column"]] = cell["value"]
            if len(cells) > MAX_SCATTERED:
                raise TooManyCells(f"{sheet.title} has more than {MAX_SCATTERED} scattered cells")
    grid = _together(sheet.title, cells) or Grid.sparse(sheet.title, cells)
    grid.hidden = sheet.sheet_state != "visible"
    merged = getattr(parser.merged_cells, "mergeCell", None) or ()
    grid.merges = [(found.min_row, found.min_col, found.max_row, found.max_col) for found in merged]
    return grid
