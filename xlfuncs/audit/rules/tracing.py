"""Rules about heat tracing."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from xlfuncs.audit.gauges import ATMOSPHERE, Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import values
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import fluids as states
from xlfuncs.audit.workings import tracing as workings
from xlfuncs.gauge import Floats, fluids, heat, ratings, reasons

CELSIUS = 273.15
SOLID = ("pour_point", "freezing_point", "known_freezing")
"""Any of these tells from which temperature the fluid no longer flows."""


def _traced(gauges: Gauges) -> Mask:
    return gauges.traced


def _solid_point(gauges: Gauges) -> tuple[Floats, Mask]:
    """Temperature [K] below which the fluid does not flow, and where it is a reference value."""
    stated = np.fmax(gauges.high("pour_point"), gauges.high("freezing_point"))
    ask = np.isnan(stated) & gauges.known_fluid
    reference = np.full(gauges.n, np.nan)
    if ask.any():
        reference[ask] = fluids.freezing_temperature(gauges.texts("fluid")[ask])
    return np.where(ask, reference, stated), ask


@rule(
    "tracing-missing",
    Severity.ERROR,
    calculate=workings.freezes,
    needs=(SOLID, "minimum_ambient", "minimum_ambient.low", "tracing", "known_tracing"),
    assumes=("pour_point", "freezing_point"),
    passing={
        "tracing": "none",
        "minimum_ambient": "12 degC",
        "tracer_output": None,
        "maintain_temperature": None,
    },
    firing={"tracing": "none", "tracer_output": None, "maintain_temperature": None},
)
def tracing_missing(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The fluid can freeze in the chamber.

    Finds: a gauge without tracing whose fluid's pour or freezing point plus 10 K (common practice, no
        source) is above the minimum ambient temperature. Where neither is stated, the freezing point of
        a recognised pure fluid is taken.
    Why: the liquid in the chamber stands still and takes the temperature of the air: the float freezes in
        at the last level, and the chamber can burst.
    Mend: trace and insulate the chamber; local codes and the tracer maker's manual decide how.
    """
    solid, is_reference = _solid_point(gauges)
    coldest = gauges.low("minimum_ambient")
    with np.errstate(invalid="ignore"):
        at_risk = gauges.untraced & (solid + settings.freezing_margin_k > coldest)
    for record in np.flatnonzero(at_risk).tolist():
        field = "minimum_ambient" if is_reference[record] else _solid_field(gauges, record)
        origin = f" (reference value of {gauges.texts('fluid')[record]})" if is_reference[record] else ""
        yield gauge_hit(
            gauges,
            record,
            field,
            f"the fluid stops flowing at {gauges.say(record, 'minimum_ambient', solid[record])}{origin}, the"
            f" ambient goes down to {gauges.say(record, 'minimum_ambient', coldest[record])},"
            " and there is no tracing",
            evidence={
                "pour_or_freezing_point_degC": float(solid[record] - CELSIUS),
                "minimum_ambient_degC": float(coldest[record] - CELSIUS),
                "margin_K": settings.freezing_margin_k,
            },
        )


def _solid_field(gauges: Gauges, record: int) -> str:
    given = [name for name in ("pour_point", "freezing_point") if gauges.given(name)[record]]
    return max(given, key=lambda name: gauges.si(name)[record])


@rule(
    "tracing-underpowered",
    Severity.ERROR,
    calculate=workings.heat_loss,
    remedy=values.tracer,
    when=_traced,
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
    conductivity = gauges.or_default("insulation_conductivity", settings.insulation_conductivity_w_mk)
    warm, cold = gauges.high("maintain_temperature"), gauges.low("minimum_ambient")
    outside, thickness = gauges.si("chamber_diameter"), gauges.si("insulation_thickness")
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


@rule(
    "tracing-boils-fluid",
    Severity.ERROR,
    calculate=states.kept_too_hot,
    late=True,
    when=_traced,
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
    boiling = np.full(gauges.n, np.nan)
    if where.any():
        pressure = gauges.low("operating_pressure")[where] + ATMOSPHERE
        with reasons() as why:
            boiling[where] = fluids.saturation_temperature(gauges.texts("fluid")[where], pressure)
        yield from unexplained(where, boiling[where], why, "pressure at which the fluid can boil")
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
            evidence={"saturation_temperature_degC": float(boiling[record] - CELSIUS)},
        )


LIMITS = {
    "float_max_temperature": "the float's limit",
    "magnet_max_temperature": "the magnet's limit",
    "transmitter_max_temperature": "the transmitter's limit",
    "temperature_class": "the limit of the temperature class",
}


@rule(
    "tracing-too-hot",
    Severity.ERROR,
    calculate=workings.too_hot,
    when=_traced,
    needs=(("maintain_temperature", "sheath_temperature"), tuple(LIMITS)),
    assumes=("maintain_temperature", "sheath_temperature", *LIMITS, "known_temperature_class"),
    passing={"temperature_class": "T4"},
    firing=({"temperature_class": "T6"}, {"transmitter_max_temperature": "70 degC"}),
)
def tracing_too_hot(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The tracer is hotter than something beside it may become.

    Finds: a maintain or sheath temperature above the limit of the float, the magnet or the transmitter, or
        above the temperature class.
    Why: magnets lose their strength, electronics fail; above the temperature class the tracer can ignite an
        explosive atmosphere.
    Mend: choose a tracer with a lower sheath temperature or control it. In hazardous areas the local code,
        the certificates and licensed practice decide.
    """
    hottest = np.fmax(gauges.high("maintain_temperature"), gauges.high("sheath_temperature"))
    limits = {name: gauges.low(name) for name in LIMITS if name != "temperature_class"}
    by_class = gauges.each("temperature_class", ratings.temperature_class_limit)
    limits["temperature_class"] = by_class.astype(np.float64)
    lowest = np.fmin.reduce(np.stack(list(limits.values())))
    with np.errstate(invalid="ignore"):
        over = gauges.traced & (hottest > lowest + 1e-6)
    # the class bounds the surface of the tracer, which is hotter than what it keeps warm
    unknown = gauges.traced & ~np.isnan(limits["temperature_class"]) & ~gauges.given("sheath_temperature")
    yield Undecided(unknown & ~over, label("sheath_temperature"))
    for record in np.flatnonzero(over).tolist():
        limit = min((n for n in limits if not np.isnan(limits[n][record])), key=lambda n: limits[n][record])
        sheath, kept = gauges.high("sheath_temperature")[record], gauges.high("maintain_temperature")[record]
        field = "sheath_temperature" if np.isnan(kept) or sheath >= kept else "maintain_temperature"
        words = "sheath" if field == "sheath_temperature" else "maintain"
        yield gauge_hit(
            gauges,
            record,
            field,
            f"{words} temperature of {gauges.say(record, field, hottest[record])} is above {LIMITS[limit]},"
            f" {gauges.say(record, field, lowest[record])}",
            expected=gauges.measure(record, field, float(lowest[record])),
            evidence={"limit_degC": float(lowest[record] - CELSIUS), "limited_by": limit},
        )


RULES = (tracing_missing, tracing_underpowered, tracing_boils_fluid, tracing_too_hot)
