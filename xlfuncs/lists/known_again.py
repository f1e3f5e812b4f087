"""The lists and columns of a reading that a person has corrected, found again in a workbook.

A column is known by sheet and heading, else by its heading on any sheet, else by sheet and letter: a later
revision may name its sheets otherwise and move its columns.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.binding import ALIKE, Binder, Spot, letter_of, same_text, spot_of, squashed
from xlfuncs.lists.instructions import SaidColumn, SaidList
from xlfuncs.vocabulary.meaning import Kind

_LEAST: Final = 2
"""Headings of a list that was not found by itself, by which its row is known."""


class KnownAgain:
    """Finds the lists of a reading and binds their columns."""

    def __init__(self, binder: Binder) -> None:
        self.binder = binder

    def read(self, lists: Sequence[SaidList]) -> None:
        """Find the lists of a READING.toml, or of the sheet 'Reading', and their columns.

        A column is known by sheet and heading, else by its heading in any sheet, else by sheet and letter.
        """
        if not lists:
            return
        before = len(self.binder.bound)
        pairs = self._pairs(lists)
        told = self._told(pairs)
        for one in lists:
            targets = [number for said, number in pairs if said is one]
            if targets:
                for number in targets:
                    whole = _with_told(one, told)
                    self._columns(whole, number, {at for _, at in pairs}, quiet=number != targets[0])
            else:
                self._untried(one)
        if len(self.binder.bound) == before and any(
            c.field is not None for one in lists if not one.shape for c in one.columns
        ):
            raise XlfuncsError(
                f"{lists[0].file}: none of its columns stands in this workbook: it is the reading of another"
            )

    def _pairs(self, lists: Sequence[SaidList]) -> list[tuple[SaidList, int]]:
        """Which list of a reading is which of the workbook's: by sheet and headings; and lists that go on."""
        ranked = []
        for said in lists:
            texts = {squashed(column.heading) for column in said.columns} - {""}
            for number, one in enumerate(self.binder.seen):
                theirs = self.binder.texts[number]
                common = len(texts & theirs)
                same = (one.book, one.sheet) in self.binder.sheets(said.sheet)
                if one.kind == said.kind and (common or same):
                    share = common / max(len(texts), len(theirs), 1)
                    ranked.append((share + 0.5 * same, said, number, share))
        ranked.sort(key=lambda entry: -entry[0])
        out: list[tuple[SaidList, int]] = []
        for _, said, number, share in ranked:
            taken = {at for _, at in out}
            served = any(other is said for other, _ in out)
            if number not in taken and (not served or share >= ALIKE):
                out.append((said, number))
        return out

    def _told(self, pairs: Sequence[tuple[SaidList, int]]) -> dict[tuple[Kind, str], SaidColumn]:
        """What a person has said of headings that were not understood, where it is the same on every sheet:
        (kind of list, heading) -> what was said."""
        said: dict[tuple[Kind, str], set[tuple[str, str]]] = {}
        out = {}
        for one, number in pairs:
            unknown = {squashed(c.heading) for c in self.binder.seen[number].columns if not c.field}
            for entry in one.columns:
                name = squashed(entry.heading)
                if entry.field and name and name in unknown:
                    said.setdefault((one.kind, name), set()).add((entry.field, entry.unit))
                    out[one.kind, name] = entry
        return {key: entry for key, entry in out.items() if len(said[key]) == 1}

    def _columns(self, said: SaidList, number: int, taken: set[int], quiet: bool) -> None:
        """Bind the columns of a list. `quiet`: it is one of several alike; what is not there is not told."""
        one = self.binder.seen[number]
        if said.shape and not self._of_this_shape(said, number):
            self.binder.missing.append(
                f"{said.said}: is read as {said.shape}, as was said; its columns were written for another"
                " shape, and what was said of them is not used: 'xlfuncs columns BOOK --reading THIS"
                " -o NEW.toml' writes them anew"
            )
            return
        turns: Counter[str] = Counter()
        for entry in said.columns:
            turn = turns[squashed(entry.heading)]
            turns[squashed(entry.heading)] += 1
            if entry.field is None:
                continue
            spot = self._by_heading(said, entry, number, turn, taken) or self._by_letter(said, entry, number)
            if spot is not None:
                self.binder.put(spot, entry.field or "", entry.unit, said.origin, entry.said)
            elif entry.field and not quiet:
                here = (one.book, one.sheet) in self.binder.sheets(said.sheet)
                where = f"on {one.sheet!r}" if here else "in this workbook"
                self.binder.missing.append(
                    f"{entry.said}: stands nowhere {where}, so that it names no column for {entry.field}:"
                    " correct the heading, or delete the entry"
                )

    def _of_this_shape(self, said: SaidList, number: int) -> bool:
        """Whether what is said of columns (or of cells) was said of columns (or cells) as the sheet has."""
        one = self.binder.seen[number]
        alike = sum(entry.letter.isalpha() != one.labels for entry in said.columns)
        return 2 * alike >= len(said.columns)

    def _by_heading(
        self, said: SaidList, entry: SaidColumn, number: int, turn: int, taken: set[int]
    ) -> Spot | None:
        """`taken`: lists that the reading has columns of its own for."""
        if not entry.heading:
            return None
        one = self.binder.seen[number]
        same = [c for c in one.columns if c.heading and same_text(c.heading, entry.heading)]
        if len(same) > 1:
            every = [c for c in said.columns if same_text(c.heading, entry.heading)]
            by_place = [c for c in same if letter_of(one, c) == entry.letter]
            same = [same[turn]] if len(every) == len(same) else by_place
        if same:
            return spot_of(one, number, same[0])
        others = [
            spot_of(other, at, column)
            for at, other in enumerate(self.binder.seen)
            if at not in taken and other.kind == said.kind
            for column in other.columns
            if column.heading and same_text(column.heading, entry.heading)
        ]
        return others[0] if len(others) == 1 else None

    def _by_letter(self, said: SaidList, entry: SaidColumn, number: int) -> Spot | None:
        one = self.binder.seen[number]
        if (one.book, one.sheet) not in self.binder.sheets(said.sheet):
            return None
        named = {squashed(column.heading) for column in said.columns} - {""}
        for column in one.columns:
            if letter_of(one, column) == entry.letter and squashed(column.heading) not in named:
                if entry.heading:
                    self.binder.missing.append(
                        f"{entry.said}: stands no more on {one.sheet!r}; {spot_of(one, number, column).words}"
                        " was taken for it by its place: look whether it is the same"
                    )
                return spot_of(one, number, column)
        return None

    def _untried(self, said: SaidList) -> None:
        """A list that was not found by itself: under the row that holds most of its headings."""
        told = [column for column in said.columns if column.heading]
        hits = self.binder.rows_named(column.heading for column in told)
        sheets = self.binder.sheets(said.sheet)
        here = {place: count for place, count in hits.items() if place[:2] in sheets} or hits
        if max(here.values(), default=0) < min(_LEAST, len(told)):
            if any(column.field for column in said.columns):
                self.binder.missing.append(f"{said.said}: no such list stands in this workbook")
            return
        labels = all(any(map(str.isdigit, column.letter)) for column in told)
        best = max(here, key=lambda place: here[place])
        for entry in told:
            if entry.field is None:
                continue
            spots = [one for one in self.binder.cells(entry.heading) if one.place[:2] == best[:2]]
            spots = spots if labels else [one for one in spots if one.row == best[2]]
            if spots:
                self.binder.put(spots[0], entry.field or "", entry.unit, said.origin, entry.said)
            elif entry.field:
                self.binder.missing.append(f"{entry.said}: no such heading in row {best[2]} of {best[1]!r}")


def _with_told(one: SaidList, told: Mapping[tuple[Kind, str], SaidColumn]) -> SaidList:
    """A list with what was said of the same headings on other sheets, where nobody has said anything here."""
    named = {entry.field for entry in one.columns}
    columns = []
    for entry in one.columns:
        other = told.get((one.kind, squashed(entry.heading))) if entry.field is None else None
        if other is not None and other.field not in named:
            named.add(other.field)
            entry = replace(entry, field=other.field, unit=other.unit)
        columns.append(entry)
    return replace(one, columns=tuple(columns))
