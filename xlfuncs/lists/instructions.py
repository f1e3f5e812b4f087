"""What a person has said about a sheet: which column is which field, and in which unit.

Said with `--map`, in a READING.toml or on the sheet 'Reading' of an annotated copy; it counts before all that
the headings and cells suggest. `binding` finds the columns that are meant; here they are taken.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.units import find_unit, is_unit
from xlfuncs.vocabulary.meaning import Kind, fields, quantities_for, squash, unit_of

Mapped = Mapping[str, str | Sequence[str]] | Iterable[tuple[str, str]]
"""Field -> heading, letter or cell, as `--map` takes them; a field may have several."""

NONE: Final = "none"
"""What `--map` calls a column that is to be left alone."""
SETTINGS, SHEET, FILE, OPTION = range(4)
"""Where something was said; what is nearer to the command counts before the rest."""
LEFT_ALONE: Final = "left alone, as was said"
_BRACKETS: Final = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_PLAIN: Final = re.compile(r"[\w.,:+@-]+=[\w.,:+@-]*")
_ACTIVE: Final = frozenset('"$`!%\\^')
"""Characters that some shell would act on between double quotes."""


@dataclass(frozen=True, slots=True)
class Instruction:
    """One column, and what it is, as a person said it."""

    field: str
    """"" for a column that is to be left alone."""
    place: str = ""
    """Heading, letter or cell, with or without a sheet before it; "" where no column is to be the field."""
    unit: str = ""
    origin: int = OPTION
    said: str = ""
    """For messages."""


@dataclass(frozen=True, slots=True)
class SaidColumn:
    """A column of a list in a READING.toml, or on the sheet 'Reading'."""

    letter: str
    """Of the column; of a label, its cell."""
    heading: str
    field: str | None
    """None where nobody has said yet."""
    unit: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class SaidList:
    """A list, as a person has corrected how it was read."""

    sheet: str
    kind: Kind
    columns: tuple[SaidColumn, ...]
    origin: int = FILE
    said: str = ""
    file: str = ""
    """In which it was said."""
    shape: str = ""
    """How its sheet is to be read, as `shapes` names it; "" where nobody has said."""


@dataclass(frozen=True, slots=True)
class SaidShape:
    """How a sheet is to be read."""

    shape: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class Bound:
    """A column under some headings, or a label, and what it is said to be."""

    sheet: str
    rows: frozenset[int]
    """Spreadsheet rows of the headings; of a label, its row."""
    col: int
    """0 where no column is to be the field `without`."""
    field: str
    unit: str = ""
    without: str = ""
    origin: int = OPTION
    said: str = ""
    label: bool = False
    """It is a label, and no heading."""
    kind: str = ""
    """Of the list that was found under just these rows; "" where none was found."""
    heading: str = ""
    """Of the column or label: one of either may hold several things."""


@dataclass(frozen=True, slots=True)
class Instructions:
    """All that was said of the sheets of a workbook."""

    bound: Mapping[str, tuple[Bound, ...]] = field(default_factory=dict)
    """Sheet -> what was said of it, the weakest first."""
    shapes: Mapping[str, tuple[SaidShape, ...]] = field(default_factory=dict)
    """Sheet -> how it is to be read; of lists beside each other each its own way."""
    parts: frozenset[str] = frozenset()
    """The part numbers of the float lists, once these have been read."""

    def of(self, sheet: str) -> tuple[Bound, ...]:
        """What was said of a sheet."""
        return self.bound.get(sheet, ())

    def _here(self, grid: Grid) -> list[Bound]:
        """What was said of the columns of a sheet, or of a part of it: another list may stand beside it."""
        if not (said := self.of(grid.sheet)):
            return []
        there = {0, *grid.cols.tolist()}
        return [entry for entry in said if not entry.label and entry.col in there]

    def tries(self, grid: Grid, first: int, last: int) -> list[int]:
        """Indexes of rows that are to be tried as headings, whatever they look like."""
        rows = {row for entry in self.of(grid.sheet) if not entry.label for row in entry.rows}
        return (
            [i for i, row in enumerate(grid.rows[first:last].tolist(), first) if row in rows] if rows else []
        )

    def forbids(self, grid: Grid, kind: Kind, rows: Iterable[int]) -> bool:
        """Whether a list that a person has spoken of would become another one."""
        under = frozenset(rows)
        return any(
            entry.kind and entry.rows & under and (entry.rows != under or entry.kind != kind)
            for entry in self._here(grid)
        )

    def apply(
        self, grid: Grid, kind: Kind, rows: Iterable[int], columns: dict[str, Any], others: list[Any]
    ) -> None:
        """Take the columns of a list as they were said to be, whatever they were taken for.

        `rows`: spreadsheet rows of the headings of the list.
        """
        under = frozenset(rows)
        for entry in self._here(grid):
            if not entry.rows & under or (entry.field and kind not in fields()[entry.field]["tables"]):
                continue
            if entry.without:
                _clear(entry.without, columns, others)
            else:
                found = _column(entry, grid, [*columns.values(), *others])
                if found is None:
                    continue
                _settle(found, entry, columns, others)

    def vouch(self, grid: Grid, kind: Kind, rows: Iterable[int], columns: Mapping[str, Any]) -> bool:
        """Whether a person's word makes a list of what would not be one by its headings alone."""
        under = frozenset(rows)
        mine = (entry for entry in self._here(grid) if entry.rows & under)
        said = any(entry.field in columns for entry in mine)
        return said and _suffices(kind, columns)

    def label(self, sheet: str, row: int, col: int, heading: str = "") -> Bound | None:
        """What was said of a label; the last word counts. `heading`: where its cell names several things."""
        found = None
        for entry in self.of(sheet):
            named = not (heading and entry.heading) or squash(entry.heading) == squash(heading)
            if entry.col == col and row in entry.rows and named:
                found = entry
        return found

    def vouch_labels(self, sheet: str, kind: Kind, names: Mapping[str, Any]) -> bool:
        """The same as `vouch`, of a sheet of labels and values."""
        return any(entry.field in names for entry in self.of(sheet)) and _suffices(kind, names)


