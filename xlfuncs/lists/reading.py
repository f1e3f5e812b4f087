"""How a workbook was read: every list with its columns, and what a person has to say of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from xlfuncs.lists.advice import Near
from xlfuncs.lists.binding import Column, Seen
from xlfuncs.lists.evidence import profile
from xlfuncs.lists.found import Found, Layout, key_column
from xlfuncs.lists.guess import may_be
from xlfuncs.lists.instructions import NONE, option, usual_units
from xlfuncs.lists.model import Doubt, Recognised
from xlfuncs.lists.shapes import LISTS
from xlfuncs.lists.tables import Made, choices
from xlfuncs.lists.upright import Shaped
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import POSSIBLE, Kind, fields, read_heading

OPEN: Final = "?"
"""Stands for the field of a column of which nobody has said yet what it is."""
NOT_USED: Final = ""
KINDS: Final[Mapping[Kind, str]] = {"gauges": "index of gauges", "floats": "float list"}
_STATED: Final = ("heading", "unit row", "said")
"""Where a unit stands that belongs to the whole column."""


@dataclass(frozen=True, slots=True)
class ColumnRead:
    """A column of a list (or a label), and what it was taken for."""

    letter: str
    """Of a label, its cell."""
    cell: str
    """That of the heading; "" without one."""
    heading: str
    field: str
    """"" if it was taken for nothing."""
    unit: str = ""
    """That the whole column states."""
    unit_told: str = ""
    """The unit that the cells or their neighbours tell, and how."""
    misfit: str = ""
    """A stated unit that the field cannot have."""
    sure: float = 1.0
    runner_up: str = ""
    runner_up_sure: float = 0.0
    could_be: tuple[str, ...] = ()
    """Fields that it may be; it was taken for none of them, and a person has to say."""
    may_be: tuple[str, ...] = ()
    """Of a column that was not understood: fields that its heading or its cells do not rule out."""
    known_as: str = ""
    """What it is, where the audit has no use for it."""
    filled: bool = True
    untold: bool = False
    """Whether its numbers cannot be used, for their unit stands nowhere."""

    @property
    def doubtful(self) -> bool:
        return bool(self.could_be)

    @property
    def unknown(self) -> bool:
        """Whether nobody knows what its data are."""
        return self.filled and not (self.field or self.could_be or self.known_as)

    @property
    def said(self) -> str:
        """Its field as a file to correct has it."""
        if self.field:
            return self.field
        return OPEN if self.doubtful or self.unknown else NOT_USED


@dataclass(frozen=True, slots=True)
class ListRead:
    """A list of a workbook, as it was read."""

    sheet: str
    kind: Kind
    headings: tuple[int, ...]
    """Spreadsheet rows of the headings; none on a sheet of labels."""
    records: int
    """Gauges or floats that were read of it."""
    columns: tuple[ColumnRead, ...]
    found: bool = True
    """False for a row that merely comes nearest to a row of headings."""
    shape: str = ""
    """What it is, where it is no plain list."""
    others: tuple[str, ...] = ()
    """The shapes that its sheet could be read in too."""
    question: str = ""
    """The one of them that a person has to decide against."""

    @property
    def layout(self) -> str:
        """The shape in words, of a plain list as well."""
        return self.shape or LISTS

    @property
    def used(self) -> int:
        return sum(bool(column.field) for column in self.columns)

    @property
    def filled(self) -> int:
        """Columns with data."""
        return sum(column.filled or bool(column.field) for column in self.columns)

    @property
    def line(self) -> str:
        """How it was read, in one line."""
        what = {"gauges": "row", "floats": "float"}[self.kind]
        count = f"{self.records:,} {what}{'' if self.records == 1 else 's'}"
        if self.shape:
            return f"{self.sheet}: {count} of {self.shape}, {self.used} of {self.filled} properties used"
        if not self.headings:
            return f"{self.sheet}: {count} beside labels, {self.used} of {self.filled} labels used"
        first, last = self.headings[0], self.headings[-1]
        rows = f"row {first}" if first == last else f"rows {first} to {last}"
        return f"{self.sheet}: {count} under headings in {rows}, {self.used} of {self.filled} columns used"


# --- what was read --------------------------------------------------------------------------------------


def of_layout(grid: Grid, layout: Layout, made: Made) -> ListRead:
    """The list of a layout, and the table that was made of it."""
    read = {found.field: found for found in made.table.recognised}
    untold = {name for doubt in made.doubts if doubt.kind == "unit" for name in doubt.fields}
    columns = [
        (found.index, _taken(grid, found, read.get(name), layout.units_beside.get(name), name in untold))
        for name, found in layout.columns.items()
    ]
    for found, left in zip(layout.others, made.table.unrecognised, strict=True):
        columns.append((found.index, _left(grid, found, left, layout)))
    columns.sort(key=lambda entry: entry[0])
    rows = tuple(int(grid.rows[i]) for i in layout.headings)
    return ListRead(grid.sheet, layout.kind, rows, len(made.table), tuple(column for _, column in columns))


def _taken(grid: Grid, found: Found, read: Recognised | None, beside: int | None, untold: bool) -> ColumnRead:
    told = _told_unit(read) if not found.unit else ""
    if beside is not None:
        told = f"in column {column_letter(int(grid.cols[beside]))}, for each value"
    letter = column_letter(int(grid.cols[found.index]))
    return ColumnRead(
        letter, found.heading_cell, found.heading, found.field, found.unit, told, found.misfit,
        min(found.score, 1.0), found.runner_up, found.runner_up_score, untold=untold,
    )  # fmt: skip


_HOW: Final = {"cells": "told by its cells", "assumed": "assumed"}


def _left(grid: Grid, found: Found, left: Recognised, layout: Layout) -> ColumnRead:
    unknown = left.filled and not left.known_as
    could = _could_be(found, layout.columns) if unknown else ()
    may: tuple[str, ...] = ()
    if unknown and not could:
        cells = profile(grid.values[layout.first : layout.last, found.index].tolist())
        may = may_be(found.heading, found.reading, cells, layout.columns, layout.kind)
    return ColumnRead(
        left.column, found.heading_cell, found.heading, "", sure=min(found.score, 1.0),
        runner_up=found.runner_up, runner_up_sure=found.runner_up_score, could_be=could, may_be=may,
        known_as=left.known_as, filled=left.filled,
    )  # fmt: skip


def _could_be(found: Found, taken: Collection[str]) -> tuple[str, ...]:
    """The fields that a column in doubt may be; beside a single one the next best, for a person to choose."""
    names = [name for name in choices(found) if name not in taken]
    if len(names) == 1 and found.reading is not None:
        quantity = fields()[names[0]].get("quantity")
        names += [
            meaning.field
            for meaning in found.reading.meanings
            if meaning.score >= POSSIBLE
            and meaning.field not in {*taken, *names}
            and fields()[meaning.field].get("quantity") == quantity
        ][:1]
    return tuple(names)


def of_shape(sheet: str, shaped: Shaped) -> ListRead:
    """The list of a sheet of another shape; each property is known by the cell that names it."""
    made = shaped.made
    read = {found.field: found for found in made.table.recognised}
    untold = {name for doubt in made.doubts if doubt.kind == "unit" for name in doubt.fields}
    columns = [_label(found, read.get(found.field), found.field in untold) for found in made.labels]
    for found, left in zip(shaped.others, made.table.unrecognised, strict=True):
        unknown = left.filled and not left.known_as
        could = _could_be(found, shaped.columns) if unknown else ()
        may: tuple[str, ...] = ()
        if unknown and not could:
            cells = shaped.profiles.profile(0, found.index)
            may = may_be(found.heading, found.reading, cells, shaped.columns, made.table.kind)
        columns.append(
            ColumnRead(
                found.heading_cell,
                found.heading_cell,
                found.heading,
                "",
                sure=min(found.score, 1.0),
                runner_up=found.runner_up,
                runner_up_sure=found.runner_up_score,
                could_be=could,
                may_be=may,
                known_as=left.known_as,
                filled=left.filled,
            )
        )
    once = {(column.cell, column.field): column for column in columns}
    columns = sorted(once.values(), key=lambda column: split_address(column.cell)[::-1])
    return ListRead(sheet, made.table.kind, (), _gauges(made), tuple(columns), shape=shaped.records.shape)


def _gauges(made: Made) -> int:
    """How many gauges a list has, each with all its cases."""
    tag = made.table.columns.get("tag")
    if not made.table.cases or tag is None:
        return len(made.table)
    return len(set(zip(tag.text.tolist(), tag.row.tolist(), tag.col.tolist(), strict=True)))


def _label(found: Found, read: Recognised | None, untold: bool) -> ColumnRead:
    told = _told_unit(read) if not found.unit else ""
    return ColumnRead(
        found.heading_cell, found.heading_cell, found.heading, found.field, found.unit, told, "",
        min(found.score, 1.0), found.runner_up, found.runner_up_score, untold=untold,
    )  # fmt: skip


def _told_unit(read: Recognised | None) -> str:
    """The unit that the cells tell, and how."""
    if read is None or not read.unit or read.unit_source in _STATED:
        return ""
    return f"{read.unit}, {_HOW.get(read.unit_source, read.unit_source)}"


def of_near(near: Near) -> ListRead:
    """A row that merely comes nearest to one of headings, or labels: a person has to say what each is."""
    grid = near.grid
    columns = []
    for cell in near.cells:
        letter = cell.cell if near.labels else column_letter(int(grid.cols[cell.index]))
        best = next(iter(read_heading(cell.text).meanings), None)
        field, sure = (
            (best.field, min(best.score, 1.0)) if best is not None and best.score >= POSSIBLE else ("", 0.0)
        )
        columns.append(
            ColumnRead(
                letter,
                cell.cell,
                cell.text,
                "",
                runner_up=field,
                runner_up_sure=sure,
                filled=bool(cell.values.filled),
            )
        )
    rows = () if near.labels else (int(grid.rows[near.row]),)
    return ListRead(grid.sheet, "gauges", rows, 0, tuple(columns), found=False)


def on_sheet(one: ListRead, sheet: str) -> ListRead:
    """The same list, its sheet named otherwise."""
    return replace(one, sheet=sheet)


def seen(book: int, grid: Grid, layout: Layout) -> Seen:
    """A list for `binding`, with its columns that have data and no heading."""
    rows = tuple(int(grid.rows[i]) for i in layout.headings)
    last = int(grid.rows[layout.last - 1])
    columns: dict[int, list[Column]] = {}
    for found in (*layout.columns.values(), *layout.others):
        row = split_address(found.heading_cell)[1] if found.heading_cell else 0
        one = Column(row, int(grid.cols[found.index]), found.heading, found.field)
        columns.setdefault(found.index, []).append(one)
    for j, col in enumerate(grid.cols.tolist()):
        if j not in columns and (grid.values[layout.first : layout.last, j] != "").any():
            columns[j] = [Column(0, col, "")]
    key = key_column(layout)
    place = int(grid.cols[key]) if key is not None else 0
    every = [one for j in sorted(columns) for one in columns[j]]
    return Seen(book, grid.sheet, layout.kind, rows, last, every, place)


def seen_labels(book: int, sheet: str, made: Made) -> Seen:
    """A sheet of labels for `binding`."""
    labels = [(found.heading_cell, found.heading, found.field) for found in made.labels]
    labels += [(left.heading_cell, left.heading, "") for left in made.table.unrecognised]
    columns = []
    for cell, heading, field in labels:
        col, row = split_address(cell)
        columns.append(Column(row, col, heading, field))
    columns.sort(key=lambda column: (column.row, column.col))
    return Seen(book, sheet, made.table.kind, (), 0, columns)


# --- what is open -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class OpenColumn:
    """A column that a person has to say something of, and the options that settle it."""

    sheet: str
    kind: Kind
    column: str
    """Letter; of a label, its cell."""
    cell: str
    """That of the heading; "" without one."""
    heading: str
    fields: tuple[str, ...]
    """That it may be; where its unit is open, that it is."""
    options: tuple[str, ...]
    """The first of them says the likeliest."""
    text: str
    """What is open, in one line."""
    what: Literal["doubt", "unit", "unread"] = "doubt"
    """What is open: which of several fields it is, its unit, or all."""


def open_columns(lists: Sequence[ListRead]) -> list[OpenColumn]:
    """The columns in doubt, those whose unit is, and those that were not understood."""
    out = []
    used = {column.field for one in lists for column in one.columns}
    for one in lists:
        for column in one.columns if one.records else ():
            if column.could_be:
                out.append(_in_doubt(lists, one, column))
            elif column.field and (column.untold or column.misfit):
                out.append(_without_unit(lists, one, column))
            elif column.unknown and (names := [name for name in column.may_be if name not in used]):
                out.append(_not_understood(lists, one, column, names))
    return out


def _not_understood(
    lists: Sequence[ListRead], one: ListRead, column: ColumnRead, names: Sequence[str]
) -> OpenColumn:
    where = place_of(lists, one, column)
    options = tuple(option(name, where) for name in (*names, NONE))
    text = f"'{column.heading}' was not understood"
    return replace(_open(one, column, tuple(names), options, text), what="unread")


def narrowed(one: OpenColumn, name: str) -> OpenColumn:
    """A column that was not understood, with the field that it is likeliest to be."""
    at = one.fields.index(name)
    label = fields()[name]["label"]
    named = any(meaning.field == name for meaning in read_heading(one.heading).meanings)
    guess = f"perhaps it is {label}" if named else f"by its cells alone it could be {label}"
    return replace(
        one, fields=(name,), options=(one.options[at], one.options[-1]), text=f"{one.text}; {guess}"
    )


def _in_doubt(lists: Sequence[ListRead], one: ListRead, column: ColumnRead) -> OpenColumn:
    where = place_of(lists, one, column)
    labels = " or ".join(fields()[name]["label"] for name in column.could_be)
    options = tuple(option(name, where) for name in (*column.could_be, NONE))
    text = f"'{column.heading}' could be {labels}: it was not used"
    return _open(one, column, column.could_be, options, text)


def _without_unit(lists: Sequence[ListRead], one: ListRead, column: ColumnRead) -> OpenColumn:
    where = place_of(lists, one, column)
    label = fields()[column.field]["label"]
    why = f"'{column.misfit}' is no unit of it" if column.misfit else "their unit stands nowhere"
    options = tuple(option(column.field, f"{where} [{unit}]") for unit in usual_units(column.field))
    text = f"'{column.heading}' ({label}): its numbers cannot be used, {why}"
    return replace(_open(one, column, (column.field,), options, text), what="unit")


def _open(
    one: ListRead, column: ColumnRead, names: tuple[str, ...], options: tuple[str, ...], text: str
) -> OpenColumn:
    return OpenColumn(one.sheet, one.kind, column.letter, column.cell, column.heading, names, options, text)


def place_of(lists: Sequence[ListRead], one: ListRead, column: ColumnRead) -> str:
    """How an option names a column: by its letter alone where there is one list, else with sheet and row."""
    if not one.headings:
        return f"{one.sheet}:{column.letter}"
    row = one.headings[0]
    taken = any(
        other.heading.casefold() == column.letter.casefold() for each in lists for other in each.columns
    )
    if taken or sum(other.sheet == one.sheet for other in lists) > 1:
        return f"{one.sheet}:{column.letter}{row}"
    return column.letter if len(lists) == 1 else f"{one.sheet}:{column.letter}"


def doubts(lists: Sequence[ListRead]) -> list[Doubt]:
    """The shapes and the columns in doubt, as doubts of the reader."""
    return [
        Doubt(
            "sheet",
            one.sheet,
            "",
            f"is read as {one.layout}, and could be read as {one.question}, in which its cells mean"
            " something else: say which on the sheet 'Reading' of the annotated copy, or as its shape in a"
            " READING.toml",
        )
        for one in lists
        if one.question
    ] + [
        Doubt(
            "heading",
            one.sheet,
            one.cell,
            f"{one.text}; say which with {' or '.join(one.options)}",
            one.fields,
        )
        for one in open_columns(lists)
        if one.what == "doubt"
    ]
