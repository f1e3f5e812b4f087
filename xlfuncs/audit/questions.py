"""Questions that went to a contractor, and the answers that came back: each with its place, who and when.

A question has a key, by which its answer is told again: what is asked, of which gauge, column or finding. The
workbook of `report.request` holds them; `read_answers` reads it when it is back, and refuses it where nobody
can tell which answer belongs to which question. `answered` puts values into the gauges that lack them;
nothing that a list states is overruled. What is no clear answer is told by its cell and not used; the others
are.
`note` writes the answers about findings beside them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.days import day_of
from xlfuncs.audit.gauges import first_given
from xlfuncs.audit.model import AuditResult, Finding
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import own
from xlfuncs.lists.columns import Cells, quantity_column, text_column, times_density
from xlfuncs.lists.instructions import NONE
from xlfuncs.lists.model import Book, Column, Doubt, State, Table
from xlfuncs.lists.reader import load_grid
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid

QUESTIONS: Final = "Questions"
REQUEST: Final = "Data request"
ANSWER: Final = "Answer"
KEY: Final = "Key"
BY: Final = ("Answered by", "Source of the answer")
DAY: Final = "Date"


def key(what: str, book: str, *details: str | int | list[str]) -> str:
    """The key of a question: what is asked, the workbook, and what is meant there.

    `value` of a gauge that states none, `instead` of one that was not understood, `all` gauges that lack it,
    `column`, `finding`, or a `text` that only a person can use.
    """
    return json.dumps([what, book, *details], ensure_ascii=False)


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer, and the cell in which it stands."""

    what: str
    details: tuple[Any, ...]
    value: Any
    sheet: str
    row: int
    col: int
    who: str
    day: str
    """In ISO form; as it stands, in quotes, where that is no date; "" where none is stated."""
    unclear: str = ""
    """What is not clear about it, for a person."""

    def told(self) -> str:
        """By whom and when."""
        when = f" on {self.day}" if self.day else ", undated"
        return f"answered by {self.who}{when}" if self.who else f"answered{when}"


@dataclass(frozen=True, slots=True)
class Answers:
    """What came back in one workbook."""

    path: Path
    given: tuple[Answer, ...] = ()
    beside: tuple[str, ...] = ()
    """What was written where no answer is read, for a person."""

    def of(self, what: str) -> list[Answer]:
        """Those of one kind of question."""
        return [one for one in self.given if one.what == what]

    def of_gauges(self) -> list[Answer]:
        """Those that give a value of one gauge."""
        return [*self.of("value"), *self.of("instead")]

    def place(self, one: Answer) -> str:
        """Where an answer stands, for a person."""
        return f"{self.path.name}, {one.sheet}!{column_letter(one.col)}{one.row}"

    def columns(self) -> list[tuple[str, str]]:
        """What columns are said to be, as (field, 'SHEET!LETTER')."""
        return [
            (name, f"{one.details[0]}!{one.details[1]}")
            for one in self.of("column")
            if (name := _choice(one)) is not None
        ]

    def unclear(self) -> Iterator[str]:
        """What was written where no answer is read, and what is no clear answer to its question."""
        yield from self.beside
        yield from (one.unclear for one in self.given if one.unclear)
        for one in self.of("column"):
            if _choice(one) is None:
                options = " or ".join([*(own.item(choice) for choice in one.details[2]), own.NOT_USED])
                yield _not_used(self, one, f"is none of the choices; write {options}")


def _choice(one: Answer) -> str | None:
    """The field that a column is said to be; None for what is no choice."""
    name = own.field_named(str(one.value))
    if name == "":
        return NONE
    return name if name in one.details[2] else None


def _not_used(answers: Answers, one: Answer, why: str) -> str:
    """One answer that is not used."""
    return f"not used, the other answers are: {answers.place(one)}: '{one.value}' {why}"


# --- reading ----------------------------------------------------------------------------------------


