"""Rules about the float and the fluid that it shall ride in."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import Gauges, Mask, part_key
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.words import says
from xlfuncs.gauge import Floats, floats

GEOMETRY = ("float_mass", "float_diameter", "float_length")
DENSITY = ("fluid_density", "fluid_density_min", "fluid_density_max")
"""Any one of these states the density of the (lower) fluid."""


def _level(gauges: Gauges) -> Mask:
    return ~gauges.interface


def _interface(gauges: Gauges) -> Mask:
    return gauges.interface


def _density_field(gauges: Gauges, record: int, *, lowest: bool) -> str:
    """The field in which the lowest (highest) density of a gauge stands."""
    names = [name for name in DENSITY if gauges.given(name)[record]]
    pick = min if lowest else max
    return pick(
        names,
        key=lambda name: gauges.column(name).low[record] if lowest else gauges.column(name).high[record],
    )


def _mean_density(gauges: Gauges) -> Floats:
    mass, diameter, length, ends = gauges.float_shape
    return np.asarray(floats.float_density(mass, diameter, length, ends))


def _flat_note(gauges: Gauges, record: int) -> str:
    return "" if gauges.given("float_ends")[record] else " (ends taken as flat)"


@rule(
    "float-not-in-list",
    Severity.ERROR,
    when=lambda gauges: np.full(gauges.n, bool(gauges.book.floats)),
    needs=("float_part",),
    firing={"float_part": "ZF-999X", "float_mass": None, "float_diameter": None, "float_length": None},
)
def float_not_in_list(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float part is not in the float list.

    Finds: a row that names a float part which no float list of the workbook holds. Case and surplus
        blanks do not count.
    Why: nothing is known of the float, so nothing about the gauge's reading can be proved.
    Mend: correct the part number, or add the float with its mass, size and magnet height to the list.
    """
    if "float_part" not in gauges.listed:
        return
    listed = {part_key(text): str(text) for text in gauges.listed["float_part"].text if text}
    for record in np.flatnonzero(gauges.given("float_part") & (gauges.float_row < 0)).tolist():
        from difflib import get_close_matches

        part = str(gauges.texts("float_part")[record])
        near = get_close_matches(part_key(part), listed, 1, 0.8)
        hint = f"; the nearest listed part is {listed[near[0]]}" if near else ""
        yield gauge_hit(gauges, record, "float_part", f"float part {part} is not in the float list{hint}")


