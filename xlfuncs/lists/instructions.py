"""What a person has said about a sheet: which column is which field, and in which unit.

Said with `--map`, in a READING.toml or on the sheet 'Reading' of an annotated copy; it counts before everything
that the headings and cells suggest.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import fields, squash, unit_of

_LETTERS = re.compile(r"[A-Za-z]{1,3}")
_PLACE = re.compile(r"(?:'((?:[^']|'')+)'|([^!]+))!\$?([A-Za-z]{1,3})(?:\$?\d+)?")


@dataclass(frozen=True, slots=True)
class Instruction:
    """One column, and what it is."""

    field: str
    """"" for a column that is to be left alone."""
    heading: str = ""
    letter: str = ""
    sheet: str = ""
    """"" for any sheet."""
    unit: str = ""
    said: str = ""
    """As the person said it, for messages."""

    def meant(self, sheet: str, heading: str, letter: str) -> bool:
        """Whether it speaks of a column."""
        if self.sheet and squash(self.sheet) != squash(sheet.rpartition("]")[2]):
            return False
        if self.heading:
            named = squash(self.heading)
            return named in (squash(heading), squash(heading.rpartition(" / ")[2])) and bool(named)
        return bool(self.letter) and self.letter.upper() == letter

    def elsewhere(self) -> Instruction:
        """The same for a sheet of another name, which a later revision may have."""
        return replace(self, sheet="", letter="")


@dataclass(slots=True)
class Instructions:
    """All that was said; remembers what was used."""

    entries: tuple[Instruction, ...] = ()
    used: set[Instruction] = field(default_factory=set)

    def __bool__(self) -> bool:
        return bool(self.entries)

    def apply(self, grid: Grid, columns: dict[str, Any], others: list[Any]) -> None:
        """Take the columns of a list as they were said to be, whatever they were taken for."""
        for entry in self.entries:
            found = self._column(entry, grid, [*columns.values(), *others])
            if found is None:
                continue
            self.used.add(entry)
            _release(found, entry.field, columns, others)
            if entry.field:
                _take(found, entry, columns, others)

    @staticmethod
    def _column(entry: Instruction, grid: Grid, everything: Iterable[Any]) -> Any:
        known = list(everything)
        for found in known:
            if entry.meant(grid.sheet, found.heading, column_letter(int(grid.cols[found.index]))):
                return found
        if entry.letter and (not entry.sheet or squash(entry.sheet) == squash(grid.sheet)):
            from xlfuncs.lists.layout import Found

            for j, col in enumerate(grid.cols.tolist()):
                if column_letter(col) == entry.letter.upper():  # a column without a heading
                    return Found("", j, "", "")
        return None


def _release(found: Any, name: str, columns: dict[str, Any], others: list[Any]) -> None:
    for taken, other in list(columns.items()):
        if other is found or taken == name:
            del columns[taken]
            other.field = ""
            if other is not found:
                others.append(other)
    if found not in others:
        others.append(found)
    found.doubted = found.runner_up = ""


def _take(found: Any, entry: Instruction, columns: dict[str, Any], others: list[Any]) -> None:
    others.remove(found)
    found.field, found.score, found.misfit = entry.field, 1.0, ""
    found.unit = entry.unit or unit_of(entry.field, found.unit_row, found.heading)
    found.unit_source = (
        ("said" if entry.unit else "unit row" if found.unit_row else "heading") if found.unit else ""
    )
    columns[entry.field] = found


def of_mapping(mapping: Mapping[str, str] | None) -> tuple[Instruction, ...]:
    """`--map FIELD=HEADING`, `FIELD=H` or `FIELD=Sheet!H`. XlfuncsError for a field that there is not."""
    out = []
    for name, where in (mapping or {}).items():
        if name not in fields():
            raise XlfuncsError(f"--map: there is no field {name!r}; the fields are {', '.join(fields())}")
        said = f"--map {name}={where}"
        place = _PLACE.fullmatch(where.strip())
        if place:
            out.append(Instruction(name, letter=place[3].upper(), sheet=place[1] or place[2], said=said))
        else:
            letter = where.strip().upper() if _LETTERS.fullmatch(where.strip()) else ""
            out.append(Instruction(name, heading="" if letter else where, letter=letter, said=said))
            if letter:  # a heading may be as short as a letter
                out.append(Instruction(name, heading=where, said=said))
    return tuple(out)
