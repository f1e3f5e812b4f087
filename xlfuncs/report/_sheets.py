"""The sheets that a report adds to a workbook, built with openpyxl."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from copy import copy
from textwrap import wrap
from typing import Any, Final
from urllib.parse import quote

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import absolute_coordinate, get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.model import Accepted, AuditResult, Finding, Severity, Waiting
from xlfuncs.lists import own
from xlfuncs.report import _proof as proof
from xlfuncs.report import _summary as summary
from xlfuncs.report import _words as words
from xlfuncs.report._gaps import UNREAD, causes
from xlfuncs.report.cautions import cautions

_FILLS = {Severity.ERROR: "F8D7DA", Severity.WARNING: "FFF0C2", Severity.NOTE: "DCEBF7"}
TEXT = Font(name="Calibri", size=10)
BOLD = Font(name="Calibri", size=10, bold=True)
_HEAD = Font(name="Calibri", size=10, bold=True, color="FFFFFF")
_LINK = Font(name="Calibri", size=10, color="0B5394", underline="single")
_HEAD_FILL = "2F4858"
_WRAP = Alignment(horizontal="left", vertical="top", wrap_text=True)
_RULED = Border(bottom=Side(style="thin", color="D5DCE1"))
_EDGE = Side(style="thin", color="7F8C8D")
_BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
ANSWER = "F1F8E9"
"""Fill of the cells that may be changed."""
LOOK = "FFF0C2"
"""Fill of what needs a look."""
_LINE = 13.5
"""Height of a line of text, points."""

_LONGEST = 32_000
"""Characters; a cell holds 32,767."""
_ROWS = 100_000
_GAPS = 20_000
"""Rows of the two lists: more would open too slowly; the list says how many were left out."""
_TAGS = 1_000
"""Gauges that one row names."""
_LINKS = 60_000
"""A sheet holds 65,530 links."""


def put(
    sheet: Worksheet,
    row: int,
    column: int,
    value: Any,
    font: Font = TEXT,
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
    footer(sheet, center=PAGE)
    if color:
        sheet.sheet_properties.tabColor = color


PAGE = "&A, page &P of &N"
"""Sheet and page, at the foot of each page."""


def footer(
    sheet: Worksheet, left: str | None = None, center: str | None = None, right: str | None = None
) -> None:
    """What stands at the foot of each printed page."""
    foot = HeaderFooterItem()
    foot.left.text, foot.center.text, foot.right.text = left, center, right
    sheet.oddFooter = foot


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
    found = summary.ordered(result)
    _findings(
        made.create_sheet(free_name("Findings", taken)), found, sheets, file, "Status" * bool(result.since)
    )
    if result.accepted or not file:
        _accepted(made.create_sheet(free_name("Accepted", taken)), result, sheets, file)
    if result.since:
        old = summary.ordered(result, result.mended)  # their cells may have moved: no links
        _findings(made.create_sheet(free_name("Mended", taken)), old, mend=False)
    _not_checked(made.create_sheet(free_name("Not checked", taken)), result)
    _settings(made.create_sheet(free_name("Settings used", taken)), result, remarks)
    return made


def _link(sheet: Worksheet, row: int, column: int, name: str, place: str, file: str) -> None:
    """A link to a cell of the audited workbook; written $R$63, for R63 is a row to some programs."""
    cell = sheet.cell(row, column)
    target = {"target": quote(file)} if file else {}
    where = f"{words.quoted_sheet(name)}!{absolute_coordinate(place)}"
    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=where, **target)
    _dress(cell, _LINK, literal=words.active(str(cell.value)))


def _findings(
    sheet: Worksheet,
    findings: Sequence[Finding],
    sheets: Collection[str] = (),
    file: str = "",
    status: str = "",
    mend: bool = True,
) -> None:
    """A row for each finding; `status`: heading of the column that says whether it is new."""
    heads = [
        ("No.", 6), ("Severity", 9), ("Tag", 13), ("Cell", 16), ("Rule", 23), ("What is wrong", 46),
        ("Found", 12), ("Expected", 13), ("Further evidence", 24), ("How to mend it", 44),
    ]  # fmt: skip
    heads = [*heads[: len(heads) - (not mend)], *([(status, 10)] if status else [])]
    heads += [(name, width) for name, width in zip(own.ACCEPTED, (15, 30, 12), strict=True) if mend]
    table(sheet, heads, "C0392B")
    for row, f in enumerate(findings[:_ROWS], 2):
        put(sheet, row, 1, row - 1)
        put(sheet, row, 2, f.severity.value, BOLD, _FILLS[f.severity])
        found, expected, further = proof.columns(f)
        answer = f"answer: {words.one_line(f.answer)}" if f.answer else ""
        further = "; ".join(filter(None, (further, words.same_cause(f), answer)))
        values: list[Any] = [
            f.tag,
            words.place(f),
            f.rule,
            words.sentence(f.message),
            found,
            expected,
            further,
        ]
        values += [words.mend_of(f)] if mend else []
        values += [summary.STATUS.get(f.status)] if status else []
        for column, value in enumerate(values, 3):
            put(sheet, row, column, value)
        for column in range(len(values) + 3, len(heads) + 1):
            put(sheet, row, column, None, fill=ANSWER, boxed=True)
        if f.cell and f.sheet in sheets and row <= _LINKS:
            _link(sheet, row, 4, f.sheet, f.cell, file)
    if len(findings) > _ROWS:
        put(sheet, _ROWS + 2, 1, f"and {len(findings) - _ROWS:,} more; --format json lists all", BOLD)
    if not findings:
        put(sheet, 2, 1, "none")
    close(sheet)


def _accepted(sheet: Worksheet, result: AuditResult, sheets: Collection[str], file: str) -> None:
    """A row for each acceptance, those that need a look first, and a row for each finding that it covers."""
    heads = [
        ("Tag", 14), ("Rule", 26), ("Service", 18), ("Place", 14), ("State", 28), ("Who", 18), ("When", 12),
        ("Why", 44), ("Until", 12), ("Cell", 17), ("What is accepted", 50),
    ]  # fmt: skip
    table(sheet, heads, "7F8C8D")
    row = 1
    for entry in summary.acceptances(result):
        shown = entry.findings if entry.state == "used" else ()
        for f in shown or (None,):
            row += 1
            values = (
                entry.tag, entry.rule, entry.service, entry.cell, summary.acceptance_state(entry), entry.who,
                entry.when.isoformat(), entry.why, entry.until.isoformat(), words.place(f) if f else "",
                words.sentence(f.message) if f else "",
            )  # fmt: skip
            for column, value in enumerate(values, 1):
                put(sheet, row, column, value, fill="" if entry.state == "used" else LOOK)
            if f and f.cell and f.sheet in sheets and row <= _LINKS:
                _link(sheet, row, 10, f.sheet, f.cell, file)
    if not file:  # what is typed into a workbook of its own, nobody reads again
        _to_fill_in(sheet, row + 1)
    close(sheet)


_FREE: Final = 12
"""Rows of 'Accepted' that are left to fill in."""
_HOW: Final = (
    "One row accepts every finding that agrees with all that it names: a tag (LG-12* stands for many), "
    "a rule, words of a service. Who, Why and Until have to be filled in."
)


def _to_fill_in(sheet: Worksheet, first: int) -> None:
    """Rows for what is accepted by rule, by service or for several tags."""
    for row in range(first, first + _FREE):
        for column in (1, 2, 3, 6, 7, 8, 9):
            put(sheet, row, column, None, fill=ANSWER, boxed=True)
    told = DataValidation(showInputMessage=True, promptTitle="Accept several findings", prompt=_HOW)
    told.add(f"A{first}:C{first + _FREE - 1}")
    sheet.add_data_validation(told)


def _not_checked(sheet: Worksheet, result: AuditResult) -> None:
    """By cause: what was not read, what one answer settles for many gauges, the rest."""
    heads = zip(own.HEADS["Not checked"], (26, 60, 9, 60, 50), strict=True)
    table(sheet, list(heads), "7F8C8D")
    rows = [(title, row) for title, found in causes(result) for row in found]
    for number, (title, row) in enumerate(rows[:_GAPS], 2):
        which = words.listed(row.tags, _TAGS) if row.tags else "all of that list"
        values = (title, row.text, row.gauges, which, ", ".join(row.rules))
        for column, value in enumerate(values, 1):
            put(sheet, number, column, value, fill=LOOK if title == UNREAD else "")
    if len(rows) > _GAPS:
        put(sheet, _GAPS + 2, 1, f"and {len(rows) - _GAPS:,} more; --format json lists all", BOLD)
    if not rows:
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
        put(sheet, row, 1, head, BOLD)
        for values in given:
            row += 1
            for column, value in enumerate(values, 1):
                put(sheet, row, column, value)

    lines("This report", [
        *(("How it was read", line) for line in summary.reading(result)),
        *(
            ("Say first what it is", _first(one))
            for one in (*summary.in_doubt(result), *summary.not_understood(result))
        ),
        ("Workbook audited", result.workbook), ("sha256 of its bytes", result.sha256),
        ("Audited with", f"xlfuncs {result.version}"), ("Rows audited", result.rows_audited),
        ("Findings", summary.headline(result)), ("Not checked", len(result.not_checked)),
        *((head, text) for head, text in (
            ("Compared with", result.since), ("sha256 of that", result.since_sha256),
            ("Since then", summary.revision(result)), ("Acceptances", summary.accepted(result)),
        ) if text),
        *(("Remark", remark) for remark in remarks),
    ])  # fmt: skip
    lines("Settings", summary.settings(result))
    lines("Rows not audited, and why", ((why, count) for why, count in result.skipped.items()))
    lines("Answers to look at again", ((one,) for one in summary.unclear_answers(result)))
    lines("Doubts of the reader", (
        (words.reference(d.get("sheet", ""), d.get("cell", "")), d.get("text", ""))
        for d in summary.doubts(result)
    ))  # fmt: skip
    lines("Columns read", (
        (name, ", ".join(f"{letter} {summary.label(field)}" for field, letter in fields.items()))
        for name, fields in result.columns.items()
    ))  # fmt: skip
    lines("Columns not read", summary.unread(result))
    lines("Cautions", ((c.title, c.text) for c in cautions(summary.standing(result))))
    fit(sheet)


def _first(one: Waiting) -> str:
    options = " or ".join(one.column.options)
    return f"{summary.column(one)}: {one.column.text}; {summary.waits(one)}: {options}"


def comment_text(findings: Sequence[tuple[int, Finding]], accepted: Sequence[Accepted] = ()) -> str:
    """What a cell's comment says about the findings at it, by number. `accepted`: those that cover one."""
    blocks = []
    for number, f in findings:
        tag = f" ({words.one_line(f.tag)})" if f.tag else ""
        status = f", {summary.STATUS[f.status]}" if f.status else ""
        lines = [f"{number}. {f.severity.value.upper()} {f.rule}{tag}{status}", words.sentence(f.message)]
        lines += [f"Mend: {words.mend_of(f)}"] if f.mend else []
        blocks.append("\n".join(lines))
    for entry in accepted:
        head = f"ACCEPTED {entry.rule} ({words.one_line(entry.tag)}), {summary.acceptance_state(entry)}"
        blocks.append(f"{head}\n{summary.acceptance_reason(entry)}")
    text = "\n\n".join(blocks)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]} ... (the rest is in the list of findings)"
