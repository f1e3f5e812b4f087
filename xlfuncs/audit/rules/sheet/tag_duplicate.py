"""The rule tag-duplicate."""

from __future__ import annotations

import re
from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import tags
from xlfuncs.audit.settings import Settings

_BLANKS = re.compile(r"[^\S\n]+")


@rule(
    "tag-duplicate",
    Severity.ERROR,
    remedy=tags.another_tag,
    passing=({"tag": "LG-1001A"}, {"tag": "LG-1001B"}),
    firing=({"tag": "LG-1002"}, {"tag": "LG-1002"}),
)
def tag_duplicate(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One tag on two rows.

    Finds: a tag that stands on more than one row; blanks and case do not count.
    Why: data of two gauges is mixed up: float, range and serials get swapped.
    Mend: find out which gauge each row is, and give each its own tag.
    """
    for record, earlier in gauges.repeats("tag", _BLANKS):
        sheet, cell = gauges.place(earlier, "tag")
        yield gauge_hit(
            gauges,
            record,
            "tag",
            f"tag {gauges.tag(record)} stands already in {sheet}!{cell}",
            evidence={"first_row": float(gauges.row[earlier])},
            case={"first": earlier},
        )
