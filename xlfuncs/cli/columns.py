"""`xlfuncs columns BOOK`: what was taken for which column, how sure, and the runner-up."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser("columns", help="show how a workbook's headings were understood")
    parser.add_argument("book", type=Path, metavar="BOOK")
    parser.add_argument(
        "--floats", type=Path, metavar="FILE", help="second workbook that holds the float list"
    )
    parser.add_argument("--map", action="append", default=[], metavar="COLUMN=HEADING", help="as for 'audit'")


def run(args: argparse.Namespace) -> int:
    """Print one line for each recognised column, then what was left open."""
    from xlfuncs.cli.audit import pairs
    from xlfuncs.lists.reader import read_book
    from xlfuncs.report.columns import print_columns

    print_columns(read_book(args.book, mapping=pairs(args.map), floats=args.floats, need_index=False))
    return 0
