"""Gauges of a sheet that is no plain list, set upright: a row for each gauge, a column for each property.

Whatever the shape, what stands in it becomes `Records`: properties, each with the cell that names it, and for
each gauge its cells. From there on they are read as a list is: the same evidence decides what each is.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists.columns import Cells
from xlfuncs.lists.decide import Verdict
from xlfuncs.lists.found import FLOAT_NUMBERS, Found, is_list
from xlfuncs.lists.heads import Head, Page, is_unit_cell, split_cell, split_units, with_parts
from xlfuncs.lists.instructions import LEFT_ALONE, Instructions
from xlfuncs.lists.judge import found_of, judge
from xlfuncs.lists.model import Column, Recognised, State
from xlfuncs.lists.tables import Made, Source, assemble, lone_tag
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.grid import Grid, different
from xlfuncs.units import ImpossibleValue, UnitError, converter, is_unit, quantities_of
from xlfuncs.vocabulary.meaning import ACCEPT, Kind, Reading, fields, read_heading, unit_in
from xlfuncs.vocabulary.words import words_of

_MOST: Final = 400
"""Properties of a sheet; what has more is no form."""


@dataclass(frozen=True, slots=True)
class Place:
    """A cell: its value, and where it stands in the spreadsheet."""

    value: Any
    row: int
    col: int


@dataclass(frozen=True, slots=True)
class Property:
    """What is said of the gauges, and the cell that names it."""

    text: str
    row: int
    col: int
    above: tuple[str, ...] = ()
    unit: str = ""
    """What stands in the place of its unit."""
    key: str = ""
    """What is read instead of the text: what a machine name stands for, or a label in plainer words."""
    sure: bool = True
    """What stands above it certainly belongs to it."""
    known: str = ""
    """The field that its place in the sheet proves, whatever its words."""


@dataclass(slots=True)
class Record:
    """One gauge, or one of its cases."""

    cells: dict[int, Place] = field(default_factory=dict)
    """Number of the property -> its value."""
    units: dict[int, str] = field(default_factory=dict)
    """Number of the property -> the unit beside the value."""
    case: str = ""
    """Which of the gauge's cases it is ('Case B', 'Bidder A'); "" where it has one."""


@dataclass(slots=True)
class Records:
    """The gauges of a sheet, set upright."""

    grid: Grid
    shape: str
    """As a report names it: 'a form', 'one row for each property'."""
    properties: list[Property]
    records: list[Record]
    title: str = ""
    used: set[tuple[int, int]] = field(default_factory=set)
    """(row, column) of the cells that belong to it, besides those of properties and values."""
    legend: str = ""
    """The sheet that explains its names."""
    least: float = 1.1
    """By what factor it must be worth more than the lists of the sheet to be taken instead."""
    kinds: tuple[Kind, ...] = ("gauges", "floats")
    """What its records may be, the likelier first."""
    components: set[int] = field(default_factory=set)
    """Rows of the sheet with parts of the gauges."""


@dataclass(slots=True)
class Shaped:
    """Records, read."""

    records: Records
    made: Made
    others: list[Found]
    columns: dict[str, Found]
    worth: float
    """Values that were understood, less those that were not."""
    profiles: Page


def read(records: Records, instructions: Instructions) -> Shaped | None:
    """The gauges (or floats) of the records; None where they are none."""
    if not records.records or not 3 <= len(records.properties) <= _MOST:
        return None
    for kind in records.kinds:
        shaped = _read(_united(records, kind), kind, instructions)
        if shaped is not None:
            return shaped
    return None


def _united(records: Records, kind: Kind) -> Records:
    """The same with two names of one thing as one property, where no gauge has it by both: as where two
    contractors have filled in one document."""
    names: dict[str, list[int]] = {}
    for j, one in enumerate(records.properties):
        found = read_heading(one.key or one.text, " / ".join(one.above), kind, one.unit).meanings
        if one.known or (found and found[0].score >= ACCEPT):
            names.setdefault(one.known or found[0].field, []).append(j)
    holders = [
        frozenset(i for i, record in enumerate(records.records) if _has(record, j))
        for j in range(len(records.properties))
    ]
    into: dict[int, int] = {}
    for field_name, (first, *others) in names.items():
        held = holders[first]
        for j in others:
            if held and holders[j] and not held & holders[j]:
                into |= {first: first, j: first}
                held |= holders[j]
                _state_units(records, (first, j), field_name)
    if not into:
        return records
    kept = [j for j in range(len(records.properties)) if into.get(j, j) == j]
    number = {j: kept.index(into.get(j, j)) for j in range(len(records.properties))}
    made = [_renumbered(record, number) for record in records.records]
    gone = {(one.row, one.col) for j, one in enumerate(records.properties) if into.get(j, j) != j}
    return replace(
        records,
        properties=[records.properties[j] for j in kept],
        records=made,
        used=records.used | gone,
    )


