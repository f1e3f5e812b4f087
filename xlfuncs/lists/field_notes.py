"""Finds in a workbook what was written down about a gauge that reads wrong: its data and the readings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import load_grid
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.worksheet.answers import HEADINGS, is_heading
from xlfuncs.worksheet.diagnosis import find_field

READ = frozenset({"level", "indicated", "current"})
"""Headings of which two show that a row holds the headings of readings."""
_SPREAD = 3
"""Gauge headings in one row that show that it holds headings, not a label with its value."""


@dataclass(frozen=True, slots=True)
class Range:
    """Rows of cells with the place of each."""

    sheet: str
    rows: list[list[Any]]
    places: list[str]


@dataclass(frozen=True, slots=True)
class FieldNotes:
    """The cells that hold the gauge's data (None: in no sheet) and the readings."""

    gauge: Range | None
    readings: Range
    answers: Range | None = None


def read_field_notes(path: Path, sheet: str | None = None) -> FieldNotes:
    """The two ranges; XlfuncsError where the readings are not found, or more than once.

    `sheet`: the one that holds the readings, where several do.
    """
    grids = load_grid(Path(path))
    names = [grid.sheet for grid in grids]
    if sheet is not None and sheet not in names:
        raise XlfuncsError(f"{path}: there is no sheet '{sheet}'; its sheets are {', '.join(names)}")
    found = [(grid, at) for grid in grids if sheet in (None, grid.sheet) for at in _heading_rows(grid)]
    if not found:
        raise XlfuncsError(
            f"{path}: no readings found; looked for a row of headings such as 'True level (mm)', 'Indicated"
            " (mm)', 'Current (mA)', two of them or more"
        )
    if len(found) > 1:
        places = " and ".join(f"{grid.sheet} row {grid.rows[at]}" for grid, at in found[:3])
        raise XlfuncsError(f"{path}: readings stand at {places}; name the sheet with --sheet")
    grid, start = found[0]
    end = _end(grid, start)
    gauges = [r for g in grids if (r := _gauge(g, range(start, end) if g is grid else range(0))) is not None]
    if len(gauges) > 1:
        raise XlfuncsError(
            f"{path}: data of a gauge stand at {gauges[0].places[0]} and"
            f" {gauges[1].places[0]}; keep those of one gauge in a workbook"
        )
    return FieldNotes(
        gauges[0] if gauges else None,
        _range(grid, range(start, end)),
        _answers([g for g in grids if g is grid or not any(True for _ in _heading_rows(g))], grid),
    )


def _answers(grids: Sequence[Grid], beside: Grid) -> Range | None:
    """Questions with their answers: on the sheet of the readings, else on any."""
    for grid in (beside, *(g for g in grids if g is not beside)):
        for at, row in enumerate(grid.values.tolist()):
            if all(any(is_heading(cell, which) for cell in row) for which in HEADINGS):
                return _range(grid, range(at, _end(grid, at)))
    return None


def _heading_rows(grid: Grid) -> Iterator[int]:
    for at, row in enumerate(grid.values.tolist()):
        if len(READ & {find_field("readings", cell) for cell in row}) > 1:
            yield at


def _end(grid: Grid, start: int) -> int:
    """Index behind the last row of a block: a blank row ends it."""
    rows = grid.rows.tolist()
    for at in range(start + 1, len(rows)):
        if rows[at] != rows[at - 1] + 1 or all(cell == "" for cell in grid.values[at]):
            return at
    return len(rows)


def _range(grid: Grid, rows: range) -> Range:
    places = [f"{grid.sheet} row {grid.rows[at]}" for at in rows]
    return Range(grid.sheet, [grid.values[at].tolist() for at in rows], places)


def _gauge(grid: Grid, without: range) -> Range | None:
    """The rows of a sheet that hold the gauge's data."""
    named: list[int] = []
    for at, row in enumerate(grid.values.tolist()):
        if at in without:
            continue
        fields = [find_field("gauge", cell) for cell in row]
        if sum(f is not None for f in fields) >= _SPREAD:
            return _range(grid, range(at, _end(grid, at)))
        filled = [cell for cell in row if cell != ""]
        if len(filled) > 1 and find_field("gauge", filled[0]):
            named.append(at)
    if len(named) < _SPREAD:
        return None
    rows = [grid.values[at].tolist() for at in named]
    return Range(grid.sheet, rows, [f"{grid.sheet} row {grid.rows[at]}" for at in named])
