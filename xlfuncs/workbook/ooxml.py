"""What the fast reader of .xlsx does not tell: how far a sheet reaches, its error cells, formulas without a
value, hidden rows and columns, struck-through cells.

A sheet of a large index has 150 MB of XML; parsing it takes half a minute, so it is searched as bytes
instead, in pieces that end with a row. Nothing is expanded or resolved on the way.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final
from urllib.parse import unquote

from defusedxml import ElementTree

PIECE: Final = 1 << 20
"""Bytes searched at once."""

_ROW: Final = re.compile(rb"<(?:\w+:)?row\b[^>]*>")
_ROW_NUMBER: Final = re.compile(rb'\br="(\d+)"')
_HIDDEN: Final = re.compile(rb'\bhidden="(?:1|true)"')
_COL: Final = re.compile(rb"<(?:\w+:)?col\b[^>]*>")
_SPAN: Final = re.compile(rb'\b(min|max)="(\d+)"')
_WIDE: Final = re.compile(rb'r="(?:[B-Z][A-Z]|[A-Z]{3})\d')
_WIDE_CELL: Final = re.compile(rb'r="([A-Z]{2,3})\d')
_CELL: Final = re.compile(rb"<(?:\w+:)?c\b([^>]*)>")
_REFERENCE: Final = re.compile(rb'\br="([A-Z]+)(\d+)"')
_STYLE: Final = re.compile(rb'\bs="(\d+)"')
_CELL_END: Final = re.compile(rb"</(?:\w+:)?c>")
_ERROR: Final = re.compile(rb'<(?:\w+:)?c\b([^>]*\bt="e"[^>]*)>(.*?)</(?:\w+:)?c>', re.DOTALL)
VALUE: Final = re.compile(rb"<(?:\w+:)?v>([^<]*)</(?:\w+:)?v>")
_FORMULA: Final = re.compile(rb"<(?:\w+:)?c\b([^>]*[^>/])>\s*<(?:\w+:)?f\b(.*?)</(?:\w+:)?c>", re.DOTALL)
_ROW_END: Final = re.compile(rb"</(?:\w+:)?row>|<(?:\w+:)?row\b[^>]*/>")
_NO_STRIKE: Final = ("0", "false")


def column_number(letters: str) -> int:
    """'AA' -> 27."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


@dataclass(slots=True)
class Scan:
    """What was found in the XML of one sheet."""

    last_row: int = 0
    last_col: int = 52
    """At least as far as the cells reach."""
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    uncalculated: set[tuple[int, int]] = field(default_factory=set)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_cols: set[int] = field(default_factory=set)
    struck: set[tuple[int, int]] = field(default_factory=set)


def sheet_parts(book: zipfile.ZipFile) -> dict[str, str]:
    """Sheet name -> name of its part in the archive."""
    root = _xml(book, "xl/workbook.xml")
    links = {
        item.get("Id"): item.get("Target", "")
        for item in _xml(book, "xl/_rels/workbook.xml.rels")
        if item.get("TargetMode") != "External"
    }
    out: dict[str, str] = {}
    for sheet in root.iter():
        if _local(sheet.tag) != "sheet":
            continue
        link = next((value for name, value in sheet.attrib.items() if _local(name) == "id"), None)
        target = unquote(links.get(link) or "")
        if target:
            part = target.lstrip("/") if target.startswith("/") else posixpath.normpath(f"xl/{target}")
            out[sheet.get("name", "")] = part
    return out


def struck_styles(book: zipfile.ZipFile) -> frozenset[bytes]:
    """Numbers of the cell styles whose font is struck through."""
    try:
        root = _xml(book, "xl/styles.xml")
    except KeyError:
        return frozenset()
    fonts: list[bool] = []
    styles: list[bytes] = []
    for group in root:
        if _local(group.tag) == "fonts":
            fonts = [
                any(_local(mark.tag) == "strike" and mark.get("val", "1") not in _NO_STRIKE for mark in font)
                for font in group
            ]
        elif _local(group.tag) == "cellXfs":
            for number, style in enumerate(group):
                font = int(style.get("fontId", "0"))
                if font < len(fonts) and fonts[font]:
                    styles.append(str(number).encode())
    return frozenset(styles)


