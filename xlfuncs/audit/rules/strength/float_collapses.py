"""The rule float-collapses."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies.floats import another_float
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.gauge import Array, reasons, strength
from xlfuncs.gauge.floats import ENDS


@rule(
    "float-collapses",
    Severity.ERROR,
    thresholds=("safety_factor",),
    calculate=limits.collapse,
    remedy=another_float,
    needs=(
        "float_wall",
        "float_diameter",
        "float_length",
        "known_ends",
        "float_material",
        "known_float_material",
        "design_pressure",
        "design_pressure.high",
    ),
    passing={"float_wall": "0.9 mm"},
    firing={"float_wall": "0.4 mm"},
)
def float_collapses(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float's shell is too weak for the design pressure.

    Finds: a float whose computed collapse pressure (buckling or yield of the shell and its curved ends at
        design temperature, whichever is lower) divided by the safety factor of 3 (common practice, no
        source) is below the design pressure. Where the float's ends are not stated, it finds one that is too
        weak with each shape of ends. Flat ends are not checked: their thickness is asked for.
    Why: an ideal shell collapses at the computed pressure, a real one below it. A collapsed float sinks.
    Mend: choose a thicker or shorter float, or one that is pressurised inside; ask the maker for the
        calculation and the test certificate.
    """
    shapes = [np.where(gauges.given("float_ends"), gauges.ends, shape) for shape in ENDS]
    with reasons() as why:
        strengths = np.stack([permitted_pressures(gauges, settings, ends) for ends in shapes])
    permitted, design = np.fmax.reduce(strengths), gauges.high("design_pressure")
    known = _shell_known(gauges)
    yield from unexplained(known, permitted[known], why, "data for which a collapse pressure can be computed")
    with np.errstate(invalid="ignore"):
        weak = permitted < design
        sound = known & ~weak & ~np.isnan(design)
    unstated = ~gauges.given("float_ends")
    yield Undecided(sound & unstated, label("float_ends"))
    yield Undecided(sound & ~gauges.given("design_temperature"), label("design_temperature"))
    flat_end = np.char.find(gauges.ends, "flat") >= 0
    yield Undecided(sound & flat_end, "thickness of the float's flat ends")
    for record in np.flatnonzero(weak).tolist():
        collapse = float(permitted[record] * settings.safety_factor)
        say = partial(gauges.say, record, "design_pressure")
        flat = bool(flat_end[record])
        part = "the float's shell, its flat ends not checked," if flat else "the float with its curved ends"
        most = ""
        if unstated[record]:
            part, most = "the float, whatever the shape of its ends,", "no more than "
        yield gauge_hit(
            gauges,
            record,
            "design_pressure",
            f"{part} collapses at {most}{say(collapse)} computed, which permits"
            f" {say(permitted[record])}; the design pressure is {say(design[record])}"
            f"{_rated(gauges, record, float(permitted[record]))}",
            found=gauges.measure(record, "design_pressure", float(design[record])),
            evidence={
                "collapse_pressure_bar": collapse / 1e5,
                "safety_factor": settings.safety_factor,
                "permitted_pressure_bar": float(permitted[record] / 1e5),
            },
        )


def _rated(gauges: Gauges, record: int, permitted: float) -> str:
    """What is to be said of a maximum pressure stated for the float that its shell does not bear."""
    stated = float(gauges.low("float_max_pressure")[record])
    if not stated > permitted * (1 + SAME_PRESSURE):
        return ""
    said = gauges.say(record, "float_max_pressure", stated)
    return f". The maximum pressure of {said} stated for the float needs the maker's proof"


def _shell_known(gauges: Gauges) -> Mask:
    """Array whose wall, size and material are known."""
    wall, diameter, length = gauges.si("float_wall"), gauges.si("float_diameter"), gauges.float_shape[2]
    named = gauges.given("float_material") & gauges.given("known_float_material")
    return np.asarray(~np.isnan(wall + diameter + length) & named)


def permitted_pressures(gauges: Gauges, settings: Settings, ends: NDArray[np.object_] | None = None) -> Array:
    """Permitted external pressure of each float [Pa], with its own ends unless others are given.

    At 20 degC where no design temperature is stated. NaN where it cannot be computed.
    """
    known = _shell_known(gauges)
    temperature = np.where(gauges.given("design_temperature"), gauges.high("design_temperature"), 293.15)
    out = np.full(gauges.n, np.nan)
    if known.any():
        out[known] = strength.permitted_pressure(
            gauges.si("float_diameter")[known],
            gauges.si("float_wall")[known],
            gauges.si("float_length")[known],
            gauges.texts("float_material")[known],
            temperature[known],
            (gauges.ends if ends is None else ends)[known],
            settings.safety_factor,
        )
    return out
