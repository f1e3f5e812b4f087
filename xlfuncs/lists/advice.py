"""What a person can do about a workbook in which nothing was found to audit: an option that works."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from xlfuncs.lists import evidence, form_labels, tags
from xlfuncs.lists.binding import Spot
from xlfuncs.lists.decide import MARGIN
from xlfuncs.lists.evidence import Profile, profile
from xlfuncs.lists.found import Found, has_tag
from xlfuncs.lists.instructions import Instructions, option
from xlfuncs.lists.layout import attempt
from xlfuncs.lists.tables import Made
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit
from xlfuncs.vocabulary.meaning import ACCEPT, POSSIBLE, Kind, fields, promises, read_heading

SEARCHED: Final = 60
"""Rows in which headings are looked for."""
_WIDEST: Final = 200
_BELOW: Final = 3
"""Rows under a row that tell whether it is one of headings."""
_FORM_ROWS: Final = 400
"""Rows in which labels are looked for."""
_SHOWN: Final = 8
_UNLIKE: Final = 1.0
"""Score below which a column is not like one of tags, or of part numbers."""
_LONGEST: Final = 60
_NAMED: Final = 160
"""Characters beyond which a text is no heading."""
_GUESSES: Final[Mapping[str, str]] = {"gauges": "fluid_density", "floats": "float_mass"}
"""What a column of numbers is called in an option, where nothing tells what they are."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A text that may be a heading or a label, with what stands under it or beside it."""

    cell: str
    text: str
    index: int
    """Of its column in the grid."""
    values: Profile
    row: int = 0
    """Index of its row in the grid."""


@dataclass(frozen=True, slots=True)
class Near:
    """What comes nearest to a list: a row of headings, or labels beside their values."""

    grid: Grid
    row: int
    """Index of the row; -1 for labels."""
    cells: tuple[Cell, ...]

    @property
    def labels(self) -> bool:
        return self.row < 0

    def spot(self, book: int) -> Spot:
        """Its row, for a letter."""
        row = int(self.grid.rows[max(self.row, 0)])
        return Spot(book, self.grid.sheet, frozenset({row}), row, 1)


def near_of(grid: Grid, rows: Iterable[int] = ()) -> Near | None:
    """What comes nearest to a list in a sheet. `rows`: indexes of rows that a person has named."""
    if labels := _labels(grid):
        return Near(grid, -1, labels)
    named = list(rows)
    best, found = 1.0, -1
    for i in named or range(min(SEARCHED, len(grid.rows))):
        score = _like_headings(grid, i)
        if score > best or (named and found < 0):
            best, found = score, i
    if found < 0:
        return None
    cells = tuple(
        Cell(grid.address(found, j), text, j, _under(grid, found, j), found)
        for j, text in _texts(grid, found)
    )
    return Near(grid, found, cells)


def nearest(grids: Sequence[Grid]) -> Near | None:
    """The sheet that comes nearest to holding a list."""
    near = [found for grid in grids if grid.values.size and (found := near_of(grid)) is not None]
    return max(near, key=lambda one: _worth(one), default=None)


def _worth(near: Near) -> float:
    tagged = any(_share_of_tags(cell.values) > 0.5 for cell in near.cells)
    known = sum(promises(cell.text) for cell in near.cells)
    return 20 * tagged + 10 * known + min(len(near.cells), 9)


def _texts(grid: Grid, i: int) -> list[tuple[int, str]]:
    row = grid.values[i, :_WIDEST].tolist()
    texts = ((j, " ".join(value.split())) for j, value in enumerate(row) if isinstance(value, str))
    return [(j, text) for j, text in texts if 0 < len(text) <= _NAMED]


def _under(grid: Grid, i: int, j: int) -> Profile:
    return profile(grid.values[i + 1 : i + 1 + evidence.SAMPLED, j].tolist())


def _like_headings(grid: Grid, i: int) -> float:
    """How much a row is like one of headings: words, none of them a value, and values below."""
    texts = _texts(grid, i)
    if len(texts) < 2:
        return 0.0
    values = [value for value in grid.values[i, :_WIDEST].tolist() if value != ""]
    if any(tags.is_gauge_tag(text) for _, text in texts):
        return 0.0
    strange = len(values) - len(texts)
    below = grid.values[i + 1 : i + 1 + _BELOW, :_WIDEST].tolist()
    data = any(any(_is_value(value) for value in row) for row in below)
    known = sum(promises(text) for _, text in texts)
    return 10 * known + min(len(texts), 9) + 5 * data - 4 * strange


