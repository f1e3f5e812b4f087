"""The physics behind the truth of the workbooks: its own, so that nothing is compared with itself.

Floats are dicts in mm, g and kg/m3 (`gauges.make_float`), pressures are barg, temperatures degC. Properties
of pure fluids are CoolProp's (Bell, Wronski, Quoilin and Lemort, 2014).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

import CoolProp.CoolProp as CP

Float = dict[str, Any]
"""part, od, L, ends, mass, mag, wall, drho (made for), pmax, tmax, svc (level or interface), fmat."""

ATMOSPHERE: Final = 1.01325
"""bar"""
GRAVITY: Final = 9.81
"""m/s2"""


# --- floating ---------------------------------------------------------------------------------------


def displaced_volume(height: float, diameter: float, length: float, ends: str) -> float:
    """Volume below a height of a float that stands upright [mm3], by the geometry of the ellipsoid;
    'elliptical' is 2:1."""
    r = diameter / 2
    h = max(0.0, min(height, length))
    if ends == "flat":
        return math.pi * r * r * h
    a = r if ends == "hemispherical" else r / 2

    def cap(x: float) -> float:  # from the tip of an end up to x <= a
        return math.pi * r * r * (x * x / a - x**3 / (3 * a * a))

    if h <= a:
        return cap(h)
    full = cap(a)
    if h <= length - a:
        return full + math.pi * r * r * (h - a)
    return full + math.pi * r * r * (length - 2 * a) + full - cap(length - h)


def whole_volume(f: Float) -> float:
    """Of a float [mm3]."""
    return displaced_volume(f["L"], f["od"], f["L"], f["ends"])


def mean_density(f: Float) -> float:
    """Mass over volume [kg/m3]."""
    return float(f["mass"]) / whole_volume(f) * 1e6


def immersion(f: Float, density: float, upper: float = 0.0) -> float | None:
    """Depth of the float's bottom below the surface [mm], by Archimedes; None where it sinks or rises out."""
    whole = whole_volume(f)

    def lift(h: float) -> float:  # g
        below = displaced_volume(h, f["od"], f["L"], f["ends"])
        return (density * below + upper * (whole - below)) * 1e-6

    low, high = 0.0, float(f["L"])
    if lift(f["L"]) < f["mass"] or lift(0) > f["mass"]:
        return None
    for _ in range(80):
        middle = (low + high) / 2
        if lift(middle) < f["mass"]:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def floating(f: Float, density: float, upper: float = 0.0) -> float:
    """The immersion of a float that must float."""
    depth = immersion(f, density, upper)
    assert depth is not None, (f["part"], density)
    return depth


def reading_offset(f: Float, density: float, upper: float = 0.0) -> float | None:
    """Indicated less true level [mm]: the magnet plane above the surface."""
    depth = immersion(f, density, upper)
    return None if depth is None else float(f["mag"]) - depth


def float_lag(f: Float, viscosity: float, density: float, bore: float, rate: float = 10.0) -> float:
    """Upper bound of the lag behind a moving level [mm]: what the float displaces flows through the annulus
    as between parallel plates (plane Poiseuille flow), and its pressure drop is a head. `viscosity` mPa.s,
    `rate` mm/s. Derived here."""
    diameter = float(f["od"])
    gap = (bore - diameter) / 2
    depth = floating(f, density)
    return (
        3
        * viscosity
        * 1e-3
        * (rate * 1e-3)
        * (diameter * 1e-3)
        * (depth * 1e-3)
        / (density * GRAVITY * (gap * 1e-3) ** 3)
        * 1e3
    )


# --- strength ---------------------------------------------------------------------------------------

