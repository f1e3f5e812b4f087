"""Whole gauges: the worst reading and each share against a derivation of its own.

Volumes by quadrature over the float's profile, balances by root finding, the flow in the gap by its boundary
conditions, the loss in the connections by the library fluids, uncertainties by differences of whole balances.
Nothing here asks the package but for what is tested.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from fluids.friction import Churchill_1977
from scipy.integrate import quad
from scipy.optimize import brentq

from xlfuncs.worksheet import Refusal, call

G = 9.80665
DISHES = {"torispherical": (1.0, 0.1), "korbbogen": (0.8, 0.154)}
"""Crown and knuckle over the diameter: DIN 28011, DIN 28013."""


def depth_of(end: str, across: float) -> float:
    if end in DISHES:
        crown, knuckle = DISHES[end]
        return across * (crown - math.sqrt((crown - knuckle) ** 2 - (0.5 - knuckle) ** 2))
    return across * {"flat": 0.0, "hemispherical": 0.5, "elliptical": 0.25}[end]


def radius(end: str, across: float, s: float) -> float:
    """Radius of an end at a distance from its tip."""
    high, r = depth_of(end, across), across / 2
    if s >= high:
        return r
    if end in DISHES:
        crown, knuckle = (share * across for share in DISHES[end])
        edge = crown * (1 - np.cos(np.arcsin((r - knuckle) / (crown - knuckle))))
        if s <= edge:
            return math.sqrt(crown**2 - (crown - s) ** 2)
        return r - knuckle + math.sqrt(max(knuckle**2 - (high - s) ** 2, 0.0))
    return r * math.sqrt(max(1 - ((high - s) / high) ** 2, 0.0))


@dataclass(frozen=True)
class Body:
    mass: float
    across: float
    long: float
    bottom: str = "flat"
    top: str = "flat"

    def below(self, h: float) -> float:
        """Volume of the lowest h."""
        edges = {
            0.0,
            depth_of(self.bottom, self.across),
            self.long - depth_of(self.top, self.across),
            self.long,
        }
        for end, up in ((self.bottom, True), (self.top, False)):
            if end in DISHES:
                crown, knuckle = (share * self.across for share in DISHES[end])
                edge = crown * (1 - np.cos(np.arcsin((self.across / 2 - knuckle) / (crown - knuckle))))
                edges.add(edge if up else self.long - edge)
        total = 0.0
        for start, end_ in itertools.pairwise(sorted(edges)):
            if h > start:
                total += quad(self._section, start, min(end_, h), epsabs=1e-16, epsrel=1e-10)[0]
        return total

    def _section(self, s: float) -> float:
        low = radius(self.bottom, self.across, s)
        high = radius(self.top, self.across, self.long - s)
        return np.pi * min(low, high) ** 2

    def immersion(self, lower: float, upper: float, force: float = 0.0) -> float:
        whole = self.below(self.long)
        depth: float = brentq(
            lambda h: self.below(h) * lower + (whole - self.below(h)) * upper - self.mass - force / G,
            0.0,
            self.long,
            xtol=1e-10,
        )
        return depth


@cache
def upwards(across: float, bore: float, rises: float) -> float:
    """Force per length, viscosity and velocity on a float that moves up in its bore.

    `rises` is what moves up, over bore area times velocity: 1 where the level does too, 0 in a closed end.
    """
    r, wall = across / 2, bore / 2

    def flow(f: Callable[[float], float]) -> float:
        return float(quad(lambda s: 2 * np.pi * s * f(s), r, wall, epsrel=1e-12)[0])

    conditions = [
        [r * r / 4, np.log(r), 1],
        [wall * wall / 4, np.log(wall), 1],
        [flow(lambda s: s * s / 4), flow(np.log), flow(lambda s: 1.0)],
    ]
    between = np.pi * (rises * wall**2 - r**2)
    gradient, slope, _ = np.linalg.solve(np.array(conditions), [1, 0, between])
    return float(2 * np.pi * r * (gradient * r / 2 + slope / r) - gradient * np.pi * r * r)


@dataclass(frozen=True)
class Case:
    level: float
    body: Body
    plane: float
    lower: tuple[float, ...]
    upper: tuple[float, ...] = (0.0,)
    force: float = 0.0
    viscosity: float | None = None
    bore: float | None = None
    rate: float = 0.01
    nozzle: tuple[float, float] | None = None
    tension: float | None = None
    hot: tuple[float, str, float, str, float] | None = None
    """Temperature in degC, metal and mean coefficient of the float, metal and coefficient of the chamber."""
    u: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    vessel: float | None = None

    def shares(self, lower: float, upper: float) -> dict[str, tuple[float, float]]:
        body, h = self.body, self.body.immersion(lower, upper)
        level = self.level * ((self.vessel - upper) / (lower - upper) if self.vessel else 1.0)

        def pushed(force: float) -> tuple[float, float]:
            return h - body.immersion(lower, upper, force), h - body.immersion(lower, upper, -force)

        found = {"chamber": (level - self.level,) * 2, "offset": (self.plane - h,) * 2}
        found["friction"] = pushed(self.force) if self.force else (0.0, 0.0)
        wetted = np.pi * body.across * (self.tension or 0.0)
        found["capillary"] = pushed(wetted) if wetted else (0.0, 0.0)
        found["heat"] = (self._grown(lower, upper, level, h),) * 2
        found["tilt"] = self._leaning(self.plane - h)
        found["movement"] = self._moving(lower, upper, h)
        wide = 2 * self._spread(lower, upper)
        found["uncertainty"] = (-wide, wide)
        return found

    def _leaning(self, offset: float) -> tuple[float, float]:
        """A rectangle turned until it is as wide as the bore: the magnet's height shrinks with the cosine."""
        if self.bore is None:
            return 0.0, 0.0
        across, long, bore = self.body.across, self.body.long, self.bore
        turned = brentq(lambda a: across * np.cos(a) + long * np.sin(a) - bore, 0.0, np.pi / 4)
        change = offset * (np.cos(turned) - 1)
        return min(change, 0.0), max(change, 0.0)

    def _grown(self, lower: float, upper: float, level: float, h: float) -> float:
        if self.hot is None:
            return 0.0
        at, _, of_float, _, of_chamber = self.hot
        by, scale = 1 + of_float * (at - 20), 1 + of_chamber * (at - 20)
        body = Body(
            self.body.mass, self.body.across * by, self.body.long * by, self.body.bottom, self.body.top
        )
        return (level + self.plane * by - body.immersion(lower, upper)) / scale - (level + self.plane - h)

    def _moving(self, lower: float, upper: float, h: float) -> tuple[float, float]:
        if self.viscosity is None or self.bore is None:
            return 0.0, 0.0
        below = min(max(h - self.level, 0.0), h)  # the lower connection
        push = upwards(self.body.across, self.bore, 1.0) * (h - below)
        push += upwards(self.body.across, self.bore, 0.0) * below
        push *= self.viscosity * self.rate
        ahead = h - self.body.immersion(lower, upper, -push)
        behind = 0.0
        if self.nozzle is not None:
            narrow, along = self.nozzle
            speed = self.rate * (self.bore / narrow) ** 2
            factor = Churchill_1977(lower * speed * narrow / self.viscosity, 0.046e-3 / narrow)
            behind = (factor * along / narrow + 1.5) * lower * speed**2 / 2 / ((lower - upper) * G)
        return -abs(ahead - behind), abs(ahead - behind)

    def _spread(self, lower: float, upper: float) -> float:
        body, step = self.body, 1e-4

        def slope(change: Callable[[float], float]) -> float:
            return (change(1 + step) - change(1 - step)) / (2 * step)

        def of_mass(f: float) -> float:
            return Body(f * body.mass, body.across, body.long, body.bottom, body.top).immersion(lower, upper)

        def of_diameter(f: float) -> float:
            return Body(body.mass, f * body.across, body.long, body.bottom, body.top).immersion(lower, upper)

        u_mass, u_across, u_plane, u_lower = self.u
        parts = (
            slope(of_mass) * u_mass / body.mass if u_mass else 0.0,
            slope(of_diameter) * u_across / body.across if u_across else 0.0,
            u_plane,
            slope(lambda f: body.immersion(f * lower, upper)) * u_lower / lower if u_lower else 0.0,
        )
        return float(np.sqrt(sum(part**2 for part in parts)))

    def arguments(self) -> list[object]:
        """As in a cell."""
        body = self.body
        sizes = (body.mass, body.across, body.long, self.plane)
        at, float_metal, _, chamber_metal, _ = self.hot or (None, "", 0.0, "", 0.0)
        narrow, along = self.nozzle or (None, None)
        u_mass, u_across, u_plane, u_lower = self.u
        return [
            1e3 * self.level,
            *(1e3 * x for x in sizes),
            min(self.lower),
            max(self.lower),
            min(self.upper),
            max(self.upper),
            f"{body.bottom}/{body.top}",
            self.force,
            None if self.viscosity is None else 1e3 * self.viscosity,
            None if self.bore is None else 1e3 * self.bore,
            1e3 * self.rate,
            None if narrow is None else 1e3 * narrow,
            None if along is None else 1e3 * along,
            self.tension,
            at,
            float_metal,
            chamber_metal,
            1e3 * u_mass,
            1e3 * u_across,
            1e3 * u_plane,
            u_lower,
            self.vessel,
        ]