def _is_value(value: Any) -> bool:
    if isinstance(value, str):
        return tags.is_tag(value.strip()) or value.strip()[:1].isdigit()
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _labels(grid: Grid) -> tuple[Cell, ...]:
    """The labels of a sheet of labels and values, one of which is a tag; none on another sheet."""
    values = grid.values[:_FORM_ROWS, : form_labels.COLS].tolist()
    pairs: dict[int, list[Cell]] = {}
    for i, row in enumerate(values):
        for j, value in enumerate(row):
            if not isinstance(value, str) or not 0 < len(value.strip()) <= _NAMED or _is_value(value):
                continue
            if is_unit(value.strip(" ()[]")):
                continue
            beside = next((other for other in row[j + 1 :] if other != ""), "")
            if beside != "":
                text = form_labels.clean(value)
                pairs.setdefault(j, []).append(Cell(grid.address(i, j), text, j, profile([beside]), i))
    for cells in pairs.values():
        tagged = [cell for cell in cells if _share_of_tags(cell.values) == 1.0]
        own = profile([cell.text for cell in cells])
        stacked = len(cells) >= 4 and len({cell.row for cell in cells}) == len(cells)
        if len(tagged) == 1 and stacked and len(set(own.texts)) == len(own.texts) and own.numeric < 0.2:
            return tuple(cells)
    return ()


def _share_of_tags(values: Profile) -> float:
    return values.share("level tag", evidence.is_level_tag)


# --- what to say ----------------------------------------------------------------------------------------


def no_list(path: Path, grids: Sequence[Grid], listed: Sequence[Made], instructions: Instructions) -> str:
    """Why no index was found in a workbook, what comes nearest, and the option that leads on."""
    sheets = f"{len(grids)} sheets" if len(grids) != 1 else "its one sheet"
    only = f", only a float list in {listed[0].table.sheet!r}" if listed else ""
    start = f"{path}: no index of level gauges found in {sheets}{only}"
    left = [grid for grid in grids if grid.values.size and not _is_listed(grid, listed)]
    near = _said(left, instructions) or nearest(left)
    if near is None:
        other = "no other" if listed else "no"
        return f"{start}; there is {other} row of headings: name the workbook with the index"
    alone = sum(bool(grid.values.size) for grid in grids) == 1
    return f"{start}; {_advice(path, near, 'gauges', instructions, alone)}"


def no_floats(path: Path, grids: Sequence[Grid], instructions: Instructions) -> str:
    """The same for a float list."""
    near = _said(grids, instructions) or nearest(grids)
    start = f"{path}: no float list found"
    if near is None:
        return f"{start}; there is no row of headings: name the workbook with the float list"
    alone = sum(bool(grid.values.size) for grid in grids) == 1
    return f"{start}; {_advice(path, near, 'floats', instructions, alone)}"


def _is_listed(grid: Grid, listed: Sequence[Made]) -> bool:
    return any(made.table.sheet == grid.sheet for made in listed)


def _said(grids: Sequence[Grid], instructions: Instructions) -> Near | None:
    """The row that a person has named columns of."""
    for grid in grids:
        rows = instructions.tries(grid, 0, len(grid.rows))
        if rows and (near := near_of(grid, rows)) is not None:
            return near
    return None


def _advice(path: Path, near: Near, kind: Kind, instructions: Instructions, alone: bool) -> str:
    """What is understood of what comes nearest, and the next option. `alone`: there is no other sheet."""
    taken = _taken(near, kind, instructions)
    left = [cell for cell in near.cells if cell.cell not in taken and cell.values.filled]
    if not _is_named(kind, set(taken.values())):  # it may have been taken for something else
        said = {column_letter(entry.col) for entry in instructions.of(near.grid.sheet)}
        mistaken = [c for c in near.cells if c.cell in taken and c.cell.rstrip("0123456789") not in said]
        left += mistaken if not near.labels else []
    name, cell = _next(kind, set(taken.values()), left)
    what = (
        f"the labels of {near.grid.sheet!r}"
        if near.labels
        else (f"row {int(near.grid.rows[near.row])} of {near.grid.sheet!r}")
    )
    texts = ", ".join(f"{one.cell} {one.text[:_LONGEST]!r}" for one in near.cells[:_SHOWN])
    more = f" and {len(near.cells) - _SHOWN} more" if len(near.cells) > _SHOWN else ""
    known = ", ".join(f"{where} {field}" for where, field in taken.items()) or "none of them"
    file = f"'xlfuncs columns {path} -o READING.toml' writes them all into a file to fill in"
    start = f"nearest to one come {what} ({texts}{more}); understood: {known}"
    if cell is None:
        return f"{start}. No other column with data is there to name; {file}"
    key = name in _KEYS[kind]
    lacking = _LACKING[kind][0 if key else 1]
    told = option(name, cell.cell if alone else f"{near.grid.sheet}:{cell.cell}")
    if key and _like_key(kind, cell) < _UNLIKE:
        guess = (
            f"none of them looks like it; if there is one, name it, such as {cell.text[:_LONGEST]!r}: {told}"
        )
    else:
        guess = f"perhaps {cell.text[:_LONGEST]!r}: {told} (put the right field and cell)"
    return f"{start}. It lacks {lacking}: {guess}; {file}"


