"""Where the lists of a sheet stand: their headings, units, first and last row, and what each column is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from xlfuncs.units import is_unit
from xlfuncs.workbook.grid import Grid
from xlfuncs.workbook.headings import (
    POSSIBLE,
    Kind,
    Match,
    fields,
    fold,
    match,
    settle,
    squash,
)
from xlfuncs.workbook.model import column_letter

SEARCHED: Final = 60
"""Rows in which the heading of a sheet is looked for."""
_LONGEST: Final = 160
"""Characters beyond which a text is no heading."""
_UNIT_MARKS: Final = ("-", "--", "n/a", "[-]", "(-)", "–", "—", "/")


@dataclass(slots=True)
class Found:
    """A column of a list and what it was taken for."""

    field: str
    """"" if it was not taken for anything."""
    index: int
    """Into the columns of the grid."""
    heading: str
    heading_cell: str
    unit: str = ""
    unit_source: str = ""
    score: float = 0.0
    runner_up: str = ""
    runner_up_score: float = 0.0
    matches: tuple[Match, ...] = ()


@dataclass(slots=True)
class Layout:
    """A list in a sheet."""

    kind: Kind
    headings: tuple[int, ...]
    """Indexes of the heading rows, of the row of units too."""
    first: int
    """Index of the first row of data."""
    last: int
    """Index past the last row of data."""
    columns: dict[str, Found]
    others: list[Found] = field(default_factory=list)
    """Columns that were not taken for anything, those in doubt among them."""
    score: float = 0.0


Texts = list[list[str]]


def heading_texts(grid: Grid, first: int, last: int) -> Texts:
    """The texts of some rows; numbers and long texts are no headings and come as ""."""
    out = []
    for row in grid.values[first:last].tolist():
        out.append([_heading_text(value) for value in row])
    return out


def _heading_text(value: Any) -> str:
    if isinstance(value, str):
        text = " ".join(value.split())
        return text if len(text) <= _LONGEST else ""
    return ""


class _Page:
    """The top of a sheet, with merged headings filled in."""

    def __init__(self, grid: Grid, first: int, last: int) -> None:
        self.grid = grid
        self.first = first
        self.own = heading_texts(grid, first, last)
        self.spread = [list(row) for row in self.own]
        """With merged texts in every cell that they cover."""
        self.merged = [[False] * len(grid.cols) for _ in self.own]
        rows = {int(row): i for i, row in enumerate(grid.rows[first:last])}
        cols = {int(col): j for j, col in enumerate(grid.cols)}
        for top, left, bottom, right in grid.merges:
            if top not in rows or left not in cols or right - left > 500 or bottom - top > 20:
                continue
            text = self.own[rows[top]][cols[left]]
            for row in range(top, bottom + 1):
                for col in range(left, right + 1):
                    if row in rows and col in cols:
                        self.spread[rows[row]][cols[col]] = text
                        self.merged[rows[row]][cols[col]] = True

    def group(self, level: int, j: int, bottom: int) -> tuple[str, bool]:
        """(heading above column j in a row, whether it surely belongs to it)."""
        text = self.spread[level][j]
        if text:
            return text, self.merged[level][j] or True
        if self.grid.merges and any(self.merged[level]):
            return "", False
        for left in range(j - 1, -1, -1):  # no merged cells: a group stands over its first column
            if not self.own[bottom][left]:
                break
            if self.own[level][left]:
                return self.own[level][left], False
        return "", False

    def is_units(self, i: int) -> bool:
        """Whether a row holds units."""
        texts = [text for text in self.own[i] if text]
        if len(texts) < 2:
            return False
        units = sum(is_unit(text.strip(" ()[]")) for text in texts)
        marks = sum(text.casefold() in _UNIT_MARKS for text in texts)
        return (units >= 2 and units + marks >= 0.6 * len(texts)) or (
            units >= 1 and units + marks == len(texts)
        )


def find_layouts(grid: Grid, mapping: Mapping[str, str], first: int = 0) -> Layout | None:
    """The list whose headings stand in the first rows from `first` on."""
    last = min(len(grid.rows), first + SEARCHED)
    page = _Page(grid, first, last)
    promising = []
    for i, row in enumerate(page.spread):
        hits = sum(_promises(text) for text in row if text)
        if hits >= 2:
            promising.append((hits, i))
    best: Layout | None = None
    promising.sort(key=lambda entry: (-entry[0], entry[1]))
    for _, i in promising[:8]:
        for height in (1, 2, 3):
            if height - 1 > i:
                break
            for kind in ("gauges", "floats"):
                layout = _evaluate(page, i, height, kind, mapping)  # type: ignore[arg-type]
                if layout is not None and (best is None or layout.score > best.score + 1e-9):
                    best = layout
    return best


def _promises(text: str) -> bool:
    return any(
        matches and matches[0].score >= 0.8
        for matches in (match(text, "", "gauges"), match(text, "", "floats"))
    )


def _columns(page: _Page, bottom: int, height: int, kind: Kind, units: list[str]) -> Iterator[Found]:
    """What the headings of each column say."""
    top = bottom - height + 1
    for j in range(len(page.grid.cols)):
        level = bottom
        while level >= top and not page.spread[level][j]:
            level -= 1
        if level < top:
            continue
        text = page.spread[level][j]
        above: list[str] = []
        sure = True
        for higher in range(top, level):
            group, certain = page.group(higher, j, level)
            if group and group != text and group not in above:
                above.append(group)
                sure = sure and certain
        group_text = " ".join(above)
        unit_row = units[j] if units and is_unit(units[j].strip(" ()[]")) else ""
        matches = match(text, group_text, kind, unit_row)
        if group_text and not sure:
            alone = match(text, "", kind, unit_row)
            if alone and alone[0].score >= 0.97 and (not matches or matches[0].score < 0.97):
                matches = alone
                above = []
        taken, second = settle(matches)
        heading = " / ".join((*above, text))
        found = Found(
            taken.field if taken is not None and not taken.decoy else "",
            j,
            heading,
            page.grid.address(page.first + level, j),
            score=taken.score if taken else 0.0,
            matches=matches,
        )
        if taken is not None and not taken.decoy and taken.unit:
            found.unit = taken.unit
            found.unit_source = "unit row" if unit_row else "heading"
        if second is not None and second.score >= POSSIBLE:
            found.runner_up, found.runner_up_score = second.field.lstrip("-"), min(second.score, 1.0)
        yield found


def _evaluate(page: _Page, bottom: int, height: int, kind: Kind, mapping: Mapping[str, str]) -> Layout | None:
    """The list under the heading rows that end at `bottom`."""
    below = bottom + 1
    units: list[str] = []
    if below < len(page.own) and page.is_units(below):
        units = page.own[below]
    heading_rows = list(range(bottom - height + 1, bottom + 1))
    if any(not any(page.own[i]) for i in heading_rows[:1]):
        return None
    columns: dict[str, Found] = {}
    others: list[Found] = []
    for found in _columns(page, bottom, height, kind, units):
        if not found.field or kind not in fields()[found.field]["tables"]:
            found.field = ""
            others.append(found)
        elif found.field in columns:
            kept = columns[found.field]
            if found.score > kept.score:
                columns[found.field], found = found, kept
            found.field = ""
            others.append(found)
        else:
            columns[found.field] = found
    for name, where in mapping.items():
        mapped = _mapped(page, where, others, columns)
        if mapped is not None:
            _assign(name, mapped, columns, others)
    if not _is_list(columns, kind):
        return None
    rows = [page.first + i for i in heading_rows]
    if units:
        rows.append(page.first + below)
    score = sum(found.score for found in columns.values()) - 0.15 * (height - 1)
    score += 0.05 if units else 0.0
    return Layout(kind, tuple(rows), rows[-1] + 1, len(page.grid.rows), columns, others, score)


def _mapped(page: _Page, where: str, others: list[Found], columns: Mapping[str, Found]) -> Found | None:
    """The column that `--map` names: by heading, by 'SHEET!LETTER' or by letter."""
    wanted = squash(where)
    everything = [*columns.values(), *others]
    for found in everything:
        if wanted and wanted in (squash(found.heading), squash(found.heading.rpartition(" / ")[2])):
            return found
    sheet, _, letter = where.rpartition("!")
    if sheet and fold(sheet.strip("'")) != fold(page.grid.sheet):
        return None
    for found in everything:
        if letter.upper() == column_letter(int(page.grid.cols[found.index])):
            return found
    return None


def _assign(name: str, found: Found, columns: dict[str, Found], others: list[Found]) -> None:
    """Take a column for a field, whatever it or the field was before."""
    for field_name, other in list(columns.items()):
        if other is found:
            del columns[field_name]
        elif field_name == name:
            other.field = ""
            others.append(other)
            del columns[field_name]
    if found in others:
        others.remove(found)
    found.field, found.score = name, 1.0
    found.runner_up, found.runner_up_score = "", 0.0
    columns[name] = found


_FLOAT_NUMBERS: Final = (
    "float_mass", "float_diameter", "float_length", "magnet_height", "float_design_density",
    "float_max_pressure", "float_max_temperature", "float_wall",
)  # fmt: skip
_SHARED: Final = (
    "tag", "old_tag", "area", "service", "remarks", "serial", "instrument_type", "fluid_density",
    "fluid_density_min", "fluid_density_max", "visible_range", "service_type", "fluid", "transmitter_range",
)  # fmt: skip
"""Gauge fields whose headings a float list may carry as well."""


def has_tag(columns: Mapping[str, Any]) -> bool:
    return "tag" in columns or ("tag_letters" in columns and "tag_number" in columns)


def _is_list(columns: Mapping[str, Found], kind: Kind) -> bool:
    """Whether these columns make an index of gauges or a float list."""
    gauge_only = [name for name in columns if "floats" not in fields()[name]["tables"]]
    float_numbers = sum(name in columns for name in _FLOAT_NUMBERS)
    if kind == "floats":
        return ("float_part" in columns and float_numbers >= 2) or (
            "float_serial" in columns and float_numbers >= 3
        )
    telling = [name for name in gauge_only if name not in _SHARED]
    if has_tag(columns):
        return len(columns) >= 3 and (bool(telling) or "float_part" in columns or "fluid_density" in columns)
    return len(telling) >= 3 and len(columns) >= 5
