"""The functions as the formulas of a workbook call them: by the name that stands in the formula, with the
contents of cells. Nothing heavy is imported before the first call.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.worksheet import call, find

_OURS = re.compile(r"(?:.*[!.]|_xldudf_)?(LG_[A-Za-z0-9_]+)\Z", re.IGNORECASE | re.DOTALL)
_ROOM = 4096
_LARGE = 1000
_results: dict[str, Any] = {}


def own_name(written: str) -> str | None:
    """LG_IMMERSION for a function that is ours, whatever workbook or add-in stands before it.

    >>> own_name("'C:\\\\Users\\\\x\\\\old.xlam'!LG_IMMERSION")
    'LG_IMMERSION'
    """
    found = _OURS.match(written)
    return found[1].upper() if found else None


def result(name: str, cells: Sequence[Any]) -> Any:
    """`xlfuncs.worksheet.call`, an array as rows.

    Calls are remembered: a table is asked for once for each of its cells when it stands in INDEX().
    """
    if sum(len(c) * len(c[0]) for c in cells if isinstance(c, (list, tuple)) and c and c[0]) > _LARGE:
        return _answer(name, cells)
    key = repr((name, cells))  # tells 1, 1.0, TRUE and "1" apart
    if key not in _results:
        if len(_results) >= _ROOM:
            _results.clear()
        _results[key] = _answer(name, cells)
    return _results[key]


def _answer(name: str, cells: Sequence[Any]) -> Any:
    import numpy as np

    found = call(name, *cells)
    return found.tolist() if isinstance(found, np.ndarray) else found


class SheetFunctions:
    """What evaluates the formulas of a workbook is handed this; it knows no function of ours by itself."""

    def own(self, written: str) -> str | None:
        """The plain name of a function that is ours, as it is written in a formula; None for any other."""
        return own_name(written)

    def mentioned(self, formula: str) -> bool:
        """Whether one of ours may stand in a formula, by a look at its text."""
        return "LG_" in formula.upper()

    def unknown(self, name: str) -> str:
        """Why there is no such function, "" where there is one."""
        try:
            find(name)
        except XlfuncsError as error:
            return str(error)
        return ""

    def call(self, name: str, cells: Sequence[Any]) -> Any:
        """A value, rows of values, or refusals in their place."""
        return result(name, cells)


FUNCTIONS = SheetFunctions()
