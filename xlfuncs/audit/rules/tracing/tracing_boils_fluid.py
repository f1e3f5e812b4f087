"""The rule tracing-boils-fluid."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.rules.float_fluid.shared import boiling_points
from xlfuncs.audit.rules.tracing.shared import traced
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import fluids as states
from xlfuncs.data.constants import ZERO_CELSIUS


@rule(
    "tracing-boils-fluid",
    Severity.ERROR,
    calculate=states.kept_too_hot,
    remedy=cures.kept_below_boiling,
    late=True,
    when=traced,
    needs=("maintain_temperature", "known_fluid", "operating_pressure", "operating_pressure.low"),
    passing={"maintain_temperature": "30 degC"},
    firing={"maintain_temperature": "115 degC", "operating_pressure": "0.4 barg", "tracer_output": "90 W/m"},
)
def tracing_boils_fluid(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The tracer makes the fluid boil.

    Finds: a maintain temperature at or above the saturation temperature of a recognised pure fluid at
        operating pressure.
    Why: the liquid in the chamber boils: bubbles lift and shake the float, and the level it shows is wrong.
    Mend: lower the maintain temperature, or control the tracer by the temperature of the chamber.
    """
    where = gauges.traced & gauges.known_fluid & gauges.given("operating_pressure")
    boiling, undecided = boiling_points(gauges, where)
    yield from undecided
    kept = gauges.high("maintain_temperature")
    with np.errstate(invalid="ignore"):
        boils = kept >= boiling
    for record in np.flatnonzero(boils).tolist():
        say = partial(gauges.say, record, "maintain_temperature")
        yield gauge_hit(
            gauges,
            record,
            "maintain_temperature",
            f"{gauges.texts('fluid')[record]} boils at {say(boiling[record])} at operating pressure,"
            f" the tracer keeps {say(kept[record])}",
            expected=gauges.measure(record, "maintain_temperature", float(boiling[record])),
            evidence={"saturation_temperature_degC": float(boiling[record] - ZERO_CELSIUS)},
        )
