"""Findings in the forms that people use. Every format is made from the one `AuditResult`.

`write` loads the module of the format that is asked for, and no other.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from xlfuncs.errors import XlfuncsError

if TYPE_CHECKING:
    from xlfuncs.audit.model import AuditResult

FORMATS = ("text", "json", "csv", "sarif", "html", "pdf", "workbook", "request")
"""text, json, csv and sarif go to the stream unless a file is named; the others always to a file."""

# Format -> ending of the file that is written beside the workbook when no file is named.
_ENDINGS = {"html": ".audit.html", "pdf": ".audit.pdf", "request": ".request.xlsx"}
_TEXTS = {"json": "jsonfile", "csv": "csvfile", "sarif": "sarif", "html": "html"}


def write(
    result: AuditResult | Sequence[AuditResult],
    format: str,
    output: Path | None,
    *,
    source: Path | Sequence[Path] | None,
    stream: TextIO,
    messages: TextIO | None = None,
    full: bool = True,
) -> Path | None:
    """Write one result, or one report of several, in `format`.

    `output` is a file, a folder, or None (the stream, or a file beside the workbook); `source` the
    workbook that was audited, in the order of the results. The workbook itself is never written to.
    `full`: a text on the stream has all that stands behind the findings, else folded to a few lines.
    Returns the file that was written (the last one, when every workbook gets its own), or None when
    all went to the stream. What a reader has to know about the file goes to `messages` (standard error).
    """
    from xlfuncs.audit.model import AuditResult

    results = [result] if isinstance(result, AuditResult) else list(result)
    sources = [] if source is None else [source] if isinstance(source, Path) else list(source)
    if format not in FORMATS:
        raise XlfuncsError(f"format '{format}' is unknown; use one of {', '.join(FORMATS)}")
    if format == "workbook":
        return _workbooks(results, output, sources, messages or sys.stderr)
    from xlfuncs.report import _files
    from xlfuncs.spreadsheet.files import whole_file

    if format == "text":
        from xlfuncs.report import text

        if output is None:
            text.write(results, stream, full)
            return None
        path = _files.target(output, sources, ".audit.txt")
        with whole_file(path, sources) as draft, draft.open("w", encoding="utf-8") as page:
            text.write(results, page)
        return path
    given = result if format == "json" else results  # one result and a list of one differ in JSON
    if format in ("json", "csv", "sarif") and output is None:
        stream.write(import_module(f"xlfuncs.report.{_TEXTS[format]}").text(given))
        return None
    path = _files.target(output, sources, _ENDINGS.get(format, f".audit.{format}"))
    module = import_module(f"xlfuncs.report.{_TEXTS.get(format, format)}")
    if format in _TEXTS:
        mark = "\ufeff" if format == "csv" else ""  # by it spreadsheet programs know UTF-8
        return _files.write_text(path, mark + module.text(given), sources)
    _say(module.write(results, path, sources) or (), messages or sys.stderr)
    return path


def write_totals(results: Sequence[AuditResult], stream: TextIO) -> None:
    """The counts of several books, after their reports on a terminal."""
    from xlfuncs.report import text

    text.write_totals(results, stream)


def _workbooks(
    results: Sequence[AuditResult], output: Path | None, sources: Sequence[Path], messages: TextIO
) -> Path | None:
    from xlfuncs.report import workbook

    if len(sources) != len(results):
        raise XlfuncsError("an annotated copy needs the workbook that was audited")
    if len(results) > 1 and output is not None and not output.is_dir():
        raise XlfuncsError(
            f"{output}: each of the {len(results)} workbooks gets its own copy; name a folder with -o"
        )
    path = None
    for result, source in zip(results, sources, strict=True):
        path, notes = workbook.write(result, source, output)
        _say(notes, messages)
    return path


def _say(notes: Iterable[str], messages: TextIO) -> None:
    for note in notes:
        print(note, file=messages)
