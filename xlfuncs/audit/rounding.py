"""How finely a list states its floats: half the last digit that a column shows."""

from __future__ import annotations

import re
from math import isclose
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import DISPLAY_UNITS, Gauges
from xlfuncs.data import load
from xlfuncs.gauge import Array
from xlfuncs.gauge.model import Spread
from xlfuncs.lists.model import Column
from xlfuncs.units import Converter, UnitError, converter

FIELDS: Final = {"mass": "float_mass", "diameter": "float_diameter", "magnet_height": "magnet_height"}
"""What is uncertain by its rounding, and the field that states it."""
SOURCE: Final = "as a limit, over sqrt(3) (JCGM 100:2008, 4.3.7)"
LAST_DIGIT: Final = {"oz": 0.1, "lb": 0.01}
"""Unit of mass -> the last digit in which lists in it usually state floats, where that is coarser than ours
(common practice, no source): a float is weighed, so that more than it shows is not known."""
_MOST: Final = 6
"""Decimals from which on a number is the result of a formula, not a digit of the list."""
_DECIMALS = re.compile(r"\d+[.,](\d+)")
_FRACTION = re.compile(r"\d\s*/\s*(\d+)")

_Key = tuple[str, str]
"""Sheet and unit: cells of a field that are rounded alike."""
_Half = tuple[float, str]
"""Half the last digit [SI], and how it is said."""


def digit(numbers: Array) -> float:
    """The last digit that some numbers show: the most decimals decide; NaN where all are results of formulas.

    >>> digit(np.array([528.2, 530.0])), digit(np.array([60.0, 76.0])), digit(np.array([2.375, 1 / 3]))
    (0.1, 1.0, 0.001)
    """
    finest = np.nan
    left = np.unique(numbers[np.isfinite(numbers)])
    for places in range(_MOST):
        scaled = left * 10.0**places
        whole = np.abs(scaled - np.rint(scaled)) <= 1e-9 * np.abs(scaled)
        if whole.any():
            finest = float(10.0**-places)
        left = left[~whole]
    return finest


def _written(cells: list[Any], numbers: Array) -> float:
    """The last digit of cells that are texts: '50.0 mm' shows a tenth; NaN where there are none."""
    finest = np.nan
    for raw, number in zip(cells, numbers.tolist(), strict=True):
        found = _DECIMALS.search(raw) if isinstance(raw, str) else None
        if (
            found
            and len(found[1]) < _MOST
            and isclose(float(found[0].replace(",", ".")), number, rel_tol=1e-9)
        ):
            finest = np.fmin(finest, 10.0 ** -len(found[1]))
    return float(finest)


def _halves(column: Column, quantity: str, name: str) -> dict[_Key, _Half]:
    """Half the last digit of the cells of a field by sheet and unit, and no more than is usual.

    A column in whole millimetres or inches gives nominal sizes: they are made nearer to them than that.
    What is usual of a mass goes by its unit.
    """
    found: dict[_Key, _Half] = {}
    keys = list(zip(column.sheet.tolist(), column.unit.tolist(), strict=True))
    numbers = {key: number for number, key in enumerate(dict.fromkeys(keys))}
    which = np.fromiter(map(numbers.__getitem__, keys), np.intp, len(keys))
    for key, number in numbers.items():
        here = (which == number) & column.given
        unit = str(key[1]) or DISPLAY_UNITS[quantity]
        try:
            known = converter(unit, quantity, assume=True)
        except UnitError:
            continue
        if type(known) is not Converter or not here.any():
            continue
        numbers_here = np.asarray(known.from_si(column.value[here]))
        finest = np.fmin(digit(numbers_here), _written(column.raw[here].tolist(), numbers_here))
        parts = [
            int(part)
            for raw in column.raw[here].tolist()
            if isinstance(raw, str)
            for part in _FRACTION.findall(raw)
        ]
        if parts:  # 2 3/8 in is known to an eighth, not to three decimals
            finest = 1 / max(parts)
        if np.isnan(finest):
            continue
        half, usual = finest / 2 * known.scale, _usual(name, known)
        if half > usual * (1 + 1e-9):
            what = f"'{key[0]}' shows no finer than {finest:.6g} {unit}, a nominal size"
            said = f"{what}: {_said(name, known)}, {SOURCE}"
            half = usual
        else:
            said = f"half the last digit of '{key[0]}', {finest:.6g} {unit}, {SOURCE}"
        found[key[0], key[1]] = half, said
    return found


