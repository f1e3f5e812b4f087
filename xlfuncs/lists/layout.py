"""Where the lists of a sheet stand: their headings, units, first and last row, and what each column is."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import evidence, neighbours
from xlfuncs.lists.decide import Verdict, decide
from xlfuncs.lists.evidence import Profile, profile, weigh
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.tags import are_tags, ends_list, is_gauge, is_tag, letters_of
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit
from xlfuncs.vocabulary.meaning import (
    ACCEPT,
    Kind,
    Reading,
    fields,
    promises,
    read_heading,
    unit_in,
    unit_of,
)
from xlfuncs.vocabulary.words import fold, names_subject, telling, tokens, words_of

SEARCHED: Final = 60
"""Rows in which the heading of a sheet is looked for."""
_BLOCK: Final = 8
"""Rows in which the headings of a further list in the sheet are looked for."""
_MOST: Final = 20
"""Lists in one sheet."""
_TRIES: Final = 60
_ROWS_TRIED: Final = 5
"""Rows with the most words of headings that are tried as headings."""
_WIDEST: Final = 200
"""Columns of a sheet in which headings are looked for."""
_LONGEST: Final = 160
"""Characters beyond which a text is no heading."""
_WORDS_OF_GROUP: Final = 7
"""Words beyond which a lone text above the headings is a remark."""
_TITLE: Final = 0.6
"""Share of the columns that a merged text covers, if it is a title."""
_HEADINGS_OF_ROW: Final = 0.3
"""Share of the texts of a row that are like headings, where it may be one of group headings."""
_HIGHEST: Final = 5
"""Rows that the headings of a list may take."""
_UNITS: Final = 0.7
"""Share of units among the cells of a column that holds the units of another."""
_HEADINGS_FOLLOW: Final = 0.5
"""What a layout loses whose first row of values looks like headings."""
_PREFIXED: Final = 5
"""Headings from which a word that nearly all begin with is left out."""
_ROUNDS: Final = 3
"""How often the columns are decided anew with what their neighbours lend."""
_UNIT_MARKS: Final = ("-", "--", "n/a", "[-]", "(-)", "–", "—", "/")


@dataclass(slots=True)
class Found:
    """A column of a list and what it was taken for."""

    field: str
    """"" if it was not taken for anything."""
    index: int
    """Into the columns of the grid."""
    heading: str
    heading_cell: str
    unit: str = ""
    unit_source: str = ""
    score: float = 0.0
    runner_up: str = ""
    runner_up_score: float = 0.0
    reading: Reading | None = None
    unit_row: str = ""
    doubted: str = ""
    """A field that the column may be, without being sure enough to decide anything."""
    known: str = ""
    """What a column is that is no field, where that is known."""
    part: int = -1
    parts: int = 1
    misfit: str = ""
    """A unit that the heading states and that is none of the field's quantity."""


@dataclass(slots=True)
class Layout:
    """A list in a sheet."""

    kind: Kind
    headings: tuple[int, ...]
    """Indexes of the heading rows, of the row of units too."""
    first: int
    """Index of the first row of data."""
    last: int
    """Index past the last row of data."""
    columns: dict[str, Found]
    others: list[Found] = field(default_factory=list)
    """Columns that were not taken for anything, those in doubt among them."""
    score: float = 0.0
    units_beside: dict[str, int] = field(default_factory=dict)
    """Field -> index of the column that holds the unit of each of its values."""


Texts = list[list[str]]


def heading_texts(grid: Grid, first: int, last: int) -> Texts:
    """The texts of some rows; numbers and long texts are no headings and come as ""."""
    out = []
    for row in grid.values[first:last, :_WIDEST].tolist():
        out.append([_heading_text(value) for value in row])
    return out


def _heading_text(value: Any) -> str:
    if isinstance(value, str):
        text = " ".join(value.split())
        return text if len(text) <= _LONGEST else ""
    return ""


