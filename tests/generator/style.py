"""What a layout looks like: drawn from its number, so that the same number gives the same layout."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from tests.generator.vocabulary import LANGUAGES


class Unit(NamedTuple):
    """A unit as the converter and as the sheet spells it."""

    name: str
    spelling: str


UNITS: Final[dict[str, tuple[tuple[str, str], ...]]] = {
    "density": (
        ("kg/m3", "kg/m3"), ("kg/m3", "kg/m³"), ("kg/m3", "Kg/cu.m"), ("SG", "SG"), ("SG", "S.G."),
        ("g/cm3", "g/cm³"), ("kg/l", "kg/dm³"), ("lb/ft3", "lb/ft³"), ("degAPI", "°API"), ("t/m3", "t/m³"),
    ),
    "pressure_gauge": (
        ("barg", "barg"), ("barg", "bar(g)"), ("barg", "bar g"), ("psig", "psig"), ("psig", "PSIG"),
        ("kPag", "kPa(g)"), ("MPag", "MPag"), ("kgf/cm2 g", "kg/cm²g"), ("bara", "bara"), ("bara", "bar (abs)"),
        ("bar", "bar"), ("psi", "psi"),
    ),
    "temperature": (
        ("degC", "°C"), ("degC", "degC"), ("degC", "deg C"), ("degC", "C"), ("degF", "°F"), ("degF", "deg. F"),
        ("K", "K"),
    ),
    "length": (("mm", "mm"), ("mm", "MM"), ("cm", "cm"), ("in", "inch"), ("in", "in"), ("m", "m"), ("ft", "ft")),
    "mass": (("g", "g"), ("g", "gram"), ("kg", "kg"), ("lb", "lb"), ("oz", "oz")),
    "dynamic_viscosity": (
        ("mPa.s", "mPa.s"), ("mPa.s", "mPas"), ("cP", "cP"), ("cP", "cp"), ("Pa.s", "Pa.s"), ("cSt", "cSt"),
        ("mm2/s", "mm²/s"),
    ),
    "velocity": (("mm/s", "mm/s"), ("m/min", "m/min"), ("in/min", "in/min"), ("m/h", "m/h")),
    "current": (("mA", "mA"),),
    "power_per_length": (("W/m", "W/m"), ("W/ft", "W/ft")),
}  # fmt: skip

WEAK: Final = ("g", "K", "C", "in", "m", "MM", "t")
"""Spellings that are letters or words of their own: contractors put them in brackets."""
UNCLEAR: Final = ("bar", "psi")
"""Pressures without gauge or absolute."""

COLUMN_GROUPS: Final[dict[str, tuple[str, ...]]] = {
    "service": ("service",),
    "identity": ("serial", "float_serial"),
    "kind": ("service_type", "float_service"),
    "geometry": ("float_mass", "float_diameter", "float_length", "magnet_height", "float_ends"),
    "shell": ("float_wall", "float_material"),
    "limits": ("float_max_pressure", "float_max_temperature", "magnet_max_temperature"),
    "design density": ("float_design_density",),
    "vapour": ("upper_density",),
    "flow": ("viscosity", "level_rate", "chamber_bore"),
    "chamber": ("chamber_material", "flange_class", "material_group", "chamber_diameter"),
    "range": ("connection_distance", "visible_range"),
    "signal": ("lrv", "urv"),
    "current": ("stated_level", "stated_current"),
    "switches": ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh"),
    "cold": ("freezing_point", "minimum_ambient", "tracing"),
    "tracer": (
        "tracer_output", "maintain_temperature", "sheath_temperature", "temperature_class",
        "transmitter_max_temperature", "insulation_thickness",
    ),
    "test": ("test_pressure",),
    "remarks": ("remarks",),
    "noted serials": ("float_gauge_serial", "transmitter_gauge_serial"),
    "density ends": ("fluid_density_min", "fluid_density_max"),
    "scale": ("scale_zero",),
    "how": ("connection_arrangement", "action", "magnet_material"),
}  # fmt: skip
"""Columns that a list has or lacks together."""

ALWAYS: Final = (
    "tag", "fluid", "fluid_density", "operating_temperature", "operating_pressure", "design_temperature",
    "design_pressure", "float_part",
)  # fmt: skip

KINDS: Final = (
    # how it is written, suffix, weight
    ("xlsxwriter", ".xlsx", 46), ("openpyxl", ".xlsx", 14), ("xlsm", ".xlsm", 6), ("csv", ".csv", 20),
    ("ods", ".ods", 7), ("xlsb", ".xlsb", 7),
)  # fmt: skip


@dataclass
class Style:
    """One layout."""

    number: int
    writer: str = "xlsxwriter"
    suffix: str = ".xlsx"
    options: dict[str, Any] = field(default_factory=dict)
    """Of the writer: delimiter, encoding, decimal comma."""
    language: str = "en"
    units: dict[str, Unit] = field(default_factory=dict)
    float_length: Unit = Unit("mm", "mm")
    """Unit of the float's dimensions, which may differ from that of the ranges."""
    unit_place: str = "brackets"
    vertical: bool = False
    floats: str = "sheet"
    lacking: frozenset[str] = frozenset()
    """Column groups that the list has not."""
    titles: int = 0
    left: int = 0
    """Blank columns before the list."""
    heading_rows: int = 1
    merged: bool = True
    competing: str = ""
    sample_row: bool = False
    sections: bool = False
    blanks: bool = False
    repeated: bool = False
    total: bool = False
    notes: bool = False
    others: bool = False
    glasses: bool = False
    struck: bool = False
    loops: bool = False
    """Transmitters and switches in rows of their own."""
    tag: str = "plain"
    range_in_one: bool = False
    """LRV and URV in one cell."""
    irrelevant: int = 0
    shuffled: bool = False
    hidden_irrelevant: bool = False
    hidden_needed: bool = False
    hidden_floats: bool = False
    front_sheets: bool = False
    two_sheets: bool = False
    texts: bool = False
    """Some numbers kept as text, with marks, in another unit."""
    ranges: bool = False
    placeholders: bool = False
    formulas: bool = False
    """The stated current by formula in every row."""
    shared_floats: bool = False
    upper_case: bool = False
    """Headings in capitals."""
    abbreviated: bool = False
    """OP, OT, DP and DT for the pressures and temperatures."""
    bilingual: bool = False
    """Headings in English and another language."""
    untidy: bool = False
    """Blanks before and after texts, double and hard ones in them."""
    centres_in_range: bool = False
    """Rows that state 'C/C 1000' in the range column."""
    pairs: bool = False
    """Design pressure and temperature in one cell."""
    database: bool = False
    """Every number kept as text, as a database exports it."""
    bounds: bool = False
    """'< 1' and '> -20' instead of numbers."""
    strangers: bool = False
    """A list of other instruments in a sheet of its own; a radar in the loop of a gauge."""

    @property
    def columns(self) -> frozenset[str]:
        """Fields for which the list has a column."""
        missing = {name for group in self.lacking for name in COLUMN_GROUPS[group]}
        every = {*ALWAYS, *(name for group in COLUMN_GROUPS.values() for name in group)}
        return frozenset(every - missing)

    @property
    def ooxml(self) -> bool:
        """Whether the file keeps formulas."""
        return self.suffix in (".xlsx", ".xlsm")

    @property
    def marks(self) -> bool:
        """Whether the file keeps strike-through and what is hidden."""
        return self.ooxml or self.suffix == ".ods"

    @property
    def sheets_apart(self) -> bool:
        return self.floats != "row"

    def features(self) -> set[str]:
        """What is special about it, for the test that all of it occurs."""
        named = {
            f"file {self.suffix}", f"language {self.language}", f"units in {self.unit_place}",
            f"floats in {self.floats}", f"{self.heading_rows} heading rows", f"tag {self.tag}",
            f"title of {self.titles // 10 * 10} rows",
        }  # fmt: skip
        named |= {f"competing {self.competing}"} if self.competing else set()
        named |= {f"{name} in {unit.spelling}" for name, unit in self.units.items()}
        named |= {f"csv {name} {value!r}" for name, value in self.options.items()}
        flags = (
            "vertical", "sample_row", "sections", "blanks", "repeated", "total", "notes", "others", "glasses",
            "struck", "loops", "range_in_one", "shuffled", "hidden_irrelevant", "hidden_needed", "hidden_floats",
            "front_sheets", "two_sheets", "texts", "ranges", "placeholders", "formulas", "shared_floats",
            "upper_case", "abbreviated", "bilingual", "untidy", "centres_in_range", "pairs", "database", "bounds",
            "strangers",
        )  # fmt: skip
        named |= {flag for flag in flags if getattr(self, flag)}
        return named | {f"without {group}" for group in self.lacking}


