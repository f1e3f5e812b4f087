"""What an inquiry calls itself and its gauges: its title, and the customer's item numbers."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from xlfuncs.lists.model import Book
from xlfuncs.lists.reader import load_grid
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.worksheet.float_table import squash

_ITEM: Final = frozenset(
    {
        *("pos", "pos no", "pos nr", "position", "item", "item no", "line", "line no", "line item", "posnr"),
        *("lfd nr", "lfd no", "posten", "poste", "repere", "partida", "posicion", "posizione", "voce"),
        *("posicao", "positie", "post", "postnr", "pozycja", "polozka", "sira", "sira no", "rivi", "поз"),
        *("позиция", "p", "sr no", "s no", "sl no"),
    }
)
"""Headings of an item number (common practice, no source)."""
_LONGEST: Final = 120
"""Characters of a title."""


@dataclass(frozen=True, slots=True)
class Own:
    """What the customer calls it."""

    title: str = ""
    items: dict[tuple[str, int], str] = field(default_factory=dict)
    """(sheet, row) -> item number."""


def own_names(book: Book) -> Own:
    """The title above the first list of gauges, and what stands in its column of item numbers."""
    tables = [table for table in book.gauges if len(table) and table.path in ("", str(book.path))]
    if not tables:
        return Own()
    grids = {grid.sheet: grid for grid in load_grid(book.path)}
    items: dict[tuple[str, int], str] = {}
    for table in tables:
        grid = grids.get(table.sheet)
        column = None if grid is None else _item_column(grid, int(table.row.min()))
        if grid is None or column is None:
            continue
        for at, row in enumerate(grid.rows.tolist()):
            if row in table.row and (cell := grid.values[at][column]) != "":
                items[table.sheet, row] = f"{cell:g}" if isinstance(cell, float) else str(cell).strip()
    first = grids.get(tables[0].sheet)
    return Own("" if first is None else _title(first, int(tables[0].row.min())), items)


def _item_column(grid: Grid, below: int) -> int | None:
    """Index of the column that a row above the records heads as that of item numbers."""
    for row, cells in zip(grid.rows.tolist(), grid.values.tolist(), strict=True):
        if row >= below:
            return None
        for at, cell in enumerate(cells):
            if isinstance(cell, str) and squash(cell) in _ITEM:
                return at
    return None


def _title(grid: Grid, below: int) -> str:
    """The first text that stands alone in its row, above the records."""
    for row, cells in zip(grid.rows.tolist(), grid.values.tolist(), strict=True):
        filled = [cell for cell in cells if cell != ""]
        if row >= below or len(filled) > 1:
            return ""
        if len(filled) == 1 and isinstance(filled[0], str):
            text = " ".join(filled[0].split())
            return text if len(text) <= _LONGEST else ""
    return ""
