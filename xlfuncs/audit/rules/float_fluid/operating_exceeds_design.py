"""The rule operating-exceeds-design."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    SAME_PRESSURE,
    Gauges,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.rules.strength.shared import temperature_limits
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS


@rule(
    "operating-exceeds-design",
    Severity.ERROR,
    calculate=limits.conditions,
    remedy=cures.raised_design,
    needs=("operating_pressure", "design_pressure", "operating_temperature", "design_temperature"),
    passing=(
        {"operating_pressure": "10 barg", "operating_temperature": "60 degC"},
        {"fluid": "Blend 7", "operating_temperature": "-5 degC", "design_temperature": "-20 degC"},
    ),
    firing=({"operating_pressure": "11 barg"}, {"design_temperature": "55 degC"}),
)
def operating_exceeds_design(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Operating conditions above design conditions.

    Finds: an operating pressure or temperature above the design value of the same gauge. A design temperature
        below 0 degC counts as the lowest one of a cold service and is not compared. Where the float does not
        withstand the operating value either, that is said.
    Why: float, flanges and chamber are chosen for the design conditions; one of the two numbers is wrong, or
        the gauge is not strong enough.
    Mend: correct the wrong number, or raise the design conditions and check the gauge against them again.
    """
    bears = {
        "pressure": gauges.low("float_max_pressure"),
        "temperature": np.fmin.reduce(np.stack(list(temperature_limits(gauges).values()))),
    }
    for name, rounding in (("pressure", SAME_PRESSURE), ("temperature", 1e-6)):
        field, design = f"operating_{name}", f"design_{name}"
        running, limit = gauges.high(field), gauges.high(design)
        with np.errstate(invalid="ignore"):
            over = running > limit + np.abs(limit) * rounding
            if name == "temperature":
                over &= limit >= ZERO_CELSIUS
        for record in np.flatnonzero(over).tolist():
            yield gauge_hit(
                gauges,
                record,
                field,
                f"operating {name} of {gauges.say(record, field, running[record])} is above"
                f" the design {name} of {gauges.say(record, field, limit[record])}"
                f"{_too_much(gauges, record, field, float(bears[name][record]))}",
                found=gauges.measure(record, field, float(running[record])),
            )


def _too_much(gauges: Gauges, record: int, field: str, limit: float) -> str:
    """That the float does not withstand the operating value, as the rest of a sentence."""
    if not gauges.high(field)[record] > limit + abs(limit) * SAME_PRESSURE:
        return ""
    return f", and above the {gauges.say(record, field, limit)} that float or magnet withstand"
