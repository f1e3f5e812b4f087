"""The rule stacked-gauges-gap."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from itertools import combinations
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges, Mask
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import places as cures
from xlfuncs.audit.remedies.values import MM
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import travel
from xlfuncs.gauge import Array
from xlfuncs.gauge.fluids import resolve

_NUMBERED = re.compile(r"(.*\d)(?:[ _./-]?[A-H]|[ _./-][1-9])")
"""A tag with a letter or, parted from its number, a digit that counts the gauges of a vessel."""


@rule(
    "stacked-gauges-gap",
    Severity.WARNING,
    thresholds=("stacked_overlap_mm", "stacked_density_deviation"),
    calculate=travel.stack,
    remedy=cures.overlapping,
    when=lambda gauges: stacked(gauges),
    needs=("visible_range",),
    assumes=("connection_elevation", "visible_low"),
    passing=(
        {"tag": "LG-2000A", "connection_elevation": "1000 mm"},
        {"tag": "LG-2000B", "connection_elevation": "1950 mm"},
    ),
    firing=(
        {"tag": "LG-2000A", "connection_elevation": "1000 mm"},
        {"tag": "LG-2000B", "connection_elevation": "2200 mm"},
    ),
)
def stacked_gauges_gap(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """Gauges above each other leave a part of the vessel unseen, or disagree.

    Finds: gauges of one vessel, known by a tag that differs in its last letter or digit alone, whose visible
        ranges at the elevations of their lower connections overlap by less than 25 mm, or leave a gap (scales
        that count on from the lowest gauge's are taken so); and
        those whose fluids are two different known ones, whose density differs by more than 3 % (common
        practice, no source), or whose operating or design pressure differs. Gauges of an interface are not
        compared with those of a level.
    Why: between the ranges no level is seen; with densities that differ, the gauges show different levels
        where they overlap, and one of them is wrong.
    Mend: lower the upper gauge or lengthen one of them; give all of them the vessel's data.
    """
    base, elevation = gauges.si("connection_elevation"), _stacks(gauges)
    low, high = gauges.visible_ends
    least = settings.stacked_overlap_mm * MM - 1e-9
    for records in elevation.values():
        placed = sorted((r for r in records if not np.isnan(base[r])), key=lambda r: float(base[r] + low[r]))
        counts_on = bool(placed) and _counts_on(base, low, placed)
        top = placed[0] if placed else -1
        for record in placed[1:]:
            below = top
            if base[record] + high[record] > base[top] + high[top]:
                top = record
            overlap = float(base[below] + high[below] - base[record] - low[record])
            if overlap >= least or (counts_on and high[below] - low[record] >= least):
                continue
            if counts_on:
                yield Undecided(np.arange(gauges.n) == record, "where the zeros of the stacked scales lie")
            else:
                yield _gap(gauges, record, below, overlap)
        for pair in combinations(records, 2):
            yield from _disagreement(gauges, settings, *pair)


def _counts_on(base: Array, low: Array, records: list[int]) -> bool:
    """Whether the scales of a stack count on from the lowest gauge's: each begins as much higher as its
    connections are."""
    lowest = min(records, key=lambda r: float(base[r]))
    shifts = [(float(base[r] - base[lowest]), float(low[r] - low[lowest])) for r in records if r != lowest]
    return all(scale > 0 and abs(scale - hung) <= _SAME_HEIGHT for hung, scale in shifts)


_SAME_HEIGHT: Final = 0.025
"""Metres by which a scale may begin elsewhere than at its connection (common practice, no source)."""


def stacked(gauges: Gauges) -> Mask:
    """Gauges that stand above others of the same vessel."""
    out = np.zeros(gauges.n, dtype=np.bool_)
    if gauges.mentioned("connection_elevation").any():
        for records in _stacks(gauges).values():
            out[records] = True
    return out


def _stacks(gauges: Gauges) -> dict[tuple[str, bool], list[int]]:
    """The gauges of each vessel that has several of one kind, without further cases of the same gauge."""
    return gauges.derived("stacks", partial(_compute, gauges))


def _compute(gauges: Gauges) -> dict[tuple[str, bool], list[int]]:
    found: dict[tuple[str, bool], list[int]] = {}
    known = gauges.given("connection_elevation") & gauges.first_cases
    for record in np.flatnonzero(known).tolist():
        if match := _NUMBERED.fullmatch(gauges.tag(record).upper()):
            found.setdefault((match[1], bool(gauges.interface[record])), []).append(record)
    return {key: records for key, records in found.items() if len(records) > 1}


def _gap(gauges: Gauges, record: int, below: int, overlap: float) -> Hit:
    say = partial(gauges.say, record, "visible_range")
    other = gauges.tag(below)
    gap = f"leaves a gap of {say(-overlap)} above that of {other}"
    how = gap if overlap < 0 else f"overlaps that of {other} by {say(overlap)} only"
    return gauge_hit(
        gauges,
        record,
        "connection_elevation",
        f"its visible range {how}",
        evidence={"overlap_mm": overlap / MM, "gauge_below": gauges.tag(below)},
        case={"lower": below},
    )


def _disagreement(gauges: Gauges, settings: Settings, first: int, second: int) -> Iterator[Hit]:
    """Density and pressures of one vessel that differ."""
    fluids = [str(gauges.texts("fluid")[record]) for record in (first, second)]
    if _other_fluid(*fluids):
        yield gauge_hit(
            gauges,
            second,
            "fluid",
            f"{fluids[1]} here and {fluids[0]} at {gauges.tag(first)}, which hangs on the same vessel",
            expected=Measure(fluids[0]),
            evidence={"gauge_beside": gauges.tag(first)},
            case={"field": "fluid", "beside": first},
        )
    limits = {
        "fluid_density": settings.stacked_density_deviation,
        "operating_pressure": SAME_PRESSURE,
        "design_pressure": SAME_PRESSURE,
    }
    for name, limit in limits.items():
        one, other = float(gauges.si(name)[first]), float(gauges.si(name)[second])
        if not abs(one - other) > limit * max(abs(one), abs(other)):
            continue
        yield gauge_hit(
            gauges,
            second,
            name,
            f"{gauges.say(second, name, other)} here and {gauges.say(second, name, one)} at"
            f" {gauges.tag(first)}, which hangs on the same vessel",
            expected=gauges.measure(second, name, one),
            evidence={"gauge_beside": gauges.tag(first)},
            case={"field": name, "beside": first},
        )


def _other_fluid(one: str, other: str) -> bool:
    """Whether two names are those of two different pure fluids; a name that is not known may be either's."""
    known = [resolve(name) if name else None for name in (one, other)]
    return None not in known and known[0] != known[1]
