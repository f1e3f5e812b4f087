"""Reads a workbook: finds the index of gauges and the float lists in it, whatever their layout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import joining, layout, tables, vertical
from xlfuncs.lists.headings import fields, squash
from xlfuncs.lists.model import Book, Doubt, Table
from xlfuncs.spreadsheet import opening
from xlfuncs.spreadsheet.compiled import Meanwhile
from xlfuncs.spreadsheet.grid import Grid

__all__ = ["load_grid", "read_book", "read_floats"]


def load_grid(path: Path, meanwhile: Meanwhile | None = None) -> list[Grid]:
    """The raw values of every sheet, with their addresses. XlfuncsError where the file cannot be read."""
    return opening.open_grids(Path(path), meanwhile)


def read_book(
    path: Path,
    *,
    mapping: Mapping[str, str] | None = None,
    floats: Path | None = None,
    need_index: bool = True,
    meanwhile: Meanwhile | None = None,
) -> Book:
    """Read the gauges and the floats of a workbook.

    `mapping`: field -> heading, column letter or 'SHEET!LETTER', for a heading that is not recognised.
    `floats`: a second workbook whose float list is used instead of the first one's.
    `need_index`: False gives a workbook without an index too; its doubts say what its headings could be.
    `meanwhile`: what to do besides while a long workbook is read.
    XlfuncsError, one line, where there is nothing to audit.
    """
    path = Path(path)
    mapping = _known_fields(mapping)
    grids = load_grid(path, meanwhile)
    if not any(grid.values.size for grid in grids):
        raise XlfuncsError(f"{path} is empty: none of its {len(grids)} sheets holds a value")
    gauges, listed = _lists(grids, mapping)
    other = [_elsewhere(made) for made in _float_lists(Path(floats), mapping)] if floats is not None else []
    _check_mapping(path, mapping, [*gauges, *listed, *other])
    if not any(len(made.table) or made.skipped for made in gauges) and need_index:
        raise XlfuncsError(_no_index(path, grids, listed))
    for made in gauges + listed:
        made.table.path = str(path)
    listed = other or listed
    doubts = _unread(grids) + ([] if gauges else layout.unknown_headings(grids))
    skipped: Counter[str] = Counter()
    for made in (*gauges, *listed):
        doubts += made.doubts
        skipped += made.skipped
    return Book(
        path,
        opening.digest(path),
        [made.table for made in gauges],
        [made.table for made in listed],
        doubts,
        dict(skipped),
        tuple(grid.sheet for grid in grids),
        any(grid.has_formulas for grid in grids),
    )


def read_floats(path: Path, *, mapping: Mapping[str, str] | None = None) -> list[Table]:
    """The float lists of a workbook that need not hold an index. XlfuncsError, one line, without one."""
    mapping = _known_fields(mapping)
    listed = _float_lists(Path(path), mapping)
    _check_mapping(Path(path), mapping, listed)
    return [made.table for made in listed]


def _known_fields(mapping: Mapping[str, str] | None) -> dict[str, str]:
    for name in mapping or ():
        if name not in fields():
            raise XlfuncsError(f"--map: there is no field {name!r}; the fields are {', '.join(fields())}")
    return dict(mapping or {})


def _float_lists(path: Path, mapping: Mapping[str, str]) -> list[tables.Made]:
    _, listed = _lists(load_grid(path), mapping)
    if not listed:
        raise XlfuncsError(
            f"{path}: no float list found; looked for a heading row with a part number and mass, diameter or "
            "other float data; name its columns with --map, e.g. --map float_mass=HEADING"
        )
    for made in listed:
        made.table.path = str(path)
    return listed


def _elsewhere(made: tables.Made) -> tables.Made:
    """A list of another workbook, whose sheets are named as a reference to that workbook names them."""
    table = made.table
    prefix = f"[{Path(table.path).name}]"

    def named(sheet: str) -> str:
        return f"{prefix}{sheet}" if sheet else ""

    table.sheet = named(table.sheet)
    for column in table.columns.values():
        texts = {sheet: named(sheet) for sheet in set(column.sheet.tolist())}
        column.sheet = np.array([texts[sheet] for sheet in column.sheet.tolist()], dtype=object)
    for found in (*table.recognised, *table.unrecognised):
        found.sheet = named(found.sheet)
    for doubt in made.doubts:
        doubt.sheet = named(doubt.sheet)
    return made


def _unread(grids: list[Grid]) -> list[Doubt]:
    """What could not be read of the file."""
    gone = "the workbook lists this sheet, but the file does not hold it; get an intact copy"
    out = [Doubt("file", grid.sheet, "", gone) for grid in grids if grid.lost]
    if any(grid.blind for grid in grids):
        text = (
            "only values could be read: error cells look blank, hidden and struck-through rows are not "
            "known; save it as .xlsx"
        )
        out.append(Doubt("file", "", "", text))
    return out


def _lists(grids: list[Grid], mapping: Mapping[str, str]) -> tuple[list[tables.Made], list[tables.Made]]:
    """The indexes of gauges and the float lists of the sheets."""
    found: list[tables.Made] = []
    for grid in grids:
        if not grid.values.size:
            continue
        layouts = layout.find_layouts(grid, mapping)
        found += [tables.make(grid, each) for each in layouts]
        if not layouts and (made := vertical.read_vertical(grid, mapping)) is not None:
            found.append(made)
    gauges = [made for made in found if made.table.kind == "gauges"]
    joining.attach_loops(gauges)
    gauges = joining.join_sheets([made for made in gauges if len(made.table) or made.skipped or made.doubts])
    listed = [made for made in found if made.table.kind == "floats" and len(made.table)]
    return gauges, listed


def _check_mapping(path: Path, mapping: Mapping[str, str], found: list[tables.Made]) -> None:
    """Every `--map` must have found its column."""
    tables_ = [made.table for made in found]
    known = {(entry.field, squash(entry.heading)) for table in tables_ for entry in table.recognised}
    taken = {name for name, _ in known}
    for name, where in mapping.items():
        hit = any(
            entry.field == name and _is_place(where, entry.heading, entry.sheet, entry.column)
            for table in tables_
            for entry in table.recognised
        )
        if not hit and tables_:
            headings = [
                entry.heading for table in tables_ for entry in (*table.recognised, *table.unrecognised)
            ]
            shown = ", ".join(repr(heading) for heading in dict.fromkeys(filter(None, headings)))
            has = f" ({name} was taken from another column)" if name in taken else ""
            raise XlfuncsError(
                f"{path}: --map {name}={where}: no such heading or column{has}; there are {shown}"
            )


def _is_place(where: str, heading: str, sheet: str, column: str) -> bool:
    if squash(where) and squash(where) in (squash(heading), squash(heading.rpartition(" / ")[2])):
        return True
    name, _, letter = where.rpartition("!")
    sheet = sheet.rpartition("]")[2] or sheet
    return letter.upper() == column and (not name or squash(name) == squash(sheet))


def _no_index(path: Path, grids: list[Grid], listed: list[tables.Made]) -> str:
    sheets = f"{len(grids)} sheets" if len(grids) != 1 else "its one sheet"
    only = f", only a float list in {listed[0].table.sheet!r}" if listed else ""
    near = layout.nearest(grids)
    seen = f"; the likeliest heading row is {near}" if near else ""
    return (
        f"{path}: no index of level gauges found in {sheets}{only}: looked for a heading row with a tag and "
        f"fluid, float or range data{seen}; name its columns with --map, e.g. --map tag=HEADING, and see "
        f"'xlfuncs columns {path}'"
    )
