"""Finds in a workbook what was written down about a gauge that reads wrong: its data and the readings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import load_grid
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit
from xlfuncs.worksheet.answers import HEADINGS, is_heading
from xlfuncs.worksheet.data_sheet import pairs, under_headings
from xlfuncs.worksheet.float_table import squash
from xlfuncs.worksheet.observed import find_field, reading_fields
from xlfuncs.worksheet.reading_heads import is_aside, is_bare_level

READ = frozenset({"level", "indicated", "current"})
"""Headings of which two show that a row holds the headings of readings."""
_TITLES = 8
"""First rows of a sheet, in which its gauge's tag stands."""
_LEFT, _TITLED = (
    "as left",
    frozenset({"as left", "as found", "expected readings", "switches", "signature", "question"}),
)
_SWITCHES = ("LSHH", "LSH", "LSL", "LSLL")
_DATA_TITLE, _SECTION = re.compile(r"(\d+ +Data|Data of the gauge)$"), re.compile(r"\d+ +[A-Z]")
_NOMINAL = ("as found", "as left", "low ma", "high ma")
_NAMED = 8
"""Places in a message."""
_SPREAD = 3
"""So many fields of a gauge show that a row holds their headings, or a sheet their labels."""


@dataclass(frozen=True, slots=True)
class Range:
    """Rows of cells with the place of each."""

    sheet: str
    rows: list[list[Any]]
    places: list[str]
    letters: tuple[str, ...] = ()
    """Of the columns."""
    cells: Sequence[Sequence[str]] = ()
    """The place of each cell."""


@dataclass(frozen=True, slots=True)
class FieldNotes:
    """The cells that hold the gauge's data (None: in no sheet) and the readings."""

    gauge: Range | None
    readings: Range
    answers: Range | None = None


def read_field_notes(path: Path, sheet: str | None = None, tag: str | None = None) -> FieldNotes:
    """The two ranges; XlfuncsError where the readings are not found, or more than once.

    `sheet`: the one that holds the readings, where several do. `tag`: the gauge of a pack whose sheets are
    looked at.
    """
    grids = load_grid(Path(path))
    names = [grid.sheet for grid in grids]
    if sheet is not None and sheet not in names:
        raise XlfuncsError(f"{path}: there is no sheet '{sheet}'; its sheets are {', '.join(names)}")
    if tag is not None:
        grids = of_tag(path, grids, tag)
    found = [(grid, at) for grid in grids if sheet in (None, grid.sheet) for at in _heading_rows(grid)]
    if len(found) > 1:
        found = [place for place in found if _read(*place)] or found
    if not found:
        raise XlfuncsError(
            f"{path}: no readings found; looked for a row of headings such as 'True level (mm)', 'Indicated"
            f" (mm)', 'Current (mA)', two of them or more{_nearest(grids)}"
        )
    if len(found) > 1:
        places = " and ".join(f"{grid.sheet} row {grid.rows[at]}" for grid, at in found[:_NAMED])
        places += f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
        raise XlfuncsError(
            f"{path}: readings stand at {places}; name the sheet with --sheet, or a pack's gauge with --tag"
        )
    grid, start = found[0]
    end = _end(grid, start)
    if len(_written(grid, start, end).rows) < 2:
        raise XlfuncsError(
            f"{path}: nothing is written below the headings of {grid.sheet} row {grid.rows[start]}; fill in"
            " the levels read"
        )
    here = [r] if (r := _gauge(grid, range(start, end))) is not None else []
    gauges = here or [r for g in grids if g is not grid and (r := _gauge(g, range(0))) is not None]
    if len(gauges) > 1:
        raise XlfuncsError(
            f"{path}: data of a gauge stand at {gauges[0].places[0]} and"
            f" {gauges[1].places[0]}; keep those of one gauge in a workbook, or name it with --tag"
        )
    return FieldNotes(
        gauges[0] if gauges else None,
        _written(grid, start, end),
        _answers([g for g in grids if g is grid or not any(True for _ in _heading_rows(g))], grid),
    )


