"""Rules on columns in memory, on both sides of each limit: just within it silent, just beyond it fired.

The gauge is the sound one of the examples. Limits that a formula gives are computed here by hand.
"""

from __future__ import annotations

import json
from dataclasses import fields
from math import pi
from pathlib import Path
from typing import Any

import pytest

from xlfuncs.audit.engine import audit
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, Rule, Undecided, find_rule, rules
from xlfuncs.audit.settings import Settings
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import read_book

DEMO = Path(__file__).parents[1] / "workbooks" / "contractor_index.xlsx"
AREA = pi / 4 * 0.05**2
"""Cross-section of the sound float, 50 x 250 mm."""
VOLUME = AREA * 0.25


def fires(slug: str, changes: dict[str, Any], settings: Settings | None = None, **floats: Any) -> list[Hit]:
    """What a rule finds in the sound gauge with some cells changed; `floats`: a float list of one."""
    cells = {field: [value] for field, value in (SOUND | changes).items()}
    listed = {field: [value] for field, value in floats.items()} or None
    gauges = gauges_of(cells, listed, settings)
    return [hit for hit in find_rule(slug).check(gauges, gauges.settings) if isinstance(hit, Hit)]


def mass_at(offset_mm: float, rho: float = 880.0, plane: float = 0.181) -> str:
    """Mass of the float that reads this much high in a liquid under nothing."""
    return f"{(plane - offset_mm * 1e-3) * AREA * rho * 1e3:.9f} g"


def mass_of(rho: float) -> str:
    """Mass of a float of this mean density."""
    return f"{rho * VOLUME * 1e3:.9f} g"


OIL = {"fluid": "Blend 7", "fluid_density": "880 kg/m3", "upper_density": "0 kg/m3"}
INTERFACE = {"service_type": "interface", "float_service": "interface", "fluid_density": "1000 kg/m3"}
BARE = {"float_mass": None, "fluid": "Blend 7"}


def density_at(offset_mm: float, design: float = 983.0, mass: float = 0.35) -> str:
    """Density at which a float with its magnet plane at the design density's surface reads this much high."""
    return f"{1 / (1 / design - offset_mm * 1e-3 * AREA / mass):.9f} kg/m3"


NO_PLANE = {"fluid": "Blend 7", "upper_density": "0 kg/m3", "magnet_height": None}
BOILING_UNDER_OIL = INTERFACE | {
    "fluid": "Water",
    "upper_density": "800 kg/m3",
    "fluid_density": "958 kg/m3",
    "operating_pressure": "0 barg",
}
"""Water boils at 100.0 degC (IAPWS-95 99.97)."""

