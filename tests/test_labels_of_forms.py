"""What is a label of a form and what is none, where its block ends, columns of offers."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.test_forms_in_memory import BOXES, FORM, OFFERS, read, said
from tests.test_heads_and_rows import sheet
from xlfuncs.lists import forms
from xlfuncs.lists.instructions import Bound, Instructions
from xlfuncs.spreadsheet.grid import Grid


def numbered(rows: list[list[Any]], numbers: list[int]) -> list[dict[str, Any]]:
    """What is said in a sheet some of whose rows are left out, since they are blank."""
    found = list(forms.records_of(sheet(rows, numbers=numbers), Instructions()))
    names = [one.text for one in found[0].properties]
    return [{names[j]: place.value for j, place in record.cells.items()} for record in found[0].records]


@pytest.mark.parametrize(("column", "taken"), [(59, True), (60, False), (64, False)])
def test_a_form_has_sixty_columns(column: int, taken: bool) -> None:
    row = [*[""] * (column - 1), "Zorka:", "dark"]
    assert ("Zorka" in said([*FORM, row])[0]) is taken


@pytest.mark.parametrize(
    ("more", "made"),
    [(["Zorka"], False), (["Viscosity"], True), (["Fluid"], True), (["Viscosity", "Float mass"], True)],
)
def test_a_form_has_four_texts_that_are_understood(more: list[str], made: bool) -> None:
    """A tag counts as well as its label."""
    assert bool(said([["Tag", "LG-1"], ["Density", 850], *([name, 5] for name in more)])) is made


@pytest.mark.parametrize(("length", "taken"), [(120, True), (121, False), (130, False)])
def test_a_text_of_more_than_120_characters_is_no_label(length: int, taken: bool) -> None:
    text = "Zorka ".ljust(length, "x")
    assert (text in said([*FORM, [text, "dark"]])[0]) is taken


@pytest.mark.parametrize(("blank", "value"), [(0, None), (1, None), (2, 0.85)])
def test_a_unit_within_three_cells_of_a_label_is_no_label(blank: int, value: float | None) -> None:
    """SG is a unit behind a density, and a heading by itself."""
    row = ["Viscosity", 5, *[""] * blank, "SG", 0.85]
    rows = [row if one[0] == "Viscosity" else one for one in FORM]
    assert said([*rows, ["", *[""] * (blank + 1), "Float mass", 300]])[0].get("SG") == value


def test_rows_of_boxes_and_their_values_follow_each_other() -> None:
    rows = [*FORM, *BOXES, ["", "z"]]
    assert numbered(rows, [1, 2, 3, 4, 5, 6, 7, 8])[0]["Design temperature"] == 120
    assert numbered(rows, [1, 2, 3, 4, 5, 6, 8, 9])[0].get("Design temperature") != 120


def test_values_below_values_after_a_gap_make_no_table() -> None:
    rows = [*FORM, *BOXES, [130, 310, 260]]
    for last, over in ((8, False), (9, True), (10, True)):
        assert (numbered(rows, [1, 2, 3, 4, 5, 6, 7, last])[0].get("Float mass") == 300) is over


def test_a_value_two_rows_below_its_label_by_the_rows_numbers() -> None:
    rows: list[list[Any]] = [
        ["Tag", "Fluid", "Density"],
        ["LG-1", "Oil", 850],
        ["Viscosity", "Design pressure"],
        [5, 10],
    ]
    for gap, taken in ((0, True), (1, True), (2, False)):
        found = list(
            forms.records_of(sheet(rows, numbers=[1, 2, 3, 4 + gap]), Instructions())
        )  # the last row of values
        values = [place.value for one in found for record in one.records for place in record.cells.values()]
        assert (10 in values) is taken
        assert "LG-1" in values


def test_properties_of_two_columns_of_labels_come_one_column_after_the_other() -> None:
    rows = [
        ["Tag", "LG-1", "", "Float mass", 300],
        ["Fluid", "Oil", "", "Float length", 250],
        ["Density", 850, "kg/m3"],
        ["Viscosity", 5, "mPa.s"],
    ]
    found = read(rows)
    assert found is not None
    names = [one.text for one in found.properties]
    assert names == ["Tag", "Fluid", "Density", "Viscosity", "Float mass", "Float length"]
    (gauge,) = said(rows)
    assert gauge["Density"] == (850, "kg/m3")
    assert (gauge["Float mass"], gauge["Float length"]) == (300, 250)


@pytest.mark.parametrize(("rows", "made"), [(40_000, True), (40_001, False), (42_000, False)])
def test_a_sheet_of_more_than_forty_thousand_rows_is_no_form(rows: int, made: bool) -> None:
    values = np.full((rows, 2), "", dtype=object)
    for i, row in enumerate(FORM):
        values[i] = row[:2]
    found = forms.records_of(Grid.block("Sheet", values), Instructions())
    assert (next(found, None) is not None) is made


def test_a_label_with_a_value_of_its_own_is_no_value() -> None:
    rows = [[*row[:2], ""] for row in FORM]
    rows[2] += ["Float mass", 300]
    rows[3] += ["Float length", 250]
    rows[1] = ["Fluid", "", "", "Float diameter", 50]
    (gauge,) = said(rows)
    assert "Fluid" not in gauge
    assert gauge["Float diameter"] == 50
    rows[1] = ["Fluid", "", "", "Gas"]
    assert said(rows)[0]["Fluid"] == "Gas"


def test_a_unit_is_the_value_of_a_label_in_words_and_of_no_quantity() -> None:
    def value(name: str, *cells: Any) -> Any:
        return said([*FORM, [name, *cells]])[0].get(name)

    assert value("Remarks", "bar") == "bar"
    assert value("Float mass", "g") is None
    assert value("Float mass", "g", 300) == (300, "g")


@pytest.mark.parametrize(
    ("row", "value"),
    [
        (["Transmitter range", 0, 1000, "mm"], "0 - 1000"),
        (["Transmitter range", 1000, 0, "mm"], "1000 - 0"),
        (["Transmitter range", 0, 500, 1000, "mm"], 0),
        (["Transmitter range", 500, "mm"], 500),
        (["Transmitter range", 1000, "mm", 39.37, "in"], 1000),
        (["Transmitter range", 0, "mm", 1000, "mm"], "0 - 1000"),
        (["Transmitter range", 0, "to", 1000, "mm"], "0 - 1000"),
        (["Visible range", 100, 1100, "mm"], "100 - 1100"),
        (["Visible range", 1100, 100, "mm"], 1100),
        (["Visible range", 1000, 1000, "mm"], 1000),
        (["Visible range", 1000, "mm", 39.37, "in"], 1000),
        (["Visible range", 10, "mm", 39.37, "in"], 10),
        (["Range", 0, 1000, "mm"], 0),
        (["Float mass", 300, 400, "mm"], 300),
    ],
)
def test_the_two_ends_of_a_range_stand_in_cells_beside_each_other(row: list[Any], value: Any) -> None:
    """A label has to name the range surely; one that is seen begins with its lower end."""
    assert said([*FORM, row])[0][row[0]] == (value, "mm")


def test_what_a_check_sheet_adds_to_a_label_is_left_out() -> None:
    found = read([*FORM, ["Measured mass of float", 300], ["Float held at level", 500]])
    assert found is not None
    keys = {one.text: one.key for one in found.properties}
    assert (keys["Measured mass of float"], keys["Float held at level"]) == ("mass of float", "test level")
    assert keys["Density"] == ""


def test_a_title_holds_up_to_a_sentence_but_not_to_a_lone_tag() -> None:
    def above(*rows: list[Any]) -> tuple[str, ...]:
        found = read([*FORM[:3], ["Process"], *rows, *FORM[3:]])
        assert found is not None
        return next(one.above for one in found.properties if one.text == "Viscosity")

    assert above() == above(["V-101"]) == ("Process",)
    assert above(["one two three four five six seven eight nine ten"]) == ()


def test_a_label_of_a_float_surely_names_something_of_it() -> None:
    assert [text for text in ("Float mass", "OD", "Float size", "Fluid") if forms.names_float(text)] == [
        "Float mass",
        "OD",
    ]


# --- blocks ----------------------------------------------------------------------------------------------


def _of(n: int) -> list[list[Any]]:
    return [[name, f"LG-{n}" if name == "Tag" else f"{name} {n}"] for name in ("Fluid", "Tag", "Remarks")] + [
        ["Density", 850 + n],
        ["Service", f"drum {n}"],
    ]


def test_each_block_has_what_stands_between_its_neighbours_alone() -> None:
    for count in (2, 3):
        gauges = said([row for n in range(count) for row in _of(n)])
        assert [[*gauge.values()] for gauge in gauges] == [[row[1] for row in _of(n)] for n in range(count)]


def test_blocks_beside_each_other_begin_left_of_their_tags() -> None:
    def beside(*numbers: int) -> list[list[Any]]:
        rows: list[list[Any]] = [[], [], []]
        for n in numbers:
            rows[0] += ["Fluid", f"Oil {n}", "Tag", f"LG-{n}", ""]
            rows[1] += ["Density", 850 + n, "Viscosity", 5 + n, ""]
            rows[2] += ["Design pressure", 10 + n, "Float mass", 300 + n, ""]
        return rows

    for numbers in ((1, 2), (1, 2, 3)):
        found = read(beside(*numbers))
        assert found is not None
        assert [len(record.cells) for record in found.records] == [6] * len(numbers)
        gauges = said(beside(*numbers))
        assert [gauge["Tag"] for gauge in gauges] == [f"LG-{n}" for n in numbers]
        assert [gauge["Fluid"] for gauge in gauges] == [f"Oil {n}" for n in numbers]
        assert [gauge["Float mass"] for gauge in gauges] == [300 + n for n in numbers]


@pytest.mark.parametrize(
    ("label", "tag", "field", "made"),
    [
        ("Zorka", "V-7", "", False),
        ("Zorka", "V-7", "tag", True),
        ("Zorka", "V-7", "service", False),
        ("Tag", "V-7", "", True),
        ("Tag", "V-7", "service", False),
    ],
)
def test_a_person_says_which_label_names_the_gauge(label: str, tag: str, field: str, made: bool) -> None:
    said_of = {"Index": (Bound("Index", frozenset({1}), 1, field),)} if field else {}
    grid = sheet([[label, tag], *FORM[1:]])
    assert (next(forms.records_of(grid, Instructions(said_of)), None) is not None) is made


def test_a_value_stands_in_the_block_of_its_label() -> None:
    def row(name: str, *values: Any) -> list[Any]:
        return [name, values[0], "", name, values[1]]

    rows = [row("Tag", "LG-1", "LG-2"), row("Density", 850, 860), row("Viscosity", 5, 6)]
    blank = ["Design pressure", "", "", 55, 66]
    first, second = said([*rows, blank])
    assert "Design pressure" not in first
    assert second["Density"] == 860
    assert said([*rows, ["Design pressure", 10, "", 55, 66]])[0]["Design pressure"] == 10


# --- cases -----------------------------------------------------------------------------------------------


def test_a_name_above_values_is_a_case_and_one_above_further_labels_is_none() -> None:
    rows: list[list[Any]] = [
        ["Tag", "LG-1", "", "Float mass", 300],
        ["Fluid", "Oil", "", "Float wall", 1],
        ["Conditions", "Minimum", "Normal", "Maximum"],
        ["Density", 700, 750, 800],
        ["Viscosity", 3, 4, 5],
    ]
    (gauge,) = said(rows)
    assert gauge["operating maximum / Density"] == 800
    rows[3:] = [["Density", 700, 750, "Float diameter", 50], ["Viscosity", 3, 4, "Float length", 250]]
    (gauge,) = said(rows)
    assert (gauge["Float diameter"], gauge["Float length"]) == (50, 250)
    assert gauge["operating / Viscosity"] == 4
    rows[3] = ["Density", 700, 750, 800]
    assert said(rows)[0]["operating maximum / Density"] == 800


def test_a_label_right_of_the_names_of_cases_has_its_value() -> None:
    rows: list[list[Any]] = [
        ["Tag", "LG-1", "", "", "Float mass", 300],
        ["Fluid", "Oil"],
        ["Conditions", "Minimum", "Normal", "", "Float wall", 1],
        ["Density", 700, 750, "", "Float diameter", 50],
        ["Viscosity", 3, 4, "", "Float length", 250],
    ]
    (gauge,) = said(rows)
    assert [gauge[f"Float {name}"] for name in ("mass", "wall", "diameter", "length")] == [300, 1, 50, 250]
    assert gauge["operating minimum / Density"] == 700
    rows[2] = ["Conditions", "Minimum", "Normal", "", "Float wall"]
    assert "Float wall" not in said(rows)[0]


# --- offers ----------------------------------------------------------------------------------------------


def cases(rows: list[list[Any]]) -> list[str]:
    found = read(rows)
    assert found is not None
    return [record.case for record in found.records]


def test_offers_stand_below_the_row_that_names_them() -> None:
    above: list[list[Any]] = [
        ["Design temperature", 100],
        ["Float mass", 300],
        ["Float length", 250],
        ["Service", "drum"],
    ]
    assert cases([OFFERS[0], *above, *OFFERS[1:]]) == ["usual case", "Tenderer A", "Tenderer B"]


@pytest.mark.parametrize(("filled", "offers"), [(3, 3), (2, 1)])
def test_three_of_five_labels_of_an_offer_are_enough(filled: int, offers: int) -> None:
    rows = [*OFFERS, ["Design temperature", "degC", 100, 110, 120]]
    rows = [[*row[:4], row[4] if i < 2 + filled else ""] for i, row in enumerate(rows)]
    assert len(cases(rows)) == offers


@pytest.mark.parametrize(
    ("numbers", "offers"),
    [((3, 3, 3), 3), ((3, 3, 0), 3), ((3, 0, 0), 1), ((2, 2, 2), 3), ((2, 2, 1), 3), ((2, 1, 1), 1)],
)
def test_two_columns_of_offers_have_two_numbers_each(numbers: tuple[int, int, int], offers: int) -> None:
    rows = [
        [value if i < 2 or j < 2 or i - 2 < numbers[j - 2] else "as said" for j, value in enumerate(row)]
        for i, row in enumerate([*OFFERS[:4], OFFERS[5], OFFERS[4]])
    ]
    assert len(cases(rows)) == offers


def test_offers_are_headed_once_for_all_gauges() -> None:
    tags = [["Tag" if value == "Tag" else value for value in OFFERS[0]]]
    first = [*tags, *OFFERS[2:]]
    second = [["LG-2" if value == "LG-1" else value for value in row] for row in first]
    names = ["usual case", "Tenderer A", "Tenderer B"]
    assert cases([OFFERS[1], *first, *second]) == names * 2
    assert cases([*first, *second]) == ["", ""]


# --- rows that name columns, and tables of points --------------------------------------------------------

CHECKS: list[list[Any]] = [
    ["Density", "kg/m3", 850],
    ["Viscosity", "mPa.s", 5],
    ["Design pressure", "barg", 10],
]


def above(row: list[str]) -> tuple[str, ...]:
    """What the labels below a row belong to."""
    found = read([*FORM[:2], row, *CHECKS])
    assert found is not None
    (one,) = {one.above for one in found.properties if one.text in ("Density", "Viscosity")}
    return one


@pytest.mark.parametrize(
    ("row", "part"),
    [
        (["Float", "Unit", "Found"], ("Float",)),
        (["Float", "Unit", "Found", "Left"], ("Float",)),
        (["Float", "Unit"], ()),
        (["Zorka", "Unit", "Found"], ()),
        (["Float", "Zorka", "Found"], ()),
    ],
)
def test_the_headings_of_a_check_sheet_are_three_with_one_of_units(row: list[str], part: tuple[str]) -> None:
    """The first of them may name a part of the gauge."""
    assert above(row) == part


@pytest.mark.parametrize(
    ("heading", "names"), [("No", ["point 1 No", "point 2 No"]), ("No.", ["No. 1", "No. 2"])]
)
def test_points_are_named_by_their_heading_or_by_a_short_one_behind_them(
    heading: str, names: list[str]
) -> None:
    assert cases([*FORM, [heading, "Level mm", "Current mA"], [1, 0, 4], [2, 500, 12]]) == names


def test_a_table_of_points_ends_where_a_cell_is_no_number() -> None:
    rows = [[heading, "Level mm", "Current mA"] for heading in ("No.",)]
    assert cases([*FORM, *rows, [1, 0, 4], [2, 500, "n/a"], [3, 600, 14]]) == ["No. 1"]
    assert cases([*FORM, *rows, [1, 0, "n/a"], [2, 500, 12]]) == [""]
