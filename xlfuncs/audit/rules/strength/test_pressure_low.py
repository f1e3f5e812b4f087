"""The rule test-pressure-low."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits


@rule(
    "test-pressure-low",
    Severity.WARNING,
    thresholds=("test_pressure_factor",),
    calculate=limits.test_pressure,
    remedy=cures.higher_test,
    when=lambda gauges: gauges.mentioned("test_pressure"),
    needs=("design_pressure", "design_pressure.high"),
    assumes=("test_pressure", "test_pressure.low"),
    passing={"test_pressure": "10 barg"},
    firing={"test_pressure": "9 barg"},
)
def test_pressure_low(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The test pressure is too low for the design pressure.

    Finds: a hydrostatic test pressure below the design pressure of the same gauge, or below the multiple of
        it that the code asks for, where the settings state one: `test_pressure_factor`, else 1 (common
        practice, no source). From memory: 1.3 by ASME BPVC VIII-1, UG-99, 1.43 by EN 13445-5, 1.5 by ASME
        B31.3, each where the cold metal is no stronger than the hot one.
    Why: a test below what the code asks for proves nothing; one of the two numbers is wrong, or their columns
        were swapped.
    Mend: correct the wrong number; the code of the plant decides by how much the test is above design.
    """
    factor = settings.test_pressure_factor
    times = f"{factor:g} times " if factor != 1 else ""
    test, design = gauges.low("test_pressure"), gauges.high("design_pressure")
    with np.errstate(invalid="ignore"):
        low = test < design * factor * (1 - SAME_PRESSURE)
    for record in np.flatnonzero(low).tolist():
        yield gauge_hit(
            gauges,
            record,
            "test_pressure",
            f"the test pressure of {gauges.say(record, 'test_pressure', test[record])} is below {times}the"
            f" design pressure of {gauges.say(record, 'test_pressure', design[record])}",
            found=gauges.measure(record, "test_pressure", float(test[record])),
            expected=gauges.measure(record, "test_pressure", float(design[record]) * factor),
            evidence={
                "test_pressure_barg": float(test[record] / 1e5),
                "design_pressure_barg": float(design[record] / 1e5),
            },
        )
