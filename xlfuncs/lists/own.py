"""The sheets that a report adds to a copy of a workbook: no lists, and one of them takes corrections."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.instructions import SHEET, SaidColumn, SaidList, check_unit
from xlfuncs.lists.reading import KINDS, OPEN
from xlfuncs.lists.reading_file import check_field, check_once
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind, fields

READING: Final = "Reading"
_EARLIER: Final[Mapping[str, tuple[str, ...]]] = {
    "Findings": ("Severity", "Tag", "Cell", "Rule", "What is wrong", "Found", "Expected"),
    "Accepted": ("Tag", "Rule", "State", "Who", "When", "Why"),
    "Not checked": ("Rule", "Tag", "Missing data", "Row"),
}
"""The headings that earlier copies gave them."""
CALCULATIONS: Final = "Calculations"
ACCEPTED: Final = ("Accepted by", "Why", "Until")
"""Headings of the cells in which a finding is accepted."""
OF_FINDINGS: Final = frozenset({
    "No.", "Severity", "Tag", "Cell", "Rule", "What is wrong", "Found", "Expected", "Further evidence",
    "How to mend it", "Status", *ACCEPTED,
})  # fmt: skip
"""Every heading that the sheet 'Findings' has or had."""
HEADS: Final[Mapping[str, tuple[str, ...]]] = {
    "Findings": ("No.", "Severity", "Tag", "Cell", "Rule", "What is wrong", "Found", "Expected"),
    CALCULATIONS: ("No.", "Symbol", "What it is", "Number (SI)", "Unit", "As stated", "From", "Equation"),
    "Accepted": ("Tag", "Rule", "Service", "Place", "State", "Who", "When", "Why", "Until"),
    "Not checked": ("Cause", "What is missing", "Gauges", "Which", "Needed for"),
    "Settings used": ("This report",),
    READING: (
        "Sheet",
        "Column",
        "Heading",
        "Taken for",
        "Unit",
        "How sure",
        "In doubt, and what waits for it",
        "List",
    ),
}
"""Sheet -> the headings that it begins with, by which it is known again."""
WORKBOOKS: Final = (".xlsx", ".xlsm", ".xls", ".xlsb", ".ods")
WHOLE: Final = "(the sheet as a whole)"
"""Heading of the line that says in which shape a sheet was read."""
NOT_USED: Final = "(not used)"
UNDECIDED: Final = "(undecided)"
_SET_OFF: Final = " - "


def item(name: str) -> str:
    """A field as the drop-down names it."""
    return f"{name}{_SET_OFF}{fields()[name]['label']}"


def items(kind: Kind) -> list[str]:
    """What can be chosen for a column of a kind of list."""
    return [NOT_USED, UNDECIDED, *(item(name) for name, entry in fields().items() if kind in entry["tables"])]


def is_own(grid: Grid) -> bool:
    """Whether a report has added the sheet, though somebody may have changed it since."""
    return _name(grid) != "" or any(heading_row(grid, name) >= 0 for name in _MOVED)


def is_a(grid: Grid, name: str) -> bool:
    """Whether it is that sheet of a report."""
    return _name(grid) == name or (name in _MOVED and heading_row(grid, name) >= 0)


_MOVED: Final = ("Findings", "Accepted", "Not checked", CALCULATIONS, READING)
_TOP: Final = 8
"""Rows in which their headings are looked for: somebody may have put a title above them."""
_ALIKE: Final = 0.6
"""Share of the headings by which a sheet is known, where one was renamed or its column deleted."""


def heading_row(grid: Grid, name: str) -> int:
    """Index of the row of headings of that sheet of a report; -1 where the grid is none."""
    for i in range(min(_TOP, len(grid.rows))):
        there = {str(value).strip() for value in grid.values[i].tolist()}
        for known, heads in (*HEADS.items(), *_EARLIER.items()):
            if known == name and len(heads) > 1 and len(there & set(heads)) >= max(_ALIKE * len(heads), 4):
                return i
    return -1


def _name(grid: Grid) -> str:
    if not grid.values.size or grid.rows[0] != 1 or grid.cols[0] != 1:
        return ""
    first = [str(value).strip() for value in grid.values[0, :12].tolist()]
    for name, heads in (*HEADS.items(), *_EARLIER.items()):
        told = len(heads) > 1 or any(str(v).startswith("sha256") for v in grid.values[:12, 0].tolist())
        if tuple(first[: len(heads)]) == heads and told:
            return name
    return ""


def corrections(grids: Sequence[Grid], path: Path) -> list[SaidList]:
    """What the sheet 'Reading' says; of several the last. XlfuncsError names its cell."""
    for grid in grids:
        if _name(grid) != READING and heading_row(grid, READING) >= 0:
            first = ", ".join(HEADS[READING])
            raise XlfuncsError(
                f"{path}: {grid.sheet}: the headings of this sheet were moved or changed;"
                f" row 1 has to hold {first}"
            )
    sheets = [grid for grid in grids if _name(grid) == READING]
    if not sheets:
        return []
    grid = sheets[-1]
    lists: dict[str, list[SaidColumn]] = {}
    heads: dict[str, tuple[str, Kind]] = {}
    shapes: dict[str, str] = {}
    for row, cells in _rows(grid):
        sheet, column, heading, taken, _, _, _, which = cells
        if sheet and not column and heading == WHOLE:
            shapes[f"{sheet}\n{which}"] = taken
        if not (sheet and column):
            continue
        kind = next((kind for kind, label in KINDS.items() if which.endswith(label)), None)
        if kind is None:
            kinds = " or ".join(KINDS.values())
            raise XlfuncsError(f"{path}: {grid.sheet}!H{row}: {which!r} is no kind of list; write {kinds}")
        key = f"{sheet}\n{which}"
        heads[key] = sheet, kind
        said = f"{path}: {grid.sheet} row {row} ({sheet}!{column}{f' {heading!r}' if heading else ''})"
        lists.setdefault(key, []).append(_column(f"{path}: {grid.sheet}!", row, cells, kind, said))
    out = []
    for key, columns in lists.items():
        check_once(columns)
        sheet, kind = heads[key]
        out.append(
            SaidList(
                sheet,
                kind,
                tuple(columns),
                SHEET,
                f"{path}: {grid.sheet}: the list on {sheet!r}",
                str(path),
                shapes.get(key, ""),
            )
        )
    return out


def _rows(grid: Grid) -> Iterator[tuple[int, list[str]]]:
    width = len(HEADS[READING])
    for i in range(1, len(grid.rows)):
        row = int(grid.rows[i])
        yield row, [_text(grid.value(row, col)) for col in range(1, width + 1)]


def _text(value: Any) -> str:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split()) if value not in ("", None) else ""


def _column(place: str, row: int, cells: list[str], kind: Kind, said: str) -> SaidColumn:
    _, column, heading, taken, unit, *_ = cells
    name = field_named(taken)
    if name not in (OPEN, ""):
        check_field(name, kind, f"{place}D{row}")
    if unit and name == OPEN:
        raise XlfuncsError(
            f"{place}E{row}: the unit {unit!r} stands beside a column that is undecided: choose in D{row}"
            " what the column is, or delete the unit"
        )
    if unit and name:
        check_unit(name, unit, f"{place}E{row}")
    return SaidColumn(column.upper(), heading, None if name == OPEN else name, unit, said)


def field_named(text: str) -> str:
    """The field that a cell names: an item of the list, its name or label alone; "" for one not used."""
    plain = text.casefold()
    if plain in ("", NOT_USED, NOT_USED.strip("()"), "-"):
        return ""
    if plain in (UNDECIDED, UNDECIDED.strip("()"), OPEN):
        return OPEN
    name = text.partition(_SET_OFF)[0].strip()
    if name in fields():
        return name
    labels = {str(entry["label"]).casefold(): known for known, entry in fields().items()}
    return labels.get(
        plain, name.casefold().replace(" ", "_") if name.casefold().replace(" ", "_") in fields() else text
    )
