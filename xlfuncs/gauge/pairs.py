"""Two causes at once: which are tried, and the state that a gauge is then in."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations
from typing import Any

from xlfuncs.gauge.causes import AS_DESIGNED, CAUSES, Cause
from xlfuncs.gauge.faulty import Value
from xlfuncs.gauge.readings import Case

_KINDS = {
    "stays": {"held", "indicator", "frozen", "trapped"},
    "moves": {"band", "hang", "lag", "choke"},
    "limits": {"ceiling", "floor", "dead"},
}
"""What a cause does to a reading, by the fields of the state that it changes; any other shifts it."""


@cache  # the same two are tried at each diagnosis
def together(one: Cause, other: Cause) -> Cause:
    """Both causes at once."""
    split = len(one.parameters)

    def change(case: Case, *values: Value) -> dict[str, Any]:
        return one.change(case, *values[:split]) | other.change(case, *values[split:])

    return Cause(
        f"{one.name}, and {other.name}",
        "two",
        change,
        one.parameters + other.parameters,
        lambda case: one.needs(case) or other.needs(case),
        free_density=one.free_density or other.free_density,
        mend=f"{one.mend}; {other.mend}",
        both=(one, other),
        mended=f"{one.mended or one.name}, and {other.mended or other.name}",
    )


def _acts(case: Case, cause: Cause) -> str:
    """ "shifts" what is shown, "moves" with the level's direction, "limits" a part of it, or "stays"."""
    middle = [sum(p.span(case)) / 2 for p in cause.parameters]
    fields = cause.change(case, *middle).keys()
    return next((kind for kind, of in _KINDS.items() if fields & of), "shifts")


def _may_meet(case: Case, one: Cause, other: Cause) -> bool:
    """Both can be there at once and be told from one: of two parts, or not acting alike."""
    if "switch" in (one.part, other.part):
        return False
    if one.part != other.part:
        return True
    kinds = {_acts(case, one), _acts(case, other)}
    return len(kinds) == 2 and "stays" not in kinds and one.part != "transmitter"


def pairs(case: Case, causes: Sequence[Cause] = CAUSES) -> list[Cause]:
    """Two causes at once, with two parameters at the most."""
    single = [
        c.simple or c
        for c in causes
        if c is not AS_DESIGNED
        and (c.simple is not None or (len(c.parameters) < 2 and not c.scatters))
        and c.paired
        and not c.needs(case)
    ]
    return [together(one, other) for one, other in combinations(single, 2) if _may_meet(case, one, other)]


def lookalikes(case: Case, pair: Cause, causes: Sequence[Cause] = CAUSES) -> list[Cause]:
    """The pair with either cause changed for one of the same part that is not tried with every other."""
    rare = [
        form
        for c in causes
        if not c.paired and c.concerns(case) and not c.needs(case)
        for form in c.alone or ((c,) if len(c.parameters) < 2 else ())
    ]
    one, other = pair.both
    changed = [(c, other) for c in rare if c.part == one.part and _acts(case, c) == _acts(case, one)]
    changed += [(one, c) for c in rare if c.part == other.part and _acts(case, c) == _acts(case, other)]
    return [together(a, b) for a, b in changed if _may_meet(case, a, b)]
