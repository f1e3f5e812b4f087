"""What a workbook keeps of the cells of other workbooks that it refers to (ECMA-376 part 1, 18.14)."""

from __future__ import annotations

from typing import Any

from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.cell_values import CellError
from xlfuncs.spreadsheet.package import local, parse

Values = dict[tuple[int, int], Any]


def read_link(data: bytes, part: str) -> dict[str, Values]:
    """Kept values by sheet, in small letters, of the part of one other workbook."""
    names: list[str] = []
    found: dict[str, Values] = {}
    here: Values | None = None
    place, kind = (0, 0), ""
    text: list[str] | None = None

    def begin(tag: str, attributes: dict[str, str]) -> None:
        nonlocal here, place, kind, text
        match local(tag):
            case "sheetName":
                names.append(attributes.get("val", "").casefold())
            case "sheetData":
                number = attributes.get("sheetId", "")
                known = number.isdecimal() and int(number) < len(names)
                here = found.setdefault(names[int(number)], {}) if known else None
            case "cell":
                column, row = split_address(attributes.get("r", "A1").replace("$", "") or "A1")
                place, kind = (row, column), attributes.get("t", "n")
            case "v":
                text = []

    def finish(tag: str) -> None:
        nonlocal text
        if local(tag) == "v" and text is not None:
            value = _value(kind, "".join(text))
            if here is not None and value is not None:
                here[place] = value
            text = None

    def characters(piece: str) -> None:
        if text is not None:
            text.append(piece)

    parse(data, part, begin, finish, characters)
    return found


def _value(kind: str, written: str) -> Any:
    match kind:
        case "n":
            try:
                return float(written)
            except ValueError:
                return None
        case "b":
            return written.strip() in ("1", "true")
        case "e":
            return CellError(written)
    return written
