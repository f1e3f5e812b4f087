"""The commissioning pack: a workbook with one printed record for each gauge, to be filled in at start-up.

What the index states is typed in, what follows from it is a formula with its result in the cell, what is
not known is an empty cell to fill in, from which the formulas then go on. Tolerances and the order of the
start-up are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from math import ceil
from pathlib import Path
from typing import Any

import numpy as np
from openpyxl.cell import Cell
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.engine import audit
from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Finding, Severity
from xlfuncs.audit.named import record_of
from xlfuncs.audit.settings import Settings
from xlfuncs.data.words import says
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge.fluids import resolve
from xlfuncs.lists.model import Book
from xlfuncs.report import _sheets
from xlfuncs.report import _words as words
from xlfuncs.report.cautions import CAUTIONS, FIELD
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.streamed import Streamed
from xlfuncs.units import converter
from xlfuncs.worksheet.cells import FUNCTIONS

WIDTHS = (30.0, *[11.5] * 8)
"""Characters of each column."""
LAST = len(WIDTHS)
SCALE_TOLERANCE = 2
"""mm, of the scale's zero."""
CONNECTION_TOLERANCE = 3
"""mm, centre to centre."""
PLUMB_TOLERANCE = 3
"""mm in each metre of the chamber."""
SWITCH_TOLERANCE = 5
"""mm of level."""
LOOP_TOLERANCE = 0.5
"""Percent of 16 mA."""
COLD = 15
"""degC taken for a cold start-up; the cell can be changed."""
"""These tolerances are common practice, no source."""

START_UP = (
    "Permit to work in hand; pressure test done, with the float out unless its maker states otherwise.",
    "Chamber flushed; float wiped clean of magnetic particles, inspected, put in with its marked top up.",
    "Chamber closed and tight by the site's procedure; drain and vent shut.",
    "Tracing, where there is one, on and the chamber warm before a viscous liquid comes in.",
    "Upper isolation valve opened first, slowly, until the pressures are equal.",
    "Then the lower isolation valve, slowly, so that the float is lifted and not thrown.",
    "Both valves fully open; temperature settled; indicator follows the float over its whole way.",
    "Reading compared with a level by another means and written down below.",
)
"""The order is common practice, no source."""


@dataclass(frozen=True, slots=True)
class Datum:
    """A value of the index that a record shows and its formulas use."""

    name: str
    field: str
    text: str
    unit: str = ""
    quantity: str = ""


LEFT = (
    Datum("mass", "float_mass", "Float mass", "g", "mass"),
    Datum("diameter", "float_diameter", "Float diameter", "mm", "length"),
    Datum("length", "float_length", "Float length over all", "mm", "length"),
    Datum("ends", "float_ends", "Float ends"),
    Datum("plane", "magnet_height", "Magnet plane above bottom", "mm", "length"),
    Datum("wall", "float_wall", "Float wall", "mm", "length"),
    Datum("metal", "float_material", "Float material"),
    Datum("magnet", "magnet_material", "Magnet material"),
    Datum("float_pressure", "float_max_pressure", "Float maximum pressure", "barg", "pressure_gauge"),
    Datum("float_temperature", "float_max_temperature", "Float maximum temp.", "degC", "temperature"),
    Datum("flange", "flange_class", "Flange class"),
    Datum("group", "material_group", "Flange material group"),
    Datum("lrv", "lrv", "LRV (4 mA, reverse 20 mA)", "mm", "length"),
    Datum("urv", "urv", "URV", "mm", "length"),
)
RIGHT = (
    Datum("density", "fluid_density", "Operating density", "kg/m3", "density"),
    Datum("density_min", "fluid_density_min", "Lowest density", "kg/m3", "density"),
    Datum("density_max", "fluid_density_max", "Highest density", "kg/m3", "density"),
    Datum("upper", "upper_density", "Density above", "kg/m3", "density"),
    Datum("temperature", "operating_temperature", "Operating temp.", "degC", "temperature"),
    Datum("pressure", "operating_pressure", "Operating pressure", "barg", "pressure_gauge"),
    Datum("design_temperature", "design_temperature", "Design temperature", "degC", "temperature"),
    Datum("design_pressure", "design_pressure", "Design pressure", "barg", "pressure_gauge"),
    Datum("test_pressure", "test_pressure", "Test pressure", "barg", "pressure_gauge"),
    Datum("distance", "connection_distance", "Centre to centre", "mm", "length"),
    Datum("visible", "visible_range", "Visible range", "mm", "length"),
    Datum("zero", "scale_zero", "Scale zero above", "mm", "length"),
    Datum("fluid", "fluid", "Fluid"),
    Datum("upper_fluid", "upper_fluid", "Fluid above"),
)
IDENTITY = (
    ("Gauge serial", "serial"),
    ("Float part number", "float_part"),
    ("Float serial", "float_serial"),
    ("Gauge serial on the float", "float_gauge_serial"),
    ("Transmitter tag", "transmitter_tag"),
    ("Transmitter serial", "transmitter_serial"),
    ("Gauge serial on the transmitter", "transmitter_gauge_serial"),
)
SWITCHES = (
    ("LSHH", "switch_lshh", "rising"),
    ("LSH", "switch_lsh", "rising"),
    ("LSL", "switch_lsl", "falling"),
    ("LSLL", "switch_lsll", "falling"),
)


