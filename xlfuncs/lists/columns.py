"""Cells of one field to a `Column`: numbers in SI, texts cleaned, every cell with its state."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import cache, lru_cache
from itertools import repeat
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.data.words import dittos_in, is_ambient, is_ditto, not_known, parts_in, tells_no_value
from xlfuncs.lists.lines import lines_of, match_all
from xlfuncs.lists.model import Column, State
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.grid import AT_ONCE, numbered
from xlfuncs.units import (
    AmbiguousUnit,
    ImpossibleValue,
    UnitError,
    converter,
    find_unit,
    marks_of,
    parse,
    pipe_size,
)
from xlfuncs.vocabulary.meaning import fields, quantities_for

_BLANK, _NUMBER, _TEXT, _OTHER = 0, 1, 2, 3
_CODES: Final = {float: _NUMBER, int: _NUMBER, str: _TEXT, type(None): _BLANK}

SG_RANGE: Final = (0.3, 3.0)
KG_RANGE: Final = (300.0, 3000.0)
"""Numbers of a density without unit that can only be SG, or only kg/m3 (common practice, no source)."""
_DENSITIES: Final = {
    "SG": SG_RANGE,
    "kg/l": SG_RANGE,
    "g/cm3": SG_RANGE,
    "degAPI": (5.0, 100.0),
    "kg/m3": KG_RANGE,
}
"""Units whose numbers do not overlap, for a heading that names several (common practice, no source)."""
OF_PIPE: Final = ("chamber_diameter",)
"""Fields that the outside diameter of a nominal size of pipe answers."""
_PLACED: Final = ("visible_range",)
"""Fields of which a cell may give the place, '0-1200', instead of the length."""
_SIZES: Final = {"dn": "DN", "nd": "DN", "nw": "DN", "ду": "DN", "nps": "NPS", "nb": "NPS"}
"""What a heading says in the place of the unit, where it states nominal sizes."""
_OWN_NAMES: Final = frozenset(
    {
        *("tag", "tag_number", "tag_suffix", "old_tag", "serial", "float_serial", "float_gauge_serial"),
        *("transmitter_tag", "transmitter_serial", "transmitter_gauge_serial", "remarks"),
    }
)
"""Text fields of which two rows hardly share one: a ditto mark is no value there."""


@cache
def _errors() -> frozenset[str]:
    return frozenset(load("instruments")["cells"]["errors"])


def is_error(value: Any) -> bool:
    """Whether a value is the text of an error cell."""
    return isinstance(value, str) and value[:1] in "#E" and value in _errors()


_NUMBERED: Final = frozenset({*_OWN_NAMES, "float_part"} - {"remarks"})
"""Text fields whose values are letters and numbers."""
_LONGEST: Final = 200
"""Characters up to which a text is read as a quantity."""
_PLAIN: Final = re.compile(r"[+-]?\d+(?:\.\d{1,2}|\.\d{4,})?")
_OF_THREE: Final = re.compile(r"(?<![\d.,'])[1-9]\d{0,2}[.,]\d{3}(?![\d.,'])|(?<!\d)\d{3}\s\d{3}(?!\d)")
"""Digits that a mark groups or divides: '1,500', '1.500', '280 350'."""
_NAMES: Final = lines_of(r"[A-Za-z0-9][\w\-./]*\d")
"""Lines with a tag, a serial or a part number each: nothing to clean and no placeholder."""


def is_placeholder(text: str, number: bool) -> bool:
    """Whether a cell holds no value: not known yet, or stated elsewhere."""
    return tells_no_value(text, number)


@cache
def limits(name: str) -> tuple[float, float]:
    """Lowest and highest SI number that a field can hold (`data/plausible.toml`)."""
    table = load("plausible")
    quantity = fields()[name]["quantity"]
    low, high = table["field"].get(name) or table["quantity"].get(quantity) or (-math.inf, math.inf)
    return float(low), float(high)


@dataclass(slots=True)
class Cells:
    """The cells of one column of a table, one for each record."""

    raw: NDArray[np.object_]
    sheet: NDArray[np.object_]
    row: NDArray[np.int64]
    col: NDArray[np.int64]
    uncalculated: Collection[tuple[int, int]] = ()


def blank_none(raw: NDArray[np.object_]) -> NDArray[np.object_]:
    """Blank texts as None."""
    listed = raw.tolist()
    if "" not in listed:
        return raw
    out = np.empty(len(listed), dtype=object)
    out[:] = [None if value == "" else value for value in listed]
    return out


# --- ditto marks --------------------------------------------------------------------------------------


def _dittos(cells: Cells, different: Iterable[Any]) -> dict[int, int]:
    """Record with a ditto mark -> the record whose cell it repeats; -1 where that has no value.

    `different`: the different values of the cells.

    That is the nearest cell above in the same column of the sheet that is no ditto mark itself.
    """
    marks = dittos_in({value for value in different if type(value) is str})
    listed = cells.raw.tolist() if marks else []
    marked = [i for i, value in enumerate(listed) if value in marks]
    found: dict[int, int] = {}
    for i in marked:
        above = i - 1
        while above >= 0 and _same_cell(cells, above, i):
            above -= 1
        if above < 0 or not _is_above(cells, above, i):
            found[i] = -1
        else:
            source = found.get(above, above)
            found[i] = -1 if source < 0 or listed[source] in ("", None) else source
    return found


def _same_cell(cells: Cells, one: int, other: int) -> bool:
    return bool(cells.row[one] == cells.row[other] and cells.col[one] == cells.col[other])


def _is_above(cells: Cells, one: int, other: int) -> bool:
    return bool(
        0 < cells.row[one] < cells.row[other]
        and cells.col[one] == cells.col[other]
        and cells.sheet[one] == cells.sheet[other]
    )


_NOTHING_TO_REPEAT: Final = "repeats the cell above, which holds no value: enter the value"


def _address(cells: Cells, record: int) -> str:
    return f"{column_letter(int(cells.col[record]))}{int(cells.row[record])}"


def _repeated(cells: Cells, dittos: dict[int, int]) -> NDArray[np.object_]:
    """The cells with what their ditto marks stand for; a mark that stands for nothing stays."""
    if not dittos:
        return cells.raw
    raw = cells.raw.copy()
    for i, source in dittos.items():
        if source >= 0:
            raw[i] = cells.raw[source]
    return raw


# --- texts --------------------------------------------------------------------------------------------


def text_column(name: str, cells: Cells) -> Column:
    """A column of a text field."""
    n = len(cells.raw)
    raw, listed = cells.raw, cells.raw.tolist()
    state = np.full(n, State.OK, dtype=np.uint8)
    dittos: dict[int, int] = {}
    kinds = set(map(type, listed))
    if kinds == {str} and _all_names(listed):
        texts = raw.copy()
    else:
        which, known = numbered(listed)
        if name not in _OWN_NAMES:
            dittos = {i: source for i, source in _dittos(cells, known).items() if source >= 0}
            listed = _repeated(cells, dittos).tolist() if dittos else listed
        if bool in kinds:  # True and 1 would be one key
            listed = [
                ("FALSE", "TRUE")[value] if value is True or value is False else value for value in listed
            ]
        if dittos or bool in kinds:
            which, known = numbered(listed)
        parts = parts_in({value for value in known if type(value) is str}) if name in _NUMBERED else ()
        read = [(value.strip(), State.OK) if value in parts else _read_text(value) for value in known]
        texts = np.array([text for text, _ in read], dtype=object)[which]
        if any(found != State.OK for _, found in read):
            state = np.array([found for _, found in read], dtype=np.uint8)[which]
        raw = blank_none(raw) if "" in known else raw
    nothing = np.full(n, np.nan)
    column = Column(
        name,
        raw,
        state,
        nothing,
        nothing,
        texts,
        np.full(n, "", dtype=object),
        cells.sheet,
        cells.row,
        cells.col,
        noted={i: f"as {_address(cells, source)}" for i, source in dittos.items()},
    )
    _mark_uncalculated(column, cells.uncalculated)
    return column


def _all_names(texts: list[str]) -> bool:
    return all(match_all(_NAMES, texts[at : at + AT_ONCE]) for at in range(0, len(texts), AT_ONCE))


def _read_text(value: Any) -> tuple[str, State]:
    if isinstance(value, str):
        text = " ".join(value.split())
        if not text:
            return "", State.BLANK
        if is_error(text):
            return "", State.ERROR
        return ("", State.PLACEHOLDER) if is_placeholder(text, False) else (text, State.OK)
    if value is None:
        return "", State.BLANK
    if isinstance(value, (float, int)):
        whole = float(value).is_integer() and abs(value) < 1e15
        return str(int(value)) if whole else f"{value:.15g}", State.OK
    if isinstance(value, datetime) and value.time() == time():
        return value.date().isoformat(), State.OK
    if isinstance(value, (date, time)):
        return value.isoformat(), State.OK
    return str(value), State.OK


def _mark_uncalculated(column: Column, places: Collection[tuple[int, int]]) -> None:
    if not places:
        return
    for i in np.flatnonzero(column.state == State.BLANK).tolist():
        if (int(column.row[i]), int(column.col[i])) in places:
            column.state[i] = State.NEVER_CALCULATED


# --- a text that states a quantity --------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Value:
    """What a text says."""

    state: State
    low: float = math.nan
    high: float = math.nan
    unit: str = ""
    own_unit: bool = False
    problem: str = ""
    assumed: str = ""
    quantity: str = ""
    noted: str = ""

    @property
    def given(self) -> bool:
        return self.state in (State.OK, State.TEXT_NUMBER)

    def within(self, low: float, high: float) -> bool:
        """Whether it is a value between two limits; an open end is."""
        return self.given and not (self.low < low or self.high > high)


@lru_cache(maxsize=65536)
def _read_quantity(text: str, quantity: str, unit: str, marks: str = "") -> _Value:
    """Read a text; `unit` is that of the heading, "" if there is none; `marks`: as for `units.parse`."""
    stripped = text.strip()
    if not stripped:
        return _Value(State.BLANK)
    if is_error(stripped):
        return _Value(State.ERROR)
    if not_known(stripped, True) or (quantity == "temperature" and is_ambient(stripped)):
        return _Value(State.PLACEHOLDER)
    if len(stripped) > _LONGEST:
        return _Value(
            State.UNREADABLE, problem=f"{stripped[:40]!r} ... is a text of {len(stripped)} characters"
        )
    if unit and _PLAIN.fullmatch(stripped):
        numbers, canonical, note, kind = _to_si(np.array([float(stripped)]), unit, quantity)
        if np.isfinite(numbers[0]):
            return _Value(State.TEXT_NUMBER, numbers[0], numbers[0], canonical, False, "", note, kind)
        return _Value(State.IMPOSSIBLE, problem=_beyond(stripped, unit, quantity))
    trouble: UnitError | None = None
    for kind in quantities_for(quantity):
        for own in (True, False) if unit else (True,):
            try:
                value = parse(stripped, kind, None if own else unit, assume=True, marks=marks)
            except ImpossibleValue as error:
                return _Value(State.IMPOSSIBLE, problem=str(error), own_unit=own)
            except UnitError as error:
                if trouble is None or isinstance(error, AmbiguousUnit) or not own:
                    trouble = error
                continue
            if not _usable(value.si_low, value.si_high):
                return _Value(State.IMPOSSIBLE, problem=_beyond(stripped, value.unit, quantity))
            return _Value(
                State.OK if not value.single or (own and not unit) else State.TEXT_NUMBER,
                value.si_low,
                value.si_high,
                value.unit,
                own,
                assumed=value.assumed,
                quantity=kind,
                noted=value.noted,
            )
    if not unit and _is_number(stripped, quantity, marks):
        return _Value(State.AMBIGUOUS)  # its unit stands nowhere; the column's doubt says so
    if isinstance(trouble, AmbiguousUnit):
        return _Value(State.AMBIGUOUS, problem=str(trouble))
    return _Value(State.UNREADABLE, problem=str(trouble))


def _usable(low: float, high: float) -> bool:
    """Whether two ends are numbers; one of them may be missing."""
    return not (math.isinf(low) or math.isinf(high) or (math.isnan(low) and math.isnan(high)))


def _beyond(text: str, unit: str, quantity: str) -> str:
    shown = text if unit and unit in text else f"{text} {unit}".strip()
    return f"{shown} is no {quantity.replace('_', ' ')}: check the number and its unit"


def _is_number(text: str, quantity: str, marks: str) -> bool:
    """Whether a text would be read if its unit were known."""
    unit = {"density": "kg/m3", "length": "mm"}.get(quantity)
    try:
        parse(text, quantity if unit else "ratio", unit, marks=marks)
    except UnitError:
        return False
    return True


_TWO_NUMBERS: Final = re.compile(
    r"(?P<first>[+-]?\d+(?:[.,]\d+)?)\s*[(\[/|\n]\s*(?P<second>[+-]?\d+(?:[.,]\d+)?)\s*[)\]]?"
)
"""Two numbers and nothing else, the second in brackets, behind a slash or on its own line."""
_GROUP: Final = re.compile(r"\d[.,]\d{3}")


def _read_grouped(text: str, quantity: str, unit: str, name: str, marks: str) -> _Value:
    """Read a text with digits in a group of three: by what the column proves, else by what can be.

    '1,500' is 1500 where 1.5 cannot be; a comma is not taken for a decimal one only because 1500 cannot be:
    '850,870' may be two numbers. '1.500' is refused where both can be.
    """
    plain = _read_quantity(text, quantity, unit, marks)
    if "," in marks or "." in marks or _GROUP.search(text) is None:
        return plain
    comma = "," in text
    divided = _read_quantity(text, quantity, unit, marks + ("," if comma else "."))
    grouped = _read_quantity(text, quantity, unit, marks + ("." if comma else ","))
    if not (divided.given and grouped.given) or {divided.quantity, grouped.quantity} != {quantity}:
        return plain
    low, high = limits(name)
    if (divided.low, divided.high) == (grouped.low, grouped.high) or not grouped.within(low, high):
        return plain
    if divided.within(low, high):
        problem = f"{text.strip()!r} could be {_shown(divided)} or {_shown(grouped)}: enter it as a number"
        return _Value(State.AMBIGUOUS, problem=problem)
    return replace(grouped, noted=f"{_shown(divided)} cannot be")


def _shown(value: _Value) -> str:
    si = value.low if math.isfinite(value.low) else value.high
    return f"{converter(value.unit, value.quantity, True).from_si(si):.10g} {value.unit}"


@cache
def _labels(name: str) -> tuple[re.Pattern[str], re.Pattern[str]] | None:
    """What names a field before a number in its cell, and behind one."""
    listed = sorted(load("cell_words")["label"].get(name, ()), key=len, reverse=True)
    if not listed:
        return None
    known = [re.escape(word) for word in listed if len(word) > 1 or not word.isalpha()]
    letters = [word for word in listed if len(word) == 1 and word.isalpha()]
    every = "|".join((*known, *letters))
    words = "|".join(known) or "(?!)"
    before = rf"(?<![^\W_])(?:(?:{words})\.?\s*[=:]?|(?:{every})\s*[=:])\s*(?=[+\-\d.~<>≤≥Øø±])"
    behind = rf"(?:[\s,;]+(?:{words})\.?|\s*[(\[]\s*(?:{every})\.?\s*[)\]])$"
    return re.compile(before, re.IGNORECASE), re.compile(behind, re.IGNORECASE)


_EITHER_SIDE: Final = re.compile(r"(?:±|\+ ?/ ?-)\s*(\d+(?:[.,]\d+)?)(.*)")


def _unlabelled(text: str, name: str) -> str | None:
    """A text without what names its field; None where nothing does. Of a range, '±600' names both ends."""
    plain = text
    if "split" in fields()[name]:
        plain = _EITHER_SIDE.sub(r"-\1 to \1\2", plain)
    if patterns := _labels(name):
        plain = patterns[1].sub("", patterns[0].sub("", plain))
    return plain if plain != text else None


def _read_pipe(text: str) -> _Value | None:
    """The outside diameter of a nominal size, 'DN 80'; None for a text that names none."""
    size = pipe_size(text.strip())
    if size is None:
        return None
    outside = size.outside_diameter
    if outside is None:
        problem = f"{text.strip()!r} can be two pipes, {size.outside}: enter the outside diameter"
        return _Value(State.AMBIGUOUS, problem=problem)
    return _Value(State.OK, outside, outside, "mm", True, quantity="length", noted=f"{size}: {size.outside}")


def tell_density(numbers: NDArray[np.float64]) -> str:
    """The unit of a density column that states none, if its numbers leave no choice."""
    numbers = numbers[np.isfinite(numbers)]
    if not len(numbers):
        return ""
    if ((numbers >= SG_RANGE[0]) & (numbers <= SG_RANGE[1])).all():
        return "SG"
    if ((numbers >= KG_RANGE[0]) & (numbers <= KG_RANGE[1])).all():
        return "kg/m3"
    return ""


def _to_si(
    numbers: NDArray[np.float64], unit: str, quantity: str
) -> tuple[NDArray[np.float64], str, str, str]:
    """(SI numbers, canonical unit, what was assumed, quantity) of numbers in a column's unit."""
    for kind in quantities_for(quantity):
        try:
            found = converter(unit, kind, assume=True)
        except UnitError:
            continue
        with np.errstate(all="ignore"):  # what comes out as no number is refused by the caller
            si = np.asarray(found.to_si(numbers), dtype=np.float64)
        return si, found.unit, found.assumed, kind
    return np.full(len(numbers), np.nan), "", "", quantity


