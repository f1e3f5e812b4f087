"""Writing sheets: columns of values and live formulas with their results kept, and one quiet style.

The same data give the same bytes: every date is fixed, results are kept to 10 digits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import xlsxwriter
from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell
from xlsxwriter.workbook import Format, Workbook
from xlsxwriter.worksheet import Worksheet

from xlfuncs.worksheet import Refusal, call

INK, SLATE, SAND, CREAM = "#26323A", "#DCE4E8", "#EFE9DA", "#FAF7EE"
MIST, RULE, LINE = "#F1F4F5", "#9AA7AE", "#D3DADE"
A3, A4 = 8, 9

Record = Any


@dataclass(frozen=True)
class Text:
    """An argument as typed in a formula: a number, TRUE, or a quoted text."""

    value: Any

    def __str__(self) -> str:
        return f'"{self.value}"' if isinstance(self.value, str) else str(self.value).upper()


@dataclass(frozen=True)
class Typed:
    """An argument that is a formula itself, with cells by their key in braces, and its value."""

    text: str
    value: Callable[[Callable[[str], Any]], Any]


def with_unit(key: str, unit: str) -> Typed:
    """A cell's number with its unit, as text: `H14&" psig"`."""
    return Typed(f'{{{key}}}&" {unit}"', lambda value: f"{value(key):g} {unit}")


@dataclass(frozen=True)
class Live:
    """A worksheet function of the cells of its own row. `part`: which of several values, from 1."""

    name: str
    arguments: tuple[str | Typed | Text, ...]
    part: int = 0

    def formula(self, address: Callable[[str], str]) -> str:
        typed = []
        for argument in self.arguments:
            if isinstance(argument, Typed):
                typed.append(_filled(argument.text, address))
            else:
                typed.append(address(argument) if isinstance(argument, str) else str(argument))
        inner = f"{self.name}({','.join(typed)})"
        return f"=INDEX({inner},1,{self.part})" if self.part else f"={inner}"

    def result(self, value: Callable[[str], Any]) -> Any:
        given = []
        for argument in self.arguments:
            if isinstance(argument, Typed):
                given.append(argument.value(value))
            else:
                given.append(value(argument) if isinstance(argument, str) else argument.value)
        found = call(self.name, *given)
        return np.ravel(found)[self.part - 1] if self.part else found


@dataclass(frozen=True)
class Formula:
    """Any other formula; cells by their key in braces, its value by a function of the row's values."""

    text: str
    value: Callable[[Callable[[str], Any]], Any]

    def formula(self, address: Callable[[str], str]) -> str:
        return _filled(self.text, address)

    def result(self, value: Callable[[str], Any]) -> Any:
        return self.value(value)


def _filled(text: str, address: Callable[[str], str]) -> str:
    keys = {part.split("}")[0] for part in text.split("{")[1:]}
    return text.format(**{key: address(key) for key in keys})


@dataclass(frozen=True)
class Column:
    """One column of a table. `cell` gives a record's value (None: blank) or is a live formula."""

    key: str
    heading: str
    cell: Callable[[Record], Any] | Live | Formula
    width: float = 8
    number: str = "General"
    when: Callable[[Record], bool] | None = None
    """The records that have the cell at all."""
    group: str = ""
    """What it belongs to: a line parts the groups, a merged heading may name them."""

    @property
    def live(self) -> bool:
        return isinstance(self.cell, Live | Formula)


def grouped(group: str, *columns: Column) -> tuple[Column, ...]:
    """The columns, as members of one group."""
    return tuple(replace(column, group=group) for column in columns)


class Style:
    """Formats by what they are for."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Format] = {}

    def __call__(self, **properties: Any) -> Format:
        base: dict[str, Any] = {"font_name": "Arial", "font_size": 9, "font_color": INK, "valign": "vcenter"}
        full = base | properties
        key = tuple(sorted(full.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format(full)
        return self._made[key]

    def heading(self, live: bool = False, starts: bool = False) -> Format:
        more = {"left": 1} if starts else {}
        fill = SAND if live else SLATE
        return self(
            bold=True,
            text_wrap=True,
            align="center",
            bg_color=fill,
            bottom=1,
            top=1,
            border_color=RULE,
            **more,
        )

    def cell(self, number: str = "General", live: bool = False, starts: bool = False) -> Format:
        """A value: text ("@") to the left, a number to the right, "General" in the middle."""
        more: dict[str, Any] = {"bg_color": CREAM} if live else {}
        if starts:
            more |= {"left": 1, "left_color": RULE}
        if number == "General":
            more["align"] = "center"
        elif number == "@":
            more |= {"align": "left", "indent": 1}
        else:
            more["align"] = "right"
            number = ";".join(f"{part}_)" for part in number.split(";"))
        return self(num_format=number, bottom=1, bottom_color=LINE, **more)

    def band(self) -> Format:
        return self(bold=True, bg_color=MIST, bottom=1, bottom_color=RULE)

    def title(self) -> Format:
        return self(bold=True, font_size=14)

    def label(self) -> Format:
        return self(font_color="#5B6870", valign="top")

    def note(self) -> Format:
        return self(text_wrap=True, valign="top")


@dataclass(frozen=True)
class Stale:
    """Instead of a formula's result: what an earlier state of the sheet left in the cell."""

    value: float


@dataclass(frozen=True)
class Uncalculated:
    """Instead of a formula's result: none."""


@dataclass(frozen=True)
class ThroughPath:
    """Instead of a function's plain name: the path of an add-in on another computer before it."""

    path: str


