"""The unit that a heading or a unit cell states."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from typing import Final

from xlfuncs.data import load
from xlfuncs.units._table import Unit, lookup, quantities
from xlfuncs.units._text import key, tidy

_BRACKETS: Final = re.compile(r"[(\[{]((?:[^()\[\]{}]|\([^()]*\))*)[)\]}]")
_LAST_COMMA: Final = re.compile(r"[,;]\s*([^,;]+)$")
_TRAILING_IN: Final = re.compile(r"\s(?:in|IN)\.?$")
_IN_UNIT: Final = re.compile(r"\s(?:in|en|em)\s+(\S+)$", re.IGNORECASE)
_PUNCTUATION: Final = re.compile(r"[,;:|=]|\.(?=\s|$)")
_SIDE_BY_SIDE: Final = (
    "pressure_gauge",
    "pressure_absolute",
    "pressure_difference",
    "temperature",
    "density",
)
"""Quantities that a heading may name together ('barg/°C'); their units are never divided by each other."""
_DEGREES: Final = re.compile(r"\bdeg(?:r|rees?)?\.?\s+(?=[CF]\b)", re.IGNORECASE)
_LONGEST_HEADING: Final = 300
"""Characters; a longer text is a remark."""
_LONGEST: Final = 5
"""Words of the longest spelling that is looked for in running text."""
_SYMBOLS: Final = {
    "length": ["d", "D", "l", "L", "h", "H", "s", "b", "x", "z", "delta", "δ"],
    "mass": ["m"],
    "density": ["rho", "ρ", "ϱ"],
    "temperature": ["T", "t", "theta", "ϑ", "θ", "Θ"],
    "pressure_gauge": ["p", "P"],
    "dynamic_viscosity": ["eta", "η", "mu", "μ"],
    "kinematic_viscosity": ["nu", "ν"],
    "velocity": ["v", "u", "w"],
    "current": ["I"],
    "voltage": ["U"],
    "resistance": ["R"],
    "conductivity": ["lambda", "λ", "k"],
    "time": ["t"],
}
"""Symbols of quantities: ISO 80000-3, -4, -5 and -6."""
_INDEX: Final = re.compile(r"_\w+$|[₀-₉]+$|,\s?\w+$")
_NAME: Final = re.compile(r"[^\W\d_]{3,}[.)]?|[A-Z]{2}")
"""The last word of a name: 'kW', 'l' and 'm3' are parts of a unit."""
_OF_WORDS: Final = ("m", "g", "K")
"""Weak spellings that count after a slash and a word: 'Length/m'."""


@cache
def _weak() -> frozenset[str]:
    return frozenset(key(tidy(text)).casefold() for text in load("units")["meta"]["weak"])


def _is_exact(text: str, unit: Unit) -> bool:
    return key(text) in quantities()[unit.quantity].exact


def _only(units: Iterable[Unit]) -> str | None:
    """The name of the unit if all agree, else None."""
    names = {unit.name for unit in units}
    return names.pop() if len(names) == 1 else None


@lru_cache(maxsize=4096)
def find_unit(text: str, quantity: str | None = None) -> str | None:
    """Canonical name of the unit stated in a heading ('Op. press. (barg)') or a bare unit cell.

    None where no unit, or more than one, is stated. Words are not mistaken for units: single letters and
    'in', 'min', 'at' count only as the whole text, in brackets or after a comma ('in' also as the
    last word, for a length). With a `quantity` only its units count; a pressure spelled without
    reference comes back as it is ('bar').
    """
    if len(text) > _LONGEST_HEADING:
        return None
    quotient = split_quotient(text, quantity) if "/" in text else None
    text = _DEGREES.sub("deg", tidy(text).replace("_", " "))
    whole = lookup(text.strip(" ()[]{}"), quantity)
    if whole is not None:
        return whole.name
    if quotient is not None:
        return quotient[1]
    inside, bracketed = [], []
    for found in _BRACKETS.finditer(text):
        unit = _with_words_before(text[: found.end()], quantity) or lookup(found[1], quantity)
        bracketed += [unit] if unit is not None else []
        inside.append(found[1])
    outside = _BRACKETS.sub(" ", text)
    if bracketed:
        return _only(bracketed + _rivals(bracketed[0], _running(outside, quantity)))
    after = _LAST_COMMA.search(text) or _IN_UNIT.search(text)
    if after is not None and (unit := lookup(after[1], quantity)) is not None:
        return unit.name
    if quantity == "length" and _TRAILING_IN.search(text):
        return "in"
    for part in (*inside, outside):
        units = list(_running(part, quantity))
        if units:
            return _only(units)
    return None


def _rivals(bracketed: Unit, others: Iterable[Unit]) -> list[Unit]:
    """Units beside the bracket that contradict it: 'kg/m3 (SG)' does, 'bar (barg)' and '°C (mm)' do not."""
    return [
        unit
        for unit in others
        if unit.quantity == bracketed.quantity and not bracketed.name.startswith(unit.name)
    ]


def _with_words_before(text: str, quantity: str | None) -> Unit | None:
    """The unit that the end of a text spells together with its closing bracket, as 'kg/cm2 (g)' does."""
    words = text.split()
    for length in range(min(_LONGEST, len(words)), 0, -1):
        piece = " ".join(words[-length:])
        balanced = sum(map(piece.count, "([{")) == sum(map(piece.count, ")]}"))
        if balanced and piece[0] not in "([{" and (unit := lookup(piece, quantity)) is not None:
            return unit
    return None


def _running(text: str, quantity: str | None) -> list[Unit]:
    """Units among the words of a text: no weak spellings, none of a condition ('at 15 degC').

    Where some are spelled in the right case, the others are taken for words ('Cp' beside 'kJ/kg/K').
    """
    words = _PUNCTUATION.sub(" ", text).split()
    found: list[tuple[bool, Unit]] = []
    at = 0
    while at < len(words):
        for length in range(min(_LONGEST, len(words) - at), 0, -1):
            piece = " ".join(words[at : at + length])
            beside = "/" in (words[at - 1 : at] + words[at + length : at + length + 1])
            unit = lookup(piece, quantity) if beside and "/" not in piece else _strong(piece, quantity)
            if unit is not None and (unit.quantity in _SIDE_BY_SIDE or not beside):
                condition = at > 0 and (words[at - 1][-1].isdigit() or words[at - 1] in ("@", "at", "bei"))
                found += [] if condition else [(_is_exact(piece, unit), unit)]
                at += length
                break
        else:
            found += [(True, unit) for unit in _parts(words[at], quantity)]
            at += 1
    exact = [unit for right_case, unit in found if right_case]
    return exact or [unit for _, unit in found]


def _strong(text: str, quantity: str | None) -> Unit | None:
    squashed = key(text).casefold()
    if squashed in _weak() or text in load("units")["meta"]["words"]:
        return None
    if not any(map(str.isalpha, squashed)) and "%" not in squashed:
        return None
    return lookup(text, quantity)


def _parts(word: str, quantity: str | None) -> Iterator[Unit]:
    """Units in a word such as 'barg/°C' or 'Press-barg'; 'C/C' is centre to centre."""
    if word in load("units")["meta"]["words"]:
        return
    parts = [part.strip("()[]") for part in re.split("/", word)]
    if len(parts) > 1:
        all_units = all(lookup(part, None) for part in parts)
    else:
        parts, all_units = word.split("-"), False
        if len(parts) == 1:
            return
    for part in parts:
        unit = lookup(part, quantity) if all_units else _strong(part, quantity)
        if unit is not None and unit.quantity in _SIDE_BY_SIDE:
            yield unit


# --- quotients: 'Float mass/kg' ---------------------------------------------------------------------


@lru_cache(maxsize=4096)
def split_quotient(text: str, quantity: str | None = None) -> tuple[str, str] | None:
    """(name, canonical unit) of a heading that divides a quantity by its unit: 'Mass/kg', 'rho/(kg/m3)'.

    None where the slash does something else: 'kg/m3' is a unit, 'P/T', 'LSH/LSHH' and 'C/C' are two names,
    'barg/°C' two units. With a `quantity` only its units count. (ISO 80000-1, 7.1.4: the numerical value is
    the quotient of the quantity and the unit.)
    """
    if len(text) > _LONGEST_HEADING or "/" not in text:
        return None
    plain = tidy(text)
    if plain in load("units")["meta"]["words"] or lookup(plain, None) is not None:
        return None
    for place in _outer_slashes(plain):
        name, divisor = plain[:place].strip(), plain[place + 1 :].strip()
        unit = lookup(divisor, quantity) if name and divisor else None
        if unit is not None and _divides(name, divisor, unit, plain[place - 1] == " ", quantity):
            return name, unit.name
    return None


def _outer_slashes(text: str) -> Iterator[int]:
    depth = 0
    for place, character in enumerate(text):
        depth += (character in "([{") - (character in ")]}")
        if character == "/" and depth == 0:
            yield place


def _divides(name: str, divisor: str, unit: Unit, spaced: bool, quantity: str | None) -> bool:
    """Whether `name` is that of a quantity, and not of a unit or of another thing beside the divisor."""
    squashed = key(divisor)
    if len(squashed) <= 2 and not _is_exact(divisor, unit):
        return False  # 'P/T': the tonne is a small letter
    if _is_symbol(_INDEX.sub("", name), squashed):
        return squashed not in ("C", "F", "R")  # T/C is a thermocouple
    last = name.split()[-1]
    if lookup(name, None) is not None or lookup(f"{last}/{divisor}", None) is not None:
        return False
    if not any(map(str.isalpha, name)) or find_unit(name) is not None:
        return False
    if not (spaced or _NAME.fullmatch(last) or last.endswith(")")):
        return False
    if squashed.casefold() not in _weak():
        return True
    return len(last) > 2 and (quantity is not None or squashed in _OF_WORDS)


def _is_symbol(name: str, unit: str) -> bool:
    """Whether a name is the symbol of a quantity that has this unit."""
    return any(name in symbols and lookup(unit, of) is not None for of, symbols in _SYMBOLS.items())
