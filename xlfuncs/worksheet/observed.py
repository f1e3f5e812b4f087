"""The fields of what was written down at a gauge, and which column or label holds which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from xlfuncs.data import load
from xlfuncs.units import find_unit, is_unit
from xlfuncs.vocabulary.meaning import named_field
from xlfuncs.worksheet.float_table import BRACKETS, is_blank, is_unit_row, squash
from xlfuncs.worksheet.reading_heads import (
    DOUBTFUL,
    concepts,
    is_aside,
    is_bare_level,
    meaning,
)
from xlfuncs.worksheet.said import bare_heading, exceeds_current, in_percent

COMPARED: Final = "compared"
"""In place of a field: a control system's value beside the current itself, which is only compared with it."""


@dataclass(frozen=True, slots=True)
class Field:
    """What a heading or a label stands for."""

    name: str
    label: str
    quantity: str
    unit: str
    needed: bool


@cache
def vocabulary(part: str) -> tuple[dict[str, Field], dict[str, str]]:
    """(fields by name, heading -> name) of a part of `observations.toml`."""
    fields: dict[str, Field] = {}
    names: dict[str, str] = {}
    for name, entry in load("observations")[part].items():
        spec = load("fields")[entry["like"]] if "like" in entry else entry
        label = str(spec["label"])
        unit = entry.get("unit") or spec.get("unit", "")
        fields[name] = Field(name, label, spec.get("quantity", ""), unit, entry.get("needed", False))
        known = [*entry.get("headings", ()), label, name]
        for text in known:
            names.setdefault(squash(text), name)
    return fields, names


def listed(part: str, heading: str) -> str | None:
    """The field whose headings hold this one, its unit and brackets left out."""
    names = vocabulary(part)[1]
    text = " ".join(heading.split())
    if in_percent(text):
        text = bare_heading(text) or "percent"
    head, _, last = text.rpartition(" ")
    bare = head if is_unit(last.strip("()[],;")) else ""
    for candidate in (text, BRACKETS.sub(" ", text), text.rpartition(",")[0], bare):
        if name := names.get(squash(candidate)):
            return name
    return None


def find_field(part: str, heading: Any) -> str | None:
    """The field that a heading or label names, its unit left out; None for any other text.

    `part`: "gauge" or "readings".
    """
    if not isinstance(heading, str) or not heading.strip():
        return None
    if name := listed(part, heading):
        return name
    if part == "readings":
        said = meaning(heading)
        return None if said == DOUBTFUL else said
    text = " ".join(heading.split())
    likes = {entry["like"]: name for name, entry in load("observations")[part].items() if "like" in entry}
    found = (named_field(text, kind, likes) for kind in ("floats", "gauges")) if likes else ()
    return next((likes[field] for field in found if field), None)


def reading_fields(rows: Sequence[Sequence[Any]]) -> list[str | None]:
    """The field of each column of a table of readings, its headings in the first row that is not blank.

    A bare 'Level' is the true one where another column holds what was indicated. A column that is named by
    its words alone yields to one that bears the field's own heading, and holds something like a reading.
    """
    filled = [row for row in rows if any(not is_blank(cell) for cell in row)]
    if not filled:
        return []
    head, body = filled[0], filled[1:]
    found = [find_field("readings", cell) for cell in head]
    shown = "indicated" in found
    for at, heading in enumerate(head):
        if found[at] in (None, "level") and isinstance(heading, str) and is_bare_level(heading):
            found[at] = "level" if shown else None
    _part_currents(head, body, found)
    plain = {name for cell, name in zip(head, found, strict=True) if name and _own(cell)}
    for at, (heading, name) in enumerate(zip(head, found, strict=True)):
        if name in (None, COMPARED) or _own(heading):
            continue
        number = bool(vocabulary("readings")[0][name].quantity)
        cells = [row[at] for row in body if not is_blank(row[at])]
        if name in plain or (number and cells and not any(map(_like_a_reading, cells))):
            found[at] = None
    return found


