"""The rule serial-reused."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import places as cures
from xlfuncs.audit.settings import Settings
from xlfuncs.lists.tags import SERIAL_SIGNS


@rule(
    "serial-reused",
    Severity.ERROR,
    remedy=cures.serial_in_step,
    assumes=("float_serial",),
    passing=({"float_serial": "F-7101", "tag": "LG-1"}, {"float_serial": "F-7102", "tag": "LG-2"}),
    firing=({"float_serial": "F-7101", "tag": "LG-1"}, {"float_serial": "F-7101", "tag": "LG-2"}),
)
def serial_reused(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One float serial on two gauges.

    Finds: a float serial number that stands on more than one gauge.
    Why: a float is in one chamber only; the other gauge's float is unknown.
    Mend: read the serials on site, and correct the list.
    """
    for record, earlier in gauges.repeats("float_serial", SERIAL_SIGNS):
        sheet, cell = gauges.place(earlier, "float_serial")
        other = gauges.tag(earlier) or "another gauge"
        yield gauge_hit(
            gauges,
            record,
            "float_serial",
            f"float serial {gauges.texts('float_serial')[record]} stands already on {other} ({sheet}!{cell})",
            evidence={"other_tag": gauges.tag(earlier)},
            case={"other": earlier},
        )
