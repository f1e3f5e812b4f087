"""What the reader hands to the audit: columns of values, each with the address of its cell.

Everything is held by column, so that a rule is a few array operations over a whole index.
"""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as made_by
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from xlfuncs.spreadsheet.address import column_letter

if TYPE_CHECKING:
    from xlfuncs.lists.accounts import SheetRows
    from xlfuncs.lists.reading import ListRead


class State(IntEnum):
    """What was found in a cell."""

    BLANK = 0
    OK = 1
    TEXT_NUMBER = 2
    """A number kept as text: read and used, and noted."""
    PLACEHOLDER = 3
    """'TBC', 'by vendor', 'N/A', a dash: counts as missing."""
    UNREADABLE = 4
    """A text or a thing that was not understood as a value of this column; `Column.problem` says why."""
    ERROR = 5
    """#REF!, #VALUE!, #DIV/0! ... kept in the cell."""
    NEVER_CALCULATED = 6
    """A formula without a kept value."""
    AMBIGUOUS = 7
    """Could be two numbers ('1,500 mm'); `Column.problem` says which. Without a problem: a number whose unit
    cannot be told, for which the book has a doubt."""
    IMPOSSIBLE = 8
    """A number that was understood and cannot be in this column: an SG of 870. `low` and `high` keep it, if
    it has a value in SI. A date in the place of a number is one, too."""


MISSING = tuple(state for state in State if state not in (State.OK, State.TEXT_NUMBER))


@dataclass(slots=True)
class Column:
    """The values of one field for n records. Quantities are in SI; pressures in Pa gauge, whatever
    the sheet says; temperatures in K."""

    field: str
    raw: NDArray[np.object_]
    """As the cell holds it: float, int, str, bool, datetime or None."""
    state: NDArray[np.uint8]
    low: NDArray[np.float64]
    """SI; NaN where missing. A single value has low == high; '<20' has low NaN, '>20' has high NaN."""
    high: NDArray[np.float64]
    text: NDArray[np.object_]
    """Text fields: the cleaned text ("" where missing). Quantities: the cell's text, "" for a number."""
    unit: NDArray[np.object_]
    """Unit of the number in the cell, as `xlfuncs.units` spells it; "" for text fields."""
    sheet: NDArray[np.object_]
    row: NDArray[np.int64]
    """1-based, as the spreadsheet counts; 0 where the record has no such cell."""
    col: NDArray[np.int64]
    """1-based."""
    problem: dict[int, str] = made_by(default_factory=dict)
    """Record number -> what is wrong with the cell, for UNREADABLE, AMBIGUOUS and IMPOSSIBLE."""
    assumed: dict[int, str] = made_by(default_factory=dict)
    """Record number -> what had to be assumed of its unit to read it ('bar taken as bar gauge')."""
    noted: dict[int, str] = made_by(default_factory=dict)
    """Record number -> what else had to be assumed, or the cell says beside its value ('as H13', 'est.')."""
    source: dict[int, str] = made_by(default_factory=dict)
    """Record number -> who gave the value and when, where it is an answer and no list's."""

    def __len__(self) -> int:
        return len(self.raw)

    @property
    def value(self) -> NDArray[np.float64]:
        """One number for each record: the mean of a range, the bound of an open one."""
        if self.high is self.low:  # as most columns are read
            return self.low.copy()
        low = np.where(np.isnan(self.low), self.high, self.low)
        both = (low + np.where(np.isnan(self.high), low, self.high)) / 2
        return np.asarray(both, dtype=np.float64)

    def number(self, record: int) -> float:
        """`value` of one record."""
        low, high = float(self.low[record]), float(self.high[record])
        return high if np.isnan(low) else low if np.isnan(high) else (low + high) / 2

    @property
    def given(self) -> NDArray[np.bool_]:
        """Where a usable value stands."""
        return np.asarray((self.state == State.OK) | (self.state == State.TEXT_NUMBER), dtype=np.bool_)

    def address(self, record: int) -> str:
        """'H14'; "" where there is no cell."""
        if self.row[record] < 1 or self.col[record] < 1:
            return ""
        return f"{column_letter(int(self.col[record]))}{int(self.row[record])}"

    def take(self, records: NDArray[np.int64]) -> Column:
        """The column for other records; -1 gives a record without a cell."""
        absent = records < 0
        picked = np.where(absent, 0, records)

        def pick(values: NDArray[Any], blank: Any) -> NDArray[Any]:
            if not len(values):
                return np.full(len(records), blank, dtype=values.dtype)
            out = values[picked]
            out[absent] = blank
            return out

        back: dict[int, list[int]] = {}
        if self.problem or self.assumed or self.noted:
            for new, old in enumerate(records.tolist()):
                back.setdefault(old, []).append(new)
        return Column(
            field=self.field,
            raw=pick(self.raw, None),
            state=pick(self.state, State.BLANK),
            low=pick(self.low, np.nan),
            high=pick(self.high, np.nan),
            text=pick(self.text, ""),
            unit=pick(self.unit, ""),
            sheet=pick(self.sheet, ""),
            row=pick(self.row, 0),
            col=pick(self.col, 0),
            problem={new: why for old, why in self.problem.items() for new in back.get(old, ())},
            assumed={new: why for old, why in self.assumed.items() for new in back.get(old, ())},
            noted={new: why for old, why in self.noted.items() for new in back.get(old, ())},
        )


