"""The rule design-temperature-low."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import FLANGE_MATERIALS, Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.rules.strength.shared import lowest_temperature
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS


@rule(
    "design-temperature-low",
    Severity.WARNING,
    calculate=limits.cold,
    when=lambda gauges: gauges.mentioned("design_temperature_min"),
    needs=(FLANGE_MATERIALS,),
    assumes=("design_temperature_min", "design_temperature_min.low"),
    passing={"design_temperature_min": "-196 degC"},
    firing={"design_temperature_min": "-200 degC"},
)
def design_temperature_low(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The material is not rated for the lowest design temperature.

    Finds: a lowest design temperature below that at which the standard of the flanges begins to rate their
        material group: -29 degC for most groups of ASME B16.5, -198 degC for the usual austenitic ones,
        -10 degC of EN 1092-1 and JIS B 2220. The group is that of the flanges, else of the chamber. Float and
        magnet are not checked: their lowest temperatures are seldom stated.
    Why: ferritic steel becomes brittle in the cold and breaks without a warning.
    Mend: take an austenitic or an impact-tested material, or correct the temperature; the code decides.
    """
    coldest = gauges.low("design_temperature_min")
    limit = np.array(
        [lowest_temperature(group) for group in gauges.material_groups.tolist()], dtype=np.float64
    )
    field = "design_temperature_min"
    unread = gauges.given(field) & ~gauges.given("known_material_group")
    yield Undecided(unread, label("known_material_group"))
    with np.errstate(invalid="ignore"):
        cold = coldest < limit - 1e-6
    for record in np.flatnonzero(cold).tolist():
        group = gauges.material_groups[record]
        yield gauge_hit(
            gauges,
            record,
            field,
            f"group {group} is rated from {gauges.say(record, field, limit[record])} on, the lowest design"
            f" temperature is {gauges.say(record, field, coldest[record])}",
            found=gauges.measure(record, field, float(coldest[record])),
            expected=gauges.measure(record, field, float(limit[record])),
            evidence={
                "design_temperature_min_degC": float(coldest[record] - ZERO_CELSIUS),
                "lowest_rated_degC": float(limit[record] - ZERO_CELSIUS),
                "material_group": str(group),
            },
        )
