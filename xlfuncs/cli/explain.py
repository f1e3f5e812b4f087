"""`xlfuncs explain SLUG`: what a rule finds, why it matters, how to mend it, and an example."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from xlfuncs.errors import XlfuncsError


def add(commands: Any) -> None:
    """Declare the arguments."""
    parser = commands.add_parser("explain", help="explain a rule of the audit")
    parser.add_argument("rule", help="its name, as 'xlfuncs rules' lists it")


def run(args: argparse.Namespace) -> int:
    """Print the rule's page."""
    from xlfuncs.audit.explain import page
    from xlfuncs.audit.own_rules import problems
    from xlfuncs.audit.registry import OWN, find_rule

    item = find_rule(args.rule)
    wrong = list(problems(item)) if item.family == OWN else []
    try:
        print(page(item))
    except XlfuncsError:  # it names a field that there is not, which is said below
        if not wrong:
            raise
    for line in wrong:
        print(f"xlfuncs: {line}", file=sys.stderr)
    return 2 if wrong else 0
