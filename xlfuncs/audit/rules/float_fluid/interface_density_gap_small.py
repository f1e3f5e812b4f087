"""The rule interface-density-gap-small."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.rules.float_fluid.shared import INTERFACE_GAUGE, of_interface
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance


@rule(
    "interface-density-gap-small",
    Severity.WARNING,
    thresholds=("interface_gap_minimum_kg_m3", "interface_liquid_from_kg_m3"),
    calculate=balance.gap,
    remedy=cures.wider_gap,
    when=of_interface,
    needs=("lowest_density", "upper_density"),
    covers=("worst-reading-exceeds-tolerance",),
    passing=INTERFACE_GAUGE,
    firing={
        **INTERFACE_GAUGE,
        "upper_density": "940 kg/m3",
        "float_mass": "472.2 g",
        "magnet_height": "126.6 mm",
    },
)
def interface_density_gap_small(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Two liquids of nearly the same density.

    Finds: an interface gauge whose lower liquid is less than 50 kg/m3 denser than the upper one
        (common practice, no source), at the least favourable of the stated densities.
    Why: little force holds the float at the interface: friction, deposits and small errors of the
        densities move it far.
    Mend: confirm both densities at operating temperature; consider another principle of measurement.
    """
    lowest, _ = gauges.densities
    gap = lowest - gauges.high("upper_density")
    with np.errstate(invalid="ignore"):
        small = gauges.interface & (gap < settings.interface_gap_minimum_kg_m3)
    for record in np.flatnonzero(small).tolist():
        yield gauge_hit(
            gauges,
            record,
            "upper_density",
            f"the lower liquid is only {gap[record]:.1f} kg/m3 denser than the upper one",
            evidence={"density_gap_kg_m3": float(gap[record])},
        )
