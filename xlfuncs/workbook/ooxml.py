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
from functools import cache
from pathlib import Path
from typing import Final
from urllib.parse import unquote

from defusedxml import ElementTree  # type: ignore[import-untyped]

PIECE: Final = 1 << 20
"""Bytes searched at once."""

_PREFIX: Final = re.compile(rb"<(\w+:)?worksheet\b")
_HIDDEN: Final = re.compile(rb"""\bhidden=["'](?:1|true)["']""")
_SPAN: Final = re.compile(rb"""\b(min|max)=["'](\d{1,9})["']""")
_WIDE: Final = re.compile(rb"""r=["'](?:[B-Z][A-Z]|[A-Z]{3})\d""")
_WIDE_CELL: Final = re.compile(rb"""r=["']([A-Z]{2,3})\d""")
_REFERENCE: Final = re.compile(rb"""\br=["']([A-Z]{1,3})(\d{1,9})["']""")
_NO_STRIKE: Final = ("0", "false")


class _Patterns:
    """What is searched for, with the prefix that the writer gives its elements ('x:row'), if any.

    No pattern looks past the next '<', so that broken XML costs no more than sound XML.
    """

    def __init__(self, prefix: bytes, quote: bytes) -> None:
        def compiled(pattern: bytes) -> re.Pattern[bytes]:
            return re.compile(pattern.replace(b"<:", b"<" + prefix).replace(b"</:", b"</" + prefix))

        self.error_mark = b"t=" + quote + b"e" + quote
        self.formula_mark = b"<" + prefix + b"f"
        self.row = compiled(rb"<:row\b[^<>]*>")
        self.row_number = compiled(rb"""<:row\b[^<>]*?\br=["'](\d{1,9})["']""")
        self.col = compiled(rb"<:col\b[^<>]*>")
        self.cell = compiled(rb"<:c\b([^<>]*)>")
        self.filled = compiled(
            rb"""<:c\b[^<>]*?\br=["']([A-Z]{1,3})(\d{1,7})["'](?:[^<>]*[^<>/])?>(?!</:c>)"""
        )
        self.error = compiled(
            rb"""<:c\b([^<>]*\bt=["']e["'][^<>]*)>(?:\s*<:f\b[^<>]*(?:/>|>[^<]*</:f>))?\s*(?:<:v>([^<]*)</:v>)?"""
        )
        self.formula = compiled(
            rb"<:c\b([^<>]*)>\s*<:f\b([^<>]*?)(?:/>|>([^<]*)</:f>)\s*(?:<:v>([^<]+)</:v>)?"
        )


@cache
def _patterns(prefix: bytes, quote: bytes) -> _Patterns:
    return _Patterns(prefix, quote)


def column_number(letters: str) -> int:
    """'AA' -> 27."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


@dataclass(slots=True)
class Scan:
    """What was found in the XML of one sheet."""

    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    uncalculated: set[tuple[int, int]] = field(default_factory=set)
    has_formulas: bool = False
    hidden_rows: set[int] = field(default_factory=set)
    hidden_cols: set[int] = field(default_factory=set)
    struck: set[tuple[int, int]] = field(default_factory=set)


def relations(book: zipfile.ZipFile, part: str) -> dict[str, str]:
    """Identity -> target of the links inside the archive; those that lead out of it are left out."""
    return {
        item.get("Id", ""): item.get("Target", "")
        for item in _xml(book, part)
        if item.get("TargetMode") != "External"
    }


def part_name(target: str) -> str:
    """Name in the archive of a target of the workbook."""
    target = unquote(target)
    return target.lstrip("/") if target.startswith("/") else posixpath.normpath(f"xl/{target}")


def sheet_parts(book: zipfile.ZipFile) -> dict[str, str]:
    """Sheet name -> name of its part in the archive."""
    root = _xml(book, "xl/workbook.xml")
    links = relations(book, "xl/_rels/workbook.xml.rels")
    out: dict[str, str] = {}
    for sheet in root.iter():
        if _local(sheet.tag) != "sheet":
            continue
        link = next((value for name, value in sheet.attrib.items() if _local(name) == "id"), None)
        if link in links:
            out[sheet.get("name", "")] = part_name(links[link])
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


def _worksheets(book: zipfile.ZipFile) -> dict[str, str]:
    return {name: part for name, part in sheet_parts(book).items() if "chartsheet" not in part}


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


def _first_piece(piece: bytes) -> _Patterns:
    """The patterns that fit a sheet. ValueError for one that is not written as the search expects."""
    if b"\0" in piece[:200]:
        raise ValueError("its XML is not in UTF-8")
    found = _PREFIX.search(piece)
    return _patterns((found[1] if found else b"") or b"", b"'" if b" r='" in piece else b'"')


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the cells of a sheet reach, at least."""

    row: int
    col: int


