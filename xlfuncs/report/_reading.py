"""The sheet 'Reading' of an annotated copy: what each column was taken for, to be corrected by choosing."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Final

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import column_index_from_string
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.model import AuditResult, Waiting
from xlfuncs.lists import own
from xlfuncs.lists.instructions import LEFT_ALONE
from xlfuncs.lists.reading import KINDS, OPEN, ColumnRead, ListRead
from xlfuncs.report import _summary as summary
from xlfuncs.report._sheets import LOOK, fit, free_name, put, table
from xlfuncs.vocabulary.meaning import Kind

_ROWS: Final = 20_000
_ANSWER: Final = "F1F8E9"
"""Fill of the cells that may be changed."""
_WIDTHS: Final = (22, 9, 40, 46, 10, 26, 64, 20)
_LISTS: Final[dict[Kind, str]] = {"gauges": "J", "floats": "K"}
"""Kind of list -> the column that holds its choices."""
_SHAPES: Final = "L"
"""The column that holds the shapes of sheets to choose from."""


def add(book: Workbook, result: AuditResult, taken: Collection[str]) -> None:
    """Put the sheet behind the findings, if it is known how the lists were read."""
    if result.reading.lists:
        write(book.create_sheet(free_name(own.READING, taken), 1), result)


def write(sheet: Worksheet, result: AuditResult) -> None:
    """A row for each column of each list, with a list of fields to choose from: saved, it is obeyed."""
    table(sheet, list(zip(own.HEADS[own.READING], _WIDTHS, strict=True)), "2E7D32")
    waiting = {(one.column.sheet, one.column.column, one.column.cell): one for one in result.reading.open}
    chosen = {kind: _choices(sheet, column, kind) for kind, column in _LISTS.items()}
    row = 2
    shaped: set[tuple[str, str]] = set()
    free = 2
    for number, one in enumerate(result.reading.lists, 1):
        if (one.shape or one.others) and (one.sheet, one.layout) not in shaped and row <= _ROWS:
            shaped.add((one.sheet, one.layout))
            free = _shape_row(sheet, row, free, one, f"{number}. {KINDS[one.kind]}")
            row += 1
        first = row
        for column in one.columns:
            if row <= _ROWS and (column.filled or column.field or column.heading):
                wait = waiting.get((one.sheet, column.letter, column.cell))
                _column_row(sheet, row, one, column, wait, f"{number}. {KINDS[one.kind]}")
                row += 1
        if row > first:
            chosen[one.kind].add(f"D{first}:D{row - 1}")
    fit(sheet)
    for letter in (*_LISTS.values(), _SHAPES):
        sheet.column_dimensions[letter].hidden = True
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(_WIDTHS))}{max(row - 1, 1)}"


def _choices(sheet: Worksheet, column: str, kind: Kind) -> DataValidation:
    """The list of fields to choose from, in a column that is not shown."""
    choice = _drop_down(sheet, column, 2, own.items(kind))
    sheet.column_dimensions[column].width = 90
    choice.errorTitle, choice.error = "Taken for", "Choose one of the list."
    choice.promptTitle, choice.prompt = "Taken for", "Choose what the column is, save the file, and audit it."
    choice.showInputMessage = True
    return choice


def _drop_down(sheet: Worksheet, column: str, first: int, items: Sequence[str]) -> DataValidation:
    """A choice among items, which stand in a column that is not shown."""
    number = column_index_from_string(column)
    for row, item in enumerate(items, first):
        put(sheet, row, number, item)
    choice = DataValidation(
        type="list",
        formula1=f"${column}${first}:${column}${first + len(items) - 1}",
        allow_blank=True,
        showErrorMessage=True,
    )
    sheet.add_data_validation(choice)
    return choice


def _shape_row(sheet: Worksheet, row: int, free: int, one: ListRead, which: str) -> int:
    """In which shape a sheet was read; the others that it could have are there to choose.

    `free`: first row for these choices; gives the next one.
    """
    asked = f"IN DOUBT: or {one.question}, in which the cells mean something else" if one.question else ""
    for number, value in enumerate((one.sheet, "", own.WHOLE, one.layout, "", "", asked, which), 1):
        fill = LOOK if asked else _ANSWER if number == 4 else ""
        put(sheet, row, number, value, fill=fill, boxed=number == 4)
    shapes = [one.layout, *one.others]
    choice = _drop_down(sheet, _SHAPES, free, shapes)
    choice.errorTitle, choice.error = "Shape of the sheet", "Choose one of the list."
    choice.add(f"D{row}")
    return free + len(shapes)


def _column_row(
    sheet: Worksheet, row: int, one: ListRead, column: ColumnRead, wait: Waiting | None, which: str
) -> None:
    sure = f"{column.sure:.0%}" if column.field else ""
    near = f"next: {column.runner_up} {column.runner_up_sure:.0%}" if column.runner_up else ""
    taken = own.item(column.field) if column.field else own.UNDECIDED if column.said == OPEN else own.NOT_USED
    values = [
        one.sheet, column.letter, column.heading, taken, column.unit, "; ".join(filter(None, (sure, near))),
        _open_text(column, wait), which,
    ]  # fmt: skip
    fill = LOOK if wait is not None or column.said == OPEN else ""
    for number, value in enumerate(values, 1):
        answer = number in (4, 5)
        put(sheet, row, number, value, fill=fill or (_ANSWER if answer else ""), boxed=answer)


def _open_text(column: ColumnRead, wait: Waiting | None) -> str:
    """What is in doubt of a column, and what waits for it."""
    parts = []
    if wait is not None:
        waits = f"; {summary.waits(wait)}: {', '.join(wait.rules)}" if wait.rules else ""
        parts.append(f"{wait.column.text}{waits}")
    elif column.unknown:
        parts.append("not understood: choose what it is, or (not used)")
    elif not column.filled and not column.field:
        parts.append("no data")
    elif column.known_as:
        parts.append(column.known_as if column.known_as == LEFT_ALONE else f"of no use: {column.known_as}")
    if column.unit_told:
        parts.append(f"unit: {column.unit_told}")
    return "; ".join(parts)
