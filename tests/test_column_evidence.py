"""What the cells of a column say about the field that it is: each share and limit on both sides."""

from __future__ import annotations

from typing import Any

import pytest

from xlfuncs.lists.evidence import (
    AGAINST,
    DOUBTED,
    FOR,
    Profile,
    counts_rows,
    is_fluid,
    is_level_tag,
    is_type,
    is_written_class,
    profile,
    says_ends,
    says_kind,
    units_in_cells,
    weigh,
)


def mixed(one: Any, share: float, other: Any, rows: int = 100) -> Profile:
    """A column of which a share of the cells is one thing and the rest another."""
    count = round(share * rows)
    return profile([*[one] * count, *[other] * (rows - count)])


def weighed(field: str, one: Any, share: float, other: Any, unit: str = "") -> float:
    return weigh(field, unit, mixed(one, share, other))


def test_a_long_column_is_judged_by_its_first_120_cells_and_compared_in_60_rows() -> None:
    long = profile([float(n) for n in range(500)])
    assert long.filled == 120
    assert long.numbers[-1] == 119
    assert len(long.in_rows) == 60
    assert profile([*[""] * 200, *[f"LG-{n}" for n in range(200)]]).filled == 120


def test_a_single_cell_says_nothing_but_of_a_tag_and_of_a_rating_in_words() -> None:
    assert weigh("float_mass", "g", profile(["blue"])) == 1.0
    assert weigh("float_mass", "g", profile(["blue", "red"])) == AGAINST
    assert weigh("tag_number", "", profile(["LG-1"])) == AGAINST
    assert weigh("tag_number", "", profile([])) == 1.0
    assert weigh("tag", "", profile(["LG-1"])) == FOR
    assert weigh("flange_class", "", profile(["DN25 PN16"])) == FOR
    assert weigh("chamber_material", "", profile(["DN25 PN16"])) == 1.0
    assert weigh("flange_class", "", profile(["150"])) == 1.0


@pytest.mark.parametrize(("share", "left"), [(0.29, AGAINST), (0.31, 1.0), (0.32, 1.0), (0.8, 1.0)])
def test_a_quantity_needs_three_tenths_of_numbers(share: float, left: float) -> None:
    assert weighed("float_mass", 400, share, "blue", "g") == left


@pytest.mark.parametrize(("share", "left"), [(0.29, AGAINST), (0.31, 1.0), (0.59, 1.0), (0.62, FOR)])
def test_a_range_of_a_transmitter_is_told_by_six_tenths_of_ranges(share: float, left: float) -> None:
    assert weighed("transmitter_range", "0 to 500 mm", share, "blue") == left


@pytest.mark.parametrize(
    ("field", "share", "left"),
    [
        ("lrv", 0.62, AGAINST),
        ("urv", 0.62, AGAINST),
        ("lrv", 0.59, 1.0),
        ("visible_range", 0.62, 1.0),
        ("float_length", 0.62, 1.0),
    ],
)
def test_six_tenths_of_ranges_are_no_end_of_a_range(field: str, share: float, left: float) -> None:
    assert weighed(field, "300-600", share, 300, "mm") == left


@pytest.mark.parametrize(
    ("share", "left"),
    [(0.62, 1.0), (0.58, DOUBTED), (0.21, DOUBTED), (0.2, 0.9 * DOUBTED), (0.0, 0.9 * DOUBTED)],
)
@pytest.mark.parametrize("strange", [50, 5000])
def test_numbers_lie_where_the_quantity_usually_lies_in_six_tenths_of_the_cells(
    share: float, left: float, strange: float
) -> None:
    """A density of 350 to 2000 kg/m3."""
    assert weighed("fluid_density", 850, share, strange, "kg/m3") == pytest.approx(left)


@pytest.mark.parametrize("value", [350, 2000])
def test_both_ends_of_what_is_usual_belong_to_it(value: float) -> None:
    assert weighed("fluid_density", value, 1.0, 0, "kg/m3") == 1.0


