"""Reads a workbook: finds the index of gauges and the float lists in it, whatever their layout."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import zip_longest
from pathlib import Path

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import (
    accounts,
    advice,
    companions,
    joining,
    layout,
    own,
    reading,
    reading_file,
    shapes,
    tables,
)
from xlfuncs.lists.accounts import SheetRows
from xlfuncs.lists.binding import Binder, Seen
from xlfuncs.lists.found import Layout
from xlfuncs.lists.instructions import (
    FILE,
    SETTINGS,
    SHEET,
    Instruction,
    Instructions,
    Mapped,
    SaidList,
    SaidShape,
    of_mapping,
)
from xlfuncs.lists.known_again import KnownAgain
from xlfuncs.lists.legend import Legend, legends
from xlfuncs.lists.model import Book, Differences, Doubt, Table
from xlfuncs.lists.notes import settle_pressures
from xlfuncs.lists.pieces import pieces
from xlfuncs.lists.reading import ListRead
from xlfuncs.lists.remarked import settle_action
from xlfuncs.spreadsheet import opening
from xlfuncs.spreadsheet.compiled import Meanwhile
from xlfuncs.spreadsheet.grid import Grid, digest_of
from xlfuncs.vocabulary.words import fold

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
    differences: Differences = field(default_factory=Differences)
    rows: list[SheetRows] = field(default_factory=list)
    unused: list[Grid] = field(default_factory=list)
    """Sheets of which nothing was read."""


def read_book(
    path: Path,
    *,
    mapping: Mapped | None = None,
    columns: Mapped | None = None,
    correction: Path | None = None,
    floats: Path | None = None,
    others: Sequence[Path] = (),
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
    `floats`: a second workbook whose float list is used instead of the first one's; `others`: more workbooks
    that speak of the same gauges.
    `need_index`: False gives a workbook without an index too; `strict`: False takes no offence at what was
    said of columns that there are not.
    `meanwhile`: what to do besides while a long workbook is read.
    `sheets`, `float_sheets`: what stands in the workbooks, where they are no files.
    XlfuncsError, one line, where there is nothing to audit.
    """
    path = Path(path)
    grids, corrected, added = _sheets(path, meanwhile, sheets)
    more = [*([Path(floats)] if floats is not None else []), *map(Path, others)]
    for other_file in map(Path, others):
        if other_file.resolve() == path.resolve():
            raise XlfuncsError(f"--with {other_file}: names the workbook that is audited; name another one")
    given = [float_sheets] if floats is not None else []
    books = [grids, *(_sheets(one, given=there)[0] for one, there in zip_longest(more, given))]
    said = _Said(
        (*of_mapping(columns, SETTINGS), *of_mapping(mapping)), (*corrected, *_correction(correction)), strict
    )
    found = _read(books, said, [path, *more], floats is not None)
    for one, sheets_of in zip(found, books, strict=True):
        settle_pressures((made.table for made in (*one.gauges, *one.floats)), sheets_of)
    index, theirs = found[0], found[1:]
    other = _of_floats(Path(floats), books[1], theirs[0]) if floats is not None else []
    for one, file in zip(theirs, more, strict=True):
        _name(one, file)
    joined = theirs[len(other) > 0 :]
    _join(index, joined)
    if not any(len(made.table) for made in index.gauges) and need_index:
        raise XlfuncsError(_nothing(path, grids, index))
    for made in index.gauges + index.floats:
        made.table.path = str(path)
    for made in index.gauges:
        settle_action(made.table)
    listed = [*(other or index.floats), *(made for one in joined for made in one.floats)]
    read = index.read if floats is None else [one for one in index.read if one.kind == "gauges"]
    lists = (*(read or _nearest(grids, index)), *(each for one in theirs for each in one.read))
    doubts = (
        [doubt for one in found for doubt in _not_used(one)]
        + _unread(grids)
        + [Doubt("file", "", "", note) for note in index.notes]
    )
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
        index.differences,
        tuple(row for one in found for row in one.rows),
        added,
    )


