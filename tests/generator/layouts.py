"""Builds the workbooks of a layout: one with sound gauges only, one with faults planted among them."""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from tests.generator import vocabulary as words
from tests.generator.planting import OF_FORMULAS, Fault, faults, near_misses
from tests.generator.sheets import Sheet, write
from tests.generator.style import UNCLEAR, UNITS, WEAK, Style, Unit
from xlfuncs.audit.examples import SOUND, CellError, Formula
from xlfuncs.data import load
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.units import UnitError, converter, parse

FLOAT_FIELDS: Final = (
    "float_part", "float_mass", "float_diameter", "float_length", "float_ends", "magnet_height",
    "float_design_density", "float_max_pressure", "float_max_temperature", "float_wall", "float_material",
    "float_service", "magnet_material", "magnet_max_temperature",
)  # fmt: skip
FLOAT_SIZES: Final = ("float_diameter", "float_length", "magnet_height", "float_wall")
ORDER: Final = (
    "tag", "service", "service_type", "fluid", "fluid_density", "fluid_density_min", "fluid_density_max",
    "upper_density", "operating_pressure", "operating_temperature", "viscosity", "design_pressure",
    "design_temperature", "test_pressure", "level_rate", "freezing_point", "minimum_ambient", "serial",
    "chamber_bore", "chamber_diameter", "chamber_material", "flange_class", "material_group",
    "connection_arrangement", "connection_distance", "visible_range", "scale_zero", "lrv", "urv", "action",
    "set_point", "stated_level", "stated_current", "switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh",
    "float_part", "float_serial", "float_gauge_serial", "transmitter_gauge_serial", *FLOAT_FIELDS[1:],
    "tracing", "tracer_output", "maintain_temperature", "sheath_temperature", "temperature_class",
    "transmitter_max_temperature", "insulation_thickness", "remarks",
)  # fmt: skip
SWITCHES: Final = ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh")
MISSABLE: Final = ("float_wall", "connection_distance", "viscosity", "test_pressure")
"""Fields that a sound row may leave open; each decides a rule of its own."""


@dataclass
class Row:
    """One row of a list: a gauge, or something else that stands between gauges."""

    values: dict[str, Any]
    found: list[tuple[str, str]] = field(default_factory=list)
    """(rule, field) of what must be found."""
    gauges: int = 1
    """How many gauges the row stands for: 0 for other instruments, 2 for two tags in its cell."""
    struck: bool = False
    hidden: bool = False
    loop: str = ""
    """Tag of the gauge whose transmitter or switch the row is."""
    shared: bool = False
    """Its float is the one that several gauges have."""
    missing: str = ""
    """Field that holds a placeholder."""
    index: dict[str, Any] = field(default_factory=dict)
    """Values of the float that the index states as well."""


@dataclass
class Made:
    """A workbook and what an audit of it must find."""

    path: Path
    floats: Path | None = None
    expected: Counter[tuple[str, str]] = field(default_factory=Counter)
    """(rule, 'Sheet!H14') -> how often."""
    gauges: int = 0
    unchecked: list[tuple[str, str]] = field(default_factory=list)
    """(tag, field) that must be named as missing."""
    planted: list[str] = field(default_factory=list)


def build(folder: Path, style: Style, planted: Sequence[Fault]) -> Made:
    """Write the workbook of a layout with some faults; none for the clean one."""
    return _Maker(folder, style, random.Random(f"rows {style.number} {len(planted)}"), planted).make()


def choose(style: Style, count: int) -> list[Fault]:
    """Faults for a layout: those whose turn it is among the ones that fit."""
    fitting = [fault for fault in faults() if fault.fits(style)]
    rng = random.Random(f"faults {style.number}")
    rng.shuffle(fitting)
    if style.number % 3 == 0:  # the faults that only few kinds of files can hold
        fitting.sort(key=lambda fault: fault.slug not in OF_FORMULAS)
    chosen: list[Fault] = []
    for fault in fitting:
        if sum(f.slug == fault.slug for f in chosen) < 2:
            chosen.append(fault)
    return chosen[:count]


# --- values --------------------------------------------------------------------------------------


def _sound(rng: random.Random) -> dict[str, Any]:
    """What a gauge may differ in from the sound one without being wrong."""
    change: dict[str, Any] = {}
    if rng.random() < 0.5:
        density, mass = rng.uniform(850, 1150), 0.35
        area = math.pi / 4 * 0.05**2
        immersion = (mass / area - 3.0 * 0.25) / (density - 3.0)  # flat ends: m = A (rho x + 3 (L - x))
        change = {
            "fluid": f"Blend {rng.randint(1, 40)}",
            "fluid_density": f"{density:.1f} kg/m3",
            "float_design_density": f"{density:.0f} kg/m3",
            "magnet_height": f"{immersion * 1e3:.0f} mm",
            "operating_temperature": f"{rng.randint(8, 24)} degC",  # an API gravity is a density at 60 degF
            "viscosity": f"{rng.uniform(0.4, 4):.2f} mPa.s",
        }
    if rng.random() < 0.5:
        span = rng.choice((600, 800, 1500, 2400))
        change |= dict.fromkeys(("connection_distance", "visible_range", "urv"), f"{span} mm")
        change |= {"stated_level": f"{span // 2} mm"}
        shares = zip(SWITCHES, (0.05, 0.15, 0.85, 0.95), strict=True)
        change |= {name: f"{span * share:g} mm" for name, share in shares}
    return change


