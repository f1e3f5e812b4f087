"""What the add-in's VBA module asks of Python, through xlwings' COM server.

xlwings calls these by name and hands cells on as they are ("raw"): numbers as floats, texts, None for a blank
cell, tuples of rows for a range, and integers for error values. numpy, units and physics come in with the
first call.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import chain
from typing import Any

import xlwings


def _raw(*names: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Declare a function to xlwings, which leaves arguments and result as they are."""

    def declare(function: Callable[..., Any]) -> Callable[..., Any]:
        for name in names:
            function = xlwings.arg(name, "raw")(function)
        return xlwings.func(xlwings.ret("raw")(function))

    return declare


@_raw("name", "cells")
def answer(name: str, *cells: Any) -> list[list[Any]]:
    """The value of a worksheet function, as rows of what VBA puts into the cells."""
    from xlfuncs.hosts.excel.errors import shown
    from xlfuncs.spreadsheet.block import as_block
    from xlfuncs.worksheet.cells import result

    rows = as_block(result(name, list(map(_taken, cells))))
    if _kinds(rows) <= {float, str, bool}:
        return rows
    return [[shown(cell) for cell in row] for row in rows]


def _kinds(rows: Iterable[Iterable[Any]]) -> set[type]:
    return set(map(type, chain.from_iterable(rows)))


def _taken(argument: Any) -> Any:
    """One argument: a value, or the rows of a range."""
    from xlfuncs.hosts.excel.errors import taken

    if not isinstance(argument, tuple):
        return taken(argument)
    rows = argument if argument and isinstance(argument[0], tuple) else (argument,)
    if int in _kinds(rows):
        return [[taken(cell) for cell in row] for row in rows]
    return rows


@_raw("book")
def copy_for(book: str) -> list[list[str]]:
    """Where Excel is to save a copy of the workbook of that name, for `act`."""
    from xlfuncs.hosts.excel.menu import copy_for

    return [[str(copy_for(book))]]


@_raw("action", "copy", "name", "state", "sheet", "cell", "selection", "output")
def act(
    action: str, copy: str, name: str, state: str, sheet: str, cell: str, selection: str, output: str
) -> list[list[str]]:
    """Carry out a button of the ribbon: a message, a file to open, a sheet of it, a heading and a text."""
    from xlfuncs.hosts.excel.menu import act

    return [list(act(action, copy, name, state, sheet, cell, selection, output))]
