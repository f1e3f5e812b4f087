"""What comes nearest to a list, and which option is advised for it, in memory: counts and shares on both
sides."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.test_heads_and_rows import sheet
from tests.test_set_upright import shaped
from xlfuncs.lists.advice import near_of, nearest, no_floats, no_list
from xlfuncs.lists.instructions import Instructions
from xlfuncs.spreadsheet.grid import Grid

Rows = Sequence[Sequence[Any]]
HEADS = ["Zorka", "Zorkb", "Zorkc"]


def said(*sheets: Rows, floats: bool = False) -> str:
    """What is said of a workbook without a list."""
    grids = []
    for n, rows in enumerate(sheets):
        grid = sheet(rows) if rows else Grid.empty("")
        grid.sheet = f"Tab{n}"
        grids.append(grid)
    if floats:
        return no_floats(Path("b.xlsx"), grids, Instructions())
    return no_list(Path("b.xlsx"), grids, [], Instructions())


def advised(*columns: Sequence[Any], floats: bool = False, heads: Sequence[str] = HEADS) -> str:
    """The option that is named for a list of some columns below words of no meaning."""
    rows = [list(heads)[: len(columns)], *map(list, zip(*columns, strict=True))]
    found = re.search(r"--map (\S+?=\S+?)[ ;:]", said(rows, floats=floats) + " ")
    return found[1] if found else ""


TAGS = [f"LG-{n}" for n in range(10)]
WORDS = [f"zeal{'abcdefghij'[n]}" for n in range(10)]
MOSTLY = [*TAGS[:6], *WORDS[6:]]
"""Not enough tags for a column of tags."""


def test_the_column_that_is_likest_to_tags_is_named() -> None:
    assert advised(WORDS, MOSTLY) == "tag=B1"
    assert advised(WORDS, [*(f"QX-{n}" for n in range(8)), *WORDS[8:]]) == "tag=B1"
    assert advised([*range(1, 11)], WORDS) == "tag=B1"
    assert advised([7.5] * 10, WORDS) == "tag=B1"
    assert advised([100 + 7 * n * n for n in range(10)], WORDS) == "tag=B1"
    assert advised(["x"] * 10, WORDS) == "tag=B1"
    assert advised(WORDS, ["x"] * 10) == "tag=A1"


def test_the_column_that_is_likest_to_numbers_of_parts_is_named() -> None:
    parts = [*(f"QF-{n}0" for n in range(5)), *WORDS[5:]]
    assert advised(WORDS, parts, floats=True) == "float_part=B1"
    assert advised([*range(1, 11)], parts, floats=True) == "float_part=B1"
    assert advised(WORDS, ["x"] * 10, floats=True) == "float_part=A1"


@pytest.mark.parametrize(("tags", "likely"), [(0, False), (1, True), (6, True)])
def test_a_column_that_is_not_like_one_of_tags_is_named_as_an_example_only(tags: int, likely: bool) -> None:
    text = said([HEADS[:2], *([tag if n < tags else WORDS[n], "zeal"] for n, tag in enumerate(TAGS))])
    assert ("none of them looks like it" in text) is not likely


@pytest.mark.parametrize(
    ("numbers", "option"),
    [
        ([850.0 + n * n for n in range(10)], "fluid_density=B1"),
        ([5000.0 + n * n for n in range(10)], "visible_range=B1"),
        ([*range(1, 11)], ""),
        ([*[850.0 + n * n for n in range(7)], "red", "green", "blue"], "fluid_density=B1"),
        ([*[850.0 + n * n for n in range(6)], "red", "green", "blue", "grey"], ""),
        ([*[850.0 + n * n for n in range(4)], *["red"] * 6], ""),
        ([*[850.0 + n * n for n in range(5)], "red", "green", "blue"], "fluid_density=B1"),
    ],
)
def test_a_column_of_numbers_beside_the_tags_is_the_density_or_another_length(
    numbers: list[Any], option: str
) -> None:
    """Where six tenths are numbers; the first column left where none is."""
    n = len(numbers)
    assert advised(TAGS[:n], numbers, heads=["Tag", "Zorkb"]) == (option or "fluid_density=B1")
    after = advised(TAGS[:n], WORDS[:n], numbers, heads=["Tag", "Zorkb", "Zorkc"])
    assert after == (option.replace("B1", "C1") or "fluid_density=B1")


def test_of_two_columns_of_numbers_that_of_usual_densities_is_named() -> None:
    usual, other = [850.0 + n * n for n in range(10)], [9e6 + n * n for n in range(10)]
    heads = ["Tag", "Zorkb", "Zorkc"]
    assert advised(TAGS, other, usual, heads=heads) == "fluid_density=C1"
    assert advised(TAGS, usual, other, heads=heads) == "fluid_density=B1"


def test_a_column_of_numbers_in_a_float_list_is_the_mass_or_the_length() -> None:
    parts = [f"QF-{n}0" for n in range(10)]
    heads = ["Float part no.", "Zorkb"]
    assert advised(parts, [300.0 + n * n for n in range(10)], floats=True, heads=heads) == "float_mass=B1"
    assert advised(parts, [9e9 + n * n for n in range(10)], floats=True, heads=heads) == "float_length=B1"


def test_a_heading_of_half_a_meaning_is_advised_as_that() -> None:
    numbers = [500.0 + n * n for n in range(10)]
    assert advised(TAGS, numbers, heads=["Tag", "Length"]) == "float_length=B1"
    assert advised(TAGS, WORDS, numbers, heads=["Tag", "Zorka", "Length"]) == "float_length=C1"


@pytest.mark.parametrize(("columns", "more"), [(8, ""), (9, " and 1 more"), (12, " and 4 more")])
def test_eight_headings_are_shown(columns: int, more: str) -> None:
    heads = [f"Zork{letter}" for letter in "abcdefghijklmn"[:columns]]
    text = said([heads, *[["x"] * columns] * 3])
    shown = re.search(r"\((A1 .*?)\); understood", text)
    assert shown is not None
    assert len(re.findall(r"'Zork", shown[1])) == 8
    assert shown[1].endswith(more or "'Zorkh'")


def test_a_long_heading_is_shown_by_its_first_sixty_characters() -> None:
    assert f"'{'Zork'.ljust(60, 'x')}'" in said([["Zork".ljust(80, "x"), "Zorkb"], ["y", "z"]])


def test_the_sheets_that_were_searched_are_counted_and_the_cell_is_named_with_its_own() -> None:
    rows: Rows = [HEADS, *([tag, "x", 5] for tag in TAGS)]
    assert "in its one sheet" in said(rows)
    assert "in 2 sheets" in said(rows, [])
    assert "--map visible_range=C1" in said(rows, []), "an empty sheet has no cell of that name"
    assert "--map visible_range=Tab0:C1" in said(rows, [["x"]])
    assert "--map float_part=A1" in said(rows, [], floats=True)
    assert "--map float_part=Tab0:A1" in said(rows, [["x"]], floats=True)
    assert "there is no row of headings" in said([["x"]])


# --- which row it is -------------------------------------------------------------------------------------


def row(rows: Rows) -> int | None:
    found = near_of(sheet(rows))
    return None if found is None else found.row


@pytest.mark.parametrize(("below", "found"), [(1, 1), (3, 1), (4, 0)])
def test_values_in_the_three_rows_below_tell_a_row_of_headings(below: int, found: int) -> None:
    lone = ["", ""]
    rows: Rows = [["Zorka", "Zorkb"], ["Zorkc", "Zorkd"], *[lone] * (below - 1), ["LG-1", "x"]]
    assert row(rows) == (found if below != 1 else 0 if _three(rows, 0) else 1)


def _three(rows: Rows, i: int) -> bool:
    return any("LG-1" in one for one in rows[i + 1 : i + 4])


@pytest.mark.parametrize(("length", "found"), [(160, 0), (161, None), (170, None)])
def test_a_text_of_more_than_160_characters_is_no_heading(length: int, found: int | None) -> None:
    assert row([["Zorka", "Zork".ljust(length, "x")], ["x", 5]]) == found


@pytest.mark.parametrize(("column", "found"), [(199, 0), (200, None), (205, None)])
def test_headings_are_looked_for_in_200_columns(column: int, found: int | None) -> None:
    assert row([["Zorka", *[""] * (column - 1), "Zorkb"], ["x", 5]]) == found


def test_many_words_count_as_nine_and_a_known_one_for_more() -> None:
    many = [f"Zork{letter}" for letter in "abcdefghijklmn"]
    assert row([many, ["Fluid", *many[:3]], ["x", 5]]) == 1
    assert row([many[:9], many[:12], ["x", 5]]) == 0
    assert row([many[:8], many[:9], ["x", 5]]) == 1


LABELS: Rows = [["Tag", "LG-1"], ["Fluid", "Oil"], ["Zorka", "x"], ["Zorkb", "y"]]


def _labelled(rows: Rows) -> bool:
    found = near_of(sheet(rows))
    return found is not None and found.labels


def test_four_labels_beside_values_of_which_one_is_a_tag_are_nearest() -> None:
    assert _labelled(LABELS)
    assert not _labelled(LABELS[:3])
    assert not _labelled([["Tag", "V-1"], *LABELS[1:]])
    assert not _labelled([*LABELS, ["Zorkc", "LG-2"]])
    assert not _labelled([*LABELS, ["Zorkb", "z"]])
    assert _labelled([*LABELS, ["Zorkc", ""]])
    assert _labelled([*LABELS, ["Zorkc".ljust(160, "x"), "z"]])
    beside = [[*one, ""] for one in LABELS]
    beside[0] = ["Tag", "", "LG-1"]
    assert _labelled(beside)


@pytest.mark.parametrize(("others", "labels"), [(3, False), (4, False), (5, True), (8, True)])
def test_less_than_two_tenths_of_labels_are_like_quantities(others: int, labels: bool) -> None:
    rows = [["Tag", "LG-1"], ["FV", "x"], *([f"Zork{'abcdefghij'[n]}", "y"] for n in range(others - 1))]
    assert _labelled(rows) is labels


@pytest.mark.parametrize(("line", "labels"), [(400, True), (401, False), (430, False)])
def test_labels_are_looked_for_in_400_rows(line: int, labels: bool) -> None:
    assert _labelled([*LABELS[1:], ["Zorkc", "z"], *[[""]] * (line - 5), ["Tag", "LG-1"]]) is labels


def test_a_sheet_with_tags_is_nearer_than_one_with_words_and_that_than_one_with_columns() -> None:
    def sheets(*every: Rows) -> str:
        grids = []
        for n, rows in enumerate(every):
            grid = sheet(rows)
            grid.sheet = str(n)
            grids.append(grid)
        found = nearest(grids)
        return "" if found is None else found.grid.sheet

    body = [["x", "y"]] * 3
    tagged: Rows = [["Zorka", "Zorkb"], ["LG-1", "y"], ["LG-2", "z"], ["w", "v"]]
    half: Rows = [["Zorka", "Zorkb"], ["LG-1", "y"], ["w", "z"]]
    wide: Rows = [[f"Zork{letter}" for letter in "abcdefghijkl"], ["x"] * 12, ["y"] * 12]
    known: Rows = [["Fluid", "Zorkb"], *body]
    assert sheets(known, tagged) == "1"
    assert sheets(half, known) == "1"
    assert sheets(wide, known) == "1"
    assert sheets([["Zorka", "Zorkb", "Zorkc"], *[["x", "y", "z"]] * 3], [["Zorka", "Zorkb"], *body]) == "0"
    nine = [row[:9] for row in wide]
    assert sheets(nine, wide) == "0"
    share: Rows = [["Zorka", "Zorkb"], *([f"LG-{n}" if n < 8 else f"w{n}x", "y"] for n in range(15))]
    assert sheets(known, share) == "1", "8 of 15 are tags"


def test_a_row_that_a_person_names_is_taken_whatever_it_looks_like() -> None:
    grid = sheet([["Zorka", "Zorkb"], ["LG-1", 5], ["LG-2", 6]])

    def named(*rows: int) -> int | None:
        found = near_of(grid, rows)
        return None if found is None else found.row

    assert named() == 0
    assert named(1) == 1
    assert named(1, 0) == 0
    assert named(0, 1) == 0


def test_a_letter_is_that_of_the_row_of_headings_and_of_labels_that_of_the_first_row() -> None:
    table = near_of(sheet([["Plant"], [""], HEADS, ["LG-1", "x", 5]], numbers=[1, 2, 7, 8]))
    labels = near_of(sheet(LABELS, numbers=[4, 5, 6, 9]))
    assert table is not None and labels is not None
    assert (table.spot(0).row, labels.spot(1).row) == (7, 4)
    assert labels.labels and not table.labels


@pytest.mark.parametrize(
    ("label", "understood"),
    [
        ("Fluid", "A2 fluid"),
        ("C-C", "A2 connection_distance"),
        ("Length", ""),
        ("Visible high", ""),
        ("Zorkc", ""),
    ],
)
def test_labels_that_surely_mean_one_thing_are_told_as_understood(label: str, understood: str) -> None:
    text = said([["Tag", "LG-1"], [label, "Oil"], *LABELS[2:]])
    assert f"understood: A1 tag{', ' * bool(understood)}{understood}. It lacks" in text


def test_a_sheet_that_was_read_as_a_float_list_is_not_the_nearest() -> None:
    names = ["Float part no.", "Float mass g", "Float diameter mm", "Float length mm"]
    rows = [[f"QF-{n}", 300 + n, 50, 250] for n in range(3)]
    found = shaped(names, rows, kinds=("floats",))
    assert found is not None
    floats, other = sheet([names, *rows]), sheet([HEADS, ["x", "y", 5], ["v", "w", 6]])
    floats.sheet, other.sheet = found.made.table.sheet, "Other"
    text = no_list(Path("b.xlsx"), [floats, other], [found.made], Instructions())
    assert "in 2 sheets, only a float list in 'Index'; nearest to one come row 1 of 'Other'" in text
    alone = no_list(Path("b.xlsx"), [floats], [found.made], Instructions())
    assert alone.endswith("there is no other row of headings: name the workbook with the index")
