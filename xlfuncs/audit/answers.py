"""What stands in the sheets of an annotated copy: the findings that somebody has accepted there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final

from xlfuncs.audit.acceptance import read_acceptances
from xlfuncs.audit.days import day_of
from xlfuncs.audit.model import Accepted
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import own
from xlfuncs.lists.reader import load_grid
from xlfuncs.spreadsheet.grid import Grid

_BY_HAND: Final = ("Who", "When", "Why", "Until", "Rule", "Service", "Place")
"""Headings of 'Accepted' under which somebody may have written."""


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


def _rows(grid: Grid, name: str) -> Iterator[tuple[int, dict[str, Any], dict[str, int]]]:
    """(row, heading -> value, heading -> column) below the headings of a table."""
    top = own.heading_row(grid, name)
    heads = [str(v).strip() for v in grid.values[top].tolist()]
    columns = {head: int(c) for head, c in zip(heads, grid.cols, strict=True) if head}
    for row in grid.rows[top + 1 :]:
        yield int(row), {head: grid.value(int(row), col) for head, col in columns.items()}, columns


def _of_findings(grid: Grid, path: Path, day: date) -> Iterator[Accepted]:
    if not own.is_a(grid, "Findings"):
        return
    _check_heads(grid, path)
    rows = list(_rows(grid, "Findings"))
    alike = Counter((_text(cells.get("Tag")), _text(cells.get("Rule"))) for _, cells, _ in rows)
    for row, cells, columns in rows:
        who, why, until = (cells.get(head) for head in own.ACCEPTED)
        if all(_blank(value) for value in (who, why, until)):
            continue
        place = f"{path}: {grid.sheet}!"
        for head, value in zip(own.ACCEPTED, (who, why, until), strict=True):
            if _blank(value):
                at = f"{place}{_letters(columns[head])}{row}"
                raise XlfuncsError(f"{at}: '{head}' is blank; an accepted finding needs {_NEEDS}")
        end = day_of(until, f"{place}{_letters(columns[own.ACCEPTED[2]])}{row}")
        told = {"rule": _text(cells.get("Rule")), "who": _text(who), "why": _text(why)}
        days = {"when": min(day, end), "until": end}  # one that has ended is listed as expired
        which = _which(cells, alone=alike[_text(cells.get("Tag")), told["rule"]] == 1)
        yield from read_acceptances([told | days | which], f"{path}: {grid.sheet} row {row}")


def _check_heads(grid: Grid, path: Path) -> None:
    """XlfuncsError where what was filled in would be lost: its heading is gone or was translated.

    Copies of before acceptances were filled in have none of the headings, and nothing beside the table.
    """
    top = own.heading_row(grid, "Findings")
    heads = [str(v).strip() for v in grid.values[top].tolist()]
    lacking = [head for head in own.ACCEPTED if head not in heads]
    for j, head in enumerate(heads):
        if not head or (lacking and head not in own.OF_FINDINGS):
            for i in range(top + 1, len(grid.rows)):
                if not _blank(grid.values[i, j]):
                    at = f"{_letters(int(grid.cols[j]))}{int(grid.rows[i])}"
                    text, where = _text(grid.values[i, j]), f"under '{head}'" if head else "under no heading"
                    raise XlfuncsError(
                        f"{path}: {grid.sheet}!{at}: '{text}' stands {where} and would be lost; write it"
                        f" under {_WHERE}, give the column its heading back, or clear the cell"
                    )


_NEEDS: Final = "a name, a reason and a date"
_WHERE: Final = ", ".join(f"'{head}'" for head in own.ACCEPTED)


def _of_accepted(grid: Grid, path: Path) -> Iterator[Accepted]:
    if not own.is_a(grid, "Accepted"):
        return
    seen: set[tuple[str, ...]] = set()
    day = date.today()
    for row, cells, columns in _rows(grid, "Accepted"):
        if "Until" not in columns or all(_blank(cells.get(head)) for head in _BY_HAND):
            continue
        place = f"{path}: {grid.sheet}!"
        for head in ("Who", "Why", "Until"):
            if _blank(cells.get(head)):
                at = f"{place}{_letters(columns[head])}{row}"
                raise XlfuncsError(f"{at}: '{head}' is blank; what is accepted needs {_NEEDS}")
        entry: dict[str, Any] = {
            name: text
            for name in ("tag", "rule", "service", "place", "who", "why")
            if (text := _text(cells.get(name.capitalize())))
        }
        if "place" in entry:
            entry["cell"] = entry.pop("place")
        for head in ("Until", "When"):
            value = cells.get(head)
            at = f"{place}{_letters(columns[head])}{row}" if head in columns else place
            entry[head.casefold()] = min(day, entry["until"]) if _blank(value) else day_of(value, at)
        key = tuple(f"{name}={value}" for name, value in sorted(entry.items()))
        if key not in seen:
            seen.add(key)
            yield from read_acceptances([entry], f"{path}: {grid.sheet} row {row}")


def _which(cells: dict[str, Any], alone: bool) -> dict[str, str]:
    """The gauge of a finding by its tag; its cell where it has none, or is not `alone` of its rule there."""
    tag = {"tag": _text(cells.get("Tag"))} if not _blank(cells.get("Tag")) else {}
    return tag if tag and alone else {**tag, "cell": _text(cells.get("Cell"))}


def _blank(value: Any) -> bool:
    return value is None or not str(value).strip()


def _text(value: Any) -> str:
    return "" if value is None else " ".join(str(value).split())


def _letters(column: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(column))
