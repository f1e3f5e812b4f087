"""The sheets that a report adds to a workbook, built with openpyxl: findings, what was not checked, settings."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any
from urllib.parse import quote

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.model import AuditResult, Finding, Severity
from xlfuncs.report import _words as words
from xlfuncs.report.cautions import cautions

_FILLS = {Severity.ERROR: "F8D7DA", Severity.WARNING: "FFF0C2", Severity.NOTE: "DCEBF7"}
_HEAD = Font(bold=True, color="FFFFFF")
_HEAD_FILL = PatternFill("solid", fgColor="2F4858")
_BOLD = Font(bold=True)
_LINK = Font(color="0B5394", underline="single")
_WRAP = Alignment(vertical="top", wrap_text=True)

_LONGEST = 32_000
"""Characters; a cell holds 32,767."""
_LINKS = 60_000
"""A sheet holds 65,530 links."""


def put(sheet: Worksheet, row: int, column: int, value: Any, font: Font | None = None, fill: str = "") -> None:
    """Write a value; a text that a spreadsheet could take for a formula stays a text."""
    cell = sheet.cell(row, column)
    if isinstance(value, str):
        text = words.clean(value)
        if len(text) > _LONGEST:
            text = f"{text[:_LONGEST]} ... ({len(text):,} characters)"
        cell.value = text
        if words.active(text):
            cell.data_type = "s"
            cell.quotePrefix = True  # type: ignore[misc]
    else:
        cell.value = value
    cell.alignment = _WRAP
    if font is not None:
        cell.font = font
    if fill:
        cell.fill = PatternFill("solid", fgColor=fill)


def table(sheet: Worksheet, heads: Sequence[tuple[str, float]], color: str = "") -> None:
    """Headings with their column widths, frozen and repeated on every printed page."""
    for column, (head, width) in enumerate(heads, 1):
        put(sheet, 1, column, head, _HEAD)
        sheet.cell(1, column).fill = _HEAD_FILL
        sheet.column_dimensions[get_column_letter(column)].width = width
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"
    page(sheet, color)


def page(sheet: Worksheet, color: str = "") -> None:
    """A4 across, as wide as the page."""
    sheet.page_setup.paperSize = 9
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.center.text = "&A, page &P of &N"
    if color:
        sheet.sheet_properties.tabColor = color


def close(sheet: Worksheet) -> None:
    """A filter over the whole table, once its rows are written."""
    sheet.auto_filter.ref = f"A1:{get_column_letter(sheet.max_column)}{sheet.max_row}"


def free_name(name: str, taken: Collection[str]) -> str:
    """The name, numbered if the workbook has such a sheet."""
    used = {t.casefold() for t in taken}
    number, free = 2, name
    while free.casefold() in used:
        free, number = f"{name} ({number})", number + 1
    return free


def book(result: AuditResult, sheets: Collection[str], file: str = "", remarks: Iterable[str] = ()) -> Workbook:
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
    cell.font = _LINK


def _findings(sheet: Worksheet, result: AuditResult, sheets: Collection[str], file: str) -> None:
    heads = [
        ("Severity", 10), ("Tag", 14), ("Cell", 18), ("Rule", 26), ("What is wrong", 52), ("Found", 16),
        ("Expected", 16), ("Evidence", 38), ("How to mend it", 42), ("Same cause", 24),
    ]  # fmt: skip
    table(sheet, heads, "C0392B")
    for row, f in enumerate(result.by_severity(), 2):
        values = (
            f.severity.value, f.tag, words.place(f), f.rule, f.message, words.measure(f.found),
            words.measure(f.expected), words.evidence_text(f), f.mend, ", ".join(f.also),
        )  # fmt: skip
        for column, value in enumerate(values, 1):
            put(sheet, row, column, value, _BOLD if column == 1 else None, _FILLS[f.severity] if column == 1 else "")
        if f.cell and f.sheet in sheets and row <= _LINKS:
            _link(sheet, row, 3, words.reference(f.sheet, f.cell), file)
    if not result.findings:
        put(sheet, 2, 1, "none")
    close(sheet)


def _not_checked(sheet: Worksheet, result: AuditResult, sheets: Collection[str], file: str) -> None:
    table(sheet, [("Rule", 34), ("Tag", 18), ("Missing data", 70), ("Row", 24)], "7F8C8D")
    for row, item in enumerate(result.not_checked, 2):
        where = f"{item.sheet} row {item.row}" if item.row else item.sheet
        for column, value in enumerate((item.rule, item.tag, ", ".join(item.missing), where), 1):
            put(sheet, row, column, value)
        if item.row and item.sheet in sheets and row <= _LINKS:
            _link(sheet, row, 4, words.reference(item.sheet, f"A{item.row}"), file)
    if not result.not_checked:
        put(sheet, 2, 1, "none: every rule could be decided for every row")
    close(sheet)


def _settings(sheet: Worksheet, result: AuditResult, remarks: Iterable[str]) -> None:
    for column, width in zip("ABC", (38, 60, 24), strict=True):
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
    lines("Settings", words.flat(result.settings))
    lines("Rows not audited, and why", ((why, count) for why, count in result.skipped.items()))
    lines("Doubts of the reader", (
        (words.reference(d.get("sheet", ""), d.get("cell", "")), d.get("text", "")) for d in result.doubts
    ))  # fmt: skip
    lines("Columns read", (
        (words.label(field), f"{name}, column {letter}") for name, fields in result.columns.items() for field, letter in fields.items()
    ))  # fmt: skip
    lines("Cautions", ((c.title, c.text) for c in cautions(result.findings)))


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
