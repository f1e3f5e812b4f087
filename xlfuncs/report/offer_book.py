"""The pages of an offer as a workbook: a summary, then a sheet for each gauge that prints on one A4 page.

The gauge is drawn in cells, to scale, so that it stays sharp in print.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.report import _sheets
from xlfuncs.report import _words as words
from xlfuncs.report import offer_pages as pages
from xlfuncs.report.offer import general
from xlfuncs.work.duties import Question
from xlfuncs.work.offer import Offer, Offered

_WIDTHS = (15.0, *[8.6] * 10)
_LAST = len(_WIDTHS)
_TEXT, _BOLD = Font(name="Calibri", size=10), Font(name="Calibri", size=10, bold=True)
_SOFT = Font(name="Calibri", size=9, color="4C5B64")
_TITLE = Font(name="Calibri", size=16, bold=True)
_RULE, _INK = Side(style="thin", color="C9D2D8"), Side(style="medium", color="1D2930")
_WASH = PatternFill("solid", fgColor="F3F6F8")
_WRAP = Alignment(wrap_text=True, vertical="top")
_RIGHT = Alignment(wrap_text=True, vertical="top", horizontal="right", indent=1)
_ROWS_OF_A_PAGE = 75
"""Rows that are still read when they are brought onto one page."""
_LINE = 13.5
"""Points of a line of text."""


def build(found: Offer, shown: Sequence[str] = ()) -> Workbook:
    """The workbook. `shown`: headings of the company's own that the customer may see."""
    book = Workbook()
    first = book.active
    assert first is not None
    first.title = "Summary"
    shared = general(found)
    _summary(_Page(first), found, shared, shown)
    taken = {"summary"}
    for one in found.gauges:
        _gauge(_Page(book.create_sheet(_name(one.asked.tag, taken))), found, one, shared, shown)
    return book


def _name(tag: str, taken: set[str]) -> str:
    """A sheet's name of a tag, each once."""
    plain = re.sub(r"[\[\]:*?/\\']", "-", words.one_line(tag))[:26] or "gauge"
    name, number = plain, 1
    while name.casefold() in taken:
        number += 1
        name = f"{plain} ({number})"
    taken.add(name.casefold())
    return name


