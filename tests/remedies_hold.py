"""Do remedies hold? Each is taken in the table of gauges, and the rules are run again.

`python -m tests.remedies_hold BOOK ...` takes every option of every remedy of the rules on floats, scales and
lags, and prints how many leave the finding, or bring a new one. It also says which number of any remedy
leaves its finding when it is typed as it is printed.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from xlfuncs.audit.gauges import DENSITIES, Gauges
from xlfuncs.audit.own_rules import outcomes
from xlfuncs.audit.registry import Hit, Rule, remedy_of, rules
from xlfuncs.audit.remedies.taken import FAMILIES as FAMILIES_OF_VALUES
from xlfuncs.audit.remedies.taken import after
from xlfuncs.audit.remedy import Option
from xlfuncs.audit.rounding import FIELDS, half_digits
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.model import Column, State
from xlfuncs.lists.reader import read_book
from xlfuncs.units import converter, parse

Cell = float | str | tuple[float, float]
"""An SI number, a text, or the ends of a range."""
FAMILIES = ("float_fluid", "strength")
OF_FLOATS = ("xlfuncs.audit.remedies.floats", "xlfuncs.audit.remedies.following")
NOT_NEW = {"float-data-conflict", "floats-exchanged", "float-not-in-list", "wetted-material-unfit"}
"""What a float that is put into one row only disagrees with: the list, and the other rows."""


def concerned() -> list[Rule]:
    """The rules whose remedies are about floats, scales and lags."""
    return [item for item in rules().values() if getattr(item.remedy, "__module__", "") in OF_FLOATS]


def hits_of(gauges: Gauges, settings: Settings, finer: float = 1.0) -> list[tuple[Rule, Hit]]:
    """What the rules find, one after the other as the engine runs them.

    `finer`: the share of the rounding of the floats' data that is left.
    """
    found = []
    _known_finer(gauges, finer)
    for item in rules().values():
        if item.last or not (item.spoils or item.family in FAMILIES):
            continue
        fired = [hit for hit in outcomes(item, gauges, settings) if isinstance(hit, Hit)]  # type: ignore[union-attr]
        if item.spoils:
            left = gauges.without((hit.sheet, hit.cell) for hit in fired)
            if left is not gauges:
                _known_finer(left, finer)
            gauges = left
        found += [(item, hit) for hit in fired]
    return found


def put(gauges: Gauges, record: int, changes: Mapping[str, Cell]) -> Gauges:
    """The gauges with other values in one row: SI numbers, and texts."""
    own = dict(gauges.own)
    if "float_part" in changes:
        for name in gauges.listed:
            if name in own and name not in ("float_part", "remarks"):
                own[name] = _set(own[name], record, None)
    for name, value in changes.items():
        stated = own.get(name) if isinstance(value, str) else None
        own[name] = _set(stated or gauges.column(name), record, value)
    return Gauges(gauges.book, gauges.settings, own=own, listed=gauges.listed)


def _set(column: Column, record: int, value: Cell | None) -> Column:
    arrays: dict[str, Any] = {
        name: getattr(column, name).copy() for name in ("raw", "state", "low", "high", "text")
    }
    arrays["state"][record] = State.BLANK if value is None else State.OK
    arrays["raw"][record] = value
    number = value if isinstance(value, float) else np.nan
    ends = value if isinstance(value, tuple) else (number, number)
    arrays["low"][record], arrays["high"][record] = ends
    arrays["text"][record] = value if isinstance(value, str) else ""
    return replace(column, **arrays)


def _known_finer(gauges: Gauges, share: float) -> None:
    """The floats' data known so much more finely than the list rounds them."""
    for name in FIELDS if share < 1 else ():
        halves, _ = half_digits(gauges, name)
        halves *= share  # kept by the table


def taken(gauges: Gauges, record: int, option: Option) -> dict[str, Cell] | None:
    """What an option changes; None where it is nothing that can be put into a row."""
    changes: dict[str, Cell] = dict(option.changes)
    if "scale_shift_mm" in option.numbers:
        moved = option.numbers["scale_shift_mm"] / 1e3
        changes["magnet_height"] = float(gauges.si("magnet_height")[record]) - moved
        changes["float_design_density"] = option.numbers["scale_density_kg_m3"]
    if "float_length" in changes:  # a float of its own: no part of the list, for any service
        changes |= {"float_service": "", "float_design_density": np.nan}
    if "scale_set_mm" in option.numbers:
        moved = option.numbers["scale_set_mm"] / 1e3
        changes["magnet_height"] = float(gauges.si("magnet_height")[record]) - moved
    if "density_low_kg_m3" in option.numbers:
        ends = option.numbers["density_low_kg_m3"], option.numbers["density_high_kg_m3"]
        whole = sum(gauges.given(name)[record] for name in DENSITIES) == 1
        parts: dict[str, Cell] = {"fluid_density_min": ends[0], "fluid_density_max": ends[1]}
        parts["fluid_density"] = sum(ends) / 2
        changes |= {name: ends if whole else parts[name] for name in DENSITIES if gauges.given(name)[record]}
    values = [(option.name, option.value), *option.along] if option.name else []
    for name, value in values:
        if value is None:
            continue
        known = load("fields")[name]
        if known["kind"] == "text":
            changes[name] = str(value.value)
        else:
            unit = converter(value.unit, known["quantity"], assume=True)
            changes[name] = float(unit.to_si(float(value.value)))
    return changes or None


