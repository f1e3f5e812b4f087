"""A list in a sheet to a `Table`: which rows are gauges, which values their columns hold."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.units import is_unit
from xlfuncs.workbook import tags
from xlfuncs.workbook.columns import Cells, Quantities, is_placeholder, quantity_column, text_column
from xlfuncs.workbook.grid import Grid
from xlfuncs.workbook.headings import fields, fold
from xlfuncs.workbook.layout import Found, Layout
from xlfuncs.workbook.model import Column, Doubt, Recognised, State, Table, column_letter

FLOAT_DATA: Final = (
    "float_part", "float_serial", "float_mass", "float_diameter", "float_length", "magnet_height",
    "float_design_density",
)  # fmt: skip
_LOOSE: Final = ("tag", "old_tag", "area", "service", "remarks", "instrument_type")
"""Fields that a section row or a note may fill as well."""
_TAG_PARTS: Final = ("tag_area", "tag_letters", "tag_number", "tag_suffix")


@dataclass(slots=True)
class Made:
    """A table and what was seen while making it."""

    table: Table
    doubts: list[Doubt] = field(default_factory=list)
    skipped: Counter[str] = field(default_factory=Counter)


def make(grid: Grid, layout: Layout) -> Made:
    """The table of a list."""
    records = _records(grid, layout)
    made = Made(Table(layout.kind, grid.sheet, {}, [], np.empty(0, np.int64), np.empty(0, bool)))
    columns = _values(grid, layout, records, made)
    if layout.kind == "gauges":
        records, columns = _gauges_only(grid, layout, records, columns, made)
    rows = grid.rows[records]
    table = made.table
    table.columns = {
        name: column
        for name, column in columns.items()
        if fields()[name].get("role") != "reader" and (column.state != State.BLANK).any()
    }
    table.row = rows
    table.hidden = np.isin(rows, np.fromiter(grid.hidden_rows, np.int64, len(grid.hidden_rows)))
    if grid.hidden:
        table.hidden = np.ones(len(rows), dtype=bool)
    table.hidden_fields = {
        name for name, found in layout.columns.items() if int(grid.cols[found.index]) in grid.hidden_cols
    }
    return made


# --- rows ----------------------------------------------------------------------------------------


def _records(grid: Grid, layout: Layout) -> NDArray[np.int64]:
    """Indexes of the rows that hold a record: no blank, section, heading, total or note rows."""
    key = _key_column(layout)
    first, last = layout.first, layout.last
    taken = [found.index for found in layout.columns.values()]
    values = grid.values[first:last]
    likely = np.zeros(last - first, dtype=bool)
    if key is not None:
        is_key = tags.is_tag if layout.kind == "gauges" else _is_part
        column = values[:, key].tolist()
        likely = np.fromiter(
            (isinstance(value, str) and is_key(value) for value in column), bool, len(column)
        )
    headings = _heading_cells(grid, layout)
    loose = {layout.columns[name].index for name in _LOOSE if name in layout.columns}
    numeric = [found.index for name, found in layout.columns.items() if fields()[name]["kind"] == "quantity"]
    for i in np.flatnonzero(~likely).tolist():
        row = values[i].tolist()
        likely[i] = _is_record(row, key, taken, loose, numeric, headings)
    return np.flatnonzero(likely) + first


def _key_column(layout: Layout) -> int | None:
    for name in ("tag", "tag_number") if layout.kind == "gauges" else ("float_part", "float_serial"):
        if name in layout.columns:
            return layout.columns[name].index
    return None


def _is_part(text: str) -> bool:
    return any(map(str.isdigit, text)) and len(text) <= 60 and not tags.ends_list(text)


def _heading_cells(grid: Grid, layout: Layout) -> dict[int, set[str]]:
    """Column -> the texts of its headings, by which a repeated heading row is known."""
    out: dict[int, set[str]] = {}
    for i in layout.headings:
        for j, value in enumerate(grid.values[i].tolist()):
            if isinstance(value, str) and value.strip():
                out.setdefault(j, set()).add(fold(value))
    return out


def _is_record(
    row: list[Any],
    key: int | None,
    taken: list[int],
    loose: set[int],
    numeric: list[int],
    headings: dict[int, set[str]],
) -> bool:
    """Whether a row without a usual tag is a gauge (or a float) all the same."""
    filled = [j for j in taken if row[j] != "" and not (isinstance(row[j], str) and not row[j].strip())]
    if not filled:
        return False
    repeated = sum(isinstance(row[j], str) and fold(row[j]) in headings.get(j, ()) for j in filled)
    if repeated >= max(2, len(filled) / 2) or (repeated and repeated == len(filled)):
        return False
    texts = [value for value in row if isinstance(value, str) and value.strip()]
    units = sum(is_unit(text.strip(" ()[]")) for text in texts)
    if units >= 2 and units >= len(texts) / 2 and not any(isinstance(row[j], (int, float)) for j in filled):
        return False
    name = row[key] if key is not None else ""
    first = texts[0] if texts else ""
    if isinstance(name, str) and (tags.ends_list(name) or (not name.strip() and tags.ends_list(first))):
        return False
    data = [j for j in filled if j not in loose and j != key and not is_placeholder(str(row[j]), True)]
    numbers = [j for j in data if j in numeric]
    if isinstance(name, str) and not name.strip():
        return len(data) >= 2 and bool(numbers)
    return len(data) >= 2 or bool(numbers)


# --- values --------------------------------------------------------------------------------------


def _values(grid: Grid, layout: Layout, records: NDArray[np.int64], made: Made) -> dict[str, Column]:
    """The columns of a list, read; what was recognised and what is in doubt goes into `made`."""
    sheet = np.full(len(records), grid.sheet, dtype=object)
    rows = grid.rows[records]
    out: dict[str, Column] = {}
    kinematic: dict[str, NDArray[np.bool_]] = {}
    for name, found in layout.columns.items():
        col = np.full(len(records), int(grid.cols[found.index]), dtype=np.int64)
        cells = Cells(grid.values[records, found.index], sheet, rows, col, grid.uncalculated)
        unit, source = found.unit, found.unit_source
        if fields()[name]["kind"] == "quantity":
            read = quantity_column(name, cells, unit)
            out[name] = read.column
            if read.kinematic is not None:
                kinematic[name] = read.kinematic
            unit, source = _source(read, found)
            _doubt_unit(grid, name, found, read, made)
        else:
            out[name] = text_column(name, cells)
        made.table.recognised.append(
            Recognised(
                name,
                grid.sheet,
                column_letter(int(grid.cols[found.index])),
                found.heading,
                found.heading_cell,
                unit,
                source,  # type: ignore[arg-type]
                round(min(found.score, 1.0), 2),
                found.runner_up,
                round(found.runner_up_score, 2),
            )
        )
    _times_density(out, kinematic)
    _doubt_headings(grid, layout, made)
    return out


def _source(read: Quantities, found: Found) -> tuple[str, str]:
    if read.source == "told":
        return read.unit, "cells"
    if read.source:
        return read.unit, read.source
    return found.unit, found.unit_source


def _times_density(columns: dict[str, Column], kinematic: dict[str, NDArray[np.bool_]]) -> None:
    """A kinematic viscosity becomes a dynamic one by the density of the same record."""
    density = columns.get("fluid_density")
    for name, which in kinematic.items():
        column = columns[name]
        rho = density.value if density is not None else np.full(len(column), np.nan)
        column.low, column.high = (
            np.where(which, column.low * rho, column.low),
            np.where(which, column.high * rho, column.high),
        )
        for i in np.flatnonzero(which & np.isnan(rho)).tolist():
            column.state[i] = State.UNREADABLE
            column.problem[i] = "a kinematic viscosity, and no density beside it: state it in mPa.s"


def _doubt_unit(grid: Grid, name: str, found: Found, read: Quantities, made: Made) -> None:
    if read.untold:
        label, quantity = fields()[name]["label"], fields()[name]["quantity"]
        why = (
            "SG and kg/m3 both fit some of its numbers"
            if quantity == "density"
            else "its unit stands nowhere"
        )
        made.doubts.append(
            Doubt(
                "unit",
                grid.sheet,
                found.heading_cell,
                f"'{found.heading}' ({label}): {read.untold} numbers cannot be used, {why}: "
                "write the unit into the heading",
                (name,),
            )
        )


def _doubt_headings(grid: Grid, layout: Layout, made: Made) -> None:
    """Headings that could be two things and are none of the fields already found."""
    for found in layout.others:
        choices = [
            entry
            for entry in found.matches
            if entry.score >= 0.84 and entry.score > found.matches[0].score - 0.06
        ]
        names = [entry.field for entry in choices if not entry.decoy]
        if not names or found.matches[0].decoy or all(name in layout.columns for name in names):
            continue
        meant = " or ".join(
            fields()[entry.field]["label"] if not entry.decoy else entry.field[1:].replace("_", " ")
            for entry in choices
        )
        made.doubts.append(
            Doubt(
                "heading",
                grid.sheet,
                found.heading_cell,
                f"'{found.heading}' could be {meant}: it was not used; "
                f"say which with --map {names[0]}={column_letter(int(grid.cols[found.index]))}",
                tuple(names),
            )
        )


# --- which rows are gauges -----------------------------------------------------------------------


def _gauges_only(
    grid: Grid, layout: Layout, records: NDArray[np.int64], columns: dict[str, Column], made: Made
) -> tuple[NDArray[np.int64], dict[str, Column]]:
    """Leave out other instruments, level glasses, deleted and sample rows; split several tags in a cell."""
    if "tag" not in columns and "tag_number" in columns:
        columns["tag"] = _joined_tag(columns)
    tag = columns.get("tag")
    n = len(records)
    texts = tag.text.tolist() if tag is not None else [""] * n
    has_float = np.zeros(n, dtype=bool)
    for name in FLOAT_DATA:
        if name in columns:
            has_float |= columns[name].given
    kinds = columns["instrument_type"].text.tolist() if "instrument_type" in columns else [""] * n
    usual = [tags.is_plain(text) for text in texts]
    reasons = [
        ("" if usual[i] else _no_gauge(texts[i]))
        if has_float[i]
        else _no_gauge(texts[i]) or _other_kind(texts[i], kinds[i], columns, i)
        for i in range(n)
    ]
    if grid.struck and tag is not None:
        for i in range(n):
            if (int(tag.row[i]), int(tag.col[i])) in grid.struck:
                reasons[i] = "struck through"
    made.skipped.update(filter(None, reasons))
    if all(usual) and not any(reasons):
        return records, columns
    keep: list[int] = []
    names: list[str] = []
    for i in range(n):
        if not reasons[i]:
            several = tags.split_tags(texts[i]) if not usual[i] and tags.is_tag(texts[i]) else (texts[i],)
            keep += [i] * len(several)
            names += several
    if len(keep) == n and names == texts:
        return records, columns
    which = np.array(keep, dtype=np.int64)
    columns = {name: column.take(which) for name, column in columns.items()}
    if tag is not None:
        columns["tag"].text = np.array(names, dtype=object)
    return records[which], columns


def _no_gauge(tag: str) -> str:
    return "sample row" if tag and tags.is_sample_tag(tag) else ""


def _other_kind(tag: str, kind: str, columns: dict[str, Column], i: int) -> str:
    """Why a row without float data is not audited, "" if it is."""
    letters = tags.letters_of(tag)
    said = tags.type_of(kind)
    if said == "magnetic":
        return "other instrument" if letters[:1] != "L" and tags.other_instrument(letters) else ""
    if tags.other_instrument(letters) or tags.perhaps_gauge(letters):
        return "other instrument"
    if said == "glass" or _glass_elsewhere(columns, i):
        return "level glass without float"
    return "other instrument" if said == "other" else ""


def _glass_elsewhere(columns: dict[str, Column], i: int) -> bool:
    for name in ("service", "remarks"):
        if name in columns and columns[name].text[i] and tags.type_of(columns[name].text[i]) == "glass":
            return True
    part = columns.get("float_part")
    return part is not None and bool(part.text[i]) and tags.says_no_float(part.text[i])


def _joined_tag(columns: dict[str, Column]) -> Column:
    """The tag whose parts stand in columns of their own."""
    number = columns["tag_number"]
    parts = [columns[name].text.tolist() for name in _TAG_PARTS[:3] if name in columns]
    suffix = columns["tag_suffix"].text.tolist() if "tag_suffix" in columns else [""] * len(number)
    texts = [
        ("-".join(filter(None, pieces)) + end if number.text[i] else "")
        for i, (pieces, end) in enumerate(zip(zip(*parts, strict=True), suffix, strict=True))
    ]
    joined = number.take(np.arange(len(number)))
    joined.field = "tag"
    joined.text = np.array(texts, dtype=object)
    return joined
