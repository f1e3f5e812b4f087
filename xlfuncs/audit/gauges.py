"""The gauges of a workbook, joined with their floats: arrays that the rules work on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property, partial
from itertools import chain
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.measure import Measure
from xlfuncs.audit.model import Waiting
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.data.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS
from xlfuncs.data.words import denies, means, tells_none
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge import Array, classes, materials, ratings
from xlfuncs.gauge.floats import ALL_ENDS
from xlfuncs.gauge.fluids import freezing_temperature, resolve
from xlfuncs.gauge.strength import find_material
from xlfuncs.lists.model import Book, Column, Doubt, State, Table
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.book import BookCells
from xlfuncs.spreadsheet.grid import numbered
from xlfuncs.spreadsheet.kept import formula_cells
from xlfuncs.units import UnitError, converter

Mask = NDArray[np.bool_]


DENSITIES = ("fluid_density", "fluid_density_min", "fluid_density_max")
"""Any one of these states the density of the (lower) fluid."""

FLANGE_MATERIALS = ("material_group", "flange_material", "chamber_material")
"""Any one of these states the material group of the flanges; the first that is stated decides."""

VIRTUAL = {
    "known_fluid": "reference density and boiling point (the fluid's name is not that of a known pure fluid)",
    "reference_density": (
        "reference density and boiling point (the fluid's name is not that of a known pure fluid)"
    ),
    "known_freezing": "name of a pure fluid whose freezing point is tabulated",
    "any_density": "operating density of the (lower) fluid",
    "lowest_density": "operating density of the (lower) fluid",
    "any_upper": "density of the upper fluid or vapour",
    "known_service_type": "level or interface service, in one of these words",
    "known_float_service": "service that the float was made for, level or interface",
    "known_ends": "shape of the float's ends: flat, hemispherical or elliptical",
    "known_float_material": "float material by a name of the table of materials",
    "known_magnet_material": "magnet material by a name of the table of magnets",
    "known_chamber_material": "chamber material by a name of the table of materials",
    "known_flange_class": "flange class, one of ASME, PN or JIS",
    "known_material_group": "material group of the flanges",
    "known_temperature_class": "temperature class, one of T1 to T6",
    "known_action": "action of the transmitter, direct or reverse",
    "known_tracing": "heat tracing, yes or no",
    "both_range_values": "lower and upper range value",
    "float_list": "float list",
}
"""What rules need beyond the fields of a sheet. 'known_X' is lacking only where X is stated, but in words
that are not understood."""

STANDS_FOR = {
    "known_fluid": "fluid",
    "known_freezing": "fluid",
    "reference_density": "fluid",
    "any_density": "fluid_density",
    "lowest_density": "fluid_density",
    "any_upper": "upper_density",
    "known_ends": "float_ends",
    "both_range_values": "urv",
    "float_list": "float_part",
}
"""Field in which a person looks for a virtual one; `known_X` is looked for in X."""


def stated_in(need: str) -> str:
    """The field of the sheet in which something that a rule needs stands."""
    if need in STANDS_FOR:
        return STANDS_FOR[need]
    return need.removeprefix("known_").removesuffix(".low").removesuffix(".high")


def label(field: str) -> str:
    """The field as a report names it to a person."""
    if field in VIRTUAL:
        return VIRTUAL[field]
    base, _, end = field.partition(".")
    if base not in load("fields"):
        raise no_field(field)
    text = str(load("fields")[base]["label"])
    return f"{text}: its {'lowest' if end == 'low' else 'highest'} value" if end else text


def no_field(name: str, others: Iterable[str] = ()) -> XlfuncsError:
    """That there is no such field, with the nearest names. `others`: what could have been meant besides."""
    from difflib import get_close_matches

    near = get_close_matches(name, [*load("fields"), *others], 2, 0.7)
    hint = f"did you mean {' or '.join(near)}?" if near else "'xlfuncs columns --fields' lists them"
    return XlfuncsError(f"there is no field '{name}': {hint}")


def part_key(text: str) -> str:
    """A part number without case and surplus blanks, for comparing."""
    return " ".join(str(text).split()).casefold()


def _absent(field: str, n: int) -> Column:
    return Column(
        field=field,
        raw=np.full(n, None, dtype=object),
        state=np.full(n, State.BLANK, dtype=np.uint8),
        low=np.full(n, np.nan),
        high=np.full(n, np.nan),
        text=np.full(n, "", dtype=object),
        unit=np.full(n, "", dtype=object),
        sheet=np.full(n, "", dtype=object),
        row=np.zeros(n, dtype=np.int64),
        col=np.zeros(n, dtype=np.int64),
    )


def _stacked(field: str, tables: Iterable[Table]) -> Column:
    """One column from the same field of several tables."""
    parts = [t.columns.get(field) or _absent(field, len(t)) for t in tables]
    if len(parts) == 1:
        return parts[0]
    joined: dict[str, Any] = {
        name: np.concatenate([getattr(part, name) for part in parts])
        for name in ("raw", "state", "low", "high", "text", "unit", "sheet", "row", "col")
    }
    out = Column(field=field, **joined)
    start = 0
    for part in parts:
        out.problem.update({start + i: why for i, why in part.problem.items()})
        out.assumed.update({start + i: why for i, why in part.assumed.items()})
        out.noted.update({start + i: why for i, why in part.noted.items()})
        out.source.update({start + i: who for i, who in part.source.items()})
        start += len(part)
    return out


def _of_tables(tables: Sequence[Table]) -> dict[str, Column]:
    """Every field of some tables, stacked."""
    names = dict.fromkeys(name for table in tables for name in table.columns)
    return {name: _stacked(name, tables) for name in names}


def _without(column: Column, wrong: dict[tuple[str, int], list[int]]) -> Column:
    """The column with its values in these places impossible: (sheet, column) -> rows."""
    state = column.state.copy()
    for (sheet, number), rows in wrong.items():
        state[(column.col == number) & (column.sheet == sheet) & np.isin(column.row, rows)] = State.IMPOSSIBLE
    return column if (state == column.state).all() else replace(column, state=state)


_LASTING = ("records", "formulas", "first_cases", "_nothing")
"""Properties that no value of a gauge can change."""

Derived = TypeVar("Derived")


class Gauges:
    """n gauges as columns. A value that is missing is NaN, or "" for a text."""

    def __init__(
        self,
        book: Book,
        settings: Settings | None = None,
        *,
        own: dict[str, Column] | None = None,
        listed: dict[str, Column] | None = None,
    ) -> None:
        """`own`, `listed`: columns of the index and of the float lists, where they are not the book's."""
        self.book = book
        self.settings = settings or Settings()
        self.n = sum(len(t) for t in book.gauges)
        self.sheet: NDArray[np.object_] = np.concatenate(
            [np.full(len(t), t.sheet, dtype=object) for t in book.gauges] or [np.empty(0, dtype=object)]
        )
        self.row: NDArray[np.int64] = np.concatenate(
            [t.row for t in book.gauges] or [np.empty(0, dtype=np.int64)]
        )
        self.cases: tuple[str, ...] = tuple(
            chain.from_iterable(t.cases or ("",) * len(t) for t in book.gauges)
        )
        """Which case of its gauge each record is; "" where it has one."""
        self.own: dict[str, Column] = _of_tables(book.gauges) if own is None else own
        """Columns of the index itself, before the floats were joined."""
        self.listed: dict[str, Column] = _of_tables(book.floats) if listed is None else listed
        """Columns of the float lists."""
        self.waiting: Sequence[Waiting] = ()
        """Open columns and what waits for them; known when all other rules are done."""
        self.doubts: list[Doubt] = []
        """What could not be checked at all."""
        self._kept: dict[tuple[str, str], NDArray[Any]] = {}
        """What `given`, `si` and `texts` gave: rules ask for the same field again and again."""
        self._coded: dict[str, tuple[NDArray[np.intp], list[str]]] = {}
        self._derived: dict[str, Any] = {}
        self.columns = dict(self.own)
        self._join()

    # --- the float list -------------------------------------------------------------------------

    def _join(self) -> None:
        """Fill the float's data from the float list, where the index does not state it itself."""
        self.float_row: NDArray[np.int64] = np.full(self.n, -1, dtype=np.int64)
        """Record of the gauge's float in the float lists; -1 where there is none."""
        if "float_part" not in self.listed or "float_part" not in self.own:
            return
        where: dict[str, int] = {}
        for record, part in enumerate(self.listed["float_part"].text):
            if part:
                where.setdefault(part_key(part), record)
        keys = {part: where.get(part_key(part), -1) for part in set(self.own["float_part"].text.tolist())}
        self.float_row = np.array([keys[p] for p in self.own["float_part"].text.tolist()], dtype=np.int64)
        for name, column in self.listed.items():
            if name in ("float_part", "remarks"):
                continue
            theirs = column.take(self.float_row)
            ours = self.own.get(name)
            self.columns[name] = theirs if ours is None else first_given(ours, theirs)

    # --- reading --------------------------------------------------------------------------------

    def column(self, field: str) -> Column:
        """The column of a field; an empty one where the workbook has none. XlfuncsError: no such field."""
        if field not in self.columns:
            if field not in load("fields"):
                raise no_field(field)
            self.columns[field] = replace(self._nothing, field=field, problem={}, assumed={})
        return self.columns[field]

    @cached_property
    def _nothing(self) -> Column:
        """A field that the workbook does not have."""
        return _absent("", self.n)

    def given(self, field: str) -> Mask:
        """Where a gauge states a usable value of a field, or where what a `VIRTUAL` one means holds.

        "viscosity.high" is lacking where a value is given that is open towards that end ('>500 cP').
        """
        if field in VIRTUAL:
            kept = self._kept.get(("given", field))
            if kept is None:
                kept = self._kept["given", field] = np.asarray(self._virtual(field), dtype=np.bool_)
            return kept
        base, _, end = field.partition(".")
        if end:
            column = self.column(base)
            return np.asarray(~column.given | ~np.isnan(column.low if end == "low" else column.high))
        if field == "tracing":  # a dash is an answer
            return self._once("given", field, lambda column: column.given | self.dashed(field))
        return self._once("given", field, lambda column: column.given)

    def mentioned(self, field: str) -> Mask:
        """Where the sheet has something for a field, usable or not: neither blank nor a dash."""
        return self._once(
            "mentioned", field, lambda column: (column.state != State.BLANK) & ~self.dashed(field)
        )

    def dashed(self, field: str) -> Mask:
        """Where a dash, 'n/a' or 'none' says that there is no such thing."""
        return self._once("dashed", field, _dashed)

    def unusable(self, field: str) -> Mask:
        """Where a field that has a default states something that cannot be used."""
        base = stated_in(field)
        return np.asarray(self.mentioned(base) & ~(self.given(base) & self.given(field)))

    def si(self, field: str) -> Array:
        """SI numbers, NaN where none is given (the middle of a range). Not to be written to.

        XlfuncsError for a field of texts: compared with a number, it would pass everywhere.
        """
        if ("si", field) not in self._kept and load("fields").get(field, {}).get("kind") == "text":
            raise XlfuncsError(f"the field '{field}' holds texts: ask for gauges.texts('{field}')")
        return self._once("si", field, lambda column: np.where(column.given, column.value, np.nan))

    def low(self, field: str) -> Array:
        """Lowest SI numbers; the bound of one that is open towards it ('<20'). Not to be written to."""
        return self._once("low", field, lambda column: np.where(column.given, _end(column, "low"), np.nan))

    def high(self, field: str) -> Array:
        """Highest SI numbers; the bound of one that is open towards it ('>20'). Not to be written to."""
        return self._once("high", field, lambda column: np.where(column.given, _end(column, "high"), np.nan))

    def or_default(self, field: str, default: float) -> Array:
        """SI numbers; the default where nothing is stated, NaN where something unusable is."""
        return np.where(self.mentioned(field), self.si(field), default)

    def texts(self, field: str) -> NDArray[np.object_]:
        """Texts, "" where none is given. Not to be written to."""
        return self._once("texts", field, lambda column: np.where(column.given, column.text, ""))

    def coded(self, field: str) -> tuple[NDArray[np.intp], list[str]]:
        """(number of each gauge's text in the second, the different texts of a field)."""
        kept = self._coded.get(field)
        if kept is None and field not in self.columns:
            kept = self._coded[field] = np.zeros(self.n, np.intp), [""]
        if kept is None:
            codes, different = numbered(self.texts(field).tolist())
            kept = self._coded[field] = codes, list(map(str, different))
        return kept

    def each(self, field: str, read: Callable[[str], Any]) -> NDArray[np.object_]:
        """`read` for each text of a field, once for each different one; None where none is given."""
        codes, texts = self.coded(field)
        answers = np.empty(len(texts), dtype=object)
        answers[:] = [read(text) if text else None for text in texts]
        return answers[codes]

    def by_text(self, field: str, where: Mask) -> Iterator[tuple[str, Mask]]:
        """Each different text of a field `where` it is asked for, with its gauges."""
        codes, texts = self.coded(field)
        for code in sorted(set(codes[where].tolist())):
            yield texts[code], np.asarray(where & (codes == code))

    def says(self, field: str, meaning: str) -> Mask:
        """Where the text of a field says `meaning`, a block of `data/words.toml`."""
        return self._tells(field, partial(means, meaning=meaning))

    def _tells(self, field: str, test: Callable[[str], bool]) -> Mask:
        """Where the text of a field passes a test."""
        codes, texts = self.coded(field)
        return np.array([bool(text) and test(text) for text in texts], dtype=np.bool_)[codes]

    def derived(self, what: str, compute: Callable[[], Derived]) -> Derived:
        """What `compute` gave at its first call under this name: several rules need it."""
        if what not in self._derived:
            self._derived[what] = compute()
        found: Derived = self._derived[what]
        return found

    def reworded(self, field: str, change: Callable[[str], str]) -> list[str]:
        """The texts of a field, changed all at once, as lines: a hundred thousand calls take long."""
        return change("\n".join(self.texts(field).tolist())).split("\n")  # no text of a sheet has lines

    def repeats(self, field: str, ignored: re.Pattern[str]) -> Iterator[tuple[int, int]]:
        """(record, first record) where a text of a field stands again, but for case and what is `ignored`."""
        ascii_ignored = {number: None for number in range(128) if ignored.fullmatch(chr(number))}

        def key(text: str) -> str:  # a table is ten times faster than a pattern
            text = text.casefold()
            return text.translate(ascii_ignored) if text.isascii() else ignored.sub("", text)

        keys = self.reworded(field, key)
        codes, different = numbered(keys)
        if len(different) == len(keys):
            return
        first = np.full(len(different), -1)
        first[codes[::-1]] = np.arange(len(keys))[::-1]  # of several records at one place the last one stays
        for record in np.flatnonzero(first[codes] != np.arange(len(keys))).tolist():
            earlier = int(first[codes[record]])
            if keys[record] and not self.is_case_of(record, earlier):
                yield record, earlier

    def is_case_of(self, record: int, other: int) -> bool:
        """Whether two records are cases of one gauge."""
        if not (self.cases[record] and self.cases[other]):
            return False
        return self.whose(record) == self.whose(other)

    def whose(self, record: int) -> tuple[str, str, str]:
        """(sheet, cell of the tag, tag): the gauge of a record, the same for all of its cases."""
        return (*self.place(record, "tag"), self.tag(record))

    @cached_property
    def visible_ends(self) -> tuple[Array, Array]:
        """Ends of the visible range above the bottom connection [m]; it starts there unless stated."""
        low = self.or_default("visible_low", 0.0)
        return low, low + self.si("visible_range")

    @cached_property
    def first_cases(self) -> Mask:
        """Where a record is the first, or the only, case of its gauge."""
        out = np.ones(self.n, dtype=np.bool_)
        if any(self.cases):
            seen: set[tuple[str, str, str]] = set()
            for record in np.flatnonzero(np.array(self.cases, dtype=object) != "").tolist():
                gauge = self.whose(record)
                out[record] = gauge not in seen
                seen.add(gauge)
        return out

    def _once(self, kind: str, field: str, read: Callable[[Column], NDArray[Any]]) -> NDArray[Any]:
        kept = self._kept.get((kind, field))
        if kept is None:
            kept = self._kept[kind, field] = read(self.column(field))
            kept.setflags(write=False)
        return kept

    @cached_property
    def records(self) -> dict[tuple[str, int], int]:
        """(sheet, row) -> number of its first gauge; every row of a data sheet is its one gauge's."""
        places = zip(self.sheet.tolist(), self.row.tolist(), strict=True)
        found = {place: record for record, place in reversed(list(enumerate(places)))}
        start = 0
        for table in self.book.gauges:
            if len(table) == 1:
                rows = {int(column.row[0]) for column in table.columns.values()}
                found |= {(table.sheet, row): start for row in rows if (table.sheet, row) not in found}
            start += len(table)
        return found

    def tag(self, record: int) -> str:
        """The gauge's tag, "" where it has none."""
        return str(self.column("tag").text[record]) if self.given("tag")[record] else ""

    def place(self, record: int, field: str) -> tuple[str, str]:
        """(sheet, cell) of a gauge's value; its tag, or its row, where the value has no cell."""
        for name in (field, "tag"):
            column = self.column(name)
            if address := column.address(record):
                return str(column.sheet[record]), address
        return str(self.sheet[record]), f"A{int(self.row[record])}"

    def measure(self, record: int, field: str, si: float | None = None) -> Measure | None:
        """The value of a cell, or another SI value of the same kind, in the unit of the sheet."""
        column = self.column(field)
        spec = load("fields")[field]
        if spec["kind"] == "text":
            text = str(column.text[record])
            return Measure(text) if text else None
        number = column.number(record) if si is None else float(si)
        if np.isnan(number):
            return None
        unit = self.unit_of(record, field) or DISPLAY_UNITS[spec["quantity"]]
        try:
            into = converter(unit, spec["quantity"], assume=True)
            if not into.rising and number > 0 and spec["quantity"] == "pressure_gauge":
                unit = self._unit_above_atmosphere(record, unit)  # a vacuum of less than none is none
                into = converter(unit, spec["quantity"], assume=True)
            shown = float(into.from_si(number))
        except UnitError:
            unit = DISPLAY_UNITS[spec["quantity"]]
            shown = float(converter(unit, spec["quantity"]).from_si(number))
        return Measure(shown, unit)

    def _unit_above_atmosphere(self, record: int, vacuum: str) -> str:
        """The unit of a gauge's other pressures; that of the vacuum as a gauge pressure where it has none."""
        for name, column in self.own.items():
            if load("fields")[name].get("quantity") == "pressure_gauge" and column.given[record]:
                unit = str(column.unit[record])
                if unit and converter(unit, "pressure_gauge", assume=True).rising:
                    return unit
        return converter(vacuum.removesuffix(" vac"), "pressure_gauge", assume=True).unit

    def usual_unit(self, record: int, quantity: str) -> str:
        """The unit of the gauge's first value of a quantity; "" where it has none."""
        for name, column in self.own.items():
            if load("fields")[name].get("quantity") == quantity and column.given[record]:
                unit = str(column.unit[record])
                if unit:
                    return unit
        return ""

    def unit_of(self, record: int, field: str) -> str:
        """The unit of a cell; of a blank one that of its column, else of its row; "" where there is none."""
        column = self.column(field)
        unit = str(column.unit[record])
        if unit or column.given[record] or load("fields")[field]["kind"] == "text":
            return unit
        quantity, sheet = str(load("fields")[field]["quantity"]), str(self.sheet[record])
        if unit := self.derived(f"unit {field} {sheet}", lambda: _most_usual(column, sheet)):
            return unit
        unit = self.usual_unit(record, quantity)
        if quantity == "length" and field.startswith(OF_PARTS):
            return FINE.get(unit, unit)
        return unit or (IN_INCHES.get(quantity, "") if self.in_inches(record) else "")

    def in_inches(self, record: int, field: str = "") -> bool:
        """Whether a gauge's lengths, or what its sheet has for one of them, are in inches or feet."""
        unit = self.unit_of(record, field) if field else self.usual_unit(record, "length")
        return unit in ("in", "ft")

    def say(self, record: int, field: str, si: float) -> str:
        """An SI value as a text in the unit that the sheet has for `field`."""
        return str(self.measure(record, field, si) or "")

    def without(self, cells: Iterable[tuple[str, str]]) -> Gauges:
        """The gauges without the values of these (sheet, cell), which a finding says are impossible."""
        wrong: dict[tuple[str, int], list[int]] = {}
        for sheet, cell in cells:
            column_number, row = split_address(cell)
            wrong.setdefault((sheet, column_number), []).append(row)
        if not wrong:
            return self
        own, listed = (
            {name: _without(column, wrong) for name, column in columns.items()}
            for columns in (self.own, self.listed)
        )
        other = Gauges(self.book, self.settings, own=own, listed=listed)
        for name in _LASTING:
            if name in self.__dict__:
                other.__dict__[name] = self.__dict__[name]
        return other

    # --- what several rules need ----------------------------------------------------------------

    @cached_property
    def densities(self) -> tuple[Array, Array]:
        """Lowest and highest stated density of the (lower) fluid."""
        block = np.stack([end for name in DENSITIES for end in (self.low(name), self.high(name))])
        return np.fmin.reduce(block), np.fmax.reduce(block)

    @cached_property
    def different_densities(self) -> tuple[Array, ...]:
        """`densities`; one of the two where no gauge states a range."""
        low, high = self.densities
        return (low,) if np.array_equal(low, high, equal_nan=True) else (low, high)

    @cached_property
    def interface(self) -> Mask:
        """Gauges of an interface: stated, or named so, or the upper fluid is as dense as a liquid."""
        level = self.says("service_type", "level")
        named = self.says("service_type", "interface") | (~level & self.says("service", "interface"))
        silent = ~named & ~level
        return named | (silent & (self.si("upper_density") > self.settings.interface_liquid_from_kg_m3))

    @cached_property
    def upper(self) -> Array:
        """Density of the upper fluid; 0 for a level gauge that states none, NaN where it has to be known."""
        return np.where(self._upper_silent, 0.0, self.si("upper_density"))

    @cached_property
    def uppers(self) -> tuple[Array, Array]:
        """Lowest and highest density that the upper fluid can have.

        Of a level gauge that states none: 0, and that of an ideal gas of `HEAVY_GAS` at the gauge's pressure,
        which is denser than the vapour of any usual fluid.
        """
        pressure = np.where(
            self.given("operating_pressure"), self.high("operating_pressure"), self.high("design_pressure")
        )
        kelvin = np.where(
            self.given("operating_temperature"), self.low("operating_temperature"), ZERO_CELSIUS
        )
        with np.errstate(invalid="ignore", divide="ignore"):
            bound = (pressure + ATMOSPHERE) * HEAVY_GAS / (GAS_CONSTANT * kelvin)
        bound = np.where(np.isfinite(bound), np.maximum(bound, 0.0), 0.0)
        silent = self._upper_silent
        return (
            np.where(silent, 0.0, self.low("upper_density")),
            np.where(silent, bound, self.high("upper_density")),
        )

    @property
    def _upper_silent(self) -> Mask:
        """Level gauges that say nothing of the fluid above the liquid, or that it is a gas."""
        named = self.given("upper_fluid") & ~self.says("upper_fluid", "gas")
        liquid = named & ~self.says("service_type", "level")
        return np.asarray(~self.interface & ~self.mentioned("upper_density") & ~liquid)

    @cached_property
    def formulas(self) -> BookCells | None:
        """The workbook's cells with their formulas; None where it has none, or they cannot be read."""
        try:
            return formula_cells(self.book.path) if self.book.has_formulas else None
        except XlfuncsError as why:
            text = f"the formulas of the workbook were not checked: {why}"
            self.doubts.append(Doubt("file", "", "", text))
            return None

    @cached_property
    def known_fluid(self) -> Mask:
        """Where the fluid's name is one with reference data."""
        return self._tells("fluid", lambda text: resolve(text) is not None)

    def _virtual(self, name: str) -> Mask:
        """Where what a `VIRTUAL` field means holds."""
        match name:
            case "known_fluid":
                return self.known_fluid
            case "reference_density":
                return self.known_fluid | self.by_api_gravity
            case "known_freezing":
                found = self.known_fluid.copy()
                found[found] = ~np.isnan(freezing_temperature(self.texts("fluid")[found]))
                return found
            case "any_upper":
                return ~np.isnan(self.upper)
            case "lowest_density" | "any_density":
                low, high = (
                    np.logical_or.reduce(
                        [self.given(field) & ~np.isnan(getattr(self.column(field), end)) for field in fields]
                    )
                    for end, fields in (("low", DENSITIES[:2]), ("high", DENSITIES[::2]))
                )
                return np.asarray(low if name == "lowest_density" else low & high)
            case "both_range_values":
                return self.given("lrv") & self.given("urv")
            case "float_list":
                return np.full(self.n, bool(self.book.floats))
            case "known_ends":
                return ~self.ends_unknown
            case "known_tracing":
                return self.traced | self.untraced | ~self.given("tracing")
            case "known_flange_class":
                understood = self._tells("flange_class", lambda text: classes.read(text) is not None)
                return understood | ~self.given("flange_class")
            case "known_material_group":
                silent = np.logical_and.reduce([~self.given(field) for field in FLANGE_MATERIALS])
                return np.asarray(silent | (self.material_groups != None))  # noqa: E711 - elementwise
        field = name.removeprefix("known_")
        if field in _WORDS:
            understood = np.logical_or.reduce([self.says(field, word) for word in _WORDS[field]])
        else:
            read = _TABLES[field]
            understood = self._tells(field, lambda text: read(text) is not None)
        return np.asarray(understood | ~self.given(field))

    @cached_property
    def flange_classes(self) -> NDArray[np.object_]:
        """Rating of the flanges (`classes.Rating`); None where none is stated or understood."""
        return self.each("flange_class", classes.read)

    @cached_property
    def flangeless(self) -> Mask:
        """Where threaded, welded or clamped ends are stated."""
        return self._tells("flange_class", lambda text: classes.read(text) == classes.Rating(classes.NONE))

    @cached_property
    def flange_systems(self) -> NDArray[np.object_]:
        """System of each gauge's flange class; ASME B16.5 where none is stated or understood."""
        systems = self.each("flange_class", _flange_system)
        unstated = np.array([system is None for system in systems.tolist()], dtype=np.bool_)
        systems[unstated] = classes.ASME
        return systems

    @cached_property
    def group_fields(self) -> NDArray[np.object_]:
        """The field that decides the material group of the flanges; "" where none is stated.

        A material group of another system than that of the flange class does so only where nothing else is.
        """
        deciding = np.full(self.n, "", dtype=object)
        for field in ("material_group", *reversed(FLANGE_MATERIALS[1:])):
            deciding[self.given(field)] = field
        theirs = self.each("material_group", _group_system).tolist()
        wanted = self.flange_systems.tolist()
        fits = np.array([a is None or a == b for a, b in zip(theirs, wanted, strict=True)], dtype=np.bool_)
        deciding[self.given("material_group") & fits] = "material_group"
        return deciding

    @cached_property
    def material_groups(self) -> NDArray[np.object_]:
        """Material group of the flanges: the stated one, that of their material, or of the chamber's.

        What is stated but not understood gives None: the chamber's may be another.
        """
        groups = np.full(self.n, None, dtype=object)
        stated = self.group_fields == "material_group"
        groups[stated] = self.each("material_group", ratings.group_number)[stated]
        for field in FLANGE_MATERIALS[1:]:
            for system in dict.fromkeys(self.flange_systems.tolist()):
                here = (self.group_fields == field) & (self.flange_systems == system)
                groups[here] = self.each(field, partial(_group_in, system))[here]
        return groups

    @property
    def by_api_gravity(self) -> Mask:
        """Where a density is an API gravity: one at 60 degF by definition, of an oil."""
        columns = [self.column(name) for name in DENSITIES]
        return np.asarray(np.logical_or.reduce([c.given & (c.unit == "degAPI") for c in columns]))

    @cached_property
    def untraced(self) -> Mask:
        """Where the sheet states that there is no tracing; a dash in that column says so too."""
        return np.asarray(self._tells("tracing", denies) | self.dashed("tracing"))

    @cached_property
    def traced(self) -> Mask:
        """Where tracing is stated, or data of a tracer."""
        data = self.given("tracer_output") | self.given("maintain_temperature")
        return np.asarray(~self.untraced & (self.says("tracing", "yes") | data))

    @cached_property
    def _stated_ends(self) -> NDArray[np.object_]:
        """Shape of the float's ends as stated, bottom/top where they differ; None where it is unknown."""
        return self.each("float_ends", stated_shape)

    @cached_property
    def ends(self) -> NDArray[np.str_]:
        """Shape of the float's ends; flat where none is stated."""
        stated = self._stated_ends
        names = {name for name in stated.tolist() if name}
        widest = max(map(len, ("flat", *names)))
        shape = np.full(self.n, "flat", dtype=f"U{widest}")  # compared much faster than objects
        for name in names:
            shape[stated == name] = name
        return shape

    @cached_property
    def ends_unknown(self) -> Mask:
        """Where a shape of end is stated that is none of ours, or two and not which is where."""
        return np.asarray(self.given("float_ends") & (self._stated_ends == np.array(None)))

    @cached_property
    def float_shape(self) -> tuple[Array, Array, Array, NDArray[np.str_]]:
        """mass, diameter, length, ends for the float balance; length NaN where the ends are unknown."""
        length = np.where(self.ends_unknown, np.nan, self.si("float_length"))
        return self.si("float_mass"), self.si("float_diameter"), length, self.ends

    @cached_property
    def geometry_known(self) -> Mask:
        """Where the float balance can be solved for the reading."""
        mass, diameter, length, _ = self.float_shape
        return ~np.isnan(mass + diameter + length + self.si("magnet_height"))


