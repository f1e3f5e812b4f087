"""How findings are computed, on columns in memory: what stands in a calculation, and what it comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

import pytest

from tests import test_further_rules, test_rule_limits
from tests.test_rule_edges import WORST
from tests.test_rule_limits import OIL, mass_at
from xlfuncs.audit.calculation import Calculation, Step
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, calculation_of, find_rule, remedy_of
from xlfuncs.audit.shown import shown
from xlfuncs.audit.working import WATER, Table, Working
from xlfuncs.audit.written import Written, find, link
from xlfuncs.units import converter

LIMITS = [*test_rule_limits.LIMITS, *test_further_rules.LIMITS]


def computed(slug: str, changes: Mapping[str, Any]) -> list[tuple[Hit, Calculation]]:
    """The findings of a rule in the sound gauge with some cells changed, each with its calculation."""
    gauges = gauges_of({field: [value] for field, value in (SOUND | dict(changes)).items()})
    item, out = find_rule(slug), []
    for hit in item.check(gauges, gauges.settings):
        if isinstance(hit, Hit) and (made := calculation_of(item, gauges, gauges.settings, hit)):
            out.append((hit, made))
    return out


def one(slug: str, changes: Mapping[str, Any]) -> dict[str, Step]:
    """The steps of the one finding's calculation, which fires."""
    ((_, made),) = computed(slug, changes)
    assert made.fires or not made.test
    return {step.symbol: step for step in made.steps}


@pytest.mark.parametrize(("slug", "beyond"), [(slug, beyond) for slug, _, beyond in LIMITS])
def test_just_beyond_a_limit_the_calculation_says_so_too(slug: str, beyond: dict[str, Any]) -> None:
    for _, made in computed(slug, beyond):
        assert made.fires or not made.test
        assert all(isfinite(number) for number in made.numbers().values())


# --- the float balance ----------------------------------------------------------------------------------

ROUND = OIL | {"float_ends": "hemispherical"}
STRAIGHT = "c_b+(V_s-V_b)/A"


@pytest.mark.parametrize(
    ("mass", "written"), [("20 g", ""), ("60 g", STRAIGHT), ("350 g", STRAIGHT), ("400 g", "")]
)
def test_an_immersion_is_elementary_where_the_surface_is_at_the_straight_part(
    mass: str, written: str
) -> None:
    depth = one("offset-exceeds-tolerance", ROUND | {"float_mass": mass})["h"]
    assert (depth.expression, depth.function) == (written, "" if written else "LG_IMMERSION")
    slow = ROUND | {"float_mass": mass, "viscosity": "900 mPa.s", "level_rate": "20 mm/s"}
    force = one("float-lags", slow)["c"]
    assert force.function == ("" if written else "gauge.response.restoring")


def test_each_end_has_its_own_depth_and_a_stated_flat_one_none() -> None:
    steps = one(
        "offset-exceeds-tolerance",
        OIL | {"float_ends": "flat bottom, hemispherical top", "float_mass": "250 g"},
    )
    assert [(steps[name].name, steps[name].number) for name in ("c_b", "c_t")] == [
        ("depth of the flat bottom", 0.0),
        ("depth of the hemispherical top", 0.025),
    ]
    assert one("offset-exceeds-tolerance", OIL | {"float_mass": "250 g"})["V"].expression == "A*L"
    silent = one("offset-exceeds-tolerance", OIL | {"float_mass": "250 g", "float_ends": None})
    assert silent["V"].expression == "A*(L-c_b-c_t)+V_b+V_t"


def test_a_density_comes_from_the_end_that_states_it() -> None:
    wide = OIL | {"fluid_density": "880 to 960 kg/m3", "float_mass": mass_at(0)}
    ((hit, made),) = computed("offset-exceeds-tolerance", wide)
    assert made.numbers()["rho"] == pytest.approx(960) == hit.evidence["density_kg_m3"]
    low = OIL | {"fluid_density": "800 to 880 kg/m3", "float_mass": mass_at(0)}
    ((_, made),) = computed("offset-exceeds-tolerance", low)
    assert made.numbers()["rho"] == pytest.approx(800)


