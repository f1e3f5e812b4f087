"""The rule formula-path."""

from __future__ import annotations

from collections.abc import Iterator

from xlfuncs.audit.examples import Formula
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import formula_hit
from xlfuncs.audit.settings import Settings
from xlfuncs.spreadsheet.cell_values import NotUnderstood
from xlfuncs.spreadsheet.evaluate import functions_used
from xlfuncs.worksheet.cells import FUNCTIONS


def _calls_ours(formula: str) -> bool:
    """Whether one of our functions stands in a formula, as far as it is understood."""
    try:
        return bool(functions_used(formula, FUNCTIONS))
    except NotUnderstood:
        return True


@rule(
    "formula-path",
    Severity.WARNING,
    passing={"stated_current": Formula("=LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
    firing={"stated_current": Formula("='C:\\tools\\sheet.xlam'!LG_LEVEL_TO_CURRENT(500, 0, 1000)", 12.0)},
)
def formula_path(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A path of another computer in a formula.

    Finds: a worksheet function called through the path of an add-in file.
    Why: on another computer the path does not exist; the cell shows #NAME? or a value that is never renewed.
    Mend: write the plain name of the function; 'xlfuncs recalculate BOOK -o OUT --plain-names' does it for
        the whole workbook.
    """
    book = gauges.formulas
    if book is None:
        return
    for sheet in book.sheets.values():
        for (row, column), formula in sorted(sheet.formulas.items()):
            upper = formula.text.upper()
            if "!LG_" in upper and _calls_ours(formula.text):
                at = upper.index("!LG_")
                yield formula_hit(
                    gauges,
                    sheet.name,
                    row,
                    column,
                    f"the formula calls its function through {formula.text[:at].lstrip('=')}",
                    evidence={"formula": formula.text},
                )
