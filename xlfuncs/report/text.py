"""The report for a terminal: as wide as the terminal, 80 columns and without colour when piped."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import TextIO

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.table import Table
from rich.text import Text

from xlfuncs.audit.model import AuditResult, Finding, Severity, gauges_of
from xlfuncs.lists.reading import OpenColumn
from xlfuncs.report import _consequence as consequence
from xlfuncs.report import _proof as proof
from xlfuncs.report import _summary as summary
from xlfuncs.report import _words as words
from xlfuncs.report._fold import RULES as FOLDED
from xlfuncs.report._gaps import in_a_line as gaps_in_a_line
from xlfuncs.report._gaps import lines as folded_gaps
from xlfuncs.report.cautions import cautions

STYLES = {Severity.ERROR: "bold red", Severity.WARNING: "bold yellow", Severity.NOTE: "bold cyan"}

# Notes of one rule beyond this many are listed by their cells alone; of those on how cells are written only
# the first is told where the report is folded.
_NOTES_IN_FULL = 5
_MENDED_IN_FULL = 3
_CELLS = 12
_TAGS = 6
_DOUBTS = 40
_OPEN = 12
_ANSWERS = 5
"""Unclear answers that a folded report shows."""
_DIGITS = 16
_UNREAD = 4
_OPEN_FOLDED = 2
_DOUBTED = "reading-doubtful"

_NEARLY_CLEAN = 3
"""Rules that found anything in a book that is nearly clean."""
_SCREEN = 24
"""Lines of a terminal, where nothing is known of it."""
_TIGHTEST = 3
_BELOW = 2
"""Lines below the report: where the annotated copy is, and the prompt."""

# Lines of prose wider than this are hard to read, however wide the terminal.
_PROSE = 110


def write(results: Sequence[AuditResult], stream: TextIO, full: bool = True) -> None:
    """Print the results one after the other. `full`: with all that stands behind the findings, not folded."""
    console = terminal(stream)
    for number, result in enumerate(results):
        if number:
            console.print()
        for part in _report(result, full, 0 if full else _fold(console, result)):
            console.print(part)
    if len(results) > 1:
        write_totals(results, stream)


def _fold(console: Console, result: AuditResult) -> int:
    """How far a clean or nearly clean book is folded to fit the screen; 0 where it never does."""
    if len({(f.severity, f.rule) for f in result.findings}) > _NEARLY_CLEAN:
        return 0
    height = console.size.height if console.is_terminal else _SCREEN
    for fold in range(_TIGHTEST + 1):
        with console.capture() as shown:
            for part in _report(result, False, fold):
                console.print(part)
        if shown.get().count("\n") <= height - _BELOW:
            return fold
    return 0


def write_totals(results: Sequence[AuditResult], stream: TextIO) -> None:
    """Print a line of counts for each result."""
    console = terminal(stream)
    console.print()
    console.print(_books(results))


def terminal(stream: TextIO) -> Console:
    terminal = bool(getattr(stream, "isatty", lambda: False)())
    width = os.environ.get("COLUMNS", "")
    if width.isdigit() and int(width) > 0:
        columns: int | None = max(int(width), 20)
    else:
        columns = None if terminal else 80
    if hasattr(stream, "reconfigure") and (stream.encoding or "").lower().replace("-", "") != "utf8":
        stream.reconfigure(errors="replace")  # an old code page must not stop the report
    return Console(
        file=stream, width=columns, highlight=False, markup=False, emoji=False, legacy_windows=None
    )


def _report(result: AuditResult, full: bool, fold: int = 0) -> Iterable[RenderableType]:
    """`fold`: how short the folded one is; errors stand in full.

    1 says what is the same of many cells once, 2 the first of each rule, 3 no more than a few lines of each.
    """
    found = summary.ordered(result)
    yield Item(Text(words.one_line(result.workbook), style="bold"), 0)
    yield from (Item(line, 0) for line in summary.reading(result))
    yield from _overview(result, found, full)
    yield from _answers(result, full)
    yield from _open(result, full, _OPEN_FOLDED if fold < 2 else 1)
    told = found if full else [f for f in found if f.rule != _DOUBTED]  # these stand above, as open columns
    groups = list(consequence.grouped(told))
    for meaning, group in groups:
        if full or not (_of_sheet(found) or (fold and len(groups) == 1)):  # the line of counts says it
            yield from banner(f"{consequence.TITLES[meaning]} ({len(group):,})")
        yield from _group(group, full, fold)
    yield from _accepted(result)
    yield from _mended(result)
    yield from _behind(result) if full else _folded(result, fold)
    if full:
        yield Text()
    if fold == _TIGHTEST:
        return
    digest = result.sha256 if full else f"{result.sha256[:_DIGITS]}..."
    yield Item(Text(f"xlfuncs {result.version}; sha256 of the workbook {digest}", style="dim"), 0)
    yield Item(f"{words.one_line(result.workbook)}: {summary.headline(result)}", 0)


def _of_sheet(found: Sequence[Finding]) -> bool:
    """Whether nothing was found but what concerns the sheet itself."""
    return all(consequence.of(f) is consequence.Consequence.SHEET for f in found)


def _group(group: Sequence[Finding], full: bool, fold: int) -> Iterable[RenderableType]:
    """The findings of one consequence: gauge by gauge where that is shorter, else rule by rule."""
    gauges = consequence.by_gauge(group) and not fold
    blocks: dict[tuple[Severity | None, str, tuple[str, str] | None], list[Finding]] = {}
    for f in group:
        blocks.setdefault((None, f.tag, f.gauge) if gauges else (f.severity, f.rule, None), []).append(f)
    for (severity, name, _), found in blocks.items():
        yield Text()
        if fold and severity in (Severity.WARNING, Severity.NOTE) and len(found) > 1:
            yield from _same(severity, name, found, fold)
        elif severity is None:
            yield Text(words.one_line(name) or "no tag", style="bold")
            for f in found:
                yield from _finding(f, with_mend=True, head=_ruled(f))
        else:
            yield from _rule(severity, name, found, _NOTES_IN_FULL if full or name not in FOLDED else 1)


def _ruled(finding: Finding) -> Text:
    """The head of a finding below its gauge."""
    level = finding.severity
    where = (words.place(finding), "cyan")
    return Text.assemble((level.value.upper(), STYLES[level]), "  ", (finding.rule, "bold"), "  ", where)


def _folded(result: AuditResult, fold: int) -> Iterable[RenderableType]:
    """What stands behind the findings, in a few lines, and how to see all of it."""
    yield Text()
    told = []
    if fold == _TIGHTEST:
        told.append(gaps_in_a_line(result))
    elif gaps := folded_gaps(result, with_tags=not fold):
        yield Text("Not checked, for want of data", style="bold")
        yield from (Item(line) for line in gaps)
    doubts, unread = len(summary.doubts(result)), len(result.unread_columns)
    changed = [f"{n} = {v}" for n, v, meaning in summary.settings(result) if "(default " in meaning]
    told += [
        words.plural(doubts, "doubt of the reader").replace("readers", "reader") if doubts else "",
        f"{words.plural(unread, 'column')} not read" if unread else "",
        f"settings that are not the defaults: {'; '.join(changed)}" if changed else "",
    ]
    if any(told):
        yield Item(words.sentence("; ".join(filter(None, told))), 0)
    yield Item(_ALL, 0)


_ALL = (
    "All of it: --all, or --format html. Questions to send: --format request. "
    "A check of data, no approval: the maker, local codes and a licensed engineer decide."
)


def _behind(result: AuditResult) -> Iterable[RenderableType]:
    """All that stands behind the findings."""
    yield from _not_checked(result)
    yield from _doubts(result)
    yield from _unread(result)
    if result.skipped:
        yield from banner("Rows not audited")
        for why, count in sorted(result.skipped.items(), key=lambda item: -item[1]):
            yield Item(f"{words.plural(count, 'row')}: {words.one_line(why)}")
    yield from banner("Settings used")
    settings = summary.settings(result)
    for name, value, meaning in settings:
        if "(default " in meaning:
            yield Item(f"{name} = {value}: {meaning}")
    yield Item("; ".join(f"{n} = {v}" for n, v, meaning in settings if "(default " not in meaning) or "none")
    yield from banner("Cautions")
    yield from (Item(f"{c.title}: {c.text}") for c in cautions(summary.standing(result)))


def _answers(result: AuditResult, full: bool) -> Iterable[RenderableType]:
    """What is not clear in the answers that came back."""
    unclear = summary.unclear_answers(result)
    shown = unclear if full else unclear[:_ANSWERS]
    if unclear:
        yield from banner(f"Answers to look at again ({len(unclear):,})")
    yield from (Item(words.one_line(one)) for one in shown)
    if left := len(unclear) - len(shown):
        yield Item(f"and {left} more: --all")


def _open(result: AuditResult, full: bool, most: int) -> Iterable[RenderableType]:
    """The columns that a person has to say something of, each with the options that settle it.

    Folded: those first for which most waits, without the names of the rules.
    """
    waiting, unread = summary.in_doubt(result), summary.not_understood(result)
    if not (waiting or unread):
        return
    yield from banner("Say first what these columns are: rules wait for them")
    shown = [*waiting[:_OPEN], *unread[:_UNREAD]][: None if full else most]
    for one in shown:
        yield from open_column(one.column, summary.waits(one) + f": {', '.join(one.rules)}" * full)
    if left := len(waiting) + len(unread) - len(shown):
        yield Item(f"and {left} more: 'xlfuncs columns BOOK -o READING.toml' writes them all")


def open_column(column: OpenColumn, waits: str = "") -> Iterable[RenderableType]:
    """What is open of a column, what waits for it, and the options, each in a line of its own."""
    where = words.reference(column.sheet, column.cell or column.column)
    yield Item(Text.assemble((where, "cyan"), f"  {words.one_line(column.text)}"))
    if waits:
        yield Item(Text(waits, style="dim"), 4)
    for number, option in enumerate(column.options):
        yield _Whole(f"{'or ' if number else '   '}{option}", 4)


def _overview(result: AuditResult, found: Sequence[Finding], full: bool) -> Iterable[RenderableType]:
    """The counts: all, by what they mean, against the older revision; in full by family and by area."""
    gauges = len(gauges_of(found))
    hit = f", {words.plural(gauges, 'gauge')} with findings" if gauges else ""
    yield Item(f"{words.plural(result.rows_audited, 'row')} audited{hit}: {summary.headline(result)}", 0)
    if result.since:
        yield Item(f"Since {words.one_line(result.since)}: {summary.revision(result)}", 0)
    if result.accepted:
        yield Item(f"Acceptances: {summary.accepted(result)}", 0)
    if (full or not _of_sheet(found)) and (told := consequence.headline(found)):
        yield Item(Text(words.sentence(told), style="bold"), 0)
    if not found or not full:
        return
    yield Text()
    for family in summary.families(found):
        yield Item(Text.assemble((family.title, "bold"), f": {family.text()}"))
        names = (f"{rule} ({count:,})" if count > 1 else rule for rule, count in family.rules.items())
        yield Item(Text(", ".join(names), style="dim"), 4)
    places = summary.Places(result)
    areas = summary.areas((places.area(f), 0, f) for f in found)
    if areas:
        yield Text()
    for area in areas:
        count = words.plural(len(area.gauges), "gauge")
        yield Item(f"{places.heading} {area.title}: {area.text()} at {count}")


def banner(text: str) -> Iterable[Text]:
    yield Text()
    yield Text(text, style="bold")


class Item:
    """A paragraph, set in, with its further lines hanging below the text and no blanks at their ends."""

    def __init__(
        self, text: str | Text, indent: int = 2, lead: str = "", style: str = "green", widest: int = _PROSE
    ) -> None:
        self.text = text if isinstance(text, Text) else Text(text)
        self.indent = indent
        self.lead = lead
        self.style = style
        self.widest = widest

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        left = self.indent + len(self.lead)
        width = max(min(options.max_width, self.widest) - left, 12)
        for number, line in enumerate(self.text.wrap(console, width, overflow="fold")):
            line.rstrip()
            lead = Text(self.lead, style=self.style) if number == 0 else Text(" " * len(self.lead))
            yield Text.assemble(" " * self.indent, lead, line)


class _Whole:
    """A line that is to be copied: never broken."""

    def __init__(self, text: str, indent: int) -> None:
        self.text = text
        self.indent = indent

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        yield Text(" " * self.indent + words.clean(self.text), no_wrap=True, overflow="ignore")


def _rule(severity: Severity, rule: str, found: list[Finding], in_full: int) -> Iterable[RenderableType]:
    """The findings of one rule; of more notes than `in_full` the first with the cells of the others."""
    head = Text.assemble((severity.value.upper(), STYLES[severity]), "  ", (rule, "bold"))
    new = sum(f.status == "new" for f in found)
    if len(found) > 1:
        head.append(f"  ({len(found):,}{f', {new:,} new' if new else ''})")
    if len(found) == 1:
        yield from _finding(found[0], with_mend=True, head=_named(head, found[0]))
        return
    yield head
    mends = {_mend_of(f) for f in found}
    if (
        severity is Severity.NOTE
        and len(found) > in_full
        and len({f.message for f in found}) > 1 == len(mends)
    ):
        yield from _finding(found[0], with_mend=False)
        yield Item(
            f"and {words.plural(len(found) - 1, 'more cell')}: "
            + words.listed(words.cells(found[1:]), _CELLS)
        )
    else:
        for finding in found:
            yield from _finding(finding, with_mend=len(mends) > 1)
    if len(mends) == 1:
        yield _mend(mends.pop(), 2)


def _same(severity: Severity, rule: str, found: list[Finding], fold: int) -> Iterable[RenderableType]:
    """The findings of one rule: what they say, and the cells of which it is said."""
    head = Text.assemble((severity.value.upper(), STYLES[severity]), "  ", (rule, "bold"))
    head.append(f"  ({len(found):,})")
    one_mend = len({f.mend for f in found}) == 1
    first, *others = found
    if fold == _TIGHTEST:
        yield Item(head.append(f"  {words.listed(words.cells(found), _CELLS)}", "cyan"), 0)
        yield Item(f"{words.one_line(first.tag) or first.cell}: {words.sentence(first.message)}")
    elif fold == 2:
        yield head
        yield from _finding(first, with_mend=not one_mend)
        yield Item(f"and {len(others):,} more: {words.listed(words.cells(others), _CELLS)}")
    else:
        yield head
        yield from _once_each(found, with_mend=not one_mend)
    if one_mend and first.mend:
        yield _mend(_mend_of(first), 2)


def _once_each(found: list[Finding], with_mend: bool) -> Iterable[RenderableType]:
    """What is said of several cells in the same words, said once."""
    said: dict[tuple[str, str], list[Finding]] = {}
    for f in found:
        said.setdefault((f.message, f.mend), []).append(f)
    for same in said.values():
        if len(same) == 1:
            yield from _finding(same[0], with_mend)
            continue
        places = words.listed(words.cells(same), _CELLS)
        yield Item(Text.assemble((places, "cyan"), f": {words.sentence(same[0].message)}"))
        if with_mend:
            yield _mend(_mend_of(same[0]), 4)


def _named(head: Text, finding: Finding) -> Text:
    """The head of a rule's only finding: rule, tag and cell in one line."""
    return Text.assemble(head, "  ", _where(finding))