_NAMING: Final = frozenset({
    "tag", "tag_plant", "tag_block", "tag_area", "tag_letters", "tag_number", "tag_suffix", "old_tag", "area",
    "service", "remarks",
})  # fmt: skip
"""Fields that tell nothing of a gauge but its name and place."""


def _suffices(kind: Kind, columns: Mapping[str, Any]) -> bool:
    """Whether the columns name the records and say something of them."""
    if kind == "floats":
        return bool(columns.keys() & {"float_part", "float_serial"}) and len(columns) >= 2
    named = "tag" in columns or {"tag_letters", "tag_number"} <= columns.keys()
    return named and bool(columns.keys() - _NAMING)


def _column(entry: Bound, grid: Grid, known: Iterable[Any]) -> Any:
    same = [found for found in known if int(grid.cols[found.index]) == entry.col]
    if same:  # of several values in a cell the one under this heading
        return next((one for one in same if squash(one.heading) == squash(entry.heading)), same[0])
    from xlfuncs.lists.found import Found

    for j, col in enumerate(grid.cols.tolist()):
        if col == entry.col:  # a column without a heading
            return Found("", j, "", "")
    return None


def _clear(name: str, columns: dict[str, Any], others: list[Any]) -> None:
    """No column is a field, nor may be."""
    found = columns.pop(name, None)
    if found is not None:
        found.field, found.known = "", LEFT_ALONE
        others.append(found)
    for other in others:
        if other.doubted == name:
            other.doubted = ""
        if other.runner_up == name:
            other.runner_up = ""


def _settle(found: Any, entry: Bound, columns: dict[str, Any], others: list[Any]) -> None:
    if entry.field and entry.field == found.field:
        found.confirmed = True
        if entry.unit and entry.unit != found.unit:
            found.unit, found.unit_source, found.misfit = entry.unit, "said", ""
        return
    if not (entry.field or found.field or found.doubted) and _is_known(found):
        return
    _release(found, entry.field, columns, others)
    if entry.field:
        _take(found, entry, columns, others)
    else:
        found.known = LEFT_ALONE


def _is_known(found: Any) -> bool:
    """Whether the audit knows what a column is, and has no use for it."""
    return bool(found.known or (found.reading is not None and found.reading.foreign))


def _release(found: Any, name: str, columns: dict[str, Any], others: list[Any]) -> None:
    for taken, other in list(columns.items()):
        if other is found or taken == name:
            del columns[taken]
            other.field = ""
            if other is not found:
                others.append(other)
    if not any(other is found for other in others):
        others.append(found)
    found.doubted = found.runner_up = found.known = ""


def _take(found: Any, entry: Bound, columns: dict[str, Any], others: list[Any]) -> None:
    others[:] = [other for other in others if other is not found]
    found.field, found.score, found.misfit = entry.field, 1.0, ""
    found.confirmed = True
    if entry.unit:
        found.unit, found.unit_source = entry.unit, "said"
    else:
        found.unit, found.misfit = _stated(found, entry.field)
        found.unit_source = ("unit row" if found.unit_row else "heading") if found.unit else ""
    columns[entry.field] = found


