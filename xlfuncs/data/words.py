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


def means(text: str, meaning: str) -> bool:
    """Whether a text says `meaning`, a block of `data/words.toml`."""
    return _pattern(meaning).search(text) is not None


def says(texts: NDArray[np.object_], meaning: str) -> NDArray[np.bool_]:
    """Which texts say `meaning`."""
    known = {text: bool(text) and means(str(text), meaning) for text in set(texts.tolist())}
    return np.array([known[text] for text in texts.tolist()], dtype=np.bool_)


_NUMBERED = re.compile(r"(?<!\w)no?\.?\s*(?=\d)", re.IGNORECASE)


@cache
def denies(text: str) -> bool:
    """Whether a text answers a question with no."""
    cleared = _NUMBERED.sub(" ", text)
    found = _pattern("no").search(cleared)
    if found is None:
        return False
    # 'electric, no insulation' denies something else; 'tracing: none' and 'tracing not required' do not
    qualified = len(found[0].split()) == 1 and cleared[found.end() :].strip(" .,;)") != ""
    return not (qualified and _pattern("yes").search(cleared[: found.start()]))
