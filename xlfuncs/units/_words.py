"""Words beside a number in a cell, in the languages of `data/cell_words.toml`, as patterns."""

from __future__ import annotations

import re
from itertools import groupby
from typing import Final

from xlfuncs.data import load
from xlfuncs.units._text import tidy


def _runs_on(word: str) -> bool:
    """Whether letters may follow a word: Chinese is written without spaces."""
    return word[-1] > "\u2e80" or not word[-1].isalpha()


def _any(block: str) -> str:
    """The words of a block, the longest first.

    What must not follow is said once for neighbours: Python compiles each pattern anew in every process.
    """
    spelled = {tidy(word).rstrip(".") for words in load("cell_words")[block].values() for word in words}
    ordered = sorted(filter(None, spelled), key=lambda word: (-len(word), word))
    parts = []
    for runs_on, words in groupby(ordered, _runs_on):
        either = "|".join(re.escape(word).replace(r"\ ", r"\s+") for word in words)
        parts.append(either if runs_on else rf"(?:{either})(?![^\W\d_])")
    return f"(?:{'|'.join(parts)})"


def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(text, re.IGNORECASE)


_NUMBER: Final = r"[+\-.,]?\s?\d"
"""How a number begins."""
_ABOUT: Final = _any("about")
_BETWEEN: Final = _any("between")
_MIN: Final = r"(?:min(?:i|imum|imal|imo)?|mín(?:imo)?|мин|最小)(?![^\W\d_])\.?"
_MAX: Final = r"(?:max(?:i|imum|imal)?|máx(?:imo)?|mass(?:imo)?|maks|макс|最大)(?![^\W\d_])\.?"

ABOUT: Final = _pattern(rf"\s*(?:[~≈≃]|{_ABOUT}\.?:?|c\.(?=\s?\d))\s*")
ABOUT_END: Final = _pattern(rf"\s*(?:[\s,(]+|(?-i:(?=[\u2e80-\u9fff])))(?P<said>{_ABOUT})\.?\)?$")
AT_LEAST: Final = _pattern(rf"\s*(?:>=?|=>|≥|⩾|{_any('at_least')}\.?:?)\s*")
AT_MOST: Final = _pattern(rf"\s*(?:<=?|=<|≤|⩽|{_any('at_most')}\.?:?)\s*")
AT_LEAST_END: Final = _pattern(rf"\s*[\s,(]{_MIN}\)?$")
AT_MOST_END: Final = _pattern(rf"\s*[\s,(]{_MAX}\)?$")
BETWEEN: Final = _pattern(rf"\s+{_BETWEEN}\s+(?={_NUMBER})")

_TWO: Final = _pattern(rf"[+-]?[\d.,]+(?:\s+{_BETWEEN}\s+|\s*(?:[/~÷-]|\.{{2,4}})\s*)[+-]?[\d.,]+")
_SPANS: Final = (
    _pattern(
        rf"{_any('from')}\s*(?P<low>{_NUMBER}.*?)(?:\s+{_BETWEEN}\s+|\s*[至到]\s*)(?P<high>{_NUMBER}.*)"
    ),
    _pattern(rf"{_any('both')}\s+(?P<low>{_NUMBER}.*?)\s+{_any('and')}\s+(?P<high>{_NUMBER}.*)"),
)
_BOTH_ENDS: Final = rf"\s*[:=]?\s*(?P<one>{_NUMBER}.*?)\s*[/-]\s*(?P<two>{_NUMBER}.*)"
_BOUNDS_BEFORE: Final = (
    _pattern(rf"{_MIN}\s*/\s*{_MAX}{_BOTH_ENDS.replace('one', 'low').replace('two', 'high')}"),
    _pattern(rf"{_MAX}\s*/\s*{_MIN}{_BOTH_ENDS.replace('one', 'high').replace('two', 'low')}"),
    _pattern(rf"{_MIN}:?\s*(?P<low>{_NUMBER}.*?)\s*[,;/]?\s*(?<!\w){_MAX}:?\s*(?P<high>{_NUMBER}.*)"),
    _pattern(rf"{_MAX}:?\s*(?P<high>{_NUMBER}.*?)\s*[,;/]?\s*(?<!\w){_MIN}:?\s*(?P<low>{_NUMBER}.*)"),
)
_BOUNDS_AFTER: Final = (
    _pattern(
        rf"(?P<low>{_NUMBER}.*?)\s*\(?(?<!\w){_MIN}\)?\s*[,;/-]\s*(?P<high>{_NUMBER}.*?)\s*\(?(?<!\w){_MAX}\)?"
    ),
    _pattern(
        rf"(?P<high>{_NUMBER}.*?)\s*\(?(?<!\w){_MAX}\)?\s*[,;/-]\s*(?P<low>{_NUMBER}.*?)\s*\(?(?<!\w){_MIN}\)?"
    ),
)


