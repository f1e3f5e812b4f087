"""Cells of one field to a `Column`: numbers in SI, texts cleaned, every cell with its state."""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cache, lru_cache
from itertools import repeat
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.lists.model import Column, State
from xlfuncs.units import AmbiguousUnit, UnitError, converter, parse
from xlfuncs.vocabulary.meaning import fields, quantities_for
from xlfuncs.vocabulary.words import fold

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


@cache
def _words(name: str) -> frozenset[str]:
    return frozenset(fold(text) for text in load("instruments")["cells"][name])


@cache
def _errors() -> frozenset[str]:
    return frozenset(load("instruments")["cells"]["errors"])


def is_error(value: Any) -> bool:
    """Whether a value is the text of an error cell."""
    return isinstance(value, str) and value[:1] in "#E" and value in _errors()


_LONGEST_PLACEHOLDER: Final = 30
_LONGEST: Final = 200
"""Characters up to which a text is read as a quantity."""
_PLAIN: Final = re.compile(r"[+-]?\d+(?:\.\d+)?")
_NAMES: Final = re.compile(r"(?>[A-Za-z0-9][\w\-./]*\d\n)*+[A-Za-z0-9][\w\-./]*\d")
"""Lines with a tag, a serial or a part number each: nothing to clean and no placeholder."""


def is_placeholder(text: str, number: bool) -> bool:
    """Whether a cell stands for 'not known yet'."""
    if len(text) > _LONGEST_PLACEHOLDER:
        return False
    plain = fold(text).strip(" ()[]")
    placeholders = _words("placeholders")
    return (
        plain in placeholders
        or plain.rstrip(".") in placeholders
        or (number and plain in _words("no_number"))
    )


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


def text_column(name: str, cells: Cells) -> Column:
    """A column of a text field."""
    n = len(cells.raw)
    raw, listed = cells.raw, cells.raw.tolist()
    state = np.full(n, State.OK, dtype=np.uint8)
    kinds = set(map(type, listed))
    if kinds == {str} and _all_names(listed):
        texts = raw.copy()
    else:
        if bool in kinds:  # True and 1 would be one key
            listed = [
                ("FALSE", "TRUE")[value] if value is True or value is False else value for value in listed
            ]
        known = {value: number for number, value in enumerate(dict.fromkeys(listed))}
        read = list(map(_read_text, known))
        which = np.fromiter(map(known.__getitem__, listed), np.intp, n)
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
    )
    _mark_uncalculated(column, cells.uncalculated)
    return column


def _all_names(texts: list[str]) -> bool:
    lines = "\n".join(texts)
    return lines.count("\n") == len(texts) - 1 and _NAMES.fullmatch(lines) is not None


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


@lru_cache(maxsize=65536)
def _read_quantity(text: str, quantity: str, unit: str) -> _Value:
    """Read a text; `unit` is that of the heading, "" if there is none."""
    stripped = text.strip()
    if not stripped:
        return _Value(State.BLANK)
    if is_error(stripped):
        return _Value(State.ERROR)
    if is_placeholder(stripped, True):
        return _Value(State.PLACEHOLDER)
    if len(stripped) > _LONGEST:
        return _Value(
            State.UNREADABLE, problem=f"{stripped[:40]!r} ... is a text of {len(stripped)} characters"
        )
    if unit and _PLAIN.fullmatch(stripped):
        numbers, canonical, note, kind = _to_si(np.array([float(stripped)]), unit, quantity)
        if np.isfinite(numbers[0]):
            return _Value(State.TEXT_NUMBER, numbers[0], numbers[0], canonical, False, "", note, kind)
        return _Value(State.UNREADABLE, problem=_beyond(stripped, unit, quantity))
    trouble: UnitError | None = None
    for kind in quantities_for(quantity):
        for own in (True, False) if unit else (True,):
            try:
                value = parse(stripped, kind, None if own else unit, assume=True)
            except UnitError as error:
                if trouble is None or isinstance(error, AmbiguousUnit) or not own:
                    trouble = error
                continue
            if not _usable(value.si_low, value.si_high):
                return _Value(State.UNREADABLE, problem=_beyond(stripped, value.unit, quantity))
            single = value.si_low == value.si_high
            return _Value(
                State.OK if not single or (own and not unit) else State.TEXT_NUMBER,
                value.si_low,
                value.si_high,
                value.unit,
                own,
                assumed=value.assumed,
                quantity=kind,
            )
    if not unit and _is_number(stripped, quantity):
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


def _is_number(text: str, quantity: str) -> bool:
    """Whether a text would be read if its unit were known."""
    unit = {"density": "kg/m3", "length": "mm"}.get(quantity)
    try:
        parse(text, quantity if unit else "ratio", unit)
    except UnitError:
        return False
    return True


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
    listed = raw.tolist()
    if set(map(type, listed)) == {float}:
        return raw.astype(np.float64), np.full(len(listed), _NUMBER, dtype=np.uint8)
    codes = np.fromiter(map(_CODES.get, map(type, listed), repeat(_OTHER)), np.uint8, len(listed))
    numbers = np.full(len(listed), np.nan)
    which = np.flatnonzero(codes == _NUMBER)
    if len(which):
        numbers[which] = np.array(raw[which].tolist(), dtype=np.float64)
    return numbers, codes


