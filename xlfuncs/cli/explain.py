"""`xlfuncs explain SLUG`: what a rule finds, why it matters, how to mend it, and an example."""

from __future__ import annotations

import argparse
from typing import Any


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser("explain", help="explain a rule of the audit")
    parser.add_argument("rule", help="its name, as 'xlfuncs rules' lists it")


def run(args: argparse.Namespace) -> int:
    """Print the rule's page."""
    from xlfuncs.audit.explain import page
    from xlfuncs.audit.registry import find_rule

    print(page(find_rule(args.rule)))
    return 0
