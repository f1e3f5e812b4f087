"""Tags and instrument types: which rows of a list are magnetic float gauges."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from functools import cache, lru_cache
from typing import Any, Final

from xlfuncs.data import load
from xlfuncs.lists.lines import lines_of, match_all
from xlfuncs.spreadsheet.grid import AT_ONCE
from xlfuncs.vocabulary.words import fold

_DIGIT: Final = re.compile(r"\d")
_LETTER_GROUPS: Final = re.compile(r"(?<![A-Z])[A-Z]{1,5}(?![A-Z])")
_TAG_SHAPE: Final = re.compile(r"^(?=.*[A-Za-z])(?=.*\d)[A-Za-z0-9][\w./\\#&+, \-–()]{0,59}$")
_ASPECTS: Final = "=+-"
"""What a designation by IEC 81346-1 begins with: function, location, product."""
_LIKE: Final = re.compile(
    r"(?i)^(?:\w{1,8}[-_/. ]{1,2}){0,3}\d{0,4}[a-z]{1,6}[-_/. ]{0,2}\d{1,8}(?:[-_/. ]?[a-z0-9]{1,4}){0,3}$"
)
_PLAIN: Final = re.compile(r"(?:\d{1,5}-)?([A-Za-z]{1,5})-?\d{1,6}[A-Za-z]?")
"""Most tags; the others are looked at more closely."""
_PLAIN_LINES: Final = lines_of(_PLAIN.pattern)
_USUAL_LINES: Final = lines_of(r"[A-Za-z]{1,3}-?\d{2,6}[A-Za-z]?")
"""Those among them that need no other look."""
_JOINERS: Final = re.compile(
    r"\s*(?:[,;&+\n]|/(?=\s*(?:\w{1,6}-)?[A-Za-z]{1,5}[-_. ]?\d)|\band\b|\bund\b|\bet\b|\by\b)\s*",
    re.IGNORECASE,
)
_SLASHED: Final = re.compile(
    r"^(?P<stem>.*?[A-Za-z].*?\d)\s?(?P<first>[A-Z]?)\s*(?P<more>(?:/\s*(?:[A-Z]|\d{1,6}[A-Z]?)\s*)+)$",
    re.IGNORECASE,
)
_THROUGH: Final = re.compile(
    r"^(?P<stem>.*\d)\s*(?P<first>[A-Z])\s*(?:-|–|to|\.\.+)\s*(?P<last>[A-Z])$", re.IGNORECASE
)


_FROM_TO: Final = re.compile(
    r"^(?P<stem>[^,;&\n]*?[A-Za-z][-_. ]?)(?P<first>\d{2,6})\s*"
    r"(?:\b(?:thru|through|to|bis|tot|t/m|do|til|s/d|sampai|al|ila|până la)\b|[至到～]|\.\.+|…|~)\s*"
    r"(?:(?P=stem))?(?P<last>\d{1,6})$",
    re.IGNORECASE,
)
_MOST_IN_ROW: Final = 60
"""Tags that a cell may count out from one to another."""


@cache
def _table() -> dict[str, Any]:
    return load("instruments")


@cache
def _gauge_letters() -> frozenset[str]:
    return frozenset(_table()["letters"]["gauge"])


@cache
def _perhaps_letters() -> frozenset[str]:
    return frozenset(_table()["letters"]["perhaps"])


@cache
def _section_words() -> frozenset[str]:
    return frozenset(fold(word) for word in _table()["cells"]["section"])


def are_plain(texts: Sequence[str]) -> list[bool]:
    """Which texts are one tag of the usual shape ('LG-1201', '23-LG-96184A')."""
    return _each(texts, _PLAIN_LINES, lambda text: _PLAIN.fullmatch(text) is not None)


def are_tags(texts: Sequence[str]) -> list[bool]:
    """`is_tag` for each of many."""
    return _each(texts, _USUAL_LINES, is_tag)


def _each(texts: Sequence[str], lines: re.Pattern[str], test: Callable[[str], bool]) -> list[bool]:
    """A test for each of many texts, of which those that match `lines` pass it."""
    out: list[bool] = []
    for at in range(0, len(texts), AT_ONCE):
        some = texts[at : at + AT_ONCE]
        out += [True] * len(some) if match_all(lines, some) else map(test, some)
    return out


def is_tag(text: str) -> bool:
    """Whether a text has the shape of a tag: letters and a number, and no word such as 'AREA'."""
    plain = _PLAIN.fullmatch(text)
    if plain is not None and text[0].isalpha():
        return len(text) > 2 and (len(plain[1]) < 4 or plain[1].lower() not in _section_words())
    return _is_tag(text)


_FLANGE: Final = re.compile(r"DN\s?\d{1,4}\s*[/,-]?\s*PN\s?\d", re.IGNORECASE)
"""'DN25 PN16' is the size and the rating of a flange."""


@lru_cache(maxsize=65536)
def _is_tag(text: str) -> bool:
    text = text.strip()
    if text[:1] in _ASPECTS and len(text) > 6:
        text = text[1:].lstrip(_ASPECTS)
    if len(text) < 3 or not _TAG_SHAPE.match(text) or _FLANGE.match(text):
        return False
    first = re.match(r"[^\W\d_]+", text)
    if first is not None and fold(first[0]) in _section_words():
        return False
    return all(_LIKE.match(part.strip()) is not None for part in split_tags(text))


def is_designation(text: str) -> bool:
    """Whether a tag begins as a reference designation by IEC 81346-1 does ('=K1.A2-BL01')."""
    return text.startswith(tuple(_ASPECTS))


def split_tags(text: str) -> tuple[str, ...]:
    """The tags of a cell: 'LT-002A/B/C' is LT-002A, LT-002B and LT-002C."""
    return (text,) if _PLAIN.fullmatch(text) else _split_tags(text)


@lru_cache(maxsize=65536)
def _split_tags(text: str) -> tuple[str, ...]:
    text = text.strip()
    if not any(mark in text for mark in ",;&+\n/–") and " " not in text and not text[-1:].isalpha():
        return (text,)
    if len(counted := _counted(text)) > 1:
        return tuple(counted)
    out: list[str] = []
    for piece in filter(None, _JOINERS.split(text)):
        out += _slashed(piece.strip(), out[-1] if out else "")
    return tuple(dict.fromkeys(out)) or (text,)


def numbered(texts: Iterable[str]) -> frozenset[str]:
    """The tags that end in their own number within a loop: 'LG-301/2' where 'LG-301/1' stands too."""
    ends: dict[str, set[str]] = {}
    for text in texts:
        if (found := _NUMBERED.fullmatch(text)) is not None:
            ends.setdefault(found["stem"], set()).add(found["number"])
    return frozenset(f"{stem}/{one}" for stem, found in ends.items() if "1" in found for one in found)


_NUMBERED: Final = re.compile(r"(?P<stem>.*[A-Za-z].*\d)/(?P<number>\d)")


def _slashed(piece: str, before: str) -> list[str]:
    if before and not re.search(r"[A-Za-z].*\d", piece):
        return [_like(before, piece)]
    if len(counted := _counted(piece)) > 1:
        return counted
    through = _THROUGH.match(piece)
    if through is not None and through["first"].upper() < through["last"].upper():
        letters = range(ord(through["first"]), ord(through["last"]) + 1)
        if len(letters) <= 12 and through["first"].isupper() == through["last"].isupper():
            return [through["stem"] + chr(letter) for letter in letters]
    found = _SLASHED.match(piece)
    if found is None:
        return [piece]
    if not found["first"]:
        more = found["more"].replace("/", " ").split()
        if all(letter.isalpha() for letter in more):  # 'LG-101/A/B'; 'LG-101/B' alone is one tag
            return [found["stem"] + letter for letter in more] if len(more) > 1 else [piece]
    tags = [(found["stem"] + found["first"]).strip()]
    for more in found["more"].split("/")[1:]:
        tags.append(_like(tags[-1], more.strip()))
    return tags


def _counted(piece: str) -> list[str]:
    """'LG-3101 thru 3104', one by one; nothing where it is no such row of numbers."""
    found = _FROM_TO.match(piece)
    if found is None:
        return []
    first, last = found["first"], found["last"]
    numbers = range(int(first), int(first[: len(first) - len(last)] + last) + 1)
    tags = [f"{found['stem']}{number:0{len(first)}}" for number in numbers[: _MOST_IN_ROW + 1]]
    return tags if len(tags) <= _MOST_IN_ROW else []


def _like(tag: str, ending: str) -> str:
    """The tag that differs from another in its last letter or its last digits."""
    if ending.isalpha():
        stem = tag[:-1] if tag[-1:].isalpha() else tag
        return stem + ending
    digits = re.search(r"\d+[A-Za-z]?$", tag)
    if digits is None:
        return ending
    body = tag[: digits.start()]
    number = re.match(r"\d+", digits[0])
    own = re.match(r"\d+", ending)
    if number and own and len(own[0]) < len(number[0]):
        body += number[0][: len(number[0]) - len(own[0])]
    return body + ending


def letters_of(tag: str) -> str:
    """The function letters of a tag ('23-LG-96184' gives LG), "" if it has none.

    With several groups of letters the one before the loop number counts, unless another names a level
    gauge.
    """
    plain = _PLAIN.fullmatch(tag)
    if plain is not None and tag[0].isalpha():
        return plain[1].upper()
    return _letters_of(tag)


@lru_cache(maxsize=65536)
def _letters_of(tag: str) -> str:
    groups = list(_LETTER_GROUPS.finditer(tag.upper()))
    if not groups:
        return ""
    for found in groups:
        if found[0] in _gauge_letters():
            return found[0]
    before = [found for found in groups if re.match(r"[-_/. ]{0,2}\d", tag[found.end() :])]
    named = [found for found in before if len(found[0]) > 1]  # 'B' of '23-PT-92501B-11' is a suffix
    return (named or before or groups)[-1 if before else 0][0]


@lru_cache(maxsize=65536)
def type_of(text: str, letters: str = "") -> str:
    """What a description says: "magnetic", "glass", "other", "level" or "". `letters` are those of
    the row's tag."""
    plain = fold(text)
    types = _table()["types"]
    if other_instrument(letters) and any(word in plain for word in types["never"]):
        return "other"
    for kind in ("magnetic", "glass", "other"):
        if any(word in plain for word in types[kind]):
            return kind
    if not is_gauge(letters) and any(word in plain for word in types["other_by_letters"]):
        return "other"
    return "level" if plain and mentions_level(text) else ""


