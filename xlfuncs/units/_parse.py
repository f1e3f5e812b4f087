"""Quantity text, as typed in a cell, to SI numbers. A text with two readings is refused, never guessed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from xlfuncs.data.constants import STANDARD_ATMOSPHERE
from xlfuncs.units import _words as words
from xlfuncs.units._convert import Converter, converter
from xlfuncs.units._errors import AmbiguousUnit, ImpossibleValue, UnitError
from xlfuncs.units._number import TwoReadings, Unreadable, read_number
from xlfuncs.units._pipe import pipe_size
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
    """What had to be assumed of the unit ('bar taken as bar gauge'), or ""."""
    noted: str = ""
    """What else the cell says of the number ('est.', 'at 60 °C'), or ""."""

    @property
    def single(self) -> bool:
        """Whether it is one number, neither a range nor a bound."""
        return self.si_low == self.si_high


_VACUUM_SI: Final = {"pressure_gauge": -STANDARD_ATMOSPHERE, "pressure_absolute": 0.0}
"""Full vacuum, in Pa, of the quantities of which it can be said."""
_STATED: Final = {"pressure_gauge": "barg", "pressure_absolute": "bara"}

_NO_UNIT: Final = ("", *"0123456789+-.^")
"""What cannot begin a unit here."""
_LONGEST: Final = 120
"""Characters; a longer text is a remark."""

_SIMPLE: Final = re.compile(r"([+-]?\d+(?:\.\d{1,2}|\.\d{4,})?)(?: ?([^\d\s.,+\-/~<>(\[*][^\d(\[*]*))?")
"""The usual cell, a plain number and a unit without digits; everything else goes the long way."""

_ANY_CASE: Final = re.IGNORECASE
_BOUNDS: Final = (("min", words.AT_LEAST), ("max", words.AT_MOST))
_BOUND_ENDS: Final = (("min", words.AT_LEAST_END), ("max", words.AT_MOST_END))
_TOLERANCE: Final = re.compile(r"\s*(?:±|\+ ?/ ?-|\+-)\s*")
_MARK_BETWEEN: Final = re.compile(r"\s*(?:\.{2,4}|[~÷至到])\s*(?=[+\-.,]?\s?\d)")
_SLASH_BETWEEN: Final = re.compile(r"\s*[/=;]\s*(?=[+\-.,]?\s?\d)")
_HYPHEN_BETWEEN: Final = re.compile(r"(\s*)-(\s*)(?=[+\-.,]?\s?\d)")
_FRACTIONS: Final = ("in", "ft", "lb", "oz")
"""Units of which people write fractions."""
_OF_FRACTIONS: Final = ("length", "mass")
_PARTS: Final = {"ft": ("in", 12.0), "lb": ("oz", 16.0)}
"""Units that are followed by their parts: 5' 6", 1 lb 3 oz."""
_REFERENCE: Final = re.compile(
    r"\s*[(\[](\d+(?:[.,]\d+)?\s?[°CF]*\s?/\s?\d+(?:[.,]\d+)?\s?[°CF]*)[)\]]", _ANY_CASE
)
"""The temperatures of a relative density: 0.85 (60/60 °F)."""
_FARTHEST: Final = 4.0
"""A pressure over another in '10/150' beyond which the second is rather a temperature (common practice, no
source)."""
_PERCENT: Final = re.compile(r"\s?%")
_FEET_TO_INCHES: Final = re.compile(r"\s*-?\s*(?=\d)")
_TEXT_MARK: Final = re.compile(r"^'(?=[^']*$)")
"""The apostrophe that spreadsheets put before a number kept as text."""
_MARK: Final = re.compile(rf"\s*{FOOTNOTE}\s*(?=\D|$)")
_STARTS_A_UNIT: Final = re.compile(r"[^\W\d]|[°%\"'#]|[(\[][^\W\d]")
_OTHER_VALUE: Final = re.compile(r"\s*(?:\(([^()]*\d[^()]*)\)|\[([^\[\]]*\d[^\[\]]*)\])")
_NOTE: Final = re.compile(
    rf" ?[*{FOOTNOTE}‡§¶]+\)?$| ?[(\[]\d{{1,2}}[)\]]$| \d{{1,2}}\)$"
    r"|[ ,;]*[(\[]?(?:see |siehe |voir |ver |vedi )?"
    r"(?:notes?|anm(?:erkung)?|rem(?:arks?)?|nota|fn|hold|rev)\b\.? ?\d{1,2}[)\]]?$"
    r"|[ ,;]*[(\[](?:see )?notes? \d{1,2}(?:[,&/ ]+\d{1,2})*[)\]]$"
    r"| ?[(\[](?:\*+|notes? [a-z])[)\]]$"
    r"| ?[(\[]N\.? ?\d{1,2}[)\]]$|[ ,;]+[(\[]?rev\.? ?[a-z0-9]{1,2}\.?[)\]]?$",
    _ANY_CASE,
)
_BARE_DEGREE: Final = re.compile(r"(?<=\d) ?(?:°|deg(?:rees?|s)?\.?)(?=\s*(?:$|[^\w\s°]))", _ANY_CASE)
"""A degree of the column's own scale: '60°' under '°C'."""
_DEGREES: Final = ("degC", "degF")
_CONDITIONS: Final = {
    **dict.fromkeys(
        ("density", "dynamic_viscosity", "kinematic_viscosity"), ("temperature", "pressure_gauge")
    ),
    **dict.fromkeys(("pressure_gauge", "pressure_absolute"), ("temperature",)),
    **dict.fromkeys(("power_per_length", "conductivity"), ("temperature",)),
    "temperature": ("pressure_gauge",),
    "length": ("current", "percent"),
    "current": ("length", "percent"),
}
"""Of what a cell may state beside a quantity where, or at which signal, it holds."""
_SIGNAL: Final = re.compile(
    r"(?<![\w.,])\d+(?:[.,]\d+)?\s?(?:mA|%)\s*[=:@]\s*(?=[+\-\d])"
    r"|\s*[(\[]\d+(?:[.,]\d+)?(?:\s?[-/]\s?\d+)?\s?(?:mA|%)[)\]]",
    _ANY_CASE,
)
"""The signal of a level: '4 mA = 0 mm', '1200 (100 %)'."""
_SAID: Final = re.compile(
    r"\s*[(\[]\s*(?P<said>[^\W\d_][^()\[\]\d]{1,40}|[A-Z]{1,2}-?\d{1,2}"
    r"|\d+(?:[.,]\d+)?\s?[x*]\s?[A-Za-z. ]+)[)\]]$"
)
"""Words in brackets behind a value, a code of a letter and a number, a factor ('1.5 x DP')."""
_WHOLE_IN_BRACKETS: Final = re.compile(r"\((?P<range>[+\-]?\d[^()]*\d)\)\s*(?P<unit>[^\W\d_].*)")
_SYMBOLS: Final = {
    "density": re.compile(r"^(?:ρ|rho|dens(?:ity)?\.?|d)\s?[=:]\s*", _ANY_CASE),
    "temperature": re.compile(r"^(?:t|ϑ|θ|temp(?:erature)?\.?)\s?[=:]\s*", _ANY_CASE),
    "pressure_gauge": re.compile(r"^(?:p|press(?:ure)?\.?)\s?[=:]\s*", _ANY_CASE),
    "pressure_absolute": re.compile(r"^(?:p|press(?:ure)?\.?)\s?[=:]\s*", _ANY_CASE),
    "dynamic_viscosity": re.compile(r"^(?:η|μ|mu|eta|visc(?:osity)?\.?)\s?[=:]\s*", _ANY_CASE),
    "conductivity": re.compile(r"^(?:λ|lambda|k)\s?[=:]\s*", _ANY_CASE),
    "mass": re.compile(r"^(?:m|w|wt\.?|weight|mass)\s?[=:]\s*", _ANY_CASE),
    "kinematic_viscosity": re.compile(r"^(?:ν|nu|visc(?:osity)?\.?)\s?[=:]\s*", _ANY_CASE),
}
"""A quantity's symbol before its value, as ISO 80000 writes it, or its name: 'ρ = 850'."""


