"""Ratings from tables: what they hold, what they refuse. Published values: `published/ratings.csv`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.gauge import ratings, reasons
from xlfuncs.worksheet import call

ZERO = 273.15
TABLES = load("flange_ratings")
GROUPS = TABLES["asme"]["group"]
CELSIUS = TABLES["asme"]["temperature"]
STEELS = {name: block for name, block in TABLES["pn"]["group"].items() if block["strength"]}
CLASSES = [150, 300, 400, 600, 900, 1500, 2500]

groups = st.sampled_from(sorted(GROUPS))
classes = st.sampled_from(CLASSES)
steels = st.sampled_from(sorted(STEELS))
steps = st.sampled_from([6, 10, 16, 25, 40, 63, 100])


def why(function: Callable[..., Any], *arguments: Any) -> tuple[Any, Any]:
    with reasons() as found:
        result = function(*arguments)
    return result, found.at(result)


def hottest(group: str, number: int) -> float:
    return float(CELSIUS[len(GROUPS[group][str(number)]) - 1])


# --- classes of ASME B16.5 ----------------------------------------------------------------------------


@pytest.mark.parametrize("group", GROUPS)
def test_the_printed_ratings_fit_each_other(group: str) -> None:
    """A slip of one figure shows: ratings fall with temperature, and above class 150 they are proportional
    to the class number to within the rounding of the printed figures, because one formula made them
    (ASME B16.5, annex on the method), or they are the ceiling that all groups share.
    """
    block = GROUPS[group]
    rows = {number: np.array(block[str(number)]) for number in CLASSES}
    length = len(rows[2500])
    assert all(len(rows[number]) == length for number in CLASSES[1:]) and len(rows[150]) <= length <= len(
        CELSIUS
    )
    for number, row in rows.items():
        assert np.all(np.diff(row) <= 0)
        due = rows[2500][: len(row)] / 2500 * number
        rounding = 0.05 + 0.05 * number / 2500 + 0.02
        proportional = np.abs(row - due) <= rounding
        others = [np.array(other[str(number)]) for other in GROUPS.values()]
        ceiling = np.array([max(o[at] for o in others if at < len(o)) for at in range(len(row))])
        # above the creep range the ceiling of a temperature is rounded by itself: within 3 %
        shared = (np.abs(row - ceiling) < 0.35) & (np.abs(row - due) <= np.maximum(0.25, 0.05 * due))
        assert number == 150 or np.all(proportional | shared), (
            number,
            np.flatnonzero(~(proportional | shared)),
        )
    assert np.all(rows[150] <= rows[300][: len(rows[150])])


def test_class_150_has_one_ceiling_for_all_groups() -> None:
    """From 325 degC on class 150 is limited by a ceiling common to all materials."""
    ceiling = [9.3, 8.4, 7.4, 6.5, 5.5, 4.6, 3.7, 2.8, 1.4]
    first = CELSIUS.index(325)
    for block in GROUPS.values():
        tail = block["150"][first:]
        assert tail == ceiling[: len(tail)]


@given(groups, classes, st.floats(0, 1), st.floats(0, 1))
def test_a_rating_never_rises_with_temperature(group: str, number: int, share: float, further: float) -> None:
    end = hottest(group, number)
    cool = -29 + share * (end + 29)
    warm = cool + further * (end - cool)
    cooler, warmer = ratings.flange_rating(number, group, np.array([cool, warm]) + ZERO)
    assert warmer <= cooler * (1 + 1e-12)


@given(groups, st.floats(0, 1))
def test_a_higher_class_carries_more(group: str, share: float) -> None:
    celsius = -29 + share * (hottest(group, 150) + 29)
    row = ratings.flange_rating(CLASSES, group, celsius + ZERO)
    assert np.all(np.diff(row) > 0)


@given(groups, classes, st.integers(0, 6), st.floats(0, 1))
def test_between_two_rows_the_rating_is_on_their_line(
    group: str, number: int, index: int, share: float
) -> None:
    warm, bars = CELSIUS[index : index + 2], GROUPS[group][str(number)][index : index + 2]
    celsius = warm[0] + share * (warm[1] - warm[0])
    ours = ratings.flange_rating(number, group, celsius + ZERO) / 1e5
    assert ours == pytest.approx(bars[0] + share * (bars[1] - bars[0]), rel=1e-9)


def test_the_first_row_holds_down_to_minus_29() -> None:
    cold = ratings.flange_rating(150, "1.1", np.array([-29.0, 0.0, 38.0]) + ZERO)
    assert cold == pytest.approx([19.6e5] * 3)


def test_austenitic_groups_keep_their_first_row_in_the_cold() -> None:
    cold = ratings.flange_rating(300, "2.3", np.array([-198.0, -100.0, 38.0]) + ZERO)
    assert cold == pytest.approx([41.4e5] * 3)


# --- PN of EN 1092-1 ----------------------------------------------------------------------------------


@pytest.mark.parametrize("group", STEELS)
def test_strengths_fall_and_give_no_more_than_pn(group: str) -> None:
    strength = STEELS[group]["strength"]
    assert len(strength) == len(TABLES["pn"]["temperature"]) - 1
    assert np.all(np.diff(strength) < 0)
    cool = ratings.flange_rating("PN 40", group, np.array([-10.0, 20.0, 50.0]) + ZERO)
    assert cool == pytest.approx([40e5] * 3)


@given(steels, steps, st.integers(0, 7))
def test_a_pn_is_rounded_down_to_a_tenth_of_a_bar(group: str, number: int, index: int) -> None:
    """EN 1092-1, F.2.7: 15.19 bar is 15.1 bar."""
    celsius = TABLES["pn"]["temperature"][index]
    ours = float(ratings.flange_rating(f"PN {number}", group, celsius + ZERO)) / 1e5
    exact = number * min(1.0, 1.0 if index == 0 else STEELS[group]["strength"][index - 1] / 210)
    assert exact - 0.1 < ours <= exact + 1e-6
    assert ours * 10 == pytest.approx(round(ours * 10), abs=1e-6)


def test_the_row_of_annex_g_for_1_4404() -> None:
    """PN 40, group 13E0, 100 to 400 degC, as printed in a public text."""
    row = ratings.flange_rating("PN 40", "13E0", np.array([100, 150, 200, 250, 300, 350, 400]) + ZERO) / 1e5
    assert row == pytest.approx([37.9, 34.4, 31.8, 29.9, 27.6, 26.4, 25.7])


# --- JIS B 2220 ---------------------------------------------------------------------------------------


def test_the_division_of_a_jis_flange_decides_above_120_degrees() -> None:
    low, high = ratings.rating_bounds(
        "10K", "023a", np.array([20.0, 120.0, 121.0, 220.0, 299.0, 300.0]) + ZERO
    )
    assert high / 1e5 == pytest.approx([14, 14, 14, 12, 12, 10])
    assert low[:2] / 1e5 == pytest.approx([10, 10])
    assert np.all(np.isnan(low[2:]))
    rating, reason = why(ratings.flange_rating, "10K", "023a", 150 + ZERO)
    assert np.isnan(rating) and "division" in str(reason)


def test_the_bounds_of_a_class_and_of_a_pn_are_one() -> None:
    for stated, group in (("150#", "2.3"), ("PN 16", "3E0")):
        low, high = ratings.rating_bounds(stated, group, np.array([20.0, 250.0]) + ZERO)
        assert low == pytest.approx(high)


# --- what has no rating -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        (("", "2.3", 300.0), "flange_class '' is not one rating: give an ASME class"),
        ((175, "2.3", 300.0), "is not one rating"),
        (("150 / 300", "2.3", 300.0), "is not one rating"),
        (('1/2" NPT', "2.3", 300.0), "is not one rating"),
        (("PN 40", "2.3", 300.0), "material_group '2.3' is not tabulated for PN 40: give 3E0, 10E0"),
        (("PN 320", "13E0", 300.0), "flange_class PN 320 is not tabulated for material_group 13E0"),
        (("10K", "13E0", 300.0), "material_group '13E0' is not tabulated for JIS 10K: give 001"),
        (("20K", "001", 300.0), "flange_class JIS 20K is not tabulated for material_group 001"),
        (("40K", "021a", 300.0), "JIS 40K is not in JIS B 2220, which ends at 30K"),
        (("40K", "13E0", 300.0), "JIS 40K is not in JIS B 2220, which ends at 30K"),
        (("PN 40", "10E0", 330.0), "could not be confirmed: take EN 1092-1, annex G"),
        ((300, "316L", 300.0), "this material is in group 2.3"),
        (("PN 40", "1.4404", 300.0), "this material is in group 13E0"),
        ((300, "5.9", 300.0), "give 1.1, 1.2, 1.3"),
        (
            (300, "2.3", 450.1 + ZERO),
            "temperature is outside the table of this material_group: -198 to 450 degC",
        ),
        ((150, "2.2", 539 + ZERO), "-198 to 538 degC"),
        ((300, "1.1", 539 + ZERO), "-29 to 538 degC"),
        ((300, "1.1", -29.1 + ZERO), "temperature is outside the table"),
        (("PN 16", "3E0", -10.1 + ZERO), "-10 to 400 degC"),
        (("PN 16", "13E0", 401 + ZERO), "-196 to 400 degC"),
        (("16K", "021a", 351 + ZERO), "-10 to 350 degC"),
    ],
)
def test_what_is_not_in_the_table_has_no_rating(arguments: tuple[Any, ...], part: str) -> None:
    result, reason = why(ratings.flange_rating, *arguments)
    assert np.isnan(result)
    assert part in str(reason)


@pytest.mark.parametrize(
    ("text", "number"), [("150#", 150), ("Class 300", 300), (150.0, 150), ('2" CL600', 600)]
)
def test_the_class_of_a_cell(text: float | str, number: int) -> None:
    assert ratings.class_number(text) == number


@pytest.mark.parametrize("text", ["PN 40", "10K", "150 / 300", '1/2" NPT', "", 15])
def test_what_is_not_a_class(text: int | str) -> None:
    assert ratings.class_number(text) is None


def test_a_column_gives_what_its_rows_give() -> None:
    number = np.array(["150#", "Class 300", 600, "PN 16", "PN 16", "10K"], dtype=object)
    group = np.array(["2.3", "1.1", "group 2.1", "2.2", "13e0", "021a"], dtype=object)
    kelvin = np.array([60.0, 120.0, 333.0, 20.0, 120.0, 100.0]) + ZERO
    together = ratings.flange_rating(number, group, kelvin)
    alone = [ratings.flange_rating(*row) for row in zip(number, group, kelvin, strict=True)]
    np.testing.assert_array_equal(together, alone)
    assert np.isnan(together).tolist() == [False, False, False, True, False, False]


@given(groups, st.floats(0, 1), st.floats(0, 450e5))
def test_the_lowest_class_is_enough_and_the_next_lower_is_not(
    group: str, share: float, pressure: float
) -> None:
    celsius = -29 + share * (hottest(group, 150) + 29)
    lowest = ratings.lowest_class(pressure, group, celsius + ZERO)
    rated = {n: ratings.flange_rating(n, group, celsius + ZERO) for n in CLASSES}
    if np.isnan(lowest):
        assert all(rating < pressure for rating in rated.values())
    else:
        assert rated[int(lowest)] >= pressure * (1 - 1e-9)
        assert all(rated[n] < pressure for n in CLASSES if n < lowest)


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        ((500e5, "2.3", 300.0), "pressure is above the highest class"),
        ((10e5, "9.9", 300.0), "material_group '9.9' is not tabulated"),
        ((10e5, "2.3", 800.0), "temperature is outside the table"),
    ],
)
def test_no_class_is_named_without_a_table(arguments: tuple[float, str, float], part: str) -> None:
    result, reason = why(ratings.lowest_class, *arguments)
    assert np.isnan(result)
    assert part in str(reason)


# --- materials ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "group", "magnetic"),
    [
        ("316L", "2.3", False),
        ("SS 316 L", "2.3", False),
        ("ASTM A182 Gr. F316L", "2.3", False),
        ("A-182-F316", "2.2", False),
        ("316/316L", "2.2", False),
        ("AISI 304", "2.1", False),
        ("304L stainless steel", "2.3", False),
        ("A 105", "1.1", True),
        ("SA-105N", "1.1", True),
        ("A350 LF2 Cl.1", "1.1", True),
        ("carbon steel", None, True),
        ("A106 Gr.B", None, True),
        ("A312 TP316L", None, False),
        ("S31803", "2.8", True),
        ("17-4 PH", None, True),
        ("410", None, True),
        ("1.4404", None, False),
        ("1.4404 (316L)", "2.3", False),
        ("titanium Gr. 2", None, False),
        ("alloy C-276", "3.8", False),
        ("PVDF", None, False),
        ("316SS", "2.2", False),
        ("F316L/316L", "2.3", False),
        ("acier inox 316L", "2.3", False),
        ("304/316", None, False),
        ("CS/316L", None, None),
        ("Acero al carbono", None, True),
        ("C-Stahl", None, True),
        ("cast iron", None, True),
    ],
)
def test_materials_as_lists_name_them(name: str, group: str | None, magnetic: bool | None) -> None:
    assert ratings.material_group(name) == group
    assert ratings.is_ferromagnetic(name) is magnetic


@pytest.mark.parametrize("name", ["", "stainless steel", "steel", "316X", "3161", "by vendor", "alloy", "?"])
def test_an_unknown_material_is_not_guessed(name: str) -> None:
    assert ratings.material_group(name) is None
    assert ratings.is_ferromagnetic(name) is None
    assert call("LG_MATERIAL_GROUP", name or "?") == "unknown"


@pytest.mark.parametrize(
    ("text", "group", "system"),
    [
        ("2.3", "2.3", "asme"),
        ("Gr. 1.10", "1.10", "asme"),
        ("group 13e0", "13E0", "pn"),
        ("021A", "021a", "jis"),
    ],
)
def test_a_group_as_a_cell_states_it(text: str, group: str, system: str) -> None:
    assert ratings.group_number(text) == group
    assert ratings.group_system(group) == system


@pytest.mark.parametrize("text", ["316L", "", "A105", "group", "2.3 or 2.2", "13"])
def test_what_is_not_a_group(text: str) -> None:
    assert ratings.group_number(text) is None


def test_low_alloy_and_plain_grades_keep_their_own_rating() -> None:
    assert ratings.flange_rating(300, ratings.material_group("316L"), 373.15) < ratings.flange_rating(
        300, ratings.material_group("316"), 373.15
    )


@pytest.mark.parametrize("name", ["NdFeB", "nd-fe-b", "Neodymium"])
def test_a_magnet_is_judged_by_its_weakest_grade(name: str) -> None:
    assert ratings.magnet_limit(name) == pytest.approx(80 + ZERO)


def test_every_magnet_has_a_range_and_its_lower_end_counts() -> None:
    for block in load("magnets").values():
        low, high = block["highest"]
        assert low <= high
        for name in block["names"]:
            assert ratings.magnet_limit(name) == pytest.approx(low + ZERO)


def test_an_unknown_magnet_has_no_limit() -> None:
    limits, reason = why(ratings.magnet_limit, ["SmCo", "iron", "alnico"])
    assert list(np.isnan(limits)) == [False, True, False]
    assert "give one of alnico" in reason[1]


def test_the_classes_go_down_in_temperature() -> None:
    order = ["T1", "T2", "T2A", "T2B", "T2C", "T2D", "T3", "T3A", "T3B", "T3C", "T4", "T4A", "T5", "T6"]
    assert np.all(np.diff(ratings.temperature_class_limit(order)) < 0)


@pytest.mark.parametrize("text", ["T4", "t4", " T4 ", "T 4", "Ex db IIC T4 Gb", "II 1/2 G Ex ia IIC T4"])
def test_one_class_in_a_marking(text: str) -> None:
    assert ratings.temperature_class_limit(text) == pytest.approx(135 + ZERO)


@pytest.mark.parametrize("text", ["", "T7", "T4...T6", "T6/T4", "T135°C", "IIC", "T4D", "4"])
def test_no_class_or_several_give_no_limit(text: str) -> None:
    limit, reason = why(ratings.temperature_class_limit, text)
    assert np.isnan(limit)
    assert str(reason) == "temperature_class must be one class, T1 to T6"


def test_every_table_states_its_sources() -> None:
    for name in ("magnets", "temperature_classes", "insulation", "air", "signal"):
        assert all(block["source"].strip() for block in load(name).values())
    for system in TABLES.values():
        groups_ = system["group"].values()
        assert all(block["source"].strip() for block in (system, *groups_) if isinstance(block, dict))
        for block in groups_:
            assert not isinstance(block, dict) or ("lowest" in block) == ("lowest_source" in block)
