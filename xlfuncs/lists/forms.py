"""Forms: labels beside or above their values, a gauge for each block, page or sheet.

The tags tell where a block begins and ends: forms of one make repeat the same labels around each.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any, Final, Literal

from xlfuncs.data import load
from xlfuncs.lists.columns import is_placeholder
from xlfuncs.lists.found import FLOAT_NUMBERS
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.tags import (
    is_designation,
    is_gauge,
    is_loop_part,
    is_tag,
    letters_of,
    perhaps_gauge,
    split_tags,
)
from xlfuncs.lists.upright import Place, Property, Record, Records, is_blank, is_unit_text, plain_number
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import ACCEPT, fields, promises, read_heading
from xlfuncs.vocabulary.words import concepts_of, fold, slots, words_of

ROWS: Final = 40_000
COLS: Final = 60
_REACH: Final = 10
"""Columns to the right of a label in which its value is looked for."""
_BELOW: Final = 2
"""Rows below a label in which its value is looked for."""
_LONGEST: Final = 120
_SENTENCE: Final = 9
"""Words from which a lone text is a note, and no title of what follows."""
_NUMBERING: Final = re.compile(
    r"^\s*(?!\d+ mA\b)(?:\d{1,3}(?:\.\d{1,3})*[.)]?|[a-z][.)])\s+(?=\D)", re.IGNORECASE
)
_INLINE: Final = re.compile(r"^([^:]{2,80}):\s*(\S.{0,100})$")
_LABELS_OF_ROW: Final = 0.6
"""Share of labels among the cells of a row of labels."""
_BOXES: Final = 4
"""Labels that stand beside each other over their values in a form; what has more is a list."""
_FEW: Final = 0.25
"""Share of the labels of the column with most, which another column of labels has at least."""

_FLOAT_NAMES: Final = frozenset({*FLOAT_NUMBERS, "float_part", "float_material", "float_design_density"})

Way = Literal["right", "below"]


def clean(text: str) -> str:
    """A label without its number and what sets it off."""
    text = " ".join(text.split())
    return _NUMBERING.sub("", text).rstrip(" :=.") if len(text) <= _LONGEST else ""


@dataclass(frozen=True, slots=True)
class _Label:
    row: int
    """Indexes into the grid."""
    col: int
    text: str
    inline: str = ""


@dataclass(slots=True)
class _Case:
    """A column of a form that holds the values of one case."""

    col: int
    text: str
    bound: str
    """"minimum", "normal", "maximum", "design", or "" for a case by a name of its own."""


@dataclass(slots=True)
class _Block:
    """The cells of one gauge: indexes into the grid, the last past the end."""

    top: int
    bottom: int
    left: int
    right: int
    anchor: _Label


@dataclass(slots=True)
class _Sheet:
    grid: Grid
    values: list[list[Any]]
    way: Way
    said: Mapping[tuple[int, int], str] = field(default_factory=dict)
    """Cell -> the field that a person says it names."""
    over: frozenset[int] = frozenset()
    """Rows of labels that stand over their values, in a form whose other labels stand left of them."""
    labels: dict[tuple[int, int], _Label] = field(default_factory=dict)
    label_cols: frozenset[int] = frozenset()


def records_of(grid: Grid, instructions: Instructions) -> Iterator[Records]:
    """What the sheet says as a form: values right of the labels, and values below them."""
    if len(grid.rows) > ROWS:
        return
    values = [row[:COLS] for row in grid.values[:ROWS].tolist()]
    texts = [value for row in values for value in row if isinstance(value, str)]
    said = _said(grid, instructions)
    if sum(map(_promises, texts)) < 4 and not said:
        return
    ways: tuple[Way, ...] = ("right", "below")
    for way in ways:
        sheet = _Sheet(grid, values, way, said)
        (_labels_right if way == "right" else _labels_below)(sheet)
        blocks = _blocks(sheet)
        if blocks:
            yield _read(sheet, blocks)


def _said(grid: Grid, instructions: Instructions) -> dict[tuple[int, int], str]:
    """Indexes of the cells that a person has named -> the field."""
    bound = [one for one in instructions.of(grid.sheet) if one.field]
    if not bound:
        return {}
    rows = {int(row): i for i, row in enumerate(grid.rows.tolist())}
    cols = {int(col): j for j, col in enumerate(grid.cols.tolist())}
    return {
        (rows[row], cols[one.col]): one.field
        for one in bound
        for row in one.rows
        if row in rows and one.col in cols
    }


def labels_of(grid: Grid) -> tuple[list[Property], Record]:
    """The labels with quantities beside them that stand in a sheet, and their values."""
    sheet = _Sheet(grid, [row[:COLS] for row in grid.values.tolist()], "right")
    _labels_right(sheet)
    properties = _Properties()
    record = Record()
    seen: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for label in list(sheet.labels.values()):
        found = read_heading(label.text).meanings
        if found and found[0].score >= ACCEPT and found[0].field not in _OF_ONE and _value_of(sheet, label):
            _take(sheet, label, "", None, record, properties, seen)
    return properties.listed, record


_OF_ONE: Final = ("tag", "service", "serial", "instrument_type", "area", "remarks", "old_tag")
"""Fields that above a list are not said of its gauges."""


@lru_cache(maxsize=16384)
def _promises(text: str) -> bool:
    found = _INLINE.match(" ".join(text.split()))
    return promises(clean(found[1] if found else text))


def _as_label(value: Any) -> tuple[str, str] | None:
    """(text of a label, the value in the same cell), or None for what is no label."""
    return _label_of(value) if isinstance(value, str) and value.strip() else None


@lru_cache(maxsize=16384)
def _label_of(value: str) -> tuple[str, str] | None:
    plain = " ".join(value.split())
    inline = None if plain.endswith(":") else _INLINE.match(plain)  # 'Transmitter: 4 mA at:' is a label
    text = clean(inline[1] if inline else value)
    if not any(map(str.isalpha, text)) or (
        is_tag(text) and (not promises(text) or _of_level(text) or is_designation(text))
    ):
        return None
    if is_unit_text(text) and not promises(text):
        return None
    if inline and not promises(text):
        return None
    return text, inline[2] if inline else ""


def _of_level(tag: str) -> bool:
    letters = letters_of(tag)
    return is_gauge(letters) or is_loop_part(letters)


# --- labels ---------------------------------------------------------------------------------------------


def _labels_right(sheet: _Sheet) -> None:
    """The labels with values to their right: texts of the columns that hold many of them."""
    known: dict[tuple[int, int], _Label] = {}
    texts: dict[int, set[str]] = {}
    for i, row in enumerate(sheet.values):
        for j, value in enumerate(row):
            found = _as_label(value)
            if found is None and (i, j) in sheet.said:
                found = clean(str(value)), ""
            if found is None:
                continue
            text, inline = found
            if is_unit_text(value) and any((i, k) in known for k in range(max(0, j - 3), j)):
                continue
            known[i, j] = _Label(i, j, text, inline)
            if (promises(text) or (i, j) in sheet.said) and (
                inline or any(not is_blank(other) for other in row[j + 1 : j + 1 + _REACH])
            ):
                texts.setdefault(j, set()).add(text)
    sheet.over = frozenset(i for i in range(len(sheet.values) - 1) if _stands_over(sheet, i, known))
    under = {i + 1 for i in sheet.over}
    known = {place: one for place, one in known.items() if place[0] not in under}
    most = max(map(len, texts.values()), default=0)
    sheet.label_cols = frozenset(j for j, said in texts.items() if len(said) >= max(2, _FEW * most))
    sheet.labels = {
        place: one
        for place, one in known.items()
        if place[1] in sheet.label_cols
        or one.inline
        or place[0] in sheet.over
        or place in sheet.said
        or _set_off(sheet, one)
    }


def _stands_over(sheet: _Sheet, i: int, known: Mapping[tuple[int, int], _Label]) -> bool:
    """Whether a row holds nothing but labels, and the next one their values."""
    row, below = sheet.values[i], sheet.values[i + 1]
    filled = [j for j, value in enumerate(row) if not is_blank(value)]
    named = [j for j in filled if (i, j) in known and not known[i, j].inline]
    if (
        not 2 <= len(filled) <= _BOXES
        or len(named) < len(filled)
        or sheet.grid.rows[i + 1] - sheet.grid.rows[i] > 1
    ):
        return False
    if sum(promises(known[i, j].text) for j in named) < max(2, _LABELS_OF_ROW * len(filled)):
        return False
    values = [j for j, value in enumerate(below) if not is_blank(value)]
    given = [j for j in named if j in values]
    promising = sum(_as_label(below[j]) is not None and _promises(below[j]) for j in given)
    alone = len(given) >= max(2, len(values) - 1) and {*values} <= {*filled}
    return alone and promising < len(given) / 2 and not _goes_on(sheet, i + 2, given)


def _goes_on(sheet: _Sheet, i: int, cols: list[int]) -> bool:
    """Whether values stand in a row below values, as in a table."""
    if i >= len(sheet.values) or sheet.grid.rows[i] - sheet.grid.rows[i - 2] > 2:
        return False
    row = sheet.values[i]
    return 2 * sum(_as_label(row[j]) is None and not is_blank(row[j]) for j in cols) >= len(cols)


def _set_off(sheet: _Sheet, label: _Label) -> bool:
    """Whether a text says by a colon that it is a label, or names the tag that stands beside it."""
    text = str(sheet.values[label.row][label.col]).rstrip()
    if text.endswith(":"):
        return True
    beside = next((v for v in sheet.values[label.row][label.col + 1 :] if not is_blank(v)), "")
    return isinstance(beside, str) and is_tag(beside) and names_tag(label.text)


def _labels_below(sheet: _Sheet) -> None:
    """The labels with values below them: the texts of rows that hold little else."""
    for i, row in enumerate(sheet.values):
        found = {j: one for j, value in enumerate(row) if (one := _as_label(value)) is not None}
        filled = [j for j, value in enumerate(row) if not is_blank(value)]
        named = [j for j, (text, _) in found.items() if promises(text)]
        if not named or len(named) < _LABELS_OF_ROW * len(filled) or _holds_value(row):
            continue
        for j, (text, inline) in found.items():
            sheet.labels[i, j] = _Label(i, j, text, inline)
    sheet.label_cols = frozenset(j for _, j in sheet.labels)


def _holds_value(row: list[Any]) -> bool:
    return any(isinstance(value, (int, float)) or (isinstance(value, str) and is_tag(value)) for value in row)


def _value_of(sheet: _Sheet, label: _Label, block: _Block | None = None) -> tuple[int, int] | None:
    """Indexes of the cell with the value of a label."""
    if label.inline:
        return label.row, label.col
    if sheet.way == "below" or label.row in sheet.over:
        for i in range(label.row + 1, min(label.row + 1 + _BELOW, len(sheet.values))):
            near = sheet.grid.rows[i] - sheet.grid.rows[label.row] <= _BELOW
            if (i, label.col) in sheet.labels or not near:
                return None
            if not is_blank(sheet.values[i][label.col]) or _is_uncalculated(sheet, i, label.col):
                return i, label.col
        return None
    cells = _beside(sheet, label, block)
    plain = [k for k in cells if not is_unit_text(sheet.values[label.row][k])]
    if plain:
        return label.row, plain[0]
    text = bool(cells) and not _takes_number(label.text)
    return (label.row, cells[0]) if text else None


def _is_uncalculated(sheet: _Sheet, i: int, j: int) -> bool:
    if not sheet.grid.uncalculated:
        return False
    return (int(sheet.grid.rows[i]), int(sheet.grid.cols[j])) in sheet.grid.uncalculated


def _beside(sheet: _Sheet, label: _Label, block: _Block | None) -> list[int]:
    """Columns of the filled cells right of a label, up to the next label."""
    row = sheet.values[label.row]
    out: list[int] = []
    end = min(len(row), block.right if block is not None else len(row))
    for k in range(label.col + 1, end):
        if k > (out[-1] if out else label.col) + _REACH:
            break
        if (label.row, k) in sheet.labels and (out or _has_value(sheet, label.row, k)):
            break
        if not is_blank(row[k]) or _is_uncalculated(sheet, label.row, k):
            out.append(k)
    return out


def _has_value(sheet: _Sheet, i: int, j: int) -> bool:
    """Whether a label is followed by something that is none."""
    row = sheet.values[i]
    if sheet.labels[i, j].inline:
        return True
    following = next((k for k in range(j + 1, len(row)) if not is_blank(row[k])), -1)
    return following >= 0 and (i, following) not in sheet.labels


@lru_cache(maxsize=8192)
def _takes_number(text: str) -> bool:
    found = read_heading(text).meanings
    return bool(found) and fields()[found[0].field]["kind"] == "quantity"


# --- blocks ---------------------------------------------------------------------------------------------


@lru_cache(maxsize=8192)
def names_tag(text: str) -> bool:
    """Whether a label certainly names a tag."""
    found = read_heading(text).meanings
    return bool(found) and found[0].field == "tag" and found[0].score >= ACCEPT


def _blocks(sheet: _Sheet) -> list[_Block]:
    """The blocks of the gauges; none where no label names a tag."""
    anchors = []
    for label in sheet.labels.values():
        said = sheet.said.get((label.row, label.col))
        if said != "tag" if said else not names_tag(label.text):
            continue
        at = _value_of(sheet, label)
        value = label.inline or (sheet.values[at[0]][at[1]] if at is not None else "")
        if isinstance(value, str) and is_tag(value):
            anchors.append((label, value))
    gauges = [label for label, tag in anchors if any(is_gauge(letters_of(one)) for one in split_tags(tag))]
    chosen = gauges or [label for label, _ in anchors] or _by_tags(sheet) or _by_titles(sheet)
    if not chosen:
        return []
    sheet.labels |= {
        (label.row, label.col): label for label in chosen
    }  # a tag that is a title is none by its text
    by_row: dict[int, list[_Label]] = {}
    for label in chosen:
        by_row.setdefault(label.row, []).append(label)
    rows = sorted(by_row)
    above = _common_above(sheet, rows)
    width = max(map(len, sheet.values), default=0)
    out = []
    for number, row in enumerate(rows):
        top = row - above if len(rows) > 1 else 0
        bottom = rows[number + 1] - above if number + 1 < len(rows) else len(sheet.values)
        labels = sorted(by_row[row], key=lambda label: label.col)
        left = _common_left(sheet, labels)
        for place, label in enumerate(labels):
            start = 0 if place == 0 else label.col - left
            end = labels[place + 1].col - left if place + 1 < len(labels) else width
            out.append(_Block(top, bottom, start, end, label))
    return out


def _by_tags(sheet: _Sheet) -> list[_Label]:
    """Where no label names a tag: those of one name that all have a gauge's beside them."""
    found: dict[str, list[_Label]] = {}
    others: set[str] = set()
    for label in sheet.labels.values():
        at = _value_of(sheet, label)
        value = label.inline or (sheet.values[at[0]][at[1]] if at is not None else "")
        letters = letters_of(value) if isinstance(value, str) and is_tag(value) else ""
        if is_gauge(letters) or perhaps_gauge(letters):
            found.setdefault(fold(label.text), []).append(label)
        elif value != "":
            others.add(fold(label.text))
    named = [labels for text, labels in found.items() if text not in others]
    return named[0] if len(named) == 1 else []


