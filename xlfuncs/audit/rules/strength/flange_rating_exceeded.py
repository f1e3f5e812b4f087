"""The rule flange-rating-exceeded."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import FLANGE_MATERIALS, SAME_PRESSURE, Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule, unexplained
from xlfuncs.audit.remedies import values
from xlfuncs.audit.rules.strength.shared import MATERIAL_DOUBTS, bounds_of, flange_known
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import classes, materials, reasons
from xlfuncs.gauge.ratings import STANDARDS, rating_ceiling


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
        {
            "flange_class": "PN 10",
            "material_group": None,
            "chamber_material": None,
            "design_pressure": "11 barg",
            "test_pressure": "16.5 barg",
        },
    ),
)
def flange_rating_exceeded(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The flanges are rated below the design pressure.

    Finds: a gauge whose design pressure is above the rating of its flanges at design temperature: of their
        class by ASME B16.5-2009, their PN by EN 1092-1:2018 or their rating by JIS B 2220:2004, and their
        material group. The group is the stated one, else that of the flanges' material, else that of the
        chamber's material. Without material or temperature the class alone decides where the pressure is
        above what it carries in any material, however cool. Two classes in one cell, and materials that the
        standard does not rate, are not decided; threaded and welded ends are not flanges.
    Why: the connection to the vessel is not strong enough.
    Mend: choose the next class, or correct class, material or design conditions. The code of the plant
        and the design authority decide.
    """
    with reasons() as why:
        lowest, highest = bounds_of(gauges)
    design = gauges.high("design_pressure")
    known = flange_known(gauges)
    with np.errstate(invalid="ignore"):
        over = design > highest * (1 + SAME_PRESSURE)
        unsettled = known & ~over & (design > lowest * (1 + SAME_PRESSURE))
    for record in np.flatnonzero(over).tolist():
        yield _flange_hit(gauges, record, float(highest[record]))
    yield from _above_any_material(gauges, known)
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
            "flange_standard": STANDARDS[stated.system],
            "material_group": str(group),
        },
    )


def _above_any_material(gauges: Gauges, known: Mask) -> Iterator[Hit]:
    """Gauges whose design pressure their class carries in no material."""
    stated = gauges.given("known_flange_class") & gauges.given("design_pressure.high") & ~gauges.flangeless
    design = gauges.high("design_pressure")
    for record in np.flatnonzero(stated & ~known).tolist():
        flange = gauges.flange_classes[record]
        most = rating_ceiling(str(flange))
        if design[record] > most * (1 + SAME_PRESSURE):
            yield gauge_hit(
                gauges,
                record,
                "flange_class",
                f"flanges of {flange} carry {gauges.say(record, 'design_pressure', most)} at most, in any"
                f" material, the design pressure is {gauges.say(record, 'design_pressure', design[record])}",
                expected=gauges.measure(record, "design_pressure", float(design[record])),
                found=gauges.measure(record, "design_pressure", most),
                evidence={
                    "flange_rating_barg": most / 1e5,
                    "design_pressure_barg": float(design[record] / 1e5),
                    "flange_class": float(flange.number),
                    "flange_standard": STANDARDS[flange.system],
                },
            )


def _class_unread(gauges: Gauges) -> Iterator[Undecided]:
    """Gauges whose flange class is not one that is understood, by what the cell says."""
    unread = gauges.given("flange_class") & ~gauges.given("known_flange_class")
    for text, where in gauges.by_text("flange_class", unread):
        why = f"'{text}' is none, or more than one"
        yield Undecided(where, label("known_flange_class"), "flange_class", why)


def _group_unread(gauges: Gauges) -> Iterator[Undecided]:
    """Gauges whose flange material has no group in the standard of their class, by what the cell says."""
    understood = gauges.given("known_flange_class") & ~gauges.flangeless
    unread = understood & ~gauges.given("known_material_group")
    if not unread.any():
        return
    for field in FLANGE_MATERIALS:
        for system, standard in STANDARDS.items():
            here = unread & (gauges.group_fields == field) & (gauges.flange_systems == system)
            for text, where in gauges.by_text(field, here):
                why = MATERIAL_DOUBTS.get(materials.read(text).doubt, f"is in no group of {standard}")
                yield Undecided(where, label("known_material_group"), field, f"'{text}' {why}")


def _too_hot(gauges: Gauges, known: Mask) -> Iterator[Undecided]:
    """Gauges hotter than ASME B16.5 permits the grade, though its group is rated there."""
    celsius = gauges.high("design_temperature") - ZERO_CELSIUS
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
