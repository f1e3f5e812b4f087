"""From the cells of a formula to the SI callable and back.

Arguments are converted once, here; all that is wrong with them is reported together. A repeated text
("0.82 SG") is parsed once and remembered, so that a scalar call costs microseconds beyond the physics.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from importlib import import_module
from itertools import chain, zip_longest
from operator import itemgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.gauge import Reasons, reasons
from xlfuncs.gauge._reasons import Array
from xlfuncs.units import Converter, UnitError, converter, parse, units_for
from xlfuncs.worksheet import _gravity
from xlfuncs.worksheet.refusal import (
    ERRORS,
    IMPOSSIBLE,
    KINDS,
    MISSING,
    UNUSABLE,
    Refusal,
    refusal,
)
from xlfuncs.worksheet.spec import Argument, Function

_TOO_LARGE = 1e15
"""In the trade unit of any argument: a slip, and beyond what the arithmetic bears."""


_BLOCK = 1 << 17
"""Cells that are calculated together."""
_ROOM = 4096
"""Texts that are remembered for an argument."""
_NO_RESULT = "no result: outside the range of validity"


@dataclass(frozen=True, slots=True)
class _Problem:
    """What is wrong with the cell of an argument."""

    rank: int
    """Which of several decides the error value: 0 an error that is passed on, 1 what cannot be used, 2
    what is missing."""
    error: str
    text: str


@dataclass(slots=True)
class _Taken:
    """One argument, ready for the callable."""

    value: Any
    """SI number, text, flag, rows of a table, None, or an array of numbers or texts."""
    shape: tuple[int, ...] = ()
    problem: _Problem | NDArray[np.object_] | None = None
    """Of a range: of each cell, None where it is sound."""


class _Unusable(Exception):
    """A value that cannot be taken; the text is the reason."""

    def __init__(self, text: str, error: str = UNUSABLE, rank: int = 1) -> None:
        super().__init__(text)
        self.error, self.rank = error, rank

    def about(self, argument: Argument) -> _Problem:
        return _Problem(self.rank, self.error, f"{argument.name}: {self}")


def _together(problems: Sequence[_Problem]) -> Refusal:
    """All problems of a call as one refusal."""
    first = min(problems, key=lambda problem: problem.rank)
    return refusal(first.error, "; ".join(problem.text for problem in problems))


@cache
def _resolve(path: str) -> Callable[..., Any]:
    module, _, name = path.partition(":")
    found: Callable[..., Any] = getattr(import_module(module), name)
    return found


def evaluate(function: Function, arguments: Sequence[Any]) -> Any:
    """The value of `function` for the cells `arguments`; see `xlfuncs.worksheet.call`."""
    sound = _single_cells(function, arguments)
    if sound is not None:
        return _call(function, *sound, (), [])
    arguments = [
        _rows_of_numbers(argument, cell) if isinstance(cell, (list, tuple)) else cell
        for argument, cell in zip_longest(function.arguments, arguments)
    ][: len(arguments)]
    if function.result.shape == "cell":
        rows = _long_ranges(arguments)
        if rows:
            return _by_blocks(function, arguments, rows)
    ready = _prepare(function, arguments)
    return ready if isinstance(ready, Refusal) else _answer(function, ready)


@dataclass(slots=True)
class _Ready:
    """A call whose arguments are none that refuse it as a whole."""

    given: list[Any]
    """A cell or range for each declared argument."""
    taken: list[_Taken]
    unit: str
    shape: tuple[int, ...]


def _prepare(function: Function, arguments: Sequence[Any]) -> _Ready | Refusal:
    """The arguments taken, or all that is wrong with them."""
    given = list(arguments)
    while given and _is_blank(given[-1]):
        given.pop()
    most = len(function.arguments) + function.takes_unit
    if len(given) > most:
        return refusal(UNUSABLE, f"{len(given)} arguments given, {most} taken: {function.signature}")
    unit_text = given.pop() if len(given) == most and function.takes_unit else None
    given += [None] * (len(function.arguments) - len(given))

    problems: list[_Problem] = []
    try:
        unit = _result_unit(function, unit_text)
    except _Unusable as why:
        problems.append(_Problem(why.rank, why.error, f"unit: {why}"))
        unit = function.result.unit
    taken = [_take(argument, cell) for argument, cell in zip(function.arguments, given, strict=True)]
    # a table is made of all cells together, so that one that cannot be used spoils it
    whole = function.result.shape == "table"
    problems += [found for t in taken for found in _problems(t.problem, whole)]
    if problems:
        return _together(problems)
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
    return _Ready(given, taken, unit, shape)


def _answer(function: Function, ready: _Ready, out: Array | None = None) -> Any:
    """The value, unless a plain number has to be asked back first.

    `out` is where an array of numbers may be written; where it was, it is what is given back.
    """
    keywords = {a.name: t.value for a, t in zip(function.arguments, ready.taken, strict=True)}
    asked = _ask_back(function, ready.given, ready.taken, keywords)
    if asked is not None:
        return asked
    return _call(function, keywords, ready.unit, ready.shape, ready.taken, out)


def _call(
    function: Function,
    keywords: dict[str, Any],
    unit: str,
    shape: tuple[int, ...],
    taken: list[_Taken],
    out: Array | None = None,
) -> Any:
    """The value for arguments that are ready."""
    with reasons() as why_not, np.errstate(all="ignore"):
        try:
            result = _resolve(function.call)(**keywords)
        except ValueError as why:
            return refusal(KINDS[getattr(why, "kind", "unusable")], str(why))
    if function.result.shape == "any":
        return result
    if function.result.shape == "table":
        return [[_table_result(value, why_not) for value in row] for row in result]
    if function.result.shape == "row":
        return _row(function, result, unit, shape, why_not, taken)
    return _cells(function, result, unit, shape, why_not, taken, out)


# --- long ranges ------------------------------------------------------------------------------------


def _long_ranges(arguments: Sequence[Any]) -> int:
    """Rows of a block of `_by_blocks`, where the ranges are long enough, numbers, and of one size; else 0."""
    ranges = [cell for cell in arguments if isinstance(cell, np.ndarray)]
    shapes = {cell.shape for cell in ranges if cell.size != 1}
    if len(shapes) != 1 or any(isinstance(cell, (list, tuple)) for cell in arguments):
        return 0
    (shape,) = shapes
    if any(cell.ndim > len(shape) or cell.dtype.kind not in "fiu" for cell in ranges):
        return 0
    width = math.prod(shape[1:])
    return int(_BLOCK // width) if shape[0] * width >= 2 * _BLOCK and width <= _BLOCK else 0


def _by_blocks(function: Function, arguments: Sequence[Any], rows: int) -> Any:
    """The value for long ranges, block by block, so that what is reckoned with stays in the cache."""
    first = [cell[:rows] if _is_long(cell) else cell for cell in arguments]
    ready = _prepare(function, first)
    if isinstance(ready, Refusal):
        return ready
    cut = {at: cell for at, cell in enumerate(arguments) if _is_long(cell)}
    total = len(next(iter(cut.values())))
    out: NDArray[Any] = np.empty((total, *ready.shape[1:]), dtype=np.float64)
    for top in range(0, total, rows):
        if top:
            ready = _next_block(function, ready, {at: cell[top : top + rows] for at, cell in cut.items()})
        here = out[top : top + rows] if out.dtype == np.float64 else None
        found = _answer(function, ready, here)
        if not isinstance(found, np.ndarray):
            return found  # refused as a whole
        if found is here:
            continue
        if found.dtype == object and out.dtype != object:
            out = out.astype(object)
        out[top : top + rows] = found
    return out


def _is_long(cell: Any) -> bool:
    return isinstance(cell, np.ndarray) and cell.size != 1


def _next_block(function: Function, ready: _Ready, block: dict[int, NDArray[Any]]) -> _Ready:
    """The call with other cells in its ranges; what is one cell has been taken already."""
    given, taken = list(ready.given), list(ready.taken)
    for at, cells in block.items():
        given[at], taken[at] = cells, _take_range(function.arguments[at], cells)
    for at, found in enumerate(taken):
        if at not in block and found.problem is not None:  # asked back for a cell of another block
            taken[at] = _take(function.arguments[at], given[at])
    return _Ready(given, taken, ready.unit, next(iter(block.values())).shape)


# --- single cells -----------------------------------------------------------------------------------


class _Slot:
    """What is known of an argument before any call, and of the texts that it was given."""

    __slots__ = ("argument", "high", "known", "low", "name", "numbers", "offset", "scale")

    def __init__(self, argument: Argument) -> None:
        self.argument, self.name = argument, argument.name
        self.low, self.high = _sure(argument)
        self.scale, self.offset = 1.0, 0.0
        self.numbers = argument.kind in ("quantity", "number", "named")
        if self.numbers and argument.kind != "number" and argument.quantity:
            unit = converter(argument.unit, argument.quantity)
            self.scale, self.offset = unit.scale, unit.offset
            self.numbers = type(unit) is Converter
        self.known: dict[Any, Any] = {}
        """Texts, and None for a blank cell, with what the callable takes for them."""

    def learn(self, cell: Any) -> Any:
        """What the callable takes for a text or a blank cell; `_Unusable` where that is for a closer look."""
        if _is_blank(cell):
            if self.argument.required:
                raise _missing(self.argument)
            value = _default(self.argument)
        elif self.argument.liquid == "maybe" and _gravity.is_bare(cell):
            raise _Unusable("may be asked back")
        else:
            value = _single(self.argument, cell)
        if len(self.known) >= _ROOM:
            self.known.clear()
        self.known[cell] = value
        return value

    def look_at(self, cell: float) -> Any:
        """What the callable takes for a number that needs a closer look."""
        if self.argument.liquid == "maybe" and _gravity.looks_so(cell):
            raise _Unusable("may be asked back")
        return _single(self.argument, cell)


_slots: dict[str, tuple[Function, list[_Slot]]] = {}


def _slots_of(function: Function) -> list[_Slot]:
    found = _slots.get(function.name)
    if found is None or found[0] is not function:
        plain = all(argument.kind not in ("any", "table") for argument in function.arguments)
        found = _slots[function.name] = function, [_Slot(a) for a in function.arguments] if plain else []
    return found[1]


def _single_cells(function: Function, arguments: Sequence[Any]) -> tuple[dict[str, Any], str] | None:
    """The arguments in SI and the result's unit, where all are single cells and sound; else None.

    Whatever is not is looked at again, to be reported together.
    """
    slots = _slots_of(function)
    count = len(slots)
    if not count or len(arguments) > count + function.takes_unit:
        return None
    keywords: dict[str, Any] = {}
    try:
        for slot, cell in zip(slots, arguments, strict=False):
            kind = type(cell)
            if kind is float or kind is int:
                if slot.numbers and slot.low < cell < slot.high:
                    keywords[slot.name] = cell * slot.scale + slot.offset
                else:
                    keywords[slot.name] = slot.look_at(cell)
            elif kind is str or cell is None:
                keywords[slot.name] = slot.known[cell] if cell in slot.known else slot.learn(cell)
            else:
                return None
        for slot in slots[len(arguments) :]:
            keywords[slot.name] = slot.known[None] if None in slot.known else slot.learn(None)
        unit = _result_unit(function, arguments[count]) if len(arguments) > count else function.result.unit
    except _Unusable:
        return None
    return keywords, unit


def _ask_back(
    function: Function, given: Sequence[Any], taken: Sequence[_Taken], keywords: dict[str, Any]
) -> Refusal | None:
    """Note where the upper fluid's plain number can be a specific gravity; a refusal where that is all."""
    for argument, cell, found in zip(function.arguments, given, taken, strict=True):
        if argument.liquid != "maybe" or cell is None or found.problem is not None:
            continue
        if isinstance(cell, (int, float)) and not _gravity.looks_so(cell):
            continue
        plain = _plain_cells(cell)
        if plain is None:
            continue
        with np.errstate(all="ignore"):
            doubt = _gravity.looks_so(plain) & _gravity.possible_above(plain, keywords)
        if not doubt.any():
            continue
        texts = np.full(doubt.shape, None, dtype=object)
        numbers = np.broadcast_to(plain, doubt.shape)
        for at in map(tuple, np.argwhere(doubt)):
            number = float(numbers[at])
            what = f"{number:g} can be a gas in {argument.unit} or a liquid's specific gravity; "
            texts[at] = _Unusable(what + _gravity.question(number, argument.unit)).about(argument)
        if not doubt.shape or function.result.shape == "table":
            return _together([text for text in texts.ravel().tolist() if text is not None][:1])
        found.problem = texts
    return None


