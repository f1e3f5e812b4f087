"""Which column is which field, decided for all columns of a list at once: each limit on both sides."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from xlfuncs.lists.decide import Scores, Verdict, decide


def taken(*columns: Scores) -> list[str]:
    return [one.field for one in decide(columns)]


def sure(*columns: Scores) -> list[bool]:
    return [one.sure for one in decide(columns)]


@pytest.mark.parametrize(
    ("score", "field", "certain"),
    [(0.59, "", False), (0.6, "tag", False), (0.63, "tag", False), (0.83, "tag", False), (0.84, "tag", True)],
)
def test_a_column_is_taken_from_six_tenths_and_surely_from_84(
    score: float, field: str, certain: bool
) -> None:
    (one,) = decide([{"tag": score}])
    assert (one.field, one.sure) == (field, certain)


def test_a_column_that_was_not_taken_is_told_with_what_it_may_be() -> None:
    assert decide([{"tag": 0.55}]) == [Verdict("", 0.55, False, "tag", 0.55)]
    assert decide([{"tag": 0.5}]) == [Verdict("", 0.5, False, "tag", 0.5)]
    assert decide([{"tag": 0.49}]) == decide([{}]) == [Verdict("")]
    _, other = decide([{"tag": 1.0}, {"tag": 0.9, "serial": 0.55}])
    assert other == Verdict("", 0.55, False, "serial", 0.55)
    _, other = decide([{"tag": 1.0}, {"tag": 0.9, "serial": 0.45}])
    assert other == Verdict("", 0.9, False, "tag", 0.9, 0), "what another column was taken for"
    _, other = decide([{"tag": 1.0}, {"tag": 0.84}])
    assert other.rival == 0
    _, other = decide([{"tag": 1.0}, {"tag": 0.83}])
    assert other == Verdict("")


@pytest.mark.parametrize(("second", "certain"), [(0.93, False), (0.911, False), (0.909, True), (0.8, True)])
def test_two_meanings_of_a_column_are_apart_by_two_hundredths(second: float, certain: bool) -> None:
    (one,) = decide([{"lrv": 0.93, "urv": second}])
    assert (one.field, one.sure) == ("lrv", certain)
    assert (one.runner_up, one.runner_up_score) == ("urv", second)
    first, _ = decide([{"lrv": 0.93, "urv": second}, {"urv": 1.0}])
    assert first.sure, "the other meaning is another column's"
    assert first.runner_up == ""


def test_a_second_meaning_is_told_from_one_half() -> None:
    (one,) = decide([{"lrv": 0.93, "urv": 0.5}])
    assert one.runner_up == "urv"
    (one,) = decide([{"lrv": 0.93, "urv": 0.49}])
    assert one.runner_up == ""


@pytest.mark.parametrize(
    ("second", "certain"), [(0.95, False), (0.931, False), (0.929, True), (0.55, True), (0.4, True)]
)
def test_two_columns_of_one_meaning_are_apart_by_two_hundredths(second: float, certain: bool) -> None:
    first, other = decide([{"tag": 0.95}, {"tag": second}])
    assert (first.field, first.sure, first.rival) == ("tag", certain, -1 if certain else 1)
    assert other.field == ""
    assert sure({"tag": 0.95}, {"tag": 0.5}, {"tag": second}) == [certain, False, False]


def test_another_column_is_no_rival_where_it_is_as_surely_something_else() -> None:
    assert sure({"lrv": 0.95}, {"lrv": 0.94, "urv": 0.93}) == [True, True]
    assert sure({"lrv": 0.95}, {"lrv": 0.94, "urv": 0.91}) == [False, True]
    assert sure({"lrv": 0.95}, {"lrv": 0.94}, {"urv": 0.93}) == [False, False, True]


def test_of_fields_that_may_stand_twice_the_first_is_as_good() -> None:
    assert sure({"remarks": 0.95}, {"remarks": 0.94, "service": 0.85}) == [True, True]
    assert sure({"remarks": 0.95}, {"remarks": 0.94, "service": 0.83}) == [False, False]
    assert sure({"lrv": 0.95}, {"lrv": 0.94, "service": 0.85}) == [False, True]


def test_of_columns_of_one_meaning_alone_the_first_best_is_taken() -> None:
    assert taken({"tag": 0.9}, {"tag": 0.95}) == ["", "tag"]
    assert taken({"tag": 0.9}, {"tag": 0.9}, {"tag": 0.9}) == ["tag", "", ""]
    assert taken({"tag": 0.6}, {"tag": 0.6}) == ["tag", ""]


def test_a_column_is_pushed_aside_by_one_that_has_no_other_meaning() -> None:
    assert taken({"lrv": 0.95, "urv": 0.9}, {"lrv": 0.94}) == ["urv", "lrv"]
    assert taken({"lrv": 0.95, "urv": 0.9}, {"lrv": 0.94}, {"urv": 0.91, "set_point": 0.9}) == [
        "urv", "lrv", "set_point",
    ]  # fmt: skip
    assert taken({"lrv": 0.95, "urv": 0.61}, {"lrv": 0.62}) == ["lrv", ""], "one surely, not two perhaps"


@pytest.mark.parametrize("number", range(30))
def test_the_sum_of_the_squares_above_six_tenths_is_greatest(number: int) -> None:
    draw = np.random.default_rng(number)
    names = ["lrv", "urv", "set_point", "visible_range"][: 2 + number % 3]
    columns = [
        {name: round(float(score), 3) for name, score in zip(names, draw.uniform(0.4, 1, 4), strict=False)}
        for _ in range(2 + number % 4)
    ]

    def worth(chosen: tuple[str, ...] | list[str]) -> float:
        return sum((one[name] - 0.6) ** 2 for one, name in zip(columns, chosen, strict=True) if name)

    allowed = [
        chosen
        for chosen in product(["", *names], repeat=len(columns))
        if all(chosen.count(name) < 2 for name in names)
        and all(not name or one[name] >= 0.6 for one, name in zip(columns, chosen, strict=True))
    ]
    found = taken(*columns)
    assert tuple(found) in allowed
    assert worth(found) == pytest.approx(max(map(worth, allowed)))
