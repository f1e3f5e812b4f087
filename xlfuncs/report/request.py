"""The data request: what was missing, one row for each value, as a workbook to send to the contractor.

Nobody is asked for what stands in a column that was not read: the auditor is told to say what that is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from xlfuncs.audit import questions
from xlfuncs.audit.gauges import VIRTUAL, stated_in
from xlfuncs.audit.model import AuditResult, Place, Waiting, blocks_of
from xlfuncs.audit.waiting import given
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _questions, _sheets
from xlfuncs.report import _summary as summary
from xlfuncs.report import _units as units
from xlfuncs.report import _words as words
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.units import UnitError, find_unit

_MOST = 100_000
"""Rows; a request beyond it names the gap once for all gauges instead."""


_FOR_A_PERSON = ("known_fluid", "reference_density", "known_freezing", "both_range_values", "float_list")
"""What no single field of the sheet can answer."""
_NOT_UNDERSTOOD = {
    text for need, text in VIRTUAL.items() if need.startswith("known_") and need not in _FOR_A_PERSON
}
"""Items for which something is stated that was not understood: the answer takes its place."""
_TOGETHER = {VIRTUAL["known_fluid"]: ("fluid_density", "operating_temperature")}
"""Items that stand for several fields: what is asked for has their units."""


@dataclass(slots=True)
class Wanted:
    """One value to ask for, and the rules that wait for it."""

    workbook: str
    sheet: str
    row: int
    tag: str
    item: str
    unit: str
    rules: list[str] = field(default_factory=list)

    @property
    def instead(self) -> bool:
        """Whether something is stated that was not understood, so that the answer takes its place."""
        return _named(self.item) in _NOT_UNDERSTOOD

    def key(self) -> str:
        """By which an answer is told again."""
        name, unit = field_and_unit(self.item, self.unit)
        if not name:
            return questions.key("text", self.workbook, self.item, self.tag or f"{self.sheet} row {self.row}")
        what = "instead" if self.instead else "value"
        return questions.key(what, self.workbook, self.sheet, self.row, self.tag, name, unit)


def _named(item: str) -> str:
    """An item without what it says of a cell: 'chamber material by a name (X is in no table)'."""
    return next((text for text in _NOT_UNDERSTOOD if item.startswith(f"{text} (")), item)


def field_and_unit(item: str, unit: str) -> tuple[str, str]:
    """The field in which an answer is read, and the unit of a plain number in it."""
    name = _field_of(item)
    return name, _single(name, unit)


@cache
def _field_of(item: str) -> str:
    """The field of what is asked for, the first of alternatives; "" where it is none's."""
    names = {str(spec["label"]): name for name, spec in load("fields").items() if isinstance(spec, dict)}
    virtual = {text: stated_in(need) for need, text in VIRTUAL.items() if need not in _FOR_A_PERSON}
    for label in _alternatives(_named(item), frozenset(names | virtual)):
        if name := names.get(label) or virtual.get(label, ""):
            return name if name in load("fields") else ""
    return ""


def _single(name: str, unit: str) -> str:
    """The unit in which a number of that field is read, of the units that are asked for."""
    spec = load("fields").get(name, {})
    if spec.get("kind") != "quantity":
        return ""
    parts = [part for each in unit.split(" or ") for part in each.split(" and ")]
    return next((part for part in parts if _fits(part, str(spec["quantity"]))), "")


@cache
def _fits(unit: str, quantity: str) -> bool:
    try:
        return bool(find_unit(unit, quantity))
    except UnitError:
        return False


def wanted(results: Iterable[AuditResult]) -> list[Wanted]:
    """The missing values in the order of the sheets, each once; none that may stand in a column not read."""
    found: dict[tuple[str, str, int, str, str], Wanted] = {}
    for result in results:
        units_of = {i: unit(i, result) for block in blocks_of(result.not_checked) for i in block.missing}
        for rule, item, (tag, sheet, row), column in _gaps(result):
            key = (result.workbook, sheet, row, tag, item)
            if column is None:
                if key not in found:
                    found[key] = Wanted(*key, units_of[item])
                found[key].rules.append(rule)
    return sorted(found.values(), key=lambda w: (w.workbook, w.sheet, w.row, w.tag, w.item))


def _gaps(result: AuditResult) -> Iterator[tuple[str, str, Place, Waiting | None]]:
    """(rule, what is missing, gauge, the column not read in which it may stand)."""
    sheets = {gauges.sheet for gauges in result.reading.lists if gauges.kind == "gauges"}
    for block in blocks_of(result.not_checked):
        for number, item in enumerate(block.missing):
            needed = block.fields[number] if block.fields and not block.cell else frozenset()
            columns = [one for one in result.reading.open if one.rules and needed & given(one.column)]
            for place in block.gauges:
                here = (
                    c for c in columns if c.column.sheet in (place[1], "") or c.column.sheet not in sheets
                )
                yield block.rule, item, place, next(here, None)


