"""The rule tracing-underpowered."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import tracers
from xlfuncs.audit.rules.tracing.shared import traced
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import tracing as workings
from xlfuncs.gauge import heat, reasons


@rule(
    "tracing-underpowered",
    Severity.ERROR,
    thresholds=("tracing_margin", "wind_m_s", "emissivity", "insulation_conductivity_w_mk"),
    calculate=workings.heat_loss,
    remedy=tracers.tracer,
    when=traced,
    needs=(
        "tracer_output",
        "maintain_temperature",
        "minimum_ambient",
        "minimum_ambient.low",
        "chamber_diameter",
        "insulation_thickness",
    ),
    assumes=("insulation_conductivity",),
    passing={"tracer_output": "40 W/m"},
    firing={"tracer_output": "12 W/m"},
)
def tracing_underpowered(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The tracer is too weak.

    Finds: an installed tracer output below the computed heat loss times 1.2 (common practice, no source),
        at maintain temperature and minimum ambient, in the wind of the settings. Heat lost through flanges
        and the indicator comes on top and is not counted.
    Why: on the coldest day the chamber does not stay warm, and the gauge fails when it is needed.
    Mend: install a stronger tracer or thicker insulation; the tracer maker's manual decides.
    """
    stated, usual = gauges.mentioned("insulation_conductivity"), settings.insulation_conductivity_w_mk
    conductivity = np.where(stated, gauges.high("insulation_conductivity"), usual)
    warm, cold = gauges.high("maintain_temperature"), gauges.low("minimum_ambient")
    outside, thickness = gauges.high("chamber_diameter"), gauges.low("insulation_thickness")
    output = gauges.low("tracer_output")
    with np.errstate(invalid="ignore"):
        known = gauges.traced & (warm > cold) & ~np.isnan(outside + thickness + output + conductivity)
    loss = np.full(gauges.n, np.nan)
    if known.any():
        with reasons() as why:
            loss[known] = heat.heat_loss(
                warm[known],
                cold[known],
                outside[known],
                thickness[known],
                conductivity[known],
                settings.wind_m_s,
                settings.emissivity,
            )
        yield from unexplained(known, loss[known], why, "data for which a heat loss can be computed")
    with np.errstate(invalid="ignore"):
        weak = output < loss * settings.tracing_margin
    for record in np.flatnonzero(weak).tolist():
        needed = float(loss[record] * settings.tracing_margin)
        say = partial(gauges.say, record, "tracer_output")
        yield gauge_hit(
            gauges,
            record,
            "tracer_output",
            f"the tracer gives {say(output[record])}; the chamber loses {say(loss[record])}, so"
            f" {say(needed)} is needed",
            expected=gauges.measure(record, "tracer_output", needed),
            evidence={
                "heat_loss_W_m": float(loss[record]),
                "required_W_m": needed,
                "wind_m_s": settings.wind_m_s,
                "conductivity_W_mK": float(conductivity[record]),
            },
        )