def _without_notes(text: str) -> str:
    """`text` without the footnote marks at its end; one at a time, so that no text takes long."""
    while (found := _NOTE.search(text)) is not None:
        text = text[: found.start()]
    return text


@lru_cache(maxsize=8192, typed=True)
def parse(
    text: str | float,
    quantity: str,
    default_unit: str | None = None,
    assume: bool = False,
    marks: str = "",
) -> Parsed:
    """Read a cell's text (or number) as a quantity.

    Understood: decimal points and commas, grouped digits, digits and signs of other scripts, fractions of an
    inch (1-1/2"), feet with inches, a unit after or before the number, ranges ('0.82-0.87',
    '20 to 45', '20/45', '20 ±2'), bounds ('>20', 'max 10', '45 degC max'), 'approx.', 'est.' and footnote
    marks, the temperature at which a density or viscosity holds ('850 @ 60 degC'), one value in two units
    ('6 barg / 87 psig'); of a pressure 'atm' for atmospheric, 'FV' for full vacuum, alone or beside another
    ('FV/10'). Without a unit the number is in `default_unit`. `assume` is handed to `converter`; `marks` is
    what `marks_of` tells of the column.

    Raises `AmbiguousUnit` for a text with two readings ('1,500 mm', '10 bar' for a gauge pressure)
    and `UnitError` for one that cannot be read; both say what to write.
    """
    wanted = quantity_named(quantity)
    default = default_unit or wanted.bare or None
    shown = text.strip() if isinstance(text, str) else str(text)
    try:
        if isinstance(text, bool) or len(shown) > _LONGEST:
            raise Unreadable("no quantity")
        return _read(shown, _Column(quantity, default, assume, marks))
    except TwoReadings as error:
        raise AmbiguousUnit(f"{_on_one_line(shown)} {error}") from None
    except Unreadable as error:
        why = f" ({error})" if str(error) else ""
        if quantity == "length" and (size := pipe_size(shown)) is not None:
            why = f" ({size} is a nominal size of pipe, {size.outside}: no length)"
        raise UnitError(
            f"{_on_one_line(shown)} cannot be read{why}: write e.g. {_example(quantity, default)}"
        ) from None
    except UnitError as error:
        raise type(error)(f"{_on_one_line(shown)}: {error}") from None


