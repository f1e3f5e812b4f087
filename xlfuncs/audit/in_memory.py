"""A table of gauges from columns in memory: what rules decide on, without a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import DISPLAY_UNITS, Gauges
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.columns import Cells, quantity_column, text_column, times_density
from xlfuncs.lists.model import Book, Column, Table

Columns = Mapping[str, Sequence[Any]]
"""Field -> one cell for each gauge: a text with its unit, a number in the field's usual unit, or None."""


def gauges_of(columns: Columns, floats: Columns | None = None, settings: Settings | None = None) -> Gauges:
    """The gauges of some columns, joined with a float list where one is given.

    Each column is one of a sheet 'gauges' (or 'floats'), in the order given, with its heading in row 1.
    XlfuncsError names a field that there is not, and columns that are not of one length.
    """
    book = Book(
        path=Path("memory"),
        sha256="",
        gauges=[_table("gauges", columns)],
        floats=[] if floats is None else [_table("floats", floats)],
        has_formulas=False,
    )
    return Gauges(book, settings)


def _table(kind: Literal["gauges", "floats"], columns: Columns) -> Table:
    lengths = {len(cells) for cells in columns.values()}
    if len(lengths) > 1:
        several = " and ".join(map(str, sorted(lengths)))
        raise XlfuncsError(f"{kind}: there are columns of {several} cells; give all the same number")
    n = next(iter(lengths), 0)
    rows = np.arange(2, n + 2)
    read = {field: _column(kind, field, cells, at) for at, (field, cells) in enumerate(columns.items(), 1)}
    made = {field: column for field, (column, _) in read.items()}
    for column, kinematic in read.values():
        if kinematic is not None:
            times_density(column, kinematic, made.get("fluid_density"))
    return Table(kind, kind, made, [], rows, np.zeros(n, dtype=np.bool_), path="memory")


def _column(
    sheet: str, field: str, values: Sequence[Any], place: int
) -> tuple[Column, NDArray[np.bool_] | None]:
    """The column, and which of its viscosities are kinematic."""
    known = load("fields")
    if field not in known:
        raise XlfuncsError(f"{sheet}: there is no field '{field}'; 'xlfuncs columns' lists them")
    n = len(values)
    raw = np.empty(n, dtype=object)
    raw[:] = [float(value) if type(value) is int else value for value in values]
    sheets, at = np.full(n, sheet, dtype=object), np.full(n, place, dtype=np.int64)
    cells = Cells(raw, sheets, np.arange(2, n + 2), at)
    if known[field]["kind"] == "text":
        return text_column(field, cells), None
    read = quantity_column(field, cells, DISPLAY_UNITS[known[field]["quantity"]])
    return read.column, read.kinematic
