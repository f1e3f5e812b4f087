"""What several of the rules of this family need."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import (
    ATMOSPHERE,
    DENSITIES,
    Gauges,
    Mask,
    label,
)
from xlfuncs.audit.registry import Undecided, unexplained
from xlfuncs.gauge import Array, Reasons, floats, fluids, reasons

GEOMETRY = ("float_mass", "float_diameter", "float_length")


INTERFACE_GAUGE = {
    "service_type": "interface",
    "float_service": "interface",
    "upper_density": "800 kg/m3",
    "float_mass": "440 g",
    "float_diameter": "50.04 mm",
    "float_design_density": None,
    "magnet_height": "131 mm",
}
"""A sound interface gauge."""


def of_level(gauges: Gauges) -> Mask:
    return ~gauges.interface


def of_interface(gauges: Gauges) -> Mask:
    return gauges.interface


def density_field(gauges: Gauges, record: int, *, lowest: bool) -> str:
    """The field in which the lowest (highest) density of a gauge stands."""
    names = [name for name in DENSITIES if gauges.given(name)[record]]
    pick = min if lowest else max
    return pick(
        names,
        key=lambda name: gauges.column(name).low[record] if lowest else gauges.column(name).high[record],
    )


def shapes_of(gauges: Gauges) -> list[NDArray[np.str_]]:
    """Shape of each float's ends as stated; every shape in turn for the floats that state none."""

    def compute() -> list[NDArray[np.str_]]:
        mass, diameter, length, _ = gauges.float_shape
        stated = gauges.given("float_ends") | np.isnan(mass + diameter + length)
        shapes = floats.ENDS[:1] if stated.all() else floats.ENDS
        return [np.where(stated, gauges.ends, shape) for shape in shapes]

    return gauges.derived("shapes", compute)


def shape_note(gauges: Gauges, record: int) -> str:
    return "" if gauges.given("float_ends")[record] else ", whatever the shape of its ends"


def mean_densities(gauges: Gauges) -> Array:
    """Mean density of each float for each of `shapes_of`; NaN for a shape that it cannot have."""

    def compute() -> Array:
        mass, diameter, length, _ = gauges.float_shape
        return np.stack([floats.float_density(mass, diameter, length, ends) for ends in shapes_of(gauges)])

    return gauges.derived("mean_densities", compute)


def verdict(bad: Mask, possible: Mask) -> tuple[Mask, Mask]:
    """Where it is bad in every possible case, and where in some of them only. Cases along the first axis."""
    some = np.logical_or.reduce(bad & possible)
    certain = some & np.logical_and.reduce(bad | ~possible)
    return np.asarray(certain), np.asarray(some & ~certain)


def depends_on_shape(doubtful: Mask) -> Undecided:
    return Undecided(doubtful, label("float_ends"))


def worst_offset(
    gauges: Gauges, ends: NDArray[np.str_], uppers: Sequence[Array]
) -> tuple[Array, Array, Array]:
    """Reading offset furthest from zero [m] over the stated densities, with its lower and upper density."""
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    pairs = [(lower, upper) for upper in uppers for lower in gauges.different_densities]
    offsets = np.stack(
        [floats.reading_offset(mass, diameter, length, plane, lower, upper, ends) for lower, upper in pairs]
    )
    pick = np.argmax(np.where(np.isnan(offsets), -1.0, np.abs(offsets)), axis=0)[None]
    lowers, uppers_ = (np.stack(column) for column in zip(*pairs, strict=True))
    worst, lower, upper = (np.take_along_axis(v, pick, 0)[0] for v in (offsets, lowers, uppers_))
    return worst, lower, upper


Case = tuple[Array, Array, Array]


def offset_cases(gauges: Gauges) -> tuple[list[Case], Reasons]:
    """`worst_offset` for each of `shapes_of`, over the stated range of the upper fluid; why it is NaN."""

    def compute() -> tuple[list[Case], Reasons]:
        least, most = gauges.uppers
        stated = gauges.mentioned("upper_density")
        uppers = (least, most) if (stated & (most > least)).any() else (least,)
        each = [np.where(stated, upper, least) for upper in uppers]
        with reasons() as why:
            return [worst_offset(gauges, ends, each) for ends in shapes_of(gauges)], why

    return gauges.derived("offset_cases", compute)


Variant = tuple[NDArray[np.str_], list[tuple[Array, Array]]]
"""Shape of each float's ends, and the pairs of densities of lower and upper fluid."""


def variants(gauges: Gauges) -> list[Variant]:
    """Each of `shapes_of` with every stated pair of densities, once with no vapour and once with a heavy one
    where a level gauge states none."""

    def compute() -> list[Variant]:
        stated = gauges.mentioned("upper_density")
        least, most = gauges.uppers
        silent = (least, most) if (~stated & (most > least)).any() else (least,)
        each = [
            [(lower, np.where(stated, upper, open_)) for lower in gauges.densities for upper in (least, most)]
            for open_ in silent
        ]
        return [(ends, pairs) for ends in shapes_of(gauges) for pairs in each]

    return gauges.derived("variants", compute)


def nearest_shape(cases: Sequence[Case]) -> NDArray[np.int64]:
    """Number of the shape with which each float reads nearest to the truth."""
    offsets = np.stack([case[0] for case in cases])
    return np.asarray(np.argmin(np.where(np.isnan(offsets), np.inf, np.abs(offsets)), axis=0))


def nearest_ends(gauges: Gauges) -> NDArray[np.str_]:
    """Shape of each float's ends as stated; where it is not, the one that reads nearest to the truth."""
    nearest, *others = shapes_of(gauges)
    chosen = nearest_shape(offset_cases(gauges)[0])
    for number, shape in enumerate(others, 1):
        nearest = np.where(chosen == number, shape, nearest)
    return nearest


def left_open(gauges: Gauges, doubtful: Mask) -> Iterator[Undecided]:
    """Gauges whose verdict hangs on the shape of the ends, or on the vapour, that they do not state."""
    shape = doubtful & ~gauges.given("float_ends")
    yield depends_on_shape(shape)
    yield Undecided(doubtful & ~shape, label("upper_density"))


def boiling_points(gauges: Gauges, where: Mask) -> tuple[Array, list[Undecided]]:
    """([K] at the lowest operating pressure, NaN where not asked for or not known; what is not known, and
    why)."""
    boiling = np.full(gauges.n, np.nan)
    if not where.any():
        return boiling, []
    pressure = gauges.low("operating_pressure")[where] + ATMOSPHERE
    with reasons() as why:
        boiling[where] = fluids.saturation_temperature(gauges.texts("fluid")[where], pressure)
    return boiling, list(unexplained(where, boiling[where], why, "pressure at which the fluid can boil"))
