"""A gauge's float as it would be made, judged by all that the worst reading counts, and by its lag.

The cases and effects are those of the rule worst-reading-exceeds-tolerance: what is proposed stands its test.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.remedies.doubted import Body
from xlfuncs.audit.remedies.duties import own_float
from xlfuncs.audit.remedies.lags import lags_of
from xlfuncs.audit.rounding import half_digits, spread_of
from xlfuncs.gauge import choice, floats, reasons

SEEN = 5e-5
"""Metres that show as a tenth of a millimetre."""


def body_of(gauges: Gauges, record: int) -> Body | None:
    """Mass, diameter, length, magnet plane and ends of the gauge's own float."""
    mass, diameter, length, _ = (column[record] for column in gauges.float_shape)
    plane = gauges.si("magnet_height")[record]
    if not gauges.given("float_ends")[record] or np.isnan(mass + diameter + length + plane):
        return None
    return float(mass), float(diameter), float(length), float(plane), str(gauges.ends[record])


def changed(body: Body, new: Mapping[str, float]) -> Body:
    """The float with some fields as they would be made."""
    mass, diameter, length, plane, ends = body
    return (
        new.get("float_mass", mass),
        new.get("float_diameter", diameter),
        new.get("float_length", length),
        new.get("magnet_height", plane),
        ends,
    )


@dataclass(frozen=True)
class Trial:
    """One gauge, in which other floats are tried."""

    gauges: Gauges
    record: int
    duty: choice.Duty
    float_of: int = -1
    """The gauge whose float, with its metal and the rounding of its data, is tried; -1: its own."""

    @property
    def _floats_at(self) -> int:
        return self.record if self.float_of < 0 else self.float_of

    @cached_property
    def _rounded(self) -> choice.Duty:
        return replace(self.duty, spread=spread_of(self.gauges, self._floats_at))

    def half_digit(self, name: str) -> float:
        """How finely the list states a number of the float: half its last digit [SI]."""
        return float(half_digits(self.gauges, name)[0][self._floats_at])

    @cached_property
    def own(self) -> choice.FloatList:
        return own_float(self.gauges, self._floats_at)

    def judged(self, body: Body) -> choice.Judgement:
        """The numbers of a float of the metal of the present one."""
        mass, diameter, length, plane, ends = body
        one = replace(
            self.own,
            mass=np.array([mass]),
            diameter=np.array([diameter]),
            length=np.array([length]),
            magnet_height=np.array([plane]),
            ends=np.array([ends], dtype=object),
        )
        with reasons():
            return choice.Judgement(one, self._rounded)

    def ends(self, body: Body) -> tuple[choice.Extreme, choice.Extreme] | None:
        """The lowest and the highest reading over all cases, with what makes each; None where there is none.

        The offset of the cold float counts too: the rule on it takes nothing else.
        """
        if body not in self._known:
            self._known[body] = self._ends(body)
        return self._known[body]

    @cached_property
    def _known(self) -> dict[Body, tuple[choice.Extreme, choice.Extreme] | None]:
        """The ends of floats that were asked for before: each is asked for by several."""
        return {}

    def _ends(self, body: Body) -> tuple[choice.Extreme, choice.Extreme] | None:
        judged = self.judged(body)
        if np.isnan(np.stack(judged.spans())).any():
            return None
        low, high = judged.ends(0)
        for at, offset in enumerate(judged.offset[0].tolist()):
            shares = dict.fromkeys(low.shares, 0.0) | {"offset": offset}
            cold = choice.Extreme(at, float(judged.lower[at]), float(judged.upper[at]), offset, shares)
            low, high = min(low, cold, key=_reading), max(high, cold, key=_reading)
        return low, high

    def extreme(self, body: Body) -> choice.Extreme | None:
        """The farthest of the readings; None where there is none."""
        ends = self.ends(body)
        return None if ends is None else max(ends, key=lambda one: abs(one.reading))

    def reading(self, body: Body) -> tuple[float, float]:
        """Lowest and highest reading less the level over all cases [m]; NaN where there is none."""
        ends = self.ends(body)
        return (np.nan, np.nan) if ends is None else (ends[0].reading, ends[1].reading)

    def lag(self, body: Body) -> float:
        """How far it lags at the lower connection [m]; NaN where that cannot be computed."""
        return float(lags_of(self.judged(body).floats, self.duty)[0])

    def stands(self, body: Body) -> bool:
        """Whether it floats as high, and as low, as it must at every case, and follows the level."""
        mass, diameter, length, plane, ends = body
        if not 0 < plane < length:
            return False
        with reasons():
            sizes = (mass, diameter, length)
            shares = [
                float(floats.reserve(*sizes, one.lower_density, one.upper_density, ends))
                for one in self.duty.conditions
            ]
        above = 1 - max(shares) if self.duty.interface else 1.0
        if not min(min(shares), above) >= self.duty.minimum_reserve:
            return False
        return not self.lag(body) > self.duty.tolerance

    def does(self, body: Body) -> bool:
        """Whether it stands, and reads within the tolerance at worst."""
        low, high = self.reading(body)
        return bool(max(-low, high) <= self.duty.tolerance * (1 + 1e-9)) and self.stands(body)

    def centred(self, of: Callable[[float], Body], first: float, slope: float) -> float:
        """The size with which lowest and highest reading are alike far from the level; NaN where none is.

        `of`: the float of a size; `slope`: by how much its reading rises with that, about.
        """
        size = first
        for _ in range(_STEPS):
            low, high = self.reading(of(size))
            middle = (low + high) / 2
            if np.isnan(middle):
                return np.nan
            if abs(middle) < _TRUE:
                return size
            size -= middle / slope
        return np.nan


def _reading(one: choice.Extreme) -> float:
    return one.reading


_STEPS = 40
_TRUE = 1e-7
"""Metres of the middle between lowest and highest reading that count as none."""
