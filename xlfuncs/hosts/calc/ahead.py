"""Calls from cells, answered; those that are likely to follow are answered with them.

Calc asks for one cell after the other, and a call from a column of cells takes as long as a hundred of its
rows in one call. When one cell is changed that many formulas refer to, the same calls as before come again,
with another value for one argument. So where some calls in a row are new, they are compared with the earlier
ones, and the calls that would follow are worked out together. A guess can be in vain, and never wrong: a
result is kept with the exact arguments that it was worked out for.
"""

from __future__ import annotations

import time
from collections import Counter
from typing import Any

from xlfuncs.hosts.calc.answer import answer
from xlfuncs.worksheet import find

ROOM = 50_000
"""Earlier calls that are kept for comparison."""
FIRST, LATER = 8, 8
"""A guess is made after so many new calls of a function in a row, and again after so many times as many."""
PAUSE = 0.1
"""Seconds between two calls that are not in a row."""
FEWEST = 16
"""Calls that are worth a guess."""

Cells = tuple[Any, ...]


class Ahead:
    """Answers calls, and remembers them for comparison."""

    def __init__(self) -> None:
        self._asked: dict[str, dict[Cells, None]] = {}
        self._new: dict[str, tuple[int, int, float]] = {}

    def answer(self, name: str, cells: Cells) -> tuple[Any, list[tuple[Cells, float]]]:
        """The result of a call as `answer` gives it, and other calls of the function with their results."""
        result = answer(name, cells)
        if type(result) is not float or any(isinstance(cell, (tuple, list)) for cell in cells):
            return result, []
        asked = self._asked.setdefault(name, {})
        count, due, last = self._new.get(name, (0, FIRST, 0.0))
        now = time.monotonic()
        count, due = (count + 1, due) if now - last < PAUSE else (1, FIRST)
        others: list[tuple[Cells, float]] = []
        if count == due:
            others = _guess(name, cells, result, asked)
            count, due = (0, FIRST) if others else (count, due * LATER)
        self._new[name] = count, due, now
        asked[cells] = None
        asked.update((other, None) for other, _ in others)
        _forget(asked)
        return result, others


def _forget(asked: dict[Cells, None]) -> None:
    """Drop the older half where there is no more room."""
    if len(asked) > ROOM:
        for cells in list(asked)[: ROOM // 2]:
            del asked[cells]


def _guess(name: str, cells: Cells, result: float, asked: dict[Cells, None]) -> list[tuple[Cells, float]]:
    """Calls that differ from `cells` as earlier ones differed from each other, and their results."""
    changed = _changed(cells, asked)
    if changed is None or find(name).result.shape != "cell":
        return []
    at, old = changed
    before = [call for call in asked if len(call) == len(cells) and call[at] == old]
    calls = dict.fromkeys([cells, *((*call[:at], cells[at], *call[at + 1 :]) for call in before)])
    columns = list(zip(*calls, strict=True))
    if len(calls) < FEWEST or not all(map(_can_be_a_column, columns)):
        return []
    together = [c[0] if _is_one(c) else [[cell] for cell in c] for c in columns]
    found = answer(name, together)
    if not isinstance(found, list) or found[0] != [result]:  # alone and together it has to be the same
        return []
    for call in before:
        del asked[call]
    others = zip(list(calls)[1:], (row[0] for row in found[1:]), strict=True)
    return [(call, value) for call, value in others if type(value) is float]


def _changed(cells: Cells, asked: dict[Cells, None]) -> tuple[int, Any] | None:
    """The place of the argument that was changed and what it was before; of several, what most calls have."""
    best, most = None, FEWEST - 1
    for at, new in enumerate(cells):
        counts = Counter(call[at] for call in asked if len(call) == len(cells))
        for old, count in counts.items():
            if count >= most and old != new and (*cells[:at], old, *cells[at + 1 :]) in asked:
                best, most = (at, old), count
    return best


def _is_one(column: Cells) -> bool:
    return all(cell == column[0] for cell in column)


def _can_be_a_column(column: Cells) -> bool:
    """Whether the cells of a range mean what each would mean alone: Calc hands over 0 for one left out."""
    return _is_one(column) or all(type(cell) in (int, float) and cell for cell in column)
