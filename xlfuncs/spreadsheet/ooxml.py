"""What the fast reader of .xlsx does not tell: how far a sheet reaches, its error cells, formulas without a
value, hidden rows and columns, struck-through cells.

A sheet of a large index has 150 MB of XML; parsing it takes half a minute, so it is searched as bytes
instead, in pieces that end with a row. Nothing is expanded or resolved on the way.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
import zlib
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Final
from urllib.parse import unquote

import numpy as np
from defusedxml import ElementTree  # type: ignore[import-untyped]

from xlfuncs.spreadsheet.grid import Grid

ROWS: Final = b"sheetData"
"""Element that holds the rows."""
DAMAGED: Final = (
    zipfile.BadZipFile,
    zlib.error,
    OSError,
    EOFError,
    ValueError,
    RuntimeError,
    NotImplementedError,
)
"""What the zip reader raises for an archive that is damaged, or written in a way that it does not know."""
PIECE: Final = 1 << 20
"""Bytes searched at once."""

_PREFIX: Final = re.compile(rb"<(\w+:)?worksheet\b")
_HIDDEN: Final = re.compile(rb"""\bhidden=["'](?:1|true)["']""")
_SPAN: Final = re.compile(rb"""\b(min|max)=["'](\d{1,9})["']""")
_WIDE_CELL: Final = re.compile(rb"""["']([A-Za-z]{2,})\d""")
_DIGITS: Final = 12
"""Digits up to which the number of a row is read."""
_ELEMENT: Final = rb"<(?:[^\s<>/:]+:)?"
_CELL: Final = _ELEMENT + rb"c(?=[\s/>])"
_ANY_ROW: Final = re.compile(_ELEMENT + rb"""row(?=[\s/>])(?:[^<>]*?\sr\s*=\s*["'](\d+)["'])?""")
_UNPLACED: Final = re.compile(_CELL + rb"(?![^<>]*\sr\s*=)")
_FILLED: Final = re.compile(_CELL + rb"""[^<>]*?\sr\s*=\s*["']([A-Za-z]+)(\d+)["'](?:[^<>]*[^<>/])?>(?!</)""")
_REFERENCE: Final = re.compile(rb"""\br=["']([A-Z]{1,3})(\d{1,9})["']""")
ROW_END: Final = b"row>"
_NO_STRIKE: Final = ("0", "false")


class Patterns:
    """What is searched for, with the prefix that the writer gives its elements ('x:row'), if any.

    No pattern looks past the next '<', so that broken XML costs no more than sound XML.
    """

    def __init__(self, prefix: bytes, quote: bytes) -> None:
        def compiled(pattern: bytes) -> re.Pattern[bytes]:
            return re.compile(pattern.replace(b"<:", b"<" + prefix).replace(b"</:", b"</" + prefix))

        self.merges = compiled(rb"<:mergeCells\b[^<>]*>[^!?]*?</:mergeCells>")
        self.no_merges = b"<" + prefix + b"mergeCells></" + prefix + b"mergeCells>"
        self.error_mark = b"t=" + quote + b"e" + quote
        self.formula_mark = b"<" + prefix + b"f"
        self.row = compiled(rb"<:row\b[^<>]*>")
        self.row_number = compiled(rb"""<:row\b[^<>]*?\br=["'](\d{1,9})["']""")
        self.col = compiled(rb"<:col\b[^<>]*>")
        self.cell = compiled(rb"<:c\b([^<>]*)>")
        self.error = compiled(
            rb"""<:c\b([^<>]*\bt=["']e["'][^<>]*)>(?:\s*<:f\b[^<>]*(?:/>|>[^<]*</:f>))?\s*(?:<:v>([^<]*)</:v>)?"""
        )
        self.formula = compiled(
            rb"<:c\b([^<>]*)>\s*<:f\b([^<>]*?)(?:/>|>([^<]*)</:f>)\s*(?:<:v>([^<]+)</:v>)?"
        )


@cache
def _patterns(prefix: bytes, quote: bytes) -> Patterns:
    return Patterns(prefix, quote)


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

    def put_into(self, grid: Grid) -> None:
        """Tell the sheet's grid."""
        if self.errors:
            grid.put(self.errors)
        grid.hidden_rows = frozenset(self.hidden_rows)
        grid.hidden_cols = frozenset(self.hidden_cols)
        grid.struck = frozenset(self.struck)
        grid.uncalculated = frozenset(self.uncalculated)
        grid.has_formulas = self.has_formulas


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


def hidden_sheets(book: zipfile.ZipFile) -> frozenset[str]:
    """Names of the sheets that a person does not see."""
    return frozenset(
        sheet.get("name", "")
        for sheet in _xml(book, "xl/workbook.xml").iter()
        if _local(sheet.tag) == "sheet" and sheet.get("state", "visible") != "visible"
    )


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


def worksheets(book: zipfile.ZipFile) -> dict[str, str]:
    """Name -> part of the sheets that hold cells."""
    return {name: part for name, part in sheet_parts(book).items() if "chartsheet" not in part}


def _xml(book: zipfile.ZipFile, part: str) -> ElementTree.Element:
    return ElementTree.fromstring(book.read(part), forbid_dtd=True)


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def pieces_of(book: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """The XML of a sheet in pieces that end with a row."""
    rest = b""
    with book.open(part) as stream:
        while block := stream.read(PIECE):
            block = rest + block
            cut = block.rfind(ROW_END)
            cut = cut + len(ROW_END) if cut >= 0 else block.rfind(b"/>") + 2
            if cut < len(ROW_END) and len(block) < 64 * PIECE:
                rest = block
                continue
            cut = max(cut, 1)
            yield block[:cut]
            rest = block[cut:]
    if rest:
        yield rest


def cut_up(xml: bytes) -> Iterator[bytes]:
    """XML that has been unpacked as a whole, in such pieces."""
    start = 0
    while start < len(xml):
        cut = xml.rfind(ROW_END, start, start + PIECE) if len(xml) - start > PIECE else -1
        end = cut + len(ROW_END) if cut >= 0 else len(xml)
        yield xml[start:end]
        start = end


def patterns_for(piece: bytes) -> Patterns:
    """The patterns that fit a sheet, by how its XML begins. ValueError for one in another encoding."""
    if b"\0" in piece[:200]:
        raise ValueError("its XML is not in UTF-8")
    found = _PREFIX.search(piece)
    return _patterns((found[1] if found else b"") or b"", b"'" if b" r='" in piece else b'"')


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the cells of a sheet reach at most."""

    row: int
    col: int


def reaches(path: Path, enough: int, without: Collection[str] = ()) -> dict[str, Reach]:
    """How far the values of each worksheet reach, but for those in `without`; no declared size is believed.

    A rectangle of more than `enough` cells is looked at again without the cells that hold a format alone.
    """
    out: dict[str, Reach] = {}
    with zipfile.ZipFile(path) as book:
        for name, part in worksheets(book).items():
            if name in without:
                continue
            out[name] = reach(lambda part=part: _rows(pieces_of(book, part)))  # type: ignore[misc]
            if out[name].row * out[name].col > enough:
                out[name] = _exact_reach(book, part) or out[name]
    return out


def _rows(pieces: Iterable[bytes]) -> Iterator[bytes]:
    """Pieces without what stands before and after the list of rows: a format may reach to the last row."""
    within = hides = False
    for number, piece in enumerate(pieces):
        if number == 0:
            patterns_for(piece)  # refuses what would not be found
        hides = hides or hides_something(piece)
        begin = 0 if within else piece.find(ROWS)
        if begin < 0:
            continue
        end = -1 if hides else piece.rfind(b"</" + ROWS, begin)
        yield piece[begin:] if end < 0 else piece[begin:end]
        within = end < 0


def hides_something(piece: bytes) -> bool:
    """Whether there is a comment or the like, in which what looks like an element is none."""
    return b"!" in piece and b"<!" in piece


def reach(pieces: Callable[[], Iterable[bytes]]) -> Reach:
    """How far the cells of a sheet reach at most, those that hold a format alone included.

    The compiled reader takes its place from each cell ('B7'), or counts on where a cell or a row has none. It
    asks for all the memory at once, and ends the process where there is not enough.
    """
    row, col, unplaced = 0, 52, 0
    for piece in pieces():
        seen = _References(piece)
        row = max(row, seen.highest_row())
        unplaced += len(_UNPLACED.findall(piece)) if seen.prefixed() else seen.unplaced()
        if seen.wide():
            found = {letters.decode().upper() for letters in set(_WIDE_CELL.findall(piece))}
            col = max([col, *map(column_number, found)])
    if unplaced:
        numbers = [number for piece in pieces() for number in _ANY_ROW.findall(piece)]
        row = max([row, *map(int, filter(None, numbers))]) + numbers.count(b"")
    return Reach(row, col + unplaced)


class _References:
    """What is or could be the reference of a cell ('AB12') in a piece of XML.

    A pattern would take ten times as long.
    """

    def __init__(self, piece: bytes) -> None:
        self._codes = np.frombuffer(piece, np.uint8)
        self._letter = (self._codes | 32) - 97 < 26  # unsigned: what is below wraps round
        self._digit = self._codes - 48 < 10
        self._last = self._letter[:-1] & self._digit[1:]
        """Where the last letter stands."""

    def prefixed(self) -> bool:
        """Whether there may be rows or cells whose names have a prefix."""
        after = self._codes[1:]
        return bool(((self._codes[:-1] == 58) & ((after == 99) | (after == 114))).any())  # :c, :r

    def highest_row(self) -> int:
        """The highest number that follows a letter, if it has no more than `_DIGITS`."""
        longest, length = np.flatnonzero(self._last) + 1, 1
        digit, codes = np.append(self._digit, False), np.append(self._codes, 0)
        while len(more := longest[digit[longest + length]]):
            longest, length = more, length + 1
            if length > _DIGITS:
                return int(10**_DIGITS)
        number = 0
        for place in range(length if len(longest) else 0):
            here = codes[longest + place]
            number = number * 10 + int(here.max()) - 48
            longest = longest[here == here.max()]
        return number

    def wide(self) -> bool:
        """Whether there is one of several letters, beyond AZ."""
        several = self._letter[:-2] & self._last[1:]
        usual = (self._codes[:-2] == 65) & (self._codes[1:-1] - 65 < 26)
        usual[1:] &= ~self._letter[:-3]
        return bool((several & ~usual).any())

    def unplaced(self) -> int:
        """Cells that do not begin with their reference."""
        codes = self._codes
        cell, after = (codes[:-4] == 60) & (codes[1:-3] == 99), codes[2:-2]  # <c
        ends = (after <= 32) | (after == 47) | (after == 62)
        placed = (after == 32) & (codes[3:-1] == 114) & (codes[4:] == 61)  # ' r='
        return int(np.count_nonzero(cell & ends & ~placed))


def _exact_reach(book: zipfile.ZipFile, part: str) -> Reach | None:
    """How far the cells with a value reach; None where some have no reference."""
    row, letters = 0, {b"A"}
    for piece in pieces_of(book, part):
        if _UNPLACED.search(piece):
            return None
        for column, number in set(_FILLED.findall(piece)):
            letters.add(column.upper())
            row = max(row, int(number))
    return Reach(row, max(column_number(column.decode()) for column in letters))


def scan_all(path: Path, without: Collection[str] = ()) -> dict[str, Scan]:
    """Search every worksheet of a workbook, but for those in `without`."""
    with zipfile.ZipFile(path) as book:
        struck = struck_styles(book)
        return {
            name: scan(pieces_of(book, part), struck)
            for name, part in worksheets(book).items()
            if name not in without
        }


def scan(pieces: Iterable[bytes], struck: frozenset[bytes]) -> Scan:
    """Search the XML of a worksheet; `struck`: what `struck_styles` gives."""
    found = Scan()
    patterns: Patterns | None = None
    strike = re.compile(rb"""\bs=["'](?:""" + b"|".join(sorted(struck)) + rb""")["']""") if struck else None
    for piece in pieces:
        patterns = patterns or patterns_for(piece)
        # a single letter, which the cells of most files do not hold, is found much faster
        if b"h" in piece and b"hidden=" in piece:
            _hidden(piece, patterns, found)
        if b"e" in piece and patterns.error_mark in piece:
            for attributes, value in patterns.error.findall(piece):
                if place := _place(attributes):
                    found.errors[place] = value.decode("utf-8", "replace") or "#VALUE!"
        if b"f" in piece and patterns.formula_mark in piece:
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
    patterns: Patterns | None = None
    for piece in pieces_of(book, part):
        patterns = patterns or patterns_for(piece)
        if patterns.formula_mark in piece:
            for attributes, about, text, value in patterns.formula.findall(piece):
                if place := _place(attributes):
                    yield place, attributes, about, text, value


def _place(attributes: bytes) -> tuple[int, int] | None:
    reference = _REFERENCE.search(attributes)
    return (int(reference[2]), column_number(reference[1].decode())) if reference else None


def _hidden(piece: bytes, patterns: Patterns, found: Scan) -> None:
    for tag in patterns.row.findall(piece):
        if _HIDDEN.search(tag) and (number := patterns.row_number.match(tag)):
            found.hidden_rows.add(int(number[1]))
    for tag in patterns.col.findall(piece):
        if _HIDDEN.search(tag):
            span = {name: int(value) for name, value in _SPAN.findall(tag)}
            found.hidden_cols.update(range(span.get(b"min", 1), min(span.get(b"max", 0), 16384) + 1))
