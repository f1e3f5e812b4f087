"""`quote_check.xlsx`: from an inquiry to a float, what it will read, and what is still to be asked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import live
import plant
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
BEST = 5
"""Fitting floats on the page."""
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

    def __init__(self, book: Workbook, forms: Forms, values: live.Values) -> None:
        self.book, self.forms = book, forms
        self.sheet: Worksheet = book.add_worksheet("Inquiry")
        self.live = live.Live(self.sheet, values)
        self.row = 0
        self.cell: dict[str, int] = {}
        """Row of each input."""
        self.readings = 0
        """First row of the expected readings."""

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

    def heads(self, texts: list[str], height: float = 38) -> None:
        self.sheet.set_row(self.row, height)
        for column, text in enumerate(texts):
            form = self.forms.head if column else self.forms.head_left
            self.sheet.write_string(self.row, column, text, form)
        self.row += 1

    def line(self, label: str, cells: list[tuple[str, str]], label_is_formula: bool = False) -> None:
        """A label and formulas with their number formats."""
        if label_is_formula:
            self.live.formula(self.row, 0, label, self.forms.live(left=True))
        else:
            self.sheet.write_string(self.row, 0, label, self.forms.label)
        for column, (text, number) in enumerate(cells, start=1):
            self.live.formula(self.row, column, text, self.forms.live(number))
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
        self.book.define_name(item.key, f"=Inquiry!$B${row + 1}")
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
        if item.ask:
            missing = f'"ask: {item.ask}"'
            if item.need:
                missing = f'IF({item.need},{missing},"")'
            given = item.check or '""'
            self.live.formula(row, 3, f'=IF({item.key}="",{missing},{given})', self.forms.ask)
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
                rule = {"validate": "decimal", "criteria": ">=", "value": item.low}
                rule["error_message"] = f"A number of {item.low:g} or more, in {item.unit or 'no unit'}."
            rule |= {"error_title": title, "ignore_blank": True}
            self.sheet.data_validation(row, 1, row, 1, rule)


def _draw(book: Workbook, style: Style, values: live.Values) -> None:
    forms = Forms(style)
    page = Page(book, forms, values)
    sheet = page.sheet
    sheet.set_default_row(16)
    sheet.set_column(0, 0, 24)
    sheet.set_column(1, 1, 15)
    sheet.set_column(2, LAST, 7.6)
    sheet.set_row(0, 26)
    sheet.merge_range(0, 0, 0, LAST, TITLE, forms.title)
    sheet.merge_range(
        *(1, 0, 1, LAST),
        f"{plant.PLANT}, invented data. Framed cells are filled in, tinted ones computed with LG_ functions.",
        forms.sub,
    )
    page.row = 3
    asked = f"D5:D{5 + len(INPUTS) + len(GROUPS)}"
    page.note(
        f'="Still to be asked or looked at: "&SUMPRODUCT(({asked}<>"")*1)&" of {len(INPUTS)} data."'
        f'&IF(SUMPRODUCT(({asked}<>"")*1)=0," The inquiry is complete."," They stand on the right.")'
    )
    page.inputs()
    _choice(book, forms, values)
    _floats_that_fit(page)
    sheet.set_h_pagebreaks([page.row])
    page.readings = _readings(page)
    _charts(book, page, values)
    _signal(page)
    _tracing(page)
    _cautions(page)
    _print(page)
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


def _choice(book: Workbook, forms: Forms, values: live.Values) -> None:
    """The sheet with every float's verdict, and the float that would do."""
    sheet = book.add_worksheet("Choice")
    table = live.Live(sheet, values)
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


