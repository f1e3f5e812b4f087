"""`contractor_index.xlsx`: an index as an auditor meets it, in US units, with planted faults.

`tests/planted_faults.toml` lists each of them by tag, cell and rule; what is not listed there is sound.
"""

from __future__ import annotations

from collections.abc import Callable
from operator import attrgetter
from pathlib import Path
from typing import Any

import plant
from contractor_data import AMBIENT, BY_PART, INSULATION, LINES, US_FLOATS, Line
from sheets import (
    A3,
    A4,
    Column,
    Formula,
    Live,
    Style,
    Table,
    Text,
    Typed,
    grouped,
    put,
    setup_page,
    with_unit,
    workbook,
)
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

PROJECT = f"{plant.PLANT} - North Annex"
DOCUMENT = "NA-40-LI-0007"

FLOAT_SHEET = "Float Data"
FLOAT_FIRST = 6
"""First row of the float list, counted from 0."""


def float_columns() -> tuple[Column, ...]:
    return (
        Column("part", "Part No.", attrgetter("part"), 11, "@"),
        Column("service", "Duty", attrgetter("service"), 11, "@"),
        Column("metal", "Mat'l", attrgetter("metal"), 15, "@"),
        Column("shape", "Ends", attrgetter("shape"), 15, "@"),
        Column("weight", "Wt\n(oz)", attrgetter("weight"), 9, "0.0"),
        Column("diameter", "OD\n(in)", attrgetter("diameter"), 9, "0.00"),
        Column("length", "OAL\n(in)", attrgetter("length"), 9, "0.00"),
        Column("wall", "Wall\n(in)", attrgetter("wall"), 9, "0.000"),
        Column("magnet_height", "Magnet Ht\n(in)", attrgetter("magnet_height"), 10, "0.00"),
        Column("design_density", "Design SG", attrgetter("design_density"), 10, "0.000"),
        Column("max_pressure", "Max Press.\n(psig)", attrgetter("max_pressure"), 11, "0"),
        Column("max_temperature", "Max Temp.\n(°F)", attrgetter("max_temperature"), 11, "0"),
        Column("magnet", "Magnet Mat'l", attrgetter("magnet"), 12, "@"),
    )


def _lookup(name: str) -> str:
    """Formula for a datum of the line's float."""
    keys = [column.key for column in float_columns()]
    first, last = FLOAT_FIRST + 1, FLOAT_FIRST + len(US_FLOATS)
    letter = chr(ord("A") + keys.index(name))
    return (
        f"INDEX('{FLOAT_SHEET}'!${letter}${first}:${letter}${last},"
        f"MATCH({{part}},'{FLOAT_SHEET}'!$A${first}:$A${last},0))"
    )


def _of_float(name: str, unit: str = "") -> Typed:
    """A datum of the line's float, with its unit, as an argument."""

    def value(cells: Callable[[str], Any]) -> Any:
        item = BY_PART[cells("part")]
        stated = item.instead.get(name, getattr(item, name))
        return f"{stated:g} {unit}" if unit else stated

    return Typed(_lookup(name) + (f'&" {unit}"' if unit else ""), value)


def _listed(line: Line) -> bool:
    """Whether the line's offset can be computed at all."""
    refused = ("2111", "2116", "3104")
    complete = line.item is not None and "weight" not in line.item.instead
    return line.gauge and complete and line.loop not in refused and not {"sg", "upper_sg"} & set(line.instead)


def _pure(line: Line) -> bool:
    """Whether the boiling point can be asked for."""
    return line.gauge and line.stated_sg is None