def withheld(results: Iterable[AuditResult]) -> list[str]:
    """What was not asked for, as it may stand in a column that was not read: one line for each column."""
    lines = []
    for result in results:
        items: dict[tuple[str, str], dict[str, None]] = {}
        gauges: dict[tuple[str, str], set[Place]] = {}
        told: dict[tuple[str, str], Waiting] = {}
        for _, item, place, column in _gaps(result):
            if column is not None:
                key = column.column.sheet, column.column.column
                told[key] = column
                items.setdefault(key, {})[item] = None
                gauges.setdefault(key, set()).add(place)
        for key, column in told.items():
            count = words.plural(len(gauges[key]), "gauge")
            what = f"{summary.column(column)}: {words.one_line(column.column.text)}"
            lines.append(
                f"{words.one_line(result.workbook)}: not asked for at {count}: {'; '.join(items[key])}. It"
                f" may stand in {what}. Say first what that is, with {' or '.join(column.column.options)}"
            )
    return lines


def unit(item: str, result: AuditResult | None = None) -> str:
    """The unit in which an item is asked for; alternatives ('a or b') share theirs or give several."""
    names = {str(spec["label"]): name for name, spec in load("fields").items() if isinstance(spec, dict)}
    found: dict[str, None] = {}
    for label in _alternatives(item, frozenset(names | _TOGETHER)):
        fields = _TOGETHER.get(label) or tuple(filter(None, (names.get(label),)))
        asked = [units.asked(f, result) for f in fields if load("fields")[f].get("kind") == "quantity"]
        if asked:
            found[" and ".join(asked)] = None
    return " or ".join(found) or "text"


def _alternatives(item: str, labels: frozenset[str]) -> list[str]:
    """The labels that 'a or b' joins; a label may hold an 'or' itself."""
    if item in labels:
        return [item]
    parts = item.split(" or ")
    for cut in range(len(parts) - 1, 0, -1):
        head = " or ".join(parts[:cut])
        if head in labels:
            return [head, *_alternatives(" or ".join(parts[cut:]), labels)]
    return [item]


@cache
def _purpose(rule: str) -> str:
    from xlfuncs.audit.registry import rules

    known = rules().get(rule)
    title = rule if known is None else known.page["title"].rstrip(".")
    return title[:1].lower() + title[1:] if re.match("[A-Z][a-z]* ", title) else title


def build(results: Sequence[AuditResult]) -> Workbook:
    """The workbook: the list to fill in, and how often each item is missing."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Data request"
    several = len(results) > 1
    heads = [("No.", 7), ("Tag", 14), ("What is needed", 44), ("Unit", 14), ("Needed to check", 52)]
    heads += [
        ("Answer", 20),
        ("Source of the answer", 22),
        ("Place", 22),
        *([("Workbook", 26)] if several else []),
        (questions.DAY, 12),
        (questions.KEY, 30),
    ]
    _sheets.table(sheet, heads, "C27C0E")
    values = wanted(results)
    for number, want in enumerate(values[:_MOST], 1):
        where = f"{want.sheet} row {want.row}" if want.row else want.sheet
        why = words.sentence("; ".join(_purpose(rule) for rule in want.rules))
        cells: list[Any] = [number, want.tag or "no tag", want.item, want.unit, why, None, None, where]
        cells += [*([want.workbook] if several else []), None, want.key()]
        for column, value in enumerate(cells, 1):
            answer = column in (6, 7, len(cells) - 1)
            _sheets.put(sheet, number + 1, column, value, fill="FFFBE6" if answer else "", boxed=answer)
    if len(values) > _MOST:
        _sheets.put(
            sheet, _MOST + 2, 2, f"and {len(values) - _MOST:,} more values; the next sheet counts them all"
        )
    if not values:
        missing = any(len(result.not_checked) for result in results)
        none = "Nothing is missing: every rule could be decided for every row."
        _sheets.put(sheet, 2, 2, "Nothing is asked for." if missing else none)
    _sheets.close(sheet)
    _overview(book, values)
    _questions.add(book, results, values)
    return book


def _overview(book: Workbook, values: Sequence[Wanted]) -> None:
    sheet = book.create_sheet("Overview")
    _sheets.table(sheet, [("What is needed", 44), ("Unit", 16), ("Gauges", 10), ("Which", 70)], "7F8C8D")
    items: dict[tuple[str, str], list[str]] = {}
    for want in values:
        items.setdefault((want.item, want.unit), []).append(want.tag or f"{want.sheet} row {want.row}")
    for row, (asked, tags) in enumerate(sorted(items.items(), key=lambda i: (-len(i[1]), i[0])), 2):
        for column, value in enumerate((*asked, len(tags), words.listed(tags, 12)), 1):
            _sheets.put(sheet, row, column, value)
    _sheets.close(sheet)


def write(results: Sequence[AuditResult], path: Path, sources: Iterable[Path]) -> list[str]:
    """Write the request to an .xlsx file; gives what the auditor has to know about it."""
    if path.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{path}: a data request is a workbook; its name has to end in .xlsx")
    with whole_file(path, sources) as draft:
        build(results).save(draft)
    return withheld(results)
