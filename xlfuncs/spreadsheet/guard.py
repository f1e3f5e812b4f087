"""Reads a workbook in a process of its own, with limits of time and memory.

A file of a few kilobytes can make a reader ask for gigabytes or run for hours, and a compiled reader that
gets no memory takes its process with it. Run as `python -m xlfuncs.spreadsheet.guard READER FILE`, this
module is that process: it writes the sheets, pickled, to its standard output.
"""

from __future__ import annotations

import errno
import os
import pickle
import subprocess
import sys
import threading
import zipfile
from collections.abc import Callable
from contextlib import nullcontext, suppress
from pathlib import Path
from typing import Final

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.budget import ORDINARY
from xlfuncs.spreadsheet.compiled import calamine_grids
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.opening import Unreadable, attempt
from xlfuncs.spreadsheet.usual import usual

MEMORY: Final = 900 << 20
"""Bytes that the process may take for a file of up to `budget.ORDINARY` bytes; more in proportion."""
SECONDS_PER_MB: Final = 9.0
SHORTEST: Final = 8.0
"""Seconds that every file gets."""
LONGEST: Final = 600.0

_READ, _UNREADABLE, _REFUSED = "read", "unreadable", "refused"


def read_apart(path: Path, reader: str) -> list[Grid]:
    """The sheets of a file, read by "calamine", "opendocument", "biff" or "openpyxl" in another process.

    `Unreadable` where the reader gave up or ran into a limit. Where there are no processes at all, as in a
    page of a browser, which is itself limited, it is read in this one.
    """
    limit = min(max(SHORTEST, SECONDS_PER_MB * path.stat().st_size / 1e6), LONGEST)
    command = [sys.executable, "-m", "xlfuncs.spreadsheet.guard", reader, os.fspath(path.absolute())]
    environment = os.environ | {
        "PYTHONPATH": os.pathsep.join(filter(None, sys.path)),
        "PYTHONIOENCODING": "utf-8",
    }
    try:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=environment,
        )
    except OSError as error:
        if error.errno in (errno.EAGAIN, errno.ENOMEM):
            raise Unreadable("no process could be started to read it; close other programs") from None
        here: list[Grid] = attempt(path, _readers()[reader])
        return here
    late = threading.Event()

    def stop() -> None:
        late.set()
        process.kill()

    timer = threading.Timer(limit, stop)
    with suppress(RuntimeError):  # no thread can be started: the limit of memory has to do
        timer.start()
    try:
        assert process.stdout is not None
        outcome, content = pickle.load(process.stdout)  # written by this very module, in the process below
    except (EOFError, pickle.UnpicklingError):
        if late.is_set():
            raise Unreadable(f"reading it took longer than {limit:.0f} s") from None
        raise Unreadable("it is damaged, or takes more memory than one workbook is given") from None
    finally:
        timer.cancel()
        process.kill()
        process.communicate()
    if outcome == _REFUSED:
        raise XlfuncsError(content)
    if outcome == _UNREADABLE:
        raise Unreadable(content)
    grids: list[Grid] = content
    return grids


def _readers() -> dict[str, Callable[[Path], list[Grid]]]:
    from xlfuncs.spreadsheet import biff, opendocument
    from xlfuncs.spreadsheet.sparse import openpyxl_grids

    return {
        "calamine": _blind,
        "opendocument": opendocument.read_opendocument,
        "biff": biff.read_biff,
        "openpyxl": openpyxl_grids,
    }


def _blind(path: Path) -> list[Grid]:
    """Values only."""
    with usual(path) if zipfile.is_zipfile(path) else nullcontext() as package:
        grids = calamine_grids(path if package is None else package.stream())
    for grid in grids:
        grid.blind = True
    return grids


def _limit_memory(path: Path) -> None:
    try:
        import resource
    except ImportError:  # not on Windows: there the time limit has to do
        return
    wanted = int(MEMORY * max(1.0, path.stat().st_size / ORDINARY))
    _, most = resource.getrlimit(resource.RLIMIT_DATA)
    limit = wanted if most == resource.RLIM_INFINITY else min(wanted, most)
    resource.setrlimit(resource.RLIMIT_DATA, (limit, most))


def main(reader: str, file: str) -> int:
    """Read one file and write the outcome to standard output."""
    path = Path(file)
    _limit_memory(path)
    try:
        outcome: tuple[str, object] = (_READ, attempt(path, _readers()[reader]))
    except XlfuncsError as error:
        outcome = (_REFUSED, str(error))
    except Unreadable as error:
        outcome = (_UNREADABLE, str(error))
    pickle.dump(outcome, sys.stdout.buffer, protocol=pickle.HIGHEST_PROTOCOL)
    sys.stdout.buffer.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
