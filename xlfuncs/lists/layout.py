"""Where the lists of a sheet stand: their headings, units, first and last row, and what each column is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists.beside import units_beside
from xlfuncs.lists.found import Found, Layout, has_tag, is_list, key_column
from xlfuncs.lists.heads import Page, heading_texts, heads_under, with_parts
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.judge import found_of, judge
from xlfuncs.lists.tags import are_tags, ends_list
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind, fields, promises
from xlfuncs.vocabulary.words import fold

SEARCHED: Final = 60
"""Rows in which the heading of a sheet is looked for."""
_BLOCK: Final = 8
"""Rows in which the headings of a further list in the sheet are looked for."""
_MOST: Final = 20
"""Lists in one sheet."""
_TRIES: Final = 60
_ROWS_TRIED: Final = 5
"""Rows with the most words of headings that are tried as headings."""
_HIGHEST: Final = 5
"""Rows that the headings of a list may take."""
_COLUMNS_OF_INDEX: Final = 14
_HEADINGS_FOLLOW: Final = 0.5
"""What a layout loses whose first row of values looks like headings."""


def find_layouts(grid: Grid, instructions: Instructions) -> list[Layout]:
    """The lists of a sheet, from the top down."""
    out: list[Layout] = []
    start = 0
    while start < len(grid.rows) and len(out) < _MOST:
        found = _find(grid, instructions, start, SEARCHED if not out else _BLOCK)
        if found is None:
            break
        out.append(found)
        following = _next_headings(grid, found, instructions)
        if following is None:
            break
        found.last, start = following
    return out


def _find(grid: Grid, instructions: Instructions, first: int, searched: int) -> Layout | None:
    """The list whose headings stand in some rows."""
    end = first + searched if first else len(grid.rows)
    said = instructions.tries(grid, first, end)
    last = min(len(grid.rows), max(first + searched, max(said, default=0) + 2))
    page = Page(grid, first, last)
    promising = []
    for i, row in enumerate(page.spread):
        hits = len({fold(text) for text in row if text and promises(text)})
        if hits >= 2 and not page.is_data(i) and not page.is_units(i):
            promising.append((hits, i))
    promising.sort(key=lambda entry: (-entry[0], entry[1]))
    bottoms = list(dict.fromkeys([*(i - first for i in said), *(i for _, i in promising[:_ROWS_TRIED])]))
    bottoms += [
        i + 1 for i in bottoms if i + 1 not in bottoms and page.adds(i + 1) and not page.is_data(i + 1)
    ]
    candidates: list[Layout] = []
    for i in bottoms:
        gauges = _under(page, i, "gauges", instructions)
        candidates += gauges
        if said or not any(_is_surely_index(layout) for layout in gauges):  # a person may have said floats
            candidates += _under(page, i, "floats", instructions)
    candidates = [layout for layout in candidates if not _is_of_floats(layout, candidates)]
    best: Layout | None = None
    while candidates:  # the best, unless a list of another make stands above it
        best = _first_of(grid, candidates, max(candidates, key=lambda layout: layout.score))
        candidates = [
            layout
            for layout in candidates
            if layout.headings[-1] < best.headings[0] and _differs(layout, best)
        ]
    return best


def _is_of_floats(layout: Layout, candidates: Sequence[Layout]) -> bool:
    """Whether a list of gauges that names none is a float list: as one it is read all but whole."""
    if layout.kind != "gauges" or has_tag(layout.columns):
        return False
    return any(
        other.kind == "floats"
        and other.headings == layout.headings
        and "float_part" in other.columns
        and len(other.columns) + 1 >= len(layout.columns)
        for other in candidates
    )


def _is_surely_index(layout: Layout) -> bool:
    """Whether a list has so many columns of gauges that it cannot be one of floats."""
    return "tag" in layout.columns and len(layout.columns) >= _COLUMNS_OF_INDEX


def _under(page: Page, bottom: int, kind: Kind, instructions: Instructions) -> list[Layout]:
    """The list whose headings end at a row, with all the group headings that stand right above it."""
    height = 1
    while height < min(_HIGHEST, bottom + 1) and page.is_group(bottom - height):
        height += 1
    for rows in range(height, 0, -1):
        layout = _evaluate(page, bottom, rows, kind, instructions)
        if layout is not None:
            return [layout, *_without_translation(page, bottom, rows, layout, instructions)]
    return []


def _without_translation(
    page: Page, bottom: int, height: int, layout: Layout, instructions: Instructions
) -> list[Layout]:
    """The same list by its last row of headings alone, where the row above it says as much: in another
    language, whose words are not to be taken for those of groups."""
    if height < 2 or any(page.merged[bottom - 1]):
        return []
    above, own = (sum(map(bool, page.own[i])) for i in (bottom - 1, bottom))
    if above < _TRANSLATED * own:
        return []
    alone = _evaluate(page, bottom, 1, layout.kind, instructions)
    return [] if alone is None else [alone]


_TRANSLATED: Final = 0.8
"""Share of the headings of a row over which another language's stand in the row above."""


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


