"""Chambers of another metal: which class carries them, and up to which temperature the present one does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from xlfuncs.audit.compatibility import resistant, strength, unfit_families
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.floats import float_of_fit_metal
from xlfuncs.audit.remedies.taken import tried
from xlfuncs.audit.remedies.values import bound
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.strength import carried
from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import classes, materials, ratings, reasons

_AUSTENITIC: Final = ("316L", "304L", "316", "304")
"""Usual metals of chambers that are not magnetic (common practice, no source)."""


def not_magnetic(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Austenitic metals, each with the flange class that carries the design pressure in it."""
    found = list(_in_class(gauges, hit.record))
    options = tuple(option for option, _ in found)
    if not options:
        usual = Option("316L", "chamber_material", Measure("316L"))
        text = (
            f"A chamber of {usual.text}, say; which class carries it is told by flange class, design pressure"
            " and design temperature: state all three."
        )
        return Remedy(text, (usual,))
    system = gauges.flange_classes[hit.record].system
    standard = ratings.STANDARDS[system]
    shown, *more = (
        (f"{option.value} with {each[0]}", carried(gauges, settings, hit.record, *each, standard))
        for option, each in found
    )
    text = f"A chamber of {'; or of '.join(option.text for option in options)}."
    return Remedy(text, options, shown[1], tuple(more))


def _in_class(gauges: Gauges, record: int) -> Iterator[tuple[Option, tuple[str, str, float]]]:
    """Each of the usual metals with the lowest class that does; none where class or conditions are open.

    Beside each its class, its material group and what that carries [Pa gauge].
    """
    stated = gauges.flange_classes[record]
    pressure, kelvin = (float(gauges.high(f"design_{name}")[record]) for name in ("pressure", "temperature"))
    if stated is None or stated.system == classes.NONE or np.isnan(pressure + kelvin):
        return
    for metal in _AUSTENITIC:
        group = materials.read(metal).group(stated.system)
        for number in load("flange_words")[stated.system]["numbers"] if group else ():
            if number < stated.number:
                continue  # the vessel's nozzle has the stated class
            rating = str(classes.Rating(stated.system, number))
            with reasons():
                carried_ = float(np.asarray(ratings.rating_bounds(rating, group, kelvin)[0]))
            if carried_ >= pressure:
                said = gauges.say(record, "design_pressure", carried_)
                text = f"{metal} (group {group}) with {rating}, rated {said} at design temperature"
                numbers = {"flange_rating_barg": carried_ / 1e5, "flange_class": float(number)}
                higher = () if number == stated.number else (("flange_class", Measure(rating)),)
                option = Option(text, "chamber_material", Measure(metal), numbers, along=higher)
                yield option, (rating, str(group), carried_)
                break


def fit_metal(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """For a float parts of the list that fit; for a chamber the temperature up to which its metal does.

    And the metals that a published statement calls resistant. That no statement is held against one proves
    nothing: such a metal is not named.
    """
    if hit.field != "float_material":
        return _of_chamber(gauges, settings, hit)
    told = _told(gauges, hit, _resistant(gauges, hit))
    listed = float_of_fit_metal(gauges, settings, hit)
    return Remedy(told) if listed is None else replace(listed, text=f"{listed.text} {told}")


@tried
def _of_chamber(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    known = _resistant(gauges, hit)
    told, options = _told(gauges, hit, known), []
    above = load("compatibility")["unfit"][hit.case["statement"]].get("above")
    if above is not None:
        field, limit = "operating_temperature", float(above) + ZERO_CELSIUS - 0.1
        options.append(bound(gauges, hit.record, field, limit, "an operating temperature of", down=True))
        told = f"The statement does not hold at {options[0].text} or less. {told}"
    each = dict.fromkeys(metal for metals, _ in known for metal in metals)
    options += [Option(f"a chamber of {metal}", "chamber_material", Measure(metal)) for metal in each]
    return Remedy(told, tuple(options))


_Resistant = list[tuple[list[str], str]]
"""Metals of one published statement, and what it says of them."""


def _resistant(gauges: Gauges, hit: Hit) -> _Resistant:
    """Metals that a published statement calls resistant, not ferromagnetic ones for a chamber."""
    record, fluid = hit.record, str(gauges.texts(str(hit.case["fluid"]))[hit.record])
    hottest = float(gauges.high("operating_temperature")[record])
    stated, unfit, found = strength(fluid), unfit_families(fluid), []
    for block in resistant(fluid):
        warmest, strongest = float(block["below"]) + ZERO_CELSIUS, float(block.get("strength", 100.0))
        read = {name: materials.read(name) for name in block["metals"]}
        metals = [
            name
            for name, metal in read.items()
            if metal.family not in unfit and (hit.field == "float_material" or metal.ferromagnetic is False)
        ]
        if not metals or hottest > warmest or (stated is not None and stated > strongest):
            continue
        names = [name if read[name].label in name else f"{name} ({read[name].label})" for name in metals]
        limits = f"up to {gauges.say(record, 'operating_temperature', warmest)}"
        limits += f" and {strongest:g} %" if "strength" in block else ""
        found.append((metals, f"{' and '.join(names)} {limits} by {block['source']}"))
    return found


def _told(gauges: Gauges, hit: Hit, known: _Resistant) -> str:
    fluid = str(gauges.texts(str(hit.case["fluid"]))[hit.record])
    who = "a corrosion specialist and the code that applies decide"
    by = "by the fluid's strength, temperature and impurities"
    if not known:
        return f"No published statement held here names a metal that stands {fluid} as stated: {who}, {by}."
    each = "; ".join(said for _, said in known)
    head = f"Held here as resistant to {fluid}"
    return f"{head}: {each}. Which it is to be, {who}, {by}."
