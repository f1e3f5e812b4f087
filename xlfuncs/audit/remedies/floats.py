"""The float that would do: parts of the float list, a scale for the operating density, a float to be made."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final, Literal

import numpy as np

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.compatibility import unfit_families
from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges, part_key
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit, rules
from xlfuncs.audit.remedies import states
from xlfuncs.audit.remedies.doubted import Doubted, beside, between, cold, doubted, offsets, reads
from xlfuncs.audit.remedies.duties import (
    beyond,
    crushed,
    density_field,
    duty_of,
    listed_floats,
    listed_rows,
    own_float,
    pairs,
    said_by,
    spare,
)
from xlfuncs.audit.remedies.gaps import wider_gaps
from xlfuncs.audit.remedies.interfaces import upper_first
from xlfuncs.audit.remedies.lags import LAG, all_slow, lags_of, slow
from xlfuncs.audit.remedies.leaning import lean, top_heavy
from xlfuncs.audit.remedies.made import made, new_float
from xlfuncs.audit.remedies.nearest import none_fits
from xlfuncs.audit.remedies.own_part import as_listed
from xlfuncs.audit.remedies.rooms import REACH, Room, all_cramped, cramped, rooms_of
from xlfuncs.audit.remedies.rooms import told as told_room
from xlfuncs.audit.remedies.taken import after, brought, changes_of
from xlfuncs.audit.remedies.trial import SEEN, Trial, body_of, changed
from xlfuncs.audit.remedies.values import SIDES, usual, whole
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.rounding import listed_spread, spread_of
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import proposals, travel
from xlfuncs.data import load
from xlfuncs.gauge import choice, materials, reasons

BEST = 3
"""Parts that are named in the sentence; all that fit are options."""
NAMED = 10
"""Parts that are named where they cannot be judged for one reason."""


def another_float(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge; where none does, why not, and a float that would."""
    duty = duty_of(gauges, settings, hit.record)
    if duty is None:
        return upper_first(gauges, hit.record)
    return proposed(Wanted(gauges, settings, hit.record, duty, made="new"))


