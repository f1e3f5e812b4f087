"""The units of `data/units.toml`, looked up by quantity and spelling."""

from __future__ import annotations

import re
from collections.abc import Iterator
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
        self.exact: dict[str, Unit] = {}
        self.folded: dict[str, Unit] = {}

    def add(self, unit: Unit, spellings: Iterator[str] | list[str]) -> None:
        """Register `unit`; a spelling that another unit took before it is a fault of the table."""
        self.units[unit.name] = unit
        for spelling in (unit.name, *spellings):
            squashed = key(tidy(spelling))
            taken = self.exact.setdefault(squashed, unit)
            if taken is not unit:
                raise ValueError(
                    f"units.toml: {spelling!r} is both {taken.name} and {unit.name} ({self.name})"
                )
            self.folded.setdefault(squashed.casefold(), unit)

    def plain(self) -> tuple[Any, ...]:
        """All of it in tuples, lists and dictionaries, for `again`."""
        at = {id(unit): number for number, unit in enumerate(self.units.values())}
        exact = {spelling: at[id(unit)] for spelling, unit in self.exact.items()}
        folded = {spelling: at[id(unit)] for spelling, unit in self.folded.items()}
        units = [astuple(unit) for unit in self.units.values()]
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
        out, made = cls(name, si, example, bare), [Unit(*unit) for unit in units]
        out.units = {unit.name: unit for unit in made}
        out.exact = {spelling: made[at] for spelling, at in exact.items()}
        out.folded = {spelling: made[at] for spelling, at in folded.items()}
        return out

    def find(self, squashed: str) -> Unit | None:
        """The unit with this spelling (as `key` gives it), or None."""
        return self.exact.get(squashed) or self.folded.get(squashed.casefold())


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
    plain = kept("unit_spellings", ["units"], __file__, lambda: [each.plain() for each in _made().values()])
    return {each[0]: Quantity.again(*each) for each in plain}


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
def _any_quantity() -> Quantity:
    """The spellings of all quantities; the first quantity that has one keeps it. '1' and '-' are left out."""
    merged = Quantity("", "", "", "")
    for name, quantity in reversed(quantities().items()):
        if name != "ratio":
            merged.exact.update(quantity.exact)
            merged.folded.update(quantity.folded)
    return merged


@lru_cache(maxsize=16384)
def lookup(text: str, quantity: str | None) -> Unit | None:
    """The unit that `text` spells, of a quantity or (None) of the first that has it; or None."""
    squashed = key(tidy(text))
    if not squashed:
        return None
    table = _any_quantity() if quantity is None else quantity_named(quantity)
    return table.find(squashed) or (None if squashed.isascii() else table.find(as_latin(squashed)))


def quantities_of(unit: str) -> frozenset[str]:
    """The quantities that have a unit so spelled, whether or not it is unclear in them ('bar')."""
    return frozenset(name for name in quantities() if lookup(unit, name) is not None)


def is_unit(text: str) -> bool:
    """Whether the whole text spells a unit of any quantity; '1' and '-' spell none here."""
    return lookup(text, None) is not None


def units_for(quantity: str) -> tuple[str, ...]:
    """Canonical names of the units that state the quantity without doubt, the usual ones first."""
    return tuple(name for name, unit in quantity_named(quantity).units.items() if not unit.unclear)
