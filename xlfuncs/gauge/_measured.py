"""Liquids that a company adds with measured values of its own (`states` of a fluid in `data/fluids.toml`).

    [fluid."Thermal oil X"]
    source = "supplier's data sheet, revision 3"
    names = { en = ["thermal oil X"] }
    states = { temperature_degC = [20, 200], density_kg_m3 = [870, 745], viscosity_mPas = [30, 0.9] }

`temperature_degC` rises; beside it stand `density_kg_m3`, and where they are known `viscosity_mPas` and
`vapour_pressure_bara`. Between two temperatures the density follows a straight line, viscosity and pressure
one of their logarithms; beyond the first and the last nothing is known. Pressure does not change the density.
"""

from __future__ import annotations

from functools import cache
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError

Numbers = NDArray[np.float64]

LIMITS = (0.0, inf, inf, inf, inf, 0.0)
"""No equation, no critical point: what is stated begins and ends where it is measured."""
_COLUMNS = {"rhomass": ("density_kg_m3", 1.0, False), "viscosity": ("viscosity_mPas", 1e-3, True),
            "p": ("vapour_pressure_bara", 1e5, True)}  # fmt: skip
"""Output -> its column, the factor to SI, and whether its logarithm is followed."""


def measured(name: str) -> dict[str, Any] | None:
    """The measured values of a fluid; None where it has none."""
    found: dict[str, Any] | None = load("fluids")["fluid"].get(name, {}).get("states")
    return found


@cache
def _column(name: str, output: str) -> tuple[Numbers, Numbers, bool] | None:
    """Temperatures in K, values in SI (or their logarithms), and whether they are logarithms."""
    table = measured(name) or {}
    key, factor, logs = _COLUMNS[output]
    if key not in table:
        return None
    kelvin = np.array(table.get("temperature_degC", ()), dtype=np.float64) + 273.15
    values = np.array(table[key], dtype=np.float64) * factor
    if len(kelvin) < 2 or len(values) != len(kelvin) or (np.diff(kelvin) <= 0).any() or (values <= 0).any():
        raise XlfuncsError(
            f"fluid {name!r}: states must list rising temperature_degC and as many {key} above 0, two or more"
        )
    return kelvin, np.log(values) if logs else values, logs


def states(name: str, inputs: str, first: Numbers, second: Numbers, output: str) -> Numbers:
    """As `_state.evaluate`: of the liquid only; NaN beyond the measured values."""
    wet = (first == 0) if inputs == "QT" else np.ones(first.shape, dtype=np.bool_)
    if inputs == "PQ":
        return np.where(second == 0, _boiling(name, first), np.nan)
    column = _column(name, output) if output in _COLUMNS and (output == "rhomass" or inputs == "QT") else None
    if column is None:
        return np.full(first.shape, np.nan)
    kelvin, values, logs = column
    found = np.interp(second, kelvin, values, np.nan, np.nan)
    return np.where(wet | (output == "p"), np.exp(found) if logs else found, np.nan)


def _boiling(name: str, pascal: Numbers) -> Numbers:
    column = _column(name, "p")
    if column is None:
        return np.full(pascal.shape, np.nan)
    kelvin, logs, _ = column
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.interp(np.log(pascal), logs, kelvin, np.nan, np.nan), dtype=np.float64)


def why_not(name: str) -> str:
    """The reason for a NaN."""
    first, *_, last = (measured(name) or {})["temperature_degC"]
    return f"of {name} only values of the liquid from {first:g} to {last:g} degC are stated"
