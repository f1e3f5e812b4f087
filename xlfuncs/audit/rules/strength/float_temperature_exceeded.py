"""The rule float-temperature-exceeded."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies.floats import another_float
from xlfuncs.audit.rules.strength.shared import temperature_limits
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS


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

    Finds: a gauge whose design temperature is above the maximum temperature of its float or its magnet; where
        none is stated, or that of a cold service below 0 degC, its operating temperature.
        Where only the magnet's material is stated, the lowest limit of its grades is taken.
    Why: a magnet that was too hot stays weak: the indicator falls off the float, for good.
    Mend: choose a float and a magnet for the design temperature; the maker's figure for the grade decides.
    """
    design, running = gauges.high("design_temperature"), gauges.high("operating_temperature")
    cold = design < ZERO_CELSIUS
    judged = np.where(np.isnan(design) | cold, running, design)
    limits = temperature_limits(gauges)
    unstated = np.isnan(limits["magnet_max_temperature"])
    nameless = gauges.mentioned("magnet_material") & unstated & np.isnan(limits["magnet_material"])
    yield Undecided(nameless, label("known_magnet_material"), "magnet_material")
    names = {
        "float_max_temperature": "the float",
        "magnet_max_temperature": "the magnet",
        "magnet_material": "the magnet material",
    }
    lowest = np.fmin.reduce(np.stack(list(limits.values())))
    with np.errstate(invalid="ignore"):
        over = judged > lowest + 1e-6
    for record in np.flatnonzero(over).tolist():
        which = "operating" if np.isnan(design[record]) or cold[record] else "design"
        place, kelvin = f"{which}_temperature", float(judged[record])
        field = min((f for f in limits if not np.isnan(limits[f][record])), key=lambda f: limits[f][record])
        yield gauge_hit(
            gauges,
            record,
            place,
            f"{names[field]} withstands {gauges.say(record, place, lowest[record])},"
            f" the {which} temperature is {gauges.say(record, place, kelvin)}",
            found=gauges.measure(record, place, kelvin),
            evidence={
                "limit_degC": float(lowest[record] - ZERO_CELSIUS),
                f"{place}_degC": kelvin - ZERO_CELSIUS,
            },
        )
