"""Reads a workbook: finds the index of gauges and the float lists in it, whatever their layout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import advice, joining, layout, own, reading, reading_file, tables, vertical
from xlfuncs.lists.binding import Binder, Seen
from xlfuncs.lists.instructions import (
    FILE,
    SETTINGS,
    SHEET,
    Instruction,
    Instructions,
    Mapped,
    SaidList,
    of_mapping,
)
from xlfuncs.lists.known_again import KnownAgain
from xlfuncs.lists.model import Book, Doubt, Table
from xlfuncs.lists.reading import ListRead
from xlfuncs.spreadsheet import opening
from xlfuncs.spreadsheet.compiled import Meanwhile
from xlfuncs.spreadsheet.grid import Grid, digest_of

__all__ = ["load_grid", "read_book", "read_floats"]


def load_grid(path: Path, meanwhile: Meanwhile | None = None) -> list[Grid]:
    """The raw values of every sheet, with their addresses. XlfuncsError where the file cannot be read."""
    return opening.open_grids(Path(path), meanwhile)


@dataclass(frozen=True, slots=True)
class _Said:
    """What a person has said, before it is known which columns are meant."""

    options: tuple[Instruction, ...] = ()
    lists: tuple[SaidList, ...] = ()
    strict: bool = True
    """Whether an option that finds nothing is an error."""

    def __bool__(self) -> bool:
        return bool(self.options or self.lists)


@dataclass(slots=True)
class _Found:
    """The lists of a workbook."""

    gauges: list[tables.Made] = field(default_factory=list)
    floats: list[tables.Made] = field(default_factory=list)
    read: list[ListRead] = field(default_factory=list)
    instructions: Instructions = field(default_factory=Instructions)
    notes: list[str] = field(default_factory=list)
    """What was said and not found."""


def read_book(
    path: Path,
    *,
    mapping: Mapped | None = None,
    columns: Mapped | None = None,
    correction: Path | None = None,
    floats: Path | None = None,
    need_index: bool = True,
    strict: bool = True,
    meanwhile: Meanwhile | None = None,
    sheets: Sequence[Grid] | None = None,
    float_sheets: Sequence[Grid] | None = None,
) -> Book:
    """Read the gauges and the floats of a workbook.

    `mapping`: field -> heading, column letter or 'SHEET!LETTER', for a heading that is not recognised.
    `columns`: the same of a settings file, which counts less; `correction`: a READING.toml, or a workbook
    with a corrected sheet 'Reading'.
    `floats`: a second workbook whose float list is used instead of the first one's.
    `need_index`: False gives a workbook without an index too; `strict`: False takes no offence at what was
    said of columns that there are not.
    `meanwhile`: what to do besides while a long workbook is read.
    `sheets`, `float_sheets`: what stands in the workbooks, where they are no files.
    XlfuncsError, one line, where there is nothing to audit.
    """
    path = Path(path)
    grids, corrected, added = _sheets(path, meanwhile, sheets)
    others = _sheets(Path(floats), given=float_sheets)[0] if floats is not None else []
    said = _Said(
        (*of_mapping(columns, SETTINGS), *of_mapping(mapping)), (*corrected, *_correction(correction)), strict
    )
    books = [grids] if floats is None else [grids, others]
    found = _read(books, said, path, Path(floats) if floats is not None else None)
    index = found[0]
    other = _of_floats(Path(floats), others, found[1]) if floats is not None else []
    if not any(len(made.table) for made in index.gauges) and need_index:
        raise XlfuncsError(_nothing(path, grids, index))
    for made in index.gauges + index.floats:
        made.table.path = str(path)
    listed = other or index.floats
    read = index.read if floats is None else [one for one in index.read if one.kind == "gauges"]
    lists = (*(read or _nearest(grids, index)), *(found[1].read if floats is not None else ()))
    doubts = _unread(grids) + [Doubt("file", "", "", note) for note in index.notes]
    skipped: Counter[str] = Counter()
    for made in (*index.gauges, *listed):
        doubts += made.doubts
        skipped += made.skipped
    return Book(
        path,
        opening.digest(path) if sheets is None else digest_of(grids),
        [made.table for made in index.gauges],
        [made.table for made in listed],
        doubts + reading.doubts(lists),
        dict(skipped),
        tuple(grid.sheet for grid in grids),
        any(grid.has_formulas for grid in grids),
        lists,
        added,
    )


def read_floats(path: Path, *, mapping: Mapped | None = None, correction: Path | None = None) -> list[Table]:
    """The float lists of a workbook that need not hold an index. XlfuncsError, one line, without one."""
    path = Path(path)
    grids, corrected, _ = _sheets(path)
    said = _Said(of_mapping(mapping), (*corrected, *_correction(correction)))
    [found] = _read([grids], said, path, gauges=False)
    if not found.floats:
        raise XlfuncsError(advice.no_floats(path, grids, found.instructions))
    for made in found.floats:
        made.table.path = str(path)
    return [made.table for made in found.floats]


# --- what a person has said -----------------------------------------------------------------------------


def _sheets(
    path: Path, meanwhile: Meanwhile | None = None, given: Sequence[Grid] | None = None
) -> tuple[list[Grid], list[SaidList], tuple[str, ...]]:
    """(the sheets of a workbook, what the sheet 'Reading' says, the names of what a report has added)."""
    grids = load_grid(path, meanwhile) if given is None else list(given)
    if not any(grid.values.size for grid in grids):
        raise XlfuncsError(f"{path} is empty: none of its {len(grids)} sheets holds a value")
    theirs = [grid for grid in grids if not own.is_own(grid)]
    if not theirs:
        raise XlfuncsError(
            f"{path} is a report of findings: audit the workbook that it is about; with --reading {path} what"
            " its sheet 'Reading' says is obeyed"
        )
    added = tuple(grid.sheet for grid in grids if own.is_own(grid))
    return theirs, own.corrections(grids, path) if added else [], added


def _correction(path: Path | None) -> list[SaidList]:
    """The lists of a READING.toml, or of the sheet 'Reading' of a workbook."""
    if path is None:
        return []
    if path.suffix.casefold() not in own.WORKBOOKS:
        return reading_file.read_toml(path)
    lists = own.corrections(load_grid(path), path)
    if not lists:
        raise XlfuncsError(
            f"{path}: has no sheet 'Reading' of an annotated copy; name that, or a READING.toml"
        )
    return [replace(one, origin=FILE) for one in lists]


# --- the lists ------------------------------------------------------------------------------------------


def _read(
    books: Sequence[Sequence[Grid]],
    said: _Said,
    path: Path,
    second: Path | None = None,
    gauges: bool = True,
) -> list[_Found]:
    """The lists of one or two workbooks, as a person has corrected them. `gauges`: indexes are wanted too."""
    names = [one.name for one in (path, second) if one is not None]
    if not said:
        return [_lists(grids, Instructions()) for grids in books]
    seen = [one for number, grids in enumerate(books) for one in _seen(number, grids)]
    if len(books) > 1:  # a second workbook's float list is used instead of the first one's
        seen = [one for one in seen if one.kind == ("floats" if one.book else "gauges")]
    listed = {(one.book, one.sheet) for one in seen}
    likely = [
        near.spot(number)
        for number, grids in enumerate(books)
        for grid in grids
        if (number, grid.sheet) not in listed
        and grid.values.size
        and (near := advice.near_of(grid)) is not None
    ]
    binder = Binder(books, names, seen, likely)
    for origin in (SHEET, FILE):
        KnownAgain(binder).read([one for one in said.lists if one.origin == origin])
    try:
        lost = binder.say(said.options)
    except XlfuncsError as error:
        raise XlfuncsError(f"{path}: {error}") from None
    out = [_lists(grids, binder.instructions(number)) for number, grids in enumerate(books)]
    used = {name for found in out for one in found.read for name in (column.field for column in one.columns)}
    for entry in lost:
        why = f"{entry.said}: {binder.why_not(entry)}"
        known = [one for one in seen if gauges or one.kind == "floats"]
        if said.strict and known and not (entry.origin == SETTINGS and entry.field in used):
            raise XlfuncsError(f"{path}: {why}")
        out[0].notes.append(why)
    out[0].notes += binder.missing
    for found in out:
        found.notes += _in_vain(found)
    return out


def _seen(book: int, grids: Sequence[Grid]) -> list[Seen]:
    """The lists that are found without a person's word."""
    out = []
    for grid in grids:
        if not grid.values.size:
            continue
        layouts = layout.find_layouts(grid, Instructions())
        out += [reading.seen(book, grid, each) for each in layouts]
        if not layouts and (made := vertical.read_vertical(grid, Instructions())) is not None:
            out.append(reading.seen_labels(book, grid.sheet, made))
    return out


