"""Nominal sizes of pipe: DN and NPS, and the outside diameter that belongs to each."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final

from xlfuncs.data import load
from xlfuncs.units._text import tidy

_SAME: Final = 0.0005
"""m; outside diameters of the two series that differ by less are one pipe (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class PipeSize:
    """A nominal size, with the outside diameters in m of its two series."""

    dn: int
    nps: str
    """In inches, with fractions ('2-1/2')."""
    asme: float
    iso: float
    named: str = "DN"
    """'DN' or 'NPS': how the text named it. A size in inches is a pipe of ASME B36.10M."""

    def __str__(self) -> str:
        return f"DN {self.dn}" if self.named == "DN" else f"NPS {self.nps}"

    @property
    def outside_diameter(self) -> float | None:
        """In m; None for a DN of which the two series are different pipes (DN 65, DN 125)."""
        if self.named == "NPS" or abs(self.asme - self.iso) < _SAME:
            return self.asme
        return None

    @property
    def outside(self) -> str:
        """The outside diameter in words."""
        if self.outside_diameter is not None:
            return f"{self.outside_diameter * 1e3:g} mm outside by ASME B36.10M"
        return f"{self.asme * 1e3:g} mm outside by ASME B36.10M, {self.iso * 1e3:g} mm by ISO 4200"


@cache
def pipe_sizes() -> dict[int, PipeSize]:
    """Every size by its DN."""
    table = load("pipe_sizes")["size"]
    return {
        int(dn): PipeSize(int(dn), row["nps"], row["asme"] * 1e-3, row["iso"] * 1e-3)
        for dn, row in table.items()
    }


_FRACTION: Final = r"\d+\s?/\s?\d+"
_INCHES: Final = rf"(?P<whole>\d+(?:\.\d+)?)?[\s-]*(?P<part>{_FRACTION.replace('/', '[/⁄]')})?"
_AFTER: Final = r"\s*(?:,?\s*(?:sch(?:edule)?\.?|s)\s*(?P<wall>\w+))?"
_DN: Final = re.compile(rf"(?:DN|ND|NW|Ду|ДУ)[\s.\-:]*(?P<dn>\d+){_AFTER}", re.IGNORECASE)
_NPS: Final = re.compile(
    rf"(?:NPS|NB|NPB)[\s.\-:]*{_INCHES}\s*(?:\"|in\.?|inch)?{_AFTER}"
    rf"|{_INCHES.replace('whole', 'whole2').replace('part', 'part2')}"
    rf"\s*(?:\"|in\.?|inch)?\s*(?:NPS|NB|NPB){_AFTER.replace('wall', 'wall2')}"
    rf"|{_INCHES.replace('whole', 'whole3').replace('part', 'part3')}"
    r"\s*(?:\"|in\.?|inch)\s*,?\s*(?:sch(?:edule)?\.?|s)\s*\w+",
    re.IGNORECASE,
)


@lru_cache(maxsize=1024)
def pipe_size(text: str) -> PipeSize | None:
    """The size that a text names: 'DN 50', 'NPS 2', '2\" NB', '2\" sch 40'; a plain '2\"' names none."""
    plain = tidy(text)
    if found := _DN.fullmatch(plain):
        return pipe_sizes().get(int(found["dn"]))
    found = _NPS.fullmatch(plain)
    if found is None:
        return None
    for whole, part in (("whole", "part"), ("whole2", "part2"), ("whole3", "part3")):
        if found[whole] or found[part]:
            return _of_inches(found[whole], found[part])
    return None


def _of_inches(whole: str | None, part: str | None) -> PipeSize | None:
    try:
        inches = Fraction(whole or 0) + Fraction((part or "0").replace("⁄", "/").replace(" ", ""))
    except ZeroDivisionError:
        return None
    for size in pipe_sizes().values():
        if sum(map(Fraction, size.nps.split("-"))) == inches:
            return PipeSize(size.dn, size.nps, size.asme, size.iso, "NPS")
    return None


def outside_diameter(text: str) -> float | None:
    """Outside diameter in m of the pipe that a text names; None where it names none, or one of two."""
    size = pipe_size(text)
    return None if size is None else size.outside_diameter