def read_answers(path: Path, book: str) -> Answers:
    """The answers in a workbook of questions; of one that asks of several workbooks, those about `book`.

    XlfuncsError for a workbook without questions, and where nobody can tell which question an answer is of.
    """
    grids = load_grid(path)
    for grid in grids:
        _check_heads(grid, path)
    asked = [(grid, heads) for grid in grids if (heads := _heads(grid)) is not None]
    if not asked:
        raise XlfuncsError(
            f"{path}: there are no questions in it: give the workbook of --format request that came back"
        )
    every = [one for grid, heads in asked for one in _of_sheet(grid, heads, path)]
    beside = [text for grid, heads in asked for text in _beside(grid, heads, path)]
    several = len({name for name, _ in every}) > 1
    return Answers(path, tuple(one for name, one in every if not several or name == book), tuple(beside))


_TOP: Final = 8
"""Rows in which the headings are looked for: somebody may have put a title above them."""
_ASKED: Final = ("Question", "What is needed")
"""A heading of each sheet of questions."""


def _heads(grid: Grid) -> tuple[int, dict[str, int]] | None:
    """Row of the headings and heading -> column of a sheet of questions; None for any other."""
    for row, heads in _first_rows(grid):
        if ANSWER in heads and KEY in heads:
            return row, heads
    return None


def _first_rows(grid: Grid) -> Iterator[tuple[int, dict[str, int]]]:
    for i in range(min(_TOP, len(grid.rows))):
        cells = zip(grid.values[i].tolist(), grid.cols, strict=True)
        yield int(grid.rows[i]), {str(v).strip(): int(c) for v, c in cells if not _blank(v)}


def _check_heads(grid: Grid, path: Path) -> None:
    """XlfuncsError for a sheet of questions of which a heading is gone or was translated."""
    if _heads(grid) is not None:
        return
    for row, heads in _first_rows(grid):
        lacking = KEY if ANSWER in heads and any(name in heads for name in _ASKED) else ""
        if KEY in heads and any(_parsed(value) for value in grid.values[:, -1].tolist()[:100]):
            lacking = ANSWER
        if lacking:
            raise XlfuncsError(
                f"{path}: {grid.sheet} row {row}: the heading '{lacking}' is gone or was changed, so the"
                " answers of this sheet cannot be read; copy headings and keys from the workbook sent"
            )


def _blank(value: Any) -> bool:
    return value is None or not str(value).strip()


def _who(heads: dict[str, int]) -> int:
    return next((heads[name] for name in BY if name in heads), 0)


def _of_sheet(grid: Grid, top: tuple[int, dict[str, int]], path: Path) -> Iterator[tuple[str, Answer]]:
    """(workbook, answer) of a sheet of questions."""
    first, columns = top
    by = _who(columns)
    for row in (int(row) for row in grid.rows if row > first):
        value = grid.value(row, columns[ANSWER])
        if _blank(value):
            continue
        place = f"{path}: {grid.sheet}!"
        at = f"{place}{column_letter(columns[KEY])}{row}"
        what, book, *details = _key(grid.value(row, columns[KEY]), at)
        _check_row(what, details, {name: grid.value(row, col) for name, col in columns.items()}, at)
        day = grid.value(row, columns[DAY]) if DAY in columns else None
        who = " ".join(str(grid.value(row, by) or "").split()) if by else ""
        told, unclear = _day(day, f"{path.name}, {grid.sheet}!{column_letter(columns.get(DAY, 1))}{row}")
        yield book, Answer(what, tuple(details), value, grid.sheet, row, columns[ANSWER], who, told, unclear)


def _check_row(what: str, details: list[Any], cells: dict[str, Any], at: str) -> None:
    """XlfuncsError where the key of a row is that of another: the sheet was sorted without it."""
    said = {name: " ".join(str(cells.get(name) or "").split()) for name in ("Tag", "About", *_ASKED)}
    agrees = True
    if what in ("value", "instead"):
        tag = " ".join(str(details[2]).split())
        agrees = said["Tag"] == (tag or "no tag")
        agrees &= _names().get(said["What is needed"], details[3]) == details[3]
    elif what == "text":
        agrees = said["What is needed"] == " ".join(str(details[0]).split())
    elif what == "finding":
        agrees = said["About"].startswith(" ".join(str(details[1]).split()))
    if not agrees:
        raise XlfuncsError(
            f"{at}: the key of this row is of another question: the sheet was sorted without the column"
            f" '{KEY}'; sort whole rows, or write the answers into the workbook that was sent"
        )


