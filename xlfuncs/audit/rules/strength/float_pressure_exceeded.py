"""The rule float-pressure-exceeded."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.remedies.floats import another_float
from xlfuncs.audit.rules.strength.shared import pressure_below
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits


@rule(
    "float-pressure-exceeded",
    Severity.ERROR,
    calculate=limits.pressure,
    remedy=another_float,
    needs=("float_max_pressure", "design_pressure", "design_pressure.high"),
    covers=("float-collapses", "float-test-pressure-exceeded"),
    passing={"float_max_pressure": "10 barg", "test_pressure": None},
    firing={"float_max_pressure": "8 barg"},
)
def float_pressure_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float's maximum pressure is below the design pressure.

    Finds: a gauge whose design pressure is above the maximum pressure stated for its float.
    Why: the float can collapse; it then sinks, and the gauge shows empty while the vessel fills.
    Mend: choose a float for the design pressure; ask its maker for a confirmed rating.
    """
    yield from pressure_below(gauges, "design_pressure", "the design pressure")
