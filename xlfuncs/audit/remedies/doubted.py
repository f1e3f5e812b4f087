"""Densities that another finding doubts: what rests on one is computed for the other as well."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from xlfuncs.audit.gauges import DENSITIES, Gauges
from xlfuncs.audit.operating import reference
from xlfuncs.audit.remedies.duties import density_field, pairs
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge import choice, floats, reasons
from xlfuncs.units import UnitError, parse


@dataclass(frozen=True)
class Doubted:
    """What a float would have to do by the density of reference data, or of another document."""

    duty: choice.Duty
    said: str
    """Why the stated density is in doubt, as a sentence without its full stop."""
    stated: str
    """The stated density, as a person reads it."""
    right: str
    """The reference density."""


def doubted(gauges: Gauges, settings: Settings, record: int, duty: choice.Duty) -> Doubted | None:
    """The doubt of the density that a duty rests on; None where there is none, or no number beside it."""
    found = _by_reference(gauges, settings, record) or _by_document(gauges, record)
    if found is None:
        return None
    low, high, why = found
    upper = [item.upper_density for item in duty.conditions]
    viscosity = duty.conditions[0].viscosity
    try:
        conditions = pairs((low, high), (min(upper), max(upper)), viscosity)
    except ValueError:
        return None
    stated = _span(gauges, record, *(float(end[record]) for end in gauges.densities))
    right = _span(gauges, record, low, high)
    said = f"The stated {stated} is in doubt: {why.format(right=right)}"
    return Doubted(replace(duty, conditions=conditions), said, stated, right)


_Found = tuple[float, float, str]
"""The other density, lowest and highest, and why it counts, with a place for it in words."""


def _by_reference(gauges: Gauges, settings: Settings, record: int) -> _Found | None:
    """That of the fluid at operating conditions, where the stated one is another."""
    if not (gauges.known_fluid[record] or gauges.by_api_gravity[record]):
        return None  # the equations of state are not loaded for nothing
    known = reference(gauges, settings)
    too_low, too_high = known.doubts(gauges, settings)
    if not (too_low[record] or too_high[record]):
        return None
    low, high = sorted((float(known.hot[record]), float(known.cold[record])))
    fluid = "the oil" if known.oil[record] else str(gauges.texts("fluid")[record])
    warm = gauges.measure(record, "operating_temperature")
    return low, high, f"{_plain(fluid)} has {{right}} at {warm}"


def _by_document(gauges: Gauges, record: int) -> _Found | None:
    """That of another document which speaks of the gauge."""
    tag = gauges.tag(record)
    for one in gauges.book.differences.values:
        if tag and one.tag == tag and one.field in DENSITIES:
            try:
                other = parse(one.second.text, "density")
            except UnitError:
                continue
            place = _plain(f"{one.second.sheet}!{one.second.cell}")
            return other.si_low, other.si_high, f"{place} states {{right}}"
    return None


def _plain(text: str) -> str:
    """A name for a text that is formatted later."""
    return text.replace("{", "{{").replace("}", "}}")


def _span(gauges: Gauges, record: int, low: float, high: float) -> str:
    """One density, or two."""
    field = density_field(gauges, record)
    ends = [gauges.say(record, field, end) for end in (low, high)]
    return ends[0] if ends[0] == ends[1] or np.isclose(low, high, rtol=1e-6) else " to ".join(ends)


Body = tuple[float, float, float, float, str]
"""Mass, diameter, length, magnet plane and ends of a float."""


def reads(low: float, high: float) -> str:
    """`reads -3.1 to +4.0 mm`, of millimetres; without a minus before zero."""
    if round(low, 1) == round(high, 1) == 0:
        return "reads true"
    return f"reads {between(low, high)}"


def between(low: float, high: float) -> str:
    """`-3.1 to +4.0 mm`, of millimetres."""
    low, high = (round(end, 1) + 0.0 for end in (low, high))
    return f"{low:+.1f} mm" if low == high else f"{low:+.1f} to {high:+.1f} mm"


def cold(low: float, high: float) -> str:
    """`has a cold offset of -3.1 mm`, of millimetres: what the float balance alone gives."""
    if np.isnan(low + high):
        return "does not float"
    if round(low, 1) == round(high, 1) == 0:
        return "has no cold offset"
    return f"has a cold offset of {between(low, high)}"


def in_doubt(doubt: Doubted | None, low: float, high: float, other: tuple[float, float]) -> str:
    """How a float reads at worst, in mm; where the density is in doubt, at both, `other` by the reference
    density."""
    if doubt is None:
        return f"{reads(low, high)} at worst"
    return f"reads {between(low, high)} at worst at {doubt.stated} but {cold(*other)} at {doubt.right}"


def beside(doubt: Doubted | None, other: tuple[float, float]) -> dict[str, float]:
    """The numbers of the reading by the reference density [mm]."""
    if doubt is None or np.isnan(sum(other)):
        return {}
    return {"offset_at_reference_low_mm": other[0], "offset_at_reference_high_mm": other[1]}


def offsets(body: Body, duty: choice.Duty) -> tuple[float, float]:
    """Lowest and highest offset over the operating conditions [m]; NaN where the float does not float."""
    with reasons():
        found = [
            float(floats.reading_offset(*body[:4], c.lower_density, c.upper_density, body[4]))
            for c in duty.conditions
        ]
    return min(found), max(found)


def by_right(body: Body, doubt: Doubted | None) -> tuple[float, float]:
    """Offsets by the reference density [mm]."""
    low, high = (np.nan, np.nan) if doubt is None else offsets(body, doubt.duty)
    return 1e3 * low, 1e3 * high
