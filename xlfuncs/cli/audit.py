"""`xlfuncs audit`: every mismatched float-fluid pair and every related error of an index workbook."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xlfuncs.additions import float_list
from xlfuncs.cli._progress import Progress
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import FORMATS

if TYPE_CHECKING:
    from xlfuncs.audit.model import AuditResult
    from xlfuncs.audit.settings import Settings


_DOCUMENTS = ("json", "csv", "sarif")
"""Of several books these are one document."""


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "audit",
        help="check an instrument index workbook",
        description="Checks each float level gauge of an instrument index: does the float fit the fluid, "
        "will it read true, do range, signal, switches, ratings and tracing fit. The workbook is only read.",
        epilog="Exit status: 0 nothing at or above --fail-on, 1 findings, 2 a workbook could not be audited, "
        "or a rule of your own could not be run.",
    )
    parser.add_argument(
        "books", nargs="+", type=Path, metavar="BOOK", help=".xlsx, .xlsm, .xls, .xlsb, .ods or .csv"
    )
    parser.add_argument(
        "--format",
        choices=FORMATS,
        default=None,
        help="form of the report (default: text, and an annotated copy beside the workbook); 'request' lists "
        "the missing data to ask for",
    )
    parser.add_argument(
        "--all",
        action="store_true",
        help="on the screen: all that stands behind the findings too (what was not checked, doubts, "
        "settings, cautions), as in a file",
    )
    parser.add_argument(
        "-o", "--output", type=Path, help="file for one report of all books, or folder for one of each"
    )
    parser.add_argument(
        "--floats",
        type=Path,
        metavar="FILE",
        help="second workbook that holds the float list, or the name of an installed list",
    )
    add_others(parser)
    parser.add_argument(
        "--settings", type=Path, metavar="FILE", help="TOML file: thresholds, [columns], [[accept]]"
    )
    parser.add_argument(
        "--since", type=Path, metavar="OLD", help="an older revision: show what is new, mended and still open"
    )
    parser.add_argument(
        "--answers",
        type=Path,
        metavar="FILE",
        help="the workbook of --format request that came back: its answers are used, each with its place",
    )
    add_reading(parser)
    parser.add_argument(
        "--fail-on",
        choices=("error", "warning", "note", "never"),
        default="error",
        help="least severity that gives exit status 1 (default: error)",
    )
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="books audited at the same time")


def add_others(parser: argparse.ArgumentParser) -> None:
    """Declare the other workbooks that speak of the same gauges."""
    parser.add_argument(
        "--with",
        dest="others",
        action="append",
        default=[],
        type=Path,
        metavar="FILE",
        help="another workbook that speaks of the same gauges (process data, data sheets, vendor's return, "
        "points of the control system): joined by tag, differences are findings; may be repeated",
    )


def add_reading(parser: argparse.ArgumentParser) -> None:
    """Declare how a person says which column is what: the same for every command that reads a list."""
    parser.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="FIELD=COLUMN",
        help="take a column for a field, by heading, letter or cell, with or without its sheet: "
        "fluid_density='Spec wt', fluid_density=H, 'fluid_density=Index!H [SG]'; none=H leaves H alone, "
        "fluid_density= takes no column for it; may be repeated; 'xlfuncs columns --fields' lists the fields",
    )
    parser.add_argument(
        "--reading",
        type=Path,
        metavar="FILE",
        help="READING.toml that 'xlfuncs columns BOOK -o READING.toml' has written, as you corrected it, or "
        "an annotated copy whose sheet 'Reading' you corrected",
    )


def run(args: argparse.Namespace) -> int:
    """Audit the books and write the reports."""
    from xlfuncs.audit.acceptance import read_acceptances
    from xlfuncs.audit.settings import Settings, read_settings

    if args.jobs < 1:
        raise XlfuncsError(f"--jobs is {args.jobs}: give 1 or more")
    mapping = pairs(args.map)
    settings, acceptances, columns = Settings(), [], None
    if args.settings:
        settings, tables = read_settings(args.settings)
        columns = tables.pop("columns", None)
        acceptances = read_acceptances(tables.pop("accept", []), f"settings file {args.settings}")
        if tables:
            raise XlfuncsError(f"settings file {args.settings}: unknown table [{next(iter(tables))}]")
    worst = 0
    failed = False
    report = _Reports(args)
    options = {
        "mapping": mapping, "columns": columns, "correction": args.reading,
        "floats": float_list(args.floats) if args.floats else None,
        "others": args.others, "acceptances": acceptances, "since": args.since,
        "answers": args.answers,
    }  # fmt: skip
    with Progress(len(args.books)) as progress:
        for path, outcome in _results(args, settings, options, progress):
            progress.book_done()
            with progress.hidden():
                if isinstance(outcome, XlfuncsError):
                    print(f"xlfuncs: {outcome}", file=sys.stderr)
                    failed = True
                    continue
                report.add(path, outcome)
                for one in outcome.rules_not_run:
                    print(f"xlfuncs: {path}: {one}", file=sys.stderr)
                    failed = True
            found = outcome.worst()
            worst = max(worst, found.rank if found else 0)
    report.close()
    if failed:
        return 2
    threshold = {"error": 3, "warning": 2, "note": 1, "never": 9}[args.fail_on]
    return 1 if worst >= threshold else 0


def pairs(items: list[str]) -> list[tuple[str, str]]:
    """`FIELD=COLUMN` arguments as pairs."""
    out = []
    for item in items:
        name, equals, place = item.partition("=")
        if not equals or not name.strip():
            raise XlfuncsError(f"--map {item!r}: write FIELD=COLUMN, e.g. fluid_density='Spec wt'")
        out.append((name.strip(), place.strip()))
    return out


def _results(
    args: argparse.Namespace, settings: Settings, options: dict[str, Any], progress: Progress
) -> Iterator[tuple[Path, AuditResult | XlfuncsError]]:
    """Each book with its result, in the order given, each as soon as those before it are there."""
    if args.jobs > 1 and len(args.books) > 1:
        yield from _in_order(args.books, _together(args, settings, options))
        return
    from xlfuncs.audit.engine import audit_book, outcome

    for path in args.books:

        def tell(what: str, share: float, path: Path = path) -> None:
            progress.show(f"{path.name}: {what}", share)

        work = partial(audit_book, path, settings, **options, progress=tell)
        yield path, outcome(path, work)


def _in_order(
    books: list[Path], coming: Iterator[tuple[Path, AuditResult | XlfuncsError]]
) -> Iterator[tuple[Path, AuditResult | XlfuncsError]]:
    """Results that come in any order, in that of the books, so that a report does not depend on chance."""
    ready: dict[Path, AuditResult | XlfuncsError] = {}
    for path in books:
        while path not in ready:
            done, outcome = next(coming)
            ready[done] = outcome
        yield path, ready[path]


def _together(
    args: argparse.Namespace, settings: Settings, options: dict[str, Any]
) -> Iterator[tuple[Path, AuditResult | XlfuncsError]]:
    from concurrent.futures import BrokenExecutor, ProcessPoolExecutor

    from xlfuncs.audit.engine import audit_many
    from xlfuncs.cli._signals import as_usual

    again = []
    with ProcessPoolExecutor(min(args.jobs, len(args.books)), initializer=as_usual) as pool:
        for path, result in audit_many(args.books, pool, settings, **options):
            if isinstance(getattr(result, "__cause__", None), BrokenExecutor):
                again.append(path)
            else:
                yield path, result
    for path in again:  # one of these ended the process that it was read in; the others are innocent
        with ProcessPoolExecutor(1, initializer=as_usual) as pool:
            yield from audit_many([path], pool, settings, **options)


class _Reports:
    """Writes the results in the form that was asked for: each its own report, or all in one document."""

    def __init__(self, args: argparse.Namespace) -> None:
        output: Path | None = args.output
        self.books: list[Path] = args.books
        self.format = args.format or _format_of(output)
        self.output = output
        self.full: bool = args.all
        self.copies = args.format is None and self.format == "text"
        """An audit on the screen leaves the annotated copy beside the workbook as well."""
        several = len(args.books) > 1
        named = output is not None and not output.is_dir() and output.suffix != ""
        self.together = several and self.format != "workbook" and (named or self.format in _DOCUMENTS)
        self.several = several and not self.together
        self.results: list[AuditResult] = []
        self.sources: list[Path] = []
        if self.several and named:
            raise XlfuncsError(f"{output}: each of the books gets its own copy; name a folder with -o")
        if self.several:
            self._distinct(args.books)
            if output is not None:
                output.mkdir(parents=True, exist_ok=True)

    def _distinct(self, books: list[Path]) -> None:
        """XlfuncsError where two books would get reports of the same name."""
        if self.output is None and self.format == "text" and not self.copies:
            return
        copies = self.copies or self.format == "workbook"
        seen: dict[tuple[Path, str], Path] = {}
        for book in books:
            ending = book.suffix.casefold() if copies and book.suffix.casefold() in (".xlsx", ".xlsm") else ""
            key = ((self.output or book.parent).resolve(), book.stem + ending)
            if other := seen.get(key):
                raise XlfuncsError(
                    f"{other} and {book} would get reports of the same name; audit them in turn"
                )
            seen[key] = book

    def add(self, path: Path, result: AuditResult) -> None:
        if self.several and self.format == "text" and self.output is None and self.results:
            print()
        self.results.append(result)
        self.sources.append(path)
        if not self.together:
            self._write(result, path)

    def close(self) -> None:
        if self.together and self.results:
            order = {path: number for number, path in enumerate(self.books)}
            ready = sorted(zip(self.sources, self.results, strict=True), key=lambda pair: order[pair[0]])
            self._write([result for _, result in ready], [path for path, _ in ready])
        elif self.several and self.format == "text" and self.output is None and self.results:
            from xlfuncs.report import write_totals

            write_totals(self.results, sys.stdout)

    def _write(self, result: Any, source: Path | list[Path]) -> None:
        from xlfuncs.report import write

        written = write(result, self.format, self.output, source=source, stream=sys.stdout, full=self.full)
        if written is not None:
            print(f"written: {written}", file=sys.stderr)
        if self.copies:
            copy = write(result, "workbook", None, source=source, stream=sys.stdout)
            print(f"annotated copy: {copy}", file=sys.stderr)


def _format_of(output: Path | None) -> str:
    if output is None:
        return "text"
    return {
        ".json": "json",
        ".csv": "csv",
        ".sarif": "sarif",
        ".html": "html",
        ".htm": "html",
        ".pdf": "pdf",
        ".xlsx": "workbook",
    }.get(output.suffix.casefold(), "text")
