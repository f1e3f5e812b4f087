"""Which shape a sheet has: every way of setting its gauges upright is read, and the best one is taken.

The best is the one that understands the most values with the fewest that it does not; how far the next is
behind is kept, and what is close is put to the person.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from xlfuncs.lists import abreast, forms, headed, keyed, legend, long, points, turned
from xlfuncs.lists.found import Layout
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.legend import Legend
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


def choose(
    grid: Grid,
    layouts: Sequence[Layout],
    plain: Sequence[Made],
    instructions: Instructions,
    known: Sequence[Legend] = (),
) -> Chosen | None:
    """The reading of a sheet as another shape, where that explains more than its lists do.

    `layouts`, `plain`: its lists. `known`: the legends of the workbook.
    """
    if grid.values.size > _LARGE:
        return None
    mine = worth_of(plain)
    found: list[Shaped] = []
    for records in _hypotheses(grid, layouts, known, whole=_leaves_much(grid, mine)):
        shaped = read(records, instructions)
        if shaped is not None and _tells(shaped.made):
            found.append(shaped)
    found.sort(key=lambda shaped: -shaped.worth)
    if not found or found[0].worth < _BETTER * mine:
        return None
    best = found[0]
    rest = [(shaped.worth, shaped.records.shape) for shaped in found[1:]]
    rest += [(mine, "a list")] if plain else []
    worth, shape = max(rest, default=(0.0, ""))
    return Chosen(best, shape, worth)


def _leaves_much(grid: Grid, explained: float) -> bool:
    """Whether lists account for too few of the cells of a sheet."""
    if explained >= _ENOUGH * grid.values.size:
        return False  # however many of them are filled
    return explained < _ENOUGH * int(np.count_nonzero(grid.values != ""))


def _tells(made: Made) -> bool:
    """Whether there is a gauge in a reading, or a transmitter that may be one's."""
    return bool(len(made.table)) or (made.selected is not None and bool(made.selected.loops))


def _hypotheses(
    grid: Grid, layouts: Sequence[Layout], known: Sequence[Legend], whole: bool
) -> Iterator[Records]:
    """The ways to set the sheet upright. `whole`: its lists leave most of it unexplained."""
    yield from legend.records_of(grid, known)
    yield from points.records_of(grid)
    yield from abreast.records_of(grid, layouts)
    yield from headed.records_of(grid, layouts)
    yield from keyed.records_of(grid)
    if whole:
        yield from forms.records_of(grid)
        yield from turned.records_of(grid)
        yield from long.records_of(grid)
