"""Tracers that keep a chamber warm enough, and the insulation with which they do."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.taken import along, tried
from xlfuncs.audit.remedies.values import bound
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import INCH
from xlfuncs.audit.workings.tracing import insulated
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import Array, heat, reasons

INSULATIONS: Final = (0.025, 0.05, 0.1)
"""Thicknesses [m] for which an output is told where none is stated."""
IN_INCHES: Final = (1 * INCH, 2 * INCH, 4 * INCH)
"""The same where the sheet has inches."""
STEPS: Final = np.arange(0.01, 0.301, 0.01)
"""Thicknesses [m] that are tried."""
HALF_INCHES: Final = np.arange(1, 25) * 0.5 * INCH
"""The same where the sheet has inches: insulation is sold in half inches (common practice, no source)."""


_THICK: Final = "insulation_thickness"


@tried
def traced(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The temperature that tracing has to keep, and its output where the chamber's size is stated."""
    record = hit.record
    kept = float(hit.evidence["pour_or_freezing_point_degC"]) + ZERO_CELSIUS + settings.freezing_margin_k
    keeps = bound(gauges, record, "maintain_temperature", kept, "a tracer that keeps")
    kept = _as_written(gauges, record, kept, keeps)
    stated = float(gauges.low("insulation_thickness")[record])
    if np.isnan(gauges.high("chamber_diameter")[record]):
        lacks = ["the chamber's outside diameter", *(["the insulation"] if np.isnan(stated) else [])]
        tail = (
            f"its output follows from {' and '.join(lacks)}, which {'are' if lacks[1:] else 'is'} not stated."
        )
        keeps = replace(keeps, along=(("tracing", Measure("yes")),))
        return Remedy(f"Needed: {keeps.text} or more; {tail}", (keeps,))
    usual = IN_INCHES if gauges.in_inches(record, _THICK) else INSULATIONS
    thick = usual if np.isnan(stated) else (stated,)
    loss = _loss(gauges, settings, record, kept, thick)
    needed = [float(output) * settings.tracing_margin for output in loss]
    options = [bound(gauges, record, "tracer_output", output, "an output of") for output in needed]
    first = {"maintain_temperature": kept, "tracer_output": needed[0] * (1 + 1e-9)}
    if np.isnan(stated):
        first["insulation_thickness"] = thick[0]
        options = [_with(gauges, record, *pair) for pair in zip(options, thick, strict=True)]
        conducts = gauges.say(record, "insulation_conductivity", _conductivity(gauges, settings, record))
        said = (
            f" or more; the insulation is not stated, for {conducts}: {', '.join(o.text for o in options)}."
        )
    else:
        said = f" with {options[0].text} or more."
    work = insulated(gauges, settings, record, first)
    more = []
    for option, size, output in zip(options[1:], thick[1:], needed[1:], strict=True):
        changed = first | {"tracer_output": output * (1 + 1e-9), "insulation_thickness": size}
        more.append((option.text, insulated(gauges, settings, record, changed)))
    ready = (("tracing", Measure("yes")), *along(("maintain_temperature", keeps.value)))
    options = [replace(option, along=(*ready, *option.along)) for option in options]
    keeps = replace(
        keeps, along=(ready[0], *along(("tracer_output", options[0].value)), *options[0].along[2:])
    )
    return Remedy(f"Needed: {keeps.text}{said}", (keeps, *options), work, tuple(more))


def _as_written(gauges: Gauges, record: int, kept: float, option: Option) -> float:
    """The temperature as the option rounds it: the output has to do for that [K]."""
    exact, next_one = (gauges.measure(record, "maintain_temperature", kelvin) for kelvin in (kept, kept + 1))
    if option.value is None or exact is None or next_one is None:
        return kept
    per_kelvin = float(next_one.value) - float(exact.value)
    return kept + (float(option.value.value) - float(exact.value)) / per_kelvin


def _with(gauges: Gauges, record: int, option: Option, thick: float) -> Option:
    """An output for a thickness of insulation."""
    across = gauges.measure(record, "insulation_thickness", thick)
    text = f"{option.value} or more with {across} of insulation"
    return replace(option, text=text, along=along(("insulation_thickness", across)))


@tried
def tracer(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The output that is needed, or the insulation with which the present one does."""
    record = hit.record
    needed = float(hit.evidence["required_W_m"])
    options = [bound(gauges, record, "tracer_output", needed, "tracer output")]
    thick = _insulation(gauges, settings, record)
    if thick is not None:
        options.append(bound(gauges, record, "insulation_thickness", thick, "insulation"))
    first = {"tracer_output": needed} if thick is None else {"insulation_thickness": thick}
    step = "half an inch" if gauges.in_inches(record, _THICK) else "10 mm"
    steps = "" if thick is None else f" (the next of steps of {step})"
    text = f"Needed: {' or '.join(option.text for option in options)} or more{steps}."
    work = insulated(gauges, settings, record, first)
    if thick is None:
        return Remedy(text, tuple(options), work)
    other = insulated(gauges, settings, record, {"tracer_output": needed})
    return Remedy(text, tuple(options), work, ((options[0].text, other),))


def _insulation(gauges: Gauges, settings: Settings, record: int) -> float | None:
    """Thickness of insulation, to the next step up to 300 mm, with which the tracer suffices [m]."""
    warm = float(gauges.high("maintain_temperature")[record])
    output = float(gauges.low("tracer_output")[record])
    steps = HALF_INCHES if gauges.in_inches(record, _THICK) else STEPS
    loss = _loss(gauges, settings, record, warm, steps)
    present = float(gauges.low("insulation_thickness")[record])
    enough = (output >= loss * settings.tracing_margin) & (present < steps)
    return float(steps[enough][0]) if enough.any() else None


def _conductivity(gauges: Gauges, settings: Settings, record: int) -> float:
    """Conductivity of the insulation as stated, else the usual one [W/(m K)]."""
    if gauges.given("insulation_conductivity")[record]:
        return float(gauges.high("insulation_conductivity")[record])
    return settings.insulation_conductivity_w_mk


def _loss(gauges: Gauges, settings: Settings, record: int, warm: float, thick: ArrayLike) -> Array:
    """Heat loss of the chamber on the coldest day, by thickness of insulation [W/m]."""
    cold = float(gauges.low("minimum_ambient")[record])
    across = float(gauges.high("chamber_diameter")[record])
    k = _conductivity(gauges, settings, record)
    with reasons():
        return heat.heat_loss(warm, cold, across, thick, k, settings.wind_m_s, settings.emissivity)
