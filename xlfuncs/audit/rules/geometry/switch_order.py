"""The rule switch-order."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import setpoints
from xlfuncs.audit.remedies.values import MM, SWITCHES
from xlfuncs.audit.rules.geometry.shared import letters, neighbours
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings


@rule(
    "switch-order",
    Severity.ERROR,
    calculate=signal_workings.switch_order,
    remedy=setpoints.in_order,
    assumes=SWITCHES,
    covers=("switch-spacing-small",),
    passing={"switch_lsl": "150 mm", "switch_lsh": "850 mm"},
    firing={"switch_lsl": "900 mm", "switch_lsh": "850 mm"},
)
def switch_order(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Set points in the wrong order.

    Finds: set points that do not rise in the order LSLL, LSL, LSH, LSHH. The cell is that of the one
        in the wrong half of the range, or without which the others rise (common practice, no source).
    Why: a trip acts before its alarm, or an alarm never comes.
    Mend: correct the set points, or the switch that each belongs to.
    """
    for record, lower, upper in neighbours(gauges, lambda gap: gap <= 0):
        odd = setpoints.odd_one(gauges, record, lower, upper)
        below, above = float(gauges.si(lower)[record]), float(gauges.si(upper)[record])
        yield gauge_hit(
            gauges,
            record,
            odd or upper,
            f"{letters(upper)} at {gauges.say(record, upper, above)} is not above"
            f" {letters(lower)} at {gauges.say(record, lower, below)}",
            evidence={f"{lower}_mm": below / MM, f"{upper}_mm": above / MM},
            case={"below": lower, "above": upper, "odd": odd},
        )
