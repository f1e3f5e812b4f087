"""Long ranges, block by block."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.worksheet._calling import Ready, answer, prepare
from xlfuncs.worksheet._ranges import take, take_range
from xlfuncs.worksheet.refusal import Refusal
from xlfuncs.worksheet.spec import Function

BLOCK = 1 << 18
"""Cells that are calculated together."""


def long_ranges(arguments: Sequence[Any]) -> int:
    """Rows of a block of `by_blocks`, where the ranges are long enough, numbers, and of one size; else 0."""
    ranges = [cell for cell in arguments if isinstance(cell, np.ndarray)]
    shapes = {cell.shape for cell in ranges if cell.size != 1}
    if len(shapes) != 1 or any(isinstance(cell, (list, tuple)) for cell in arguments):
        return 0
    (shape,) = shapes
    if any(cell.ndim > len(shape) or cell.dtype.kind not in "fiu" for cell in ranges):
        return 0
    width = math.prod(shape[1:])
    return int(BLOCK // width) if shape[0] * width >= 2 * BLOCK and width <= BLOCK else 0


def by_blocks(function: Function, arguments: Sequence[Any], rows: int) -> Any:
    """The value for long ranges, block by block, so that what is reckoned with stays in the cache."""
    first = [cell[:rows] if _is_long(cell) else cell for cell in arguments]
    ready = prepare(function, first)
    if isinstance(ready, Refusal):
        return ready
    cut = {at: cell for at, cell in enumerate(arguments) if _is_long(cell)}
    total = len(next(iter(cut.values())))
    out: NDArray[Any] = np.empty((total, *ready.shape[1:]), dtype=np.float64)
    for top in range(0, total, rows):
        if top:
            ready = _next_block(function, ready, {at: cell[top : top + rows] for at, cell in cut.items()})
        here = out[top : top + rows] if out.dtype == np.float64 else None
        found = answer(function, ready, here)
        if not isinstance(found, np.ndarray):
            return found  # refused as a whole
        if found is here:
            continue
        if found.dtype == object and out.dtype != object:
            out = out.astype(object)
        out[top : top + rows] = found
    return out


def _is_long(cell: Any) -> bool:
    return isinstance(cell, np.ndarray) and cell.size != 1


def _next_block(function: Function, ready: Ready, block: dict[int, NDArray[Any]]) -> Ready:
    """The call with other cells in its ranges; what is one cell has been taken already."""
    given, taken = list(ready.given), list(ready.taken)
    for at, cells in block.items():
        given[at], taken[at] = cells, take_range(function.arguments[at], cells)
    for at, found in enumerate(taken):
        if at not in block and found.problem is not None:  # asked back for a cell of another block
            taken[at] = take(function.arguments[at], given[at])
    return Ready(given, taken, ready.unit, next(iter(block.values())).shape)
