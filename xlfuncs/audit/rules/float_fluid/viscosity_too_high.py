"""The rule viscosity-too-high."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
    Mask,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import following as cures
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import fluids as states


def _lag_known(gauges: Gauges) -> Mask:
    """Where float and bore are known, so that the lag itself is computed."""
    mass, diameter, length, _ = gauges.float_shape
    return ~np.isnan(mass + diameter + length + gauges.si("chamber_bore"))


@rule(
    "viscosity-too-high",
    Severity.WARNING,
    thresholds=("viscosity_limit_mpas",),
    calculate=states.viscosity,
    remedy=cures.thin_enough,
    when=lambda gauges: ~_lag_known(gauges),
    needs=("viscosity", "viscosity.high", "tracing", "known_tracing"),
    passing={"chamber_bore": None, "viscosity": "150 mPa.s"},
    firing={
        "chamber_bore": None,
        "viscosity": "350 mPa.s",
        "fluid": "Blend 7",
        "tracing": "none",
        "minimum_ambient": "12 degC",
    },
)
def viscosity_too_high(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The fluid is viscous and the chamber is not traced.

    Finds: a gauge whose float or chamber bore is unknown, so that its lag cannot be computed, with an
        operating viscosity above 200 mPa.s (common practice, no source) and no heat tracing.
    Why: the float may move slowly or not at all.
    Mend: trace the chamber, or get float and bore so that the lag itself can be computed.
    """
    viscosity = gauges.high("viscosity")
    with np.errstate(invalid="ignore"):
        thick = ~_lag_known(gauges) & gauges.untraced & (viscosity * 1e3 > settings.viscosity_limit_mpas)
    for record in np.flatnonzero(thick).tolist():
        yield gauge_hit(
            gauges,
            record,
            "viscosity",
            f"viscosity of {viscosity[record] * 1e3:.0f} mPa.s, above {settings.viscosity_limit_mpas:g},"
            " and no tracing",
            evidence={"viscosity_mPas": float(viscosity[record] * 1e3)},
        )
