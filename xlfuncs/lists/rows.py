"""Which rows of a list hold a record: no blank, section, heading, total, note or sample rows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import tags
from xlfuncs.lists.columns import is_placeholder
from xlfuncs.lists.found import Layout, key_column
from xlfuncs.lists.layout import likely
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit
from xlfuncs.vocabulary.meaning import fields, read_heading
from xlfuncs.vocabulary.words import concepts_of, fold

_LOOSE: Final = ("old_tag", "area", "service", "remarks", "instrument_type")
"""Fields that a section row or a note may fill as well."""
_UNDER_HEADING: Final = 5
"""Rows under the headings among which rows of machine names, numbers and samples are looked for."""
_ABOVE_HEADING: Final = 3
"""Rows above the next list that may belong to its headings."""
_NUMBER: Final = re.compile(r"\d+")
_HEADING: Final = 40
"""Characters of a heading of a table of revisions."""
_MACHINE_NAME: Final = re.compile(r"[A-Za-z]\w*")


@dataclass(slots=True)
class Rows:
    """The rows of a list."""

    records: NDArray[np.int64]
    """Indexes into the grid of the rows that hold a record."""
    continued: dict[int, int] = field(default_factory=dict)
    """Index of a row that belongs to one above, its tag's cell merged with it or a component -> that row."""


def find_rows(grid: Grid, layout: Layout) -> Rows:
    """The rows of a list that hold a record."""
    shaped = likely(grid, layout)
    test = _Test(grid, layout)
    sure = shaped.copy()
    for i in np.flatnonzero(~shaped).tolist():
        sure[i] = test.is_record(layout.first + i)
    if layout.kind == "gauges":
        for i in np.flatnonzero(shaped & test.with_little()).tolist():
            sure[i] = not test.is_section(layout.first + i)
    ends = {*range(_UNDER_HEADING), *range(len(sure) - _ABOVE_HEADING, len(sure))}
    for i in sorted(ends & set(range(len(sure)))):
        at = layout.first + i
        sure[i] = sure[i] and not test.counts_columns(at) and not test.names_columns(at)
    end = _of_revisions(grid, layout, shaped)
    sure[end:] &= shaped[end:]
    records = np.flatnonzero(sure) + layout.first
    continued = _continued(grid, layout) | _components(grid, layout, records, shaped)
    if continued:
        records = records[~np.isin(records, np.fromiter(continued, np.int64, len(continued)))]
    return Rows(records, continued)


def _of_revisions(grid: Grid, layout: Layout, shaped: NDArray[np.bool_]) -> int:
    """The row, counted from the first of the list, from which a table of revisions stands below it."""
    for i in np.flatnonzero(~shaped).tolist():
        if heads_revisions(grid.values[layout.first + i].tolist()):
            return i
    return len(shaped)


def heads_revisions(row: Sequence[Any]) -> bool:
    """Whether a row holds the headings of a table of revisions."""
    texts = [value for value in row if value != ""]
    if len(texts) < 2 or not all(isinstance(text, str) and len(text) <= _HEADING for text in texts):
        return False
    told = [_tells_of_document(" ".join(text.split())) for text in texts]
    return sum(map(bool, told)) >= max(2, 0.6 * len(texts)) and "document" in told


@lru_cache(maxsize=8192)
def _tells_of_document(text: str) -> str:
    """What a heading tells of a table of revisions.

    "document" where only such a table has it (a revision, its date, by whom), "text" where it may have it too
    (what changed), "" for any other."""
    found = read_heading(text)
    said = concepts_of(text)
    if found.foreign in ("document", "person") or said & {"time"}:
        return "document"
    also = bool(found.meanings) and found.meanings[0].field in ("remarks", "service", "area")
    return "text" if also or (said and said <= {"filler"}) else ""


