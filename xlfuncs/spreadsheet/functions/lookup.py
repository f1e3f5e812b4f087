"""Looking up: a value in a list, a cell by its place."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.block import single
from xlfuncs.spreadsheet.cell_values import NA, REF, VALUE, CellError, NotUnderstood, number, order, text
from xlfuncs.spreadsheet.formula import LAST_COLUMN, LAST_ROW, parse
from xlfuncs.spreadsheet.functions.common import (
    Arguments,
    ErrorMet,
    count,
    rows,
    size,
    truth,
    value_of,
    whole_number,
    wildcards,
)
from xlfuncs.spreadsheet.tree import Area, At, Name, Reference, TableReference, plain


def _index(at: At, area: Any, row: Any = None, column: Any = None) -> Any:
    first, second = whole_number(row, at), whole_number(column, at)
    height, width = size(area, at)
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
    return single([r[left - 1 : right] for r in rows(area, at)[top - 1 : bottom]])


# --- places in a list -----------------------------------------------------------------------------------


def _comparable(cell: Any) -> bool:
    return cell is not None and not isinstance(cell, CellError)


def exact(wanted: Any, found: list[Any], wild: bool = True, last: bool = False) -> int:
    """Position of a value, from 0; #N/A where it is not there."""
    kind, key = _key(wanted)
    pattern = wildcards(wanted) if wild and isinstance(wanted, str) else None
    positions = range(len(found) - 1, -1, -1) if last else range(len(found))
    for position in positions:
        cell = found[position]
        if _comparable(cell):
            other, value = order(cell)
            if other == kind and (pattern.match(value) if pattern else value == key):
                return position
    raise ErrorMet(NA)


def _key(wanted: Any) -> tuple[int, Any]:
    if isinstance(wanted, CellError):
        raise ErrorMet(wanted)
    return order(0.0 if wanted is None else wanted)


def sorted_place(wanted: Any, found: list[Any], falling: bool = False) -> int:
    """Position of the last value not above, in a falling list not below, the wanted one."""
    kind, key = _key(wanted)
    same = [
        (position, order(cell)[1])
        for position, cell in enumerate(found)
        if _comparable(cell) and order(cell)[0] == kind
    ]
    if not falling:
        place = bisect_right([value for _, value in same], key)
        if place:
            return same[place - 1][0]
        raise ErrorMet(NA)
    last = None
    for position, value in same:
        if value < key:
            break
        last = position
    if last is None:
        raise ErrorMet(NA)
    return last


def nearest(wanted: Any, found: list[Any], above: bool, last: bool = False) -> int:
    """Position of the equal value, else of the next one below (above), in a list of any order."""
    try:
        return exact(wanted, found, wild=False, last=last)
    except ErrorMet as error:
        if error.value != NA:
            raise
    kind, key = _key(wanted)
    best: tuple[Any, int] | None = None
    for position, cell in enumerate(found):
        if not _comparable(cell) or order(cell)[0] != kind:
            continue
        value = order(cell)[1]
        if (value > key) != above:
            continue
        if best is None or (value < best[0] if above else value > best[0]) or (last and value == best[0]):
            best = (value, position)
    if best is None:
        raise ErrorMet(NA)
    return best[1]


def _line(value: Any, at: At) -> list[Any]:
    block = rows(value, at)
    if len(block) > 1 and len(block[0]) > 1:
        raise ErrorMet(NA)
    return [cell for row in block for cell in row]


def _match(at: At, wanted: Any, area: Any, how: Any = 1.0) -> Any:
    sign = whole_number(how, at)
    found = _line(area, at)

    def one(value: Any) -> Any:
        try:
            place = exact(value, found) if sign == 0 else sorted_place(value, found, sign < 0)
        except ErrorMet as error:
            return error.value
        return float(place + 1)

    return _each(one, plain(wanted, at))


def _each(function: Callable[[Any], Any], wanted: Any) -> Any:
    if isinstance(wanted, list):
        return [[function(cell) for cell in row] for row in wanted]
    return function(wanted)


def _table(turned: bool) -> Callable[..., Any]:
    def lookup(at: At, wanted: Any, area: Any, position: Any, near: Any = True) -> Any:
        block = rows(area, at)
        if turned:
            block = [list(column) for column in zip(*block, strict=True)]
        place = whole_number(position, at)
        if place < 1:
            return VALUE
        height, width = size(area, at)
        if place > (height if turned else width):
            return REF
        first = [r[0] for r in block]
        sorted_ = truth(plain(near, at))

        def one(value: Any) -> Any:
            try:
                row = sorted_place(value, first) if sorted_ else exact(value, first)
            except ErrorMet as error:
                return error.value
            return block[row][place - 1] if place <= len(block[row]) else None

        return _each(one, plain(wanted, at))

    return lookup


def _lookup(at: At, wanted: Any, area: Any, results: Any = None) -> Any:
    height, width = size(area, at)
    block = rows(area, at)
    if results is None and height > 1 and width > 1:  # the longer side is searched, the last one answers
        if width > height:
            block = [list(column) for column in zip(*block, strict=True)]
        found, answers = [r[0] for r in block], [r[-1] for r in block]
    else:
        found = _line(area, at)
        answers = found if results is None else _line(results, at)

    def one(value: Any) -> Any:
        try:
            place = sorted_place(value, found)
        except ErrorMet as error:
            return error.value
        return answers[place] if place < len(answers) else None

    return _each(one, plain(wanted, at))