def _unit(style: Style, name: str) -> Unit:
    """The unit of a field's column."""
    quantity = load("fields")[name]["quantity"]
    if name in FLOAT_SIZES:
        return style.float_length
    unit = style.units.get(quantity, Unit("", ""))
    if unit.name == "degAPI" and name in ("upper_density", "float_design_density"):
        return Unit("kg/m3", "kg/m3")
    return unit


def _si_unit(unit: Unit) -> str:
    return f"{unit.name}g" if unit.name in UNCLEAR else unit.name


def _number(si: float, unit: Unit, quantity: str, density: float) -> float:
    name = _si_unit(unit)
    if unit.name in ("cSt", "mm2/s"):
        si, quantity = si / density, "kinematic_viscosity"
    return float(f"{float(converter(name, quantity).from_si(si)):.7g}")


def _is_bare(text: Any) -> bool:
    """Whether a cell of an example is to stay as it is."""
    return not isinstance(text, str) or text.startswith("'")


class _Values:
    """Writes values in the units and words of a layout."""

    def __init__(self, style: Style, rng: random.Random) -> None:
        self.style = style
        self.rng = rng

    def cell(self, name: str, value: Any, row: Mapping[str, Any]) -> Any:
        if value is None or isinstance(value, (Formula, CellError)):
            return value
        text = str(value)
        if text.startswith("'"):
            return text[1:]
        spec = load("fields")[name]
        if spec["kind"] == "text":
            return self.words(text)
        return self.quantity(name, text, spec["quantity"], row)

    def words(self, text: str) -> str:
        spellings = words.WORDS.get(text, {}).get(self.style.language)
        return self.rng.choice(spellings) if spellings else text

    def quantity(self, name: str, text: str, quantity: str, row: Mapping[str, Any]) -> Any:
        unit = _unit(self.style, name)
        try:
            read = parse(text, quantity)
        except UnitError:
            return text  # its unit is the fault
        if quantity == "density" and read.unit.startswith("SG") and read.si > 5000 and unit.name != "SG":
            return text
        in_cell = self.style.unit_place in ("cells", "mixed")
        if self.style.unit_place == "mixed":
            unit = self.any_unit(name, quantity)
        density = _density_of(row) if unit.name in ("cSt", "mm2/s") else math.nan
        if unit.name in ("cSt", "mm2/s") and math.isnan(density):
            return None
        ends = sorted(_number(si, unit, quantity, density) for si in (read.si_low, read.si_high))
        end = f" {unit.spelling}" if in_cell else ""
        if ends[0] != ends[1]:
            return f"{ends[0]:.7g}{self.rng.choice((' - ', '-', ' to ', ' … '))}{ends[1]:.7g}{end}"
        return f"{ends[0]:.7g}{end}" if in_cell else ends[0]

    def any_unit(self, name: str, quantity: str) -> Unit:
        fitting = [
            Unit(*entry)
            for entry in UNITS[quantity]
            if entry[0] not in (*UNCLEAR, "cSt", "mm2/s")
            and (entry[0] != "degAPI" or name == "fluid_density")
        ]
        return self.rng.choice(fitting)


def _density_of(row: Mapping[str, Any]) -> float:
    """Density of a row's fluid as the reader takes it, NaN where it cannot."""
    text = row.get("fluid_density")
    if _is_bare(text) or text is None:
        return math.nan
    read = parse(text, "density")
    return (read.si_low + read.si_high) / 2 if read.si_high < 5000 else math.nan


# --- the workbook --------------------------------------------------------------------------------


