"""Readings as people write them down, turned into numbers: 'empty', '<0', 'above scale', '45 %', 'DCS 62'.

A level indicator shows no further than its ends: what is said of an end becomes the end, with a limit (-1:
there or below, 1: there or above). A percentage is of the visible range for what the indicator shows, and of
LRV to URV for what a control system shows: it becomes the current that gives it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xlfuncs.data import load
from xlfuncs.gauge.readings import Gauge
from xlfuncs.gauge.signal import SPAN, ZERO
from xlfuncs.units import UnitError, find_unit, parse
from xlfuncs.worksheet.float_table import is_blank, is_unit_row, squash

Rows = Sequence[Sequence[Any]]
_BOUND = re.compile(
    r"^\s*(<=?|≤|>=?|≥|below|under|less than|above|over|more than)\s*(.*\d.*)$", re.IGNORECASE
)
_OF = re.compile(r"(%|\bpercent|\bper cent|\bpct)\s*(of (the )?(range|span|scale))?", re.IGNORECASE)
_PERCENT = re.compile(r"^\s*([-+]?\d+(?:[.,]\d+)?)\s*(?:%|percent|per cent|pct)[\s\w]*$", re.IGNORECASE)
_PLAIN = re.compile(r"[-+]?\d+(\.\d+)?")
_LARGEST = 25.0
"""mA; a larger number under a heading that may mean both is a percentage."""


@dataclass(frozen=True, slots=True)
class Said:
    """Rows whose cells are numbers of the headings' units."""

    rows: list[list[Any]]
    limits: list[float]
    """For each row below the headings (and units) that is not blank."""
    drained: frozenset[int]
    """Which of those say that there is no level at all."""


def bare_heading(heading: str) -> str:
    """A heading without '%', 'percent of range'."""
    return " ".join(_OF.sub(" ", heading).replace("()", " ").replace("[]", " ").split())


def in_percent(heading: str) -> bool:
    """A heading that says percent."""
    return bool(_OF.search(heading))


def exceeds_current(cells: Sequence[Any]) -> bool:
    """Some number is too large for a current in mA: it is a percentage."""
    plain = (str(c).strip().replace(",", ".") for c in cells if not isinstance(c, bool))
    return any(_PLAIN.fullmatch(text) is not None and float(text) > _LARGEST for text in plain)


def as_numbers(rows: Rows, names: Sequence[str | None], gauge: Gauge, what: str) -> Said:
    """The same rows with numbers for words, bounds and percentages; ValueError says what is missing.

    `names`: the field of each column.
    """
    made = [list(row) for row in rows]
    filled = [i for i, row in enumerate(made) if any(not is_blank(cell) for cell in row)]
    if len(filled) < 2:
        return Said(made, [], frozenset())
    head = filled[0]
    units = filled[1] if is_unit_row(made[filled[1]]) else None
    body = filled[2:] if units is not None else filled[1:]
    limits, drained = [0.0] * len(body), set[int]()
    for at, (heading, name) in enumerate(zip(made[head], names, strict=True)):
        if name not in ("level", "indicated", "current"):
            continue
        below = made[units][at] if units is not None else ""
        cells = [made[i][at] for i in body]
        column = _Column(name, str(heading), str(below or ""), gauge, f"{what}, {heading}", cells)
        if not column.wants():
            continue
        for number, i in enumerate(body):
            value, limit = column.read(made[i][at])
            made[i][at] = value
            if name == "indicated":
                limits[number] = limit
            elif name == "level" and limit:
                drained.add(number)
                made[i][at] = None
        made[head][at] = column.heading
        if units is not None:
            made[units][at] = column.unit
    return Said(made, limits, frozenset(drained))


