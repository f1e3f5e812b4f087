"""Parts of the float list for a gauge: which fit, in which order, and what keeps the others out.

Floats of 50 x 250 mm with flat ends: they read true in 880 kg/m3 where 880 A z of them is their mass.
"""

from __future__ import annotations

import math
import re

import pytest

from tests.remedy_rows import Row, gauges_from, hits, mended
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import remedy_of, rules
from xlfuncs.audit.remedies.doubted import between, cold, reads
from xlfuncs.audit.remedies.duties import duty_of, pairs, spare
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings

AREA = math.pi / 4 * 0.05**2
ROW: Row = {
    "tag": "LG-1",
    "fluid": "Blend 7",
    "service_type": "level",
    "fluid_density": "880 kg/m3",
    "upper_density": "0 kg/m3",
    "float_part": "NONE",
}
"""Its own part is in no list."""


def part(name: str, low: float = 0.0, **other: str | None) -> Row:
    """A part that reads so many millimetres low."""
    return {
        "float_part": name,
        "float_mass": f"{1e3 * 880 * AREA * (0.181 + low / 1e3):.2f} g",
        "float_diameter": "50.00 mm",
        "float_length": "250.0 mm",
        "float_ends": "flat",
        "magnet_height": "181.0 mm",
    } | other


def gauges_with(row: Row, *parts: Row) -> Gauges:
    return gauges_from(row, base=ROW, floats=list(parts))


def chosen(row: Row, *parts: Row) -> Remedy:
    """What is proposed in place of a part that is in no list."""
    return mended("float-not-in-list", gauges_with(row, *parts))


def names(remedy: Remedy) -> list[str]:
    return [str(option.value) for option in remedy.options if option.name == "float_part"]


@pytest.mark.parametrize("number", [3, 4, 5])
def test_three_parts_are_told_and_all_that_fit_are_options(number: int) -> None:
    remedy = chosen({}, *[part(f"P{at}", 1.0 * at) for at in range(number)])
    assert names(remedy) == [f"P{at}" for at in range(number)]
    told = [option.text in remedy.text for option in remedy.options]
    assert told == [True] * 3 + [False] * (number - 3)
    assert (f"; and {number - 3} more" in remedy.text) is (number > 3)


@pytest.mark.parametrize("number", [10, 11])
def test_ten_parts_that_cannot_be_judged_for_one_reason_are_told(number: int) -> None:
    unknown = [part(f"Q{at:02}", float_mass=None) for at in range(number)]
    remedy = chosen({}, part("P"), *unknown)
    assert names(remedy) == ["P"] and "Q09" in remedy.text and "Q10" not in remedy.text
    assert (" and 1 more" in remedy.text) is (number == 11)


@pytest.mark.parametrize(("service", "fit"), [("level", ["B", "C", "D"]), ("interface", ["A", "C", "D"])])
def test_a_part_that_is_made_for_both_services_or_for_none_serves_either(
    service: str, fit: list[str]
) -> None:
    """Between 880 and 700 kg/m3 a float floats that weighs 880 A z + 700 A (250 mm - z)."""
    above = 700.0 if service == "interface" else 0.0
    mass = f"{1e3 * AREA * (880 * 0.125 + above * 0.125):.2f} g"
    made = {"A": "interface", "B": "level", "C": "interface and level", "D": None}
    parts = [
        part(name, float_service=said, float_mass=mass, magnet_height="125.0 mm")
        for name, said in made.items()
    ]
    row: Row = {"service_type": service, "upper_density": f"{above} kg/m3"}
    assert sorted(names(chosen(row, *parts))) == fit


def test_each_part_counts_once_where_it_stands_first() -> None:
    remedy = chosen({}, part("A", 2.0), part("B"), part("a", 1.0))
    assert names(remedy) == ["B", "A"]
    worst = remedy.options[1].numbers
    assert worst["worst_reading_low_mm"] < -1.9


@pytest.mark.parametrize(
    ("bears", "fit"), [("30 barg", True), ("29.9 barg", False), ("40 barg", True), (None, False)]
)
def test_a_part_for_a_gauge_that_is_tested_withstands_the_test(bears: str | None, fit: bool) -> None:
    row: Row = {"float_part": "A", "test_pressure": "30 barg"}
    gauges = gauges_with(row, part("A", float_max_pressure="20 barg"), part("B", float_max_pressure=bears))
    remedy = mended("float-test-pressure-exceeded", gauges)
    assert names(remedy) == (["B"] if fit else [])


