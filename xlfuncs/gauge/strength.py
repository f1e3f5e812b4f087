"""Strength of a closed float under pressure from outside.

A float is a thin circular cylinder with two ends. It fails by the weakest of: elastic buckling of the
shell, yield of the shell, elastic buckling of a curved end, yield of a curved end. A flat end is a plate
with a thickness of its own and is a separate check (`flat_end_yield`). Diameter means outside diameter;
the formulas use the mean radius R of the wall t.

`collapse_pressure` is that of a perfect shell; buckling of a curved end carries the knock-down of NASA
SP-8032, since a real cap buckles far below the classical pressure. A shell that is not round yields earlier,
most of all where buckling and yield are close to each other: `first_yield`, and what of the safety factor it
leaves is in `strength_table`. Left out: welds, openings, dents, creep, fatigue.

The result supports a judgement; it does not replace the maker's rating, the pressure test, or the code
that applies at the place of use. Constants and material values: `xlfuncs/data/strength.toml` and
`materials.toml`, each with its source.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.data.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS
from xlfuncs.gauge import materials
from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, positive, refuse, scalar
from xlfuncs.gauge.floats import DISHED, shape_of, split_ends

_LOBES = np.arange(2, 65)
_POISSON_OF_METALS = 0.3
"""Taken with a bare modulus: 0.28 to 0.34 for the metals of floats, within 4 % of the pressure."""

_MODULUS_RANGE = (40e9, 240e9)
"""Metals of floats; a number outside it is a slip: a material number (276, 316), or MPa for GPa."""

Texts = str | NDArray[Any]


class Metal(NamedTuple):
    """Elastic modulus [Pa], Poisson's ratio, yield strength [Pa] (infinite where unknown)."""

    modulus: Array
    poisson_ratio: Array
    yield_strength: Array


def _floats(value: ArrayLike) -> Array:
    return scalar(np.asarray(value, dtype=np.float64))


def _together(*values: ArrayLike) -> tuple[Array, ...]:
    """The arguments as floats of their common shape."""
    return np.broadcast_arrays(*(np.asarray(value, dtype=np.float64) for value in values))


# --- materials --------------------------------------------------------------------------------------


@cache
def _tabulated() -> dict[str, str]:
    """Material of the table by its block of the table of alloys."""
    return {alloy: name for name, entry in load("materials").items() for alloy in entry["alloys"]}


def find_material(name: str) -> str | None:
    """Name in the material table for a designation as people write it; None where it is unknown."""
    found = _tabulated().get(materials.read(name).alloy)
    if found and load("materials")[found].get("plain") and any(letter.isdigit() for letter in name):
        return None
    return found


def material(name: str, temperature: ArrayLike) -> Metal:
    """Properties of a material of the table at a temperature [K], by straight lines between its rows.

    ValueError for a name that `find_material` does not know. NaN, with the reason, outside the
    temperatures of the table. Yield strength is the minimum of the standard.
    """
    found = find_material(name)
    if found is None:
        raise ValueError(unknown_material(name))
    entry = load("materials")[found]
    celsius = np.asarray(temperature, dtype=np.float64) - ZERO_CELSIUS
    tables = (entry["modulus"], entry["yield_strength"])
    low = max(table["temperature"][0] for table in tables)
    high = min(table["temperature"][-1] for table in tables)
    celsius = refuse(
        celsius,
        (celsius < low - 1e-9) | (celsius > high + 1e-9),  # degC to K and back rounds
        f"temperature is outside the values known for {entry['label']}: {low:g} to {high:g} degC",
    )
    modulus, strength = (np.interp(celsius, table["temperature"], table["value"]) for table in tables)
    poisson = np.where(np.isnan(celsius), np.nan, entry["poisson_ratio"]["value"])
    return Metal(_floats(modulus * 1e9), _floats(poisson), _floats(strength * 1e6))


def unknown_material(name: str) -> str:
    known = ", ".join(load("materials"))
    return f"material '{name}' is unknown: use one of {known}"


