"""The words of a heading as concepts: 'Betr.-Druck', 'OPER_PRESS' and 'pression de service' are one meaning.

A heading is cut into words, longer phrases first. A word that no list holds is looked for as a compound, as
an abbreviation and as a misspelling, in that order, and counts for a little less each time.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final, Literal

from xlfuncs.data import kept, load

Slot = Literal["subject", "quantity", "qualifier", "bound", "weak", "foreign"]

COMPOUND: Final = 0.985
ABBREVIATED: Final = 0.975
MISSPELT: Final = 0.96
"""How sure a word is that was understood in such a way, where one of the lists counts 1 (our own choice)."""

_COMPOUNDING: Final = ("de", "nl", "sv", "da", "no", "fi", "hu")
"""Languages that write several words as one."""
_LINKS: Final = ("", "s", "n", "es", "en", "er")
_SHORTEST_PART: Final = 3
_SHORTEST_GUESS: Final = 5
"""Letters from which a word may be taken for a misspelt one."""
_SHORTEST_PREFIX: Final = 4
_MEANINGS: Final = 2
"""Concepts that an abbreviation may stand for."""
_LONG_WORD: Final = 8
"""Letters from which a word may have two slips: letters missing, too many, wrong or exchanged."""
_LONGEST_PHRASE: Final = 5
_WORDS: Final = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?|[%#№℄⌀]")
_CAMEL: Final = re.compile(r"(?<=[a-zà-ÿ])(?<!\bm(?=A\b))(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-zà-ÿ]{2})")
_DOTTED: Final = re.compile(r"\b((?:[^\W\d_]\.){2,})")
_APOSTROPHE: Final = re.compile(r"(?<=\w)['’`´](?=\w)")
_PER_CENT: Final = ((re.compile(r"(?<![\d.,])100\s?(?:%|pct|percent)"), " urv "),
                    (re.compile(r"(?<![\d.,])0\s?(?:%|pct|percent)"), " lrv "))  # fmt: skip
_SIGNS: Final = r"\u3040-\u30ff\u3400-\u9fff\u0e00-\u0e7f"
"""Of scripts that leave no blanks between words."""
_LETTERS_ALIKE: Final = str.maketrans(
    {
        "ø": "ø",
        "Ø": "ø",
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
        "ł": "l",
        "Ł": "l",
        "ı": "i",
        "đ": "d",
    }
)


@dataclass(frozen=True, slots=True)
class Word:
    """A word (or phrase) of a heading and the concepts that it may stand for."""

    text: str
    concepts: frozenset[str]
    """Empty for a word that is not known."""
    sure: float = 1.0


@lru_cache(maxsize=65536)
def fold(text: str) -> str:
    """Small letters, without accents and full-width forms, one kind of space."""
    if text.isascii():
        return " ".join(text.lower().split())
    plain = unicodedata.normalize("NFKD", text).translate(_LETTERS_ALIKE).casefold()
    return " ".join(
        unicodedata.normalize("NFC", "".join(c for c in plain if not unicodedata.combining(c))).split()
    )


@cache
def _unwritten() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Signs without blanks between words, and where Latin letters touch them: long to compile, seldom met."""
    beside = rf"(?<=[A-Za-z])(?=[{_SIGNS}])|(?<=[{_SIGNS}])(?=[A-Za-z])"
    return re.compile(rf"[{_SIGNS}]+"), re.compile(beside)


def _is_unwritten(word: str) -> bool:
    """Whether a word begins with such a sign."""
    return not word.isascii() and _unwritten()[0].match(word) is not None


def tokens(text: str) -> list[str]:
    """The words of a text: 'TagNo' and 'TAG_NO' are two, 'O.D.' is one."""
    text = _CAMEL.sub(" ", text.replace("_", " "))
    if not text.isascii():
        text = _unwritten()[1].sub(" ", text)
    text = _APOSTROPHE.sub(" ", fold(text))
    for pattern, put in _PER_CENT:
        text = pattern.sub(put, text)
    text = _DOTTED.sub(lambda found: found[1].replace(".", "") + " ", text)
    return list(_segmented(_WORDS.findall(text)))


def _segmented(words: Sequence[str]) -> Iterator[str]:
    for word in words:
        if _is_unwritten(word):
            yield from _cut_unwritten(word)
        elif "\uac00" <= word[:1] <= "\ud7a3" and word not in lexicon().exact:
            yield from _cut_compound(word)
        else:
            yield word


