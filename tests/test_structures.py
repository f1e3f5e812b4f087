"""Structures that documents have besides lists: points, bands, parts in words, notes on all pressures."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.rows import save
from xlfuncs.audit.engine import audit_book
from xlfuncs.lists.model import Book, Table
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.spoken import said_in

ATMOSPHERE = 101325.0
"""Pa: ISO 2533, the standard atmosphere."""
LISTED: Sequence[Sequence[Any]] = (
    (
        "Tag",
        "Service",
        "Density kg/m3",
        "Design pressure bar",
        "Visible range mm",
        "Float mass g",
        "Float OD mm",
    ),
    ("LG-301", "Feed drum", 850, 6, 1000, 342.4, 51),
    ("LG-302", "Reflux drum", 700, 9, 1200, 318.3, 51),
    ("LG-303", "Slop drum", 870, 4, 900, 349.1, 51),
)


def _read(folder: Path, *rows: Sequence[Any], **sheets: Sequence[Sequence[Any]]) -> Book:
    return read_book(save(folder / "book.xlsx", {"Sheet": list(rows), **sheets}))


def _texts(table: Table, field: str) -> list[str]:
    return [str(text) for text in table.columns[field].text.tolist()]


def _numbers(table: Table, field: str) -> list[float]:
    return [round(float(number), 6) for number in table.columns[field].low.tolist()]


POINTS = (
    ("Point", "Gauge", "EU low (4 mA)", "EU high (20 mA)", "Set point", "Unit"),
    ("LIT-301", "LG-301", 0, 1000, "", "mm"),
    ("LSLL-301", "LG-301", "", "", 60, "mm"),
    ("LSHH-301", "LG-301", "", "", 94, "cm"),
    ("LIT-302", "LG-302", 0, 1200, "", "mm"),
    ("LSHH-302", "LG-302", "", "", 1350, "mm"),
    ("PIT-302", "PIT-302", 0, 25, "", "barg"),
    ("LIT-303", "LG-303", 0, 900, "", "mm"),
    ("LSLL-303", "LG-303", "", "", 70, "mm"),
)


def test_a_row_for_each_point_is_no_row_for_each_gauge(tmp_path: Path) -> None:
    table = _read(tmp_path, *POINTS).gauges[0]
    assert _texts(table, "tag") == ["LG-301", "LG-302", "LG-303"]
    assert _numbers(table, "urv") == [1.0, 1.2, 0.9]
    assert _numbers(table, "switch_lshh")[:2] == [0.94, 1.35]
    assert _numbers(table, "switch_lsll")[::2] == [0.06, 0.07]


def test_points_and_list_are_one_document(tmp_path: Path) -> None:
    book = save(tmp_path / "book.xlsx", {"List": [list(row) for row in LISTED], "Points": list(POINTS)})
    found = audit_book(book)
    assert "tag-duplicate" not in {one.rule for one in found.findings}
    (switch,) = [one for one in found.findings if one.rule == "switch-outside-range"]
    assert (switch.tag, switch.sheet, switch.cell) == ("LG-302", "Points", "E6")


def test_a_column_of_alarms_tells_the_switch_where_each_row_has_the_transmitters_tag(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [("Instrument", "Gauge", "Alarm", "Setting", "Unit", "Low", "High")]
    for number, length in ((301, 1000), (302, 1200), (303, 900)):
        rows.append((f"LT-{number}", f"LG-{number}", "", "", "mm", 0, length))
        rows += [
            (f"LT-{number}", f"LG-{number}", act, length * share, "mm", "", "")
            for act, share in (("HH", 0.9), ("H", 0.8), ("L", 0.2), ("LL", 0.1))
        ]
    table = _read(tmp_path, *rows).gauges[0]
    assert len(table) == 3
    assert _numbers(table, "switch_lshh") == [0.9, 1.08, 0.81]
    assert _numbers(table, "switch_lsl") == [0.2, 0.24, 0.18]


def test_bands_of_gauges_in_columns_have_labels_in_an_order_of_their_own(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [
        ("Tag number", "unit", "LG-301", "LG-302"),
        ("Density", "kg/m3", 850, 700),
        ("Visible range", "mm", 1000, 1200),
        ("Design pressure", "barg", 6, 9),
        ("Float mass", "g", 342.4, 318.3),
        (),
        ("Tag number", "unit", "LG-303"),
        ("Float mass", "kg", 0.3491),
        ("Design pressure", "kPag", 400),
        ("Visible range", "cm", 90),
        ("Density", "g/cm3", 0.87),
    ]
    table = _read(tmp_path, *rows).gauges[0]
    assert _texts(table, "tag") == ["LG-301", "LG-302", "LG-303"]
    assert _numbers(table, "fluid_density") == [850, 700, 870]
    assert _numbers(table, "visible_range") == [1.0, 1.2, 0.9]
    assert _numbers(table, "float_mass") == [0.3424, 0.3183, 0.3491]
    assert _numbers(table, "design_pressure") == [6e5, 9e5, 4e5]


def test_headings_below_a_list_of_plant_codes(tmp_path: Path) -> None:
    codes = ("10LCM10CL501", "10LCM20CL501", "10LBG10CL501")
    below = [(code, *row[1:]) for code, row in zip(codes, LISTED[1:], strict=True)]
    table = _read(tmp_path, *below, LISTED[0]).gauges[0]
    assert _texts(table, "tag") == list(codes)
    assert _numbers(table, "fluid_density") == [850, 700, 870]


def test_headings_in_two_languages_keep_the_units_of_either(tmp_path: Path) -> None:
    arabic = (
        "رقم الجهاز",
        "الخدمة",
        "الكثافة",
        "ضغط التصميم",
        "المدى المرئي سم",
        "كتلة العوامة جم",
        "قطر العوامة مم",
    )
    english = (
        "Tag No.",
        "Service",
        "Density kg/m³",
        "Design pressure barg",
        "Visible range cm",
        "Float mass g",
        "Float OD mm",
    )
    rows = [(*row[:4], row[4] / 10, *row[5:]) for row in LISTED[1:]]
    for heads in ((arabic, english), (english, arabic)):
        table = _read(tmp_path, *heads, *rows).gauges[0]
        assert _numbers(table, "visible_range") == [1.0, 1.2, 0.9]


def test_the_colon_between_label_and_value_is_no_value(tmp_path: Path) -> None:
    sheets = {
        tag: [
            ("Tag no.", "", tag),
            ("Density", ":", density, "kg/m3"),
            ("Visible range", ":", length, "mm"),
            ("Design pressure", ":", pressure, "barg"),
            ("Float mass", ":", mass, "g"),
        ]
        for tag, _, density, pressure, length, mass, _ in LISTED[1:]
    }
    book = read_book(save(tmp_path / "book.xlsx", sheets))
    assert [tag for table in book.gauges for tag in _texts(table, "tag")] == ["LG-301", "LG-302", "LG-303"]
    assert [n for table in book.gauges for n in _numbers(table, "fluid_density")] == [850, 700, 870]


def test_lists_below_labels_are_joined_by_their_tags(tmp_path: Path) -> None:
    sheet = [
        ("Fluid", "wash oil"),
        ("Design pressure", 7, "barg"),
        ("Design temperature", 120, "degC"),
        (),
        ("Tag", "Density kg/m3", "Visible range mm", "Chamber material"),
        ("LG-301A", 850, 800, "316L"),
        ("LG-301B", 850, 900, "316L"),
        (),
        ("Floats",),
        ("Tag", "Serial", "Mass g", "Outside diameter mm", "Length mm", "Maximum pressure barg"),
        ("LG-301A", "F-1", 342.4, 51, 290, 25),
        ("LG-301B", "F-2", 342.4, 51, 290, 4),
    ]
    book = save(tmp_path / "book.xlsx", {"V-301": sheet})
    table = read_book(book).gauges[0]
    assert _numbers(table, "design_pressure") == [7e5, 7e5]
    assert _numbers(table, "float_max_pressure") == [25e5, 4e5]
    found = {(one.rule, one.tag) for one in audit_book(book).findings}
    assert ("float-pressure-exceeded", "LG-301B") in found
    assert ("float-pressure-exceeded", "LG-301A") not in found


@pytest.mark.parametrize(
    ("note", "shift"),
    [
        ("All pressures are gauge.", 0.0),
        ("Alle Drücke sind Überdrücke.", 0.0),
        ("压力均为表压;标尺零点为下法兰中心线。", 0.0),
        ("Pressures are absolute", -ATMOSPHERE),
    ],
)
def test_a_note_says_what_plain_pressures_are(note: str, shift: float, tmp_path: Path) -> None:
    book = save(tmp_path / "book.xlsx", {"List": [(note,), (), *LISTED]})
    assert _numbers(read_book(book).gauges[0], "design_pressure") == [p * 1e5 + shift for p in (6, 9, 4)]
    assert "unit-ambiguous" not in {one.rule for one in audit_book(book).findings}


@pytest.mark.parametrize(
    "note",
    [
        "Level gauges: pressure data",
        "State pressures as bar gauge or bar absolute",
        "Hydrotest pressures by others",
    ],
)
def test_a_note_that_says_nothing_of_the_reference_leaves_the_doubt(note: str, tmp_path: Path) -> None:
    book = save(tmp_path / "book.xlsx", {"List": [(note,), (), *LISTED]})
    assert "unit-ambiguous" in {one.rule for one in audit_book(book).findings}


def test_a_plain_unit_among_exact_ones_stays_a_doubt(tmp_path: Path) -> None:
    rows = [list(row) for row in LISTED]
    rows[0][3] = "Design pressure"
    for row, text in zip(rows[1:], ("6 barg", "9 bar", "4 barg"), strict=True):
        row[3] = text
    book = save(tmp_path / "book.xlsx", {"List": [("All pressures are gauge",), (), *rows]})
    (found,) = [one for one in audit_book(book).findings if one.rule == "unit-ambiguous"]
    assert found.cell == "D5"


def test_what_a_text_says_of_a_float() -> None:
    said = said_in("OD 50 x 270 mm, mass 248,6 g, for density 670 kg/m3, max. 10 barg / 150 degC", "float")
    assert [(one.key or one.name, one.value) for one in said] == [
        ("float outside diameter", "50 mm"),
        ("float length", "270 mm"),
        ("mass", "248,6 g"),
        ("float design density", "670 kg/m3"),
        ("max. pressure", "10 barg"),
        ("max. temperature", "150 degC"),
    ]


def test_a_bill_whose_data_stand_in_words(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [("Level", "Item", "Name", "Qty", "Specification")]
    for tag, _, density, pressure, length, mass, _ in LISTED[1:]:
        rows += [
            ("0", tag, f"Level gauge {tag}", 1, "drum"),
            (
                ".1",
                "1.1",
                "Operating conditions",
                "",
                f"medium oil, operating density {density} kg/m3, design pressure {pressure} barg",
            ),
            (".1", "1.2", "Chamber", 1, f"centre to centre {length} mm, visible range {length} mm"),
            (
                ".1",
                "1.3",
                "Float",
                1,
                f"Ø51 x 290 mm, mass {mass} g, max. 25 barg / 180 °C, serial no. F-{tag[-1]}",
            ),
            (".1", "1.4", "Transmitter", 1, f"4 mA = 0 mm, 20 mA = {length} mm"),
        ]
    table = _read(tmp_path, *rows).gauges[0]
    assert _numbers(table, "fluid_density") == [850, 700, 870]
    assert _numbers(table, "urv") == [1.0, 1.2, 0.9]
    assert _numbers(table, "float_mass") == [0.3424, 0.3183, 0.3491]
    assert _numbers(table, "float_length") == [0.29] * 3
    assert _numbers(table, "float_max_pressure") == [25e5] * 3
    assert _texts(table, "float_serial") == ["F-1", "F-2", "F-3"]


@pytest.mark.parametrize(
    "none", ["-", "n/a", "n.v.t.", "/", "nie dotyczy", "该当なし".replace("该", "該"), "entfällt"]
)
def test_no_vapour_density_is_none_and_not_a_missing_one(none: str, tmp_path: Path) -> None:
    heads = (*LISTED[0], "Vapour density kg/m3", "Float design density kg/m3", "Float length mm")
    rows = [(*row, none, 1000, 290) for row in LISTED[1:]]
    found = audit_book(save(tmp_path / "book.xlsx", {"List": [heads, *rows]}))
    assert {one.tag for one in found.findings if one.rule == "design-density-mismatch"} == {
        "LG-301", "LG-302", "LG-303"
    }  # fmt: skip


def test_of_a_tag_that_stands_twice_the_first_has_the_transmitter(tmp_path: Path) -> None:
    rows = [list(row) for row in LISTED]
    rows[3][0] = "LG-301"
    joined: dict[str, Sequence[Sequence[Any]]] = {
        "List": rows,
        "Transmitters": [
            ("Transmitter", "Gauge", "LRV mm", "URV mm"),
            ("LT-301", "LG-301", 0, 1000),
            ("LT-302", "LG-302", 0, 1200),
        ],
    }
    table = read_book(save(tmp_path / "book.xlsx", joined)).gauges[0]
    urv = table.columns["urv"].low.tolist()
    assert urv[:2] == [1.0, 1.2]
    assert np.isnan(urv[2])
