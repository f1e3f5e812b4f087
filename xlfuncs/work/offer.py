"""From an inquiry to an offer: a float with its proof for each gauge, and the fewest types for all."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from xlfuncs.audit.engine import audit
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import AuditResult, Severity
from xlfuncs.audit.settings import Settings
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge.choice import Candidate, Duty, FloatList, Judgement, choose
from xlfuncs.gauge.floats import reading_offset
from xlfuncs.lists.model import Book
from xlfuncs.work.cover import Cover, fewest
from xlfuncs.work.duties import Asked, Question, duties
from xlfuncs.work.float_store import Listed, Required, numbers
from xlfuncs.work.inquiry import own_names

FRACTIONS = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Of the transmitter's range: the levels whose currents are stated."""
VAPOUR_MATTERS = 1e-3
"""Shift of the reading by an unstated vapour from which it is asked for [m] (common practice, no source)."""
_OTHERS = (
    "float",
    "offset",
    "design-density",
    "worst-reading",
    "serial",
    "reading-doubtful",
    "tag-malformed",
)
"""How the names of rules begin that say nothing of what an inquiry asks for."""


@dataclass(frozen=True)
class Case:
    """What a float does at one condition. Lengths [m], densities [kg/m3]."""

    name: str
    lower_density: float
    upper_density: float
    immersion: float
    offset: float
    lowest: float
    """Lowest reading less the level, everything counted."""
    highest: float
    share: float
    """Of the volume, above the surface."""


@dataclass(frozen=True)
class Body:
    """The chosen float as the list states it, in SI; NaN and "" where it does not."""

    part: str
    mass: float
    diameter: float
    length: float
    magnet_height: float
    ends: str
    wall: float
    material: str
    max_pressure: float
    max_temperature: float


@dataclass(frozen=True)
class Offered:
    """The answer for one gauge."""

    asked: Asked
    candidates: tuple[Candidate, ...]
    """Those that fit first, in the order asked for."""
    chosen: Candidate | None = None
    body: Body | None = None
    cases: tuple[Case, ...] = ()
    per_percent: float = math.nan
    """Shift of the reading [m] where the density rises by 1 % above the middle of its range."""
    questions: tuple[Question, ...] = ()
    cautions: tuple[str, ...] = ()
    tracing: str = ""
    own: Mapping[str, Any] = field(default_factory=dict)
    """The company's own columns of the chosen float."""
    vapour_shift: float = 0.0
    """Most by which an unstated vapour, taken as 0, shifts the reading [m]; NaN: not borne."""

    @property
    def unchecked(self) -> list[str]:
        """What the named float is subject to, since the inquiry does not state it."""
        duty = self.asked.duty
        if duty is None or self.chosen is None:
            return []
        stated = {"design pressure": duty.design_pressure, "design temperature": duty.design_temperature}
        return [name for name, value in stated.items() if math.isnan(value)]

    @property
    def fitting(self) -> list[Candidate]:
        return [item for item in self.candidates if item.status == "fits"]

    @property
    def alternatives(self) -> list[Candidate]:
        return [item for item in self.fitting if item is not self.chosen]

    @property
    def nearest(self) -> Candidate | None:
        """Where none fits: the float with the fewest grounds against it, then the one that reads best."""
        others = [c for c in self.candidates if not c.verdict.startswith("made for")]

        def key(item: Candidate) -> tuple[float, float]:
            worst = max(-item.reading[0], item.reading[1], item.worst_offset)
            return len(item.reasons), math.inf if math.isnan(worst) else worst

        return min(others, key=key, default=None)

    def currents(self) -> Iterator[tuple[float, list[float]]]:
        """(level [m], current [mA] at each case) over the transmitter's range."""
        asked = self.asked
        span = asked.urv - asked.lrv
        if math.isnan(span) or span == 0:
            return
        for part in FRACTIONS:
            level = asked.lrv + part * span
            shown = [part + case.offset / span for case in self.cases]
            yield level, [20 - 16 * x if asked.reverse else 4 + 16 * x for x in shown]

    def switch_levels(self) -> Iterator[tuple[str, float, float, float]]:
        """(switch, set point, lowest, highest level at which it acts) [m]."""
        offsets = [case.offset for case in self.cases if not math.isnan(case.offset)]
        for name, point in self.asked.switches.items():
            if offsets:
                yield name, point, point - max(offsets), point - min(offsets)