def test_both_densities_of_a_range_are_held_against_each_other() -> None:
    cells = {"fluid_density_min": "990 kg/m3", "fluid_density_max": "985 kg/m3"}
    ((_, made),) = computed("density-range-reversed", cells)
    assert made.test == "OR(rho_min>rho_max,rho_l<rho_min*(1-k),rho_h>rho_max*(1+k))"
    ((_, made),) = computed("density-range-reversed", {"fluid_density_min": "990 kg/m3"})
    assert made.test == "OR(rho_l<rho_min*(1-k))"


@pytest.mark.parametrize(
    ("cells", "names"),
    [
        (WORST, ["heat", "movement: ahead of a falling", "uncertainty"]),
        (WORST | {"fluid_density": "1029 kg/m3"}, ["heat", "movement: ahead of a rising", "uncertainty"]),
        (
            WORST | {"viscosity": None, "float_material": "316L", "operating_temperature": "-196 to 20 degC"},
            ["heat", "uncertainty"],
        ),
    ],
)
def test_the_effects_of_a_worst_reading_are_written_out_and_add_up(
    cells: dict[str, Any], names: list[str]
) -> None:
    ((hit, made),) = computed("worst-reading-exceeds-tolerance", cells)
    effects = [step for step in made.steps if step.symbol.startswith("e_")]
    assert [step.name[: len(name)] for step, name in zip(effects, names, strict=True)] == names
    assert not any(step.function for step in made.steps)
    numbers = made.numbers()
    assert numbers["w"] == pytest.approx(numbers["e"] + sum(step.number for step in effects))
    assert numbers["w"] * 1e3 == pytest.approx(hit.evidence["worst_reading_mm"])


def test_the_metacentre_of_flat_ends_is_written_out() -> None:
    top = OIL | {"float_centre_of_gravity": "150 mm"}
    assert one("float-top-heavy", top)["GM"].expression == "z_b+b-z_g"
    round_ = one("float-top-heavy", top | {"float_ends": "hemispherical"})["GM"]
    assert (round_.expression, round_.function) == ("", "LG_METACENTRIC_HEIGHT")


def test_a_float_of_the_list_is_reckoned_with_its_own_cells() -> None:
    listed: dict[str, Sequence[Any]] = {
        "float_part": ["Z1", "Z2"],
        "float_mass": ["330 g", mass_at(1)],
        "float_diameter": ["50 mm"] * 2,
        "float_length": ["250 mm"] * 2,
        "magnet_height": ["181 mm"] * 2,
        "float_ends": ["flat"] * 2,
        "float_max_pressure": ["40 barg"] * 2,
        "float_max_temperature": ["200 degC"] * 2,
    }
    cells = {field: [value] for field, value in (SOUND | OIL | {"float_mass": mass_at(30)}).items()}
    gauges, item = gauges_of(cells, listed), find_rule("offset-exceeds-tolerance")
    (hit,) = (hit for hit in item.check(gauges, gauges.settings) if isinstance(hit, Hit))
    remedy = remedy_of(item, gauges, gauges.settings, hit)
    assert remedy is not None and remedy.calculation is not None
    made = remedy.calculation
    places = {value.symbol: f"{value.sheet}!{value.cell}" for value in made.inputs}
    assert [places[name] for name in ("m", "d", "L", "z")] == [f"floats!{letter}3" for letter in "BCDE"]
    assert [places[name][:7] for name in ("rho", "D", "T_m")] == ["gauges!"] * 3
    numbers = made.numbers()
    assert numbers["e"] == pytest.approx(1e-3, rel=1e-6)
    assert made.fires
    assert next(step for step in made.steps if step.symbol == "w").expression == "e+e_movement+e_uncertainty"


