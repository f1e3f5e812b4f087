"""What the cells of two or three columns together say, whatever their headings are.

A column whose cells repeat the serials of the gauges row by row notes them for a float or a transmitter; a
level and a current that the transmitter's range relates to each other are those of a loop check; lengths that
mostly equal the visible range are the distance of the connections; the plane of a magnet is counted from the
float's end from which it is in the surface of the liquid that the float was made for.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.lists.evidence import COMPARED, Profile
from xlfuncs.lists.tags import bare_serial

_ROWS: Final = 3
"""Rows with values in all the columns that are compared, at least."""
_MOST: Final = 0.5
"""Share of these rows in which a relation holds; the others may be the faults that are looked for."""
_TOLERANCE: Final = 0.06
"""mA by which stated currents are rounded."""
_SCALES: Final = (1.0, 10.0, 0.1, 1000.0, 0.001, 25.4, 1 / 25.4, 100.0, 0.01, 304.8, 1 / 304.8)
"""Factors between units of length."""


def repeats(found: Profile, other: Profile) -> bool:
    """Whether the cells of a column are mostly those of the other one, row by row, and tell rows apart."""
    pairs = [
        (_serial_of(mine), _serial_of(theirs))
        for mine, theirs in zip(found.cells[:COMPARED], other.cells[:COMPARED], strict=False)
    ]
    both = [(mine, theirs) for mine, theirs in pairs if mine and theirs]
    same = sum(mine == theirs for mine, theirs in both)
    different = len({theirs for _, theirs in both})
    return len(both) >= _ROWS and same >= _MOST * len(both) and different > 0.6 * len(both)


def equals(found: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    """Whether numbers of a column are mostly those of the other one, in the same unit, and not all alike."""
    n = min(len(found), len(other))
    both = ~np.isnan(found[:n]) & ~np.isnan(other[:n])
    mine, theirs = found[:n][both], other[:n][both]
    if len(mine) < _ROWS or len(set(theirs.tolist())) < 2:
        return False
    return bool(np.mean(np.isclose(mine, theirs, rtol=1e-3)) >= _MOST)


def counted_from(
    plane: NDArray[np.float64],
    length: NDArray[np.float64],
    mass: NDArray[np.float64],
    diameter: NDArray[np.float64],
    density: NDArray[np.float64],
) -> str:
    """From which end magnet planes are counted, "bottom" or "top", by the immersion at the density that the
    floats were made for [SI]; "" where it is not one of the two."""
    n = min(map(len, (plane, length, mass, diameter, density)))
    plane, length, mass, diameter, density = (one[:n] for one in (plane, length, mass, diameter, density))
    usable = (plane > 0) & (length > 0) & (mass > 0) & (diameter > 0) & (density > 0)
    if usable.sum() < _ROWS:
        return ""
    with np.errstate(all="ignore"):
        depth = mass / (density * np.pi * diameter**2 / 4)
    # a rounded end lets the float sink deeper, by a sixth of the diameter where it is half a sphere
    least, most = depth - _BESIDE * length, depth + diameter / 6 + _BESIDE * length
    fits = {
        end: float(np.mean(((height >= least) & (height <= most))[usable]))
        for end, height in (("bottom", plane), ("top", length - plane))
    }
    end, other = sorted(fits, key=lambda one: -fits[one])
    return end if fits[end] >= _MANY and fits[other] <= 1 - _MANY else ""


_BESIDE: Final = 0.03
"""Share of the length by which magnet and surface may differ in a list's round numbers."""
_MANY: Final = 0.8


def follows(
    level: NDArray[np.float64],
    current: NDArray[np.float64],
    lrv: NDArray[np.float64],
    urv: NDArray[np.float64],
) -> bool:
    """Whether currents in mA are mostly those that a range gives for levels, in any units of length."""
    n = min(map(len, (level, current, lrv, urv)))
    level, current, lrv, urv = level[:n], current[:n], lrv[:n], urv[:n]
    usable = ~np.isnan(level + current + lrv + urv) & (lrv != urv)
    if usable.sum() < _ROWS or ((current[usable] < 3.5) | (current[usable] > 21.5)).any():
        return False
    level, current, lrv, urv = level[usable], current[usable], lrv[usable], urv[usable]
    for scale in _SCALES:
        due = 4.0 + 16.0 * (level * scale - lrv) / (urv - lrv)
        if np.mean(np.abs(due - current) <= _TOLERANCE) >= _MOST and np.ptp(level) > 0:
            return True
    return False


def _serial_of(value: Any) -> str:
    """A serial number as the rules compare it; all digits of one that is a number."""
    if value is None or isinstance(value, bool):
        return ""
    return bare_serial(f"{value:.15g}" if isinstance(value, float) else str(value))


def tell_currents(found: Sequence[Profile]) -> list[int]:
    """The columns whose numbers can be currents of a loop."""
    out = []
    for i, one in enumerate(found):
        held = one.in_rows[~np.isnan(one.in_rows)]
        if len(held) >= _ROWS and held.min() >= 3.5 and held.max() <= 21.5 and len(set(held.tolist())) > 1:
            out.append(i)
    return out
