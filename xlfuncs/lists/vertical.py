"""Data sheets: labels in one column, the values beside them; one gauge a sheet, or several side by side."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from xlfuncs.lists.columns import Cells
from xlfuncs.lists.decide import MARGIN
from xlfuncs.lists.found import FLOAT_NUMBERS, Found
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.model import Recognised
from xlfuncs.lists.tables import Made, Source, assemble
from xlfuncs.lists.tags import is_gauge, is_tag, letters_of, perhaps_gauge
from xlfuncs.lists.upright import is_unit_text
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import is_unit
from xlfuncs.vocabulary.meaning import ACCEPT, Kind, Meaning, fields, promises, read_heading, unit_in

ROWS: Final = 400
COLS: Final = 60
_REACH: Final = 10
"""Columns to the right of a label in which its value is looked for."""
_ABOVE: Final = 5
"""Rows above the first label in which tags may stand over the columns of values."""
_BY_PLACE: Final = 0.9
"""Score of a row of tags that no label names."""
_NUMBERING: Final = re.compile(
    r"^\s*(?!\d+ mA\b)(?:\d{1,3}(?:\.\d{1,3})*[.)]?|[a-z][.)])\s+(?=\D)", re.IGNORECASE
)
_INLINE: Final = re.compile(r"^([^:]{2,60}):\s*(\S.{0,100})$")


@dataclass(slots=True)
class _Label:
    """A label cell and what it was taken for."""

    row: int
    col: int
    text: str
    section: str
    taken: Meaning
    second: Meaning | None
    inline: str = ""
    said: bool = False
    unit: str = ""
    """That a person has said."""


@dataclass(slots=True)
class _Sheet:
    grid: Grid
    values: list[list[Any]]
    labels: list[_Label] = field(default_factory=list)
    unknown: list[tuple[int, int, str]] = field(default_factory=list)


def read_vertical(grid: Grid, instructions: Instructions) -> Made | None:
    """The gauges (or the float) of a sheet of labels and values; None if it is no such sheet."""
    values = [row[:COLS] for row in grid.values[:ROWS].tolist()]
    _mark_uncalculated(grid, values)
    promising = sum(isinstance(value, str) and promises(clean(value)) for row in values for value in row)
    if promising < 4 and not instructions.of(grid.sheet):
        return None
    kinds: tuple[Kind, ...] = ("gauges", "floats")
    for kind in kinds:
        made = _read(grid, values, kind, instructions)
        if made is not None:
            return made
    return None


def _mark_uncalculated(grid: Grid, values: list[list[Any]]) -> None:
    """Formulas without a value are no blank cells: a label beside one has its value cell."""
    if not grid.uncalculated:
        return
    rows = {row: i for i, row in enumerate(grid.rows[:ROWS].tolist())}
    cols = {col: j for j, col in enumerate(grid.cols[:COLS].tolist())}
    for row, col in grid.uncalculated:
        if row in rows and col in cols:
            values[rows[row]][cols[col]] = None


def clean(text: str) -> str:
    text = " ".join(text.split())
    return _NUMBERING.sub("", text).rstrip(" :=.") if len(text) <= 120 else ""


def _read(grid: Grid, values: list[list[Any]], kind: Kind, instructions: Instructions) -> Made | None:
    sheet = _Sheet(grid, values)
    _find_labels(sheet, kind, instructions)
    label_cols = {label.col for label in sheet.labels}
    _tags_as_headings(sheet, kind)
    records = _value_columns(sheet, label_cols)
    sources: dict[str, Source] = {}
    rows = np.zeros(len(records), dtype=np.int64)
    for label in sheet.labels:
        name = label.taken.field
        if name in sources or kind not in fields()[name]["tables"]:
            continue
        cells, unit = _value_cells(sheet, label, records, label_cols)
        if cells is None:
            continue
        if _is_type(label, cells) and "float_part" not in sources:
            name = "float_part"
        rows = np.where((cells.row > 0) & ((rows == 0) | (cells.row < rows)), cells.row, rows)
        heading = " / ".join(filter(None, (label.section, label.text)))
        stated = label.unit or unit_in(unit, name) or label.taken.unit
        second = label.second
        found = Found(
            name,
            label.col,
            heading,
            grid.address(label.row, label.col),
            stated,
            ("unit row" if unit else "heading") if stated else "",
            label.taken.score,
            second.field if second else "",
            second.score if second else 0.0,
            unit_row=unit,
        )
        where = int(cells.col[cells.col > 0][0]) if (cells.col > 0).any() else int(grid.cols[label.col])
        sources[name] = Source(found, cells, column_letter(where))
    if not (_is_data_sheet(sources, kind) or instructions.vouch_labels(grid.sheet, kind, sources)):
        return None
    labels = [source.found for source in sources.values()]
    made = assemble(grid, kind, sources, rows)
    made.labels = labels
    lines = {int(row) for source in sources.values() for row in source.cells.row.tolist()} - {0}
    what = "audited" if kind == "gauges" else "float list"
    made.rows = {what: np.array(sorted(lines), dtype=np.int64)}
    tag = made.table.columns.get("tag")
    if tag is not None and kind == "gauges":
        hidden = np.fromiter(grid.hidden_cols, np.int64, len(grid.hidden_cols))
        made.table.hidden = np.isin(tag.col, hidden) | grid.hidden
    made.table.hidden_fields = {
        name for name, source in sources.items() if int(source.cells.row[0]) in grid.hidden_rows
    }
    made.table.unrecognised = [
        Recognised(
            "", grid.sheet, column_letter(int(grid.cols[j])), text, grid.address(i, j), "", filled=True
        )
        for i, j, text in sheet.unknown
        if j in label_cols
    ]
    return made


def _find_labels(sheet: _Sheet, kind: Kind, instructions: Instructions) -> None:
    sections: dict[int, str] = {}
    for i, row in enumerate(sheet.values):
        for j, value in enumerate(row):
            if not isinstance(value, str) or not value.strip():
                continue
            inline = _INLINE.match(" ".join(value.split()))
            text = clean(inline[1] if inline else value)
            said = instructions.label(sheet.grid.sheet, int(sheet.grid.rows[i]), int(sheet.grid.cols[j]))
            if said is None and (not text or ((is_tag(text) or is_unit(text)) and not promises(text))):
                continue
            has_value = bool(inline) or _next_filled(row, j) is not None
            if not has_value:
                if not _names_quantity(text, kind):  # 'Viscosity' without a value is no section
                    sections[j] = text
                continue
            if said is not None:
                section, value = sections.get(j, ""), inline[2] if inline else ""
                if said.field:
                    meaning = Meaning(said.field, 1.0, unit_in(text, said.field))
                    sheet.labels.append(_Label(i, j, text, section, meaning, None, value, True, said.unit))
                continue
            taken, second = _meaning(text, sections.get(j, ""), kind, _unit_beside(row, j))
            if taken is not None:
                sheet.labels.append(
                    _Label(i, j, text, sections.get(j, ""), taken, second, inline[2] if inline else "")
                )
            elif taken is None and not any(map(str.isdigit, text)):
                sheet.unknown.append((i, j, text))
    _drop_values(sheet)
    spoken = {label.taken.field for label in sheet.labels if label.said}
    sheet.labels = [label for label in sheet.labels if label.said or label.taken.field not in spoken]


def _tags_as_headings(sheet: _Sheet, kind: Kind) -> None:
    """Tags that stand over the columns of values, with no label 'Tag' beside them, are the gauges'."""
    if kind != "gauges" or not sheet.labels or any(label.taken.field == "tag" for label in sheet.labels):
        return
    first = min(label.row for label in sheet.labels)
    left = min(label.col for label in sheet.labels)
    for i in range(first - 1, max(first - _ABOVE, 0) - 1, -1):
        row = sheet.values[i]
        values = [k for k in range(left + 1, len(row)) if row[k] not in ("", None)]
        named = [k for k in values if isinstance(row[k], str) and _names_gauge(row[k])]
        if named and values[-len(named) :] == named:
            alone = len(named) == 1
            col, inline = (named[0], str(row[named[0]])) if alone else (left, "")
            sheet.labels.append(
                _Label(i, col, str(row[left] or ""), "", Meaning("tag", _BY_PLACE), None, inline)
            )
            return


