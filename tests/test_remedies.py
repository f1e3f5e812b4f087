"""What would mend a finding: taken, it does mend it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import Finding
from xlfuncs.audit.profiles import profiles
from xlfuncs.audit.registry import Rule, rules
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import response
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement

VALUES = {
    "transmitter-outside-visible-range": ("lrv", "urv"),
    "transmitter-range-mismatch": ("lrv", "urv"),
    "range-reversed": ("lrv", "urv"),
    "current-inconsistent": ("stated_current",),
    "switch-outside-range": None,
    "switch-spacing-small": (),
    "scale-zero-shifted": ("scale_zero",),
    "tracing-underpowered": ("tracer_output",),
    "flange-rating-exceeded": ("flange_class",),
    "test-pressure-low": (),
    "operating-exceeds-design": (),
    "fluid-boils-in-chamber": (),
    "tracing-boils-fluid": (),
    "tracing-too-hot": None,
    "chamber-colder": ("chamber_temperature",),
    "float-top-heavy": (),
    "density-range-reversed": None,
    "range-exceeds-connections": (),
    "range-not-reachable": (),
    "interface-connection-outside": (),
    "serial-mismatch": (),
    "alarm-outside-range": (),
}
"""Rule -> the options that are to be taken together; None: all, (): the first."""
OWN = [rules()[slug] for slug in VALUES]


def audited(folder: Path, rows: list[dict[str, Any]]) -> list[Finding]:
    planted = build(folder / "book.xlsx", LAYOUTS[0], rows)
    return audit_book(planted.path).findings


def remedy_of(finding: Finding) -> Remedy:
    assert finding.remedy is not None
    return finding.remedy


@pytest.mark.parametrize("item", OWN, ids=lambda item: item.slug)
def test_the_values_of_a_remedy_mend_its_finding(item: Rule, tmp_path: Path) -> None:
    for number, row in enumerate(item.firing):
        if "fluid" in row or number > 1:
            continue
        finding = next(f for f in audited(tmp_path, [dict(row)]) if f.rule == item.slug)
        remedy = remedy_of(finding)
        wanted = VALUES[item.slug]
        options = [o for o in remedy.options if o.name and o.value is not None]
        if wanted == ():
            options = options[:1]
        elif wanted is not None:
            options = [o for o in options if o.name in wanted]
        assert options, remedy
        mended = dict(row) | {option.name: str(option.value) for option in options}
        mended |= {name: str(value) for option in options for name, value in option.along}
        assert item.slug not in {f.rule for f in audited(tmp_path, [mended])}, mended


ONE_UNFIT = [
    {"tag": "LG-1", "float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"},
    {
        "tag": "LG-2",
        "float_part": "ZF-B",
        "float_mass": "313 g",
        "fluid_density": "880 kg/m3",
        "fluid": "Blend 7",
    },
]
"""The float of the first gauge was made for another density; that of the second would fit it."""


def test_a_part_of_the_list_that_fits_is_named_with_its_worst_reading(tmp_path: Path) -> None:
    (finding,) = [f for f in audited(tmp_path, ONE_UNFIT) if f.rule == "offset-exceeds-tolerance"]
    first = remedy_of(finding).options[0]
    assert (first.name, str(first.value)) == ("float_part", "ZF-B")
    # h = (m - rho_u V)/(A (rho - rho_u)) for 313 g, 50 x 250 mm, 880 kg/m3 under 3 kg/m3
    area = math.pi / 4 * 0.05**2
    offset = 181 - 1e3 * (0.313 - 3 * area * 0.25) / (area * (880 - 3))
    assert first.numbers["worst_reading_low_mm"] < offset < first.numbers["worst_reading_high_mm"]
    assert abs(first.numbers["worst_reading_high_mm"] - offset) < 6  # of which 4.2 by 50 mm in whole mm
    assert "ZF-A" not in [str(option.value) for option in remedy_of(finding).options]


def test_the_scale_is_shifted_by_the_offset(tmp_path: Path) -> None:
    row = {"float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    (finding,) = [f for f in audited(tmp_path, [row]) if f.rule == "offset-exceeds-tolerance"]
    scale = next(option for option in remedy_of(finding).options if not option.name)
    shift = flat(0.35, 880, kelvin=40)
    assert shift == pytest.approx(float(finding.evidence["reading_offset_mm"]), abs=1)
    assert scale.numbers["scale_shift_mm"] == pytest.approx(shift, abs=0.01)
    made_for = scale.numbers["scale_density_kg_m3"]
    assert flat(0.35, made_for) == pytest.approx(shift, abs=0.01)
    assert "(with the float at 20 degC)" in scale.text


def test_where_none_fits_the_float_that_would_is_given_and_does(tmp_path: Path) -> None:
    row = {"float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    (finding,) = [f for f in audited(tmp_path, [row]) if f.rule == "offset-exceeds-tolerance"]
    remedy = remedy_of(finding)
    assert remedy.text.startswith("None of the other floats of the list fits")
    for option in remedy.options:
        if option.name in ("float_mass", "magnet_height"):
            number = option.numbers["mass_g" if option.name == "float_mass" else "magnet_height_mm"]
            unit = "g" if option.name == "float_mass" else "mm"
            mended = row | {option.name: f"{number:.2f} {unit}", "float_design_density": None}
            assert not [
                f for f in audited(tmp_path, [mended]) if f.rule.startswith(("offset", "worst", "float"))
            ]


def test_a_remedy_is_a_sentence_and_stands_in_the_json(tmp_path: Path) -> None:
    seen = 0
    for item in rules().values():
        if item.remedy is None:
            continue
        planted = build(tmp_path / f"{item.slug}.xlsx", LAYOUTS[0], item.firing)
        result = audit_book(planted.path)
        for finding in result.findings:
            if finding.remedy is not None:
                seen += 1
                assert re.fullmatch(r"[A-Z].*\.", finding.remedy.text), finding.remedy.text
                assert "nan" not in finding.remedy.text
        plain = [f["remedy"] for f in result.to_dict()["findings"]]
        assert plain == [None if f.remedy is None else f.remedy.to_dict() for f in result.findings]
    assert seen >= 20


def kept(slug: str, row: dict[str, Any], name: str, folder: Path) -> tuple[float, bool]:
    """The bound of a remedy, and whether the gauge is in order at it."""
    finding = next(f for f in audited(folder, [row]) if f.rule == slug)
    value = next(o.value for o in remedy_of(finding).options if o.name == name)
    assert value is not None and not isinstance(value.value, str)
    mended = row | {name: str(value)}
    return float(value.value), slug not in {f.rule for f in audited(folder, [mended])}


def test_the_pressure_that_keeps_from_boiling_is_that_of_the_steam_table(tmp_path: Path) -> None:
    # water at 115 degC boils at 1.6906 bar (IAPWS-95): 0.677 barg
    row = {"operating_pressure": "0.5 barg", "operating_temperature": "110 degC"}
    number, right = kept("fluid-boils-in-chamber", row, "operating_pressure", tmp_path)
    assert number == pytest.approx(1.6918 - 1.01325, abs=2e-3)
    assert right


def test_a_chamber_that_is_kept_warm_enough_stands_right(tmp_path: Path) -> None:
    # 990 mm of 993.08 kg/m3 weigh as much as 1000 mm of 983.2 under 3: water at 37.7 degC (IAPWS-95)
    number, right = kept(
        "chamber-colder", {"chamber_temperature": "30 degC"}, "chamber_temperature", tmp_path
    )
    assert number == pytest.approx(37.65, abs=0.1)
    assert right


def test_stacked_gauges_overlap_where_the_upper_one_is_lowered(tmp_path: Path) -> None:
    rows = [
        {"tag": "LG-2000A", "connection_elevation": "1000 mm"},
        {"tag": "LG-2000B", "connection_elevation": "2200 mm"},
    ]
    finding = next(f for f in audited(tmp_path, rows) if f.rule == "stacked-gauges-gap")
    (height,) = remedy_of(finding).options
    assert str(height.value) == "1975 mm"
    rows[1]["connection_elevation"] = str(height.value)
    assert "stacked-gauges-gap" not in {f.rule for f in audited(tmp_path, rows)}


def test_floats_that_changed_places_are_named_by_part_and_serial(tmp_path: Path) -> None:
    rows = [dict(row) for row in rules()["floats-exchanged"].firing]
    found = [f for f in audited(tmp_path, rows) if f.rule == "floats-exchanged"]
    assert "(ZF-251A, F-2) into this gauge, and its columns of the float" in remedy_of(found[0]).text
    assert {o.name for o in remedy_of(found[0]).options} == {"float_part", "float_serial"}


def test_whose_serial_is_noted_is_said(tmp_path: Path) -> None:
    rows = [
        {"tag": "LG-1", "serial": "QX-1", "float_gauge_serial": "QX-2", "float_serial": "F-1"},
        {"tag": "LG-2", "serial": "QX-2", "float_gauge_serial": "QX-2", "float_serial": "F-2"},
    ]
    finding = next(f for f in audited(tmp_path, rows) if f.rule == "serial-mismatch")
    assert remedy_of(finding).text.startswith("QX-2 is the serial of LG-2;")


def test_a_tracer_that_is_missing_is_sized(tmp_path: Path) -> None:
    row: dict[str, Any] = {"tracing": "none", "tracer_output": None, "maintain_temperature": None}
    finding = next(f for f in audited(tmp_path, [row]) if f.rule == "tracing-missing")
    warm, output = remedy_of(finding).options
    assert str(warm.value) == "10 degC"
    mended = {"tracing": "electric", "maintain_temperature": "10 degC"}
    right = audited(tmp_path, [mended | {"tracer_output": str(output.value)}])
    assert not [f for f in right if f.rule.startswith("tracing")]
    assert output.value is not None
    weak = audited(tmp_path, [mended | {"tracer_output": f"{float(output.value.value) * 0.99:.3f} W/m"}])
    assert "tracing-underpowered" in {f.rule for f in weak}


@pytest.mark.parametrize("option", [1, 2, 3])
def test_a_tracer_is_sized_for_insulations_where_none_is_stated(tmp_path: Path, option: int) -> None:
    row: dict[str, Any] = {"tracing": "none", "tracer_output": None, "insulation_thickness": None}
    finding = next(f for f in audited(tmp_path, [row]) if f.rule == "tracing-missing")
    one = remedy_of(finding).options[option]
    output, _, thick = one.text.partition(" W/m or more with ")
    mended = {"tracing": "electric", "maintain_temperature": "10 degC"}
    mended |= {"insulation_thickness": thick.removesuffix(" of insulation")}
    right = audited(tmp_path, [mended | {"tracer_output": f"{output} W/m"}])
    assert not [f for f in right if f.rule.startswith("tracing")]
    weak = audited(tmp_path, [mended | {"tracer_output": f"{float(output) * 0.99:.3f} W/m"}])
    assert "tracing-underpowered" in {f.rule for f in weak}


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"chamber_diameter": None}, "from the chamber's outside diameter, which is not stated."),
        (
            {"chamber_diameter": None, "insulation_thickness": None},
            "from the chamber's outside diameter and the insulation, which are not stated.",
        ),
    ],
)
def test_what_a_missing_tracer_lacks_to_be_sized_is_named(
    tmp_path: Path, row: dict[str, Any], said: str
) -> None:
    untraced = {"tracing": "none", "tracer_output": None, "maintain_temperature": None}
    finding = next(f for f in audited(tmp_path, [untraced | row]) if f.rule == "tracing-missing")
    assert remedy_of(finding).text.endswith(said)


def test_a_test_pressure_follows_the_other_gauges_of_the_list(tmp_path: Path) -> None:
    def low(times: Sequence[float]) -> str:
        rows = [
            {"design_pressure": f"{8 + n} barg", "test_pressure": f"{(8 + n) * t:.2f} barg"}
            for n, t in enumerate(times)
        ]
        rows.append({"design_pressure": "8 barg", "test_pressure": "7.5 barg"})
        (finding,) = [f for f in audited(tmp_path, rows) if f.rule == "test-pressure-low"]
        return remedy_of(finding).text

    alone = "Needed: test pressure 8 barg or more, the design pressure"
    like = "; as the others of this list are tested at 1.43 times their design pressure: 11.44 barg."
    assert low([1.43] * 5) == alone + like
    assert low([1.43] * 9 + [1.5]) == alone + like
    assert low([1.43] * 4) == f"{alone}."
    assert low([1.43] * 5 + [1.5]) == f"{alone}."
    assert low([1.0] * 6) == f"{alone}."


def test_floats_that_could_not_be_judged_are_named_and_not_called_unfit(tmp_path: Path) -> None:
    rows: list[dict[str, Any]] = [
        {"tag": "LG-1", "float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"},
        {"tag": "LG-2", "float_part": "ZF-B", "float_mass": None, "float_design_density": None},
        {"tag": "LG-3", "float_part": "ZF-C", "float_mass": None, "float_design_density": None},
    ]
    (finding,) = [f for f in audited(tmp_path, rows) if f.rule == "offset-exceeds-tolerance"]
    text = remedy_of(finding).text
    assert text.startswith(
        "Of the other floats of the list 1 could be judged and none fits, the nearest is ZF-100B:"
    )
    assert "; not judged: ZF-B, ZF-C (the list states no mass)" in text


def test_a_float_of_the_list_is_shown_with_its_calculation(tmp_path: Path) -> None:
    (finding,) = [f for f in audited(tmp_path, ONE_UNFIT) if f.rule == "offset-exceeds-tolerance"]
    remedy = remedy_of(finding)
    work, first = remedy.calculation, remedy.options[0]
    assert work is not None and work.fires
    assert [step.symbol for step in work.steps if not step.expression] == ["p_more"]  # the shell bears less
    assert work.numbers()["p_more"] == pytest.approx(first.numbers["pressure_margin_bar"] * 1e5)
    assert work.numbers()["T_more"] == pytest.approx(first.numbers["temperature_margin_K"])
    mass = next(value for value in work.inputs if value.symbol == "m")
    assert mass.number == pytest.approx(0.313) and mass.sheet == "Floats"
    reads = [first.numbers[f"worst_reading_{end}_mm"] for end in ("low", "high")]
    assert work.numbers()["w"] * 1e3 == pytest.approx(max(reads, key=abs), abs=1e-9)


def test_three_parts_are_named_and_the_rest_counted(tmp_path: Path) -> None:
    oil = {"fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    rows: list[dict[str, Any]] = [{"tag": "LG-0", "float_part": "ZF-A"} | oil]
    rows += [
        {"tag": f"LG-{i}", "float_part": f"ZF-B{i}", "float_mass": f"{310 + i} g"} | oil for i in range(1, 6)
    ]
    finding = next(f for f in audited(tmp_path, rows) if f.rule == "offset-exceeds-tolerance")
    text = remedy_of(finding).text
    assert len(set(re.findall(r"ZF-B\d", text))) == 3
    assert "; and 2 more" in text
    assert len([o for o in remedy_of(finding).options if o.name == "float_part"]) == 5


def test_room_is_asked_for_as_much_as_the_float_needs(tmp_path: Path) -> None:
    row = dict(rules()["range-not-reachable"].firing[0])
    finding = next(f for f in audited(tmp_path, [row]) if f.rule == "range-not-reachable")
    value = remedy_of(finding).options[0].value
    assert value is not None
    assert float(value.value) == pytest.approx(float(finding.evidence["needed_mm"]), abs=0.1)


def only(findings: list[Finding], slug: str) -> Finding:
    (found,) = (finding for finding in findings if finding.rule == slug)
    return found


THICK = {"fluid": "Blend 7", "tracing": "none", "tracer_output": None, "minimum_ambient": "12 degC"}


def test_a_viscous_fluid_is_thin_enough_from_a_temperature_on(tmp_path: Path) -> None:
    row = {"chamber_bore": None, "float_mass": None, "fluid_density": "880 kg/m3", **THICK}
    row |= {"viscosity": "50 to 600 mPa.s", "operating_temperature": "20 to 80 degC"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "viscosity-too-high"))
    (option,) = remedy.options
    assert option.name == "maintain_temperature" and option.value is not None
    z = [
        math.log10(math.log10(1e3 * mu / 0.88 / 1e3 + 0.7)) for mu in (600, 50, 200)
    ]  # ASTM D341, Z = nu + 0.7
    share = (z[2] - z[0]) / (z[1] - z[0])
    log_t = math.log10(293.15) + share * (math.log10(353.15) - math.log10(293.15))
    assert float(option.value.value) == pytest.approx(10**log_t - 273.15, abs=0.1)


def test_a_viscous_fluid_lets_the_float_follow_in_a_wider_chamber(tmp_path: Path) -> None:
    row = {"chamber_bore": None, "viscosity": "350 mPa.s", "fluid_density": "880 kg/m3", **THICK}
    row |= {"upper_density": "0 kg/m3"}
    (option,) = remedy_of(only(audited(tmp_path, [row]), "viscosity-too-high")).options
    assert option.name == "chamber_bore" and option.value is not None
    wide = float(option.value.value)
    (tmp_path / "next").mkdir()
    for bore, lags in ((wide, False), (wide - 1, True)):
        found = audited(tmp_path / "next", [row | {"chamber_bore": f"{bore} mm"}])
        assert any(finding.rule == "float-lags" for finding in found) is lags


def test_what_would_be_needed_for_a_number_is_said(tmp_path: Path) -> None:
    row = {"chamber_bore": None, "float_mass": None, "viscosity": "350 mPa.s", **THICK}
    remedy = remedy_of(only(audited(tmp_path, [row]), "viscosity-too-high"))
    assert remedy.options == () and remedy.text.startswith(
        "No number can be computed: state a second viscosity"
    )


def test_a_magnetic_chamber_becomes_one_whose_class_carries_the_pressure(tmp_path: Path) -> None:
    row = {"chamber_material": "A105", "flange_class": "150", "material_group": None}
    row |= {"design_pressure": "14 barg", "design_temperature": "120 degC", "test_pressure": "21 barg"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "chamber-magnetic"))
    said = {str(o.value): o.numbers for o in remedy.options}
    # ASME B16.5 at 120 degC: group 2.3 class 150 13.3 - 0.4*1.3 = 12.8 barg, class 300 34.8 - 0.4*3.4 = 33.4;
    # group 2.2 class 150 16.2 - 0.4*1.4 = 15.6
    assert said["316L"] == pytest.approx({"flange_rating_barg": 33.44, "flange_class": 300.0}, abs=0.05)
    assert said["316"] == pytest.approx({"flange_rating_barg": 15.64, "flange_class": 150.0}, abs=0.05)
    (tmp_path / "next").mkdir()
    for option in remedy.options:
        taken = row | {
            "chamber_material": str(option.value),
            "flange_class": f"{option.numbers['flange_class']:g}",
        }
        rules_ = {finding.rule for finding in audited(tmp_path / "next", [taken])}
        assert not rules_ & {"chamber-magnetic", "flange-rating-exceeded"}


def test_of_a_magnetic_chamber_without_a_class_the_metal_is_told(tmp_path: Path) -> None:
    row = {"chamber_material": "P265GH", "flange_class": None, "material_group": None}
    remedy = remedy_of(only(audited(tmp_path, [row]), "chamber-magnetic"))
    assert [str(option.value) for option in remedy.options] == ["316L"]
    assert "state all three" in remedy.text


def test_a_serial_that_stands_twice_is_the_one_that_is_left_out(tmp_path: Path) -> None:
    def reused(*serials: str) -> Remedy:
        rows = [
            {"tag": f"LG-{i}", "serial": f"QX-{i:03d}", "float_serial": serial}
            for i, serial in enumerate(serials, 1)
        ]
        return remedy_of(only(audited(tmp_path, rows), "serial-reused"))

    remedy = reused("F-071", "F-072", "F-072", "F-074", "F-075")
    assert [str(option.value) for option in remedy.options] == ["F-073"]
    assert remedy.options[0].text == "LG-3 has float F-073"
    assert [str(o.value) for o in reused("F-072", "F-072", "F-073", "F-074", "F-075").options] == ["F-071"]
    assert reused("F-071", "F-072", "F-072", "F-079", "F-075").options == ()
    assert reused("F-071", "F-072", "F-072", "F-074").text.startswith("No number tells")


def test_the_metal_of_a_chamber_does_below_the_temperature_of_the_statement(tmp_path: Path) -> None:
    row = {
        "fluid": "Calcium chloride brine",
        "operating_temperature": "80 degC",
        "float_material": "Titanium",
    }
    found = only(audited(tmp_path, [row]), "wetted-material-unfit")
    option, *metals = remedy_of(found).options
    assert option.name == "operating_temperature" and option.value is not None
    assert [str(one.value) for one in metals] == ["titanium grade 2", "N10276"]
    (tmp_path / "next").mkdir()
    taken = row | {"operating_temperature": f"{option.value.value} degC"}
    assert not [f for f in audited(tmp_path / "next", [taken]) if f.rule == "wetted-material-unfit"]


@pytest.mark.parametrize(("count", "told"), [(10, "Z-9, Z-10"), (11, "Z-9, Z-10 and 1 more")])
def test_of_many_parts_that_cannot_be_judged_ten_are_named(count: int, told: str, tmp_path: Path) -> None:
    rows: list[dict[str, Any]] = [dict(ONE_UNFIT[0])]
    rows += [
        {"tag": f"LG-{i + 10}", "float_part": f"Z-{i}", "float_mass": None, "fluid": "Blend 7"}
        for i in range(1, count + 1)
    ]
    found = [f for f in audited(tmp_path, rows) if f.rule == "offset-exceeds-tolerance"]
    text = remedy_of(found[0]).text
    assert "not judged: Z-1, Z-2, " in text
    assert f"{told} (" in text
    assert "Z-11" not in text


@pytest.mark.parametrize(("beyond", "options"), [(99, 1), (101, 0)])
def test_no_chamber_wider_than_the_float_by_more_than_100_mm_is_proposed(
    beyond: int, options: int, tmp_path: Path
) -> None:
    def lag(viscosity: float) -> float:
        """Lag [mm] of the float of 350 g in a chamber so much wider than it, at 10 mm/s."""
        return 1e3 * float(
            response.lag(
                Float(0.350, 0.05, 0.25),
                Fluids(880.0, 0.0, viscosity),
                Chamber((50 + beyond) * 1e-3),
                Movement(0.010),
            )
        )

    low, high = 1e-3, 1e5
    for _ in range(80):
        middle = math.sqrt(low * high)
        low, high = (low, middle) if lag(middle) > 10 else (middle, high)
    row = {
        "fluid": "Blend 7",
        "fluid_density": "880 kg/m3",
        "upper_density": "0 kg/m3",
        "level_rate": "10 mm/s",
        "viscosity": f"{low * 1e3 * 0.9999:.4f} mPa.s",
        "chamber_bore": None,
        "tracing": "none",
        "tracer_output": None,
        "maintain_temperature": None,
    }
    remedy = remedy_of(only(audited(tmp_path, [row]), "viscosity-too-high"))
    bores = [option for option in remedy.options if option.name == "chamber_bore"]
    assert len(bores) == options
    assert [str(option.value) for option in bores] == [f"{50 + beyond} mm"] * options


def test_two_thousand_gauges_are_drawn_and_no_more() -> None:
    gauges = gauges_of({"tag": [f"LG-{i}" for i in range(2002)]})
    assert len(profiles(gauges, Settings(), range(1999))) == 1999
    assert len(profiles(gauges, Settings(), range(2002))) == 2000


def flat(mass: float, rho: float, above: float = 3.0, kelvin: float = 0.0) -> float:
    """Reading offset [mm] of the sound gauge's float with another mass [kg], by Archimedes.

    It is of 316L, which grows by 16e-6 a kelvin (EN 10088-1), and so much warmer than 20 degC.
    """
    area, long = math.pi / 4 * 0.05**2, 1 + 16e-6 * kelvin
    under = (mass - above * area * 0.25 * long**3) / (area * long**2 * (rho - above))
    return 181 * long - 1e3 * under


BUTANE: dict[str, Any] = {
    "fluid": "n-Butane",
    "fluid_density": "601 kg/m3",
    "operating_temperature": "40 degC",
    "operating_pressure": "5 barg",
    "viscosity": "0.14 mPa.s",
    "float_design_density": None,
}
"""601 kg/m3 is the density at 0 degC; at 40 degC the saturated liquid has 554.9 (CoolProp).

