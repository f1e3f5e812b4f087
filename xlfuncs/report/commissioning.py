"""The commissioning pack: a workbook with a record for each gauge, to be filled in at start-up.

Its first page is the field sheet, which `diagnose` reads; what follows is in `record`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from openpyxl.worksheet.hyperlink import Hyperlink

from xlfuncs.audit.engine import audit
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Finding, Severity
from xlfuncs.audit.named import record_of
from xlfuncs.audit.settings import Settings
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.model import Book
from xlfuncs.report._hands import LAST, LEFTWARD, TITLE, Page
from xlfuncs.report.cautions import CAUTIONS, FIELD
from xlfuncs.report.field_sheet import sheet_name
from xlfuncs.report.record import Record
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.streamed import Streamed
from xlfuncs.worksheet.cells import FUNCTIONS


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
        entries = [_record(pack, gauges, n, findings, used) for n in records]
        _contents(Page(pack.first), book, entries)
    return entries


def _record(
    pack: Streamed, gauges: Gauges, n: int, findings: dict[str, list[Finding]], settings: Settings
) -> Entry:
    """Write the record of a gauge."""
    row = int(gauges.row[n])
    tag = gauges.tag(n) or f"row {row}"
    sheet = pack.new(sheet_name(tag))
    page = Record(sheet, tag, gauges, n, settings)
    own = findings.get(gauges.tag(n), []) if gauges.tag(n) else []
    fails = page.write_record(own, f"{gauges.book.path.name}, {gauges.sheet[n]} row {row}", settings)
    column, at = split_address(fails.replace("$", ""))
    pack.write(sheet, kept=[(at, column)])
    service = str(gauges.texts("service")[n])
    return Entry(tag, service, tuple(page.missing()), len(own), sheet.title, fails)


def _contents(page: Page, book: Book, entries: Sequence[Entry]) -> None:
    page.put(1, LAST, "Commissioning pack", font=TITLE, align=LEFTWARD)
    page.end(28)
    page.text(
        f"{book.path.name}, sha256 {book.sha256[:16]}. A record for each gauge; its first page is read back"
        " with xlfuncs diagnose. Failed counts the verdicts of a record that say fail, as found and as left."
    )
    page.heads(
        *((1, 2, "Tag"), (3, 5, "Service"), (6, 6, "Not known"), (7, 7, "Audit findings"), (8, 8, "Failed"))
    )
    for entry in entries:
        quoted = entry.sheet.replace("'", "''")
        page.put(1, 2, entry.tag, align=LEFTWARD)
        here = page.sheet.cell(page.row, 1)
        here.hyperlink = Hyperlink(ref=here.coordinate, location=f"'{quoted}'!A1")
        page.put(3, 5, entry.service, align=LEFTWARD)
        page.put(6, 6, len(entry.missing))
        page.put(7, 7, entry.findings)
        page.result(8, f"='{quoted}'!{entry.fails}")
        page.end()
    page.bar("Cautions", 2)
    for text in (*(f"{c.title}: {c.text}" for c in CAUTIONS), *FIELD[1:]):
        page.text(text)
    page.finish()
