"""Dimensions that a sheet measures otherwise than the audit does: brought to the audit's way.

A length without the ends gets theirs; a magnet measured from the top is measured from the bottom; a range
stated by its two ends gets its length. What lacks the data for that is not used: the number as it stands
would be wrong by the ends, or by the float's length.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from xlfuncs.data.words import says
from xlfuncs.gauge import Array
from xlfuncs.gauge.floats import ENDS, ends_length
from xlfuncs.lists.model import Column, State


@dataclass(frozen=True, slots=True)
class Measured:
    """A column in the audit's way of measuring."""

    column: Column
    lost: int
    """Numbers that could not be brought to it and count as missing."""
    why: str
    """What the sheet measures, and what is needed to use it."""


def over_all(columns: dict[str, Column]) -> Measured:
    """`float_length` from `float_straight_length`, which is taken out."""
    column = columns.pop("float_straight_length")
    low_end, high_end = _ends_length(columns, len(column))
    why = "the length without the ends, and beside it stand no shape of the ends and diameter"
    return _made(column, "float_length", column.low + low_end, column.high + high_end, why)


def from_bottom(columns: dict[str, Column]) -> Measured:
    """`magnet_height` from `magnet_from_top`, which is taken out, and `float_length`."""
    column = columns.pop("magnet_from_top")
    low, high = _ends_of(columns.get("float_length"), len(column))
    why = "the distance of the magnet from the float's top, and beside it stands no length over all"
    return _made(column, "magnet_height", low - column.high, high - column.low, why)


def between_ends(columns: dict[str, Column]) -> Measured:
    """`visible_range` from `visible_high`, which is taken out, and `visible_low`."""
    column = columns.pop("visible_high")
    low, high = _ends_of(columns.get("visible_low"), len(column))
    why = "the upper end of the visible range, and beside it stands no lower end"
    return _made(column, "visible_range", column.low - high, column.high - low, why)


WAYS: Final = {
    "float_straight_length": over_all,
    "magnet_from_top": from_bottom,
    "visible_high": between_ends,
}
"""Field of the sheet -> what makes the audit's of it; in this order, as the second needs the first."""


def _made(column: Column, field: str, low: Array, high: Array, why: str) -> Measured:
    lost = column.given & np.isnan(low) & np.isnan(high)
    column.field, column.low, column.high = field, low, high
    column.state = np.where(lost, np.uint8(State.PLACEHOLDER), column.state)
    return Measured(column, int(lost.sum()), why)


def _ends_of(column: Column | None, n: int) -> tuple[Array, Array]:
    """Lowest and highest numbers of a column, NaN where none is given."""
    if column is None:
        return np.full(n, np.nan), np.full(n, np.nan)
    return np.where(column.given, column.low, np.nan), np.where(column.given, column.high, np.nan)


def _ends_length(columns: dict[str, Column], n: int) -> tuple[Array, Array]:
    """Depth of both ends together; NaN where the sheet does not tell it."""
    ends = columns.get("float_ends")
    texts = np.where(ends.given, ends.text, "") if ends is not None else np.full(n, "", dtype=object)
    shape = np.full(n, "", dtype="U13")
    for name in ENDS:
        shape[says(texts, name)] = name
    known = shape != ""
    low, high = _ends_of(columns.get("float_diameter"), n)
    flat = shape == "flat"
    out = []
    for diameter in (low, high):
        depth = np.where(flat, 0.0, np.nan)
        curved = known & ~flat
        depth[curved] = ends_length(diameter[curved], shape[curved])
        out.append(depth)
    return out[0], out[1]
