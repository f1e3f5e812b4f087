"""From the cells of a formula to the SI callable and back.

Arguments are converted once, here; all that is wrong with them is reported together. A repeated text
("0.82 SG") is parsed once and remembered, so that a scalar call costs microseconds beyond the physics.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import Any

from xlfuncs.worksheet._blocks import by_blocks, long_ranges
from xlfuncs.worksheet._calling import answer, perform, prepare
from xlfuncs.worksheet._ranges import rows_of_numbers
from xlfuncs.worksheet._short_way import single_cells
from xlfuncs.worksheet.refusal import Refusal
from xlfuncs.worksheet.spec import Function


def evaluate(function: Function, arguments: Sequence[Any]) -> Any:
    """The value of `function` for the cells `arguments`; see `xlfuncs.worksheet.call`."""
    sound = single_cells(function, arguments)
    if sound is not None:
        return perform(function, *sound, (), [])
    arguments = [
        rows_of_numbers(argument, cell) if isinstance(cell, (list, tuple)) else cell
        for argument, cell in zip_longest(function.arguments, arguments)
    ][: len(arguments)]
    if function.result.shape == "cell":
        rows = long_ranges(arguments)
        if rows:
            return by_blocks(function, arguments, rows)
    ready = prepare(function, arguments)
    return ready if isinstance(ready, Refusal) else answer(function, ready)