def read_floats(path: Path, *, mapping: Mapped | None = None, correction: Path | None = None) -> list[Table]:
    """The float lists of a workbook that need not hold an index. XlfuncsError, one line, without one."""
    path = Path(path)
    grids, corrected, _ = _sheets(path)
    said = _Said(of_mapping(mapping), (*corrected, *_correction(correction)))
    [found] = _read([grids], said, [path], gauges=False)
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
    paths: Sequence[Path],
    floats: bool = False,
    gauges: bool = True,
) -> list[_Found]:
    """The lists of workbooks, as a person has corrected them. `floats`: the second one's float list counts
    instead of the first one's; `gauges`: indexes are wanted too."""
    path, names = paths[0], [one.name for one in paths]
    if not said:
        return _every(books, [Instructions()] * len(books))
    shaped = _shapes_said(books, names, said.lists)
    seen = [one for number, grids in enumerate(books) for one in _seen(number, grids, shaped[number])]
    if floats:
        seen = [one for one in seen if one.book > 1 or one.kind == ("floats" if one.book else "gauges")]
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
    out = _every(
        books, [replace(binder.instructions(number), shapes=each) for number, each in enumerate(shaped)]
    )
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


def _shapes_said(
    books: Sequence[Sequence[Grid]], names: Sequence[str], lists: Sequence[SaidList]
) -> list[dict[str, tuple[SaidShape, ...]]]:
    """Of each workbook: sheet -> how it is to be read, as a person said; what stands nearer counts first."""
    out: list[dict[str, tuple[SaidShape, ...]]] = [{} for _ in books]
    sheets = Binder(books, names, ())
    for origin in (FILE, SHEET):
        for one in lists:
            if one.shape and one.origin == origin:
                for book, sheet in sheets.sheets(one.sheet):
                    out[book][sheet] = (*out[book].get(sheet, ()), SaidShape(one.shape, one.said))
    return out


def _seen(book: int, grids: Sequence[Grid], said: Mapping[str, tuple[SaidShape, ...]]) -> list[Seen]:
    """The lists that are found without a person's word about their columns."""
    known, alone = legends(grids), Instructions(shapes=said)
    return [one.seen(book) for grid in grids if grid.values.size for one in _of_sheet(grid, alone, known)]


@dataclass(slots=True)
class _One:
    """A list of a sheet, whatever its shape."""

    made: tables.Made
    read: ListRead
    seen: Callable[[int], Seen]
    legend: str = ""
    """The sheet that explains its names."""


def _of_sheet(
    grid: Grid,
    instructions: Instructions,
    known: Sequence[Legend] = (),
    alike: dict[shapes.Labels, shapes.Choice] | None = None,
) -> list[_One]:
    """The lists of a sheet. `alike`: how sheets with the same labels were read."""
    parts = pieces(grid, instructions)
    return [one for part in parts for one in _of_part(part, instructions, known, len(parts) > 1, alike)]


def _of_part(
    grid: Grid,
    instructions: Instructions,
    known: Sequence[Legend],
    beside: bool,
    alike: dict[shapes.Labels, shapes.Choice] | None,
) -> list[_One]:
    """The lists of a part of a sheet that has none beside it."""
    layouts = layout.find_layouts(grid, instructions)
    plain = [tables.make(grid, each) for each in layouts]
    choice = shapes.choose(grid, layouts, plain, instructions, known, beside, alike)
    if choice.shaped is not None:
        made = choice.shaped.made
        read = reading.of_shape(grid.sheet, choice.shaped)
        seen = partial(_labels_seen, grid.sheet, made)
        lists = [_One(made, read, seen, choice.shaped.records.legend)]
    else:
        lists = [
            _One(made, reading.of_layout(grid, each, made), partial(_list_seen, grid, each))
            for each, made in zip(layouts, plain, strict=True)
        ]
    for one in lists:
        one.read = replace(one.read, others=choice.others, question=choice.question)
        choice.question = ""  # once for the sheet
    return lists


def _labels_seen(sheet: str, made: tables.Made, book: int) -> Seen:
    return reading.seen_labels(book, sheet, made)


def _list_seen(grid: Grid, each: Layout, book: int) -> Seen:
    return reading.seen(book, grid, each)


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


def _every(books: Sequence[Sequence[Grid]], instructions: Sequence[Instructions]) -> list[_Found]:
    """The lists of each workbook; the first one's last, when the part numbers of the others are known."""
    others = [_lists(grids, said) for grids, said in zip(books[1:], instructions[1:], strict=True)]
    parts = _parts(made for one in others for made in one.floats)
    return [_lists(books[0], replace(instructions[0], parts=parts)), *others]