@pytest.mark.parametrize(("coldest", "fit"), [("-60 degC", True), ("-61 degC", True), ("-59 degC", False)])
def test_a_part_for_the_cold_is_made_for_it(coldest: str, fit: bool) -> None:
    row: Row = {"float_part": "A", "design_temperature_min": "-60 degC"}
    gauges = gauges_with(
        row, part("A", float_min_temperature="-50 degC"), part("B", float_min_temperature=coldest)
    )
    assert names(mended("design-temperature-low", gauges)) == (["B"] if fit else [])


def test_a_part_that_the_test_crushes_comes_behind_those_that_stay() -> None:
    row: Row = {"test_pressure": "30 barg", "design_pressure": "10 barg"}
    parts = [
        part("A", 0.0, float_max_pressure="25 barg"),
        part("B", 3.0, float_max_pressure="40 barg"),
        part("C", 1.0, float_max_pressure="30 barg"),
    ]
    remedy = chosen(row, *parts)
    assert names(remedy) == ["C", "B", "A"]
    assert ["take it out" in option.text for option in remedy.options] == [False, False, True]


def lag(viscosity: float, rate: float = 0.010, across: float = 0.05, bore: float = 0.06) -> float:
    """Lag [mm] in a closed end: annular Stokes flow, F = 2 pi mu h v/(x - tanh x)."""
    area, x = math.pi / 4 * across**2, math.log(bore / across)
    force = 2 * math.pi * viscosity * 0.181 * rate / (x - math.tanh(x))
    return 1e3 * force / (area * 880 * 9.80665)


@pytest.mark.parametrize(("viscosity", "told"), [(20.0, True), (5.0, True), (0.5, True), (0.1, False)])
def test_a_lag_that_is_more_than_the_worst_reading_is_told(viscosity: float, told: bool) -> None:
    """Away from the lower connection less is behind; the rounding of its data makes 0.1 mm of the reading."""
    row: Row = {"viscosity": f"{viscosity} mPa.s", "chamber_bore": "60 mm", "level_rate": "10 mm/s"}
    (option,) = chosen(row, part("A")).options
    if told:
        assert option.numbers["lag_mm"] == pytest.approx(lag(viscosity / 1e3), rel=5e-3)
    assert ("lag_mm" in option.numbers) is told
    assert ("lags up to" in option.text) is told


def test_a_lag_that_is_less_than_the_worst_reading_is_told_only_where_it_is_asked_for() -> None:
    row: Row = {"viscosity": "5 mPa.s", "chamber_bore": "60 mm", "level_rate": "10 mm/s"}
    deep = part("B", 5.0)
    (option,) = chosen(row, deep).options
    assert lag(0.005) < 2 and "lag_mm" not in option.numbers
    mass = 880 * math.pi / 4 * 0.058**2 * 0.181
    own = part("OWN", float_diameter="58.00 mm", float_mass=f"{1e3 * mass:.2f} g")
    option = mended("float-lags", gauges_with(row | {"float_part": "OWN"}, own, deep)).options[0]
    assert str(option.value) == "B"
    assert option.numbers["lag_mm"] == pytest.approx(lag(0.005) * 186 / 181, rel=5e-3)  # 5 mm deeper


@pytest.mark.parametrize(
    ("parts", "all_lag"),
    [
        ([part("B", 0.0), part("C", 1.0)], True),
        ([part("B", 0.0), part("C", 1.0), part("D", 40.0)], True),
        ([part("B", 0.0)], False),  # said of it by itself
        ([part("B"), part("C", float_diameter="35.00 mm")], False),  # it sinks, and would follow
    ],
)
def test_that_all_parts_lag_is_said_once(parts: list[Row], all_lag: bool) -> None:
    assert lag(0.150) > 10
    row: Row = {"viscosity": "150 mPa.s", "chamber_bore": "60 mm", "level_rate": "10 mm/s"}
    remedy = chosen(row, *parts)
    assert names(remedy) == []
    assert ("all lag more than 10 mm behind" in remedy.text) is all_lag
    assert remedy.text.count("behind a moving level") == 1


