"""The rule fluid-boils-in-chamber."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.operating import one_fluid, statable
from xlfuncs.audit.registry import Outcome, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.rules.float_fluid.shared import boiling_points
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import fluids as states


@rule(
    "fluid-boils-in-chamber",
    Severity.WARNING,
    thresholds=("boiling_margin_k",),
    calculate=states.boils,
    remedy=cures.off_boiling,
    late=True,
    needs=(
        "known_fluid",
        "operating_temperature",
        "operating_temperature.high",
        "operating_pressure",
        "operating_pressure.low",
    ),
    when=one_fluid,
    passing={"operating_temperature": "60 degC"},
    firing={
        "operating_temperature": "110 degC",
        "operating_pressure": "0.5 barg",
        "fluid_density": "951 kg/m3",
        "float_mass": "338.6 g",
        "float_design_density": "951 kg/m3",
    },
)
def fluid_boils_in_chamber(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The liquid is at or near boiling.

    Finds: a recognised pure fluid whose operating temperature is within 5 K (common practice, no source)
        of saturation at operating pressure, or above it.
    Why: the chamber gains or loses heat, the liquid in it boils or flashes, bubbles lift and shake the
        float and lower the density: the reading is unsteady and wrong.
    Mend: confirm pressure and temperature; insulate the chamber, keep its connections short and wide, and
        choose the float for the boiling liquid.
    """
    where = statable(gauges) & gauges.given("operating_temperature") & gauges.given("operating_pressure")
    boiling, undecided = boiling_points(gauges, where)
    yield from undecided
    kelvin = gauges.high("operating_temperature")
    with np.errstate(invalid="ignore"):
        near = kelvin > boiling - settings.boiling_margin_k
    field = "operating_temperature"
    for record in np.flatnonzero(near).tolist():
        margin = float(boiling[record] - kelvin[record])
        state = f"only {margin:.1f} K below" if margin > 0 else f"{-margin:.1f} K above"
        state = "at" if abs(margin) < 0.05 else state
        yield gauge_hit(
            gauges,
            record,
            "operating_temperature",
            f"{gauges.texts('fluid')[record]} at {gauges.say(record, field, kelvin[record])} is {state}"
            f" saturation ({gauges.say(record, field, boiling[record])} at operating pressure)",
            expected=gauges.measure(record, field, float(boiling[record]) - settings.boiling_margin_k),
            evidence={
                "saturation_temperature_degC": float(boiling[record] - 273.15),
                "margin_K": margin,
            },
        )
