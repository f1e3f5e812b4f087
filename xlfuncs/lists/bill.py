"""Lists with a row for each part of a gauge: bills of material, and lists of points that name their gauge.

In a bill a column of levels ('1', '.2', '..3'), of positions ('10', '10.1') or an indented text tells which
rows belong to which gauge; in a list of points each row repeats its tag. What a heading means depends on the
part whose row it is: the length of a float is not that of its chamber.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Any, Final

from xlfuncs.lists.evidence import is_range
from xlfuncs.lists.spoken import ACTS, act_of, said_in
from xlfuncs.lists.tags import (
    is_gauge_tag,
    is_loop_part,
    is_tag,
    is_transmitter,
    letters_of,
    perhaps_gauge,
    switch_field,
    type_of,
)
from xlfuncs.lists.upright import Place, Property, Record, Records, is_blank, is_unit_text, plain_number
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import ACCEPT, promises, read_heading
from xlfuncs.vocabulary.words import concepts_of, words_of

_ROWS: Final = 20_000
_WIDEST: Final = 100
_SAMPLED: Final = 120
_LEAST: Final = 2
"""Gauges with parts below them."""
_PROMISING: Final = 3
"""Headings that are understood, at least; or texts in a row right above the first gauge."""
_NEAR: Final = 4
_COUNTED: Final = 0.8
"""Share of the rows in which a column of levels or positions has one."""
_ENOUGH: Final = 0.4
"""Worth, by that of a list that takes parts for gauges, from which a bill is taken for one."""
_REPEATING: Final = 0.2
"""The same for a list of points, in which a list would have the tag of each gauge over and over."""
_PARTS: Final = ("float", "chamber", "transmitter", "switch", "magnet", "flange", "tracing", "insulation")
"""Concepts of the parts of a gauge."""
_DOTTED: Final = re.compile(r"(\.+)\s*\d+")
_POSITION: Final = re.compile(r"\d+(?:[.\-]\d+)*")


@dataclass(frozen=True, slots=True)
class _Gauge:
    """A row with the tag of a gauge."""

    row: int
    col: int
    tag: str
    rest: str
    """What else its cell says."""


def records_of(grid: Grid) -> Iterator[Records]:
    """The gauges of a sheet, each with what is said of its parts in rows of their own."""
    if len(grid.rows) > _ROWS:
        return
    sampled = [row[:_WIDEST] for row in grid.values[:_SAMPLED].tolist()]
    rows: list[list[Any]] = []
    for find in (_bill, _points):
        if find(sampled) is None:
            continue
        rows = rows or [row[:_WIDEST] for row in grid.values.tolist()]
        found = find(rows)
        heading = _heading(rows, found.gauges[0].row) if found is not None else -1
        if found is not None and heading >= 0:
            yield _read(grid, rows, heading, found)


@dataclass(frozen=True, slots=True)
class _Structure:
    """Which rows of a sheet belong to which gauge."""

    shape: str
    gauges: list[_Gauge]
    parts: list[list[int]]
    """Of each gauge."""
    counting: Mapping[int, int]
    """Row -> its level; empty where none are counted."""
    key: int = -1
    """The column that repeats the gauge's tag in each row of a part; -1 in a bill."""
    acts: int = -1
    """The column that says which alarm a row is of."""


def _bill(rows: Sequence[Sequence[Any]]) -> _Structure | None:
    found = _structure(rows)
    if found is None:
        return None
    gauges, depths = found
    parts = [list(_below(one.row, depths[one.row], depths, len(rows))) for one in gauges]
    return _Structure("a bill with the parts of each gauge below it", gauges, parts, depths)


