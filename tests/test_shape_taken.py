"""Of several ways to read a sheet the one that explains most is taken, the next are named: both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from tests.test_forms_in_memory import FORM
from tests.test_heads_and_rows import sheet
from xlfuncs.lists import forms, keyed
from xlfuncs.lists.instructions import Instructions
from xlfuncs.lists.layout import find_layouts
from xlfuncs.lists.shapes import Choice, Labels, choose
from xlfuncs.lists.tables import make
from xlfuncs.lists.upright import Place, Property, Record, Records
from xlfuncs.spreadsheet.grid import Grid

Rows = list[list[Any]]
NAMES = ["Tag", "Density kg/m3", "Viscosity mPa.s", "Design pressure barg", "Design temperature degC"]
VALUES = [850, 5, 10, 120]


def way(shape: str, gauges: int = 4, names: Sequence[str] = NAMES, least: float = 1.0) -> Records:
    """Gauges that some way of reading a sheet finds: each value of the first columns counts one."""
    properties = [Property(name, 1, j + 1) for j, name in enumerate(names)]
    each = [
        Record({
            j: Place(f"LG-{n}" if j == 0 else VALUES[j - 1], n + 2, j + 1) for j in range(len(names))
        })
        for n in range(gauges)
    ]  # fmt: skip
    return Records(sheet([[""]]), shape, properties, each, least=least)


def without(records: Records, count: int) -> Records:
    """The same with so many values less."""
    for record in records.records[::-1][:count]:
        del record.cells[len(record.cells) - 1]
    return records


class Ways:
    """Ways to read a sheet in place of those of a row of 'name: value' cells, or of those of forms."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.patch = monkeypatch

    def choose(
        self,
        *found: Records,
        only_whole: bool = False,
        rows: Rows | None = None,
        alike: dict[Labels, Choice] | None = None,
    ) -> Choice:
        cells = [] if only_whole else found
        of_forms = found if only_whole else []
        self.patch.setattr(keyed, "records_of", lambda grid: iter(cells))
        self.patch.setattr(forms, "records_of", lambda grid, instructions: iter(of_forms))
        return chosen(sheet(rows or [["x"] * 40]), alike)


def chosen(grid: Grid, alike: dict[Labels, Choice] | None = None) -> Choice:
    layouts = find_layouts(grid, Instructions())
    plain = [make(grid, each) for each in layouts]
    return choose(grid, layouts, plain, Instructions(), alike=alike)


@pytest.fixture
def ways(monkeypatch: pytest.MonkeyPatch) -> Ways:
    return Ways(monkeypatch)


def test_the_way_with_the_most_values_is_taken_and_the_others_are_named(ways: Ways) -> None:
    choice = ways.choose(way("one", 3), way("other", 4), way("third", 2))
    assert (choice.shape, choice.others) == ("other", ("one", "third"))
    assert ways.choose().shape == "a list"
    assert ways.choose().others == ()


@pytest.mark.parametrize(("values", "named"), [(3, True), (2, False), (4, True)])
def test_another_way_is_named_from_three_tenths_of_the_values(values: int, named: bool, ways: Ways) -> None:
    """Of ten: of three values one is not understood."""
    few = way("other", 1, NAMES[: max(values, 3)])
    if values == 2:
        few.records[0].cells[2] = Place("blue?", 2, 3)
    assert ways.choose(way("one", 2), few).others == (("other",) if named else ())


