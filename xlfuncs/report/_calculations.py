"""The sheet 'Calculations': the numbers of findings as native formulas that link to the cells of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.utils import absolute_coordinate
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.calculation import Calculation, Step, Value, formula, symbols
from xlfuncs.audit.model import Finding
from xlfuncs.lists import own
from xlfuncs.report import _sheets as sheets
from xlfuncs.report import _words as words

MOST: Final = 2_000
"""Calculations written: more would open too slowly; the sheet says how many were left out."""

_WIDTHS: Final = (6, 12, 46, 18, 10, 20, 44, 40)
_VALUE: Final = 4
"""Column of the numbers."""
FINDING: Final = "finding"
IN_ORDER: Final = "in order"


def add(book: Workbook, findings: Sequence[Finding], linked: Collection[str], taken: Collection[str]) -> None:
    """Put the sheet behind the findings. `findings`: ordered; `linked`: the sheets that formulas may name."""
    worked = [
        (number, f, calculation)
        for number, f in enumerate(findings[: 10 * MOST], 1)
        if (calculation := f.calculation) is not None
    ]
    if not worked:
        return
    sheet = book.create_sheet(sheets.free_name(own.CALCULATIONS, taken), 1)
    sheets.table(sheet, list(zip(own.HEADS[own.CALCULATIONS], _WIDTHS, strict=True)), "0B5394")
    page = _Page(sheet, linked)
    for number, finding, calculation in worked[:MOST]:
        page.finding(number, finding, calculation)
    if (left := len(worked) - MOST) > 0:
        page.line(text=f"and {left:,} more calculations; --format json has them all", font=sheets.BOLD)
    sheets.fit(sheet)


class _Page:
    """The sheet while it is written."""

    def __init__(self, sheet: Worksheet, linked: Collection[str]) -> None:
        self.sheet = sheet
        self.linked = linked
        self.row = 1
        self.kept: dict[str, float | str] = vars(sheet).setdefault("_report_kept", {})

    def finding(self, number: int, finding: Finding, calculation: Calculation) -> None:
        """A line with the verdict, one for each input, one for each step."""
        self.row += 1
        head = self.row + 1
        self.line(
            number,
            text=f"{words.one_line(finding.tag) or 'no tag'}: {finding.rule}",
            further=(words.place(finding), words.sentence(finding.message)),
            font=sheets.BOLD,
        )
        where: dict[str, str] = {}
        for value in calculation.inputs:
            self._input(value)
            where[value.symbol] = f"$D${self.row}"
        for step in calculation.steps:
            self._step(step, where)
            where[step.symbol] = f"$D${self.row}"
        self._verdict(head, calculation, where)
        self.row += 1

    def line(
        self,
        number: int | None = None,
        symbol: str = "",
        text: str = "",
        unit: str = "",
        shown: str = "",
        further: tuple[str, str] = ("", ""),
        font: Any = None,
        fill: str = "",
    ) -> None:
        """A row without its number."""
        self.row += 1
        for column, value in enumerate((number, symbol, text, None, unit, shown, *further), 1):
            sheets.put(self.sheet, self.row, column, value, font or sheets.TEXT, fill)

    def _number(self, content: Any, kept: float | str | None, fill: str = "", boxed: bool = False) -> None:
        cell = self.sheet.cell(self.row, _VALUE)
        sheets.put(self.sheet, self.row, _VALUE, None, fill=fill, boxed=boxed)
        cell.value = content
        number = content if kept is None else kept
        if isinstance(number, (int, float)):
            cell.number_format = _format(number)
        if isinstance(content, str) and kept is not None:
            cell.data_type = "f"
            self.kept[cell.coordinate] = kept

    def _input(self, value: Value) -> None:
        self.line(
            None, value.symbol, value.name, value.unit, value.shown, (_origin(value), value.note), fill=""
        )
        if value.number is None:
            sheets.put(self.sheet, self.row, _VALUE, value.stated or value.shown, fill=sheets.ANSWER)
            return
        linked = value.scale is not None and value.sheet in self.linked and bool(value.cell)
        content: Any = _link(value) if linked else value.number
        self._number(content, value.number if linked else None, sheets.ANSWER, boxed=True)

    def _step(self, step: Step, where: dict[str, str]) -> None:
        told = f"{step.symbol} = {step.expression}" if step.expression else f"number of {step.function}"
        self.line(None, step.symbol, step.name, step.unit, step.shown, (step.source, told))
        if step.expression and set(symbols(step.expression)) <= where.keys():
            self._number(f"={formula(step.expression, where)}", step.number)
        else:
            self._number(step.number, None)

    def _verdict(self, head: int, calculation: Calculation, where: dict[str, str]) -> None:
        """The verdict stands last, and again in the finding's first line."""
        if not calculation.test:
            return
        self.line(None, "", "Verdict", further=("", f"a finding where {calculation.test}"), font=sheets.BOLD)
        if set(symbols(calculation.test)) <= where.keys():
            test = formula(calculation.test, where)
            self._number(f'=IFERROR(IF({test},"{FINDING}","{IN_ORDER}"),"{FINDING}")', FINDING)
            last = self.row
            self.row = head
            self._number(f"=$D${last}", FINDING)
            self.row = last
        if not calculation.elementary:
            self.line(text="Numbers above without a formula stand as computed: they do not follow a change.")
        if calculation.note:
            self.line(text=words.sentence(calculation.note))


def _format(number: float) -> str:
    """A number format that shows six digits or more of the number."""
    size = abs(number)
    if size >= 1e5:
        return "#,##0"
    return "0.0000##" if size >= 1e-2 or not size else "0.00000E+00"


def _link(value: Value) -> str:
    """The formula that fetches an input from its cell, in SI."""
    place = f"{words.quoted_sheet(value.sheet)}!{absolute_coordinate(value.cell)}"
    scaled = place if value.scale == 1 else f"{place}*{value.scale!r}"
    return f"={scaled}" if not value.offset else f"={scaled}+({value.offset!r})"


def _origin(value: Value) -> str:
    if value.origin == "cell":
        return words.reference(value.sheet, value.cell)
    return f"{value.origin} {value.stated}".strip() if value.origin == "setting" else value.origin
