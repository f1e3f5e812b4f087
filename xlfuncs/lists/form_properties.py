"""What stands in a block of a form: each label with its value, as a property of the gauge."""

from __future__ import annotations

import re
from collections import Counter
from functools import lru_cache
from typing import Any

from xlfuncs.data import load
from xlfuncs.lists.form_labels import Block, Label, Sheet, cells_beside, value_of
from xlfuncs.lists.upright import Place, Property, Record, is_unit_text, plain_number
from xlfuncs.vocabulary.meaning import ACCEPT, fields, promises, read_heading
from xlfuncs.vocabulary.words import fold


class Properties:
    """The properties of all blocks: the same label in the same section is the same property."""

    def __init__(self) -> None:
        self.listed: list[Property] = []
        self._at: dict[tuple[str, tuple[str, ...], int], int] = {}

    def number(self, one: Property, seen: Counter[tuple[str, tuple[str, ...]]]) -> int:
        key = fold(one.known or one.text), tuple(map(fold, one.above))
        seen[key] += 1
        place = *key, seen[key]
        if place not in self._at:
            self._at[place] = len(self.listed)
            self.listed.append(one)
        return self._at[place]


def take_value(
    sheet: Sheet,
    label: Label,
    section: str,
    block: Block | None,
    record: Record,
    properties: Properties,
    seen: Counter[tuple[str, tuple[str, ...]]],
) -> None:
    at = value_of(sheet, label, block)
    if at is None:
        return
    named = block is not None and label is block.anchor
    j = properties.number(property_of(sheet, label, section, known="tag" if named else ""), seen)
    value = plain_number(label.inline) if label.inline else _both_ends(sheet, label, at, block)
    record.cells[j] = place_of(sheet, *at, value)
    if sheet.way == "right" and not label.inline and label.row not in sheet.over:
        units = [sheet.values[label.row][k] for k in cells_beside(sheet, label, block) if k != at[1]]
        record.units[j] = next((unit for unit in units if is_unit_text(unit)), "")


def _both_ends(sheet: Sheet, label: Label, at: tuple[int, int], block: Block | None) -> Any:
    """The value of a label; of one that names a range by two cells, both of them."""
    value = sheet.values[at[0]][at[1]]
    name = _field_of_range(label.text)
    if sheet.way == "below" or label.row in sheet.over or not name:
        return value
    row = sheet.values[label.row]
    cells = [row[k] for k in cells_beside(sheet, label, block)]
    ends = [cell for cell in cells if isinstance(cell, (int, float))]
    if len(ends) != 2 or len({cell for cell in cells if is_unit_text(cell)}) > 1:  # one value in two units
        return value
    ordered = ends[0] < ends[1] or "split" in fields()[name]  # a transmitter's may begin with its upper end
    return f"{ends[0]:g} - {ends[1]:g}" if ordered else value


@lru_cache(maxsize=8192)
def _field_of_range(text: str) -> str:
    """The field of two ends that a label surely names, or ""."""
    found = read_heading(text).meanings
    name = found[0].field if found and found[0].score >= ACCEPT else ""
    return name if name == "visible_range" or (name and "split" in fields()[name]) else ""


def property_of(
    sheet: Sheet, label: Label, section: str, more: str = "", sure: bool = False, known: str = ""
) -> Property:
    above = tuple(filter(None, (section, more))) if not sure else (more,)
    row, col = int(sheet.grid.rows[label.row]), int(sheet.grid.cols[label.col])
    return Property(label.text, row, col, above, key=_plainly(label.text), sure=sure, known=known)


@lru_cache(maxsize=1)
def _said_of() -> re.Pattern[str]:
    listed = {word for words in load("form_words")["said_of"].values() for word in words}
    every = "|".join(re.escape(word) for word in sorted(listed, key=len, reverse=True))
    return re.compile(rf"(?<!\w)(?:{every})(?!\w)", re.IGNORECASE)


@lru_cache(maxsize=8192)
def _plainly(text: str) -> str:
    """A label without what a check sheet adds to it; "" where it adds nothing."""
    plain = load("form_words")["instead"].get(fold(text), "")
    shorter = plain or " ".join(_said_of().sub(" ", text).split()).strip(" ,;-")
    return shorter if shorter and shorter != text and promises(shorter) else ""


def place_of(sheet: Sheet, i: int, j: int, value: Any) -> Place:
    return Place(value, int(sheet.grid.rows[i]), int(sheet.grid.cols[j]))
