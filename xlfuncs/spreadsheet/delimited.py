"""Reads a list kept as text: any delimiter, any encoding, decimal point or comma."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.budget import MAX_CELLS, Budget
from xlfuncs.spreadsheet.grid import Grid

_DELIMITERS: Final = (";", "\t", "|", ",")
_AT_ONCE: Final = 2000
"""Lines that are held as texts."""
_SAMPLE: Final = 200
"""Lines from which the delimiter is told."""
_POINT: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_COMMA: Final = re.compile(r"[+-]?(?:\d+,\d+|\d+)(?:[eE][+-]?\d+)?")
_LEADING_ZERO: Final = re.compile(r"[+-]?0\d")
_BOMS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def read_text(path: Path) -> Grid:
    """The one sheet of a text file; it is called as the file is."""
    text = _decode(path)
    delimiter = _delimiter(text)
    blocks: list[NDArray[np.object_]] = []
    number: re.Pattern[str] | None = None
    comma = False
    for rows in _blocks(path, text, delimiter):
        if number is None:
            comma = _decimal_comma(rows, delimiter)
            number = _COMMA if comma else _POINT
        values = np.full((len(rows), max(map(len, rows))), "", dtype=object)
        for i, row in enumerate(rows):
            values[i, : len(row)] = [_value(cell, number, comma) for cell in row]
        blocks.append(values)
    return Grid.block(path.stem, _stacked(blocks))


def _blocks(path: Path, text: str, delimiter: str) -> Iterator[list[list[str]]]:
    """Some rows at a time. XlfuncsError where there are more cells than are read."""
    before = csv.field_size_limit(1 << 24)
    budget = Budget(path)
    count = width = 0
    try:
        reader = csv.reader(io.StringIO(text.replace("\0", ""), newline=""), delimiter=delimiter)
        while rows := list(islice(reader, _AT_ONCE)):
            count, width = count + len(rows), max(width, *map(len, rows), 1)
            if count * width > MAX_CELLS:
                raise XlfuncsError(
                    f"{path} has {count:,} and more lines of up to {width:,} cells: it is no list; check its "
                    "delimiter"
                )
            filled = [sum(map(bool, row)) for row in rows]
            budget.take_cells(sum(filled), sum(map(bool, filled)))
            yield rows
    except csv.Error:
        raise XlfuncsError(
            f"{path} cannot be cut into cells: look for a quote that is not closed, near line {count + 1:,}"
        ) from None
    finally:
        csv.field_size_limit(before)


def _stacked(blocks: list[NDArray[np.object_]]) -> NDArray[np.object_]:
    """Blocks of rows, one below the other, each as wide as the widest."""
    width = max((block.shape[1] for block in blocks), default=0)
    out = np.full((sum(map(len, blocks)), width), "", dtype=object, order="F")
    at = 0
    for block in blocks:
        out[at : at + len(block), : block.shape[1]] = block
        at += len(block)
    return out


def _decode(path: Path) -> str:
    content = path.read_bytes()
    for mark, encoding in _BOMS:
        if content.startswith(mark):
            try:
                return content.decode(encoding)
            except UnicodeDecodeError:
                raise XlfuncsError(f"{path} begins as {encoding} text and is not: save it as UTF-8") from None
    head = content[:4000]
    if head.count(0) > len(head) // 4:
        for encoding in ("utf-16-le", "utf-16-be"):
            zeros = head[1::2] if encoding == "utf-16-le" else head[::2]
            if zeros.count(0) > 0.6 * len(zeros):
                try:
                    return content.decode(encoding)
                except UnicodeDecodeError:
                    break
    if b"\0" in head or sum(byte < 9 or 13 < byte < 32 for byte in head) > len(head) // 20:
        raise XlfuncsError(f"{path} is not text, though its name says so: save the list as .xlsx or .csv")
    for encoding in ("utf-8", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    return content.decode("latin-1")


def _delimiter(text: str) -> str:
    """The delimiter that cuts the most lines into the same number of cells."""
    first, _, rest = text[:40].partition("\n")
    said = re.fullmatch(r"sep=(.)\r?", first)
    if said and rest:
        return said[1]
    sample = io.StringIO("\n".join(text[:400_000].splitlines()[:_SAMPLE]))
    best, most = ",", 0.0
    for delimiter in _DELIMITERS:
        sample.seek(0)
        try:
            widths = Counter(len(row) for row in csv.reader(sample, delimiter=delimiter) if any(row))
        except csv.Error:
            continue
        score = max((count * (width - 1) ** 0.5 for width, count in widths.items() if width > 1), default=0.0)
        if score > most * 1.05:
            best, most = delimiter, score
    return best


def _decimal_comma(rows: list[list[str]], delimiter: str) -> bool:
    """Whether numbers are written 0,82."""
    if delimiter == ",":
        return False
    commas = points = 0
    for row in rows:
        for cell in row:
            text = cell.strip()
            if "," in text and re.fullmatch(r"[+-]?\d+,\d+", text):
                commas += 1
            elif "." in text and re.fullmatch(r"[+-]?\d+\.\d+", text):
                points += 1
    return commas > points


def _value(cell: str, number: re.Pattern[str], comma: bool) -> Any:
    """A number where the text is one; a number with leading zeros is a name."""
    text = cell.strip()
    if text and text[-1].isdigit() and number.fullmatch(text) and not _LEADING_ZERO.match(text):
        return float(text.replace(",", ".") if comma else text)
    return cell if text else ""
