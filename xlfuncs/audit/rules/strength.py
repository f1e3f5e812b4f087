"""Rules about what float, flanges and chamber withstand."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import FLANGE_MATERIALS, SAME_PRESSURE, Gauges, Mask, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import Floats, ratings, reasons, strength
from xlfuncs.gauge.floats import ENDS

CELSIUS = 273.15


@rule(
    "float-pressure-exceeded",
    Severity.ERROR,
    needs=("float_max_pressure", "design_pressure", "design_pressure.high"),
    covers=("float-collapses", "float-test-pressure-exceeded"),
    passing={"float_max_pressure": "10 barg", "test_pressure": None},
    firing={"float_max_pressure": "8 barg"},
)
def float_pressure_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The float's maximum pressure is below the design pressure.

    Finds: a gauge whose design pressure is above the maximum pressure stated for its float.
    Why: the float can collapse; it then sinks, and the gauge shows empty while the vessel fills.
    Mend: choose a float for the design pressure; ask its maker for a confirmed rating.
    """
    yield from _pressure_below(gauges, "design_pressure", "the design pressure")


@rule(
    "float-test-pressure-exceeded",
    Severity.WARNING,
    needs=("float_max_pressure", "test_pressure", "test_pressure.high"),
    firing={"float_max_pressure": "12 barg"},
)
def float_test_pressure_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The hydrostatic test would crush the float.

    Finds: a gauge whose hydrostatic test pressure is above the maximum pressure stated for its float.
    Why: a float left in the chamber during the test collapses, and nobody sees it from outside.
    Mend: take the float out before the hydrostatic test, and write so into the test procedure.
    """
    yield from _pressure_below(gauges, "test_pressure", "the hydrostatic test pressure")


def _pressure_below(gauges: Gauges, field: str, words: str) -> Iterator[Hit]:
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
            expected=gauges.measure(record, field, float(permitted[record])),
            evidence={
                f"{field}_barg": float(applied[record] / 1e5),
                "float_max_pressure_barg": float(permitted[record] / 1e5),
            },
        )


@rule(
    "float-temperature-exceeded",
    Severity.ERROR,
    needs=(
        ("float_max_temperature", "magnet_max_temperature", "magnet_material"),
        "design_temperature",
        "design_temperature.high",
    ),
    assumes=("float_max_temperature", "magnet_max_temperature"),
    passing={"float_max_temperature": "120 degC"},
    firing=(
        {"float_max_temperature": "100 degC"},
        {"magnet_max_temperature": "100 degC"},
        {"magnet_max_temperature": None, "magnet_material": "NdFeB"},
    ),
)
def float_temperature_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float or its magnet is too hot.

    Finds: a gauge whose design temperature is above the maximum temperature of its float or its magnet.
        Where only the magnet's material is stated, the lowest limit of its grades is taken.
    Why: a magnet that was too hot stays weak: the indicator falls off the float, for good.
    Mend: choose a float and a magnet for the design temperature; the maker's figure for the grade decides.
    """
    design = gauges.high("design_temperature")
    limits = {name: gauges.low(name) for name in ("float_max_temperature", "magnet_max_temperature")}
    by_material = gauges.each("magnet_material", ratings.magnet_limit).astype(np.float64)
    unstated = np.isnan(limits["magnet_max_temperature"])
    limits["magnet_material"] = np.where(unstated, by_material, np.nan)
    nameless = gauges.mentioned("magnet_material") & unstated & np.isnan(by_material)
    yield Undecided(nameless, label("known_magnet_material"))
    names = {
        "float_max_temperature": "the float",
        "magnet_max_temperature": "the magnet",
        "magnet_material": "the magnet material",
    }
    lowest = np.fmin.reduce(np.stack(list(limits.values())))
    with np.errstate(invalid="ignore"):
        over = design > lowest + 1e-6
    for record in np.flatnonzero(over).tolist():
        field = min((f for f in limits if not np.isnan(limits[f][record])), key=lambda f: limits[f][record])
        yield gauge_hit(
            gauges,
            record,
            "design_temperature",
            f"{names[field]} withstands {gauges.say(record, 'design_temperature', lowest[record])},"
            f" the design temperature is {gauges.say(record, 'design_temperature', design[record])}",
            found=gauges.measure(record, "design_temperature", float(design[record])),
            expected=gauges.measure(record, "design_temperature", float(lowest[record])),
            evidence={
                "limit_degC": float(lowest[record] - CELSIUS),
                "design_temperature_degC": float(design[record] - CELSIUS),
            },
        )