def _mend(text: str, indent: int) -> RenderableType:
    return Item(words.sentence(text), indent, "Mend: ")


def _mend_of(finding: Finding) -> str:
    """An option that is to be copied stands above, in a line that is not broken."""
    if finding.rule == _DOUBTED:
        return "say what the column is, with one of the options above, and audit again."
    return finding.mend


def _finding(finding: Finding, with_mend: bool, head: Text | None = None) -> Iterable[RenderableType]:
    where = _where(finding) if head is None else head
    if finding.status:
        look = "bold magenta" if finding.status == "new" else "dim"
        where.append(f"  {summary.STATUS[finding.status]}", look)
    yield Item(where)
    yield Item(words.sentence(finding.message), 4)
    if lines := proof.beyond_message(finding):
        yield Item(Text("; ".join(lines), style="dim"), 4)
    if finding.also:
        yield Item(Text(words.same_cause(finding), style="dim"), 4)
    if finding.answer:
        yield Item(f"Answer: {words.one_line(finding.answer)}", 4)
    if with_mend and finding.mend:
        yield _mend(_mend_of(finding), 4)
    if (remedy := finding.remedy) is not None:
        yield Item(words.one_line(remedy.text), 4)


def _where(finding: Finding) -> Text:
    return Text.assemble(
        (words.one_line(finding.tag) or "no tag", "bold"), "  ", (words.place(finding), "cyan")
    )


