"""Lists whose groups of columns repeat each other: cases or bidders side by side."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from xlfuncs.lists.found import Found, Layout, holds_units
from xlfuncs.lists.rows import find_rows
from xlfuncs.lists.upright import Place, Record, Records, of_column
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import read_heading
from xlfuncs.vocabulary.words import fold, words_of

_ALIKE: Final = 0.6
"""Share of headings that two groups have in common, if they are cases of one thing."""
_BLANK: Final = ("", "-", "\u2013", "\u2014")
_REPEATS: Final = 0.8
"""Worth, by that of one list of all columns, from which groups that repeat each other are taken for cases."""
_LEAST: Final = 2
_LARGE: Final = 20_000
_CASE: Final = (
    r"(?:(?:design |operating )?case|(?:last|betriebs|auslegungs)?fall|cas|caso|scenario|szenario|geval"
    r"|przypadek|pripad|tilfelle|tilf\u00e6lde|fall|durum|\u5de5\u51b5|\u30b1\u30fc\u30b9)\s*(?:[A-Z]|\d{1,2})"
)
_NAMED: Final = re.compile(
    rf"^\W*(?P<front>{_CASE})\b[\s:,/-]+(?P<rest>\S.*)$"
    rf"|^(?P<start>\S.*?)[\s:,/(-]+(?P<back>{_CASE})\b\)?(?P<end>.*)$",
    re.IGNORECASE | re.DOTALL,
)
"""A heading of one row that names its case: 'Case A density', 'Density case A, kg/m3'."""


_BENEATH: Final = re.compile(rf"\W*(?P<name>{_CASE})\b\W*(?:[=:\u2013-].*)?", re.IGNORECASE | re.DOTALL)
"""A heading that is nothing but a case, and what the case is: 'Case A', 'Case B - recycle'."""


@dataclass(frozen=True, slots=True)
class _Group:
    name: str
    columns: dict[str, Found]
    """Heading below the group's, or without its name -> its column."""
    least: int = _LEAST
    """Headings that it has to have in common with another one."""
    apart: bool = False
    """It is a case where its density is stated, and what depends on its temperature is its own."""


def records_of(grid: Grid, layouts: Sequence[Layout]) -> Iterator[Records]:
    """The lists of a sheet with a record for each case of a gauge."""
    for layout in layouts:
        if layout.kind != "gauges" or layout.last - layout.first > _LARGE:
            continue
        groups = _cases(_groups(layout)) or _beneath(layout) or _conditions(layout)
        if len(groups) > 1:
            yield _unfolded(grid, layout, groups)


def _groups(layout: Layout) -> list[_Group]:
    out: dict[str, dict[str, Found]] = {}
    named: dict[str, dict[str, Found]] = {}
    names: dict[str, str] = {}
    for found in sorted((*layout.columns.values(), *layout.others), key=lambda one: one.index):
        if found.part >= 0 or holds_units(found):
            continue
        if found.above:
            out.setdefault(found.above[0], {}).setdefault(fold(_text(found)), found)
        elif match := _NAMED.match(found.heading):
            name = " ".join((match["front"] or match["back"]).split())
            shown = names.setdefault(name.casefold(), name)
            named.setdefault(shown, {}).setdefault(fold(_text(found)), found)
    groups = [_Group(name, columns) for name, columns in out.items() if len(columns) >= _LEAST]
    # a heading that says 'case' is sure of it: one column for each is enough
    return groups + [_Group(name, columns, 1) for name, columns in named.items()]


def _text(found: Found) -> str:
    """The heading below that of the group, or without its case."""
    if found.above:
        return found.heading.removeprefix(f"{found.above[0]} / ")
    match = _NAMED.match(found.heading)
    if match is None:
        return found.heading
    return match["rest"] or f"{match['start']}{match['end']}"


def _cases(groups: list[_Group]) -> list[_Group]:
    """The largest set of groups that have the same headings, and mean the same by them."""
    best: list[_Group] = []
    for one in groups:
        same = [other for other in groups if _same(one, other)]
        if len(same) > max(1, len(best)):
            best = same
    return best


def _beneath(layout: Layout) -> list[_Group]:
    """Cases that stand below what they are cases of: 'Density' over 'Normal', 'Case A' and 'Case B'."""
    cases: dict[str, dict[str, Found]] = {}
    normal: dict[str, Found] = {}
    for found in sorted((*layout.columns.values(), *layout.others), key=lambda one: one.index):
        if found.part >= 0 or not found.above or holds_units(found):
            continue
        own = _text(found)
        if match := _BENEATH.fullmatch(own):
            cases.setdefault(" ".join(match["name"].split()), {}).setdefault(found.above[0], found)
        elif all(word.concepts == {"normal"} for word in words_of(own)):
            normal.setdefault(found.above[0], found)
    told = {text for columns in cases.values() for text in columns}
    plain = {text: found for text, found in normal.items() if text in told}
    groups = [_Group("normal", plain, 1)] if plain else []
    return groups + [_Group(name, columns, 1) for name, columns in cases.items()]


