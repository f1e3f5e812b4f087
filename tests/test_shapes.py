"""Documents of other shapes than a plain list are read as the list would be, each value in its own cell."""

from __future__ import annotations

import io
import itertools
import json
import re
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.rows import save
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import own, shapes
from xlfuncs.lists.model import Book, Table
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.reading_file import to_toml
from xlfuncs.report import write

TAGS = ("LG-101", "LG-102", "LG-103")
PROPERTIES: tuple[tuple[str, str, str, tuple[Any, Any, Any]], ...] = (
    ("service", "Service", "", ("Feed drum", "Reflux drum", "Slop drum")),
    ("fluid", "Fluid", "", ("Wash oil", "Naphtha", "Slop oil")),
    ("fluid_density", "Density at operating temperature", "kg/m3", (850, 700, 870)),
    ("operating_pressure", "Operating pressure", "barg", (2, 4, 0.5)),
    ("operating_temperature", "Operating temperature", "°C", (60, 45, 50)),
    ("design_pressure", "Design pressure", "barg", (6, 9, 4)),
    ("design_temperature", "Design temperature", "°C", (140, 120, 110)),
    ("connection_distance", "Centre to centre", "mm", (1000, 1200, 900)),
    ("visible_range", "Visible range", "mm", (1000, 1200, 900)),
    ("chamber_material", "Chamber material", "", ("316L", "316L", "A106 Gr.B")),
    ("float_part", "Float part no.", "", ("QF-85", "QF-70", "QF-87")),
    ("float_mass", "Float mass", "g", (342.4, 318.3, 349.1)),
    ("float_diameter", "Float outside diameter", "mm", (51, 51, 51)),
    ("float_length", "Float length over all", "mm", (290, 325, 285)),
    ("float_max_pressure", "Float maximum pressure", "barg", (25, 25, 3)),
)
"""Field, what a document calls it, its unit, its value for each gauge. The third chamber is magnetic, and its
float too weak."""

Rows = Sequence[Sequence[Any]]


def plain() -> list[list[Any]]:
    heads = [f"{label} {unit}".strip() for _, label, unit, _ in PROPERTIES]
    return [["Tag No.", *heads], *([tag, *(p[3][n] for p in PROPERTIES)] for n, tag in enumerate(TAGS))]


def headings_below() -> Rows:
    return [*reversed(plain()), [], ["Level gauges, list to the drawing"]]


def columns_with_headings_right() -> Rows:
    return [
        [*TAGS, "Tag No."],
        *([*values, label, unit or None] for _, label, unit, values in PROPERTIES),
    ]


def columns_with_headings_left() -> Rows:
    return [
        ["Tag No.", None, *TAGS],
        *([label, unit or None, *values] for _, label, unit, values in PROPERTIES),
    ]


def long_list() -> Rows:
    rows: list[list[Any]] = [["Location", "Characteristic", "Value", "UoM"]]
    for n, tag in enumerate(TAGS):
        rows += [[tag, label, values[n], unit or None] for _, label, unit, values in PROPERTIES]
    return rows


def pages() -> Rows:
    rows: list[list[Any]] = []
    for n, tag in enumerate(TAGS):
        rows += [["DATA SHEET FOR A LEVEL GAUGE", None, None, f"Page {n + 1}"], ["Tag No.", tag]]
        rows += [[label, values[n], unit or None] for _, label, unit, values in PROPERTIES]
        rows += [[], ["Prepared by A. Nobody"], []]
    return rows


def boxes() -> Rows:
    """Labels above their values, two boxes beside each other."""
    rows: list[list[Any]] = []
    labels = [("Tag No.", TAGS), *((f"{p[1]} {p[2]}".strip(), p[3]) for p in PROPERTIES)]
    for first in (0, 2):
        for pair in itertools.batched(labels, 2) if hasattr(itertools, "batched") else _pairs(labels):
            heads: list[Any] = []
            values: list[Any] = []
            for n in range(first, min(first + 2, len(TAGS))):
                heads += [*(label for label, _ in pair), *[None] * (3 - len(pair))]
                values += [*(every[n] for _, every in pair), *[None] * (3 - len(pair))]
            rows += [heads, values]
        rows.append([])
    return rows