def _by_titles(sheet: _Sheet) -> list[_Label]:
    """Where no label names a tag: the tags of gauges that stand as titles, each over labels of its own."""
    out: list[_Label] = []
    for i, row in enumerate(sheet.values):
        filled = [j for j, value in enumerate(row) if not is_blank(value)]
        texts = [j for j in filled[:2] if isinstance(row[j], str)]
        if not texts or len(filled) > _TITLE:
            continue
        tag = row[texts[0]].strip()
        if is_tag(tag) and is_gauge(letters_of(tag)):
            out.append(_Label(i, texts[0], "Tag", tag))
    named = Counter(str(value).strip() for row in sheet.values for value in row if isinstance(value, str))
    if len(out) < 2 or any(named[label.inline] > 1 for label in out):
        return []
    ends = [label.row for label in out[1:]] + [len(sheet.values)]
    over = [
        sum(label.row < i < end for i, _ in sheet.labels) >= _OF_BLOCK
        for label, end in zip(out, ends, strict=True)
    ]
    return out if all(over) else []


_TITLE: Final = 3
"""Cells of a row in which a tag is the title of a block."""
_OF_BLOCK: Final = 5
"""Labels of a block, at least."""


def _common_above(sheet: _Sheet, rows: list[int]) -> int:
    """How many rows above each row of a tag belong to its block: they are alike in all blocks."""
    if len(rows) < 2:
        return 0
    least = min(later - earlier for earlier, later in pairwise(rows)) - 1
    above = 0
    while above < min(rows[0], least):
        texts = [_texts(sheet.values[row - above - 1]) for row in rows]
        if any(texts) and not frozenset.intersection(*texts):
            break
        above += 1
    while above and not any(_texts(sheet.values[row - above]) for row in rows):
        above -= 1
    return above