@dataclass(frozen=True, slots=True)
class _Column:
    """What is known of a text before it is read."""

    quantity: str
    default: str | None
    assume: bool
    marks: str


def _on_one_line(text: str) -> str:
    shown = " ".join(text.split()) if "\n" in text else text
    return repr(shown if len(shown) <= _LONGEST else shown[:_LONGEST] + "...")


def _example(quantity: str, default: str | None) -> str:
    """What a refusal proposes: "280 or '280 mm'" where a plain number would be taken so."""
    example = quantity_named(quantity).example
    number, _, unit = example.partition(" ")
    named = lookup(default, quantity) if default else None
    plain = unit and named is not None and named == lookup(unit, quantity)
    return f"{number} or {example!r}" if plain else repr(example)


# --- a cell: its lines, its remarks -----------------------------------------------------------------


def _read(text: str, column: _Column) -> Parsed:
    lines = _lines(text, column.quantity)
    if len(lines) == 1:
        return _read_line(lines[0], column)
    joined = " / ".join(lines)
    if words.joins_bounds(tidy(joined)) is not None:
        return _read_line(joined, column)
    if (operating := _operating(lines, column)) is not None:
        return operating
    first = _read_line(lines[0], column)
    for line in lines[1:]:
        _compare(first, lines[0], line.strip(" ()[]"), column)
    return first


def _operating(lines: list[str], column: _Column) -> Parsed | None:
    """The one of several values that is said to be at operating conditions; each has to say its own."""
    found: list[tuple[bool, Parsed]] = []
    for line in lines:
        try:
            read = _read_line(line, column)
        except (Unreadable, TwoReadings, UnitError):
            return None
        if not read.noted:
            return None
        found.append((words.OPERATING.search(line) is not None, read))
    chosen = [read for operating, read in found if operating]
    return chosen[0] if len(chosen) == 1 else None


