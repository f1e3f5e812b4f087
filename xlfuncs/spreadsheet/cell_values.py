"""Values of cells in formulas, and what the operators make of them.

Values are float, str, bool, None (a blank cell), `CellError`, or a `Block` (list of rows).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.block import Block


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


OPERATORS: dict[str, Callable[..., Any]] = {
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
    return OPERATORS["="](left, right)
