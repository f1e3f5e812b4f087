"""Long columns and sheets are looked at piece by piece: that must not show."""

from __future__ import annotations

from datetime import datetime
from functools import partial

import numpy as np
import pytest

from xlfuncs.lists.columns import numbers_of
from xlfuncs.spreadsheet import ooxml
from xlfuncs.spreadsheet.grid import AT_ONCE, different, numbered

MANY = 2 * AT_ONCE + 7


@pytest.mark.parametrize("size", [0, 1, AT_ONCE, AT_ONCE + 1, MANY])
def test_values_are_numbered_in_the_order_in_which_they_come(size: int) -> None:
    values = [f"LG-{i * i % (AT_ONCE + 5)}" for i in range(size)]
    numbers, known = numbered(values)
    assert list(known) == list(dict.fromkeys(values))
    assert [list(known)[number] for number in numbers.tolist()] == values


def test_a_place_that_repeats_is_counted_once_wherever_it_stands() -> None:
    rows, cols = np.array([5, 6, 7, 5, 6]), np.array([2, 2, 2, 2, 3])
    assert different(rows, cols) == 4
    assert different(rows[:3], cols[:3]) == 3
    assert different(rows[:0], cols[:0]) == 0


def test_numbers_are_found_wherever_they_stand() -> None:
    cells = np.array([float(i) for i in range(MANY)], dtype=object)
    others = {0: "12", AT_ONCE - 1: "", AT_ONCE: True, AT_ONCE + 1: datetime(2026, 1, 1), MANY - 1: None}
    for at, value in others.items():
        cells[at] = value
    numbers, codes = numbers_of(cells)
    alone = [numbers_of(cells[at : at + 1]) for at in range(MANY)]
    np.testing.assert_array_equal(numbers, [found[0][0] for found in alone])
    np.testing.assert_array_equal(codes, [found[1][0] for found in alone])
    assert np.flatnonzero(np.isnan(numbers)).tolist() == list(others)


PIECES = (
    b'<row r="1"><c r="A1" t="s"><v>0</v></c><c r="ZZ9"><v>1</v></c></row>',
    b'<row r="2"><c><v>5</v></c></row>',
    b"",
    b"<c",
    b'<x:row r="3"><x:c r="B123456"/></x:row>',
    b'<c r="C7" t="inlineStr"><is><t>long text</t></is></c><c r="D12345678',
)


def test_what_stands_in_one_piece_is_not_seen_in_the_next() -> None:
    whole, *alone = (ooxml.reach(partial(iter, some)) for some in (PIECES, *((piece,) for piece in PIECES)))
    assert whole.row == max(one.row for one in alone) == 12345678
    for count in ("values", "shared", "inline", "size"):
        assert getattr(whole, count) == sum(getattr(one, count) for one in alone)
    assert (whole.values, whole.shared, whole.inline) == (4, 1, 1)
    assert [one.col for one in alone] == [702, 53, 52, 52, 52, 52]
