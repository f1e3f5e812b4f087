"""Reads a workbook: finds the index of gauges and the float lists in it, whatever their layout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from xlfuncs.errors import XlfuncsError
from xlfuncs.workbook import layout, opening, tables
from xlfuncs.workbook.grid import Grid
from xlfuncs.workbook.headings import fields
from xlfuncs.workbook.model import Book, Doubt, Table

__all__ = ["load_grid", "read_book"]


def load_grid(path: Path) -> list[Grid]:
    """The raw values of every sheet, with their addresses. XlfuncsError where the file cannot be read."""
    return opening.open_grids(Path(path))


def read_book(path: Path, *, mapping: Mapping[str, str] | None = None, floats: Path | None = None) -> Book:
    """Read the gauges and the floats of a workbook.

    `mapping`: field -> heading, column letter or 'SHEET!LETTER', for a heading that is not recognised.
    `floats`: a second workbook whose float list is used instead of the first one's.
    XlfuncsError, one line, where there is nothing to audit.
    """
    path = Path(path)
    mapping = dict(mapping or {})
    _check_mapping(mapping)
    grids = load_grid(path)
    if not any(grid.values.size for grid in grids):
        raise XlfuncsError(f"{path} is empty: none of its {len(grids)} sheets holds a value")
    gauges, listed, doubts, skipped = _lists(grids, mapping)
    if not gauges:
        raise XlfuncsError(_no_index(path, grids, listed))
    if floats is not None:
        listed = _float_lists(Path(floats), mapping, doubts)
    for table in gauges:
        table.path = str(path)
    return Book(
        path, opening.digest(path), gauges, listed, doubts, dict(skipped), tuple(grid.sheet for grid in grids)
    )


def _check_mapping(mapping: Mapping[str, str]) -> None:
    for name in mapping:
        if name not in fields():
            raise XlfuncsError(f"--map: there is no field {name!r}; the fields are {', '.join(fields())}")


def _lists(
    grids: list[Grid], mapping: Mapping[str, str]
) -> tuple[list[Table], list[Table], list[Doubt], Counter[str]]:
    gauges: list[Table] = []
    listed: list[Table] = []
    doubts: list[Doubt] = []
    skipped: Counter[str] = Counter()
    for grid in grids:
        if not grid.values.size:
            continue
        found = layout.find_layouts(grid, mapping)
        if found is None:
            continue
        made = tables.make(grid, found)
        skipped += made.skipped
        if len(made.table):
            (gauges if found.kind == "gauges" else listed).append(made.table)
            doubts += made.doubts
    return gauges, listed, doubts, skipped


def _float_lists(path: Path, mapping: Mapping[str, str], doubts: list[Doubt]) -> list[Table]:
    """The float lists of a second workbook."""
    _, listed, more, _ = _lists(load_grid(path), mapping)
    if not listed:
        raise XlfuncsError(
            f"{path}: no float list found (looked for a part number with mass, diameter or other float data): "
            f"see what was recognised with 'xlfuncs columns {path}'"
        )
    for table in listed:
        table.path = str(path)
    doubts += more
    return listed


def _no_index(path: Path, grids: list[Grid], listed: list[Table]) -> str:
    found = f"only a float list in {listed[0].sheet}" if listed else "none"
    return (
        f"{path}: no index of level gauges found in {len(grids)} sheets ({found}); looked for a heading row with a "
        "tag and fluid, float or range data: name the columns with --map, e.g. --map tag=HEADING; "
        f"'xlfuncs columns {path}' shows what was recognised"
    )
