"""Every option of a remedy about floats, scales and lags, taken: the finding is gone, and none is new."""

from __future__ import annotations

import math
from collections import Counter
from random import Random
from typing import Any

from tests.remedies_hold import Tried, concerned, tried
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import rules
from xlfuncs.audit.settings import Settings

FLOAT = (
    *("float_part", "float_mass", "float_diameter", "float_length", "float_ends", "magnet_height"),
    *("float_max_pressure", "float_max_temperature", "magnet_max_temperature", "float_material"),
    *("float_wall", "float_service"),
)
GAUGES = 12


def plant(seed: int) -> list[dict[str, Any]]:
    """Gauges whose floats were made for about their liquids, too roughly for many of them."""
    draw = Random(seed)
    rows = []
    for number in range(GAUGES):
        interface = draw.random() < 0.4
        rho = draw.uniform(560, 1250)
        upper = rho - draw.uniform(60, 300) if interface else draw.choice((0.0, 4.0, 12.0))
        wide = rho * draw.choice((0.0, 0.004, 0.015, 0.04))
        across, long = draw.choice((50.0, 60.3, 76.1)), draw.choice((220.0, 280.0, 340.0))
        plane = long * draw.uniform(0.5, 0.8)
        area, kilo = math.pi / 4 * (across / 1e3) ** 2, 1e-3
        mass = area * kilo * (rho * plane + upper * (long - plane)) * draw.uniform(0.93, 1.07)
        rows.append(
            {
                "tag": f"LG-{number + 1:03d}",
                "service_type": "interface" if interface else "level",
                "fluid": "Blend 7",
                "fluid_density": f"{rho - wide:.1f} to {rho + wide:.1f} kg/m3",
                "upper_density": f"{upper:.1f} kg/m3",
                "operating_temperature": f"{draw.uniform(10, 140):.0f} degC",
                "design_temperature": "150 degC",
                "design_pressure": f"{draw.choice((4, 8, 14, 30))} barg",
                "test_pressure": "45 barg" if draw.random() < 0.2 else None,
                "viscosity": f"{draw.choice((0.5, 5, 40, 200, 900))} mPa.s",
                "chamber_bore": f"{across + draw.choice((9, 12, 20))} mm",
                "float_part": f"KX-{number + 1}",
                "float_mass": f"{1e3 * mass:.1f} g",
                "float_diameter": f"{across} mm",
                "float_length": f"{long:.0f} mm",
                "float_ends": draw.choice(("flat", "hemispherical")),
                "magnet_height": f"{plane:.1f} mm",
                "float_max_pressure": f"{draw.choice((6, 40, 40, 60))} barg",
                "float_max_temperature": f"{draw.choice((120, 180, 250, 250))} degC",
                "magnet_max_temperature": "250 degC",
                "float_material": "316L" if number % 6 == 0 else None,
                "float_wall": "0.8 mm",
                "float_service": "interface" if interface else "level",
            }
        )
    return rows


def taken(rows: list[dict[str, Any]], **settings: Any) -> list[Tried]:
    index = {name: [row.get(name) for row in rows] for name in rows[0] if name not in FLOAT[1:]}
    floats = {name: [row.get(name) for row in rows] for name in FLOAT}
    used = Settings(**settings)
    return list(tried(gauges_of(index, floats, used), used))


METAL = {"float-collapses"}
"""Rules that ask for the float's metal."""


def wrong(found: list[Tried]) -> list[Tried]:
    return [one for one in found if one.stays or one.new]


def test_what_a_remedy_proposes_mends_its_finding_and_brings_no_other() -> None:
    found = [*taken(plant(0)), *taken(plant(3))]
    assert wrong(found) == []
    kinds = Counter(one.kind for one in found)
    for kind in ("listed", "float_mass", "magnet_height", "scale", "viscosity", "chamber_bore", "level_rate"):
        assert kinds[kind] >= 2, kinds
    assert kinds["wider tolerance"] >= 1, kinds


def test_the_remedies_of_the_examples_of_the_rules_hold() -> None:
    """Without the float's metal: a float that is sized takes a second."""
    firing = [row for item in concerned() if item.slug not in METAL for row in item.firing]
    rows = [
        {**SOUND, "tag": f"LG-{number:03d}", "float_part": f"ZF-{number}", "float_material": None, **row}
        for number, row in enumerate(firing)
    ]
    names = list(dict.fromkeys(name for row in rows for name in row))
    columns = {name: [row.get(name) for row in rows] for name in names}
    found = list(tried(gauges_of(columns), Settings()))
    assert wrong(found) == []
    slugs = {item.slug for item in concerned()}
    assert {one.rule for one in found} >= slugs - METAL - {"float-not-in-list", "wetted-material-unfit"}


def test_the_rules_whose_remedy_is_a_float_are_known() -> None:
    assert (
        {"float-lags", "worst-reading-exceeds-tolerance", "offset-exceeds-tolerance"}
        <= {item.slug for item in concerned()}
        <= set(rules())
    )
