"""The results of the worksheet functions put into a copy of a workbook."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.workbook.evaluate import Calculation, Place, address
from xlfuncs.workbook.files import whole_file
from xlfuncs.workbook.formula import Area
from xlfuncs.workbook.inplace import Edit, Workbook
from xlfuncs.workbook.model import column_letter
from xlfuncs.worksheet.spec import REASON_PREFIX as PREFIX


@dataclass(slots=True)
class Report:
    """What a recalculation did."""

    output: Path
    formulas: int = 0
    """Formulas with one of our functions."""
    changed: int = 0
    """Cells whose value differs from the one kept before."""
    reasons: dict[str, str] = field(default_factory=dict)
    """Cell ('Index!H14') -> the reason that stands there instead of a result."""
    left: dict[str, str] = field(default_factory=dict)
    """Cell -> why an ordinary formula, on which none of ours depends, was left as it was."""
    by: str = "xlfuncs"
    """What calculated: xlfuncs itself, or LibreOffice Calc."""


def recalculate(source: Path, output: Path, *, values: bool = False, with_calc: bool = False) -> Report:
    """Evaluate every formula with one of our functions, and what depends on it, into a copy of `source`.

    The results are kept in the cells, so that `output` shows its numbers where the functions are not
    installed; with `values` our formulas are replaced by them. Without `with_calc` no spreadsheet program
    is needed. Everything else in the file stays as it is. XlfuncsError names the cell or the file.
    """
    source, output = Path(source), Path(output)
    kind = source.suffix.lower()
    if with_calc and kind in (".ods", ".xls", ".xlsb"):
        raise XlfuncsError(f"{source}: save it as .xlsx first; only .xlsx and .xlsm are recalculated")
    if kind not in (".xlsx", ".xlsm"):
        raise XlfuncsError(f"{source}: only .xlsx and .xlsm are recalculated; save it as .xlsx first")
    if output.suffix.lower() != kind:
        raise XlfuncsError(f"{output}: give the copy the ending {kind} of the workbook")
    with Workbook(source) as book:
        report = Report(output)
        try:
            calculation = Calculation(book.cells)
        except XlfuncsError as error:
            raise XlfuncsError(f"{source}: {error}") from None
        report.left = {address(p): why for p, why in sorted(calculation.left.items())}
        edits = _edits(calculation, values, report)
        with whole_file(output, [source]) as draft:
            book.save(draft, edits)
    return report


def _edits(
    calculation: Calculation, values: bool, report: Report
) -> Mapping[str, Mapping[tuple[int, int], Edit]]:
    edits: dict[str, dict[tuple[int, int], Edit]] = {}

    def put(place: Place, value: Any, formula: bool = True, fills: str = "") -> None:
        edits.setdefault(place[0], {})[place[1:]] = Edit(value, formula, fills)

    for place in calculation.emptied():
        put(place, None)
    for place, value in calculation.values.items():
        anchor = calculation.anchor(place)
        ours = anchor in calculation.own
        report.formulas += ours and anchor == place
        kept = calculation.kept.get(place)
        report.changed += kept != value
        if ours and isinstance(value, str) and value.startswith(PREFIX):
            report.reasons[address(place)] = value
        area = calculation.fills.get(place)
        if (values and ours) or kept != value or type(kept) is not type(value):
            put(place, value, not (values and ours), _range(area) if area else "")
    return edits


def _range(area: Area) -> str:
    return f"{column_letter(area.left)}{area.top}:{column_letter(area.right)}{area.bottom}"