def _renumbered(record: Record, number: dict[int, int]) -> Record:
    """A record whose properties have other numbers; of two that are one now, that with a value counts."""
    order = sorted(record.cells, key=lambda j: _has(record, j))
    return replace(
        record,
        cells={number[j]: record.cells[j] for j in order},
        units={number[j]: record.units[j] for j in order if j in record.units},
    )


def _in_one_unit(records: Records, values: Any) -> Any:
    """The values as evidence: each property's numbers in the unit that stands beside most of them."""
    out = values.copy()
    for j in range(len(records.properties)):
        stated = Counter(record.units[j] for record in records.records if record.units.get(j))
        if len(stated) < 2:
            continue
        most = stated.most_common(1)[0][0]
        for i, record in enumerate(records.records):
            unit = record.units.get(j, most)
            if unit != most and isinstance(values[i, j], (int, float)):
                out[i, j] = _converted(float(values[i, j]), unit, most)
    return out


@lru_cache(maxsize=4096)
def _converted(number: float, unit: str, into: str) -> float | str:
    """A number in another unit, for comparing; "" where the units have nothing in common."""
    for quantity in sorted(quantities_of(unit) & quantities_of(into)):
        try:
            si = converter(unit, quantity, assume=True).to_si(number)
            return converter(into, quantity, assume=True).from_si(si)
        except (UnitError, ImpossibleValue):
            continue
    return ""


def _has(record: Record, j: int) -> bool:
    place = record.cells.get(j)
    return place is not None and place.value not in ("", None)


def _state_units(records: Records, several: Sequence[int], field_name: str) -> None:
    """What the headings say of the unit, said of each value: the names may differ in it."""
    told = {j: records.properties[j].unit or unit_in(records.properties[j].text, field_name) for j in several}
    if len(set(told.values())) > 1:
        for record in records.records:
            for j, unit in told.items():
                if unit and _has(record, j) and not record.units.get(j):
                    record.units[j] = unit


def _read(records: Records, kind: Kind, instructions: Instructions) -> Shaped | None:
    values = np.full((len(records.records), len(records.properties)), "", dtype=object)
    for i, record in enumerate(records.records):
        for j, place in record.cells.items():
            values[i, j] = "" if place.value is None else place.value
    upright = Grid.block(records.grid.sheet, _in_one_unit(records, values))
    page = Page(upright, 0, 0)
    heads = with_parts(upright, 0, [_head(records, j, kind) for j in range(len(records.properties))])
    known = {j: one.known for j, one in enumerate(records.properties) if one.known}
    judged = judge(page, 0, kind, heads, instructions.parts, known)
    columns, others = _taken(records, judged, kind, instructions)
    if not (_is_index(columns, kind) or instructions.vouch_labels(records.grid.sheet, kind, columns)):
        return None
    sources = {name: _source(records, found, values) for name, found in columns.items()}
    rows = np.array([_first_row(record) for record in records.records], dtype=np.int64)
    made = assemble(records.grid, kind, sources, rows, records.title)
    _tell_cases(records, made)
    _tell_hidden(records, columns, made)
    _tell_rows(records, made)
    made.labels = list(columns.values())
    made.table.unrecognised = [_left(records, found, values) for found in others]
    return Shaped(records, made, others, columns, _worth(made), page)


def _head(records: Records, j: int, kind: Kind) -> Head:
    one = records.properties[j]
    stated = [record.units[j] for record in records.records if record.units.get(j)]
    unit = one.unit or (Counter(stated).most_common(1)[0][0] if stated else "")
    text = one.key or one.text
    above, sure = one.above, one.sure
    if not sure and above:
        sure = _names_part(above)
        with_it = _best(text, " / ".join(above), kind, unit)
        if with_it < ACCEPT or with_it <= _best(text, "", kind, unit) - (_OF_PART if sure else 0.0):
            above, sure = (), one.sure
    return Head(j, text, above, sure, _address(one), unit if is_unit_cell(unit) else "")


_OF_PART: Final = 0.12
"""By how much a label may be surer of itself than below the name of a part, and still be the part's: 'perm.
pressure' below 'Float'."""


@lru_cache(maxsize=1024)
def _names_part(above: tuple[str, ...]) -> bool:
    """Whether the title of a section is the name of a float, a transmitter or a switch, and little else."""
    said = [word for text in above for word in words_of(text) if not word.concepts <= {"filler"}]
    return 0 < len(said) <= 2 and bool({name for word in said for name in word.concepts} & _PARTS)


_PARTS: Final = frozenset({"float", "transmitter", "switch"})


