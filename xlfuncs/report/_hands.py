"""Pages of a workbook for a pen on A4: rows of 8 mm, letters of 10 pt, nothing scaled down."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from math import ceil
from typing import Any

from openpyxl.cell import Cell
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.report import _sheets

WIDTHS = (13.5, 9.0, 8.5, 10.0, 9.0, 8.5, 9.0, 9.0)
"""Characters of each column: less than the 189 mm between the margins in any program."""
LAST = len(WIDTHS)
HIGH = 23.5
"""Points of a row, 8.3 mm."""
LETTERS = 10
_LINE = 13.5
_INDENT = 2
"""Characters that the indent of a label takes."""
ROOM = (297 - 25.4 * 0.8) / 25.4 * 72
"""Points between the margins of a page."""

_EDGE = Side(style="thin", color="6B7780")
BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
PLAIN, BOLD = Font(name="Calibri", size=LETTERS), Font(name="Calibri", size=LETTERS, bold=True)
TITLE = Font(name="Calibri", size=16, bold=True)
WHITE = Font(name="Calibri", size=11, bold=True, color="FFFFFF")
DARK, HEAD = PatternFill("solid", fgColor="2F4858"), PatternFill("solid", fgColor="DCE4E8")
INPUT, RESULT = PatternFill("solid", fgColor="FFF9DB"), PatternFill("solid", fgColor="F1F4F5")
_PASS, _FAIL = PatternFill(bgColor="D5EBD8"), PatternFill(bgColor="F8D7DA")
MIDDLE = Alignment(horizontal="center", vertical="center", wrap_text=True)
LEFTWARD = Alignment(horizontal="left", vertical="center", wrap_text=True, indent=1)


def setup(sheet: Worksheet) -> None:
    """A4 upright at its own size, with a footer."""
    sheet.page_setup.paperSize, sheet.page_setup.orientation = 9, "portrait"
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top, sheet.page_margins.bottom = 0.35, 0.45
    sheet.page_margins.header = sheet.page_margins.footer = 0.2
    sheet.sheet_view.showGridLines = False
    _sheets.footer(sheet, left="maker's manual and site permits take precedence", right=_sheets.PAGE)


class Page:
    """A sheet, written from top to bottom."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet, self.row = sheet, 1
        self.at: dict[str, str] = {}
        """Name of a value -> its cell."""
        for number, width in enumerate(WIDTHS, start=1):
            sheet.column_dimensions[get_column_letter(number)].width = width
        setup(sheet)
        self._used = 0.0
        """Points of the page that are used."""
        self._label = HIGH
        """Height that the labels of the current row need."""

    def put(
        self,
        first: int,
        last: int,
        value: Any = None,
        fill: PatternFill | None = None,
        font: Font = PLAIN,
        align: Alignment = MIDDLE,
        form: str = "General",
        formula: bool = False,
    ) -> str:
        """Write into the current row; gives the cell's absolute address."""
        cell = self.sheet.cell(self.row, first)
        if isinstance(value, str) and not formula:
            _sheets.put(self.sheet, self.row, first, value)
        else:
            cell.value = value
        self._dress(cell, font, align, fill, form, bool(cell.quotePrefix))
        for column in range(first + 1, last + 1):
            self._dress(self.sheet.cell(self.row, column), font, align, fill, "General", False)
        if last > first:
            # `merge_cells` would compare the borders of all its cells again: half the time of a record
            self.sheet.merged_cells.ranges.add(
                CellRange(min_row=self.row, min_col=first, max_row=self.row, max_col=last)
            )
        return f"${get_column_letter(first)}${self.row}"

    def _dress(
        self, cell: Any, font: Font, align: Alignment, fill: PatternFill | None, form: str, literal: bool
    ) -> None:
        """Give a cell its look, which is made once for each workbook: for each cell that was slow."""
        looks = vars(self.sheet.parent).setdefault("_looks_of_hands", {})
        key = (id(font), id(align), id(fill), form, literal)
        if key not in looks:
            model: Any = Cell(self.sheet, 1, 1)
            model.font, model.alignment, model.border, model.number_format = font, align, BOX, form
            model.quotePrefix = literal
            if fill is not None:
                model.fill = fill
            looks[key] = model._style
        cell._style = copy(looks[key])

    def end(self, height: float = HIGH) -> None:
        """Go on with the next row; a new page begins before one that would be cut."""
        height, self._label = max(height, self._label), HIGH
        if self._used + height > ROOM:
            self.new_page()
        self.sheet.row_dimensions[self.row].height = height
        self._used += height
        self.row += 1

    def new_page(self) -> None:
        """The current row stands on top of a page."""
        self.sheet.row_breaks.append(Break(self.row - 1))
        self._used = 0.0

    def keep(self, rows: int) -> None:
        """What follows stands together on a page."""
        if self._used + rows * HIGH > ROOM:
            self.new_page()

    def bar(self, text: str, rows: int = 3) -> None:
        """The title of a part; at least some of its rows stand on the same page."""
        self.keep(rows + 1)
        self.put(1, LAST, text, DARK, WHITE, LEFTWARD)
        self.end()

    def text(self, text: str, font: Font = PLAIN) -> None:
        """A sentence over the whole width."""
        self.put(1, LAST, text, font=font, align=LEFTWARD)
        self.end(_LINE * max(1, ceil(len(text) / (sum(WIDTHS) * 1.25))) + 6)

    def heads(self, *heads: tuple[int, int, str]) -> None:
        for first, last, text in heads:
            self.put(first, last, text, HEAD, BOLD)
        self.end(28)

    def label(self, text: str, last: int = 1, first: int = 1, font: Font = PLAIN) -> None:
        lines = ceil((len(text) + _INDENT) / (sum(WIDTHS[first - 1 : last]) * 1.2))
        self._label = max(self._label, _LINE * lines + 4)
        self.put(first, last, text, font=font, align=LEFTWARD)

    def blank(self, first: int, last: int | None = None, form: str = "General") -> str:
        """A cell to be filled in."""
        return self.put(first, last or first, None, INPUT, form=form)

    def stated(self, first: int, last: int, value: Any, form: str = "General") -> str:
        """What is known, or a cell to be filled in."""
        if value is None or value == "":
            return self.blank(first, last, form)
        return self.put(first, last, value, form=form)

    def result(self, first: int, formula: str, form: str = "General", last: int = 0) -> str:
        return self.put(first, last or first, formula, RESULT, form=form, formula=True)

    def verdict(self, first: int, formula: str, last: int = 0) -> str:
        return self.put(first, last or first, formula, font=BOLD, formula=True)

    def pair(self, left: str, right: str, value: Any = None) -> None:
        """Two labels with cells to fill in."""
        self.label(left, font=BOLD)
        self.put(2, 4, value, INPUT)
        self.put(5, 6, right, font=BOLD)
        self.put(7, 8, None, INPUT)
        self.end()

    def beside(self, column: int, formula: str) -> str:
        """A formula that others need, right of what is printed."""
        self.sheet.cell(self.row, LAST + 1 + column, formula)
        return f"${get_column_letter(LAST + 1 + column)}${self.row}"

    def yes_or_no(self, cell: str) -> None:
        """Only yes or no may be typed into the cell."""
        for rule in self.sheet.data_validations.dataValidation:
            rule.add(cell.replace("$", ""))
            return
        rule = DataValidation(type="list", formula1='"yes,no"', allow_blank=True)
        rule.error, rule.errorTitle, rule.showErrorMessage = "write yes or no", "yes or no", True
        self.sheet.add_data_validation(rule)
        rule.add(cell.replace("$", ""))

    def finish(self) -> None:
        """Pass and fail in colour; what stands beside is not printed."""
        letter = get_column_letter(LAST)
        area = f"A1:{letter}{self.row}"
        self.sheet.print_area = area
        for word, fill in (("pass", _PASS), ("fail", _FAIL)):
            self.sheet.conditional_formatting.add(
                area, CellIsRule(operator="equal", formula=[f'"{word}"'], fill=fill)
            )


def asked(cells: Sequence[str], formula: str) -> str:
    """A formula that stays empty until its numbers are there."""
    return f'=IF(COUNT({",".join(cells)})<{len(cells)},"",{formula})'


def within(found: str, low: str, high: str, tolerance: str) -> str:
    """The verdict on what was found; empty until its numbers are there."""
    return f"={inside(found, low, high, tolerance)}"


def inside(found: str, low: str, high: str, tolerance: str) -> str:
    """The same as part of a formula."""
    numbers = f"COUNT({found},{low},{high})=3"
    kept = f"AND({found}>={low}-{tolerance}-0.000001,{found}<={high}+{tolerance}+0.000001)"
    return f'IF({numbers},IF({kept},"pass","fail"),"")'


def span(low: str, high: str, form: str) -> str:
    """Formula (without '=') for a number, or for a text 'from to' where its ends differ as shown."""
    one, other = f'TEXT({low},"{form}")', f'TEXT({high},"{form}")'
    return f'IF({one}={other},{low},{one}&" to "&{other})'