def _lines(text: str, quantity: str) -> list[str]:
    """The values of a cell, one a line; a line without one belongs to its neighbour."""
    found: list[str] = []
    before = ""
    for line in filter(None, map(str.strip, text.splitlines())):
        alone = lookup(line, quantity) is not None or not any(map(str.isnumeric, line))
        if alone or (found and _is_remark(line, quantity)):
            if found:
                found[-1] += f" {line}"
            else:
                before += f"{line} "
        else:
            found.append(before + line)
            before = ""
    return found or [text]


def _is_remark(line: str, quantity: str) -> bool:
    plain = tidy(line)
    return not _without_notes(plain).strip() or _condition(plain, quantity) == (0, plain)


def _read_line(text: str, column: _Column) -> Parsed:
    """A value with what stands beside it."""
    try:
        return _value(text, column)
    except (Unreadable, TwoReadings, UnitError) as error:
        trouble: Exception = error
    for rest, notes in _remarks(text, column.quantity):
        try:
            found = _value(rest, column)
        except (Unreadable, TwoReadings, UnitError) as error:
            if isinstance(error, (TwoReadings, AmbiguousUnit, ImpossibleValue)):
                trouble = error
            continue
        return replace(found, noted="; ".join(filter(None, (found.noted, *reversed(notes)))))
    raise trouble


def _remarks(text: str, quantity: str) -> Iterator[tuple[str, list[str]]]:
    """The text with less and less of what it says beside its number without changing it, and what that is."""
    rest, notes = _plainer(_without_notes(tidy(text)).rstrip(" ,;"), quantity), [""]
    yield rest, notes
    while rest:
        taken = _one_remark(rest, quantity)
        if taken is None:
            return
        rest, note = taken
        rest = _without_notes(rest).rstrip(" ,;")
        notes.append(note)
        yield rest, notes


def _plainer(text: str, quantity: str) -> str:
    """A text without the signals of levels, the brackets around a range, the symbol before a value."""
    if quantity == "length" and _SIGNAL.search(text):
        text = _SIGNAL.sub("", text).replace(", ", " / ")
    whole = _WHOLE_IN_BRACKETS.fullmatch(text)
    if whole is not None and words.is_range(whole["range"]):
        return f"{whole['range']} {whole['unit']}"
    symbol = _SYMBOLS.get(quantity)
    return symbol.sub("", text, 1) if symbol is not None else text


def _one_remark(text: str, quantity: str) -> tuple[str, str] | None:
    """(the text without the remark at one of its ends, the remark); None where there is none."""
    if (mark := words.MARK_END.search(text)) and mark.start():
        return text[: mark.start()], mark["said"]
    if mark := words.MARK_START.match(text):
        return text[mark.end() :], mark["said"]
    if (condition := _condition(text, quantity)) and condition[0]:
        said = condition[1].strip(" ,;()[]").removeprefix("@").removeprefix("at ").strip()
        return text[: condition[0]], f"at {said}"
    if (note := _SAID.search(text)) and note.start() and not _changes(note["said"], quantity):
        return text[: note.start()], note["said"].strip()
    return None


def _condition(text: str, quantity: str) -> tuple[int, str] | None:
    """(where it begins, the text) of the temperature and the pressure at which a property is stated."""
    found = words.CONDITION.search(text)
    if found is None:
        return None
    for part in re.split(r"\s*(?:[,/&]|\band\b|\bund\b|\bet\b)\s*", found["state"]):
        number = re.match(r"[+-]?\d+(?:[.,]\d+)?(?:\s?-\s?\d+(?:[.,]\d+)?)?\s?", part)
        kinds = _CONDITIONS.get(quantity, ())
        if number is None or not any(lookup(part[number.end() :], kind) for kind in kinds):
            return None
    return found.start(), found[0]


def _changes(said: str, quantity: str) -> bool:
    """Whether words in brackets may change what the number before them means."""
    plain = said.strip(" .")
    if plain[0].isdigit():
        return False
    if lookup(plain, None) is not None or lookup(plain, quantity) is not None:
        return True
    return words.CHANGES.search(said) is not None