@dataclass(slots=True)
class Gauge:
    """One gauge of the index, as its record needs it."""

    tag: str
    service: str
    place: str
    numbers: dict[str, float]
    texts: dict[str, str]
    identity: list[tuple[str, str]]
    switches: list[tuple[str, float, str]]
    transmitter: bool
    reverse: bool
    findings: list[Finding]
    missing: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Entry:
    """What the contents say of a record."""

    tag: str
    service: str
    missing: tuple[str, ...]
    findings: int
    sheet: str
    fails: str
    """The cell that counts its failed lines."""


def commission(
    book: Book, tags: Sequence[str] | None, output: Path, settings: Settings | None = None
) -> list[Entry]:
    """Write the pack of the gauges with these tags (None: all) to `output`; gives what went into it.

    The index itself is only read; `output` is replaced when all went well. One record at a time is in memory.
    """
    used = settings or Settings()
    if output.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{output}: the pack is a workbook; give it the ending .xlsx")
    gauges = Gauges(book)
    findings: dict[str, list[Finding]] = {}
    for finding in audit(book, used).findings:
        if finding.tag and finding.severity is not Severity.NOTE:
            findings.setdefault(finding.tag, []).append(finding)
    records = range(gauges.n) if tags is None else [record_of(gauges, tag) for tag in dict.fromkeys(tags)]
    with (
        whole_file(output, [book.path]) as draft,
        Streamed(draft, "Contents", "Commissioning pack", FUNCTIONS) as pack,
    ):
        entries = [_record(pack, _gauge(gauges, record, findings), book, used) for record in records]
        _contents(_Record(pack.first, "Commissioning pack"), book, entries)
    return entries


def _record(pack: Streamed, gauge: Gauge, book: Book, settings: Settings) -> Entry:
    """Write the record of a gauge."""
    sheet = pack.new(_sheet_name(gauge.tag))
    fails = _write(_Record(sheet, f"Commissioning record  {gauge.tag}"), gauge, book, settings)
    column, row = split_address(fails.replace("$", ""))
    pack.write(sheet, kept=[(row, column)])
    return Entry(gauge.tag, gauge.service, tuple(gauge.missing), len(gauge.findings), sheet.title, fails)


