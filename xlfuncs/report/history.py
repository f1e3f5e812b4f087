"""The history of gauges: what each visit found and left, with its drift and a chart for each gauge.

A visit is a row: how far the indicator and the current stood from what the gauge should show (mean over the
readings), how much more it showed with the level rising than falling, the current's error at LRV and over
the span (least squares), the level at which each switch acted, and the cause found. The workbook is ours: it
is read, a row is added or replaced, and it is written anew with its charts.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
from openpyxl import Workbook, load_workbook
from openpyxl.chart import LineChart, Reference
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import SeriesLabel
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge import Array, reasons
from xlfuncs.gauge.faulty import SOUND, predict
from xlfuncs.gauge.readings import FALLING, LEVEL_NOISE, RISING, Case, Gauge, Readings
from xlfuncs.report import _sheets
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.units import UnitError, parse

SHEET = "History"
SWITCHES = ("LSHH", "LSH", "LSL", "LSLL")
Points = tuple[float | None, ...]
"""Levels at which the switches acted, in the order of `SWITCHES` [mm]."""
_ON_A_PAGE = 3
"""Charts of gauges above each other."""
_MARKS: tuple[Literal["circle", "square", "triangle", "diamond"], ...] = (
    "circle",
    "square",
    "triangle",
    "diamond",
)
_NO_POINTS: Points = (None,) * len(SWITCHES)


@dataclass(frozen=True, slots=True)
class Visit:
    """A row; lengths in mm, None where nothing was read."""

    tag: str
    date: str
    by: str
    found: float | None
    """Indicated less what it should show, as found."""
    left: float | None
    zero_found: float | None
    """Level of the current less what it should be, at LRV."""
    zero_left: float | None
    span_found: float | None
    """... at URV, less that at LRV."""
    span_left: float | None
    acted_found: Points = _NO_POINTS
    acted_left: Points = _NO_POINTS
    lag_found: float | None = None
    """What it showed rising less what it showed falling, at the same true level."""
    lag_left: float | None = None
    cause: str = ""

    @property
    def cells(self) -> tuple[Any, ...]:
        """Its row: a switch's point found, then left."""
        plain = (getattr(self, f.name) for f in fields(self)[:_PLAIN])
        points = (p for pair in zip(self.acted_found, self.acted_left, strict=True) for p in pair)
        return (*plain, self.lag_found, self.lag_left, self.cause or None, *points)


_PLAIN = 9
"""Fields of a visit that stand first in its row."""
_TEXTS = 3
_LENGTHS = (
    *("Tag", "Date", "By", "Offset found, mm", "Offset left, mm", "Zero found, mm", "Zero left, mm"),
    *("Span found, mm", "Span left, mm"),
)
_LAGS, _CAUSE = ("Rising less falling found, mm", "Rising less falling left, mm"), "Cause found"
_POINTS = tuple(f"{name} acted {when}, mm" for name in SWITCHES for when in ("found", "left"))
HEADINGS = (*_LENGTHS, *_LAGS, _CAUSE, *_POINTS)
_FIRST_POINT = len(HEADINGS) - len(_POINTS) + 1
"""Column of the first switch point."""
_AS_TEXT = "Switches: acted found / left, mm"
"""Heading of histories that held switch points as texts, `LSH 802 / 800`."""
_DRIFTS = (
    "Drift since the visit before, mm",
    *(f"{name} drift, mm" for name in SWITCHES),
)


def visit(
    tag: str,
    gauge: Gauge,
    found: Readings,
    left: Readings | None,
    told: Mapping[str, Any],
    cause: str = "",
) -> Visit:
    """What a visit found and left. `told`: what stands beside labels of the field sheet."""
    first = _errors(gauge, found)
    last = (None, None, None) if left is None else _errors(gauge, left)
    date, by = (_text(told.get(name)) for name in ("date", "calibrator"))
    date = _DOTTED.sub(_iso, date)
    if not date:
        raise XlfuncsError(f"{tag}: the date of the visit is not filled in; the history needs it")
    points = [_points(tag, told, when) for when in ("found", "left")]
    lags = _lag(gauge, found), None if left is None else _lag(gauge, left)
    plain = (first[0], last[0], first[1], last[1], first[2], last[2])
    return Visit(tag, date, by, *plain, points[0], points[1], *lags, cause)


_DOTTED = re.compile(r"^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})$")
"""27.11.2026, which is not sorted by time as it stands; 03/04/2026 may be either and is left."""


def _iso(found: re.Match[str]) -> str:
    day, month, year = (int(part) for part in found.groups())
    return f"{year}-{month:02d}-{day:02d}"


