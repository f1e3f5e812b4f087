"""States of pure fluids from tables, for which no equation of state is loaded.

Loading CoolProp takes as long as auditing an index of some hundred gauges. The tables are Chebyshev
expansions of what it gives, made and described by `gauge/tabulate.py`; `tests/test_states.py` compares. A
state that no table covers is NaN here, and CoolProp is asked for it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

FOLDER = files("xlfuncs.data") / "states"


def unit(values: Any, low: Any, high: Any) -> Any:
    """Values of an interval brought to -1 to 1."""
    return (2 * values - low - high) / (high - low)


def clenshaw(coefficients: Any, x: Any) -> Any:
    """Sum of Chebyshev polynomials; the coefficients stand along the first axis (Clenshaw's recurrence)."""
    one, two = 0.0, 0.0
    for each in coefficients[:0:-1]:
        one, two = 2 * x * one - two + each, one
    return x * one - two + coefficients[0]


def surface(coefficients: Numbers, x: Any, y: Any) -> Any:
    """Sum over products of Chebyshev polynomials of two variables."""
    return clenshaw([clenshaw(row, y) for row in coefficients], x)


@dataclass(frozen=True, slots=True)
class Expansion:
    """Pieces of a function of one variable, rising; there may be gaps between them."""

    low: Numbers
    high: Numbers
    coefficients: Numbers
    """By piece and degree; of the compressed liquid by piece and both degrees."""

    def place(self, x: Numbers) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
        """The piece of each value, and whether there is one."""
        if not len(self.low):
            return np.zeros(x.shape, np.int64), np.zeros(x.shape, np.bool_)
        piece = np.clip(np.searchsorted(self.low, x, side="right") - 1, 0, None)
        return piece, (x >= self.low[piece]) & (x <= self.high[piece])

    def __call__(self, x: Numbers) -> Numbers:
        """The function; NaN where no piece covers it."""
        out = np.full(x.shape, np.nan)
        piece, here = self.place(x)
        at = piece[here]
        if len(at):
            out[here] = clenshaw(self.coefficients[at].T, unit(x[here], self.low[at], self.high[at]))
        return out


def _expansion(pieces: list[Any]) -> Expansion:
    low, high, coefficients = zip(*pieces, strict=True) if pieces else ((), (), ())
    return Expansion(np.array(low), np.array(high), np.array(coefficients))


@dataclass(frozen=True, slots=True)
class Table:
    """What is tabled of a fluid. Temperatures in K, pressures in Pa, SI throughout."""

    limits: tuple[float, ...]
    without: tuple[str, ...]
    """Outputs for which no equation of the fluid is known."""
    pressure: Expansion
    """Logarithm of the saturation pressure by temperature."""
    temperature: Expansion
    """Boiling temperature by the logarithm of the pressure."""
    liquid: Expansion
    vapour: Expansion
    """Logarithm of the density of the saturated vapour."""
    viscosity: Expansion
    """Logarithm of the saturated liquid's."""
    compressed: Expansion
    """Density of the liquid by temperature and by pressure above saturation, as a share of `highest`."""
    highest: float

    def squeezed(self, pascal: Numbers, kelvin: Numbers) -> Numbers:
        """Density of the compressed liquid."""
        out = np.full(kelvin.shape, np.nan)
        piece, here = self.compressed.place(kelvin)
        boiling = np.exp(self.pressure(kelvin))
        share = (pascal - boiling) / self.highest
        here &= (share >= 0) & (share <= 1)
        for number in sorted(set(piece[here].tolist())):
            at = here & (piece == number)
            x = unit(kelvin[at], self.compressed.low[number], self.compressed.high[number])
            out[at] = surface(self.compressed.coefficients[number], x, 2 * share[at] - 1)
        return out


@cache
def table(name: str) -> Table | None:
    """The table of a fluid, by CoolProp's name; None where there is none."""
    file = FOLDER / f"{name}.json"
    if not file.is_file():
        return None
    content = json.loads(file.read_text(encoding="utf-8"))
    parts = ("pressure", "temperature", "liquid", "vapour", "viscosity", "compressed")
    expansions = {part: _expansion(content[part]) for part in parts}
    limits, without = tuple(content["limits"]), tuple(content["without"])
    return Table(limits, without, highest=content["highest"], **expansions)


def never(name: str, output: str) -> bool:
    """Whether CoolProp has no equation for this output of a fluid either."""
    known = table(name)
    return known is not None and output in known.without


def states(name: str, inputs: str, first: Numbers, second: Numbers, output: str, phase: str) -> Numbers:
    """As `_state.evaluate`; NaN for what no table covers."""
    known = table(name)
    unknown = np.full(first.shape, np.nan)
    if known is None:
        return unknown
    match inputs, output:
        case "QT", "p":
            return np.exp(known.pressure(second))
        case "QT", "rhomass":
            wet, dry = (first == 0), (first == 1)
            found = np.where(wet, known.liquid(second), np.where(dry, np.exp(known.vapour(second)), np.nan))
            return np.asarray(found, dtype=np.float64)
        case "QT", "viscosity":
            return np.where(first == 0, np.exp(known.viscosity(second)), np.nan)
        case "PQ", "T":
            with np.errstate(divide="ignore", invalid="ignore"):
                return known.temperature(np.log(first))
        case "PQ", "rhomass":
            with np.errstate(divide="ignore", invalid="ignore"):
                boiling = known.temperature(np.log(first))
            return np.where(second == 1, np.exp(known.vapour(boiling)), np.nan)
        case "PT", "rhomass" if phase in ("liquid", "supercritical_liquid"):
            return known.squeezed(first, second)
    return unknown