@rule(
    "float-service-mismatch",
    Severity.ERROR,
    needs=("service_type", "float_service"),
    covers=(
        "interface-float-outside-fluids",
        "offset-exceeds-tolerance",
        "float-sinks",
        "float-barely-floats",
    ),
    passing={"float_service": "liquid level"},
    firing={"float_service": "interface"},
)
def float_service_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A level float on an interface gauge, or the reverse.

    Finds: a gauge whose service (level or interface) differs from the service its float was made for.
    Why: an interface float is heavier than the upper liquid and sinks in it; a level float rides on the
        upper liquid and shows the total level instead of the interface.
    Mend: choose a float made for the gauge's service, or correct the service.
    """
    service, made_for = gauges.texts("service_type"), gauges.texts("float_service")
    gauge_interface = says(service, "interface")
    gauge_level = says(service, "level") & ~gauge_interface
    float_interface = says(made_for, "interface")
    float_level = says(made_for, "level") & ~float_interface
    for record in np.flatnonzero((gauge_interface & float_level) | (gauge_level & float_interface)).tolist():
        ours, theirs = ("interface", "level") if gauge_interface[record] else ("level", "interface")
        yield gauge_hit(
            gauges,
            record,
            "float_part" if gauges.given("float_part")[record] else "float_service",
            f"the gauge measures {ours}, its float is made for {theirs}",
            found=Measure(theirs),
            expected=Measure(ours),
        )


@rule(
    "interface-float-outside-fluids",
    Severity.ERROR,
    when=_interface,
    needs=(*GEOMETRY, DENSITY, "upper_density"),
    covers=("float-sinks", "offset-exceeds-tolerance", "float-barely-floats"),
    passing={
        "service_type": "interface",
        "float_service": "interface",
        "upper_density": "800 kg/m3",
        "float_mass": "440 g",
        "float_design_density": None,
        "magnet_height": "131 mm",
    },
    firing={
        "service_type": "interface",
        "float_service": "interface",
        "upper_density": "800 kg/m3",
        "float_mass": "380 g",
        "magnet_height": "131 mm",
    },
)
def interface_float_outside_fluids(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """An interface float whose mean density is not between the two liquids.

    Finds: an interface gauge whose float is not denser than the upper and lighter than the lower liquid,
        at the least favourable of the stated densities.
    Why: a float lighter than the upper liquid rises to its surface; one heavier than the lower liquid
        lies at the bottom. Either way the interface is not shown.
    Mend: choose a float with a mean density between the two liquids.
    """
    mean = _mean_density(gauges)
    lowest, _ = gauges.densities
    upper = gauges.upper
    upper_highest = np.where(gauges.given("upper_density"), gauges.column("upper_density").high, upper)
    with np.errstate(invalid="ignore"):
        # where the lower liquid is not the denser one, the stated densities themselves are at fault
        wrong = gauges.interface & (lowest > upper_highest) & ((mean >= lowest) | (mean <= upper_highest))
    for record in np.flatnonzero(wrong).tolist():
        sinks = mean[record] >= lowest[record]
        side = (
            f"not below the lower liquid's {lowest[record]:.1f}"
            if sinks
            else (f"not above the upper liquid's {upper_highest[record]:.1f}")
        )
        yield gauge_hit(
            gauges,
            record,
            "float_part" if gauges.given("float_part")[record] else "float_mass",
            f"the float's mean density of {mean[record]:.1f} kg/m3 is {side} kg/m3"
            f"{_flat_note(gauges, record)}",
            found=Measure(float(mean[record]), "kg/m3"),
            expected=Measure(f"{upper_highest[record]:.1f} to {lowest[record]:.1f}", "kg/m3"),
            evidence={
                "float_density_kg_m3": float(mean[record]),
                "upper_density_kg_m3": float(upper_highest[record]),
                "lower_density_kg_m3": float(lowest[record]),
            },
            mend=f"choose a float with a mean density between {upper_highest[record]:.0f} and"
            f" {lowest[record]:.0f} kg/m3",
        )


@rule(
    "interface-density-gap-small",
    Severity.WARNING,
    when=_interface,
    needs=(DENSITY, "upper_density"),
    passing={
        "service_type": "interface",
        "float_service": "interface",
        "upper_density": "800 kg/m3",
        "float_mass": "440 g",
        "float_design_density": None,
        "magnet_height": "131 mm",
    },
    firing={
        "service_type": "interface",
        "float_service": "interface",
        "upper_density": "940 kg/m3",
        "float_mass": "472.2 g",
        "float_design_density": None,
        "magnet_height": "126.6 mm",
    },
)
def interface_density_gap_small(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Two liquids of nearly the same density.

    Finds: an interface gauge whose lower liquid is less than 50 kg/m3 denser than the upper one
        (common practice, no source), at the least favourable of the stated densities.
    Why: little force holds the float at the interface: friction, deposits and small errors of the
        densities move it far.
    Mend: confirm both densities at operating temperature; consider another principle of measurement.
    """
    lowest, _ = gauges.densities
    upper_highest = np.where(gauges.given("upper_density"), gauges.column("upper_density").high, np.nan)
    gap = lowest - upper_highest
    with np.errstate(invalid="ignore"):
        small = gauges.interface & (gap < settings.interface_gap_minimum_kg_m3)
    for record in np.flatnonzero(small).tolist():
        yield gauge_hit(
            gauges,
            record,
            "upper_density",
            f"the lower liquid is {gap[record]:.1f} kg/m3 denser than the upper one,"
            f" less than {settings.interface_gap_minimum_kg_m3:g}",
            evidence={"density_gap_kg_m3": float(gap[record])},
            expected=Measure(settings.interface_gap_minimum_kg_m3, "kg/m3"),
        )


