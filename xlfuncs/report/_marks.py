"""Marks in an annotated copy that show on paper: cells coloured by a rule of their own, numbers beside them.

The cells themselves stay as they are: the colour is a conditional format (ECMA-376 part 1, 18.3.1.18), the
number a small text box of the sheet's drawing (20.5), and both are known again by their names.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from xlfuncs.report._room import HEIGHT, LOW, Room, Spot
from xlfuncs.spreadsheet.changed import declared
from xlfuncs.spreadsheet.markup import escape
from xlfuncs.spreadsheet.splice import Splice
from xlfuncs.spreadsheet.usual import MAIN

MOST: Final = 1_000
"""Numbers on a sheet: with more it opens too slowly; the colours go on."""
FORMULA: Final = '"xlfuncs"="xlfuncs"'
"""Always true: by it the colours are known again."""
NAME: Final = "xlfuncs finding"
"""What the text boxes are called."""
UNREAD: Final = "not read"
"""The look of a heading whose column was not read."""

FILLS: Final = {"error": "FFF4B6BC", "warning": "FFFFE08A", "note": "FFBFDDF2", UNREAD: "FFD9D9D9"}
_INKS: Final = {"error": "A3161F", "warning": "7A4B00", "note": "1F5F99", UNREAD: "595959"}

_DRAWING: Final = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_SHAPES: Final = "http://schemas.openxmlformats.org/drawingml/2006/main"
EMPTY: Final = f'<xdr:wsDr xmlns:xdr="{_DRAWING}" xmlns:a="{_SHAPES}"></xdr:wsDr>'

# What precedes a worksheet's conditional formats, and what precedes its drawing (CT_Worksheet, 18.3.1.99).
_BEFORE_FORMATS: Final = frozenset({
    "sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "sheetCalcPr",
    "sheetProtection", "protectedRanges", "scenarios", "autoFilter", "sortState", "dataConsolidate",
    "customSheetViews", "mergeCells", "phoneticPr", "conditionalFormatting",
})  # fmt: skip
_BEFORE_DRAWING: Final = _BEFORE_FORMATS | {
    "dataValidations", "hyperlinks", "printOptions", "pageMargins", "pageSetup", "headerFooter", "rowBreaks",
    "colBreaks", "customProperties", "cellWatches", "ignoredErrors", "smartTags",
}  # fmt: skip

_EMU: Final = 9525
"""English metric units of a pixel at 96 dpi."""

Marks = Mapping[str, tuple[str, str]]
"""Cell -> its look (a severity or `UNREAD`), and what stands beside it."""


def looks() -> list[str]:
    """The differential formats, in the order of `FILLS`."""
    out = []
    for look, colour in FILLS.items():
        kind, ink = ("lightUp", "FF808080") if look == UNREAD else ("solid", colour)
        colours = f'<fgColor rgb="{ink}"/><bgColor rgb="{colour}"/>'
        out.append(f'<dxf><fill><patternFill patternType="{kind}">{colours}</patternFill></fill></dxf>')
    return out


def colour(page: Splice, marks: Marks, first: int) -> None:
    """Add the conditional formats. `first`: number of the first of `looks` in the style sheet."""
    cells: dict[str, list[str]] = {}
    for cell, (look, _) in marks.items():
        cells.setdefault(look, []).append(cell)
    priority = max([0, *(int(n) for n in re.findall(rb'\bpriority="(\d{1,9})"', page.data))])
    blocks = []
    space = declared(page, MAIN)
    for number, look in enumerate(FILLS):
        if look in cells:
            priority += 1
            rule = f'<cfRule type="expression" dxfId="{first + number}" priority="{priority}">'
            formula = f"<formula>{escape(FORMULA)}</formula></cfRule>"
            places = " ".join(cells[look])
            blocks.append(
                f'<conditionalFormatting{space} sqref="{places}">{rule}{formula}</conditionalFormatting>'
            )
    page.insert(place(page, _BEFORE_FORMATS), "".join(blocks))


def place(page: Splice, before: frozenset[str]) -> int:
    """Where an element goes that stands behind some others."""
    ends = [child.end for child in page.root.children if child.name in before]
    return max(ends, default=page.root.close)


def before_drawing(page: Splice) -> int:
    """Where a worksheet names its drawing."""
    return place(page, _BEFORE_DRAWING)


def clear(page: Splice) -> None:
    """Take an earlier report's colours off a worksheet."""
    ours = escape(FORMULA).encode()
    for child in page.root.all("conditionalFormatting"):
        text = page.data[child.start : child.end]
        if ours in text or FORMULA.encode() in text or FORMULA.replace('"', "&quot;").encode() in text:
            page.replace(child.start, child.end, "")


def clear_numbers(drawing: Splice) -> None:
    """Take an earlier report's numbers out of a drawing."""
    for anchor in drawing.root.children:
        if f'name="{NAME}'.encode() in drawing.data[anchor.start : anchor.end]:
            drawing.replace(anchor.start, anchor.end, "")


def anchors(marks: Marks, room: Room, first: int) -> str:
    """A small box for each cell, where no value is hidden. `first`: a free shape number."""
    out = []
    for k, (cell, (look, text)) in enumerate(list(marks.items())[:MOST]):
        wide = 7 + 6 * len(text)
        out.append(_anchor(first + k, room.spot(cell, wide), wide, text, _INKS[look]))
    return "".join(out)


def _anchor(number: int, spot: Spot, wide: int, text: str, ink: str) -> str:
    start = (
        f"<xdr:from><xdr:col>{spot.column}</xdr:col><xdr:colOff>{spot.left * _EMU}</xdr:colOff>"
        f"<xdr:row>{spot.row}</xdr:row><xdr:rowOff>{spot.top * _EMU}</xdr:rowOff></xdr:from>"
    )
    size = f'cx="{wide * _EMU}" cy="{(LOW if spot.between else HEIGHT) * _EMU}"'
    seen = '<a:alpha val="70000"/>' if spot.between else ""  # what is below shows through
    fill = f'<a:solidFill><a:srgbClr val="FFFFFF">{seen}</a:srgbClr></a:solidFill>'
    look = (
        f'<xdr:spPr><a:xfrm><a:off x="0" y="0"/><a:ext {size}/></a:xfrm><a:prstGeom prst="rect"><a:avLst/>'
        f'</a:prstGeom>{fill}<a:ln w="6350"><a:solidFill>'
        f'<a:srgbClr val="{ink}"/></a:solidFill></a:ln></xdr:spPr>'
    )
    body = (
        '<xdr:txBody><a:bodyPr vertOverflow="overflow" horzOverflow="overflow" wrap="none" lIns="0" tIns="0" '
        'rIns="0" bIns="0" anchor="ctr"/><a:lstStyle/><a:p><a:pPr algn="ctr"/><a:r><a:rPr lang="en-US" '
        f'sz="{550 if spot.between else 650}" b="1"><a:solidFill><a:srgbClr val="{ink}"/></a:solidFill>'
        f"</a:rPr><a:t>{escape(text)}</a:t>"
        "</a:r></a:p></xdr:txBody>"
    )
    spaces = f'xmlns:xdr="{_DRAWING}" xmlns:a="{_SHAPES}"'
    return (
        f'<xdr:oneCellAnchor {spaces}>{start}<xdr:ext {size}/><xdr:sp macro="" textlink=""><xdr:nvSpPr>'
        f'<xdr:cNvPr id="{number}" name="{NAME} {escape(text)}"/><xdr:cNvSpPr txBox="1"/></xdr:nvSpPr>'
        f"{look}{body}</xdr:sp><xdr:clientData/></xdr:oneCellAnchor>"
    )
