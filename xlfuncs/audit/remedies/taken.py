"""What comes of a remedy: its values put into the gauge, and the rules asked again."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from functools import wraps
from typing import Any, Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Rule, rules
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.model import Column, State, Table
from xlfuncs.units import UnitError, converter

FAMILIES: Final = ("float_fluid", "strength", "geometry", "tracing")
"""Families whose rules decide on the values of one gauge."""
_OF_PLACES: Final = (
    "visible_range", "visible_low", "connection_distance", "lrv", "urv", "stated_level", "stated_current",
    "scale_zero", "action", "switch_lsll", "switch_lsl", "switch_lsh", "switch_lshh",
)  # fmt: skip
"""Fields of which the rules of geometry speak, and `chamber-colder`; no others, which take longer."""
_OF_STRENGTH: Final = (
    "test_pressure", "design_pressure", "design_temperature", "flange_class", "chamber_material", "tracing",
    "tracer_output", "insulation_thickness", "sheath_temperature",
)  # fmt: skip
"""Fields that change no reading."""
Cell = float | str
"""An SI number, or a text."""
Cure = Callable[[Gauges, Settings, Hit], Remedy | None]


def changes_of(option: Option) -> dict[str, Cell]:
    """What an option puts into the gauge's cells."""
    values = [*option.along] if option.value is None else [(option.name, option.value), *option.along]
    found: dict[str, Cell] = {}
    for name, value in values if option.name else option.along:
        known = load("fields")[name]
        if known["kind"] == "text" or isinstance(value.value, str):
            found[name] = str(value.value)
            continue
        try:
            unit = converter(value.unit, known["quantity"], assume=True)
        except UnitError:
            continue
        found[name] = float(unit.to_si(float(value.value)))
    return found


def alone(gauges: Gauges, record: int, changes: Mapping[str, Cell] | None = None) -> Gauges:
    """One gauge as a table of its own, with other values in some of its cells."""
    at = np.array([record])
    own = {name: column.take(at) for name, column in gauges.own.items()}
    for name, value in (changes or {}).items():
        own[name] = _put(own.get(name) or gauges.column(name).take(at), value, gauges.unit_of(record, name))
    hidden = np.zeros(1, dtype=np.bool_)
    table = Table("gauges", str(gauges.sheet[record]), own, [], gauges.row[at], hidden)
    book = replace(gauges.book, gauges=[table], has_formulas=False)
    return Gauges(book, gauges.settings, own=own, listed=gauges.listed)


def _put(column: Column, value: Cell, unit: str) -> Column:
    """A column of one cell with another value in it."""
    number = np.nan if isinstance(value, str) else value
    parts: dict[str, Any] = {
        "raw": np.array([value], dtype=object),
        "state": np.array([State.OK], dtype=np.uint8),
        "low": np.array([number]),
        "high": np.array([number]),
        "text": np.array([value if isinstance(value, str) else ""], dtype=object),
        "unit": np.array([unit], dtype=object),
    }
    return replace(column, **parts)


def shown(gauges: Gauges, settings: Settings, fields: Collection[str] = ()) -> dict[str, Hit]:
    """The first finding of each rule on the values of one gauge that a report would show.

    `fields`: those that were changed; rules that do not speak of them are not asked.
    """
    found: dict[str, Hit] = {}
    for item in _asked(settings, _about(fields)):
        fired = [one for one in item.check(gauges, settings) if isinstance(one, Hit)]
        if item.spoils:
            gauges = gauges.without((one.sheet, one.cell) for one in fired)
        if fired and item.severity is not Severity.NOTE:
            found[item.slug] = fired[0]
    covered = {slug for item in found for slug in rules()[item].covers}
    return {slug: hit for slug, hit in found.items() if slug not in covered}


def _about(fields: Collection[str]) -> str:
    """'places' or 'strength' where the changed fields are about nothing else; "" where they may be."""
    for what, known in (("places", _OF_PLACES), ("strength", _OF_STRENGTH)):
        if fields and {*fields} <= {*known}:
            return what
    return ""


def _asked(settings: Settings, about: str) -> list[Rule]:
    """The rules that may say something of a value, as the audit runs them."""
    families = ("geometry",) if about == "places" else FAMILIES
    besides = ("value-implausible", "chamber-colder")
    unasked = {*settings.ignore, *(["worst-reading-exceeds-tolerance"] if about == "strength" else ())}
    return [
        item
        for item in sorted(rules().values(), key=lambda item: item.late)
        if (item.family in families or item.slug in besides) and item.slug not in unasked
    ]


def after(gauges: Gauges, settings: Settings, record: int, changes: Mapping[str, Cell]) -> dict[str, Hit]:
    """What the rules find at a gauge with other values."""
    return shown(alone(gauges, record, changes), settings, changes)


def before(gauges: Gauges, settings: Settings, record: int, fields: Collection[str] = ()) -> dict[str, Hit]:
    """What the rules find at a gauge as it stands, asked once."""
    key = f"shown {record} {_about(fields)}"
    return gauges.derived(key, lambda: shown(alone(gauges, record), settings, fields))


def brought(gauges: Gauges, settings: Settings, record: int, option: Option) -> dict[str, Hit]:
    """What the rules find at a gauge when an option is taken, and do not find now."""
    changes = changes_of(option)
    if not changes:
        return {}
    if not (then := after(gauges, settings, record, changes)):
        return {}
    now = before(gauges, settings, record, changes)
    return {slug: hit for slug, hit in then.items() if slug not in now}


def tried(cure: Cure) -> Cure:
    """A remedy that also says what else its values would bring, each option taken by itself."""

    @wraps(cure)
    def whole(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
        remedy = cure(gauges, settings, hit)
        if remedy is None or hit.record < 0:
            return remedy
        said = []
        for option in remedy.options:
            if found := brought(gauges, settings, hit.record, option):
                said.append(_then(option, found, alone_here=len(remedy.options) == 1))
        return replace(remedy, text=" ".join((remedy.text, *said))) if said else remedy

    return whole


def _then(option: Option, found: Mapping[str, Hit], alone_here: bool) -> str:
    """What has to be mended with an option, as a sentence."""
    what = "; ".join(f"{hit.message} ({slug})" for slug, hit in found.items())
    return f"{'That' if alone_here else f'With {option.text}, that'} has to be mended then as well: {what}."


def along(*pairs: tuple[str, Measure | None]) -> tuple[tuple[str, Measure], ...]:
    """Values that change with an option; those without a number are left out."""
    return tuple((name, value) for name, value in pairs if value is not None)