LIMITS: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(9.99)}, OIL | {"float_mass": mass_at(10.01)}),
    ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(-9.99)}, OIL | {"float_mass": mass_at(-10.01)}),
    (
        "offset-exceeds-tolerance",
        OIL | {"fluid_density": "880 to 929.0 kg/m3", "float_mass": mass_at(0)},
        OIL | {"fluid_density": "880 to 932.0 kg/m3", "float_mass": mass_at(0)},
    ),
    (
        "float-sinks",
        {"fluid_density": "700.1 kg/m3", "float_mass": mass_of(700)},
        {"fluid_density": "699.9 kg/m3", "float_mass": mass_of(700)},
    ),
    (
        "float-sinks",
        {"fluid_density": "700.1 to 900 kg/m3", "float_mass": mass_of(700)},
        {"fluid_density": "699.9 to 900 kg/m3", "float_mass": mass_of(700)},
    ),
    (
        "float-barely-floats",
        OIL | {"float_mass": mass_of(880 * 0.899)},
        OIL | {"float_mass": mass_of(880 * 0.901)},
    ),
    (
        "design-density-mismatch",
        NO_PLANE | {"fluid_density": density_at(9.99)},
        NO_PLANE | {"fluid_density": density_at(10.01)},
    ),
    (
        "design-density-mismatch",
        NO_PLANE | {"fluid_density": density_at(-9.99)},
        NO_PLANE | {"fluid_density": density_at(-10.01)},
    ),
    (
        "fluid-boils-in-chamber",
        BOILING_UNDER_OIL | {"upper_fluid": "Slop oil", "operating_temperature": "94.9 degC"},
        BOILING_UNDER_OIL | {"upper_fluid": "Slop oil", "operating_temperature": "95.1 degC"},
    ),
    (
        "fluid-boils-in-chamber",
        BOILING_UNDER_OIL | {"operating_temperature": "99 degC"},
        BOILING_UNDER_OIL | {"upper_fluid": "Slop oil", "operating_temperature": "99 degC"},
    ),
    (
        "interface-float-outside-fluids",
        INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(801)},
        INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(799)},
    ),
    (
        "interface-float-outside-fluids",
        INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(999)},
        INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(1001)},
    ),
    (
        "interface-float-outside-fluids",
        {"service_type": None, "upper_density": "299 kg/m3", "float_mass": "100 g"},
        {"service_type": None, "upper_density": "301 kg/m3", "float_mass": "100 g"},
    ),
    (
        "interface-density-gap-small",
        INTERFACE | {"upper_density": "949.9 kg/m3"},
        INTERFACE | {"upper_density": "950.1 kg/m3"},
    ),
    (
        "design-density-mismatch",
        BARE | {"float_design_density": "1000 kg/m3", "fluid_density": "950.1 kg/m3"},
        BARE | {"float_design_density": "1000 kg/m3", "fluid_density": "949.9 kg/m3"},
    ),
    (
        "design-density-mismatch",
        BARE | {"float_design_density": "1000 kg/m3", "fluid_density": "1049.9 kg/m3"},
        BARE | {"float_design_density": "1000 kg/m3", "fluid_density": "1050.1 kg/m3"},
    ),
    # water at 60 degC has 983.2 kg/m3 (IAPWS-95)
    (
        "density-not-at-operating-conditions",
        {"fluid_density": "1012 kg/m3"},
        {"fluid_density": "1013.5 kg/m3"},
    ),
    ("density-not-at-operating-conditions", {"fluid_density": "954.5 kg/m3"}, {"fluid_density": "953 kg/m3"}),
    # water boils at 100 degC at 101.4 kPa (IAPWS-95): 0.0009 barg
    (
        "fluid-boils-in-chamber",
        {"operating_pressure": "0 barg", "operating_temperature": "94.8 degC"},
        {"operating_pressure": "0 barg", "operating_temperature": "95.2 degC"},
    ),
    ("float-wider-than-chamber", {"chamber_bore": "50.01 mm"}, {"chamber_bore": "50 mm"}),
    (
        "viscosity-too-high",
        {"chamber_bore": None, "tracing": "none", "viscosity": "200 mPa.s"},
        {"chamber_bore": None, "tracing": "none", "viscosity": "200.1 mPa.s"},
    ),
    (
        "viscosity-too-high",
        {"chamber_bore": None, "tracing": "none", "viscosity": "20 to 200 mPa.s"},
        {"chamber_bore": None, "tracing": "none", "viscosity": "20 to 201 mPa.s"},
    ),
    ("float-data-impossible", {"magnet_height": "250 mm"}, {"magnet_height": "250.1 mm"}),
    (
        "float-data-impossible",
        {"float_ends": "hemispherical", "float_length": "50 mm", "magnet_height": "9 mm"},
        {"float_ends": "hemispherical", "float_length": "49.9 mm", "magnet_height": "9 mm"},
    ),
    (
        "densities-swapped",
        INTERFACE | {"upper_density": "999.9 kg/m3"},
        INTERFACE | {"upper_density": "1000 kg/m3"},
    ),
    (
        "density-range-reversed",
        {"fluid_density_min": "983.2 kg/m3", "fluid_density_max": "983.2 kg/m3"},
        {"fluid_density_min": "983.3 kg/m3", "fluid_density_max": "983.2 kg/m3"},
    ),
    ("density-range-reversed", {"fluid_density_min": "988.1 kg/m3"}, {"fluid_density_min": "988.2 kg/m3"}),
    ("density-range-reversed", {"fluid_density_max": "978.4 kg/m3"}, {"fluid_density_max": "978.2 kg/m3"}),
    ("operating-exceeds-design", {"operating_pressure": "10.005 barg"}, {"operating_pressure": "10.02 barg"}),
    (
        "operating-exceeds-design",
        {"operating_temperature": "120 degC"},
        {"operating_temperature": "120.1 degC"},
    ),
    ("float-pressure-exceeded", {"float_max_pressure": "9.995 barg"}, {"float_max_pressure": "9.98 barg"}),
    ("float-pressure-exceeded", {"design_pressure": "20 to 40 barg"}, {"design_pressure": "20 to 41 barg"}),
    ("float-test-pressure-exceeded", {"float_max_pressure": "15 barg"}, {"float_max_pressure": "14.9 barg"}),
    (
        "float-temperature-exceeded",
        {"float_max_temperature": "120 degC"},
        {"float_max_temperature": "119.9 degC"},
    ),
    (
        "float-temperature-exceeded",
        {"magnet_max_temperature": "120 degC"},
        {"magnet_max_temperature": "119 degC"},
    ),
    # class 150, group 2.3 at 120 degC: 13.3 at 100, 12.0 at 150 degC (ASME B16.5-2009, Table 2-2.3)
    ("flange-rating-exceeded", {"design_pressure": "12.77 barg"}, {"design_pressure": "12.80 barg"}),
    ("range-exceeds-connections", {"visible_range": "1001 mm"}, {"visible_range": "1001.1 mm"}),
    ("scale-zero-shifted", {"scale_zero": "10 mm"}, {"scale_zero": "10.1 mm"}),
    ("scale-zero-shifted", {"scale_zero": "-10 mm"}, {"scale_zero": "-10.1 mm"}),
    ("transmitter-outside-visible-range", {"urv": "1000.99 mm"}, {"urv": "1001.01 mm"}),
    ("transmitter-outside-visible-range", {"lrv": "-0.99 mm"}, {"lrv": "-1.01 mm"}),
    ("transmitter-range-mismatch", {"lrv": "4.99 mm"}, {"lrv": "5.01 mm"}),
    ("transmitter-range-mismatch", {"urv": "995.01 mm"}, {"urv": "994.99 mm"}),
    ("range-reversed", {"lrv": "999 mm"}, {"lrv": "1000 mm"}),
    ("current-inconsistent", {"stated_current": "12.049 mA"}, {"stated_current": "12.051 mA"}),
    ("current-inconsistent", {"stated_current": "11.951 mA"}, {"stated_current": "11.949 mA"}),
    (
        "current-inconsistent",
        {"stated_level": "1200 mm", "stated_current": "20.54 mA"},
        {"stated_level": "1200 mm", "stated_current": "20.56 mA"},
    ),
    ("switch-order", {"switch_lsl": "849.9 mm"}, {"switch_lsl": "850 mm"}),
    ("switch-outside-range", {"switch_lshh": "1000 mm"}, {"switch_lshh": "1000.1 mm"}),
    ("switch-outside-range", {"switch_lsll": "0 mm"}, {"switch_lsll": "-0.1 mm"}),
    ("switch-outside-range", {"visible_low": "50 mm"}, {"visible_low": "50.1 mm"}),
    ("switch-spacing-small", {"switch_lshh": "875 mm"}, {"switch_lshh": "874.9 mm"}),
    ("serial-mismatch", {"float_gauge_serial": "qx 50100"}, {"float_gauge_serial": "QX-50101"}),
    (
        "tracing-missing",
        {"tracing": "none", "minimum_ambient": "10 degC", "tracer_output": None},
        {"tracing": "none", "minimum_ambient": "9.9 degC", "tracer_output": None},
    ),
    (
        "tracing-too-hot",
        {"transmitter_max_temperature": "90 degC"},
        {"transmitter_max_temperature": "89.9 degC"},
    ),
    # water boils at 111.37 degC at 150 kPa absolute (IAPWS-95)
    (
        "tracing-boils-fluid",
        {"operating_pressure": "1.5 bara", "maintain_temperature": "111.3 degC"},
        {"operating_pressure": "1.5 bara", "maintain_temperature": "111.5 degC"},
    ),
    ("test-pressure-low", {"test_pressure": "10 barg"}, {"test_pressure": "9.98 barg"}),
    ("test-pressure-low", {"test_pressure": "9.995 barg"}, {"test_pressure": "9.9 to 12 barg"}),
    # group 1.1 is rated from -29 degC on (ASME B16.5)
    (
        "design-temperature-low",
        {"material_group": "1.1", "design_temperature_min": "-29 degC"},
        {"material_group": "1.1", "design_temperature_min": "-29.1 degC"},
    ),
    ("chamber-magnetic", {"chamber_material": "316L"}, {"chamber_material": "A105"}),
    ("float-service-mismatch", {"float_service": "level"}, {"float_service": "interface"}),
]
"""Rule, cells just within its limit, cells just beyond it."""


