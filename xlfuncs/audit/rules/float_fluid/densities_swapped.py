"""The rule densities-swapped."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import swapped
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance


@rule(
    "densities-swapped",
    Severity.ERROR,
    thresholds=("interface_liquid_from_kg_m3",),
    calculate=balance.swapped,
    remedy=swapped.exchanged_densities,
    when=lambda gauges: gauges.interface | gauges.mentioned("upper_density"),
    needs=("lowest_density", "upper_density"),
    covers=(
        "interface-density-gap-small",
        "interface-float-outside-fluids",
        "offset-exceeds-tolerance",
        "float-sinks",
    ),
    passing={"upper_density": "30 kg/m3", "float_mass": "353.7 g"},
    firing={"service_type": "interface", "float_service": "interface", "upper_density": "1050 kg/m3"},
)
def densities_swapped(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The upper fluid is not the lighter one.

    Finds: an upper fluid whose density is not below the lower fluid's. One above 300 kg/m3 counts as a
        liquid, and the gauge as one of an interface, where nothing else is said (common practice, no source).
    Why: the heavier fluid lies below; the two columns, or the two rows, were swapped, and nothing computed
        from them holds.
    Mend: correct the density that is wrong; swap them only where both are right then.
    """
    lowest, _ = gauges.densities
    upper = gauges.high("upper_density")
    with np.errstate(invalid="ignore"):
        wrong = upper >= lowest
    for record in np.flatnonzero(wrong).tolist():
        yield gauge_hit(
            gauges,
            record,
            "upper_density",
            f"the upper fluid's {gauges.say(record, 'upper_density', upper[record])} is not below"
            f" the lower fluid's {gauges.say(record, 'upper_density', lowest[record])}",
            evidence={
                "upper_density_kg_m3": float(upper[record]),
                "lower_density_kg_m3": float(lowest[record]),
            },
        )