_CELSIUS: Final = (38, 50, 100, 150, 200, 250, 300)
_RATINGS: Final[Mapping[tuple[str, int], tuple[float, ...]]] = {
    ("1.1", 150): (19.6, 19.2, 17.7, 15.8, 13.8, 12.1, 10.2),
    ("1.1", 300): (51.1, 50.1, 46.6, 45.1, 43.8, 41.9, 39.8),
    ("1.1", 600): (102.1, 100.2, 93.2, 90.2, 87.6, 83.9, 79.6),
    ("2.1", 150): (19.0, 18.3, 15.7, 14.2, 13.2, 12.1, 10.2),
    ("2.1", 300): (49.6, 47.8, 40.9, 37.0, 34.5, 32.5, 30.9),
    ("2.2", 150): (19.0, 18.4, 16.2, 14.8, 13.7, 12.1, 10.2),
    ("2.2", 300): (49.6, 48.1, 42.2, 38.5, 35.7, 33.4, 31.6),
    ("2.2", 600): (99.3, 96.2, 84.4, 77.0, 71.3, 66.8, 63.2),
    ("2.2", 900): (148.9, 144.3, 126.6, 115.5, 107.0, 100.1, 94.9),
    ("2.3", 150): (15.9, 15.3, 13.3, 12.0, 11.2, 10.5, 10.0),
    ("2.3", 300): (41.4, 40.0, 34.8, 31.4, 29.2, 27.5, 26.1),
    ("2.3", 600): (82.7, 80.0, 69.6, 62.8, 58.3, 54.9, 52.1),
    ("2.3", 900): (124.1, 120.1, 104.4, 94.2, 87.5, 82.4, 78.1),
    ("2.3", 1500): (206.8, 200.1, 173.9, 157.0, 145.8, 137.3, 130.2),
}
"""Material group and class -> barg at `_CELSIUS`. ASME B16.5, tables 2-1.1 to 2-2.3; from memory."""


def flange_rating(group: str, flange_class: int, temperature: float) -> float:
    """Pressure that a flange may bear [barg], between the lines of the table by straight lines."""
    values = _RATINGS[group, flange_class]
    t = max(float(_CELSIUS[0]), temperature)
    for i in range(len(_CELSIUS) - 1):
        if t <= _CELSIUS[i + 1]:
            share = (t - _CELSIUS[i]) / (_CELSIUS[i + 1] - _CELSIUS[i])
            return values[i] + (values[i + 1] - values[i]) * share
    raise ValueError(f"no rating at {temperature} degC")


def collapse_pressure(
    f: Float, modulus: float = 105e3, poisson: float = 0.37, strength: float = 275.0
) -> float:
    """Pressure that crushes the shell between the ends [bar]: elastic buckling (Windenburg and Trilling,
    Trans. ASME 56, 1934) or yield, whichever is lower. MPa; titanium grade 2, from memory."""
    t, d = f["wall"], f["od"]
    ends = {"flat": 0.0, "hemispherical": d * 2 / 3}.get(f["ends"], d / 3)
    length = f["L"] - ends
    buckling = (
        2.42
        * modulus
        / (1 - poisson * poisson) ** 0.75
        * (t / d) ** 2.5
        / (length / d - 0.45 * (t / d) ** 0.5)
    )
    return 10 * float(min(buckling, 2 * strength * t / d))


# --- fluids -----------------------------------------------------------------------------------------


def liquid_density(fluid: str, t: float, p: float | None = None) -> float:
    """kg/m3, at saturation where no pressure is given."""
    if p is None:
        return float(CP.PropsSI("D", "T", t + 273.15, "Q", 0, fluid))
    return float(CP.PropsSI("D", "T", t + 273.15, "P", (p + ATMOSPHERE) * 1e5, fluid))


def vapour_density(fluid: str, t: float) -> float:
    """kg/m3 at saturation."""
    return float(CP.PropsSI("D", "T", t + 273.15, "Q", 1, fluid))


def saturation_pressure(fluid: str, t: float) -> float:
    """barg"""
    return float(CP.PropsSI("P", "T", t + 273.15, "Q", 0, fluid)) / 1e5 - ATMOSPHERE


def saturation_temperature(fluid: str, p: float) -> float:
    """degC"""
    return float(CP.PropsSI("T", "P", (p + ATMOSPHERE) * 1e5, "Q", 0, fluid)) - 273.15


def water_density(t: float, p: float | None = None) -> float:
    """kg/m3, to one decimal as people write it."""
    return round(liquid_density("Water", t, p), 1)