@pytest.mark.parametrize(
    ("slug", "within", "beyond"), LIMITS, ids=[f"{i}-{e[0]}" for i, e in enumerate(LIMITS)]
)
def test_both_sides_of_a_limit(slug: str, within: dict[str, Any], beyond: dict[str, Any]) -> None:
    assert [hit.message for hit in fires(slug, within)] == []
    assert fires(slug, beyond)


def ring(*places: tuple[float, float], **more: list[str]) -> set[str]:
    """Tags of gauges whose floats changed places, of gauges for (density, density of its float)."""
    n = len(places)
    cells = {name: [value] * n for name, value in (SOUND | {"upper_density": "0 kg/m3"}).items()}
    cells["tag"] = [f"LG-{i}" for i in range(1, n + 1)]
    cells["fluid_density"] = [f"{rho} kg/m3" for rho, _ in places]
    cells["float_mass"] = [mass_at(0, own) for _, own in places]
    found = find_rule("floats-exchanged").check(gauges_of(cells | more), Settings())
    return {hit.tag for hit in found if isinstance(hit, Hit)}


def test_floats_that_changed_places_are_found_in_pairs_and_rings() -> None:
    assert ring((800, 1000), (1000, 800), (900, 900)) == {"LG-1", "LG-2"}
    assert ring((800, 900), (900, 1000), (1000, 800)) == {"LG-1", "LG-2", "LG-3"}
    assert ring((800, 1000), (1000, 900)) == set()
    assert ring((800, 800), (1000, 1000)) == set()
    assert ring((800, 1000), (1000, 800), (790, 1000), (1010, 795)) == {f"LG-{i}" for i in (1, 2, 3, 4)}


