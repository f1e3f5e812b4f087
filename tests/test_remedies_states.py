"""Pressures, temperatures and metals that would be right: bounds, groups and classes by published tables."""

from __future__ import annotations

import math

import pytest

from tests.remedy_rows import Row, gauges_from, hits, mended, remedies, values
from xlfuncs.audit.remedies import ceilings, states
from xlfuncs.audit.settings import Settings

WATER: Row = {"tag": "LG-1", "fluid": "Water", "service": "Drum", "operating_pressure": "5 barg"}
"""Water boils at 158.9 degC there (steam tables: 158.83 at 6 bar, 159.4 at 6.1)."""
TESTED: Row = {"tag": "LG-1", "design_pressure": "10 barg"}


@pytest.mark.parametrize(
    ("others", "usual"),
    [
        ([1.5] * 5, "15 barg"),
        ([1.5] * 4, ""),  # too few
        ([1.5] * 9 + [1.3], "15 barg"),
        ([1.5] * 8 + [1.3] * 2, ""),  # nine in ten have to agree
        ([1.5] * 5 + [1.5 * 1.0048], "15 barg"),
        ([1.5] * 5 + [1.5 * 1.0053], ""),  # half a percent apart
        ([1.0] * 6, ""),  # the same as needed
        ([1.1] * 6, "11 barg"),
    ],
)
def test_the_test_pressure_that_the_others_have_is_told(others: list[float], usual: str) -> None:
    rows: list[Row] = [{"test_pressure": "9 barg"}]
    rows += [{"test_pressure": f"{10 * times:.6g} barg"} for times in others]
    found = values(mended("test-pressure-low", gauges_from(*rows, base=TESTED)))
    assert found == ([{"test_pressure": usual}] if usual else []) + [{"test_pressure": "10 barg"}]


def test_the_factor_of_a_code_is_named_with_the_test_pressure() -> None:
    """UG-99 of ASME BPVC VIII-1: 1.3 times."""
    row: Row = {"design_code": "ASME VIII Div. 1", "test_pressure": "12 barg"}
    asme = mended("test-pressure-low", gauges_from(row, base=TESTED))
    assert values(asme) == [{"test_pressure": "13 barg"}] and "1.3 times" in asme.text
    plain = mended("test-pressure-low", gauges_from({"test_pressure": "9 barg"}, base=TESTED))
    assert "times" not in plain.text
    idle: Row = {"design_pressure": "0 barg", "test_pressure": "7 barg"}  # no multiple of its design pressure
    rows = [{"test_pressure": "9 barg"}, *[{"test_pressure": "15 barg"}] * 5, *[idle] * 3]
    assert len(mended("test-pressure-low", gauges_from(*rows, base=TESTED)).options) == 2


@pytest.mark.parametrize(
    ("celsius", "options", "lives"),
    [
        (156.0, 2, True),  # 2.9 K below saturation
        (158.1, 0, True),  # within a kelvin of it: stated at saturation
        (159.6, 0, True),
        (161.0, 2, False),  # above it nothing lives
    ],
)
def test_a_liquid_near_boiling_is_told_apart_from_one_at_saturation(
    celsius: float, options: int, lives: bool
) -> None:
    row: Row = {"operating_temperature": f"{celsius} degC"}
    remedy = mended("fluid-boils-in-chamber", gauges_from(row, base=WATER))
    assert len(remedy.options) == options and ("lives" in remedy.text) is lives
    if options:
        cooler, higher = values(remedy)
        assert float(cooler["operating_temperature"].split()[0]) == pytest.approx(153.9, abs=0.11)
        # steam tables: 6.18 bar at 160 degC, 7.00 at 165
        bars = {156.0: 6.33, 161.0: 7.17}[celsius] - 1.013
        assert float(higher["operating_pressure"].split()[0]) == pytest.approx(bars, abs=0.03)


TRACED: Row = WATER | {
    "tracing": "electric",
    "maintain_temperature": "120 degC",
    "operating_pressure": "0 barg",
}