@dataclass(frozen=True, slots=True)
class _Column:
    """A column of readings with the unit that its cells are turned into."""

    name: str
    text: str
    below: str
    gauge: Gauge
    what: str
    cells: Sequence[Any]

    @property
    def unit(self) -> str:
        return "mA" if self.name == "current" else "mm"

    @property
    def heading(self) -> str:
        label = load("observations")["readings"][self.name]["label"]
        return f"{label} ({self.unit})"

    @property
    def percent(self) -> bool:
        return in_percent(self.text) or self.below.strip(" ()[]") == "%" or self._numbers_are_percent()

    @property
    def length(self) -> str:
        """The unit of length that a control system's values are in, "" for none."""
        if self.name != "current":
            return find_unit(self.below, "length") or find_unit(self.text, "length") or "mm"
        return find_unit(self.below, "length") or find_unit(self.text, "length") or ""

    def wants(self) -> bool:
        """Something in the column is no plain number of its unit."""
        if self.percent or (self.name == "current" and self.length):
            return True
        return any(isinstance(cell, str) and self._says(cell) for cell in self.cells)

    def _numbers_are_percent(self) -> bool:
        """Under a heading that may mean both, one number too large for a current makes all percentages."""
        if self.name != "current" or self.length:
            return False
        if find_unit(self.below, "current") or find_unit(self.text, "current"):
            return False
        return exceeds_current(self.cells)

    def _says(self, cell: str) -> bool:
        return bool(_PERCENT.match(cell) or _BOUND.match(cell) or _end_of(cell))

    def read(self, cell: Any) -> tuple[Any, float]:
        """(number, or what it was; limit)."""
        if is_blank(cell):
            return cell, 0.0
        if isinstance(cell, str):
            end = _end_of(cell)
            if end:
                return self._at_end(end, cell), end
            if bound := _BOUND.match(cell):
                way = -1.0 if bound[1].lower() in ("<", "<=", "≤", "below", "under", "less than") else 1.0
                value, _ = self.read(bound[2])
                return value, way
            if share := _PERCENT.match(cell):
                return self._of_range(float(share[1].replace(",", "."))), 0.0
        number = self._number(cell)
        if number is None:
            return cell, 0.0
        if self.percent:
            return self._of_range(number), 0.0
        if self.name == "current" and self.length:
            level = float(parse(str(cell), "length", self.length).si)
            return self._current((level - self.gauge.lrv) / self._span()), 0.0
        if self.name == "current":
            return number, 0.0
        return float(parse(str(cell), "length", self.length).si) * 1e3, 0.0

    def _number(self, cell: Any) -> float | None:
        if isinstance(cell, bool):
            return None
        if isinstance(cell, (int, float)):
            return float(cell)
        quantity, unit = ("length", self.length or "mm")
        if self.name == "current" and not self.length:
            quantity, unit = "current", "mA"
        try:
            value = parse(str(cell), quantity, unit)
        except (UnitError, ValueError):
            return None
        return float(value.si) * 1e3

    def _at_end(self, end: float, cell: str) -> float | None:
        if self.name == "current":
            return 3.8 if (end < 0) != self.gauge.reverse else 20.5
        if end < 0:
            return 0.0
        if not self.gauge.visible_range > 0:
            raise ValueError(f"{self.what}: '{cell}': give the visible range with the float's data")
        return self.gauge.visible_range * 1e3

    def _of_range(self, percent: float) -> float:
        if self.name == "current":
            return self._current(percent / 100)
        if not self.gauge.visible_range > 0:
            raise ValueError(
                f"{self.what}: a percentage needs the visible range; state it with the float's data"
            )
        return self.gauge.visible_range * 1e3 * percent / 100

    def _span(self) -> float:
        span = self.gauge.urv - self.gauge.lrv
        if not span > 0:
            raise ValueError(f"{self.what}: needs LRV and URV; state them with the float's data")
        return span

    def _current(self, share: float) -> float:
        self._span()
        return 1e3 * (ZERO + SPAN * (1 - share if self.gauge.reverse else share))


def _end_of(cell: str) -> float:
    """-1 for a word that says the lower end, 1 for the upper, 0 for others."""
    plain = squash(cell)
    words = load("observations")["words"]
    for group, way in (("below", -1.0), ("above", 1.0)):
        if plain in {squash(word) for word in words[group]}:
            return way
    return 0.0