# --- a column of quantities ---------------------------------------------------------------------------


@dataclass(slots=True)
class Quantities:
    """A quantity column, and what its unit was found to be."""

    column: Column
    unit: str = ""
    source: str = ""
    """"cells", "assumed", "told" or "" as given."""
    untold: int = 0
    """Numbers whose unit cannot be told."""
    kinematic: NDArray[np.bool_] | None = field(default=None)
    """Records whose viscosity is kinematic (m2/s), still to be multiplied by the density."""


def numbers_of(raw: NDArray[np.object_]) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    """(numbers, NaN elsewhere; code of each cell)."""
    numbers, codes = np.empty(len(raw)), np.empty(len(raw), dtype=np.uint8)
    for at in range(0, len(raw), AT_ONCE):
        some = slice(at, at + AT_ONCE)
        numbers[some], codes[some] = _some_numbers(raw[some])
    return numbers, codes


def _some_numbers(raw: NDArray[np.object_]) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    listed = raw.tolist()
    if set(map(type, listed)) == {float}:
        return raw.astype(np.float64), np.full(len(listed), _NUMBER, dtype=np.uint8)
    codes = np.fromiter(map(_CODES.get, map(type, listed), repeat(_OTHER)), np.uint8, len(listed))
    numbers = np.full(len(listed), np.nan)
    which = np.flatnonzero(codes == _NUMBER)
    if len(which):
        numbers[which] = np.array(raw[which].tolist(), dtype=np.float64)
    return numbers, codes