class _Page:
    """The top of a sheet, with merged headings filled in."""

    def __init__(self, grid: Grid, first: int, last: int) -> None:
        self.grid = grid
        self.first = first
        self._profiles: dict[tuple[int, int, int], Profile] = {}
        self._ends: dict[int, int] = {}
        self.own = heading_texts(grid, first, last)
        self.spread = [list(row) for row in self.own]
        """With merged texts in every cell that they cover."""
        self.width = min(len(grid.cols), _WIDEST)
        self.merged = [[False] * self.width for _ in self.own]
        self.start: dict[tuple[int, int], tuple[int, int]] = {}
        """Cell inside a merged heading -> its first cell, which holds the text."""
        rows = {int(row): i for i, row in enumerate(grid.rows[first:last])}
        cols = {int(col): j for j, col in enumerate(grid.cols[: self.width])}
        self.titles: set[int] = set()
        """Rows that hold a title across the sheet."""
        for top, left, bottom, right in grid.merges:
            if (
                top in rows
                and left in cols
                and right - left >= _TITLE * self.width
                and self.width > _PREFIXED
            ):
                self.titles.add(rows[top])
                continue
            if top not in rows or left not in cols or right - left > 500 or bottom - top > 20:
                continue
            text = self.own[rows[top]][cols[left]]
            for row in range(top, bottom + 1):
                for col in range(left, right + 1):
                    if row in rows and col in cols:
                        self.spread[rows[row]][cols[col]] = text
                        self.merged[rows[row]][cols[col]] = True
                        self.start[rows[row], cols[col]] = rows[top], cols[left]

    def profile(self, first: int, index: int, part: int = -1, parts: int = 0) -> Profile:
        """The first cells of a column, or of a part of them, from a row on."""
        if (first, index, part) not in self._profiles:
            cells = self.grid.values[first : self._end(first), index].tolist()
            if part >= 0:
                cells = [split_cell(value, parts)[part] for value in cells]
            self._profiles[first, index, part] = profile(cells)
        return self._profiles[first, index, part]

    def _end(self, first: int) -> int:
        """The row before which the cells under headings end: that of the next headings, after a gap."""
        if first not in self._ends:
            self._ends[first] = end = min(len(self.grid.rows), first + evidence.SAMPLED * 3)
            block = self.grid.values[first:end]
            filled = (block != "").sum(axis=1)
            gaps = np.flatnonzero((filled[:-1] <= 1) & (filled[1:] >= 3)) + 1
            numbers = self.grid.rows[first:end]
            gaps = np.union1d(gaps, np.flatnonzero(np.diff(numbers) > 1) + 1)
            for i in gaps.tolist():
                texts = [value for value in block[i].tolist() if value != ""]
                told = sum(isinstance(text, str) and promises(text) for text in texts)
                if told >= 3 and told >= 0.6 * len(texts):
                    self._ends[first] = first + i
                    break
        return self._ends[first]

    def address(self, level: int, j: int) -> str:
        """The cell that holds the heading of a column."""
        i, j = self.start.get((level, j), (level, j))
        return self.grid.address(self.first + i, j)

    def tells(self, i: int) -> bool:
        """Whether a row can be one of group headings."""
        return any(telling(text) for text in self.own[i] if text)

    def is_group(self, i: int) -> bool:
        """Whether a row stands right above the next and can hold group headings, and is no sentence."""
        texts = [text for text in self.own[i] if text]
        adjacent = self.grid.rows[self.first + i + 1] - self.grid.rows[self.first + i] == 1
        prose = len(texts) == 1 and len(texts[0].split()) > _WORDS_OF_GROUP
        if not texts or not adjacent or prose or i in self.titles or self.is_data(i):
            return False
        if any(self.merged[i]):
            return self.tells(i)
        return len(texts) > 1 and sum(map(promises, texts)) >= max(2, _HEADINGS_OF_ROW * len(texts))

    def looks_like_headings(self, i: int) -> bool:
        """Whether a row holds headings rather than values."""
        texts = [text for text in self.own[i] if text] if i < len(self.own) else []
        return len(texts) > 2 and not self.is_data(i) and sum(map(promises, texts)) > 0.6 * len(texts)

    def is_data(self, i: int) -> bool:
        """Whether a row holds values: the tag of a level gauge, or numbers among few words of headings."""
        row = self.grid.values[self.first + i, : self.width].tolist()
        numbers = sum(map(_number_in_cell, row))
        tagged = any(isinstance(v, str) and is_tag(v.strip()) and is_gauge(letters_of(v)) for v in row)
        return tagged or (numbers >= 2 and not _counts(row))

    def adds(self, i: int) -> bool:
        """Whether a row can be the second row of headings: nothing but telling words."""
        texts = [text for text in self.own[i] if text] if i < len(self.own) else []
        filled = sum(value != "" for value in self.grid.values[self.first + i].tolist()) if texts else 0
        return 2 <= len(texts) == filled and all(telling(text) for text in texts)

    def group(self, level: int, j: int, bottom: int) -> tuple[str, bool]:
        """(heading above column j in a row, whether it surely belongs to it)."""
        text = self.spread[level][j]
        if text:
            return text, True
        for left in range(j - 1, -1, -1):  # not merged: a group stands over its first column
            if not self.own[bottom][left] or self.merged[level][left]:
                break
            if self.own[level][left]:
                return self.own[level][left], False
        return "", False

    def is_units(self, i: int) -> bool:
        """Whether a row holds units."""
        texts = [text for text in self.own[i] if text]
        letters = sum(
            text == column_letter(int(col)) for text, col in zip(self.own[i], self.grid.cols, strict=False)
        )
        if len(texts) < 2 or letters > len(texts) / 2 or any(map(_number_in_cell, texts)):
            return False
        units = sum(is_unit(text.strip(" ()[]")) and not _bounds_beside(text, texts) for text in texts)
        marks = sum(_is_mark(text) or _bounds_beside(text, texts) for text in texts)
        return (units >= 2 and units + marks >= 0.6 * len(texts)) or (
            units >= 1 and units + marks == len(texts)
        )


