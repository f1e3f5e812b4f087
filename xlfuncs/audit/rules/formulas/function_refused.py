"""The rule function-refused."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from xlfuncs.audit.examples import Formula
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, rule
from xlfuncs.audit.rules.formulas.shared import formula_hit, refusing_answers, shown_value, tag_of
from xlfuncs.audit.settings import Settings
from xlfuncs.gauge.fluids import nearest
from xlfuncs.lists.columns import is_placeholder
from xlfuncs.spreadsheet.cell_values import CellError


def _says_nothing(value: Any) -> bool:
    """Whether a formula that catches an error shows nothing in its place, or that there is nothing."""
    return value is None or (isinstance(value, str) and (not value.strip() or is_placeholder(value, False)))


def _spelling(gauges: Gauges, sheet: str, row: int, why: str) -> str:
    """Where a misspelt fluid of this row stands, and how it is spelt; "" where that is not the reason."""
    record, _ = tag_of(gauges, sheet, row)
    for field in ("fluid", "upper_fluid", "service") if record >= 0 else ():
        text = str(gauges.texts(field)[record]).strip()
        near = nearest(text) if text and f"unknown fluid '{text}'" in why else ""
        if near:
            return f"if {near} is meant, write that in {gauges.place(record, field)[1]} for '{text}'."
    return ""


@rule(
    "function-refused",
    Severity.WARNING,
    passing={"remarks": Formula('=IFERROR(LG_LEVEL_TO_CURRENT("x", 0, 1000), "-")', "-")},
    firing={
        "remarks": Formula('=IF(LG_LEVEL_TO_CURRENT("x", 0, 1000)>4, "OK", "FAIL")', CellError("#VALUE!"))
    },
    covers=("result-stale",),
)
def function_refused(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A worksheet function has no result.

    Finds: a cell that shows an error value because one of the worksheet functions in its formula refuses,
        and a cell whose formula catches that error and shows a number or a text all the same.
    Why: what the cell should say is not known; a number or a verdict put in its place hides that.
    Mend: do what the message says; LG_REASON gives it in the sheet.
    """
    for sheet, row, column, formula, kept, due, refused in refusing_answers(gauges):
        reasons = dict.fromkeys(f"{name}: {error.reason}" for name, error in refused)
        if not reasons or (not isinstance(due, CellError) and _says_nothing(due)):
            continue
        why = "; ".join(reasons)
        if not isinstance(due, CellError):
            why = f"the cell shows {shown_value(due)} all the same; {why}"
        yield formula_hit(
            gauges,
            sheet,
            row,
            column,
            why,
            mend=_spelling(gauges, sheet, row, why),
            found=shown_value(due if kept is None else kept),
            evidence={"formula": formula.text},
        )
