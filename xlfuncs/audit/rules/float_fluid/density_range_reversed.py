"""The rule density-range-reversed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    DENSITIES,
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import places as cures
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance


@rule(
    "density-range-reversed",
    Severity.ERROR,
    thresholds=("density_order_tolerance",),
    calculate=balance.density_order,
    remedy=cures.in_order,
    when=lambda gauges: gauges.mentioned("fluid_density_min") | gauges.mentioned("fluid_density_max"),
    assumes=DENSITIES,
    passing={"fluid_density_min": "960 kg/m3", "fluid_density_max": "990 kg/m3"},
    firing={"fluid_density_min": "990 kg/m3", "fluid_density_max": "975 kg/m3"},
)
def density_range_reversed(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The lowest density is not the lowest.

    Finds: a stated minimum density above the maximum, or an operating density outside the two by more than
        0.5 % (common practice, no source).
    Why: the two columns were swapped or belong to different conditions; the float is checked against both.
    Mend: correct the densities.
    """
    least, most = gauges.si("fluid_density_min"), gauges.si("fluid_density_max")
    low, high = gauges.low("fluid_density"), gauges.high("fluid_density")
    slack = settings.density_order_tolerance
    with np.errstate(invalid="ignore"):
        wrong = (least > most) | (low < least * (1 - slack)) | (high > most * (1 + slack))
    for record in np.flatnonzero(wrong).tolist():
        field = "fluid_density_min" if gauges.given("fluid_density_min")[record] else "fluid_density_max"
        stated = {"lowest": least, "operating": gauges.si("fluid_density"), "highest": most}
        words = ", ".join(
            f"{name} {gauges.say(record, field, float(values[record]))}"
            for name, values in stated.items()
            if not np.isnan(values[record])
        )
        yield gauge_hit(gauges, record, field, f"the densities are not in order: {words}")