def _text(value: Any) -> str:
    if hasattr(value, "date"):
        return str(value.date())
    return "" if value is None else " ".join(str(value).split())


def _points(tag: str, told: Mapping[str, Any], when: str) -> Points:
    """Where each switch acted; XlfuncsError for a cell that is no level."""
    return tuple(_point(tag, f"{name} acted {when}", told.get(f"{name} {when}")) for name in SWITCHES)


def _point(tag: str, what: str, cell: Any) -> float | None:
    if cell is None or cell == "" or str(cell).strip() in _NOT_READ:
        return None
    try:
        return round(1e3 * float(parse(str(cell), "length", "mm").si), 1)
    except UnitError as why:
        raise XlfuncsError(f"{tag}: {what}, mm: {why}; write a level, or - for none") from None


_NOT_READ = ("-", "--", "n/a", "?")


def _should(gauge: Gauge, read: Readings) -> Array:
    """What a sound gauge shows at each reading."""
    with reasons():
        return np.asarray(np.atleast_2d(predict(Case(gauge, read), SOUND).magnet)[0])


def _lag(gauge: Gauge, read: Readings) -> float | None:
    """Mean error of the indicator with the level rising less that with it falling, where it was read; else of
    the current [mm]."""
    should = _should(gauge, read)
    for error in (read.indicated - should, Case(gauge, read).signal - should):
        up, down = _mean(error[read.direction == RISING]), _mean(error[read.direction == FALLING])
        if up is not None and down is not None:
            return round(up - down, 1)
    return None


def _errors(gauge: Gauge, read: Readings) -> tuple[float | None, float | None, float | None]:
    """(mean error of the indicator, the current's error at LRV, and what it gains over the span) [mm].

    A span that the readings do not tell (a few close together) is left out, and the mean error stands for
    that at LRV: drawn out to the ends, the errors of reading would look like those of the transmitter.
    """
    should = _should(gauge, read)
    shown, error = _mean(read.indicated - should), Case(gauge, read).signal - should
    known = ~np.isnan(error)
    spread = float(np.sqrt(np.sum((should[known] - should[known].mean()) ** 2))) if known.any() else 0.0
    span = gauge.urv - gauge.lrv
    if known.sum() < 2 or spread < 0.04 * span:
        return shown, _mean(error), None
    slope, start = np.polyfit(should[known], error[known], 1)
    about = math.sqrt(2) * LEVEL_NOISE * span / spread
    if about > _SPAN_KNOWN and abs(slope * span) < 3 * about:
        return shown, _mean(error), None
    return shown, _mm(float(start + slope * gauge.lrv)), _mm(float(slope * span))


_SPAN_KNOWN = 0.005
"""Standard uncertainty of the error over the span up to which it is stated; beyond it, only where it is more
than three times that [m]. Our own choice."""


def _mean(values: Array) -> float | None:
    known = values[~np.isnan(values)]
    return _mm(float(known.mean())) if len(known) else None


def _mm(value: float) -> float | None:
    return None if math.isnan(value) else round(1e3 * value, 1)


def read_history(path: Path) -> list[Visit]:
    """The visits in a history workbook; XlfuncsError for another workbook."""
    book = load_workbook(path)
    if SHEET not in book.sheetnames:
        raise XlfuncsError(f"{path}: no sheet '{SHEET}': no history; name a new file")
    rows = list(book[SHEET].iter_rows(values_only=True))
    heads = [_text(cell) for cell in rows[0]] if rows else []
    if tuple(heads[:_PLAIN]) != _LENGTHS:
        raise XlfuncsError(f"{path}: sheet '{SHEET}' has other headings than a history; name a new file")
    return [_visit(dict(zip(heads, row, strict=False))) for row in rows[1:] if row[0]]


def _visit(row: Mapping[str, Any]) -> Visit:
    """Of a row by its headings; those of earlier histories lack some."""
    plain: list[Any] = [_text(row[h]) if i < _TEXTS else row[h] for i, h in enumerate(_LENGTHS)]
    if _AS_TEXT in row:
        found, left = _from_text(_text(row[_AS_TEXT]))
    else:
        points = [row.get(heading) for heading in _POINTS]
        found, left = tuple(points[::2]), tuple(points[1::2])
    return replace(
        Visit(*plain),
        acted_found=found,
        acted_left=left,
        lag_found=row.get(_LAGS[0]),
        lag_left=row.get(_LAGS[1]),
        cause=_text(row.get(_CAUSE)),
    )


