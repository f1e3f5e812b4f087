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
from xlfuncs.lists.reading_file import to_toml
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


@pytest.mark.parametrize(
    "heading",
    [
        "C-C / visible range mm", "C-C = visible range mm", "Rozstaw króćców = zakres wskazań, mm",
        "Entraxe = plage visible mm", "C-C(=측정범위) mm",
    ],
)  # fmt: skip
def test_one_number_that_is_centres_and_visible_range(heading: str, tmp_path: Path) -> None:
    rows = [list(row) for row in LISTED]
    rows[0][4] = heading
    table = _read(tmp_path, *rows).gauges[0]
    assert _numbers(table, "visible_range") == _numbers(table, "connection_distance") == [1.0, 1.2, 0.9]
    assert table.columns["visible_range"].address(0) == "E2"


def test_a_column_that_numbers_the_rows_of_a_long_list_holds_no_values(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [("Line", "Tag", "Attribute", "Value", "UoM")]
    for tag, service, density, pressure, length, mass, across in LISTED[1:]:
        for name, value, unit in (
            ("Service", service, ""),
            ("Density @ op.", density, "kg/m3"),
            ("Design pressure", pressure, "barg"),
            ("Visible range", length, "mm"),
            ("Float weight", mass, "g"),
            ("Float OD", across, "mm"),
        ):
            rows.append((len(rows), tag, name, value, unit))
    table = _read(tmp_path, *rows).gauges[0]
    assert _numbers(table, "visible_range") == [1.0, 1.2, 0.9]
    assert table.columns["float_mass"].address(0) == "D6"


def test_a_float_list_by_gauge_is_read_beside_an_index_that_names_no_floats(tmp_path: Path) -> None:
    index = [(row[0], row[1], row[2], row[3], row[4]) for row in LISTED]
    floats = [
        ("Position", "Float type", "Serial no.", "Mass g", "Diameter mm", "Length mm", "Max. pressure barg"),
        ("LG-302", "ZQ-70", "F-2", 318.3, 51, 325, 5),
        ("LG-301", "ZQ-85", "F-1", 342.4, 51, 290, 25),
        ("LG-303", "ZQ-87", "F-1", 349.1, 51, 285, 25),
    ]
    book = save(tmp_path / "book.xlsx", {"Index": index, "Floats by position": floats})
    table = read_book(book).gauges[0]
    assert _texts(table, "float_part") == ["ZQ-85", "ZQ-70", "ZQ-87"]
    found = {(one.rule, one.tag) for one in audit_book(book).findings}
    assert ("float-pressure-exceeded", "LG-302") in found
    assert "serial-reused" in {rule for rule, _ in found}


def test_a_point_of_another_instrument_is_no_gauge_without_a_tag(tmp_path: Path) -> None:
    points = [
        ("POINT_ID", "Gauge", "RANGE_LO", "RANGE_HI", "EU", "LSL"),
        ("LI-301", "LG-301", 0, 1000, "mm", 100),
        ("TI-301", "", 0, 150, "degC", ""),
        ("LI-302", "LG-302", 0, 1200, "mm", 100),
        ("LI-303", "LG-303", 0, 900, "mm", 100),
    ]
    book = save(tmp_path / "book.xlsx", {"List": [list(row) for row in LISTED], "Points": points})
    assert "tag-missing" not in {one.rule for one in audit_book(book).findings}


@pytest.mark.parametrize("group", ["Transmitter and limits", "GIVARE OCH GRÄNSLÄGEN", "Range limits"])
def test_letters_of_a_switch_say_all_below_any_group(group: str, tmp_path: Path) -> None:
    heads: list[Any] = [*LISTED[0], "LSL mm", "LSH mm"]
    above: list[Any] = [""] * len(LISTED[0]) + [group, ""]
    rows = [[*row, 100, 800] for row in LISTED[1:]]
    table = _read(tmp_path, above, heads, *rows).gauges[0]
    assert _numbers(table, "switch_lsl") == [0.1] * 3
    assert _numbers(table, "switch_lsh") == [0.8] * 3


def test_a_korean_compound_is_cut_into_its_words(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [
        ("태그번호", "운전밀도(kg/m3)", "부자무게(g)", "부자설계밀도(kg/m3)", "부자최고압력(kPaG)")
    ]
    rows += [(tag, density, mass, density, 1600) for tag, _, density, _, _, mass, _ in LISTED[1:]]
    table = _read(tmp_path, *rows).gauges[0]
    assert _numbers(table, "float_design_density") == [850, 700, 870]
    assert _numbers(table, "float_max_pressure") == [16e5] * 3


def test_an_index_in_which_tags_stand_twice_is_no_list_of_points(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [(*LISTED[0], "Transmitter tag")]
    rows += [(*LISTED[i], f"LT-30{i}") for i in (1, 1, 2, 2, 3)]
    found = audit_book(save(tmp_path / "book.xlsx", {"List": rows}))
    assert [one.tag for one in found.findings if one.rule == "tag-duplicate"] == ["LG-301", "LG-302"]


def test_the_limit_of_an_alarm_is_told_from_its_delay(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [("Alarm", "Gauge", "Text", "Type", "Limit", "Unit", "Delay s")]
    for number, length in ((301, 1000), (302, 1200), (303, 900)):
        rows += [
            (f"LS{act}-{number}", f"LG-{number}", "level", act, length * share, "mm", 5)
            for act, share in (("HH", 0.9), ("H", 0.8), ("L", 0.2))
        ]
    table = _read(tmp_path, *rows).gauges[0]
    assert _numbers(table, "switch_lshh") == [0.9, 1.08, 0.81]
    assert _numbers(table, "switch_lsl") == [0.2, 0.24, 0.18]


def test_a_bill_given_back_as_it_was_read_is_read_the_same(tmp_path: Path) -> None:
    rows: list[Sequence[Any]] = [("Level", "Name", "Specification")]
    for tag, _, density, pressure, length, mass, _ in LISTED[1:]:
        rows += [
            ("0", f"Level gauge {tag}", "drum"),
            (
                ".1",
                "Operating conditions",
                f"operating density {density} kg/m3, design {pressure} barg / 150 °C",
            ),
            (".1", "Chamber", f"centre to centre = visible range {length} mm"),
            (".1", "Float", f"Ø51 x 290 mm, mass {mass} g, max. 25 barg / 180 °C"),
        ]
    path = save(tmp_path / "book.xlsx", {"Bill": rows})
    first = read_book(path)
    reading = tmp_path / "READING.toml"
    reading.write_text(to_toml(first.read, path.name), encoding="utf-8")
    again = read_book(path, correction=reading).gauges[0]
    for name, column in first.gauges[0].columns.items():
        assert again.columns[name].raw.tolist() == column.raw.tolist(), name
    assert _numbers(again, "design_temperature") == [423.15] * 3


@pytest.mark.parametrize("wrong", ["min", "normal", "max"])
def test_a_value_that_cannot_be_is_not_hidden_by_the_other_ends_of_its_range(
    wrong: str, tmp_path: Path
) -> None:
    values = {"min": 20, "normal": 40, "max": 60} | {wrong: -330}
    heads = [*LISTED[0], *(f"Operating temperature {end} °C" for end in values)]
    rows = [[*row, *values.values()] for row in LISTED[1:2]]
    found = audit_book(save(tmp_path / "book.xlsx", {"List": [heads, *rows]}))
    assert "value-implausible" in {one.rule for one in found.findings}
