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
_VULGAR: Final = re.compile(r"[¼½¾⅐-⅞]")

_CHARACTERS: Final = {
    **dict.fromkeys(map(ord, "\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"), None),
    **dict.fromkeys(map(ord, "‐‑‒–—―−﹣"), "-"),
    **dict.fromkeys(map(ord, "º˚"), "°"),
    **dict.fromkeys(map(ord, "″”“„‟〃"), '"'),
    **dict.fromkeys(map(ord, "′’‘‛´`ʹʼ"), "'"),
    **dict.fromkeys(map(ord, "×"), "x"),
    **dict.fromkeys(map(ord, "·⋅∙•‧"), "·"),
    ord("∕"): "/",
}


def tidy(text: str) -> str:
    """`text` with one kind of space, minus, quote, degree sign and decimal exponent.

    A superscript after a letter is an exponent (kg/m³ becomes kg/m3); any other is a footnote mark,
    never a digit of the number before it (0.82¹ is 0.82).
    """
    text = _POWER_OF_TEN.sub(lambda m: "e" + (m[1] or m[2]).translate(_SUPERSCRIPT), text)
    if text.isascii():
        return " ".join(text.replace("''", '"').split())
    text = _EXPONENT.sub(lambda m: m[1].translate(_SUPERSCRIPT), text)
    text = _MARK.sub(FOOTNOTE, _BARE_POWER.sub("10^", text))
    text = _VULGAR.sub(lambda m: " " + unicodedata.normalize("NFKC", m[0]) + " ", text)
    text = unicodedata.normalize("NFKC", text.translate(_CHARACTERS)).translate(_CHARACTERS)
    return " ".join(text.replace("''", '"').split())


_DROPPED: Final = str.maketrans("", "", " \t\n\r\u00a0()[]{}^.·_")


def key(unit: str) -> str:
    """The form in which unit spellings are compared: without spaces, dots, brackets and '^'."""
    return unit.translate(_DROPPED).replace("*", "").replace("°", "deg").strip(",;:=")