@dataclass(frozen=True)
class Offer:
    """The answer to one inquiry."""

    name: str
    gauges: tuple[Offered, ...]
    cover: Cover
    """The fewest types of float that serve all gauges."""
    settings: Settings
    doubts: tuple[str, ...]
    """What could not be read, as questions."""
    floats: int
    """Floats of the list."""
    own: tuple[str, ...] = ()
    """Headings that the company keeps for itself."""
    notes: tuple[str, ...] = ()

    def fits(self) -> dict[str, list[str]]:
        """Part -> the gauges that it serves."""
        found: dict[str, list[str]] = {}
        for one in self.gauges:
            for item in one.fitting:
                found.setdefault(item.part, []).append(one.asked.tag)
        return found

    def used(self) -> dict[str, list[str]]:
        """Chosen part -> its gauges."""
        found: dict[str, list[str]] = {}
        for one in self.gauges:
            if one.chosen is not None:
                found.setdefault(one.chosen.part, []).append(one.asked.tag)
        return found

    def interchangeable(self) -> list[tuple[str, str]]:
        """Pairs of chosen parts each of which fits all gauges of the other."""
        fits, used = {part: set(tags) for part, tags in self.fits().items()}, self.used()
        parts = list(used)
        return [
            (a, b)
            for i, a in enumerate(parts)
            for b in parts[i + 1 :]
            if set(used[a]) <= fits[b] and set(used[b]) <= fits[a]
        ]


@dataclass(frozen=True)
class Wish:
    """How floats are to be chosen."""

    rank: str = ""
    """Heading by which fitting floats are ranked, the least first; "": by their worst reading."""
    required: tuple[Required, ...] = ()
    fewest: bool = False
    """Each gauge gets its float of the smallest set of types."""


def offer(book: Book, listed: Listed, wish: Wish | None = None, settings: Settings | None = None) -> Offer:
    """The floats of a list for the gauges of an inquiry."""
    wish, used = wish or Wish(), settings or Settings()
    result = audit(book, used)
    names = own_names(book)
    asked = duties(Gauges(book), used, names.items)
    picks = _Picks(listed, wish)
    judged = [picks.judge(one) for one in asked]
    cover = fewest({str(i): picks.costs(found) for i, found in enumerate(judged)})
    offered = []
    for i, (one, found) in enumerate(zip(asked, judged, strict=True)):
        part = cover.serves.get(str(i), "") if wish.fewest else ""
        offered.append(_offered(one, found, part, listed, result, used))
    tags = [one.tag for one in asked]
    named = replace(
        cover,
        serves={tags[int(i)]: part for i, part in cover.serves.items()},
        without=tuple(tags[int(i)] for i in cover.without),
    )
    doubts = tuple(_asking(one["text"]) for one in result.doubts)
    return Offer(
        names.title or book.path.stem,
        tuple(offered),
        named,
        used,
        doubts,
        len(listed.floats),
        listed.own,
        listed.notes,
    )


class _Picks:
    """The floats of a list against one gauge after the other."""

    def __init__(self, listed: Listed, wish: Wish) -> None:
        self.listed, self.wish = listed, wish
        self.at = {str(part): i for i, part in enumerate(listed.floats.part.tolist())}
        self.heading = listed.heading(wish.rank, "--rank") if wish.rank else ""
        if self.heading and not any(numbers(row.get(self.heading, "")) for row in listed.cells):
            raise XlfuncsError(
                f"--rank {wish.rank}: the column '{self.heading}' of the float list holds no number"
            )

    def judge(self, one: Asked) -> list[Candidate]:
        """Every float, those that fit first, in the order asked for."""
        if one.duty is None:
            return []
        found = [self._met(item) for item in choose(self.listed.floats, one.duty)]
        order = {"fits": 0, "not judged": 1, "rejected": 2}
        found.sort(key=lambda item: (order[item.status], self._rank(item) if item.status == "fits" else 0.0))
        return [
            replace(item, rank=place if item.status == "fits" else None)
            for place, item in enumerate(found, start=1)
        ]

    def costs(self, found: Sequence[Candidate]) -> dict[str, float]:
        """Part -> what it costs to serve a gauge: the rank column, or the worst reading."""
        fitting = [item for item in found if item.status == "fits"]
        if not self.heading:
            return {item.part: max(-item.reading[0], item.reading[1]) for item in fitting}
        known = [r for row in self.listed.cells for r in numbers(row.get(self.heading, ""))[:1]]
        beyond = 1 + sum(map(abs, known))
        return {item.part: min(self._rank(item), beyond) for item in fitting}

    def _rank(self, item: Candidate) -> float:
        if not self.heading:
            return 0.0
        found = numbers(self.listed.cells[self.at[item.part]].get(self.heading, ""))
        return found[-1] if found else math.inf

    def _met(self, item: Candidate) -> Candidate:
        cells = self.listed.cells[self.at[item.part]]
        unmet = tuple(filter(None, (one.unmet(cells) for one in self.wish.required)))
        if not unmet:
            return item
        return replace(item, status="rejected", rank=None, reasons=(*item.reasons, *unmet))