def _names_gauge(text: str) -> bool:
    return is_tag(text) and (is_gauge(letters_of(text)) or perhaps_gauge(letters_of(text)))


def _drop_values(sheet: _Sheet) -> None:
    """Values that look like labels ('Fluid': 'Product') stand right of a label in a column of few labels."""
    count: dict[int, int] = {}
    for label in sheet.labels:
        count[label.col] = count.get(label.col, 0) + 1
    most = max(count.values(), default=0)
    sheet.labels = [
        label
        for label in sheet.labels
        if count[label.col] >= max(2, 0.25 * most) or label.inline or label.said
    ]


def _next_filled(row: list[Any], j: int) -> int | None:
    for k in range(j + 1, min(j + 1 + _REACH, len(row))):
        if row[k] != "" and not (isinstance(row[k], str) and not row[k].strip()):
            return k
    return None


def _names_quantity(text: str, kind: Kind) -> bool:
    taken, _ = settle(text, "", kind, "")
    return taken is not None and fields()[taken.field]["kind"] == "quantity"


def _meaning(text: str, section: str, kind: Kind, unit: str) -> tuple[Meaning | None, Meaning | None]:
    """What a label is taken for. What stands above may be a title; what looks like a unit, its value."""
    for above, beside in ((section, unit), ("", unit), (section, ""), ("", "")):
        taken, second = settle(text, above, kind, beside)
        if taken is not None:
            return taken, second
    return None, None


