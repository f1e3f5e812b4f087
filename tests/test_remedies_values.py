"""Classes, tracers, densities and metals that would be right; and of which rules that is asked."""

from __future__ import annotations

import math

import pytest

from tests.remedy_rows import Row, gauges_from, mended, values
from xlfuncs.audit.remedies.doubted import doubted
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.taken import shown
from xlfuncs.audit.settings import Settings
from xlfuncs.lists.model import Difference, Stated

FLANGED: Row = {"tag": "LG-1", "flange_class": "150", "design_temperature": "120 degC"}


def classes(row: Row) -> list[str]:
    remedy = mended("flange-rating-exceeded", gauges_from(row, base=FLANGED))
    return [str(one.value) for one in remedy.options]


@pytest.mark.parametrize(
    ("pressure", "right"),
    [
        # ASME B16.5, group 2.3 at 120 degC: 33.4 bar in class 300, 44.6 in 400, 66.9 in 600
        ("30 barg", ["class 300"]),
        ("33.4 barg", ["class 300"]),
        ("33.5 barg", ["class 400"]),
        ("50 barg", ["class 600"]),
        ("1000 barg", []),
    ],
)
def test_the_lowest_class_that_carries_the_design_pressure_is_named(pressure: str, right: list[str]) -> None:
    assert classes({"material_group": "2.3", "design_pressure": pressure}) == right


@pytest.mark.parametrize(
    ("pressure", "said"), [("30 barg", "Class 300"), ("60 barg", "Class 400"), ("80 barg", "Class 600")]
)
def test_without_a_metal_the_class_that_does_in_some_metal_is_named(pressure: str, said: str) -> None:
    """The strongest groups of ASME B16.5 carry 51.7 bar in class 300, 68.9 in 400 and 103.4 in 600."""
    remedy = mended("flange-rating-exceeded", gauges_from({"design_pressure": pressure}, base=FLANGED))
    assert remedy.text.lower().startswith(f"{said.lower()} at least") and remedy.options == ()


@pytest.mark.parametrize(
    ("pressure", "may"), [(12.5, "JIS 16K"), (25.0, "JIS 16K"), (25.5, "JIS 20K"), (32.0, "JIS 30K")]
)
def test_where_the_division_decides_the_lowest_class_that_may_suffice_is_named(
    pressure: float, may: str
) -> None:
    """JIS B 2220 at 220 degC, austenitic: at most 12 bar in 10K, 25 in 16K, 31 in 20K, 46 in 30K."""
    row: Row = {"flange_class": "10K", "chamber_material": "SUS316L", "design_temperature": "220 degC"}
    assert classes(row | {"design_pressure": f"{pressure} barg"}) == [may]


TRACED: Row = {
    "tag": "LG-1",
    "tracing": "electric",
    "maintain_temperature": "60 degC",
    "minimum_ambient": "-20 degC",
    "chamber_diameter": "66 mm",
    "tracer_output": "30 W/m",
}


def slab(thick: float) -> float:
    """Heat loss [W/m] through insulation alone, 0.05 W/(m K): an upper bound."""
    return 2 * math.pi * 0.05 * 80 / math.log(1 + 2 * thick / 66)


@pytest.mark.parametrize("present", [5, 10, 20, 25])
def test_the_next_thickness_of_insulation_with_which_the_tracer_does_is_told(present: int) -> None:
    row: Row = {"insulation_thickness": f"{present} mm", "insulation_conductivity": "0.05 W/(m K)"}
    remedy = mended("tracing-underpowered", gauges_from(row, base=TRACED))
    cells = {name: text for one in values(remedy) for name, text in one.items()}
    thick = float(cells["insulation_thickness"].split()[0])
    assert thick > present and thick % 10 == 0
    assert slab(thick - 10) * 1.2 > 30  # the one before is not enough even by the insulation alone
    assert float(cells["tracer_output"].split()[0]) > 30


def test_a_tracer_that_is_too_weak_at_any_thickness_is_told_its_output_alone() -> None:
    row: Row = {"insulation_thickness": "20 mm", "tracer_output": "3 W/m"}
    remedy = mended("tracing-underpowered", gauges_from(row, base=TRACED))
    assert [one.name for one in remedy.options] == ["tracer_output"]


SWAPPED: Row = {"tag": "LG-1", "service_type": "interface", "visible_range": "1000 mm"}


@pytest.mark.parametrize(
    ("lower", "upper", "options"),
    [
        (
            "800 kg/m3",
            "1000 kg/m3",
            [{"fluid_density": "1000 kg/m3", "upper_density": "800 kg/m3"}],
        ),
        ("900 kg/m3", "900 kg/m3", []),  # alike: nothing to swap
        ("800 to 820 kg/m3", "1000 kg/m3", []),
        ("800 kg/m3", "1000 to 1010 kg/m3", []),
    ],
)
def test_two_densities_are_exchanged_where_each_is_one_number(
    lower: str, upper: str, options: list[dict[str, str]]
) -> None:
    row: Row = {"fluid_density": lower, "upper_density": upper}
    assert values(mended("densities-swapped", gauges_from(row, base=SWAPPED))) == options


def test_a_range_by_its_ends_is_not_exchanged() -> None:
    row: Row = {"fluid_density_min": "790 kg/m3", "fluid_density": "800 kg/m3", "upper_density": "1000 kg/m3"}
    assert values(mended("densities-swapped", gauges_from(row, base=SWAPPED))) == []


