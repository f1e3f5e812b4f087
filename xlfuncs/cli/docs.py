"""`xlfuncs docs FOLDER`: the documentation as pages for a browser."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "docs",
        help="write the documentation as pages for a browser",
        description="Writes the documentation: tutorials, every function, rule and setting, and what Python "
        "gets. It needs no network and is searched by typing.",
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="where the pages go")


def run(args: argparse.Namespace) -> int:
    """Write the pages."""
    from xlfuncs.docs.build import build

    print(f"{build(args.folder)[0]}: open it in a browser")
    return 0