ROUND = ("hemispherical", "hemispherical")
CASES = {
    "held by 0.05 N, 820 to 880 kg/m3": Case(0.5, Body(0.28, 0.05, 0.2), 0.168, (820, 880), force=0.05),
    "hemispherical, its top end reached by the force": Case(
        0.5, Body(0.35, 0.05, 0.25, *ROUND), 0.215, (800, 850), (5, 30), force=0.08
    ),
    "interface, light liquid 780 to 820": Case(
        0.4, Body(0.38, 0.05, 0.2), 0.15, (1000,), (780, 820), force=0.05
    ),
    "100 mPa.s in bore 60": Case(0.5, Body(0.28, 0.05, 0.2), 0.165, (850,), viscosity=0.1, bore=0.06),
    "30 mPa.s, level at the lower connection": Case(
        0.0, Body(0.28, 0.05, 0.2), 0.165, (850,), viscosity=0.03, bore=0.06
    ),
    "50 mPa.s, half of the float below the lower connection": Case(
        0.08, Body(0.28, 0.05, 0.2), 0.165, (850,), viscosity=0.05, bore=0.06
    ),
    "nozzle 24 x 200 mm, 200 mPa.s": Case(
        0.5, Body(0.28, 0.05, 0.2), 0.165, (850,), viscosity=0.2, bore=0.06, nozzle=(0.024, 0.2)
    ),
    "surface tension of 30 mN/m": Case(0.5, Body(0.28, 0.05, 0.2), 0.165, (850,), tension=0.03),
    "titanium in steel at 315 degC": Case(
        0.8,
        Body(0.2, 0.05, 0.2),
        0.165,
        (650,),
        (10,),
        hot=(315, "titanium grade 2", 9.2e-6, "316L", 17.075e-6),
    ),
    "uncertain": Case(0.5, Body(0.28, 0.05, 0.2), 0.15, (850,), u=(1e-3, 1e-4, 5e-4, 5)),
    "everything, flat": Case(
        0.9,
        Body(0.3, 0.052, 0.22),
        0.17,
        (780, 860),
        (2, 12),
        0.06,
        0.03,
        0.062,
        0.02,
        (0.02, 0.15),
        0.025,
        u=(2e-3, 1e-4, 5e-4, 4),
    ),
    "everything, hemispherical": Case(
        0.7,
        Body(0.32, 0.05, 0.26, *ROUND),
        0.19,
        (820, 870),
        (1, 8),
        0.04,
        0.05,
        0.058,
        tension=0.03,
        u=(1e-3, 5e-5, 5e-4, 3),
    ),
    "interface, elliptical, uncertain": Case(
        0.35,
        Body(0.39, 0.05, 0.225, "elliptical", "elliptical"),
        0.115,
        (1000, 1020),
        (850,),
        0.02,
        tension=0.03,
        u=(1e-3, 5e-5, 3e-4, 2),
    ),
    "steam drum at 40 bar, chamber at 100 degC": Case(
        0.5, Body(0.26, 0.05, 0.2), 0.14, (960.1703,), (20.08995,), 0.05, vessel=798.3678
    ),
    "flat bottom, torispherical top, 150 degC": Case(
        0.6,
        Body(0.3, 0.06, 0.19, "flat", "torispherical"),
        0.165,
        (700, 760),
        (15,),
        0.05,
        hot=(150, "316L", 16.25e-6, "316L", 16.25e-6),
    ),
    "deposit of 20 g on a dished float, narrow nozzle": Case(
        1.2,
        Body(0.32, 0.055, 0.23, "korbbogen", "korbbogen"),
        0.175,
        (800, 840),
        (3,),
        0.1,
        0.0006,
        0.065,
        0.04,
        (0.012, 0.3),
        u=(2e-3, 0, 0, 0),
    ),
}


