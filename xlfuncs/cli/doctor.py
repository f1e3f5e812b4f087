"""`xlfuncs doctor`: why a sheet is full of #NAME?, link by link."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from xlfuncs.hosts.checks import Check


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "doctor",
        help="find out why the functions do not work in a spreadsheet program",
        description="Checks each link between a formula and this Python environment, and says what to do "
        "about a broken one. With a workbook, it also says what is wrong with the formulas in it.",
        epilog="Exit status: 0 all is well, 1 something is broken, 2 the check could not be done.",
    )
    parser.add_argument(
        "book", type=Path, nargs="?", metavar="BOOK", help="an .xlsx or .xlsm that shows #NAME?"
    )
    parser.add_argument(
        "--self-check",
        type=Path,
        metavar="FILE",
        help="write a workbook (.xlsx) with every function's example, its answer and a check; open it in "
        "the spreadsheet program in question",
    )
    parser.add_argument(
        "--profile", type=Path, metavar="DIR", help="another LibreOffice profile than the user's own"
    )


def run(args: argparse.Namespace) -> int:
    """Print the checks, or write the self-check workbook."""
    from xlfuncs.errors import XlfuncsError

    if args.self_check:
        from xlfuncs.hosts.selfcheck import write

        if args.self_check.suffix.lower() != ".xlsx":
            raise XlfuncsError(f"{args.self_check}: give the workbook the ending .xlsx")
        print(f"{args.self_check}: {write(args.self_check)} checks; open it in the spreadsheet program")
        return 0
    broken = _show("This environment", _environment())
    if args.book:
        broken += _show(str(args.book), _workbook(args.book))
    from xlfuncs.hosts.calc import setup as calc

    if os.name == "nt":
        from xlfuncs.hosts.excel import setup as excel

        broken += _show("Excel", excel.checks(excel.Windows()))
    broken += _show("LibreOffice Calc", calc.checks(args.profile or calc.default_profile()))
    print("\nall is well" if not broken else f"\n{broken} x to mend, marked '!!'")
    return 1 if broken else 0


def _show(title: str, checks: Iterable[Check]) -> int:
    """Print the checks as they come; returns how many did not pass."""
    print(f"\n{title}")
    broken = 0
    for check in checks:
        print(f"  {'ok' if check.passed else '!!'}  {check.name}: {check.found}", flush=True)
        if not check.passed:
            print(f"      {check.mend}")
            broken += 1
    return broken


def _environment() -> Iterator[Check]:
    import platform

    from xlfuncs import __version__
    from xlfuncs.hosts.checks import Check
    from xlfuncs.worksheet import call, catalogue

    yield Check("xlfuncs", True, f"{__version__}, {len(catalogue())} functions")
    yield Check("Python", True, f"{platform.python_version()}, {sys.executable}")
    function = catalogue()["LG_IMMERSION"]
    answer = call(function.name, *function.example.arguments)
    right = isinstance(answer, float) and abs(answer / function.example.answer - 1) <= 1e-9
    yield Check("a call", right, f"LG_IMMERSION gives {answer}", "install xlfuncs again")


def _workbook(path: Path) -> Iterator[Check]:
    """What is wrong with the formulas of a workbook."""
    from xlfuncs.hosts.checks import Check
    from xlfuncs.spreadsheet.book import address
    from xlfuncs.spreadsheet.cell_values import NAME, NotUnderstood
    from xlfuncs.spreadsheet.evaluate import functions_used
    from xlfuncs.spreadsheet.formula import without_prefixes
    from xlfuncs.spreadsheet.inplace import Workbook
    from xlfuncs.worksheet import catalogue
    from xlfuncs.worksheet.cells import FUNCTIONS, own_name

    unknown, prefixed, unnamed, empty = [], [], [], []
    count = 0
    with Workbook(path) as book:
        for sheet in book.cells.sheets.values():
            for (row, column), formula in sheet.formulas.items():
                try:
                    used = functions_used(formula.text, FUNCTIONS)
                except NotUnderstood:
                    continue
                if not used:
                    continue
                count += 1
                cell = address((sheet.name, row, column))
                kept = sheet.values.get((row, column))
                unknown += [f"{cell} ({name})" for name in used - catalogue().keys()]
                prefixed += [cell] * (without_prefixes(formula.text, own_name) != formula.text)
                unnamed += [cell] * (kept == NAME)
                empty += [cell] * (kept is None)
    yield Check("formulas with our functions", True, str(count))
    anew = "calculate it anew where they are installed, or run 'xlfuncs recalculate'"
    kinds = (
        ("functions that do not exist", unknown, "correct the name; 'xlfuncs functions' lists them"),
        (
            "formulas that name an add-in file",
            prefixed,
            "run 'xlfuncs recalculate BOOK -o OUT --plain-names', or take out what stands before LG_",
        ),
        ("#NAME? kept in the file", unnamed, f"it was last saved where the functions were missing; {anew}"),
        ("never calculated", empty, anew),
    )
    for name, cells, mend in kinds:
        more = f" and {len(cells) - 5} more" if len(cells) > 5 else ""
        yield Check(name, not cells, f"{', '.join(cells[:5])}{more}" if cells else "none", mend)