def _lists(grids: Sequence[Grid], instructions: Instructions) -> _Found:
    """The indexes of gauges and the float lists of the sheets."""
    made: list[tables.Made] = []
    out = _Found(instructions=instructions)
    known = legends(grids)
    by_sheet: list[tuple[Grid, list[tables.Made]]] = []
    alike: dict[shapes.Labels, shapes.Choice] | None = {} if len(grids) > 1 else None
    read = [_of_sheet(grid, instructions, known, alike) if grid.values.size else [] for grid in grids]
    parts = _parts(one.made for mine in read for one in mine)
    if parts - instructions.parts:
        knowing = replace(instructions, parts=parts | instructions.parts)
        read = [
            _of_sheet(grid, knowing, known) if _lacks_parts(mine) else mine
            for grid, mine in zip(grids, read, strict=True)
        ]
    explaining = {one.legend for mine in read for one in mine} - {""}
    read = [
        [] if grid.sheet in explaining else mine for grid, mine in zip(grids, read, strict=True)
    ]  # what explains names is no list
    for grid, mine in zip(grids, read, strict=True):
        made += [one.made for one in mine]
        out.read += [one.read for one in mine]
        by_sheet.append((grid, [one.made for one in mine]))
    out.gauges = [one for one in made if one.table.kind == "gauges"]
    out.floats = [one for one in made if one.table.kind == "floats" and len(one.table)]
    out.rows = [accounts.of_sheet(grid, lists, explaining) for grid, lists in by_sheet if grid.values.size]
    out.unused = [grid for grid, lists in by_sheet if not lists and grid.sheet not in explaining]
    return out


def _parts(made: Iterable[tables.Made]) -> frozenset[str]:
    """The part numbers of float lists."""
    floats = [one.table.columns for one in made if one.table.kind == "floats"]
    columns = [one["float_part"] for one in floats if "float_part" in one]
    return frozenset(fold(str(text)) for column in columns for text in column.text.tolist() if text)


def _lacks_parts(mine: Sequence[_One]) -> bool:
    """Whether a sheet has an index that names no float."""
    return any(
        one.made.table.kind == "gauges" and len(one.made.table) and "float_part" not in one.made.table.columns
        for one in mine
    )


def _join(index: _Found, others: Sequence[_Found]) -> None:
    """Bring together what several lists, sheets and files say of one gauge."""
    for one in (index, *others):
        moved = [made for made in one.floats if joining.is_by_gauge(made, index.gauges)]
        one.floats = [made for made in one.floats if made not in moved]
        for made in moved:
            made.table.kind = "gauges"
        one.gauges += moved
    gauges = [made for one in (index, *others) for made in one.gauges]
    joining.attach_loops(gauges)
    index.gauges, index.differences = joining.join_sheets(
        [one for one in gauges if len(one.table) or one.skipped or one.doubts]
    )


def _name(found: _Found, path: Path) -> None:
    """Name the sheets of another workbook as a reference to it does."""
    prefix = companions.prefix_of(path)
    for made in (*found.gauges, *found.floats):
        companions.named(made, prefix).table.path = str(path)
    found.read = companions.read_named(found.read, prefix)
    found.rows = companions.rows_named(found.rows, prefix)


def _of_floats(path: Path, grids: Sequence[Grid], found: _Found) -> list[tables.Made]:
    """The float lists of a second workbook."""
    if not found.floats:
        raise XlfuncsError(advice.no_floats(path, grids, found.instructions))
    found.read = [one for one in found.read if one.kind == "floats"]
    return found.floats


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


def _not_used(found: _Found) -> list[Doubt]:
    """Sheets with float data of which nothing was read."""
    out = []
    for grid in found.unused:
        named = accounts.float_headings(grid) if grid.values.size else []
        if named:
            shown = ", ".join(f"{cell} {text[:40]!r}" for cell, text in named[:4])
            hint = "'xlfuncs columns BOOK -o READING.toml' writes a file to say what its cells are"
            out.append(
                Doubt(
                    "sheet", grid.sheet, named[0][0], f"holds float data ({shown}) and was not used; {hint}"
                )
            )
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
