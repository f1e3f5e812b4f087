"""Cells in a rectangle, as lists of rows: the form in which every host gets a result."""

from __future__ import annotations

from typing import Any

import numpy as np

Block = list[list[Any]]


def as_block(value: Any) -> Block:
    """The result of `xlfuncs.worksheet.call` as rows of cells: 1 x 1 for a single value."""
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if not isinstance(value, (list, tuple)):
        return [[value]]
    if any(isinstance(row, (list, tuple)) for row in value):
        return [list(row) for row in value]
    return [list(value)]


def single(block: Block) -> Any:
    """A 1 x 1 block as its value, any other as it is."""
    return block[0][0] if len(block) == 1 and len(block[0]) == 1 else block