def _gauge(gauges: Gauges, record: int, findings: Mapping[str, list[Finding]]) -> Gauge:
    data = (*LEFT, *RIGHT)
    numbers: dict[str, float] = {}
    texts: dict[str, str] = {}
    missing: list[str] = []
    for datum in data:
        if datum.quantity:
            si = float(gauges.si(datum.field)[record])
            if not np.isnan(si):
                numbers[datum.name] = float(converter(datum.unit, datum.quantity).from_si(si))
        elif text := str(gauges.texts(datum.field)[record]):
            texts[datum.name] = text
        if datum.name not in numbers and datum.name not in texts:
            missing.append(_lacking(gauges, record, datum.field))
    if "group" not in texts:
        derived = gauges.material_groups[record]
        if derived:
            texts["group"] = derived
            missing.remove(_lacking(gauges, record, "material_group"))
    if "ends" in texts:
        texts["ends"] = "" if gauges.ends_unknown[record] else str(gauges.ends[record])
    transmitter = any(
        gauges.given(name)[record] for name in ("transmitter_tag", "transmitter_serial", "lrv", "urv")
    )
    identity = []
    for text, name in IDENTITY:
        stated = str(gauges.texts(name)[record])
        identity.append((text, stated))
        if not stated and (transmitter or not name.startswith("transmitter")):
            missing.append(_lacking(gauges, record, name))
    switches = [
        (letters, float(gauges.si(name)[record]) * 1e3, action)
        for letters, name, action in SWITCHES
        if gauges.given(name)[record]
    ]
    if switches:
        missing.append("differential of the switches")
    if not transmitter:
        missing = [text for text in missing if not text.startswith((label("lrv"), label("urv")))]
    tag = gauges.tag(record)
    sheet, row = str(gauges.sheet[record]), int(gauges.row[record])
    return Gauge(
        tag or f"row {row}",
        str(gauges.texts("service")[record]),
        f"{sheet} row {row}",
        numbers,
        texts,
        identity,
        switches,
        transmitter,
        bool(says(gauges.texts("action")[record : record + 1], "reverse")[0]),
        findings.get(tag, []),
        missing,
    )


def _lacking(gauges: Gauges, record: int, name: str) -> str:
    """The field, and what stands in its cell if that is no value."""
    column = gauges.column(name)
    raw, address = column.raw[record], column.address(record)
    if raw is None or not address:
        return label(name)
    return f"{label(name)} ({column.sheet[record]}!{address} holds '{words.one_line(raw)}')"


# --- the workbook -----------------------------------------------------------------------------------

_EDGE = Side(style="thin", color="9AA7AE")
_BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
_MIDST, _END = Border(top=_EDGE, bottom=_EDGE), Border(right=_EDGE, top=_EDGE, bottom=_EDGE)
"""Of the further cells of a merged range."""
_NONE = Border()
_PLAIN = Font(name="Calibri", size=10)
_BOLD = Font(name="Calibri", size=10, bold=True)
_TITLE = Font(name="Calibri", size=16, bold=True)
_WHITE = Font(name="Calibri", size=11, bold=True, color="FFFFFF")
_SMALL = Font(name="Calibri", size=9, color="44525B")
_DARK = PatternFill("solid", fgColor="2F4858")
_HEAD = PatternFill("solid", fgColor="DCE4E8")
_INPUT = PatternFill("solid", fgColor="FFF9DB")
_RESULT = PatternFill("solid", fgColor="F1F4F5")
_PASS, _FAIL = PatternFill(bgColor="D5EBD8"), PatternFill(bgColor="F8D7DA")
_MIDDLE = Alignment(horizontal="center", vertical="center", wrap_text=True)
_BESIDE = Alignment(horizontal="left", vertical="center", wrap_text=True, indent=1)
_LINE = 13.5