def _part_currents(head: Sequence[Any], body: Sequence[Sequence[Any]], found: list[str | None]) -> None:
    """Of a current in mA and what a control system makes of it, the current is read and the rest compared."""
    sent = [i for i, name in enumerate(found) if name == "current"]
    read = {i: [row[i] for row in body if not is_blank(row[i])] for i in sent}
    sent = [i for i in sent if any(map(_like_a_reading, read[i]))]
    below = body[0] if body and is_unit_row(body[0]) else None
    own = [i for i in sent if _in_milliamps(str(head[i]), "" if below is None else str(below[i]), read[i])]
    if len(own) == 1:
        for i in sent:
            found[i] = "current" if i in own else COMPARED


def _in_milliamps(heading: str, below: str, cells: Sequence[Any]) -> bool:
    """A column of currents, no percent and no level of a control system."""
    if find_unit(below, "current") or find_unit(heading, "current"):
        return True
    if in_percent(heading) or in_percent(below) or find_unit(below, "length") or find_unit(heading, "length"):
        return False
    return not exceeds_current(cells) and not any("%" in str(cell) for cell in cells)


def _own(heading: Any) -> bool:
    """A heading that `observations.toml` lists, no bare 'Level'."""
    return not is_bare_level(str(heading)) and listed("readings", str(heading)) is not None


def _like_a_reading(cell: Any) -> bool:
    """A number, a bound, or a word for an end."""
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        return True
    text = str(cell)
    words = load("observations")["words"]
    ends = {squash(word) for group in ("below", "above") for word in words[group]}
    return squash(text) in ends or _leads_with_number(text)


def _leads_with_number(text: str) -> bool:
    plain = text.strip().lstrip("<>=≤≥~+- ")
    return plain[:1].isdigit() and ":" not in plain


def not_read(rows: Sequence[Sequence[Any]], letters: Sequence[str] = ()) -> list[str]:
    """Columns of a table of readings that hold numbers or states and were not understood, and what to do.

    `letters`: the spreadsheet's names of the columns.
    """
    filled = [row for row in rows if any(not is_blank(cell) for cell in row)]
    fields = reading_fields(filled)
    body = filled[1:]
    if body and is_unit_row(body[0]):
        body = body[1:]
    made = []
    for at, name in enumerate(fields):
        cells = [row[at] for row in body if not is_blank(row[at])]
        heading = "" if is_blank(filled[0][at]) else " ".join(str(filled[0][at]).split())
        if name or is_aside(heading) or not any(map(_tells, cells)):
            continue
        letter = letters[at] if letters else str(at + 1)
        what = f"column {letter} '{heading}'" if heading else f"column {letter}, which has no heading"
        made.append(f"not read: {what}: {_advice(heading, fields)}")
    return made


def _tells(cell: Any) -> bool:
    """A number, or a word of `observations.toml` for a state of a switch or a direction."""
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        return True
    words = load("observations")["words"]
    groups = ("rising", "falling", "acted", "not_acted")
    states = {squash(word) for group in groups for word in words[group]}
    return _leads_with_number(str(cell)) or squash(str(cell)) in states


def _advice(heading: str, fields: Sequence[str | None]) -> str:
    """How to head a column that was not understood, by what is missing."""
    said = concepts(heading)
    named = vocabulary("readings")[0]
    if "not_read" in said:
        return "it holds no reading that is compared; if it does, name it by what was read, else 'Remark'"
    double = find_field("readings", heading) if heading else None
    if double is not None and double in fields:
        return f"another column is the {named[double].label}; keep one of the two"
    lacking = [name for name in ("level", "indicated", "current") if name not in fields]
    names = [f"'{named[name].label[:1].upper()}{named[name].label[1:]}'" for name in lacking]
    if not names:
        return "name it by what was read, e.g. 'Switch', 'Direction', 'Sample density'; else 'Remark'"
    could = "it could be more than one; " if heading and meaning(heading) == DOUBTFUL else ""
    return f"{could}name it {' or '.join(names)} if it is that, else 'Remark'"
