"""What several of the rules of this family need."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.lists.model import Column


def cells_of(gauges: Gauges) -> Iterator[Column]:
    """Every column as it stands in its sheet: the index, then the float lists."""
    yield from gauges.own.values()
    yield from gauges.listed.values()


def cell_hit(gauges: Gauges, column: Column, record: int, message: str, **details: object) -> Hit:
    """A hit at a cell of a column; it belongs to a gauge if the column is the index's own."""
    own = gauges.own.get(column.field) is column
    details.setdefault("found", Measure(as_typed(column, record)))
    return Hit(
        record if own else -1,
        str(column.sheet[record]),
        column.address(record),
        owner_of(gauges, column, record),
        message,
        column.field,
        **details,  # type: ignore[arg-type]
    )


def owner_of(gauges: Gauges, column: Column, record: int) -> str:
    """Tag of the gauge that a cell is about, or the part number of the float."""
    if gauges.own.get(column.field) is column:
        return gauges.tag(record)
    return str(gauges.listed["float_part"].text[record]) if "float_part" in gauges.listed else ""


def as_typed(column: Column, record: int) -> str:
    raw = column.raw[record]
    return f"{raw:g}" if isinstance(raw, float) else str(raw)