@dataclass(frozen=True)
class Broken:
    """Instead of a value: a formula that lost what it refers to."""

    formula: str
    error: str


PLANTED = (Stale, Uncalculated, ThroughPath)


@contextmanager
def workbook(path: Path, title: str, comments: str) -> Iterator[tuple[Workbook, Style]]:
    """A new workbook, closed at the end; its dates are fixed."""
    book = xlsxwriter.Workbook(str(path))
    book.set_properties(
        {"title": title, "comments": comments, "author": "xlfuncs", "created": datetime(2024, 1, 1)}
    )
    book.set_size(2400, 1400)
    # the results are kept: no program has to compute them anew when it opens the file
    book.set_calc_mode("auto", 191029)
    book.calc_on_load = False
    yield book, Style(book)
    book.close()


def setup_page(sheet: Worksheet, title: str, paper: int = A3) -> None:
    """Landscape, narrow margins, name and page number at the foot."""
    sheet.set_landscape()
    sheet.set_paper(paper)
    sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    sheet.set_footer(f"&L&8{title}&C&8invented data&R&8page &P of &N")
    sheet.hide_gridlines(2)


class Table:
    """Records in rows, fields in columns; formulas refer to the cells of their own row."""

    def __init__(
        self, sheet: Worksheet, style: Style, columns: Sequence[Column], first_column: int = 0
    ) -> None:
        self.sheet, self.style, self.columns = sheet, style, columns
        self.reasons = False
        """Whether a formula may show why it has no result."""
        self.number = {column.key: first_column + i for i, column in enumerate(columns)}
        before = [column.group for column in columns[:1]] + [column.group for column in columns]
        self._starts = {c.key: c.group != group for c, group in zip(columns, before, strict=False)}
        self._by_key = {column.key: column for column in columns}
        for column in columns:
            sheet.set_column(self.number[column.key], self.number[column.key], column.width)

    @property
    def last(self) -> int:
        return max(self.number.values())

    def headings(self, row: int, height: float = 52, *, groups: bool = False) -> None:
        """The heading row; with `groups` a row of merged group headings above it."""
        if groups:
            self._groups(row - 1)
        self.sheet.set_row(row, height)
        for column in self.columns:
            self.sheet.write_string(
                row, self.number[column.key], column.heading, self.style.heading(column.live)
            )

    def _groups(self, row: int) -> None:
        self.sheet.set_row(row, 18)
        start = 0
        while start < len(self.columns):
            end = start
            group = self.columns[start].group
            while end + 1 < len(self.columns) and group and self.columns[end + 1].group == group:
                end += 1
            left, right = self.number[self.columns[start].key], self.number[self.columns[end].key]
            form = self.style.heading(self.columns[start].live, self._starts[self.columns[start].key])
            if right > left:
                self.sheet.merge_range(row, left, row, right, group, form)
            else:
                self.sheet.write_string(row, left, group, form)
            start = end + 1

    def value(self, record: Record, key: str) -> Any:
        """What the cell of a record holds or shows; `record.instead` may say otherwise."""
        instead = getattr(record, "instead", {})
        if key in instead:
            return instead[key]
        column = self._by_key[key]
        if column.when is not None and not column.when(record):
            return None
        if isinstance(column.cell, Live | Formula):
            result = column.cell.result(lambda other: self.value(record, other))
            if isinstance(result, Refusal) and not self.reasons:
                raise ValueError(f"{self.sheet.name}, {column.key} of {record}: {result}")
            return kept(result)
        return column.cell(record)

    def address(self, row: int, key: str) -> str:
        return xl_rowcol_to_cell(row, self.number[key])

    def range(self, key: str, first: int, last: int) -> str:
        """`$D$5:$D$24`."""
        name = xl_col_to_name(self.number[key])
        return f"${name}${first + 1}:${name}${last + 1}"

    def write(self, row: int, record: Record) -> None:
        """One record."""
        for column in self.columns:
            form = self.style.cell(column.number, column.live, self._starts[column.key])
            at, value = self.number[column.key], self.value(record, column.key)
            if value is None:
                self.sheet.write_blank(row, at, None, form)
            elif isinstance(value, Broken):
                self.sheet.write_formula(row, at, value.formula, form, value.error)
            elif column.live and (isinstance(value, PLANTED) or not _typed_over(record, column.key)):
                text = column.cell.formula(lambda key: self.address(row, key))  # type: ignore[union-attr]
                if isinstance(value, ThroughPath):
                    text = f"='{value.path}'!{text[1:]}"
                    value = self.value(replace(record, instead={}), column.key)
                shown = "" if isinstance(value, Uncalculated) else getattr(value, "value", value)
                self.sheet.write_formula(row, at, text, form, shown)
            else:
                put(self.sheet, row, at, value, form)


def _typed_over(record: Record, key: str) -> bool:
    return key in getattr(record, "instead", {})


def put(sheet: Worksheet, row: int, column: int, value: Any, form: Format | None = None) -> None:
    """Text stays text, numbers numbers."""
    if isinstance(value, str):
        sheet.write_string(row, column, value, form)
    else:
        sheet.write(row, column, value, form)


def kept(value: Any) -> Any:
    """A formula's result as it is kept in the cell: 10 digits, so that it is the same on every machine."""
    if isinstance(value, Refusal):
        return value.error
    if value is None or isinstance(value, str):
        return value
    return float(f"{float(value):.10g}")
