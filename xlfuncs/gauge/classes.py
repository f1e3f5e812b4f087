"""What a cell says of a flange's rating: a class of ASME B16.5, a PN, a rating of JIS, or no flange.

Written in every way that lists use ('2" 150# RF', 'Kl. 300', 'DN50 PN40', 'JIS 10K'); two ratings in one
cell, a pressure, or a step that no standard has are not decided.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from xlfuncs.data import load
from xlfuncs.gauge.materials import LOOKALIKE, normal

ASME, PN, JIS, NONE = "asme", "pn", "jis", "none"
"""Systems of flange ratings; `NONE`: threaded, welded or clamped ends."""


@dataclass(frozen=True, slots=True)
class Rating:
    """A flange's rating: its system and its number (0 for `NONE`)."""

    system: str
    number: float = 0.0

    def __str__(self) -> str:
        number = f"{self.number:g}"
        return {ASME: f"class {number}", PN: f"PN {number}", JIS: f"JIS {number}K", NONE: "no flange"}[
            self.system
        ]


_GRADE: Final = re.compile(r"(?<!\w)\d{2}[хx]\d{1,2}[а-яa-z0-9]*(?!\w)", re.IGNORECASE)
"""A chromium steel by GOST ('12Х18Н10Т'), which may stand behind a rating."""


@lru_cache(maxsize=4096)
def read(text: str | float) -> Rating | None:
    """The one rating that a cell states; None where it states none, or several.

    Of two ratings none is taken, unless the PN is the name of the class: 'Class 150 (PN20)'. A number alone
    is a class from 150 on, a PN for 16, 25 and 40.

    >>> str(read('2" 150# RF')), str(read("DN50 PN40")), str(read("JIS 10K")), str(read('3/4" NPT'))
    ('class 150', 'PN 40', 'JIS 10K', 'no flange')
    >>> read("Class 150 / 300"), read("150 psig"), str(read(300)), str(read("16"))
    (None, None, 'class 300', 'PN 16')
    """
    plain = normal(f"{text:g}" if isinstance(text, (int, float)) else text)
    plain = _DIN.sub(_pn_of_din, _THOUSANDS.sub(r"\1\2", plain))
    flangeless = _flangeless(plain)
    for pattern in (_standards(), _sizes(), _pressures(), _GRADE):
        plain = pattern.sub(" ; ", plain)
    explicit = list(_explicit(plain))
    rest = _LEADING_SIZE.sub("", plain) if explicit else plain
    for pattern, _ in _forms():
        rest = pattern.sub(" ; ", rest)
    if not explicit:
        return _bare(rest) if not flangeless else None if _a_class(rest) else Rating(NONE)
    if any(explicit) and _threaded(plain):
        return None
    if not any(explicit) and flangeless:
        return Rating(NONE)  # '3/4" 3000# SW': a class of forged fittings
    if None in explicit or re.search(r"\d", rest):
        return None
    return _one(explicit)


def _one(stated: list[Rating | None]) -> Rating | None:
    """The rating that all of these state; a class for a PN that only names one."""
    ratings = {rating for rating in stated if rating is not None}
    classes = {_class_of(rating) for rating in ratings}
    only_names = len(ratings) > 1 or not any(
        rating.system != PN or rating.number in load("flange_ratings")[PN]["numbers"] for rating in ratings
    )
    if only_names and len(classes) == 1 and (number := classes.pop()) is not None:
        return Rating(ASME, number)
    return ratings.pop() if len(ratings) == 1 else None


def _class_of(rating: Rating) -> float | None:
    """Class of ASME B16.5 that a rating is or names."""
    if rating.system == ASME:
        return rating.number
    names: dict[str, float] = load("flange_words")["pn"]["class"]
    return names.get(f"{rating.number:g}") if rating.system == PN else None


# --- forms ------------------------------------------------------------------------------------------


def _listed(*patterns: str) -> re.Pattern[str]:
    return re.compile("|".join(f"(?:{pattern})" for pattern in patterns).translate(LOOKALIKE))


def _either(words: list[str]) -> str:
    return "|".join(re.escape(normal(word)) for word in sorted(words, key=len, reverse=True))


@cache
def _standards() -> re.Pattern[str]:
    return _listed(*load("flange_words")["standards"]["patterns"])


@cache
def _sizes() -> re.Pattern[str]:
    return _listed(
        *(
            rf"(?<![A-Z0-9.])(?:(?<!\d/)(?=\d)|(?!\d)){form}"
            for form in load("flange_words")["sizes"]["patterns"]
        )
    )


@cache
def _pressures() -> re.Pattern[str]:
    return _listed(*load("flange_words")["pressures"]["patterns"])


