"""A list in a sheet to a `Table`: the cells of its columns, read, and what was seen while reading them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists.columns import (
    Cells,
    Quantities,
    is_error,
    is_placeholder,
    quantity_column,
    text_column,
    times_density,
)
from xlfuncs.lists.found import Found, Layout
from xlfuncs.lists.heads import heading_texts, split_cell, split_units
from xlfuncs.lists.measured import WAYS
from xlfuncs.lists.model import Column, Doubt, Recognised, State, Table
from xlfuncs.lists.rows import Rows, find_rows
from xlfuncs.lists.selection import Selected, of_gauges, select
from xlfuncs.lists.tags import is_tag
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind, fields, named_field, several_units, unit_in
from xlfuncs.vocabulary.words import says_normal_level

_CENTRES: Final = re.compile(
    r"(?i)\b(?:c\s?[/-]\s?c|cc|ctc|c to c|cent(?:re|er) to cent(?:re|er)|c-c)\b\s*[:=]?"
)


_WORTH_ASKING: Final = 0.68
"""Score from which a person is asked whether a column is a field."""
_PLAIN_NUMBER: Final = re.compile(r"[+-]?\d+(?:\.\d+)?")
_BETWEEN_TWO: Final = (r"\n", r"\s+/\s+", r"@|\bat\b", r"[/|;]")
"""What stands between the two values of one cell, the surest first."""
_TWO_NUMBERS: Final = re.compile(r"(\d+(?:[.,]\d+)?)(\D+?)([+-]?\d+(?:[.,]\d+)?)")


@dataclass(slots=True)
class Source:
    """A column of a list, before it is read."""

    found: Found
    cells: Cells
    letter: str
    units: NDArray[np.object_] | None = None
    """The unit that stands beside each value."""


@dataclass(slots=True)
class Made:
    """A table and what was seen while making it."""

    table: Table
    doubts: list[Doubt] = field(default_factory=list)
    skipped: Counter[str] = field(default_factory=Counter)
    selected: Selected | None = None
    labels: list[Found] = field(default_factory=list)
    """Of a sheet of labels and values, what each label was taken for."""
    rows: dict[str, NDArray[np.int64]] = field(default_factory=dict)
    """What became of rows of the sheet ('audited', 'heading') -> which."""


def make(grid: Grid, layout: Layout) -> Made:
    """The table of a list whose records are rows."""
    rows = find_rows(grid, layout)
    sheet = np.full(len(rows.records), grid.sheet, dtype=object)
    sources = {
        name: Source(
            found,
            _part(_cells(grid, rows, found.index, sheet), found),
            column_letter(int(grid.cols[found.index])),
            grid.values[rows.records, layout.units_beside[name]] if name in layout.units_beside else None,
        )
        for name, found in layout.columns.items()
    }
    hidden_fields = {
        name for name, found in layout.columns.items() if int(grid.cols[found.index]) in grid.hidden_cols
    }
    above = [
        text
        for row in heading_texts(grid, max(0, layout.headings[0] - 10), layout.headings[0])
        for text in row
    ]
    title = " ".join(filter(None, [grid.sheet, *above]))
    made = assemble(grid, layout.kind, sources, grid.rows[rows.records], title)
    made.table.hidden_fields = hidden_fields
    made.table.unrecognised = [_unrecognised(grid, rows, found, sheet) for found in layout.others]
    made.rows["heading"] = grid.rows[list(layout.headings)]
    if rows.continued:
        made.rows["component"] = grid.rows[sorted(rows.continued)]
    return made


def _unrecognised(grid: Grid, rows: Rows, found: Found, sheet: NDArray[np.object_]) -> Recognised:
    letter = column_letter(int(grid.cols[found.index]))
    out = _recognised(grid.sheet, found, "", found.unit, found.unit_source, letter)
    if found.doubted:
        out.runner_up, out.runner_up_confidence = found.doubted, round(min(found.score, 1.0), 2)
    elif found.reading is not None:
        out.known_as = found.known or found.reading.foreign.replace("_", " ")
    cells = (grid.values[record, found.index] for record in rows.records)
    if rows.continued:
        cells = iter(_cells(grid, rows, found.index, sheet).raw.tolist())
    out.filled = any(value is not None and str(value).strip() != "" for value in cells)
    return out


def assemble(
    grid: Grid, kind: Kind, sources: dict[str, Source], rows: NDArray[np.int64], title: str = ""
) -> Made:
    """Read the columns, and keep the records that are gauges (all, of a float list)."""
    made = Made(Table(kind, grid.sheet, {}, [], rows, np.zeros(len(rows), dtype=bool)))
    columns = _values(grid, sources, made)
    if kind == "floats":
        made.rows["float list"] = rows
        made.doubts += _without_part(columns.get("float_part"))
    if kind == "gauges":
        every = rows
        made.selected = select(grid, columns, len(rows), title)
        made.skipped += made.selected.skipped
        columns, rows = made.selected.columns, rows[made.selected.records]
        made.rows["audited"] = rows
        if made.selected.reasons:
            reasons = np.array(made.selected.reasons, dtype=object)
            made.rows |= {why: every[reasons == why] for why in dict.fromkeys(made.selected.reasons) if why}
        if len(rows) and not of_gauges(columns, title or grid.sheet):
            text = "looks like a list, but not one of level gauges: none of its rows was audited"
            made.doubts = [Doubt("sheet", grid.sheet, "", text)]
            made.rows = {"list of something else": every}
            columns, rows = {name: column.take(rows[:0]) for name, column in columns.items()}, rows[:0]
    table = made.table
    table.columns = {
        name: column
        for name, column in columns.items()
        if fields()[name].get("role") != "reader" and (column.state != State.BLANK).any()
    }
    table.row = rows
    hidden = np.fromiter(grid.hidden_rows, np.int64, len(grid.hidden_rows))
    table.hidden = np.isin(rows, hidden) | grid.hidden
    return made


# --- cells ---------------------------------------------------------------------------------------


def _cells(grid: Grid, rows: Rows, index: int, sheet: NDArray[np.object_]) -> Cells:
    """The cells of a column; one merged over several rows counts for each of them."""
    records = rows.records
    adjacent = len(records) > 0 and records[-1] - records[0] == len(records) - 1
    where: Any = slice(records[0], records[-1] + 1) if adjacent else records
    raw, row = grid.values[where, index].copy(), grid.rows[where].copy()
    col = np.full(len(records), int(grid.cols[index]), dtype=np.int64)
    number = int(grid.cols[index])
    for top, left, bottom in grid.merged_down(number):
        first, last = np.searchsorted(row, (top + 1, bottom + 1)).tolist()
        if last > first and top >= row[0]:
            raw[first:last] = grid.value(top, left)
            row[first:last], col[first:last] = top, left
    if rows.continued:
        at = {int(record): i for i, record in enumerate(records.tolist())}
        for more, start in rows.continued.items():
            i = at.get(start)
            if i is not None and raw[i] == "" and grid.values[more, index] != "":
                raw[i], row[i] = grid.values[more, index], grid.rows[more]
    return Cells(raw, sheet, row, col, grid.uncalculated)


def _part(cells: Cells, found: Found) -> Cells:
    """The cells, or that value of each which a heading of several quantities means."""
    if found.part < 0:
        return cells
    raw = np.empty(len(cells.raw), dtype=object)
    raw[:] = [split_cell(value, found.parts, found.shared)[found.part] for value in cells.raw.tolist()]
    if found.field == "tag":
        raw[:] = [lone_tag(part, value) for part, value in zip(raw.tolist(), cells.raw.tolist(), strict=True)]
    return replace(cells, raw=raw)


def lone_tag(part: Any, value: Any) -> Any:
    """The tag of a cell that holds it alone, where others hold that of the transmitter too."""
    return value if part == "" and isinstance(value, str) and is_tag(value.strip()) else part


def _values(grid: Grid, sources: dict[str, Source], made: Made) -> dict[str, Column]:
    """The columns of a list, read; what was recognised and what is in doubt goes into `made`."""
    out: dict[str, Column] = {}
    kinematic: dict[str, NDArray[np.bool_]] = {}
    falling: dict[str, list[int]] = {}
    percent: dict[str, Source] = {}
    _centres_in_range(sources)
    _same_in_one(sources)
    _pairs(sources)
    for name, source in sources.items():
        found = source.found
        unit, unit_source = found.unit, found.unit_source
        if fields()[name]["kind"] == "quantity":
            choices = several_units(found.heading, name) if not unit else ()
            cells = source.cells
            if "split" in fields()[name]:
                cells, falling[name] = _rising(cells)
            if _in_percent(name, source):
                percent[name] = source
                continue
            if len(choices) == 2 and not unit:
                cells = _in_both_units(cells, choices)
            read = quantity_column(name, cells, unit, choices, units=source.units, unfit=found.misfit)
            out[name] = read.column
            if read.kinematic is not None:
                kinematic[name] = read.kinematic
            if read.source:
                unit, unit_source = read.unit, "cells" if read.source == "told" else read.source
            _doubt_unit(grid, name, found, read, made)
        else:
            out[name] = text_column(name, source.cells)
        made.table.recognised.append(_recognised(grid.sheet, found, name, unit, unit_source, source.letter))
    for name, which in kinematic.items():
        times_density(out[name], which, out.get("fluid_density"))
    _measured_otherwise(grid.sheet, sources, out, made, ("visible_high",))
    _of_visible_range(grid, out, percent, made)
    _split(out, falling)
    _ends(out)
    _level_of_current(sources, out)
    _measured_otherwise(grid.sheet, sources, out, made, WAYS)
    return out


def _level_of_current(sources: dict[str, Source], columns: dict[str, Column]) -> None:
    """A current 'at normal level' belongs to the level that a column of its own states."""
    current, level = sources.get("stated_current"), columns.get("normal_level")
    if current is None or level is None or "stated_level" in columns:
        return
    if says_normal_level(current.found.heading):
        columns["stated_level"] = replace(
            level, field="stated_level", low=level.low.copy(), high=level.high.copy()
        )


def _recognised(sheet: str, found: Found, name: str, unit: str, source: str, letter: str) -> Recognised:
    return Recognised(
        name,
        sheet,
        letter,
        found.heading,
        found.heading_cell,
        unit,
        source,  # type: ignore[arg-type]
        round(min(found.score, 1.0), 2),
        found.runner_up,
        round(min(found.runner_up_score, 1.0), 2),
    )


# --- fields that share a cell, or stand in two ------------------------------------------------------


def _same_in_one(sources: dict[str, Source]) -> None:
    """'C-C = visible range': one number is both, where no other column states the second."""
    for name, other in (_SAME, _SAME[::-1]):
        source = sources.get(name)
        if source is None or other in sources or source.found.part >= 0:
            continue
        heading = source.found.heading.removeprefix(" / ".join((*source.found.above, "")))
        pieces = [piece.strip(" ()[]") for piece in _EQUAL.split(heading)]
        named = {piece: named_field(piece, "gauges", _SAME) for piece in pieces if piece}
        if len(pieces) > 1 and {*named.values()} >= {*_SAME}:
            sources[other] = replace(source, found=replace(source.found, field=other))


_SAME: Final = ("connection_distance", "visible_range")
_EQUAL: Final = re.compile(r"\s*=\s*|\s+/\s+|\(=|\n")


def _centres_in_range(sources: dict[str, Source]) -> None:
    """A centre distance that is written in the column of the range ('c/c 1500') goes to its own field."""
    source = sources.get("visible_range")
    if source is None:
        return
    cells = source.cells
    listed = cells.raw.tolist()
    if str not in set(map(type, listed)):
        return
    marked = [i for i, value in enumerate(listed) if isinstance(value, str) and _CENTRES.search(value)]
    if not marked:
        return
    n = len(cells.raw)
    other = sources.get("connection_distance")
    if other is None:
        distance = Cells(
            np.full(n, "", dtype=object), cells.sheet, np.zeros(n, np.int64), np.zeros(n, np.int64), ()
        )
        other = sources["connection_distance"] = Source(source.found, distance, source.letter)
    cells.raw = cells.raw.copy()
    for i in marked:
        text = _CENTRES.sub(" ", cells.raw[i]).strip(" ()=:")
        if other.cells.raw[i] == "":
            other.cells.raw[i], other.cells.row[i], other.cells.col[i] = text, cells.row[i], cells.col[i]
        cells.raw[i] = ""


def _pairs(sources: dict[str, Source]) -> None:
    """'10 / 45' under 'Operating P/T' is two fields of one cell."""
    for name in [name for name in sources if "pair" in fields()[name]]:
        source = sources.pop(name)
        cells = source.cells
        pieces = [_two(value) for value in cells.raw.tolist()]
        for place, target in enumerate(fields()[name]["pair"]):
            if target in sources:
                continue
            raw = np.empty(len(pieces), dtype=object)
            raw[:] = [piece[place] for piece in pieces]
            unit = unit_in(source.found.heading, target) or _unit_of_one(source.found.unit_row, place, target)
            found = replace(source.found, field=target, unit=unit, unit_source="heading" if unit else "")
            sources[target] = Source(found, replace(cells, raw=raw), source.letter)


def _unit_of_one(text: str, place: int, target: str) -> str:
    """The unit of the first or second of two values, from a cell that holds both ('barg / °C')."""
    pieces = split_units(text)
    return unit_in(pieces[place], target) if place < len(pieces) else ""


def _two(value: Any) -> tuple[Any, Any]:
    """The two values of a cell; a cell with one is left for the reader to refuse."""
    if value == "" or is_error(value) or is_placeholder(str(value), True):
        return value, value
    pieces = next((p for mark in _BETWEEN_TWO if len(p := re.split(mark, str(value))) == 2), None)
    if pieces is None:
        return f"{value} /", f"{value} /"
    first, second = (
        float(part) if _PLAIN_NUMBER.fullmatch(part.strip()) else part.strip() for part in pieces
    )
    return first, second


_TWICE: Final = re.compile(r"\s*([+-]?[\d.,]+)\s*[(/\n]\s*([+-]?[\d.,]+)\s*\)?\s*")


def _in_both_units(cells: Cells, units: tuple[str, ...]) -> Cells:
    """'140 (20)' below 'kPag (psig)' with both units written out, so that the two are held against
    each other."""
    raw = cells.raw.copy()
    for i, value in enumerate(raw.tolist()):
        if isinstance(value, str) and (found := _TWICE.fullmatch(value)):
            raw[i] = f"{found[1]} {units[0]} ({found[2]} {units[1]})"
    return replace(cells, raw=raw)


def _rising(cells: Cells) -> tuple[Cells, list[int]]:
    """Ranges written from high to low ('1000 - 0', a reversed transmitter) turned round; and which."""
    raw, turned = cells.raw.copy(), []
    for i, value in enumerate(raw.tolist()):
        found = _TWO_NUMBERS.search(value) if isinstance(value, str) else None
        if found and float(found[1].replace(",", ".")) > float(found[3].replace(",", ".")):
            raw[i] = f"{value[: found.start()]}{found[3]}{found[2]}{found[1]}{value[found.end() :]}"
            turned.append(i)
    return (replace(cells, raw=raw), turned) if turned else (cells, [])


def _split(columns: dict[str, Column], falling: dict[str, list[int]]) -> None:
    """'0 to 1500' in one cell is two fields, or the place and the length of a visible range."""
    for name in [name for name in columns if "split" in fields()[name]]:
        column = columns.pop(name)
        low, high = fields()[name]["split"]
        is_range = column.given & (column.low < column.high)
        for i in np.flatnonzero(column.given & ~is_range & (column.low == column.high)).tolist():
            column.problem[i] = (
                f"holds one number, not a range 'low to high': enter the {fields()[name]['label']}"
            )
            column.state[i] = State.UNREADABLE
        for target, value in ((low, column.low), (high, column.high)):
            part = column.take(np.arange(len(column)))
            part.field, part.low = target, value.copy()
            for i in falling[name]:
                part.low[i] = column.low[i] + column.high[i] - value[i]
            part.high = part.low.copy()
            columns[target] = first_given(columns.get(target), part)
    visible = columns.get("visible_range")
    if visible is None:
        return
    is_range = visible.given & (visible.low < visible.high)
    if is_range.any():
        low_end = visible.take(np.where(is_range, np.arange(len(visible)), -1))
        low_end.field = "visible_low"
        low_end.high = low_end.low.copy()
        length = np.where(is_range, visible.high - visible.low, visible.low)
        visible.low, visible.high = length, np.where(is_range, length, visible.high)
        columns["visible_low"] = first_given(columns.get("visible_low"), low_end)


def _ends(columns: dict[str, Column]) -> None:
    """Columns of the lowest, usual and highest value make one range: every rule looks at the end
    that matters."""
    wholes = dict.fromkeys(fields()[name]["part_of"] for name in columns if "part_of" in fields()[name])
    for whole in wholes:
        parts = [name for name in columns if fields()[name].get("part_of") == whole]
        given = [columns.pop(name) for name in (whole, *parts) if name in columns]
        for column in given:
            column.field = whole
        columns[whole] = _envelope(given)


def _envelope(parts: list[Column]) -> Column:
    """The range that several columns of one field span; each record stands in the cell of its
    highest value, or of one that cannot be: the others do not hide it."""
    out = parts[0]
    for part in parts[1:]:
        both = out.given & part.given
        higher = both & (np.fmax(part.low, part.high) > np.fmax(out.low, out.high))
        low, high = np.fmin(out.low, part.low), np.fmax(out.high, part.high)
        theirs = (~out.given & part.given) | higher | (out.state == State.BLANK) | np.isin(part.state, _WRONG)
        merged = _chosen(out, part, theirs & ~np.isin(out.state, _WRONG))
        merged.low, merged.high = np.where(both, low, merged.low), np.where(both, high, merged.high)
        out = merged
    return out


_WRONG: Final = (State.IMPOSSIBLE, State.ERROR)


def _measured_otherwise(
    sheet: str, sources: dict[str, Source], columns: dict[str, Column], made: Made, names: Iterable[str]
) -> None:
    """Dimensions that the sheet measures otherwise than the audit does."""
    for name in names:
        if name not in columns:
            continue
        measured = WAYS[name](columns)
        target = measured.column.field
        columns[target] = first_given(columns.get(target), measured.column)
        if measured.lost:
            found = sources[name].found
            count = f"{measured.lost} numbers were" if measured.lost > 1 else "its number was"
            text = f"'{found.heading}' is {measured.why}: {count} not used"
            made.doubts.append(Doubt("heading", sheet, found.heading_cell, text, (target,)))


def first_given(one: Column | None, other: Column) -> Column:
    """The values of `one`, and those of `other` where it has none."""
    if one is None:
        return other
    theirs = (one.state == State.BLANK) & (other.state != State.BLANK)
    return _chosen(one, other, theirs) if theirs.any() else one


def _chosen(one: Column, other: Column, theirs: NDArray[np.bool_]) -> Column:
    """The values of `one`, and those of `other` where it is to be chosen."""
    out = one.take(np.arange(len(one)))
    for name in ("raw", "state", "low", "high", "text", "unit", "sheet", "row", "col"):
        setattr(out, name, np.where(theirs, getattr(other, name), getattr(one, name)))
    for which in ("problem", "assumed"):
        told = {i: why for i, why in getattr(one, which).items() if not theirs[i]}
        told |= {i: why for i, why in getattr(other, which).items() if theirs[i]}
        setattr(out, which, told)
    return out


# --- per cent of the visible range -------------------------------------------------------------------


def _in_percent(name: str, source: Source) -> bool:
    """Whether some values of a field are stated in per cent of the visible range."""
    if not fields()[name].get("percent"):
        return False
    beside = source.units is not None and any(
        str(unit).strip(" ()[]") == "%" for unit in source.units.tolist()
    )
    listed = source.cells.raw.tolist()
    own = str in set(map(type, listed)) and any(isinstance(value, str) and "%" in value for value in listed)
    return source.found.unit == "%" or beside or own


def _of_visible_range(grid: Grid, columns: dict[str, Column], percent: dict[str, Source], made: Made) -> None:
    """Levels in per cent, brought to lengths by the visible range of their gauge."""
    visible, start = columns.get("visible_range"), columns.get("visible_low")
    for name, source in percent.items():
        raw = source.cells.raw.copy()
        units = source.units.copy() if source.units is not None else np.full(len(raw), "", dtype=object)
        for i, value in enumerate(raw.tolist()):
            share = _share_of_range(value, str(units[i]).strip(" ()[]"), source.found.unit)
            if share is None:
                continue
            length = visible.number(i) if visible is not None and visible.given[i] else np.nan
            low = start.number(i) if start is not None and start.given[i] else 0.0
            raw[i] = float(low + share * length) if not np.isnan(length) else "per cent of an unknown range"
            units[i] = "m"
        unit = "" if source.found.unit == "%" else source.found.unit
        read = quantity_column(name, replace(source.cells, raw=raw), unit, (), units=units)
        read.column.raw = source.cells.raw
        columns[name] = read.column
        found = replace(source.found, unit="%")
        made.table.recognised.append(_recognised(grid.sheet, found, name, "%", "heading", source.letter))


def _share_of_range(value: Any, beside: str, heading: str) -> float | None:
    """0.25 for '25 %', or for 25 where '%' stands in the heading or beside it; None for what is no
    per cent."""
    if isinstance(value, str) and (found := re.fullmatch(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*(%?)\s*", value)):
        number, own = float(found[1].replace(",", ".")), bool(found[2])
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        number, own = float(value), False
    else:
        return None
    return number / 100 if own or beside == "%" or (not beside and heading == "%") else None


def _without_part(parts: Column | None) -> list[Doubt]:
    """Floats of a list whose part is 'TBC-2' or the like: no gauge can have them."""
    lost = np.flatnonzero(parts.state == State.PLACEHOLDER).tolist() if parts is not None else []
    if parts is None or not lost:
        return []
    some = ", ".join(f"{parts.address(i)} '{' '.join(str(parts.raw[i]).split())}'" for i in lost[:_SHOWN])
    more = f" and {len(lost) - _SHOWN} more" if len(lost) > _SHOWN else ""
    text = f"no part of the float list stands in {some}{more}: no gauge is matched with it"
    return [Doubt("row", str(parts.sheet[lost[0]]), parts.address(lost[0]), text)]


_SHOWN: Final = 5
"""Cells named in a doubt."""


# --- doubts --------------------------------------------------------------------------------------


def _doubt_unit(grid: Grid, name: str, found: Found, read: Quantities, made: Made) -> None:
    if not read.untold:
        return
    label, quantity = fields()[name]["label"], fields()[name]["quantity"]
    why = "neither SG nor kg/m3 fits all of them" if quantity == "density" else "their unit stands nowhere"
    count = f"{read.untold} numbers" if read.untold > 1 else "its number"
    text = f"'{found.heading}' ({label}): {count} cannot be used, {why}: write the unit into the heading"
    made.doubts.append(Doubt("unit", grid.sheet, found.heading_cell, text, (name,)))


def choices(found: Found) -> list[str]:
    """Fields that a column in doubt could be."""
    names = [found.doubted] if found.doubted else []
    if (
        found.runner_up
        and found.runner_up_score >= _WORTH_ASKING
        and found.reading is not None
        and not found.reading.foreign
    ):
        names.append(found.runner_up)
    return list(dict.fromkeys(names))