def of_tag(path: Path, grids: Sequence[Grid], tag: str) -> list[Grid]:
    """The sheets that are of a gauge: its tag stands in one of their first rows."""
    wanted = tag.strip().casefold()
    own = [
        grid
        for grid in grids
        if any(
            str(cell).strip().casefold() == wanted for row in grid.values[:_TITLES].tolist() for cell in row
        )
        and any(True for _ in _heading_rows(grid))
    ]
    if not own:
        raise XlfuncsError(
            f"{path}: no sheet with readings of {tag}; --tag names a gauge of a pack, or with --index one of"
            " the index: --index and --tag then go together"
        )
    return own


def filled_tags(path: Path) -> list[str]:
    """Tags of a pack whose sheets hold readings as found, in the order of the sheets.

    Empty where a sheet with readings states no tag, or two the same: then it is no pack.
    """
    found = []
    for grid in load_grid(Path(path)):
        if any(_read(grid, at) for at in _heading_rows(grid)):
            found.append(_tag(grid))
    return found if all(found) and len(set(found)) == len(found) else []


def _tag(grid: Grid) -> str:
    """What stands beside the label 'Tag' on top of a sheet, "" for none."""
    for row in grid.values[:_TITLES].tolist():
        for at, cell in enumerate(row):
            if isinstance(cell, str) and squash(cell) == "tag":
                return next((str(c).strip() for c in row[at + 1 : at + 4] if c != ""), "")
    return ""


def as_left(path: Path, tag: str | None, sheet: str | None = None) -> Range | None:
    """Readings after the work, below a row that says so; None where there are none.

    On the sheets of a gauge of a pack (`tag`), on one sheet, else on any.
    """
    grids = load_grid(Path(path))
    for grid in grids if tag is None else of_tag(path, grids, tag):
        if sheet not in (None, grid.sheet):
            continue
        for at in _heading_rows(grid, left=True):
            if _read(grid, at):
                return _written(grid, at, _end(grid, at))
    return None


def labelled(path: Path, tag: str) -> dict[str, Any]:
    """What stands right of a label on a gauge's sheets: label in small letters -> the next filled cell."""
    made: dict[str, Any] = {}
    for grid in of_tag(path, load_grid(Path(path)), tag):
        for row in grid.values.tolist():
            for at, cell in enumerate(row):
                if isinstance(cell, str) and cell.strip():
                    after = next((c for c in row[at + 1 : at + 4] if c != ""), None)
                    made.setdefault(" ".join(cell.casefold().split()), after)
            made |= _switch_points(row)
    return made


def _switch_points(row: Sequence[Any]) -> dict[str, Any]:
    """`LSH found` and `LSH left` of a row of the switches: where it acted."""
    name = str(row[0]).split(",")[0]
    if name not in _SWITCHES or len(row) < 6:
        return {}
    return {f"{name} found": row[3], f"{name} left": row[5]}


def _answers(grids: Sequence[Grid], beside: Grid) -> Range | None:
    """Questions with their answers: on the sheet of the readings, else on any."""
    for grid in (beside, *(g for g in grids if g is not beside)):
        for at, row in enumerate(grid.values.tolist()):
            if all(any(is_heading(cell, which) for cell in row) for which in HEADINGS):
                return _range(grid, range(at, _end(grid, at)))
    return None


def _heading_rows(grid: Grid, left: bool = False) -> Iterator[int]:
    """Rows of headings of readings; of those as found, or (`left`) of those after the work."""
    after = False
    for at, row in enumerate(grid.values.tolist()):
        title = next((squash(cell) for cell in row if isinstance(cell, str) and cell.strip()), "")
        if title in _TITLED:
            after = title == _LEFT
        if _heads(row):
            # a table of nominal values beside which something is written is none of readings
            nominal = any(squash(str(cell)).startswith(_NOMINAL) for cell in row if cell != "")
            if not nominal and after == left:
                yield at


def _heads(row: Sequence[Any]) -> bool:
    """A row that names two or more of what is compared; a bare 'Level' may be one of them."""
    found = {find_field("readings", cell) for cell in row}
    if (READ - {"level"}) & found and any(isinstance(cell, str) and is_bare_level(cell) for cell in row):
        found.add("level")
    return len(READ & found) > 1


