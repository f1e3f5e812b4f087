"""Forms: labels beside or above their values, a gauge for each block, page or sheet.

The tags tell where a block begins and ends: forms of one make repeat the same labels around each.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from xlfuncs.lists.form_blocks import blocks_of
from xlfuncs.lists.form_cases import cases_of, in_cases, offers_of, take_cases, with_cases
from xlfuncs.lists.form_labels import (
    COLS,
    INLINE,
    Block,
    Sheet,
    Way,
    clean,
    is_uom,
    label_promises,
    labels_below,
    labels_right,
    value_of,
)
from xlfuncs.lists.form_properties import Properties, place_of, take_value
from xlfuncs.lists.found import FLOAT_NUMBERS
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.tags import (
    is_tag,
)
from xlfuncs.lists.upright import Place, Property, Record, Records, is_blank
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import ACCEPT, read_heading
from xlfuncs.vocabulary.words import concepts_of, slots

_ROWS: Final = 40_000
"""Rows of a sheet; what has more is no form."""

_SENTENCE: Final = 9
"""Words from which a lone text is a note, and no title of what follows."""

_FLOAT_NAMES: Final = frozenset({*FLOAT_NUMBERS, "float_part", "float_material", "float_design_density"})


def records_of(grid: Grid, instructions: Instructions) -> Iterator[Records]:
    """What the sheet says as a form: values right of the labels, and values below them."""
    if len(grid.rows) > _ROWS:
        return
    values = [row[:COLS] for row in grid.values.tolist()]
    texts = [value for row in values for value in row if isinstance(value, str)]
    said = _said(grid, instructions)
    if sum(map(label_promises, texts)) < 4 and not said:
        return
    ways: tuple[Way, ...] = ("right", "below")
    for way in ways:
        sheet = Sheet(grid, values, way, said)
        (labels_right if way == "right" else labels_below)(sheet)
        blocks = blocks_of(sheet)
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
    sheet = Sheet(grid, [row[:COLS] for row in grid.values.tolist()], "right")
    labels_right(sheet)
    properties = Properties()
    record = Record()
    seen: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for label in list(sheet.labels.values()):
        found = read_heading(label.text).meanings
        if found and found[0].score >= ACCEPT and found[0].field not in _OF_ONE and value_of(sheet, label):
            take_value(sheet, label, "", None, record, properties, seen)
    return properties.listed, record


_OF_ONE: Final = ("tag", "service", "serial", "instrument_type", "area", "remarks", "old_tag")
"""Fields that above a list are not said of its gauges."""


def _read(sheet: Sheet, blocks: list[Block]) -> Records:
    properties = Properties()
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


def _heads_of_offers(sheet: Sheet, top: int) -> int:
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


def _of_block(sheet: Sheet, block: Block, properties: Properties, heads: int = -1) -> list[Record]:
    """The gauge of a block; one record for each of its cases. `heads`: the row that names the offers."""
    record = Record()
    others: dict[str, dict[int, Place]] = {}
    seen: Counter[tuple[str, tuple[str, ...]]] = Counter()
    section = ""
    cases = offers_of(sheet, heads, _filled_in_row(sheet, heads), block) if heads >= 0 else []
    normal = ""
    points = _Points()
    for i in range(block.top, block.bottom):
        cells = _filled(sheet, i, block)
        if not cells:
            section = _title(sheet, i, _filled_in_row(sheet, i)) or section
            continue
        if points.takes(sheet, i, cells, properties, seen):
            continue
        found = cases_of(sheet, i, cells)
        if found:
            cases = found
            normal = next((one.text for one in cases if one.bound == "normal"), "")
            for j in cells:  # further labels may stand right of the names of the cases
                if j > cases[-1].col and (i, j) in sheet.labels:
                    take_value(sheet, sheet.labels[i, j], section, block, record, properties, seen)
            continue
        if _names_columns(sheet, i, cells):
            first = clean(str(sheet.values[i][cells[0]]))
            section = first if _names_part(first) else section
            cases = offers_of(sheet, i, cells, block)
            continue
        labels = [sheet.labels[i, j] for j in cells if (i, j) in sheet.labels]
        if (title := _title(sheet, i, cells)) is not None:
            section, cases = title, []
            continue
        for label in labels:
            if cases and sheet.way == "right" and in_cases(sheet, label, block, cases):
                take_cases(sheet, label, section, cases, record, others, properties, seen)
            else:
                take_value(sheet, label, section, block, record, properties, seen)
    if points.records and record.cells:
        return [
            Record(record.cells | one.cells, record.units | one.units, one.case) for one in points.records
        ]
    return with_cases(record, others, normal)


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
        sheet: Sheet,
        i: int,
        cells: list[int],
        properties: Properties,
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

    def _add(self, sheet: Sheet, i: int) -> None:
        value = sheet.values[i][self.first]
        shown = f"{value:g}" if isinstance(value, (int, float)) else str(value)
        name = f"point {shown} {self.heading}" if len(self.heading) < 3 else f"{self.heading} {shown}"
        cells = {number: place_of(sheet, i, j, sheet.values[i][j]) for j, (number, _) in self.columns.items()}
        self.records.append(Record(cells, {}, name))


@lru_cache(maxsize=8192)
def _of_point(text: str) -> str:
    """The field of a checked point that a heading names, or ""."""
    found = read_heading(" ".join(text.split())).meanings
    best = [one.field for one in found if one.score == found[0].score]
    return next((name for name in best if name in ("stated_level", "stated_current")), "")


def _names_columns(sheet: Sheet, i: int, cells: list[int]) -> bool:
    """Whether a row heads the columns of a check sheet ('No.', 'Check', 'Found', 'Unit')."""
    row = sheet.values[i]
    if len(cells) < 3 or not all(isinstance(row[j], str) for j in cells) or sheet.way == "below":
        return False
    return any(is_uom(row[j]) for j in cells) and not any(is_tag(row[j]) for j in cells)


@lru_cache(maxsize=8192)
def names_float(text: str) -> bool:
    """Whether a label certainly names something of a float."""
    found = read_heading(text, kind="floats").meanings
    return bool(found) and found[0].score >= ACCEPT and found[0].field in _FLOAT_NAMES


@lru_cache(maxsize=8192)
def _names_part(text: str) -> bool:
    """Whether a text names a part of a gauge, whose properties may follow."""
    return any(slots()[name] == "subject" for name in concepts_of(text))


def _filled(sheet: Sheet, i: int, block: Block) -> list[int]:
    row = sheet.values[i]
    return [j for j in range(block.left, block.right) if not is_blank(row[j])]


def _filled_in_row(sheet: Sheet, i: int) -> list[int]:
    return [j for j, value in enumerate(sheet.values[i]) if not is_blank(value)]


def _title(sheet: Sheet, i: int, cells: list[int]) -> str | None:
    """The text of a row with nothing else in it: what follows belongs to it; a note is none."""
    texts = [sheet.values[i][j] for j in cells if isinstance(sheet.values[i][j], str)]
    words = [text for text in texts if len(text) > 1 or not text.isalnum()]
    label = next((sheet.labels[i, j] for j in cells if (i, j) in sheet.labels), None)
    if label is not None and label.inline:
        return None
    if sheet.way == "below" or len(words) != 1 or len(texts) != len(cells):
        return None
    text = clean(words[0])
    if INLINE.match(" ".join(words[0].split())):
        return None
    if not text or is_tag(text) or len(text.split()) > _SENTENCE:
        return "" if len(text.split()) > _SENTENCE else None
    return text