_EXACT, _BELOW, _ABOVE, _WILD = 0, -1, 1, 2


def _position(at: At, wanted: Any, found: list[Any], how: Any, search: Any) -> int:
    mode, way = whole_number(how, at), whole_number(search, at, 1.0)
    if mode not in (_EXACT, _BELOW, _ABOVE, _WILD) or way not in (1, -1, 2, -2):
        raise ErrorMet(VALUE)
    last = way == -1
    if mode in (_BELOW, _ABOVE):
        return nearest(wanted, found, mode == _ABOVE, last)
    return exact(wanted, found, mode == _WILD, last)


def _xmatch(at: At, wanted: Any, area: Any, how: Any = None, search: Any = None) -> Any:
    found = _line(area, at)

    def one(value: Any) -> Any:
        try:
            return float(_position(at, value, found, how, search) + 1)
        except ErrorMet as error:
            return error.value

    return _each(one, plain(wanted, at))


def _xlookup(
    at: At, wanted: Any, area: Any, results: Any, missing: Any = None, how: Any = None, search: Any = None
) -> Any:
    value = plain(wanted, at)
    if isinstance(value, list):
        if min(size(results, at)) > 1:
            raise NotUnderstood("XLOOKUP of several values in a block of several rows and columns")
        return _each(lambda one: _looked_up(at, one, area, results, missing, how, search), value)
    return _looked_up(at, value, area, results, missing, how, search)


def _looked_up(
    at: At, value: Any, area: Any, results: Any, missing: Any, how: Any = None, search: Any = None
) -> Any:
    try:
        place = _position(at, value, _line(area, at), how, search)
    except ErrorMet as error:
        if error.value != NA:
            raise
        return NA if missing is None else missing
    height, width = size(area, at)
    block = rows(results, at)
    if width > height:  # one row is searched: the answer is a column
        return single([[row[place] if place < len(row) else None] for row in block])
    return single([block[place]]) if place < len(block) else None


# --- references -----------------------------------------------------------------------------------------


def _offset(arguments: Arguments, at: At) -> Any:
    count("OFFSET", arguments, 3, 5)
    area, *moves = (value_of(argument, at) for argument in arguments)
    if not isinstance(area, Area):
        return area if isinstance(area, CellError) else VALUE
    down, right, height, width = (
        whole_number(move, at, default)
        for move, default in zip((*moves, None, None)[:4], (0, 0, area.rows, area.columns), strict=True)
    )
    if not height or not width:
        return REF
    top, left = area.top + down, area.left + right
    first, last = sorted((top, top + height - (1 if height > 0 else -1)))
    begin, end = sorted((left, left + width - (1 if width > 0 else -1)))
    if first < 1 or begin < 1 or last > LAST_ROW or end > LAST_COLUMN:
        return REF
    return Area(area.sheet, first, begin, last, end)


def _indirect(arguments: Arguments, at: At) -> Any:
    count("INDIRECT", arguments, 1, 2)
    written = plain(value_of(arguments[0], at), at)
    if isinstance(written, CellError):
        return written
    if len(arguments) > 1 and not truth(plain(value_of(arguments[1], at), at)):
        raise NotUnderstood("INDIRECT with a reference as row and column numbers")
    try:
        tree = parse(text(written))
    except NotUnderstood:
        return REF
    if not isinstance(tree, Reference | TableReference | Name):
        return REF
    found = tree.value(at)
    return found if isinstance(found, Area) else REF


def _address(row: Any, column: Any, kind: Any = 1.0, a1: Any = True, sheet: Any = None) -> Any:
    found = [number(1.0 if value is None else value) for value in (row, column, kind)]
    for one in found:
        if isinstance(one, CellError):
            return one
    r, c, k = (int(one) for one in found)
    if not truth(a1):
        raise NotUnderstood("ADDRESS as row and column numbers")
    if not (1 <= r <= LAST_ROW and 1 <= c <= LAST_COLUMN and 1 <= k <= 4):
        return VALUE
    cell = f"{'$' if k in (1, 3) else ''}{column_letter(c)}{'$' if k in (1, 2) else ''}{r}"
    if sheet is None:
        return cell
    name = text(sheet)
    plain_name = name.replace("_", "a").isalnum() and not name[:1].isdigit()
    return (name if plain_name else "'" + name.replace("'", "''") + "'") + f"!{cell}"


def _spilled(at: At, anchor: Any) -> Any:
    if not isinstance(anchor, Area) or not anchor.one:
        return REF
    at.cells.value(anchor.sheet, anchor.top, anchor.left)
    return at.cells.spilled(anchor.sheet, anchor.top, anchor.left) or REF


MOVING = frozenset({"OFFSET", "INDIRECT"})
"""Functions that refer to cells which do not stand in the formula."""

LAZY = {"OFFSET": _offset, "INDIRECT": _indirect}
CELLWISE = {"ADDRESS": (2, 5, _address)}
WHOLE = {
    "INDEX": (2, 3, _index),
    "MATCH": (2, 3, _match),
    "XMATCH": (2, 4, _xmatch),
    "VLOOKUP": (3, 4, _table(False)),
    "HLOOKUP": (3, 4, _table(True)),
    "LOOKUP": (2, 3, _lookup),
    "XLOOKUP": (3, 6, _xlookup),
    "ANCHORARRAY": (1, 1, _spilled),
}
