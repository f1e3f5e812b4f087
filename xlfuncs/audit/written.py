"""How a number stands in the text of a cell, so that a spreadsheet's own functions can read it there again.

`NUMBERVALUE` (OpenFormula 6.13.21, ECMA-376) reads a number with the decimal mark that it is given, in every
language of the program. What stands before and after the number is kept as it was understood: '870 kg/m3'
follows to '900 kg/m3', and '0.9 SG' in its place is no number.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import isclose
from typing import Any, Final

from xlfuncs.units import Converter, HydrometerScale, marks_of

_NUMBER: Final = re.compile(
    r"(?<![\d.,])(?<![^\W\d_])[+\-−]?"
    r"(?:\d{1,3}(?:[ \u00a0\u202f'’]\d{3})+(?!\d)|\d+(?:[.,]\d+)*|[.,]\d+)(?:[.,]\d+)?"
)
_AFTER: Final = re.compile(r"\s*([^\W\d_]\S*|[^\w\s]+[^\W\d_]*)")
_BEFORE: Final = re.compile(r"((?:[^\W_]*[^\W\d_])[^\w\s]*|[^\w\s]+)\s*$")
_SPACES: Final = re.compile(r"[\s\u00a0\u202f]")
_DIGITS: Final = 1e-9

SPACES: Final = ("\u00a0", "\u202f")
"""Spaces that `NUMBERVALUE` does not pass over by itself."""
MINUS: Final = "−"
APOSTROPHES: Final = ("'", "’")


@dataclass(frozen=True, slots=True)
class Written:
    """Where a number stands in a text, and how it is written."""

    before: str
    """What the number follows; "" where it begins the text."""
    after: str
    """What follows the number; "" where it ends the text."""
    decimal: str
    """'.' or ','."""
    group: str
    """What groups its digits: '.', ',' or "'"; ' ' for a space or nothing, which are passed over."""
    nth: int = 1
    """Which of the places of `before` in the text it is, from the left."""

    def to_dict(self) -> dict[str, Any]:
        """The stable JSON form."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}

    def piece(self, text: str) -> str | None:
        """The part of a text that holds the number; None where before or after is missing."""
        if self.before:
            parts = text.split(self.before, self.nth)
            if len(parts) <= self.nth:
                return None
            text = parts[-1]
        if self.after:
            text, found, _ = text.partition(self.after)
            if not found:
                return None
        return text

    def number(self, text: str) -> float | None:
        """What `NUMBERVALUE` makes of the number in a text; None for no number."""
        piece = self.piece(text)
        if piece is None:
            return None
        plain = _SPACES.sub("", piece).replace(MINUS, "-")
        whole, mark, decimals = plain.partition(self.decimal)
        if self.group in decimals:
            return None
        try:
            return float(whole.replace(self.group, "") + "." * bool(mark) + decimals)
        except ValueError:
            return None


def find(
    text: str, number: float, in_si: Callable[[float], float], column: Sequence[Any] = ()
) -> Written | None:
    """How a number (SI) stands in a text; None where no single number of the text is it.

    `in_si`: the SI number of one in the text. `column`: what else the column holds, which proves its decimal
    mark where this text does not.
    """
    for found in _NUMBER.finditer(text):
        before, after = _BEFORE.search(text[: found.start()]), _AFTER.match(text, found.end())
        if before is None and text[: found.start()].strip():
            continue
        for decimal, group in _marks(found.group(), column):
            mark = before[1] if before else ""
            nth = text[: found.start()].count(mark) if mark else 1
            one = Written(mark, after[1] if after else "", decimal, group, nth)
            read = one.number(text)
            if read is not None and isclose(in_si(read), number, rel_tol=_DIGITS, abs_tol=1e-12):
                return one
    return None


def _marks(digits: str, column: Sequence[Any]) -> Iterator[tuple[str, str]]:
    """Decimal mark and group mark under which the digits may be read."""
    spaced = next((mark for mark in APOSTROPHES if mark in digits), " ")
    if "," in digits and "." in digits:
        last = max(digits, key=lambda mark: digits.rfind(mark) if mark in ".," else -1)
        yield last, "." if last == "," else ","
    elif "," in digits or "." in digits:
        mark = "," if "," in digits else "."
        yield mark, spaced
        yield "." if mark == "," else ",", mark
    else:
        proved = marks_of(str(value) for value in column if isinstance(value, str))
        yield "," if "," in proved else ".", spaced


def link(known: Converter) -> str:
    """The SI number as an expression of x, the number in the cell; "" where elementary functions do not do.

    >>> from xlfuncs.units import converter
    >>> link(converter("mm", "length")), link(converter("degC", "temperature"))
    ('x*0.001', 'x+273.15')
    """
    if type(known) is HydrometerScale:
        return f"{_plain(known.scale)}/({_plain(known.base)}{_signed(known.step)}*x)"
    if type(known) is not Converter:
        return ""
    scaled = "x" if known.scale == 1 else f"x*{_plain(known.scale)}"
    return f"{scaled}{_signed(known.offset)}" if known.offset else scaled


def _plain(number: float) -> str:
    return f"{number:.12g}".replace("e", "E")


def _signed(number: float) -> str:
    return f"{'+' if number >= 0 else '-'}{_plain(abs(number))}"
