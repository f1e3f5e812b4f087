"""The annotated copy: the audited workbook, a comment at each finding, and the report's sheets behind it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from functools import cache, partial
from pathlib import Path
from typing import Any

from xlfuncs.audit.model import Accepted, AuditResult, Finding
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _calculations, _files, _guards, _marks, _reading, _sheets
from xlfuncs.report import _summary as summary
from xlfuncs.report._package import Annotated, CannotKeep
from xlfuncs.spreadsheet.address import split_address
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.spreadsheet.opening import open_grids

_CELL = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}")


def write(result: AuditResult, source: Path, output: Path | None = None) -> tuple[Path, list[str]]:
    """Write the copy; gives its path and what a reader has to know about it.

    A file of which a copy would lose something (not .xlsx or .xlsm, signed, damaged) is left alone:
    the findings go to a workbook of their own, and the notes say why.
    """
    ending = source.suffix.lower()
    if ending not in (".xlsx", ".xlsm"):
        return _separate(result, source, output, f"is not an .xlsx or .xlsm workbook but '{ending}'")
    path = _files.target(output, [source], f".audited{ending}")
    if path.suffix.lower() != ending:
        raise XlfuncsError(f"{path}: a copy of {source.name} has to end in {ending}")
    try:
        return path, _annotate(result, source, path)
    except CannotKeep as reason:
        return _separate(result, source, output, str(reason))


def _annotate(result: AuditResult, source: Path, path: Path) -> list[str]:
    notes = []
    with Annotated(source) as package:
        package.forget(result.own_sheets)
        held = _held(source, package.with_cells)
        for sheet, marks in _marked(result).items():
            if sheet in package.with_cells:
                package.mark(sheet, marks, partial(held, sheet))
        for sheet, cells in _by_cell(result).items():
            if sheet not in package.with_cells:
                continue
            texts = {cell: _sheets.comment_text(*told) for cell, told in cells.items()}
            for cell in package.comment(sheet, texts):
                notes.append(f"{sheet}!{cell}: a conversation stands there; the finding is in the list only")
        made = _sheets.book(result, list(package.sheets), remarks=notes)
        _reading.add(made, result, list(package.sheets))
        _calculations.add(
            made, summary.ordered(result), _held(source, package.with_cells), list(package.sheets)
        )
        package.graft(made, _titles(result))
        with whole_file(path, [source]) as draft:
            package.save(draft)
    return notes


def _held(source: Path, sheets: Collection[str]) -> _guards.Held:
    """What the cells of some sheets hold; the file is read when the first is asked for."""

    @cache
    def grids() -> dict[str, Grid]:
        return {grid.sheet: grid for grid in open_grids(source) if grid.sheet in sheets}

    def held(sheet: str, cell: str) -> Any:
        column, row = split_address(cell)
        return grids()[sheet].value(row, column) if sheet in sheets and sheet in grids() else _guards.NOWHERE

    return held


_Told = tuple[list[tuple[int, Finding]], list[Accepted]]
"""The findings at a cell, with their numbers, and the acceptances in use there."""


def _by_cell(result: AuditResult) -> dict[str, dict[str, _Told]]:
    """Sheet -> cell -> its findings, and the acceptances in use there."""
    cells: dict[str, dict[str, _Told]] = {}

    def at(finding: Finding) -> _Told:
        return cells.setdefault(finding.sheet, {}).setdefault(finding.cell, ([], []))

    for number, f in enumerate(summary.ordered(result), 1):
        if _CELL.fullmatch(f.cell):
            at(f)[0].append((number, f))
    for entry in result.accepted:
        for f in entry.findings if entry.state == "used" else ():
            if _CELL.fullmatch(f.cell):
                at(f)[1].append(entry)
    return cells


def _marked(result: AuditResult) -> dict[str, dict[str, tuple[str, str]]]:
    """Sheet -> cell -> its look and the numbers of its findings; headings of columns that were not read."""
    out: dict[str, dict[str, tuple[str, str]]] = {}
    for sheet, cell in _headings_not_read(result):
        if _CELL.fullmatch(cell):
            out.setdefault(sheet, {})[cell] = (_marks.UNREAD, _marks.UNREAD)
    for sheet, cells in _by_cell(result).items():
        for cell, (found, _) in cells.items():
            if found:
                worst = max((f.severity for _, f in found), key=lambda s: s.rank)
                numbers = [str(number) for number, _ in found]
                text = ",".join(numbers[:3]) + "+" * (len(numbers) > 3)
                out.setdefault(sheet, {})[cell] = (worst.value, text)
    return out


def _headings_not_read(result: AuditResult) -> Iterator[tuple[str, str]]:
    """Sheet and cell of the headings whose columns nobody understood, or that are in doubt."""
    for column in result.unread_columns:
        if not column["known_as"]:
            yield column["sheet"], column["cell"]
    for one in result.reading.open:
        if one.column.cell:
            yield one.column.sheet, one.column.cell


def _titles(result: AuditResult) -> dict[str, str]:
    """The rows of headings of sheets that hold one list, to be printed on every page."""
    lists: dict[str, list[tuple[int, ...]]] = {}
    for one in result.reading.lists:
        if one.found:
            lists.setdefault(one.sheet, []).append(one.headings)
    return {
        sheet: f"${min(found[0])}:${max(found[0])}"
        for sheet, found in lists.items()
        if len(found) == 1 and found[0] and max(found[0]) <= _LOWEST and len(found[0]) <= _TALLEST
    }


_LOWEST = 100
"""Row down to which headings can be repeated: below it stands a second list."""
_TALLEST = 6
"""Rows of headings; more would leave no room on a page."""


def _separate(result: AuditResult, source: Path, output: Path | None, reason: str) -> tuple[Path, list[str]]:
    path = _files.target(output, [source], ".findings.xlsx")
    if path.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{path}: the findings go to a workbook of their own, which has to end in .xlsx")
    note = f"{source.name} {reason}; the findings are in a workbook of their own, {path.name}"
    sheets = {f.sheet for f in result.findings} | {n.sheet for n in result.not_checked}
    sheets = {name for name in sheets if not name.startswith("[")}  # of another workbook
    linked = source.suffix.lower() != ".csv"
    made = _sheets.book(result, sheets if linked else (), source.name, [note])
    _reading.add(made, result, ())
    _calculations.add(made, summary.ordered(result), lambda sheet, cell: _guards.NOWHERE, ())
    with whole_file(path, [source]) as draft:
        made.save(draft)
    return path, [note]
