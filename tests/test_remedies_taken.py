"""Each value that a remedy proposes, as it is printed, put into the gauge: the finding goes, none comes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import pytest

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Rule, remedy_of, rules
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.trial import body_of
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import floats

Row = dict[str, Any]
MODULES = (
    "values",
    "ranges",
    "setpoints",
    "swapped",
    "places",
    "states",
    "metals",
    "tracers",
    "tags",
    "reaching",
)
OWN = [
    item
    for item in rules().values()
    if getattr(item.remedy, "__module__", "").rpartition(".")[2] in MODULES
    and getattr(item.remedy, "__name__", "") not in ("thin_enough", "as_the_others")
]
ROWS_TOGETHER = {"serial-reused", "stacked-gauges-gap", "tag-duplicate", "tag-malformed"}
"""Rules that compare rows: their example is one list."""
MORE: dict[str, list[Row]] = {
    "range-exceeds-connections": [
        {"visible_range": "1100 mm", "lrv": "0 mm", "urv": "1100 mm", "stated_current": "11.27 mA"},
        {"visible_range": "1100 mm", "lrv": "1100 mm", "urv": "0 mm", "action": "reverse"},
        {"visible_range": "1200 mm", "urv": "1200 mm", "stated_current": None, "switch_lshh": "1150 mm"},
        {"visible_range": "1200 mm", "urv": "1200 mm", "stated_current": None, "level_high": "1100 mm"},
    ],
    "range-reversed": [
        {"lrv": "1000 mm", "urv": "0 mm", "stated_level": "250 mm", "stated_current": "16 mA"},
        {"lrv": "1000 mm", "urv": "0 mm", "stated_level": "250 mm", "stated_current": "8 mA"},
        {"lrv": "500 mm", "urv": "500 mm", "stated_current": None},
    ],
    "transmitter-outside-visible-range": [
        {"urv": "1080 mm", "stated_level": "540 mm"},
        {"visible_low": "100 mm", "visible_range": "800 mm", "switch_lsll": None, "switch_lshh": None},
    ],
    "alarm-outside-range": [
        {"visible_range": "900 mm", "urv": "900 mm", "level_high_high": "950 mm", "stated_current": None}
        | {"switch_lshh": "890 mm"},
        {"level_high_high": "1300 mm"},
    ],
    "switch-order": [
        {"switch_lsll": "150 mm", "switch_lsl": "50 mm"},
        {"switch_lsl": "850 mm", "switch_lsh": "150 mm"},
        {"switch_lsl": "850 mm", "switch_lsh": "840 mm"},
    ],
    "switch-outside-range": [{"switch_lshh": "1040 mm", "switch_lsh": "990 mm"}],
    "switch-spacing-small": [
        {"switch_lsh": "980 mm", "switch_lshh": "990 mm"},
        {"switch_lsll": "140 mm", "switch_lsl": "150 mm"},
    ],
    "densities-swapped": [
        {"service_type": "interface", "float_service": "interface", "fluid": "Blend 7"}
        | {"fluid_density": "800 kg/m3", "upper_density": "983 kg/m3", "float_mass": "440 g"}
        | {"float_diameter": "50.04 mm", "float_design_density": None, "magnet_height": "131 mm"},
        {"service_type": "interface", "float_service": "interface", "upper_fluid": "Toluene"}
        | {"upper_density": "1.02 SG", "float_mass": "448 g", "float_design_density": None}
        | {"magnet_height": "99 mm", "operating_temperature": "30 degC", "fluid_density": "995.7 kg/m3"},
    ],
    "operating-exceeds-design": [
        {"operating_temperature": "205 degC", "design_temperature": "190 degC", "fluid": "Blend 7"},
        {"operating_pressure": "39 barg", "fluid": "Blend 7"},
    ],
    "tracing-boils-fluid": [
        {"fluid": "Ethanol", "fluid_density": "789 kg/m3", "operating_temperature": "20 degC"}
        | {"operating_pressure": "0.1 barg", "maintain_temperature": "90 degC", "tracer_output": "90 W/m"}
        | {"viscosity": "1.2 mPa.s", "float_mass": "281 g", "float_design_density": "789 kg/m3"},
    ],
    "chamber-colder": [{"chamber_temperature": "95 degC"}, {"chamber_temperature": "140 degC"}],
    "fluid-boils-in-chamber": [
        {"fluid": "Ammonia", "operating_temperature": "-33 degC", "operating_pressure": "2.5 inHg vac"}
        | {"fluid_density": "682 kg/m3", "viscosity": "0.25 mPa.s", "float_mass": "243 g"}
        | {"float_design_density": "682 kg/m3", "freezing_point": None, "tracing": "none"}
        | {"tracer_output": None, "maintain_temperature": None, "sheath_temperature": None},
    ],
}
"""Rule -> further rows on which it fires."""


def examples() -> Iterator[tuple[Rule, list[Row]]]:
    for item in OWN:
        firing = [dict(row) | row.get("_index", {}) for row in item.firing]
        if item.slug == "floats-exchanged":
            continue  # both have to be moved: a test of its own
        if item.slug in ROWS_TOGETHER:
            yield item, firing
            continue
        for row in (*firing, *MORE.get(item.slug, ())):
            yield item, [dict(row)]


def table(rows: list[Row]) -> Gauges:
    full = [
        SOUND
        | {"tag": f"LG-{1000 + at}", "serial": f"QX-{50100 + at}", "float_serial": f"F-{7100 + at}"}
        | row
        for at, row in enumerate(rows)
    ]
    names = dict.fromkeys(name for row in full for name in row if not name.startswith("_"))
    columns = {name: [row.get(name) for row in full] for name in names}
    floats = {"float_part": [SOUND["float_part"]], "float_max_pressure": [SOUND["float_max_pressure"]]}
    return gauges_of(columns, floats)


def found(gauges: Gauges) -> dict[int, dict[str, list[Hit]]]:
    """What all rules find: errors and warnings that a report would show, by gauge."""
    settings, hits = Settings(), []
    for item in sorted(rules().values(), key=lambda item: item.late):
        if item.last:
            continue
        fired = [one for one in item.check(gauges, settings) if isinstance(one, Hit)]
        if item.spoils:
            gauges = gauges.without((one.sheet, one.cell) for one in fired)
        hits += [(item, one) for one in fired if item.severity is not Severity.NOTE]
    out: dict[int, dict[str, list[Hit]]] = {}
    for item, hit in hits:
        out.setdefault(hit.record, {}).setdefault(item.slug, []).append(hit)
    for of_gauge in out.values():
        for covered in {slug for one in of_gauge for slug in rules()[one].covers} & of_gauge.keys():
            del of_gauge[covered]
    return out


def written(option: Option) -> dict[str, str]:
    """What a reader types into the cells."""
    typed = {option.name: str(option.value)} if option.name and option.value is not None else {}
    return typed | {name: str(value) for name, value in option.along}


CASES = list(examples())


@pytest.mark.parametrize(
    ("item", "rows"), CASES, ids=[f"{item.slug}-{at}" for at, (item, _) in enumerate(CASES)]
)
def test_an_option_that_is_taken_mends_and_brings_nothing(item: Rule, rows: list[Row]) -> None:
    gauges = table(rows)
    before = found(gauges)
    fired = [hit for of_gauge in before.values() for hit in of_gauge.get(item.slug, ())]
    assert fired, before
    for hit in fired:
        remedy = remedy_of(item, gauges, Settings(), hit)
        for option in () if remedy is None else remedy.options:
            assert remedy is not None
            if typed := written(option):
                mended = [row | typed if at == hit.record else row for at, row in enumerate(rows)]
                _holds(item, mended, hit, remedy, before)


def _holds(
    item: Rule, mended: list[Row], hit: Hit, remedy: Remedy, before: dict[int, dict[str, list[Hit]]]
) -> None:
    after = found(table(mended))
    left = [one.field for one in after.get(hit.record, {}).get(item.slug, ())]
    assert hit.field not in left, (mended, remedy.text)
    new = {slug for at, of_gauge in after.items() for slug in of_gauge if slug not in before.get(at, {})}
    assert all(f"({slug})" in remedy.text for slug in new), (mended, new, remedy.text)


def test_floats_that_changed_places_are_right_when_both_are_moved() -> None:
    item = rules()["floats-exchanged"]
    rows = [dict(row) for row in item.firing]
    gauges = table(rows)
    before, mended = found(gauges), [*rows]
    fired = [hit for of_gauge in before.values() for hit in of_gauge.get(item.slug, ())]
    assert len(fired) == 2
    for hit in fired:
        remedy = remedy_of(item, gauges, Settings(), hit)
        assert remedy is not None
        other = 1 - hit.record  # the whole float goes: its part number, its serial and its data
        own = {name: value for name, value in rows[other].items() if name.startswith("float_")}
        mended[hit.record] = rows[hit.record] | own | {o.name: str(o.value) for o in remedy.options}
    assert item.slug not in {slug for of_gauge in found(table(mended)).values() for slug in of_gauge}


def tanks(*tags: str | None) -> Gauges:
    """Gauges whose service ends with the number of the tag."""
    return table([{"tag": tag, "service": f"Tank V-{301 + at}"} for at, tag in enumerate(tags)])


def tag_remedy(slug: str, gauges: Gauges) -> tuple[Hit, Remedy | None]:
    item = rules()[slug]
    (hit,) = (one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
    return hit, remedy_of(item, gauges, Settings(), hit)


@pytest.mark.parametrize(
    ("slug", "tags", "right"),
    [
        ("tag-missing", ("10-LG-301", None, "10-LG-303", "10-LG-304", "10-LG-305"), "10-LG-302"),
        ("tag-duplicate", ("10-LG-301", "10-LG-302", "10-LG-302", "10-LG-304", "10-LG-305"), "10-LG-303"),
        ("tag-malformed", ("10-LG-301", "10-XM-302", "10-LG-303", "10-LG-304", "10-LG-305"), "10-LG-302"),
    ],
)
def test_a_free_tag_is_proposed_where_the_list_shows_it(
    slug: str, tags: tuple[str | None, ...], right: str
) -> None:
    hit, remedy = tag_remedy(slug, tanks(*tags))
    assert remedy is not None
    assert [(one.name, str(one.value)) for one in remedy.options] == [("tag", right)]
    mended = [right if at == hit.record else tag for at, tag in enumerate(tags)]
    assert not {"tag-missing", "tag-duplicate", "tag-malformed"} & {
        one for of_gauge in found(tanks(*mended)).values() for one in of_gauge
    }


def test_where_the_first_of_two_rows_has_the_wrong_tag_that_one_is_named() -> None:
    gauges = tanks("10-LG-301", "10-LG-303", "10-LG-303", "10-LG-304", "10-LG-305")
    _, remedy = tag_remedy("tag-duplicate", gauges)
    assert remedy is not None and remedy.options == ()
    assert "A3 is tag 10-LG-302, which is free" in remedy.text


def test_rows_between_two_tags_tell_the_one_that_is_left_out() -> None:
    rows: list[Row] = [{"tag": tag, "service": "Tank"} for tag in ("LG-301", None, "LG-303", "LG-404")]
    _, remedy = tag_remedy("tag-missing", table(rows))
    assert remedy is not None and str(remedy.options[0].value) == "LG-302"


@pytest.mark.parametrize(
    "tags",
    [
        ("LG-301", None, "LG-304"),  # the row beside leaves two out
        ("LG-301", None, "LI-303"),  # tags of two kinds
        ("LG-302", None, "LG-304", "LG-303"),  # the number is not free
    ],
)
def test_no_tag_is_guessed(tags: tuple[str | None, ...]) -> None:
    _, remedy = tag_remedy("tag-missing", table([{"tag": tag, "service": "Tank"} for tag in tags]))
    assert remedy is None


def test_no_rule_of_tags_tells_to_drop_a_row() -> None:
    for slug in ("tag-missing", "tag-duplicate", "tag-malformed"):
        assert not {"delete", "clear", "drop"} & {*rules()[slug].page["mend"].split()}


ALIKE: list[Row] = [{"tag": f"LG-{at}", "switch_lsl": "100 mm", "switch_lsh": "850 mm"} for at in range(1, 5)]


def only_hit(slug: str, gauges: Gauges) -> tuple[Hit, Remedy]:
    item = rules()[slug]
    (hit,) = (one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
    remedy = remedy_of(item, gauges, Settings(), hit)
    assert remedy is not None
    return hit, remedy


def test_the_set_point_in_the_wrong_half_is_the_one_and_the_others_tell_where_it_belongs() -> None:
    rows: list[Row] = [*ALIKE, {"tag": "LG-9", "switch_lsl": "860 mm", "switch_lsh": "850 mm"}]
    hit, remedy = only_hit("switch-order", table(rows))
    assert hit.field == "switch_lsl"  # a low switch at 86 % of the range
    assert [(one.name, str(one.value)) for one in remedy.options] == [("switch_lsl", "100 mm")]
    hit, remedy = only_hit("switch-order", table(rows[-1:]))
    assert hit.field == "switch_lsl" and remedy.options == ()
    rows[-1] = {"tag": "LG-9", "switch_lsl": "100 mm", "switch_lsh": "90 mm"}
    assert only_hit("switch-order", table(rows))[0].field == "switch_lsh"


def test_set_points_that_changed_places_change_back() -> None:
    _, remedy = only_hit("switch-order", table([{"switch_lsl": "850 mm", "switch_lsh": "150 mm"}]))
    (option,) = remedy.options
    assert written(option) == {"switch_lsl": "150 mm", "switch_lsh": "850 mm"}


def test_what_moves_with_a_shorter_range_is_said_and_what_stands_beyond_it_is_named() -> None:
    row: Row = {"visible_range": "1100 mm", "urv": "1100 mm", "stated_current": "11.27 mA"}
    _, remedy = only_hit("range-exceeds-connections", table([row]))
    shorter, wider = remedy.options
    # 4 mA + 16 mA * 500 / 1000
    assert written(shorter) == {"visible_range": "1000 mm", "urv": "1000 mm", "stated_current": "12 mA"}
    assert written(wider) == {"connection_distance": "1100 mm"} and "mended then" not in remedy.text
    _, remedy = only_hit("range-exceeds-connections", table([row | {"level_high_high": "1050 mm"}]))
    assert remedy.options[0].name == "connection_distance"  # the level is wanted
    assert "HHLL at 1050 mm is outside the visible range, 0 mm to 1000 mm" in remedy.text


def test_a_falling_signal_is_told_by_the_stated_current() -> None:
    row: Row = {"lrv": "1000 mm", "urv": "0 mm", "stated_level": "250 mm"}
    _, remedy = only_hit("range-reversed", table([row | {"stated_current": "16 mA"}]))
    assert written(remedy.options[0]) == {"action": "reverse"}
    _, remedy = only_hit("range-reversed", table([row | {"stated_current": "8 mA"}]))
    assert written(remedy.options[0]) == {"lrv": "0 mm", "urv": "1000 mm"}


def test_densities_are_not_swapped_where_they_are_wrong_then() -> None:
    row = MORE["densities-swapped"][1]  # water 995.7 below toluene of 1.02 SG, which has 0.858 at 30 degC
    _, remedy = only_hit("densities-swapped", table([row]))
    (option,) = remedy.options
    assert option.name == "upper_density" and option.value is not None
    assert float(option.value.value) == pytest.approx(0.858, abs=0.002)
    _, remedy = only_hit("densities-swapped", table([row | {"upper_fluid": "Oil"}]))
    assert remedy.options == () and "Ask for both densities" in remedy.text


def test_a_bound_of_a_vacuum_is_no_vacuum_of_less_than_none() -> None:
    row = MORE["fluid-boils-in-chamber"][0]
    _, remedy = only_hit("fluid-boils-in-chamber", table([row]))
    pressure = next(str(one.value) for one in remedy.options if one.name == "operating_pressure")
    # saturated ammonia at -28 degC, 5 K above: about 131.7 kPa absolute (from memory)
    number, unit = pressure.split()
    assert unit == "barg" and 0.27 < float(number) < 0.34
    assert "-" not in pressure


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        ((None, None), "mm at worst. Put back so, LG-2 reads"),
        (("QX-2", "QX-1"), "mm at worst. Put back so, LG-2 reads"),  # each is marked for where it belongs
        (("QX-1", "QX-2"), "; it is marked for gauge QX-2, as if it belonged to LG-2; mark it for QX-1 then"),
        (("QX-7", "QX-9"), "; it is marked for gauge QX-9; mark it for QX-1 then. Put back so"),
    ],
)
def test_floats_are_exchanged_with_their_marks(marks: tuple[str | None, str | None], said: str) -> None:
    item = rules()["floats-exchanged"]
    rows: list[Row] = [
        {**row, "float_gauge_serial": mark} for row, mark in zip(item.firing, marks, strict=True)
    ]
    gauges = table(rows)
    hit = next(one for one in item.check(gauges, Settings()) if isinstance(one, Hit) and one.record == 0)
    remedy = remedy_of(item, gauges, Settings(), hit)
    assert remedy is not None and said in remedy.text


def test_a_bore_that_no_chamber_of_this_size_has_is_another_chamber() -> None:
    row: Row = {"viscosity": "180 cP", "tracing": "none", "chamber_bore": None, "chamber_diameter": "60.3 mm"}
    row["viscosity"] = "400 cP"
    _, remedy = only_hit("viscosity-too-high", table([row]))
    assert "a larger chamber than the present one of 60.3 mm outside" in remedy.text
    _, remedy = only_hit("viscosity-too-high", table([row | {"chamber_diameter": "300 mm"}]))
    assert "chamber bore" in remedy.text and "larger chamber" not in remedy.text


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"design_temperature": None, "operating_temperature": "201 degC"}, "operating_temperature"),
        ({"design_temperature": "-40 degC", "operating_temperature": "201 degC"}, "operating_temperature"),
        ({"design_temperature": "201 degC"}, "design_temperature"),
        ({"design_temperature": None, "operating_temperature": "200 degC"}, ""),
        ({"design_temperature": "120 degC", "operating_temperature": "201 degC"}, ""),  # said by the next
    ],
)
def test_the_operating_temperature_counts_where_no_design_temperature_does(row: Row, field: str) -> None:
    item = rules()["float-temperature-exceeded"]
    assert "".join(one.field for one in item.check(table([row]), Settings()) if isinstance(one, Hit)) == field


def test_an_operating_value_beyond_the_float_is_said_where_it_exceeds_the_design_value() -> None:
    for row, beyond in (("201 degC", True), ("199 degC", False)):
        hit, _ = only_hit("operating-exceeds-design", table([{"operating_temperature": row}]))
        assert ("above the 200 degC that float or magnet withstand" in hit.message) is beyond


def test_a_gauge_with_two_cases_gets_one_remedy_for_both() -> None:
    """Two cases of one gauge, side by side in a list: what mends one must not spoil the other."""
    row = SOUND | {"tag": "LG-1", "float_design_density": None}
    columns = {name: [value, value] for name, value in row.items() if not name.startswith("_")}
    columns["fluid_density"] = ["900 kg/m3", "1100 kg/m3"]
    gauges = gauges_of(columns)
    gauges.cases = ("Case A", "Case B")
    gauges.is_case_of = lambda record, other: record != other  # type: ignore[method-assign]
    both = duty_of(gauges, Settings(), 0)
    assert both is not None
    assert {one.lower_density for one in both.conditions} == {900.0, 1100.0}
    gauges.cases = ("", "")
    alone = duty_of(gauges, Settings(), 0)
    assert alone is not None and {one.lower_density for one in alone.conditions} == {900.0}


def test_a_float_that_cannot_stay_is_not_mended() -> None:
    row: Row = {"fluid_density": "880 kg/m3", "fluid": "Blend 7", "float_design_density": None}
    _, stays = only_hit("offset-exceeds-tolerance", table([row]))
    assert "magnet plane" in stays.text and "cannot stay" not in stays.text
    weak = row | {"float_max_pressure": "9 barg", "design_pressure": "10 barg"}
    _, remedy = only_hit("offset-exceeds-tolerance", table([weak]))
    assert "this float, or one like it, cannot stay: its limit is 9 barg" in remedy.text
    assert not {one.name for one in remedy.options} & {"magnet_height", "float_mass"}
    assert not any("scale_shift_mm" in one.numbers for one in remedy.options)


def test_a_gap_of_densities_says_what_is_needed_and_what_a_gram_does() -> None:
    """A gram moves a cylinder by 1e-3 / (pi/4 d2 x 30 kg/m3)."""
    item = rules()["interface-density-gap-small"]
    gauges = table([dict(row) for row in item.firing])
    (hit,) = (one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
    remedy = remedy_of(item, gauges, Settings(), hit)
    assert remedy is not None
    lower, gap = gauges.densities[0][0], hit.evidence["density_gap_kg_m3"]
    diameter = gauges.si("float_diameter")[0]
    assert f"an upper one of {lower - 50:.4g} kg/m3 or less" in remedy.text
    assert f"moves it by {1 / (math.pi / 4 * diameter**2 * float(gap)):.1f} mm" in remedy.text


def test_a_scale_of_a_warmer_chamber_needs_a_float_that_shows_the_chambers_own_level() -> None:
    item = rules()["chamber-colder"]
    for row in item.firing:
        gauges = table([dict(row)])
        for hit in item.check(gauges, Settings()):
            if not isinstance(hit, Hit):
                continue
            remedy = remedy_of(item, gauges, Settings(), hit)
            assert remedy is not None
            mass, diameter, length, plane, ends = body_of(gauges, 0) or (0, 0, 0, 0, "")
            depth = floats.immersion(
                mass, diameter, length, float(hit.case["chamber"]), gauges.upper[0], ends
            )
            scaled = any("scale" in one.numbers for one in remedy.options)
            assert scaled == (abs(plane - float(depth)) <= 0.010)


@pytest.mark.parametrize(("masses", "right"), [(("704 g", "740 g"), 0), (("740 g", "704 g"), 1)])
def test_of_a_part_that_stands_twice_the_row_that_rides_true_is_named(
    masses: tuple[str, str], right: int
) -> None:
    """704 g / (pi/4 x 60 mm x 60 mm x 1000 kg/m3) = 249 mm, with 740 g 261.7 mm."""
    row = {
        "float_part": "ZF-9", "float_diameter": "60 mm", "float_length": "300 mm", "float_ends": "flat",
        "magnet_height": "249 mm", "float_design_density": "1000 kg/m3",
    }  # fmt: skip
    listed = {name: [value, value] for name, value in row.items()} | {"float_mass": list(masses)}
    gauges = gauges_of({name: [value] for name, value in ({"tag": "LG-1"} | row).items()}, floats=listed)
    item = rules()["float-list-repeats"]
    (hit,) = (one for one in item.check(gauges, Settings()) if isinstance(one, Hit))
    remedy = remedy_of(item, gauges, Settings(), hit)
    assert remedy is not None
    cell = gauges.listed["float_part"].address(right)
    said = f"At the density that it was made for the float of {cell} has no cold offset"
    assert remedy.text.startswith(said)
    assert "has a cold offset of -12.7 mm: likely the first is right; it is that of LG-1" in remedy.text


def test_a_fluid_hotter_than_the_float_bears_is_cured_by_no_tracer() -> None:
    row: Row = {"float_max_temperature": "80 degC", "maintain_temperature": "100 degC"}
    _, remedy = only_hit("tracing-too-hot", table([row | {"operating_temperature": "90 degC"}]))
    assert remedy.text.startswith("The fluid itself is at 90 degC, above that limit") and not remedy.options
    _, remedy = only_hit("tracing-too-hot", table([row | {"operating_temperature": "70 degC"}]))
    assert "a maintain temperature of 80 degC" in remedy.text


@pytest.mark.parametrize("low", [0, 20])
def test_what_a_gauge_can_show_with_the_room_that_there_is(low: int) -> None:
    """The sound float is immersed by (350 g - 3 kg/m3 V) / (983.2 - 3 kg/m3) / (pi/4 d2), V its volume."""
    area = math.pi / 4 * 0.05**2
    depth = (0.35 - 3 * area * 0.25) / (983.2 - 3) / area
    row: Row = {"room_below": "120 mm", "visible_low": f"{low} mm", "connection_distance": "1100 mm"}
    hit, remedy = only_hit("range-not-reachable", table([row]))
    assert hit.field == "room_below"
    assert f"no level below {1e3 * depth - 120:.4g} mm" in remedy.text
