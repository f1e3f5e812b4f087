"""What the fast reader of .xls and .xlsb does not tell: error cells, hidden rows and columns, strike-through.

Only the few records that say so are looked at; every length is checked against what is there.
Source of the record layouts: Microsoft Open Specifications [MS-CFB], [MS-XLS] and [MS-XLSB].
"""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from xlfuncs.spreadsheet import ooxml
from xlfuncs.spreadsheet.grid import Grid

ERRORS: Final = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
    0x2B: "#GETTING_DATA",
}
_LARGEST: Final = 1 << 29
"""Bytes of a stream that are looked at."""


@dataclass(slots=True)
class _Details:
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_cols: set[int] = field(default_factory=set)
    struck: set[tuple[int, int]] = field(default_factory=set)

    def put_into(self, grid: Grid) -> None:
        if self.errors:
            grid.put(self.errors)
        grid.hidden_rows, grid.hidden_cols = frozenset(self.hidden_rows), frozenset(self.hidden_cols)
        grid.struck = frozenset(self.struck)


def add_details(path: Path, grids: list[Grid]) -> list[Grid]:
    """Put what the records of an .xls or .xlsb say beside the values into the grids."""
    sheets = _xlsb(path) if zipfile.is_zipfile(path) else _xls(path)
    for grid in grids:
        if grid.sheet in sheets:
            sheets[grid.sheet].put_into(grid)
    return grids


# --- .xls ----------------------------------------------------------------------------------------

_FREE, _END_OF_CHAIN = 0xFFFFFFFF, 0xFFFFFFFE
_SHEET, _FONT, _FORMAT_OF_CELL, _ROW, _COLUMNS, _ERROR_OR_BOOL, _FORMULA = (
    0x85,
    0x31,
    0xE0,
    0x208,
    0x7D,
    0x205,
    0x06,
)
_CELLS: Final = (0xFD, 0x203, 0x27E, 0x204, _ERROR_OR_BOOL, _FORMULA, 0xD6)
_MANY_NUMBERS: Final = 0xBD


