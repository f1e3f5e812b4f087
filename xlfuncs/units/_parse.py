"""Quantity text, as typed in a cell, to SI numbers. A text with two readings is refused, never guessed."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from xlfuncs.units._convert import STANDARD_ATMOSPHERE, Converter, converter
from xlfuncs.units._errors import AmbiguousUnit, UnitError
from xlfuncs.units._number import TwoReadings, Unreadable, read_number
from xlfuncs.units._table import lookup, quantity_named
from xlfuncs.units._text import FOOTNOTE, tidy


@dataclass(frozen=True, slots=True)
class Parsed:
    """A quantity read from a cell.

    One number has si_low == si == si_high. A range has both ends, and `si` is their mean. A bound has
    one end and NaN for the other ('>20': si_high is NaN), and `si` is the bound. `number` is the
    number in `unit`: of a range the mean, of a bound the bound.
    """

    number: float
    unit: str
    """Canonical name; of a range with two units the last one's."""
    si: float
    si_low: float
    si_high: float
    assumed: str = ""
    """What had to be assumed ('bar taken as bar gauge'), or ""."""


_VACUUM_SI: Final = {"pressure_gauge": -STANDARD_ATMOSPHERE, "pressure_absolute": 0.0}
"""Full vacuum, in Pa, of the quantities of which it can be said."""
_STATED: Final = {"pressure_gauge": "barg", "pressure_absolute": "bara"}
_VACUUM: Final = re.compile(
    r"(?<!\w)\(? ?(?:f\.? ?v|full[ -]?vac(?:uum)?|vollvakuum|vide total|vac[íi]o (?:total|pleno)"
    r"|v[áa]cuo (?:total|pleno)|vuoto (?:totale|pieno))\.? ?\)?(?!\w)",
    re.IGNORECASE,
)
_ATMOSPHERIC: Final = re.compile(
    r"atm\.?|atmos\.?|atmospheric|atmosphärisch|drucklos|(?:pression )?atmosphérique|atmosf[eé]ric[ao]",
    re.IGNORECASE,
)
_JOINT: Final = re.compile(
    r"^[\s()]*(?:[/&+,;]|(?:and|und|et|y|e|to)\b)?\s*|\s*(?:[/&+,;]|\b(?:and|und|et|y|e|to))?[\s()]*$",
    re.IGNORECASE,
)
"""What joins full vacuum with the other end of the range."""

_NO_UNIT: Final = ("", *"0123456789+-.^")
"""What cannot begin a unit here."""
_LONGEST: Final = 120
"""Characters; a longer text is a remark."""

_SIMPLE: Final = re.compile(r"([+-]?\d+(?:\.\d+)?)(?: ?([^\d\s.,+\-/~<>(\[*][^\d(\[*]*))?")
"""The usual cell, a plain number and a unit without digits; everything else goes the long way."""