def _number_in_cell(value: Any) -> bool:
    if isinstance(value, str):
        return re.fullmatch(r"[+-]?\d+(?:[.,]\d+)?", value.strip()) is not None
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _counts(values: list[Any]) -> bool:
    """Whether the numbers of a row count the columns."""
    numbers = [float(str(value).strip().replace(",", ".")) for value in values if _number_in_cell(value)]
    return len(numbers) > 2 and all(later - earlier == 1 for earlier, later in pairwise(numbers))


def find_layouts(grid: Grid, instructions: Instructions) -> list[Layout]:
    """The lists of a sheet, from the top down."""
    out: list[Layout] = []
    start = 0
    while start < len(grid.rows) and len(out) < _MOST:
        found = _find(grid, instructions, start, SEARCHED if not out else _BLOCK)
        if found is None:
            break
        out.append(found)
        following = _next_headings(grid, found, instructions)
        if following is None:
            break
        found.last, start = following
    return out


def _find(grid: Grid, instructions: Instructions, first: int, searched: int) -> Layout | None:
    """The list whose headings stand in some rows."""
    end = first + searched if first else len(grid.rows)
    said = instructions.tries(grid, first, min(end, len(grid.rows)))
    last = min(len(grid.rows), max(first + searched, max(said, default=0) + 2))
    page = _Page(grid, first, last)
    promising = []
    for i, row in enumerate(page.spread):
        hits = len({fold(text) for text in row if text and promises(text)})
        if hits >= 2 and not page.is_data(i) and not page.is_units(i):
            promising.append((hits, i))
    promising.sort(key=lambda entry: (-entry[0], entry[1]))
    kinds: tuple[Kind, ...] = ("gauges", "floats")
    bottoms = list(dict.fromkeys([*(i - first for i in said), *(i for _, i in promising[:_ROWS_TRIED])]))
    bottoms += [
        i + 1 for i in bottoms if i + 1 not in bottoms and page.adds(i + 1) and not page.is_data(i + 1)
    ]
    candidates = [layout for i in bottoms for kind in kinds for layout in _under(page, i, kind, instructions)]
    best: Layout | None = None
    while candidates:  # the best, unless a list of another make stands above it
        best = _first_of(grid, candidates, max(candidates, key=lambda layout: layout.score))
        candidates = [
            layout
            for layout in candidates
            if layout.headings[-1] < best.headings[0] and _differs(layout, best)
        ]
    return best


