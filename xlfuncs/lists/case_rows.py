"""Lists with a row for each case of a gauge: one tag on several rows, and a column that names the cases."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Final

from xlfuncs.data import load
from xlfuncs.lists.found import Found, Layout, holds_units
from xlfuncs.lists.rows import find_rows
from xlfuncs.lists.upright import Place, Record, Records, is_blank, of_column
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.words import fold

_LARGE: Final = 20_000
_WORTH: Final = 0.8
"""Worth, by that of the list with a gauge on each row, from which the rows are taken for cases."""
_OWN: Final = (
    *(
        "fluid_density",
        "upper_density",
        "interface_density",
        "operating_",
        "viscosity",
        "chamber_temperature",
    ),
    *("level_rate", "normal_level", "stated_", "case"),
)
"""Beginnings of the fields that a case states itself: a blank one is not filled from the first case."""


def records_of(grid: Grid, layouts: Sequence[Layout]) -> Iterator[Records]:
    """The lists of a sheet whose rows are cases."""
    for layout in layouts:
        told = next((found for found in layout.others if _names_case(found.heading)), None)
        tag = layout.columns.get("tag")
        if layout.kind != "gauges" or told is None or tag is None or layout.last - layout.first > _LARGE:
            continue
        gauges = _by_tag(grid, layout, tag, told)
        if gauges:
            yield _upright(grid, layout, told, gauges)


@cache
def _headings() -> frozenset[str]:
    return frozenset(word for words in load("case_words")["heading"].values() for word in words)


def _names_case(heading: str) -> bool:
    """Whether a column says which case a row is."""
    return " ".join(re.sub(r"[\W_]+", " ", fold(heading)).split()) in _headings()


def _by_tag(grid: Grid, layout: Layout, tag: Found, told: Found) -> list[list[tuple[int, str]]]:
    """The rows of each gauge with the names of their cases; none where a tag repeats without another case."""
    found = find_rows(grid, layout)
    rows = [(i, i) for i in found.records.tolist()]
    rows += [(i, first) for i, first in found.continued.items() if not is_blank(grid.values[i, told.index])]
    gauges: dict[str, list[tuple[int, str]]] = {}
    for i, first in sorted(rows):
        name = fold(str(grid.values[first, tag.index] or "")) or f"row {first}"
        case = grid.values[i, told.index]
        gauges.setdefault(name, []).append((i, "" if is_blank(case) else " ".join(str(case).split())))
    several = [cases for cases in gauges.values() if len(cases) > 1]
    for cases in several:
        names = {fold(case) for _, case in cases}
        if len(names) < len(cases) or "" in names:
            return []
    return list(gauges.values()) if several else []


def _upright(grid: Grid, layout: Layout, told: Found, gauges: list[list[tuple[int, str]]]) -> Records:
    every = sorted((*layout.columns.values(), *layout.others), key=lambda one: one.index)
    units = {found.index for found in every if holds_units(found)}
    columns = list({one.index: one for one in every if one.index not in units and one is not told}.values())
    records = []
    for rows in gauges:
        first = rows[0][0]
        for i, case in rows:
            cells = {p: _place(grid, i, first, found) for p, found in enumerate(columns)}
            beside = {
                p: str(grid.values[i, found.index + 1]).strip()
                for p, found in enumerate(columns)
                if found.index + 1 in units
            }
            records.append(Record(cells, beside, case if len(rows) > 1 else ""))
    col = int(grid.cols[told.index])
    used = {(int(grid.rows[i]), col) for rows in gauges for i, _ in rows}
    return Records(
        grid,
        "a list with a row for each case",
        [of_column(found) for found in columns],
        records,
        grid.sheet,
        used,
        least=_WORTH,
    )


def _place(grid: Grid, row: int, first: int, found: Found) -> Place:
    """A value of a case; the tag, and what is blank and no operating condition, is that of the first."""
    shared = bool(found.field) and not found.field.startswith(_OWN)
    at = first if found.field == "tag" or (shared and is_blank(grid.values[row, found.index])) else row
    return Place(grid.values[at, found.index], int(grid.rows[at]), int(grid.cols[found.index]))