_THOUSANDS = re.compile(r"(?<![\d.,])([12]),(500)(?=\s*(?:#|LBS?\b|RTJ|RF|$))")
_DIN = re.compile(r"(?<![A-Z])DIN\s*(\d{4})(?![\d-])")


def _pn_of_din(match: re.Match[str]) -> str:
    """The PN of a DIN standard for flanges of one PN; any other standard as it was."""
    number = load("flange_words")[PN]["din"].get(match[1])
    return f" PN {number} " if number else match[0]


_LEADING_SIZE = re.compile(r"^\s*\d{1,2}(?:[ -]\d/\d|/\d)?[\s,-]+(?=\d{3,4}\s*(?:#|LBS?\b)|#|CL|PN)")


@cache
def _forms() -> list[tuple[re.Pattern[str], str]]:
    """How ratings are marked as such, with their system."""
    words = load("flange_words")
    before, after = (_either(words[ASME][side]) for side in ("before", "after"))
    number = r"(?P<n>\d+(?:[.,]\d+)?)"
    return [
        (
            re.compile(rf"(?<![A-Z])(?:{_either(words[PN]['before'])})[\s.:=-]*{number}\s*(?P<mpa>M[PП]A)?"),
            PN,
        ),
        (
            re.compile(
                r"(?<![A-Z])(?:JIS|KS)[\s-]*(?P<n>\d+)\s*(?:K(?:GF?)?(?:\s*/\s*CM2)?)?(?![A-Z\d])(?:-\d{2,3})?"
                r"|(?<![A-Z\d.,])(?P<m>\d+)\s*K(?![A-Z])(?:-\d{2,3})?"
            ),
            JIS,
        ),
        (
            re.compile(
                rf"(?<![A-Z])(?:(?:{before})[\s.:,-]*)+#?[\s]*(?P<n>\d{{2,4}})(?!\d)\s*(?:#|(?:{after})\b\.?)?"
            ),
            ASME,
        ),
        (
            re.compile(
                rf"#\s*(?P<n>\d{{2,4}})(?!\d)|(?<!\d)(?P<m>\d{{2,4}})\s*(?:#|(?:{after})(?![A-Z])\.?)"
            ),
            ASME,
        ),
    ]


def _explicit(plain: str) -> Iterator[Rating | None]:
    """Every rating that is marked as such; None for a step that its standard does not have."""
    for pattern, system in _forms():
        for match in pattern.finditer(plain):
            found = match.groupdict()
            number = float((found["n"] or found["m"]).replace(",", "."))
            number *= 10.0 if found.get("mpa") else 1.0
            known = load("flange_words")[system]["numbers"]
            if match[0].startswith("ND"):  # in French a diameter: only as steps of EN 1333
                known = load("flange_ratings")[PN]["numbers"]
            yield Rating(system, number) if number in known else None
        plain = pattern.sub(" ; ", plain)


def _a_class(rest: str) -> bool:
    """Whether a number of a class stands there unmarked."""
    return any(float(number) in load("flange_words")[ASME]["numbers"] for number in re.findall(r"\d+", rest))


def _bare(rest: str) -> Rating | None:
    """A number alone, or with words of facings."""
    numbers = re.findall(r"\d+(?:[.,]\d+)?", rest)
    words = set(re.findall(r"[^\W\d]+", rest.replace(".", "")))
    if len(numbers) != 1 or not words <= _facings():
        return None
    number = float(numbers[0].replace(",", "."))
    systems = load("flange_words")["bare"]
    return next((Rating(system, number) for system in (ASME, PN) if number in systems[system]), None)


@cache
def _facings() -> set[str]:
    return {normal(word).replace(".", "") for word in load("flange_words")["facings"]["words"]}


@cache
def _flangeless_words() -> tuple[re.Pattern[str], re.Pattern[str]]:
    words = load("flange_words")["none"]
    ends = _listed(rf"(?<![^\W_])(?:{_either(words['words'])})(?![^\W_])", *words["patterns"])
    return ends, re.compile(rf"(?<![^\W_])(?:{_either(words['flanges'])})(?![^\W_])")


@cache
def _thread_words() -> re.Pattern[str]:
    return re.compile(rf"(?<![^\W_])(?:{_either(load('flange_words')['none']['threads'])})(?![^\W_])")


def _threaded(plain: str) -> bool:
    """Whether a thread is stated and neither a flange nor its facing: the class is one of fittings."""
    facing = re.search(r"(?<![A-Z])(?:RF|FF|RTJ|RJ|R\.F\.)(?![A-Z])", plain)
    flange = _flangeless_words()[1].search(plain)
    return _thread_words().search(plain) is not None and not facing and not flange


def _flangeless(plain: str) -> bool:
    """Whether threaded, welded or clamped ends are stated, and no flange."""
    ends, flanges = _flangeless_words()
    return ends.search(plain) is not None and flanges.search(plain) is None
