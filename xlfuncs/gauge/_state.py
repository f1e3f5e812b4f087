"""States of a pure fluid from its reference equation of state, as CoolProp holds them.

A state that is tabled (`gauge/_tabled.py`) comes from its table, whether or not CoolProp is there; another
one from CoolProp, which is loaded only then. Its points are computed one by one and remembered: a sheet asks
for the same few states again and again.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable
from functools import cache, lru_cache
from math import isfinite, nan
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import _measured, _tabled
from xlfuncs.gauge._reasons import Array, refuse, scalar

AT_FREEZING = 0.02
"""K below the triple point that still count as on it, so that 0 degC is valid for water."""
AT_BOILING = 1e-6
"""Relative distance from the saturation pressure that counts as on it."""


class Limits(NamedTuple):
    """Range of a fluid's equation of state: K and Pa."""

    coldest: float
    hottest: float
    highest_pressure: float
    critical_temperature: float
    critical_pressure: float
    triple_pressure: float


class _States(threading.local):
    """State objects of this thread: they are changed by each call and cannot be shared."""

    def __init__(self) -> None:
        self.known: dict[tuple[str, str], Any] = {}


_states = _States()
_known: dict[tuple[str, str, str, str], dict[tuple[float, float], float]] = {}
_ROOM = 1 << 15
"""Points of one kind that are remembered."""


def _state(name: str, phase: str = "") -> Any:
    state = _states.known.get((name, phase))
    if state is None:
        import CoolProp

        state = getattr(CoolProp, "AbstractState")("HEOS", name)  # noqa: B009  (it is not declared)
        if phase:
            state.specify_phase(getattr(CoolProp, f"iphase_{phase}"))
        _states.known[name, phase] = state
    return state


@cache
def there() -> bool:
    """Whether CoolProp can be loaded."""
    try:
        import CoolProp  # noqa: F401
    except ImportError:
        return False
    return True


@lru_cache(maxsize=256)
def limits(name: str) -> Limits:
    """The range of the equation of state of the fluid `name` (CoolProp's spelling)."""
    if _measured.measured(name) is not None:
        return Limits(*_measured.LIMITS)
    known = _tabled.table(name)
    return computed_limits(name) if known is None else Limits(*known.limits)


def computed_limits(name: str) -> Limits:
    """`limits`, as CoolProp has them."""
    import CoolProp

    state = _state(name)
    return Limits(
        coldest=state.Tmin(),
        hottest=state.Tmax(),
        highest_pressure=state.pmax(),
        critical_temperature=state.T_critical(),
        critical_pressure=state.p_critical(),
        triple_pressure=state.trivial_keyed_output(CoolProp.iP_triple),
    )


def computed(
    name: str, inputs: str, pairs: Iterable[tuple[float, float]], output: str, phase: str = ""
) -> list[float]:
    """`evaluate` for pairs of inputs, as CoolProp has it."""
    import CoolProp

    state = _state(name, phase)
    kind, update, read = getattr(CoolProp, f"{inputs}_INPUTS"), state.update, getattr(state, output)
    known = _known.setdefault((name, inputs, output, phase), {})
    found = []
    for pair in pairs:
        value = known.get(pair)
        if value is None:
            try:
                update(kind, *pair)
                value = float(read())
            except ValueError:  # no solution there, or no equation for this property
                value = nan
            value = known[pair] = value if isfinite(value) else nan
        found.append(value)
    if len(known) > _ROOM:
        known.clear()
    return found


def evaluate(
    name: str, inputs: str, first: ArrayLike, second: ArrayLike, output: str, phase: str = ""
) -> Array:
    """`output` (a method of CoolProp's AbstractState) at each pair of inputs; NaN in, NaN out.

    `inputs` is "QT", "PQ" or "PT": vapour share and temperature [K], pressure [Pa] and vapour share, or
    pressure and temperature. `phase` spares the search for the phase where it is known.
    """
    one, two = np.broadcast_arrays(np.asarray(first, np.float64), np.asarray(second, np.float64))
    known = ~(np.isnan(one) | np.isnan(two))
    if _measured.measured(name) is not None:
        found = _measured.states(name, inputs, one, two, output)
        return refuse(scalar(found), np.isnan(found) & known, _measured.why_not(name))
    found = _tabled.states(name, inputs, one, two, output, phase)
    left = known & np.isnan(found)
    if left.any() and not _tabled.never(name, output) and there():
        found = np.where(left, np.nan, found)
        found[left] = _left(name, inputs, one[left], two[left], output, phase)
    lost = np.isnan(found) & known
    if lost.any() and not _tabled.never(name, output) and not there():
        why = f"this state of {name} is in no table, and CoolProp, which computes it, is not installed"
        return refuse(scalar(found), lost, why)
    if output == "viscosity":
        return refuse(
            scalar(found), lost, f"no viscosity equation of {name} is known here; give the viscosity"
        )
    return refuse(scalar(found), lost, f"the equation of state of {name} gives no result here")


def _left(name: str, inputs: str, first: Array, second: Array, output: str, phase: str) -> Array:
    """States that no table covers; equal pairs are computed once."""
    pairs = np.empty(len(first), dtype=np.complex128)
    pairs.real, pairs.imag = first, second
    different, place = np.unique(pairs, return_inverse=True)
    each = list(zip(different.real.tolist(), different.imag.tolist(), strict=True))
    return np.array(computed(name, inputs, each, output, phase), dtype=np.float64)[place]


def celsius(kelvin: float) -> str:
    """A temperature for a reason."""
    return f"{kelvin - ZERO_CELSIUS:.4g} degC"


def saturable(name: str, temperature: ArrayLike) -> Array:
    """Temperatures at which liquid and vapour coexist; others are refused."""
    kelvin = np.asarray(temperature, dtype=np.float64)
    limit = limits(name)
    touching = (kelvin < limit.coldest) & (kelvin >= limit.coldest - AT_FREEZING)
    kelvin = np.where(touching, limit.coldest, kelvin)
    kelvin = refuse(
        kelvin,
        kelvin < limit.coldest,
        f"temperature is below {celsius(limit.coldest)}, where {name} freezes or its equation begins",
    )
    return refuse(
        kelvin,
        kelvin >= limit.critical_temperature,
        f"temperature is not below the critical point of {name} ({celsius(limit.critical_temperature)}): "
        "liquid and vapour are one, there is no level",
    )


def boilable(name: str, pressure: ArrayLike) -> Array:
    """Absolute pressures at which liquid and vapour coexist; others are refused."""
    pascal = np.asarray(pressure, dtype=np.float64)
    limit = limits(name)
    pascal = refuse(
        pascal,
        pascal < limit.triple_pressure,
        f"pressure is below the triple point of {name} ({limit.triple_pressure / 1e5:.4g} bar absolute): "
        "no liquid; is it absolute?",
    )
    return refuse(
        pascal,
        pascal >= limit.critical_pressure,
        f"pressure is not below the critical point of {name} "
        f"({limit.critical_pressure / 1e5:.5g} bar absolute): it does not boil",
    )
