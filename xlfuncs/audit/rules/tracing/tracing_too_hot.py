"""The rule tracing-too-hot."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.rules.tracing.shared import traced
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import tracing as workings
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import ratings

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
    remedy=cures.cooler_tracer,
    when=traced,
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
            evidence={"limit_degC": float(lowest[record] - ZERO_CELSIUS), "limited_by": limit},
        )
