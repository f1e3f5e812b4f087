"""The units of `data/units.toml`, looked up by quantity and spelling."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import astuple, dataclass
from functools import cache, lru_cache
from typing import Any, Final

from xlfuncs.data import kept, load
from xlfuncs.units._errors import UnitError
from xlfuncs.units._text import as_latin, key, tidy

REFERENCES: Final = ("gauge", "absolute", "difference", "vacuum")
_BRACES: Final = re.compile(r"\{([^{}]*)\}")


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one quantity."""

    name: str
    """Canonical spelling."""
    quantity: str
    expression: str = ""
    """For pint; "" where the table gives a law or the unit is unclear."""
    reference: str = ""
    """Pressures: gauge, absolute, difference, or vacuum (so much below the atmosphere); "" where the
    spelling states none."""
    plain: str = ""
    """Pressures: the name without the reference ('bar' of 'barg')."""
    over: tuple[float, float, float] | None = None
    plus: tuple[float, float] | None = None
    saybolt: bool = False
    unclear: str = ""
    assume: str = ""
    """Canonical name of the unit that an unclear one is taken for on request."""
    note: str = ""
    """What is said when that happens."""


def expand(pattern: str) -> Iterator[str]:
    """Every spelling that a pattern with {a,b} stands for."""
    found = _BRACES.search(pattern)
    if found is None:
        yield pattern
        return
    for choice in found[1].split(","):
        yield from expand(pattern[: found.start()] + choice + pattern[found.end() :])


class Quantity:
    """The units of one quantity, by canonical name and by spelling."""

    def __init__(self, name: str, si: str, example: str, bare: str) -> None:
        self.name = name
        self.si = si
        self.example = example
        self.bare = bare
        self.units: dict[str, Unit] = {}
        self.listed: list[Unit] = []
        """The same in order: `exact` and `folded` name a unit by its place here."""
        self.exact: dict[str, int] = {}
        self.folded: dict[str, int] = {}

    def add(self, unit: Unit, spellings: Iterator[str] | list[str]) -> None:
        """Register `unit`; a spelling that another unit took before it is a fault of the table."""
        self.units[unit.name] = unit
        place = len(self.listed)
        self.listed.append(unit)
        for spelling in (unit.name, *spellings):
            squashed = key(tidy(spelling))
            taken = self.exact.setdefault(squashed, place)
            if taken != place:
                both = f"{self.listed[taken].name} and {unit.name}"
                raise ValueError(f"units.toml: {spelling!r} is both {both} ({self.name})")
            self.folded.setdefault(squashed.casefold(), place)

    def plain(self, others: Iterable[Quantity]) -> tuple[Any, ...]:
        """All of it in tuples, lists and dictionaries, for `again`.

        What two quantities spell alike is one dictionary, which is kept and read once; `find` needs no folded
        spelling that stands among the exact ones.
        """
        folded = {text: at for text, at in self.folded.items() if self.exact.get(text) != at}
        exact = next((other.exact for other in others if other.exact == self.exact), self.exact)
        units = [astuple(unit) for unit in self.listed]
        return self.name, self.si, self.example, self.bare, units, exact, folded

    @classmethod
    def again(
        cls,
        name: str,
        si: str,
        example: str,
        bare: str,
        units: list[Any],
        exact: dict[str, int],
        folded: dict[str, int],
    ) -> Quantity:
        """The quantity that `plain` was made of."""
        out = cls(name, si, example, bare)
        out.listed = [Unit(*unit) for unit in units]
        out.units = {unit.name: unit for unit in out.listed}
        out.exact, out.folded = exact, folded
        return out

    def find(self, squashed: str) -> Unit | None:
        """The unit with this spelling (as `key` gives it), or None."""
        place = self.exact.get(squashed)
        if place is None:
            place = self._find_folded(squashed.casefold())
        return None if place is None else self.listed[place]

    def _find_folded(self, squashed: str) -> int | None:
        place = self.folded.get(squashed)
        return self.exact.get(squashed) if place is None else place


def _spellings(entry: dict[str, Any]) -> list[str]:
    return [text for pattern in entry.get("also", ()) for text in expand(pattern)]


def _pressures(table: dict[str, Any]) -> Iterator[Quantity]:
    suffixes: dict[str, list[str]] = {name: [*map(str, table["suffixes"][name])] for name in REFERENCES}
    patterns = {
        name: [text for pattern in ends for text in expand(pattern)] for name, ends in suffixes.items()
    }
    for own in ("gauge", "absolute", "difference"):
        quantity = Quantity(f"pressure_{own}", table["si"], table["example"][own], "")
        for name, entry in table["units"].items():
            plain = [name, *_spellings(entry)]
            stated = {
                reference: [text + suffix for text in plain for suffix in patterns[reference]]
                for reference in REFERENCES
            }
            if own == "difference":
                unit = Unit(name, quantity.name, entry["is"], "difference")
                quantity.add(unit, plain + stated["difference"])
                continue
            for reference in ("gauge", "absolute"):
                unit = Unit(entry[reference], quantity.name, entry["is"], reference, plain=name)
                quantity.add(unit, stated[reference])
            gauge, absolute, usual = entry["gauge"], entry["absolute"], entry.get("bare", own)
            bare = Unit(
                name,
                quantity.name,
                plain=name,
                unclear=f"gauge or absolute: write {gauge} or {absolute}",
                assume=entry[usual],
                note=f"{name} taken as {name} {usual}",
            )
            quantity.add(bare, plain)
            quantity.add(_vacuum(name, quantity.name, entry), stated["vacuum"])
        yield quantity