def _with_numbers_named(material_or_modulus: ArrayLike) -> NDArray[np.object_]:
    """European material numbers, which a sheet reads as a modulus: 1.4404 (GPa) is the name "1.4404"."""
    given = np.array(material_or_modulus, dtype=object)
    for at in np.ndindex(given.shape):
        cell: Any = given[at]
        if not isinstance(cell, str) and 1e9 <= cell < 10e9 and find_material(f"{cell / 1e9:.4f}"):
            given[at] = f"{cell / 1e9:.4f}"
    return given


_OR_MODULUS = ", or give its modulus, e.g. 193 GPa"


_NO_TEMPERATURE = (
    "temperature is missing: give the design temperature of the metal, which is weaker when it is hot"
)


def metal(material_or_modulus: ArrayLike, temperature: ArrayLike | None, hint: str = _OR_MODULUS) -> Metal:
    """Properties by material name, or from a modulus [Pa]; an array may mix both.

    A modulus leaves the yield strength unknown (infinite here, so that yield never governs) and takes
    Poisson's ratio as 0.3; it counts as the modulus at `temperature`. NaN with the reason for an
    unknown name (`hint` ends that reason), a number that is no modulus of a metal, a name without a
    temperature (None, NaN: nothing is taken in its place), or a temperature
    outside the table.
    """
    given, kelvin = np.broadcast_arrays(
        _with_numbers_named(material_or_modulus),
        np.asarray(np.nan if temperature is None else temperature, dtype=np.float64),
    )
    is_name = np.array([isinstance(cell, str) for cell in given.flat], dtype=np.bool_).reshape(given.shape)
    names = np.where(is_name, given, "")
    number = np.where(is_name, np.nan, given).astype(np.float64)
    out = np.full((3, *given.shape), np.nan)
    low, high = _MODULUS_RANGE
    number = refuse(
        number,
        (number < low) | (number > high),
        f"material_or_modulus as a number is a modulus in GPa, {low / 1e9:g} to {high / 1e9:g} for metals; a"
        " grade is a text, such as 316L",
        UNUSABLE,
    )
    out[0] = number
    out[1] = np.where(np.isnan(number), np.nan, _POISSON_OF_METALS)
    out[2] = np.where(np.isnan(number), np.nan, np.inf)
    for name in sorted({name for name in names.flat if name}):
        where = names == name
        if find_material(name) is None:
            refuse(number, where, unknown_material(name) + hint, UNUSABLE)
        else:
            # outside `where` the temperature is NaN, so that no reason is noted there
            for i, value in enumerate(material(name, np.where(where, kelvin, np.nan))):
                out[i] = np.where(where, value, out[i])
    refuse(number, is_name & np.isnan(kelvin), _NO_TEMPERATURE, MISSING)
    return Metal(*(_floats(row) for row in out))


# --- one failure at a time --------------------------------------------------------------------------


def long_cylinder(modulus: ArrayLike, poisson_ratio: ArrayLike, radius: ArrayLike, wall: ArrayLike) -> Array:
    """Elastic buckling pressure of an infinitely long cylinder [Pa]: E/(4 (1 - nu^2)) (t/R)^3.

    modulus [Pa], mean radius and wall [m]. Source: Bresse 1866, Bryan 1888; Roark, Table 35, case 19a.
    """
    e, nu, r, t = _together(modulus, poisson_ratio, radius, wall)
    return _floats(e / (4 * (1 - nu**2)) * (t / r) ** 3)


def cylinder_buckling(
    modulus: ArrayLike,
    poisson_ratio: ArrayLike,
    radius: ArrayLike,
    wall: ArrayLike,
    unsupported_length: ArrayLike,
) -> tuple[Array, Array]:
    """Elastic buckling pressure [Pa] of a cylinder between round ends, and its number of lobes.

    von Mises 1929, in the form that Windenburg and Trilling 1934 simplified, for pressure on shell and
    ends and simply supported edges; with a = pi R/L it is the smallest over n = 2, 3, ... of::

        p = E t/R / (n^2 - 1 + a^2/2) [ (n^2/a^2 + 1)^-2 + t^2/(12 R^2 (1 - nu^2)) (n^2 - 1 + a^2)^2 ]

    For a long cylinder n = 2 and p becomes `long_cylinder`. Against the eigenvalues of Sanders' shell
    equations with a pressure that follows the wall, from which the tests compute, it reads high by less
    than 1.5 % for R/t from 12 to 100 and L/R from 2 up. Design charts that smooth the steps between the
    lobes lie above and below it, by 20 % where the wall is thick and n is 2.
    modulus [Pa], mean radius, wall, unsupported length [m]; all broadcast.
    """
    e, nu, r, t, length = _together(modulus, poisson_ratio, radius, wall, unsupported_length)
    n2 = _LOBES.reshape(-1, *(1,) * e.ndim) ** 2.0
    a2 = (np.pi * r / length) ** 2
    with np.errstate(all="ignore"):  # a wall that leaves no radius has been refused
        membrane = 1 / (n2 / a2 + 1) ** 2
        bending = (t / r) ** 2 / (12 * (1 - nu**2)) * (n2 - 1 + a2) ** 2
        pressures = e * t / r / (n2 - 1 + a2 / 2) * (membrane + bending)
    lobes = np.where(np.isnan(pressures[0]), np.nan, _LOBES[np.argmin(pressures, axis=0)])
    return _floats(pressures.min(axis=0)), scalar(lobes)


