"""`xlfuncs commission`: a pack of records to be filled in when gauges are started up."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

_NAMED = 5
"""Gauges of which the lacking data are printed; each record lists its own."""


def add(commands: Any) -> None:
    """Declare the arguments."""
    from xlfuncs.cli.audit import add_reading

    parser = commands.add_parser(
        "commission",
        help="write a commissioning pack for gauges of an index",
        description="Writes a workbook with a record for each gauge: identity, ratings, mounting, start-up, "
        "expected readings, loop check and switches, with what the index states and empty cells for the "
        "rest. The index is only read.",
        epilog="Exit status: 0 the pack is written, 2 it could not be.",
    )
    parser.add_argument("index", type=Path, metavar="INDEX", help="workbook or .csv with the index")
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument("--tag", action="append", metavar="TAG", help="a gauge; may be repeated")
    which.add_argument("--all", action="store_true", help="every gauge of the index")
    parser.add_argument("-o", "--output", type=Path, help="the pack (default: INDEX.commissioning.xlsx)")
    parser.add_argument(
        "--field", type=Path, metavar="FILE", help="write field sheets instead: a page for each gauge (.xlsx)"
    )
    parser.add_argument("--floats", type=Path, metavar="FILE", help="second workbook with the float list")
    parser.add_argument("--settings", type=Path, metavar="FILE", help="TOML file with thresholds")
    add_reading(parser)


def run(args: argparse.Namespace) -> int:
    """Write the pack, and say what is not known."""
    from xlfuncs.audit.settings import Settings, read_settings
    from xlfuncs.cli.audit import pairs
    from xlfuncs.lists.reader import read_book
    from xlfuncs.report.commissioning import commission

    settings, columns = Settings(), None
    if args.settings:
        settings, tables = read_settings(args.settings)
        columns = tables.pop("columns", None)
    output = args.output or args.index.with_name(f"{args.index.stem}.commissioning.xlsx")
    if output.is_dir():
        output = output / f"{args.index.stem}.commissioning.xlsx"
    book = read_book(
        args.index, mapping=pairs(args.map), columns=columns, correction=args.reading, floats=args.floats
    )
    tags = None if args.all else args.tag
    if args.field is not None:
        from xlfuncs.report.field_sheet import field_sheets

        named = field_sheets(book, tags, args.field)
        print(f"written: {args.field}, {len(named)} field sheets", file=sys.stderr)
        return 0
    made = commission(book, tags, output, settings)
    lacking = [gauge for gauge in made if gauge.missing]
    for gauge in lacking[:_NAMED]:
        print(f"{gauge.tag}: not known: {'; '.join(gauge.missing)}", file=sys.stderr)
    if len(lacking) > _NAMED:
        print(f"and {len(lacking) - _NAMED} more gauges that lack data: see their records", file=sys.stderr)
    print(f"written: {output}", file=sys.stderr)
    return 0
