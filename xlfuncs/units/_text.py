"""Typography of cells: one plain form for the many ways to type a minus, a space or a degree sign."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

FOOTNOTE: Final = "†"
"""Stands for every superscript that is no exponent."""

_SUPERSCRIPT: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_POWER_OF_TEN: Final = re.compile(r"\s*[x×·*]\s*10\s*(?:\^\s*([+-]?\d+)|([⁺⁻]?[⁰¹²³⁴-⁹]+))")
_BARE_POWER: Final = re.compile(r"(?<![\d.,])10(?=[⁺⁻⁰¹²³⁴-⁹])")
"""A footnote to 10 or a power of ten; it is left unreadable."""
_EXPONENT: Final = re.compile(r"(?<=[^\W\d_])([⁺⁻]?[⁰²³⁴-⁹]|⁻¹)")
_MARK: Final = re.compile(r"[⁺⁻⁰¹²³⁴-⁹]+")
_MOJIBAKE: Final = re.compile("Â(?=[°²³µ·±¼½¾º])")
"""What is left of a character of two bytes that was read as two."""
_VULGAR: Final = re.compile(r"[¼½¾⅐-⅞]")
_THIN: Final = re.compile("(?<=\\d)[\u2007\u2008\u2009\u200a\u202f\u066c](?=\\d{3}(?!\\d))")
"""A space that is set between groups of digits and nowhere else, and the Arabic mark between them."""

_CHARACTERS: Final = {
    **dict.fromkeys(map(ord, "\u00ad\u200b\u200c\u200d\u200e\u200f\u061c\u2060\ufeff"), None),
    **dict.fromkeys(map(ord, "‐‑‒–—―−﹣－"), "-"),
    **dict.fromkeys(map(ord, "º˚"), "°"),
    **dict.fromkeys(map(ord, "″”“„‟〃＂"), '"'),
    **dict.fromkeys(map(ord, "′’‘‛´`ʹʼ"), "'"),
    **dict.fromkeys(map(ord, "×"), "x"),
    **dict.fromkeys(map(ord, "·⋅∙•‧・･"), "·"),
    **dict.fromkeys(map(ord, "〜～∼˜"), "~"),
    ord("∕"): "/",
    ord("٫"): ".",
    ord("≦"): "≤",
    ord("≧"): "≥",
    ord("、"): ",",
}
_ALIKE: Final = "АВЕЅІЈКМНОРСТУХаеѕіјорсухΑΒΕΖΗΙΚΜΝΟΡΤΥΧο"
"""Cyrillic and Greek letters that look like Latin ones."""
_LATIN: Final = str.maketrans(_ALIKE, "ABESIJKMHOPCTYXaesijopcyxABEZHIKMNOPTYXo")
_MIXED: Final = re.compile(
    rf"(?<![^\W\d_])(?=[{_ALIKE}]*[A-Za-z])(?=[A-Za-z]*[{_ALIKE}])[A-Za-z{_ALIKE}]+(?![^\W\d_])"
)
"""A word of Latin letters and others that look like them."""


def tidy(text: str) -> str:
    """`text` with one kind of digit, space, minus, quote, degree sign and decimal exponent.

    A superscript after a letter is an exponent (kg/m³ becomes kg/m3); any other is a footnote mark,
    never a digit of the number before it (0.82¹ is 0.82). A word of Latin letters and of Cyrillic ones that
    look like them is Latin: somebody typed what looks right.
    """
    text = _POWER_OF_TEN.sub(lambda m: "e" + (m[1] or m[2]).translate(_SUPERSCRIPT), text)
    if text.isascii():
        return " ".join(text.replace("''", '"').split())
    text = "".join(map(_digit, _MOJIBAKE.sub("", text)))
    text = _THIN.sub("'", text)
    text = _EXPONENT.sub(lambda m: m[1].translate(_SUPERSCRIPT), text)
    text = _MARK.sub(FOOTNOTE, _BARE_POWER.sub("10^", text))
    text = _VULGAR.sub(lambda m: " " + unicodedata.normalize("NFKC", m[0]) + " ", text)
    text = unicodedata.normalize("NFKC", text.translate(_CHARACTERS)).translate(_CHARACTERS)
    text = _MIXED.sub(lambda m: as_latin(m[0]), text)
    return " ".join(text.replace("''", '"').split())


def _digit(character: str) -> str:
    """A decimal digit of any script as 0 to 9."""
    if character.isascii() or not character.isdecimal():
        return character
    return str(unicodedata.decimal(character))


def as_latin(text: str) -> str:
    """`text` with Latin letters for the Cyrillic and Greek ones that look like them."""
    return text.translate(_LATIN)


_DROPPED: Final = str.maketrans("", "", " \t\n\r\u00a0()[]{}^.·_")


def key(unit: str) -> str:
    """The form in which unit spellings are compared: without spaces, dots, brackets and '^'."""
    return unit.translate(_DROPPED).replace("*", "").replace("°", "deg").strip(",;:=")