# --- the shell ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ends", "length", "parts"),
    [
        ("hemispherical", "50 mm", "p_3b,p_3y"),  # a sphere has no straight part
        ("hemispherical", "250 mm", "p_1,p_2,p_3b,p_3y"),
        ("elliptical", "250 mm", "p_1,p_2,p_3b,p_3y"),
        ("flat", "250 mm", "p_1,p_2"),
        ("flat bottom, hemispherical top", "250 mm", "p_1,p_2,p_3b,p_3y"),
        ("torispherical", "250 mm", "p_1,p_2,p_3b,p_3y"),
        ("flat bottom, elliptical top", "60 mm", "p_1,p_2,p_3b,p_3y"),
    ],
)
def test_the_shell_and_its_curved_ends_are_what_may_collapse(ends: str, length: str, parts: str) -> None:
    cells = {"float_ends": ends, "float_length": length, "float_wall": "0.2 mm", "design_pressure": "90 barg"}
    cells |= {"float_material": "316L", "magnet_height": "20 mm"}
    found = computed("float-collapses", cells)
    assert found or ends == "torispherical"  # of which there are two: not decided
    for hit, made in found:
        steps = {step.symbol: step for step in made.steps}
        assert made.fires
        assert steps["p_c"].expression == f"MIN({parts})"
        assert made.numbers()["p_max"] / 1e5 == pytest.approx(hit.evidence["permitted_pressure_bar"])
    if ends == "flat":
        assert found[0][1].numbers()["L_u"] == pytest.approx(0.25)


def test_a_crown_is_that_of_its_end() -> None:
    weak = {"float_wall": "0.2 mm", "design_pressure": "90 barg", "float_material": "316L"}
    crowns = {}
    for ends in ("hemispherical", "elliptical"):
        ((_, made),) = computed("float-collapses", weak | {"float_ends": ends})
        crowns[ends] = made.numbers()["r_3"]
    assert crowns["hemispherical"] == 1.0
    assert crowns["elliptical"] == pytest.approx(1.8, abs=0.2)


# --- signal, fluids, tracing, places --------------------------------------------------------------------


def test_a_falling_signal_is_reckoned_from_its_upper_end() -> None:
    slug, falling = "current-inconsistent", {"lrv": "1000 mm", "urv": "0 mm"}
    assert one(slug, falling | {"stated_level": "250 mm", "stated_current": "8 mA"})["p"].number == 0.75
    assert one(slug, {"stated_level": "250 mm", "stated_current": "16 mA"})["p"].number == 0.25
    stated = {"action": "reverse", "stated_level": "250 mm", "stated_current": "8 mA"}
    assert one(slug, stated)["p"].name == "share of the range, falling signal"


def test_a_density_is_held_against_that_of_its_own_temperature() -> None:
    slug, warm = "density-not-at-operating-conditions", {"operating_temperature": "50 to 60 degC"}
    ((_, light),) = computed(slug, warm | {"fluid_density": "940 kg/m3"})
    ((_, heavy),) = computed(slug, warm | {"fluid_density": "1030 kg/m3"})
    assert [made.numbers()["T"] for made in (light, heavy)] == pytest.approx([333.15, 323.15])
    assert [made.fires for made in (light, heavy)] == [True, True]


def test_a_temperature_class_that_is_not_known_is_no_limit() -> None:
    odd = one("tracing-too-hot", {"transmitter_max_temperature": "80 degC", "temperature_class": "odd"})
    assert odd["T_max"].expression == "MIN(T_1,T_2,T_3)"
    known = one("tracing-too-hot", {"temperature_class": "T6"})
    assert known["T_max"].expression == "MIN(T_1,T_2,T_3,T_4)"
    assert known["T_max"].number == pytest.approx(358.15)


def test_room_is_reckoned_at_the_end_that_lacks_it() -> None:
    below = one("range-not-reachable", OIL | {"room_below": "100 mm"})["x"]
    above = one("range-not-reachable", OIL | {"room_above": "10 mm"})["x"]
    assert [below.expression, above.expression] == ["h-v_low", "v_high-h+L-c"]


def test_a_condition_is_compared_as_finely_as_it_is_rounded() -> None:
    ((_, pressure),) = computed("operating-exceeds-design", {"operating_pressure": "10.02 barg"})
    ((_, heat),) = computed("operating-exceeds-design", {"operating_temperature": "120.1 degC"})
    assert [made.numbers()["k"] for made in (pressure, heat)] == [1e-3, 1e-6]
    assert {"p", "p_max"} <= pressure.numbers().keys() and {"T", "T_max"} <= heat.numbers().keys()


