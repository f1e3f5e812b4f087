"""The rule float-service-mismatch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies.floats import another_float
from xlfuncs.audit.settings import Settings


@rule(
    "float-service-mismatch",
    Severity.ERROR,
    remedy=another_float,
    needs=("service_type", "known_service_type", "float_service", "known_float_service"),
    covers=(
        "interface-float-outside-fluids",
        "offset-exceeds-tolerance",
        "float-sinks",
        "float-barely-floats",
    ),
    passing={"float_service": "liquid level"},
    firing={"float_service": "interface"},
)
def float_service_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A level float on an interface gauge, or the reverse.

    Finds: a gauge whose service (level or interface) differs from the service its float was made for.
    Why: an interface float is heavier than the upper liquid and sinks in it; a level float rides on the
        upper liquid and shows the total level instead of the interface.
    Mend: choose a float made for the gauge's service, or correct the service.
    """
    gauge_interface = gauges.says("service_type", "interface")
    gauge_level = gauges.says("service_type", "level") & ~gauge_interface
    float_interface = gauges.says("float_service", "interface")
    float_level = gauges.says("float_service", "level") & ~float_interface
    for record in np.flatnonzero((gauge_interface & float_level) | (gauge_level & float_interface)).tolist():
        ours, theirs = ("interface", "level") if gauge_interface[record] else ("level", "interface")
        yield gauge_hit(
            gauges,
            record,
            "float_part" if gauges.given("float_part")[record] else "float_service",
            f"the gauge measures {ours}, its float is made for {theirs}",
            found=Measure(theirs),
            expected=Measure(ours),
        )
