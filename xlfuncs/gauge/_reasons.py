"""Why an element of a result is NaN.

A `gauge` function never raises for a number that it cannot use: the element becomes NaN and the
reason is noted, so that one bad row does not spoil a column. A caller who wants the reasons opens a
collector around the call::

    with reasons() as why:
        h = immersion(0.5, 0.05, 0.2, 850.0)
    why.at(h)   # array of texts, "" where the result is good
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
"""What the functions of this package return: an array, or a numpy float for scalars."""


class Reasons:
    """The masks and texts noted while the collector was open, in the order in which they were noted."""

    def __init__(self) -> None:
        self._notes: list[tuple[NDArray[np.bool_], str]] = []

    def note(self, mask: NDArray[np.bool_], text: str) -> None:
        self._notes.append((mask, text))

    def __bool__(self) -> bool:
        return bool(self._notes)

    def at(self, result: ArrayLike) -> NDArray[np.object_]:
        """The first reason noted for each element of `result`; "" where none was."""
        shape = np.shape(result)
        texts: NDArray[np.object_] = np.full(shape, "", dtype=object)
        for mask, text in reversed(self._notes):
            try:
                where = np.broadcast_to(mask, shape)
            except ValueError:  # noted for an intermediate of another shape: it concerns all elements
                where = np.full(shape, bool(mask.any()))
            texts[where] = text
        return texts


_collector: ContextVar[Reasons | None] = ContextVar("xlfuncs_reasons", default=None)


@contextmanager
def reasons() -> Iterator[Reasons]:
    """Collect the reasons for NaN of every `gauge` call made inside the block."""
    found = Reasons()
    token = _collector.set(found)
    try:
        yield found
    finally:
        _collector.reset(token)


def refuse(value: ArrayLike, mask: ArrayLike, text: str) -> Floats:
    """`value` with NaN where `mask` holds; the reason goes to the open collector, if there is one.

    `text` is one short line for the person at the sheet: name the argument, say what is wrong with
    it and how to mend it.
    """
    bad = np.asarray(mask, dtype=np.bool_)
    if not bad.any():
        return cast(Floats, value)
    collector = _collector.get()
    if collector is not None:
        collector.note(bad, text)
    return scalar(np.where(bad, np.nan, value))


def scalar(array: NDArray[np.float64]) -> Floats:
    """A numpy float for an array without dimensions, otherwise the array itself."""
    return array[()]


def positive(name: str, value: ArrayLike) -> Floats:
    """`value` as floats, NaN (with a reason) where it is not above zero."""
    number = np.asarray(value, dtype=np.float64)
    return refuse(number, number <= 0, f"{name} must be above 0")


def not_negative(name: str, value: ArrayLike) -> Floats:
    """`value` as floats, NaN (with a reason) where it is below zero."""
    number = np.asarray(value, dtype=np.float64)
    return refuse(number, number < 0, f"{name} must not be negative")
