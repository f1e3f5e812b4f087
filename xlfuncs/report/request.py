"""The data request: what was missing, one row for each value, as a workbook to send to the contractor."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from openpyxl import Workbook

from xlfuncs.audit.gauges import VIRTUAL
from xlfuncs.audit.model import AuditResult
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _sheets
from xlfuncs.report import _units as units
from xlfuncs.report import _words as words
from xlfuncs.spreadsheet.files import whole_file

_MOST = 100_000
"""Rows; a request beyond it names the gap once for all gauges instead."""


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


def wanted(results: Iterable[AuditResult]) -> list[Wanted]:
    """The missing values in the order of the sheets, each once."""
    found: dict[tuple[str, str, int, str, str], Wanted] = {}
    for result in results:
        units_of = {i: unit(i, result) for i in {i for gap in result.not_checked for i in gap.missing}}
        for gap in result.not_checked:
            for item in gap.missing:
                key = (result.workbook, gap.sheet, gap.row, gap.tag, item)
                if key not in found:
                    found[key] = Wanted(*key, units_of[item])
                found[key].rules.append(gap.rule)
    return sorted(found.values(), key=lambda w: (w.workbook, w.sheet, w.row, w.tag, w.item))


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
    ]
    _sheets.table(sheet, heads, "C27C0E")
    values = wanted(results)
    for number, want in enumerate(values[:_MOST], 1):
        where = f"{want.sheet} row {want.row}" if want.row else want.sheet
        why = words.sentence("; ".join(_purpose(rule) for rule in want.rules))
        cells = [number, want.tag or "no tag", want.item, want.unit, why, None, None, where]
        for column, value in enumerate([*cells, want.workbook] if several else cells, 1):
            answer = column in (6, 7)
            _sheets.put(sheet, number + 1, column, value, fill="FFFBE6" if answer else "", boxed=answer)
    if len(values) > _MOST:
        _sheets.put(
            sheet, _MOST + 2, 2, f"and {len(values) - _MOST:,} more values; the next sheet counts them all"
        )
    if not values:
        _sheets.put(sheet, 2, 2, "Nothing is missing: every rule could be decided for every row.")
    _sheets.close(sheet)
    _overview(book, values)
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


def write(results: Sequence[AuditResult], path: Path, sources: Iterable[Path]) -> None:
    """Write the request to an .xlsx file."""
    if path.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{path}: a data request is a workbook; its name has to end in .xlsx")
    with whole_file(path, sources) as draft:
        build(results).save(draft)