@rule(
    "float-collapses",
    Severity.ERROR,
    needs=(
        "float_wall",
        "float_diameter",
        "float_length",
        "known_ends",
        "float_material",
        "known_float_material",
        "design_pressure",
        "design_pressure.high",
    ),
    passing={"float_wall": "0.9 mm"},
    firing={"float_wall": "0.4 mm"},
)
def float_collapses(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The float's shell is too weak for the design pressure.

    Finds: a float whose computed collapse pressure (buckling or yield of the shell and its curved ends at
        design temperature, whichever is lower) divided by the safety factor of 3 (common practice, no
        source) is below the design pressure. Where the float's ends are not stated, it finds one that is too
        weak with each shape of ends. Flat ends are not checked: their thickness is asked for.
    Why: an ideal shell collapses at the computed pressure, a real one below it. A collapsed float sinks.
    Mend: choose a thicker or shorter float, or one that is pressurised inside; ask the maker for the
        calculation and the test certificate.
    """
    shapes = [np.where(gauges.given("float_ends"), gauges.ends, shape) for shape in ENDS]
    with reasons() as why:
        strengths = np.stack([permitted_pressures(gauges, settings, ends) for ends in shapes])
    permitted, design = np.fmax.reduce(strengths), gauges.high("design_pressure")
    known = _shell_known(gauges)
    yield from unexplained(known, permitted[known], why, "data for which a collapse pressure can be computed")
    with np.errstate(invalid="ignore"):
        weak = permitted < design
        sound = known & ~weak & ~np.isnan(design)
    unstated = ~gauges.given("float_ends")
    yield Undecided(sound & unstated, label("float_ends"))
    yield Undecided(sound & ~gauges.given("design_temperature"), label("design_temperature"))
    yield Undecided(sound & (gauges.ends == "flat"), "thickness of the float's flat ends")
    for record in np.flatnonzero(weak).tolist():
        collapse = float(permitted[record] * settings.safety_factor)
        say = partial(gauges.say, record, "design_pressure")
        flat = gauges.ends[record] == "flat"
        part = "the float's shell, its flat ends not checked," if flat else "the float with its curved ends"
        most = ""
        if unstated[record]:
            part, most = "the float, whatever the shape of its ends,", "no more than "
        yield gauge_hit(
            gauges,
            record,
            "design_pressure",
            f"{part} collapses at {most}{say(collapse)} computed, which permits"
            f" {say(permitted[record])}; the design pressure is {say(design[record])}",
            found=gauges.measure(record, "design_pressure", float(design[record])),
            expected=gauges.measure(record, "design_pressure", float(permitted[record])),
            evidence={
                "collapse_pressure_bar": collapse / 1e5,
                "safety_factor": settings.safety_factor,
                "permitted_pressure_bar": float(permitted[record] / 1e5),
            },
        )


def _shell_known(gauges: Gauges) -> Mask:
    """Floats whose wall, size and material are known."""
    wall, diameter, length = gauges.si("float_wall"), gauges.si("float_diameter"), gauges.float_shape[2]
    named = gauges.given("float_material") & gauges.given("known_float_material")
    return np.asarray(~np.isnan(wall + diameter + length) & named)


def permitted_pressures(
    gauges: Gauges, settings: Settings, ends: NDArray[np.object_] | None = None
) -> Floats:
    """Permitted external pressure of each float [Pa], with its own ends unless others are given.

    At 20 degC where no design temperature is stated. NaN where it cannot be computed.
    """
    known = _shell_known(gauges)
    temperature = np.where(gauges.given("design_temperature"), gauges.high("design_temperature"), 293.15)
    out = np.full(gauges.n, np.nan)
    if known.any():
        out[known] = strength.permitted_pressure(
            gauges.si("float_diameter")[known],
            gauges.si("float_wall")[known],
            gauges.si("float_length")[known],
            gauges.texts("float_material")[known],
            temperature[known],
            (gauges.ends if ends is None else ends)[known],
            settings.safety_factor,
        )
    return out


@rule(
    "flange-rating-exceeded",
    Severity.ERROR,
    needs=(
        "flange_class",
        "known_flange_class",
        FLANGE_MATERIALS,
        "known_material_group",
        "design_pressure",
        "design_pressure.high",
        "design_temperature",
        "design_temperature.high",
    ),
    passing={"flange_class": "300", "design_pressure": "12 barg", "test_pressure": "18 barg"},
    firing={"design_pressure": "13 barg", "test_pressure": "20 barg", "float_wall": "1 mm"},
)
def flange_rating_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The flanges are rated below the design pressure.

    Finds: a gauge whose design pressure is above the rating that ASME B16.5-2009 gives for its flange
        class and material group at design temperature. The group is the stated one, else that of the
        flanges' material, else that of the chamber's material.
    Why: the connection to the vessel is not strong enough.
    Mend: choose the next class, or correct class, material or design conditions. The code of the plant
        and the design authority decide.
    """
    with reasons() as why:
        rating, classes, groups = ratings_of_flanges(gauges)
    temperature, design = gauges.high("design_temperature"), gauges.high("design_pressure")
    known = _flange_known(gauges)
    yield from unexplained(known, rating[known], why, "class, group and temperature that the standard rates")
    with np.errstate(invalid="ignore"):
        over = design > rating * (1 + SAME_PRESSURE)
    for record in np.flatnonzero(over).tolist():
        hot = gauges.say(record, "design_temperature", temperature[record])
        where = f"class {classes[record]}, group {groups[record]} at {hot}"
        yield gauge_hit(
            gauges,
            record,
            "flange_class",
            f"flanges of {where} are rated {gauges.say(record, 'design_pressure', rating[record])},"
            f" the design pressure is {gauges.say(record, 'design_pressure', design[record])}",
            expected=gauges.measure(record, "design_pressure", float(design[record])),
            found=gauges.measure(record, "design_pressure", float(rating[record])),
            evidence={
                "flange_rating_barg": float(rating[record] / 1e5),
                "design_pressure_barg": float(design[record] / 1e5),
                "flange_class": float(classes[record] or 0),
                "material_group": str(groups[record]),
            },
        )


def _flange_known(gauges: Gauges) -> Mask:
    """Gauges with a flange class, a material group and a design temperature."""
    stated = np.logical_or.reduce([gauges.given(field) for field in FLANGE_MATERIALS])
    understood = gauges.given("known_flange_class") & gauges.given("known_material_group")
    known = gauges.given("flange_class") & stated & understood & gauges.given("design_temperature")
    return np.asarray(known)


def ratings_of_flanges(
    gauges: Gauges, only: Mask | None = None
) -> tuple[Floats, NDArray[np.object_], NDArray[np.object_]]:
    """Rating of each gauge's flanges at design temperature [Pa gauge], their class and material group.

    `only`: the gauges for which it is wanted.
    """
    groups = gauges.material_groups
    classes = gauges.each("flange_class", ratings.class_number)
    known = _flange_known(gauges)
    if only is not None:
        known &= only
    rating = np.full(gauges.n, np.nan)
    if known.any():
        rating[known] = ratings.flange_rating(
            classes[known],
            groups[known],
            gauges.high("design_temperature")[known],
        )
    return rating, classes, groups


@rule(
    "chamber-magnetic",
    Severity.ERROR,
    needs=("chamber_material", "known_chamber_material"),
    passing={"chamber_material": "304L"},
    firing={"chamber_material": "A105", "flange_class": "300", "material_group": "1.1"},
)
def chamber_magnetic(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """The chamber is magnetic.

    Finds: a chamber of carbon steel, ferritic, martensitic or duplex stainless steel.
    Why: its wall shields the field of the float's magnet and drags the float: the indicator does not
        follow, or not at all.
    Mend: make the chamber of austenitic stainless steel, titanium, a nickel alloy or plastic.
    """
    magnetic = gauges.each("chamber_material", ratings.is_ferromagnetic).astype(np.bool_)
    for record in np.flatnonzero(magnetic).tolist():
        material = str(gauges.texts("chamber_material")[record])
        yield gauge_hit(
            gauges,
            record,
            "chamber_material",
            f"the chamber's material {material} is ferromagnetic",
            expected=Measure("a material that is not ferromagnetic"),
            evidence={"material": material},
        )


RULES = (
    float_pressure_exceeded,
    float_test_pressure_exceeded,
    float_temperature_exceeded,
    float_collapses,
    flange_rating_exceeded,
    chamber_magnetic,
)
