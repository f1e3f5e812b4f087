"""One call from a Calc cell, answered."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.block import as_block, single
from xlfuncs.worksheet import find
from xlfuncs.worksheet.cells import result
from xlfuncs.worksheet.refusal import MISSING, UNUSABLE, Refusal, refusal
from xlfuncs.worksheet.spec import Argument
from xlfuncs.worksheet.why import texts

ERROR_NUMBERS = {
    "#NUM!": 503,
    "#VALUE!": 519,
    "#NULL!": 521,
    "#REF!": 524,
    "#NAME?": 525,
    "#DIV/0!": 532,
    "#N/A": 32767,
}
"""Error values by their numbers in Calc."""

_SIZES = frozenset(("mass", "diameter", "length", "magnet_height", "chamber_bore", "outside_diameter"))
"""Of a float, a chamber or a pipe, in g and mm: never 1."""

_NUMBERS = ("quantity", "number", "named")


def answer(name: str, cells: Sequence[Any]) -> Any:
    """The value of a function as Calc takes it: float, str, {"error": number}, or a list of rows of these.

    `cells` are as Basic hands them on: numbers, texts, None for a blank cell or an argument left out at
    the end, rows for a range, and the number 0 for an argument left out between two others.
    """
    return single([[_cell(cell) for cell in row] for row in as_block(evaluate(name, cells))])


def evaluate(name: str, cells: Sequence[Any]) -> Any:
    """The value of a function for cells as Calc hands them on, with its refusals."""
    given: list[Any] = [single(cell) if isinstance(cell, (list, tuple)) else cell for cell in cells]
    if name == "LG_REASON" and given and isinstance(given[0], str):
        try:
            return texts(evaluate(find(given[0]).name, given[1:]))
        except XlfuncsError as error:
            return refusal(UNUSABLE, f"name: {error}")
    arguments = find(name).arguments
    doubts, zeros = [], []
    for position, cell in enumerate(given):
        if isinstance(cell, (int, float)) and cell == 0:
            argument = arguments[position] if position < len(arguments) else None
            if argument is None or argument.kind in ("choice", "text", "table", "any"):
                given[position] = None
            elif _doubtful(argument):
                doubts.append(_doubt(argument))
            elif argument.required:
                zeros.append(position)
        elif cell is True and position < len(arguments) and arguments[position].kind in _NUMBERS:
            doubts.append(_one(arguments[position]))
        elif position < len(arguments) and _never_one(arguments[position]):
            if isinstance(cell, (list, tuple)):
                given[position] = _without_one(cell)
            elif isinstance(cell, (int, float)) and cell == 1:
                doubts.append(_one(arguments[position]))
    if doubts:
        return refusal(UNUSABLE, "; ".join(doubts))
    found = result(name, given)
    if zeros and isinstance(found, Refusal) and found.error == UNUSABLE:
        # a 0 that is of no use was more likely left out
        left_out = result(name, [None if at in zeros else cell for at, cell in enumerate(given)])
        if isinstance(left_out, Refusal) and left_out.error == MISSING:
            return left_out
    return found


@cache
def _doubtful(argument: Argument) -> bool:
    """Whether 0 means something else than leaving the argument out."""
    if argument.required:
        return False
    if argument.default is None:
        return True
    return not isinstance(argument.default, str) and bool(argument.default)


@cache
def _never_one(argument: Argument) -> bool:
    """Whether 1 in the trade unit is rather TRUE, which Calc hands to a function as the number 1."""
    return argument.kind == "quantity" and argument.name in _SIZES


def _one(argument: Argument) -> str:
    one = f"1 {argument.unit}".strip()
    return (
        f'{argument.name}: Calc cannot tell 1 from TRUE, which is no number; write "{one}" if that is meant'
    )


def _without_one(rows: Sequence[Any]) -> Sequence[Any]:
    """A range in which 1 is TRUE, so that it is refused by element."""
    if not any(1 in row if isinstance(row, (list, tuple)) else row == 1 for row in rows):
        return rows
    return [[True if cell == 1 else cell for cell in row] for row in as_block(rows)]


def _doubt(argument: Argument) -> str:
    zero = f'"0 {argument.unit}"' if argument.unit else '"0"'
    usual = "" if argument.default is None else f" ({argument.default:g} {argument.unit}".rstrip() + ")"
    return (
        f"{argument.name}: Calc cannot tell 0 from an argument left out; write {zero} for 0, "
        f'or "" for the default{usual}'
    )


def _cell(value: Any) -> Any:
    if isinstance(value, Refusal):
        return {"error": ERROR_NUMBERS.get(value.error, ERROR_NUMBERS[UNUSABLE])}
    if isinstance(value, (bool, int)):
        return float(value)
    return "" if value is None else value