class _Record:
    """A sheet that is written from top to bottom."""

    def __init__(self, sheet: Worksheet, title: str) -> None:
        self.sheet, self.row = sheet, 1
        self.at: dict[str, str] = {}
        """Name of a datum -> its cell."""
        for number, width in enumerate(WIDTHS, start=1):
            sheet.column_dimensions[get_column_letter(number)].width = width
        _sheets.page(sheet)
        sheet.page_setup.orientation = "portrait"
        sheet.print_title_rows = "1:1"
        sheet.sheet_view.showGridLines = False
        _sheets.footer(sheet, left="maker's manual and site permits take precedence", right=_sheets.PAGE)
        self.text(title, font=_TITLE, height=24)
        self.section_number = 0

    def put(
        self,
        first: int,
        last: int,
        value: Any,
        *,
        fill: PatternFill | None = None,
        font: Font = _PLAIN,
        number: str = "General",
        align: Alignment = _MIDDLE,
        boxed: bool = True,
        formula: bool = False,
    ) -> str:
        """Write into the current row; gives the cell's absolute address."""
        cell = self.sheet.cell(self.row, first)
        if formula or not isinstance(value, str):
            cell.value = value
        else:
            _sheets.put(self.sheet, self.row, first, value)
        border = _BOX if boxed else _NONE
        self._dress(cell, font, align, border, fill, number, bool(cell.quotePrefix))
        for column in range(first + 1, last + 1):
            edge = (_END if column == last else _MIDST) if boxed else border
            self._dress(self.sheet.cell(self.row, column), font, align, edge, fill)
        if last > first:
            # `merge_cells` would compare the borders of all its cells again: half the time of a record
            self.sheet.merged_cells.ranges.add(
                CellRange(min_row=self.row, min_col=first, max_row=self.row, max_col=last)
            )
        return f"${get_column_letter(first)}${self.row}"

    def _dress(
        self,
        cell: Any,
        font: Font,
        align: Alignment,
        border: Border,
        fill: PatternFill | None,
        number: str = "General",
        literal: bool = False,
    ) -> None:
        """Give a cell its look, which is made once for each workbook: for each cell that was slow."""
        looks = vars(self.sheet.parent).setdefault("_record_looks", {})
        key = (id(font), id(align), id(border), id(fill), number, literal)
        if key not in looks:
            model: Any = Cell(self.sheet, 1, 1)
            model.font, model.alignment, model.border, model.number_format = font, align, border, number
            model.quotePrefix = literal
            if fill is not None:
                model.fill = fill
            looks[key] = model._style
        cell._style = copy(looks[key])

    def text(self, text: str, *, font: Font = _PLAIN, height: float = 0.0) -> None:
        """A line over the whole width."""
        self.put(1, LAST, text, font=font, align=_BESIDE, boxed=False)
        self.end(height or _height(text, sum(WIDTHS) * 1.1))

    def end(self, height: float = 18.0) -> None:
        self.sheet.row_dimensions[self.row].height = height
        self.row += 1

    def section(self, title: str, note: str = "") -> None:
        self.section_number += 1
        self.end(6)
        self.put(1, LAST, f"{self.section_number}  {title}", font=_WHITE, fill=_DARK, align=_BESIDE)
        self.end(17)
        if note:
            self.text(note, font=_SMALL)

    def heads(self, *heads: tuple[int, int, str]) -> None:
        for first, last, text in heads:
            self.put(first, last, text, font=_BOLD, fill=_HEAD)
        self.end(28)

    def label(self, text: str, last: int = 1) -> None:
        self.put(1, last, text, align=_BESIDE)

    def blank(self, first: int, last: int | None = None, number: str = "General") -> str:
        """A cell to be filled in."""
        return self.put(first, last or first, None, fill=_INPUT, number=number)

    def value(self, first: int, value: float | str | None, number: str = "General") -> str:
        """What is known, or a cell to be filled in."""
        if value is None or value == "":
            return self.blank(first, number=number)
        return self.put(first, first, value, number=number)

    def result(self, first: int, formula: str, number: str = "General", last: int = 0) -> str:
        return self.put(first, last or first, formula, fill=_RESULT, number=number, formula=True)

    def verdict(self, first: int, formula: str, last: int = 0) -> None:
        self.put(first, last or first, formula, font=_BOLD, formula=True)

    def new_page(self) -> None:
        self.sheet.row_breaks.append(Break(self.row - 1))


def _height(text: str, width: float) -> float:
    """Points for a wrapped text in a merged cell, which no program fits by itself."""
    return _LINE * max(1, ceil(len(text) / width)) + 3


def _within(found: str, expected: str, tolerance: str) -> str:
    """The verdict on what was found; empty until both numbers are there."""
    both = f"AND(ISNUMBER({found}),ISNUMBER({expected}))"
    return f'=IF({both},IF(ABS({found}-{expected})<={tolerance}+0.000001,"pass","fail"),"")'


def _known(cell: str, instead: str = '""') -> str:
    """The value of a cell, or `instead` while it is empty."""
    return f'=IF({cell}="",{instead},{cell})'


def _asked(cells: Sequence[str], formula: str) -> str:
    """A formula that stays empty until its numbers are there."""
    return f'=IF(COUNT({",".join(cells)})<{len(cells)},"",{formula})'


def _sheet_name(tag: str) -> str:
    """A tag without what a sheet's name must not hold, cut to its longest."""
    return re.sub(r"[\[\]:*?/\\']", "-", words.one_line(tag))[:26].strip() or "gauge"