# --- how numbers are read and shown ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        (273.15, "K", "0 degC"),
        (273.15 + 5e-14, "K", "0 degC"),
        (273.25, "K", "0.1 degC"),
        (0.0, "K", "-273.15 degC"),
        (0.0, "m", "0 mm"),
        (1e-9, "m", "1e-06 mm"),
        (9999.6, "kg/m3", "9999.6 kg/m3"),
        (10000.4, "kg/m3", "10000 kg/m3"),
        (123456.7, "kg/m3", "123457 kg/m3"),
        (-123456.7, "kg/m3", "-123457 kg/m3"),
        (0.25, "", "0.25"),
    ],
)
def test_a_number_is_shown_in_five_digits_and_whole_from_ten_thousand_on(
    number: float, unit: str, text: str
) -> None:
    assert shown(number, unit) == text


@pytest.mark.parametrize(
    ("text", "number", "decimal", "group"),
    [
        ("1,234", 1234.0, ".", ","),
        ("1.234", 1234.0, ",", "."),
        ("1,234", 1.234, ",", " "),
        ("1.234", 1.234, ".", " "),
        ("1.234,5", 1234.5, ",", "."),
        ("1,234.5", 1234.5, ".", ","),
        ("1'234.5", 1234.5, ".", "'"),
        ("12", 12.0, ".", " "),
    ],
)
def test_marks_are_those_under_which_the_number_is_the_right_one(
    text: str, number: float, decimal: str, group: str
) -> None:
    assert find(text, number, float) == Written("", "", decimal, group)


def test_the_place_of_a_number_is_counted_from_the_left() -> None:
    made = find("5 to 6 to 7 mm", 7.0, float)
    assert made == Written("to", "mm", ".", " ", nth=2)
    assert made.number("5 to 6 to 8 mm") == 8.0
    assert made.number("5 to 6 mm") is None
    assert made.number("5 to 6 to 8 in") is None


@pytest.mark.parametrize(("rows", "decimal"), [(199, ","), (205, ".")])
def test_two_hundred_cells_show_how_a_column_writes_its_numbers(rows: int, decimal: str) -> None:
    gauges = gauges_of({"viscosity": [*["25 mPa.s"] * rows, "2,5 mPa.s"]})
    work = Working(gauges, gauges.settings, 0)
    work.cell("mu", "viscosity")
    written = work.inputs[0].written
    assert written is not None and written.decimal == decimal


def test_a_link_scales_and_shifts_only_where_it_has_to() -> None:
    assert link(converter("K", "temperature")) == "x"
    assert link(converter("kg", "mass")) == "x"
    assert link(converter("degC", "temperature")) == "x+273.15"
    assert link(converter("m", "length")) == "x"
    assert link(converter("bara", "pressure_gauge")) == "x*100000-101325"


def test_a_cell_is_linked_where_its_number_follows_from_it() -> None:
    gauges = gauges_of({"fluid_density": [0.88, 880.0], "float_mass": [350.0, 350.0]})
    work = Working(gauges, gauges.settings, 1)
    work.cell("m", "float_mass")
    work.cell("rho", "fluid_density")
    assert [(value.link, value.scale) for value in work.inputs] == [("x*0.001", 0.001), ("x", 1.0)]
    assert all(not value.note for value in work.inputs)
    specific = gauges_of({"fluid_density": ["0.88 SG"]})
    work = Working(specific, specific.settings, 0)
    work.cell("rho", "fluid_density")
    assert work.inputs[0].note == WATER


TABLE = Table([0.0, 10.0, 20.0], [1.0, 2.0, 4.0], "K", "m", "a table")


@pytest.mark.parametrize(
    ("at", "value", "rows"),
    [
        (-5.0, 1.0, 1),
        (0.0, 1.0, 4),
        (5.0, 1.5, 4),
        (10.0, 2.0, 4),
        (15.0, 3.0, 4),
        (20.0, 4.0, 4),
        (25.0, 4.0, 1),
    ],
)
def test_a_table_is_read_between_its_rows_and_held_at_its_ends(at: float, value: float, rows: int) -> None:
    gauges = gauges_of({"tag": ["LG-1"]})
    work = Working(gauges, gauges.settings, 0)
    work.assume("T", "temperature", at, "K")
    assert work.on_line("a", "expansion", "T", TABLE) == pytest.approx(value)
    told = [entry.name for entry in work.inputs[1:]]
    assert len(told) == rows
    if rows == 4:
        assert [name.rsplit(" ", 1)[1] for name in told] == ["below", "below", "above", "above"]
        assert len(work.steps) == 1