def reaches(path: Path, enough: int) -> dict[str, Reach]:
    """How far the values of each worksheet reach; its declared size is not believed.

    A rectangle of more than `enough` cells is looked at again without the cells that hold a format alone.
    """
    out: dict[str, Reach] = {}
    with zipfile.ZipFile(path) as book:
        for name, part in _worksheets(book).items():
            out[name] = _reach(book, part)
            if out[name].row * out[name].col > enough:
                out[name] = _exact_reach(book, part)
    return out


def _reach(book: zipfile.ZipFile, part: str) -> Reach:
    row, col = 0, 52
    patterns: _Patterns | None = None
    for piece in _pieces(book, part):
        patterns = patterns or _first_piece(piece)
        numbers = patterns.row_number.findall(piece)
        if numbers:
            row = max(row, max(map(int, numbers)))
        else:  # rows without a number count on from the last
            row += len(patterns.row.findall(piece))
        if _WIDE.search(piece):
            letters = max(set(_WIDE_CELL.findall(piece)), key=lambda text: (len(text), text))
            col = max(col, column_number(letters.decode()))
    return Reach(row, col)


def _exact_reach(book: zipfile.ZipFile, part: str) -> Reach:
    row, letters = 0, {b"A"}
    patterns: _Patterns | None = None
    for piece in _pieces(book, part):
        patterns = patterns or _first_piece(piece)
        for column, number in set(patterns.filled.findall(piece)):
            letters.add(column)
            row = max(row, int(number))
    return Reach(row, max(column_number(column.decode()) for column in letters))


def scan_all(path: Path) -> dict[str, Scan]:
    """Search every worksheet of a workbook."""
    with zipfile.ZipFile(path) as book:
        struck = struck_styles(book)
        return {name: _scan(book, part, struck) for name, part in _worksheets(book).items()}


def _scan(book: zipfile.ZipFile, part: str, struck: frozenset[bytes]) -> Scan:
    found = Scan()
    patterns: _Patterns | None = None
    strike = re.compile(rb"""\bs=["'](?:""" + b"|".join(sorted(struck)) + rb""")["']""") if struck else None
    for piece in _pieces(book, part):
        patterns = patterns or _first_piece(piece)
        if b"hidden=" in piece:
            _hidden(piece, patterns, found)
        if patterns.error_mark in piece:
            for attributes, value in patterns.error.findall(piece):
                if place := _place(attributes):
                    found.errors[place] = value.decode("utf-8", "replace") or "#VALUE!"
        if patterns.formula_mark in piece:
            found.has_formulas = True
            for attributes, _, _, value in patterns.formula.findall(piece):
                if not value and (place := _place(attributes)):
                    found.uncalculated.add(place)
        if strike is not None and strike.search(piece):
            for attributes in patterns.cell.findall(piece):
                if strike.search(attributes) and (place := _place(attributes)):
                    found.struck.add(place)
    return found


FormulaCell = tuple[tuple[int, int], bytes, bytes, bytes, bytes]


def formula_cells(book: zipfile.ZipFile, part: str) -> Iterator[FormulaCell]:
    """(row and column, attributes of the cell, attributes of the formula, its text, the value kept)."""
    patterns: _Patterns | None = None
    for piece in _pieces(book, part):
        patterns = patterns or _first_piece(piece)
        if patterns.formula_mark in piece:
            for attributes, about, text, value in patterns.formula.findall(piece):
                if place := _place(attributes):
                    yield place, attributes, about, text, value


def _place(attributes: bytes) -> tuple[int, int] | None:
    reference = _REFERENCE.search(attributes)
    return (int(reference[2]), column_number(reference[1].decode())) if reference else None


def _hidden(piece: bytes, patterns: _Patterns, found: Scan) -> None:
    for tag in patterns.row.findall(piece):
        if _HIDDEN.search(tag) and (number := patterns.row_number.match(tag)):
            found.hidden_rows.add(int(number[1]))
    for tag in patterns.col.findall(piece):
        if _HIDDEN.search(tag):
            span = {name: int(value) for name, value in _SPAN.findall(tag)}
            found.hidden_cols.update(range(span.get(b"min", 1), min(span.get(b"max", 0), 16384) + 1))
