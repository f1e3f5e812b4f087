"""What a control system shows beside the current itself: compared with it, and never read in its place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

from xlfuncs.gauge.readings import Gauge
from xlfuncs.gauge.signal import SPAN
from xlfuncs.units import UnitError, parse
from xlfuncs.worksheet.float_table import is_blank, is_unit_row
from xlfuncs.worksheet.observed import COMPARED, not_read, reading_fields
from xlfuncs.worksheet.said import as_numbers

Rows = Sequence[Sequence[Any]]

ALIKE: Final = 0.5
"""% of span by which the two may differ; common practice, no source."""


def headed(rows: Rows, letters: Sequence[str] = ()) -> list[str]:
    """How to name each column of a table: 'column C 'Loop mA''.

    `letters`: the spreadsheet's names of the columns.
    """
    head = next((row for row in rows if any(not is_blank(cell) for cell in row)), [])
    names = ["" if is_blank(cell) else " ".join(str(cell).split()) for cell in head]
    return [f"column {letters[at] if letters else at + 1} '{name}'" for at, name in enumerate(names)]


def differing(rows: Rows, gauge: Gauge, letters: Sequence[str] = (), places: Sequence[str] = ()) -> list[str]:
    """Columns of a control system that do not say what the current beside them says, or cannot be compared.

    `places`: how to name each row.
    """
    which = reading_fields(rows)
    if COMPARED not in which:
        return []
    heads = headed(rows, letters)
    own = which.index("current")
    return [
        f"not used: {heads[at]} {why}"
        for at, name in enumerate(which)
        if name == COMPARED and (why := _difference(rows, own, at, gauge, heads, places))
    ]


def left_out(rows: Rows, gauge: Gauge, letters: Sequence[str] = (), places: Sequence[str] = ()) -> list[str]:
    """What stands in a table of readings and does not count: columns not read, and those that differ."""
    return [*not_read(rows, letters), *differing(rows, gauge, letters, places)]


def _difference(
    rows: Rows, own: int, at: int, gauge: Gauge, heads: Sequence[str], places: Sequence[str]
) -> str:
    """How a column differs from the current; "" where it does not."""
    try:
        current, other = _milliamps(rows, own, gauge), _milliamps(rows, at, gauge)
    except (UnitError, ValueError) as why:
        return f"cannot be compared with the current in {heads[own]}: {why}"
    apart = {
        row: 100 * abs(other[row] - current[row]) / (1e3 * SPAN)
        for row in other
        if not math.isnan(current[row]) and not math.isnan(other[row])
    }
    alone = [row for row in other if math.isnan(current[row]) and not math.isnan(other[row])]
    most = max(apart, key=lambda row: apart[row], default=None)
    told = []
    if most is not None and apart[most] > ALIKE:
        told.append(
            f"differs from {heads[own]}, which is the one read, by up to {apart[most]:.2g} % of span, at"
            f" {_place(places, most)}: see to the control system's range or the loop"
        )
    if alone:
        told.append(f"is given at {_place(places, alone[0])}, where {heads[own]} is blank")
    return " and ".join(told)


def _place(places: Sequence[str], row: int) -> str:
    return places[row] if places else f"row {row + 1} of the range"


def _milliamps(rows: Rows, at: int, gauge: Gauge) -> dict[int, float]:
    """The currents [mA] of a column by row, NaN for none."""
    alone = ["current" if i == at else None for i in range(max(map(len, rows)))]
    filled = [i for i, row in enumerate(rows) if any(not is_blank(cell) for cell in row)]
    units = len(filled) > 1 and is_unit_row(rows[filled[1]])
    said = as_numbers(rows, alone, gauge, "readings").rows
    return {i: _number(said[i][at]) for i in filled[2 if units else 1 :]}


def _number(cell: Any) -> float:
    if is_blank(cell) or isinstance(cell, bool):
        return math.nan
    if isinstance(cell, (int, float)):
        return float(cell)
    return 1e3 * float(parse(str(cell), "current", "mA").si)
