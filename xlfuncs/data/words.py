"""Words in cells that decide something: yes or no, level or interface, the shape of an end, no value yet."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from functools import cache, lru_cache
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load


def _pattern(meaning: str) -> re.Pattern[str]:
    return pattern_of(tuple(load("words")[meaning]["words"]))


@cache
def pattern_of(words_: tuple[str, ...]) -> re.Pattern[str]:
    """A pattern of whole words, or beginnings of words where they end in '*'."""
    parts = []
    for open_ended, words in groupby(words_, lambda word: word.endswith("*")):
        either = "|".join(re.escape(word.removesuffix("*")) for word in words)
        parts.append(either if open_ended else rf"(?:{either})(?!\w)")
    return re.compile(rf"(?<!\w)(?:{'|'.join(parts)})", re.IGNORECASE)


@lru_cache(maxsize=16384)
def means(text: str, meaning: str) -> bool:
    """Whether a text says `meaning`, a block of `data/words.toml`. A sheet asks the same six times over.

    The same as a search for its pattern, which would take longer to compile than an ordinary list to read.
    """
    small = _small(text)
    words = _words(meaning)
    if not any(map(small.__contains__, words)):  # most texts: no step of Python for each word
        return False
    return any(word in small and _stands(small, word, open_ended) for word, open_ended in words.items())


@cache
def _words(meaning: str) -> dict[str, bool]:
    """Word of a block, and whether it is the beginning of words."""
    words = [_small(word) for word in load("words")[meaning]["words"]]
    whole = dict.fromkeys((word for word in words if not word.endswith("*")), False)
    return whole | dict.fromkeys((word.removesuffix("*") for word in words if word.endswith("*")), True)


_ONE_LETTER = str.maketrans("ıİſς", "iisσ")
"""Turkish dotless and dotted i, long s, the last sigma of a word: the same without case."""


def _small(text: str) -> str:
    if text.isascii():
        return text.lower()
    return text.translate(_ONE_LETTER).lower().translate(_ONE_LETTER)


def _stands(text: str, word: str, open_ended: bool) -> bool:
    """Whether a word stands in a text, not in the middle of another one."""
    at = text.find(word)
    while at >= 0:
        end = at + len(word)
        if not _in_word(text[at - 1 : at]) and (open_ended or not _in_word(text[end : end + 1])):
            return True
        at = text.find(word, at + 1)
    return False


def _in_word(letter: str) -> bool:
    return letter.isalnum() or letter == "_"


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


# --- cells that hold no value, or refer to one --------------------------------------------------------


def fold(text: str) -> str:
    """Lower case, without accents, one kind of space."""
    if text.isascii():
        return " ".join(text.lower().split())
    plain = unicodedata.normalize("NFKD", text).casefold()
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())


def listed(block: str) -> list[str]:
    """The words of a block of `data/cell_words.toml`, of every language."""
    return [word for words in load("cell_words")[block].values() for word in words]


@cache
def _folded(block: str) -> frozenset[str]:
    return frozenset(map(fold, listed(block)))


_LONGEST_WORD = 30
_LONGEST_REMARK = 80
"""Characters of a text that stands for no value; a longer one may say something."""
_OUTSIDE = " ()[]{}<>*!\"'"
"""What may stand around such a word."""
_COUNTED = re.compile(r"[\s\-#(]*(?:no\.?|nr\.?)?\s*\d{1,3}\)?$")
"""The number of a hold or a note."""
_PART = re.compile(r"(?P<stem>[^\W\d_]{1,4})-\d{1,3}")
"""'ND-77': what could be a part's number as well as an abbreviation and that of a note."""
_OF_PART = frozenset({"hold", "note", "wait", "ask"})
"""Words that are no letters of a part."""
_FURTHER = 10
"""From here a number behind a hyphen is hardly that of a note (common practice, no source)."""
_VALUE = re.compile(r"(?<![\w&/.-])[~<>]?\d[\d.,]*\s?[^\W\d_°%]+/?|\d[.,]\d|\d\s?[%°\"]")
"""Something like a value with its unit, or a decimal."""


