"""Workbooks in different layouts from the same gauges: what the rules' examples are planted in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.examples import SOUND, CellError, Formula, Unclear
from xlfuncs.audit.gauges import DISPLAY_UNITS
from xlfuncs.data import load
from xlfuncs.spreadsheet import inplace
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.inplace import Edit
from xlfuncs.units import converter, parse

FLOAT_FIELDS = (
    "float_part",
    "float_mass",
    "float_diameter",
    "float_length",
    "float_ends",
    "magnet_height",
    "float_design_density",
    "float_max_pressure",
    "float_max_temperature",
    "float_wall",
    "float_material",
    "float_service",
    "magnet_material",
    "magnet_max_temperature",
    "float_centre_of_gravity",
    "float_min_temperature",
    "magnet_min_temperature",
)

METRIC = DISPLAY_UNITS
US = METRIC | {
    "density": "SG",
    "length": "in",
    "mass": "lb",
    "temperature": "degF",
    "pressure_gauge": "psig",
    "dynamic_viscosity": "cP",
    "velocity": "in/min",
}

HEADINGS = {
    "tag": "Tag No.",
    "service": "Service",
    "service_type": "Level / Interface",
    "fluid": "Fluid",
    "serial": "Gauge Serial No.",
    "float_part": "Float Part No.",
    "float_serial": "Float Serial No.",
    "float_gauge_serial": "Float for Gauge Serial No.",
    "transmitter_gauge_serial": "Transmitter for Gauge Serial No.",
    "fluid_density": "Operating Density",
    "fluid_density_min": "Min. Density",
    "fluid_density_max": "Max. Density",
    "upper_density": "Upper Fluid Density",
    "operating_temperature": "Operating Temperature",
    "operating_pressure": "Operating Pressure",
    "design_temperature": "Design Temperature",
    "design_temperature_min": "Min. Design Temperature",
    "design_pressure": "Design Pressure",
    "test_pressure": "Hydrotest Pressure",
    "design_code": "Design Code",
    "viscosity": "Viscosity",
    "level_rate": "Rate of Level Change",
    "pour_point": "Pour Point",
    "freezing_point": "Freezing Point",
    "minimum_ambient": "Min. Ambient Temperature",
    "float_mass": "Float Weight",
    "float_diameter": "Float OD",
    "float_length": "Float Length",
    "float_ends": "Float Ends",
    "magnet_height": "Magnet Height",
    "float_design_density": "Float Design Density",
    "float_max_pressure": "Float Max. Pressure",
    "float_max_temperature": "Float Max. Temperature",
    "float_wall": "Float Wall Thickness",
    "float_material": "Float Material",
    "float_service": "Float Service",
    "magnet_material": "Magnet Material",
    "magnet_max_temperature": "Magnet Max. Temperature",
    "chamber_bore": "Chamber Bore",
    "chamber_diameter": "Chamber OD",
    "chamber_material": "Chamber Material",
    "flange_class": "Flange Class",
    "material_group": "Material Group",
    "connection_arrangement": "Connection Arrangement",
    "connection_distance": "Centre to Centre",
    "visible_range": "Visible Range",
    "visible_low": "Lower end of visible range",
    "scale_zero": "Scale Zero",
    "lrv": "LRV",
    "urv": "URV",
    "action": "Transmitter Action",
    "stated_level": "Stated Level",
    "stated_current": "Stated Current",
    "switch_lsll": "LSLL",
    "switch_lsl": "LSL",
    "switch_lsh": "LSH",
    "switch_lshh": "LSHH",
    "tracing": "Heat Tracing",
    "tracer_output": "Tracer Output",
    "maintain_temperature": "Maintain Temperature",
    "sheath_temperature": "Sheath Temperature",
    "temperature_class": "Temperature Class",
    "transmitter_max_temperature": "Transmitter Max. Temperature",
    "insulation_thickness": "Insulation Thickness",
    "insulation_conductivity": "Insulation Conductivity",
    "room_below": "Room below lower connection",
    "room_above": "Room above upper connection",
    "chamber_temperature": "Chamber temperature",
    "level_high_high": "HHLL",
    "level_high": "HLL",
    "normal_level": "Normal level",
    "level_low": "LLL",
    "level_low_low": "LLLL",
    "liquid_top": "Total liquid level",
    "connection_elevation": "Lower connection elevation",
    "frost_extension": "Frost extension",
    "float_centre_of_gravity": "Centre of gravity",
    "float_min_temperature": "Float Min. Temperature",
    "magnet_min_temperature": "Magnet Min. Temperature",
    "remarks": "Remarks",
}

GROUPS = {
    "Operating": ("operating_temperature", "operating_pressure"),
    "Design": ("design_temperature", "design_pressure"),
}
"""Group heading -> fields below it, with the short headings of `SHORT`."""
SHORT = {
    "operating_temperature": "Temp.",
    "operating_pressure": "Press.",
    "design_temperature": "Temp.",
    "design_pressure": "Press.",
}


@dataclass(frozen=True)
class Layout:
    """How the sheets are laid out."""

    name: str
    units: dict[str, str]
    title_rows: int = 0
    grouped: bool = False
    unit_row: bool = False
    own_float_sheet: bool = True
    section_rows: bool = False
    notes: bool = False
    index_sheet: str = "Index"
    float_sheet: str = "Floats"


LAYOUTS = (
    Layout("metric", METRIC),
    Layout(
        "us",
        US,
        title_rows=5,
        grouped=True,
        section_rows=True,
        notes=True,
        index_sheet="Level Gauges",
        float_sheet="Float Data",
    ),
    Layout("one-sheet", METRIC, title_rows=2, unit_row=True, own_float_sheet=False, index_sheet="Sheet1"),
)


@dataclass
class Planted:
    """A workbook and where its values stand."""

    path: Path
    cells: dict[tuple[int, str], str] = field(default_factory=dict)
    """(number of the gauge, field) -> 'Sheet!H14'."""


def gauges(rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The sound gauge, changed as each row says, with a tag, a serial and a float of its own."""
    out = []
    for number, row in enumerate(rows):
        own = {
            "tag": f"LG-{1000 + number}",
            "serial": f"QX-{50100 + number}",
            "float_part": f"ZF-{250 + number}A",
            "float_serial": f"F-{7100 + number}",
        }
        out.append({**SOUND, **own, **row})
    return out


