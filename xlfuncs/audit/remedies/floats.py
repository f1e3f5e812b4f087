"""The float that would do: parts of the float list, a scale for the operating density, a float to be made."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.compatibility import unfit_families
from xlfuncs.audit.gauges import Gauges, part_key
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies import states
from xlfuncs.audit.remedies.doubted import Doubted, beside, between, doubted, offsets, reads
from xlfuncs.audit.remedies.duties import (
    duty_of,
    hottest_field,
    listed_floats,
    listed_rows,
    own_float,
    said_by,
    spare,
)
from xlfuncs.audit.remedies.lags import lags_of, slow
from xlfuncs.audit.remedies.made import made, scale
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.rounding import listed_spread, spread_of
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings.balance import listed as listed_reading
from xlfuncs.audit.workings.balance import made as made_reading
from xlfuncs.data import load
from xlfuncs.gauge import choice, materials, reasons

BEST = 3
"""Parts that are named in the sentence; all that fit are options."""
_SEEN = 5e-5
"""Metres that show as a tenth of a millimetre."""
NAMED = 10
"""Parts that are named where they cannot be judged for one reason."""


def another_float(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge; where none does, the nearest and why not."""
    duty = duty_of(gauges, settings, hit.record)
    return None if duty is None else proposed(Wanted(gauges, settings, hit.record, duty))


