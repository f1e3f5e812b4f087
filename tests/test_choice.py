"""Choice of a float: order, every ground for rejection, what is missing, and the float that would do."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.settings import Settings
from xlfuncs.cli import main
from xlfuncs.data import load
from xlfuncs.gauge import floats, strength
from xlfuncs.gauge.choice import Candidate, Condition, Duty, between, choose, float_list
from xlfuncs.gauge.model import Float, Fluids, Spread, usual_spread
from xlfuncs.gauge.sizing import Body, shell_mass, shortest_float, size_float
from xlfuncs.gauge.stability import metacentric_height
from xlfuncs.units import converter
from xlfuncs.worksheet import Refusal, call
from xlfuncs.worksheet.float_table import read_floats

LIST = Path(__file__).parent.parent / "workbooks" / "float_list.xlsx"

GOOD: dict[str, Any] = {
    "part": "A1",
    "mass": 0.340,
    "diameter": 0.050,
    "length": 0.250,
    "magnet_height": 0.212,
    "ends": "hemispherical",
    "wall": 0.001,
    "material": "316L",
    "max_pressure": 15e5,
    "max_temperature": 473.15,
    "magnet_temperature": 523.15,
    "service": "level",
}
DUTY = Duty(between((840.0, 870.0), (5.0, 5.0)), design_pressure=10e5, design_temperature=373.15)
INTERFACE = Duty(between((990.0, 1000.0), (800.0, 810.0)))
DIVER = {**GOOD, "mass": 0.4130, "magnet_height": 0.1260, "service": "interface"}


def judge(changes: dict[str, Any], duty: Duty = DUTY) -> Candidate:
    """One float, the good one with changes."""
    item = {**GOOD, **changes}
    return choose(float_list({name: [value] for name, value in item.items()}), duty)[0]


def test_the_float_of_the_examples_fits() -> None:
    item = judge({})
    assert (item.status, item.rank, item.verdict, item.reasons) == ("fits", 1, "fits", ())
    assert item.pressure_margin == pytest.approx(5e5)
    assert item.temperature_margin == pytest.approx(100.0)
    diver = judge(DIVER, INTERFACE)
    assert diver.verdict == "fits", diver.reasons


REJECTED: tuple[tuple[dict[str, Any], Duty, str], ...] = (
    ({"service": "interface"}, DUTY, "made for interface service, the duty is level"),
    ({**DIVER, "service": "level"}, INTERFACE, "made for level service, the duty is interface"),
    ({"mass": 0.400}, DUTY, "sinks at 840 kg/m3: its mean density is 873.08 kg/m3"),
    (
        {**DIVER, "mass": 0.370},
        INTERFACE,
        "rises into the upper fluid of 810 kg/m3: its mean density is 807.6",
    ),
    ({"mass": 0.352}, DUTY, "only 8.59 % of it stands above the surface at 840 kg/m3, 10 % is the least"),
    (
        {**DIVER, "mass": 0.445},
        INTERFACE,
        "only 9.84 % of it stands above the interface at 990 kg/m3 under 800",
    ),
    (
        {**DIVER, "mass": 0.376},
        INTERFACE,
        "only 5.63 % of it hangs below the interface at 1000 kg/m3 under 810",
    ),
    ({"magnet_height": 0.200}, DUTY, "reads 14.31 mm low at 840 kg/m3, the tolerance is 10 mm"),
    ({"magnet_height": 0.220}, DUTY, "reads 12.83 mm high at 870 kg/m3, the tolerance is 10 mm"),
    ({}, replace(DUTY, chamber_bore=0.050), "its diameter of 50 mm does not go into the bore of 50 mm"),
    ({"max_pressure": 9.5e5}, DUTY, "its limit is 9.5 barg, the design pressure is 10 barg"),
    ({"wall": 0.0005}, DUTY, "computed to bear 4.2"),
    ({"max_temperature": 363.15}, DUTY, "its limit is 90 degC, the design temperature is 100 degC"),
    ({"magnet_temperature": 353.15}, DUTY, "its magnet bears 80 degC, the design temperature is 100 degC"),
    (
        {},
        replace(DUTY, conditions=between((840, 870), (5, 5), viscosity=0.2), chamber_bore=0.06),
        "may read 20.55 mm high at 870 kg/m3 (offset +4.8, heat +0.8, movement +14.1, uncertainty +0.8 mm)",
    ),
    (
        {},
        replace(DUTY, conditions=between((840, 870), (5, 5), viscosity=0.9), chamber_bore=0.06),
        "at 10 mm/s a falling liquid draws the float under",
    ),
    (
        {},
        replace(DUTY, conditions=(*DUTY.conditions, Condition("cold start-up", 730.0, 2.0, False))),
        "sinks at 730 kg/m3 (cold start-up)",
    ),
)


@pytest.mark.parametrize(("changes", "duty", "text"), REJECTED, ids=lambda v: v if isinstance(v, str) else "")
def test_every_ground_for_rejection_is_said_with_its_numbers(
    changes: dict[str, Any], duty: Duty, text: str
) -> None:
    item = judge(changes, duty)
    assert item.status == "rejected"
    assert item.rank is None
    assert any(reason.startswith(text) for reason in item.reasons), item.reasons


def test_the_numbers_in_the_reasons_are_those_of_the_float_balance() -> None:
    """Recomputed by the functions for one float, which have published checks of their own."""
    body = (0.352, 0.05, 0.25)
    share = float(floats.reserve(*body, 840.0, 5.0, "hemispherical"))
    assert f"only {100 * share:.3g} %" in judge({"mass": 0.352}).verdict
    offset = float(floats.reading_offset(0.34, 0.05, 0.25, 0.2, 840.0, 5.0, "hemispherical"))
    assert f"{-1e3 * offset:.4g} mm low" in judge({"magnet_height": 0.2}).verdict
    permitted = float(strength.permitted_pressure(0.05, 0.0005, 0.25, "316L", 373.15, "hemispherical"))
    assert f"computed to bear {permitted / 1e5:.4g} barg (collapse / 3)" in judge({"wall": 0.0005}).verdict


MISSING: tuple[tuple[dict[str, Any], str], ...] = (
    ({"mass": np.nan}, "no mass"),
    ({"diameter": np.nan}, "no diameter"),
    ({"length": np.nan}, "no length"),
    ({"magnet_height": np.nan}, "no magnet height"),
    ({"ends": ""}, "no shape of the ends"),
    ({"max_pressure": np.nan, "wall": np.nan}, "no maximum pressure"),
    ({"max_pressure": np.nan, "ends": "flat"}, "flat ends have to be checked by their own thickness"),
    ({"max_pressure": np.nan, "material": "unobtainium"}, "the strength of 'unobtainium' is not known here"),
    ({"max_temperature": np.nan, "magnet_temperature": np.nan}, "no maximum temperature"),
    ({"length": 0.04}, "at least the depth of both ends"),
    ({"magnet_height": 0.26}, "magnet height of 260 mm is not within the length"),
)


@pytest.mark.parametrize(("changes", "text"), MISSING, ids=lambda v: v if isinstance(v, str) else "")
def test_what_is_missing_is_named_and_nothing_is_assumed(changes: dict[str, Any], text: str) -> None:
    flat = {"mass": 0.3, "magnet_height": 0.18} if changes.get("ends") == "flat" else {}
    item = judge({**changes, **flat})
    assert item.status == "not judged"
    assert item.rank is None
    assert item.verdict.startswith("not judged: ")
    assert text in item.verdict


def test_without_design_conditions_no_limit_is_asked_for() -> None:
    bare = {"max_pressure": np.nan, "wall": np.nan, "max_temperature": np.nan, "magnet_temperature": np.nan}
    item = judge(bare, replace(DUTY, design_pressure=np.nan, design_temperature=np.nan))
    assert item.status == "fits"
    assert math.isnan(item.pressure_margin)


def test_the_computed_limit_stands_in_for_a_rating_and_says_so() -> None:
    item = judge({"max_pressure": np.nan})
    assert item.status == "fits"
    assert "the computed one was taken" in item.remarks[0]
    assert "collapse not computed" in judge({"wall": np.nan}).remarks[0]


def test_a_start_up_beyond_the_tolerance_is_stated_not_judged() -> None:
    cold = Condition("cold start-up", 950.0, 2.0, operating=False, viscosity=0.5)
    duty = replace(DUTY, conditions=(*DUTY.conditions, cold), chamber_bore=0.06)
    item = judge({}, duty)
    assert item.status == "fits"
    assert item.offsets["cold start-up"] > 0.010
    assert any("high at 950 kg/m3 (cold start-up)" in remark for remark in item.remarks)
    assert any(remark.startswith("runs 29.65 mm ahead") for remark in item.remarks)


@pytest.mark.parametrize(
    ("lower", "upper", "normal", "text"),
    [
        ((870.0, 840.0), (0.0, 0.0), None, "exchange"),
        ((840.0, 870.0), (0.0, 0.0), 900.0, "not between"),
        ((840.0, 870.0), (850.0, 850.0), None, "below the lower density"),
        ((0.0, 870.0), (0.0, 0.0), None, "above 0"),
    ],
)
def test_a_duty_that_contradicts_itself_is_refused(
    lower: tuple[float, float], upper: tuple[float, float], normal: float | None, text: str
) -> None:
    with pytest.raises(ValueError, match=text):
        Duty(between(lower, upper, normal))


@pytest.mark.parametrize(
    "changes",
    [
        {"tolerance": 0.0},
        {"minimum_reserve": 1.0},
        {"safety_factor": 0.9},
        {"chamber_bore": -1.0},
        {"conditions": ()},
        {"service": "interface", "minimum_reserve": 0.6},
    ],
    ids=str,
)
def test_thresholds_without_sense_are_refused(changes: dict[str, Any]) -> None:
    with pytest.raises(ValueError):
        replace(DUTY, **changes)


def test_the_thresholds_are_those_of_the_audit() -> None:
    settings = Settings()
    assert DUTY.tolerance * 1e3 == settings.offset_tolerance_mm
    assert DUTY.minimum_reserve == settings.float_reserve_minimum
    assert DUTY.safety_factor == settings.safety_factor
    assert DUTY.level_rate * 1e3 == settings.level_rate_mm_s


# --- properties ---------------------------------------------------------------------------------------


@st.composite
def lists(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Floats about the good one, some with data missing."""

    def one(i: int) -> dict[str, Any]:
        item = {
            **GOOD,
            "part": f"P{i}",
            "mass": draw(st.floats(0.29, 0.39)),
            "magnet_height": draw(st.floats(0.15, 0.249)),
            "max_pressure": draw(st.floats(5e5, 40e5)),
            "max_temperature": draw(st.floats(330.0, 600.0)),
        }
        if draw(st.integers(0, 5)) == 0:
            item[draw(st.sampled_from(("mass", "magnet_height", "length")))] = np.nan
        return item

    return [one(i) for i in range(draw(st.integers(1, 12)))]


