"""Unit text to a cached converter. Of a unit that is not tabled pint is asked once, and never again."""

from __future__ import annotations

import json
import math
import threading
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, Final, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data.constants import STANDARD_ATMOSPHERE
from xlfuncs.units._errors import AmbiguousUnit, UnitError
from xlfuncs.units._table import Unit, lookup, quantities_of, quantity_named, units_for

Array = NDArray[np.float64]

FACTORS: Final = files("xlfuncs.data") / "unit_factors.json"
"""What pint says of the units of the table (`units/tabulate.py`): it takes longer to load than to ask."""
WATER: Final = "water_60F"
"""The unit of the hydrometer scales."""

_pint_lock: Final = threading.RLock()


@cache
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry()
    own = files("xlfuncs.data") / "units_pint.txt"
    registry.load_definitions(own.read_text(encoding="utf-8").splitlines())
    return registry


def _clean(factor: float) -> float:
    """The short decimal that a factor misses by rounding only (999.9999999999999 is 1000)."""
    short = float(f"{factor:.12g}")
    return short if abs(short - factor) <= 4 * math.ulp(factor) else factor


@cache
def _tabled() -> dict[str, Any]:
    content: dict[str, Any] = json.loads(FACTORS.read_text(encoding="utf-8"))
    return content


def _factor(expression: str, si: str) -> tuple[float, float]:
    """(scale, offset) of a unit."""
    known = _tabled().get(f"{expression} -> {si}")
    return (known[0], known[1]) if known else ask_pint(expression, si)


def ask_pint(expression: str, si: str) -> tuple[float, float]:
    """(scale, offset) of a unit as pint knows it."""
    with _pint_lock:
        registry = _registry()
        if expression in ("degC", "degF"):
            zero = float(registry.Quantity(0.0, expression).to(si).magnitude)
            return _clean(float(registry.Quantity(1.0, f"delta_{expression}").to(si).magnitude)), _clean(zero)
        return _clean(float(registry.Quantity(expression).to(si).magnitude)), 0.0


@dataclass(frozen=True, slots=True)
class Converter:
    """Between numbers in one unit and SI numbers of one quantity: si = number * scale + offset."""

    unit: str
    """Canonical name of the unit used."""
    quantity: str
    assumed: str
    """What had to be assumed ('bar taken as bar gauge'), or ""."""
    scale: float
    offset: float

    @property
    def rising(self) -> bool:
        """Whether a larger number is a larger SI value; not so for degrees API and for a vacuum."""
        return self.scale > 0

    @overload
    def to_si(self, number: float) -> float: ...
    @overload
    def to_si(self, number: Array) -> Array: ...
    def to_si(self, number: float | Array) -> float | Array:
        """SI value of a number, or of each number of an array."""
        scaled = number * self.scale
        return scaled + self.offset if self.offset else scaled

    @overload
    def from_si(self, si: float) -> float: ...
    @overload
    def from_si(self, si: Array) -> Array: ...
    def from_si(self, si: float | Array) -> float | Array:
        """Number in this unit of an SI value, or of each value of an array."""
        return (si - self.offset if self.offset else si) / self.scale


@dataclass(frozen=True, slots=True)
class HydrometerScale(Converter):
    """A density scale that divides: si = scale / (base + step * number). NaN where that is no density."""

    base: float
    step: float

    @property
    def rising(self) -> bool:
        return self.step < 0

    @overload
    def to_si(self, number: float) -> float: ...
    @overload
    def to_si(self, number: Array) -> Array: ...
    def to_si(self, number: float | Array) -> float | Array:
        return self.scale / _above_zero(self.base + self.step * number)

    @overload
    def from_si(self, si: float) -> float: ...
    @overload
    def from_si(self, si: Array) -> Array: ...
    def from_si(self, si: float | Array) -> float | Array:
        return (self.scale / _above_zero(si) - self.base) / self.step


@dataclass(frozen=True, slots=True)
class SayboltScale(Converter):
    """Seconds of a Saybolt Universal viscometer; NaN below the 32 s at which its table begins.

    U = 4.6324 v + (1 + 0.03264 v) / ((3930.2 + 262.7 v + 23.97 v2 + 1.646 v3) 1e-5), v in mm2/s
    (ASTM D2161, at 100 degF).
    """

    @overload
    def to_si(self, number: float) -> float: ...
    @overload
    def to_si(self, number: Array) -> Array: ...
    def to_si(self, number: float | Array) -> float | Array:
        seconds = np.asarray(number, dtype=np.float64)
        known = np.where(seconds >= _SAYBOLT_FROM, seconds, np.nan)
        v = known / 4.6324
        for _ in range(_SAYBOLT_STEPS):
            above, below = _saybolt(v), _saybolt(v * (1 + 1e-6))
            v = v - (above - known) / ((below - above) / (v * 1e-6))
        si = v * self.scale
        return si if isinstance(number, np.ndarray) else float(si)

    @overload
    def from_si(self, si: float) -> float: ...
    @overload
    def from_si(self, si: Array) -> Array: ...
    def from_si(self, si: float | Array) -> float | Array:
        with np.errstate(all="ignore"):
            seconds = _saybolt(np.asarray(si, dtype=np.float64) / self.scale)
        seconds = np.where(seconds >= _SAYBOLT_FROM, seconds, np.nan)
        return seconds if isinstance(si, np.ndarray) else float(seconds)