def mentions_level(text: str) -> bool:
    """Whether a title or a type is about level gauges."""
    words = set(re.findall(r"[^\W\d_]+", fold(text)))
    return any(
        word in words or (len(word) > 4 and any(word in other for other in words))
        for word in _table()["types"]["level"]
    )


@lru_cache(maxsize=65536)
def mentions_glass(text: str) -> bool:
    """Whether a text that is no type (a remark, a title) says that a gauge is a level glass."""
    plain = fold(text)
    types = _table()["types"]
    return any(word in plain for word in types["glass_elsewhere"]) and not any(
        word in plain for word in types["magnetic"]
    )


_FOOTNOTE: Final = re.compile(
    r"(?:\s*[*†‡§¹²³⁴⁵⁶⁷⁸⁹#]|\s+[(\[]\d{1,2}[)\]]|\s*[(\[]?\bnotes? ?\d{1,2}[)\]]?)+$", re.IGNORECASE
)
_DASHES: Final = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))


@lru_cache(maxsize=65536)
def clean(text: str) -> str:
    """A tag with plain hyphens and without footnote marks."""
    return _FOOTNOTE.sub("", text.translate(_DASHES)).strip() if len(text) <= 80 else text


@lru_cache(maxsize=8192)
def says_no_float(text: str) -> bool:
    """Whether the float column says that there is none."""
    return fold(text).strip(" .()") in {fold(word) for word in _table()["types"]["no_float"]}


