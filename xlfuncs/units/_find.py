"""The unit that a heading or a unit cell states."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Final

from xlfuncs.data import load
from xlfuncs.units._table import Unit, lookup, quantities
from xlfuncs.units._text import key, tidy

_BRACKETS: Final = re.compile(r"[(\[{]((?:[^()\[\]{}]|\([^()]*\))*)[)\]}]")
_LAST_COMMA: Final = re.compile(r"[,;]\s*([^,;]+)$")
_TRAILING_IN: Final = re.compile(r"\s(in)\.?$")
_IN_UNIT: Final = re.compile(r"\s(?:in|en|em)\s+(\S+)$", re.IGNORECASE)
_SIDE_BY_SIDE: Final = ("pressure_gauge", "pressure_absolute", "pressure_difference", "temperature", "density")
_LONGEST: Final = 5
"""Words of the longest spelling that is looked for in running text."""


@cache
def _weak() -> frozenset[str]:
    return frozenset(key(tidy(text)).casefold() for text in load("units")["meta"]["weak"])


def _named(text: str, quantity: str | None) -> Unit | None:
    """The unit that the whole text spells; without a quantity, the first quantity's that has it."""
    if quantity is not None:
        return lookup(text, quantity)
    exact = key(tidy(text))
    units = [unit for name in quantities() if (unit := lookup(text, name)) is not None]
    for unit in units:  # 'mA' before 'MA': the spelling with the right case wins
        if exact in quantities()[unit.quantity].exact:
            return unit
    return units[0] if units else None


def _only(units: Iterable[Unit]) -> Unit | None:
    """The unit if all agree, else None."""
    names = {unit.name: unit for unit in units}
    return next(iter(names.values())) if len(names) == 1 else None


@lru_cache(maxsize=4096)
def find_unit(text: str, quantity: str | None = None) -> str | None:
    """Canonical name of the unit stated in a heading ('Op. press. (barg)') or a bare unit cell.

    None where no unit, or more than one, is stated. Words are not mistaken for units: single letters and
    'in', 'min', 'at' count only as the whole text, in brackets or after a comma. With a
    `quantity` only its units count; a pressure spelled without reference comes back as it is ('bar').
    """
    text = tidy(text).replace("_", " ")
    whole = _named(text.strip(" ()[]{}"), quantity) if text.strip(" ()[]{}-") else None
    if whole is not None:
        return whole.name
    inside = [found[1] for found in _BRACKETS.finditer(text)]
    units = [unit for part in inside if part.strip() not in ("", "1", "-") and (unit := _named(part, quantity))]
    if units:
        only = _only(units)
        return only.name if only else None
    after = _LAST_COMMA.search(text) or _IN_UNIT.search(text)
    if after is not None and (unit := _named(after[1], quantity)) is not None:
        return unit.name
    if quantity == "length" and _TRAILING_IN.search(text):
        return "in"
    for part in (*inside, text):
        units = list(_running(part, quantity))
        if units:
            only = _only(units)
            return only.name if only else None
    return None


def _running(text: str, quantity: str | None) -> Iterable[Unit]:
    """Units among the words of a text, weak spellings left out, and those of a condition ('at 15 degC')."""
    words = re.sub(r"[,;:|=]|\.(?=\s|$)|(?<=\w)\.(?=\s)", " ", text).split()
    at = 0
    while at < len(words):
        for length in range(min(_LONGEST, len(words) - at), 0, -1):
            piece = " ".join(words[at : at + length])
            unit = _strong(piece, quantity)
            if unit is not None and _stands_alone(words, at, at + length, unit):
                yield unit
                at += length - 1
                break
        else:
            yield from _parts(words[at], quantity)
        at += 1


def _strong(text: str, quantity: str | None) -> Unit | None:
    squashed = key(text).casefold()
    if not squashed or squashed in _weak() or not any(map(str.isalpha, squashed + "")) and "%" not in squashed:
        return None
    return _named(text, quantity)


def _stands_alone(words: list[str], start: int, end: int, unit: Unit) -> bool:
    """Not the unit of a condition (a number stands before it), nor a part of an unknown compound (kg / h)."""
    before = words[start - 1] if start else ""
    after = words[end] if end < len(words) else ""
    if before[-1:].isdigit() or before in ("@", "at"):
        return False
    return unit.quantity in _SIDE_BY_SIDE or not (before == "/" or after == "/")


def _parts(word: str, quantity: str | None) -> Iterable[Unit]:
    """Units in a word such as 'barg/°C' or 'Press-barg'."""
    for mark in ("/", "-"):
        if mark in word:
            for part in word.split(mark):
                unit = _strong(part.strip("()[]"), quantity)
                if unit is not None and unit.quantity in _SIDE_BY_SIDE:
                    yield unit
            return