def _texts(row: list[Any]) -> frozenset[tuple[int, str]]:
    return frozenset(
        (j, fold(value)) for j, value in enumerate(row) if isinstance(value, str) and value.strip()
    )


def _common_left(sheet: _Sheet, labels: list[_Label]) -> int:
    """How many columns left of each tag's label belong to its block."""
    if len(labels) < 2:
        return 0
    least = min(later.col - earlier.col for earlier, later in pairwise(labels)) - 1
    left = 0
    for step in range(1, min(labels[0].col, least) + 1):
        columns = [_down(sheet, label.col - step) for label in labels]
        if all(columns) and frozenset.intersection(*columns):
            left = step
    return left


def _down(sheet: _Sheet, j: int) -> frozenset[str]:
    return frozenset(label.text.casefold() for (_, col), label in sheet.labels.items() if col == j)


# --- what stands in a block -----------------------------------------------------------------------------


class _Properties:
    """The properties of all blocks: the same label in the same section is the same property."""

    def __init__(self) -> None:
        self.listed: list[Property] = []
        self._at: dict[tuple[str, tuple[str, ...], int], int] = {}

    def number(self, one: Property, seen: Counter[tuple[str, tuple[str, ...]]]) -> int:
        key = fold(one.known or one.text), tuple(map(fold, one.above))
        seen[key] += 1
        place = *key, seen[key]
        if place not in self._at:
            self._at[place] = len(self.listed)
            self.listed.append(one)
        return self._at[place]


