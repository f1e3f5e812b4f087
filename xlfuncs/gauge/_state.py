"""States of a pure fluid from its reference equation of state, as CoolProp holds them.

The one place that imports CoolProp, and only when a state is asked for. Points are computed one by
one and remembered: a sheet asks for the same few states again and again.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from functools import lru_cache
from math import isfinite, nan
from pickle import UnpicklingError
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.gauge._reasons import Array, refuse, scalar

ZERO_CELSIUS = 273.15
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

        state = CoolProp.AbstractState("HEOS", name)
        if phase:
            state.specify_phase(getattr(CoolProp, f"iphase_{phase}"))
        _states.known[name, phase] = state
    return state


_elsewhere: Callable[[tuple[Any, ...]], Any] | None = None


def answer_elsewhere(ask: Callable[[tuple[Any, ...]], Any] | None) -> None:
    """Have questions for `here` answered by `ask`, in another process; None: in this one again."""
    global _elsewhere
    _elsewhere = ask


def here(question: tuple[Any, ...]) -> Any:
    """Answer ("limits", name) or ("points", name, inputs, pairs, output, phase) in this process."""
    kind, *details = question
    return _limits(*details) if kind == "limits" else _points(*details)


def _answer(question: tuple[Any, ...]) -> Any:
    if _elsewhere is not None:
        try:
            return _elsewhere(question)
        except (OSError, EOFError, UnpicklingError):  # the other process has ended
            answer_elsewhere(None)
    return here(question)


@lru_cache(maxsize=256)
def limits(name: str) -> Limits:
    """The range of the equation of state of the fluid `name` (CoolProp's spelling)."""
    found: Limits = _answer(("limits", name))
    return found


def _limits(name: str) -> Limits:
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


def _points(
    name: str, inputs: str, pairs: Iterable[tuple[float, float]], output: str, phase: str
) -> list[float]:
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
    pairs = np.empty(int(known.sum()), dtype=np.complex128)  # so that equal pairs are computed once
    pairs.real, pairs.imag = one[known], two[known]
    different, place = np.unique(pairs, return_inverse=True)
    each = list(zip(different.real.tolist(), different.imag.tolist(), strict=True))
    values = _answer(("points", name, inputs, each, output, phase)) if each else []
    found = np.full(one.shape, np.nan)
    found[known] = np.array(values, dtype=np.float64)[place]
    lost = np.isnan(found) & known
    if output == "viscosity":
        return refuse(
            scalar(found), lost, f"no viscosity equation of {name} is known here; give the viscosity"
        )
    return refuse(scalar(found), lost, f"the equation of state of {name} gives no result here")


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
