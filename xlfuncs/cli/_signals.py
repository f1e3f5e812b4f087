"""A signal to end, answered as an interruption from the keyboard is: what was begun is cleared away."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator
from types import FrameType
from typing import NoReturn

_NAMES = ("SIGTERM", "SIGHUP", "SIGBREAK")
"""The request of another program, the end of the terminal; the last one is that of Windows."""


class Stopped(SystemExit):
    """The command was asked to end. Its code is the one by which a shell knows that."""

    def __init__(self, number: int) -> None:
        super().__init__(128 + number)
        self.number, self.signal = number, signal.Signals(number).name


@contextlib.contextmanager
def in_order() -> Iterator[None]:
    """While a command runs, these signals raise `Stopped`; one that is ignored, as under nohup, stays so.

    What a library raises as it gives up half-written work (a package with an open part) gives way to the
    request to end.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    found = {getattr(signal, name) for name in _NAMES if hasattr(signal, name)}
    ours = {number for number in found if signal.getsignal(number) is signal.SIG_DFL}

    def stop(number: int, frame: FrameType | None) -> NoReturn:
        raise Stopped(number)

    for number in ours:
        signal.signal(number, stop)
    try:
        yield
    except Exception as why:
        asked = _request_behind(why)
        if asked is None:
            raise
        raise asked from None
    finally:
        for number in ours:
            signal.signal(number, signal.SIG_DFL)


def as_usual() -> None:
    """What a process of a pool does first: it ends when it is told to, even while it hands over its result.

    An exception would be handed over in its turn, to a pool that has lost another process and reads no more.
    """
    for name in _NAMES:
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_DFL)


def _request_behind(why: BaseException) -> BaseException | None:
    """The request to end during whose handling `why` was raised."""
    found: BaseException | None = why
    while found is not None and not isinstance(found, Stopped | KeyboardInterrupt):
        found = found.__context__
    return found
