"""Brings together what a workbook says of one gauge in several rows and sheets."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import tags
from xlfuncs.lists.model import Column, State, Table
from xlfuncs.lists.tables import Made, first_given

TRANSMITTER: Final = (
    "lrv", "urv", "action", "stated_level", "stated_current", "transmitter_max_temperature",
    "transmitter_gauge_serial",
)  # fmt: skip
"""Fields that a transmitter's own row states for its gauge."""
_NAMING: Final = (
    "tag", "old_tag", "area", "service", "instrument_type", "fluid", "service_type", "serial", "remarks",
    "upper_fluid",
)  # fmt: skip
"""Fields that two lists of the same gauges may share."""


def attach_loops(made: list[Made]) -> None:
    """Give each gauge what the rows of its transmitter and switches state (LT-1201 belongs to LG-1201)."""
    gauges = _places(made)
    for source in made:
        selected = source.selected
        if selected is None:
            continue
        for loop, parts in selected.loops.items():
            for letters, record in parts:
                for table, gauge in gauges.get(loop, ()):
                    _give(table, gauge, letters, selected.every, record)
                    source.skipped["other instrument"] -= 1
                    source.skipped["transmitter or switch, audited with its gauge"] += 1
                    break
        source.skipped += type(source.skipped)()  # drops the counts that came to zero


def _places(made: list[Made]) -> dict[str, list[tuple[Table, int]]]:
    """Loop -> the gauges of it; only where a loop part was seen at all."""
    if not any(source.selected is not None and source.selected.loops for source in made):
        return {}
    out: dict[str, list[tuple[Table, int]]] = {}
    for source in made:
        column = source.table.columns.get("tag")
        for i, text in enumerate(column.text.tolist() if column is not None else ()):
            if text:
                out.setdefault(tags.loop_of(text), []).append((source.table, i))
    return out


def _give(table: Table, gauge: int, letters: str, every: dict[str, Column], record: int) -> None:
    switch = tags.switch_field(letters)
    if switch:
        if "set_point" in every:
            _fill(table, gauge, switch, every["set_point"], record)
        return
    _fill(table, gauge, "transmitter_tag", every["tag"], record)
    if "serial" in every:
        _fill(table, gauge, "transmitter_serial", every["serial"], record)
    for name in TRANSMITTER:
        if name in every:
            _fill(table, gauge, name, every[name], record)


def _fill(table: Table, gauge: int, name: str, source: Column, record: int) -> None:
    """Put a value of another row into a gauge's field, if the gauge states none."""
    if source.state[record] == State.BLANK:
        return
    column = table.columns.get(name)
    if column is None:
        column = table.columns[name] = source.take(np.full(len(table), -1, dtype=np.int64))
        column.field = name
    if column.state[gauge] != State.BLANK:
        return
    for part in ("raw", "state", "low", "high", "text", "unit", "sheet", "row", "col"):
        values = getattr(column, part)
        if not values.flags.writeable or values.base is not None:
            values = values.copy()
            setattr(column, part, values)
        values[gauge] = getattr(source, part)[record]
    for told in ("problem", "assumed"):
        if record in getattr(source, told):
            getattr(column, told)[gauge] = getattr(source, told)[record]


def join_sheets(made: list[Made]) -> list[Made]:
    """Lists that state different data of the same gauges ('Process data', 'Mechanical data') become one."""
    out: list[Made] = []
    for source in made:
        for kept in out:
            if _same_gauges(kept.table, source.table):
                rest = _join(kept.table, source.table)
                kept.doubts += source.doubts
                kept.skipped += source.skipped
                if len(rest):
                    rest.recognised = []
                    out.append(Made(rest))
                break
        else:
            out.append(source)
    return out


def _tags(table: Table) -> list[str]:
    column = table.columns.get("tag")
    return ["".join(text.split()).upper() for text in column.text.tolist()] if column is not None else []


def _same_gauges(one: Table, other: Table) -> bool:
    """Whether two lists have the same tags and few data in common."""
    first, second = set(_tags(one)) - {""}, set(_tags(other)) - {""}
    if not first or not second or len(first & second) < 0.6 * min(len(first), len(second)):
        return False
    mine = {name for name in one.columns if name not in _NAMING}
    theirs = {name for name in other.columns if name not in _NAMING}
    return len(mine & theirs) <= 0.34 * min(len(mine), len(theirs))


def _join(one: Table, other: Table) -> Table:
    """Add another list's columns to a list; what is left of the other, as a list of its own."""
    where: dict[str, int] = {}
    for i, tag in enumerate(_tags(other)):
        if tag:
            where.setdefault(tag, i)
    mine = _tags(one)
    records = np.array([where.get(tag, -1) for tag in mine], dtype=np.int64)
    for name, column in other.columns.items():
        if name != "tag":
            have = one.columns.get(name)
            theirs = column.take(records)
            one.columns[name] = theirs if have is None else first_given(have, theirs)
    one.recognised += other.recognised
    one.unrecognised += other.unrecognised
    one.hidden_fields |= other.hidden_fields
    used = set(records.tolist()) - {-1}
    left: NDArray[np.int64] = np.array([i for i in range(len(other)) if i not in used], dtype=np.int64)
    return Table(
        other.kind,
        other.sheet,
        {name: column.take(left) for name, column in other.columns.items()},
        other.recognised,
        other.row[left],
        other.hidden[left],
        set(other.hidden_fields),
        other.path,
    )
