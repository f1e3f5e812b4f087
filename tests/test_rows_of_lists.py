"""Which rows of a list are records, and which belong to one above: further counts, in memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from tests.test_heads_and_rows import FIELDS, HEADINGS, RECORD, records, sheet
from xlfuncs.lists.found import Found, Layout
from xlfuncs.lists.rows import Rows, find_rows
from xlfuncs.spreadsheet.grid import Range


def found(
    *rows: Sequence[Any], last: int | None = None, heads: int = 1, merges: Sequence[Range] = ()
) -> Rows:
    """The rows of an index from its headings on; `last`: where it ends."""
    every = [HEADINGS] * heads + [*rows]
    columns = {name: Found(name, j, HEADINGS[j], "") for j, name in enumerate(FIELDS)}
    layout = Layout("gauges", tuple(range(heads)), heads, last or len(every), columns)
    return find_rows(sheet(every, merges), layout)


def test_a_row_that_shows_how_to_fill_in_an_index_is_counted_as_one() -> None:
    assert records(["XX-LG-XXXX"]) == [0]
    assert records(["XX-LG-XXXX"], kind="floats") == []


BODY = [[f"LG-{n}", *RECORD[1:]] for n in range(201, 207)]
MORE = ["", "Oil", 850, 5]


@pytest.mark.parametrize(("last", "continued"), [(10, [2, 3]), (3, [2]), (4, [2, 3])])
def test_rows_of_a_merged_tag_end_with_the_list(last: int, continued: list[int]) -> None:
    rows = [RECORD, MORE, MORE, *BODY]
    made = found(*rows, last=last, merges=[(2, 1, 4, 1)])
    assert list(made.continued) == continued
    assert set(made.continued.values()) == {1}
    assert not set(made.records.tolist()) & set(continued)


def test_a_tag_merged_with_its_heading_or_beside_the_column_of_tags_is_none_of_the_list() -> None:
    rows = [MORE, MORE, *BODY]
    assert found(*rows, merges=[(1, 1, 3, 1)]).continued == {}
    assert found(RECORD, *rows, merges=[(2, 1, 4, 2)]).continued == {2: 1, 3: 1}
    assert found(RECORD, *rows, merges=[(2, 2, 4, 3)]).continued == {}
    assert found(RECORD, *rows, merges=[(2, 1, 2, 3)]).continued == {}


GAUGE = ["LG-101", "Oil", "", 5, ""]
LOOP = ["LT-101", "Oil", "", 5, ""]
PARTS = [["", "Float", 850], ["", "Cover", "", "", 10]]


def test_parts_below_a_transmitter_are_of_the_gauge_above_it() -> None:
    made = found(GAUGE, LOOP, *PARTS, *BODY)
    assert made.continued == {3: 1, 4: 1}
    two = found(GAUGE, LOOP, LOOP, *PARTS, *BODY)
    assert two.continued == {4: 1, 5: 1}
    assert found(LOOP, *PARTS, *BODY).continued == {}


@pytest.mark.parametrize(("between", "joined"), [(10, True), (11, False), (12, False)])
def test_that_gauge_stands_in_the_twelve_rows_above_the_transmitter(between: int, joined: bool) -> None:
    blank = ["Section"]
    made = found(GAUGE, *[blank] * between, LOOP, *PARTS, *BODY)
    first = 3 + between
    assert made.continued == ({first: 1, first + 1: 1} if joined else {})


@pytest.mark.parametrize(
    ("row", "record"),
    [
        (["LG101", "A_1", "A_2", "", "", "A_3"], False),
        (["LG101", "A_1", "A_2", "", "", "A"], True),
        (["LG101", "A_1", "A_2", "", "", "A_3", "XA", "YB"], False),
        (["LG101", "A_1", "A_2", "", "", "A_3", "XA", "YB", "ZC"], True),
        (["LG101", "A_1", "A_2", "", "", "A_3", 5], True),
        (["LG-101", "A_1", "A_2", "", "", "A_3"], True),
    ],
)
def test_a_row_of_machine_names_has_three_joined_words_and_half_of_its_cells(
    row: list[Any], record: bool
) -> None:
    assert (1 in found(row, *BODY).records.tolist()) is record
