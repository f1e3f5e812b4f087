"""Rules about the float and the fluid that it shall ride in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import (
    ATMOSPHERE,
    DENSITIES,
    ICE_POINT,
    SAME_PRESSURE,
    Gauges,
    Mask,
    label,
    part_key,
)
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import values
from xlfuncs.audit.remedies.floats import another_float, right_float
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import balance
from xlfuncs.audit.workings import fluids as states
from xlfuncs.audit.workings import strength as limits
from xlfuncs.gauge import Array, Reasons, density, floats, fluids, model, reasons, response

GEOMETRY = ("float_mass", "float_diameter", "float_length")


_INTERFACE = {
    "service_type": "interface",
    "float_service": "interface",
    "upper_density": "800 kg/m3",
    "float_mass": "440 g",
    "float_design_density": None,
    "magnet_height": "131 mm",
}
"""A sound interface gauge."""

_BUTANE = {
    "operating_temperature": "40 degC",
    "operating_pressure": "5 barg",
    "viscosity": "0.14 mPa.s",
    "float_mass": "214 g",
    "float_design_density": "601 kg/m3",
}
"""n-Butane at 40 degC, saturated, has 554.9 kg/m3 (CoolProp); 601 is its density at 0 degC."""


def _level(gauges: Gauges) -> Mask:
    return ~gauges.interface


def _interface(gauges: Gauges) -> Mask:
    return gauges.interface


def _density_field(gauges: Gauges, record: int, *, lowest: bool) -> str:
    """The field in which the lowest (highest) density of a gauge stands."""
    names = [name for name in DENSITIES if gauges.given(name)[record]]
    pick = min if lowest else max
    return pick(
        names,
        key=lambda name: gauges.column(name).low[record] if lowest else gauges.column(name).high[record],
    )


def _range(gauges: Gauges, record: int, low: float, high: float) -> Measure | None:
    """`0.955 to 1.06`, densities in the unit of the sheet."""
    ends = [gauges.measure(record, "fluid_density", density) for density in (low, high)]
    if ends[0] is None or ends[1] is None:
        return None
    return Measure(f"{Measure(ends[0].value)} to {Measure(ends[1].value)}", ends[0].unit)


def _shapes(gauges: Gauges) -> list[NDArray[np.str_]]:
    """Shape of each float's ends as stated; every shape in turn for the floats that state none."""

    def compute() -> list[NDArray[np.str_]]:
        mass, diameter, length, _ = gauges.float_shape
        stated = gauges.given("float_ends") | np.isnan(mass + diameter + length)
        shapes = floats.ENDS[:1] if stated.all() else floats.ENDS
        return [np.where(stated, gauges.ends, shape) for shape in shapes]

    return gauges.derived("shapes", compute)


def _shape_note(gauges: Gauges, record: int) -> str:
    return "" if gauges.given("float_ends")[record] else ", whatever the shape of its ends"


def _mean_densities(gauges: Gauges) -> Array:
    """Mean density of each float for each of `_shapes`; NaN for a shape that it cannot have."""

    def compute() -> Array:
        mass, diameter, length, _ = gauges.float_shape
        return np.stack([floats.float_density(mass, diameter, length, ends) for ends in _shapes(gauges)])

    return gauges.derived("mean_densities", compute)


def _verdict(bad: Mask, possible: Mask) -> tuple[Mask, Mask]:
    """Where it is bad in every possible case, and where in some of them only. Cases along the first axis."""
    some = np.logical_or.reduce(bad & possible)
    certain = some & np.logical_and.reduce(bad | ~possible)
    return np.asarray(certain), np.asarray(some & ~certain)


def _depends_on_shape(doubtful: Mask) -> Undecided:
    return Undecided(doubtful, label("float_ends"))


