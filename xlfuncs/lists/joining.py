"""Brings together what a workbook says of one gauge in several rows and sheets."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists import tags
from xlfuncs.lists.model import Column, Difference, Differences, Doubt, Orphan, State, Stated, Table
from xlfuncs.lists.tables import Made, first_given
from xlfuncs.vocabulary.meaning import fields, squash

TRANSMITTER: Final = (
    "lrv", "urv", "action", "stated_level", "stated_current", "transmitter_max_temperature",
    "transmitter_gauge_serial",
)  # fmt: skip
"""Fields that a transmitter's own row states for its gauge."""
SWITCHES: Final = ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh")
"""Set points that a transmitter's own row may state as alarms."""
_NAMING: Final = (
    "tag", "old_tag", "area", "service", "instrument_type", "fluid", "service_type", "serial", "remarks",
    "upper_fluid",
)  # fmt: skip
"""Fields that two lists of the same gauges may share."""


def attach_loops(made: list[Made]) -> None:
    """Give each gauge what the rows of its transmitter and switches state (LT-1201 belongs to LG-1201)."""
    gauges, transmitters = _places(made), _transmitters(made)
    for source in made:
        selected = source.selected
        if selected is None:
            continue
        for loop, parts in selected.loops.items():
            for letters, record in parts:
                own = key_of(tags.point_of(str(selected.every["tag"].text[record])))
                for table, gauge in transmitters.get(own, gauges.get(loop, [])):
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


def _transmitters(made: list[Made]) -> dict[str, list[tuple[Table, int]]]:
    """Tag of a transmitter, for comparing -> the gauges whose rows name it."""
    out: dict[str, list[tuple[Table, int]]] = {}
    for source in made:
        column = source.table.columns.get("transmitter_tag")
        for i, text in enumerate(column.text.tolist() if column is not None else ()):
            if text:
                out.setdefault(key_of(text), []).append((source.table, i))
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
    for name in (*TRANSMITTER, *SWITCHES):
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


def is_by_gauge(floats: Made, gauges: list[Made]) -> bool:
    """Whether a float list has a row for each gauge, by its tag, and no gauge names its float otherwise."""
    if "tag" not in floats.table.columns:
        return False
    named = [one.table.columns["float_part"] for one in gauges if "float_part" in one.table.columns]
    tagged = [key for key in _tags(floats.table) if key]
    known = {key for one in gauges for key in _tags(one.table)}
    shared = sum(key in known for key in tagged)
    if any(column.given.any() for column in named) or len({*tagged}) < len(tagged):
        return False
    return bool(tagged) and shared >= _SAME_GAUGES * len(floats.table)


def join_sheets(made: list[Made]) -> tuple[list[Made], Differences]:
    """Lists that speak of the same gauges become one, each value in its own cell; and how they differ.

    Lists under the same headings are parts of one document: a tag in two of them stands twice.
    """
    told = Differences()
    families = _families(made)
    out: list[Made] = []
    owner: dict[int, int] = {}
    for number, family in enumerate(families):
        partners = [other for other in range(number) if _same_gauges(_of(families[other]), _of(family))]
        for other in partners:
            told.orphans += _orphans(families[other], family)
        for source in family:
            rest = source
            for kept in [one for one in out if owner[id(one)] in partners]:
                if not len(rest.table):
                    break
                rest = _joined(kept, rest, told)
            if len(rest.table) or rest is source:
                owner[id(rest)] = number
                out.append(rest)
    return out, told


def key_of(tag: str) -> str:
    """A tag for comparing: letters and digits."""
    return _SIGNS.sub("", tag).upper()


_SIGNS: Final = re.compile(r"[\W_]+")
_SAME_HEADINGS: Final = 0.8
"""Share of headings that two lists have in common, if they are parts of one document."""
_SAME_GAUGES: Final = 0.6
"""Share of the tags of the shorter document that the other has as well."""
_FEW_SHARED: Final = 0.34
"""Share of the fields of one that another states too, where they are documents for different data."""


def _families(made: list[Made]) -> list[list[Made]]:
    """The lists by document."""
    out: list[tuple[set[str], list[Made]]] = []
    for one in made:
        texts = {squash(found.heading) for found in (*one.table.recognised, *one.table.unrecognised)} - {""}
        for known, members in out:
            if len(known & texts) >= _SAME_HEADINGS * max(len(known), len(texts)):
                members.append(one)
                break
        else:
            out.append((texts, [one]))
    return [members for _, members in out]