def _value(text: str, column: _Column) -> Parsed:
    if column.quantity in _VACUUM_SI and (said := _pressure_words(text, column)):
        return said
    return _Text(text, column).read()


def _pressure_words(text: str, column: _Column) -> Parsed | None:
    """'FV/10 barg', '10 & full vacuum', 'atm'; 'FV' alone is a lower bound. None for any other text."""
    quantity, default = column.quantity, column.default
    vacuum = _VACUUM_SI[quantity]
    text = tidy(text)
    found = words.FULL_VACUUM.search(text)
    if found is None:
        return _atmospheric(text, column)
    before, after = words.SIDE.sub("", text[: found.start()]), words.SIDE.sub("", text[found.end() :])
    other = before + after
    if before.strip() and after.strip():
        return None  # words on either side: something else is meant
    if not other.strip():
        low, high = vacuum, math.nan
        unit = converter(default or _STATED[quantity], quantity, column.assume)
    else:
        rest = parse(words.JOINT.sub("", other), quantity, default, column.assume, column.marks)
        if not rest.single:
            return None
        low, high = vacuum, rest.si
        unit = converter(rest.unit, quantity, column.assume)
    middle = low if math.isnan(high) else (low + high) / 2
    return Parsed(float(unit.from_si(middle)), unit.unit, middle, low, high, unit.assumed)


def _atmospheric(text: str, column: _Column) -> Parsed | None:
    """'atm', and 'atm - 2' as a range from there; None for any other text."""
    quantity = column.quantity
    found = words.ATMOSPHERIC.match(text)
    if found is None:
        return None
    low = _VACUUM_SI[quantity] + STANDARD_ATMOSPHERE
    rest = text[found.end() :]
    if not rest.strip():
        unit = converter(column.default or _STATED[quantity], quantity, column.assume)
        return Parsed(float(unit.from_si(low)), unit.unit, low, low, low, unit.assumed)
    join = words.UP_TO.match(rest)
    if join is None:
        if rest[0] in " +-":
            raise Unreadable("")  # the atmosphere is no unit here
        return None
    end = parse(rest[join.end() :], quantity, column.default, column.assume, column.marks)
    if not end.single or end.si < low:
        raise Unreadable("")
    unit = converter(end.unit, quantity, column.assume)
    middle = (low + end.si) / 2
    return Parsed(float(unit.from_si(middle)), unit.unit, middle, low, end.si, unit.assumed)


# --- one value in two units -------------------------------------------------------------------------


def _compare(found: Parsed, text: str, other: str, column: _Column) -> None:
    """A second value, '2 in (50 mm)', has to be the same one in another unit, but for rounding."""
    try:
        same = parse(other, column.quantity, assume=True, marks=column.marks)
    except UnitError:
        raise Unreadable(f"'{other}' beside it is not understood") from None
    allowed = _rounding(text, found, column) + _rounding(other, same, column)
    if column.quantity != "temperature":
        allowed = min(allowed, _ROUNDED * abs(found.si))
    ends = zip((found.si_low, found.si_high), (same.si_low, same.si_high), strict=True)
    if not all(
        (math.isnan(one) and math.isnan(two)) or abs(one - two) <= allowed * 1.001 for one, two in ends
    ):
        raise TwoReadings(f"states two values that differ, the other one is '{other}': write one")


_ROUNDED: Final = 0.04
"""Share by which a value in another unit may be rounded: 15 psig for 1 barg (common practice, no source)."""
_DIGITS: Final = re.compile(r"\d+(?:[.,](\d+))?")


def _rounding(text: str, found: Parsed, column: _Column) -> float:
    """Half a unit of the last digit of a value, in SI."""
    decimals = [len(number[1] or "") for number in _DIGITS.finditer(tidy(text))]
    half = 0.5 * 10.0 ** -max(decimals, default=0)
    unit = converter(found.unit, column.quantity, True)
    return abs(float(unit.to_si(found.number + half)) - float(unit.to_si(found.number)))


# --- one value --------------------------------------------------------------------------------------