def _stated(found: Any, name: str) -> tuple[str, str]:
    """(the unit that a heading states for a field, or the stated one that is none of the field's)."""
    if fields()[name]["kind"] != "quantity":
        return "", ""
    meanings = found.reading.meanings if found.reading is not None else ()
    for meaning in meanings:
        if meaning.field == name:
            return meaning.unit, meaning.misfit
    unit = unit_of(name, found.unit_row, found.heading)
    texts = [found.unit_row.strip(" ()[]"), *_BRACKETS.findall(found.heading)]
    return unit, "" if unit else next((text for text in texts if text and is_unit(text.strip())), "")


def of_mapping(mapping: Mapped | None, origin: int = OPTION) -> tuple[Instruction, ...]:
    """What `--map FIELD=PLACE` says, or [columns] of a settings file. XlfuncsError for a field that there
    is not."""
    out = []
    for name, place in mapped_pairs(mapping or {}):
        if name != NONE and name not in fields():
            raise XlfuncsError(f"{_said(name, place, origin)}: {no_field(name)}")
        if name == NONE and not place:
            raise XlfuncsError(f"{_said(name, place, origin)}: write the column after it, e.g. --map none=H")
        out.append(Instruction("" if name == NONE else name, place, "", origin, _said(name, place, origin)))
    return tuple(out)


def mapped_pairs(mapping: Mapped) -> Iterable[tuple[str, str]]:
    """(field, place) of what was said, in order."""
    if not isinstance(mapping, Mapping):
        pairs: list[Any] = list(mapping)
        wrong = [one for one in pairs if isinstance(one, str) or len(one) != 2]
        if wrong:
            raise XlfuncsError(f"columns: {wrong[0]!r} is no pair: write {{'FIELD': 'HEADING or LETTER'}}")
        return [(name, place.strip()) for name, place in pairs]
    every = (
        (name, place)
        for name, places in mapping.items()
        for place in ([places] if isinstance(places, str) else places)
    )
    return [(name, place.strip()) for name, place in every]


def _said(name: str, place: str, origin: int) -> str:
    return f"[columns] {name} = {place!r}" if origin == SETTINGS else f"--map {name}={place}"


def no_field(name: str) -> str:
    """That there is no such field, and which come near."""
    from rapidfuzz import process

    near = [text for text, _, _ in process.extract(name, list(fields()), limit=3, score_cutoff=60)]
    near += [n for n in fields() if n not in near and name and name.casefold() in n][: 3 - len(near)]
    hint = f"; did you mean {' or '.join(near)}?" if near else ";"
    return f"there is no field {name!r}{hint} 'xlfuncs columns --fields' lists them"


def option(name: str, place: str) -> str:
    """The option that says it, quoted so that every usual shell takes it: `--map "tag=LI Index:B"`.

    The sheet is set off by a colon, for an exclamation mark is acted on by some shells even between quotes.
    """
    text = f"{name or NONE}={place}"
    if _PLAIN.fullmatch(text):
        return f"--map {text}"
    return f"--map {shlex.quote(text)}" if _ACTIVE & set(text) else f'--map "{text}"'


# --- units ----------------------------------------------------------------------------------------------


def spelt(name: str, unit: str) -> str:
    """A unit as `xlfuncs.units` spells it for a field; "" for what is none of the field's."""
    entry = fields().get(name, {})
    if unit == "%" and entry.get("percent"):
        return "%"
    kinds = quantities_for(entry["quantity"]) if entry.get("kind") == "quantity" else ()
    return next((known for kind in kinds if (known := find_unit(unit, kind))), "")


def check_unit(name: str, unit: str, said: str) -> None:
    """XlfuncsError for a unit that a field cannot have."""
    if spelt(name, unit):
        return
    if not name or fields()[name]["kind"] != "quantity":
        what = f"{name} is a text and has no unit" if name else "a column that is left alone needs no unit"
        raise XlfuncsError(f"{said}: {what}: leave {unit!r} out")
    usual = ", ".join(usual_units(name))
    raise XlfuncsError(
        f"{said}: {unit!r} is no unit of {fields()[name]['label']}: write {usual} or another one"
    )


_USUAL: Final = {
    "density": ("kg/m3", "SG"), "length": ("mm", "in", "m"), "pressure_gauge": ("barg", "psig", "kPag"),
    "temperature": ("degC", "degF"), "mass": ("g", "kg", "lb"), "dynamic_viscosity": ("mPa.s", "mm2/s"),
    "velocity": ("mm/s", "in/min"), "current": ("mA",), "power_per_length": ("W/m", "W/ft"),
    "conductivity": ("W/m/K",),
}  # fmt: skip


def usual_units(name: str) -> tuple[str, ...]:
    """Units in which a field is usually stated; none for a text."""
    return _USUAL.get(fields()[name].get("quantity", ""), ())
