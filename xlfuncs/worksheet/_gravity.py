"""A specific gravity that was typed without its unit, where a density in kg/m3 is wanted."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.gauge import Array, reasons
from xlfuncs.gauge.floats import float_density
from xlfuncs.units import converter

LOWEST, HIGHEST = 0.2, 3.0
"""Plain numbers that can be the specific gravity of a liquid (common practice, no source)."""
_LOWER = ("lower_density", "lower_density_min", "design_density")


def looks_so(number: Any) -> Any:
    """Whether a plain number, or each of an array, can be a specific gravity."""
    return (number >= LOWEST) & (number <= HIGHEST)


def is_bare(text: str) -> bool:
    """Whether a text is a number without a unit."""
    return not any(character.isalpha() or character in "°%" for character in text)


def question(number: float, unit: str) -> str:
    """What is asked back."""
    return f'write "{number:g} SG" if that is meant, or "{number:g} {unit}"'


@cache
def _water() -> float:
    return float(converter("SG", "density").to_si(1.0))


def possible_above(density: Any, arguments: Mapping[str, Any]) -> NDArray[np.bool_]:
    """Where a number of the upper fluid can be its specific gravity, the arguments being in SI.

    It cannot where it is not lighter than the lower liquid; where none is stated, than the float, which
    would hang free in it.
    """
    stated = np.asarray(density, dtype=np.float64) * _water()
    known = [arguments[name] for name in _LOWER if arguments.get(name) is not None]
    with reasons():
        bound = known[0] if known else _mean_density(arguments)
    return np.asarray(stated < np.asarray(bound, dtype=np.float64))


def _mean_density(arguments: Mapping[str, Any]) -> Array:
    ends = arguments.get("ends")
    shape = "flat" if ends is None else ends
    return float_density(arguments["mass"], arguments["diameter"], arguments["length"], shape)
