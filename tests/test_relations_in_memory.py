"""What cells of a column have to do with those of others, tags and the joint decision, in memory: each share
and limit on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from xlfuncs.lists import tags
from xlfuncs.lists.decide import decide
from xlfuncs.lists.evidence import profile
from xlfuncs.lists.relations import equals, follows, repeats, tell_currents

NAN = float("nan")


def numbers(*values: float) -> Any:
    return np.array(values, dtype=float)


# --- relations -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mine", "theirs", "repeated"),
    [
        ("A1 A2 A3", "A1 A2 A3", True),
        ("A1 A2", "A1 A2", False),
        ("A1 A2 X Y", "A1 A2 A3 A4", True),
        ("A1 A2 X Y Z", "A1 A2 A3 A4 A5", False),
        ("A1 A2 A3 - -", "A1 A2 A3 - A5", True),
        ("A1 A1 A1 A2 A3", "A1 A1 A1 A2 A3", False),
        ("A1 A1 A2 A3 A4 A5", "A1 A1 A2 A3 A4 A5", True),
        ("a-1 A.2 A/3", "A1 A2 A3", True),
        ("X Y Z", "A1 A2 A3", False),
        ("A1 " * 10 + "A2 A3", "A1 A2 A3 A4 A5 A6 A7 A8 A9 B1 B2 B3", False),
    ],
)
def test_serials_repeat_others_in_half_of_three_rows_and_tell_rows_apart(
    mine: str, theirs: str, repeated: bool
) -> None:
    one, other = (profile(["" if word == "-" else word for word in text.split()]) for text in (mine, theirs))
    assert repeats(one, other) is repeated


def test_serials_are_compared_in_the_first_sixty_rows() -> None:
    theirs = [f"A{n}" for n in range(130)]
    assert repeats(profile(theirs[:30] + ["X"] * 100), profile(theirs))
    assert not repeats(profile(theirs[:29] + ["X"] * 100), profile(theirs))
    assert not repeats(profile(theirs[:29] + ["X"] * 31 + theirs[60:]), profile(theirs))


@pytest.mark.parametrize(
    ("mine", "theirs", "equal"),
    [
        ([500, 600, 700], [500, 600, 700], True),
        ([500, 600], [500, 600], False),
        ([500, 600, 1, 1], [500, 600, 700, 800], True),
        ([500, 600, 1, 1, 1], [500, 600, 700, 800, 900], False),
        ([500, 500, 500], [500, 500, 500], False),
        ([500, 500, 600], [500, 500, 600], True),
        ([500, NAN, 600, 700], [500, 600, 600, 700], True),
        ([500, NAN, 600], [500, 600, 600], False),
        ([500.4, 600.5, 700.6], [500, 600, 700], True),
        ([501, 602, 703], [500, 600, 700], False),
        ([500, 600, 700, 9, 9, 9, 9], [500, 600, 700], True),
        ([500, 600, 700], [500, 600, 700, 9, 9, 9, 9], True),
    ],
)
def test_lengths_equal_others_in_half_of_three_rows_to_a_thousandth(
    mine: Sequence[float], theirs: Sequence[float], equal: bool
) -> None:
    assert equals(numbers(*mine), numbers(*theirs)) is equal


def followed(
    levels: Sequence[float], currents: Sequence[float], span: float = 1000.0, low: float = 0.0
) -> bool:
    n = len(levels)
    return follows(numbers(*levels), numbers(*currents), numbers(*[low] * n), numbers(*[low + span] * n))


LEVELS = [0.0, 250.0, 500.0, 750.0, 1000.0, 125.0]
CURRENTS = [4.0, 8.0, 12.0, 16.0, 20.0, 6.0]
"""4 mA + 16 mA times the share of the range."""


@pytest.mark.parametrize(("right", "due"), [(6, True), (3, True), (2, False)])
def test_currents_follow_levels_in_half_of_the_rows(right: int, due: bool) -> None:
    assert followed(LEVELS, [*CURRENTS[:right], *[19.5] * (6 - right)]) is due


@pytest.mark.parametrize(
    ("by", "due"), [(0.0, True), (0.059, True), (0.061, False), (0.064, False), (-0.059, True)]
)
def test_currents_are_rounded_by_six_hundredths(by: float, due: bool) -> None:
    assert followed(LEVELS, [current + by for current in CURRENTS]) is due


@pytest.mark.parametrize(
    ("current", "due"), [(3.5, True), (3.49, False), (21.5, True), (21.51, False), (3.7, True), (22.5, False)]
)
def test_currents_of_a_loop_lie_between_3_5_and_21_5_milliamperes(current: float, due: bool) -> None:
    """Beyond is a fault of the loop by NAMUR NE 43 (from memory)."""
    assert followed(LEVELS, [*CURRENTS[:5], current]) is due
    columns = [
        profile([4.0, 12.0, current]),
        profile([5.0, 5.0, 5.0]),
        profile([4.0, 12.0]),
        profile([4.0, 8.0, 8.0]),
    ]
    assert tell_currents(columns) == ([0, 3] if due else [3])


def test_three_levels_that_differ_are_needed_and_ranges_that_are_none_do_not_count() -> None:
    assert followed(LEVELS[:3], CURRENTS[:3])
    assert not followed(LEVELS[:2], CURRENTS[:2])
    assert not followed([500.0] * 4, [12.0] * 4)
    assert followed([0.0, 25.0, 50.0, 75.0], CURRENTS[:4]), "levels in cm"
    urv = numbers(1000, 1000, 0, 1000)
    assert follows(numbers(*LEVELS[:4]), numbers(*CURRENTS[:4]), numbers(0, 0, 0, 0), urv)
    assert not follows(numbers(*LEVELS[:3]), numbers(*CURRENTS[:3]), numbers(0, 0, 0), numbers(1000, 1000, 0))


# --- tags ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ("LG-101", True),
        ("L1A", True),
        ("L1", False),
        ("AREA-1", False),
        ("AREAS-1", True),
        ("UNIT 2", False),
        ("LG", False),
        ("101", False),
        ("DN25 PN16", False),
        ("=K1.A2-BL01", True),
        ("=AB-12", False),
        ("+K1-LG1", True),
    ],
)
def test_a_tag_has_letters_and_a_number_and_is_no_word_of_a_section(text: str, tag: bool) -> None:
    assert tags.is_tag(text) is tag


@pytest.mark.parametrize(
    ("text", "every"),
    [
        ("LT-002A/B/C", ["LT-002A", "LT-002B", "LT-002C"]),
        ("LG-101/A/B", ["LG-101A", "LG-101B"]),
        ("LG-101/B", ["LG-101/B"]),
        ("LG-101 A-C", ["LG-101A", "LG-101B", "LG-101C"]),
        ("LG-101 A-L", [f"LG-101{letter}" for letter in "ABCDEFGHIJKL"]),
        ("LG-101 A-M", ["LG-101 A-M"]),
        ("LG-101 C-A", ["LG-101 C-A"]),
        ("LG-101 A-A", ["LG-101 A-A"]),
        ("LG-3101 thru 3104", ["LG-3101", "LG-3102", "LG-3103", "LG-3104"]),
        ("LG-3101 to 04", ["LG-3101", "LG-3102", "LG-3103", "LG-3104"]),
        ("LG-3104 to 3104", ["LG-3104 to 3104"]),
        ("LG-101, 102", ["LG-101", "LG-102"]),
        ("LG-101 & LT-101", ["LG-101", "LT-101"]),
        ("LG-101/2", ["LG-101", "LG-102"]),
        ("LG-101/1012", ["LG-101", "LG-1012"]),
        ("LG-101A, B", ["LG-101A", "LG-101B"]),
        ("LG-101, LG-201 to 203", ["LG-101", "LG-201", "LG-202", "LG-203"]),
    ],
)
def test_the_tags_of_a_cell(text: str, every: list[str]) -> None:
    assert list(tags.split_tags(text)) == every


@pytest.mark.parametrize(("last", "counted"), [(60, 60), (61, 1), (64, 1)])
def test_a_cell_counts_out_sixty_tags_at_most(last: int, counted: int) -> None:
    assert len(tags.split_tags(f"LG-001 to {last:03d}")) == counted


@pytest.mark.parametrize(
    ("tag", "letters"),
    [
        ("23-LG-96184", "LG"),
        ("23-PT-92501B-11", "PT"),
        ("LG-101-X", "LG"),
        ("A-PT-1", "PT"),
        ("B-1", "B"),
        ("101", ""),
        ("AB-C1-PT", "C"),
    ],
)
def test_the_function_letters_stand_before_the_number(tag: str, letters: str) -> None:
    assert tags.letters_of(tag) == letters


@pytest.mark.parametrize(
    ("letters", "other"),
    [
        ("PT", True),
        ("PDIT", True),
        ("PDITX", False),
        ("PDAHH", True),
        ("PDALL", True),
        ("LG", False),
        ("", False),
    ],
)
def test_letters_of_another_instrument_are_four_or_an_alarms_five(letters: str, other: bool) -> None:
    assert tags.other_instrument(letters) is other


@pytest.mark.parametrize(("length", "cleaned"), [(80, True), (81, False), (88, False)])
def test_a_text_of_more_than_eighty_characters_is_no_tag_to_be_cleaned(length: int, cleaned: bool) -> None:
    text = "LG-1".ljust(length - 2, "x") + " *"
    assert (tags.clean(text) == text[:-2]) is cleaned


def test_a_title_is_about_level_gauges_by_a_word_or_by_one_of_five_letters_within_another() -> None:
    assert tags.mentions_level("Level gauges")
    assert tags.mentions_level("Füllstandanzeiger")
    assert not tags.mentions_level("Pumps")
    assert tags.is_tag("LG-1")
    assert not tags.mentions_level("slgx")


# --- the joint decision ----------------------------------------------------------------------------------


def decided(*columns: dict[str, float]) -> list[tuple[str, bool]]:
    return [(one.field, one.sure) for one in decide(columns)]


def test_a_column_is_sure_by_0_84_and_a_margin_of_two_hundredths() -> None:
    assert decided({"fluid": 0.84}) == [("fluid", True)]
    assert decided({"fluid": 0.83}) == [("fluid", False)]
    assert decided({"fluid": 0.6}) == [("fluid", False)]
    assert decided({"fluid": 0.59}) == [("", False)]
    assert decided({"fluid": 0.9, "lrv": 0.87}) == [("fluid", True)]
    assert decided({"fluid": 0.9, "lrv": 0.879}) == [("fluid", True)]
    assert decided({"fluid": 0.9, "lrv": 0.881}) == [("fluid", False)]
    assert decided({"fluid": 0.64}) == [("fluid", False)]


def test_two_columns_of_one_field_are_not_told_apart_within_the_margin() -> None:
    assert decided({"lrv": 0.9}, {"lrv": 0.87}) == [("lrv", True), ("", False)]
    assert decided({"lrv": 0.9}, {"lrv": 0.881}) == [("lrv", False), ("", False)]
    assert decided({"lrv": 0.9}, {"lrv": 0.9, "urv": 0.89}) == [("lrv", True), ("urv", True)]
    assert decided({"lrv": 0.95}, {"lrv": 0.95, "urv": 0.94}) == [("lrv", True), ("urv", True)]
    assert decided({"lrv": 0.9}, {"lrv": 0.9, "urv": 0.7}) == [("lrv", False), ("urv", False)]


def test_what_a_column_could_have_been_is_told() -> None:
    (one,) = decide([{"fluid": 0.9, "lrv": 0.5}])
    assert (one.runner_up, one.runner_up_score) == ("lrv", 0.5)
    (one,) = decide([{"fluid": 0.9, "lrv": 0.49}])
    assert (one.runner_up, one.runner_up_score) == ("", 0.49)
    (one,) = decide([{"fluid": 0.5}])
    assert (one.field, one.runner_up) == ("", "fluid")
    (one,) = decide([{"fluid": 0.49}])
    assert (one.field, one.runner_up) == ("", "")
    first, second = decide([{"lrv": 0.9}, {"lrv": 0.84}])
    assert (second.runner_up, second.rival) == ("lrv", 0)
    assert (first.runner_up, first.rival) == ("", -1)
    _, second = decide([{"lrv": 0.9}, {"lrv": 0.83}])
    assert (second.runner_up, second.rival) == ("", -1)
    first, second = decide([{"lrv": 0.9}, {"lrv": 0.89}])
    assert (first.rival, second.rival) == (1, 0)
    first, _ = decide([{"lrv": 0.9, "urv": 0.8}, {"urv": 0.95}])
    assert first.runner_up == "", "another column is it"


def test_columns_that_compete_are_settled_together() -> None:
    assert decided({"lrv": 0.9, "urv": 0.88}, {"lrv": 0.95}) == [("urv", True), ("lrv", True)]
    chain: list[dict[str, float]] = [{"lrv": 1.0}, {"lrv": 0.99, "urv": 0.9}, {"urv": 0.95, "fluid": 0.9}]
    assert [field for field, _ in decided(*chain)] == ["lrv", "urv", "fluid"]
    assert [field for field, _ in decided({"lrv": 1.0, "urv": 0.61}, {"lrv": 0.9})] == ["lrv", ""]
