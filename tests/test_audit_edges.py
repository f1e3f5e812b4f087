"""What the audit compares beside its rules' limits: days, counts and which end is told, on both sides."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import numpy as np
import pytest

from xlfuncs.audit.days import day_of
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.explain import page
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.profiles import profiles
from xlfuncs.audit.registry import Hit, Rule, Undecided, find_rule, rules
from xlfuncs.audit.rounding import FIELDS, digit, half_digits
from xlfuncs.errors import XlfuncsError


def outcomes(slug: str, cells: dict[str, Any], count: int = 1) -> list[Any]:
    columns = {field: [value] * count for field, value in (SOUND | cells).items()}
    columns["tag"] = [f"LG-{n}" for n in range(1, count + 1)]
    gauges = gauges_of(columns)
    return list(find_rule(slug).check(gauges, gauges.settings))


@pytest.mark.parametrize(
    ("value", "day"),
    [
        (1, date(1899, 12, 31)),
        (46_000, date(2025, 12, 9)),
        (2_958_465, date(9999, 12, 31)),
        (2_958_465.9, date(9999, 12, 31)),
        (datetime(2027, 3, 1, 5), date(2027, 3, 1)),
        ("31.12.2027", date(2027, 12, 31)),
        ("12/31/2027", date(2027, 12, 31)),
        ("05.04.2027", date(2027, 4, 5)),
        ("13/05/2027", date(2027, 5, 13)),
        ("05/05/2027", date(2027, 5, 5)),
    ],
)
def test_a_day_is_a_number_of_a_spreadsheet_or_written_in_one_way_only(value: Any, day: date) -> None:
    assert day_of(value, "B2") == day


@pytest.mark.parametrize(
    "value", [0, 0.5, -1, 2_958_466, 2_999_999, 3_200_000, True, "05/04/2027", "soon", ""]
)
def test_what_is_no_day_is_refused_with_its_place(value: Any) -> None:
    with pytest.raises(XlfuncsError, match=r"^B2: .* is no date that can be read in one way only"):
        day_of(value, "B2")


@pytest.mark.parametrize(
    ("cells", "end", "level"),
    [
        ({"level_high_high": "1100 mm"}, "high", 1100),
        ({"level_low_low": "-100 mm"}, "low", -100),
        ({"normal_level": "-100 to 1050 mm"}, "low", -100),
        ({"normal_level": "-50 to 1100 mm"}, "high", 1100),
    ],
)
def test_of_an_alarm_beyond_the_range_the_farther_end_is_told(
    cells: dict[str, Any], end: str, level: float
) -> None:
    (hit,) = [one for one in outcomes("alarm-outside-range", cells) if isinstance(one, Hit)]
    assert hit.case["end"] == end
    assert hit.evidence["level_mm"] == pytest.approx(level)
    assert hit.expected is not None


WRONG = {"fluid": "Blend 7", "fluid_density": "700 kg/m3", "upper_density": "0 kg/m3"}


def test_exchanges_are_tried_among_four_hundred_gauges_at_most() -> None:
    told = [one for one in outcomes("floats-exchanged", WRONG, 401) if isinstance(one, Undecided)]
    assert any("than 401: not every exchange is tried" in str(one) for one in told)
    few = [one for one in outcomes("floats-exchanged", WRONG, 20) if isinstance(one, Undecided)]
    assert not any("not every exchange is tried" in str(one) for one in few)
    assert np.count_nonzero([isinstance(one, Hit) for one in outcomes("floats-exchanged", WRONG, 1)]) == 0


# --- how finely a list states its floats ----------------------------------------------------------------


def half(name: str, *cells: Any) -> tuple[list[float], list[str]]:
    """Half the last digit of each cell [mm or g], and how it is said."""
    gauges = gauges_of({FIELDS[name]: list(cells)})
    halves, said = half_digits(gauges, name)
    return [round(float(one) * 1e3, 9) for one in halves], said.tolist()


@pytest.mark.parametrize(
    ("name", "cells", "halves", "words"),
    [
        ("diameter", ("50.0 mm",), [0.05], "half the last digit of 'gauges', 0.1 mm"),
        ("diameter", ("50.01 mm", "50 mm"), [0.005] * 2, "half the last digit of 'gauges', 0.01 mm"),
        ("diameter", (50.0, 50.25), [0.005] * 2, "half the last digit of 'gauges', 0.01 mm"),
        (
            "diameter",
            ("50 mm",),
            [0.05],
            "'gauges' shows no finer than 1 mm, a nominal size: the usual 0.05 mm",
        ),
        ("diameter", ("1.968 in", "50.0 mm"), [0.0127, 0.05], "half the last digit of 'gauges', 0.001 in"),
        ("diameter", ("2 3/8 in",), [0.05], "'gauges' shows no finer than 0.125 in, a nominal size"),
        ("diameter", ("50.12345 mm",), [5e-6], "half the last digit of 'gauges', 1e-05 mm"),
        ("diameter", ("50.123456 mm",), [0.05], "the usual 0.05 mm (common practice, no source)"),
        ("diameter", (None,), [0.05], "the usual 0.05 mm (common practice, no source)"),
        ("mass", ("350 g",), [0.5], "half the last digit of 'gauges', 1 g"),
        ("mass", ("350.5 g", "360 g"), [0.05] * 2, "half the last digit of 'gauges', 0.1 g"),
        (
            "mass",
            ("0.35 kg",),
            [0.5],
            "'gauges' shows no finer than 0.01 kg, a nominal size: the usual 0.5 g",
        ),
    ],
)
def test_half_the_last_digit_is_that_of_the_column_and_no_more_than_is_usual(
    name: str, cells: tuple[Any, ...], halves: list[float], words: str
) -> None:
    found, said = half(name, *cells)
    assert found == halves
    assert said[0].startswith(words)


@pytest.mark.parametrize(
    ("numbers", "last"),
    [
        ([528.2, 530.0], 0.1),
        ([60.0, 76.0], 1.0),
        ([2.375, 1 / 3], 0.001),
        ([2.12345], 1e-5),
        ([2.123456], np.nan),
        ([1 / 3], np.nan),
        ([], np.nan),
    ],
)
def test_numbers_show_their_last_digit_up_to_five_decimals(numbers: list[float], last: float) -> None:
    assert digit(np.array(numbers)) == pytest.approx(last, nan_ok=True)


# --- pages and drawings ---------------------------------------------------------------------------------


@pytest.mark.parametrize("item", rules().values(), ids=lambda item: item.slug)
def test_a_manual_page_is_no_wider_than_its_lines(item: Rule) -> None:
    lines = page(item).splitlines()
    assert max(map(len, lines)) <= 92


def test_two_thousand_gauges_are_drawn_and_no_more() -> None:
    gauges = gauges_of({"tag": [f"LG-{i}" for i in range(2005)]})
    assert len(profiles(gauges, gauges.settings, range(2000))) == 2000
    assert [one["tag"] for one in profiles(gauges, gauges.settings, range(2005))][-1] == "LG-1999"
    assert profiles(gauges, gauges.settings, ()) == []