_VARY: Final = ("fluid_density", "upper_density", "operating_temperature", "operating_pressure", "viscosity")
"""What is stated at start-up, or cold, beside the normal value."""
_OF_TEMPERATURE: Final = ("operating_temperature", "viscosity", "fluid_density")
"""Beginnings of the fields that are others at another temperature."""


def _conditions(layout: Layout) -> list[_Group]:
    """The normal case and those at start-up or cold, by columns such as 'Density at start-up, kg/m3'."""
    normal: dict[str, Found] = {}
    others: dict[str, dict[str, Found]] = {}
    for found in layout.others:
        name, rest = _condition(found.heading)
        meant = read_heading(rest, unit_row=found.unit_row).meanings if name else ()
        plain = layout.columns.get(meant[0].field) if meant else None
        if plain is None or plain.field not in _VARY or meant[0].unit != _unit(plain):
            continue
        normal[plain.heading] = plain
        others.setdefault(name, {}).setdefault(plain.heading, found)
    told = {
        name: columns
        for name, columns in others.items()
        if any(normal[heading].field == "fluid_density" for heading in columns)
    }
    if not told:
        return []
    used = {heading for columns in told.values() for heading in columns}
    first = _Group("normal", {heading: found for heading, found in normal.items() if heading in used})
    return [first, *(_Group(name, columns, apart=True) for name, columns in told.items())]


def _unit(found: Found) -> str:
    meant = read_heading(found.heading, unit_row=found.unit_row).meanings
    return meant[0].unit if meant else ""


def _condition(heading: str) -> tuple[str, str]:
    """The words of a heading that say 'start-up' or 'cold', and the heading without them; "" without any."""
    for word in words_of(heading):
        if "cold" in word.concepts:
            spelt = r"[\W_]+".join(map(re.escape, word.text.split()))
            if match := re.search(spelt, "".join(map(_plain, heading))):
                rest = heading[: match.start()] + " " + heading[match.end() :]
                name = heading[match.start() : match.end()].casefold().removeprefix("at ")
                return name, _EMPTY.sub(" ", rest).strip(" -,;:/@")
    return "", heading


def _plain(letter: str) -> str:
    """A letter as words are compared, where that is one letter as well."""
    plain = fold(letter)
    return plain if len(plain) == 1 else letter


_EMPTY: Final = re.compile(r"\(\W*\)|\b(?:at|case|@)(?=\W*(?:$|\())", re.IGNORECASE)
"""What is left of '(start-up)', 'at start-up' and 'start-up case'."""


def _same(one: _Group, other: _Group) -> bool:
    both = one.columns.keys() & other.columns.keys()
    if len(both) < max(one.least, _ALIKE * max(len(one.columns), len(other.columns))):
        return False
    return (
        one is other
        or sum(_meant(text, one.name) == _meant(text, other.name) for text in both) > len(both) / 2
    )


def _meant(text: str, group: str) -> str:
    found = read_heading(text, group).meanings
    return found[0].field if found else ""


def _unfolded(grid: Grid, layout: Layout, groups: list[_Group]) -> Records:
    varying = {found.index for group in groups for found in group.columns.values()}
    both = sorted((*layout.columns.values(), *layout.others), key=lambda one: one.index)
    units = {found.index for found in both if holds_units(found)}
    every = [found for found in both if found.index not in units]
    shared = list({found.index: found for found in every if found.index not in varying}.values())
    texts = list(dict.fromkeys(text for group in groups for text in group.columns))
    properties = [of_column(found) for found in shared]
    for text in texts:
        first = next(group.columns[text] for group in groups if text in group.columns)
        properties.append(of_column(first, text if text in first.above else _text(first)))
    records = []
    for i in find_rows(grid, layout).records.tolist():
        for group in groups:
            if group.apart and not _states_density(grid, i, group, layout):
                continue
            if group is not groups[0] and not any(
                _states(grid.values[i, found.index]) for found in group.columns.values()
            ):
                continue
            own = (None if group.apart and _warm(found) else found for found in shared)
            columns = [*own, *(group.columns.get(text) for text in texts)]
            cells = {
                p: Place(grid.values[i, found.index], int(grid.rows[i]), int(grid.cols[found.index]))
                for p, found in enumerate(columns)
                if found is not None
            }
            stated = {
                p: str(grid.values[i, found.index + 1]).strip()
                for p, found in enumerate(columns)
                if found is not None and found.index + 1 in units
            }
            records.append(Record(cells, stated, group.name))
    shape = f"a list with {len(groups)} cases side by side"
    return Records(grid, shape, properties, records, grid.sheet, least=_REPEATS)


def _states(value: object) -> bool:
    return value is not None and str(value).strip() not in _BLANK


def _states_density(grid: Grid, row: int, group: _Group, layout: Layout) -> bool:
    """Whether a row has the density of a case."""
    stated = group.columns.get(layout.columns["fluid_density"].heading)
    return stated is not None and _states(grid.values[row, stated.index])


def _warm(found: Found) -> bool:
    """Whether a column is of what is another at another temperature."""
    return found.field.startswith(_OF_TEMPERATURE)
