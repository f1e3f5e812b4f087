"""From the cells of a formula to the SI callable and back.

Arguments are converted once, here; all that is wrong with them is reported together. A repeated text
("0.82 SG") is parsed once and remembered, so that a scalar call costs microseconds beyond the physics.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from importlib import import_module
from inspect import signature
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.gauge import reasons
from xlfuncs.units import UnitError, converter, parse, units_for
from xlfuncs.worksheet.spec import REASON_PREFIX as PREFIX
from xlfuncs.worksheet.spec import Argument, Function


class Reason(str):
    """Why a cell has no result: one line that begins with `PREFIX`; what it quotes is cut short."""

    __slots__ = ()

    def __new__(cls, text: str) -> Reason:
        line = " ".join(text.split())
        if len(line) > _SHORT:
            line = _LONG_QUOTE.sub(r"\1...'", line)
        return super().__new__(cls, line if len(line) <= _LONGEST else f"{line[:_LONGEST]} ...")


_SHORT = 120
_LONGEST = 4000
_LONG_QUOTE = re.compile(r"((?<!\w)'[^']{60})[^']{60,}'")
_TOO_LARGE = 1e15
"""In the trade unit of any argument: a slip, and beyond what the arithmetic bears."""


@dataclass(slots=True)
class _Taken:
    """One argument, ready for the callable."""

    value: Any
    """SI number, text, flag, rows of a table, None, or an array of numbers or texts."""
    shape: tuple[int, ...] = ()
    problem: str | NDArray[np.object_] | None = None
    blank: NDArray[np.bool_] | None = None
    """Blank cells of a range; None where there is none."""


class _Unusable(Exception):
    """A value that cannot be taken; the text is the reason."""


@cache
def _resolve(path: str) -> Callable[..., Any]:
    module, _, name = path.partition(":")
    found: Callable[..., Any] = getattr(import_module(module), name)
    return found


@cache
def _keyword_names(path: str) -> frozenset[str]:
    return frozenset(signature(_resolve(path)).parameters)


def evaluate(function: Function, arguments: Sequence[Any]) -> Any:
    """The value of `function` for the cells `arguments`; see `xlfuncs.worksheet.call`."""
    given = list(arguments)
    while given and _is_blank(given[-1]):
        given.pop()
    most = len(function.arguments) + function.takes_unit
    if len(given) > most:
        return Reason(f"{PREFIX}{len(given)} arguments given, {most} taken: {function.signature}")
    unit_text = given.pop() if len(given) == most and function.takes_unit else None
    given += [None] * (len(function.arguments) - len(given))

    problems: list[str] = []
    try:
        unit = _result_unit(function, unit_text)
    except _Unusable as why:
        problems.append(str(why))
        unit = function.result.unit
    taken = [_take(argument, cell) for argument, cell in zip(function.arguments, given, strict=True)]
    # a table is made of all cells together, so that one that cannot be used spoils it
    whole = function.result.shape == "table"
    problems += [text for t in taken for text in _texts(t.problem, whole)]
    if problems:
        return Reason(PREFIX + "; ".join(problems))
    try:
        shape = np.broadcast_shapes(*(t.shape for t in taken))
    except ValueError:
        sizes = ", ".join(
            f"{a.name} {'x'.join(map(str, t.shape))}"
            for a, t in zip(function.arguments, taken, strict=True)
            if t.shape
        )
        return Reason(
            f"{PREFIX}the ranges differ in size ({sizes}): give ranges of the same rows and columns"
        )

    keywords = {a.name: t.value for a, t in zip(function.arguments, taken, strict=True)}
    with reasons() as why_not, np.errstate(all="ignore"):
        try:
            result = _resolve(function.call)(**keywords)
        except (ValueError, UnitError) as why:
            return Reason(f"{PREFIX}{why}")
    if function.result.shape == "table":
        return [[_plain(value) for value in row] for row in result]
    if function.result.shape == "row":
        return _row(function, result, unit, shape, why_not, taken)
    return _cells(function, result, unit, shape, why_not, taken)


def _texts(problem: str | NDArray[np.object_] | None, each: bool) -> list[str]:
    """What is wrong with an argument as a whole; with `each`, with any of its cells as well."""
    if isinstance(problem, str):
        return [problem]
    return [] if problem is None or not each else [str(text) for text in problem.flat if text][:1]


def _is_blank(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _result_unit(function: Function, text: Any) -> str:
    if _is_blank(text):
        return function.result.unit
    if not isinstance(text, str):
        raise _Unusable(f"unit: write the result's unit as text, e.g. '{function.result.unit}'")
    try:
        converter(text.strip(), function.result.quantity)
    except UnitError as why:
        some = ", ".join(units_for(function.result.quantity)[:6])
        raise _Unusable(f"unit: {why}; use e.g. {some}") from None
    return text.strip()


# --- cells to arguments -----------------------------------------------------------------------------


def _take(argument: Argument, cell: Any) -> _Taken:
    if argument.kind == "table":
        return _take_table(argument, cell)
    if isinstance(cell, (list, tuple)) or (isinstance(cell, np.ndarray) and cell.ndim):
        return _take_range(argument, cell)
    if isinstance(cell, np.generic):
        cell = cell.item()
    if _is_blank(cell):
        if argument.required:
            return _Taken(None, problem=f"{argument.name}: missing; give {_wanted(argument)}")
        return _Taken(_default(argument))
    try:
        return _Taken(_single(argument, cell))
    except _Unusable as why:
        return _Taken(None, problem=f"{argument.name}: {why}")


def _wanted(argument: Argument) -> str:
    if argument.kind == "quantity":
        return f"the {argument.meaning} in {argument.unit}, or as text with its unit"
    if argument.kind == "choice":
        return f"one of {', '.join(argument.choices)}"
    return f"the {argument.meaning}"


@cache
def _default(argument: Argument) -> Any:
    if argument.default is None:
        return None
    return _single(argument, argument.default)


def _single(argument: Argument, cell: Any) -> Any:
    """One cell as the callable takes it; `_Unusable` with the reason."""
    kind = argument.kind
    if kind in ("quantity", "named", "number"):
        if isinstance(cell, bool):
            raise _Unusable(f"{str(cell).upper()} is not a number; give {_wanted(argument)}")
        if isinstance(cell, (int, float)):
            return _number(argument, _as_float(cell))
        if isinstance(cell, str):
            return _number_text(argument, cell)
        raise _Unusable(f"a {type(cell).__name__} is not a number; give {_wanted(argument)}")
    if kind == "flag":
        return _flag(cell)
    if kind == "choice":
        word = str(cell).strip().casefold()
        if word not in argument.choices:
            raise _Unusable(f"'{cell}' is not one of {', '.join(argument.choices)}")
        return word
    if kind == "text":
        return f"{cell:g}" if isinstance(cell, float) else str(cell).strip()
    return cell


def _as_float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:
        raise _Unusable("the number is too large") from None


def _flag(cell: Any) -> bool:
    if isinstance(cell, (bool, int, float)) and cell in (0, 1):
        return bool(cell)
    word = str(cell).strip().casefold()
    if word in ("true", "false"):
        return word == "true"
    raise _Unusable(f"'{cell}' is neither TRUE nor FALSE")


def _number(argument: Argument, number: float) -> float:
    if not math.isfinite(number):
        raise _Unusable("is not a finite number")
    if abs(number) > _TOO_LARGE:
        raise _Unusable(f"{number:g} is too large")
    if (argument.low is not None and number < argument.low) or (
        argument.high is not None and number > argument.high
    ):
        raise _Unusable(f"{number:g} {argument.unit} is outside {_range(argument)}".replace("  ", " "))
    if argument.kind == "number" or not argument.quantity:
        return number
    return float(converter(argument.unit, argument.quantity).to_si(number))


def _range(argument: Argument) -> str:
    if argument.high is None:
        span = f"the valid range, {argument.low:g} {argument.unit} and above"
    elif argument.low is None:
        span = f"the valid range, up to {argument.high:g} {argument.unit}"
    else:
        span = f"{argument.low:g} to {argument.high:g} {argument.unit}"
    return span.replace("  ", " ").strip()


@lru_cache(maxsize=4096)
def _number_text(argument: Argument, text: str) -> Any:
    if text.startswith(PREFIX):
        raise _Unusable("the cell it refers to has no result; mend that one first")
    try:
        read = parse(text, argument.quantity or "ratio", argument.unit or None)
    except UnitError as why:
        if argument.kind == "named":
            return text.strip()
        raise _Unusable(str(why)) from None
    if not (read.si_low == read.si_high == read.si):
        raise _Unusable(f"'{text}' is a range; give one number")
    if argument.kind == "number":
        return _number(argument, float(read.number))
    _number(argument, float(converter(argument.unit, argument.quantity).from_si(read.si)))
    return float(read.si)


def _take_range(argument: Argument, cells: Any) -> _Taken:
    if isinstance(cells, np.ndarray) and cells.dtype.kind in "fiu":
        return _take_numbers(argument, cells.astype(np.float64))
    try:
        block = np.array(cells, dtype=object)
    except ValueError:
        return _Taken(None, problem=f"{argument.name}: the rows of the range differ in length")
    if block.ndim > 2:
        return _Taken(None, problem=f"{argument.name}: give a range of rows and columns")
    if block.ndim == 2 and block.shape == (1, 1):
        return _take(argument, block[0, 0])
    if argument.kind in ("quantity", "number", "named") and all(
        type(c) is float or (type(c) is int and abs(c) <= _TOO_LARGE) for c in block.flat
    ):
        return _take_numbers(argument, block.astype(np.float64))
    return _take_each(argument, block)


def _take_numbers(argument: Argument, numbers: NDArray[np.float64]) -> _Taken:
    bad = ~(np.abs(numbers) <= _TOO_LARGE)
    if argument.low is not None:
        bad |= numbers < argument.low
    if argument.high is not None:
        bad |= numbers > argument.high
    problem = None
    if bad.any():
        problem = np.full(numbers.shape, None, dtype=object)
        for at in np.argwhere(bad):
            try:
                _number(argument, float(numbers[tuple(at)]))
            except _Unusable as why:
                problem[tuple(at)] = f"{argument.name}: {why}"
        numbers = np.where(bad, np.nan, numbers)
    si = numbers
    if argument.kind != "number" and argument.quantity:
        si = converter(argument.unit, argument.quantity).to_si(numbers)
    return _Taken(si, numbers.shape, problem)


def _take_each(argument: Argument, block: NDArray[np.object_]) -> _Taken:
    """Cell by cell; a value that recurs is read once."""
    known: dict[tuple[type, Any], tuple[Any, str | None]] = {}
    values: list[Any] = []
    texts: list[str | None] = []
    blank = np.zeros(block.shape, dtype=np.bool_)
    filler = _filler(argument)
    for position, cell in enumerate(block.flat):
        if _is_blank(cell):
            blank.flat[position] = True
            if argument.required:
                values.append(filler)
                texts.append(f"{argument.name}: missing; give {_wanted(argument)}")
            else:
                default = _default(argument)
                values.append(filler if default is None else default)
                texts.append(None)
            continue
        key = (type(cell), cell) if isinstance(cell, Hashable) else (type(cell), id(cell))
        if key not in known:
            try:
                known[key] = (_single(argument, cell), None)
            except _Unusable as why:
                known[key] = (filler, f"{argument.name}: {why}")
        value, text = known[key]
        values.append(value)
        texts.append(text)
    numeric = all(isinstance(v, float) for v in values)
    flags = argument.kind == "flag"
    array = np.empty(len(values), dtype=np.bool_ if flags else np.float64 if numeric else object)
    array[:] = values
    problem: NDArray[np.object_] | None = None
    if any(texts):
        problem = _objects(texts).reshape(block.shape)
    return _Taken(array.reshape(block.shape), block.shape, problem, blank if blank.any() else None)


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


def _take_table(argument: Argument, cells: Any) -> _Taken:
    if isinstance(cells, np.ndarray):
        cells = cells.tolist()
    if not isinstance(cells, (list, tuple)):
        if _is_blank(cells) and not argument.required:
            return _Taken(None)
        return _Taken(None, problem=f"{argument.name}: give a range with its headings in the first row")
    rows = [list(row) if isinstance(row, (list, tuple)) else [row] for row in cells]
    width = max(map(len, rows), default=0)
    return _Taken([[_table_cell(cell) for cell in row] + [None] * (width - len(row)) for row in rows])


def _table_cell(cell: Any) -> Any:
    """A cell of a table; what is none, or is too large to reckon with, becomes a text that cannot be read."""
    if isinstance(cell, np.generic):
        cell = cell.item()
    if isinstance(cell, (int, float)):
        return cell if cell != cell or abs(cell) <= _TOO_LARGE else "(a number that is too large)"
    if cell is None or isinstance(cell, (str, date)):
        return cell
    return f"({type(cell).__name__})"


# --- results to cells -------------------------------------------------------------------------------


def _plain(value: Any) -> Any:
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return "unlimited" if value > 0 else ""
    return value


def _unit_of(function: Function, result: Any, unit: str) -> Any:
    if not function.result.quantity or function.result.text:
        return result
    return converter(unit, function.result.quantity).from_si(result)


def _cells(
    function: Function, result: Any, unit: str, shape: tuple[int, ...], why_not: Any, taken: list[_Taken]
) -> Any:
    if not shape and not np.shape(result):
        if function.result.text or isinstance(result, str):
            why = "" if str(result) else str(why_not.at(""))
            return Reason(PREFIX + why) if why else str(result)
        if math.isnan(result):
            return Reason(PREFIX + (str(why_not.at(result)) or "no result: outside the range of validity"))
        return _plain(float(_unit_of(function, result, unit)))
    values = np.broadcast_to(np.asarray(_unit_of(function, result, unit)), shape)
    if values.dtype.kind not in "fiu":
        out = values.astype(object)
        texts = why_not.at(np.empty(shape))
        for at in map(tuple, np.argwhere((out == "") & (texts != ""))):
            out[at] = Reason(PREFIX + texts[at])
    else:
        bad = ~np.isfinite(values)
        if not bad.any() and all(t.problem is None for t in taken):
            return np.array(values, dtype=np.float64)
        out = values.astype(object)
        texts = why_not.at(np.empty(shape))
        for at in map(tuple, np.argwhere(bad)):
            plain = _plain(float(values[at]))
            out[at] = plain or Reason(PREFIX + (texts[at] or "no result: outside the range of validity"))
    _write_problems(out, shape, taken)
    return out


def _write_problems(out: NDArray[np.object_], shape: tuple[int, ...], taken: list[_Taken]) -> None:
    """Replace the elements whose own cells are blank or wrong."""
    all_texts: dict[tuple[int, ...], list[str]] = {}
    for argument in taken:
        if argument.problem is not None:
            spread = np.broadcast_to(argument.problem, shape)
            for at in map(tuple, np.argwhere(spread != np.array(None))):
                all_texts.setdefault(at, []).append(spread[at])
    # a row of the sheet that is still empty gives an empty result, not a reason
    blanks = [t.blank for t in taken if t.shape]
    empty = np.zeros(shape, dtype=np.bool_)
    if blanks and all(blank is not None for blank in blanks):
        empty = np.logical_and.reduce([np.broadcast_to(np.asarray(blank), shape) for blank in blanks])
    for at, texts in all_texts.items():
        out[at] = "" if empty[at] else Reason(PREFIX + "; ".join(texts))


def _row(
    function: Function,
    result: tuple[Any, ...],
    unit: str,
    shape: tuple[int, ...],
    why_not: Any,
    taken: list[_Taken],
) -> Any:
    if len(shape) == 2 and shape[1] != 1:
        return Reason(
            f"{PREFIX}this function fills {len(result)} cells side by side: give ranges of one column"
        )
    columns = [_cells(function, part, unit, shape, why_not, taken) for part in result]
    if not shape:
        return columns
    flat = [np.asarray(column, dtype=object).reshape(-1) for column in columns]
    return np.stack(flat, axis=1)
