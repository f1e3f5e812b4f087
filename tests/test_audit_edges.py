"""What the audit compares beside its rules' limits: days, counts and which end is told, on both sides."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import numpy as np
import pytest

from xlfuncs.audit.days import day_of
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, Undecided, find_rule
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
