"""Choice of a float as the worksheet calls it: a range with headings in, a table out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import IMPOSSIBLE, Refused
from xlfuncs.gauge.choice import Candidate, Condition, Duty, between, choose
from xlfuncs.gauge.sizing import Body
from xlfuncs.gauge.sizing import size_float as sized
from xlfuncs.worksheet.float_table import read_floats

START = "cold start-up"
NOTHING = "-"
"""In a cell without value: a sheet that keeps an empty text may take it for no result at all."""

HEADINGS = (
    "rank",
    "part",
    "verdict",
    "offset at lowest density, mm",
    "offset at highest density, mm",
    "within tolerance from, kg/m3",
    "within tolerance to, kg/m3",
    "least share above surface",
    "pressure margin, bar",
    "temperature margin, K",
    "movement, mm",
    "offset at cold start-up, mm",
    "remarks",
)


def _one(name: str, value: Any, absent: float = math.nan) -> float:
    """A single number; NaN (or `absent`) where the cell is blank."""
    if np.ndim(value):
        raise ValueError(f"{name}: give one cell, not a range")
    return absent if value is None else float(value)


def _operating(lowest: Any, highest: Any, upper: Any, viscosity: Any = None) -> tuple[Condition, ...]:
    above = _one("upper_density", upper)
    lower = (_one("lower_density_min", lowest), _one("lower_density_max", highest))
    return between(lower, (above, above), viscosity=_one("viscosity", viscosity))


def choose_float(
    floats: Sequence[Sequence[Any]],
    lower_density_min: float,
    lower_density_max: float,
    upper_density: float = 0.0,
    design_pressure: float | None = None,
    design_temperature: float | None = None,
    tolerance: float = 0.01,
    minimum_reserve: float = 0.1,
    viscosity: float | None = None,
    chamber_bore: float | None = None,
    level_rate: float = 0.01,
    cold_density: float | None = None,
    cold_upper_density: float | None = None,
    cold_viscosity: float | None = None,
    safety_factor: float = 3.0,
    ends: str | None = None,
    lowest_temperature: float | None = None,
) -> list[list[Any]]:
    """`xlfuncs.gauge.choice.choose` for a list in the sheet: one row for each float, the best first.

    SI numbers in; the table is in mm, kg/m3, bar and K. ValueError, whose text is the reason of the
    refusal, for a range that is no float list and for a duty that contradicts itself.
    """
    conditions = _operating(lower_density_min, lower_density_max, upper_density, viscosity)
    if cold_density is not None:
        conditions += (
            Condition(
                START,
                _one("cold_density", cold_density),
                _one("cold_upper_density", cold_upper_density, conditions[0].upper_density),
                operating=False,
                viscosity=_one("cold_viscosity", cold_viscosity),
            ),
        )
    duty = Duty(
        conditions,
        _one("design_pressure", design_pressure),
        _one("design_temperature", design_temperature),
        _one("tolerance", tolerance),
        _one("minimum_reserve", minimum_reserve),
        _one("chamber_bore", chamber_bore),
        _one("level_rate", level_rate),
        _one("safety_factor", safety_factor),
        lowest_temperature=_one("lowest_temperature", lowest_temperature),
    )
    rows = tuple(tuple(row) for row in floats)
    return [list(HEADINGS), *(list(row) for row in _chosen(rows, duty, ends))]


@lru_cache(maxsize=16)
def _chosen(rows: tuple[tuple[Any, ...], ...], duty: Duty, ends: str | None) -> list[list[Any]]:
    """Judged once, however many cells of a sheet show a part of the table."""
    return [_row(item) for item in choose(read_floats(rows, ends), duty)]


def _row(item: Candidate) -> list[Any]:
    lowest, highest = (item.offsets[name] for name in ("lowest density", "highest density"))
    row = [
        math.nan if item.rank is None else item.rank,
        item.part,
        item.verdict,
        1e3 * lowest,
        1e3 * highest,
        *item.window,
        min(item.shares.values()),
        item.pressure_margin / 1e5,
        item.temperature_margin,
        1e3 * item.movement,
        1e3 * item.offsets.get(START, math.nan),
        "; ".join((*item.reasons[1:], *item.remarks)) or NOTHING,
    ]
    return [NOTHING if isinstance(cell, float) and math.isnan(cell) else cell for cell in row]


_sized = lru_cache(maxsize=16)(sized)


def size_float(
    diameter: float,
    material: str,
    max_length: float,
    lower_density_min: float,
    lower_density_max: float,
    upper_density: float = 0.0,
    design_pressure: float | None = None,
    design_temperature: float | None = None,
    tolerance: float = 0.01,
    ends: str = "hemispherical",
    inside_mass: float = 0.0,
    minimum_reserve: float = 0.1,
    mass_allowance: float = 0.02,
    safety_factor: float = 3.0,
    corrosion_allowance: float = 0.0,
    chamber_bore: float | None = None,
    lowest_temperature: float | None = None,
) -> list[list[Any]]:
    """`xlfuncs.gauge.sizing.size_float` as a float list of one row, which LG_CHOOSE_FLOAT can read.

    `Refused` where there is no such float.
    """
    duty = Duty(
        _operating(lower_density_min, lower_density_max, upper_density),
        _one("design_pressure", design_pressure),
        _one("design_temperature", design_temperature),
        _one("tolerance", tolerance),
        _one("minimum_reserve", minimum_reserve),
        chamber_bore=_one("chamber_bore", chamber_bore),
        safety_factor=_one("safety_factor", safety_factor),
        corrosion=_one("corrosion_allowance", corrosion_allowance),
        lowest_temperature=_one("lowest_temperature", lowest_temperature),
    )
    body = Body(
        _one("diameter", diameter),
        str(material),
        _one("max_length", max_length),
        str(ends),
        _one("inside_mass", inside_mass),
    )
    found = _sized(duty, body, _one("mass_allowance", mass_allowance))
    if found.reason:
        raise Refused(found.reason, IMPOSSIBLE)
    return [
        [
            "part",
            "material",
            "ends",
            "mass, g",
            "diameter, mm",
            "length, mm",
            "wall, mm",
            "magnet height, mm",
            "maximum pressure, barg",
            "maximum temperature, degC",
            "metal, g",
            "flat end, mm",
            "possible up to, mm",
            "magnets and holder, g",
            "ballast, g",
            "metacentric height, mm",
        ],
        [
            "proposed",
            body.material,
            body.ends,
            *(1e3 * x for x in (found.mass, body.diameter, found.length, found.wall, found.magnet_height)),
            found.permitted_pressure / 1e5,
            found.temperature - ZERO_CELSIUS,
            1e3 * found.metal_mass,
            NOTHING if math.isnan(found.end_wall) else 1e3 * found.end_wall,
            *(1e3 * x for x in (found.longest, found.magnet_mass, found.ballast_mass)),
            1e3 * found.metacentric_height,
        ],
    ]
