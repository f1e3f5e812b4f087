"""`xlfuncs audit`: every mismatched float-fluid pair and every related error of an index workbook."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xlfuncs.errors import XlfuncsError

if TYPE_CHECKING:
    from xlfuncs.audit.model import AuditResult
    from xlfuncs.audit.settings import Settings

FORMATS = ("text", "json", "csv", "sarif", "html", "pdf", "workbook")


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "audit",
        help="check an instrument index workbook",
        description="Checks each float level gauge of an instrument index: does the float fit the fluid, "
        "will it read true, do range, signal, switches, ratings and tracing fit. The workbook is only read.",
        epilog="Exit status: 0 nothing at or above --fail-on, 1 findings, 2 a workbook could not be audited.",
    )
    parser.add_argument(
        "books", nargs="+", type=Path, metavar="BOOK", help=".xlsx, .xlsm, .xls, .xlsb, .ods or .csv"
    )
    parser.add_argument("--format", choices=FORMATS, default=None, help="form of the report (default: text)")
    parser.add_argument("-o", "--output", type=Path, help="file, or folder for several books, to write to")
    parser.add_argument(
        "--floats", type=Path, metavar="FILE", help="second workbook that holds the float list"
    )
    parser.add_argument(
        "--settings", type=Path, metavar="FILE", help="TOML file: thresholds, [columns], [[accept]]"
    )
    parser.add_argument(
        "--since", type=Path, metavar="OLD", help="an older revision: show what is new, mended and still open"
    )
    parser.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="COLUMN=HEADING",
        help="take HEADING (or a column letter) for COLUMN, such as fluid_density='Spec wt'; may be repeated",
    )
    parser.add_argument(
        "--fail-on",
        choices=("error", "warning", "note", "never"),
        default="error",
        help="least severity that gives exit status 1 (default: error)",
    )
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="books audited at the same time")


def run(args: argparse.Namespace) -> int:
    """Audit the books and write the reports."""
    from xlfuncs.audit.acceptance import read_acceptances
    from xlfuncs.audit.settings import Settings, read_settings

    if args.jobs < 1:
        raise XlfuncsError(f"--jobs is {args.jobs}: give 1 or more")
    mapping = pairs(args.map)
    settings, acceptances = Settings(), []
    if args.settings:
        settings, tables = read_settings(args.settings)
        columns = tables.pop("columns", {})
        acceptances = read_acceptances(tables.pop("accept", []), f"settings file {args.settings}")
        if tables:
            raise XlfuncsError(f"settings file {args.settings}: unknown table [{next(iter(tables))}]")
        mapping = {**columns, **mapping}
    worst = 0
    failed = False
    report = _Reports(args)
    options = {"mapping": mapping, "floats": args.floats, "acceptances": acceptances, "since": args.since}
    for path, outcome in _results(args, settings, options):
        if isinstance(outcome, XlfuncsError):
            print(f"xlfuncs: {outcome}", file=sys.stderr)
            failed = True
            continue
        report.add(path, outcome)
        found = outcome.worst()
        worst = max(worst, found.rank if found else 0)
    report.close()
    if failed:
        return 2
    threshold = {"error": 3, "warning": 2, "note": 1, "never": 9}[args.fail_on]
    return 1 if worst >= threshold else 0


def pairs(items: list[str]) -> dict[str, str]:
    """`COLUMN=HEADING` arguments as a mapping."""
    mapping = {}
    for item in items:
        name, equals, heading = item.partition("=")
        if not equals or not name.strip() or not heading.strip():
            raise XlfuncsError(f"--map {item!r}: write COLUMN=HEADING, e.g. fluid_density='Spec wt'")
        mapping[name.strip()] = heading.strip()
    return mapping


def _results(
    args: argparse.Namespace, settings: Settings, options: dict[str, Any]
) -> Iterator[tuple[Path, AuditResult | XlfuncsError]]:
    from xlfuncs.audit.engine import audit_book, audit_many

    if args.jobs > 1 and len(args.books) > 1:
        from concurrent.futures import ProcessPoolExecutor

        with ProcessPoolExecutor(min(args.jobs, len(args.books))) as pool:
            yield from audit_many(args.books, pool, settings, **options)
        return
    for path in args.books:
        try:
            yield path, audit_book(path, settings, **options)
        except XlfuncsError as why:
            yield path, why


class _Reports:
    """Writes each result in the form that was asked for; JSON of several books is one document."""

    def __init__(self, args: argparse.Namespace) -> None:
        self.args = args
        self.format = args.format or _format_of(args.output)
        self.several = len(args.books) > 1
        self.gathered: list[AuditResult] = []
        self.sources: list[Path] = []

    def add(self, path: Path, result: AuditResult) -> None:
        if self.several and self.format in ("json", "csv", "sarif"):
            self.gathered.append(result)
            self.sources.append(path)
            return
        self._write(result, path)

    def close(self) -> None:
        if self.gathered:
            self._write(self.gathered, self.sources)

    def _write(self, result: Any, source: Path | list[Path]) -> None:
        from xlfuncs.report import write

        output = self._output(source) if isinstance(source, Path) else self.args.output
        written = write(result, self.format, output, source=source, stream=sys.stdout)
        if written is not None:
            print(f"written: {written}", file=sys.stderr)
        if self.args.format is None and self.format == "text":
            # an audit on the screen leaves the annotated copy beside the workbook as well
            copy = write(result, "workbook", None, source=source, stream=sys.stdout)
            print(f"annotated copy: {copy}", file=sys.stderr)

    def _output(self, source: Path) -> Path | None:
        output: Path | None = self.args.output
        if output is None or not (self.several or output.is_dir()):
            return output
        output.mkdir(parents=True, exist_ok=True)
        suffix = {"text": ".txt", "workbook": ".audited.xlsx"}.get(self.format, f".{self.format}")
        return output / f"{source.stem}{suffix}"


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
