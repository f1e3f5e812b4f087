"""How a workbook was read: every list with its columns, for reports and as a file to correct and keep."""

from __future__ import annotations

import json
import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from textwrap import wrap
from typing import Any, Final, Literal, cast

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.advice import Near
from xlfuncs.lists.binding import Column, Seen
from xlfuncs.lists.evidence import profile
from xlfuncs.lists.guess import may_be
from xlfuncs.lists.instructions import (
    FILE,
    NONE,
    SaidColumn,
    SaidList,
    check_unit,
    no_field,
    option,
    usual_units,
)
from xlfuncs.lists.layout import Found, Layout, key_column
from xlfuncs.lists.model import Doubt, Recognised
from xlfuncs.lists.tables import Made, choices
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import POSSIBLE, Kind, fields, read_heading

OPEN: Final = "?"
"""Stands for the field of a column of which nobody has said yet what it is."""
NOT_USED: Final = ""
KINDS: Final[Mapping[Kind, str]] = {"gauges": "index of gauges", "floats": "float list"}
_STATED: Final = ("heading", "unit row", "said")
"""Where a unit stands that belongs to the whole column."""
_WIDTH: Final = 110


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
    could = _could_be(found, layout) if unknown else ()
    may: tuple[str, ...] = ()
    if unknown and not could:
        cells = profile(grid.values[layout.first : layout.last, found.index].tolist())
        may = may_be(found.heading, found.reading, cells, layout.columns, layout.kind)
    return ColumnRead(
        left.column, found.heading_cell, found.heading, "", sure=min(found.score, 1.0),
        runner_up=found.runner_up, runner_up_sure=found.runner_up_score, could_be=could, may_be=may,
        known_as=left.known_as, filled=left.filled,
    )  # fmt: skip


def _could_be(found: Found, layout: Layout) -> tuple[str, ...]:
    """The fields that a column in doubt may be; beside a single one the next best, for a person to choose."""
    names = [name for name in choices(found) if name not in layout.columns]
    if len(names) == 1 and found.reading is not None:
        quantity = fields()[names[0]].get("quantity")
        names += [
            meaning.field
            for meaning in found.reading.meanings
            if meaning.score >= POSSIBLE
            and meaning.field not in {*layout.columns, *names}
            and fields()[meaning.field].get("quantity") == quantity
        ][:1]
    return tuple(names)


def of_labels(sheet: str, made: Made) -> ListRead:
    """The list of a sheet of labels and values."""
    read = {found.field: found for found in made.table.recognised}
    untold = {name for doubt in made.doubts if doubt.kind == "unit" for name in doubt.fields}
    columns = [_label(found, read.get(found.field), found.field in untold) for found in made.labels]
    columns += [
        ColumnRead(
            left.heading_cell, left.heading_cell, left.heading, "", known_as=left.known_as, filled=left.filled
        )
        for left in made.table.unrecognised
    ]
    columns.sort(key=lambda column: split_address(column.cell)[::-1])
    return ListRead(sheet, made.table.kind, (), len(made.table), tuple(columns))


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
    last = int(grid.rows[min(layout.last, len(grid.rows)) - 1])
    columns = {
        found.index: Column(
            split_address(found.heading_cell)[1] if found.heading_cell else 0,
            int(grid.cols[found.index]),
            found.heading,
            found.field,
        )
        for found in (*layout.columns.values(), *layout.others)
    }
    for j, col in enumerate(grid.cols.tolist()):
        if j not in columns and (grid.values[layout.first : layout.last, j] != "").any():
            columns[j] = Column(0, col, "")
    key = key_column(layout)
    place = int(grid.cols[key]) if key is not None else 0
    return Seen(book, grid.sheet, layout.kind, rows, last, [columns[j] for j in sorted(columns)], place)


