"""The rule float-data-impossible."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies.floats import listed_float
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import floats


@rule(
    "float-data-impossible",
    Severity.ERROR,
    calculate=balance.float_fits,
    remedy=listed_float,
    covers=("offset-exceeds-tolerance", "float-sinks", "float-barely-floats", "float-lags"),
    passing={"float_ends": "hemispherical", "magnet_height": "190.6 mm"},
    firing={"magnet_height": "260 mm"},
)
def float_data_impossible(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float's own data contradict each other.

    Finds: a magnet plane above the float's top; a length over all shorter than the float's two ends; a
        shape of ends that is not flat, hemispherical or elliptical.
    Why: no float can be like that, so nothing can be computed for it; often length and straight length, or
        the height from the top and from the bottom, were mixed up.
    Mend: correct the float's data from its drawing: length over all, magnet plane above the bottom.
    """
    _, diameter, _, ends = gauges.float_shape
    length, plane = gauges.si("float_length"), gauges.si("magnet_height")
    least = floats.ends_length(diameter, ends)
    with np.errstate(invalid="ignore"):
        above = plane > length
        short = length < least * (1 - 1e-9)
    for record in np.flatnonzero(above).tolist():
        say = partial(gauges.say, record, "magnet_height")
        yield gauge_hit(
            gauges,
            record,
            "magnet_height",
            f"the magnet plane, {say(plane[record])} above the bottom, is above the float's top"
            f" ({say(length[record])} long)",
            evidence={
                "magnet_height_mm": float(plane[record] * 1e3),
                "float_length_mm": float(length[record] * 1e3),
            },
        )
    for record in np.flatnonzero(short).tolist():
        say = partial(gauges.say, record, "float_length")
        yield gauge_hit(
            gauges,
            record,
            "float_length",
            f"a float of {say(length[record])} over all is shorter than its two {ends[record]} ends"
            f" ({say(least[record])})",
            evidence={"float_length_mm": float(length[record] * 1e3), "ends_mm": float(least[record] * 1e3)},
        )
