"""Remedies of a whole book against numbers that were worked out by hand, before the audit was asked.

Floats of 50 x 300 mm with flat ends, magnet plane 200 mm above the bottom, each made for one density: they
weigh rho A z, and read z - m/(rho A) high in another liquid.
"""

from __future__ import annotations

import math
from typing import Any

import openpyxl
import pytest

from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import Finding
from xlfuncs.audit.remedy import Remedy

AREA = math.pi / 4 * 0.05**2
PLANE = 0.2
MADE_FOR = {"F1": 800, "F2": 900, "F3": 1000, "F4": 850, "F5": 900}
HEADS = (
    "Tag", "Fluid density (kg/m3)", "Float part no.", "Float serial", "Design pressure (barg)",
    "Design temperature (°C)", "Chamber material", "Flange class", "C-C distance (mm)", "Visible range (mm)",
    "LRV (mm)", "URV (mm)", "Check level (mm)", "Current at check level (mA)", "LSL (mm)", "LSH (mm)",
)  # fmt: skip
SOUND = (850, "F4", "", 10, 90, "316L", "150#", 1200, 1200, 0, 1200, 600, 12, 300, 900)
DENSITY, PART = HEADS[1:3]
ROWS: dict[str, dict[str, Any]] = {
    "LG-001": {DENSITY: 905, PART: "F1"},
    "LG-011": {DENSITY: 800, PART: "F2"},
    "LG-012": {DENSITY: 900, PART: "F3"},
    "LG-013": {DENSITY: 1000, PART: "F1"},
    "LG-021": {"URV (mm)": 1000, "Current at check level (mA)": 13.6},
    "LG-022": {"Current at check level (mA)": 12.5},
    "LG-031": {"LSL (mm)": 700, "LSH (mm)": 300},
    "LG-041": {"Design pressure (barg)": 18, "Design temperature (°C)": 250},
    "LG-061": {DENSITY: 1200, PART: "F3"},
    **{f"LG-07{n}": {} for n in range(8)},
}


def mass(part: str) -> float:
    """Grams."""
    return MADE_FOR[part] * AREA * PLANE * 1e3


def high(part: str, rho: float) -> float:
    """How far a float reads high [mm]."""
    return (PLANE - mass(part) / 1e3 / (rho * AREA)) * 1e3


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Finding]:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.append(HEADS)
    for number, (tag, other) in enumerate(ROWS.items()):
        cells = dict(zip(HEADS, (tag, *SOUND), strict=True)) | other | {"Float serial": f"S-{number}"}
        page.append(list(cells.values()))
    floats = book.create_sheet("Floats")
    floats.append(
        ["Float part no.", "Mass (g)", "Diameter (mm)", "Length (mm)", "Ends", "Magnet height (mm)",
         "Max. pressure (barg)", "Max. temperature (°C)"]
    )  # fmt: skip
    for part in MADE_FOR:
        floats.append([part, round(mass(part), 2), 50, 300, "flat", 200, 5 if part == "F5" else 40, 300])
    path = tmp_path_factory.mktemp("hand") / "hand.xlsx"
    book.save(path)
    return {(f.tag, f.rule): f for f in audit_book(path).findings}


def remedy(found: dict[tuple[str, str], Finding], tag: str, rule: str) -> Remedy:
    made = found[tag, rule].remedy
    assert made is not None
    return made


def test_the_part_that_fits_is_named_with_its_worst_reading(found: dict[tuple[str, str], Finding]) -> None:
    """F2 reads 1.1 mm high at 905; F5 does too and bears 5 bar of 10; F4 is off by 12."""
    made = remedy(found, "LG-001", "offset-exceeds-tolerance")
    fitting = [option for option in made.options if option.name == "float_part"]
    assert [str(option.value) for option in fitting] == ["F2"]
    numbers = fitting[0].numbers
    middle = (numbers["worst_reading_low_mm"] + numbers["worst_reading_high_mm"]) / 2
    assert middle == pytest.approx(high("F2", 905), abs=0.01)
    assert numbers["pressure_margin_bar"] == pytest.approx(30)
    assert numbers["temperature_margin_K"] == pytest.approx(210)
    scale = next(option for option in made.options if not option.name)
    assert scale.numbers["scale_density_kg_m3"] == pytest.approx(905)
    assert scale.numbers["scale_shift_mm"] == pytest.approx(high("F1", 905), abs=0.01)


def test_three_floats_that_went_round_are_put_back(found: dict[tuple[str, str], Finding]) -> None:
    places = {"LG-011": "LG-013", "LG-012": "LG-011", "LG-013": "LG-012"}
    for tag, other in places.items():
        text = remedy(found, tag, "floats-exchanged").text
        assert text.startswith("Read the floats on site first") and f"Else float of {other} (" in text
        rho = ROWS[tag][DENSITY]
        assert abs(high(ROWS[other][PART], rho)) < 0.01 < 10 < abs(high(ROWS[tag][PART], rho))


def test_where_none_fits_the_float_that_would_is_weighed(found: dict[tuple[str, str], Finding]) -> None:
    made = remedy(found, "LG-061", "offset-exceeds-tolerance")
    assert made.text.startswith("None of the other floats of the list fits")
    heavier = next(option for option in made.options if option.name == "float_mass")
    assert heavier.numbers["mass_g"] == pytest.approx(1200 * AREA * PLANE * 1e3, rel=1e-6)
    moved = next(option for option in made.options if option.name == "magnet_height")
    assert moved.numbers["magnet_height_mm"] == pytest.approx(1000 / 1200 * 200, abs=0.01)


@pytest.mark.parametrize(
    ("tag", "rule", "options"),
    [
        ("LG-021", "transmitter-range-mismatch", ["0 mm", "1200 mm", "12 mA"]),
        ("LG-022", "current-inconsistent", ["12 mA", "637.5 mm"]),
        ("LG-031", "switch-order", ["300 mm", "700 mm"]),
        ("LG-041", "flange-rating-exceeded", ["class 300"]),
    ],
)
def test_values_as_they_should_be(
    found: dict[tuple[str, str], Finding], tag: str, rule: str, options: list[str]
) -> None:
    """12.5 mA over 1200 mm are 637.5 mm; 316L of class 300 carries 27.5 bar at 250 degC (ASME B16.5)."""
    made = remedy(found, tag, rule)
    values = [value for one in made.options for value in (one.value, *(more for _, more in one.along))]
    assert [*map(str, values)] == options
