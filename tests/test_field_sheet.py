"""The sheet for the field: printed, filled in, read back, and kept in a history."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import column_index_from_string, get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from tests.test_commission import index
from xlfuncs.cli import main
from xlfuncs.gauge.readings import FALLING, RISING, Gauge, Readings
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.lists.field_notes import read_field_notes
from xlfuncs.report._hands import HIGH, LETTERS
from xlfuncs.report.history import HEADINGS, add_visit, read_history, visit

LOW = ((180, 160, 6.56), (405, 385, 10.16), (611, 591, 13.456), (700, 680, 14.88))


def sheets(tmp_path: Path, *rows: dict[str, Any]) -> Path:
    out = tmp_path / "field.xlsx"
    assert main(["commission", str(index(tmp_path / "index.xlsx", *rows)), "--all", "--field", str(out)]) == 0
    return out


def at(sheet: Worksheet, text: str) -> int:
    return next(r for r in range(1, sheet.max_row + 1) if str(sheet.cell(r, 1).value).startswith(text))


def fill(path: Path, tag: str, date: str = "2026-03-04", left: bool = True) -> None:
    """As a person does who copies a filled page."""
    book = load_workbook(path)
    sheet = book[tag]
    for i, (level, shown, current) in enumerate(LOW):
        row = at(sheet, "As found") + 2 + i
        sheet.cell(row, 1, level), sheet.cell(row, 4, shown), sheet.cell(row, 7, current)
    for i, (level, shown, current) in enumerate([(300, 301, 8.8), (600, 599, 13.6)] if left else []):
        row = at(sheet, "As left") + 2 + i
        sheet.cell(row, 1, level), sheet.cell(row, 4, shown), sheet.cell(row, 7, current)
    sheet.cell(at(sheet, "Date"), 2, date)
    row = at(sheet, "LSH,")
    sheet.cell(row, 4, 802), sheet.cell(row, 6, 800)
    book.save(path)


def test_it_is_for_hands(tmp_path: Path) -> None:
    book = load_workbook(sheets(tmp_path, {}, {"Tag": "LG-2"}))
    assert book.sheetnames == ["Contents", "LG-1", "LG-2"]
    sheet = book["LG-1"]
    first_page = sheet.row_breaks.brk[0].id
    heights = [sheet.row_dimensions[r].height for r in range(1, first_page + 1)]
    assert min(heights) >= 8 / 25.4 * 72 and HIGH >= 22.7
    assert sum(heights) <= (297 - 25.4 * 0.8) / 25.4 * 72
    sizes = {cell.font.size for row in sheet.iter_rows(max_row=first_page) for cell in row if cell.value}
    assert min(sizes) >= LETTERS >= 10
    # no scale below 1: what is 10 pt on the sheet is 10 pt on paper
    assert not sheet.sheet_properties.pageSetUpPr or not sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.page_setup.scale is None
    texts = {str(cell.value) for row in sheet.iter_rows() for cell in row}
    assert {"Calibrator", "Date", "Weather, air", "Instrument, serial", "As found", "As left"} <= texts
    assert {"rising", "falling", "Signature"} <= texts


def test_what_responds_is_native(tmp_path: Path) -> None:
    path = sheets(tmp_path)
    for row in load_workbook(path)["LG-1"].iter_rows():
        for cell in row:
            assert "LG_" not in str(cell.value)


def test_what_is_unknown_is_said(tmp_path: Path) -> None:
    book = load_workbook(sheets(tmp_path, {"Upper density (kg/m3)": None}))
    texts = [str(cell.value) for row in book["LG-1"].iter_rows() for cell in row if cell.value]
    assert texts.count("unknown") > 2
    row = at(book["LG-1"], "Density of the upper fluid")
    assert book["LG-1"].cell(row, 4).value == "unknown"


def test_a_filled_page_goes_to_diagnose_by_its_tag(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = sheets(tmp_path, {}, {"Tag": "LG-2"})
    fill(path, "LG-2")
    assert main(["diagnose", str(path), "--tag", "lg-2"]) == 1
    text = " ".join(capsys.readouterr().out.split())
    assert "cannot tell between" in text and "float heavier" in text and "nothing wrong" not in text
    notes = read_field_notes(path, tag="LG-2")
    assert notes.readings.sheet == "LG-2" and notes.gauge is not None
    assert notes.answers is not None
    assert main(["diagnose", str(path), "--tag", "LG-7"]) == 2
    assert "no sheet with readings of LG-7" in capsys.readouterr().err


def test_a_record_of_the_pack_goes_to_diagnose_as_well(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nominal levels and currents of the loop check are no readings; those of the first page are."""
    pack = tmp_path / "pack.xlsx"
    assert main(["commission", str(index(tmp_path / "index.xlsx")), "--all", "-o", str(pack)]) == 0
    assert main(["diagnose", str(pack), "--tag", "LG-1"]) == 2
    assert "nothing is written below the headings" in capsys.readouterr().err
    fill(pack, "LG-1")
    assert main(["diagnose", str(pack), "--tag", "LG-1"]) == 1
    text = capsys.readouterr().out
    assert "4 readings" in text.splitlines()[0] and "nothing wrong" not in text


