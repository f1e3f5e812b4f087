"""The rule cell-error."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.examples import CellError
from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import refused_cells
from xlfuncs.audit.rules.sheet.shared import as_typed, cell_hit, cells_of
from xlfuncs.audit.settings import Settings
from xlfuncs.lists.model import State


@rule(
    "cell-error",
    Severity.ERROR,
    firing=({"fluid_density": CellError("#REF!")}, {"operating_pressure": CellError("#N/A")}),
)
def cell_error(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """An error value in a cell that is needed.

    Finds: #REF!, #VALUE!, #DIV/0!, #NAME? and the like in a column that the audit uses.
    Why: the value is lost, and every formula that refers to the cell is lost with it.
    Mend: repair the formula, or enter the value.
    """
    refused = (
        refused_cells(gauges) if any((c.state == State.ERROR).any() for c in cells_of(gauges)) else set()
    )
    for column in cells_of(gauges):
        for record in np.flatnonzero(column.state == State.ERROR).tolist():
            if (str(column.sheet[record]), int(column.row[record]), int(column.col[record])) in refused:
                continue  # 'function-refused' says why
            typed = as_typed(column, record)
            yield cell_hit(gauges, column, record, f"{label(column.field)} holds the error value {typed}")