def test_an_exchange_has_to_read_right_within_the_tolerance() -> None:
    # at 181 mm a float for rho1 in rho2 is off by 181 (1 - rho1/rho2): 9.99 and 10.01 mm at 6 %
    assert ring((800, 1000), (1000, 800 * (1 - 9.9 / 181))) == {"LG-1", "LG-2"}
    assert ring((800, 1000), (1000, 800 * (1 - 10.1 / 181))) == set()


def test_a_float_that_does_not_go_in_or_is_too_weak_is_not_exchanged() -> None:
    pair = ((800.0, 1000.0), (1000.0, 800.0))
    assert ring(*pair, chamber_bore=["60 mm", "50.1 mm"])
    assert not ring(*pair, chamber_bore=["60 mm", "50 mm"])
    assert not ring(*pair, float_max_pressure=["40 barg", "9 barg"])


def test_serials_decide_between_equal_exchanges() -> None:
    places = ((800.0, 1000.0), (1000.0, 800.0), (1000.0, 800.0))
    serial = ["QX-1", "QX-2", "QX-3"]
    assert ring(*places, serial=serial, float_gauge_serial=["QX-3", "", "QX-1"]) == {"LG-1", "LG-3"}
    assert ring(*places, serial=serial, float_gauge_serial=["QX-2", "QX-1", ""]) == {"LG-1", "LG-2"}


def heat_loss(k: float = 0.04) -> float:
    """Heat loss of the sound gauge's chamber [W/m], with the film of the physics' own function."""
    from xlfuncs.gauge import heat

    return float(heat.heat_loss(293.15, 253.15, 0.066, 0.04, k, 10.0, 0.9))


