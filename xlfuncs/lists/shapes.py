"""Which shape a sheet has: every way of setting its gauges upright is read, and the best one is taken.

The best is the one that understands the most values with the fewest that it does not; how far the next is
behind is kept, and what is close is put to the person.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import abreast, bill, case_rows, forms, headed, keyed, legend, long, points, turned
from xlfuncs.lists.found import Layout
from xlfuncs.lists.instructions import Instructions, SaidShape
from xlfuncs.lists.legend import Legend
from xlfuncs.lists.tables import Made
from xlfuncs.lists.upright import Records, Shaped, read, worth_of
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import promises

_ENOUGH: Final = 0.6
"""Share of a sheet's cells that lists account for, from which no other shape is looked for."""
_CLOSE: Final = 0.9
"""Share of the best reading's worth from which the next is close."""
_WORTH_NAMING: Final = 0.3
"""Share of the best reading's worth from which another is offered."""
_AGREED: Final = 0.1
"""Share of the cells of two readings that may differ in what they mean before they are two readings."""
LISTS: Final = "a list"
_NUMBERS: Final = re.compile(r"\d+")
_LARGE: Final = 400_000
"""Cells of a sheet beyond which only lists are looked for."""


@dataclass(slots=True)
class Choice:
    """How a sheet is read, and how else it could be."""

    shape: str
    """The words for it."""
    shaped: Shaped | None = None
    """None where its lists are taken."""
    others: tuple[str, ...] = ()
    """The other shapes in which gauges or floats were found, the best first."""
    question: str = ""
    """The one of them that reads nearly as much, and takes cells for something else."""


def choose(
    grid: Grid,
    layouts: Sequence[Layout],
    plain: Sequence[Made],
    instructions: Instructions,
    known: Sequence[Legend] = (),
    part: bool = False,
    alike: dict[Labels, Choice] | None = None,
) -> Choice:
    """The shape that explains most of a sheet, or the one that a person has named.

    `layouts`, `plain`: its lists. `known`: the legends of the workbook. `part`: others stand beside it, to
    which the names may belong. `alike`: how sheets with the same labels were read; those that follow them
    are read so. XlfuncsError where the sheet cannot be read in the shape that was named.
    """
    if alike is None or instructions.bound or instructions.shapes.get(grid.sheet) or grid.values.size > _FORM:
        return _choose(grid, layouts, plain, instructions, known, part)
    labels = _labels(grid)
    earlier = alike.get(labels)
    if earlier is not None:
        for records in _hypotheses(grid, layouts, known, True, instructions):
            if records.shape == earlier.shape and (shaped := read(records, instructions)) is not None:
                return Choice(earlier.shape, shaped, earlier.others)
    choice = _choose(grid, layouts, plain, instructions, known, part)
    if choice.shaped is not None:
        alike.setdefault(labels, choice)
    return choice


Labels = frozenset[tuple[int, int, str]]
_FORM: Final = 5_000
"""Cells of a sheet that may be a form like others."""


def _labels(grid: Grid) -> Labels:
    """The texts of a sheet that are labels, with their places: those of the columns that hold the most."""
    columns = [
        [(i, j, value) for i, value in enumerate(column) if isinstance(value, str) and promises(value)]
        for j, column in enumerate(grid.values.T.tolist())
    ]
    most = max(map(len, columns), default=0)
    return frozenset(one for column in columns if 2 * len(column) > most for one in column)