@cache
def _names() -> dict[str, str]:
    """Label of a field -> its name."""
    return {str(spec["label"]): name for name, spec in load("fields").items() if isinstance(spec, dict)}


def _beside(grid: Grid, top: tuple[int, dict[str, int]], path: Path) -> Iterator[str]:
    """What was written into a row under no heading, or beside an answer that is blank."""
    first, columns = top
    by, known = _who(columns), set(columns.values())
    unanswered: dict[str, list[str]] = {}
    for row in (int(row) for row in grid.rows if row > first):
        for col in map(int, grid.cols):
            if col not in known and not _blank(text := grid.value(row, col)):
                yield f"{path.name}, {grid.sheet}!{column_letter(col)}{row}: '{text}' stands under no heading"
        if by and _blank(grid.value(row, columns[ANSWER])) and not _blank(text := grid.value(row, by)):
            unanswered.setdefault(" ".join(str(text).split()), []).append(f"{column_letter(by)}{row}")
    for text, cells in unanswered.items():
        more = f" and {len(cells) - 1} more cells" if len(cells) > 1 else ""
        yield (
            f"{path.name}, {grid.sheet}!{cells[0]}{more}: '{text}' stands beside an answer that is blank: an"
            f" answer is read under '{ANSWER}' only"
        )


_SHAPES: Final = {"value": 5, "instead": 5, "all": 2, "column": 3, "finding": 3, "text": 2}
"""Kind of question -> how many details its key has."""


def _key(value: Any, place: str) -> list[Any]:
    found = _parsed(value)
    if found is None:
        raise XlfuncsError(
            f"{place}: the key of this question is gone or was changed, so nobody knows what the answer"
            " belongs to; copy it from the workbook that was sent"
        )
    return found


def _parsed(value: Any) -> list[Any] | None:
    """The parts of a key; None for what is none."""
    try:
        found = json.loads(str(value or ""))
    except ValueError:
        return None
    if not isinstance(found, list) or len(found) < 2 or _SHAPES.get(str(found[0])) != len(found) - 2:
        return None
    return found


def _day(value: Any, place: str) -> tuple[str, str]:
    """The day of an answer, and what is not clear about it."""
    if _blank(value):
        return "", ""
    try:
        return day_of(value, place).isoformat(), ""
    except XlfuncsError as why:
        return f"'{value}'", f"{why}; the answer of that row is used"


# --- values -----------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Wanted:
    """For one field of a table the answer of each record that has one."""

    unit: str
    answers: dict[int, Answer] = field(default_factory=dict)


def answered(book: Book, answers: Answers) -> Book:
    """The workbook with the values that were answered, where it states none itself.

    What fits no gauge, and what is no value of its field, is a doubt.
    """
    fitting: set[int] = set()
    unread: dict[int, str] = {}
    tables = [_with(table, answers, fitting, unread) for table in book.gauges]
    doubts = [
        *book.doubts,
        *(Doubt("answer", "", "", text) for text in (*unread.values(), *answers.unclear())),
    ]
    for one in answers.of("text"):
        item, tag = one.details
        doubts.append(
            Doubt("file", "", "", f"{item} of {tag}: {one.value} ({one.told()}; {answers.place(one)})")
        )
    for one in answers.of_gauges():
        if id(one) not in fitting:
            sheet, row, tag, name, _ = one.details
            what = f"{load('fields')[name]['label']} of {tag or f'{sheet} row {row}'}"
            text = f"the answer in {answers.place(one)} ({what}) fits no gauge of this workbook"
            doubts.append(Doubt("answer", "", "", text))
    return replace(book, gauges=tables, doubts=doubts)


