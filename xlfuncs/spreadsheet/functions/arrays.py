"""Blocks out of blocks: what a newer spreadsheet program spills."""

from __future__ import annotations

from functools import cmp_to_key
from typing import Any

from xlfuncs.spreadsheet.block import Block, single
from xlfuncs.spreadsheet.formula import At, CellError, order, plain
from xlfuncs.spreadsheet.functions.common import ErrorMet, rows, truth, whole_number

CALC = CellError("#CALC!")
"""An array without a cell."""


def _turned(block: Block) -> Block:
    return [list(column) for column in zip(*block, strict=True)]


def _transpose(at: At, area: Any) -> Any:
    return single(_turned(rows(area, at)))


def _filter(at: At, area: Any, keep: Any, otherwise: Any = None) -> Any:
    block, marks = rows(area, at), rows(keep, at)
    across = len(marks) == 1 and len(marks[0]) == len(block[0]) and len(block) != 1
    lines = _turned(block) if across else block
    wanted = marks[0] if across else [row[0] for row in marks]
    if len(wanted) != len(lines):
        raise ErrorMet(CellError("#VALUE!"))
    found = [line for line, mark in zip(lines, wanted, strict=True) if truth(mark)]
    if not found:
        return CALC if otherwise is None else plain(otherwise, at)
    return single(_turned(found) if across else found)


def _unique(at: At, area: Any, across: Any = None, once: Any = None) -> Any:
    sideways = across is not None and truth(plain(across, at))
    only = once is not None and truth(plain(once, at))
    lines = _turned(rows(area, at)) if sideways else rows(area, at)
    keys = [tuple((order(cell) if cell is not None else (-1, "")) for cell in line) for line in lines]
    seen: dict[Any, int] = {}
    for key in keys:
        seen[key] = seen.get(key, 0) + 1
    first: dict[Any, list[Any]] = {}
    for key, line in zip(keys, lines, strict=True):
        if not only or seen[key] == 1:
            first.setdefault(key, line)
    if not first:
        return CALC
    found = list(first.values())
    return single(_turned(found) if sideways else found)


def _sort(at: At, area: Any, by: Any = None, way: Any = None, across: Any = None) -> Any:
    sideways = across is not None and truth(plain(across, at))
    lines = _turned(rows(area, at)) if sideways else rows(area, at)
    column, sign = whole_number(by, at, 1.0), whole_number(way, at, 1.0)
    if not 1 <= column <= len(lines[0]) or sign not in (1, -1):
        raise ErrorMet(CellError("#VALUE!"))

    def before(left: list[Any], right: list[Any]) -> int:
        a, b = left[column - 1], right[column - 1]
        if a is None or b is None:  # blanks come last either way
            return (a is None) - (b is None)
        one, two = order(a), order(b)
        return sign * ((one > two) - (one < two))

    found = sorted(lines, key=cmp_to_key(before))
    return single(_turned(found) if sideways else found)


WHOLE = {
    "TRANSPOSE": (1, 1, _transpose),
    "FILTER": (2, 3, _filter),
    "UNIQUE": (1, 3, _unique),
    "SORT": (1, 4, _sort),
}
