"""Opens a spreadsheet file of any kind and hands over its sheets as grids. The file is only read.

Every reader is bounded: declared sizes are checked first, and what a small file could blow up is read in a
process of its own, with limits of time and memory.
"""

from __future__ import annotations

import hashlib
import zipfile
from collections import Counter
from collections.abc import Callable, Collection
from concurrent.futures import Future
from copy import copy
from functools import partial
from pathlib import Path
from typing import Any, Final

import numpy as np

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet import ooxml
from xlfuncs.spreadsheet.beside import workers
from xlfuncs.spreadsheet.budget import MAX_CELLS, Budget
from xlfuncs.spreadsheet.compiled import Meanwhile, calamine_grids
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.halves import read_halves
from xlfuncs.spreadsheet.package import DAMAGED, Broken, Package
from xlfuncs.spreadsheet.usual import usual

MAX_UNPACKED: Final = 1 << 30
"""Bytes that a workbook may unpack to."""
MAX_STYLES: Final = 256 << 20
"""Bytes of the part with the styles."""
LONG: Final = 1_000_000
"""Bytes from which the compiled reader is long enough at work for something else beside it."""

_ZIP: Final = (b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_RECORDS: Final = (b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00", b"\x09\x08\x08\x00")
"""How an .xls of before 1993 begins: a record BOF, in no compound file ([MS-XLS] 2.4.21)."""
_TEXT_SUFFIXES: Final = (".csv", ".tsv", ".txt")
_KINDS: Final = ".xlsx, .xlsm, .xls, .xlsb, .ods or .csv"
_SAVE: Final = "open it in a spreadsheet program and save it as .xlsx"
LOCKED: Final = "is encrypted: remove the password in the spreadsheet program and save it as .xlsx"


class Unreadable(Exception):
    """One reader could not read the file; another may."""


def digest(path: Path) -> str:
    """SHA-256 of the file."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def check(path: Path) -> None:
    """Refuse what is no readable file."""
    try:
        if path.is_dir():
            raise XlfuncsError(f"{path} is a folder: name the workbook in it")
        if not path.exists():
            raise XlfuncsError(f"{path} does not exist: check the name and the folder")
        if not path.is_file():
            raise XlfuncsError(f"{path} is no ordinary file: copy the workbook to a disk first")
        if path.stat().st_size == 0:
            raise XlfuncsError(f"{path} is empty (0 bytes): it holds no workbook")
        with path.open("rb") as stream:
            stream.read(1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise XlfuncsError(f"{path} cannot be read: {why}") from None


def open_grids(path: Path, meanwhile: Meanwhile | None = None) -> list[Grid]:
    """The sheets of a workbook, in its order. XlfuncsError says why it cannot be read."""
    meanwhile = meanwhile or Meanwhile()
    check(path)
    with path.open("rb") as stream:
        head = stream.read(4096)
    is_text = path.suffix.lower() in _TEXT_SUFFIXES
    if head.startswith(_ZIP) or (not is_text and not head.startswith(_OLE) and zipfile.is_zipfile(path)):
        return _open_zip(path, meanwhile)
    if head.startswith((_OLE, *_RECORDS)):
        return _first_that_reads(path, [_apart("biff"), _apart("calamine")])
    if is_text:
        from xlfuncs.spreadsheet.delimited import read_text

        return [read_text(path)]
    raise XlfuncsError(f"{path} {_no_workbook(head)}")


def _no_workbook(head: bytes) -> str:
    start = head.lstrip(b"\xef\xbb\xbf \t\r\n")[:400].lower()
    if b"<html" in start or start.startswith((b"<!doctype html", b"<table")):
        return f"is an HTML page, not a workbook: {_SAVE}"
    if start.startswith(b"<?xml"):
        return f"is an XML file, not a workbook: {_SAVE}"
    if b"\0" not in head:
        return "is a text file, not a workbook: if it is a list, name it .csv, else save it as .xlsx"
    return f"is no workbook ({_KINDS}): {_SAVE}"


def _open_zip(path: Path, meanwhile: Meanwhile) -> list[Grid]:
    try:
        with Package(path) as package:
            return _open_package(path, package, meanwhile)
    except Broken as why:
        raise XlfuncsError(f"{path} is damaged: {why}; get an intact copy of the workbook") from why


def _open_package(path: Path, package: Package, meanwhile: Meanwhile) -> list[Grid]:
    if _is_encrypted(package):
        raise XlfuncsError(f"{path} {LOCKED}")
    unpacked = sum(item.file_size for item in package.zip.infolist() if "/media/" not in item.filename)
    if unpacked > MAX_UNPACKED:
        raise XlfuncsError(
            f"{path} unpacks to {unpacked / 1e9:.1f} GB, more than the limit of {MAX_UNPACKED / 1e9:.1f} GB: "
            "delete unused sheets and formats, and save it again"
        )
    if package.main and not package.binary:
        return _first_that_reads(path, [partial(_xlsx, meanwhile=meanwhile), _apart("openpyxl")])
    if package.main:
        return _first_that_reads(path, [_apart("biff"), _apart("calamine")])
    if package.has("content.xml"):
        return _first_that_reads(path, [_apart("opendocument"), _apart("calamine")])
    raise XlfuncsError(f"{path} is a zip archive without a workbook in it: unpack it and name the workbook")


def _is_encrypted(package: Package) -> bool:
    if any(item.flag_bits & 1 for item in package.zip.infolist()):
        return True
    manifest = "META-INF/manifest.xml"
    return package.has(manifest) and b"encryption-data" in package.read(manifest, 1 << 26)


def _first_that_reads(path: Path, readers: list[Callable[[Path], list[Grid]]]) -> list[Grid]:
    """The grids of the first reader that can; what the first one said where none can."""
    reasons = []
    for reader in readers:
        try:
            return reader(path)
        except Unreadable as error:
            reasons.append(str(error))
    raise XlfuncsError(
        f"{path} cannot be read: {reasons[0]}; open it in a spreadsheet program and save it again"
    )


_OUR_WORDS: Final = (
    (ImportError, "python-calamine, which reads such files, is not installed"),
    (MemoryError, "it takes more memory than one workbook is given"),
    (RecursionError, "its parts lie too deep in one another"),
    (KeyError, "a part of it is missing"),
    (DAMAGED, "a part of it is damaged"),
    (BaseException, "it is not written as a workbook is"),
)
"""What a reader's exception means; its own words are for those who wrote it."""


def attempt(path: Path, read: Callable[[Path], Any]) -> Any:
    """Call a reader; whatever it throws, panics of compiled code included, becomes `Unreadable`."""
    try:
        return read(path)
    except (KeyboardInterrupt, SystemExit, XlfuncsError, Unreadable):
        raise
    except Broken as why:
        raise Unreadable(str(why)) from why
    except BaseException as error:
        if type(error).__name__ == "PasswordError":
            raise XlfuncsError(f"{path} {LOCKED}") from None
        words = next(words for kind, words in _OUR_WORDS if isinstance(error, kind))
        raise Unreadable(words) from error


def _xlsx(path: Path, meanwhile: Meanwhile) -> list[Grid]:
    """Sheets of an .xlsx or .xlsm, whatever way it is packed."""

    def read(path: Path) -> list[Grid]:
        with usual(path) as package:
            grids = _usual_xlsx(path, package, meanwhile)
        for grid in grids:
            grid.lost = grid.sheet in package.lost
        return grids

    found: list[Grid] = attempt(path, read)
    return found


def _usual_xlsx(path: Path, package: Package, meanwhile: Meanwhile) -> list[Grid]:
    """Values from the compiled reader, the rest from a search of the XML.

    The compiled reader leaves the interpreter free, so other work runs beside it; no sheet is opened before
    it is known how far it reaches.
    """
    names = _names(path, package)
    budget = Budget(path)
    budget.take_strings(package)
    if package.styles and package.size(package.styles) > MAX_STYLES:
        raise Broken("its styles are longer than those of any workbook")
    spent = copy(budget)
    try:
        long: dict[str, Grid] = attempt(path, lambda path: read_halves(package, MAX_CELLS, meanwhile, spent))
    except Unreadable:
        long = {}
    budget = spent if long else budget
    if long and list(long) == names:
        return list(long.values())
    with workers(2) as second:
        reach = second.submit(_check_reach, package, budget, without=long)
        refused = partial(_has_failed, reach)
        search = second.submit(ooxml.scan_all, package, without=long, given_up=refused)
        if not long and path.stat().st_size > LONG:
            second.submit(meanwhile.prepare)
        grids = calamine_grids(package.stream(), before_sheets=reach.result, without=long)
        scans: dict[str, ooxml.Scan] = search.result()
    for grid in grids:
        if grid.sheet in scans:
            scans[grid.sheet].put_into(grid)
    return [long.get(grid.sheet, grid) for grid in grids]


def _has_failed(work: Future[None]) -> bool:
    return work.done() and work.exception() is not None


def _names(path: Path, package: Package) -> list[str]:
    """The worksheets. A part of the file that is several of them would be read as often."""
    parts = package.worksheets
    twice = next((part for part, count in Counter(parts.values()).items() if count > 1), None)
    if twice is not None:
        same = [name for name, part in parts.items() if part == twice]
        more = f" and {len(same) - 2:,} more" if len(same) > 2 else ""
        why = f"sheet {same[0]!r} is {same[1]!r}{more} as well"
        raise XlfuncsError(f"{path} is damaged: {why}; get an intact copy of the workbook")
    return list(parts)


def _check_reach(package: Package, budget: Budget, without: Collection[str]) -> None:
    for name, sheet in ooxml.reaches(package, MAX_CELLS, without).items():
        if sheet.row * sheet.col > MAX_CELLS:
            raise Unreadable("its cells are scattered over too large a sheet")
        budget.take(sheet, partial(ooxml.pieces_of, package, package.worksheets[name]))


def _apart(reader: str) -> Callable[[Path], list[Grid]]:
    def read(path: Path) -> list[Grid]:
        from xlfuncs.spreadsheet.guard import read_apart

        grids = read_apart(path, reader)
        budget = Budget(path)
        for grid in grids:
            filled = grid.values != ""
            budget.take_cells(int(np.count_nonzero(filled)), int(np.count_nonzero(filled.any(axis=1))))
        return grids

    return read
