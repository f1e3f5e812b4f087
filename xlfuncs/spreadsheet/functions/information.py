"""What a cell holds and where it stands."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.cell_values import (
    DIV0,
    NA,
    NAME,
    NULL,
    NUM,
    REF,
    VALUE,
    CellError,
    NotUnderstood,
    number,
    text,
)
from xlfuncs.spreadsheet.functions.common import Arguments, Whole, count, size, value_of
from xlfuncs.spreadsheet.tree import Area, At, content

_ERROR_TYPES = (NULL, DIV0, VALUE, REF, NAME, NUM, NA)
"""By the number that ERROR.TYPE gives, from 1."""


def _error_type(value: Any) -> Any:
    if isinstance(value, CellError) and value in _ERROR_TYPES:
        return float(_ERROR_TYPES.index(value) + 1)
    return NA


def _type(at: At, value: Any) -> float:
    if isinstance(value, Area) and not value.one:
        return 64.0
    cell = content(value, at)
    if isinstance(cell, list):
        return 64.0
    if isinstance(cell, CellError):
        return 16.0
    return 4.0 if isinstance(cell, bool) else 2.0 if isinstance(cell, str) else 1.0


def _first(at: At, value: Any) -> Any:
    """The cell in the upper left."""
    if isinstance(value, Area):
        return at.cells.value(value.sheet, value.top, value.left)
    return value[0][0] if isinstance(value, list) else value


def _n(at: At, value: Any) -> Any:
    cell = _first(at, value)
    if isinstance(cell, CellError):
        return cell
    return float(cell) if isinstance(cell, (bool, float)) else 0.0


def _t(at: At, value: Any) -> Any:
    cell = _first(at, value)
    return cell if isinstance(cell, str) else ""


def _place(index: int) -> Callable[[Arguments, At], Any]:
    def place(arguments: Arguments, at: At) -> Any:
        count("ROW", arguments, 0, 1)
        if not arguments:
            return float((at.row, at.column)[index])
        area = value_of(arguments[0], at)
        if not isinstance(area, Area):
            return VALUE
        if at.array and not area.one:  # all of them, as SMALL(IF(...,ROW(...)),n) needs
            last = at.cells.used(area)
            if index == 0:
                return [[float(row)] for row in range(area.top, last.bottom + 1)]
            return [[float(column) for column in range(area.left, last.right + 1)]]
        return float((area.top, area.left)[index])

    return place


def _is_ref(arguments: Arguments, at: At) -> Any:
    count("ISREF", arguments, 1, 1)
    return isinstance(value_of(arguments[0], at), Area)


def _is_formula(arguments: Arguments, at: At) -> Any:
    count("ISFORMULA", arguments, 1, 1)
    area = value_of(arguments[0], at)
    if not isinstance(area, Area):
        return area if isinstance(area, CellError) else VALUE
    return bool(at.cells.formula(area.sheet, area.top, area.left))


def _size(index: int) -> Whole:
    def measured(at: At, area: Any) -> float:
        return float(size(area, at)[index])

    return measured


def _even(wanted: int) -> Callable[[Any], Any]:
    def even(value: Any) -> Any:
        found = number(value)
        return found if isinstance(found, CellError) else int(abs(found)) % 2 == wanted

    return even


def _formula_text(arguments: Arguments, at: At) -> Any:
    count("FORMULATEXT", arguments, 1, 1)
    area = value_of(arguments[0], at)
    if not isinstance(area, Area):
        return area if isinstance(area, CellError) else VALUE
    written = at.cells.formula(area.sheet, area.top, area.left)
    return f"={written}" if written else NA


def _cell(arguments: Arguments, at: At) -> Any:
    """What CELL says of a place; of formats and files it is not known."""
    count("CELL", arguments, 1, 2)
    what = text(content(value_of(arguments[0], at), at)).casefold()
    area: Any = Area(at.sheet, at.row, at.column, at.row, at.column)
    if len(arguments) == 2:
        area = value_of(arguments[1], at)
    if what not in ("row", "col", "address", "contents") or (what == "contents" and len(arguments) == 1):
        raise NotUnderstood(f'CELL("{what}")')
    if not isinstance(area, Area) or (what == "address" and area.sheet != at.sheet):
        raise NotUnderstood(f'CELL("{what}") of something else than a cell of its sheet')
    if what == "contents":
        found = at.cells.value(area.sheet, area.top, area.left)
        return 0.0 if found is None else found
    if what == "address":
        return f"${column_letter(area.left)}${area.top}"
    return float(area.top if what == "row" else area.left)


LAZY = {
    "ROW": _place(0),
    "COLUMN": _place(1),
    "ISREF": _is_ref,
    "ISFORMULA": _is_formula,
    "FORMULATEXT": _formula_text,
    "CELL": _cell,
}
CELLWISE = {
    "NA": (0, 0, lambda: NA),
    "ERROR.TYPE": (1, 1, _error_type),
    "ISBLANK": (1, 1, lambda v: v is None),
    "ISERROR": (1, 1, lambda v: isinstance(v, CellError)),
    "ISERR": (1, 1, lambda v: isinstance(v, CellError) and v != NA),
    "ISNA": (1, 1, lambda v: v == NA and isinstance(v, CellError)),
    "ISNUMBER": (1, 1, lambda v: isinstance(v, float)),
    "ISTEXT": (1, 1, lambda v: isinstance(v, str) and not isinstance(v, CellError)),
    "ISNONTEXT": (1, 1, lambda v: not isinstance(v, str) or isinstance(v, CellError)),
    "ISLOGICAL": (1, 1, lambda v: isinstance(v, bool)),
    "ISEVEN": (1, 1, _even(0)),
    "ISODD": (1, 1, _even(1)),
}
WHOLE = {
    "N": (1, 1, _n),
    "T": (1, 1, _t),
    "TYPE": (1, 1, _type),
    "ROWS": (1, 1, _size(0)),
    "COLUMNS": (1, 1, _size(1)),
}
