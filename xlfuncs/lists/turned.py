"""Lists that do not stand upright: headings below their rows, gauges in columns, headings right of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

from xlfuncs.lists.form_labels import names_tag
from xlfuncs.lists.forms import names_float
from xlfuncs.lists.tags import is_gauge_tag, is_tag
from xlfuncs.lists.upright import Place, Property, Record, Records, is_blank, is_unit_text
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import promises
from xlfuncs.vocabulary.words import fold

LINES: Final = 500
"""Rows, or columns, among which headings and gauges are looked for."""
_TRIED: Final = 3
_OF_FLOATS: Final = 3
"""Headings that name something of floats, in a list of them."""
_PROMISING: Final = 0.6
"""Share of the texts of a line that are like headings."""
_UNITS: Final = 0.5
_FILLED: Final = 0.3
"""Share of the cells of the fullest line that another one fills, if it is a gauge."""


@dataclass(frozen=True, slots=True)
class _Lines:
    """The rows or the columns of a sheet, or of a band of its rows."""

    values: list[list[Any]]
    turned: bool
    top: int = 0
    """Index of the first row of the band."""

    def place(self, grid: Grid, line: int, at: int) -> tuple[int, int]:
        """Spreadsheet row and column of a cell."""
        i, j = (self.top + at, line) if self.turned else (line, at)
        return int(grid.rows[i]), int(grid.cols[j])


def records_of(grid: Grid) -> Iterator[Records]:
    """The sheet as rows above their headings, and as columns beside them."""
    values = grid.values[:LINES, :LINES].tolist()
    if len(grid.rows) <= LINES:
        yield from _on_a_side(grid, _Lines(values, False), -1, "a list with its headings below")
    columns = _Lines([list(column) for column in zip(*values, strict=True)], True)
    if len(grid.cols) <= LINES:
        yield from _on_a_side(grid, columns, -1, "gauges in columns, headings right of them")
        yield from _on_a_side(grid, columns, 1, "gauges in columns")
        yield from _in_bands(grid, values)


def _in_bands(grid: Grid, values: list[list[Any]]) -> Iterator[Records]:
    """Gauges in columns, further ones below them with labels of their own, in an order of their own."""
    starts = [i for i, row in enumerate(values) if _begins_band(row)]
    if len(starts) < 2:
        return
    found = []
    for start, end in pairwise([*starts, len(values)]):
        lines = _Lines([list(column) for column in zip(*values[start:end], strict=True)], True, start)
        band = next(_on_a_side(grid, lines, 1, "gauges in columns, in bands"), None)
        if band is not None:
            found.append(band)
    if len(found) > 1:
        yield _as_one(found)


def _begins_band(row: list[Any]) -> bool:
    """Whether a row names tags and has those of gauges beside it."""
    filled = [value for value in row if not is_blank(value)]
    first = filled[0] if filled else None
    return (
        isinstance(first, str)
        and names_tag(" ".join(first.split()))
        and _holds_tag(filled, [*range(1, len(filled))])
    )


def _as_one(bands: list[Records]) -> Records:
    """The gauges of all bands: the same label in the same section is the same property."""
    properties: dict[tuple[str, str, tuple[str, ...], int], tuple[int, Property]] = {}
    records = []
    used: set[tuple[int, int]] = set()
    for band in bands:
        numbers: list[int] = []
        seen: Counter[tuple[str, str, tuple[str, ...]]] = Counter()
        for one in band.properties:
            said = one.known, fold(one.text), one.above
            seen[said] += 1
            number, _ = properties.setdefault((*said, seen[said]), (len(properties), replace(one, unit="")))
            numbers.append(number)
        for record in band.records:
            units = {numbers[j]: one.unit for j, one in enumerate(band.properties) if one.unit}
            records.append(Record({numbers[j]: place for j, place in record.cells.items()}, units))
        used |= band.used
    first = bands[0]
    return Records(
        first.grid, first.shape, [one for _, one in properties.values()], records, first.title, used
    )


def _on_a_side(grid: Grid, lines: _Lines, side: int, shape: str) -> Iterator[Records]:
    """The lines before (-1) or after (1) each line that may be one of headings."""
    for at in _headings(lines.values):
        records = _records(grid, lines, at, side, shape)
        if records is not None:
            yield records


def _headings(values: list[list[Any]]) -> list[int]:
    """The lines that are likest to be headings."""
    out = []
    for at, line in enumerate(values):
        texts = [value for value in line if isinstance(value, str) and value.strip()]
        hits = {value.casefold() for value in texts if promises(" ".join(value.split()))}
        if len(hits) >= 4 and len(hits) >= _PROMISING * len(texts):
            out.append((len(hits), at))
    return [at for _, at in sorted(out, key=lambda one: (-one[0], one[1]))[:_TRIED]]


def _records(grid: Grid, lines: _Lines, at: int, side: int, shape: str) -> Records | None:
    values = lines.values
    named = [k for k, value in enumerate(values[at]) if isinstance(value, str) and value.strip()]
    units = next((line for line in (at + 1, at - 1) if _are_units(values, line, named)), -1)
    others = range(at) if side < 0 else range(at + 1, len(values))
    filled = {line: sum(not is_blank(values[line][k]) for k in named) for line in others if line != units}
    most = max(filled.values(), default=0)
    chosen = [line for line, count in filled.items() if count >= max(2, _FILLED * most)]
    headings = [fold(values[at][k]) for k in named]
    chosen = [
        line
        for line in chosen
        if sum(fold(str(values[line][k])) == text for k, text in zip(named, headings, strict=True)) < 2
    ]
    tagged_lines = any(_holds_tag(values[line], named) for line in chosen) or _are_tagged(
        [values[line] for line in chosen], named, values[at]
    )
    of_floats = sum(names_float(" ".join(values[at][k].split())) for k in named) >= _OF_FLOATS
    if not of_floats and not tagged_lines:
        return None
    tagged = _unnamed_tags([values[line] for line in chosen], named, values[at])
    properties = []
    section: tuple[str, ...] = ()
    titles = _titles(values, at, side, named) if lines.turned else {}
    for k in named:
        section = next(((titles[i],) for i in range(k, -1, -1) if i in titles), section)
        row, col = lines.place(grid, at, k)
        if lines.turned and all(is_blank(values[line][k]) for line in (*chosen, *((units,) * (units >= 0)))):
            section = (" ".join(values[at][k].split()),)
        unit = values[units][k] if units >= 0 else ""
        known = "tag" if k == tagged else ""
        text = " ".join(values[at][k].split())
        unit = unit if is_unit_text(unit) else ""
        properties.append(Property(text, row, col, section, unit, sure=False, known=known))
    records = []
    for line in chosen:
        record = Record()
        for j, k in enumerate(named):
            record.cells[j] = Place(values[line][k], *lines.place(grid, line, k))
        records.append(record)
    used = {lines.place(grid, units, k) for k in named} if units >= 0 else set()
    out = Records(grid, shape, properties, records, grid.sheet, used)
    if not tagged_lines:
        out.kinds = ("floats",)
    return out


def _titles(values: list[list[Any]], at: int, side: int, named: list[int]) -> dict[int, str]:
    """Where a text stands alone beside the column of headings, outside that of the values: the title of what
    follows."""
    outside = range(at) if side > 0 else range(at + 1, len(values))
    out = {}
    for k in range(len(values[at])):
        texts = [line[k] for line in values if not is_blank(line[k])]
        alone = len(texts) == 1 and isinstance(texts[0], str) and k not in named
        if alone and any(values[line][k] == texts[0] for line in outside):
            out[k] = " ".join(texts[0].split())
    return out


def _are_units(values: list[list[Any]], line: int, named: list[int]) -> bool:
    if not 0 <= line < len(values):
        return False
    filled = [values[line][k] for k in named if not is_blank(values[line][k])]
    units = sum(map(is_unit_text, filled))
    return units >= 2 and units >= _UNITS * len(filled)


def _unnamed_tags(records: list[list[Any]], named: list[int], headings: list[Any]) -> int:
    """Where the gauges' tags stand, if no heading says so; -1 if one does, or there are none."""
    if any(names_tag(" ".join(headings[k].split())) for k in named):
        return -1
    return next((k for k in named if all(_holds_tag(line, [k]) for line in records)), -1)


def _are_tagged(records: list[list[Any]], named: list[int], headings: list[Any]) -> bool:
    """Whether a heading names tags, and most of its records have one, of whatever code."""
    at = next((k for k in named if names_tag(" ".join(headings[k].split()))), -1)
    texts = [line[at].strip() for line in records if isinstance(line[at], str)] if at >= 0 else []
    return len(texts) >= 2 and 2 * sum(map(is_tag, texts)) > len(records)


def _holds_tag(line: list[Any], named: list[int]) -> bool:
    return any(isinstance(line[k], str) and is_gauge_tag(line[k].strip()) for k in named)
