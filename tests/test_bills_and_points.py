"""Gauges with their parts in rows of their own, in memory: counts, shares and lengths on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.lists import bill
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.model import Column
from xlfuncs.lists.upright import Record, Records, read
from xlfuncs.spreadsheet.grid import Grid

Rows = list[list[Any]]
HEADS = ["Level", "Tag", "Description", "Density kg/m3", "Mass g"]


def gauge(n: int, *parts: list[Any]) -> Rows:
    """A gauge with its parts, of level 2."""
    return [[1, f"LG-{n}", "Level gauge", 850 + n, ""], *([2, "", *part] for part in parts)]


FLOAT = ["Float", "", 340]
CHAMBER = ["Chamber", "", ""]


def found(*rows: Sequence[Any], heads: Sequence[str] = HEADS) -> list[Records]:
    return list(bill.records_of(sheet([list(heads), *map(list, rows)])))


def told(records: Records, record: Record) -> dict[str, Any]:
    """'float / Mass g' -> the value."""
    return {
        " / ".join((*records.properties[j].above, records.properties[j].text)): place.value
        for j, place in record.cells.items()
    }


def columns(records: Records) -> dict[str, Column]:
    shaped = read(records, Instructions())
    assert shaped is not None
    return shaped.made.table.columns


# --- bills -----------------------------------------------------------------------------------------------


def test_what_stands_in_the_row_of_a_part_is_the_parts() -> None:
    (bills,) = found(*gauge(1, FLOAT, CHAMBER), *gauge(2, ["Float", "", 350]))
    assert bills.shape == "a bill with the parts of each gauge below it"
    assert told(bills, bills.records[0]) == {
        "Level": 1, "Tag": "LG-1", "Description": "Level gauge", "Density kg/m3": 851, "float / Mass g": 340,
    }  # fmt: skip
    assert bills.components == {3, 4, 6}
    assert columns(bills)["float_mass"].low.tolist() == pytest.approx([0.34, 0.35])
    assert columns(bills)["tag"].text.tolist() == ["LG-1", "LG-2"]


def test_a_part_ends_at_the_next_row_of_the_gauges_depth() -> None:
    (bills,) = found(*gauge(1, FLOAT), [1, "", "Spare", "", 77], [2, "", "Float", "", 99], *gauge(2, FLOAT))
    assert [told(bills, one)["float / Mass g"] for one in bills.records] == [340, 340]
    assert bills.components == {3, 7}
    (deeper,) = found(*gauge(1, CHAMBER), [3, "", "Float", "", 340], [2, "", "", "", 5], *gauge(2, FLOAT))
    assert told(deeper, deeper.records[0])["float / Mass g"] == 340
    assert deeper.components == {3, 4, 5, 7}


@pytest.mark.parametrize(("column", "made"), [(98, True), (99, True), (100, False), (105, False)])
def test_a_bill_stands_in_the_first_100_columns(column: int, made: bool) -> None:
    rows = [
        [*[row[0], *row[2:]], *[""] * (column - 4), row[1]] for row in (*gauge(1, FLOAT), *gauge(2, FLOAT))
    ]
    heads = [HEADS[0], *HEADS[2:], *[""] * (column - 4), "Tag"]
    assert bool(found(*rows, heads=heads)) is made


@pytest.mark.parametrize(("row", "made"), [(119, True), (120, True), (121, False), (130, False)])
def test_two_gauges_with_parts_stand_in_the_first_120_rows(row: int, made: bool) -> None:
    """`row`: that of the last part."""
    rows = [*gauge(1, FLOAT), *[[""] * 5] * (row - 5), *gauge(2, FLOAT)]
    assert len(rows) + 1 == row
    assert bool(found(*rows)) is made


@pytest.mark.parametrize(("counted", "passed"), [(15, False), (16, False), (17, True), (20, True)])
def test_a_column_that_counts_most_rows_states_nothing_of_a_part(counted: int, passed: bool) -> None:
    """Beside twenty levels: more than eight tenths."""
    rows = [row for n in range(5) for row in gauge(n, FLOAT, CHAMBER, CHAMBER)]
    numbered = [[*row, 1 + i % 9 if i < counted else ""] for i, row in enumerate(rows)]
    (bills,) = found(*numbered, heads=[*HEADS, "Zork"])
    stated = [key for key in told(bills, bills.records[0]) if key.endswith("/ Zork")]
    assert bool(stated) is not passed


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ("LG-1", True),
        ("LG1", False),
        ("Gauge LG-1 of the drum", True),
        ("LG-1 ".ljust(200, "x"), True),
        ("LG-1 ".ljust(201, "x"), False),
        ("LG-1 ".ljust(215, "x"), False),
    ],
)
def test_the_tag_of_a_gauge_stands_in_a_text_of_4_to_200_characters(text: str, tag: bool) -> None:
    rows = [[1, text, "", 850, ""], [2, "", *FLOAT], *gauge(2, FLOAT), *gauge(3, FLOAT)]
    (bills,) = found(*rows)
    assert len(bills.records) == 2 + tag


def test_what_a_cell_says_beside_the_tag_is_a_value_of_its_own() -> None:
    (bills,) = found([1, "LG-1 (naphtha drum)", "", 850, ""], [2, "", *FLOAT], *gauge(2, FLOAT))
    first = told(bills, bills.records[0])
    assert first["Tag"] == "LG-1"
    assert first["Tag (beside the tag)"] == "naphtha drum"
    assert "Tag (beside the tag)" not in told(bills, bills.records[1])


def test_a_tag_whose_row_says_magnetic_is_a_gauges() -> None:
    rows = [[1, f"LI-{n}", "Magnetic level gauge", 850, ""] for n in (1, 2)]
    plain = [[1, f"LI-{n}", "Pressure", 850, ""] for n in (1, 2)]
    part = [2, "", *FLOAT]
    assert len(found(rows[0], part, rows[1], part)) == 1
    assert found(plain[0], part, plain[1], part) == []


def test_positions_and_levels_tell_the_depth() -> None:
    for own, part in (("10", "10.1"), ("1", "1-1"), (1, 2), ("1", ".2"), ("0", "..2")):
        rows = [[own, f"LG-{n}", "", 850, ""] for n in (1, 2)]
        below = [part, "", *FLOAT]
        assert len(found(rows[0], below, rows[1], below)) == 1, (own, part)
    for own, part in (("12", "13"), ("x", "y"), ("1", "")):
        rows = [[own, f"LG-{n}", "", 850, ""] for n in (1, 2)]
        below = [part, "", *FLOAT]
        assert found(rows[0], below, rows[1], below) == [], (own, part)


def test_the_rows_below_a_gauge_are_known_as_its_parts() -> None:
    rows: Rows = [HEADS, [2, "", *FLOAT], *gauge(1, FLOAT, CHAMBER), *gauge(2, FLOAT)]
    assert bill.below_gauges(rows) == {3, 4, 6}
    assert bill.below_gauges(rows[:4]) == frozenset()


def test_the_nearest_row_with_most_known_headings_heads_a_bill() -> None:
    other: Rows = [
        ["Tag", "Density", "Viscosity", "", ""],
        ["Level", "Tag", "Description", "Density", "Mass g"],
    ]
    rows = [*gauge(1, FLOAT), *gauge(2, FLOAT)]
    (bills,) = bill.records_of(sheet([*other, *rows]))
    assert {one.row for one in bills.properties} == {2}
    (bills,) = bill.records_of(sheet([other[1], other[0], *rows]))
    assert {one.row for one in bills.properties} == {1}
    (bills,) = bill.records_of(sheet([other[0], *rows]))
    assert {one.row for one in bills.properties} == {1}


@pytest.mark.parametrize(
    ("above", "line"), [(["Zorka", "Zorkb", "Zorkc"], 2), (["Zorka", "Zorkb", " "], 1), (["Zorka", 5, 6], 1)]
)
def test_strange_headings_are_three_texts_right_above(above: list[Any], line: int) -> None:
    rows = [*gauge(1, FLOAT), *gauge(2, FLOAT)]
    (bills,) = bill.records_of(sheet([["Zorkd", "Zorke", "Zorkf", "Zorkg"], above, *rows]))
    assert {one.row for one in bills.properties} == {line}


# --- what a row of a part states -------------------------------------------------------------------------

OF_PARTS = ["Level", "Tag", "Description", "Qty", "Limit mm", "Unit", "Material"]


def part_row(*row: Any, heads: Sequence[str] = OF_PARTS) -> dict[str, Any]:
    """What is told of a gauge with one more part."""
    gauges = [[1, f"LG-{n}", *[""] * (len(heads) - 2)] for n in (1, 2)]
    plain = [2, "", "Chamber", *[""] * (len(heads) - 3)]
    (bills,) = found(gauges[0], plain, [2, *row], gauges[1], plain, heads=heads)
    fields = {}
    for j, place in bills.records[0].cells.items():
        one = bills.properties[j]
        fields[one.known or " / ".join((*one.above, one.text))] = (
            place.value,
            bills.records[0].units.get(j, ""),
        )
    return fields


def test_the_only_number_of_a_switch_is_its_set_point() -> None:
    switch = part_row("LSH-1", "Switch high", "", 800, "", "")
    assert switch["switch_lsh"] == (800, "")
    counted = part_row("LSH-1", "Switch high", 2, 800, "", "")
    assert counted["switch_lsh"] == (800, "")
    unit = part_row("LSH-1", "", "", 80, "%", "")
    assert unit["switch_lsh"] == (80, "%")
    named = part_row("", "High alarm switch", "", 700, "mm", "")
    assert named["switch_lsh"] == (700, "mm")
    span = part_row("LT-1", "", "", "0-1000", "mm", "")
    assert span["transmitter_range"] == ("0-1000", "mm")
    words = part_row("", "Transmitter", "", "0-1000", "mm", "")
    assert words["transmitter_range"] == ("0-1000", "mm")


@pytest.mark.parametrize(
    ("text", "unit", "metres"),
    [("800", "", 0.8), ("800 mm", "", 0.8), ("0,8 m", "", 0.8), ('31.5"', "", 0.8001), ("80", "cm", 0.8),
     ("32 in", "mm", 0.8128)],
)  # fmt: skip
def test_a_set_point_kept_as_text_is_one(text: str, unit: str, metres: float) -> None:
    rows = [
        row
        for n in (1, 2)
        for row in ([1, f"LG-{n}", "", 850, "", ""], [2, f"LSH-{n}", "Switch", "", text, unit])
    ]
    (bills,) = found(*rows, heads=["Level", "Tag", "Description", "Density kg/m3", "Limit mm", "Unit"])
    assert columns(bills)["switch_lsh"].low.tolist() == pytest.approx([metres, metres])


def test_a_number_kept_as_text_is_no_set_point_below_another_heading() -> None:
    heads = ["Level", "Tag", "Serial no.", "Zork"]
    assert "switch_lsh" not in part_row("LSH-1", "4711", "", heads=heads)
    assert "switch_lsh" not in part_row("LSH-1", "", "800", heads=heads)
    heads = ["Level", "Tag", "Serial no.", "Limit mm"]
    assert "switch_lsh" not in part_row("LSH-1", "", "see data sheet", heads=heads)
    assert part_row("LSH-1", "4711", "800", heads=heads)["switch_lsh"] == ("800", "")


def test_of_several_numbers_that_beside_the_unit_or_below_a_limit_is_the_set_point() -> None:
    heads = ["Level", "Tag", "Zork", "Limit mm", "Zeta", "Unit"]
    assert part_row("LSH-1", 7, 800, 5, "mm", heads=heads)["switch_lsh"] == (5, "mm")
    heads = ["Level", "Tag", "Zork", "Limit mm", "Zeta"]
    assert part_row("LSH-1", 7, 800, "x", heads=heads)["switch_lsh"] == (800, "")
    heads = ["Level", "Tag", "Zork", "Zeta", "Zeal"]
    assert "switch_lsh" not in part_row("LSH-1", 7, 800, "x", heads=heads)


def test_a_heading_for_several_kinds_of_rows_is_read_by_its_piece() -> None:
    heads = ["Level", "Tag / part no.", "Description", "Mass g", "Zork"]
    rows = [[1, f"LG-{n}", "Level gauge", "", ""] for n in (1, 2)]
    (bills,) = found(
        rows[0], [2, "QF-1", "Float", 340, ""], rows[1], [2, "QF-2", "Float", 350, ""], heads=heads
    )
    assert [one.key for one in bills.properties if one.above and one.text == "Tag / part no."] == ["part no."]
    assert columns(bills)["float_part"].text.tolist() == ["QF-1", "QF-2"]
    (bills,) = found(rows[0], [2, "QF-1", "Float", 340, ""], rows[1], [2, "QF-2", "Float", 350, ""],
                     heads=[heads[0], "Part no.", *heads[2:]])  # fmt: skip
    assert [one.key for one in bills.properties if one.above and one.text == "Part no."] == [""]


# --- points ----------------------------------------------------------------------------------------------

POINTS = ["Gauge", "Tag", "Alarm", "Limit mm"]


def points(*rows: Sequence[Any], heads: Sequence[str] = POINTS) -> list[Records]:
    return [one for one in found(*rows, heads=heads) if one.shape.startswith("a row for each")]


def of(n: int, *parts: str, act: str = "") -> Rows:
    return [[f"LG-{n}", part, act, 100 * k] for k, part in enumerate(parts, 1)]


def test_rows_that_name_their_gauge_are_its_points() -> None:
    (one,) = points(*of(1, "LT-1", "LSH-1"), *of(2, "LT-2", "LSL-2"))
    known = [{one.properties[j].known: place.value for j, place in r.cells.items()} for r in one.records]
    assert [(r["tag"], r.get("switch_lsh"), r.get("switch_lsl")) for r in known] == [
        ("LG-1", 200, None), ("LG-2", None, 200),
    ]  # fmt: skip
    assert one.components == {2, 3, 4, 5}


@pytest.mark.parametrize(
    ("gauges", "rows", "made"), [(2, 3, True), (4, 6, True), (3, 4, False), (5, 8, True)]
)
def test_there_are_one_and_a_half_rows_for_each_gauge(gauges: int, rows: int, made: bool) -> None:
    more = rows - gauges
    every = [row for n in range(gauges) for row in of(n, f"LT-{n}", *[f"LSH-{n}"] * (n < more))]
    assert bool(points(*every)) is made


@pytest.mark.parametrize(("named", "made"), [(3, True), (2, False)])
def test_six_tenths_of_the_rows_are_of_a_transmitter_or_switch(named: int, made: bool) -> None:
    """Of five, the rest of other parts."""
    parts = ["LT-1", "LSH-1", "LSL-1"][:named] + ["Chamber", "Insulation", "Flange"][: 5 - named]
    assert bool(points(*of(1, *parts), *of(2, *parts))) is made


@pytest.mark.parametrize(
    ("parts", "made"),
    [
        (("LT-1", "LSH-1", "LSL-1", "LSHH-1", "LT-2"), True),
        (("LT-1", "LSH-1", "LSL-1", "LT-2"), False),
        (("LT-1", "LSH-1", "LSH-2"), False),
    ],
)
def test_eight_tenths_of_the_rows_of_a_gauge_are_of_different_parts(
    parts: tuple[str, ...], made: bool
) -> None:
    assert bool(points(*of(1, *parts), *of(2, *parts))) is made
    assert bool(points(*of(1, *parts), *of(2, *parts), *of(3, "LT-3"))) is made, (
        "those with one row do not count"
    )


@pytest.mark.parametrize(
    ("first", "second", "made"),
    [
        ("HH", "L", True),
        ("HiHi", "LO-LO", True),
        ("High level", "Low level", True),
        ("High level alarm, panels", "Low level alarm on panel", True),
        ("High level alarm of gauge", "Low level alarm on panel1", False),
        ("HH", "HH", False),
        ("blue", "red", False),
    ],
)
def test_a_column_names_the_act_of_each_alarm(first: str, second: str, made: bool) -> None:
    rows = [[f"LG-{n}", f"XS-{n}{k}", act, 500 + k] for n in (1, 2) for k, act in enumerate((first, second))]
    assert bool(points(*rows)) is made


def test_acts_stand_in_six_tenths_of_the_texts_of_their_column() -> None:
    def of_acts(*acts: str) -> set[str]:
        others = iter(("LT-7", "Chamber", "Flange", "LT-8", "Chamber", "Flange"))
        rows = [
            [f"LG-{n}", next(others) if act in ("blue", "red", "grey") else f"XS-{n}{k}", act, 500 + k]
            for n in (1, 2)
            for k, act in enumerate(acts)
        ]
        return {one.known for found in points(*rows) for one in found.properties} & set(SWITCHES)

    assert of_acts("HH", "H", "L", "blue", "red") == {"switch_lshh", "switch_lsh", "switch_lsl"}
    assert of_acts("HH", "H", "L", "LL", "blue", "red", "grey") == set(), "four of seven"


SWITCHES = ["switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh"]


def test_the_act_counts_before_the_letters_of_the_tag() -> None:
    rows = [[f"LG-{n}", f"LT-{n}{k}", act, 500 + k] for n in (1, 2) for k, act in enumerate(("HH", "L"))]
    (one,) = points(*rows)
    assert [each.known for each in one.properties if each.known] == ["tag", "switch_lshh", "switch_lsl"]


@pytest.mark.parametrize(("rows", "made"), [(20_000, True), (20_001, False), (21_000, False)])
def test_a_sheet_of_more_than_20_000_rows_is_no_bill(rows: int, made: bool) -> None:
    small = sheet([HEADS, *gauge(1, FLOAT), *gauge(2, FLOAT)])
    values = np.full((rows, small.values.shape[1]), "", dtype=object)
    values[:5] = small.values
    assert bool(list(bill.records_of(Grid.block("Index", values)))) is made