def stated_shape(text: str) -> str | None:
    """Shape of the ends that a cell names: one word for both, or bottom/top; None where it is not clear.

    >>> stated_shape("hemispherical top, flat bottom"), stated_shape("2:1 elliptical")
    ('flat/hemispherical', 'elliptical')
    >>> stated_shape("flat and hemispherical") is None
    True
    """
    named = [shape for shape in ALL_ENDS if means(text, shape)]
    if len(named) == 1:
        return named[0]
    sides: dict[str, str] = {}
    for part in _SIDES.split(text):
        shapes = [shape for shape in ALL_ENDS if means(part, shape)]
        for side in ("bottom_end", "top_end"):
            if means(part, side) and len(shapes) == 1:
                sides[side] = shapes[0]
    return f"{sides['bottom_end']}/{sides['top_end']}" if len(sides) == 2 else None


_SIDES = re.compile(r"[,;/+&\n]|\b(?:and|und|et|y|e|en|i|и)\b", re.IGNORECASE)


def _most_usual(column: Column, sheet: str) -> str:
    """The unit of most of a column's cells, of those on a sheet if any; "" where none states one."""
    here = column.given & (column.sheet == sheet)
    units = column.unit[here if here.any() else column.given].tolist()
    return str(max(dict.fromkeys(units), key=units.count, default=""))


