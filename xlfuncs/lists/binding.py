"""Which columns a person means: what was said is compared with the lists that stand in the sheets.

What could mean columns of several sheets is put back to the person, with the options to choose from.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.instructions import (
    SETTINGS,
    Bound,
    Instruction,
    Instructions,
    check_unit,
    option,
    spelt,
)
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind, fields, squash

EVERY: Final = "*"
"""Stands for every sheet."""
SEARCHED: Final = 200
"""Rows in which a heading is looked for where no list was found."""
_WIDEST: Final = 400
_LONGEST: Final = 200
_CELL: Final = re.compile(r"\$?([A-Za-z]{1,3})(?:\$?([1-9]\d{0,6}))?")
_UNIT: Final = re.compile(r"(.*\S)\s*\[([^\[\]]+)\]")
ALIKE: Final = 0.8
"""Share of headings that two lists have in common, if one goes on in the other."""
_OPTIONS: Final = 6
_HEADINGS: Final = 12
_PART: Final = " / "
"""Joins the headings of a column, as a person reads them."""


squashed = lru_cache(maxsize=65536)(squash)
"""As `squash`, remembered."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a list, or a label of a data sheet."""

    row: int
    """Spreadsheet row of its heading; 0 without one."""
    col: int
    heading: str
    field: str = ""
    """What it is taken for without a person's word."""


@dataclass(slots=True)
class Seen:
    """A list that was found without a person's word."""

    book: int
    """Number of the workbook: 0, or 1 for a second one with the float list."""
    sheet: str
    kind: Kind
    headings: tuple[int, ...]
    """Spreadsheet rows of the headings; none on a sheet of labels."""
    last: int
    """Last spreadsheet row."""
    columns: list[Column] = field(default_factory=list)

    key: int = 0
    """Column of its tags, or part numbers; 0 without one."""

    @property
    def labels(self) -> bool:
        return not self.headings

    def holds(self, grid: Grid, row: int) -> bool:
        """Whether a row is one of its headings or records; a sheet of labels is the list's as a whole."""
        if self.labels or row in self.headings:
            return True
        name = grid.value(row, self.key) if self.key else "1"
        named = not isinstance(name, str) or not name.strip() or any(map(str.isdigit, name))
        return self.headings[0] <= row <= self.last and named

    @property
    def texts(self) -> set[str]:
        """Its headings, for comparing."""
        return {squashed(column.heading) for column in self.columns} - {""}


@dataclass(frozen=True, slots=True)
class Spot:
    """A column, or a cell outside the lists, that may be meant."""

    book: int
    sheet: str
    rows: frozenset[int]
    row: int
    col: int
    heading: str = ""
    field: str = ""
    listed: int = -1
    """Number of the list; -1 outside of them."""
    labels: bool = False
    kind: str = ""

    @property
    def place(self) -> tuple[int, str, int, int]:
        return self.book, self.sheet, self.row, self.col

    @property
    def cell(self) -> str:
        """How an option names it within its sheet."""
        letter = column_letter(self.col)
        return f"{letter}{self.row}" if self.labels or self.listed < 0 else letter

    @property
    def words(self) -> str:
        """As a person reads it: 'LI Index' column H 'SG @ Oper.'."""
        what = "column" if self.cell.isalpha() else "cell"
        return f"{self.sheet!r} {what} {self.cell}" + (f" {self.heading!r}" if self.heading else "")


@dataclass(slots=True)
class _Wanted:
    """What a text may mean."""

    sheet: str = ""
    heading: str = ""
    letter: str = ""
    row: int = 0
    unit: str = ""


