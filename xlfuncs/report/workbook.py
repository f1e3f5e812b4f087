"""The annotated copy: the audited workbook, a comment at each finding, and the report's sheets behind it."""

from __future__ import annotations

import re
from pathlib import Path

from xlfuncs.audit.model import Accepted, AuditResult, Finding
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _calculations, _files, _reading, _sheets
from xlfuncs.report import _summary as summary
from xlfuncs.report._package import Annotated, CannotKeep
from xlfuncs.spreadsheet.files import whole_file

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
        for sheet, cells in _by_cell(result).items():
            if sheet not in package.with_cells:
                continue
            texts = {cell: _sheets.comment_text(*told) for cell, told in cells.items()}
            for cell in package.comment(sheet, texts):
                notes.append(f"{sheet}!{cell}: a conversation stands there; the finding is in the list only")
        made = _sheets.book(result, list(package.sheets), remarks=notes)
        _reading.add(made, result, list(package.sheets))
        _calculations.add(made, summary.ordered(result), package.with_cells, list(package.sheets))
        package.graft(made)
        with whole_file(path, [source]) as draft:
            package.save(draft)
    return notes


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
    _calculations.add(made, summary.ordered(result), (), ())
    with whole_file(path, [source]) as draft:
        made.save(draft)
    return path, [note]