def _under(page: _Page, bottom: int, kind: Kind, instructions: Instructions) -> list[Layout]:
    """The list whose headings end at a row, with all the group headings that stand right above it."""
    height = 1
    while height < min(_HIGHEST, bottom + 1) and page.is_group(bottom - height):
        height += 1
    for rows in range(height, 0, -1):
        layout = _evaluate(page, bottom, rows, kind, instructions)
        if layout is not None:
            return [layout]
    return []


def _first_of(grid: Grid, candidates: list[Layout], best: Layout) -> Layout:
    """Of headings that are repeated down the sheet, the first ones."""
    repeated = [
        layout
        for layout in candidates
        if _data_between(grid, layout, best.headings[0])
        and layout.score > 0.9 * best.score
        and not _differs(layout, best)
    ]
    top = min((layout.headings[-1] for layout in repeated), default=0)
    return max(
        (layout for layout in repeated if layout.headings[-1] == top),
        key=lambda layout: layout.score,
        default=best,
    )


def _data_between(grid: Grid, layout: Layout, last: int) -> bool:
    """Whether a row under the headings and above `last` has a tag, or numbers, as no row of headings has."""
    if last <= layout.first:
        return False
    rows = grid.values[layout.first : last].tolist()
    numbers = any(sum(_like_number(value) for value in row) >= 2 for row in rows)
    return numbers or bool(likely(grid, layout, last).any())


def _like_number(value: Any) -> bool:
    return isinstance(value, (int, float)) or (isinstance(value, str) and value[:1].isdigit())


def _next_headings(grid: Grid, above: Layout, instructions: Instructions) -> tuple[int, int] | None:
    """(index of the row, index from which to look) of the headings of another list below, if any."""
    same = {
        (j, fold(text))
        for i in above.headings
        for j, text in enumerate(heading_texts(grid, i, i + 1)[0])
        if text
    }
    tried = 0
    said = set(instructions.tries(grid, above.first, above.last))
    for offset in np.flatnonzero(~likely(grid, above)).tolist():
        i = above.first + offset
        texts = [(j, text) for j, text in enumerate(heading_texts(grid, i, i + 1)[0]) if text]
        if sum((j, fold(text)) in same for j, text in texts) >= max(len(texts), 1) / 2:
            continue
        known = sum(promises(text) for _, text in texts)
        if (len(texts) < 3 or known < max(3, len(texts) / 2)) and i not in said:
            continue
        tried += 1
        if tried > _TRIES:
            return None
        start = max(i - 2, above.first)
        found = _find(grid, instructions, start, _BLOCK)
        if found is not None and (_differs(found, above) or not said.isdisjoint(found.headings)):
            return found.headings[0], start
    return None


def likely(grid: Grid, layout: Layout, last: int | None = None) -> NDArray[np.bool_]:
    """Rows of the list, up to `last`, whose key is shaped as a tag (a part number, in a float list)."""
    key, end = key_column(layout), layout.last if last is None else last
    if key is None:
        return np.zeros(end - layout.first, dtype=bool)
    if last is not None:
        return _shaped(grid.values[layout.first : end, key], layout.kind)
    if (key, layout.kind) not in grid.shaped:
        grid.shaped[key, layout.kind] = _shaped(grid.values[:, key], layout.kind)
    return grid.shaped[key, layout.kind][layout.first : end].copy()


def _shaped(cells: NDArray[np.object_], kind: Kind) -> NDArray[np.bool_]:
    texts = [value if isinstance(value, str) else "" for value in cells.tolist()]
    return np.array(are_tags(texts) if kind == "gauges" else [_is_part(text) for text in texts], dtype=bool)


