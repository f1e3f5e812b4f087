"""How far a float of the list is behind a moving level, where the rule of lag judges it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from xlfuncs.gauge import Array, choice, floats, reasons
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement
from xlfuncs.gauge.response import REYNOLDS_LIMIT, follow, gap_reynolds


def lags_of(listed: choice.FloatList, duty: choice.Duty) -> Array:
    """How far each float is behind a moving level at the lower connection [m]; infinite where it is drawn
    under, NaN where viscosity or bore is not stated or the flow past it is not laminar."""
    shape = np.isin(listed.ends, floats.ENDS)
    ends = np.where(shape, listed.ends, "flat").astype(str)
    body = Float(listed.mass, listed.diameter, np.where(shape, listed.length, np.nan), ends=ends)
    found, chamber = np.full(len(listed), np.nan), Chamber(duty.chamber_bore)
    sizes = (listed.mass, listed.diameter, np.asarray(body.length))
    for item in duty.conditions:
        fluids = Fluids(item.lower_density, item.upper_density, item.viscosity)
        with reasons():
            each = -np.asarray(follow(body, fluids, chamber, Movement(duty.level_rate), 0.0))
            rides = ~np.isnan(floats.ride_height(*sizes, item.lower_density, item.upper_density, ends))
            reynolds = gap_reynolds(
                body.diameter, duty.chamber_bore, item.lower_density, item.viscosity, duty.level_rate
            )
        with np.errstate(invalid="ignore"):
            known = (reynolds <= REYNOLDS_LIMIT) & (duty.chamber_bore > np.asarray(body.diameter))
        each = np.where(known & np.isnan(each) & rides, np.inf, np.where(known, each, np.nan))
        found = np.fmax(found, each)
    return found


def slow(one: choice.Candidate, lag: float, duty: choice.Duty) -> choice.Candidate:
    """A part that lags by more than the tolerance does not fit."""
    if one.status == "not judged" or not lag > duty.tolerance:
        return one
    how = (
        "is drawn under by a moving level"
        if np.isinf(lag)
        else f"lags {lag * 1e3:.1f} mm behind a moving level at the lower connection"
    )
    why = f"{how}, the tolerance is {duty.tolerance * 1e3:.4g} mm"
    return replace(one, status="rejected", rank=None, reasons=(*one.reasons, why), kinds=(*one.kinds, LAG))


LAG: Final = "lag"
"""The kind of that reason."""


def all_slow(lags: Sequence[float], duty: choice.Duty) -> str:
    """That all of several parts lag by more than the tolerance; "" where one does not."""
    if len(lags) < 2 or not all(lag > duty.tolerance for lag in lags):
        return ""
    least = min(lags)
    by = "" if np.isinf(least) else f", the least by {least * 1e3:.1f} mm"
    return (
        f"all lag more than {duty.tolerance * 1e3:.4g} mm behind a moving level at the lower connection{by}"
    )
