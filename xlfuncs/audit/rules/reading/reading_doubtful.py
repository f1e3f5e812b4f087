"""The rule reading-doubtful."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.examples import Unclear
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.settings import Settings


@rule(
    "reading-doubtful",
    Severity.NOTE,
    last=True,
    passing={"flange_class": "150"},
    firing={"flange_class": Unclear("Connection", "150")},
)
def reading_doubtful(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A column that rules need was not taken, for it is not sure what it is.

    Finds: a column with data that may be one or another field, so that it was used for none, and rules
        that could not be decided without it.
    Why: what stands in the column was not checked; a wrong guess would have invented findings.
    Mend: say what the column is, with the option that the report names, in a READING.toml or on the sheet
        'Reading' of the annotated copy; and audit again.
    """
    for one in gauges.waiting:
        column = one.column
        if column.what == "doubt" and one.rules:
            mend = f"say which with {' or '.join(column.options)}, and audit again."
            count = f"{len(one.rules)} rule{'' if len(one.rules) == 1 else 's'}"
            wait = f"{count} for {one.gauges:,} gauge{'' if one.gauges == 1 else 's'} wait for it"
            yield Hit(-1, column.sheet, column.cell, "", f"{column.text}; {wait}", mend=mend)
