"""`instrument_index.xlsx`, the clean index, and `float_list.xlsx`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import floor
from operator import attrgetter
from pathlib import Path
from typing import Any

import plant
from floats import FLOATS, Float
from plant import AREAS, GAUGES, OTHERS, Gauge
from sheets import (
    A3,
    A4,
    Column,
    Formula,
    Live,
    Record,
    Style,
    Table,
    Text,
    grouped,
    setup_page,
    with_unit,
    workbook,
)
from xlsxwriter.workbook import Workbook

FIRST = 1
"""First row of records; the headings stand in row 0."""

TITLE = f"{plant.PLANT} - level instrument index"


def float_columns() -> tuple[Column, ...]:
    """A float list in metric units."""

    return (
        Column("part", "Part no.", attrgetter("part"), 11, "@"),
        Column("service", "Service", attrgetter("service"), 10, "@"),
        Column("material", "Material", attrgetter("material"), 16, "@"),
        Column("ends", "Ends", attrgetter("ends"), 14, "@"),
        Column("mass", "Mass\n(g)", attrgetter("mass"), 8, "0"),
        Column("diameter", "Diameter\n(mm)", attrgetter("diameter"), 10, "0"),
        Column("length", "Length\n(mm)", attrgetter("length"), 8, "0"),
        Column("wall", "Wall\n(mm)", attrgetter("wall"), 8, "0.0"),
        Column("magnet_height", "Magnet height\n(mm)", attrgetter("magnet_height"), 10, "0.0"),
        Column("design_density", "Design density\n(kg/m³)", attrgetter("design_density"), 10, "0.0"),
        Column("upper_density", "For upper fluid of\n(kg/m³)", attrgetter("upper_density"), 12, "0"),
        Column("max_pressure", "Max. pressure\n(barg)", attrgetter("max_pressure"), 11, "0.0"),
        Column("max_temperature", "Max. temperature\n(°C)", attrgetter("max_temperature"), 13, "0"),
        Column("magnet", "Magnet material", attrgetter("magnet"), 11, "@"),
        Column(
            *("mean", "Mean density of the body\n(kg/m³)"),
            Live("LG_FLOAT_DENSITY", ("mass", "diameter", "length", "ends")),
            *(14, "0"),
        ),
        Column(
            *("immersion", "Immersion when true\n(mm)"),
            Live("LG_IMMERSION", ("mass", "diameter", "length", "design_density", "upper_density", "ends")),
            *(13, "0.0"),
        ),
        Column(
            *("collapse", "Collapse / 3, hot\n(barg)"),
            Live("LG_FLOAT_COLLAPSE", ("diameter", "wall", "length", "material", "max_temperature", "ends")),
            *(11, "0.0"),
        ),
        Column(
            *("window_low", "Within 10 mm from\n(kg/m³)"),
            Live(
                "LG_DENSITY_WINDOW",
                ("mass", "diameter", "length", "magnet_height", Text(10), "upper_density", "ends"),
                part=1,
            ),
            *(12, "0"),
        ),
        Column(
            *("window_high", "Within 10 mm to\n(kg/m³)"),
            Live(
                "LG_DENSITY_WINDOW",
                ("mass", "diameter", "length", "magnet_height", Text(10), "upper_density", "ends"),
                part=2,
            ),
            *(12, "0"),
        ),
    )


def write_floats(book: Workbook, style: Style, items: Sequence[Float], name: str = "Floats") -> Table:
    """A sheet with a float list, one heading row."""
    sheet = book.add_worksheet(name)
    setup_page(sheet, f"{plant.PLANT} - float list", A4)
    table = Table(sheet, style, float_columns())
    table.headings(0, 39)
    for i, item in enumerate(items):
        table.write(FIRST + i, item)
    sheet.freeze_panes(FIRST, 1)
    sheet.repeat_rows(0)
    sheet.fit_to_pages(1, 0)
    sheet.autofilter(0, 0, FIRST + len(items) - 1, table.last)
    return table


def index_columns() -> tuple[Column, ...]:
    """The index. What concerns a gauge only is left blank for other instruments."""
    last = FIRST + len(FLOATS)
    position = {column.key: i for i, column in enumerate(float_columns())}

    def gauge(name: str) -> Callable[[Record], Any]:
        return lambda record: getattr(record, name) if isinstance(record, Gauge) else None

    def lookup(name: str) -> Formula:
        letter = chr(ord("A") + position[name])
        return Formula(
            f"=INDEX(Floats!${letter}$2:${letter}${last},MATCH({{part}},Floats!$A$2:$A${last},0))",
            lambda value: next(getattr(f, name) for f in FLOATS if f.part == value("part")),
        )

    def number(
        key: str, heading: str, cell: Any, width: float = 9, form: str = "0", when: Any = _gauge
    ) -> Column:
        return Column(key, heading, cell, width, form, when)

    body = ("mass", "diameter", "length")
    riding = (*body, "density", "upper_density", "ends")
    return (
        *grouped(
            "identity",
            Column("tag", "Tag", attrgetter("tag"), 10, "@"),
            Column("area", "Area", attrgetter("area"), 6, "General"),
            Column("service", "Service", attrgetter("service"), 27, "@"),
            Column("instrument", "Instrument type", _instrument, 20, "@"),
            Column("type", "Level or interface", gauge("service_type"), 10, "@"),
            Column("serial", "Serial no.", _serial("QB"), 10, "@"),
        ),
        *grouped(
            "process",
            Column("fluid", "Fluid", attrgetter("fluid"), 19, "@"),
            number("density", "Operating density\n(kg/m³)", gauge("density"), form="0.0"),
            number("density_min", "Density min.\n(kg/m³)", lambda g: g.density_at(5), form="0.0"),
            number("density_max", "Density max.\n(kg/m³)", lambda g: g.density_at(-5), form="0.0"),
            Column("upper_fluid", "Upper fluid", gauge("upper_fluid"), 13, "@"),
            number("upper_density", "Upper density\n(kg/m³)", gauge("upper_density"), form="0.0"),
            number("temperature", "Operating temperature\n(°C)", attrgetter("temperature"), 11, when=None),
            number("pressure", "Operating pressure\n(barg)", attrgetter("pressure"), form="0.0", when=None),
            number(
                "design_temperature",
                "Design temperature\n(°C)",
                attrgetter("design_temperature"),
                11,
                when=None,
            ),
            number(
                "design_pressure",
                "Design pressure\n(barg)",
                attrgetter("design_pressure"),
                form="0.0",
                when=None,
            ),
            number(
                *("test_pressure", "Test pressure\n(barg)"),
                Formula(
                    "=ROUND(1.5*{design_pressure},1)", lambda v: floor(15 * v("design_pressure") + 0.5) / 10
                ),
                form="0.0",
            ),
            number("viscosity", "Viscosity\n(mPa·s)", gauge("viscosity"), form="0.00"),
            number("level_rate", "Level rate\n(mm/s)", gauge("level_rate"), 7),
            number("freezing", "Freezing point\n(°C)", gauge("freezing"), form="0.0"),
            number("pour_point", "Pour point\n(°C)", gauge("pour_point")),
            number("minimum_ambient", "Min. ambient temperature\n(°C)", gauge("minimum_ambient"), 11),
        ),
        *grouped(
            "chamber",
            Column("chamber_material", "Chamber material", gauge("chamber_material"), 9, when=_gauge),
            number("chamber_diameter", "Chamber OD\n(mm)", gauge("chamber_diameter"), form="0.0"),
            number("chamber_bore", "Chamber bore\n(mm)", gauge("chamber_bore"), form="0.0"),
            number("flange_class", "Flange class", gauge("flange_class"), 7),
            Column("material_group", "Material group", gauge("material_group"), 8),
            number("distance", "Centre to centre\n(mm)", gauge("distance")),
            number("visible", "Visible range\n(mm)", gauge("visible")),
        ),
        *grouped(
            "float",
            Column("part", "Float part no.", gauge("part"), 10, "@"),
            Column("float_serial", "Float serial no.", _serial("FS"), 10, "@"),
            Column("float_gauge_serial", "Gauge serial on float", _serial("QB"), 10, "@"),
            number("mass", "Float mass\n(g)", lookup("mass"), 7),
            number("diameter", "Float diameter\n(mm)", lookup("diameter")),
            number("length", "Float length\n(mm)", lookup("length"), 7),
            Column("ends", "Float ends", lookup("ends"), 12, "General", _gauge),
            number("magnet_height", "Magnet height\n(mm)", lookup("magnet_height"), form="0.0"),
            number("max_pressure", "Float max. pressure\n(barg)", lookup("max_pressure"), form="0.0"),
            number("max_temperature", "Float max. temperature\n(°C)", lookup("max_temperature"), 11),
        ),
        *grouped(
            "signal",
            Column("transmitter_tag", "Transmitter tag", _transmitter("LT-{0.number}"), 11, "@"),
            Column("transmitter_serial", "Transmitter serial no.", _transmitter("TX-5{0.number}"), 11, "@"),
            number("lrv", "LRV\n(mm)", lambda g: 0, 7, when=_transmitting),
            number("urv", "URV\n(mm)", gauge("visible"), 7, when=_transmitting),
            number(
                "check_level", "Check level\n(mm)", lambda g: round(g.visible * 0.4), 7, when=_transmitting
            ),
            number(
                *("check_current", "Current at level\n(mA)"),
                Live("LG_LEVEL_TO_CURRENT", ("check_level", "lrv", "urv")),
                form="0.00",
                when=_transmitting,
            ),
            *(
                number(f"switch_{letters}", f"{letters.upper()}\n(mm)", _set_point(share), 7, when=_switched)
                for letters, share in (("lsll", 0.05), ("lsl", 0.15), ("lsh", 0.85), ("lshh", 0.95))
            ),
        ),
        *grouped(
            "tracing",
            Column("tracing", "Heat tracing", _tracing, 9, when=_gauge),
            number("maintain", "Maintain temperature\n(°C)", gauge("maintain"), 11, when=_traced),
            number("insulation", "Insulation thickness\n(mm)", gauge("insulation"), when=_traced),
            number("tracer_output", "Tracer output\n(W/m)", gauge("tracer_output"), 8, when=_traced),
            Column("temperature_class", "Temperature class", lambda g: "T3", 11, when=_gauge),
        ),
        *grouped(
            "results",
            Column(
                "verdict",
                "Float verdict",
                Live(
                    "LG_CHECK_FLOAT",
                    (
                        *(*body, "magnet_height", "density", "upper_density", Text(10), "ends"),
                        *("max_pressure", "design_pressure", "max_temperature", "design_temperature"),
                    ),
                ),
                *(12, "@"),
                when=_gauge,
            ),
            number("immersion", "Immersion\n(mm)", Live("LG_IMMERSION", riding), form="0.0"),
            number("ride", "Ride height\n(mm)", Live("LG_RIDE_HEIGHT", riding), 7, "0.0"),
            number(
                *("offset", "Reading offset\n(mm)"),
                Live("LG_READING_OFFSET", (*body, "magnet_height", "density", "upper_density", "ends")),
                form="+0.0;-0.0;0.0",
            ),
            number("share", "Share above surface", Live("LG_FLOAT_RESERVE", riding), form="0 %"),
            *(
                number(
                    f"window_{part}",
                    f"Within 10 mm {words}\n(kg/m³)",
                    Live(
                        "LG_DENSITY_WINDOW",
                        (*body, "magnet_height", Text(10), "upper_density", "ends"),
                        part=part,
                    ),
                )
                for part, words in ((1, "from"), (2, "to"))
            ),
            number(
                *("lag", "Float lag\n(mm)"),
                Live(
                    "LG_FLOAT_LAG",
                    (*body, "density", "viscosity", "chamber_bore", "level_rate", "upper_density", "ends"),
                ),
                form="0.00",
            ),
            number(
                *("reference", "Reference density\n(kg/m³)"),
                Live("LG_DENSITY", ("fluid", "temperature", with_unit("pressure", "barg"))),
                form="0.0",
                when=_pure,
            ),
            number(
                *("boiling", "Boils at oper. pressure\n(°C)"),
                Live("LG_SATURATION_TEMPERATURE", ("fluid", with_unit("pressure", "barg"))),
                form="0.0",
                when=_pure,
            ),
            number(
                *("rating", "Flanges hold\n(barg)"),
                Live("LG_FLANGE_RATING", ("flange_class", "material_group", "design_temperature")),
                form="0.0",
            ),
            number(
                *("switch_level", "True level when LSH acts\n(mm)"),
                Live("LG_SWITCH_LEVEL", ("switch_lsh", "magnet_height", "immersion")),
                *(10, "0.0"),
                when=_switched,
            ),
            number(
                *("heat_loss", "Heat loss in wind 10 m/s\n(W/m)"),
                Live(
                    "LG_HEAT_LOSS",
                    ("maintain", "minimum_ambient", "chamber_diameter", "insulation", Text(0.04), Text(10)),
                ),
                *(10, "0.0"),
                when=_traced,
            ),
            number(
                *("trace_margin", "Tracer output over loss"),
                Live("LG_TRACE_MARGIN", ("tracer_output", "heat_loss")),
                form="0.00",
                when=_traced,
            ),
        ),
    )


def _gauge(record: Record) -> bool:
    return isinstance(record, Gauge)


def _pure(record: Record) -> bool:
    return isinstance(record, Gauge) and record.pure


def _transmitting(record: Record) -> bool:
    return isinstance(record, Gauge) and record.transmitter


def _switched(record: Record) -> bool:
    return isinstance(record, Gauge) and record.switches


def _traced(record: Record) -> bool:
    return isinstance(record, Gauge) and record.maintain is not None


def _instrument(record: Record) -> str:
    return "Magnetic level gauge" if isinstance(record, Gauge) else str(record.instrument)


def _serial(prefix: str) -> Callable[[Record], str | None]:
    return lambda record: f"{prefix}-{20000 + record.number}" if isinstance(record, Gauge) else None


def _transmitter(pattern: str) -> Callable[[Record], str | None]:
    return lambda record: pattern.format(record) if _transmitting(record) else None


def _set_point(share: float) -> Callable[[Gauge], int | None]:
    return lambda gauge: gauge.set_point(share)


def _tracing(gauge: Gauge) -> str:
    return "None" if gauge.maintain is None else "Electric"


NOTES = {
    "Data": plant.DISCLAIMER,
    "Areas": "; ".join(f"{number} {name}" for number, name in AREAS.items()) + ".",
    "Densities": (
        "At operating temperature and pressure. Pure fluids by the equations of state in CoolProp; the"
        " lowest and highest density are those 5 K above and below. The gas above a liquid is nitrogen with"
        " the liquid's own vapour. Fluids with made-up names have made-up data."
    ),
    "Float data": (
        "Looked up by part number on the sheet Floats. Masses follow from wall, metal and magnets; pressure"
        " limits from collapse at the highest temperature with a safety factor of 3."
    ),
    "Tinted columns": (
        "Formulas. Worksheet functions have names that begin with LG_; their results are kept in the cells,"
        " so that they show without the functions installed, and change with the data once these are."
    ),
    "Level": (
        "Above the centre line of the bottom process connection. Reading offset: indicated minus true level."
    ),
    "Caution": (
        "Pressure, hot or toxic fluids and hazardous areas: the local codes, the makers' manuals and licensed"
        " practice decide, not this sheet. The float is out of the chamber during a pressure test above its"
        " limit."
    ),
}


def _notes(book: Workbook, style: Style) -> None:
    """A last sheet that says what the workbook is."""
    sheet = book.add_worksheet("Notes")
    setup_page(sheet, TITLE, A4)
    sheet.set_column(0, 0, 24)
    sheet.set_column(1, 1, 100)
    sheet.set_row(0, 27)
    sheet.write_string(0, 0, TITLE, style.title())
    for row, (label, text) in enumerate(NOTES.items(), start=2):
        sheet.set_row(row, 15 * (1 + len(text) // 105))
        sheet.write_string(row, 0, label, style.label())
        sheet.write_string(row, 1, text, style.note())
    sheet.fit_to_pages(1, 0)


def instrument_index(path: Path) -> None:
    """The clean index with its own float list; every formula's result is kept."""
    with workbook(path, TITLE, plant.DISCLAIMER) as (book, style):
        sheet = book.add_worksheet("Index")
        setup_page(sheet, TITLE, A3)
        table = Table(sheet, style, index_columns())
        table.headings(0, 66)
        rows = sorted((*GAUGES, *OTHERS), key=lambda record: record.tag.split("-")[1])
        for i, record in enumerate(rows):
            table.write(FIRST + i, record)
        sheet.freeze_panes(FIRST, 1)
        sheet.repeat_rows(0)
        sheet.repeat_columns(0)
        sheet.set_print_scale(62)
        sheet.set_v_pagebreaks(
            [table.number[key] for key in ("chamber_material", "transmitter_tag", "verdict")]
        )
        sheet.autofilter(0, 0, FIRST + len(rows) - 1, table.last)
        write_floats(book, style, FLOATS)
        _notes(book, style)


def float_list(path: Path) -> None:
    """The floats alone, as a list that is kept apart from an index."""
    with workbook(path, f"{plant.PLANT} - float list", plant.DISCLAIMER) as (book, style):
        write_floats(book, style, FLOATS, "Float list")
