"""The headings of a sheet's columns: rows of groups above them, merged cells, a row of units beneath."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import evidence
from xlfuncs.lists.evidence import Profile, profile
from xlfuncs.lists.tags import is_gauge_tag
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit
from xlfuncs.vocabulary.meaning import ACCEPT, fields, promises, read_heading
from xlfuncs.vocabulary.words import fold, names_subject, telling, tokens, words_of

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
_PREFIXED: Final = 5
"""Headings from which a word that nearly all begin with is left out."""
_UNIT_MARKS: Final = ("-", "--", "n/a", "[-]", "(-)", "–", "—", "/")


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


_LONE: Final = 3
"""Cells of the usual row of a list in which a row with one is none of its records."""
_GOES_ON: Final = 0.6
"""Share of the columns with a heading over which a further row of words stands."""


class Page:
    """The top of a sheet, with merged headings filled in."""

    def __init__(self, grid: Grid, first: int, last: int) -> None:
        self.grid = grid
        self.first = first
        self._profiles: dict[tuple[int, int, int], Profile] = {}
        self._ends: dict[int, int] = {}
        self._full: dict[int, NDArray[np.bool_]] = {}
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

    def profile(
        self, first: int, index: int, part: int = -1, parts: int = 0, shared: bool = False
    ) -> Profile:
        """The first cells of a column, or of a part of them, from a row on."""
        if (first, index, part) not in self._profiles:
            cells = self._cells(first, index)
            if part >= 0:
                cells = [split_cell(value, parts, shared)[part] for value in cells]
            self._profiles[first, index, part] = profile(cells)
        return self._profiles[first, index, part]

    def _cells(self, first: int, index: int) -> list[Any]:
        """The cells of a column under headings, without those of sections and notes."""
        block = self.grid.values[first : self._end(first)]
        if first not in self._full:
            filled = (block != "").sum(axis=1)
            full = filled[filled > 1]
            lone = (filled == 1) & (np.median(full) > _LONE if len(full) else False)
            self._full[first] = ~lone
        return list(block[self._full[first], index].tolist())

    def _end(self, first: int) -> int:
        """The row before which the cells under headings end: that of the next headings, after a gap."""
        if first not in self._ends:
            self._ends[first] = end = min(len(self.grid.rows), first + evidence.SAMPLED * 3)
            block = self.grid.values[first:end]
            filled = (block != "").sum(axis=1)
            numbers = self.grid.rows[first:end]
            gaps = ((filled[:-1] <= 1) & (filled[1:] >= 3)) | (np.diff(numbers) > 1)
            for i in (np.flatnonzero(gaps) + 1).tolist():
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
        tagged = any(isinstance(v, str) and is_gauge_tag(v.strip()) for v in row)
        return tagged or (numbers >= 2 and not _counts(row))

    def adds(self, i: int) -> bool:
        """Whether a row can be the second row of headings: nothing but telling words."""
        texts = [text for text in self.own[i] if text] if i < len(self.own) else []
        filled = sum(value != "" for value in self.grid.values[self.first + i].tolist()) if texts else 0
        return 2 <= len(texts) == filled and all(telling(text) for text in texts)

    def goes_on(self, i: int, above: int) -> bool:
        """Whether a row under that of the units has the rest of the headings: words over most columns."""
        if not i < len(self.own) or self.is_data(i) or self.is_units(i):
            return False
        texts = [text for text in self.own[i] if text]
        filled = sum(value != "" for value in self.grid.values[self.first + i].tolist())
        named = sum(map(bool, self.spread[above]))
        told = sum(map(telling, texts))
        return len(texts) == filled and filled >= max(3.0, _GOES_ON * named) and bool(told > filled / 2)

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
        if len(texts) < 2 or letters > len(texts) / 2 or any(map(_number_in_cell, texts)) or self.is_data(i):
            return False
        units = sum(
            (is_unit(text.strip(" ()[]")) or bool(split_units(text))) and not _bounds_beside(text, texts)
            for text in texts
        )
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


@dataclass(slots=True)
class Head:
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
    shared: bool = False
    """The unit behind the last of them is that of all."""

    @property
    def whole(self) -> str:
        """As a person reads it."""
        return " / ".join((*self.above, self.text))


def heads_under(page: Page, bottom: int, height: int, units: list[str]) -> list[Head]:
    """The headings of each column that has one."""
    top = bottom - height + 1
    rows = [*range(top, bottom + 1), bottom + 1] if units else list(range(top, bottom + 1))
    under = {j: text for j, text in enumerate(page.own[rows[-1]]) if text and not _is_mark(text)}
    named = {j for j, text in under.items() if _names_part(text, under.values(), sub=bool(units))}
    named |= _named_in_groups(page, rows, under)
    out: list[Head] = []
    for j in range(page.width):
        level, unit_row = rows[-1], ""
        if units and j not in named:  # a unit, or nothing that counts
            unit_row = under[j] if j in under and is_unit_cell(under[j]) else ""
            level = bottom
        elif j in under and j not in named and any(page.spread[row][j] for row in rows[:-1]):
            unit_row = under[j]  # units stand below some headings only
            level -= 1
        while level >= top and not page.spread[level][j]:
            level -= 1
        if level < top or (j not in under and _is_left_open(page, level, j, under)):
            continue
        text = page.spread[level][j]
        above: list[str] = []
        sure = True
        for higher in range(top, level):
            group, certain = page.group(higher, j, level)
            if group and group != text and group not in above:
                above.append(group)
                sure = sure and certain
        out.append(Head(j, text, tuple(above), sure, page.address(level, j), unit_row))
    return _without_prefix(out)


def _named_in_groups(page: Page, rows: Sequence[int], under: Mapping[int, str]) -> set[int]:
    """Columns under the open rest of a group whose short cell, among units, is a heading.

    'P/N' and 'S/N' below 'Float', '0%' and '100%' below 'LT', where the group stands over its first alone.
    """
    out: set[int] = set()
    if len(rows) < 2:
        return out
    group, first = "", -1
    for j in range(page.width):
        if page.spread[rows[-2]][j]:
            group, first = page.spread[rows[-2]][j], j
        elif j not in under:
            group = ""
        elif group and _field_of(under[j], (group,)):
            out |= {k for k in (first, j) if k in under and _field_of(under[k], (group,))}
    return out


def _is_left_open(page: Page, level: int, j: int, under: Mapping[int, str]) -> bool:
    """Whether a column has no heading of its own below a group's, while the others of the group have."""
    i, first = page.start.get((level, j), (level, j))
    group = [k for k in range(page.width) if page.start.get((level, k), (level, -1)) == (i, first)]
    return first != j and sum(k in under for k in group) >= max(2, len(group) - 2)


