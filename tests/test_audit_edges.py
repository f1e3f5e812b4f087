"""What the audit compares beside its rules' limits: days, counts and which end is told, on both sides."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import numpy as np
import pytest

from xlfuncs.audit.days import day_of
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import stated_shape
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.named import record_of
from xlfuncs.audit.registry import Hit, Undecided, find_rule, rules
from xlfuncs.audit.shown import shown
from xlfuncs.audit.working import Table, Working
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


@pytest.mark.parametrize(
    ("text", "low", "high"), [(">5 cP", True, False), ("<5 cP", False, True), ("5 cP", True, True)]
)
def test_a_value_that_is_open_towards_an_end_does_not_state_it(text: str, low: bool, high: bool) -> None:
    gauges = gauges_of({field: [value] for field, value in (SOUND | {"viscosity": text}).items()})
    assert gauges.given("viscosity.low").tolist() == [low]
    assert gauges.given("viscosity.high").tolist() == [high]


@pytest.mark.parametrize(
    ("text", "shape"),
    [
        ("flat", "flat"),
        ("bottom flat, top hemispherical", "flat/hemispherical"),
        ("top flat, bottom elliptical", "elliptical/flat"),
        ("flat and hemispherical", None),
        ("bottom flat", "flat"),
        ("bottom flat or elliptical, top hemispherical", None),
        ("round", None),
    ],
)
def test_a_shape_of_ends_is_one_or_one_for_each_side(text: str, shape: str | None) -> None:
    assert stated_shape(text) == shape


WRONG = {"fluid": "Blend 7", "fluid_density": "700 kg/m3", "upper_density": "0 kg/m3"}


def test_exchanges_are_tried_among_four_hundred_gauges_at_most() -> None:
    told = [one for one in outcomes("floats-exchanged", WRONG, 401) if isinstance(one, Undecided)]
    assert any("than 401: not every exchange is tried" in str(one) for one in told)
    few = [one for one in outcomes("floats-exchanged", WRONG, 20) if isinstance(one, Undecided)]
    assert not any("not every exchange is tried" in str(one) for one in few)
    assert np.count_nonzero([isinstance(one, Hit) for one in outcomes("floats-exchanged", WRONG, 1)]) == 0


LIMITED = {slug: item for slug, item in rules().items() if item.when is not None}
OF_EVERY_GAUGE = {
    "float-barely-floats", "design-density-mismatch", "density-not-at-operating-conditions",
    "fluid-boils-in-chamber", "viscosity-too-high", "flange-rating-exceeded",
}  # fmt: skip
"""Rules that ask a gauge of which nothing is stated as well: its fluid and its flanges it has."""


@pytest.mark.parametrize("slug", sorted(LIMITED))
def test_a_rule_concerns_the_gauges_in_which_it_fires_and_asks_no_other(slug: str) -> None:
    """Of the others it is not said that they were not checked."""
    item = LIMITED[slug]
    assert item.when is not None
    for example in item.firing if slug != "stacked-gauges-gap" else ():  # it takes two
        cells = SOUND | {field: value for field, value in example.items() if not field.startswith("_")}
        assert item.when(gauges_of({field: [value] for field, value in cells.items()})).all()
    bare = gauges_of({"tag": ["LG-1"], "serial": ["QX-1"]})
    assert item.when(bare).tolist() == [slug in OF_EVERY_GAUGE]


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        (273.15, "K", "0 °C"),
        (273.15 + 5.7e-14, "K", "0 °C"),
        (273.16, "K", "0.01 °C"),
        (0.0184, "m", "18.4 mm"),
        (1e-14, "m", "1e-11 mm"),
        (9.9999, "m", "9999.9 mm"),
        (10.0004, "m", "10000 mm"),
        (-20.0006, "m", "-20001 mm"),
        (101325.0, "Pa", "1.0132 barg"),
    ],
)
def test_a_number_is_shown_to_five_digits_and_a_converted_zero_as_nought(
    number: float, unit: str, text: str
) -> None:
    assert shown(number, unit).replace("degC", "°C") == text


def columns(**cells: list[Any]) -> Any:
    count = max(map(len, cells.values()))
    return gauges_of({field: [value] * count for field, value in SOUND.items()} | cells)


def test_a_gauge_is_found_by_its_tag_alone() -> None:
    gauges = columns(tag=["LG-1001", "lg 1002", "LG-1003", "LG-1003"])
    assert record_of(gauges, "LG-1001") == 0
    assert record_of(gauges, "LG 1002") == 1
    with pytest.raises(
        XlfuncsError, match=r"LG-1003 stands at .* row \d+ and .* row \d+; one of them has to go"
    ):
        record_of(gauges, "LG-1003")
    with pytest.raises(XlfuncsError, match="no gauge LG-1004: did you mean LG-100"):
        record_of(gauges, "LG-1004")
    with pytest.raises(XlfuncsError, match="no gauge XYZ: it holds 4 gauges, such as LG-1001"):
        record_of(gauges, "XYZ")


def test_an_open_density_states_the_end_that_it_has() -> None:
    gauges = columns(fluid_density=[">850 kg/m3", "<850 kg/m3", "850 kg/m3", "850 to 900 kg/m3"])
    assert gauges.given("lowest_density").tolist() == [True, False, True, True]
    assert gauges.given("any_density").tolist() == [False, False, True, True]


TABLE = Table([0.0, 10.0, 30.0], [100.0, 90.0, 50.0], "K", "Pa", "invented")


@pytest.mark.parametrize(
    ("here", "value", "rows"),
    [(-5, 100, 1), (0, 100, 4), (5, 95, 4), (10, 90, 4), (20, 70, 4), (30, 50, 4), (40, 50, 1)],
)
def test_a_table_is_read_between_the_rows_around_a_value_and_held_at_its_ends(
    here: float, value: float, rows: int
) -> None:
    gauges = columns(tag=["LG-1"])
    work = Working(gauges, gauges.settings, 0)
    work.constant("x", "where", here, "K", "invented")
    assert work.on_line("y", "what", "x", TABLE) == pytest.approx(value)
    assert len(work.inputs) + len(work.steps) == 1 + (5 if rows == 4 else 1)


def test_what_does_not_come_to_the_number_is_taken_back() -> None:
    gauges = columns(tag=["LG-1"])
    work = Working(gauges, gauges.settings, 0)
    assert work.tried(lambda: work.constant("a", "one", 2.0, "", "invented"), 2.0)
    assert not work.tried(lambda: work.constant("b", "other", 3.0, "", "invented"), 3.1)
    assert set(work.numbers) == {"a"}
    assert work.tried(lambda: work.constant("c", "third", 3.0, "", "invented"), 3.0 * (1 + 1e-10))


@pytest.mark.parametrize(("text", "water"), [("0.85 SG", True), ("850 kg/m3", False), (850.0, False)])
def test_the_water_that_a_specific_gravity_is_related_to_is_named(text: Any, water: bool) -> None:
    gauges = columns(tag=["LG-1"], fluid_density=[text])
    work = Working(gauges, gauges.settings, 0)
    work.cell("rho", "fluid_density")
    (value,) = work.inputs
    assert ("water" in value.note) is water
