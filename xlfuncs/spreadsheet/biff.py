"""What the compiled reader of .xls and .xlsb does not tell: error, hidden and struck-through cells.

Of an .xls xlrd tells it. Of an .xlsb no library does: the few records that say so are looked at, and every
length is checked against what is there ([MS-XLSB]).
"""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.compiled import calamine_grids
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.opening import LOCKED
from xlfuncs.spreadsheet.usual import usual

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


def read_biff(path: Path) -> list[Grid]:
    """The sheets of an .xls or .xlsb with all that is known of them."""
    return _read_xlsb(path) if zipfile.is_zipfile(path) else _read_xls(path)


# --- .xls ----------------------------------------------------------------------------------------

_COMPOUND: Final = b"\xd0\xcf\x11\xe0"
"""How a compound file begins ([MS-CFB] 2.2); an older .xls is a bare stream of records."""
_END: Final = 0x0A
_FILEPASS: Final = 0x2F
"""Says how the records after it are encrypted, by XOR or by RC4 ([MS-XLS] 2.4.117)."""


def _read_xls(path: Path) -> list[Grid]:
    """Values from the compiled reader, or from xlrd where that one gives up; the rest from xlrd."""
    import xlrd

    content = path.read_bytes()
    if _is_encrypted(content):
        raise XlfuncsError(f"{path} {LOCKED}")
    grids = _values(path)
    with xlrd.open_workbook(
        file_contents=content,
        logfile=io.StringIO(),  # oddities of the file, for those who wrote it
        formatting_info=True,
        on_demand=True,
        ragged_rows=True,
        ignore_workbook_corruption=True,
    ) as book:
        known = set(book.sheet_names())
        for name in list(grids or book.sheet_names()):
            if name in known:
                sheet = book.sheet_by_name(name)
                if name not in grids:
                    grids[name] = _xls_grid(book, sheet)
                _xls_details(book, sheet).put_into(grids[name])
                if book.on_demand:
                    book.unload_sheet(name)
    return list(grids.values())


def _values(path: Path) -> dict[str, Grid]:
    """Name -> sheet; none where the compiled reader gives up, as it does by a panic too."""
    try:
        return {grid.sheet: grid for grid in calamine_grids(path)}
    except (KeyboardInterrupt, SystemExit, MemoryError):
        raise
    except BaseException:
        return {}


def _is_encrypted(content: bytes) -> bool:
    """Whether a password is needed: that of an .xls, or of an .xlsx that is kept in a compound file."""
    from xlrd.compdoc import CompDoc

    if not content.startswith(_COMPOUND):
        return any(kind == _FILEPASS for kind in _globals(content))
    if "EncryptedPackage".encode("utf-16-le") in content:
        return True
    document = CompDoc(content, logfile=io.StringIO(), ignore_workbook_corruption=True)
    for name in ("Workbook", "Book"):
        stream, start, length = document.locate_named_stream(name)
        if stream is not None:
            return any(kind == _FILEPASS for kind in _globals(stream[start : start + length]))
    return False


def _globals(stream: bytes) -> Iterator[int]:
    """The kinds of the records that concern the whole workbook; an encrypted one's can be read too."""
    at = 0
    while at + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, at)
        if kind == _END:
            return
        yield kind
        at += 4 + length


def _xls_details(book: Any, sheet: Any) -> _Details:
    from xlrd.biffh import XL_CELL_BLANK, XL_CELL_EMPTY, XL_CELL_ERROR

    fonts = [bool(font.struck_out) for font in book.font_list]
    struck = {
        number
        for number, style in enumerate(book.xf_list)
        if style.font_index < len(fonts) and fonts[style.font_index]
    }
    out = _Details()
    out.hidden_rows = {row + 1 for row, about in sheet.rowinfo_map.items() if about.hidden}
    out.hidden_cols = {col + 1 for col, about in sheet.colinfo_map.items() if about.hidden and col < 256}
    for row in range(sheet.nrows):
        kinds = sheet.row_types(row)
        if XL_CELL_ERROR in kinds:
            for col, code in enumerate(sheet.row_values(row)):
                if kinds[col] == XL_CELL_ERROR:
                    out.errors[row + 1, col + 1] = ERRORS.get(code, "#VALUE!")
        if struck:
            for col, kind in enumerate(kinds):
                filled = kind not in (XL_CELL_BLANK, XL_CELL_EMPTY)
                if filled and sheet.cell_xf_index(row, col) in struck:
                    out.struck.add((row + 1, col + 1))
    return out


def _xls_grid(book: Any, sheet: Any) -> Grid:
    """The values as xlrd gives them."""
    cells = {
        (row + 1, col + 1): _xls_value(kind, value, book.datemode)
        for row in range(sheet.nrows)
        for col, (kind, value) in enumerate(zip(sheet.row_types(row), sheet.row_values(row), strict=True))
        if value != ""
    }
    grid = Grid.sparse(sheet.name, cells)
    grid.hidden = sheet.visibility != 0
    grid.merges = [(top + 1, left + 1, bottom, right) for top, bottom, left, right in sheet.merged_cells]
    return grid


def _xls_value(kind: int, value: Any, datemode: int) -> Any:
    from xlrd.biffh import XL_CELL_BOOLEAN, XL_CELL_DATE, XL_CELL_ERROR
    from xlrd.xldate import XLDateError, xldate_as_datetime

    if kind == XL_CELL_DATE:
        try:
            return xldate_as_datetime(value, datemode)
        except (XLDateError, OverflowError):
            return value
    if kind == XL_CELL_BOOLEAN:
        return bool(value)
    return ERRORS.get(value, "#VALUE!") if kind == XL_CELL_ERROR else value


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


def _read_xlsb(path: Path) -> list[Grid]:
    with usual(path) as package:
        grids = calamine_grids(package.stream())
        parts: dict[str, str] = {}
        for kind, data in _parts(package.read(package.main)):
            if kind == 156 and len(data) > 12:  # BrtBundleSh
                key, at = _wide(data, 8)
                name, _ = _wide(data, at)
                if key in package.links and package.links[key].part:
                    parts[name] = package.links[key].part
        for grid in grids:
            if grid.sheet in parts:
                _xlsb_sheet(package.read(parts[grid.sheet])).put_into(grid)
    return grids


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
