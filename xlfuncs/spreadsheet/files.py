"""Writing a file: never over a workbook that was read, never half of it, and nothing left beside it."""

from __future__ import annotations

import atexit
import contextlib
import os
import secrets
import shutil
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from xlfuncs.errors import XlfuncsError

_DRAFT: Final = (".xlfuncs-", ".part")
"""How the name of a file that is being written begins and ends."""
_OLD: Final = 600.0
"""Seconds after which a draft that nobody has written to belongs to a run that was killed."""


@contextlib.contextmanager
def whole_file(output: Path, sources: Iterable[Path] = ()) -> Iterator[Path]:
    """The name of a file to write beside `output`; it takes the place of `output` when all went well.

    Nothing is there until it is written, so a run that is killed before that leaves nothing. A device or a
    pipe (/dev/stdout) gets the bytes and is not replaced; a link stays a link.
    """
    for source in sources:
        if same_file(output, source):
            raise XlfuncsError(f"{output}: is the workbook itself; name another file with -o")
    if output.is_dir():
        raise XlfuncsError(f"{output}: is a folder; name a file with -o")
    special = output.exists() and not output.is_file()
    final = output.resolve()
    folder = Path(tempfile.gettempdir()) if special else final.parent
    _check(folder, output)
    _sweep(folder)
    draft = folder / secrets.token_hex(8).join(_DRAFT)
    _drafts.add(draft)
    try:
        yield draft
        if special:
            with draft.open("rb") as whole, output.open("wb") as target:
                shutil.copyfileobj(whole, target)
            return
        try:
            os.replace(draft, final)
        except PermissionError as error:
            raise XlfuncsError(f"{output}: cannot be replaced; close it elsewhere and try again") from error
    except OSError as error:
        raise XlfuncsError(f"{output}: could not be written ({error.strerror or error})") from error
    finally:
        draft.unlink(missing_ok=True)
        _drafts.discard(draft)


_drafts: set[Path] = set()


@atexit.register
def _clear() -> None:
    """Delete what is left where a second signal came while the first was being answered."""
    for draft in _drafts:
        draft.unlink(missing_ok=True)


def _check(folder: Path, output: Path) -> None:
    """Refuse before all the work what could not be written after it."""
    if not folder.is_dir():
        raise XlfuncsError(f"{output}: cannot be written: there is no folder {folder}; make it first")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise XlfuncsError(
            f"{output}: cannot be written: its folder is write-protected; name another with -o"
        )


def _sweep(folder: Path) -> None:
    """Delete the drafts of runs that were killed while they wrote."""
    begins, ends = _DRAFT
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(begins) and entry.name.endswith(ends):
                with contextlib.suppress(OSError):
                    if entry.is_file(follow_symlinks=False) and _is_old(entry):
                        os.unlink(entry.path)


def _is_old(entry: os.DirEntry[str]) -> bool:
    return time.time() - entry.stat(follow_symlinks=False).st_mtime > _OLD


def same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return one.absolute() == other.absolute()
