"""A formula as a tree that can be evaluated, and what it asks of the workbook in which it stands."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, Protocol

from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.cell_values import NAME, OPERATORS, REF, VALUE, CellError, NotUnderstood, each

ITEM = r"(?:[^\[\]']|'.)*"
"""Of a reference to a table, what stands in one pair of brackets."""


class Area(NamedTuple):
    """A range of cells; rows and columns from 1."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    @property
    def rows(self) -> int:
        return self.bottom - self.top + 1

    @property
    def columns(self) -> int:
        return self.right - self.left + 1

    @property
    def one(self) -> bool:
        return self.top == self.bottom and self.left == self.right


class Refused(Protocol):
    """What a function answers in place of a value."""

    @property
    def error(self) -> str:
        """The error value, such as #N/A."""

    @property
    def reason(self) -> str:
        """One line that says why."""


class Functions(Protocol):
    """Functions of formulas that no spreadsheet program brings along; whoever evaluates hands them in."""

    def own(self, written: str) -> str | None:
        """The plain name of one of them, as it is written in a formula; None for any other function."""

    def mentioned(self, formula: str) -> bool:
        """Whether one of them may stand in a formula, by a look at its text."""

    def unknown(self, name: str) -> str:
        """Why there is no function of a name that `own` gave; "" where there is one."""

    def call(self, name: str, cells: Sequence[Any]) -> Any:
        """A value, rows of values, or `Refused` in their place. Cells are values or rows of them."""


@dataclass(frozen=True, slots=True)
class Areas:
    """Several ranges in place of one: joined by commas, or one range on several sheets."""

    areas: tuple[Area, ...]


@dataclass(slots=True)
class Notes:
    """What is worth saying of an evaluation beside its value."""

    refused: list[tuple[str, CellError]] = field(default_factory=list)
    """Each function of ours that refused, with its error, also where the formula catches it."""
    links: list[str] = field(default_factory=list)
    """References to other workbooks whose kept values were used."""


class Cells(Protocol):
    """What the evaluator asks of a workbook. Names of sheets are matched without regard to case."""

    @property
    def from_1904(self) -> bool:
        """Whether the workbook counts its days from 1904."""

    @property
    def functions(self) -> Functions:
        """The functions that the workbook's formulas call."""

    def value(self, sheet: str, row: int, column: int) -> Any:
        """Value of a cell: float, str, bool, `CellError`, or None if it is blank."""

    def block(self, area: Area) -> Block:
        """Values of a range; a range beyond the last used cell may be cut short."""

    def sheet(self, name: str) -> str | None:
        """The sheet as the workbook spells it."""

    def name(self, name: str, sheet: str) -> str | None:
        """The formula of a defined name, without '='."""

    def table(self, name: str) -> tuple[Area, tuple[str, ...], int] | None:
        """Area of a table with its heading and total rows, its headings, and how many total rows it has."""

    def spilled(self, sheet: str, row: int, column: int) -> Area | None:
        """The range that the dynamic array formula in this cell fills."""

    def used(self, area: Area) -> Area:
        """An area cut short at the last used row and column of its sheet."""

    def hidden(self, sheet: str) -> Collection[int]:
        """The rows of a sheet that are hidden."""

    def filtered(self, sheet: str) -> Collection[int]:
        """Those of them that stand in a list which a filter shows in part."""

    def formula(self, sheet: str, row: int, column: int) -> str:
        """The formula in a cell, without '='; "" where there is none."""

    def linked(self, book: str, sheet: str) -> Mapping[tuple[int, int], Any] | None:
        """Kept values of a sheet in another workbook, by row and column; None where none are kept."""

    def between(self, first: str, last: str) -> list[str]:
        """The sheets from one to another, as the workbook orders and spells them."""