def build(path: Path, layout: Layout, rows: Sequence[Mapping[str, Any]]) -> Planted:
    """Write gauges in a layout; None leaves a cell blank, a leading ' keeps a text as it is."""
    book = Workbook()
    index = book.active
    assert index is not None
    index.title = layout.index_sheet
    planted = Planted(path)
    every = gauges(rows)
    names = [name for name in HEADINGS if any(gauge.get(name) is not None for gauge in every)]
    floats = [name for name in FLOAT_FIELDS if name in names]
    repeated = {name for gauge in every for name in gauge.get("_index", ())}
    columns = [
        n
        for n in names
        if not layout.own_float_sheet or n == "float_part" or n not in floats or n in repeated
    ]
    unclear = {n: v.heading for gauge in every for n, v in gauge.items() if isinstance(v, Unclear)}
    first = _headings(index, layout, columns, unclear)
    for number, name in enumerate(columns, 1):
        if name in unclear:
            planted.cells[-1, name] = (
                f"{index.title}!{index.cell(first - 1 - layout.unit_row, number).coordinate}"
            )
    row = first
    for number, gauge in enumerate(every):
        if layout.section_rows and number % 2 == 0:
            index.cell(row, 1, f"AREA {200 + 100 * number}")
            row += 1
        _record(index, row, columns, {**gauge, **gauge.get("_index", {})}, layout, planted, number)
        row += 1
    if layout.notes:
        index.cell(row + 1, 1, "Notes:")
        index.cell(row + 2, 1, "1. All data to be confirmed by the process department.")
    if layout.own_float_sheet:
        sheet = book.create_sheet(layout.float_sheet)
        row = _headings(sheet, layout, floats)
        spare = dict(SOUND) | {"float_part": "ZF-100B"}
        _record(sheet, row, floats, spare, layout, Planted(path), 0)
        for number, gauge in enumerate(every):
            if all(gauge.get(name) is None for name in ("float_mass", "float_diameter", "float_length")):
                continue
            row += 1
            _record(sheet, row, floats, gauge, layout, planted, number, skip=("float_part", *repeated))
    if any("_other" in gauge for gauge in every):
        _other_document(book.create_sheet("Process data"), layout, every, planted)
    book.save(path)
    _keep_results(planted, every)
    return planted