class Binder:
    """Finds the columns that instructions mean."""

    def __init__(
        self,
        books: Sequence[Sequence[Grid]],
        names: Sequence[str],
        seen: Sequence[Seen],
        likely: Sequence[Spot] = (),
    ) -> None:
        """`names`: those of the workbooks' files. `likely`: a cell of the row that is likest to hold
        headings, for each sheet without a list."""
        self.books = books
        self.names = names
        self.seen = list(seen)
        self.texts = [one.texts for one in self.seen]
        self.likely = list(likely)
        self.bound: list[tuple[int, Bound]] = []
        self.missing: list[str] = []
        """What was not found, and why: one line each."""
        self._named: dict[str, set[tuple[int, str]]] = {}

    def instructions(self, book: int) -> Instructions:
        """What was said of the sheets of a workbook, the weakest first."""
        out: dict[str, tuple[Bound, ...]] = {}
        for number, entry in sorted(self.bound, key=lambda pair: pair[1].origin):
            if number == book:
                out[entry.sheet] = (*out.get(entry.sheet, ()), entry)
        return Instructions(out)

    # --- options ------------------------------------------------------------------------------------

    def say(self, said: Sequence[Instruction]) -> list[Instruction]:
        """Find what `--map`, or [columns] of a settings file, means; gives what was not found.

        XlfuncsError where it could be several columns.
        """
        waiting = []
        for entry in said:
            if entry.field and not entry.place:
                self._without(entry)
            else:
                waiting.append((entry, list(self._meanings(entry.place))))
        hits = self.rows_named([wanted.heading for _, every in waiting for wanted in every if wanted.heading])
        late = [pair for pair in waiting if not self._bind(*pair, hits)]
        lost = [entry for entry, every in late if not self._bind_letter(entry, every)]
        self._clashes()
        return lost

    def _without(self, entry: Instruction) -> None:
        """No column is to be a field."""
        for one in self.seen:
            if one.kind not in fields()[entry.field]["tables"]:
                continue
            if one.labels:
                for column in one.columns:
                    if column.field == entry.field:
                        self.put(spot_of(one, 0, column), "", "", entry.origin, entry.said)
                continue
            bound = Bound(
                one.sheet, frozenset(one.headings), 0, "", "", entry.field, entry.origin, entry.said, False,
                one.kind,
            )  # fmt: skip
            self.bound.append((one.book, bound))

    def _meanings(self, place: str) -> Iterator[_Wanted]:
        """What a text may mean, the likeliest first."""
        if not place.startswith((f"{EVERY}!", f"{EVERY}:")):  # signs tell no headings apart
            yield from self._of_text(place, "")
        for at in [found.start() for found in re.finditer("[!:]", place)]:
            sheet = place[:at].strip()
            if len(sheet) > 2 and sheet[0] == sheet[-1] == "'":
                sheet = sheet[1:-1].replace("''", "'")
            if sheet and self.sheets(sheet):
                yield from self._of_text(place[at + 1 :].strip(), sheet)

    def _of_text(self, text: str, sheet: str) -> Iterator[_Wanted]:
        if text:
            yield _Wanted(sheet, heading=text)
        if cell := _CELL.fullmatch(text):
            yield _Wanted(sheet, letter=cell[1].upper(), row=int(cell[2] or 0))
        if stated := _UNIT.fullmatch(text):
            for one in self._of_text(stated[1], sheet):
                one.unit = one.unit or stated[2].strip()
                yield one

    def sheets(self, name: str) -> set[tuple[int, str]]:
        """The sheets of a name; before that of a second workbook may stand its file, in brackets."""
        if name not in self._named:
            self._named[name] = self._sheets_named(name)
        return self._named[name]

    def _sheets_named(self, name: str) -> set[tuple[int, str]]:
        every = [(number, grid.sheet) for number, book in enumerate(self.books) for grid in book]
        if name in ("", EVERY):
            return set(every)
        own = name
        if name.startswith("[") and len(self.books) > 1 and not any(name == sheet for _, sheet in every):
            file, _, own = name[1:].partition("]")
            books = [n for n, known in enumerate(self.names) if known.casefold() == file.casefold()]
            every = [place for place in every if place[0] in (books or [len(self.books) - 1])]
        exact = {place for place in every if place[1].casefold() == own.casefold()}
        return exact or {place for place in every if squashed(own) and squashed(place[1]) == squashed(own)}

    def _bind(self, entry: Instruction, every: list[_Wanted], hits: Counter[tuple[int, str, int]]) -> bool:
        """Whether a column of a list, or a heading outside of them, was found."""
        in_lists = [(wanted, found) for wanted in every if (found := self._in_lists(entry.field, wanted))]
        if in_lists:
            wanted, found = in_lists[0]
            for other, more in in_lists[1:]:  # 'H' is a heading as well as a letter
                if other.unit == wanted.unit and other.sheet == wanted.sheet:
                    known = {one.place for one in found}
                    found = [*found, *(spot for spot in more if spot.place not in known)]
            self._add(entry, self._one(entry, wanted, found), wanted.unit)
            return True
        for wanted in every:
            if wanted.heading and (found := self._in_rows(wanted, hits)):
                self._add(entry, self._one(entry, wanted, found), wanted.unit)
                return True
        return False

    def _bind_letter(self, entry: Instruction, every: list[_Wanted]) -> bool:
        """Whether a letter was found where no list stands: under the likeliest headings."""
        for wanted in every:
            found = self._under_likely(wanted) if wanted.letter else []
            if found:
                self._add(entry, self._one(entry, wanted, found), wanted.unit)
                return True
        return False

    def _under_likely(self, wanted: _Wanted) -> list[Spot]:
        col = split_address(f"{wanted.letter}1")[0]
        rows = {
            (number, entry.sheet): min(entry.rows)
            for number, entry in self.bound
            if entry.rows and not self._in_list(number, entry.sheet, min(entry.rows))
        }
        places = rows or {(one.book, one.sheet): one.row for one in self.likely}
        if wanted.row:
            places = {(n, grid.sheet): wanted.row for n, book in enumerate(self.books) for grid in book}
        out = []
        sheets = self.sheets(wanted.sheet)
        for (number, sheet), row in places.items():
            grid = self._grid(number, sheet)
            if (number, sheet) in sheets and col in grid.cols and row in grid.rows:
                text = grid.value(row, col)
                if not wanted.row or (isinstance(text, str) and text.strip()):
                    heading = text.strip() if isinstance(text, str) else ""
                    out.append(Spot(number, sheet, frozenset({row}), row, col, heading))
        return out

    def _in_list(self, book: int, sheet: str, row: int) -> bool:
        grid = self._grid(book, sheet)
        return any(one.book == book and one.sheet == sheet and one.holds(grid, row) for one in self.seen)

    def _grid(self, book: int, sheet: str) -> Grid:
        return next(grid for grid in self.books[book] if grid.sheet == sheet)

    def _in_lists(self, name: str, wanted: _Wanted) -> list[Spot]:
        """The columns of the lists of a fitting kind that are meant."""
        out = []
        sheets = self.sheets(wanted.sheet)
        for number, one in enumerate(self.seen):
            if (one.book, one.sheet) not in sheets or (name and one.kind not in fields()[name]["tables"]):
                continue
            if wanted.heading:
                columns = by_heading(one.columns, wanted.heading)
            else:
                columns = [c for c in one.columns if column_letter(c.col) == wanted.letter]
                if one.labels:
                    columns = [c for c in columns if c.row == wanted.row]
                elif wanted.row and not one.holds(self._grid(one.book, one.sheet), wanted.row):
                    columns = []
            out += [spot_of(one, number, column) for column in columns]
        return out

    def _in_rows(self, wanted: _Wanted, hits: Counter[tuple[int, str, int]]) -> list[Spot]:
        """Cells outside the lists that hold a text; on each sheet that in the row with most such texts."""
        best: dict[tuple[int, str], Spot] = {}
        sheets = self.sheets(wanted.sheet)
        for one in self.cells(wanted.heading):
            if one.place[:2] in sheets:
                known = best.setdefault((one.book, one.sheet), one)
                if hits[one.place[:3]] > hits[known.place[:3]]:
                    best[one.book, one.sheet] = one
        most = max((hits[one.place[:3]] for one in best.values()), default=0)
        return [one for one in best.values() if hits[one.place[:3]] == most]

    def rows_named(self, headings: Iterable[str]) -> Counter[tuple[int, str, int]]:
        """How many of some headings stand in a row that is no list's."""
        out: Counter[tuple[int, str, int]] = Counter()
        for heading in dict.fromkeys(headings):
            out.update({one.place[:3] for one in self.cells(heading)})
        return out

    def cells(self, heading: str) -> Iterator[Spot]:
        """The cells outside the lists that hold a text."""
        for number, book in enumerate(self.books):
            for grid in book:
                for i, row in enumerate(grid.values[:SEARCHED, :_WIDEST].tolist()):
                    at = int(grid.rows[i])
                    if self._in_list(number, grid.sheet, at):
                        continue
                    for j, value in enumerate(row):
                        if isinstance(value, str) and len(value) <= _LONGEST and same_text(value, heading):
                            text = " ".join(value.split())
                            yield Spot(number, grid.sheet, frozenset({at}), at, int(grid.cols[j]), text)

    def _one(self, entry: Instruction, wanted: _Wanted, found: list[Spot]) -> list[Spot]:
        """The places, if they are one, or one list that goes on in several sheets. XlfuncsError otherwise."""
        apart = len({(one.book, one.sheet, one.listed) for one in found}) == len(found)
        if len(found) < 2 or all(entry.field and one.field == entry.field for one in found):
            return found
        if apart and (wanted.sheet == EVERY or self._goes_on(found)):
            return found
        if apart and entry.origin == SETTINGS and wanted.heading:
            return found  # a contractor's heading, wherever it stands
        raise XlfuncsError(self._which(entry, found, apart))

    def _goes_on(self, found: list[Spot]) -> bool:
        if any(one.listed < 0 for one in found) or len({squashed(one.heading) for one in found}) > 1:
            return False
        first, *more = (self.seen[one.listed] for one in found)
        return all(
            one.kind == first.kind
            and len(one.texts & first.texts) >= ALIKE * max(len(one.texts), len(first.texts))
            for one in more
        )

    def _which(self, entry: Instruction, found: list[Spot], apart: bool) -> str:
        places = [self._option_place(one) for one in found]
        texts = [
            f"{one.words} ({option(entry.field, place)})" for one, place in zip(found, places, strict=True)
        ]
        shown = " or ".join(texts[:_OPTIONS])
        more = f" or {len(texts) - _OPTIONS} more" if len(texts) > _OPTIONS else ""
        same = {one.cell for one in found}
        kinds = {self.seen[one.listed].kind if one.listed >= 0 else "" for one in found}
        every = ""
        if apart and len(same) == len(kinds) == 1:
            every = f"; for all of them {option(entry.field, f'{EVERY}:{same.pop()}')}"
        return f"{entry.said} could mean {shown}{more}: say which{every}"

    def _option_place(self, spot: Spot) -> str:
        lists = sum(one.book == spot.book and one.sheet == spot.sheet for one in self.seen)
        cell = f"{column_letter(spot.col)}{spot.row}" if lists > 1 and spot.row else spot.cell
        named = sum(grid.sheet == spot.sheet for book in self.books for grid in book) > 1
        return f"[{self.names[spot.book]}]{spot.sheet}:{cell}" if named else f"{spot.sheet}:{cell}"

    def _add(self, entry: Instruction, found: Iterable[Spot], unit: str = "") -> None:
        if unit:
            check_unit(entry.field, unit, entry.said)
        for one in found:
            self.put(one, entry.field, unit, entry.origin, entry.said)

    def put(self, spot: Spot, name: str, unit: str, origin: int, said: str) -> None:
        bound = Bound(
            spot.sheet, spot.rows, spot.col, name, spelt(name, unit), "", origin, said, spot.labels,
            spot.kind, spot.heading,
        )  # fmt: skip
        self.bound.append((spot.book, bound))

    def _clashes(self) -> None:
        """XlfuncsError where one column is said to be two fields, or two columns of a list to be one."""
        columns: dict[tuple[object, ...], Bound] = {}
        holders: dict[tuple[object, ...], Bound] = {}
        for number, bound in self.bound:
            where = (bound.origin, number, bound.sheet)
            if not bound.col:
                continue
            other = columns.setdefault((*where, bound.col, bound.rows, squashed(bound.heading)), bound)
            if other.field != bound.field:
                raise XlfuncsError(f"{bound.said}: {other.said} names the same column: leave one of them out")
            rows = frozenset() if bound.label else bound.rows
            other = holders.setdefault((*where, bound.field, rows), bound)
            if bound.field and other.col != bound.col:
                raise XlfuncsError(
                    f"{bound.said}: {other.said} names another column of the same list: leave one of them out"
                )

    def why_not(self, entry: Instruction) -> str:
        """Why nothing was found for an instruction, and what there is."""
        named = re.match(r"'?([^!:']+)'?(?:!|:(?=\$?[A-Za-z]{1,3}\$?\d*(?:\s*\[|$)))", entry.place)
        if named and not self.sheets(named[1]):
            names = ", ".join(repr(grid.sheet) for book in self.books for grid in book)
            return f"there is no sheet {named[1]!r}; there are {names}"
        elsewhere = [spot for wanted in self._meanings(entry.place) for spot in self._in_lists("", wanted)]
        if elsewhere and entry.field:
            return f"{elsewhere[0].words} stands in a float list, and {entry.field} is no field of that"
        columns = [column for one in self.seen for column in one.columns]
        taken = entry.field and any(column.field == entry.field for column in columns)
        has = f" ({entry.field} was taken from another column)" if taken else ""
        headings = _nearest_first(entry.place, dict.fromkeys(c.heading for c in columns if c.heading))
        shown = ", ".join(map(repr, headings[:_HEADINGS]))
        more = f" and {len(headings) - _HEADINGS} more" if len(headings) > _HEADINGS else ""
        return f"no such heading or column{has}" + (f"; there are {shown}{more}" if shown else "")


