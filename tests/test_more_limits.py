"""Limits of rules that take a whole computation to reach, on both sides; numbers that cannot be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.rows import save
from tests.test_rule_edges import WORST, several
from tests.test_rule_limits import fires
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import response, strength
from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement

HEAVY = {"fluid": "Blend 7", "fluid_density": "880 kg/m3", "upper_density": "0 kg/m3", "level_rate": None}


def lag(viscosity: float, rate: float = 0.010) -> float:
    """Lag [mm] of the sound float, 350 g and 50 x 250 mm, in a bore of 60 mm."""
    found = response.lag(
        Float(0.350, 0.05, 0.25), Fluids(880.0, 0.0, viscosity), Chamber(0.06), Movement(rate)
    )
    return float(found) * 1e3


def viscosity_for(limit: float, rate: float = 0.010) -> float:
    """Viscosity [mPa.s] with which the float lags by so much."""
    low, high = 1e-4, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if lag(middle, rate) <= limit else (low, middle)
    return low * 1e3


def test_a_float_may_lag_by_the_tolerance_at_the_usual_rate() -> None:
    thick = viscosity_for(10.0)
    assert fires("float-lags", HEAVY | {"viscosity": f"{thick * 0.999:.6f} mPa.s"}) == []
    assert len(fires("float-lags", HEAVY | {"viscosity": f"{thick * 1.001:.6f} mPa.s"})) == 1
    at_limit = HEAVY | {"viscosity": f"{thick:.6f} mPa.s"}
    assert fires("float-lags", at_limit | {"level_rate": "9.9 mm/s"}) == []
    assert len(fires("float-lags", at_limit | {"level_rate": "10.1 mm/s"})) == 1
    other = viscosity_for(10.0, 0.020)
    slow = Settings(level_rate_mm_s=20.0)
    assert fires("float-lags", HEAVY | {"viscosity": f"{other * 0.999:.6f} mPa.s"}, slow) == []
    assert len(fires("float-lags", HEAVY | {"viscosity": f"{other * 1.001:.6f} mPa.s"}, slow)) == 1


ROUND = {"float_ends": "hemispherical", "magnet_height": "190.6 mm", "float_wall": "0.5 mm"}


@pytest.mark.parametrize("factor", [3.0, 2.0])
def test_a_float_bears_its_collapse_pressure_over_the_safety_factor(factor: float) -> None:
    collapse = float(strength.permitted_pressure(0.05, 0.0005, 0.25, "316L", 393.15, "hemispherical", 1.0))
    permitted = collapse / factor / 1e5
    settings = Settings(safety_factor=factor)
    assert (
        fires("float-collapses", ROUND | {"design_pressure": f"{permitted * 0.999:.6f} barg"}, settings) == []
    )
    assert (
        len(fires("float-collapses", ROUND | {"design_pressure": f"{permitted * 1.001:.6f} barg"}, settings))
        == 1
    )


@pytest.mark.parametrize("density", ["940 kg/m3", "1029 kg/m3"])
def test_the_worst_reading_may_be_the_tolerance(density: str) -> None:
    cells = WORST | {"fluid_density": density}
    slug = "worst-reading-exceeds-tolerance"
    (hit,) = fires(slug, cells)
    worst = abs(float(hit.evidence["worst_reading_mm"]))
    assert fires(slug, cells, Settings(offset_tolerance_mm=worst + 0.06)) == []
    assert len(fires(slug, cells, Settings(offset_tolerance_mm=worst - 0.06))) == 1


TOO_HOT: list[tuple[dict[str, str], dict[str, str]]] = [
    ({"float_max_temperature": "90 degC"}, {"float_max_temperature": "89.9 degC"}),
    ({"magnet_max_temperature": "90 degC"}, {"magnet_max_temperature": "89.9 degC"}),
    # highest surface temperatures of T4, T5, T6: 135, 100, 85 degC (IEC 60079-0)
    ({"sheath_temperature": "135 degC"}, {"sheath_temperature": "135.1 degC"}),
    (
        {"temperature_class": "T5", "sheath_temperature": "100 degC"},
        {"temperature_class": "T5", "sheath_temperature": "100.1 degC"},
    ),
    (
        {"temperature_class": "T6", "sheath_temperature": "85 degC"},
        {"temperature_class": "T6", "sheath_temperature": "85.1 degC"},
    ),
]


@pytest.mark.parametrize(("within", "beyond"), TOO_HOT)
def test_a_tracer_may_be_as_hot_as_what_stands_beside_it(
    within: dict[str, str], beyond: dict[str, str]
) -> None:
    far = {"transmitter_max_temperature": "300 degC"}
    assert fires("tracing-too-hot", far | within) == []
    assert len(fires("tracing-too-hot", far | beyond)) == 1


@pytest.mark.parametrize(
    ("field", "within", "beyond"),
    [
        ("operating_temperature", "-273.1 degC", "-273.2 degC"),
        ("design_temperature", "1026.8 degC", "1026.9 degC"),
        ("operating_pressure", "-1.013 barg", "-1.014 barg"),
        ("design_pressure", "1000 barg", "1001 barg"),
        ("fluid_density", "50 kg/m3", "49.9 kg/m3"),
        ("fluid_density", "14000 kg/m3", "14001 kg/m3"),
        ("fluid_density", "0.87 SG", "870 SG"),
        ("upper_density", "0 kg/m3", "-1 kg/m3"),
        ("float_diameter", "5 mm", "4.9 mm"),
        ("float_diameter", "500 mm", "-50 mm"),
        ("float_mass", "1 g", "-350 g"),
        ("float_length", "2000 mm", "2001 mm"),
        ("visible_range", "20 mm", "-1000 mm"),
        ("connection_distance", "60 m", "60.1 m"),
        ("viscosity", "0.001 mPa.s", "-1 mPa.s"),
        ("stated_current", "25 mA", "25.1 mA"),
        ("tracer_output", "0 W/m", "-1 W/m"),
        ("level_rate", "0 mm/s", "-1 mm/s"),
    ],
)
def test_a_number_that_cannot_be_is_implausible_and_no_other(field: str, within: str, beyond: str) -> None:
    slug = "value-implausible"
    assert [hit.message for hit in fires(slug, {field: within})] == []
    (hit,) = fires(slug, {field: beyond})
    assert hit.field == field


@pytest.mark.parametrize("text", ["about nine", "8,80.5,1 kg/m3", "12 bananas"])
def test_what_was_not_understood_is_not_implausible(text: str) -> None:
    assert several("value-implausible", [{"fluid_density": text}])[0] == []


def test_floats_of_two_gauges_have_two_serials() -> None:
    def reused(*serials: Any) -> list[str]:
        rows = [{"tag": f"LG-{i}", "float_serial": serial} for i, serial in enumerate(serials)]
        return [hit.tag for hit in several("serial-reused", rows)[0]]

    assert reused("F-71", "F-72", "F-73") == []
    assert reused("F-71", "F-72", "F-71") == ["LG-2"]
    assert reused("F-71", None, None) == []
    assert reused("F-71", "-", "-") == []


@pytest.mark.parametrize(
    ("heading", "one", "same", "other"),
    [
        # 0.5 % and 10 mbar, 0.5 %, 0.6 K, 0.5 % and 0.6 mm: what rounding in another unit explains
        ("Design pressure barg", 10, 10.06, 10.07),
        ("Density kg/m3", 880, 884.4, 884.5),
        ("Design temp degC", 120, 120.59, 120.61),
        ("Centre to centre mm", 1000, 1005.6, 1005.7),
    ],
)
def test_two_documents_agree_but_for_rounding(
    heading: str, one: float, same: float, other: float, tmp_path: Path
) -> None:
    def differing(stated: float) -> list[tuple[str, str]]:
        index: list[list[Any]] = [["Tag", "Fluid", heading], ["LG-1", "Oil", one], ["LG-2", "Oil", one]]
        process: list[list[Any]] = [
            ["Tag", "Service", heading],
            ["LG-1", "Feed", one],
            ["LG-2", "Feed", stated],
        ]
        result = audit_book(save(tmp_path / "two.xlsx", Index=index, Process=process))
        return [(hit.rule, hit.tag) for hit in result.findings if hit.rule == "documents-disagree"]

    assert differing(same) == []
    assert differing(other) == [("documents-disagree", "LG-2")]


def test_a_tag_of_one_document_alone_is_an_orphan(tmp_path: Path) -> None:
    index: list[list[Any]] = [
        ["Tag", "Fluid", "Density kg/m3"],
        *([f"LG-{i}", "Oil", 880] for i in (1, 2, 3)),
    ]
    process: list[list[Any]] = [
        ["Tag", "Service", "Op press barg"],
        *([f"LG-{i}", "Feed", 5] for i in (1, 2, 3)),
    ]
    both = audit_book(save(tmp_path / "both.xlsx", Index=index, Process=process))
    assert "document-orphan" not in {hit.rule for hit in both.findings}
    less = audit_book(save(tmp_path / "less.xlsx", Index=index, Process=process[:-1]))
    assert [hit.tag for hit in less.findings if hit.rule == "document-orphan"] == ["LG-3"]


@pytest.mark.parametrize(("rows", "wrong", "found"), [(10, 1, 1), (6, 3, 3), (5, 3, 0), (3, 2, 0)])
def test_a_float_that_carries_its_gauge_s_serial_is_missed_where_another_does(
    rows: int, wrong: int, found: int, tmp_path: Path
) -> None:
    """From half of the rows on a column of the gauges' serials is no column of the floats' own."""
    cells: list[list[Any]] = [["Tag", "Gauge serial", "Float serial", "Fluid", "Density kg/m3"]]
    for i in range(rows):
        of_float = f"S{2000 + i}" if i < wrong else f"S{1000 + i}"
        cells.append([f"LG-{i}", f"S{1000 + i}", of_float, "Oil", 880])
    result = audit_book(save(tmp_path / "serials.xlsx", Index=cells))
    tags = [one.tag for one in result.findings if one.rule == "serial-mismatch"]
    assert tags == [f"LG-{i}" for i in range(found)]
