"""A column of connections whose cells say how a gauge is connected."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook

from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult

HEADS = ("Tag", "Service", "Density (kg/m3)", "Visible range (mm)", "C-C distance (mm)")


def result_of(folder: Path, heading: str) -> AuditResult:
    """Gauges whose visible range of 1200 mm is right at top and bottom, and wrong at the side."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([*HEADS, heading])
    for number in range(1, 7):
        how, distance = ("Top/bottom", 900) if number == 3 else ("Side/side", 1200)
        sheet.append([f"LG-{100 + number}", "Drum", 850.0 + number, 1200, distance, how])
    path = folder / "book.xlsx"
    book.save(path)
    return audit_book(path)


def fired(result: AuditResult) -> list[str]:
    return [finding.tag for finding in result.findings if finding.rule == "range-exceeds-connections"]


def test_a_range_is_not_too_long_where_the_connections_may_be_at_the_ends(tmp_path: Path) -> None:
    for heading in ("Connections", "Connection type"):
        assert fired(result_of(tmp_path, heading)) == [], heading


def test_without_such_a_column_it_is(tmp_path: Path) -> None:
    assert fired(result_of(tmp_path, "Painter")) == ["LG-103"]