def perhaps_gauge(letters: str) -> bool:
    """Letters that name a level gauge only where something else says so."""
    return letters in _perhaps_letters()


def is_gauge(letters: str) -> bool:
    """Letters that name a level gauge."""
    return letters in _gauge_letters()


@lru_cache(maxsize=65536)
def is_gauge_tag(text: str) -> bool:
    """Whether a text is the tag of a level gauge."""
    return is_tag(text) and is_gauge(letters_of(text))


def other_instrument(letters: str) -> bool:
    """Letters that name an instrument other than a level gauge, its transmitter or switch, or a machine.

    Any first letter but L measures another variable (ISA-5.1 uses or leaves to the user every letter).
    """
    if not letters or is_gauge(letters) or perhaps_gauge(letters):
        return False
    return len(letters) <= 4 or (len(letters) == 5 and letters[-2:] in ("HH", "LL"))


@cache
def _tag_patterns() -> tuple[re.Pattern[str], ...]:
    return tuple(re.compile(text, re.IGNORECASE) for text in _table()["cells"]["tag_patterns"])


@lru_cache(maxsize=8192)
def is_sample_tag(text: str) -> bool:
    """Whether a tag only shows how to fill in the sheet ('XX-LG-XXXX')."""
    return any(pattern.match(text.strip()) for pattern in _tag_patterns())


