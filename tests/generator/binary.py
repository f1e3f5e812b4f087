"""A small writer of .xlsb after the published description of the format ([MS-XLSB]): numbers, texts, errors.

Nothing else at hand writes this format, and contractors send it.
"""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from xlfuncs.audit.examples import CellError, Formula

_TYPES: Final = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="bin" ContentType="application/vnd.ms-excel.sheet.binary.macroEnabled.main"/>'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    "{}</Types>"
)
_SHEET_TYPE: Final = (
    '<Override PartName="/xl/worksheets/sheet{}.bin" ContentType="application/vnd.ms-excel.worksheet"/>'
)
_RELATIONS: Final = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>'
)
_LINK: Final = (
    '<Relationship Id="rId{}" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{}" '
    'Target="{}"/>'
)

# record numbers of [MS-XLSB], part 2.3
_ROW, _ERROR, _REAL, _TEXT = 0, 3, 5, 6
_BEGIN_SHEET, _END_SHEET, _BEGIN_BOOK, _END_BOOK = 129, 130, 131, 132
_BEGIN_SHEETS, _END_SHEETS, _BEGIN_DATA, _END_DATA, _DIMENSION, _SHEET = 143, 144, 145, 146, 148, 156

_ERRORS: Final = {
    "#NULL!": 0,
    "#DIV/0!": 7,
    "#VALUE!": 15,
    "#REF!": 23,
    "#NAME?": 29,
    "#NUM!": 36,
    "#N/A": 42,
}


def _record(number: int, content: bytes = b"") -> bytes:
    """A record: number and size as variable-length integers of seven bits a byte, then the content."""
    head = bytes([number]) if number < 128 else bytes([number & 0x7F | 0x80, number >> 7])
    size, length = b"", len(content)
    while length > 127:
        size += bytes([length & 0x7F | 0x80])
        length >>= 7
    return head + size + bytes([length]) + content


def _text(text: str) -> bytes:
    return struct.pack("<I", len(text.encode("utf-16-le")) // 2) + text.encode("utf-16-le")


def _cell(column: int, value: Any) -> bytes:
    where = struct.pack("<II", column, 0)
    if isinstance(value, Formula):
        value = value.kept
    if isinstance(value, CellError):
        return _record(_ERROR, where + bytes([_ERRORS[value.code]]))
    if isinstance(value, datetime):
        value = (value - datetime(1899, 12, 30)).days
    if isinstance(value, (int, float)):
        return _record(_REAL, where + struct.pack("<d", value))
    return _record(_TEXT, where + _text(str(value)))


def _sheet(rows: Sequence[Sequence[Any]]) -> bytes:
    width = max((len(row) for row in rows), default=1)
    out = _record(_BEGIN_SHEET)
    out += _record(_DIMENSION, struct.pack("<IIII", 0, max(len(rows) - 1, 0), 0, max(width - 1, 0)))
    out += _record(_BEGIN_DATA)
    for number, row in enumerate(rows):
        filled = [(column, value) for column, value in enumerate(row) if value is not None]
        if not filled:
            continue
        span = struct.pack("<II", filled[0][0], filled[-1][0])
        out += _record(_ROW, struct.pack("<IIHBBBI", number, 0, 300, 0, 0, 0, 1) + span)
        out += b"".join(_cell(column, value) for column, value in filled)
    return out + _record(_END_DATA) + _record(_END_SHEET)


def write_xlsb(path: Path, sheets: Sequence[tuple[str, Sequence[Sequence[Any]]]]) -> None:
    """Write (name, rows) of each sheet."""
    numbers = range(1, len(sheets) + 1)
    entries = b"".join(
        _record(_SHEET, struct.pack("<II", 0, number) + _text(f"rId{number}") + _text(name))
        for number, (name, _) in zip(numbers, sheets, strict=True)
    )
    book = _record(_BEGIN_BOOK) + _record(_BEGIN_SHEETS) + entries + _record(_END_SHEETS) + _record(_END_BOOK)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("[Content_Types].xml", _TYPES.format("".join(map(_SHEET_TYPE.format, numbers))))
        made.writestr("_rels/.rels", _RELATIONS.format(_LINK.format(1, "officeDocument", "xl/workbook.bin")))
        links = (_LINK.format(number, "worksheet", f"worksheets/sheet{number}.bin") for number in numbers)
        made.writestr("xl/_rels/workbook.bin.rels", _RELATIONS.format("".join(links)))
        made.writestr("xl/workbook.bin", book)
        for number, (_, rows) in zip(numbers, sheets, strict=True):
            made.writestr(f"xl/worksheets/sheet{number}.bin", _sheet(rows))
