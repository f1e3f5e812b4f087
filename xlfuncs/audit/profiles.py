"""What is known of each gauge that has a finding, for the drawings and charts of a report."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.remedies.values import SWITCHES
from xlfuncs.audit.rules.float_fluid.shared import nearest_ends
from xlfuncs.audit.rules.strength.float_collapses import permitted_pressures
from xlfuncs.audit.rules.strength.shared import ratings_of_flanges
from xlfuncs.audit.settings import Settings
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import floats, fluids, viscosity

MOST = 2000
"""Gauges described at the most: a report with more is read by its lists, not by its drawings."""

_LENGTHS = {
    "float_diameter": "float_diameter_mm",
    "float_length": "float_length_mm",
    "magnet_height": "magnet_height_mm",
    "chamber_bore": "chamber_bore_mm",
    "connection_distance": "connection_distance_mm",
    "visible_range": "visible_range_mm",
    "visible_low": "visible_low_mm",
    "scale_zero": "scale_zero_mm",
    "lrv": "lrv_mm",
    "urv": "urv_mm",
}
_TEXTS = ("area", "service", "fluid", "float_part")
_PRESSURES = {
    "operating": "operating_pressure",
    "design": "design_pressure",
    "test": "test_pressure",
    "float_max": "float_max_pressure",
}


def profiles(gauges: Gauges, settings: Settings, records: Iterable[int]) -> list[dict[str, Any]]:
    """One dict for each of the gauges, in the units that a drawing shows; what is unknown is left out.

    Keys: tag, sheet, row and the texts; lengths in mm; densities in kg/m3; `density_window`; `pressures`
    in bar gauge; `switches` with their set points; `viscosity` with its curve over temperature.
    """
    wanted = sorted(set(records))[:MOST]
    if not wanted:
        return []
    permitted = permitted_pressures(gauges, settings)
    flanges = ratings_of_flanges(gauges, np.isin(np.arange(gauges.n), wanted))
    lowest, highest = gauges.densities
    nominal = np.where(
        np.isnan(gauges.si("fluid_density")), (lowest + highest) / 2, gauges.si("fluid_density")
    )
    mass, diameter, length, _ = gauges.float_shape
    ends = nearest_ends(gauges)
    plane = gauges.si("magnet_height")
    tolerance = settings.offset_tolerance_mm / 1e3
    body = mass[wanted], diameter[wanted], length[wanted]
    fluid = gauges.upper[wanted], ends[wanted]
    depth = np.asarray(floats.immersion(*body, nominal[wanted], *fluid))
    low, high = floats.density_window(*body, plane[wanted], tolerance, *fluid)
    lows, highs = np.broadcast_to(low, len(wanted)), np.broadcast_to(high, len(wanted))
    curves = _curves(gauges, wanted)
    out = []
    for at, i in enumerate(wanted):
        numbers: dict[str, Any] = {key: gauges.si(name)[i] * 1e3 for name, key in _LENGTHS.items()}
        numbers |= {
            "float_mass_kg": mass[i],
            "lower_density": nominal[i],
            "lower_density_min": lowest[i],
            "lower_density_max": highest[i],
            "upper_density": gauges.upper[i],
            "immersion_mm": depth[at] * 1e3,
            "reading_offset_mm": (plane[i] - depth[at]) * 1e3,
        }
        pressures = {key: gauges.high(name)[i] / 1e5 for key, name in _PRESSURES.items()}
        pressures |= {
            "permitted": permitted[i] / 1e5,
            "collapse": permitted[i] * settings.safety_factor / 1e5,
            "flange": flanges[i] / 1e5,
        }
        switches = {name.removeprefix("switch_").upper(): gauges.si(name)[i] * 1e3 for name in SWITCHES}
        texts = {name: str(gauges.texts(name)[i]) for name in _TEXTS}
        entry: dict[str, Any] = {
            "tag": gauges.tag(i),
            "sheet": str(gauges.sheet[i]),
            "row": int(gauges.row[i]),
        }
        entry |= {name: text for name, text in texts.items() if text} | _known(numbers)
        entry |= {
            "float_ends": str(ends[i]),
            "interface": bool(gauges.interface[i]),
            "tolerance_mm": settings.offset_tolerance_mm,
        }
        window = [float(lows[at]), float(highs[at])]
        if all(math.isfinite(density) for density in window):
            entry["density_window"] = window
        for key, values in (("pressures", pressures), ("switches", switches)):
            if kept := _known(values):
                entry[key] = kept
        if thickness := _viscosity(gauges, settings, i, curves.get(i, [])):
            entry["viscosity"] = thickness
        out.append(entry)
    return out


def _known(values: dict[str, Any]) -> dict[str, float]:
    return {key: float(value) for key, value in values.items() if math.isfinite(value)}


def _viscosity(gauges: Gauges, settings: Settings, record: int, curve: list[list[float]]) -> dict[str, Any]:
    """Operating viscosity, its limit, and the curve of a recognised pure fluid."""
    stated = float(gauges.si("viscosity")[record] * 1e3)
    kelvin = float(gauges.si("operating_temperature")[record])
    found: dict[str, Any] = {"limit": settings.viscosity_limit_mpas}
    if math.isfinite(stated) and math.isfinite(kelvin):
        found["operating"] = [kelvin - ZERO_CELSIUS, stated]
    pour = float(gauges.si("pour_point")[record])
    if math.isfinite(pour):
        found["pour_point"] = pour - ZERO_CELSIUS
    if curve:
        found["curve"] = curve
    return found if {"operating", "curve"} & set(found) else {}


def _curves(gauges: Gauges, wanted: list[int]) -> dict[int, list[list[float]]]:
    """[degC, mPa.s] of each gauge's fluid around its operating temperature, where its fluid is recognised."""
    kelvin = gauges.si("operating_temperature")
    usual = [i for i in wanted if gauges.known_fluid[i] and math.isfinite(kelvin[i])]
    if not usual:
        return {}
    names, middle = gauges.texts("fluid")[usual], kelvin[usual]
    frozen = fluids.freezing_temperature(names)
    start = np.fmax(frozen + 1.0, middle - 60.0)
    grid = np.linspace(start, middle + 40.0, 25, axis=1)
    curve = np.asarray(viscosity.liquid_viscosity(names[:, None], grid)) * 1e3
    points = np.stack([grid - ZERO_CELSIUS, curve], axis=2)
    return {i: points[at][np.isfinite(curve[at])].tolist() for at, i in enumerate(usual)}
