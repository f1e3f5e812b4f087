"""A formula as a tree that can be evaluated.

openpyxl's tokenizer splits the text; this module knows the order of the operators and what a
reference is. Compared with the package `formulas` (version 1.3.4): 2.7 ms there for a formula read and
evaluated, some 0.05 ms here, without scipy, and a formula that is not understood is named, not guessed.

Values are float, str, bool, None (a blank cell), `CellError`, or a `Block` (list of rows).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, NamedTuple, Protocol

from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.tokens import tokens


class CellError(str):
    """An error value of a cell, such as #DIV/0!."""

    __slots__ = ("reason",)

    reason: str
    """Why a function of the workbook's owner gave it, where one did; else ""."""

    def __new__(cls, error: str, reason: str = "") -> CellError:
        made = super().__new__(cls, error)
        made.reason = reason
        return made

    def __repr__(self) -> str:
        """Tells it from the text, and from the same error for another reason."""
        return f"CellError({str(self)!r}, {self.reason!r})"


DIV0 = CellError("#DIV/0!")
NA = CellError("#N/A")
NAME = CellError("#NAME?")
NULL = CellError("#NULL!")
NUM = CellError("#NUM!")
REF = CellError("#REF!")
VALUE = CellError("#VALUE!")
ERRORS = frozenset({DIV0, NA, NAME, NULL, NUM, REF, VALUE, CellError("#SPILL!")})


class NotUnderstood(Exception):
    """The text says what this evaluator cannot do, such as 'the function TEXT'."""


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
        items = re.findall(rf"\[({_ITEM})\]", what) if what.startswith("[") else [what]
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
        return each(_OPERATORS[self.operator], *(plain(o.value(at), at) for o in self.operands))

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


def each(function: Callable[..., Any], *values: Any) -> Any:
    """`function` of single values; of blocks cell by cell, a single row or column repeated, else #N/A."""
    if not any(isinstance(v, list) for v in values):
        return function(*values)
    blocks = [v if isinstance(v, list) else [[v]] for v in values]
    height = max(len(b) for b in blocks)
    width = max(len(b[0]) for b in blocks)

    def cell(block: Block, row: int, column: int) -> Any:
        row = 0 if len(block) == 1 else row
        column = 0 if len(block[0]) == 1 else column
        return block[row][column] if row < len(block) and column < len(block[0]) else NA

    return [[function(*(cell(b, r, c) for b in blocks)) for c in range(width)] for r in range(height)]


_NUMBER = re.compile(r"\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\s*%?\s*\Z")


def number(value: Any) -> float | CellError:
    """A value used as a number: blank is 0, TRUE is 1, a text of digits is read, another text is #VALUE!."""
    if isinstance(value, float):
        return value
    if value is None:
        return 0.0
    if isinstance(value, (bool, int)):
        return float(value)
    if isinstance(value, CellError):
        return value
    if isinstance(value, str) and _NUMBER.match(value):
        text = value.strip()
        return float(text[:-1]) / 100 if text.endswith("%") else float(text)
    return VALUE


