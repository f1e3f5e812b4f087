"""What stands in the sheets of an annotated copy: the findings that somebody has accepted there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from xlfuncs.audit.acceptance import read_acceptances
from xlfuncs.audit.model import Accepted
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import own
from xlfuncs.lists.reader import load_grid
from xlfuncs.spreadsheet.grid import Grid

_EPOCH: Final = date(1899, 12, 30)
"""Day 0 of a spreadsheet's dates from 1900."""


def accepted_in(path: Path, names: Sequence[str], today: date | None = None) -> list[Accepted]:
    """The acceptances in the report's sheets of a workbook; XlfuncsError names the cell that lacks something.

    `names`: the sheets that a report has added. A finding that is accepted anew counts before an older word.
    """
    if not names:
        return []
    grids = [grid for grid in load_grid(path) if grid.sheet in names]
    day = today or date.today()
    fresh = [one for grid in grids for one in _of_findings(grid, path, day)]
    known = {(one.tag, one.rule, one.cell) for one in fresh}
    old = [one for grid in grids for one in _of_accepted(grid, path)]
    return [*fresh, *(one for one in old if (one.tag, one.rule, one.cell) not in known)]


def _rows(grid: Grid) -> Iterator[tuple[int, dict[str, Any], dict[str, int]]]:
    """(row, heading -> value, heading -> column) of a table whose headings stand in its first row."""
    columns = {str(v).strip(): int(c) for v, c in zip(grid.values[0].tolist(), grid.cols, strict=True) if v}
    for row in grid.rows[1:]:
        yield int(row), {head: grid.value(int(row), col) for head, col in columns.items()}, columns


def _of_findings(grid: Grid, path: Path, day: date) -> Iterator[Accepted]:
    if not own.is_a(grid, "Findings"):
        return
    for row, cells, columns in _rows(grid):
        who, why, until = (cells.get(head) for head in own.ACCEPTED)
        if all(_blank(value) for value in (who, why, until)):
            continue
        place = f"{path}: {grid.sheet}!"
        for head, value in zip(own.ACCEPTED, (who, why, until), strict=True):
            if _blank(value):
                at = f"{_letters(columns[head])}{row}"
                raise XlfuncsError(
                    f"{place}{at}: '{head}' is blank; an accepted finding needs a name, a reason and a date"
                )
        at = f"{place}{_letters(columns[own.ACCEPTED[2]])}{row}"
        entry = {"rule": _text(cells.get("Rule")), "who": _text(who), "why": _text(why), "when": day}
        yield from read_acceptances(
            [entry | _which(cells) | {"until": _date(until, at)}], f"{path}: {grid.sheet} row {row}"
        )


def _of_accepted(grid: Grid, path: Path) -> Iterator[Accepted]:
    if not own.is_a(grid, "Accepted"):
        return
    seen: set[tuple[str, ...]] = set()
    for row, cells, columns in _rows(grid):
        if _blank(cells.get("Who")) or "Until" not in columns:
            continue
        place = f"{path}: {grid.sheet}!"
        entry: dict[str, Any] = {
            name: text
            for name in ("tag", "rule", "service", "place", "who", "why")
            if (text := _text(cells.get(name.capitalize())))
        }
        if "place" in entry:
            entry["cell"] = entry.pop("place")
        for head in ("When", "Until"):
            entry[head.casefold()] = _date(cells.get(head), f"{place}{_letters(columns[head])}{row}")
        key = tuple(f"{name}={value}" for name, value in sorted(entry.items()))
        if key not in seen:
            seen.add(key)
            yield from read_acceptances([entry], f"{path}: {grid.sheet} row {row}")


def _which(cells: dict[str, Any]) -> dict[str, str]:
    """The gauge of a finding by its tag, or without one its cell."""
    tag = _text(cells.get("Tag"))
    return {"tag": tag} if tag else _cell(cells)


def _cell(cells: dict[str, Any]) -> dict[str, str]:
    return {"cell": _text(cells.get("Cell"))}


def _blank(value: Any) -> bool:
    return value is None or not str(value).strip()


def _text(value: Any) -> str:
    return "" if value is None else " ".join(str(value).split())


def _letters(column: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(column))


def _date(value: Any, place: str) -> date:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, int | float) and 1 <= value < 200_000:
        return _EPOCH + timedelta(days=int(value))
    try:
        return date.fromisoformat(_text(value)[:10])
    except ValueError:
        raise XlfuncsError(
            f"{place}: '{_text(value)}' is no date that can be read in one way only; write 2027-03-01"
        ) from None