def _vacuum(name: str, quantity: str, entry: dict[str, Any]) -> Unit:
    """The unit 'so much below the atmosphere'; with some units the same word tells the absolute one."""
    below = f"{name} vac"
    if entry.get("vacuum") == "unclear":
        gauge, absolute = entry["gauge"], entry["absolute"]
        text = f"so much below the atmosphere or an absolute pressure: write -... {gauge} or {absolute}"
        return Unit(below, quantity, unclear=text)
    return Unit(below, quantity, entry["is"], "vacuum")


@cache
def quantities() -> dict[str, Quantity]:
    """Every quantity by name."""
    return {each[0]: Quantity.again(*each) for each in kept("unit_spellings", ["units"], __file__, _plain)}


def _plain() -> list[tuple[Any, ...]]:
    made = list(_made().values())
    return [each.plain(made) for each in made]


def _made() -> dict[str, Quantity]:
    found: dict[str, Quantity] = {}
    for name, table in load("units").items():
        if name == "meta":
            continue
        if name == "pressure":
            found.update((quantity.name, quantity) for quantity in _pressures(table))
            continue
        quantity = Quantity(name, table["si"], table["example"], table.get("bare", ""))
        for unit, entry in table["units"].items():
            quantity.add(
                Unit(
                    unit,
                    name,
                    expression=entry.get("is", ""),
                    over=tuple(entry["water_over"]) if "water_over" in entry else None,
                    plus=tuple(entry["water_plus"]) if "water_plus" in entry else None,
                    saybolt=entry.get("saybolt", False),
                    unclear=entry.get("unclear", ""),
                    assume=entry.get("assume", ""),
                    note=f"{unit} taken as {entry['assume']}" if "assume" in entry else "",
                ),
                _spellings(entry),
            )
        found[name] = quantity
    return found


def quantity_named(name: str) -> Quantity:
    """The quantity, or an error that lists the names."""
    try:
        return quantities()[name]
    except KeyError:
        raise UnitError(f"no quantity is called {name!r}; there are {', '.join(quantities())}") from None


@cache
def _different() -> tuple[Quantity, ...]:
    """Where any unit may be looked for: what is spelled alike is once, and "1" and "-" spell none."""
    found = [quantity for name, quantity in quantities().items() if name != "ratio"]
    return tuple(
        one for n, one in enumerate(found) if all(one.exact is not other.exact for other in found[:n])
    )


def _find_any(squashed: str) -> Unit | None:
    """The unit of the first quantity that spells it so, else of the first that does without case."""
    exact, folded = _first_with()
    quantity = exact.get(squashed) or folded.get(squashed.casefold())
    return None if quantity is None else quantity.find(squashed)


@cache
def _first_with() -> tuple[dict[str, Quantity], dict[str, Quantity]]:
    """The first quantity that has a spelling, and the first that has one but for case."""
    exact: dict[str, Quantity] = {}
    folded: dict[str, Quantity] = {}
    for quantity in reversed(_different()):
        exact |= dict.fromkeys(quantity.exact, quantity)
        folded |= dict.fromkeys((*quantity.exact, *quantity.folded), quantity)
    return exact, folded


@lru_cache(maxsize=16384)
def lookup(text: str, quantity: str | None) -> Unit | None:
    """The unit that `text` spells, of a quantity or (None) of the first that has it; or None."""
    squashed = key(tidy(text))
    if not squashed:
        return None
    find = _find_any if quantity is None else quantity_named(quantity).find
    return find(squashed) or (None if squashed.isascii() else find(as_latin(squashed)))


def quantities_of(unit: str) -> frozenset[str]:
    """The quantities that have a unit so spelled, whether or not it is unclear in them ('bar')."""
    return frozenset(name for name in quantities() if lookup(unit, name) is not None)


def is_unit(text: str) -> bool:
    """Whether the whole text spells a unit of any quantity; '1' and '-' spell none here."""
    return lookup(text, None) is not None


def units_for(quantity: str) -> tuple[str, ...]:
    """Canonical names of the units that state the quantity without doubt, the usual ones first."""
    return tuple(name for name, unit in quantity_named(quantity).units.items() if not unit.unclear)