def test_a_part_that_is_not_judged_is_no_rejected_one() -> None:
    """Its size is not known, and the other one lags."""
    row: Row = {"viscosity": "150 mPa.s", "chamber_bore": "60 mm", "level_rate": "10 mm/s"}
    remedy = chosen(row, part("B"), part("C", magnet_height=None))
    assert "B: lags" in remedy.text and "not judged: C" in remedy.text


def test_a_part_wider_than_the_bore_lags_by_nothing_that_is_known() -> None:
    row: Row = {"viscosity": "150 mPa.s", "chamber_bore": "49 mm", "level_rate": "10 mm/s"}
    remedy = chosen(row, part("B"))
    assert names(remedy) == [] and "lags" not in remedy.text and "drawn under" not in remedy.text


@pytest.mark.parametrize(("centre", "fit"), [("100 mm", ["B"]), ("200 mm", []), (None, ["B"])])
def test_a_part_whose_centre_of_gravity_is_high_leans(centre: str | None, fit: list[str]) -> None:
    """181 mm deep: buoyancy acts at 90.5 mm, the metacentre is d2/16 over depth higher, 0.9 mm."""
    remedy = chosen(
        {}, part("B", float_centre_of_gravity=centre), part("C", float_centre_of_gravity="240 mm")
    )
    assert names(remedy) == (fit if centre != "100 mm" else [])


def test_the_metacentre_is_the_limit_of_the_centre_of_gravity() -> None:
    metacentre = 181 / 2 + 50**2 / 16 / 181
    for centre, fit in ((metacentre - 0.2, ["B"]), (metacentre + 0.2, [])):
        remedy = chosen({}, part("B", float_centre_of_gravity=f"{centre:.2f} mm"))
        assert names(remedy) == fit
        assert ("is top-heavy" in remedy.text) is (not fit)


def test_a_part_without_a_magnet_is_not_judged_even_where_it_leans() -> None:
    remedy = chosen({}, part("B", magnet_height=None, float_centre_of_gravity="200 mm"))
    assert "not judged: B" in remedy.text and "top-heavy" not in remedy.text


def test_what_the_nearest_part_reads_is_its_own_and_what_all_break_is_told_once() -> None:
    row: Row = {"design_temperature": "300 degC"}
    parts = [part(name, low, float_max_temperature="250 degC") for name, low in (("B", 21), ("C", 40))]
    text = chosen(row, *parts).text
    common, own = text.split("the nearest")
    assert "all are limited to 250 degC" in common and "none reads within 10 mm" in common
    assert "B: reads" in own and "250 degC" not in own


def test_pairs_of_densities_are_those_that_a_rule_takes() -> None:
    def ends(lower: tuple[float, float], upper: tuple[float, float]) -> list[tuple[float, float]]:
        return sorted((one.lower_density, one.upper_density) for one in pairs(lower, upper, math.nan))

    assert ends((900, 1000), (0, 5)) == [(900, 0), (900, 5), (1000, 0), (1000, 5)]
    assert ends((900, 1000), (5, 5)) == [(900, 5), (1000, 5)]
    assert ends((900, 900), (0, 5)) == [(900, 0), (900, 5)]
    # no lower liquid lies under one that is as dense
    assert ends((900, 1000), (850, 900)) == [(900, 850), (1000, 900)]
    assert len(ends((900, 1000), (850, 899.9))) == 4


@pytest.mark.parametrize(
    ("row", "field", "pascal", "said"),
    [
        ({"design_pressure": "10 barg"}, "design_pressure", 15e5, "15.0 bar"),
        ({"design_pressure": "10 barg"}, "design_pressure", 99.94e5, "99.9 bar"),
        ({"design_pressure": "10 barg"}, "design_pressure", 100e5, "100 bar"),
        ({"design_pressure": "10 barg"}, "design_pressure", 105e5, "105 bar"),
        ({"design_temperature": "120 degC"}, "design_temperature", 52.4, "52 K"),
        ({"design_temperature": "248 degF"}, "design_temperature", 50.0, "90.0 degF"),
    ],
)
def test_what_is_to_spare_is_told_in_the_unit_of_the_sheet(
    row: Row, field: str, pascal: float, said: str
) -> None:
    assert spare(gauges_from(row, base=ROW), 0, field, pascal) == said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (-0.04, 0.04, "reads true"),
        (-0.04, 0.06, "reads +0.0 to +0.1 mm"),
        (-0.06, 0.04, "reads -0.1 to +0.0 mm"),
        (0.2, 0.2, "reads +0.2 mm"),
        (-3.14, 4.0, "reads -3.1 to +4.0 mm"),
    ],
)
def test_a_reading_is_told_in_tenths_without_a_minus_before_zero(low: float, high: float, said: str) -> None:
    assert reads(low, high) == said
    if said != "reads true":
        assert f"reads {between(low, high)}" == said
        assert cold(low, high) == f"has a cold offset of {between(low, high)}"


