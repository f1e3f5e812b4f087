"""Blocks out of blocks: what a newer spreadsheet program spills."""

from __future__ import annotations

from functools import cmp_to_key
from typing import Any

from xlfuncs.spreadsheet.block import Block, single
from xlfuncs.spreadsheet.cell_values import NA, VALUE, CellError, order
from xlfuncs.spreadsheet.functions.common import MANY, ErrorMet, Whole, real, rows, truth, whole_number
from xlfuncs.spreadsheet.tree import At, plain

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


def _sort_by(at: At, area: Any, *keys: Any) -> Any:
    """Rows in the order of other columns, each rising (1) or falling (-1)."""
    lines = rows(area, at)
    ways = [whole_number(way, at, 1.0) for way in (*keys[1::2], None)[: (len(keys) + 1) // 2]]
    columns = [[cell for row in rows(key, at) for cell in row] for key in keys[::2]]
    if any(len(column) != len(lines) for column in columns) or not {*ways} <= {1, -1}:
        raise ErrorMet(VALUE)
    found = list(range(len(lines)))
    for column, way in reversed(list(zip(columns, ways, strict=True))):
        filled = [n for n in found if column[n] is not None]
        blank = [n for n in found if column[n] is None]  # last either way
        # reverse keeps the order of equal ones
        found = sorted(filled, key=lambda n, of=column: order(of[n]), reverse=way < 0) + blank  # type: ignore[misc]
    return single([lines[n] for n in found])


def _sequence(at: At, height: Any, width: Any = None, start: Any = None, step: Any = None) -> Any:
    down, across = whole_number(height, at), whole_number(width, at, 1.0)
    first, by = real(start, at, 1.0), real(step, at, 1.0)
    if down < 1 or across < 1 or down * across > _MOST:
        raise ErrorMet(VALUE if down < 0 or across < 0 else CALC)
    return single([[first + by * (r * across + c) for c in range(across)] for r in range(down)])


_MOST = 1 << 20
"""Cells of a sequence."""


def _stacked(down: bool) -> Whole:
    """Blocks below or beside one another; what a narrower one lacks is #N/A."""

    def stack(at: At, *areas: Any) -> Any:
        blocks = [rows(area, at) if down else _turned(rows(area, at)) for area in areas]
        width = max(len(block[0]) for block in blocks)
        found = [[*line, *[NA] * (width - len(line))] for block in blocks for line in block]
        return single(found if down else _turned(found))

    return stack


def _part(keep: bool) -> Whole:
    """TAKE and DROP: so many rows and columns from the beginning, from the end where negative."""

    def part(at: At, area: Any, height: Any = None, width: Any = None) -> Any:
        block = rows(area, at)
        for n, count in enumerate((height, width)):
            lines = block if n == 0 else _turned(block)
            if count is not None:
                lines = _cut(lines, whole_number(count, at), keep)
            if not lines:
                raise ErrorMet(CALC)
            block = lines if n == 0 else _turned(lines)
        return single(block)

    return part


def _cut(lines: Block, count: int, keep: bool) -> Block:
    if keep:
        return lines[:count] if count >= 0 else lines[count:]
    return lines[count:] if count >= 0 else lines[:count]


def _chosen(columns: bool) -> Whole:
    def choose(at: At, area: Any, *numbers: Any) -> Any:
        lines = _turned(rows(area, at)) if columns else rows(area, at)
        wanted = [whole_number(cell, at) for given in numbers for row in rows(given, at) for cell in row]
        if any(not 1 <= abs(n) <= len(lines) for n in wanted):
            raise ErrorMet(VALUE)
        found = [lines[n - 1 if n > 0 else n] for n in wanted]
        return single(_turned(found) if columns else found)

    return choose


WHOLE = {
    "SORTBY": (2, MANY, _sort_by),
    "SEQUENCE": (1, 4, _sequence),
    "VSTACK": (1, MANY, _stacked(True)),
    "HSTACK": (1, MANY, _stacked(False)),
    "TAKE": (2, 3, _part(True)),
    "DROP": (2, 3, _part(False)),
    "CHOOSECOLS": (2, MANY, _chosen(True)),
    "CHOOSEROWS": (2, MANY, _chosen(False)),
    "TRANSPOSE": (1, 1, _transpose),
    "FILTER": (2, 3, _filter),
    "UNIQUE": (1, 3, _unique),
    "SORT": (1, 4, _sort),
}