def _floats_that_fit(page: Page) -> None:
    """The best floats, or what would do."""
    page.band("Floats of the list that fit")
    first, last = FIRST + 2, FIRST + 1 + len(FLOATS)
    fitting = f"COUNT(Choice!$A${first}:$A${last})"
    page.note(
        '=IF(COUNT(density_low,density_high)<2,"The densities are needed before a float can be chosen.",'
        f'{fitting}&" of {len(FLOATS)} listed floats fit."&IF({fitting}>0,"",'
        f'" Nearest: "&Choice!$B${first}&", "&Choice!$C${first}&"."))'
    )
    page.heads(
        ["Part", "Rank", *(f"{t}\nmm" for t in ("Offset, lightest", "Offset, densest")), "Within from\nkg/m3",
         "Within to\nkg/m3", "Least above", "Pressure margin\nbar", "Temp. margin\nK", "Lag\nmm",
         "Offset, cold\nmm"],
        40,
    )  # fmt: skip
    columns = "ADEFGHIJKL"
    for i in range(BEST):
        row = first + i
        shown = [
            (f'=IF(Choice!$A{row}="-","-",Choice!{letter}{row})', _FORMS[ord(letter) - ord("A")])
            for letter in columns
        ]
        page.line(f'=IF(Choice!$A{row}="-","-",Choice!$B{row})', shown, label_is_formula=True)
    build = 'size_diameter&" mm in "&size_material'
    size = '"length "&INDEX(sized,1,6)&" mm, wall "&INDEX(sized,1,7)&" mm, mass "&INDEX(sized,1,4)&" g"'
    page.note(
        f'=IF(ISNUMBER(INDEX(sized,1,4)),"Would do as well: "&{build}&", "&size_ends&" ends: "&{size}'
        f'&", magnet height "&INDEX(sized,1,8)&" mm.","No float of "&{build}&" would do: see Choice.")'
    )


# --- readings ---------------------------------------------------------------------------------------------

_CONDITIONS = (
    ("Lightest", "density_low"),
    ("Normal", "density_normal"),
    ("Densest", "density_high"),
    ("Cold start-up", "density_cold"),
)
_BODY = ("mass", "diameter", "length", "magnet_height", "ends")


def _readings(page: Page) -> int:
    """Expected offset of the best float at each condition; returns the first row of the conditions."""
    page.row += 1
    page.band("What the best float will read")
    letters = {column.key: xl_col_to_name(i) for i, column in enumerate(float_columns())}
    best = f"Choice!$B${FIRST + 2}"
    page.heads(["Float", "Mass\ng", "Diameter\nmm", "Length\nmm", "Magnet\nheight, mm", "Ends"], 28)
    row = page.row
    last = len(FLOATS) + 1
    cells = []
    for key, number in zip(_BODY, ("0", "0", "0", "0.0", "@"), strict=True):
        column = f"Floats!${letters[key]}$2:${letters[key]}${last}"
        found = f"INDEX({column},MATCH({best},Floats!$A$2:$A${last},0))"
        cells.append((f'=IF(Choice!$A${FIRST + 2}="-","-",{found})', number))
        page.book.define_name(f"best_{key}", f"=Inquiry!${xl_col_to_name(len(cells))}${row + 1}")
    page.line(f'=IF(Choice!$A${FIRST + 2}="-","none fits",{best})', cells, label_is_formula=True)
    page.heads(
        [
            *("Condition", "Density\nkg/m3", "Above it\nkg/m3", "Immersion\nmm", "Top above\nsurface, mm"),
            *("Offset\nmm", "Share above", "Judgement"),
        ],
        28,
    )
    first = page.row
    for label, density in _CONDITIONS:
        at = page.row + 1
        ride = f"best_mass,best_diameter,best_length,{density},upper_density,best_ends"
        known = f'OR({density}="",best_mass="-")'
        shape = "best_mass,best_diameter,best_length,best_magnet_height"
        way = f'"reads "&IF(F{at}>0,"high","low")'
        page.line(
            label,
            [
                (f'=IF({density}="","-",{density})', "0.0"),
                (f'=IF({density}="","-",upper_density)', "0.0"),
                (f'=IF({known},"-",LG_IMMERSION({ride}))', "0.0"),
                (f'=IF({known},"-",LG_RIDE_HEIGHT({ride}))', "0.0"),
                (f'=IF({known},"-",LG_READING_OFFSET({shape},{density},upper_density,best_ends))', SIGNED),
                (f'=IF({known},"-",LG_FLOAT_RESERVE({ride}))', "0 %"),
                (f'=IF(ISNUMBER(F{at}),IF(ABS(F{at})<=tolerance,"within",{way}),"-")', "@"),
            ],
        )
    page.note(
        "Offset: indicated minus true level; positive reads high. At start-up it is stated, not judged."
    )
    return first


_POINTS = 13