def test_a_float_without_a_cold_offset_rides_true_or_not_at_all() -> None:
    assert cold(-0.04, 0.04) == "has no cold offset"
    assert cold(-0.04, 0.06) == "has a cold offset of +0.0 to +0.1 mm"
    assert cold(math.nan, math.nan) == "does not float"


@pytest.mark.parametrize("reserve", [0.05, 0.10, 0.30, 0.8])
def test_a_part_keeps_the_share_above_the_surface_that_the_settings_ask_for(reserve: float) -> None:
    """A float of 250 mm that is 181 mm deep keeps 27.6 % above the surface; at most 49 % are asked for."""
    settings = Settings(float_reserve_minimum=reserve)
    gauges = gauges_with({}, part("A"), part("B", float_length="400.0 mm"))
    hit = hits("float-not-in-list", gauges, settings)[0]
    remedy = remedy_of(rules()["float-not-in-list"], gauges, settings, hit)
    assert remedy is not None
    assert sorted(names(remedy)) == (["A", "B"] if reserve < 0.276 else ["B"])
    duty = duty_of(gauges, settings, 0)
    assert duty is not None and duty.minimum_reserve == min(reserve, 0.49)


# --- where it is to be changed --------------------------------------------------------------------------

TRUE_AT_900 = part("ZF-9", float_mass=f"{1e3 * 900 * AREA * 0.181:.2f} g") | {
    "float_max_pressure": "60 barg",
    "float_max_temperature": "300 degC",
    "magnet_max_temperature": "300 degC",
}
TOLD = re.compile(r" The ([a-z' ]+) to change stands in ([A-Z]+2)\.$")


def _cell(gauges: Gauges, field: str) -> str:
    return gauges.own[field].address(0)


def test_a_float_to_change_is_told_with_its_cell_where_the_density_is_named() -> None:
    gauges = gauges_from({"fluid_density": "900 kg/m3", "fluid": "Blend 7"}, floats=[TRUE_AT_900])
    (hit,) = hits("offset-exceeds-tolerance", gauges)
    assert hit.cell == _cell(gauges, "fluid_density")
    remedy = mended("offset-exceeds-tolerance", gauges)
    assert TOLD.findall(remedy.text) == [("float part number", _cell(gauges, "float_part"))]
    first = remedy.to_dict()["options"][0]
    assert (first["field"], first["cell"]) == ("float_part", _cell(gauges, "float_part"))


def test_of_a_float_that_the_index_itself_states_the_mass_is_told() -> None:
    gauges = gauges_from({"fluid_density": "900 kg/m3", "fluid": "Blend 7", "float_part": None})
    remedy = mended("offset-exceeds-tolerance", gauges)
    assert remedy.options[0].name in ("float_mass", "magnet_height")
    assert TOLD.findall(remedy.text)[0][1] == _cell(gauges, remedy.options[0].name)


def test_of_a_float_that_its_list_states_the_part_is_told() -> None:
    """Its mass in the list is that of other gauges too."""
    row = dict.fromkeys((name for name in TRUE_AT_900 if name != "float_part"), None)
    listed = TRUE_AT_900 | {"float_part": "ZF-250A", "magnet_height": "120 mm"}
    gauges = gauges_from(row | {"fluid_density": "900 kg/m3", "fluid": "Blend 7"}, floats=[listed])
    remedy = mended("offset-exceeds-tolerance", gauges)
    assert remedy.options[0].name != "float_part"
    assert TOLD.findall(remedy.text) == [("float part number", _cell(gauges, "float_part"))]


def test_where_the_finding_names_the_cell_itself_it_is_not_told_again() -> None:
    gauges = gauges_with({}, part("P1"))
    remedy = mended("float-not-in-list", gauges)
    assert remedy.options[0].cell == _cell(gauges, "float_part")
    assert TOLD.search(remedy.text) is None


