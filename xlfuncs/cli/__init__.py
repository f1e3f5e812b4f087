"""The `xlfuncs` command. Each subcommand is a module that declares its arguments in `add` and does
its work in `run`; what is heavy is imported only there, so that the command starts fast.
"""

from __future__ import annotations

import argparse
import atexit
import contextlib
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from xlfuncs import __version__
from xlfuncs.cli._signals import Stopped, in_order
from xlfuncs.errors import XlfuncsError

COMMANDS = (
    *("audit", "columns", "rules", "explain", "functions"),
    *("choose", "commission", "diagnose"),
    *("recalculate", "install", "doctor", "docs"),
)

FAILED = 2
"""Exit status when the work could not be done."""


_COLLECT_AFTER = (50_000, 20, 100)
"""Objects after which Python looks for rubbish: tables and trees are made in plenty, and kept to the end."""


def parser(commands_wanted: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """The whole command line, or that of some commands."""
    top = argparse.ArgumentParser(
        prog="xlfuncs",
        description="Worksheet functions for magnetic float level gauges, and an audit of their index.",
        epilog="'xlfuncs COMMAND --help' tells more of each command.",
    )
    top.add_argument("--version", action="version", version=f"xlfuncs {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in commands_wanted:
        import_module(f"xlfuncs.cli.{name}").add(commands)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns its exit status. A user's mistake is one line on standard error."""
    gc.set_threshold(*_COLLECT_AFTER)
    atexit.register(gc.freeze)  # at its end nothing is looked through any more: 6 % of an ordinary audit
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        args = parser(given[:1] if given[:1] and given[0] in COMMANDS else COMMANDS).parse_args(given)
    except SystemExit as stop:  # argparse has said what is wrong
        return stop.code if isinstance(stop.code, int) else FAILED
    try:
        with in_order():
            status: int = import_module(f"xlfuncs.cli.{args.command}").run(args)
            sys.stdout.flush()
            return status
    except XlfuncsError as why:
        print(f"xlfuncs: {why}", file=sys.stderr)
        return FAILED
    except BrokenPipeError:  # the reader of our output has gone, as `| head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAILED
    except KeyboardInterrupt:
        print("xlfuncs: interrupted", file=sys.stderr)
        return 130
    except Stopped as stop:
        with contextlib.suppress(OSError):  # of a terminal that has gone
            print(f"xlfuncs: stopped by {stop.signal}", file=sys.stderr)
        return 128 + stop.number
    except OSError as why:
        place = f"{why.filename}: " if why.filename else ""
        print(f"xlfuncs: {place}{why.strerror or why}", file=sys.stderr)
        return FAILED
    except Exception as why:
        if os.environ.get("XLFUNCS_DEBUG"):
            raise
        print(
            f"xlfuncs: internal error, please report it: {type(why).__name__}: {why}"
            " (XLFUNCS_DEBUG=1 shows where)",
            file=sys.stderr,
        )
        return FAILED
