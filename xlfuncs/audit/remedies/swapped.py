"""Densities of two liquids that contradict each other: exchanged where that is right, else one is wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from xlfuncs.audit.gauges import ATMOSPHERE, DENSITIES, Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.operating import liquid_at, one_fluid
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.taken import after, along, brought, changes_of
from xlfuncs.audit.remedies.values import whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import density, fluids, reasons


def exchanged_densities(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The two densities the other way round, if the gauge is right then; else the one that is wrong."""
    record = hit.record
    swapped = _swapped(gauges, record)
    against = {} if swapped is None else brought(gauges, settings, record, swapped)
    if swapped is not None and not against:
        return Remedy(f"If they were swapped: {swapped.text}.", (swapped,))
    named = None if swapped is None else _with_names(gauges, record, swapped)
    if named and hit_gone(gauges, settings, record, named) and not brought(gauges, settings, record, named):
        return Remedy(f"If names and densities changed places together: {named.text}.", (named,))
    right = [
        one
        for one in _by_reference(gauges, record, settings.boiling_margin_k)
        if hit_gone(gauges, settings, record, one) and not brought(gauges, settings, record, one)
    ]
    first = next(iter(against.values()), None)
    so = (
        "Swapping them may not be all"
        if first is None
        else f"Swapped, they do not fit either: {first.message}"
    )
    if not right:
        return Remedy(f"{so}. Ask for both densities at operating temperature.")
    likely = "; or ".join(option.text for option in right)
    return Remedy(f"{so}. One of the two is wrong: ask. Likely is {likely}.", tuple(right))


def hit_gone(gauges: Gauges, settings: Settings, record: int, option: Option) -> bool:
    """Whether the densities are in their order with an option."""
    return "densities-swapped" not in after(gauges, settings, record, changes_of(option))


def _swapped(gauges: Gauges, record: int) -> Option | None:
    """Both exchanged; None where one of them is a range, or they are alike."""
    given = [name for name in DENSITIES if gauges.given(name)[record]]
    if given != ["fluid_density"] or any(
        gauges.low(name)[record] != gauges.high(name)[record] for name in ("fluid_density", "upper_density")
    ):
        return None
    lower, upper = (float(gauges.si(name)[record]) for name in ("fluid_density", "upper_density"))
    if lower == upper:
        return None
    below = whole(gauges, record, "fluid_density", upper, "lower fluid")
    above = whole(gauges, record, "upper_density", lower, "upper fluid")
    return replace(below, text=f"{below.text}, {above.text}", along=along(("upper_density", above.value)))


def _with_names(gauges: Gauges, record: int, swapped: Option) -> Option | None:
    """The densities exchanged with the names of their fluids; None where one is not named."""
    below, above = (str(gauges.texts(name)[record]) for name in ("upper_fluid", "fluid"))
    if not below or not above:
        return None
    names = along(("fluid", Measure(below)), ("upper_fluid", Measure(above)))
    text = f"lower fluid {below} of {swapped.value}, upper fluid {above} of {swapped.along[0][1]}"
    return replace(swapped, text=text, along=(*swapped.along, *names))


def _by_reference(gauges: Gauges, record: int, margin: float) -> Iterator[Option]:
    """Each density that reference data give, where the fluid is named and known."""
    kelvin, pascal = (float(gauges.si(f"operating_{name}")[record]) for name in ("temperature", "pressure"))
    if np.isnan(kelvin):
        return
    named = [("upper_fluid", "upper_density", "upper fluid")]
    if one_fluid(gauges)[record]:
        named.append(("fluid", "fluid_density", "lower fluid"))
    for field, states, words in named:
        name = str(gauges.texts(field)[record])
        if not name or fluids.resolve(name) is None or not gauges.given(states)[record]:
            continue
        with reasons():
            at = np.array([kelvin])
            lifted = liquid_at(np.array([name], dtype=object), at, np.array([pascal + ATMOSPHERE]), margin)
            rho = float(density.liquid_density(name, at, lifted)[0])
        if not np.isnan(rho):
            warm = gauges.say(record, "operating_temperature", kelvin)
            option = whole(gauges, record, states, rho, words)
            yield replace(option, text=f"{option.text}, which {name} has at {warm}")