_KEYS: Final[Mapping[str, tuple[str, ...]]] = {"gauges": ("tag", "tag_number"), "floats": ("float_part",)}
_LACKING: Final[Mapping[str, tuple[str, str]]] = {
    "gauges": ("the column of tags", "a density, a range, a float or other data of a gauge"),
    "floats": ("the column of part numbers", "the mass, the diameter or other data of a float"),
}


def _taken(near: Near, kind: Kind, instructions: Instructions) -> dict[str, str]:
    """Cell of a heading -> what it is taken for."""
    grid = near.grid
    out: dict[str, str] = {}
    if not near.labels:
        layout = attempt(grid, near.row, kind, instructions)
        columns: Iterable[Found] = layout.columns.values() if layout is not None else ()
        at = {found.index: found.field for found in columns}
        return {cell.cell: at[cell.index] for cell in near.cells if cell.index in at}
    for cell in near.cells:
        said = instructions.label(grid.sheet, int(grid.rows[cell.row]), int(grid.cols[cell.index]))
        taken = _settled(cell.text, kind)
        name = said.field if said is not None else taken
        if name:
            out[cell.cell] = name
    return out


def _settled(text: str, kind: Kind) -> str:
    """The field that a label surely means, or ""."""
    first, *others = read_heading(text, "", kind).meanings or (None,)
    if first is None or first.score < ACCEPT:
        return ""
    return first.field if all(one.score <= first.score - MARGIN for one in others) else ""


def _next(kind: Kind, known: set[str], left: Sequence[Cell]) -> tuple[str, Cell | None]:
    """The field that is lacking most and the cell that is likeliest to name it."""
    if not left:
        return "", None
    if not _is_named(kind, known):
        key = _KEYS[kind][0]
        return key, max(left, key=lambda cell: _like_key(kind, cell))
    guesses = [(score, name, cell) for cell in left for score, name in _guesses(kind, known, cell)]
    if not guesses:
        return _GUESSES[kind], left[0]
    _, name, cell = max(guesses, key=lambda guess: guess[0])
    return name, cell


def _is_named(kind: Kind, known: set[str]) -> bool:
    """Whether a column names the records."""
    return has_tag(dict.fromkeys(known)) if kind == "gauges" else "float_part" in known


def _like_key(kind: Kind, cell: Cell) -> float:
    """How much a column is like one of tags, or of part numbers."""
    values = cell.values
    if kind == "gauges":
        like = 2 * _share_of_tags(values) + values.share("tag", tags.is_tag)
    else:
        like = 2 * values.share("part", evidence.is_part)
    written = [*values.texts, *map(str, values.numbers.tolist())]
    names = (len(set(written)) == len(written)) * 0.5 + 0.2 * (len(values.texts) > len(values.numbers))
    return like + names - evidence.counts_rows(values)


def _guesses(kind: Kind, known: set[str], cell: Cell) -> Iterator[tuple[float, str]]:
    """Fields that a column may be, by its heading and its cells."""
    found = False
    for meaning in read_heading(cell.text, "", kind).meanings:
        if (
            meaning.score >= POSSIBLE
            and meaning.field not in known
            and fields()[meaning.field].get("role") != "reader"
        ):
            found = True
            yield meaning.score * evidence.weigh(meaning.field, meaning.unit, cell.values), meaning.field
    name = _GUESSES[kind]
    if not found and cell.values.numeric > 0.6 and not evidence.counts_rows(cell.values):
        usual = evidence.weigh(name, "", cell.values)
        yield (0.45 if usual == 1.0 else 0.3), name if usual == 1.0 and name not in known else _OTHER[kind]


_OTHER: Final[Mapping[str, str]] = {"gauges": "visible_range", "floats": "float_length"}


def no_gauge(path: Path, gauges: Sequence[Made], skipped: Mapping[str, int]) -> str:
    """Why no row of the lists of a workbook is audited, and how a person can say that they are gauges."""
    if skipped:
        seen = ", ".join(f"{count} x {reason}" for reason, count in skipped.items())
        which = [made for made in gauges if made.skipped]
        why = f"its rows are {seen}"
    else:
        which = list(gauges)
        why = "nothing in it says that it is a list of level gauges"
    sheets = " and ".join(dict.fromkeys(repr(made.table.sheet) for made in which))
    text = (
        f"{path}: no float level gauge found in {sheets}, so that nothing was audited; {why}. A gauge is"
        " known by its letters (LG), by a type that says magnetic or float, or by float data in its row"
    )
    return text + _of_types(which)


def _of_types(which: Sequence[Made]) -> str:
    """The option that names a column of types or of floats, where one was not understood."""
    for made in which:
        for found in made.table.unrecognised:
            if found.filled and not found.known_as:
                place = f"{made.table.sheet}:{found.column}"
                floats, types = option("float_part", place), option("instrument_type", place)
                return f"; if {found.heading!r} names the floats, {floats}; if the types, {types}"
    return ""
