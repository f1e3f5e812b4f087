"""Cells in a rectangle, as lists of rows: the form in which every host gets a result."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from xlfuncs.worksheet import call

Block = list[list[Any]]

_ROOM = 4096
_LARGE = 1000
_results: dict[str, Any] = {}


def result(name: str, cells: Sequence[Any]) -> Any:
    """The result of a worksheet function as a cell takes it: a value, or a block for more than one.

    Calls are remembered: a table is asked for once for each of its cells when it stands in INDEX().
    """
    if sum(len(c) * len(c[0]) for c in cells if isinstance(c, (list, tuple)) and c and c[0]) > _LARGE:
        return single(as_block(call(name, *cells)))
    key = repr((name, cells))  # tells 1, 1.0, TRUE and "1" apart
    if key not in _results:
        if len(_results) >= _ROOM:
            _results.clear()
        _results[key] = single(as_block(call(name, *cells)))
    return _results[key]


def as_block(value: Any) -> Block:
    """A value, a row or rows as rows of cells: 1 x 1 for a single value."""
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if not isinstance(value, (list, tuple)):
        return [[value]]
    if not value or not isinstance(value[0], (list, tuple)):
        return [list(value)]
    if isinstance(value, list) and isinstance(value[0], list):
        return value  # a range is large: it is not copied
    return list(map(list, value))


def single(block: Sequence[Sequence[Any]]) -> Any:
    """A 1 x 1 block as its value, any other as it is."""
    return block[0][0] if len(block) == 1 and len(block[0]) == 1 else block
