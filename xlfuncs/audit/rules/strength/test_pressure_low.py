"""The rule test-pressure-low."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits


@rule(
    "test-pressure-low",
    Severity.WARNING,
    calculate=limits.test_pressure,
    when=lambda gauges: gauges.mentioned("test_pressure"),
    needs=("design_pressure", "design_pressure.high"),
    assumes=("test_pressure", "test_pressure.low"),
    passing={"test_pressure": "10 barg"},
    firing={"test_pressure": "9 barg"},
)
def test_pressure_low(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The test pressure is below the design pressure.

    Finds: a hydrostatic test pressure below the design pressure of the same gauge. The factor between them is
        the code's, and is not checked.
    Why: a test below the design pressure proves nothing; one of the two numbers is wrong, or their columns
        were swapped.
    Mend: correct the wrong number; the code of the plant decides by how much the test is above design.
    """
    test, design = gauges.low("test_pressure"), gauges.high("design_pressure")
    with np.errstate(invalid="ignore"):
        low = test < design * (1 - SAME_PRESSURE)
    for record in np.flatnonzero(low).tolist():
        yield gauge_hit(
            gauges,
            record,
            "test_pressure",
            f"the test pressure of {gauges.say(record, 'test_pressure', test[record])} is below the design"
            f" pressure of {gauges.say(record, 'test_pressure', design[record])}",
            found=gauges.measure(record, "test_pressure", float(test[record])),
            expected=gauges.measure(record, "test_pressure", float(design[record])),
            evidence={
                "test_pressure_barg": float(test[record] / 1e5),
                "design_pressure_barg": float(design[record] / 1e5),
            },
        )