def _read(sheet: _Sheet, blocks: list[_Block]) -> Records:
    properties = _Properties()
    records: list[Record] = []
    heads = _heads_of_offers(sheet, blocks[0].top)
    for block in blocks:
        records += _of_block(sheet, block, properties, heads)
    _by_columns(properties.listed, records)
    title = " ".join(str(value) for row in sheet.values[:3] for value in row if isinstance(value, str))
    where = "right of" if sheet.way == "right" else "below"
    return Records(
        sheet.grid,
        f"a form with values {where} their labels",
        properties.listed,
        records,
        f"{sheet.grid.sheet} {title}",
    )


def _heads_of_offers(sheet: _Sheet, top: int) -> int:
    """The row above the first block that heads the columns of offers for all of them; -1 without one."""
    rows = (i for i in range(top - 1, -1, -1) if _names_columns(sheet, i, _filled_in_row(sheet, i)))
    return next(rows, -1)


def _by_columns(properties: list[Property], records: list[Record]) -> None:
    """Put the properties of a form with several columns of labels in order, one column after the other:
    labels below each other belong together, those beside each other need not."""
    order = sorted(range(len(properties)), key=lambda j: (properties[j].col, j))
    if order == [*range(len(properties))]:
        return
    where = {old: new for new, old in enumerate(order)}
    properties[:] = [properties[old] for old in order]
    for record in records:
        record.cells = {where[j]: place for j, place in record.cells.items()}
        record.units = {where[j]: unit for j, unit in record.units.items()}


