"""Long lists: a row for each property of each gauge, in columns for tag, property, value and unit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from xlfuncs.lists.tags import is_tag
from xlfuncs.lists.upright import Place, Property, Record, Records, is_unit_text
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import promises

_LEAST: Final = 8
"""Rows from which a list can be one."""
_SAMPLED: Final = 400
_PROMISING: Final = 0.6
_TAGS: Final = 0.6
_UNITS: Final = 0.5
_AGAIN: Final = 0.5
"""Share of different texts in a column whose texts come again for each gauge."""
_WIDEST: Final = 40


def records_of(grid: Grid) -> Iterator[Records]:
    """The sheet as a long list."""
    if len(grid.rows) < _LEAST:
        return
    columns = [grid.values[:_SAMPLED, j].tolist() for j in range(min(len(grid.cols), _WIDEST))]
    keys = [j for j, column in enumerate(columns) if _holds_tags(column)]
    naming = [j for j, column in enumerate(columns) if j not in keys and _names_properties(column)]
    naming.sort(key=lambda j: -len(set(_texts(columns[j]))))  # kinds of instrument are fewer than properties
    for at in naming[:2]:
        for key in keys[:2]:
            values = _value_column(columns, at, key)
            if values is not None:
                units = next(
                    (j for j, c in enumerate(columns) if j not in (at, key, values) and _are_units(c)), -1
                )
                yield _pivoted(grid, key, at, values, units)


def _texts(column: list[Any]) -> list[str]:
    return [value.strip() for value in column if isinstance(value, str) and value.strip()]


def _names_properties(column: list[Any]) -> bool:
    texts = _texts(column)
    different = set(texts)
    if len(texts) < _LEAST or len(different) < 4 or len(texts) < _PROMISING * _filled(column):
        return False
    again = len(different) <= max(_AGAIN * len(texts), 1)
    return again and sum(map(promises, different)) >= _PROMISING * len(different)


def _holds_tags(column: list[Any]) -> bool:
    texts = _texts(column)
    tags = [text for text in texts if is_tag(text)]
    return len(tags) >= 2 and len(tags) >= _TAGS * len(texts)


def _are_units(column: list[Any]) -> bool:
    texts = _texts(column)
    units = sum(map(is_unit_text, texts))
    return units >= 3 and units >= _UNITS * len(texts)


def _filled(column: list[Any]) -> int:
    return sum(value not in ("", None) for value in column)


def _value_column(columns: list[list[Any]], at: int, key: int) -> int | None:
    """The column of values: numbers and texts that differ, right of the properties if there is one."""
    best, found = 0.0, None
    for j, column in enumerate(columns):
        if j in (at, key) or _are_units(column) or not _filled(column):
            continue
        kinds = {type(value) for value in column[1:] if value not in ("", None)}
        different = len({str(value) for value in column}) / len(column)
        mixed = 1.0 if str in kinds and kinds & {int, float} else 0.3
        counted = 0.3 if kinds <= {int, float} else 1.0
        near = 1.2 if j > at else 1.0
        score = mixed * counted * near * (0.2 + different) * _filled(column) / len(column)
        if score > best:
            best, found = score, j
    return found


def _pivoted(grid: Grid, key: int, at: int, value: int, unit: int) -> Records:
    properties: list[Property] = []
    number: dict[str, int] = {}
    records: dict[str, Record] = {}
    used: set[tuple[int, int]] = set()
    tag = ""
    for i, row in enumerate(grid.values.tolist()):
        named, text = row[key], row[at]
        if isinstance(named, str) and is_tag(named.strip()):
            tag = named.strip()
        elif named not in ("", None):
            continue
        if not tag or not isinstance(text, str) or not text.strip():
            continue
        line, text = int(grid.rows[i]), " ".join(text.split())
        record = records.setdefault(tag, Record({0: Place(tag, line, int(grid.cols[key]))}))
        if not properties:
            properties.append(Property("Tag", max(line - 1, 1), int(grid.cols[key]), known="tag"))
        if text not in number:
            number[text] = len(properties)
            properties.append(Property(text, line, int(grid.cols[at])))
        j = number[text]
        used.update((line, int(grid.cols[k])) for k in (key, at))
        if j not in record.cells:
            record.cells[j] = Place(row[value], line, int(grid.cols[value]))
            stated = row[unit] if unit >= 0 else ""
            record.units[j] = stated.strip() if isinstance(stated, str) else ""
    title = " ".join([grid.sheet, *(v for v in grid.values[0].tolist() if isinstance(v, str))])
    return Records(grid, "a row for each property", properties, list(records.values()), title, used)