def scan_all(path: Path) -> dict[str, Scan]:
    """Search every worksheet of a workbook."""
    with zipfile.ZipFile(path) as book:
        struck = struck_styles(book)
        return {
            name: scan(book, part, struck)
            for name, part in sheet_parts(book).items()
            if "chartsheet" not in part
        }


def _xml(book: zipfile.ZipFile, part: str) -> ElementTree.Element:
    return ElementTree.fromstring(book.read(part), forbid_dtd=True)


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _pieces(book: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """The XML of a sheet in pieces that end with a row."""
    rest = b""
    with book.open(part) as stream:
        while block := stream.read(PIECE):
            block = rest + block
            cut = block.rfind(b"row>")
            cut = cut + 4 if cut >= 0 else block.rfind(b"/>") + 2
            if cut < 4 and len(block) < 64 * PIECE:
                rest = block
                continue
            cut = max(cut, 1)
            yield block[:cut]
            rest = block[cut:]
    if rest:
        yield rest


def scan(book: zipfile.ZipFile, part: str, struck: frozenset[bytes] = frozenset()) -> Scan:
    """Search the XML of one sheet."""
    found = Scan()
    last = 0
    strike = re.compile(rb'\bs="(?:' + b"|".join(sorted(struck)) + rb')"') if struck else None
    for piece in _pieces(book, part):
        last = max(last, _last_row(piece, found.last_row))
        found.last_row = max(found.last_row, last)
        if _WIDE.search(piece):
            widest = max(
                {match[1] for match in _WIDE_CELL.finditer(piece)}, key=lambda text: (len(text), text)
            )
            found.last_col = max(found.last_col, column_number(widest.decode()))
        if b"hidden=" in piece:
            _hidden(piece, found)
        if b't="e"' in piece:
            for attributes, body in _ERROR.findall(piece):
                place, value = _place(attributes), VALUE.search(body)
                if place:
                    found.errors[place] = value[1].decode("utf-8", "replace") if value else "#VALUE!"
        if _has_formulas(piece):
            for attributes, body in _FORMULA.findall(piece):
                if not VALUE.search(body) and (place := _place(attributes)):
                    found.uncalculated.add(place)
        if strike is not None and strike.search(piece):
            for attributes in _CELL.findall(piece):
                if strike.search(attributes) and (place := _place(attributes)):
                    found.struck.add(place)
    return found


def _has_formulas(piece: bytes) -> bool:
    return b"<f" in piece or b":f>" in piece or b":f " in piece


def formula_cells(book: zipfile.ZipFile, part: str) -> Iterator[tuple[tuple[int, int], bytes, bytes]]:
    """(row and column, attributes, what follows '<f') of each formula cell of a sheet."""
    for piece in _pieces(book, part):
        if _has_formulas(piece):
            for attributes, body in _FORMULA.findall(piece):
                if place := _place(attributes):
                    yield place, attributes, body


def _place(attributes: bytes) -> tuple[int, int] | None:
    reference = _REFERENCE.search(attributes)
    return (int(reference[2]), column_number(reference[1].decode())) if reference else None


def _last_row(piece: bytes, before: int) -> int:
    """The highest row number of a piece; rows without a number count on from the last."""
    highest = before
    for match in _ROW.finditer(piece):
        number = _ROW_NUMBER.search(match[0])
        highest = max(highest, int(number[1])) if number else highest + 1
    return highest


def _hidden(piece: bytes, found: Scan) -> None:
    for match in _ROW.finditer(piece):
        if _HIDDEN.search(match[0]) and (number := _ROW_NUMBER.search(match[0])):
            found.hidden_rows.add(int(number[1]))
    for match in _COL.finditer(piece):
        if _HIDDEN.search(match[0]):
            span = {name: int(value) for name, value in _SPAN.findall(match[0])}
            first, final = span.get(b"min", 1), span.get(b"max", 0)
            found.hidden_cols.update(range(first, min(final, 16384) + 1))