@rule(
    "float-not-in-list",
    Severity.ERROR,
    remedy=another_float,
    when=lambda gauges: gauges.given("float_list") | gauges.mentioned("float_part"),
    needs=("float_part", "float_list"),
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
    remedy=another_float,
    needs=("service_type", "known_service_type", "float_service", "known_float_service"),
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
    gauge_interface = gauges.says("service_type", "interface")
    gauge_level = gauges.says("service_type", "level") & ~gauge_interface
    float_interface = gauges.says("float_service", "interface")
    float_level = gauges.says("float_service", "level") & ~float_interface
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
    calculate=balance.between,
    remedy=right_float,
    when=_interface,
    needs=(*GEOMETRY, "known_ends", "lowest_density", "upper_density"),
    covers=("float-sinks", "offset-exceeds-tolerance", "float-barely-floats"),
    passing=_INTERFACE,
    firing={**_INTERFACE, "float_mass": "380 g"},
)
def interface_float_outside_fluids(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """An interface float whose mean density is not between the two liquids.

    Finds: an interface gauge whose float is not denser than the upper and lighter than the lower liquid,
        at the least favourable of the stated densities.
    Why: a float lighter than the upper liquid rises to its surface; one heavier than the lower liquid
        lies at the bottom. Either way the interface is not shown.
    Mend: choose a float with a mean density between the two liquids.
    """
    means = _mean_densities(gauges)
    lowest, _ = gauges.densities
    upper_highest = gauges.high("upper_density")
    with np.errstate(invalid="ignore"):
        # where the lower liquid is not the denser one, the stated densities themselves are at fault
        asked = gauges.interface & (lowest > upper_highest)
        outside = asked & ((means >= lowest) | (means <= upper_highest))
    wrong, doubtful = _verdict(outside, ~np.isnan(means))
    yield _depends_on_shape(doubtful)
    mean = np.fmin.reduce(means)
    for record in np.flatnonzero(wrong).tolist():
        say = partial(gauges.say, record, "fluid_density")
        sinks = mean[record] >= lowest[record]
        side = (
            f"not below the lower liquid's {say(lowest[record])}"
            if sinks
            else f"not above the upper liquid's {say(upper_highest[record])}"
        )
        yield gauge_hit(
            gauges,
            record,
            "float_part" if gauges.given("float_part")[record] else "float_mass",
            f"the float's mean density of {say(mean[record])} is {side}{_shape_note(gauges, record)}",
            found=gauges.measure(record, "fluid_density", float(mean[record])),
            expected=_range(gauges, record, float(upper_highest[record]), float(lowest[record])),
            evidence={
                "float_density_kg_m3": float(mean[record]),
                "upper_density_kg_m3": float(upper_highest[record]),
                "lower_density_kg_m3": float(lowest[record]),
            },
            mend=f"choose a float with a mean density between {say(upper_highest[record])} and"
            f" {say(lowest[record])}.",
        )


@rule(
    "interface-density-gap-small",
    Severity.WARNING,
    calculate=balance.gap,
    when=_interface,
    needs=("lowest_density", "upper_density"),
    covers=("worst-reading-exceeds-tolerance",),
    passing=_INTERFACE,
    firing={**_INTERFACE, "upper_density": "940 kg/m3", "float_mass": "472.2 g", "magnet_height": "126.6 mm"},
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
    gap = lowest - gauges.high("upper_density")
    with np.errstate(invalid="ignore"):
        small = gauges.interface & (gap < settings.interface_gap_minimum_kg_m3)
    for record in np.flatnonzero(small).tolist():
        yield gauge_hit(
            gauges,
            record,
            "upper_density",
            f"the lower liquid is only {gap[record]:.1f} kg/m3 denser than the upper one",
            evidence={"density_gap_kg_m3": float(gap[record])},
            expected=gauges.measure(
                record, "upper_density", float(lowest[record]) - settings.interface_gap_minimum_kg_m3
            ),
        )


@rule(
    "float-sinks",
    Severity.ERROR,
    calculate=balance.mean_density,
    remedy=right_float,
    needs=(*GEOMETRY, "known_ends", "lowest_density"),
    covers=("float-barely-floats", "offset-exceeds-tolerance", "float-lags"),
    passing={"fluid_density": "0.9832 SG"},
    firing={"fluid_density": "690 kg/m3", "fluid": "Blend 7"},
)
def float_sinks(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float sinks.

    Finds: a float whose mean density (mass over volume) is not below the lowest stated density of the
        fluid; where the shape of its ends is not stated, with every shape.
    Why: it lies at the bottom of the chamber and the gauge shows empty, whatever the level.
    Mend: choose a float whose mean density is well below the fluid's.
    """
    means = _mean_densities(gauges)
    mean = np.fmin.reduce(means)
    lowest, _ = gauges.densities
    with np.errstate(invalid="ignore"):
        sinks, doubtful = _verdict(means >= lowest, ~np.isnan(means))
    yield _depends_on_shape(doubtful)
    for record in np.flatnonzero(sinks).tolist():
        name = _density_field(gauges, record, lowest=True)
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the float sinks: its mean density of {gauges.say(record, name, mean[record])} is not below"
            f" the fluid's {gauges.say(record, name, lowest[record])}{_shape_note(gauges, record)}",
            found=gauges.measure(record, name, float(lowest[record])),
            expected=gauges.measure(record, name, float(mean[record])),
            evidence={
                "float_density_kg_m3": float(mean[record]),
                "fluid_density_kg_m3": float(lowest[record]),
            },
        )


@rule(
    "float-barely-floats",
    Severity.WARNING,
    calculate=balance.reserve,
    remedy=right_float,
    when=_level,
    needs=(*GEOMETRY, "known_ends", "lowest_density", "any_upper"),
    firing={
        "fluid_density": "760 kg/m3",
        "fluid": "Blend 7",
        "magnet_height": "234 mm",
        "float_design_density": "760 kg/m3",
    },
)
def float_barely_floats(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float barely floats.

    Finds: a level float with less than 10 % of its volume above the surface at the lowest stated density
        (common practice, no source).
    Why: a little dirt, a slightly lighter or hotter fluid, and it sinks.
    Mend: choose a lighter or longer float.
    """
    mass, diameter, length, _ = gauges.float_shape
    lowest, _ = gauges.densities
    shapes = _shapes(gauges)
    shares = np.stack(
        [
            floats.reserve(mass, diameter, length, lowest, upper, ends)
            for upper in gauges.uppers
            for ends in shapes
        ]
    )
    means = np.tile(_mean_densities(gauges), (2, 1))
    with np.errstate(invalid="ignore"):
        little = _level(gauges) & (np.isnan(shares) | (shares < settings.float_reserve_minimum))
        low, doubtful = _verdict(little, ~np.isnan(means + lowest + gauges.upper))
    yield from _open(gauges, doubtful)
    share = np.fmax.reduce(shares[: len(shapes)])
    for record in np.flatnonzero(low & ~np.isnan(share)).tolist():
        name = _density_field(gauges, record, lowest=True)
        yield gauge_hit(
            gauges,
            record,
            name,
            f"only {share[record]:.1%} of the float stands above the surface,"
            f" less than {settings.float_reserve_minimum:.0%}{_shape_note(gauges, record)}",
            found=gauges.measure(record, name, float(lowest[record])),
            evidence={
                "share_above_surface": float(share[record]),
                "float_density_kg_m3": float(np.fmin.reduce(means)[record]),
            },
        )


def _worst_offset(
    gauges: Gauges, ends: NDArray[np.str_], uppers: Sequence[Array]
) -> tuple[Array, Array, Array]:
    """Reading offset furthest from zero [m] over the stated densities, with its lower and upper density."""
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    pairs = [(lower, upper) for upper in uppers for lower in gauges.densities]
    offsets = np.stack(
        [floats.reading_offset(mass, diameter, length, plane, lower, upper, ends) for lower, upper in pairs]
    )
    pick = np.argmax(np.where(np.isnan(offsets), -1.0, np.abs(offsets)), axis=0)[None]
    lowers, uppers_ = (np.stack(column) for column in zip(*pairs, strict=True))
    worst, lower, upper = (np.take_along_axis(v, pick, 0)[0] for v in (offsets, lowers, uppers_))
    return worst, lower, upper


_Case = tuple[Array, Array, Array]


def _offset_cases(gauges: Gauges) -> tuple[list[_Case], Reasons]:
    """`_worst_offset` for each of `_shapes`, over the stated range of the upper fluid; why it is NaN."""

    def compute() -> tuple[list[_Case], Reasons]:
        least, most = gauges.uppers
        stated = gauges.mentioned("upper_density")
        uppers = (least, most) if (stated & (most > least)).any() else (least,)
        each = [np.where(stated, upper, least) for upper in uppers]
        with reasons() as why:
            return [_worst_offset(gauges, ends, each) for ends in _shapes(gauges)], why

    return gauges.derived("offset_cases", compute)


def _nearest(cases: Sequence[_Case]) -> NDArray[np.int64]:
    """Number of the shape with which each float reads nearest to the truth."""
    offsets = np.stack([case[0] for case in cases])
    return np.asarray(np.argmin(np.where(np.isnan(offsets), np.inf, np.abs(offsets)), axis=0))


def nearest_ends(gauges: Gauges) -> NDArray[np.str_]:
    """Shape of each float's ends as stated; where it is not, the one that reads nearest to the truth."""
    shapes = np.stack(_shapes(gauges))
    nearest: NDArray[np.str_] = np.take_along_axis(shapes, _nearest(_offset_cases(gauges)[0])[None], 0)[0]
    return nearest


def _open(gauges: Gauges, doubtful: Mask) -> Iterator[Undecided]:
    """Gauges whose verdict hangs on the shape of the ends, or on the vapour, that they do not state."""
    shape = doubtful & ~gauges.given("float_ends")
    yield _depends_on_shape(shape)
    yield Undecided(doubtful & ~shape, label("upper_density"))


@rule(
    "offset-exceeds-tolerance",
    Severity.ERROR,
    calculate=balance.offset,
    remedy=right_float,
    needs=(*GEOMETRY, "known_ends", "magnet_height", "any_density", "any_upper"),
    covers=("design-density-mismatch", "worst-reading-exceeds-tolerance"),
    passing={"fluid_density": "950 - 1010 kg/m3", "fluid": "Blend 7"},
    firing={"fluid_density": "880 kg/m3", "fluid": "Blend 7"},
)
def offset_exceeds_tolerance(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The gauge reads high or low by more than the tolerance.

    Finds: a reading offset, computed by the float balance at every stated operating density with the
        upper fluid's buoyancy included, beyond 10 mm (common practice, no source). The worst is given. Where
        the shape of the float's ends or the vapour's density is not stated, it is found if every shape, and
        no vapour as well as a heavy one at the gauge's pressure, give an offset beyond.
    Why: the indicator, the switches and the transmitter all follow the float: they act at another level
        than the real one, at every level and in silence.
    Mend: choose a float whose density window holds the operating densities, or have the scale set for
        this density and say so on the gauge.
    """
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    shapes = _shapes(gauges)
    cases, why = _offset_cases(gauges)
    # a stated range of the upper fluid counts whole; the vapour of a gauge that states none is open
    stated, densest = gauges.mentioned("upper_density"), gauges.uppers[1]
    vapour = [
        np.where(stated, case[0], _worst_offset(gauges, ends, (densest,))[0])
        for case, ends in zip(cases, shapes, strict=True)
    ]
    known = ~np.isnan(_mean_densities(gauges) + plane + gauges.densities[0] + gauges.upper)
    offsets = np.stack([case[0] for case in cases])
    every = np.concatenate((offsets, vapour)) * 1e3
    with np.errstate(invalid="ignore"):  # a float that does not float there reads neither right
        high, low = ~(every <= settings.offset_tolerance_mm), ~(every >= -settings.offset_tolerance_mm)
    possible = np.tile(known, (2, 1))
    wrong = _verdict(high, possible)[0] | _verdict(low, possible)[0]
    nowhere = np.logical_and.reduce(np.isnan(offsets))
    asked = np.asarray(np.logical_or.reduce(known) & nowhere)
    yield from unexplained(asked, offsets[0], why, "a float that floats there")
    yield from _open(gauges, np.logical_or.reduce((high | low) & possible) & ~wrong & ~nowhere)
    nearest = _nearest(cases)
    for record in np.flatnonzero(wrong & ~nowhere).tolist():
        at = int(nearest[record])
        worst, rho, upper = (float(values[record]) for values in cases[at])
        name = _density_field(gauges, record, lowest=rho == gauges.densities[0][record])
        evidence: dict[str, float | str] = {
            "reading_offset_mm": worst * 1e3,
            "density_kg_m3": rho,
            "upper_density_kg_m3": upper,
        }
        at_least, window, best = "at least ", "", np.nan
        if gauges.given("float_ends")[record]:
            one = (mass[record], diameter[record], length[record], plane[record])
            ends = str(gauges.ends[record])
            from_, to = floats.density_window(*one, settings.offset_tolerance_mm / 1e3, upper, ends)
            best = float(floats.implied_density(*one, 0.0, upper, ends))
            at_least = ""
            if np.isfinite(from_) and np.isfinite(to):
                evidence |= {"window_low_kg_m3": float(from_), "window_high_kg_m3": float(to)}
                tolerance = f"{settings.offset_tolerance_mm:g} mm"
                span = f"{gauges.say(record, name, float(from_))} to {gauges.say(record, name, float(to))}"
                window = f"; this float reads within {tolerance} from {span}"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the gauge reads {'high' if worst > 0 else 'low'} by {at_least}{abs(worst) * 1e3:.1f} mm"
            f" at {gauges.say(record, name, rho)}{_shape_note(gauges, record)}{window}",
            found=gauges.measure(record, name, rho),
            expected=gauges.measure(record, name, best) if np.isfinite(best) else None,
            evidence=evidence,
            case={"ends": str(shapes[at][record]), "lower": rho, "upper": upper},
        )


@rule(
    "design-density-mismatch",
    Severity.ERROR,
    calculate=balance.design_density,
    remedy=right_float,
    when=lambda gauges: _level(gauges) & ~gauges.geometry_known,
    needs=("float_design_density", "any_density"),
    passing={"float_mass": None, "float_design_density": "1000 kg/m3"},
    firing={"float_mass": None, "float_design_density": "850 kg/m3"},
)
def design_density_mismatch(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float was made for another density.

    Finds: a level gauge whose float's mass, size or magnet height is unknown, but whose float's design
        density differs from a stated operating density by more than 5 % (common practice, no source).
    Why: the float rides deeper in a lighter fluid and higher in a denser one, so the gauge reads low or
        high by a hundredth of its immersion for each per cent: two or three millimetres for most floats.
    Mend: choose a float for the operating density, or get its mass, size and magnet height so that the
        offset itself can be computed.
    """
    design = gauges.si("float_design_density")
    lowest, highest = gauges.densities
    # an upper fluid that cannot be read may be a liquid, and the gauge one of an interface
    unclear = gauges.unusable("upper_density") & ~gauges.says("service_type", "level")
    asked = _level(gauges) & ~gauges.geometry_known & gauges.given("float_design_density")
    yield Undecided(asked & unclear, label("upper_density"))
    with np.errstate(invalid="ignore"):
        low_is_worse = np.abs(lowest / design - 1) >= np.abs(highest / design - 1)
        rho = np.where(low_is_worse, lowest, highest)
        deviation = rho / design - 1
        wrong = np.abs(deviation) > settings.design_density_tolerance
    wrong &= asked & ~unclear
    for record in np.flatnonzero(wrong).tolist():
        name = _density_field(gauges, record, lowest=bool(low_is_worse[record]))
        side = "above" if deviation[record] > 0 else "below"
        yield gauge_hit(
            gauges,
            record,
            name,
            f"the fluid's density is {abs(deviation[record]):.1%} {side}"
            f" the {gauges.say(record, name, design[record])} that the float was made for",
            found=gauges.measure(record, name, float(rho[record])),
            expected=gauges.measure(record, name, float(design[record])),
            evidence={
                "design_density_kg_m3": float(design[record]),
                "density_kg_m3": float(rho[record]),
                "deviation": float(deviation[record]),
            },
        )


def _statable(gauges: Gauges) -> Mask:
    """Level gauges whose fluid is a pure one with reference data."""
    return gauges.given("known_fluid") & ~gauges.interface


def _liquid_at(names: NDArray[np.object_], kelvin: Array, pascal: Array, margin: float) -> Array:
    """Pressures, raised to saturation where the stated state lies on it but for rounding: a
    boiling liquid."""
    boiling = fluids.saturation_pressure(names, kelvin)
    near = pascal >= fluids.saturation_pressure(names, kelvin - margin)
    raised: Array = np.where(near, np.fmax(pascal, boiling * (1 + 1e-9)), pascal)
    return raised


@rule(
    "density-not-at-operating-conditions",
    Severity.WARNING,
    calculate=states.reference_density,
    remedy=values.reference,
    late=True,
    needs=("reference_density", "operating_temperature", "any_density"),
    assumes=("operating_pressure",),
    when=_level,
    passing={"fluid_density": "975 kg/m3", "float_mass": "347 g", "fluid": "Agua"},
    firing={"fluid": "n-Butane", "fluid_density": "601 kg/m3", **_BUTANE},
)
def density_not_at_operating_conditions(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The stated density is not that of the operating conditions.

    Finds: a recognised pure fluid whose stated density differs by more than 3 % (common practice, no
        source) from the reference equation of state at operating pressure and temperature; without a
        pressure, from the saturated liquid. An API gravity is a density at 60 degF: found where crude oils,
        products and lubricants of it all differ as much at operating temperature (API MPMS 11.1).
    Why: densities are often copied from a table for 15 or 20 degC; the float is then chosen for a liquid
        that the plant never has.
    Mend: state the density at operating conditions, and check the float against it.
    """
    where = _statable(gauges) & gauges.given("operating_temperature") & ~gauges.unusable("operating_pressure")
    hot, cold = (np.full(gauges.n, np.nan) for _ in range(2))
    if where.any():
        fluid_names = gauges.texts("fluid")[where]
        with reasons() as why:
            for end, temperature, pressure in (
                (cold, gauges.low("operating_temperature"), gauges.high("operating_pressure")),
                (hot, gauges.high("operating_temperature"), gauges.low("operating_pressure")),
            ):
                warmth = temperature[where]
                pascal = _liquid_at(
                    fluid_names, warmth, pressure[where] + ATMOSPHERE, settings.boiling_margin_k
                )
                end[where] = density.liquid_density(fluid_names, warmth, pascal)
        yield from unexplained(
            where, (hot + cold)[where], why, "temperature and pressure at which the fluid is liquid"
        )
    lowest, highest = gauges.densities
    oil = _level(gauges) & gauges.by_api_gravity & ~where & gauges.given("operating_temperature")
    if oil.any():
        for end, at_60, temperature, of_groups in (
            (cold, highest, gauges.low("operating_temperature"), np.fmax),
            (hot, lowest, gauges.high("operating_temperature"), np.fmin),
        ):
            groups = [density.oil_density_60(at_60[oil], temperature[oil], g) for g in density.GROUPS]
            end[oil] = of_groups.reduce(np.stack(groups))
        yield Undecided(oil & np.isnan(hot + cold), "density at operating temperature")
    with np.errstate(invalid="ignore"):
        too_low = highest < hot * (1 - settings.density_deviation)
        too_high = lowest > cold * (1 + settings.density_deviation)
    for record in np.flatnonzero(too_low | too_high).tolist():
        stated = float((highest if too_low[record] else lowest)[record])
        reference = float((hot if too_low[record] else cold)[record])
        name = _density_field(gauges, record, lowest=not too_low[record])
        fluid = gauges.texts("fluid")[record]
        end_of_range = gauges.high if too_low[record] else gauges.low
        kelvin = float(end_of_range("operating_temperature")[record])
        warm = gauges.say(record, "operating_temperature", kelvin)
        if oil[record]:
            said = f"{gauges.say(record, name, stated)} is the density at 60 degF, not at {warm}"
        else:
            said = (
                f"{fluid} at {warm} has {gauges.say(record, name, reference)},"
                f" {gauges.say(record, name, stated)} is stated"
            )
        yield gauge_hit(
            gauges,
            record,
            name,
            f"{said} ({stated / reference - 1:+.1%})",
            found=gauges.measure(record, name, stated),
            expected=gauges.measure(record, name, reference),
            evidence={
                "reference_density_kg_m3": reference,
                "stated_density_kg_m3": stated,
                "operating_temperature_degC": kelvin - 273.15,
            },
        )


@rule(
    "fluid-boils-in-chamber",
    Severity.WARNING,
    calculate=states.boils,
    late=True,
    needs=(
        "known_fluid",
        "operating_temperature",
        "operating_temperature.high",
        "operating_pressure",
        "operating_pressure.low",
    ),
    when=_level,
    passing={"operating_temperature": "60 degC"},
    firing={
        "operating_temperature": "110 degC",
        "operating_pressure": "0.5 barg",
        "fluid_density": "951 kg/m3",
        "float_mass": "338.6 g",
        "float_design_density": "951 kg/m3",
    },
)
def fluid_boils_in_chamber(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The liquid is at or near boiling.

    Finds: a recognised pure fluid whose operating temperature is within 5 K (common practice, no source)
        of saturation at operating pressure, or above it.
    Why: the chamber gains or loses heat, the liquid in it boils or flashes, bubbles lift and shake the
        float and lower the density: the reading is unsteady and wrong.
    Mend: confirm pressure and temperature; insulate the chamber, keep its connections short and wide, and
        choose the float for the boiling liquid.
    """
    where = _statable(gauges) & gauges.given("operating_temperature") & gauges.given("operating_pressure")
    boiling = np.full(gauges.n, np.nan)
    if where.any():
        pressure = gauges.low("operating_pressure")[where] + ATMOSPHERE
        with reasons() as why:
            boiling[where] = fluids.saturation_temperature(gauges.texts("fluid")[where], pressure)
        yield from unexplained(where, boiling[where], why, "pressure at which the fluid can boil")
    kelvin = gauges.high("operating_temperature")
    with np.errstate(invalid="ignore"):
        near = kelvin > boiling - settings.boiling_margin_k
    field = "operating_temperature"
    for record in np.flatnonzero(near).tolist():
        margin = float(boiling[record] - kelvin[record])
        state = f"only {margin:.1f} K below" if margin > 0 else f"{-margin:.1f} K above"
        yield gauge_hit(
            gauges,
            record,
            "operating_temperature",
            f"{gauges.texts('fluid')[record]} at {gauges.say(record, field, kelvin[record])} is {state}"
            f" saturation ({gauges.say(record, field, boiling[record])} at operating pressure)",
            expected=gauges.measure(record, "operating_temperature", float(boiling[record])),
            evidence={
                "saturation_temperature_degC": float(boiling[record] - 273.15),
                "margin_K": margin,
            },
        )


def _least(cases: Array, record: int) -> int:
    """Number of the case with the least value of a gauge."""
    return int(np.nanargmin(cases[:, record]))


def _lag_known(gauges: Gauges) -> Mask:
    """Where float and bore are known, so that the lag itself is computed."""
    mass, diameter, length, _ = gauges.float_shape
    return ~np.isnan(mass + diameter + length + gauges.si("chamber_bore"))


@rule(
    "float-wider-than-chamber",
    Severity.ERROR,
    calculate=limits.wide,
    remedy=another_float,
    needs=("float_diameter", "chamber_bore"),
    covers=("float-lags",),
    passing={"chamber_bore": "55 mm"},
    firing={"chamber_bore": "49.2 mm"},
)
def float_wider_than_chamber(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float does not fit into the chamber.

    Finds: a float whose outside diameter is not below the chamber's bore.
    Why: it cannot be put in, or jams; usually a float of another gauge or a bore given as nominal size.
    Mend: correct the bore, or choose a slimmer float.
    """
    across, bore = gauges.si("float_diameter"), gauges.si("chamber_bore")
    with np.errstate(invalid="ignore"):
        wide = across >= bore
    for record in np.flatnonzero(wide).tolist():
        yield gauge_hit(
            gauges,
            record,
            "chamber_bore",
            f"the float of {gauges.say(record, 'float_diameter', across[record])} does not fit into"
            f" the bore of {gauges.say(record, 'chamber_bore', bore[record])}",
            evidence={
                "float_diameter_mm": float(across[record] * 1e3),
                "chamber_bore_mm": float(bore[record] * 1e3),
            },
        )


@rule(
    "float-lags",
    Severity.WARNING,
    calculate=balance.lag,
    remedy=another_float,
    needs=(
        *GEOMETRY,
        "known_ends",
        "chamber_bore",
        "viscosity",
        "viscosity.high",
        "lowest_density",
        "any_upper",
    ),
    assumes=("level_rate",),
    covers=("worst-reading-exceeds-tolerance",),
    passing={"viscosity": "20 mPa.s"},
    firing={"viscosity": "150 mPa.s", "fluid": "Blend 7"},
)
def float_lags(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float lags behind the level.

    Finds: a float that the fluid's viscosity holds back by more than the offset tolerance while the level
        moves at the stated rate, 10 mm/s where none is stated (common practice, no source), or draws under
        altogether: the drag is then more than the buoyancy that is left. The lag is computed for liquid at
        rest in the chamber and is an upper bound: where the chamber fills through its lower connection, the
        moving liquid makes the float run ahead of the level instead, by the stated smaller amount.
    Why: a float that lags reads low while the vessel fills and high while it empties.
    Mend: trace and insulate the chamber so that the fluid stays thin, or widen the gap between float and
        chamber.
    """
    mass, diameter, length, _ = gauges.float_shape
    rate = gauges.or_default("level_rate", settings.level_rate_mm_s * 1e-3)
    viscosity, bore = gauges.high("viscosity"), gauges.si("chamber_bore")
    lowest, _ = gauges.densities
    motion = (lowest, viscosity, bore, rate, gauges.upper)
    with reasons() as why:
        lags = np.stack([response.lag(mass, diameter, length, *motion, ends) for ends in _shapes(gauges)])
    with reasons():
        leads = np.stack([response.lead(mass, diameter, length, *motion, ends) for ends in _shapes(gauges)])
        body = (mass, diameter, length, lowest, gauges.upper)
        dry = np.stack([floats.ride_height(*body, ends) for ends in _shapes(gauges)])
        creeps = response.gap_reynolds(diameter, bore, lowest, viscosity, rate) <= response.REYNOLDS_LIMIT
    known = ~np.isnan(_mean_densities(gauges) + lowest + viscosity + bore + rate + gauges.upper)
    under = np.isnan(lags) & ~np.isnan(dry) & known & creeps & (bore > diameter)
    with np.errstate(invalid="ignore"):
        slow, doubtful = _verdict(
            under | (lags * 1e3 > settings.offset_tolerance_mm), known & (under | ~np.isnan(lags))
        )
    yield from _open(gauges, doubtful)
    lag = np.fmin.reduce(lags)
    drowned = np.logical_or.reduce(under)
    yield from unexplained(
        np.asarray(np.logical_or.reduce(known) & ~drowned), lag, why, "data for which a lag can be computed"
    )
    for record in np.flatnonzero(slow).tolist():
        moving = f"a level that moves {gauges.say(record, 'level_rate', float(rate[record]))}"
        evidence: dict[str, float | str] = {"level_rate_mm_s": float(rate[record] * 1e3)}
        if np.isnan(lag[record]):
            least = float(np.fmin.reduce(dry)[record] * 1e3)
            said = f"the float is drawn under by {moving}: the drag is more than the buoyancy that is left"
            evidence["ride_height_mm"] = least
        else:
            said = f"the float lags up to {lag[record] * 1e3:.1f} mm behind {moving}"
            evidence["lag_mm"] = float(lag[record] * 1e3)
        ahead = float(np.fmin.reduce(leads)[record] * 1e3)
        if not np.isnan(ahead):
            evidence["lead_mm"] = ahead
        turned = "" if np.isnan(ahead) else f"; {ahead:.1f} mm ahead where the liquid follows the level"
        yield gauge_hit(
            gauges,
            record,
            "viscosity",
            f"{said} (bound, for liquid at rest in the chamber{turned}){_shape_note(gauges, record)}",
            evidence=evidence,
            case={
                "ends": str(
                    _shapes(gauges)[_least(lags if np.isfinite(lag[record]) else dry, record)][record]
                )
            },
        )


@rule(
    "worst-reading-exceeds-tolerance",
    Severity.WARNING,
    calculate=balance.worst,
    remedy=right_float,
    needs=(*GEOMETRY, "float_ends", "known_ends", "magnet_height", "any_density", "any_upper"),
    assumes=("level_rate",),
    passing={"viscosity": "30 mPa.s", "fluid": "Blend 7"},
    firing={"fluid_density": "940 kg/m3", "fluid": "Blend 7", "viscosity": "60 mPa.s"},
)
def worst_reading_exceeds_tolerance(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """Offset, uncertainty, movement and heat together are beyond the tolerance.

    Finds: a gauge whose offset is within the tolerance at every stated density, but whose worst reading is
        not: the offset with what the rounding of the float's data leaves uncertain, with the liquid that
        pushes the float ahead of a moving level where viscosity and bore are stated, and with the growth of
        the float to operating temperature (tolerance and rounding: common practice, no source). What is not
        stated is not counted.
    Why: each of them is within the tolerance and hides in it; the person at the gauge sees their sum.
    Mend: choose a float that reads nearer to true, or one with more room in its chamber; trace the chamber.
    """
    mass, diameter, length, _ = gauges.float_shape
    plane = gauges.si("magnet_height")
    asked = gauges.given("float_ends") & ~np.isnan(mass + diameter + length + plane)
    asked &= ~np.isnan(gauges.densities[0] + gauges.upper) & (plane <= length)
    offsets = _offset_cases(gauges)[0][0][0]
    with np.errstate(invalid="ignore"):
        asked &= np.abs(offsets) * 1e3 <= settings.offset_tolerance_mm
    if not asked.any():
        return
    at = np.flatnonzero(asked)
    silent = ~gauges.mentioned("upper_density")[at]
    worst, down, value = _worst(_operating(gauges, settings, at, densest=False))
    _, _, heavy = _worst(_operating(gauges, settings, at, densest=True))
    allowed = settings.offset_tolerance_mm * (1 + 1e-9)
    with np.errstate(invalid="ignore"):  # the vapour of a gauge that states none is open
        beyond, other = np.abs(value) > allowed, np.abs(heavy) > allowed
    doubtful = np.zeros(gauges.n, dtype=np.bool_)
    doubtful[at] = silent & (beyond != other)
    yield Undecided(doubtful, label("upper_density"))
    for i in np.flatnonzero(beyond & ~doubtful[at]).tolist():
        record = int(at[i])
        shares, which = (
            (worst.low_shares, worst.low_case) if down[i] else (worst.high_shares, worst.high_case)
        )
        parts = {name: float(np.broadcast_to(share, down.shape)[i]) * 1e3 for name, share in shares.items()}
        each = ", ".join(f"{name} {x:+.1f}" for name, x in parts.items() if abs(x) >= 0.05)
        yield gauge_hit(
            gauges,
            record,
            _density_field(gauges, record, lowest=bool(down[i])),
            f"the gauge may read {'low' if down[i] else 'high'} by {abs(value[i]):.1f} mm: {each} mm",
            evidence={
                "worst_reading_mm": float(value[i]),
                **{f"{name}_mm": x for name, x in parts.items() if abs(x) >= 0.05},
            },
            case={
                "parts": parts,
                **_case(gauges, record, int(np.atleast_1d(which)[i])),
            },
        )


def _case(gauges: Gauges, record: int, number: int) -> dict[str, float]:
    """Densities of one of the cases of `_operating`."""
    lower, upper = gauges.densities[number // 2], gauges.uppers[number % 2]
    silent = not gauges.mentioned("upper_density")[record]
    return {
        "lower": float(lower[record]),
        "upper": float(gauges.uppers[0][record] if silent else upper[record]),
    }


def _worst(gauge: model.Gauge) -> tuple[model.Worst, Mask, Array]:
    """The worst reading, whether it is the low one, and how far it is from the level [mm]."""
    worst = model.worst_reading(gauge, 0.0)
    low, high = (np.atleast_1d(x) * 1e3 for x in (worst.low, worst.high))
    with np.errstate(invalid="ignore"):
        down = np.asarray(-low > np.where(np.isnan(high), -np.inf, high))
    return worst, down, np.where(down, low, high)


def _operating(gauges: Gauges, settings: Settings, at: NDArray[np.int64], *, densest: bool) -> model.Gauge:
    """Some of the gauges at every stated pair of densities; with the densest vapour where none is stated."""
    mass, diameter, length = (column[at] for column in gauges.float_shape[:3])
    ends = gauges.ends[at]
    plane, rate = (
        gauges.si("magnet_height")[at],
        gauges.or_default("level_rate", settings.level_rate_mm_s * 1e-3)[at],
    )
    metal = np.where(gauges.given("known_float_material"), gauges.texts("float_material"), "")[at]
    hot, mu = gauges.high("operating_temperature")[at], gauges.high("viscosity")[at]
    stated = gauges.mentioned("upper_density")
    silent = gauges.uppers[1 if densest else 0]
    uppers = [np.where(stated, upper, silent)[at] for upper in gauges.uppers]
    cases = tuple(
        model.Fluids(lower[at], upper, viscosity=mu, temperature=hot)
        for lower in gauges.densities
        for upper in uppers
    )
    with np.errstate(invalid="ignore"):
        bore = gauges.si("chamber_bore")[at]
        bore = np.where(bore > diameter, bore, np.nan)
    return model.Gauge(
        model.Float(mass, diameter, length, plane, ends, metal=metal),
        cases,
        model.Chamber(bore),
        model.Movement(np.where(np.isnan(rate), 0.0, rate)),
        model.usual_spread(),
    )


@rule(
    "viscosity-too-high",
    Severity.WARNING,
    calculate=states.viscosity,
    when=lambda gauges: ~_lag_known(gauges),
    needs=("viscosity", "viscosity.high", "tracing", "known_tracing"),
    passing={"chamber_bore": None, "viscosity": "150 mPa.s"},
    firing={
        "chamber_bore": None,
        "viscosity": "350 mPa.s",
        "fluid": "Blend 7",
        "tracing": "none",
        "minimum_ambient": "12 degC",
    },
)
def viscosity_too_high(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The fluid is viscous and the chamber is not traced.

    Finds: a gauge whose float or chamber bore is unknown, so that its lag cannot be computed, with an
        operating viscosity above 200 mPa.s (common practice, no source) and no heat tracing.
    Why: the float may move slowly or not at all.
    Mend: trace the chamber, or get float and bore so that the lag itself can be computed.
    """
    viscosity = gauges.high("viscosity")
    with np.errstate(invalid="ignore"):
        thick = ~_lag_known(gauges) & gauges.untraced & (viscosity * 1e3 > settings.viscosity_limit_mpas)
    for record in np.flatnonzero(thick).tolist():
        yield gauge_hit(
            gauges,
            record,
            "viscosity",
            f"viscosity of {viscosity[record] * 1e3:.0f} mPa.s, above {settings.viscosity_limit_mpas:g},"
            " and no tracing",
            expected=gauges.measure(record, "viscosity", settings.viscosity_limit_mpas * 1e-3),
            evidence={"viscosity_mPas": float(viscosity[record] * 1e3)},
        )


@rule(
    "float-data-impossible",
    Severity.ERROR,
    calculate=balance.float_fits,
    remedy=another_float,
    covers=("offset-exceeds-tolerance", "float-sinks", "float-barely-floats", "float-lags"),
    passing={"float_ends": "hemispherical", "magnet_height": "190.6 mm"},
    firing={"magnet_height": "260 mm"},
)
def float_data_impossible(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float's own data contradict each other.

    Finds: a magnet plane above the float's top; a length over all shorter than the float's two ends; a
        shape of ends that is not flat, hemispherical or elliptical.
    Why: no float can be like that, so nothing can be computed for it; often length and straight length, or
        the height from the top and from the bottom, were mixed up.
    Mend: correct the float's data from its drawing: length over all, magnet plane above the bottom.
    """
    _, diameter, _, ends = gauges.float_shape
    length, plane = gauges.si("float_length"), gauges.si("magnet_height")
    least = floats.ends_length(diameter, ends)
    with np.errstate(invalid="ignore"):
        above = plane > length
        short = length < least * (1 - 1e-9)
    for record in np.flatnonzero(above).tolist():
        say = partial(gauges.say, record, "magnet_height")
        yield gauge_hit(
            gauges,
            record,
            "magnet_height",
            f"the magnet plane, {say(plane[record])} above the bottom, is above the float's top"
            f" ({say(length[record])} long)",
            evidence={
                "magnet_height_mm": float(plane[record] * 1e3),
                "float_length_mm": float(length[record] * 1e3),
            },
        )
    for record in np.flatnonzero(short).tolist():
        say = partial(gauges.say, record, "float_length")
        yield gauge_hit(
            gauges,
            record,
            "float_length",
            f"a float of {say(length[record])} over all is shorter than its two {ends[record]} ends"
            f" ({say(least[record])})",
            evidence={"float_length_mm": float(length[record] * 1e3), "ends_mm": float(least[record] * 1e3)},
        )


@rule(
    "densities-swapped",
    Severity.ERROR,
    calculate=balance.swapped,
    remedy=values.exchanged_densities,
    when=lambda gauges: gauges.interface | gauges.mentioned("upper_density"),
    needs=("lowest_density", "upper_density"),
    covers=(
        "interface-density-gap-small",
        "interface-float-outside-fluids",
        "offset-exceeds-tolerance",
        "float-sinks",
    ),
    passing={"upper_density": "30 kg/m3", "float_mass": "353.7 g"},
    firing={"service_type": "interface", "float_service": "interface", "upper_density": "1050 kg/m3"},
)
def densities_swapped(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The upper fluid is not the lighter one.

    Finds: an upper fluid whose density is not below the lower fluid's.
    Why: the heavier fluid lies below; the two columns, or the two rows, were swapped, and nothing computed
        from them holds.
    Mend: swap the densities, or correct the one that is wrong.
    """
    lowest, _ = gauges.densities
    upper = gauges.high("upper_density")
    with np.errstate(invalid="ignore"):
        swapped = upper >= lowest
    for record in np.flatnonzero(swapped).tolist():
        yield gauge_hit(
            gauges,
            record,
            "upper_density",
            f"the upper fluid's {gauges.say(record, 'upper_density', upper[record])} is not below"
            f" the lower fluid's {gauges.say(record, 'upper_density', lowest[record])}",
            evidence={
                "upper_density_kg_m3": float(upper[record]),
                "lower_density_kg_m3": float(lowest[record]),
            },
        )


_CONFLICTS = (
    "float_mass",
    "float_diameter",
    "float_length",
    "magnet_height",
    "float_wall",
    "float_max_pressure",
    "float_max_temperature",
    "float_design_density",
    "magnet_max_temperature",
)
CONFLICT = 0.01
"""Relative difference beyond which two statements of the same float contradict each other."""


@rule(
    "float-data-conflict",
    Severity.WARNING,
    calculate=balance.conflict,
    passing={"_index": {"float_max_pressure": "40 barg"}},
    firing={"_index": {"float_max_pressure": "45 barg"}},
)
def float_data_conflict(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Index and float list contradict each other.

    Finds: a float whose data in the index differ by more than 1 % (common practice, no source) from those of
        the same part in the float list. The audit uses the index's own.
    Why: one of the two is wrong; floats are ordered from one list and checked against the other.
    Mend: correct the wrong one, or leave the float's data to the float list alone.
    """
    for field in _CONFLICTS:
        if field not in gauges.own or field not in gauges.listed:
            continue
        ours, theirs = gauges.own[field], gauges.listed[field].take(gauges.float_row)
        with np.errstate(invalid="ignore"):
            apart = np.abs(ours.value - theirs.value) > CONFLICT * np.abs(theirs.value)
        for record in np.flatnonzero(apart & ours.given & theirs.given).tolist():
            listed = gauges.say(record, field, float(theirs.value[record]))
            yield gauge_hit(
                gauges,
                record,
                field,
                f"{label(field)}: {gauges.say(record, field, float(ours.value[record]))} here, {listed}"
                f" in the float list ({theirs.sheet[record]}!{theirs.address(record)})",
                expected=gauges.measure(record, field, float(theirs.value[record])),
            )


@rule(
    "density-range-reversed",
    Severity.ERROR,
    calculate=balance.density_order,
    when=lambda gauges: gauges.mentioned("fluid_density_min") | gauges.mentioned("fluid_density_max"),
    assumes=DENSITIES,
    passing={"fluid_density_min": "960 kg/m3", "fluid_density_max": "990 kg/m3"},
    firing={"fluid_density_min": "990 kg/m3", "fluid_density_max": "975 kg/m3"},
)
def density_range_reversed(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The lowest density is not the lowest.

    Finds: a stated minimum density above the maximum, or an operating density outside the two by more than
        0.5 % (common practice, no source).
    Why: the two columns were swapped or belong to different conditions; the float is checked against both.
    Mend: correct the densities.
    """
    least, most = gauges.si("fluid_density_min"), gauges.si("fluid_density_max")
    normal = gauges.column("fluid_density")
    slack = 0.005
    with np.errstate(invalid="ignore"):
        wrong = (least > most) | (normal.low < least * (1 - slack)) | (normal.high > most * (1 + slack))
    for record in np.flatnonzero(wrong).tolist():
        field = "fluid_density_min" if gauges.given("fluid_density_min")[record] else "fluid_density_max"
        stated = {"lowest": least, "operating": gauges.si("fluid_density"), "highest": most}
        words = ", ".join(
            f"{name} {gauges.say(record, field, float(values[record]))}"
            for name, values in stated.items()
            if not np.isnan(values[record])
        )
        yield gauge_hit(gauges, record, field, f"the densities are not in order: {words}")


@rule(
    "operating-exceeds-design",
    Severity.ERROR,
    calculate=limits.conditions,
    needs=("operating_pressure", "design_pressure", "operating_temperature", "design_temperature"),
    passing=(
        {"operating_pressure": "10 barg", "operating_temperature": "60 degC"},
        {"fluid": "Blend 7", "operating_temperature": "-5 degC", "design_temperature": "-20 degC"},
    ),
    firing=({"operating_pressure": "11 barg"}, {"design_temperature": "55 degC"}),
)
def operating_exceeds_design(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """Operating conditions above design conditions.

    Finds: an operating pressure or temperature above the design value of the same gauge. A design temperature
        below 0 degC counts as the lowest one of a cold service and is not compared.
    Why: float, flanges and chamber are chosen for the design conditions; one of the two numbers is wrong, or
        the gauge is not strong enough.
    Mend: correct the wrong number, or raise the design conditions and check the gauge against them again.
    """
    for name, rounding in (("pressure", SAME_PRESSURE), ("temperature", 1e-6)):
        field, design = f"operating_{name}", f"design_{name}"
        running, limit = gauges.high(field), gauges.high(design)
        with np.errstate(invalid="ignore"):
            over = running > limit + np.abs(limit) * rounding
            if name == "temperature":
                over &= limit >= ICE_POINT
        for record in np.flatnonzero(over).tolist():
            yield gauge_hit(
                gauges,
                record,
                field,
                f"operating {name} of {gauges.say(record, field, running[record])} is above"
                f" the design {name} of {gauges.say(record, field, limit[record])}",
                found=gauges.measure(record, field, float(running[record])),
                expected=gauges.measure(record, field, float(limit[record])),
            )


RULES = (
    float_data_impossible,
    float_data_conflict,
    density_range_reversed,
    operating_exceeds_design,
    densities_swapped,
    float_not_in_list,
    float_service_mismatch,
    interface_float_outside_fluids,
    interface_density_gap_small,
    float_sinks,
    float_barely_floats,
    offset_exceeds_tolerance,
    design_density_mismatch,
    density_not_at_operating_conditions,
    fluid_boils_in_chamber,
    float_wider_than_chamber,
    float_lags,
    worst_reading_exceeds_tolerance,
    viscosity_too_high,
)
