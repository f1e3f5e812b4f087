"""Long worksheets of an .xlsx, each parsed in two halves at once.

The compiled reader leaves the interpreter free, but keeps to one processor. A worksheet is a list of rows, so
each half of a long one is a worksheet too: it goes, with the workbook's other parts, to a reader of its own.
"""

from __future__ import annotations

import os
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Future
from functools import partial
from typing import IO, Any, Final, NamedTuple

from xlfuncs.spreadsheet import ooxml
from xlfuncs.spreadsheet.beside import workers
from xlfuncs.spreadsheet.budget import Budget
from xlfuncs.spreadsheet.compiled import Meanwhile, stacked
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.package import Package, Sheet

SHORTEST: Final = 16 << 20
LONGEST: Final = 256 << 20
"""Bytes of XML of a sheet that is read so: less is quickly read, more takes too much memory."""

_NEEDED: Final = ("", "_rels", "xl", "xl/_rels")
"""Folders of the parts that a reader looks at besides the sheet."""
_LEFT_OUT: Final = "xl/calcChain.xml"


def read_halves(
    package: Package, most_cells: int, meanwhile: Meanwhile, budget: Budget | None = None
) -> dict[str, Grid]:
    """The long worksheets of a workbook, by name and in order; without those that cannot be cut in two.

    No sheet is parsed whose cells may reach over more than `most_cells`, or whose cells take more than there
    is of `budget`. Any exception: the workbook cannot be read so.
    """
    out: dict[str, Grid] = {}
    if not hasattr(os, "memfd_create") or (os.cpu_count() or 1) < 2:
        return out
    for sheet in package.sheets:
        if sheet.holds_cells and SHORTEST <= package.size(sheet.part) <= LONGEST:
            found = _read(package, sheet, most_cells, meanwhile, budget)
            if found is not None:
                out[sheet.name] = found
    return out


def _read(
    package: Package, sheet: Sheet, most_cells: int, meanwhile: Meanwhile, budget: Budget | None
) -> Grid | None:
    """A worksheet, None where it cannot be cut."""
    name, part = sheet.name, sheet.part
    with workers(4) as threads:
        pieces = _rows_and_rest(ooxml.pieces_of(package, part))
        needed = {
            item: package.read(item)
            for item in package.zip.namelist()
            if item.rpartition("/")[0] in _NEEDED and item not in (part, _LEFT_OUT)
        }
        frame = _frame(pieces)
        if frame is None:
            return None
        middle = len(pieces) // 2
        halves = [[frame.rows, *pieces[1:middle]], [*pieces[middle:-1], frame.last]]
        reaches = [threads.submit(ooxml.reach, partial(iter, half)) for half in halves]
        del pieces
        whole = ooxml.Reach(0, 0)
        if budget is not None:
            budget.take(ooxml.Reach(0, 0, merges=frame.tail.count(ooxml.MERGED)), tuple)
        for half, reach in zip(halves, reaches, strict=True):
            whole += reach.result()
            if whole.row * whole.col > most_cells:
                return None
            if budget is not None:
                budget.take(reach.result(), partial(iter, half))
        found = ooxml.scan((frame.head, *halves[0], *halves[1], frame.tail), ooxml.struck_styles(package))
        del half
        parsing = []
        while halves:  # what is written leaves the memory
            xml = (frame.head, *halves.pop(0), frame.tail)
            parsing.append(threads.submit(_parse, _workbook(needed, part, xml), name))
            del xml
        threads.submit(meanwhile.prepare)
        grid = stacked(name, _done(parsing), whole.row)
    if grid is None or found.unplaced:  # rows out of order: of two cells at one place the last one counts
        return None
    grid.hidden = sheet.hidden
    found.put_into(grid)
    return grid


def _rows_and_rest(pieces: Iterable[bytes]) -> list[bytes]:
    """The pieces that end with a row, and what follows the last of them as one."""
    out = list(pieces)
    rows = len(out)
    while rows and not out[rows - 1].endswith(ooxml.ROW_END):
        rows -= 1
    return [*out[:rows], b"".join(out[rows:])]


def _done(parsing: list[Future[Any]]) -> Iterator[Any]:
    """The halves; the upper one is dealt with while the other is still being parsed."""
    while parsing:
        yield parsing.pop(0).result()


class _Frame(NamedTuple):
    """What stands around the rows of a sheet, and the ends of the rows that share a piece with it."""

    head: bytes
    """Up to the first row."""
    rows: bytes
    """The rest of the first piece."""
    last: bytes
    """Of the last piece, up to the end of the rows."""
    tail: bytes


def _frame(pieces: list[bytes]) -> _Frame | None:
    """None where the sheet has to stay whole: what looks like a row must be one."""
    if len(pieces) < 3 or not all(piece.endswith(ooxml.ROW_END) for piece in pieces[:-1]):
        return None
    if any(map(ooxml.hides_something, pieces)) or _instructs(pieces):
        return None
    if sum(piece.count(ooxml.ROWS) for piece in pieces if b"h" in piece) != 2:  # faster than without
        return None
    patterns = ooxml.patterns_for(pieces[0])
    begin = pieces[0].rfind(b"<", 0, pieces[0].find(ooxml.ROWS))
    end = pieces[-1].rfind(b"<", 0, pieces[-1].rfind(ooxml.ROWS))
    first = patterns.row.search(pieces[0], begin) if begin >= 0 else None
    if first is None or end < 0 or not patterns.row_number.match(pieces[len(pieces) // 2].lstrip()):
        return None
    tail = pieces[-1][end:]
    # the reader parses the whole sheet once more in search of the merged ranges: it finds them at once here
    merges = patterns.merges.search(tail)
    head = b"".join(
        (pieces[0][:begin], merges[0] if merges else patterns.no_merges, pieces[0][begin : first.start()])
    )
    return _Frame(head, pieces[0][first.start() :], pieces[-1][:end], tail)


def _instructs(pieces: list[bytes]) -> bool:
    """Whether there is a processing instruction after the declaration at the beginning."""
    start = 5  # where the declaration, and a mark of the byte order before it, have begun
    for piece in pieces:
        if b"?" in piece and piece.find(b"<?", start) >= 0:
            return True
        start = 0
    return False


def _workbook(parts: Mapping[str, bytes], part: str, pieces: Iterable[bytes]) -> IO[bytes]:
    """A workbook in memory of `parts`, and of `part` in pieces."""
    file = os.fdopen(os.memfd_create("half"), "w+b")
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as book:
        for name, content in parts.items():
            book.writestr(name, content)
        with book.open(part, "w") as stream:
            for piece in pieces:
                stream.write(piece)
    file.flush()
    return file


def _parse(file: IO[bytes], name: str) -> Any:
    """A sheet of such a workbook, as the compiled reader gives it."""
    import python_calamine

    with file, python_calamine.CalamineWorkbook.from_path(f"/proc/self/fd/{file.fileno()}") as book:
        return book.get_sheet_by_name(name)
