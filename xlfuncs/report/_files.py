"""Where a report is written."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.files import whole_file


def write_text(output: Path, text: str, sources: Iterable[Path] = ()) -> Path:
    """Write UTF-8 text with line ends as given."""
    with whole_file(output, sources) as draft:
        draft.write_bytes(text.encode("utf-8", "replace"))
    return output


def target(output: Path | None, sources: Sequence[Path], ending: str) -> Path:
    """The file to write: as asked for, or in the folder asked for, or beside the (first) workbook.

    `index.xlsx` gives `index.audit.html` for the ending `.audit.html`; several workbooks, `audit.html`.
    """
    if output is not None and not output.is_dir():
        return output
    if not sources:
        raise XlfuncsError("no file to write to; name one with -o")
    name = sources[0].stem + ending if len(sources) == 1 else ending.removeprefix(".")
    return (sources[0].parent if output is None else output) / name
