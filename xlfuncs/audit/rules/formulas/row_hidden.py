"""The rule row-hidden."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import tag_of
from xlfuncs.audit.settings import Settings


@rule(
    "row-hidden",
    Severity.NOTE,
    firing={"_hidden": True},
)
def row_hidden(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Audited data is hidden.

    Finds: a gauge in a hidden row or sheet, and a needed column that is hidden.
    Why: nobody looks at what is hidden, but formulas and lists still use it.
    Mend: show the row or column; delete what is no longer valid.
    """
    for table in (*gauges.book.gauges, *gauges.book.floats):
        for record in np.flatnonzero(table.hidden).tolist():
            row = int(table.row[record])
            what = "gauge" if table.kind == "gauges" else "float"
            name = table.columns.get("tag" if what == "gauge" else "float_part")
            cell = (name.address(record) if name else "") or f"A{row}"
            yield Hit(
                tag_of(gauges, table.sheet, row)[0] if what == "gauge" else -1,
                table.sheet,
                cell,
                str(name.text[record]) if name else "",
                f"the {what}'s row {row} is hidden",
            )
        for found in table.recognised:
            if found.field in table.hidden_fields:
                yield Hit(
                    -1, found.sheet, found.heading_cell, "", f"the column of {label(found.field)} is hidden"
                )
