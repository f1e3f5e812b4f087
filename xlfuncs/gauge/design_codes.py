"""What a cell says of the code of design, and what the code asks of the hydrostatic test."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from xlfuncs.data import load
from xlfuncs.gauge.materials import LOOKALIKE, normal


@dataclass(frozen=True, slots=True)
class DesignCode:
    """A code of design, as far as it concerns the hydrostatic test."""

    name: str
    factor: float
    """Least test pressure over design pressure: with the ratio of the permitted stresses at 1."""
    ratio: bool
    """Whether that ratio may ask for more."""
    cold_to: float
    """Design temperature up to which the ratio is 1 [degC]; NaN where it does not matter."""
    source: str


@cache
def read(text: str) -> tuple[DesignCode, ...]:
    """The codes that a cell names, the one that asks for least first; none where none is understood.

    >>> [code.name for code in read("PED 2014/68/EU, B31.3")], read("ASME Sec. VIII Div. 1")[0].factor
    (['PED', 'ASME B31.3'], 1.3)
    >>> read("PED Art. 4.3"), read("ASME B16.5"), read("company standard")
    ((), (), ())
    """
    plain = " ".join(normal(text).split())
    if any(pattern.search(plain) for pattern in _compiled("none")):
        return ()
    named = [name for name in load("test_pressures")["code"] if any(p.search(plain) for p in _compiled(name))]
    return tuple(sorted(map(_code, named), key=lambda code: code.factor))


@cache
def _code(name: str) -> DesignCode:
    block = load("test_pressures")["code"][name]
    cold_to = float(block.get("cold_to", "nan"))
    return DesignCode(block["name"], float(block["factor"]), bool(block["ratio"]), cold_to, block["source"])


@cache
def _compiled(name: str) -> tuple[re.Pattern[str], ...]:
    """The patterns of a code, or of what says that none asks for a test."""
    table = load("test_pressures")
    block = table[name] if name == "none" else table["code"][name]
    return tuple(re.compile(pattern.translate(LOOKALIKE)) for pattern in block["patterns"])