def _cut_compound(word: str) -> list[str]:
    """A Korean compound, cut into known words of two syllables or more; itself where it has others."""
    known = lexicon().exact
    ways: list[list[str] | None] = [[], *([None] * len(word))]
    for end in range(2, len(word) + 1):
        for start in range(max(0, end - 8), end - 1):
            before = ways[start]
            if before is not None and word[start:end] in known:
                here = ways[end]
                if here is None or len(before) + 1 < len(here):
                    ways[end] = [*before, word[start:end]]
    return ways[-1] or [word]


def _cut_unwritten(word: str) -> list[str]:
    """A run of signs without blanks, cut at the longest known words."""
    known, out, unknown, at = lexicon().exact, [], "", 0
    while at < len(word):
        for end in range(min(len(word), at + 8), at, -1):
            if word[at:end] in known:
                out += [unknown] if unknown else []
                out.append(word[at:end])
                unknown, at = "", end
                break
        else:
            unknown += word[at]
            at += 1
    return out + ([unknown] if unknown else [])


def _plurals(own: Set[str]) -> list[str]:
    """The phrases whose last word stands among them by itself, as one and as many: 'process connections'."""
    many = {word + "s" for word in own if word + "s" in own}
    return [text + "s" for text in own if " " in text and text.rpartition(" ")[2] + "s" in many]


class _Learnt:
    """The words of `heading_words.toml`, in the forms in which they are looked up."""

    def __init__(self, data: dict[str, Any]) -> None:
        self.slot = {name: entry["slot"] for name, entry in data["concept"].items()}
        self.exact: dict[str, set[str]] = {}
        self.phrases: dict[str, set[str]] = {}
        self.starts: list[tuple[str, str]] = []
        self.parts: dict[str, set[str]] = {}
        for concept, entry in data["concept"].items():
            for language, spellings in entry.items():
                if language != "slot":
                    many = _plurals({fold(one) for one in spellings}) if language == "en" else ()
                    for spelling in (*spellings, *many):
                        self._learn(concept, language, spelling)
        self.joined = {fold(word): names for word, names in data["joined"].items()}

    def _learn(self, concept: str, language: str, spelling: str) -> None:
        text = fold(spelling)
        if text.endswith("*"):
            self.starts.append((text[:-1], concept))
            return
        cut = tuple(_WORDS.findall(_APOSTROPHE.sub(" ", text)))
        if len(cut) > 1:
            self.phrases.setdefault(" ".join(cut), set()).add(concept)
            return
        self.exact.setdefault(text, set()).add(concept)
        if language in _COMPOUNDING and len(text) >= _SHORTEST_PART:
            self.parts.setdefault(text, set()).add(concept)

    def all(self) -> dict[str, Any]:
        """Everything, as it is kept."""
        shared: dict[frozenset[str], tuple[str, ...]] = {}

        def few(table: dict[Any, set[str]]) -> dict[Any, tuple[str, ...]]:
            """Most words mean one of few things: each of those is held once."""
            named = ((key, frozenset(names)) for key, names in table.items())
            return {key: shared.setdefault(names, tuple(sorted(names))) for key, names in named}

        whole = [word for word in self.exact if len(word) >= _SHORTEST_GUESS]
        tables = {name: few(getattr(self, name)) for name in ("exact", "phrases", "parts")}
        return vars(self) | tables | {"whole": whole, "sorted": sorted(self.exact)}


