"""Writes down how a finding was computed, from the cells of its gauge."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import isclose, isnan
from typing import TYPE_CHECKING, Any

from xlfuncs.audit import written as links
from xlfuncs.audit.calculation import Calculation, Step, Value, evaluate
from xlfuncs.audit.gauges import DISPLAY_UNITS, label
from xlfuncs.audit.settings import Settings, setting_source
from xlfuncs.data import load
from xlfuncs.lists.model import Column
from xlfuncs.units import Converter, UnitError, converter

if TYPE_CHECKING:
    from xlfuncs.audit.gauges import Gauges

SI = {
    "density": "kg/m3",
    "length": "m",
    "mass": "kg",
    "temperature": "K",
    "pressure_gauge": "Pa",
    "dynamic_viscosity": "Pa.s",
    "velocity": "m/s",
    "current": "A",
    "power_per_length": "W/m",
    "conductivity": "W/m/K",
}
"""Quantity -> unit in which the audit computes; pressures are above the atmosphere's."""

SHOWN = {
    "m": (1e-3, 0.0, "mm"),
    "kg": (1e-3, 0.0, "g"),
    "A": (1e-3, 0.0, "mA"),
    "K": (1.0, 273.15, "degC"),
    "K difference": (1.0, 0.0, "K"),
    "Pa": (1e5, 0.0, "barg"),
    "Pa.s": (1e-3, 0.0, "mPa.s"),
    "Pa difference": (1e5, 0.0, "bar"),
    "Pa stress": (1e6, 0.0, "MPa"),
    "1/K": (1e-6, 0.0, "1e-6/K"),
    "m2": (1e-4, 0.0, "cm2"),
    "m3": (1e-6, 0.0, "cm3"),
}
"""SI unit -> size, zero and name of the unit in which a person reads it."""

WATER_60F = converter("SG", "density").scale
WATER = f"SG: over water at 60 degF, {WATER_60F:.9g} kg/m3"
PROPOSED = "as this remedy proposes it"
_ROUNDED = 1e-12
"""What is left of a zero when its unit was converted, over the number that was subtracted."""


def shown(number: float, unit: str) -> str:
    """An SI number as a person reads it.

    >>> shown(0.0184, "m"), shown(850.0, "kg/m3"), shown(0.25, "")
    ('18.4 mm', '850 kg/m3', '0.25')
    """
    size, zero, name = SHOWN.get(unit, (1.0, 0.0, unit))
    value = (number - zero) / size
    if abs(value) < _ROUNDED * abs(zero) / size:  # 273.15 K is 0 degC, not 5.7e-14
        value = 0.0
    text = f"{value:.0f}" if abs(value) >= 10000 else f"{value:.5g}"
    return f"{text} {name}".strip()


@dataclass(frozen=True, slots=True)
class Table:
    """A published table of one number over another, in SI; straight lines between its rows."""

    at: Sequence[float]
    values: Sequence[float]
    at_unit: str
    unit: str
    source: str