def _accepted(result: AuditResult) -> Iterable[RenderableType]:
    if not result.accepted:
        return
    yield from banner("Accepted findings")
    for entry in summary.acceptances(result):
        style = "" if entry.state == "used" else "bold yellow"
        head = Text.assemble((words.one_line(entry.tag), "bold"), "  ", entry.rule, "  ")
        yield Item(head.append(summary.acceptance_state(entry), style))
        yield Item(summary.acceptance_reason(entry), 4)
        for finding in entry.findings if entry.state == "used" else ():
            text = f"{finding.severity.value}, {words.place(finding)}: {words.one_line(finding.message)}"
            yield Item(Text(text, style="dim"), 4)


def _mended(result: AuditResult) -> Iterable[RenderableType]:
    if not result.mended:
        return
    yield from banner(f"Mended since {words.one_line(result.since)}")
    rules: dict[str, list[Finding]] = {}
    for f in summary.ordered(result, result.mended):
        rules.setdefault(f.rule, []).append(f)
    for rule, found in rules.items():
        yield Item(Text.assemble(f"{found[0].severity.value}  ", (rule, "bold"), f"  ({len(found):,})"))
        tags = [words.one_line(f.tag) or "no tag" for f in found]
        if len(found) > _MENDED_IN_FULL:
            yield Item(words.listed(list(dict.fromkeys(tags)), _CELLS), 4)
            continue
        for tag, f in zip(tags, found, strict=True):
            yield Item(f"{tag}: {words.one_line(f.message)}", 4)


