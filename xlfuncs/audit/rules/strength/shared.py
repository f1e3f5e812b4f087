"""What several of the rules of this family need."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import FLANGE_MATERIALS, SAME_PRESSURE, Gauges, Mask
from xlfuncs.audit.registry import Hit, gauge_hit
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import Array, classes, materials, ratings


def pressure_below(gauges: Gauges, field: str, words: str) -> Iterator[Hit]:
    permitted, applied = gauges.low("float_max_pressure"), gauges.high(field)
    with np.errstate(invalid="ignore"):
        over = applied > permitted * (1 + SAME_PRESSURE)
    for record in np.flatnonzero(over).tolist():
        yield gauge_hit(
            gauges,
            record,
            field,
            f"the float withstands {gauges.say(record, field, permitted[record])},"
            f" {words} is {gauges.say(record, field, applied[record])}",
            found=gauges.measure(record, field, float(applied[record])),
            evidence={
                f"{field}_barg": float(applied[record] / 1e5),
                "float_max_pressure_barg": float(permitted[record] / 1e5),
            },
        )


def temperature_limits(gauges: Gauges) -> dict[str, Array]:
    """Lowest temperatures that float and magnet withstand, by the field that states them [K]; NaN where none
    is stated. A magnet's material counts where no limit of the magnet is stated."""
    limits = {name: gauges.low(name) for name in ("float_max_temperature", "magnet_max_temperature")}
    by_material = gauges.each("magnet_material", ratings.magnet_limit).astype(np.float64)
    unstated = np.isnan(limits["magnet_max_temperature"])
    return limits | {"magnet_material": np.where(unstated, by_material, np.nan)}


def rating_texts(gauges: Gauges) -> NDArray[np.object_]:
    """Flange ratings as texts that `ratings.flange_rating` takes; "" where there is none."""
    found = gauges.each("flange_class", lambda text: str(classes.read(text) or ""))
    return np.where(gauges.given("flange_class"), found, "")


def flange_known(gauges: Gauges) -> Mask:
    """Gauges with a flange class, a material group and a design temperature."""
    stated = np.logical_or.reduce([gauges.given(field) for field in FLANGE_MATERIALS])
    understood = (
        gauges.given("known_flange_class") & gauges.given("known_material_group") & ~gauges.flangeless
    )
    known = gauges.given("flange_class") & stated & understood & gauges.given("design_temperature")
    return np.asarray(known)


def bounds_of(gauges: Gauges, only: Mask | None = None) -> tuple[Array, Array]:
    """Lowest and highest rating that each gauge's flanges can have at design temperature [Pa gauge]."""
    known = flange_known(gauges)
    if only is not None:
        known &= only
    low, high = np.full(gauges.n, np.nan), np.full(gauges.n, np.nan)
    if known.any():
        low[known], high[known] = ratings.rating_bounds(
            rating_texts(gauges)[known],
            gauges.material_groups[known],
            gauges.high("design_temperature")[known],
        )
    return low, high


def ratings_of_flanges(gauges: Gauges, only: Mask | None = None) -> Array:
    """Rating of each gauge's flanges at design temperature [Pa gauge].

    `only`: the gauges for which it is wanted.
    """
    return bounds_of(gauges, only)[0]


MATERIAL_DOUBTS = {
    materials.UNKNOWN: "is in no table of materials",
    materials.OPEN: "leaves the metal open",
    materials.SEVERAL: "names materials that differ",
    materials.BORDERLINE: "is ferromagnetic or not by its composition and temperature",
}
"""Doubt of a material -> what is said of the text of its cell."""


def lowest_temperature(group: str | None) -> float:
    """Temperature from which on the standard rates a material group [K]; NaN for one that it does not."""
    if group is None:
        return float("nan")
    tables = load("flange_ratings")[ratings.group_system(group)]
    groups = tables["group"]
    block = groups.get(group, {}) if isinstance(groups.get(group), dict) else {}
    return float(block.get("lowest", tables["lowest"])) + ZERO_CELSIUS
