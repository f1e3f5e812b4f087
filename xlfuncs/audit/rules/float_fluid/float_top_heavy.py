"""The rule float-top-heavy."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.rules.float_fluid.shared import GEOMETRY, Variant, left_open, variants
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import Array, reasons, stability
from xlfuncs.gauge.model import Float, Fluids


@rule(
    "float-top-heavy",
    Severity.WARNING,
    calculate=balance.stability,
    remedy=cures.lower_ballast,
    when=lambda gauges: gauges.mentioned("float_centre_of_gravity"),
    needs=(*GEOMETRY, "known_ends", "any_density", "any_upper"),
    assumes=("float_centre_of_gravity",),
    passing={"float_centre_of_gravity": "80 mm"},
    firing={"float_centre_of_gravity": "130 mm"},
)
def float_top_heavy(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float is top-heavy.

    Finds: a float whose metacentre, at any of the stated densities, is not above its centre of gravity
        (hydrostatics, Bouguer 1746). Where the centre of gravity is not stated, nothing is judged.
    Why: it leans until its rims rub on the chamber: it sticks, and its magnet comes nearer to one side than
        to the other.
    Mend: put the ballast lower, or choose a longer or a wider float.
    """
    stated = gauges.given("float_centre_of_gravity")
    if not stated.any():
        return
    every = variants(gauges)
    with reasons() as why:
        heights = [_heights(gauges, variant) for variant in every]
    least = np.stack([each.min(axis=0) for each in heights])
    with np.errstate(invalid="ignore"):
        heavy = least <= 0
    certain = np.logical_and.reduce(heavy)
    yield from left_open(gauges, np.asarray(np.logical_or.reduce(heavy) & ~certain))
    yield from unexplained(stated, least[0], why, "a float that floats")
    nearest = np.argmax(np.where(np.isnan(least), -np.inf, least), axis=0)
    for record in np.flatnonzero(certain & stated).tolist():
        number = int(nearest[record])
        height = float(least[number, record])
        at = int(np.argmin(heights[number][:, record]))
        ends, pairs = every[number]
        lower, upper = pairs[at]
        centre = float(gauges.high("float_centre_of_gravity")[record])
        name = "float_centre_of_gravity"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the metacentre is {gauges.say(record, name, -height)} below the centre of gravity at"
            f" {gauges.say(record, 'fluid_density', float(lower[record]))}: the float leans",
            expected=gauges.measure(record, name, centre + height),
            evidence={
                "metacentric_height_mm": height * 1e3,
                "centre_of_gravity_mm": centre * 1e3,
                "density_kg_m3": float(lower[record]),
            },
            case={
                "ends": str(ends[record]),
                "lower": float(lower[record]),
                "upper": float(upper[record]),
            },
        )


def _heights(gauges: Gauges, variant: Variant) -> Array:
    """Metacentric height [m] at each pair of densities."""
    mass, diameter, length, _ = gauges.float_shape
    centre = gauges.high("float_centre_of_gravity")
    ends, pairs = variant
    float_ = Float(mass, diameter, length, ends=ends, centre_of_gravity=centre)
    return np.stack([stability.metacentric_height(float_, Fluids(*pair)) for pair in pairs])