def spot_of(one: Seen, number: int, column: Column) -> Spot:
    return Spot(
        one.book, one.sheet, frozenset(one.headings or (column.row,)), column.row, column.col, column.heading,
        column.field, number, one.labels, one.kind,
    )  # fmt: skip


def letter_of(one: Seen, column: Column) -> str:
    return f"{column_letter(column.col)}{column.row if one.labels else ''}"


def same_text(one: str, other: str) -> bool:
    """Whether two headings are the same: as they are written, or word for word."""
    first, second = (" ".join(text.split()).casefold().rstrip(" :=.") for text in (one, other))
    return first == second or (bool(squashed(first)) and squashed(one) == squashed(other))


def by_heading(columns: Iterable[Column], heading: str) -> list[Column]:
    """The columns of a heading: as it is written, else in the same words, else by the end of its headings."""
    known = [column for column in columns if column.heading]
    exact = " ".join(heading.split()).casefold()
    return (
        [column for column in known if column.heading.casefold() == exact]
        or [column for column in known if same_text(column.heading, heading)]
        or [column for column in known if any(same_text(tail, heading) for tail in _tails(column.heading))]
    )


def _tails(heading: str) -> Iterator[str]:
    parts = heading.split(_PART)
    return (_PART.join(parts[k:]) for k in range(1, len(parts)))


def _nearest_first(text: str, headings: Iterable[str]) -> list[str]:
    from rapidfuzz import process

    every = list(headings)
    near = [found for found, score, _ in process.extract(text, every, limit=3) if score >= 70]
    return near + [heading for heading in every if heading not in near]