def test_what_a_tracer_may_keep_is_bounded_by_every_finding_of_it() -> None:
    """Water at 1.013 bar boils at 100 degC: 5 K below it; a transmitter of 80 degC bounds it further."""
    settled = {"operating_temperature": "20 degC", "sheath_temperature": "70 degC"}
    (alone,) = values(mended("tracing-boils-fluid", gauges_from(settled, base=TRACED)))
    assert float(alone["maintain_temperature"].split()[0]) == pytest.approx(95, abs=0.1)
    cooler = settled | {"transmitter_max_temperature": "80 degC"}
    for slug in ("tracing-boils-fluid", "tracing-too-hot"):
        (both,) = values(mended(slug, gauges_from(cooler, base=TRACED)))
        assert both == {"maintain_temperature": "80 degC"}
    warmer = settled | {"transmitter_max_temperature": "110 degC"}
    (both,) = values(mended("tracing-too-hot", gauges_from(warmer, base=TRACED)))
    assert float(both["maintain_temperature"].split()[0]) == pytest.approx(95, abs=0.1)


@pytest.mark.parametrize(("transmitter", "bound"), [("80 degC", 353.15), ("110 degC", 368.2)])
def test_the_strictest_of_all_findings_bounds_a_cell(transmitter: str, bound: float) -> None:
    row: Row = {"sheath_temperature": "70 degC", "transmitter_max_temperature": transmitter}
    gauges = gauges_from(row, base=TRACED)
    (hit,) = hits("tracing-too-hot", gauges)
    own = {"80 degC": 353.15, "110 degC": 383.15}[transmitter]
    field = "maintain_temperature"
    least, why = ceilings.strictest(gauges, Settings(), hit, field, own, ceilings.TRACER)
    assert least == pytest.approx(bound, abs=0.1) and bool(why) is (bound < own)


def test_what_another_gauge_asks_for_bounds_no_tracer() -> None:
    row: Row = {"operating_temperature": "20 degC", "sheath_temperature": "70 degC"}
    other = row | {"transmitter_max_temperature": "60 degC"}
    gauges = gauges_from(row, other, base=TRACED)
    (first,) = values(mended("tracing-boils-fluid", gauges))
    assert float(first["maintain_temperature"].split()[0]) == pytest.approx(95, abs=0.1)


def test_only_what_is_too_hot_at_the_tracer_is_lowered() -> None:
    row: Row = {"maintain_temperature": "60 degC", "sheath_temperature": "120 degC"}
    row |= {"transmitter_max_temperature": "80 degC", "operating_temperature": "20 degC"}
    remedy = mended("tracing-too-hot", gauges_from(row, base=TRACED))
    assert values(remedy) == [{"sheath_temperature": "80 degC"}]
    both = mended("tracing-too-hot", gauges_from(row | {"maintain_temperature": "90 degC"}, base=TRACED))
    assert values(both) == [{"maintain_temperature": "80 degC"}, {"sheath_temperature": "80 degC"}]


@pytest.mark.parametrize(("celsius", "options"), [(79, 1), (80, 1), (81, 0)])
def test_a_liquid_hotter_than_the_float_bears_is_cured_by_no_tracer(celsius: int, options: int) -> None:
    row: Row = {"float_max_temperature": "80 degC", "operating_temperature": f"{celsius} degC"}
    gauges = gauges_from(row | {"maintain_temperature": "95 degC"}, base=TRACED)
    assert len(mended("tracing-too-hot", gauges).options) == options


def test_other_findings_of_the_gauge_bound_no_tracer() -> None:
    row: Row = {"operating_temperature": "20 degC", "test_pressure": "1 barg", "design_pressure": "10 barg"}
    row |= {"maintain_temperature": "95 degC", "transmitter_max_temperature": "80 degC"}
    remedy = mended("tracing-too-hot", gauges_from(row, base=TRACED))
    assert values(remedy) == [{"maintain_temperature": "80 degC"}] and "finds nothing" not in remedy.text


HOT: Row = WATER | {"operating_temperature": "80 degC", "visible_range": "2000 mm"}