def key_column(layout: Layout) -> int | None:
    """Index of the column that names the records."""
    for name in ("tag", "tag_number") if layout.kind == "gauges" else ("float_part", "float_serial"):
        if name in layout.columns:
            return layout.columns[name].index
    return None


def _is_part(text: str) -> bool:
    return any(map(str.isdigit, text)) and len(text.split()) == 1 and len(text) <= 60 and not ends_list(text)


def _differs(one: Layout, other: Layout) -> bool:
    """Whether two heading rows make different lists; a row of machine names makes the same one."""
    places = {name: found.index for name, found in one.columns.items()}
    others = {name: found.index for name, found in other.columns.items()}
    same = sum(others.get(name) == index for name, index in places.items())
    return one.kind != other.kind or same < 0.5 * len(places)


@dataclass(slots=True)
class _Head:
    """The headings of one column, bottom row first."""

    index: int
    text: str
    above: tuple[str, ...]
    sure: bool
    """The headings above certainly belong to this column."""
    cell: str
    unit_row: str
    part: int = -1
    """Which of the values of its cells, where each holds several ('312.4 / 50 / 300'); -1 for the
    whole cell."""
    parts: int = 1

    @property
    def whole(self) -> str:
        """As a person reads it."""
        return " / ".join((*self.above, self.text))


def _heads(page: _Page, bottom: int, height: int, units: list[str]) -> list[_Head]:
    """The headings of each column that has one."""
    top = bottom - height + 1
    rows = [*range(top, bottom + 1), bottom + 1] if units else list(range(top, bottom + 1))
    under = {j: text for j, text in enumerate(page.own[rows[-1]]) if text and not _is_mark(text)}
    named = {j for j, text in under.items() if _names_part(text, under.values(), sub=bool(units))}
    out: list[_Head] = []
    for j in range(page.width):
        level, unit_row = rows[-1], ""
        if units and j not in named:  # a unit, or nothing that counts
            unit_row = under[j] if j in under and _is_unit_cell(under[j]) else ""
            level = bottom
        elif j in under and j not in named and any(page.spread[row][j] for row in rows[:-1]):
            unit_row = under[j]  # units stand below some headings only
            level -= 1
        while level >= top and not page.spread[level][j]:
            level -= 1
        if level < top:
            continue
        text = page.spread[level][j]
        above: list[str] = []
        sure = True
        for higher in range(top, level):
            group, certain = page.group(higher, j, level)
            if group and group != text and group not in above:
                above.append(group)
                sure = sure and certain
        out.append(_Head(j, text, tuple(above), sure, page.address(level, j), unit_row))
    return _without_prefix(out)


def _names_part(text: str, texts: Iterable[str], sub: bool) -> bool:
    """Whether a cell of the last row is a heading; `sub`: most cells of the row are units."""
    if _is_unit_cell(text):
        return _bounds_beside(text, texts)
    return not sub or (telling(text) and re.search(r"[^\W\d_]{2}", text) is not None)


def _is_mark(text: str) -> bool:
    return text.casefold() in _UNIT_MARKS


def _bounds_beside(text: str, texts: Iterable[str]) -> bool:
    """Whether 'min' is no minute, and 'H' no hour: beside it stands 'max' or 'normal', or 'HH' or 'L'."""
    return _bounds(text) and len({fold(one) for one in texts if _bounds(one)}) > 1


def _bounds(text: str) -> bool:
    return any(word.concepts & _BOUNDS for word in words_of(text))


_BOUNDS: Final = frozenset(
    {
        "minimum",
        "normal",
        "maximum",
        "low",
        "high",
        "single_letter_l",
        "single_letter_h",
        "lowlow",
        "highhigh",
    }
)


