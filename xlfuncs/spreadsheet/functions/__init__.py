"""The functions that the evaluator knows: those that it was handed, and the ordinary ones that stand around
them in an index.

An ordinary function that is not listed here is named as not understood; nothing is approximated.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from xlfuncs.spreadsheet.block import as_block, single
from xlfuncs.spreadsheet.cell_values import CellError, NotUnderstood, each
from xlfuncs.spreadsheet.functions import (
    arrays,
    conditions,
    conversion,
    databases,
    dates,
    distribution,
    information,
    logic,
    lookup,
    numbers,
    regression,
    spans,
    statistics,
    systems,
    texts,
)
from xlfuncs.spreadsheet.functions.common import Arguments, Cellwise, ErrorMet, Lazy, Whole, count, value_of
from xlfuncs.spreadsheet.tree import At, content, plain

_FAMILIES = (
    logic,
    information,
    numbers,
    statistics,
    distribution,
    regression,
    conditions,
    databases,
    texts,
    lookup,
    arrays,
    dates,
    spans,
    conversion,
    systems,
)
LAZY: dict[str, Lazy] = {}
"""Functions that look at some of their arguments only, or at how they are written."""
CELLWISE: dict[str, tuple[int, int, Cellwise]] = {}
"""Functions of single values, with the fewest and the most arguments: cell by cell for blocks."""
WHOLE: dict[str, tuple[int, int, Whole]] = {}
"""Functions of ranges, likewise."""
for _family in _FAMILIES:
    LAZY |= getattr(_family, "LAZY", {})
    CELLWISE |= getattr(_family, "CELLWISE", {})
    WHOLE |= getattr(_family, "WHOLE", {})

ARRAYS = frozenset(
    {"SUMPRODUCT", "MMULT", "MINVERSE", "MDETERM", "FREQUENCY", "LINEST", "LOGEST", "TREND", "GROWTH"}
    | {"SUMXMY2", "SUMX2MY2", "SUMX2PY2", "LOOKUP", "XLOOKUP", "XMATCH", "INDEX", "AGGREGATE"}
    | {"FILTER", "SORT", "SORTBY", "UNIQUE", "TRANSPOSE"}
    | {"HSTACK", "VSTACK", "TAKE", "DROP", "CHOOSECOLS", "CHOOSEROWS"}
)
"""Functions whose arguments are arrays, also in an ordinary formula."""


def call(function: str, arguments: Arguments, at: At) -> Any:
    """The value of a function; NotUnderstood if it is not known here."""
    try:
        own = at.cells.functions.own(function)
        if own is not None:
            return _own(own, arguments, at)
        lazy = LAZY.get(function)
        if lazy is not None:
            return lazy(arguments, at)
        if function in CELLWISE:
            fewest, most, cellwise = CELLWISE[function]
            count(function, arguments, fewest, most)
            return each(cellwise, *(plain(value_of(a, at), at) for a in arguments))
        if function in WHOLE:
            fewest, most, whole = WHOLE[function]
            count(function, arguments, fewest, most)
            inside = replace(at, array=True) if function in ARRAYS else at
            return whole(at, *(value_of(a, inside) for a in arguments))
    except ErrorMet as error:
        return error.value
    raise NotUnderstood(f"the function {function}")


def _own(function: str, arguments: Arguments, at: At) -> Any:
    functions = at.cells.functions
    if why := functions.unknown(function):
        raise NotUnderstood(f"the function {function} ({why})")
    found = functions.call(function, [content(value_of(a, at), at) for a in arguments])
    value = single([[_normal(cell) for cell in row] for row in as_block(found)])
    if at.notes is not None:
        errors = (cell for row in as_block(value) for cell in row if isinstance(cell, CellError))
        at.notes.refused.extend((function, error) for error in dict.fromkeys(errors))
    return value


def _normal(cell: Any) -> Any:
    """A cell as formulas see it: a number is a float, a refusal is an error that knows its reason."""
    if cell is None or isinstance(cell, (bool, float, str)):
        return cell
    return float(cell) if isinstance(cell, int) else CellError(cell.error, cell.reason)
