"""What several reports tell of a whole result: the order, the counts, revisions, acceptances and gaps."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import groupby
from typing import Any, Final

from xlfuncs.audit.model import Accepted, AuditResult, Finding, Severity, Waiting, blocks_of, gauges_of
from xlfuncs.audit.registry import TITLES, family_of, rules
from xlfuncs.lists.accounts import UNKNOWN
from xlfuncs.report import _consequence as consequence
from xlfuncs.report._words import number, one_line, plural, reference

SEVERITIES = (Severity.ERROR, Severity.WARNING, Severity.NOTE)

OTHER = "Other"
"""Heading of findings whose rule belongs to no family."""

STATUS = {"new": "new", "open": "still open"}
"""How a report calls the status of a finding against an older revision."""

_CELL = re.compile(r"([A-Z]{1,3})([1-9]\d*)")
_PIECES = re.compile(r"(\D+)|(\d+)")
_NUMBERED = re.compile(r"(\d+)[\W_]?[A-Za-z]")
"""A tag that begins with a number, as of a plant's unit."""


# --- order ------------------------------------------------------------------------------------------


@cache
def _title(rule: str) -> str:
    return TITLES.get(family_of(rule), OTHER)


@cache
def _rank(rule: str) -> int:
    """Where the rule's family stands among the headings."""
    return [*dict.fromkeys(TITLES.values()), OTHER].index(_title(rule))


def ordered(result: AuditResult, findings: Iterable[Finding] | None = None) -> list[Finding]:
    """What cannot work first, then what reads wrong, what may, the sheet; errors first in each, float and
    fluid first in these, then the order of the sheets."""
    sheets = {name: k for k, name in enumerate(result.columns)}

    def key(f: Finding) -> tuple[Any, ...]:
        cell = _CELL.fullmatch(f.cell)
        letters, row = (cell[1], int(cell[2])) if cell else ("", 0)
        place = (sheets.get(f.sheet, len(sheets)), f.sheet, row, len(letters), letters)
        return (consequence.of(f), -f.severity.rank, _rank(f.rule), *place)

    return sorted(result.findings if findings is None else findings, key=key)


def merged(results: Sequence[AuditResult]) -> list[tuple[int, Finding]]:
    """(number of the result, finding) of several results in the same order, a workbook after the other."""
    pairs = [(book, f) for book, result in enumerate(results) for f in ordered(result)]

    def key(pair: tuple[int, Finding]) -> tuple[int, ...]:
        book, f = pair
        return consequence.of(f), -f.severity.rank, _rank(f.rule), book

    return sorted(pairs, key=key)


def standing(result: AuditResult) -> list[Finding]:
    """The findings and those that were accepted: what holds of the plant."""
    taken = [f for entry in result.accepted if entry.state == "used" for f in entry.findings]
    return [*result.findings, *taken]


def _natural(tag: str) -> list[tuple[int, str]]:
    """LG-9 before LG-10."""
    return [(int(digits or 0), text) for text, digits in _PIECES.findall(tag)]


# --- counts -----------------------------------------------------------------------------------------


def headline(result: AuditResult) -> str:
    """`3 errors, 1 warning, no notes` of a result."""
    return _counts(Counter(f.severity for f in result.findings), SEVERITIES)


def _counts(count: Mapping[Severity, int], named: Iterable[Severity]) -> str:
    parts = [(count.get(s, 0), s.value) for s in named]
    return ", ".join(plural(n, word) if n else f"no {word}s" for n, word in parts)


@dataclass(slots=True)
class Tally:
    """How many findings a family or an area has, and of which rules."""

    title: str
    severities: Counter[Severity] = field(default_factory=Counter)
    rules: Counter[str] = field(default_factory=Counter)
    """In the order of the findings."""
    gauges: set[tuple[int, tuple[str, str]]] = field(default_factory=set)
    """Each with the number of its workbook."""

    def add(self, finding: Finding, book: int = 0) -> None:
        self.severities[finding.severity] += 1
        self.rules[finding.rule] += 1
        self.gauges |= {(book, gauge) for gauge in gauges_of([finding])}

    def text(self) -> str:
        """`3 errors, 1 note`."""
        return _counts(self.severities, [s for s in SEVERITIES if self.severities[s]])


