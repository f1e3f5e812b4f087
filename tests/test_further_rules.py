"""Rules on room, levels of the process, stacks, stability, the chamber's temperature and wetted metals.

Each on both sides of its limits, which are computed here by hand.
"""

from __future__ import annotations

from math import pi
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from tests.layouts import LAYOUTS, build
from tests.test_rule_limits import AREA, INTERFACE, OIL, fires
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, Undecided, calculation_of, find_rule, remedy_of
from xlfuncs.audit.settings import Settings

DEPTH = 0.350 / (880 * AREA) * 1e3
"""Immersion of the sound float [mm], 350 g, in oil of 880 kg/m3 under nothing: 202.6."""
AFLOAT = OIL | {"float_mass": "350 g"}


def metacentre(rho: float, mass: float = 0.350, across: float = 0.05) -> float:
    """Height of the metacentre above the bottom [mm] of a float with flat ends, closed form."""
    depth = mass / (rho * pi / 4 * across**2)
    return (depth / 2 + rho * pi / 4 * (across / 2) ** 4 / mass) * 1e3


BRINE = {"fluid": "Calcium chloride brine"}
STACK = {"connection_elevation": "1000 mm"}
COLD = {"design_temperature_min": "-60 degC"}

LIMITS: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    (
        "range-not-reachable",
        AFLOAT | {"room_below": f"{DEPTH - 0.9} mm"},
        AFLOAT | {"room_below": f"{DEPTH - 1.1} mm"},
    ),
    (
        "range-not-reachable",
        AFLOAT | {"visible_low": "50 mm", "visible_range": "900 mm", "room_below": f"{DEPTH - 50.9} mm"},
        AFLOAT | {"visible_low": "50 mm", "visible_range": "900 mm", "room_below": f"{DEPTH - 51.1} mm"},
    ),
    (
        "range-not-reachable",
        AFLOAT | {"room_above": f"{250 - DEPTH - 0.9} mm"},
        AFLOAT | {"room_above": f"{250 - DEPTH - 1.1} mm"},
    ),
    (  # the lightest liquid decides at the bottom: 350 g are 222.8 mm deep in 800 kg/m3
        "range-not-reachable",
        AFLOAT | {"fluid_density": "800 to 900 kg/m3", "room_below": "222 mm"},
        AFLOAT | {"fluid_density": "800 to 900 kg/m3", "room_below": "221.7 mm"},
    ),
    (  # the densest at the top: 198.06 mm deep in 900 kg/m3, so 51.94 mm stand out
        "range-not-reachable",
        AFLOAT | {"fluid_density": "800 to 900 kg/m3", "room_above": "51 mm"},
        AFLOAT | {"fluid_density": "800 to 900 kg/m3", "room_above": "50.9 mm"},
    ),
    ("alarm-outside-range", {"level_high_high": "1000 mm"}, {"level_high_high": "1000.1 mm"}),
    ("alarm-outside-range", {"level_low_low": "0 mm"}, {"level_low_low": "-0.1 mm"}),
    ("alarm-outside-range", {"normal_level": "1000 mm"}, {"normal_level": "1001 mm"}),
    (
        "alarm-outside-range",
        {"urv": "950 mm", "level_high": "950.9 mm"},
        {"urv": "950 mm", "level_high": "951.1 mm"},
    ),
    (
        "alarm-outside-range",
        {"lrv": "40 mm", "level_low": "39.1 mm"},
        {"lrv": "40 mm", "level_low": "38.9 mm"},
    ),
    (
        "alarm-outside-range",
        {"lrv": "950 mm", "urv": "0 mm", "action": "reverse", "level_high": "950.9 mm"},
        {"lrv": "950 mm", "urv": "0 mm", "action": "reverse", "level_high": "951.1 mm"},
    ),
    (
        "interface-connection-outside",
        INTERFACE | {"upper_density": "800 kg/m3", "normal_level": "1000 mm"},
        INTERFACE | {"upper_density": "800 kg/m3", "normal_level": "1000.1 mm"},
    ),
    (
        "interface-connection-outside",
        INTERFACE | {"upper_density": "800 kg/m3", "normal_level": "0 mm"},
        INTERFACE | {"upper_density": "800 kg/m3", "normal_level": "-0.1 mm"},
    ),
    (
        "interface-connection-outside",
        INTERFACE | {"upper_density": "800 kg/m3", "liquid_top": "1000 mm"},
        INTERFACE | {"upper_density": "800 kg/m3", "liquid_top": "999.9 mm"},
    ),
    (
        "interface-connection-outside",
        {"normal_level": "1200 mm"},
        INTERFACE | {"upper_density": "800 kg/m3", "normal_level": "1200 mm"},
    ),
    (
        "float-top-heavy",
        AFLOAT | {"float_centre_of_gravity": f"{metacentre(880) - 0.01} mm"},
        AFLOAT | {"float_centre_of_gravity": f"{metacentre(880) + 0.01} mm"},
    ),
    (  # of a deep float the metacentre is the lower the denser the liquid
        "float-top-heavy",
        AFLOAT
        | {"fluid_density": "800 to 900 kg/m3", "float_centre_of_gravity": f"{metacentre(900) - 0.01} mm"},
        AFLOAT
        | {"fluid_density": "800 to 900 kg/m3", "float_centre_of_gravity": f"{metacentre(900) + 0.01} mm"},
    ),
    # water at 6 bar absolute: 983.4 kg/m3 at 60 degC, 988.2 at 50, 993.3 at 37.0 (CoolProp); the 1000 mm of
    # the vessel less 3 kg/m3 of vapour are off by 10 mm at 993.3 kg/m3
    ("chamber-colder", {"chamber_temperature": "38 degC"}, {"chamber_temperature": "36 degC"}),
    ("chamber-colder", {"chamber_temperature": "77 degC"}, {"chamber_temperature": "79 degC"}),
    (
        "chamber-colder",
        {"chamber_temperature": "30 degC", "visible_range": "400 mm", "urv": "400 mm"},
        {"chamber_temperature": "30 degC", "visible_range": "900 mm", "urv": "900 mm"},
    ),
    ("chamber-colder", {"maintain_temperature": "77 degC"}, {"maintain_temperature": "79 degC"}),
    (
        "chamber-colder",
        {"maintain_temperature": "79 degC", "tracing": "none"},
        {"maintain_temperature": "79 degC"},
    ),
    (
        "wetted-material-unfit",
        BRINE | {"operating_temperature": "59.9 degC"},
        BRINE | {"operating_temperature": "60 degC"},
    ),
    (
        "wetted-material-unfit",
        BRINE | {"operating_temperature": "20 to 59 degC"},
        BRINE | {"operating_temperature": "20 to 61 degC"},
    ),
    ("wetted-material-unfit", {"fluid": "Lube oil"}, {"fluid": "Salzsäure 30 %"}),
    (
        "wetted-material-unfit",
        {"fluid": "Hydrochloric acid", "chamber_material": "Hastelloy C276", "float_material": "Titanium"},
        {"fluid": "Hydrochloric acid", "chamber_material": "Hastelloy C276", "float_material": "316L"},
    ),
    (
        "wetted-material-unfit",
        {"fluid": None, "service": "Feed drum"},
        {"fluid": None, "service": "Hydrochloric acid drum"},
    ),
    (
        "design-temperature-low",
        COLD | {"float_min_temperature": "-60 degC"},
        COLD | {"float_min_temperature": "-59.9 degC"},
    ),
    (
        "design-temperature-low",
        COLD | {"magnet_min_temperature": "-60 degC"},
        COLD | {"magnet_min_temperature": "-59.9 degC"},
    ),
    (
        "design-temperature-low",
        {"design_temperature_min": "-50 degC", "frost_extension": "none"},
        {"design_temperature_min": "-50.1 degC", "frost_extension": "none"},
    ),
    ("design-temperature-low", COLD | {"frost_extension": "yes"}, COLD | {"frost_extension": "-"}),
]
"""Rule, cells just within its limit, cells just beyond it."""