class _Page:
    """A sheet, written from the top."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet, self.row = sheet, 1
        for column, width in enumerate(_WIDTHS, 1):
            sheet.column_dimensions[get_column_letter(column)].width = width
        sheet.sheet_view.showGridLines = False
        sheet.page_setup.paperSize, sheet.page_setup.orientation = 9, "portrait"
        sheet.page_setup.fitToHeight = 0
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        margins = sheet.page_margins
        margins.left = margins.right = margins.top = 0.5
        margins.bottom, margins.footer = 0.75, 0.35
        _sheets.footer(sheet, center=_sheets.PAGE)

    def put(self, column: int, value: Any, font: Font = _TEXT, right: bool = False) -> Any:
        """A value in this row; a text that could be taken for a formula stays a text."""
        cell = self.sheet.cell(self.row, column)
        number = isinstance(value, str) and bool(re.fullmatch(r"[+-]?\d+(\.\d+)?", value))
        if number:
            decimals = len(value.partition(".")[2])
            form = "0" + ("." + "0" * decimals if decimals else "")
            cell.value = float(value)
            cell.number_format = f"+{form};-{form};{form}" if value[0] in "+-" else form
        else:
            cell.value = words.one_line(value)
            if words.active(str(cell.value)):
                cell.data_type, cell.quotePrefix = "s", True
        cell.font, cell.alignment = font, _RIGHT if number or right else _WRAP
        return cell

    def across(
        self, value: str, font: Font = _TEXT, size: float = 1.0, first: int = 1, last: int = _LAST
    ) -> None:
        """A text over several columns, in rows as high as it needs."""
        self.put(first, value, font)
        self.sheet.merge_cells(start_row=self.row, start_column=first, end_row=self.row, end_column=last)
        room = sum(_WIDTHS[first - 1 : last]) * 1.15 / size
        self.high(_LINE * size * max(1, math.ceil(len(value) / room)))

    def high(self, points: float) -> None:
        now = self.sheet.row_dimensions[self.row].height or 0
        self.sheet.row_dimensions[self.row].height = max(now, points)

    def next(self, rows: int = 1) -> None:
        self.row += rows

    def band(self, text: str) -> None:
        for column in range(1, _LAST + 1):
            cell = self.put(column, text if column == 1 else "", _BOLD)
            cell.fill, cell.border, cell.alignment = _WASH, Border(bottom=_INK), Alignment(vertical="center")
        self.high(17)
        self.next()

    def lines(self, title: str, texts: Iterable[str]) -> None:
        listed = list(dict.fromkeys(texts))
        if listed:
            self.band(title)
        for text in listed:
            self.across(f"\u2022 {text}")
            self.next()

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]], spans: Sequence[int] = ()) -> None:
        """`spans`: columns that each heading takes; 1 where nothing is said."""
        wide = list(spans) or [1] * len(heads)
        for n, row in enumerate([heads, *rows]):
            column = 1
            for i, (text, span) in enumerate(zip(row, wide, strict=True)):
                right = i > 0 and any(re.fullmatch(r"[+-]?\d+(\.\d+)?", r[i]) for r in rows)
                self.put(column, text, _TEXT if n else _BOLD, right)
                if span > 1:
                    self.sheet.merge_cells(
                        start_row=self.row,
                        start_column=column,
                        end_row=self.row,
                        end_column=column + span - 1,
                    )
                room = sum(_WIDTHS[column - 1 : column - 1 + span]) * (1.15 if n else 0.9)
                self.high(_LINE * max(1, math.ceil(len(text) / room)))
                for at in range(column, column + span):
                    self.sheet.cell(self.row, at).border = Border(bottom=_RULE if n else _INK)
                column += span
            self.next()

    def blanks(self) -> None:
        """Places to be written in by hand."""
        self.next()
        for start in range(0, len(pages.BLANKS), 3):
            for i, name in enumerate(pages.BLANKS[start : start + 3]):
                column = 1 + 3 * i + (i > 0)
                self.put(column, name, _SOFT)
                last = column + (3 if i == 0 else 2)
                if last > _LAST:
                    last = _LAST
                self.sheet.merge_cells(
                    start_row=self.row, start_column=column, end_row=self.row, end_column=last
                )
                for at in range(column, last):
                    self.sheet.cell(self.row + 1, at).border = Border(bottom=_INK)
            self.sheet.row_dimensions[self.row + 1].height = 23
            self.next(2)


def _summary(page: _Page, found: Offer, shared: Mapping[Question, list[str]], shown: Sequence[str]) -> None:
    done = sum(one.chosen is not None for one in found.gauges)
    page.across("Magnetic float level gauges", _TITLE, 1.7)
    page.next()
    page.across(
        f"Inquiry: {found.name}. A float is named for {done} of {words.plural(len(found.gauges), 'gauge')}. "
        f"Tolerance of the reading: {found.settings.offset_tolerance_mm:g} mm, in every stated case."
    )
    page.next()
    page.blanks()
    page.next()
    rows = [pages.summary_line(one, shared) for one in found.gauges]
    page.table(pages.SUMMARY_HEADS, rows, (1, 2, 2, 2, 2, 2))
    heads, rows = pages.type_table(found, shown)
    if rows:
        page.next()
        page.band("Types of float and spares")
        page.across(pages.type_text(found))
        page.next()
        spans = [1, 1, max(2, 6 - len(shown)), max(1, 3 - max(0, len(shown) - 4)), *[1] * len(shown)]
        page.table(heads, rows, spans)
    page.next()
    page.lines("Questions on several gauges", (pages.several(q, tags, found) for q, tags in shared.items()))
    page.lines("What could not be read", found.doubts)
    page.lines("Validity and exclusions", pages.EXCLUSIONS)
    if page.row <= _ROWS_OF_A_PAGE:
        page.sheet.page_setup.fitToHeight = 1


def _gauge(
    page: _Page, found: Offer, one: Offered, shared: Mapping[Question, list[str]], shown: Sequence[str]
) -> None:
    page.sheet.page_setup.fitToHeight = 1
    page.across(one.asked.tag, _TITLE, 1.7)
    page.next()
    page.across(pages.headline(one), _SOFT)
    page.next()
    page.across(pages.verdict(one), _BOLD)
    page.next(2)
    top = page.row
    for name, value in pages.facts(found, one, shown):
        page.put(1, name, _SOFT)
        page.across(value, first=2, last=5)
        for column in range(1, 6):
            page.sheet.cell(page.row, column).border = Border(bottom=_RULE)
        page.high(_LINE * max(1, math.ceil(len(name) / 15)))
        page.next()
    page.row = max(page.row, _draw(page.sheet, found, one, top)) + 1
    heads, rows = pages.case_table(one)
    if rows:
        page.band("Expected readings: indicated less true level, and currents")
        page.table(heads, rows)
    switches = pages.switch_rows(one)
    if switches:
        page.band("Switches")
        page.table(pages.SWITCH_HEADS, switches, (1, 2, 3))
    page.lines("Other floats", pages.other_lines(one))
    page.lines("Questions", pages.question_lines(one, shared))
    page.lines("Assumptions", pages.assumptions(found, one))
    page.lines("Cautions", [*one.cautions, *pages.remarks(one)])
    page.blanks()
    page.across(pages.EXCLUSIONS[0], _SOFT)


# --- the drawing --------------------------------------------------------------------------------------

_ROWS = 20
_CHAMBER = 7
"""Column of the chamber; marks stand right of it, connections left."""


def _draw(sheet: Worksheet, found: Offer, one: Offered, top: int) -> int:
    """The gauge in cells, each row an equal length; gives the row below it."""
    entry = pages.drawn(found, one)
    length = entry.get("connection_distance_mm") or entry.get("visible_range_mm")
    if not length:
        return top
    bottom = top + _ROWS - 1
    for row in range(top, bottom + 1):
        sheet.row_dimensions[row].height = max(sheet.row_dimensions[row].height or 0, _LINE)
    heights = [sheet.row_dimensions[row].height or _LINE for row in range(top, bottom + 1)]
    whole = sum(heights)

    def row_of(level: float) -> int:
        """The row in which a level lies: rows differ in height."""
        left = (1 - level / length) * whole
        for i, points in enumerate(heights):
            left -= points
            if left < 0:
                return top + i
        return bottom

    level = length / 2
    body = one.body if one.cases else None
    depth = float(entry.get("immersion_mm", 0.0))
    liquid, float_ = PatternFill("solid", fgColor="D3E6F3"), PatternFill("solid", fgColor="8797A1")
    surface = row_of(level)
    for row in range(top, bottom + 1):
        cell = sheet.cell(row, _CHAMBER)
        cell.border = Border(left=_INK, right=_INK, top=_INK if row == top else None,
                             bottom=_INK if row == bottom else None)  # fmt: skip
        if row >= surface:
            cell.fill = liquid
    if body is not None:
        for row in range(row_of(level - depth + 1e3 * body.length), row_of(level - depth) + 1):
            sheet.cell(row, _CHAMBER).fill = float_
        _mark(sheet, row_of(level - depth + 1e3 * body.magnet_height), _CHAMBER + 1, "◄ magnet")
    _mark(sheet, top, _CHAMBER - 1, f"{length:.0f} mm ►", right=True)
    _mark(sheet, bottom, _CHAMBER - 1, "0 mm ►", right=True)
    marks = {"LRV": entry.get("lrv_mm"), "URV": entry.get("urv_mm"), **entry["switches"]}
    named: dict[int, list[str]] = {}
    for name, at in marks.items():
        if at is not None and 0 <= at <= length:
            named.setdefault(row_of(at), []).append(f"{name} {at:.0f}")
    for row, names in named.items():
        _mark(sheet, row, _CHAMBER + 2, "◄ " + ", ".join(names))
    note = sheet.cell(bottom + 1, _CHAMBER - 1)
    note.value = "Heights to scale; level in the middle; grey: the float"
    note.font = _SOFT
    return bottom + 2


def _mark(sheet: Worksheet, row: int, column: int, text: str, right: bool = False) -> None:
    cell = sheet.cell(row, column)
    cell.value = text
    cell.font = _SOFT
    cell.alignment = Alignment(horizontal="right" if right else "left", vertical="center")
