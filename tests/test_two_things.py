"""Columns of two documents that were taken for one field and hardly ever agree."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult


def audited(folder: Path, differ: int, rows: int = 8) -> AuditResult:
    """An index with set points, and a process sheet with alarms that differ for some of the gauges."""
    book = Workbook()
    index = book.active
    assert index is not None
    index.title = "Index"
    index.append(["Tag", "Fluid", "Density (kg/m3)", "Visible range (mm)", "LSHH (mm)"])
    process = book.create_sheet("Process")
    process.append(["Tag", "Fluid", "Density (kg/m3)", "Alarm HH (mm)"])
    for number in range(rows):
        tag = f"LG-{101 + number}"
        index.append([tag, "Blend 7", 850 + number, 1000, 900])
        process.append([tag, "Blend 7", 850 + number, 930 if number < differ else 900])
    path = folder / "book.xlsx"
    book.save(path)
    return audit_book(path)


@pytest.mark.parametrize(("differ", "findings", "doubts"), [(1, 1, 0), (6, 6, 0), (7, 0, 1), (8, 0, 1)])
def test_what_differs_for_nearly_every_gauge_is_one_doubt(
    tmp_path: Path, differ: int, findings: int, doubts: int
) -> None:
    result = audited(tmp_path, differ)
    assert sum(one.rule == "documents-disagree" for one in result.findings) == findings
    told = [str(one["text"]) for one in result.doubts if "two things" in str(one["text"])]
    assert len(told) == doubts
    if told:
        assert f"differ for {differ} of 8 gauges (900 mm in Index!E2, 930 mm in Process!D2)" in told[0]


def test_of_few_gauges_each_is_told(tmp_path: Path) -> None:
    result = audited(tmp_path, 4, rows=4)
    assert sum(one.rule == "documents-disagree" for one in result.findings) == 4
