"""The upper fluid's plain number, which may be a gas or a liquid's specific gravity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.units import parse
from xlfuncs.worksheet import _gravity
from xlfuncs.worksheet._problems import Unusable, together
from xlfuncs.worksheet._ranges import Taken
from xlfuncs.worksheet.refusal import Refusal
from xlfuncs.worksheet.spec import Function


def ask_back(
    function: Function, given: Sequence[Any], taken: Sequence[Taken], keywords: dict[str, Any]
) -> Refusal | None:
    """Note where the upper fluid's plain number can be a specific gravity; a refusal where that is all."""
    for argument, cell, found in zip(function.arguments, given, taken, strict=True):
        if argument.liquid != "maybe" or cell is None or found.problem is not None:
            continue
        if isinstance(cell, (int, float)) and not _gravity.looks_so(cell):
            continue
        plain = _plain_cells(cell)
        if plain is None:
            continue
        with np.errstate(all="ignore"):
            doubt = _gravity.looks_so(plain) & _gravity.possible_above(plain, keywords)
        if not doubt.any():
            continue
        texts = np.full(doubt.shape, None, dtype=object)
        numbers = np.broadcast_to(plain, doubt.shape)
        for at in map(tuple, np.argwhere(doubt)):
            number = float(numbers[at])
            what = f"{number:g} can be a gas in {argument.unit} or a liquid's specific gravity; "
            texts[at] = Unusable(what + _gravity.question(number, argument.unit)).about(argument)
        if not doubt.shape or function.result.shape == "table":
            return together([text for text in texts.ravel().tolist() if text is not None][:1])
        found.problem = texts
    return None


def _plain_cells(cell: Any) -> NDArray[np.float64] | None:
    """The numbers without a unit in an argument, NaN elsewhere; None where there is none."""
    if isinstance(cell, np.ndarray) and cell.dtype.kind in "fiu":
        return cell.astype(np.float64)
    cells = np.array(cell, dtype=object)
    numbers = np.array([_bare_number(found) for found in cells.ravel().tolist()], dtype=np.float64)
    return None if np.isnan(numbers).all() else numbers.reshape(cells.shape)


def _bare_number(cell: Any) -> float:
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        return float(cell)
    if isinstance(cell, str) and cell.strip() and _gravity.is_bare(cell):
        return float(parse(cell, "density").number)
    return math.nan
