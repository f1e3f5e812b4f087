"""Arguments taken together, and the callable called with them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

import numpy as np

from xlfuncs.gauge import Array, reasons
from xlfuncs.gauge.parts import by_name
from xlfuncs.worksheet._asked_back import ask_back
from xlfuncs.worksheet._cell import result_unit
from xlfuncs.worksheet._problems import Problem, Unusable, is_blank, together
from xlfuncs.worksheet._ranges import Taken, problems_of, take
from xlfuncs.worksheet._results import cells_of, row_of, table_result
from xlfuncs.worksheet.refusal import KINDS, UNUSABLE, Refusal, refusal
from xlfuncs.worksheet.spec import Function


@cache
def _resolve(path: str) -> Callable[..., Any]:
    module, _, name = path.partition(":")
    return by_name(getattr(import_module(module), name))


@dataclass(slots=True)
class Ready:
    """A call whose arguments are none that refuse it as a whole."""

    given: list[Any]
    """A cell or range for each declared argument."""
    taken: list[Taken]
    unit: str
    shape: tuple[int, ...]


def prepare(function: Function, arguments: Sequence[Any]) -> Ready | Refusal:
    """The arguments taken, or all that is wrong with them."""
    given = list(arguments)
    while given and is_blank(given[-1]):
        given.pop()
    most = len(function.arguments) + function.takes_unit
    if len(given) > most:
        return refusal(UNUSABLE, f"{len(given)} arguments given, {most} taken: {function.signature}")
    unit_text = given.pop() if len(given) == most and function.takes_unit else None
    given += [None] * (len(function.arguments) - len(given))

    problems: list[Problem] = []
    try:
        unit = result_unit(function, unit_text)
    except Unusable as why:
        problems.append(Problem(why.rank, why.error, f"unit: {why}"))
        unit = function.result.unit
    taken = [take(argument, cell) for argument, cell in zip(function.arguments, given, strict=True)]
    # a table is made of all cells together, so that one that cannot be used spoils it
    whole = function.result.shape == "table"
    problems += [found for t in taken for found in problems_of(t.problem, whole)]
    if problems:
        return together(problems)
    # one cell as a range of one is one cell; a range without cells is none
    several = [a.name for a, t in zip(function.arguments, taken, strict=True) if math.prod(t.shape) != 1]
    if whole and several:
        return refusal(UNUSABLE, f"{several[0]}: give one cell, not a range: the answer is a whole table")
    try:
        shape = np.broadcast_shapes(*(t.shape for t in taken))
    except ValueError:
        sizes = ", ".join(
            f"{a.name} {'x'.join(map(str, t.shape))}"
            for a, t in zip(function.arguments, taken, strict=True)
            if t.shape
        )
        return refusal(
            UNUSABLE, f"the ranges differ in size ({sizes}): give ranges of the same rows and columns"
        )
    return Ready(given, taken, unit, shape)


def answer(function: Function, ready: Ready, out: Array | None = None) -> Any:
    """The value, unless a plain number has to be asked back first.

    `out` is where an array of numbers may be written; where it was, it is what is given back.
    """
    keywords = {a.name: t.value for a, t in zip(function.arguments, ready.taken, strict=True)}
    asked = ask_back(function, ready.given, ready.taken, keywords)
    if asked is not None:
        return asked
    return perform(function, keywords, ready.unit, ready.shape, ready.taken, out)


def perform(
    function: Function,
    keywords: dict[str, Any],
    unit: str,
    shape: tuple[int, ...],
    taken: list[Taken],
    out: Array | None = None,
) -> Any:
    """The value for arguments that are ready."""
    spans = [(found.value, *found.span) for found in taken if found.span is not None]
    with reasons(spans) as why_not, np.errstate(all="ignore"):
        try:
            result = _resolve(function.call)(**keywords)
        except ValueError as why:
            return refusal(KINDS[getattr(why, "kind", "unusable")], str(why))
    if function.result.shape == "any":
        return result
    if function.result.shape == "table":
        return [[table_result(value, why_not) for value in row] for row in result]
    if function.result.shape == "row":
        return row_of(function, result, unit, shape, why_not, taken)
    return cells_of(function, result, unit, shape, why_not, taken, out)
