"""The rule float-lags."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies.following import follows
from xlfuncs.audit.rules.float_fluid.shared import (
    GEOMETRY,
    left_open,
    mean_densities,
    shape_note,
    shapes_of,
    verdict,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import Array, floats, reasons, response
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement

_FOOT = 0.0
"""Level at the lower connection [m], where the movement of the worst reading is largest."""


def _least(cases: Array, record: int) -> int:
    """Number of the case with the least value of a gauge."""
    return int(np.nanargmin(cases[:, record]))


@rule(
    "float-lags",
    Severity.WARNING,
    thresholds=("offset_tolerance_mm", "level_rate_mm_s"),
    calculate=balance.lag,
    remedy=follows,
    needs=(
        *GEOMETRY,
        "known_ends",
        "chamber_bore",
        "viscosity",
        "viscosity.high",
        "lowest_density",
        "any_upper",
    ),
    assumes=("level_rate",),
    covers=("worst-reading-exceeds-tolerance",),
    passing={"viscosity": "20 mPa.s"},
    firing={"viscosity": "150 mPa.s", "fluid": "Blend 7"},
)
def float_lags(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float lags behind the level.

    Finds: a float whose worst reading is off by more than the offset tolerance by movement alone, while the
        level moves at the stated rate, 10 mm/s where none is stated (common practice, no source), or that
        does not follow at all: the drag is then more than the buoyancy that is left, or the weight. The
        movement is worst with the level at the lower connection: all of the float then stands in the closed
        end of the chamber, where the liquid has to flow back past it, and it lags. Higher up, by its
        immersion, the liquid moves with the level and the float runs ahead, by the stated smaller amount.
    Why: a float that lags reads low while the vessel fills and high while it empties, and does so where the
        low alarm is.
    Mend: trace and insulate the chamber so that the fluid stays thin, or widen the gap between float and
        chamber.
    """
    mass, diameter, length, _ = gauges.float_shape
    rate = gauges.or_default("level_rate", settings.level_rate_mm_s * 1e-3)
    viscosity, bore = gauges.high("viscosity"), gauges.si("chamber_bore")
    lowest, _ = gauges.densities
    shapes = [Float(mass, diameter, length, ends=ends) for ends in shapes_of(gauges)]
    state = (Fluids(lowest, gauges.upper, viscosity), Chamber(bore), Movement(rate))
    with reasons() as why:
        lags = -np.stack([response.follow(shape, *state, _FOOT) for shape in shapes])
    with reasons():
        body = (mass, diameter, length, lowest, gauges.upper)
        dry = np.stack([floats.ride_height(*body, ends) for ends in shapes_of(gauges)])
        creeps = response.gap_reynolds(diameter, bore, lowest, viscosity, rate) <= response.REYNOLDS_LIMIT
    known = ~np.isnan(mean_densities(gauges) + lowest + viscosity + bore + rate + gauges.upper)
    under = np.isnan(lags) & ~np.isnan(dry) & known & creeps & (bore > diameter)
    with np.errstate(invalid="ignore"):
        slow, doubtful = verdict(
            under | (lags * 1e3 > settings.offset_tolerance_mm), known & (under | ~np.isnan(lags))
        )
    yield from left_open(gauges, doubtful)
    lag = np.fmin.reduce(lags)
    drowned = np.logical_or.reduce(under)
    yield from unexplained(
        np.asarray(np.logical_or.reduce(known) & ~drowned), lag, why, "data for which a lag can be computed"
    )
    if not slow.any():
        return
    with reasons():
        rising = np.stack([response.lag(shape, *state) for shape in shapes])
        leads = np.stack([response.lead(shape, *state) for shape in shapes])
    for record in np.flatnonzero(slow).tolist():
        moving = f"a level that moves {gauges.say(record, 'level_rate', float(rate[record]))}"
        evidence: dict[str, float | str] = {"level_rate_mm_s": float(rate[record] * 1e3)}
        if np.isnan(lag[record]):
            least = float(np.fmin.reduce(dry)[record] * 1e3)
            said = f"the float is drawn under by {moving}: the drag is more than the buoyancy that is left"
            if not np.isnan(rising[:, record]).any():
                said = f"the float is left hanging by {moving}: the drag is more than its weight"
            evidence["ride_height_mm"] = least
        else:
            late = float(lag[record])
            far = inches_beside(gauges, record, f"{late * 1e3:.1f} mm", late)
            said = f"the float lags up to {far} behind {moving}"
            evidence["lag_mm"] = float(lag[record] * 1e3)
        ahead = float(np.fmin.reduce(leads)[record] * 1e3)
        if not np.isnan(ahead):
            evidence["lead_mm"] = ahead
        far = inches_beside(gauges, record, f"{ahead:.1f} mm", ahead / 1e3)
        turned = "" if np.isnan(ahead) else f"; {far} ahead higher up, where the liquid moves too"
        yield gauge_hit(
            gauges,
            record,
            "viscosity",
            f"{said} (with the level at the lower connection{turned}){shape_note(gauges, record)}",
            evidence=evidence,
            case={
                "ends": str(
                    shapes_of(gauges)[_least(lags if np.isfinite(lag[record]) else dry, record)][record]
                )
            },
        )