@dataclass(frozen=True, slots=True)
class At:
    """Where a formula stands, and whether it is an array formula."""

    cells: Cells
    sheet: str
    row: int
    column: int
    array: bool = False
    notes: Notes | None = None
    """Filled while the formula is evaluated."""
    bound: Mapping[str, Any] = field(default_factory=dict)
    """Values of the names that LET defines, in small letters."""


# --- the tree -----------------------------------------------------------------------------------------


class Node:
    """Part of a formula."""

    __slots__ = ()

    def value(self, at: At) -> Any:
        """A value, or an `Area` where the part is a reference."""
        raise NotImplementedError

    def parts(self) -> tuple[Node, ...]:
        return ()


@dataclass(frozen=True, slots=True)
class Constant(Node):
    content: Any

    def value(self, at: At) -> Any:
        return self.content


@dataclass(frozen=True, slots=True)
class Reference(Node):
    sheet: str
    """"" for the sheet of the formula."""
    top: int
    left: int
    bottom: int
    right: int

    def value(self, at: At) -> Any:
        sheet = at.cells.sheet(self.sheet) if self.sheet else at.sheet
        if sheet is None:
            return REF
        return Area(sheet, self.top, self.left, self.bottom, self.right)


@dataclass(frozen=True, slots=True)
class Name(Node):
    name: str
    sheet: str = ""

    def tree(self, at: At) -> Node | None:
        from xlfuncs.spreadsheet.formula import parse

        text = at.cells.name(self.name, self.sheet or at.sheet)
        return None if text is None else parse(text)

    def value(self, at: At) -> Any:
        if at.bound and not self.sheet and parameter(self.name) in at.bound:
            return at.bound[parameter(self.name)]
        tree = self.tree(at)
        return NAME if tree is None else tree.value(replace(at, bound={}) if at.bound else at)


def parameter(name: str) -> str:
    """A name that LET defines; files keep it with a prefix."""
    return name.casefold().removeprefix("_xlpm.")


class Elsewhere(NotUnderstood):
    """A value that stands in another workbook, of which nothing is kept."""


@dataclass(frozen=True, slots=True)
class Link(Node):
    """Cells of another workbook: the values that the file keeps of them."""

    written: str
    book: str
    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    def value(self, at: At) -> Any:
        kept = at.cells.linked(self.book, self.sheet)
        if kept is None:
            raise Elsewhere(f"the reference {self.written} to another workbook")
        if at.notes is not None and self.written not in at.notes.links:
            at.notes.links.append(self.written)
        last_row = min(self.bottom, max((row for row, _ in kept), default=self.top))
        last_column = min(self.right, max((column for _, column in kept), default=self.left))
        rows = range(self.top, max(last_row, self.top) + 1)
        columns = range(self.left, max(last_column, self.left) + 1)
        block = [[kept.get((row, column)) for column in columns] for row in rows]
        return block[0][0] if (self.top, self.left) == (self.bottom, self.right) else block


@dataclass(frozen=True, slots=True)
class Unknown(Node):
    """A reference to another workbook that is no range of cells, such as a name of it."""

    written: str

    def value(self, at: At) -> Any:
        raise Elsewhere(f"the reference {self.written} to another workbook")


@dataclass(frozen=True, slots=True)
class Union(Node):
    """References joined by commas."""

    members: tuple[Node, ...]

    def value(self, at: At) -> Any:
        found: list[Area] = []
        for member in self.members:
            value = member.value(at)
            if isinstance(value, CellError):
                return value
            if not isinstance(value, Area | Areas):
                raise NotUnderstood("values joined by commas")
            found += value.areas if isinstance(value, Areas) else (value,)
        return Areas(tuple(found))

    def parts(self) -> tuple[Node, ...]:
        return self.members


@dataclass(frozen=True, slots=True)
class Sheets(Node):
    """One range on several sheets: First:Last!A1."""

    first: str
    last: str
    top: int
    left: int
    bottom: int
    right: int

    def value(self, at: At) -> Any:
        names = at.cells.between(self.first, self.last)
        if not names:
            return REF
        return Areas(tuple(Area(name, self.top, self.left, self.bottom, self.right) for name in names))


