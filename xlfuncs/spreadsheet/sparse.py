"""Reads an .xlsx cell by cell: for sheets that reach too far to be held as a block, and for files that the
compiled reader refuses. Slower, and it takes no more memory than the cells need.
"""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any, Final

from xlfuncs.spreadsheet.grid import Grid

MAX_SCATTERED: Final = 3_000_000
"""Cells with a value up to which scattered sheets are read."""


class TooManyCells(Exception):
    """More cells than are read one by one."""


def openpyxl_grids(path: Path) -> list[Grid]:
    """Sheets as openpyxl's parser gives them, the blank rows and columns left out."""
    import openpyxl

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of extensions that do not matter for values
        book = openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)
        try:
            return [_grid(book, sheet) for sheet in book.worksheets]
        finally:
            book.close()


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
    grid = Grid.sparse(sheet.title, cells)
    grid.hidden = sheet.sheet_state != "visible"
    merged = getattr(parser.merged_cells, "mergeCell", None) or ()
    grid.merges = [(found.min_row, found.min_col, found.max_row, found.max_col) for found in merged]
    grid.hidden_rows = frozenset(
        int(row) for row, about in parser.row_dimensions.items() if about.get("hidden") in ("1", "true")
    )
    return grid
