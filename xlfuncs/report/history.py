"""The history of gauges: what each visit found and left, with its drift and a chart for each gauge.

A visit is a row: how far the indicator and the current stood from what the gauge should show (mean over the
readings), the current's error at LRV and over the span (least squares), and the switch points. The workbook
is ours: it is read, a row is added or replaced, and it is written anew with its charts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np
from openpyxl import Workbook, load_workbook
from openpyxl.chart import LineChart, Reference
from openpyxl.chart.series import SeriesLabel
from openpyxl.styles import Font, PatternFill
from openpyxl.utils import get_column_letter

from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge import Array, reasons
from xlfuncs.gauge.faulty import SOUND, predict
from xlfuncs.gauge.readings import Case, Gauge, Readings
from xlfuncs.report import _sheets
from xlfuncs.spreadsheet.files import whole_file

SHEET = "History"
_SWITCHES = ("LSHH", "LSH", "LSL", "LSLL")


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
    switches: str
    """Switch points found and left."""


HEADINGS = (
    *("Tag", "Date", "By", "Offset found, mm", "Offset left, mm", "Zero found, mm", "Zero left, mm"),
    *("Span found, mm", "Span left, mm", "Switches: acted found / left, mm"),
)
_DRIFT = "Drift since the visit before, mm"


def visit(tag: str, gauge: Gauge, found: Readings, left: Readings | None, told: Mapping[str, Any]) -> Visit:
    """What a visit found and left. `told`: what stands beside labels of the field sheet."""
    first = _errors(gauge, found)
    last = (None, None, None) if left is None else _errors(gauge, left)
    date, by = (_text(told.get(name)) for name in ("date", "calibrator"))
    if not date:
        raise XlfuncsError(f"{tag}: the date of the visit is not filled in; the history needs it")
    return Visit(tag, date, by, first[0], last[0], first[1], last[1], first[2], last[2], _switches(told))


def _text(value: Any) -> str:
    if hasattr(value, "date"):
        return str(value.date())
    return "" if value is None else " ".join(str(value).split())


def _switches(told: Mapping[str, Any]) -> str:
    return _text(told.get("switch points"))


def _errors(gauge: Gauge, read: Readings) -> tuple[float | None, float | None, float | None]:
    """(mean error of the indicator, the current's error at LRV, and what it gains over the span) [mm]."""
    case = Case(gauge, read)
    with reasons():
        should = np.atleast_2d(predict(case, SOUND).magnet)[0]
    shown = _mean(read.indicated - should)
    error = case.signal - should
    known = ~np.isnan(error)
    if known.sum() < 2 or np.ptp(should[known]) < 0.05 * (gauge.urv - gauge.lrv):
        return shown, _mean(error), None
    slope, start = np.polyfit(should[known], error[known], 1)
    zero = float(start + slope * gauge.lrv)
    return shown, _mm(zero), _mm(float(slope * (gauge.urv - gauge.lrv)))


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
    if not rows or tuple(rows[0][: len(HEADINGS)]) != HEADINGS:
        raise XlfuncsError(f"{path}: sheet '{SHEET}' has other headings than a history; name a new file")
    return [_visit(row) for row in rows[1:] if row[0]]


def _visit(row: Sequence[Any]) -> Visit:
    width = len(fields(Visit))
    texts = {0, 1, 2, width - 1}
    cells: list[Any] = [_text(cell) if i in texts else cell for i, cell in enumerate(row[:width])]
    return Visit(*cells)


def drift(before: Visit, now: Visit) -> float | None:
    """Offset as found now less that as left then, or as found where nothing was left [mm]."""
    then = before.found if before.left is None else before.left
    return None if then is None or now.found is None else round(now.found - then, 1)


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
    for column, heading in enumerate((*HEADINGS, _DRIFT), start=1):
        cell = sheet.cell(1, column, heading)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="DCE4E8")
        sheet.column_dimensions[get_column_letter(column)].width = 16
    places: dict[str, list[int]] = {}
    for row, made in enumerate(visits, start=2):
        for column, value in enumerate(astuple(made), start=1):
            _sheets.put(sheet, row, column, value)
        if made.tag in places:
            _sheets.put(sheet, row, len(HEADINGS) + 1, drift(visits[places[made.tag][-1] - 2], made))
        places.setdefault(made.tag, []).append(row)
    sheet.freeze_panes = "B2"
    charts = book.create_sheet("Charts")
    for number, (tag, rows) in enumerate(places.items()):
        chart = LineChart()
        chart.title, chart.height, chart.width = tag, 7.5, 16
        chart.y_axis.title, chart.x_axis.title = "mm", "visit"
        chart.x_axis.delete = chart.y_axis.delete = False
        data = Reference(sheet, min_col=4, max_col=7, min_row=rows[0], max_row=rows[-1])
        chart.add_data(data)
        for series, heading in zip(chart.series, HEADINGS[3:7], strict=True):
            series.tx = SeriesLabel(v=heading)
        chart.set_categories(Reference(sheet, min_col=2, min_row=rows[0], max_row=rows[-1]))
        charts.add_chart(chart, f"A{1 + 16 * number}")
    return book
