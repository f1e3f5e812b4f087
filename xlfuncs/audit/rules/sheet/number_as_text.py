"""The rule number-as-text."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import DISPLAY_UNITS, Gauges, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.sheet.shared import as_typed, cell_hit, cells_of
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.model import Column, State
from xlfuncs.units import UnitError, converter


@rule(
    "number-as-text",
    Severity.NOTE,
    passing={"stated_current": "12 mA"},
    firing={"stated_current": "'12,0"},
)
def number_as_text(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A number kept as text.

    Finds: a number with a decimal comma, a unicode minus, a word ('est.') or another sign that makes the
        program keep it as text, or a ditto mark. The audit reads and uses it, and says what it took it for.
    Why: formulas of the sheet skip such a cell in silence: SUM and charts leave it out.
    Mend: enter it as a number and put the unit into the heading.
    """
    stated = {
        (one.sheet, one.column)
        for table in (*gauges.book.gauges, *gauges.book.floats)
        for one in table.recognised
        if one.unit_source in ("heading", "unit row")
    }
    for column in cells_of(gauges):
        if load("fields")[column.field]["kind"] != "quantity":
            continue
        noted_or_text = set(np.flatnonzero(column.state == State.TEXT_NUMBER).tolist())
        noted_or_text |= {record for record in column.noted if column.given[record]}
        for record in sorted(noted_or_text):
            if record in column.assumed:  # its unit is in doubt: `unit-ambiguous` names the cell
                continue
            typed, noted = as_typed(column, record), column.noted.get(record, "")
            if not any(map(str.isdigit, typed)) and not noted:  # 'atm' is a word that says a number
                continue
            read = f"; read as {_read_as(column, record)}: {noted}" if noted else ""
            yield cell_hit(
                gauges,
                column,
                record,
                f"{label(column.field)} '{typed}' is kept as text, not as a number{read}",
                mend=_IN_HEADING if _column_of(column, record) in stated else "",
            )


_IN_HEADING = "Enter it as a number; its unit stands in the heading."


def _column_of(column: Column, record: int) -> tuple[str, str]:
    """Sheet and letter of the column in which a cell stands."""
    return str(column.sheet[record]), column.address(record).rstrip("0123456789")


def _read_as(column: Column, record: int) -> str:
    """What a text was taken for, in its unit."""
    quantity = load("fields")[column.field]["quantity"]
    try:
        kind = converter(str(column.unit[record]), quantity, assume=True)
    except UnitError:  # a kinematic viscosity has become a dynamic one
        kind = converter(DISPLAY_UNITS[quantity], quantity)
    ends = dict.fromkeys(float(kind.from_si(float(si))) for si in (column.low[record], column.high[record]))
    numbers = sorted(number for number in ends if number == number)
    bound = "" if len(ends) == len(numbers) else "at least " if np.isnan(column.high[record]) else "at most "
    return f"{bound}{' to '.join(f'{number:.6g}' for number in numbers)} {kind.unit}"
