"""Where the lists of a sheet stand: their headings, units, first and last row, and what each column is."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists.headings import (
    ACCEPT,
    POSSIBLE,
    Kind,
    Match,
    fields,
    fold,
    groups_of_headings,
    match,
    promises,
    settle,
    squash,
    unit_in,
    unit_of,
    vocabulary,
)
from xlfuncs.lists.model import Doubt
from xlfuncs.lists.tags import are_tags, ends_list, is_tag, is_transmitter, letters_of
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit

SEARCHED: Final = 60
"""Rows in which the heading of a sheet is looked for."""
_BLOCK: Final = 8
"""Rows in which the headings of a further list in the sheet are looked for."""
_MOST: Final = 20
"""Lists in one sheet."""
_TRIES: Final = 60
_ROWS_TRIED: Final = 5
"""Rows with the most words of headings that are tried as headings."""
_WIDEST: Final = 200
"""Columns of a sheet in which headings are looked for."""
_LONGEST: Final = 160
"""Characters beyond which a text is no heading."""
BY_NEIGHBOURS: Final = 0.85
"""Score of a heading that is understood by the headings beside it."""
_STANDARD: Final = re.compile(
    r"\bapi\b|(?:\bat\b|@|\bbei\b|\ba\b|/)\s*(?:15(?:[.,]56?)?\s*°?\s*c|60\s*(?:°|deg)?\s*f)\b|\bstandard\b"
)
"""A density at a temperature that is seldom the operating one."""
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
    unit_row: str = ""


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
    for row in grid.values[first:last, :_WIDEST].tolist():
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
        self.width = min(len(grid.cols), _WIDEST)
        self.merged = [[False] * self.width for _ in self.own]
        self.start: dict[tuple[int, int], tuple[int, int]] = {}
        """Cell inside a merged heading -> its first cell, which holds the text."""
        rows = {int(row): i for i, row in enumerate(grid.rows[first:last])}
        cols = {int(col): j for j, col in enumerate(grid.cols[: self.width])}
        for top, left, bottom, right in grid.merges:
            if top not in rows or left not in cols or right - left > 500 or bottom - top > 20:
                continue
            text = self.own[rows[top]][cols[left]]
            for row in range(top, bottom + 1):
                for col in range(left, right + 1):
                    if row in rows and col in cols:
                        self.spread[rows[row]][cols[col]] = text
                        self.merged[rows[row]][cols[col]] = True
                        self.start[rows[row], cols[col]] = rows[top], cols[left]

    def address(self, level: int, j: int) -> str:
        """The cell that holds the heading of a column."""
        i, j = self.start.get((level, j), (level, j))
        return self.grid.address(self.first + i, j)

    def tells(self, i: int) -> bool:
        """Whether a row can be one of group headings."""
        return any(vocabulary().telling(text) for text in self.own[i] if text)

    def adds(self, i: int) -> bool:
        """Whether a row can be the second row of headings: nothing but telling words."""
        texts = [text for text in self.own[i] if text] if i < len(self.own) else []
        filled = sum(value != "" for value in self.grid.values[self.first + i].tolist()) if texts else 0
        return 2 <= len(texts) == filled and all(vocabulary().telling(text) for text in texts)

    def group(self, level: int, j: int, bottom: int) -> tuple[str, bool]:
        """(heading above column j in a row, whether it surely belongs to it)."""
        text = self.spread[level][j]
        if text:
            return text, True
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
        letters = sum(
            text == column_letter(int(col)) for text, col in zip(self.own[i], self.grid.cols, strict=False)
        )
        if len(texts) < 2 or letters > len(texts) / 2:
            return False
        units = sum(is_unit(text.strip(" ()[]")) for text in texts)
        marks = sum(text.casefold() in _UNIT_MARKS for text in texts)
        return (units >= 2 and units + marks >= 0.6 * len(texts)) or (
            units >= 1 and units + marks == len(texts)
        )


def find_layouts(grid: Grid, mapping: Mapping[str, str]) -> list[Layout]:
    """The lists of a sheet, from the top down."""
    out: list[Layout] = []
    start = 0
    while start < len(grid.rows) and len(out) < _MOST:
        found = _find(grid, mapping, start, SEARCHED if not out else _BLOCK)
        if found is None:
            break
        _by_content(grid, found)
        out.append(found)
        following = _next_headings(grid, found)
        if following is None:
            break
        found.last, start = following
    return out


def _find(grid: Grid, mapping: Mapping[str, str], first: int, searched: int) -> Layout | None:
    """The list whose headings stand in some rows."""
    last = min(len(grid.rows), first + searched)
    page = _Page(grid, first, last)
    promising = []
    for i, row in enumerate(page.spread):
        hits = len({fold(text) for text in row if text and promises(text)})
        if hits >= 2:
            promising.append((hits, i))
    promising.sort(key=lambda entry: (-entry[0], entry[1]))
    kinds: tuple[Kind, ...] = ("gauges", "floats")
    bottoms = [i for _, i in promising[:_ROWS_TRIED]]
    bottoms += [i + 1 for i in bottoms if i + 1 not in bottoms and page.adds(i + 1)]
    candidates = [
        layout
        for i in bottoms
        for height in range(1, min(3, i + 1) + 1)
        if height == 1 or page.tells(i - height + 1)
        for kind in kinds
        if (layout := _evaluate(page, i, height, kind, mapping)) is not None
    ]
    best: Layout | None = None
    while candidates:  # the best, unless a list of another make stands above it
        best = _first_of(grid, candidates, max(candidates, key=lambda layout: layout.score))
        candidates = [
            layout
            for layout in candidates
            if layout.headings[-1] < best.headings[0] and _differs(layout, best)
        ]
    return best


def _first_of(grid: Grid, candidates: list[Layout], best: Layout) -> Layout:
    """Of headings that are repeated down the sheet, the first ones."""
    repeated = [
        layout
        for layout in candidates
        if _data_between(grid, layout, best.headings[0])
        and layout.score > 0.9 * best.score
        and not _differs(layout, best)
    ]
    top = min((layout.headings[-1] for layout in repeated), default=0)
    return max(
        (layout for layout in repeated if layout.headings[-1] == top),
        key=lambda layout: layout.score,
        default=best,
    )


def _data_between(grid: Grid, layout: Layout, last: int) -> bool:
    """Whether a row under the headings and above `last` has a tag, or numbers, as no row of headings has."""
    if last <= layout.first:
        return False
    rows = grid.values[layout.first : last].tolist()
    numbers = any(sum(_like_number(value) for value in row) >= 2 for row in rows)
    return numbers or bool(likely(grid, layout, last).any())


def _like_number(value: Any) -> bool:
    return isinstance(value, (int, float)) or (isinstance(value, str) and value[:1].isdigit())


def _next_headings(grid: Grid, above: Layout) -> tuple[int, int] | None:
    """(index of the row, index from which to look) of the headings of another list below, if any."""
    same = {
        (j, fold(text))
        for i in above.headings
        for j, text in enumerate(heading_texts(grid, i, i + 1)[0])
        if text
    }
    tried = 0
    for offset in np.flatnonzero(~likely(grid, above)).tolist():
        i = above.first + offset
        texts = [(j, text) for j, text in enumerate(heading_texts(grid, i, i + 1)[0]) if text]
        if len(texts) < 3 or sum((j, fold(text)) in same for j, text in texts) >= len(texts) / 2:
            continue
        if sum(promises(text) for _, text in texts) < max(3, len(texts) / 2):
            continue
        tried += 1
        if tried > _TRIES:
            return None
        start = max(i - 2, above.first)
        found = _find(grid, {}, start, _BLOCK)
        if found is not None and _differs(found, above):
            return found.headings[0], start
    return None


def likely(grid: Grid, layout: Layout, last: int | None = None) -> NDArray[np.bool_]:
    """Rows of the list, up to `last`, whose key is shaped as a tag (a part number, in a float list)."""
    key, end = key_column(layout), layout.last if last is None else last
    if key is None:
        return np.zeros(end - layout.first, dtype=bool)
    if last is not None:
        return _shaped(grid.values[layout.first : end, key], layout.kind)
    if (key, layout.kind) not in grid.shaped:
        grid.shaped[key, layout.kind] = _shaped(grid.values[:, key], layout.kind)
    return grid.shaped[key, layout.kind][layout.first : end].copy()


def _shaped(cells: NDArray[np.object_], kind: Kind) -> NDArray[np.bool_]:
    texts = [value if isinstance(value, str) else "" for value in cells.tolist()]
    return np.array(are_tags(texts) if kind == "gauges" else [_is_part(text) for text in texts], dtype=bool)


def key_column(layout: Layout) -> int | None:
    """Index of the column that names the records."""
    for name in ("tag", "tag_number") if layout.kind == "gauges" else ("float_part", "float_serial"):
        if name in layout.columns:
            return layout.columns[name].index
    return None


def _is_part(text: str) -> bool:
    return any(map(str.isdigit, text)) and len(text.split()) == 1 and len(text) <= 60 and not ends_list(text)


def _differs(one: Layout, other: Layout) -> bool:
    """Whether two heading rows make different lists; a row of machine names makes the same one."""
    places = {name: found.index for name, found in one.columns.items()}
    others = {name: found.index for name, found in other.columns.items()}
    same = sum(others.get(name) == index for name, index in places.items())
    return one.kind != other.kind or same < 0.5 * len(places)


def _columns(page: _Page, bottom: int, height: int, kind: Kind, units: list[str]) -> Iterator[Found]:
    """What the headings of each column say."""
    top = bottom - height + 1
    for j in range(page.width):
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
            page.address(level, j),
            score=taken.score if taken else 0.0,
            matches=matches,
            unit_row=unit_row,
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
            if (not _standard(found), found.score) > (not _standard(kept), kept.score):
                columns[found.field], found = found, kept
            found.field = ""
            others.append(found)
        else:
            columns[found.field] = found
    _by_company(columns, others)
    _by_neighbours(page.grid, page.first + below + bool(units), kind, columns, others)
    ends = [columns[name] for name in ("fluid_density_min", "fluid_density_max") if name in columns]
    density = columns.get("fluid_density")
    if density is not None and _standard(density) and ends and not any(map(_standard, ends)):
        _drop("fluid_density", columns, others)  # 'Density min', 'Density max' and 'API gravity'
    for name, where in mapping.items():
        mapped = _mapped(page, where, [*columns.values(), *others])
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


def _standard(found: Found) -> bool:
    """Whether a heading states a density at a standard temperature: API gravity, 'at 15 °C', '@ 60 F'."""
    return found.field.startswith("fluid_density") and _STANDARD.search(fold(found.heading)) is not None


def _drop(name: str, columns: dict[str, Found], others: list[Found]) -> None:
    found = columns.pop(name)
    found.field, found.runner_up, found.runner_up_score = "", name, min(found.score, 1.0)
    others.append(found)


def _take(name: str, found: Found, score: float, columns: dict[str, Found]) -> None:
    """Take a column for a field, with the unit that its heading states for it."""
    found.field, found.score = name, score
    found.runner_up, found.runner_up_score = "", 0.0
    found.unit = unit_of(name, found.unit_row, found.heading)
    found.unit_source = ("unit row" if found.unit_row else "heading") if found.unit else ""
    columns[name] = found


def _by_neighbours(
    grid: Grid, first: int, kind: Kind, columns: dict[str, Found], others: list[Found]
) -> None:
    """Headings that mean a field only beside their like: 'LL' to 'HH', 'Oil density' and 'Water density'."""
    for group in groups_of_headings():
        if group.kind != kind or not columns.keys().isdisjoint(group.fields):
            continue
        hits: dict[str, Found] = {}
        for found in others:
            name = group.meaning(found.heading)
            of_another = found.unit_row and name and not unit_in(found.unit_row, name)
            if name is not None and name not in hits and not of_another:
                hits[name] = found
        if len(hits) < group.least:
            continue
        places = [found.index for found in hits.values()]
        if not _looks(group.cells, grid.values[first : first + 300, places].ravel().tolist()):
            continue
        for name, found in hits.items():
            others.remove(found)
            _take(name, found, BY_NEIGHBOURS, columns)


def _looks(wanted: str, values: list[Any]) -> bool:
    """Whether the cells below such headings are what `heading_words.toml` wants there."""
    filled = [value for value in values if value != "" and value is not None]
    if wanted == "lengths":  # and no percentages
        return max((value for value in filled if isinstance(value, (int, float))), default=0) > 100
    if wanted == "parts":
        parts = [
            v for v in filled if isinstance(v, str) and _is_part(v) and v[:1].isalpha() and v[:1] not in "Ll"
        ]
        return len(parts) > 0.6 * len(filled)
    return True


def _short(heading: str) -> bool:
    """Whether a heading is two letters, apart from its unit."""
    return len(squash(heading).split(" ")[0]) == 2


def _by_company(columns: dict[str, Found], others: list[Found]) -> None:
    """'DP' beside 'DT' is the design pressure; alone it may be a differential pressure."""
    pairs = {"design_pressure": "design_temperature", "operating_pressure": "operating_temperature"}
    for found in list(others):
        if not found.matches:
            continue
        name = next((entry.field for entry in found.matches if not entry.decoy), "")
        beside = columns.get(pairs.get(name, ""))
        if name not in columns and beside is not None and _short(found.heading) and _short(beside.heading):
            meant = next(entry for entry in found.matches if entry.field == name)
            found.field, found.score = name, meant.score - 0.1
            found.unit, found.unit_source = meant.unit, "heading" if meant.unit else ""
            others.remove(found)
            columns[name] = found


def _by_content(grid: Grid, layout: Layout) -> None:
    """Settle by what stands below it a heading that can be two things: 'LT' over tags is a transmitter."""
    if layout.kind != "gauges":
        return
    for found in list(layout.others):
        name = next((entry.field for entry in found.matches if not entry.decoy and entry.score >= ACCEPT), "")
        if name == "transmitter_tag" and name not in layout.columns:
            share = _share(grid, layout, found.index, lambda text: is_transmitter(letters_of(text)))
            if share > 0.5:
                found.field, found.score = name, 0.9
                layout.others.remove(found)
                layout.columns[name] = found
            else:
                found.matches = ()
        elif name == "tag" and "tag" in layout.columns:
            taken = layout.columns["tag"]
            if (
                _share(grid, layout, taken.index, is_tag) < 0.3
                and _share(grid, layout, found.index, is_tag) > 0.6
            ):
                taken.field, found.field = "", "tag"
                layout.others[layout.others.index(found)] = taken
                layout.columns["tag"] = found


def _share(grid: Grid, layout: Layout, index: int, test: Callable[[str], bool]) -> float:
    """Share of the filled cells under a heading that pass a test."""
    values = [
        value for value in grid.values[layout.first : layout.first + 300, index].tolist() if value != ""
    ]
    return (
        sum(isinstance(value, str) and test(value.strip()) for value in values) / len(values)
        if values
        else 0.0
    )


def _mapped(page: _Page, where: str, everything: list[Found]) -> Found | None:
    """The column that `--map` names: by heading, by 'SHEET!LETTER' or by letter."""
    wanted = squash(where)
    for found in everything:
        if wanted and wanted in (squash(found.heading), squash(found.heading.rpartition(" / ")[2])):
            return found
    sheet, _, letter = where.rpartition("!")
    if sheet and fold(sheet.strip("'")) != fold(page.grid.sheet):
        return None
    for found in everything:
        if letter.upper() == column_letter(int(page.grid.cols[found.index])):
            return found
    for j, col in enumerate(page.grid.cols.tolist()):
        if letter.upper() == column_letter(col):  # a column without a heading
            return Found("", j, "", "")
    return None


def _assign(name: str, found: Found, columns: dict[str, Found], others: list[Found]) -> None:
    """Take a column for a field, whatever it or the field was before."""
    for field_name, other in list(columns.items()):
        if other is found or field_name == name:
            del columns[field_name]
            if other is not found:
                other.field = ""
                others.append(other)
    if found in others:
        others.remove(found)
    _take(name, found, 1.0, columns)


FLOAT_NUMBERS: Final = (
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
    float_numbers = sum(name in columns for name in FLOAT_NUMBERS)
    if kind == "floats":
        return ("float_part" in columns and float_numbers >= 2) or (
            "float_serial" in columns and float_numbers >= 3
        )
    telling = [name for name in gauge_only if name not in _SHARED]
    if has_tag(columns):
        return len(columns) >= 3 and (bool(telling) or "float_part" in columns or "fluid_density" in columns)
    return len(telling) >= 3 and len(columns) >= 5


def nearest(grids: list[Grid]) -> str:
    """The row that looks most like headings, for a message: "Sheet1!7 ('Item', 'Spec wt')"."""
    found = _nearest_row(grids)
    if found is None:
        return ""
    grid, i, texts = found
    return f"{grid.sheet}!{int(grid.rows[i])} ({', '.join(repr(text) for text in texts if text)})"[:300]


def unknown_headings(grids: list[Grid]) -> list[Doubt]:
    """What the texts of the likeliest heading row could be, for a workbook in which no index was found."""
    found = _nearest_row(grids)
    if found is None:
        return []
    grid, i, texts = found
    out = []
    for j, text in enumerate(texts):
        near = next((entry for entry in match(text) if not entry.decoy), None) if text else None
        if not text:
            continue
        if near is not None and near.score >= POSSIBLE:
            label = fields()[near.field]["label"]
            says = f"{text!r} could be {near.field} ({label}, {min(near.score, 1):.0%} sure)"
        else:
            says = (
                f"{text!r} is not known: name its field with --map FIELD={column_letter(int(grid.cols[j]))}"
            )
        out.append(Doubt("heading", grid.sheet, grid.address(i, j), says, (near.field,) if near else ()))
    return out


def _nearest_row(grids: list[Grid]) -> tuple[Grid, int, list[str]] | None:
    best = 1
    found = None
    for grid in grids:
        for i, row in enumerate(heading_texts(grid, 0, min(SEARCHED, len(grid.rows)))):
            texts = [text for text in row if text]
            score = sum(promises(text) for text in texts) * 10 + min(len(texts), 9)
            if len(texts) > 1 and score > best:
                best, found = score, (grid, i, row)
    return found
