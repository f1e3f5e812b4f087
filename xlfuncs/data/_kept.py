"""What was made of a table is kept beside it, as Python keeps the modules that it has compiled.

Reading TOML and making lookups of it took a third of the time of an ordinary audit. The copy stands in the
folder `__pycache__`, where Python's own stand, is written on the same conditions (PYTHONDONTWRITEBYTECODE,
PYTHONPYCACHEPREFIX), in the same form (marshal), and counts only while every file that it was made of has the
same size and time. Without one, or with one that cannot be read, everything is made anew.
"""

from __future__ import annotations

import contextlib
import marshal
import os
import sys
from collections.abc import Callable, Sequence
from importlib.util import cache_from_source
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")


def kept(name: str, sources: Sequence[Path], make: Callable[[], T]) -> T:
    """What `make` gives (numbers, texts and containers of them), kept under `name` beside the first."""
    content: Any
    try:
        stamp = [(str(path), (about := path.stat()).st_size, about.st_mtime_ns) for path in sources]
        place = Path(cache_from_source(str(sources[0].parent / f"{name}.py"))).with_suffix(".data")
    except (OSError, NotImplementedError):  # no ordinary files, or a Python that keeps nothing
        return make()
    with contextlib.suppress(OSError, EOFError, ValueError, TypeError):
        known, content = marshal.loads(place.read_bytes())
        if known == stamp:
            found: T = content
            return found
    made = make()
    content = made
    if not sys.dont_write_bytecode:
        with contextlib.suppress(OSError):
            _write(place, marshal.dumps((stamp, content)))
    return made


def _write(place: Path, content: bytes) -> None:
    """Whole or not at all: another process may be reading it."""
    place.parent.mkdir(parents=True, exist_ok=True)
    draft = place.with_name(f"{place.name}.{os.getpid()}")
    draft.write_bytes(content)
    draft.replace(place)
