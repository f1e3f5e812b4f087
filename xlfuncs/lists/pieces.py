"""Lists that stand beside each other on one sheet, with blank columns between them."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from xlfuncs.lists.found import Layout
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.spreadsheet.grid import Grid

_NARROWEST: Final = 3
"""Columns of a list."""
_LONGEST: Final = 5_000
"""Rows beyond which a sheet is taken as one list."""
_SAME: Final = 0.5
"""Share of rows with the same key from which what stands right is the list's own continuation."""


def pieces(grid: Grid, instructions: Instructions) -> list[Grid]:
    """The parts of a sheet that are lists of their own; the sheet itself where it is one."""
    if len(grid.rows) > _LONGEST or grid.values.shape[1] < 2 * _NARROWEST:
        return [grid]
    for at in _gaps(grid):
        left, right = _part(grid, slice(0, at)), _part(grid, slice(at, None))
        if _own_lists(left, right, instructions):
            return [*pieces(left, instructions), *pieces(right, instructions)]
    return [grid]


def _gaps(grid: Grid) -> list[int]:
    """Columns after blank ones, as indexes."""
    blank = (grid.values == "").all(axis=0)
    after = np.flatnonzero((np.diff(grid.cols) > 1) | (blank[:-1] & ~blank[1:])) + 1
    width = grid.values.shape[1]
    return [int(at) for at in after if _NARROWEST <= at <= width - _NARROWEST]


def _part(grid: Grid, columns: slice) -> Grid:
    values = grid.values[:, columns]
    rows = (values != "").any(axis=1)
    return replace(
        grid, values=values[rows], rows=grid.rows[rows], cols=grid.cols[columns], _down=None, shaped={}
    )


def _own_lists(left: Grid, right: Grid, instructions: Instructions) -> bool:
    """Whether there is a list on both sides, and not the gauges of the first gone on with."""
    theirs = find_layouts(right, instructions)
    if not theirs:
        return False
    mine = find_layouts(left, instructions)
    return bool(mine) and all(not _goes_on(left, one, right, other) for one in mine for other in theirs)


def _goes_on(left: Grid, one: Layout, right: Grid, other: Layout) -> bool:
    keys = [_keys(grid, layout) for grid, layout in ((left, one), (right, other))]
    shared = sum(keys[0].get(row) == key for row, key in keys[1].items())
    return one.kind == other.kind and shared > _SAME * len(keys[1])


def _keys(grid: Grid, layout: Layout) -> dict[int, str]:
    """Spreadsheet row -> what names its record."""
    found = layout.columns.get("tag") or layout.columns.get("float_part")
    if found is None:
        return {}
    rows = slice(layout.first, layout.last)
    return {
        row: str(key).strip()
        for row, key in zip(grid.rows[rows].tolist(), grid.values[rows, found.index].tolist(), strict=True)
        if key != ""
    }