def _best(text: str, group: str, kind: Kind, unit: str) -> float:
    found = read_heading(text, group, kind, unit).meanings
    return found[0].score if found else 0.0


def _address(one: Property) -> str:
    return f"{column_letter(one.col)}{one.row}"


def _taken(
    records: Records, judged: list[tuple[Head, Verdict, Reading]], kind: Kind, instructions: Instructions
) -> tuple[dict[str, Found], list[Found]]:
    """The properties by field, and those that were taken for nothing; a person's word counts first."""
    columns: dict[str, Found] = {}
    others: list[Found] = []
    for head, verdict, reading in judged:
        found = found_of(head, verdict, reading)
        one = records.properties[head.index]
        found.heading = " / ".join((*one.above, one.text)) + (f": {head.text}" if head.part >= 0 else "")
        said = instructions.label(records.grid.sheet, one.row, one.col, found.heading)
        if said is None and one.known:
            if fields()[one.known]["kind"] == "quantity":
                found.unit = unit_in(head.unit_row or head.text, one.known)
                found.unit_source = "heading" if found.unit else ""
            _give(found, one.known, columns, others)
            continue
        if said is not None and not said.field and _is_of_no_use(found):
            others.append(found)
            continue
        if said is not None and (not said.field or kind in fields()[said.field]["tables"]):
            if said.field and said.field == found.field:
                _confirm(found, said.unit, columns, others)
                continue
            if said.unit:
                found.unit, found.unit_source, found.misfit = said.unit, "said", ""
            elif said.field:
                found.unit = unit_in(head.unit_row or head.text, said.field)
                found.unit_source = "heading" if found.unit else ""
            else:
                found.known = LEFT_ALONE
            _give(found, said.field, columns, others)
            continue
        if found.field and found.field not in columns:
            columns[found.field] = found
        else:
            found.field = ""
            others.append(found)
    return columns, others


def _is_of_no_use(found: Found) -> bool:
    """Whether the audit knows what a property is, and has no use for it."""
    known = found.known or (found.reading is not None and found.reading.foreign)
    return bool(known) and not (found.field or found.doubted)


def _confirm(found: Found, unit: str, columns: dict[str, Found], others: list[Found]) -> None:
    """Keep a property as it was taken, whatever else was taken for the same."""
    found.confirmed = True
    if unit and unit != found.unit:
        found.unit, found.unit_source, found.misfit = unit, "said", ""
    other = columns.pop(found.field, None)
    if other is not None:
        other.field = ""
        others.append(other)
    columns[found.field] = found


def _give(found: Found, name: str, columns: dict[str, Found], others: list[Found]) -> None:
    """Make a property a field, whatever was taken for it; "" leaves it alone."""
    other = columns.pop(name, None)
    if other is not None:
        other.field = ""
        others.append(other)
    found.field, found.doubted, found.runner_up, found.score = name, "", "", 1.0
    if name:
        found.confirmed = True
        columns[name] = found
    else:
        others.append(found)


def _is_index(columns: dict[str, Found], kind: Kind) -> bool:
    if kind == "floats":
        return "float_part" in columns and sum(name in columns for name in FLOAT_NUMBERS) >= 3
    of_floats = "tag" in columns and sum(name in columns for name in FLOAT_NUMBERS) >= 3
    return of_floats or is_list(columns, kind)


def _source(records: Records, found: Found, values: Any) -> Source:
    j = found.index
    sheet = records.grid.sheet
    n = len(records.records)
    places = [record.cells.get(j) for record in records.records]
    raw = np.empty(n, dtype=object)
    raw[:] = [("" if place is None or place.value is None else place.value) for place in places]
    if found.part >= 0:
        raw[:] = [split_cell(value, found.parts, found.shared)[found.part] for value in raw.tolist()]
        if found.field == "tag":
            whole = [place.value if place is not None else "" for place in places]
            raw[:] = [lone_tag(part, value) for part, value in zip(raw.tolist(), whole, strict=True)]
    rows = np.array([place.row if place else 0 for place in places], dtype=np.int64)
    cols = np.array([place.col if place else 0 for place in places], dtype=np.int64)
    units = [record.units.get(j, "") for record in records.records]
    several = any(units) and len({unit for unit in units if unit}) > 1
    beside = None
    if several:
        beside = np.empty(n, dtype=object)
        beside[:] = units
    cells = Cells(raw, np.full(n, sheet, dtype=object), rows, cols, records.grid.uncalculated)
    col = next((place.col for place in places if place), records.properties[j].col)
    return Source(found, cells, column_letter(col), beside)


def _first_row(record: Record) -> int:
    return min((place.row for place in record.cells.values()), default=0)


