"""The rule interface-connection-outside."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import places as cures
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.rules.float_fluid.shared import INTERFACE_GAUGE
from xlfuncs.audit.rules.geometry.shared import any_mentioned
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import travel


def _asked(gauges: Gauges) -> Mask:
    return np.asarray(gauges.interface & any_mentioned(gauges, "normal_level", "liquid_top"))


@rule(
    "interface-connection-outside",
    Severity.ERROR,
    calculate=travel.interface,
    remedy=cures.around_the_interface,
    when=_asked,
    needs=("connection_distance",),
    assumes=("normal_level", "liquid_top"),
    covers=("alarm-outside-range",),
    passing={**INTERFACE_GAUGE, "normal_level": "500 mm", "liquid_top": "1400 mm"},
    firing=(
        {**INTERFACE_GAUGE, "normal_level": "1100 mm"},
        {**INTERFACE_GAUGE, "liquid_top": "900 mm"},
    ),
)
def interface_connection_outside(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The interface, or the upper liquid, does not stand between the connections.

    Finds: on an interface gauge, a normal level of the interface below the lower or above the upper
        connection, or a surface of the upper liquid below the upper connection.
    Why: the chamber shows an interface only while its lower connection is in the lower liquid and its upper
        one in the upper liquid: else one of the liquids does not come in, or what came in is caught, and the
        gauge shows a level that is none.
    Mend: move the connections so that both liquids enter at every level, or correct the stated levels.
    """
    distance = gauges.si("connection_distance")
    ends = {"low": gauges.low, "high": gauges.high}
    with np.errstate(invalid="ignore"):
        below = gauges.interface & (gauges.low("normal_level") < -1e-9)
        off = {
            ("normal_level", "low"): below,
            ("normal_level", "high"): gauges.interface
            & ~below
            & (gauges.high("normal_level") > distance + 1e-9),
            ("liquid_top", "low"): gauges.interface & (gauges.low("liquid_top") < distance - 1e-9),
        }
    for (name, end_of), wrong in off.items():
        for record in np.flatnonzero(wrong).tolist():
            value = float(ends[end_of](name)[record])
            end = gauges.say(record, name, float(distance[record]))
            text = (
                f"the interface at {gauges.say(record, name, value)} is not between the connections,"
                f" 0 and {end}"
                if name == "normal_level"
                else f"the upper liquid ends at {gauges.say(record, name, value)}, below the upper connection"
                f" at {end}: none of it enters the chamber there"
            )
            yield gauge_hit(
                gauges,
                record,
                name,
                text,
                case={"end": end_of},
                evidence={f"{name}_mm": value / MM, "connection_distance_mm": float(distance[record]) / MM},
            )