_ABOUT: Final = r"approx(?:imately|\.)?|circa|about|abt|ca|environ|env|etwa|aprox|typ(?:ical)?|nom(?:inal)?"
_MIN: Final = r"min(?:imum|imal)?|mindestens|mind|over|above|at least|more than|not less than|ab|über"
_MAX: Final = (
    r"max(?:imum|imal)?|up to|below|under|at most|less than|not more than|not exceeding|bis|unter|höchstens"
)
_ANY_CASE: Final = re.IGNORECASE
_APPROXIMATE: Final = re.compile(rf"\s*(?:[~≈∼≃]|(?:{_ABOUT})\b\.?)\s*", _ANY_CASE)
_APPROXIMATE_END: Final = re.compile(rf"\s*[\s,(](?:{_ABOUT})\.?\)?$", _ANY_CASE)
_BOUNDS: Final = (
    ("min", re.compile(rf"\s*(?:>=?|=>|≥|⩾|(?:{_MIN})\b\.?:?)\s*", _ANY_CASE)),
    ("max", re.compile(rf"\s*(?:<=?|=<|≤|⩽|(?:{_MAX})\b\.?:?)\s*", _ANY_CASE)),
)
_BOUND_END: Final = re.compile(r"\s*[\s,(](max|min)(?:imum)?\.?\)?$", _ANY_CASE)
_BOTH_BOUNDS: Final = (
    re.compile(r"min\.?:?\s*([\d+-].*?)\s*[,;/]?\s*\bmax\.?:?\s*([\d+-].*)", _ANY_CASE),
    re.compile(r"([\d+-].*?)\s*\(?\bmin\.?\)?\s*[,;/-]\s*([\d+-].*?)\s*\(?\bmax\.?\)?", _ANY_CASE),
)
_TOLERANCE: Final = re.compile(r"\s*(?:±|\+ ?/ ?-|\+-)\s*")
_WORD_BETWEEN: Final = re.compile(
    r"\s+(?:to|bis|thru|through|till|til|until|à|a|al|hasta|até|tot)\s+(?=[+\-.,]?\s?\d)", _ANY_CASE
)
_MARK_BETWEEN: Final = re.compile(r"\s*(?:\.{2,4}|[/~÷])\s*(?=[+\-.,]?\s?\d)")
_HYPHEN_BETWEEN: Final = re.compile(r"(\s*)-(\s*)(?=[+\-.,]?\s?\d)")
_FEET_TO_INCHES: Final = re.compile(r"\s*-?\s*(?=\d)")
_TEXT_MARK: Final = re.compile(r"^'(?=[^']*$)")
"""The apostrophe that spreadsheets put before a number kept as text."""
_MARK: Final = re.compile(rf"\s*{FOOTNOTE}\s*(?=\D|$)")
_STARTS_A_UNIT: Final = re.compile(r"[^\W\d]|[°%\"'#]|[(\[][^\W\d]")
_OTHER_VALUE: Final = re.compile(r"\s*(?:\(([^()]*\d[^()]*)\)|\[([^\[\]]*\d[^\[\]]*)\])")
_NOTE: Final = re.compile(
    rf" ?[*{FOOTNOTE}‡§¶]+\)?$| ?[(\[]\d{{1,2}}[)\]]$"
    r"|[ ,;]*[(\[]?(?:see |siehe )?(?:notes?|anm(?:erkung)?|rem(?:arks?)?|nota|fn)\b\.? ?\d{1,2}[)\]]?$",
    _ANY_CASE,
)


def _without_notes(text: str) -> str:
    """`text` without the footnote marks at its end; one at a time, so that no text takes long."""
    while (found := _NOTE.search(text)) is not None:
        text = text[: found.start()]
    return text


@lru_cache(maxsize=8192, typed=True)
def parse(text: str | float, quantity: str, default_unit: str | None = None, assume: bool = False) -> Parsed:
    """Read a cell's text (or number) as a quantity.

    Understood: decimal points and commas, grouped digits, unicode signs and fractions, fractions of an
    inch (1-1/2"), feet with inches, a unit after or before the number, ranges ('0.82-0.87',
    '20 to 45', '20/45', '20 ±2'), bounds ('>20', 'max 10', '45 degC max'), 'approx.' and footnote
    marks; of a pressure 'atm' for atmospheric, 'FV' for full vacuum, alone or beside another ('FV/10').
    Without a unit the number is in `default_unit`. `assume` is handed to `converter`.

    Raises `AmbiguousUnit` for a text with two readings ('1,500 mm', '10 bar' for a gauge pressure)
    and `UnitError` for one that cannot be read; both say what to write.
    """
    wanted = quantity_named(quantity)
    default = default_unit or wanted.bare or None
    shown = text.strip() if isinstance(text, str) else str(text)
    try:
        if isinstance(text, bool) or len(shown) > _LONGEST:
            raise Unreadable("no quantity")
        if quantity in _VACUUM_SI and (said := _pressure_words(shown, quantity, default, assume)):
            return said
        return _Text(shown, quantity, default, assume).read()
    except TwoReadings as error:
        raise AmbiguousUnit(f"{shown!r} {error}") from None
    except Unreadable as error:
        why = f" ({error})" if str(error) else ""
        if len(shown) > _LONGEST:
            shown = shown[:_LONGEST] + "..."
        raise UnitError(f"{shown!r} cannot be read{why}: write e.g. {_example(quantity, default)}") from None
    except UnitError as error:
        raise type(error)(f"{shown!r}: {error}") from None


def _pressure_words(text: str, quantity: str, default: str | None, assume: bool) -> Parsed | None:
    """'FV/10 barg', '10 & full vacuum', 'atm'; 'FV' alone is a lower bound. None for any other text."""
    vacuum = _VACUUM_SI[quantity]
    found = _VACUUM.search(text)
    if found is None:
        if not _ATMOSPHERIC.fullmatch(text):
            return None
        low = high = vacuum + STANDARD_ATMOSPHERE
        unit = converter(default or _STATED[quantity], quantity, assume)
    else:
        other = text[: found.start()] + text[found.end() :]
        if found.start() > 0 and found.end() < len(text):
            return None  # words on either side: something else is meant
        if not other.strip():
            low, high = vacuum, math.nan
            unit = converter(default or _STATED[quantity], quantity, assume)
        else:
            rest = parse(_JOINT.sub("", other), quantity, default, assume)
            if rest.si_low != rest.si_high:
                return None
            low, high = vacuum, rest.si
            unit = converter(rest.unit, quantity, assume)
    middle = low if math.isnan(high) else (low + high) / 2
    return Parsed(float(unit.from_si(middle)), unit.unit, middle, low, high, unit.assumed)


