"""Quantity text, as typed in a cell, to SI numbers. Nothing is guessed: a text with two readings is refused."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from xlfuncs.units._convert import Converter, converter, refusal
from xlfuncs.units._errors import AmbiguousUnit, UnitError
from xlfuncs.units._table import lookup, quantity_named
from xlfuncs.units._text import FOOTNOTE, tidy


@dataclass(frozen=True, slots=True)
class Parsed:
    """A quantity read from a cell.

    One number has si_low == si == si_high. A range has both ends, and `si` is their mean. A bound has one
    end and NaN for the other ('>20': si_high is NaN), and `si` is the bound. `number` is the number
    (the mean of a range, the bound) in `unit`.
    """

    number: float
    unit: str
    """Canonical name."""
    si: float
    si_low: float
    si_high: float
    assumed: str = ""
    """What had to be assumed ('bar taken as bar gauge'), or ""."""


# --- numbers -------------------------------------------------------------------------------------

_GROUPED: Final = r"\d{1,3}(?:[ ']\d{3})+(?!\d)(?:[.,]\d+)?"
_DIGITS: Final = r"\d+(?:[.,]\d+)*|[.,]\d+"
_PLAIN: Final = re.compile(rf"(?P<digits>{_GROUPED}|{_DIGITS})(?:\.(?![.\d]))?(?P<power>[eE][+-]?\d+)?")
_FRACTION: Final = re.compile(r"(?:(?P<whole>\d+)(?:\s+|-))?(?P<top>\d+)\s?(?P<bar>[/⁄])\s?(?P<bottom>\d+)(?![\d.,])")
_BINARY: Final = (2, 4, 8, 16, 32, 64)


class _Ambiguous(Exception):
    """Two readings of a piece of text."""


class _Unreadable(Exception):
    """Not a number; the text says why, or is empty."""


def _decimal(digits: str) -> float:
    """The value of digits with points and commas, whichever of them groups and whichever divides."""
    plain = digits.replace(" ", "").replace("'", "")
    grouped = plain != digits
    commas, points = plain.count(","), plain.count(".")
    if commas and points:
        last = max(plain.rfind(","), plain.rfind("."))
        other = "," if plain[last] == "." else "."
        if plain.count(plain[last]) > 1 or not re.fullmatch(rf"\d{{1,3}}(\{other}\d{{3}})+", plain[:last]):
            raise _Unreadable("points and commas are mixed up")
        return float(plain[:last].replace(other, "") + "." + plain[last + 1 :])
    if commas > 1 or points > 1:
        mark = "," if commas else "."
        if grouped or not re.fullmatch(rf"[1-9]\d{{0,2}}(\{mark}\d{{3}})+", plain):
            raise _Unreadable("points and commas are mixed up")
        return float(plain.replace(mark, ""))
    if commas and not grouped and re.fullmatch(r"[1-9]\d{0,2},\d{3}", plain):
        decimal, thousands = plain.replace(",", "."), plain.replace(",", "")
        raise _Ambiguous(f"could be {decimal} or {thousands}: write {float(decimal):g} or {thousands}")
    return float(plain.replace(",", "."))


class _Reader:
    """Reads one text from left to right."""

    def __init__(self, text: str, quantity: str, default: str | None, inches: bool) -> None:
        self.text = text
        self.at = 0
        self.quantity = quantity
        self.default = default
        self.inches = inches

    @property
    def rest(self) -> str:
        return self.text[self.at :]

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        found = pattern.match(self.text, self.at)
        if found is not None:
            self.at = found.end()
        return found

    def number(self) -> float:
        """A number with an optional sign: plain, or a fraction of an inch."""
        sign = self.take(_SIGN)
        factor = -1.0 if sign and sign[1] == "-" else 1.0
        fraction = _FRACTION.match(self.text, self.at)
        if fraction is not None:
            value = self._fraction(fraction)
            if value is not None:
                self.at = fraction.end()
                return factor * value
        plain = self.take(_PLAIN)
        if plain is None:
            raise _Unreadable("")
        return factor * float(f"{_decimal(plain['digits'])!r}") * 10.0 ** int((plain["power"] or "e0")[1:])

    def _fraction(self, found: re.Match[str]) -> float | None:
        """Value of 'a/b' or 'n a/b' where it is a fraction; None where it is two numbers."""
        whole, top, bottom = int(found["whole"] or 0), int(found["top"]), int(found["bottom"])
        typed = found[0]
        if found["bar"] == "⁄":  # one character, or a fraction slash: no range is typed so
            if bottom == 0:
                raise _Unreadable("divides by zero")
            return whole + top / bottom
        if self.inches and bottom in _BINARY:
            if top % 2 and (top < bottom or not found["whole"]):
                return whole + top / bottom
            raise _Ambiguous(f"could be a fraction or a range: write {top / bottom + whole:g} or '{top} to {bottom}'")
        if not self.inches and bottom in _BINARY[:3] and top % 2 and top < bottom:
            raise _Ambiguous(
                f"could be the fraction {typed} or a range: write {whole + top / bottom:g}, '{typed} in' or '{top} to {bottom}'"
            )
        return None

    def unit(self) -> str | None:
        """The longest text from here on that spells a unit; None if there is none."""
        start = self.at
        while start < len(self.text) and self.text[start] in " :=":
            start += 1
        for end in range(len(self.text), start, -1):
            inside = end < len(self.text) and self.text[end - 1].isalpha() and self.text[end].isalpha()
            if inside:
                continue
            candidate = self.text[start:end]
            if candidate.count("(") != candidate.count(")") or candidate.count("[") != candidate.count("]"):
                continue
            if lookup(candidate, self.quantity) is not None:
                self.at = end
                return candidate.strip()
        return None


_SIGN: Final = re.compile(r"\s*([+-])\s?(?=[\d.,])|\s*")
_APPROXIMATE: Final = re.compile(
    r"(?:[~≈∼≃]|(?:approx(?:imately)?|circa|ca|abt|about|env(?:iron)?|etwa|aprox|c|typ(?:ical)?|nom(?:inal)?)\b\.?)\s*(?=[\d+\-.,~<>])",
    re.IGNORECASE,
)
_LOWER: Final = re.compile(
    r"(?:>=?|=>|≥|⩾|(?:min(?:imum|imal)?|mindestens|mind|over|above|at least|more than|not less than|ab|über)\b\.?:?)\s*",
    re.IGNORECASE,
)
_UPPER: Final = re.compile(
    r"(?:<=?|=<|≤|⩽|(?:max(?:imum|imal)?|up to|below|under|at most|less than|not more than|not exceeding|bis|höchstens|unter)\b\.?:?)\s*",
    re.IGNORECASE,
)
_SEPARATOR: Final = re.compile(
    r"\s*(?P<dots>\.{2,4})\s*|\s+(?P<word>to|bis|thru|through|till|until|à|a|al|hasta|até|tot|til|and|und)\s+"
    r"|\s*(?P<mark>[/~÷;])\s*|(?P<hyphen>\s*-\s*)",
    re.IGNORECASE,
)
_PLUSMINUS: Final = re.compile(r"\s*(?:±|\+\s?/\s?-|\+-)\s*")
_TAIL_BOUND: Final = re.compile(r"\s*[\s,(]\(?(max|min)(?:imum)?\.?\)?$", re.IGNORECASE)
_NOTES: Final = re.compile(
    rf"(?:\s*[*#{FOOTNOTE}‡§¶]+\)?|\s*[(\[]\d{{1,2}}[)\]]"
    r"|[\s,;]*[(\[]?\s*(?:see\s+|siehe\s+|voir\s+)?(?:notes?|anm(?:erkung)?|remarks?|rem|nota|fn)\b\.?\s*\d{1,2}\s*[)\]]?)+$",
    re.IGNORECASE,
)
_SIMPLE: Final = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*([^\d\s.,+\-/~<>(\[*][^\d(\[*]*)?")


@lru_cache(maxsize=8192)
def parse(text: str, quantity: str, default_unit: str | None = None, assume: bool = False) -> Parsed:
    """Read a cell's text as a quantity.

    Understood: decimal points and commas, grouped digits, unicode signs and fractions, fractions of an
    inch (1-1/2"), a unit after or before the number, ranges ('0.82-0.87', '20 to 45', '20/45', '20 ±2'),
    bounds ('>20', 'max 10', '45 degC max'), 'approx.' and footnote marks. Without a unit the number is in
    `default_unit`. `assume` is handed to `converter`.

    Raises `AmbiguousUnit` for a text with two readings ('1,500 mm', '10 bar' for a gauge pressure) and
    `UnitError` for one that cannot be read; both say what to write.
    """
    wanted = quantity_named(quantity)
    default = default_unit or wanted.bare or None
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        if default is None:
            raise UnitError(f"{text!r} has no unit: write e.g. {wanted.example!r}")
        return _one(float(text), converter(default, quantity, assume))
    if not isinstance(text, str):
        raise UnitError(f"{text!r} is no quantity: write e.g. {wanted.example!r}")
    try:
        return _read(tidy(text), quantity, default, assume)
    except _Ambiguous as error:
        raise AmbiguousUnit(f"{text.strip()!r} {error}") from None
    except _Unreadable as error:
        number = wanted.example.split()[0]
        help_ = f"{number} or {wanted.example!r}" if default else repr(wanted.example)
        why = f" ({error})" if str(error) else ""
        raise UnitError(f"{text.strip()!r} cannot be read{why}: write e.g. {help_}") from None


def _one(number: float, unit: Converter) -> Parsed:
    si = unit.to_si(number)
    return Parsed(number, unit.unit, si, si, si, unit.assumed)


def _unit_or_refuse(text: str, quantity: str, assume: bool) -> Converter:
    if lookup(text, quantity) is None:
        raise refusal(text, quantity)
    return converter(text, quantity, assume)


def _read(text: str, quantity: str, default: str | None, assume: bool) -> Parsed:
    simple = _SIMPLE.fullmatch(text)
    if simple is not None:
        named = (simple[2] or "").strip() or default
        if named is None:
            raise _Unreadable("no unit")
        if lookup(named, quantity) is not None:
            return _one(float(simple[1]), converter(named, quantity, assume))
    text = _NOTES.sub("", text).rstrip(" ,;")
    if not any(character.isdigit() for character in text):
        raise _Unreadable("")
    return _Expression(text, quantity, default, assume).parsed()


class _Expression:
    """A number, a range or a bound, with units where they are stated."""

    def __init__(self, text: str, quantity: str, default: str | None, assume: bool) -> None:
        self.quantity = quantity
        self.default = default
        self.assume = assume
        self.bound = ""
        tail = _TAIL_BOUND.search(text)
        if tail is not None and not (quantity == "time" and tail[1].lower() == "min"):
            self.bound = tail[1].lower()
            text = text[: tail.start()]
        self.reader = _Reader(text, quantity, default, self._inches(text))

    def _inches(self, text: str) -> bool:
        if self.quantity != "length":
            return False
        digits = [place for place, character in enumerate(text) if character.isdigit()]
        outer = [text[digits[-1] + 1 :].strip(" )]"), text[: digits[0]].strip()] if digits else []
        named = [found for found in (lookup(part.strip("(["), "length") for part in outer) if found is not None]
        if named:
            return named[0].name == "in"
        standard = lookup(self.default, "length") if self.default else None
        return not outer[0] and standard is not None and standard.name == "in"

    def parsed(self) -> Parsed:
        reader = self.reader
        reader.take(_APPROXIMATE)
        self._bound()
        leading = None if reader.rest[:1].isdigit() else reader.unit()
        self._bound()
        reader.take(_APPROXIMATE)
        first = reader.number()
        first_unit = reader.unit()
        numbers, units = [first], [first_unit]
        compound = self._feet_and_inches(first, first_unit)
        if compound is not None:
            numbers = [compound]
        elif reader.rest.strip():
            self._second(numbers, units)
        if reader.rest.strip(" .,;"):
            self._refuse_rest(units)
        return self._result(numbers, units, leading)

    def _bound(self) -> None:
        for pattern, name in ((_LOWER, "min"), (_UPPER, "max")):
            if self.reader.take(pattern):
                if self.bound:
                    raise _Unreadable("two bounds")
                self.bound = name

    def _feet_and_inches(self, feet: float, unit: str | None) -> float | None:
        """5' 6" or 5 ft 6 1/2 in, in feet; None if it is not written so."""
        if self.quantity != "length" or unit is None or not self.reader.rest.strip():
            return None
        named = lookup(unit, "length")
        start = self.reader.at
        if named is None or named.name != "ft":
            return None
        self.reader.take(re.compile(r"\s*-?\s*"))
        try:
            inches = self.reader.number()
        except _Unreadable:
            inches = math.nan
        second = self.reader.unit()
        if math.isnan(inches) or second is None or (lookup(second, "length") or named).name != "in":
            self.reader.at = start
            return None
        return feet + math.copysign(inches / 12.0, feet)

    def _second(self, numbers: list[float], units: list[str | None]) -> None:
        reader = self.reader
        if reader.take(_PLUSMINUS):
            spread = reader.number()
            units.append(reader.unit())
            numbers[:] = [numbers[0] - spread, numbers[0] + spread]
            return
        before = reader.at
        separator = reader.take(_SEPARATOR)
        if separator is None:
            return
        hyphen = separator["hyphen"]
        if hyphen and hyphen[0] == " " and hyphen[-1] != " ":
            raise _Ambiguous("could be a range or two numbers: write 'LOW to HIGH'")
        if not reader.rest[:1].isdigit() and not re.match(r"[+\-.,]\s?[\d.,]", reader.rest):
            reader.at = before
            return
        numbers.append(reader.number())
        units.append(reader.unit())
        if hyphen and numbers[1] < numbers[0] and units[0] == units[1]:
            raise _Unreadable("a range runs from low to high")

    def _refuse_rest(self, units: list[str | None]) -> None:
        rest = self.reader.rest.strip()
        if units[-1] is None and re.match(r"[^\d]", rest) and len(units) == 1:
            raise refusal(rest, self.quantity)
        raise _Unreadable(f"{rest!r} is not understood")

    def _result(self, numbers: list[float], units: list[str | None], leading: str | None) -> Parsed:
        last = next((unit for unit in reversed(units) if unit is not None), None)
        if leading is not None and last is not None:
            raise _Unreadable("two units")
        named = leading or last or self.default
        if named is None:
            raise _Unreadable("no unit")
        final = _unit_or_refuse(named, self.quantity, self.assume)
        if len(numbers) == 1:
            if not self.bound:
                return _one(numbers[0], final)
            si = final.to_si(numbers[0])
            lower = (self.bound == "min") == final.rising
            low, high = (si, math.nan) if lower else (math.nan, si)
            return Parsed(numbers[0], final.unit, si, low, high, final.assumed)
        if self.bound:
            raise _Unreadable("a bound and a range")
        each = [converter(unit or named, self.quantity, self.assume) for unit in units]
        ends = sorted(unit.to_si(number) for unit, number in zip(each, numbers, strict=True))
        middle = (ends[0] + ends[1]) / 2
        number = sum(numbers) / 2 if each[0].unit == each[1].unit else final.from_si(middle)
        return Parsed(number, final.unit, middle, ends[0], ends[1], final.assumed)