def _not_checked(result: AuditResult) -> Iterable[RenderableType]:
    groups = summary.unchecked(result)
    if not groups:
        return
    yield from banner("Could not be checked, for want of data")
    yield Item("Ask for, the most urgent first:")
    for want in summary.wanted(groups):
        tags = list(want.tags)
        which = "all " if len(tags) == result.rows_audited > 1 else ""
        yield Item("; ".join(want.items), 4)
        yield Item(f"{which}{words.plural(len(tags), 'gauge')}: {words.listed(tags, _TAGS)}", 6)
        yield Item(Text(f"for {', '.join(want.rules)}", style="dim"), 6)
    counts = ", ".join(f"{rule} for {count:,}" for rule, count in summary.undecided(groups))
    yield Item(f"Rules not decided, and for how many gauges: {counts}.")
    yield Item("--format request writes these questions as a workbook; --format json lists every one.")


def _doubts(result: AuditResult) -> Iterable[RenderableType]:
    doubts = summary.doubts(result)
    if not doubts:
        return
    yield from banner("Doubts of the reader")
    for doubt in doubts[:_DOUBTS]:
        where = words.reference(doubt.get("sheet", ""), doubt.get("cell", ""))
        yield Item(f"{where}: " * bool(where) + words.one_line(doubt.get("text", "")))
    if len(doubts) > _DOUBTS:
        yield Item(f"and {len(doubts) - _DOUBTS} more, all in --format json")


def _unread(result: AuditResult) -> Iterable[RenderableType]:
    if not result.unread_columns:
        return
    yield Text()
    for sheet, text in summary.unread(result):
        yield Item(f"Columns not read: {words.reference(sheet, '')}: {text}", 0)


def _books(results: Sequence[AuditResult]) -> RenderableType:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column("workbook", overflow="fold")
    for name in ("rows", "errors", "warnings", "notes"):
        table.add_column(name, justify="right", no_wrap=True)
    for result in results:
        counts = [result.rows_audited, *(result.count(s) for s in summary.SEVERITIES)]
        table.add_row(words.one_line(result.workbook), *(f"{n:,}" for n in counts))
    return table
