"""Runs the rules over a workbook and gathers what they found and what they could not decide."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Executor, as_completed
from functools import partial, reduce
from math import isnan
from operator import or_
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from xlfuncs import __version__
from xlfuncs.audit.acceptance import apply
from xlfuncs.audit.answers import accepted_in
from xlfuncs.audit.aside import passed_over
from xlfuncs.audit.calculation import Later
from xlfuncs.audit.cases import name_cases
from xlfuncs.audit.evidence import evidence_of
from xlfuncs.audit.gauges import UNREAD_WORDS, Gauges, Mask, label, stated_in
from xlfuncs.audit.model import (
    Accepted,
    AuditResult,
    Finding,
    Picked,
    Place,
    Reading,
    RuleNotRun,
    Unchecked,
    UncheckedBlock,
)
from xlfuncs.audit.own_rules import outcomes
from xlfuncs.audit.profiles import profiles
from xlfuncs.audit.registry import Hit, Rule, Undecided, Unread, calculation_of, check_names, remedy_of, rules
from xlfuncs.audit.revisions import compare
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.waiting import bases, fields_of, named, waiting
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists import reading
from xlfuncs.lists.instructions import Mapped, mapped_pairs
from xlfuncs.lists.model import Book, Doubt
from xlfuncs.lists.reader import read_book
from xlfuncs.spreadsheet.compiled import Meanwhile
from xlfuncs.spreadsheet.grid import Grid


def audit_book(
    path: Path,
    settings: Settings | None = None,
    *,
    mapping: Mapped | None = None,
    columns: Mapped | None = None,
    correction: Path | None = None,
    floats: Path | None = None,
    others: Sequence[Path] = (),
    acceptances: Iterable[Accepted] = (),
    since: Path | None = None,
    answers: Path | None = None,
    progress: Callable[[str, float], None] | None = None,
    sheets: Sequence[Grid] | None = None,
    float_sheets: Sequence[Grid] | None = None,
) -> AuditResult:
    """Audit one workbook. `mapping`: field -> heading; `columns`: the same of a settings file; `correction`:
    a READING.toml, or a workbook with a corrected sheet 'Reading'; `floats`: a second workbook with the float
    list; `others`: more workbooks that speak of the same gauges; `acceptances`: findings that somebody
    has accepted; `since`: an older revision to compare with; `answers`: a workbook of questions that came
    back; `progress`: told what is being done, and which
    share of the work is behind it; `sheets`, `float_sheets`: what stands in the workbooks, where they are no
    files.

    XlfuncsError where it cannot be audited. The file is only read.
    """
    used = settings or Settings()
    tell = progress or (lambda what, share: None)
    told = None
    if answers is not None:
        from xlfuncs.audit.questions import answered, note, read_answers

        told = read_answers(answers, Path(path).name)
    if told is not None and (columns_said := told.columns()):
        mapping = [*columns_said, *(() if mapping is None else mapped_pairs(mapping))]
    said: dict[str, Any] = {
        "mapping": mapping,
        "columns": columns,
        "correction": correction,
        "floats": floats,
        "others": others,
    }
    tell("reading", 0.0)
    loading = Meanwhile(_load)
    book = read_book(path, **said, meanwhile=loading, sheets=sheets, float_sheets=float_sheets)
    book = book if told is None else answered(book, told)
    result = audit(book, used, lambda what, share: tell(what, READING + (1 - READING) * share))
    if since is not None:
        older = read_book(since, **said, strict=False)
        compare(result, audit(older, used))
    if told is not None:
        note(result, told)
    kept = accepted_in(path, book.own) if sheets is None else []
    if since is not None:
        known = {(one.tag, one.rule, one.service, one.cell) for one in kept}
        carried = accepted_in(since, older.own)
        kept += [one for one in carried if (one.tag, one.rule, one.service, one.cell) not in known]
    apply(result, [*acceptances, *kept])
    return result


READING = 0.7
"""Share of the time that goes into reading (common practice, no source: measured on long lists)."""


def _load() -> None:
    """Make ready what every audit needs: rules, headings, units."""
    from xlfuncs.units import converter
    from xlfuncs.vocabulary.words import lexicon

    rules()
    lexicon()
    converter("kg/m3", "density")


def audit_many(
    paths: Iterable[Path], executor: Executor, settings: Settings | None = None, **options: Any
) -> Iterator[tuple[Path, AuditResult | XlfuncsError]]:
    """Audit many workbooks on any `concurrent.futures` executor; each result as it is ready.

    One that cannot be audited gives its error and stops none of the others.
    """
    waiting = {executor.submit(audit_book, path, settings, **options): path for path in paths}
    for future in as_completed(waiting):
        yield waiting[future], outcome(waiting[future], future.result)


def outcome(path: Path, work: Callable[[], AuditResult]) -> AuditResult | XlfuncsError:
    """What an audit gave, or why it gave nothing: one workbook must not stop the others."""
    try:
        return work()
    except XlfuncsError as why:
        return why
    except Exception as why:
        stopped = XlfuncsError(
            f"{path}: the process that audited it ended; it may need more memory than there is"
            if isinstance(why, BrokenExecutor)
            else f"{path}: the audit stopped: {type(why).__name__}: {why}"
        )
        stopped.__cause__ = why
        return stopped


def audit(
    book: Book, settings: Settings, progress: Callable[[str, float], None] | None = None
) -> AuditResult:
    """Run every rule over a workbook that has been read."""
    check_names(settings.ignore, "settings")
    gauges = Gauges(book, settings)
    doubts: list[Doubt] = []
    hits: list[tuple[Rule, Hit]] = []
    gaps: dict[str, list[Undecided]] = {}
    unread: list[UncheckedBlock] = []
    not_run: list[RuleNotRun] = []
    in_turn = [item for item in rules().values() if not item.last]
    for number, item in enumerate(sorted(in_turn, key=lambda item: item.late)):
        if progress is not None:
            progress(item.slug, number / len(rules()))
        ignored = item.slug in settings.ignore
        if ignored and not item.spoils:
            continue
        found = outcomes(item, gauges, settings)
        if isinstance(found, RuleNotRun):
            not_run.append(found)
            continue
        fired = [hit for hit in found if isinstance(hit, Hit)]
        if item.spoils:  # what cannot be is not used, whether or not it is reported
            doubts += gauges.doubts
            gauges = gauges.without((hit.sheet, hit.cell) for hit in fired)
        if not ignored:
            hits += [(item, hit) for hit in fired]
            gaps[item.slug] = [gap for gap in found if isinstance(gap, Undecided)]
            unread += [_unread_cell(item, cell) for cell in found if isinstance(cell, Unread)]
    order = {slug: number for number, slug in enumerate(rules())}
    records = _fired(hits)
    unchecked = [
        block
        for slug, open_ in sorted(gaps.items(), key=lambda gap: order[gap[0]])
        for block in _undecided(rules()[slug], gauges, open_, records)
    ]
    told = unread + unchecked
    asked = [item for item in in_turn if item.slug not in settings.ignore]
    told += passed_over(gauges, book.read, asked, records, told)
    not_checked = Unchecked(told)
    open_columns = reading.open_columns(book.read)
    gauges.waiting = waiting(open_columns, not_checked, Counter(gauges.sheet.tolist()))
    for item in rules().values():
        if item.last and item.slug not in settings.ignore:
            found = outcomes(item, gauges, settings)
            if isinstance(found, RuleNotRun):
                not_run.append(found)
            else:
                hits += [(item, hit) for hit in found if isinstance(hit, Hit)]
    doubts += gauges.doubts
    hits = name_cases(hits, gauges)
    hits.sort(key=lambda hit: order[hit[0].slug])
    causes = list(_root_causes(hits))
    findings = [_finding(item, hit, also, gauges, settings) for item, hit, also in causes]
    return AuditResult(
        workbook=book.path.name,
        sha256=book.sha256,
        rows_audited=int(gauges.first_cases.sum()),
        columns=_columns(book),
        settings=settings.to_dict(),
        findings=findings,
        not_checked=named(open_columns, not_checked),
        doubts=[
            {"kind": d.kind, "sheet": d.sheet, "cell": d.cell, "text": d.text}
            for d in (*(Doubt("rule", "", "", str(one)) for one in not_run), *book.doubts, *doubts)
        ],
        skipped=dict(book.skipped),
        units=_units(book),
        unread_columns=_unread(book),
        gauges=profiles(gauges, settings, (hit.record for _, hit, _ in causes if hit.record >= 0)),
        version=__version__,
        reading=Reading(book.read, tuple(gauges.waiting)),
        rows=book.rows,
        own_sheets=book.own,
        rules_not_run=not_run,
        doubled=_doubled(gauges),
    )


def _doubled(gauges: Gauges) -> dict[Place, str]:
    """The gauges whose tag another one before them has, with a name that tells them apart."""
    codes, tags = gauges.coded("tag")
    first: dict[str, tuple[str, str, str]] = {}
    out: dict[Place, str] = {}
    for record in np.flatnonzero(np.bincount(codes)[codes] > 1).tolist():
        tag, whose = tags[codes[record]], gauges.whose(record)
        if tag and first.setdefault(tag, whose) != whose:
            sheet, row = str(gauges.sheet[record]), int(gauges.row[record])
            out[tag, sheet, row] = f"{tag} ({sheet} row {row})"
    return out


def _columns(book: Book) -> dict[str, dict[str, str]]:
    """Sheet -> field -> column letter, as recognised."""
    out: dict[str, dict[str, str]] = {}
    for table in (*book.gauges, *book.floats):
        for found in table.recognised:
            out.setdefault(found.sheet, {})[found.field] = found.column
    return out


def _unread(book: Book) -> list[dict[str, Any]]:
    """Headings with data that were taken for nothing."""
    return [
        {
            "sheet": found.sheet,
            "column": found.column,
            "cell": found.heading_cell,
            "heading": found.heading,
            "nearest": found.runner_up if found.runner_up in load("fields") else "",
            "known_as": found.known_as,
        }
        for found in book.unread
    ]


def _units(book: Book) -> dict[str, dict[str, str]]:
    """Sheet -> field -> unit of its column."""
    out: dict[str, dict[str, str]] = {}
    for table in (*book.gauges, *book.floats):
        for found in table.recognised:
            if found.unit:
                out.setdefault(found.sheet, {})[found.field] = found.unit
    return out


def _fired(hits: list[tuple[Rule, Hit]]) -> dict[str, list[int]]:
    """Rule -> the gauges for which it has fired."""
    out: dict[str, list[int]] = {}
    for item, hit in hits:
        if hit.record >= 0:
            out.setdefault(item.slug, []).append(hit.record)
    return out


def _gauges_of(records: Iterable[int], n: int) -> Mask:
    out = np.zeros(n, dtype=np.bool_)
    out[[*records]] = True
    return out


def _settled(item: Rule, fired: Mapping[str, list[int]], n: int) -> Mask:
    """Gauges for which the rule, or one that covers it, has fired."""
    slugs = [slug for slug in fired if slug == item.slug or item.slug in rules()[slug].covers]
    return _gauges_of((record for slug in slugs for record in fired[slug]), n)


def _undecided(
    item: Rule, gauges: Gauges, gaps: list[Undecided], records: Mapping[str, list[int]]
) -> Iterator[UncheckedBlock]:
    """The gauges for which a rule lacks data, by what they lack; none for which it could tell without."""
    if not gauges.n:
        return
    fired, settled = _gauges_of(records.get(item.slug, ()), gauges.n), _settled(item, records, gauges.n)
    groups = item.needed
    lacks = [~reduce(or_, map(gauges.given, group)) for group in groups]
    groups += [(name,) for name in item.assumes]
    lacks += [gauges.unusable(name) for name in item.assumes]
    lacking = np.zeros(gauges.n, dtype=np.int64)
    for bit, lack in enumerate(lacks):
        if lack.any():
            lacking[lack] |= 1 << bit
    lacking[fired if item.when is None else fired | ~item.when(gauges)] = 0

    def block(missing: dict[str, frozenset[str]], where: Mask) -> UncheckedBlock:
        tags, numbers = gauges.texts("tag"), _once_each(gauges, np.flatnonzero(where))
        places = Picked(tags, gauges.sheet, gauges.row, numbers)
        return UncheckedBlock(item.slug, tuple(missing), places, fields=tuple(missing.values()))

    told = settled | (lacking > 0)
    for bit, group in enumerate(groups):
        if group[0] in UNREAD_WORDS and len(group) == 1:
            yield from _unread_words(
                item, gauges, lacking >> bit & 1 == 1, label(group[0]), stated_in(group[0])
            )
            lacking &= ~(1 << bit)
    for pattern in sorted(set(lacking[lacking > 0].tolist())):
        missing: dict[str, frozenset[str]] = {}
        for bit, group in enumerate(groups):
            if pattern >> bit & 1:
                text = " or ".join(dict.fromkeys(label(name) for name in group))
                missing[text] = missing.get(text, frozenset()).union(*map(bases, group))
        yield block(missing, lacking == pattern)
    for gap in gaps:
        where = gap.where & ~told
        if where.any():
            if gap.field:
                yield from _unread_words(item, gauges, where, gap.missing, gap.field, gap.why)
            else:
                yield block({gap.missing: fields_of(gap.missing)}, where)
            told = told | where


_EACH = 200
"""Gauges up to which a text that was not understood is named with each cell (common practice, no source)."""


def _unread_words(
    item: Rule, gauges: Gauges, where: Mask, missing: str, field: str, why: str = ""
) -> Iterator[UncheckedBlock]:
    """Gauges for which a cell was not understood, each with the cell and its text."""
    tags = gauges.texts("tag")
    blank = where & ~gauges.given(field)
    if blank.any():
        places = Picked(tags, gauges.sheet, gauges.row, _once_each(gauges, np.flatnonzero(blank)))
        yield UncheckedBlock(item.slug, (missing,), places, fields=(bases(field),))
    for text, here in gauges.by_text(field, where & ~blank):
        told = why or f"'{text}' is none that is known"
        numbers = _once_each(gauges, np.flatnonzero(here))
        if len(numbers) > _EACH:
            places = Picked(tags, gauges.sheet, gauges.row, numbers)
            yield UncheckedBlock(item.slug, (f"{missing} ({told})",), places, fields=(bases(field),))
            continue
        for record in numbers.tolist():
            place = (gauges.tag(record), str(gauges.sheet[record]), int(gauges.row[record]))
            sheet, cell = gauges.place(record, field)
            there = cell if sheet == place[1] else f"{sheet}!{cell}"
            yield UncheckedBlock(item.slug, (missing,), [place], there, told)


def _once_each(gauges: Gauges, numbers: NDArray[np.intp]) -> NDArray[np.intp]:
    """Records without further cases of the same gauge."""
    if not any(gauges.cases):
        return numbers
    seen: dict[tuple[str, str, str], int] = {}
    for record in numbers.tolist():
        seen.setdefault(gauges.whose(record), record)
    kept = {record for record in numbers.tolist() if not gauges.cases[record]} | set(seen.values())
    return np.array(sorted(kept), dtype=np.intp)


def _unread_cell(item: Rule, cell: Unread) -> UncheckedBlock:
    place = (cell.tag, cell.sheet, cell.row)
    return UncheckedBlock(item.slug, (label(cell.field),), [place], cell.cell, cell.why)


def _root_causes(hits: list[tuple[Rule, Hit]]) -> Iterator[tuple[Rule, Hit, tuple[str, ...]]]:
    """Hits without those that only repeat another's cause; the latter are named with it."""
    fired: dict[int, dict[str, Rule]] = {}
    for item, hit in hits:
        if hit.record >= 0:
            fired.setdefault(hit.record, {})[item.slug] = item
    for item, hit in hits:
        others = fired.get(hit.record, {})
        if any(item.slug in other.covers for other in others.values()):
            continue
        yield item, hit, tuple(slug for slug in item.covers if slug in others)


def _finding(item: Rule, hit: Hit, also: tuple[str, ...], gauges: Gauges, settings: Settings) -> Finding:
    what = item, gauges, settings, hit
    return Finding(
        rule=item.slug,
        severity=item.severity,
        sheet=hit.sheet,
        cell=hit.cell,
        tag=hit.tag,
        message=hit.message,
        mend=hit.mend or item.page["mend"],
        found=hit.found,
        expected=hit.expected,
        evidence={
            name: round(value, 6) + 0.0 if isinstance(value, float) else value
            for name, value in hit.evidence.items()
            if not (isinstance(value, float) and isnan(value))  # what the sheet does not state
        },
        proof=evidence_of(gauges, hit),
        gauge=None if hit.record < 0 else gauges.whose(hit.record)[:2],
        also=also,
        work=None if item.calculate is None else Later(partial(calculation_of, *what)),
        cure=None if item.remedy is None else Later(partial(remedy_of, *what)),
    )