def _of_block(sheet: _Sheet, block: _Block, properties: _Properties, heads: int = -1) -> list[Record]:
    """The gauge of a block; one record for each of its cases. `heads`: the row that names the offers."""
    record = Record()
    others: dict[str, dict[int, Place]] = {}
    seen: Counter[tuple[str, tuple[str, ...]]] = Counter()
    section = ""
    cases = _offers(sheet, heads, _filled_in_row(sheet, heads), block) if heads >= 0 else []
    normal = ""
    points = _Points()
    for i in range(block.top, block.bottom):
        cells = _filled(sheet, i, block)
        if not cells:
            section = _title(sheet, i, _filled_in_row(sheet, i)) or section
            continue
        if points.takes(sheet, i, cells, properties, seen):
            continue
        found = _cases(sheet, i, cells)
        if found:
            cases = found
            normal = next((one.text for one in cases if one.bound == "normal"), "")
            continue
        if _names_columns(sheet, i, cells):
            first = clean(str(sheet.values[i][cells[0]]))
            section = first if _names_part(first) else section
            cases = _offers(sheet, i, cells, block)
            continue
        labels = [sheet.labels[i, j] for j in cells if (i, j) in sheet.labels]
        if (title := _title(sheet, i, cells)) is not None:
            section, cases = title, []
            continue
        for label in labels:
            if cases and sheet.way == "right" and _in_cases(sheet, label, block, cases):
                _take_cases(sheet, label, section, cases, record, others, properties, seen)
            else:
                _take(sheet, label, section, block, record, properties, seen)
    if points.records and record.cells:
        return [
            Record(record.cells | one.cells, record.units | one.units, one.case) for one in points.records
        ]
    return _with_cases(record, others, normal)


