"""Where the lists of a sheet stand, in memory: rows of headings, units and groups, and what is below."""

from __future__ import annotations

from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from tests.test_shapes_in_memory import GAUGES, HEADS
from xlfuncs.lists.found import Layout
from xlfuncs.lists.instructions import Bound, Instructions
from xlfuncs.lists.judge import judge
from xlfuncs.lists.layout import attempt, find_layouts

Rows = list[list[Any]]
OTHER = ["Tag", "Density", "Fluid", "Float mass", "Viscosity"]
OTHERS: Rows = [[f"LG-{n}", 850, "Oil", 300, 5] for n in range(30, 33)]
FLOATS: Rows = [["Part no.", "Mass g", "Diameter mm", "Length mm"], ["QF-1", 300, 50, 250]]


def found(rows: Rows) -> list[Layout]:
    return find_layouts(sheet(rows), Instructions())


def headings(rows: Rows) -> list[tuple[int, ...]]:
    return [one.headings for one in found(rows)]


# --- rows of headings ------------------------------------------------------------------------------------


def test_groups_above_headings_are_read_with_them() -> None:
    heads = ["Tag", "Pressure barg", "Temperature degC", "Pressure barg", "Temperature degC"]
    rows = [["", "Design", "Design", "Operating", "Operating"], heads]
    (one,) = found([*rows, *([f"LG-{n}", 10, 100, 5, 50] for n in range(4))])
    assert one.headings == (0, 1)
    assert set(one.columns) == {"tag"} | {
        f"{when}_{what}" for when in ("design", "operating") for what in ("pressure", "temperature")
    }


def test_the_headings_of_a_list_take_five_rows_at_most() -> None:
    assert headings([*[["", "Design pressure", "Density"]] * 7, HEADS, *GAUGES]) == [(3, 4, 5, 6, 7)]


def test_two_words_that_are_understood_are_tried_as_headings() -> None:
    rows: Rows = [
        ["Tag", "Density", "Zork"],
        ["", "kg/m3", "mPa.s"],
        *([f"LG-{n}", 850, 5] for n in range(4)),
    ]
    (one,) = found(rows)
    assert list(one.columns) == ["tag", "fluid_density", "viscosity"]


@pytest.mark.parametrize(("named", "rows"), [(5, (1,)), (4, (1,)), (3, (0, 1))])
def test_headings_in_another_language_over_four_fifths_of_the_columns_are_no_groups(
    named: int, rows: tuple[int, ...]
) -> None:
    above = ["Kennzeichen", "Medium", "Dichte", "Viskosität", "Auslegungsdruck"]
    assert headings([above[:named], HEADS, *GAUGES]) == [rows]


def test_units_stand_above_the_headings_too() -> None:
    (one,) = found([["", "", "kg/m3", "mPa.s", "barg"], HEADS, *GAUGES])
    assert one.headings == (0, 1)
    assert [each.unit for each in one.columns.values()] == ["", "", "kg/m3", "mPa.s", "barg"]


def test_a_list_is_worth_more_by_the_share_of_its_quantities_with_a_unit() -> None:
    plain = found([HEADS, *GAUGES])[0]
    heads = [*HEADS[:2], "Density kg/m3", "Viscosity mPa.s", HEADS[4]]
    some = found([heads, *GAUGES])[0]
    for one, share in ((plain, 0.0), (some, 2 / 3)):
        assert one.score == pytest.approx(sum(each.weight for each in one.columns.values()) + share)


@pytest.mark.parametrize(("follow", "lost"), [(True, 0.5), (False, 0.0)])
def test_headings_over_headings_lose_half_a_column(follow: bool, lost: float) -> None:
    one = attempt(sheet([HEADS, *([[*HEADS[1:], "Service"]] * follow), *GAUGES]), 0, "gauges", Instructions())
    assert one is not None
    assert one.score == pytest.approx(sum(each.weight for each in one.columns.values()) - lost)


@pytest.mark.parametrize("row", [0, 1, 6])
def test_any_row_can_be_tried_as_headings(row: int) -> None:
    one = attempt(sheet([["x"]] * row + [HEADS, *GAUGES]), row, "gauges", Instructions())
    assert one is not None
    assert one.headings == (row,)
    assert list(one.columns) == ["tag", "fluid", "fluid_density", "viscosity", "design_pressure"]


@pytest.mark.parametrize(("others", "read"), [(4, True), (5, False)])
def test_the_five_rows_with_the_most_words_are_tried(others: int, read: bool) -> None:
    words = ["Service", "Fluid", "Remarks", "Area", "Serial no.", "Density"]
    assert bool(headings([*[words, ["x"]] * others, HEADS, *GAUGES])) is read