def index_columns() -> tuple[Column, ...]:
    def fixed(value: Any) -> Callable[[Line], Any]:
        return lambda line: value

    def column(
        key: str, heading: str, cell: Any, width: float = 8, form: str = "General", when: Any = _gauge
    ) -> Column:
        return Column(key, heading, cell, width, form, when)

    def set_point(share: float) -> Callable[[Line], float]:
        return lambda line: line.distance * share

    return (
        *grouped(
            "",
            Column("number", "Item", attrgetter("number"), 5, "0"),
            Column("tag", "Tag No.", attrgetter("tag"), 12, "@"),
            Column("service", "Service", attrgetter("service"), 29, "@"),
            Column("kind", "Instr. Type", attrgetter("kind"), 17, "@"),
            column("service_type", "Level / Interface", attrgetter("service_type"), 10),
            column("serial", "Gauge S/N", lambda line: f"HD-1{line.loop}", 10, "@"),
        ),
        *grouped(
            "Process Fluid",
            Column("fluid", "Name", attrgetter("fluid"), 16, "@"),
            column("sg", "SG @ Oper.", attrgetter("sg"), 8, "0.000"),
            column("sg_min", "Min. SG", lambda line: line.sg_warmer(9), 8, "0.000", _ranged),
            column("sg_max", "Max. SG", lambda line: line.sg_warmer(-9), 8, "0.000", _ranged),
            column("viscosity", "Visc.\n(cP)", attrgetter("viscosity"), 7, "0.0"),
            column("pour_point", "Pour Pt.\n(°F)", attrgetter("pour_point"), 7, "0"),
            column("freezing", "Freezing Pt.\n(°F)", attrgetter("freezing"), 8, "0"),
        ),
        *grouped(
            "Upper Fluid",
            column("upper_fluid", "Name", attrgetter("upper_fluid"), 12, "@"),
            column("upper_sg", "SG", attrgetter("upper_sg"), 7, "0.000"),
        ),
        *grouped(
            "Operating",
            Column("pressure", "Press.\n(psig)", lambda line: line.operating[1], 8, "0"),
            Column("temperature", "Temp.\n(°F)", lambda line: line.operating[0], 8, "0"),
        ),
        *grouped(
            "Design",
            Column("design_pressure", "Press.\n(psig)", lambda line: line.design[1], 8, "0"),
            Column("design_temperature", "Temp.\n(°F)", lambda line: line.design[0], 8, "0"),
        ),
        *grouped(
            "Hydrotest",
            column(
                *("test_pressure", "Press.\n(psi)"),
                Formula(
                    "=ROUND(1.5*{design_pressure},0)", lambda v: float(int(1.5 * v("design_pressure") + 0.5))
                ),
                *(9, "0"),
            ),
        ),
        *grouped(
            "Chamber",
            column("chamber_material", "Mat'l", fixed("316L"), 9),
            column("chamber_od", "OD\n(in)", lambda line: line.chamber[0], 7, "0.000"),
            column("chamber_id", "ID\n(in)", lambda line: line.chamber[1], 7, "0.000"),
            column("flange_class", "Flange Class", fixed("150#"), 7),
        ),
        *grouped(
            "Range",
            column("distance", "C-C\n(in)", attrgetter("distance"), 7, "0.0"),
            column("visible", "Visible\n(in)", attrgetter("distance"), 7, "0.0"),
            column("scale_zero", "Scale Zero\n(in)", fixed(0), 7, "0.0"),
            column("level_rate", "Level Rate\n(in/s)", attrgetter("level_rate"), 7, "0.00"),
        ),
        *grouped(
            "Float",
            column("part", "P/N", attrgetter("part"), 9, "@"),
            column("float_pressure", "Max Press.\n(psig)", _float_pressure, 9, "0"),
            column("float_serial", "S/N", lambda line: f"F-{line.loop}", 9, "@"),
            column("float_gauge_serial", "Marked for Gauge S/N", lambda line: f"HD-1{line.loop}", 10, "@"),
        ),
        *grouped(
            "Transmitter",
            column("transmitter", "Tag", lambda line: f"{line.loop[0]}0-LT-{line.loop}", 12, "@"),
            column("lrv", "LRV\n(in)", fixed(0), 7, "0.0"),
            column("urv", "URV\n(in)", attrgetter("distance"), 7, "0.0"),
            column("check_level", "Check Level\n(in)", lambda line: line.distance / 4, 7, "0.0"),
            column("check_current", "Current at Level\n(mA)", fixed(8), 9, "0.00"),
        ),
        *grouped(
            "Set Points",
            column("switch_lsll", "LSLL\n(in)", set_point(1 / 12), 7, "0.0"),
            column("switch_lsl", "LSL\n(in)", set_point(1 / 6), 7, "0.0"),
            column("switch_lsh", "LSH\n(in)", set_point(5 / 6), 7, "0.0"),
            column("switch_lshh", "LSHH\n(in)", set_point(11 / 12), 7, "0.0"),
        ),
        *grouped(
            "Heat Tracing",
            column("ambient", "Min. Ambient\n(°F)", fixed(AMBIENT), 8, "0"),
            column("tracing", "Type", lambda line: "None" if line.maintain is None else "Elec.", 7),
            column("maintain", "Maintain Temp.\n(°F)", attrgetter("maintain"), 9, "0", _traced),
            column("sheath", "Sheath Temp.\n(°F)", lambda line: line.maintain + 35, 8, "0", _traced),
            column("tracer_output", "Tracer Output\n(W/ft)", attrgetter("tracer_output"), 8, "0.0", _traced),
            column("insulation", "Insul. Thk.\n(in)", fixed(INSULATION), 8, "0.0", _traced),
            column("temperature_class", "T-Class", fixed("T3"), 7),
        ),
        *grouped(
            "Check",
            column(
                *("offset", "Reading Offset\n(in)"),
                Live(
                    "LG_READING_OFFSET",
                    (
                        _of_float("weight", "oz"),
                        _of_float("diameter", "in"),
                        _of_float("length", "in"),
                        _of_float("magnet_height", "in"),
                        with_unit("sg", "SG"),
                        with_unit("upper_sg", "SG"),
                        _of_float("shape"),
                        Text("in"),
                    ),
                ),
                *(9, "+0.00;-0.00;0.00", _listed),
            ),
            column(
                *("boiling", "Boils at Oper. Press.\n(°F)"),
                Live("LG_SATURATION_TEMPERATURE", ("fluid", with_unit("pressure", "psig"), Text("degF"))),
                *(9, "0", _pure),
            ),
            Column("remark", "Remarks", attrgetter("remark"), 26, "@"),
        ),
    )


