"""Reads a workbook: finds the index of gauges and the float lists in it, whatever their layout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import joining, layout, tables, vertical
from xlfuncs.lists.instructions import Instructions, of_mapping
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
    instructions = Instructions(of_mapping(mapping))
    grids = load_grid(path, meanwhile)
    if not any(grid.values.size for grid in grids):
        raise XlfuncsError(f"{path} is empty: none of its {len(grids)} sheets holds a value")
    gauges, listed = _lists(grids, instructions)
    other = (
        [_elsewhere(made) for made in _float_lists(Path(floats), instructions)] if floats is not None else []
    )
    _check(path, instructions, [*gauges, *listed, *other])
    if not any(len(made.table) for made in gauges) and need_index:
        raise XlfuncsError(_nothing_to_audit(path, gauges) or _no_index(path, grids, listed))
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
    instructions = Instructions(of_mapping(mapping))
    listed = _float_lists(Path(path), instructions)
    _check(Path(path), instructions, listed)
    return [made.table for made in listed]


def _float_lists(path: Path, instructions: Instructions) -> list[tables.Made]:
    _, listed = _lists(load_grid(path), instructions)
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


def _lists(grids: list[Grid], instructions: Instructions) -> tuple[list[tables.Made], list[tables.Made]]:
    """The indexes of gauges and the float lists of the sheets."""
    found: list[tables.Made] = []
    for grid in grids:
        if not grid.values.size:
            continue
        layouts = layout.find_layouts(grid, instructions)
        found += [tables.make(grid, each) for each in layouts]
        if not layouts and (made := vertical.read_vertical(grid, instructions)) is not None:
            found.append(made)
    gauges = [made for made in found if made.table.kind == "gauges"]
    joining.attach_loops(gauges)
    gauges = joining.join_sheets([made for made in gauges if len(made.table) or made.skipped or made.doubts])
    listed = [made for made in found if made.table.kind == "floats" and len(made.table)]
    return gauges, listed


def _check(path: Path, instructions: Instructions, found: list[tables.Made]) -> None:
    """Everything that was said must have found its column."""
    said = {entry.said for entry in instructions.used}
    for entry in instructions.entries:
        if entry.said in said or not found:
            continue
        entries = [one for made in found for one in (*made.table.recognised, *made.table.unrecognised)]
        headings = ", ".join(
            repr(text) for text in dict.fromkeys(one.heading for one in entries if one.heading)
        )
        taken = any(one.field == entry.field for one in entries)
        has = f" ({entry.field} was taken from another column)" if taken else ""
        raise XlfuncsError(f"{path}: {entry.said}: no such heading or column{has}; there are {headings}")


def _nothing_to_audit(path: Path, gauges: list[tables.Made]) -> str:
    """What stands in the lists of a workbook that holds no float level gauge, "" if there are no such lists."""
    skipped: Counter[str] = Counter()
    for made in gauges:
        skipped += made.skipped
    if not skipped:
        return ""
    seen = ", ".join(f"{count} x {reason}" for reason, count in skipped.most_common())
    sheets = " and ".join(dict.fromkeys(repr(made.table.sheet) for made in gauges if made.skipped))
    return (
        f"{path}: no float level gauge found in {sheets}, so that nothing was audited; its rows are {seen}. A gauge"
        " is known by its letters (LG), by a type that says magnetic or float, or by float data in its row"
    )


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
