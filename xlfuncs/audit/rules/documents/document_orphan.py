"""The rule document-orphan."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.documents.shared import by_tag
from xlfuncs.audit.settings import Settings


@rule(
    "document-orphan",
    Severity.WARNING,
    passing=({"_other": {"chamber_bore": "60 mm"}}, {"_other": {"chamber_bore": "60 mm"}}),
    firing=({"_other": {"chamber_bore": "60 mm"}}, {"_other": {"chamber_bore": "60 mm"}}, {"tag": "LG-1003"}),
)
def document_orphan(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A gauge stands in one document and not in another.

    Finds: a tag that one of two documents for the same gauges lacks; only where each has most of the other's.
    Why: a gauge was forgotten, taken out in one document alone, or has another tag there.
    Mend: enter the gauge in the other document, or take it out of this one.
    """
    records = by_tag(gauges) if gauges.book.differences.orphans else {}
    for one in gauges.book.differences.orphans:
        text = f"tag {one.tag} stands here and not in {one.lacking}"
        yield Hit(records.get(one.tag, -1), one.sheet, one.cell, one.tag, text, "tag", Measure(one.tag))