def _from_text(text: str) -> tuple[Points, Points]:
    """(found, left) of `LSH 802 / 800; LSL - / 120`."""
    told: dict[str, Any] = {}
    for part in filter(None, (p.strip() for p in text.split(";"))):
        name, _, levels = part.partition(" ")
        found, _, left = levels.partition("/")
        told |= {f"{name} found": found.strip(), f"{name} left": left.strip()}
    return _points("history", told, "found"), _points("history", told, "left")


def drift(before: Visit, now: Visit) -> float | None:
    """Offset as found now less that as left then, or as found where nothing was left [mm]."""
    then = before.found if before.left is None else before.left
    return _gap(then, now.found)


def switch_drifts(before: Visit, now: Visit) -> Points:
    """The same of each switch's point."""
    rows = zip(before.acted_found, before.acted_left, now.acted_found, strict=True)
    return tuple(_gap(found if left is None else left, here) for found, left, here in rows)


def _gap(then: float | None, now: float | None) -> float | None:
    return None if then is None or now is None else round(now - then, 1)


def add_visit(path: Path, made: Visit) -> list[Visit]:
    """Add a visit to a history, a new one where there is none; one of its tag and date is replaced."""
    before = read_history(path) if path.exists() else []
    kept = [v for v in before if (v.tag, v.date) != (made.tag, made.date)]
    every = sorted([*kept, made], key=lambda v: (v.tag, v.date))
    with whole_file(path, []) as draft:
        _book(every).save(draft)
    return every


def _book(visits: Sequence[Visit]) -> Workbook:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = SHEET
    for column, heading in enumerate((*HEADINGS, *_DRIFTS), start=1):
        cell = sheet.cell(1, column, heading)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="DCE4E8")
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        width = 40 if heading == _CAUSE else 12 if column <= _TEXTS else 9.5
        sheet.column_dimensions[get_column_letter(column)].width = width
    places: dict[str, list[int]] = {}
    for row, made in enumerate(visits, start=2):
        cells = list(made.cells)
        if made.tag in places:
            last = visits[places[made.tag][-1] - 2]
            cells += [drift(last, made), *switch_drifts(last, made)]
        for column, value in enumerate(cells, start=1):
            _sheets.put(sheet, row, column, value)
        sheet.cell(row, HEADINGS.index(_CAUSE) + 1).alignment = Alignment(wrap_text=True, vertical="top")
        places.setdefault(made.tag, []).append(row)
    sheet.freeze_panes = "B2"
    sheet.row_dimensions[1].height = 72
    for column in range(_FIRST_POINT, sheet.max_column + 1):  # no switch was tried
        empty = all(sheet.cell(row, column).value is None for row in range(2, len(visits) + 2))
        sheet.column_dimensions[get_column_letter(column)].hidden = empty
    charts = book.create_sheet("Charts")
    _on_paper(sheet, "landscape")
    _on_paper(charts, "portrait")
    sheet.print_title_rows = "1:1"
    acted = range(_FIRST_POINT, len(HEADINGS) + 1)
    for number, (tag, rows) in enumerate(places.items()):
        charts.add_chart(_chart(sheet, tag, rows, range(4, 8)), f"A{1 + 16 * number}")
        if number and number % _ON_A_PAGE == 0:
            charts.row_breaks.append(Break(16 * number))
        read = [c for c in acted if any(sheet.cell(r, c).value is not None for r in rows)]
        if read:
            charts.add_chart(_chart(sheet, f"{tag}, switches", rows, read), f"K{1 + 16 * number}")
    return book


def _on_paper(sheet: Worksheet, way: Literal["landscape", "portrait"]) -> None:
    """A4, as wide as the page."""
    sheet.page_setup.paperSize, sheet.page_setup.orientation = 9, way
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    _sheets.footer(sheet, left="history of level gauges", right=_sheets.PAGE)


def _chart(sheet: Worksheet, title: str, rows: Sequence[int], columns: Sequence[int]) -> LineChart:
    """The columns over the visits of a gauge."""
    chart = LineChart()
    chart.title, chart.height, chart.width = title, 7.5, 16
    chart.y_axis.title, chart.x_axis.title = "mm", "visit"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.tickLblPos = "low"  # beneath the chart, also where all is below zero
    for column in columns:
        chart.add_data(Reference(sheet, min_col=column, min_row=rows[0], max_row=rows[-1]))
        chart.series[-1].tx = SeriesLabel(v=HEADINGS[column - 1])
        # a line may lie on another one; of a first visit there is only a point
        chart.series[-1].marker = Marker(symbol=_MARKS[(column - columns[0]) % len(_MARKS)], size=7)
    chart.set_categories(Reference(sheet, min_col=2, min_row=rows[0], max_row=rows[-1]))
    return chart