@pytest.mark.parametrize(
    ("slug", "within", "beyond"), LIMITS, ids=[f"{i}-{e[0]}" for i, e in enumerate(LIMITS)]
)
def test_both_sides_of_a_limit(slug: str, within: dict[str, Any], beyond: dict[str, Any]) -> None:
    assert [hit.message for hit in fires(slug, within)] == []
    assert fires(slug, beyond)


@pytest.mark.parametrize(
    ("slug", "within", "beyond"), LIMITS, ids=[f"{i}-{e[0]}" for i, e in enumerate(LIMITS)]
)
def test_the_calculation_comes_to_the_same_verdict(
    slug: str, within: dict[str, Any], beyond: dict[str, Any]
) -> None:
    item = find_rule(slug)
    gauges = gauges_of({field: [value] for field, value in (SOUND | beyond).items()})
    for hit in item.check(gauges, gauges.settings):
        if isinstance(hit, Hit):
            found = calculation_of(item, gauges, gauges.settings, hit)
            assert found is not None
            assert found.fires or (not found.test and found.note)


def open_of(slug: str, changes: dict[str, Any]) -> list[str]:
    """What a rule says is missing for the sound gauge with some cells changed."""
    gauges = gauges_of({field: [value] for field, value in (SOUND | changes).items()})
    found = find_rule(slug).check(gauges, gauges.settings)
    return [gap.missing for gap in found if isinstance(gap, Undecided) and gap.where.any()]