def _without_prefix(heads: list[_Head]) -> list[_Head]:
    """The headings without a word with which nearly all of them begin ('LG_TAG', 'LG_SERVICE')."""
    while len(heads) >= _PREFIXED:
        first = Counter(words[0] for head in heads if len(words := tokens(head.text)) > 1)
        word, count = first.most_common(1)[0] if first else ("", 0)
        if count < 0.8 * len(heads) or names_subject(word):
            return heads
        pattern = re.compile(rf"^\W*{re.escape(word)}[\W_]*", re.IGNORECASE)
        cut = [replace(head, text=pattern.sub("", head.text, count=1) or head.text) for head in heads]
        if [head.text for head in cut] == [head.text for head in heads]:
            return heads
        heads = cut
    return heads


def _is_unit_cell(text: str) -> bool:
    return is_unit(text.strip(" ()[]")) or text.strip(" ()[]").startswith("%")


def attempt(grid: Grid, row: int, kind: Kind, instructions: Instructions) -> Layout | None:
    """What would be read under the headings of a row (an index), whether or not that makes a list."""
    page = _Page(grid, max(0, row - _HIGHEST), min(len(grid.rows), row + 3))
    return _evaluate(page, row - page.first, 1, kind, instructions, anyway=True)


def _evaluate(
    page: _Page, bottom: int, height: int, kind: Kind, instructions: Instructions, anyway: bool = False
) -> Layout | None:
    """The list under the heading rows that end at `bottom`. `anyway`: also where it makes no list."""
    below = bottom + 1
    units: list[str] = []
    if below < len(page.own) and page.is_units(below):
        units = page.own[below]
    heading_rows = list(range(bottom - height + 1, bottom + 1))
    if not any(page.own[heading_rows[0]]):
        return None
    first = page.first + below + bool(units)
    heads = _with_parts(page.grid, first, _heads(page, bottom, height, units))
    judged = _judge(page, first, kind, heads)
    columns: dict[str, Found] = {}
    others: list[Found] = []
    for head, verdict, reading in judged:
        found = _found(head, verdict, reading)
        if found.field:
            columns[found.field] = found
        else:
            others.append(found)
    rows = [page.first + i for i in heading_rows]
    if units:
        rows.append(page.first + below)
    numbers = page.grid.rows[rows].tolist()
    if instructions.forbids(page.grid, kind, numbers):
        return None
    instructions.apply(page.grid, kind, numbers, columns, others)
    beside = _units_beside(page, first, [head for head, _, _ in judged], columns, others)
    vouched = anyway or instructions.vouch(page.grid, kind, numbers, columns)
    if not (_is_list(columns, kind) or vouched):
        return None
    score = sum(found.score for found in columns.values()) - 0.15 * (height - 1)
    score += 0.05 if units else 0.0
    score += _with_units(columns) - (
        _HEADINGS_FOLLOW if page.looks_like_headings(below + bool(units)) else 0.0
    )
    return Layout(kind, tuple(rows), rows[-1] + 1, len(page.grid.rows), columns, others, score, beside)


def _with_units(columns: Mapping[str, Found]) -> float:
    """How many of the quantities have a unit stated, as part of a layout's score."""
    quantities = [found for name, found in columns.items() if fields()[name]["kind"] == "quantity"]
    return 0.4 * sum(bool(found.unit) for found in quantities) / len(quantities) if quantities else 0.0


def _units_beside(
    page: _Page, first: int, heads: list[_Head], columns: dict[str, Found], others: list[Found]
) -> dict[str, int]:
    """Which columns hold the units of which: a column of units belongs to the quantity left of it,
    else right."""
    holders = {found.index: name for name, found in columns.items() if fields()[name]["kind"] == "quantity"}
    out: dict[str, int] = {}
    for found in others:
        units = page.profile(first, found.index)
        named = found.reading is not None and found.reading.is_uom
        if not (named or units.units > _UNITS) or units.numeric > 0.5:
            continue
        texts = list(dict.fromkeys(text.strip(" ()[].") for text in units.texts))
        places = [head.index for head in heads]
        at = places.index(found.index) if found.index in places else -1
        left = _beside(at - 1, places, holders, texts, out)
        right = _beside(at + 1, places, holders, texts, out)
        if left:
            _lend(places[:at][::-1], found.index, fields()[left]["quantity"], columns, holders, out)
            if not _has_its_own(at + 1, places, holders, others):
                _lend(places[at + 1 :], found.index, fields()[left]["quantity"], columns, holders, out)
        elif not _names_quantity(found, texts, columns, out) and right:
            _lend(places[at + 1 :], found.index, fields()[right]["quantity"], columns, holders, out)
        if found.index in out.values():
            found.doubted = found.runner_up = ""
            found.known = "unit of measure"
    return out


