"""Machine names as headings, and a legend elsewhere in the workbook that says what they stand for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from xlfuncs.lists.tags import is_tag
from xlfuncs.lists.upright import Place, Property, Record, Records, is_unit_text
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import promises

_LEAST: Final = 4
"""Names that a legend explains, at least."""
_EXPLAINED: Final = 0.6
"""Share of the headings that the legend explains."""
_ROWS: Final = 500
_COLS: Final = 12
_SEARCHED: Final = 30
_LARGE: Final = 20_000


@dataclass(frozen=True, slots=True)
class Legend:
    """What some names mean."""

    sheet: str
    meanings: Mapping[str, tuple[str, str]]
    """Name -> what it means, and its unit."""


def legends(grids: Sequence[Grid]) -> list[Legend]:
    """The legends of a workbook: sheets of names beside what they mean."""
    return [found for grid in grids if grid.values.size and (found := _legend(grid)) is not None]


def _legend(grid: Grid) -> Legend | None:
    rows = grid.values[:_ROWS, :_COLS].tolist()
    if len(grid.rows) > _ROWS:
        return None
    columns = list(zip(*rows, strict=True))
    for j, column in enumerate(columns):
        names = [i for i, value in enumerate(column) if _is_name(value)]
        if len(names) < _LEAST:
            continue
        for k, other in enumerate(columns):
            texts = {i: other[i] for i in names if isinstance(other[i], str) and other[i].strip()}
            told = sum(
                len(words := text.split()) > 1 and promises(" ".join(words)) for text in texts.values()
            )
            if k == j or told < max(_LEAST, 0.4 * len(names)):
                continue
            unit = next((m for m, c in enumerate(columns) if m not in (j, k) and _holds_units(c, names)), -1)
            return Legend(
                grid.sheet,
                {
                    str(column[i]).strip().casefold(): (
                        " ".join(text.split()),
                        str(columns[unit][i]).strip() if unit >= 0 else "",
                    )
                    for i, text in texts.items()
                },
            )
    return None


def _is_name(value: Any) -> bool:
    text = value.strip() if isinstance(value, str) else ""
    return 0 < len(text) <= 30 and len(text.split()) == 1 and not is_unit_text(text)


def _holds_units(column: Sequence[Any], rows: list[int]) -> bool:
    return sum(is_unit_text(column[i]) for i in rows) >= 2


def records_of(grid: Grid, known: Sequence[Legend]) -> Iterator[Records]:
    """The sheet as a list whose headings a legend explains."""
    if len(grid.rows) > _LARGE:
        return
    rows = grid.values[:_SEARCHED].tolist()
    for legend in known:
        if legend.sheet == grid.sheet:
            continue
        for i, row in enumerate(rows):
            texts = {j: v.strip().casefold() for j, v in enumerate(row) if isinstance(v, str) and v.strip()}
            told = sum(text in legend.meanings for text in texts.values())
            if told >= max(_LEAST, _EXPLAINED * len(texts)):
                yield _explained(grid, i, texts, legend)
                break


def _explained(grid: Grid, heading: int, texts: dict[int, str], legend: Legend) -> Records:
    properties = []
    line = int(grid.rows[heading])
    for j, text in texts.items():
        meaning, unit = legend.meanings.get(text, ("", ""))
        name = " ".join(str(grid.values[heading, j]).split())
        shown = f"{name} = {meaning}" if meaning else name
        stated = unit if is_unit_text(unit) else ""
        properties.append(Property(shown, line, int(grid.cols[j]), unit=stated, key=meaning or name))
    records = []
    for i in range(heading + 1, len(grid.rows)):
        row = grid.values[i].tolist()
        if sum(row[j] not in ("", None) for j in texts) < 2:
            continue
        number = int(grid.rows[i])
        cells = {p: Place(row[j], number, int(grid.cols[j])) for p, j in enumerate(texts)}
        if any(isinstance(place.value, str) and is_tag(place.value.strip()) for place in cells.values()):
            records.append(Record(cells))
    return Records(
        grid,
        f"a list whose headings {legend.sheet!r} explains",
        properties,
        records,
        grid.sheet,
        legend=legend.sheet,
    )