def _with(table: Table, answers: Answers, fitting: set[int], unread: dict[int, str]) -> Table:
    """A table with its answers; which of them fit goes into `fitting`, why one is not used into `unread`."""
    wanted: dict[str, _Wanted] = {}
    tags = [" ".join(str(text).split()).casefold() for text in _texts(table, "tag")]
    instead: dict[str, list[int]] = {}
    for one in answers.of_gauges():
        sheet, row, tag, name, unit = one.details
        plain = " ".join(str(tag).split()).casefold()
        for record, own_tag in enumerate(tags):
            here = own_tag == plain if plain else (table.sheet, int(table.row[record])) == (sheet, row)
            if here:
                fitting.add(id(one))
                if one.what == "instead":
                    instead.setdefault(name, []).append(record)
                wanted.setdefault(name, _Wanted(unit)).answers[record] = one
    for one in answers.of("all"):
        name, unit = one.details
        into = wanted.setdefault(name, _Wanted(unit))
        for record in range(len(table)):
            into.answers.setdefault(record, one)
    columns = dict(table.columns)
    # a density may make the viscosity of another answer a dynamic one
    for name, want in sorted(wanted.items(), key=lambda item: item[0] != "fluid_density"):
        theirs = _column(name, want, len(table), answers, columns.get("fluid_density"))
        clear = _clear(theirs, name, want, answers, unread)
        ours = columns.get(name)
        replaced = [record for record in instead.get(name, []) if clear[record]]
        columns[name] = theirs if ours is None else first_given(_without(ours, replaced), theirs)
    return replace(table, columns=columns)


def _without(column: Column, records: Sequence[int]) -> Column:
    """The column, blank at some records: what stands there was not understood."""
    state = column.state.copy()
    state[list(records)] = State.BLANK
    return replace(column, state=state)


def _texts(table: Table, name: str) -> list[Any]:
    return table.columns[name].text.tolist() if name in table.columns else [""] * len(table)


def _column(name: str, want: _Wanted, n: int, answers: Answers, density: Column | None) -> Column:
    """The answers as a column of a sheet of their workbook."""
    known = load("fields")
    if name not in known:
        raise XlfuncsError(
            f"{answers.path}: there is no field '{name}'; the key of that question was changed"
        )
    raw: NDArray[np.object_] = np.full(n, None, dtype=object)
    sheets: NDArray[np.object_] = np.full(n, "", dtype=object)
    rows, cols = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64)
    for record, one in want.answers.items():
        raw[record] = _number_or_text(one.value)
        sheets[record] = f"[{answers.path.name}]{one.sheet}"
        rows[record], cols[record] = one.row, one.col
    cells = Cells(raw, sheets, rows, cols)
    if known[name]["kind"] == "text":
        column = text_column(name, cells)
    else:
        read = quantity_column(name, cells, want.unit)
        column = read.column
        if read.kinematic is not None:
            times_density(column, read.kinematic, density)
    for record, one in want.answers.items():
        column.source[record] = one.told()
    column.state[column.state == State.TEXT_NUMBER] = State.OK  # how an answer is typed is no finding
    return column


def _clear(
    column: Column, name: str, want: _Wanted, answers: Answers, unread: dict[int, str]
) -> NDArray[np.bool_]:
    """Which records have a clear answer; the others are made blank, and why goes into `unread`."""
    clear: NDArray[np.bool_] = column.given | (column.state == State.PLACEHOLDER)
    for record, one in want.answers.items():
        if not clear[record]:
            why = column.problem.pop(record, "it is no value")
            what = f"is no clear answer for the {load('fields')[name]['label']}: {why}"
            unread[id(one)] = _not_used(answers, one, what)
            column.state[record] = State.BLANK
    return clear


def _number_or_text(value: Any) -> Any:
    """A number that is kept as a text is a number: how an answer is typed is no finding."""
    try:
        return value if isinstance(value, (datetime, date, bool)) else float(value)
    except ValueError:
        return value


# --- findings ---------------------------------------------------------------------------------------


def note(result: AuditResult, answers: Answers) -> None:
    """Write the answers about findings beside them; one whose finding is gone is left out."""
    told: dict[tuple[str, str], list[Answer]] = {}
    for one in answers.of("finding"):
        rule, tag, place = one.details
        told.setdefault((rule, str(tag).casefold() or place), []).append(one)
    for finding in result.findings:
        same = told.get((finding.rule, finding.tag.casefold() or f"{finding.sheet}!{finding.cell}"), ())
        lines = [f"{one.value} ({one.told()}; {answers.place(one)})" for one in _nearest(same, finding)]
        finding.answer = "; ".join(lines)


def _nearest(same: Sequence[Answer], finding: Finding) -> Sequence[Answer]:
    """Of several answers about one rule and tag those about this very cell, else all of them."""
    here = [one for one in same if one.details[2] == f"{finding.sheet}!{finding.cell}"]
    return here or same