class _Lexicon:
    """The words, made ready once."""

    def __init__(self) -> None:
        made = kept("lexicon", ["heading_words"], __file__, lambda: _Learnt(load("heading_words")).all())
        self.slot: dict[str, Slot] = made["slot"]
        self.exact: dict[str, tuple[str, ...]] = made["exact"]
        self.phrases: dict[str, tuple[str, ...]] = made["phrases"]
        self.starts: list[tuple[str, str]] = made["starts"]
        self.parts: dict[str, tuple[str, ...]] = made["parts"]
        """Words that a compound may be made of."""
        self.joined: dict[str, list[str]] = made["joined"]
        self.whole: list[str] = made["whole"]
        self.sorted: list[str] = made["sorted"]

    def _from(self, start: str) -> list[str]:
        """The words that begin so."""
        first = bisect_left(self.sorted, start)
        return self.sorted[first : bisect_left(self.sorted, start + chr(sys.maxunicode), first)]

    def _begun(self, word: str) -> set[str]:
        """Concepts of the words that begin so."""
        return {name for known in self._from(word) for name in self.exact[known]}

    def look(self, word: str) -> tuple[Word, ...]:
        """A single word as the concepts it stands for; a compound gives several."""
        if word in self.joined:
            return tuple(Word(word, frozenset([name])) for name in self.joined[word])
        if word in self.exact:
            return (Word(word, frozenset(self.exact[word])),)
        if word[:1].isdigit() or len(word) == 1:
            return (Word(word, frozenset(["filler"] if word[:1].isdigit() else [])),)
        return self._guess(word)

    @lru_cache(maxsize=8192)  # noqa: B019  (the one lexicon lives as long as the program)
    def _guess(self, word: str) -> tuple[Word, ...]:
        for start, concept in self.starts:
            if word.startswith(start):
                return (Word(word, frozenset([concept])),)
        if cut := self._cut(word):
            return cut
        if len(word) >= _SHORTEST_PREFIX:
            strong = {name for name in self._begun(word) if self.slot[name] != "foreign"}
            if 0 < len(strong) <= _MEANINGS:
                return (Word(word, frozenset(strong), ABBREVIATED),)
        return (self._spelt_like(word),)

    def _spelt_like(self, word: str) -> Word:
        if len(word) < _SHORTEST_GUESS or _is_unwritten(word):
            return Word(word, frozenset())
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        slips = 1 if len(word) < _LONG_WORD else 2
        near = process.extractOne(word, self._from(word[0]), scorer=OSA.distance, score_cutoff=slips)
        if near is not None:  # few words come so far as to be compared with all
            near = process.extractOne(word, self.whole, scorer=OSA.distance, score_cutoff=slips)
        if near is None or near[0][0] != word[0]:
            return Word(word, frozenset())
        return Word(word, frozenset(self.exact[near[0]]), MISSPELT)

    def _cut(self, word: str) -> tuple[Word, ...]:
        """A compound as its parts, if all of them are known."""
        if len(word) < 2 * _SHORTEST_PART:
            return ()
        for end in range(len(word) - _SHORTEST_PART, _SHORTEST_PART - 1, -1):
            head = self._part(word[:end])
            if head is None:
                continue
            tail = self._part(word[end:]) or self._cut(word[end:])
            if tail:
                return (*head, *tail)
        return ()

    def _part(self, text: str) -> tuple[Word, ...] | None:
        for link in _LINKS:
            stem = text.removesuffix(link) if link else text
            if len(stem) < _SHORTEST_PART:
                continue
            if stem in self.joined:
                return tuple(Word(stem, frozenset([name]), COMPOUND) for name in self.joined[stem])
            if stem in self.parts:
                return (Word(stem, frozenset(self.parts[stem]), COMPOUND),)
        return None


@cache
def lexicon() -> _Lexicon:
    """The words, read once."""
    return _Lexicon()


def slots() -> Mapping[str, Slot]:
    """Concept -> what kind of word it is."""
    return lexicon().slot


@lru_cache(maxsize=65536)
def words_of(text: str) -> tuple[Word, ...]:
    """The words of a text, phrases as one."""
    cut, known = tokens(text), lexicon()
    out: list[Word] = []
    at = 0
    while at < len(cut):
        for length in range(min(_LONGEST_PHRASE, len(cut) - at), 1, -1):
            concepts = known.phrases.get(" ".join(cut[at : at + length]))
            if concepts is not None:
                out.append(Word(" ".join(cut[at : at + length]), frozenset(concepts)))
                at += length
                break
        else:
            out += known.look(cut[at])
            at += 1
    return tuple(out)


@lru_cache(maxsize=65536)
def telling(text: str) -> bool:
    """Whether a text holds a word by which columns are told apart."""
    return any(any(slots()[name] not in ("weak",) for name in word.concepts) for word in words_of(text))


def concepts_of(text: str) -> set[str]:
    """All that the words of a text may stand for."""
    return {name for word in words_of(text) for name in word.concepts}


def says_normal_level(text: str) -> bool:
    """Whether a heading names the normal level, in one term or in two words."""
    said = concepts_of(text)
    return "process_level_n" in said or said >= {"normal", "level"}


@lru_cache(maxsize=4096)
def names_subject(word: str) -> bool:
    """Whether a word names a thing, such as a float, to which quantities belong."""
    return any(slots()[name] == "subject" for name in lexicon().exact.get(fold(word), ()))