def first_given(ours: Column, theirs: Column) -> Column:
    """The index's own value where it states one, else the float list's."""
    use = ours.given | (ours.state == State.ERROR) | ((ours.state != State.BLANK) & ~theirs.given)
    mixed: dict[str, Any] = {
        name: np.where(use, getattr(ours, name), getattr(theirs, name))
        for name in ("raw", "state", "low", "high", "text", "unit", "sheet", "row", "col")
    }
    out = Column(field=ours.field, **mixed)
    out.problem = theirs.problem | ours.problem
    out.assumed = theirs.assumed | ours.assumed
    out.noted = theirs.noted | ours.noted
    out.source = theirs.source | ours.source
    return out


def _dashed(column: Column) -> Mask:
    placed = column.state == State.PLACEHOLDER
    if not placed.any():
        return np.asarray(placed)
    return np.asarray(placed & [tells_none(str(raw)) for raw in column.raw.tolist()])


def _end(column: Column, end: str) -> Array:
    number: Array = getattr(column, end)
    if column.high is column.low:
        return number
    return np.where(np.isnan(number), column.value, number)


def _temperature_class(text: str) -> float | None:
    limit = float(ratings.temperature_class_limit(text))
    return None if np.isnan(limit) else limit


def _magnet(text: str) -> float | None:
    limit = float(ratings.magnet_limit(text))
    return None if np.isnan(limit) else limit