def _points(rows: Sequence[Sequence[Any]]) -> _Structure | None:
    """The gauges of a list in which each row is of a transmitter, switch or alarm and names its gauge."""
    for j in range(max(map(len, rows), default=0)):
        gauges: dict[str, _Gauge] = {}
        parts: dict[str, list[int]] = {}
        for i, row in enumerate(rows):
            value = row[j] if j < len(row) else ""
            if isinstance(value, str) and is_gauge_tag(value.strip()):
                gauges.setdefault(value.strip(), _Gauge(i, j, value.strip(), ""))
                parts.setdefault(value.strip(), []).append(i)
        every = [i for of_one in parts.values() for i in of_one]
        if len(gauges) < _LEAST or len(every) < _REPEATED * len(gauges):
            continue
        acts = _acts([rows[i] for i in every])
        named = [_point_of(rows[i], j, acts) for i in every]
        points = sum(one is not None and one.field != "" for one in named)
        if points >= _POINTS * len(every) and _differ(named, [*map(len, parts.values())]):
            shape = "a row for each transmitter and switch of a gauge"
            return _Structure(shape, [*gauges.values()], [*parts.values()], {}, j, acts)
    return None


def _differ(named: Sequence[_Part | None], rows: Sequence[int]) -> bool:
    """Whether the rows of a gauge that has several are of different parts. `rows`: how many each has."""
    parts = iter(named)
    several = [(mine, count) for count in rows if (mine := [*islice(parts, count)]) and count > 1]
    different = sum(len({one.name for one in mine if one is not None}) for mine, _ in several)
    return different >= _DIFFERENT * sum(count for _, count in several)


_DIFFERENT: Final = 0.8
"""Share of the rows of gauges with several that are of another part than the rest: an index in which tags
stand twice names a transmitter in each row too."""


def _acts(rows: Sequence[Sequence[Any]]) -> int:
    """The column that says which alarm a row is of ('HH', 'H', 'L'); -1 without one."""
    shares = {}
    for j in range(max(map(len, rows), default=0)):
        texts = [
            row[j].strip() for row in rows if j < len(row) and isinstance(row[j], str) and row[j].strip()
        ]
        acts = [act for text in texts if (act := _act(text))]
        if len({*acts}) > 1:
            shares[j] = len(acts) / len(texts)
    best = max(shares, key=lambda j: shares[j], default=-1)
    return best if best >= 0 and shares[best] >= _POINTS else -1


@lru_cache(maxsize=4096)
def _act(text: str) -> str:
    """The letters of the switch that a text of few words means by its act alone; "" for another text."""
    if text.upper() in _LETTERS:
        return _LETTERS[text.upper()]
    return act_of(text) if len(text) <= _LONGEST_ACT else ""


_LETTERS: Final = {
    one: act
    for act, every in {
        "LSLL": ("LL", "LOLO", "LO-LO", "LO LO"),
        "LSL": ("L", "LO"),
        "LSH": ("H", "HI"),
        "LSHH": ("HH", "HIHI", "HI-HI", "HI HI"),
    }.items()
    for one in every
}
_LONGEST_ACT: Final = 24


def _point_of(row: Sequence[Any], key: int, acts: int) -> _Part | None:
    """The part that a row of a list of points is of: a switch where it names its act, whatever its tag."""
    if acts >= 0 and acts < len(row) and isinstance(row[acts], str) and (act := _act(row[acts].strip())):
        return _Part(act, act, acts, switch_field(act))
    return _part_of(_without(row, key))


_REPEATED: Final = 1.5
"""Rows for each gauge in a list of points, at least."""
_POINTS: Final = 0.6
"""Share of the rows of such a list that name a transmitter or the act of a switch."""


def _without(row: Sequence[Any], j: int) -> list[Any]:
    return ["" if k == j else value for k, value in enumerate(row)]


def below_gauges(rows: Sequence[Sequence[Any]]) -> frozenset[int]:
    """The rows of a bill that stand below a gauge, as its parts; none where it is no bill."""
    found = _structure(rows)
    if found is None:
        return frozenset()
    first, depths = found[0][0].row, found[1]
    return frozenset(i for i, depth in depths.items() if i > first and depth > depths[first])


def _structure(rows: Sequence[Sequence[Any]]) -> tuple[list[_Gauge], dict[int, int]] | None:
    """The gauges of a bill, and how deep each row of it stands; None for what is no bill."""
    gauges = [found for i, row in enumerate(rows) if (found := _gauge(i, row)) is not None]
    depths = _depths(rows, gauges) if len(gauges) >= _LEAST else None
    return None if depths is None else (gauges, depths)


