"""Set points of switches: which of two is the wrong one, where it belongs, and how far apart they come."""

from __future__ import annotations

import pytest

from tests.remedy_rows import Row, gauges_from, hits, mended, remedies, values

BARE: Row = {"tag": "LG-1", "visible_range": "1000 mm"}
"""Four switches of a gauge of which nothing else is stated; the middle of its range is at 500 mm."""


def points(*numbers: float | None, **more: str | None) -> Row:
    names = ("switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh")
    return {n: None if x is None else f"{x} mm" for n, x in zip(names, numbers, strict=True)} | more


@pytest.mark.parametrize(
    ("row", "odd"),
    [
        (points(100, 450, 440, 950), "switch_lsh"),  # a high switch below the middle
        (points(100, 560, 550, 950), "switch_lsl"),
        (points(300, 100, 200, 950, visible_range=None), "switch_lsll"),  # the others rise without it
        (points(300, 310, 305, 308, visible_range=None), "switch_lsl"),
        (points(110, 100, 850, 950), ""),  # without either the others rise
        (points(300, 100, None, None, visible_range=None), ""),
    ],
)
def test_the_set_point_that_is_wrong_is_told_by_its_half_or_by_the_others(row: Row, odd: str) -> None:
    found = hits("switch-order", gauges_from(row, base=BARE))
    assert found[0].case["odd"] == odd


@pytest.mark.parametrize(
    ("row", "right"),
    [
        (points(125, 100, 850, 950), [{"switch_lsll": "100 mm", "switch_lsl": "125 mm"}]),
        (points(124, 100, 850, 950), None),  # nearer than 25 mm to each other, in any order
        (points(100, 600, 550, 950), []),  # exchanged both are above the middle: one is wrong
        (points(100, 550, 500, 950), [{"switch_lsl": "500 mm", "switch_lsh": "550 mm"}]),
        (points(500, 400, 850, 950), [{"switch_lsll": "400 mm", "switch_lsl": "500 mm"}]),
    ],
)
def test_set_points_change_places_where_that_is_a_sound_order(
    row: Row, right: list[dict[str, str]] | None
) -> None:
    (remedy,) = remedies("switch-order", gauges_from(row, base=BARE))
    assert (None if remedy is None else values(remedy)) == right


def test_only_the_set_points_that_move_are_named() -> None:
    """50, 300, 200 and 950 mm: the second and the third change places."""
    row = points(50, 300, 200, 950, visible_range=None)
    remedy = mended("switch-order", gauges_from(row, base=BARE))
    assert values(remedy) == [{"switch_lsl": "200 mm", "switch_lsh": "300 mm"}]


WRONG = points(None, 860, 850, None)


@pytest.mark.parametrize(
    ("others", "right"),
    [
        ([100] * 3, "100 mm"),
        ([100] * 2, None),  # too few
        ([100] * 9 + [300], "100 mm"),
        ([100] * 8 + [300] * 2, None),  # nine in ten have to agree
    ],
)
def test_where_the_others_of_the_range_have_a_set_point_tells_where_it_belongs(
    others: list[float], right: str | None
) -> None:
    like = [points(None, at, 850, None) for at in others]
    apart = [points(None, 400, 850, None, visible_range="1400 mm")] * 12  # of another range
    (remedy,) = remedies("switch-order", gauges_from(WRONG, *like, *apart, base=BARE))
    assert remedy is not None
    assert values(remedy) == ([] if right is None else [{"switch_lsl": right}])


def test_a_usual_set_point_that_would_stand_too_near_is_not_proposed() -> None:
    like = [points(None, 100, 850, None)] * 4
    (near,) = remedies("switch-order", gauges_from(points(110, 860, 850, None), *like, base=BARE))
    assert near is not None and values(near) == []


def test_set_points_that_are_too_near_move_apart_to_the_safe_side_of_what_is_shown() -> None:
    """25 mm above 855.26 mm, and 25 below 860.24: in four digits up, and down."""
    remedy = mended("switch-spacing-small", gauges_from(points(None, None, 855.26, 860.24), base=BARE))
    assert values(remedy) == [{"switch_lshh": "880.3 mm"}, {"switch_lsh": "835.2 mm"}]


def test_a_set_point_beyond_the_range_comes_within_reach_of_the_float_at_its_nearest_end() -> None:
    row = points(-20, 150, 850, 1040)
    remedy = [values(one) for one in remedies("switch-outside-range", gauges_from(row)) if one is not None]
    assert remedy == [[{"switch_lsll": "10 mm"}], [{"switch_lshh": "990 mm"}]]
