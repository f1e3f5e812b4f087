"""Published statements about metals that are not fit for a fluid, by the fluid's name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from xlfuncs.data import load
from xlfuncs.data.words import pattern_of


@cache
def statements(fluid: str) -> tuple[tuple[str, Mapping[str, Any]], ...]:
    """The published statements about a fluid, each by its name."""
    blocks = load("compatibility")["unfit"]
    return tuple((name, block) for name, block in blocks.items() if _words(name).search(fluid))


@cache
def is_aggressive(fluid: str) -> bool:
    """Whether a fluid is one of which the metal has to be asked for."""
    return pattern_of(tuple(load("compatibility")["aggressive"]["words"])).search(fluid) is not None


@cache
def _words(name: str) -> re.Pattern[str]:
    return pattern_of(tuple(load("compatibility")["unfit"][name]["words"]))
