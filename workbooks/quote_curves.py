"""The sheet 'Curve' of `quote_check.xlsx`: the offset over the density, and the points of the drawing."""

from __future__ import annotations

from typing import Any

import live
from inquiry import SWITCHES
from sheets import A4, LINE, RULE, SAND, Style
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

POINTS = 13
LINES = 41
"""Points of the zigzags that fill liquid and float."""
SLIP = "#9C4A1A"
_FLOAT = 'best_part="-"'


def write(book: Workbook, style: Style, values: live.Values, first_case: int) -> None:
    """`first_case`: row of the first case on the page, from 1."""
    sheet = book.add_worksheet("Curve")
    table = live.Live(sheet, values)
    head, plain = style(bold=True, bg_color=SAND, text_wrap=True), style(num_format="0.0", align="center")
    sheet.set_column(0, 17, 12)
    heads = ["Density, kg/m3", "Offset, mm", "Tolerance, mm", "Tolerance, mm", "", "Chamber", "mm", "Liquid",
             "mm", "Float", "mm", "Level", "mm", "Mark", "", "mm", "Liquid", "mm"]  # fmt: skip
    for column, text in enumerate(heads):
        sheet.write_string(0, column, text, head)
    _offsets(table, plain)
    _gauge(table, plain, first_case)
    sheet.hide_gridlines(2)
    sheet.set_paper(A4)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 1)
    _charts(book, sheet, first_case)


def _offsets(table: live.Live, plain: Any) -> None:
    low, high = "MIN(density_low,density_cold)", "MAX(density_high,density_cold)"
    shape = "best_mass,best_diameter,best_length,best_magnet_height"
    for i in range(POINTS):
        row = i + 1
        span = f"{low}*0.98+({high}*1.02-{low}*0.98)*{i}/{POINTS - 1}"
        table.formula(row, 0, f"={span}", plain)
        call = f"LG_READING_OFFSET({shape},A{row + 1},upper_density,best_ends)"
        table.formula(row, 1, f"=IF({_FLOAT},NA(),IFERROR({call},NA()))", plain)
        table.formula(row, 2, "=tolerance", plain)
        table.formula(row, 3, "=-tolerance", plain)


def _gauge(table: live.Live, plain: Any, first_case: int) -> None:
    """Chamber, liquid, float with its surface, and the marks; heights in mm above the lower end."""
    high, mid = "N(visible_range)", "N(visible_range)/2"
    normal = f"IF(ISNUMBER(Offer!$D${first_case + 1}),Offer!$D${first_case + 1},Offer!$D${first_case})"
    bottom, top = f"({mid}-{normal})", f"({mid}-{normal}+best_length)"
    below = f"MIN(0,IFERROR({bottom},0))-0.03*{high}"
    above = f"MAX({high},IFERROR({top},0))+0.03*{high}"
    for i, (x, y) in enumerate(((-1, below), (-1, above), (1, above), (1, below), (-1, below))):
        table.formula(i + 1, 5, f"={x}", plain)
        table.formula(i + 1, 6, f"={y}", plain)
    for i in range(LINES):
        y = f"({below})+({mid}-({below}))*{i // 2}/{LINES // 2}"
        outer = (i + 1) // 2 % 2
        inner = f"IF(I{i + 2}<IFERROR({bottom},{mid}),0.95,-0.72)"
        table.formula(i + 1, 7, "=-0.95" if outer else f"={inner}", plain)
        table.formula(i + 1, 8, f"={y}", plain)
        table.formula(i + 1, 16, f"={0.95 if outer else 0.72}", plain)
        beside = f"{bottom}+({mid}-{bottom})*{i // 2}/{LINES // 2}"
        table.formula(i + 1, 17, f"=IF({_FLOAT},NA(),IFERROR({beside},NA()))", plain)
    for i in range(LINES):
        table.formula(i + 1, 9, f"={-0.7 if (i + 1) // 2 % 2 else 0.7}", plain)
        y = f"{bottom}+best_length*{i // 2}/{LINES // 2}"
        table.formula(i + 1, 10, f"=IF({_FLOAT},NA(),IFERROR({y},NA()))", plain)
    for i, x in enumerate((-1.6, 1.6)):
        table.formula(i + 1, 11, f"={x}", plain)
        table.formula(i + 1, 12, f"={mid}", plain)
    table.formula(1, 13, '="magnet"', plain)
    table.formula(1, 14, "=1.5", plain)
    table.formula(1, 15, f"=IF({_FLOAT},NA(),IFERROR({bottom}+best_magnet_height,NA()))", plain)
    for i, name in enumerate(SWITCHES):
        key = f"set_{name.lower()}"
        table.formula(i + 2, 13, f'=IF({key}="","{name} -","{name} "&ROUND({key},0))', plain)
        table.formula(i + 2, 14, "=1.5", plain)
        table.formula(i + 2, 15, f'=IF({key}="",NA(),{key})', plain)


def _charts(book: Workbook, sheet: Worksheet, first: int) -> None:
    """Offset over density, and the offsets of the floats that fit."""
    x = f"=Curve!$A$2:$A${POINTS + 1}"
    font = {"name": "Arial", "size": 8, "color": "#26323A"}
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    for column, name, line in (
        ("B", "offset of the best float", {"color": "#2F5D73", "width": 2.25}),
        ("C", "tolerance", {"color": SLIP, "width": 1, "dash_type": "dash"}),
        ("D", "tolerance, low", {"color": SLIP, "width": 1, "dash_type": "dash"}),
    ):
        cells = f"=Curve!${column}$2:${column}${POINTS + 1}"
        chart.add_series({"name": name, "categories": x, "values": cells, "line": line})
    mark = {"type": "circle", "size": 6, "fill": {"color": "#2F5D73"}, "border": {"color": "white"}}
    chart.add_series(
        {
            "name": "cases",
            "categories": f"=Offer!$B${first}:$B${first + 3}",
            "values": f"=Offer!$E${first}:$E${first + 3}",
            "line": {"none": True},
            "marker": mark,
        }
    )
    _dress(chart, "Reading offset over density", "density, kg/m3", font)
    chart.set_legend({"position": "bottom", "delete_series": [2], "font": font})
    bars = book.add_chart({"type": "column"})
    for letter, name, colour in (
        ("D", "at the lowest density", "#8FA9B8"),
        ("E", "at the highest density", "#2F5D73"),
    ):
        bars.add_series(
            {
                "name": name,
                "categories": "=Choice!$B$5:$B$9",
                "values": f"=Choice!${letter}$5:${letter}$9",
                "fill": {"color": colour},
                "gap": 80,
            }
        )
    _dress(bars, "Offset of the five nearest floats", "", font)
    bars.set_legend({"position": "bottom", "font": font})
    sheet.insert_chart(LINES + 2, 0, chart, {"object_position": 2})
    sheet.insert_chart(LINES + 2, 6, bars, {"object_position": 2})


def _dress(chart: Any, title: str, x: str, font: dict[str, Any]) -> None:
    chart.set_title({"name": title, "name_font": {**font, "size": 9, "bold": True}, "overlay": False})
    grid = {"visible": True, "line": {"color": LINE, "width": 0.5}}
    axis = {"num_font": font, "name_font": {**font, "bold": False}, "line": {"color": RULE}}
    chart.set_x_axis({"name": x, **axis, "label_position": "low", "num_format": "0" if x else "General"})
    chart.set_y_axis({"name": "offset, mm", **axis, "major_gridlines": grid, "num_format": "0"})
    chart.set_chartarea({"border": {"color": LINE}})
    chart.set_size({"width": 388, "height": 330})
