"""Remedies of gauges in memory: rows that differ from the sound gauge, and what mends a finding of them."""

from __future__ import annotations

from typing import Any

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.registry import Hit, remedy_of, rules
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings

Row = dict[str, Any]

THICK: Row = {
    "tag": "LG-1",
    "service_type": "level",
    "fluid": "Blend 7",
    "fluid_density": "880 kg/m3",
    "upper_density": "0 kg/m3",
    "level_rate": "5 mm/s",
    "viscosity": "150 mPa.s",
    "chamber_bore": "60 mm",
    "float_part": "A",
    "float_mass": "312.75 g",
    "float_diameter": "50.00 mm",
    "float_length": "250.0 mm",
    "float_ends": "flat",
    "magnet_height": "181.0 mm",
}
"""A gauge whose float lags: 50 mm in a bore of 60 mm, 181 mm deep, as its magnet plane is high."""


def columns(rows: list[Row]) -> dict[str, list[Any]]:
    """The same by columns: a field that a row does not state is blank there."""
    return {name: [row.get(name) for row in rows] for name in dict.fromkeys(n for row in rows for n in row)}


def gauges_from(*rows: Row, base: Row | None = None, floats: list[Row] | None = None) -> Gauges:
    """Gauges that differ from the sound one, or from another one, with their own tags and serials."""
    full = [
        (SOUND if base is None else base)
        | {"tag": f"LG-{1000 + at}", "serial": f"QX-{50100 + at}", "float_serial": f"F-{7100 + at}"}
        | row
        for at, row in enumerate(rows)
    ]
    return gauges_of(columns(full), None if floats is None else columns(floats))


def hits(slug: str, gauges: Gauges, settings: Settings | None = None) -> list[Hit]:
    """What a rule finds."""
    return [one for one in rules()[slug].check(gauges, settings or Settings()) if isinstance(one, Hit)]


def remedies(slug: str, gauges: Gauges, settings: Settings | None = None) -> list[Remedy | None]:
    """What would mend each finding of a rule."""
    settings = settings or Settings()
    return [remedy_of(rules()[slug], gauges, settings, hit) for hit in hits(slug, gauges, settings)]


def mended(slug: str, gauges: Gauges, settings: Settings | None = None) -> Remedy:
    """What would mend the first finding of a rule."""
    found = remedies(slug, gauges, settings)[0]
    assert found is not None
    return found


def put(option: Option) -> dict[str, str]:
    """The cells that an option changes, each with what a reader types into it."""
    typed = {option.name: str(option.value)} if option.name and option.value is not None else {}
    return typed | {name: str(value) for name, value in option.along}


def values(remedy: Remedy) -> list[dict[str, str]]:
    """What each option of a remedy puts into the cells."""
    return [put(option) for option in remedy.options]
