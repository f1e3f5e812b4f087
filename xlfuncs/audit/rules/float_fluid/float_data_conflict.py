"""The rule float-data-conflict."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import (
    Gauges,
    label,
)
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.remedies.own_part import COMPARED, differs
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance


@rule(
    "float-data-conflict",
    Severity.WARNING,
    thresholds=("float_data_tolerance",),
    calculate=balance.conflict,
    remedy=cures.listed_value,
    passing={"_index": {"float_max_pressure": "40 barg"}},
    firing={"_index": {"float_max_pressure": "45 barg"}},
)
def float_data_conflict(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Index and float list contradict each other.

    Finds: a float whose data in the index differ by more than 1 % (common practice, no source) from those of
        the same part in the float list. The audit uses the index's own.
    Why: one of the two is wrong; floats are ordered from one list and checked against the other.
    Mend: correct the wrong one, or leave the float's data to the float list alone.
    """
    for field in COMPARED:
        apart = np.flatnonzero(differs(gauges, settings, field)).tolist()
        theirs, ours = gauges.listed.get(field), gauges.own.get(field)
        if not apart or theirs is None or ours is None:
            continue
        theirs = theirs.take(gauges.float_row)
        for record in apart:
            listed = gauges.say(record, field, float(theirs.value[record]))
            yield gauge_hit(
                gauges,
                record,
                field,
                f"{label(field)}: {gauges.say(record, field, float(ours.value[record]))} here, {listed}"
                f" in the float list ({theirs.sheet[record]}!{theirs.address(record)})",
                expected=gauges.measure(record, field, float(theirs.value[record])),
            )