def _names_quantity(found: Found, texts: list[str], columns: dict[str, Found], out: dict[str, int]) -> bool:
    """'Pressure unit' holds the unit of every pressure of the list that states none; whether it
    was such a column."""
    said = {name for word in words_of(found.heading) for name in word.concepts}
    lent = [
        name
        for name, other in columns.items()
        if said & _NAMED_BY.get(fields()[name].get("quantity", ""), frozenset())
        and not other.unit
        and name not in out
        and any(_may_have(text, name) for text in texts)
    ]
    out.update(dict.fromkeys(lent, found.index))
    return bool(lent)


_NAMED_BY: Final = {
    "pressure_gauge": frozenset({"pressure"}),
    "temperature": frozenset({"temperature"}),
    "density": frozenset({"density"}),
}


def _beside(
    at: int, places: list[int], holders: dict[int, str], texts: list[str], out: dict[str, int]
) -> str:
    """The field of the column at a place, if the units can be its own."""
    name = holders.get(places[at], "") if 0 <= at < len(places) else ""
    free = name and name not in out
    return name if free and (not texts or any(_may_have(text, name) for text in texts)) else ""


def _has_its_own(at: int, places: list[int], holders: dict[int, str], others: list[Found]) -> bool:
    """Whether the quantities from a place on are followed by a column of units of their own."""
    units = {found.index for found in others if found.reading is not None and found.reading.is_uom}
    while at < len(places) and places[at] in holders:
        at += 1
    return at < len(places) and places[at] in units


def _lend(
    places: list[int],
    index: int,
    quantity: str,
    columns: dict[str, Found],
    holders: dict[int, str],
    out: dict[str, int],
) -> None:
    """One column of units is that of all the columns of its quantity beside it that have none."""
    for place in places:
        name = holders.get(place, "")
        if not name or fields()[name]["quantity"] != quantity or columns[name].unit or name in out:
            return
        out[name] = index


def _may_have(unit: str, name: str) -> bool:
    """Whether a text is a unit of a field."""
    return bool(unit_in(unit, name)) or (unit == "%" and bool(fields()[name].get("percent")))


def _found(head: _Head, verdict: Verdict, reading: Reading) -> Found:
    """What was decided of a column, as the table shows it."""
    taken = verdict.field if verdict.sure else ""
    found = Found(
        taken, head.index, head.whole, head.cell, score=verdict.score, reading=reading, unit_row=head.unit_row
    )
    found.part, found.parts = head.part, head.parts
    found.runner_up, found.runner_up_score = verdict.runner_up, min(verdict.runner_up_score, 1.0)
    if verdict.field and not verdict.sure:
        found.doubted = verdict.field
    if taken:
        meaning = next((one for one in reading.meanings if one.field == taken), None)
        found.unit = meaning.unit if meaning is not None else _stated_unit(taken, head)
        found.unit_source = ("unit row" if head.unit_row else "heading") if found.unit else ""
        found.misfit = meaning.misfit if meaning is not None else ""
    return found


def _stated_unit(field: str, head: _Head) -> str:
    """The unit that a heading states which does not name the field."""
    return unit_of(field, head.unit_row, head.text, " / ".join(head.above)) or ""


