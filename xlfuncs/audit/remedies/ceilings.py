"""Temperatures of the chamber that one cell must not exceed, by all findings that speak of that cell."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit, rules
from xlfuncs.audit.settings import Settings
from xlfuncs.data.constants import ZERO_CELSIUS

Ceiling = Callable[[Gauges, Settings, Hit], dict[str, float]]
"""Fields that a finding bounds from above, each with its bound [K]."""


def hits_of(gauges: Gauges, settings: Settings, slug: str) -> list[Hit]:
    """What a rule finds; nothing where it is ignored."""
    if slug in settings.ignore:
        return []
    return gauges.derived(
        f"hits {slug}", lambda: [one for one in rules()[slug].check(gauges, settings) if isinstance(one, Hit)]
    )


def boiling(gauges: Gauges, settings: Settings, hit: Hit) -> dict[str, float]:
    """The maintain temperature at which the fluid keeps its distance from boiling."""
    kelvin = float(hit.evidence["saturation_temperature_degC"]) + ZERO_CELSIUS
    return {hit.field: kelvin - settings.boiling_margin_k}


def limited(gauges: Gauges, settings: Settings, hit: Hit) -> dict[str, float]:
    """The temperatures of the tracer at the lowest limit."""
    limit = float(hit.evidence["limit_degC"]) + ZERO_CELSIUS
    fields = ("maintain_temperature", "sheath_temperature")
    return {field: limit for field in fields if gauges.high(field)[hit.record] > limit}


def strictest(
    gauges: Gauges, settings: Settings, hit: Hit, field: str, own: float, others: dict[str, Ceiling]
) -> tuple[float, str]:
    """The bound that satisfies every finding of a field, and what else it satisfies as a clause."""
    low, why = own, ""
    for slug, ceiling in others.items():
        for other in hits_of(gauges, settings, slug):
            if other.record != hit.record:
                continue
            bound = ceiling(gauges, settings, other).get(field)
            if bound is not None and bound < low:
                low, why = bound, slug
    if not why:
        return own, ""
    return (
        low,
        f", which {why} asks for as well ({gauges.say(hit.record, field, own)} for this finding alone)",
    )


TRACER: Final[dict[str, Ceiling]] = {"tracing-boils-fluid": boiling, "tracing-too-hot": limited}
"""Rules that bound the temperature that a tracer keeps."""
