"""What has the shape of a tag, what its letters name, and which words speak of level gauges."""

from __future__ import annotations

import pytest

from xlfuncs.lists import tags


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ("L1", False),
        ("L1A", True),
        ("LG1", True),
        ("L.1", True),
        ("1L1", True),
        ("L.", False),
        ("LG-1", True),
        ("PHASE-1", False),
        ("PHASES-1", True),
        ("GROUP 1", False),
        ("DN25 PN16", False),
    ],
)
def test_a_tag_has_three_characters_at_least_and_is_no_section(text: str, tag: bool) -> None:
    assert tags.is_tag(text) is tag
    assert tags.are_tags([text, text]) == [tag, tag]


@pytest.mark.parametrize(
    ("title", "level"),
    [
        ("Levelmeter list", True),
        ("Niveaumessung", True),
        ("Watergauges", True),
        ("Mortgage list", False),
        ("Gage list", True),
        ("LG list", True),
        ("Slgs list", False),
    ],
)
def test_a_word_of_level_within_another_has_five_letters(title: str, level: bool) -> None:
    assert tags.mentions_level(title) is level


@pytest.mark.parametrize(
    ("text", "several"),
    [
        ("LG-101 A-C", 3),
        ("LG-101 a-c", 3),
        ("LG-101 A-c", 1),
        ("LG-101 C-A", 1),
        ("LG-101 A-L", 12),
        ("LG-101 A-M", 1),
    ],
)
def test_letters_from_one_to_another_of_the_same_case(text: str, several: int) -> None:
    assert len(tags.split_tags(text)) == several
