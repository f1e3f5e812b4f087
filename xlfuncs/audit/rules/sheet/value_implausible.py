"""The rule value-implausible."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import DISPLAY_UNITS, Gauges, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Outcome, Unread, rule
from xlfuncs.audit.rules.sheet.shared import as_typed, cell_hit, cells_of, owner_of
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.gauge import Array
from xlfuncs.lists.columns import limits
from xlfuncs.lists.model import Column, State
from xlfuncs.units import converter


@rule(
    "value-implausible",
    Severity.ERROR,
    spoils=True,
    passing=({"fluid_density": "1.84 SG"}, {"operating_pressure": "-0.5 barg"}),
    firing=({"fluid_density": "983 SG"}, {"operating_temperature": "-300 degC"}, {"float_length": "-250 mm"}),
)
def value_implausible(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """A value that cannot be in the column's unit.

    Finds: a number beyond what its column can hold: an SG of 870, a temperature below absolute zero,
        a pressure below vacuum, a negative length; or a date where a number belongs. A cell that is not
        understood is no such number: it is listed as not checked, with what it says.
    Why: the unit or the number is wrong, and everything computed from it would be wrong as well.
        The value is therefore not used by the other rules.
    Mend: correct the number, or state its unit in the heading or the cell.
    """
    for column in list(cells_of(gauges)):
        spec = load("fields")[column.field]
        yield from _not_understood(gauges, column)
        if spec["kind"] != "quantity":
            continue
        low, high = limits(column.field)
        with np.errstate(invalid="ignore"):
            beyond = (column.low < low) | (column.high > high) | (column.high < low)
        beyond = (column.state == State.IMPOSSIBLE) | (column.given & beyond)
        for record in np.flatnonzero(beyond).tolist():
            if np.isnan(column.number(record)):
                why = column.problem.get(record, f"{as_typed(column, record)} cannot be")
                yield cell_hit(gauges, column, record, f"{label(column.field)}: {why}")
                continue
            unit = str(column.unit[record]) or DISPLAY_UNITS[spec["quantity"]]
            value, least, most = _shown(column.number(record), low, high, unit, spec["quantity"])
            yield cell_hit(
                gauges,
                column,
                record,
                f"{label(column.field)} of {value:.6g} {unit} cannot be"
                f" (limits {least:.4g} to {most:.4g} {unit})",
                found=Measure(value, unit),
                evidence={"lowest_plausible": least, "highest_plausible": most},
                mend=_meant(column, record, value, unit),
            )


_OTHER_DENSITIES = ("kg/m3", "g/cm3", "lb/ft3")
"""Units in which densities stand in the column of another."""
_LIQUIDS = (300.0, 3000.0)
"""Densities of liquids whose level is gauged, kg/m3 (common practice, no source)."""


def _meant(column: Column, record: int, value: float, unit: str) -> str:
    """The number in the unit in which it can be, for a density that can be in one of the usual ones only."""
    if load("fields")[column.field]["quantity"] != "density":
        return ""
    low, high = _LIQUIDS
    own = converter(unit, "density", assume=True)
    found = [converter(other, "density") for other in _OTHER_DENSITIES if other != own.unit]
    found = [other for other in found if low <= float(other.to_si(value)) <= high]
    if len(found) != 1:
        return ""
    right = float(own.from_si(found[0].to_si(value)))
    what = f"{value:.6g} {found[0].unit}"
    return f"Ask whether {what} is meant, which is {right:.4g} {unit}; else correct the number."


def _not_understood(gauges: Gauges, column: Column) -> Iterator[Unread]:
    """The cells of a column that hold something, and nothing that could be read."""
    for record in sorted(column.problem):
        if column.state[record] in (State.UNREADABLE, State.AMBIGUOUS):
            tag, sheet, cell = (
                owner_of(gauges, column, record),
                str(column.sheet[record]),
                column.address(record),
            )
            row = (
                int(gauges.row[record]) if gauges.own.get(column.field) is column else int(column.row[record])
            )
            yield Unread(column.field, sheet, row, cell, tag, column.problem[record])


def _shown(value: float, low: float, high: float, unit: str, quantity: str) -> tuple[float, float, float]:
    """Value and limits in the unit of the sheet; the limits in rising order (degAPI falls with density)."""
    kind = converter(unit, quantity, assume=True)
    numbers: Array = np.asarray(kind.from_si(np.array([value, low, high])), dtype=np.float64)
    least, most = sorted((float(numbers[1]), float(numbers[2])))
    return float(numbers[0]), least, most