@pytest.mark.parametrize(("share", "expected"), [(1.2005, 0), (1.1995, 1)])
def test_a_tracer_needs_a_fifth_more_than_the_loss(share: float, expected: int) -> None:
    output = f"{share * heat_loss():.6f} W/m"
    assert len(fires("tracing-underpowered", {"tracer_output": output})) == expected


def test_the_lowest_output_of_a_tracer_counts() -> None:
    need = 1.2 * heat_loss()
    assert fires("tracing-underpowered", {"tracer_output": f"{need - 0.1:.3f} to {need + 5:.3f} W/m"})
    assert not fires("tracing-underpowered", {"tracer_output": f"{need + 0.1:.3f} to {need + 5:.3f} W/m"})


@pytest.mark.parametrize(("percent", "expected"), [(0.99, 0), (1.01, 1)])
def test_index_and_list_may_differ_by_one_per_cent(percent: float, expected: int) -> None:
    own = f"{350 * (1 + percent / 100):.6f} g"
    found = fires("float-data-conflict", {"float_mass": own}, float_part="ZF-250A", float_mass="350 g")
    assert len(found) == expected


def test_a_float_is_slow_by_its_thickest_liquid() -> None:
    thin = fires("float-lags", {"fluid": "Blend 7", "viscosity": "1 to 20 mPa.s"})
    thick = fires("float-lags", {"fluid": "Blend 7", "viscosity": "1 to 150 mPa.s"})
    assert not thin and thick


def test_a_threshold_moves_its_limit() -> None:
    changed = OIL | {"float_mass": mass_at(11)}
    assert fires("offset-exceeds-tolerance", changed)
    assert not fires("offset-exceeds-tolerance", changed, Settings(offset_tolerance_mm=11.5))
    assert fires(
        "offset-exceeds-tolerance", OIL | {"float_mass": mass_at(9)}, Settings(offset_tolerance_mm=8.5)
    )
    upper = {"service_type": None, "upper_density": "350 kg/m3", "float_mass": "100 g"}
    assert not fires("interface-float-outside-fluids", upper, Settings(interface_liquid_from_kg_m3=400))


def test_a_table_is_not_changed_by_what_is_left_out_of_it() -> None:
    gauges = gauges_of({"tag": ["LG-1", "LG-2"], "float_mass": ["350 g", "-3 g"]})
    before = gauges.given("float_mass").tolist()
    other = gauges.without([("gauges", "B2")])
    assert before == gauges.given("float_mass").tolist() == [True, False]
    assert other.given("float_mass").tolist() == [False, False]
    assert gauges.without([]) is gauges


def test_a_kinematic_viscosity_in_memory_is_dynamic_with_its_density() -> None:
    gauges = gauges_of({"viscosity": ["10 cSt", "10 cP"], "fluid_density": ["850 kg/m3", "850 kg/m3"]})
    assert gauges.si("viscosity").tolist() == pytest.approx([8.5e-3, 10e-3])
    assert not gauges_of({"viscosity": ["10 cSt"]}).given("viscosity").any()


def test_columns_in_memory_have_cells_and_one_length() -> None:
    gauges = gauges_of({"tag": ["LG-1"], "float_mass": [350]})
    assert gauges.place(0, "float_mass") == ("gauges", "B2")
    assert gauges.si("float_mass")[0] == pytest.approx(0.35)
    with pytest.raises(XlfuncsError, match="columns of 1 and 2 cells"):
        gauges_of({"tag": ["LG-1"], "float_mass": [350, 351]})
    with pytest.raises(XlfuncsError, match="no field 'weight'"):
        gauges_of({"weight": [1]})


def test_what_cannot_be_told_is_undecided_on_columns_too() -> None:
    gauges = gauges_of({field: [value] for field, value in (SOUND | {"upper_density": "gas"}).items()})
    found = list(find_rule("design-density-mismatch").check(gauges, Settings()))
    assert all(isinstance(one, Undecided) for one in found)


class Asked:
    """Settings that note which of them are asked for."""

    def __init__(self) -> None:
        self.names: set[str] = set()

    def __getattr__(self, name: str) -> Any:
        self.names.add(name)
        return getattr(Settings(), name)


