"""The density as it should be stated, and what the float then does."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from xlfuncs.audit.gauges import DENSITIES, Gauges
from xlfuncs.audit.operating import ranges, reference
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.doubted import doubted
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.floats import Wanted, by_reference
from xlfuncs.audit.remedies.taken import along
from xlfuncs.audit.remedies.values import whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings


def as_it_is(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The densities at operating conditions, and how the float reads at them."""
    record = hit.record
    option = _stated(gauges, settings, hit)
    duty = duty_of(gauges, settings, record)
    doubt = None if duty is None else doubted(gauges, settings, record, duty)
    if duty is None or doubt is None:
        return Remedy(f"State {option.text}, and check the float against it.", (option,))
    then = by_reference(Wanted(gauges, settings, record, duty, made="any"), doubt)
    return Remedy(f"State {option.text}. {then.text}", (option, *then.options), then.calculation)


def _stated(gauges: Gauges, settings: Settings, hit: Hit) -> Option:
    """The density by the reference data, with the lowest, operating and highest that share its error.

    At one temperature they keep their distances from each other; of a range of temperatures the ends have
    their own.
    """
    record, rho = hit.record, float(hit.evidence["reference_density_kg_m3"])
    stated = {
        name: float(gauges.si(name)[record])
        for name in DENSITIES
        if gauges.given(name)[record] and gauges.low(name)[record] == gauges.high(name)[record]
    }
    if hit.field not in stated or len(stated) == 1:
        return whole(gauges, record, hit.field, rho, "density")
    known = reference(gauges, settings)
    due = {
        name: value * rho / stated.get("fluid_density", stated[hit.field]) for name, value in stated.items()
    }
    if ranges(gauges)[record]:
        hot, cold = float(known.hot[record]), float(known.cold[record])
        ends = {"fluid_density_min": hot, "fluid_density": (hot + cold) / 2, "fluid_density_max": cold}
        due = {name: ends[name] for name in stated}
    off = [
        name
        for name, value in stated.items()
        if name == hit.field or abs(value / due[name] - 1) > settings.density_deviation
    ]
    each = {name: whole(gauges, record, name, due[name], _WORDS[name]) for name in off}
    if len(each) == 1:
        return whole(gauges, record, hit.field, rho, "density")
    text = ", ".join(f"{one.text} ({gauges.place(record, name)[1]})" for name, one in each.items())
    more = along(*((name, one.value) for name, one in each.items() if name != hit.field))
    return replace(each[hit.field], text=text, along=more)


_WORDS: Final = {
    "fluid_density_min": "the lowest density",
    "fluid_density": "the operating density",
    "fluid_density_max": "the highest density",
}