def _next_headings(grid: Grid, above: Layout, instructions: Instructions) -> tuple[int, int] | None:
    """(index of the row, index from which to look) of the headings of another list below, if any."""
    same = {
        (j, fold(text))
        for i in above.headings
        for j, text in enumerate(heading_texts(grid, i, i + 1)[0])
        if text
    }
    tried = 0
    said = set(instructions.tries(grid, above.first, above.last))
    for offset in np.flatnonzero(~likely(grid, above)).tolist():
        i = above.first + offset
        texts = [(j, text) for j, text in enumerate(heading_texts(grid, i, i + 1)[0]) if text]
        if sum((j, fold(text)) in same for j, text in texts) >= max(len(texts), 1) / 2:
            continue
        known = sum(promises(text) for _, text in texts)
        if (len(texts) < 3 or known < max(3, len(texts) / 2)) and i not in said:
            continue
        tried += 1
        if tried > _TRIES:
            return None
        start = max(i - 2, above.first)
        found = _find(grid, instructions, start, _BLOCK)
        if found is not None and (_differs(found, above) or not said.isdisjoint(found.headings)):
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
    texts = cells.tolist()
    if set(map(type, texts)) != {str}:
        texts = [value if isinstance(value, str) else "" for value in texts]
    return np.array(are_tags(texts) if kind == "gauges" else [_is_part(text) for text in texts], dtype=bool)


def _is_part(text: str) -> bool:
    return any(map(str.isdigit, text)) and len(text.split()) == 1 and len(text) <= 60 and not ends_list(text)


def _differs(one: Layout, other: Layout) -> bool:
    """Whether two heading rows make different lists; a row of machine names makes the same one."""
    places = {name: found.index for name, found in one.columns.items()}
    others = {name: found.index for name, found in other.columns.items()}
    same = sum(others.get(name) == index for name, index in places.items())
    return one.kind != other.kind or same < 0.5 * len(places)


def attempt(grid: Grid, row: int, kind: Kind, instructions: Instructions) -> Layout | None:
    """What would be read under the headings of a row (an index), whether or not that makes a list."""
    page = Page(grid, max(0, row - _HIGHEST), row + 3)
    return _evaluate(page, row - page.first, 1, kind, instructions, anyway=True)


def _evaluate(
    page: Page, bottom: int, height: int, kind: Kind, instructions: Instructions, anyway: bool = False
) -> Layout | None:
    """The list under the heading rows that end at `bottom`. `anyway`: also where it makes no list."""
    below = bottom + 1
    units: list[str] = []
    more: list[str] = []
    over = bottom - height
    if below < len(page.own) and page.is_units(below):
        units = page.own[below]
        if page.goes_on(below + 1, bottom):
            more = page.own[below + 1]
    heading_rows = list(range(bottom - height + 1, bottom + 1))
    if not any(page.own[heading_rows[0]]):
        return None
    first = page.first + below + bool(units) + bool(more)
    heads = heads_under(page, bottom, height, units)
    rows = [page.first + i for i in heading_rows]
    if units:
        rows.append(page.first + below)
    elif over >= 0 and page.is_units(over):
        rows.insert(0, page.first + over)
        for head in heads:
            head.unit_row = head.unit_row or page.own[over][head.index]
    if more:
        rows.append(page.first + below + 1)
        for head in heads:
            head.text = " ".join(filter(None, (head.text, more[head.index])))
    heads = with_parts(page.grid, first, heads)
    judged = judge(page, first, kind, heads, instructions.parts)
    columns: dict[str, Found] = {}
    others: list[Found] = []
    for head, verdict, reading in judged:
        found = found_of(head, verdict, reading)
        if found.field:
            columns[found.field] = found
        else:
            others.append(found)
    numbers = page.grid.rows[rows].tolist()
    if instructions.forbids(page.grid, kind, numbers):
        return None
    instructions.apply(page.grid, kind, numbers, columns, others)
    beside = units_beside(page, first, [head for head, _, _ in judged], columns, others)
    vouched = anyway or instructions.vouch(page.grid, kind, numbers, columns)
    if not (is_list(columns, kind) or vouched):
        return None
    score = sum(found.weight for found in columns.values()) - 0.15 * (height - 1)
    score += 0.05 if units else 0.0
    score += _with_units(columns) - (
        _HEADINGS_FOLLOW if page.looks_like_headings(first - page.first) else 0.0
    )
    return Layout(kind, tuple(rows), rows[-1] + 1, len(page.grid.rows), columns, others, score, beside)


def _with_units(columns: Mapping[str, Found]) -> float:
    """How many of the quantities have a unit stated, as part of a layout's score."""
    quantities = [found for name, found in columns.items() if fields()[name]["kind"] == "quantity"]
    return sum(bool(found.unit) for found in quantities) / len(quantities) if quantities else 0.0