def cylinder_yield(yield_strength: ArrayLike, radius: ArrayLike, wall: ArrayLike) -> Array:
    """Pressure at which the shell yields around [Pa]: sigma t/R (Tresca, thin closed cylinder)."""
    s, r, t = _together(yield_strength, radius, wall)
    return _floats(s * t / r)


def sphere_buckling_classical(
    modulus: ArrayLike, poisson_ratio: ArrayLike, radius: ArrayLike, wall: ArrayLike
) -> Array:
    """Buckling pressure of a perfect sphere [Pa]: 2 E (t/R)^2 / sqrt(3 (1 - nu^2)). Source: Zoelly 1915."""
    e, nu, r, t = _together(modulus, poisson_ratio, radius, wall)
    return _floats(2 * e * (t / r) ** 2 / np.sqrt(3 * (1 - nu**2)))


def cap_knock_down(poisson_ratio: ArrayLike, radius: ArrayLike, wall: ArrayLike) -> Array:
    """What a real spherical cap keeps of the classical buckling pressure, as a share.

    0.14 + 3.2/lambda^2 with lambda^2 = sqrt(12 (1 - nu^2)) 2 R/t for a hemisphere (lower bound of tests,
    lambda > 2). Source: NASA SP-8032, section 4.2.1.1.
    """
    nu, r, t = _together(poisson_ratio, radius, wall)
    cap = load("strength")["cap"]
    return _floats(cap["floor"] + cap["slope"] / (np.sqrt(12 * (1 - nu**2)) * 2 * r / t))


def each_end(ends: Texts) -> tuple[NDArray[np.str_], NDArray[np.str_]]:
    """Shapes of the bottoms and of the tops."""
    names = np.asarray(ends).astype(str)
    each, at = np.unique(names, return_inverse=True)
    split = np.array([split_ends(str(name)) for name in each], dtype=str).reshape(-1, 2)[
        at.reshape(names.shape)
    ]
    return split[..., 0], split[..., 1]


def _crown(ends: Texts) -> Array:
    """Radius of an end's crown over the mean radius of the float; NaN for flat ends."""
    names = np.asarray(ends)
    found = np.where(names == "hemispherical", 1.0, np.nan)
    found = np.where(names == "elliptical", load("strength")["crown"]["radius_over_mean_radius"], found)
    for name in DISHED:
        found = np.where(names == name, 2 * load("ends")["dished"][name]["crown"], found)
    return found


def end_buckling(
    modulus: ArrayLike,
    poisson_ratio: ArrayLike,
    radius: ArrayLike,
    wall: ArrayLike,
    ends: Texts = "hemispherical",
) -> Array:
    """Buckling pressure of a curved end [Pa]: the sphere's, with the radius of the crown, knocked down.

    The crown of a 2:1 semi-ellipsoid has the radius 2 R, that of a dished end its own. `radius` is the
    mean radius of the float [m]. Infinite for flat ends, which bend instead.
    """
    crown = _crown(ends) * np.asarray(radius, dtype=np.float64)
    share = cap_knock_down(poisson_ratio, crown, wall)
    pressure = share * sphere_buckling_classical(modulus, poisson_ratio, crown, wall)
    return _floats(np.where(np.asarray(ends) == "flat", np.inf, pressure))