def times_density(column: Column, kinematic: NDArray[np.bool_], density: Column | None) -> None:
    """Make kinematic viscosities dynamic ones, by the density of the same record."""
    if density is None:
        rho = np.full(len(column), np.nan)
    else:
        rho = np.where(density.given, density.value, np.nan)
    column.low = np.where(kinematic, column.low * rho, column.low)
    column.high = np.where(kinematic, column.high * rho, column.high)
    for i in np.flatnonzero(kinematic & np.isnan(rho)).tolist():
        column.state[i] = State.AMBIGUOUS
        column.problem[i] = "a kinematic viscosity, and no density beside it: state it in mPa.s"


def quantity_column(
    name: str,
    cells: Cells,
    unit: str,
    choices: tuple[str, ...] = (),
    *,
    units: NDArray[np.object_] | None = None,
    unfit: str = "",
) -> Quantities:
    """A column of a quantity field; `unit` as the heading or the row of units states it, or "".

    `choices`: units of which the heading states several; each number is told by its size, if it can be, and
    '20 (2.9)' by both.
    `units`: the unit that stands beside each record, in a column or a row of units; it comes before the
    heading's, and is "" where none stands there. `unfit`: what the heading states in the place of the unit,
    and is none of this quantity ('kg/h' over a pressure): no default takes its place, and only a cell that
    states a unit of its own is read.
    """
    reading = _Reading(name, cells, choices)
    groups = _groups(reading.quantity, unit, None if units is None else reading.beside(units), unfit)
    for group in [reading.numbers_of(group) for group in groups]:
        reading.texts_of(group)
    return reading.result()