def _names_part(text: str, texts: Iterable[str], sub: bool) -> bool:
    """Whether a cell of the last row is a heading; `sub`: most cells of the row are units."""
    if _bounds_beside(text, texts):
        return True
    if is_unit_cell(text):
        return False
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


def _without_prefix(heads: list[Head]) -> list[Head]:
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


def is_unit_cell(text: str) -> bool:
    """Whether a cell holds a unit, per cent of something, or the units of two values."""
    own = text.strip(" ()[]")
    return is_unit(own) or own.startswith("%") or bool(split_units(text))


def split_units(text: str) -> list[str]:
    """The units of a cell that holds those of two values ('barg / °C'); none for any other text."""
    pieces = [piece.strip() for piece in _APART.split(text)]
    return pieces if len(pieces) == 2 and all(is_unit(piece.strip(" ()[]")) for piece in pieces) else []


_APART: Final = re.compile(r"\s+[/|]\s+|\s*;\s*|\s*,\s+")


def split_cell(value: Any, parts: int, shared: bool = False) -> list[Any]:
    """The values of a cell that holds several, as many as its heading names; blanks where it holds others.

    `shared`: the unit behind the last is that of all ('4 / 12 barg')."""
    if not isinstance(value, str):
        return [""] * parts
    for mark in _MARKS:
        pieces = [piece.strip() for piece in re.split(mark, value) if piece.strip()]
        if len(pieces) == parts:
            ends = _AND_UNIT.fullmatch(pieces[-1]) if shared else None
            if ends is not None and is_unit(ends[1]) and all(map(_PLAIN.fullmatch, pieces[:-1])):
                return [f"{piece} {ends[1]}" for piece in pieces[:-1]] + [pieces[-1]]
            return [float(piece) if re.fullmatch(r"[+-]?\d+(?:\.\d+)?", piece) else piece for piece in pieces]
    return [""] * parts


_PLAIN: Final = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_AND_UNIT: Final = re.compile(r"[+-]?\d+(?:[.,]\d+)?\s*([^\d\s].*)")
_MARKS: Final = (r"\n", r"\s+/\s+", r";", r"\s*[/|]\s*", r"\s*(?<=\d)\s*[xX×х*]\s*(?=\d)\s*")
"""What stands between the values of one cell, the surest first."""