def test_a_scale_on_which_less_is_more_is_usual_between_the_same_ends() -> None:
    """350 kg/m3 is 273 degAPI or so, 2000 kg/m3 is -61 degAPI: 141.5 / SG - 131.5."""
    assert weighed("fluid_density", 35, 1.0, 0, "degAPI") == 1.0
    assert weighed("fluid_density", 300, 1.0, 0, "degAPI") == pytest.approx(0.9 * DOUBTED)


def test_a_kinematic_viscosity_is_usual_whatever_it_is() -> None:
    assert weighed("viscosity", 1e6, 1.0, 0, "cSt") == 1.0
    assert weighed("viscosity", 1e6, 1.0, 0, "mPa.s") < 1.0


@pytest.mark.parametrize(
    ("value", "share", "left"),
    [
        (-10, 1.0, 1.0),
        (130, 1.0, 1.0),
        (-11, 1.0, DOUBTED),
        (131, 1.0, DOUBTED),
        (140, 1.0, DOUBTED),
        (50, 0.62, 1.0),
        (50, 0.58, DOUBTED),
    ],
)
def test_percentages_are_from_below_nought_to_above_a_hundred(
    value: float, share: float, left: float
) -> None:
    assert weighed("lrv", value, share, 500, "%") == left


def test_the_per_cent_of_another_unit_is_not_asked_for() -> None:
    assert weighed("lrv", 500, 1.0, 0, "mm") == 1.0


@pytest.mark.parametrize(("share", "left"), [(0.39, AGAINST), (0.41, FOR), (0.43, FOR)])
def test_pairs_of_pressure_and_temperature_stand_in_four_tenths_of_the_cells(
    share: float, left: float
) -> None:
    assert weighed("design_pressure_temperature", "10 / 120", share, "blue") == left


@pytest.mark.parametrize(("share", "left"), [(0.69, 0.92), (0.72, AGAINST), (0.75, AGAINST)])
def test_seven_tenths_of_bare_numbers_are_no_tags(share: float, left: float) -> None:
    assert weighed("tag", "1201A", share, "blue") == left
    assert weighed("tag", "AB", share, "blue") == 0.92


@pytest.mark.parametrize(("share", "left"), [(0.69, 1.0), (0.72, AGAINST), (0.75, AGAINST)])
def test_seven_tenths_of_letters_are_no_service(share: float, left: float) -> None:
    assert (
        weigh(
            "service",
            "",
            profile(
                [*(f"{chr(65 + n)}X" for n in range(round(26 * share)))]
                + [f"drum {n}" for n in range(26 - round(26 * share))]
            ),
        )
        == left
    )


@pytest.mark.parametrize(("share", "left"), [(0.62, AGAINST), (0.58, 0.93), (0.66, AGAINST)])
def test_six_tenths_of_numbers_are_no_material(share: float, left: float) -> None:
    assert weighed("chamber_material", 12, share, "blue") == left


@pytest.mark.parametrize(("share", "left"), [(0.3, 0.93), (0.31, 1.0), (0.74, 1.0), (0.76, FOR), (0.8, FOR)])
def test_materials_are_told_by_three_quarters_of_their_names(share: float, left: float) -> None:
    assert weighed("chamber_material", "316L", share, "blue") == left
    assert weighed("chamber_material", "316L", share, 12) == (left if share > 0.3 else AGAINST)


@pytest.mark.parametrize(("share", "left"), [(0.62, AGAINST), (0.58, 0.88), (0.66, AGAINST)])
def test_six_tenths_of_sizes_are_no_class(share: float, left: float) -> None:
    assert weighed("flange_class", '2"', share, "blue") == left
    assert weighed("chamber_material", '2"', share, "blue") == 0.93


@pytest.mark.parametrize(
    ("field", "left"),
    [
        ("temperature_class", 0.6),
        ("instrument_type", 0.97),
        ("magnet_material", 1.0),
        ("transmitter_tag", AGAINST),
    ],
)
def test_what_is_left_where_no_cell_has_the_shape(field: str, left: float) -> None:
    assert weighed(field, "blue", 1.0, "") == left


@pytest.mark.parametrize(("share", "left"), [(0.62, AGAINST), (0.58, 1.0), (0.66, AGAINST)])
def test_six_tenths_of_numbers_are_no_words(share: float, left: float) -> None:
    assert weighed("upper_fluid", 12, share, "gas") == left


