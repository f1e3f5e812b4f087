"""What a column that was not understood may hold: so that nobody asks for what stands in it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Final

from xlfuncs.data import load
from xlfuncs.lists import evidence
from xlfuncs.lists.evidence import Profile
from xlfuncs.units import find_unit, is_unit
from xlfuncs.vocabulary.meaning import POSSIBLE, Kind, Reading, fields, fits
from xlfuncs.vocabulary.words import words_of

_BRACKETS: Final = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_NUMERIC: Final = 0.6
"""Share of numbers from which a column holds quantities."""
_NAMED: Final = max(POSSIBLE, 0.55)
"""Score above which a heading names more of a field than one of its words."""
_NAMES: Final = (
    "tag",
    "tag_plant",
    "tag_block",
    "tag_area",
    "tag_letters",
    "tag_number",
    "tag_suffix",
    "old_tag",
    "area",
    "remarks",
)
"""Fields that are never asked for."""


def may_be(
    heading: str, reading: Reading | None, cells: Profile, taken: Collection[str], kind: Kind
) -> tuple[str, ...]:
    """The fields that a column may be, by its heading, else by its unit or texts; none `taken`.

    Numbers without a unit count only where the heading means nothing at all.
    """
    free = [
        name
        for name, entry in fields().items()
        if kind in entry["tables"] and entry.get("role") != "reader" and name not in {*taken, *_NAMES}
    ]
    by_heading = [
        meaning.field
        for meaning in (reading.meanings if reading is not None else ())
        if meaning.score > _NAMED and meaning.field in free
    ]
    return tuple(by_heading or _by_cells(heading, cells, free))


def _by_cells(heading: str, cells: Profile, free: list[str]) -> Iterator[str]:
    stated = [text for text in _BRACKETS.findall(heading) if is_unit(text.strip())]
    unit = find_unit(stated[0].strip()) if stated else evidence.units_in_cells(cells)
    numeric = cells.numeric > _NUMERIC
    strange = not any(word.concepts for word in words_of(heading)) and not evidence.counts_rows(cells)
    usual = load("typical")["range"]
    for name in free:
        if fields()[name]["kind"] != "quantity":
            if not numeric and evidence.weigh(name, "", cells) > 1:
                yield name
        elif unit:
            if fits(unit, name):
                yield name
        elif numeric and strange and name in usual and evidence.weigh(name, "", cells) == 1:
            yield name