def seen_labels(book: int, sheet: str, made: Made) -> Seen:
    """A sheet of labels for `binding`."""
    columns = []
    for column in of_labels(sheet, made).columns:
        col, row = split_address(column.cell)
        columns.append(Column(row, col, column.heading, column.field))
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
    return replace(
        one,
        fields=(name,),
        options=(one.options[at], one.options[-1]),
        text=f"{one.text}; perhaps it is {label}",
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
    """The columns in doubt, as doubts of the reader."""
    return [
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


# --- a file to correct ------------------------------------------------------------------------------------


def to_toml(lists: Sequence[ListRead], workbook: str) -> str:
    """The reading as a file to correct, to keep and to give back with `--reading`."""
    lines = [*_explained(workbook, lists), ""]
    for number, one in enumerate(lists, 1):
        lines += ["", *_list(number, one)]
    return "\n".join(lines) + "\n"


def _explained(workbook: str, lists: Sequence[ListRead]) -> Iterator[str]:
    texts = _EXPLAINED.format(workbook=_comment(workbook)).split("\n")
    kinds = dict.fromkeys(one.kind for one in lists) or dict.fromkeys(KINDS)
    for kind in kinds:
        names = ", ".join(name for name, entry in fields().items() if kind in entry["tables"])
        texts += ["", f"Fields of {_A[kind]}: {names}."]
    texts += ["", "What each of them means: xlfuncs columns --fields"]
    for text in texts:
        yield from (f"# {line}" for line in wrap(text, _WIDTH - 2)) if text else ["#"]


_EXPLAINED: Final = """\
How xlfuncs has read {workbook}. Correct what is wrong, keep the file, and give it back, for this \
workbook or for the next ones of the same maker:  xlfuncs audit BOOK --reading THIS.toml

field: what the column is, a name of those below; "" = not used; "?" = nobody has said yet.
unit: the unit of its numbers; "" = as the sheet says, in its headings, in its cells or beside them.
A column is known again by its sheet and heading, else by its heading on any sheet, else by sheet and \
letter. A column of which there is no entry is read as if there were no file."""
_A: Final[Mapping[Kind, str]] = {"gauges": "an index of gauges", "floats": "a float list"}


def _list(number: int, one: ListRead) -> Iterator[str]:
    nearest = f"{one.sheet}: no list was found; these are the texts of what comes nearest to headings"
    yield f"# {number}. {_comment(one.line if one.found else nearest)}"
    yield "[[list]]"
    yield f"sheet = {_text(one.sheet)}"
    yield f"kind = {_text(one.kind)}  # {KINDS[one.kind]}"
    if one.headings:
        yield f"rows = [{', '.join(map(str, one.headings))}]  # of the headings"
    key = "column" if one.headings else "cell"
    yield "columns = ["
    cells = [
        (f"{key} = {_text(column.letter)},", f"heading = {_text(column.heading)},",
         f"field = {_text(column.said)},", f"unit = {_text(column.unit)} }},")
        for column in one.columns
        if column.filled or column.field or column.heading
    ]  # fmt: skip
    told = [_told(column) for column in one.columns if column.filled or column.field or column.heading]
    wide = [min(max(map(len, texts), default=0), 48) for texts in zip(*cells, strict=True)] if cells else []
    for texts, comment in zip(cells, told, strict=True):
        line = "  { " + " ".join(text.ljust(width) for text, width in zip(texts, wide, strict=True)).rstrip()
        yield f"{line}  # {comment}" if comment else line
    yield "]"


def _told(column: ColumnRead) -> str:
    """How sure a column is, the runner-up, and what is in doubt."""
    parts = []
    if column.field:
        parts.append(f"{column.sure:.0%}")
        if column.runner_up:
            parts.append(f"next: {column.runner_up} {column.runner_up_sure:.0%}")
    elif column.could_be:
        parts.append(f'IN DOUBT: {" or ".join(column.could_be)}, or "" for neither')
    elif column.unknown:
        near = f"; nearest: {column.runner_up} {column.runner_up_sure:.0%}" if column.runner_up else ""
        parts.append(f'not understood: write its field, or ""{near}')
    elif column.known_as:
        parts.append(f"of no use: {column.known_as}")
    elif not column.filled:
        parts.append("no data")
    if column.misfit:
        parts.append(f"UNIT: {column.misfit!r} is none of this field, so its numbers are not used")
    if column.unit_told:
        parts.append(f"unit: {column.unit_told}")
    return _comment("; ".join(parts))


def _text(text: str) -> str:
    """A basic string of TOML; JSON's escapes are TOML's."""
    return json.dumps(text.encode("utf-8", "replace").decode(), ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(text: str) -> str:
    return re.sub(r"[\x00-\x08\x0a-\x1f\x7f]+", " ", text.encode("utf-8", "replace").decode())


# --- a file that was corrected ------------------------------------------------------------------------------


def read_toml(path: Path) -> list[SaidList]:
    """The lists of a READING.toml. XlfuncsError names the file, the entry and what to write."""
    content = _parsed(path)
    known = {"list"}
    for name in content.keys() - known:
        raise XlfuncsError(f"{path}: {name!r} is not known here; a reading holds [[list]] tables only")
    lists = content.get("list", [])
    if not isinstance(lists, list) or not lists or not all(isinstance(one, dict) for one in lists):
        raise XlfuncsError(
            f"{path}: holds no [[list]]; 'xlfuncs columns BOOK -o {path.name}' writes such a file"
        )
    return [_said_list(path, number, one) for number, one in enumerate(lists, 1)]


def _parsed(path: Path) -> dict[str, Any]:
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise XlfuncsError(
            f"{path}: there is no such file; 'xlfuncs columns BOOK -o {path}' writes it"
        ) from None
    except OSError as why:
        raise XlfuncsError(f"{path}: cannot be read: {why.strerror or why}") from None
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        raise XlfuncsError(f"{path}: is no text in UTF-8; save it as such") from None
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as why:
        raise XlfuncsError(f"{path}: {_where(str(why), text)}") from None


def _where(why: str, text: str) -> str:
    """What is wrong with a TOML file, with the line."""
    found = re.search(r"\(at line (\d+), column \d+\)", why)
    reason = re.sub(r"\s*\(at .*\)", "", why)
    if not found:
        return f"is not valid TOML: {reason}: look for a bracket or a quote that is not closed"
    line = text.split("\n")[int(found[1]) - 1].strip()
    return (
        f"line {found[1]} is not valid TOML ({reason}): {line[:80]!r}; texts stand between double quotes,"
        " a comma after each entry"
    )


_KEYS: Final = {"sheet", "kind", "rows", "columns"}
_COLUMN_KEYS: Final = {"column", "cell", "heading", "field", "unit"}


def _said_list(path: Path, number: int, one: Mapping[str, Any]) -> SaidList:
    sheet, kind, columns = one.get("sheet", ""), one.get("kind", ""), one.get("columns", [])
    said = f"{path}: list {number}" + (f" ({sheet!r})" if isinstance(sheet, str) and sheet else "")
    if unknown := sorted(one.keys() - _KEYS):
        raise XlfuncsError(f"{said}: {unknown[0]!r} is not known; write sheet, kind, rows and columns")
    if not isinstance(sheet, str):
        raise XlfuncsError(f'{said}: write the name of the sheet between quotes: sheet = "Index"')
    if kind not in KINDS:
        raise XlfuncsError(
            f'{said}: kind is {kind!r}; write "gauges" for an index, or "floats" for a float list'
        )
    if not isinstance(columns, list) or not all(isinstance(column, dict) for column in columns):
        raise XlfuncsError(
            f'{said}: write columns as a list of entries {{ column = "H", heading = "SG", ... }}'
        )
    made = tuple(_said_column(said, cast(Kind, kind), column) for column in columns)
    check_once(made)
    return SaidList(sheet, cast(Kind, kind), made, FILE, said)


def _said_column(said: str, kind: Kind, entry: Mapping[str, Any]) -> SaidColumn:
    texts = {name: entry.get(name, "") for name in _COLUMN_KEYS}
    place = texts["column"] or texts["cell"]
    what = f"{said}, {'cell' if texts['cell'] else 'column'} {place}" + (
        f" {texts['heading']!r}" if texts["heading"] else ""
    )
    if unknown := sorted(entry.keys() - _COLUMN_KEYS):
        raise XlfuncsError(f"{what}: {unknown[0]!r} is not known; write {', '.join(sorted(_COLUMN_KEYS))}")
    if wrong := next((name for name, text in texts.items() if not isinstance(text, str)), ""):
        raise XlfuncsError(f"{what}: {wrong} is {texts[wrong]!r}; write it between double quotes")
    if not place and not texts["heading"]:
        raise XlfuncsError(f'{said}: an entry names no column; write column = "H" or heading = "..."')
    if "field" not in entry:
        raise XlfuncsError(f'{what}: write its field, "" for a column that is not used, or "?"')
    field = texts["field"].strip()
    check_field(field, kind, what)
    unit = texts["unit"].strip()
    if unit and field and field != OPEN:
        check_unit(field, unit, what)
    return SaidColumn(place.strip().upper(), texts["heading"], None if field == OPEN else field, unit, what)


def check_field(field: str, kind: Kind, what: str) -> None:
    """XlfuncsError for what is no field of a kind of list."""
    if field in (NOT_USED, OPEN):
        return
    if field not in fields():
        raise XlfuncsError(f'{what}: {no_field(field)}; "" = not used, "?" = not known')
    if kind not in fields()[field]["tables"]:
        raise XlfuncsError(
            f"{what}: {field} is no field of {_A[kind]}; 'xlfuncs columns --fields' lists those"
        )


def check_once(columns: Sequence[SaidColumn]) -> None:
    """XlfuncsError where two columns of a list are said to be one field."""
    count = Counter(column.field for column in columns if column.field)
    for name, times in count.items():
        if times > 1:
            first, second = [column for column in columns if column.field == name][:2]
            raise XlfuncsError(
                f"{second.said}: {name} is already column {first.letter} {first.heading!r}: a list has one;"
                f' write "" for the other'
            )
