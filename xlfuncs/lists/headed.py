"""Lists below a form: what the sheet says above them of the vessel holds for each of their gauges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from xlfuncs.lists import forms
from xlfuncs.lists.found import Layout
from xlfuncs.lists.rows import find_rows
from xlfuncs.lists.upright import Place, Record, Records, of_column
from xlfuncs.spreadsheet.grid import Grid

_LEAST: Final = 2
"""Labels with values above a list, from which they are taken for its gauges' too."""
_ROWS: Final = 200
_RECORDS: Final = 2_000


def records_of(grid: Grid, layouts: Sequence[Layout]) -> Iterator[Records]:
    """The first list of gauges of a sheet, with what stands above it."""
    layout = next((one for one in layouts if one.kind == "gauges"), None)
    if layout is None or not 2 < layout.headings[0] <= _ROWS or layout.last - layout.first > _RECORDS:
        return
    top = layout.headings[0]
    above = replace(grid, values=grid.values[:top], rows=grid.rows[:top])
    properties, record = forms.labels_of(above)
    if len(record.cells) < _LEAST:
        return
    columns = [found for found in (*layout.columns.values(), *layout.others) if found.part < 0]
    listed = [of_column(found) for found in columns]
    start = len(listed)
    shared = {start + j: place for j, place in record.cells.items()}
    units = {start + j: unit for j, unit in record.units.items()}
    records = []
    for i in find_rows(grid, layout).records.tolist():
        own = {
            p: Place(grid.values[i, found.index], int(grid.rows[i]), int(grid.cols[found.index]))
            for p, found in enumerate(columns)
        }
        records.append(Record(own | shared, dict(units)))
    yield Records(grid, "a list with labels above it", [*listed, *properties], records, grid.sheet)
