"""Numbers as typed in cells: decimal points and commas, grouped digits, fractions."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final


class Unreadable(Exception):
    """Not a number; the text says why, or is empty."""


class TwoReadings(Exception):
    """Could be two numbers; the text names both and what to write."""


_PLAIN: Final = re.compile(
    r"(?P<digits>\d{1,3}(?:[ ']\d{3})+(?!\d)(?:[.,]\d+)?|\d+(?:[.,]\d+)*|[.,]\d+)(?:\.(?![.\d]))?"
    r"(?P<power>[eE][+-]?\d+)?"
)
_FRACTION: Final = re.compile(
    r"(?:(?P<whole>\d+)(?:\s+|\s?-\s?(?=\d+⁄)|-))?(?P<top>\d+)\s?(?P<bar>[/⁄])\s?(?P<bottom>\d+)(?![\d.,])"
)
_POINT_FRACTION: Final = re.compile(r"(\d+)\.(\d+)/(\d+)(?![\d.,])")
"""1.1/2 is one and a half to some, and 1.1 to 2 to others."""
_SIGN: Final = re.compile(r"\s*(?:([+-])\s?(?=[\d.,]))?")
_BINARY: Final = (2, 4, 8, 16, 32, 64)
"""Denominators of fractions of an inch."""
_GROUPS: Final = {
    ",": re.compile(r"[1-9]\d{0,2}(,\d{3})+|[1-9]\d?(,\d{2})+,\d{3}"),
    ".": re.compile(r"[1-9]\d{0,2}(\.\d{3})+"),
}
"""Digits in groups of three, or with commas as India groups them: 1,20,000."""

DECIMAL_COMMA: Final = ","
DECIMAL_POINT: Final = "."
SPACED: Final = " "
"""What the other cells of a column prove of its numbers: `marks` is any of these together."""


def read_number(
    text: str, at: int, *, length: bool, inches: bool | None, marks: str = ""
) -> tuple[float, int]:
    """The number that starts at `at` in a tidied text, and where it ends.

    `inches` says whether the unit is the inch (None: no unit is stated); it decides whether 3/4 is a
    fraction. `marks` says how the column writes its numbers. Raises `Unreadable` or `TwoReadings`.
    """
    sign = _SIGN.match(text, at)
    factor = -1.0 if sign and sign[1] == "-" else 1.0
    start = sign.end() if sign else at
    fraction = _FRACTION.match(text, start)
    if fraction is not None:
        value = _fraction(fraction, length, inches)
        if value is not None:
            return factor * value, fraction.end()
    dotted = _POINT_FRACTION.match(text, start)
    if dotted is not None and length and inches is not False:
        whole, top, bottom = map(int, dotted.groups())
        if bottom in _BINARY and top % 2 and top < bottom:
            mixed = f"{whole} {top}/{bottom}"
            raise TwoReadings(
                f"could be a fraction or two numbers: write '{mixed} in' or '{whole}.{top} to {bottom}'"
            )
    plain = _PLAIN.match(text, start)
    if plain is None:
        raise Unreadable("")
    value = float(_decimal(plain["digits"], marks) + (plain["power"] or ""))
    if value == float("inf"):
        raise Unreadable("too large")
    return factor * value, plain.end()


def _decimal(digits: str, marks: str) -> str:
    """Digits with points and commas as Python writes the number."""
    plain = digits.replace(" ", "").replace("'", "")
    commas, points = plain.count(","), plain.count(".")
    if commas and points:  # the last mark divides, the other one groups
        last = max(plain.rfind(","), plain.rfind("."))
        other = "," if plain[last] == "." else "."
        if plain.count(plain[last]) > 1 or not _GROUPS[other].fullmatch(plain[:last]):
            raise Unreadable("points and commas are mixed up")
        return plain[:last].replace(other, "") + "." + plain[last + 1 :]
    if commas > 1 or points > 1:
        mark = "," if commas else "."
        if plain != digits or not _GROUPS[mark].fullmatch(plain):
            raise Unreadable("points and commas are mixed up")
        return plain.replace(mark, "")
    if plain == digits and re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", plain):
        return _of_three(plain, marks)
    if re.fullmatch(r"\d{3} \d{3}", digits) and SPACED not in marks:
        raise TwoReadings(f"could be one number or two: write {plain} or '{digits.replace(' ', ' to ')}'")
    return plain.replace(",", ".")


def _of_three(plain: str, marks: str) -> str:
    """'1,500' or '1.500': what the column proves, else a point divides and a comma can do either."""
    decimal, thousands = plain.replace(",", "."), plain.replace(",", "").replace(".", "")
    if DECIMAL_COMMA in marks or DECIMAL_POINT in marks:
        return decimal if ("," if DECIMAL_COMMA in marks else ".") in plain else thousands
    if "," in plain:
        raise TwoReadings(f"could be {decimal} or {thousands}: write {float(decimal):g} or {thousands}")
    return decimal


def _fraction(found: re.Match[str], length: bool, inches: bool | None) -> float | None:
    """Value of 'a/b' or 'n a/b' where it is a fraction, None where it is two numbers."""
    whole, top, bottom = int(found["whole"] or 0), int(found["top"]), int(found["bottom"])
    if found["bar"] == "⁄":  # typed as one character: no range is typed so
        if bottom == 0:
            raise Unreadable("divided by zero")
        value = whole + top / bottom
        if length and inches is None:
            raise TwoReadings(f"could be inches: write '{value:g} in', or {value:g} if it is not")
        return value
    if bottom not in _BINARY:
        return None
    reduced, proper = top % 2 == 1, top < bottom
    if inches and reduced and (proper or not found["whole"]):
        return whole + top / bottom
    doubtful = (
        inches
        or (length and inches is None and reduced)
        or (reduced and proper and bottom <= 8)  # 1/2 bar, 3/4 kg
    )
    if doubtful:
        written = [f"{whole + top / bottom:g}"]
        written += [f"'{found[0]} in'"] if length and not inches else []
        written += [] if found["whole"] else [f"'{top} to {bottom}'"]
        raise TwoReadings(f"could be a fraction or two numbers: write {' or '.join(written)}")
    return None


def _shown(*numbers: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\d.,])(?:{'|'.join(numbers)})(?![\d.,])")


_EVIDENCE: Final = (
    (DECIMAL_COMMA, _shown(r"\d+,\d{1,2}", r"\d+,\d{4,}", r"0,\d+", r"\d{4,},\d+")),
    (DECIMAL_COMMA, _shown(r"\d{1,3}(?:\.\d{3})+,\d+", r"\d{1,3}(?:\.\d{3}){2,}")),
    (DECIMAL_POINT, _shown(r"\d+\.\d{1,2}", r"\d+\.\d{4,}", r"0\.\d+", r"\d{4,}\.\d+")),
    (DECIMAL_POINT, _shown(r"\d{1,3}(?:,\d{2,3})*,\d{3}\.\d+", r"\d{1,3}(?:,\d{2,3})+,\d{3}")),
    (SPACED, _shown(r"\d{1,2} \d{3}(?: \d{3})*(?:[.,]\d+)?")),
)
"""What proves how a column writes its numbers."""


def marks_of(texts: Iterable[str]) -> str:
    """How texts write their numbers, as far as it is beyond doubt: for `read_number`.

    A column that shows both a decimal comma and a decimal point proves neither.
    """
    found = {mark for text in texts for mark, pattern in _EVIDENCE if pattern.search(text)}
    if DECIMAL_COMMA in found and DECIMAL_POINT in found:
        found -= {DECIMAL_COMMA, DECIMAL_POINT}
    return "".join(sorted(found))