def test_a_room_that_depends_on_the_shape_of_the_ends_is_left_open() -> None:
    # with hemispherical ends the same float is deeper by a third of its diameter less what it holds
    cells = AFLOAT | {"float_ends": None, "room_below": f"{DEPTH + 2} mm"}
    assert fires("range-not-reachable", cells) == []
    assert open_of("range-not-reachable", cells) == ["shape of the float's ends"]
    assert open_of("range-not-reachable", AFLOAT | {"room_below": f"{DEPTH} mm"}) == []


def test_the_room_that_is_missing_is_told_and_given_as_the_mend() -> None:
    cells = {field: [value] for field, value in (SOUND | AFLOAT | {"room_below": "150 mm"}).items()}
    gauges, item = gauges_of(cells), find_rule("range-not-reachable")
    (hit,) = (one for one in item.check(gauges, gauges.settings) if isinstance(one, Hit))
    assert "needs 202.6 mm below the lower connection to show 0 mm, there are 150 mm" in hit.message
    remedy = remedy_of(item, gauges, gauges.settings, hit)
    assert remedy is not None
    assert remedy.options[0].value is not None
    assert 202.6 <= float(remedy.options[0].value.value) <= 202.7


def stack(*changes: dict[str, Any], settings: Settings | None = None) -> list[Hit]:
    """Findings of the rule for gauges LG-7A, LG-7B ... of the sound one, 1000 mm of range each."""
    rows = [SOUND | {"tag": f"LG-7{letter}"} | row for letter, row in zip("ABC", changes, strict=False)]
    names = dict.fromkeys(name for row in rows for name in row)
    gauges = gauges_of({name: [row.get(name) for row in rows] for name in names}, settings=settings)
    item = find_rule("stacked-gauges-gap")
    found = [hit for hit in item.check(gauges, gauges.settings) if isinstance(hit, Hit)]
    for hit in found:
        calculation = calculation_of(item, gauges, gauges.settings, hit)
        assert calculation is not None
        assert calculation.fires
    return found


def at(mm: float, **more: Any) -> dict[str, Any]:
    return {"connection_elevation": f"{mm} mm"} | more


def test_gauges_of_a_stack_overlap() -> None:
    assert stack(at(1000), at(1975)) == []
    (hit,) = stack(at(1000), at(1975.1))
    assert hit.tag == "LG-7B"
    assert "overlaps that of LG-7A by 24.9 mm only" in hit.message
    (hit,) = stack(at(1000), at(2200))
    assert "leaves a gap of 200 mm above that of LG-7A" in hit.message
    assert [hit.tag for hit in stack(at(2200), at(1000))] == ["LG-7A"]
    assert stack(at(1000), at(2000), settings=Settings(stacked_overlap_mm=0.0)) == []