def _of(family: list[Made]) -> tuple[set[str], set[str]]:
    """(tags, fields) of a document."""
    tagged = {key for one in family for key in _tags(one.table)} - {""}
    return tagged, {name for one in family for name in one.table.columns if name not in _NAMING}


def _tags(table: Table) -> list[str]:
    column = table.columns.get("tag")
    return [key_of(text) for text in column.text.tolist()] if column is not None else []


def _same_gauges(one: tuple[set[str], set[str]], other: tuple[set[str], set[str]]) -> bool:
    """Whether two documents speak of the same gauges."""
    shared = len(one[0] & other[0])
    if not shared:
        return False
    if shared >= _SAME_GAUGES * min(len(one[0]), len(other[0])):
        return True
    return len(one[1] & other[1]) <= _FEW_SHARED * min(len(one[1]), len(other[1]))


def _orphans(one: list[Made], other: list[Made]) -> list[Orphan]:
    """Tags of one document that the other lacks, where each has most of the other's."""
    mine, theirs = _of(one)[0], _of(other)[0]
    if len(mine & theirs) < _SAME_GAUGES * max(len(mine), len(theirs)):
        return []
    return [*_lacking(one, theirs, other), *_lacking(other, mine, one)]


def _lacking(family: list[Made], known: set[str], other: list[Made]) -> Iterator[Orphan]:
    sheets = ", ".join(dict.fromkeys(repr(made.table.sheet) for made in other))
    for made in family:
        column = made.table.columns.get("tag")
        for i, key in enumerate(_tags(made.table)):
            if key and key not in known and column is not None:
                yield Orphan(str(column.text[i]), str(column.sheet[i]), column.address(i), sheets)


def _joined(kept: Made, source: Made, told: Differences) -> Made:
    """Add a list's columns to another list; what is left of it, as a list of its own."""
    one, other = kept.table, source.table
    where: dict[str, list[int]] = {}
    for i, key in enumerate(_tags(other)):
        if key:
            where.setdefault(key, []).append(i)
    if not where.keys() & set(_tags(one)):
        return source
    if other.cases and not one.cases:
        _unfold(one, where, other)
    cases = bool(other.cases and one.cases)
    seen: dict[str, int] = {}
    records = np.full(len(one), -1, dtype=np.int64)
    for i, key in enumerate(_tags(one)):
        if key in where:
            turn = seen.get(key, 0)
            seen[key] = turn + 1
            if cases or one.cases or other.cases:
                records[i] = where[key][min(turn if cases else 0, len(where[key]) - 1)]
            elif turn < len(where[key]):  # of a tag that stands twice, the second may be a slip
                records[i] = where[key][turn]
    tags_of = one.columns["tag"].text.tolist()
    for name, column in other.columns.items():
        if name != "tag":
            theirs = column.take(records)
            have = one.columns.get(name)
            if have is not None:
                alike = _same_point(one, other, records) if name in _POINT else None
                apart = list(_differing(name, tags_of, have, theirs, alike))
                both = int((have.given & theirs.given).sum())
                if name in _SET_POINTS and len(apart) >= max(_MANY, _NEARLY_ALL * both):
                    kept.doubts.append(_two_things(name, apart, both))
                else:
                    told.values += apart
            one.columns[name] = theirs if have is None else first_given(have, theirs)
    one.recognised += other.recognised
    one.unrecognised += other.unrecognised
    one.hidden_fields |= other.hidden_fields
    kept.doubts += source.doubts
    kept.skipped += source.skipped
    used = set(records.tolist()) - {-1}
    if other.cases:
        used |= {i for key in seen for i in where[key]}
    left = np.array([i for i in range(len(other)) if i not in used], dtype=np.int64)
    rest = _taken(other, left)
    rest.recognised, rest.unrecognised = [], []
    return Made(rest)


def _taken(table: Table, records: NDArray[np.int64]) -> Table:
    """A list with other records."""
    cases = tuple(table.cases[i] for i in records.tolist()) if table.cases else ()
    return replace(
        table,
        columns={name: column.take(records) for name, column in table.columns.items()},
        row=table.row[records],
        hidden=table.hidden[records],
        hidden_fields=set(table.hidden_fields),
        cases=cases,
    )


