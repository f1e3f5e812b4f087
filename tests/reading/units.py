"""How people write values: a converter turns barg, degC, mm, kg/m3 or g into the number or text of a cell.

`psig(1)` converts to psig with one decimal. A text (and nothing) stays as it is. Factors: NIST SP 811,
appendix B.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

from tests.reading.physics import ATMOSPHERE

Cell = Any
Converter = Callable[[Any], Cell]

PSI: Final = 14.503774
"""In a bar."""
MM_WATER: Final = 10197.162
"""In a bar, conventional."""
WATER_60F: Final = 999.016
WATER_4C: Final = 999.972
"""kg/m3, to which relative densities refer; from memory."""


def rounded(convert: Callable[[float], float], digits: int) -> Converter:
    """A converter that rounds; to whole numbers with 0."""

    def write(value: Any) -> Cell:
        if value is None or isinstance(value, str):
            return value
        return round(convert(value), digits or None)

    return write


def unchanged(value: Any) -> Cell:
    """As it is."""
    return value


def barg(digits: int = 1) -> Converter:
    return rounded(unchanged, digits)


def bara(digits: int = 2) -> Converter:
    return rounded(lambda v: v + ATMOSPHERE, digits)


def psig(digits: int = 0) -> Converter:
    return rounded(lambda v: v * PSI, digits)


def kpag(digits: int = 0) -> Converter:
    return rounded(lambda v: v * 100, digits)


def mpag(digits: int = 2) -> Converter:
    return rounded(lambda v: v / 10, digits)


def kgf_cm2(digits: int = 1) -> Converter:
    """Gauge."""
    return rounded(lambda v: v / 0.980665, digits)


def mm_water(digits: int = 0) -> Converter:
    return rounded(lambda v: v * MM_WATER, digits)


def mbarg(digits: int = 0) -> Converter:
    return rounded(lambda v: v * 1000, digits)


def degC(digits: int = 0) -> Converter:
    return rounded(unchanged, digits)


def degF(digits: int = 0) -> Converter:
    return rounded(lambda v: v * 1.8 + 32, digits)


def mm(digits: int = 0) -> Converter:
    return rounded(unchanged, digits)


def cm(digits: int = 1) -> Converter:
    return rounded(lambda v: v / 10, digits)


def metre(digits: int = 3) -> Converter:
    return rounded(lambda v: v / 1000, digits)


def inch(digits: int = 2) -> Converter:
    return rounded(lambda v: v / 25.4, digits)


def kg_m3(digits: int = 0) -> Converter:
    return rounded(unchanged, digits)


def g_cm3(digits: int = 3) -> Converter:
    return rounded(lambda v: v / 1000, digits)


def sg60(digits: int = 3) -> Converter:
    """Relative to water at 60 degF."""
    return rounded(lambda v: v / WATER_60F, digits)


def sg4(digits: int = 3) -> Converter:
    """Relative to water at 4 degC."""
    return rounded(lambda v: v / WATER_4C, digits)


def lb_ft3(digits: int = 2) -> Converter:
    return rounded(lambda v: v / 16.018463, digits)


def gram(digits: int = 1) -> Converter:
    return rounded(unchanged, digits)


def kilogram(digits: int = 4) -> Converter:
    return rounded(lambda v: v / 1000, digits)


def pound(digits: int = 3) -> Converter:
    return rounded(lambda v: v / 453.59237, digits)


def ounce(digits: int = 2) -> Converter:
    return rounded(lambda v: v / 28.349523, digits)


def psig_by_5(value: Any) -> Cell:
    """To the next 5 psig, as people state design pressures."""
    return rounded(lambda v: 5 * round(v * PSI / 5), 0)(value)


def psig_up_by_5(value: Any) -> Cell:
    """Up to the next 5 psig: a test stays no lower than the code of design asks for."""
    return rounded(lambda v: 5 * math.ceil(v * PSI / 5), 0)(value)


def kpag_by_10(value: Any) -> Cell:
    """To the next 10 kPa gauge."""
    return rounded(lambda v: 10 * round(v * 10), 0)(value)


def degF_by_5(value: Any) -> Cell:
    """To the next 5 degF."""
    return rounded(lambda v: 5 * round((v * 1.8 + 32) / 5), 0)(value)


def decimal_comma(convert: Converter) -> Converter:
    """The number as a text with a comma."""

    def write(value: Any) -> Cell:
        cell = convert(value)
        return cell if cell is None or isinstance(cell, str) else str(cell).replace(".", ",")

    return write


def inch_fraction(value: Any) -> Cell:
    """mm as '3 1/2"', to the next 1/16."""
    if value is None or isinstance(value, str):
        return value
    whole, rest = divmod(round(value / 25.4 * 16), 16)
    if rest == 0:
        return f'{whole}"'
    return (f"{whole} " if whole else "") + f'{_sixteenths(rest)}"'


def feet_and_inches(value: float) -> str:
    """mm as 5'-6 1/2", to the next 1/16."""
    feet, rest = divmod(round(value / 25.4 * 16), 12 * 16)
    whole, rest = divmod(rest, 16)
    return f"{feet}'-{whole}" + (f" {_sixteenths(rest)}" if rest else "") + '"'


def _sixteenths(count: int) -> str:
    common = math.gcd(count, 16)
    return f"{count // common}/{16 // common}"
