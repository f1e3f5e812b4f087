"""Many short texts matched at once, as lines: a pattern called for each of a hundred thousand takes long."""

from __future__ import annotations

import re
from collections.abc import Sequence


def lines_of(pattern: str) -> re.Pattern[str]:
    """A pattern of lines each of which matches another, which matches no end of a line."""
    return re.compile(rf"(?>(?:{pattern})\n)*+(?:{pattern})")


def match_all(lines: re.Pattern[str], texts: Sequence[str]) -> bool:
    """Whether every text matches what `lines_of` made; at least one."""
    joined = "\n".join(texts)
    return joined.count("\n") == len(texts) - 1 and lines.fullmatch(joined) is not None
