"""The collapse pressure of a float's shell, in elementary steps: buckling and yield of cylinder and ends."""

from __future__ import annotations

from functools import partial

import numpy as np

from xlfuncs.audit.working import Table, Working
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import floats, strength
from xlfuncs.gauge.strength import find_material

MISES = "von Mises 1929, in the form of Windenburg and Trilling 1934; simply supported edges"
ZOELLY = "sphere: Zoelly 1915"
MEMBRANE = "membrane stress, Tresca"


def strongest_ends(work: Working) -> str:
    """Shape of the ends: the stated one, else the one with which the float withstands most."""
    record = work.record
    if work.gauges.given("float_ends")[record]:
        return str(work.gauges.ends[record])
    across, wall, length = (
        float(work.gauges.si(name)[record]) for name in ("float_diameter", "float_wall", "float_length")
    )
    metal = str(work.gauges.texts("float_material")[record])
    kelvin = float(work.gauges.high("design_temperature")[record])
    kelvin = 293.15 if np.isnan(kelvin) else kelvin
    found = [
        float(strength.collapse_pressure(across, wall, length, metal, kelvin, ends)) for ends in floats.ENDS
    ]
    return floats.ENDS[int(np.nanargmax(found))]


def collapse(work: Working) -> float:
    """p_c: the lowest of what shell and ends withstand; t, d, L, T stand already."""
    ends = floats.split_ends(strongest_ends(work))
    _metal(work)
    work.step("R", "mean radius of the wall", "(d-t)/2", "m")
    _lengths(work, ends)
    lowest = [*_shell(work), *_curved(work, ends)]
    return work.step(
        "p_c", "collapse pressure: the lowest of them", f"MIN({','.join(lowest)})", "Pa difference"
    )


def _metal(work: Working) -> None:
    """E, nu_m and s_y of the float's metal at T."""
    metal = str(work.gauges.texts("float_material")[work.record])
    entry = load("materials")[strength.find_material(metal) or ""]
    for symbol, name, key, size in (
        ("E", "modulus", "modulus", 1e9),
        ("s_y", "yield strength", "yield_strength", 1e6),
    ):
        rows = entry[key]
        kelvins = [celsius + ZERO_CELSIUS for celsius in rows["temperature"]]
        values = [value * size for value in rows["value"]]
        name = f"{name} of {entry['label']}"
        work.on_line(symbol, name, "T", Table(kelvins, values, "K", "Pa stress", str(rows["source"])))
    ratio = entry["poisson_ratio"]
    work.constant("nu", "Poisson's ratio", float(ratio["value"]), "", str(ratio["source"]))


def _lengths(work: Working, ends: tuple[str, str]) -> None:
    """L_u, the unsupported length of the cylinder, and whether it has a straight part."""
    counted = load("strength")["unsupported_length"]
    depth = _depth(work, ends)
    work.constant(
        "x_e", "share of the ends' depth that counts", counted["share_of_end_depth"], "", counted["source"]
    )
    work.step("L_u", "unsupported length", f"L-{depth}+x_e*{depth}" if depth else "L+0*x_e", "m")


def _depth(work: Working, ends: tuple[str, str]) -> str:
    """Depth of both ends, as an expression."""
    across = work.numbers["d"]
    shares = [float(floats.ends_length(across, end)) / 2 / across for end in ends if end != "flat"]
    if not shares:
        return ""
    source = "geometry of the ends"
    work.constant("c", "depth of both ends over the diameter", sum(shares), "", source)
    return "c*d"


def _shell(work: Working) -> list[str]:
    """Buckling in the lobes that need least, and yield; none for a sphere."""
    now = work.numbers
    straight = now["L"] - now.get("c", 0.0) * now["d"]
    if straight <= 1e-9 * now["R"]:
        return []
    _, lobes = strength.cylinder_buckling(now["E"], now["nu"], now["R"], now["t"], now["L_u"])
    work.constant(
        "n", "lobes in which the shell buckles", float(lobes), "", "with 2 to 64 tried, the least pressure"
    )
    work.step("a2", "(pi R/L_u)^2", "(PI()*R/L_u)^2", "")
    least = "E*t/R/(n^2-1+a2/2)*(1/(n^2/a2+1)^2+(t/R)^2/(12*(1-nu^2))*(n^2-1+a2)^2)"
    work.step("p_1", "the shell buckles", least, "Pa difference", MISES)
    others = [f"({number})" for number in (lobes - 1, lobes + 1) if 2 <= number <= 64]
    fewer = ",".join(f"p_1<={least.replace('n^2', number + '^2')}" for number in others)
    work.holds(f"AND({fewer})", "the shell buckles in another number of lobes")
    if "c" in now:
        work.holds("L>c*d", "the ends leave no straight part")
    work.step("p_2", "the shell yields", "s_y*t/R", "Pa difference", MEMBRANE)
    return ["p_1", "p_2"]


