"""The sheet 'Offer' of `quote_check.xlsx`: the page that `xlfuncs choose --for` sends for a gauge, live.

Order, headings and cautions are those of `xlfuncs.report.offer_pages`; every sentence is a formula.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import live
import quote_values
from floats import FLOATS
from inquiry import SWITCHES
from sheets import A4, LINE, RULE, Style
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.workbook import Format, Workbook

from xlfuncs.data import load
from xlfuncs.report.offer_pages import BLANKS, EXCLUSIONS, SWITCH_HEADS
from xlfuncs.worksheet.choice import HEADINGS

LAST = 10
CHOICE = 5
"""Row of the first float in the sheet 'Choice', from 1."""
OTHERS, QUESTIONS = 4, 12
"""Lines of other floats, and of questions."""
CASES = (
    ("lowest density", "density_low"),
    ("normal density", "density_normal"),
    ("highest density", "density_high"),
    ("cold start-up", "density_cold"),
)
OPERATING = 3
_SIGNED = "+0.0;-0.0;0.0"
_INK, _SOFT = "#1D2930", "#4C5B64"
_KNOWN = 'best_part<>"-"'
_HEAT_LOSS = "LG_HEAT_LOSS(maintain,minimum_ambient,chamber_diameter,insulation,0.04,wind_speed)"
_BOILS = 'LG_SATURATION_TEMPERATURE(fluid,operating_pressure&" barg")'
_FLANGE = "LG_FLANGE_RATING(flange_class,material_group,design_temperature)"


def number(value: str, form: str = "0.0") -> str:
    """Formula for a number as text in a sentence."""
    return f'TEXT({value},"{form}")'


def stated(key: str, unit: str, form: str = "0.##") -> str:
    """A value with its unit, or that it is not stated."""
    shown = f'TEXT({key},"{form}")' if form != "0.##" else f"ROUND({key},2)"
    return f'IF({key}="","not stated",{shown}&" {unit}")'


class Page:
    """Written from the top; the sheet is made at once, so that it stands second."""

    def __init__(self, book: Workbook, style: Style, values: live.Values) -> None:
        self.book, self.style = book, style
        self.sheet = book.add_worksheet("Offer")
        self.live = live.Live(self.sheet, values)
        self.row = 0
        self.first_case = 0
        """Row of the first case, from 1."""
        line: dict[str, Any] = {"bottom": 1, "bottom_color": LINE}
        self.text = style(text_wrap=True, valign="top")
        self.bold = style(bold=True, text_wrap=True, valign="top", font_size=10)
        self.soft = style(font_color=_SOFT, text_wrap=True, valign="top")
        self.label = style(font_color=_SOFT, **line)
        self.fact = style(text_wrap=True, align="left", **line)
        self.band_form = style(bold=True, bg_color="#F3F6F8", bottom=2, bottom_color=_INK)
        self.head = style(bold=True, text_wrap=True, align="right", bottom=2, bottom_color=_INK)
        self.head_left = style(bold=True, text_wrap=True, bottom=2, bottom_color=_INK)
        self.fill_in = style(bottom=2, bottom_color=_INK)

    def cell(self, form: str) -> Format:
        place = {"align": "left", "indent": 1} if form == "@" else {"align": "right"}
        return self.style(num_format=form, bottom=1, bottom_color=LINE, **place)

    def across(self, text: str, form: Format, lines: int = 1, first: int = 0, last: int = LAST) -> None:
        """A sentence, or a formula that gives one, over columns of the row; high enough for its lines."""
        self.sheet.merge_range(self.row, first, self.row, last, "", form)
        if text.startswith("="):
            self.live.formula(self.row, first, text, form)
        else:
            self.sheet.write_string(self.row, first, text, form)
        self.sheet.set_row(self.row, 2.5 + 12 * lines)

    def line(self, text: str, form: Format, lines: int = 1) -> None:
        self.across(text, form, lines)
        self.row += 1

    def band(self, text: str) -> None:
        self.line(text, self.band_form, 1)

    def table(
        self, heads: Sequence[str], rows: Sequence[Sequence[tuple[str, str]]], spans: Sequence[int]
    ) -> None:
        """Formulas with their number formats under headings, each over some columns."""
        self.sheet.set_row(self.row, 38 if any("\n" in text for text in heads) else 16)
        for i, line in enumerate([[(text, "") for text in heads], *rows]):
            column = 0
            for (text, form), span in zip(line, spans, strict=True):
                look = self.cell(form) if i else (self.head if column else self.head_left)
                if span > 1:
                    self.sheet.merge_range(self.row, column, self.row, column + span - 1, "", look)
                if text.startswith("="):
                    self.live.formula(self.row, column, text, look)
                else:
                    self.sheet.write_string(self.row, column, text, look)
                column += span
            self.row += 1

    # --- the page -----------------------------------------------------------------------------------------

    def write(self) -> None:
        for column in range(LAST + 1):
            self.sheet.set_column(column, column, 8.6 if column else 17)
        self.across('=IF(gauge_tag="","Tag not stated",gauge_tag)', self.style(bold=True, font_size=16))
        self.sheet.set_row(0, 24)
        self.row = 1
        kind = 'IF(service="interface","Interface","Level")'
        parts = "".join(f'&IF({key}="",""," · "&{key})' for key in ("duty", "fluid"))
        self.line(f"={kind}{parts}", self.soft)
        self._verdict()
        top = self.row
        for label, text in self._facts():
            self.sheet.write_string(self.row, 0, label, self.label)
            self.across(f"={text}", self.fact, 1 + (label in _LONG), first=1, last=5)
            self.row += 1
        _drawing(self.book, self, top)
        self._cases()
        self._switches()
        self._others()
        self._questions()
        self._assumptions()
        self._cautions()
        self._blanks()
        self._print()

    def _verdict(self) -> None:
        first = self.row + 1 + len(_facts_of(self)) + 3
        self.first_case = first
        last = first + OPERATING - 1
        low, high = f"MIN($F${first}:$F${last})", f"MAX($G${first}:$G${last})"
        judged = f"COUNT($F${first}:$G${last})=0"
        reads = (
            f'IF({judged},"The worst reading of "&best_part&" cannot be computed.",'
            'IF(upper_density="","Provisionally float ","Float ")&best_part'
            f'&": in every operating case it reads between "&{number(low, "+0.0;-0.0")}'
            f'&" and "&{number(high, "+0.0;-0.0")}'
            '&" mm of the level, everything that is known counted.")'
        )
        none = f'"No float of our range fits. Nearest: "&Choice!$B${CHOICE}&": "&Choice!$C${CHOICE}&"."'
        build = 'size_diameter&" mm in "&size_material&", "&size_ends&" ends: length "'
        sized = (
            f'IF(ISNUMBER(INDEX(sized,1,4))," One made for it would: "&{build}'
            f'&{number("INDEX(sized,1,6)", "0")}&" mm, wall "&{number("INDEX(sized,1,7)")}'
            f'&" mm, mass "&{number("INDEX(sized,1,4)", "0")}&" g, magnet height "'
            f'&{number("INDEX(sized,1,8)")}&" mm.","")'
        )
        self.line(
            '=IF(COUNT(density_low,density_high)<2,"No float is named before the questions are answered.",'
            f'IF({_KNOWN},{reads},IF(Choice!$B${CHOICE}="-",Choice!$A$2,{none}&{sized})))',
            self.bold,
            2,
        )

    def _facts(self) -> list[tuple[str, str]]:
        return _facts_of(self)

    def _cases(self) -> None:
        self.band("Expected readings: indicated less true level, and currents")
        assert self.row + 2 == self.first_case
        levels = ("range_low", "(range_low+range_high)/2", "range_high")
        rows = [self._case(*case, self.row + 2 + i, levels) for i, case in enumerate(CASES)]
        heads = ["Case", "Density,\nkg/m3", "Above it,\nkg/m3", "Immersed,\nmm", "Reads off\nby, mm",
                 "At least,\nmm", "At most,\nmm", "Above\nsurface, %"]  # fmt: skip
        at = [f'="mA at"&CHAR(10)&IF(ISNUMBER({x}),{number(x, "0")},"-")&" mm"' for x in levels]
        self.table([*heads, *at], rows, [1] * (LAST + 1))

    def _case(self, name: str, density: str, at: int, levels: Sequence[str]) -> list[tuple[str, str]]:
        ride = f"best_mass,best_diameter,best_length,{density},upper_density,best_ends"
        shape = "best_mass,best_diameter,best_length,best_magnet_height"
        known = f'OR({density}="",best_part="-")'
        offset = f"LG_READING_OFFSET({shape},{density},upper_density,best_ends)"
        viscosity = "viscosity_cold" if density == "density_cold" else "viscosity"
        spread = load("model")["spread"]
        doubts = ",".join(f"{spread[n] / math.sqrt(3):.9g}" for n in ("mass", "diameter", "magnet_height"))

        def worst(which: str, column: int) -> str:
            """Cold and at design temperature, clear of the lower connection, as the choice judges it."""
            rides = f'{shape},{density},"",upper_density,"",best_ends,"",{viscosity},chamber_bore,level_rate'
            cold, hot = (
                f'INDEX(LG_WORST_READING(best_length,{rides},"","","",{t},best_material,"",{doubts}),2,{column})'
                "-best_length"
                for t in ('""', "design_temperature")
            )
            return f'=IF({known},"-",IFERROR(IF(design_temperature="",{cold},{which}({cold},{hot})),"-"))'

        def current(level: str) -> str:
            on = f'AND(transmitter="yes",ISNUMBER(E{at}),COUNT(range_low,range_high)=2)'
            return f'=IF({on},LG_LEVEL_TO_CURRENT({level}+E{at},range_low,range_high),"-")'

        return [
            (name, "@"),
            (f'=IF({density}="","-",{density})', "0.0"),
            (f'=IF(OR({density}="",upper_density=""),"-",upper_density)', "0.0"),
            (f'=IF({known},"-",IFERROR(LG_IMMERSION({ride}),"sinks"))', "0.0"),
            (f'=IF({known},"-",IFERROR({offset},"-"))', _SIGNED),
            (worst("MIN", 2), _SIGNED),
            (worst("MAX", 3), _SIGNED),
            (f'=IF({known},"-",IFERROR(100*LG_FLOAT_RESERVE({ride}),"-"))', "0"),
            *((current(level), "0.00") for level in levels),
        ]

    def _switches(self) -> None:
        self.band("Switches")
        first, last = self.first_case, self.first_case + OPERATING - 1
        low, high = (f"{which}($E${first}:$E${last})" for which in ("MIN", "MAX"))
        rows = []
        for name in SWITCHES:
            key = f"set_{name.lower()}"
            acts = f'{number(f"{key}-{high}", "0")}&" to "&{number(f"{key}-{low}", "0")}'
            rows.append(
                [
                    (name, "@"),
                    (f'=IF({key}="","-",{key})', "0"),
                    (f'=IF(OR({key}="",COUNT($E${first}:$E${last})=0),"-",{acts})', "@"),
                ]
            )
        self.table(SWITCH_HEADS, rows, [1, 2, 3])

    def _others(self) -> None:
        self.band("Other floats")
        for i in range(OTHERS):
            at = CHOICE + 1 + i
            ends = (f"MIN(Choice!$D{at}:$E{at})", f"MAX(Choice!$D{at}:$E{at})")
            low, high = (number(end, "+0.0;-0.0") for end in ends)
            remark = f'IF(Choice!$M{at}="-","","; "&Choice!$M{at})'
            fits = f'": fits too, by the float balance off by "&{low}&" to "&{high}&" mm"&{remark}'
            other = f'IF(Choice!$A{at}="-",": not offered, "&Choice!$C{at},{fits})'
            self.line(f'=IF(Choice!$B{at}="-","-","• "&Choice!$B{at}&{other})', self.text, 1)

    def _questions(self) -> None:
        self.band("Questions")
        count = quote_values.questions()
        for n in range(1, QUESTIONS + 1):
            text = quote_values.question(str(n))
            shown = f'=IF({text}="","","• "&{text})'
            if n == 1:
                shown = f'=IF({count}=0,"none: the inquiry is complete","• "&{text})'
            if n == QUESTIONS:
                more = f'"• and "&({count}-{n - 1})&" more, on the sheet Inquiry"'
                shown = f"=IF({count}>{n},{more},{shown[1:]})"
            self.line(shown, self.text)

    def _assumptions(self) -> None:
        self.band("Assumptions")
        self.line(
            '=IF(upper_density="","• density of the gas or vapour above the liquid: 0",'
            '"• "&IF(service="interface","the upper liquid covers the float and the upper connection",'
            '"the gas above the liquid stays as stated"))',
            self.text,
        )
        self.line(
            '="• level moving at up to "&IF(level_rate="",10,level_rate)&" mm/s; at least "'
            '&IF(reserve="",10,100*N(reserve))&" % of the float above the'
            ' surface; collapse over permitted pressure 3; reading within "&IF(tolerance="",10,tolerance)'
            '&" mm"',
            self.text,
        )

    def _cautions(self) -> None:
        self.band("Cautions")
        self.line(
            f'=IF(best_part="-","• no float is named",IF(Choice!$M${CHOICE}="-",'
            f'"• no reservation on "&best_part,"• "&best_part&": "&Choice!$M${CHOICE}))',
            self.text,
            2,
        )
        self.line(
            '=IF(OR(test_pressure="",best_part="-",NOT(ISNUMBER(best_max_pressure))),"• Test pressure or'
            ' limit of the float not known: keep the float out of the chamber during the hydrostatic test.",'
            'IF(test_pressure>best_max_pressure,"• Float out of the chamber during the hydrostatic test: "'
            '&ROUND(test_pressure,2)&" barg is above its limit of "&best_max_pressure&" barg.",'
            '"• Test pressure within the stated limit of the float; its maker confirms it."))',
            self.text,
        )
        self.line(
            '=IF(temperature_class="","• Explosion protection is not known: no tracer, transmitter or'
            ' switch is offered before it is.",IF(temperature_class="none","• No explosion protection is'
            ' asked for.",'
            '"• Tracer, transmitter and switches: certified for zone, gas group and temperature class "'
            '&temperature_class&"."))',
            self.text,
        )
        for text in EXCLUSIONS[2:]:
            self.line(f"• {text}", self.text, 2)

    def _blanks(self) -> None:
        self.sheet.set_row(self.row, 5)
        self.row += 1
        for start in range(0, len(BLANKS), 3):
            for name, column, last in zip(BLANKS[start : start + 3], (0, 4, 8), (2, 6, LAST), strict=True):
                self.across(name, self.soft, first=column, last=last)
                self.sheet.merge_range(self.row + 1, column, self.row + 1, last, "", self.fill_in)
            self.sheet.set_row(self.row + 1, 23)
            self.row += 2
        self.line(EXCLUSIONS[0], self.soft, 2)

    def _print(self) -> None:
        sheet = self.sheet
        sheet.hide_gridlines(2)
        sheet.set_paper(A4)
        sheet.set_portrait()
        sheet.set_margins(left=0.5, right=0.5, top=0.5, bottom=0.75)
        sheet.print_area(0, 0, self.row - 1, LAST)
        sheet.fit_to_pages(1, 1)
        sheet.set_footer("&C&8&A, page &P of &N")


_LONG = ("Flanges", "Heat tracing")


def _facts_of(page: Page) -> list[tuple[str, str]]:
    """Name and formula of what is stated of the gauge and its float."""
    window = f'{number(f"Choice!$F${CHOICE}", "0")}&" to "&{number(f"Choice!$G${CHOICE}", "0")}'
    shape = "best_mass,best_diameter,best_length,best_magnet_height"
    middle = "((density_low+density_high)/2)"
    percent = (
        f"LG_READING_OFFSET({shape},1.01*{middle},upper_density,best_ends)"
        f"-LG_READING_OFFSET({shape},{middle},upper_density,best_ends)"
    )
    named = {
        "Float": (
            f'{number("best_mass", "0")}&" g, "&best_diameter&" x "&best_length&" mm, "&best_ends&" ends"'
        ),
        "Material": 'best_material&", wall "&best_wall&" mm"',
        "Magnet plane": f'{number("best_magnet_height")}&" mm above the float\'s bottom"',
        "Limits of the float": 'best_max_pressure&" barg, "&best_max_temperature&" °C"',
        "Within tolerance": f'{window}&" kg/m3, by the float balance alone"',
        "Density 1 % higher": f'"reads "&{number(percent, "+0.0;-0.0")}&" mm"',
    }
    facts = [(name, f'IF(best_part="-","-",{text})') for name, text in named.items()]
    facts += [
        ("Design pressure", stated("design_pressure", "barg")),
        ("Design temperature", stated("design_temperature", "°C")),
        ("Chamber bore", stated("chamber_bore", "mm")),
        ("Visible range", stated("visible_range", "mm")),
    ]
    rated = f'"; rated "&{number(_FLANGE)}&" barg at design temperature"'
    unrated = '"; rating not checked: material or design temperature is not stated"'
    flanges = (
        'IF(flange_class="","not stated","class "&flange_class&IFERROR(IF(OR(material_group="",'
        f'design_temperature=""),{unrated},{rated}),"; not rated at design temperature"))'
    )
    loss = (
        'IF(COUNT(maintain,minimum_ambient,chamber_diameter,insulation)<4,"",'
        f'IFERROR("; "&{number(_HEAT_LOSS)}&" W/m are lost","")'
        '&IFERROR(IF(OR(fluid="",operating_pressure=""),"",", boils at "&'
        f'{number(_BOILS)}&" °C"),""))'
    )
    traced = (
        'IF(COUNT(pour_point,minimum_ambient)<2,"not decided: pour or freezing point and lowest ambient'
        ' temperature are needed",IF(pour_point+10>minimum_ambient,"needed","not needed")&": pour or'
        ' freezing point "&ROUND(pour_point,1)&" °C, lowest ambient "&ROUND(minimum_ambient,1)'
        f'&" °C (margin 10 K)"&{loss})'
    )
    signal = (
        'IF(transmitter<>"yes","none",IF(COUNT(range_low,range_high)<2,"range not stated",'
        'ROUND(range_low,1)&" to "&ROUND(range_high,1)&" mm = 4 to 20 mA"))'
    )
    return [*facts, ("Flanges", flanges), ("Heat tracing", traced), ("Transmitter", signal)]


def _drawing(book: Workbook, page: Page, top: int) -> None:
    """The gauge to scale beside the facts, as a native chart of the sheet 'Curve'."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    blue, ink, grey = "#2F5D73", _INK, "#8797A1"
    for name, x, y, rows, line in (
        ("chamber", "F", "G", 5, {"color": ink, "width": 1.5}),
        ("liquid", "H", "I", 41, {"color": "#BFD9EA", "width": 5}),
        ("liquid beside", "Q", "R", 41, {"color": "#BFD9EA", "width": 5}),
        ("float", "J", "K", 41, {"color": grey, "width": 4}),
        ("level", "L", "M", 2, {"color": blue, "width": 1.5}),
    ):
        chart.add_series(
            {
                "name": name,
                "categories": f"=Curve!${x}$2:${x}${rows + 1}",
                "values": f"=Curve!${y}$2:${y}${rows + 1}",
                "line": line,
            }
        )
    for i, colour in enumerate(("#9C4A1A", *[ink] * len(SWITCHES))):
        row = i + 2
        chart.add_series(
            {
                "name": f"=Curve!$N${row}",
                "categories": f"=Curve!$O${row}",
                "values": f"=Curve!$P${row}",
                "line": {"none": True},
                "marker": {
                    "type": ("diamond", "triangle", "square", "circle", "x")[i],
                    "size": 7,
                    "fill": {"color": colour},
                    "border": {"color": colour},
                },
            }
        )
    font = {"name": "Arial", "size": 8, "color": ink}
    chart.set_x_axis(
        {"min": -3, "max": 3, "crossing": -3, "visible": False, "major_gridlines": {"visible": False}}
    )
    chart.set_y_axis({"num_font": font, "num_format": "0", "line": {"color": RULE},
                      "major_gridlines": {"visible": True, "line": {"color": LINE, "width": 0.5}},
                      "name": "mm", "name_font": {**font, "bold": False}})  # fmt: skip
    chart.set_title({"none": True})
    chart.set_plotarea({"layout": {"x": 0.16, "y": 0.03, "width": 0.5, "height": 0.93}})
    chart.set_legend({"position": "right", "font": font, "delete_series": [0, 2]})
    chart.set_chartarea({"border": {"none": True}})
    chart.set_size({"width": 330, "height": 268})
    page.sheet.insert_chart(top, 6, chart, {"x_offset": 4, "y_offset": 4, "object_position": 2})


assert xl_col_to_name(len(HEADINGS) - 1) == "M", "the remarks are looked up in this column"
assert len(FLOATS) > OTHERS