def test_a_chamber_stands_right_from_the_temperature_at_which_its_error_is_the_tolerance() -> None:
    """Water at 5 barg: 972.0 kg/m3 at 80 degC (steam tables), so 976.9 at 10 mm lower, 967.2 at 10 mm higher.

    That is at 71.7 and 87.8 degC (977.0 at 71.6, 967.0 at 88, interpolated from tables of 5 K).
    """
    cold: Row = {"chamber_temperature": "30 degC", "upper_density": "0 kg/m3"}
    remedy = mended("chamber-colder", gauges_from(cold, base=HOT))
    kept = values(remedy)[0]["chamber_temperature"]
    assert float(kept.split()[0]) == pytest.approx(71.7, abs=0.4) and "or above" in remedy.text
    remedy = mended("chamber-colder", gauges_from(cold | {"chamber_temperature": "130 degC"}, base=HOT))
    kept = values(remedy)[0]["chamber_temperature"]
    assert float(kept.split()[0]) == pytest.approx(87.8, abs=0.4) and "or below" in remedy.text


def test_a_scale_of_the_chambers_own_millimetres_follows_the_densities() -> None:
    """995.8 kg/m3 at 30 degC against 972.0 at 80."""
    row: Row = {"chamber_temperature": "30 degC", "upper_density": "0 kg/m3"}
    (option,) = (
        one for one in mended("chamber-colder", gauges_from(row, base=HOT)).options if "scale" in one.numbers
    )
    assert option.numbers["scale"] == pytest.approx(995.8 / 972.0, abs=2e-4)


@pytest.mark.parametrize(("chamber", "bounded"), [("130 degC", True), ("30 degC", False)])
def test_only_a_chamber_hotter_than_its_vessel_is_bounded_from_above(chamber: str, bounded: bool) -> None:
    gauges = gauges_from({"chamber_temperature": chamber, "upper_density": "0 kg/m3"}, base=HOT)
    (hit,) = hits("chamber-colder", gauges)
    bound = states.no_hotter(gauges, Settings(), hit)
    assert (bound.keys() == {"chamber_temperature"}) is bounded and (bound == {}) is not bounded


@pytest.mark.parametrize(
    ("off", "scaled"), [(0, True), (9.5, True), (-9.5, True), (10.5, False), (-10.5, False)]
)
def test_a_scale_is_made_only_for_a_float_that_shows_the_chambers_own_level(off: float, scaled: bool) -> None:
    """A flat-ended float of 50 x 250 mm, 181 mm deep in water of 30 degC, 995.8 kg/m3."""
    row: Row = {
        "chamber_temperature": "30 degC",
        "upper_density": "0 kg/m3",
        "float_mass": f"{995.8 * math.pi / 4 * 0.05**2 * 181:.1f} g",
        "float_diameter": "50.0 mm",
        "float_length": "250 mm",
        "float_ends": "flat",
        "magnet_height": f"{181 + off:.1f} mm",
    }
    remedy = mended("chamber-colder", gauges_from(row, base=HOT))
    assert any("scale" in one.numbers for one in remedy.options) is scaled


def test_no_scale_is_made_for_a_chamber_that_boils() -> None:
    boiling: Row = {"maintain_temperature": "170 degC", "tracing": "electric"}
    sound: Row = {"maintain_temperature": "130 degC", "tracing": "electric"}
    gauges = gauges_from(boiling, sound, base=HOT | {"operating_pressure": "5 barg"})
    own = hits("chamber-colder", gauges)
    found = dict(zip([one.record for one in own], remedies("chamber-colder", gauges), strict=True))
    assert [one.record for one in hits("tracing-boils-fluid", gauges)] == [0]
    scaled = {
        at: any("scale" in one.numbers for one in remedy.options)
        for at, remedy in found.items()
        if remedy is not None
    }
    assert scaled[1] and not scaled.get(0, False)