@lru_cache(maxsize=8192)
def ends_list(text: str) -> bool:
    """Whether a text begins a total or a note."""
    plain = fold(text)
    first = re.match(r"[^\W\d_]+(?: [^\W\d_]+)?", plain)
    if first is None:
        return False
    word = first[0].split()[0]
    cells = _table()["cells"]
    totals = _totals()
    return plain.strip(" :.") in totals or first[0] in totals or word in totals or word in cells["note"]


@cache
def _totals() -> frozenset[str]:
    return frozenset(map(fold, _table()["cells"]["total"]))


@cache
def _switches() -> dict[str, str]:
    return {letters: name for name, every in _table()["letters"]["switch"].items() for letters in every}


def switch_field(letters: str) -> str:
    """'LSH' gives switch_lsh; "" for letters that are no switch."""
    return _switches().get(letters, "")


def is_transmitter(letters: str) -> bool:
    return letters in _table()["letters"]["transmitter"]


def is_loop_part(letters: str) -> bool:
    """Letters of a transmitter or switch, which may belong to a gauge of the same loop."""
    return is_transmitter(letters) or letters in _switches()


@lru_cache(maxsize=65536)
def loop_of(tag: str) -> str:
    """The tag without its function letters: LT-1201 and LG-1201 are of one loop, as 31LT501 and 31-LG-501."""
    letters = letters_of(tag)
    text = point_of(tag.upper())
    if letters:
        text = re.sub(rf"(?<![A-Z]){letters}(?![A-Z])", "-", text, count=1)
    return re.sub(r"[-_/. ]+", "-", text).strip("-")


def digits_of(tag: str) -> str:
    """The digits of a tag, which all tags of a loop have in common."""
    return _NO_DIGITS.sub("", tag)


_NO_DIGITS: Final = re.compile(r"\D+")


def point_of(tag: str) -> str:
    """A tag without what a control system adds to it."""
    return _POINT.sub("", tag.strip().upper())


_POINT: Final = re.compile(r"(?:\.(?:PV|DACA|PIDA|MEAS|OUT|SP|OP))+$")
"""What a control system adds to the tag of a point (from memory)."""


@lru_cache(maxsize=8192)
def says_deleted(text: str) -> bool:
    """Whether a remark says that the row no longer counts."""
    plain = fold(text)
    return any(plain.startswith(word) for word in _table()["cells"]["deleted"])


SERIAL_SIGNS: Final = re.compile(r"[^0-9a-z\n]+")
"""What does not count in a serial number; its letters are small."""


def bare_serial(text: str) -> str:
    """A serial number (or lines of them) as two are compared: letters and digits alone."""
    return SERIAL_SIGNS.sub("", text.casefold())
