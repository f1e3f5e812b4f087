"""The report for a terminal: as wide as the terminal, 80 columns and without colour when piped."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import TextIO

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.table import Table
from rich.text import Text

from xlfuncs.audit.model import AuditResult, Finding, Severity
from xlfuncs.report import _words as words
from xlfuncs.report.cautions import cautions

STYLES = {Severity.ERROR: "bold red", Severity.WARNING: "bold yellow", Severity.NOTE: "bold cyan"}

# Notes of one rule beyond this many are listed by their cells alone.
_NOTES_IN_FULL = 5
_CELLS = 12
_TAGS = 6
_DOUBTS = 40
_WANTED = 5

# Lines of prose wider than this are hard to read, however wide the terminal.
_PROSE = 110


def write(results: Sequence[AuditResult], stream: TextIO) -> None:
    """Print the results one after the other."""
    console = _console(stream)
    for number, result in enumerate(results):
        if number:
            console.print()
        for part in _report(result):
            console.print(part)
    if len(results) > 1:
        console.print()
        console.print(_books(results))


def _console(stream: TextIO) -> Console:
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


def _report(result: AuditResult) -> Iterable[RenderableType]:
    yield _Item(Text(words.one_line(result.workbook), style="bold"), 0)
    yield _Item(f"{words.plural(result.rows_audited, 'row')} audited: {words.headline(result)}", 0)
    for severity in words.SEVERITIES:
        found = sorted((f for f in result.findings if f.severity is severity), key=lambda f: f.rule)
        for rule, group in groupby(found, key=lambda f: f.rule):
            yield Text()
            yield from _rule(severity, rule, list(group))
    if result.findings:
        yield from _heading("Summary")
        yield _summary(result)
    yield from _not_checked(result)
    yield from _doubts(result)
    if result.skipped:
        yield from _heading("Rows not audited")
        for why, count in sorted(result.skipped.items(), key=lambda item: -item[1]):
            yield _Item(f"{words.plural(count, 'row')}: {words.one_line(why)}")
    yield from _heading("Settings used")
    settings = words.settings(result)
    for name, value, meaning in settings:
        if "(default " in meaning:
            yield _Item(f"{name} = {value}: {meaning}")
    yield _Item("; ".join(f"{n} = {v}" for n, v, meaning in settings if "(default " not in meaning) or "none")
    yield from _heading("Cautions")
    yield from (_Item(f"{c.title}: {c.text}") for c in cautions(result.findings))
    yield Text()
    yield _Item(Text(f"xlfuncs {result.version}; sha256 of the workbook {result.sha256}", style="dim"), 0)


def _heading(text: str) -> Iterable[Text]:
    yield Text()
    yield Text(text, style="bold")


class _Item:
    """A paragraph, set in, with its further lines hanging below the text and no blanks at their ends."""

    def __init__(self, text: str | Text, indent: int = 2, lead: str = "") -> None:
        self.text = text if isinstance(text, Text) else Text(text)
        self.indent = indent
        self.lead = lead

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        left = self.indent + len(self.lead)
        width = max(min(options.max_width, _PROSE) - left, 12)
        for number, line in enumerate(self.text.wrap(console, width, overflow="fold")):
            line.rstrip()
            lead = Text(self.lead, style="green") if number == 0 else Text(" " * len(self.lead))
            yield Text.assemble(" " * self.indent, lead, line)


def _rule(severity: Severity, rule: str, found: list[Finding]) -> Iterable[RenderableType]:
    head = Text.assemble((severity.value.upper(), STYLES[severity]), "  ", (rule, "bold"))
    if len(found) > 1:
        head.append(f"  ({len(found):,})")
    yield head
    mends = {f.mend for f in found}
    if (
        severity is Severity.NOTE
        and len(found) > _NOTES_IN_FULL
        and len({f.message for f in found}) > 1 == len(mends)
    ):
        yield from _finding(found[0], with_mend=False)
        yield _Item(
            f"and {words.plural(len(found) - 1, 'more cell')}: "
            + words.listed(words.cells(found[1:]), _CELLS)
        )
    else:
        for finding in found:
            yield from _finding(finding, with_mend=len(mends) > 1)
    if len(mends) == 1:
        yield _mend(mends.pop(), 2)


def _mend(text: str, indent: int) -> RenderableType:
    return _Item(words.one_line(text), indent, "Mend: ")


def _finding(finding: Finding, with_mend: bool) -> Iterable[RenderableType]:
    where = Text.assemble(
        (words.one_line(finding.tag) or "no tag", "bold"), "  ", (words.place(finding), "cyan")
    )
    yield _Item(where)
    yield _Item(words.one_line(finding.message), 4)
    if proof := words.beyond_message(finding):
        yield _Item(Text("; ".join(proof), style="dim"), 4)
    if finding.also:
        yield _Item(Text("same cause: " + ", ".join(finding.also), style="dim"), 4)
    if with_mend and finding.mend:
        yield _mend(finding.mend, 4)


def _summary(result: AuditResult) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column("  severity", no_wrap=True)
    table.add_column("rule", overflow="fold")
    table.add_column("findings", justify="right", no_wrap=True)
    for severity, rule, count in words.tally(result.findings):
        table.add_row(Text("  " + severity.value, style=STYLES[severity]), rule, f"{count:,}")
    table.add_row("  total", "", f"{len(result.findings):,}", style="bold")
    return table


def _not_checked(result: AuditResult) -> Iterable[RenderableType]:
    groups = words.unchecked(result)
    if not groups:
        return
    yield from _heading("Could not be checked, for want of data")
    yield _Item("Ask for first:")
    for item, count, rules in words.most_wanted(groups)[:_WANTED]:
        yield _Item(f"{item}: {words.plural(count, 'gauge')}, {words.plural(rules, 'rule')}", 4)
    for rule, rows in groupby(groups, key=lambda g: g[0]):
        yield _Item(Text(rule, style="bold"))
        for _, missing, tags in rows:
            yield _Item(f"needs {', '.join(map(words.one_line, missing))}", 4)
            which = "all" if len(tags) == result.rows_audited > 1 else ""
            yield _Item(f"{which} {words.plural(len(tags), 'gauge')}: {words.listed(tags, _TAGS)}".strip(), 6)
    yield _Item("--format workbook and --format json list every tag.")


def _doubts(result: AuditResult) -> Iterable[RenderableType]:
    if not result.doubts:
        return
    yield from _heading("Doubts of the reader")
    for doubt in result.doubts[:_DOUBTS]:
        where = words.reference(doubt.get("sheet", ""), doubt.get("cell", ""))
        yield _Item(f"{where}: " * bool(where) + words.one_line(doubt.get("text", "")))
    if len(result.doubts) > _DOUBTS:
        yield _Item(f"and {len(result.doubts) - _DOUBTS} more, all in --format json")


def _books(results: Sequence[AuditResult]) -> RenderableType:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column("workbook", overflow="fold")
    for name in ("rows", "errors", "warnings", "notes"):
        table.add_column(name, justify="right", no_wrap=True)
    for result in results:
        counts = [result.rows_audited, *(result.count(s) for s in words.SEVERITIES)]
        table.add_row(words.one_line(result.workbook), *(f"{n:,}" for n in counts))
    return table
