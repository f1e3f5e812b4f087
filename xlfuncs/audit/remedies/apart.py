"""A float whose cases alone lie further apart than the tolerance lets it read: what would help then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, floor, log10
from typing import Final

import numpy as np

from xlfuncs.audit.remedies.doubted import Body
from xlfuncs.audit.remedies.duties import density_field, pairs, set_by
from xlfuncs.audit.remedies.trial import Trial
from xlfuncs.audit.remedy import Option
from xlfuncs.audit.rounding import FIELDS
from xlfuncs.gauge import choice


@dataclass(frozen=True)
class Wide:
    """That nothing of float, magnet and scale brings a gauge within the tolerance."""

    options: tuple[Option, ...] = ()
    said: str = ""
    """How far the cases are apart, and by what; "" where they are near enough."""


_SHARE: Final = 0.995


@dataclass(frozen=True)
class Apart:
    """A float whose readings over the cases are far apart."""

    trial: Trial
    body: Body
    other: str = ""
    """'a float of this size of 545 g, and ', where it is not the present one."""

    @property
    def reading(self) -> tuple[float, float]:
        return self.trial.reading(self.body)

    @property
    def allowed(self) -> float:
        """How far apart they may be [m]."""
        return 2 * self.trial.duty.tolerance

    @property
    def asked(self) -> float:
        """How far apart they are to be, a little less: the numbers are rounded for the reader [m]."""
        return _SHARE * self.allowed

    def option(self, text: str, shift: float, numbers: dict[str, float]) -> Option:
        """What would do, with the scale in the middle."""
        scale = ""
        if abs(shift) >= 5e-5:
            side = "higher" if shift > 0 else "lower"
            far = set_by(self.trial.gauges, self.trial.record, shift)
            scale = f", with the scale set {far} {side}"
        changes = {"float_mass": self.body[0]} if self.other else {}
        numbers = numbers | {"scale_set_mm": 1e3 * shift}
        return Option(f"{self.other}{text}{scale}", "", None, numbers, changes)


def too_wide(trial: Trial, body: Body, heavier: Body | None) -> Wide:
    """Whether the readings over the cases are too far apart, however they are centred; what would do."""
    far = Apart(trial, body)
    if heavier is not None and np.isnan(sum(far.reading)):
        weight = trial.gauges.say(trial.record, "float_mass", heavier[0])
        far = Apart(trial, heavier, f"a float of this size of {weight}, and ")
    low, high = far.reading
    other = np.nan if heavier is None else np.ptp(trial.reading(heavier))
    if not np.fmin(high - low, other) > far.allowed * (1 + 1e-9):
        return Wide()
    parts = ", ".join(f"{name} {1e3 * width:.1f}" for name, width in _widths(far).items())
    said = (
        f"no mass, magnet plane or scale alone brings a float of this size within: at worst its readings lie"
        f" {1e3 * (high - low):.1f} mm apart ({parts} mm), twice the tolerance is {choice.mm(far.allowed)}"
    )
    stands = trial.stands(far.body)
    options = (*_narrower(far), *(_finer(far) if stands else ()), *(_noted(far) if stands else ()))
    return Wide(options, said)


def _widths(far: Apart) -> dict[str, float]:
    """What the readings are apart by, effect for effect [m]; the most first."""
    ends = far.trial.ends(far.body)
    if ends is None:
        return {}
    low, high = ends
    each = {name: high.shares[name] - low.shares[name] for name in high.shares}
    seen = [(_WORDS.get(name, name), width) for name, width in each.items() if abs(width) >= 5e-5]
    return dict(sorted(seen, key=lambda one: -abs(one[1])))


_ROUNDING = "rounding of its data"
_WORDS = {"offset": "densities", "uncertainty": _ROUNDING}


def _narrower(far: Apart) -> Iterator[Option]:
    """The widest range of densities, about the middle of the stated one, in which a scale would do."""
    lowers = [one.lower_density for one in far.trial.duty.conditions]
    middle, half = (min(lowers) + max(lowers)) / 2, (max(lowers) - min(lowers)) / 2
    if not half or not _width(_within(far.trial, middle, 0.0), far.body) <= far.asked:
        return
    fits, beyond = 0.0, half
    for _ in range(40):
        tried = (fits + beyond) / 2
        enough = _width(_within(far.trial, middle, tried), far.body) <= far.asked
        fits, beyond = (tried, beyond) if enough else (fits, tried)
    inside = _within(far.trial, middle, fits)
    if not inside.stands(far.body):
        return
    gauges, record = far.trial.gauges, far.trial.record
    name = density_field(gauges, record)
    ends = [gauges.say(record, name, middle + way * fits) for way in (-1, 1)]
    numbers = {"density_low_kg_m3": middle - fits, "density_high_kg_m3": middle + fits}
    text = f"a range of densities no wider than {ends[0]} to {ends[1]}"
    yield far.option(text, sum(inside.reading(far.body)) / 2, numbers)


def _within(trial: Trial, middle: float, half: float) -> Trial:
    """The same gauge with a narrower range of densities."""
    uppers = [one.upper_density for one in trial.duty.conditions]
    viscosity = trial.duty.conditions[0].viscosity
    conditions = pairs((middle - half, middle + half), (min(uppers), max(uppers)), viscosity)
    return replace(trial, duty=replace(trial.duty, conditions=conditions))


def _width(trial: Trial, body: Body) -> float:
    """How far its readings are apart at worst [m]; infinite where it has none."""
    low, high = trial.reading(body)
    return high - low if np.isfinite(low + high) else np.inf


def _finer(far: Apart) -> Iterator[Option]:
    """How finely the float's data would have to be known: their rounding may be what is too much."""
    low, high = far.reading
    rounding = _widths(far).get(_ROUNDING, 0.0)
    share = (far.asked - (high - low - rounding)) / rounding if rounding > 0 else 0.0
    if not 0 < share < 1:
        return
    trial = far.trial
    known = [
        f"its {name.replace('_', ' ')} to {trial.gauges.say(trial.record, FIELDS[name], _two_digits(half))}"
        for name, half in ((name, trial.half_digit(name) * share) for name in FIELDS)
    ]
    text = f"the float measured: {', '.join(known)} or better"
    ends = trial.ends(far.body) or ()
    middle = sum(one.reading - (1 - share) * one.shares["uncertainty"] for one in ends) / 2
    yield far.option(text, middle, {"rounding_share": share})


def _two_digits(number: float) -> float:
    """A number no larger than this one, in two digits.

    >>> _two_digits(4.79e-5)
    4.7e-05
    """
    size = 10.0 ** (floor(log10(number)) - 1)
    return float(f"{floor(number / size + 1e-9) * size:.12g}")


def _noted(far: Apart) -> Iterator[Option]:
    """A wider tolerance, and the note of how far the gauge may be off."""
    low, high = far.reading
    needed = ceil(1e4 * (high - low) / 2 - 1e-6) / 10
    text = (
        f"a tolerance of {needed:.1f} mm accepted for this service, and a note on the gauge that it may read"
        f" so much low or high"
    )
    yield far.option(text, (low + high) / 2, {"tolerance_mm": needed})
