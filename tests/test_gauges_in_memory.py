"""The table of gauges on columns in memory: what counts as stated, as known, as the same gauge."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from xlfuncs.audit.gauges import Gauges, label, stated_shape
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.measure import Measure
from xlfuncs.errors import XlfuncsError


def given(field: str, **columns: Sequence[Any]) -> list[bool]:
    return [bool(one) for one in gauges_of(columns).given(field)]


def with_cases(cases: Sequence[str], rows: Sequence[int], **columns: Sequence[Any]) -> Gauges:
    """Gauges with operating cases; `rows`: where the tag of each stands."""
    made = gauges_of(columns)
    (table,) = made.book.gauges
    tag = replace(table.columns["tag"], row=np.array(rows))
    table = replace(table, cases=tuple(cases), columns={**table.columns, "tag": tag})
    return Gauges(replace(made.book, gauges=[table]), None)


# --- stated or not --------------------------------------------------------------------------------------


def test_an_end_that_a_bound_leaves_open_is_not_known() -> None:
    cells = ["<5 cP", ">5 cP", "5 cP", "3 to 7 cP", None]
    assert given("viscosity.low", viscosity=cells) == [False, True, True, True, True]
    assert given("viscosity.high", viscosity=cells) == [True, False, True, True, True]
    gauges = gauges_of({"viscosity": cells})
    assert gauges.low("viscosity")[:2].tolist() == pytest.approx([0.005, 0.005])
    assert label("viscosity.low").endswith(": its lowest value")
    assert label("viscosity.high").endswith(": its highest value")


def test_a_density_that_is_bounded_on_one_side_is_lowest_or_any() -> None:
    columns = {
        "fluid_density": ["<900 kg/m3", ">900 kg/m3", None, None, "900 kg/m3", None],
        "fluid_density_min": [None, None, "800 kg/m3", None, None, "800 kg/m3"],
        "fluid_density_max": [None, None, None, "950 kg/m3", None, "950 kg/m3"],
    }
    assert given("lowest_density", **columns) == [False, True, True, False, True, True]
    assert given("any_density", **columns) == [False, False, False, False, True, True]


def test_a_dash_says_that_there_is_none_and_a_promise_does_not() -> None:
    cells = ["-", "n/a", "TBC", "350 g", None]
    gauges = gauges_of({"float_mass": cells, "tracing": ["-", "n/a", "TBC", "yes", None]})
    assert gauges.dashed("float_mass").tolist() == [True, True, False, False, False]
    assert gauges.mentioned("float_mass").tolist() == [False, False, True, True, False]
    assert gauges.given("float_mass").tolist() == [False, False, False, True, False]
    assert gauges.unusable("float_mass").tolist() == [False, False, True, False, False]
    assert gauges.given("tracing").tolist() == [True, True, False, True, False]
    assert gauges.untraced.tolist() == [True, True, False, False, False]


def test_a_field_of_texts_has_no_numbers() -> None:
    gauges = gauges_of({"fluid": ["Water"], "float_mass": ["350 g"]})
    assert gauges.si("float_mass").tolist() == pytest.approx([0.35])
    with pytest.raises(XlfuncsError, match=r"ask for gauges.texts\('fluid'\)"):
        gauges.si("fluid")


def test_an_api_gravity_is_known_by_its_unit() -> None:
    columns: dict[str, Any] = {
        "fluid_density": ["30 degAPI", "870 kg/m3", None],
        "fluid": ["Crude", "Crude", "Water"],
    }
    gauges = gauges_of(columns)
    assert gauges.by_api_gravity.tolist() == [True, False, False]
    assert gauges.given("reference_density").tolist() == [True, False, True]


# --- what a text means ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "shape"),
    [
        ("flat", "flat"),
        ("2:1 elliptical", "elliptical"),
        ("hemispherical top, flat bottom", "flat/hemispherical"),
        ("top flat / bottom hemispherical", "hemispherical/flat"),
        ("flat and hemispherical", None),
        ("flat and hemispherical top, flat bottom", "flat/hemispherical"),
        ("top, flat or elliptical bottom", None),
        ("round top", None),
        ("", None),
    ],
)
def test_ends_are_one_shape_or_a_bottom_and_a_top(text: str, shape: str | None) -> None:
    assert stated_shape(text) == shape


def test_ends_that_are_not_understood_leave_the_float_balance_open() -> None:
    columns: dict[str, Any] = {
        "float_ends": ["flat", "hemispherical", "odd", None],
        "float_length": ["250 mm"] * 4,
    }
    gauges = gauges_of(columns)
    assert gauges.ends_unknown.tolist() == [False, False, True, False]
    assert gauges.ends.tolist() == ["flat", "hemispherical", "flat", "flat"]
    assert np.isnan(gauges.float_shape[2]).tolist() == [False, False, True, False]
    assert gauges.given("known_ends").tolist() == [True, True, False, True]


def test_each_text_has_its_own_gauges() -> None:
    gauges = gauges_of({"fluid": ["Water", "Oil", "Water", None]})
    everywhere = np.ones(4, dtype=np.bool_)
    told = {text: where.tolist() for text, where in gauges.by_text("fluid", gauges.given("fluid"))}
    assert told == {"Oil": [False, True, False, False], "Water": [True, False, True, False]}
    assert [text for text, _ in gauges.by_text("fluid", everywhere & [True, False, False, False])] == [
        "Water"
    ]


def test_flanges_have_a_system_and_a_group_or_none() -> None:
    gauges = gauges_of(
        {
            "flange_class": ["150", "PN 40", '1" NPT', "10K", "odd", None],
            "material_group": ["2.3", "2.3", "2.3", None, "odd", None],
            "chamber_material": ["316L"] * 4 + [None] * 2,
        }
    )
    assert gauges.flange_systems.tolist() == ["asme", "pn", "asme", "jis", "asme", "asme"]
    assert gauges.flangeless.tolist() == [False, False, True, False, False, False]
    # a group of ASME B16.5 is none of EN 1092-1: there the chamber's material decides
    fields = ["material_group", "chamber_material", "material_group", "chamber_material"]
    assert gauges.group_fields.tolist() == [*fields, "material_group", ""]
    assert gauges.material_groups.tolist() == ["2.3", "13E0", "2.3", "023a", None, None]
    assert gauges.given("known_material_group").tolist() == [True, True, True, True, False, True]
    assert gauges.given("known_flange_class").tolist() == [True, True, True, True, False, True]


def test_a_gauge_is_one_of_an_interface_by_its_name_or_its_upper_liquid() -> None:
    gauges = gauges_of(
        {
            "service_type": [None, None, "level", "interface", None],
            "service": [None, None, "Interface drum", None, "Interface drum"],
            "upper_density": ["299 kg/m3", "301 kg/m3", "800 kg/m3", "3 kg/m3", None],
        }
    )
    assert gauges.interface.tolist() == [False, True, False, True, True]


# --- the float list -------------------------------------------------------------------------------------


def joined(own: Any, listed: Any) -> Gauges:
    return gauges_of(
        {"float_part": ["F-1"], "float_mass": [own]}, {"float_part": ["f-1 "], "float_mass": [listed]}
    )


@pytest.mark.parametrize(
    ("own", "listed", "stated"),
    [
        ("350 g", "360 g", 0.35),
        (None, "360 g", 0.36),
        ("TBC", "360 g", 0.36),
        ("#REF!", "360 g", None),
        ("heavy", "360 g", 0.36),
        (None, None, None),
        ("TBC", None, None),
    ],
)
def test_the_index_goes_before_the_float_list(own: Any, listed: Any, stated: float | None) -> None:
    gauges = joined(own, listed)
    assert gauges.given("float_mass").tolist() == [stated is not None]
    if stated is not None:
        assert gauges.si("float_mass").tolist() == pytest.approx([stated])


def test_what_the_index_promises_stays_its_own_where_the_list_has_nothing() -> None:
    assert joined("TBC", None).mentioned("float_mass").tolist() == [True]
    assert joined("TBC", None).place(0, "float_mass") == ("gauges", "B2")
    assert joined("TBC", "360 g").place(0, "float_mass") == ("floats", "B2")
    assert joined("#REF!", "360 g").place(0, "float_mass") == ("gauges", "B2")


# --- places and units -----------------------------------------------------------------------------------


def test_a_value_is_said_in_the_unit_of_its_column_else_of_its_like() -> None:
    gauges = gauges_of({"float_part": ["F-1"], "visible_range": ["40 in"], "float_mass": [None]})
    assert gauges.measure(0, "visible_range") == Measure(pytest.approx(40.0), "in")  # type: ignore[arg-type]
    assert gauges.say(0, "urv", 0.508) == "20 in"
    assert gauges.say(0, "float_mass", 0.35) == "350 g"
    assert gauges.measure(0, "float_part") == Measure("F-1")
    assert gauges.measure(0, "float_mass") is None


def test_what_is_taken_out_is_this_cell_of_this_sheet() -> None:
    one = gauges_of(
        {"tag": ["LG-1"], "float_mass": ["350 g"], "float_length": ["250 mm"]},
        {"float_part": ["F-1"], "float_mass": ["350 g"]},
    )
    without = one.without([("gauges", "B2")])
    assert not without.given("float_mass").any()
    assert without.given("float_length").all()
    assert without.listed["float_mass"].given.all()
    assert not one.without([("floats", "B2")]).listed["float_mass"].given.any()
    assert one.without([("floats", "B2")]).given("float_mass").all()
    two = gauges_of({"tag": ["LG-1", "LG-2"], "float_mass": ["350 g", "360 g"]})
    assert two.without([("gauges", "B3")]).given("float_mass").tolist() == [True, False]


def test_every_row_of_a_data_sheet_is_its_one_gauge_s() -> None:
    def spread(n: int) -> dict[tuple[str, int], int]:
        made = gauges_of({"tag": [f"LG-{i}" for i in range(n)], "float_mass": ["350 g"] * n})
        (table,) = made.book.gauges
        mass = replace(table.columns["float_mass"], row=np.arange(n) + 9)
        table = replace(table, columns={**table.columns, "float_mass": mass})
        return Gauges(replace(made.book, gauges=[table]), None).records

    assert spread(1) == {("gauges", 2): 0, ("gauges", 9): 0}
    assert spread(2) == {("gauges", 2): 0, ("gauges", 3): 1}


# --- repeats and cases ----------------------------------------------------------------------------------


def test_a_tag_that_stands_again_is_found_whatever_its_case_and_blanks() -> None:
    gauges = gauges_of({"tag": ["LG 1", "LG-2", "lg1", None, None, "LÄ 1", "lä1"]})
    assert list(gauges.repeats("tag", re.compile(" "))) == [(2, 0), (6, 5)]


def test_cases_of_one_gauge_share_its_tag_s_cell() -> None:
    gauges = with_cases(
        ("Case A", "Case B", "", "Case A", "Case B"),
        (2, 2, 4, 5, 6),
        tag=["LG-1", "LG-1", "LG-2", "LG-1", "LG-3"],
    )
    assert gauges.first_cases.tolist() == [True, False, True, True, True]
    assert gauges.is_case_of(1, 0)
    assert not gauges.is_case_of(3, 0)  # the same tag in another place
    assert not gauges.is_case_of(4, 0)
    assert not gauges.is_case_of(2, 0)


def test_two_tags_in_one_cell_are_two_gauges() -> None:
    gauges = with_cases(("Case A", "Case A"), (2, 2), tag=["LG-1", "LG-2"])
    assert not gauges.is_case_of(1, 0)
    assert gauges.first_cases.tolist() == [True, True]
