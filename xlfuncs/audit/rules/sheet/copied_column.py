"""The rule copied-column."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import values
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.gauge import Array
from xlfuncs.lists.model import Column

VARYING = ("fluid_density", "viscosity")
"""Properties of the fluid, which differ from one fluid to another."""
FLUIDS = 4
"""Different fluids from which on one value for all of them is a copy (common practice, no source)."""
SERVICES = 6
"""The same of services, where no fluid is stated: no two of them share a word."""
ROWS = 8
"""Numbers from which on one of them can be off from its neighbours (common practice, no source)."""
FAR = 8.0
"""Quotient to the nearest other number from which on one is off (common practice, no source)."""
FAR_OF = {"dynamic_viscosity": 100.0}
"""The same of a quantity that goes over decades from one sound liquid to the next, LPG to fuel oil."""
BLANKET = 0.2e5
"""Pascal up to which an operating pressure is that of a blanketed tank (common practice, no source)."""
BLANKETED = ("operating_pressure",)
FACTORS = {
    "length": {1000.0: "mm and m", 25.4: "mm and inches", 10.0: "mm and cm", 304.8: "mm and feet"},
    "pressure_gauge": {14.5038: "bar and psi", 100.0: "bar and kPa", 10.0: "bar and MPa"},
    "mass": {1000.0: "g and kg"},
    "dynamic_viscosity": {1000.0: "mPa.s and Pa.s"},
}
"""Quantity -> by how much the numbers of two of its units differ -> those units (definitions)."""


@rule(
    "copied-column",
    Severity.NOTE,
    remedy=values.as_the_others,
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
    """A column that was filled down, or a number in another unit than its neighbours.

    Finds: a column of densities or viscosities with one and the same value in every row, for four or more
        different fluids, or six or more services without a common word where no fluid is stated; and of
        eight or more numbers one that is eight times off from all others (a viscosity: a hundred times) and
        among them when it is taken in another unit: inches for mm, psi for bar (common practice, no source).
        An operating pressure of no more than 0.2 bar is a usual blanket of a tank, whatever the others are,
        and is none.
    Why: it was filled down, or stands for 'not known yet'; everything that is computed from it holds for one
        of the fluids at best. A number in another unit than its column's is wrong by that factor.
    Mend: where it was filled down enter the value of each fluid at its operating conditions, or leave
        unknown ones blank; a number in another unit enter in that of its column.
    """
    for field in VARYING:
        yield from _copied(gauges, field)
    for field, column in gauges.own.items():
        quantity = str(load("fields")[field].get("quantity", ""))
        if quantity in FACTORS:
            yield from _off(gauges, field, quantity, column)


def _copied(gauges: Gauges, field: str) -> Iterator[Hit]:
    column = gauges.column(field)
    given = np.flatnonzero(column.given)
    if len(given) < FLUIDS:
        return
    low, high = column.low[given], column.high[given]
    if not ((low == low[0]).all() and (high == high[0]).all()):
        return
    count, what = _different(gauges, given.tolist())
    if count:
        first = int(given[0])
        yield gauge_hit(
            gauges,
            first,
            field,
            f"{label(field)}: {gauges.measure(first, field)} in each of {len(given)} rows, for"
            f" {count} different {what}",
            evidence={"rows": float(len(given)), what: float(count)},
        )


def _different(gauges: Gauges, records: Sequence[int]) -> tuple[int, str]:
    """How many different fluids, or services, some gauges have, where these are enough; else none."""
    fluids = {_plain(gauges.texts("fluid")[record]) for record in records} - {""}
    if len(fluids) >= FLUIDS:
        return len(fluids), "fluids"
    services = {_plain(gauges.texts("service")[record]) for record in records} - {""}
    taken: set[str] = set()
    count = 0
    for service in sorted(services) if not fluids else ():
        words = set(re.findall(r"[^\W\d_]{3,}", service))
        if words and not words & taken:
            count += 1
            taken |= words
    return (count, "services") if count >= SERVICES and count == len(services) else (0, "")


def _plain(text: object) -> str:
    return " ".join(str(text).casefold().split())


def _off(gauges: Gauges, field: str, quantity: str, column: Column) -> Iterator[Hit]:
    """A number that is among its neighbours when it is taken in another unit."""
    numbers = np.where(column.given & (column.value > 0), column.value, np.nan)
    known = np.flatnonzero(~np.isnan(numbers))
    if len(known) < ROWS:
        return
    for lowest in (True, False):
        far = known[numbers[known].argmin() if lowest else numbers[known].argmax()]
        others = known[known != far]
        near = float(numbers[others].min() if lowest else numbers[others].max())
        off = max(near / numbers[far], numbers[far] / near)
        if off < FAR_OF.get(quantity, FAR):
            continue
        units, taken = _unit_of(float(numbers[far]), numbers[others], FACTORS[quantity])
        if units and not (field in BLANKETED and numbers[far] <= BLANKET):
            record = int(far)
            yield gauge_hit(
                gauges,
                record,
                field,
                f"{label(field)} {gauges.measure(record, field)} is {off:.3g} times off from the nearest of"
                f" {len(others)} others: {units} may have been taken for each other",
                evidence={"times_off": off, "rows": float(len(known))},
                case={"taken": taken},
            )


def _unit_of(number: float, others: Array, factors: dict[float, str]) -> tuple[str, float]:
    """The two units by which a number falls among the others, and what it is then; "": none."""
    for factor, units in factors.items():
        for taken in (number * factor, number / factor):
            if others.min() <= taken <= others.max():
                return units, taken
    return "", float("nan")