def _other_document(
    sheet: Worksheet, layout: Layout, every: Sequence[dict[str, Any]], planted: Planted
) -> None:
    """A second document that speaks of some of the gauges."""
    names = ["tag", "service", *dict.fromkeys(name for gauge in every for name in gauge.get("_other", ()))]
    row = _headings(sheet, layout, names)
    for number, gauge in enumerate(every):
        if "_other" in gauge:
            _record(sheet, row, names, {**gauge, **gauge["_other"]}, layout, Planted(planted.path), number)
            row += 1


def _keep_results(planted: Planted, every: Sequence[dict[str, Any]]) -> None:
    """Put the kept values of formulas into the file, as a spreadsheet program does."""
    edits: dict[str, dict[tuple[int, int], Edit]] = {}
    for (number, name), cell in planted.cells.items():
        value = every[number].get(name)
        if isinstance(value, Formula) and value.kept is not None:
            sheet, _, address = cell.partition("!")
            column, row = split_address(address)
            edits.setdefault(sheet, {})[row, column] = Edit(value.kept)
    if edits:
        whole = planted.path.with_suffix(".kept.xlsx")
        with inplace.Workbook(planted.path) as source:
            source.save(whole, edits)
        whole.replace(planted.path)


def _unit(name: str, layout: Layout) -> str:
    spec = load("fields")[name]
    return layout.units[spec["quantity"]] if spec["kind"] == "quantity" else ""


def _headings(
    sheet: Worksheet, layout: Layout, columns: list[str], unclear: Mapping[str, str] | None = None
) -> int:
    """Write title and headings, some of them unclear; returns the first row of data."""
    unclear = unclear or {}
    for row in range(1, layout.title_rows + 1):
        sheet.cell(row, 2, ("Instrument index", "Project 0000, invented", "Rev. 1", "", "")[row - 1] or None)
    row = layout.title_rows + (2 if layout.title_rows else 1)
    grouped = (
        {n: g for g, members in GROUPS.items() for n in members if n in columns and n not in unclear}
        if layout.grouped
        else {}
    )
    for number, name in enumerate(columns, 1):
        unit = _unit(name, layout)
        heading = unclear.get(name) or HEADINGS[name]
        if layout.grouped:
            group = grouped.get(name)
            previous = grouped.get(columns[number - 2]) if number > 1 else None
            if group and group != previous:
                sheet.cell(row, number, group)
                span = sum(grouped.get(n) == group for n in columns)
                sheet.merge_cells(
                    start_row=row, end_row=row, start_column=number, end_column=number + span - 1
                )
            heading = SHORT[name] if group else heading
        line = row + 1 if layout.grouped else row
        if unit and layout.unit_row:
            sheet.cell(line + 1, number, unit)
        elif unit:
            heading = f"{heading} ({unit})"
        sheet.cell(line, number, heading)
    return row + 1 + layout.grouped + layout.unit_row


def _record(
    sheet: Worksheet,
    row: int,
    columns: list[str],
    gauge: dict[str, Any],
    layout: Layout,
    planted: Planted,
    number: int,
    skip: tuple[str, ...] = (),
) -> None:
    if gauge.get("_hidden") and "tag" in columns:
        sheet.row_dimensions[row].hidden = True
    for column, name in enumerate(columns, 1):
        cell = sheet.cell(row, column)
        if name not in skip:
            planted.cells[number, name] = f"{sheet.title}!{cell.coordinate}"
        _write(cell, name, gauge.get(name), layout)


def _write(cell: Any, name: str, value: Any, layout: Layout) -> None:
    if value is None:
        return
    if isinstance(value, Unclear):
        value = value.text
    if isinstance(value, Formula):
        cell.value = value.text
        return
    if isinstance(value, CellError):
        cell.value = value.code
        cell.data_type = "e"
        return
    text = str(value)
    quantity = load("fields")[name].get("quantity")
    if text.startswith("'"):
        cell.value = text[1:]
    elif quantity is None:
        cell.value = text
    else:
        cell.value = _in_unit(text, quantity, layout.units[quantity])


def _in_unit(text: str, quantity: str, unit: str) -> float | str:
    """The number in the layout's unit; what only a text can say stays a text."""
    try:
        read = parse(text, quantity)
    except ValueError:
        return text
    if read.si_low != read.si_high or (
        quantity == "density" and read.unit.startswith("SG") and unit != read.unit
    ):
        return text
    return float(f"{float(converter(unit, quantity).from_si(read.si)):.10g}")