def end_yield(
    yield_strength: ArrayLike, radius: ArrayLike, wall: ArrayLike, ends: Texts = "hemispherical"
) -> Array:
    """Pressure at which a curved end yields [Pa], by membrane stresses and Tresca.

    Hemisphere: 2 sigma t/R. 2:1 semi-ellipsoid: sigma t/(1.5 R), at its rim, where p R/t of tension
    around meets p R/(2 t) of compression along (membrane theory of shells of revolution). Dished ends:
    2 sigma t/(M L), M = (3 + sqrt(L/r))/4 for the crown L and the knuckle r (from memory: ASME BPVC VIII-1,
    Appendix 1-4). Infinite for flat ends.
    """
    s, r, t = _together(yield_strength, radius, wall)
    names = np.asarray(ends)
    factor = np.where(names == "hemispherical", 2.0, 1 / 1.5)
    for name in DISHED:
        share = load("ends")["dished"][name]
        dished = 2 / ((3 + np.sqrt(share["crown"] / share["knuckle"])) / 4 * 2 * share["crown"])
        factor = np.where(names == name, dished, factor)
    return _floats(np.where(names == "flat", np.inf, factor * s * t / r))


def flat_end_yield(
    yield_strength: ArrayLike, poisson_ratio: ArrayLike, radius: ArrayLike, end_wall: ArrayLike
) -> Array:
    """Pressure at which a flat end first yields in bending [Pa]: 8 sigma t^2 / (3 (3 + nu) R^2).

    Circular plate on a simple support, stress at its centre: the thin shell does not hold its edge.
    Source: Roark, Table 24, case 10a. Small deflections; the plate bears more before it collapses.
    """
    s, nu, r, t = _together(yield_strength, poisson_ratio, radius, end_wall)
    return _floats(8 * s * (t / r) ** 2 / (3 * (3 + nu)))


def _thin_plate(end_wall: ArrayLike, diameter: ArrayLike) -> Array:
    """Thickness of a plate [m] for which the theory of thin plates holds."""
    thickness = positive("end_wall", end_wall)
    share = load("strength")["thin_plate"]["wall_over_diameter"]
    return refuse(
        thickness,
        thickness > share * np.asarray(diameter, dtype=np.float64) * (1 + 1e-9),
        f"end_wall is above {share:g} of the diameter: the formula for thin plates does not hold",
    )


def first_yield(
    yield_strength: ArrayLike,
    buckling_pressure: ArrayLike,
    radius: ArrayLike,
    wall: ArrayLike,
    out_of_roundness: ArrayLike,
) -> Array:
    """Pressure at which a shell that is not round first yields [Pa].

    The lower root of p^2 - (sigma t/R + (1 + 6 w0/t) p_cr) p + sigma t/R p_cr = 0: ring stress and the
    bending by the initial deviation w0 from the circle, which grows as 1/(1 - p/p_cr). out_of_roundness is
    w0 over the mean radius R. Buckling and yield act together in it: where both pressures are close, it is
    far below either.

    Source: Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., section 7.5 (from memory), which
    states it for a ring; taken here with the buckling pressure of the shell.
    """
    s, critical, r, t, share = _together(yield_strength, buckling_pressure, radius, wall, out_of_roundness)
    plain = s * t / r
    half = (plain + (1 + 6 * share * r / t) * critical) / 2
    with np.errstate(invalid="ignore"):
        lower = plain * critical / (half + np.sqrt(half**2 - plain * critical))
    return _floats(np.where(np.isposinf(plain), np.inf, lower))


def junction_stress(
    modulus: ArrayLike,
    poisson_ratio: ArrayLike,
    radius: ArrayLike,
    wall: ArrayLike,
    end_wall: ArrayLike,
    pressure: ArrayLike,
) -> Array:
    """Largest stress along the shell beside a flat end [Pa] under a pressure from outside [Pa].

    The plate's edge turns with the shell's and holds it against moving inwards; from both conditions follow
    the moment and the shear between them. 6 M/t^2 + p R/(2 t). The weld itself is not in it.

    Source: beam on an elastic foundation for the edge of a cylinder, and the clamped-free circular plate:
    Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, sections 16 and 115 (from memory).
    """
    e, nu, r, t, plate, p = _together(modulus, poisson_ratio, radius, wall, end_wall, pressure)
    beta = (3 * (1 - nu**2) / (r * t) ** 2) ** 0.25
    shell, disc = (e * x**3 / (12 * (1 - nu**2)) for x in (t, plate))
    inwards = p * r**2 / (e * t) * (1 - nu / 2)
    turn, hold = p * r**3 / (8 * disc * (1 + nu)), r / (disc * (1 + nu))
    # edge shear Q = -2 beta^3 D w - beta M; slope (Q + 2 beta M)/(2 beta^2 D) + hold M = turn
    moment = (turn + beta * inwards) / (1 / (2 * beta * shell) + hold)
    return _floats(6 * np.abs(moment) / t**2 + p * r / (2 * t))