def _gauge(i: int, row: Sequence[Any]) -> _Gauge | None:
    for j, value in enumerate(row):
        if not isinstance(value, str) or not 4 <= len(value) <= 200:
            continue
        for word in (value, *value.split()):
            tag = word.strip(" ,;:()")
            if is_gauge_tag(tag) or _named_so(tag, row):
                before, _, after = value.partition(tag)
                return _Gauge(i, j, tag, after.strip(" ,;:-–()") or before.strip(" ,;:-–()"))
    return None


def _named_so(tag: str, row: Sequence[Any]) -> bool:
    """Whether a tag's letters may be a gauge's, and its row says that it is one with a magnet."""
    if not is_tag(tag) or not perhaps_gauge(letters := letters_of(tag)) or is_loop_part(letters):
        return False
    return any(isinstance(value, str) and type_of(value) == "magnetic" for value in row)


def _heading(rows: Sequence[Sequence[Any]], first: int) -> int:
    """The row of headings above the first gauge; -1 without one."""
    named = [
        sum(isinstance(value, str) and promises(" ".join(value.split())) for value in rows[i])
        for i in range(first)
    ]
    best = max(range(first), key=lambda i: (named[i], i), default=-1)
    if best >= 0 and named[best] >= _PROMISING:
        return best
    texts = [sum(isinstance(value, str) and value.strip() != "" for value in rows[i]) for i in range(first)]
    return next((i for i in range(first - 1, max(first - _NEAR, -1), -1) if texts[i] >= _PROMISING), -1)


def _depths(rows: Sequence[Sequence[Any]], gauges: Sequence[_Gauge]) -> dict[int, int] | None:
    """Row -> how deep it stands, by the column that sets the parts of each gauge below it."""
    width = max(map(len, rows), default=0)
    for j in range(width):
        column = [row[j] if j < len(row) else "" for row in rows]
        for depths in (_of_levels(column), _of_indents(column)):
            if _tells(rows, gauges, depths):
                return depths
    return None


def _of_levels(column: Sequence[Any]) -> dict[int, int]:
    texts = {i: _written(value) for i, value in enumerate(column) if not is_blank(value)}
    found = {i: _DOTTED.fullmatch(text) for i, text in texts.items() if text[0] == "." or text.isdigit()}
    if any(found.values()):
        return {i: len(one[1]) if one else 0 for i, one in found.items() if one or texts[i].isdigit()}
    numbered = {i: text for i, text in texts.items() if _POSITION.fullmatch(text)}
    inner = {i: len(re.findall(r"[.\-]", text)) for i, text in numbered.items()}
    return inner if any(inner.values()) else {i: int(text) for i, text in numbered.items() if len(text) == 1}


def _written(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value).strip()


def _of_indents(column: Sequence[Any]) -> dict[int, int]:
    return {
        i: len(value) - len(value.lstrip())
        for i, value in enumerate(column)
        if isinstance(value, str) and value.strip()
    }


def _tells(rows: Sequence[Sequence[Any]], gauges: Sequence[_Gauge], depths: Mapping[int, int]) -> bool:
    """Whether all gauges are equally deep, and a row that names a part follows nearly each, deeper."""
    if len({*depths.values()}) < 2 or gauges[0].row not in depths:
        return False
    if len({depths.get(gauge.row, -1) for gauge in gauges}) != 1:
        return False
    own = depths[gauges[0].row]
    followed = [
        any(_part_of(rows[i]) is not None for i in _below(gauge.row, own, depths, len(rows)))
        for gauge in gauges
    ]
    return sum(followed) >= max(_LEAST, 0.6 * len(gauges))


def _below(row: int, own: int, depths: Mapping[int, int], end: int) -> Iterator[int]:
    """The rows that stand deeper than a gauge, up to the first that does not."""
    for i in range(row + 1, end):
        depth = depths.get(i, own + 1)
        if depth <= own:
            return
        if i in depths:
            yield i


