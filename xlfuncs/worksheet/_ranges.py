"""Cells and ranges to arguments of the callable, in SI."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass
from datetime import date
from itertools import chain
from operator import itemgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.units import converter
from xlfuncs.worksheet import _gravity
from xlfuncs.worksheet._cell import TOO_LARGE, default_of, missing_one, number, plain_number, single, sure
from xlfuncs.worksheet._problems import Problem, Unusable, is_blank, refuse_error
from xlfuncs.worksheet.refusal import Refusal
from xlfuncs.worksheet.spec import Argument


@dataclass(slots=True)
class Taken:
    """One argument, ready for the callable."""

    value: Any
    """SI number, text, flag, rows of a table, None, or an array of numbers or texts."""
    shape: tuple[int, ...] = ()
    problem: Problem | NDArray[np.object_] | None = None
    """Of a range: of each cell, None where it is sound."""
    span: tuple[float, float] | None = None
    """Lowest and highest number of a range, where they are known."""


def take(argument: Argument, cell: Any) -> Taken:
    if argument.kind == "any":
        return Taken(cell)
    if argument.kind == "table":
        return _take_table(argument, cell)
    if isinstance(cell, (list, tuple)) or (isinstance(cell, np.ndarray) and cell.ndim):
        return take_range(argument, cell)
    if isinstance(cell, np.generic):
        cell = cell.item()
    if is_blank(cell):
        if argument.required:
            return Taken(None, problem=missing_one(argument).about(argument))
        return Taken(default_of(argument))
    try:
        return Taken(single(argument, cell))
    except Unusable as why:
        return Taken(None, problem=why.about(argument))


def take_range(argument: Argument, cells: Any) -> Taken:
    if isinstance(cells, np.ndarray) and cells.dtype.kind in "fiu":
        return _take_numbers(argument, cells.astype(np.float64, copy=False))
    try:
        block = np.array(cells, dtype=object)
    except ValueError:
        return _whole(argument, "the rows of the range differ in length")
    if block.ndim > 2:
        return _whole(argument, "give a range of rows and columns")
    if block.ndim == 2 and block.shape == (1, 1):
        return take(argument, block[0, 0])
    return _take_each(argument, block)


def rows_of_numbers(argument: Argument | None, cells: list[Any] | tuple[Any, ...]) -> Any:
    """Rows, or a row, of several plain numbers as an array; anything else as it is."""
    if argument is None or argument.kind not in ("quantity", "number", "named") or not cells:
        return cells
    rows = cells if isinstance(cells[0], (list, tuple)) else (cells,)
    try:
        widths = set(map(len, rows))
        if len(widths) != 1:
            return cells
        (width,) = widths
        flat = list(map(itemgetter(0), rows) if width == 1 else chain.from_iterable(rows))
        if len(flat) < 2 or not set(map(type, flat)) <= {float, int}:
            return cells
        numbers = np.fromiter(flat, np.float64, len(flat))
    except (TypeError, OverflowError):  # no rows, or an integer beyond any float
        return cells
    return numbers.reshape((len(rows), width) if rows is cells else (width,))


def _whole(argument: Argument, text: str) -> Taken:
    """An argument that cannot be used as a whole."""
    return Taken(None, problem=Unusable(text).about(argument))


def _take_numbers(argument: Argument, numbers: NDArray[np.float64]) -> Taken:
    unit = None
    if argument.kind != "number" and argument.quantity:
        unit = converter(argument.unit, argument.quantity)
    si = numbers if unit is None else unit.to_si(numbers)
    low, high = sure(argument)
    if not numbers.size:
        return Taken(si, numbers.shape)
    least, most = float(numbers.min()), float(numbers.max())
    if least > low and most < high:  # not so where one is NaN
        span = (least, most) if unit is None else (unit.to_si(least), unit.to_si(most))
        return Taken(si, numbers.shape, span=(min(span), max(span)))
    bad = ~(np.abs(numbers) <= TOO_LARGE)
    if argument.low is not None:
        bad |= numbers < argument.low
    if argument.high is not None:
        bad |= numbers > argument.high
    if argument.liquid == "surely":
        bad |= _gravity.looks_so(numbers)
    if argument.slip is not None:
        bad |= numbers > argument.slip[0]
    if argument.quantity == "temperature":
        bad |= si < 0
    if not bad.any():
        return Taken(si, numbers.shape)
    problem = np.full(numbers.shape, None, dtype=object)
    for at in np.argwhere(bad):
        try:
            number(argument, plain_number(argument, float(numbers[tuple(at)])))
        except Unusable as why:
            problem[tuple(at)] = why.about(argument)
    return Taken(np.where(bad, np.nan, si), numbers.shape, problem)


def _take_each(argument: Argument, block: NDArray[np.object_]) -> Taken:
    """Cell by cell; a value that recurs is read once."""
    known: dict[tuple[type, Any], tuple[Any, Problem | None]] = {}
    values: list[Any] = []
    problems: list[Problem | None] = []
    filler = _filler(argument)
    missing = missing_one(argument).about(argument) if argument.required else None
    for cell in block.flat:
        if is_blank(cell):
            default = None if argument.required else default_of(argument)
            values.append(default if default is not None else "" if argument.choices else filler)
            problems.append(missing)
            continue
        key = (type(cell), cell) if isinstance(cell, Hashable) else (type(cell), id(cell))
        if key not in known:
            try:
                known[key] = (single(argument, cell), None)
            except Unusable as why:
                known[key] = (filler, why.about(argument))
        value, problem = known[key]
        values.append(value)
        problems.append(problem)
    numeric = all(isinstance(v, float) for v in values)
    flags = argument.kind == "flag"
    array = np.empty(len(values), dtype=np.bool_ if flags else np.float64 if numeric else object)
    array[:] = values
    found = None if not any(problems) else _objects(problems).reshape(block.shape)
    return Taken(array.reshape(block.shape), block.shape, found)


def _objects(values: list[Any]) -> NDArray[np.object_]:
    """A one-dimensional array of the values as they are."""
    array: NDArray[np.object_] = np.empty(len(values), dtype=object)
    array[:] = values
    return array


def _filler(argument: Argument) -> Any:
    """What stands in for a cell that cannot be used, so that the rest of the range is computed."""
    if argument.kind == "choice":
        return argument.choices[0]
    if argument.kind == "flag":
        return False
    if argument.kind == "text":
        return ""
    return math.nan


def _take_table(argument: Argument, cells: Any) -> Taken:
    if isinstance(cells, np.ndarray):
        cells = cells.tolist()
    if not isinstance(cells, (list, tuple)):
        try:
            refuse_error(cells)
        except Unusable as why:
            return Taken(None, problem=why.about(argument))
        if is_blank(cells):
            problem = missing_one(argument).about(argument) if argument.required else None
            return Taken(None, problem=problem)
        return _whole(argument, "give a range with its headings in the first row")
    rows = [list(row) if isinstance(row, (list, tuple)) else [row] for row in cells]
    width = max(map(len, rows), default=0)
    return Taken([[_table_cell(cell) for cell in row] + [None] * (width - len(row)) for row in rows])


def _table_cell(cell: Any) -> Any:
    """A cell of a table; what is none, or is too large to reckon with, becomes a text that cannot be read."""
    if isinstance(cell, np.generic):
        cell = cell.item()
    if isinstance(cell, (int, float)):
        return cell if cell != cell or abs(cell) <= TOO_LARGE else "(a number that is too large)"
    if isinstance(cell, Refusal):
        return cell.error
    if cell is None or isinstance(cell, (str, date)):
        return cell
    return f"({type(cell).__name__})"


def problems_of(problem: Problem | NDArray[np.object_] | None, each: bool) -> list[Problem]:
    """What is wrong with an argument as a whole; with `each`, with the first of its cells as well."""
    if isinstance(problem, Problem):
        return [problem]
    found: list[Any] = [] if problem is None or not each else problem.ravel().tolist()
    return [cell for cell in found if cell is not None][:1]
