"""`xlfuncs rules`: the audit's rules, one line each; `--check` tries those of your own on their examples."""

from __future__ import annotations

import argparse
import sys
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser(
        "rules",
        help="list the rules of the audit",
        epilog="Exit status of --check: 0 each fires on its examples and only there, 2 one does not.",
    )
    parser.add_argument(
        "--check", action="store_true", help="try the rules that other packages add on their own examples"
    )


def run(args: argparse.Namespace) -> int:
    """Print slug, severity and title of each rule; or try the own ones."""
    from xlfuncs.audit.registry import rules

    if args.check:
        return _check()
    found = rules().values()
    width = max(len(item.slug) for item in found)
    for item in found:
        print(f"{item.slug:<{width}}  {item.severity.value:<7}  {item.page['title'].removesuffix('.')}")
    return 0


def _check() -> int:
    from xlfuncs.audit.own_rules import own_rules, problems

    found = own_rules()
    if not found:
        print("No installed package adds a rule.")
    status = 0
    for item in found:
        wrong = list(problems(item))
        for line in wrong:
            print(f"xlfuncs: {line}", file=sys.stderr)
        status = 2 if wrong else status
        if not wrong:
            print(f"{item.slug}: fires on its examples ({len(item.firing)}) and not on what passes")
    return status
