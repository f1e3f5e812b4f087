"""Rules about what float, flanges and chamber withstand."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray

from xlfuncs.audit.gauges import FLANGE_MATERIALS, SAME_PRESSURE, Gauges, Mask, label
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import values
from xlfuncs.audit.remedies.floats import another_float
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.gauge import Array, classes, materials, ratings, reasons, strength
from xlfuncs.gauge.floats import ENDS

CELSIUS = 273.15


@rule(
    "float-pressure-exceeded",
    Severity.ERROR,
    calculate=limits.pressure,
    remedy=another_float,
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
    calculate=limits.pressure,
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
    calculate=limits.temperature,
    remedy=another_float,
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
    calculate=limits.collapse,
    remedy=another_float,
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
    flat_end = np.char.find(gauges.ends, "flat") >= 0
    yield Undecided(sound & flat_end, "thickness of the float's flat ends")
    for record in np.flatnonzero(weak).tolist():
        collapse = float(permitted[record] * settings.safety_factor)
        say = partial(gauges.say, record, "design_pressure")
        flat = bool(flat_end[record])
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
    """Array whose wall, size and material are known."""
    wall, diameter, length = gauges.si("float_wall"), gauges.si("float_diameter"), gauges.float_shape[2]
    named = gauges.given("float_material") & gauges.given("known_float_material")
    return np.asarray(~np.isnan(wall + diameter + length) & named)


def permitted_pressures(gauges: Gauges, settings: Settings, ends: NDArray[np.object_] | None = None) -> Array:
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
    calculate=limits.flange,
    remedy=values.sufficient_class,
    needs=(
        "flange_class",
        FLANGE_MATERIALS,
        "design_pressure",
        "design_pressure.high",
        "design_temperature",
        "design_temperature.high",
    ),
    when=lambda gauges: ~gauges.flangeless,
    passing=(
        {"flange_class": "300", "design_pressure": "12 barg", "test_pressure": "18 barg"},
        {"flange_class": "PN 40", "material_group": None, "chamber_material": "1.4404"},
        {"flange_class": "10K", "material_group": None, "chamber_material": "SUS316L"},
        {"flange_class": '1 1/2" NPT'},
    ),
    firing=(
        {"design_pressure": "13 barg", "test_pressure": "20 barg", "float_wall": "1 mm"},
        {
            "flange_class": "PN 10",
            "material_group": None,
            "chamber_material": "1.4404",
            "design_pressure": "9.5 barg",
            "test_pressure": "15 barg",
        },
        {"flange_class": "5K", "material_group": None, "chamber_material": "SUS316L"},
    ),
)
def flange_rating_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The flanges are rated below the design pressure.

    Finds: a gauge whose design pressure is above the rating of its flanges at design temperature: of their
        class by ASME B16.5-2009, their PN by EN 1092-1:2018 or their rating by JIS B 2220:2004, and their
        material group. The group is the stated one, else that of the flanges' material, else that of the
        chamber's material. Two classes in one cell, and materials that the standard does not rate, are not
        decided; threaded and welded ends are not flanges.
    Why: the connection to the vessel is not strong enough.
    Mend: choose the next class, or correct class, material or design conditions. The code of the plant
        and the design authority decide.
    """
    with reasons() as why:
        lowest, highest = _bounds(gauges)
    design = gauges.high("design_pressure")
    known = _flange_known(gauges)
    with np.errstate(invalid="ignore"):
        over = design > highest * (1 + SAME_PRESSURE)
        unsettled = known & ~over & (design > lowest * (1 + SAME_PRESSURE))
    for record in np.flatnonzero(over).tolist():
        yield _flange_hit(gauges, record, float(highest[record]))
    yield from _class_unread(gauges)
    yield from _group_unread(gauges)
    yield from unexplained(known & ~over, lowest, why, "class, group and temperature that the standard rates")
    yield Undecided(unsettled, "division of the flanges by JIS B 2220")
    yield from _too_hot(gauges, known)


def _flange_hit(gauges: Gauges, record: int, rating: float) -> Hit:
    """The finding for a gauge whose flanges are rated below the design pressure."""
    stated, group = gauges.flange_classes[record], gauges.material_groups[record]
    design, kelvin = gauges.high("design_pressure")[record], gauges.high("design_temperature")[record]
    field = str(gauges.group_fields[record])
    named = "" if field == "material_group" else f" ({gauges.texts(field)[record]})"
    where = f"{stated}, group {group}{named} at {gauges.say(record, 'design_temperature', kelvin)}"
    most = "at most " if stated.system == classes.JIS else ""
    return gauge_hit(
        gauges,
        record,
        "flange_class",
        f"flanges of {where} are rated {most}{gauges.say(record, 'design_pressure', rating)},"
        f" the design pressure is {gauges.say(record, 'design_pressure', design)}",
        expected=gauges.measure(record, "design_pressure", float(design)),
        found=gauges.measure(record, "design_pressure", rating),
        evidence={
            "flange_rating_barg": rating / 1e5,
            "design_pressure_barg": float(design / 1e5),
            "flange_class": float(stated.number),
            "flange_standard": _STANDARDS[stated.system],
            "material_group": str(group),
        },
    )


_STANDARDS = {classes.ASME: "ASME B16.5", classes.PN: "EN 1092-1", classes.JIS: "JIS B 2220"}


def _class_unread(gauges: Gauges) -> Iterator[Undecided]:
    """Gauges whose flange class is not one that is understood, by what the cell says."""
    unread = gauges.given("flange_class") & ~gauges.given("known_flange_class")
    for text, where in gauges.by_text("flange_class", unread):
        yield Undecided(where, f"{label('known_flange_class')} ('{text}' is none, or more than one)")


