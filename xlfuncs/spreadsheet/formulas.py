"""The formulas of an .xlsx or .xlsm, for the rules that look at formulas and not only at values."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from xlfuncs.spreadsheet import ooxml
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.markup import unescape
from xlfuncs.spreadsheet.opening import Unreadable, attempt
from xlfuncs.spreadsheet.package import Package
from xlfuncs.spreadsheet.usual import usual


@dataclass(slots=True)
class Formula:
    """A formula cell, kept for the rules that look at formulas."""

    sheet: str
    row: int
    col: int
    text: str
    """With the leading '='."""
    kept: Any
    """The value stored with it; None if it was never calculated."""


_KIND: Final = re.compile(rb"""\bt=["'](\w+)["']""")
_IS_SHARED: Final = re.compile(rb"""\bt=["']shared["']""")
_SHARED: Final = re.compile(rb"""\bsi=["'](\d+)["']""")
_ENTITIES: Final = {"&quot;": '"', "&apos;": "'", "&#10;": "\n", "&#13;": "\r"}


def read_formulas(path: Path, sheets: Collection[str] | None = None) -> list[Formula]:
    """Every formula of a workbook, or of some of its sheets; none for a format that is not .xlsx or .xlsm.

    Shared formulas come with their references moved to their own cell.
    """
    path = Path(path)
    if not zipfile.is_zipfile(path):
        return []
    try:
        found: list[Formula] = attempt(path, lambda path: list(_formulas(path, sheets)))
    except Unreadable:
        return []
    return found


def _formulas(path: Path, sheets: Collection[str] | None) -> Iterator[Formula]:
    with usual(path) as book:
        if not book.main or book.binary:
            return
        for name, part in book.worksheets.items():
            if sheets is None or name in sheets:
                yield from _sheet_formulas(book, name, part)


def _sheet_formulas(book: Package, name: str, part: str) -> Iterator[Formula]:
    shared: dict[bytes, Any] = {}
    for place, cell, about, written, kept in ooxml.formula_cells(book, part):
        text = "=" + _plain(written)
        number = _SHARED.search(about)
        if number is not None and _IS_SHARED.search(about):
            from openpyxl.formula.translate import Translator

            address = f"{column_letter(place[1])}{place[0]}"
            if text != "=":
                shared[number[1]] = Translator(text, address)
            elif number[1] in shared:
                text = shared[number[1]].translate_formula(address)
        if text != "=":
            yield Formula(name, place[0], place[1], text, _kept(cell, kept))


def _kept(about: bytes, value: bytes) -> Any:
    """The value kept with a formula; None if it was never calculated."""
    if not value:
        return None
    kind = _KIND.search(about)
    text = _plain(value)
    match kind[1] if kind else b"n":
        case b"b":
            return text.strip() in ("1", "true")
        case b"n":
            try:
                return float(text)
            except ValueError:
                return text
        case _:
            return text


def _plain(text: bytes) -> str:
    return unescape(text.decode("utf-8", "replace"), _ENTITIES)
