"""The rule unit-ambiguous."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.sheet.shared import cell_hit, cells_of
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.model import Recognised
from xlfuncs.units import UnitError, converter
from xlfuncs.vocabulary.meaning import Kind


@rule(
    "unit-ambiguous",
    Severity.WARNING,
    passing={"design_pressure": "10 barg"},
    firing={"design_pressure": "10 bar"},
)
def unit_ambiguous(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A unit that can be read in two ways, or none at all.

    Finds: a pressure in bar, psi or the like without gauge or absolute; a column whose unit stands
        nowhere and cannot be told from its numbers.
    Why: gauge and absolute differ by one atmosphere, which decides at low pressures; a number without
        its unit proves nothing.
    Mend: write the unit into the heading; for a pressure barg or bara (psig or psia).
    """
    for doubt in gauges.book.doubts:
        if doubt.kind == "unit":
            fields, mend = ",".join(doubt.fields), "write the unit into the heading, or beside each number."
            yield Hit(-1, doubt.sheet, doubt.cell, "", doubt.text, fields, mend=mend)
    headings = {
        (table.kind, r.sheet, r.field, _assumed(r)): r.heading_cell
        for table in (*gauges.book.gauges, *gauges.book.floats)
        for r in table.recognised
        if r.unit_source in ("heading", "unit row", "said")
    }
    for column in cells_of(gauges):
        told: set[tuple[str, str]] = set()
        for record, assumption in sorted(column.assumed.items()):
            if not column.given[record]:
                continue
            sheet = str(column.sheet[record])
            kind: Kind = "gauges" if gauges.own.get(column.field) is column else "floats"
            cell = headings.get((kind, sheet, column.field, assumption))
            if cell is None:
                yield cell_hit(gauges, column, record, f"{label(column.field)}: {assumption}")
            elif (sheet, cell) not in told:
                told.add((sheet, cell))
                yield Hit(-1, sheet, cell, "", f"{label(column.field)}: {assumption}", column.field)


def _assumed(found: Recognised) -> str:
    """What has to be assumed of the unit in a heading, "" if it is clear."""
    quantity = load("fields")[found.field].get("quantity")
    if not quantity or not found.unit:
        return ""
    try:
        return converter(found.unit, quantity, assume=True).assumed
    except UnitError:
        return ""