@pytest.mark.parametrize(("columns", "kinds"), [(13, {"gauges", "floats"}), (14, {"gauges"})])
def test_an_index_of_fourteen_columns_is_not_tried_as_a_float_list(
    columns: int, kinds: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = set()

    def watched(page: Any, first: int, kind: Any, *more: Any) -> Any:
        tried.add(kind)
        return judge(page, first, kind, *more)

    monkeypatch.setattr("xlfuncs.lists.layout.judge", watched)
    cells: list[tuple[str, Any]] = [
        ("Tag", "LG-{}"), ("Fluid", "Oil"), ("Density kg/m3", 850), ("Viscosity mPa.s", 5),
        ("Service", "drum"),
        ("Design pressure barg", 10), ("Design temperature degC", 100), ("Operating pressure barg", 5),
        ("Operating temperature degC", 50), ("C-C mm", 1000), ("Visible length mm", 900), ("Area", "A{}"),
        ("Float part no.", "QF-{}"), ("Remarks", "blue"), ("Serial no.", "S{}77"),
    ]  # fmt: skip
    rows = [[name for name, _ in cells[:columns]]]
    rows += [[str(v).format(n) if isinstance(v, str) else v for _, v in cells[:columns]] for n in range(1, 5)]
    (one,) = found(rows)
    assert len(one.columns) == columns
    assert tried == kinds


# --- headings that come again ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("between", "first"),
    [
        ([["x", "Oil", 850, 5, ""], ["y", "Oil", 850, 5, ""]], True),
        ([["x", "Oil", 850, "5 mPa.s", ""]], True),
        ([["x", "Oil", 850, "", ""], ["y", "Oil", 850, "", ""]], False),
        ([["LG-9", "Oil", 850, "", ""]], True),
    ],
)
def test_of_headings_that_come_again_those_above_data_count(between: Rows, first: bool) -> None:
    """Data are a tag, or two numbers in a row."""
    assert headings([HEADS, *between, HEADS, *GAUGES]) == [(0,) if first else (len(between) + 1,)]


def test_fewer_headings_above_are_not_the_first_ones() -> None:
    between: Rows = [["x", "Oil", 850, 5, ""]] * 2
    assert headings([HEADS[:4], *between, HEADS, *GAUGES]) == [(3,)]


# --- lists below each other ------------------------------------------------------------------------------


def test_another_list_is_found_below_a_long_one() -> None:
    many: Rows = [[f"LG-{n}", "Oil", 850 + n, 5, 10] for n in range(12)]
    assert headings([HEADS, *many, [""], OTHER, *OTHERS]) == [(0,), (14,)]
    assert headings([HEADS, *many, [""], HEADS, *GAUGES]) == [(0,)]


def test_a_list_of_floats_below_an_index_is_one_of_its_own() -> None:
    assert [one.kind for one in found([HEADS, *GAUGES, [""], *FLOATS])] == ["gauges", "floats"]


def test_its_headings_are_three_that_are_understood() -> None:
    three = [FLOATS[0][:3], FLOATS[1][:3]]
    assert headings([HEADS, *GAUGES, [""], *three]) == [(0,), (6,)]
    two: Rows = [
        ["Tag", "Density", "Zork"],
        ["", "kg/m3", "mPa.s"],
        *([f"LG-{n}", 850, 5] for n in range(30, 34)),
    ]
    assert headings([HEADS, *GAUGES, [""], *two]) == [(0,)]


@pytest.mark.parametrize(("between", "lists"), [(3, 2), (4, 1)])
def test_headings_of_two_words_are_found_within_eight_rows_of_three(between: int, lists: int) -> None:
    """From two rows above the three words to the row of units."""
    two: Rows = [
        ["Tag", "Density", "Zork"],
        ["", "kg/m3", "mPa.s"],
        *([f"LG-{n}", 850, 5] for n in range(30, 34)),
    ]
    words: Rows = [[*[""] * 6, "Fluid", "Service", "Remarks"], *[["x"]] * between]
    assert len(found([HEADS, *GAUGES, [""], *words, *two])) == lists


def test_a_person_may_name_the_headings_of_a_list_near_the_end() -> None:
    rows = [HEADS, *GAUGES, [""], ["Zork", "Zeta", "Zeal"], ["LG-30", 850, 5]]
    entries = (
        Bound("Index", frozenset({7}), 1, "tag", kind="gauges"),
        Bound("Index", frozenset({7}), 2, "fluid_density", "kg/m3", kind="gauges"),
    )
    one, other = find_layouts(sheet(rows), Instructions({"Index": entries}))
    assert (one.headings, one.last, other.headings) == ((0,), 6, (6,))


@pytest.mark.parametrize(("lists", "read"), [(19, 19), (20, 20), (21, 20), (23, 20)])
def test_twenty_lists_of_a_sheet_are_read(lists: int, read: int) -> None:
    rows: Rows = []
    for n in range(lists):
        rows += [HEADS, GAUGES[0], [""]] if n % 2 == 0 else [*FLOATS, [""]]
    assert len(found(rows)) == read


@pytest.mark.parametrize(("others", "lists"), [(59, 2), (60, 1)])
def test_sixty_rows_are_tried_as_headings_of_another_list(others: int, lists: int) -> None:
    """Rows of words that make no list, before those of one."""
    words: Rows = [["x"], [*[""] * 6, "Fluid", "Service", "Remarks"]] * others
    assert len(found([HEADS, *GAUGES, *words, *[[""]] * 9, OTHER, *OTHERS])) == lists
