"""Interface gauges whose upper liquid's density is not known: that first, then the float."""

from __future__ import annotations

from functools import partial
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges, part_key
from xlfuncs.audit.remedies.duties import beyond, density_field, listed_floats
from xlfuncs.audit.remedy import Remedy
from xlfuncs.gauge import floats, reasons

_NAMED: Final = 5
"""Parts that are named."""


def upper_unknown(gauges: Gauges, record: int) -> bool:
    """Whether the gauge is one of an interface and the density of its upper liquid is not known."""
    return bool(gauges.interface[record] and np.isnan(sum(float(end[record]) for end in gauges.uppers)))


def upper_first(gauges: Gauges, record: int) -> Remedy | None:
    """What has to be known first, and which floats come into question by what is known."""
    lowest = float(gauges.densities[0][record])
    if not upper_unknown(gauges, record) or np.isnan(lowest):
        return None
    below = gauges.say(record, density_field(gauges, record), lowest)
    text = (
        "State the upper liquid's density first: the float's mean density has to lie between it and the"
        f" lower liquid's {below}."
    )
    return Remedy(f"{text} {_candidates(gauges, record, lowest, below)}".strip())


def _candidates(gauges: Gauges, record: int, lowest: float, below: str) -> str:
    """The interface floats of the list that are lighter than the lower liquid, the lightest last."""
    listed = listed_floats(gauges)
    if listed is None:
        return ""
    with reasons():
        shape = np.where(np.isin(listed.ends, floats.ENDS), listed.ends, "flat").astype(str)
        mean = floats.float_density(listed.mass, listed.diameter, listed.length, shape)
    own = part_key(str(gauges.texts("float_part")[record]))
    made = listed.service == "interface"
    if not made.any():
        return "None of the list's floats is stated to be made for an interface."
    hot, pressed = (float(gauges.high(f"design_{name}")[record]) for name in ("temperature", "pressure"))
    with np.errstate(invalid="ignore"):
        fit = made & (mean < lowest) & ~(listed.max_temperature < hot)
    found = [
        at
        for at in np.flatnonzero(fit).tolist()
        if not beyond(pressed, float(listed.max_pressure[at])) and part_key(str(listed.part[at])) != own
    ]
    if not found:
        return (
            f"No other interface float of the list is lighter than {below}: ask whether that is the density"
            " of the upper liquid."
        )
    say = partial(gauges.say, record, density_field(gauges, record))
    found.sort(key=lambda at: -float(mean[at]))
    parts = ", ".join(f"{listed.part[at]} ({say(float(mean[at]))})" for at in found[:_NAMED])
    more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
    return f"Interface floats of the list below that, to be held against both liquids then: {parts}{more}."