def _exchanged(shape: str, cells: int, lost: int = 0) -> Records:
    """Four gauges of five values of which some mean something else, in pairs, and some are not read."""
    records = way(shape)
    for record in records.records[: cells // 2]:
        record.cells[3], record.cells[4] = record.cells[4], record.cells[3]
    return without(records, lost)


@pytest.mark.parametrize(("lost", "asked"), [(0, True), (2, True), (3, False)])
def test_a_way_with_nine_tenths_of_the_values_is_asked_back(lost: int, asked: bool, ways: Ways) -> None:
    """18 of 20, if it takes cells for something else."""
    choice = ways.choose(way("one"), _exchanged("other", 6, lost))
    assert choice.question == ("other" if asked else "")
    assert choice.others == ("other",)


@pytest.mark.parametrize(
    ("exchanged", "lost", "asked"), [(0, 0, False), (2, 0, False), (2, 1, True), (4, 0, True)]
)
def test_a_way_that_says_the_same_of_nine_tenths_of_the_cells_is_not_asked(
    exchanged: int, lost: int, asked: bool, ways: Ways
) -> None:
    choice = ways.choose(way("one"), _exchanged("other", exchanged, lost))
    assert choice.question == ("other" if asked else "")


def test_a_way_that_reads_other_cells_is_not_asked(ways: Ways) -> None:
    other = way("other")
    for record in other.records:
        record.cells = {j: Place(one.value, one.row + 50, one.col) for j, one in record.cells.items()}
    assert ways.choose(way("one"), other).question == ""


LIST: Rows = [NAMES, *([f"LG-{n}", *VALUES] for n in range(3))]
"""15 values, in 20 cells."""


def test_the_list_is_left_where_another_way_is_worth_as_many_times_more_as_it_must(ways: Ways) -> None:
    def shape(least: float, lost: int) -> str:
        return ways.choose(without(way("other", 3, least=least), lost), rows=LIST).shape

    assert shape(1.0, 0) == "other"
    assert shape(1.0, 1) == "a list"
    assert shape(1.1, 0) == "a list"
    assert shape(0.9, 1) == "other"


@pytest.mark.parametrize(
    ("filled", "columns", "tried"),
    [(25, 5, False), (26, 5, True), (27, 30, True), (25, 30, False), (20, 30, False)],
)
def test_forms_are_looked_for_where_lists_explain_less_than_six_tenths_of_the_cells(
    filled: int, columns: int, tried: bool, ways: Ways
) -> None:
    """15 values of 25 cells, however wide the sheet is."""
    rows = [[*row, *[""] * (columns - 5)] for row in LIST]
    rows += [[""] * columns] * 3
    for n in range(filled - 20):
        rows.append([f"note {'abcdefgh'[n]}", *[""] * (columns - 1)])
    choice = ways.choose(way("other", 2), only_whole=True, rows=rows)
    assert choice.others == (("other",) if tried else ())


@pytest.mark.parametrize(("filled", "further"), [(20, True), (21, True), (19, False)])
def test_a_way_with_more_values_than_the_sheet_has_cells_is_the_last(
    filled: int, further: bool, ways: Ways
) -> None:
    choice = ways.choose(way("one"), way("other"), rows=[["x"] * filled])
    assert (choice.shape, choice.others) == ("one", ("other",) if further else ())


@pytest.mark.parametrize(("columns", "read"), [(20, True), (21, False)])
def test_a_sheet_of_more_than_400000_cells_is_read_as_lists(columns: int, read: bool, ways: Ways) -> None:
    ways.patch.setattr(keyed, "records_of", lambda grid: iter([way("one")]))
    ways.patch.setattr(forms, "records_of", lambda grid, instructions: iter(()))
    values = np.full((20_000, columns), "", dtype=object)
    grid = Grid.block("Index", values)
    assert (choose(grid, [], [], Instructions()).shape == "one") is read


# --- sheets with the same labels -------------------------------------------------------------------------


def form(n: int, *more: list[Any]) -> Rows:
    return [[name, f"LG-{n}" if name == "Tag" else value, *unit] for name, value, *unit in [*FORM, *more]]


def test_a_form_with_the_labels_of_an_earlier_one_is_read_as_that_one() -> None:
    alike: dict[Labels, Choice] = {}
    first = chosen(sheet(form(1)), alike)
    second = chosen(sheet(form(2)), alike)
    assert first.shape == second.shape
    assert len(alike) == 1
    assert second.shaped is not None
    assert second.shaped.made.table.columns["tag"].text.tolist() == ["LG-2"]
    chosen(sheet([*form(3), ["Design temperature", 120, "degC"]]), alike)
    assert len(alike) == 2, "it has another label"
    named = form(4, ["Service", "Density"])
    chosen(sheet(named), alike)
    assert len(alike) == 3
    chosen(sheet([*named[:-1], ["Service", "Fluid"]]), alike)
    assert len(alike) == 3, "a value that reads like a label is none"


@pytest.mark.parametrize(("rows", "kept"), [(1250, True), (1251, False), (1300, False)])
def test_sheets_of_more_than_5000_cells_are_no_forms_like_others(rows: int, kept: bool, ways: Ways) -> None:
    alike: dict[Labels, Choice] = {}
    cells: Rows = [["x", "", "", ""], *[["", "", "", ""]] * (rows - 1)]
    assert ways.choose(way("one"), rows=cells, alike=alike).shape == "one"
    assert bool(alike) is kept


def test_of_the_ways_to_read_a_form_that_of_the_earlier_one_is_taken(ways: Ways) -> None:
    alike: dict[Labels, Choice] = {}
    both = way("one", 3), way("other", 4)
    assert ways.choose(*both, alike=alike).shape == "other"
    fewer = way("one", 4), way("other", 2)
    choice = ways.choose(*fewer, alike=alike)
    assert choice.shape == "other"
    assert choice.shaped is not None
    assert len(choice.shaped.made.table) == 2