def _example(quantity: str, default: str | None) -> str:
    """What a refusal proposes: "280 or '280 mm'" where a plain number would be taken so."""
    example = quantity_named(quantity).example
    number, _, unit = example.partition(" ")
    named = lookup(default, quantity) if default else None
    plain = unit and named is not None and named == lookup(unit, quantity)
    return f"{number} or {example!r}" if plain else repr(example)


class _Text:
    """One text, read from left to right."""

    def __init__(self, text: str, quantity: str, default: str | None, assume: bool) -> None:
        self.text = tidy(text)
        self.at = 0
        self.quantity = quantity
        self.default = default
        self.assume = assume
        self.bound = ""
        self.inches: bool | None = None

    def read(self) -> Parsed:
        """The quantity, from the whole text."""
        simple = _SIMPLE.fullmatch(self.text)
        if simple is not None:
            unit = (simple[2] or self.default or "").strip()
            if not unit:
                raise Unreadable("no unit")
            if lookup(unit, self.quantity) is not None:
                return self._result([float(simple[1])], [unit])
        self._strip()
        if not any(map(str.isdigit, self.text)):
            raise Unreadable("")
        self.inches = self._in_inches()
        return self._expression()

    # --- pieces ---

    def _rest(self) -> str:
        return self.text[self.at :]

    def _take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.match(self.text, self.at)
        if found is not None:
            self.at = found.end()
        return found

    def _number(self) -> float:
        length = self.quantity == "length"
        value, self.at = read_number(self.text, self.at, length=length, inches=self.inches)
        return value

    def _unit(self) -> str | None:
        """The longest text from here on that spells a unit."""
        start = self.at
        while self.text[start : start + 1] in (" ", ":", "="):
            start += 1
        if _WORD_BETWEEN.match(self.text, self.at) or self.text[start : start + 1] in _NO_UNIT:
            return None
        for end in range(len(self.text), start, -1):
            piece = self.text[start:end]
            cuts_word = end < len(self.text) and piece[-1].isalpha() and self.text[end].isalpha()
            open_bracket = piece.count("(") != piece.count(")") or piece.count("[") != piece.count("]")
            ends_well = piece[-1] != " " and piece[-2:] not in ("..", " .")
            if ends_well and not cuts_word and not open_bracket and lookup(piece, self.quantity):
                self.at = end
                return piece
        return None

    def _take_bound(self) -> None:
        for name, pattern in _BOUNDS:
            if self._take(pattern):
                if self.bound:
                    raise Unreadable("two bounds")
                self.bound = name

    # --- structure ---

    def _strip(self) -> None:
        """Footnotes, 'approx.' and a bound that follow the quantity; two bounds become a range."""
        text = _MARK.sub(" ", _without_notes(self.text)).rstrip(" ,;")
        text = _APPROXIMATE_END.sub("", _TEXT_MARK.sub("", text))
        if self.quantity == "length":
            text = text.lstrip("Øø⌀ ")
        for pattern in _BOTH_BOUNDS[: 1 if self.quantity == "time" else 2]:
            text = pattern.sub(r"\1 to \2", text) if pattern.fullmatch(text) else text
        end = _BOUND_END.search(text)
        if end is not None and not (self.quantity == "time" and end[1].lower() == "min"):
            self.bound = end[1].lower()
            text = text[: end.start()]
        self.text = text

    def _in_inches(self) -> bool | None:
        """Whether the unit stated at either end (or the default) is the inch; None if none is stated."""
        digits = [place for place, character in enumerate(self.text) if character.isdigit()]
        for outer in (self.text[digits[-1] + 1 :], self.text[: digits[0]]):
            unit = lookup(outer, "length")
            if unit is not None:
                return unit.name == "in"
        default = lookup(self.default, "length") if self.default else None
        return True if default is not None and default.name == "in" else None

    def _expression(self) -> Parsed:
        self._take(_APPROXIMATE)
        self._take_bound()
        leading = None if self.text[self.at : self.at + 1] in ("'", '"') else self._unit()
        self._take_bound()
        self._take(_APPROXIMATE)
        numbers = [self._number()]
        units = [self._unit()]
        if self._rest():
            self._feet_and_inches(numbers, units) or self._second(numbers, units)
        other = self._take(_OTHER_VALUE)
        if self._rest().strip(" .,;"):
            rest = self._rest().strip()
            if len(units) == 1 and units[0] is None and leading is None and _STARTS_A_UNIT.match(rest):
                converter(rest, self.quantity)  # raises with what the text is a unit of, if of anything
            raise Unreadable(f"{rest!r} is not understood")
        if leading is not None:
            if any(units):
                raise Unreadable("two units")
            units = [leading] * len(numbers)
        last = next((unit for unit in reversed(units) if unit is not None), self.default)
        if last is None:
            raise Unreadable("no unit")
        found = self._result(numbers, [unit or last for unit in units])
        if other is not None:
            self._compare(found, other[1] or other[2])
        return found

    def _compare(self, found: Parsed, other: str) -> None:
        """A second value in brackets, '2 in (50 mm)', has to be the same one in another unit."""
        try:
            same = parse(other, self.quantity, assume=True)
        except UnitError:
            raise Unreadable(f"'({other})' is not understood") from None
        apart = abs(same.si - found.si)
        allowed = 1.0 if self.quantity.startswith("temperature") else 0.02 * max(abs(same.si), abs(found.si))
        if apart > allowed or (same.si_low != same.si_high) != (found.si_low != found.si_high):
            raise TwoReadings(f"states two values that differ, the one in brackets is '{other}': write one")

    def _feet_and_inches(self, numbers: list[float], units: list[str | None]) -> bool:
        """5' 6" and 5 ft 6 1/2 in, as a number of feet."""
        if self._length_named(units[0]) != "ft":
            return False
        start = self.at
        self._take(_FEET_TO_INCHES)
        try:
            inches, unit = self._number(), self._unit()
        except Unreadable:
            unit = None
        if self._length_named(unit) != "in":
            self.at = start
            return False
        numbers[0] += math.copysign(inches / 12.0, numbers[0])
        return True

    def _length_named(self, unit: str | None) -> str:
        found = lookup(unit, "length") if unit and self.quantity == "length" else None
        return found.name if found else ""

    def _second(self, numbers: list[float], units: list[str | None]) -> bool:
        """The other end of a range, or a tolerance."""
        if self._take(_TOLERANCE):
            spread, unit = self._number(), self._unit()
            if unit and units[0] and lookup(unit, self.quantity) != lookup(units[0], self.quantity):
                raise Unreadable("the tolerance is in another unit")
            numbers[:] = [numbers[0] - spread, numbers[0] + spread]
            units[:] = [units[0] or unit] * 2
            return True
        hyphen = None
        if not (self._take(_WORD_BETWEEN) or self._take(_MARK_BETWEEN)):
            hyphen = self._take(_HYPHEN_BETWEEN)
            if hyphen is None:
                return False
            if hyphen[1] and not hyphen[2]:
                raise TwoReadings("could be a range or two numbers: write 'LOW to HIGH'")
        numbers.append(self._number())
        units.append(self._unit())
        if hyphen and numbers[1] < numbers[0] and None in units:
            raise Unreadable("a range runs from low to high")
        return True

    def _result(self, numbers: list[float], units: list[str]) -> Parsed:
        each = [converter(unit, self.quantity, self.assume) for unit in units]
        ends = [self._si(number, unit) for number, unit in zip(numbers, each, strict=True)]
        last = each[-1]
        if len(ends) == 2:
            if self.bound:
                raise Unreadable("a bound and a range")
            middle = (ends[0] + ends[1]) / 2
            same = each[0].unit == last.unit
            number = (numbers[0] + numbers[1]) / 2 if same else float(last.from_si(middle))
            return Parsed(number, last.unit, middle, min(ends), max(ends), last.assumed)
        low = high = ends[0]
        if self.bound:
            if (self.bound == "min") == last.rising:
                high = math.nan
            else:
                low = math.nan
        return Parsed(numbers[0], last.unit, ends[0], low, high, last.assumed)

    def _si(self, number: float, unit: Converter) -> float:
        si = float(unit.to_si(number))
        if not math.isfinite(si):
            raise Unreadable(f"{number:g} {unit.unit} is no {self.quantity}")
        return si