def _hidden(sheet: Worksheet, place: int) -> bool:
    letter = get_column_letter(place + 1)
    return any(
        bool(d.hidden) and column_index_from_string(letter) in range(d.min or 0, (d.max or 0) + 1)
        for d in sheet.column_dimensions.values()
    )


def test_a_row_is_as_high_as_its_label_needs(tmp_path: Path) -> None:
    book = load_workbook(sheets(tmp_path))
    sheet = book["LG-1"]
    long = at(sheet, "Room for the float below")
    assert sheet.row_dimensions[long].height >= 2 * LETTERS * 1.3
    assert sheet.row_dimensions[at(sheet, "Float mass")].height == HIGH
    contents = book["Contents"]
    assert "read back with xlfuncs diagnose" in str(contents["A2"].value)
    assert "A2:H2" in {str(area) for area in contents.merged_cells.ranges}


def test_visits_make_a_history_with_drift_and_a_chart(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    history = tmp_path / "history.xlsx"
    for date in ("2026-03-04", "2026-09-01", "2026-09-01"):
        path = sheets(tmp_path)
        fill(path, "LG-1", date)
        main(["diagnose", str(path), "--tag", "LG-1", "--history", str(history)])
    assert "visit 2 of LG-1" in capsys.readouterr().err
    first, second = read_history(history)
    assert (first.date, second.date) == ("2026-03-04", "2026-09-01")
    # 20 mm low as found, right as left; the float itself reads 0.5 mm high
    assert first.found == pytest.approx(-20, abs=1) and first.left == pytest.approx(0, abs=1)
    # four readings over half the range do not tell whether the span is right
    assert first.zero_found == pytest.approx(-20, abs=1) and first.span_found is None
    assert list(first.acted_found) == [None, 802, None, None]
    assert list(first.acted_left) == [None, 800, None, None]
    book = load_workbook(history)
    rows = list(book["History"].iter_rows(values_only=True))
    assert rows[0][: len(HEADINGS)] == HEADINGS
    drift = rows[0].index("Drift since the visit before, mm")
    assert rows[1][drift] is None and rows[2][drift] == pytest.approx(-20, abs=1.5)
    # it acted at 802 mm, where 800 mm was left half a year before
    assert rows[2][rows[0].index("LSH drift, mm")] == pytest.approx(2)
    assert rows[2][rows[0].index("LSL drift, mm")] is None
    offsets, switches = vars(book["Charts"])["_charts"]
    assert len(offsets.series) == 4 and len(switches.series) == 2
    assert offsets.x_axis.tickLblPos == "low" and all(line.marker.symbol for line in offsets.series)
    for sheet in book:
        setup = sheet.sheet_properties.pageSetUpPr
        assert sheet.page_setup.fitToWidth == 1 and setup is not None and setup.fitToPage
    hidden = {str(rows[0][i]) for i in range(len(rows[0])) if _hidden(book["History"], i)}
    assert {h for h in hidden if "LSHH" in h} == {str(h) for h in rows[0] if "LSHH" in str(h)}
    assert "LSH acted found, mm" not in hidden


def test_a_gauge_that_lags_is_seen_in_the_history_though_its_mean_is_right(tmp_path: Path) -> None:
    nan = [np.nan] * 3
    gauge = Gauge(0.280, 0.05, 0.2, 0.280 / (850 * np.pi / 4 * 0.05**2), lrv=0.0, urv=1.0, visible_range=1.0)
    level = np.array([0.2, 0.5, 0.8] * 2)
    way = np.repeat([RISING, FALLING], 3)
    seen = Readings(np.full(6, 850.0), level=level, indicated=level - 0.025 * way, direction=way)
    left = Readings(np.full(3, 850.0), level=level[:3], indicated=level[:3], direction=np.array(nan))
    made = visit("LG-1", gauge, seen, left, {"date": "2026-03-04"}, "float drags")
    assert made.found == pytest.approx(0, abs=0.1)
    assert made.lag_found == pytest.approx(-50, abs=0.1) and made.lag_left is None
    add_visit(tmp_path / "h.xlsx", made)
    (kept,) = read_history(tmp_path / "h.xlsx")
    assert kept == made and kept.cause == "float drags"


def test_noise_of_three_readings_is_no_error_of_the_span_and_a_wrong_range_is(tmp_path: Path) -> None:
    gauge = Gauge(0.280, 0.05, 0.2, 0.280 / (850 * np.pi / 4 * 0.05**2), lrv=0.0, urv=2.0, visible_range=2.0)
    level = np.array([0.4, 1.0, 1.6])

    def span(sent: Any) -> float | None:
        current = 0.004 + 0.016 * np.asarray(sent) / 2
        seen = Readings(np.full(3, 850.0), level=level, indicated=level, current=current)
        return visit("LG-1", gauge, seen, None, {"date": "2026-03-04"}).span_found

    assert span(level + np.array([0.0025, 0.002, -0.007])) is None
    assert span(level * 1.06) == pytest.approx(120, abs=1)


def test_every_gauge_of_a_pack_is_diagnosed_and_what_was_left_is_judged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = sheets(tmp_path, {}, {"Tag": "LG-2"}, {"Tag": "LG-3"})
    fill(path, "LG-1")
    fill(path, "LG-3", left=False)
    book = load_workbook(path)
    row = at(book["LG-3"], "As left") + 2
    for i, level in enumerate((300, 500, 700)):
        book["LG-3"].cell(row + i, 1, level), book["LG-3"].cell(row + i, 4, level + 16)
        book["LG-3"].cell(row + i, 7, 4 + 16 * level / 1000)
    book.save(path)
    history = tmp_path / "history.xlsx"
    assert main(["diagnose", str(path), "--history", str(history)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    first, third = out.split("LG-3: ")
    assert "LG-1: 4 readings" in first and "no fault shows" in first and "LG-2" not in out
    assert "As left: 3 readings, off by +16 to +16 mm" in third and "scale shifted" in third
    assert [v.tag for v in read_history(history)] == ["LG-1", "LG-3"]
    assert main(["diagnose", str(path), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert [one["tag"] for one in told] == ["LG-1", "LG-3"] and "scale shifted" in told[1]["as_left"]
    assert main(["diagnose", str(path), "--page", str(tmp_path / "a.html")]) == 2
    assert "name one with --tag: LG-1, LG-3" in capsys.readouterr().err


def test_a_history_that_held_switch_points_as_texts_is_read(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "History"
    sheet.append([*HEADINGS[:9], "Switches: acted found / left, mm", "Drift since the visit before, mm"])
    sheet.append(["LG-1", "2025-03-04", "a", -1.0, 0.0, None, None, None, None, "LSH 802 / 800; LSL - / 120"])
    book.save(tmp_path / "old.xlsx")
    (made,) = read_history(tmp_path / "old.xlsx")
    assert list(made.acted_found) == [None, 802, None, None]
    assert list(made.acted_left) == [None, 800, 120, None]


def test_a_switch_point_that_is_no_level_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = sheets(tmp_path)
    fill(path, "LG-1")
    book = load_workbook(path)
    sheet = book["LG-1"]
    sheet.cell(at(sheet, "LSH,"), 4, "late")
    book.save(path)
    assert main(["diagnose", str(path), "--tag", "LG-1", "--history", str(tmp_path / "h.xlsx")]) == 2
    assert "LSH acted found" in capsys.readouterr().err and not (tmp_path / "h.xlsx").exists()


def test_a_scale_that_is_set_for_the_float_reads_true(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The magnet stands 30 mm above the surface, and the scale 30 mm higher than it."""
    index_ = index(tmp_path / "index.xlsx", {"Magnet height (mm)": 200})
    path = tmp_path / "field.xlsx"
    assert main(["commission", str(index_), "--all", "--field", str(path)]) == 0
    book = load_workbook(path)
    sheet = book["LG-1"]
    row = next(
        r for r in range(1, sheet.max_row + 1) if "scale is set for" in str(sheet.cell(r, 1).value).lower()
    )
    sheet.cell(row, 4, "yes")
    for i, level in enumerate((200, 400, 600)):
        at_ = at(sheet, "As found") + 2 + i
        sheet.cell(at_, 1, level), sheet.cell(at_, 4, level), sheet.cell(at_, 7, 4 + 16 * level / 1000)
    book.save(path)
    main(["diagnose", str(path), "--tag", "LG-1"])
    assert "nothing wrong shows" in capsys.readouterr().out
    recalculate(path, tmp_path / "computed.xlsx")
    expected = load_workbook(tmp_path / "computed.xlsx", data_only=True)["LG-1"]
    offset = at(expected, "Offset, mm")
    assert [expected.cell(offset, c).value for c in (2, 3)] == pytest.approx([0, 0], abs=0.01)


def test_a_history_is_refused_where_it_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = sheets(tmp_path)
    fill(path, "LG-1")
    before = (tmp_path / "index.xlsx").read_bytes()
    assert main(["diagnose", str(path), "--tag", "LG-1", "--history", str(tmp_path / "index.xlsx")]) == 2
    assert "no sheet 'History'" in capsys.readouterr().err
    assert (tmp_path / "index.xlsx").read_bytes() == before
    fill(path, "LG-1", "")
    assert main(["diagnose", str(path), "--tag", "LG-1", "--history", str(tmp_path / "h.xlsx")]) == 2
    assert "the date of the visit" in capsys.readouterr().err


def test_only_the_page_is_printed(tmp_path: Path) -> None:
    """What the formulas need beside it is not."""
    path = sheets(tmp_path, {}, {"Tag": "LG-2"})
    book = load_workbook(path)
    for tag in ("LG-1", "LG-2"):
        area = str(book[tag].print_area)
        assert area.startswith(f"'{tag}'!$A$1:$H$") and book[tag].max_column > 8


def test_a_page_filled_in_as_by_a_pen_goes_to_diagnose_and_to_the_next_audit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Words, units and remarks in the cells; readings at other levels contradict no document."""
    path = sheets(tmp_path)
    book = load_workbook(path)
    sheet = book["LG-1"]
    typed: list[tuple[Any, ...]] = [
        (200, "rising", 175, 6.8),
        ("500 mm", "going up", "475", "11.6"),
        (500, "falling", 474, 11.6),
        ("empty", "standing", "below scale", 3.8),
    ]
    for i, (level, way, shown, current) in enumerate(typed):
        row = at(sheet, "As found") + 2 + i
        for column, cell in zip((1, 2, 4, 7), (level, way, shown, current), strict=True):
            sheet.cell(row, column, cell)
    sheet.cell(at(sheet, "Date"), 2, "27.11.2026"), sheet.cell(at(sheet, "Calibrator"), 2, "M. K.")
    sheet.cell(at(sheet, "LSH,"), 4, "802 mm")
    sheet.cell(at(sheet, "Are both"), 7, "yes, both")
    sheet.cell(at(sheet, "Does the scale's"), 7, "No, 25 mm too low")
    book.save(path)
    history = tmp_path / "history.xlsx"
    main(["diagnose", str(path), "--tag", "LG-1", "--history", str(history)])
    shown_ = capsys.readouterr().out
    assert "4 readings" in shown_ and "float heavier" in shown_ and "none of these:" not in shown_
    (made,) = read_history(history)
    assert (made.date, made.by) == ("2026-11-27", "M. K.")
    assert list(made.acted_found) == [None, 802, None, None]
    command = ["audit", str(tmp_path / "index.xlsx"), "--with", str(path), "--format", "json"]
    main(command)
    found = json.loads(capsys.readouterr().out)["findings"]
    assert not [f for f in found if f["rule"] == "documents-disagree"]
