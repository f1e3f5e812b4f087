"""`xlfuncs recalculate BOOK -o OUT`: the results of the worksheet functions kept in a copy of a workbook."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

NOT_CALCULATED = {
    "xlfuncs": "not calculated, the cell shows #N/A; '--with calc' has LibreOffice try",
    "LibreOffice Calc": "not calculated by LibreOffice; calculate it in the program that it was written for",
}
SHOWN = 10
"""How many cells of a kind are listed."""


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "recalculate",
        help="put the results of the worksheet functions into a copy of a workbook",
        description="Evaluates every formula with one of our functions, and what depends on it, and keeps "
        "the results in the cells of a copy, so that it shows its numbers where the functions are not "
        "installed. No spreadsheet program is needed. Everything else in the file stays as it is.",
        epilog="Exit status: 0 when all was calculated, 1 when a formula of ours, or one that needs it, "
        "could not be evaluated and shows #N/A in the copy, 2 when no copy could be written.",
    )
    parser.add_argument("book", type=Path, metavar="BOOK", help=".xlsx or .xlsm; .ods with '--with calc'")
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="OUT", help="the copy to write")
    parser.add_argument(
        "--values", action="store_true", help="replace our formulas by their values, for sending outside"
    )
    parser.add_argument(
        "--plain-names",
        action="store_true",
        help="take the name of an add-in file, as [1]! or 'C:\\...\\x.xlam'!, from before our functions, and "
        "the link to it out",
    )
    parser.add_argument(
        "--with",
        dest="program",
        choices=("calc",),
        help="have LibreOffice Calc calculate, for formulas with functions that are not known here",
    )


def run(args: argparse.Namespace) -> int:
    """Write the copy; messages go to standard error."""
    from xlfuncs.hosts.recalculate import recalculate

    report = recalculate(
        args.book,
        args.output,
        values=args.values,
        with_calc=args.program == "calc",
        plain_names=args.plain_names,
    )
    lines = [f"{report.output}: {report.formulas} formulas calculated by {report.by}"]
    if not report.formulas:
        lines = [f"{report.output}: written, but no formula in it has one of our functions"]
    lines += _list(NOT_CALCULATED.get(report.by, "not calculated"), report.uncalculated)
    lines += _list("an error value, since a function refuses", report.reasons)
    lines += _list("a function that refuses, caught by the formula around it", report.caught)
    lines += _list("calculated with values that the file keeps of another workbook", report.linked)
    lines += _list("left as it was: an ordinary formula on which none of ours depends", report.left)
    print("\n".join(lines), file=sys.stderr)
    return 1 if report.uncalculated else 0


def _list(what: str, cells: dict[str, str]) -> list[str]:
    """The first cells of a kind, under their number."""
    lines = [f"{len(cells)} x {what}"] * bool(cells)
    lines += [f"  {cell}: {text}" for cell, text in list(cells.items())[:SHOWN]]
    return lines + [f"  and {len(cells) - SHOWN} more"] * (len(cells) > SHOWN)