class _Points:
    """A table of checked points inside a form: headings over rows of levels and currents."""

    def __init__(self) -> None:
        self.columns: dict[int, tuple[int, str]] = {}
        """Column -> number of its property, and the unit in its heading."""
        self.first = -1
        self.heading = ""
        self.records: list[Record] = []

    def takes(
        self,
        sheet: _Sheet,
        i: int,
        cells: list[int],
        properties: _Properties,
        seen: Counter[tuple[str, tuple[str, ...]]],
    ) -> bool:
        """Whether a row is the headings of such a table, or one of its points."""
        row = sheet.values[i]
        if self.columns:
            numbers = all(isinstance(row[j], (int, float)) for j in self.columns)
            if numbers:
                self._add(sheet, i)
                return True
            self.columns = {}
        if len(cells) < 3 or not all(isinstance(row[j], str) for j in cells) or i + 1 >= len(sheet.values):
            return False
        named = {field: j for j in reversed(cells) if (field := _of_point(row[j]))}
        below = sheet.values[i + 1]
        if len(named) < 2 or not all(isinstance(below[j], (int, float)) for j in named.values()):
            return False
        for field, j in named.items():
            text = " ".join(row[j].split())
            one = Property(text, int(sheet.grid.rows[i]), int(sheet.grid.cols[j]), known=field)
            self.columns[j] = properties.number(one, seen), ""
        self.first, self.heading = cells[0], " ".join(row[cells[0]].split())
        return True

    def _add(self, sheet: _Sheet, i: int) -> None:
        value = sheet.values[i][self.first]
        shown = f"{value:g}" if isinstance(value, (int, float)) else str(value)
        name = f"point {shown} {self.heading}" if len(self.heading) < 3 else f"{self.heading} {shown}"
        cells = {number: _place(sheet, i, j, sheet.values[i][j]) for j, (number, _) in self.columns.items()}
        self.records.append(Record(cells, {}, name))


@lru_cache(maxsize=8192)
def _of_point(text: str) -> str:
    """The field of a checked point that a heading names, or ""."""
    found = read_heading(" ".join(text.split())).meanings
    best = [one.field for one in found if one.score == found[0].score]
    return next((name for name in best if name in ("stated_level", "stated_current")), "")


def _names_columns(sheet: _Sheet, i: int, cells: list[int]) -> bool:
    """Whether a row heads the columns of a check sheet ('No.', 'Check', 'Found', 'Unit')."""
    row = sheet.values[i]
    if len(cells) < 3 or not all(isinstance(row[j], str) for j in cells) or sheet.way == "below":
        return False
    return any(_is_uom(row[j]) for j in cells) and not any(is_tag(row[j]) for j in cells)


@lru_cache(maxsize=8192)
def _is_uom(text: str) -> bool:
    return read_heading(" ".join(text.split())).is_uom


@lru_cache(maxsize=8192)
def names_float(text: str) -> bool:
    """Whether a label certainly names something of a float."""
    found = read_heading(text, kind="floats").meanings
    return bool(found) and found[0].score >= ACCEPT and found[0].field in _FLOAT_NAMES


@lru_cache(maxsize=8192)
def _names_part(text: str) -> bool:
    """Whether a text names a part of a gauge, whose properties may follow."""
    return any(slots()[name] == "subject" for name in concepts_of(text))


def _filled(sheet: _Sheet, i: int, block: _Block) -> list[int]:
    row = sheet.values[i]
    return [j for j in range(block.left, min(block.right, len(row))) if not is_blank(row[j])]


def _filled_in_row(sheet: _Sheet, i: int) -> list[int]:
    return [j for j, value in enumerate(sheet.values[i]) if not is_blank(value)]


def _title(sheet: _Sheet, i: int, cells: list[int]) -> str | None:
    """The text of a row with nothing else in it: what follows belongs to it; a note is none."""
    texts = [sheet.values[i][j] for j in cells if isinstance(sheet.values[i][j], str)]
    words = [text for text in texts if len(text) > 1 or not text.isalnum()]
    label = next((sheet.labels[i, j] for j in cells if (i, j) in sheet.labels), None)
    if label is not None and label.inline:
        return None
    if sheet.way == "below" or len(words) != 1 or len(texts) != len(cells):
        return None
    text = clean(words[0])
    if _INLINE.match(" ".join(words[0].split())):
        return None
    if not text or is_tag(text) or len(text.split()) > _SENTENCE:
        return "" if len(text.split()) > _SENTENCE else None
    return text