@pytest.mark.parametrize("item", rules().values(), ids=lambda item: item.slug)
def test_a_rule_declares_the_thresholds_that_it_asks_for(item: Rule) -> None:
    asked = Asked()
    for row in (*item.firing, *item.passing):
        cells = {field: [value] for field, value in (SOUND | dict(row)).items() if isinstance(value, str)}
        gauges = gauges_of({field: cell for field, cell in cells.items() if not field.startswith("_")})
        gauges.settings = asked  # type: ignore[assignment]
        list(item.check(gauges, asked))  # type: ignore[arg-type]
    # which upper fluid is a liquid decides what kind of gauge it is, for every rule alike
    assert asked.names - {"interface_liquid_from_kg_m3"} <= set(item.thresholds)
    known = {field.name for field in fields(Settings)}
    assert set(item.thresholds) <= known


def test_a_book_audited_twice_gives_the_same() -> None:
    book = read_book(DEMO)
    first, second = (json.dumps(audit(book, Settings()).to_dict()) for _ in range(2))
    assert first == second
    assert len(json.loads(first)["findings"]) > 40


def said(slug: str, changes: dict[str, Any]) -> str:
    """What a rule says of a gauge for which it fires once."""
    (hit,) = fires(slug, changes)
    return hit.message


@pytest.mark.parametrize(
    ("slug", "changes", "words"),
    [
        ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(12)}, "reads high by 12.0 mm"),
        ("offset-exceeds-tolerance", OIL | {"float_mass": mass_at(-12)}, "reads low by 12.0 mm"),
        ("design-density-mismatch", BARE | {"float_design_density": "900 kg/m3"}, "9.2% above"),
        ("design-density-mismatch", BARE | {"float_design_density": "1100 kg/m3"}, "10.6% below"),
        (
            "design-density-mismatch",
            BARE | {"float_design_density": "1000 kg/m3", "fluid_density": "900 to 1060 kg/m3"},
            "10.0% below",
        ),
        (
            "fluid-boils-in-chamber",
            {"operating_pressure": "0 barg", "operating_temperature": "98 degC"},
            "2.0 K below",
        ),
        (
            "fluid-boils-in-chamber",
            {"operating_pressure": "0 barg", "operating_temperature": "103 degC"},
            "3.0 K above",
        ),
        (
            "interface-float-outside-fluids",
            INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(790)},
            "not above the upper liquid's",
        ),
        (
            "interface-float-outside-fluids",
            INTERFACE | {"upper_density": "800 kg/m3", "float_mass": mass_of(1010)},
            "not below the lower liquid's",
        ),
        (
            "scale-zero-shifted",
            {"scale_zero": "20 mm"},
            "20 mm above the bottom connection: the gauge reads low",
        ),
        (
            "scale-zero-shifted",
            {"scale_zero": "-20 mm"},
            "20 mm below the bottom connection: the gauge reads high",
        ),
        ("transmitter-outside-visible-range", {"lrv": "-8 mm"}, "LRV is -8 mm, 8 mm outside"),
        ("transmitter-outside-visible-range", {"urv": "1008 mm"}, "URV is 1008 mm, 8 mm outside"),
        ("range-exceeds-connections", {"visible_range": None, "urv": "1100 mm"}, "the transmitter's range"),
        ("tracing-too-hot", {"temperature_class": "T6"}, "the limit of the temperature class"),
        ("float-wider-than-chamber", {"chamber_bore": "49 mm"}, "50 mm does not fit into the bore of 49 mm"),
    ],
)
def test_a_finding_says_which_way_and_by_how_much(slug: str, changes: dict[str, Any], words: str) -> None:
    assert words in said(slug, changes)


@pytest.mark.parametrize(
    ("changes", "cell"),
    [
        ({"fluid_density_min": "880 kg/m3", "float_mass": mass_at(0, 983.2)}, "fluid_density_min"),
        ({"fluid_density_max": "1090 kg/m3", "float_mass": mass_at(0, 983.2)}, "fluid_density_max"),
    ],
)
def test_the_density_that_reads_worst_is_pointed_at(changes: dict[str, Any], cell: str) -> None:
    (hit,) = fires("offset-exceeds-tolerance", {"fluid": "Blend 7", "upper_density": "0 kg/m3"} | changes)
    assert hit.field == cell


