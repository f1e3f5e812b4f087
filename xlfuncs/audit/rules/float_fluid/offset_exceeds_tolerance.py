"""The rule offset-exceeds-tolerance."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies.floats import right_float
from xlfuncs.audit.rules.float_fluid.shared import (
    GEOMETRY,
    density_field,
    left_open,
    mean_densities,
    nearest_shape,
    offset_cases,
    shape_note,
    shapes_of,
    verdict,
    worst_offset,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import floats


@rule(
    "offset-exceeds-tolerance",
    Severity.ERROR,
    thresholds=("offset_tolerance_mm",),
    calculate=balance.offset,
    remedy=right_float,
    needs=(*GEOMETRY, "known_ends", "magnet_height", "any_density", "any_upper"),
    covers=("design-density-mismatch", "worst-reading-exceeds-tolerance"),
    passing={"fluid_density": "950 - 1010 kg/m3", "fluid": "Blend 7"},
    firing={"fluid_density": "880 kg/m3", "fluid": "Blend 7"},
)
def offset_exceeds_tolerance(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The gauge reads high or low by more than the tolerance.

    Finds: a reading offset, computed by the float balance at every stated operating density with the
        upper fluid's buoyancy included, beyond 10 mm (common practice, no source). The worst is given. Where
        the shape of the float's ends or the vapour's density is not stated, it is found if every shape, and
        no vapour as well as a heavy one at the gauge's pressure, give an offset beyond.
    Why: the indicator, the switches and the transmitter all follow the float: they act at another level
        than the real one, at every level and in silence.
    Mend: choose a float whose density window holds the operating densities, or have the scale set for
        this density and say so on the gauge.
    """
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    shapes = shapes_of(gauges)
    cases, why = offset_cases(gauges)
    # a stated range of the upper fluid counts whole; the vapour of a gauge that states none is open
    stated, densest = gauges.mentioned("upper_density"), gauges.uppers[1]
    vapour = [
        np.where(stated, case[0], worst_offset(gauges, ends, (densest,))[0])
        for case, ends in zip(cases, shapes, strict=True)
    ]
    known = ~np.isnan(mean_densities(gauges) + plane + gauges.densities[0] + gauges.upper)
    offsets = np.stack([case[0] for case in cases])
    every = np.concatenate((offsets, vapour)) * 1e3
    with np.errstate(invalid="ignore"):  # a float that does not float there reads neither right
        high, low = ~(every <= settings.offset_tolerance_mm), ~(every >= -settings.offset_tolerance_mm)
    possible = np.tile(known, (2, 1))
    wrong = verdict(high, possible)[0] | verdict(low, possible)[0]
    nowhere = np.logical_and.reduce(np.isnan(offsets))
    asked = np.asarray(np.logical_or.reduce(known) & nowhere)
    yield from unexplained(asked, offsets[0], why, "a float that floats there")
    yield from left_open(gauges, np.logical_or.reduce((high | low) & possible) & ~wrong & ~nowhere)
    nearest = nearest_shape(cases)
    for record in np.flatnonzero(wrong & ~nowhere).tolist():
        at = int(nearest[record])
        worst, rho, upper = (float(values[record]) for values in cases[at])
        name = density_field(gauges, record, lowest=rho == gauges.densities[0][record])
        evidence: dict[str, float | str] = {
            "reading_offset_mm": worst * 1e3,
            "density_kg_m3": rho,
            "upper_density_kg_m3": upper,
        }
        at_least, window, best = "at least ", "", np.nan
        if gauges.given("float_ends")[record]:
            one = (mass[record], diameter[record], length[record], plane[record])
            ends = str(gauges.ends[record])
            from_, to = floats.density_window(*one, settings.offset_tolerance_mm / 1e3, upper, ends)
            best = float(floats.implied_density(*one, 0.0, upper, ends))
            at_least = ""
            if np.isfinite(from_) and np.isfinite(to):
                evidence |= {"window_low_kg_m3": float(from_), "window_high_kg_m3": float(to)}
                permitted = settings.offset_tolerance_mm
                tolerance = inches_beside(gauges, record, f"{permitted:g} mm", permitted / 1e3)
                span = f"{gauges.say(record, name, float(from_))} to {gauges.say(record, name, float(to))}"
                true = gauges.say(record, name, best)
                window = f"; cold, this float reads within {tolerance} from {span} and true at {true}"
        far = inches_beside(gauges, record, f"{abs(worst) * 1e3:.1f} mm", abs(worst))
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the gauge reads {'high' if worst > 0 else 'low'} by {at_least}{far}"
            f" at {gauges.say(record, name, rho)}{shape_note(gauges, record)}{window}",
            found=gauges.measure(record, name, rho),
            expected=gauges.measure(record, name, best) if np.isfinite(best) else None,
            evidence=evidence,
            case={"ends": str(shapes[at][record]), "lower": rho, "upper": upper},
        )