@dataclass(frozen=True, slots=True)
class TableReference(Node):
    table: str
    what: str
    """The text between the brackets."""

    def value(self, at: At) -> Any:
        found = at.cells.table(self.table)
        if found is None:
            return REF
        area, headings, totals = found
        row = self.what.startswith("@")
        what = self.what.removeprefix("@")
        items = re.findall(rf"\[({ITEM})\]", what) if what.startswith("[") else [what]
        top, bottom = area.top + 1, area.bottom - totals
        columns: list[int] = []
        for item in items:
            if item in ("#Data", ""):
                continue
            if item == "#All":
                top, bottom = area.top, area.bottom
            elif item == "#Headers":
                top = bottom = area.top
            elif item == "#Totals":
                top = bottom = area.bottom
            elif item == "#This Row":
                row = True
            else:
                heading = re.sub(r"'(.)", r"\1", item).casefold()
                if heading not in headings:
                    return REF
                columns.append(headings.index(heading))
        if row:
            if not top <= at.row <= bottom:
                return VALUE
            top = bottom = at.row
        left = area.left + min(columns, default=0)
        right = area.left + max(columns, default=len(headings) - 1)
        if len(columns) > 1 and "]:[" not in self.what:
            raise NotUnderstood(f"the reference {self.table}[{self.what}]")
        return Area(area.sheet, top, left, bottom, right)


@dataclass(frozen=True, slots=True)
class Operation(Node):
    operator: str
    operands: tuple[Node, ...]

    def value(self, at: At) -> Any:
        return each(OPERATORS[self.operator], *(plain(o.value(at), at) for o in self.operands))

    def parts(self) -> tuple[Node, ...]:
        return self.operands


@dataclass(frozen=True, slots=True)
class Literal(Node):
    """An array constant, {1,2;3,4}."""

    rows: tuple[tuple[Node, ...], ...]

    def value(self, at: At) -> Any:
        return [[cell.value(at) for cell in row] for row in self.rows]


@dataclass(frozen=True, slots=True)
class Call(Node):
    function: str
    """In capitals, without the prefixes of the file format; that of a workbook or an add-in stays."""
    arguments: tuple[Node | None, ...]
    """None for an argument left out between two commas."""

    def value(self, at: At) -> Any:
        from xlfuncs.spreadsheet.functions import call

        return call(self.function, self.arguments, at)

    def parts(self) -> tuple[Node, ...]:
        return tuple(a for a in self.arguments if a is not None)


def walk(node: Node, at: At | None = None) -> Iterator[Node]:
    """The node and all below it; with `at`, what defined names stand for as well."""
    yield node
    if at is not None and isinstance(node, Name):
        tree = node.tree(at)
        if tree is not None:
            yield from walk(tree, at)
    for part in node.parts():
        yield from walk(part, at)


# --- values -------------------------------------------------------------------------------------------


def content(value: Any, at: At) -> Any:
    """The cells of an `Area`: a value, or a block for more than one cell. Other values as they are."""
    if isinstance(value, Area):
        if value.one:
            return at.cells.value(value.sheet, value.top, value.left)
        return at.cells.block(value)
    if isinstance(value, Areas):
        raise NotUnderstood("several ranges in place of one value")
    return value


def plain(value: Any, at: At) -> Any:
    """A value for an operator: outside array formulas a range gives its cell in this row or column."""
    if isinstance(value, Area) and not value.one and not at.array:
        return crossing(value, at)
    return content(value, at)


def crossing(area: Area, at: At) -> Any:
    """Implicit intersection: the one cell of a row or a column of cells that stands beside the formula."""
    if area.columns == 1 and area.top <= at.row <= area.bottom:
        return at.cells.value(area.sheet, at.row, area.left)
    if area.rows == 1 and area.left <= at.column <= area.right:
        return at.cells.value(area.sheet, area.top, at.column)
    return VALUE
