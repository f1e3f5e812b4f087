"""Writing a file: never over a workbook that was read, never half of it."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from xlfuncs.errors import XlfuncsError


@contextlib.contextmanager
def whole_file(output: Path, sources: Iterable[Path] = ()) -> Iterator[Path]:
    """A new file beside `output` to write into; it takes the place of `output` when all went well.

    A device or a pipe (/dev/stdout) gets the bytes and is not replaced; a link stays a link.
    """
    for source in sources:
        if same_file(output, source):
            raise XlfuncsError(f"{output}: is the workbook itself; name another file with -o")
    if output.is_dir():
        raise XlfuncsError(f"{output}: is a folder; name a file with -o")
    special = output.exists() and not output.is_file()
    final = output.resolve()
    folder = None if special else final.parent
    try:
        handle, name = tempfile.mkstemp(prefix=f".{output.name}.", suffix=".part", dir=folder)
    except OSError as error:
        raise XlfuncsError(f"{output}: cannot be written in this folder ({error.strerror})") from error
    os.close(handle)
    draft = Path(name)
    try:
        yield draft
        if special:
            with draft.open("rb") as whole, output.open("wb") as target:
                shutil.copyfileobj(whole, target)
            return
        mask = os.umask(0)
        os.umask(mask)
        draft.chmod(0o666 & ~mask)  # mkstemp makes it readable by its owner alone
        os.replace(draft, final)
    except PermissionError as error:
        raise XlfuncsError(f"{output}: cannot be replaced; close it elsewhere and try again") from error
    except OSError as error:
        raise XlfuncsError(f"{output}: could not be written ({error.strerror or error})") from error
    finally:
        draft.unlink(missing_ok=True)


def same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return one.absolute() == other.absolute()
