"""The rule never-calculated."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.examples import Formula
from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import formula_hit
from xlfuncs.audit.settings import Settings
from xlfuncs.lists.model import State


@rule(
    "never-calculated",
    Severity.WARNING,
    passing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
    firing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", None)},
)
def never_calculated(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A formula without a result.

    Finds: a cell of a needed column that holds a formula, but no value kept with it.
    Why: the workbook was written by a program that does not calculate; the audit cannot use the cell.
    Mend: open and save the workbook in a spreadsheet program, or run 'xlfuncs recalculate BOOK -o OUT'.
    """
    for columns in (gauges.own, gauges.listed):
        for column in columns.values():
            for record in np.flatnonzero(column.state == State.NEVER_CALCULATED).tolist():
                yield formula_hit(
                    gauges,
                    str(column.sheet[record]),
                    int(column.row[record]),
                    int(column.col[record]),
                    f"{label(column.field)} is a formula that was never calculated",
                )
