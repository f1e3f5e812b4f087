"""Conditions and what hangs on them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import reduce
from typing import Any

from xlfuncs.spreadsheet.cell_values import NA, VALUE, CellError, NotUnderstood, each, equal, number
from xlfuncs.spreadsheet.functions.common import MANY, Arguments, ErrorMet, cells, count, truth, value_of
from xlfuncs.spreadsheet.tree import Area, At, Name, content, crossing, parameter, plain


def _branch(arguments: Arguments, position: int, at: At) -> Any:
    if position >= len(arguments):
        return False
    chosen = arguments[position]
    return 0.0 if chosen is None else chosen.value(at)


def _chosen(condition: Any, yes: Any, no: Any) -> Any:
    """For a block of conditions, cell by cell."""

    def one(c: Any, y: Any, n: Any) -> Any:
        try:
            return y if truth(c) else n
        except ErrorMet as error:
            return error.value

    return each(one, condition, yes, no)


def _if(arguments: Arguments, at: At) -> Any:
    count("IF", arguments, 2, 3)
    condition = plain(value_of(arguments[0], at), at)
    if isinstance(condition, list):
        return _chosen(condition, *(content(_branch(arguments, n, at), at) for n in (1, 2)))
    return _branch(arguments, 1 if truth(condition) else 2, at)


def _ifs(arguments: Arguments, at: At) -> Any:
    if not arguments or len(arguments) % 2:
        raise NotUnderstood(f"IFS with {len(arguments)} arguments")
    waiting: list[tuple[Any, Any]] = []
    otherwise: Any = NA
    for position in range(0, len(arguments), 2):
        condition = plain(value_of(arguments[position], at), at)
        if not isinstance(condition, list):
            if not truth(condition):
                continue
            otherwise = _branch(arguments, position + 1, at)
            break
        waiting.append((condition, content(_branch(arguments, position + 1, at), at)))
    if not waiting:
        return otherwise
    rest = content(otherwise, at)
    return reduce(lambda no, pair: _chosen(pair[0], pair[1], no), reversed(waiting), rest)


def _switch(arguments: Arguments, at: At) -> Any:
    count("SWITCH", arguments, 3, MANY)
    wanted = plain(value_of(arguments[0], at), at)
    if isinstance(wanted, list):
        raise NotUnderstood("SWITCH of a range")
    if isinstance(wanted, CellError):
        return wanted
    pairs = (len(arguments) - 1) // 2
    for n in range(pairs):
        if truth(equal(wanted, plain(value_of(arguments[1 + 2 * n], at), at))):
            return _branch(arguments, 2 + 2 * n, at)
    return _branch(arguments, len(arguments) - 1, at) if len(arguments) % 2 == 0 else NA


def _instead(only: frozenset[CellError] | None) -> Callable[[Arguments, At], Any]:
    def instead(arguments: Arguments, at: At) -> Any:
        count("IFERROR", arguments, 2, 2)
        value = plain(value_of(arguments[0], at), at)

        def wrong(cell: Any) -> bool:
            return isinstance(cell, CellError) and (only is None or cell in only)

        if isinstance(value, list):
            other = content(_branch(arguments, 1, at), at)
            return each(lambda cell, otherwise: otherwise if wrong(cell) else cell, value, other)
        return _branch(arguments, 1, at) if wrong(value) else value

    return instead


def _choose(arguments: Arguments, at: At) -> Any:
    which = plain(value_of(arguments[0], at), at) if arguments else VALUE
    if isinstance(which, list):  # CHOOSE({1,2},...) puts columns side by side
        parts = [content(_branch(arguments, n, at), at) for n in range(1, len(arguments))]
        return each(lambda n, *values: _one_of(n, values), which, *parts)
    found = number(which)
    if isinstance(found, CellError):
        return found
    if not 1 <= int(found) < len(arguments):
        return VALUE
    return _branch(arguments, int(found), at)


def _one_of(which: Any, values: tuple[Any, ...]) -> Any:
    found = number(which)
    if isinstance(found, CellError):
        return found
    return values[int(found) - 1] if 1 <= int(found) <= len(values) else VALUE


def _crossed(arguments: Arguments, at: At) -> Any:
    count("@", arguments, 1, 1)
    value = value_of(arguments[0], at)
    if isinstance(value, Area) and not value.one:
        return crossing(value, at)
    return value[0][0] if isinstance(value, list) else value


def _let(arguments: Arguments, at: At) -> Any:
    if len(arguments) < 3 or len(arguments) % 2 == 0:
        raise NotUnderstood(f"LET with {len(arguments)} arguments")
    for position in range(0, len(arguments) - 1, 2):
        name = arguments[position]
        if not isinstance(name, Name) or name.sheet:
            raise NotUnderstood("LET whose names are no names")
        value = value_of(arguments[position + 1], at)
        at = replace(at, bound={**at.bound, parameter(name.name): value})
    return value_of(arguments[-1], at)


def _logical(function: Callable[[list[bool]], bool]) -> Callable[..., Any]:
    def logical(at: At, *values: Any) -> Any:
        found = [
            truth(cell)
            for value in values
            for cell, in_range in cells(value, at)
            if not in_range or isinstance(cell, (bool, float, CellError))
        ]
        return function(found) if found else VALUE

    return logical


def _not(value: Any) -> Any:
    try:
        return not truth(value)
    except ErrorMet as error:
        return error.value


LAZY = {
    "IF": _if,
    "IFS": _ifs,
    "SWITCH": _switch,
    "IFERROR": _instead(None),
    "IFNA": _instead(frozenset({NA})),
    "CHOOSE": _choose,
    "SINGLE": _crossed,
    "LET": _let,
}
CELLWISE = {
    "NOT": (1, 1, _not),
    "TRUE": (0, 0, lambda: True),
    "FALSE": (0, 0, lambda: False),
}
WHOLE = {
    "AND": (1, MANY, _logical(all)),
    "OR": (1, MANY, _logical(any)),
    "XOR": (1, MANY, _logical(lambda found: sum(found) % 2 == 1)),
}