class Working:
    """The calculation of one finding, while it is being written."""

    def __init__(self, gauges: Gauges, settings: Settings, record: int, listed_at: int = -1) -> None:
        self.gauges = gauges
        self.settings = settings
        self.record = record
        self.listed_at = listed_at
        """The record of the float list whose float is meant instead of the gauge's own; -1: its own."""
        self.floats_of = record
        """The gauge whose float is meant."""
        self.proposed: dict[str, float] = {}
        """Fields that are put in as a remedy proposes them [SI], instead of as they are stated."""
        self.inputs: list[Value] = []
        self.steps: list[Step] = []
        self.numbers: dict[str, float] = {}
        self._ends = {"test": "", "result": "", "limit": "", "note": ""}

    def of_float(self, field: str) -> bool:
        """Whether a field is one of a float of the list that is meant."""
        return self.listed_at >= 0 and field in self.gauges.listed and field.startswith(("float_", "magnet_"))

    def states(self, field: str) -> bool:
        """Whether the sheet, or the float list that is meant, states a field."""
        if self.of_float(field):
            return bool(self.gauges.listed[field].given[self.listed_at])
        return bool(self.gauges.given(field)[self._of(field)])

    def _of(self, field: str) -> int:
        """The gauge of which a field is put in."""
        return self.floats_of if field.startswith(("float_", "magnet_")) else self.record

    def _place(self, field: str) -> tuple[Column, int, tuple[str, str]]:
        """Column and record of a field, and the cell in which it stands."""
        if self.of_float(field):
            column = self.gauges.listed[field]
            return column, self.listed_at, (str(column.sheet[self.listed_at]), column.address(self.listed_at))
        record = self._of(field)
        return self.gauges.column(field), record, self.gauges.place(record, field)

    def cell(self, symbol: str, field: str, end: str = "", *, default: float | None = None) -> float:
        """Put in a gauge's value: its `low` or `high` end, else the middle; the default where none stands."""
        quantity = str(load("fields")[field]["quantity"])
        if field in self.proposed:
            number = self.proposed[field]
            said = self.gauges.say(self._of(field), field, number)
            self._put(Value(symbol, label(field), number, SI[quantity], said, "proposed", note=PROPOSED))
            return number
        if not self.states(field):
            return self.assume(symbol, label(field), nan_if(default), SI[quantity])
        column, record, place = self._place(field)
        number = column.number(record)
        if end:
            one = float(getattr(column, end)[record])
            number = number if isnan(one) else one
        said = self.gauges.say(self._of(field), field, number)
        notes = [part[record] for part in (column.assumed, column.noted, column.source) if record in part]
        value = Value(symbol, label(field), number, SI[quantity], said, "cell", *place)
        self._put(_linked(value, column, quantity, record, notes))
        return number

    def listed(self, symbol: str, field: str, record: int) -> float:
        """Put in what a float list itself says, at a record of it."""
        column = self.gauges.listed[field]
        quantity = str(load("fields")[field]["quantity"])
        number = column.number(record)
        said = self.gauges.say(self.record, field, number)
        place = str(column.sheet[record]), column.address(record)
        name = f"{label(field)} in the float list"
        value = Value(symbol, name, number, SI[quantity], said, "cell", *place)
        self._put(_linked(value, column, quantity, record, []))
        return number

    def text(self, symbol: str, field: str, *, default: str = "") -> str:
        """Put in a text, for the reader: expressions have no use for it."""
        words, sheet, cell = "", "", ""
        if self.states(field):
            column, record, (sheet, cell) = self._place(field)
            words = str(column.text[record])
        origin = "cell" if words else "assumed"
        self._put(Value(symbol, label(field), None, "", words or default, origin, sheet, cell, words))
        return words or default

    def setting(self, symbol: str, name: str, size: float = 1.0, unit: str = "") -> float:
        """Put in a threshold; `size`: of its unit in SI."""
        number = float(getattr(self.settings, name)) * size
        meaning, source = setting_source(name)
        self._put(
            Value(
                symbol, meaning, number, _si(unit), shown(number, unit), "setting", stated=name, note=source
            )
        )
        return number

    def assume(
        self, symbol: str, name: str, number: float, unit: str, note: str = "nothing is stated"
    ) -> float:
        """Put in what is taken where nothing is stated."""
        self._put(Value(symbol, name, number, _si(unit), shown(number, unit), "assumed", note=note))
        return number

    def constant(self, symbol: str, name: str, number: float, unit: str, source: str) -> float:
        """Put in a constant or a value of a table, with its source."""
        self._put(Value(symbol, name, number, _si(unit), shown(number, unit), "constant", note=source))
        return number

    def step(self, symbol: str, name: str, expression: str, unit: str, source: str = "") -> float:
        """Compute a number from those before it."""
        number = float(evaluate(expression, self.numbers))
        self._add(Step(symbol, name, expression, number, _si(unit), shown(number, unit), source))
        return number

    def computed(self, symbol: str, name: str, number: float, unit: str, function: str, source: str) -> float:
        """Note a number that `function` of xlfuncs gave, which elementary functions do not."""
        self._add(
            Step(symbol, name, "", float(number), _si(unit), shown(float(number), unit), source, function)
        )
        return float(number)

    def on_line(self, symbol: str, name: str, at: str, table: Table) -> float:
        """Read a table at an input: the rows around it, and the straight line between them."""
        here, last = self.numbers[at], len(table.at) - 1
        row = min(max(bisect_right(table.at, here) - 1, 0), last)
        if row == last or here <= table.at[row]:
            return self.constant(symbol, name, table.values[row], table.unit, table.source)
        for number in (row, row + 1):
            which = "below" if number == row else "above"
            known = table.at[number]
            label_ = f"row of the table {which}"
            self.constant(f"{at}_{symbol}{number - row + 1}", label_, known, table.at_unit, table.source)
            value = table.values[number]
            self.constant(f"{symbol}{number - row + 1}", f"{name}, {label_}", value, table.unit, table.source)
        low, high = f"{at}_{symbol}1", f"{at}_{symbol}2"
        line = f"{symbol}1+({symbol}2-{symbol}1)*({at}-{low})/({high}-{low})"
        return self.step(symbol, name, line, table.unit, "straight line between the rows")

    def tried(self, write: Callable[[], float], number: float) -> bool:
        """Whether `write` comes to the number; where it does not, what it wrote is taken back."""
        kept, inputs, steps = dict(self.numbers), len(self.inputs), len(self.steps)
        if isclose(write(), number, rel_tol=1e-9, abs_tol=1e-12):
            return True
        del self.inputs[inputs:], self.steps[steps:]
        self.numbers = kept
        return False

    def judge(self, test: str, result: str = "", limit: str = "", note: str = "") -> None:
        """The test that is true where the rule fires."""
        self._ends = {"test": test, "result": result, "limit": limit, "note": note}

    def done(self) -> Calculation:
        """The calculation."""
        return Calculation(tuple(self.inputs), tuple(self.steps), **self._ends)

    def _put(self, value: Value) -> None:
        self.inputs.append(value)
        if value.number is not None:
            self.numbers[value.symbol] = value.number

    def _add(self, step: Step) -> None:
        self.steps.append(step)
        self.numbers[step.symbol] = step.number


