"""Rules about the formulas of the workbook and what is hidden in it."""

from __future__ import annotations

from xlfuncs.audit.rules.formulas.formula_overwritten import formula_overwritten
from xlfuncs.audit.rules.formulas.formula_path import formula_path
from xlfuncs.audit.rules.formulas.function_refused import function_refused
from xlfuncs.audit.rules.formulas.never_calculated import never_calculated
from xlfuncs.audit.rules.formulas.result_stale import result_stale
from xlfuncs.audit.rules.formulas.row_hidden import row_hidden

RULES = (
    result_stale,
    never_calculated,
    function_refused,
    formula_path,
    formula_overwritten,
    row_hidden,
)