def _plain_cells(cell: Any) -> NDArray[np.float64] | None:
    """The numbers without a unit in an argument, NaN elsewhere; None where there is none."""
    if isinstance(cell, np.ndarray) and cell.dtype.kind in "fiu":
        return cell.astype(np.float64)
    cells = np.array(cell, dtype=object)
    numbers = np.array([_bare_number(found) for found in cells.ravel().tolist()], dtype=np.float64)
    return None if np.isnan(numbers).all() else numbers.reshape(cells.shape)


def _bare_number(cell: Any) -> float:
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        return float(cell)
    if isinstance(cell, str) and cell.strip() and _gravity.is_bare(cell):
        return float(parse(cell, "density").number)
    return math.nan


def _problems(problem: _Problem | NDArray[np.object_] | None, each: bool) -> list[_Problem]:
    """What is wrong with an argument as a whole; with `each`, with the first of its cells as well."""
    if isinstance(problem, _Problem):
        return [problem]
    found: list[Any] = [] if problem is None or not each else problem.ravel().tolist()
    return [cell for cell in found if cell is not None][:1]


def _is_blank(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _result_unit(function: Function, text: Any) -> str:
    if _is_blank(text):
        return function.result.unit
    _refuse_error(text)
    if not isinstance(text, str):
        raise _Unusable(f"write the result's unit as text, e.g. '{function.result.unit}'")
    try:
        converter(text.strip(), function.result.quantity)
    except UnitError as why:
        some = ", ".join(units_for(function.result.quantity)[:6])
        raise _Unusable(f"{why}; use e.g. {some}") from None
    return text.strip()


# --- cells to arguments -----------------------------------------------------------------------------


def _refuse_error(cell: Any) -> None:
    """Pass on the error value of a cell: a `Refusal`, or the text of an error."""
    if isinstance(cell, Refusal):
        raise _Unusable(f"the cell it refers to has no result, {cell}", cell.error, 0)
    if isinstance(cell, str) and cell in ERRORS:
        reason = getattr(cell, "reason", "")
        if reason:
            raise _Unusable(f"the cell it refers to has no result, {cell} ({reason})", str(cell), 0)
        raise _Unusable(f"the cell it refers to holds {cell}; mend that one first", str(cell), 0)


def _missing(argument: Argument) -> _Unusable:
    return _Unusable(f"missing; give {_wanted(argument)}", MISSING, 2)


def _take(argument: Argument, cell: Any) -> _Taken:
    if argument.kind == "any":
        return _Taken(cell)
    if argument.kind == "table":
        return _take_table(argument, cell)
    if isinstance(cell, (list, tuple)) or (isinstance(cell, np.ndarray) and cell.ndim):
        return _take_range(argument, cell)
    if isinstance(cell, np.generic):
        cell = cell.item()
    if _is_blank(cell):
        if argument.required:
            return _Taken(None, problem=_missing(argument).about(argument))
        return _Taken(_default(argument))
    try:
        return _Taken(_single(argument, cell))
    except _Unusable as why:
        return _Taken(None, problem=why.about(argument))


def _wanted(argument: Argument) -> str:
    if argument.kind == "quantity":
        return f"the {argument.meaning} in {argument.unit}, or as text with its unit"
    if argument.kind == "choice":
        return f"one of {', '.join(argument.choices)}"
    if argument.kind == "table":
        return f"a range with its headings in the first row: {argument.meaning}"
    return f"the {argument.meaning}"


@cache
def _default(argument: Argument) -> Any:
    if argument.default is None:
        return None
    return _single(argument, argument.default)


def _single(argument: Argument, cell: Any) -> Any:
    """One cell as the callable takes it; `_Unusable` with the reason."""
    _refuse_error(cell)
    kind = argument.kind
    if kind in ("quantity", "named", "number"):
        if isinstance(cell, bool):
            raise _Unusable(f"{str(cell).upper()} is not a number; give {_wanted(argument)}")
        if isinstance(cell, (int, float)):
            return _number(argument, _plain_number(argument, _as_float(cell)))
        if isinstance(cell, str):
            return _number_text(argument, cell)
        raise _Unusable(f"a {type(cell).__name__} is not a number; give {_wanted(argument)}")
    if kind == "flag":
        return _flag(cell)
    if kind == "choice":
        return _choice(argument, str(cell).strip().casefold())
    if kind == "text":
        return f"{cell:g}" if isinstance(cell, float) else str(cell).strip()
    return cell


def _choice(argument: Argument, word: str) -> str:
    """One of the choices; of a shape of ends also one for each end, bottom/top: 'flat/hemispherical'."""
    if word in argument.choices:
        return word
    parts = [part.strip() for part in word.split("/")]
    if len(parts) == 2 and argument.name == "ends" and all(part in argument.choices for part in parts):
        return parts[0] if parts[0] == parts[1] else "/".join(parts)
    raise _Unusable(f"'{word}' is not one of {', '.join(argument.choices)}")


def _as_float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:
        raise _Unusable("the number is too large") from None


def _plain_number(argument: Argument, number: float) -> float:
    """A number without a unit; one that is more likely of another unit is asked back."""
    if argument.slip is not None and number > argument.slip[0]:
        raise _Unusable(
            f'{number:g} is hardly in {argument.unit}; write "{number:g} {argument.slip[1]}" if that is meant'
        )
    if argument.liquid == "surely" and _gravity.looks_so(number):
        doubt = f"{number:g} is hardly a liquid's density in {argument.unit}; "
        raise _Unusable(doubt + _gravity.question(number, argument.unit))
    return number


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
    si = float(converter(argument.unit, argument.quantity).to_si(number))
    if argument.quantity == "temperature" and si < 0:
        raise _Unusable(f"{number:g} {argument.unit} is below absolute zero, -273.15 degC")
    return si


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
    if argument.liquid == "surely" and _gravity.is_bare(text):
        _plain_number(argument, float(read.number))
    _number(argument, float(converter(argument.unit, argument.quantity).from_si(read.si)))
    return float(read.si)


def _take_range(argument: Argument, cells: Any) -> _Taken:
    if isinstance(cells, np.ndarray) and cells.dtype.kind in "fiu":
        return _take_numbers(argument, cells.astype(np.float64, copy=False))
    try:
        block = np.array(cells, dtype=object)
    except ValueError:
        return _whole(argument, "the rows of the range differ in length")
    if block.ndim > 2:
        return _whole(argument, "give a range of rows and columns")
    if block.ndim == 2 and block.shape == (1, 1):
        return _take(argument, block[0, 0])
    return _take_each(argument, block)


def _rows_of_numbers(argument: Argument | None, cells: list[Any] | tuple[Any, ...]) -> Any:
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


def _whole(argument: Argument, text: str) -> _Taken:
    """An argument that cannot be used as a whole."""
    return _Taken(None, problem=_Unusable(text).about(argument))


def _take_numbers(argument: Argument, numbers: NDArray[np.float64]) -> _Taken:
    si = numbers
    if argument.kind != "number" and argument.quantity:
        si = converter(argument.unit, argument.quantity).to_si(numbers)
    low, high = _sure(argument)
    if not numbers.size or (numbers.min() > low and numbers.max() < high):  # not so where one is NaN
        return _Taken(si, numbers.shape)
    bad = ~(np.abs(numbers) <= _TOO_LARGE)
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
        return _Taken(si, numbers.shape)
    problem = np.full(numbers.shape, None, dtype=object)
    for at in np.argwhere(bad):
        try:
            _number(argument, _plain_number(argument, float(numbers[tuple(at)])))
        except _Unusable as why:
            problem[tuple(at)] = why.about(argument)
    return _Taken(np.where(bad, np.nan, si), numbers.shape, problem)


def _sure(argument: Argument) -> tuple[float, float]:
    """Between these two a number without a unit needs no closer look: in range, and never asked back.

    It has to know each reason for which `_plain_number` and `_number` refuse.
    """
    low = -_TOO_LARGE if argument.low is None else max(argument.low, -_TOO_LARGE)
    high = _TOO_LARGE if argument.high is None else min(argument.high, _TOO_LARGE)
    if argument.liquid:
        low = max(low, _gravity.HIGHEST)
    if argument.slip is not None:
        high = min(high, argument.slip[0])
    if argument.quantity == "temperature":
        low = max(low, float(converter(argument.unit, argument.quantity).from_si(0.0)))
    return low, high


def _take_each(argument: Argument, block: NDArray[np.object_]) -> _Taken:
    """Cell by cell; a value that recurs is read once."""
    known: dict[tuple[type, Any], tuple[Any, _Problem | None]] = {}
    values: list[Any] = []
    problems: list[_Problem | None] = []
    filler = _filler(argument)
    missing = _missing(argument).about(argument) if argument.required else None
    for cell in block.flat:
        if _is_blank(cell):
            default = None if argument.required else _default(argument)
            values.append(default if default is not None else "" if argument.choices else filler)
            problems.append(missing)
            continue
        key = (type(cell), cell) if isinstance(cell, Hashable) else (type(cell), id(cell))
        if key not in known:
            try:
                known[key] = (_single(argument, cell), None)
            except _Unusable as why:
                known[key] = (filler, why.about(argument))
        value, problem = known[key]
        values.append(value)
        problems.append(problem)
    numeric = all(isinstance(v, float) for v in values)
    flags = argument.kind == "flag"
    array = np.empty(len(values), dtype=np.bool_ if flags else np.float64 if numeric else object)
    array[:] = values
    found = None if not any(problems) else _objects(problems).reshape(block.shape)
    return _Taken(array.reshape(block.shape), block.shape, found)


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
        try:
            _refuse_error(cells)
        except _Unusable as why:
            return _Taken(None, problem=why.about(argument))
        if _is_blank(cells):
            problem = _missing(argument).about(argument) if argument.required else None
            return _Taken(None, problem=problem)
        return _whole(argument, "give a range with its headings in the first row")
    rows = [list(row) if isinstance(row, (list, tuple)) else [row] for row in cells]
    width = max(map(len, rows), default=0)
    return _Taken([[_table_cell(cell) for cell in row] + [None] * (width - len(row)) for row in rows])


def _table_cell(cell: Any) -> Any:
    """A cell of a table; what is none, or is too large to reckon with, becomes a text that cannot be read."""
    if isinstance(cell, np.generic):
        cell = cell.item()
    if isinstance(cell, (int, float)):
        return cell if cell != cell or abs(cell) <= _TOO_LARGE else "(a number that is too large)"
    if isinstance(cell, Refusal):
        return cell.error
    if cell is None or isinstance(cell, (str, date)):
        return cell
    return f"({type(cell).__name__})"


# --- results to cells -------------------------------------------------------------------------------


def _plain(value: float) -> float | str:
    """A number as a cell shows it; `nan` and minus infinity have no place there."""
    return "unlimited" if value == math.inf else value


def _table_result(value: Any, why_not: Reasons) -> Any:
    """A cell of a table: a number that is none refuses alone."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value) and value != math.inf:
        return _refused(*why_not.why(np.empty(())))
    return _plain(value) if isinstance(value, float) else value


def _refused(text: Any, kind: Any) -> Refusal:
    """The refusal for a reason noted in `gauge`, or for none."""
    return refusal(KINDS.get(str(kind), IMPOSSIBLE), str(text) or _NO_RESULT)


def _unit_of(function: Function, result: Any, unit: str, out: Array | None = None) -> Any:
    if not function.result.quantity or function.result.text:
        return result
    to = converter(unit, function.result.quantity)
    if out is not None and np.shape(result) == out.shape and type(to) is Converter and not to.offset:
        return np.divide(result, to.scale, out=out)
    return to.from_si(result)


def _cells(
    function: Function,
    result: Any,
    unit: str,
    shape: tuple[int, ...],
    why_not: Reasons,
    taken: list[_Taken],
    out: Array | None = None,
) -> Any:
    if not shape and not np.shape(result):
        if function.result.text or isinstance(result, str):
            text, kind = why_not.why("")
            return str(result) if str(result) or not str(text) else _refused(text, kind)
        value = float(_unit_of(function, result, unit))
        if math.isnan(value) or value == -math.inf:
            return _refused(*why_not.why(result))
        return _plain(value)
    values = np.asarray(_unit_of(function, result, unit, out))
    if values is result or values.shape != shape:
        values = np.array(np.broadcast_to(values, shape))
    if values.dtype.kind in "fiu":
        finite = np.isfinite(values)
        if finite.all() and all(t.problem is None for t in taken):
            return values.astype(np.float64, copy=False)
    cells = values.astype(object)
    if values.dtype.kind in "fiu":
        cells[np.isposinf(values)] = "unlimited"
        bad = ~finite & ~np.isposinf(values)
    else:
        bad = (values == "") & (why_not.at(np.empty(shape)) != "")
    if bad.any():
        texts, kinds = why_not.why(np.empty(shape))
        for at in map(tuple, np.argwhere(bad)):
            cells[at] = _refused(texts[at], kinds[at])
    _write_problems(cells, shape, taken)
    return cells


def _write_problems(out: NDArray[np.object_], shape: tuple[int, ...], taken: list[_Taken]) -> None:
    """Replace the elements whose own cells are blank or wrong."""
    problems: dict[tuple[int, ...], list[_Problem]] = {}
    for argument in taken:
        if isinstance(argument.problem, np.ndarray):
            spread = np.broadcast_to(argument.problem, shape)
            for at in map(tuple, np.argwhere(spread != np.array(None))):
                problems.setdefault(at, []).append(spread[at])
    for at, found in problems.items():
        out[at] = _together(found)


def _row(
    function: Function,
    result: tuple[Any, ...],
    unit: str,
    shape: tuple[int, ...],
    why_not: Reasons,
    taken: list[_Taken],
) -> Any:
    if len(shape) == 2 and shape[1] != 1:
        return refusal(
            UNUSABLE, f"this function fills {len(result)} cells side by side: give ranges of one column"
        )
    columns = [_cells(function, part, unit, shape, why_not, taken) for part in result]
    if not shape:
        return columns
    flat = [np.asarray(column, dtype=object).reshape(-1) for column in columns]
    return np.stack(flat, axis=1)
