"""The rule float-test-pressure-exceeded."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.remedies import floats as cures
from xlfuncs.audit.rules.strength.shared import pressure_below
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits


@rule(
    "float-test-pressure-exceeded",
    Severity.WARNING,
    calculate=limits.pressure,
    remedy=cures.float_for_test,
    needs=("float_max_pressure", "test_pressure", "test_pressure.high"),
    firing={"float_max_pressure": "12 barg"},
)
def float_test_pressure_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The hydrostatic test would crush the float.

    Finds: a gauge whose hydrostatic test pressure is above the maximum pressure stated for its float.
    Why: a float left in the chamber during the test collapses, and nobody sees it from outside.
    Mend: take the float out before the hydrostatic test, and write so into the test procedure.
    """
    yield from pressure_below(gauges, "test_pressure", "the hydrostatic test pressure")
