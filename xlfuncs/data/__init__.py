"""Published tables, each with its source, as files beside this module; nothing is typed into code.

A TOML table holds its values with a `source` key in each block. `load` reads one by name, once.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def load(name: str) -> dict[str, Any]:
    """The parsed content of `NAME.toml`. Treat it as read-only: it is read once and shared."""
    with (files(__package__) / f"{name}.toml").open("rb") as handle:
        return tomllib.load(handle)