@pytest.mark.parametrize("name", list(CASES))
def test_the_worst_reading_is_the_sum_of_what_shifts_the_float(name: str) -> None:
    case = CASES[name]
    cases = [case.shares(lower, upper) for lower in case.lower for upper in case.upper]
    at_low = min(cases, key=lambda shares: sum(low for low, _ in shares.values()))
    at_high = max(cases, key=lambda shares: sum(high for _, high in shares.values()))
    rows = {row[0]: row for row in call("LG_WORST_READING", *case.arguments())}
    _, lowest, highest, _ = rows["reading"]
    assert lowest == pytest.approx(1e3 * (case.level + sum(low for low, _ in at_low.values())), abs=0.002)
    assert highest == pytest.approx(1e3 * (case.level + sum(high for _, high in at_high.values())), abs=0.002)
    for effect, (low, _) in at_low.items():
        assert rows[effect][1] == pytest.approx(1e3 * low, abs=0.002), effect
    for effect, (_, high) in at_high.items():
        assert rows[effect][2] == pytest.approx(1e3 * high, abs=0.002), effect


def test_a_float_held_by_more_than_its_weight_has_no_reading() -> None:
    case = Case(0.5, Body(0.33, 0.05, 0.2), 0.195, (880,), force=5.0)
    rows = {row[0]: row for row in call("LG_WORST_READING", *case.arguments())}
    assert isinstance(rows["reading"][1], Refusal)
    assert "does not follow" in rows["reading"][1].reason