class _Text:
    """One text, read from left to right."""

    def __init__(self, text: str, column: _Column) -> None:
        self.text = tidy(text)
        self.at = 0
        self.column = column
        self.quantity = column.quantity
        self.default = column.default
        self.bound = ""
        self.about = ""
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

    def _take_about(self) -> None:
        if found := self._take(words.ABOUT):
            self.about = found[0].strip(" .,:") or self.about

    def _number(self) -> float:
        value, self.at = read_number(
            self.text,
            self.at,
            length=self.quantity == "length",
            inches=self.inches,
            marks=self.column.marks,
        )
        return value

    def _unit(self) -> str | None:
        """The longest text from here on that spells a unit."""
        start = self.at
        while self.text[start : start + 1] in (" ", ":", "="):
            start += 1
        if words.BETWEEN.match(self.text, self.at) or self.text[start : start + 1] in _NO_UNIT:
            return None
        no_end = (" ", "=", ";") if any(map(str.isdigit, self.text[:start])) else (" ",)
        for end in range(len(self.text), start, -1):
            piece = self.text[start:end]
            cuts_word = end < len(self.text) and piece[-1].isalpha() and self.text[end].isalpha()
            open_bracket = piece.count("(") != piece.count(")") or piece.count("[") != piece.count("]")
            ends_well = piece[-1] not in no_end and piece[-2:] not in ("..", " .")
            if ends_well and not cuts_word and not open_bracket and lookup(piece, self.quantity):
                self.at = end
                return piece
        return None

    def _reference(self) -> str | None:
        """'6 g' and '6 (abs)' in a column of bar: the unit with what the cell says of its reference."""
        default = lookup(self.default, self.quantity) if self.default else None
        rest = self._rest().strip()
        if default is None or not default.plain or not rest:
            return None
        unit = f"{default.plain} {rest}"
        if lookup(unit, self.quantity) is None:
            return None
        self.at = len(self.text)
        return unit

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
        if found := words.ABOUT_END.search(text):
            self.about, text = found["said"], text[: found.start()]
        text = _TEXT_MARK.sub("", text)
        if self.quantity == "length":
            text = text.lstrip("Øø⌀∅ ")
        scale = lookup(self.default, "temperature") if self.default else None
        if self.quantity == "temperature" and scale is not None and scale.name in _DEGREES:
            text = _BARE_DEGREE.sub("", text)
        text = words.joins_bounds(text, time=self.quantity == "time") or words.spans(text) or text
        for name, pattern in _BOUND_ENDS:
            end = pattern.search(text)
            if end is not None and end.start() and not (self.quantity == "time" and name == "min"):
                self.bound = name
                text = text[: end.start()]
                break
        self.text = text

    def _in_inches(self) -> bool | None:
        """Whether the unit stated at either end, or the default, has fractions; None if none is stated."""
        digits = [place for place, character in enumerate(self.text) if character.isdigit()]
        kind = self.quantity if self.quantity in _OF_FRACTIONS else "length"
        for outer in (self.text[digits[-1] + 1 :], self.text[: digits[0]]):
            unit = lookup(outer, kind)
            if unit is not None:
                return unit.name in _FRACTIONS
        default = lookup(self.default, kind) if self.default else None
        return True if default is not None and default.name in _FRACTIONS else None

    def _expression(self) -> Parsed:
        self._take_about()
        self._take_bound()
        leading = None if self.text[self.at : self.at + 1] in ("'", '"') else self._unit()
        if leading is not None and leading[-1] in "=:" and self.quantity != "density":
            raise Unreadable(f"{leading!r} is not understood")  # 'M = 1200' is no metre
        self._take_bound()
        self._take_about()
        numbers = [self._number()]
        units = [self._unit()]
        if self._rest():
            self._feet_and_inches(numbers, units) or self._second(numbers, units)
        if units == [None] and leading is None and (unit := self._reference()) is not None:
            units = [unit]
        if self.quantity == "density" and units == [None] and (degrees := self._take(_REFERENCE)):
            units = [f"SG {degrees[1]}"]
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
            before = self.text[: other.start()]
            _compare(found, before, other[1] or other[2], self.column)
        return found

    def _feet_and_inches(self, numbers: list[float], units: list[str | None]) -> bool:
        """5' 6" and 5 ft 6 1/2 in, as a number of feet; after a space the inches need no mark."""
        large = self._named(units[0])
        if large not in _PARTS:
            return False
        small, count = _PARTS[large]
        start, inches_before = self.at, self.inches
        between = self._take(_FEET_TO_INCHES)
        self.inches = True
        try:
            inches, unit = self._number(), self._unit()
        except Unreadable:
            inches, unit = math.nan, None
        unmarked = large == "ft" and unit is None and not self._rest() and 0 <= inches < count
        if unmarked and between is not None and "-" in between[0]:
            raise TwoReadings("could be feet and inches or a range: write the unit of the second number")
        if self._named(unit) != small and not unmarked:
            self.at, self.inches = start, inches_before
            return False
        numbers[0] += math.copysign(inches / count, numbers[0])
        return True

    def _named(self, unit: str | None) -> str:
        found = lookup(unit, self.quantity) if unit else None
        return found.name if found else ""

    def _second(self, numbers: list[float], units: list[str | None]) -> bool:
        """The other end of a range, a tolerance, or the same value in another unit."""
        if self._take(_TOLERANCE):
            spread = self._number()
            if self._take(_PERCENT):
                spread *= abs(numbers[0]) / 100
            unit = self._unit()
            if unit and units[0] and lookup(unit, self.quantity) != lookup(units[0], self.quantity):
                raise Unreadable("the tolerance is in another unit")
            numbers[:] = [numbers[0] - spread, numbers[0] + spread]
            units[:] = [units[0] or unit] * 2
            return True
        if slash := self._take(_SLASH_BETWEEN):
            return self._beside(slash, numbers, units)
        hyphen = None
        if not (self._take(words.BETWEEN) or self._take(_MARK_BETWEEN)):
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

    def _beside(self, slash: re.Match[str], numbers: list[float], units: list[str | None]) -> bool:
        """'20/45' is a range, '6 barg / 87 psig' one value; any other two values are two things."""
        start = slash.end()
        number, unit = self._number(), self._unit()
        one, two = (lookup(name, self.quantity) if name else None for name in (units[0], unit))
        if one is not None and two is not None and one != two:
            before, after = self.text[: slash.start()], self.text[start : self.at]
            found = self._result(numbers, [str(units[0])])
            _compare(found, before, after, self.column)
            return True
        if slash[0].strip() != "/":
            raise Unreadable("two values")
        distant = self.quantity.startswith("pressure") and 0 < numbers[0] < number / _FARTHEST
        if distant or (number < numbers[0] and not number < 0 < numbers[0]):
            raise TwoReadings("could be two values, not the ends of a range: write one, or 'LOW to HIGH'")
        numbers.append(number)
        units.append(unit)
        return True

    def _result(self, numbers: list[float], units: list[str]) -> Parsed:
        each = [converter(unit, self.quantity, self.column.assume) for unit in units]
        ends = [self._si(number, unit) for number, unit in zip(numbers, each, strict=True)]
        last = each[-1]
        if len(ends) == 2:
            if self.bound:
                raise Unreadable("a bound and a range")
            middle = (ends[0] + ends[1]) / 2
            same = each[0].unit == last.unit
            number = (numbers[0] + numbers[1]) / 2 if same else float(last.from_si(middle))
            return Parsed(number, last.unit, middle, min(ends), max(ends), last.assumed, self.about)
        low = high = ends[0]
        if self.bound:
            if (self.bound == "min") == last.rising:
                high = math.nan
            else:
                low = math.nan
        return Parsed(numbers[0], last.unit, ends[0], low, high, last.assumed, self.about)

    def _si(self, number: float, unit: Converter) -> float:
        if unit.scale < 0 and number < 0:
            raise TwoReadings("states a vacuum and a minus sign: write one of them")
        si = float(unit.to_si(number))
        if not math.isfinite(si):
            raise ImpossibleValue(f"{number:g} {unit.unit} is no {self.quantity.replace('_', ' ')}")
        return si
