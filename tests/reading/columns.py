"""What was taken for which column of a clean workbook, compared with its truth file.

right    the column's field, or nothing for a column of no use
missed   nothing for a column that has a field
wrong    another field
extra    a field for a column of no use
unknown  a short name that stands for no field in `short_names`: left out
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from tests.reading.short_names import UNKNOWN, field_of

KINDS: Final = ("right", "missed", "wrong", "extra", "unknown")
_TWO_IN_ONE: Final = "_pressure_temperature"


@dataclass(frozen=True)
class Outcome:
    """What became of one column."""

    book: str
    column: str
    kind: str
    field: str
    """As the truth has it; "" for a column of no use, an unknown short name as it is."""
    taken: tuple[str, ...]

    def __str__(self) -> str:
        taken, is_ = " and ".join(self.taken) or "nothing", self.field or "of no use"
        return f"{self.book}: column {self.column}: {self.kind}: taken for {taken}, is {is_}"


def compare(truth: Mapping[str, Any], report: Mapping[str, Any]) -> list[Outcome]:
    """One outcome for each column that has data of gauges or floats."""
    taken: dict[str, list[str]] = {}
    for sheet, fields in report["columns"].items():
        for field, column in fields.items():
            taken.setdefault(f"{sheet}!{column}", []).append(field)
    out = []
    for column, names in truth["cols"].items():
        chief = max(names, key=lambda name: names[name])
        field, needed = field_of(chief)
        fields = {other for other, _ in map(field_of, names)} - {"", UNKNOWN} if field else set()
        have = tuple(taken.get(column, ()))
        kind = "unknown" if field == UNKNOWN else _kind(fields, needed, set(have))
        out.append(Outcome(truth["book"], column, kind, chief if field == UNKNOWN else field, have))
    return out


def _kind(fields: set[str], needed: bool, taken: set[str]) -> str:
    if not fields:
        return "extra" if taken else "right"
    apart = {field.replace("_temperature", "") for field in fields if field.endswith(_TWO_IN_ONE)}
    if taken & (fields | apart):
        return "right"
    if taken:
        return "wrong"
    return "missed" if needed else "right"


def line(outcomes: Iterable[Outcome]) -> str:
    """Counts in a line."""
    kinds = Counter(outcome.kind for outcome in outcomes)
    return ", ".join(f"{kind} {kinds[kind]}" for kind in KINDS if kinds[kind] or kind != "unknown")