def _gauge(line: Line) -> bool:
    return line.gauge


def _traced(line: Line) -> bool:
    return line.traced


def _ranged(line: Line) -> bool:
    return line.gauge and line.ranged


def _float_pressure(line: Line) -> Any:
    """As the float list states it."""
    return line.item.instead.get("max_pressure", line.item.max_pressure) if line.item else None


REVISIONS = (
    ("0", "Issued for information", "2024-02-05"),
    ("1", "Issued for quotation", "2024-03-18"),
    ("2", "Issued for review, floats assigned", "2024-05-27"),
)

NOTES = (
    "Levels above the centerline of the lower process connection.",
    "Hydrotest at 1.5 times design pressure, in the shop.",
    "Reading offset: indicated minus true level, by the worksheet function LG_READING_OFFSET.",
    plant.DISCLAIMER,
)

HEADING = 9
"""Row of the headings, counted from 0; the group headings stand above it."""


def _title(sheet: Worksheet, style: Style, first: int, right: int) -> None:
    """Project, document and revisions above the list."""
    sheet.set_row(0, 24)
    sheet.write_string(0, first, PROJECT, style.title())
    sheet.write_string(1, first, "Level Instrument Index", style(bold=True, font_size=11))
    for row, (label, text) in enumerate(
        (("Document No.", DOCUMENT), ("Project No.", "TQ-7031"), ("Client", "Tarnquill Works (invented)")),
        start=3,
    ):
        sheet.write_string(row, first, label, style.label())
        sheet.write_string(row, first + 1, text, style())
    for row, texts in enumerate((("Rev.", "Description", "Date"), *REVISIONS), start=2):
        form = style.heading() if row == 2 else style.cell("@")
        rev, description, date = texts
        sheet.write_string(row, right, rev, form)
        sheet.merge_range(row, right + 1, row, right + 4, description, form)
        sheet.write_string(row, right + 5, date, form)


def _float_sheet(book: Workbook, style: Style) -> None:
    sheet = book.add_worksheet(FLOAT_SHEET)
    setup_page(sheet, f"{PROJECT} - float data", A4)
    table = Table(sheet, style, float_columns())
    sheet.set_row(0, 24)
    sheet.write_string(0, 0, PROJECT, style.title())
    sheet.write_string(1, 0, "Float Data", style(bold=True, font_size=11))
    sheet.write_string(2, 0, f"Attachment to {DOCUMENT}", style.label())
    table.headings(FLOAT_FIRST - 1, 33)
    for row, item in enumerate(US_FLOATS, start=FLOAT_FIRST):
        table.write(row, item)
    sheet.freeze_panes(FLOAT_FIRST, 1)
    sheet.repeat_rows(FLOAT_FIRST - 1)
    sheet.fit_to_pages(1, 0)


def contractor_index(path: Path) -> None:
    """The index with planted faults, in a layout of its own."""
    with workbook(path, f"{PROJECT} - level instrument index", plant.DISCLAIMER) as (book, style):
        sheet = book.add_worksheet("LI Index")
        setup_page(sheet, f"{PROJECT} - {DOCUMENT}", A3)
        table = Table(sheet, style, index_columns())
        table.reasons = True
        _title(sheet, style, 2, 6)
        table.headings(HEADING, 54, groups=True)
        row, number = HEADING + 1, 0
        for section, lines in LINES.items():
            if section.startswith("AREA 400"):
                sheet.set_h_pagebreaks([row])
            for column in range(table.last + 1):
                sheet.write_blank(row, column, None, style.band())
            sheet.write_string(row, 0, section, style.band())
            row += 1
            for line in lines:
                number += 1
                line.number = number
                table.write(row, line)
                if line.hidden:
                    sheet.set_row(row, None, None, {"hidden": True})
                row += 1
            row += 1
        sheet.write_string(row, 1, "NOTES", style(bold=True))
        for i, note in enumerate(NOTES, start=1):
            put(sheet, row + i, 1, f"{i}. {note}", style())
        sheet.freeze_panes(HEADING + 1, 2)
        sheet.repeat_rows(HEADING - 1, HEADING)
        sheet.repeat_columns(0, 1)
        sheet.set_print_scale(55)
        sheet.set_v_pagebreaks([table.number["part"]])
        _float_sheet(book, style)
