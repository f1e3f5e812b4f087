"""The rule tag-missing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.remedies import tags
from xlfuncs.audit.settings import Settings


@rule(
    "tag-missing",
    Severity.ERROR,
    remedy=tags.own_tag,
    firing={"tag": None},
)
def tag_missing(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A row holds gauge data and no tag.

    Finds: a row of the index in which gauge data stands, but no tag.
    Why: without a tag the gauge cannot be found in the plant, and its findings cannot be assigned.
    Mend: find out which gauge it is, and enter its tag.
    """
    for record in np.flatnonzero(~gauges.given("tag")):
        sheet, cell = str(gauges.sheet[record]), f"A{int(gauges.row[record])}"
        if address := gauges.column("tag").address(int(record)):
            cell = address
        yield Hit(
            int(record), sheet, cell, "", f"row {int(gauges.row[record])} holds gauge data but no tag", "tag"
        )
