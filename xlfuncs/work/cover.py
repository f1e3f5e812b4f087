"""The fewest types that serve every gauge, and among those sets the cheapest: exact, by branch and bound.

A set cover in lexicographic order of (number of types, cost). The search branches on the gauge with the
fewest types left, and gives a branch up when the gauges that share no type with one another already need
too many. At the size of an inquiry (tens of gauges and types) it ends in a fraction of a second.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Costs = Mapping[str, Mapping[str, float]]
"""Gauge -> type that serves it -> what that costs."""


@dataclass(frozen=True)
class Cover:
    """A smallest set of types."""

    types: tuple[str, ...]
    serves: Mapping[str, str]
    """Gauge -> the type of the set that serves it at the least cost."""
    without: tuple[str, ...]
    """Gauges that no type serves."""
    cost: float


def fewest(costs: Costs) -> Cover:
    """The smallest set of types that serves all gauges that any serves; the cheapest of such sets."""
    open_ = {gauge: dict(options) for gauge, options in costs.items() if options}
    without = tuple(gauge for gauge in costs if not costs[gauge])
    if not open_:
        return Cover((), {}, without, 0.0)
    names = _useful(open_)
    chosen = _Search(open_, names).best()
    serves = {
        gauge: min((t for t in options if t in chosen), key=lambda t: (options[t], t))
        for gauge, options in open_.items()
    }
    cost = sum(open_[gauge][name] for gauge, name in serves.items())
    return Cover(tuple(n for n in names if n in chosen), serves, without, cost)


def _useful(open_: Mapping[str, Mapping[str, float]]) -> list[str]:
    """The types that no other one replaces everywhere at no more cost."""
    names = list(dict.fromkeys(name for options in open_.values() for name in options))
    column = {name: {g: o[name] for g, o in open_.items() if name in o} for name in names}

    def replaced(name: str, other: str) -> bool:
        mine, theirs = column[name], column[other]
        if name == other or not all(g in theirs and theirs[g] <= cost for g, cost in mine.items()):
            return False
        return mine != theirs or names.index(other) < names.index(name)

    return [name for name in names if not any(replaced(name, other) for other in names)]


class _Search:
    """Branch and bound over sets of types, each a bit of a number."""

    def __init__(self, open_: Mapping[str, Mapping[str, float]], names: Sequence[str]) -> None:
        self.names = names
        self.options = [
            [(j, options[name]) for j, name in enumerate(names) if name in options]
            for options in open_.values()
        ]
        self.types = [sum(1 << j for j, _ in options) for options in self.options]
        self.found: tuple[int, float, int] = (len(self.types) + 1, float("inf"), 0)

    def best(self) -> set[str]:
        """The types of the best set."""
        self._go(0, 0)
        chosen = self.found[2]
        return {name for j, name in enumerate(self.names) if chosen >> j & 1}

    def _go(self, chosen: int, banned: int) -> None:
        left = [have & ~banned for have in self.types if not have & chosen]
        if not all(left):
            return
        count = chosen.bit_count() + _apart(left)
        if (count, self._least(banned)) >= self.found[:2]:
            return
        if not left:
            self.found = min(self.found, (count, self._cost(chosen), chosen))
            return
        wanted = min(left, key=int.bit_count)
        order = sorted(_bits(wanted), key=lambda bit: -sum(bool(have & bit) for have in left))
        for bit in order:
            self._go(chosen | bit, banned)
            banned |= bit  # what follows is the sets without it

    def _least(self, banned: int) -> float:
        """No set without the banned types costs less."""
        return sum(min(cost for j, cost in o if not banned >> j & 1) for o in self.options)

    def _cost(self, chosen: int) -> float:
        return sum(min(cost for j, cost in o if chosen >> j & 1) for o in self.options)


def _apart(left: Sequence[int]) -> int:
    """Gauges of which no two share a type: so many types are needed at least."""
    used = count = 0
    for have in sorted(left, key=int.bit_count):
        if not have & used:
            used |= have
            count += 1
    return count


def _bits(number: int) -> list[int]:
    return [1 << j for j in range(number.bit_length()) if number >> j & 1]