def _judge(page: _Page, first: int, kind: Kind, heads: list[_Head]) -> list[tuple[_Head, Verdict, Reading]]:
    """What each column is: headings, cells and the columns beside it decide together."""
    readings = [
        read_heading(head.text, " / ".join(head.above), kind, head.unit_row, head.sure) for head in heads
    ]
    profiles = [page.profile(first, head.index, head.part, head.parts) for head in heads]
    scores = [_weighed(reading, found) for reading, found in zip(readings, profiles, strict=True)]
    neighbours.question(heads, readings, profiles, scores)
    verdicts = decide(scores)
    for _ in range(_ROUNDS):
        lent = neighbours.lend(heads, readings, profiles, scores, verdicts, kind)
        if not lent:
            break
        verdicts = decide(scores)
    return list(zip(heads, verdicts, readings, strict=True))


def split_cell(value: Any, parts: int) -> list[Any]:
    """The values of a cell that holds several, as many as its heading names; blanks where it holds others."""
    if not isinstance(value, str):
        return [""] * parts
    for mark in _MARKS:
        pieces = [piece.strip() for piece in re.split(mark, value) if piece.strip()]
        if len(pieces) == parts:
            return [float(piece) if re.fullmatch(r"[+-]?\d+(?:\.\d+)?", piece) else piece for piece in pieces]
    return [""] * parts


_MARKS: Final = (r"\n", r"\s+/\s+", r";", r"\s*[/|]\s*", r"\s+[x×]\s+")
"""What stands between the values of one cell, the surest first."""


def _with_parts(grid: Grid, first: int, heads: list[_Head]) -> list[_Head]:
    """A heading that names several quantities over cells that hold as many values is as many headings."""
    out: list[_Head] = []
    for head in heads:
        group, mark, rest = head.text.partition(":")
        texts = [text.strip(" ()[]") for text in re.split(r"\s+[/|]\s+|\s*;\s*", rest if mark else head.text)]
        above = (*head.above, group.strip()) if mark else head.above
        if len(texts) > 1 and all(map(telling, texts)) and _hold(grid, first, head.index, len(texts)):
            out += [
                replace(head, text=text, above=above, part=place, parts=len(texts))
                for place, text in enumerate(texts)
            ]
        else:
            out.append(head)
    return out


def _hold(grid: Grid, first: int, index: int, parts: int) -> bool:
    """Whether most cells of a column hold so many values."""
    filled = [value for value in grid.values[first : first + 60, index].tolist() if value != ""]
    held = sum(any(piece != "" for piece in split_cell(value, parts)) for value in filled)
    return len(filled) > 0 and held >= 0.6 * len(filled)


def _weighed(reading: Reading, found: Profile) -> dict[str, float]:
    """Field -> score of a heading and the cells below it."""
    meant = bool(reading.meanings) and reading.meanings[0].score >= ACCEPT
    if reading.is_uom or (found.units > 0.8 and not meant):
        return {}
    return {one.field: one.score * weigh(one.field, one.unit, found) for one in reading.meanings}


FLOAT_NUMBERS: Final = (
    "float_mass", "float_diameter", "float_length", "magnet_height", "float_design_density",
    "float_max_pressure", "float_max_temperature", "float_wall",
)  # fmt: skip
_SHARED: Final = (
    "tag", "old_tag", "area", "service", "remarks", "serial", "instrument_type", "fluid_density",
    "fluid_density_min", "fluid_density_max", "visible_range", "service_type", "fluid", "transmitter_range",
)  # fmt: skip
"""Gauge fields whose headings a float list may carry as well."""


def has_tag(columns: Mapping[str, Any]) -> bool:
    return "tag" in columns or ("tag_letters" in columns and "tag_number" in columns)


def _is_list(columns: Mapping[str, Found], kind: Kind) -> bool:
    """Whether these columns make an index of gauges or a float list."""
    gauge_only = [name for name in columns if "floats" not in fields()[name]["tables"]]
    float_numbers = sum(name in columns for name in FLOAT_NUMBERS)
    if kind == "floats":
        return ("float_part" in columns and float_numbers >= 2) or (
            "float_serial" in columns and float_numbers >= 3
        )
    telling = [name for name in gauge_only if name not in _SHARED]
    if has_tag(columns):
        return len(columns) >= 3 and (bool(telling) or "float_part" in columns or "fluid_density" in columns)
    return len(telling) >= 3 and len(columns) >= 5
