"""What the fast reader of .ods does not tell: error, hidden, merged and struck-through cells."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, Final

from defusedxml.ElementTree import iterparse  # type: ignore[import-untyped]

from xlfuncs.spreadsheet.compiled import calamine_grids
from xlfuncs.spreadsheet.grid import Grid, Range

_TABLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE: Final = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_STYLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"
_TEXT: Final = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_CALC: Final = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"
_BLANKS: Final = re.compile(rb"(</?(?:table|office):[^<>]*>|</text:p>)\s+(?=<)")
_MOST_REPEATED: Final = 2000
"""Repetitions of a row or cell that are followed one by one; more is filling up to the edge of the sheet."""


@dataclass(slots=True)
class _Sheet:
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_cols: set[int] = field(default_factory=set)
    struck: set[tuple[int, int]] = field(default_factory=set)
    merges: list[Range] = field(default_factory=list)


def read_opendocument(path: Path) -> list[Grid]:
    """The sheets of an .ods with all that is known of them."""
    try:
        grids = calamine_grids(path)
    except Exception:  # it stumbles over blanks between the cells of a file that was set out for people
        grids = calamine_grids(_without_blanks(path))
    return add_details(path, grids)


def _without_blanks(path: Path) -> IO[bytes]:
    """The file without the blanks between its sheets, rows and cells, which mean nothing."""
    out = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for name in {"mimetype", "META-INF/manifest.xml", "content.xml"}.intersection(old.namelist()):
            content = old.read(name)
            new.writestr(name, _BLANKS.sub(rb"\1", content) if name == "content.xml" else content)
    out.seek(0)
    return out


def add_details(path: Path, grids: list[Grid]) -> list[Grid]:
    """Put what `content.xml` says beside the values into the grids."""
    with zipfile.ZipFile(path) as book, book.open("content.xml") as stream:
        sheets = _sheets(stream)
    for grid in grids:
        found = sheets.get(grid.sheet)
        if found is None:
            continue
        if found.errors:
            grid.put(found.errors)
        grid.hidden_rows, grid.hidden_cols = frozenset(found.hidden_rows), frozenset(found.hidden_cols)
        grid.struck, grid.merges = frozenset(found.struck), found.merges
    return grids


def _sheets(stream: Any) -> dict[str, _Sheet]:
    out: dict[str, _Sheet] = {}
    struck_styles: set[str] = set()
    style = ""
    sheet = _Sheet()
    row = col = 0
    for event, element in iterparse(stream, events=("start", "end"), forbid_dtd=True):
        tag = element.tag
        if event == "start":
            if tag == f"{_TABLE}table":
                sheet = out[element.get(f"{_TABLE}name", "")] = _Sheet()
                row = col = 0
            elif tag == f"{_TABLE}table-row":
                row, col = row + 1, 0
            elif tag == f"{_STYLE}style":
                style = element.get(f"{_STYLE}name", "")
            continue
        if tag == f"{_STYLE}text-properties":
            if element.get(f"{_STYLE}text-line-through-style", "none") != "none":
                struck_styles.add(style)
        elif tag == f"{_TABLE}table-column":
            times = _repeated(element, "columns")
            if element.get(f"{_TABLE}visibility") in ("collapse", "filter"):
                sheet.hidden_cols.update(range(col + 1, col + 1 + min(times, _MOST_REPEATED)))
            col += times
        elif tag in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            times = _repeated(element, "columns")
            _cell(element, row, col + 1, min(times, _MOST_REPEATED), sheet, struck_styles)
            col += times
            element.clear()
        elif tag == f"{_TABLE}table-row":
            times = _repeated(element, "rows")
            if element.get(f"{_TABLE}visibility") in ("collapse", "filter"):
                sheet.hidden_rows.update(range(row, row + min(times, _MOST_REPEATED)))
            row += times - 1
            element.clear()
    return out


def _repeated(element: Any, what: str) -> int:
    try:
        return max(1, int(element.get(f"{_TABLE}number-{what}-repeated", "1")))
    except ValueError:
        return 1


def _cell(element: Any, row: int, col: int, times: int, sheet: _Sheet, struck_styles: set[str]) -> None:
    if element.get(f"{_CALC}value-type") == "error":
        text = "".join(element.find(f"{_TEXT}p").itertext()) if element.find(f"{_TEXT}p") is not None else ""
        for number in range(times):
            sheet.errors[row, col + number] = text or "#VALUE!"
    if element.get(f"{_TABLE}style-name") in struck_styles and element.get(f"{_OFFICE}value-type"):
        sheet.struck.update((row, col + number) for number in range(times))
    rows, cols = (int(element.get(f"{_TABLE}number-{what}-spanned", "1")) for what in ("rows", "columns"))
    if rows > 1 or cols > 1:
        sheet.merges.append((row, col, row + rows - 1, col + cols - 1))
