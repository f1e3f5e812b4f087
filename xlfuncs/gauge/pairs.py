"""Two causes at once: which are tried, and the state that a gauge is then in."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Any

from xlfuncs.gauge.causes import AS_DESIGNED, CAUSES, Cause
from xlfuncs.gauge.faulty import Value
from xlfuncs.gauge.readings import Case


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


def pairs(case: Case, causes: Sequence[Cause] = CAUSES) -> list[Cause]:
    """Two causes at once, of two parts of the gauge, with two parameters at the most."""
    single = [
        c.simple or c
        for c in causes
        if c is not AS_DESIGNED
        and (c.simple is not None or (len(c.parameters) < 2 and not c.scatters))
        and c.paired
        and not c.needs(case)
    ]
    return [
        together(one, other)
        for one, other in combinations(single, 2)
        if one.part != other.part and "switch" not in (one.part, other.part)
    ]


def lookalikes(case: Case, pair: Cause, causes: Sequence[Cause] = CAUSES) -> list[Cause]:
    """The pair with either cause changed for one of the same part that is not tried with every other."""
    rare = [
        form
        for c in causes
        if not c.paired and c.concerns(case) and not c.needs(case)
        for form in c.alone or ((c,) if len(c.parameters) < 2 else ())
    ]
    one, other = pair.both
    return [together(c, other) for c in rare if c.part == one.part] + [
        together(one, c) for c in rare if c.part == other.part
    ]