def families(findings: Iterable[Finding]) -> list[Tally]:
    """The findings by family, in the order of the reports. `findings`: ordered."""
    found = {title: Tally(title) for title in (*TITLES.values(), OTHER)}
    for f in findings:
        found[_title(f.rule)].add(f)
    return [tally for tally in found.values() if tally.rules]


def areas(located: Iterable[tuple[str, int, Finding]]) -> list[Tally]:
    """(area, workbook, finding) by area in the order of their names; nothing where there is but one area."""
    found: dict[str, Tally] = {}
    for area, book, f in located:
        if area or f.tag:
            found.setdefault(area, Tally(area or "not stated")).add(f, book)
    known = sorted(found.items(), key=lambda item: (not item[0], _natural(item[0])))
    return [tally for _, tally in known] if len(found) > 1 else []


class Places:
    """Which gauge of its result a finding belongs to, and in which area of the plant that stands."""

    def __init__(self, result: AuditResult) -> None:
        self.rows: dict[tuple[str, int], int] = {}
        self.tags: dict[str, int] = {}
        for k, gauge in enumerate(result.gauges):
            self.rows.setdefault((str(gauge.get("sheet", "")), int(gauge.get("row") or 0)), k)
            if gauge.get("tag"):
                self.tags.setdefault(str(gauge["tag"]), k)
        self.gauges = result.gauges
        stated = any(gauge.get("area") for gauge in result.gauges)
        self.heading = "Area" if stated else "Tag begins with"
        self.area: Callable[[Finding], str] = self._stated if stated else self._numbered

    def gauge(self, finding: Finding) -> int | None:
        """Number of the finding's gauge in `AuditResult.gauges`."""
        cell = _CELL.fullmatch(finding.cell)
        row = self.rows.get((finding.sheet, int(cell[2]))) if cell else None
        return self.tags.get(finding.tag) if row is None else row

    def _stated(self, finding: Finding) -> str:
        number = self.gauge(finding)
        return "" if number is None else one_line(self.gauges[number].get("area") or "")

    def _numbered(self, finding: Finding) -> str:
        """The number at the tag's beginning, which names a part of many plants."""
        found = _NUMBERED.match(finding.tag)
        return found[1] if found else ""


# --- revisions and acceptances ----------------------------------------------------------------------


def revision(result: AuditResult) -> str:
    """`2 new, 5 still open, 1 mended` against the older revision; an empty text where there is none."""
    if not result.since:
        return ""
    count = Counter(f.status for f in result.findings)
    parts = [f"{count[key]:,} {name}" for key, name in STATUS.items()]
    return ", ".join([*parts, f"{len(result.mended):,} mended"])


def accepted(result: AuditResult) -> str:
    """`3 findings accepted, 1 acceptance expired, 1 fits no finding`; empty where nothing was accepted."""
    count = Counter(entry.state for entry in result.accepted)
    covered = sum(len(entry.findings) for entry in result.accepted if entry.state == "used")
    parts = [f"{plural(covered, 'finding')} accepted"] if result.accepted else []
    parts += [f"{plural(n, 'acceptance')} expired"] if (n := count["expired"]) else []
    parts += [f"{plural(n, 'acceptance')} of no finding"] if (n := count["unused"]) else []
    return ", ".join(parts)


def acceptances(result: AuditResult) -> list[Accepted]:
    """What needs a look first: expired, then unused, then those in use, each in the order of the file."""
    return sorted(result.accepted, key=lambda entry: ("expired", "unused", "used").index(entry.state))


def acceptance_state(entry: Accepted) -> str:
    """Until when it holds, or what is wrong with it."""
    if entry.state == "expired":
        again = f"{plural(len(entry.findings), 'finding')} again" if entry.findings else "fits no finding"
        return f"expired on {entry.until}: {again}"
    if entry.state == "unused":
        return "fits no finding: correct its tag or rule, or delete it"
    return f"until {entry.until}"


