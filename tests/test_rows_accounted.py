"""What became of the rows of a sheet of which lists were read, in memory."""

from __future__ import annotations

from typing import Any

import numpy as np

from tests.test_heads_and_rows import sheet
from tests.test_set_upright import GAUGES, NAMES, shaped
from xlfuncs.lists.accounts import SheetRows, of_sheet
from xlfuncs.lists.tables import Made

ROWS: list[list[Any]] = [
    ["Plant of some town", "by hand", "", ""],
    ["Unit", 3, "", ""],
    ["Issued", 3, "by", "X"],
    ["Tag", "Density", "Viscosity", ""],
    ["LG-1", 850, 5, ""],
    ["LG-2", 860, 5, ""],
    ["Remarks to the list", "", "", ""],
    ["some", "more", "words", "here"],
    ["", "", "", ""],
    ["Total", 2, "", ""],
]


def made(**rows: list[int]) -> Made:
    """A list with what became of its rows."""
    found = shaped(NAMES, GAUGES)
    assert found is not None
    found.made.rows = {what: np.array(some, dtype=np.int64) for what, some in rows.items()}
    return found.made


def accounted(*lists: Made) -> SheetRows:
    return of_sheet(sheet(ROWS), lists, set())


def test_rows_above_the_headings_that_are_words_alone_belong_to_them() -> None:
    found = accounted(made(heading=[4], audited=[5, 6]))
    assert found.places("audited") == ["5-6"]
    assert found.places("heading") == ["1", "4"]
    assert found.places("note") == ["2", "7"]
    assert found.places("not understood") == ["3", "8"]
    assert found.places("total") == ["10"]
    assert found.total == 9


def test_without_a_list_no_words_are_headings_and_without_a_row_of_headings_all_are() -> None:
    assert accounted().places("heading") == []
    assert accounted().places("note") == ["1-2", "7"]
    labels = accounted(made(audited=[5, 6]))
    assert labels.places("heading") == ["1", "4", "8"]


def test_a_row_that_one_list_audits_is_audited_whatever_another_says() -> None:
    first, second = made(heading=[4], audited=[5]), made(heading=[5], audited=[6])
    for lists in ((first, second), (second, first)):
        found = accounted(*lists)
        assert found.places("audited") == ["5-6"]
    first, second = made(heading=[4], audited=[5]), made(heading=[6], component=[4])
    assert accounted(first, second).places("heading") == ["1", "4", "6"], "the first one's word counts"
    assert accounted(second, first).places("component") == ["4"]
