"""The rule design-density-mismatch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
    label,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies.floats import right_float
from xlfuncs.audit.rules.float_fluid.shared import density_field, of_level
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance


@rule(
    "design-density-mismatch",
    Severity.ERROR,
    thresholds=("design_density_tolerance",),
    calculate=balance.design_density,
    remedy=right_float,
    when=lambda gauges: of_level(gauges) & ~gauges.geometry_known,
    needs=("float_design_density", "any_density"),
    passing={"float_mass": None, "float_design_density": "1000 kg/m3"},
    firing={"float_mass": None, "float_design_density": "850 kg/m3"},
)
def design_density_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float was made for another density.

    Finds: a level gauge whose float's mass, size or magnet height is unknown, but whose float's design
        density differs from a stated operating density by more than 5 % (common practice, no source).
    Why: the float rides deeper in a lighter fluid and higher in a denser one, so the gauge reads low or
        high by a hundredth of its immersion for each per cent: two or three millimetres for most floats.
    Mend: choose a float for the operating density, or get its mass, size and magnet height so that the
        offset itself can be computed.
    """
    design = gauges.si("float_design_density")
    lowest, highest = gauges.densities
    # an upper fluid that cannot be read may be a liquid, and the gauge one of an interface
    unclear = gauges.unusable("upper_density") & ~gauges.says("service_type", "level")
    asked = of_level(gauges) & ~gauges.geometry_known & gauges.given("float_design_density")
    yield Undecided(asked & unclear, label("upper_density"))
    with np.errstate(invalid="ignore"):
        low_is_worse = np.abs(lowest / design - 1) >= np.abs(highest / design - 1)
        rho = np.where(low_is_worse, lowest, highest)
        deviation = rho / design - 1
        wrong = np.abs(deviation) > settings.design_density_tolerance
    wrong &= asked & ~unclear
    for record in np.flatnonzero(wrong).tolist():
        name = density_field(gauges, record, lowest=bool(low_is_worse[record]))
        side = "above" if deviation[record] > 0 else "below"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the fluid's density is {abs(deviation[record]):.1%} {side}"
            f" the {gauges.say(record, name, design[record])} that the float was made for",
            found=gauges.measure(record, name, float(rho[record])),
            expected=gauges.measure(record, name, float(design[record])),
            evidence={
                "design_density_kg_m3": float(design[record]),
                "density_kg_m3": float(rho[record]),
                "deviation": float(deviation[record]),
            },
        )