def _tell_rows(records: Records, made: Made) -> None:
    """What became of the rows that the records are made of: each may take many."""
    first = {_first_row(record): {place.row for place in record.cells.values()} for record in records.records}
    for what, rows in list(made.rows.items()):
        every = set().union(*(first.get(row, {row}) for row in rows.tolist()))
        made.rows[what] = np.array(sorted(every - {0}), dtype=np.int64)
    named = {one.row for one in records.properties} | {row for row, _ in records.used}
    made.rows["heading"] = np.array(sorted(named), dtype=np.int64)
    if records.components:
        made.rows = {what: np.setdiff1d(rows, list(records.components)) for what, rows in made.rows.items()}
        made.rows["component"] = np.array(sorted(records.components), dtype=np.int64)


def _tell_cases(records: Records, made: Made) -> None:
    """Name the case of each gauge that was kept."""
    if not any(record.case for record in records.records):
        return
    kept = made.selected.records.tolist() if made.selected is not None else range(len(made.table))
    made.table.cases = tuple(records.records[i].case for i in kept)[: len(made.table)]


def _tell_hidden(records: Records, columns: dict[str, Found], made: Made) -> None:
    """Gauges that stand in hidden rows or columns, and what is said of the others there."""
    grid, table = records.grid, made.table
    kept = made.selected.records.tolist() if made.selected is not None else range(len(table))

    def is_hidden(place: Place) -> bool:
        return place.row in grid.hidden_rows or place.col in grid.hidden_cols

    shown = [records.records[i] for i in kept][: len(table)]
    table.hidden = np.array(
        [grid.hidden or all(map(is_hidden, record.cells.values())) for record in shown], dtype=np.bool_
    )
    for name, found in columns.items():
        places = [one.cells[found.index] for one in shown if found.index in one.cells]
        if places and all(map(is_hidden, places)):
            table.hidden_fields.add(name)


def _left(records: Records, found: Found, values: Any) -> Recognised:
    one = records.properties[found.index]
    places = [record.cells[found.index] for record in records.records if found.index in record.cells]
    letter = column_letter(places[0].col if places else one.col)
    out = Recognised(
        "", records.grid.sheet, letter, found.heading, found.heading_cell, found.unit, "",
        round(min(found.score, 1.0), 2), found.runner_up, round(min(found.runner_up_score, 1.0), 2),
    )  # fmt: skip
    if found.doubted:
        out.runner_up, out.runner_up_confidence = found.doubted, out.confidence
    elif found.reading is not None:
        out.known_as = found.known or found.reading.foreign.replace("_", " ")
    out.filled = any(str(value).strip() for value in values[:, found.index].tolist())
    return out


_LOST: Final = 0.5
"""What a value that was not understood takes off the worth of a reading."""


def _worth(made: Made) -> float:
    columns = made.selected.every if made.selected is not None else made.table.columns
    out = 0.0
    for name, column in columns.items():
        names = name in ("tag", "float_part")
        out += _apart(column, column.given, names)
        lost = (column.state == State.UNREADABLE) | (column.state == State.AMBIGUOUS)
        out -= _LOST * _apart(column, lost, False)
    return out


def _apart(column: Column, of: NDArray[np.bool_], names: bool) -> int:
    """How many values there are: a cell that holds for many gauges counts once, a name that repeats too."""
    if names:
        return len(set(column.text[of].tolist()))
    return different(column.row[of], column.col[of])


def worth_of(made: Sequence[Made]) -> float:
    """How many values of a sheet's lists were understood, less those that were not."""
    return sum(map(_worth, made))


def is_blank(value: Any) -> bool:
    """Whether a cell holds nothing, or no more than the colon between a label and its value."""
    return value is None or (isinstance(value, str) and not value.strip(" \t\n\r\xa0:="))


def is_unit_text(value: Any) -> bool:
    """Whether a cell holds the name of a unit."""
    return isinstance(value, str) and bool(value.strip()) and _is_unit(value)


@lru_cache(maxsize=16384)
def _is_unit(text: str) -> bool:
    return is_unit(text.strip(" ()[]")) or bool(split_units(text))


def of_column(found: Found, text: str = "") -> Property:
    """A column of a list as a property; `text`: its heading without that of its group."""
    col, row = split_address(found.heading_cell)
    own = found.heading.removeprefix(" / ".join((*found.above, "")))
    above = () if text else found.above
    return Property(text or own, row, col, above, found.unit_row, sure=bool(text))


_NUMBER: Final = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_GROUPED: Final = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")


def plain_number(text: str) -> float | str:
    """The number of a text that can be no other: '0,925' and '12.5', but not '1,500'."""
    stripped = text.strip()
    if _NUMBER.fullmatch(stripped) and not _GROUPED.fullmatch(stripped):
        return float(stripped.replace(",", "."))
    return text