@dataclass(frozen=True, slots=True)
class _Part:
    """The part of a gauge whose row it is."""

    name: str
    words: str
    """That name it in the sheet."""
    col: int
    """Of the cell that names it; -1 where a tag does."""
    field: str = ""
    """That its one quantity is, whatever the heading."""


def _part_of(row: Sequence[Any]) -> _Part | None:
    """The part of a gauge that a row is of; None for none."""
    texts = [(j, value.strip()) for j, value in enumerate(row) if isinstance(value, str) and value.strip()]
    for _, text in texts:
        letters = letters_of(text) if is_tag(text) else ""
        if switch_field(letters):
            return _Part(letters, letters, -1, switch_field(letters))
        if is_transmitter(letters):
            return _Part("transmitter", "transmitter", -1, "transmitter_range")
    for j, text in texts:
        found = None if is_tag(text) else _named(j, text)
        if found is not None:
            return found
    return None


def _named(col: int, text: str) -> _Part | None:
    words = words_of(text)
    for word in words:
        part = next((name for name in _PARTS if name in word.concepts), "")
        if part == "switch":
            act = next((name for one in words for name in ACTS if name in one.concepts), "")
            return _Part(f"{part} {act}", word.text, col, switch_field(ACTS[act]) if act else "")
        if part:
            return _Part(part, word.text, col, "transmitter_range" if part == "transmitter" else "")
    return None


@lru_cache(maxsize=4096)
def _piece(heading: str, part: str) -> str:
    """Of a heading for several kinds of rows ('Tag / part no.') what it says of a part; "" for all of it."""
    if _score(heading, part) >= ACCEPT or "/" not in heading:
        return ""
    pieces = [one.strip() for one in heading.split("/")]
    best = max(pieces, key=lambda one: _score(one, part))
    return best if _score(best, part) >= ACCEPT else ""


def _score(heading: str, part: str) -> float:
    found = read_heading(heading, part).meanings
    return found[0].score if found and found[0].field.split("_")[0] in (*_PARTS, part) else 0.0


def _quantity(said: Mapping[int, Any], heads: Mapping[int, str], units: int = -1) -> int:
    """The column of the only number or range in a row, other than how many there are; of several that beside
    the unit, or whose heading means a limit. -1 for none."""
    limits = {j for j in said if concepts_of(heads[j]) & {"limit", "setpoint", "level"}}
    found = [
        j
        for j, value in said.items()
        if (
            isinstance(value, (int, float))
            or is_range(str(value))
            or (
                j in limits and _MEASURED.fullmatch(str(value).strip())
            )  # elsewhere it may be a serial number
        )
        and read_heading(heads[j]).foreign != "commercial"
    ]
    if len(found) > 1:
        found = [j for j in found if j == units - 1] or [j for j in found if j in limits]
    return found[0] if len(found) == 1 else -1


_MEASURED: Final = re.compile(r"[<>~≤≥+\-]?\s*\d+(?:[.,]\d+)?\s*(?:%|[^\W\d]+|\")?")
"""A number kept as text, with or without its unit: '800', '800 mm', '31.5"'."""


def _read(grid: Grid, rows: Sequence[Sequence[Any]], heading: int, found: _Structure) -> Records:
    made = _Reader(grid, rows, heading, found)
    for gauge, parts in zip(found.gauges, found.parts, strict=True):
        made.take(gauge, parts)
    return Records(
        grid,
        found.shape,
        made.properties,
        made.records,
        grid.sheet,
        least=_ENOUGH if found.key < 0 else _REPEATING,
        components=made.components,
    )