def acceptance_reason(entry: Accepted) -> str:
    """Who, when and why."""
    return f"{one_line(entry.who)}, {entry.when}: {one_line(entry.why)}"


# --- what was not checked ---------------------------------------------------------------------------

Gap = tuple[str, tuple[str, ...], list[str]]
"""Rule, missing data, and the tags of the gauges that lack them."""


def unchecked(result: AuditResult) -> list[Gap]:
    """What could not be checked: rules in the order of the reports, the widest gaps of each first."""
    groups: dict[tuple[str, tuple[str, ...]], dict[str, None]] = {}
    names: dict[str, str] = {}
    for block in blocks_of(result.not_checked):
        group = groups.setdefault((block.rule, block.lacking), {})
        for tag, sheet, row in block.gauges:
            name = tag or (f"{sheet} row {row}" if row else sheet)
            if result.doubled:
                name = result.doubled.get((tag, sheet, row), name)
            if name not in names:
                names[name] = one_line(name)
            group[names[name]] = None
    found = [(rule, missing, list(tags)) for (rule, missing), tags in groups.items()]
    run = {slug: k for k, slug in enumerate(rules())}
    return sorted(found, key=lambda g: (_rank(g[0]), run.get(g[0], len(run)), g[0], -len(g[2]), g[1]))


@dataclass(slots=True)
class Want:
    """Items of data that the same gauges lack, and the rules that wait for them."""

    items: list[str] = field(default_factory=list)
    tags: dict[str, None] = field(default_factory=dict)
    rules: dict[str, None] = field(default_factory=dict)


def wanted(groups: Iterable[Gap]) -> list[Want]:
    """The missing items, the most urgent first: many gauges, many rules."""
    by_item: dict[str, Want] = {}
    for rule, missing, tags in groups:
        for item in map(one_line, missing):
            want = by_item.setdefault(item, Want([item]))
            want.tags |= dict.fromkeys(tags)
            want.rules[rule] = None
    every = {tag for missing in by_item.values() for tag in missing.tags}
    rank = {tag: number for number, tag in enumerate(sorted(every, key=_natural))}
    merged: dict[frozenset[str], Want] = {}
    for want in sorted(by_item.values(), key=lambda w: (-len(w.rules), w.items)):
        these = frozenset(want.tags)
        if these not in merged:
            merged[these] = Want(tags=dict.fromkeys(sorted(these, key=rank.__getitem__)))
        same = merged[these]
        same.items += want.items
        same.rules |= want.rules
    return sorted(merged.values(), key=lambda w: (-len(w.tags) * len(w.rules), w.items))


def undecided(groups: Sequence[Gap]) -> list[tuple[str, int]]:
    """Rule, and for how many gauges it could not be decided. `groups`: as `unchecked` gives them."""
    return [
        (rule, len({tag for _, _, tags in rows for tag in tags}))
        for rule, rows in groupby(groups, key=lambda g: g[0])
    ]


# --- how the sheets were read -----------------------------------------------------------------------


def reading(result: AuditResult, most: int = 6) -> list[str]:
    """One line for each list on how it was read; of more than `most`, the rest together."""
    lists = result.reading.lists
    shown = lists[:most] if len(lists) > most + 1 else lists
    lines = [one_line(one.line) for one in shown]
    if rest := lists[len(shown) :]:
        used, every = sum(one.used for one in rest), sum(one.filled for one in rest)
        count = plural(sum(one.records for one in rest), "row")
        lines.append(f"and {len(rest)} more lists: {count}, {used} of {every} columns used")
    return [*lines, *rows(result)]


