"""How far a long audit has come, on a terminal only."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from typing import Any


class Progress:
    """A line on standard error that goes when the work is done; nothing where that is no terminal."""

    def __init__(self, books: int) -> None:
        self._books = books
        self._done = 0
        self._bar: Any = None
        self._task: Any = None
        if sys.stderr.isatty():
            from rich.console import Console
            from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
            from rich.progress import Progress as Bar

            self._bar = Bar(
                TextColumn("{task.description}", markup=False),
                BarColumn(),
                TimeElapsedColumn(),
                console=Console(stderr=True),
                transient=True,
            )
            self._task = self._bar.add_task("reading", total=books)

    def __enter__(self) -> Progress:
        if self._bar is not None:
            self._bar.start()
        return self

    def __exit__(self, *error: object) -> None:
        if self._bar is not None:
            self._bar.stop()

    def show(self, what: str, share: float = 0.0) -> None:
        """`share`: how much of the next book is done."""
        if self._bar is not None:
            self._bar.update(self._task, description=what, completed=self._done + share)

    def book_done(self) -> None:
        self._done += 1
        self.show(f"{self._done} of {self._books} books")

    @contextlib.contextmanager
    def hidden(self) -> Iterator[None]:
        """While something else is written to the terminal."""
        if self._bar is None:
            yield
            return
        self._bar.stop()
        try:
            yield
        finally:
            self._bar.start()
