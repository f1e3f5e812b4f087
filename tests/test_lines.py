"""Many texts matched at once are matched as each of them alone."""

import re

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.lists import tags
from xlfuncs.lists.lines import lines_of, match_all
from xlfuncs.spreadsheet.grid import AT_ONCE, different, numbered

NAME = r"[A-Za-z]{1,3}-?\d{2,6}[A-Za-z]?|\d+"
TEXTS = st.lists(
    st.one_of(st.from_regex(NAME, fullmatch=True), st.text("AB-01\n ", max_size=6)), min_size=1, max_size=8
)


@given(TEXTS)
def test_all_texts_match_where_each_does(texts: list[str]) -> None:
    assert match_all(lines_of(NAME), texts) == all(re.fullmatch(NAME, text) for text in texts)


@given(TEXTS)
def test_tags_are_told_one_by_one_or_together(texts: list[str]) -> None:
    assert tags.are_tags(texts) == [tags.is_tag(text) for text in texts]
    assert tags.are_plain(texts) == [tags.are_plain([text])[0] for text in texts]


def test_one_that_is_no_tag_does_not_hide_among_thousands() -> None:
    texts = [f"LG-{number}" for number in range(100, 100 + 3 * AT_ONCE)]
    texts[AT_ONCE + 7] = "AREA 5 NORTH"
    assert [at for at, found in enumerate(tags.are_tags(texts)) if not found] == [AT_ONCE + 7]
    assert [at for at, found in enumerate(tags.are_plain(texts)) if not found] == [AT_ONCE + 7]


@given(st.lists(st.one_of(st.text("ab", max_size=2), st.integers(0, 3), st.none())))
def test_values_are_numbered_in_the_order_in_which_they_come(values: list[object]) -> None:
    numbers, known = numbered(values)
    assert list(known) == list(dict.fromkeys(values))
    assert [list(known)[number] for number in numbers] == values
    assert list(known.values()) == list(range(len(known)))


@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 3))))
def test_different_places_are_counted_once(places: list[tuple[int, int]]) -> None:
    rows, cols = (np.array([place[axis] for place in places], dtype=np.int64) for axis in (0, 1))
    assert different(rows, cols) == len(set(places))
