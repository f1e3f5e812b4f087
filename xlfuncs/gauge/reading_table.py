"""The worst reading as a table for a sheet: each effect with its share."""

from __future__ import annotations

from collections.abc import Sequence

from xlfuncs.gauge.model import NAN, Chamber, Float, Fluids, Gauge, Movement, Spread
from xlfuncs.gauge.worst import EFFECTS, worst_reading

_NOTES = {
    "chamber": "level in the chamber less that in the vessel",
    "offset": "float balance at the case's densities",
    "heat": "float and scale at temperature",
    "wear": "loss of wall",
    "tilt": "the float leans in its bore",
    "friction": "what holds the float",
    "capillary": "contact line",
    "movement": "the moving liquid, and the loss in the connections",
    "uncertainty": "twice the standard uncertainty",
}


def reading_table(
    level: float,
    mass: float,
    diameter: float,
    length: float,
    magnet_height: float,
    lower_density_min: float,
    lower_density_max: float | None = None,
    upper_density_min: float = 0.0,
    upper_density_max: float | None = None,
    ends: str = "flat",
    drag_force: float = 0.0,
    viscosity: float | None = None,
    chamber_bore: float | None = None,
    level_rate: float = 0.010,
    nozzle_bore: float | None = None,
    nozzle_length: float | None = None,
    surface_tension: float | None = None,
    temperature: float | None = None,
    float_material: str = "",
    chamber_material: str = "",
    u_mass: float = 0.0,
    u_diameter: float = 0.0,
    u_magnet_height: float = 0.0,
    u_density: float = 0.0,
    vessel_density: float | None = None,
) -> list[list[str | float]]:
    """`worst_reading` for every pair of the lowest and highest densities, as rows; scalars.

    Headings first: effect, its share in the lowest and in the highest reading [mm], what it is. What is not
    counted follows by name. A row of NaN with the reason where a case has no reading.
    """
    lower = _pair(lower_density_min, lower_density_max)
    upper = _pair(upper_density_min, upper_density_max)
    shared = (_nan(viscosity), _nan(surface_tension), _nan(temperature))
    cases = tuple(
        Fluids(low, high, *shared, vessel_density=_nan(vessel_density)) for low in lower for high in upper
    )
    gauge = Gauge(
        Float(mass, diameter, length, magnet_height, ends, metal=float_material),
        cases,
        Chamber(
            _nan(chamber_bore),
            chamber_material,
            nozzle_bore=_nan(nozzle_bore),
            nozzle_length=_nan(nozzle_length),
        ),
        Movement(level_rate, drag_force),
        Spread(u_mass, u_diameter, u_magnet_height, u_density),
    )
    found = worst_reading(gauge, level)
    headings: list[str | float] = ["effect", "lowest, mm", "highest, mm", "remark"]
    rows = [headings]
    rows.append(["reading", 1e3 * float(found.low), 1e3 * float(found.high), "worst of every case"])
    rows.append(["level", 1e3 * level, 1e3 * level, "in the vessel"])
    for name in EFFECTS:
        shares = (1e3 * float(found.low_shares[name]), 1e3 * float(found.high_shares[name]))
        rows.append([name, *shares, _NOTES[name]])
    for text in found.missing:
        effect, _, what = text.partition(": ")
        rows.append(["not counted", "", "", f"{effect}: {what.replace('_', ' ')} not stated"])
    return rows


def _nan(value: float | None) -> float:
    return NAN if value is None else float(value)


def _pair(low: float, high: float | None) -> Sequence[float]:
    return (low,) if high is None or high == low else (low, high)
