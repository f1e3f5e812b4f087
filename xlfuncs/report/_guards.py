"""When a verdict of the sheet 'Calculations' may be drawn: conditions as formulas of any spreadsheet program.

A native formula follows the numbers of its cells. What it cannot follow is guarded: a text on which numbers
depend, a blank that is filled, a part number that joins two lists, a number that a function of xlfuncs took,
and the limits within which an equation holds. Where one of those is no longer as it was, no verdict is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from openpyxl.utils import absolute_coordinate

from xlfuncs.audit.calculation import Calculation, Value, formula, symbols
from xlfuncs.report import _words as words

AUDIT_AGAIN: Final = "audit again"
"""How every verdict begins that another audit has to draw."""
CHANGED: Final = f"{AUDIT_AGAIN}, changed: "
OF_ONE_CASE: Final = "in order in this case: audit again for the others"
_LITERAL: Final = 200
"""Characters of a text that are compared; a literal of a formula has 255 at most."""
_ALL: Final = 7_500
"""Characters of a formula that names what was changed; a formula has 8,192 at most."""
_SIGNS: Final = " -./_#,:;()"
"""Signs that make no difference between two serials."""


NOWHERE: Final = object()
"""What stands for the content of a cell that no formula may name: its sheet is not in the copy."""
Held = Callable[[str, str], Any]
"""What a cell holds, by its sheet and address; None for a blank."""


def reference(sheet: str, cell: str) -> str:
    """A cell, as a formula names it."""
    return f"{words.quoted_sheet(sheet)}!{absolute_coordinate(cell)}"


def quoted(text: str) -> str:
    """A text as a literal of a formula."""
    doubled = text.replace('"', '""')
    return f'"{doubled}"'


def differs(cell: str, content: Any) -> str:
    """Whether a cell no longer holds what it held; "" for content that no formula can be compared with."""
    if content is NOWHERE:
        return ""
    if content is None or (isinstance(content, str) and not _bare(content)):
        return f"IFERROR(LEN(TRIM({cell}))>0,TRUE)"
    if isinstance(content, bool):
        return f"IFERROR({cell}<>{str(content).upper()},TRUE)"
    if isinstance(content, (int, float)):
        near = f"{1e-9 * abs(content) + 1e-12!r}".replace("e", "E")
        number = f"({content!r})".replace("e", "E")
        return f"IFERROR(IF(ISNUMBER({cell}),ABS({cell}-{number})>{near},TRUE),TRUE)"
    if isinstance(content, str):
        bare = _bare(content)
        now = f"TRIM(CLEAN({cell}))"
        now = f"LEFT({now},{_LITERAL})" if len(bare) > _LITERAL else now
        return f"IFERROR({now}<>{quoted(bare[:_LITERAL])},TRUE)"
    return ""


def _bare(text: str) -> str:
    """A text as TRIM and CLEAN leave it."""
    printing = "".join(sign for sign in text if sign >= " ")
    return " ".join(part for part in printing.split(" ") if part)


def alike(cell: str) -> str:
    """A serial as two are compared: without case, blanks and punctuation."""
    text = f"UPPER({cell})"
    for sign in _SIGNS:
        text = f'SUBSTITUTE({text},"{sign}","")'
    return text


def counted(conditions: list[tuple[str, str]]) -> str:
    """A formula for how many of (name, condition) hold."""
    return "+".join(f"IF({condition},1,0)" for _, condition in conditions)


def named(conditions: list[tuple[str, str]]) -> str:
    """A formula for a text that names those of (name, condition) that hold: 'audit again, changed: X'."""
    if len(conditions) == 1:
        return quoted(f"{CHANGED}{conditions[0][0]}")
    parts = [f'IF({condition},{quoted(f", {name}")},"")' for name, condition in conditions]
    while sum(map(len, parts)) > _ALL:
        parts.pop()
    return f'"{CHANGED}"&MID({"&".join(parts)},3,{_LITERAL})'


def moved(calculation: Calculation, where: Mapping[str, str]) -> list[tuple[str, str]]:
    """(name, condition) of each input that a number takes which stands as it was computed."""
    return [(one.name, _moved(where[one.symbol], one)) for one in calculation.unmoved()]


def _moved(cell: str, value: Value) -> str:
    number = value.number or 0.0
    return f"ABS({cell}-({number!r}))>{1e-9 * abs(number) + 1e-12!r}".replace("e", "E")


def beyond(calculation: Calculation, where: Mapping[str, str]) -> list[tuple[str, str]]:
    """(condition, answer) of each limit within which the equations hold."""
    names = {one.symbol: one.name for one in calculation.inputs}
    names |= {one.symbol: one.name for one in calculation.steps}
    return [
        (f"NOT({formula(bound.expression, where)})", quoted(_answer(bound.otherwise, names)))
        for bound in calculation.bounds
        if set(symbols(bound.expression)) <= where.keys()
    ]


def _answer(otherwise: str, names: Mapping[str, str]) -> str:
    first, _, rest = otherwise.partition(" ")
    return f"not decided, {AUDIT_AGAIN}: {names.get(first, first)} {rest}"[:_LITERAL]
