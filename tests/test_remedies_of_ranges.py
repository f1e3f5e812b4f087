"""Ranges, currents and heights that would be right, with all that has to move along."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.remedy_rows import Row, gauges_from, hits, mended, remedies, values
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.taken import changes_of, tried
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.vocabulary.meaning import ACCEPT, read_heading

SIDE: Row = {
    "tag": "LG-1",
    "connection_distance": "1000 mm",
    "visible_range": "1000 mm",
    "lrv": "0 mm",
    "urv": "1000 mm",
}


def first(slug: str, row: Row, base: Row = SIDE) -> list[dict[str, str]]:
    """What each option of the first finding puts into the cells."""
    return values(mended(slug, gauges_from(row, base=base)))


@pytest.mark.parametrize(
    ("lrv", "urv", "along"),
    [
        (0, 1100, {"urv": "1000 mm"}),  # at its old end
        (0, 1104, {"urv": "1000 mm"}),  # within 5 mm of it
        (0, 900, {}),  # inside, and stays
        (0, 1060, {"urv": "1000 mm"}),  # outside now
        (0, 1004, {}),  # within 5 mm of the new end
        (-40, 900, {"lrv": "0 mm"}),
        (1100, 0, {"lrv": "1000 mm"}),
    ],
)
def test_a_shorter_range_takes_with_it_what_stood_at_its_end_or_stands_outside(
    lrv: float, urv: float, along: dict[str, str]
) -> None:
    row: Row = {"visible_range": "1100 mm", "lrv": f"{lrv} mm", "urv": f"{urv} mm"}
    options = first("range-exceeds-connections", row)
    assert {"visible_range": "1000 mm"} | along in options
    assert {"connection_distance": "1100 mm"} in options


def test_the_current_of_a_level_follows_a_shorter_range() -> None:
    """500 of 1100 mm are 11.27 mA, and 12 mA of 1000 mm."""
    row: Row = {"visible_range": "1100 mm", "urv": "1100 mm", "stated_level": "500 mm"}
    shorter, _ = first("range-exceeds-connections", row | {"stated_current": "11.27 mA"})
    assert shorter == {"visible_range": "1000 mm", "urv": "1000 mm", "stated_current": "12 mA"}


def test_what_an_option_puts_into_the_cells_is_a_number_or_a_text() -> None:
    gauges = gauges_from({"lrv": "1000 mm", "urv": "0 mm"}, base=SIDE)
    reverse, swapped = mended("range-reversed", gauges).options
    assert changes_of(swapped) == {"lrv": 0.0, "urv": 1.0} and changes_of(reverse) == {"action": "reverse"}


@tried
def shorten(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """An upper range value 100 mm below the end of the range."""
    return Remedy("Shorten it.", (Option("URV 900 mm", "urv", Measure(900.0, "mm")),))


def test_what_the_values_of_a_remedy_bring_is_said_with_it() -> None:
    gauges = gauges_from({"scale_zero": "12 mm"}, base=SIDE)
    (hit,) = hits("scale-zero-shifted", gauges)
    said = shorten(gauges, Settings(), hit)
    assert said is not None and "(transmitter-range-mismatch)" in said.text
    of_no_gauge = shorten(gauges, Settings(), replace(hit, record=-1))
    assert of_no_gauge is not None and of_no_gauge.text == "Shorten it."


def test_the_range_keeps_its_lower_end() -> None:
    row: Row = {"visible_low": "100 mm", "visible_range": "1100 mm", "lrv": "100 mm", "urv": "1200 mm"}
    assert {"visible_range": "1000 mm", "urv": "1100 mm"} in first("range-exceeds-connections", row)


@pytest.mark.parametrize(
    ("lrv", "urv", "shorter"), [(100, 1300, {"urv": "1100 mm"}), (1300, 100, {"lrv": "1100 mm"})]
)
def test_of_a_transmitters_range_the_upper_end_comes_down(
    lrv: float, urv: float, shorter: dict[str, str]
) -> None:
    row: Row = {"visible_range": None, "lrv": f"{lrv} mm", "urv": f"{urv} mm"}
    assert first("range-exceeds-connections", row) == [shorter, {"connection_distance": "1200 mm"}]


@pytest.mark.parametrize(
    ("row", "cells"),
    [
        ({"lrv": "0 mm", "urv": "1080 mm"}, {"lrv": "0 mm", "urv": "1000 mm"}),
        ({"lrv": "1080 mm", "urv": "0 mm"}, {"lrv": "1000 mm", "urv": "0 mm"}),
        (
            {"urv": "1080 mm", "stated_level": "250 mm", "stated_current": "9 mA"},
            {"lrv": "0 mm", "urv": "1000 mm", "stated_current": "8 mA"},
        ),
        (
            {"lrv": "1080 mm", "urv": "0 mm", "stated_level": "250 mm", "stated_current": "9 mA"},
            {"lrv": "1000 mm", "urv": "0 mm", "stated_current": "16 mA"},
        ),
        (
            {"urv": "1080 mm", "action": "reverse", "stated_level": "250 mm", "stated_current": "16.3 mA"},
            {"lrv": "0 mm", "urv": "1000 mm", "stated_current": "16 mA"},
        ),
        ({"urv": "1080 mm", "stated_level": "250 mm"}, {"lrv": "0 mm", "urv": "1000 mm"}),
    ],
)
def test_the_transmitter_gets_the_visible_range_and_the_current_of_its_level(
    row: Row, cells: dict[str, str]
) -> None:
    """4 mA and 16 mA of the share of the range, or 20 mA less that where the signal falls."""
    assert first("transmitter-outside-visible-range", row) == [cells]


@pytest.mark.parametrize(
    ("row", "options"),
    [
        ({"lrv": "1000 mm", "urv": "0 mm"}, [{"action": "reverse"}, {"lrv": "0 mm", "urv": "1000 mm"}]),
        ({"lrv": "500 mm", "urv": "500 mm"}, [{"lrv": "0 mm", "urv": "1000 mm"}]),
        ({"lrv": "500 mm", "urv": "500 mm", "visible_range": None}, None),
        ({"lrv": "500 mm", "urv": "500 mm", "visible_range": "0 mm"}, None),
    ],
)
def test_lrv_and_urv_change_places_or_come_to_the_ends(
    row: Row, options: list[dict[str, str]] | None
) -> None:
    (found,) = remedies("range-reversed", gauges_from(row, base=SIDE))
    assert (None if found is None else values(found)) == options


@pytest.mark.parametrize(
    ("row", "options"),
    [
        ({}, [{"stated_current": "8 mA"}, {"stated_level": "500 mm"}]),
        ({"lrv": "1000 mm", "urv": "0 mm"}, [{"stated_current": "16 mA"}, {"stated_level": "500 mm"}]),
        ({"action": "reverse"}, [{"stated_current": "16 mA"}, {"stated_level": "500 mm"}]),
        ({"stated_current": "16 mA"}, [{"stated_current": "8 mA"}, {"stated_level": "750 mm"}]),
        (
            {"stated_current": "10 mA", "action": "reverse"},
            [{"stated_current": "16 mA"}, {"stated_level": "625 mm"}],
        ),
        ({"stated_current": "4 mA"}, [{"stated_current": "8 mA"}, {"stated_level": "0 mm"}]),
        ({"stated_current": "20 mA"}, [{"stated_current": "8 mA"}, {"stated_level": "1000 mm"}]),
        ({"stated_current": "3.9 mA"}, [{"stated_current": "8 mA"}]),  # states no level
        ({"stated_current": "20.2 mA"}, [{"stated_current": "8 mA"}]),
    ],
)
def test_a_current_has_its_level_and_a_level_its_current(row: Row, options: list[dict[str, str]]) -> None:
    base = SIDE | {"stated_level": "250 mm", "stated_current": "12 mA"}
    assert first("current-inconsistent", row, base) == options


def test_no_current_is_told_where_the_transmitter_has_no_span() -> None:
    row: Row = {"stated_level": "250 mm", "stated_current": "12 mA", "lrv": "300 mm", "urv": "300 mm"}
    assert remedies("current-inconsistent", gauges_from(row, base=SIDE)) in ([], [None])


@pytest.mark.parametrize(
    ("row", "end"),
    [
        ({"level_low": "20 mm", "lrv": "40 mm"}, {"lrv": "10 mm"}),
        ({"level_low": "4 mm", "lrv": "40 mm"}, {"lrv": "0 mm"}),
        ({"level_high": "980 mm", "urv": "960 mm"}, {"urv": "990 mm"}),
        ({"level_high": "996 mm", "urv": "960 mm"}, {"urv": "1000 mm"}),
        ({"level_low": "20 mm", "lrv": "1000 mm", "urv": "40 mm"}, {"urv": "10 mm"}),
        ({"level_high": "980 mm", "lrv": "960 mm", "urv": "0 mm"}, {"lrv": "990 mm"}),
    ],
)
def test_the_end_of_the_transmitter_beyond_which_a_level_stands_moves_clear_of_it_within_the_visible_range(
    row: Row, end: dict[str, str]
) -> None:
    assert first("alarm-outside-range", row) == [end]


@pytest.mark.parametrize(
    ("row", "options"),
    [
        # 950 mm of 900 mm, with 1000 mm between the connections
        (
            {"visible_range": "900 mm", "urv": "900 mm", "level_high": "950 mm"},
            [{"visible_range": "960 mm", "urv": "960 mm"}, {"level_high": "890 mm"}],
        ),
        (
            {"visible_low": "50 mm", "visible_range": "900 mm", "lrv": "50 mm", "urv": "950 mm"}
            | {"level_low": "20 mm"},
            [{"visible_range": "940 mm", "visible_low": "10 mm", "lrv": "10 mm"}, {"level_low": "60 mm"}],
        ),
        # within a millimetre of what the connections allow, and beyond it
        ({"level_high": "1000.9 mm"}, [{"visible_range": "1001 mm"}, {"level_high": "990 mm"}]),
        ({"level_high": "1001.2 mm"}, [{"level_high": "990 mm"}]),
        ({"level_low": "-20 mm"}, [{"level_low": "10 mm"}]),
    ],
)
def test_a_level_is_shown_by_a_wider_range_where_the_connections_allow_it(
    row: Row, options: list[dict[str, str]]
) -> None:
    assert first("alarm-outside-range", row) == options


@pytest.mark.parametrize(
    ("field", "low", "side"),
    [("room_below", 0, "below"), ("room_above", 0, "above"), ("room_above", 30, "above")],
)
def test_what_a_gauge_shows_with_its_room_is_counted_from_its_end(field: str, low: int, side: str) -> None:
    """The room that is missing is taken off the end of the range at which it is missing."""
    row: Row = {field: "20 mm", "visible_low": f"{low} mm", "connection_distance": f"{1000 + low} mm"}
    gauges = gauges_from(row)
    (remedy,) = remedies("range-not-reachable", gauges)
    assert remedy is not None
    needed = float(values(remedy)[0][field].split()[0])
    end = low + needed - 20 if side == "below" else low + 1000 - (needed - 20)
    shown = float(remedy.text.split(f"no level {side} ")[1].split()[0])
    assert shown == pytest.approx(end, abs=0.11)


@pytest.mark.parametrize(("zero", "way"), [("12 mm", "down"), ("-12 mm", "up")])
def test_a_scale_moves_back_by_what_it_is_off(zero: str, way: str) -> None:
    remedy = mended("scale-zero-shifted", gauges_from({"scale_zero": zero}, base=SIDE))
    assert f"Move the scale {way} by 12 mm" in remedy.text and values(remedy) == [{"scale_zero": "0 mm"}]


BOTH: Row = SIDE | {"service_type": "interface", "fluid_density": "1000 kg/m3", "upper_density": "800 kg/m3"}


@pytest.mark.parametrize(
    ("row", "cells"),
    [
        (
            {"liquid_top": "900 mm"},
            {"connection_distance": "900 mm", "visible_range": "900 mm", "urv": "900 mm"},
        ),
        # the range is shorter than the connections, and ends below the liquid
        (
            {"liquid_top": "900 mm", "visible_range": "800 mm", "urv": "800 mm"},
            {"connection_distance": "900 mm", "visible_range": "900 mm", "urv": "900 mm"},
        ),
        (
            {"liquid_top": "900 mm", "visible_range": "950 mm", "urv": "950 mm"},
            {"connection_distance": "900 mm"},
        ),
        (
            {"normal_level": "1100 mm"},
            {"connection_distance": "1100 mm", "visible_range": "1100 mm", "urv": "1100 mm"},
        ),
        ({"normal_level": "1100 mm", "visible_range": None}, {"connection_distance": "1100 mm"}),
    ],
)
def test_connections_around_an_interface_take_the_range_with_them(row: Row, cells: dict[str, str]) -> None:
    assert first("interface-connection-outside", row, BOTH) == [cells]


def test_a_lower_connection_above_the_interface_comes_down() -> None:
    remedy = mended("interface-connection-outside", gauges_from({"normal_level": "-80 mm"}, base=BOTH))
    assert remedy.options == () and "80 mm further down" in remedy.text


def test_gauges_above_each_other_overlap_by_as_much_as_is_lacking() -> None:
    """Ranges of 1000 mm at 1000 and 2200 mm: 200 mm of gap, and 25 mm to overlap.

    The lower range grows only where its connections leave room, and its transmitter grows with it.
    """
    rows: list[Row] = [
        {"tag": "LG-20A", "connection_elevation": "1000 mm"},
        {"tag": "LG-20B", "connection_elevation": "2200 mm"},
    ]
    (remedy,) = remedies("stacked-gauges-gap", gauges_from(*rows, base=SIDE))
    assert remedy is not None
    (lower,) = remedy.options
    assert str(lower.value) == "1975 mm" and "1225" not in remedy.text
    rows[0] |= {"connection_distance": "1300 mm"}
    (remedy,) = remedies("stacked-gauges-gap", gauges_from(*rows, base=SIDE))
    assert remedy is not None
    lower, longer = remedy.options
    assert str(lower.value) == "1975 mm" and str(longer.value) == "1225 mm" and longer.name == ""
    assert "URV 1225 mm" in longer.text
    rows[1] |= {"connection_elevation": "1900 mm", "design_pressure": "12 barg"}
    rows[0] |= {"design_pressure": "10 barg"}
    (remedy,) = remedies("stacked-gauges-gap", gauges_from(*rows, base=SIDE))
    assert remedy is not None and values(remedy) == [{"design_pressure": "10 barg"}]
    rows[1] |= {"design_pressure": "10 barg", "fluid": "Water"}
    rows[0] |= {"fluid": "Benzene"}
    assert remedies("stacked-gauges-gap", gauges_from(*rows, base=SIDE)) == [None]


def test_densities_that_changed_places_are_put_in_order() -> None:
    row: Row = {
        "fluid_density_min": "900 kg/m3",
        "fluid_density": "880 kg/m3",
        "fluid_density_max": "860 kg/m3",
    }
    (cells,) = first("density-range-reversed", row)
    assert cells == {
        "fluid_density_min": "860 kg/m3", "fluid_density": "880 kg/m3", "fluid_density_max": "900 kg/m3"
    }  # fmt: skip


@pytest.mark.parametrize("urv", ["1200 mm", "1000 mm"])
def test_the_transmitter_waits_for_a_visible_range_that_the_connections_do_not_allow(urv: str) -> None:
    """1450 mm visible between connections 1000 mm apart."""
    gauges = gauges_from({"visible_range": "1450 mm", "urv": urv}, base=SIDE)
    remedy = mended("transmitter-range-mismatch", gauges)
    assert "(range-exceeds-connections)" in remedy.text and "at most 1000 mm" in remedy.text
    assert values(remedy) == ([{"lrv": "0 mm", "urv": "1000 mm"}] if urv == "1200 mm" else [])
    assert "1450" not in remedy.text


def test_no_level_comes_beyond_the_connections_where_the_visible_range_does() -> None:
    rows: Row = {"visible_range": "1450 mm", "urv": "1450 mm", "level_high_high": "1500 mm"}
    remedy = mended("alarm-outside-range", gauges_from(rows, base=SIDE))
    assert values(remedy) == [{"level_high_high": "990 mm"}]
    point = mended("switch-outside-range", gauges_from(rows | {"switch_lshh": "1500 mm"}, base=SIDE))
    assert values(point) == [{"switch_lshh": "990 mm"}]


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("level_high_high", "What it alarms or trips is the process's"),
        ("normal_level", "Where it stands is the process's"),
    ],
)
def test_where_a_level_of_the_process_stands_is_left_to_the_process(field: str, said: str) -> None:
    remedy = mended("alarm-outside-range", gauges_from({field: "1260 mm"}, base=SIDE))
    assert said in remedy.text


REVERSED: Row = {"lrv": "1000 mm", "urv": "0 mm", "stated_level": "250 mm"}


@pytest.mark.parametrize("field", ["stated_level", "normal_level"])
@pytest.mark.parametrize(
    ("current", "options"),
    [
        ("16 mA", [{"action": "reverse"}]),
        ("8 mA", [{"lrv": "0 mm", "urv": "1000 mm"}]),
    ],
)
def test_the_current_at_a_level_decides_whether_a_range_is_reversed_or_its_transmitter(
    field: str, current: str, options: list[dict[str, str]]
) -> None:
    """250 of 1000 mm are 8 mA of a rising signal and 16 mA of a falling one."""
    row = REVERSED | {"stated_level": None, field: "250 mm", "stated_current": current}
    remedy = mended("range-reversed", gauges_from(row, base=SIDE))
    assert values(remedy) == options and f"{current} at 250 mm belongs to a" in remedy.text


@pytest.mark.parametrize(("row", "told"), [({}, ""), ({"stated_current": "5 mA"}, "neither")])
def test_it_is_asked_for_the_action_before_numbers_are_turned_round(row: Row, told: str) -> None:
    remedy = mended("range-reversed", gauges_from(REVERSED | row, base=SIDE))
    text = remedy.text
    assert text.index("Ask first whether the transmitter acts in reverse") < text.index("set LRV 0 mm")
    assert told in text and [one.name for one in remedy.options] == ["action", "lrv"]


def test_the_column_in_which_the_action_is_to_be_stated_is_read() -> None:
    text = mended("range-reversed", gauges_from(REVERSED, base=SIDE)).text
    heading = text.split("headed '")[1].split("'")[0]
    best = read_heading(heading).meanings[0]
    assert best.field == "action" and best.score >= ACCEPT
