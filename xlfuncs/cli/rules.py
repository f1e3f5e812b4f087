"""`xlfuncs rules`: the audit's rules, one line each."""

from __future__ import annotations

import argparse
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    commands.add_parser("rules", help="list the rules of the audit")


def run(args: argparse.Namespace) -> int:
    """Print slug, severity and title of each rule."""
    from xlfuncs.audit.registry import rules

    found = rules().values()
    width = max(len(item.slug) for item in found)
    for item in found:
        print(f"{item.slug:<{width}}  {item.severity.value:<7}  {item.page['title'].removesuffix('.')}")
    return 0