def _contents(record: _Record, book: Book, entries: Sequence[Entry]) -> None:
    record.text(f"{book.path.name}, sha256 {book.sha256[:16]}", font=_SMALL)
    record.section(
        "Gauges", "Failed counts the verdicts of a record that say fail; it follows what is filled in."
    )
    record.heads(
        (1, 1, "Tag"), (2, 5, "Service"), (6, 6, "Not known"), (7, 7, "Audit findings"), (8, 9, "Failed")
    )
    for entry in entries:
        quoted = entry.sheet.replace("'", "''")
        record.put(1, 1, entry.tag, align=_BESIDE)
        here = record.sheet.cell(record.row, 1)
        here.hyperlink = Hyperlink(ref=here.coordinate, location=f"'{quoted}'!A1")
        record.put(2, 5, entry.service, align=_BESIDE)
        record.put(6, 6, len(entry.missing))
        record.put(7, 7, entry.findings)
        record.result(8, f"='{quoted}'!{entry.fails}", last=9)
        record.end()
    _cautions(record)


def _write(record: _Record, gauge: Gauge, book: Book, settings: Settings) -> str:
    """Write a gauge's record; gives the cell that counts its failed lines."""
    record.text(gauge.service or "service not stated", font=_BOLD)
    record.text(
        f"From {book.path.name}, {gauge.place}. Yellow cells are to be filled in, grey ones follow by"
        " formula. Cautions: last section.",
        font=_SMALL,
    )
    record.label("Verdicts that say fail")
    counter, counted = record.result(2, "=0"), record.row
    record.end()
    record.section("Identity")
    _identity(record, gauge)
    record.section("Data", "As the index states them; correct or complete them here and the results follow.")
    _data(record, gauge)
    record.section(
        "Ratings against design conditions", "A check of stated data: certificates and codes decide."
    )
    _ratings(record, gauge, settings)
    record.section("Mounting and scale", "Tolerances are common practice; the maker's manual decides.")
    _mounting(record)
    record.new_page()
    record.section("Start-up", "Common practice; the maker's manual and the site's procedure decide.")
    _start_up(record)
    record.section("Expected readings", "Offset: indicated minus true level, positive reads high.")
    _readings(record, gauge, settings)
    if gauge.transmitter:
        record.section("Loop check, five points", "Level rising and again falling shows hysteresis.")
        _loop(record, gauge)
    if gauge.switches:
        record.section("Switches", "A trip or safety function is tested by its own procedure.")
        _switches(record, gauge)
    if gauge.findings:
        record.section("Findings of the audit, to be closed before start-up")
        for finding in gauge.findings:
            record.text(f"{finding.severity.value.upper()} {finding.rule}: {words.one_line(finding.message)}")
    record.section("Not known, to be asked for or measured")
    for text in gauge.missing or ["nothing: all data of the record are stated"]:
        record.text(text)
    record.section("Remarks")
    for _ in range(3):
        record.blank(1, LAST)
        record.end(22)
    record.section("Signatures")
    _signatures(record)
    _cautions(record)
    record.sheet.cell(counted, 2).value = f'=SUMPRODUCT(--(A{counted + 1}:I{record.row}="fail"))'
    _rules(record)
    return counter


def _identity(record: _Record, gauge: Gauge) -> None:
    record.heads(
        (1, 1, "Item"),
        (2, 3, "As stated"),
        (4, 6, "As found on the plate"),
        (7, 7, "Match"),
        (8, 9, "Initials"),
    )
    stated: dict[str, str] = {}
    for text, value in [("Tag", gauge.tag), *gauge.identity]:
        record.label(text)
        if value:
            known = record.put(2, 3, value)
        else:
            known = record.blank(2, 3)
        stated[text] = known
        found = record.blank(4, 6)
        same = f"UPPER(TRIM({found}))=UPPER(TRIM({known}))"
        record.verdict(7, f'=IF(OR({found}="",{known}=""),"",IF({same},"pass","fail"))')
        record.blank(8, 9)
        record.end()
    for other in ("Gauge serial on the float", "Gauge serial on the transmitter"):
        one, two = stated["Gauge serial"], stated[other]
        record.label(f"Index: {other[0].lower()}{other[1:]} is the gauge's", 6)
        same = f"UPPER(TRIM({one}))=UPPER(TRIM({two}))"
        record.verdict(7, f'=IF(OR({one}="",{two}=""),"not known",IF({same},"pass","fail"))')
        record.put(8, 9, None)
        record.end()