def _pairs(labels: list[Any]) -> list[list[Any]]:
    return [labels[at : at + 2] for at in range(0, len(labels), 2)]


def named_values_in_a_cell() -> Rows:
    rows: list[list[Any]] = [["Register of level gauges"], [], ["Tag", "State", "Remarks"]]
    for n, tag in enumerate(TAGS):
        told = "; ".join(f"{label}: {values[n]} {unit}".strip() for _, label, unit, values in PROPERTIES)
        rows.append([tag, "in service", told])
    return rows


SHAPES: dict[str, Callable[[], Rows]] = {
    "headings below": headings_below,
    "columns, headings right": columns_with_headings_right,
    "columns, headings left": columns_with_headings_left,
    "long list": long_list,
    "pages": pages,
    "boxes": boxes,
    "named values in a cell": named_values_in_a_cell,
}


def by_tag(book: Book) -> dict[str, tuple[Table, int]]:
    return {str(t.columns["tag"].text[i]): (t, i) for t in book.gauges for i in range(len(t))}


def found(result: AuditResult) -> set[tuple[str, str]]:
    return {(f.rule, f.tag) for f in result.findings}


PLANTED = {("chamber-magnetic", "LG-103"), ("float-pressure-exceeded", "LG-103")}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_shape_is_read_as_the_plain_list_is(shape: str, tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauges=SHAPES[shape]())
    expected = by_tag(read_book(save(tmp_path / "plain.xlsx", Gauges=plain())))
    read = by_tag(read_book(path))
    assert set(read) == set(TAGS)
    sheet = openpyxl.load_workbook(path)["Gauges"]
    for tag, (table, i) in read.items():
        theirs, k = expected[tag]
        for name, *_ in PROPERTIES:
            column = table.columns[name]
            if column.text[i] and not theirs.columns[name].unit[k]:
                assert column.text[i] == theirs.columns[name].text[k], (tag, name)
            else:
                assert column.value[i] == pytest.approx(theirs.columns[name].value[k]), (tag, name)
            value = sheet[column.address(i)].value
            raw = theirs.columns[name].raw[k]
            shown = raw if isinstance(raw, str) else f"{raw:g}"
            assert shown in str(value), f"{name} of {tag} stands not in its cell"


@pytest.mark.parametrize("shape", SHAPES)
def test_the_audit_finds_what_is_planted_and_nothing_else(shape: str, tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauges=SHAPES[shape]())
    result = audit_book(path)
    assert found(result) == PLANTED
    assert result.rows_audited == len(TAGS)


@pytest.mark.parametrize("shape", SHAPES)
def test_every_row_is_accounted_for(shape: str, tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauges=SHAPES[shape](), Cover=[["Level gauges"], ["Rev. 1"]])
    result = audit_book(path)
    filled = {
        sheet.title: sum(any(cell is not None for cell in row) for row in sheet.values)
        for sheet in openpyxl.load_workbook(path)
    }
    assert {one.sheet: one.total for one in result.rows} == filled
    assert not any(one.count("not understood") for one in result.rows)