class _Maker:
    def __init__(self, folder: Path, style: Style, rng: random.Random, planted: Sequence[Fault]) -> None:
        self.style = style
        self.rng = rng
        self.planted = planted
        self.values = _Values(style, rng)
        clean = "" if planted else "-clean"
        self.made = Made(folder / f"layout-{style.number:03d}{clean}{style.suffix}")
        self.sheets: list[Sheet] = []
        self.float_sheets: list[Sheet] = []
        self.count = 0

    def make(self) -> Made:
        rows = self.rows()
        if self.style.vertical:
            self.vertical(rows)
        else:
            self.lists(rows)
        if self.style.sheets_apart:
            self.float_list(rows)
        self.save()
        self.made.gauges = sum(row.gauges for row in rows)
        self.made.planted = [fault.name for fault in self.planted]
        return self.made

    def save(self) -> None:
        style, made = self.style, self.made
        sheets = list(self.sheets)
        if style.front_sheets:
            sheets = [*_front(), *sheets]
        if style.strangers:
            sheets.append(_strangers())
        if self.float_sheets:
            if style.floats == "book":
                made.floats = made.path.with_name(f"{made.path.stem}-floats{style.suffix}")
                write(made.floats, self.float_sheets, style.writer, **style.options)
            else:
                sheets += self.float_sheets
        write(made.path, sheets, style.writer, **style.options)

    # --- which gauges ---

    def rows(self) -> list[Row]:
        style = self.style
        rows = [self.gauge(_sound(self.rng)) for _ in range(4)]
        if style.shared_floats:
            for row in [self.gauge({}) for _ in range(3)]:
                row.shared = True
                row.values["float_part"] = "ZF-100A"
                rows.append(row)
        if self.planted:
            near = [fault for fault in near_misses() if fault.fits(style)]
            for fault in (*self.planted, *self.rng.sample(near, min(3, len(near)))):
                rows += self.fault(fault)
        if style.tag == "several":
            rows.append(self.several())
        if style.texts:
            rows += [self.kept_as_text(kind) for kind in ("comma", "mark", "own unit", "about")]
        if style.ranges:
            rows.append(self.with_ranges())
        if style.bounds:
            rows.append(self.with_bounds())
        if style.centres_in_range:
            rows.append(self.with_centres())
        if style.placeholders:
            rows += [self.open(name) for name in MISSABLE if name in style.columns]
        if style.hidden_needed:
            rows.append(self.gauge({}))
            rows[-1].hidden = True
            rows[-1].found.append(("row-hidden", "tag"))
        if style.formulas:
            self.add_formulas(rows)
        rows = self.mixed(rows)
        return self.with_others(rows)

    def gauge(self, change: Mapping[str, Any], found: Iterable[tuple[str, str]] = ()) -> Row:
        number = self.count
        self.count += 1
        own = {
            "tag": f"LG-{2001 + number}",
            "serial": f"QX-{50300 + number}",
            "float_part": f"ZF-{300 + number}A",
            "float_serial": f"F-{7300 + number}",
            "service": f"Drum V-{100 + number}",
        }
        values = {**SOUND, **own, **{k: v for k, v in change.items() if not k.startswith("_")}}
        if str(values["fluid"]).startswith("Blend") and "operating_temperature" not in change:
            values["operating_temperature"] = "16 degC"
        if change.get("serial") is None and "float_gauge_serial" in change:
            values["serial"] = SOUND["serial"]
        return Row(values, list(found), index=dict(change.get("_index", {})))

    def fault(self, fault: Fault) -> list[Row]:
        rows = [self.gauge(change) for change in fault.rows]
        for number, rule, name in fault.found:
            rows[number].found.append((rule, name))
        return rows

    def several(self) -> Row:
        row = self.gauge({"serial": None, "float_serial": None})
        row.values["tag"] = f"LG-{3000 + self.count}A/B"
        row.gauges = 2
        return row

    def kept_as_text(self, kind: str) -> Row:
        """A sound gauge one number of which is kept as a text."""
        names = [
            n for n in ("connection_distance", "design_pressure", "float_length") if n in self.style.columns
        ]
        name = self.rng.choice(names)
        row = self.gauge({})
        plain = self.values.quantity(name, str(SOUND[name]), load("fields")[name]["quantity"], row.values)
        if not isinstance(plain, float):  # the layout keeps its units in the cells
            return row
        unit = _unit(self.style, name)
        if kind == "own unit":
            text = f"{plain:.7g} {f'{unit.name}g' if unit.name in UNCLEAR else unit.spelling}"
        else:
            text = {
                "comma": f"{plain:.4f}".replace(".", ","),
                "mark": f"{plain:.7g}{self.rng.choice((' *', ' (1)', ' (Note 2)'))}",
                "about": f"{self.rng.choice(('~', 'approx. ', 'ca. '))}{plain:.7g}",
            }[kind]
        if kind == "comma" and self.style.options.get("comma"):
            return row
        row.values[name] = f"'{text}"
        if not (unit.name in UNCLEAR and kind != "own unit"):
            row.found.append(("number-as-text", name))
        return row

    def with_ranges(self) -> Row:
        change = {"fluid_density": "970 - 990 kg/m3", "operating_temperature": "50 - 65 degC"}
        if self.style.units["density"].name == "degAPI" or self.style.unit_place == "mixed":
            del change["fluid_density"]
        return self.gauge(change)

    def with_bounds(self) -> Row:
        """A sound gauge whose viscosity and lowest ambient are bounds."""
        row = self.gauge({})
        for name, sign in (("viscosity", "<"), ("minimum_ambient", ">")):
            plain = self.values.cell(name, SOUND[name], row.values)
            row.values[name] = f"'{sign} {plain:.7g}" if isinstance(plain, float) else f"'{sign}{plain}"
        return row

    def with_centres(self) -> Row:
        """A sound gauge whose range column holds the distance of its connections."""
        row = self.gauge({"connection_distance": None})
        plain = self.values.cell("visible_range", SOUND["visible_range"], row.values)
        row.values["visible_range"] = f"'C/C {plain:.7g}" if isinstance(plain, float) else f"'C/C {plain}"
        if isinstance(plain, float):
            row.found.append(("number-as-text", "visible_range"))
        return row

    def open(self, name: str) -> Row:
        row = self.gauge({})
        row.values[name] = "'" + self.rng.choice(words.PLACEHOLDERS[self.style.language])
        row.missing = name
        self.made.unchecked.append((row.values["tag"], name))
        return row

    def add_formulas(self, rows: list[Row]) -> None:
        """The stated current of every row by one formula; in a planted list one row has a constant."""
        for row in rows:
            row.values["stated_current"] = "by formula"
        if self.planted:
            self.made.planted = []
            row = self.gauge({})
            row.found.append(("formula-overwritten", "stated_current"))
            rows.append(row)

    def mixed(self, rows: list[Row]) -> list[Row]:
        """The rows in another order; rows that belong together keep theirs."""
        order = list(range(len(rows)))
        if self.style.number % 2:
            same: dict[tuple[str, Any], int] = {}
            self.rng.shuffle(order)
            for at, number in enumerate(order):  # of rows with one tag or one float serial the last is named
                for key in ("tag", "float_serial"):
                    text = rows[number].values.get(key)
                    if text and (key, text) in same and rows[order[same[key, text]]].found:
                        first = same[key, text]
                        order[first], order[at] = order[at], order[first]
                    elif text:
                        same[key, text] = at
        return [rows[number] for number in order]

    def with_others(self, rows: list[Row]) -> list[Row]:
        style, rng = self.style, self.rng
        out: list[Row] = []
        for row in rows:
            out.append(row)
            if style.loops and row.gauges == 1 and not row.hidden:
                out += self.loop_rows(row)
            if style.strangers and row.gauges == 1 and rng.random() < 0.2:
                radar = {"tag": str(row.values["tag"]).replace("LG", "LT"), "lrv": "200 mm", "urv": "9000 mm"}
                out.append(Row({**radar, "instrument_type": "Radar level transmitter"}, gauges=0))
            if style.others and rng.random() < 0.4:
                pattern, kind = rng.choice(words.OTHERS)
                values = {
                    name: row.values[name]
                    for name in ("service", "fluid", "operating_pressure", "flange_class")
                }
                values |= {"tag": pattern.format(rng.randint(5000, 5999)), "instrument_type": kind}
                values["visible_range"] = "'0 - 16 barg" if "P" in pattern else None
                out.append(Row(values, gauges=0))
        if style.glasses:
            for number in range(2):
                kept = (
                    "service",
                    "fluid",
                    "fluid_density",
                    "operating_pressure",
                    "design_pressure",
                    "visible_range",
                )
                values = {name: SOUND[name] for name in kept}
                values |= {
                    "tag": f"LG-{8000 + number}",
                    "instrument_type": rng.choice(words.GLASS[style.language]),
                }
                out.insert(rng.randint(1, len(out)), Row(values, gauges=0))
        if style.struck:
            row = self.gauge({"float_mass": "800 g", "urv": "5000 mm", "tag": "LG-7000"})
            row.struck, row.gauges = True, 0
            out.insert(rng.randint(1, len(out)), row)
        for row in out:
            if (row.gauges or row.loop) and (style.others or style.glasses or style.strangers):
                row.values["instrument_type"] = rng.choice(words.MAGNETIC[style.language])
        return out

    def loop_rows(self, row: Row) -> list[Row]:
        """The rows of a gauge's transmitter and switches; the gauge's own row leaves their cells blank."""
        tag = str(row.values["tag"])
        parts = []
        if row.values.get("lrv") or row.values.get("urv"):
            signal = {"lrv": row.values.get("lrv"), "urv": row.values.get("urv")}
            parts.append(Row({"tag": tag.replace("LG", "LT"), **signal}))
        for name in SWITCHES:
            if row.values.get(name):
                letters = name.removeprefix("switch_").upper()
                parts.append(Row({"tag": tag.replace("LG", letters), "set_point": row.values[name]}))
        for part in parts:
            part.gauges, part.loop = 0, tag
            moved = {
                "set_point": next((n for n in SWITCHES if part.values["tag"].startswith(_letters(n))), "")
            }
            for rule, name in list(row.found):
                if name in part.values or name == moved["set_point"]:
                    row.found.remove((rule, name))
                    part.found.append((rule, name if name in part.values else "set_point"))
        for name in ("lrv", "urv", *SWITCHES):
            row.values[name] = None
        return parts

    # --- lists ---

    def lists(self, rows: list[Row]) -> None:
        style = self.style
        name = self.rng.choice(words.SHEET_NAMES[style.language])
        half = len(rows) // 2 if style.two_sheets and not style.loops else len(rows)
        parts = [part for part in (rows[:half], rows[half:]) if part]
        columns = self.index_columns(rows)
        for number, part in enumerate(parts):
            title = name if len(parts) == 1 else f"{name} {number + 1}"
            if style.suffix == ".csv":
                title = self.made.path.stem
            sheet = Sheet(title)
            self.sheets.append(sheet)
            _List(self, sheet, "gauges", columns, part).fill()

    def index_columns(self, rows: list[Row]) -> list[str]:
        style = self.style
        columns = set(style.columns)
        if style.sheets_apart:
            columns -= set(FLOAT_FIELDS[1:])
            columns |= {name for row in rows for name in row.index}
        if style.loops:
            columns = (columns - set(SWITCHES)) | {"set_point"}
        if style.others or style.glasses or style.strangers:
            columns.add("instrument_type")
        filled = {
            name for row in rows for name, value in (row.values | row.index).items() if value is not None
        }
        columns = {name for name in columns if name in filled or self.rng.random() < 0.2}
        ordered: list[str] = [name for name in ORDER if name in columns and name != "tag"]
        if "instrument_type" in columns:
            ordered.insert(0, "instrument_type")
        if style.range_in_one and {"lrv", "urv"} <= columns:
            ordered[ordered.index("lrv")] = "transmitter_range"
            ordered.remove("urv")
        if style.pairs:
            ordered[ordered.index("design_pressure")] = "design_pressure_temperature"
            ordered.remove("design_temperature")
        return [*self.tag_columns(), *ordered]

    def tag_columns(self) -> list[str]:
        match self.style.tag:
            case "split":
                return [*(["tag_area"] if self.style.number % 2 else []), "tag_letters", "tag_number"]
            case "old and new":
                return ["old_tag", "tag"]
            case _:
                return ["tag"]

    def float_list(self, rows: list[Row]) -> None:
        style = self.style
        columns: list[str] = [name for name in FLOAT_FIELDS if name in style.columns]
        if not {"float_mass", "float_max_pressure"} & set(columns):  # else there is nothing to list
            columns = [name for name in FLOAT_FIELDS if name in columns or name in FLOAT_FIELDS[:4]]
        floats = [Row({**SOUND, "float_part": f"ZF-{number}B"}, gauges=0) for number in (90, 91)]
        shared = False
        for row in rows:
            sized = any(
                row.values.get(n) is not None for n in ("float_mass", "float_diameter", "float_length")
            )
            if not row.gauges or not sized or (row.shared and shared):
                continue
            shared = shared or row.shared
            floats.append(row)
        title = self.rng.choice(words.FLOAT_SHEETS[style.language])
        if style.suffix == ".csv":
            title = f"{self.made.path.stem}-floats"
        if style.floats == "below":
            made = _List(self, self.sheets[-1], "floats", columns, floats)
            made.at = max(row for row, _ in self.sheets[-1].cells) + 3
            made.fill(below=True)
            return
        sheet = Sheet(title, hidden=style.hidden_floats)
        self.float_sheets.append(sheet)
        made = _List(self, sheet, "floats", columns, floats)
        made.fill()
        if sheet.hidden:
            part = made.heading_places["float_part"][1]
            for place, text in sheet.cells.items():
                if place[1] == part and isinstance(text, str) and text.strip().startswith("ZF-"):
                    self.expect("row-hidden", sheet, place)

    # --- one sheet for each gauge ---

    def vertical(self, rows: list[Row]) -> None:
        style = self.style
        for row in rows:
            sheet = Sheet(f"{len(self.sheets) + 1} {row.values['tag']}".replace("/", "-"))
            self.sheets.append(sheet)
            at = 1
            for line in words.TITLE_LINES[: min(style.titles, 5)]:
                sheet.cells[at, 2 + style.left] = line
                at += 1
            at += 1
            columns = [name for name in ORDER if name in style.columns and row.values.get(name) is not None]
            if style.sheets_apart:
                columns = [name for name in columns if name not in FLOAT_FIELDS[1:]]
            for name in columns:
                label = self.heading(name, "gauges")
                unit = _unit(style, name) if load("fields")[name]["kind"] == "quantity" else Unit("", "")
                value_at = (at, 4 + style.left)
                if unit.spelling and style.unit_place == "brackets":
                    label = f"{label} ({unit.spelling})"
                elif unit.spelling and style.unit_place == "row":
                    sheet.cells[at, 3 + style.left] = unit.spelling
                sheet.cells[at, 2 + style.left] = label
                sheet.cells[value_at] = self.values.cell(name, row.values[name], row.values)
                wrong = ("value-implausible", name) in row.found
                if (
                    unit.name in UNCLEAR
                    and not wrong
                    and style.unit_place != "cells"
                    and _counts(sheet.cells[value_at])
                ):
                    self.expect("unit-ambiguous", sheet, (at, 2 + style.left))
                self.expect_all(row, name, sheet, value_at)
                at += 1

    # --- what must be found ---

    def expect(self, rule: str, sheet: Sheet, place: tuple[int, int], times: int = 1) -> None:
        self.made.expected[rule, sheet.address(place)] += times

    def expect_all(self, row: Row, name: str, sheet: Sheet, place: tuple[int, int]) -> None:
        for rule, where in row.found:
            if where == name:
                self.expect(rule, sheet, place)

    def heading(self, name: str, kind: str) -> str:
        language = self.style.language
        table = words.LIST_HEADINGS if kind == "floats" and self.rng.random() < 0.6 else words.HEADINGS
        texts = table.get(name, words.HEADINGS[name])[language]
        if name in load("fields") and load("fields")[name].get("quantity") == "density":
            said = _unit(self.style, name).name == "SG" and self.style.unit_place not in ("cells", "mixed")
            texts = tuple(text for text in texts if said or "SG" not in text)
        unclear = self.style.units["pressure_gauge"].name in UNCLEAR
        if unclear or self.style.unit_place in (
            "cells",
            "mixed",
        ):  # 'DP' alone can be a differential pressure
            texts = tuple(text for text in texts if text != "DP")
        text = self.rng.choice(texts)
        if self.style.abbreviated:
            text = words.ABBREVIATED.get(name, text)
        if self.style.bilingual:
            text = f"{text} / {words.HEADINGS[name]['en'][0]}"
        return text.upper() if self.style.upper_case else text


