"""The rule range-reversed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import ranges
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.geometry.shared import action_unclear, any_mentioned, falls
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings


@rule(
    "range-reversed",
    Severity.ERROR,
    calculate=signal_workings.reversed_range,
    remedy=ranges.other_way,
    when=lambda gauges: any_mentioned(gauges, "lrv", "urv"),
    needs=("lrv", "urv"),
    assumes=("action", "known_action"),
    covers=("current-inconsistent",),
    passing={"lrv": "1000 mm", "urv": "0 mm", "action": "reverse"},
    firing={"lrv": "1000 mm", "urv": "0 mm"},
)
def range_reversed(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """URV is not above LRV.

    Finds: an upper range value not above the lower range value, where no reverse action is stated.
    Why: the signal falls as the level rises, or does not move at all: alarms and control act the wrong way.
    Mend: swap LRV and URV, or state the reverse action.
    """
    lrv, urv = gauges.si("lrv"), gauges.si("urv")
    with np.errstate(invalid="ignore"):
        wrong = (urv <= lrv) & ~((falls(gauges) | action_unclear(gauges)) & (urv < lrv))
    for record in np.flatnonzero(wrong).tolist():
        yield gauge_hit(
            gauges,
            record,
            "urv",
            f"URV of {gauges.say(record, 'urv', urv[record])} is not above"
            f" LRV of {gauges.say(record, 'lrv', lrv[record])}",
            evidence={"lrv_mm": float(lrv[record] / MM), "urv_mm": float(urv[record] / MM)},
        )
