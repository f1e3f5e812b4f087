"""What was taken for which column, as `xlfuncs columns` prints it."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TextIO

from rich.console import RenderableType
from rich.text import Text

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.model import Book, Recognised
from xlfuncs.lists.reading import KINDS, open_columns
from xlfuncs.lists.reading_file import to_toml
from xlfuncs.report import _words as words
from xlfuncs.report._files import write_text
from xlfuncs.report.text import Item, banner, open_column, terminal
from xlfuncs.vocabulary.meaning import fields

_GAP = "  "
_LEAST = 16
"""Characters of a heading: with less room it stands on a line of its own."""


def print_columns(book: Book, stream: TextIO | None = None) -> None:
    """Each recognised column of each table: how sure it is, unit, heading and runner-up; then the doubts."""
    console = terminal(stream or sys.stdout)
    for part in _report(book, console.width):
        console.print(part)


def print_fields(stream: TextIO | None = None) -> None:
    """Every field that a column can be, and what it means."""
    console = terminal(stream or sys.stdout)
    for number, (kind, title) in enumerate(KINDS.items()):
        if number:
            console.print()
        console.print(Item(Text(f"Fields of {'an' if kind == 'gauges' else 'a'} {title}", style="bold"), 0))
        names = {name: str(entry["label"]) for name, entry in fields().items() if kind in entry["tables"]}
        wide = max(map(len, names))
        for name, label in names.items():
            console.print(Item(label, 0, f"{name:{wide}}{_GAP}", ""))


def write_reading(book: Book, output: Path, sources: Iterable[Path]) -> None:
    """Write how a workbook was read as a file to correct. XlfuncsError where there is nothing to write."""
    if not book.read:
        raise XlfuncsError(f"{book.path}: holds no list and no row of headings: there is no reading to write")
    write_text(output, to_toml(book.read, book.path.name), sources)


def _report(book: Book, width: int) -> Iterator[RenderableType]:
    for number, table in enumerate((*book.gauges, *book.floats)):
        if number:
            yield Text()
        what = "index of gauges" if table.kind == "gauges" else "float list"
        head = f"{words.one_line(table.sheet)}: {what}, {words.plural(len(table), 'row')}"
        yield Item(Text(head, style="bold"), 0)
        yield from _columns(table.recognised, width)
        yield from _unread([found for found in table.unrecognised if found.filled])
    if not (book.gauges or book.floats):
        yield Item("No index of gauges and no float list was recognised.", 0)
    open_ = [one for one in open_columns(book.read) if one.what != "unread"]
    told = {(one.sheet, one.cell) for one in open_}
    others = [d for d in book.doubts if d.kind not in ("heading", "unit") or (d.sheet, d.cell) not in told]
    if open_ or others:
        yield from banner("Left open")
    for one in open_:
        yield from open_column(one)
    for doubt in others:
        place = words.reference(doubt.sheet, doubt.cell)
        yield Item(f"{place}: " * bool(place) + words.one_line(doubt.text))
    if book.skipped:
        yield from banner("Rows not audited")
        for reason, count in book.skipped.items():
            yield Item(f"{words.plural(count, 'row')}: {words.one_line(reason)}")


def _columns(recognised: Sequence[Recognised], width: int) -> Iterator[RenderableType]:
    """A line for each column; heading and runner-up stand behind it, or below it where it is too short."""
    rows = [
        (f.column, f"{f.confidence:.0%}", f.field, _unit(f), words.one_line(f.heading)) for f in recognised
    ]
    heads = ("column", "sure", "taken for", "unit", "heading")
    wide = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    rivals = [f"{f.runner_up_confidence:.0%} {f.runner_up}" if f.runner_up else "" for f in recognised]
    room = width - sum(wide[:4]) - 4 * len(_GAP)
    behind = wide[4] + len(_GAP) + max(map(len, rivals), default=0) <= room
    below = " " * (wide[0] + len(_GAP))

    def line(row: Sequence[str], rival: str, style: str = "") -> Iterator[RenderableType]:
        letter, sure, field, unit, heading = row
        cells = [letter.ljust(wide[0]), sure.rjust(wide[1]), field.ljust(wide[2]), unit.ljust(wide[3])]
        if room < _LEAST:
            yield Item(Text(_GAP.join(cells).rstrip(), style=style), 0)
            yield Item(Text(heading, style=style), 0, below)
            return
        last = f"{heading:{wide[4]}}{_GAP}{rival}" if rival and behind else heading
        yield Item(Text(last, style=style), 0, _GAP.join(cells) + _GAP, style, widest=width)

    yield from line(heads, "runner-up", "bold")
    for row, rival in zip(rows, rivals, strict=True):
        yield from line(row, rival)
        if rival and not behind:
            sure, _, field = rival.partition(" ")
            yield Item(Text(f"{below}{sure:>{wide[1]}}{_GAP}or {field}", style="dim"), 0)


def _unread(columns: Sequence[Recognised]) -> Iterator[RenderableType]:
    """The headings with data that were taken for nothing, with what comes nearest."""
    if not columns:
        return
    yield Text()
    yield Item(Text("Columns not read", style="bold"), 0)
    for found in sorted(columns, key=lambda found: bool(found.known_as)):
        near = f"nearest: {found.runner_up} ({found.runner_up_confidence:.0%})" if found.runner_up else ""
        why = f"of no use to the audit: {found.known_as}" if found.known_as else near
        yield Item(f"{found.column}  {words.one_line(found.heading)}{_GAP * bool(why)}{why}", 0)


def _unit(found: Recognised) -> str:
    told = found.unit_source in ("", "heading")
    return found.unit if told else f"{found.unit} ({found.unit_source})"