def _si(unit: str) -> str:
    """The SI unit of a number that a person reads in a unit of its own: a difference, a stress."""
    return unit.removesuffix(" difference").removesuffix(" stress")


def nan_if(number: float | None) -> float:
    """NaN for None."""
    return float("nan") if number is None else number


def _linked(value: Value, column: Column, quantity: str, record: int, notes: list[str]) -> Value:
    """The value with what its cell holds, and how its number follows from that."""
    raw, number = column.raw[record], value.number
    value = replace(value, stated=_as_written(raw), note="; ".join(notes))
    unit = str(column.unit[record]) or DISPLAY_UNITS[quantity]
    try:
        known = converter(unit, quantity, assume=True)
    except UnitError:
        return value
    link, written = links.link(known), None
    if number is None or not link or isinstance(raw, bool):
        return value
    if isinstance(raw, str):
        written = links.find(raw, number, known.to_si, column.raw[:_PROVING].tolist())
        if written is None:
            return value
    elif not isinstance(raw, (int, float)) or abs(known.to_si(float(raw)) - number) > 1e-9 * abs(number):
        return value
    plain = written is None and type(known) is Converter
    return replace(
        value,
        scale=known.scale if plain else None,
        offset=known.offset if plain else 0.0,
        link=link,
        written=written,
        note="; ".join([*notes, *([WATER] if known.scale == WATER_60F else [])]),
    )


_PROVING = 200
"""Cells of a column that show how it writes its numbers."""


def _as_written(value: Any) -> str:
    """A cell's value as the sheet shows it: a whole number without the point that one of the readers adds."""
    return re.sub(r"^(-?\d+)\.0$", r"\1", str(value))
