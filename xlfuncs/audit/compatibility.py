"""Published statements about metals that are not fit for a fluid, by the fluid's name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from xlfuncs.data import load
from xlfuncs.data.words import pattern_of

_FREE = re.compile(
    r"\w+(?:[-\s]free|[-\s]?frei(?:e[mnrs]?)?|[-\s]?vrij[e]?|fri(?:tt)?|[-\s]?mentes)\b"
    r"|\b(?:free\s+(?:of|from)|without|ohne|frei\s+von|sans|exempte?\s+d[e']|senza|sin|libre\s+de|sem"
    r"|isento\s+de|zonder|bez|utan|uden|uten)\s+\w+",
    re.IGNORECASE,
)
"""What a name says that is not in the fluid: 'acid-free', 'sans chlorures'."""


def _held(fluid: str) -> str:
    """A fluid's name without what it is said to be free of.

    >>> _held("Brine-free water cut").split(), _held("Öl, säurefrei").split(), _held("Brine").split()
    (['water', 'cut'], ['Öl,'], ['Brine'])
    """
    return _FREE.sub(" ", fluid)


@cache
def statements(fluid: str) -> tuple[tuple[str, Mapping[str, Any]], ...]:
    """The published statements about a fluid, each by its name."""
    blocks = load("compatibility")["unfit"]
    return tuple((name, block) for name, block in blocks.items() if _words(name).search(_held(fluid)))


_STRENGTH = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:wt|w/w|vol|gew|mass|m)?[.-]?\s*-?\s*%", re.IGNORECASE)


@cache
def strength(fluid: str) -> float | None:
    """The per cent that a fluid's name states, the highest of several; None where it states none.

    >>> strength("Hydrochloric acid 10-20 %"), strength("Salzsäure")
    (20.0, None)
    """
    found = [float(text.replace(",", ".")) for text in _STRENGTH.findall(fluid)]
    return max(found, default=None)


@cache
def unfit_families(fluid: str) -> frozenset[str]:
    """Families of metals of which any published statement speaks against the fluid."""
    return frozenset(family for _, block in statements(fluid) for family in block["families"])


@cache
def resistant(fluid: str) -> tuple[Mapping[str, Any], ...]:
    """The published statements on metals that stand a fluid; none on a mixture with something else.

    >>> [block["metals"] for block in resistant("Hydrochloric acid 15 %")], resistant("HCl acid with hf acid")
    ([['tantalum']], ())
    """
    told, rest = {name for name, _ in statements(fluid)}, _held(fluid)
    for name in told:
        rest = _words(name).sub(" ", rest)
    if not told or is_aggressive(rest):
        return ()
    return tuple(block for block in load("compatibility")["fit"].values() if told <= {*block["statements"]})


@cache
def is_aggressive(fluid: str) -> bool:
    """Whether a fluid is one of which the metal has to be asked for."""
    return pattern_of(tuple(load("compatibility")["aggressive"]["words"])).search(_held(fluid)) is not None


@cache
def _words(name: str) -> re.Pattern[str]:
    return pattern_of(tuple(load("compatibility")["unfit"][name]["words"]))
