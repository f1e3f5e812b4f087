"""The sheet that goes out into the field: filled in by pen on A4 or typed in, and read back by `diagnose`.

A gauge has a page: rows of 8 mm and more, letters of 10 pt and more, as found with the level rising and
falling, as left, switches, instrument, calibrator, date and weather. What responds are formulas of any
spreadsheet program. What is not known of the vapour or of the float's ends is said to be unknown, with the
span of readings that follows.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.named import record_of
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge import reasons
from xlfuncs.gauge.floats import ENDS, reading_offset
from xlfuncs.gauge.questions import questions
from xlfuncs.lists.model import Book
from xlfuncs.report import _sheets
from xlfuncs.report import _words as words
from xlfuncs.report.cautions import FIELD
from xlfuncs.report.commissioning import SWITCHES
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.streamed import Streamed
from xlfuncs.units import converter
from xlfuncs.worksheet.cells import FUNCTIONS
from xlfuncs.worksheet.diagnosis import FROM_INDEX

WIDTHS = (13.5, 9.0, 8.5, 10.0, 9.0, 8.5, 9.0, 9.0)
"""Characters of each column: less than the 189 mm between the margins in any program."""
HIGH = 23.5
"""Points of a row, 8.3 mm."""
LETTERS = 10
UPWARD, DOWNWARD, LEFT = 4, 4, 3
"""Rows of readings."""
LOOKS = ("valves", "reference", "scale_zero", "hand_magnet", "plumb", "agitated")
"""Questions that need nothing opened, asked on the page."""
DATA_TITLE = "Data of the gauge"
AS_FOUND, AS_LEFT, SWITCHED = "As found", "As left", "Switches"
DATE, BY = "Date", "Calibrator"
_HEADS = ("True level, mm", "Direction", "Should show", "Indicated, mm", "Off by", "Should be", "Current, mA")
_REMARK = "Remark"

_EDGE = Side(style="thin", color="6B7780")
_BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
_PLAIN, _BOLD = Font(name="Calibri", size=LETTERS), Font(name="Calibri", size=LETTERS, bold=True)
_TITLE = Font(name="Calibri", size=16, bold=True)
_WHITE = Font(name="Calibri", size=11, bold=True, color="FFFFFF")
_DARK, _HEAD = PatternFill("solid", fgColor="2F4858"), PatternFill("solid", fgColor="DCE4E8")
_INPUT, _RESULT = PatternFill("solid", fgColor="FFF9DB"), PatternFill("solid", fgColor="F1F4F5")
_MIDDLE = Alignment(horizontal="center", vertical="center", wrap_text=True)
_LEFTWARD = Alignment(horizontal="left", vertical="center", wrap_text=True, indent=1)


def field_sheets(book: Book, tags: Sequence[str] | None, output: Path) -> list[str]:
    """Write a page for each gauge with these tags (None: all) to `output`; gives their tags."""
    if output.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{output}: the field sheets are a workbook; give it the ending .xlsx")
    gauges = Gauges(book)
    records = range(gauges.n) if tags is None else [record_of(gauges, tag) for tag in dict.fromkeys(tags)]
    made = []
    with (
        whole_file(output, [book.path]) as draft,
        Streamed(draft, "Contents", "Field sheets", FUNCTIONS) as pack,
    ):
        for record in records:
            tag = gauges.tag(record) or f"row {int(gauges.row[record])}"
            sheet = pack.new(_name(tag))
            _Page(sheet, tag, _data(gauges, record), gauges, record).write()
            made.append((tag, sheet.title))
            pack.write(sheet)
        _contents(pack.first, book, made)
    return [tag for tag, _ in made]


def _name(tag: str) -> str:
    plain = "".join("-" if c in "[]:*?/\\'" else c for c in words.one_line(tag))
    return plain[:26].strip() or "gauge"


def _contents(sheet: Worksheet, book: Book, made: Sequence[tuple[str, str]]) -> None:
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 30, 40
    _setup(sheet, "Field sheets")
    sheet.cell(1, 1, "Field sheets").font = _TITLE
    _sheets.put(
        sheet, 2, 1, f"From {book.path.name}. A page for each gauge; read back with xlfuncs diagnose."
    )
    for row, (tag, title) in enumerate(made, start=4):
        _sheets.put(sheet, row, 1, tag)
        _sheets.put(sheet, row, 2, f"sheet {title}")


def _setup(sheet: Worksheet, name: str) -> None:
    sheet.page_setup.paperSize, sheet.page_setup.orientation = 9, "portrait"
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top, sheet.page_margins.bottom = 0.35, 0.45
    sheet.page_margins.header = sheet.page_margins.footer = 0.2
    sheet.sheet_view.showGridLines = False
    _sheets.footer(sheet, left="maker's manual and site permits take precedence", right=_sheets.PAGE)


def _data(gauges: Gauges, record: int) -> dict[str, float | str]:
    """What the index states of the gauge, by the names of `observations.toml`; SI."""
    data: dict[str, float | str] = {}
    for name, field in FROM_INDEX.items():
        value = float(gauges.si(field)[record])
        if not math.isnan(value):
            data[name] = value
    if gauges.given("float_ends")[record] and not gauges.ends_unknown[record]:
        data["ends"] = str(gauges.ends[record])
    if action := str(gauges.texts("action")[record]):
        data["action"] = action
    if fluid := str(gauges.texts("fluid")[record]):
        data["fluid"] = fluid
    return data


def offsets(data: Mapping[str, float | str]) -> tuple[float, float, float, list[str]]:
    """(reading offset, its lowest and highest [m], what is not known of the float's surroundings).

    Vapour that is not stated lies between nothing and `field.vapour` of the liquid's density; ends that are
    not stated have any of the usual shapes.
    """
    needed = [data.get(name, math.nan) for name in ("mass", "diameter", "length", "magnet_height", "density")]
    mass, diameter, length, plane, density = (math.nan if isinstance(v, str) else v for v in needed)
    unknown, uppers, shapes = [], [data.get("upper_density", 0.0)], [str(data.get("ends", ""))]
    if "upper_density" not in data:
        unknown.append("density above")
        uppers = [0.0, load("diagnosis")["field"]["vapour"] * density]
    if "ends" not in data:
        unknown.append("shape of the float's ends")
        shapes = list(ENDS)
    with reasons():
        every = [
            float(reading_offset(mass, diameter, length, plane, density, upper, shape))
            for shape in shapes
            for upper in uppers
        ]
    return every[0], float(np.min(every)), float(np.max(every)), unknown


class _Page:
    """The page of a gauge, written from top to bottom."""

    def __init__(
        self, sheet: Worksheet, tag: str, data: dict[str, float | str], gauges: Gauges, record: int
    ) -> None:
        self.sheet, self.tag, self.data, self.row = sheet, tag, data, 1
        self.gauges, self.record = gauges, record
        self.at: dict[str, str] = {}
        for number, width in enumerate(WIDTHS, start=1):
            sheet.column_dimensions[get_column_letter(number)].width = width
        _setup(sheet, tag)

    def put(
        self,
        first: int,
        last: int,
        value: Any = None,
        fill: PatternFill | None = None,
        font: Font = _PLAIN,
        align: Alignment = _MIDDLE,
        form: str = "General",
        formula: bool = False,
    ) -> str:
        cell = self.sheet.cell(self.row, first)
        if isinstance(value, str) and not formula:
            _sheets.put(self.sheet, self.row, first, value)
        else:
            cell.value = value
        literal = bool(cell.quotePrefix)
        for column in range(first, last + 1):
            dressed = self.sheet.cell(self.row, column)
            dressed.font, dressed.alignment, dressed.border = font, align, _BOX
            if fill is not None:
                dressed.fill = fill
        cell.number_format = form
        if literal:
            cell.quotePrefix = True
        if last > first:
            self.sheet.merge_cells(start_row=self.row, start_column=first, end_row=self.row, end_column=last)
        return f"${get_column_letter(first)}${self.row}"

    def end(self, height: float = HIGH) -> None:
        self.sheet.row_dimensions[self.row].height = height
        self.row += 1

    def bar(self, text: str) -> None:
        self.put(1, len(WIDTHS), text, _DARK, _WHITE, _LEFTWARD)
        self.end()

    def pair(self, left: str, right: str, value: Any = None) -> None:
        """Two labels with cells to fill in."""
        self.put(1, 1, left, font=_BOLD, align=_LEFTWARD)
        self.put(2, 4, value, _INPUT)
        self.put(5, 6, right, font=_BOLD)
        self.put(7, 8, None, _INPUT)
        self.end()

    def write(self) -> None:
        service = str(self.gauges.texts("service")[self.record])
        self.put(1, len(WIDTHS), f"Field sheet  {self.tag}", font=_TITLE, align=_LEFTWARD)
        self.end(28)
        self.put(1, 1, "Tag", font=_BOLD, align=_LEFTWARD)
        self.put(2, 4, self.tag)
        self.put(5, 8, words.one_line(service) or "service not stated", align=_LEFTWARD)
        self.end()
        serial = str(self.gauges.texts("serial")[self.record])
        self.pair("Instrument, serial", "Permit no.", words.one_line(serial) or None)
        self.pair(BY, "Reference used")
        self.pair(DATE, "Weather, air")
        self._expected()
        self._readings(AS_FOUND, ["rising"] * UPWARD + ["falling"] * DOWNWARD)
        self._readings(AS_LEFT, [""] * LEFT)
        self._switches()
        self.put(1, 2, "Signature", font=_BOLD, align=_LEFTWARD)
        self.put(3, 8, None, _INPUT)
        self.end(26)
        self.sheet.row_breaks.append(Break(self.row - 1))
        self._looks()
        self._stated()
        for text in FIELD:
            self.put(1, len(WIDTHS), text, align=_LEFTWARD)
            self.end(30)

    def _expected(self) -> None:
        offset, low, high, unknown = offsets(self.data)
        self.put(1, 1, "Offset, mm", font=_BOLD, align=_LEFTWARD)
        known = not math.isnan(offset)
        value = round(1e3 * offset, 1) if known else None
        self.at["offset"] = self.put(2, 2, value, _INPUT if value is None else None, form="+0.0;-0.0;0.0")
        if not known:
            text = "the float's data or the density are not known: the offset cannot be computed"
        elif unknown:
            text = (
                f"unknown: {', '.join(unknown)}. Readings lie from {1e3 * low:+.1f} to {1e3 * high:+.1f} mm"
                " of the true level"
            )
        else:
            text = "indicated minus true level at the stated density, at rest; positive reads high"
        self.put(3, 8, text, align=_LEFTWARD)
        self.end(26)
        for name in ("lrv", "urv"):
            end = self.data.get(name)
            if isinstance(end, float):
                self.at[name] = f"{1e3 * end:.9g}"

    def _readings(self, title: str, ways: Sequence[str]) -> None:
        self.bar(title)
        heads = (*_HEADS, _REMARK)
        for column, head in enumerate(heads, start=1):
            self.put(column, column, head, _HEAD, _BOLD)
        self.end(27)
        for way in ways:
            level = self.put(1, 1, None, _INPUT, form="0")
            self.put(2, 2, way or None, _INPUT)
            show = self._formula(3, f"{level}+{self.at['offset']}", [level, self.at["offset"]], "0")
            seen = self.put(4, 4, None, _INPUT, form="0")
            self._formula(5, f"{seen}-{show}", [seen, show], "+0;-0;0")
            if "lrv" in self.at and "urv" in self.at:
                span = f"({self.at['urv']}-{self.at['lrv']})"
                share = f"({show}-{self.at['lrv']})/{span}"
                turned = f"20-16*{share}" if "revers" in str(self.data.get("action", "")) else f"4+16*{share}"
                self._formula(6, turned, [show], "0.00")
                self.put(7, 7, None, _INPUT, form="0.00")
            else:
                self.put(6, 6, "-")
                self.put(7, 7, None)
            self.put(8, 8, None, _INPUT)
            self.end()

    def _formula(self, column: int, formula: str, cells: Sequence[str], form: str) -> str:
        given = f'=IF(COUNT({",".join(cells)})<{len(cells)},"",{formula})'
        return self.put(column, column, given, _RESULT, form=form, formula=True)

    def _switches(self) -> None:
        points = [(name, float(self.gauges.si(f)[self.record]), way) for name, f, way in SWITCHES]
        points = [(name, point, way) for name, point, way in points if not math.isnan(point)]
        if not points:
            return
        self.bar(SWITCHED)
        heads = ((1, 2, "Switch"), (3, 3, "Set at, mm"), (4, 4, "Acted, found"), (5, 5, "Reset, found"))
        for first, last, head in (*heads, (6, 6, "Acted, left"), (7, 7, "Reset, left"), (8, 8, _REMARK)):
            self.put(first, last, head, _HEAD, _BOLD)
        self.end(27)
        for name, point, way in points:
            self.put(1, 2, f"{name}, {way}", align=_LEFTWARD)
            self.put(3, 3, float(f"{1e3 * point:.6g}"), form="0")
            for column in range(4, 9):
                self.put(column, column, None, _INPUT, form="0")
            self.end()

    def _looks(self) -> None:
        """Questions and answers as `diagnose` reads them."""
        self.put(1, 6, "Question", _HEAD, _BOLD)
        self.put(7, 8, "Answer", _HEAD, _BOLD)
        self.end()
        for name in LOOKS:
            self.put(1, 6, questions()[name].text, align=_LEFTWARD)
            self.put(7, 8, None, _INPUT)
            self.end(30)
        self.end(8)

    def _stated(self) -> None:
        """Data of the gauge, which `diagnose` reads: label, value, unit."""
        self.bar(DATA_TITLE)
        for name, entry in load("observations")["gauge"].items():
            spec = load("fields")[entry["like"]] if "like" in entry else entry
            value, quantity = self.data.get(name), spec.get("quantity", "")
            unit = entry.get("unit") or spec.get("unit", "")
            label = str(spec["label"])
            self.put(1, 3, label[:1].upper() + label[1:], align=_LEFTWARD)
            if isinstance(value, float) and quantity:
                shown = float(converter(unit, quantity).from_si(value))
                self.put(4, 5, float(f"{shown:.9g}"))
            else:
                self.put(4, 5, value or "unknown", None if value else _INPUT)
            self.put(6, 6, unit)
            self.put(7, 8)
            self.end()