@dataclass(frozen=True, slots=True)
class _Group:
    """The records whose numbers have one unit."""

    where: NDArray[np.bool_] | None
    """None: all of them."""
    unit: str
    beside: bool = False
    """Whether it stands beside the record, not in the heading."""
    unfit: str = ""
    told: str = ""
    """How the unit was found where none is stated: "told" by the numbers, or "assumed"."""

    @property
    def problem(self) -> str:
        place = "beside it" if self.beside else "in the heading"
        return f"has no unit of its own, and '{self.unfit}' {place} is none of this quantity: state its unit"


def _groups(quantity: str, unit: str, units: NDArray[np.object_] | None, unfit: str) -> Iterator[_Group]:
    if units is None:
        yield _Group(None, unit, unfit=unfit)
        return
    for text in dict.fromkeys(units.tolist()):
        where = np.asarray(units == text)
        found = _fitting(text, quantity)  # 'см' is a centimetre, whatever else it may say
        if not found and (not text or tells_no_value(text, True)):
            yield _Group(where, unit, unfit=unfit)
            continue
        yield _Group(where, found, True, "" if found else text)


def _fitting(text: str, quantity: str) -> str:
    """The unit of a quantity that a text states, or ""."""
    return next(filter(None, (find_unit(text, kind) for kind in quantities_for(quantity))), "")