def text(value: Any) -> str:
    """A value used as a text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, (int, float)):
        shown = f"{value:.15g}"
        return shown.upper() if "e" in shown else shown
    return str(value)


def order(value: Any) -> tuple[int, Any]:
    """How values compare: numbers before texts before FALSE and TRUE, texts without regard to case."""
    if isinstance(value, bool):
        return 2, value
    if isinstance(value, (int, float)):
        return 0, value
    return 1, str(value).casefold()


def _arithmetic(function: Callable[..., float]) -> Callable[..., Any]:
    def operator(*values: Any) -> Any:
        numbers = [number(v) for v in values]
        for found in numbers:
            if isinstance(found, CellError):
                return found
        try:
            result = function(*numbers)
        except ZeroDivisionError:
            return DIV0
        except (OverflowError, ValueError):
            return NUM
        return result if math.isfinite(result) else NUM

    return operator


def power(base: float, exponent: float) -> float:
    """A power; ValueError or ZeroDivisionError where there is none, also for 0 to the power of 0."""
    if base == 0 and exponent <= 0:
        raise ZeroDivisionError if exponent else ValueError
    return math.pow(base, exponent)


def _comparison(function: Callable[[Any, Any], bool]) -> Callable[..., Any]:
    def operator(left: Any, right: Any) -> Any:
        for value in (left, right):
            if isinstance(value, CellError):
                return value
        # a blank compares as the neutral value of the other side's kind
        if left is None:
            left = _neutral(right)
        if right is None:
            right = _neutral(left)
        return function(order(left), order(right))

    return operator


def _neutral(other: Any) -> Any:
    return False if isinstance(other, bool) else "" if isinstance(other, str) else 0.0


def _join(left: Any, right: Any) -> Any:
    for value in (left, right):
        if isinstance(value, CellError):
            return value
    return text(left) + text(right)


_OPERATORS: dict[str, Callable[..., Any]] = {
    "+": _arithmetic(lambda a, b: a + b),
    "-": _arithmetic(lambda a, b: a - b),
    "*": _arithmetic(lambda a, b: a * b),
    "/": _arithmetic(lambda a, b: a / b),
    "^": _arithmetic(power),
    "u-": _arithmetic(lambda a: -a),
    "u+": lambda a: a,
    "%": _arithmetic(lambda a: a / 100),
    "&": _join,
    "=": _comparison(lambda a, b: a == b),
    "<>": _comparison(lambda a, b: a != b),
    "<": _comparison(lambda a, b: a < b),
    ">": _comparison(lambda a, b: a > b),
    "<=": _comparison(lambda a, b: a <= b),
    ">=": _comparison(lambda a, b: a >= b),
}


def equal(left: Any, right: Any) -> Any:
    """What '=' gives."""
    return _OPERATORS["="](left, right)


_BINDS = {"^": 5, "*": 4, "/": 4, "+": 3, "-": 3, "&": 2, "=": 1, "<>": 1, "<": 1, ">": 1, "<=": 1, ">=": 1}


# --- reading ------------------------------------------------------------------------------------------

LAST_ROW, LAST_COLUMN = 1048576, 16384
_SHEET = r"(?:(?P<sheet>'(?:[^']|'')+'|[^'!\[\]*?:/\\ ]+)!)?"
_CELLS = re.compile(
    _SHEET + r"\$?(?P<l>[A-Za-z]{1,3})\$?(?P<t>[0-9]+)(?::\$?(?P<r>[A-Za-z]{1,3})\$?(?P<b>[0-9]+))?\Z"
)
_COLUMNS = re.compile(_SHEET + r"\$?(?P<l>[A-Za-z]{1,3}):\$?(?P<r>[A-Za-z]{1,3})\Z")
_ROWS = re.compile(_SHEET + r"\$?(?P<t>[0-9]+):\$?(?P<b>[0-9]+)\Z")
_ITEM = r"(?:[^\[\]']|'.)*"
_TABLE = re.compile(rf"(?P<table>[^\W\d][\w.]*)\[(?P<what>{_ITEM}|@?(?:\[{_ITEM}\][,: ]*)+)\]\Z", re.DOTALL)
_NAME = re.compile(_SHEET + r"(?P<name>[^\W\d][\w.?\\]*)\Z")
_FORMAT = re.compile(r"\A(?:_xlfn\.|_xlws\.|_xll\.|_xludf\.)+", re.IGNORECASE)


def without_prefixes(formula: str, own: Callable[[str], str | None]) -> str:
    """A formula in which functions stand by the name that `own` knows them by, without the workbook or
    add-in they were called from.
    """
    parts = []
    for token in _tokens(formula):
        ours = own(token.value[:-1]) if token.type == "FUNC" and token.subtype == "OPEN" else None
        parts.append(f"{ours}(" if ours else token.value)
    return "=" * formula.startswith("=") + "".join(parts)


def _tokens(formula: str) -> list[Any]:
    items = tokens(formula if formula.startswith("=") else f"={formula}")
    if items is None:
        raise NotUnderstood(f"the formula {formula}")
    return items


@lru_cache(maxsize=4096)
def parse(formula: str) -> Node:
    """The tree of a formula, with or without its '='. NotUnderstood says what stands in the way."""
    reader = _Reader([t for t in _tokens(formula.strip()) if t.type != "WHITE-SPACE"], formula)
    try:
        tree = reader.expression(0)
    except RecursionError as error:
        raise NotUnderstood("a formula nested this deeply") from error
    if reader.more():
        raise NotUnderstood(f"'{reader.peek().value}' in {formula}")
    return tree


class _Reader:
    """Precedence climbing over the tokens."""

    def __init__(self, tokens: list[Any], formula: str) -> None:
        self._tokens, self._next, self._formula = tokens, 0, formula

    def more(self) -> bool:
        return self._next < len(self._tokens)

    def peek(self) -> Any:
        if not self.more():
            raise NotUnderstood(f"the formula {self._formula}, which ends too soon")
        return self._tokens[self._next]

    def take(self) -> Any:
        token = self.peek()
        self._next += 1
        return token

    def expression(self, least: int) -> Node:
        left = self._operand()
        while self.more() and self.peek().type == "OPERATOR-INFIX":
            operator = self.peek().value
            binds = _BINDS.get(operator)
            if operator == ",":  # joins references; the parenthesis around them takes it
                break
            if binds is None:
                raise NotUnderstood(f"the operator '{operator}'")
            if binds < least:
                break
            self.take()
            left = Operation(operator, (left, self.expression(binds + 1)))
        return left

    def _operand(self) -> Node:
        token = self.take()
        if token.type == "OPERATOR-PREFIX":  # binds closer than ^: =-2^2 is 4
            node: Node = Operation(f"u{token.value}", (self._operand(),))
        elif token.type == "OPERAND":
            node = _operand(token)
        elif token.type == "PAREN":
            node = self._parenthesis()
        elif token.type == "FUNC" and token.subtype == "OPEN":
            node = self._call(token.value[:-1].lstrip("@"))
            if token.value.startswith("@"):
                node = Call("SINGLE", (node,))
        elif token.type == "ARRAY" and token.subtype == "OPEN":
            node = self._array()
        else:
            raise NotUnderstood(f"'{token.value}' in {self._formula}")
        while self.more() and self.peek().type == "OPERATOR-POSTFIX":
            node = Operation(self.take().value, (node,))
        return node

    def _parenthesis(self) -> Node:
        """What stands in parentheses: an expression, or references joined by commas."""
        members = [self.expression(0)]
        while (end := self.take()).type != "PAREN":
            if end.value != ",":
                raise NotUnderstood(f"'{end.value}' in {self._formula}")
            members.append(self.expression(0))
        return members[0] if len(members) == 1 else Union(tuple(members))

    def _call(self, written: str) -> Node:
        arguments: list[Node | None] = []
        if self.peek().type == "FUNC" and self.peek().subtype == "CLOSE":
            self.take()
            return Call(_FORMAT.sub("", written).upper(), ())
        while True:
            if self.peek().type == "SEP" or (self.peek().type == "FUNC" and self.peek().subtype == "CLOSE"):
                arguments.append(None)
            else:
                arguments.append(self.expression(0))
            end = self.take()
            if end.type == "FUNC" and end.subtype == "CLOSE":
                return Call(_FORMAT.sub("", written).upper(), tuple(arguments))
            if end.type != "SEP":
                raise NotUnderstood(f"'{end.value}' in {self._formula}")

    def _array(self) -> Node:
        rows: list[tuple[Node, ...]] = []
        row: list[Node] = []
        while True:
            row.append(self._operand())
            end = self.take()
            if end.type == "ARRAY" or end.subtype == "ROW":
                rows.append(tuple(row))
                row = []
            if end.type == "ARRAY":
                return Literal(tuple(rows))


def _operand(token: Any) -> Node:
    written: str = token.value
    if token.subtype == "NUMBER":
        return Constant(float(written))
    if token.subtype == "TEXT":
        return Constant(written[1:-1].replace('""', '"'))
    if token.subtype == "LOGICAL":
        return Constant(written.upper() == "TRUE")
    if token.subtype == "ERROR" or written.upper().endswith("#REF!"):
        return Constant(CellError(written.upper()) if token.subtype == "ERROR" else REF)
    if written.startswith("@"):
        return Call("SINGLE", (_reference(written[1:]),))
    return _reference(written)


def _reference(written: str) -> Node:
    head, mark, _ = written.rpartition("!")
    if mark and ("[" in head or ":" in head):
        elsewhere = _elsewhere(written)
        if elsewhere is None:
            raise NotUnderstood(f"the reference {written}")
        return elsewhere
    found = _CELLS.match(written)
    if found:
        left, top = split_address(found["l"] + found["t"])
        right, bottom = split_address(found["r"] + found["b"]) if found["r"] else (left, top)
        return _area(found["sheet"], top, left, bottom, right)
    found = _COLUMNS.match(written)
    if found:
        left, right = split_address(found["l"] + "1")[0], split_address(found["r"] + "1")[0]
        return _area(found["sheet"], 1, left, LAST_ROW, right)
    found = _ROWS.match(written)
    if found:
        return _area(found["sheet"], int(found["t"]), 1, int(found["b"]), LAST_COLUMN)
    found = _TABLE.match(written)
    if found:
        return TableReference(found["table"], found["what"])
    found = _NAME.match(written)
    if found:
        return Name(found["name"], _bare(found["sheet"]))
    raise NotUnderstood(f"the reference {written}")


_BOOK = re.compile(
    r"'?[^'\[\]]*\[(?P<book>[^\[\]]+)\](?P<sheet>(?:[^'\[\]!]|'')*)'?!(?P<what>.+)\Z", re.DOTALL
)
_SPAN = re.compile(
    r"(?P<quote>'?)(?P<first>(?:[^':!\[\]]|'')+):(?P<last>(?:[^':!\[\]]|'')+)(?P=quote)!(?P<what>.+)\Z"
)


def _elsewhere(written: str) -> Node | None:
    """A reference to another workbook, or one to several sheets; None for neither."""
    found = _BOOK.match(written)
    if found:
        inner = _range_of(found["what"])
        sheet = found["sheet"].replace("''", "'")
        if inner is None or not sheet:
            return Unknown(written)
        return Link(written, found["book"], sheet, inner.top, inner.left, inner.bottom, inner.right)
    found = _SPAN.match(written)
    inner = _range_of(found["what"]) if found else None
    if found and inner is not None:
        first, last = (found[name].replace("''", "'") for name in ("first", "last"))
        return Sheets(first, last, inner.top, inner.left, inner.bottom, inner.right)
    return Unknown(written) if "[" in written else None


def _range_of(written: str) -> Reference | None:
    """A range without a sheet; None for anything else."""
    try:
        found = _reference(written)
    except NotUnderstood:
        return None
    return found if isinstance(found, Reference) and not found.sheet else None


def _area(sheet: str | None, top: int, left: int, bottom: int, right: int) -> Node:
    top, bottom = sorted((top, bottom))
    left, right = sorted((left, right))
    if bottom > LAST_ROW or right > LAST_COLUMN or top < 1:
        return Constant(NAME)
    return Reference(_bare(sheet), top, left, bottom, right)


def _bare(sheet: str | None) -> str:
    """A sheet's name without its quotes."""
    if not sheet:
        return ""
    return sheet[1:-1].replace("''", "'") if sheet.startswith("'") else sheet
