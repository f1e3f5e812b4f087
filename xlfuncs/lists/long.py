"""Long lists: a row for each property of each gauge, in columns for tag, property, value and unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from xlfuncs.lists.bill import below_gauges
from xlfuncs.lists.form_cases import bound_of
from xlfuncs.lists.legend import Legend
from xlfuncs.lists.tags import is_tag
from xlfuncs.lists.upright import Place, Property, Record, Records, is_unit_text
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import promises
from xlfuncs.vocabulary.words import concepts_of

_LEAST: Final = 8
"""Rows from which a list can be one."""
_SAMPLED: Final = 400
_PROMISING: Final = 0.6
_TAGS: Final = 0.6
_UNITS: Final = 0.5
_AGAIN: Final = 0.5
"""Share of different texts in a column whose texts come again for each gauge."""
_WIDEST: Final = 40


def records_of(grid: Grid, known: Sequence[Legend] = ()) -> Iterator[Records]:
    """The sheet as a long list. `known`: legends that may explain the names of its properties."""
    if len(grid.rows) < _LEAST:
        return
    columns = [grid.values[:_SAMPLED, j].tolist() for j in range(min(len(grid.cols), _WIDEST))]
    keys = [j for j, column in enumerate(columns) if _holds_tags(column)]
    parts = below_gauges(grid.values.tolist()) if keys else frozenset()
    for legend in (None, *(one for one in known if one.sheet != grid.sheet)):
        naming = [j for j, c in enumerate(columns) if j not in keys and _names_properties(c, legend)]
        naming.sort(
            key=lambda j: -len(set(_texts(columns[j])))
        )  # kinds of instrument are fewer than properties
        for at in naming[:2]:
            for key in keys[:2]:
                values = _value_columns(columns, at, key)
                if values:
                    yield _pivoted(
                        grid,
                        parts,
                        _Columns(key, at, values, _units(columns, {at, key, *values}), _limits(columns, key)),
                        legend,
                    )


@dataclass(frozen=True, slots=True)
class _Columns:
    """Which column holds what, as indexes of the grid."""

    key: int
    name: int
    values: dict[int, str]
    """Column of values -> what its heading adds to the property ('Lower limit'), "" where there is one."""
    unit: int
    """-1 without one."""
    limits: tuple[int, int] = (-1, -1)
    """Of the lower and the upper limit of what is a range."""


def _units(columns: list[list[Any]], taken: set[int]) -> int:
    return next((j for j, column in enumerate(columns) if j not in taken and _are_units(column)), -1)


def _texts(column: list[Any]) -> list[str]:
    return [value.strip() for value in column if isinstance(value, str) and value.strip()]


def _names_properties(column: list[Any], legend: Legend | None) -> bool:
    texts = _texts(column)
    different = set(texts)
    if len(texts) < _LEAST or len(different) < 4 or len(texts) < _PROMISING * _filled(column):
        return False
    again = len(different) <= max(_AGAIN * len(texts), 1)
    told = sum(_told(text, legend) for text in different)
    return again and told >= _PROMISING * len(different)


def _told(text: str, legend: Legend | None) -> bool:
    """Whether a text names a property: of which the legend, where there is one, says what it is."""
    return promises(text) if legend is None else text.casefold() in legend.meanings


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


def _value_columns(columns: list[list[Any]], at: int, key: int) -> dict[int, str]:
    """The columns of values, right of the properties if there are any there."""
    bounds = _bounds(columns, at, key)
    if len(set(bounds.values())) > 1:
        return bounds
    found = _value_column(columns, at, key)
    return {} if found is None else {found: ""}


def _bounds(columns: list[list[Any]], at: int, key: int) -> dict[int, str]:
    """The columns for lowest, usual and highest values, by their headings above the first tag."""
    first = next((i for i, v in enumerate(columns[key]) if isinstance(v, str) and is_tag(v.strip())), 0)
    out = {}
    for j, column in enumerate(columns):
        above = next((v for v in reversed(column[:first]) if isinstance(v, str) and v.strip()), "")
        text = " ".join(above.split())
        if j not in (at, key) and text and bound_of(text):
            out[j] = text
    return out


def _limits(columns: list[list[Any]], key: int) -> tuple[int, int]:
    """The columns headed by 'lower limit' and 'upper limit'; -1 for one that there is not."""
    first = next((i for i, v in enumerate(columns[key]) if isinstance(v, str) and is_tag(v.strip())), 0)
    out = {"lower": -1, "upper": -1}
    for j, column in enumerate(columns):
        above = next((v for v in reversed(column[:first]) if isinstance(v, str) and v.strip()), "")
        said = concepts_of(above)
        for end in out:
            if {end, "limit"} <= said:
                out[end] = j
    return out["lower"], out["upper"]


def _value_column(columns: list[list[Any]], at: int, key: int) -> int | None:
    """The column of values: numbers and texts that differ, and do not count the rows."""
    best, found = 0.0, None
    first = next((i for i, v in enumerate(columns[key]) if isinstance(v, str) and is_tag(v.strip())), 0)
    for j, whole in enumerate(columns):
        column = whole[first:]
        if j in (at, key) or _are_units(column) or not _filled(column) or _counts(column):
            continue
        kinds = {type(value) for value in column if value not in ("", None)}
        different = len({str(value) for value in column}) / len(column)
        mixed = 1.0 if str in kinds and kinds & {int, float} else 0.3
        counted = 0.3 if kinds <= {int, float} else 1.0
        near = 1.2 if j > at else 1.0
        score = mixed * counted * near * (0.2 + different) * _filled(column) / len(column)
        if score > best:
            best, found = score, j
    return found


def _counts(column: list[Any]) -> bool:
    """Whether a column numbers its rows."""
    numbers = [value for value in column if isinstance(value, (int, float)) and not isinstance(value, bool)]
    steps = {later - earlier for earlier, later in pairwise(numbers)}
    return len(numbers) > _LEAST and len(numbers) == _filled(column) and len(steps) == 1 and min(steps) > 0


def _pivoted(grid: Grid, parts: frozenset[int], columns: _Columns, legend: Legend | None) -> Records:
    made = _Pivot(grid, columns, legend)
    tag = ""
    for i, row in enumerate(grid.values.tolist()):
        named = row[columns.key]
        if tag and i in parts:
            pass  # the number of a part
        elif isinstance(named, str) and is_tag(named.strip()):
            tag = named.strip()
        elif named not in ("", None):
            continue
        if tag:
            made.take(tag, int(grid.rows[i]), row)
    title = " ".join([grid.sheet, *(v for v in grid.values[0].tolist() if isinstance(v, str))])
    told = f", whose names {legend.sheet!r} explains" if legend else ""
    explained = "" if legend is None else legend.sheet
    shape, records = f"a row for each property{told}", list(made.records.values())
    return Records(grid, shape, made.properties, records, title, made.used, explained)


class _Pivot:
    """The properties and gauges of a long list, row by row."""

    def __init__(self, grid: Grid, columns: _Columns, legend: Legend | None) -> None:
        self.grid, self.columns, self.legend = grid, columns, legend
        self.properties: list[Property] = []
        self.records: dict[str, Record] = {}
        self.used: set[tuple[int, int]] = set()
        self._number: dict[tuple[str, str], int] = {}

    def take(self, tag: str, line: int, row: list[Any]) -> None:
        """One row: a property of a gauge."""
        columns, cols = self.columns, self.grid.cols
        text = row[columns.name]
        if not isinstance(text, str) or not text.strip():
            return
        text = " ".join(text.split())
        record = self.records.setdefault(tag, Record({0: Place(tag, line, int(cols[columns.key]))}))
        if not self.properties:
            self.properties.append(Property("Tag", max(line - 1, 1), int(cols[columns.key]), known="tag"))
        self.used.update((line, int(cols[k])) for k in (columns.key, columns.name))
        stated = row[columns.unit] if columns.unit >= 0 else ""
        filled = {k: v for k, v in columns.values.items() if row[k] not in ("", None)}
        low, high = (row[k] if k >= 0 else "" for k in columns.limits)
        if not filled and all(isinstance(v, (int, float)) for v in (low, high)):  # a range in two cells
            j = self._of(text, "", line)
            record.cells.setdefault(j, Place(f"{low:g} - {high:g}", line, int(cols[columns.limits[1]])))
            record.units.setdefault(j, stated.strip() if isinstance(stated, str) else "")
            return
        for k, bound in (filled or dict(list(columns.values.items())[:1])).items():
            j = self._of(text, bound, line)
            if j not in record.cells:
                record.cells[j] = Place(row[k], line, int(cols[k]))
                record.units[j] = stated.strip() if isinstance(stated, str) else ""

    def _of(self, text: str, bound: str, line: int) -> int:
        """The number of a property."""
        if (text, bound) not in self._number:
            meaning, unit = (
                ("", "") if self.legend is None else self.legend.meanings.get(text.casefold(), ("", ""))
            )
            shown = f"{text} = {meaning}" if meaning else text
            self._number[text, bound] = len(self.properties)
            self.properties.append(
                Property(
                    shown, line, int(self.grid.cols[self.columns.name]), (bound,) if bound else (),
                    unit if is_unit_text(unit) else "", meaning,
                )
            )  # fmt: skip
        return self._number[text, bound]
