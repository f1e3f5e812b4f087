"""What the fast reader of .xlsx does not tell: how far a sheet reaches, its error cells, formulas without a
value, hidden rows and columns, struck-through cells.

A sheet of a large index has 150 MB of XML; parsing it takes half a minute, so it is searched as bytes
instead, in pieces that end with a row. Nothing is expanded or resolved on the way.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache, partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.spreadsheet.grid import Errors, Grid, Places, pack
from xlfuncs.spreadsheet.package import Broken, Package, local, new_parser, spoken

ROWS: Final = b"sheetData"
"""Element that holds the rows."""
LAST_ROW: Final = 1 << 20
LAST_COLUMN: Final = 1 << 14
LONGEST: Final = 64 << 20
"""Bytes that a row of a worksheet may take."""
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
_ROW_START: Final = re.compile(_ELEMENT + rb"row(?=[\s/>])")
_ANY_ROW: Final = re.compile(_ELEMENT + rb"""row(?=[\s/>])(?:[^<>]*?\sr\s*=\s*["'](\d+)["'])?""")
MERGED: Final = b"mergeCell "
_UNPLACED: Final = re.compile(_CELL + rb"(?![^<>]*\sr\s*=)")
_FILLED: Final = re.compile(_CELL + rb"""[^<>]*?\sr\s*=\s*["']([A-Za-z]+)(\d+)["'](?:[^<>]*[^<>/])?>(?!</)""")
_REFERENCE: Final = re.compile(rb"""\br=["']\$?([A-Za-z]{1,3})\$?(\d{1,9})["']""")
ROW_END: Final = b"row>"
_NO_STRIKE: Final = ("0", "false")
_YES: Final = ("1", "true")
_CELL_NAME: Final = re.compile(r"\$?([A-Za-z]{1,3})\$?(\d{1,9})")
_MOST_STYLES: Final = 1_000_000
"""Cell formats that are looked at; Excel holds 65,490 (its specifications and limits)."""


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
        number = number * 26 + (ord(letter) & 31)
    return number


@dataclass(slots=True)
class Scan:
    """What was found in the XML of one sheet."""

    errors: Errors = field(default_factory=Errors)
    uncalculated: array[int] = field(default_factory=partial(array, "q"))
    has_formulas: bool = False
    hidden_rows: set[int] = field(default_factory=set)
    hidden_cols: bytearray = field(default_factory=partial(bytearray, LAST_COLUMN + 1))
    """By number: 1 for a hidden one."""
    struck: array[int] = field(default_factory=partial(array, "q"))
    unplaced: bool = False
    """Something was found in a cell or row that does not say where it stands."""

    def put_into(self, grid: Grid) -> None:
        """Tell the sheet's grid."""
        if self.errors:
            self.errors.put_into(grid)
        grid.hidden_rows = frozenset(self.hidden_rows)
        if 1 in self.hidden_cols:
            grid.hidden_cols = frozenset(np.flatnonzero(np.frombuffer(self.hidden_cols, np.uint8)).tolist())
        if self.struck:
            grid.struck = Places.packed(self.struck)
        if self.uncalculated:
            grid.uncalculated = Places.packed(self.uncalculated)
        grid.has_formulas = self.has_formulas

    def hide_cols(self, first: int, last: int) -> None:
        first, last = max(first, 1), min(last, LAST_COLUMN)
        if first <= last:
            self.hidden_cols[first : last + 1] = b"\1" * (last + 1 - first)

    def hide_row(self, row: int) -> None:
        if row <= LAST_ROW:
            self.hidden_rows.add(row)


def struck_styles(package: Package) -> frozenset[bytes]:
    """Numbers of the cell styles whose font is struck through."""
    part = package.styles
    if not part:
        return frozenset()
    fonts: list[bool] = []
    styles: list[bytes] = []
    path: list[str] = []
    number = 0

    def begin(tag: str, attributes: dict[str, str]) -> None:
        nonlocal number
        path.append(local(tag))
        match path[1:]:
            case ["fonts", _]:
                fonts.append(False)
            case ["fonts", _, "strike"]:
                fonts[-1] = attributes.get("val", "1") not in _NO_STRIKE
            case ["cellXfs", _]:
                font = attributes.get("fontId", "0")
                if font.isdecimal() and int(font) < len(fonts) and fonts[int(font)]:
                    styles.append(str(number).encode())
                number += 1
        if len(fonts) > _MOST_STYLES or number > _MOST_STYLES:
            raise Broken("it holds more cell formats than a workbook can")

    parser = new_parser(begin, lambda tag: path.pop())
    with spoken(part):
        for piece in package.pieces(part):
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    return frozenset(styles)


def pieces_of(package: Package, part: str) -> Iterator[bytes]:
    """The XML of a sheet in pieces that end with a row."""
    held: list[bytes] = []
    length = 0
    for block in package.pieces(part, PIECE):
        row = block.rfind(ROW_END)
        end = row + len(ROW_END) if row >= 0 else block.rfind(b"/>") + 2
        if end < 2:
            held.append(block)
            length += len(block)
            if length > LONGEST:
                raise Broken(f"a cell of its part {part!r} is longer than any can be")
            continue
        yield b"".join((*held, memoryview(block)[:end]))
        held, length = [block[end:]], len(block) - end
    if length:
        yield b"".join(held)


def patterns_for(piece: bytes) -> Patterns:
    """The patterns that fit a sheet, by how its XML begins. ValueError for one in another encoding."""
    if b"\0" in piece[:200]:
        raise ValueError("its XML is not in UTF-8")
    found = _PREFIX.search(piece)
    return _patterns((found[1] if found else b"") or b"", b"'" if b" r='" in piece else b'"')


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the cells of a sheet reach at most, and what stands in them."""

    row: int
    col: int
    values: int = 0
    """Cells with a value."""
    shared: int = 0
    """Those of them whose text is shared."""
    inline: int = 0
    """Those whose text stands in the cell."""
    merges: int = 0
    size: int = 0
    """Bytes of XML."""

    def __add__(self, other: Reach) -> Reach:
        """Of two parts of a sheet."""
        return Reach(
            max(self.row, other.row),
            max(self.col, other.col),
            *(getattr(self, count) + getattr(other, count) for count in _COUNTS),
        )


_COUNTS: Final = ("values", "shared", "inline", "merges", "size")


def reaches(package: Package, enough: int, without: Collection[str] = ()) -> dict[str, Reach]:
    """How far the values of each worksheet reach, but for those in `without`; no declared size is believed.

    A rectangle of more than `enough` cells is looked at again without the cells that hold a format alone.
    """
    out: dict[str, Reach] = {}
    for name, part in package.worksheets.items():
        if name in without:
            continue
        out[name] = _reach_of(package, part)
        if out[name].row * out[name].col > enough and (exact := _exact_reach(package, part)):
            out[name] = replace(out[name], row=exact[0], col=exact[1])
    return out


def _reach_of(package: Package, part: str) -> Reach:
    merges: list[int] = []
    found = reach(lambda: _rows(pieces_of(package, part), merges))
    return replace(found, merges=sum(merges))


def _rows(pieces: Iterable[bytes], merges: list[int] | None = None) -> Iterator[bytes]:
    """Pieces without what stands before and after the list of rows: a format may reach to the last row.

    `merges`: gets how many merged ranges stand there.
    """
    merges = [] if merges is None else merges
    within = hides = False
    for number, piece in enumerate(pieces):
        if number == 0:
            patterns_for(piece)  # refuses what would not be found
        hides = hides or hides_something(piece)
        begin = 0 if within else piece.find(ROWS)
        if begin < 0:
            merges.append(piece.count(MERGED))
            continue
        end = -1 if hides else piece.rfind(b"</" + ROWS, begin)
        if end >= 0:
            merges.append(piece.count(MERGED, end))
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
    values = shared = inline = size = 0
    seen = _References()
    for piece in pieces():
        size += len(piece)
        seen.look_at(piece)
        prefixed = seen.prefixed()
        values += seen.count(b"/v>") + (piece.count(b":v>") if prefixed else 0)
        if b"i" in piece:
            inline += piece.count(b"</is>") + (piece.count(b":is>") if prefixed else 0)
        shared += seen.count(b'"s"') or seen.count(b"'s'")
        row = max(row, seen.highest_row())
        unplaced += len(_UNPLACED.findall(piece)) if prefixed else seen.unplaced()
        if seen.wide():
            found = {letters.decode().upper() for letters in set(_WIDE_CELL.findall(piece))}
            col = max([col, *map(column_number, found)])
    if unplaced:
        numbers = [number for piece in pieces() for number in _ANY_ROW.findall(piece)]
        row = max([row, *map(int, filter(None, numbers))]) + numbers.count(b"")
        unplaced = _most_in_a_row(pieces())
    return Reach(row, col + unplaced, values + inline, shared, inline, 0, size)


def _most_in_a_row(pieces: Iterable[bytes]) -> int:
    """The most cells of a row that do not say where they stand."""
    most = here = 0
    for piece in pieces:
        for number, row in enumerate(_ROW_START.split(piece)):
            here = len(_UNPLACED.findall(row)) + (here if number == 0 else 0)
            most = max(most, here)
    return most


class _References:
    """What is or could be the reference of a cell ('AB12') in a piece of XML.

    A pattern would take ten times as long, new memory for each step twice as long.
    """

    def __init__(self) -> None:
        self._room = np.empty((7, 0), np.uint8)

    def look_at(self, piece: bytes) -> None:
        """Go on to another piece."""
        size = len(piece)
        if self._room.shape[1] <= size:
            self._room = np.empty((len(self._room), size + 1), np.uint8)
        self._codes = np.frombuffer(piece, np.uint8)
        shifted = np.bitwise_or(self._codes, 32, out=self._room[0, :size])
        shifted -= 97  # unsigned: what is below wraps round
        self._letter = np.less(shifted, 26, out=self._marks(1, size))
        np.subtract(self._codes, 48, out=shifted)
        self._digit = self._marks(2, size + 1)
        np.less(shifted, 10, out=self._digit[:-1])
        self._digit[-1] = False
        last = self._marks(3, max(size - 1, 0))
        self._last = np.logical_and(self._letter[:-1], self._digit[1:-1], out=last)
        """Where the last letter stands."""

    def _marks(self, row: int, size: int) -> NDArray[np.bool_]:
        return self._room[row, :size].view(np.bool_)

    def _at(self, offset: int, code: int, size: int, row: int) -> NDArray[np.bool_]:
        """Where, so much further on, a code stands."""
        return np.equal(self._codes[offset : offset + size], code, out=self._marks(row, size))

    def count(self, mark: bytes) -> int:
        """How often a mark stands there."""
        size = max(len(self._codes) - len(mark) + 1, 0)
        found = self._at(0, mark[0], size, 4)
        for offset, code in enumerate(mark[1:], 1):
            found &= self._at(offset, code, size, 5)
        return int(np.count_nonzero(found))

    def prefixed(self) -> bool:
        """Whether there may be rows or cells whose names have a prefix."""
        colons = np.flatnonzero(self._at(0, 58, max(len(self._codes) - 1, 0), 4))
        after = self._codes[colons + 1]
        return bool(((after == 99) | (after == 114)).any())  # :c, :r

    def highest_row(self) -> int:
        """The highest number that follows a letter, if it has no more than `_DIGITS`."""
        longest, length = np.flatnonzero(self._last) + 1, 1
        while len(more := longest[self._digit[longest + length]]):
            longest, length = more, length + 1
            if length > _DIGITS:
                return int(10**_DIGITS)
        number = 0
        for place in range(length if len(longest) else 0):
            here = self._codes[longest + place]
            number = number * 10 + int(here.max()) - 48
            longest = longest[here == here.max()]
        return number

    def wide(self) -> bool:
        """Whether there is one of several letters, beyond AZ."""
        size = max(len(self._codes) - 2, 0)
        usual = self._at(0, 65, size, 4)
        second = np.subtract(self._codes[1 : 1 + size], 65, out=self._room[0, :size])
        usual &= np.less(second, 26, out=self._marks(5, size))
        usual[1:] &= ~self._letter[: max(size - 1, 0)]
        several = np.logical_and(self._letter[:size], self._last[1:], out=self._marks(6, size))
        return bool(np.greater(several, usual, out=several).any())

    def unplaced(self) -> int:
        """Cells that do not begin with their reference."""
        size = max(len(self._codes) - 4, 0)
        cell = self._at(0, 60, size, 4)  # <c
        cell &= self._at(1, 99, size, 5)
        ends = np.less_equal(self._codes[2 : 2 + size], 32, out=self._marks(6, size))
        for code in (47, 62):
            ends |= self._at(2, code, size, 5)
        cell &= ends
        placed = self._at(2, 32, size, 6)  # ' r='
        for offset, code in ((3, 114), (4, 61)):
            placed &= self._at(offset, code, size, 5)
        return int(np.count_nonzero(np.greater(cell, placed, out=cell)))


def _exact_reach(package: Package, part: str) -> tuple[int, int] | None:
    """How far the cells with a value reach: row and column; None where some have no reference."""
    row, letters = 0, {b"A"}
    for piece in pieces_of(package, part):
        if _UNPLACED.search(piece):
            return None
        for column, number in set(_FILLED.findall(piece)):
            letters.add(column.upper())
            row = max(row, int(number))
    return row, max(column_number(column.decode()) for column in letters)


def scan_all(
    package: Package, without: Collection[str] = (), given_up: Callable[[], bool] = lambda: False
) -> dict[str, Scan]:
    """Search every worksheet of a workbook, but for those in `without`; `given_up`: whether in vain."""
    struck = struck_styles(package)
    out = {}
    for name, part in package.worksheets.items():
        if name not in without:
            found = scan(_wanted(pieces_of(package, part), given_up), struck)
            if found.unplaced:
                found = scan_in_order(_wanted(package.pieces(part), given_up), struck)
            out[name] = found
    return out


def _wanted(pieces: Iterable[bytes], given_up: Callable[[], bool]) -> Iterator[bytes]:
    for piece in pieces:
        if given_up():
            raise Broken("it is not read")
        yield piece


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
                if place := _place(attributes, found):
                    found.errors.add(*place, value.decode("utf-8", "replace") or "#VALUE!")
        if b"f" in piece and patterns.formula_mark in piece:
            found.has_formulas = True
            for attributes, _, _, value in patterns.formula.findall(piece):
                if not value and (place := _place(attributes, found)):
                    found.uncalculated.append(pack(*place))
        if strike is not None and strike.search(piece):
            for attributes in patterns.cell.findall(piece):
                if strike.search(attributes) and (place := _place(attributes, found)):
                    found.struck.append(pack(*place))
    return found


def scan_in_order(pieces: Iterable[bytes], struck: frozenset[bytes]) -> Scan:
    """The same of a worksheet whose rows or cells do not say where they stand: they are counted."""
    reader = _Counting({style.decode() for style in struck})
    parser = new_parser(reader.begin, reader.finish, reader.characters)
    with spoken("worksheet"):
        for piece in pieces:
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    return reader.found


class _Counting:
    """Follows a worksheet cell by cell."""

    def __init__(self, struck: Collection[str]) -> None:
        self.found = Scan()
        self._struck = struck
        self._row = self._col = 0
        self._kind = self._value = ""
        self._formula = self._reading = False

    def begin(self, tag: str, attributes: dict[str, str]) -> None:
        match local(tag):
            case "row":
                number = attributes.get("r", "")
                self._row = int(number) if number.isdecimal() else self._row + 1
                self._col = 0
                if self._row > LAST_ROW:
                    raise Broken("it has more rows than a sheet can")
                if attributes.get("hidden") in _YES:
                    self.found.hide_row(self._row)
            case "c":
                reference = _CELL_NAME.fullmatch(attributes.get("r", ""))
                self._col = column_number(reference[1]) if reference else self._col + 1
                self._row = int(reference[2]) if reference else self._row
                self._kind, self._value, self._formula = attributes.get("t", ""), "", False
                if attributes.get("s") in self._struck:
                    self.found.struck.append(pack(self._row, self._col))
            case "f":
                self._formula = self.found.has_formulas = True
            case "v":
                self._reading = True
            case "col" if attributes.get("hidden") in _YES:
                first, last = attributes.get("min", ""), attributes.get("max", "")
                if first.isdecimal() and last.isdecimal():
                    self.found.hide_cols(int(first), int(last))

    def characters(self, text: str) -> None:
        if self._reading and len(self._value) < 40:
            self._value += text

    def finish(self, tag: str) -> None:
        name = local(tag)
        if name == "v":
            self._reading = False
        elif name == "c" and self._kind == "e":
            self.found.errors.add(self._row, self._col, self._value or "#VALUE!")
        if name == "c" and self._formula and not self._value:
            self.found.uncalculated.append(pack(self._row, self._col))


def _place(attributes: bytes, found: Scan | None = None) -> tuple[int, int] | None:
    reference = _REFERENCE.search(attributes)
    if reference is None and found is not None:
        found.unplaced = True
    return (int(reference[2]), column_number(reference[1].decode())) if reference else None


def _hidden(piece: bytes, patterns: Patterns, found: Scan) -> None:
    for tag in patterns.row.findall(piece):
        if _HIDDEN.search(tag):
            if number := patterns.row_number.match(tag):
                found.hide_row(int(number[1]))
            else:
                found.unplaced = True
    for tag in patterns.col.findall(piece):
        if _HIDDEN.search(tag):
            span = {name: int(value) for name, value in _SPAN.findall(tag)}
            found.hide_cols(span.get(b"min", 1), span.get(b"max", 0))
