"""What a person has said of the columns of a list, and what becomes of them, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.found import Found
from xlfuncs.lists.instructions import (
    LEFT_ALONE,
    SETTINGS,
    Bound,
    Instructions,
    check_unit,
    no_field,
    of_mapping,
    spelt,
)
from xlfuncs.lists.model import Book, Recognised
from xlfuncs.lists.reader import read_book
from xlfuncs.vocabulary.meaning import Kind, read_heading

# --- how it is written -----------------------------------------------------------------------------------


def test_what_was_said_is_shown_as_it_was_written() -> None:
    assert [one.said for one in of_mapping({"viscosity": "H"})] == ["--map viscosity=H"]
    assert [one.said for one in of_mapping({"viscosity": "H"}, SETTINGS)] == ["[columns] viscosity = 'H'"]
    assert [one.said for one in of_mapping([("viscosity", " H "), ("none", "J")])] == [
        "--map viscosity=H",
        "--map none=J",
    ]


def test_a_column_to_be_left_alone_has_no_field() -> None:
    assert [(one.field, one.place) for one in of_mapping({"none": "H", "tag": ""})] == [
        ("", "H"),
        ("tag", ""),
    ]


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"zork": "H"}, "--map zork=H: there is no field 'zork'"),
        ({"none": ""}, "write the column after it"),
        ([("viscosity",)], "is no pair"),
        ([("viscosity", "H", "J")], "is no pair"),
        (["ab"], "'ab' is no pair"),
    ],
)
def test_what_names_no_column_is_refused(said: Any, why: str) -> None:
    with pytest.raises(XlfuncsError, match=why):
        of_mapping(said)


def test_three_fields_that_come_near_are_named() -> None:
    assert no_field("viscosty").count(" or ") <= 2
    assert "did you mean viscosity" in no_field("viscosty")
    assert "did you mean" not in no_field("qqqq")


@pytest.mark.parametrize(
    ("name", "unit", "known"),
    [
        ("switch_lsh", "%", "%"),
        ("switch_lsh", "mm", "mm"),
        ("switch_lsh", "kg", ""),
        ("fluid_density", "%", ""),
        ("fluid_density", "SG", "SG"),
        ("remarks", "mm", ""),
    ],
)
def test_units_that_a_field_can_have(name: str, unit: str, known: str) -> None:
    assert spelt(name, unit) == known


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("remarks", "remarks is a text and has no unit: leave 'kg' out"),
        ("", "a column that is left alone needs no unit: leave 'kg' out"),
        ("switch_lsh", "'kg' is no unit of set point LSH: write mm, in, m or another one"),
    ],
)
def test_a_unit_that_a_field_cannot_have_is_refused(name: str, why: str) -> None:
    with pytest.raises(XlfuncsError) as caught:
        check_unit(name, "kg", "D1")
    assert str(caught.value) == f"D1: {why}"


# --- which lists and labels it is about ------------------------------------------------------------------

GRID = sheet([["Tag", "Zork", "Zeta"], ["LG-1", 5, 7], ["LG-2", 6, 8], ["LG-3", 7, 9]])


def said(*entries: Bound) -> Instructions:
    return Instructions({"Index": entries})


def bound(col: int, field: str, rows: Sequence[int] = (1,), **more: Any) -> Bound:
    return Bound("Index", frozenset(rows), col, field, **more)


@pytest.mark.parametrize(
    ("kind", "rows", "forbidden"),
    [
        ("gauges", [1], False),
        ("floats", [1], True),
        ("gauges", [1, 2], True),
        ("gauges", [2], False),
        ("floats", [2], False),
    ],
)
def test_a_list_that_was_spoken_of_becomes_no_other(kind: Kind, rows: list[int], forbidden: bool) -> None:
    entry = bound(2, "viscosity", kind="gauges")
    assert said(entry).forbids(GRID, kind, rows) is forbidden
    assert not said(bound(2, "viscosity")).forbids(GRID, kind, rows)
    assert not said(bound(2, "viscosity", kind="gauges", label=True)).forbids(GRID, kind, rows)


def test_rows_of_which_something_was_said_are_tried_as_headings() -> None:
    assert said(bound(2, "viscosity", [3])).tries(GRID, 0, 4) == [2]
    assert said(bound(2, "viscosity", [3], label=True)).tries(GRID, 0, 4) == []


def test_of_a_label_the_last_word_counts_and_its_heading_where_a_cell_has_several() -> None:
    one = said(bound(2, "viscosity", heading="Visc."), bound(2, "fluid_density", heading="Dens."))
    assert one.label("Index", 1, 3) is one.label("Index", 2, 2) is None

    def field_of(heading: str = "") -> str:
        found = one.label("Index", 1, 2, heading)
        return found.field if found is not None else ""

    assert field_of() == "fluid_density"
    assert [field_of(heading) for heading in ("visc", "DENS", "mass")] == ["viscosity", "fluid_density", ""]


@pytest.mark.parametrize(
    ("kind", "columns", "made"),
    [
        ("gauges", "tag viscosity", True),
        ("gauges", "tag service", False),
        ("gauges", "tag_letters tag_number viscosity", True),
        ("gauges", "tag_number viscosity", False),
        ("gauges", "tag_letters tag_number area", False),
        ("gauges", "float_part viscosity", False),
        ("floats", "float_part viscosity", True),
        ("floats", "float_part viscosity float_mass", True),
        ("floats", "float_serial viscosity", True),
        ("floats", "viscosity float_mass", False),
        ("gauges", "tag fluid_density", False),
    ],
)
def test_a_word_makes_a_list_that_names_its_records_and_says_something_of_them(
    kind: Kind, columns: str, made: bool
) -> None:
    """Of the viscosity was spoken here, or of the place."""
    names = dict.fromkeys(columns.split())
    field = "viscosity" if "viscosity" in names else "service" if "service" in names else "area"
    assert said(bound(2, field)).vouch(GRID, kind, [1], names) is made
    assert said(bound(2, field)).vouch_labels("Index", kind, names) is made
    assert not said(bound(2, field)).vouch(GRID, kind, [2], names)


def test_a_part_number_alone_makes_no_list_of_floats() -> None:
    assert not said(bound(2, "float_part")).vouch(GRID, "floats", [1], {"float_part": None})


# --- what becomes of the columns -------------------------------------------------------------------------


def column(index: int, heading: str, field: str = "", **more: Any) -> Found:
    return Found(field, index, heading, f"{'ABCDEF'[index]}1", **more)


def applied(entry: Bound, columns: Sequence[Found], others: Sequence[Found] = ()) -> dict[str, Found]:
    """Field -> column, once the entry is obeyed."""
    taken, left = {one.field: one for one in columns}, list(others)
    said(entry).apply(GRID, "gauges", [1], taken, left)
    assert all(one.field == name for name, one in taken.items())
    assert all(not one.field for one in left)
    return taken


def test_a_column_is_taken_for_what_it_was_said_to_be() -> None:
    tag, zork = column(0, "Tag", "tag"), column(1, "Zork", doubted="viscosity", runner_up="area")
    taken = applied(bound(2, "fluid_density", unit="SG"), [tag], [zork])
    assert taken == {"tag": tag, "fluid_density": zork}
    assert (zork.unit, zork.unit_source, zork.score, zork.confirmed) == ("SG", "said", 1.0, True)
    assert (zork.doubted, zork.runner_up) == ("", "")


def test_a_field_moves_from_one_column_to_another_and_the_others_stay() -> None:
    tag, zork, zeta = column(0, "Tag", "tag"), column(1, "Zork", "viscosity"), column(2, "Zeta", "remarks")
    assert applied(bound(3, "viscosity"), [tag, zork, zeta]) == {"tag": tag, "viscosity": zeta}


def test_a_column_without_a_heading_may_be_said_to_be_something() -> None:
    taken = applied(bound(3, "viscosity"), [column(0, "Tag", "tag"), column(1, "Zork", "remarks")])
    assert [(name, one.index) for name, one in taken.items()] == [
        ("tag", 0),
        ("remarks", 1),
        ("viscosity", 2),
    ]
    assert list(applied(bound(9, "viscosity"), [column(0, "Tag", "tag")])) == ["tag"]


def test_of_several_values_in_a_cell_that_under_its_heading_is_meant() -> None:
    parts = [column(1, "Dens.", part=0, parts=2), column(1, "Visc.", part=1, parts=2)]
    assert applied(bound(2, "viscosity", heading="visc"), [], parts)["viscosity"] is parts[1]
    parts = [column(1, "Dens.", part=0, parts=2), column(1, "Visc.", part=1, parts=2)]
    assert applied(bound(2, "viscosity", heading="zork"), [], parts)["viscosity"] is parts[0]


@pytest.mark.parametrize(
    ("unit", "taken"), [("", ("kg/m3", "heading")), ("kg/m3", ("kg/m3", "heading")), ("SG", ("SG", "said"))]
)
def test_another_unit_than_that_of_the_heading_is_a_persons_word(unit: str, taken: tuple[str, str]) -> None:
    dens = column(1, "Density kg/m3", "fluid_density", unit="kg/m3", unit_source="heading")
    applied(bound(2, "fluid_density", unit=unit), [dens])
    assert dens.confirmed
    assert (dens.unit, dens.unit_source) == taken


def test_no_column_is_a_field_nor_may_be() -> None:
    dens = column(1, "Density", "fluid_density")
    doubted, near = column(2, "SG", doubted="fluid_density"), column(3, "D", runner_up="fluid_density")
    other = column(4, "Zork", doubted="viscosity", runner_up="area")
    assert applied(bound(0, "", without="fluid_density"), [dens], [doubted, near, other]) == {}
    assert dens.known == LEFT_ALONE
    assert doubted.doubted == near.runner_up == ""
    assert (other.doubted, other.runner_up) == ("viscosity", "area")


def test_a_column_that_was_left_alone_is_none_of_the_fields() -> None:
    zork = column(1, "Zork", "viscosity")
    assert applied(bound(2, ""), [zork]) == {}
    assert zork.known == LEFT_ALONE
    known = column(1, "Rev.", known="a revision")
    applied(bound(2, ""), [], [known])
    assert known.known == "a revision"


def test_what_was_said_of_other_rows_or_of_a_label_leaves_the_columns() -> None:
    for entry in (bound(2, "viscosity", [2]), bound(2, "viscosity", label=True)):
        assert applied(entry, [], [column(1, "Zork")]) == {}


@pytest.mark.parametrize(
    ("heading", "field", "unit", "misfit"),
    [
        ("Zork mPa.s", "viscosity", "mPa.s", ""),
        ("Zork [kg]", "viscosity", "", "kg"),
        ("Zork [kg]", "remarks", "", ""),
        ("Design [degC]", "design_temperature", "degC", ""),
        ("Design [degC]", "design_pressure", "", "degC"),
    ],
)
def test_without_a_unit_that_was_said_the_headings_counts(
    heading: str, field: str, unit: str, misfit: str
) -> None:
    for reading in (None, read_heading(heading, "", "gauges")):
        found = column(1, heading, reading=reading)
        applied(bound(2, field), [], [found])
        assert (found.unit, found.misfit) == (unit, misfit)
        assert found.unit_source == ("heading" if unit else "")


def test_a_unit_row_counts_for_a_column_that_was_said() -> None:
    found = column(1, "Zork", unit_row="mPa.s")
    applied(bound(2, "viscosity"), [], [found])
    assert (found.unit, found.unit_source) == ("mPa.s", "unit row")


# --- the way in ------------------------------------------------------------------------------------------


def read(*columns: Sequence[Any], **more: Any) -> Book:
    head = [["Tag", "LG-1", "LG-2", "LG-3"], ["Density kg/m3", 850, 860, 870], ["Fluid", *["Oil"] * 3]]
    rows = [list(row) for row in zip(*head, *columns, strict=True)]
    return read_book(Path("book.xlsx"), sheets=[sheet(rows)], **more)


def recognised(book: Book) -> dict[str, Recognised]:
    return {one.field: one for table in book.gauges for one in table.recognised}


def test_an_option_takes_a_column_for_its_field() -> None:
    zork = ["Zork", 5, 6, 7]
    assert "viscosity" not in recognised(read(zork))
    found = recognised(read(zork, mapping={"viscosity": "D [mPa.s]"}))["viscosity"]
    assert (found.column, found.unit) == ("D", "mPa.s")
