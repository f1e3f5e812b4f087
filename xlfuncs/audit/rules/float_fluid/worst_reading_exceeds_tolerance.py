"""The rule worst-reading-exceeds-tolerance."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import (
    Gauges,
    Mask,
    label,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies.floats import right_float
from xlfuncs.audit.rounding import spread_of
from xlfuncs.audit.rules.float_fluid.shared import GEOMETRY, density_field, offset_cases
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import Array, model
from xlfuncs.gauge.worst import Worst, worst_deviation


@rule(
    "worst-reading-exceeds-tolerance",
    Severity.WARNING,
    thresholds=("offset_tolerance_mm", "level_rate_mm_s"),
    calculate=balance.worst,
    remedy=right_float,
    needs=(*GEOMETRY, "float_ends", "known_ends", "magnet_height", "any_density", "any_upper"),
    assumes=("level_rate",),
    passing={"viscosity": "30 mPa.s", "fluid": "Blend 7"},
    firing={"fluid_density": "935 kg/m3", "fluid": "Blend 7", "viscosity": "45 mPa.s"},
)
def worst_reading_exceeds_tolerance(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """Offset, uncertainty, movement and heat together are beyond the tolerance.

    Finds: a gauge whose offset is within the tolerance at every stated density, but whose worst reading is
        not: the offset with what the rounding of the float's data leaves uncertain, with the liquid that
        pushes the float ahead of a moving level where viscosity and bore are stated, and with the float as
        wide as it is at the highest and as narrow as at the lowest operating temperature (tolerance: common
        practice, no source). Rounding is half the last digit that the column shows, by its cell with the most
        decimals, and no more than 0.5 g (0.05 oz or 0.005 lb of a list in these), 0.05 mm of diameter and
        0.5 mm of the magnet's height: whole numbers are nominal sizes (common practice, no source). What is
        not stated is not counted.
    Why: each of them is within the tolerance and hides in it; the person at the gauge sees their sum.
    Mend: choose a float that reads nearer to true, or one with more room in its chamber; trace the chamber.
    """
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    asked = gauges.given("float_ends") & ~np.isnan(mass + diameter + length + plane)
    asked &= ~np.isnan(gauges.densities[0] + gauges.upper) & (plane <= length)
    offsets = offset_cases(gauges)[0][0][0]
    with np.errstate(invalid="ignore"):
        asked &= np.abs(offsets) * 1e3 <= settings.offset_tolerance_mm
    if not asked.any():
        return
    at = np.flatnonzero(asked)
    silent = ~gauges.mentioned("upper_density")[at]
    worst, down, value = _worst(_operating(gauges, settings, at, densest=False))
    heavy = value.copy()
    if silent.any():
        heavy[silent] = _worst(_operating(gauges, settings, at[silent], densest=True))[2]
    allowed = settings.offset_tolerance_mm * (1 + 1e-9)
    with np.errstate(invalid="ignore"):  # the vapour of a gauge that states none is open
        beyond, other = np.abs(value) > allowed, np.abs(heavy) > allowed
    doubtful = np.zeros(gauges.n, dtype=np.bool_)
    doubtful[at] = silent & (beyond != other)
    yield Undecided(doubtful, label("upper_density"))
    for i in np.flatnonzero(beyond & ~doubtful[at]).tolist():
        record = int(at[i])
        shares, which = (
            (worst.low_shares, worst.low_case) if down[i] else (worst.high_shares, worst.high_case)
        )
        parts = {name: float(np.broadcast_to(share, down.shape)[i]) * 1e3 for name, share in shares.items()}
        each = ", ".join(f"{name} {x:+.1f}" for name, x in parts.items() if abs(x) >= 0.05)
        far = abs(float(value[i]))
        most = inches_beside(gauges, record, f"{far:.1f} mm", far / 1e3)
        yield gauge_hit(
            gauges,
            record,
            density_field(gauges, record, lowest=bool(down[i])),
            f"the gauge may read {'low' if down[i] else 'high'} by {most}: {each} mm",
            evidence={
                "worst_reading_mm": float(value[i]),
                **{f"{name}_mm": x for name, x in parts.items() if abs(x) >= 0.05},
            },
            case={
                "parts": parts,
                **_case(gauges, record, int(np.atleast_1d(which)[i])),
            },
        )


def _case(gauges: Gauges, record: int, number: int) -> dict[str, float]:
    """Densities of one of the cases of `_operating`."""
    lower, upper = gauges.densities[number % 4 // 2], gauges.uppers[number % 2]
    silent = not gauges.mentioned("upper_density")[record]
    return {
        "lower": float(lower[record]),
        "upper": float(gauges.uppers[0][record] if silent else upper[record]),
    }


def _worst(gauge: model.Gauge) -> tuple[Worst, Mask, Array]:
    """The worst reading, whether it is the low one, and how far it is from the level [mm]."""
    worst = worst_deviation(gauge)
    low, high = (np.atleast_1d(x) * 1e3 for x in (worst.low, worst.high))
    with np.errstate(invalid="ignore"):
        down = np.asarray(-low > np.where(np.isnan(high), -np.inf, high))
    return worst, down, np.where(down, low, high)


def _operating(gauges: Gauges, settings: Settings, at: NDArray[np.int64], *, densest: bool) -> model.Gauge:
    """Some of the gauges at every stated pair of densities, hot and cold.

    With the densest vapour where none is stated and it is asked for.
    """
    mass, diameter, length = (column[at] for column in gauges.float_shape[:3])
    ends = gauges.ends[at]
    plane, rate = (
        gauges.si("magnet_height")[at],
        gauges.or_default("level_rate", settings.level_rate_mm_s * 1e-3)[at],
    )
    metal = np.where(gauges.given("known_float_material"), gauges.texts("float_material"), "")[at]
    mu = gauges.high("viscosity")[at]
    stated = gauges.mentioned("upper_density")
    silent = gauges.uppers[1 if densest else 0]
    uppers = [np.where(stated, upper, silent)[at] for upper in gauges.uppers]
    cases = tuple(
        model.Fluids(lower[at], upper, viscosity=mu, temperature=kelvin[at])
        for kelvin in (gauges.high("operating_temperature"), gauges.low("operating_temperature"))
        for lower in gauges.densities
        for upper in uppers
    )
    with np.errstate(invalid="ignore"):
        bore = gauges.si("chamber_bore")[at]
        bore = np.where(bore > diameter, bore, np.nan)
    return model.Gauge(
        model.Float(mass, diameter, length, plane, ends, metal=metal),
        cases,
        model.Chamber(bore),
        model.Movement(np.where(np.isnan(rate), 0.0, rate)),
        spread_of(gauges, at),
    )
