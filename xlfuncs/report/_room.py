"""Where a small box fits beside the value of a cell without hiding it.

What a value takes is reckoned from its format, its font and the width of its column; programs differ by a
pixel for a character, which `_MARGIN` covers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from math import ceil
from typing import Any, Final

from openpyxl.styles.numbers import BUILTIN_FORMATS

from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.cell_values import CellError, NotUnderstood
from xlfuncs.spreadsheet.number_format import formatted
from xlfuncs.spreadsheet.splice import Element, Splice

HEIGHT: Final = 11
"""Of a box, pixels at 96 dpi."""
LOW: Final = 8
"""Of one that stands between two rows."""
_CHARACTER: Final = 7.4
"""Width of a digit at 11 points, pixels; the widest of the usual fonts."""
_MARGIN: Final = 6
_LINE: Final = 19
"""Height of a line at 11 points, pixels."""
_WIDTH: Final = 64.0
_ROW: Final = 20.0
"""Of a column and of a row of which nothing is said, pixels."""

Held = Callable[[str], Any]
"""What a cell of the sheet holds, by its address."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a box stands: column and row counted from 0, and pixels from their corner."""

    column: int
    left: int
    row: int
    top: int
    between: bool = False
    """Over the border of two rows, for want of other room."""


@dataclass(frozen=True, slots=True)
class _Look:
    form: str = "General"
    across: str = ""
    down: str = "bottom"
    wrapped: bool = False
    size: float = 1.0
    """Of the font, over 11 points."""


class Looks:
    """The cell formats of a style sheet."""

    def __init__(self, styles: Splice | None) -> None:
        root = styles.root if styles is not None else None
        self._sizes = [_font_size(one) for one in _children(root, "fonts")]
        self._forms = dict(BUILTIN_FORMATS)
        for one in _children(root, "numFmts"):
            self._forms[int(one.attributes.get("numFmtId", 0))] = one.attributes.get("formatCode", "General")
        self._looks = [self._look(one) for one in _children(root, "cellXfs")]

    def _look(self, xf: Element) -> _Look:
        told = xf.attributes
        placed = next((one.attributes for one in xf.children if one.name == "alignment"), {})
        font = int(told.get("fontId", 0))
        return _Look(
            self._forms.get(int(told.get("numFmtId", 0)), "General"),
            placed.get("horizontal", "").replace("general", ""),
            placed.get("vertical", "bottom"),
            placed.get("wrapText", "") in ("1", "true"),
            self._sizes[font] if font < len(self._sizes) else 1.0,
        )

    def __getitem__(self, number: int) -> _Look:
        return self._looks[number] if number < len(self._looks) else _Look()


def _children(root: Element | None, name: str) -> list[Element]:
    found = root.one(name) if root is not None else None
    return found.children if found is not None else []


def _font_size(font: Element) -> float:
    size = font.one("sz")
    return float(size.attributes.get("val", 11)) / 11 if size is not None else 1.0