def _in_vain(found: _Found) -> list[str]:
    """What was said of rows that make no list all the same."""
    rows = {(one.sheet, row) for one in found.read for row in one.headings}
    labels = {one.sheet for one in found.read if not one.headings}
    out = {}
    for entry in (one for said in found.instructions.bound.values() for one in said):
        if entry.sheet not in labels and not any((entry.sheet, row) in rows for row in entry.rows):
            out[entry.said] = (
                f"{entry.said}: under row {min(entry.rows)} of {entry.sheet!r} no list was found: name its"
                " column of tags (of part numbers, in a float list) and one of data as well"
            )
    return list(out.values())


def _lists(grids: Sequence[Grid], instructions: Instructions) -> _Found:
    """The indexes of gauges and the float lists of the sheets."""
    made: list[tables.Made] = []
    out = _Found(instructions=instructions)
    for grid in grids:
        if not grid.values.size:
            continue
        layouts = layout.find_layouts(grid, instructions)
        for each in layouts:
            made.append(tables.make(grid, each))
            out.read.append(reading.of_layout(grid, each, made[-1]))
        if not layouts and (one := vertical.read_vertical(grid, instructions)) is not None:
            made.append(one)
            out.read.append(reading.of_labels(grid.sheet, one))
    gauges = [one for one in made if one.table.kind == "gauges"]
    joining.attach_loops(gauges)
    out.gauges = joining.join_sheets([one for one in gauges if len(one.table) or one.skipped or one.doubts])
    out.floats = [one for one in made if one.table.kind == "floats" and len(one.table)]
    return out