def _curved(work: Working, ends: tuple[str, str]) -> list[str]:
    """Buckling and yield of each curved end."""
    found = []
    cap = load("strength")["cap"]
    for number, end in enumerate(sorted({end for end in ends if end != "flat"}), 3):
        work.constant(f"r_{number}", f"crown of the {end} end over R", _crown(end), "", "geometry of the end")
        for symbol in ("floor", "slope"):
            if symbol not in work.numbers:
                work.constant(
                    symbol, f"{symbol} of the knock-down", float(cap[symbol]), "", str(cap["source"])
                )
        share = f"(floor+slope/(SQRT(12*(1-nu^2))*2*r_{number}*R/t))"
        sphere = f"2*E*(t/(r_{number}*R))^2/SQRT(3*(1-nu^2))"
        work.step(f"p_{number}b", f"the {end} end buckles", f"{share}*{sphere}", "Pa difference", ZOELLY)
        bears = float(strength.end_yield(1.0, 1.0, 1.0, end))
        source = "2 for a hemisphere, 2/3 for 2:1, 2/(M r) for a dished end"
        work.constant(f"y_{number}", "yield pressure over s_y t/R", bears, "", source)
        work.step(f"p_{number}y", f"the {end} end yields", f"y_{number}*s_y*t/R", "Pa difference", MEMBRANE)
        found += [f"p_{number}b", f"p_{number}y"]
    return found


def _crown(end: str) -> float:
    """Radius of an end's crown over the float's mean radius."""
    if end == "hemispherical":
        return 1.0
    if end == "elliptical":
        return float(load("strength")["crown"]["radius_over_mean_radius"])
    return 2 * float(load("ends")["dished"][end]["crown"])


def weight(work: Working, wall: float, metal: float, magnets: float) -> None:
    """m_s, the mass of the shell of a float to be made, and m_b, what is left for ballast; nothing where its
    ends are of a thickness of their own."""
    name = find_material(str(work.gauges.texts("float_material")[work.record]))
    ends = floats.split_ends(str(work.gauges.ends[work.record]))
    if name is None or not {*ends} <= _CAPS.keys():
        return
    work.tried(partial(_weight, work, ends, name, wall, magnets), metal)


def _weight(work: Working, ends: tuple[str, str], name: str, wall: float, magnets: float) -> float:
    stated = load("materials")[name]["density"]
    if "t" not in work.numbers:
        work.propose("t", "wall", wall, "m")
    work.constant("rho_m", f"density of {name}", float(stated["value"]), "kg/m3", str(stated["source"]))
    work.constant("m_m", "mass of magnets and holder", magnets, "kg", load("sizing")["inside"]["source"])
    work.step("r", "mean radius of the wall", "(d-t)/2", "m", "geometry")
    caps = "+".join(_CAPS[end] for end in ends)
    tube = f"L-{'-'.join(_DEPTHS[end] for end in ends)}"
    work.step("V_m", "volume of the metal", f"2*PI()*r*t*({tube})+{caps}", "m3", "surface at mid-wall")
    shell = work.step("m_s", "mass of the shell", "rho_m*V_m", "kg")
    work.step("m_b", "ballast: what else the float weighs", "m-m_s-m_m", "kg")
    return shell


_HALF_SPHEROID = 1 + 0.25 / np.sqrt(0.75) * np.arctanh(np.sqrt(0.75))
_CAPS = {
    "flat": "PI()/4*d^2*t",
    "hemispherical": "2*PI()*r^2*t",
    "elliptical": f"{float(_HALF_SPHEROID)!r}*PI()*r^2*t",
}
"""Volume of the metal of an end; of half a spheroid of half-axes R and R/2 by its surface."""
_DEPTHS = {"flat": "t", "hemispherical": "d/2", "elliptical": "d/4"}
"""What an end takes of the length of the tube."""