def test_numbers_that_follow_each_other_are_no_stack() -> None:
    """20-LG-201 and 20-LG-202 hang on two vessels; LG-7/1 and LG-7/2 on one."""
    assert stack(at(1000, tag="20-LG-201"), at(2200, tag="20-LG-202")) == []
    assert len(stack(at(1000, tag="LG-7/1"), at(2200, tag="LG-7/2"))) == 1


def test_scales_of_a_stack_may_count_on_from_the_lowest() -> None:
    def on(elevation: float, low: float) -> dict[str, str]:
        return at(elevation) | {"visible_low": f"{low} mm", "visible_range": f"{low + 1000} mm"}

    assert stack(on(1000, 0), on(1900, 900)) == []
    assert len(stack(on(1000, 0), on(1900, 500))) == 1
    # 2 m higher, and counting from there but for 25 mm
    assert stack(on(1000, 0), on(3000, 2024.9)) == []
    assert len(stack(on(1000, 0), on(3000, 2025.1))) == 1


def test_a_long_gauge_beside_two_short_ones_closes_their_gap() -> None:
    long = {"visible_range": "3000 mm", "connection_distance": "3000 mm"}
    assert stack(at(1000, **long), at(1000), at(2500)) == []


def test_gauges_of_a_stack_agree_in_density_and_pressure() -> None:
    same = at(1000), at(1900)
    assert stack(same[0], same[1] | {"fluid_density": "954 kg/m3"}) == []
    assert [hit.field for hit in stack(same[0], same[1] | {"fluid_density": "953 kg/m3"})] == [
        "fluid_density"
    ]
    assert [hit.field for hit in stack(same[0], same[1] | {"operating_pressure": "6 barg"})] == [
        "operating_pressure"
    ]
    assert stack(same[0], same[1] | {"design_pressure": "10.005 barg"}) == []
    assert [hit.field for hit in stack(same[0], same[1] | {"design_pressure": "10.02 barg"})] == [
        "design_pressure"
    ]
    interface = {"service_type": "interface", "upper_density": "800 kg/m3", "fluid_density": "700 kg/m3"}
    assert stack(same[0], same[1] | interface) == []


def test_what_is_not_known_of_an_aggressive_fluid_is_said() -> None:
    assert (
        open_of("wetted-material-unfit", {"fluid": "Sour amine"})
        == ["published statement on Sour amine and austenitic stainless steel"] * 2
    )
    assert open_of("wetted-material-unfit", {"fluid": "Lube oil"}) == []
    assert (
        open_of("wetted-material-unfit", BRINE | {"operating_temperature": None})
        == ["operating temperature"] * 2
    )
    doubt = {"fluid": "Hydrochloric acid", "chamber_material": "steel", "float_material": "Titanium"}
    assert open_of("wetted-material-unfit", doubt) == [
        "chamber material by a name of the table of materials",
        "strength of Hydrochloric acid in per cent",
    ]


def test_the_chamber_of_a_hot_vessel_is_asked_for() -> None:
    hot = {"operating_temperature": "150 degC", "operating_pressure": "8 barg"}
    assert open_of("chamber-colder", hot) == ["temperature in the chamber"]
    assert open_of("chamber-colder", hot | {"operating_temperature": "149 degC"}) == []
    assert open_of("chamber-colder", {"fluid": "Blend 7", "chamber_temperature": "20 degC"}) == [
        "density of the liquid in the chamber and in the vessel"
    ]
    assert (
        fires("chamber-colder", INTERFACE | {"upper_density": "800 kg/m3", "chamber_temperature": "20 degC"})
        == []
    )


def copied(**columns: list[Any]) -> list[Hit]:
    """What the rule on copied columns finds in the sound gauge with some columns."""
    n = len(next(iter(columns.values())))
    cells = {name: [value] * n for name, value in SOUND.items()} | columns
    found = find_rule("copied-column").check(gauges_of(cells), Settings())
    return [hit for hit in found if isinstance(hit, Hit)]


