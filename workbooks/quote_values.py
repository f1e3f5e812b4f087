"""The sheet 'Values' of `quote_check.xlsx`: what was typed as numbers in one unit, the float that is named,
and the questions in a row, from which the page to send takes its texts.
"""

from __future__ import annotations

from collections.abc import Mapping

import live
from floats import FLOATS
from index import float_columns
from inquiry import INPUTS, Input
from sheets import A4, SAND, Style
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from xlfuncs.data import load

QUANTITIES = tuple(item for item in INPUTS if item.quantity)
FIRST = 1
"""Row of the first quantity, from 0."""
BEST = (
    "mass",
    "diameter",
    "length",
    "magnet_height",
    "ends",
    "wall",
    "material",
    "max_pressure",
    "max_temperature",
)
_BEST_FIRST = FIRST + len(QUANTITIES) + 3
_LIST_FIRST = _BEST_FIRST + len(BEST) + 4
SLIP = (0.2, 3)
"""Plain numbers between which a liquid's density is more likely a specific gravity."""


def _row(item: Input) -> int:
    return FIRST + QUANTITIES.index(item) + 1


def _liquid() -> tuple[float, float]:
    low, high = load("plausible")["field"]["fluid_density"]
    return float(low), float(high)


def why(item: Input) -> str:
    """Formula for what is wrong with a typed text or number that gave no value."""
    unit = item.unit or "plain numbers"
    unread = f'"cannot be read: write a number in {unit}, or with its unit behind a space"'
    beyond = f'"cannot be: a number of {item.low:g} or more is needed"'
    if not item.liquid:
        return f'IF(Values!$B${_row(item)}="",{unread},{beyond})'
    typed = f"typed_{item.key}"
    gravity = f'"is it a specific gravity? Write "&{typed}&" SG, or a number in kg/m3"'
    liquid = '"is no liquid\'s density in kg/m3: write its unit, as 0.85 SG"'
    slip = f"AND(Values!$B${_row(item)}>={SLIP[0]},Values!$B${_row(item)}<={SLIP[1]})"
    return f'IF(Values!$B${_row(item)}="",{unread},IF({slip},{gravity},{liquid}))'


def _number(item: Input) -> str:
    """What was typed in the unit of the input; an empty text where it is no number with a unit."""
    typed = f"TRIM(typed_{item.key})"
    number = f'_xlfn.NUMBERVALUE(SUBSTITUTE(LEFT({typed},FIND(" ",{typed})-1),",","."),".")'
    unit = f'MID({typed},FIND(" ",{typed})+1,40)'
    converted = f'IFERROR(LG_CONVERT({number},{unit},"{item.unit or "1"}"),"")'
    return f'=IF(typed_{item.key}="","",IF(ISNUMBER(typed_{item.key}),typed_{item.key},{converted}))'


def _value(item: Input) -> str:
    raw = f"B{_row(item)}"
    wrong = f"{raw}<{item.low:g}"
    if item.liquid:
        low, high = _liquid()
        wrong = f"OR({wrong},AND({item.liquid},OR({raw}<{low:g},{raw}>{high:g})))"
    return f'=IF({raw}="","",IF({wrong},"",{raw}))'


def write(book: Workbook, style: Style, values: live.Values, cells: Mapping[str, int]) -> None:
    """`cells`: key of an input -> its row on the inquiry, from 0."""
    sheet = book.add_worksheet("Values")
    table = live.Live(sheet, values)
    head, plain = style(bold=True, bg_color=SAND, text_wrap=True), style(align="left")
    sheet.set_column(0, 0, 28)
    sheet.set_column(1, 2, 12)
    sheet.set_column(3, 3, 90)
    for column, text in enumerate(("Typed in the inquiry", "In its unit", "Taken", "Unit")):
        sheet.write_string(0, column, text, head)
    for i, item in enumerate(QUANTITIES):
        row = FIRST + i
        sheet.write_string(row, 0, item.label, plain)
        table.formula(row, 1, _number(item), plain)
        table.formula(row, 2, _value(item), plain)
        sheet.write_string(row, 3, item.unit, plain)
        book.define_name(item.key, f"=Values!$C${row + 1}")
    _best(book, sheet, table, style)
    _questions(sheet, table, style, cells)
    sheet.hide_gridlines(2)
    sheet.set_paper(A4)
    sheet.fit_to_pages(1, 1)


def _best(book: Workbook, sheet: Worksheet, table: live.Live, style: Style) -> None:
    """What the list states of the float that is named."""
    plain, last = style(align="left"), len(FLOATS) + 1
    letters = {column.key: xl_col_to_name(i) for i, column in enumerate(float_columns())}
    sheet.write_string(_BEST_FIRST - 1, 0, "The float that is named", style(bold=True, bg_color=SAND))
    table.formula(_BEST_FIRST - 1, 2, '=IF(ISNUMBER(Choice!$A$5),Choice!$B$5,"-")', plain)
    book.define_name("best_part", f"=Values!$C${_BEST_FIRST}")
    headings = {column.key: column.heading.replace("\n", ", ") for column in float_columns()}
    for i, key in enumerate(BEST):
        row = _BEST_FIRST + i
        column = f"Floats!${letters[key]}$2:${letters[key]}${last}"
        found = f"INDEX({column},MATCH(best_part,Floats!$A$2:$A${last},0))"
        sheet.write_string(row, 0, headings[key], plain)
        table.formula(row, 2, f'=IF(best_part="-","-",{found})', plain)
        book.define_name(f"best_{key}", f"=Values!$C${row + 1}")


def _questions(sheet: Worksheet, table: live.Live, style: Style, cells: Mapping[str, int]) -> None:
    """Every question and doubt of the inquiry with its number in the list."""
    plain = style(align="left")
    sheet.write_string(_LIST_FIRST - 1, 0, "Questions", style(bold=True, bg_color=SAND))
    for i, item in enumerate(INPUTS):
        row, asked = _LIST_FIRST + i, f"Inquiry!$D${cells[item.key] + 1}"
        sheet.write_string(row, 0, item.label, plain)
        before = f"MAX(C${_LIST_FIRST}:C{row})"
        text = f'IF(LEFT({asked},5)="ask: ",MID({asked},6,200),"{item.label}: "&{asked})'
        table.formula(row, 2, f'=IF({asked}="","",{before}+1)', plain)
        table.formula(row, 3, f'=IF({asked}="","",{text})', plain)


def question(number: str) -> str:
    """Formula (without '=') for a question by its number; an empty text behind the last one."""
    first, last = _LIST_FIRST + 1, _LIST_FIRST + len(INPUTS)
    return f'IFERROR(INDEX(Values!$D${first}:$D${last},MATCH({number},Values!$C${first}:$C${last},0)),"")'


def questions() -> str:
    """Formula for how many there are."""
    return f"MAX(0,Values!$C${_LIST_FIRST + 1}:$C${_LIST_FIRST + len(INPUTS)})"
