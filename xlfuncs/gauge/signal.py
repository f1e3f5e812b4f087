"""The 4 to 20 mA signal of a level transmitter: scaling, limits, calibration points, loop supply.

Currents are in A, levels in m, voltages in V, resistances in ohm. Currents within a nanoampere of a
limit count as on it, so that 3.8 mA typed in a cell is a measuring current.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.gauge._reasons import UNUSABLE, Array, positive, refuse, scalar

_NANOAMPERE = 1e-9

_analogue = load("signal")["analogue"]
_limits = load("signal")["limits"]
ZERO: float = _analogue["zero"] / 1e3
SPAN: float = _analogue["full_scale"] / 1e3 - ZERO
MEASURING_LOW: float = _limits["measuring_low"] / 1e3
MEASURING_HIGH: float = _limits["measuring_high"] / 1e3
FAILURE_LOW: float = _limits["failure_low"] / 1e3
FAILURE_HIGH: float = _limits["failure_high"] / 1e3
FAILURE_CURRENT: float = load("signal")["loop"]["failure_current"] / 1e3
_MEASURING = f"{_limits['measuring_low']:g} to {_limits['measuring_high']:g} mA"


def _floats(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


def _span(lrv: ArrayLike, urv: ArrayLike, prefix: str = "") -> Array:
    """URV - LRV, refused unless it is above zero: a falling signal is stated by `reverse`, so that
    two swapped cells are not taken for one."""
    span = _floats(urv) - _floats(lrv)
    span = refuse(span, span == 0, f"{prefix}urv equals {prefix}lrv: give two different levels", UNUSABLE)
    wrong = f"{prefix}urv is below {prefix}lrv: swap them, and set {prefix}reverse for a falling signal"
    return refuse(span, span < 0, wrong, UNUSABLE)


def _off(current: Array) -> NDArray[np.bool_] | np.bool_:
    """Where a current is outside the measuring range; False where none of many is."""
    low, high = MEASURING_LOW - _NANOAMPERE, MEASURING_HIGH + _NANOAMPERE
    if current.ndim and current.size and current.min() >= low and current.max() <= high:
        return np.False_
    return np.asarray((current < low) | (current > high))


def _stating(name: str, current: ArrayLike) -> Array:
    """`current` as floats, refused where it states no level."""
    amperes = _floats(current)
    silent = f"{name} is outside {_MEASURING}: it states no level (NE 43)"
    return refuse(amperes, _off(amperes), silent)


def level_to_current(level: ArrayLike, lrv: ArrayLike, urv: ArrayLike, reverse: ArrayLike = False) -> Array:
    """Loop current for a level.

    I = 4 mA + 16 mA (level - LRV) / (URV - LRV); with `reverse`, I = 20 mA - 16 mA (...).

    Parameters are `level`, `lrv`, `urv` [m] and `reverse` (true: the current falls as the level
    rises); all broadcast. Returns the current [A].

    NaN with a reason: URV not above LRV; a level for which the current would leave 3.8 to 20.5 mA,
    where a transmitter holds its signal and the line no longer applies.

    Source: IEC 60381-1 for the signal, NAMUR NE 43 for its limits.

    >>> float(round(level_to_current(0.3725, 0.0, 1.0) * 1e3, 6))
    9.96
    """
    current = _line(level, lrv, urv, reverse)
    outside = f"level is outside the range: the current stays within {_MEASURING} (NE 43)"
    return refuse(current, _off(current), outside)


def _line(level: ArrayLike, lrv: ArrayLike, urv: ArrayLike, reverse: ArrayLike) -> Array:
    share = (_floats(level) - _floats(lrv)) / _span(lrv, urv)
    return scalar(np.asarray(ZERO + SPAN * _turned(share, reverse)))


def _turned(share: Array, reverse: ArrayLike) -> Array:
    """The share counted from URV where the signal falls."""
    if np.ndim(reverse):
        return np.where(reverse, 1.0 - share, share)
    return 1.0 - share if reverse else share


def held_current(level: ArrayLike, lrv: ArrayLike, urv: ArrayLike, reverse: ArrayLike = False) -> Array:
    """Loop current that a transmitter sends: as `level_to_current`, held at 3.8 or 20.5 mA outside its range.

    Parameters and source as there. NaN with a reason only where URV is not above LRV.

    >>> float(round(held_current(1.5, 0.0, 1.0) * 1e3, 6))
    20.5
    """
    return scalar(np.clip(_line(level, lrv, urv, reverse), MEASURING_LOW, MEASURING_HIGH))


def current_to_level(current: ArrayLike, lrv: ArrayLike, urv: ArrayLike, reverse: ArrayLike = False) -> Array:
    """Level that a loop current states: the inverse of `level_to_current`.

    level = LRV + (URV - LRV) (I - 4 mA) / 16 mA; with `reverse`, the share counts from URV.

    Parameters are `current` [A], `lrv`, `urv` [m] and `reverse`; all broadcast. Returns the level [m].

    NaN with a reason: URV not above LRV; a current outside 3.8 to 20.5 mA, which states no level.

    Source: IEC 60381-1 for the signal, NAMUR NE 43 for its limits.

    >>> float(round(current_to_level(0.0138, 0.0, 1.0), 6))
    0.6125
    """
    share = (_stating("current", current) - ZERO) / SPAN
    return _floats(lrv) + _span(lrv, urv) * _turned(share, reverse)


def current_status(current: ArrayLike) -> NDArray[np.object_]:
    """What a loop current means, as text.

    'measuring' from 3.8 to 20.5 mA, 'failure low' at 3.6 mA and below, 'failure high' at 21.0 mA and
    above, 'below range' and 'above range' between them. `current` [A] may have any shape; the texts
    have the same shape. NaN gives "".

    Source: NAMUR NE 43.

    >>> str(current_status(0.0036))
    'failure low'
    """
    amperes = _floats(current)
    texts = np.full(amperes.shape, "measuring", dtype=object)
    texts[np.isnan(amperes)] = ""
    texts[amperes < MEASURING_LOW - _NANOAMPERE] = "below range"
    texts[amperes <= FAILURE_LOW + _NANOAMPERE] = "failure low"
    texts[amperes > MEASURING_HIGH + _NANOAMPERE] = "above range"
    texts[amperes >= FAILURE_HIGH - _NANOAMPERE] = "failure high"
    return texts[()]


def calibration_table(
    lrv: float, urv: float, points: float = 5, tolerance: float = 0.5, reverse: bool = False
) -> list[list[str | float]]:
    """Evenly spaced calibration points with the current expected at each and its limits.

    The limits are the expected current -/+ tolerance / 100 x 16 mA.

    Parameters: `lrv`, `urv` [m], `points` (2 to 101), `tolerance` [percent of span], `reverse`; all
    scalars. Returns rows, headings first, in the units that a calibration sheet is filled in with:
    percent of the level range, level [mm], current, low and high limit [mA].

    Raises ValueError, since a table has no cell for a reason: URV not above LRV, a number of points
    that is not whole or is out of range, a negative tolerance.

    Source: IEC 60381-1 for the line; five points and 0.5 % are common practice, no source.
    """
    if not urv > lrv:
        raise ValueError("urv must be above lrv: give two different levels, the higher one as urv")
    if not (2 <= points <= 101 and points == np.floor(points)):
        raise ValueError("points must be a whole number from 2 to 101")
    if not tolerance >= 0:
        raise ValueError("tolerance must not be negative")
    share = np.linspace(0.0, 1.0, int(points))
    level = lrv + share * (urv - lrv)
    current = level_to_current(level, lrv, urv, reverse)
    band = tolerance / 100 * SPAN
    columns = (100 * share, 1e3 * level, 1e3 * current, 1e3 * (current - band), 1e3 * (current + band))
    headings: list[str | float] = ["percent", "level, mm", "current, mA", "low limit, mA", "high limit, mA"]
    return [headings, *np.stack(columns, axis=1).tolist()]


def loop_resistance(
    supply: ArrayLike, minimum_voltage: ArrayLike, failure_current: ArrayLike = FAILURE_CURRENT
) -> Array:
    """Largest total resistance of the loop (cable, barrier, input) with which the transmitter still works.

    R = (supply - minimum voltage) / failure current: the worst case is the largest current that the
    transmitter draws, which is its failure signal, not 20 mA.

    Parameters: `supply` and `minimum_voltage` at the transmitter's terminals [V], `failure_current`
    [A], at least 20 mA; all broadcast. Returns the resistance [ohm].

    NaN with a reason: a supply not above the minimum voltage, a failure current below 20 mA.

    Source: Ohm's law. The limits of a hazardous-area circuit (entity parameters) are not part of it.

    >>> float(round(loop_resistance(24.0, 12.0, 0.0225), 4))
    533.3333
    """
    spare = _floats(supply) - positive("minimum_voltage", minimum_voltage)
    spare = refuse(spare, spare <= 0, "supply must be above minimum_voltage", UNUSABLE)
    amperes = _floats(failure_current)
    amperes = refuse(
        amperes, amperes < ZERO + SPAN - _NANOAMPERE, "failure_current must be 20 mA or more", UNUSABLE
    )
    return spare / amperes


def level_step(pitch: ArrayLike, overlap: ArrayLike = False) -> Array:
    """Step in which a chain of switches or sensors resolves the level.

    The step is the pitch; with `overlap`, the magnet closes one and two neighbours in turn and the
    step is half the pitch. `pitch` [m] and `overlap` broadcast. Returns the step [m]. NaN with a
    reason: a pitch not above zero.

    Source: geometry of the chain.

    >>> float(level_step(0.01, overlap=True))
    0.005
    """
    return positive("pitch", pitch) * np.where(overlap, 0.5, 1.0)


def step_uncertainty(pitch: ArrayLike, overlap: ArrayLike = False) -> Array:
    """Standard uncertainty of a level that is known to within one step.

    u = step / sqrt(12), a rectangular distribution of the step's width. Arguments as in `level_step`.
    Returns u [m].

    Source: JCGM 100:2008 (GUM), 4.3.7 and F.2.2.1.

    >>> float(round(step_uncertainty(0.01), 6))
    0.002887
    """
    return _floats(level_step(pitch, overlap) / np.sqrt(12.0))[()]


def current_step(pitch: ArrayLike, lrv: ArrayLike, urv: ArrayLike, overlap: ArrayLike = False) -> Array:
    """Change of the current from one step of a stepped sensor to the next.

    16 mA x step / (URV - LRV). Arguments as in `level_step` and `level_to_current`, lengths in m; all
    broadcast. Returns the current [A]. NaN with a reason: a pitch not above zero or wider than the
    range, URV not above LRV.

    Source: IEC 60381-1 for the signal.

    >>> float(round(current_step(0.01, 0.0, 1.0) * 1e3, 6))
    0.16
    """
    step, span = level_step(pitch, overlap), _span(lrv, urv)
    step = refuse(step, step > span, "pitch is wider than the range from lrv to urv", UNUSABLE)
    return SPAN * step / span


def reranged_current(
    current: ArrayLike,
    lrv: ArrayLike,
    urv: ArrayLike,
    new_lrv: ArrayLike,
    new_urv: ArrayLike,
    reverse: ArrayLike = False,
    new_reverse: ArrayLike = False,
) -> Array:
    """Current after a change of range, for the level that gives `current` before it.

    `level_to_current` with the new range of `current_to_level` with the old one. Currents in A, range
    values in m; all broadcast. NaN with a reason: as in those two.

    Source: IEC 60381-1 for the signal, NAMUR NE 43 for its limits.

    >>> float(round(reranged_current(0.012, 0.0, 1.0, 0.0, 2.0) * 1e3, 6))
    8.0
    """
    level = current_to_level(current, lrv, urv, reverse)
    span = _span(new_lrv, new_urv, "new_")
    return level_to_current(level, new_lrv, _floats(new_lrv) + span, new_reverse)


def range_found(
    level_1: ArrayLike, current_1: ArrayLike, level_2: ArrayLike, current_2: ArrayLike
) -> tuple[Array, Array]:
    """Levels at 4 and at 20 mA of a transmitter, from two readings.

    The straight line through the two points. Levels in m, currents in A; all broadcast. Returns the
    level at 4 mA and the level at 20 mA [m]; the second is the lower one when the signal falls.

    NaN with a reason: equal levels, currents less than 0.1 mA apart, a current outside 3.8 to 20.5 mA.

    Source: IEC 60381-1 for the signal.

    >>> [float(round(x, 6)) for x in range_found(0.25, 0.008, 0.75, 0.016)]
    [0.0, 1.0]
    """
    start = _stating("current_1", current_1)
    rise = _stating("current_2", current_2) - start
    close = "current_1 and current_2 are less than 0.1 mA apart: take readings further apart"
    rise = refuse(rise, np.abs(rise) < 1e-4, close, UNUSABLE)
    climb = _floats(level_2) - _floats(level_1)
    climb = refuse(climb, climb == 0, "level_1 equals level_2: take the readings at two levels", UNUSABLE)
    slope = climb / rise
    at_zero = _floats(level_1) - (start - ZERO) * slope
    return at_zero, at_zero + SPAN * slope
