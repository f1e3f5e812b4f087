"""Why an element of a result is NaN.

A `gauge` function never raises for a number that it cannot use: the element becomes NaN and the
reason is noted, so that one bad row does not spoil a column. A caller who wants the reasons opens a
collector around the call::

    with reasons() as why:
        h = immersion(0.5, 0.05, 0.2, 850.0)
    why.at(h)   # array of texts, "" where the result is good
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Final, Literal, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
"""What the functions of this package return: an array, or a numpy float for scalars."""

Kind = Literal["missing", "unusable", "impossible"]
"""missing: data is not there. unusable: an argument is none that can be used. impossible: the arguments
are sound, and physics (or the equation, or the table) has no answer for them: the float sinks."""
MISSING: Final = "missing"
UNUSABLE: Final = "unusable"
IMPOSSIBLE: Final = "impossible"


class Refused(ValueError):
    """What a function that answers with a whole table raises: the reason, and of which kind it is."""

    def __init__(self, text: str, kind: Kind = UNUSABLE) -> None:
        super().__init__(text)
        self.kind: Kind = kind


class Reasons:
    """The masks and texts noted while the collector was open, in the order in which they were noted."""

    def __init__(self, spans: Sequence[tuple[Array, float, float]] = ()) -> None:
        self._notes: list[tuple[NDArray[np.bool_], str, Kind]] = []
        self.spans = spans
        """Arrays that the caller has been through, each with its lowest and highest number."""

    def note(self, mask: NDArray[np.bool_], text: str, kind: Kind = IMPOSSIBLE) -> None:
        self._notes.append((mask, text, kind))

    def __bool__(self) -> bool:
        return bool(self._notes)

    def at(self, result: ArrayLike) -> NDArray[np.object_]:
        """The first reason noted for each element of `result`; "" where none was."""
        return self.why(result)[0]

    def why(self, result: ArrayLike) -> tuple[NDArray[np.object_], NDArray[np.object_]]:
        """The first reason noted for each element of `result`, and its kind; "" where none was."""
        shape = np.shape(result)
        texts: NDArray[np.object_] = np.full(shape, "", dtype=object)
        kinds = texts.copy()
        for mask, text, kind in reversed(self._notes):
            try:
                where = np.broadcast_to(mask, shape)
            except ValueError:  # noted for an intermediate of another shape: it concerns all elements
                where = np.full(shape, bool(mask.any()))
            texts[where], kinds[where] = text, kind
        return texts, kinds


_collector: ContextVar[Reasons | None] = ContextVar("xlfuncs_reasons", default=None)


@contextmanager
def reasons(spans: Sequence[tuple[Array, float, float]] = ()) -> Iterator[Reasons]:
    """Collect the reasons for NaN of every `gauge` call made inside the block.

    `spans` are arrays among the arguments whose lowest and highest number is known.
    """
    found = Reasons(spans)
    token = _collector.set(found)
    try:
        yield found
    finally:
        _collector.reset(token)


def refuse(value: ArrayLike, mask: ArrayLike, text: str, kind: Kind = IMPOSSIBLE) -> Array:
    """`value` with NaN where `mask` holds; the reason goes to the open collector, if there is one.

    `text` is one short line for the person at the sheet: name the argument, say what is wrong with
    it and how to mend it.
    """
    if type(mask) is np.bool_ and not mask:  # of a scalar, for which the rest takes far longer
        return cast(Array, value)
    bad = np.asarray(mask, dtype=np.bool_)
    if not bad.any():
        return cast(Array, value)
    collector = _collector.get()
    if collector is not None:
        collector.note(bad, text, kind)
    return scalar(np.where(bad, np.nan, value))


def scalar(array: NDArray[np.float64]) -> Array:
    """A numpy float for an array without dimensions, otherwise the array itself."""
    return array[()]


def _floats(value: Any) -> Array:
    """A number as numpy's, whose arithmetic is quicker than that of an array without dimensions."""
    if type(value) is float or type(value) is int:
        return cast(Array, np.float64(value))
    return np.asarray(value, dtype=np.float64)


def _known_span(array: Array) -> tuple[float, float] | None:
    collector = _collector.get()
    for known, low, high in collector.spans if collector is not None else ():
        if known is array:
            return low, high
    return None


def span(array: Array) -> tuple[float, float]:
    """Lowest and highest number of an array; without a pass over it where they are known."""
    return _known_span(array) or (float(array.min()), float(array.max()))


def positive(name: str, value: ArrayLike) -> Array:
    """`value` as floats, NaN (with a reason) where it is not above zero."""
    number = _floats(value)
    if number.ndim and number.size:  # one pass less over a long array
        known = _known_span(number)
        if (known[0] if known else number.min()) > 0:
            return number
    return refuse(number, number <= 0, f"{name} must be above 0", UNUSABLE)


def not_negative(name: str, value: ArrayLike) -> Array:
    """`value` as floats, NaN (with a reason) where it is below zero."""
    number = _floats(value)
    return refuse(number, number < 0, f"{name} must not be negative", UNUSABLE)