@rule(
    "float-sinks",
    Severity.ERROR,
    needs=(*GEOMETRY, DENSITY),
    covers=("float-barely-floats", "offset-exceeds-tolerance"),
    passing={"fluid_density": "0.9832 SG"},
    firing={"fluid_density": "690 kg/m3", "fluid": "Blend 7"},
)
def float_sinks(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float sinks.

    Finds: a float whose mean density (mass over volume) is not below the lowest stated density of the
        fluid.
    Why: it lies at the bottom of the chamber and the gauge shows empty, whatever the level.
    Mend: choose a float whose mean density is well below the fluid's.
    """
    mean = _mean_density(gauges)
    lowest, _ = gauges.densities
    with np.errstate(invalid="ignore"):
        sinks = mean >= lowest
    for record in np.flatnonzero(sinks).tolist():
        density = gauges.measure(record, _density_field(gauges, record, lowest=True), float(lowest[record]))
        yield gauge_hit(
            gauges,
            record,
            _density_field(gauges, record, lowest=True),
            f"the float sinks: its mean density of {mean[record]:.1f} kg/m3 is not below"
            f" the fluid's {lowest[record]:.1f} kg/m3{_flat_note(gauges, record)}",
            found=density,
            expected=gauges.measure(record, _density_field(gauges, record, lowest=True), float(mean[record])),
            evidence={
                "float_density_kg_m3": float(mean[record]),
                "fluid_density_kg_m3": float(lowest[record]),
            },
        )


@rule(
    "float-barely-floats",
    Severity.WARNING,
    when=_level,
    needs=(*GEOMETRY, DENSITY),
    firing={
        "fluid_density": "760 kg/m3",
        "fluid": "Blend 7",
        "magnet_height": "234 mm",
        "float_design_density": "760 kg/m3",
    },
)
def float_barely_floats(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float barely floats.

    Finds: a level float with less than 10 % of its volume above the surface at the lowest stated density
        (common practice, no source).
    Why: a little dirt, a slightly lighter or hotter fluid, and it sinks.
    Mend: choose a lighter or longer float.
    """
    mass, diameter, length, ends = gauges.float_shape
    lowest, _ = gauges.densities
    share = np.asarray(floats.reserve(mass, diameter, length, lowest, gauges.upper, ends))
    with np.errstate(invalid="ignore"):
        low = _level(gauges) & (share < settings.float_reserve_minimum)
    for record in np.flatnonzero(low).tolist():
        name = _density_field(gauges, record, lowest=True)
        yield gauge_hit(
            gauges,
            record,
            name,
            f"only {share[record]:.1%} of the float stands above the surface,"
            f" less than {settings.float_reserve_minimum:.0%}{_flat_note(gauges, record)}",
            found=gauges.measure(record, name, float(lowest[record])),
            evidence={
                "share_above_surface": float(share[record]),
                "float_density_kg_m3": float(_mean_density(gauges)[record]),
            },
        )


@rule(
    "offset-exceeds-tolerance",
    Severity.ERROR,
    needs=(*GEOMETRY, "magnet_height", DENSITY),
    covers=("design-density-mismatch",),
    passing={"fluid_density": "950 - 1010 kg/m3", "fluid": "Blend 7"},
    firing={"fluid_density": "880 kg/m3", "fluid": "Blend 7"},
)
def offset_exceeds_tolerance(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The gauge reads high or low by more than the tolerance.

    Finds: a reading offset, computed by the float balance at every stated operating density with the
        upper fluid's buoyancy included, beyond 10 mm (common practice, no source). The worst is given.
    Why: the indicator, the switches and the transmitter all follow the float: they act at another level
        than the real one, at every level and in silence.
    Mend: choose a float whose density window holds the operating densities, or have the scale set for
        this density and say so on the gauge.
    """
    mass, diameter, length, ends = gauges.float_shape
    plane = gauges.si("magnet_height")
    lowest, highest = gauges.densities
    at_lowest = np.asarray(floats.reading_offset(mass, diameter, length, plane, lowest, gauges.upper, ends))
    at_highest = np.asarray(floats.reading_offset(mass, diameter, length, plane, highest, gauges.upper, ends))
    with np.errstate(invalid="ignore"):
        low_is_worse = np.isnan(at_highest) | (np.abs(at_lowest) >= np.abs(at_highest))
        worst = np.where(low_is_worse, at_lowest, at_highest) * 1e3
        beyond = np.abs(worst) > settings.offset_tolerance_mm
    for record in np.flatnonzero(beyond).tolist():
        density = float((lowest if low_is_worse[record] else highest)[record])
        name = _density_field(gauges, record, lowest=bool(low_is_worse[record]))
        one = (mass[record], diameter[record], length[record], plane[record])
        low, high = floats.density_window(
            *one, settings.offset_tolerance_mm / 1e3, gauges.upper[record], str(ends[record])
        )
        best = floats.implied_density(*one, 0.0, gauges.upper[record], str(ends[record]))
        evidence: dict[str, float | str] = {
            "reading_offset_mm": float(worst[record]),
            "density_kg_m3": density,
            "upper_density_kg_m3": float(gauges.upper[record]),
        }
        window = ""
        if np.isfinite(low) and np.isfinite(high):
            evidence |= {"window_low_kg_m3": float(low), "window_high_kg_m3": float(high)}
            tolerance = f"{settings.offset_tolerance_mm:g} mm"
            window = f"; this float reads within {tolerance} from {low:.0f} to {high:.0f} kg/m3"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the gauge reads {'high' if worst[record] > 0 else 'low'} by {abs(worst[record]):.1f} mm"
            f" at {density:.1f} kg/m3{_flat_note(gauges, record)}{window}",
            found=gauges.measure(record, name, density),
            expected=gauges.measure(record, name, float(best)) if np.isfinite(best) else None,
            evidence=evidence,
        )


@rule(
    "design-density-mismatch",
    Severity.ERROR,
    when=lambda gauges: ~gauges.geometry_known,
    needs=("float_design_density", DENSITY),
    passing={"float_mass": None, "float_design_density": "1000 kg/m3"},
    firing={"float_mass": None, "float_design_density": "850 kg/m3"},
)
def design_density_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float was made for another density.

    Finds: a gauge whose float geometry is unknown, but whose float's design density differs from a stated
        operating density by more than 5 % (common practice, no source).
    Why: the float rides deeper in a lighter fluid and higher in a denser one, so the gauge reads low or
        high by several millimetres for each per cent.
    Mend: choose a float for the operating density, or get its mass, size and magnet height so that the
        offset itself can be computed.
    """
    design = gauges.si("float_design_density")
    lowest, highest = gauges.densities
    with np.errstate(invalid="ignore"):
        low_is_worse = np.abs(lowest / design - 1) >= np.abs(highest / design - 1)
        density = np.where(low_is_worse, lowest, highest)
        deviation = density / design - 1
        wrong = ~gauges.geometry_known & (np.abs(deviation) > settings.design_density_tolerance)
    for record in np.flatnonzero(wrong).tolist():
        name = _density_field(gauges, record, lowest=bool(low_is_worse[record]))
        side = "above" if deviation[record] > 0 else "below"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the fluid's density is {abs(deviation[record]):.1%} {side}"
            f" the {design[record]:.0f} kg/m3 that the float was made for",
            found=gauges.measure(record, name, float(density[record])),
            expected=gauges.measure(record, name, float(design[record])),
            evidence={
                "design_density_kg_m3": float(design[record]),
                "density_kg_m3": float(density[record]),
                "deviation": float(deviation[record]),
            },
        )


RULES = (
    float_not_in_list,
    float_service_mismatch,
    interface_float_outside_fluids,
    interface_density_gap_small,
    float_sinks,
    float_barely_floats,
    offset_exceeds_tolerance,
    design_density_mismatch,
)
