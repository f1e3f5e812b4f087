"""The rule switch-spacing-small."""

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
    "switch-spacing-small",
    Severity.WARNING,
    thresholds=("switch_spacing_mm",),
    calculate=signal_workings.switch_spacing,
    remedy=setpoints.apart,
    assumes=SWITCHES,
    passing={"switch_lsh": "850 mm", "switch_lshh": "900 mm"},
    firing={"switch_lsh": "850 mm", "switch_lshh": "865 mm"},
)
def switch_spacing_small(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Set points too close together.

    Finds: neighbouring set points less than 25 mm apart (common practice, no source).
    Why: the bodies of the switches do not fit, one magnet acts on both, and their hysteresis overlaps.
    Mend: move the set points apart, or confirm with the maker that the switches fit.
    """
    least = settings.switch_spacing_mm * MM
    for record, lower, upper in neighbours(gauges, lambda gap: (gap > 0) & (gap < least - 1e-9)):
        below = float(gauges.si(lower)[record])
        gap = float(gauges.si(upper)[record]) - below
        yield gauge_hit(
            gauges,
            record,
            upper,
            f"{letters(upper)} is only {gauges.say(record, upper, gap)} above {letters(lower)}",
            expected=gauges.measure(record, upper, below + least),
            evidence={"spacing_mm": gap / MM},
            case={"below": lower},
        )
