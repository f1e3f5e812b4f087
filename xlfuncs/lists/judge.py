"""What each column of a list is: headings, cells and the columns beside it decide together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

import numpy as np

from xlfuncs.lists import neighbours
from xlfuncs.lists.decide import Verdict, decide
from xlfuncs.lists.evidence import Profile, weigh
from xlfuncs.lists.found import Found
from xlfuncs.lists.heads import Head, Page
from xlfuncs.vocabulary.meaning import ACCEPT, Kind, Reading, fields, read_heading, unit_of

_ROUNDS: Final = 3
"""How often the columns are decided anew with what their neighbours lend."""


def found_of(head: Head, verdict: Verdict, reading: Reading) -> Found:
    """What was decided of a column, as the table shows it."""
    taken = verdict.field if verdict.sure else ""
    found = Found(
        taken, head.index, head.whole, head.cell, score=verdict.score, reading=reading, unit_row=head.unit_row
    )
    found.part, found.parts, found.above = head.part, head.parts, head.above
    found.shared = head.shared
    found.runner_up, found.runner_up_score = verdict.runner_up, min(verdict.runner_up_score, 1.0)
    if verdict.field and not verdict.sure:
        found.doubted = verdict.field
    if taken:
        meaning = next((one for one in reading.meanings if one.field == taken), None)
        found.unit = meaning.unit if meaning is not None else _stated_unit(taken, head)
        found.unit_source = ("unit row" if head.unit_row else "heading") if found.unit else ""
        found.misfit = meaning.misfit if meaning is not None else ""
    return found


def _stated_unit(field: str, head: Head) -> str:
    """The unit that a heading states which does not name the field."""
    return unit_of(field, head.unit_row, head.text, " / ".join(head.above)) or ""


def judge(
    page: Page,
    first: int,
    kind: Kind,
    heads: list[Head],
    parts: frozenset[str] = frozenset(),
    known: Mapping[int, str] = MappingProxyType({}),
) -> list[tuple[Head, Verdict, Reading]]:
    """What each column is: headings, cells and the columns beside it decide together.

    `parts`: the part numbers of the float lists. `known`: column -> field, where that is settled: no other
    can be it."""
    readings = [
        read_heading(head.text, " / ".join(head.above), kind, head.unit_row, head.sure) for head in heads
    ]
    profiles = [page.profile(first, head.index, head.part, head.parts, head.shared) for head in heads]
    readings = _with_units_beside(heads, readings, profiles)
    scores = [_weighed(reading, found) for reading, found in zip(readings, profiles, strict=True)]
    for one, reading, found in zip(scores, readings, profiles, strict=True):
        _of_pairs(one, reading, found)
    for i, one in enumerate(scores):
        if heads[i].index in known:
            one.clear()
            one[known[heads[i].index]] = 1.0
        else:
            for name in known.values():
                one.pop(name, None)
    neighbours.question(heads, readings, profiles, scores)
    verdicts = decide(scores)
    for _ in range(_ROUNDS):
        lent = neighbours.lend(heads, readings, profiles, scores, verdicts, kind, parts)
        if not lent:
            break
        verdicts = decide(scores)
    return list(zip(heads, verdicts, readings, strict=True))


def _with_units_beside(
    heads: Sequence[Head], readings: list[Reading], profiles: Sequence[Profile]
) -> list[Reading]:
    """The lowest and the highest density in the unit of the density beside them, where they state none and
    their numbers are like its numbers."""
    whole = [(i, one.meanings[0]) for i, one in enumerate(readings) if one.meanings]
    told = [
        (i, one.unit) for i, one in whole if one.field == "fluid_density" and one.score >= ACCEPT and one.unit
    ]
    if len(told) != 1:
        return readings
    (own, unit), out = told[0], list(readings)
    for i, first in whole:
        silent = not (first.unit or first.misfit or heads[i].unit_row)
        if silent and first.field in _BOUNDS and first.score >= ACCEPT and _alike(profiles[i], profiles[own]):
            density = [replace(m, unit=unit) if m.field == first.field else m for m in readings[i].meanings]
            out[i] = replace(readings[i], meanings=tuple(density))
    return out


_BOUNDS: Final = frozenset({"fluid_density_min", "fluid_density_max"})
_LIKE: Final = 1.3
"""Factor between densities of one fluid, at most (common practice, no source)."""


def _alike(one: Profile, other: Profile) -> bool:
    if not len(one.numbers) or not len(other.numbers):
        return False
    mine, theirs = float(np.median(one.numbers)), float(np.median(other.numbers))
    return 0 < mine <= _LIKE * theirs and theirs <= _LIKE * mine


def _of_pairs(scores: dict[str, float], reading: Reading, found: Profile) -> None:
    """A heading that names a field of two quantities names none of them alone, whatever else its cells hold
    ('8 barg / FV, 150 degC'); over plain numbers it does."""
    first = reading.meanings[0] if reading.meanings else None
    if first is None or first.score < ACCEPT or "pair" not in fields()[first.field]:
        return
    if len(found.texts) > len(found.numbers):
        scores[first.field] = max(scores.get(first.field, 0.0), first.score)
        for name in fields()[first.field]["pair"]:
            scores.pop(name, None)


def _weighed(reading: Reading, found: Profile) -> dict[str, float]:
    """Field -> score of a heading and the cells below it."""
    meant = bool(reading.meanings) and reading.meanings[0].score >= ACCEPT
    if reading.is_uom or (found.units > 0.8 and not meant):
        return {}
    return {one.field: one.score * weigh(one.field, one.unit, found) for one in reading.meanings}