# --- the whole float --------------------------------------------------------------------------------


class _Body(NamedTuple):
    radius: Array
    """Mean radius [m]."""
    wall: Array
    straight: Array
    """Length of the cylinder between the ends [m]."""
    unsupported: Array


def _body(diameter: ArrayLike, wall: ArrayLike, length: ArrayLike, ends: Texts) -> _Body:
    shape = shape_of(diameter, length, ends)
    thickness = positive("wall", wall)
    mean = shape.radius - thickness / 2
    limit = load("strength")["thin_shell"]["radius_over_wall"]
    thickness = refuse(
        thickness,
        thickness * limit > mean * (1 + 1e-9),
        f"wall is above 1/{limit} of the mean radius: the formulas for thin shells do not hold",
    )
    straight = np.maximum(shape.length - shape.ends, 0.0)
    counted = load("strength")["unsupported_length"]["share_of_end_depth"]
    return _Body(mean, thickness, straight, straight + counted * shape.ends)


_MODES = ("shell buckles", "shell yields", "end buckles", "end yields")


def _pressures(
    diameter: ArrayLike,
    wall: ArrayLike,
    length: ArrayLike,
    material_or_modulus: ArrayLike,
    temperature: ArrayLike | None,
    ends: Texts,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Pressure of each of `_MODES` [Pa], stacked along the first axis, and the lobes of the shell."""
    body = _body(diameter, wall, length, ends)
    e, nu, strength = metal(material_or_modulus, temperature)
    shell, lobes = cylinder_buckling(e, nu, body.radius, body.wall, body.unsupported)
    around = cylinder_yield(strength, body.radius, body.wall)
    # two hemispheres without a straight part between them are a sphere: it has no shell
    sphere = body.straight <= 1e-9 * body.radius
    stacked = np.broadcast_arrays(
        np.where(sphere & ~np.isnan(shell), np.inf, shell),
        np.where(sphere & ~np.isnan(around), np.inf, around),
        np.minimum(*(end_buckling(e, nu, body.radius, body.wall, end) for end in each_end(ends))),
        np.minimum(*(end_yield(strength, body.radius, body.wall, end) for end in each_end(ends))),
    )
    spoilt = np.isnan(shell)
    return np.where(spoilt, np.nan, np.stack(stacked)), np.broadcast_to(lobes, stacked[0].shape)


def collapse_pressure(
    diameter: ArrayLike,
    wall: ArrayLike,
    length: ArrayLike,
    material_or_modulus: ArrayLike,
    temperature: ArrayLike | None = 293.15,
    ends: Texts = "flat",
) -> Array:
    """Difference of pressure at which the float fails [Pa]: the lowest of shell and curved ends.

    diameter (outside), wall, length over all [m]; material_or_modulus a name, or a modulus [Pa];
    temperature [K]. The cylinder counts with a third of the depth of each curved end; a flat float
    counts whole. With a bare modulus this is elastic buckling only: yield is left out. Flat ends are
    left out, see `flat_end_yield`.
    NaN with the reason: unknown material, temperature outside its table, wall above a tenth of the mean
    radius, length below the depth of both ends.
    """
    pressures, _ = _pressures(diameter, wall, length, material_or_modulus, temperature, ends)
    return _floats(pressures.min(axis=0))


def collapse_mode(
    diameter: ArrayLike,
    wall: ArrayLike,
    length: ArrayLike,
    material_or_modulus: ArrayLike,
    temperature: ArrayLike | None = 293.15,
    ends: Texts = "flat",
) -> NDArray[Any] | str:
    """What gives way first at `collapse_pressure`, as text, and what that pressure leaves out."""
    pressures, lobes = _pressures(diameter, wall, length, material_or_modulus, temperature, ends)
    given, shapes = np.broadcast_arrays(_with_numbers_named(material_or_modulus), np.asarray(ends))
    given, shapes, lowest, lobes = np.broadcast_arrays(given, shapes, np.argmin(pressures, axis=0), lobes)
    texts = np.empty(lowest.shape, dtype=object)
    for at in np.ndindex(lowest.shape):
        if np.isnan(pressures[(0, *at)]):
            texts[at] = ""
            continue
        parts = [_MODES[lowest[at]]]
        if lowest[at] == 0:
            parts[0] += f" in {lobes[at]:.0f} lobes"
        if not isinstance(given[at], str):
            parts.append("yield not checked, no material named")
        if "flat" in str(shapes[at]):
            parts.append(
                "flat ends not checked" if shapes[at] in ("flat", "flat/flat") else "flat end not checked"
            )
        texts[at] = "; ".join(parts)
    return texts if texts.shape else str(texts[()])


def permitted_pressure(
    diameter: ArrayLike,
    wall: ArrayLike,
    length: ArrayLike,
    material_or_modulus: ArrayLike,
    temperature: ArrayLike | None = 293.15,
    ends: Texts = "flat",
    safety_factor: ArrayLike = 3.0,
) -> Array:
    """Permitted pressure outside over inside [Pa].

    `collapse_pressure` / safety_factor. Arguments as there; safety_factor 1 and above. Its default of 3 is
    common practice; UG-28 of ASME BPVC VIII-1 keeps as much on the elastic buckling of cylinders.
    """
    collapse = collapse_pressure(diameter, wall, length, material_or_modulus, temperature, ends)
    return _floats(collapse / _safety(safety_factor))


def _safety(factor: ArrayLike) -> Array:
    number = np.asarray(factor, dtype=np.float64)
    return refuse(number, number < 1, "safety_factor must be 1 or above", UNUSABLE)


def gas_pressure(
    internal_pressure: ArrayLike, temperature: ArrayLike | None, fill_temperature: ArrayLike = 293.15
) -> Array:
    """Pressure of the gas inside a closed float at a temperature [Pa gauge].

    The absolute pressure of an ideal gas in a fixed volume follows the absolute temperature (Gay-Lussac):
    p = (p_fill + p_atm) T/T_fill - p_atm. internal_pressure [Pa gauge] at fill_temperature [K].
    """
    filled = np.asarray(internal_pressure, dtype=np.float64) + STANDARD_ATMOSPHERE
    filled = refuse(filled, filled < 0, "internal_pressure is below a perfect vacuum", UNUSABLE)
    hot = positive("temperature", np.nan if temperature is None else temperature)
    hot = refuse(hot, np.isnan(hot), _NO_TEMPERATURE, MISSING)
    cold = positive("fill_temperature", fill_temperature)
    return _floats(filled * hot / cold - STANDARD_ATMOSPHERE)


def permitted_pressure_with_gas(
    diameter: ArrayLike,
    wall: ArrayLike,
    length: ArrayLike,
    material_or_modulus: ArrayLike,
    internal_pressure: ArrayLike,
    temperature: ArrayLike | None = 293.15,
    fill_temperature: ArrayLike = 293.15,
    ends: Texts = "flat",
    safety_factor: ArrayLike = 3.0,
) -> Array:
    """Permitted pressure outside [Pa gauge] of a float filled with gas under pressure.

    `permitted_pressure` + `gas_pressure` at the temperature: the gas carries part of the load, and less
    of it when it is cold. NaN with the reason where the gas alone, with the vessel empty and open, would
    bring shell or curved ends to yield within the safety factor, and where a bare modulus leaves that
    unknown. Flat ends are left out as in `collapse_pressure`.
    """
    safety = _safety(safety_factor)
    pressures, _ = _pressures(diameter, wall, length, material_or_modulus, temperature, ends)
    inside = gas_pressure(internal_pressure, temperature, fill_temperature)
    bursting = np.minimum(pressures[1], pressures[3])
    permitted = pressures.min(axis=0) / safety + inside
    permitted = refuse(
        permitted,
        (inside > 0) & np.isposinf(bursting),
        "material_or_modulus must be a material by name: a modulus does not tell what gas pressure it bears",
        UNUSABLE,
    )
    permitted = refuse(
        permitted,
        inside * safety > bursting,
        "internal_pressure brings the float to yield within safety_factor when the vessel is open: lower it",
    )
    return _floats(permitted)


def permitted_flat_end_pressure(
    diameter: ArrayLike,
    wall: ArrayLike,
    end_wall: ArrayLike,
    material: ArrayLike,
    temperature: ArrayLike | None = 293.15,
    safety_factor: ArrayLike = 3.0,
) -> Array:
    """Permitted pressure outside over inside [Pa] of the flat ends alone: `flat_end_yield` / safety_factor.

    diameter (outside), wall of the shell and end_wall [m]; the plate spans the mean diameter. The junction
    with the shell is stressed too: `junction_stress`. NaN with the reason for a material that is not in the
    table, a temperature outside it, or a plate thicker than a fifth of the diameter.
    """
    thickness = positive("wall", wall)
    radius = (positive("diameter", diameter) - thickness) / 2
    radius = refuse(radius, radius <= thickness / 2, "wall must be below half the diameter", UNUSABLE)
    plate = _thin_plate(end_wall, diameter)
    _, nu, strength = metal(material, temperature, hint="")
    named = "material must be a name, such as 316L: a plate fails by yield, which a modulus does not tell"
    strength = refuse(strength, np.isposinf(strength), named, UNUSABLE)
    return _floats(flat_end_yield(strength, nu, radius, plate) / _safety(safety_factor))


_COVERS = {
    "shell buckles": "a perfect shell",
    "shell yields": "a perfect shell",
    "end buckles": "a real cap, by the knock-down of tests",
    "end yields": "membrane stress alone",
}


def strength_table(
    diameter: float,
    wall: float,
    length: float,
    material: str,
    temperature: float | None = None,
    ends: str = "flat",
    safety_factor: float = 3.0,
    out_of_roundness: float = 0.005,
    end_wall: float | None = None,
) -> list[list[str | float]]:
    """Every failure that is computed, what its number covers, and what is not checked; scalars.

    Headings first: failure, pressure [bar], over the permitted pressure, covers. The permitted pressure is
    the lowest of shell and curved ends over safety_factor, and of flat ends where end_wall is stated.
    """
    pressures, _ = _pressures(diameter, wall, length, material, temperature, ends)
    body = _body(diameter, wall, length, ends)
    e, nu, strength = metal(material, temperature, hint="")
    named = "material must be a name, such as 316L: a modulus does not tell when the metal yields"
    strength = refuse(strength, np.isposinf(strength), named, UNUSABLE)
    safety = float(_safety(safety_factor))
    found = [(name, float(value), _COVERS[name]) for name, value in zip(_MODES, pressures, strict=True)]
    permitted = min(value for _, value, _ in found) / safety + 0 * float(strength)
    if end_wall is not None:
        plate = float(flat_end_yield(strength, nu, body.radius, _thin_plate(end_wall, diameter)))
        found.append(("flat end yields", plate, "a plate on a simple support, its centre"))
        permitted = min(permitted, plate / safety)
        beside = float(junction_stress(e, nu, body.radius, body.wall, end_wall, 1.0))
        text = "first yield of the shell beside the plate; the weld is not checked"
        found.append(("shell yields beside the flat end", float(strength) / beside, text))
    share = float(out_of_roundness)
    uneven = float(first_yield(strength, pressures[0], body.radius, body.wall, share))
    found.append(("first yield", uneven, f"a shell out of round by {100 * share:g} % of its radius"))
    rows: list[list[str | float]] = [["failure", "pressure, bar", "over permitted", "covers"]]
    rows.append(["permitted", permitted / 1e5, 1.0, f"the lowest failure over {safety:g}"])
    rows += [[name, value / 1e5, value / permitted, text] for name, value, text in found if value < np.inf]
    missing = ["welds", "dents", "creep", "fatigue"]
    if end_wall is None and "flat" in ends:
        missing.insert(0, "flat ends")
    rows.append(["not checked", "", "", ", ".join(missing)])
    return rows