def _continued(grid: Grid, layout: Layout) -> dict[int, int]:
    key = key_column(layout)
    if key is None or not grid.merges:
        return {}
    col = int(grid.cols[key])
    out: dict[int, int] = {}
    for top, left, bottom, right in grid.merges:
        if left <= col <= right and bottom > top and bottom - top < 50:
            first, last = np.searchsorted(grid.rows, (top, bottom + 1)).tolist()
            if layout.first <= first and grid.rows[first] == top:
                out.update(dict.fromkeys(range(first + 1, min(last, layout.last)), first))
    return out


def _components(
    grid: Grid, layout: Layout, records: NDArray[np.int64], shaped: NDArray[np.bool_]
) -> dict[int, int]:
    """Rows without a tag that add to the gauge above ('float' below its gauge in a bill of material): what
    they state, the gauge's own row leaves blank."""
    key = key_column(layout)
    if key is None or layout.kind != "gauges":
        return {}
    named = set((np.flatnonzero(shaped) + layout.first).tolist())
    without = [i for i in records.tolist() if i not in named and grid.values[i, key] == ""]
    if not without or len(without) > len(named):
        return {}
    numeric = [found.index for name, found in layout.columns.items() if fields()[name]["kind"] == "quantity"]
    out: dict[int, int] = {}
    for i in without:
        gauge = _gauge_above(grid, i, key, named)
        if gauge is None:
            continue
        both = [j for j in numeric if grid.values[i, j] != "" and grid.values[gauge, j] != ""]
        if not both:  # a row without a tag is a record by a number of its own
            out[i] = gauge
    return out if len(out) == len(without) and len(out) > 1 else {}


def _gauge_above(grid: Grid, i: int, key: int, named: set[int]) -> int | None:
    """Index of the row of the gauge that a row without a tag stands below."""
    above = next((at for at in range(i - 1, max(i - _PARTS, -1), -1) if at in named), None)
    while above is not None and tags.is_loop_part(tags.letters_of(str(grid.values[above, key]))):
        above = next((at for at in range(above - 1, max(above - _PARTS, -1), -1) if at in named), None)
    return above


_PARTS: Final = 12
"""Rows below a gauge in which its components are looked for."""


def _is_machine_name(value: Any) -> bool:
    return (
        isinstance(value, str)
        and _MACHINE_NAME.fullmatch(value) is not None
        and not is_placeholder(value, True)
    )


