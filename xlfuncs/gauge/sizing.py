"""The float that would do: length, wall, mass and magnet height for a diameter and a metal.

The search goes over lengths in steps of a millimetre. At each, the wall is the thinnest in steps of a
tenth that bears the design pressure; the mass runs from that of the metal and of what is inside up to the
most that leaves the reserve. Every such float is held against the duty by `xlfuncs.gauge.choice`, the same
judgement that a listed float gets, with its mass as wanted and off by the allowance, either way. The
shortest float that passes is the answer. Steps and allowance: `xlfuncs/data/sizing.toml`.

This proposes data to ask a maker for. It is no design of a pressure part: the maker's calculation, the
pressure test and the code that applies decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, Refused, positive, reasons, refuse, scalar
from xlfuncs.gauge.choice import Duty, FloatList, Judgement, barg, celsius, float_list, mm, percent
from xlfuncs.gauge.floats import DISHED, depth_of, immersion, shape_of, volume
from xlfuncs.gauge.model import Float, Fluids
from xlfuncs.gauge.stability import metacentric_height
from xlfuncs.gauge.strength import (
    Texts,
    each_end,
    find_material,
    permitted_flat_end_pressure,
    permitted_pressure,
    unknown_material,
)

_MASSES = 25
"""Masses tried at each length."""
_AT_ONCE = 64
"""Lengths judged together."""
_HALF_SPHEROID = 1 + 0.25 / np.sqrt(0.75) * np.arctanh(np.sqrt(0.75))
"""Area of a 2:1 semi-ellipsoid over pi R^2 (surface of an oblate spheroid with half-axes R and R/2)."""


def metal_density(material: Texts) -> Array:
    """Density of metals of the table of materials [kg/m3], by name; NaN with the reason for another name."""
    names = np.asarray(material, dtype=object)
    known = load("materials")
    numbers = np.full(names.shape, np.nan)
    for name in {str(name) for name in names.flat}:
        found = find_material(name)
        numbers[names == name] = np.nan if found is None else known[found]["density"]["value"]
    strange = next((str(name) for name in names.flat if find_material(str(name)) is None), "")
    return refuse(scalar(numbers), np.isnan(numbers), unknown_material(strange), UNUSABLE)


def shell_mass(
    diameter: ArrayLike,
    wall: ArrayLike,
    length: ArrayLike,
    material: Texts,
    ends: Texts = "hemispherical",
    end_wall: ArrayLike | None = None,
) -> Array:
    """Mass of the metal of an empty float [kg]: surface at mid-wall times wall times density.

    Cylinder 2 pi R t; hemispheres 2 pi R^2 t each; 2:1 semi-ellipsoids 1.380 pi R^2 t each; flat ends are
    discs of the outside diameter and of their own thickness end_wall, within the length over all. R is
    the mean radius; lengths [m]. Magnets, holders, ballast and welds come on top. NaN with the reason:
    unknown material, flat ends without their thickness, a wall that leaves no room.

    >>> float(round(shell_mass(0.06, 0.001, 0.3, "titanium grade 2"), 4))
    0.2499
    """
    shape = shape_of(diameter, length, ends)
    t = positive("wall", wall)
    t = refuse(t, t >= shape.radius, "wall must be below half the diameter", UNUSABLE)
    sides = [np.asarray(side) for side in each_end(ends)]
    flat = np.logical_or(*(side == "flat" for side in sides))
    if any(np.isin(side, DISHED).any() for side in sides):
        raise ValueError("the mass of dished ends is not computed here: state the mass of the float")
    plate = np.where(flat, positive("end_wall", np.nan if end_wall is None else end_wall), 0.0)
    missing = "end_wall is missing: flat ends have a thickness of their own"
    plate = refuse(plate, flat & np.isnan(plate), missing, MISSING)
    plate = refuse(plate, 2 * plate > shape.length, "end_wall must be at most half the length", UNUSABLE)
    r = shape.radius - t / 2
    tube = shape.length - shape.ends
    caps = np.zeros(np.shape(tube))
    for side in sides:
        curved = np.where(side == "hemispherical", 2.0, _HALF_SPHEROID)
        caps = caps + np.where(side == "flat", shape.area * plate, curved * np.pi * r**2 * t)
        tube = tube - np.where(side == "flat", plate, 0.0)
    return scalar(np.asarray((2 * np.pi * r * t * tube + caps) * metal_density(material)))


class Body(NamedTuple):
    """What is given of the float: outside diameter [m], metal, shape of the ends, what is inside [kg]."""

    diameter: float
    material: str
    max_length: float
    ends: str = "hemispherical"
    inside_mass: float = 0.0
    """Magnets and their holder, at the magnet height; 0: what the table of sizing takes."""

    @property
    def magnets(self) -> float:
        """Mass of magnets and holder [kg]."""
        usual = load("sizing")["inside"]
        ring = np.pi / 4 * self.diameter**2 * usual["share"] * usual["height"] / 1e3 * usual["density"]
        return self.inside_mass or float(np.ceil(1e3 * ring) / 1e3)


@dataclass(frozen=True)
class Sized:
    """The float that would do, or why none does. Lengths [m], masses [kg], pressure [Pa gauge]."""

    body: Body
    reason: str = ""
    """Why there is none; "" where there is one."""
    length: float = np.nan
    longest: float = np.nan
    """Length up to which floats of this diameter and metal do, each with its own wall and mass."""
    wall: float = np.nan
    end_wall: float = np.nan
    """Flat ends only."""
    mass: float = np.nan
    metal_mass: float = np.nan
    magnet_height: float = np.nan
    magnet_mass: float = np.nan
    """Magnets and holder."""
    ballast_mass: float = np.nan
    """On the bottom: what the float weighs beside metal, magnets and holder."""
    metacentric_height: float = np.nan
    """The least at any condition; above zero, or the float leans on the wall."""
    permitted_pressure: float = np.nan
    temperature: float = np.nan
    """For which the strength was computed [K]."""

    def listed(self, mass: float | None = None) -> FloatList:
        """The float as a list of one, to be judged like any other."""
        wanted = (self.length, self.wall, self.permitted_pressure, self.mass if mass is None else mass)
        return _listed(self.body, self.temperature, np.array([[*wanted, self.magnet_height]]).T)


def size_float(duty: Duty, body: Body, mass_allowance: float | None = None) -> Sized:
    """The shortest float of this diameter, metal and shape of ends that suits the duty.

    It suits with its mass as given and off by mass_allowance (a share, 2 % by default) either way, stands
    upright by its own weight, and keeps its strength when the corrosion of the duty is off its wall. Where
    the duty states no design pressure the thinnest wall is taken. ValueError for an unknown material, a size
    that is none, or no design temperature: a metal is weaker when it is hot.
    """
    search = _search(duty, body, mass_allowance)
    found: Sized | None = None
    longest = np.nan
    for lengths in _pieces(body):
        for item in search.at(lengths):
            found = found or item
            longest = item.length
    if found is None:
        return Sized(body, search.reason())
    return Sized(**{**vars(found), "longest": longest})


def shortest_float(duty: Duty, body: Body, mass_allowance: float | None = None) -> Sized | None:
    """The float of `size_float`, without how long others may be, and without the reason where there is none.

    In a fraction of the time.
    """
    search = _search(duty, body, mass_allowance)
    search.brief = True
    return next((item for lengths in _pieces(body) for item in search.at(lengths)), None)


def _search(duty: Duty, body: Body, mass_allowance: float | None) -> _Search:
    allowance = load("sizing")["allowance"]["mass"] if mass_allowance is None else mass_allowance
    _check(body, allowance)
    if np.isnan(duty.design_temperature):
        raise Refused("state the design temperature: the metal is weaker when it is hot", MISSING)
    return _Search(duty, body, allowance)


def _check(body: Body, allowance: float) -> None:
    if find_material(body.material) is None:
        raise ValueError(unknown_material(body.material))
    if not (body.diameter > 0 and body.max_length > 0):
        raise ValueError("the diameter and the greatest length must be above 0")
    if not body.inside_mass >= 0:
        raise ValueError("the mass inside must not be negative")
    if not 0 <= allowance < 0.5:
        raise ValueError("the allowance of mass is a share: 0 to below 0.5")
    shortest = load("sizing")["least"]["slenderness"] * body.diameter
    if body.max_length < shortest * (1 - 1e-9):
        raise ValueError(
            f"the greatest length must be {mm(shortest)} or more: a shorter float of {mm(body.diameter)}"
            " tilts"
        )


def _whole(value: Array, step: float) -> Array:
    """Rounded to a multiple of `step`."""
    return np.asarray(np.round(np.round(value / step) * step, 9))


def _pieces(body: Body) -> Iterator[Array]:
    """The lengths, from the shortest, a few at a time [m]."""
    step = load("sizing")["steps"]["length"]
    shortest = load("sizing")["least"]["slenderness"] * body.diameter
    first = int(np.ceil(1e3 * shortest / step - 1e-9))
    last = int(np.floor(1e3 * body.max_length / step + 1e-9))
    for start in range(first, last + 1, _AT_ONCE):
        yield np.arange(start, min(start + _AT_ONCE, last + 1)) * step / 1e3


def _listed(body: Body, temperature: float, sizes: Array) -> FloatList:
    """Array of the rows length, wall, permitted pressure, mass, magnet height."""
    length, wall, permitted, mass, magnet = sizes
    return float_list(
        {
            "part": np.full(len(mass), "proposed", dtype=object),
            "mass": mass,
            "diameter": body.diameter,
            "length": length,
            "magnet_height": magnet,
            "ends": body.ends,
            "wall": wall,
            "material": body.material,
            "max_pressure": permitted,
            "max_temperature": temperature,
        }
    )


class _Near(NamedTuple):
    """A float that almost does, in the order of nearness."""

    sinks: bool
    failures: int
    worst_offset: float
    mean_density: float
    text: str


class _Trial(NamedTuple):
    """Array to be judged, as columns."""

    row: NDArray[np.int64]
    """Which of the lengths."""
    length: Array
    wall: Array
    permitted: Array
    metal: Array
    mass: Array
    magnet: Array


class _Search:
    """Array of many lengths and masses, and what speaks against the nearest of them."""

    def __init__(self, duty: Duty, body: Body, allowance: float) -> None:
        self.duty, self.body, self.allowance = duty, body, allowance
        self.pressure = 0.0 if np.isnan(duty.design_pressure) else duty.design_pressure
        self.temperature = duty.design_temperature
        self._factors = (1.0, 1 - allowance, 1 + allowance)
        self.brief = False
        """Whether nothing need be said of what does not suit: there is a float, or nobody asks."""
        self.near: _Near | None = None
        self.strongest = (0.0, 0.0)
        """Highest permitted pressure met, and its length."""
        self.why_weak = ""
        self.leaning = False
        """Whether one would do that leans on the wall, or is short for its bore."""

    def at(self, lengths: Array) -> Iterator[Sized]:
        """One float for each length at which there is one."""
        wall, end_wall, permitted = self._walls(lengths)
        able = ~np.isnan(wall)
        if not able.any():
            return
        lengths, wall, end_wall, permitted = (x[able] for x in (lengths, wall, end_wall, permitted))
        body = self.body
        metal = shell_mass(body.diameter, wall, lengths, body.material, body.ends, end_wall)
        row, mass = self._masses(lengths, metal)
        trial = _Trial(row, lengths[row], wall[row], permitted[row], metal[row], mass, np.empty(0))
        trial = trial._replace(magnet=self._magnets(trial))
        if self.brief:
            good, heights = self._suit_in_brief(trial, end_wall[row])
        else:
            heights = self._heights(trial, end_wall[row])
            good = self._suit(trial, heights)
        self.brief |= bool(good.any())
        for i in np.unique(row[good]).tolist():
            each = np.flatnonzero(good & (row == i))
            # between two liquids the float is steadiest half-way; at a level, the lighter the better
            j = int(each[len(each) // 2] if self.duty.interface else each[0])
            yield Sized(
                body,
                length=float(lengths[i]),
                wall=float(wall[i]),
                end_wall=float(end_wall[i]),
                mass=float(mass[j]),
                metal_mass=float(metal[i]),
                magnet_height=float(trial.magnet[j]),
                magnet_mass=body.magnets,
                ballast_mass=float(trial.mass[j] - trial.metal[j] - body.magnets),
                metacentric_height=float(heights[j]),
                permitted_pressure=float(permitted[i]),
                temperature=self.temperature,
            )

    def _walls(self, lengths: Array) -> tuple[Array, Array, Array]:
        """Thinnest wall and flat end that bear the pressure, and what they bear; NaN where none does."""
        body, sizing = self.body, load("sizing")
        thin = load("strength")["thin_shell"]["radius_over_wall"]
        thickest = body.diameter / (2 * thin + 1)
        least = sizing["least"]["wall"] + 1e3 * self.duty.corrosion
        options = _steps(least, thickest, sizing["steps"]["wall"])
        hot, safety = self.temperature, self.duty.safety_factor
        with reasons() as why:
            off = self.duty.corrosion
            shell = (body.diameter - 2 * off, options[:, None] - off, lengths[None, :] - 2 * off)
            bears = np.asarray(permitted_pressure(*shell, body.material, hot, body.ends, safety))
            if body.ends == "flat":
                plates = _steps(
                    sizing["least"]["end_wall"] + 1e3 * self.duty.corrosion,
                    sizing["thickest"]["end_wall"] * body.diameter,
                    sizing["steps"]["end_wall"],
                )
                plate = (body.diameter - 2 * off, options[:, None] - off, plates[None, :] - off)
                ends = np.asarray(permitted_flat_end_pressure(*plate, body.material, hot, safety))
        if not len(options) or np.isnan(bears).all():
            self.why_weak = str(next((t for t in why.at(bears).flat if t), "")) or (
                f"a diameter of {mm(body.diameter)} leaves no wall of {sizing['least']['wall']} mm or more"
            )
            return (np.full(len(lengths), np.nan),) * 3
        enough = bears >= self.pressure
        i = np.argmax(enough, axis=0)
        at = np.arange(len(lengths))
        good = enough[i, at]
        wall, permitted = np.where(good, options[i], np.nan), bears[i, at]
        end_wall = np.full(len(lengths), np.nan)
        most = bears.max(axis=0)
        if body.ends == "flat":
            strong = ends >= self.pressure
            j = np.argmax(strong[i], axis=1)
            good &= strong[i, j]
            wall = np.where(good, wall, np.nan)
            end_wall = np.where(good, plates[j], np.nan)
            permitted = np.minimum(permitted, ends[i, j])
            most = np.minimum(most, ends[-1, -1])
        best = int(np.nanargmax(most))
        self.strongest = max(self.strongest, (float(most[best]), float(lengths[best])))
        return wall, end_wall, permitted

    def _masses(self, lengths: Array, metal: Array) -> tuple[NDArray[np.int64], Array]:
        """Which length each trial has, and its mass, from the lightest to be made to the heaviest of use."""
        step = load("sizing")["steps"]["mass"] / 1e3
        room = volume(self.body.diameter, lengths, self.body.ends)
        keep = self.duty.minimum_reserve
        lower, upper = (self.duty.of_each(n)[0] for n in ("lower_density", "upper_density"))
        lightest = metal + self.body.magnets
        if self.duty.interface:
            lightest = np.maximum(lightest, room * (keep * lower + (1 - keep) * upper).max())
        lightest = np.ceil(lightest / step - 1e-9) * step
        heaviest = np.maximum(room * ((1 - keep) * lower + keep * upper).min(), lightest)
        spread = np.linspace(0.0, 1.0, _MASSES)
        mass = _whole(lightest[:, None] + spread * (heaviest - lightest)[:, None], step)
        row, column = np.nonzero(np.diff(mass, axis=1, prepend=-1.0) > 0)
        return row, mass[row, column]

    def _magnets(self, trial: _Trial) -> Array:
        """Magnet planes half-way between the deepest and the shallowest ride."""
        step = load("sizing")["steps"]["magnet_height"] / 1e3
        at = [c for c in self.duty.conditions if c.operating]
        body = (trial.mass, self.body.diameter, trial.length)
        depths = np.stack([immersion(*body, c.lower_density, c.upper_density, self.body.ends) for c in at])
        middle = (depths.min(axis=0) + depths.max(axis=0)) / 2
        return _whole(np.where(np.isnan(middle), trial.length / 2, middle), step)

    def _heights(self, trial: _Trial, end_wall: Array) -> Array:
        """Least metacentric height of each trial at any condition [m]."""
        body = self.body
        ballast = np.maximum(trial.mass - trial.metal - body.magnets, 0.0)
        shape = shape_of(body.diameter, trial.length, body.ends)
        filled = depth_of(np.minimum(ballast / load("sizing")["ballast"]["density"], shape.volume), shape)
        # its centre: half-way in a cylinder, at two thirds in a shallow cap, which is on the safe side
        centre = np.where(np.isnan(end_wall), trial.wall + filled * 2 / 3, end_wall + filled / 2)
        moment = trial.metal * trial.length / 2 + body.magnets * trial.magnet + ballast * centre
        gravity = moment / (trial.metal + body.magnets + ballast)
        gravity = np.minimum(gravity, trial.length)
        float_ = Float(trial.mass, body.diameter, trial.length, ends=body.ends, centre_of_gravity=gravity)
        with reasons():
            each = [
                metacentric_height(float_, Fluids(c.lower_density, c.upper_density))
                for c in self.duty.conditions
            ]
        return np.asarray(np.min(each, axis=0))

    def _stands(self, trial: _Trial, heights: Array) -> NDArray[np.bool_]:
        """Which floats stand upright and are long enough for their chamber."""
        return self._long(trial) & self._upright(heights)

    def _upright(self, heights: Array) -> NDArray[np.bool_]:
        return np.asarray(heights > load("sizing")["least"]["metacentric_height"] / 1e3)

    def _long(self, trial: _Trial) -> NDArray[np.bool_]:
        """Which floats are long enough for their chamber."""
        bore = self.body.diameter if np.isnan(self.duty.chamber_bore) else self.duty.chamber_bore
        straight = trial.length - shape_of(self.body.diameter, trial.length, self.body.ends).ends
        return np.asarray(straight >= load("sizing")["least"]["straight_over_bore"] * bore - 1e-9)

    def _suit(self, trial: _Trial, heights: Array) -> NDArray[np.bool_]:
        """Which floats suit the duty with every mass that is allowed; the nearest of the others is noted."""
        judged = {factor: self._judged(trial, factor) for factor in self._factors}
        failures = np.sum([item.failures() for item in judged.values()], axis=0)
        wanted = judged[1.0]
        worst = np.nan_to_num(wanted.worst, nan=np.inf)
        i = int(np.lexsort((wanted.mean, worst, failures, np.isinf(worst)))[0])
        key = (bool(np.isinf(worst[i])), int(failures[i]), float(worst[i]), float(wanted.mean[i]))
        upright = self._stands(trial, heights)
        if failures[i] and (self.near is None or key < self.near[:4]):
            self.near = _Near(*key, self._against(i, trial, judged))
        self.leaning |= bool(((failures == 0) & ~upright).any())
        return np.asarray((failures == 0) & upright)

    def _judged(self, trial: _Trial, factor: float) -> Judgement:
        sizes = (trial.length, trial.wall, trial.permitted, trial.mass * factor, trial.magnet)
        return Judgement(_listed(self.body, self.temperature, np.stack(sizes)), self.duty)

    def _suit_in_brief(self, trial: _Trial, end_wall: Array) -> tuple[NDArray[np.bool_], Array]:
        """`_suit` where nothing need be said of the others, and the heights of those that are left."""
        good, heights = self._long(trial), np.full(len(trial.mass), np.nan)
        for factor in self._factors:
            if not good.any():
                break
            some = trial._replace(**{name: column[good] for name, column in trial._asdict().items()})
            good[good] = self._judged(some, factor).failures() == 0
            if factor == 1 and good.any():
                some = trial._replace(**{name: column[good] for name, column in trial._asdict().items()})
                heights[good] = self._heights(some, end_wall[good])
                good &= self._upright(heights)
        return good, heights

    def _against(self, i: int, trial: _Trial, judged: dict[float, Judgement]) -> str:
        found = {factor: item.candidate(i).reasons for factor, item in judged.items()}
        factor = next(factor for factor, why in found.items() if why)
        off = "" if factor == 1 else f"with its mass {percent(abs(factor - 1))} off, "
        return (
            f"the nearest is {mm(trial.length[i])} long with a wall of {mm(trial.wall[i])} and weighs"
            f" {1e3 * trial.mass[i]:.1f} g ({1e3 * trial.metal[i]:.1f} g of it metal): {off}"
            f"{'; '.join(found[factor])}"
        )

    def reason(self) -> str:
        """Why there is no such float."""
        body = self.body
        what = (
            f"no float of {mm(body.diameter)} in {body.material} with {body.ends} ends up to"
            f" {mm(body.max_length)} long does"
        )
        if self.leaning:
            return f"{what}: those that read right are top-heavy, or short for the bore of the chamber"
        if self.near is not None:
            return f"{what}: {self.near.text}"
        if self.why_weak:
            return f"{what}: {self.why_weak}"
        pressure, length = self.strongest
        return (
            f"{what}: at {celsius(self.temperature)} the thickest wall for which the formulas hold bears"
            f" {barg(pressure)} at a length of {mm(length)}, the design pressure is {barg(self.pressure)}"
        )


def _steps(first: float, last: float, step: float) -> Array:
    """first, first + step ... up to `last` [m]; `first` and `step` in mm."""
    n = int(np.floor((1e3 * last - first) / step + 1e-9)) + 1
    return np.asarray((first + step * np.arange(max(n, 0))) / 1e3)