def _take(
    sheet: _Sheet,
    label: _Label,
    section: str,
    block: _Block | None,
    record: Record,
    properties: _Properties,
    seen: Counter[tuple[str, tuple[str, ...]]],
) -> None:
    at = _value_of(sheet, label, block)
    if at is None:
        return
    named = block is not None and label is block.anchor
    j = properties.number(_property(sheet, label, section, known="tag" if named else ""), seen)
    value = plain_number(label.inline) if label.inline else _both_ends(sheet, label, at, block)
    record.cells[j] = _place(sheet, *at, value)
    if sheet.way == "right" and not label.inline and label.row not in sheet.over:
        units = [sheet.values[label.row][k] for k in _beside(sheet, label, block) if k != at[1]]
        record.units[j] = next((unit for unit in units if is_unit_text(unit)), "")


def _both_ends(sheet: _Sheet, label: _Label, at: tuple[int, int], block: _Block | None) -> Any:
    """The value of a label; of one that names a range by two cells, both of them."""
    value = sheet.values[at[0]][at[1]]
    if sheet.way == "below" or label.row in sheet.over or not _takes_range(label.text):
        return value
    row = sheet.values[label.row]
    numbers = [row[k] for k in _beside(sheet, label, block) if isinstance(row[k], (int, float))]
    return f"{numbers[0]:g} - {numbers[1]:g}" if len(numbers) == 2 else value


@lru_cache(maxsize=8192)
def _takes_range(text: str) -> bool:
    found = read_heading(text).meanings
    return bool(found) and found[0].score >= ACCEPT and "split" in fields()[found[0].field]


def _property(
    sheet: _Sheet, label: _Label, section: str, more: str = "", sure: bool = False, known: str = ""
) -> Property:
    above = tuple(filter(None, (section, more))) if not sure else (more,)
    row, col = int(sheet.grid.rows[label.row]), int(sheet.grid.cols[label.col])
    return Property(label.text, row, col, above, key=_plainly(label.text), sure=sure, known=known)


@lru_cache(maxsize=1)
def _said_of() -> re.Pattern[str]:
    listed = {word for words in load("form_words")["said_of"].values() for word in words}
    every = "|".join(re.escape(word) for word in sorted(listed, key=len, reverse=True))
    return re.compile(rf"(?<!\w)(?:{every})(?!\w)", re.IGNORECASE)


@lru_cache(maxsize=8192)
def _plainly(text: str) -> str:
    """A label without what a check sheet adds to it; "" where it adds nothing."""
    plain = load("form_words")["instead"].get(fold(text), "")
    shorter = plain or " ".join(_said_of().sub(" ", text).split()).strip(" ,;-")
    return shorter if shorter and shorter != text and promises(shorter) else ""


def _place(sheet: _Sheet, i: int, j: int, value: Any) -> Place:
    return Place(value, int(sheet.grid.rows[i]), int(sheet.grid.cols[j]))


# --- cases ----------------------------------------------------------------------------------------------

_BOUNDS: Final = {"minimum": "minimum", "normal": "normal", "maximum": "maximum", "design": "design"}
_NO_CASE: Final = ("stated", "uom", "filler", "stop", "item")


@lru_cache(maxsize=8192)
def bound_of(text: str) -> str | None:
    """Which bound or case a text names and nothing else; None for any other text."""
    words = words_of(text)
    if not words or len(words) > 3:
        return None
    slot = slots()
    names = {name for word in words for name in word.concepts if slot[name] in ("bound", "qualifier")}
    others = {
        name
        for word in words
        for name in word.concepts
        if slot[name] in ("subject", "quantity") and name != "ambient"
    }
    if others or not names & {*_BOUNDS, "cold", "operating"}:
        return None
    if names & {"operating"} and not names & {*_BOUNDS}:
        return "normal"
    return next((bound for bound in _BOUNDS if bound in names), "")


def _cases(sheet: _Sheet, i: int, cells: list[int]) -> list[_Case]:
    """The cases that a row names above the columns of their values; none for another row."""
    row = sheet.values[i]
    beside = next((j for j in cells[2:] if _over_labels(sheet, i, j)), len(row))
    cells = [j for j in cells if j < beside]
    texts = {j: clean(row[j]) for j in cells if isinstance(row[j], str)}
    if len(texts) != len(cells) or sheet.way == "below":
        return []
    texts = {j: text for j, text in texts.items() if not _is_uom(row[j])}
    known = {j: bound for j, text in texts.items() if (bound := bound_of(text)) is not None}
    if len(known) < 2:
        return []
    first = min(known)
    return [_Case(j, text, known.get(j, "")) for j, text in texts.items() if j >= first]