def with_parts(grid: Grid, first: int, heads: list[Head]) -> list[Head]:
    """A heading that names several quantities over cells that hold as many values is as many headings."""
    out: list[Head] = []
    for head in heads:
        group, mark, rest = head.text.partition(":")
        texts = _several(rest if mark else head.text)
        above = (*head.above, group.strip()) if mark else head.above
        parted = len(texts) > 1 and all(map(telling, texts)) and not _names_pair(head)
        if not (parted and all(_field_of(text, above) for text in texts)) and (close := _close(head, above)):
            texts, parted = close, not _names_pair(head)
        shared = len({quantity for text in texts if (quantity := _quantity_of(text, above))}) == 1
        if parted and _hold(grid, first, head.index, len(texts)):
            unit = head.unit_row or _shared_unit(texts)
            units = dict(enumerate(split_units(unit) if len(texts) == 2 else []))
            out += [
                replace(
                    head,
                    text=text,
                    above=above,
                    part=place,
                    parts=len(texts),
                    shared=shared,
                    unit_row=units.get(place, unit),
                )
                for place, text in enumerate(texts)
            ]
        else:
            out.append(head)
    return out


_BETWEEN: Final = re.compile(r"\s+[/|]\s+|\s*;\s*")
_TIMES: Final = re.compile(r"\s+[xX×х]\s+|(?<=\w)[×](?=\w)")
_CLOSE: Final = re.compile(r"(.*?)([^\s/]+)\s*/\s*([^\s/]+)(.*)")
_IN_BRACKETS: Final = re.compile(r"[(\[]([^()\[\]]+)[)\]]\s*$")
_OTHER_LETTERS: Final = "\u0370-\u052f\u0590-\u06ff\u0e00-\u0e7f\u3040-\u30ff\u3400-\u9fff\uac00-\ud7af"
"""Greek, Cyrillic, Hebrew, Arabic, Thai, Japanese, Chinese and Korean ones."""


@cache
def _scripts() -> re.Pattern[str]:
    """Where letters of another kind begin; seldom needed, and long to compile."""
    latin = rf"(?<=[{_OTHER_LETTERS})）])\s+(?=[A-Za-z])"
    return re.compile(rf"{latin}|(?<=[A-Za-z.)])\s+(?=[{_OTHER_LETTERS}])")


def _several(text: str) -> list[str]:
    """The headings that a text names."""
    between = _BETWEEN if _BETWEEN.search(text) else _TIMES
    return [one.strip(" []") for one in between.split(text)]


def _close(head: Head, above: tuple[str, ...]) -> list[str]:
    """The two headings of one with a stroke between two of its words ('Oper./design press.'), in either of
    its languages; none where they are not two different fields."""
    if "/" not in head.text:
        return []
    chunks = _scripts().split(head.text)
    for place in range(len(chunks) - 1, -1, -1):
        found = _CLOSE.fullmatch(chunks[place])
        if found is None or is_unit(f"{found[2]}/{found[3]}"):
            continue
        rest = " ".join((found[4], *chunks[place + 1 :]))
        two = [" ".join(f"{found[1]} {one} {rest}".split()) for one in (found[2], found[3])]
        fields_of = [_field_of(one, above) for one in two]
        if all(fields_of) and fields_of[0] != fields_of[1]:
            return two
    return []


@lru_cache(maxsize=8192)
def _field_of(text: str, above: tuple[str, ...]) -> str:
    """The field that a heading surely names, or ""."""
    found = read_heading(text, " / ".join(above)).meanings
    return found[0].field if found and found[0].score >= ACCEPT else ""


def _quantity_of(text: str, above: tuple[str, ...]) -> str:
    name = _field_of(text, above)
    return str(fields()[name].get("quantity", "")) if name else ""


def _shared_unit(texts: list[str]) -> str:
    """The unit of all that stands behind the last of several headings ('diameter x length (mm)')."""
    stated = [found[1] if (found := _IN_BRACKETS.search(text)) else "" for text in texts]
    return stated[-1] if stated[-1] and not any(stated[:-1]) and is_unit_cell(stated[-1]) else ""


def _names_pair(head: Head) -> bool:
    """Whether a heading surely names a field of two quantities that the reader takes apart itself."""
    found = read_heading(head.text, " / ".join(head.above), "gauges", head.unit_row, head.sure).meanings
    return bool(found) and found[0].score >= ACCEPT and "pair" in fields()[found[0].field]


def _hold(grid: Grid, first: int, index: int, parts: int) -> bool:
    """Whether most cells of a column hold so many values."""
    filled = [value for value in grid.values[first : first + 60, index].tolist() if value != ""]
    held = sum(any(piece != "" for piece in split_cell(value, parts)) for value in filled)
    return len(filled) > 0 and held >= 0.6 * len(filled)