def _choose(
    grid: Grid,
    layouts: Sequence[Layout],
    plain: Sequence[Made],
    instructions: Instructions,
    known: Sequence[Legend],
    part: bool,
) -> Choice:
    names = instructions.shapes.get(grid.sheet, ())
    mine = worth_of(plain)
    if grid.values.size > _LARGE:
        return Choice(LISTS)
    found: list[Shaped] = []
    whole = bool(names) or _leaves_much(grid, mine)
    filled = int(np.count_nonzero(grid.values != ""))
    for records in _hypotheses(grid, layouts, known, whole, instructions):
        shaped = read(records, instructions)
        if shaped is not None and _tells(shaped.made):
            found.append(shaped)
            if not names and shaped.worth > filled:  # other shapes take one value of a cell, at most
                break
    found.sort(key=lambda shaped: -shaped.worth)
    every = [_Reading(shaped.records.shape, shaped.worth, [shaped.made], shaped) for shaped in found]
    listed = _Reading(LISTS, mine, list(plain), None)
    if not plain or (found and found[0].worth >= found[0].records.least * mine):
        every += [listed] if plain else []
    else:
        every.insert(0, listed)
    named = next((said for said in names if any(same(said.shape, one.shape) for one in every)), None)
    if any(same(one.shape, LISTS) for one in names[:1]):
        return Choice(LISTS, None, tuple(dict.fromkeys(one.shape for one in every if one is not listed)))
    if named is not None:
        every.sort(key=lambda one: not same(named.shape, one.shape))  # the others stay in order
    elif names and not part:
        raise XlfuncsError(_cannot(grid.sheet, names[0], [one.shape for one in every]))
    if not every:
        return Choice(LISTS)
    best = every[0]
    rest = [one for one in every if not same(one.shape, best.shape)]
    others = tuple(dict.fromkeys(one.shape for one in rest if one.worth >= _WORTH_NAMING * best.worth))
    if named is not None or not rest:
        return Choice(best.shape, best.shaped, others)
    return Choice(best.shape, best.shaped, others, _question(best, max(rest, key=lambda one: one.worth)))


@dataclass(frozen=True, slots=True)
class _Reading:
    """One way to read a sheet."""

    shape: str
    worth: float
    made: list[Made]
    shaped: Shaped | None


def same(one: str, other: str) -> bool:
    """Whether two names of shapes are one; how many cases or columns there are may differ."""
    return _NUMBERS.sub("", one).casefold().split() == _NUMBERS.sub("", other).casefold().split()


def _cannot(sheet: str, named: SaidShape, shapes: Sequence[str]) -> str:
    there = " or ".join(map(repr, dict.fromkeys(shapes)))
    what = f"write {there}" if there else "with what is said of it nothing in it can be read: leave that out"
    return f"{named.said}: {sheet!r} cannot be read as {named.shape!r}; {what}"


def _question(best: _Reading, other: _Reading) -> str:
    """The other reading, if it is nearly as good and says other things of the same cells."""
    if other.worth < _CLOSE * best.worth:
        return ""
    mine, theirs = _meanings(best.made), _meanings(other.made)
    both = mine.keys() & theirs.keys()
    differ = sum(mine[cell] != theirs[cell] for cell in both)
    return other.shape if differ > _AGREED * len(both) else ""


def _meanings(made: Sequence[Made]) -> dict[tuple[int, int], tuple[str, str]]:
    """(row, column) of each value that was read -> (tag, field)."""
    out = {}
    for one in made:
        table = one.table
        key = table.columns.get("tag") or table.columns.get("float_part")
        if key is None:
            continue
        names = key.text.tolist()
        for field, column in table.columns.items():
            for name, row, col in zip(names, column.row.tolist(), column.col.tolist(), strict=True):
                if row and col:
                    out[row, col] = (name, field)
    return out


def _leaves_much(grid: Grid, explained: float) -> bool:
    """Whether lists account for too few of the cells of a sheet."""
    if explained >= _ENOUGH * grid.values.size:
        return False  # however many of them are filled
    return explained < _ENOUGH * int(np.count_nonzero(grid.values != ""))


def _tells(made: Made) -> bool:
    """Whether there is a gauge in a reading, or a transmitter that may be one's."""
    return bool(len(made.table)) or (made.selected is not None and bool(made.selected.loops))


def _hypotheses(
    grid: Grid,
    layouts: Sequence[Layout],
    known: Sequence[Legend],
    whole: bool,
    instructions: Instructions,
) -> Iterator[Records]:
    """The ways to set the sheet upright. `whole`: its lists leave most of it unexplained."""
    yield from legend.records_of(grid, known)
    yield from points.records_of(grid)
    yield from bill.records_of(grid)
    yield from abreast.records_of(grid, layouts)
    yield from case_rows.records_of(grid, layouts)
    yield from headed.records_of(grid, layouts)
    yield from keyed.records_of(grid)
    if whole:
        yield from forms.records_of(grid, instructions)
        yield from turned.records_of(grid)
        yield from long.records_of(grid, known)