def usual_bore(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The bore in which the others of this list have floats as wide; else another float."""
    other = another_float(gauges, settings, hit)
    wide, bores = gauges.float_shape[1], gauges.si("chamber_bore")
    own = float(wide[hit.record])
    with np.errstate(invalid="ignore"):
        like = (np.abs(wide - own) < _ALIKE) & (bores > own)
    bore = usual(bores[like], _ALIKE)
    option = whole(gauges, hit.record, "chamber_bore", bore, "a bore of")
    if np.isnan(bore) or brought(gauges, settings, hit.record, option):
        return other
    text = (
        f"The other floats of this list as wide stand in {option.text}: if this one does, correct the bore."
    )
    if other is None:
        return Remedy(text, (option,))
    return replace(other, text=f"{text} If not: {other.text}", options=(*other.options, option))


_ALIKE: Final = 0.5e-3
"""Metres by which alike widths differ at most."""


def listed_float(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge; where none does, the nearest and why not.

    For a gauge whose own float is not known well enough to make another by it.
    """
    duty = duty_of(gauges, settings, hit.record)
    if duty is None:
        return upper_first(gauges, hit.record)
    return proposed(Wanted(gauges, settings, hit.record, duty))


def float_for_test(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """Parts of the list that fit the gauge and withstand its test."""
    duty = duty_of(gauges, settings, hit.record)
    column = gauges.listed.get("float_max_pressure")
    if duty is None or column is None:
        return None
    tested = float(gauges.high("test_pressure")[hit.record])
    fit = np.asarray(column.low * (1 + SAME_PRESSURE) >= tested).tolist()
    only = " that is stated to withstand the test"
    return proposed(Wanted(gauges, settings, hit.record, duty, lambda at: fit[at], only))


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
        return upper_first(gauges, hit.record)
    return proposed(Wanted(gauges, settings, hit.record, duty, made="any"))


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
    made: Literal["", "new", "any"] = ""
    """What is proposed beside the list: nothing, a new float where none fits, or that, a scale and changes of
    the present float."""
    lagging: bool = False
    """Whether the lag of each part is told, however small."""
    reaching: bool = False
    """Whether the room that each part needs is told."""
    doubt: Doubted | None = None
    """The reference density, for which every proposal is computed too."""

    @property
    def asked(self) -> proposals.Asked:
        return proposals.Asked(self.gauges, self.settings, self.record)


def proposed(wanted: Wanted) -> Remedy | None:
    """What would do; where the density is in doubt, by the reference density and as stated."""
    doubt = doubted(wanted.gauges, wanted.settings, wanted.record, wanted.duty)
    if doubt is None:
        chosen, far = _chosen(wanted), far_off(wanted)
        return chosen if chosen is None or not far else replace(chosen, text=f"{far} {chosen.text}")
    as_stated = _chosen(replace(wanted, doubt=doubt))
    right = by_reference(wanted, doubt)
    if as_stated is None:
        return replace(right, text=f"{doubt.said}: settle that first. {right.text}")
    text = (
        f"{doubt.said}: settle that first. {right.text} If {doubt.stated} stands after all:"
        f" {as_stated.text[0].lower()}{as_stated.text[1:]}"
    )
    first = right.calculation or as_stated.calculation
    return Remedy(text, (*right.options, *as_stated.options), first, as_stated.further)


def by_reference(wanted: Wanted, doubt: Doubted) -> Remedy:
    """How the gauge's own float reads by the reference density; where it does not do, what would."""
    gauges, record = wanted.gauges, wanted.record
    with reasons():
        duty = replace(doubt.duty, spread=spread_of(gauges, record))
        judged = choice.Judgement(own_float(gauges, record), duty, said_by(gauges, record))
        own, extreme = judged.candidate(0), judged.extreme(0)
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
        f"the present float{part}, which {cold(min(there), max(there))} at {doubt.right}"
        f" and {reads(low, high)} at worst"
    )
    shown = None if extreme is None else proposals.made(wanted.asked, {}, extreme)
    return Remedy(f"What does by that density: {text}.", (Option(text, "", None, numbers),), shown)


def _as_clause(verdict: str) -> str:
    """A verdict as what 'it' does."""
    return verdict if verdict.startswith(("reads", "sinks", "rises", "may")) else f"is out: {verdict}"


def _chosen(wanted: Wanted) -> Remedy | None:
    """What the list has for a duty, then what would have to be made."""
    listed = listed_floats(wanted.gauges)
    if listed is None or not len(listed):
        others, cannot = _others(wanted)
        head = "There is no float list to choose from"
        text = _with_gaps(wanted, _sentence(head, others, cannot), others)
        return Remedy(text, others, *_worked(wanted, others)) if others or cannot else None
    judged = judged_list(wanted, listed)
    if judged.fit:
        return _of_list(wanted, judged)
    others, cannot = _others(wanted)
    text = _with_gaps(wanted, _sentence(judged.none_fits(wanted), others, cannot), others)
    if judged.of("rejected") and not (others or wanted.lagging or wanted.reaching):
        text = f"{text} {_inquiry(wanted)}"
    first, further = _worked(wanted, others)
    nearest = [one for one in judged.of("rejected")[:1] if {*one.kinds} <= _SHOWN]
    return Remedy(text, others, first, (*further, *_named(wanted, judged, nearest, whole=True)))


def _of_list(wanted: Wanted, judged: Judged) -> Remedy:
    """The parts that fit, the best first, and another scale."""
    others, _ = _others(wanted, sized=False)
    fit = [_option(wanted, judged, one) for one in judged.fit]
    best = "; ".join(option.text for option in fit[:BEST])
    more = f"; and {len(fit) - BEST} more" if len(fit) > BEST else ""
    scales = (f"; or {option.text}" for option in others if "scale_shift_mm" in option.numbers)
    these = "these fit" if fit[1:] else "this fits"
    silent = f"; {judged.silent}" if judged.silent else ""
    text = f"Of the float list {these}: {best}{more}{next(scales, '')}{silent}."
    text = _with_gaps(wanted, text, fit[:BEST])
    first, further = _worked(wanted, others, _worst(wanted, judged, judged.fit[0]))
    next_ones = tuple(_named(wanted, judged, judged.fit[1:BEST]))
    return Remedy(text, (*fit, *others), first, (*_room(wanted, judged, judged.fit[0]), *next_ones, *further))


def far_off(wanted: Wanted) -> str:
    """That a lowest or highest density is far from the operating one, to be asked for before any float is
    chosen for it, and whether the present float does without it; "" where none is."""
    gauges, record = wanted.gauges, wanted.record
    normal = float(gauges.si("fluid_density")[record])
    ends = {name: float(gauges.si(f"fluid_density_{name}")[record]) for name in ("min", "max")}
    far = {name: end for name, end in ends.items() if abs(end - normal) > FAR * normal}
    if not far:
        return ""
    said = []
    for name, end in far.items():
        field, side = f"fluid_density_{name}", "below" if end < normal else "above"
        cell = gauges.place(record, field)[1]
        word = "lowest" if name == "min" else "highest"
        said.append(
            f"the {word} density, {gauges.say(record, field, end)} in {cell}, is true: it is"
            f" {abs(end / normal - 1):.0%} {side} the operating one"
        )
    near = [end for name, end in ends.items() if name not in far and not np.isnan(end)]
    upper = [one.upper_density for one in wanted.duty.conditions]
    span = (min(normal, *near), max(normal, *near)) if near else (normal, normal)
    conditions = pairs(span, (min(upper), max(upper)), wanted.duty.conditions[0].viscosity)
    with reasons():
        duty = replace(wanted.duty, conditions=conditions, spread=spread_of(gauges, record))
        own = choice.Judgement(own_float(gauges, record), duty, said_by(gauges, record)).candidate(0)
    does = "; without it the present float does" if own.status == "fits" else ""
    return f"Ask first whether {' and '.join(said)}{does}."


FAR: Final = 0.1
"""Share by which a lowest or highest density is far from the operating one (common practice, no source)."""


def _inquiry(wanted: Wanted) -> str:
    """What to ask a maker of floats for."""
    gauges, record, duty = wanted.gauges, wanted.record, wanted.duty
    say, field = partial(gauges.say, record), density_field(gauges, record)
    window, under = (
        _span({say(field, rho): rho for rho in densities})
        for densities in zip(
            *((one.lower_density, one.upper_density) for one in duty.conditions), strict=True
        )
    )
    above = f" under {under}" if duty.interface else ""
    asked = [f"reads within {choice.mm(duty.tolerance)} at worst in {window}{above}"]
    if not np.isnan(duty.design_pressure):
        asked.append(f"withstands {say('design_pressure', duty.design_pressure)}")
        test = float(gauges.high("test_pressure")[record])
        if beyond(test, duty.design_pressure):
            asked[-1] += f" (and {say('test_pressure', test)}, or is taken out before the test)"
    if not np.isnan(duty.design_temperature):
        asked.append(f"is good for {say('design_temperature', duty.design_temperature)}")
    return f"Ask a maker of floats for one that {', '.join(asked)}."


def _span(said: dict[str, float]) -> str:
    """'800 to 850 kg/m3' of numbers by what they are called, or the one that they all are."""
    lowest, highest = min(said, key=said.__getitem__), max(said, key=said.__getitem__)
    return " to ".join(dict.fromkeys((lowest, highest)))


@dataclass(frozen=True)
class Judged:
    """The parts of the list but the gauge's own, judged and in order."""

    numbers: choice.Judgement
    found: tuple[choice.Candidate, ...]
    lags: Mapping[str, float]
    """Part -> how far it is behind a moving level [m]."""
    rooms: Mapping[str, Room]
    """Part -> the room that it needs, where the gauge states what there is."""
    own: str
    """The gauge's own part, as a key, where the list has it; "" where it does not."""

    def is_own(self, one: choice.Candidate) -> bool:
        """Whether a part is the gauge's own, as the list has it."""
        return part_key(one.part) == self.own

    def of(self, status: choice.Status) -> list[choice.Candidate]:
        return [one for one in self.found if one.status == status]

    @property
    def fit(self) -> list[choice.Candidate]:
        return self.of("fits")

    @property
    def silent(self) -> str:
        """The parts that cannot be judged, by what is missing."""
        why: dict[str, list[str]] = {}
        for one in self.of("not judged"):
            why.setdefault(one.verdict.removeprefix("not judged: "), []).append(one.part)
        told = [f"{_some(parts)} ({reason})" for reason, parts in why.items()]
        return f"not judged: {'; '.join(told)}" if told else ""

    def none_fits(self, wanted: Wanted) -> str:
        rejected = self.of("rejected")
        own = {
            LAG: all_slow([self.lags[one.part] for one in rejected], wanted.duty),
            REACH: all_cramped(rejected, self.rooms, wanted.gauges, wanted.record),
        }
        of_list = "other floats of the list" if self.own and not any(map(self.is_own, self.found)) else ""
        only = f"{of_list or 'float list'}{wanted.only}"
        return none_fits(rejected, self.silent, only, own, wanted.duty, self.numbers.said)

    def listed_at(self, wanted: Wanted, one: choice.Candidate) -> int:
        """The record of a part in the float lists."""
        keys = [part_key(text) for text in wanted.gauges.listed["float_part"].text.tolist()]
        return keys.index(part_key(one.part))

    def number(self, one: choice.Candidate) -> int:
        """Where a part stands among the floats."""
        return [part_key(part) for part in self.numbers.floats.part.tolist()].index(part_key(one.part))


def judged_list(wanted: Wanted, listed: choice.FloatList) -> Judged:
    """The parts of the list that come into question, by all that the rules on floats judge."""
    gauges, record, duty = wanted.gauges, wanted.record, wanted.duty
    with reasons():
        rounded = replace(duty, spread=listed_spread(gauges, listed_rows(gauges)))
        numbers = choice.Judgement(listed, rounded, said_by(gauges, record))
        found = choice.ranked(numbers)
    own = part_key(str(gauges.texts("float_part")[record]))
    out = set() if _right_as_listed(wanted) else {own}
    kept = {part_key(text) for text in gauges.listed["float_part"].text[_fit(gauges, wanted.fit_at)].tolist()}
    found = [one for one in found if part_key(one.part) in kept - out]
    lags = dict(zip(listed.part.tolist(), lags_of(listed, duty).tolist(), strict=True))
    leaning, rooms = top_heavy(gauges, listed, duty), rooms_of(gauges, record, listed, duty)
    found = [lean(slow(one, lags[one.part], duty), leaning) for one in found]
    found = [cramped(one, rooms.get(one.part), gauges, wanted.settings, record) for one in found]
    stated = dict(zip(listed.part.tolist(), listed.max_pressure.tolist(), strict=True))
    test = float(gauges.high("test_pressure")[record])
    found.sort(key=lambda one: part_key(one.part) != own)  # nothing has to be bought for it
    found.sort(key=partial(_place, stated, test))
    known = own if own in {part_key(part) for part in listed.part.tolist()} else ""
    return Judged(numbers, tuple(found), lags, rooms, known)


def _right_as_listed(wanted: Wanted) -> bool:
    """Whether the row states other data of its part than the list, and nothing of the float is found with
    those of the list."""
    gauges, settings, record = wanted.gauges, wanted.settings, wanted.record
    listed = as_listed(gauges, settings, record)
    if listed is None:
        return False
    then = after(gauges, settings, record, changes_of(listed))
    return not any(getattr(rules()[slug].remedy, "__module__", "") in _OF_FLOATS for slug in then)


_OF_FLOATS: Final = (__name__, f"{__name__.rpartition('.')[0]}.following")


def _worked(wanted: Wanted, others: Sequence[Option], first: Calculation | None = None) -> _Worked:
    """What is computed of each thing to be made; the first of them is the first, unless there is one."""
    further: list[tuple[str, Calculation]] = []
    for option in others:
        name, work = _of_made(wanted, option)
        if work is not None and name not in [one for one, _ in further]:
            further.append((name, work))
    if first is None and further:
        first = further.pop(0)[1]
    return first, tuple(further)


_Worked = tuple[Calculation | None, tuple[tuple[str, Calculation], ...]]


def _of_made(wanted: Wanted, option: Option) -> tuple[str, Calculation | None]:
    """How a float to be made reads, or what another scale leaves, and which of them it is."""
    body, new, numbers = body_of(wanted.gauges, wanted.record), option.changes, option.numbers
    scaled = "scale_shift_mm" in numbers
    if body is None or not (scaled or "worst_reading_low_mm" in numbers):
        return "", None
    duty = replace(wanted.duty, chamber_bore=new.get("chamber_bore", wanted.duty.chamber_bore))
    extreme = Trial(wanted.gauges, wanted.record, duty).extreme(changed(body, new))
    if extreme is None:
        return "", None
    if not scaled:
        moved = set(new) == {"magnet_height"}
        name = "the magnet elsewhere" if moved else "the float to be made"
        return name, proposals.made(wanted.asked, new, extreme, numbers)
    shift, density = numbers["scale_shift_mm"] / 1e3, numbers["scale_density_kg_m3"]
    return "the new scale", proposals.scaled(wanted.asked, extreme, shift, density)


def _place(stated: Mapping[str, float], test: float, one: choice.Candidate) -> tuple[int, bool]:
    """Those that fit first, of them those that the test leaves whole."""
    weak = one.status == "fits" and beyond(test, stated[one.part])
    return ("fits", "not judged", "rejected").index(one.status), weak


def _others(wanted: Wanted, *, sized: bool = True) -> tuple[tuple[Option, ...], str]:
    """Floats and scales to be made, where they are asked for; why the present one cannot be made to do."""
    if wanted.made == "new" and sized:
        found = new_float(Trial(wanted.gauges, wanted.record, wanted.duty), wanted.doubt)
        return found.options, found.impossible
    if wanted.made != "any":
        return (), ""
    found = made(Trial(wanted.gauges, wanted.record, wanted.duty), wanted.doubt, sized=sized)
    return found.options, found.impossible


def _elsewhere(judged: Judged, one: choice.Candidate, doubt: Doubted | None) -> tuple[float, float]:
    """Offsets of a part by the reference density [mm]."""
    if doubt is None:
        return np.nan, np.nan
    listed, at = judged.numbers.floats, judged.number(one)
    mass, across, long = (float(part[at]) for part in (listed.mass, listed.diameter, listed.length))
    body = (mass, across, long, float(listed.magnet_height[at]), str(listed.ends[at]))
    low, high = offsets(body, doubt.duty)
    return 1e3 * low, 1e3 * high


def _fit(gauges: Gauges, fit_at: Callable[[int], bool]) -> list[int]:
    return [at for at in listed_rows(gauges).tolist() if fit_at(at)]


def _some(parts: Sequence[str]) -> str:
    more = f" and {len(parts) - NAMED} more" if len(parts) > NAMED else ""
    return ", ".join(parts[:NAMED]) + more


_SHOWN = frozenset({"reading", "pressure", "temperature", "bore", LAG})
"""Kinds of limits that the calculation of a part holds."""


def _named(
    wanted: Wanted, judged: Judged, parts: Sequence[choice.Candidate], *, whole: bool = False
) -> Iterator[tuple[str, Calculation]]:
    """How further parts read at worst. `whole`: and which limits they keep."""
    for one in parts:
        if (work := _worst(wanted, judged, one, whole=whole)) is not None:
            yield f"{one.part} in this gauge", work


def _worst(
    wanted: Wanted, judged: Judged, one: choice.Candidate, *, whole: bool = False
) -> Calculation | None:
    """How a part of the list reads at worst in the gauge, from the cells of the list."""
    number = judged.number(one)
    with reasons():
        extreme = judged.numbers.extreme(number)
    if extreme is None:
        return None
    ends, room = str(judged.numbers.floats.ends[number]), (one.pressure_margin, one.temperature_margin)
    at = judged.listed_at(wanted, one)
    return proposals.listed(wanted.asked, at, extreme, ends, room, judged.lags[one.part], whole=whole)


def _room(wanted: Wanted, judged: Judged, one: choice.Candidate) -> Iterator[tuple[str, Calculation]]:
    """The room that a part of the list needs at each end, where that is told."""
    if not wanted.reaching or one.part not in judged.rooms:
        return
    number, decides = judged.number(one), judged.rooms[one.part].decides
    ends = str(judged.numbers.floats.ends[number])
    for field, fluids in decides.items():
        work = wanted.asked.working(judged.listed_at(wanted, one))
        states_ = fluids.lower_density, fluids.upper_density
        yield f"room {SIDES[field]} for {one.part}", travel.reached(work, field, ends, *states_)


def _with_gaps(wanted: Wanted, text: str, named: Sequence[Option]) -> str:
    """The text, and of the options that it names those that stand far from the wall."""
    return " ".join(filter(None, (text, wider_gaps(wanted.gauges, wanted.record, named))))


def _sentence(head: str, options: tuple[Option, ...], cannot: str) -> str:
    """What the list has not, why a float of this size cannot be made, and what would do."""
    head = f"{head}; {cannot}" if cannot else head
    if not options:
        return f"{head}."
    return f"{head}; what would do: {'; or '.join(option.text for option in options)}."


def _option(wanted: Wanted, judged: Judged, one: choice.Candidate) -> Option:
    """A part that fits, with its worst reading, its lag and its margins."""
    gauges, record, doubt = wanted.gauges, wanted.record, wanted.doubt
    lag, other = judged.lags[one.part], _elsewhere(judged, one, doubt)
    low, high = (1e3 * end for end in one.reading)
    numbers = {"worst_reading_low_mm": low, "worst_reading_high_mm": high}
    room = []
    if np.isfinite(one.pressure_margin):
        numbers["pressure_margin_bar"] = one.pressure_margin / 1e5
        room.append(spare(gauges, record, "design_pressure", one.pressure_margin))
    if np.isfinite(one.temperature_margin):
        numbers["temperature_margin_K"] = one.temperature_margin
        room.append(spare(gauges, record, "design_temperature", one.temperature_margin))
    margin = f", {' and '.join(room)} to spare" if any(room) else ""
    away = "" if doubt is None else f" at {doubt.stated}, but {cold(*other)} at {doubt.right}"
    told = reads(low, high) if doubt is None else f"reads {between(low, high)}"
    late = ""
    if lag > max(-one.reading[0], one.reading[1], SEEN) or (wanted.lagging and lag >= 0):
        numbers["lag_mm"] = lag * 1e3
        late = f" and lags up to {lag * 1e3:.1f} mm at the lower connection while the level moves"
    if wanted.reaching and one.part in judged.rooms:
        room_there = judged.rooms[one.part]
        late += f" and {told_room(room_there, gauges, record)}"
        numbers |= {f"{field}_needed_mm": need * 1e3 for field, need in room_there.needed.items()}
    out = crushed(gauges, record, float(judged.numbers.floats.max_pressure[judged.number(one)]))
    test = f" ({out})" if out else ""
    text = f"which {told} at worst{away}{late}{margin}{test}"
    numbers |= beside(doubt, other)
    listed = as_listed(gauges, wanted.settings, record) if judged.is_own(one) else None
    if listed is not None:
        text = f"its own {one.part} as the list has it {listed.text}, {text}"
        return replace(listed, text=text, numbers=numbers)
    text = f"{one.part}, {text}"
    return Option(text, "float_part", Measure(one.part), numbers)
