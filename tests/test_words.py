"""Words that decide something are found in a text as their pattern would find them."""

import pytest

from xlfuncs.data import load
from xlfuncs.data.words import means, pattern_of

MEANINGS = sorted(load("words"))
ALL_WORDS = sorted({word.removesuffix("*") for name in MEANINGS for word in load("words")[name]["words"]})


@pytest.mark.parametrize("meaning", MEANINGS)
def test_a_text_means_what_its_pattern_finds(meaning: str) -> None:
    pattern = pattern_of(tuple(load("words")[meaning]["words"]))
    found = 0
    for word in ALL_WORDS:
        for text in (
            word,
            word.upper(),
            f"x{word}",
            f"{word}n",
            f"{word}_1",
            f"1{word} ({word})",
            f"a/{word}, b",
        ):
            assert means(text, meaning) == (pattern.search(text) is not None), text
            found += means(text, meaning)
    assert found >= 4  # each word of the block is in ALL_WORDS


def test_a_later_place_counts_where_the_first_is_within_a_word() -> None:
    assert means("sublevel, level", "level")
    assert not means("sublevel", "level")
