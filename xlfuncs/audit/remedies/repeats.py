"""Which of two rows of one part holds: the one that rides true in the liquid that it was made for."""

from __future__ import annotations

import numpy as np

from xlfuncs.audit.gauges import Gauges, part_key, stated_shape
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.doubted import cold
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import floats, reasons

_BODY = ("float_mass", "float_diameter", "float_length", "magnet_height", "float_design_density")


def row_that_holds(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The row whose float has its magnet in the surface of its own liquid; else whose part it is."""
    using = [
        gauges.tag(at)
        for at, part in enumerate(gauges.texts("float_part").tolist())
        if part_key(part) == part_key(hit.tag)
    ]
    whose = f"it is that of {', '.join(dict.fromkeys(using))}: read the number on the float" if using else ""
    rows = [int(hit.case[which]) for which in ("here", "there")]
    reads = [_reading(gauges, row) for row in rows]
    true = [abs(one) <= settings.offset_tolerance_mm * 1e-3 for one in reads]
    if sum(true) != 1:
        return Remedy(f"Which of the two holds is not computed; {whose}.") if whose else None
    told = [
        f"{gauges.listed['float_part'].address(row)} {cold(1e3 * one, 1e3 * one)}"
        for row, one in zip(rows, reads, strict=True)
    ]
    holds = true.index(True)
    which = f"; {whose}" if whose else ""
    return Remedy(
        f"At the density that it was made for the float of {told[holds]}, that of {told[1 - holds]}: likely"
        f" the first is right{which}."
    )


def _reading(gauges: Gauges, row: int) -> float:
    """How far the float of a row reads beside the level of its own liquid [m]; NaN where data are lacking."""
    columns = [gauges.listed.get(name) for name in (*_BODY, "float_ends")]
    if any(column is None or not column.given[row] for column in columns):
        return np.nan
    mass, diameter, length, plane, rho = (gauges.listed[name].number(row) for name in _BODY)
    ends = stated_shape(str(gauges.listed["float_ends"].text[row]))
    if ends is None:
        return np.nan
    with reasons():
        return float(floats.reading_offset(mass, diameter, length, plane, rho, 0.0, ends))