def draw(number: int) -> Style:
    """The layout of a number."""
    rng = random.Random(f"layout {number}")

    def maybe(share: float) -> bool:
        return rng.random() < share

    how, suffix, _ = rng.choices(KINDS, [weight for *_, weight in KINDS])[0]
    style = Style(number, how, suffix)
    style.language = LANGUAGES[number % len(LANGUAGES)] if maybe(0.6) else "en"
    style.units = {name: Unit(*rng.choice(units)) for name, units in UNITS.items()}
    style.float_length = rng.choice((style.units["length"], Unit("mm", "mm")))
    style.unit_place = rng.choice(
        ("brackets", "brackets", "square", "comma", "plain", "line", "row", "row", "cells", "mixed", "in")
    )
    style.vertical = maybe(0.1) and suffix != ".csv"
    style.floats = rng.choice(("row", "row", "sheet", "sheet", "sheet", "book", "below"))
    if suffix == ".csv" and style.floats == "sheet":
        style.floats = "row"
    style.lacking = frozenset(_some(rng, list(COLUMN_GROUPS), rng.choice((0, 2, 4, 7))))
    style.titles = rng.choice((0, 0, 1, 3, 6, 11, 19, 30, 44))
    style.left = rng.choice((0, 0, 1, 2))
    style.heading_rows = rng.choice((1, 1, 1, 2, 2, 3))
    style.merged = suffix in (".xlsx", ".xlsm", ".ods") and maybe(0.8)
    style.competing = rng.choice(("", "", "", "machine above", "machine below", "numbers", "letters"))
    for flag in ("sample_row", "glasses", "struck", "formulas"):
        setattr(style, flag, maybe(0.2))
    for flag in ("sections", "blanks", "notes", "others", "shuffled", "shared_floats"):
        setattr(style, flag, maybe(0.4))
    for flag in ("repeated", "total", "two_sheets", "range_in_one", "placeholders", "texts", "ranges"):
        setattr(style, flag, maybe(0.3))
    for flag in (
        "hidden_irrelevant",
        "hidden_needed",
        "hidden_floats",
        "front_sheets",
        "loops",
        "upper_case",
    ):
        setattr(style, flag, maybe(0.15))
    for flag in ("abbreviated", "bilingual", "untidy", "centres_in_range", "bounds", "strangers"):
        setattr(style, flag, maybe(0.15))
    style.pairs = maybe(0.4)
    style.database = maybe(0.07)
    style.tag = rng.choice(
        ("plain", "plain", "area", "split", "old and new", "formula", "blank inside", "several")
    )
    style.irrelevant = rng.choice((0, 3, 6, 10))
    _consistent(style, rng)
    return style