def _stream(content: bytes, name: str) -> bytes:
    """A stream of a compound file; empty if it has none of that name."""
    size = 1 << struct.unpack_from("<H", content, 0x1E)[0]
    small_size = 1 << struct.unpack_from("<H", content, 0x20)[0]
    directory, _, limit, small_start, _, more, more_count = struct.unpack_from("<7I", content, 0x30)
    if size not in (512, 4096) or small_size != 64:
        return b""

    def sector(number: int) -> bytes:
        return content[(number + 1) * size : (number + 2) * size]

    tables = list(struct.unpack_from("<109I", content, 0x4C))
    for _ in range(min(more_count, len(content) // size)):
        if more >= _END_OF_CHAIN or len(sector(more)) < size:
            break
        block = struct.unpack(f"<{size // 4}I", sector(more))
        tables += block[:-1]
        more = block[-1]
    chain: list[int] = []
    for table in tables:
        if table < _END_OF_CHAIN and len(sector(table)) == size:
            chain += struct.unpack(f"<{size // 4}I", sector(table))

    def follow(start: int, links: list[int]) -> Iterator[int]:
        for _ in range(len(links)):
            if start >= len(links):
                return
            yield start
            start = links[start]

    entries = b"".join(map(sector, follow(directory, chain)))
    root = b""
    for at in range(0, len(entries) - 127, 128):
        length = struct.unpack_from("<H", entries, at + 64)[0]
        title = entries[at : at + max(0, min(length, 64) - 2)].decode("utf-16-le", "replace")
        start, count = struct.unpack_from("<II", entries, at + 116)
        if entries[at + 66] == 5:
            root = b"".join(map(sector, follow(start, chain)))
        elif entries[at + 66] == 2 and title == name:
            if count >= limit:
                return b"".join(map(sector, follow(start, chain)))[: min(count, _LARGEST)]
            small = b"".join(map(sector, follow(small_start, chain)))
            links = list(struct.unpack(f"<{len(small) // 4}I", small[: len(small) // 4 * 4]))
            return b"".join(root[n * 64 : n * 64 + 64] for n in follow(start, links))[:count]
    return b""


def _records(stream: bytes, at: int = 0) -> Iterator[tuple[int, bytes]]:
    while at + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, at)
        yield kind, stream[at + 4 : at + 4 + length]
        at += 4 + length


def _xls(path: Path) -> dict[str, _Details]:
    content = path.read_bytes()
    book = _stream(content, "Workbook") or _stream(content, "Book")
    fonts: list[bool] = []
    struck: set[int] = set()
    formats = 0
    starts: dict[str, int] = {}
    for kind, data in _records(book):
        if kind == _FONT and len(data) >= 4:
            fonts.append(bool(struct.unpack_from("<H", data, 2)[0] & 0x08))
        elif kind == _FORMAT_OF_CELL and len(data) >= 2:
            number = struct.unpack_from("<H", data)[0]
            number -= number > 4  # the font with the number 4 is never written
            if number < len(fonts) and fonts[number]:
                struck.add(formats)
            formats += 1
        elif kind == _SHEET and len(data) > 8:
            wide = data[7] & 1
            text = data[8 : 8 + data[6] * (1 + wide)]
            starts[text.decode("utf-16-le" if wide else "latin-1", "replace")] = struct.unpack_from(
                "<I", data
            )[0]
        elif kind == 0x0A:
            break
    return {name: _xls_sheet(book, start, struck) for name, start in starts.items()}


def _xls_sheet(book: bytes, start: int, struck: set[int]) -> _Details:
    out = _Details()
    depth = 0
    for kind, data in _records(book, start):
        if kind == 0x809:
            depth += 1  # a chart inside the sheet has records of its own
        elif kind == 0x0A:
            depth -= 1
            if depth <= 0:
                break
        elif depth != 1:
            continue
        elif kind == _ROW and len(data) >= 14:
            if data[12] & 0x20:
                out.hidden_rows.add(struct.unpack_from("<H", data)[0] + 1)
        elif kind == _COLUMNS and len(data) >= 10:
            first, last = struct.unpack_from("<HH", data)
            if data[8] & 1:
                out.hidden_cols.update(range(first + 1, min(last, 255) + 2))
        elif kind in _CELLS and len(data) >= 6:
            row, col, style = struct.unpack_from("<HHH", data)
            if style in struck:
                out.struck.add((row + 1, col + 1))
            code = None
            if kind == _ERROR_OR_BOOL and len(data) >= 8 and data[7]:
                code = data[6]
            elif kind == _FORMULA and len(data) >= 14 and data[12:14] == b"\xff\xff" and data[6] == 2:
                code = data[8]
            if code is not None:
                out.errors[row + 1, col + 1] = ERRORS.get(code, "#VALUE!")
        elif kind == _MANY_NUMBERS and struck and len(data) >= 12:
            row, col = struct.unpack_from("<HH", data)
            for number in range((len(data) - 6) // 6):
                if struct.unpack_from("<H", data, 4 + 6 * number)[0] in struck:
                    out.struck.add((row + 1, col + 1 + number))
    return out


# --- .xlsb ---------------------------------------------------------------------------------------


def _parts(stream: bytes) -> Iterator[tuple[int, bytes]]:
    """Records of a part of an .xlsb: number and length have seven bits a byte."""
    at = 0
    while at < len(stream):
        kind = stream[at]
        at += 1
        if kind & 0x80 and at < len(stream):
            kind = (kind & 0x7F) | (stream[at] & 0x7F) << 7
            at += 1
        length = shift = 0
        while at < len(stream) and shift < 28:
            byte = stream[at]
            at += 1
            length |= (byte & 0x7F) << shift
            shift += 7
            if not byte & 0x80:
                break
        yield kind, stream[at : at + length]
        at += length


def _xlsb(path: Path) -> dict[str, _Details]:
    with zipfile.ZipFile(path) as book:
        links = ooxml.relations(book, "xl/_rels/workbook.bin.rels")
        sheets: dict[str, str] = {}
        for kind, data in _parts(book.read("xl/workbook.bin")):
            if kind == 156 and len(data) > 12:  # BrtBundleSh
                link, at = _wide(data, 8)
                name, _ = _wide(data, at)
                if link in links:
                    sheets[name] = ooxml.part_name(links[link])
        return {
            name: _xlsb_sheet(book.read(part)) for name, part in sheets.items() if part in book.NameToInfo
        }


def _wide(data: bytes, at: int) -> tuple[str, int]:
    count = struct.unpack_from("<I", data, at)[0]
    end = at + 4 + 2 * count if count < 1 << 16 else at + 4
    return data[at + 4 : end].decode("utf-16-le", "replace"), end


def _xlsb_sheet(stream: bytes) -> _Details:
    out = _Details()
    row = 0
    for kind, data in _parts(stream):
        if kind == 0 and len(data) >= 12:  # BrtRowHdr
            row = struct.unpack_from("<I", data)[0] + 1
            if data[11] & 0x10:
                out.hidden_rows.add(row)
        elif kind in (3, 11) and len(data) >= 9:  # BrtCellError, BrtFmlaError
            out.errors[row, struct.unpack_from("<I", data)[0] + 1] = ERRORS.get(data[8], "#VALUE!")
        elif kind == 60 and len(data) >= 18:  # BrtColInfo
            first, last = struct.unpack_from("<II", data)
            if data[16] & 1:
                out.hidden_cols.update(range(first + 1, min(last, 16383) + 2))
    return out
