"""Words in cells that decide something: yes or no, level or interface, the shape of an end."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load


@cache
def _pattern(meaning: str) -> re.Pattern[str]:
    parts = []
    for word in load("words")[meaning]["words"]:
        stem = re.escape(word.removesuffix("*"))
        parts.append(rf"(?<!\w){stem}" + ("" if word.endswith("*") else r"(?!\w)"))
    return re.compile("|".join(parts), re.IGNORECASE)


def says(texts: NDArray[np.object_], meaning: str) -> NDArray[np.bool_]:
    """Which texts say `meaning`, a block of `data/words.toml`."""
    pattern = _pattern(meaning)
    known = {text: bool(text) and pattern.search(str(text)) is not None for text in set(texts.tolist())}
    return np.array([known[text] for text in texts.tolist()], dtype=np.bool_)
