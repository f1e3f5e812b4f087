"""Sums, counts and extremes of a list whose rows meet a block of criteria, DSUM and its kin."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.block import Block
from xlfuncs.spreadsheet.cell_values import DIV0, NUM, VALUE, CellError, NotUnderstood
from xlfuncs.spreadsheet.functions.common import ErrorMet, Whole, rows, wildcards
from xlfuncs.spreadsheet.functions.conditions import Test, test_of
from xlfuncs.spreadsheet.tree import At, plain


def _column(block: Block, field: Any) -> int | None:
    """The column that is meant, by its heading or its number; None where none is."""
    if field is None:
        return None
    if isinstance(field, CellError):
        raise ErrorMet(field)
    if isinstance(field, str):
        headings = [str(cell).casefold() if isinstance(cell, str) else None for cell in block[0]]
        if field.casefold() not in headings:
            raise ErrorMet(VALUE)
        return headings.index(field.casefold())
    number = int(field)
    if not 1 <= number <= len(block[0]):
        raise ErrorMet(VALUE)
    return number - 1


def _criterion(cell: Any) -> Test:
    """A cell below a heading: a text without a sign is how the others begin."""
    plain_text = isinstance(cell, str) and not isinstance(cell, CellError)
    if plain_text and cell[:1] not in "<>=" and wildcards(cell) is None:
        beginning = cell.casefold()
        return lambda other: isinstance(other, str) and other.casefold().startswith(beginning)
    return test_of(cell)


def _conditions(at: At, block: Block, criteria: Any) -> list[list[tuple[int, Test]]]:
    """For each row of the criteria: what the columns have to meet, all of it."""
    head, *lines = rows(criteria, at)
    if not lines:
        raise ErrorMet(VALUE)
    headings = {cell.casefold(): n for n, cell in reversed([*enumerate(block[0])]) if isinstance(cell, str)}
    found = []
    for line in lines:
        tests = []
        for name, cell in zip(head, line, strict=True):
            if cell is not None:
                if not isinstance(name, str) or name.casefold() not in headings:
                    raise NotUnderstood("a criterion below a heading that the list has not")
                tests.append((headings[name.casefold()], _criterion(cell)))
        found.append(tests)
    return found


def _of_list(result: Callable[[list[Any]], Any], any_column: bool = False) -> Whole:
    def whole(at: At, area: Any, field: Any, criteria: Any) -> Any:
        block = rows(area, at)
        column = _column(block, plain(field, at))
        if column is None and not any_column:
            return VALUE
        ways = _conditions(at, block, criteria)
        chosen = [
            line for line in block[1:] if any(all(test(line[n]) for n, test in tests) for tests in ways)
        ]
        return result([1.0] * len(chosen) if column is None else [line[column] for line in chosen])

    return whole


def _numbers(function: Callable[[list[float]], Any]) -> Callable[[list[Any]], Any]:
    def of(found: list[Any]) -> Any:
        for cell in found:
            if isinstance(cell, CellError):
                return cell
        return function([cell for cell in found if isinstance(cell, float)])

    return of


def _only(found: list[Any]) -> Any:
    if not found:
        return VALUE
    return found[0] if len(found) == 1 else NUM


WHOLE: dict[str, tuple[int, int, Whole]] = {
    "DSUM": (3, 3, _of_list(_numbers(math.fsum))),
    "DMIN": (3, 3, _of_list(_numbers(lambda n: min(n, default=0.0)))),
    "DMAX": (3, 3, _of_list(_numbers(lambda n: max(n, default=0.0)))),
    "DAVERAGE": (3, 3, _of_list(_numbers(lambda n: math.fsum(n) / len(n) if n else DIV0))),
    "DCOUNT": (3, 3, _of_list(lambda found: float(sum(isinstance(c, float) for c in found)), True)),
    "DCOUNTA": (3, 3, _of_list(lambda found: float(sum(c is not None for c in found)), True)),
    "DGET": (3, 3, _of_list(_only)),
}
