"""`xlfuncs install excel|calc`: the worksheet functions in a spreadsheet program."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "install",
        help="make the functions known to Excel or to LibreOffice Calc",
        description="Makes the worksheet functions work by their plain names, =LG_IMMERSION(...), in the "
        "spreadsheet program of this user. They run in this Python environment.",
    )
    parser.add_argument("program", choices=("excel", "calc"))
    parser.add_argument("--remove", action="store_true", help="take the functions out again")
    parser.add_argument(
        "--profile", type=Path, metavar="DIR", help="calc: another LibreOffice profile than the user's own"
    )
    parser.add_argument(
        "--in-process",
        action="store_true",
        help="calc: run in LibreOffice's own process where its Python is of the same version; faster for "
        "many single cells, but without the worker process a fault can take LibreOffice with it",
    )


def run(args: argparse.Namespace) -> int:
    """Install or remove; says what was done and what remains to be done."""
    if args.program == "excel":
        return _excel(args)
    return _calc(args)


def _excel(args: argparse.Namespace) -> int:
    from xlfuncs.errors import XlfuncsError
    from xlfuncs.hosts.excel import setup

    if args.profile or args.in_process:
        raise XlfuncsError("--profile and --in-process are for 'xlfuncs install calc' only")
    if os.name != "nt":
        raise XlfuncsError(setup.ELSEWHERE)
    for line in (setup.remove if args.remove else setup.install)(setup.Windows()):
        print(line)
    return 0


def _calc(args: argparse.Namespace) -> int:
    from xlfuncs.hosts.calc import setup

    profile = args.profile or setup.default_profile()
    for line in setup.remove(profile) if args.remove else setup.install(profile, args.in_process):
        print(line)
    return 0
