"""The rule documents-disagree."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.remedies.documents import which_holds
from xlfuncs.audit.rules.documents.shared import by_tag
from xlfuncs.audit.settings import Settings


@rule(
    "documents-disagree",
    Severity.ERROR,
    remedy=which_holds,
    passing={"_other": {"connection_distance": "1000 mm"}},
    firing={"_other": {"connection_distance": "1200 mm"}},
)
def documents_disagree(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Two documents give one gauge different values.

    Finds: a field for which two sheets, blocks or files state different values of one gauge (index, process
        data, data sheet, vendor's return); what rounding in another unit explains is no difference.
    Why: one of them is wrong, and the gauge is made to one and checked against the other.
    Mend: find out which holds, and correct the other document.
    """
    records = by_tag(gauges) if gauges.book.differences.values else {}
    for one in gauges.book.differences.values:
        record = records.get(one.tag, -1)
        first, second = one.first, one.second
        yield Hit(
            record,
            first.sheet,
            first.cell,
            one.tag,
            f"{label(one.field)} is {first.text} here and {second.text} in {second.sheet}!{second.cell}",
            one.field,
            Measure(first.text),
            Measure(second.text),
            {"other_cell": f"{second.sheet}!{second.cell}"},
            case={"difference": one},
        )