def joins_bounds(text: str, time: bool = False) -> str | None:
    """'min 20 max 45' and '20 min / 45 max' as 'LOW to HIGH', else None. `time`: min is a unit."""
    return _as_range(text, _BOUNDS_BEFORE + (() if time else _BOUNDS_AFTER))


def spans(text: str) -> str | None:
    """'from 20 to 45' and 'between 20 and 45' as 'LOW to HIGH'; None for any other text."""
    return _as_range(text, _SPANS)


def is_range(text: str) -> bool:
    """Whether a text shows two numbers that may be the ends of a range."""
    return _TWO.fullmatch(text) is not None


def _as_range(text: str, patterns: tuple[re.Pattern[str], ...]) -> str | None:
    for pattern in patterns:
        if found := pattern.fullmatch(text):
            return f"{found['low'].strip()} to {found['high'].strip()}"
    return None


_MARK: Final = rf"(?P<said>{_any('mark')})"
MARK_START: Final = _pattern(rf"\s*[(\[]?{_MARK}\.?[)\]]?\s*[:=]?\s*(?=[\d+\-.~<>≤≥])")
MARK_END: Final = _pattern(rf"[\s,;]*(?:[\s,;+/&]|[(\[])\s*{_MARK}\.?\s*[)\]]?$")
OPERATING: Final = _pattern(rf"(?<![^\W\d_]){_any('at_operating')}")
CHANGES: Final = _pattern(rf"(?<![^\W\d_]){_any('changes')}")
"""Words behind a number that make another one of it, or of another kind."""
CONDITION: Final = _pattern(
    rf"\s*(?:[,;]?\s*[(\[]?\s*(?:@\s*|(?<![^\W\d_]){_any('at')}\s+)|[,;]\s+|[(\[]\s*)"
    r"(?P<state>[+\-]?\d[^()\[\]@]*?)\s*[)\]]?$"
)
"""A temperature, or what else, at which a value holds."""

_VACUUM: Final = rf"\(? ?{_any('full_vacuum')}\.? ?\)?"
FULL_VACUUM: Final = _pattern(rf"(?<!\w){_VACUUM}(?:\s*{_VACUUM})?(?!\w)")
SIDE: Final = _pattern(rf"\(?(?<![^\W\d_]){_any('side')}\.?\)?\s*:?")
"""Of which side of a wall a pressure is: '10 (int.) / FV (ext.)'."""
ATMOSPHERIC: Final = _pattern(rf"\(?{_any('atmospheric')}\.?\)?")
UP_TO: Final = _pattern(rf"\s+{_BETWEEN}\s+|\s*(?:[/~÷]|\.{{2,4}})\s*|\s*-\s*(?=\d)")
JOINT: Final = _pattern(
    r"^[\s()]*(?:[/&+,;]|(?:and|und|et|y|e|i|и|to)\b)?\s*"
    r"|\s*(?:[/&+,;]|\b(?:and|und|et|y|e|i|и|to))?[\s()]*$"
)
"""What joins full vacuum with the other end of the range."""
