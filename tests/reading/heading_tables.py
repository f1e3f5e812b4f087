"""Single headings, each with the field that a person would take it for.

`headings.csv`: by people who had not seen the code; `later_headings.csv`: the same for fields that came later
(rooms, elevations, levels of the process); `known_headings.csv`: those that the first release
listed. Columns: table, group (heading above), heading, unit_row (cell below), field: one, several with '|',
'none' for a column of no use, 'ask' where a person would ask.

right     the field, or nothing, or a question, as the table has it
doubtful  a question where the table has an answer
missed    nothing where the table has a field
wrong     another field, or a field where the table has none
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, cast

from xlfuncs.lists.decide import decide
from xlfuncs.vocabulary.meaning import read_heading

TABLES: Final = ("headings", "known_headings", "later_headings")
KINDS: Final = ("right", "doubtful", "missed", "wrong")


@dataclass(frozen=True)
class Heading:
    """One row of a table, and what was made of it."""

    table: str
    group: str
    text: str
    unit_row: str
    fields: tuple[str, ...]
    taken: str
    """A field, 'none' or 'ask'."""

    @property
    def kind(self) -> str:
        if self.taken in self.fields:
            return "right"
        return {"ask": "doubtful", "none": "missed"}.get(self.taken, "wrong")

    def __str__(self) -> str:
        shown = " / ".join(filter(None, (self.group, self.text.replace("\n", "\\n"), self.unit_row)))
        return f"{self.table}: {self.kind}: {shown!r} taken for {self.taken}, is {' or '.join(self.fields)}"


def read_table(name: str) -> list[Heading]:
    """A table with what the reader makes of each heading, seen alone."""
    path = Path(__file__).with_name(f"{name}.csv")
    with path.open(encoding="utf-8", newline="") as handle:
        return [_read(row) for row in csv.DictReader(handle, strict=True)]


def _read(row: dict[str, str]) -> Heading:
    text, group, unit_row = row["heading"].replace("\\n", "\n"), row.get("group", ""), row.get("unit_row", "")
    kind = cast(Literal["gauges", "floats"], row["table"])
    meanings = read_heading(text, group, kind, unit_row).meanings
    verdict = decide([{meaning.field: meaning.score for meaning in meanings}])[0]
    taken = (verdict.field if verdict.sure else "ask") if verdict.field else "none"
    return Heading(row["table"], group, text, unit_row, tuple(row["field"].split("|")), taken)


def count(headings: Sequence[Heading]) -> Counter[str]:
    return Counter(heading.kind for heading in headings)


def lines(headings: Sequence[Heading]) -> list[str]:
    """Counts by table of the reader, then together."""
    out = []
    for table in (*dict.fromkeys(heading.table for heading in headings), ""):
        chosen = [heading for heading in headings if table in ("", heading.table)]
        kinds = count(chosen)
        counts = ", ".join(f"{kind} {kinds[kind]}" for kind in KINDS)
        out.append(f"{table or 'together'}: {counts}, of {len(chosen)}")
    return out
