"""The rule serial-mismatch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import places as cures
from xlfuncs.audit.rules.geometry.shared import any_mentioned
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import signal as signal_workings
from xlfuncs.lists.tags import bare_serial


@rule(
    "serial-mismatch",
    Severity.ERROR,
    calculate=signal_workings.serial,
    remedy=cures.own_serial,
    when=lambda gauges: any_mentioned(gauges, "float_gauge_serial", "transmitter_gauge_serial"),
    needs=("serial",),
    assumes=("float_gauge_serial", "transmitter_gauge_serial"),
    passing={"float_gauge_serial": "QX 50100"},
    firing=({"float_gauge_serial": "QX-50101"}, {"transmitter_gauge_serial": "QX-50999"}),
)
def serial_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Float or transmitter belongs to another gauge.

    Finds: a gauge serial noted for the float or the transmitter that differs from the gauge's own serial.
        Blanks, case and punctuation do not count.
    Why: floats are made for one density and one gauge; swapped, both gauges read wrong.
    Mend: find out on site which float is in which chamber, and correct the list or the floats.
    """
    own = gauges.texts("serial")
    for field, part in (("float_gauge_serial", "float"), ("transmitter_gauge_serial", "transmitter")):
        noted = gauges.texts(field)
        for record in np.flatnonzero((own != "") & (noted != "")).tolist():
            if bare_serial(str(own[record])) != bare_serial(str(noted[record])):
                yield gauge_hit(
                    gauges,
                    record,
                    field,
                    f"the {part} is noted for gauge serial {noted[record]}, this gauge is {own[record]}",
                    expected=Measure(str(own[record])),
                    evidence={"gauge_serial": str(own[record]), "noted_serial": str(noted[record])},
                )