def _data(record: _Record, gauge: Gauge) -> None:
    for left, right in zip(LEFT, RIGHT, strict=True):
        record.label(left.text)
        for datum, column in ((left, 2), (right, 6)):
            value: float | str | None = gauge.texts.get(datum.name)
            if datum.quantity:
                stated = gauge.numbers.get(datum.name)
                value = None if stated is None else float(f"{stated:.9g}")
            last = column if datum.quantity else column + 1
            if value is None or value == "":
                record.at[datum.name] = record.blank(column, last)
            else:
                record.at[datum.name] = record.put(column, last, value, number=_form(value))
            if datum.quantity:
                record.put(column + 1, column + 1, datum.unit, font=_SMALL)
        record.put(4, 5, right.text, align=_BESIDE)
        record.put(8, 9, None, boxed=False)
        record.end()
    if gauge.transmitter:
        record.label("Signal falls as the level rises")
        record.at["reverse"] = record.put(2, 3, gauge.reverse)
        record.end()


def _form(value: float | str) -> str:
    """Number format: no more digits than a person reads, none behind a whole number."""
    if isinstance(value, str) or value == round(value):
        return "General"
    return "0.0" if abs(value) >= 100 else "0.00"


def _ratings(record: _Record, gauge: Gauge, settings: Settings) -> None:
    at = record.at
    record.heads((1, 3, "Check"), (4, 5, "Limit"), (6, 6, "Required"), (7, 7, "Unit"), (8, 9, "Verdict"))
    numbers = [at[name] for name in ("diameter", "wall", "length", "design_temperature")]
    ends = f'IF({at["ends"]}="","flat",{at["ends"]})'
    collapse = (
        f'=IF(OR(COUNT({",".join(numbers)})<4,{at["metal"]}=""),"",LG_FLOAT_COLLAPSE({at["diameter"]},'
        f"{at['wall']},{at['length']},{at['metal']},{at['design_temperature']},{ends},"
        f"{settings.safety_factor:g}))"
    )
    flange = (
        f'=IF(OR({at["flange"]}="",{at["group"]}="",{at["design_temperature"]}=""),"",'
        f"LG_FLANGE_RATING({at['flange']},{at['group']},{at['design_temperature']}))"
    )
    magnet = f'=IF({at["magnet"]}="","",LG_MAGNET_LIMIT({at["magnet"]}))'
    factor = f"{settings.safety_factor:g}"
    checks = (
        (
            "Float, stated maximum pressure",
            _known(at["float_pressure"]),
            "design_pressure",
            "barg",
        ),
        (f"Float, computed collapse / {factor} (curved ends only)", collapse, "design_pressure", "barg"),
        ("Flanges, ASME B16.5-2009", flange, "design_pressure", "barg"),
        (
            "Float, stated maximum temperature",
            _known(at["float_temperature"]),
            "design_temperature",
            "degC",
        ),
        ("Magnet, lowest limit of its kind", magnet, "design_temperature", "degC"),
    )
    for text, formula, required, unit in checks:
        record.label(text, 3)
        limit = record.result(4, formula, "0.0", last=5)
        need = record.result(6, _known(at[required]), "0.0")
        record.put(7, 7, unit, font=_SMALL)
        both = f"AND(ISNUMBER({limit}),ISNUMBER({need}))"
        record.verdict(8, f'=IF({both},IF({limit}>={need},"pass","fail"),"not known")', 9)
        record.end()
    record.label("Float in the pressure test", 3)
    limit = record.result(4, _known(at["float_pressure"]), "0.0", last=5)
    need = record.result(6, _known(at["test_pressure"]), "0.0")
    record.put(7, 7, "barg", font=_SMALL)
    both = f"AND(ISNUMBER({limit}),ISNUMBER({need}))"
    record.verdict(8, f'=IF({both},IF({limit}>={need},"maker decides","float out"),"float out")', 9)
    record.end()


