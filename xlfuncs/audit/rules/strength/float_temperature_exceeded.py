"""The rule float-temperature-exceeded."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies.floats import another_float
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import ratings


@rule(
    "float-temperature-exceeded",
    Severity.ERROR,
    calculate=limits.temperature,
    remedy=another_float,
    needs=(
        ("float_max_temperature", "magnet_max_temperature", "magnet_material"),
        "design_temperature",
        "design_temperature.high",
    ),
    assumes=("float_max_temperature", "magnet_max_temperature"),
    passing={"float_max_temperature": "120 degC"},
    firing=(
        {"float_max_temperature": "100 degC"},
        {"magnet_max_temperature": "100 degC"},
        {"magnet_max_temperature": None, "magnet_material": "NdFeB"},
    ),
)
def float_temperature_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float or its magnet is too hot.

    Finds: a gauge whose design temperature is above the maximum temperature of its float or its magnet.
        Where only the magnet's material is stated, the lowest limit of its grades is taken.
    Why: a magnet that was too hot stays weak: the indicator falls off the float, for good.
    Mend: choose a float and a magnet for the design temperature; the maker's figure for the grade decides.
    """
    design = gauges.high("design_temperature")
    limits = {name: gauges.low(name) for name in ("float_max_temperature", "magnet_max_temperature")}
    by_material = gauges.each("magnet_material", ratings.magnet_limit).astype(np.float64)
    unstated = np.isnan(limits["magnet_max_temperature"])
    limits["magnet_material"] = np.where(unstated, by_material, np.nan)
    nameless = gauges.mentioned("magnet_material") & unstated & np.isnan(by_material)
    yield Undecided(nameless, label("known_magnet_material"), "magnet_material")
    names = {
        "float_max_temperature": "the float",
        "magnet_max_temperature": "the magnet",
        "magnet_material": "the magnet material",
    }
    lowest = np.fmin.reduce(np.stack(list(limits.values())))
    with np.errstate(invalid="ignore"):
        over = design > lowest + 1e-6
    for record in np.flatnonzero(over).tolist():
        field = min((f for f in limits if not np.isnan(limits[f][record])), key=lambda f: limits[f][record])
        yield gauge_hit(
            gauges,
            record,
            "design_temperature",
            f"{names[field]} withstands {gauges.say(record, 'design_temperature', lowest[record])},"
            f" the design temperature is {gauges.say(record, 'design_temperature', design[record])}",
            found=gauges.measure(record, "design_temperature", float(design[record])),
            expected=gauges.measure(record, "design_temperature", float(lowest[record])),
            evidence={
                "limit_degC": float(lowest[record] - ZERO_CELSIUS),
                "design_temperature_degC": float(design[record] - ZERO_CELSIUS),
            },
        )