def _charts(book: Workbook, page: Page, values: live.Values) -> None:
    """Offset over density, and the offsets of the floats that fit."""
    sheet = book.add_worksheet("Curve")
    table = live.Live(sheet, values)
    forms, first = page.forms, page.readings
    sheet.set_column(0, 3, 16)
    for column, text in enumerate(("Density, kg/m3", "Offset, mm", "Tolerance, mm", "Tolerance, mm")):
        sheet.write_string(0, column, text, forms.head)
    low, high = "MIN(density_low,density_cold)", "MAX(density_high,density_cold)"
    shape = "best_mass,best_diameter,best_length,best_magnet_height"
    for i in range(_POINTS):
        row = i + 1
        span = f"{low}*0.98+({high}*1.02-{low}*0.98)*{i}/{_POINTS - 1}"
        table.formula(row, 0, f"={span}", forms.live("0.0"))
        table.formula(
            *(row, 1),
            f'=IF(best_mass="-",NA(),LG_READING_OFFSET({shape},A{row + 1},upper_density,best_ends))',
            forms.live(SIGNED),
        )
        table.formula(row, 2, "=tolerance", forms.live("0.0"))
        table.formula(row, 3, "=-tolerance", forms.live("0.0"))
    sheet.hide_gridlines(2)
    sheet.set_paper(A4)
    x = f"=Curve!$A$2:$A${_POINTS + 1}"
    font = {"name": "Arial", "size": 8, "color": "#26323A"}
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    for column, name, line in (
        ("B", "offset of the best float", {"color": "#2F5D73", "width": 2.25}),
        ("C", "tolerance", {"color": SLIP, "width": 1, "dash_type": "dash"}),
        ("D", "tolerance, low", {"color": SLIP, "width": 1, "dash_type": "dash"}),
    ):
        chart.add_series(
            {
                "name": name,
                "categories": x,
                "values": f"=Curve!${column}$2:${column}${_POINTS + 1}",
                "line": line,
            }
        )
    chart.add_series(
        {
            "name": "conditions",
            "categories": f"=Inquiry!$B${first + 1}:$B${first + len(_CONDITIONS)}",
            "values": f"=Inquiry!$F${first + 1}:$F${first + len(_CONDITIONS)}",
            "line": {"none": True},
            "marker": {
                "type": "circle",
                "size": 6,
                "fill": {"color": "#2F5D73"},
                "border": {"color": "white"},
            },
        }
    )
    _dress(chart, "Reading offset over density", "density, kg/m3", font)
    chart.set_legend({"position": "bottom", "delete_series": [2], "font": font})
    bars = book.add_chart({"type": "column"})
    last = FIRST + 1 + BEST
    for letter, name, colour in (
        ("D", "at the lowest density", "#8FA9B8"),
        ("E", "at the highest density", "#2F5D73"),
    ):
        bars.add_series(
            {
                "name": name,
                "categories": f"=Choice!$B${FIRST + 2}:$B${last}",
                "values": f"=Choice!${letter}${FIRST + 2}:${letter}${last}",
                "fill": {"color": colour},
                "gap": 80,
            }
        )
    _dress(bars, "Offset of the five nearest floats", "", font)
    bars.set_legend({"position": "bottom", "font": font})
    page.sheet.insert_chart(page.row, 0, chart, {"x_offset": 2, "y_offset": 4, "object_position": 2})
    page.sheet.insert_chart(page.row, 4, bars, {"x_offset": 14, "y_offset": 4, "object_position": 2})
    for row in range(page.row, page.row + 17):
        page.sheet.set_row(row, 16)
    page.row += 17


def _dress(chart: Any, title: str, x: str, font: dict[str, Any]) -> None:
    chart.set_title({"name": title, "name_font": {**font, "size": 9, "bold": True}, "overlay": False})
    grid = {"visible": True, "line": {"color": LINE, "width": 0.5}}
    axis = {"num_font": font, "name_font": {**font, "bold": False}, "line": {"color": RULE}}
    chart.set_x_axis({"name": x, **axis, "label_position": "low", "num_format": "0" if x else "General"})
    chart.set_y_axis({"name": "offset, mm", **axis, "major_gridlines": grid, "num_format": "0"})
    chart.set_chartarea({"border": {"color": LINE}})
    chart.set_size({"width": 388, "height": 330})


# --- signal, tracing, cautions ----------------------------------------------------------------------------


