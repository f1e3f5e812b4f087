"""The rule design-density-mismatch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies.floats import right_float
from xlfuncs.audit.rules.float_fluid.shared import (
    density_field,
    left_open,
    mean_densities,
    of_level,
    shape_note,
    variants,
    verdict,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.shown import inches_beside
from xlfuncs.audit.workings import balance
from xlfuncs.gauge import Array, floats, reasons


@rule(
    "design-density-mismatch",
    Severity.ERROR,
    thresholds=("design_density_tolerance", "offset_tolerance_mm"),
    calculate=balance.design_density,
    remedy=right_float,
    when=lambda gauges: of_level(gauges) & ~gauges.geometry_known,
    needs=("float_design_density", "any_density"),
    passing=(
        {"float_mass": None, "float_design_density": "1000 kg/m3"},
        {"magnet_height": None, "float_design_density": "1010 kg/m3"},
    ),
    firing=(
        {"float_mass": None, "float_design_density": "850 kg/m3"},
        {"magnet_height": None, "float_design_density": "920 kg/m3"},
    ),
)
def design_density_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float was made for another density.

    Finds: a level gauge whose float's magnet height is unknown, and that reads off by more than 10 mm (common
        practice, no source) if the magnet plane is at the surface at the float's design density, below the
        same upper fluid; where mass or size is unknown too, a design density that differs from a stated
        operating density by more than 5 % (common practice, no source).
    Why: the float rides deeper in a lighter fluid and higher in a denser one, so the gauge reads low or
        high by a hundredth of its immersion for each per cent: two or three millimetres for most floats.
    Mend: choose a float for the operating density, or get its mass, size and magnet height so that the
        offset itself can be computed.
    """
    design = gauges.si("float_design_density")
    lowest, highest = gauges.densities
    # an upper fluid that cannot be read may be a liquid, and the gauge one of an interface
    unclear = gauges.unusable("upper_density") & ~gauges.says("service_type", "level")
    asked = of_level(gauges) & ~gauges.geometry_known & gauges.given("float_design_density")
    yield Undecided(asked & unclear, label("upper_density"))
    sized = ~np.isnan(mean_densities(gauges)).all(axis=0) & ~gauges.mentioned("magnet_height")
    with np.errstate(invalid="ignore"):
        low_is_worse = np.abs(lowest / design - 1) >= np.abs(highest / design - 1)
        rho = np.where(low_is_worse, lowest, highest)
        deviation = rho / design - 1
        wrong = np.abs(deviation) > settings.design_density_tolerance
    wrong &= asked & ~unclear & ~sized
    for record in np.flatnonzero(wrong).tolist():
        name = density_field(gauges, record, lowest=bool(low_is_worse[record]))
        side = "above" if deviation[record] > 0 else "below"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the fluid's density is {abs(deviation[record]):.1%} {side}"
            f" the {gauges.say(record, name, design[record])} that the float was made for",
            found=gauges.measure(record, name, float(rho[record])),
            evidence={
                "design_density_kg_m3": float(design[record]),
                "density_kg_m3": float(rho[record]),
                "deviation": float(deviation[record]),
            },
        )
    yield from _by_offset(gauges, settings, np.asarray(asked & ~unclear & sized))


def _by_offset(gauges: Gauges, settings: Settings, asked: Mask) -> Iterator[Outcome]:
    """Gauges whose float is known but for its magnet plane: taken at the surface at the design density."""
    if not asked.any():
        return
    every = variants(gauges)
    with reasons() as why:
        offsets = np.stack([_worst(gauges, ends, pairs)[0] for ends, pairs in every]) * 1e3
    with np.errstate(invalid="ignore"):
        beyond = np.abs(offsets) > settings.offset_tolerance_mm
        certain, doubtful = verdict(beyond, ~np.isnan(offsets))
    yield from left_open(gauges, doubtful & asked)
    nowhere = asked & np.isnan(offsets).all(axis=0)
    yield from unexplained(nowhere, offsets[0], why, "a float that floats there and at its design density")
    nearest = np.argmin(np.where(np.isnan(offsets), np.inf, np.abs(offsets)), axis=0)
    for record in np.flatnonzero(certain & asked).tolist():
        ends, pairs = every[int(nearest[record])]
        case = (float(part[record]) for part in _worst(gauges, ends, pairs))
        yield _offset_hit(gauges, record, str(ends[record]), *case)


def _worst(
    gauges: Gauges, ends: NDArray[np.str_], pairs: Sequence[tuple[Array, Array]]
) -> tuple[Array, Array, Array]:
    """Offset furthest from zero [m] over some pairs of densities, with its pair."""
    mass, diameter, length, _ = gauges.float_shape
    design = gauges.si("float_design_density")
    each = [
        floats.immersion(mass, diameter, length, design, upper, ends)
        - floats.immersion(mass, diameter, length, lower, upper, ends)
        for lower, upper in pairs
    ]
    offsets = np.stack(each)
    pick = np.argmax(np.where(np.isnan(offsets), -1.0, np.abs(offsets)), axis=0)[None]
    lowers, uppers = (np.stack(part) for part in zip(*pairs, strict=True))
    worst, lower, upper = (np.take_along_axis(part, pick, 0)[0] for part in (offsets, lowers, uppers))
    return worst, lower, upper


def _offset_hit(gauges: Gauges, record: int, ends: str, worst: float, lower: float, upper: float) -> Hit:
    design = float(gauges.si("float_design_density")[record])
    name = density_field(gauges, record, lowest=lower == gauges.densities[0][record])
    far = inches_beside(gauges, record, f"{abs(worst) * 1e3:.1f} mm", abs(worst))
    return gauge_hit(
        gauges,
        record,
        name,
        f"the gauge reads {'high' if worst > 0 else 'low'} by {far} at"
        f" {gauges.say(record, name, lower)}, with the magnet plane at the surface at the design density of"
        f" {gauges.say(record, name, design)}, since its height is not stated{shape_note(gauges, record)}",
        found=gauges.measure(record, name, float(lower)),
        evidence={
            "reading_offset_mm": float(worst) * 1e3,
            "design_density_kg_m3": design,
            "density_kg_m3": float(lower),
        },
        case={"ends": ends, "lower": float(lower), "upper": float(upper)},
    )
