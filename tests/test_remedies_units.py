"""What a remedy says stands in the units of the book: of a book in inches nothing in millimetres.

How far a gauge reads, lags or is off stands in millimetres in every book, as the tolerance does; findings
have the inches beside it where the book has inches.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.remedy_rows import gauges_from, hits
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, find_rule, remedy_of
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import heat

Row = dict[str, Any]
US: Row = {
    "tag": "LG-1000",
    "service": "Feed drum V-10",
    "service_type": "level",
    "fluid": "Water",
    "float_part": "ZF-250A",
    "fluid_density": "0.9842 SG",
    "upper_density": "0.003 SG",
    "operating_temperature": "140 degF",
    "operating_pressure": "72.5 psig",
    "design_temperature": "250 degF",
    "design_pressure": "145 psig",
    "test_pressure": "218 psig",
    "viscosity": "0.466 cP",
    "float_mass": "12.3459 oz",
    "float_diameter": "1.9685 in",
    "float_length": "9.8425 in",
    "float_ends": "flat",
    "magnet_height": "7.126 in",
    "float_max_pressure": "580 psig",
    "float_max_temperature": "400 degF",
    "float_wall": "0.035 in",
    "magnet_max_temperature": "480 degF",
    "chamber_bore": "2.362 in",
    "chamber_diameter": "2.6 in",
    "connection_distance": "40 in",
    "visible_range": "40 in",
    "freezing_point": "32 degF",
    "minimum_ambient": "-4 degF",
}
OWN_UNITS = re.compile(
    r"\d (?:kg/m3|degC|barg?|g|kg|m|cm|mm/s|W/m(?!/K)|K)\b|(?:height|wall|bore|insulation|plane) of [\d.]+ mm"
)
"""What a book in inches, ounces, psi and degrees Fahrenheit does not say."""


def remedy(slug: str, *rows: Row, floats: dict[str, list[Any]] | None = None) -> Remedy:
    full = [US | {"tag": f"LG-{1000 + at}"} | row for at, row in enumerate(rows)]
    names = dict.fromkeys(name for row in full for name in row)
    gauges = gauges_of({name: [row.get(name) for row in full] for name in names}, floats)
    hit = next(one for one in find_rule(slug).check(gauges, Settings()) if isinstance(one, Hit))
    made = remedy_of(find_rule(slug), gauges, Settings(), hit)
    assert made is not None
    return made


FLOATS: dict[str, list[Any]] = {
    "float_part": ["ZF-1", "ZF-2", "ZF-3"],
    "float_mass": ["11 oz", "12.3459 oz", "13 oz"],
    "float_diameter": ["1.9685 in", "1.9685 in", "1.9685 in"],
    "float_length": ["9.8425 in", "9.8425 in", "9.8425 in"],
    "float_ends": ["flat", "flat", "flat"],
    "magnet_height": ["7.126 in", "12.65 in", "2 in"],
    "float_max_pressure": ["580 psig", "580 psig", "100 psig"],
    "float_max_temperature": ["400 degF", "400 degF", "200 degF"],
    "magnet_max_temperature": ["400 degF", "400 degF", "400 degF"],
}

SAID: list[tuple[str, Row, dict[str, list[Any]] | None]] = [
    ("offset-exceeds-tolerance", {"fluid_density": "0.85 SG", "fluid": "Blend 7"}, None),
    ("offset-exceeds-tolerance", {"fluid_density": "0.85 SG", "fluid": "Blend 7"}, FLOATS),
    ("float-pressure-exceeded", {"float_max_pressure": "100 psig", "float_material": "316L"}, FLOATS),
    ("float-lags", {"viscosity": "400 cP", "fluid": "Blend 7"}, FLOATS),
    ("fluid-boils-in-chamber", {"operating_temperature": "312 degF"}, None),
    ("tracing-boils-fluid", {"tracing": "electric", "maintain_temperature": "320 degF"}, None),
    ("tracing-missing", {"tracing": "none"}, None),
    (
        "interface-density-gap-small",
        {"service_type": "interface", "upper_fluid": "Oil", "upper_density": "0.95 SG"},
        None,
    ),
    ("test-pressure-low", {"test_pressure": "100 psig"}, None),
    ("viscosity-too-high", {"viscosity": "400 cP", "chamber_bore": None, "tracing": "none"}, None),
    ("range-not-reachable", {"room_below": "2 in"}, None),
]


@pytest.mark.parametrize(
    ("slug", "row", "floats"), SAID, ids=[f"{at}-{one[0]}" for at, one in enumerate(SAID)]
)
def test_no_remedy_of_a_book_in_inches_speaks_in_other_units(
    slug: str, row: Row, floats: dict[str, list[Any]] | None
) -> None:
    text = remedy(slug, row, floats=floats).text
    assert re.search(r"\d", text)
    assert OWN_UNITS.search(text) is None, text


def test_a_magnet_outside_its_float_is_told_in_inches() -> None:
    row = {"fluid_density": "0.85 SG", "fluid": "Blend 7"}
    assert (
        "the magnet height of 12.65 in is not" in remedy("offset-exceeds-tolerance", row, floats=FLOATS).text
    )


def test_a_scale_is_set_by_inches_too() -> None:
    row = {"fluid_density": "0.93 SG", "fluid": "Blend 7"}
    shift = re.search(r"set ([0-9.]+) mm \(([0-9.]+) in\) ", remedy("offset-exceeds-tolerance", row).text)
    assert shift is not None and float(shift[1]) > 9
    assert float(shift[2]) == pytest.approx(float(shift[1]) / 25.4, abs=0.003)
    assert re.search(r"set [0-9.]+ mm [lh]", remedy("offset-exceeds-tolerance", _in_mm(row)).text)


def _in_mm(row: Row) -> Row:
    """The row with every length in millimetres."""
    lengths = {name: cell for name, cell in (US | row).items() if str(cell).endswith(" in")}
    return row | {name: f"{25.4 * float(cell.split()[0]):.2f} mm" for name, cell in lengths.items()}


def test_a_margin_to_boiling_of_five_kelvins_is_nine_degrees_fahrenheit() -> None:
    assert (
        "keeps 9 degF from boiling"
        in remedy("fluid-boils-in-chamber", {"operating_temperature": "312 degF"}).text
    )
    row = {"operating_temperature": "155.5 degC"}
    assert "keeps 5 K from boiling" in remedy("fluid-boils-in-chamber", row).text


def test_a_gap_of_densities_is_told_as_the_book_has_densities() -> None:
    row = {"service_type": "interface", "upper_density": "0.95 SG", "fluid_density": "0.98 SG"}
    row |= {"float_mass": "16.6 oz"}
    text = remedy("interface-density-gap-small", row).text
    # 50 kg/m3 over water at 60 degF, 999.016 kg/m3 (API MPMS chapter 11.5)
    assert "densities 0.05005 SG apart" in text and "an upper one of 0.9298 SG or less" in text
    assert "; 0.04 oz more (a deposit" in text  # a gram is 0.0353 oz
    row = {"service_type": "interface", "upper_density": "950 kg/m3", "fluid_density": "980 kg/m3"}
    assert (
        "densities 50 kg/m3 apart"
        in remedy("interface-density-gap-small", row | {"float_mass": "350 g"}).text
    )


@pytest.mark.parametrize(("said", "unit"), [("1 in", "in"), ("25 mm", "mm")])
def test_insulation_is_proposed_in_the_steps_in_which_it_is_sold(said: str, unit: str) -> None:
    row = {"tracing": "electric", "maintain_temperature": "50 degF", "tracer_output": "7 W/m"}
    made = remedy("tracing-underpowered", row | {"insulation_thickness": said})
    thick = next(one.value for one in made.options if one.name == "insulation_thickness")
    assert thick is not None and thick.unit == unit and not isinstance(thick.value, str)
    step = 0.5 if unit == "in" else 10
    assert float(thick.value) % step == pytest.approx(0, abs=1e-9)
    assert ("steps of half an inch" if unit == "in" else "steps of 10 mm") in made.text

    def lost(thickness: float) -> float:
        size = thickness * (0.0254 if unit == "in" else 1e-3)
        used = Settings()
        across = 2.6 * 0.0254
        warm, cold = (50 - 32) / 1.8 + 273.15, (-4 - 32) / 1.8 + 273.15
        weather = (used.wind_m_s, used.emissivity)
        return 1.2 * float(
            heat.heat_loss(warm, cold, across, size, used.insulation_conductivity_w_mk, *weather)
        )

    assert lost(float(thick.value)) <= 7 < lost(float(thick.value) - step)


def test_without_insulation_outputs_are_told_for_whole_inches_in_watts_per_foot() -> None:
    made = remedy("tracing-missing", {"tracing": "none"})
    assert all(f" W/ft or more with {inches} in of insulation" in made.text for inches in (1, 2, 4))


def test_a_blank_cell_speaks_in_the_unit_of_its_column() -> None:
    rows = ({"tracing": "none", "tracer_output": None}, {"tracing": "electric", "tracer_output": "12 W/m"})
    made = remedy("tracing-missing", *rows)
    assert " W/m or more with 1 in of insulation" in made.text


def test_lengths_of_a_plant_in_feet_leave_the_parts_in_inches() -> None:
    feet = dict.fromkeys(("connection_distance", "visible_range"), "3.333 ft")
    unknown = dict.fromkeys(("float_diameter", "float_length", "magnet_height", "chamber_bore"))
    row = {"tracing": "none", "chamber_diameter": "0.22 ft"}
    assert " W/ft or more with 1 in of insulation" in remedy("tracing-missing", feet | unknown | row).text


# --- findings -------------------------------------------------------------------------------------------

LENGTH = re.compile(r"([-+]?)([\d.]+) mm \(([-+]?)([\d.]+) in\)")


FOUND: list[tuple[str, int, list[Row]]] = [
    ("offset-exceeds-tolerance", 2, [{"fluid_density": "880 kg/m3", "fluid": "Blend 7"}]),
    (
        "worst-reading-exceeds-tolerance",
        1,
        [{"fluid_density": "935 kg/m3", "fluid": "Blend 7", "viscosity": "45 mPa.s"}],
    ),
    ("design-density-mismatch", 1, [{"magnet_height": None, "float_design_density": "920 kg/m3"}]),
    ("float-lags", 2, [{"viscosity": "150 mPa.s", "fluid": "Blend 7"}]),
    ("chamber-colder", 2, [{"chamber_temperature": "30 degC"}]),
    (
        "floats-exchanged",
        2,
        [
            {"float_mass": "285 g", "float_design_density": "800 kg/m3"},
            {"fluid": "Blend 7", "fluid_density": "800 kg/m3"},
        ],
    ),
]


@pytest.mark.parametrize(("slug", "lengths", "rows"), FOUND, ids=[one[0] for one in FOUND])
def test_a_finding_of_a_book_in_inches_has_inches_beside_its_millimetres(
    slug: str, lengths: int, rows: list[Row]
) -> None:
    here, there = ([one.message for one in hits(slug, gauges_from(*each))] for each in (rows, _inches(rows)))
    assert here and len(here) == len(there)
    assert " in)" not in here[0]
    found = LENGTH.findall(there[0])
    assert len(found) == lengths
    for sign, ours, sign_of_theirs, theirs in found:
        assert sign_of_theirs == sign
        assert float(theirs) == pytest.approx(float(ours) / 25.4, abs=0.05 if "." not in ours else 0.0075)


def _inches(rows: list[Row]) -> list[Row]:
    """The rows with every length in inches."""
    lengths = {name: cell for name, cell in SOUND.items() if str(cell).endswith(" mm")}
    own = {name: f"{float(cell.split()[0]) / 25.4:.4f} in" for name, cell in lengths.items()}
    return [own | row for row in rows]