def _offered(
    one: Asked, found: Sequence[Candidate], part: str, listed: Listed, result: AuditResult, used: Settings
) -> Offered:
    """One gauge with the float that is named for it: `part`, or the first that fits."""
    chosen = next((c for c in found if c.status == "fits" and part in ("", c.part)), None)
    cautions = tuple(
        f"{_sentence(finding.message)} {_sentence(finding.mend)}"
        for finding in result.findings
        if finding.tag == one.tag
        and finding.severity is not Severity.NOTE
        and not finding.rule.startswith(_OTHERS)
    )
    plain = Offered(
        one, tuple(found), questions=one.questions, cautions=cautions, tracing=_tracing(one, used)
    )
    if chosen is None or one.duty is None:
        return plain
    at = next(i for i, name in enumerate(listed.floats.part.tolist()) if str(name) == chosen.part)
    single = _single(listed.floats, at)
    body = _body(single)
    own = {h: listed.cells[at][h] for h in listed.own if h in listed.cells[at]}
    return replace(
        plain,
        chosen=chosen,
        body=body,
        cases=tuple(_cases(single, one.duty)),
        per_percent=_per_percent(body, one.duty),
        questions=(*one.questions, *_of_vapour(body, one)),
        own=own,
        vapour_shift=_vapour_shift(body, one),
    )


def _single(floats: FloatList, at: int) -> FloatList:
    """One float of a list."""
    names = [name for name in floats.__dataclass_fields__ if name != "trouble"]
    return replace(floats, trouble={}, **{name: getattr(floats, name)[at : at + 1] for name in names})


def _body(single: FloatList) -> Body:
    def number(name: str) -> float:
        return float(getattr(single, name)[0])

    return Body(
        str(single.part[0]),
        number("mass"),
        number("diameter"),
        number("length"),
        number("magnet_height"),
        str(single.ends[0]),
        number("wall"),
        str(single.material[0]),
        number("max_pressure"),
        number("max_temperature"),
    )


def _cases(single: FloatList, duty: Duty) -> Iterator[Case]:
    judged = Judgement(single, duty)
    low, high = (np.broadcast_to(x, judged.offset.shape)[0] for x in (judged.shown.low, judged.shown.high))
    for i, condition in enumerate(duty.conditions):
        offset = float(judged.offset[0, i])
        yield Case(
            condition.name,
            condition.lower_density,
            condition.upper_density,
            float(single.magnet_height[0]) - offset,
            offset,
            float(low[i]),
            float(high[i]),
            float(judged.share[0, i]),
        )


def _shift(body: Body, lower: float, upper: float, other: tuple[float, float]) -> float:
    """Reading at another pair of densities, less that at the first."""
    shape = (body.mass, body.diameter, body.length, body.magnet_height)
    before = float(reading_offset(*shape, lower, upper, body.ends))
    return float(reading_offset(*shape, *other, body.ends)) - before


def _per_percent(body: Body, duty: Duty) -> float:
    lower = [c.lower_density for c in duty.conditions]
    upper = [c.upper_density for c in duty.conditions]
    rho, above = (min(lower) + max(lower)) / 2, (min(upper) + max(upper)) / 2
    return _shift(body, rho, above, (1.01 * rho, above))


def _vapour_shift(body: Body, one: Asked) -> float:
    """Most by which an unstated vapour shifts the reading [m]; NaN where the float does not bear it."""
    if one.duty is None or not one.vapour_bound > 0:
        return 0.0
    rho = min(c.lower_density for c in one.duty.conditions)
    return _shift(body, rho, 0.0, (rho, one.vapour_bound))


def _of_vapour(body: Body, one: Asked) -> Iterator[Question]:
    """An unstated vapour is asked for where it would shift the reading."""
    shift = _vapour_shift(body, one)
    if not abs(shift) < VAPOUR_MATTERS:
        far = "more than the float bears" if math.isnan(shift) else f"{1e3 * shift:+.1f} mm"
        yield Question(
            "Density of the gas or vapour above the liquid?",
            f"taken as 0; at this pressure it is at most {one.vapour_bound:.3g} kg/m3, which shifts the "
            f"reading by up to {far}",
        )


def _tracing(one: Asked, settings: Settings) -> str:
    """Whether the chamber has to be traced: stated, needed, not needed or open."""
    if one.traced:
        return "stated"
    if math.isnan(one.pour_point) or math.isnan(one.minimum_ambient):
        return "open"
    return "needed" if one.pour_point + settings.freezing_margin_k > one.minimum_ambient else "not needed"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _asking(doubt: str) -> str:
    """A doubt of the reader without the advice that is meant for whoever runs the command."""
    return doubt.split("; use --")[0].split(" with --")[0].split(": --")[0].strip()