def _flange_system(text: str) -> str:
    rating = classes.read(text)
    return rating.system if rating is not None and rating.system != classes.NONE else classes.ASME


def _group_system(text: str) -> str | None:
    group = ratings.group_number(text)
    return None if group is None else ratings.group_system(group)


def _group_in(system: str, text: str) -> str | None:
    """Material group of a named material in a system of flange ratings."""
    return materials.read(text).group(system)


_WORDS = {
    "service_type": ("interface", "level"),
    "float_service": ("interface", "level"),
    "action": ("reverse", "direct"),
}
"""Fields that are answered by words, and the blocks of `data/words.toml` that hold them."""
_TABLES: dict[str, Callable[[str], Any]] = {
    "float_material": find_material,
    "magnet_material": _magnet,
    "chamber_material": ratings.is_ferromagnetic,
    "temperature_class": _temperature_class,
}
"""Fields whose texts are looked up in a table; None for what is not in it."""

UNREAD_WORDS = frozenset(f"known_{field}" for field in (*_WORDS, *_TABLES, "ends", "tracing"))
"""What is lacking only where a cell was not understood."""

ATMOSPHERE = STANDARD_ATMOSPHERE
GAS_CONSTANT = 8.314462618
"""J/(mol K), CODATA 2018."""
HEAVY_GAS = 0.1
"""kg/mol; above nearly every vapour (butane 0.058, chlorine 0.071): common practice, no source."""

SAME_PRESSURE = 1e-3
"""Relative difference of two pressures that comes from rounding in another unit: 145 psi are 10 bar (common
practice, no source)."""

DISPLAY_UNITS = {
    "density": "kg/m3",
    "length": "mm",
    "mass": "g",
    "temperature": "degC",
    "pressure_gauge": "barg",
    "dynamic_viscosity": "mPa.s",
    "velocity": "mm/s",
    "current": "mA",
    "power_per_length": "W/m",
    "conductivity": "W/m/K",
}
"""Unit for a value whose cell states none."""

FINE: Final = {"ft": "in", "yd": "in", "m": "mm", "km": "mm", "cm": "mm"}
"""Unit of lengths as of a plant -> the one in which floats, chambers and offsets are read."""
OF_PARTS: Final = ("float_", "magnet_", "chamber_", "insulation_", "room_", "scale_zero")
"""How the fields begin whose lengths are so read."""
IN_INCHES: Final = {"velocity": "in/s", "power_per_length": "W/ft"}
"""Quantity -> its unit where lengths are in inches and no cell states another."""
