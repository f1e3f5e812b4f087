"""Sums, counts and means of the cells that meet a condition."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from xlfuncs.spreadsheet.cell_values import DIV0, VALUE, CellError, each, number, order
from xlfuncs.spreadsheet.functions.common import ErrorMet, rows, size, wildcards
from xlfuncs.spreadsheet.tree import Area, At, plain

Test = Callable[[Any], bool]
_CRITERION = re.compile(r"(<=|>=|<>|<|>|=)?(.*)\Z", re.DOTALL)


def test_of(criterion: Any) -> Test:
    """Whether a cell meets a criterion: 5, "x*", ">5", "<>", as SUMIF and its kin take it."""
    if criterion is None:
        criterion = 0.0  # a blank cell in place of a criterion
    if isinstance(criterion, CellError):
        return lambda cell: isinstance(cell, CellError) and cell == criterion
    if not isinstance(criterion, str):
        return _equals(criterion)
    sign, written = _CRITERION.match(criterion).groups()  # type: ignore[union-attr]
    if not written:
        return _blank(sign, criterion)
    operand = _operand(written)
    if sign in (None, "=", "<>"):
        same = _equals(operand)
        return same if sign != "<>" else lambda cell: not same(cell)
    return _compares(sign, operand)


def _blank(sign: str | None, criterion: str) -> Test:
    if sign == "=":
        return lambda cell: cell is None
    if sign == "<>":
        return lambda cell: cell is not None
    if sign is None and not criterion:
        return lambda cell: cell is None or cell == ""
    return lambda cell: False


def _operand(written: str) -> Any:
    if written.strip().upper() in ("TRUE", "FALSE"):
        return written.strip().upper() == "TRUE"
    found = number(written)
    return written if isinstance(found, CellError) else found


def _equals(wanted: Any) -> Test:
    if isinstance(wanted, bool):
        return lambda cell: isinstance(cell, bool) and cell == wanted
    if isinstance(wanted, float):
        return lambda cell: _numeric(cell) == wanted
    pattern = wildcards(wanted)
    key = wanted.casefold()

    def same(cell: Any) -> bool:
        if not isinstance(cell, str) or isinstance(cell, CellError):
            return isinstance(cell, CellError) and cell == wanted
        return bool(pattern.match(cell)) if pattern else cell.casefold() == key

    return same


def _numeric(cell: Any) -> float | None:
    """A number, also one kept as a text."""
    if isinstance(cell, bool) or cell is None:
        return None
    found = number(cell)
    return None if isinstance(found, CellError) else found


def _compares(sign: str, wanted: Any) -> Test:
    kind, key = order(wanted)

    def test(cell: Any) -> bool:
        if cell is None or isinstance(cell, CellError) or order(cell)[0] != kind:
            return False
        other = order(cell)[1]
        match sign:
            case "<":
                return bool(other < key)
            case ">":
                return bool(other > key)
            case "<=":
                return bool(other <= key)
        return bool(other >= key)

    return test


# --- what is done with them -----------------------------------------------------------------------------


def _flat(block: Iterable[Iterable[Any]], height: int, width: int) -> Iterator[Any]:
    """All cells of a range, those beyond the last used one as blanks."""
    given = [list(row) for row in block]
    for r in range(height):
        row = given[r] if r < len(given) else []
        for c in range(width):
            yield row[c] if c < len(row) else None


def _cut(at: At, areas: list[Any]) -> list[Any]:
    """Ranges of one shape, cut short together where no sheet has cells any more."""
    height, width = size(areas[0], at)
    if any(size(area, at) != (height, width) for area in areas[1:]):
        raise ErrorMet(VALUE)
    if all(isinstance(area, Area) for area in areas):
        used = [at.cells.used(area) for area in areas]
        height, width = max(u.rows for u in used), max(u.columns for u in used)
    return [list(_flat(rows(area, at), height, width)) for area in areas]


def _meeting(at: At, values: Any, conditions: tuple[Any, ...]) -> list[Any]:
    """The cells of `values` beside which all conditions hold: ranges and criteria in turn."""
    cells, *ranges = _cut(at, [values, *conditions[::2]])
    tests = [test_of(criterion) for criterion in conditions[1::2]]
    return [
        cell
        for cell, *others in zip(cells, *ranges, strict=True)
        if all(test(other) for test, other in zip(tests, others, strict=True))
    ]


def _numbers(found: Iterable[Any]) -> list[float]:
    out = []
    for cell in found:
        if isinstance(cell, CellError):
            raise ErrorMet(cell)
        if isinstance(cell, float):
            out.append(cell)
    return out


def _mean(found: list[float]) -> Any:
    return math.fsum(found) / len(found) if found else DIV0


def _aligned(at: At, area: Any, values: Any) -> Any:
    """SUMIF takes as many cells as the range of the condition has, from the first one of the other range."""
    if values is None:
        return area
    if isinstance(area, Area) and isinstance(values, Area):
        bottom, right = values.top + area.rows - 1, values.left + area.columns - 1
        return values._replace(bottom=bottom, right=right)
    return values


def _each_criterion(at: At, conditions: tuple[Any, ...], found: Callable[[tuple[Any, ...]], Any]) -> Any:
    """The result for the criteria; a block of them gives a block of results."""
    if len(conditions) % 2:
        raise ErrorMet(VALUE)
    criteria = [plain(criterion, at) for criterion in conditions[1::2]]

    def one(*given: Any) -> Any:
        pairs = zip(conditions[::2], given, strict=True)
        try:
            return found(tuple(part for pair in pairs for part in pair))
        except ErrorMet as error:
            return error.value

    return each(one, *criteria)


def _if(result: Callable[[list[float]], Any]) -> Callable[..., Any]:
    def whole(at: At, area: Any, criterion: Any, values: Any = None) -> Any:
        taken = _aligned(at, area, values)
        return _each_criterion(at, (area, criterion), lambda c: result(_numbers(_meeting(at, taken, c))))

    return whole


def _ifs(result: Callable[[list[float]], Any]) -> Callable[..., Any]:
    def whole(at: At, values: Any, *conditions: Any) -> Any:
        return _each_criterion(at, conditions, lambda c: result(_numbers(_meeting(at, values, c))))

    return whole


def _count_ifs(at: At, *conditions: Any) -> Any:
    def counted(given: tuple[Any, ...]) -> float:
        found = len(_meeting(at, given[0], given))
        if isinstance(given[0], Area) and all(test_of(criterion)(None) for criterion in given[1::2]):
            (taken, *_) = _cut(at, list(given[::2]))
            found += given[0].rows * given[0].columns - len(taken)  # blanks beyond the last used cell
        return float(found)

    return _each_criterion(at, conditions, counted)


_PAIRS = 254
WHOLE = {
    "SUMIF": (2, 3, _if(math.fsum)),
    "AVERAGEIF": (2, 3, _if(_mean)),
    "COUNTIF": (2, 2, _count_ifs),
    "COUNTIFS": (2, _PAIRS, _count_ifs),
    "SUMIFS": (3, _PAIRS, _ifs(math.fsum)),
    "AVERAGEIFS": (3, _PAIRS, _ifs(_mean)),
    "MAXIFS": (3, _PAIRS, _ifs(lambda n: max(n, default=0.0))),
    "MINIFS": (3, _PAIRS, _ifs(lambda n: min(n, default=0.0))),
}