def float_for_test(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and withstand its test."""
    duty = duty_of(gauges, settings, hit.record)
    if duty is None:
        return None
    highest = float(np.fmax(duty.design_pressure, gauges.high("test_pressure")[hit.record]))
    return proposed(Wanted(gauges, settings, hit.record, replace(duty, design_pressure=highest)))


def float_for_cold(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and are made for its cold; else what the chamber may be of."""
    if hit.case["of"] not in load("fields"):
        return states.for_the_cold(gauges, settings, hit)
    duty, column = duty_of(gauges, settings, hit.record), gauges.listed.get(str(hit.case["of"]))
    if duty is None or column is None:
        return None
    coldest = float(gauges.low("design_temperature_min")[hit.record])
    return proposed(
        Wanted(gauges, settings, hit.record, duty, lambda at: bool(column.high[at] <= coldest + 1e-6))
    )


def float_of_fit_metal(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and are of a metal that no statement here calls unfit."""
    duty, column = duty_of(gauges, settings, hit.record), gauges.listed.get("float_material")
    if hit.field != "float_material" or duty is None or column is None:
        return None
    unfit = unfit_families(str(gauges.texts(str(hit.case["fluid"]))[hit.record]))
    family = {text: materials.read(text).family for text in set(column.text.tolist())}
    fit = [bool(family[text]) and family[text] not in unfit for text in column.text.tolist()]
    only = " of a metal that no statement held here calls unfit"
    return proposed(Wanted(gauges, settings, hit.record, duty, lambda at: fit[at], only))


def right_float(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge; another scale; where none fits, the float that would."""
    duty = duty_of(gauges, settings, hit.record)
    if duty is None:
        return None
    return proposed(Wanted(gauges, settings, hit.record, duty, made=True))


@dataclass(frozen=True)
class Wanted:
    """A float that is asked for."""

    gauges: Gauges
    settings: Settings
    record: int
    duty: choice.Duty
    fit_at: Callable[[int], bool] = lambda at: True
    """Which records of the float lists come into question."""
    only: str = ""
    """What those records have in common: ' of a metal that ...'."""
    made: bool = False
    """Whether a float or a scale to be made is proposed as well."""
    doubt: Doubted | None = None
    """The reference density, for which every proposal is computed too."""


def proposed(wanted: Wanted) -> Remedy | None:
    """What would do; where the density is in doubt, by the reference density and as stated."""
    doubt = doubted(wanted.gauges, wanted.settings, wanted.record, wanted.duty)
    if doubt is None:
        return _chosen(wanted)
    as_stated = _chosen(replace(wanted, doubt=doubt))
    right = by_reference(wanted, doubt)
    if as_stated is None:
        return Remedy(f"{doubt.said}: settle that first. {right.text}", right.options, right.calculation)
    text = (
        f"{doubt.said}: settle that first. {right.text} If {doubt.stated} stands after all:"
        f" {as_stated.text[0].lower()}{as_stated.text[1:]}"
    )
    return Remedy(text, (*right.options, *as_stated.options), right.calculation or as_stated.calculation)


def by_reference(wanted: Wanted, doubt: Doubted) -> Remedy:
    """How the gauge's own float reads by the reference density; where it does not do, what would."""
    gauges, record = wanted.gauges, wanted.record
    with reasons():
        duty = replace(doubt.duty, spread=spread_of(gauges, record))
        own = choice.Judgement(own_float(gauges, record), duty, said_by(gauges, record)).candidate(0)
    part = f" {own.part}" if own.part else ""
    there = [1e3 * end for end in own.offsets.values()]
    if own.status == "rejected":
        best = _chosen(replace(wanted, duty=doubt.duty))
        head = f"At {doubt.right} the present float{part} does not do: it {_as_clause(own.verdict)}."
        return Remedy(head) if best is None else replace(best, text=f"{head} {best.text}")
    if np.isnan(sum(there)):
        return Remedy(f"At {doubt.right} the present float{part} cannot be judged: state its data.")
    low, high = (1e3 * end for end in own.reading)
    numbers = {"offset_at_reference_low_mm": min(there), "offset_at_reference_high_mm": max(there)}
    numbers |= {"worst_reading_low_mm": low, "worst_reading_high_mm": high}
    text = (
        f"the present float{part}, which {reads(min(there), max(there))} at {doubt.right}"
        f" ({between(low, high)} at worst)"
    )
    shown = made_reading(gauges, wanted.settings, record, {}, doubt.duty.conditions)
    return Remedy(f"What does by the reference density: {text}.", (Option(text, "", None, numbers),), shown)


def _as_clause(verdict: str) -> str:
    """A verdict as what 'it' does."""
    return verdict if verdict.startswith(("reads", "sinks", "rises", "may")) else f"is out: {verdict}"


def _chosen(wanted: Wanted) -> Remedy | None:
    """What the list has for a duty, then what would have to be made."""
    gauges, record, duty, doubt = wanted.gauges, wanted.record, wanted.duty, wanted.doubt
    others, cannot = _others(wanted)
    listed = listed_floats(gauges)
    if listed is None or not len(listed):
        head = "There is no float list to choose from"
        shown = _of_made(wanted, others)
        return Remedy(_sentence(head, others, cannot), others, shown) if others or cannot else None
    with reasons():
        rounded = replace(duty, spread=listed_spread(gauges, listed_rows(gauges)))
        numbers = choice.Judgement(listed, rounded, said_by(gauges, record))
        found = choice.ranked(numbers)
    own = part_key(str(gauges.texts("float_part")[record]))
    kept = [part_key(text) for text in gauges.listed["float_part"].text[_fit(gauges, wanted.fit_at)].tolist()]
    found = [one for one in found if part_key(one.part) != own and part_key(one.part) in kept]
    lags = dict(zip(map(part_key, listed.part.tolist()), lags_of(listed, duty).tolist(), strict=True))
    found = sorted((slow(one, lags[part_key(one.part)], duty) for one in found), key=_place)
    fit = [
        _option(wanted, one, _elsewhere(listed, one, doubt), lags[part_key(one.part)])
        for one in found
        if one.status == "fits"
    ]
    rejected = [one for one in found if one.status == "rejected"]
    silent = _not_judged([one for one in found if one.status == "not judged"])
    if fit:
        first = next(one for one in found if one.status == "fits")
        shown = _worst(gauges, wanted.settings, record, numbers, first)
        best = "; ".join(option.text for option in fit[:BEST])
        more = f"; and {len(fit) - BEST} more" if len(fit) > BEST else ""
        rescaled = next((f"; or {option.text}" for option in others if not option.name), "")
        these = "these fit" if fit[1:] else "this fits"
        text = f"Of the float list {these}: {best}{more}{rescaled}{f'; {silent}' if silent else ''}."
        return Remedy(text, (*fit, *others), shown)
    text = _sentence(_none_fits(rejected, silent, wanted.only), others, cannot)
    return Remedy(text, others, _of_made(wanted, others))


def _of_made(wanted: Wanted, others: Sequence[Option]) -> Calculation | None:
    """How the first float that would have to be made reads."""
    changes = next((option.changes for option in others if option.changes), None)
    if changes is None:
        return None
    return made_reading(wanted.gauges, wanted.settings, wanted.record, changes, wanted.duty.conditions)


def _place(one: choice.Candidate) -> int:
    return ("fits", "not judged", "rejected").index(one.status)


def _others(wanted: Wanted) -> tuple[tuple[Option, ...], str]:
    """Floats and scales to be made, where they are asked for; why a float of this size cannot be."""
    if not wanted.made:
        return (), ""
    ask = wanted.gauges, wanted.record, wanted.duty, wanted.doubt
    own = made(*ask)
    return (*own.options, *scale(*ask)), own.impossible


def _elsewhere(listed: choice.FloatList, one: choice.Candidate, doubt: Doubted | None) -> tuple[float, float]:
    """Offsets of a part by the reference density [mm]."""
    if doubt is None:
        return np.nan, np.nan
    at = [part_key(part) for part in listed.part.tolist()].index(part_key(one.part))
    mass, across, long = (float(part[at]) for part in (listed.mass, listed.diameter, listed.length))
    body = (mass, across, long, float(listed.magnet_height[at]), str(listed.ends[at]))
    low, high = offsets(body, doubt.duty)
    return 1e3 * low, 1e3 * high


def _fit(gauges: Gauges, fit_at: Callable[[int], bool]) -> list[int]:
    return [at for at in listed_rows(gauges).tolist() if fit_at(at)]


def _none_fits(rejected: Sequence[choice.Candidate], silent: str, only: str) -> str:
    """That nothing fits, of what could be judged, and what could not."""
    if not rejected:
        return (
            f"No other float of the list could be judged; {silent}"
            if silent
            else f"The list has no other float{only}"
        )
    nearest = f"the nearest is {rejected[0].part}: {rejected[0].verdict}"
    if not silent:
        return f"None of the float list fits, {nearest}"
    return f"Of the float list {len(rejected)} could be judged and none fits, {nearest}; {silent}"


def _not_judged(found: Sequence[choice.Candidate]) -> str:
    """The parts that cannot be judged, by what is missing."""
    why: dict[str, list[str]] = {}
    for one in found:
        why.setdefault(one.verdict.removeprefix("not judged: "), []).append(one.part)
    told = [f"{_some(parts)} ({reason})" for reason, parts in why.items()]
    return f"not judged: {'; '.join(told)}" if told else ""


def _some(parts: Sequence[str]) -> str:
    more = f" and {len(parts) - NAMED} more" if len(parts) > NAMED else ""
    return ", ".join(parts[:NAMED]) + more


def _worst(
    gauges: Gauges, settings: Settings, record: int, numbers: choice.Judgement, one: choice.Candidate
) -> Calculation | None:
    """How a part of the list reads at worst in the gauge, from the cells of the list."""
    keys = [part_key(text) for text in gauges.listed["float_part"].text.tolist()]
    at = keys.index(part_key(one.part))
    listed = numbers.floats
    number = [part_key(part) for part in listed.part.tolist()].index(part_key(one.part))
    with reasons():
        extreme = numbers.extreme(number)
    ends = str(listed.ends[number])
    if extreme is None:
        return None
    within = abs(extreme.reading) <= numbers.duty.tolerance
    if within != (one.status == "fits"):
        return None  # it is not its reading for which it was rejected
    room = (one.pressure_margin, one.temperature_margin) if one.status == "fits" else (np.nan, np.nan)
    hot = hottest_field(gauges, record)
    return listed_reading(gauges, settings, record, at, extreme, ends, room, hot)


def _sentence(head: str, options: tuple[Option, ...], cannot: str) -> str:
    """What the list has not, why a float of this size cannot be made, and what would do."""
    head = f"{head}; {cannot}" if cannot else head
    if not options:
        return f"{head}."
    return f"{head}; what would do: {'; or '.join(option.text for option in options)}."


def _option(wanted: Wanted, one: choice.Candidate, other: tuple[float, float], lag: float) -> Option:
    """A part that fits, with its worst reading and its margins."""
    gauges, record, doubt = wanted.gauges, wanted.record, wanted.doubt
    low, high = (1e3 * end for end in one.reading)
    numbers = {"worst_reading_low_mm": low, "worst_reading_high_mm": high}
    room = []
    if np.isfinite(one.pressure_margin):
        numbers["pressure_margin_bar"] = one.pressure_margin / 1e5
        room.append(spare(gauges, record, "design_pressure", one.pressure_margin))
    if np.isfinite(one.temperature_margin):
        numbers["temperature_margin_K"] = one.temperature_margin
        room.append(spare(gauges, record, "design_temperature", one.temperature_margin))
    margin = f", {' and '.join(room)} to spare" if room else ""
    away = "" if doubt is None else f" at {doubt.stated}, but {between(*other)} at {doubt.right}"
    told = reads(low, high) if doubt is None else f"reads {between(low, high)}"
    late = ""
    if lag > max(-one.reading[0], one.reading[1], _SEEN):
        numbers["lag_mm"] = lag * 1e3
        late = f" and lags up to {lag * 1e3:.1f} mm at the lower connection while the level moves"
    text = f"{one.part}, which {told} at worst{away}{late}{margin}"
    numbers |= beside(doubt, other)
    return Option(text, "float_part", Measure(one.part), numbers)