@pytest.mark.parametrize(
    ("number", "share", "left"), [(1, 0.9, 1.0), (2, 0.9, AGAINST), (2, 0.58, 1.0), (2, 0.62, AGAINST)]
)
def test_one_and_nought_may_say_whether_there_is_tracing(number: int, share: float, left: float) -> None:
    assert weighed("tracing", number, share, "steam") == left
    assert weighed("design_code", number, share, "steam") == 1.0


@pytest.mark.parametrize(
    ("kinds", "rows", "left"),
    [
        (1, 8, AGAINST),
        (3, 8, AGAINST),
        (4, 8, 1.0),
        (4, 15, 1.0),
        (4, 16, AGAINST),
        (5, 20, AGAINST),
        (6, 20, 1.0),
    ],
)
def test_a_few_kinds_of_instrument_over_and_over_are_no_services(kinds: int, rows: int, left: float) -> None:
    """No more than three, or than one in four rows."""
    words = [f"magnetic level gauge {'ABCDEF'[n % kinds]}" for n in range(rows)]
    assert weigh("service", "", profile(words)) == left
    assert weigh("remarks", "", profile(words)) == 1.0


@pytest.mark.parametrize(("share", "left"), [(0.59, 1.0), (0.62, AGAINST), (0.65, AGAINST)])
def test_six_tenths_of_types_are_no_services(share: float, left: float) -> None:
    assert weighed("service", "glass gauge", share, "feed drum") == left


@pytest.mark.parametrize(("share", "left"), [(0.89, 1.0), (0.92, AGAINST), (0.95, AGAINST)])
def test_nine_tenths_of_kinds_of_level_are_no_services(share: float, left: float) -> None:
    assert weighed("service", "Trennschicht", share, "feed drum") == left


def test_numbers_of_rows_name_nothing() -> None:
    assert weigh("serial", "", profile([1, 2, 3, 4])) == AGAINST
    assert weigh("float_part", "", profile([1, 2, 3, 4])) == AGAINST
    assert weigh("serial", "", profile([1, 2, 3, 5])) == 1.0


@pytest.mark.parametrize(
    ("cells", "counts"),
    [
        ([1, 2, 3], True),
        ([1, 2], False),
        ([10, 20, 30, 40], True),
        ([11, 12, 13], False),
        ([1, 2, 4], False),
        ([3, 2, 1], False),
        ([5, 5, 5], False),
        ([1, 2, 3, "A"], False),
    ],
)
def test_rows_are_counted_from_ten_or_less_by_equal_steps_upwards(cells: list[Any], counts: bool) -> None:
    assert counts_rows(profile(cells)) is counts


@pytest.mark.parametrize(
    ("test", "text", "longest"),
    [
        (says_kind, "level", 23),
        (says_ends, "flat", 29),
        (is_written_class, "CL150", 29),
        (is_fluid, "water", 59),
    ],
)
def test_a_text_of_many_words_is_none_of_what_it_mentions(test: Any, text: str, longest: int) -> None:
    assert test(text)
    assert test(text.ljust(longest)) or test is is_fluid
    assert not test(text.ljust(longest + 1))
    assert not test(text.ljust(longest + 40, "x"))


def test_a_kind_a_level_tag_and_a_type_are_told_by_their_words() -> None:
    assert says_kind("interface")
    assert not says_kind("feed drum")
    assert is_level_tag("LT-101")
    assert is_level_tag("LG-101")
    assert not is_level_tag("PT-101")
    assert is_type("magnetic level gauge")
    assert not is_type("feed drum")


@pytest.mark.parametrize(("carrying", "unit"), [(2, ""), (3, "mm"), (4, "mm")])
def test_the_unit_in_the_cells_is_that_of_more_than_half(carrying: int, unit: str) -> None:
    assert units_in_cells(profile(["500 mm"] * carrying + ["blue"] * (5 - carrying))) == unit
    assert units_in_cells(profile(["500 mm", "blue"])) == ""


def test_a_unit_of_many_letters_is_none() -> None:
    assert units_in_cells(profile(["5 W/(m K)"] * 3)) == "W/m/K"
    assert units_in_cells(profile(["5 kg per cubic metre"] * 3)) == ""
