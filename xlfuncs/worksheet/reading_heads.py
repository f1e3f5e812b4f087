"""What a heading of readings means, by the concepts of its words: 'Peilung [mm]', 'Level by tape, mm'.

The order of the words and what else stands beside them do not matter. A heading that could be two things is
neither, and is asked back.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import Final

from xlfuncs.data import load
from xlfuncs.units import find_unit
from xlfuncs.vocabulary.words import fold
from xlfuncs.worksheet.said import in_percent

DOUBTFUL: Final = "?"
"""In place of a field: the heading could be two."""
_LONGEST: Final = 9
"""Words; longer texts are sentences."""
_WORDS: Final = re.compile(r"[^\W\d_]+")


@cache
def _lists() -> tuple[dict[str, set[str]], list[tuple[str, str]], list[tuple[str, str]]]:
    """(words -> concepts, parts of words with theirs, phrases with theirs)."""
    exact: dict[str, set[str]] = {}
    parts: list[tuple[str, str]] = []
    phrases: list[tuple[str, str]] = []
    for concept, languages in load("reading_words").items():
        if concept == "source":
            continue
        for entry in {fold(word) for words in languages.values() for word in words}:
            if " " in entry:
                phrases.append((entry, concept))
            elif "*" in entry:
                parts.append((entry, concept))
            else:
                exact.setdefault(entry, set()).add(concept)
    return exact, parts, phrases


def _matches(word: str, entry: str) -> bool:
    inner = entry.strip("*")
    if entry.startswith("*") and entry.endswith("*"):
        return inner in word
    return word.endswith(inner) if entry.startswith("*") else word.startswith(inner)


@lru_cache(maxsize=4096)
def concepts(heading: str) -> frozenset[str]:
    """Of the words of a heading; a phrase counts in place of its words."""
    exact, parts, phrases = _lists()
    text = f" {' '.join(_WORDS.findall(fold(heading)))} "
    found: set[str] = set()
    for phrase, concept in sorted(phrases, key=lambda pair: -len(pair[0])):
        if f" {phrase} " in text:
            found.add(concept)
            text = text.replace(f" {phrase} ", "  ")
    for word in text.split():
        fits = [(word, concept) for concept in exact.get(word, ())]
        fits += [(entry.strip("*"), concept) for entry, concept in parts if _matches(word, entry)]
        # of 'magnet' and 'magnetklappen' the longer says what is meant
        longest = [e for e, _ in fits]
        found |= {concept for entry, concept in fits if not any(entry in e != entry for e in longest)}
    return frozenset(found)


def meaning(heading: str) -> str | None:
    """The field of `observations.toml` that a heading names; DOUBTFUL where it could be two, else None."""
    bare = re.sub(r"[\[({][^\])}]*[\])}]", " ", heading)
    if not 0 < len(_WORDS.findall(heading)) <= _LONGEST:
        return None
    said = concepts(bare)
    if said <= {"level", "measured", "true"}:
        said = concepts(heading)
    if not said or said & {"aside", "not_read"}:
        return None
    if find_unit(heading, "density") or "density" in said:
        return _density(heading, said)
    length, current = bool(find_unit(heading, "length")), bool(find_unit(heading, "current"))
    if find_unit(heading) and not (length or current or in_percent(heading)):
        return None
    for states, fits in _KINDS:
        if fits(said):
            return None if length or current else states
    return _level(said, length, current, in_percent(heading))


def is_bare_level(heading: str) -> bool:
    """'Level (mm)': a level, and not whose."""
    return concepts(heading) == {"level"}


def is_aside(heading: str) -> bool:
    """What is written beside readings and is none: a time, a remark, a difference."""
    said = concepts(heading)
    return "aside" in said and "not_read" not in said


def _density(heading: str, said: frozenset[str]) -> str | None:
    if said & {"device", "indicator", "current", "switch"} or find_unit(heading, "length"):
        return DOUBTFUL
    return "sample_density" if "sample" in said else "density"


_SEEN: Final = {"device", "indicator", "indicated", "reading"}
_KINDS: Final[tuple[tuple[str, Callable[[frozenset[str]], bool]], ...]] = (
    ("switch", lambda said: "switch" in said),
    (
        "direction",
        lambda said: "direction" in said and not said & {"device", "indicator", "indicated", "reading"},
    ),
)


def _level(said: frozenset[str], length: bool, current: bool, percent: bool) -> str | None:
    """Which of the levels; a second means counts before the words that any level may have."""
    sent = "current" in said or current
    if "direction" in said:
        return DOUBTFUL
    if "device" in said:
        clear = not (current or percent) and "indicator" not in said and (length or not sent)
        return "level" if clear else DOUBTFUL
    shown = bool(said & {"indicator", "indicated"})
    if "true" in said and (length or "level" in said):
        return DOUBTFUL if shown or sent or percent or "reading" in said else "level"
    if sent:
        return DOUBTFUL if shown and not (current or percent) else "current"
    if shown or "reading" in said:
        return "indicated" if shown or not percent else DOUBTFUL
    if said & {"level", "measured"}:
        return DOUBTFUL
    return None
