"""One joint decision about the columns of a list: which is which field, how sure, and what comes next.

Every column has scores for the fields that its heading and its cells may mean; a field has one column. The
assignment with the greatest sum is taken. Where columns do not compete, that is each one's best; the others
are settled together (`assignment.greatest`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from xlfuncs.vocabulary.meaning import ACCEPT, POSSIBLE, fields

MARGIN: Final = 0.02
"""Two fields (or two columns) whose scores are closer than this are not told apart."""
_WORTH: Final = 0.6
"""Score below which a column is rather left alone than taken."""

Scores = Mapping[str, float]
"""Field -> score of one column."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was decided of a column."""

    field: str
    """"" for a column of no use."""
    score: float = 0.0
    sure: bool = False
    """False: in doubt; it decides nothing until a person says."""
    runner_up: str = ""
    runner_up_score: float = 0.0
    rival: int = -1
    """Another column that could be the field as well."""


def decide(columns: Sequence[Scores]) -> list[Verdict]:
    """The verdict on each column."""
    taken = _assigned(
        [{name: score for name, score in scores.items() if score >= _WORTH} for scores in columns]
    )
    holders = {name: i for i, name in taken.items()}
    return [_verdict(i, scores, taken.get(i, ""), holders, columns) for i, scores in enumerate(columns)]


def _assigned(columns: Sequence[Scores]) -> dict[int, str]:
    """Column -> field, so that the sum of the squares of what the scores exceed `_WORTH` by is greatest.

    Squares: one column that surely is a field counts more than two that may be others.
    """
    firsts: dict[str, list[int]] = {}
    for i, scores in enumerate(columns):
        if scores:
            firsts.setdefault(max(scores, key=lambda name: scores[name]), []).append(i)
    contested = {i for rivals in firsts.values() if len(rivals) > 1 for i in rivals}
    reach = {name for i in contested for name in columns[i]}
    while True:  # whoever could be pushed aside by the contested columns is settled with them
        more = {i for name in reach for i in firsts.get(name, ())} - contested
        if not more:
            break
        contested |= more
        reach |= {name for i in more for name in columns[i]}
    out = {
        rivals[0]: name for name, rivals in firsts.items() if len(rivals) == 1 and rivals[0] not in contested
    }
    return out | _together(columns, sorted(contested), sorted(reach))


def _together(columns: Sequence[Scores], which: list[int], names: list[str]) -> dict[int, str]:
    if not which:
        return {}
    if len(names) == 1:
        best = max(which, key=lambda i: columns[i][names[0]])
        return {best: names[0]}
    import numpy as np

    from xlfuncs.lists.assignment import greatest

    worth = np.zeros((len(which), len(names) + len(which)))
    for row, i in enumerate(which):
        for place, name in enumerate(names):
            worth[row, place] = (columns[i][name] - _WORTH) ** 2 if name in columns[i] else -1.0
    return {
        which[row]: names[place]
        for row, place in enumerate(greatest(worth))
        if place < len(names) and worth[row, place] > 0
    }


def _verdict(
    i: int, scores: Scores, name: str, holders: Mapping[str, int], columns: Sequence[Scores]
) -> Verdict:
    ranked = sorted(scores.items(), key=lambda entry: (-entry[1], entry[0]))
    if not name:
        return _left(i, ranked, holders)
    score = scores[name]
    free = [(other, worth) for other, worth in ranked if other != name and holders.get(other, i) == i]
    other, near = free[0] if free else ("", 0.0)
    rival = max((j for j, theirs in enumerate(columns) if j != i and theirs.get(name, 0.0) >= POSSIBLE),
                key=lambda j: columns[j][name], default=-1)  # fmt: skip
    equal = (
        rival >= 0 and columns[rival][name] > score - MARGIN and not _has_place(rival, name, holders, columns)
    )
    sure = score >= ACCEPT and near < score - MARGIN and not equal
    return Verdict(name, score, sure, other if near >= POSSIBLE else "", near, rival if equal else -1)


@cache
def _loose() -> frozenset[str]:
    """Fields of which a list may have several columns; the first is as good as the others."""
    return frozenset(name for name, entry in fields().items() if entry.get("loose"))


def _has_place(rival: int, name: str, holders: Mapping[str, int], columns: Sequence[Scores]) -> bool:
    """Whether a column that could be this field is as surely another, or surely enough where two may be."""
    least = ACCEPT if name in _loose() else columns[rival][name] - MARGIN
    return any(j == rival and columns[rival][other] > least for other, j in holders.items())


def _left(i: int, ranked: list[tuple[str, float]], holders: Mapping[str, int]) -> Verdict:
    """A column that was taken for nothing: what it could have been."""
    for name, score in ranked:
        if score < POSSIBLE:
            break
        if name not in holders:
            return Verdict("", score, False, name, score)
    if ranked and ranked[0][1] >= ACCEPT:
        return Verdict("", ranked[0][1], False, ranked[0][0], ranked[0][1], holders.get(ranked[0][0], -1))
    return Verdict("")