@pytest.mark.parametrize(
    ("plane", "said"),
    [
        ("15.0052 cm", "has a cold offset of +0.1 mm"),
        ("150.0 mm", "has no cold offset"),
        ("14.9948 cm", "has a cold offset of -0.1 mm"),
        ("15.0048 cm", "has no cold offset"),
    ],
)
def test_how_a_float_of_two_near_liquids_reads_is_told(plane: str, said: str) -> None:
    """A flat-ended float of 60 x 300 mm, half in 1000 and half in 960 kg/m3, weighs 980 kg/m3 V."""
    mass = 980 * math.pi / 4 * 0.06**2 * 0.3
    row: Row = {
        "tag": "LG-1",
        "service_type": "interface",
        "fluid_density": "1000 kg/m3",
        "upper_density": "960 kg/m3",
        "float_mass": f"{1e3 * mass:.4f} g",
        "float_diameter": "60 mm",
        "float_length": "300 mm",
        "float_ends": "flat",
        "magnet_height": plane,
    }
    (remedy,) = remedies("interface-density-gap-small", gauges_from({}, base=row))
    assert remedy is not None and said in remedy.text
    # a gram of 60 mm across and 40 kg/m3
    assert f"by {1 / (math.pi / 4 * 0.06**2 * 40):.1f} mm" in remedy.text


@pytest.mark.parametrize(
    ("group", "coldest", "fit"),
    [
        ("1.1", -60, ["2.1", "2.2", "2.3", "2.4", "2.5"]),
        ("1.1", -198, ["2.1", "2.2", "2.3", "2.4", "2.5"]),
        ("1.1", -199, []),
        ("3E0", -60, ["10E0", "11E0", "12E0", "13E0", "14E0", "15E0"]),
    ],
)
def test_the_groups_that_are_rated_for_the_cold_are_named(group: str, coldest: int, fit: list[str]) -> None:
    """Austenitic steels: -198 degC of ASME B16.5, -196 of EN 13445-2 (from memory)."""
    row: Row = {"material_group": group, "design_temperature_min": f"{coldest} degC"}
    row["flange_class"] = "150" if "." in group else "PN 40"
    remedy = mended("design-temperature-low", gauges_from(row, base={"tag": "LG-1"}))
    assert [str(one.value) for one in remedy.options] == fit


def test_a_gauge_for_the_cold_without_a_frost_extension_gets_one() -> None:
    row: Row = {"design_temperature_min": "-60 degC", "frost_extension": "none"}
    remedy = mended("design-temperature-low", gauges_from(row, base={"tag": "LG-1"}))
    assert values(remedy) == [{"frost_extension": "yes"}]


MAGNETIC: Row = {"tag": "LG-1", "chamber_material": "A105", "design_temperature": "120 degC"}


@pytest.mark.parametrize(
    ("flange", "pressure", "classes"),
    [
        # ASME B16.5 at 120 degC, interpolated: group 2.3 (316L, 304L) carries 33.4 bar in class 300
        ("300", 30, ["", "", "", ""]),
        # and 44.6 in class 400, 66.9 in 600; groups 2.2 and 2.1 (316, 304) above 50 in class 400
        ("300", 50, ["class 600", "class 600", "class 400", "class 400"]),
        ("150", 50, ["class 600", "class 600", "class 400", "class 400"]),
        ("600", 30, ["", "", "", ""]),  # none below that of the vessel's nozzle
    ],
)
def test_a_metal_that_is_not_magnetic_comes_with_the_class_that_carries_the_pressure(
    flange: str, pressure: float, classes: list[str]
) -> None:
    row: Row = {"flange_class": flange, "design_pressure": f"{pressure} barg"}
    remedy = mended("chamber-magnetic", gauges_from(row, base=MAGNETIC))
    assert [one.get("chamber_material") for one in values(remedy)] == ["316L", "304L", "316", "304"]
    assert [one.get("flange_class", "") for one in values(remedy)] == classes


@pytest.mark.parametrize("row", [{"flange_class": "threaded", "design_pressure": "10 barg"}, {}])
def test_without_a_class_the_usual_metal_is_named_alone(row: Row) -> None:
    remedy = mended("chamber-magnetic", gauges_from(row, base=MAGNETIC))
    assert values(remedy) == [{"chamber_material": "316L"}] and remedy.calculation is None