def settle(text: str, group: str, kind: Kind, unit: str) -> tuple[Meaning | None, Meaning | None]:
    """(what a label surely means, the runner-up)."""
    found = read_heading(text, group, kind, unit).meanings
    if not found or found[0].score < ACCEPT:
        return None, found[0] if found else None
    second = found[1] if len(found) > 1 else None
    if second is not None and second.score > found[0].score - MARGIN:
        return None, found[0]
    return found[0], second


def _unit_beside(row: list[Any], j: int) -> str:
    """The text of the unit cell right of a label, "" if there is none."""
    return next((value for value in row[j + 1 : j + 1 + _REACH] if is_unit_text(value)), "")


def _value_columns(sheet: _Sheet, label_cols: set[int]) -> list[int | None]:
    """The columns of the gauges: those with a tag in the row of the tag; [None] for a sheet of one gauge."""
    for label in sheet.labels:
        if label.taken.field == "tag" and not label.inline:
            row = sheet.values[label.row]
            found = [
                k
                for k in range(label.col + 1, len(row))
                if isinstance(row[k], str) and is_tag(row[k]) and k not in label_cols
            ]
            if len(found) > 1:
                return list(found)
    return [None]


def _value_cells(
    sheet: _Sheet, label: _Label, records: list[int | None], label_cols: set[int]
) -> tuple[Cells | None, str]:
    """(the values beside a label, the text of its unit cell)."""
    grid, row = sheet.grid, sheet.values[label.row]
    n = len(records)
    raw: list[Any] = []
    cols: list[int] = []
    unit = ""
    if label.inline:
        raw, cols = [label.inline] * n, [int(grid.cols[label.col])] * n
    elif records == [None]:
        end = min((col for col in label_cols if col > label.col), default=len(row))
        filled = [k for k in range(label.col + 1, min(end, label.col + 1 + _REACH, len(row))) if row[k] != ""]
        is_text = fields()[label.taken.field]["kind"] == "text"  # where 'N' is no, not newton
        values = [k for k in filled if is_text or not is_unit_text(row[k])]
        units = [k for k in filled if k not in values]
        unit = str(row[units[0]]) if units else ""
        if not values:
            return None, ""
        raw, cols = [row[values[0]]], [int(grid.cols[values[0]])]
    else:
        between = [
            str(row[k]) for k in range(label.col + 1, len(row)) if k not in records and is_unit_text(row[k])
        ]
        unit = between[0] if between else ""
        raw = [row[k] if k is not None else "" for k in records]
        cols = [int(grid.cols[k]) if k is not None else 0 for k in records]
        if all(value == "" for value in raw):
            return None, ""
    values_array = np.empty(n, dtype=object)
    values_array[:] = raw
    rows = np.full(n, int(grid.rows[label.row]), dtype=np.int64)
    names = np.full(n, grid.sheet, dtype=object)
    return Cells(values_array, names, rows, np.array(cols, dtype=np.int64), grid.uncalculated), unit


def _is_type(label: _Label, cells: Cells) -> bool:
    """Whether a 'float no.' is the float's type: several gauges have the same."""
    second = label.second
    texts = [str(value).strip() for value in cells.raw.tolist() if value != ""]
    return (
        label.taken.field == "float_serial"
        and second is not None
        and second.field == "float_part"
        and second.score >= ACCEPT
        and len(set(texts)) < len(texts)
    )


def _is_data_sheet(sources: dict[str, Source], kind: Kind) -> bool:
    if kind == "floats":
        return "float_part" in sources and sum(name in sources for name in FLOAT_NUMBERS) >= 3
    tag = sources.get("tag")
    if tag is None or not any(isinstance(value, str) and is_tag(value) for value in tag.cells.raw.tolist()):
        return False
    telling = [name for name in sources if fields()[name]["kind"] == "quantity"]
    return len(sources) >= 5 and len(telling) >= 2