def _usual(name: str, known: Converter | None = None) -> float:
    """What lists usually leave uncertain [SI]. `known`: the unit that they state it in."""
    if known is not None and known.unit in LAST_DIGIT:
        return LAST_DIGIT[known.unit] / 2 * known.scale
    return float(load("model")["spread"][name] / 1e3)


def _said(name: str, known: Converter | None = None) -> str:
    usual = f"{1e3 * _usual(name):g} {'g' if name == 'mass' else 'mm'}"
    if known is not None and known.unit in LAST_DIGIT:
        usual = f"{LAST_DIGIT[known.unit] / 2:g} {known.unit}"
    return f"the usual {usual} (common practice, no source)"


def _looked_up(column: Column, name: str, known: dict[_Key, _Half]) -> tuple[Array, NDArray[np.object_]]:
    otherwise = (_usual(name), f"{_said(name)}, {SOURCE}")
    keys = list(zip(column.sheet.tolist(), column.unit.tolist(), strict=True))
    each = [known.get(key, otherwise) for key in keys]
    texts = np.empty(len(each), dtype=object)
    texts[:] = [said for _, said in each]
    return np.array([half for half, _ in each], dtype=np.float64), texts


def half_digits(gauges: Gauges, name: str) -> tuple[Array, NDArray[np.object_]]:
    """Of each gauge's float: half the last digit of a number of `FIELDS` [SI], and how it is said."""

    def compute() -> tuple[Array, NDArray[np.object_]]:
        return _looked_up(gauges.column(FIELDS[name]), name, _known(gauges, name))

    return gauges.derived(f"half_digits {name}", compute)


def listed_half_digits(gauges: Gauges, name: str) -> tuple[Array, NDArray[np.object_]]:
    """The same of each record of the float lists; empty where they have no such column."""

    def compute() -> tuple[Array, NDArray[np.object_]]:
        column = gauges.listed.get(FIELDS[name])
        if column is None:
            return np.empty(0), np.empty(0, dtype=object)
        return _looked_up(column, name, _known(gauges, name))

    return gauges.derived(f"listed_half_digits {name}", compute)


def _known(gauges: Gauges, name: str) -> dict[_Key, _Half]:
    def compute() -> dict[_Key, _Half]:
        field = FIELDS[name]
        quantity = str(load("fields")[field]["quantity"])
        found: dict[_Key, _Half] = {}
        for columns in (gauges.own, gauges.listed):
            if field in columns:
                found |= _halves(columns[field], quantity, name)
        return found

    return gauges.derived(f"digits {name}", compute)


def spread_of(gauges: Gauges, at: NDArray[np.intp] | int) -> Spread:
    """Standard uncertainties of the floats of some gauges, by the rounding of their lists."""
    mass, diameter, magnet = (half_digits(gauges, name)[0][at] / 3**0.5 for name in FIELDS)
    return Spread(mass, diameter, magnet, coverage=load("model")["coverage"]["factor"])


def listed_spread(gauges: Gauges, at: NDArray[np.intp]) -> Spread:
    """The same of some records of the float lists, as a column."""

    def one(name: str) -> Array:
        halves = listed_half_digits(gauges, name)[0]
        return np.asarray((halves[at] if len(halves) else np.full(len(at), _usual(name)))[:, None] / 3**0.5)

    mass, diameter, magnet = (one(name) for name in FIELDS)
    return Spread(mass, diameter, magnet, coverage=load("model")["coverage"]["factor"])
