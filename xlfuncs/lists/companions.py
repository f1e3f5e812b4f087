"""Lists of other files that speak of the same gauges: their sheets are named with the file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from xlfuncs.lists.accounts import SheetRows
from xlfuncs.lists.model import Column
from xlfuncs.lists.reading import ListRead, on_sheet
from xlfuncs.lists.tables import Made


def prefix_of(path: Path) -> str:
    """What stands before the names of a file's sheets: '[vendor.xlsx]'."""
    return f"[{path.name}]"


def named(made: Made, prefix: str) -> Made:
    """A list of another workbook, its sheets with the file's name."""
    table = made.table
    table.sheet = _named(table.sheet, prefix)
    columns = {id(column): column for column in table.columns.values()}
    if made.selected is not None:
        columns |= {id(column): column for column in made.selected.every.values()}
    done: dict[int, object] = {}
    for column in columns.values():
        _rename(column, prefix, done)
    for found in (*table.recognised, *table.unrecognised):
        found.sheet = _named(found.sheet, prefix)
    for doubt in made.doubts:
        doubt.sheet = _named(doubt.sheet, prefix)
    return made


def _named(sheet: str, prefix: str) -> str:
    return f"{prefix}{sheet}" if sheet and not sheet.startswith(prefix) else sheet


def _rename(column: Column, prefix: str, done: dict[int, object]) -> None:
    key = id(column.sheet)
    if key not in done:
        texts = {sheet: _named(sheet, prefix) for sheet in set(column.sheet.tolist())}
        done[key] = np.array([texts[sheet] for sheet in column.sheet.tolist()], dtype=object)
    column.sheet = done[key]  # type: ignore[assignment]


def read_named(lists: list[ListRead], prefix: str) -> list[ListRead]:
    """How the lists of another workbook were read."""
    return [on_sheet(one, _named(one.sheet, prefix)) for one in lists]


def rows_named(rows: list[SheetRows], prefix: str) -> list[SheetRows]:
    """What became of the rows of another workbook."""
    return [replace(one, sheet=_named(one.sheet, prefix)) for one in rows]