@dataclass(slots=True)
class Recognised:
    """What a column (or a label cell) of a sheet was taken for."""

    field: str
    sheet: str
    column: str
    """Letter; for a vertical sheet the letter of the value column."""
    heading: str
    """As a person reads it: group heading and heading, joined by ' / '."""
    heading_cell: str
    unit: str
    """Canonical unit name, "" if the field has none or each cell states its own."""
    unit_source: Literal["heading", "unit row", "cells", "assumed", "said", "note", ""] = ""
    confidence: float = 1.0
    runner_up: str = ""
    runner_up_confidence: float = 0.0
    known_as: str = ""
    """Of a heading that was taken for no field: what it is, if the audit knows and has no use for it."""
    filled: bool = False
    """Of a heading that was taken for no field: whether there is data below it."""


@dataclass(slots=True)
class Doubt:
    """Something the reader saw and would not guess."""

    kind: Literal["heading", "unit", "sheet", "row", "file", "rule", "answer"]
    sheet: str
    cell: str
    text: str
    """One line: what is unclear and how to settle it (`--map`, a unit in the heading ...)."""
    fields: tuple[str, ...] = ()


@dataclass(slots=True)
class Table:
    """One list of gauges or of floats."""

    kind: Literal["gauges", "floats"]
    sheet: str
    columns: dict[str, Column]
    recognised: list[Recognised]
    row: NDArray[np.int64]
    """Spreadsheet row of each record (of its first cell, for a vertical sheet)."""
    hidden: NDArray[np.bool_]
    """Record stands in a hidden row or sheet."""
    hidden_fields: set[str] = made_by(default_factory=set)
    """Fields in hidden columns."""
    path: str = ""
    unrecognised: list[Recognised] = made_by(default_factory=list)
    """Headings that were not taken for a field; `runner_up` is what comes nearest."""
    cases: tuple[str, ...] = ()
    """Which case of its gauge each record is ('Case B'), "" for one that has none; empty without cases."""

    def __len__(self) -> int:
        return len(self.row)


@dataclass(frozen=True, slots=True)
class Stated:
    """What a document says, and where."""

    sheet: str
    cell: str
    text: str
    """The value with its unit."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Two documents that state different values of one field for one gauge; the first is used."""

    tag: str
    field: str
    first: Stated
    second: Stated


@dataclass(frozen=True, slots=True)
class Orphan:
    """A tag that stands in one document and not in another that has most of the same gauges."""

    tag: str
    sheet: str
    cell: str
    lacking: str
    """The sheets of the document that lacks it."""


@dataclass(slots=True)
class Differences:
    """How the documents of a workbook differ."""

    values: list[Difference] = made_by(default_factory=list)
    orphans: list[Orphan] = made_by(default_factory=list)


@dataclass(slots=True)
class Book:
    """One workbook, read."""

    path: Path
    sha256: str
    gauges: list[Table]
    floats: list[Table]
    doubts: list[Doubt] = made_by(default_factory=list)
    skipped: dict[str, int] = made_by(default_factory=dict)
    """Why rows were not audited -> how many ('other instrument', 'level glass', 'struck through')."""
    sheets: tuple[str, ...] = ()
    has_formulas: bool = True
    """False where a search of the whole file saw none."""
    read: tuple[ListRead, ...] = ()
    """How its lists were read."""
    differences: Differences = made_by(default_factory=Differences)
    """How its documents differ."""
    rows: tuple[SheetRows, ...] = ()
    """What became of the rows of its sheets."""
    own: tuple[str, ...] = ()
    """Its sheets that an earlier report has added."""

    @property
    def unread(self) -> list[Recognised]:
        """Headings with data that were taken for nothing; first those that may have meant a field."""
        every = [
            found
            for table in (*self.gauges, *self.floats)
            if len(table)
            for found in table.unrecognised
            if found.filled
        ]
        return sorted(every, key=lambda found: bool(found.known_as))
