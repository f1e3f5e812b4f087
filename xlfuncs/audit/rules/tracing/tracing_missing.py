"""The rule tracing-missing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import tracers
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import tracing as workings
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import Array, fluids

SOLID = ("pour_point", "freezing_point", "known_freezing")
"""Any of these tells from which temperature the fluid no longer flows."""


def _solid_point(gauges: Gauges) -> tuple[Array, Mask]:
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
    thresholds=("freezing_margin_k",),
    calculate=workings.freezes,
    remedy=tracers.traced,
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
                "pour_or_freezing_point_degC": float(solid[record] - ZERO_CELSIUS),
                "minimum_ambient_degC": float(coldest[record] - ZERO_CELSIUS),
                "margin_K": settings.freezing_margin_k,
            },
        )


def _solid_field(gauges: Gauges, record: int) -> str:
    given = [name for name in ("pour_point", "freezing_point") if gauges.given(name)[record]]
    return max(given, key=lambda name: gauges.si(name)[record])
