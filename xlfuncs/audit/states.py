"""Equations of state in a process of their own, for long workbooks.

Loading them takes two seconds in which no other thread of the process runs. Beside the reader of a long
workbook, in another process, it takes none. Run as `python -m xlfuncs.audit.states`, this module is that
process: it answers pickled questions from its standard input on its standard output.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Lock
from typing import IO, Any, Final

from xlfuncs.gauge import _state

LONG: Final = 1_000_000
"""Bytes from which a workbook takes longer to read than a process takes to start."""

_in_use = Lock()


@contextlib.contextmanager
def beside(path: Path) -> Iterator[Callable[[], None]]:
    """While a long workbook is audited, states are computed in another process.

    Gives what makes it load the equations: to be called when a processor is free. Where the process cannot be
    started, or ends, they are computed here.
    """
    try:
        wanted = path.stat().st_size > LONG and "CoolProp" not in sys.modules
    except OSError:  # the reader tells what is wrong with the file
        wanted = False
    if not wanted or not _in_use.acquire(blocking=False):
        yield lambda: None
        return
    try:
        with _Process() as process:
            _state.answer_elsewhere(process.ask)
            yield process.load
    finally:
        _state.answer_elsewhere(None)
        _in_use.release()


class _Process:
    """The other process, and one question at a time to it."""

    def __init__(self) -> None:
        self._asking = Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._told = self._owes = False
        """Whether it was told to load the equations, and still owes the answer to that question."""

    def __enter__(self) -> _Process:
        command = [sys.executable, "-m", "xlfuncs.audit.states"]
        environment = os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
        with contextlib.suppress(OSError):
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=environment,
            )
        return self

    def __exit__(self, *error: object) -> None:
        process = self._process
        if process is None:
            return
        for stream in (process.stdin, process.stdout):
            with contextlib.suppress(OSError):
                stream.close()  # type: ignore[union-attr]
        process.kill()
        process.wait()

    def load(self) -> None:
        """Have it load the equations of state, without waiting for it."""
        with self._asking, contextlib.suppress(OSError):
            if self._process is not None and self._process.stdin is not None and not self._told:
                self._told = True
                _put(self._process.stdin, ("limits", "Water"))
                self._owes = True

    def ask(self, question: tuple[Any, ...]) -> Any:
        """The answer; EOFError where there is nobody to give one."""
        process = self._process
        if process is None or process.stdin is None or process.stdout is None:
            raise EOFError
        with self._asking:
            if self._owes:
                pickle.load(process.stdout)
                self._owes = False
            _put(process.stdin, question)
            return pickle.load(process.stdout)  # written by this very module, in the process below


def _put(stream: IO[bytes], content: object) -> None:
    pickle.dump(content, stream, protocol=pickle.HIGHEST_PROTOCOL)
    stream.flush()


def main() -> int:
    """Answer questions until there are no more."""
    answers, sys.stdout = sys.stdout.buffer, sys.stderr  # what a library prints is no answer
    while True:
        try:
            question = pickle.load(sys.stdin.buffer)
        except EOFError:
            return 0
        _put(answers, _state.here(question))


if __name__ == "__main__":
    sys.exit(main())
