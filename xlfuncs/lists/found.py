"""A column of a list and what it was taken for; a list with its columns; what makes a list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from xlfuncs.vocabulary.meaning import Kind, Reading, fields


@dataclass(slots=True)
class Found:
    """A column of a list and what it was taken for."""

    field: str
    """"" if it was not taken for anything."""
    index: int
    """Into the columns of the grid."""
    heading: str
    heading_cell: str
    unit: str = ""
    unit_source: str = ""
    score: float = 0.0
    runner_up: str = ""
    runner_up_score: float = 0.0
    reading: Reading | None = None
    unit_row: str = ""
    doubted: str = ""
    """A field that the column may be, without being sure enough to decide anything."""
    known: str = ""
    """What a column is that is no field, where that is known."""
    above: tuple[str, ...] = ()
    """The parts of its heading that span other columns too."""
    part: int = -1
    shared: bool = False
    """The unit behind the last value of a cell is that of all."""
    parts: int = 1
    misfit: str = ""
    """A unit that the heading states and that is none of the field's quantity."""
    confirmed: bool = False
    """A person has said what it is."""

    @property
    def weight(self) -> float:
        """How much it speaks for its list: a person's word counts as if it were certain."""
        return 1.0 if self.confirmed else self.score


@dataclass(slots=True)
class Layout:
    """A list in a sheet."""

    kind: Kind
    headings: tuple[int, ...]
    """Indexes of the heading rows, of the row of units too."""
    first: int
    """Index of the first row of data."""
    last: int
    """Index past the last row of data."""
    columns: dict[str, Found]
    others: list[Found] = field(default_factory=list)
    """Columns that were not taken for anything, those in doubt among them."""
    score: float = 0.0
    units_beside: dict[str, int] = field(default_factory=dict)


def key_column(layout: Layout) -> int | None:
    """Index of the column that names the records."""
    for name in ("tag", "tag_number") if layout.kind == "gauges" else ("float_part", "float_serial"):
        if name in layout.columns:
            return layout.columns[name].index
    return None


def holds_units(found: Found) -> bool:
    """Whether a column holds the units of the one left of it."""
    return found.reading is not None and found.reading.is_uom


FLOAT_NUMBERS: Final = (
    "float_mass", "float_diameter", "float_length", "magnet_height", "float_design_density",
    "float_max_pressure", "float_max_temperature", "float_wall",
)  # fmt: skip
_SHARED: Final = (
    "tag", "old_tag", "area", "service", "remarks", "serial", "instrument_type", "fluid_density",
    "fluid_density_min", "fluid_density_max", "visible_range", "service_type", "fluid", "transmitter_range",
)  # fmt: skip
"""Gauge fields whose headings a float list may carry as well."""


def has_tag(columns: Mapping[str, Any]) -> bool:
    return "tag" in columns or ("tag_letters" in columns and "tag_number" in columns)


def is_list(columns: Mapping[str, Found], kind: Kind) -> bool:
    """Whether these columns make an index of gauges or a float list."""
    gauge_only = [name for name in columns if "floats" not in fields()[name]["tables"]]
    float_numbers = sum(name in columns for name in FLOAT_NUMBERS)
    if kind == "floats":
        return ("float_part" in columns and float_numbers >= 2) or (
            "float_serial" in columns and float_numbers >= 3
        )
    telling = [name for name in gauge_only if name not in _SHARED]
    if has_tag(columns):
        return len(columns) >= 3 and (bool(telling) or "float_part" in columns or "fluid_density" in columns)
    return len(telling) >= 3 and len(columns) >= 5