def test_a_blanket_pressure_is_no_pressure_in_another_unit() -> None:
    # 0.1 barg over a tank among 1 to 9 barg: 1.45 would be among them if it were taken as psi
    others = [f"{i} barg" for i in range(1, 10)]
    for small, told in (("0.1 barg", []), ("0.2 barg", []), ("0.3 barg", ["operating_pressure"])):
        scaled = [other.replace(" barg", "") for other in others]
        cells = {"operating_pressure": [small, *(f"{3 * float(other):g} barg" for other in scaled)]}
        assert [hit.field for hit in copied(**cells)] == told, small


SERVICES = ["Lube oil", "Condensate", "Caustic", "Glycol", "Slop", "Kerosene"]


def test_one_density_for_services_without_a_common_word_is_a_copy() -> None:
    rows: dict[str, list[Any]] = {"fluid": [None] * 6, "service": SERVICES}
    rows["viscosity"] = [f"{i} mPa.s" for i in range(1, 7)]
    assert [hit.field for hit in copied(**rows)] == ["fluid_density"]
    assert copied(**rows | {"service": [*SERVICES[:5], "Lube water"]}) == []
    assert copied(**{name: cells[:5] for name, cells in rows.items()}) == []
    assert copied(**rows | {"fluid": ["Blend 7"] * 6}) == []


def test_one_density_for_four_fluids_is_a_copy() -> None:
    names = ["Blend 7", "Blend 8", "Blend 9", "Blend 10"]
    thin = [f"{i} mPa.s" for i in range(1, 5)]
    (hit,) = copied(fluid=names, viscosity=thin)
    assert (hit.field, hit.record) == ("fluid_density", 0)
    assert copied(fluid=[*names[:3], "Blend 7"], viscosity=thin) == []


def test_a_number_in_another_unit_than_its_neighbours_is_noted() -> None:
    rows = ["300 mm", "320 mm", "350 mm", "400 mm", "450 mm", "500 mm", "650 mm"]
    off = copied(visible_range=[*rows, "24 mm"])
    assert [hit.record for hit in off] == [7]
    assert "mm and inches may have been taken for each other" in off[0].message
    assert [hit.record for hit in copied(visible_range=[*rows, "14000 mm"])] == [7]
    assert copied(visible_range=[*rows, "38 mm"]) == []  # 7.9 times off
    assert len(copied(visible_range=[*rows, "37 mm"])) == 1  # 8.1 times off, 370 mm taken in cm
    assert copied(visible_range=[*rows[1:], "24 mm"]) == []  # seven numbers
    assert copied(visible_range=[*rows, "28 mm"]) == []  # neither 280 nor 711 mm is among the others


def test_gauges_of_a_stack_have_one_fluid() -> None:
    def stack_of(*fluids: str) -> list[str]:
        cells = {field: [value] * 2 for field, value in SOUND.items()}
        cells |= {"tag": ["LG-7A", "LG-7B"], "fluid": list(fluids), "connection_elevation": [1000, 1950]}
        gauges = gauges_of(cells)
        found = find_rule("stacked-gauges-gap").check(gauges, gauges.settings)
        return [hit.message for hit in found if isinstance(hit, Hit)]

    assert stack_of("Water", "Eau") == []
    assert stack_of("Benzene", "Slop") == []
    assert stack_of("Benzene", "Toluene") == [
        "Toluene here and Benzene at LG-7A, which hangs on the same vessel"
    ]


@pytest.mark.parametrize(
    ("field", "same", "other"),
    [
        ("float_ends", ("flat", "flach"), ("flat", "hemispherical")),
        ("float_material", ("Titanium", "Ti"), ("Titanium", "316L")),
        ("float_service", ("level", "liquid level"), ("level", "interface")),
        ("magnet_material", ("SmCo", "SmCo"), ("SmCo", "NdFeB")),
        ("float_max_pressure", ("40 barg", "40.07 barg"), ("40 barg", "40.1 barg")),
    ],
)
def test_one_part_twice_in_a_float_list(field: str, same: tuple[str, str], other: tuple[str, str]) -> None:
    def repeats(values: tuple[str, str]) -> int:
        cells = {name: [value] for name, value in SOUND.items()}
        gauges = gauges_of(cells, {"float_part": ["ZF-250A"] * 2, field: list(values)})
        return len(list(find_rule("float-list-repeats").check(gauges, gauges.settings)))

    assert repeats(same) == 0
    assert repeats(other) == 1