def quantity_column(name: str, cells: Cells, unit: str, choices: tuple[str, ...] = ()) -> Quantities:
    """A column of a quantity field; `unit` as the heading or the row of units states it, or "".

    `choices`: units of which the heading states several; each number is told by its size, if it can be.
    """
    spec = fields()[name]
    quantity: str = spec["quantity"]
    n = len(cells.raw)
    numbers, codes = numbers_of(cells.raw)
    is_number = (codes == _NUMBER) & np.isfinite(numbers)
    source = ""
    if not unit and is_number.any():
        if quantity == "density" and (unit := tell_density(_density_numbers(cells.raw, numbers, codes))):
            source = "told"
        elif choices:
            unit = ""
        elif unit := spec.get("unit", ""):
            source = "assumed"
    state = np.where(is_number, np.uint8(State.OK), np.uint8(State.BLANK))
    low = np.full(n, np.nan)
    problem: dict[int, str] = {}
    assumed: dict[int, str] = {}
    untold = 0
    kinematic = np.zeros(n, dtype=bool)
    units = np.full(n, "", dtype=object)
    if unit:
        si, canonical, note, kind = _to_si(numbers, unit, quantity)
        low = si
        units[is_number] = canonical
        if kind != quantity:
            kinematic |= is_number
        if not np.isfinite(si[is_number]).all():
            for i in np.flatnonzero(is_number & ~np.isfinite(si)).tolist():
                state[i], problem[i] = State.UNREADABLE, _beyond(f"{numbers[i]:g}", canonical, quantity)
                is_number[i] = False
                units[i] = ""
            low = np.where(np.isfinite(si), si, np.nan)
        if note:
            assumed = dict.fromkeys(np.flatnonzero(is_number).tolist(), note)
    elif is_number.any():
        told = _told(numbers, choices)
        low, units = _si_of_each(numbers, told, quantity, units)
        unknown = is_number & (told == "")
        state[unknown] = State.AMBIGUOUS
        untold += int(unknown.sum())
    high = low
    texts = np.full(n, "", dtype=object)
    stated = "" if source else unit
    own_units: dict[str, int] = {}
    if (codes >= _TEXT).any():
        high = low.copy()
        default = unit or spec.get("unit", "")
        for i in np.flatnonzero(codes == _TEXT).tolist():
            text = cells.raw[i]
            if not text:
                continue
            value = _read_quantity(text, quantity, default)
            if value.own_unit and value.state == State.TEXT_NUMBER and not stated:
                state[i] = State.OK  # a sheet that states its units in the cells
            else:
                state[i] = value.state
            low[i], high[i], units[i], texts[i] = value.low, value.high, value.unit, text.strip()
            if value.problem:
                problem[i] = value.problem
            if value.assumed:
                assumed[i] = value.assumed
            if value.own_unit:
                own_units[value.unit] = own_units.get(value.unit, 0) + 1
            if value.quantity == "kinematic_viscosity":
                kinematic[i] = True
            untold += value.state == State.AMBIGUOUS and not value.problem
        for i in np.flatnonzero(codes == _OTHER).tolist():
            state[i], problem[i] = State.UNREADABLE, _no_number(cells.raw[i], spec["label"])
    column = Column(
        name,
        blank_none(cells.raw) if (codes == _TEXT).any() else cells.raw,
        state,
        low,
        high,
        texts,
        units,
        cells.sheet,
        cells.row,
        cells.col,
        problem,
        assumed,
    )
    _mark_uncalculated(column, cells.uncalculated)
    if own_units and not stated and not is_number.any():
        unit, source = max(own_units, key=lambda name: own_units[name]), "cells"
    return Quantities(column, unit, source, untold, kinematic if kinematic.any() else None)


def _told(numbers: NDArray[np.float64], choices: tuple[str, ...]) -> NDArray[np.object_]:
    """The unit of each number by its size, "" where none or several of the choices fit."""
    told = np.full(len(numbers), "", dtype=object)
    if not choices or any(unit not in _DENSITIES for unit in choices):
        return told
    fits = np.array([(numbers >= _DENSITIES[unit][0]) & (numbers <= _DENSITIES[unit][1]) for unit in choices])
    for number, unit in enumerate(choices):
        told[fits[number] & (fits.sum(axis=0) == 1)] = unit
    return told


def _si_of_each(
    numbers: NDArray[np.float64], told: NDArray[np.object_], quantity: str, units: NDArray[np.object_]
) -> tuple[NDArray[np.float64], NDArray[np.object_]]:
    low = np.full(len(numbers), np.nan)
    for unit in set(told.tolist()) - {""}:
        here = told == unit
        low[here], canonical, _, _ = _to_si(numbers[here], unit, quantity)
        units[here] = canonical
    return low, units


def _density_numbers(
    raw: NDArray[np.object_], numbers: NDArray[np.float64], codes: NDArray[np.uint8]
) -> NDArray[np.float64]:
    """All numbers of a density column without unit, those kept as text included."""
    found = [numbers[codes == _NUMBER]]
    for text in {raw[i] for i in np.flatnonzero(codes == _TEXT).tolist()}:
        try:
            value = parse(text, "ratio")
        except UnitError:
            continue
        found.append(np.array([value.si_low, value.si_high]))
    return np.concatenate(found)


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
