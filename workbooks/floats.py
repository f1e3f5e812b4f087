"""Invented floats, consistent with physics: what a list states follows from the float's build."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from xlfuncs.gauge.strength import permitted_flat_end_pressure, permitted_pressure
from xlfuncs.worksheet import call

METAL_DENSITY = {"titanium grade 2": 4510.0, "316L": 7980.0, "alloy 625": 8440.0}
"""kg/m3, from memory of handbook tables; only the invented masses rest on it."""

MAGNET_LIMIT = {"AlNiCo": 400, "SmCo": 250, "NdFeB": 80}
"""degC that the invented list states; within `LG_MAGNET_LIMIT`."""

METAL_LIMIT = {"titanium grade 2": 300, "316L": 350, "alloy 625": 400}
"""degC; within the tables of the strength functions."""


@dataclass(frozen=True)
class Float:
    """Lengths in mm, masses in g, densities in kg/m3, pressure in barg, temperature in degC."""

    part: str
    material: str
    ends: str
    diameter: float
    length: float
    wall: float
    magnet: str
    inside: float
    """Mass of magnets, holder and ballast."""
    design_density: float
    upper_density: float = 0.0
    end_wall: float = 4.0
    """Flat ends only."""
    instead: dict[str, Any] = field(default_factory=dict)
    """What a list states otherwise."""

    @property
    def service(self) -> str:
        return "interface" if self.upper_density > 100 else "level"

    @cached_property
    def mass(self) -> int:
        """Shell, ends and what is inside, to the gram."""
        r, ends = (self.diameter - self.wall) / 2, self.ends
        if ends == "flat":
            metal = 2 * math.pi * r * (self.length - 2 * self.end_wall) * self.wall
            metal += 2 * math.pi / 4 * self.diameter**2 * self.end_wall
        else:
            # area of both ends: sphere, or oblate spheroid with half-axes r and r/2
            e = math.sqrt(0.75)
            round_ends = 4 if ends == "hemispherical" else 2 * (1 + 0.25 / e * math.atanh(e))
            straight = self.length - (self.diameter if ends == "hemispherical" else self.diameter / 2)
            metal = (2 * math.pi * r * straight + round_ends * math.pi * r**2) * self.wall
        return round(metal * METAL_DENSITY[self.material] * 1e-6 + self.inside)

    @cached_property
    def magnet_height(self) -> float:
        """Where the float reads true at its design density, to half a millimetre."""
        height = call(
            "LG_MAGNET_HEIGHT",
            *(self.mass, self.diameter, self.length, self.design_density, self.upper_density, self.ends),
        )
        return round(float(height) * 2) / 2

    @property
    def max_temperature(self) -> int:
        return min(MAGNET_LIMIT[self.magnet], METAL_LIMIT[self.material])

    @cached_property
    def max_pressure(self) -> float:
        """Permitted pressure of shell and ends at the maximum temperature, down to a whole half bar."""
        t = self.max_temperature
        d, w, length, end_wall = (x / 1e3 for x in (self.diameter, self.wall, self.length, self.end_wall))
        pascal = float(permitted_pressure(d, w, length, self.material, t + 273.15, self.ends))
        if self.ends == "flat":
            ends = permitted_flat_end_pressure(d, w, end_wall, self.material, t + 273.15)
            pascal = min(pascal, float(ends))
        return math.floor(pascal / 0.5e5) / 2


TI, SS, NI = "titanium grade 2", "316L", "alloy 625"
HEMI, ELLIP, FLAT = "hemispherical", "elliptical", "flat"

FLOATS = (
    # level floats, from light to dense liquids
    Float("KV-101", TI, HEMI, 60, 320, 1.0, "SmCo", 66, 572, 9),
    Float("KV-102", TI, HEMI, 60, 300, 1.2, "SmCo", 66, 618, 4),
    Float("KV-103", TI, ELLIP, 60, 300, 1.2, "AlNiCo", 74, 655, 2),
    Float("KV-104", SS, HEMI, 60, 320, 0.8, "SmCo", 60, 660, 3),
    Float("KV-105", TI, HEMI, 50, 300, 1.2, "AlNiCo", 78, 780, 3),
    Float("KV-106", SS, HEMI, 60, 300, 0.8, "NdFeB", 88, 785, 2),
    Float("KV-107", TI, FLAT, 50, 280, 1.0, "SmCo", 92, 850, 2),
    Float("KV-108", TI, HEMI, 50, 300, 1.5, "AlNiCo", 80, 862, 5),
    Float("KV-109", SS, ELLIP, 60, 300, 1.0, "SmCo", 84, 865, 3),
    Float("KV-110", SS, HEMI, 60, 300, 1.0, "AlNiCo", 96, 905, 4),
    Float("KV-111", NI, HEMI, 50, 300, 0.8, "SmCo", 92, 950, 4),
    Float("KV-112", TI, HEMI, 50, 300, 1.5, "AlNiCo", 118, 985, 5),
    Float("KV-113", SS, HEMI, 60, 280, 1.2, "SmCo", 92, 990, 5),
    Float("KV-114", SS, FLAT, 60, 300, 0.8, "NdFeB", 120, 995, 1, 5.0),
    Float("KV-115", SS, HEMI, 60, 300, 1.2, "SmCo", 150, 1055, 4),
    Float("KV-116", NI, HEMI, 60, 200, 1.0, "SmCo", 140, 1190, 6),
    # interface floats: ballast brings the mean density between the two liquids
    Float("KV-121", SS, HEMI, 60, 200, 0.8, "SmCo", 180, 995.8, 650),
    Float("KV-122", SS, HEMI, 60, 200, 0.8, "SmCo", 235, 995.8, 858),
    Float("KV-123", TI, HEMI, 50, 200, 1.0, "SmCo", 202, 1010, 880),
    Float("KV-124", NI, HEMI, 60, 240, 0.8, "AlNiCo", 322, 1180, 820),
    Float("KV-125", SS, ELLIP, 60, 200, 1.0, "SmCo", 143, 995.8, 694),
)
