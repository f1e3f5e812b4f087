"""Threads for what can be done beside something else, where there are any: a page of a browser has none."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class InTurn(Executor):
    """Does each piece of work when it is handed over."""

    def submit(self, work: Callable[P, T], /, *args: P.args, **keywords: P.kwargs) -> Future[T]:
        """The work, done."""
        done: Future[T] = Future()
        try:
            done.set_result(work(*args, **keywords))
        except BaseException as error:
            done.set_exception(error)
        return done


def workers(number: int) -> Executor:
    """Some threads, or one that does everything in turn."""
    threads = ThreadPoolExecutor(number)
    try:
        threads.submit(_nothing)
    except RuntimeError:  # no thread can be started
        return InTurn()
    return threads


def _nothing(*_: Any) -> None:
    """To see whether a thread starts."""
