"""Cells in a rectangle, as lists of rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

Block = list[list[Any]]


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