@dataclass(frozen=True)
class Tried:
    """One option of a remedy, taken."""

    rule: str
    tag: str
    option: str
    kind: str
    """'listed', 'made', 'scale', or the field that changes; '' where there is no option."""
    stays: bool
    """Whether the finding is there still."""
    new: tuple[str, ...]
    """Rules that find something then and did not before."""


def kind_of(option: Option) -> str:
    for name, kind in _KINDS.items():
        if name in option.numbers:
            return kind
    if option.name == "float_part":
        return "listed"
    return option.name or ("made" if option.changes else "words")


_KINDS = {
    "scale_shift_mm": "scale",
    "density_low_kg_m3": "narrower densities",
    "tolerance_mm": "wider tolerance",
    "rounding_share": "finer data",
}


def tried(gauges: Gauges, settings: Settings) -> Iterator[Tried]:
    """Every option of every remedy that is about floats, scales and lags."""
    hits = hits_of(gauges, settings)
    before: dict[int, set[str]] = defaultdict(set)
    for item, hit in hits:
        before[hit.record].add(item.slug)
    mine = {item.slug for item in concerned()}
    for item, hit in hits:
        covered = any(item.slug in rules()[other].covers for other in before[hit.record])
        if item.slug not in mine or hit.record < 0 or covered:
            continue
        remedy = remedy_of(item, gauges, settings, hit)
        if remedy is None or not remedy.options:
            said = "nothing" if remedy is None else remedy.text
            yield Tried(item.slug, hit.tag, said, "", False, ())
            continue
        for option in remedy.options:
            changes = taken(gauges, hit.record, option)
            if changes is None:
                yield Tried(item.slug, hit.tag, option.text, "words", False, ())
                continue
            now = settings
            if "tolerance_mm" in option.numbers:
                now = replace(settings, offset_tolerance_mm=option.numbers["tolerance_mm"])
            there, finer = put(gauges, hit.record, changes), option.numbers.get("rounding_share", 1.0)
            after = {one.slug for one, found in hits_of(there, now, finer) if found.record == hit.record}
            tested = {"float-test-pressure-exceeded"} if "before the test" in option.text else set()
            new = tuple(sorted(after - before[hit.record] - NOT_NEW - tested))
            yield Tried(item.slug, hit.tag, option.text, kind_of(option), item.slug in after, new)


ROWS_TOGETHER = {"stacked-gauges-gap", "copied-column", "floats-exchanged", "serial-reused", "tag-duplicate"}
"""Rules that hold a gauge against others: one gauge by itself does not show them."""


def typed(gauges: Gauges, settings: Settings) -> Iterator[tuple[str, str, str]]:
    """Rule, tag and option of every value that leaves its finding when it is typed as it is printed."""
    for item, hit in every_hit(gauges, settings):
        if hit.record < 0 or item.slug in ROWS_TOGETHER:
            continue
        remedy = remedy_of(item, gauges, settings, hit)
        for option in () if remedy is None else remedy.options:
            changes = as_printed(option)
            if not changes or option.changes:
                continue
            if item.slug in after(gauges, settings, hit.record, changes):
                yield item.slug, hit.tag, option.text


def every_hit(gauges: Gauges, settings: Settings) -> Iterator[tuple[Rule, Hit]]:
    """What the rules on the values of a gauge find, as the engine runs them."""
    for item in rules().values():
        if item.last or item.family not in FAMILIES_OF_VALUES:
            continue
        fired = [hit for hit in outcomes(item, gauges, settings) if isinstance(hit, Hit)]  # type: ignore[union-attr]
        if item.spoils:
            gauges = gauges.without((hit.sheet, hit.cell) for hit in fired)
        yield from ((item, hit) for hit in fired)


def as_printed(option: Option) -> dict[str, float | str]:
    """The numbers of an option as a reader types them [SI]; nothing where it changes a text."""
    cells = ((option.name, option.value), *option.along) if option.name else ()
    found: dict[str, float | str] = {}
    for name, value in cells:
        known = load("fields")[name]
        if value is None or known["kind"] == "text":
            return {}
        number = parse(str(value), known["quantity"], assume=True)
        found[name] = float(number.si_low)
    return found


def main(paths: list[str]) -> None:
    """Take the remedies of some books and print what came of it."""
    counted: Counter[tuple[str, str, str]] = Counter()
    for path in paths:
        settings = Settings()
        try:
            gauges = Gauges(read_book(Path(path)), settings)
        except XlfuncsError:
            continue
        for slug, tag, text in typed(gauges, settings):
            print(Path(path).name, tag, slug, "typed, stays |", text)
        for one in tried(gauges, settings):
            good = "stays" if one.stays else "new" if one.new else "holds"
            counted[one.rule, one.kind or "no option", good if one.kind not in ("", "words") else "-"] += 1
            if one.stays or one.new or not one.kind:
                print(Path(path).name, one.tag, one.rule, one.kind, good, *one.new, "|", one.option)
    for key, number in sorted(counted.items()):
        print(f"{number:5}  {'  '.join(key)}")


if __name__ == "__main__":
    main(sys.argv[1:])