def test_a_stated_range_of_the_upper_fluid_counts_whole() -> None:
    # 350 g float in 880 kg/m3: each 10 kg/m3 of vapour lets it ride some 0.7 mm higher
    base = OIL | {"float_mass": mass_at(9.5), "upper_fluid": "gas"}
    assert not fires("offset-exceeds-tolerance", base | {"upper_density": "0 kg/m3"})
    assert fires("offset-exceeds-tolerance", base | {"upper_density": "0 to 40 kg/m3"})


def test_an_exchange_names_the_other_and_both_readings() -> None:
    cells = {name: [value] * 3 for name, value in (SOUND | {"upper_density": "0 kg/m3"}).items()}
    cells |= {"tag": ["LG-1", "LG-2", "LG-3"], "float_part": ["ZF-1", "ZF-2", "ZF-3"]}
    cells["fluid_density"] = ["800 kg/m3", "900 kg/m3", "1000 kg/m3"]
    cells["float_mass"] = [mass_at(0, rho) for rho in (900, 1000, 800)]
    found = list(find_rule("floats-exchanged").check(gauges_of(cells), Settings()))
    first = next(hit for hit in found if isinstance(hit, Hit) and hit.tag == "LG-1")
    assert "the floats of LG-1, LG-3, LG-2 changed places" in first.message
    assert "with the float of LG-3 (ZF-3, F-7100) this gauge is off by +0.0 mm" in first.message
    assert str(first.expected) == "ZF-3"
    assert first.evidence["offset_mm"] == pytest.approx(181 * (1 - 900 / 800))


def test_an_exchange_reads_right_over_the_whole_range_of_densities() -> None:
    wide = {"fluid_density": ["800 to 860 kg/m3", "1000 kg/m3"], "tag": ["LG-1", "LG-2"]}
    narrow = wide | {"fluid_density": ["800 to 830 kg/m3", "1000 kg/m3"]}
    assert not ring((800, 1000), (1000, 800), **wide)
    assert ring((800, 1000), (1000, 800), **narrow) == {"LG-1", "LG-2"}


def test_a_falling_signal_may_be_stated() -> None:
    falling = {"lrv": "1000 mm", "urv": "0 mm"}
    assert fires("range-reversed", falling)
    assert not fires("range-reversed", falling | {"action": "reverse"})
    assert fires("range-reversed", {"lrv": "500 mm", "urv": "500 mm", "action": "reverse"})
    assert not fires("current-inconsistent", falling | {"stated_level": "250 mm", "stated_current": "16 mA"})
    assert fires("current-inconsistent", falling | {"stated_level": "250 mm", "stated_current": "8 mA"})


def test_the_end_that_is_off_is_pointed_at_whichever_way_the_signal_goes() -> None:
    slug = "transmitter-outside-visible-range"
    assert fires(slug, {"lrv": "1010 mm", "urv": "0 mm"})[0].field == "lrv"
    assert fires(slug, {"lrv": "1000 mm", "urv": "-10 mm"})[0].field == "urv"
    assert fires(slug, {"lrv": "-10 mm"})[0].field == "lrv"
    assert fires(slug, {"urv": "1010 mm"})[0].field == "urv"


def test_a_float_that_is_nowhere_near_the_list_is_said_so() -> None:
    listed: dict[str, Any] = {"float_part": "ZF-250A", "float_mass": "350 g"}
    assert not fires("float-not-in-list", {"float_part": "zf-250a "}, **listed)
    (hit,) = fires("float-not-in-list", {"float_part": "ZF-250B"}, **listed)
    assert "the nearest listed part is ZF-250A" in hit.message


def test_an_exchange_is_found_where_no_shape_of_ends_is_stated() -> None:
    silent: dict[str, Any] = {"float_ends": [None, None], "fluid": ["Blend 7", "Blend 7"]}
    assert ring((750, 1000), (1000, 750), **silent) == {"LG-1", "LG-2"}
    assert ring((750, 750), (1000, 1000), **silent) == set()
