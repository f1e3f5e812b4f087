"""The verdict on one float in its liquid, in words, as a worksheet function: a row of the index at a time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS
from xlfuncs.gauge import UNUSABLE, Refused, model, reasons, refuse, response, worst
from xlfuncs.gauge.floats import ENDS, float_density, reading_offset, reserve

HEAVY = 55.0
"""kg/m3; a vapour that is not stated may be anything from none to this (steam at 100 bar absolute), or where
the design pressure is stated to an ideal gas of `_HEAVY_GAS` at it."""
_HEAVY_GAS = 0.1
"""kg/mol; above nearly every vapour (butane 0.058, chlorine 0.071): common practice, no source."""
_GAS_CONSTANT = 8.31446261815324
"""J/(mol K), exact (CODATA 2018)."""
LEAST_RESERVE = 0.1
"""Share of the float above the surface below which it barely floats (common practice, no source)."""
SPREAD = 1.0
"""mm; what is left out is spoken of where it can change the reading by more (common practice, no source)."""

_SPOKEN = 0.05
"""mm; a share of the worst reading that is named."""
MAY, LAGS = "may read", "lags up to"
SINKS, FREE, HIGH, LOW, FITS = "sinks", "hangs free in the upper fluid", "reads high", "reads low", "fits"


@dataclass(frozen=True, slots=True)
class _Row:
    """One float and its duty in SI; NaN and "" for what is not stated."""

    mass: float
    diameter: float
    length: float
    magnet_height: float
    lower_density: float
    upper_density: float
    tolerance: float
    max_pressure: float
    design_pressure: float
    max_temperature: float
    design_temperature: float
    viscosity: float
    chamber_bore: float
    level_rate: float
    operating_temperature: float
    ends: str
    material: str


def check_float(
    mass: Any = None,
    diameter: Any = None,
    length: Any = None,
    magnet_height: Any = None,
    lower_density: Any = None,
    upper_density: Any = None,
    tolerance: Any = 0.01,
    ends: Any = None,
    max_pressure: Any = None,
    design_pressure: Any = None,
    max_temperature: Any = None,
    design_temperature: Any = None,
    viscosity: Any = None,
    chamber_bore: Any = None,
    level_rate: Any = 0.01,
    operating_temperature: Any = None,
    material: Any = None,
) -> NDArray[np.object_] | str:
    """'sinks', 'reads 17 mm high', 'fits', 'not checked: magnet height missing' and the like.

    SI numbers; all broadcast, None or NaN for what is missing, which the verdict names. A vapour that is
    not stated is taken as none and as a heavy one, ends that are not stated as each of the shapes: a
    verdict stands if it is the same for all of them, and says by how much they differ. Where the offset is
    within the tolerance, the worst reading decides (`gauge.worst`), as in the audit: the rounding of the
    float's data always, movement and heat as far as they are stated. "" with the reason noted where an
    argument cannot be used.

    Source: Archimedes' principle; thresholds are common practice, no source.
    """
    given = (
        *(mass, diameter, length, magnet_height, lower_density, upper_density, tolerance),
        *(max_pressure, design_pressure, max_temperature, design_temperature),
        *(viscosity, chamber_bore, level_rate, operating_temperature),
    )
    numbers = [np.asarray(np.nan if value is None else value, dtype=np.float64) for value in given]
    words = [np.asarray("" if value is None else value, dtype=object) for value in (ends, material)]
    columns = np.broadcast_arrays(*numbers, *words)
    texts = np.full(columns[0].shape, "", dtype=object)
    for at in np.ndindex(texts.shape):
        *values, shape, metal = (column[at] for column in columns)
        cells: list[Any] = [*map(float, values), str(shape or ""), str(metal or "")]
        row = _Row(*cells)
        try:
            texts[at] = _verdict(row)
        except Refused as why:
            here = np.zeros(texts.shape, dtype=np.bool_)
            here[at] = True
            refuse(np.zeros(texts.shape), here, str(why), why.kind)
    return texts if texts.shape else str(texts[()])


# --- one row --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Case:
    """How the float rides for one shape of ends and one upper density."""

    ends: str
    upper_density: float
    state: str
    """One of the words above; "" where the magnet height is missing."""
    offset: float
    """mm, NaN where there is none."""
    mean_density: float
    share: float
    """Of the float above the surface."""


def _verdict(row: _Row) -> str:
    missing = [
        name.replace("_", " ")
        for name in ("mass", "diameter", "length", "lower_density")
        if math.isnan(getattr(row, name))
    ]
    faults, unknown = _limits(row)
    cases = [] if missing else _cases(row)
    states = {case.state for case in cases}
    if states & {SINKS, FREE} and len(states) == 1:
        return "; ".join((_no_ride(row, cases), *faults))
    if math.isnan(row.magnet_height):
        missing.append("magnet height")
    if missing:
        unknown = [*missing, *unknown]
    elif len(states) > 1:
        unknown = [*_open(cases), *unknown]
        faults += [f"{_said(case)} with {_with(row, case)}" for case in _each_state(cases)]
    elif states != {FITS}:
        faults.insert(0, _said(cases[0]) + _spread(row, cases))
    elif row.ends:
        beyond = [_beyond(row, case) for case in cases]
        if all(beyond):
            faults.insert(0, beyond[0] + _barely(cases) + _spread(row, cases))
        elif any(beyond):
            unknown.insert(0, "upper density")
            faults.insert(0, f"{next(filter(None, beyond))} with a heavy vapour, or with none")
    if faults and len(states) == 1 and "barely floats" not in faults[0]:
        surely = all(case.share < LEAST_RESERVE for case in cases)
        faults += [_barely(cases).removeprefix(", but ")] if surely else []
    fits = FITS + _barely(cases) + _spread(row, cases) if cases and not missing else FITS
    if not unknown:
        return "; ".join(faults) or fits
    not_checked = f"not checked: {', '.join(unknown)} missing"
    if missing or len(states) > 1:
        return "; ".join((not_checked, *faults))
    return "; ".join((*(faults or [fits]), not_checked))


def _lags(row: _Row, case: _Case) -> str:
    """In words that the float stays behind a moving level by more than the tolerance; else "".

    With the level at the lower connection, where the movement of the worst reading is largest.
    """
    motion = (row.lower_density, row.viscosity, row.chamber_bore, row.level_rate, case.upper_density)
    if math.isnan(sum(motion)) or row.chamber_bore <= row.diameter:
        return ""
    float_ = model.Float(row.mass, row.diameter, row.length, ends=case.ends)
    fluids = model.Fluids(row.lower_density, case.upper_density, row.viscosity)
    with reasons():
        moving = (model.Chamber(row.chamber_bore), model.Movement(row.level_rate))
        behind = -float(response.follow(float_, fluids, *moving, 0.0))
        rising = float(response.lag(float_, fluids, *moving))
    level = f"a level that moves {1e3 * row.level_rate:.3g} mm/s"
    if math.isnan(behind):
        flow = response.gap_reynolds(
            row.diameter, row.chamber_bore, row.lower_density, row.viscosity, row.level_rate
        )
        how = "drawn under" if math.isnan(rising) else "left hanging"
        return f"is {how} by {level}" if flow <= response.REYNOLDS_LIMIT else ""
    return f"{LAGS} {_mm(1e3 * behind)} mm behind {level}" if 1e3 * behind > 1e3 * row.tolerance else ""


def _beyond(row: _Row, case: _Case) -> str:
    """What is beyond the tolerance though the offset is not: lag or worst reading, in words; else ""."""
    lags = _lags(row, case)
    if lags:
        return lags
    bore = row.chamber_bore if row.chamber_bore > row.diameter else math.nan
    gauge = model.Gauge(
        model.Float(row.mass, row.diameter, row.length, row.magnet_height, case.ends, metal=row.material),
        (
            model.Fluids(
                row.lower_density,
                case.upper_density,
                viscosity=row.viscosity,
                temperature=row.operating_temperature,
            ),
        ),
        model.Chamber(bore),
        model.Movement(0.0 if math.isnan(row.level_rate) else row.level_rate),
        model.usual_spread(),
    )
    with np.errstate(invalid="ignore"):
        found = worst.worst_deviation(gauge)
    low, high = 1e3 * float(found.low), 1e3 * float(found.high)
    down = -low > (-math.inf if math.isnan(high) else high)
    value = low if down else high
    if not abs(value) > 1e3 * row.tolerance * (1 + 1e-9):
        return ""
    shares = found.low_shares if down else found.high_shares
    parts = [(name, 1e3 * float(share)) for name, share in shares.items()]
    each = ", ".join(f"{name} {part:+.1f}" for name, part in parts if abs(part) >= _SPOKEN)
    return f"{MAY} {_mm(abs(value))} mm {'low' if down else 'high'} ({each})"


def _cases(row: _Row) -> list[_Case]:
    """Every shape of ends and upper density that the row leaves open; what is stated comes first."""
    shapes = [row.ends] if row.ends else list(ENDS)
    uppers = [0.0, _heaviest(row)] if math.isnan(row.upper_density) else [row.upper_density]
    ends = np.repeat(np.array(shapes, dtype=object), len(uppers))
    upper = np.tile(uppers, len(shapes))
    body, fluids = (row.mass, row.diameter, row.length), (row.lower_density, upper, ends)
    plane = 0.0 if math.isnan(row.magnet_height) else row.magnet_height
    with reasons() as why:
        offset = 1e3 * np.asarray(reading_offset(*body, plane, *fluids))
        mean, share = np.broadcast_to(float_density(*body, ends), offset.shape), reserve(*body, *fluids)
    texts, kinds = why.why(offset)
    usable = kinds != UNUSABLE
    if not usable.any():
        raise Refused(str(texts[0]))
    return [
        _Case(
            str(ends[at]),
            float(upper[at]),
            _state(row, float(offset[at]), float(mean[at])),
            float(offset[at]),
            float(mean[at]),
            float(share[at]),
        )
        for at in np.flatnonzero(usable).tolist()
    ]


def _heaviest(row: _Row) -> float:
    """Density that the vapour cannot exceed, as far as is known of its pressure."""
    if math.isnan(row.design_pressure):
        return HEAVY
    pressure = max(row.design_pressure + STANDARD_ATMOSPHERE, 0.0)
    return min(pressure * _HEAVY_GAS / (_GAS_CONSTANT * ZERO_CELSIUS), 0.9 * row.lower_density)


def _state(row: _Row, offset: float, mean_density: float) -> str:
    if math.isnan(offset):
        return SINKS if mean_density >= row.lower_density else FREE
    if math.isnan(row.magnet_height):
        return ""
    allowed = 1e3 * row.tolerance * (1 + 1e-9)
    return HIGH if offset > allowed else LOW if offset < -allowed else FITS


def _no_ride(row: _Row, cases: Sequence[_Case]) -> str:
    lightest = min(case.mean_density for case in cases)
    at_least = "at least " if len({case.mean_density for case in cases}) > 1 else ""
    density = f"its mean density of {at_least}{lightest:.4g} kg/m3"
    if cases[0].state == SINKS:
        return f"{SINKS}: {density} is not below {row.lower_density:.4g} kg/m3"
    return f"{FREE}: {density} is not above {cases[0].upper_density:.4g} kg/m3"


def _said(case: _Case) -> str:
    """The state in words, a reading with its millimetres."""
    if case.state in (HIGH, LOW):
        return f"reads {_mm(abs(case.offset))} mm {case.state.removeprefix('reads ')}"
    return case.state


def _mm(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _each_state(cases: Sequence[_Case]) -> Iterator[_Case]:
    seen: set[str] = set()
    for case in cases:
        if case.state not in seen:
            seen.add(case.state)
            yield case


def _with(row: _Row, case: _Case) -> str:
    parts = [] if row.ends else [f"{case.ends} ends"]
    if math.isnan(row.upper_density):
        parts.append(f"a vapour of {case.upper_density:.3g} kg/m3" if case.upper_density else "no vapour")
    return " and ".join(parts)


def _open(cases: Sequence[_Case]) -> list[str]:
    """What has to be stated before the verdict is known."""
    found = []
    for name, same in (("ends", "upper_density"), ("upper density", "ends")):
        groups: dict[Any, set[str]] = {}
        for case in cases:
            groups.setdefault(getattr(case, same), set()).add(case.state)
        if any(len(states) > 1 for states in groups.values()):
            found.append(name)
    return found


def _spread(row: _Row, cases: Sequence[_Case]) -> str:
    """By how much what is not stated can change the reading."""
    first = cases[0]
    parts = []
    for name, others in (
        ("ends", [c for c in cases if c.upper_density == first.upper_density and not row.ends]),
        ("upper density", [c for c in cases if c.ends == first.ends and math.isnan(row.upper_density)]),
    ):
        changes = [case.offset - first.offset for case in others]
        largest = max(changes, key=abs, default=0.0)
        if abs(largest) > SPREAD:
            what = f" (at {max(c.upper_density for c in cases):.3g} kg/m3)" if name != "ends" else ""
            parts.append(f"; {name} not stated: up to {largest:+.1f} mm{what}")
    return "".join(parts)


def _barely(cases: Sequence[_Case]) -> str:
    least = min(case.share for case in cases)
    return f", but barely floats: {100 * least:.0f} % above the surface" if least < LEAST_RESERVE else ""


def _limits(row: _Row) -> tuple[list[str], list[str]]:
    """(limits of the float below the design conditions, limits that are not stated)."""
    faults: list[str] = []
    unknown: list[str] = []
    if row.diameter >= row.chamber_bore:
        faults.append(f"{_mm(1e3 * row.diameter)} mm wide, the bore is {_mm(1e3 * row.chamber_bore)} mm")
    for limit, asked, name, unit, size, zero in (
        (row.max_pressure, row.design_pressure, "pressure", "barg", 1e5, 0.0),
        (row.max_temperature, row.design_temperature, "temperature", "degC", 1.0, ZERO_CELSIUS),
    ):
        if math.isnan(asked):
            continue
        if math.isnan(limit):
            unknown.append(f"maximum {name}")
        elif limit < asked - 1e-9 * abs(asked):
            bears, wanted = ((value - zero) / size for value in (limit, asked))
            faults.append(f"bears {bears:.4g} {unit}, the design {name} is {wanted:.4g} {unit}")
    return faults, unknown
