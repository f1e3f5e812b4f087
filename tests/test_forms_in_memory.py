"""Labels, their values, the blocks of several gauges and the cases of a form, in memory: counts and shares on
both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import STRANGE, sheet
from xlfuncs.lists import forms
from xlfuncs.lists.form_cases import bound_of
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.upright import Records

Rows = Sequence[Sequence[Any]]
FORM: list[list[Any]] = [
    ["Tag", "LG-1"],
    ["Fluid", "Oil"],
    ["Density", 850, "kg/m3"],
    ["Viscosity", 5, "mPa.s"],
    ["Design pressure", 10, "barg"],
]


def read(rows: Rows, way: str = "right of") -> Records | None:
    found = [one for one in forms.records_of(sheet(rows), Instructions()) if way in one.shape]
    return found[0] if found else None


def said(rows: Rows, way: str = "right of") -> list[dict[str, Any]]:
    """What is said of each gauge: name of a property -> value, its unit behind it where there is one."""
    found = read(rows, way)
    if found is None:
        return []
    names = [" / ".join((*one.above, one.text)) for one in found.properties]
    return [
        {
            names[j]: (place.value, record.units[j]) if record.units.get(j) else place.value
            for j, place in record.cells.items()
        }
        for record in found.records
    ]


def test_a_form_has_four_labels_that_are_understood() -> None:
    (gauge,) = said(FORM)
    assert gauge["Density"] == (850, "kg/m3")
    assert gauge["Tag"] == "LG-1"
    assert said(FORM[:4])
    bare = [row[:2] for row in (FORM[0], *FORM[2:])]
    assert said([*bare[:2], ["Zorka", "x"]]) == [], "of which the tag is one"
    assert said([*bare[:3], ["Zorka", "x"]])
    assert said([["Tag", "V-1"], *FORM[1:]])[0]["Tag"] == "V-1"
    assert said([["Tag", "drum"], *FORM[1:]]) == []


@pytest.mark.parametrize(("blank", "value"), [(0, 850), (9, 850), (10, None), (11, None)])
def test_a_value_stands_within_ten_columns_of_its_label(blank: int, value: float | None) -> None:
    rows = [*FORM[:2], ["Density", *[""] * blank, 850], *FORM[3:]]
    assert said(rows)[0].get("Density") == value


def test_a_text_with_a_colon_or_beside_a_tag_is_a_label_wherever_it_stands() -> None:
    assert "Zorka" in said([*FORM, ["", "", "", "", "Zorka:", "dark"]])[0]
    assert "Zorka" not in said([*FORM, ["", "", "", "", "Zorka", "dark"]])[0]
    assert said([["", "", "", "Tag", "LG-1"], *FORM[1:]])[0]["Tag"] == "LG-1"


@pytest.mark.parametrize(("own", "taken"), [(1, False), (2, True), (3, True)])
def test_a_column_of_labels_has_two_that_are_understood(own: int, taken: bool) -> None:
    rows = [list(row) for row in FORM]
    for n, name in enumerate(["Float mass", "Float diameter", "Float length"][:own]):
        rows[n + 1] += [""] * (4 - len(rows[n + 1])) + [name, 100 + n]
    gauge = said(rows)[0]
    assert ("Float mass" in gauge) is taken


@pytest.mark.parametrize(("labels", "taken"), [(8, True), (9, False), (12, False)])
def test_a_column_of_labels_has_a_quarter_of_those_of_the_fullest(labels: int, taken: bool) -> None:
    names = ["Tag", *(f"Switch {n} density" for n in range(labels - 1))]
    rows = [[name, "LG-1" if name == "Tag" else n, ""] for n, name in enumerate(names)]
    rows[1] += ["Float mass", 5]
    rows[2] += ["Float diameter", 6]
    assert ("Float mass" in said(rows)[0]) is taken


def test_values_below_their_labels() -> None:
    rows: list[list[Any]] = [
        ["Tag", "Fluid", "Density"],
        ["LG-1", "Oil", 850],
        ["Viscosity", "Design pressure"],
        [5, 10],
    ]
    (gauge,) = said(rows, "below")
    assert gauge == {"Tag": "LG-1", "Fluid": "Oil", "Density": 850, "Viscosity": 5, "Design pressure": 10}
    far: Rows = [rows[0], [""], [""], rows[1], *rows[2:]]
    assert "Tag" not in (said(far, "below") or [{}])[0]
    near: Rows = [rows[0], [""], rows[1], *rows[2:]]
    assert said(near, "below")[0]["Tag"] == "LG-1"


@pytest.mark.parametrize(("others", "named"), [(2, True), (3, False)])
def test_six_tenths_of_a_row_of_labels_are_understood(others: int, named: bool) -> None:
    rows: Rows = [["Tag", "Fluid", "Density", *STRANGE[:others]], ["LG-1", "Oil", 850, *["x"] * others],
            ["Viscosity"], [5]]  # fmt: skip
    assert bool(said(rows, "below")) is named


BOXES: list[list[Any]] = [["Design temperature", "Float mass", "Float length"], [120, 300, 250]]


@pytest.mark.parametrize(
    ("heads", "values", "over"),
    [
        (BOXES[0], BOXES[1], True),
        (BOXES[0][:2], BOXES[1][:2], True),
        (BOXES[0][:1], BOXES[1][:1], False),
        (BOXES[0], [120, 300], True),
        (BOXES[0], [120], False),
        ([*BOXES[0], "Zorka"], [120, 300, 250, 5], True),
        ([*BOXES[0], "Float diameter", "Zorka"], [120, 300, 250, 5, 5], False),
        ([*BOXES[0][:2], "Zorka", "Zorkb"], [120, 300, 250, 5], False),
        ([*BOXES[0], 7], [*BOXES[1], 8], False),
        (BOXES[0], ["Viscosity", "Density", 5], False),
        (BOXES[0], [*BOXES[1], 5, 7], False),
    ],
)
def test_a_row_of_boxes_stands_over_its_values_in_a_form(
    heads: list[Any], values: list[Any], over: bool
) -> None:
    gauge = said([*FORM, heads, values])[0]
    assert (gauge.get("Design temperature") == 120) is over


def test_two_rows_of_values_are_a_table_and_no_boxes() -> None:
    assert "Float mass" in said([*FORM, *BOXES, [""]])[0]
    assert "Float mass" not in said([*FORM, *BOXES, [130, 310, 260]])[0]
    assert "Float mass" not in said([*FORM, *BOXES, [130, 310, ""]])[0]
    assert "Float mass" in said([*FORM, *BOXES, [130, "", ""]])[0]


# --- several gauges --------------------------------------------------------------------------------------


def _block(n: int) -> list[list[Any]]:
    return [[name, f"LG-{n}" if name == "Tag" else value, *unit] for name, value, *unit in FORM]


def test_gauges_below_each_other_and_beside_each_other_have_blocks_of_their_own() -> None:
    below = [*_block(1), *_block(2)]
    assert [gauge["Tag"] for gauge in said(below)] == ["LG-1", "LG-2"]
    headed = [["Service", "feed"], *_block(1), ["Service", "drain"], *_block(2)]
    assert [gauge["Service"] for gauge in said(headed)] == ["feed", "drain"]
    beside = [
        [*(one + [""] * (3 - len(one))), "", *other] for one, other in zip(_block(1), _block(2), strict=True)
    ]
    assert [gauge["Tag"] for gauge in said(beside)] == ["LG-1", "LG-2"]
    assert all(gauge["Density"] == (850, "kg/m3") for gauge in said(beside))


def test_what_stands_above_one_tag_alone_is_not_of_its_block() -> None:
    rows = [["Title of all"], ["Service", "feed"], *_block(1), ["Remarks", "old"], *_block(2)]
    first, second = said(rows)
    assert "Service" not in second
    assert second["Tag"] == "LG-2"
    assert first["Tag"] == "LG-1"


def test_tags_that_are_titles_head_blocks_of_five_labels() -> None:
    def titled(*tags: str, labels: int = 5, beside: Sequence[str] = ()) -> list[str]:
        rows: list[list[Any]] = []
        body = [*FORM[1:], ["Float mass", 300], ["Float length", 250]][:labels]
        for tag in tags:
            rows += [[tag, *beside], *body]
        return [gauge.get("Tag", "") for gauge in said(rows)]

    assert titled("LG-1", "LG-2") == ["LG-1", "LG-2"]
    assert titled("LG-1") == []
    assert titled("LG-1", "LG-2", labels=4) == []
    assert titled("LG-1", "LG-2", labels=6) == ["LG-1", "LG-2"]
    assert titled("LG-1", "LG-2", beside=["x", "y"]) == ["LG-1", "LG-2"]
    assert titled("LG-1", "LG-2", beside=["x", "y", "z"]) == []
    assert titled("LG-1", "LG-2", "LG-2") == []
    assert titled("PT-1", "PT-2") == []


def test_labels_of_one_name_with_tags_beside_them_name_the_gauges() -> None:
    def of(*pairs: tuple[str, str]) -> list[str]:
        rows: list[list[Any]] = []
        for name, value in pairs:
            rows += [[name, value], *FORM[1:]]
        return [next((v for v in gauge.values() if str(v).startswith("LG")), "") for gauge in said(rows)]

    assert of(("Zorka:", "LG-1"), ("Zorka:", "LG-2")) == ["LG-1", "LG-2"]
    assert of(("Zorka:", "LG-1"), ("Zorkb:", "LG-2")) == []
    assert of(("Zorka:", "LG-1"), ("Zorka:", "blue")) == []


# --- cases -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "bound"),
    [
        ("Minimum", "minimum"),
        ("Normal", "normal"),
        ("Max.", "maximum"),
        ("Design", "design"),
        ("Operating", "normal"),
        ("Maximum operating", "maximum"),
        ("Cold", ""),
        ("Maximum density", None),
        ("Maximum ambient", "maximum"),
        ("blue", None),
        ("max of all", "maximum"),
        ("max of all zork", None),
    ],
)
def test_a_bound_is_named_in_three_words_and_nothing_else(text: str, bound: str | None) -> None:
    assert bound_of(text) == bound


CASES: list[list[Any]] = [
    ["Tag", "LG-1"],
    ["Fluid", "Oil"],
    ["Conditions", "Minimum", "Normal", "Maximum"],
    ["Density", 700, 750, 800, "kg/m3"],
    ["Viscosity", 3, 4, 5, "mPa.s"],
]


def test_values_below_bounds_are_those_of_the_bounds() -> None:
    (gauge,) = said(CASES)
    assert {name: value for name, value in gauge.items() if "ensity" in name} == {
        "operating minimum / Density": (700, "kg/m3"),
        "operating / Density": (750, "kg/m3"),
        "operating maximum / Density": (800, "kg/m3"),
    }
    two = [*CASES[:2], ["Conditions", "Minimum", "Maximum"], ["Density", 700, 800], ["Viscosity", 3, 5]]
    assert said(two)[0]["operating maximum / Density"] == 800
    one = [*CASES[:2], ["Conditions", "Maximum"], ["Density", 800], ["Viscosity", 3]]
    assert said(one)[0]["Density"] == 800


@pytest.mark.parametrize(
    ("row", "name"),
    [
        (["Design pressure", 5, "", ""], "Design pressure"),
        (["Design pressure", "", 5, ""], "operating / Design pressure"),
        (["Design pressure", 5, 6, ""], "operating minimum / Design pressure"),
    ],
)
def test_a_lone_value_below_the_first_bound_is_of_none(row: list[Any], name: str) -> None:
    assert said([*CASES, row])[0][name] == 5


def test_a_case_with_a_name_of_its_own_stands_beside_the_normal_one() -> None:
    rows = [
        *CASES[:2],
        ["Conditions", "Minimum", "Normal", "Cold"],
        ["Density", 700, 750, 790],
        ["Viscosity", 3, 4, 9],
    ]
    found = read(rows)
    assert found is not None
    assert [record.case for record in found.records] == ["Normal", "Cold"]
    usual, cold = said(rows)
    assert cold["operating / Density"] == 790
    assert usual["operating / Density"] == 750
    rows[-1] = ["Viscosity", 3, 4, "noted"]
    assert said(rows)[1]["operating / Viscosity"] == 4


OFFERS: list[list[Any]] = [
    ["Tag", "LG-1", "", "", ""],
    ["Item", "Unit", "Specified", "Tenderer A", "Tenderer B"],
    ["Density", "kg/m3", 850, 850, 850],
    ["Viscosity", "mPa.s", 5, 5, 5],
    ["Fluid", "", "Oil", "Oil", "Oil"],
    ["Design pressure", "barg", 10, 12, 14],
]


@pytest.mark.parametrize(
    ("blank", "offers"),
    [((), 3), (((5, 4),), 3), (((5, 4), (4, 4)), 2), (((5, 4), (4, 4), (3, 4)), 2)],
)
def test_offers_fill_six_tenths_of_their_columns(blank: Sequence[tuple[int, int]], offers: int) -> None:
    """Of four labels."""
    rows = [list(row) for row in OFFERS]
    for i, j in blank:
        rows[i][j] = ""
    values = {str(value) for gauge in said(rows) for value in gauge.values()}
    found = read(rows)
    assert found is not None
    assert (len(found.records) > 1) is (offers == 3), values


def test_a_table_of_points_gives_a_case_for_each_of_its_rows() -> None:
    rows = [*FORM, ["%", "Level mm", "Current mA"], [0, 0, 4], [50, 500, 12], [100, 1000, 20]]
    found = read(rows)
    assert found is not None
    assert [record.case for record in found.records] == ["point 0 %", "point 50 %", "point 100 %"]
    named = [*FORM, ["Point", "Level mm", "Current mA"], [1, 0, 4], [2, 500, 12]]
    again = read(named)
    assert again is not None
    assert [record.case for record in again.records] == ["Point 1", "Point 2"]
    without = read([*FORM, ["%", "Level mm", "Zorka"], [0, 0, 4], [50, 500, 12]])
    assert without is not None
    assert len(without.records) == 1


def test_a_title_belongs_to_what_follows_and_a_sentence_does_not() -> None:
    def above(title: str) -> list[tuple[str, ...]]:
        found = read([*FORM[:3], [title], *FORM[3:]])
        assert found is not None
        return [one.above for one in found.properties if one.text == "Viscosity"]

    assert above("Process") == [("Process",)]
    assert above("one two three four five six seven eight nine") != [()]
    assert above("one two three four five six seven eight nine ten") == [()]
