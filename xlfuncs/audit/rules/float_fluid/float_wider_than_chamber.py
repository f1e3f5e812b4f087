"""The rule float-wider-than-chamber."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies.floats import usual_bore
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits


@rule(
    "float-wider-than-chamber",
    Severity.ERROR,
    calculate=limits.wide,
    remedy=usual_bore,
    needs=("float_diameter", "chamber_bore"),
    covers=("float-lags",),
    passing={"chamber_bore": "55 mm"},
    firing={"chamber_bore": "49.2 mm"},
)
def float_wider_than_chamber(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float does not fit into the chamber.

    Finds: a float whose outside diameter is not below the chamber's bore.
    Why: it cannot be put in, or jams; usually a float of another gauge or a bore given as nominal size.
    Mend: correct the bore, or choose a slimmer float.
    """
    across, bore = gauges.high("float_diameter"), gauges.low("chamber_bore")
    with np.errstate(invalid="ignore"):
        wide = across >= bore
    for record in np.flatnonzero(wide).tolist():
        yield gauge_hit(
            gauges,
            record,
            "chamber_bore",
            f"the float of {gauges.say(record, 'float_diameter', across[record])} does not fit into"
            f" the bore of {gauges.say(record, 'chamber_bore', bore[record])}",
            evidence={
                "float_diameter_mm": float(across[record] * 1e3),
                "chamber_bore_mm": float(bore[record] * 1e3),
            },
        )
