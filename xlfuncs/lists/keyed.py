"""Registers that keep their data in one cell: 'Fluid: gas oil; Density: 0.84', 'c-c 1000 mm, visible 900'."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any, Final

from xlfuncs.lists.rows import heads_revisions
from xlfuncs.lists.tags import is_tag
from xlfuncs.lists.upright import Place, Property, Record, Records, plain_number
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import find_unit
from xlfuncs.vocabulary.meaning import promises, read_heading
from xlfuncs.vocabulary.words import fold

_SAMPLED: Final = 300
_LARGE: Final = 20_000
_WIDEST: Final = 100
_KEYED: Final = 0.5
"""Share of the cells of a column that hold several values with their names."""
_COLON: Final = re.compile(r"^\s*((?:(?:4|20)\s*m[AА]\b|[^:=\d])[^:=]{0,60}?)\s*[:=]\s*(\S.*)$", re.DOTALL)
_NUMBER: Final = re.compile(r"^\s*([^\W\d][^\d]{0,40}?)\s+([+\-<>~≤≥]?\d.*)$", re.DOTALL)
_PIECES: Final = re.compile(r"[;\n|]|,\s+(?=\D)")
_LOOSE: Final = re.compile(r"[;\n|]")

Pair = tuple[str, str]


def records_of(grid: Grid) -> Iterator[Records]:
    """The sheet as a list with cells of several values."""
    if not 2 <= len(grid.rows) <= _LARGE:
        return
    sample = grid.values[:_SAMPLED, :_WIDEST]
    keyed = [j for j in range(sample.shape[1]) if _is_keyed(sample[:, j].tolist())]
    if not keyed:
        return
    first = next(i for i, row in enumerate(sample.tolist()) if any(_pairs(row[j]) for j in keyed))
    heading = _heading(sample.tolist(), first)
    if heading is not None:
        yield _taken_apart(grid, heading, keyed)


def _is_keyed(column: Sequence[Any]) -> bool:
    texts = [value for value in column if isinstance(value, str) and len(value) > 12]
    if not texts:
        return False
    named = [[name for name, _ in _pairs(text)] for text in texts]
    held = sum(bool(names) and sum(map(promises, names)) >= 0.5 * len(names) for names in named)
    return held >= max(1, _KEYED * sum(value not in ("", None) for value in column[1:]))


def _pairs(value: Any) -> Sequence[Pair]:
    """The names and values of a cell, two at least; none of one that holds a single value."""
    return _pairs_in(value) if isinstance(value, str) and len(value) <= 4000 else ()


@lru_cache(maxsize=4096)
def _pairs_in(value: str) -> Sequence[Pair]:
    colons = [found.groups() for piece in _LOOSE.split(value) if (found := _COLON.match(piece))]
    if len(colons) >= 2:
        return [pair for name, text in colons for pair in _within(name.strip(), text.strip())]
    numbers = [found.groups() for piece in _PIECES.split(value) if (found := _NUMBER.match(piece))]
    return [(name.strip(" :="), text.strip()) for name, text in numbers] if len(numbers) >= 2 else []


def _within(name: str, text: str) -> Sequence[Pair]:
    """A pair, or those that its value is made of: 'Signal: 4 mA = 0 mm, 20 mA = 1300 mm'."""
    inner = [found.groups() for piece in text.split(",") if (found := _END.match(piece))]
    return [(end, value) for end, value in inner] if len(inner) == 2 else [(name, text)]


_END: Final = re.compile(r"\s*((?:4|20)\s*mA)\s*=\s*(\S.*)")


def _own(value: Any) -> Any:
    """What stands in a cell before its named values."""
    if not isinstance(value, str) or not _pairs(value):
        return value
    first = _PIECES.split(value)[0]
    return "" if _COLON.match(first) or _NUMBER.match(first) else first.strip()


def _heading(rows: list[list[Any]], first: int) -> int | None:
    """The row of headings above the first row with data."""
    for i in range(first - 1, -1, -1):
        texts = [value for value in rows[i] if isinstance(value, str) and value.strip()]
        if len(texts) >= 2:
            return i
    return None


def _taken_apart(grid: Grid, heading: int, keyed: list[int]) -> Records:
    properties: list[Property] = []
    at: dict[int, int] = {}
    head = grid.values[heading].tolist()
    for j, value in enumerate(head):
        if isinstance(value, str) and value.strip():
            at[j] = len(properties)
            row, col = int(grid.rows[heading]), int(grid.cols[j])
            properties.append(Property(" ".join(value.split()), row, col))
    number: dict[tuple[int, str], int] = {}
    records: list[Record] = []
    for i in range(heading + 1, len(grid.rows)):
        row = grid.values[i].tolist()
        if records and heads_revisions(row):
            break
        tagged = any(isinstance(value, str) and is_tag(value.strip()) for value in row)
        if not tagged and not any(_pairs(row[j]) for j in keyed):
            continue
        line = int(grid.rows[i])
        goes_on = bool(records) and all(value in ("", None) or j in keyed for j, value in enumerate(row))
        record = records[-1] if goes_on else Record()
        for j, p in at.items() if not goes_on else ():
            record.cells[p] = Place(_own(row[j]) if j in keyed else row[j], line, int(grid.cols[j]))
        seen: Counter[tuple[int, str]] = Counter()
        for j in keyed:
            for name, text in _pairs(row[j]):
                key = j, fold(name)
                seen[key] += 1
                if seen[key] > 1:
                    continue
                if key not in number:
                    number[key] = len(properties)
                    group = " ".join(head[j].split()) if isinstance(head[j], str) else ""
                    plain = _with_quantities(name, text)
                    properties.append(
                        Property(
                            name, line, int(grid.cols[j]), (group,) if group else (), key=plain, sure=False
                        )
                    )
                record.cells.setdefault(number[key], Place(plain_number(text), line, int(grid.cols[j])))
        if not goes_on:
            records.append(record)
    return Records(grid, "a list with several named values in a cell", properties, records, grid.sheet)


_UNIT: Final = re.compile(r"\d\s*([^\d\s/@;,][^/@;,]*)")
_QUANTITIES: Final = {"pressure_gauge": "pressure", "temperature": "temperature", "density": "density"}


def _with_quantities(name: str, text: str) -> str:
    """'max' before '25 barg / 200 °C' is that of both; "" for a name that says so itself."""
    if read_heading(name).meanings and read_heading(name).meanings[0].score > 0.8:
        return ""
    named = []
    for unit in _UNIT.findall(text):
        for quantity, word in _QUANTITIES.items():
            if find_unit(unit.strip(), quantity):
                named.append(word)
    return f"{name} {' / '.join(dict.fromkeys(named))}" if len(set(named)) > 1 else ""