class Room:
    """The room on one worksheet."""

    def __init__(self, page: Splice, looks: Looks, held: Held, cells: Collection[str]) -> None:
        """`cells`: those that are to have a box."""
        self._page, self._looks, self._held = page, looks, held
        self._taken_cells = set(cells)
        wanted = {column_letter(at) + str(row) for cell in cells for at, row in _around(cell)}
        self._styles = dict(self._style_of(wanted))
        self._heights = dict(self._row_heights())

    def _style_of(self, wanted: Collection[str]) -> Iterator[tuple[str, int]]:
        for tag in re.finditer(rb'<(?:\w+:)?c\s[^>]*?\br="([A-Z]+\d+)"[^>]*>', self._page.data):
            if (cell := tag[1].decode()) in wanted:
                style = re.search(rb'\ss="(\d{1,7})"', tag[0])
                yield cell, int(style[1]) if style else 0

    def _row_heights(self) -> Iterator[tuple[int, float]]:
        for tag in re.finditer(rb"<(?:\w+:)?row\s[^>]*>", self._page.data):
            number, height = (re.search(rb'\s%s="([\d.]{1,12})"' % name, tag[0]) for name in (b"r", b"ht"))
            if number and height:
                hidden = re.search(rb'\shidden="(?:1|true)"', tag[0])
                yield int(number[1]), 0.0 if hidden else float(height[1]) / 0.75

    @cached_property
    def _widths(self) -> list[tuple[int, int, float]]:
        """First and last column, and pixels, of the columns whose width is stated."""
        cols = self._page.root.one("cols")
        text = self._page.data[cols.start : cols.end].decode("utf-8", "replace") if cols is not None else ""
        out = []
        for tag in re.findall(r"<(?:\w+:)?col\s[^>]*>", text):
            told = dict(re.findall(r'(\w+)="([^"]*)"', tag))
            if {"min", "max", "width"} <= told.keys():
                wide = 0.0 if told.get("hidden") in ("1", "true") else float(told["width"]) * 7 + 5
                out.append((int(told["min"]), int(told["max"]), wide))
        return out

    @cached_property
    def _merged(self) -> list[tuple[int, int, int, int]]:
        found = self._page.root.one("mergeCells")
        text = self._page.data[found.start : found.end] if found is not None else b""
        ranges = re.findall(rb'ref="([A-Z]+\d+):([A-Z]+\d+)"', text)
        return [(*split_address(a.decode()), *split_address(b.decode())) for a, b in ranges]

    def _covered(self, column: int, row: int) -> bool:
        return any(a <= column <= c and b <= row <= d for a, b, c, d in self._merged)

    def width(self, column: int) -> float:
        """Pixels."""
        return next((w for low, high, w in self._widths if low <= column <= high), _WIDTH)

    def height(self, row: int) -> float:
        """Pixels."""
        return self._heights.get(row, _ROW)

    def _shown(self, cell: str) -> tuple[str, _Look, bool]:
        """The text that the cell shows, its look, and whether it is a number."""
        value, look = self._held(cell), self._looks[self._styles.get(cell, 0)]
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return "" if value is None else str(value), look, False
        plain = f"{value:.10g}"
        if look.form.casefold() in ("general", ""):
            return plain, look, True
        try:
            shown = formatted(float(value), look.form)
        except (NotUnderstood, ValueError, OverflowError):
            return "#" * 40, look, True  # how wide is not known
        return (plain if isinstance(shown, CellError) else str(shown)), look, True

    def _taken(self, text: str, look: _Look) -> float:
        return max(map(len, text.split("\n"))) * _CHARACTER * look.size + _MARGIN

    def _free(self, column: int, row: int) -> tuple[float, float]:
        """Pixels left and right of what a cell shows."""
        width = self.width(column)
        if self._covered(column, row):
            return 0.0, 0.0
        text, look, is_number = self._shown(f"{column_letter(column)}{row}")
        if not text.strip():
            return width, width
        free = width - self._taken(text, look)
        if free <= 0 or (look.wrapped and "\n" in text):
            return 0.0, 0.0
        across = look.across or ("right" if is_number else "left")
        if across in ("center", "centerContinuous", "distributed"):
            return free / 2, free / 2
        return (free, 0.0) if across == "right" else (0.0, free)

    def _runs_over(self, column: int, row: int) -> bool:
        """Whether the text of a cell may run over its neighbours."""
        if column < 1:
            return False
        text, look, is_number = self._shown(f"{column_letter(column)}{row}")
        return bool(text.strip()) and not is_number and self._taken(text, look) > self.width(column)

    def _beside(self, column: int, further: int, row: int) -> tuple[float, float]:
        """Pixels free in a neighbour, once: neither another box nor the text beyond it comes there."""
        cell = f"{column_letter(column)}{row}"
        if cell in self._taken_cells or self._runs_over(further, row):
            return 0.0, 0.0
        return self._free(column, row)

    def _above(self, column: int, row: int) -> float:
        """Pixels above what a cell shows."""
        text, look, _ = self._shown(f"{column_letter(column)}{row}")
        if self._covered(column, row):
            return 0.0
        chars = max(int((self.width(column) - _MARGIN) / (_CHARACTER * look.size)), 1)
        lines = sum(max(ceil(len(line) / chars), 1) if look.wrapped else 1 for line in text.split("\n"))
        free = self.height(row) - lines * _LINE * look.size
        return {"top": 0.0, "center": free / 2, "justify": 0.0}.get(look.down, free)

    def spot(self, cell: str, wide: int) -> Spot:
        """Where a box of that width goes for a cell: in it, beside it, or over its upper border."""
        column, row = split_address(cell)
        left, right = self._free(column, row)
        width, need = self.width(column), wide + 2
        if left >= need or self._above(column, row) >= HEIGHT:
            return Spot(column - 1, 0, row - 1, 0)
        if right >= need:
            return Spot(column - 1, int(width) - wide, row - 1, 0)
        if not self._runs_over(column, row):
            if column > 1 and self._beside(column - 1, column - 2, row)[1] >= need:
                self._taken_cells.add(f"{column_letter(column - 1)}{row}")
                return Spot(column - 2, int(self.width(column - 1)) - wide, row - 1, 0)
            if self._beside(column + 1, column + 2, row)[0] >= need:
                self._taken_cells.add(f"{column_letter(column + 1)}{row}")
                return Spot(column, 0, row - 1, 0)
        start = 0 if self._shown(cell)[2] else max(int(width) - wide, 0)
        if row == 1 or self.height(row - 1) < LOW:
            return Spot(column - 1, start, row - 1, 0, between=True)
        return Spot(column - 1, start, row - 2, int(self.height(row - 1)) - LOW // 2 - 1, between=True)


def _around(cell: str) -> Iterator[tuple[int, int]]:
    column, row = split_address(cell)
    return ((at, row) for at in range(max(column - 2, 1), column + 3))
