"""What the functions share: how an argument is taken as numbers, as cells, as rows, as a truth."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from xlfuncs.spreadsheet.cell_values import DIV0, NUM, VALUE, CellError, NotUnderstood, number, text
from xlfuncs.spreadsheet.tree import Area, Areas, At, Node, plain

Arguments = Sequence[Node | None]
Lazy = Callable[[Arguments, At], Any]
Cellwise = Callable[..., Any]
Whole = Callable[..., Any]
MANY = 255


class ErrorMet(Exception):
    """An error value met on the way; it is the result."""

    def __init__(self, value: CellError) -> None:
        super().__init__(value)
        self.value = value


def count(function: str, arguments: Arguments, fewest: int, most: int) -> None:
    """Refuse another number of arguments."""
    if not fewest <= len(arguments) <= most:
        raise NotUnderstood(f"{function} with {len(arguments)} arguments")


def value_of(argument: Node | None, at: At) -> Any:
    """Value of an argument; None for one left out between two commas."""
    return None if argument is None else argument.value(at)


def truth(value: Any) -> bool:
    """A value as a condition."""
    if isinstance(value, CellError):
        raise ErrorMet(value)
    if isinstance(value, str):
        word = value.strip().upper()
        if word not in ("TRUE", "FALSE"):
            raise ErrorMet(VALUE)
        return word == "TRUE"
    return bool(value)


def cells(value: Any, at: At) -> Iterator[tuple[Any, bool]]:
    """Each cell of an argument, and whether it stands in a range (where texts and blanks are passed over)."""
    if isinstance(value, Areas):
        for area in value.areas:
            yield from cells(area, at)
    elif isinstance(value, (Area, list)):
        block = at.cells.block(value) if isinstance(value, Area) else value
        for row in block:
            for cell in row:
                yield cell, True
    else:
        yield value, False


def numbers(at: At, values: tuple[Any, ...]) -> list[float]:
    """The numbers in arguments; an error among them is the result."""
    found: list[float] = []
    for value in values:
        for cell, in_range in cells(value, at):
            if isinstance(cell, CellError):
                raise ErrorMet(cell)
            if in_range:
                if isinstance(cell, float):
                    found.append(cell)
                continue
            one = number(cell)
            if isinstance(one, CellError):
                raise ErrorMet(one)
            found.append(one)
    return found


def rows(value: Any, at: At) -> list[list[Any]]:
    """An argument as rows of cells."""
    if isinstance(value, CellError):
        raise ErrorMet(value)
    if isinstance(value, Areas):
        raise NotUnderstood("several ranges in place of one")
    if isinstance(value, Area):
        return at.cells.block(value)
    return value if isinstance(value, list) else [[value]]


def size(value: Any, at: At) -> tuple[int, int]:
    """Rows and columns of an argument, of a range also where its block is cut short."""
    if isinstance(value, Area):
        return value.rows, value.columns
    block = rows(value, at)
    return len(block), len(block[0]) if block else 0


def real(value: Any, at: At, default: float = 0.0) -> float:
    """An argument as one number; an error is the result. `default` where it is left out."""
    found = number(default if value is None else plain(value, at))
    if isinstance(found, CellError):
        raise ErrorMet(found)
    return found


def whole_number(value: Any, at: At, default: float = 0.0) -> int:
    """An argument as one whole number, its fraction dropped."""
    return int(real(value, at, default))


def numeric(function: Callable[..., float]) -> Cellwise:
    """A function of numbers as one of cells."""

    def cellwise(*values: Any) -> Any:
        given = [number(v) for v in values]
        for found in given:
            if isinstance(found, CellError):
                return found
        try:
            return float(function(*given))
        except ZeroDivisionError:
            return DIV0
        except (ValueError, OverflowError, ArithmeticError, TypeError):
            return NUM

    return cellwise


def textual(function: Callable[..., Any]) -> Cellwise:
    """A function of a text and more values as one of cells."""

    def cellwise(first: Any, *others: Any) -> Any:
        for value in (first, *others):
            if isinstance(value, CellError):
                return value
        try:
            return function(text(first), *others)
        except (ValueError, TypeError):
            return VALUE

    return cellwise


def length(value: Any) -> int:
    """A value as a number of characters; ValueError for one that is none."""
    found = number(value)
    if isinstance(found, CellError) or found < 0:
        raise ValueError
    return int(found)


def wildcards(wanted: str, whole: bool = True) -> re.Pattern[str] | None:
    """The wildcards of a searched text: * and ?, taken literally after ~; None where there are none."""
    if not re.search(r"[*?~]", wanted):
        return None
    parts = re.findall(r"~[*?~]|\*|\?|[^*?~]+|~", wanted)
    made = "".join(
        ".*" if p == "*" else "." if p == "?" else re.escape(p[-1] if p[0] == "~" else p) for p in parts
    )
    return re.compile(made + r"\Z" if whole else made, re.IGNORECASE | re.DOTALL)
