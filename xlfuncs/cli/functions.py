"""`xlfuncs functions [NAME]`: the worksheet functions, or the help of one."""

from __future__ import annotations

import argparse
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser("functions", help="list the worksheet functions, or explain one")
    parser.add_argument("name", nargs="?", help="a function, such as LG_IMMERSION")


def run(args: argparse.Namespace) -> int:
    """Print the list, or one function's help."""
    from xlfuncs.worksheet import catalogue, find
    from xlfuncs.worksheet.help import help_text

    if args.name:
        print(help_text(find(args.name)))
        return 0
    width = max(len(name) for name in catalogue())
    category = ""
    for function in sorted(catalogue().values(), key=lambda f: f.category):
        if function.category != category:
            print(f"{'' if not category else chr(10)}{function.category}")
            category = function.category
        print(f"  {function.name:<{width}}  {function.summary}")
    return 0