# --- what a person says ---------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", SHAPES)
def test_a_reading_given_back_unchanged_changes_nothing(shape: str, tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauges=SHAPES[shape]())
    reading = tmp_path / "READING.toml"
    reading.write_text(to_toml(read_book(path).read, path.name), encoding="utf-8")
    assert (
        audit_book(path, correction=reading).to_dict()["findings"] == audit_book(path).to_dict()["findings"]
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_a_property_is_corrected_in_the_reading(shape: str, tmp_path: Path) -> None:
    """The float's pressure is called the gauge's design pressure, and the design pressure is left alone."""
    path = save(tmp_path / "book.xlsx", Gauges=SHAPES[shape]())
    text = to_toml(read_book(path).read, path.name)
    text = text.replace('field = "design_pressure"', 'field = "test_pressure"')
    reading = tmp_path / "READING.toml"
    reading.write_text(text, encoding="utf-8")
    table, i = by_tag(read_book(path, correction=reading))["LG-101"]
    assert "design_pressure" not in table.columns
    assert table.columns["test_pressure"].value[i] == pytest.approx(6e5)


def test_the_sheet_reading_of_an_annotated_copy_covers_a_form(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauges=pages())
    copy = tmp_path / "copy.xlsx"
    write(audit_book(path), "workbook", copy, source=path, stream=io.StringIO())
    book = openpyxl.load_workbook(copy)
    rows = {str(row[2].value): row for row in book[own.READING].iter_rows()}
    row = next(row for text, row in rows.items() if "Design pressure" in text)
    assert str(row[3].value).startswith("design_pressure")
    row[3].value = own.item("test_pressure")
    book.save(copy)
    table, i = by_tag(read_book(copy))["LG-101"]
    assert table.columns["test_pressure"].value[i] == pytest.approx(6e5)
    assert "design_pressure" not in table.columns


# --- the shape itself -----------------------------------------------------------------------------------


def cases_in_columns() -> Rows:
    """A gauge with three cases: as a form it is one gauge with the first of them."""
    heads = [["Tag No.", "LG-100", "", ""], ["", "Case A", "Case B", "Case C"]]
    return [*heads, *([f"{label} {unit}".strip(), *values] for _, label, unit, values in PROPERTIES)]


COLUMNS, FORM = "gauges in columns", "a form with values right of their labels"


def _said(path: Path, was: str, becomes: str) -> Path:
    """The reading of a workbook with another shape written into it."""
    text = to_toml(read_book(path).read, path.name)
    assert f'shape = "{was}"' in text
    file = path.with_name("READING.toml")
    file.write_text(text.replace(f'shape = "{was}"', f'shape = "{becomes}"'), encoding="utf-8")
    return file


def _shape_cell(book: openpyxl.Workbook) -> Any:
    [cell] = [row[3] for row in book[own.READING].iter_rows() if row[2].value == own.WHOLE]
    return cell


def test_another_shape_is_taken_where_a_reading_says_so(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauge=cases_in_columns())
    [before] = read_book(path).read
    assert (before.layout, before.records) == (COLUMNS, 3)
    after = read_book(path, correction=_said(path, COLUMNS, FORM))
    [read] = after.read
    assert (read.layout, len(after.gauges[0])) == (FORM, 1)
    assert COLUMNS in read.others
    assert (
        audit_book(path, correction=_said(path, COLUMNS, COLUMNS)).to_dict()["findings"]
        == (audit_book(path).to_dict()["findings"])
    )


def test_a_shape_that_a_sheet_has_not_is_refused_with_those_that_it_has(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauge=cases_in_columns())
    for wrong in ("a circle", "a row for each property"):
        with pytest.raises(XlfuncsError, match=f"'Gauge' cannot be read as '{wrong}'; write '{COLUMNS}' or"):
            read_book(path, correction=_said(path, COLUMNS, wrong))
    file = _said(path, COLUMNS, COLUMNS)
    file.write_text(file.read_text(encoding="utf-8").replace(f'shape = "{COLUMNS}"', "shape = 3"))
    with pytest.raises(XlfuncsError, match=r"list 1 \('Gauge'\): write the shape between quotes"):
        read_book(path, correction=file)


def test_what_was_said_of_columns_does_not_outlive_another_shape(tmp_path: Path) -> None:
    """A list's columns have letters, and labels have cells."""
    path = save(tmp_path / "book.xlsx", Gauge=cases_in_columns())
    file = _said(path, COLUMNS, FORM)
    listed = re.sub(r'cell = "([A-Z]+)\d+"', r'column = "\1"', file.read_text(encoding="utf-8"))
    file.write_text(listed.replace('field = "design_pressure"', 'field = "test_pressure"'), encoding="utf-8")
    book = read_book(path, correction=file)
    [told] = [doubt.text for doubt in book.doubts if doubt.kind == "file"]
    assert f"is read as {FORM}, as was said; its columns were written for another shape" in told
    assert "design_pressure" in book.gauges[0].columns


def test_the_shape_is_chosen_on_the_sheet_of_an_annotated_copy(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauge=cases_in_columns())
    copy = tmp_path / "copy.xlsx"
    write(audit_book(path), "workbook", copy, source=path, stream=io.StringIO())
    book = openpyxl.load_workbook(copy)
    cell = _shape_cell(book)
    assert cell.value == COLUMNS
    [where] = [
        each.formula1
        for each in book[own.READING].data_validations.dataValidation
        if cell.coordinate in each.sqref
    ]
    choices = [one.value for [one] in book[own.READING][where.replace("$", "")]]
    assert choices[:2] == [COLUMNS, FORM]
    cell.value = FORM
    book.save(copy)
    assert read_book(copy).read[0].layout == FORM


def beside() -> Rows:
    """An index, and right of it, in another order, the points of the control system."""
    points: list[list[Any]] = [["POINT", "DESCRIPTOR", "EU", "EU @ 0%", "EU @ 100%", "LO", "HI"]]
    points += [
        [f"LT-{n}", f"LEVEL {n}", "MM", 0, top, 100, top - 100] for n, top in ((103, 900), (101, 1000))
    ]
    rows = plain()
    blank = [None] * 7
    return [[*row, None, None, *right] for row, right in itertools.zip_longest(rows, points, fillvalue=blank)]


def test_lists_beside_each_other_are_read_apart(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Gauges=beside())
    book = read_book(path)
    assert [one.layout for one in book.read] == ["a list", "an export of points of a control system"]
    table, i = by_tag(book)["LG-103"]
    assert (table.columns["urv"].value[i], table.columns["switch_lsl"].value[i]) == (0.9, 0.1)
    copy = tmp_path / "copy.xlsx"
    before = audit_book(path)
    write(before, "workbook", copy, source=path, stream=io.StringIO())
    assert [f.rule for f in audit_book(copy).findings] == [f.rule for f in before.findings]
    file = tmp_path / "READING.toml"
    file.write_text(to_toml(book.read, path.name), encoding="utf-8")
    assert audit_book(path, correction=file).to_dict()["findings"] == before.to_dict()["findings"]


def test_one_property_under_two_names_is_one(tmp_path: Path) -> None:
    """As where two contractors have filled in one document, each in words and units of their own."""
    rows = [["Tag", "Attribute", "Value", "Unit"]]
    other = {"Service": "Duty", "Design pressure": "Press., design", "Centre to centre": "Nozzle CL to CL"}
    for n, tag in enumerate(TAGS):
        for _, label, unit, values in PROPERTIES:
            value: Any = values[n]
            if n == 2 and unit == "barg":
                value, unit = values[n] * 100, "kPa(g)"
            rows.append([tag, other.get(label, label) if n == 2 else label, value, unit])
    book = read_book(save(tmp_path / "book.xlsx", Attributes=rows))
    table, i = by_tag(book)["LG-103"]
    assert table.columns["design_pressure"].value[i] == pytest.approx(4e5)
    assert table.columns["connection_distance"].value[i] == pytest.approx(0.9)
    assert table.columns["service"].text[i] == "Slop drum"


def test_two_shapes_that_are_nearly_as_good_are_put_to_the_person(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = save(tmp_path / "book.xlsx", Gauge=cases_in_columns())
    assert not read_book(path).read[0].question  # what both read is the same, and one reads far more
    monkeypatch.setattr(shapes, "_CLOSE", 0.2)
    assert not read_book(path).read[0].question
    monkeypatch.setattr(shapes, "_AGREED", -1.0)
    asked = read_book(path)
    assert [doubt.kind for doubt in asked.doubts if f"could be read as {FORM}" in doubt.text] == ["sheet"]
    assert f'IN DOUBT, the cells mean something else then: "{FORM}"' in to_toml(asked.read, path.name)
    copy = tmp_path / "copy.xlsx"
    write(audit_book(path), "workbook", copy, source=path, stream=io.StringIO())
    row = _shape_cell(openpyxl.load_workbook(copy)).row
    assert f"IN DOUBT: or {FORM}" in str(openpyxl.load_workbook(copy)[own.READING].cell(row, 7).value)
    settled = read_book(path, correction=_said(path, COLUMNS, COLUMNS))
    assert not any("could be read as" in doubt.text for doubt in settled.doubts)


# --- cases ----------------------------------------------------------------------------------------------


def test_minimum_normal_and_maximum_of_a_form_are_one_range(tmp_path: Path) -> None:
    rows: list[list[Any]] = []
    for tag in ("LG-101", "LG-102"):
        rows += [
            ["LEVEL GAUGE"],
            ["Tag No.", None, tag],
            ["Fluid", None, "Wash oil"],
            [None, "Unit", "Minimum", "Normal", "Maximum", "Design"],
            ["Pressure", "barg", 1, 2, 3, 6],
            ["Temperature", "°C", 40, 50, 60, 120],
            ["Liquid density", "kg/m3", 840, 850, 860],
            ["Centre to centre", "mm", 1000],
            ["Visible range", "mm", 1000],
            [],
        ]
    table, i = by_tag(read_book(save(tmp_path / "book.xlsx", Form=rows)))["LG-102"]
    assert (table.columns["operating_pressure"].low[i], table.columns["operating_pressure"].high[i]) == (
        pytest.approx(1e5),
        pytest.approx(3e5),
    )
    assert table.columns["design_pressure"].value[i] == pytest.approx(6e5)
    assert table.columns["connection_distance"].value[i] == pytest.approx(1.0)
    assert table.columns["fluid_density_min"].value[i] == pytest.approx(840)
    assert table.columns["fluid_density"].address(i) == "D17"


def side_by_side() -> Rows:
    heads = ["Density kg/m³", "Press. barg", "Temp. °C"]
    rows: list[list[Any]] = [
        [None, None, "Case A (normal)", None, None, "Case B (start-up)", None, None, "Design", None],
        ["Tag No.", "Fluid", *heads, *heads, "Press. barg", "Temp. °C", "C-C mm", "Visible mm"],
    ]
    rows += [
        ["LG-101", "Wash oil", 850, 2, 60, 860, 2, 50, 6, 140, 1000, 1000],
        ["LG-102", "Wash oil", 850, 2, 60, 860, 7, 50, 6, 140, 1000, 1100],
        ["LG-103", "Wash oil", 850, 2, 60, 860, 2, 50, 6, 140, 900, 900],
    ]
    return rows


def test_each_case_is_decided_and_the_finding_names_it(tmp_path: Path) -> None:
    path = save(tmp_path / "book.xlsx", Cases=side_by_side())
    book = openpyxl.load_workbook(path)
    for cells in ("C1:E1", "F1:H1", "I1:J1"):
        book["Cases"].merge_cells(cells)
    book.save(path)
    result = audit_book(path)
    told = {(f.rule, f.tag): f for f in result.findings}
    assert set(told) == {("operating-exceeds-design", "LG-102"), ("range-exceeds-connections", "LG-102")}
    finding = told["operating-exceeds-design", "LG-102"]
    assert finding.cell == "G4"
    assert finding.message.startswith("Case B (start-up): ")
    assert finding.evidence["case"] == "Case B (start-up)"
    assert "case" not in told["range-exceeds-connections", "LG-102"].evidence
    assert result.rows_audited == 3


def test_points_of_a_calibration_are_each_decided(tmp_path: Path) -> None:
    rows: list[list[Any]] = []
    for tag, half in (("LG-101", 12), ("LG-102", 12.6)):
        rows += [
            ["CALIBRATION OF A LEVEL GAUGE WITH TRANSMITTER"],
            ["Tag:", tag, "Service:", "Feed drum"],
            ["LRV (mm):", 0, "URV (mm):", 1000],
            ["Visible range (mm):", 1000, "Fluid SG:", 0.85],
            ["%", "Level (mm)", "Target (mA)"],
            [0, 0, 4],
            [50, 500, half],
            [100, 1000, 20],
            [],
        ]
    result = audit_book(save(tmp_path / "book.xlsx", Points=rows))
    assert [(f.rule, f.tag, f.cell) for f in result.findings] == [("current-inconsistent", "LG-102", "C16")]
    assert "point 50 %" in result.findings[0].message
    assert result.rows_audited == 2


# --- lists with a structure -----------------------------------------------------------------------------


def test_components_below_their_gauge_belong_to_it(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        [
            "Pos.",
            "Tag",
            "Description",
            "Density kg/m³",
            "C-C mm",
            "Visible mm",
            "Float part no.",
            "Float mass g",
        ],
    ]
    for n, tag in enumerate(TAGS):
        rows += [
            ["1", tag, "Level gauge", 850, 1000, 1000, None, None],
            [".2", None, "Float", None, None, None, f"QF-{n}", 340 + n],
            [".2", None, "Gasket", None, None, None, None, None],
        ]
    book = read_book(save(tmp_path / "book.xlsx", Bill=rows))
    table, i = by_tag(book)["LG-102"]
    assert sum(map(len, book.gauges)) == 3
    assert table.columns["float_mass"].value[i] == pytest.approx(0.341)
    assert table.columns["float_mass"].address(i) == "H6"
    assert {one.sheet: one.count("component") for one in book.rows} == {"Bill": 6}


def test_a_row_without_tag_that_states_its_own_data_is_no_component(tmp_path: Path) -> None:
    rows = [list(row) for row in plain()]
    rows[2][0] = None
    assert ("tag-missing", "") in found(audit_book(save(tmp_path / "book.xlsx", Gauges=rows)))


def test_labels_above_a_list_hold_for_its_gauges(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["VESSEL V-7"],
        [],
        ["Liquid density at operating temperature", None, 828, "kg/m³"],
        ["Design pressure", None, 7, "barg"],
        ["Design temperature", None, 150, "°C"],
        [],
        ["LEVEL GAUGES ON THIS VESSEL"],
        ["Tag No.", "C-C mm", "Visible length mm", "Chamber material", "Float part no."],
        ["LG-701", 1000, 1000, "316L", "QF-85"],
        ["LG-702", 900, 900, "316L", "QF-85"],
    ]
    read = by_tag(read_book(save(tmp_path / "book.xlsx", Vessel=rows)))
    for tag in ("LG-701", "LG-702"):
        table, i = read[tag]
        assert table.columns["design_pressure"].value[i] == pytest.approx(7e5)
        assert table.columns["design_pressure"].address(i) == "C4"


def test_a_legend_explains_machine_names(tmp_path: Path) -> None:
    names = {"EQ_ID": ("Gauge tag number", "-")}
    names |= {f"X_{n}": (label, unit or "-") for n, (_, label, unit, _) in enumerate(PROPERTIES)}
    data = [list(names), *(list(row) for row in plain()[1:])]
    legend = [["Field names"], [], ["Field", "Meaning", "Unit"], *([k, *v] for k, v in names.items())]
    path = save(tmp_path / "book.xlsx", Export=data, Legend=legend)
    assert found(audit_book(path)) == PLANTED
    assert {one.sheet: one.count("legend") for one in audit_book(path).rows}["Legend"] > 10


def test_points_of_a_control_system_are_held_against_their_gauges(tmp_path: Path) -> None:
    points: list[list[Any]] = [
        ["POINT", "DESC", "EUDESC", "EULO", "EUHI", "LOTP", "HITP"],
        ["31LT501.PV", "FEED DRUM LEVEL", "MM", 0, 1200, 100, 900],
        ["31LT502.PV", "REFLUX DRUM LEVEL", "CM", 0, 100, 10, 90],
    ]
    field: list[list[Any]] = [
        ["Gauge", "Transmitter", "Vessel", "Visible length mm", "Distance of tappings mm"],
        ["31-LG-501", "31LT501", "Feed drum", 1000, 1000],
        ["31-LG-502", "31LT502", "Reflux drum", 1000, 1000],
    ]
    result = audit_book(save(tmp_path / "book.xlsx", Points=points, Field=field))
    assert [(f.rule, f.tag, f.sheet, f.cell) for f in result.findings] == [
        ("transmitter-outside-visible-range", "31-LG-501", "Points", "E2")
    ]


# --- several documents ----------------------------------------------------------------------------------

INDEX: list[list[Any]] = [
    ["Tag", "Service", "C-C mm", "Visible range mm", "Chamber material"],
    ["LG-101", "Feed drum", 1000, 1000, "316L"],
    ["LG-102", "Reflux drum", 1200, 1200, "316L"],
    ["LG-103", "Slop drum", 900, 900, "316L"],
]
PROCESS: list[list[Any]] = [
    ["Instrument", "Fluid", "Density kg/m³", "Design pressure barg", "Design temperature °C"],
    ["LG 103", "Slop oil", 870, 4, 110],
    ["LG 102", "Naphtha", 700, 9, 120],
    ["LG 101", "Wash oil", 850, 6, 140],
]
VENDOR: list[list[Any]] = [
    ["Purchaser's tag", "LG-101", "LG-102", "LG-103"],
    ["Design pressure, barg", 6, 12, 4],
    ["Centre to centre, mm", 1000, 1200, 900],
    ["Float part number", "QF-85", "QF-70", "QF-87"],
    ["Float mass, g", 342, 318, 349],
]


@pytest.mark.parametrize("apart", [False, True], ids=["sheets", "files"])
def test_documents_are_joined_by_tag_and_differences_are_found(apart: bool, tmp_path: Path) -> None:
    if apart:
        path = save(tmp_path / "index.xlsx", Index=INDEX)
        others = [
            save(tmp_path / "process.xlsx", Process=PROCESS),
            save(tmp_path / "vendor.xlsx", Vendor=VENDOR),
        ]
        result = audit_book(path, others=others)
        first, second = "[process.xlsx]Process", "[vendor.xlsx]Vendor!C2"
    else:
        result = audit_book(save(tmp_path / "b.xlsx", Index=INDEX, Process=PROCESS, Vendor=VENDOR))
        first, second = "Process", "Vendor!C2"
    [finding] = result.findings
    assert (finding.rule, finding.tag, finding.sheet, finding.cell) == (
        "documents-disagree", "LG-102", first, "D3",
    )  # fmt: skip
    assert finding.evidence["other_cell"] == second
    assert result.rows_audited == 3


def test_rounding_in_another_unit_is_no_difference(tmp_path: Path) -> None:
    other: list[list[Any]] = [["Tag", "Fluid", "C-C in", "Visible range in"], ["LG-101", "Oil", 39.37, 39.37],
             ["LG-102", "Oil", 47.24, 47.24], ["LG-103", "Oil", 35.43, 35.43]]  # fmt: skip
    assert found(audit_book(save(tmp_path / "b.xlsx", Index=INDEX, Other=other))) == set()


def test_a_gauge_that_one_document_lacks_is_named(tmp_path: Path) -> None:
    result = audit_book(save(tmp_path / "b.xlsx", Index=INDEX, Process=PROCESS[:-1]))
    assert found(result) == {("document-orphan", "LG-101")}
    assert (result.findings[0].sheet, result.findings[0].cell) == ("Index", "A2")


def test_a_tag_twice_in_parts_of_one_document_is_a_duplicate(tmp_path: Path) -> None:
    area: list[list[Any]] = [
        INDEX[0],
        ["LG-201", "Drum", 900, 900, "316L"],
        ["LG-102", "Drum", 900, 900, "316L"],
    ]
    result = audit_book(save(tmp_path / "b.xlsx", Area1=INDEX, Area2=area))
    assert found(result) == {("tag-duplicate", "LG-102")}


def test_the_command_takes_more_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = save(tmp_path / "index.xlsx", Index=INDEX)
    process = save(tmp_path / "process.xlsx", Process=PROCESS)
    vendor = save(tmp_path / "vendor.xlsx", Vendor=VENDOR)
    assert main(["audit", str(path), "--with", str(process), "--with", str(vendor), "--format", "json"]) == 1
    result = json.loads(capsys.readouterr().out)
    assert [f["rule"] for f in result["findings"]] == ["documents-disagree"]
    assert set(result["rows"]) == {"Index", "[process.xlsx]Process", "[vendor.xlsx]Vendor"}


def test_the_workbook_itself_is_no_other_file(tmp_path: Path) -> None:
    path = save(tmp_path / "index.xlsx", Index=INDEX)
    with pytest.raises(XlfuncsError, match="names the workbook that is audited"):
        audit_book(path, others=[path])


# --- nothing vanishes -----------------------------------------------------------------------------------


def test_rows_that_were_not_understood_are_named_in_each_report(tmp_path: Path) -> None:
    rows = [*plain(), [], [], ["Valve", "Kv", "Trim", "Seat"], ["V-1", 12, 3, 4], ["V-2", 9, 3, 4]]
    result = audit_book(save(tmp_path / "book.xlsx", Gauges=rows))
    [one] = result.rows
    assert one.places("audited") == ["2-4"]
    assert one.places("other instrument") == ["8-9"]
    assert one.places("not understood") == ["7"]
    for form in ("text", "csv", "json", "html", "sarif"):
        out = tmp_path / f"report.{form}"
        write(result, form, out, source=tmp_path / "book.xlsx", stream=io.StringIO())
        assert "not understood" in out.read_text(encoding="utf-8"), form


def test_a_sheet_with_float_data_that_was_not_used_is_named_first(tmp_path: Path) -> None:
    lost = [["Float mass", "Float diameter", "Float length", "Magnet height"], ["see drawing"] * 4]
    result = audit_book(save(tmp_path / "book.xlsx", Gauges=plain(), Lost=lost))
    assert result.doubts[0]["sheet"] == "Lost"
    assert "holds float data" in result.doubts[0]["text"]


def test_a_long_form_costs_little_more_than_a_plain_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(f"{__name__}.TAGS", tuple(f"LG-{1000 + n}" for n in range(200)))
    every = tuple((*one[:3], tuple(one[3][n % 3] for n in range(200))) for one in PROPERTIES)
    monkeypatch.setattr(f"{__name__}.PROPERTIES", every)
    path = save(tmp_path / "pages.xlsx", Gauges=pages())
    read_book(path)  # what is loaded once
    start = time.process_time()
    cells = sum(len(row) for row in openpyxl.load_workbook(path)["Gauges"].values)
    plainly = time.process_time() - start
    start = time.process_time()
    book = read_book(path)
    assert cells > 10_000 and sum(map(len, book.gauges)) == 200
    assert time.process_time() - start < 5 * plainly
