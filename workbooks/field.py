"""`field_case.xlsx`, a gauge that reads low, and `commissioning_pack.xlsx`, records for four gauges."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import live
import plant
from plant import GAUGES
from sheets import A4, CREAM, LINE, RULE, SLATE, Style, put, setup_page
from xlsxwriter.workbook import Workbook

from xlfuncs.gauge.questions import questions
from xlfuncs.lists.reader import read_book
from xlfuncs.report.cautions import FIELD
from xlfuncs.report.commissioning import commission

TITLE = "Field case - seal oil tank V-5001 reads low"
TAG = "LG-5001"
PACKED = ("LG-1005", "LG-3001", "LG-4003", "LG-5005")
"""A level and an interface gauge with transmitter, a traced one, one without transmitter."""

HEADINGS = ("Time", "True level, dip (mm)", "Indicated (mm)", "Current (mA)", "Sample density (kg/m3)")
FIRST = (
    ("09:10", 182, 163, 7.25, None),
    ("09:40", 405, 386, 11.73, None),
    ("10:05", 611, 593, 15.87, None),
)
"""Made up: a deposit of 45 g on the float, read with an error of about a millimetre."""
SECOND = (*FIRST, ("14:30", 398, 380, 11.58, 905))
SEEN = (("reference", "yes"), ("vented", "no"), ("serial", "yes"), ("particles", "yes"))
"""What was looked at on the second visit, besides the float's mass: question, answer."""
_DEPOSIT = 45
"""g"""
_TOP = 3
"""Row of the readings' headings, from 0."""
_SHOWN = 4
"""Causes in the table."""
_NUMBERS = {0: "0", 3: "0.0", 5: "0.0", 6: "0.00", 7: "0.00"}
"""Column of the table -> form of its numbers."""


def _gauge() -> list[tuple[str, Any, str]]:
    gauge = next(g for g in GAUGES if g.tag == TAG)
    made = gauge.float_
    return [
        ("Tag", gauge.tag, ""),
        ("Service", gauge.service, ""),
        ("Fluid density", gauge.density, "kg/m3"),
        ("Upper density", gauge.upper_density, "kg/m3"),
        ("Float part number", made.part, ""),
        ("Float mass", made.mass, "g"),
        ("Float diameter", made.diameter, "mm"),
        ("Float length", made.length, "mm"),
        ("Float ends", made.ends, ""),
        ("Magnet height", made.magnet_height, "mm"),
        ("Visible range", gauge.visible, "mm"),
        ("LRV", 0, "mm"),
        ("URV", gauge.visible, "mm"),
    ]


def _draw(book: Workbook, style: Style, values: live.Values) -> None:
    label = style(bottom=1, bottom_color=LINE, indent=1)
    cell = style(bottom=1, bottom_color=LINE, align="center")
    head = style(bold=True, text_wrap=True, align="center", bg_color=SLATE, bottom=1, border_color=RULE)
    found = style(text_wrap=True, align="left", valign="top", bg_color=CREAM, bottom=1, bottom_color=LINE)
    numbers = {
        column: style(
            num_format=form, align="center", valign="top", bg_color=CREAM, bottom=1, bottom_color=LINE
        )
        for column, form in _NUMBERS.items()
    }
    note = style(text_wrap=True, valign="top")
    sheet = book.add_worksheet("Gauge")
    setup_page(sheet, TITLE, A4)
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 2, 20)
    sheet.write_string(0, 0, TITLE, style.title())
    data = _gauge()
    for row, line in enumerate(data, start=2):
        for column, value in enumerate(line):
            put(sheet, row, column, value, cell if column else label)
    cautions = " ".join(FIELD) + " " + plant.DISCLAIMER
    sheet.merge_range(len(data) + 3, 0, len(data) + 3, 2, cautions, note)
    sheet.set_row(len(data) + 3, 120)
    area = f"Gauge!$A$3:$C${len(data) + 2}"
    weighed = next(g for g in GAUGES if g.tag == TAG).float_.mass + _DEPOSIT
    looked = [(questions()[name].text, answer) for name, answer in (*SEEN, ("float_mass", f"{weighed:g} g"))]
    for name, rows, text, answers in (
        ("First visit", FIRST, "Three levels by dip, the level at rest.", []),
        ("Second visit", SECOND, "The same, a sample from the chamber, and the float taken out.", looked),
    ):
        sheet = book.add_worksheet(name)
        setup_page(sheet, TITLE, A4)
        for column, width in enumerate((9, 30, 20, 11, 13, 11, 9, 9, 20, 44)):
            sheet.set_column(column, column, width)
        sheet.write_string(0, 0, f"{TAG}, {name.lower()}", style.title())
        sheet.write_string(1, 0, text, style())
        sheet.set_row(_TOP, 30)
        for column, heading in enumerate(HEADINGS):
            sheet.write_string(_TOP, column, heading, head)
        for row, line in enumerate(rows, start=_TOP + 1):
            for column, value in enumerate(line):
                put(sheet, row, column, "" if value is None else value, cell)
        end = _TOP + 1 + len(rows)
        seen = f"'{name}'!$A${_TOP + 1}:$E${end}"
        table = live.Live(sheet, values)
        told = ""
        if answers:
            first = end + _SHOWN + 4
            told = f",'{name}'!$B${first + 1}:$C${first + 1 + len(answers)}"
            for row, line in enumerate([("Question", "Answer"), *answers], start=first):
                sheet.set_row(row, 48 if row > first else 20)
                for column, value in enumerate(line, start=1):
                    put(sheet, row, column, value, found if row > first else head)
        call = f"LG_DIAGNOSE({area},{seen},2,0.5,{_SHOWN}{told})"
        sheet.set_row(end + 2, 30)
        for row in range(end + 3, end + 3 + _SHOWN):
            sheet.set_row(row, 40)
        forms = [[head] * 10] + [[numbers.get(c, found) for c in range(10)]] * _SHOWN
        table.table(end + 2, 0, call, forms)
        sheet.fit_to_pages(1, 0)


def field_case(path: Path) -> None:
    """Readings of two visits to a gauge that reads low, and what they say of the cause."""
    live.write(path, TITLE, plant.DISCLAIMER, _draw)


def commissioning_pack(path: Path) -> None:
    """The records of a few gauges of the index beside this file."""
    with TemporaryDirectory() as folder:
        made = Path(folder) / "pack.xlsx"
        commission(read_book(Path(__file__).parent / "instrument_index.xlsx"), PACKED, made)
        path.write_bytes(made.read_bytes())