def _mounting(record: _Record) -> None:
    at = record.at
    record.heads(
        *((1, 1, "Check"), (2, 2, "Nominal"), (3, 3, "Tolerance"), (4, 4, "Unit"), (5, 5, "As found")),
        *((6, 6, "Verdict"), (7, 7, "As left"), (8, 8, "Verdict"), (9, 9, "Initials")),
    )
    measured = (
        (
            "Scale zero above connection",
            _known(at["zero"], "0"),
            SCALE_TOLERANCE,
            "mm",
        ),
        (
            "Connections, centre to centre",
            _known(at["distance"]),
            CONNECTION_TOLERANCE,
            "mm",
        ),
        ("Chamber out of plumb", "=0", PLUMB_TOLERANCE, "mm/m"),
    )
    for text, nominal, tolerance, unit in measured:
        record.label(text)
        expected = record.result(2, nominal, "0")
        allowed = record.put(3, 3, tolerance)
        record.put(4, 4, unit, font=_SMALL)
        for column in (5, 7):
            found = record.blank(column)
            record.verdict(column + 1, _within(found, expected, allowed))
        record.blank(9)
        record.end()
    for text in (
        "Float clean of magnetic particles",
        "Float's marked top up",
        "Float moves freely over its way",
        "Indicator follows, none left turned",
        "Drain and vent shut and plugged",
    ):
        record.label(text, 4)
        for column in (5, 7):
            found = record.blank(column)
            record.verdict(column + 1, f'=IF({found}="","",IF(LOWER({found})="yes","pass","fail"))')
            _choice(record, found)
        record.blank(9)
        record.end()


def _choice(record: _Record, cell: str) -> None:
    """Only yes or no may be typed into the cell."""
    for rule in record.sheet.data_validations.dataValidation:
        rule.add(cell.replace("$", ""))
        return
    rule = DataValidation(type="list", formula1='"yes,no"', allow_blank=True)
    rule.error, rule.errorTitle, rule.showErrorMessage = "write yes or no", "yes or no", True
    record.sheet.add_data_validation(rule)
    rule.add(cell.replace("$", ""))


def _start_up(record: _Record) -> None:
    record.heads((1, 7, "Step"), (8, 8, "Done"), (9, 9, "Initials"))
    for number, text in enumerate(START_UP, start=1):
        record.label(f"{number}  {text}", 7)
        _choice(record, record.blank(8))
        record.blank(9)
        record.end(_height(text, sum(WIDTHS[:7])))


def _readings(record: _Record, gauge: Gauge, settings: Settings) -> None:
    at = record.at
    record.label("Permitted difference, mm")
    tolerance = record.put(2, 2, settings.offset_tolerance_mm)
    record.put(3, 6, "Temperature of a cold start-up, degC", align=_BESIDE)
    cold = record.put(7, 7, COLD)
    record.end()
    record.heads(
        *((1, 1, "Condition"), (2, 2, "Density, kg/m3"), (3, 3, "Above, kg/m3"), (4, 4, "Immersion, mm")),
        *((5, 5, "Offset, mm"), (6, 6, "True level found"), (7, 7, "Should show"), (8, 8, "Indicated found")),
        (9, 9, "Verdict"),
    )
    ends = f'IF({at["ends"]}="","flat",{at["ends"]})'
    body = f"{at['mass']},{at['diameter']},{at['length']}"
    lower_fluid, upper_fluid = gauge.texts.get("fluid", ""), gauge.texts.get("upper_fluid", "")
    interface = gauge.numbers.get("upper", 0.0) > 300.0
    conditions: list[tuple[str, str | None, str | None]] = [
        ("Operating", _known(at["density"]), None),
        ("Lowest density", _known(at["density_min"]), None),
        ("Highest density", _known(at["density_max"]), None),
    ]
    start = f"=LG_DENSITY({at['fluid']},{cold})" if lower_fluid and resolve(lower_fluid) else None
    above: str | None = "=0"
    if interface:
        known = upper_fluid and resolve(upper_fluid)
        above = f"=LG_DENSITY({at['upper_fluid']},{cold})" if known else None
    conditions.append(("Cold start-up", start, above))
    for text, density, upper in conditions:
        record.label(text)
        lower = record.blank(2, number="0.0") if density is None else record.result(2, density, "0.0")
        if text == "Cold start-up":
            over = record.blank(3, number="0.0") if upper is None else record.result(3, upper, "0.0")
        else:
            over = record.result(3, _known(at["upper"], "0"), "0.0")
        needed = [*body.split(","), lower]
        depth = record.result(4, _asked(needed, f"LG_IMMERSION({body},{lower},{over},{ends})"), "0.0")
        if text == "Operating":
            at["immersion"] = depth
        offset = record.result(
            5,
            _asked([*needed, at["plane"]], f"LG_READING_OFFSET({body},{at['plane']},{lower},{over},{ends})"),
            "+0.0;-0.0;0.0",
        )
        true = record.blank(6, number="0")
        show = record.result(7, _asked([true, offset], f"{true}+{offset}"), "0")
        found = record.blank(8, number="0")
        record.verdict(9, _within(found, show, tolerance))
        record.end()