def _group_unread(gauges: Gauges) -> Iterator[Undecided]:
    """Gauges whose flange material has no group in the standard of their class, by what the cell says."""
    understood = gauges.given("known_flange_class") & ~gauges.flangeless
    unread = understood & ~gauges.given("known_material_group")
    for field in FLANGE_MATERIALS:
        for system, standard in _STANDARDS.items():
            here = unread & (gauges.group_fields == field) & (gauges.flange_systems == system)
            for text, where in gauges.by_text(field, here):
                why = _MATERIAL_DOUBTS.get(materials.read(text).doubt, f"is in no group of {standard}")
                yield Undecided(where, f"{label('known_material_group')} ('{text}' {why})")


def _too_hot(gauges: Gauges, known: Mask) -> Iterator[Undecided]:
    """Gauges hotter than ASME B16.5 permits the grade, though its group is rated there."""
    celsius = gauges.high("design_temperature") - CELSIUS
    rated = known & (gauges.flange_systems == classes.ASME)
    for field in FLANGE_MATERIALS[1:]:
        for text, where in gauges.by_text(field, rated & (gauges.group_fields == field)):
            limit = materials.read(text).highest
            if limit is not None:
                with np.errstate(invalid="ignore"):
                    hot = where & (celsius > limit + 1e-6)
                yield Undecided(
                    hot, f"rating of {text}, which ASME B16.5 does not permit above {limit:g} degC"
                )


def _ratings(gauges: Gauges) -> NDArray[np.object_]:
    """Flange ratings as texts that `ratings.flange_rating` takes; "" where there is none."""
    return np.array([str(stated or "") for stated in gauges.flange_classes.tolist()], dtype=object)


def _flange_known(gauges: Gauges) -> Mask:
    """Gauges with a flange class, a material group and a design temperature."""
    stated = np.logical_or.reduce([gauges.given(field) for field in FLANGE_MATERIALS])
    understood = (
        gauges.given("known_flange_class") & gauges.given("known_material_group") & ~gauges.flangeless
    )
    known = gauges.given("flange_class") & stated & understood & gauges.given("design_temperature")
    return np.asarray(known)


def _bounds(gauges: Gauges, only: Mask | None = None) -> tuple[Array, Array]:
    """Lowest and highest rating that each gauge's flanges can have at design temperature [Pa gauge]."""
    known = _flange_known(gauges)
    if only is not None:
        known &= only
    low, high = np.full(gauges.n, np.nan), np.full(gauges.n, np.nan)
    if known.any():
        low[known], high[known] = ratings.rating_bounds(
            _ratings(gauges)[known],
            gauges.material_groups[known],
            gauges.high("design_temperature")[known],
        )
    return low, high


def ratings_of_flanges(gauges: Gauges, only: Mask | None = None) -> Array:
    """Rating of each gauge's flanges at design temperature [Pa gauge].

    `only`: the gauges for which it is wanted.
    """
    return _bounds(gauges, only)[0]


@rule(
    "chamber-magnetic",
    Severity.ERROR,
    calculate=limits.magnetic,
    needs=("chamber_material",),
    passing=({"chamber_material": "304L"}, {"chamber_material": "1.4404 (316L), electropolished"}),
    firing=(
        {"chamber_material": "A105", "flange_class": "300", "material_group": "1.1"},
        {"chamber_material": "PTFE lined CS"},
        {"chamber_material": "P265GH"},
    ),
)
def chamber_magnetic(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The chamber is magnetic.

    Finds: a chamber of carbon or low alloy steel, cast iron, nickel, or ferritic, martensitic or duplex
        stainless steel, lined or not. Words that leave the metal open ('steel', 'stainless steel'), and
        several metals that differ, are not decided.
    Why: its wall shields the field of the float's magnet and drags the float: the indicator does not
        follow, or not at all.
    Mend: make the chamber of austenitic stainless steel, titanium, a nickel alloy or plastic.
    """
    magnetic = gauges.each("chamber_material", ratings.is_ferromagnetic)
    for record in np.flatnonzero(magnetic.astype(np.bool_)).tolist():
        text = str(gauges.texts("chamber_material")[record])
        material = materials.read(text)
        lined = " behind its lining" if material.lined else ""
        yield gauge_hit(
            gauges,
            record,
            "chamber_material",
            f"the chamber's material {text} is ferromagnetic ({material.label}{lined})",
            expected=Measure("a material that is not ferromagnetic"),
            evidence={"material": text, "family": material.label},
        )
    open_ = gauges.given("chamber_material") & np.array([found is None for found in magnetic.tolist()])
    for text, where in gauges.by_text("chamber_material", open_):
        why = _MATERIAL_DOUBTS[materials.read(text).doubt]
        yield Undecided(where, f"{label('known_chamber_material')} ('{text}' {why})")


_MATERIAL_DOUBTS = {
    materials.UNKNOWN: "is in no table of materials",
    materials.OPEN: "leaves the metal open",
    materials.SEVERAL: "names materials that differ",
    materials.BORDERLINE: "is ferromagnetic or not by its composition and temperature",
}
"""Doubt of a material -> what is said of the text of its cell."""


RULES = (
    float_pressure_exceeded,
    float_test_pressure_exceeded,
    float_temperature_exceeded,
    float_collapses,
    flange_rating_exceeded,
    chamber_magnetic,
)