@pytest.mark.parametrize(
    "heading", ["mA at normal level", "Current at NLL (mA)", "Strom bei Normalstand [mA]"]
)
def test_a_current_at_normal_level_is_held_against_it(tmp_path: Path, heading: str) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Tag", "Visible range, mm", "LRV, mm", "URV, mm", "Normal level, mm", heading])
    for number, (level, current) in enumerate(((600, 12.06), (600, 12.04), (900, 16.0)), 1):
        sheet.append([f"LG-{number}", 1200, 0, 1200, level, current])
    book.save(tmp_path / "book.xlsx")
    (found,) = (f for f in audit_book(tmp_path / "book.xlsx").findings if f.rule == "current-inconsistent")
    assert found.tag == "LG-1" and "give 12.00 mA" in found.message
    assert found.calculation is not None and found.calculation.fires
    assert {value.cell for value in found.calculation.inputs} >= {"C2", "D2", "E2", "F2"}
    assert found.remedy is not None and "the level of 12.06 mA is 604.5 mm" in found.remedy.text


def test_a_current_without_its_level_is_not_checked() -> None:
    cells = {name: [value] for name, value in SOUND.items()} | {"stated_level": [None], "normal_level": [500]}
    gauges = gauges_of(cells)
    (open_,) = find_rule("current-inconsistent").check(gauges, gauges.settings)
    assert isinstance(open_, Undecided) and open_.where.all()
    assert open_.missing == "level of the stated current"


def test_a_magnet_plane_at_the_design_density_is_said_and_computed(tmp_path: Path) -> None:
    cells = {
        "fluid": "Blend 7",
        "magnet_height": None,
        "upper_density": "0 kg/m3",
        "fluid_density": "880 kg/m3",
    }
    planted = build(tmp_path / "plane.xlsx", LAYOUTS[0], (cells,))
    (found,) = (f for f in audit_book(planted.path).findings if f.rule == "design-density-mismatch")
    assert "with the magnet plane at the surface at the design density of 983 kg/m3" in found.message
    calculation = found.calculation
    assert calculation is not None and calculation.fires
    due = 0.35 / (pi / 4 * 0.05**2) * (1 / 983 - 1 / 880)
    assert calculation.numbers()["e"] == pytest.approx(due, rel=1e-9)
    assert float(found.evidence["reading_offset_mm"]) == pytest.approx(due * 1e3, abs=1e-6)


def test_titanium_is_judged_by_the_strength_of_the_acid() -> None:
    acid = {"float_material": "Titanium Gr. 2", "chamber_material": "Alloy C-276", "float_wall": "1.2 mm"}
    slug, weak = "wetted-material-unfit", "Hydrochloric acid 3 %"
    for fluid in ("Hydrochloric acid 10 %", "Salzsäure 20 %", "Hydrochloric acid 5-15 wt%"):
        assert [hit.field for hit in fires(slug, acid | {"fluid": fluid})] == ["float_material"], fluid
    for fluid, missing in (
        ("Hydrochloric acid", "strength of Hydrochloric acid in per cent"),
        (weak, f"published statement on {weak} and titanium at that strength"),
    ):
        assert fires(slug, acid | {"fluid": fluid}) == []
        assert missing in open_of(slug, acid | {"fluid": fluid})
    nickel = "published statement on Hydrochloric acid 10 % and nickel-chromium-molybdenum alloy"
    open_ = open_of(slug, acid | {"fluid": "Hydrochloric acid 10 %"})
    assert len(open_) == 1 and open_[0].startswith(nickel[:49]), open_
