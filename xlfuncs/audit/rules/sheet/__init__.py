"""Rules about the sheet itself: tags, units and what its cells hold."""

from __future__ import annotations

from xlfuncs.audit.rules.sheet.cell_error import cell_error
from xlfuncs.audit.rules.sheet.copied_column import copied_column
from xlfuncs.audit.rules.sheet.number_as_text import number_as_text
from xlfuncs.audit.rules.sheet.tag_duplicate import tag_duplicate
from xlfuncs.audit.rules.sheet.tag_malformed import tag_malformed
from xlfuncs.audit.rules.sheet.tag_missing import tag_missing
from xlfuncs.audit.rules.sheet.unit_ambiguous import unit_ambiguous
from xlfuncs.audit.rules.sheet.value_implausible import value_implausible

RULES = (
    tag_missing,
    tag_duplicate,
    tag_malformed,
    value_implausible,
    unit_ambiguous,
    number_as_text,
    cell_error,
    copied_column,
)
