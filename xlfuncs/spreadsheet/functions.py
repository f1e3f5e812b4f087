"""The functions that the evaluator knows: those that it was handed, and the ordinary ones that stand around
them in an index.

An ordinary function that is not listed here is named as not understood; nothing is approximated.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal
from typing import Any

from xlfuncs.spreadsheet.block import as_block, single
from xlfuncs.spreadsheet.formula import (
    DIV0,
    NA,
    NAME,
    NULL,
    NUM,
    REF,
    VALUE,
    Area,
    At,
    CellError,
    Node,
    NotUnderstood,
    content,
    crossing,
    each,
    number,
    order,
    plain,
    power,
    text,
)

Arguments = Sequence[Node | None]


class _Error(Exception):
    """An error value met on the way; it is the result."""

    def __init__(self, value: CellError) -> None:
        super().__init__(value)
        self.value = value


def call(function: str, arguments: Arguments, at: At) -> Any:
    """The value of a function; NotUnderstood if it is not known here."""
    try:
        own = at.cells.functions.own(function)
        if own is not None:
            return _own(own, arguments, at)
        lazy = _LAZY.get(function)
        if lazy is not None:
            return lazy(arguments, at)
        if function in _CELLWISE:
            fewest, most, cellwise = _CELLWISE[function]
            _count(function, arguments, fewest, most)
            return each(cellwise, *(plain(_value(a, at), at) for a in arguments))
        if function in _WHOLE:
            fewest, most, whole = _WHOLE[function]
            _count(function, arguments, fewest, most)
            inside = replace(at, array=True) if function == "SUMPRODUCT" else at
            return whole(at, *(_value(a, inside) for a in arguments))
    except _Error as error:
        return error.value
    raise NotUnderstood(f"the function {function}")


def _count(function: str, arguments: Arguments, fewest: int, most: int) -> None:
    if not fewest <= len(arguments) <= most:
        raise NotUnderstood(f"{function} with {len(arguments)} arguments")


def _value(argument: Node | None, at: At) -> Any:
    return None if argument is None else argument.value(at)


def _own(function: str, arguments: Arguments, at: At) -> Any:
    functions = at.cells.functions
    if why := functions.unknown(function):
        raise NotUnderstood(f"the function {function} ({why})")
    found = functions.call(function, [content(_value(a, at), at) for a in arguments])
    value = single([[_normal(cell) for cell in row] for row in as_block(found)])
    if at.refused is not None:
        errors = (cell for row in as_block(value) for cell in row if isinstance(cell, CellError))
        at.refused.extend((function, error) for error in dict.fromkeys(errors))
    return value


def _normal(cell: Any) -> Any:
    """A cell as formulas see it: a number is a float, a refusal is an error that knows its reason."""
    if cell is None or isinstance(cell, (bool, float, str)):
        return cell
    return float(cell) if isinstance(cell, int) else CellError(cell.error, cell.reason)


# --- functions that look at some of their arguments only -------------------------------------------------


def _truth(value: Any) -> bool:
    if isinstance(value, CellError):
        raise _Error(value)
    if isinstance(value, str):
        word = value.strip().upper()
        if word not in ("TRUE", "FALSE"):
            raise _Error(VALUE)
        return word == "TRUE"
    return bool(value)


def _if(arguments: Arguments, at: At) -> Any:
    _count("IF", arguments, 2, 3)
    condition = plain(_value(arguments[0], at), at)
    if isinstance(condition, list):
        yes, no = (content(_branch(arguments, n, at), at) for n in (1, 2))
        return each(
            lambda c, y, n: c if isinstance(c, CellError) else y if _truth(c) else n, condition, yes, no
        )
    return _branch(arguments, 1 if _truth(condition) else 2, at)


def _branch(arguments: Arguments, position: int, at: At) -> Any:
    if position >= len(arguments):
        return False
    chosen = arguments[position]
    return 0.0 if chosen is None else chosen.value(at)


def _instead(only: frozenset[CellError] | None) -> Callable[[Arguments, At], Any]:
    def instead(arguments: Arguments, at: At) -> Any:
        _count("IFERROR", arguments, 2, 2)
        value = plain(_value(arguments[0], at), at)

        def wrong(cell: Any) -> bool:
            return isinstance(cell, CellError) and (only is None or cell in only)

        if isinstance(value, list):
            other = content(_branch(arguments, 1, at), at)
            return each(lambda cell, otherwise: otherwise if wrong(cell) else cell, value, other)
        return _branch(arguments, 1, at) if wrong(value) else value

    return instead


def _choose(arguments: Arguments, at: At) -> Any:
    which = number(plain(_value(arguments[0], at), at)) if arguments else VALUE
    if isinstance(which, CellError):
        return which
    if not 1 <= int(which) < len(arguments):
        return VALUE
    return _branch(arguments, int(which), at)


def _crossed(arguments: Arguments, at: At) -> Any:
    _count("@", arguments, 1, 1)
    value = _value(arguments[0], at)
    if isinstance(value, Area) and not value.one:
        return crossing(value, at)
    return value[0][0] if isinstance(value, list) else value


def _place(index: int) -> Callable[[Arguments, At], Any]:
    def place(arguments: Arguments, at: At) -> Any:
        _count("ROW", arguments, 0, 1)
        if not arguments:
            return float((at.row, at.column)[index])
        area = _value(arguments[0], at)
        if not isinstance(area, Area):
            return VALUE
        return float((area.top, area.left)[index])

    return place


_LAZY: dict[str, Callable[[Arguments, At], Any]] = {
    "IF": _if,
    "IFERROR": _instead(None),
    "IFNA": _instead(frozenset({NA})),
    "CHOOSE": _choose,
    "SINGLE": _crossed,
    "ROW": _place(0),
    "COLUMN": _place(1),
}


# --- functions of single values, cell by cell for blocks -------------------------------------------------


def _numeric(function: Callable[..., float]) -> Callable[..., Any]:
    def cellwise(*values: Any) -> Any:
        numbers = [number(v) for v in values]
        for found in numbers:
            if isinstance(found, CellError):
                return found
        try:
            return float(function(*numbers))
        except ZeroDivisionError:
            return DIV0
        except (ValueError, OverflowError, ArithmeticError, TypeError):
            return NUM

    return cellwise


def _textual(function: Callable[..., Any]) -> Callable[..., Any]:
    def cellwise(first: Any, *others: Any) -> Any:
        for value in (first, *others):
            if isinstance(value, CellError):
                return value
        try:
            return function(text(first), *others)
        except (ValueError, TypeError):
            return VALUE

    return cellwise


def _rounded(how: str) -> Callable[..., float]:
    def rounded(value: float, digits: float = 0.0) -> float:
        # the decimal digits that a user sees decide, not the binary fraction behind them
        return float(Decimal(f"{value:.15g}").quantize(Decimal(1).scaleb(-int(digits)), how))

    return rounded


def _length(value: Any) -> int:
    found = number(value)
    if isinstance(found, CellError) or found < 0:
        raise ValueError
    return int(found)


def _mid(whole: str, start: Any, length: Any) -> str:
    first = _length(start)
    if first < 1:
        raise ValueError
    return whole[first - 1 : first - 1 + _length(length)]


def _right(whole: str, length: Any = 1.0) -> str:
    count = _length(length)
    return whole[-count:] if count else ""


def _to_number(value: Any) -> Any:
    return VALUE if value is None or isinstance(value, bool) else number(value)


def _exact(left: Any, right: Any) -> Any:
    return next((v for v in (left, right) if isinstance(v, CellError)), text(left) == text(right))


def _not(value: Any) -> Any:
    try:
        return not _truth(value)
    except _Error as error:
        return error.value


_ERROR_TYPES = (NULL, DIV0, VALUE, REF, NAME, NUM, NA)
"""By the number that ERROR.TYPE gives, from 1."""


def _error_type(value: Any) -> Any:
    if isinstance(value, CellError) and value in _ERROR_TYPES:
        return float(_ERROR_TYPES.index(value) + 1)
    return NA


_CELLWISE: dict[str, tuple[int, int, Callable[..., Any]]] = {
    "ABS": (1, 1, _numeric(abs)),
    "INT": (1, 1, _numeric(math.floor)),
    "SIGN": (1, 1, _numeric(lambda x: (x > 0) - (x < 0))),
    "SQRT": (1, 1, _numeric(math.sqrt)),
    "EXP": (1, 1, _numeric(math.exp)),
    "LN": (1, 1, _numeric(math.log)),
    "LOG10": (1, 1, _numeric(math.log10)),
    "POWER": (2, 2, _numeric(power)),
    "MOD": (2, 2, _numeric(lambda x, y: x - y * math.floor(x / y))),
    "ROUND": (2, 2, _numeric(_rounded(ROUND_HALF_UP))),
    "ROUNDUP": (2, 2, _numeric(_rounded(ROUND_UP))),
    "ROUNDDOWN": (2, 2, _numeric(_rounded(ROUND_DOWN))),
    "PI": (0, 0, lambda: math.pi),
    "NOT": (1, 1, _not),
    "TRUE": (0, 0, lambda: True),
    "FALSE": (0, 0, lambda: False),
    "NA": (0, 0, lambda: NA),
    "ERROR.TYPE": (1, 1, _error_type),
    "ISBLANK": (1, 1, lambda v: v is None),
    "ISERROR": (1, 1, lambda v: isinstance(v, CellError)),
    "ISERR": (1, 1, lambda v: isinstance(v, CellError) and v != NA),
    "ISNA": (1, 1, lambda v: v == NA and isinstance(v, CellError)),
    "ISNUMBER": (1, 1, lambda v: isinstance(v, float)),
    "ISTEXT": (1, 1, lambda v: isinstance(v, str) and not isinstance(v, CellError)),
    "ISLOGICAL": (1, 1, lambda v: isinstance(v, bool)),
    "EXACT": (2, 2, _exact),
    "VALUE": (1, 1, _to_number),
    "LEN": (1, 1, _textual(lambda whole: float(len(whole)))),
    "LEFT": (1, 2, _textual(lambda whole, length=1.0: whole[: _length(length)])),
    "RIGHT": (1, 2, _textual(_right)),
    "MID": (3, 3, _textual(_mid)),
    "TRIM": (1, 1, _textual(lambda whole: re.sub(" +", " ", whole).strip(" "))),
    "UPPER": (1, 1, _textual(str.upper)),
    "LOWER": (1, 1, _textual(str.lower)),
}


# --- functions of ranges ---------------------------------------------------------------------------------


def _cells(value: Any, at: At) -> Iterator[tuple[Any, bool]]:
    """Each cell of an argument, and whether it stands in a range (where texts and blanks are passed over)."""
    if isinstance(value, (Area, list)):
        block = at.cells.block(value) if isinstance(value, Area) else value
        for row in block:
            for cell in row:
                yield cell, True
    else:
        yield value, False


def _numbers(at: At, values: tuple[Any, ...]) -> list[float]:
    found: list[float] = []
    for value in values:
        for cell, in_range in _cells(value, at):
            if isinstance(cell, CellError):
                raise _Error(cell)
            if in_range:
                if isinstance(cell, float):
                    found.append(cell)
                continue
            single_number = number(cell)
            if isinstance(single_number, CellError):
                raise _Error(single_number)
            found.append(single_number)
    return found


def _total(function: Callable[[list[float]], Any]) -> Callable[..., Any]:
    return lambda at, *values: function(_numbers(at, values))


def _logical(function: Callable[[list[bool]], bool]) -> Callable[..., Any]:
    def logical(at: At, *values: Any) -> Any:
        found = [
            _truth(cell)
            for value in values
            for cell, in_range in _cells(value, at)
            if not in_range or isinstance(cell, (bool, float, CellError))
        ]
        return function(found) if found else VALUE

    return logical


def _counted(test: Callable[[Any], bool]) -> Callable[..., Any]:
    return lambda at, *values: float(sum(test(cell) for value in values for cell, _ in _cells(value, at)))


def _joined(at: At, *values: Any) -> Any:
    parts = []
    for value in values:
        for cell, _ in _cells(value, at):
            if isinstance(cell, CellError):
                return cell
            parts.append(text(cell))
    return "".join(parts)


def _sum_of_products(at: At, *values: Any) -> Any:
    blocks = [_rows(v, at) for v in values]
    if len({(len(b), len(b[0])) for b in blocks}) > 1:
        return VALUE
    total = 0.0
    for cells in zip(*([cell for row in b for cell in row] for b in blocks), strict=True):
        product = 1.0
        for cell in cells:
            if isinstance(cell, CellError):
                return cell
            product *= cell if isinstance(cell, float) else 0.0
        total += product
    return total


def _rows(value: Any, at: At) -> list[list[Any]]:
    if isinstance(value, CellError):
        raise _Error(value)
    if isinstance(value, Area):
        return at.cells.block(value)
    return value if isinstance(value, list) else [[value]]


def _whole_number(value: Any, at: At) -> int:
    found = number(plain(value, at))
    if isinstance(found, CellError):
        raise _Error(found)
    return int(found)


def _index(at: At, area: Any, row: Any = None, column: Any = None) -> Any:
    first, second = _whole_number(row, at), _whole_number(column, at)
    block = None if isinstance(area, Area) else _rows(area, at)
    height, width = (
        (area.rows, area.columns) if isinstance(area, Area) else (len(block or []), len((block or [[]])[0]))
    )
    if column is None and height == 1 and width > 1:  # one row: the only number counts the columns
        first, second = 1, first
    if first < 0 or second < 0:
        return VALUE
    if first > height or second > width:
        return REF
    top, bottom = (first, first) if first else (1, height)
    left, right = (second, second) if second else (1, width)
    if isinstance(area, Area):
        return Area(
            area.sheet, area.top + top - 1, area.left + left - 1, area.top + bottom - 1, area.left + right - 1
        )
    return single([r[left - 1 : right] for r in (block or [])[top - 1 : bottom]])


def _pattern(wanted: str) -> re.Pattern[str] | None:
    """The wildcards of a searched text: * and ?, taken literally after ~."""
    if not re.search(r"[*?~]", wanted):
        return None
    parts = re.findall(r"~[*?~]|\*|\?|[^*?~]+|~", wanted)
    made = "".join(
        ".*" if p == "*" else "." if p == "?" else re.escape(p[-1] if p[0] == "~" else p) for p in parts
    )
    return re.compile(made + r"\Z", re.IGNORECASE | re.DOTALL)


def _found(wanted: Any, cells: list[Any], how: int, wildcards: bool = True) -> int:
    """Position of a value, from 0. `how`: 0 exact, 1 the largest not above it, -1 the smallest not below."""
    if isinstance(wanted, CellError):
        raise _Error(wanted)
    if wanted is None:
        wanted = 0.0
    kind, key = order(wanted)
    if how == 0:
        pattern = _pattern(wanted) if wildcards and isinstance(wanted, str) else None
        for position, cell in enumerate(cells):
            if cell is not None and not isinstance(cell, CellError):
                other, text_ = order(cell)
                if other == kind and (pattern.match(text_) if pattern else text_ == key):
                    return position
        raise _Error(NA)
    same = [
        (position, order(cell)[1])
        for position, cell in enumerate(cells)
        if cell is not None and not isinstance(cell, CellError) and order(cell)[0] == kind
    ]
    if how > 0:
        place = bisect_right([cell for _, cell in same], key)
        if place:
            return same[place - 1][0]
    last = None
    for position, cell in same if how < 0 else ():
        if cell < key:
            break
        last = position
    if last is None:
        raise _Error(NA)
    return last


def _line(value: Any, at: At) -> list[Any]:
    block = _rows(value, at)
    if len(block) > 1 and len(block[0]) > 1:
        raise _Error(NA)
    return [cell for row in block for cell in row]


def _match(at: At, wanted: Any, area: Any, how: Any = 1.0) -> Any:
    sign = _whole_number(how, at)
    return float(_found(plain(wanted, at), _line(area, at), (sign > 0) - (sign < 0)) + 1)


def _lookup(turned: bool) -> Callable[..., Any]:
    def lookup(at: At, wanted: Any, area: Any, position: Any, near: Any = True) -> Any:
        block = _rows(area, at)
        if turned:
            block = [list(column) for column in zip(*block, strict=True)]
        place = _whole_number(position, at)
        if place < 1:
            return VALUE
        width = (area.rows if turned else area.columns) if isinstance(area, Area) else len(block[0])
        if place > width:
            return REF
        row = _found(plain(wanted, at), [r[0] for r in block], int(_truth(plain(near, at))))
        return block[row][place - 1]

    return lookup


def _xlookup(at: At, wanted: Any, area: Any, results: Any, missing: Any = None, how: Any = None) -> Any:
    if _whole_number(how, at) not in (0, 2):
        raise NotUnderstood("XLOOKUP that takes the nearest value")
    try:
        place = _found(plain(wanted, at), _line(area, at), 0, _whole_number(how, at) == 2)
    except _Error as error:
        if error.value == NA and missing is not None:
            return missing
        raise
    block = _rows(results, at)
    if len(block) == 1 and len(block[0]) > 1:
        return block[0][place]
    return single([block[place]])


def _spilled(at: At, anchor: Any) -> Any:
    if not isinstance(anchor, Area) or not anchor.one:
        return REF
    at.cells.value(anchor.sheet, anchor.top, anchor.left)
    return at.cells.spilled(anchor.sheet, anchor.top, anchor.left) or REF


def _size(index: int) -> Callable[..., Any]:
    def size(at: At, area: Any) -> float:
        if isinstance(area, Area):
            return float((area.rows, area.columns)[index])
        block = _rows(area, at)
        return float((len(block), len(block[0]))[index])

    return size


_MANY = 255
_WHOLE: dict[str, tuple[int, int, Callable[..., Any]]] = {
    "SUM": (1, _MANY, _total(math.fsum)),
    "MIN": (1, _MANY, _total(lambda n: min(n, default=0.0))),
    "MAX": (1, _MANY, _total(lambda n: max(n, default=0.0))),
    "AVERAGE": (1, _MANY, _total(lambda n: math.fsum(n) / len(n) if n else DIV0)),
    "COUNT": (1, _MANY, _counted(lambda c: isinstance(c, float))),
    "COUNTA": (1, _MANY, _counted(lambda c: c is not None)),
    "AND": (1, _MANY, _logical(all)),
    "OR": (1, _MANY, _logical(any)),
    "CONCAT": (1, _MANY, _joined),
    "CONCATENATE": (1, _MANY, _joined),
    "SUMPRODUCT": (1, _MANY, _sum_of_products),
    "INDEX": (2, 3, _index),
    "MATCH": (2, 3, _match),
    "VLOOKUP": (3, 4, _lookup(False)),
    "HLOOKUP": (3, 4, _lookup(True)),
    "XLOOKUP": (3, 5, _xlookup),
    "ANCHORARRAY": (1, 1, _spilled),
    "ROWS": (1, 1, _size(0)),
    "COLUMNS": (1, 1, _size(1)),
}
