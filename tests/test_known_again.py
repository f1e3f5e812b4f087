"""A reading that a person has corrected, found again in a workbook whose sheets and columns have moved."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.binding import Binder, Column, Seen
from xlfuncs.lists.instructions import SaidColumn, SaidList
from xlfuncs.lists.known_again import KnownAgain
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import Kind

HEADS = ["Tag", "Zorka", "Zorkb", "Zorkc"]


def grid(name: str, heads: Sequence[str]) -> Grid:
    made = sheet([list(heads), *([f"LG-{n}", *[n] * (len(heads) - 1)] for n in range(1, 4))])
    made.sheet = name
    return made


def seen(name: str, heads: Sequence[str], kind: Kind = "gauges", labels: bool = False) -> Seen:
    """A list that was found by itself: its headings in row 1, or labels down column A."""
    taken = {"Tag": "tag", "Fluid": "fluid"}
    columns = [
        Column(j if labels else 1, 1 if labels else j, text, taken.get(text, ""))
        for j, text in enumerate(heads, 1)
    ]
    return Seen(0, name, kind, () if labels else (1,), 4, columns, 1)


def listed(sheet_name: str, *columns: tuple[str, str, str | None], **more: Any) -> SaidList:
    """(letter, heading, field) of each column."""
    every = tuple(SaidColumn(*column, said=f"{column[0]} {column[1]}") for column in columns)
    return SaidList(
        sheet_name, more.pop("kind", "gauges"), every, said=f"list {sheet_name}", file="R.toml", **more
    )


def found(
    lists: Sequence[SaidList], *there: Seen, grids: Sequence[Grid] = ()
) -> tuple[list[tuple[str, int, str]], list[str]]:
    """((sheet, column, field) of what was bound, what is missing)."""
    every = list(grids) or [grid(one.sheet, [column.heading for column in one.columns]) for one in there]
    binder = Binder([every], ["book.xlsx"], there)
    KnownAgain(binder).read(lists)
    return [(one.sheet, one.col, one.field) for _, one in binder.bound], binder.missing


# --- lists -----------------------------------------------------------------------------------------------


def test_a_column_is_known_by_sheet_and_heading_wherever_it_stands() -> None:
    said = listed("One", ("A", "Tag", "tag"), ("B", "Zorka", "viscosity"), ("C", "Zorkb", ""))
    assert found([said], seen("One", ["Zorkb", "Tag", "Zorka"])) == (
        [("One", 2, "tag"), ("One", 3, "viscosity"), ("One", 1, "")],
        [],
    )


def test_of_a_column_that_is_undecided_nothing_is_said() -> None:
    said = listed("One", ("A", "Tag", "tag"), ("B", "Zorka", None))
    assert found([said], seen("One", HEADS))[0] == [("One", 1, "tag")]


def test_a_list_on_a_renamed_sheet_is_known_by_its_headings() -> None:
    said = listed("Old", ("A", "Tag", "tag"), ("B", "Zorka", "viscosity"))
    assert found([said], seen("New", HEADS))[0] == [("New", 1, "tag"), ("New", 2, "viscosity")]
    with pytest.raises(XlfuncsError, match="it is the reading of another"):
        found([said], seen("New", ["Zeta", "Zeal"]))
    with pytest.raises(XlfuncsError, match="it is the reading of another"):
        found([said], seen("Old", HEADS, "floats"), grids=[grid("Old", ["Zeta", "Zeal"])])


def test_a_reading_that_says_nothing_is_of_any_workbook() -> None:
    assert found([listed("Old", ("A", "Zeta", None))], seen("New", HEADS))[0] == []
    assert found([listed("Old", ("A", "Zeta", "tag"), shape="a form")], seen("New", HEADS))[0] == []
    assert found([], seen("New", HEADS)) == ([], [])


def test_of_two_lists_the_one_on_its_sheet_counts_before_the_one_with_more_of_its_headings() -> None:
    said = listed("One", ("A", "Tag", "tag"), ("B", "Zorka", "viscosity"), ("C", "Zorkb", "area"))
    one, other = seen("One", ["Tag", "Zorka", "Zeta"]), seen("Two", ["Tag", "Zorka", "Zorkb"])
    assert {name for name, *_ in found([said], other, one)[0]} == {"One", "Two"}, "the third is found there"
    assert found([said], other, one)[0][:2] == [("One", 1, "tag"), ("One", 2, "viscosity")]


@pytest.mark.parametrize(("same", "taken"), [(4, True), (3, False), (5, True)])
def test_a_list_goes_on_with_four_fifths_of_its_headings(same: int, taken: bool) -> None:
    heads = ["Tag", "Zorka", "Zorkb", "Zorkc", "Zorkd"]
    said = listed("One", *(("ABCDE"[j], text, "viscosity" if j == 1 else "") for j, text in enumerate(heads)))
    other = seen("Two", [*heads[:same], *["Zeta", "Zeal"][: 5 - same]])
    where = {name for name, *_ in found([said], seen("One", heads), other)[0]}
    assert where == ({"One", "Two"} if taken else {"One"})


def test_each_list_is_that_of_one_list_of_the_reading() -> None:
    lists = [
        listed(name, ("A", "Tag", "tag"), ("B", "Zorka", field))
        for name, field in (("One", "area"), ("Two", ""))
    ]
    bound, _ = found(lists, seen("One", HEADS[:2]), seen("Two", HEADS[:2]))
    assert bound == [("One", 1, "tag"), ("One", 2, "area"), ("Two", 1, "tag"), ("Two", 2, "")]


# --- columns ---------------------------------------------------------------------------------------------


def test_columns_of_one_heading_are_told_apart_by_their_order_else_by_their_letter() -> None:
    there = seen("One", ["Tag", "Zorka", "Zorka"])
    both = listed("One", ("C", "Zorka", "viscosity"), ("B", "Zorka", "area"))
    assert found([both], there)[0] == [("One", 2, "viscosity"), ("One", 3, "area")]
    assert found([listed("One", ("C", "Zorka", "viscosity"))], there)[0] == [("One", 3, "viscosity")]
    assert found([listed("One", ("B", "Zorka", "viscosity"))], there)[0] == [("One", 2, "viscosity")]


def test_a_heading_that_moved_to_another_sheet_is_found_where_one_list_of_its_kind_has_it() -> None:
    said = listed("One", ("A", "Tag", "tag"), ("B", "Zorka", "viscosity"))
    one, other = seen("One", ["Tag", "Zeta", "Zeal"]), seen("Two", ["Zorka", "Zulu"])
    assert found([said], one, other)[0] == [("One", 1, "tag"), ("Two", 1, "viscosity")]
    twice = found([said], one, other, seen("Three", ["Zorka", "Zany"]))
    assert twice[0][0] == ("One", 1, "tag")
    assert not {"Two", "Three"} & {name for name, *_ in twice[0]}
    floats = seen("Two", ["Zorka", "Zulu"], "floats")
    assert {name for name, *_ in found([said], one, floats)[0]} == {"One"}


def test_a_heading_that_was_reworded_is_taken_by_its_letter_and_told() -> None:
    said = listed("One", ("A", "Tag", "tag"), ("B", "Zorka", "viscosity"))
    bound, missing = found([said], seen("One", ["Tag", "Zeta", "Zeal"]))
    assert bound == [("One", 1, "tag"), ("One", 2, "viscosity")]
    assert ["stands no more on 'One'" in text for text in missing] == [True]
    bound, missing = found([listed("One", ("A", "Tag", "tag"), ("B", "", "area"))], seen("One", ["Tag", ""]))
    assert (bound, missing) == ([("One", 1, "tag"), ("One", 2, "area")], [])
    named = listed("One", ("A", "Tag", "tag"), ("B", "Zorka", "viscosity"), ("C", "Zeta", ""))
    bound, missing = found([named], seen("One", ["Tag", "Zeta", "Zeal"]))
    assert bound == [("One", 1, "tag"), ("One", 2, "")], "its letter is that of another one of the reading"
    assert ["stands nowhere on 'One'" in text for text in missing] == [True]


def test_a_column_that_is_gone_is_told_once_for_lists_alike() -> None:
    said = listed(
        "Old",
        ("A", "Tag", "tag"),
        ("B", "Zorka", ""),
        ("C", "Zorkb", ""),
        ("D", "Zorkc", ""),
        ("J", "Zeta", "area"),
    )
    bound, missing = found([said], seen("One", HEADS), seen("Two", HEADS))
    assert {name for name, *_ in bound} == {"One", "Two"}
    assert ["stands nowhere in this workbook" in text for text in missing] == [True]


@pytest.mark.parametrize(
    ("letters", "used"), [("B2 B3 C", False), ("B2 B C", True), ("B2 C", True), ("B2", False)]
)
def test_of_a_list_in_another_shape_what_was_said_of_cells_does_not_count(letters: str, used: bool) -> None:
    """Where a shape was said, and more than half was said of cells."""
    columns = [(letter, text, "area") for letter, text in zip(letters.split(), HEADS[1:], strict=False)]
    bound, missing = found([listed("One", *columns, shape="a list")], seen("One", HEADS))
    assert bool(bound) is used
    assert any("written for another shape" in text for text in missing) is not used
    assert found([listed("One", *columns)], seen("One", HEADS))[0]
    labels = seen("One", HEADS, labels=True)
    assert bool(found([listed("One", ("A2", "Zorka", "area"), shape="a form")], labels)[0])
    assert not found([listed("One", ("A", "Zorka", "area"), shape="a form")], labels)[0]


# --- what was said where somebody has not said yet --------------------------------------------------------


def test_what_was_said_of_a_heading_holds_on_other_sheets_where_nobody_has_said() -> None:
    one, other = ("A", "Tag", "tag"), ("B", "Zorka", None)
    lists = [listed("One", one, ("B", "Zorka", "viscosity")), listed("Two", one, other)]
    there = seen("One", HEADS[:2]), seen("Two", HEADS[:2])
    assert found(lists, *there)[0][2:] == [("Two", 1, "tag"), ("Two", 2, "viscosity")]
    third = [*lists, listed("Three", one, ("B", "Zorka", "area"))]
    assert ("Two", 2, "viscosity") not in found(third, *there, seen("Three", HEADS[:2]))[0], "not the same"
    taken = [lists[0], listed("Two", one, other, ("C", "Zorkb", "viscosity"))]
    bound = found(taken, there[0], seen("Two", HEADS[:3]))[0]
    assert bound[2:] == [("Two", 1, "tag"), ("Two", 3, "viscosity")], "which has one already"


def test_what_was_said_of_a_heading_that_is_understood_holds_on_its_own_sheet() -> None:
    lists = [listed("One", ("B", "Fluid", "area")), listed("Two", ("B", "Fluid", None))]
    heads = ["Tag", "Fluid"]
    assert found(lists, seen("One", heads), seen("Two", heads))[0] == [("One", 2, "area")]


# --- lists that were not found by themselves ---------------------------------------------------------------


def test_a_list_that_was_not_found_stands_under_the_row_with_most_of_its_headings() -> None:
    plain = grid("One", HEADS)
    said = listed("One", ("A", "Zorka", "area"), ("B", "Zorkb", "viscosity"), ("C", "Zeta", "remarks"))
    bound, missing = found([said], grids=[plain])
    assert bound == [("One", 2, "area"), ("One", 3, "viscosity")]
    assert ["no such heading in row 1 of 'One'" in text for text in missing] == [True]
    rows = sheet([["", "Zorka", ""], ["x", "y", "z"], ["Zorkb", "Zorka", ""]])
    rows.sheet = "One"
    assert found([said], grids=[rows])[0] == [("One", 2, "area"), ("One", 1, "viscosity")]


def test_two_of_its_headings_stand_there_or_its_only_one() -> None:
    two = listed("One", ("A", "Zorka", "area"), ("B", "Zeta", "viscosity"))
    anchor = listed("Two", ("A", "Tag", "tag"))
    there, own = grid("One", HEADS), grid("Two", ["Tag", "x"])
    bound, missing = found([anchor, two], seen("Two", ["Tag", "x"]), grids=[there, own])
    assert bound == [("Two", 1, "tag")]
    assert ["no such list stands in this workbook" in text for text in missing] == [True]
    nothing = listed("One", ("A", "Zorka", ""), ("B", "Zeta", None))
    assert found([anchor, nothing], seen("Two", ["Tag", "x"]), grids=[there, own])[1] == []
    alone = listed("One", ("A", "Zorka", "area"))
    assert found([alone], grids=[there])[0] == [("One", 2, "area")]


def test_it_stands_on_its_sheet_before_others() -> None:
    said = listed("One", ("A", "Zorka", "area"), ("B", "Zorkb", "viscosity"))
    more = listed("One", *(("ABC"[j], text, "") for j, text in enumerate(HEADS[1:])))
    one, two = grid("One", HEADS[:3]), grid("Two", HEADS)
    assert {name for name, *_ in found([said], grids=[two, one])[0]} == {"One"}
    assert {name for name, *_ in found([more], grids=[two, one])[0]} == {"One"}
    assert {name for name, *_ in found([said], grids=[two])[0]} == {"Two"}


def test_labels_stand_in_any_row_of_the_sheet() -> None:
    rows = sheet([["Zorka", 5, ""], ["Zorkb", 6, "Zorkc"]])
    rows.sheet = "One"
    said = listed("One", ("A1", "Zorka", "area"), ("A2", "Zorkb", "viscosity"), ("C2", "Zorkc", "remarks"))
    assert found([said], grids=[rows])[0] == [
        ("One", 1, "area"),
        ("One", 1, "viscosity"),
        ("One", 3, "remarks"),
    ]
    columns = listed("One", ("A", "Zorka", "area"), ("B", "Zorkb", "viscosity"), ("C", "Zorkc", "remarks"))
    assert found([columns], grids=[rows])[0] == [("One", 1, "viscosity"), ("One", 3, "remarks")]
