"""Where a report is written."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from xlfuncs.errors import XlfuncsError
from xlfuncs.workbook.files import whole_file


def write_text(output: Path, text: str, sources: Iterable[Path] = ()) -> Path:
    """Write UTF-8 text with line ends as given."""
    with whole_file(output, sources) as draft:
        draft.write_bytes(text.encode("utf-8", "replace"))
    return output


def beside(source: Path, ending: str) -> Path:
    """`index.xlsx` -> `index.audited.xlsx` for the ending `.audited.xlsx`, in the same folder."""
    return source.with_name(source.stem + ending)


def target(output: Path | None, source: Path | None, ending: str) -> Path:
    """The file to write: as asked for, in the folder asked for, or beside the workbook."""
    if output is not None and not output.is_dir():
        return output
    if source is None:
        raise XlfuncsError("no file to write to; name one with -o")
    name = beside(source, ending)
    return name if output is None else output / name.name
