"""A workbook as its formulas see it: cells, names, tables, hidden rows, kept values of others."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.cell_values import NA
from xlfuncs.spreadsheet.tree import Area, Functions

Place = tuple[str, int, int]
"""Sheet, row and column of a cell; rows and columns from 1."""


def address(place: Place) -> str:
    """'Index!H14'."""
    return f"{place[0]}!{column_letter(place[2])}{place[1]}"


def spread(place: Place, fills: Area | None, value: Any) -> Iterator[tuple[Place, Any]]:
    """The cells that a formula fills, each with its part of the value; #N/A beyond it."""
    block = value if isinstance(value, list) else [[value]]
    for cell in filled(place, fills):
        row = 0 if fills is None or len(block) == 1 else cell[1] - fills.top
        column = 0 if fills is None or len(block[0]) == 1 else cell[2] - fills.left
        inside = row < len(block) and column < len(block[row])
        yield cell, block[row][column] if inside else NA


def filled(place: Place, fills: Area | None) -> Iterator[Place]:
    """The cells that a formula fills: its own, or all of an array formula."""
    if fills is None:
        yield place
        return
    for row in range(fills.top, fills.bottom + 1):
        for column in range(fills.left, fills.right + 1):
            yield fills.sheet, row, column


@dataclass(slots=True)
class FormulaCell:
    """A formula as it stands in a file."""

    text: str
    fills: Area | None = None
    """For an array formula: the cells that it fills."""
    dynamic: bool = False
    """The array may grow and shrink."""
    other: str = ""
    """Why it cannot be evaluated here, such as 'a data table'."""


@dataclass(slots=True)
class SheetCells:
    """The cells of a sheet."""

    name: str
    values: dict[tuple[int, int], Any] = field(default_factory=dict)
    """Constants and kept values by row and column."""
    formulas: dict[tuple[int, int], FormulaCell] = field(default_factory=dict)
    rows: int = 0
    columns: int = 0
    hidden: set[int] = field(default_factory=set)
    """Rows that are hidden, by hand or by a filter."""
    filtered: set[Area] = field(default_factory=set)
    """Ranges, headings included, whose rows a filter hides at present."""


@dataclass(slots=True)
class BookCells:
    """The cells of a workbook and what formulas can refer to by name."""

    sheets: dict[str, SheetCells]
    """By the name in small letters."""
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    """(sheet in small letters or "", name in small letters) -> formula without '='."""
    tables: dict[str, tuple[Area, tuple[str, ...], int]] = field(default_factory=dict)
    trusted: bool = True
    """False where the file asks to be calculated when it is opened."""
    from_1904: bool = False
    """Days are counted from 1904."""
    links: dict[str, dict[str, dict[tuple[int, int], Any]]] = field(default_factory=dict)
    """What the file keeps of other workbooks: number of the link -> sheet in small letters -> values."""


class OfBook:
    """The part of `Cells` that needs no values: what formulas refer to by name, and how far a sheet goes."""

    def __init__(self, book: BookCells, functions: Functions) -> None:
        self.book = book
        self.functions: Functions = functions

    def sheet(self, name: str) -> str | None:
        found = self.book.sheets.get(name.casefold())
        return None if found is None else found.name

    def name(self, name: str, sheet: str) -> str | None:
        names, key = self.book.names, name.casefold()
        return names.get((sheet.casefold(), key), names.get(("", key)))

    def table(self, name: str) -> tuple[Area, tuple[str, ...], int] | None:
        return self.book.tables.get(name.casefold())

    @property
    def from_1904(self) -> bool:
        return self.book.from_1904

    def hidden(self, sheet: str) -> Collection[int]:
        return self.book.sheets[sheet.casefold()].hidden

    def filtered(self, sheet: str) -> Collection[int]:
        found = self.book.sheets[sheet.casefold()]
        return {row for area in found.filtered for row in found.hidden if area.top < row <= area.bottom}

    def formula(self, sheet: str, row: int, column: int) -> str:
        found = self.book.sheets[sheet.casefold()].formulas.get((row, column))
        return found.text if found else ""

    def linked(self, book: str, sheet: str) -> Mapping[tuple[int, int], Any] | None:
        return self.book.links.get(book, {}).get(sheet.casefold())

    def between(self, first: str, last: str) -> list[str]:
        names = list(self.book.sheets)
        try:
            start, end = sorted((names.index(first.casefold()), names.index(last.casefold())))
        except ValueError:
            return []
        return [self.book.sheets[name].name for name in names[start : end + 1]]

    def used(self, area: Area) -> Area:
        """An area; whole columns and the like are cut short at the last used row and column of the sheet."""
        if (area.bottom - area.top + 1) * (area.right - area.left + 1) <= _WHOLE:
            return area  # blank cells below the last used row have their place in a range that names them
        sheet = self.book.sheets[area.sheet.casefold()]
        bottom = min(area.bottom, max(sheet.rows, area.top))
        return area._replace(bottom=bottom, right=min(area.right, max(sheet.columns, area.left)))


_WHOLE = 1 << 16
"""Cells of a range above which it stands for whatever its columns or rows hold."""