class _Reading:
    """One column while it is read: the numbers of every group, then the texts."""

    def __init__(self, name: str, cells: Cells, choices: tuple[str, ...]) -> None:
        self.name, self.cells, self.choices = name, cells, choices
        self.spec = fields()[name]
        self.quantity: str = self.spec["quantity"]
        self.n = len(cells.raw)
        self.dittos: dict[int, int] = {}
        self.raw = cells.raw
        self.numbers, self.codes = numbers_of(cells.raw)
        if (self.codes == _TEXT).any() and (dittos := _dittos(cells, cells.raw.tolist())):
            self.dittos, self.raw = dittos, _repeated(cells, dittos)
            self.numbers, self.codes = numbers_of(self.raw)
        self.is_number = (self.codes == _NUMBER) & np.isfinite(self.numbers)
        self.state = np.where(self.is_number, np.uint8(State.OK), np.uint8(State.BLANK))
        self.low = np.full(self.n, np.nan)
        self.high = self.low
        self.units = np.full(self.n, "", dtype=object)
        self.problem: dict[int, str] = {}
        self.assumed: dict[int, str] = {}
        self.noted: dict[int, str] = {}
        self.defaulted = np.zeros(self.n, dtype=np.bool_)
        """Records whose unit stands nowhere and is the one that a field is usually in."""
        self.kinematic = np.zeros(self.n, dtype=np.bool_)
        self.untold = 0
        self.own_units: dict[str, int] = {}
        self.unit, self.source = "", ""
        self.of_heading = 0
        """Plain numbers that have the heading's unit, or none."""
        self._marks: str | None = None

    def beside(self, units: NDArray[np.object_]) -> NDArray[np.object_]:
        """The units beside the records, with what ditto marks stand for."""
        texts = [str(text or "").strip() for text in units.tolist()]
        for i, text in enumerate(texts):
            source = self.dittos.get(i, -1)
            if source >= 0 and (not text or is_ditto(text)):
                texts[i] = texts[source]
            elif i and text and is_ditto(text) and not _fitting(text, self.quantity):
                texts[i] = texts[i - 1]
        return np.array(texts, dtype=object)

    # --- numbers ---

    def numbers_of(self, group: _Group) -> _Group:
        """Read the numbers of a group; the group with its unit, where the numbers had to tell it."""
        where = self.is_number if group.where is None else self.is_number & group.where
        unit, source, some = group.unit, "", bool(where.any())
        if not unit and not group.unfit:
            plain = self._density_numbers(group) if self.quantity == "density" else np.empty(0)
            if plain.size and (unit := tell_density(plain)):
                source = "told"
            elif some and not self.choices and (unit := self.spec.get("unit", "")):
                source = "assumed"
                self.defaulted |= where
        if unit:
            self._convert(where, unit)
        elif group.unfit:
            self._without_unit(where, group)
        elif some:
            self._tell(where)
        if group.beside:
            self.own_units[unit] = self.own_units.get(unit, 0) + int(where.sum())
        else:
            self.unit, self.source = unit, source
            self.of_heading += int(where.sum())
        return replace(group, unit=unit, told=source)

    def _convert(self, where: NDArray[np.bool_], unit: str) -> None:
        si, canonical, note, kind = _to_si(self.numbers, unit, self.quantity)
        self.low = si if where is self.is_number else np.where(where, si, self.low)
        self.high = self.low
        self.units[where] = canonical
        if kind != self.quantity:
            self.kinematic |= where
        lost = where & ~np.isfinite(si)
        if lost.any():
            for i in np.flatnonzero(lost).tolist():
                self.state[i] = State.IMPOSSIBLE
                self.problem[i] = _beyond(f"{self.numbers[i]:g}", canonical, self.quantity)
                self.units[i] = ""
            self.low = self.high = np.where(np.isfinite(self.low), self.low, np.nan)
        if note:
            self.assumed |= dict.fromkeys(np.flatnonzero(where & ~lost).tolist(), note)

    def _without_unit(self, where: NDArray[np.bool_], group: _Group) -> None:
        """Numbers under a heading that states something else than a unit, perhaps a nominal size of pipe."""
        size = _SIZES.get(group.unfit.strip(" ()[].").casefold(), "") if self.name in OF_PIPE else ""
        for i in np.flatnonzero(where).tolist():
            value = _read_pipe(f"{size} {self.numbers[i]:g}") if size else None
            self._put(i, value or _Value(State.AMBIGUOUS, problem=group.problem))

    def _tell(self, where: NDArray[np.bool_]) -> None:
        """Numbers whose unit stands nowhere, or is one of several."""
        told = _told(self.numbers, self.choices)
        for unit in sorted(set(told.tolist()) - {""}):
            self._convert(where & (told == unit), unit)
        unknown = where & (told == "")
        self.state[unknown] = State.AMBIGUOUS
        self.untold += int(unknown.sum())

    def _density_numbers(self, group: _Group) -> NDArray[np.float64]:
        """All numbers of a density column without unit, those kept as text included."""
        here = np.ones(self.n, dtype=np.bool_) if group.where is None else group.where
        found = [self.numbers[here & (self.codes == _NUMBER)]]
        for text in {self.raw[i] for i in np.flatnonzero(here & (self.codes == _TEXT)).tolist()}:
            try:
                value = parse(text, "ratio", marks=self.marks)
            except UnitError:
                continue
            found.append(np.array([value.si_low, value.si_high]))
        return np.concatenate(found)

    # --- texts ---

    def texts_of(self, group: _Group) -> None:
        """Read the texts of a group, and refuse what is neither text nor number."""
        here = self.codes >= _TEXT
        if group.where is not None:
            here = here & group.where
        stated = group.unit if not group.told else ""
        default = "" if group.unfit else group.unit or self.spec.get("unit", "")
        known: dict[str, _Value] = {}
        for i in np.flatnonzero(here).tolist():
            if self.codes[i] == _OTHER:
                state = State.UNREADABLE if isinstance(self.raw[i], bool) else State.IMPOSSIBLE
                self._put(i, _Value(state, problem=_no_number(self.raw[i], self.spec["label"])))
                continue
            if not self.raw[i]:
                continue
            value = known.get(self.raw[i])
            if value is None:
                value = self._text(i, default)
                if group.unfit and value.state == State.AMBIGUOUS and not value.problem:
                    value = replace(value, problem=group.problem)
                if value.own_unit and value.state == State.TEXT_NUMBER and not stated:
                    value = replace(value, state=State.OK)  # a sheet that states its units in the cells
                if i not in self.dittos:
                    known[self.raw[i]] = value
            self._put(i, value)
            self.defaulted[i] = bool(default) and not stated and not value.own_unit
            if value.own_unit and value.unit:
                self.own_units[value.unit] = self.own_units.get(value.unit, 0) + 1
            self.untold += value.state == State.AMBIGUOUS and not value.problem

    def _text(self, i: int, default: str) -> _Value:
        text: str = self.raw[i]
        if self.dittos.get(i) == -1:
            return _Value(State.UNREADABLE, problem=f"{text.strip()} {_NOTHING_TO_REPEAT}")
        if self.name in OF_PIPE and (pipe := _read_pipe(text)) is not None:
            return pipe
        if len(self.choices) == 2 and (pair := _TWO_NUMBERS.fullmatch(text.strip())):
            return self._in_both(pair, text, default)
        shorter = _unlabelled(text, self.name)
        if shorter is not None:
            value = self._quantity(shorter, default)
            if value.state not in (State.UNREADABLE, State.PLACEHOLDER, State.BLANK):
                return value
        return self._quantity(text, default)

    def _in_both(self, pair: re.Match[str], text: str, default: str) -> _Value:
        """'20 (2.9)' under 'kPag (psig)': one value in both units of the heading, if the two agree."""
        one, two = self.choices
        for first, second in ((one, two), (two, one)):
            value = self._quantity(f"{pair['first']} {first} ({pair['second']} {second})", default)
            if value.given:
                return value
        return self._quantity(text, default)

    def _quantity(self, text: str, default: str) -> _Value:
        if _OF_THREE.search(text) is None:
            return _read_quantity(text, self.quantity, default)
        return _read_grouped(text, self.quantity, default, self.name, self.marks)

    @property
    def marks(self) -> str:
        """How the column writes its numbers, as far as its texts prove it."""
        if self._marks is None:
            self._marks = marks_of({self.raw[i] for i in np.flatnonzero(self.codes == _TEXT).tolist()})
        return self._marks

    def _put(self, i: int, value: _Value) -> None:
        if self.high is self.low:
            self.low, self.high = self.low.copy(), self.low.copy()
        self.state[i], self.low[i], self.high[i] = value.state, value.low, value.high
        self.units[i] = value.unit
        for told, text in (
            (self.problem, value.problem),
            (self.assumed, value.assumed),
            (self.noted, value.noted),
        ):
            if text:
                told[i] = text
        if value.quantity == "kinematic_viscosity":
            self.kinematic[i] = True

    # --- the whole ---

    def result(self) -> Quantities:
        """The column, once all groups are read."""
        for i, source in self.dittos.items():
            if source >= 0:
                parts = (f"as {_address(self.cells, source)}", self.noted.get(source, ""))
                self.noted[i] = "; ".join(filter(None, parts))
        self._weigh()
        raw, texts = self.cells.raw, np.full(self.n, "", dtype=object)
        if (self.codes == _TEXT).any() or self.dittos:
            listed = raw.tolist()
            texts[:] = [value.strip() if type(value) is str else "" for value in listed]
            raw = blank_none(raw)
        column = Column(
            self.name,
            raw,
            self.state,
            self.low,
            self.high,
            texts,
            self.units,
            self.cells.sheet,
            self.cells.row,
            self.cells.col,
            self.problem,
            self.assumed,
            self.noted,
        )
        _mark_uncalculated(column, self.cells.uncalculated)
        if self.own_units and (not self.unit or self.source) and not self.of_heading:
            self.unit, self.source = max(self.own_units, key=lambda unit: self.own_units[unit]), "cells"
        kinematic = self.kinematic if self.kinematic.any() else None
        return Quantities(column, self.unit, self.source, self.untold, kinematic)

    def _weigh(self) -> None:
        """Mark the numbers that cannot be; where their unit was only assumed, it may be another one."""
        low, high = limits(self.name)
        with np.errstate(invalid="ignore"):
            beyond = ((self.low < low) | (self.high > high)) & ~self.kinematic
            if self.name in _PLACED:
                beyond &= ~(self.low < self.high)
        if not beyond.any():
            return
        beyond &= (self.state == State.OK) | (self.state == State.TEXT_NUMBER)
        for i in np.flatnonzero(beyond).tolist():
            unit = str(self.units[i])
            value = _Value(State.OK, float(self.low[i]), float(self.high[i]), unit, quantity=self.quantity)
            if self.defaulted[i] and value.high > 0:  # below zero it cannot be in any unit
                text = f"{_shown(value)} cannot be, and its unit stands nowhere: state the unit"
                self._put(i, _Value(State.AMBIGUOUS, problem=text))
            else:
                self.state[i] = State.IMPOSSIBLE
                self.problem[i] = f"{_shown(value)} cannot be: check the number and its unit"


def _told(numbers: NDArray[np.float64], choices: tuple[str, ...]) -> NDArray[np.object_]:
    """The unit of each number by its size, "" where none or several of the choices fit."""
    told = np.full(len(numbers), "", dtype=object)
    if not choices or any(unit not in _DENSITIES for unit in choices):
        return told
    fits = np.array([(numbers >= _DENSITIES[unit][0]) & (numbers <= _DENSITIES[unit][1]) for unit in choices])
    for number, unit in enumerate(choices):
        told[fits[number] & (fits.sum(axis=0) == 1)] = unit
    return told


def _no_number(value: Any, label: str) -> str:
    if isinstance(value, (date, datetime)):
        day = value.strftime("%Y-%m-%d")
        return (
            f"holds the date {day}, perhaps once a range such as {value.month}-{value.day}: "
            f"enter the {label} again, as text"
        )
    if isinstance(value, (time, timedelta)):
        return f"holds the time {value}: enter the {label} again"
    return f"holds {str(value).upper()}, no {label}: enter the number"
