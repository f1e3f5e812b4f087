"""Which shape a sheet has: every way of setting its gauges upright is read, and the best one is taken.

The best is the one that understands the most values with the fewest that it does not; how far the next is
behind is kept, and what is close is put to the person.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from xlfuncs.lists import forms
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.tables import Made
from xlfuncs.lists.upright import Records, Shaped, read, worth_of
from xlfuncs.spreadsheet.grid import Grid

_ENOUGH: Final = 0.6
"""Share of a sheet's cells that lists account for, from which no other shape is looked for."""
_BETTER: Final = 1.1
"""By what factor another shape must be worth more than the lists of a sheet."""
_CLOSE: Final = 0.9
"""Share of the best reading's worth from which the next is close."""
_LARGE: Final = 400_000
"""Cells of a sheet beyond which only lists are looked for."""


@dataclass(slots=True)
class Chosen:
    """The reading of a sheet that is no plain list."""

    shaped: Shaped
    next_shape: str = ""
    next_worth: float = 0.0

    @property
    def close(self) -> bool:
        """Whether another reading is nearly as good."""
        return self.next_worth >= _CLOSE * self.shaped.worth > 0


HYPOTHESES: Final[tuple[Callable[[Grid], Iterator[Records]], ...]] = (forms.records_of,)


def choose(grid: Grid, plain: Sequence[Made], instructions: Instructions) -> Chosen | None:
    """The reading of a sheet as another shape, where that explains more than its lists do."""
    if grid.values.size > _LARGE:
        return None
    mine = worth_of(plain)
    filled = int(np.count_nonzero(grid.values != ""))
    if mine >= _ENOUGH * filled:
        return None
    found: list[Shaped] = []
    for hypothesis in HYPOTHESES:
        for records in hypothesis(grid):
            shaped = read(records, instructions)
            if shaped is not None and len(shaped.made.table):
                found.append(shaped)
    found.sort(key=lambda shaped: -shaped.worth)
    if not found or found[0].worth < _BETTER * mine:
        return None
    best = found[0]
    rest = [(shaped.worth, shaped.records.shape) for shaped in found[1:]]
    rest += [(mine, "a list")] if plain else []
    worth, shape = max(rest, default=(0.0, ""))
    return Chosen(best, shape, worth)