def _nearest(grids: Sequence[Grid]) -> str:
    """Of a row above numbers in which one heading of readings was understood: which ones were not."""
    for grid in grids:
        for row, below in pairwise(enumerate(grid.values.tolist())):
            named = [(i, " ".join(cell.split())) for i, cell in enumerate(row[1]) if isinstance(cell, str)]
            known = [i for i, text in named if find_field("readings", text) in READ]
            if len(known) != 1 or not isinstance(below[1][known[0]], (int, float)):
                continue
            others = [
                f"column {column_letter(int(grid.cols[i]))} '{text}'"
                for i, text in named
                if text and i not in known and not is_aside(text)
            ]
            if others:
                where = f"{grid.sheet} row {grid.rows[row[0]]}"
                return f"; {where} has '{row[1][known[0]]}', and not understood: {', '.join(others)}"
    return ""


def _read(grid: Grid, start: int) -> bool:
    """Something was written down below these headings."""
    columns = [i for i, field in enumerate(_fields(grid, start)) if field in READ]
    return any(
        sum(grid.values[at][i] != "" for i in columns) > 1 for at in range(start + 1, _end(grid, start))
    )


def _written(grid: Grid, start: int, end: int) -> Range:
    """Headings, and the rows below them with more than a direction, which a form brings along."""
    columns = [i for i, field in enumerate(_fields(grid, start)) if field not in (None, "direction")]
    rows = [at for at in range(start + 1, end) if any(grid.values[at][i] != "" for i in columns)]
    return _range(grid, [start, *rows])


def _fields(grid: Grid, start: int) -> list[str | None]:
    """The field of each column of a block of readings."""
    return reading_fields([grid.values[at].tolist() for at in range(start, _end(grid, start))])


def _end(grid: Grid, start: int) -> int:
    """Index behind the last row of a block: a blank row ends it, or the title of another."""
    rows = grid.rows.tolist()
    for at in range(start + 1, len(rows)):
        cells = grid.values[at].tolist()
        title = next((squash(cell) for cell in cells if isinstance(cell, str) and cell), "")
        if rows[at] != rows[at - 1] + 1 or all(cell == "" for cell in cells) or title in _TITLED:
            return at
    return len(rows)


def _range(grid: Grid, rows: Sequence[int]) -> Range:
    places = [f"{grid.sheet} row {grid.rows[at]}" for at in rows]
    letters = tuple(column_letter(int(col)) for col in grid.cols)
    cells = [[f"{grid.sheet} {letter}{grid.rows[at]}" for letter in letters] for at in rows]
    return Range(grid.sheet, [grid.values[at].tolist() for at in rows], places, letters, cells)


def _gauge(grid: Grid, without: range) -> Range | None:
    """The rows of a sheet that hold the gauge's data."""
    titled, where = _where_data_stand(grid)
    if titled:
        return _side_by_side(grid, where)
    named: list[int] = []
    stated = 0
    everything = grid.values.tolist()
    for at in where:
        if at in without:
            continue
        if under_headings(everything, at, _SPREAD):
            return _range(grid, range(at, _end(grid, at)))
        found = sum(pair.value is not None for pair in pairs(everything[at]))
        stated += found
        named += [at] if found else []
    return _range(grid, named) if stated >= _SPREAD else None


def _side_by_side(grid: Grid, where: range) -> Range:
    """Labels with values and units, perhaps two in a row, as our own sheets have them."""
    own: dict[str, Range] = {}
    for at in where:
        whole = _range(grid, [at])
        (row,), (cells,) = whole.rows, whole.cells
        names = [None if is_unit(str(cell)) else find_field("gauge", cell) for cell in row]
        labels = [i for i, name in enumerate(names) if name]
        for i, after in zip(labels, [*labels, len(row)][1:], strict=True):
            one = Range(grid.sheet, [row[i:after]], whole.places, cells=[cells[i:after]])
            own.setdefault(str(names[i]), one)
    parts = own.values()
    return Range(
        grid.sheet,
        [r.rows[0] for r in parts],
        [r.places[0] for r in parts],
        cells=[r.cells[0] for r in parts],
    )


def _where_data_stand(grid: Grid) -> tuple[bool, range]:
    """(a title says so, indexes of the rows below it to the next numbered section; else of all)."""
    cells = grid.values.tolist()
    first = [next((str(cell) for cell in row if cell != ""), "") for row in cells]
    titles = [at for at, text in enumerate(first) if _DATA_TITLE.match(text)]
    if not titles:
        return False, range(len(cells))
    ends = (
        at
        for at in range(titles[0] + 1, len(first))
        if _SECTION.match(first[at]) or squash(first[at]) in _TITLED
    )
    return True, range(titles[0] + 1, next(ends, len(first)))