def _signal(page: Page) -> None:
    page.band("Transmitter")
    page.sheet.set_row(page.row, 28)
    forms = page.forms
    number = ("0", "0.0", "0.00", "0.00", "0.00")
    body = [forms.live(form) for form in number]
    page.live.table(
        *(page.row, 0),
        'IF(transmitter="yes",LG_CALIBRATION_TABLE(range_low,range_high,5),"-")',
        [[forms.head] * 5, *[body] * 5],
    )
    page.sheet.write_string(page.row, 5, "True level\nthen, mm", forms.head)
    offset = f"$F${page.readings + 2}"
    for i in range(1, 6):
        at = page.row + i + 1
        page.live.formula(
            *(page.row + i, 5),
            f'=IF(AND(ISNUMBER(B{at}),ISNUMBER({offset})),B{at}-{offset},"-")',
            forms.live("0.0"),
        )
    page.row += 6
    page.note("True level: with the best float at normal density, while nothing else is off.")


_LOSS = "LG_HEAT_LOSS(maintain,minimum_ambient,chamber_diameter,insulation,0.04,wind_speed)"
_BOILS = 'LG_SATURATION_TEMPERATURE(fluid,operating_pressure&" barg")'
_FLANGE = "LG_FLANGE_RATING(flange_class,material_group,design_temperature)"
_HEAT: tuple[tuple[str, str, str], ...] = (
    (
        "Tracing needed",
        'IF(COUNT(pour_point,minimum_ambient)<2,"ask",IF(pour_point+10>minimum_ambient,"yes","no"))',
        "Pour or freezing point plus 10 K against the lowest ambient (common practice, no source).",
    ),
    (
        "Heat loss, W/m",
        f'IF(COUNT(maintain,minimum_ambient,chamber_diameter,insulation)<4,"ask",{_LOSS})',
        "Of the plain chamber, conductivity 0.04 W/m/K; flanges, valves and supports add to it.",
    ),
    (
        "Tracer output asked for, W/m",
        'IF(ISNUMBER(B{above}),1.2*B{above},"ask")',
        "1.2 times the loss (common practice, no source), at the temperature to maintain.",
    ),
    (
        "Fluid boils at, degC",
        f'IF(OR(fluid="",operating_pressure=""),"ask",IF(ISNUMBER({_BOILS}),{_BOILS},"ask"))',
        "Known for pure fluids. The temperature to maintain has to stay below it.",
    ),
    (
        "Flanges hold, barg",
        f'IF(COUNTA(flange_class,material_group,design_temperature)<3,"ask",{_FLANGE})',
        "ASME B16.5-2009, by class, material group and design temperature.",
    ),
)


def _tracing(page: Page) -> None:
    page.band("Heat tracing and pressure")
    for label, text, note in _HEAT:
        page.sheet.merge_range(page.row, 2, page.row, LAST, note, page.forms.unit)
        page.line(label, [("=" + text.replace("{above}", str(page.row)), "0.0")])


_EXPLOSION = (
    '=IF(temperature_class="","Explosion protection is not known: offer no tracer, transmitter or switch'
    ' before it is.",IF(temperature_class="none","No explosion protection is asked for.","Tracer, transmitter'
    ' and switches: certified for zone, gas group and temperature class "&temperature_class&"."))'
)
_PHASES = (
    '=IF(service="interface","The upper liquid has to cover the float and the upper connection.",'
    '"The offset holds while the gas above the liquid stays as stated.")'
)
_EXCLUDED = (
    "Not looked at here: strength and code of chamber and nozzles, bolts and gaskets, corrosion and material"
    " choice, switches, isolation valves, welds, certificates, vibration, cyclic or solid-laden service."
)
_DECIDE = (
    "A check of stated data. The maker's manual and ratings, the local codes and licensed practice decide."
    " Hot, toxic or flammable fluids under pressure: only qualified people open, vent or drain a chamber."
)


def _cautions(page: Page) -> None:
    page.band("Exclusions and cautions")
    last = len(FLOATS) + 1
    limits = next(i for i, column in enumerate(float_columns()) if column.key == "max_pressure")
    column = f"Floats!${xl_col_to_name(limits)}$2:${xl_col_to_name(limits)}${last}"
    limit = f"INDEX({column},MATCH(Choice!$B${FIRST + 2},Floats!$A$2:$A${last},0))"
    page.note(
        '=IF(OR(test_pressure="",best_mass="-"),"Test pressure or float not known: keep the float out of the'
        f' chamber during the hydrostatic test.",IF(test_pressure>{limit},"Float out of the chamber during'
        f' the hydrostatic test: "&test_pressure&" barg is above its limit of "&{limit}&" barg.",'
        '"Test pressure within the stated limit of the float; its maker confirms it."))'
    )
    page.note(_EXPLOSION)
    page.note(_PHASES)
    page.note(_EXCLUDED, 2)
    page.note(_DECIDE, 2)


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
