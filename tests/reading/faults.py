"""Faults that the sets plant alike: each changes a sound gauge, checks by `physics` that it is at fault now,
and notes the rule, the cells to blame and why."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from tests.reading.physics import flange_rating, immersion, mean_density, reading_offset
from tests.reading.writing import Book, Gauge

DENSITY_STEPS: Final = (1.06, 1.08, 1.1, 0.93, 1.13, 0.9, 1.16, 0.88, 1.2, 1.25, 1.3, 1.4)
"""Of the fluid's density over the float's, tried in this order."""


def scale_ends(g: Gauge, density: float, digits: int | None = None) -> None:
    """Lowest and highest density, where they are stated, 1 % beside a new density."""
    for name, factor in (("rho_min", 0.99), ("rho_max", 1.01)):
        if g.get(name):
            g[name] = round(density * factor, digits)


# --- float and fluid --------------------------------------------------------------------------------


def plant_sinking(b: Book, g: Gauge) -> None:
    mean = mean_density(g["f"])
    g["rho"] = round(mean * 0.94 / 5) * 5.0
    scale_ends(g, g["rho"])
    assert immersion(g["f"], g["rho"], g.get("rho_u") or 0) is None
    b.fault(
        "float-sinks",
        g["tag"],
        ["rho", "mass", "part", "rho_min"],
        f"mean density {mean:.1f} kg/m3 > fluid {g['rho']:.1f}",
        ok=[
            "offset-exceeds-tolerance",
            "float-barely-floats",
            "design-density-mismatch",
            "density-range-reversed",
        ],
    )


def plant_offset(b: Book, g: Gauge, least: float = 17) -> None:
    """The fluid's density is another than the float's, by what shows at least so many mm."""
    f = g["f"]
    for step in DENSITY_STEPS:
        density = round(f["drho"] * step / 5) * 5.0
        offset = reading_offset(f, density, g.get("rho_u") or 0)
        if offset is not None and abs(offset) >= least and mean_density(f) < 0.88 * density:
            break
    else:
        raise ValueError(f"{g['tag']}: no such offset")
    g["rho"] = density
    scale_ends(g, density)
    b.fault(
        "offset-exceeds-tolerance",
        g["tag"],
        ["rho", "mass", "part", "mag", "rho_min", "rho_max"],
        f"at {density} kg/m3 the magnet stands {offset:+.1f} mm from the surface (float for {f['drho']})",
        alt=["design-density-mismatch"],
    )


def plant_design_density(b: Book, g: Gauge, k: float = 1.12) -> None:
    made_for = g["f"]["drho"]
    g["rho"] = round(made_for * k)
    b.fault(
        "design-density-mismatch",
        g["tag"],
        ["rho", "drho", "part"],
        f"float made for {made_for}, fluid {g['rho']}: {100 * (g['rho'] / made_for - 1):+.1f} %",
        alt=["offset-exceeds-tolerance"],
    )


def plant_unlisted_float(b: Book, g: Gauge, part: str) -> None:
    g["part"] = part
    b.fault("float-not-in-list", g["tag"], ["part"], f"{part} is in no float list")


# --- strength and material --------------------------------------------------------------------------


def plant_float_pressure(b: Book, g: Gauge, v: float | None = None, ok: Iterable[str] = ()) -> None:
    limit = g["f"]["pmax"]
    g["dp"] = v or round(limit * 1.15, 1)
    assert g["dp"] > limit
    if g.get("tp"):
        g["tp"] = round(g["dp"] * 1.5, 1)
    b.fault(
        "float-pressure-exceeded",
        g["tag"],
        ["dp", "pmax", "part"],
        f"design {g['dp']} barg > float {limit} barg",
        ok=["float-test-pressure-exceeded", *ok],
    )


def plant_test_pressure(b: Book, g: Gauge, v: float | None = None) -> None:
    limit = g["f"]["pmax"]
    g["tp"] = v or round(limit * 1.1, 1)
    assert g["dp"] <= limit < g["tp"]
    b.fault(
        "float-test-pressure-exceeded",
        g["tag"],
        ["tp", "pmax", "part"],
        f"test {g['tp']} barg > float {limit} barg",
    )


def plant_float_temperature(b: Book, g: Gauge, v: float | None = None, ok: Iterable[str] = ()) -> None:
    limit = g["f"]["tmax"]
    g["dt"] = v or limit + 20
    b.fault(
        "float-temperature-exceeded",
        g["tag"],
        ["dt", "tmax", "part"],
        f"design {g['dt']} degC > float {limit} degC",
        ok=ok,
    )


def plant_flange_rating(b: Book, g: Gauge, dp: float) -> None:
    limit = flange_rating(g["grp"], g["fclass"], g["dt"])
    assert dp > limit + 0.5, (dp, limit)
    g["dp"] = dp
    b.fault(
        "flange-rating-exceeded",
        g["tag"],
        ["dp", "fclass", "fmat", "cmat", "grp"],
        f"class {g['fclass']} group {g['grp']} at {g['dt']} degC: {limit:.1f} barg < {dp} barg",
    )


def plant_magnetic_chamber(b: Book, g: Gauge, material: str) -> None:
    g["cmat"] = material
    b.fault("chamber-magnetic", g["tag"], ["cmat"], f"{material} is ferromagnetic")


def plant_above_design(
    b: Book, g: Gauge, name: str = "op", v: float | None = None, ok: Iterable[str] = ()
) -> None:
    """Operating pressure (`op`) or temperature (`ot`) above the design value."""
    limit, unit = ("dp", "barg") if name == "op" else ("dt", "degC")
    g[name] = v or (round(g["dp"] * 1.12, 1) if name == "op" else g["dt"] + 12)
    why = f"op {g[name]} > design {g[limit]} {unit}"
    b.fault("operating-exceeds-design", g["tag"], [name, limit], why, ok=ok)


# --- ranges and signals -----------------------------------------------------------------------------


def plant_long_range(b: Book, g: Gauge, add: float = 100) -> None:
    g["vis"] = g["cc"] + add
    if g.get("urv") is not None:
        g["urv"] = g["vis"]
    why = f"visible {g['vis']} > c-c {g['cc']}"
    b.fault("range-exceeds-connections", g["tag"], ["vis", "cc", "urv", "range"], why)


def plant_urv_outside(b: Book, g: Gauge, add: float = 80) -> None:
    g["urv"] = (g.get("vis") or g["cc"]) + add
    b.fault(
        "transmitter-outside-visible-range",
        g["tag"],
        ["urv", "lrv", "vis", "range"],
        f"URV {g['urv']} > visible {g.get('vis')}",
        ok=["transmitter-range-mismatch", "current-inconsistent"],
    )


def plant_urv_short(b: Book, g: Gauge, sub: float = 60) -> None:
    g["urv"] = (g.get("vis") or g["cc"]) - sub
    b.fault(
        "transmitter-range-mismatch",
        g["tag"],
        ["urv", "lrv", "vis", "range"],
        f"URV {g['urv']} < visible {g.get('vis')}",
        ok=["current-inconsistent"],
    )


def plant_reversed_range(b: Book, g: Gauge) -> None:
    g["lrv"], g["urv"] = g["urv"], g["lrv"]
    b.fault("range-reversed", g["tag"], ["lrv", "urv", "range"], "LRV above URV", ok=["current-inconsistent"])


def plant_current(b: Book, g: Gauge, more: float = 0.8) -> None:
    g["scur"] = round(g["scur"] + more, 2)
    b.fault(
        "current-inconsistent",
        g["tag"],
        ["scur", "slev", "lrv", "urv"],
        f"{g['scur']} mA at {g['slev']} of {g['lrv']}..{g['urv']}",
    )