def _of_floats(path: Path, grids: Sequence[Grid], found: _Found) -> list[tables.Made]:
    """The float lists of a second workbook, their sheets named as a reference to that workbook names them."""
    if not found.floats:
        raise XlfuncsError(advice.no_floats(path, grids, found.instructions))
    for made in found.floats:
        made.table.path = str(path)
    prefix = f"[{path.name}]"
    found.read = [reading.on_sheet(one, f"{prefix}{one.sheet}") for one in found.read if one.kind == "floats"]
    return [_elsewhere(made, prefix) for made in found.floats]


def _elsewhere(made: tables.Made, prefix: str) -> tables.Made:
    """A list of another workbook."""
    table = made.table

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


def _unread(grids: Sequence[Grid]) -> list[Doubt]:
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


def _nearest(grids: Sequence[Grid], found: _Found) -> list[ListRead]:
    """Where no list was found, the row that comes nearest: a file to correct has its headings."""
    near = None if found.gauges or found.floats else advice.nearest(grids)
    return [] if near is None else [reading.of_near(near)]


def _nothing(path: Path, grids: Sequence[Grid], found: _Found) -> str:
    """Why there is nothing to audit in a workbook, and what a person can say."""
    skipped: Counter[str] = Counter()
    for made in found.gauges:
        skipped += made.skipped
    if found.gauges:
        return advice.no_gauge(path, found.gauges, dict(skipped.most_common()))
    text = advice.no_list(path, grids, found.floats, found.instructions)
    notes = "; ".join(note for note in found.notes if " of row " not in note)
    return f"{text} ({notes})" if notes else text
