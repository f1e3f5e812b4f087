"""Columns of units: which of them hold the unit of which quantity."""

from __future__ import annotations

from typing import Final

from xlfuncs.lists.found import Found
from xlfuncs.lists.heads import Head, Page
from xlfuncs.vocabulary.meaning import fields, unit_in
from xlfuncs.vocabulary.words import concepts_of

_UNITS: Final = 0.7
"""Share of units among the cells of a column that holds the units of another."""


def units_beside(
    page: Page, first: int, heads: list[Head], columns: dict[str, Found], others: list[Found]
) -> dict[str, int]:
    """Which columns hold the units of which: a column of units belongs to the quantity left of it,
    else right."""
    holders = {found.index: name for name, found in columns.items() if fields()[name]["kind"] == "quantity"}
    out: dict[str, int] = {}
    of_units = [found for found in others if _holds_units(page, first, found)]
    indexes = {found.index for found in of_units}
    for found in of_units:
        units = page.profile(first, found.index)
        texts = list(dict.fromkeys(text.strip(" ()[].") for text in units.texts))
        places = [head.index for head in heads]
        at = places.index(found.index) if found.index in places else -1
        left = _beside(at - 1, places, holders, texts, out)
        right = _beside(at + 1, places, holders, texts, out)
        if left:
            _lend(places[:at][::-1], found.index, fields()[left]["quantity"], columns, holders, out)
            if not _has_its_own(at + 1, places, holders, indexes):
                _lend(places[at + 1 :], found.index, fields()[left]["quantity"], columns, holders, out)
        elif not _names_quantity(found, texts, columns, out) and right:
            _lend(places[at + 1 :], found.index, fields()[right]["quantity"], columns, holders, out)
        if found.index in out.values():
            found.doubted = found.runner_up = ""
            found.known = "unit of measure"
    return out


def _holds_units(page: Page, first: int, found: Found) -> bool:
    """Whether a column holds units, by its heading or its cells."""
    cells = page.profile(first, found.index)
    named = found.reading is not None and found.reading.is_uom
    return (named or cells.units > _UNITS) and cells.numeric <= 0.5


def _names_quantity(found: Found, texts: list[str], columns: dict[str, Found], out: dict[str, int]) -> bool:
    """'Pressure unit' holds the unit of every pressure of the list that states none; whether it
    was such a column."""
    said = concepts_of(found.heading)
    lent = [
        name
        for name, other in columns.items()
        if said & _NAMED_BY.get(fields()[name].get("quantity", ""), frozenset())
        and not other.unit
        and name not in out
        and any(_may_have(text, name) for text in texts)
    ]
    out.update(dict.fromkeys(lent, found.index))
    return bool(lent)


_NAMED_BY: Final = {
    "pressure_gauge": frozenset({"pressure"}),
    "temperature": frozenset({"temperature"}),
    "density": frozenset({"density"}),
}


def _beside(
    at: int, places: list[int], holders: dict[int, str], texts: list[str], out: dict[str, int]
) -> str:
    """The field of the column at a place, if the units can be its own."""
    name = holders.get(places[at], "") if 0 <= at < len(places) else ""
    free = name and name not in out
    return name if free and (not texts or any(_may_have(text, name) for text in texts)) else ""


def _has_its_own(at: int, places: list[int], holders: dict[int, str], units: set[int]) -> bool:
    """Whether the quantities from a place on are followed by a column of units of their own."""
    while at < len(places) and places[at] in holders:
        at += 1
    return at < len(places) and places[at] in units


def _lend(
    places: list[int],
    index: int,
    quantity: str,
    columns: dict[str, Found],
    holders: dict[int, str],
    out: dict[str, int],
) -> None:
    """One column of units is that of all the columns of its quantity beside it that have none."""
    for place in places:
        name = holders.get(place, "")
        if not name or fields()[name]["quantity"] != quantity or columns[name].unit or name in out:
            return
        out[name] = index


def _may_have(unit: str, name: str) -> bool:
    """Whether a text is a unit of a field."""
    return bool(unit_in(unit, name)) or (unit == "%" and bool(fields()[name].get("percent")))