def columns(items: list[dict[str, Any]]) -> dict[str, Any]:
    return {name: [item[name] for item in items] for name in GOOD}


@given(lists())
def test_fitting_floats_come_first_by_their_worst_reading_and_none_is_lost(
    items: list[dict[str, Any]],
) -> None:
    found = choose(float_list(columns(items)), DUTY)
    assert sorted(c.part for c in found) == sorted(i["part"] for i in items)
    order = {"fits": 0, "not judged": 1, "rejected": 2}
    assert [order[c.status] for c in found] == sorted(order[c.status] for c in found)
    fits = [c for c in found if c.status == "fits"]
    assert [c.rank for c in fits] == list(range(1, len(fits) + 1))
    worst = [round(max(-c.reading[0], c.reading[1]), 9) for c in fits]
    assert worst == sorted(worst)
    for item in found:
        assert (item.rank is None) == (item.status != "fits")
        assert bool(item.reasons) == (item.status != "fits")


@given(lists(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_float_that_fits_does_so_everywhere_between_the_extremes(
    items: list[dict[str, Any]], a: float, b: float
) -> None:
    duty = replace(DUTY, conditions=between((840.0, 870.0), (0.0, 60.0)))
    by_part = {item["part"]: item for item in items}
    for found in choose(float_list(columns(items)), duty):
        if found.status != "fits":
            continue
        item = by_part[found.part]
        body = (item["mass"], item["diameter"], item["length"])
        fluids = (840.0 + 30.0 * a, 60.0 * b, item["ends"])
        assert abs(floats.reading_offset(*body, item["magnet_height"], *fluids)) <= 0.010 + 1e-8
        assert floats.reserve(*body, *fluids) >= 0.10 - 1e-8
        assert item["max_pressure"] >= 10e5 and item["max_temperature"] >= 373.15


@given(
    st.floats(0.05, 0.95),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
    st.floats(600.0, 850.0),
    st.floats(0, 100),
)
def test_the_two_corners_bound_offset_and_share(
    share: float, a: float, b: float, upper: float, gap: float
) -> None:
    """Offset and share above the surface rise with both densities: the claim on which the choice rests."""
    lower = upper + 60.0 + gap
    mean = upper + 50.0 + share * (lower - upper - 60.0)
    mass = mean * float(floats.volume(0.05, 0.25, "hemispherical"))
    low, high = (lower, upper), (lower + 40.0, upper + 40.0)
    inside = (lower + 40.0 * a, upper + 40.0 * b)
    assume(mean > high[1] + 1 and mean < low[0] - 1)

    def offset(densities: tuple[float, float]) -> float:
        return float(floats.reading_offset(mass, 0.05, 0.25, 0.1, *densities, "hemispherical"))

    assert offset(low) - 1e-12 <= offset(inside) <= offset(high) + 1e-12


@given(lists(), st.floats(1.0, 2.0))
def test_a_wider_tolerance_never_loses_a_float(items: list[dict[str, Any]], factor: float) -> None:
    listed = float_list(columns(items))
    tight = {c.part for c in choose(listed, DUTY) if c.status == "fits"}
    wide = {
        c.part for c in choose(listed, replace(DUTY, tolerance=DUTY.tolerance * factor)) if c.status == "fits"
    }
    assert tight <= wide


# --- the float that would do ---------------------------------------------------------------------------

DUTIES = st.builds(
    lambda low, width, vapour, pressure, hot, reserve: Duty(
        between((low, low + width), (vapour, vapour)),
        design_pressure=pressure,
        design_temperature=hot,
        minimum_reserve=reserve,
    ),
    st.floats(450.0, 1300.0),
    st.floats(0.0, 60.0),
    st.floats(0.0, 40.0),
    st.floats(0.0, 60e5),
    st.floats(280.0, 480.0),
    st.floats(0.05, 0.3),
)
BODIES = st.builds(
    Body,
    st.sampled_from((0.04, 0.05, 0.06, 0.075)),
    st.sampled_from(("316L", "titanium grade 2", "alloy 625")),
    st.sampled_from((0.2, 0.3)),
    st.sampled_from(floats.ENDS),
    st.floats(0.0, 0.12),
)


@settings(max_examples=40, deadline=None)
@given(DUTIES, BODIES)
def test_the_float_that_would_do_does(duty: Duty, body: Body) -> None:
    """Fed back to the choice it fits, with its mass as given and 2 % off either way."""
    found = size_float(duty, body)
    if found.reason:
        assert math.isnan(found.mass)
        assert "no float of" in found.reason
        return
    for factor in (1.0, 0.98, 1.02):
        item = choose(found.listed(found.mass * factor), duty)[0]
        assert item.status == "fits", (factor, item.reasons)
    end_wall = None if math.isnan(found.end_wall) else found.end_wall
    metal = shell_mass(body.diameter, found.wall, found.length, body.material, body.ends, end_wall)
    assert found.mass >= float(metal) + body.inside_mass - 1e-9
    assert 1.5 * body.diameter - 1e-9 <= found.length <= found.longest <= body.max_length + 1e-9
    assert 0 < found.magnet_height < found.length


@settings(max_examples=15, deadline=None)
@given(DUTIES, BODIES)
def test_nothing_shorter_or_thinner_would_do(duty: Duty, body: Body) -> None:
    found, shortest = size_float(duty, body), shortest_float(duty, body)
    if found.reason:
        assert shortest is None
        return
    assert repr(shortest) == repr(replace(found, longest=math.nan))
    if found.length > 1.5 * body.diameter + 1e-3:
        shorter = body._replace(max_length=found.length - 1e-3)
        assert size_float(duty, shorter).reason
    if found.wall > load("sizing")["least"]["wall"] / 1e3 + 1e-6:
        thinner = strength.permitted_pressure(
            *(body.diameter, found.wall - 1e-4, found.length, body.material),
            *(duty.design_temperature, body.ends, duty.safety_factor),
        )
        assert float(thinner) < duty.design_pressure


IMPOSSIBLE = (
    (
        Duty(between((800.0, 850.0)), 300e5, 333.15),
        Body(0.06, "titanium grade 2", 0.6),
        "thickest wall .* bears 8",
    ),
    (Duty(between((550.0, 580.0)), 20e5, 333.15), Body(0.06, "316L", 0.5), "g of it metal.*: sinks"),
    (
        Duty(between((600.0, 900.0)), design_temperature=333.15),
        Body(0.06, "titanium grade 2", 0.6, inside_mass=0.06),
        "reads? 1.* the tolerance is 10 mm",
    ),
    (Duty(between((800.0, 850.0)), 1e5, 900.0), Body(0.06, "titanium grade 2", 0.6), "-60 to 315 degC"),
    (
        Duty(between((800.0, 850.0)), design_temperature=333.15, chamber_bore=0.055),
        Body(0.06, "316L", 0.3),
        "does not go into the bore",
    ),
    (
        Duty(between((990.0, 1000.0), (840.0, 850.0)), 10e5, 333.15),
        Body(0.06, "316L", 0.3),
        "its mass 2 % off, reads",
    ),
    (
        Duty(between((800.0, 850.0)), design_temperature=333.15),
        Body(0.008, "316L", 0.3),
        "leaves no wall of 0.5 mm",
    ),
)


@pytest.mark.parametrize(("duty", "body", "why"), IMPOSSIBLE, ids=lambda v: v if isinstance(v, str) else "")
def test_where_no_float_exists_the_reason_is_given(duty: Duty, body: Body, why: str) -> None:
    import re

    found = size_float(duty, body)
    assert re.search(why, found.reason), found.reason


@pytest.mark.parametrize(
    ("body", "text"),
    [
        (Body(0.06, "brass", 0.3), "material 'brass' is unknown"),
        (Body(0.06, "316L", 0.08), "90 mm or more"),
        (Body(0.0, "316L", 0.08), "above 0"),
        (Body(0.06, "316L", 0.3, inside_mass=-1.0), "must not be negative"),
    ],
)
def test_a_float_that_cannot_be_sized_is_refused(body: Body, text: str) -> None:
    with pytest.raises(ValueError, match=text):
        size_float(DUTY, body)


@given(
    st.floats(0.03, 0.1),
    st.floats(0.0005, 0.003),
    st.floats(0.0, 0.4),
    st.sampled_from(("316L", "alloy 625")),
)
def test_a_hemispherical_shell_weighs_the_difference_of_two_floats(
    diameter: float, wall: float, straight: float, material: str
) -> None:
    """Outer less inner volume of the same shape, to the square of wall over diameter."""
    outer = floats.volume(diameter, straight + diameter, "hemispherical")
    inner = floats.volume(diameter - 2 * wall, straight + diameter - 2 * wall, "hemispherical")
    rho = load("materials")[material]["density"]["value"]
    ours = shell_mass(diameter, wall, straight + diameter, material)
    assert float(ours) == pytest.approx(float(outer - inner) * rho, rel=(wall / diameter) ** 2 * 2 + 1e-9)


# --- the worksheet --------------------------------------------------------------------------------------

TABLE: list[list[Any]] = [
    ["Part no.", "Ends", "Mass\n(g)", "OD (mm)", "Length, mm", "Magnet height mm", "Max. pressure (barg)"],
    ["A1", "hemispherical", 340, 50, 250, 212, 15],
    ["A2", "hemispherical", 345, 50, 250, 212, 15],
    ["A3", "hemispherical", 340, 50, 250, 200, 15],
    ["A4", "hemispherical", "TBC", 50, 250, 212, 15],
    ["A5", "dished", 340, 50, 250, 212, 15],
]


def ranking(table: list[list[Any]], *more: Any) -> list[tuple[Any, Any, Any]]:
    found = call("LG_CHOOSE_FLOAT", table, 840, 870, 5, *more)
    assert not isinstance(found, Refusal), found
    return [tuple(row[:3]) for row in found[1:]]


def test_a_range_with_headings_gives_a_table_of_verdicts() -> None:
    assert ranking(TABLE, 10) == [
        (1, "A1", "fits"),
        (2, "A2", "fits"),
        ("-", "A4", "not judged: the list states no mass"),
        ("-", "A5", "not judged: ends 'dished' is none of flat, hemispherical, elliptical"),
        ("-", "A3", "reads 14.31 mm low at 840 kg/m3, the tolerance is 10 mm"),
    ]


def test_numbers_agree_with_the_functions_for_one_float() -> None:
    row = call("LG_CHOOSE_FLOAT", TABLE[:2], 840, 870, 5, 10)[1]
    body = (340, 50, 250, 212)
    for at, density in ((3, 840), (4, 870)):
        assert row[at] == pytest.approx(
            call("LG_READING_OFFSET", *body, density, 5, "hemispherical"), rel=1e-12
        )
    window = call("LG_DENSITY_WINDOW", *body, 10, 5, "hemispherical")
    assert row[5:7] == pytest.approx(window, rel=1e-12)
    assert row[7] == pytest.approx(call("LG_FLOAT_RESERVE", 340, 50, 250, 840, 5, "hemispherical"), rel=1e-12)
    assert row[8] == pytest.approx(5.0)
    moved = call("LG_CHOOSE_FLOAT", TABLE[:2], 840, 870, 5, 10, None, None, None, 20, 60, 8)[1][10]
    assert moved == pytest.approx(
        call("LG_FLOAT_LEAD", 340, 50, 250, 840, 20, 60, 8, 5, "hemispherical"), rel=1e-12
    )


@given(
    st.sampled_from(("in", "cm", "m", "ft")),
    st.sampled_from(("kg", "lb", "oz")),
    st.sampled_from(("psig", "kPag")),
)
def test_units_of_the_list_do_not_matter(length: str, mass: str, pressure: str) -> None:
    def to(unit: str, quantity: str, old: str, number: Any) -> Any:
        if not isinstance(number, int):
            return number
        return float(converter(unit, quantity).from_si(converter(old, quantity).to_si(number)))

    sizes = [f"{name} ({length})" for name in ("OD", "Length", "Magnet height")]
    table = [["Part", "Ends", f"Mass ({mass})", *sizes, f"Max. pressure ({pressure})"]]
    for row in TABLE[1:]:
        table.append(
            [
                *row[:2],
                to(mass, "mass", "g", row[2]),
                *(to(length, "length", "mm", cell) for cell in row[3:6]),
                to(pressure, "pressure_gauge", "barg", row[6]),
            ]
        )
    assert ranking(table, 10) == ranking(TABLE, 10)


def test_the_duty_may_be_written_in_other_units() -> None:
    plain = ranking(TABLE, 10, 100, 12)
    with_units = call("LG_CHOOSE_FLOAT", TABLE, "0.84 kg/l", "870 g/l", 5, "1000 kPag", "212 degF", "1.2 cm")
    assert [tuple(row[:3]) for row in with_units[1:]] == plain


@pytest.mark.parametrize(
    "headings",
    [
        ["Référence", "Fonds", "Masse (g)", "Diamètre (mm)", "Longueur (mm)", "Hauteur de l'aimant (mm)"],
        ["Teile-Nr.", "Bodenform", "Gewicht (g)", "Durchmesser (mm)", "Länge (mm)", "Magnethöhe (mm)"],
        ["FLOAT_PART_NO", "Float ends", "Float mass", "Float OD", "Float length", "Magnet height"],
    ],
    ids=("fr", "de", "en"),
)
def test_headings_are_known_in_several_languages(headings: list[str]) -> None:
    rows = [row[:6] for row in TABLE[1:]]
    assert [r[:2] for r in ranking([headings, *rows])] == [
        (1, "A1"),
        (2, "A2"),
        ("-", "A4"),
        ("-", "A5"),
        ("-", "A3"),
    ]


def test_a_row_of_units_and_blank_rows_are_understood() -> None:
    units = [None, None, "kg", "cm", "mm", "mm", "psig"]
    table = [[h.split("(")[0].split(",")[0] for h in TABLE[0]], units, [None] * 7]
    table[0][5] = "Magnet height"
    table += [["A1", "hemi ends", 0.34, 5, 250, "212 mm", "15 barg"], ["", "", "", "", "", "", ""]]
    assert ranking(table, 10) == [(1, "A1", "fits")]


REFUSED: tuple[tuple[Any, tuple[Any, ...], str], ...] = (
    ([["Part", "Mass"]], (840, 870), "with its headings in the first row"),
    ([["Part", "Mass", "Shape"], ["A", 1, 2]], (840, 870), "no heading for diameter, length, magnet height"),
    ([["Part", "Things", "Colour"], ["A", 1, 2]], (840, 870), "not understood: 'Things', 'Colour'"),
    (
        [[*TABLE[0], "Weight (kg)"], [*TABLE[1], 1]],
        (840, 870),
        "'Mass (g)' and 'Weight (kg)' both name the mass",
    ),
    ([[*TABLE[0][:6], "Max. pressure (bar)"], TABLE[1]], (840, 870), "bar' can be gauge or absolute"),
    ([[*TABLE[0][:6], "Max. pressure (mm)"], TABLE[1]], (840, 870), "states mm, no unit of pressure_gauge"),
    (TABLE, (870, 840), "exchange them"),
    (TABLE, ([[840], [850]], 870), "lower_density_min: give one cell, not a range"),
    (TABLE, (840, 870, 900), "upper density of 900 kg/m3"),
    ("A1", (840, 870), "give a range with its headings"),
    (None, (840, 870), "floats: missing; give a range"),
)


@pytest.mark.parametrize(("table", "more", "text"), REFUSED, ids=lambda v: v if isinstance(v, str) else "")
def test_what_cannot_be_used_gives_a_reason(table: Any, more: tuple[Any, ...], text: str) -> None:
    result = call("LG_CHOOSE_FLOAT", table, *more)
    assert isinstance(result, Refusal), result
    assert text in result.reason


def test_a_limit_without_unit_is_not_guessed() -> None:
    table = [[*TABLE[0][:6], "Max. pressure"], TABLE[1]]
    (row,) = call("LG_CHOOSE_FLOAT", table, 840, 870, 5, 10)[1:]
    assert row[2] == (
        "not judged: maximum pressure 15 has no unit: write it into the heading 'Max. pressure'"
    )


def test_the_limit_of_a_magnet_follows_from_its_material() -> None:
    table = [[*TABLE[0], "Magnet material"], [*TABLE[1], "NdFeB"]]
    assert ranking(table, 10, 79)[0][2] == "fits"
    assert ranking(table, 10, 81)[0][2] == "its magnet bears 80 degC, the design temperature is 81 degC"


def test_ends_that_the_list_does_not_state_can_be_given() -> None:
    bare = [[row[0], *row[2:]] for row in TABLE[:2]]
    assert ranking(bare, 10)[0][2] == "not judged: the list states no shape of the ends"
    defaults = [None] * 10
    assert ranking(bare, 10, *defaults, "hemispherical")[0][2] == "fits"


def test_a_sized_float_is_a_list_for_the_choice() -> None:
    duty = (700, 740, 5, 10, 80)
    sized = call("LG_SIZE_FLOAT", 60, "titanium grade 2", 400, *duty, None, "elliptical")
    found = call("LG_CHOOSE_FLOAT", sized, *duty)
    assert found[1][:3] == [1, "proposed", "fits"]
    assert len(read_floats(sized)) == 1


def test_a_float_that_cannot_exist_is_a_reason_in_the_cell() -> None:
    result = call("LG_SIZE_FLOAT", 60, "316L", 400, 550, 580, 12, 20, 60)
    assert isinstance(result, Refusal)
    assert result.error == "#NUM!"
    assert "no float of 60 mm in 316L" in result.reason and "sinks at 550 kg/m3" in result.reason


# --- a float that fits passes the audit -------------------------------------------------------------------


@settings(max_examples=8, deadline=None)
@given(st.sampled_from((560.0, 640.0, 780.0, 860.0, 905.0, 985.0, 1055.0)), st.floats(0.0, 20.0))
def test_the_audit_finds_nothing_against_a_chosen_float(
    tmp_path_factory: pytest.TempPathFactory, density: float, width: float
) -> None:
    listed = openpyxl.load_workbook(LIST, data_only=True).worksheets[0]
    rows = [[cell.value for cell in row] for row in listed.iter_rows()]
    found = call("LG_CHOOSE_FLOAT", rows, density, density + width, 3, 5, 70)
    assert not isinstance(found, Refusal), found
    fitting = [row[1] for row in found[1:] if row[2] == "fits"]
    assume(fitting)
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Index"
    densities = ["Density min. (kg/m3)", "Density max. (kg/m3)", "Upper density (kg/m3)"]
    design = ["Design pressure (barg)", "Design temperature (°C)"]
    sheet.append(["Tag", "Level or interface", *densities, *design, "Float part no."])
    for i, part in enumerate(fitting):
        sheet.append([f"LG-{100 + i}", "level", density, density + width, 3, 5, 70, part])
    floats_sheet = book.create_sheet("Floats")
    for row in rows:
        floats_sheet.append(row)
    path = tmp_path_factory.mktemp("audit") / "index.xlsx"
    book.save(path)
    result = audit_book(path)
    assert result.rows_audited == len(fitting)
    assert not [f for f in result.findings if f.severity.value == "error"]


# --- the command ------------------------------------------------------------------------------------------


def choose_on_command(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = main(["choose", str(LIST), *arguments])
    out, err = capsys.readouterr()
    return status, out, err


DUTY_GIVEN = ("--density", "840..870", "--upper", "3", "--pressure", "6barg", "--temperature", "60C")


def test_the_command_ranks_the_floats(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = choose_on_command(capsys, *DUTY_GIVEN)
    assert (status, err) == (0, "")
    assert "3 of 21 floats fit" in out
    assert max(map(len, out.splitlines())) <= 80
    assert [line.split()[1] for line in out.splitlines() if line[:5].strip() in ("1", "2", "3")] == [
        "KV-107",
        "KV-108",
        "KV-109",
    ]


def test_the_command_and_the_worksheet_agree(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = choose_on_command(capsys, *DUTY_GIVEN, "--json")
    assert status == 0
    listed = openpyxl.load_workbook(LIST, data_only=True).worksheets[0]
    rows = [[cell.value for cell in row] for row in listed.iter_rows()]
    table = call("LG_CHOOSE_FLOAT", rows, 840, 870, 3, 6, 60)
    ours = json.loads(out)["candidates"]
    assert [c["part"] for c in ours] == [row[1] for row in table[1:]]
    assert [c["rank"] or "-" for c in ours] == [row[0] for row in table[1:]]
    for item, row in zip(ours, table[1:], strict=True):
        assert (item["reasons"] or ["fits"])[0] == row[2]
        if row[3] != "-":
            assert item["offset_mm"]["lowest density"] == pytest.approx(row[3], rel=1e-8)


def test_nothing_fits_and_the_command_says_what_would(capsys: pytest.CaptureFixture[str]) -> None:
    duty = (
        "--density",
        "0.55..0.58 SG",
        "--upper",
        "12",
        "--pressure",
        "20 barg",
        "--temperature",
        "60 degC",
    )
    status, out, _ = choose_on_command(capsys, *duty, "--json")
    assert status == 1
    result = json.loads(out)
    assert not [c for c in result["candidates"] if c["status"] == "fits"]
    good = [p for p in result["proposals"] if p["exists"]]
    assert good
    table = [
        ["Part", "Ends", "Mass (g)", "OD (mm)", "Length (mm)", "Magnet height (mm)", "Wall (mm)", "Material",
         "Max. temperature (degC)"],
        *([f"P{i}", p["ends"], p["mass_g"], p["diameter_mm"], p["length_mm"], p["magnet_height_mm"],
           p["wall_mm"], p["material"], p["at_temperature_degC"]] for i, p in enumerate(good)),
    ]  # fmt: skip
    density = [float(converter("SG", "density").to_si(x)) for x in (0.55, 0.58)]
    assert {row[2] for row in call("LG_CHOOSE_FLOAT", table, *density, 12, 20, 60)[1:]} == {"fits"}
    status, out, _ = choose_on_command(capsys, *duty)
    assert status == 1
    assert "Floats that would do" in out


def test_a_given_build_is_sized(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = choose_on_command(
        capsys,
        *("--density", "650..670", "--pressure", "20barg", "--temperature", "60C", "--diameter", "80 mm"),
        *(
            "--material",
            "titanium grade 2",
            "--ends",
            "elliptical",
            "--max-length",
            "400",
            "--inside-mass",
            "66",
        ),
        "--json",
    )
    assert status == 1
    (proposal,) = json.loads(out)["proposals"]
    assert proposal["exists"]
    assert (proposal["diameter_mm"], proposal["ends"], proposal["inside_mass_g"]) == (
        80.0,
        "elliptical",
        66.0,
    )


def test_cold_start_up_normal_density_and_viscosity_are_taken(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = choose_on_command(
        capsys,
        *("--density", "840..870", "--density-normal", "855", "--density-cold", "900", "--upper", "3"),
        *(
            "--viscosity",
            "5 cSt",
            "--viscosity-cold",
            "40",
            "--bore",
            "70",
            "--temperature",
            "-20C",
            "--lowest-temperature",
            "-40C",
            "--json",
        ),
    )
    assert status == 0
    duty = json.loads(out)["duty"]
    assert [c["name"] for c in duty["conditions"]] == [
        "lowest density", "normal density", "highest density", "cold start-up",
    ]  # fmt: skip
    assert duty["conditions"][0]["viscosity_mpas"] == pytest.approx(5 * 0.855, rel=1e-6)
    assert duty["conditions"][3]["viscosity_mpas"] == pytest.approx(40)
    assert duty["design_temperature_degC"] == -20.0
    assert duty["lowest_temperature_degC"] == -40.0
    best = json.loads(out)["candidates"][0]
    assert (
        best["movement_mm"] > 0
        and best["worst_reading_mm"][0] < 0
        and set(best["offset_mm"]) == {c["name"] for c in duty["conditions"]}
    )


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (["--density", "0.55"], "write the unit, e.g. '0.85 SG'"),
        (["--density", "850", "--pressure", "20 bar"], "write barg or bara"),
        (["--density", ">800"], "give a number or both ends"),
        (["--density", "850", "--tolerance", "5..6 mm"], "--tolerance 5..6 mm: give one number"),
        (["--density", "850", "--upper", "900"], "below the lower density"),
        (["--density", "850", "--viscosity-cold", "5"], "give --density-cold"),
        (["--density", "850", "--density-normal", "900"], "not between"),
        (["--density", "650", "--pressure", "60barg", "--material", "brass"], "--material brass"),
        (["--density", "850", "--temperature", "-400 C"], "from -273.15 to 1026.85 degC"),
        (["--density", "1e300"], "no liquid's density"),
        (["--density", "850", "--inside-mass", "-5"], "from 0 to 20000 g"),
        (["--density", "850", "--mass-allowance", "200 %"], "from 0 to 0.5"),
        (["--density", "850", "--map", "float_mas=x"], "no field 'float_mas'"),
        (["--density", "850", "--safety-factor", "0.5"], "safety factor must be 1 or above"),
        (["--density", "tepid"], "--density: 'tepid' cannot be read"),
        (["--density", "850", "--density-normal", "840..860"], "--density-normal"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_a_wrong_argument_is_one_line(
    capsys: pytest.CaptureFixture[str], arguments: list[str], text: str
) -> None:
    status, out, err = choose_on_command(capsys, *arguments)
    assert (status, out) == (2, "")
    assert err.startswith("xlfuncs: ") and err.count("\n") == 1
    assert text in err


def test_a_file_without_a_float_list_is_named(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0].append(["Meeting", "Room"])
    book.worksheets[0].append(["Monday", "3"])
    path = tmp_path / "rooms.xlsx"
    book.save(path)
    assert main(["choose", str(path), "--density", "850"]) == 2
    err = capsys.readouterr().err
    assert "rooms.xlsx: no float list found" in err and err.count("\n") == 1


def test_a_cell_that_cannot_be_read_is_named_with_its_address(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    book = openpyxl.Workbook()
    for row in (TABLE[0], [*TABLE[1][:2], "three hundred", *TABLE[1][3:]], TABLE[2]):
        book.worksheets[0].append([None, *row])
    path = tmp_path / "list.xlsx"
    book.save(path)
    assert main(["choose", str(path), "--density", "840..870", "--upper", "5"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "A1 mass in D2 'three hundred' cannot be read" in out


# --- the sum of everything, and a float that stands --------------------------------------------------------


def test_a_part_within_the_tolerance_by_each_effect_is_rejected_by_their_sum() -> None:
    # the float reads +9.7 mm at most, its movement is within 10 mm as well
    duty = replace(DUTY, conditions=between((840.0, 870.0), (5.0, 5.0), viscosity=0.1), chamber_bore=0.06)
    item = judge({"magnet_height": 0.2169}, duty)
    assert item.worst_offset < 0.010 and item.movement < 0.010
    assert item.status == "rejected"
    assert item.reading[1] > 0.010
    assert item.verdict.startswith("may read ") and "offset +" in item.verdict


def test_the_rounding_of_the_list_counts() -> None:
    exact = replace(DUTY, spread=Spread(), design_temperature=np.nan)
    for duty, status in ((exact, "fits"), (replace(exact, spread=usual_spread()), "rejected")):
        assert judge({"magnet_height": 0.2170}, duty).status == status


def test_without_a_design_temperature_no_strength_is_taken_for_granted() -> None:
    item = judge({"max_pressure": np.nan}, replace(DUTY, design_temperature=np.nan))
    assert item.status == "not judged"
    assert "give the design temperature" in item.verdict


def test_corrosion_takes_strength_and_moves_the_reading() -> None:
    worn = replace(DUTY, corrosion=2e-4)
    assert judge({}, worn).pressure_limit < judge({}).pressure_limit or judge({}, worn).status == "rejected"
    assert judge({}, worn).reading[1] > judge({}).reading[1] + 0.01


SIZED = Duty(between((700.0, 740.0), (5.0, 5.0)), 10e5, 353.15)


def test_a_proposed_float_stands_upright() -> None:
    found = size_float(SIZED, Body(0.06, "titanium grade 2", 0.4))
    assert not found.reason
    assert found.metacentric_height > 0
    assert found.length - 0.06 >= 0.06 - 1e-9  # the straight part is as long as the diameter
    assert found.ballast_mass >= 0 and found.magnet_mass > 0.02
    assert found.mass == pytest.approx(found.metal_mass + found.magnet_mass + found.ballast_mass)
    # metal in the middle, magnets at their plane, ballast at two thirds of the cap that it fills
    low = found.ballast_mass * 0.0065 + found.metal_mass * found.length / 2
    gravity = (low + found.magnet_mass * found.magnet_height) / found.mass
    for density in (700.0, 740.0):
        float_ = Float(found.mass, 0.06, found.length, ends="hemispherical", centre_of_gravity=gravity)
        assert metacentric_height(float_, Fluids(density, 5.0)) > 0.0003


def test_heavy_magnets_high_up_make_it_lean() -> None:
    found = size_float(SIZED, Body(0.06, "titanium grade 2", 0.4, inside_mass=0.12))
    assert "top-heavy" in found.reason or found.length > 0.12


def test_sizing_asks_for_the_temperature_of_the_metal() -> None:
    result = call("LG_SIZE_FLOAT", 60, "316L", 400, 840, 860, 0, 10)
    assert (result.error, "design temperature" in result.reason) == ("#N/A", True)


def test_a_corrosion_allowance_thickens_the_wall() -> None:
    plain, more = (
        size_float(replace(SIZED, tolerance=0.05, corrosion=c), Body(0.06, "titanium grade 2", 0.4))
        for c in (0.0, 2e-4)
    )
    assert more.wall >= plain.wall + 2e-4 - 1e-9


# --- both sides of its limits ------------------------------------------------------------------------------


@pytest.mark.parametrize(("upper", "interface"), [(299.0, False), (301.0, True), (329.0, True)])
def test_an_upper_fluid_of_more_than_300_kg_m3_is_a_liquid(upper: float, interface: bool) -> None:
    assert Duty((Condition("normal", 900.0, upper),)).interface == interface


_THIN = "movement not computed: the flow past the float is not laminar"


@pytest.mark.parametrize(("reynolds", "said"), [(1990.0, False), (2010.0, True)])
def test_a_flow_that_is_not_laminar_is_said_to_be_left_out(reynolds: float, said: bool) -> None:
    # Re of the gap: density times rate times bore^2 over the sum of bore and diameter, over the viscosity
    bore, rate, density = 0.08, 0.05, 850.0
    across = GOOD["diameter"]
    viscosity = density * rate * bore**2 / (bore + across) / reynolds
    conditions = between((density, density), (5.0, 5.0), viscosity=viscosity)
    item = judge({}, replace(DUTY, conditions=conditions, chamber_bore=bore, level_rate=rate))
    assert (_THIN in item.remarks) == said
    wide = judge({}, replace(DUTY, conditions=conditions, chamber_bore=0.9 * across, level_rate=10 * rate))
    assert _THIN not in wide.remarks


@pytest.mark.parametrize(("uncertainty", "said"), [(2.4e-5, False), (2.6e-5, True)])
def test_what_rounds_to_a_tenth_of_a_millimetre_is_named_in_the_sum(uncertainty: float, said: bool) -> None:
    # twice the standard uncertainty of the magnet's height: 0.048 and 0.052 mm
    plain = replace(DUTY, design_temperature=np.nan, spread=Spread(magnet_height=uncertainty))
    high = judge({}, plain).offsets["highest density"]
    verdict = judge({"magnet_height": GOOD["magnet_height"] + 0.00997 - high}, plain).verdict
    assert verdict.startswith("may read 10.02 mm high")
    assert ("uncertainty +0.1" in verdict) == said
