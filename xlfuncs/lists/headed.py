"""Lists below a form: what the sheet says above them of the vessel holds for each of their gauges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from xlfuncs.lists import forms
from xlfuncs.lists.found import Found, Layout
from xlfuncs.lists.rows import find_rows
from xlfuncs.lists.upright import Place, Property, Record, Records, of_column
from xlfuncs.spreadsheet.grid import Grid

_LEAST: Final = 2
"""Labels with values above a list, from which they are taken for its gauges' too."""
_MORE: Final = 1.001
"""Worth, by that of the list alone, which is a part of it."""
_ROWS: Final = 200
_RECORDS: Final = 2_000


def records_of(grid: Grid, layouts: Sequence[Layout]) -> Iterator[Records]:
    """The first list of gauges of a sheet, with what stands above it and in lists below it."""
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
    records = [
        Record(_cells(grid, i, columns) | shared, dict(units))
        for i in find_rows(grid, layout).records.tolist()
    ]
    every = [*listed, *properties]
    for other in layouts:
        if other is not layout and other.headings[0] >= layout.first:
            every += _join(grid, layout, records, other, len(every))
    yield Records(grid, "a list with labels above it", every, records, grid.sheet, least=_MORE)


def _cells(grid: Grid, i: int, columns: Sequence[Found], start: int = 0) -> dict[int, Place]:
    return {
        start + p: Place(grid.values[i, found.index], int(grid.rows[i]), int(grid.cols[found.index]))
        for p, found in enumerate(columns)
    }


def _join(grid: Grid, layout: Layout, records: Sequence[Record], other: Layout, start: int) -> list[Property]:
    """The columns of a further list (that of the floats), where each of its rows names a gauge of the first;
    their values are put into the records."""
    key = layout.columns.get("tag")
    if key is None:
        return []
    tags = [str(grid.values[int(i), key.index]).strip() for i in find_rows(grid, layout).records.tolist()]
    rows = find_rows(grid, other).records.tolist()
    every = [found for found in (*other.columns.values(), *other.others) if found.part < 0]
    named = {found.index: [str(grid.values[i, found.index]).strip() for i in rows] for found in every}
    at = next((j for j, texts in named.items() if texts and {*texts} <= {*tags}), -1)
    if at < 0 or len({*tags}) < len(tags) or len({*named[at]}) < len(rows):
        return []
    columns = [found for found in every if found.index != at]
    by_tag = dict(zip(tags, records, strict=True))
    for i, tag in zip(rows, named[at], strict=True):
        by_tag[tag].cells.update(_cells(grid, i, columns, start))
    known = {found.index: name for name, found in other.columns.items()}
    return [replace(of_column(found), known=known.get(found.index, "")) for found in columns]