def test_a_chamber_in_chlorides_is_told_the_temperature_and_a_float_the_parts() -> None:
    """Chlorides crack austenitic steel from about 60 degC on (API RP 571)."""
    base: Row = {
        "tag": "LG-1",
        "fluid": "Brine",
        "operating_temperature": "80 degC",
        "fluid_density": "1100 kg/m3",
    }
    base |= {"upper_density": "0 kg/m3", "float_part": "A"}
    mass = 1100 * math.pi / 4 * 0.05**2 * 0.181
    body: Row = {
        "float_mass": f"{1e3 * mass:.1f} g",
        "float_diameter": "50.0 mm",
        "float_length": "250 mm",
        "float_ends": "flat",
        "magnet_height": "181.0 mm",
    }
    listed: list[Row] = [
        {"float_part": "A", "float_material": "316L"} | body,
        {"float_part": "B", "float_material": "Titanium"} | body,
        {"float_part": "C", "float_material": "304L"} | body,
        {"float_part": "D", "float_material": None} | body,
    ]
    remedy = mended("wetted-material-unfit", gauges_from({}, base=base, floats=listed))
    assert values(remedy) == [{"float_part": "B"}]
    chamber = mended("wetted-material-unfit", gauges_from({"chamber_material": "316L"}, base=base))
    cells, *metals = values(chamber)
    assert metals and all(set(one) == {"chamber_material"} for one in metals)
    assert 59.8 <= float(cells["operating_temperature"].split()[0]) < 60
    acid = {"fluid": "Hydrochloric acid 15 %", "chamber_material": "316L"}
    for cells in values(mended("wetted-material-unfit", gauges_from(acid, base=base))):
        assert set(cells) == {"chamber_material"} and "316" not in cells["chamber_material"]


def test_only_rules_that_speak_of_the_changed_cells_are_asked() -> None:
    """The float reads 12 mm high, and its switch stands outside the range."""
    gauges = gauges_from({"magnet_height": "193 mm", "switch_lshh": "1040 mm"})
    every = shown(gauges, Settings())
    assert {"offset-exceeds-tolerance", "switch-outside-range"} <= every.keys()
    places = shown(gauges, Settings(), ["switch_lshh", "lrv"])
    assert "switch-outside-range" in places and "offset-exceeds-tolerance" not in places
    assert shown(gauges, Settings(), ["switch_lshh", "fluid_density"]).keys() == every.keys()


TRUE_WITHIN: Row = {
    "tag": "LG-1",
    "fluid_density": "880 kg/m3",
    "upper_density": "0 kg/m3",
    "float_mass": f"{880 * math.pi / 4 * 0.05**2 * 181:.2f} g",
    "float_diameter": "50.00 mm",
    "float_length": "250 mm",
    "float_ends": "flat",
    "magnet_height": "190.98 mm",
    "design_pressure": "10 barg",
    "test_pressure": "9 barg",
}
"""It reads 9.98 mm high: within 10 mm, and beyond them with the rounding of its data."""


@pytest.mark.parametrize(
    ("fields", "worst"), [(["test_pressure"], False), (["test_pressure", "float_mass"], True), ([], True)]
)
def test_what_changes_no_reading_asks_for_no_worst_reading(fields: list[str], worst: bool) -> None:
    found = shown(gauges_from({}, base=TRUE_WITHIN), Settings(), fields).keys()
    assert "test-pressure-low" in found and ("worst-reading-exceeds-tolerance" in found) is worst


def test_what_an_option_brings_is_said_of_it() -> None:
    """A level at 1050 mm is outside a range of 1000 mm; a test at 13 barg crushes a float for 12.5 barg."""
    base: Row = {"tag": "LG-1", "lrv": "0 mm", "switch_lsh": "900 mm", "connection_distance": "1000 mm"}
    row: Row = {"visible_range": "1100 mm", "urv": "1100 mm", "level_high": "1050 mm"}
    two = mended("range-exceeds-connections", gauges_from(row, base=base))
    assert len(two.options) == 2 and "With a visible range of 1000 mm" in two.text
    assert "(alarm-outside-range)" in two.text
    row = {"design_pressure": "10 barg", "test_pressure": "12 barg", "design_code": "ASME VIII Div. 1"}
    row["float_max_pressure"] = "12.5 barg"
    one = mended("test-pressure-low", gauges_from(row, base={"tag": "LG-1"}))
    assert len(one.options) == 1 and ". That has to be mended then as well" in one.text
    assert "(float-test-pressure-exceeded)" in one.text


def document(tag: str, field: str, text: str) -> Difference:
    here, there = (Stated("Index", "C2", "880 kg/m3"), Stated("Process data", "C2", text))
    return Difference(tag, field, here, there)


def test_another_document_that_speaks_of_the_gauge_doubts_its_density() -> None:
    gauges = gauges_from({"fluid": "Blend 7", "fluid_density": "880 kg/m3", "tag": "LG-1"})
    duty = duty_of(gauges, Settings(), 0)
    assert duty is not None
    gauges.book.differences.values[:] = [
        document("LG-2", "fluid_density", "700 kg/m3"),
        document("LG-1", "design_pressure", "12 barg"),
        document("LG-1", "fluid_density", "as before"),
    ]
    assert doubted(gauges, Settings(), 0, duty) is None
    gauges.book.differences.values.append(document("LG-1", "fluid_density", "983 kg/m3"))
    doubt = doubted(gauges, Settings(), 0, duty)
    assert doubt is not None and {one.lower_density for one in doubt.duty.conditions} == {983.0}
    assert (doubt.stated, doubt.right) == ("880 kg/m3", "983 kg/m3")
    gauges.book.differences.values[-1] = document("LG-1", "fluid_density", "970 to 983 kg/m3")
    doubt = doubted(gauges, Settings(), 0, duty)
    assert doubt is not None and doubt.right == "970 kg/m3 to 983 kg/m3"
