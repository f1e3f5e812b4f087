"""A workbook in which a spreadsheet program checks the functions itself: every example of the catalogue
as a live formula, beside the answer it has to give.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from xlfuncs import __version__
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.block import as_block
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.worksheet import catalogue
from xlfuncs.worksheet.help import constant
from xlfuncs.worksheet.spec import Function

SHEET, DATA = "Self-check", "Ranges"
FIRST = 5
"""Row of the first check."""
HEADINGS = ("function", "cell of the result", "result", "expected", "check", "formula", "summary")
WIDTHS = (26, 18, 24, 24, 8, 60, 70)
_MISSING = 'LG_FLOAT_COLLAPSE(50,"",200,"316L")'
_REFUSALS = [
    ("error values", place, formula, expected, 1e-9, summary)
    for place, formula, expected, summary in (
        ("", f"ERROR.TYPE({_MISSING})", 7, "#N/A where data is missing"),
        ("", "ERROR.TYPE(LG_IMMERSION(-280,50,200,850))", 3, "#VALUE! where an argument cannot be used"),
        ("", "ERROR.TYPE(LG_IMMERSION(400,50,200,850))", 6, "#NUM! where physics has no answer"),
        ("", f'IFERROR(IF({_MISSING}>40,"OK","FAIL"),"error")', "error", "a check does not pass for it"),
    )
]
"""What a refusal has to be in the program."""


def write(target: Path) -> int:
    """Write the workbook, without kept values; returns the number of checks."""
    from openpyxl import Workbook
    from openpyxl.formatting.rule import CellIsRule
    from openpyxl.styles import Alignment, Font, PatternFill

    book = Workbook()
    sheet, data = book.worksheets[0], book.create_sheet(DATA)
    sheet.title = SHEET
    rows = [row for function in catalogue().values() for row in _checks(function, data)]
    rows += _REFUSALS
    last = FIRST + len(rows) - 1
    sheet.append([f"Self-check of the worksheet functions of xlfuncs {__version__}"])
    checks = f"E{FIRST}:E{last}"
    passed = f'SUMPRODUCT(--({checks}="pass"))'
    sheet.append(
        [f'=IF({passed}={len(rows)},"all {len(rows)} checks pass",{passed}&" of {len(rows)} checks pass")']
    )
    sheet.append(
        ["#NAME? in the column 'result': the program does not know the functions; run 'xlfuncs doctor'."]
    )
    sheet.append(HEADINGS)
    for number, (name, place, formula, expected, tolerance, summary) in enumerate(rows, FIRST):
        result, wanted = f"C{number}", f"D{number}"
        if isinstance(expected, (int, float)):
            near = f"ABS({result}-{wanted})<={tolerance!r}*ABS({wanted})+1E-12"
            verdict = f'=IF(ISNUMBER({result}),IF({near},"pass","FAIL"),"FAIL")'
        else:
            verdict = f'=IF(ISERROR({result}),"FAIL",IF(EXACT({result},{wanted}),"pass","FAIL"))'
        sheet.append([name, place, f"={formula}", expected, verdict, f"'={formula}", summary])
        sheet.cell(number, 6).value = f"={formula}"
        sheet.cell(number, 6).data_type = "s"
    sheet["A1"].font = Font(bold=True, size=14)
    sheet["A2"].font = Font(bold=True)
    for column, width in enumerate(WIDTHS, 1):
        sheet.column_dimensions[column_letter(column)].width = width
        sheet.cell(4, column).font = Font(bold=True)
    for cell in sheet["C"][FIRST - 1 :]:
        cell.alignment = Alignment(horizontal="right")
    sheet.freeze_panes = f"A{FIRST}"
    sheet.conditional_formatting.add(
        checks, CellIsRule("notEqual", ['"pass"'], fill=PatternFill(bgColor="F4B183"))
    )
    with whole_file(target) as draft:
        book.save(draft)
    return len(rows)


def _checks(function: Function, data: Any) -> Iterator[tuple[str, str, str, Any, float, str]]:
    """One for each cell of the example's answer."""
    arguments = [_argument(value, function, data) for value in function.example.arguments]
    formula = f"{function.name}({','.join(arguments)})"
    answer = as_block(function.example.answer)
    many = len(answer) > 1 or len(answer[0]) > 1
    for r, row in enumerate(answer, 1):
        for c, expected in enumerate(row, 1):
            if expected in ("", None):
                continue
            whole = f"INDEX({formula},{r},{c})" if many else formula
            place = f"row {r}, column {c}" if many else ""
            yield function.name, place, whole, expected, function.example.tolerance, function.summary


def _argument(value: Any, function: Function, data: Any) -> str:
    """As typed into a formula; a range is put on a sheet of its own and referred to."""
    if value is None:
        return '""'  # Calc takes an argument left out between two others for 0
    if not isinstance(value, (list, tuple)):
        return constant(value)
    rows = as_block(value)
    top = data.max_row + 2 if data.max_row > 1 else 1
    data.cell(top, 1, function.name)
    for r, row in enumerate(rows, top + 1):
        for c, cell in enumerate(row, 1):
            data.cell(r, c, None if cell == "" else cell)
    return f"{DATA}!$A${top + 1}:${column_letter(len(rows[0]))}${top + len(rows)}"
