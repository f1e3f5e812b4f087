"""Floats that changed places, put back: how each then reads at worst, and which limits it still breaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Rule, rules
from xlfuncs.audit.remedies.doubted import Body, reads
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.taken import FAMILIES, alone
from xlfuncs.audit.remedies.trial import Trial
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import proposals
from xlfuncs.gauge import choice

OF_FLOATS: Final = ("float_", "magnet_")
"""How the fields begin that go with a float into another row."""
_READ: Final = ("offset-exceeds-tolerance", "worst-reading-exceeds-tolerance", "design-density-mismatch")
"""Rules whose matter the worst reading tells."""
_LISTED: Final = ("float-not-in-list", "serial-mismatch", "serial-reused")
"""Rules on what is written of a float, not on the float."""
TOLD: Final = 5
"""Other gauges of a ring that a remedy speaks of; each has its own."""


@dataclass(frozen=True)
class Moved:
    """One gauge of a ring with the float that belongs into it."""

    gauges: Gauges
    settings: Settings
    record: int
    other: int
    """The gauge that has its float now."""
    ends: str
    """Shape of that float's ends: the stated one, else that with which it reads nearest to the truth."""

    @property
    def tag(self) -> str:
        return self.gauges.tag(self.record) or f"row {self.gauges.row[self.record]}"

    @property
    def body(self) -> Body:
        mass, diameter, length, _ = (column[self.other] for column in self.gauges.float_shape)
        plane = self.gauges.si("magnet_height")[self.other]
        return float(mass), float(diameter), float(length), float(plane), self.ends

    def extremes(self) -> tuple[choice.Extreme, choice.Extreme] | None:
        """Lowest and highest reading over all cases; None where there is none."""
        return self.gauges.derived(f"worst of the float of {self.other} in {self.record}", self._extremes)

    def _extremes(self) -> tuple[choice.Extreme, choice.Extreme] | None:
        duty = duty_of(self.gauges, self.settings, self.record)
        return None if duty is None else Trial(self.gauges, self.record, duty, self.other).ends(self.body)

    def read(self) -> tuple[str, dict[str, float]]:
        """How it reads at worst, as what 'it' does, and the numbers."""
        ends = self.extremes()
        if ends is None:
            return "has no worst reading that can be computed", {}
        low, high = (1e3 * one.reading for one in ends)
        limit = self.settings.offset_tolerance_mm
        beyond = max(-low, high) > limit * (1 + 1e-9)
        told = f"{reads(low, high)} at worst{f', beyond the tolerance of {limit:g} mm' if beyond else ''}"
        return told, {"worst_reading_low_mm": low, "worst_reading_high_mm": high}

    def broken(self) -> list[str]:
        """The limits that the float breaks in this gauge, each with its rule."""
        key = f"limits of the float of {self.other} in {self.record}"
        return self.gauges.derived(key, self._broken)

    def _broken(self) -> list[str]:
        own = {
            name: column.take(np.array([self.other if name.startswith(OF_FLOATS) else self.record]))
            for name, column in self.gauges.own.items()
        }
        there = _found(self._table(own, self.gauges.listed), self.settings)
        bare = {name: column for name, column in own.items() if not name.startswith(OF_FLOATS)}
        without = _found(self._table(bare, {}), self.settings)  # what is no matter of the float
        return [f"{message} ({slug})" for slug, message in there if (slug, message) not in without]

    def _table(self, own: Mapping[str, Any], listed: Mapping[str, Any]) -> Gauges:
        one = alone(self.gauges, self.record)
        return Gauges(one.book, one.settings, own=dict(own), listed=dict(listed))

    def calculation(self) -> Calculation | None:
        """How it reads at worst, by the cells of both rows."""
        ends = self.extremes()
        if ends is None:
            return None
        farthest = max(ends, key=lambda one: abs(one.reading))
        asked = proposals.Asked(self.gauges, self.settings, self.record)
        return proposals.of_another(asked, self.other, farthest, self.ends)


def exchange(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy:
    """The float that belongs into this gauge, of those that changed places, and what comes of it in each."""
    ring = [Moved(gauges, settings, *one) for one in hit.case["ring"]]
    here = next(one for one in ring if one.record == hit.record)
    told, worst = here.read()
    numbers = {"offset_mm": float(hit.evidence["offset_with_the_other_mm"])} | worst
    options = tuple(
        Option(text, field, Measure(text), numbers)
        for field in ("float_part", "float_serial")
        if (text := str(gauges.texts(field)[here.other]))
    )
    tag = gauges.tag(here.other) or f"row {gauges.row[here.other]}"
    what = f" ({', '.join(option.text for option in options)})" if options else ""
    cold = round(numbers["offset_mm"], 1) + 0.0
    said = (
        "Read the floats on site first: if they are where they belong, the list is to be mended and no float"
        f" moved. Else float of {tag}{what} into this gauge, and its columns of the float into this row: its"
        f" cold offset is {cold:+.1f} mm here, it {told}{_limits(here)}{_marking(gauges, here, tag)}"
    )
    at = ring.index(here)  # each gets the float of the next one
    others = (*ring[at + 1 :], *ring[:at])
    rest = [f"{one.tag} {one.read()[0]}{_limits(one)}" for one in others[:TOLD]]
    more = f"; and {len(others) - TOLD} more" if len(others) > TOLD else ""
    text = f"{said}. Put back so, {'; '.join(rest)}{more}."
    works = ((f"{one.tag} with its float put back", one.calculation()) for one in others[:TOLD])
    return Remedy(text, options, here.calculation(), tuple((of, work) for of, work in works if work))


def _limits(one: Moved) -> str:
    broken = one.broken()
    return f", and the float still breaks a limit there: {'; '.join(broken)}" if broken else ""


def _found(gauges: Gauges, settings: Settings) -> list[tuple[str, str]]:
    """What the rules on a float find at a gauge."""
    asked = [item for item in rules().values() if _of_float(item) and item.slug not in settings.ignore]
    return [
        (item.slug, hit.message)
        for item in asked
        for hit in item.check(gauges, settings)
        if isinstance(hit, Hit)
    ]


def _of_float(item: Rule) -> bool:
    """Whether a rule holds a float's own data against its gauge."""
    asked = {need.partition(".")[0] for group in (*item.needed, item.assumes) for need in group}
    concerned = any(field.startswith(OF_FLOATS) for field in asked)
    judged = item.family in FAMILIES and item.severity is not Severity.NOTE
    return concerned and judged and item.slug not in (*_READ, *_LISTED)


def _marking(gauges: Gauges, here: Moved, tag: str) -> str:
    """What has to be said of the gauge's serial that the other float is marked with."""
    marked, own, theirs = (
        str(gauges.texts(field)[at])
        for field, at in (
            ("float_gauge_serial", here.other),
            ("serial", here.record),
            ("serial", here.other),
        )
    )
    if not marked or marked == own:
        return ""
    against = f", as if it belonged to {tag}" if marked == theirs else ""
    return f"; it is marked for gauge {marked}{against}" + (f"; mark it for {own} then" if own else "")
