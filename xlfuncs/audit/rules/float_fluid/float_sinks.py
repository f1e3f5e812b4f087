"""The rule float-sinks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule
from xlfuncs.audit.remedies.floats import right_float
from xlfuncs.audit.rules.float_fluid.shared import (
    GEOMETRY,
    density_field,
    depends_on_shape,
    mean_densities,
    shape_note,
    verdict,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance

_BELOW: Final = "choose a float whose mean density is well below the fluid's."
_BETWEEN: Final = (
    "settle the densities of both liquids first; the float's mean density has to lie between them."
)


@rule(
    "float-sinks",
    Severity.ERROR,
    calculate=balance.mean_density,
    remedy=right_float,
    needs=(*GEOMETRY, "known_ends", "lowest_density"),
    covers=("float-barely-floats", "offset-exceeds-tolerance", "float-lags"),
    passing={"fluid_density": "0.9832 SG"},
    firing={"fluid_density": "690 kg/m3", "fluid": "Blend 7"},
)
def float_sinks(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float sinks.

    Finds: a float whose mean density (mass over volume) is not below the lowest stated density of the
        fluid; where the shape of its ends is not stated, with every shape.
    Why: it lies at the bottom of the chamber and the gauge shows empty, whatever the level.
    Mend: choose a float whose mean density is well below the fluid's; on an interface gauge, one between
        the two liquids.
    """
    means = mean_densities(gauges)
    mean = np.fmin.reduce(means)
    lowest, _ = gauges.densities
    with np.errstate(invalid="ignore"):
        sinks, doubtful = verdict(means >= lowest, ~np.isnan(means))
    yield depends_on_shape(doubtful)
    for record in np.flatnonzero(sinks).tolist():
        name = density_field(gauges, record, lowest=True)
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the float sinks: its mean density of {gauges.say(record, name, mean[record])} is not below"
            f" the fluid's {gauges.say(record, name, lowest[record])}{shape_note(gauges, record)}",
            found=gauges.measure(record, name, float(lowest[record])),
            evidence={
                "float_density_kg_m3": float(mean[record]),
                "fluid_density_kg_m3": float(lowest[record]),
            },
            mend=_BETWEEN if gauges.interface[record] else _BELOW,
        )
