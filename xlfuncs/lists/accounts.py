"""What became of every row of a sheet: audited, another instrument, a heading, a note, or not understood."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import tags
from xlfuncs.lists.tables import Made
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import ACCEPT, promises, read_heading

AUDITED: Final = "audited"
FLOATS: Final = "float list"
COMPONENT: Final = "component"
HEADING: Final = "heading"
NOTE: Final = "note"
TOTAL: Final = "total"
LEGEND: Final = "legend"
OTHER_LIST: Final = "list of something else"
UNKNOWN: Final = "not understood"
ORDER: Final = (AUDITED, FLOATS, COMPONENT, HEADING, NOTE, TOTAL, LEGEND, OTHER_LIST, UNKNOWN)
_FEW: Final = 2
"""Filled cells of a row up to which it may be a note."""
_FLOAT_FIELDS: Final = 3
"""Headings of float data from which a sheet holds some."""
_LOOKED_AT: Final = 400
_WIDEST: Final = 200


@dataclass(frozen=True, slots=True)
class SheetRows:
    """The rows of a sheet that hold anything, by what became of them."""

    sheet: str
    rows: Mapping[str, tuple[tuple[int, int], ...]]
    """What became of them -> first and last of each run of rows."""

    def count(self, what: str) -> int:
        return sum(last - first + 1 for first, last in self.rows.get(what, ()))

    @property
    def total(self) -> int:
        """How many rows hold anything."""
        return sum(map(self.count, self.rows))

    def places(self, what: str) -> list[str]:
        """'4-12', '15'."""
        return [str(a) if a == b else f"{a}-{b}" for a, b in self.rows.get(what, ())]


def of_sheet(grid: Grid, lists: Sequence[Made], legends: Collection[str]) -> SheetRows:
    """What became of the rows of a sheet. `lists`: what was read of it; `legends`: sheets of explanations."""
    kind = np.full(len(grid.rows), "", dtype=object)
    known: list[str] = []
    for made in lists:
        for what, rows in made.rows.items():
            at = np.flatnonzero(np.isin(grid.rows, rows))
            free = at[kind[at] == ""] if what != AUDITED else at
            kind[free] = what
            known.append(what)
    first = next((i for i, what in enumerate(kind.tolist()) if what == HEADING), len(kind) if known else -1)
    for i in np.flatnonzero(kind == "").tolist():
        left = _left(grid.values[i, :_WIDEST].tolist(), i < first)
        kind[i] = LEGEND if left and grid.sheet in legends else left
    used = kind != ""
    return SheetRows(grid.sheet, _runs(kind[used], grid.rows[used]))


def _left(row: list[object], above: bool) -> str:
    """What a row is that belongs to no list; "" for a blank one."""
    filled = [value for value in row if value is not None and str(value).strip()]
    if not filled:
        return ""
    texts = [value for value in filled if isinstance(value, str)]
    if texts and tags.ends_list(texts[0]):
        return TOTAL if len(filled) > 1 else NOTE
    if above and len(texts) == len(filled):
        return HEADING
    if len(filled) <= _FEW and texts and not any(map(tags.is_gauge_tag, texts)):
        return NOTE
    return UNKNOWN


def _runs(kinds: NDArray[np.object_], rows: NDArray[np.int64]) -> dict[str, tuple[tuple[int, int], ...]]:
    """Kind -> first and last of adjacent rows of it."""
    ends = [*np.flatnonzero((kinds[1:] != kinds[:-1]) | (np.diff(rows) != 1)).tolist(), len(rows) - 1]
    places: dict[str, list[tuple[int, int]]] = {}
    for first, last in pairwise([-1, *ends] if len(rows) else []):
        places.setdefault(kinds[last], []).append((int(rows[first + 1]), int(rows[last])))
    ranked = sorted(places, key=lambda what: (ORDER.index(what) if what in ORDER else _SKIPPED, what))
    return {what: tuple(places[what]) for what in ranked}


_SKIPPED: Final = 2.5
"""Place of other instruments and the like among the rest."""


def float_headings(grid: Grid) -> list[tuple[str, str]]:
    """Cells of a sheet that name float data, and their texts; none of a sheet that names hardly any."""
    found: dict[str, tuple[str, str]] = {}
    for i, row in enumerate(grid.values[:_LOOKED_AT, :_WIDEST].tolist()):
        for j, value in enumerate(row):
            if not isinstance(value, str) or len(value) > 80 or not promises(" ".join(value.split())):
                continue
            text = " ".join(value.split())
            meanings = read_heading(text, kind="floats").meanings
            if (
                meanings
                and meanings[0].score >= ACCEPT
                and meanings[0].field.startswith(("float_", "magnet_"))
            ):
                found.setdefault(meanings[0].field, (grid.address(i, j), text))
    return list(found.values()) if len(found) >= _FLOAT_FIELDS else []