At 6 bar 0.5 more."""


def test_a_float_for_a_density_in_doubt_is_never_called_right(tmp_path: Path) -> None:
    # 197.8 g: at 555.4 kg/m3 the surface is at the magnet plane, at 601 the float rides 14 mm higher
    assert flat(0.1978, 555.4) == pytest.approx(0, abs=0.1)
    assert flat(0.1978, 601) == pytest.approx(13.8, abs=0.1)
    found = only(audited(tmp_path, [BUTANE | {"float_mass": "197.8 g"}]), "offset-exceeds-tolerance")
    remedy = remedy_of(found)
    assert remedy.text.startswith("The stated 601 kg/m3 is in doubt: n-Butane has 555.4 kg/m3 at 40 degC")
    present = remedy.options[0]
    assert present.name == "" and present.text.startswith("the present float")
    assert present.numbers["offset_at_reference_high_mm"] == pytest.approx(0, abs=0.2)
    heavier = next(option for option in remedy.options if option.name == "float_mass")
    mass = heavier.numbers["mass_g"] / 1e3
    assert flat(mass, 601, kelvin=20) == pytest.approx(0, abs=0.02)
    low = flat(mass, 555.4)  # 14 mm low by the density that the plant has
    assert low < -13
    assert heavier.numbers["offset_at_reference_low_mm"] == pytest.approx(low, abs=0.2)
    for option in remedy.options[1:]:
        assert "true" not in option.text and "at 555.4 kg/m3" in option.text


def test_a_corrected_density_says_what_its_float_then_reads(tmp_path: Path) -> None:
    found = only(audited(tmp_path, [BUTANE | {"float_mass": "214 g"}]), "density-not-at-operating-conditions")
    remedy = remedy_of(found)
    said = re.search(r"the present float ZF-250A does not do: it reads ([0-9.]+) mm low", remedy.text)
    assert said is not None and float(said[1]) == pytest.approx(-flat(0.214, 555.4), abs=0.1)
    mended = next(option for option in remedy.options if option.name == "magnet_height")
    higher = 181 - flat(0.214, 555.4)
    assert mended.numbers["magnet_height_mm"] == pytest.approx(higher, abs=0.2)


def test_a_float_lighter_than_its_shell_is_not_proposed(tmp_path: Path) -> None:
    # hemispherical ends: tube and two half spheres at mid-wall, 60.3 x 305 x 1 mm of titanium (4510 kg/m3)
    middle = (0.0603 - 0.001) / 2
    shell = 4510 * 0.001 * (2 * math.pi * middle * (0.305 - 0.0603) + 4 * math.pi * middle**2)
    assert shell == pytest.approx(0.2554, abs=5e-4)
    row = {"fluid": "Blend 7", "fluid_density": "460 kg/m3", "float_material": "titanium grade 2"}
    row |= {"float_diameter": "60.3 mm", "float_length": "305 mm", "float_ends": "hemispherical"}
    row |= {
        "float_mass": "403 g",
        "magnet_height": "223.6 mm",
        "float_wall": "1.3 mm",
        "chamber_bore": "70 mm",
    }
    row |= {"design_pressure": "6.2 barg", "design_temperature": "93 degC"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "float-sinks"))
    assert (
        f"its shell of titanium grade 2 alone weighs {shell * 1e3:.1f} g with a wall of 1 mm" in remedy.text
    )
    assert "cannot be made" in remedy.text
    assert not [option for option in remedy.options if option.name == "float_mass"]
    numbers = remedy.options[0].numbers  # what would have to change: a float that is wider and longer
    assert numbers["shell_g"] + numbers["magnets_g"] <= numbers["mass_g"]
    taken = row | {name: f"{numbers[name.removeprefix('float_') + '_mm']} mm" for name in CHANGED}
    taken |= {"float_mass": f"{numbers['mass_g']} g", "chamber_bore": "80 mm"}
    (tmp_path / "next").mkdir()
    wrong = {finding.rule for finding in audited(tmp_path / "next", [taken])}
    assert not [rule for rule in wrong if rule.startswith(("float", "offset", "worst"))], wrong


CHANGED = ("float_diameter", "float_length", "magnet_height", "float_wall")


def test_a_lighter_float_of_the_same_size_says_of_what_its_mass_is_made(tmp_path: Path) -> None:
    row = {"float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    row |= {"float_ends": "hemispherical", "float_mass": "318.2 g"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "offset-exceeds-tolerance"))
    lighter = next(option for option in remedy.options if option.name == "float_mass").numbers
    middle = (0.05 - lighter["wall_mm"] / 1e3) / 2
    area = 2 * math.pi * middle * (0.25 - 0.05) + 4 * math.pi * middle**2
    assert lighter["shell_g"] == pytest.approx(7980 * area * lighter["wall_mm"], rel=1e-6)
    assert lighter["shell_g"] + lighter["magnets_g"] <= lighter["mass_g"]


def test_a_float_is_proposed_with_its_lag(tmp_path: Path) -> None:
    # annular Stokes flow in a closed end: F = 2 pi mu h v/(x - tanh x), x = ln(D/d); over A rho g
    def lag(across: float, viscosity: float) -> float:
        x = math.log(0.060 / across)
        force = 2 * math.pi * viscosity * 0.181 * 0.005 / (x - math.tanh(x))
        return 1e3 * force / (math.pi / 4 * across**2 * 980.2 * 9.80665)

    def mass(across: float) -> str:  # the surface at the magnet plane at 983.2 under 3 kg/m3
        return f"{1e3 * math.pi / 4 * across**2 * (983.2 * 0.181 + 3 * 0.069):.1f} g"

    rows: list[dict[str, Any]] = [{"tag": "LG-1", "viscosity": "150 mPa.s", "fluid": "Blend 7"}]
    rows += [
        {
            "tag": f"LG-{i}",
            "float_part": f"ZF-{i}",
            "float_diameter": f"{d:.1f} mm",
            "float_mass": mass(d / 1e3),
        }
        for i, d in ((2, 45.0), (3, 47.5))
    ]
    remedy = remedy_of(only(audited(tmp_path, rows), "float-lags"))
    assert lag(0.045, 0.15) < 10 < lag(0.0475, 0.15)
    parts = [str(option.value) for option in remedy.options if option.name == "float_part"]
    assert parts == ["ZF-2"]  # the other lags as well
    assert remedy.options[0].numbers["lag_mm"] == pytest.approx(lag(0.045, 0.15), rel=0.01)
    assert f"lags up to {lag(0.045, 0.15):.1f} mm at the lower connection" in remedy.text


def test_a_table_that_ends_is_not_called_a_class_that_does_not_suffice(tmp_path: Path) -> None:
    # JIS B 2220 rates group 023a in all divisions up to 120 degC: 10K 14 bar, 16K 27 bar, 20K 34 bar
    row = {"flange_class": "JIS 10K", "material_group": None, "chamber_material": "SUS316L"}
    row |= {"design_temperature": "150 degC", "design_pressure": "15 barg", "test_pressure": "23 barg"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "flange-rating-exceeded"))
    assert "No class" not in remedy.text and "ends at 120 degC" in remedy.text
    (option,) = remedy.options
    assert str(option.value) == "JIS 16K"
    assert option.numbers["highest_flange_rating_barg"] == pytest.approx(27, abs=0.01)


def test_no_chamber_is_offered_below_the_class_of_its_nozzle(tmp_path: Path) -> None:
    # EN 1092-1: 8 barg at 120 degC is carried by PN 10 too, but the vessel's flange is PN 40
    row = {"chamber_material": "P235GH", "flange_class": "PN 40", "material_group": None}
    row |= {"design_pressure": "8 barg", "design_temperature": "120 degC"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "chamber-magnetic"))
    assert remedy.options and {option.numbers["flange_class"] for option in remedy.options} == {40.0}


def test_one_cell_gets_one_temperature_that_satisfies_all_its_findings(tmp_path: Path) -> None:
    # ethanol at 45 degC in the vessel, kept at 82 degC: it boils at 80.8 degC, and stands too high
    row = {"fluid": "Ethanol", "fluid_density": "768 kg/m3", "operating_temperature": "45 degC"}
    row |= {"operating_pressure": "0.1 barg", "maintain_temperature": "82 degC", "tracer_output": "90 W/m"}
    found = audited(tmp_path, [row])
    asked = {}
    for slug in ("chamber-colder", "tracing-boils-fluid"):
        (option,) = remedy_of(only(found, slug)).options
        assert option.name == "maintain_temperature" and option.value is not None
        asked[slug] = float(option.value.value)
    assert asked["chamber-colder"] == asked["tracing-boils-fluid"] < 75.9
    (tmp_path / "next").mkdir()
    kept = row | {"maintain_temperature": f"{asked['chamber-colder']} degC"}
    assert not {"chamber-colder", "tracing-boils-fluid"} & {
        one.rule for one in audited(tmp_path / "next", [kept])
    }


def test_the_nearest_part_is_that_with_the_nearest_number(tmp_path: Path) -> None:
    rows: list[dict[str, Any]] = [
        {"tag": f"LG-{i}", "float_part": f"KF-{number}"} for i, number in enumerate((98, 85, 74), 1)
    ]
    rows.append({"tag": "LG-9", "float_part": "KF-84", "float_mass": None, "float_diameter": None})
    rows[-1]["float_length"] = None
    found = audited(tmp_path, rows)
    messages = [one.message for one in found if one.rule == "float-not-in-list"]
    assert all("nearest listed part is KF-85" in message for message in messages), messages


def test_heat_is_taken_where_the_float_has_to_read_right(tmp_path: Path) -> None:
    # 316L grows by 16e-6 a kelvin: at 60 degC the heat of 40 K counts, not the 280 K of design
    rows = [dict(row) for row in ONE_UNFIT]
    rows[0] |= {"design_temperature": "300 degC", "float_max_temperature": "350 degC"}
    rows[0] |= {"magnet_max_temperature": "350 degC", "maintain_temperature": "20 degC"}
    rows[1] |= {"float_max_temperature": "350 degC", "magnet_max_temperature": "350 degC"}
    found = only(audited(tmp_path, rows), "offset-exceeds-tolerance")
    work = remedy_of(found).calculation
    assert work is not None
    grown = 1 + 16.0e-6 * 40
    at_rest = 181 - flat(0.313, 880)
    due = (
        181 * grown
        - (0.313 - 3 * math.pi / 4 * 0.05**2 * 0.25 * grown**3)
        / (math.pi / 4 * 0.05**2 * grown**2 * 877)
        * 1e3
        - (181 - at_rest)
    )
    assert work.numbers()["e_heat"] * 1e3 == pytest.approx(due, abs=0.05)


def test_a_remedy_speaks_the_units_of_its_book(tmp_path: Path) -> None:
    us = next(layout for layout in LAYOUTS if layout.name == "us")
    planted = build(tmp_path / "us.xlsx", us, ONE_UNFIT)
    found = only(audit_book(planted.path).findings, "offset-exceeds-tolerance")
    text = remedy_of(found).text
    assert "psi" in text and "degF to spare" in text
    assert not re.search(r"\b(bar|barg|K|degC|kg/m3)\b", text), text


def proposed(remedy: Remedy) -> dict[str, float]:
    """What a calculation takes from the remedy, and all its numbers."""
    work = remedy.calculation
    assert work is not None and work.fires, work
    assert [value.symbol for value in work.inputs if value.origin == "proposed"]
    return work.numbers()


def test_the_calculation_is_of_the_float_that_is_proposed(tmp_path: Path) -> None:
    row = {"float_part": "ZF-A", "fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    row |= {"float_material": "titanium grade 2", "float_wall": "1.3 mm"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "offset-exceeds-tolerance"))
    first = remedy.options[0]
    numbers = proposed(remedy)
    assert numbers["m"] == pytest.approx(first.numbers["mass_g"] / 1e3, rel=1e-12)
    assert numbers["e"] * 1e3 == pytest.approx(flat(numbers["m"], 880), abs=1e-6)


def test_the_calculation_of_a_wider_chamber_is_shown(tmp_path: Path) -> None:
    row = {"chamber_bore": None, "viscosity": "350 mPa.s", "fluid_density": "880 kg/m3", **THICK}
    row |= {"upper_density": "0 kg/m3"}
    remedy = remedy_of(only(audited(tmp_path, [row]), "viscosity-too-high"))
    numbers = proposed(remedy)
    depth = 0.35 / (math.pi / 4 * 0.05**2 * 880)
    x = math.log(numbers["D"] / 0.05)
    lag = 2 * math.pi * 0.35 * depth * 0.005 / (x - math.tanh(x)) / (math.pi / 4 * 0.05**2 * 880 * 9.80665)
    assert numbers["e"] == pytest.approx(lag, rel=1e-6) and lag <= 0.010


def test_the_calculation_of_a_thicker_insulation_is_shown(tmp_path: Path) -> None:
    found = audited(tmp_path, [dict(rules()["tracing-underpowered"].firing[0])])
    remedy = remedy_of(only(found, "tracing-underpowered"))
    thick = next(option.value for option in remedy.options if option.name == "insulation_thickness")
    numbers = proposed(remedy)
    assert thick is not None and numbers["s"] * 1e3 == pytest.approx(float(thick.value))
    assert numbers["q"] >= numbers["q_min"]


def test_the_calculation_of_another_chamber_reads_its_rating_off_the_table(tmp_path: Path) -> None:
    row = {"chamber_material": "A105", "flange_class": "150", "material_group": None}
    row |= {"design_pressure": "14 barg", "design_temperature": "120 degC", "test_pressure": "21 barg"}
    work = remedy_of(only(audited(tmp_path, [row]), "chamber-magnetic")).calculation
    # ASME B16.5, class 300, group 2.3: 34.8 bar at 100 degC and 31.4 at 150
    assert work is not None and work.fires and work.elementary
    assert work.numbers()["p_max"] / 1e5 == pytest.approx(34.8 + 0.4 * (31.4 - 34.8), abs=0.01)


def test_a_wall_that_the_list_says_bears_the_pressure_is_taken_to_bear_it(tmp_path: Path) -> None:
    # 60.3 x 305 x 1.1 mm of titanium weigh 281 g; by strength alone 20 barg would ask for more
    row = {"fluid": "Blend 7", "fluid_density": "620 kg/m3", "float_material": "titanium grade 2"}
    row |= {"float_diameter": "60.3 mm", "float_length": "305 mm", "float_ends": "hemispherical"}
    row |= {"float_mass": "440 g", "magnet_height": "223.6 mm", "float_wall": "1.1 mm"}
    row |= {"design_pressure": "20 barg", "design_temperature": "93 degC", "chamber_bore": "70 mm"}
    row |= {"float_max_pressure": "40 barg", "test_pressure": "30 barg", "flange_class": "300"}
    middle = (0.0603 - 0.0011) / 2
    shell = 4510 * 0.0011 * (2 * math.pi * middle * (0.305 - 0.0603) + 4 * math.pi * middle**2)
    remedy = remedy_of(only(audited(tmp_path, [row]), "offset-exceeds-tolerance"))
    lighter = next(option for option in remedy.options if option.name == "float_mass").numbers
    assert lighter["shell_g"] == pytest.approx(shell * 1e3, rel=1e-6)
    assert lighter["mass_g"] < 440


def test_a_density_that_another_document_states_is_reckoned_with(tmp_path: Path) -> None:
    row = {"fluid": "Blend 7", "fluid_density": "880 kg/m3", "float_part": "ZF-A"}
    planted = build(tmp_path / "book.xlsx", LAYOUTS[0], [row])
    book = load_workbook(planted.path)
    sheet = book.create_sheet("Process data")
    sheet.append(["Tag", "Fluid", "Operating density (kg/m3)", "Operating temperature (degC)"])
    sheet.append([SOUND["tag"], "Blend 7", 983, 60])
    book.save(planted.path)
    remedy = remedy_of(only(audit_book(planted.path).findings, "offset-exceeds-tolerance"))
    assert "is in doubt: Process data!C2 states 983 kg/m3" in remedy.text
    # the sound float of 350 g reads true at 983 kg/m3
    assert remedy.options[0].numbers["offset_at_reference_high_mm"] == pytest.approx(
        flat(0.35, 983), abs=0.01
    )
