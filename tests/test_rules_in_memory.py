"""Rules on columns in memory: gauges compared with each other, which cell is meant, and what is left open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.rows import save
from tests.test_rule_limits import NO_PLANE, OIL, fires, mass_at, mass_of
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import Waiting
from xlfuncs.audit.registry import Hit, Outcome, Undecided, Unread, find_rule
from xlfuncs.lists.model import Doubt, Recognised, State
from xlfuncs.lists.reading import OpenColumn


def given(slug: str, columns: Mapping[str, Sequence[Any]]) -> list[Outcome]:
    gauges = gauges_of(columns)
    return list(find_rule(slug).check(gauges, gauges.settings))


def outcomes(slug: str, *rows: Mapping[str, Any]) -> list[Outcome]:
    """What a rule says of sound gauges with some cells changed."""
    names = dict.fromkeys([*SOUND, *(name for row in rows for name in row)])
    return given(slug, {name: [{**SOUND, **row}.get(name) for row in rows] for name in names})


def hits(found: Sequence[Outcome]) -> list[Hit]:
    return [one for one in found if isinstance(one, Hit)]


def open_(found: Sequence[Outcome]) -> list[tuple[str, list[int], str]]:
    """(field, numbers of the gauges, why) of what is left open."""
    told = [one for one in found if isinstance(one, Undecided) and one.where.any()]
    return [(one.field, one.where.nonzero()[0].tolist(), one.why) for one in told]


# --- a column that was copied ---------------------------------------------------------------------------


def copied(names: Sequence[str | None], cells: Sequence[str], field: str = "fluid") -> list[str]:
    columns: dict[str, Sequence[Any]] = {"tag": [f"LG-{i}" for i in range(len(names))], field: names}
    return [hit.message for hit in hits(given("copied-column", columns | {"viscosity": cells}))]


FLUIDS = ("Blend A", "Blend B", "Blend C", "Blend D")
SERVICES = ("alpha", "beta", "gamma", "delta", "epsilon", "zeta")


def test_one_value_for_four_fluids_is_a_copy() -> None:
    told = "operating viscosity: 5 cP in each of 4 rows, for 4 different fluids"
    assert copied(FLUIDS, ["5 cP"] * 4) == [told]
    assert copied(FLUIDS[:3], ["5 cP"] * 3) == []
    assert copied([*FLUIDS[:3], "blend  a"], ["5 cP"] * 4) == []
    assert copied(FLUIDS, ["5 cP"] * 3 + ["6 cP"]) == []
    assert copied(FLUIDS, ["3 to 5 cP"] * 3 + ["4 to 5 cP"]) == []
    assert copied(FLUIDS, ["3 to 5 cP"] * 3 + ["3 to 6 cP"]) == []
    assert len(copied(FLUIDS, ["3 to 5 cP"] * 4)) == 1


def test_one_value_for_six_services_without_a_common_word_is_a_copy() -> None:
    told = "operating viscosity: 5 cP in each of 6 rows, for 6 different services"
    assert copied(SERVICES, ["5 cP"] * 6, "service") == [told]
    assert copied(SERVICES[:5], ["5 cP"] * 5, "service") == []
    assert copied([*SERVICES, "alpha drum"], ["5 cP"] * 7, "service") == []
    assert len(copied([*SERVICES, "eta drum"], ["5 cP"] * 7, "service")) == 1


def off(*numbers: float, field: str = "design_pressure", unit: str = "barg") -> list[int]:
    """The gauges whose number is off from those of all others."""
    columns = {"tag": [f"LG-{i}" for i in range(len(numbers))], field: [f"{x} {unit}" for x in numbers]}
    return [hit.record for hit in hits(given("copied-column", columns))]


def test_a_number_eight_times_off_is_in_another_unit_where_that_brings_it_among_the_others() -> None:
    others = (2.0, 2.6, 2.1, 2.2, 2.3, 2.4, 2.5)
    assert off(0.24, *others) == [0]  # 8.33 times off, 2.4 in MPa
    assert off(*others, 0.2532) == []  # 7.9 times
    assert off(*others, 21.0) == [7]  # 8.08 times, 2.1 in MPa
    assert off(*others, 20.0) == []
    assert off(*others, 0.19) == []  # 1.9 in MPa is below all others
    assert off(*others, 0.27 / 10) == []
    assert off(*others, 27.0) == []  # 2.7 above them
    assert off(0.24, *others[:6]) == []  # seven numbers are too few


def test_a_length_in_inches_among_millimetres_is_found_and_the_other_way_round() -> None:
    lengths = (980.0, 1020.0, 1000.0, 990.0, 1010.0, 1000.0, 1000.0)
    assert off(*lengths, 39.37, field="visible_range", unit="mm") == [7]
    assert off(*(x / 25.4 for x in lengths), 1000.0, field="visible_range", unit="mm") == [7]
    assert off(*(1000.0,) * 7, 45.0, field="visible_range", unit="mm") == []


def test_a_viscosity_is_off_from_a_hundred_times_on_since_liquids_lie_decades_apart() -> None:
    others = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 20.0)
    assert off(2000.0, *others, field="viscosity", unit="cP") == [0]  # 2 Pa s, or 2 mPa s
    assert off(1990.0, *others, field="viscosity", unit="cP") == []
    assert off(0.0199, *others, field="viscosity", unit="cP") == [0]
    assert off(0.0201, *others, field="viscosity", unit="cP") == []


def test_a_blanket_of_a_fifth_of_a_bar_is_no_unit_taken_for_another() -> None:
    others = (2.1, 2.6, 1.9, 2.2, 2.3, 2.4, 2.5)
    assert off(*others, 0.2, field="operating_pressure") == []
    assert off(*others, 0.21, field="operating_pressure") == [7]
    assert off(*others, 0.2) == [7]


# --- gauges above each other ----------------------------------------------------------------------------


def stacked(**upper: str) -> list[Outcome]:
    lower = {"tag": "LG-2A", "connection_elevation": "1000 mm"}
    return outcomes("stacked-gauges-gap", lower, {"tag": "LG-2B", "connection_elevation": "1950 mm", **upper})


def test_a_gap_and_an_overlap_that_is_too_small_are_told_apart() -> None:
    assert stacked(connection_elevation="1975 mm") == []
    (small,) = hits(stacked(connection_elevation="1975.1 mm"))
    assert small.message == "its visible range overlaps that of LG-2A by 24.9 mm only"
    (none,) = hits(stacked(connection_elevation="2010 mm"))
    assert none.message == "its visible range leaves a gap of 10 mm above that of LG-2A"


def test_scales_that_begin_within_25_mm_of_their_connections_may_count_on() -> None:
    for low in ("1034 mm", "990 mm", "986 mm"):
        assert open_(stacked(connection_elevation="2010 mm", visible_low=low)) == [("", [1], "")]
    for low in ("1036 mm", "984 mm"):
        assert len(hits(stacked(connection_elevation="2010 mm", visible_low=low))) == 1
    short = {"visible_range": "10 mm", "urv": "10 mm"}
    lower = {"tag": "LG-2A", "connection_elevation": "1000 mm"}
    apart = outcomes("stacked-gauges-gap", lower | short, {"tag": "LG-2B", "connection_elevation": "1020 mm"})
    assert len(hits(apart)) == 1  # both scales begin at nought: neither counts on


def test_gauges_of_a_vessel_agree_by_the_larger_of_their_densities() -> None:
    # 3 % of 1013.6 are 30.41, of 983.2 29.50: they differ by 30.40
    assert hits(stacked(fluid_density="1013.6 kg/m3")) == []
    assert [hit.field for hit in hits(stacked(fluid_density="1013.7 kg/m3"))] == ["fluid_density"]
    assert hits(stacked(operating_pressure="5.004 barg")) == []
    assert [hit.field for hit in hits(stacked(operating_pressure="5.006 barg"))] == ["operating_pressure"]
    assert [hit.field for hit in hits(stacked(fluid="Toluene"))] == ["fluid"]
    assert hits(stacked(fluid="Blend 7")) == []


# --- a current at the normal level ----------------------------------------------------------------------


def test_a_current_at_the_normal_level_is_held_against_that(tmp_path: Path) -> None:
    def told(heading: str, current: float) -> tuple[list[str], bool]:
        heads = ["Tag", "Density kg/m3", "LRV mm", "URV mm", "Normal level mm", heading]
        result = audit_book(save(tmp_path / "a.csv", index=[heads, ["LG-1", 800, 0, 1000, 250, current]]))
        open_ = any(one.rule == "current-inconsistent" for one in result.not_checked)
        return [one.message for one in result.findings if one.rule == "current-inconsistent"], open_

    wrong = "12.00 mA is stated where LRV, URV and level give 8.00 mA"
    assert told("mA at normal level", 12) == ([wrong], False)
    assert told("mA at normal level", 8) == ([], False)


# --- which density is meant -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "kelvin", "cell"),
    [
        # water has 983.4 kg/m3 at 60 and 988.3 at 50 degC and 5 barg (IAPWS-95)
        ("900 kg/m3", "940 kg/m3", "60 degC", "fluid_density_max"),
        ("1020 kg/m3", "1050 kg/m3", "60 degC", "fluid_density_min"),
        ("940 kg/m3", "990 kg/m3", "50 to 60 degC", "fluid_density_min"),
        ("983 kg/m3", "1050 kg/m3", "50 to 60 degC", "fluid_density_max"),
    ],
)
def test_the_density_that_the_fluid_cannot_have_is_pointed_at(
    low: str, high: str, kelvin: str, cell: str
) -> None:
    cells = {"fluid_density": None, "fluid_density_min": low, "fluid_density_max": high}
    (hit,) = fires("density-not-at-operating-conditions", cells | {"operating_temperature": kelvin})
    assert hit.field == cell


def test_a_range_of_temperatures_asks_for_both_ends() -> None:
    warm = {"fluid_density": "984 to 988 kg/m3"}
    assert (
        fires("density-not-at-operating-conditions", warm | {"operating_temperature": "50 to 60 degC"}) == []
    )
    one = {"fluid_density": "940 to 984 kg/m3", "operating_temperature": "60 degC"}
    assert fires("density-not-at-operating-conditions", one) == []
    both = one | {"operating_temperature": "59 to 60 degC"}
    assert len(fires("density-not-at-operating-conditions", both)) == 1


# --- what was not understood ----------------------------------------------------------------------------

PLAIN = {"material_group": None}


def test_a_material_without_a_group_is_told_by_its_cell_and_its_standard() -> None:
    rows: tuple[dict[str, Any], ...] = (
        PLAIN | {"chamber_material": "Unobtainium"},
        PLAIN | {"chamber_material": "Titanium", "flange_class": "PN 40"},
        PLAIN | {"flange_material": "steel"},
        {"flange_class": "odd"},
        {},
    )
    assert open_(outcomes("flange-rating-exceeded", *rows)) == [
        ("flange_class", [3], "'odd' is none, or more than one"),
        ("flange_material", [2], "'steel' leaves the metal open"),
        ("chamber_material", [0], "'Unobtainium' is in no table of materials"),
        ("chamber_material", [1], "'Titanium' is in no group of EN 1092-1"),
    ]


def test_a_group_that_is_not_known_leaves_the_cold_open() -> None:
    cold = {"design_temperature_min": "-30 degC"}
    rows = (
        PLAIN | cold | {"chamber_material": "Unobtainium"},
        PLAIN | cold | {"flange_material": "steel"},
        cold,
    )
    assert open_(outcomes("design-temperature-low", *rows)) == [
        ("flange_material", [1], ""),
        ("chamber_material", [0], ""),
    ]


def test_a_grade_is_too_hot_where_its_own_cell_decides_and_nowhere_else() -> None:
    hot = PLAIN | {"chamber_material": "304L"}
    rows = [hot | {"design_temperature": kelvin} for kelvin in ("425 degC", "426 degC")]
    rows.append(rows[1] | {"flange_material": "316L"})
    rows.append(rows[1] | {"flange_class": "PN 40"})
    told = [one for one in outcomes("flange-rating-exceeded", *rows) if isinstance(one, Undecided)]
    (one,) = (
        one for one in told if "does not permit" in one.missing and one.where.any() and "304L" in one.missing
    )
    assert one.where.tolist() == [False, True, False, False]


def test_a_cell_that_is_not_understood_is_told_with_its_place_and_is_no_finding() -> None:
    found = outcomes(
        "value-implausible",
        {"fluid_density": "983 SG"},
        {"fluid_density": "thick"},
        {"float_length": "-250 mm"},
    )
    (cell,) = (one for one in found if isinstance(one, Unread))
    assert (cell.field, cell.cell, cell.row, cell.why[:6]) == ("fluid_density", "H3", 3, "'thick")
    told = [(hit.record, hit.field, hit.message.split(" cannot")[0]) for hit in hits(found)]
    assert told == [
        (0, "fluid_density", "operating density of the (lower) fluid of 983 SG"),
        (2, "float_length", "float length over all of -250 mm"),
    ]


def test_numbers_at_the_ends_of_what_can_be_are_used() -> None:
    columns = {"tag": ["LG-1"] * 4, "float_length": ["10 mm", "9.9 mm", "2000 mm", "2001 mm"]}
    assert [hit.record for hit in hits(given("value-implausible", columns))] == [1, 3]


def test_an_error_value_and_a_number_that_is_a_text_are_told_cell_by_cell() -> None:
    rows: tuple[dict[str, Any], ...] = ({"viscosity": "#REF!"}, {"fluid": "#N/A"}, {})
    told = {(hit.record, hit.field) for hit in hits(outcomes("cell-error", *rows))}
    assert {record for record, _ in told} == {0, 1}
    assert {hit.message for hit in hits(outcomes("cell-error", *rows))} == {
        "operating viscosity holds the error value #REF!",
        "fluid name holds the error value #N/A",
    }
    columns: dict[str, list[Any]] = {
        "tag": ["LG-1"] * 4,
        "viscosity": ["> 20 mPa.s", 20.0, "TBC", "20 mPa.s"],
        "fluid": ["7 up"] * 4,
    }
    texts = [(hit.record, hit.message) for hit in hits(given("number-as-text", columns))]
    assert [record for record, _ in texts] == [3]  # a bound is none that could be a number
    assert "'20 mPa.s' is kept as text, not as a number" in texts[0][1]


# --- materials and parts --------------------------------------------------------------------------------


def test_each_fluid_is_judged_at_its_own_gauges() -> None:
    acid = {"fluid": "Hydrochloric acid 15 %"}
    found = outcomes("wetted-material-unfit", {}, acid | {"float_material": "316L"}, {"fluid": "Blend 7"})
    assert {hit.record for hit in hits(found)} == {1}
    item = find_rule("wetted-material-unfit")
    assert item.when is not None
    gauges = gauges_of(
        {"fluid": ["Blend 7", "Hydrochloric acid 15 %", None, None], "service": [None, None, None, "Brine"]}
    )
    assert item.when(gauges).tolist() == [False, True, False, True]


def test_a_serial_is_compared_where_both_are_noted() -> None:
    rows = (
        {"serial": None, "float_gauge_serial": "QX-1"},
        {"serial": "QX-1"},
        {"serial": "QX-1", "float_gauge_serial": "qx 1"},
        {"serial": "QX-1", "float_gauge_serial": "QX-2"},
        {"serial": "QX-1", "transmitter_gauge_serial": "QX-3"},
    )
    told = [(hit.record, hit.message) for hit in hits(outcomes("serial-mismatch", *rows))]
    assert told == [
        (3, "the float is noted for gauge serial QX-2, this gauge is QX-1"),
        (4, "the transmitter is noted for gauge serial QX-3, this gauge is QX-1"),
    ]


# --- the worst reading ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("offset", "told"), [(0.052, True), (0.048, False), (-0.052, True), (-0.048, False)])
def test_an_effect_that_rounds_to_a_tenth_is_told(offset: float, told: bool) -> None:
    slow = OIL | {"float_mass": mass_at(offset), "viscosity": "190 mPa.s", "level_rate": "10 mm/s"}
    (hit,) = fires("worst-reading-exceeds-tolerance", slow)
    assert ("offset_mm" in hit.evidence) is told
    assert (f"offset {offset:+.1f}" in hit.message) is told


# --- what hangs on a vapour that is not stated -----------------------------------------------------------


@pytest.mark.parametrize(
    ("slug", "sure", "open_at"),
    [
        # 350 g are 202.6 mm deep in 880 kg/m3 under nothing, 193.0 mm under 148 kg/m3: 0.1 kg/mol at 41 bar
        ("range-not-reachable", {"room_below": "190 mm"}, {"room_below": "200 mm"}),
        # a float of 780 kg/m3 has 11.4 % above the surface under nothing, one of 801 kg/m3 9.0 %
        ("float-barely-floats", {"float_mass": mass_of(780)}, {"float_mass": mass_of(880 * 0.91)}),
        ("offset-exceeds-tolerance", {"float_mass": mass_at(30)}, {"float_mass": mass_at(9)}),
    ],
)
def test_what_hangs_on_the_vapour_is_left_open(
    slug: str, sure: dict[str, Any], open_at: dict[str, Any]
) -> None:
    silent = OIL | {"float_mass": "350 g", "upper_density": None}
    silent |= {"operating_pressure": "40 barg", "design_pressure": "50 barg"}
    assert open_(outcomes(slug, silent | sure)) == []
    assert open_(outcomes(slug, silent | open_at)) == [("", [0], "")]
    assert open_(outcomes(slug, silent | open_at | {"upper_density": "0 kg/m3"})) == []
    assert open_(outcomes(slug, silent | open_at | {"upper_density": "0 to 3 kg/m3"})) == []


# --- the sheet itself -----------------------------------------------------------------------------------


def changed(made: Gauges, **parts: Any) -> Gauges:
    """The gauges of a table that is changed."""
    (table,) = made.book.gauges
    return Gauges(replace(made.book, gauges=[replace(table, **parts)]), None)


def told(slug: str, gauges: Gauges) -> list[tuple[int, str, str, str]]:
    """(gauge, cell, tag, message) of each hit."""
    return [
        (hit.record, hit.cell, hit.tag, hit.message)
        for hit in hits(list(find_rule(slug).check(gauges, gauges.settings)))
    ]


def test_a_hidden_row_is_one_of_a_gauge_or_of_a_float() -> None:
    made = gauges_of({"tag": ["LG-1", "LG-2"]}, {"float_part": ["F-1", "F-2"]})
    hidden = np.array([False, True])
    assert told("row-hidden", changed(made, hidden=hidden)) == [
        (1, "A3", "LG-2", "the gauge's row 3 is hidden")
    ]
    (floats,) = made.book.floats
    listed = Gauges(replace(made.book, floats=[replace(floats, hidden=hidden)]), None)
    assert told("row-hidden", listed) == [(-1, "A3", "F-2", "the float's row 3 is hidden")]


def test_a_formula_without_a_value_is_told_at_its_cell() -> None:
    made = gauges_of({"tag": ["LG-1", "LG-2"], "float_mass": ["350 g", None]})
    (table,) = made.book.gauges
    state = np.array([State.OK, State.NEVER_CALCULATED], dtype=np.uint8)
    mass = replace(table.columns["float_mass"], state=state)
    assert told("never-calculated", changed(made, columns={**table.columns, "float_mass": mass})) == [
        (1, "B3", "LG-2", "float mass is a formula that was never calculated")
    ]


def test_a_column_in_doubt_is_told_with_what_waits_for_it() -> None:
    def waits(rules: tuple[str, ...], count: int, what: Any = "doubt") -> list[str]:
        gauges = gauges_of({"tag": ["LG-1"]})
        options = ("--map a=C", "--map none=C")
        column = OpenColumn("Index", "gauges", "C", "C1", "D", ("viscosity",), options, "'D' is open", what)
        gauges.waiting = [Waiting(column, rules, count)]
        return [message for _, _, _, message in told("reading-doubtful", gauges)]

    assert waits(("a",), 1) == ["'D' is open; 1 rule for 1 gauge wait for it"]
    assert waits(("a", "b"), 1) == ["'D' is open; 2 rules for 1 gauge wait for it"]
    assert waits(("a",), 1200) == ["'D' is open; 1 rule for 1,200 gauges wait for it"]
    assert waits((), 0) == waits(("a",), 1, "unit") == waits(("a",), 1, "unread") == []


def test_a_unit_that_is_open_is_told_by_its_column_and_other_doubts_are_not() -> None:
    made = gauges_of({"tag": ["LG-1"]})
    doubts = [Doubt("unit", "Index", "C1", "no unit", ("viscosity",)), Doubt("answer", "Index", "D1", "else")]
    gauges = Gauges(replace(made.book, doubts=doubts), None)
    assert told("unit-ambiguous", gauges) == [(-1, "C1", "", "no unit")]


# --- exchanges and shells -------------------------------------------------------------------------------


def test_a_few_gauges_that_read_wrong_leave_no_exchange_open() -> None:
    light = OIL | {"tag": "LG-1", "fluid_density": "800 kg/m3", "float_mass": mass_at(0, 1000)}
    heavy = OIL | {"tag": "LG-2", "fluid_density": "1000 kg/m3", "float_mass": mass_at(0, 800)}
    found = outcomes("floats-exchanged", light, heavy)
    assert [hit.tag for hit in hits(found)] == ["LG-1", "LG-2"]
    assert open_(found) == []
    assert outcomes("floats-exchanged", light) == []
    assert hits(found)[0].message.startswith("the floats of LG-1 and LG-2 changed places")


def test_flat_ends_of_a_weak_shell_are_said_to_be_unchecked_and_asked_for_of_a_sound_one() -> None:
    slug, weak = "float-collapses", {"float_wall": "0.2 mm", "float_material": "316L"}
    (flat,) = fires(slug, weak | {"float_ends": "flat"})
    assert flat.message.startswith("the float's shell, its flat ends not checked, collapses at")
    (curved,) = fires(slug, weak | {"float_ends": "hemispherical"})
    assert curved.message.startswith("the float with its curved ends collapses at")
    sound = {"float_wall": "1.2 mm", "float_material": "316L"}
    found = outcomes(slug, sound | {"float_ends": "hemispherical"}, sound | {"float_ends": "flat"})
    assert open_(found) == [("", [1], "")]


@pytest.mark.parametrize(
    ("low", "high", "words", "cell"),
    [
        ("880 kg/m3", "1010 kg/m3", "reads low by 21.2 mm at 880 kg/m3", "fluid_density_min"),
        ("950 kg/m3", "1080 kg/m3", "reads high by 16.3 mm at 1080 kg/m3", "fluid_density_max"),
    ],
)
def test_without_a_magnet_plane_the_worst_density_and_its_direction_are_told(
    low: str, high: str, words: str, cell: str
) -> None:
    # 350 g of 50 mm: m/A (1/983 - 1/rho), the magnet plane at the surface at 983 kg/m3
    cells = NO_PLANE | {"fluid_density": None, "fluid_density_min": low, "fluid_density_max": high}
    (hit,) = fires("design-density-mismatch", cells)
    assert words in hit.message
    assert hit.field == cell


@pytest.mark.parametrize(
    ("current", "level", "found"),
    [("mA at normal level", "Level", True), ("mA", "mA at normal level", False), ("mA", "Level", False)],
)
def test_the_heading_of_the_current_itself_says_that_it_is_the_one_at_the_normal_level(
    current: str, level: str, found: bool
) -> None:
    cells = {"lrv": ["0 mm"], "urv": ["1000 mm"], "normal_level": ["250 mm"], "stated_current": ["12 mA"]}
    heads = [
        Recognised("normal_level", "gauges", "C", level, "C1", ""),
        Recognised("stated_current", "gauges", "D", current, "D1", ""),
    ]
    gauges = changed(gauges_of(cells), recognised=heads)
    made = list(find_rule("current-inconsistent").check(gauges, gauges.settings))
    assert bool(hits(made)) is found
    assert bool(open_(made)) is not found
