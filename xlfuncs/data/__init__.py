"""Published tables, each with its source, as files beside this module; nothing is typed into code.

A TOML table holds its values with a `source` key in each block. `load` reads one by name, once. `kept`
spares a program to read and to prepare a long one anew each time that it starts.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from xlfuncs.additions import adds_to, with_additions
from xlfuncs.data._kept import kept as _kept

T = TypeVar("T")


@cache
def load(name: str) -> dict[str, Any]:
    """The parsed content of `NAME.toml`, and what is added to it. Treat it as read-only: it is shared."""
    return with_additions(name, _kept(f"{name}_toml", [_file(name)], lambda: _read(name)))


def kept(name: str, tables: Sequence[str], module: str, make: Callable[[], T]) -> T:
    """What `make` gives, made of some tables by the module in the file `module`, from where it was kept."""
    if adds_to(tuple(tables)):
        return make()
    return _kept(name, [*map(_file, tables), Path(module)], make)


def _file(name: str) -> Path:
    return Path(str(files(__package__) / f"{name}.toml"))


def _read(name: str) -> dict[str, Any]:
    with (files(__package__) / f"{name}.toml").open("rb") as handle:
        return tomllib.load(handle)
