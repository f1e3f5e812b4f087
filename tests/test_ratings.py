"""Ratings from tables: what they hold, what they refuse. Published values: `published/ratings.csv`."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.gauge import ratings, reasons
from xlfuncs.worksheet import call

ZERO = 273.15
GROUPS = load("flange_ratings")["group"]
CLASSES = [150, 300, 600, 900, 1500, 2500]

groups = st.sampled_from(sorted(GROUPS))
classes = st.sampled_from([150, 300, 600, 900, 1500])


def why(function, *arguments):
    with reasons() as found:
        result = function(*arguments)
    return result, found.at(result)


@pytest.mark.parametrize("group", GROUPS)
def test_the_printed_ratings_fit_each_other(group):
    """A slip of one figure shows: ratings fall with temperature, and above class 150 they are
    proportional to the class number (class 300 to 2500 as 300, 600, 900, 1500, 2500) to within the
    rounding of the printed figures, because one formula made them (ASME B16.5, annex on the method).
    """
    block = GROUPS[group]
    rows = {number: np.array(block[str(number)]) for number in CLASSES if str(number) in block}
    assert {len(row) for row in rows.values()} == {len(block["temperature"])}
    assert np.all(np.diff(block["temperature"]) > 0)
    for row in rows.values():
        assert np.all(np.diff(row) < 0)
    base = rows[1500] / 1500
    for number in (300, 600, 900):
        assert rows[number] == pytest.approx(base * number, abs=0.05 + 0.05 * number / 1500 + 0.02)
    assert np.all(rows[150] < rows[300])


def test_class_150_has_one_ceiling_for_all_groups():
    """From 325 degC on class 150 is limited by a ceiling common to all materials."""
    tails = {
        tuple(np.array(block["150"])[np.isin(block["temperature"], [325, 350, 375, 400])])
        for block in GROUPS.values()
    }
    assert tails == {(9.3, 8.4, 7.4, 6.5)}


@given(groups, classes, st.floats(-29, 399), st.floats(0.1, 100))
def test_a_rating_never_rises_with_temperature(group, number, celsius, step):
    cool, warm = celsius + ZERO, min(celsius + step, 400) + ZERO
    assert ratings.flange_rating(number, group, warm) <= ratings.flange_rating(number, group, cool)


@given(groups, st.floats(-29, 400))
def test_a_higher_class_carries_more(group, celsius):
    row = ratings.flange_rating([150, 300, 600, 900, 1500], group, celsius + ZERO)
    assert np.all(np.diff(row) > 0)


@given(groups, classes, st.integers(0, 9), st.floats(0, 1))
def test_between_two_rows_the_rating_is_on_their_line(group, number, index, share):
    block = GROUPS[group]
    warm, bars = block["temperature"][index : index + 2], block[str(number)][index : index + 2]
    celsius = warm[0] + share * (warm[1] - warm[0])
    ours = ratings.flange_rating(number, group, celsius + ZERO) / 1e5
    assert ours == pytest.approx(bars[0] + share * (bars[1] - bars[0]), rel=1e-9)


def test_the_first_row_holds_down_to_minus_29():
    cold = ratings.flange_rating(150, "1.1", np.array([-29.0, 0.0, 38.0]) + ZERO)
    assert cold == pytest.approx([19.6e5] * 3)


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        (("PN 40", "2.3", 300.0), "flange_class 'PN 40' is not an ASME class"),
        (("", "2.3", 300.0), "is not an ASME class"),
        ((175, "2.3", 300.0), "is not an ASME class"),
        ((400, "2.3", 300.0), "flange_class 400 is not tabulated for material_group 2.3"),
        ((2500, "2.3", 300.0), "flange_class 2500 is not tabulated for material_group 2.3"),
        ((300, "316L", 300.0), "this material is in group 2.3"),
        ((300, "5.9", 300.0), "give 1.1, 2.1, 2.2, 2.3"),
        (
            (300, "2.3", 400.1 + ZERO),
            "temperature is outside the table of this material_group: -29 to 400 degC",
        ),
        ((300, "1.1", 539 + ZERO), "-29 to 538 degC"),
        ((300, "1.1", -29.1 + ZERO), "temperature is outside the table"),
    ],
)
def test_what_is_not_in_the_table_has_no_rating(arguments, part):
    result, reason = why(ratings.flange_rating, *arguments)
    assert np.isnan(result)
    assert part in str(reason)


@pytest.mark.parametrize(
    "text",
    [
        *(150, 150.0, "150", "150#", "150 LB", "Class 150", "cl150", "CL. 150 RF", "ANSI 150 RF", "#150"),
        *('2" 150# RF', '1 1/2" - 150# RFWN', "NPS 2 CL150", "DN 50 / CL 150", "2in-150#-RF", "150#, RTJ"),
    ],
)
def test_a_class_as_lists_write_it(text):
    assert ratings.class_number(text) == 150


@pytest.mark.parametrize(
    "text",
    ["PN16", "PN 16", "DN 150", "150 bar", "150/300", "2 150", "JIS 10K", "3000#", "", 15, 150.5],
)
def test_what_is_not_a_class(text):
    assert ratings.class_number(text) is None


def test_a_column_gives_what_its_rows_give():
    number = np.array(["150#", "Class 300", 600, "PN 16"], dtype=object)
    group = np.array(["2.3", "1.1", "group 2.1", "2.2"], dtype=object)
    kelvin = np.array([60.0, 120.0, 333.0, 20.0]) + ZERO
    together = ratings.flange_rating(number, group, kelvin)
    alone = [ratings.flange_rating(*row) for row in zip(number, group, kelvin, strict=True)]
    np.testing.assert_array_equal(together, alone)


@given(groups, st.floats(-29, 400), st.floats(0, 250e5))
def test_the_lowest_class_is_enough_and_the_next_lower_is_not(group, celsius, pressure):
    lowest = ratings.lowest_class(pressure, group, celsius + ZERO)
    tabulated = [n for n in CLASSES if str(n) in GROUPS[group]]
    rated = {n: ratings.flange_rating(n, group, celsius + ZERO) for n in tabulated}
    if np.isnan(lowest):
        assert all(rating < pressure for rating in rated.values())
    else:
        assert rated[int(lowest)] >= pressure * (1 - 1e-9)
        assert all(rated[n] < pressure for n in tabulated if n < lowest)


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        ((300e5, "2.3", 300.0), "pressure is above the highest class"),
        ((10e5, "9.9", 300.0), "material_group '9.9' is not tabulated"),
        ((10e5, "2.3", 700.0), "temperature is outside the table"),
    ],
)
def test_no_class_is_named_without_a_table(arguments, part):
    result, reason = why(ratings.lowest_class, *arguments)
    assert np.isnan(result)
    assert part in str(reason)


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
        ("S31803", "2.8", True),
        ("17-4 PH", None, True),
        ("410", None, True),
        ("1.4404", None, False),
        ("titanium Gr. 2", None, False),
        ("alloy C-276", None, False),
        ("PVDF", None, False),
        ("316SS", "2.2", False),
        ("F316L/316L", "2.3", False),
        ("acier inox 316L", "2.3", False),
        ("1.4404 (316L)", None, False),
        ("304/316", None, False),
        ("CS/316L", None, None),
        ("Acero al carbono", None, True),
        ("C-Stahl", None, True),
    ],
)
def test_materials_as_lists_name_them(name, group, magnetic):
    assert ratings.material_group(name) == group
    assert ratings.is_ferromagnetic(name) is magnetic


@pytest.mark.parametrize(
    "name", ["", "stainless steel", "steel", "316X", "3161", "cast iron", "by vendor", "alloy", "?"]
)
def test_an_unknown_material_is_not_guessed(name):
    assert ratings.material_group(name) is None
    assert ratings.is_ferromagnetic(name) is None
    assert call("LG_MATERIAL_GROUP", name or "?") == "unknown"


def test_no_name_stands_for_two_materials():
    names = [name for block in load("chamber_materials").values() for name in block.get("names", ())]
    assert len({ratings._tidy(name) for name in names}) == len(names)


def test_low_alloy_and_plain_grades_keep_their_own_rating():
    assert ratings.flange_rating(300, ratings.material_group("316L"), 373.15) < ratings.flange_rating(
        300, ratings.material_group("316"), 373.15
    )


@pytest.mark.parametrize("name", ["NdFeB", "nd-fe-b", "Neodymium"])
def test_a_magnet_is_judged_by_its_weakest_grade(name):
    assert ratings.magnet_limit(name) == pytest.approx(80 + ZERO)


def test_every_magnet_has_a_range_and_its_lower_end_counts():
    for block in load("magnets").values():
        low, high = block["highest"]
        assert low <= high
        for name in block["names"]:
            assert ratings.magnet_limit(name) == pytest.approx(low + ZERO)


def test_an_unknown_magnet_has_no_limit():
    limits, reason = why(ratings.magnet_limit, ["SmCo", "iron", "alnico"])
    assert list(np.isnan(limits)) == [False, True, False]
    assert "give one of alnico" in reason[1]


def test_the_classes_go_down_in_temperature():
    order = ["T1", "T2", "T2A", "T2B", "T2C", "T2D", "T3", "T3A", "T3B", "T3C", "T4", "T4A", "T5", "T6"]
    assert np.all(np.diff(ratings.temperature_class_limit(order)) < 0)


@pytest.mark.parametrize("text", ["T4", "t4", " T4 ", "T 4", "Ex db IIC T4 Gb", "II 1/2 G Ex ia IIC T4"])
def test_one_class_in_a_marking(text):
    assert ratings.temperature_class_limit(text) == pytest.approx(135 + ZERO)


@pytest.mark.parametrize("text", ["", "T7", "T4...T6", "T6/T4", "T135°C", "IIC", "T4D", "4"])
def test_no_class_or_several_give_no_limit(text):
    limit, reason = why(ratings.temperature_class_limit, text)
    assert np.isnan(limit)
    assert str(reason) == "temperature_class must be one class, T1 to T6"


def test_every_table_states_its_sources():
    for name in (
        "flange_ratings",
        "magnets",
        "temperature_classes",
        "chamber_materials",
        "insulation",
        "air",
        "signal",
    ):
        blocks = load(name).values() if name != "flange_ratings" else [load(name)["table"], *GROUPS.values()]
        assert all(block["source"].strip() for block in blocks)
