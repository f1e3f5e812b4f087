"""Makes the tables of `data/states`: Chebyshev expansions of states that an ordinary audit asks for.

    python -m xlfuncs.gauge.tabulate [FLUID ...]

Each expansion is fitted to what CoolProp gives and divided until it agrees between the fitted points within
`AIM`. Where it does not, near the critical point above all, there is none: CoolProp itself is asked there.
`tests/test_states.py` compares the tables with CoolProp at other points.

Source of the values: the reference equation of state of each fluid as CoolProp holds it (Bell, Wronski,
Quoilin and Lemort, Ind. Eng. Chem. Res. 53 (2014) 2498). Method: interpolation at Chebyshev points (numerical
analysis textbooks).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from math import ceil, log, log10
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.gauge import _state, _tabled

Numbers = NDArray[np.float64]
Function = Callable[[Numbers], Numbers]

AIM = 2e-9
"""Largest relative deviation between the fitted points."""
DEGREE = 15
NEAR_CRITICAL = 0.985
"""Share of the critical temperature up to which states are tabled."""
COMPRESSED = 0.92
"""The same of the compressed liquid."""
HIGHEST = 2e7
"""Pa above saturation to which the compressed liquid is tabled: flanges of gauges bear less as a rule."""
_ACROSS, _UP = 15, 9
"""Degrees of the compressed liquid, in temperature and in pressure."""
_NARROWEST = 1 / 64
"""Share of the whole range below which a piece is not divided further."""


def _points(low: float, high: float, degree: int) -> Numbers:
    """Chebyshev points of an interval, falling."""
    return (low + high) / 2 + (high - low) / 2 * np.cos(np.pi * (np.arange(degree + 1) + 0.5) / (degree + 1))


def _coefficients(values: Numbers) -> Numbers:
    """Of the expansion through values at Chebyshev points, along the first axis."""
    n = len(values)
    k = np.arange(n)
    cosines = np.cos(np.pi * np.outer(k, k + 0.5) / n)
    found: Numbers = 2 / n * np.tensordot(cosines, values, 1)
    found[0] /= 2
    return found


def _pieces(function: Function, low: float, high: float, least: float, relative: bool) -> list[list[Any]]:
    """[low, high, coefficients] of each piece that agrees; `relative`: with the value, else absolutely."""
    values = function(_points(low, high, DEGREE))
    if np.isfinite(values).all():
        found = _coefficients(values)
        between = np.linspace(low, high, 41)
        true = function(between)
        off = np.abs(_tabled.clenshaw(found, _tabled.unit(between, low, high)) - true)
        if (off <= AIM * (np.abs(true) if relative else 1.0)).all():
            return [[low, high, _short(found)]]
    if high - low <= least:
        return []
    middle = (low + high) / 2
    return [
        *_pieces(function, low, middle, least, relative),
        *_pieces(function, middle, high, least, relative),
    ]


def _ask(name: str, inputs: str, output: str, phase: str = "") -> Callable[[Numbers, Numbers], Numbers]:
    def asked(first: Numbers, second: Numbers) -> Numbers:
        pairs = np.broadcast_arrays(first, second)
        each = list(zip(*(part.ravel().tolist() for part in pairs), strict=True))
        values = _state.computed(name, inputs, each, output, phase)
        return np.array(values, dtype=np.float64).reshape(pairs[0].shape)

    return asked


def _short(values: Numbers) -> list[Any]:
    """Coefficients without the digits that count for nothing beside the largest."""
    digits = 13 - ceil(log10(float(np.abs(values).max())))
    rounded: list[Any] = np.round(values, digits).tolist()
    return rounded


def _expand(function: Function, low: float, high: float, relative: bool = False) -> list[list[Any]]:
    return _pieces(function, low, high, (high - low) * _NARROWEST, relative)


def _compressed(name: str, low: float, high: float) -> list[list[Any]]:
    """[low, high, coefficients by temperature and pressure] of the compressed liquid."""
    saturated = _ask(name, "QT", "p")
    density = _ask(name, "PT", "rhomass", "liquid")

    def at(kelvin: Numbers, share: Numbers) -> Numbers:
        pascal = saturated(np.zeros(kelvin.shape), kelvin)
        return density(pascal * (1 + 2e-6) + share * HIGHEST, kelvin)

    def fit(low: float, high: float, least: float) -> list[list[Any]]:
        kelvin, share = _points(low, high, _ACROSS), _points(0.0, 1.0, _UP)
        values = at(*np.meshgrid(kelvin, share, indexing="ij"))
        if np.isfinite(values).all():
            found = _coefficients(_coefficients(values).T).T
            grid = np.meshgrid(np.linspace(low, high, 23), np.linspace(0.0, 1.0, 13), indexing="ij")
            true = at(*grid)
            off = np.abs(_tabled.surface(found, _tabled.unit(grid[0], low, high), 2 * grid[1] - 1) / true - 1)
            if (off <= AIM).all():
                return [[low, high, _short(found)]]
        if high - low <= least:
            return []
        middle = (low + high) / 2
        return [*fit(low, middle, least), *fit(middle, high, least)]

    return fit(low, high, (high - low) / 16)


def table(name: str) -> dict[str, Any]:
    """All expansions of a fluid, and the limits of its equation of state."""
    limit = _state.computed_limits(name)
    cold, hot = limit.coldest, NEAR_CRITICAL * limit.critical_temperature
    pressure = _ask(name, "QT", "p")
    boiling = _ask(name, "PQ", "T")
    liquid, vapour = _ask(name, "QT", "rhomass"), _ask(name, "QT", "rhomass")
    viscosity = _ask(name, "QT", "viscosity")
    zero, one = np.zeros(1), np.ones(1)
    reach = [float(pressure(zero, np.array([kelvin]))[0]) for kelvin in (cold, hot)]
    low = max(log(limit.triple_pressure), log(reach[0]))

    def dry(kelvin: Numbers) -> Numbers:
        return np.log(vapour(one, kelvin))

    middle = np.array([(cold + hot) / 2])
    return {
        "limits": list(limit),
        "without": [] if np.isfinite(viscosity(zero, middle)).all() else ["viscosity"],
        "pressure": _expand(lambda kelvin: np.log(pressure(zero, kelvin)), cold, hot),
        "temperature": _expand(lambda logs: boiling(np.exp(logs), zero), low, log(reach[1]), relative=True),
        "liquid": _expand(lambda kelvin: liquid(zero, kelvin), cold, hot, relative=True),
        "vapour": _expand(dry, cold, hot),
        "viscosity": _expand(lambda kelvin: np.log(viscosity(zero, kelvin)), cold, hot),
        "highest": HIGHEST,
        "compressed": _compressed(name, cold, COMPRESSED * limit.critical_temperature),
    }


def main(fluids: Sequence[str]) -> int:
    """Write the table of each fluid."""
    import CoolProp

    folder = Path(str(_tabled.FOLDER))
    folder.mkdir(exist_ok=True)
    for name in fluids or load("fluids")["fluid"]:
        content = {"source": f"CoolProp {CoolProp.__version__}", "fluid": name, **table(name)}
        text = ",\n".join(f"{json.dumps(key)}: {json.dumps(value)}" for key, value in content.items())
        (folder / f"{name}.json").write_text(f"{{\n{text}\n}}\n", encoding="utf-8")
        sizes = {key: len(value) for key, value in content.items() if isinstance(value, list)}
        print(name, sizes, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
