"""`quote_check.xlsx`: from an inquiry to a float, what it will read, and what is still to be asked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import live
import plant
import quote_curves as curves
import quote_page
import quote_values as values
from floats import FLOATS
from index import float_columns, write_floats
from inquiry import GROUPS, INPUTS, Input
from sheets import A4, CREAM, LINE, RULE, SAND, SLATE, Style
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.workbook import Format, Workbook
from xlsxwriter.worksheet import Worksheet

from xlfuncs.worksheet.choice import HEADINGS

TITLE = "Quote check - magnetic float level gauge"
LAST = 10
"""Last column of the printed page (K)."""
SLIP = "#9C4A1A"
"""What has to be asked or looked at."""


class Forms:
    """Formats of this workbook."""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.title = style(bold=True, font_size=15)
        self.sub = style(font_color="#5B6870")
        self.band = style(bold=True, bg_color=SLATE, top=1, border_color=RULE, indent=1)
        self.label = style(bottom=1, bottom_color=LINE, indent=1)
        self.unit = style(bottom=1, bottom_color=LINE, font_color="#5B6870", indent=1)
        self.ask = style(bottom=1, bottom_color=LINE, font_color=SLIP, indent=1)
        self.head = style(
            bold=True, text_wrap=True, align="center", bg_color=SAND, bottom=1, border_color=RULE
        )
        self.head_left = style(
            bold=True, text_wrap=True, bg_color=SAND, bottom=1, border_color=RULE, indent=1
        )
        self.note = style(text_wrap=True, align="left", indent=1)
        self.live_note = style(text_wrap=True, align="left", bg_color=CREAM, indent=1)

    def entry(self, number: str = "General") -> Format:
        """A cell to be filled in."""
        return self.style(num_format=number, border=1, border_color=RULE, align="center")

    def live(self, number: str = "General", left: bool = False) -> Format:
        """A computed cell."""
        more = {"indent": 1} if left else {"align": "center"}
        return self.style(num_format=number, bg_color=CREAM, bottom=1, bottom_color=LINE, **more)


SIGNED = "+0.0;-0.0;0.0"


class Page:
    """The printed sheet, written from the top."""

    def __init__(self, book: Workbook, forms: Forms, kept: live.Values) -> None:
        self.book, self.forms = book, forms
        self.sheet: Worksheet = book.add_worksheet("Inquiry")
        self.live = live.Live(self.sheet, kept)
        self.row = 0
        self.cell: dict[str, int] = {}
        """Row of each input."""

    def band(self, text: str) -> None:
        self.sheet.set_row(self.row, 17)
        self.sheet.merge_range(self.row, 0, self.row, LAST, text, self.forms.band)
        self.row += 1

    def note(self, text: str, lines: int = 1) -> None:
        """A sentence across the page, or a formula that gives one."""
        self.sheet.set_row(self.row, 13 * lines + 5)
        form = self.forms.live_note if text.startswith("=") else self.forms.note
        self.sheet.merge_range(self.row, 0, self.row, LAST, "", form)
        if text.startswith("="):
            self.live.formula(self.row, 0, text, form)
        else:
            self.sheet.write_string(self.row, 0, text, form)
        self.row += 1

    # --- the inquiry ----------------------------------------------------------------------------------

    def inputs(self) -> None:
        for name, group in GROUPS.items():
            self.band(name)
            for item in group:
                self._input(item)
        self._validate()

    def _input(self, item: Input) -> None:
        sheet, row = self.sheet, self.row
        self.cell[item.key] = row
        typed = f"typed_{item.key}" if item.quantity else item.key
        self.book.define_name(typed, f"=Inquiry!$B${row + 1}")
        sheet.write_string(row, 0, item.label, self.forms.label)
        form = self.forms.entry(item.number)
        if item.value is None:
            sheet.write_blank(row, 1, None, form)
        elif isinstance(item.value, str):
            sheet.write_string(row, 1, item.value, form)
        else:
            sheet.write_number(row, 1, item.value, form)
        sheet.write_string(row, 2, item.unit, self.forms.unit)
        sheet.merge_range(row, 3, row, LAST, "", self.forms.ask)
        if item.ask or item.quantity:
            missing = f'"ask: {item.ask}"' if item.ask else '""'
            if item.need:
                missing = f'IF({item.need},{missing},"")'
            given = item.check or '""'
            if item.quantity:
                given = f'IF({item.key}="",{values.why(item)},{given})'
            self.live.formula(row, 3, f'=IF({typed}="",{missing},{given})', self.forms.ask)
        self.row += 1

    def _validate(self) -> None:
        for item in INPUTS:
            row = self.cell[item.key]
            title = item.label[:32]
            if item.choices:
                rule: dict[str, Any] = {"validate": "list", "source": list(item.choices)}
                rule["error_message"] = f"Choose from: {', '.join(item.choices)}."
            elif item.low is None:
                continue
            else:
                least = f"=IF(ISNUMBER($B${row + 1}),$B${row + 1}>={item.low:g},TRUE)"
                rule = {"validate": "custom", "value": least}
                rule["error_message"] = (
                    f"A number of {item.low:g} or more, in {item.unit or 'no unit'}, or a text with its unit."
                )
            rule |= {"error_title": title, "ignore_blank": True}
            self.sheet.data_validation(row, 1, row, 1, rule)


def _draw(book: Workbook, style: Style, kept: live.Values) -> None:
    forms = Forms(style)
    page = Page(book, forms, kept)
    sheet = page.sheet
    sheet.set_default_row(16)
    sheet.set_column(0, 0, 24)
    sheet.set_column(1, 1, 15)
    sheet.set_column(2, LAST, 7.6)
    sheet.set_row(0, 26)
    sheet.merge_range(0, 0, 0, LAST, TITLE, forms.title)
    sheet.merge_range(
        *(1, 0, 1, LAST),
        f"{plant.PLANT}, invented data. Framed cells are filled in: a number in the unit beside it, or one"
        " with its own, as '0.85 SG'. The sheet Offer is the page to send.",
        forms.sub,
    )
    page.row = 3
    asked = f"D5:D{5 + len(INPUTS) + len(GROUPS)}"
    page.note(
        f'="Still to be asked or looked at: "&SUMPRODUCT(({asked}<>"")*1)&" of {len(INPUTS)} data."'
        f'&IF(SUMPRODUCT(({asked}<>"")*1)=0," The inquiry is complete."," They stand on the right.")'
    )
    page.inputs()
    _print(page)
    offered = quote_page.Page(book, style, kept)
    _choice(book, forms, kept)
    values.write(book, style, kept, page.cell)
    offered.write()
    curves.write(book, style, kept, offered.first_case)
    write_floats(book, style, FLOATS)
    sheet.activate()


# --- the choice of a float ------------------------------------------------------------------------------

_FORMS = ("0", "@", "@", SIGNED, SIGNED, "0", "0", "0 %", "+0.0;-0.0", "+0;-0", "0.0", SIGNED, "@")
_WIDTHS = (9, 16, 58, 10, 10, 10, 10, 9, 9, 11, 8, 10, 62)
FIRST = 3
"""Row of the headings of the choice."""
SIZED = 13
"""Columns of a sized float."""


def _float_range() -> str:
    """The list without what its own formulas add."""
    stated = sum(not column.live for column in float_columns())
    return f"Floats!$A$1:${xl_col_to_name(stated - 1)}${len(FLOATS) + 1}"


def _choice(book: Workbook, forms: Forms, kept: live.Values) -> None:
    """The sheet with every float's verdict, and the float that would do."""
    sheet = book.add_worksheet("Choice")
    table = live.Live(sheet, kept)
    for column, width in enumerate(_WIDTHS):
        sheet.set_column(column, column, width)
    sheet.set_row(0, 24)
    sheet.write_string(0, 0, "Every float of the list against the inquiry", forms.title)
    asked = (
        f"{_float_range()},density_low,density_high,upper_density,design_pressure,design_temperature,"
        "tolerance,reserve,viscosity,chamber_bore,level_rate,density_cold,upper_density,viscosity_cold"
    )
    call = f"LG_CHOOSE_FLOAT({asked})"
    table.formula(
        *(1, 0),
        f'=IF(ISERROR(INDEX({call},2,1)),LG_REASON("LG_CHOOSE_FLOAT",{asked}),"Fitting floats first, by their'
        ' worst offset; then those that lack data; then the rejected ones, the nearest first.")',
        forms.sub,
    )
    sheet.set_row(FIRST, 52)
    body = [forms.live(number, left=number == "@") for number in _FORMS]
    table.table(FIRST, 0, call, [[forms.head] * len(HEADINGS), *[body] * len(FLOATS)])
    row = FIRST + len(FLOATS) + 3
    sheet.write_string(row, 0, "If none fits: the float that would", forms.style(bold=True, font_size=11))
    sheet.write_string(
        *(row + 1, 0),
        "LG_SIZE_FLOAT, for the diameter, metal and ends given here. Its row can be put into the list.",
        forms.sub,
    )
    wanted: tuple[tuple[str, str, Any, tuple[str, ...]], ...] = (
        ("size_diameter", "Outside diameter, mm", 60, ()),
        ("size_material", "Metal", "titanium grade 2", ("316L", "titanium grade 2", "alloy 625")),
        ("size_ends", "Ends", "hemispherical", ("flat", "hemispherical", "elliptical")),
        ("size_longest", "Greatest length, mm", 350, ()),
        ("size_inside", "Magnets and holder, g", 75, ()),
    )
    for i, (key, label, value, choices) in enumerate(wanted):
        at = row + 2 + i
        book.define_name(key, f"=Choice!$C${at + 1}")
        sheet.merge_range(at, 0, at, 1, label, forms.label)
        sheet.write(at, 2, value, forms.entry())
        rule: dict[str, Any] = {"validate": "decimal", "criteria": ">", "value": 0}
        if choices:
            rule = {"validate": "list", "source": list(choices)}
        sheet.data_validation(at, 2, at, 2, rule)
    row += 2 + len(wanted) + 1
    asked = (
        "size_diameter,size_material,size_longest,density_low,density_high,upper_density,design_pressure,"
        "design_temperature,tolerance,size_ends,size_inside,reserve"
    )
    call = f"LG_SIZE_FLOAT({asked})"
    why = f'LG_REASON("LG_SIZE_FLOAT",{asked})'
    table.formula(
        *(row, 0), f'=IF(ISERROR(INDEX({call},2,1)),{why},"There is such a float:")', forms.style(bold=True)
    )
    row += 1
    sheet.set_row(row, 40)
    numbers = ["@", "@", "@", *["0.0"] * (SIZED - 3)]
    table.table(*(row, 0), call, [[forms.head] * SIZED, [forms.live(n, left=n == "@") for n in numbers]])
    book.define_name("sized", f"=Choice!$A${row + 2}:${xl_col_to_name(SIZED - 1)}${row + 2}")
    sheet.freeze_panes(FIRST + 1, 2)
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.set_paper(A4)
    sheet.print_area(0, 0, row + 1, len(HEADINGS) - 2)
    sheet.fit_to_pages(1, 1)
    sheet.set_footer(f"&L&8{TITLE}: verdicts&C&8invented data&R&8page &P of &N")
    sheet.conditional_format(
        *(FIRST + 1, 2, FIRST + len(FLOATS), 2),
        {
            "type": "text",
            "criteria": "begins with",
            "value": "fits",
            "format": book.add_format({"bold": True, "font_color": "#2E5D43"}),
        },
    )


def _print(page: Page) -> None:
    sheet = page.sheet
    sheet.hide_gridlines(2)
    sheet.set_paper(A4)
    sheet.set_portrait()
    sheet.set_margins(left=0.5, right=0.4, top=0.5, bottom=0.6)
    sheet.print_area(0, 0, page.row - 1, LAST)
    sheet.fit_to_pages(1, 0)
    sheet.set_footer(f"&L&8{TITLE}&C&8invented data&R&8page &P of &N")
    sheet.freeze_panes(4, 0)


def quote_check(path: Path) -> None:
    """The inquiry sheet with its float list; every formula's result is kept."""
    live.write(path, TITLE, plant.DISCLAIMER, _draw)
