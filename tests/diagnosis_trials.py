"""Made-up gauges with a known fault, read with noise: how often the diagnosis names the fault.

    python -m tests.diagnosis_trials

prints the confusion matrix. The readings are made here, from the float balance and plain arithmetic, not by
the models that the diagnosis fits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

import numpy as np

from xlfuncs.gauge.causes import FALLING, RISING, STILL, Array, Gauge, Readings
from xlfuncs.gauge.diagnosis import FOUND, NOTHING_WRONG, UNTOLD, Diagnosis, diagnose
from xlfuncs.gauge.floats import immersed_volume, immersion, magnet_height, volume

LEVEL_NOISE, DENSITY_NOISE = 0.002, 0.005
TRIALS = 40
SEED = 20240611

FLOATS = (
    # mass, diameter, length, ends, density for which it reads true
    (0.280, 0.050, 0.200, "flat", 850.0),
    (0.350, 0.050, 0.250, "hemispherical", 850.0),
    (0.520, 0.060, 0.300, "elliptical", 800.0),
    (0.430, 0.050, 0.300, "hemispherical", 985.0),
)


@dataclass
class Truth:
    """A gauge as it really is; one fault is put into it."""

    gauge: Gauge
    density: Array
    """Actual, in the vessel."""
    level: Array
    direction: Array
    rate: Array
    rng: np.random.Generator
    chamber_ratio: float = 1.0
    added_mass: float = 0.0
    inverted: bool = False
    held: float | None = None
    band: float = 0.0
    seconds: float = 0.0
    scale: float = 0.0
    indicator: float | None = None
    mounting: float = 0.0
    span: float = 1.0
    step: float = 0.0
    set_point: float | None = None

    def magnet(self) -> Array:
        g = self.gauge
        chamber = self.density * self.chamber_ratio
        height = self.level * (self.density - g.upper_density) / (chamber - g.upper_density)
        plane = g.length - g.magnet_height if self.inverted else g.magnet_height
        depth = immersion(g.mass + self.added_mass, g.diameter, g.length, chamber, g.upper_density, g.ends)
        if self.held is not None:
            return np.full(len(self.level), self.held)
        # a float that drags rests where it was left
        last = np.where(self.direction == STILL, self.rng.choice([-1.0, 1.0]), self.direction)
        behind = last * self.band + self.direction * self.rate * self.seconds
        return np.asarray(height + plane - depth - behind)

    def readings(self, stated_density: Array) -> Readings:
        g, n = self.gauge, len(self.level)
        magnet = self.magnet()
        assert not np.isnan(magnet).any(), self
        indicated = magnet + self.scale + self.rng.normal(0, LEVEL_NOISE, n)
        if self.indicator is not None:
            indicated = np.full(n, self.indicator) + self.rng.normal(0, LEVEL_NOISE, n)
        sensed = magnet + self.mounting
        if self.step:
            sensed = np.round(sensed / self.step) * self.step
        # indicator and transmitter share what the float does; each has its own error
        seen = sensed + self.rng.normal(0, LEVEL_NOISE, n)
        share = seen / g.urv / self.span
        current = np.where((share > -0.01) & (share < 1.03), 0.004 + 0.016 * share, np.nan)
        sample = np.full(n, np.nan)
        sample[-1] = self.density[-1] * self.chamber_ratio * (1 + self.rng.normal(0, DENSITY_NOISE))
        acts_at = g.set_point if self.set_point is None else self.set_point
        return Readings(
            stated_density,
            level=self.level + self.rng.normal(0, LEVEL_NOISE, n),
            indicated=indicated,
            current=current,
            sample_density=sample,
            direction=self.direction,
            level_rate=self.rate,
            switch=(magnet > acts_at).astype(float),
        )


def survey(rng: np.random.Generator) -> tuple[Truth, Array]:
    """A healthy gauge read at three levels, rising and falling, at the middle also fast and at rest; with the
    densities that are stated for it."""
    mass, diameter, length, ends, design = FLOATS[rng.integers(len(FLOATS))]
    plane = float(magnet_height(mass, diameter, length, design, 2.0, ends))
    distance = float(rng.choice([0.7, 1.0, 1.5, 2.0]))
    gauge = Gauge(
        *(mass, diameter, length, plane, ends, 2.0),
        lrv=0.0,
        urv=distance,
        visible_range=distance,
        set_point=0.7 * distance,
    )
    share = np.array([0.2, 0.2, 0.5, 0.5, 0.5, 0.5, 0.8, 0.8, 0.5, 0.5]) + rng.uniform(-0.05, 0.05, 10)
    direction = np.array([RISING, FALLING] * 4 + [STILL, STILL])
    rate = np.array([3, 3, 3, 3, 8, 8, 3, 3, 0, 0]) / 1e3
    stated = np.full(len(share), design * rng.uniform(0.98, 1.02))
    actual = stated * (1 + rng.normal(0, DENSITY_NOISE))
    return Truth(gauge, actual, share * distance, direction, rate, rng), stated


def _either(rng: np.random.Generator, low: float, high: float) -> float:
    """Between low and high, or between -high and -low."""
    return float(rng.choice([-1.0, 1.0]) * rng.uniform(low, high))


def _depth(truth: Truth) -> float:
    g = truth.gauge
    return float(immersion(g.mass, g.diameter, g.length, truth.density[0], g.upper_density, g.ends))


def _lighter_or_denser(t: Truth) -> Truth:
    """Lighter by as much as still carries the float a third of its height above the surface."""
    g, depth = t.gauge, _depth(t)
    if t.rng.random() < 0.5:
        return replace(t, density=t.density * t.rng.uniform(1.05, 1.2))
    deepest = depth + 0.65 * (g.length - depth)
    below = float(
        immersed_volume(t.rng.uniform((depth + deepest) / 2, deepest), g.diameter, g.length, g.ends)
    )
    whole = float(volume(g.diameter, g.length, g.ends))
    lighter = (g.mass - g.upper_density * (whole - below)) / below
    return replace(t, density=np.full_like(t.density, lighter))


def _deposit(t: Truth) -> Truth:
    g, depth = t.gauge, _depth(t)
    deeper = depth + t.rng.uniform(0.3, 0.65) * (g.length - depth)
    below = float(immersed_volume(deeper, g.diameter, g.length, g.ends))
    whole = float(volume(g.diameter, g.length, g.ends))
    mass = below * t.density[0] + (whole - below) * g.upper_density
    return replace(t, added_mass=mass - g.mass)


def _moved_switch(t: Truth) -> Truth:
    share = t.rng.choice([0.35, 0.95, 9.0])
    return replace(t, set_point=share * t.gauge.urv)


FAULTS: dict[str, Callable[[Truth], Truth]] = {
    "as designed": lambda t: t,
    "density not as stated": _lighter_or_denser,
    "float upside down": lambda t: replace(t, inverted=True),
    "float heavier (deposit, or liquid inside)": _deposit,
    "float sunk (flooded or collapsed)": lambda t: replace(t, held=-t.rng.uniform(0, 0.1)),
    "scale shifted": lambda t: replace(t, scale=_either(t.rng, 0.01, 0.08)),
    "chamber colder or hotter than the vessel": lambda t: replace(
        t, chamber_ratio=1 + float(t.rng.choice([t.rng.uniform(-0.05, -0.03), t.rng.uniform(0.03, 0.15)]))
    ),
    "float stuck": lambda t: replace(t, held=t.rng.uniform(0.2, 0.9) * t.gauge.urv),
    "float drags": lambda t: replace(t, band=t.rng.uniform(0.008, 0.04)),
    "float follows late (viscous liquid)": lambda t: replace(t, seconds=t.rng.uniform(2.0, 8.0)),
    "indicator does not follow the float": lambda t: replace(
        t, indicator=t.rng.uniform(0.1, 0.9) * t.gauge.urv
    ),
    "transmitter mounted too high or low": lambda t: replace(t, mounting=_either(t.rng, 0.01, 0.08)),
    "transmitter range off": lambda t: replace(t, span=1 + _either(t.rng, 0.03, 0.1)),
    "transmitter steps": lambda t: replace(t, step=t.rng.uniform(0.025, 0.05)),
    "switch off its set point, or dead": _moved_switch,
}
"""Cause -> how it is put into a gauge; each plain beside the noise."""


class Outcome(NamedTuple):
    truth: str
    first: str
    verdict: str
    rivals: tuple[str, ...]


def outcome(truth: str, found: Diagnosis) -> Outcome:
    rivals = tuple(f.cause.name for f in found.rivals)
    return Outcome(truth, found.findings[0].cause.name, found.verdict, rivals)


def separable(trials: int = TRIALS, seed: int = SEED) -> list[Outcome]:
    """Each fault in a gauge that was read thoroughly."""
    rng = np.random.default_rng(seed)
    done = []
    for name, fault in FAULTS.items():
        for _ in range(trials):
            healthy, stated = survey(rng)
            done.append(outcome(name, diagnose(healthy.gauge, fault(healthy).readings(stated))))
    return done


INSEPARABLE = ("density not as stated", "float heavier (deposit, or liquid inside)", "scale shifted")
"""At one level with one reading, all three only shift it."""


def inseparable(trials: int = TRIALS, seed: int = SEED) -> list[Outcome]:
    """Faults that one reading of the indicator at one level cannot tell apart."""
    rng = np.random.default_rng(seed + 1)
    done = []
    for name in INSEPARABLE:
        for _ in range(trials):
            healthy, stated = survey(rng)
            full = FAULTS[name](healthy).readings(stated)
            one = Readings(stated[:1], level=full.level[2:3], indicated=full.indicated[2:3])
            done.append(outcome(name, diagnose(healthy.gauge, one)))
    return done


@dataclass(frozen=True)
class Score:
    """How often the diagnosis was right."""

    thorough: list[Outcome]
    """Of gauges that were read thoroughly."""
    single: list[Outcome]
    """Of gauges with one reading."""

    @property
    def right(self) -> float:
        """Share of the thorough readings whose cause came first."""
        return sum(o.first == o.truth for o in self.thorough) / len(self.thorough)

    @property
    def sure(self) -> list[Outcome]:
        """Those of all outcomes that name one cause."""
        return [o for o in (*self.thorough, *self.single) if o.verdict in (FOUND, NOTHING_WRONG)]

    @property
    def mistaken(self) -> float:
        """Share of the outcomes that name one cause, and the wrong one."""
        return sum(o.first != o.truth for o in self.sure) / len(self.sure)

    @property
    def untold(self) -> float:
        """Share of the single readings that are said to tell nothing, the right cause among those named."""
        return sum(o.verdict == UNTOLD and o.truth in o.rivals for o in self.single) / len(self.single)


@cache
def score(trials: int = TRIALS, seed: int = SEED) -> Score:
    return Score(separable(trials, seed), inseparable(trials, seed))


def lines(result: Score) -> Iterator[str]:
    """The confusion matrix and the shares, as text."""
    names = list(FAULTS)
    count = Counter((o.truth, o.first) for o in result.thorough)
    each = len(result.thorough) // len(names)
    yield (
        f"Diagnosis: fault in a made-up gauge (down), cause ranked first (across); {each} gauges each,"
        f" read to {1e3 * LEVEL_NOISE:g} mm, density to {100 * DENSITY_NOISE:g} % (standard uncertainty)"
    )
    for number, name in enumerate(names, start=1):
        cells = "".join(f"{count[name, other] or '.':>4}" for other in names)
        yield f"{number:>3} {name:<42}{cells}"
    yield " " * 46 + "".join(f"{number:>4}" for number in range(1, len(names) + 1))
    yield (
        f"right cause first {result.right:.1%}; one cause named in {len(result.sure)} cases, the wrong one in"
        f" {result.mistaken:.1%}"
    )
    yield (
        f"one reading of a density, a deposit or a shifted scale: '{UNTOLD}', the right one among those"
        f" named, {result.untold:.1%} of {len(result.single)}"
    )


if __name__ == "__main__":
    print("\n".join(lines(score())))
