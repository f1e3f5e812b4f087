"""The rule copied-column."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.settings import Settings

VARYING = ("fluid_density", "viscosity")
"""Properties of the fluid, which differ from one fluid to another."""
FLUIDS = 4
"""Different fluids from which on one value for all of them is a copy (common practice, no source)."""


@rule(
    "copied-column",
    Severity.NOTE,
    passing=tuple(
        {"tag": f"LG-{i}", "fluid": name, "float_serial": f"F-{i}"}
        for i, name in enumerate(("Blend 7", "Blend 8", "Blend 9"), 1)
    ),
    firing=tuple(
        {"tag": f"LG-{i}", "fluid": name, "float_serial": f"F-{i}", "viscosity": f"0.4{i} mPa.s"}
        for i, name in enumerate(("Blend 7", "Blend 8", "Blend 9", "Blend 10"), 1)
    ),
)
def copied_column(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """One value in every row of a column that should vary.

    Finds: a column of densities or viscosities with one and the same value in every row, for four or more
        different fluids (common practice, no source).
    Why: it was filled down, or stands for 'not known yet'; everything that is computed from it holds for one
        of the fluids at best.
    Mend: enter the value of each fluid at its operating conditions, or leave unknown ones blank.
    """
    fluids = [" ".join(text.casefold().split()) for text in gauges.texts("fluid").tolist()]
    for field in VARYING:
        column = gauges.column(field)
        given = np.flatnonzero(column.given)
        different = {fluids[record] for record in given.tolist()} - {""}
        if len(different) < FLUIDS:
            continue
        low, high = column.low[given], column.high[given]
        if (low == low[0]).all() and (high == high[0]).all():
            first = int(given[0])
            yield gauge_hit(
                gauges,
                first,
                field,
                f"{label(field)}: {gauges.measure(first, field)} in each of {len(given)} rows, for"
                f" {len(different)} different fluids",
                evidence={"rows": float(len(given)), "fluids": float(len(different))},
            )