def _over_labels(sheet: _Sheet, i: int, j: int) -> bool:
    """Whether further labels stand below a cell of the row with the names of the cases, and no values."""
    below = [
        k for k in range(i + 1, min(i + 1 + _BELOW, len(sheet.values))) if not is_blank(sheet.values[k][j])
    ]
    named = sum((k, j) in sheet.labels and _has_value(sheet, k, j) for k in below)
    return (i, j) in sheet.labels and 2 * named > len(below)


def _offers(sheet: _Sheet, i: int, cells: list[int], block: _Block) -> list[_Case]:
    """The columns right of that of the units, each with one offer's values ('Specified', 'Tenderer A')."""
    row = sheet.values[i]
    unit = next(j for j in cells if _is_uom(row[j]))
    first = max(i + 1, block.top)
    rows = [k for k in range(first, block.bottom) if any((k, j) in sheet.labels for j in cells if j < unit)]
    given = {j: sum(not is_blank(sheet.values[k][j]) for k in rows) for j in cells if j > unit}
    full = [j for j, count in given.items() if count >= _FULL * len(rows)]
    numbers = [j for j in full if sum(isinstance(sheet.values[k][j], (int, float)) for k in rows) >= 2]
    if len(full) < 3 or len(numbers) < 2:
        return []
    for k in range(first, block.bottom):  # what an offer says is no label
        for j in range(full[0], block.right):
            sheet.labels.pop((k, j), None)
    return [_Case(j, clean(row[j]), "") for j in full]


_FULL: Final = 0.6
"""Share of the labels with a value in the column of an offer."""


def _in_cases(sheet: _Sheet, label: _Label, block: _Block, cases: list[_Case]) -> bool:
    """Whether the values of a label stand in the columns of the cases; a lone one in the first need not."""
    if label.col > cases[0].col:  # it stands right of them
        return False
    filled = [one for one in cases if not is_blank(sheet.values[label.row][one.col])]
    if any((label.row, one.col) in sheet.labels and _has_value(sheet, label.row, one.col) for one in filled):
        return False
    return len(filled) > 1 or (len(filled) == 1 and filled[0] is not cases[0])


def _take_cases(
    sheet: _Sheet,
    label: _Label,
    section: str,
    cases: list[_Case],
    record: Record,
    others: dict[str, dict[int, Place]],
    properties: _Properties,
    seen: Counter[tuple[str, tuple[str, ...]]],
) -> None:
    row = sheet.values[label.row]
    units = [row[k] for k in range(label.col + 1, len(row)) if is_unit_text(row[k])]
    usual = -1
    for one in cases:
        value = row[one.col]
        if is_blank(value):
            continue
        if one.bound:
            above = one.text if one.bound == "design" else _OPERATING[one.bound]
            one_case = replace(
                _property(sheet, label, section, above, sure=True), col=int(sheet.grid.cols[one.col])
            )
            j = properties.number(one_case, seen)
            record.cells[j] = _place(sheet, label.row, one.col, value)
            record.units[j] = units[0] if units else ""
            usual = j if one.bound == "normal" else usual
        elif usual >= 0 and _adds_nothing(value):
            continue
        elif usual >= 0:
            others.setdefault(one.text, {})[usual] = _place(sheet, label.row, one.col, value)
        else:  # cases with names of their own alone: the first is the gauge's, the others stand beside it
            j = properties.number(_property(sheet, label, section), seen)
            usual = j
            record.cells[j] = _place(sheet, label.row, one.col, value)
            record.units[j] = units[0] if units else ""


def _adds_nothing(value: Any) -> bool:
    """Whether an offer merely takes note of what is asked for ('Noted', '-')."""
    return isinstance(value, str) and (is_placeholder(value.strip(), True) or fold(value.strip()) in _noted())


@lru_cache(maxsize=1)
def _noted() -> frozenset[str]:
    return frozenset(fold(word) for words in load("form_words")["noted"].values() for word in words)


_OPERATING: Final = {"minimum": "operating minimum", "normal": "operating", "maximum": "operating maximum"}
"""What the columns of a form mean that give the lowest, usual and highest value in operation."""


def _with_cases(record: Record, others: dict[str, dict[int, Place]], normal: str) -> list[Record]:
    if not record.cells:
        return []
    if not others:
        return [record]
    varying = {j for cells in others.values() for j in cells}
    out = [record]
    record.case = normal or "usual case"
    for name, cells in others.items():
        kept = {j: place for j, place in record.cells.items() if j not in varying}
        out.append(Record(kept | cells, dict(record.units), name))
    return out