def _loop(record: _Record, gauge: Gauge) -> None:
    at = record.at
    record.label("Tolerance, % of 16 mA")
    tolerance = record.put(2, 2, LOOP_TOLERANCE)
    record.end()
    record.heads(
        *((1, 1, "Percent of range"), (2, 2, "Level, mm"), (3, 3, "Current, mA"), (4, 4, "Low, mA")),
        *(
            (5, 5, "High, mA"),
            (6, 6, "As found, mA"),
            (7, 7, "Verdict"),
            (8, 8, "As left, mA"),
            (9, 9, "Verdict"),
        ),
    )
    lrv, urv = at["lrv"], at["urv"]
    for percent in (0, 25, 50, 75, 100):
        share = record.put(1, 1, percent)
        level = record.result(2, _asked([lrv, urv], f"{lrv}+({urv}-{lrv})*{share}/100"), "0.0")
        current = record.result(
            3, _asked([level], f"LG_LEVEL_TO_CURRENT({level},{lrv},{urv},{at['reverse']})"), "0.00"
        )
        record.result(4, _asked([current], f"{current}-{tolerance}*0.16"), "0.00")
        record.result(5, _asked([current], f"{current}+{tolerance}*0.16"), "0.00")
        for column in (6, 8):
            found = record.blank(column, number="0.00")
            record.verdict(column + 1, _within(found, current, f"{tolerance}*0.16"))
        record.end()


def _switches(record: _Record, gauge: Gauge) -> None:
    at = record.at
    record.label("Differential, mm")
    differential = record.blank(2)
    record.put(3, 6, "Permitted difference, mm", align=_BESIDE)
    tolerance = record.put(7, 7, SWITCH_TOLERANCE)
    record.end()
    record.heads(
        *((1, 1, "Switch"), (2, 2, "Set point, mm"), (3, 3, "Acts at level, mm"), (4, 4, "Resets at, mm")),
        *((5, 5, "Acted, found"), (6, 6, "Verdict"), (7, 7, "Reset, found"), (8, 8, "Acted, left")),
        (9, 9, "Verdict"),
    )
    for letters, point, action in gauge.switches:
        record.label(f"{letters}, acts on {action} level")
        height = record.put(2, 2, float(f"{point:.9g}"), number="0")
        needed = [height, at["plane"], at["immersion"]]
        ride = f"{height},{at['plane']},{at['immersion']}"
        acts = record.result(3, _asked(needed, f"LG_SWITCH_LEVEL({ride})"), "0.0")
        record.result(
            4, _asked([*needed, differential], f'LG_SWITCH_RESET({ride},{differential},"{action}")'), "0.0"
        )
        for column, verdict in ((5, 6), (8, 9)):
            found = record.blank(column, number="0")
            record.verdict(verdict, _within(found, acts, tolerance))
        record.blank(7, number="0")
        record.end()


def _signatures(record: _Record) -> None:
    record.heads((1, 1, "For"), (2, 4, "Name"), (5, 7, "Signature"), (8, 9, "Date"))
    for role in ("Commissioned by", "Witnessed by", "Accepted by"):
        record.label(role)
        record.blank(2, 4)
        record.blank(5, 7)
        record.blank(8, 9)
        record.end(24)


def _cautions(record: _Record) -> None:
    record.section("Cautions")
    for text in (*(f"{c.title}: {c.text}" for c in CAUTIONS), *FIELD[1:]):
        record.text(text, font=_SMALL)


def _rules(record: _Record) -> None:
    """Pass and fail in colour."""
    area = f"A1:I{record.row}"
    for word, fill in (("pass", _PASS), ("fail", _FAIL)):
        record.sheet.conditional_formatting.add(
            area, CellIsRule(operator="equal", formula=[f'"{word}"'], fill=fill)
        )