def _some(rng: random.Random, items: Sequence[str], count: int) -> list[str]:
    return rng.sample(items, count)


def _consistent(style: Style, rng: random.Random) -> None:
    """Take back what cannot be together."""
    if style.suffix == ".csv":
        comma = rng.random() < 0.5 and style.language != "en"
        style.options = {
            "delimiter": rng.choice((";", "\t", "|") if comma else (",", ";", "\t", "|")),
            "encoding": rng.choice(("utf-8", "utf-8-sig", "cp1252", "utf-16")),
            "comma": comma,
        }
        style.two_sheets = style.front_sheets = style.hidden_floats = False
    if style.options.get("encoding") == "cp1252":
        style.units = {name: _ascii(unit) for name, unit in style.units.items()}
    if not style.marks:
        style.struck = style.hidden_irrelevant = style.hidden_needed = style.hidden_floats = False
    if not style.ooxml:
        style.formulas = False
        style.tag = "plain" if style.tag == "formula" else style.tag
    if style.writer == "openpyxl":  # it keeps no results with formulas
        style.formulas = False
        style.tag = "plain" if style.tag == "formula" else style.tag
    if style.vertical:
        style.floats = "book" if style.floats == "book" else "row"
        style.heading_rows, style.competing, style.unit_place = (
            1,
            "",
            rng.choice(("brackets", "row", "cells")),
        )
        style.tag = "plain"
        for flag in (
            "sample_row", "sections", "blanks", "repeated", "total", "others", "glasses", "struck", "loops",
            "hidden_irrelevant", "hidden_needed", "hidden_floats", "two_sheets", "formulas", "shuffled",
            "abbreviated", "pairs", "database", "strangers",
        ):  # fmt: skip
            setattr(style, flag, False)
    if style.floats == "row":
        style.shared_floats = False
    if style.floats == "below":
        style.two_sheets = style.repeated = style.hidden_irrelevant = style.hidden_needed = False
    if style.floats != "sheet":
        style.hidden_floats = False
    if style.loops:
        style.tag = rng.choice(("plain", "area"))
        style.range_in_one = False
        style.lacking -= {"signal", "switches"}
    if style.unit_place in ("cells", "mixed"):
        style.units = {
            name: unit if unit.name not in UNCLEAR else Unit("barg", "barg")
            for name, unit in style.units.items()
        }
    clear = style.unit_place not in ("cells", "mixed") and style.units["pressure_gauge"].name not in UNCLEAR
    style.abbreviated &= style.language == "en" and not style.upper_case and style.heading_rows == 1
    style.bilingual &= style.language != "en" and style.heading_rows == 1
    style.pairs &= style.unit_place in ("brackets", "square") and style.heading_rows == 1 and clear
    if style.pairs:
        style.units |= {"pressure_gauge": Unit("barg", "barg"), "temperature": Unit("degC", "°C")}
    style.database &= clear and not style.formulas and style.suffix != ".csv"
    style.centres_in_range &= "range" not in style.lacking
    style.strangers &= style.suffix != ".csv" and not style.loops
    if style.database:
        style.texts = style.ranges = style.bounds = style.range_in_one = style.centres_in_range = False
        style.units = {name: _plain(unit) for name, unit in style.units.items()}
        style.pairs = style.placeholders = False
    if style.formulas:
        style.lacking -= {"current", "signal"}
        style.range_in_one = style.loops = False


def _plain(unit: Unit) -> Unit:
    """No kinematic viscosity: its cell would be blank where the density is."""
    return Unit("cP", "cP") if unit.name in ("cSt", "mm2/s") else unit


def _ascii(unit: Unit) -> Unit:
    return Unit(unit.name, unit.spelling.replace("³", "3").replace("²", "2"))