def _unfold(one: Table, where: dict[str, list[int]], other: Table) -> None:
    """Repeat the records of gauges for which another list has several cases."""
    records: list[int] = []
    cases: list[str] = []
    for i, key in enumerate(_tags(one)):
        theirs = where.get(key, [])
        records += [i] * max(1, len(theirs))
        cases += [other.cases[k] for k in theirs] or [""]
    wider = _taken(one, np.array(records, dtype=np.int64))
    one.columns, one.row, one.hidden, one.cases = wider.columns, wider.row, wider.hidden, tuple(cases)


# --- differences ----------------------------------------------------------------------------------------

_NAMES: Final = ("float_part", "serial", "float_serial", "transmitter_serial", "float_gauge_serial")
"""Text fields in which another spelling is another thing."""
_RELATIVE: Final = 0.005
"""Relative difference that comes from rounding in another unit (common practice, no source)."""
_ABSOLUTE: Final = {"temperature": 0.6, "length": 0.0006, "pressure_gauge": 1000.0}
"""Quantity -> the difference in SI that comes from rounding (common practice, no source)."""


_POINT: Final = ("stated_level", "stated_current")
"""A point of the range that was read: another document may hold another one."""


def _same_point(one: Table, other: Table, records: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Where both state a current at the same level."""
    if any("stated_level" not in table.columns for table in (one, other)):
        return np.zeros(len(one), dtype=np.bool_)
    mine, theirs = one.columns["stated_level"], other.columns["stated_level"].take(records)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(_ends_of(mine)[0] - _ends_of(theirs)[0]) <= _ABSOLUTE["length"])


_SET_POINTS: Final = frozenset({"switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh"})
"""Fields whose words ('HH') mean a switch in one document and an alarm of the process in another."""
_MANY: Final = 5
_NEARLY_ALL: Final = 0.8
"""From so many gauges and such a share of them, columns that differ are two things."""


def _two_things(name: str, apart: list[Difference], both: int) -> Doubt:
    """Two columns that were taken for one field and hardly ever agree."""
    first, second = apart[0].first, apart[0].second
    label = str(fields()[name]["label"])
    one, other = (f"{stated.text} in {stated.sheet}!{stated.cell}" for stated in (first, second))
    text = (
        f"{label}: {first.sheet} and {second.sheet} differ for {len(apart)} of {both} gauges"
        f" ({one}, {other}): they are two things, and those of {first.sheet} were used; say with --map what"
        " the other column is"
    )
    return Doubt("heading", second.sheet, second.cell, text)


def _differing(
    name: str, tagged: list[str], one: Column, other: Column, alike: NDArray[np.bool_] | None = None
) -> Iterator[Difference]:
    """The gauges for which two documents state different values of a field; `alike`: of the same thing."""
    both = one.given & other.given
    if alike is not None:
        both = both & alike
    if not both.any():
        return
    if fields()[name]["kind"] == "quantity":
        low, high = _ends_of(one)
        theirs_low, theirs_high = _ends_of(other)
        room = _RELATIVE * np.fmax(np.abs(low), np.abs(theirs_low))
        quantity = fields()[name]["quantity"]
        if quantity == "temperature":
            room = np.zeros_like(room)
        room = room + _ABSOLUTE.get(quantity, 0.0)
        with np.errstate(invalid="ignore"):
            apart = both & ((low > theirs_high + room) | (theirs_low > high + room))
    elif name in _NAMES:
        apart = both & np.array(
            [key_of(a) != key_of(b) for a, b in zip(one.text.tolist(), other.text.tolist(), strict=True)]
        )
    else:
        return
    for i in np.flatnonzero(apart).tolist():
        if one.address(i) and other.address(i):
            yield Difference(tagged[i], name, _stated(one, i), _stated(other, i))


def _ends_of(column: Column) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.fmin(column.low, column.high), np.fmax(column.low, column.high)


def _stated(column: Column, i: int) -> Stated:
    raw = column.raw[i]
    shown = f"{raw:g}" if isinstance(raw, (int, float)) and not isinstance(raw, bool) else str(raw)
    unit = str(column.unit[i]) if isinstance(raw, (int, float)) else ""
    return Stated(str(column.sheet[i]), column.address(i), f"{shown} {unit}".strip())
