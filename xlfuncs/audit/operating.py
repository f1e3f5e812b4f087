"""The density that a known fluid has at operating conditions, beside the one that is stated."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import ATMOSPHERE, Gauges, Mask
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import Array, Reasons, density, fluids, reasons


def statable(gauges: Gauges) -> Mask:
    """Gauges whose (lower) fluid is a pure one with reference data.

    On an interface gauge that names no upper fluid the name may be either's.
    """
    return gauges.given("known_fluid") & one_fluid(gauges)


def one_fluid(gauges: Gauges) -> Mask:
    """Where the stated fluid is the lower one: level gauges, and those that name the upper fluid besides."""
    return ~gauges.interface | gauges.given("upper_fluid")


def liquid_at(names: NDArray[np.object_], kelvin: Array, pascal: Array, margin: float) -> Array:
    """Pressures, raised to saturation where the stated state lies on it but for rounding: a
    boiling liquid."""
    boiling = fluids.saturation_pressure(names, kelvin)
    near = pascal >= fluids.saturation_pressure(names, kelvin - margin)
    raised: Array = np.where(near, np.fmax(pascal, boiling * (1 + 1e-9)), pascal)
    return raised


@dataclass(frozen=True)
class Reference:
    """Densities of reference data at operating conditions [kg/m3]; NaN where there are none."""

    hot: Array
    """At the highest temperature and the lowest pressure."""
    cold: Array
    pure: Mask
    """Where it is that of a pure fluid."""
    oil: Mask
    """Where it is that of an oil whose API gravity is stated."""
    why: Reasons | None
    """Why a pure fluid has none; None where no gauge asks."""

    def doubts(self, gauges: Gauges, settings: Settings) -> tuple[Mask, Mask]:
        """Where the stated densities are below, and above, what the fluid can have."""
        least, most = held(gauges)
        with np.errstate(invalid="ignore"):
            too_low = least < self.hot * (1 - settings.density_deviation)
            too_high = most > self.cold * (1 + settings.density_deviation)
        return np.asarray(too_low), np.asarray(too_high)


def held(gauges: Gauges) -> tuple[Array, Array]:
    """The stated densities that are held against that of the hottest and of the coldest liquid.

    Of ranges of both, the ends belong together; else one of the densities has to be right.
    """
    lowest, highest = gauges.densities
    ranged = ranges(gauges)
    return np.where(ranged, lowest, highest), np.where(ranged, highest, lowest)


def ranges(gauges: Gauges) -> Mask:
    """Where a range of densities is stated beside a range of operating temperatures."""
    lowest, highest = gauges.densities
    with np.errstate(invalid="ignore"):
        warmer = gauges.low("operating_temperature") < gauges.high("operating_temperature") - 1e-6
        return np.asarray(warmer & (lowest < highest))


def reference(gauges: Gauges, settings: Settings) -> Reference:
    """The reference densities of the gauges; it asks equations of state, which take long to load."""
    return gauges.derived("reference_densities", lambda: _reference(gauges, settings))


def _reference(gauges: Gauges, settings: Settings) -> Reference:
    where = statable(gauges) & gauges.given("operating_temperature") & ~gauges.unusable("operating_pressure")
    hot, cold = (np.full(gauges.n, np.nan) for _ in range(2))
    noted: Reasons | None = None
    if where.any():
        names = gauges.texts("fluid")[where]
        coolest, hottest = (end("operating_temperature")[where] for end in (gauges.low, gauges.high))
        least, most = (end("operating_pressure")[where] + ATMOSPHERE for end in (gauges.low, gauges.high))
        ranged = not (np.array_equal(coolest, hottest) and np.array_equal(least, most, equal_nan=True))
        with reasons() as noted:
            for end, warmth, pressure in ((cold, coolest, most), (hot, hottest, least))[: 1 + ranged]:
                pascal = liquid_at(names, warmth, pressure, settings.boiling_margin_k)
                end[where] = density.liquid_density(names, warmth, pascal)
        if not ranged:
            hot[where] = cold[where]
    oil = ~gauges.interface & gauges.by_api_gravity & ~where & gauges.given("operating_temperature")
    if oil.any():
        lowest, highest = gauges.densities
        for end, at_60, temperature, of_groups in (
            (cold, highest, gauges.low("operating_temperature"), np.fmax),
            (hot, lowest, gauges.high("operating_temperature"), np.fmin),
        ):
            groups = [density.oil_density_60(at_60[oil], temperature[oil], g) for g in density.GROUPS]
            end[oil] = of_groups.reduce(np.stack(groups))
    return Reference(hot, cold, np.asarray(where), np.asarray(oil), noted)