def _letters(switch: str) -> str:
    return f"{switch.removeprefix('switch_').upper()}-"


def _counts(value: Any) -> bool:
    """Whether a value in an unclear unit makes the column unclear."""
    if isinstance(value, str):
        return any(map(str.isdigit, value)) and not value.endswith("g")  # '145 psig' says what it is
    return isinstance(value, float)


def _strangers() -> Sheet:
    sheet = Sheet("Pressure")
    for row, line in enumerate(words.STRANGERS, 1):
        for column, value in enumerate(line, 1):
            sheet.cells[row, column] = CellError(value) if value == "#REF!" else value
    return sheet


def _front() -> list[Sheet]:
    """Sheets that are no lists: a cover and a table of revisions."""
    cover = Sheet("Cover")
    for row, line in enumerate(words.TITLE_LINES, 3):
        cover.cells[row, 3] = line
    changes = Sheet("Revisions")
    table = (("Rev.", "Date", "Description", "By"), ("0", "2020-02-01", "First issue", "A.B."),
             ("1", "2020-05-01", "Floats and densities added", "A.B."))  # fmt: skip
    for row, change in enumerate(table, 1):
        for column, text in enumerate(change, 1):
            changes.cells[row, column] = text
    return [cover, changes]


class _List:
    """Lays out one list in a sheet."""

    def __init__(self, maker: _Maker, sheet: Sheet, kind: str, columns: list[str], rows: list[Row]) -> None:
        self.maker = maker
        self.style = maker.style
        self.rng = maker.rng
        self.sheet = sheet
        self.kind = kind
        self.rows = rows
        self.at = 1
        self.columns = self.arranged(columns)
        self.headings: list[tuple[int, dict[int, str]]] = []
        """Rows of headings, to be repeated: row and its texts by column."""
        self.heading_places: dict[str, tuple[int, int]] = {}
        self.held: dict[str, list[Any]] = {}
        """What the gauges' (the floats') cells of a column hold."""

    def fill(self, below: bool = False) -> None:
        """`below`: under another list of the sheet."""
        if not below:
            self.title()
        self.head()
        self.sample()
        self.body()
        self.end()

    def column(self, number: int) -> int:
        return number + 1 + self.style.left

    def arranged(self, columns: list[str]) -> list[str]:
        """The columns in their order, with irrelevant ones ('-3') among them."""
        style, rng = self.style, self.rng
        tags = [
            name for name in columns if name in ("tag", "old_tag", "tag_area", "tag_letters", "tag_number")
        ]
        rest = [name for name in columns if name not in tags]
        blocks = self.blocks(rest)
        if style.shuffled:
            rng.shuffle(blocks)
        if self.kind == "gauges":
            every = range(len(words.IRRELEVANT[style.language]))
            for number in rng.sample(every, min(style.irrelevant, len(every))):
                blocks.insert(rng.randint(0, len(blocks)), [f"-{number}"])
        blocks.insert(rng.randint(0, 2) if style.shuffled else 0, tags)
        return [name for block in blocks for name in block]

    def blocks(self, columns: list[str]) -> list[list[str]]:
        """Columns that stand under one group heading stay together."""
        if self.style.heading_rows == 1 or self.kind == "floats":
            return [[name] for name in columns]
        out: list[list[str]] = []
        left = list(columns)
        for group in words.GROUPS:
            under = group[self.style.language][1]
            together = [name for name in left if name in under]
            if len(together) > 1:
                out.append(together)
                left = [name for name in left if name not in together]
        return [*out, *([name] for name in left)]

    # --- above the list ---

    def title(self) -> None:
        style = self.style
        if not style.titles:
            return
        self.sheet.cells[1, 1 + style.left] = self.rng.choice(words.TITLES[style.language])
        for row in range(2, style.titles + 1):
            if self.rng.random() < 0.4:
                self.sheet.cells[row, self.rng.randint(1, 6)] = self.rng.choice(words.TITLE_LINES)
        self.at = style.titles + self.rng.randint(1, 2)

    def head(self) -> None:
        style = self.style
        if style.competing == "machine above":
            self.machine_names()
        grouped = self.groups() if style.heading_rows > 1 and self.kind == "gauges" else {}
        if grouped and style.heading_rows == 3:
            self.general(grouped)
        if grouped:
            self.group_row(grouped)
        bottom: dict[int, str] = {}
        top = self.at - 1
        for number, name in enumerate(self.columns):
            text = self.text_of(name, grouped.get(number, ""))
            self.heading_places[name] = (self.at, self.column(number))
            if grouped and number not in grouped and self.above(top, number, text):
                continue
            bottom[number] = text
            self.sheet.cells[self.at, self.column(number)] = text
        self.headings.append((self.at, bottom))
        self.at += 1
        if style.unit_place == "row":
            self.unit_row()
        if style.competing == "machine below":
            self.machine_names()
        if style.competing in ("numbers", "letters"):
            for number in range(len(self.columns)):
                letter = column_letter(self.column(number))
                self.sheet.cells[self.at, self.column(number)] = (
                    float(number + 1) if style.competing == "numbers" else letter
                )
            self.at += 1

    def groups(self) -> dict[int, str]:
        """Number of the column -> its group heading."""
        out: dict[int, str] = {}
        for group in words.GROUPS:
            text, under = group[self.style.language]
            here = [number for number, name in enumerate(self.columns) if name in under]
            if len(here) > 1 and here == list(range(here[0], here[-1] + 1)):
                out |= dict.fromkeys(here, text)
        return out

    def group_row(self, grouped: Mapping[int, str]) -> None:
        texts: dict[int, str] = {}
        for number, text in grouped.items():
            if grouped.get(number - 1) == text:
                continue
            last = number
            while grouped.get(last + 1) == text:
                last += 1
            self.sheet.cells[self.at, self.column(number)] = text
            texts[number] = text
            if self.style.merged:
                self.sheet.merges.append((self.at, self.column(number), self.at, self.column(last)))
        self.headings.append((self.at, texts))
        self.at += 1

    def above(self, top: int, number: int, text: str) -> bool:
        """Put a heading without a group into the row of the groups: where no cells are merged, else every
        other time, merged with the cell below."""
        if self.style.merged and self.style.number % 2:
            return False
        self.sheet.cells[top, self.column(number)] = text
        self.headings[-1][1][number] = text
        self.heading_places[self.columns[number]] = (top, self.column(number))
        if self.style.merged:
            self.sheet.merges.append((top, self.column(number), top + 1, self.column(number)))
        return True

    def general(self, grouped: Mapping[int, str]) -> None:
        """A heading above two groups."""
        names = {group[self.style.language][0] for group in words.GROUPS[:2]}
        here = [number for number, text in grouped.items() if text in names]
        if here and sorted(here) == list(range(min(here), max(here) + 1)):
            text = words.GENERAL_GROUP[self.style.language]
            self.sheet.cells[self.at, self.column(min(here))] = text
            if self.style.merged:
                self.sheet.merges.append((self.at, self.column(min(here)), self.at, self.column(max(here))))
            self.at += 1

    def text_of(self, name: str, group: str) -> str:
        """The heading of a column, with its unit where the layout puts it there."""
        style = self.style
        if name.startswith("-"):
            return words.IRRELEVANT[style.language][int(name[1:])][0]
        if group:
            text = next(g[style.language][1][name] for g in words.GROUPS if g[style.language][0] == group)
        elif name in ("set_point", "transmitter_range"):
            text = _READER_HEADINGS[name][style.language]
        elif name == "design_pressure_temperature":
            units = "/".join(
                _unit(style, field).spelling for field in ("design_pressure", "design_temperature")
            )
            return f"{words.PAIRS[style.language]} " + (f"[{units}]" if "(" in units else f"({units})")
        else:
            text = self.maker.heading(name, self.kind)
        if load("fields")[name]["kind"] != "quantity":
            return text
        unit = _unit(style, name).spelling
        place = style.unit_place
        if unit in WEAK and place in ("plain", "in"):
            place = "brackets"
        return {
            "brackets": f"{text} ({unit})",
            "square": f"{text} [{unit}]",
            "comma": f"{text}, {unit}",
            "plain": f"{text} {unit}",
            "line": f"{text}\n({unit})",
            "in": f"{text} in {unit}",
        }.get(place, text)

    def unit_row(self) -> None:
        texts: dict[int, str] = {}
        mark = self.rng.choice(("", "-", "[]"))
        for number, name in enumerate(self.columns):
            quantity = not name.startswith("-") and load("fields")[name]["kind"] == "quantity"
            unit = _unit(self.style, name).spelling if quantity else ""
            text = f"[{unit}]" if unit and mark == "[]" else unit or ("-" if mark == "-" else "")
            if text:
                texts[number] = text
                self.sheet.cells[self.at, self.column(number)] = text
        self.headings.append((self.at, texts))
        self.at += 1

    def machine_names(self) -> None:
        for number, name in enumerate(self.columns):
            text = words.MACHINE_NAMES.get(name, f"ATTR_{number + 10:02d}")
            self.sheet.cells[self.at, self.column(number)] = text
        self.at += 1

    def sample(self) -> None:
        """A row that shows how to fill in the list."""
        if not self.style.sample_row or self.kind == "floats" or "tag" not in self.columns:
            return
        sample = {"tag": "XX-LG-XXXX", "fluid": "e.g. water", "service": "text", "fluid_density": "number"}
        for number, name in enumerate(self.columns):
            if name in sample:
                self.sheet.cells[self.at, self.column(number)] = sample[name]
        self.at += 1

    # --- the list ---

    def body(self) -> None:
        style, rng = self.style, self.rng
        middle = len(self.rows) // 2
        for number, row in enumerate(self.rows):
            apart = self.kind == "gauges" and not row.loop
            if apart and style.sections and (number == 0 or rng.random() < 0.15):
                text = rng.choice(words.SECTIONS[style.language]).format(100 * rng.randint(1, 9))
                self.sheet.cells[self.at, self.column(0)] = text
                self.at += 1
            if apart and style.blanks and rng.random() < 0.15:
                self.at += 1
            if apart and style.repeated and number == middle:
                self.repeat()
            self.record(number, row)
            self.at += 1
        self.unclear()
        self.hide()

    def repeat(self) -> None:
        """The headings once more, as after a page break."""
        for _, texts in self.headings:
            for number, text in texts.items():
                self.sheet.cells[self.at, self.column(number)] = text
            self.at += 1

    def record(self, number: int, row: Row) -> None:
        sheet = self.sheet
        values = self.stated(row)
        for at, name in enumerate(self.columns):
            place = (self.at, self.column(at))
            if name.startswith("-"):
                choices = words.IRRELEVANT[self.style.language][int(name[1:])][1]
                sheet.cells[place] = choices[number % len(choices)] if row.gauges else None
                continue
            value = self.untidy(self.written(name, values, row))
            if self.style.database and isinstance(value, float) and name not in ("tag_area", "tag_number"):
                value = f"{value:.10g}"
                if row.gauges or row.loop or self.kind == "floats":
                    self.text_number(row, name, place, values)
            sheet.cells[place] = value
            if row.gauges or row.loop or self.kind == "floats":
                self.held.setdefault(name, []).append(value)
            if self.kind == "floats" and name == "float_part":
                continue
            self.mark(row, name, place)
        if row.struck:
            sheet.struck.add(self.at)
        if row.hidden and self.kind == "gauges":
            sheet.hidden_rows.add(self.at)

    def untidy(self, value: Any) -> Any:
        if not self.style.untidy or not isinstance(value, str) or not value or self.rng.random() < 0.6:
            return value
        first, _, rest = value.partition(" ")
        return self.rng.choice(
            (f"{value} ", f" {value}", f"{first}\u00a0{rest}" if rest else f"{value}\u00a0")
        )

    def text_number(self, row: Row, name: str, place: tuple[int, int], values: Mapping[str, Any]) -> None:
        """A number kept as text is noted, unless a finding about its value says more."""
        wrong = any(rule == "value-implausible" and where == name for rule, where in row.found)
        if load("fields")[name]["kind"] == "quantity" and not wrong:
            times = row.gauges if self.kind == "gauges" else 1
            self.maker.expect("number-as-text", self.sheet, place, max(times, 1))

    def stated(self, row: Row) -> dict[str, Any]:
        values = row.values
        if self.kind == "gauges" and self.style.sheets_apart:
            values = {k: v for k, v in values.items() if k not in FLOAT_FIELDS[1:]} | row.index
        return values

    def mark(self, row: Row, name: str, place: tuple[int, int]) -> None:
        """Note what must be found in a cell."""
        names = _SHARED_CELLS.get(name, (name,))
        in_both = self.kind == "gauges" and self.style.sheets_apart
        for rule, where in row.found:
            if where not in names or (where in FLOAT_FIELDS[1:] and in_both and where not in row.index):
                continue
            if rule == "float-data-conflict" and self.kind == "floats":
                continue
            if self.kind == "floats" and where not in FLOAT_FIELDS[1:]:
                continue
            self.maker.expect(rule, self.sheet, place)

    def written(self, name: str, values: Mapping[str, Any], row: Row) -> Any:
        style = self.style
        tag = values.get("tag")
        match name:
            case "tag":
                return _tag(style, tag)
            case "old_tag":
                return f"LG-{9000 + self.at}" if tag else None
            case "tag_area":
                return 23.0 if tag else None
            case "tag_letters":
                return tag.partition("-")[0] if tag else None
            case "tag_number":
                number = tag.partition("-")[2] if tag else ""
                return (float(number) if number.isdigit() else number) if number else None
            case "transmitter_range":
                return self.both(values)
            case "design_pressure_temperature":
                return self.pair(values)
            case "stated_current" if values.get(name) == "by formula":
                return self.current_formula(values)
            case "set_point":
                return self.maker.values.cell("switch_lsh", values.get(name), row.values)
            case _:
                return self.maker.values.cell(name, values.get(name), row.values)

    def both(self, values: Mapping[str, Any]) -> str | None:
        """LRV and URV in one cell."""
        if values.get("lrv") is None or values.get("urv") is None:
            return None
        unit = _unit(self.style, "lrv")
        ends = [
            f"{_number(parse(values[name], 'length').si, unit, 'length', 0):.7g}" for name in ("lrv", "urv")
        ]
        stated = f" {unit.spelling}" if self.style.unit_place in ("cells", "mixed") else ""
        return self.rng.choice((" - ", "...", " / ")).join(ends) + stated

    def pair(self, values: Mapping[str, Any]) -> str | None:
        """Design pressure and temperature in one cell."""
        both = [self.maker.values.cell(name, values.get(name), values) for name in _PAIR]
        if all(value is None for value in both):
            return None
        return " / ".join(f"{value:.7g}" if isinstance(value, float) else str(value) for value in both)

    def current_formula(self, values: Mapping[str, Any]) -> Any:
        """4 mA + 16 mA x (level - LRV) / (URV - LRV), by the cells of the row."""
        level, low, high = (
            f"{column_letter(self.column(self.columns.index(name)))}{self.at}"
            for name in ("stated_level", "lrv", "urv")
        )
        return Formula(f"=4+16*({level}-{low})/({high}-{low})", 12.0)

    # --- below the list, and about the whole of it ---

    def end(self) -> None:
        style = self.style
        if style.total and self.kind == "gauges":
            self.sheet.cells[self.at, self.column(0)] = words.TOTALS[style.language]
            self.sheet.cells[self.at, self.column(1)] = float(len(self.rows))
            self.at += 1
        if style.notes:
            self.at += 1
            for line in words.NOTES[style.language]:
                self.sheet.cells[self.at, self.column(0)] = line
                self.at += 1

    def unclear(self) -> None:
        """A pressure column in bar is noted once, at its heading."""
        if self.style.units["pressure_gauge"].name not in UNCLEAR:
            return
        for name, values in self.held.items():
            if load("fields")[name].get("quantity") == "pressure_gauge" and any(map(_counts, values)):
                self.maker.expect("unit-ambiguous", self.sheet, self.heading_places[name])

    def hide(self) -> None:
        style, rng = self.style, self.rng
        if self.kind == "floats":
            return
        if style.hidden_irrelevant:
            self.sheet.hidden_cols |= {
                self.column(n) for n, name in enumerate(self.columns) if name[0] == "-"
            }
        if style.hidden_needed:
            name = rng.choice(("fluid", "operating_temperature", "operating_pressure"))
            number = self.columns.index(name)
            self.sheet.hidden_cols.add(self.column(number))
            self.maker.expect("row-hidden", self.sheet, self.heading_places[name])


_PAIR: Final = ("design_pressure", "design_temperature")
_SHARED_CELLS: Final[dict[str, tuple[str, ...]]] = {
    "tag_number": ("tag",),
    "transmitter_range": ("lrv", "urv"),
    "design_pressure_temperature": _PAIR,
}
"""Column -> the fields that its cells hold."""

_READER_HEADINGS: Final = {
    "set_point": {
        "en": "Set point", "de": "Schaltpunkt", "fr": "Point de consigne", "es": "Punto de consigna",
        "pt": "Ponto de ajuste", "it": "Soglia",
    },
    "transmitter_range": {
        "en": "Calibrated range", "de": "Messbereich", "fr": "Plage de mesure", "es": "Rango calibrado",
        "pt": "Faixa calibrada", "it": "Campo tarato",
    },
}  # fmt: skip


def _tag(style: Style, tag: str | None) -> Any:
    if tag is None:
        return None
    match style.tag:
        case "area":
            return f"23-{tag}"
        case "blank inside":
            return tag.replace("-", " ", 1)
        case "formula":
            letters, _, number = tag.partition("-")
            return Formula(f'="{letters}-"&"{number}"', tag)
        case _:
            return tag