_SAYBOLT_FROM: Final = 32.0
_SAYBOLT_STEPS: Final = 12
"""Newton's steps; from the straight line that the curve approaches, five give every digit."""


def _saybolt(v: Array) -> Array:
    """Seconds for a kinematic viscosity in mm2/s."""
    curve = (3930.2 + 262.7 * v + 23.97 * v**2 + 1.646 * v**3) * 1e-5
    return np.asarray(4.6324 * v + (1.0 + 0.03264 * v) / curve, dtype=np.float64)


def _above_zero(value: float | Array) -> float | Array:
    if isinstance(value, np.ndarray):
        return np.where(value > 0, value, np.nan)
    return value if value > 0 else np.nan


def _label(quantity: str) -> str:
    kind, _, rest = quantity.partition("_")
    return f"{rest} {kind}" if rest in ("gauge", "absolute") else quantity.replace("_", " ")


def _refusal(text: str, quantity: str) -> UnitError:
    """The error for a text that spells no unit of `quantity`."""
    known = ", ".join(units_for(quantity)[:6])
    others = " or ".join(map(_label, sorted(quantities_of(text))))
    said = f"is a unit of {others}, not of" if others else "is not a known unit of"
    return UnitError(f"{text!r} {said} {_label(quantity)}: use {known} ...; write e.g. {_example(quantity)}")


def _example(quantity: str) -> str:
    return repr(quantity_named(quantity).example)


@lru_cache(maxsize=1024)
def converter(unit: str, quantity: str, assume: bool = False) -> Converter:
    """The converter between `unit`, as the trade spells it, and the SI number of `quantity`.

    Cached: a repeated unit costs a dictionary look-up. A pressure unit that states no reference
    ('bar', 'psi') raises `AmbiguousUnit` for a gauge or absolute pressure; with `assume` it is taken as the
    quantity's own reference and `Converter.assumed` says so. Between gauge and absolute
    pressure stands the standard atmosphere, 101325 Pa.
    """
    found = lookup(unit, quantity)
    if found is None:
        raise _refusal(unit, quantity)
    assumed = ""
    if found.unclear:
        if not (assume and found.assume):
            raise AmbiguousUnit(f"{unit!r} can be {found.unclear}")
        assumed = found.note
        found = quantity_named(quantity).units[found.assume]
    return _build(found, assumed)


def _build(unit: Unit, assumed: str) -> Converter:
    si = quantity_named(unit.quantity).si
    if unit.over is not None:
        water, _ = _factor(WATER, si)
        top, base, step = unit.over
        return HydrometerScale(unit.name, unit.quantity, assumed, water * top, 0.0, base, step)
    if unit.plus is not None:
        water, _ = _factor(WATER, si)
        start, step = unit.plus
        return Converter(unit.name, unit.quantity, assumed, water * step, water * start)
    if unit.saybolt:
        return SayboltScale(unit.name, unit.quantity, assumed, 1e-6, 0.0)
    scale, offset = _factor(unit.expression, si)
    if unit.reference == "vacuum":
        above = STANDARD_ATMOSPHERE if unit.quantity == "pressure_absolute" else 0.0
        return Converter(unit.name, unit.quantity, assumed, -scale, above)
    if unit.quantity == "pressure_gauge" and unit.reference == "absolute":
        offset = -STANDARD_ATMOSPHERE
    elif unit.quantity == "pressure_absolute" and unit.reference == "gauge":
        offset = STANDARD_ATMOSPHERE
    return Converter(unit.name, unit.quantity, assumed, scale, offset)


def _number(value: ArrayLike) -> float | Array:
    return float(value) if isinstance(value, (int, float)) else np.asarray(value, dtype=np.float64)[()]


def to_si(value: ArrayLike, unit: str, quantity: str) -> float | Array:
    """SI value of numbers in `unit`."""
    return converter(unit, quantity).to_si(_number(value))


def from_si(value: ArrayLike, unit: str, quantity: str) -> float | Array:
    """Numbers in `unit` of SI values."""
    return converter(unit, quantity).from_si(_number(value))
