"""One row for each finding, and for what is no finding now: mended, accepted, not decided."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from xlfuncs.audit.model import AuditResult, Finding, Measure
from xlfuncs.lists.accounts import UNKNOWN
from xlfuncs.report import _proof as proof
from xlfuncs.report import _summary as summary
from xlfuncs.report import _words as words

COLUMNS = (
    "workbook", "sheet", "cell", "tag", "severity", "status", "rule", "message", "mend", "found",
    "found_unit", "expected", "expected_unit", "evidence", "also", "acceptance",
)  # fmt: skip

MENDED, ACCEPTED, EXPIRED, UNUSED, NOT_CHECKED, NOT_UNDERSTOOD = (
    "mended", "accepted", "acceptance expired", "acceptance unused", "not checked", "not understood",
)  # fmt: skip
"""Stand in the severity column of rows that are no findings, so that a count of errors stays right."""


def text(results: Sequence[AuditResult]) -> str:
    """The table as CSV (RFC 4180 with plain line ends)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for result in results:
        writer.writerows([_neutral(value) for value in row] for row in _rows(result))
    return out.getvalue()


def _rows(result: AuditResult) -> Iterator[tuple[object, ...]]:
    book = result.workbook
    for f in summary.ordered(result):
        yield _row(book, f, f.severity.value)
    for f in summary.ordered(result, result.mended):
        yield _row(result.since, f, MENDED)
    for entry in summary.acceptances(result):
        told = f"{summary.acceptance_state(entry)}; {summary.acceptance_reason(entry)}"
        for f in entry.findings if entry.state == "used" else ():
            yield *_row(book, f, ACCEPTED)[:-1], told
        if entry.state != "used":
            kind = EXPIRED if entry.state == "expired" else UNUSED
            yield book, "", "", entry.tag, kind, "", entry.rule, *[""] * 8, told
    for item in result.not_checked:
        cell = f"A{item.row}" if item.row else ""
        need = f"needs {', '.join(item.lacking)}"
        yield book, item.sheet, cell, item.tag, NOT_CHECKED, "", item.rule, need, *[""] * 8
    for one in result.rows:
        for first, last in one.rows.get(UNKNOWN, ()):
            told = (
                "row was not understood" if first == last else f"rows {first} to {last} were not understood"
            )
            yield book, one.sheet, f"A{first}", "", NOT_UNDERSTOOD, "", "", told, *[""] * 8


def _row(book: str, f: Finding, severity: str) -> tuple[object, ...]:
    return (
        book, f.sheet, f.cell, f.tag, severity, summary.STATUS.get(f.status, ""), f.rule, f.message, f.mend,
        *_measure(f.found), *_measure(f.expected), proof.evidence_text(f), ", ".join(f.also), "",
    )  # fmt: skip


def _measure(value: Measure | None) -> tuple[object, str]:
    return ("", "") if value is None else (value.value, value.unit)


def _neutral(value: object) -> object:
    """A text that a spreadsheet would run as a formula gets an apostrophe before it."""
    if not isinstance(value, str):
        return value
    safe = words.one_line(value) if not words.active(value) else "'" + words.one_line(value)
    return safe if not words.active(safe) else "'" + safe
