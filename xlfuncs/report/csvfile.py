"""One row for each finding, and one for each rule that could not be decided for a gauge."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from xlfuncs.audit.model import AuditResult, Measure
from xlfuncs.report import _words as words

COLUMNS = (
    "workbook", "sheet", "cell", "tag", "severity", "rule", "message", "mend", "found", "found_unit",
    "expected", "expected_unit", "evidence", "also",
)  # fmt: skip

NOT_CHECKED = "not checked"
"""Stands in the severity column of a rule that could not be decided."""


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
    for f in result.by_severity():
        yield (
            book, f.sheet, f.cell, f.tag, f.severity.value, f.rule, f.message, f.mend, *_measure(f.found),
            *_measure(f.expected), words.evidence_text(f), ", ".join(f.also),
        )  # fmt: skip
    for item in result.not_checked:
        cell = f"A{item.row}" if item.row else ""
        need = f"needs {', '.join(item.missing)}"
        yield book, item.sheet, cell, item.tag, NOT_CHECKED, item.rule, need, *[""] * 7


def _measure(value: Measure | None) -> tuple[object, str]:
    return ("", "") if value is None else (value.value, value.unit)


def _neutral(value: object) -> object:
    """A text that a spreadsheet would run as a formula gets an apostrophe before it."""
    if not isinstance(value, str):
        return value
    safe = words.one_line(value) if not words.active(value) else "'" + words.one_line(value)
    return safe if not words.active(safe) else "'" + safe
