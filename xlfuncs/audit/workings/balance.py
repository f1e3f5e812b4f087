"""The float balance, as the rules compute it."""

from __future__ import annotations

from math import isnan

import numpy as np

from xlfuncs.audit.registry import Hit
from xlfuncs.audit.working import Working
from xlfuncs.gauge import floats

BALANCE = "balance of weight and buoyancy (Archimedes)"
GEOMETRY = "geometry"
_DEPTH = {"flat": "0", "hemispherical": "d/2", "elliptical": "d/4"}
"""Depth of an end that is half of a spheroid."""


def shape(work: Working, ends: str) -> None:
    """Mass, size and volume of the float: m, d, L, A, V."""
    work.cell("m", "float_mass")
    work.cell("d", "float_diameter")
    work.cell("L", "float_length")
    stated = work.gauges.given("float_ends")[work.record]
    work.text("ends", "float_ends", default=ends)
    work.step("A", "cross-section of the float", "PI()/4*d^2", "m2", GEOMETRY)
    bottom, top = floats.split_ends(ends)
    if ends != "flat" or not stated:
        for which, letter in ((bottom, "b"), (top, "t")):
            _end(work, which, letter)
        work.step("V", "volume of the float", "A*(L-c_b-c_t)+V_b+V_t", "m3", GEOMETRY)
    else:
        work.step("V", "volume of the float", "A*L", "m3", GEOMETRY)


def _end(work: Working, which: str, letter: str) -> None:
    """Depth and volume of one end: c_b and V_b, or c_t and V_t."""
    side = "bottom" if letter == "b" else "top"
    if which in _DEPTH:
        work.step(f"c_{letter}", f"depth of the {which} {side}", _DEPTH[which], "m", GEOMETRY)
        work.step(f"V_{letter}", f"volume of the {which} {side}", f"2/3*A*c_{letter}", "m3", GEOMETRY)
        return
    across = work.numbers["d"]
    depth = float(floats.ends_length(across, which)) / 2
    both = float(floats.volume(across, 2 * depth, which))
    source = "crown and knuckle in the proportions of DIN 28011 and DIN 28013"
    work.computed(
        f"c_{letter}", f"depth of the {which} {side}", depth, "m", "gauge.floats.ends_length", source
    )
    work.computed(
        f"V_{letter}", f"volume of the {which} {side}", both / 2, "m3", "gauge.floats.volume", source
    )


def densities(work: Working, lower: float, upper: float) -> None:
    """The two fluids of one case: rho and rho_u [kg/m3], each from the cell in which it stands."""
    from xlfuncs.audit.gauges import DENSITIES

    _density(work, "rho", DENSITIES, lower)
    if work.gauges.given("upper_density")[work.record]:
        _density(work, "rho_u", ("upper_density",), upper)
    else:
        work.assume("rho_u", "density of the vapour above", upper, "kg/m3")


def _density(work: Working, symbol: str, names: tuple[str, ...], number: float) -> None:
    """The cell, and its end, that states a density."""
    for name in names:
        column = work.gauges.column(name)
        if not column.given[work.record]:
            continue
        for end in ("low", "high"):
            if float(getattr(column, end)[work.record]) == number:
                work.cell(symbol, name, end)
                return
    work.cell(symbol, names[0])


def immersion(work: Working, ends: str) -> None:
    """V_s, the volume below the surface, and h, the depth of the float's bottom."""
    work.step("V_s", "volume below the surface", "(m-rho_u*V)/(rho-rho_u)", "m3", BALANCE)
    now = work.numbers
    if floats.split_ends(ends) == ("flat", "flat"):
        work.step("h", "immersion", "V_s/A", "m", GEOMETRY)
    elif now["V_b"] <= now["V_s"] <= now["V"] - now["V_t"]:
        work.step("h", "immersion (surface at the straight part)", "c_b+(V_s-V_b)/A", "m", GEOMETRY)
    else:
        depth = floats.immersion(now["m"], now["d"], now["L"], now["rho"], now["rho_u"], ends)
        work.computed("h", "immersion (surface at an end)", float(depth), "m", "LG_IMMERSION", GEOMETRY)


def offset(work: Working, hit: Hit) -> None:
    """Reading offset against the tolerance."""
    ends, lower, upper = case_of(work, hit)
    shape(work, ends)
    work.cell("z", "magnet_height")
    densities(work, lower, upper)
    work.setting("e_max", "offset_tolerance_mm", 1e-3, "m")
    immersion(work, ends)
    work.step(
        "e", "reading offset: indicated minus true", "z-h", "m", "the indicator follows the magnet plane"
    )
    work.judge("ABS(e)>e_max", "e", "e_max", note_of_shape(work))


def case_of(work: Working, hit: Hit) -> tuple[str, float, float]:
    """Shape of the ends and the two densities of the case that the finding names."""
    lower, upper = (
        float(hit.evidence.get(name, np.nan)) for name in ("density_kg_m3", "upper_density_kg_m3")
    )
    stated = work.gauges.given("float_ends")[work.record]
    ends = str(work.gauges.ends[work.record]) if stated else str(hit.evidence.get("ends", "flat"))
    return ends, lower, 0.0 if isnan(upper) else upper


def note_of_shape(work: Working) -> str:
    """That a shape was taken, where none is stated."""
    if work.gauges.given("float_ends")[work.record]:
        return ""
    return (
        "No shape of ends is stated: this is the one that reads nearest to the truth; the others read worse."
    )