@cache
def _starts(block: str) -> re.Pattern[str]:
    words = sorted(_folded(block), key=len, reverse=True)
    parts = (re.escape(word) + (r"(?!\w)" if word.isascii() and word[-1].isalnum() else "") for word in words)
    return re.compile("|".join(parts))


_BLOCKS = {
    False: ("not_known", "elsewhere"),
    True: ("not_known", "no_number", "no_such", "not_known_start", "answer", "elsewhere", "elsewhere_start"),
}


@cache
def _heads(number: bool) -> frozenset[str]:
    """How the words of a column begin: most texts begin otherwise, and need no closer look."""
    return frozenset(word.lstrip(_OUTSIDE)[:2] for block in _BLOCKS[number] for word in _folded(block))


def _plain(text: str, number: bool) -> str:
    """A text made comparable; "" for one that is no word of these lists."""
    if len(text) > (_LONGEST_REMARK if number else _LONGEST_WORD):
        return ""
    plain = fold(text)
    head = plain.lstrip(_OUTSIDE)[:2]
    return plain if head in _heads(number) or head[:1] in _heads(number) else ""


def not_known(text: str, number: bool) -> bool:
    """Whether a cell stands for 'not known yet', or for none; `number`: a number belongs into its column."""
    plain = _plain(text, number)
    return plain != "" and _not_known(plain, number)


def _not_known(plain: str, number: bool) -> bool:
    for shown in (plain, plain.strip(_OUTSIDE), plain.strip(_OUTSIDE + ".")):
        if shown in _folded("not_known"):
            return True
        if number and (shown in _folded("no_number") or shown in _folded("no_such")):
            return True
    shown = plain.strip(" ()[]*!.")
    counted = _COUNTED.search(shown)
    if counted and shown[:1].isalpha() and shown[: counted.start()].rstrip(" .") in _folded("not_known"):
        return True
    return number and _starts("not_known_start").match(shown) is not None and not _VALUE.search(shown)


def parts_in(texts: Collection[str]) -> set[str]:
    """The texts of a column of names that look like 'not known, note 77' and are numbers of parts ('ND-77').

    A number too high for that of a note tells, or another part that has the same letters ('ND-77B').
    """
    found = {text: match for text in texts if (match := _PART.fullmatch(text.strip()))}
    could = {text: match["stem"] for text, match in found.items() if fold(match["stem"]) not in _OF_PART}
    told = {stem for text, stem in could.items() if int(text.rpartition("-")[2]) >= _FURTHER}
    others = (match["stem"] for text in texts if text not in could and (match := _LONGER.match(text.strip())))
    told.update(others)
    return {text for text, stem in could.items() if stem in told}


_LONGER = re.compile(r"(?P<stem>[^\W\d_]{1,4})-\d+\S")


def tells_no_value(text: str, number: bool) -> bool:
    """Whether a cell holds no value: not known, or only a word that sends the reader elsewhere."""
    plain = _plain(text, number)
    if not plain:
        return False
    if _not_known(plain, number):
        return True
    shown = plain.strip(_OUTSIDE + ".")
    if shown in _folded("elsewhere") or not number:
        return shown in _folded("elsewhere")
    return shown in _folded("answer") or _starts("elsewhere_start").match(shown) is not None


def tells_none(text: str) -> bool:
    """Whether a cell says that there is no such thing: a dash, 'n/a', 'none'."""
    shown = fold(text)
    return shown in _folded("no_such") or shown.strip(_OUTSIDE) in _folded("no_such")


def is_ditto(text: str) -> bool:
    """Whether a cell stands for the value of the cell above it."""
    return text.strip().casefold() in _dittos()


def dittos_in(texts: Collection[str]) -> set[str]:
    """Those of many texts that are ditto marks."""
    if _dittos().isdisjoint(map(str.casefold, map(str.strip, texts))):
        return set()
    return set(filter(is_ditto, texts))


@cache
def _dittos() -> frozenset[str]:
    return frozenset(word.casefold() for word in listed("ditto"))


def is_ambient(text: str) -> bool:
    """Whether a text is 'ambient', which tells no temperature."""
    return fold(text).strip(" ()") in _folded("ambient")