class _Reader:
    """The properties of the gauges, each by the part and the heading or the words that name it."""

    def __init__(
        self, grid: Grid, rows: Sequence[Sequence[Any]], heading: int, structure: _Structure
    ) -> None:
        self.grid, self.rows, self.structure = grid, rows, structure
        self.line = int(grid.rows[heading])
        self.heads = {
            j: " ".join(value.split())
            for j, value in enumerate(rows[heading])
            if isinstance(value, str) and value.strip()
        }
        self.properties: list[Property] = []
        self.records: list[Record] = []
        self.components: set[int] = set()
        self._numbers: dict[tuple[str, ...], int] = {}
        self._units = next((j for j, text in self.heads.items() if read_heading(text).is_uom), -1)
        self._passed = {structure.key, self._units, *self._counting()}
        """Columns that state nothing of a part."""

    def _counting(self) -> Iterator[int]:
        if self.structure.counting:
            for j in self.heads:
                if len(_of_levels([row[j] for row in self.rows])) > _COUNTED * len(self.structure.counting):
                    yield j

    def take(self, gauge: _Gauge, parts: Sequence[int]) -> None:
        """The record of a gauge: its own row, and those of its parts."""
        tag = self._headed("tag", gauge.col, known="tag")
        record = Record({tag: self._place(gauge.row, gauge.col, gauge.tag)})
        for j, value in enumerate(self.rows[gauge.row]) if self.structure.key < 0 else ():
            mine = gauge.rest if j == gauge.col else value
            if j in self.heads and not is_blank(mine) and not self._spoken(record, gauge.row, j, mine, None):
                at = self._beside_tag(j) if j == gauge.col else self._headed("", j)
                record.cells[at] = self._place(gauge.row, j, mine)
        for i in parts:
            self._part(record, i)
        self.records.append(record)

    def _part(self, record: Record, i: int) -> None:
        row, key = self.rows[i], self.structure.key
        self.components.add(int(self.grid.rows[i]))
        part = _part_of(row) if key < 0 else _point_of(row, key, self.structure.acts)
        said = {
            j: value
            for j, value in enumerate(row)
            if j in self.heads and j not in self._passed and not is_blank(value)
        }
        said = {j: value for j, value in said.items() if not self._spoken(record, i, j, value, part)}
        if part is None:
            return
        said.pop(part.col, None)
        alone = _quantity(said, self.heads, self._units) if part.field else -1
        stated = str(row[self._units]).strip() if self._units >= 0 else ""
        for j, value in said.items():
            at = self._headed(part.name, j, part.words, part.field if j == alone else "")
            if at not in record.cells:
                record.cells[at] = self._place(i, j, value)
                takes = j == alone or not isinstance(value, str)
                record.units[at] = stated if takes and is_unit_text(stated) else ""

    def _spoken(self, record: Record, i: int, j: int, value: Any, part: _Part | None) -> bool:
        """Take the values that a text names, each as a property of its own; whether there are any."""
        name, words = ("", "") if part is None else (part.name, part.words)
        texts = said_in(value, name) if isinstance(value, str) and not is_tag(value.strip()) else ()
        for one in texts:
            above = (words,) if words else ()
            text = f"{one.name} ({one.key})" if one.key else one.name
            named = Property(text, self.line, int(self.grid.cols[j]), above, key=one.key or one.name)
            at = self._number((name, str(j), one.name, one.key), named)
            record.cells.setdefault(at, self._place(i, j, plain_number(one.value)))
        return bool(texts)

    def _beside_tag(self, j: int) -> int:
        """The number of what a cell says besides the tag of its gauge."""
        text = self.heads[j]
        named = Property(f"{text} (beside the tag)", self.line, int(self.grid.cols[j]), key=text)
        return self._number(("", str(j), "rest"), named)

    def _headed(self, part: str, j: int, above: str = "", known: str = "") -> int:
        """The number of the property that a heading names for a part."""
        text = self.heads.get(j, "")
        key = _piece(text, above) if above and not known else ""
        named = Property(
            text, self.line, int(self.grid.cols[j]), (above,) if above else (), key=key, known=known
        )
        return self._number((part, str(j)), named)

    def _number(self, key: tuple[str, ...], named: Property) -> int:
        if key not in self._numbers:
            self._numbers[key] = len(self.properties)
            self.properties.append(named)
        return self._numbers[key]

    def _place(self, i: int, j: int, value: Any) -> Place:
        return Place(value, int(self.grid.rows[i]), int(self.grid.cols[j]))
