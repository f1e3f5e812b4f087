"""Writes down how a finding was computed, from the cells of its gauge."""

from __future__ import annotations

import re
from math import isnan
from typing import TYPE_CHECKING, Any

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
    "m2": (1e-4, 0.0, "cm2"),
    "m3": (1e-6, 0.0, "cm3"),
}
"""SI unit -> size, zero and name of the unit in which a person reads it."""


def shown(number: float, unit: str) -> str:
    """An SI number as a person reads it.

    >>> shown(0.0184, "m"), shown(850.0, "kg/m3"), shown(0.25, "")
    ('18.4 mm', '850 kg/m3', '0.25')
    """
    size, zero, name = SHOWN.get(unit, (1.0, 0.0, unit))
    value = (number - zero) / size
    text = f"{value:.0f}" if abs(value) >= 10000 else f"{value:.5g}"
    return f"{text} {name}".strip()


class Working:
    """The calculation of one finding, while it is being written."""

    def __init__(self, gauges: Gauges, settings: Settings, record: int) -> None:
        self.gauges = gauges
        self.settings = settings
        self.record = record
        self.floats_of = record
        """The gauge whose float is meant."""
        self.inputs: list[Value] = []
        self.steps: list[Step] = []
        self.numbers: dict[str, float] = {}
        self._ends = {"test": "", "result": "", "limit": "", "note": ""}

    def _of(self, field: str) -> int:
        """The gauge of which a field is put in."""
        return self.floats_of if field.startswith(("float_", "magnet_")) else self.record

    def cell(self, symbol: str, field: str, end: str = "", *, default: float | None = None) -> float:
        """Put in a gauge's value: its `low` or `high` end, else the middle; the default where none stands."""
        record = self._of(field)
        column = self.gauges.column(field)
        quantity = str(load("fields")[field]["quantity"])
        if not column.given[record]:
            return self.assume(symbol, label(field), nan_if(default), SI[quantity])
        number = column.number(record)
        if end:
            one = float(getattr(column, end)[record])
            number = number if isnan(one) else one
        scale, offset = self._conversion(column, quantity, number, record)
        self._put(
            Value(
                symbol,
                label(field),
                number,
                SI[quantity],
                self.gauges.say(record, field, number),
                "cell",
                *self.gauges.place(record, field),
                stated=_as_written(column.raw[record]),
                scale=scale,
                offset=offset,
                note="; ".join(
                    part[record] for part in (column.assumed, column.noted, column.source) if record in part
                ),
            )
        )
        return number

    def listed(self, symbol: str, field: str, record: int) -> float:
        """Put in what a float list itself says, at a record of it."""
        column = self.gauges.listed[field]
        quantity = str(load("fields")[field]["quantity"])
        number = column.number(record)
        self._put(
            Value(
                symbol,
                f"{label(field)} in the float list",
                number,
                SI[quantity],
                self.gauges.say(self.record, field, number),
                "cell",
                str(column.sheet[record]),
                column.address(record),
                _as_written(column.raw[record]),
                *self._conversion(column, quantity, number, record),
            )
        )
        return number

    def _conversion(
        self, column: Column, quantity: str, number: float, record: int
    ) -> tuple[float | None, float]:
        """(scale, offset) from the cell's own number, where it is a plain one in a unit that is a factor."""
        raw = column.raw[record]
        if isinstance(raw, bool) or not isinstance(raw, (int, float)):
            return None, 0.0
        unit = str(column.unit[record]) or DISPLAY_UNITS[quantity]
        try:
            known = converter(unit, quantity, assume=True)
        except UnitError:
            return None, 0.0
        linear = type(known) is Converter and abs(known.to_si(float(raw)) - number) <= 1e-9 * abs(number)
        return (known.scale, known.offset) if linear else (None, 0.0)

    def text(self, symbol: str, field: str, *, default: str = "") -> str:
        """Put in a text, for the reader: expressions have no use for it."""
        record = self._of(field)
        words = str(self.gauges.texts(field)[record]) if self.gauges.given(field)[record] else ""
        sheet, cell = self.gauges.place(record, field) if words else ("", "")
        origin = "cell" if words else "assumed"
        self._put(Value(symbol, label(field), None, "", words or default, origin, sheet, cell, words))
        return words or default

    def setting(self, symbol: str, name: str, size: float = 1.0, unit: str = "") -> float:
        """Put in a threshold; `size`: of its unit in SI."""
        number = float(getattr(self.settings, name)) * size
        meaning, source = setting_source(name)
        self._put(
            Value(symbol, meaning, number, unit, shown(number, unit), "setting", stated=name, note=source)
        )
        return number

    def assume(
        self, symbol: str, name: str, number: float, unit: str, note: str = "nothing is stated"
    ) -> float:
        """Put in what is taken where nothing is stated."""
        self._put(Value(symbol, name, number, unit, shown(number, unit), "assumed", note=note))
        return number

    def constant(self, symbol: str, name: str, number: float, unit: str, source: str) -> float:
        """Put in a constant or a value of a table, with its source."""
        self._put(Value(symbol, name, number, unit, shown(number, unit), "constant", note=source))
        return number

    def step(self, symbol: str, name: str, expression: str, unit: str, source: str = "") -> float:
        """Compute a number from those before it."""
        number = float(evaluate(expression, self.numbers))
        self._add(Step(symbol, name, expression, number, unit, shown(number, unit), source))
        return number

    def computed(self, symbol: str, name: str, number: float, unit: str, function: str, source: str) -> float:
        """Note a number that `function` of xlfuncs gave, which elementary functions do not."""
        self._add(Step(symbol, name, "", float(number), unit, shown(float(number), unit), source, function))
        return float(number)

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


def nan_if(number: float | None) -> float:
    """NaN for None."""
    return float("nan") if number is None else number


def _as_written(value: Any) -> str:
    """A cell's value as the sheet shows it: a whole number without the point that one of the readers adds."""
    return re.sub(r"^(-?\d+)\.0$", r"\1", str(value))
