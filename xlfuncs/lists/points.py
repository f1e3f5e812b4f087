"""Exports of a control system: a row for each point, in columns named as the system names its parameters."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any, Final

from xlfuncs.data import load
from xlfuncs.lists.tags import is_gauge_tag, is_loop_part, is_tag, letters_of
from xlfuncs.lists.upright import Place, Property, Record, Records
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.words import concepts_of

_SEARCHED: Final = 30
_LARGE: Final = 20_000
_LEAST: Final = 3
"""Parameters of a point by which an export is known, its tag among them."""
_SIGNS: Final = re.compile(r"[^a-z0-9]+")


@cache
def _fields() -> dict[str, str]:
    listed = load("point_words")["parameters"]
    return {_plain(name): field for field, names in listed.items() for name in names}


def _plain(text: str) -> str:
    return _SIGNS.sub("", text.casefold())


def records_of(grid: Grid) -> Iterator[Records]:
    """The sheet as an export of points."""
    if len(grid.rows) > _LARGE:
        return
    for i, row in enumerate(grid.values[:_SEARCHED].tolist()):
        found = {j: _fields().get(_plain(value)) for j, value in enumerate(row) if isinstance(value, str)}
        known = {j: _of_range(grid, i, j, name) for j, name in found.items() if name}
        known = _one_tag(grid, i, known)
        names = list(known.values())
        if "tag" in names and len(set(names)) == len(names) > _LEAST and {"lrv", "urv"} <= set(names):
            yield _points(grid, i, known)
            return


_NO_GAUGES: Final = 0.5
"""Worth, by that of a list without tags of gauges, from which an export of points is taken for one."""
_ENDS: Final = {"switch_lsl": "lrv", "switch_lsh": "urv"}


def _of_range(grid: Grid, heading: int, j: int, name: str) -> str:
    """The end of the range that 'LO' or 'HI' is below a heading that names the range, and no alarm."""
    if name not in _ENDS or heading == 0:
        return name
    above = [value for value in grid.values[heading - 1, : j + 1].tolist() if value != ""]
    said = concepts_of(str(above[-1])) if above else set()
    return _ENDS[name] if "range" in said else name


def _one_tag(grid: Grid, heading: int, known: dict[int, str]) -> dict[int, str]:
    """Of the names of a point and of its device in the field, those that are tags of transmitters count."""
    named = [j for j, name in known.items() if name == "tag"]

    def of_loops(j: int) -> int:
        texts = [v for v in grid.values[heading + 1 :, j].tolist() if isinstance(v, str)]
        return sum(is_tag(text.strip()) and is_loop_part(letters_of(text)) for text in texts)

    best = max(named, key=of_loops, default=-1)
    return {j: name for j, name in known.items() if name != "tag" or j == best}


def _points(grid: Grid, heading: int, known: dict[int, str]) -> Records:
    columns = {name: j for j, name in known.items() if name != "unit"}
    unit = next((j for j, name in known.items() if name == "unit"), -1)
    line = int(grid.rows[heading])
    properties = [
        Property(str(grid.values[heading, j]).strip(), line, int(grid.cols[j]), known=name)
        for name, j in columns.items()
    ]
    records = []
    for i in range(heading + 1, len(grid.rows)):
        row: list[Any] = grid.values[i].tolist()
        tag = row[columns["tag"]]
        if not (isinstance(tag, str) and is_tag(tag.strip())):
            continue
        number = int(grid.rows[i])
        cells = {p: Place(row[j], number, int(grid.cols[j])) for p, j in enumerate(columns.values())}
        stated = str(row[unit]).strip() if unit >= 0 else ""
        records.append(Record(cells, dict.fromkeys(cells, _unit(stated))))
    texts = [value for value in grid.values.ravel().tolist() if isinstance(value, str)]
    tagged = any(map(is_gauge_tag, texts))
    least = 1.0 if tagged else _NO_GAUGES
    return Records(
        grid, "an export of points of a control system", properties, records, grid.sheet, least=least
    )


def _unit(text: str) -> str:
    """A unit as such systems write it, in capitals."""
    return text.lower() if text.isupper() and text.isalpha() else text
