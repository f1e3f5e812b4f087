"""The sheets that a report adds to a workbook, built with openpyxl."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from copy import copy
from itertools import islice
from textwrap import wrap
from typing import Any
from urllib.parse import quote

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.header_footer import _HeaderFooterPart as HeaderFooterPart
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.model import AuditResult, Finding, Severity
from xlfuncs.report import _words as words
from xlfuncs.report.cautions import cautions

_FILLS = {Severity.ERROR: "F8D7DA", Severity.WARNING: "FFF0C2", Severity.NOTE: "DCEBF7"}
_TEXT = Font(name="Calibri", size=10)
_BOLD = Font(name="Calibri", size=10, bold=True)
_HEAD = Font(name="Calibri", size=10, bold=True, color="FFFFFF")
_LINK = Font(name="Calibri", size=10, color="0B5394", underline="single")
_HEAD_FILL = "2F4858"
_WRAP = Alignment(horizontal="left", vertical="top", wrap_text=True)
_RULED = Border(bottom=Side(style="thin", color="D5DCE1"))
_EDGE = Side(style="thin", color="7F8C8D")
_BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
_LINE = 13.5
"""Height of a line of text, points."""

_LONGEST = 32_000
"""Characters; a cell holds 32,767."""
_ROWS = 100_000
_GAPS = 20_000
"""Rows of the two lists: more would open too slowly; the list says how many were left out."""
_LINKS = 60_000
"""A sheet holds 65,530 links."""


def put(
    sheet: Worksheet,
    row: int,
    column: int,
    value: Any,
    font: Font = _TEXT,
    fill: str = "",
    boxed: bool = False,
) -> None:
    """Write a value; a text that a spreadsheet could take for a formula stays a text."""
    cell = sheet.cell(row, column)
    literal = False
    if isinstance(value, str):
        text = words.clean(value)
        if len(text) > _LONGEST:
            text = f"{text[:_LONGEST]} ... ({len(text):,} characters)"
        cell.value = text
        literal = words.active(text)
        if literal:
            cell.data_type = "s"
    else:
        cell.value = value
    _dress(cell, font, fill, boxed, literal)


def _dress(cell: Any, font: Font, fill: str = "", boxed: bool = False, literal: bool = False) -> None:
    """Give a cell its look, which is looked up once for each workbook: for each cell that was slow."""
    looks = vars(cell.parent.parent).setdefault("_report_looks", {})
    key = (id(font), fill, boxed, literal)
    if key not in looks:
        model: Any = Cell(cell.parent, 1, 1)
        model.font, model.alignment, model.border = font, _WRAP, _BOX if boxed else _RULED
        model.quotePrefix = literal
        if fill:
            model.fill = PatternFill("solid", fgColor=fill)
        looks[key] = model._style
    cell._style = copy(looks[key])


def table(sheet: Worksheet, heads: Sequence[tuple[str, float]], color: str = "") -> None:
    """Headings with their column widths, frozen and repeated on every printed page."""
    for column, (head, width) in enumerate(heads, 1):
        put(sheet, 1, column, head, _HEAD, _HEAD_FILL)
        sheet.column_dimensions[get_column_letter(column)].width = width
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"
    page(sheet, color)


def page(sheet: Worksheet, color: str = "") -> None:
    """A4 across, as wide as the page."""
    margins = sheet.page_margins
    margins.left = margins.right = margins.top = 0.4
    margins.bottom = 0.7
    sheet.page_setup.paperSize = 9
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.oddFooter = HeaderFooterItem(center=HeaderFooterPart("&A, page &P of &N"))
    if color:
        sheet.sheet_properties.tabColor = color


def fit(sheet: Worksheet) -> None:
    """Rows high enough for their texts: not every spreadsheet program finds that out when it opens a file."""
    widths = [sheet.column_dimensions[get_column_letter(c)].width for c in range(1, sheet.max_column + 1)]
    for number, cells in enumerate(sheet.iter_rows(values_only=True), 1):
        texts = [
            (t, int(w))
            for t, w in zip(cells, widths, strict=True)
            if isinstance(t, str) and (len(t) > w or "\n" in t)
        ]
        lines = max(
            (sum(len(wrap(line, max(int(1.12 * w), 4))) or 1 for line in t.split("\n")) for t, w in texts),
            default=1,
        )
        sheet.row_dimensions[number].height = min(_LINE * lines + 3, 400)


def close(sheet: Worksheet) -> None:
    """A filter over the whole table and the heights of its rows, once all are written."""
    fit(sheet)
    sheet.auto_filter.ref = f"A1:{get_column_letter(sheet.max_column)}{sheet.max_row}"


def free_name(name: str, taken: Collection[str]) -> str:
    """The name, numbered if the workbook has such a sheet."""
    used = {t.casefold() for t in taken}
    number, free = 2, name
    while free.casefold() in used:
        free, number = f"{name} ({number})", number + 1
    return free


def book(
    result: AuditResult, sheets: Collection[str], file: str = "", remarks: Iterable[str] = ()
) -> Workbook:
    """A workbook of the report's sheets.

    `sheets`: the names of the sheets in the audited workbook, which links may lead to. `file`: the
    audited workbook's file name, if the report's sheets do not stand in a copy of it.
    """
    made = Workbook()
    assert made.active is not None
    made.remove(made.active)
    taken: Collection[str] = () if file else sheets
    _findings(made.create_sheet(free_name("Findings", taken)), result, sheets, file)
    _not_checked(made.create_sheet(free_name("Not checked", taken)), result, sheets, file)
    _settings(made.create_sheet(free_name("Settings used", taken)), result, remarks)
    return made


def _link(sheet: Worksheet, row: int, column: int, where: str, file: str) -> None:
    cell = sheet.cell(row, column)
    target = {"target": quote(file)} if file else {}
    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=where, **target)
    _dress(cell, _LINK, literal=words.active(str(cell.value)))


def _findings(sheet: Worksheet, result: AuditResult, sheets: Collection[str], file: str) -> None:
    heads = [
        ("Severity", 9), ("Tag", 12), ("Cell", 20), ("Rule", 20), ("What is wrong", 42), ("Found", 12),
        ("Expected", 12), ("Evidence", 28), ("How to mend it", 34), ("Same cause", 16),
    ]  # fmt: skip
    table(sheet, heads, "C0392B")
    found = list(result.by_severity())
    for row, f in enumerate(found[:_ROWS], 2):
        values = (
            f.severity.value, f.tag, words.place(f), f.rule, f.message, words.measure(f.found),
            words.measure(f.expected), words.evidence_text(f), f.mend, ", ".join(f.also),
        )  # fmt: skip
        for column, value in enumerate(values, 1):
            put(
                sheet,
                row,
                column,
                value,
                _BOLD if column == 1 else _TEXT,
                _FILLS[f.severity] if column == 1 else "",
            )
        if f.cell and f.sheet in sheets and row <= _LINKS:
            _link(sheet, row, 3, words.reference(f.sheet, f.cell), file)
    if len(found) > _ROWS:
        put(sheet, _ROWS + 2, 1, f"and {len(found) - _ROWS:,} more; --format json lists all", _BOLD)
    if not found:
        put(sheet, 2, 1, "none")
    close(sheet)


def _not_checked(sheet: Worksheet, result: AuditResult, sheets: Collection[str], file: str) -> None:
    table(sheet, [("Rule", 34), ("Tag", 18), ("Missing data", 70), ("Row", 24)], "7F8C8D")
    for row, item in enumerate(islice(result.not_checked, _GAPS), 2):
        where = f"{item.sheet} row {item.row}" if item.row else item.sheet
        for column, value in enumerate((item.rule, item.tag, ", ".join(item.missing), where), 1):
            put(sheet, row, column, value)
        if item.row and item.sheet in sheets and row <= _LINKS:
            _link(sheet, row, 4, words.reference(item.sheet, f"A{item.row}"), file)
    if (count := len(result.not_checked)) > _GAPS:
        put(sheet, _GAPS + 2, 1, f"and {count - _GAPS:,} more; --format json lists all", _BOLD)
    if not count:
        put(sheet, 2, 1, "none: every rule could be decided for every row")
    close(sheet)


def _settings(sheet: Worksheet, result: AuditResult, remarks: Iterable[str]) -> None:
    for column, width in zip("ABC", (38, 76, 50), strict=True):
        sheet.column_dimensions[column].width = width
    page(sheet, "7F8C8D")
    row = 0

    def lines(head: str, rows: Iterable[tuple[Any, ...]]) -> None:
        nonlocal row
        given = list(rows)
        if not given:
            return
        row += 1 if row == 0 else 2
        put(sheet, row, 1, head, _BOLD)
        for values in given:
            row += 1
            for column, value in enumerate(values, 1):
                put(sheet, row, column, value)

    lines("This report", [
        ("Workbook audited", result.workbook), ("sha256 of its bytes", result.sha256),
        ("Audited with", f"xlfuncs {result.version}"), ("Rows audited", result.rows_audited),
        ("Findings", words.headline(result)), ("Not checked", len(result.not_checked)),
        *(("Remark", remark) for remark in remarks),
    ])  # fmt: skip
    lines("Settings", words.settings(result))
    lines("Rows not audited, and why", ((why, count) for why, count in result.skipped.items()))
    lines("Doubts of the reader", (
        (words.reference(d.get("sheet", ""), d.get("cell", "")), d.get("text", "")) for d in result.doubts
    ))  # fmt: skip
    lines("Columns read", (
        (words.label(field), f"{name}, column {letter}")
        for name, fields in result.columns.items()
        for field, letter in fields.items()
    ))  # fmt: skip
    lines("Cautions", ((c.title, c.text) for c in cautions(result.findings)))
    fit(sheet)


def comment_text(findings: Sequence[Finding]) -> str:
    """What a cell's comment says about the findings that stand at it."""
    blocks = []
    for f in sorted(findings, key=lambda f: -f.severity.rank):
        lines = [f"{f.severity.value.upper()} {f.rule}" + (f" ({words.one_line(f.tag)})" if f.tag else "")]
        lines += [words.one_line(f.message)]
        lines += [f"Mend: {words.one_line(f.mend)}"] if f.mend else []
        blocks.append("\n".join(lines))
    text = "\n\n".join(blocks)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]} ... (the rest is in the list of findings)"