# --- interfaces, and the own part --------------------------------------------------------------------

INTERFACE: Row = {
    "service_type": "interface",
    "upper_density": None,
    "fluid_density": "880 kg/m3",
    "design_pressure": "10 barg",
    "design_temperature": "120 degC",
}


def by_density(name: str, kg_m3: float, service: str | None = "interface", **other: str) -> Row:
    """A part of that mean density."""
    mass = f"{kg_m3 * AREA * 0.25 * 1e3:.2f} g"
    return part(name) | {"float_mass": mass, "float_service": service} | other


@pytest.mark.parametrize("upper", [None, "to follow"])
@pytest.mark.parametrize("slug", ["float-sinks", "float-not-in-list"])
def test_of_an_interface_the_upper_density_is_asked_for_before_any_float(
    slug: str, upper: str | None
) -> None:
    """Of the list only floats for an interface that the lower liquid carries come into question."""
    own = by_density("OWN", 930)
    parts = [
        *([own] if slug == "float-sinks" else []),
        by_density("IN", 820),
        by_density("LIGHT", 400, "level"),
        by_density("HEAVY", 900),
        by_density("WEAK", 810, float_max_pressure="1 barg"),
        by_density("COOL", 815, float_max_temperature="20 degC"),
    ]
    remedy = mended(slug, gauges_with(own | INTERFACE | {"upper_density": upper}, *parts))
    assert remedy.options == () and "upper liquid's density first" in remedy.text
    assert "lie between it and the lower liquid's 880 kg/m3" in remedy.text
    assert {name for name in ("IN", "LIGHT", "HEAVY", "WEAK", "COOL") if name in remedy.text} == {"IN"}


def test_where_the_lower_liquid_carries_no_float_of_an_interface_its_density_is_asked_for() -> None:
    row = by_density("OWN", 930) | INTERFACE
    remedy = mended("float-sinks", gauges_with(row, row, by_density("HEAVY", 900)))
    assert "ask whether that is the density of the upper liquid" in remedy.text


def test_on_an_interface_no_float_well_below_the_fluid_is_asked_for() -> None:
    (level,) = hits("float-sinks", gauges_with(by_density("OWN", 930, "level")))
    (between,) = hits("float-sinks", gauges_with(by_density("OWN", 930) | INTERFACE))
    assert "well below" in level.mend and "well below" not in between.mend
    assert "both liquids" in between.mend


def test_the_own_part_as_the_list_has_it_comes_first_where_the_row_states_other_data_of_it() -> None:
    """By the row it weighs a third more; by the list it reads true."""
    heavy = {"float_mass": "430 g"}
    gauges = gauges_with(part("OWN") | heavy, part("OTHER", 0.2), part("OWN", 1.0))
    remedy = mended("offset-exceeds-tolerance", gauges)
    first, second = remedy.options[:2]
    listed = str(part("OWN", 1.0)["float_mass"])
    assert first.name == "float_mass" and abs(float(str(first.value).split()[0]) - float(listed[:-2])) < 0.06
    assert "its own OWN as the list has it" in first.text and "weigh the float" in first.text
    assert str(second.value) == "OTHER"
    assert not hits("offset-exceeds-tolerance", gauges_with(part("OWN", 1.0)))


def test_the_own_part_is_no_choice_where_its_listed_data_do_not_mend_the_finding() -> None:
    rated = {"float_max_pressure": "20 barg"}
    row = part("OWN", 60.0) | {"float_max_pressure": "30 barg"}
    remedy = mended("offset-exceeds-tolerance", gauges_with(row, part("OWN", 60.0) | rated, part("OTHER")))
    assert names(remedy) == ["OTHER"] and "its own" not in remedy.text


@pytest.mark.parametrize(("own", "of"), [("A", "other floats of the list"), ("NONE", "float list")])
def test_where_the_gauges_own_part_is_left_out_only_the_others_are_said_not_to_fit(own: str, of: str) -> None:
    row: Row = {"float_part": own, "service_type": "interface", "upper_density": "700 kg/m3"}
    parts = [part(name, float_service="level" if name != own else "interface") for name in ("A", "B", "C")]
    slug = "interface-float-outside-fluids" if own == "A" else "float-not-in-list"
    remedy = mended(slug, gauges_with(row, *parts))
    assert f"None of the {of} fits: all are made for another service" in remedy.text
