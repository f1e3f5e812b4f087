"""The rule interface-float-outside-fluids."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule
from xlfuncs.audit.remedies.floats import right_float
from xlfuncs.audit.rules.float_fluid.shared import (
    GEOMETRY,
    INTERFACE_GAUGE,
    depends_on_shape,
    mean_densities,
    of_interface,
    shape_note,
    verdict,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance


def _range(gauges: Gauges, record: int, low: float, high: float) -> Measure | None:
    """`0.955 to 1.06`, densities in the unit of the sheet."""
    ends = [gauges.measure(record, "fluid_density", density) for density in (low, high)]
    if ends[0] is None or ends[1] is None:
        return None
    return Measure(f"{Measure(ends[0].value)} to {Measure(ends[1].value)}", ends[0].unit)


@rule(
    "interface-float-outside-fluids",
    Severity.ERROR,
    thresholds=("interface_liquid_from_kg_m3",),
    calculate=balance.between,
    remedy=right_float,
    when=of_interface,
    needs=(*GEOMETRY, "known_ends", "lowest_density", "upper_density"),
    covers=("float-sinks", "offset-exceeds-tolerance", "float-barely-floats"),
    passing=INTERFACE_GAUGE,
    firing={**INTERFACE_GAUGE, "float_mass": "380 g"},
)
def interface_float_outside_fluids(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """An interface float whose mean density is not between the two liquids.

    Finds: an interface gauge whose float is not denser than the upper and lighter than the lower liquid,
        at the least favourable of the stated densities. An upper fluid above 300 kg/m3 makes a gauge one of
        an interface where nothing else is said (common practice, no source).
    Why: a float lighter than the upper liquid rises to its surface; one heavier than the lower liquid
        lies at the bottom. Either way the interface is not shown.
    Mend: choose a float with a mean density between the two liquids.
    """
    means = mean_densities(gauges)
    lowest, _ = gauges.densities
    upper_highest = gauges.high("upper_density")
    with np.errstate(invalid="ignore"):
        # where the lower liquid is not the denser one, the stated densities themselves are at fault
        asked = gauges.interface & (lowest > upper_highest)
        outside = asked & ((means >= lowest) | (means <= upper_highest))
    wrong, doubtful = verdict(outside, ~np.isnan(means))
    yield depends_on_shape(doubtful)
    mean = np.fmin.reduce(means)
    for record in np.flatnonzero(wrong).tolist():
        say = partial(gauges.say, record, "fluid_density")
        sinks = mean[record] >= lowest[record]
        side = (
            f"not below the lower liquid's {say(lowest[record])}"
            if sinks
            else f"not above the upper liquid's {say(upper_highest[record])}"
        )
        yield gauge_hit(
            gauges,
            record,
            "float_part" if gauges.given("float_part")[record] else "float_mass",
            f"the float's mean density of {say(mean[record])} is {side}{shape_note(gauges, record)}",
            found=gauges.measure(record, "fluid_density", float(mean[record])),
            expected=_range(gauges, record, float(upper_highest[record]), float(lowest[record])),
            evidence={
                "float_density_kg_m3": float(mean[record]),
                "upper_density_kg_m3": float(upper_highest[record]),
                "lower_density_kg_m3": float(lowest[record]),
            },
            mend=f"choose a float with a mean density between {say(upper_highest[record])} and"
            f" {say(lowest[record])}.",
        )
