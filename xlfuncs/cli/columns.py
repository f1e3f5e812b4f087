"""`xlfuncs columns BOOK`: what was taken for which column, how sure, what next; or as a file to correct."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError


def add(commands: Any) -> None:
    """Declare the arguments."""
    from xlfuncs.cli.audit import add_others, add_reading

    parser = commands.add_parser(
        "columns",
        help="show how a workbook's headings were understood",
        description="Shows what was taken for which column, how sure that is and what comes next; with -o "
        "writes it as a file to correct, keep for lists of the same maker, and give back with --reading.",
    )
    parser.add_argument("book", type=Path, nargs="?", metavar="BOOK")
    parser.add_argument(
        "-o", "--output", type=Path, metavar="READING.toml", help="write the reading to a file to correct"
    )
    parser.add_argument("--fields", action="store_true", help="list the fields that a column can be")
    parser.add_argument(
        "--floats", type=Path, metavar="FILE", help="second workbook that holds the float list"
    )
    add_others(parser)
    add_reading(parser)


def run(args: argparse.Namespace) -> int:
    """Print one line for each recognised column, then what was left open; or write it to a file."""
    from xlfuncs.cli.audit import pairs
    from xlfuncs.report import columns

    if args.fields:
        columns.print_fields()
        return 0
    if args.book is None:
        raise XlfuncsError("columns: name a workbook, or give --fields")
    if args.output is not None and args.output.suffix.casefold() != ".toml":
        raise XlfuncsError(
            f"{args.output}: the reading is a TOML file; name it READING.toml, or what you like .toml"
        )
    from xlfuncs.lists.reader import read_book

    book = read_book(
        args.book,
        mapping=pairs(args.map),
        correction=args.reading,
        floats=args.floats,
        others=args.others,
        need_index=False,
    )
    if args.output is None:
        columns.print_columns(book)
        return 0
    columns.write_reading(
        book, args.output, [one for one in (args.book, args.floats, *args.others) if one is not None]
    )
    print(f"written: {args.output}", file=sys.stderr)
    return 0
