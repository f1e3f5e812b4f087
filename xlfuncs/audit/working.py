"""Writes down how a finding was computed, from the cells of its gauge."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import isclose, isnan, log10
from typing import TYPE_CHECKING, Any

from xlfuncs.audit import written as links
from xlfuncs.audit.calculation import Bound, Calculation, Stand, Step, Value, evaluate, symbols
from xlfuncs.audit.gauges import DISPLAY_UNITS, label
from xlfuncs.audit.settings import Settings, setting_source
from xlfuncs.audit.shown import ROUNDED, Units
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

WATER_60F = converter("SG", "density").scale
WATER = f"SG: over water at 60 degF, {WATER_60F:.9g} kg/m3"
_FLOATS = ("float_", "magnet_")
"""How the fields begin that a float list states."""
PROPOSED = "as this remedy proposes it"


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
        self.units = Units(gauges, record)
        self.listed_at = listed_at
        """The record of the float list whose float is meant instead of the gauge's own; -1: its own."""
        self.floats_of = record
        """The gauge whose float is meant."""
        self.proposed: dict[str, float] = {}
        """Fields that are put in as a remedy proposes them [SI], instead of as they are stated."""
        self.inputs: list[Value] = []
        self.steps: list[Step] = []
        self.numbers: dict[str, float] = {}
        self._ends: dict[str, Any] = {}
        self._bounds: list[Bound] = []
        self._asked: dict[tuple[str, int], None] = {}
        """Fields that were asked for, with the record of each."""
        self.one_case = False

    def of_float(self, field: str) -> bool:
        """Whether a field is one of a float of the list that is meant."""
        return self.listed_at >= 0 and field in self.gauges.listed and field.startswith(_FLOATS)

    def states(self, field: str) -> bool:
        """Whether the sheet, or the float list that is meant, states a field."""
        self.ask(field)
        if self.of_float(field):
            return bool(self.gauges.listed[field].given[self.listed_at])
        return bool(self.gauges.given(field)[self._of(field)])

    def ask(self, field: str) -> None:
        """Note that the calculation depends on what a field states, or on its silence."""
        if not self.of_float(field):
            self._asked[field, self._of(field)] = None

    def holds(self, expression: str, otherwise: str) -> None:
        """Note where the equations hold."""
        self._bounds.append(Bound(expression, otherwise))

    def _of(self, field: str) -> int:
        """The gauge of which a field is put in."""
        return self.floats_of if field.startswith(_FLOATS) else self.record

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
        said = self.units.stated(column, record, quantity, number)
        notes = [part[record] for part in (column.assumed, column.noted, column.source) if record in part]
        value = Value(symbol, label(field), number, SI[quantity], said, "cell", *place)
        self._put(_linked(value, column, quantity, record, notes))
        return number

    def propose(self, symbol: str, name: str, number: float, unit: str) -> float:
        """Put in a number as a remedy proposes it."""
        said = self.units.say(number, unit)
        self._put(Value(symbol, name, number, _si(unit), said, "proposed", note=PROPOSED))
        return number

    def listed(self, symbol: str, field: str, record: int) -> float:
        """Put in what a float list itself says, at a record of it."""
        column = self.gauges.listed[field]
        quantity = str(load("fields")[field]["quantity"])
        number = column.number(record)
        said = self.units.stated(column, record, quantity, number)
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
                symbol,
                meaning,
                number,
                _si(unit),
                self.units.both(number, unit),
                "setting",
                stated=name,
                note=source,
            )
        )
        return number

    def assume(
        self, symbol: str, name: str, number: float, unit: str, note: str = "nothing is stated"
    ) -> float:
        """Put in what is taken where nothing is stated."""
        self._put(Value(symbol, name, number, _si(unit), self.units.say(number, unit), "assumed", note=note))
        return number

    def constant(
        self, symbol: str, name: str, number: float, unit: str, source: str, takes: Sequence[str] = ()
    ) -> float:
        """Put in a constant or a value of a table, with its source. `takes`: inputs for which it holds."""
        said = self.units.both(number, unit)
        self._put(
            Value(symbol, name, number, _si(unit), said, "constant", note=source, takes=self._inputs(takes))
        )
        return number

    def _inputs(self, symbols: Sequence[str]) -> tuple[str, ...]:
        """Those of the symbols that are numbers put in; all of them for '*'."""
        known = [one.symbol for one in self.inputs if one.number is not None]
        return tuple(known if "*" in symbols else (one for one in symbols if one in known))

    def step(self, symbol: str, name: str, expression: str, unit: str, source: str = "") -> float:
        """Compute a number from those before it."""
        number = float(evaluate(expression, self.numbers))
        if abs(number) < ROUNDED * self._largest(expression, _si(unit)):
            number = 0.0  # what is left where a number was subtracted from itself
        self._add(Step(symbol, name, expression, number, _si(unit), self.units.say(number, unit), source))
        return number

    def _largest(self, expression: str, unit: str) -> float:
        """The largest of the numbers of that unit that an expression names."""
        units = {one.symbol: one.unit for one in self.inputs} | {one.symbol: one.unit for one in self.steps}
        named = (one for one in symbols(expression) if units[one] == unit)
        return max((abs(self.numbers[one]) for one in named), default=0.0)

    def computed(
        self,
        symbol: str,
        name: str,
        number: float,
        unit: str,
        function: str,
        source: str,
        takes: Sequence[str] = (),
    ) -> float:
        """Note a number that `function` of xlfuncs gave, which elementary functions do not."""
        said, inputs = self.units.say(float(number), unit), self._inputs(takes)
        self._add(Step(symbol, name, "", float(number), _si(unit), said, source, function, inputs))
        return float(number)

    def on_line(self, symbol: str, name: str, at: str, table: Table) -> float:
        """Read a table at an input: the rows around it, and the straight line between them."""
        here, last = self.numbers[at], len(table.at) - 1
        row = min(max(bisect_right(table.at, here) - 1, 0), last)
        row -= row == last > 0 and here == table.at[last]
        if row == last or here < table.at[row]:
            self._beyond(at, table, row)
            return self.constant(symbol, name, table.values[row], table.unit, table.source)
        ends = " to ".join(self.units.say(table.at[number], table.at_unit) for number in (row, row + 1))
        outside = f"{at} is outside the rows of the table, {ends}"
        if table.values[row] == table.values[row + 1]:
            between = f"AND({at}>={_plain(table.at[row])},{at}<={_plain(table.at[row + 1])})"
            self.holds(between, outside)
            return self.constant(symbol, name, table.values[row], table.unit, f"{ends}: {table.source}")
        for number in (row, row + 1):
            which = "below" if number == row else "above"
            known = table.at[number]
            label_ = f"row of the table {which}"
            self.constant(f"{at}_{symbol}{number - row + 1}", label_, known, table.at_unit, table.source)
            value = table.values[number]
            self.constant(f"{symbol}{number - row + 1}", f"{name}, {label_}", value, table.unit, table.source)
        low, high = f"{at}_{symbol}1", f"{at}_{symbol}2"
        self.holds(f"AND({at}>={low},{at}<={high})", outside)
        line = f"{symbol}1+({symbol}2-{symbol}1)*({at}-{low})/({high}-{low})"
        return self.step(symbol, name, line, table.unit, "straight line between the rows")

    def _beyond(self, at: str, table: Table, row: int) -> None:
        """A table whose end row stands for all beyond it."""
        if len(table.at) > 1:
            sign, end = (">=", table.at[row]) if row else ("<=", table.at[0])
            within = f"{at}{sign}{_plain(end)}"
            self.holds(within, f"{at} is within the table, whose end row was taken")

    def tried(self, write: Callable[[], float], number: float) -> bool:
        """Whether `write` comes to the number; where it does not, what it wrote is taken back."""
        kept, inputs, steps = dict(self.numbers), len(self.inputs), len(self.steps)
        bounds = len(self._bounds)
        if isclose(write(), number, rel_tol=1e-9, abs_tol=1e-12):
            return True
        del self.inputs[inputs:], self.steps[steps:], self._bounds[bounds:]
        self.numbers = kept
        return False

    def judge(
        self, test: str, result: str = "", limit: str = "", note: str = "", same: tuple[str, str] = ("", "")
    ) -> None:
        """The test that is true where the rule fires."""
        self._ends = {"test": test, "result": result, "limit": limit, "note": note, "same": same}

    def done(self, needs: Iterable[str] = ()) -> Calculation:
        """The calculation. `needs`: fields that the rule asks for, whether they are put in or not."""
        for field in needs:
            if field in load("fields"):
                self.ask(field)
        return Calculation(
            tuple(self.inputs),
            tuple(self.steps),
            **({"test": ""} | self._ends),
            bounds=tuple(self._bounds),
            stands=tuple(self._stands()),
            one_case=self.one_case,
        )

    def _stands(self) -> Iterator[Stand]:
        """The cells that are taken as they stand: texts, blanks, what joins lists, numbers put in nowhere."""
        followed = {(one.sheet, one.cell) for one in self.inputs if one.number is not None}
        asked = list(self._asked)
        if any(field in self.gauges.listed and field.startswith(_FLOATS) for field, _ in asked):
            asked += [("float_part", self.floats_of), ("float_part", self.record)]
        seen = set[tuple[str, str]]()
        found = [(label(field), self.gauges.column(field), record) for field, record in asked]
        if (row := int(self.gauges.float_row[self.floats_of])) >= 0 and ("float_part", self.record) in asked:
            found.append(("part number in the float list", self.gauges.listed["float_part"], row))
        places = [(name, str(column.sheet[at]), column.address(at)) for name, column, at in found]
        for name, sheet, cell in (*places, *self._headings(followed)):
            if cell and (sheet, cell) not in followed and (sheet, cell) not in seen:
                seen.add((sheet, cell))
                yield Stand(name, sheet, cell)

    def _headings(self, followed: Collection[tuple[str, str]]) -> Iterator[tuple[str, str, str]]:
        """The headings that say the units of the numbers put in."""
        columns = {(sheet, cell.rstrip("0123456789")) for sheet, cell in followed}
        for table in (*self.gauges.book.gauges, *self.gauges.book.floats):
            for one in table.recognised:
                if (one.sheet, one.column) in columns and one.unit_source == "heading":
                    yield f"heading of {label(one.field)}", one.sheet, one.heading_cell

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


def _plain(number: float) -> str:
    """A number as an expression has it."""
    return repr(float(number)).replace("e", "E")


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
        notes = [*notes, *([f"1 {unit} = {known.scale:.9g} {value.unit}"] if _is_factor(known) else [])]
        written = links.find(raw, number, known.to_si, column.raw[:_PROVING].tolist())
        if written is None:
            return replace(value, note="; ".join(notes))
        notes = notes[:-1] if _is_factor(known) else notes
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


def _is_factor(known: Converter) -> bool:
    """Whether a unit is a multiple of that of SI, and no power of ten."""
    return type(known) is Converter and not known.offset and known.scale > 0 and log10(known.scale) % 1 != 0


_PROVING = 200
"""Cells of a column that show how it writes its numbers."""


def _as_written(value: Any) -> str:
    """A cell's value as the sheet shows it: a whole number without the point that one of the readers adds."""
    return re.sub(r"^(-?\d+)\.0$", r"\1", str(value))