def rows(result: AuditResult) -> list[str]:
    """In one line what became of the rows of all sheets; those not understood with their numbers."""
    kinds = dict.fromkeys(what for one in result.rows for what in one.rows)
    counts = {what: sum(one.count(what) for one in result.rows) for what in kinds}
    if not counts:
        return []
    lost = counts.pop(UNKNOWN, 0)
    told = ", ".join(f"{count:,} {what}" for what, count in counts.items())
    if not lost:
        return [f"All rows: {told}"]
    places = "; ".join(
        f"{one_line(one.sheet)} {', '.join(one.places(UNKNOWN)[:_PLACES])}"
        for one in result.rows
        if one.count(UNKNOWN)
    )
    return [f"All rows: {told or 'none audited'}; {lost:,} {UNKNOWN}: {places}"]


_PLACES: Final = 8
"""Runs of rows of a sheet that a line names."""


def in_doubt(result: AuditResult) -> list[Waiting]:
    """The columns in doubt, or of open unit, that rules wait for: those first for which most waits."""
    return [one for one in result.reading.open if one.rules and one.column.what != "unread"]


def not_understood(result: AuditResult) -> list[Waiting]:
    """The columns that were not understood and may hold what rules wait for."""
    return [one for one in result.reading.open if one.rules and one.column.what == "unread"]


def waits(one: Waiting) -> str:
    """`2 rules for 71 gauges wait`."""
    verb = "waits" if len(one.rules) == 1 else "wait"
    return f"{plural(len(one.rules), 'rule')} for {plural(one.gauges, 'gauge')} {verb}"


def column(one: Waiting) -> str:
    """Where an open column stands: its heading's cell, or the column."""
    return reference(one.column.sheet, one.column.cell or one.column.column)


def doubts(result: AuditResult) -> list[dict[str, Any]]:
    """What else the reader would not guess; what is said of answers stands for itself."""
    told = {(one.column.sheet, one.column.cell) for one in in_doubt(result)}
    return [
        doubt
        for doubt in result.doubts
        if (kind := doubt.get("kind")) != "answer"
        and (kind not in ("heading", "unit") or (doubt.get("sheet"), doubt.get("cell")) not in told)
    ]


def unclear_answers(result: AuditResult) -> list[str]:
    """What is not clear in the answers that came back, each with its cell."""
    return [str(doubt["text"]) for doubt in result.doubts if doubt.get("kind") == "answer"]


# --- columns that were not read ---------------------------------------------------------------------


def unread(result: AuditResult) -> list[tuple[str, str]]:
    """(sheet, text) of the columns with data that were taken for nothing; last those of no use."""
    open_: dict[str, list[str]] = {}
    useless: dict[str, list[str]] = {}
    for column in result.unread_columns:
        near = (
            f" (nearest: {label(column['nearest'])})" if column["nearest"] and not column["known_as"] else ""
        )
        text = f"{column['column']} '{one_line(column['heading'])}'{near}"
        (useless if column["known_as"] else open_).setdefault(column["sheet"], []).append(text)
    out = [(sheet, ", ".join(texts)) for sheet, texts in open_.items()]
    return out + [(sheet, f"of no use to the audit: {', '.join(texts)}") for sheet, texts in useless.items()]


# --- settings ---------------------------------------------------------------------------------------


def settings(result: AuditResult) -> list[tuple[str, str, str]]:
    """The settings used: name, value, and what it means with its default where that is another."""
    from xlfuncs.audit.settings import describe

    known = {name: (_value(default), meaning) for name, default, meaning, _ in describe()}
    lines = []
    for name, value in _flat(result.settings):
        default, meaning = known.get(name, (value, ""))
        lines.append(
            (name, value, meaning if default == value else f"{meaning} (default {default})".lstrip())
        )
    return lines


def _flat(settings: Mapping[str, Any], prefix: str = "") -> Iterable[tuple[str, str]]:
    for name, value in settings.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", _value(value)


def _value(value: object) -> str:
    if isinstance(value, list | tuple | set | frozenset):
        return ", ".join(number(v) for v in value) or "none"
    return str(value).lower() if isinstance(value, bool) else number(value)


def label(field: str) -> str:
    """How a person calls a field of the vocabulary."""
    from xlfuncs.data import load

    return str(load("fields").get(field, {}).get("label", field.replace("_", " ")))