class _Test:
    """Looks closely at a row whose key is no tag."""

    def __init__(self, grid: Grid, layout: Layout) -> None:
        self.grid = grid
        self.layout = layout
        self.key = key_column(layout)
        self.taken = [found.index for found in layout.columns.values()]
        self.loose = {layout.columns[name].index for name in _LOOSE if name in layout.columns}
        self.numeric = {
            found.index for name, found in layout.columns.items() if fields()[name]["kind"] == "quantity"
        }
        self.headings: dict[int, set[str]] = {}
        for i in layout.headings:
            for j, value in enumerate(grid.values[i].tolist()):
                if isinstance(value, str) and value.strip():
                    self.headings.setdefault(j, set()).add(fold(value))

    def is_record(self, i: int) -> bool:
        """Whether the row is a gauge (or a float) all the same."""
        row = self.grid.values[i].tolist()
        filled = [
            j for j in self.taken if row[j] != "" and not (isinstance(row[j], str) and not row[j].strip())
        ]
        if not filled or self._repeats_heading(row, filled):
            return False
        if self.counts_columns(i) or self.names_columns(i):
            return False
        texts = [value for value in row if isinstance(value, str) and value.strip()]
        units = sum(is_unit(text.strip(" ()[]")) for text in texts)
        if (
            units >= 2
            and units >= len(texts) / 2
            and not any(isinstance(row[j], (int, float)) for j in filled)
        ):
            return False
        name = row[self.key] if self.key is not None else ""
        if self.layout.kind == "gauges" and self.key is not None and self._is_anothers(i, name):
            return False
        named = isinstance(name, str) and bool(name.strip())
        if isinstance(name, str) and (
            tags.ends_list(name) or (not named and texts and tags.ends_list(texts[0]))
        ):
            return False
        if named and self.layout.kind == "gauges" and tags.is_sample_tag(name):
            return True  # counted, and left out, with the other rows that are no gauge
        data = [
            j
            for j in filled
            if j not in self.loose and j != self.key and not is_placeholder(str(row[j]), True)
        ]
        numbers = [
            j
            for j in data
            if j in self.numeric and _NUMBER.search(str(row[j])) and not _MACHINE_NAME.fullmatch(str(row[j]))
        ]
        if i < self.layout.first + _UNDER_HEADING and not numbers:
            return False
        return (bool(numbers) and (len(data) >= 2 or named)) or (
            named and len(data) >= 2 and any(map(str.isdigit, str(name)))
        )

    def _is_anothers(self, i: int, name: Any) -> bool:
        """Whether a row says that it has no gauge ('-'), and is another instrument's."""
        if not (isinstance(name, str) and name.strip() and is_placeholder(name.strip(), True)):
            return False
        texts = [v.strip() for v in self.grid.values[i].tolist() if isinstance(v, str) and v != name]
        letters = [tags.letters_of(text) for text in texts if tags.is_tag(text)]
        return any(tags.other_instrument(one) or tags.is_transmitter(one) for one in letters)

    def with_little(self) -> NDArray[np.bool_]:
        """The rows of the list with no more than one cell filled of the columns that were taken."""
        filled = np.zeros(self.layout.last - self.layout.first, dtype=np.int64)
        for column in self.taken:
            filled += self.grid.values[self.layout.first : self.layout.last, column] != ""
            if (filled > 1).all():
                break
        return np.asarray(filled <= 1)

    def is_section(self, i: int) -> bool:
        """Whether the key names no level gauge ('Boiler 2'), in a row with nothing else."""
        key = self.grid.values[i][self.key] if self.key is not None else ""
        if not isinstance(key, str):
            return False
        letters = tags.letters_of(key)
        return not (tags.is_gauge(letters) or tags.perhaps_gauge(letters))

    def _repeats_heading(self, row: list[Any], filled: list[int]) -> bool:
        same = sum(isinstance(row[j], str) and fold(row[j]) in self.headings.get(j, ()) for j in filled)
        return same > 0 and (same >= max(2, len(filled) / 2) or same == len(filled))

    def names_columns(self, i: int) -> bool:
        """A row of machine names ('TAG_NO', 'ATTR_12')."""
        row = self.grid.values[i].tolist()
        every = [value for value in row if value != ""]
        joined = sum(isinstance(value, str) and "_" in value for value in every)
        if joined > 2 and joined >= len(every) / 2 and all(map(_is_machine_name, every)):
            return True
        filled = [row[j] for j in self.numeric if row[j] != ""]
        return len(filled) > 1 and all(map(_is_machine_name, filled))

    def counts_columns(self, i: int) -> bool:
        """A row that counts the columns (1, 2, 3 ...) or names their cells (A7, B7 ...)."""
        row = self.grid.values[i].tolist()
        filled = [j for j, value in enumerate(row) if value != ""]
        if len(filled) < 4:
            return False
        numbers: list[int] = []
        letters = 0
        for j in filled:
            text = f"{row[j]:g}" if isinstance(row[j], (int, float)) else str(row[j]).strip(" ()[].")
            letters += re.fullmatch(rf"\$?{column_letter(int(self.grid.cols[j]))}\$?\d*", text) is not None
            if _NUMBER.fullmatch(text):
                numbers.append(int(text))
        rising = sum(later - earlier == 1 for earlier, later in pairwise(numbers))
        return letters >= 0.8 * len(filled) or rising >= max(3, 0.8 * (len(filled) - 1))
