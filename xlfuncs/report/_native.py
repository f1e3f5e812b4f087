"""The float balance as formulas of any spreadsheet program, with the span of what is not known.

On the straight part of a float the immersion is (v + k D^3)/A: v is the volume below the surface, k D^3
what the bottom end lacks against a cylinder of its depth. In a spheroid of depth a the cap of depth t a has
the share s = t^2 (3 - t)/2 of its volume, so that t = 1 - 2 cos((arccos(s - 1) + 4 pi)/3). A dished end has
no such form, and the cell says so. Immersion falls with the upper density while the float floats, and rises
with k of either end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from xlfuncs.gauge.floats import ALL_ENDS, DISHED, ends_length, volume

SINKS, FREE = "sinks", "hangs free above"
IN_END = "in its dished end"
_LONG = 10.0

Pair = tuple[str, str]
"""Of the bottom end and of the top end."""


@cache
def _lacks(shape: str) -> float:
    """k: what an end lacks against a cylinder of its depth, over the cube of the diameter."""
    return math.pi / 4 * _LONG - float(volume(1.0, _LONG, f"{shape}/flat"))


@cache
def _depth(shape: str) -> float:
    """Depth of an end over the diameter."""
    return float(ends_length(1.0, f"{shape}/flat"))


def _by_shape(text: str, number: Callable[[str], float], highest: bool) -> str:
    """That of the shape; of an unknown one that of the shape which lacks most, or nothing."""
    made = f"{number(max(ALL_ENDS, key=_lacks) if highest else min(ALL_ENDS, key=_lacks)):.12g}"
    for shape in reversed(ALL_ENDS):
        made = f'IF({text}="{shape}",{number(shape):.12g},{made})'
    return made


@dataclass(frozen=True, slots=True)
class Ends:
    """Formulas for the ends of a float whose cell says 'flat', 'hemispherical/flat' or 'unknown'."""

    cell: str

    def one(self, top: bool) -> str:
        """The shape of an end."""
        bottom = f'LEFT({self.cell},FIND("/",{self.cell}&"/")-1)'
        upper = f'IF(ISNUMBER(FIND("/",{self.cell})),MID({self.cell},FIND("/",{self.cell})+1,20),{self.cell})'
        return f"LOWER(TRIM({upper if top else bottom}))"

    def lacks(self, top: bool, highest: bool) -> str:
        """k of an end; of one that is unknown the least, or the most."""
        return _by_shape(self.one(top), _lacks, highest)

    def depth(self, top: bool, highest: bool) -> str:
        """Depth over diameter of the same end."""
        return _by_shape(self.one(top), _depth, highest)

    def dished(self, top: bool) -> str:
        return self._one_of(top, DISHED)

    def known(self) -> str:
        """Whether both are of a shape that is known."""
        return f"AND({self._one_of(False, ALL_ENDS)},{self._one_of(True, ALL_ENDS)})"

    def _one_of(self, top: bool, shapes: Sequence[str]) -> str:
        names = ",".join(f'{self.one(top)}="{shape}"' for shape in shapes)
        return f"OR({names})"


@dataclass(frozen=True, slots=True)
class Body:
    """Cells of a float: mass [g], lengths [mm], and of its ends."""

    mass: str
    diameter: str
    length: str
    lacks: Pair
    depths: Pair
    dished: Pair

    @property
    def _area(self) -> str:
        return f"(PI()*{self.diameter}^2/4)"

    @property
    def _whole(self) -> str:
        return f"({self._area}*{self.length}-({self.lacks[0]}+{self.lacks[1]})*{self.diameter}^3)"

    def below(self, lower: str, upper: str) -> str:
        """Formula for the volume below the surface [mm3]; "" until all is there."""
        numbers = f"{self.mass},{self.diameter},{self.length},{lower},{upper}"
        return f'=IF(COUNT({numbers})<5,"",(1000000*{self.mass}-{upper}*{self._whole})/({lower}-{upper}))'

    def immersion(self, below: str) -> str:
        """Formula for the immersion [mm] of a volume below the surface, in another cell."""
        bottom, top = (f"{share}*{self.diameter}" for share in self.depths)
        straight = f"({below}+{self.lacks[0]}*{self.diameter}^3)/{self._area}"
        above = f"({self._whole}-{below})"
        upper = f'IF({self.dished[1]},"{IN_END}",{self.length}-{self._cap(above, top)})'
        lower = f'IF({self.dished[0]},"{IN_END}",{self._cap(below, bottom)})'
        inside = f"IF({straight}>{self.length}-{top},{upper},IF({straight}<{bottom},{lower},{straight}))"
        floats = f'IF({below}>={self._whole},"{SINKS}",IF({below}<=0,"{FREE}",{inside}))'
        return f'=IF(ISNUMBER({below}),{floats},"")'

    def _cap(self, of: str, depth: str) -> str:
        """Depth of a cap of a spheroid by its volume."""
        share = f"{of}/({self._area}*{depth}*2/3)"
        return f"{depth}*(1-2*COS((ACOS({share}-1)+4*PI())/3))"
