"""The rule float-barely-floats."""

from __future__ import annotations

from collections.abc import Iterator

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
    left_open,
    mean_densities,
    of_level,
    shape_note,
    shapes_of,
    verdict,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import floats


@rule(
    "float-barely-floats",
    Severity.WARNING,
    thresholds=("float_reserve_minimum",),
    calculate=balance.reserve,
    remedy=right_float,
    when=of_level,
    needs=(*GEOMETRY, "known_ends", "lowest_density", "any_upper"),
    firing={
        "fluid_density": "760 kg/m3",
        "fluid": "Blend 7",
        "magnet_height": "234 mm",
        "float_design_density": "760 kg/m3",
    },
)
def float_barely_floats(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float barely floats.

    Finds: a level float with less than 10 % of its volume above the surface at the lowest stated density
        (common practice, no source).
    Why: a little dirt, a slightly lighter or hotter fluid, and it sinks.
    Mend: choose a lighter or longer float.
    """
    mass, diameter, length, _ = gauges.float_shape
    lowest, _ = gauges.densities
    shapes = shapes_of(gauges)
    shares = np.stack(
        [
            floats.reserve(mass, diameter, length, lowest, upper, ends)
            for upper in gauges.uppers
            for ends in shapes
        ]
    )
    means = np.tile(mean_densities(gauges), (2, 1))
    with np.errstate(invalid="ignore"):
        little = of_level(gauges) & (np.isnan(shares) | (shares < settings.float_reserve_minimum))
        low, doubtful = verdict(little, ~np.isnan(means + lowest + gauges.upper))
    yield from left_open(gauges, doubtful)
    share = np.fmax.reduce(shares[: len(shapes)])
    for record in np.flatnonzero(low & ~np.isnan(share)).tolist():
        name = density_field(gauges, record, lowest=True)
        yield gauge_hit(
            gauges,
            record,
            name,
            f"only {share[record]:.1%} of the float stands above the surface,"
            f" less than {settings.float_reserve_minimum:.0%}{shape_note(gauges, record)}",
            found=gauges.measure(record, name, float(lowest[record])),
            evidence={
                "share_above_surface": float(share[record]),
                "float_density_kg_m3": float(np.fmin.reduce(means)[record]),
            },
        )
